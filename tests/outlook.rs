//! What to measure next, and the coming weeks over real past years.
#![allow(clippy::unwrap_used, clippy::indexing_slicing)] // helpers stand outside of the test functions

use dibble::Date;
use dibble::control::Control;
use dibble::farm::{Farm, Plan, PlanOptions, plan};
use dibble::outlook::{Answer, Input, Outlook, OutlookOptions, Sensitivity, by_block, by_week, outlook, sensitivity};
use dibble::record::{Entry, Log, What};
use dibble::units::System;
use dibble::weather::{CsvOptions, DayColumns, Quantity, Weather};

const SEATTLE: &str = include_str!("reference/weather/seattle.csv");
/// Invented, at the place of the weather.
const FARM: &str = r#"
    name = "Past years"
    units = "si"
    [site]
    latitude_deg = 47.45
    elevation_m = 130
    wind_height_m = 10
    coastal = true
    [sprinkler]
    rate_mm_h = 19
    [soil.hill]
    texture = "silt loam"
    [soil.kame]
    texture = "sandy loam"
    [[block]]
    name = "Young"
    species = "Fraser fir"
    planted = 2015-04-28
    row_spacing_m = 1.8
    tree_spacing_m = 1.5
    trees = 1200
    soil = "hill"
    irrigation_efficiency = 0.75
    [[block]]
    name = "Sandy"
    species = "balsam fir"
    planted = 2013
    row_spacing_m = 1.8
    tree_spacing_m = 1.8
    area_m2 = 4000
    soil = "kame"
    [[block]]
    name = "Old"
    species = "white pine"
    planted = 2009
    row_spacing_m = 2
    tree_spacing_m = 2
    soil = "hill"
"#;

fn day(text: &str) -> Date {
    text.parse().unwrap()
}

fn farm() -> Farm {
    Farm::parse(FARM, "farm.toml").unwrap()
}

/// Four real years, 2012 to 2015.
fn seattle() -> Weather {
    Weather::parse_csv(SEATTLE, &CsvOptions { units: Some(System::Si), ..CsvOptions::default() }).unwrap()
}

/// Records that end before `today`.
fn until(today: &str) -> Weather {
    let all = seattle();
    let columns = all.columns();
    let end = columns.dates.iter().position(|d| *d == day(today)).unwrap();
    let mut cut = DayColumns { dates: columns.dates[..end].to_vec(), ..DayColumns::default() };
    for &quantity in Quantity::ALL {
        *cut.get_mut(quantity) = columns.get(quantity).get(..end).unwrap_or_default().to_vec();
    }
    Weather::from_columns(cut).unwrap()
}

fn june(given: &OutlookOptions) -> Outlook {
    let options = PlanOptions { winter: "skip".parse().unwrap(), ..PlanOptions::default() };
    outlook(&farm(), &until("2015-06-20"), day("2015-06-20"), None, &options, given).unwrap()
}

#[test]
fn past_years_of_the_same_file_make_the_coming_weeks() {
    let ahead = june(&OutlookOptions::default());
    assert_eq!((ahead.years.clone(), ahead.days, ahead.forecast_days), (vec![2012, 2013, 2014], 56, 0));
    assert!(ahead.left_out.is_empty(), "{:?}", ahead.left_out);
    // rain from June 20th to August 14th, summed from the file outside of this crate's outlook
    let all = seattle();
    let rain = |year: i32| -> f64 {
        let from = (day(&format!("{year}-06-20")) - all.first()) as usize;
        all.columns().rain_mm[from..from + 56].iter().sum()
    };
    let mut fell = [rain(2012), rain(2013), rain(2014)];
    fell.sort_by(f64::total_cmp);
    assert!((ahead.rain_mm.middle - fell[1]).abs() < 1e-9, "{:?} {fell:?}", ahead.rain_mm);
    assert!((ahead.rain_mm.low - (fell[0] + 0.2 * (fell[1] - fell[0]))).abs() < 1e-9);
    for block in &ahead.blocks {
        assert!(block.depletion.iter().all(|b| 0.0 <= b.low && b.low <= b.middle && b.middle <= b.high && b.high <= 1.0));
        assert!(block.chance_due.windows(2).all(|w| w[0] <= w[1]), "{}", block.name);
        // the chance of a morning counts the years whose due day has come
        for (n, chance) in block.chance_due.iter().enumerate() {
            let come = block.due.iter().flatten().filter(|due| **due <= ahead.date + n as i32).count();
            assert!((chance - come as f64 / 3.0).abs() < 1e-12);
        }
    }
    let young = &ahead.blocks[0];
    assert_eq!(young.chance_due[55], 1.0, "a summer of Seattle without water for a transplant");
    assert!(young.waterings.low >= 3.0 && young.pumped_m3.is_some());
}

