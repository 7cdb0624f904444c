//! All optima of a program: are there several, over which ranges, and which one to take.

use super::price::Contact;
use super::{Column, Outcome, Program, Relation, Solution};
use crate::control::Control;
use crate::error::Result;

/// A column that may take more than one value without changing the cost.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Tie {
    /// Index of the column.
    pub column: usize,
    /// Its least value among the optima.
    pub low: f64,
    /// Its largest; infinite where there is none.
    pub high: f64,
}

/// Costs closer than this, relative to what they are summed from, are the same cost.
const SAME_COST: f64 = 1e-9;
/// Values closer than this part of the largest value are the same value.
const SAME_VALUE: f64 = 1e-6;

impl Program {
    /// The columns in which the optima differ; empty where `best` is the only one, `None` where the solver gave no
    /// answer.
    ///
    /// # Errors
    /// Cancelled through `control`.
    pub fn ties(&self, best: &Solution, control: &Control) -> Result<Option<Vec<Tie>>> {
        let Some(optima) = self.optima(best, control)? else { return Ok(None) };
        let mut ties = Vec::new();
        if optima.can_move(best) {
            let size = best.values.iter().fold(0.0, |m: f64, x| m.max(x.abs()));
            for column in 0..self.columns.len() {
                let Some(range) = optima.range_of(column, control)? else { return Ok(None) };
                if range.high - range.low > SAME_VALUE * size {
                    ties.push(Tie { column, low: range.low, high: range.high });
                }
            }
        }
        Ok(Some(ties))
    }

    /// Among all optima the one that has the least of the first preference, among those the least of the second,
    /// and so on; a preference is a weight for each column. `None` where the solver gave no answer.
    ///
    /// # Errors
    /// Cancelled through `control`; weights as in [`Program::with_costs`].
    pub fn settle(&self, best: &Solution, preferences: &[Vec<f64>], control: &Control) -> Result<Option<Solution>> {
        let (mut program, mut chosen) = (self.clone(), best.clone());
        for weights in preferences {
            let Some(optima) = program.optima(&chosen, control)? else { return Ok(None) };
            if !optima.can_move(&chosen) {
                break;
            }
            program = optima.with_costs(weights)?;
            let Outcome::Optimal(found) = program.solve(control)? else { return Ok(None) };
            chosen = found;
        }
        let nodes = best.nodes + chosen.nodes;
        Ok(self.violations(&chosen.values).is_empty().then(|| Solution { cost: self.cost_of(&chosen.values), nodes, ..chosen }))
    }

    /// The program that holds exactly the optima: for a linear one by complementary slackness with an optimum of the
    /// dual (rows with a price hold with equality, columns with one stay at their end), for an integer one by a
    /// limit on the cost.
    fn optima(&self, best: &Solution, control: &Control) -> Result<Option<Program>> {
        let mut optima = self.clone();
        if self.is_integer() {
            let terms: Vec<(usize, f64)> = self.columns.iter().map(|c| c.cost).enumerate().collect();
            let made_of: f64 = self.columns.iter().zip(&best.values).map(|(c, x)| (c.cost * x).abs()).sum();
            optima.row("cost", &terms, Relation::AtMost, best.cost + SAME_COST * made_of)?;
            return Ok(Some(optima));
        }
        let Some(prices) = self.prices(control)? else { return Ok(None) };
        let priced = self.priced(&prices);
        for (row, _) in optima.rows.iter_mut().zip(&priced.rows).filter(|(_, priced)| **priced) {
            row.relation = Relation::Equal;
        }
        let pin = |(column, (&low, &high)): (&mut Column, (&bool, &bool))| match (low, high) {
            (true, _) => column.upper = column.lower,
            (false, true) => column.lower = column.upper,
            (false, false) => {}
        };
        optima.columns.iter_mut().zip(priced.lower.iter().zip(&priced.upper)).for_each(pin);
        Ok(Some(optima))
    }

    /// Is there room to leave `vertex`? A vertex of a linear program can only be left through a row or bound that it
    /// rests on and that need not hold with equality.
    fn can_move(&self, vertex: &Solution) -> bool {
        let contact = Contact::of(self, &vertex.values);
        let through_row = self.rows.iter().zip(&contact.tight).any(|(row, &tight)| tight && row.relation != Relation::Equal);
        let through_end = |(c, (&low, &high)): (&Column, (&bool, &bool))| (low || high) && c.lower < c.upper;
        self.is_integer() || through_row || self.columns.iter().zip(contact.at_lower.iter().zip(&contact.at_upper)).any(through_end)
    }
}
