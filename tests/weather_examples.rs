//! Published worked examples and small cases through the whole path: a table, its gaps filled, reference evapotranspiration.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::Date;
use dibble::assumption::Assumption;
use dibble::units::System;
use dibble::weather::{CsvOptions, Daily, DayColumns, Gaps, HourColumns, HourOptions, Reference, Site, Stamp, Weather};

fn complete(text: &str, site: Site, gaps: Gaps) -> Daily {
    Weather::parse_csv(text, &CsvOptions::default()).unwrap().complete(&site, &gaps).unwrap()
}

fn keys(daily: &Daily) -> Vec<String> {
    daily.assumptions().into_iter().map(|a| a.key).collect()
}

fn day(text: &str) -> Date {
    text.parse().unwrap()
}

#[test]
fn fao56_example_18_through_a_table_in_the_units_it_prints() {
    let text =
        "date,Tmax (C),Tmin (C),RH max (%),RH min (%),wind at 10 m (km/h),sunshine (h),rain (mm)\n1998-07-06,21.5,12.3,84,63,10,9.25,0\n";
    let daily = complete(text, Site::new(50.8, 100.0).unwrap(), Gaps::default());
    let (eto, solar, wind, e_a) = (daily.eto_mm()[0], daily.solar_mj_m2()[0], daily.wind_2m_m_s()[0], daily.vapor_pressure_kpa()[0]);
    assert!((eto - 3.88).abs() <= 0.005, "FAO-56 Example 18 (p. 72): 3.88 mm, here {eto}");
    assert!((solar - 22.07).abs() <= 0.005, "FAO-56 Example 18: Rs 22.07 MJ/m2, here {solar}");
    assert!((wind - 2.078).abs() <= 0.0005, "FAO-56 Example 18: u2 2.078 m/s, here {wind}");
    assert!((e_a - 1.409).abs() <= 0.0005, "FAO-56 Example 18: ea 1.409 kPa, here {e_a}");
    assert_eq!(keys(&daily), ["solar_from_sun"]);
}

#[test]
fn fao56_example_20_with_temperatures_alone() {
    let site = || Site::new(45.0 + 43.0 / 60.0, 200.0).unwrap();
    let eto = |wind: f64, reference| {
        let text = format!("date,tmin_c,tmax_c,wind_2m_m_s,rain_mm\n1998-07-15,14.8,26.6,{wind},0\n");
        complete(&text, site(), Gaps { reference, ..Gaps::default() }).eto_mm()[0]
    };
    for (wind, reference, printed) in
        [(1.0, Reference::PenmanMonteith, 4.2), (3.0, Reference::PenmanMonteith, 4.8), (2.0, Reference::Temperature, 5.0)]
    {
        let here = eto(wind, reference);
        assert!((here - printed).abs() <= 0.05, "FAO-56 Example 20 (Lyon), wind {wind} m/s, {reference}: {printed} mm, here {here}");
    }
    let daily = complete("date,tmin_c,tmax_c,rain_mm\n1998-07-15,14.8,26.6,0\n", site(), Gaps::default());
    assert_eq!(keys(&daily), ["dew_from_tmin", "solar_from_range", "wind_default"]);
    assert!((daily.solar_mj_m2()[0] - 22.3).abs() <= 0.05, "FAO-56 Example 15: Rs 22.3 MJ/m2");
    let dry = complete("date,tmin_c,tmax_c,rain_mm\n1998-07-15,14.8,26.6,0\n", site().with_arid(true), Gaps::default());
    assert_eq!(keys(&dry)[0], "dew_from_tmin_arid");
    assert!(dry.eto_mm()[0] > daily.eto_mm()[0]);
}

#[test]
fn the_same_weather_in_us_units_gives_the_same_reference_evapotranspiration() {
    let si =
        complete("date,tmin_c,tmax_c,wind_m_s,rain_mm\n2026-07-01,10,25,4.4704,12.7\n", Site::new(45.0, 300.0).unwrap(), Gaps::default());
    let us = complete("Date;Low;High;Wind;Rain\n2026-07-01;50 F;77 F;10 mph;0.5 in\n", Site::new(45.0, 300.0).unwrap(), Gaps::default());
    assert_eq!((us.eto_mm(), us.rain_mm()), (si.eto_mm(), si.rain_mm()));
    let named = CsvOptions { units: Some(System::Us), ..CsvOptions::default() };
    let us = Weather::parse_csv("Date|Low|High|Wind|Rain\n2026-07-01|50|77|10|0.5\n", &named).unwrap();
    assert_eq!(us.columns().rain_mm, [12.7]);
    assert_eq!(
        keys(&si),
        ["dew_from_tmin", "solar_from_range", "wind_default"].map(|k| if k == "wind_default" { "wind_height" } else { k })
    );
}

#[test]
fn traces_of_rain_and_columns_that_are_not_read_are_noted() {
    let text = "date,tmin_c,tmax_c,rain_mm,station,gust mph\n2026-07-01,10,25,T,A,9\n2026-07-02,10,25,0.3,A,9\n";
    let weather = Weather::parse_csv(text, &CsvOptions::default()).unwrap();
    assert_eq!(weather.notes(), ["columns not read: station, gust mph", "trace of rain (T) read as 0 in 1 row"]);
    assert_eq!(weather.columns().rain_mm, [0.0, 0.3]);
}

