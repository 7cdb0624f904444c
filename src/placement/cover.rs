//! Pure covering: where nothing but the number of moves counts, a small program is worth an integer solver's try.
//!
//! Its answer is only taken if it is cheaper than the search's. Its failure or end of patience changes nothing, and the
//! bound never rests on it.

use super::model::Model;
use super::search::Choice;
use crate::control::Control;
use crate::error::Result;
use crate::solve::{Outcome, Program, Relation};

/// Columns up to which the solver is asked, and the nodes that it may work through.
const MOST_COLUMNS: usize = 200;
const MOST_NODES: u64 = 2000;

/// The search's choice, or a smaller cover.
pub(super) fn smaller(model: &Model, choice: Choice, bound: f64, control: &Control) -> Result<Choice> {
    let moves = choice.sets.len();
    if !model.only_moves_count() || model.columns.len() > MOST_COLUMNS || choice.cost <= bound * (1.0 + 1e-9) {
        return Ok(choice);
    }
    let mut program = Program::new();
    for j in 0..model.columns.len() {
        program.whole_column(format!("position {j}"), 1.0, 0.0, 1.0)?;
    }
    for row in &model.rows {
        let wets = model.columns.iter().enumerate().filter(|(_, c)| c.trees.binary_search(&row.tree).is_ok());
        let terms: Vec<(usize, f64)> = wets.map(|(j, _)| (j, 1.0)).collect();
        program.row(format!("tree {}", row.tree), &terms, Relation::AtLeast, 1.0)?;
    }
    let found = match program.solve(&control.clone().with_limit(MOST_NODES))? {
        Outcome::Optimal(solution) => Some(solution),
        Outcome::Stopped { best, .. } => best,
        _ => None,
    };
    let Some(solution) = found else { return Ok(choice) };
    let open = solution.values.iter().zip(&model.columns).enumerate().filter(|(_, (y, _))| **y > 0.5);
    let sets: Vec<(usize, f64)> = open.map(|(j, (_, column))| (j, column.most_min)).collect();
    let cost = model.cost(&sets);
    Ok(if sets.len() < moves && cost < choice.cost { Choice { sets, cost, ..choice } } else { choice })
}
