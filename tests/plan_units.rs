//! A plan speaks to its reader: in his units, and of nothing that is not there.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::farm::{Farm, Plan, PlanOptions, Section, plan};
use dibble::units::System;

const METRIC: [&str; 16] = ["mm", "cm", "m", "km", "m2", "m3", "ha", "L", "kPa", "m/s", "mm/h", "mm/week", "L/min", "kg", "g", "kg/ha"];
const COUNTRY: [&str; 19] = [
    "in",
    "ft",
    "ft2",
    "acre",
    "acres",
    "gal",
    "gpm",
    "psi",
    "mph",
    "ft/s",
    "in/h",
    "in/week",
    "lb",
    "oz",
    "lb/acre",
    "lb/1,000",
    "inch",
    "inches",
    "inch-layer",
];

/// Words outside of parentheses, which hold the second unit and sources.
fn outside(text: &str) -> Vec<String> {
    let mut depth = 0_usize;
    let kept = text.chars().filter(|c| match c {
        '(' => {
            depth += 1;
            false
        }
        ')' => {
            depth = depth.saturating_sub(1);
            false
        }
        _ => depth == 0,
    });
    kept.collect::<String>().split_whitespace().map(|w| w.trim_matches([',', ';', ':', '.']).to_string()).collect()
}

/// Numbers with one of these units, and the words before them.
fn with_units(plan: &Plan, units: &[&str], quoting: &[&str]) -> Vec<String> {
    let lone = |part: &dibble::farm::Part| {
        let words = outside(&part.to_string());
        let said = |at: usize| words.get(at.saturating_sub(6)..=at).unwrap_or_default().join(" ");
        let number = |at: usize| words.get(at.wrapping_sub(1)).is_some_and(|w| w == "an" || w.replace(',', "").parse::<f64>().is_ok());
        (0..words.len()).filter(|at| units.contains(&words[*at].as_str()) && number(*at)).map(said).collect::<Vec<_>>()
    };
    // the height of every wind in the books, and the unit of every tensiometer
    let of_the_trade = |said: &String| said.ends_with("wind speed at 2 m") || said.ends_with(" 10 kPa");
    let own = |part: &&dibble::farm::Part| !quoting.contains(&part.key.as_str());
    plan.page().parts.iter().filter(own).flat_map(lone).filter(|said| !of_the_trade(said)).collect()
}

fn demo(units: System, with_forecast: bool) -> Plan {
    let options = PlanOptions { units: Some(units), with: vec![Section::Sets], ..PlanOptions::default() };
    let weather = Farm::demo_weather().unwrap();
    let today = if with_forecast { Farm::demo_today().unwrap() } else { "2026-07-21".parse().unwrap() };
    plan(&Farm::demo().unwrap(), &weather, today, &options).unwrap()
}

#[test]
fn a_plan_in_us_units_has_metric_numbers_only_beside_its_own() {
    let found = with_units(&demo(System::Us, true), &METRIC, &["cautions"]);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn a_plan_in_si_has_no_inches_pounds_and_gallons() {
    // cautions and assumptions quote what their sources print
    let found = with_units(&demo(System::Si, true), &COUNTRY, &["cautions", "assumptions"]);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn rain_is_told_of_only_where_some_is_foreseen() {
    let (with, without) = (demo(System::Us, true), demo(System::Us, false));
    let label = |plan: &Plan, label: &str| plan.page().parts.iter().any(|p| p.lines.iter().any(|l| l.label == label));
    assert!(without.week.as_ref().unwrap().schedule.is_some() && label(&without, "Start by"));
    assert!(label(&with, "With rain") && !label(&without, "With rain"));
}
