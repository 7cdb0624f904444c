//! Twelve days lived through: each morning the plan is made with what is known, the day's work and what was seen go into the
//! log, and the next morning's plan stands on it.
#![allow(clippy::unwrap_used, clippy::indexing_slicing)] // helpers stand outside of the test functions

use dibble::Date;
use dibble::farm::{Block, Farm, Plan, PlanOptions, Rain, Reading, Standing, Watered, plan};
use dibble::record::{Entry, Kind, Log, What};
use dibble::water::Seen;
use dibble::weather::{DayColumns, Weather};

const FARM: &str = r#"
    name = "Twelve days"
    units = "si"
    [site]
    latitude_deg = 45.5
    elevation_m = 290
    [sprinkler]
    rate_mm_h = 19
    [soil.hill]
    texture = "silt loam"
    [soil.kame]
    texture = "sandy loam"
    [[block]]
    name = "Young"
    species = "Fraser fir"
    planted = 2026-04-28
    row_spacing_m = 1.8
    tree_spacing_m = 1.5
    trees = 1200
    soil = "hill"
    irrigation_efficiency = 0.75
    [[block]]
    name = "Sandy"
    species = "balsam fir"
    planted = 2024
    row_spacing_m = 1.8
    tree_spacing_m = 1.8
    soil = "kame"
    irrigation_efficiency = 0.75
    [[block]]
    name = "Old"
    species = "white pine"
    planted = 2019
    row_spacing_m = 2
    tree_spacing_m = 2
    soil = "hill"
    irrigation_efficiency = 0.75
"#;
const EFFICIENCY: f64 = 0.75;
/// Days that the forecast reaches.
const AHEAD: i32 = 4;
/// What the farm's own gauge caught on the day that the forecast missed; the station, some miles off, had less.
const GAUGE_MM: f64 = 14.0;

fn day(text: &str) -> Date {
    text.parse().unwrap()
}

/// What is known in the morning of `today`: records to yesterday, then a forecast that has no rain at all.
fn known(today: Date) -> Weather {
    let all = Farm::demo_weather().unwrap();
    let columns = all.columns();
    let end = columns.dates.iter().position(|d| *d == today + AHEAD).unwrap();
    let cut = |values: &[f64]| values.get(..end).unwrap_or_default().to_vec();
    let forecast: Vec<bool> = columns.dates[..end].iter().map(|d| *d >= today).collect();
    let rain_mm = cut(&columns.rain_mm).iter().zip(&forecast).map(|(rain, ahead)| if *ahead { 0.0 } else { *rain }).collect();
    Weather::from_columns(DayColumns {
        dates: columns.dates[..end].to_vec(),
        tmin_c: cut(&columns.tmin_c),
        tmax_c: cut(&columns.tmax_c),
        rh_min_pct: cut(&columns.rh_min_pct),
        rh_max_pct: cut(&columns.rh_max_pct),
        wind_m_s: cut(&columns.wind_m_s),
        solar_mj_m2: cut(&columns.solar_mj_m2),
        rain_mm,
        forecast,
        ..DayColumns::default()
    })
    .unwrap()
}

/// The station's rain of a day.
fn station_mm(date: Date) -> f64 {
    let all = Farm::demo_weather().unwrap();
    let at = all.columns().dates.iter().position(|d| *d == date).unwrap();
    all.columns().rain_mm[at]
}

/// What a morning found and what was done on that day.
struct Lived {
    plan: Plan,
    /// Depth pumped by block, mm.
    pumped_mm: Vec<f64>,
}

/// The twelve days, and the log as it stands at the end.
fn live(farm: &Farm, first: Date, missed: Date) -> (Vec<Lived>, Log) {
    let mut text = Log::new(farm.name()).unwrap().text().to_string();
    let mut days = Vec::new();
    for today in (0..12).map(|n| first + n) {
        // the log comes from its text each morning, as from the file
        let mut log = Log::parse(&text, "log.csv").unwrap();
        let made = plan(farm, &known(today), today, &PlanOptions { log: Some(log.clone()), ..PlanOptions::default() }).unwrap();
        let mut pumped_mm = Vec::new();
        for block in &made.blocks {
            let due = block.standing == Standing::Due && block.net_mm > 0.0;
            let wanted_mm = (block.gross_mm.0 * 10.0).round() / 10.0;
            pumped_mm.push(if due { wanted_mm - 1.0 } else { 0.0 });
            if due {
                let water = |mm| What::Water { depth_mm: Some(mm), time_min: None, sets: None };
                log = log.with(Entry::planned(today, &block.name, water(wanted_mm))).unwrap();
                let planned = log.entries().last().unwrap().id.clone();
                let done = Entry { of: Some(planned), ..Entry::done(today, &block.name, water(wanted_mm - 1.0)) };
                log = log.with(done).unwrap();
            }
        }
        if today == first + 3 {
            let seen = Seen::Feel("slightly moist".parse().unwrap());
            log = log.with(Entry::done(today, "Old", What::Reading { soil_depth_m: 0.1, holes: 3, seen })).unwrap();
        }
        if today == missed {
            log = log.with(Entry::done(today, "", What::Rain { depth_mm: GAUGE_MM })).unwrap();
        }
        text = log.text().to_string();
        if today == first + 6 {
            // the battery dies while a note is written
            text.push_str("2026-07-09-9,2026-07-09,Young,done,wat");
        }
        days.push(Lived { plan: made, pumped_mm });
    }
    (days, Log::parse(&text, "log.csv").unwrap())
}

