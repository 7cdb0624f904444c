//! A season from stand, soil and weather: the same numbers as the columns it stands for, explained, written and read back.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::Date;
use dibble::control::Control;
use dibble::soil::{Profile, Soil, TextureClass};
use dibble::stand::{Stand, StandInput, Surfaces};
use dibble::units::System;
use dibble::water::{Column, Form, Reading, Record, Refill, RunOptions, Season, Seen, Series, StandRun, Watering, Winter, run, run_stand};
use dibble::weather::{CsvOptions, Daily, DayColumns, Gaps, HourOptions, Site, Weather};

const DAYS: usize = 90;

fn day(text: &str) -> Date {
    text.parse().unwrap()
}

/// A summer with a shower every ninth day.
fn summer() -> Daily {
    weather("2026-06-01", DAYS, 12.0)
}

fn weather(first: &str, days: usize, tmin_c: f64) -> Daily {
    let columns = DayColumns {
        dates: (0..days).map(|i| day(first) + i as i32).collect(),
        tmin_c: vec![tmin_c; days],
        tmax_c: vec![tmin_c + 13.0; days],
        rain_mm: (0..days).map(|i| if i % 9 == 4 { 11.0 } else { 0.0 }).collect(),
        ..DayColumns::default()
    };
    Weather::from_columns(columns).unwrap().complete(&Site::new(45.2, 290.0).unwrap(), &Gaps::default()).unwrap()
}

fn fir() -> Stand {
    Stand::new(StandInput::new("Fraser fir", day("2025-05-01"), 1.8, 1.8)).unwrap()
}

fn loam() -> Profile {
    Profile::uniform(Soil::from_texture(TextureClass::SiltLoam, 2.5).unwrap())
}

fn season(given: &StandRun<'_>) -> dibble::Result<Season> {
    run_stand(given, &RunOptions::default(), &Control::new())
}

#[test]
fn a_stand_is_its_columns() {
    let (weather, stand, profile) = (summer(), fir(), loam());
    let mut given = StandRun::new(&weather, &stand, &profile);
    given.beside = true;
    given.waterings = vec![
        Watering { date: day("2026-07-20"), depth_mm: 9.0, rate_mm_h: Some(19.0) },
        Watering { date: day("2026-06-20"), depth_mm: 12.0, rate_mm_h: None },
    ];
    let season = season(&given).unwrap();
    let surfaces = Surfaces::over(&stand, &weather).unwrap();
    let columns: Vec<Column<'_>> = [("tree", &surfaces.tree), ("strip", &surfaces.strip), ("alley", &surfaces.alley)]
        .map(|(name, crop)| {
            let mut column = Column::new(name, &weather, crop, &profile);
            column.curve_number = Some(65.0); // TR-55 Table 2-2c: woods-grass, fair, group B
            column.waterings = given.waterings.iter().rev().copied().collect();
            column
        })
        .to_vec();
    let by_hand = run(&columns, &RunOptions::default(), &Control::new()).unwrap();
    assert_eq!(season.columns(), ["tree", "strip", "alley"]);
    for &series in Series::ALL {
        assert_eq!(season.daily(series), by_hand.daily(series), "{}", series.name());
    }
    assert_eq!(season.totals(), by_hand.totals());
    let keys: Vec<&str> = season.assumptions().iter().map(|a| a.key.as_str()).collect();
    for key in
        ["dew_from_tmin", "soil_from_class", "root_depth", "start_wetness", "subsoil_wetness", "curve_number_default", "intake_half_ksat"]
    {
        assert!(keys.contains(&key), "{key} is missing from {keys:?}");
    }
}

