//! What a bad weather table says, word for word, and what becomes of a bad value.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::Date;
use dibble::weather::{CsvOptions, DayColumns, Gaps, HourColumns, HourOptions, Site, Weather};

fn options() -> CsvOptions {
    CsvOptions { name: Some("w.csv".into()), ..CsvOptions::default() }
}

fn refused(text: &str) -> String {
    Weather::parse_csv(text, &options()).unwrap_err().to_string()
}

fn read(text: &str) -> Weather {
    Weather::parse_csv(text, &options()).unwrap()
}

fn site() -> Site {
    Site::new(45.2, 290.0).unwrap()
}

fn day(text: &str) -> Date {
    text.parse().unwrap()
}

const EXPECTED: &str = "Expected is a text table with a heading line, like: date, tmin (C), tmax (C), rain (mm).";

#[test]
fn a_missing_column_is_named_with_the_headings_that_were_not_understood() {
    assert_eq!(
        refused("day,low (C),rain_mm,T9\n2026-07-01,10,0,5\n"),
        "w.csv: column tmax (C) is missing. Name it so in the heading. Not understood: \"T9\"."
    );
    assert_eq!(
        refused("when,rain_mm\n2026-07-01,0\n"),
        "w.csv: column date and column tmin (C) and column tmax (C) is missing. Name it so in the heading. Not understood: \"when\"."
    );
}

#[test]
fn empty_binary_and_shapeless_files_say_what_is_expected() {
    assert_eq!(refused(" \n\n"), format!("w.csv: cannot read weather table \"\": it is empty. {EXPECTED}"));
    assert_eq!(
        refused("date,tmin_c,tmax_c\n"),
        format!("w.csv: cannot read weather table \"date,tmin_c,tmax_c\": it has no row below the heading. {EXPECTED}")
    );
    assert_eq!(
        refused("PK\u{3}\u{4}\0\0xl"),
        format!("w.csv: cannot read weather table \"PK\\u{{3}}\\u{{4}}\\u{{0}}\\u{{0}}xl\": it is a binary file. {EXPECTED}")
    );
    assert_eq!(
        refused("date tmin tmax\n2026-07-01 1 2\n"),
        format!("w.csv: cannot read weather table \"date tmin tmax\": no comma, semicolon, tab or | parts its first line. {EXPECTED}")
    );
    let bytes = |bytes: &[u8]| Weather::parse_csv_bytes(bytes, &options()).unwrap_err().to_string();
    assert!(bytes(b"\xff\xfed\0a\0").ends_with("it is UTF-16 text. Save it as CSV with UTF-8 encoding."));
    assert!(bytes(b"date,Tmax (\xb0C)\n").ends_with("it is not UTF-8 text. Save it as CSV with UTF-8 encoding."));
    assert!(bytes(b"\x89PNG\r\n\x1a\n\0").ends_with("it is a binary file. Save it as CSV text."));
}

#[cfg(feature = "io")]
#[test]
fn a_file_that_is_not_there_is_named() {
    let error = Weather::read_csv("no/such/weather.csv", &CsvOptions::default()).unwrap_err();
    assert!(error.is_file() && error.to_string().starts_with("cannot read no/such/weather.csv: "), "{error}");
}

#[test]
fn a_duplicate_day_names_both_lines() {
    assert_eq!(
        refused("date,tmin_c,tmax_c\n2026-07-01,10,20\n\n2026-07-02,11,21\n2026-07-01,10,20\n"),
        "w.csv: 2026-07-01 is given twice, in line 2 and line 5. Keep one record for each day."
    );
}

#[test]
fn a_slip_in_a_year_does_not_make_decades_of_missing_days() {
    assert_eq!(
        refused("date,tmin_c,tmax_c\n2026-07-01,10,20\n2206-07-02,11,21\n"),
        "w.csv: the records span 2026-07-01 to 2206-07-02 and hold 2 of these 65745 days. Check the dates for a slip in the year."
    );
}

#[test]
fn dates_with_times_or_zones_are_refused() {
    let text = |date: &str| format!("date,tmin_c,tmax_c\n{date},10,20\n");
    for date in ["2026-07-01T06:00:00+02:00", "2026-07-01T00:00Z", "2026-07-01 00:00 UTC"] {
        assert_eq!(
            refused(&text(date)),
            format!(
                "w.csv, line 2: cannot read date \"{date}\": it carries a time zone, and a day here is local standard time. Write it as 2026-07-14; read hour records as such."
            )
        );
    }
    assert_eq!(
        refused(&text("2026-07-01 06:00")),
        "w.csv, line 2: cannot read date \"2026-07-01 06:00\": it carries a time, and this is a table of days. Write it as 2026-07-14; read hour records as such."
    );
    assert_eq!(read(&text("2026-07-01T00:00:00")).first(), day("2026-07-01"));
}

