//! The plan through its public door: the demo farm, a heavy soil, what-if, JSON, and what is refused.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::farm::{Farm, Plan, PlanOptions, Standing, plan};
use dibble::soil::intake::PulseLimit;
use dibble::water::Winter;
use dibble::weather::{CsvOptions, Weather};

fn demo(options: &PlanOptions) -> Plan {
    plan(&Farm::demo().unwrap(), &Farm::demo_weather().unwrap(), Farm::demo_today().unwrap(), options).unwrap()
}

#[test]
fn the_demo_farm_has_blocks_in_every_state_of_need() {
    let plan = demo(&PlanOptions::default());
    assert_eq!(plan.blocks.len(), Farm::demo().unwrap().blocks().len());
    assert!(plan.blocks.iter().any(|b| b.standing == Standing::Due) && plan.blocks.iter().any(|b| b.standing == Standing::Soon));
    for block in &plan.blocks {
        let d = &block.depletion;
        assert!(d.low <= d.value && d.value <= d.high && d.low >= 0.0 && d.high <= 1.0, "{}", block.name);
        assert!(block.so_far.closure_mm.abs() < 1e-9 * block.so_far.rain_mm, "{}", block.name);
        assert!(block.net_mm <= block.depletion_mm.value && block.gross_mm.0 >= block.net_mm, "{}", block.name);
        assert!((block.tree_l - block.net_mm * block.root_area_m2).abs() < 1e-12, "{}", block.name);
        if let Some(left) = block.days_left {
            assert!(left.low <= left.value && left.value <= left.high, "{}", block.name);
        }
    }
    let text = plan.to_string();
    assert!(text.lines().all(|l| l.chars().count() <= 130), "a line is too long for a page");
    for wanted in ["How dry", "Days left", "an inch a week", "Give", "per tree", "Taken for granted", "Take care"] {
        assert!(text.contains(wanted), "the page lacks \"{wanted}\"");
    }
}

#[test]
fn json_holds_every_number_exactly_and_csv_a_row_for_each_block() {
    let plan = demo(&PlanOptions { rain_mm: Some(3.0), ..PlanOptions::default() });
    assert_eq!(Plan::from_json(&plan.to_json().unwrap()).unwrap(), plan);
    let newer = plan.to_json().unwrap().replacen("\"schema\": 1", "\"schema\": 2", 1);
    assert!(Plan::from_json(&newer).unwrap_err().to_string().contains("its schema 2 is newer than 1"));
    let csv = plan.to_csv();
    let mut lines = csv.lines();
    let columns = lines.next().unwrap().split(',').count();
    let rows: Vec<&str> = lines.collect();
    assert_eq!(rows.len(), plan.blocks.len());
    assert!(rows.iter().all(|r| r.split(',').count() == columns));
}

#[test]
fn the_explanation_recomputes_the_printed_answer() {
    let plan = demo(&PlanOptions::default());
    for block in &plan.blocks {
        let steps = plan.explain(&block.name).unwrap();
        let value = |what: &str| steps.iter().find(|s| s.what == what).unwrap_or_else(|| panic!("no step {what}")).clone();
        let share = value("share of the available water used");
        assert!((share.inputs[0].value / share.inputs[1].value - share.value).abs() < 1e-12);
        let used = value("transpiration yesterday");
        let product: f64 = used.inputs.iter().map(|i| i.value).product();
        assert!((product - used.value).abs() < 1e-9, "{}: Ks Kcb ETo = {product}, the ledger has {}", block.name, used.value);
        let balance = value("balance since the start");
        let signed = [1.0, 1.0, 1.0, 1.0, -1.0, -1.0, -1.0, -1.0, -1.0];
        let sum: f64 = balance.inputs.iter().zip(signed).map(|(i, s)| s * i.value).sum();
        assert!((sum - balance.value).abs() < 1e-6, "{}: {sum} and {}", block.name, balance.value);
    }
    let error = plan.explain("Ponds field").unwrap_err().to_string();
    assert!(error.starts_with("block \"Ponds field\" is not known. Did you mean \"Pond field\"?"), "{error}");
}

#[test]
fn the_number_of_threads_changes_nothing_and_none_is_refused() {
    let on = |n_threads| PlanOptions { n_threads, ..PlanOptions::default() };
    assert_eq!(demo(&on(Some(1))), demo(&on(Some(3))));
    let error = plan(&Farm::demo().unwrap(), &Farm::demo_weather().unwrap(), Farm::demo_today().unwrap(), &on(Some(0))).unwrap_err();
    assert_eq!(error.to_string(), "n_threads is 0. Give 1 to 1024 threads, or none for one to each core.");
}

