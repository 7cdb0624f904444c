//! Linear and integer programs against SciPy's HiGHS, brute force and the laws of duality.

#![allow(clippy::unwrap_used, clippy::panic)]

use dibble::control::Control;
use dibble::solve::{Outcome, Program, Relation, Solution};
use proptest::prelude::*;
use serde::Deserialize;

#[derive(Deserialize)]
struct Table {
    source: String,
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    cost: Vec<f64>,
    lower: Vec<f64>,
    upper: Vec<f64>,
    whole: Vec<u8>,
    rows: Vec<Vec<f64>>,
    relation: Vec<String>,
    right: Vec<f64>,
    status: String,
    optimum: Option<f64>,
    price: Option<Vec<f64>>,
}

impl Case {
    fn program(&self) -> Program {
        let mut program = Program::new();
        for (j, &cost) in self.cost.iter().enumerate() {
            let (name, low, high) = (format!("x{j}"), self.lower[j], self.upper[j]);
            if self.whole[j] == 1 { program.whole_column(name, cost, low, high) } else { program.column(name, cost, low, high) }.unwrap();
        }
        for (i, row) in self.rows.iter().enumerate() {
            let terms: Vec<(usize, f64)> = row.iter().copied().enumerate().collect();
            let relation = match self.relation[i].as_str() {
                ">=" => Relation::AtLeast,
                "<=" => Relation::AtMost,
                _ => Relation::Equal,
            };
            program.row(format!("r{i}"), &terms, relation, self.right[i]).unwrap();
        }
        program
    }
}

fn table() -> Table {
    toml::from_str(include_str!("reference/solve.toml")).unwrap()
}

fn optimum(program: &Program) -> Solution {
    program.solve(&Control::new()).unwrap().optimal("the program").unwrap()
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-7 * a.abs().max(b.abs()).max(1.0)
}

#[test]
fn status_and_cost_are_those_of_scipy() {
    let table = table();
    assert!(table.case.len() >= 100);
    for (i, case) in table.case.iter().enumerate() {
        let (program, place) = (case.program(), format!("case {i}, {}", table.source));
        match (program.solve(&Control::new()).unwrap(), case.status.as_str()) {
            (Outcome::Optimal(found), "optimal") => {
                let optimum = case.optimum.unwrap();
                assert!(close(found.cost, optimum), "{place}: cost {} for {optimum}", found.cost);
                assert!(program.violations(&found.values).is_empty(), "{place}");
            }
            (Outcome::Infeasible, "infeasible") | (Outcome::Unbounded, "unbounded") => {}
            (outcome, status) => panic!("{place}: {outcome:?} for {status}"),
        }
    }
}

#[test]
fn the_dual_costs_what_the_program_costs_and_prices_hold_those_of_scipy() {
    let table = table();
    let mut compared = 0;
    for (i, case) in table.case.iter().enumerate() {
        let Some(price) = &case.price else { continue };
        let program = case.program();
        let best = optimum(&program);
        let worth = program.sensitivity(&best, &Control::new()).unwrap().unwrap();
        assert!(close(worth.dual_cost, best.cost), "case {i}, {}: dual {} for {}", table.source, worth.dual_cost, best.cost);
        for (interval, p) in worth.rows.iter().zip(price) {
            assert!(interval.low <= p + 1e-6 && interval.high >= p - 1e-6, "case {i}, {}: {p} outside {interval:?}", table.source);
            compared += 1;
        }
    }
    assert!(compared > 100);
}