#[test]
fn every_fault_of_structure_is_listed_with_its_line() {
    assert_eq!(
        refused("date,tmin_c,tmax_c\n2026-02-30,10,20\n7/1/26,10,20\nsoon,1,2\n2026-07-03,10\n2026-07-04,1O,20\n"),
        "w.csv, line 5: it has 2 cells and the heading has 3. Give each row one cell for each heading; leave a missing one empty."
            .split('\n')
            .chain([
                "w.csv, line 2: cannot read date \"2026-02-30\": there is no such day between 1800 and 2299. Write dates as 2026-07-14, in local standard time.",
                "w.csv, line 3: cannot read date \"7/1/26\": the year needs four digits. Write dates as 2026-07-14, in local standard time.",
                "w.csv, line 4: cannot read date \"soon\": it is not a day, month and year. Write dates as 2026-07-14, in local standard time.",
                "w.csv, line 6: cannot read number in column \"tmin_c\" \"1O\": it is not a number. Write a plain number, and leave a missing one empty.",
            ])
            .fold("5 problems:".to_string(), |all, line| format!("{all}\n  - {line}"))
    );
}

#[test]
fn a_long_list_is_cut_and_counted() {
    let rows: String = (1..=28).map(|d| format!("2026-02-{d:02},ten,20\n")).collect();
    let message = refused(&format!("date,tmin_c,tmax_c\n{rows}"));
    assert_eq!(message.lines().count(), 12);
    assert!(message.starts_with("11 problems:\n  - w.csv, line 2: cannot read number in column \"tmin_c\" \"ten\""), "{message}");
    assert!(message.ends_with("\n  - and 18 more of this kind. They show once these are mended."), "{message}");
}

#[test]
fn a_long_list_of_dates_is_counted_once() {
    let rows: String = (1..=28).map(|d| format!("{d} Feb,10,20\n")).collect();
    let message = refused(&format!("date,tmin_c,tmax_c\n{rows}"));
    let first = "11 problems:\n  - w.csv, line 2: cannot read date \"1 Feb\": it is not a day, month and year. Write dates as 2026-07-14, in local standard time.\n";
    assert!(message.starts_with(first), "{message}");
    assert!(message.ends_with("\n  - and 18 more of this kind. They show once these are mended."), "{message}");
}

#[test]
fn day_and_month_are_not_guessed() {
    let text = |a: &str, b: &str| format!("date,tmin_c,tmax_c\n{a},10,20\n{b},11,21\n");
    assert_eq!(
        refused(&text("3/4/2026", "4/4/2026")),
        "the dates can be read as day/month or as month/day, for example \"3/4/2026\" in w.csv, line 2. Write them as 2026-07-14, or say which stands first: in the heading, Date (DD/MM/YYYY), or with the option for the order of dates."
    );
    assert_eq!(
        refused(&text("13/4/2026", "4/14/2026")),
        "the dates mix two orders: \"13/4/2026\" in w.csv, line 2 has the day first and \"4/14/2026\" in w.csv, line 3 the month. Write dates as 2026-07-14, in local standard time."
    );
    assert_eq!(
        refused(&text("13/4/2026", "31/6/2026")),
        "w.csv, line 3: cannot read date \"31/6/2026\": there is no such day between 1800 and 2299 (read as day, month, year). Write dates as 2026-07-14, in local standard time."
    );
    assert_eq!(read(&text("12/4/2026", "13/4/2026")).first(), day("2026-04-12"));
    assert_eq!(read(&text("4/12/2026", "4/13/2026")).first(), day("2026-04-12"));
    let us = CsvOptions { day_first: Some(false), ..options() };
    assert_eq!(Weather::parse_csv(&text("3/4/2026", "3/5/2026"), &us).unwrap().first(), day("2026-03-04"));
    assert_eq!(read("Date (DD/MM/YYYY),tmin_c,tmax_c\n3/4/2026,10,20\n").first(), day("2026-04-03"));
}

