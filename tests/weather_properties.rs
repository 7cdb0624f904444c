//! Laws of the weather reader: it never panics, delimiters and order do not matter, JSON gives back what it took, filled days
//! are complete.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::weather::{CsvOptions, DayColumns, Gaps, HourOptions, Site, Weather};
use dibble::{Date, units::System};
use proptest::prelude::*;

fn every_reader(text: &str, units: Option<System>) -> bool {
    let options = CsvOptions { units, ..CsvOptions::default() };
    let Ok(site) = Site::new(45.2, 290.0) else { return false };
    let read = Weather::parse_csv(text, &options);
    let hours = Weather::parse_hours_csv(text, &site, &options, &HourOptions::default());
    let bytes = Weather::parse_csv_bytes(text.as_bytes(), &options);
    let complete = |weather: &Weather| {
        weather.gap_report().to_string();
        let gaps = Gaps { temperature_gap_days: 1000, ..Gaps::default() };
        weather.complete(&site, &gaps).map_err(|e| e.to_string()).is_ok()
    };
    let told = |result: &dibble::Result<Weather>| match result {
        Ok(weather) => complete(weather),
        Err(error) => !error.to_string().is_empty(),
    };
    told(&read);
    told(&hours);
    read.is_ok() == bytes.is_ok()
}

/// Text that looks like a table now and then.
fn table() -> impl Strategy<Value = String> {
    let cell = prop_oneof![
        3 => "[0-9]{1,3}([.,][0-9]{1,3})?",
        3 => "20[0-9]{2}-0[1-9]-[0-2][0-9]",
        1 => "[0-3]?[0-9]/[01]?[0-9]/20[0-9]{2}( [0-9]{1,2}:[0-9]{2}( ?[AP]M|Z)?)?",
        1 => "(date|time|hour ending|tmin|tmax|temp|rain|wind|Rs|forecast|dew)( ?\\((C|F|mm|in|mph|m/s|x|2 m)\\)|_c|_mm)?",
        1 => "(NA|-999|T|inf|nan|-|°F|\"|\"\"|é|🌧|\u{0}|#)",
        1 => ".{0,6}",
    ];
    let row = (prop::collection::vec(cell, 0..7), prop_oneof![Just(","), Just(";"), Just("\t"), Just("|")]);
    let heading = "(|\u{feff})(date|Date \\(DD/MM/YYYY\\))(,|;)(tmin_c|Tmin \\(F\\)|time)(,|;)(tmax_c|temp \\(C\\)|tmax)((,|;)rain_mm)?";
    (prop_oneof![1 => Just(String::new()), 3 => heading.prop_map(String::from)], prop::collection::vec(row, 0..12)).prop_map(
        |(heading, rows)| {
            let delimiter = if heading.contains(';') { ";" } else { "," };
            rows.into_iter().fold(heading, |text, (cells, own)| {
                let delimiter = if text.is_empty() { own } else { delimiter };
                format!("{text}\n{}", cells.join(delimiter))
            })
        },
    )
}

fn days() -> impl Strategy<Value = DayColumns> {
    let value = |low: f64, high: f64| prop_oneof![9 => low..high, 1 => Just(f64::NAN)];
    let day = (0_i32..60, value(-5.0, 15.0), value(10.0, 35.0), value(0.0, 30.0), value(0.0, 12.0), value(1.0, 33.0));
    prop::collection::vec(day, 1..40).prop_map(|rows| {
        let mut columns = DayColumns::default();
        let Ok(first) = Date::new(2026, 5, 1) else { return columns };
        for (day, tmin_c, tmax_c, rain_mm, wind_m_s, solar_mj_m2) in rows {
            if columns.dates.contains(&(first + day)) {
                continue;
            }
            columns.dates.push(first + day);
            columns.tmin_c.push(tmin_c);
            columns.tmax_c.push(tmax_c);
            columns.rain_mm.push(rain_mm);
            columns.wind_m_s.push(wind_m_s);
            columns.solar_mj_m2.push(solar_mj_m2);
        }
        columns
    })
}

