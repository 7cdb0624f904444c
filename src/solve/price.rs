//! What each row is worth: the dual program, built explicitly and solved, and the range of its optimal values.
//!
//! For min c'x with rows a_i x >= b_i (or <=, =) and l <= x <= u the dual is
//! max b'y + l'v - u'w with A'y + v - w = c, y_i >= 0 (or <= 0, free), v, w >= 0.

use super::{Column, Outcome, Program, Relation, Row, Solution, TOLERANCE};
use crate::control::Control;
use crate::error::Result;

/// From `low` to `high`, both included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end; negative infinity where there is none.
    pub low: f64,
    /// Upper end; infinity where there is none.
    pub high: f64,
}

/// The worth of each row at an optimum.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Sensitivity {
    /// Optimum of the dual program; equals the cost, or the cost is not the least.
    pub dual_cost: f64,
    /// Worth of a unit of each row's right side: the cost rises by `high` for each unit that it grows and falls by
    /// `low` for each unit that it shrinks. The two differ where the optimum is degenerate; an infinite end says that
    /// no assignment is left on that side.
    pub rows: Vec<Interval>,
    /// Change of the cost for each unit that a column is pushed up from its lower bound (positive) or down from its
    /// upper one (negative).
    pub columns: Vec<f64>,
    /// Does some row have more than one price?
    pub degenerate: bool,
}

/// Where an optimum rests: rows without room, columns at their ends.
pub(super) struct Contact {
    pub tight: Vec<bool>,
    pub at_lower: Vec<bool>,
    pub at_upper: Vec<bool>,
}

/// An optimum of the dual: price of each row, of each lower and each upper bound.
pub(super) struct Prices {
    pub rows: Vec<f64>,
    pub lower: Vec<f64>,
    pub upper: Vec<f64>,
    pub cost: f64,
}

/// The dual program: first a column for each row, then those for finite bounds.
struct Dual {
    program: Program,
    lower: Vec<Option<usize>>,
    upper: Vec<Option<usize>>,
}

impl Contact {
    pub fn of(program: &Program, values: &[f64]) -> Self {
        let tight = program.rows.iter().map(|r| (r.sum(values) - r.right).abs() <= r.tolerance(values)).collect();
        let largest = values.iter().fold(0.0, |m: f64, x| m.max(x.abs()));
        let ends = |end: fn(&Column) -> f64| {
            let at = |(c, &x): (&Column, &f64)| end(c).is_finite() && (x - end(c)).abs() <= 1e-3 * TOLERANCE * largest;
            program.columns.iter().zip(values).map(at).collect()
        };
        Self { tight, at_lower: ends(|c| c.lower), at_upper: ends(|c| c.upper) }
    }
}

impl Program {
    /// The worth of each row at the optimum `best` of a linear program; for an integer program, of its relaxation
    /// at the relaxation's optimum.
    ///
    /// `None` where the solver gave no answer for the dual.
    ///
    /// ```
    /// use dibble::control::Control;
    /// use dibble::solve::{Outcome, Program, Relation};
    /// let mut program = Program::new();
    /// let potash = program.column("potassium chloride", 0.28, 0.0, f64::INFINITY)?;
    /// program.row("K2O", &[(potash, 0.60)], Relation::AtLeast, 50.0)?;
    /// let best = program.solve(&Control::new())?.optimal("the mix")?;
    /// let worth = program.sensitivity(&best, &Control::new())?.unwrap();
    /// // 0.28 / 0.60: each pound of K2O costs 0.467.
    /// assert!((worth.rows[0].low - 0.28 / 0.60).abs() < 1e-9 && !worth.degenerate);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    ///
    /// # Errors
    /// Cancelled through `control`.
    pub fn sensitivity(&self, best: &Solution, control: &Control) -> Result<Option<Sensitivity>> {
        let Some(prices) = self.prices(control)? else { return Ok(None) };
        let contact = Contact::of(self, &best.values);
        let mut rows: Vec<Interval> = prices.rows.iter().map(|&y| Interval { low: y, high: y }).collect();
        let mut degenerate = false;
        if self.has_slack_in_prices(&contact, &prices) {
            let dual = self.dual(Some(&contact))?.program;
            for (i, interval) in rows.iter_mut().enumerate() {
                let only: Vec<f64> = (0..dual.width()).map(|j| f64::from(u8::from(j == i))).collect();
                let Some(found) = dual.range_of(&only, control)? else { return Ok(None) };
                let size = interval.low.abs().max(1e-3 * self.price_size(i));
                if found.high - found.low > TOLERANCE * size {
                    (*interval, degenerate) = (found, true);
                }
            }
        }
        let columns = prices.lower.iter().zip(&prices.upper).map(|(v, w)| v - w).collect();
        Ok(Some(Sensitivity { dual_cost: prices.cost, rows, columns, degenerate }))
    }

