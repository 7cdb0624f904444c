//! Cost of a pass and worth of a tree: hand work, laws, and what is refused.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::cost::{PassInput, PassWorthInput, TreeInput, pass_cost, pass_worth, tree_worth, value_by_age};
use proptest::prelude::*;

fn tree() -> TreeInput {
    TreeInput { price: 30.0, years: 8.0, interest: 0.06, replant_cost: Some(2.0), delay_years: 1.0, care_saved: 0.0 }
}

#[test]
fn a_tree_of_thirty_in_eight_years_at_six_percent() {
    // computed: 30 / 1.06^8 = 18.82, 30 / 1.06^9 = 17.76
    let worth = tree_worth(&tree()).unwrap();
    assert!((worth.present - 30.0 / 1.06_f64.powi(8)).abs() < 1e-12);
    assert!((worth.present - 18.8).abs() < 0.05 && (worth.replaced.unwrap() - 17.8).abs() < 0.05);
    // replaced, a loss costs stock and planting and 1.07
    assert!((worth.loss - (2.0 + 1.0653)).abs() < 5e-4 && worth.replant);
    let unreplaced = tree_worth(&TreeInput { replant_cost: None, care_saved: 5.0, ..tree() }).unwrap();
    assert!((unreplaced.loss - 13.822).abs() < 5e-4 && !unreplaced.replant);
}

#[test]
fn an_old_tree_is_not_worth_replacing_where_stock_costs_more_than_its_late_sale_brings() {
    let table = value_by_age(&TreeInput { replant_cost: Some(16.0), ..tree() }).unwrap();
    // replacing pays while 16 is less than the replacement's sale, 30 / 1.06^9 = 17.76 whatever the age: always here
    assert!(table.iter().all(|v| v.replant));
    let table = value_by_age(&TreeInput { replant_cost: Some(18.0), ..tree() }).unwrap();
    assert!(table.iter().all(|v| !v.replant && (v.loss - v.present).abs() < 1e-12));
}

#[test]
fn cost_by_hand() {
    // 10 h at 2 L/h and 1.50/L = 30; 12 moves of 30 min by 2 people = 12 h, and 2 h of watching, at 20 = 280;
    // 200 m3 at 0.10 = 20; wear 10 h x 1 = 10; in all 340
    let input = PassInput {
        run_h: 10.0,
        fuel_per_h: 2.0,
        fuel_price: 1.5,
        moves: 12,
        move_min: 30.0,
        people: 2.0,
        watch_h: 2.0,
        wage_h: 20.0,
        water_l: 200e3,
        water_price_m3: 0.10,
        wear_h: 1.0,
        area_m2: 8000.0,
        trees: 1700.0,
    };
    let cost = pass_cost(&input).unwrap();
    assert_eq!((cost.fuel, cost.labor, cost.water, cost.wear, cost.total), (30.0, 280.0, 20.0, 10.0, 340.0));
    assert_eq!((cost.people_h, cost.per_tree, cost.per_m3, cost.per_ha), (14.0, Some(0.2), Some(1.7), Some(425.0)));
    // an acre-inch is 102.79 m3 (27,154 gal)
    assert!((cost.per_acre_inch.unwrap() - 340.0 / (200.0 / 102.790_153)).abs() < 1e-4);
    assert_eq!(cost.steps.iter().map(|s| s.value).sum::<f64>(), cost.total);
    let none = pass_cost(&PassInput::default()).unwrap();
    assert_eq!((none.total, none.per_tree, none.per_acre_inch), (0.0, None, None));
}

proptest! {
    #[test]
    fn the_loss_is_never_more_than_the_tree_and_never_less_than_nothing(
        price in 0.0..500.0_f64, years in 0.0..20.0_f64, interest in 0.0..0.3_f64, replant in 0.0..50.0_f64, delay in 0.0..20.0_f64,
    ) {
        let worth = tree_worth(&TreeInput { price, years, interest, replant_cost: Some(replant), delay_years: delay, care_saved: 0.0 }).unwrap();
        prop_assert!(worth.loss >= -1e-9 && worth.loss <= worth.present + 1e-9);
    }

    #[test]
    fn at_break_even_gain_is_nothing(cost in 1.0..1e4_f64, trees in 1.0..1e4_f64, loss in 0.1..50.0_f64) {
        let share = cost / (trees * loss);
        prop_assume!(share <= 1.0);
        let worth = pass_worth(&PassWorthInput { cost, trees, loss, saved: Some((share, share)) }).unwrap();
        let (low, _) = worth.gain.unwrap();
        prop_assert!(low.abs() < 1e-9 * cost && (worth.break_even_share - share).abs() < 1e-12);
    }
}

#[test]
fn what_makes_no_sense_is_refused() {
    assert_eq!(
        tree_worth(&TreeInput { interest: 6.0, ..tree() }).unwrap_err().to_string(),
        "interest is 6: interest must be from 0 to 1. Give a share a year, 0.06 for 6 %."
    );
    let both = pass_cost(&PassInput { run_h: -1.0, wage_h: f64::NAN, ..PassInput::default() }).unwrap_err();
    assert_eq!(both.problems().len(), 2);
    let input = PassWorthInput { cost: 100.0, trees: 0.0, loss: 3.0, saved: None };
    assert_eq!(
        pass_worth(&input).unwrap_err().to_string(),
        "0 trees of which each is worth 3. There is nothing to save; give trees and what is lost with one."
    );
    assert_eq!(
        pass_worth(&PassWorthInput { trees: 10.0, saved: Some((0.2, 0.1)), ..input }).unwrap_err().to_string(),
        "saved runs from 0.2 to 0.1. Give the low end first, such as (0.02, 0.10)."
    );
}
