//! The week's section of the plan: what has to hold on the demo farm, a week that cannot be done, and bad tables.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::farm::{Farm, Plan, PlanOptions, plan};
use dibble::schedule::{ClosedHours, HourLimits, Moment};
use dibble::units::System;
use dibble::weather::{CsvOptions, Weather};

fn demo() -> Plan {
    plan(&Farm::demo().unwrap(), &Farm::demo_weather().unwrap(), Farm::demo_today().unwrap(), &PlanOptions::default()).unwrap()
}

/// Thirty dry days and a forecast of seven, with rain on the fourth of it.
fn weather(rain_mm: f64) -> Weather {
    let mut text = String::from("date,tmin_c,tmax_c,rain_mm,forecast\n");
    for day in 0..37 {
        let date = "2026-06-14".parse::<dibble::Date>().unwrap() + day;
        let rain = if day == 33 { rain_mm } else { 0.0 };
        text.push_str(&format!("{date},14,27,{rain},{}\n", u8::from(day >= 30)));
    }
    Weather::parse_csv(&text, &CsvOptions::default()).unwrap()
}

/// Two blocks on loam, watered on July 8th, so that both have some days left on the 14th.
fn small(tables: &str) -> String {
    let block = |name: &str, planted: i32, trees: u32, sale: i32| {
        format!(
            "[[block]]\nname = \"{name}\"\nspecies = \"Fraser fir\"\nplanted = {planted}\nrow_spacing_m = 1.8\ntree_spacing_m = 1.8\n\
             trees = {trees}\nsoil = \"loam\"\nirrigation_efficiency = 0.8\nroot_depth_m = 0.6\nsale_year = {sale}\nwatered = [{{ date = 2026-07-08, depth_mm = 110 }}]\nreading = [\n\
             {{ date = 2026-07-14, depth_m = 0.1, water_content = 0.235, holes = 8 }}, {{ date = 2026-07-14, depth_m = 0.3, water_content = 0.235, holes = 8 }},\n\
             {{ date = 2026-07-14, depth_m = 0.5, water_content = 0.235, holes = 8 }} ]\n"
        )
    };
    format!(
        "name = \"Small\"\n{tables}\n[site]\nlatitude_deg = 45.0\nelevation_m = 250.0\n\
         [sprinkler]\nrate_mm_h = 15.0\nmove_time_min = 30\n\
         [soil.loam]\nwilting_point = 0.12\nfield_capacity = 0.28\nsaturation = 0.45\nksat_mm_h = 40.0\n{}{}",
        block("young", 2024, 1000, 2034),
        block("old", 2018, 1500, 2027)
    )
}

fn small_plan(tables: &str, rain_mm: f64) -> Plan {
    let farm = Farm::parse(&small(tables), "small.toml").unwrap();
    plan(&farm, &weather(rain_mm), "2026-07-14".parse().unwrap(), &PlanOptions::default()).unwrap()
}

const MORNINGS: &str = "window = [{ from = \"5:00\", to = \"10:00\" }]";