#[test]
fn both_languages_give_one_answer() {
    let days = 60;
    let columns = DayColumns {
        dates: (0..days).map(|i| day("2026-06-01") + i).collect(),
        tmin_c: vec![13.0; days as usize],
        tmax_c: vec![26.0; days as usize],
        rain_mm: (0..days).map(|i| if i % 9 == 4 { 11.0 } else { 0.0 }).collect(),
        ..DayColumns::default()
    };
    let weather = Weather::from_columns(columns).unwrap().complete(&Site::new(45.2, 290.0).unwrap(), &Gaps::default()).unwrap();
    let (stand, profile) = (fir(), loam());
    let mut given = StandRun::new(&weather, &stand, &profile);
    given.refill = Some(Refill::for_stand(&stand, weather.first(), false));
    given.readings = vec![Reading { holes: 3, ..Reading::new(day("2026-06-25"), 0.05, 0.15, Seen::Feel("moist".parse().unwrap())) }];
    given.waterings = vec![Watering { date: day("2026-06-10"), depth_mm: 12.0, rate_mm_h: Some(19.0) }];
    given.beside = true;
    let season = season(&given).unwrap();

    let expected: toml::Table = include_str!("reference/season.toml").parse().unwrap();
    let numbers =
        |table: &str, name: &str| -> Vec<f64> { expected[table][name].as_array().unwrap().iter().map(|v| v.as_float().unwrap()).collect() };
    let near = |found: f64, expected: f64, name: &str| {
        let tolerance = 1e-12 * expected.abs().max(1.0);
        assert!((found - expected).abs() <= tolerance, "tests/reference/season.toml, {name}: {found} against {expected}");
    };
    for column in 0..3 {
        let totals = serde_json::to_value(&season.totals()[column]).unwrap();
        for (name, found) in totals.as_object().unwrap() {
            near(found.as_f64().unwrap(), numbers("totals", name)[column], name);
        }
        for &series in Series::ALL {
            near(season.column(series, column)[59], numbers("evening", series.name())[column], series.name());
        }
    }
}

#[test]
fn strip_and_alley_get_what_the_refill_rule_gives_the_trees() {
    let (weather, stand, profile) = (summer(), fir(), loam());
    let mut given = StandRun::new(&weather, &stand, &profile);
    given.refill = Some(Refill::for_stand(&stand, weather.first(), false));
    given.beside = true;
    let season = season(&given).unwrap();
    let given_to = |column| season.column(Series::Irrigation, column);
    assert!(season.totals()[0].refills > 0);
    assert_eq!(given_to(0), season.column(Series::Refill, 0));
    assert_eq!(given_to(1), given_to(0));
    assert_eq!(given_to(2), given_to(0));
    assert!(season.column(Series::Refill, 2).iter().all(|&depth| depth == 0.0));
}

#[test]
fn a_day_is_explained_by_numbers_that_add_up() {
    let (weather, stand, profile) = (summer(), fir(), loam());
    let mut given = StandRun::new(&weather, &stand, &profile);
    given.readings = vec![Reading::new(day("2026-07-10"), 0.05, 0.15, Seen::Available(0.4))];
    let season = season(&given).unwrap();
    for date in [day("2026-06-01"), day("2026-06-05"), day("2026-07-10"), day("2026-08-29")] {
        let steps = season.explain(date, 0).unwrap();
        let step = |what: &str| steps.iter().find(|s| s.what == what).unwrap();
        let input = |what: &str, name: &str| step(what).inputs.iter().find(|i| i.name.starts_with(name)).unwrap().value;
        let entered = step("water that entered the ground");
        assert_eq!(entered.value, entered.inputs[0].value - entered.inputs[1].value - entered.inputs[2].value + entered.inputs[3].value);
        let transpired = input("transpiration", "Ks") * input("transpiration", "Kcb") * input("transpiration", "ETo");
        assert!((transpired - step("transpiration").value).abs() < 1e-12, "{date}: Ks Kcb ETo");
        let evening = step("depletion in the evening");
        let sum: f64 = evening.inputs.iter().map(|i| if i.name == "entered" { -i.value } else { i.value }).sum();
        assert!((sum - evening.value).abs() < 1e-9, "{date}: {sum} against {}", evening.value);
        let looked = steps.iter().any(|s| s.what == "share of the available water after a reading");
        assert_eq!(looked, date == day("2026-07-10"));
    }
    // without deeper roots, reading or a dried surface nothing is left over: a day on which water drains
    let other =
        season.explain(day("2026-06-05"), 0).unwrap().iter().find(|s| s.what == "depletion in the evening").unwrap().inputs[6].value;
    assert!(other.abs() < 0.2, "{other}");
    assert_eq!(
        season.explain(day("2027-06-05"), 0).unwrap_err().to_string(),
        "2027-06-05 is not within the season, 2026-06-01 to 2026-08-29. Ask for a day and a column of the season."
    );
    assert!(season.explain(weather.first(), 1).unwrap_err().to_string().starts_with("column 1 is not within the season, which has 1"));
    let lean = RunOptions { record: Record::Chosen(vec![Series::Depletion]), ..RunOptions::default() };
    let lean = run_stand(&given, &lean, &Control::new()).unwrap();
    assert_eq!(
        lean.explain(weather.first(), 0).unwrap_err().to_string(),
        "the daily rain_mm is missing. Run the season with every series kept to have a day explained."
    );
}