#[test]
fn units_are_asked_for_and_never_mixed() {
    assert_eq!(
        refused("date,tmin,tmax_c\n2026-07-01,10,20\n"),
        "w.csv: the unit of column \"tmin\" is missing. Write it in the heading, like \"tmin (C)\" or \"tmin (F)\", or say which units the table has: SI or US."
    );
    assert_eq!(
        refused("date,tmin (C),tmax (C)\n2026-07-01,10,68 F\n2026-07-02,10,20\n"),
        "w.csv, line 2: units are mixed in column \"tmax (C)\": \"68 F\" here, C in the heading. Write one unit, in the heading."
    );
    assert_eq!(
        refused("date,tmin (C),tmax\n2026-07-01,10,68 F\n2026-07-02,10,20 C\n2026-07-03,10,20\n"),
        "2 problems:\n  - w.csv, line 3: units are mixed in column \"tmax\": \"20 C\" here, F in w.csv, line 2. Write one unit, in the heading.\n  - w.csv, line 4: units are mixed in column \"tmax\": none here, F in w.csv, line 2. Write one unit, in the heading."
    );
    assert_eq!(
        refused("date,tmin_c,tmax_c,rain (buckets)\n2026-07-01,10,20,1\n"),
        "w.csv: unit of column \"rain (buckets)\" \"buckets\" is not known. Known: \"mm\", \"in\", \"cm\"."
    );
    assert_eq!(
        refused("date,tmin_c,tmax_c,max temp (C)\n2026-07-01,10,20,20\n"),
        "w.csv: the columns \"tmax_c\" and \"max temp (C)\" mean the same. Keep one of them, or rename the other."
    );
    assert_eq!(read("date,tmin_c,tmax\n2026-07-01,10,77 F\n2026-07-02,10,\n").columns().tmax_c[0], 25.0);
}

#[test]
fn decimal_marks_are_not_guessed() {
    assert_eq!(
        refused("date;tmin_c;tmax_c\n2026-07-01;10,5;20.5\n"),
        "decimal point and comma are mixed: \"20.5\" in w.csv, line 2 and \"10,5\" in w.csv, line 2. Write all numbers with one mark for decimals and none for thousands."
    );
    assert_eq!(
        refused("date;tmin_c;tmax_c;rain_mm\n2026-07-01;10;20;1,250\n"),
        "the comma in \"1,250\" in w.csv, line 2 can be a decimal mark or part off thousands. Write decimals with a point and no mark for thousands."
    );
}

#[test]
fn impossible_values_are_set_aside_and_told() {
    let weather = read(
        "date,tmin_c,tmax_c,rh_max_pct,wind mph,rain_mm,Rs [MJ/m2],dew_c\n\
        2026-07-01,21,11,90,5,-3,20,5\n2026-07-02,10,20,140,1048,0,60,9\n2026-07-03,inf,25,80,5,0,20,30\n2026-07-04,10,25,80,5,0,0,3\n",
    );
    let told: Vec<String> = weather.faults().iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "2026-07-01 tmin_c 21 deg C: the lowest temperature is above the highest",
            "2026-07-01 tmax_c 11 deg C: the lowest temperature is above the highest",
            "2026-07-01 rain_mm -3 mm: possible are 0 to 2000",
            "2026-07-02 rh_max_pct 140 %: possible are 0 to 100",
            "2026-07-02 wind_m_s 468.498 m/s: possible are 0 to 60",
            "2026-07-02 solar_mj_m2 60 MJ/m2: possible are 0 to 50",
            "2026-07-03 tmin_c not finite: possible are -90 to 60",
            "2026-07-03 dew_c 30 deg C: the dew point is above the highest temperature",
        ]
    );
    assert!(weather.columns().wind_m_s[1].is_nan() && weather.columns().rain_mm[0].is_nan());
    assert_eq!(
        weather.complete(&site(), &Gaps::default()).unwrap_err().to_string(),
        "3 problems:\n  - rain_mm on 1 day (2026-07-01) is missing. One value was set aside (2026-07-01 rain_mm -3 mm: possible are 0 to 2000). No method knows whether it rained. Give it, or say how to take it: gaps \"zero\" or \"mean\".\n  - tmin_c on 1 day (2026-07-01) is missing. One value was set aside (2026-07-01 tmin_c 21 deg C: the lowest temperature is above the highest). Up to 3 days between two known ones are interpolated. Give the others, or leave them out at an end.\n  - tmax_c on 1 day (2026-07-01) is missing. One value was set aside (2026-07-01 tmax_c 11 deg C: the lowest temperature is above the highest). Up to 3 days between two known ones are interpolated. Give the others, or leave them out at an end."
    );
}

