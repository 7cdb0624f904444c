//! Real weather through the whole path: read, checked, filled, reference evapotranspiration.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::units::System;
use dibble::weather::{CsvOptions, Gaps, Site, Weather};

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