#[test]
fn the_demo_week_keeps_its_windows_and_moves_one_sprinkler() {
    let farm = Farm::demo().unwrap();
    let plan = demo();
    let week = plan.week.as_ref().unwrap();
    let schedule = week.schedule.as_ref().unwrap();
    let open = farm.windows().unwrap().open(Moment::midnight(plan.date), 30).unwrap();
    assert!(!schedule.timetable.is_empty());
    for stint in &schedule.timetable {
        assert!(open.iter().any(|(a, b)| *a <= stint.begin && stint.off <= *b), "{} {} outside of the windows", stint.job, stint.begin);
        assert_eq!(stint.off.minutes_since(stint.on) as f64, stint.run_min);
    }
    assert!(schedule.timetable.windows(2).all(|w| w[0].off <= w[1].begin), "one sprinkler at two places");
    // every set of every block of the week is in the timetable, and what is short or not is said
    for job in &schedule.jobs {
        let run: f64 = schedule.timetable.iter().filter(|s| s.job == job.name).map(|s| s.run_min).sum();
        assert_eq!(run, job.run_min);
    }
    assert_eq!(schedule.in_time, schedule.jobs.iter().all(|j| j.late_h == 0.0));
    // every block may be past its limit, so none is late by the low ends; by the likely limits the last one is, and that is told
    let limit_h = 24.0 * plan.blocks.iter().find(|b| b.name == "Pond field").unwrap().without_rain.days_left.unwrap().value;
    let done = schedule.jobs.iter().find(|j| j.name == "Pond field").unwrap().finish;
    assert_eq!(week.late_likely.len(), 1, "{:?}", week.late_likely);
    assert!(week.late_likely[0].0 == "Pond field" && (done.hours_since(schedule.now) - limit_h - week.late_likely[0].1).abs() < 0.1);
    assert!(week.start_by_likely.is_none() && week.due_likely && !week.remedies.is_empty());
    // pump and hoses are known: a larger nozzle gives what they can
    let nozzle = week.remedies.iter().find(|r| r.what == "a larger nozzle").unwrap();
    assert!(nozzle.price.contains(" % more flow at the duty point"), "{}", nozzle.price);
    let text = plan.to_string();
    for wanted in
        ["This week", "Start by", "With rain", "Too late", "Water to pump", "Passes left", "What the week's work costs", "Worth it?"]
    {
        assert!(text.contains(wanted), "the page lacks \"{wanted}\"");
    }
    let in_si = PlanOptions { units: Some(System::Si), ..PlanOptions::default() };
    let si = dibble::farm::plan(&farm, &Farm::demo_weather().unwrap(), plan.date, &in_si).unwrap().to_string();
    assert!(!si.contains(" gal ") && si.contains("m3"), "{si}");
    assert_eq!(Plan::from_json(&plan.to_json().unwrap()).unwrap(), plan);
}

#[test]
fn no_foreseen_rain_is_credited_and_a_second_line_credits_it() {
    // 40 mm on the fourth day refill the root zone before the likely limits; the first line does not know of them
    let (dry, wet) = (small_plan(MORNINGS, 0.0), small_plan(MORNINGS, 40.0));
    let (dry_week, wet_week) = (dry.week.as_ref().unwrap(), wet.week.as_ref().unwrap());
    assert_eq!(dry_week.schedule, wet_week.schedule);
    assert!(dry_week.start_by.is_some() && dry_week.start_by == wet_week.start_by);
    assert_eq!(dry_week.start_by_with_rain, dry_week.start_by);
    for (d, w) in dry.blocks.iter().zip(&wet.blocks) {
        assert_eq!(d.without_rain, w.without_rain);
        assert_eq!(d.with_rain, d.without_rain);
        let left = |days: Option<dibble::farm::Estimate>| days.map_or(30.0, |d| d.value);
        assert!(left(w.with_rain.days_left) > left(w.without_rain.days_left) + 1.0, "{}", w.name);
    }
    assert!(wet_week.start_by_with_rain.is_none_or(|t| t > wet_week.start_by.unwrap()) || !wet_week.due_with_rain);
}

#[test]
fn the_latest_begin_is_in_time_and_the_limit_is_the_low_end() {
    let plan = small_plan(MORNINGS, 0.0);
    let week = plan.week.as_ref().unwrap();
    assert!(week.past_limit.is_empty(), "{:?}", plan.blocks.iter().map(|b| b.days_left).collect::<Vec<_>>());
    let schedule = week.schedule.as_ref().unwrap();
    assert!(schedule.in_time && week.remedies.is_empty());
    assert_eq!(week.start_by, schedule.start_by);
    assert_eq!(schedule.timetable[0].begin.max(schedule.start_by.unwrap()), schedule.timetable[0].begin);
    for (job, block) in schedule.jobs.iter().map(|j| (j, plan.block(&j.name).unwrap())) {
        let low = block.without_rain.days_left.unwrap().low;
        let hours = job.due.unwrap().hours_since(Moment::midnight(plan.date));
        assert!((hours - 24.0 * low).abs() < 0.02, "{}: due in {hours} h, the low end is {low} days", job.name);
        // depth and minutes are those of the day that it is served
        let day = (job.begin.date() - plan.date) as usize;
        let minutes = 60.0 * block.without_rain.net_mm[day] / 0.8 / 15.0;
        // each pulse is rounded up
        let pulses = schedule.timetable.iter().filter(|s| s.job == job.name).count() as f64;
        assert!(job.run_min >= minutes && job.run_min < minutes + pulses, "{}: {} and {minutes}", job.name, job.run_min);
        assert!(block.without_rain.net_mm[day] > block.net_mm, "the root zone gets drier until it is served");
    }
    // likely limits lie later
    assert!(week.start_by_likely.is_none_or(|t| t >= week.start_by.unwrap()));
}