#[test]
fn a_season_survives_json_bit_for_bit() {
    let (weather, stand, profile) = (summer(), fir(), loam());
    let mut given = StandRun::new(&weather, &stand, &profile);
    given.beside = true;
    given.readings =
        vec![Reading { uncertainty: Some(f64::INFINITY), ..Reading::new(day("2026-07-10"), 0.05, 0.15, Seen::Available(0.4)) }];
    for record in [Record::All, Record::Totals, Record::Chosen(vec![Series::Stress, Series::Rain])] {
        let season = run_stand(&given, &RunOptions { record, ..RunOptions::default() }, &Control::new()).unwrap();
        let text = serde_json::to_string(&season).unwrap();
        assert_eq!(serde_json::from_str::<Season>(&text).unwrap(), season);
    }
    let text = serde_json::to_string(&season(&given).unwrap()).unwrap();
    let newer = serde_json::from_str::<Season>(&text.replacen("\"schema\":1", "\"schema\":2", 1)).unwrap_err().to_string();
    assert!(newer.starts_with("cannot read season \"2\": its schema is newer than 1"), "{newer}");
    let short = serde_json::from_str::<Season>(&text.replacen("\"days\":90", "\"days\":91", 1)).unwrap_err().to_string();
    assert!(short.starts_with("eto_mm of the season does not have 91 days of 3 columns"), "{short}");
}

#[test]
fn the_fao56_form_names_itself() {
    let (weather, stand, profile) = (summer(), fir(), loam());
    let given = StandRun::new(&weather, &stand, &profile);
    let options = RunOptions { form: "fao56".parse().unwrap(), ..RunOptions::default() };
    let season = run_stand(&given, &options, &Control::new()).unwrap();
    assert_eq!(season.form(), Form::Printed { drain_first: false });
    assert!(season.explain(weather.first(), 0).unwrap().iter().any(|s| s.source == "FAO-56 Eq. 88"));
}

#[test]
fn what_lies_outside_the_season_is_refused() {
    let (weather, stand, profile) = (summer(), fir(), loam());
    let mut given = StandRun::new(&weather, &stand, &profile);
    given.waterings = vec![Watering { date: day("2026-09-01"), depth_mm: 9.0, rate_mm_h: None }];
    assert_eq!(
        season(&given).unwrap_err().to_string(),
        "the watering of 2026-09-01 lies outside the season, 2026-06-01 to 2026-08-29. Give weather for that day, or leave it out."
    );
    given.waterings = vec![Watering { date: day("2026-06-05"), depth_mm: 9.0, rate_mm_h: None }];
    given.from = Some(day("2026-06-06"));
    assert!(season(&given).unwrap_err().to_string().starts_with("the watering of 2026-06-05 lies outside the season, 2026-06-06 to"));
    given.waterings.clear();
    assert_eq!(season(&given).unwrap().first(), day("2026-06-06"));
    given.start = Some(1.5);
    assert_eq!(
        season(&given).unwrap_err().to_string(),
        "column \"tree\": start is 1.5: fraction must be from 0 to 1. Give a fraction from 0 to 1, 0.35 for 35 %."
    );
}

#[test]
fn a_winter_is_refused_unless_it_is_spoken_of() {
    let (stand, profile) = (fir(), loam());
    let frozen = weather("2026-01-01", 40, -20.0);
    let mut given = StandRun::new(&frozen, &stand, &profile);
    assert!(season(&given).unwrap_err().to_string().starts_with("the weather has a winter: 2026-01-01 to 2026-02-09 stay below freezing"));
    given.winter = Winter::Ignore;
    assert_eq!(season(&given).unwrap().days(), 40);
}

