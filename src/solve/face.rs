//! All optima of a program: are there several, over which ranges, and which one to take.

use super::price::{Contact, Interval};
use super::{Column, Outcome, Program, Relation, Solution};
use crate::control::Control;
use crate::error::Result;
use crate::num::random::Stream;

/// Costs closer than this, relative to what they are summed from, are the same cost.
const SAME_COST: f64 = 1e-9;

impl Program {
    /// The range of each measure over all optima; a measure is a weight for each column. Ends that meet say that the
    /// optima agree in it. `None` where the solver gave no answer.
    ///
    /// ```
    /// use dibble::control::Control;
    /// use dibble::solve::{Program, Relation};
    /// let mut program = Program::new();
    /// let x = program.column("x", 1.0, 0.0, f64::INFINITY)?;
    /// let y = program.column("y", 1.0, 0.0, f64::INFINITY)?;
    /// program.row("enough", &[(x, 1.0), (y, 1.0)], Relation::AtLeast, 6.0)?;
    /// let best = program.solve(&Control::new())?.optimal("the mix")?;
    /// let spread = program.spread(&best, &[vec![1.0, 0.0], vec![1.0, 1.0]], &Control::new())?.unwrap();
    /// // x may be anything up to 6; the sum is 6 in any case.
    /// assert_eq!((spread[0].low, spread[0].high, spread[1].low, spread[1].high), (0.0, 6.0, 6.0, 6.0));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    ///
    /// # Errors
    /// Cancelled through `control`; weights as in [`Program::with_costs`].
    pub fn spread(&self, best: &Solution, measures: &[Vec<f64>], control: &Control) -> Result<Option<Vec<Interval>>> {
        let Some(optima) = self.optima(best, control)? else { return Ok(None) };
        let here = |weights: &[f64]| weights.iter().zip(&best.values).map(|(w, x)| w * x).sum::<f64>();
        if !optima.can_move(best) || optima.is_one_point(control)? {
            return Ok(Some(measures.iter().map(|w| Interval { low: here(w), high: here(w) }).collect()));
        }
        measures.iter().map(|weights| optima.range_of(weights, control)).collect()
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

    /// Does a measure with weights from a random stream, the same for all programs, have the same ends? Two optima
    /// that differ have different values of it, but for a coincidence of nine digits. Two solves instead of two for
    /// each column.
    fn is_one_point(&self, control: &Control) -> Result<bool> {
        let probe: Vec<f64> = (0..self.columns.len() as u64).map(|j| 0.5 + Stream::new(0, j).next_f64()).collect();
        let range = self.range_of(&probe, control)?;
        Ok(range.is_some_and(|r| r.high - r.low <= SAME_COST * r.high.abs().max(r.low.abs())))
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