#[test]
fn a_week_that_cannot_be_done_says_by_how_much_and_what_would_help() {
    // one hour a week is not enough for two sets
    let tables = "window = [{ days = \"Tue-Sun\", from = \"5:00\", to = \"6:10\" }, { from = \"20:00\", to = \"23:00\", when = \"if_needed\" }]\n\
                  prices = { tree = 40, replant = 3 }";
    let plan = small_plan(tables, 0.0);
    let week = plan.week.as_ref().unwrap();
    let schedule = week.schedule.as_ref().unwrap();
    assert!(!schedule.in_time && schedule.short_h > 0.0 && week.start_by.is_none());
    let what: Vec<&str> = week.remedies.iter().map(|r| r.what.as_str()).collect();
    assert_eq!(
        what,
        ["the windows kept for need", "a second sprinkler", "a larger nozzle", "mulch over all strips today", "young by bucket"]
    );
    assert!(week.remedies[0].in_time, "three hours each evening are enough");
    assert!(week.remedies.iter().all(|r| r.short_h <= schedule.short_h), "{:?}", week.remedies);
    // mulch buys time: the limits come later
    for block in &plan.blocks {
        assert!(block.serving.mulched);
        let (bare, mulched) = (block.without_rain.days_left.unwrap().value, block.serving.mulched_days_left.map_or(30.0, |d| d.value));
        assert!(mulched > bare, "{}: {mulched} and {bare} days", block.name);
    }
    // trees that are sold next year are worth more than trees of ten years' time
    assert_eq!(schedule.give_up_order[0], "young");
    let text = plan.to_string();
    assert!(text.contains("cannot be done: short by") && text.contains("What would help:"), "{text}");
}

#[test]
fn two_sprinklers_of_a_farm_run_side_by_side_and_the_next_remedy_is_a_third() {
    let tables = "window = [{ days = \"Tue-Sun\", from = \"5:00\", to = \"5:20\" }]";
    let farm = |count: u32| {
        Farm::parse(&small(tables).replace("move_time_min = 30", &format!("move_time_min = 30\ncount = {count}")), "farm.toml")
    };
    let planned = |count: u32| plan(&farm(count).unwrap(), &weather(0.0), "2026-07-14".parse().unwrap(), &PlanOptions::default()).unwrap();
    let late = |plan: &Plan| plan.week.as_ref().unwrap().schedule.as_ref().unwrap().short_h;
    let (one, two) = (small_plan(tables, 0.0), planned(2));
    assert_eq!(one, planned(1));
    assert!(late(&two) < late(&one), "{} and {}", late(&two), late(&one));
    let week = two.week.as_ref().unwrap();
    assert!(week.notes.iter().any(|n| n.contains("with pump and hose to itself")));
    let timetable = &week.schedule.as_ref().unwrap().timetable;
    assert!((1..=2).all(|n| timetable.iter().any(|s| s.sprinkler == n)));
    // each is at one place at a time
    for n in 1..=2 {
        let own: Vec<_> = timetable.iter().filter(|s| s.sprinkler == n).collect();
        assert!(own.windows(2).all(|w| w[0].off <= w[1].begin));
    }
    // and the page tells them apart
    let page = two.to_string();
    assert!(["old, sprinkler 1", "young, sprinkler 2"].iter().all(|own| page.contains(own) && !one.to_string().contains(own)), "{page}");
    // what one sprinkler more would do is what the farm with it does
    assert!(one.week.as_ref().unwrap().remedies.iter().any(|r| r.what == "a second sprinkler" && (r.short_h - late(&two)).abs() < 1e-9));
    assert!(
        late(&two) > 0.0 && week.remedies.iter().any(|r| r.what == "one sprinkler more" && (r.short_h - late(&planned(3))).abs() < 1e-9)
    );
    let bad = farm(0).unwrap_err().to_string();
    assert!(bad.contains("count is 0: sprinklers that run at the same time must be from 1 to 100"), "{bad}");
}

