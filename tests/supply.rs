//! Pond, well and tank: day by day against hand work, laws of the balance, and what is refused.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::Date;
use dibble::water::supply::{Draw, Pass, PermitLimit, Pond, PondInput, PondShape, Range, SupplyDay, Tank, WaterSupply, Well, withdrawals};
use proptest::prelude::*;

fn days(count: i32, eto_mm: f64, rain_mm: f64) -> Vec<SupplyDay> {
    let first: Date = "2026-07-14".parse().unwrap();
    (0..count).map(|d| SupplyDay { date: first + d, eto_mm, rain_mm }).collect()
}

fn pass(volume_l: Range, over_days: u32, every_days: u32) -> Pass {
    Pass { volume_l, over_days, every_days, first_day: 0 }
}

/// 2,000 m2 with upright walls, 2 m deep, pumped down to 0.5 m: 3,000 m3 can be drawn.
fn straight() -> PondInput {
    PondInput { area_m2: Some(2000.0), depth_m: Some(2.0), shape: PondShape::Straight, ..PondInput::default() }
}

fn supply(input: PondInput) -> WaterSupply {
    WaterSupply { pond: Some(Pond::new(input).unwrap()), ..WaterSupply::default() }
}

#[test]
fn passes_left_by_hand() {
    // each day 6 mm x 1 of evaporation and 4 mm of seepage: 10 mm x 2000 m2 = 20,000 L; a pass of 400,000 L every 5 days.
    // after the first pass on day 0: 3,000,000 - 20,000 - 400,000; each 5 days cost 500,000: passes on days 0, 5, 10, 15, 20
    // leave 3,000,000 - 21 x 20,000 - 5 x 400,000 = 580,000; day 25: 480,000 - 400,000; day 30: -20,000: it is out
    let input = PondInput { seepage_mm_day: Some(Range::exactly(4.0)), evaporation: Some(Range::exactly(1.0)), ..straight() };
    let outlook = supply(input).outlook(&days(40, 6.0, 0.0), pass(Range::exactly(400e3), 1, 5)).unwrap();
    assert_eq!((outlook.usable_l.low, outlook.usable_l.high), (3e6, 3e6));
    assert_eq!(outlook.likely.passes, 6);
    assert_eq!(outlook.likely.out_on.unwrap().to_string(), "2026-08-13"); // day 30
    assert_eq!((outlook.dry.clone(), outlook.wet.clone()), (outlook.likely.clone(), outlook.likely.clone()));
    assert!((outlook.likely.level_m[0] - (2.0 - 0.010 - 0.2)).abs() < 1e-12);
}

#[test]
fn the_ends_of_the_ranges_frame_the_likely_run() {
    let input = PondInput { inflow_l_min: Some(Range::new(0.0, 10.0)), ..straight() };
    let outlook = supply(input).outlook(&days(60, 6.0, 1.0), pass(Range::new(350e3, 450e3), 2, 5)).unwrap();
    assert!(outlook.dry.passes <= outlook.likely.passes && outlook.likely.passes <= outlook.wet.passes);
    assert!(outlook.dry.out_on.unwrap() < outlook.wet.out_on.unwrap_or("2030-01-01".parse().unwrap()));
}

#[test]
fn a_well_is_drawn_first_and_a_tank_fills_again() {
    // the well gives 10 L/min x 600 min + 500 L = 6,500 L a day, the tank holds 4,000 L and gets 1 L/min = 1,440 L a day.
    // passes of 9,000 L each day: 2,500 L from the tank: 4,000 - 2,500 + 1,440 = 2,940, less 2,500 = 440 + 1,440 = 1,880 < 2,500
    let supply = WaterSupply {
        well: Some(Well { rate_l_min: Range::exactly(10.0), storage_l: 500.0, hours_day: Some(10.0) }),
        tank: Some(Tank { volume_l: 4000.0, now_l: None, fill_l_min: 1.0 }),
        ..WaterSupply::default()
    };
    let outlook = supply.outlook(&days(5, 5.0, 0.0), pass(Range::exactly(9000.0), 1, 1)).unwrap();
    assert_eq!((outlook.likely.passes, outlook.likely.out_on.unwrap().to_string().as_str()), (2, "2026-07-16"));
    assert_eq!(outlook.likely.drawn_l, 9000.0 * 2.0 + 6500.0 + 1880.0);
}

