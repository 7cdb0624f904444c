//! The only place that calls the solver: scaled on the way in, guarded while it runs, checked on the way out.

use super::{Outcome, Program, Relation, Solution};
use crate::control::Control;
use crate::error::Result;
use microlp::{ComparisonOp, OptimizationDirection, Problem, SolveOptions, SolveOutcome, TerminationReason, Variable};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Nodes between two looks at the control.
const SLICE: u64 = 64;
/// The solver's own tolerance, on scaled rows; the looser one where it fails at the tighter.
const FEASIBILITY: [f64; 2] = [1e-9, 1e-7];

pub(super) fn solve(program: &Program, control: &Control) -> Result<Outcome> {
    match control.step("a linear program", 0, 0) {
        Err(e) if !e.is_limit() => return Err(e),
        _ => {}
    }
    // A row without columns holds or not, whatever the solver's tolerance makes of it.
    if program.rows.iter().any(|row| row.terms.is_empty() && row.shortfall(&[]) > 0.0) {
        return Ok(Outcome::Infeasible);
    }
    if program.columns.is_empty() {
        return Ok(Outcome::Optimal(Solution { cost: 0.0, values: Vec::new(), nodes: 0 }));
    }
    let mut answer = Outcome::NoAnswer { why: String::new() };
    for tolerance in FEASIBILITY {
        answer = attempt(program, tolerance, control)?;
        if !matches!(answer, Outcome::NoAnswer { .. }) {
            break;
        }
    }
    Ok(answer)
}

fn attempt(program: &Program, tolerance: f64, control: &Control) -> Result<Outcome> {
    let model = Model::new(program, tolerance);
    let mut options = SolveOptions::default();
    options.node_limit = Some(SLICE);
    options.tolerances.feasibility = tolerance;
    let mut reached = guarded(|| model.problem.solve_with(options));
    loop {
        let outcome = match reached {
            Ok(outcome) => outcome,
            Err(answer) => return Ok(answer),
        };
        if outcome.termination_reason() != TerminationReason::NodeLimit {
            return Ok(model.read(program, &outcome).map_or_else(|why| Outcome::NoAnswer { why }, Outcome::Optimal));
        }
        match control.step("an integer program", outcome.stats().nodes_solved, 0) {
            Ok(()) => reached = guarded(|| outcome.resume()),
            Err(e) if e.is_limit() => {
                let bound = outcome.stats().best_bound.map(|b| b * model.cost_unit);
                return Ok(Outcome::Stopped { best: model.read(program, &outcome).ok(), bound });
            }
            Err(e) => return Err(e),
        }
    }
}

/// Runs the solver; its errors and panics become answers.
fn guarded(call: impl FnOnce() -> std::result::Result<SolveOutcome, microlp::Error>) -> std::result::Result<SolveOutcome, Outcome> {
    match catch_unwind(AssertUnwindSafe(call)) {
        Ok(Ok(outcome)) => Ok(outcome),
        Ok(Err(microlp::Error::Infeasible)) => Err(Outcome::Infeasible),
        Ok(Err(microlp::Error::Unbounded)) => Err(Outcome::Unbounded),
        Ok(Err(e)) => Err(Outcome::NoAnswer { why: e.to_string() }),
        Err(payload) => {
            let said = payload.downcast_ref::<String>().map(String::as_str).or_else(|| payload.downcast_ref::<&str>().copied());
            Err(Outcome::NoAnswer { why: format!("the solver panicked: {}", said.unwrap_or("without a message")) })
        }
    }
}

/// The program in the solver's terms, in units that bring its numbers near 1: the solver's tolerance is absolute,
/// so needs of a gram and of a ton would otherwise be met to different accuracy.
struct Model {
    problem: Problem,
    variables: Vec<Variable>,
    units: Vec<f64>,
    cost_unit: f64,
    tolerance: f64,
}