#[test]
fn prices_are_the_slopes_of_the_cost() {
    // One right side at a time is moved a little each way, and the cost is found anew.
    let mut compared = 0;
    for case in table().case.iter().filter(|c| c.status == "optimal" && !c.whole.contains(&1)) {
        let best = optimum(&case.program());
        let worth = case.program().sensitivity(&best, &Control::new()).unwrap().unwrap();
        for (i, interval) in worth.rows.iter().enumerate() {
            let step = 1e-5;
            let moved = |by: f64| {
                let mut right = case.right.clone();
                right[i] += by;
                let moved = Case {
                    right,
                    cost: case.cost.clone(),
                    lower: case.lower.clone(),
                    upper: case.upper.clone(),
                    whole: case.whole.clone(),
                    rows: case.rows.clone(),
                    relation: case.relation.clone(),
                    status: String::new(),
                    optimum: None,
                    price: None,
                };
                match moved.program().solve(&Control::new()).unwrap() {
                    Outcome::Optimal(found) => found.cost,
                    _ => f64::INFINITY,
                }
            };
            for (slope, end) in [((moved(step) - best.cost) / step, interval.high), ((moved(-step) - best.cost) / step, -interval.low)] {
                assert!(slope == end || (slope - end).abs() < 1e-3 * (1.0 + end.abs()), "row {i} of {:?}: {slope} for {end}", case.rows);
                compared += 1;
            }
        }
    }
    assert!(compared > 300);
}

#[test]
fn a_degenerate_optimum_gives_an_interval() {
    // min x + 3y, x <= 10 (a row), x + y >= 10: one more costs 3, one less saves 1.
    let mut program = Program::new();
    let x = program.column("x", 1.0, 0.0, f64::INFINITY).unwrap();
    let y = program.column("y", 3.0, 0.0, f64::INFINITY).unwrap();
    program.row("enough", &[(x, 1.0), (y, 1.0)], Relation::AtLeast, 10.0).unwrap();
    program.row("stock", &[(x, 1.0)], Relation::AtMost, 10.0).unwrap();
    let best = optimum(&program);
    let worth = program.sensitivity(&best, &Control::new()).unwrap().unwrap();
    assert!(worth.degenerate && close(worth.rows[0].low, 1.0) && close(worth.rows[0].high, 3.0), "{worth:?}");
    assert!(close(worth.rows[1].low, -2.0) && close(worth.rows[1].high, 0.0), "{worth:?}");

    // With nothing beyond the stock, one more cannot be had at any price.
    let mut program = Program::new();
    let x = program.column("x", 1.0, 0.0, 10.0).unwrap();
    program.row("enough", &[(x, 1.0)], Relation::AtLeast, 10.0).unwrap();
    let worth = program.sensitivity(&optimum(&program), &Control::new()).unwrap().unwrap();
    assert!(close(worth.rows[0].low, 1.0) && worth.rows[0].high == f64::INFINITY, "{worth:?}");
}

#[test]
fn ties_are_found_and_settled_by_preference() {
    let build = |whole: bool| {
        let mut program = Program::new();
        for (name, cost) in [("a", 2.0), ("b", 1.0), ("c", 5.0)] {
            if whole { program.whole_column(name, cost, 0.0, 50.0) } else { program.column(name, cost, 0.0, f64::INFINITY) }.unwrap();
        }
        // A unit of need costs 1 from a as from b.
        program.row("need", &[(0, 2.0), (1, 1.0), (2, 1.0)], Relation::AtLeast, 10.0).unwrap();
        program
    };
    for whole in [false, true] {
        let program = build(whole);
        let best = optimum(&program);
        let each = [vec![1.0, 0.0, 0.0], vec![0.0, 1.0, 0.0], vec![0.0, 0.0, 1.0]];
        let spread = program.spread(&best, &each, &Control::new()).unwrap().unwrap();
        let seen: Vec<_> = spread.iter().map(|t| (t.low.round(), t.high.round())).collect();
        assert_eq!(seen, [(0.0, 5.0), (0.0, 10.0), (0.0, 0.0)]);
        let lightest = program.settle(&best, &[vec![1.0, 1.0, 1.0]], &Control::new()).unwrap().unwrap();
        assert!(close(lightest.cost, best.cost) && close(lightest.values[0], 5.0), "{lightest:?}");
        let least_a = program.settle(&best, &[vec![1.0, 0.0, 0.0], vec![0.0, 1.0, 0.0]], &Control::new()).unwrap().unwrap();
        assert!(close(least_a.cost, best.cost) && close(least_a.values[1], 10.0), "{least_a:?}");
    }
    let mut single = build(false);
    single.row("cap", &[(0, 1.0)], Relation::AtMost, 0.0).unwrap();
    let spread = single.spread(&optimum(&single), &[vec![0.0, 1.0, 0.0]], &Control::new()).unwrap().unwrap();
    assert!(close(spread[0].low, 10.0) && spread[0].low == spread[0].high);
}