#[test]
fn one_year_behind_today_is_the_plan_of_that_weather() {
    // the course of 2013, once through the outlook and once as a forecast in a plan of thirty days
    let today = day("2015-06-20");
    let (records, all) = (until("2015-06-20"), seattle());
    let mut columns = records.columns().clone();
    let from = (day("2013-06-20") - all.first()) as usize;
    columns.dates.extend((0..56).map(|n| today + n));
    columns.forecast = columns.dates.iter().map(|d| *d >= today).collect();
    for &quantity in Quantity::ALL {
        let past = all.columns().get(quantity);
        if !past.is_empty() {
            columns.get_mut(quantity).extend_from_slice(&past[from..from + 56]);
        }
    }
    let weather = Weather::from_columns(columns).unwrap();
    let options = PlanOptions { winter: "skip".parse().unwrap(), ..PlanOptions::default() };
    let planned = plan(&farm(), &weather, today, &options).unwrap();
    let ahead = june(&OutlookOptions::default());
    let year = ahead.years.iter().position(|y| *y == 2013).unwrap();
    for (block, planned) in ahead.blocks.iter().zip(&planned.blocks) {
        // all years begin with this morning's state
        let now = block.depletion[0];
        assert!((now.middle - planned.depletion.value).abs() < 1e-12 && now.low == now.high, "{}", block.name);
        let days_left = planned.days_left.map(|d| d.value);
        match (block.due[year], days_left) {
            (Some(due), Some(left)) => {
                let n = f64::from(due - today);
                // the plan tells the hour within the day, the outlook the morning after it
                assert!(n >= left && n < left + 1.0, "{}: {n} and {left}", block.name);
            }
            (due, left) => assert!(due.is_none_or(|d| d - today > 55) && left.is_none_or(|l| l > 55.0), "{}: {due:?} {left:?}", block.name),
        }
    }
}

#[test]
fn threads_do_not_matter_and_json_is_exact() {
    let with = |n_threads| june(&OutlookOptions { n_threads, ..OutlookOptions::default() });
    let alone = with(Some(1));
    assert_eq!(with(Some(3)), alone);
    assert_eq!(Outlook::from_json(&alone.to_json().unwrap()).unwrap(), alone);
    assert!(Outlook::from_json("{\"schema\": 9}").unwrap_err().to_string().contains("its schema 9 is newer than 1"));
}

#[test]
fn a_dry_history_is_drier_and_a_forecast_comes_first() {
    let all = seattle();
    let changed = |factor: f64| {
        let mut columns = all.columns().clone();
        columns.rain_mm.iter_mut().for_each(|rain| *rain *= factor);
        Weather::from_columns(columns).unwrap()
    };
    let options = PlanOptions { winter: "skip".parse().unwrap(), ..PlanOptions::default() };
    let (records, today) = (until("2015-06-20"), day("2015-06-20"));
    let given = OutlookOptions { years: Some(vec![2012, 2013, 2014]), ..OutlookOptions::default() };
    let of = |history: &Weather, weather: &Weather| outlook(&farm(), weather, today, Some(history), &options, &given).unwrap();
    let (dry, wet) = (of(&changed(0.0), &records), of(&changed(3.0), &records));
    for (dry, wet) in dry.blocks.iter().zip(&wet.blocks) {
        assert!(dry.chance_due.iter().zip(&wet.chance_due).all(|(d, w)| d >= w), "{}", dry.name);
        assert!(dry.depletion.iter().zip(&wet.depletion).all(|(d, w)| d.middle >= w.middle - 1e-9), "{}", dry.name);
        assert!(dry.waterings.middle >= wet.waterings.middle);
    }
    assert_eq!(dry.rain_mm.high, 0.0);
    // ten days of the real 2015 as the forecast: until then all years agree
    let foreseen = until("2015-06-30").with_forecast_from(today);
    let ahead = of(&all, &foreseen);
    assert_eq!(ahead.forecast_days, 10);
    assert!(ahead.blocks.iter().all(|b| b.depletion[..=10].iter().all(|band| band.low == band.high)));
    assert!(ahead.blocks[0].depletion[20..].iter().any(|band| band.low < band.high));
    let fewer = OutlookOptions { forecast_days: Some(3), ..given.clone() };
    assert_eq!(outlook(&farm(), &foreseen, today, Some(&all), &options, &fewer).unwrap().forecast_days, 3);
}