#[test]
fn fuel_is_told_with_its_unit_and_belongs_to_the_engine() {
    let refused =
        |prices: &str| Farm::parse(&format!("{}\n[prices]\n{prices}", Farm::demo_toml().replace("[prices]", "[labor2]")), "f.toml");
    let message = |prices: &str| {
        let error = refused(prices).unwrap_err();
        let problems = error.problems().iter().filter(|p| p.place().is_some_and(|place| place.contains("(prices")));
        problems.map(ToString::to_string).map(|text| text.split_once("(prices").unwrap().1.to_string()).collect::<Vec<_>>().join("\n")
    };
    assert_eq!(
        message("fuel_use = 1.2"),
        ", fuel_use): the unit of fuel_use is missing. Write fuel_use = \"1.2 L/h\", or fuel_use_l_h = 1.2."
    );
    assert_eq!(
        message("fuel_use_h = 1.2").split_once(" Known").unwrap().0,
        "): key \"fuel_use_h\" is not known. Did you mean \"fuel_use\", \"fuel_use_l_h\"?"
    );
    assert_eq!(
        message("fuel_use = \"1.2 gal/h\"\ncurrent_per_kwh = 0.2"),
        "): the prices name fuel and current. One thing drives the pump: keep fuel_per_gal (or fuel_per_l) with fuel_use, or current_per_kwh with current_use."
    );
    let prices = Farm::demo().unwrap().input().prices.unwrap();
    assert!((prices.used_per_h().unwrap() - 0.74 * 3.785411784).abs() < 1e-12);
    let current = Farm::demo_toml()
        .replace("fuel_per_gal = 3.60", "current_per_kwh = 0.2")
        .replace("fuel_use = \"0.74 gal/h\"", "current_use = \"8 hp\"");
    assert_eq!(
        Farm::parse(&current, "f.toml").unwrap_err().to_string(),
        "f.toml, line 1: engine is \"gasoline\", and the prices are those of current. \
         Keep fuel_per_gal (or fuel_per_l) and fuel_use, or name another engine in [pump]."
    );
    let motor = Farm::parse(&current.replace("engine = \"gasoline\"", "engine = \"electric\""), "f.toml").unwrap();
    assert!((motor.input().prices.unwrap().used_per_h().unwrap() - 8.0 * 0.745_699_871_582).abs() < 1e-9);
}

#[test]
fn supply_and_cost_add_up() {
    let tables = "window = [{ from = \"5:00\", to = \"10:00\" }]\npond = { area_m2 = 1500, depth_m = 2.5, level_m = 2.0 }\n\
                  labor = { wage_h = 20, people = 2 }\nprices = { fuel_per_l = 1.2, fuel_use = \"3 L/h\", tree = 40, replant = 3 }\n\
                  permit = { day = \"50000 gal\" }";
    let plan = small_plan(tables, 0.0);
    let week = plan.week.as_ref().unwrap();
    let (supply, cost, schedule) = (week.supply.as_ref().unwrap(), week.cost.as_ref().unwrap(), week.schedule.as_ref().unwrap());
    let pumped: f64 = week.works.iter().map(|w| w.pumped_l.unwrap().0).sum();
    assert!((supply.outlook.pass.volume_l.low - pumped).abs() < 1e-6);
    assert!(supply.outlook.dry.passes <= supply.outlook.wet.passes);
    let run_h: f64 = schedule.jobs.iter().map(|j| j.run_min).sum::<f64>() / 60.0;
    assert!((cost.pass.fuel - run_h * 3.0 * 1.2).abs() < 1e-9);
    // two moves of half an hour by two people
    assert!((cost.pass.labor - 40.0).abs() < 1e-9);
    assert!((cost.blocks.iter().map(|b| b.cost).sum::<f64>() - cost.pass.total).abs() < 1e-9);
    let worth = cost.worth.unwrap();
    assert!((worth.at_risk - cost.blocks.iter().map(|b| b.worth.at_risk).sum::<f64>()).abs() < 1e-6);
    // an old tree is sold next year; its replacement nine years later
    assert!(
        cost.blocks.iter().find(|b| b.block == "old").unwrap().tree.loss
            > cost.blocks.iter().find(|b| b.block == "young").unwrap().tree.loss
    );
    // 110 mm on 2,500 trees of 1.8 x 1.8 m
    assert!((week.drawn.as_ref().unwrap().total_l - 110.0 * 2500.0 * 3.24).abs() < 1e-6);
}