#[test]
fn rain_and_watering_today_buy_days() {
    let plain = demo(&PlanOptions::default());
    let with = demo(&PlanOptions { rain_mm: Some(10.0), watered_min: Some(60.0), ..PlanOptions::default() });
    for (before, after) in plain.blocks.iter().zip(&with.blocks) {
        assert_eq!(before.depletion, after.depletion, "this morning is the same");
        let what_if = after.what_if.as_ref().unwrap();
        // 10 mm of rain and an hour at 0.75 in/h, of which 70 to 75 % arrives
        assert!(what_if.received_mm > 5.0 && what_if.received_mm < 10.0 + 19.05, "{}: {}", after.name, what_if.received_mm);
        assert!(what_if.days_left.unwrap_or(31.0) >= before.days_left.map_or(31.0, |d| d.value), "{}", after.name);
    }
    assert!(plain.blocks.iter().all(|b| b.what_if.is_none()));
    // six inches of rain bring back those that are due this morning
    assert!(plain.blocks.iter().any(|b| b.standing == Standing::Due));
    let soaked = demo(&PlanOptions { rain_mm: Some(152.4), ..PlanOptions::default() });
    for block in &soaked.blocks {
        let left = block.what_if.as_ref().unwrap().days_left.unwrap_or(31.0);
        assert!(left > 1.5, "{}: {left}", block.name);
    }
}

/// Clay of Saxton and Rawls' Table 3 (25 % sand, 50 % clay), 0.2 m of roots, about 35 % depleted.
fn heavy() -> Plan {
    let farm = Farm::parse(
        r#"
        name = "heavy"
        [site]
        latitude_deg = 45.0
        elevation_m = 200.0
        [sprinkler]
        rate_mm_h = 19.0
        [soil.clay]
        sand_pct = 25.0
        clay_pct = 50.0
        organic_matter_pct = 2.5
        [[block]]
        name = "bottom"
        species = "Fraser fir"
        planted = 2026-04-20
        row_spacing_m = 1.8
        tree_spacing_m = 1.8
        trees = 900
        soil = "clay"
        root_depth_m = 0.2
        start_wetness = 0.65
        irrigation_efficiency = 0.9
        slope_pct = 4.0
        "#,
        "heavy.toml",
    )
    .unwrap();
    // one damp, cold, still day, so that hardly any water is used
    let weather = "date,tmin_c,tmax_c,rh_min_pct,rh_max_pct,wind_m_s,solar_mj_m2,rain_mm\n2026-06-30,4,5,98,100,0.5,1,0\n";
    let weather = Weather::parse_csv(weather, &CsvOptions::default()).unwrap();
    plan(&farm, &weather, "2026-07-01".parse().unwrap(), &PlanOptions::default()).unwrap()
}

#[test]
fn a_heavy_soil_is_told_what_it_can_use_and_how_slowly_it_takes_it() {
    let plan = heavy();
    let block = &plan.blocks[0];
    // 0.35 x (0.4206 - 0.2979) x 200 mm = 8.6 mm, not the 19 mm of an hour's habit; the day itself used a little
    assert!((8.5..9.3).contains(&block.depletion_mm.value), "{}", block.depletion_mm.value);
    assert!(block.net_mm <= block.depletion_mm.value && block.net_mm > 6.0, "{}", block.net_mm);
    let intake = block.intake.as_ref().unwrap();
    assert!((intake.conductivity_mm_h.low - 0.3).abs() < 0.01 && (intake.conductivity_mm_h.high - 1.14).abs() < 0.01);
    // Green-Ampt, suction 316 mm, deficit about 0.12, 18 mm landing in an hour (19 less spray): a quarter to a half enters
    assert!((intake.one_hour_share.low - 0.26).abs() < 0.03, "{}", intake.one_hour_share.low);
    assert!((intake.one_hour_share.high - 0.51).abs() < 0.04, "{}", intake.one_hour_share.high);
    assert!(intake.pulses.is_pulsed() && intake.pulses.elapsed_h > 1.0 && intake.pulses.limit == PulseLimit::None);
    assert!(intake.pulses.depth_mm <= block.net_mm / 0.9);
    let told: f64 = intake.pulses.pulses.iter().map(|p| p.on_min + p.soak_min).sum();
    assert!((told / 60.0 - intake.pulses.elapsed_h).abs() < 1e-6, "{told} min told, {} h in all", intake.pulses.elapsed_h);
    let on: f64 = intake.pulses.pulses.iter().map(|p| p.on_min).sum();
    assert!((on - intake.pulses.on_min).abs() < 1e-6, "{on} min on, {} min in all", intake.pulses.on_min);
    let text = plan.to_string().split_whitespace().collect::<Vec<_>>().join(" "); // the page wraps its lines
    for wanted in ["pulses, minutes on/soaking: ", "of an hour's run", "would enter", "short of field capacity"] {
        assert!(text.contains(wanted), "the page lacks \"{wanted}\":\n{text}");
    }
}