    /// An optimum of the dual of the relaxation.
    pub(super) fn prices(&self, control: &Control) -> Result<Option<Prices>> {
        let dual = self.dual(None)?;
        let Outcome::Optimal(found) = dual.program.solve(control)? else { return Ok(None) };
        let of = |columns: &[Option<usize>]| columns.iter().map(|j| j.and_then(|j| found.values.get(j)).copied().unwrap_or(0.0)).collect();
        Ok(Some(Prices {
            rows: found.values.iter().take(self.rows.len()).copied().collect(),
            lower: of(&dual.lower),
            upper: of(&dual.upper),
            cost: -found.cost,
        }))
    }

    /// The dual as a program to minimize. With a `contact`, only prices that are optimal beside that assignment: none
    /// on rows with room, none off the ends.
    fn dual(&self, contact: Option<&Contact>) -> Result<Dual> {
        let allowed = |list: fn(&Contact) -> &Vec<bool>, i: usize| contact.is_none_or(|c| list(c).get(i).copied().unwrap_or(false));
        let cost = |c: f64| if contact.is_some() { 0.0 } else { c };
        let mut dual = Program::new();
        for (i, row) in self.rows.iter().enumerate() {
            let (low, high) = match row.relation {
                _ if !allowed(|c| &c.tight, i) => (0.0, 0.0),
                Relation::AtLeast => (0.0, f64::INFINITY),
                Relation::AtMost => (f64::NEG_INFINITY, 0.0),
                Relation::Equal => (f64::NEG_INFINITY, f64::INFINITY),
            };
            dual.column(row.name.clone(), cost(-row.right), low, high)?;
        }
        let mut by_column: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.columns.len()];
        for (i, row) in self.rows.iter().enumerate() {
            for &(j, a) in &row.terms {
                if let Some(terms) = by_column.get_mut(j) {
                    terms.push((i, a));
                }
            }
        }
        let (mut lower, mut upper) = (Vec::new(), Vec::new());
        for (j, (column, mut terms)) in self.columns.iter().zip(by_column).enumerate() {
            let mut end = |at: f64, sign: f64, allowed: bool| {
                if !at.is_finite() || !allowed {
                    return Ok(None);
                }
                let z = dual.column(column.name.clone(), cost(-sign * at), 0.0, f64::INFINITY)?;
                terms.push((z, sign));
                Ok(Some(z))
            };
            lower.push(end(column.lower, 1.0, allowed(|c| &c.at_lower, j))?);
            upper.push(end(column.upper, -1.0, allowed(|c| &c.at_upper, j))?);
            dual.row(column.name.clone(), &terms, Relation::Equal, column.cost)?;
        }
        Ok(Dual { program: dual, lower, upper })
    }

    /// Could other prices serve as well? Only where something rests on its limit and has no price.
    fn has_slack_in_prices(&self, contact: &Contact, prices: &Prices) -> bool {
        let free = |resting: &[bool], priced: &[bool]| resting.iter().zip(priced).any(|(&r, &p)| r && !p);
        let priced = self.priced(prices);
        free(&contact.tight, &priced.rows) || free(&contact.at_lower, &priced.lower) || free(&contact.at_upper, &priced.upper)
    }

    pub(super) fn priced(&self, prices: &Prices) -> Priced {
        let size = self.columns.iter().map(|c| c.cost.abs()).fold(0.0, f64::max);
        let rows = prices.rows.iter().enumerate().map(|(i, y)| y.abs() > TOLERANCE * self.price_size(i)).collect();
        let ends = |z: &[f64]| z.iter().map(|z| *z > TOLERANCE * size).collect();
        Priced { rows, lower: ends(&prices.lower), upper: ends(&prices.upper) }
    }

    /// The price that row `i` is likely to have: the largest cost over its largest coefficient.
    fn price_size(&self, i: usize) -> f64 {
        let cost = self.columns.iter().map(|c| c.cost.abs()).fold(0.0, f64::max);
        let largest = |row: &Row| row.terms.iter().map(|(_, a)| a.abs()).fold(0.0, f64::max);
        match self.rows.get(i).map(largest) {
            Some(a) if a > 0.0 => cost / a,
            _ => cost,
        }
    }

    /// Smallest and largest value of a measure over all assignments; costs do not matter.
    pub(super) fn range_of(&self, weights: &[f64], control: &Control) -> Result<Option<Interval>> {
        let end = |sign: f64| -> Result<Option<f64>> {
            let costs: Vec<f64> = weights.iter().map(|w| sign * w).collect();
            Ok(match self.with_costs(&costs)?.solve(control)? {
                Outcome::Optimal(found) => Some(sign * found.cost),
                Outcome::Unbounded => Some(-sign * f64::INFINITY),
                _ => None,
            })
        };
        Ok(match (end(1.0)?, end(-1.0)?) {
            (Some(low), Some(high)) => Some(Interval { low, high }),
            _ => None,
        })
    }
}

/// Which rows and bounds have a price.
pub(super) struct Priced {
    pub rows: Vec<bool>,
    pub lower: Vec<bool>,
    pub upper: Vec<bool>,
}