#[test]
fn what_the_week_draws_stands_beside_the_farms_own_limit() {
    let planned = |day: &str| small_plan(&format!("{MORNINGS}\npermit = {{ day = \"{day}\" }}"), 0.0);
    let plan = planned("2000 gal");
    let week = plan.week.as_ref().unwrap();
    let (before, then) = (week.drawn.as_ref().unwrap(), week.drawn_then.as_ref().unwrap());
    let pumped: f64 = week.works.iter().map(|w| 0.5 * (w.pumped_l.unwrap().0 + w.pumped_l.unwrap().1)).sum();
    assert!((then.total_l - before.total_l - pumped).abs() < 1e-6 * then.total_l);
    // day by day what runs on it
    let first = week.schedule.as_ref().unwrap().timetable[0].on.date();
    let on_first = then.days.iter().find(|d| d.date == first).unwrap().volume_l;
    let text = plan.to_string();
    let words = format!(
        "beside your 2,000 gal (7,571 L) a day this timetable draws {} {}",
        first.weekday(),
        dibble::units::show::volume(on_first, plan.units)
    );
    assert!(on_first > 7571.0 && text.replace("\n                ", " ").contains(&words), "{words}\n{text}");
    assert!(text.contains("With this week") && text.contains("by the end of this timetable"));
    assert!(!planned("900000 gal").to_string().contains("a day this timetable draws"));
    assert!(small_plan(MORNINGS, 0.0).week.unwrap().drawn_then.is_none());
}

#[test]
fn without_windows_and_prices_the_section_says_what_it_took() {
    let plan = small_plan("", 0.0);
    let week = plan.week.as_ref().unwrap();
    assert!(week.supply.is_none() && week.cost.is_none());
    assert!(week.assumptions.iter().any(|a| a.key == "working_window"));
    assert!(plan.to_string().contains("working windows not given: every day 6 am to 8 pm"));
}

#[test]
fn late_summer_and_fall_have_their_advice_on_either_side_of_the_equator() {
    let at = |latitude: &str, today: &str| {
        let today: dibble::Date = today.parse().unwrap();
        let mut text = String::from("date,tmin_c,tmax_c,rain_mm\n");
        for day in -40..0 {
            text.push_str(&format!("{},8,18,3\n", today + day));
        }
        let farm = Farm::parse(&small("").replace("latitude_deg = 45.0", latitude).replace("2026-07-14", "2020-01-01"), "f.toml").unwrap();
        let plan = plan(&farm, &Weather::parse_csv(&text, &CsvOptions::default()).unwrap(), today, &PlanOptions::default()).unwrap();
        plan.week.unwrap().advice.iter().map(|a| format!("{} {}", a.what, a.from)).collect::<Vec<_>>()
    };
    assert!(at("latitude_deg = 45.0", "2026-07-10").is_empty());
    assert_eq!(at("latitude_deg = 45.0", "2026-08-01"), ["taper 2026-08-15"]);
    assert_eq!(at("latitude_deg = 45.0", "2026-09-10"), ["taper 2026-08-15", "recharge 2026-10-01"]);
    assert_eq!(at("latitude_deg = 45.0", "2026-11-10"), ["recharge 2026-10-01"]);
    assert_eq!(at("latitude_deg = -38.0", "2026-02-01"), ["taper 2026-02-15"]);
    assert_eq!(at("latitude_deg = -38.0", "2026-04-20"), ["recharge 2026-04-01"]);
}

#[test]
fn tables_come_back_from_toml_and_json() {
    let farm = Farm::demo().unwrap();
    assert_eq!(Farm::parse(&farm.to_toml().unwrap(), "again.toml").unwrap(), farm);
    let json = serde_json::to_string(&farm).unwrap();
    assert_eq!(serde_json::from_str::<Farm>(&json).unwrap(), farm);
}