#[test]
fn what_cannot_be_planned_is_refused_with_what_to_do() {
    let (farm, weather, today) = (Farm::demo().unwrap(), Farm::demo_weather().unwrap(), Farm::demo_today().unwrap());
    let refused = |day: &str, options: PlanOptions| plan(&farm, &weather, day.parse().unwrap(), &options).unwrap_err().to_string();
    assert_eq!(
        refused("2026-09-01", PlanOptions::default()),
        "the weather runs from 2026-05-01 to 2026-07-20, and the plan is for 2026-09-01. Give weather up to the day before the plan, or another date."
    );
    assert!(refused("2026-05-01", PlanOptions::default()).starts_with("the weather runs from 2026-05-01"));
    assert_eq!(
        refused(&today.to_string(), PlanOptions { rain_mm: Some(-1.0), ..PlanOptions::default() }),
        "rain is -1 mm: rain must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm. Rain cannot be negative."
    );
    assert!(
        refused(&today.to_string(), PlanOptions { watered_min: Some(f64::NAN), ..PlanOptions::default() })
            .starts_with("watered is NaN min")
    );
    let from = Some("2027-01-01".parse().unwrap());
    assert!(refused(&today.to_string(), PlanOptions { from, ..PlanOptions::default() }).contains("is not within the weather"));
}

#[test]
fn a_block_is_reckoned_from_its_planting_and_the_season_from_april() {
    let text: String = std::iter::once("date,tmin_c,tmax_c,rain_mm\n".to_string())
        .chain((0..700).map(|day| {
            let date = "2024-08-01".parse::<dibble::Date>().unwrap() + day;
            let changing = f64::from(day % 5) * 0.3;
            format!("{date},{},{},2\n", 8.0 - changing, 20.0 + changing)
        }))
        .collect();
    let weather = Weather::parse_csv(&text, &CsvOptions::default()).unwrap();
    let plan = plan(&Farm::demo().unwrap(), &weather, "2026-06-25".parse().unwrap(), &PlanOptions::default()).unwrap();
    assert_eq!(plan.from.to_string(), "2026-04-01");
    let this_spring = plan.block("South slope").unwrap(); // planted on 2026-04-28
    assert!((this_spring.so_far.rain_mm - 2.0 * 58.0).abs() < 1e-9, "{}", this_spring.so_far.rain_mm);
    assert_eq!(this_spring.notes, ["7 entries of the log before 2026-04-28 or after 2026-06-25 do not count"]);
}

#[test]
fn a_block_that_is_not_planted_yet_is_left_out_with_its_day_and_the_others_are_planned() {
    let front = "\n[[block]]\nname = \"Front\"\nspecies = \"white pine\"\nplanted = PLANTED\nrow_spacing = \"6 ft\"\ntree_spacing = \"6 ft\"\nsoil = \"hill\"\n";
    let farm =
        |planted: &str| Farm::parse(&(Farm::demo().unwrap().to_toml().unwrap() + &front.replace("PLANTED", planted)), "farm.toml").unwrap();
    let (weather, today) = (Farm::demo_weather().unwrap(), Farm::demo_today().unwrap());
    let made = |planted: &str| plan(&farm(planted), &weather, today, &PlanOptions::default()).unwrap();
    let mut later = made("2027");
    let notes = &mut later.week.as_mut().unwrap().notes;
    assert_eq!(notes.pop().as_deref(), Some("Front is planted 2027-05-01: it is left out until the day after"));
    assert_eq!(later, plan(&Farm::demo().unwrap(), &weather, today, &PlanOptions::default()).unwrap());
    // planted this very morning it waits for its first day, planted yesterday it is there
    assert!(made("2026-07-14").block("Front").is_err() && made("2026-07-13").block("Front").is_ok());
    // where no block stands there is nothing to plan
    let text = farm("2027").to_toml().unwrap();
    let only = format!("{}{}", &text[..text.find("[[block]]").unwrap()], front.replace("PLANTED", "2027"));
    let error = plan(&Farm::parse(&only, "farm.toml").unwrap(), &weather, today, &PlanOptions::default()).unwrap_err().to_string();
    assert_eq!(
        error,
        "block \"Front\": planted is 2027-05-01, and the plan is for 2026-07-14. Make the plan for a day after it is planted, or correct the day."
    );
}