proptest! {
    #[test]
    fn water_is_neither_made_nor_lost(
        area in 100.0..20_000.0_f64, depth in 1.0..6.0_f64, eto in 0.0..9.0_f64, rain in 0.0..12.0_f64,
        inflow in 0.0..50.0_f64, volume in 1e3..1e6_f64, which in 0_usize..4,
    ) {
        let input = PondInput {
            area_m2: Some(area), depth_m: Some(depth), shape: PondShape::ALL[which], level_m: Some(0.8 * depth),
            inflow_l_min: Some(Range::new(0.0, inflow)), ..PondInput::default()
        };
        let pond = Pond::new(input).unwrap();
        let start = pond.volume_l(pond.level_m()).unwrap();
        let supply = WaterSupply { pond: Some(pond.clone()), ..WaterSupply::default() };
        let outlook = supply.outlook(&days(50, eto, rain), pass(Range::exactly(volume), 2, 6)).unwrap();
        for end in [&outlook.dry, &outlook.likely, &outlook.wet] {
            let last = pond.volume_l(*end.level_m.last().unwrap()).unwrap();
            let balance = start + end.gained_l - end.lost_l - end.drawn_l - end.spilled_l - last;
            prop_assert!(balance.abs() < 1e-6 * (start + end.gained_l + 1.0), "{balance} L");
            prop_assert!(end.level_m.iter().all(|l| (0.0..=depth).contains(l)));
        }
    }

    #[test]
    fn more_water_never_means_fewer_passes(level in 0.6..2.0_f64, more in 0.0..1.0_f64, volume in 1e5..1e6_f64) {
        let at = |level_m: f64| supply(PondInput { level_m: Some(level_m), ..straight() }).outlook(&days(90, 5.0, 0.0), pass(Range::exactly(volume), 1, 4)).unwrap();
        prop_assert!(at((level + more).min(2.0)).likely.passes >= at(level).likely.passes);
    }
}

#[test]
fn draws_are_counted_by_day_month_and_thirty_days() {
    let draw = |day: i32, volume_l: f64| Draw { date: Date::new(2026, 6, 1).unwrap() + day, volume_l };
    // every third day of June and July 90,000 L: ten in any 30 days, 30,000 L a day
    let draws: Vec<Draw> = (0..60).step_by(3).map(|d| draw(d, 90e3)).collect();
    let counts = withdrawals(&draws, PermitLimit { mean_30_day_l: Some(378_541.0), ..PermitLimit::default() }).unwrap();
    assert_eq!(counts.largest_30_days.unwrap().volume_l, 30e3);
    assert_eq!(counts.months.iter().map(|m| (m.month, m.volume_l)).collect::<Vec<_>>(), [(6, 900e3), (7, 900e3)]);
    assert_eq!(counts.total_l, 1.8e6);
    assert_eq!(
        withdrawals(&[draw(3, 1.0), draw(2, 1.0)], PermitLimit::default()).unwrap_err().to_string(),
        "the draw of 2026-06-03 stands behind the one of 2026-06-04. Give draws in the order of their days."
    );
}

#[test]
fn what_makes_no_sense_is_refused() {
    let pond = supply(straight());
    let message = |days: &[SupplyDay], pass: Pass| pond.outlook(days, pass).unwrap_err().to_string();
    let good = pass(Range::exactly(1e5), 1, 5);
    let mut swapped = days(3, 5.0, 0.0);
    swapped.swap(1, 2);
    assert_eq!(message(&swapped, good), "2026-07-16 follows on 2026-07-14. Give every day once, in order.");
    assert_eq!(
        message(&days(3, 5.0, 0.0), pass(Range::exactly(1e5), 6, 5)),
        "a pass is spread over 6 days and comes every 5 days. Give at least 1 day, and no more days for a pass than from one to the next."
    );
    assert_eq!(message(&days(3, 5.0, 0.0), pass(Range::new(2.0, 1.0), 1, 5)), "volume_l runs from 2 to 1. Give the low end first.");
    assert!(message(&days(3, 50.0, 0.0), good).starts_with("eto_mm is 50 mm:"));
    assert_eq!(
        WaterSupply::default().outlook(&days(3, 5.0, 0.0), good).unwrap_err().to_string(),
        "a source of water is missing. Give a pond, a well or a tank."
    );
    let tank = Tank { volume_l: 1000.0, now_l: Some(1500.0), fill_l_min: 0.0 };
    assert_eq!(tank.check().unwrap_err().to_string(), "now_l is 1500 L, and the tank holds 1000 L. Correct one of them.");
}