#[test]
fn bad_tables_are_refused_with_their_line() {
    let message = |tables: &str| Farm::parse(&small(tables), "small.toml").unwrap_err().to_string();
    assert_eq!(
        message("window = [{ from = \"6:00\", to = \"6:00\" }]"),
        "small.toml, line 2 (window 1): the working window every day from 06:00 to 06:00 never opens. Give a day and two times, such as from 5:00 to 11:00; 0:00 to 24:00 is the whole day."
    );
    assert_eq!(
        message("window = [{ from = \"25:00\", to = \"6 pm\" }]"),
        "small.toml, line 2 (window 1, from): cannot read time \"25:00\": there is no such time of the day. Write it as 5:40, 17:00 or 5 pm."
    );
    assert_eq!(
        message("window = [{ days = \"Funday\", from = \"5:00\", to = \"6 pm\" }]"),
        "small.toml, line 2 (window 1, days): cannot read days \"Funday\": it names a day that is none. Write \"every day\", \"Mon-Fri\" or \"Mon, Wed, Sat\"."
    );
    assert_eq!(
        message("pond = { area_m2 = 100, depth_m = 2, level_m = -0.5 }"),
        "small.toml, line 2 (pond, level_m): level_m is -0.5 m: depth of a pond must be from 0 to 100 m. Give meters from the deepest point up; 1 ft is 0.3048 m."
    );
    assert_eq!(
        message("prices = { fuel_per_l = 1.2, fuel_per_gal = 4 }"),
        "small.toml, line 2 (prices): fuel has more than one price. Keep one of fuel_per_l, fuel_per_gal and current_per_kwh."
    );
    let sold = small("").replacen("sale_year = 2034", "sale_year = 2020", 1);
    let error = Farm::parse(&sold, "small.toml").unwrap_err().to_string();
    assert!(error.ends_with("sale_year is 2020, and the trees were planted in 2024. Give the year in which they are to be sold, such as ten years after planting."), "{error}");
}

#[test]
fn a_window_that_is_kept_for_need_stays_beside_the_usual_hours() {
    let plan = small_plan("window = [{ from = \"20:00\", to = \"2:00\", when = \"if_needed\" }]", 0.0);
    let week = plan.week.unwrap();
    let words: Vec<String> = week.windows.windows.iter().map(ToString::to_string).collect();
    assert_eq!(words, ["every day 6:00 am to 8:00 pm", "every day 8:00 pm to 2:00 am"]);
    assert!(week.assumptions.iter().any(|a| a.key == "working_window"), "{:?}", week.assumptions);
}

#[test]
fn hours_that_wind_closes_move_the_work() {
    let farm = Farm::parse(&small(MORNINGS), "small.toml").unwrap();
    let at = |text: &str| text.parse::<Moment>().unwrap();
    let closed = dibble::schedule::Closed { from: at("2026-07-14 00:00"), to: at("2026-07-16 09:00"), why: "wind".into() };
    let hours = ClosedHours {
        from: closed.from,
        to: at("2026-07-17"),
        limits: HourLimits { wind_m_s: Some(4.4704), t_c: None },
        closed: vec![closed.clone()],
    };
    let options = PlanOptions { closed: Some(hours.clone()), ..PlanOptions::default() };
    let planned = plan(&farm, &weather(0.0), "2026-07-14".parse().unwrap(), &options).unwrap();
    let schedule = planned.week.clone().unwrap().schedule.unwrap();
    assert!(schedule.timetable.iter().all(|s| s.begin >= closed.to));
    assert!(schedule.slack_h < small_plan(MORNINGS, 0.0).week.unwrap().schedule.unwrap().slack_h);
    // told with their reason, as far as they cut a working window
    let page = planned.to_string();
    let line = page.lines().find(|line| line.trim_start().starts_with("Closed")).unwrap();
    assert!(line.contains("(wind)"), "{line}");
    // hours that are over say nothing about the week
    let over = ClosedHours { to: at("2026-07-14"), ..hours };
    let options = PlanOptions { closed: Some(over), ..PlanOptions::default() };
    assert_eq!(
        plan(&farm, &weather(0.0), "2026-07-14".parse().unwrap(), &options).unwrap_err().to_string(),
        "the hourly forecast ends 2026-07-14 00:00, and the plan begins 2026-07-14 00:00. Give hours from that morning on, or leave them out."
    );
}