#[test]
fn radiation_is_checked_against_the_sky_of_the_place() {
    let weather =
        read("date,tmin_c,tmax_c,rain_mm,Rs [MJ/m2],sunshine_h\n2026-07-01,10,20,0,44,\n2026-07-02,10,20,0,0.1,\n2026-07-03,10,20,0,,17\n");
    let daily = weather.complete(&site(), &Gaps::default()).unwrap();
    let told: Vec<String> = daily.gap_report().faults.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "2026-07-01 solar_mj_m2 44 MJ/m2: a clear sky gives 31.5",
            "2026-07-02 solar_mj_m2 0.1 MJ/m2: too dark for a day with 41.6 above the clouds",
            "2026-07-03 sunshine_h 17 h: the day is 15.4 h long",
        ]
    );
    assert!(daily.assumptions().iter().any(|a| a.key == "solar_from_range" && a.days == Some(3)));
}

#[test]
fn a_stuck_sensor_is_noticed_and_a_typed_constant_or_forecast_is_not() {
    let rows =
        |tmax: &dyn Fn(u32) -> f64| -> String { (1..=20).map(|d| format!("2026-07-{d:02},{},{},0\n", 10 + d % 3, tmax(d))).collect() };
    let text = |tmax: &dyn Fn(u32) -> f64| format!("date,tmin_c,tmax_c,rain_mm\n{}", rows(tmax));
    let stuck = read(&text(&|d| if (5..12).contains(&d) { 25.0 } else { 20.0 + f64::from(d) }));
    assert_eq!(stuck.faults().len(), 7);
    assert_eq!(stuck.faults()[0].to_string(), "2026-07-05 tmax_c 25 deg C: the same value on 7 days in a row, so the sensor is stuck");
    assert!(read(&text(&|d| if (5..11).contains(&d) { 25.0 } else { 20.0 + f64::from(d) })).faults().is_empty());
    assert!(read(&text(&|_| 25.0)).faults().is_empty());
    let forecast =
        text(&|d| if d >= 10 { 25.0 } else { 20.0 + f64::from(d) }).replace(",0\n", ",0,\n").replace("rain_mm\n", "rain_mm,forecast\n");
    let forecast: String =
        forecast.lines().enumerate().map(|(i, l)| if i >= 10 { format!("{l}yes\n") } else { format!("{l}\n") }).collect();
    assert!(read(&forecast).faults().is_empty());
}

#[test]
fn missing_rain_and_missing_days_stop_unless_the_caller_says_how() {
    let weather = read("date,tmin_c,tmax_c,rain_mm\n2026-07-01,10,20,1\n2026-07-04,13,23,\n2026-07-05,11,23,2\n");
    assert_eq!(
        weather.complete(&site(), &Gaps::default()).unwrap_err().to_string(),
        "2 problems:\n  - weather on 2 days (2026-07-02 to 2026-07-03) is missing. Give these days, or fill them: gaps \"zero\" takes missing rain as none, \"mean\" as the mean around it.\n  - rain_mm on 1 day (2026-07-04) is missing. No method knows whether it rained. Give it, or say how to take it: gaps \"zero\" or \"mean\"."
    );
    let zero = weather.complete(&site(), &"zero".parse().unwrap()).unwrap();
    assert_eq!(zero.rain_mm(), [1.0, 0.0, 0.0, 0.0, 2.0]);
    assert_eq!(zero.tmin_c(), [10.0, 11.0, 12.0, 13.0, 11.0]);
    let mean = weather.complete(&site(), &"mean".parse().unwrap()).unwrap();
    assert_eq!(mean.rain_mm(), [1.0, 1.5, 1.5, 1.5, 2.0]);
    let assumed: Vec<String> = mean.assumptions().iter().skip(3).map(ToString::to_string).collect();
    assert_eq!(
        assumed,
        [
            "missing temperature interpolated between neighboring days on 2 days (common practice)",
            "missing rain taken as the mean of the 15 days before and after, as asked on 3 days (the caller's choice)",
            "a missing day filled, as asked on 2 days (the caller's choice)",
        ]
    );
    let no_rain = read("date,tmin_c,tmax_c\n2026-07-01,10,20\n");
    assert_eq!(
        no_rain.complete(&site(), &Gaps::default()).unwrap_err().to_string(),
        "rain_mm on 1 day (2026-07-01) is missing. No method knows whether it rained. Give it, or say how to take it: gaps \"zero\" or \"mean\"."
    );
}