#[test]
fn water_of_the_log_counts_in_the_outlook() {
    let today = day("2015-06-20");
    let water = What::Water { depth_mm: Some(25.0), time_min: None, sets: None };
    let log = Log::new("Past years").unwrap().with(Entry::done(today + -1, "Young", water)).unwrap();
    let of = |log: Option<Log>| {
        let options = PlanOptions { winter: "skip".parse().unwrap(), log, ..PlanOptions::default() };
        outlook(&farm(), &until("2015-06-20"), today, None, &options, &OutlookOptions::default()).unwrap()
    };
    let (without, with) = (of(None), of(Some(log)));
    assert!(with.blocks[0].depletion[0].middle < without.blocks[0].depletion[0].middle - 0.1);
    assert_eq!(with.blocks[1], without.blocks[1]);
}

#[test]
fn what_cannot_be_looked_at_is_refused() {
    let options = PlanOptions { winter: "skip".parse().unwrap(), ..PlanOptions::default() };
    let ask =
        |given: &OutlookOptions| outlook(&farm(), &until("2015-06-20"), day("2015-06-20"), None, &options, given).unwrap_err().to_string();
    assert_eq!(
        ask(&OutlookOptions { years: Some(vec![2013, 2014, 2015]), ..OutlookOptions::default() }),
        "year \"2015\" is not known. Did you mean \"2012\", \"2013\", \"2014\"? Known: \"2012\", \"2013\", \"2014\"."
    );
    assert_eq!(
        ask(&OutlookOptions { years: Some(vec![2013]), ..OutlookOptions::default() }),
        "a history of at least 3 whole past years is missing. Of the weather from 2012-01-01 to 2015-06-19 1 year can be used. Give \
         daily weather of earlier years (history; --years PAST.csv for the command) that holds each of the 56 days from the month and \
         day of 2015-06-20 on, or look ahead fewer days."
    );
    assert_eq!(
        ask(&OutlookOptions { days: 400, ..OutlookOptions::default() }),
        "days is 400: days to look ahead must be from 7 to 200. Give whole days; 56 are eight weeks."
    );
    let demo = outlook(
        &Farm::demo().unwrap(),
        &Farm::demo_weather().unwrap(),
        Farm::demo_today().unwrap(),
        None,
        &PlanOptions::default(),
        &OutlookOptions::default(),
    );
    assert!(demo.unwrap_err().to_string().starts_with("a history of at least 3 whole past years is missing. Of the weather from "));
    let control = Control::new();
    control.cancel();
    let stopped = PlanOptions { control, ..options.clone() };
    let error = outlook(&farm(), &until("2015-06-20"), day("2015-06-20"), None, &stopped, &OutlookOptions::default()).unwrap_err();
    assert!(error.is_cancelled(), "{error}");
    // wind of another height
    let mut columns = seattle().columns().clone();
    columns.wind_height_m = Some(2.0);
    let low = Weather::from_columns(columns).unwrap();
    let error = outlook(&farm(), &until("2015-06-20"), day("2015-06-20"), Some(&low), &options, &OutlookOptions::default()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the wind of the records was measured at 10 m, that of the past years at 2 m. Convert one of them to the other's height, or leave the wind of the past years out."
    );
}