#[test]
fn small_and_large_quantities_are_solved_alike() {
    for scale in [1e-6, 1e-3, 1.0, 1e5] {
        let mut program = Program::new();
        let urea = program.column("urea", 0.30, 0.0, f64::INFINITY).unwrap();
        let dap = program.column("dap", 0.40, 0.0, f64::INFINITY).unwrap();
        program.row("n", &[(urea, 0.46), (dap, 0.18)], Relation::AtLeast, 60.0 * scale).unwrap();
        program.row("p2o5", &[(dap, 0.46)], Relation::AtLeast, 30.0 * scale).unwrap();
        let best = optimum(&program);
        assert!((best.values[1] / (30.0 * scale / 0.46) - 1.0).abs() < 1e-12, "{scale}: {best:?}");
        assert!((best.values[0] / ((60.0 - 0.18 * 30.0 / 0.46) * scale / 0.46) - 1.0).abs() < 1e-12, "{scale}: {best:?}");
    }
}

/// Smallest number of rows that cannot hold together, by trying all sets.
fn smallest_conflict(case: &Case) -> usize {
    let holds = |set: u32| {
        let rows = (0..case.rows.len()).filter(|i| set & (1 << i) != 0);
        let mut program = Program::new();
        for j in 0..case.cost.len() {
            program.column("x", 0.0, case.lower[j], case.upper[j]).unwrap();
        }
        for i in rows {
            let terms: Vec<(usize, f64)> = case.rows[i].iter().copied().enumerate().collect();
            let relation = if case.relation[i] == ">=" {
                Relation::AtLeast
            } else if case.relation[i] == "<=" {
                Relation::AtMost
            } else {
                Relation::Equal
            };
            program.row("r", &terms, relation, case.right[i]).unwrap();
        }
        !matches!(program.solve(&Control::new()).unwrap(), Outcome::Infeasible)
    };
    (0..1u32 << case.rows.len()).filter(|&set| !holds(set)).map(u32::count_ones).min().unwrap() as usize
}

#[test]
fn conflicts_are_smallest_by_trying_all_sets() {
    let mut compared = 0;
    for case in table().case.iter().filter(|c| c.status == "infeasible" && !c.whole.contains(&1) && c.rows.len() <= 12) {
        let conflict = case.program().conflict(&Control::new()).unwrap().unwrap();
        assert!(conflict.smallest);
        assert_eq!(conflict.clashes.len(), smallest_conflict(case));
        compared += 1;
    }
    assert!(compared >= 8);
    let feasible = table().case.iter().find(|c| c.status == "optimal").unwrap().program();
    assert_eq!(feasible.conflict(&Control::new()).unwrap(), None);
}

#[test]
fn the_work_limit_stops_with_the_best_so_far_and_a_bound() {
    // Equal weights and an odd half make branch and bound try very many sets.
    let mut program = Program::new();
    let terms: Vec<(usize, f64)> =
        (0..40).map(|i| (program.whole_column("x", 1.0 + f64::from(i) * 1e-3, 0.0, 1.0).unwrap(), 2.0 + f64::from(i % 7) * 0.1)).collect();
    program.row("sum", &terms, Relation::Equal, 41.35).unwrap();
    match program.solve(&Control::new().with_limit(100)).unwrap() {
        Outcome::Stopped { best, bound } => {
            assert!(best.is_none_or(|b| program.violations(&b.values).is_empty()));
            assert!(bound.is_some());
        }
        outcome => panic!("{outcome:?}"),
    }
    let control = Control::new();
    control.cancel();
    assert!(program.solve(&control).unwrap_err().is_cancelled());
}