#[test]
fn twelve_days_close_and_nothing_counts_twice() {
    let farm = Farm::parse(FARM, "farm.toml").unwrap();
    let (first, missed) = (day("2026-06-30"), day("2026-07-08"));
    let (days, log) = live(&farm, first, missed);
    assert_eq!((log.faults().len(), log.remarks().len()), (1, 0), "{:?} {:?}", log.faults(), log.remarks());
    let watered = log.counting().iter().filter(|e| e.what.kind() == Kind::Water).count();
    assert!(watered >= 4 && log.open().is_empty(), "{watered} waterings, {} open", log.open().len());

    for (index, lived) in days.iter().enumerate() {
        let today = first + index as i32;
        assert_eq!(lived.plan.date, today);
        for (block, now) in lived.plan.blocks.iter().enumerate() {
            let totals = &now.so_far;
            let inflow = totals.rain_mm + totals.irrigation_mm;
            assert!(totals.closure_mm.abs() < 1e-9 * inflow.max(1.0), "{today} {}: {} mm open", now.name, totals.closure_mm);
            // the day that passed brought its own rain and its own watering, once
            let Some(before) = index.checked_sub(1).map(|i| &days[i]) else { continue };
            let was = &before.plan.blocks[block].so_far;
            let fell = if today == missed + 1 { GAUGE_MM } else { station_mm(today + -1) };
            let rain = totals.rain_mm - was.rain_mm;
            assert!((rain - fell).abs() < 1e-9, "{today} {}: {rain} mm of rain were counted, and {fell} fell", now.name);
            let pumped = before.pumped_mm[block] * EFFICIENCY;
            let given = totals.irrigation_mm - was.irrigation_mm;
            assert!((given - pumped).abs() < 1e-9, "{today} {}: {given} mm were counted, and {pumped} arrived", now.name);
            if pumped > 0.0 {
                let without = plan(&farm, &known(today), today, &PlanOptions::default()).unwrap();
                let drier_mm = without.blocks[block].depletion_mm.value - now.depletion_mm.value;
                assert!(drier_mm > 1.0, "{today} {}: watered and {drier_mm} mm wetter", now.name);
            }
        }
    }

    // the rain that nobody foresaw: the morning before, the plan had none; the morning after it counts
    let (eve, after) = (&days[8], &days[9]);
    assert_eq!((eve.plan.date, eve.plan.blocks[0].week_rain_mm), (missed, 0.0));
    assert!(station_mm(missed) < GAUGE_MM);
    for (before, now) in eve.plan.blocks.iter().zip(&after.plan.blocks) {
        assert!(
            now.depletion_mm.value < before.depletion_mm.value + 1.0,
            "{}: {} then {}",
            now.name,
            before.depletion_mm.value,
            now.depletion_mm.value
        );
    }
    // the shovel test of the fourth morning is in every later plan, once, and in no earlier one
    let tests: Vec<usize> = days.iter().map(|d| d.plan.block("Old").unwrap().readings.len()).collect();
    assert_eq!(tests, [0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 1, 1]);
}

#[test]
fn the_same_days_out_of_the_farm_file_give_the_same_plan() {
    let farm = Farm::parse(FARM, "farm.toml").unwrap();
    let (first, missed) = (day("2026-06-30"), day("2026-07-08"));
    let (_, log) = live(&farm, first, missed);
    let end = first + 12;
    let logged = plan(&farm, &known(end), end, &PlanOptions { log: Some(log.clone()), ..PlanOptions::default() }).unwrap();

    // by hand into the farm file, without the code that joins the two
    let mut input = farm.input().clone();
    for entry in log.counting() {
        let date = entry.date;
        let of_block = |block: &&mut Block| entry.block.is_empty() || block.name == entry.block;
        for block in input.block.iter_mut().filter(of_block) {
            match entry.what {
                What::Water { depth_mm, .. } => block.watered.push(Watered::by_depth(date, depth_mm.unwrap())),
                What::Rain { depth_mm } => block.rain.push(Rain { date, depth_mm }),
                What::Reading { soil_depth_m, holes, seen: Seen::Feel(band) } => block.reading.push(Reading {
                    date,
                    depth_m: soil_depth_m,
                    holes,
                    feel: Some(band),
                    tension_kpa: None,
                    water_content: None,
                }),
                _ => panic!("no such entry was made"),
            }
        }
    }
    let filed = plan(&Farm::new(input.clone()).unwrap(), &known(end), end, &PlanOptions::default()).unwrap();
    assert_eq!(filed.blocks, logged.blocks);
    // and with both at once the plan is refused: every event would count twice
    let both = plan(&Farm::new(input).unwrap(), &known(end), end, &PlanOptions { log: Some(log.clone()), ..PlanOptions::default() });
    let doubled = log.counting().iter().filter(|e| !e.block.is_empty()).count();
    let error = both.unwrap_err();
    assert_eq!(error.problems().len(), doubled);
    assert!(error.problems()[0].to_string().contains("in the farm file too, and it would count twice"), "{error}");

    // lines in another order are the same log
    let mut lines: Vec<&str> = log.text().lines().collect();
    let torn = lines.iter().position(|l| l.ends_with(",wat")).unwrap();
    lines.remove(torn);
    // what takes the place of a line stays below it, so days are turned round and each day keeps its order
    let mut dated: Vec<&str> = lines.split_off(2);
    dated.sort_by_key(|line| std::cmp::Reverse(line.split(',').nth(1).map(str::to_string)));
    let turned = Log::parse(&format!("{}\n{}\n", lines.join("\n"), dated.join("\n")), "log.csv").unwrap();
    assert!(turned.faults().is_empty() && !turned.remarks().is_empty());
    let replanned = plan(&farm, &known(end), end, &PlanOptions { log: Some(turned), ..PlanOptions::default() }).unwrap();
    assert_eq!(replanned.blocks, logged.blocks);
}