/// The same days as text with a delimiter and decimal mark.
fn written(columns: &DayColumns, delimiter: char, decimal: char) -> String {
    let number = |v: f64| if v.is_nan() { String::new() } else { v.to_string().replace('.', &decimal.to_string()) };
    let mut text = format!("date{delimiter}tmin (C){delimiter}tmax (C){delimiter}rain (mm){delimiter}wind (m/s){delimiter}Rs (MJ/m2)\n");
    for (i, date) in columns.dates.iter().enumerate() {
        let cells = [&columns.tmin_c, &columns.tmax_c, &columns.rain_mm, &columns.wind_m_s, &columns.solar_mj_m2];
        let cells: Vec<String> = cells.iter().map(|column| number(column[i])).collect();
        text += &format!("{date}{delimiter}{}\n", cells.join(&delimiter.to_string()));
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_makes_a_reader_panic(text in prop_oneof![table(), "(?s).{0,200}"]) {
        prop_assert!(every_reader(&text, None));
        prop_assert!(every_reader(&text, Some(System::Us)));
    }

    #[test]
    fn no_bytes_make_a_reader_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let outcome = Weather::parse_csv_bytes(&bytes, &CsvOptions::default());
        prop_assert!(outcome.is_err() || std::str::from_utf8(&bytes).is_ok());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_delimiter_gives_the_same_records(columns in days()) {
        let weather = Weather::from_columns(columns.clone()).unwrap();
        for (delimiter, decimal) in [(',', '.'), (';', '.'), ('\t', '.'), ('|', '.'), (';', ','), ('\t', ',')] {
            let read = Weather::parse_csv(&written(&columns, delimiter, decimal), &CsvOptions::default());
            // A column whose decimals all have three digits is refused with a decimal comma: it could be thousands.
            if let Ok(read) = read {
                prop_assert_eq!(read.columns(), weather.columns());
                prop_assert_eq!(read.faults(), weather.faults());
            } else {
                prop_assert!(decimal == ',');
            }
        }
    }

    #[test]
    fn the_order_of_rows_does_not_matter(columns in days(), turn in 0_usize..40) {
        let mut turned = columns.clone();
        let by = turn % columns.dates.len();
        turned.dates.rotate_left(by);
        for column in [&mut turned.tmin_c, &mut turned.tmax_c, &mut turned.rain_mm, &mut turned.wind_m_s, &mut turned.solar_mj_m2] {
            column.rotate_left(by);
        }
        prop_assert_eq!(Weather::from_columns(turned).unwrap(), Weather::from_columns(columns).unwrap());
    }

    #[test]
    fn json_gives_back_the_same_bits(columns in days()) {
        let weather = Weather::from_columns(columns).unwrap();
        let back: Weather = serde_json::from_str(&serde_json::to_string(&weather).unwrap()).unwrap();
        prop_assert_eq!(&back, &weather);
        let bits = |w: &Weather| w.columns().rain_mm.iter().map(|v| v.to_bits()).collect::<Vec<_>>();
        prop_assert_eq!(bits(&back), bits(&weather));
    }

    #[test]
    fn complete_weather_has_no_hole_and_keeps_what_was_measured(columns in days(), arid: bool, coastal: bool) {
        let weather = Weather::from_columns(columns).unwrap();
        let site = Site::new(45.2, 290.0).unwrap().with_arid(arid).with_coastal(coastal);
        let gaps = Gaps { temperature_gap_days: 60, ..("zero".parse().unwrap()) };
        let Ok(daily) = weather.complete(&site, &gaps) else {
            // Only temperatures missing at an end cannot be filled.
            let ends = [0, weather.len() - 1];
            prop_assert!(ends.iter().any(|&i| weather.columns().tmin_c[i].is_nan() || weather.columns().tmax_c[i].is_nan()));
            return Ok(());
        };
        let all = [daily.tmin_c(), daily.tmax_c(), daily.rain_mm(), daily.eto_mm(), daily.wind_2m_m_s(), daily.solar_mj_m2(), daily.vapor_pressure_kpa(), daily.rh_min_pct()];
        for column in all {
            prop_assert_eq!(column.len(), weather.len());
            prop_assert!(column.iter().all(|v| v.is_finite()));
        }
        for (day, &rain) in weather.columns().rain_mm.iter().enumerate() {
            prop_assert!(rain.is_nan() || daily.rain_mm()[day] == rain);
            prop_assert!(daily.tmin_c()[day] <= daily.tmax_c()[day]);
            prop_assert!(daily.wind_2m_m_s()[day] >= 0.5 && daily.eto_mm()[day] >= 0.0);
        }
    }
}