#[test]
fn a_block_gauge_must_fit_the_records() {
    let weather = read("date,tmin_c,tmax_c,rain_mm\n2026-07-01,10,20,1\n2026-07-02,11,21,2\n2026-07-03,11,21,3\n");
    assert_eq!(
        weather.clone().with_block_rain(&[day("2026-06-30"), day("2026-07-01")], &[1.0, 2.0]).unwrap_err().to_string(),
        "the block's rain gauge was read on 1 day (2026-06-30) outside the weather records (2026-07-01 to 2026-07-03). Give weather for these days, or leave them out."
    );
    let gauged = weather.with_block_rain(&[day("2026-07-02"), day("2026-07-03")], &[9.0, -1.0]).unwrap();
    assert_eq!(gauged.columns().rain_mm, [1.0, 9.0, 3.0]);
    assert_eq!(gauged.faults()[0].to_string(), "2026-07-03 rain_mm -1 mm: possible are 0 to 2000");
    let daily = gauged.complete(&site(), &Gaps::default()).unwrap();
    assert!(daily.assumptions().iter().any(|a| a.key == "station_rain" && a.days == Some(2)));
}

#[test]
fn columns_of_other_length_and_no_rows_are_refused() {
    let columns = DayColumns { dates: vec![day("2026-07-01")], tmin_c: vec![1.0, 2.0], ..DayColumns::default() };
    assert_eq!(
        Weather::from_columns(columns).unwrap_err().to_string(),
        "column tmin_c has 2 values and dates has 1. Give one value for each date, NaN where it is missing."
    );
    assert_eq!(
        Weather::from_columns(DayColumns::default()).unwrap_err().to_string(),
        "any weather record is missing. Give one row for each day, with at least tmin_c, tmax_c and rain_mm."
    );
}

#[test]
fn hours_that_are_doubled_or_lacking_are_told() {
    let hours = |hours: Vec<u32>| {
        let n = hours.len();
        let t_c = hours.iter().map(|h| 10.0 + f64::from(*h)).collect();
        HourColumns { dates: vec![day("2026-10-25"); n], hours, t_c, rain_mm: vec![0.1; n], ..HourColumns::default() }
    };
    let read = |columns, least_hours| Weather::from_hours(columns, &site(), &HourOptions { least_hours, ..HourOptions::default() });
    assert_eq!(
        read(hours(vec![0, 1, 2, 2, 3]), 24).unwrap_err().to_string(),
        "2026-10-25 02:00 is given twice, in row 3 and row 4. Keep one record for each hour, in local standard time without daylight saving."
    );
    assert_eq!(
        read(hours(vec![25]), 24).unwrap_err().to_string(),
        "row 1: hour is 25 h: hour of the day must be from 0 to 24 h. Use local standard time, 0 to 24."
    );
    let short = read(hours((0..23).collect()), 24).unwrap();
    let told: Vec<String> = short.faults().iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "2026-10-25 tmin_c: only 23 of the 24 hours needed",
            "2026-10-25 tmax_c: only 23 of the 24 hours needed",
            "2026-10-25 rain_mm: only 23 of the 24 hours needed",
        ]
    );
    let enough = read(hours((0..23).collect()), 20).unwrap();
    assert_eq!((enough.columns().tmax_c[0], enough.columns().rain_mm[0].is_nan()), (32.0, true));
    let mut hot = hours((0..24).collect());
    hot.t_c[5] = 99.0;
    let hot = read(hot, 23).unwrap();
    assert_eq!(hot.faults()[0].to_string(), "2026-10-25 05:00 t_c 99 deg C: possible are -90 to 60");
}

#[test]
fn json_that_is_out_of_range_or_from_a_later_version_is_refused() {
    let weather = read("date,tmin_c,tmax_c,rain_mm\n2026-07-01,10,20,\n2026-07-03,11,21,2\n");
    let text = serde_json::to_string(&weather).unwrap();
    assert_eq!(
        text,
        "{\"schema\":1,\"first\":\"2026-07-01\",\"days\":3,\"columns\":{\"tmin_c\":[10.0,null,11.0],\"tmax_c\":[20.0,null,21.0],\"rain_mm\":[null,null,2.0]},\"absent\":[1]}"
    );
    let error = |text: String| serde_json::from_str::<Weather>(&text).unwrap_err().to_string();
    assert!(error(text.replace("11.0", "111.0")).starts_with("tmin_c[2] is 111 deg C: air temperature must be from -90 to 60 deg C."));
    assert!(
        error(text.replace("\"schema\":1", "\"schema\":2"))
            .starts_with("the weather was written with schema 2 and this version reads up to 1.")
    );
    assert!(error(text.replace("\"days\":3", "\"days\":0")).starts_with("0 days from 2026-07-01 is not a span of days."));
    assert!(error(text.replace("\"days\":3", "\"days\":9999999999")).contains("is not a span of days"));
    assert!(error(text.replace("[1]", "[7]")).starts_with("absent names day 7 of 3 days."));
    assert!(error(text.replace("tmin_c", "tmim_c")).starts_with("weather column \"tmim_c\" is not known. Did you mean \"tmin_c\""));
}