impl Model {
    fn new(program: &Program, tolerance: f64) -> Self {
        let unit = natural_unit(program);
        let units: Vec<f64> = program.columns.iter().map(|c| if c.whole { 1.0 } else { unit }).collect();
        let cost_unit = program.columns.iter().zip(&units).map(|(c, u)| (c.cost * u).abs()).fold(0.0, f64::max);
        let cost_unit = power_of_two(cost_unit);
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let add = |(c, &u): (&super::Column, &f64)| {
            let cost = c.cost * u / cost_unit;
            if c.whole {
                // Casting clips at the ends of i32, which open ends then stand for.
                problem.add_integer_var(cost, (c.lower as i32, c.upper as i32))
            } else {
                problem.add_var(cost, (c.lower / u, c.upper / u))
            }
        };
        let variables: Vec<Variable> = program.columns.iter().zip(&units).map(add).collect();
        for row in &program.rows {
            let unit_of = |j: usize| units.get(j).copied().unwrap_or(1.0);
            let largest = row.terms.iter().map(|&(j, a)| (a * unit_of(j)).abs()).fold(0.0, f64::max);
            let scale = power_of_two(largest);
            let terms: Vec<(Variable, f64)> =
                row.terms.iter().filter_map(|&(j, a)| variables.get(j).map(|&v| (v, a * unit_of(j) / scale))).collect();
            let relation = match row.relation {
                Relation::AtLeast => ComparisonOp::Ge,
                Relation::AtMost => ComparisonOp::Le,
                Relation::Equal => ComparisonOp::Eq,
            };
            problem.add_constraint(terms, relation, row.right / scale);
        }
        Self { problem, variables, units, cost_unit, tolerance }
    }

    /// The solver's values in our units, checked: round-off past a bound is taken off, whole columns are rounded.
    fn read(&self, program: &Program, outcome: &SolveOutcome) -> std::result::Result<Solution, String> {
        let found = outcome.solution().ok_or("the solver stopped before it had an assignment")?;
        let value = |(column, (&variable, &unit)): (&super::Column, (&Variable, &f64))| {
            let x = found.var_value(variable) * unit;
            if column.whole {
                return x.round();
            }
            let near = |end: f64| end.is_finite() && (x - end).abs() <= 10.0 * self.tolerance * unit.max(end.abs());
            if near(column.lower) {
                column.lower
            } else if near(column.upper) {
                column.upper
            } else {
                x
            }
        };
        let values: Vec<f64> = program.columns.iter().zip(self.variables.iter().zip(&self.units)).map(value).collect();
        match program.violations(&values).first() {
            None => Ok(Solution { cost: program.cost_of(&values), values, nodes: outcome.stats().nodes_solved }),
            Some(v) => Err(format!("the solver's values miss \"{}\" by {}", v.name, v.by)),
        }
    }
}

/// The size that real columns are likely to take: the smallest right side over its row's largest coefficient,
/// but no less than doubles can hold beside the largest.
fn natural_unit(program: &Program) -> f64 {
    let sizes = program.rows.iter().filter_map(|row| {
        let real = |&&(j, _): &&(usize, f64)| program.columns.get(j).is_some_and(|c| !c.whole);
        let largest = row.terms.iter().filter(real).map(|(_, a)| a.abs()).fold(0.0, f64::max);
        let size = row.right.abs() / largest;
        (size.is_finite() && size > 0.0).then_some(size)
    });
    let (least, most) = sizes.fold((f64::INFINITY, 0.0), |(lo, hi), s| (f64::min(lo, s), f64::max(hi, s)));
    power_of_two(least.max(most * 1e-12))
}

/// The power of two next below a positive number: dividing by it adds no round-off, so rows that are multiples of
/// each other stay so. 1 for all else.
fn power_of_two(size: f64) -> f64 {
    if size > 0.0 && size.is_normal() { f64::from_bits(size.to_bits() & 0x7ff0_0000_0000_0000) } else { 1.0 }
}