#[test]
fn bad_numbers_are_refused_with_their_place() {
    let mut program = Program::new();
    let x = program.column("urea", 1.0, 0.0, f64::INFINITY).unwrap();
    let said = |e: dibble::Error| e.to_string();
    let hint = "Choose units that keep the numbers of a program near 1.";
    assert_eq!(
        said(program.column("urea", f64::NAN, 0.0, 1.0).unwrap_err()),
        format!("column \"urea\": cost is NaN: a number of a linear program must be from -1000000000000 to 1000000000000. {hint}")
    );
    assert_eq!(
        said(program.row("N", &[(x, f64::INFINITY)], Relation::AtLeast, 1.0).unwrap_err()),
        format!("row \"N\": coefficient is inf: a number of a linear program must be from -1000000000000 to 1000000000000. {hint}")
    );
    assert_eq!(
        said(program.row("N", &[(7, 1.0)], Relation::AtLeast, 1.0).unwrap_err()),
        "row \"N\" names column 7 of 1. Use the indices that adding the columns returned."
    );
    assert_eq!(
        said(program.row("N", &[(x, 1.0), (x, 2.0)], Relation::AtLeast, 1.0).unwrap_err()),
        "row \"N\" names column 0 twice. Add the two coefficients up."
    );
    assert_eq!(
        said(program.whole_column("bags", 1.0, 0.2, 0.8).unwrap_err()),
        "column \"bags\" has no whole number from 0.2 to 0.8. Raise the upper bound or lower the lower one."
    );
    assert_eq!(
        said(program.whole_column("bags", 1.0, 0.0, 1e10).unwrap_err()),
        format!("column \"bags\": upper is 10000000000: a number of a linear program must be from -2000000000 to 2000000000. {hint}")
    );
    assert_eq!(said(program.with_costs(&[1.0, 2.0]).unwrap_err()), "2 costs were given for 1 columns. Give one cost for each column.");
}

#[test]
fn an_empty_program_costs_nothing() {
    let mut program = Program::new();
    assert_eq!(optimum(&program).cost, 0.0);
    program.row("impossible", &[], Relation::AtLeast, 1.0).unwrap();
    assert_eq!(program.solve(&Control::new()).unwrap(), Outcome::Infeasible);
    let mut idle = Program::new();
    idle.column("x", 1.0, 0.0, f64::INFINITY).unwrap();
    assert_eq!(optimum(&idle).values, [0.0]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn small_integer_programs_agree_with_trying_everything(
        costs in prop::collection::vec(-3i32..8, 3),
        rows in prop::collection::vec((prop::collection::vec(-4i32..7, 3), prop::bool::ANY, -5i32..25), 1..4),
    ) {
        let mut program = Program::new();
        for &c in &costs {
            program.whole_column("x", f64::from(c), 0.0, 4.0).unwrap();
        }
        for (terms, at_least, right) in &rows {
            let terms: Vec<(usize, f64)> = terms.iter().map(|&a| f64::from(a)).enumerate().collect();
            let relation = if *at_least { Relation::AtLeast } else { Relation::AtMost };
            program.row("r", &terms, relation, f64::from(*right)).unwrap();
        }
        let mut best: Option<i32> = None;
        for i in 0..125 {
            let x = [i % 5, i / 5 % 5, i / 25];
            let sum = |a: &[i32]| a.iter().zip(x).map(|(a, x)| a * x).sum::<i32>();
            if rows.iter().all(|(a, at_least, b)| if *at_least { sum(a) >= *b } else { sum(a) <= *b }) {
                best = Some(best.map_or(sum(&costs), |c| c.min(sum(&costs))));
            }
        }
        match (program.solve(&Control::new()).unwrap(), best) {
            (Outcome::Optimal(found), Some(best)) => prop_assert!((found.cost - f64::from(best)).abs() < 1e-9),
            (Outcome::Infeasible, None) => {}
            (outcome, best) => prop_assert!(false, "{:?} for {:?}", outcome, best),
        }
    }
}