#[test]
fn progress_counts_all_blocks_together_and_a_limit_holds_for_any_number_of_threads() {
    let (weather, stand, profile) = (summer(), fir(), loam());
    let surfaces = Surfaces::over(&stand, &weather).unwrap();
    let columns: Vec<_> = (0..40).map(|i| Column::new(i.to_string(), &weather, &surfaces.tree, &profile)).collect();
    let total = 3 * DAYS as u64; // 40 columns are three blocks
    let seen = std::sync::Arc::new(std::sync::Mutex::new(Vec::new()));
    let log = std::sync::Arc::clone(&seen);
    let control = Control::new().with_progress(move |done, total| log.lock().unwrap().push((done, total)));
    run(&columns, &RunOptions::default(), &control).unwrap();
    let mut seen = seen.lock().unwrap().clone();
    seen.sort_unstable();
    assert_eq!(seen.last(), Some(&(total, total)));
    for threads in [1, 2] {
        let options = RunOptions { n_threads: Some(threads), ..RunOptions::default() };
        assert!(run(&columns, &options, &Control::new().with_limit(total - 1)).unwrap_err().is_limit());
        assert!(run(&columns, &options, &Control::new().with_limit(total)).is_ok());
    }
}

/// Four real years, files to ledger: Seattle (temperature, rain and wind, the rest filled by published methods).
#[test]
fn four_seattle_summers_run_from_file_to_ledger() {
    let options = CsvOptions { units: Some(System::Si), ..CsvOptions::default() };
    let records = Weather::parse_csv(include_str!("reference/weather/seattle.csv"), &options).unwrap();
    let daily = records.complete(&Site::new(47.45, 130.0).unwrap().with_coastal(true), &Gaps::default()).unwrap();
    let stressed: Vec<usize> = (2012..=2015)
        .map(|year| {
            let days = daily.between(day(&format!("{year}-04-01")), day(&format!("{year}-09-30"))).unwrap();
            let stand = Stand::new(StandInput::new("noble fir", day(&format!("{year}-03-20")), 1.8, 1.8)).unwrap();
            let profile = loam();
            let mut given = StandRun::new(&days, &stand, &profile);
            let dry = run_stand(&given, &RunOptions::default(), &Control::new()).unwrap();
            given.refill = Some(Refill::default());
            let watered = run_stand(&given, &RunOptions::default(), &Control::new()).unwrap();
            for season in [&dry, &watered] {
                let totals = &season.totals()[0];
                let inflow = totals.rain_mm + totals.irrigation_mm;
                assert!(totals.closure_mm.abs() < 1e-9 * inflow, "{year}: closes by {} mm of {inflow}", totals.closure_mm);
            }
            let (dry, watered) = (&dry.totals()[0], &watered.totals()[0]);
            assert_eq!(watered.stress_days, 0, "{year}: watered at 35 % nothing is ever stressed");
            assert!(watered.transpiration_mm > 1.5 * dry.transpiration_mm, "{year}");
            // extension advice prints 0.5 to 2 in a week (Michigan State University Extension); 26 weeks here
            let weekly_in = watered.irrigation_mm / 25.4 / 26.0;
            assert!((0.5..2.0).contains(&weekly_in), "{year}: {weekly_in} in a week");
            dry.stress_days
        })
        .collect();
    // May to September had 155, 285, 221 and 127 mm of rain: the wettest summer has the fewest days of stress
    assert_eq!(stressed.iter().min(), stressed.get(1), "{stressed:?}");
    assert!(stressed.iter().all(|days| (60..183).contains(days)), "{stressed:?}");
}

/// A year of hours with full records: every month is of another year, so winters are as they come.
#[test]
fn a_greensboro_year_of_hours_runs_from_file_to_ledger() {
    let site = Site::new(36.1, 273.0).unwrap().with_longitude(-79.95).unwrap().with_utc_offset(-5.0).unwrap();
    let text = include_str!("reference/weather/greensboro.csv");
    let hours = Weather::parse_hours_csv(text, &site, &CsvOptions::default(), &HourOptions::default()).unwrap();
    let days = hours.complete(&site, &Gaps::default()).unwrap();
    let stand = Stand::new(StandInput::new("Scotch pine", days.first(), 2.0, 2.0)).unwrap();
    let profile = Profile::uniform(Soil::from_texture(TextureClass::ClayLoam, 2.0).unwrap());
    let season =
        run_stand(&StandRun { winter: Winter::Ignore, ..StandRun::new(&days, &stand, &profile) }, &RunOptions::default(), &Control::new())
            .unwrap();
    let totals = &season.totals()[0];
    assert!((totals.rain_mm - 834.5).abs() < 0.1 && totals.closure_mm.abs() < 1e-9 * totals.rain_mm, "{}", totals.rain_mm);
    assert!(
        (0.02..0.3).contains(&(totals.runoff_mm / totals.rain_mm)) && totals.drainage_mm > 0.0,
        "{} ran off, {} drained",
        totals.runoff_mm,
        totals.drainage_mm
    );
}