#[test]
fn the_page_of_a_plan_takes_outlook_and_sensitivity_with_tables_of_their_numbers() {
    let options = PlanOptions { winter: "skip".parse().unwrap(), ..PlanOptions::default() };
    let (records, today) = (until("2015-06-20"), day("2015-06-20"));
    let planned = plan(&farm(), &records, today, &options).unwrap();
    let found = sensitivity(&farm(), &records, today, &options, &by_week, None).unwrap();
    let ahead = june(&OutlookOptions::default());
    let page = planned.page().with([found.part(), ahead.part()]);
    let keys: Vec<&str> = page.parts.iter().map(|p| p.key.as_str()).collect();
    let at = |key: &str| keys.iter().position(|k| *k == key).unwrap();
    assert_eq!((at("outlook"), at("assumptions")), (at("measure") + 1, at("measure") + 2), "{keys:?}");
    // every week and the last day; a cell is the chance of that morning, and the band beneath it
    let part = ahead.part();
    let [chances, bands] = part.tables.as_slice() else { panic!("two tables") };
    assert_eq!(chances.head, ["block", "06-27", "07-04", "07-11", "07-18", "07-25", "08-01", "08-08", "08-14"]);
    assert_eq!(bands.head, chances.head);
    for ((block, chance), band) in ahead.blocks.iter().zip(&chances.rows).zip(&bands.rows) {
        assert_eq!(chance.first(), Some(&block.name));
        for (column, morning) in [7, 14, 21, 28, 35, 42, 49, 55].into_iter().enumerate() {
            let b = block.depletion[morning];
            assert_eq!(chance[column + 1], format!("{:.0} %", 100.0 * block.chance_due[morning]));
            assert_eq!(band[column + 1], format!("{:.0}/{:.0}/{:.0}", 100.0 * b.low, 100.0 * b.middle, 100.0 * b.high));
        }
    }
    assert!(part.to_string().lines().all(|line| line.chars().count() <= 100), "{part}");
    // a long look ahead has as many columns
    let far = june(&OutlookOptions { days: 178, ..OutlookOptions::default() });
    assert_eq!(far.part().tables[0].head.len(), 8);
    let near = june(&OutlookOptions { days: 7, ..OutlookOptions::default() });
    assert_eq!(near.part().tables[0].head, ["block", "06-26"]);
}

fn swings(farm: &Farm) -> Sensitivity {
    let (weather, today) = (Farm::demo_weather().unwrap(), Farm::demo_today().unwrap());
    sensitivity(farm, &weather, today, &PlanOptions::default(), &by_block, None).unwrap()
}

fn of(found: &Sensitivity, input: Input) -> &dibble::outlook::Swing {
    found.swings.iter().find(|s| s.input == input).unwrap()
}

#[test]
fn each_input_moves_the_plan_the_way_it_must() {
    let found = swings(&Farm::demo().unwrap());
    assert_eq!(found.swings.len() + found.settled.len(), Input::ALL.len());
    let all = |input, holds: &dyn Fn(&Answer, &Answer) -> bool| {
        let swing = of(&found, input);
        assert!(swing.low.iter().zip(&swing.high).all(|(low, high)| holds(low, high)), "{input}: {:?} {:?}", swing.low, swing.high);
        assert!(swing.start_h > 0.0 || swing.run_min > 0.0, "{input} moves nothing");
    };
    // more rain before today, or less heat and more rain to come: later, never earlier
    all(Input::RainGauge, &|low, high| low.start_h <= high.start_h);
    all(Input::Forecast, &|low, high| low.start_h >= high.start_h);
    // a faster sprinkler runs shorter
    all(Input::Profile, &|low, high| low.run_min >= high.run_min);
    all(Input::NozzlePressure, &|low, high| low.run_min >= high.run_min);
    all(Input::Efficiency, &|low, high| {
        low.run_min > high.run_min || (low.run_min == 0.0 && high.run_min == 0.0) || low.start_h < high.start_h
    });
    all(Input::SoilHolding, &|_, _| true);
    all(Input::RootDepth, &|_, _| true);
    all(Input::Wind, &|low, high| low.start_h >= high.start_h - 1e-9);
    // ranked by the start
    assert!(found.swings.windows(2).all(|w| w[0].start_h >= w[1].start_h));
    assert!(found.by_minutes().windows(2).all(|w| w[0].run_min >= w[1].run_min));
}

#[test]
fn the_numbers_are_those_of_plans_made_by_hand() {
    let farm = Farm::demo().unwrap();
    let (weather, today) = (Farm::demo_weather().unwrap(), Farm::demo_today().unwrap());
    let found = swings(&farm);
    let made = |weather: &Weather| by_block(&plan(&farm, weather, today, &PlanOptions::default()).unwrap());
    assert_eq!(found.now, made(&weather));
    let wind = of(&found, Input::Wind);
    let mut columns = weather.columns().clone();
    columns.wind_m_s.iter_mut().for_each(|w| *w *= 0.7);
    assert_eq!(wind.low, made(&Weather::from_columns(columns).unwrap()));
    let largest = found.now.iter().zip(&wind.low).zip(&wind.high).map(|((now, low), high)| {
        let all = [now.start_h, low.start_h, high.start_h];
        all.iter().copied().fold(f64::MIN, f64::max) - all.iter().copied().fold(f64::MAX, f64::min)
    });
    assert_eq!(wind.start_h, largest.fold(0.0, f64::max));
    assert_eq!(wind.start_left_h, 0.4 * wind.start_h);
}