#[test]
fn a_reading_of_this_morning_counts_this_morning() {
    let plan = |feel: &str| {
        let base = Farm::demo().unwrap().to_toml().unwrap();
        let mut input = toml::from_str::<dibble::farm::FarmInput>(&base).unwrap();
        let today = Farm::demo_today().unwrap();
        input.block[0].reading = vec![dibble::farm::Reading {
            date: today,
            depth_m: 0.1,
            holes: 3,
            feel: Some(feel.parse().unwrap()),
            tension_kpa: None,
            water_content: None,
        }];
        plan(&Farm::new(input).unwrap(), &Farm::demo_weather().unwrap(), today, &PlanOptions::default()).unwrap().blocks.remove(0)
    };
    let (dry, wet) = (plan("dry"), plan("full"));
    assert!(
        dry.depletion.value > wet.depletion.value + 0.3,
        "{} after a dry hand, {} after a wet one",
        dry.depletion.value,
        wet.depletion.value
    );
    assert_eq!(dry.readings.len(), 1);
}

#[test]
fn a_winter_inside_the_weather_is_refused_or_skipped() {
    let mut text = "date,tmin_c,tmax_c,rain_mm\n".to_string();
    let first: dibble::Date = "2025-09-01".parse().unwrap();
    for day in 0..330 {
        let date = first + day;
        let cold = matches!(date.month(), 3 | 4) && date < "2026-04-25".parse().unwrap();
        let (low, high) = if cold { (-12.0, -4.0) } else { (8.0, 20.0) };
        let changing = f64::from(day % 5) * 0.3; // a sensor that never moves counts as stuck
        text += &format!("{date},{},{},2\n", low - changing, high + changing);
    }
    let weather = Weather::parse_csv(&text, &CsvOptions::default()).unwrap();
    let (farm, today) = (Farm::demo().unwrap(), Farm::demo_today().unwrap());
    let error = plan(&farm, &weather, today, &PlanOptions::default()).unwrap_err().to_string();
    assert!(error.starts_with("the weather has a winter: 2026-04-01 to 2026-04-24 stay below freezing"), "{error}");
    let skipped = plan(&farm, &weather, today, &PlanOptions { winter: Winter::Skip, ..PlanOptions::default() }).unwrap();
    assert_eq!(skipped.from.to_string(), "2026-04-25");
}

/// With `DIBBLE_WRITE_SCHEMAS` set the file is written anew.
#[cfg(feature = "schema")]
#[test]
fn the_published_json_schema_is_that_of_the_type() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/data/schema/plan.json");
    let made = Plan::new_json_schema();
    if std::env::var_os("DIBBLE_WRITE_SCHEMAS").is_some() {
        std::fs::write(path, format!("{}\n", serde_json::to_string_pretty(&made).unwrap())).unwrap();
    }
    let published: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert!(published == made, "{path} is out of date: run the tests with DIBBLE_WRITE_SCHEMAS=1 --features schema");
    assert_eq!(published["properties"]["blocks"]["items"]["$ref"], "#/$defs/BlockPlan");
}

#[test]
fn the_answer_is_short_and_the_page_has_all_of_it() {
    let plan = demo(&PlanOptions::default());
    let (answer, page) = (plan.answer().to_string(), plan.page().to_string());
    assert!(answer.lines().count() <= 67, "{answer}");
    assert!(page.lines().count() > 3 * answer.lines().count());
    for block in &plan.blocks {
        assert!(answer.contains(&format!("{:.0} % used", 100.0 * block.depletion.value)), "{}", block.name);
    }
    // the first line of each block is told in the same words
    assert_eq!(plan.answer().parts[0], plan.page().parts[0]);
    let keys = |page: dibble::farm::Page| page.parts.iter().map(|p| p.key.clone()).collect::<Vec<_>>();
    assert_eq!(keys(plan.answer()), ["headlines", "week", "blocks", "beside", "care"]);
    assert_eq!(keys(plan.page().only(" KAME ").unwrap()), ["block", "feeding"]);
    let error = plan.page().only("kost").unwrap_err().to_string();
    assert!(error.starts_with("part \"kost\" is not known. Did you mean \"cost\"?"), "{error}");
}