#[test]
fn forecast_days_are_marked_by_column_or_by_date() {
    let text = "date,tmin_c,tmax_c,rain_mm,forecast\n2026-07-01,10,25,0,\n2026-07-02,10,25,3,yes\n";
    let site = Site::new(45.0, 300.0).unwrap();
    assert_eq!(complete(text, site, Gaps::default()).forecast(), [false, true]);
    let from = CsvOptions { forecast_from: Some(day("2026-07-01")), ..CsvOptions::default() };
    assert_eq!(Weather::parse_csv(text, &from).unwrap().columns().forecast, [true, true]);
    let bad = text.replace("yes", "maybe");
    assert_eq!(
        Weather::parse_csv(&bad, &CsvOptions::default()).unwrap_err().to_string(),
        "line 3: cannot read forecast mark \"maybe\": it is neither yes nor no. Write yes or no."
    );
}

#[test]
fn a_season_is_cut_out_and_carried_on_without_rain() {
    let text = "date,tmin_c,tmax_c,rain_mm\n2026-07-01,10,25,1\n2026-07-02,12,27,2\n2026-07-03,14,29,4\n";
    let daily = complete(text, Site::new(45.0, 300.0).unwrap(), Gaps::default());
    let two = daily.between(day("2026-07-02"), day("2026-07-03")).unwrap();
    assert_eq!((two.first(), two.last(), two.rain_mm()), (day("2026-07-02"), day("2026-07-03"), [2.0, 4.0].as_slice()));
    assert_eq!(two.eto_mm(), &daily.eto_mm()[1..]);
    assert_eq!(
        daily.between(day("2026-07-02"), day("2026-07-04")).unwrap_err().to_string(),
        "2026-07-02 to 2026-07-04 is not within the weather, 2026-07-01 to 2026-07-03. Give weather for these days, or other days."
    );
    let longer = daily.clone().extended(3, 2).unwrap();
    assert_eq!((longer.len(), longer.rain_mm()), (6, [1.0, 2.0, 4.0, 0.0, 0.0, 0.0].as_slice()));
    assert_eq!(longer.tmax_c()[5], 28.0);
    assert_eq!(longer.eto_mm()[4], (daily.eto_mm()[1] + daily.eto_mm()[2]) / 2.0);
    assert!(longer.forecast()[3] && longer.flags()[3].contains(Assumption::ForecastMean) && !longer.forecast()[2]);
    assert!(
        daily.clone().extended(3, 0).is_err() && daily.clone().extended(3, 4).is_err() && daily.clone().extended(usize::MAX, 1).is_err()
    );
    let wetter = daily.clone().with_rain(day("2026-07-02"), 20.0).unwrap();
    assert_eq!(wetter.rain_mm(), [1.0, 20.0, 4.0]);
    assert!(daily.clone().with_rain(day("2026-07-02"), -1.0).is_err() && daily.with_rain(day("2026-08-02"), 1.0).is_err());
}

#[test]
fn hours_that_end_at_their_time_belong_to_the_day_that_they_fill() {
    let date = |d: i32| day("2026-07-01") + d;
    // Hour ending 1 to 24 of the first day, then 0 (the day's 24th hour) written under the second.
    let dates: Vec<Date> = (1..24).map(|_| date(0)).chain([date(1)]).collect();
    let hours: Vec<u32> = (1..24).chain([0]).collect();
    let columns =
        HourColumns { t_c: hours.iter().map(|h| f64::from(*h)).collect(), rain_mm: vec![0.5; 24], dates, hours, ..HourColumns::default() };
    let options = HourOptions { stamp: Stamp::End, ..HourOptions::default() };
    let weather = Weather::from_hours(columns, &Site::new(45.0, 300.0).unwrap(), &options).unwrap();
    assert_eq!((weather.len(), weather.first(), weather.faults().len()), (1, date(0), 0));
    assert_eq!((weather.columns().tmin_c[0], weather.columns().tmax_c[0], weather.columns().rain_mm[0]), (0.0, 23.0, 12.0));
}

#[test]
fn polar_nights_and_tropical_noons_stay_finite() {
    for latitude in [-90.0, -78.0, -66.6, 0.0, 66.6, 78.0, 90.0] {
        let first = day("2025-12-01");
        let dates: Vec<Date> = (0..400).map(|d| first + d).collect();
        let columns = DayColumns {
            tmin_c: (0..400).map(|d| f64::from(d % 17) - 20.0).collect(),
            tmax_c: (0..400).map(|d| f64::from(d % 19)).collect(),
            rain_mm: vec![0.0; 400],
            dates,
            ..DayColumns::default()
        };
        let daily = Weather::from_columns(columns).unwrap().complete(&Site::new(latitude, 0.0).unwrap(), &Gaps::default()).unwrap();
        assert!(daily.eto_mm().iter().chain(daily.solar_mj_m2()).all(|v| v.is_finite() && *v >= 0.0), "{latitude}");
    }
}
