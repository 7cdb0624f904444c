//! Real weather through the whole path: read, checked, filled, reference evapotranspiration.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::et::HourlyForm;
use dibble::units::System;
use dibble::weather::{CsvOptions, Daily, DayColumns, Gaps, HourOptions, Quantity, Reference, Site, Weather};

const GREENSBORO: &str = include_str!("reference/weather/greensboro.csv");
const SEATTLE: &str = include_str!("reference/weather/seattle.csv");

fn seattle() -> Weather {
    Weather::parse_csv(SEATTLE, &CsvOptions { units: Some(System::Si), ..CsvOptions::default() }).unwrap()
}

#[test]
fn four_seattle_years_give_the_annual_reference_evapotranspiration_found_before() {
    let site = Site::new(47.45, 130.0).unwrap().with_wind_height(10.0).unwrap().with_coastal(true);
    let weather = seattle();
    assert_eq!((weather.len(), weather.faults().len()), (1461, 0), "{}", weather.gap_report());
    let daily = weather.complete(&site, &Gaps::default()).unwrap();
    for (year, eto, rain) in [(2012, 819.0, 155.0), (2013, 832.0, 285.0), (2014, 888.0, 221.0), (2015, 918.0, 127.0)] {
        let of_year = |i: &usize| daily.date(*i).year() == year;
        let sum: f64 = (0..daily.len()).filter(of_year).map(|i| daily.eto_mm()[i]).sum();
        let summer = |i: &usize| of_year(i) && (5..=9).contains(&daily.date(*i).month());
        let wet: f64 = (0..daily.len()).filter(summer).map(|i| daily.rain_mm()[i]).sum();
        assert!((sum - eto).abs() <= 0.5, "annual ETo {year}: {sum:.1} mm, an independent evaluation of FAO-56 Eq. 6 gave {eto}");
        assert!((wet - rain).abs() <= 0.55, "rain May to September {year}: {wet:.1} mm, summed outside to {rain}");
    }
    let filled: Vec<(&str, Option<usize>)> = daily.gap_report().filled.iter().map(|a| (a.key.as_str(), a.days)).collect();
    let expected = [("dew_from_tmin", Some(1461)), ("solar_from_range", Some(1461)), ("wind_floor", Some(8)), ("solar_capped", Some(53))];
    assert_eq!(filled, expected);
}

fn greensboro() -> Site {
    let site = Site::new(36.10, 273.0).unwrap().with_wind_height(10.0).unwrap();
    site.with_longitude(-79.95).unwrap().with_utc_offset(-5.0).unwrap()
}

fn greensboro_days(reference: Option<HourlyForm>) -> Weather {
    let options = HourOptions { reference, ..HourOptions::default() };
    Weather::parse_hours_csv(GREENSBORO, &greensboro(), &CsvOptions::default(), &options).unwrap()
}

/// Year, April to September, largest day, mm.
fn totals(daily: &Daily) -> (f64, f64, f64) {
    let summer = |i: &usize| (4..=9).contains(&daily.date(*i).month());
    let eto = daily.eto_mm();
    (eto.iter().sum(), (0..daily.len()).filter(summer).map(|i| eto[i]).sum(), eto.iter().copied().fold(0.0, f64::max))
}

#[test]
fn a_greensboro_year_of_hours_becomes_days_without_a_gap() {
    let weather = greensboro_days(None);
    assert_eq!((weather.len(), weather.faults().len()), (365, 0), "{}", weather.gap_report());
    let daily = weather.complete(&greensboro(), &Gaps::default()).unwrap();
    let filled: Vec<(&str, Option<usize>)> = daily.gap_report().filled.iter().map(|a| (a.key.as_str(), a.days)).collect();
    assert_eq!(filled, [("wind_floor", Some(4))]);
    let rain: f64 = daily.rain_mm().iter().sum();
    assert!((rain - 834.5).abs() < 1e-9, "the source's column sums to 8345 tenths of a millimeter, here {rain} mm");
    let (year, summer, most) = totals(&daily);
    // NumPy evaluation of FAO-56 Eq. 6 beside this test: vapor pressure as the mean of the hours, wind at least 0.5 m/s.
    assert!((year - 1118.3).abs() < 0.05 && (summer - 772.9).abs() < 0.05 && (most - 6.93).abs() < 0.005, "{year} {summer} {most}");
}

#[test]
fn greensboro_with_humidity_by_its_daily_extremes_gives_the_annual_total_found_before() {
    let mut columns: DayColumns = greensboro_days(None).columns().clone();
    columns.vapor_pressure_kpa.clear();
    let daily = Weather::from_columns(columns).unwrap().complete(&greensboro(), &Gaps::default()).unwrap();
    let (year, summer, most) = totals(&daily);
    // The totals were found with the source's humidity, rounded to a percent; here it comes from its dew points.
    assert!((year - 1151.0).abs() < 1.5, "annual ETo by Eq. 6 and 17, evaluated outside: 1151 mm, here {year:.1}");
    assert!((summer - 786.0).abs() < 1.5, "April to September, evaluated outside: 786 mm, here {summer:.1}");
    assert!((most - 7.0).abs() <= 0.05, "largest day, evaluated outside: 7.0 mm, here {most:.2}");
}

#[test]
fn hourly_reference_evapotranspiration_sums_to_the_annual_totals_found_before() {
    // (form, NumPy evaluation of Eq. 53 beside this test, total found before with another treatment of low sun and nights)
    for (form, here, before) in [(HourlyForm::Fao56, 1100.6, 1091.0), (HourlyForm::Short, 1150.4, 1134.0)] {
        let weather = greensboro_days(Some(form));
        let sum: f64 = weather.columns().eto_mm.iter().sum();
        assert!((sum - here).abs() < 0.05, "{form}: {sum}");
        assert!((sum / before - 1.0).abs() < 0.015, "{form}: {sum:.0} mm, found before: {before}");
        let given = weather.complete(&greensboro(), &Gaps { reference: Reference::Given, ..Gaps::default() }).unwrap();
        assert!((totals(&given).0 - sum).abs() < 1e-9);
        assert_eq!(given.assumptions().iter().find(|a| a.key == "eto_given").and_then(|a| a.days), Some(365));
    }
}

#[test]
fn json_gives_real_weather_back_bit_for_bit() {
    for weather in [seattle(), greensboro_days(Some(HourlyForm::Short))] {
        let text = serde_json::to_string(&weather).unwrap();
        let back: Weather = serde_json::from_str(&text).unwrap();
        assert_eq!(back, weather);
        for (a, b) in Quantity::ALL.iter().map(|&q| (back.columns().get(q), weather.columns().get(q))) {
            assert!(a.iter().zip(b).all(|(x, y)| x.to_bits() == y.to_bits()));
        }
        assert_eq!(serde_json::to_string(&back).unwrap(), text);
    }
}