#[test]
fn what_was_measured_is_settled() {
    let mut input = Farm::demo().unwrap().input().clone();
    let blocks = Farm::demo().unwrap();
    let today = Farm::demo_today().unwrap();
    for (block, known) in input.block.iter_mut().zip(blocks.blocks()) {
        block.root_depth_m = Some(known.stand.root_depth_m(today, false));
    }
    let found = swings(&Farm::new(input).unwrap());
    assert_eq!(found.settled, [Input::RootDepth]);
    // without a forecast there is none to doubt
    let weather = Farm::demo_weather().unwrap();
    let mut columns = weather.columns().clone();
    columns.forecast.clear();
    let records = Weather::from_columns(columns).unwrap();
    let none = sensitivity(&Farm::demo().unwrap(), &records, records.last() + 1, &PlanOptions::default(), &by_block, None).unwrap();
    assert_eq!(none.settled, [Input::Forecast]);
}

#[test]
fn another_answer_plugs_in_and_threads_do_not_matter() {
    let (farm, weather, today) = (Farm::demo().unwrap(), Farm::demo_weather().unwrap(), Farm::demo_today().unwrap());
    let first = |plan: &Plan| {
        let soonest = by_block(plan).into_iter().min_by(|a, b| a.start_h.total_cmp(&b.start_h));
        vec![Answer { about: "the farm".into(), ..soonest.unwrap() }]
    };
    let with = |n_threads| sensitivity(&farm, &weather, today, &PlanOptions::default(), &first, n_threads).unwrap();
    let alone = with(Some(1));
    assert_eq!((alone.now.len(), alone.now[0].about.as_str()), (1, "the farm"));
    assert_eq!(with(Some(3)), alone);
    assert_eq!(Sensitivity::from_json(&alone.to_json().unwrap()).unwrap(), alone);
    let control = Control::new();
    control.cancel();
    let stopped = PlanOptions { control, ..PlanOptions::default() };
    assert!(sensitivity(&farm, &weather, today, &stopped, &first, None).unwrap_err().is_cancelled());
}

#[test]
fn the_start_of_the_week_moves_with_what_is_not_known() {
    let (farm, weather, today) = (Farm::demo().unwrap(), Farm::demo_weather().unwrap(), Farm::demo_today().unwrap());
    let found = sensitivity(&farm, &weather, today, &PlanOptions::default(), &by_week, None).unwrap();
    let planned = plan(&farm, &weather, today, &PlanOptions::default()).unwrap();
    let week = planned.week.as_ref().unwrap();
    let (now, jobs) = (&found.now[0], &week.schedule.as_ref().unwrap().jobs);
    assert_eq!((now.about.as_str(), now.run_min), ("The week's work", jobs.iter().map(|j| j.run_min).sum()));
    let start_h = week.start_by.map(|s| s.hours_since(dibble::schedule::Moment::midnight(today)));
    assert_eq!(now.start_h, start_h.unwrap_or(0.0));
    assert_eq!(found.now[1..], by_block(&planned));
    // the whole week runs longer with a slower sprinkler, by more minutes than any block does
    let rate = of(&found, Input::Profile);
    assert!(rate.run_of == 0 && rate.low[0].run_min > rate.high[0].run_min, "{rate:?}");
}

#[test]
fn words_carry_the_numbers() {
    let found = swings(&Farm::demo().unwrap()).to_string();
    assert!(found.starts_with("What to measure next (what moves the start most comes first)\n"), "{found}");
    assert!(found.contains("has to be started in") && found.contains("of doubt would be left"), "{found}");
    let ahead = june(&OutlookOptions::default()).to_string();
    assert!(ahead.starts_with("The coming 56 days as 3 past years would make them\n"), "{ahead}");
    assert!(ahead.contains("Years 2012, 2013, 2014. Rain ") && ahead.contains("Watered whenever it is due, "), "{ahead}");
    // after a good watering the block has days in hand, more in some years than in others
    let today = day("2015-06-20");
    let water = What::Water { depth_mm: Some(150.0), time_min: None, sets: None };
    let log = Log::new("Past years").unwrap().with(Entry::done(today + -1, "Old", water)).unwrap();
    let options = PlanOptions { winter: "skip".parse().unwrap(), log: Some(log), ..PlanOptions::default() };
    let ahead = outlook(&farm(), &until("2015-06-20"), today, None, &options, &OutlookOptions::default()).unwrap();
    let old = &ahead.blocks[2];
    let first = old.due.iter().flatten().min().unwrap();
    let words = ahead.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains(&format!("Old needs water by {} {first} in ", first.weekday())), "{words}");
}
