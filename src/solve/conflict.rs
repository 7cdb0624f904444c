//! Why a program has no solution: a smallest set of rows that cannot hold together, and how far each could get.

use super::{Outcome, Program, Relation, Row};
use crate::control::Control;
use crate::error::Result;

/// One row of a conflict.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Clash {
    /// Index of the row.
    pub row: usize,
    /// The sum nearest to the right side that this row can reach while all other rows of the program hold; `None`
    /// where they do not hold even without it.
    pub reach: Option<f64>,
}

/// Rows that cannot all hold, though any of them could be left out and the rest would.
///
/// Bounds of columns are not counted: they hold throughout.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Conflict {
    /// The rows.
    pub clashes: Vec<Clash>,
    /// Proven that no conflict of this program has fewer rows. The search for one is given up beyond 3,000 sets.
    pub smallest: bool,
}

/// Sets of rows that are tried in search of a smaller conflict.
const MOST_SETS: u64 = 3000;

impl Program {
    /// The smallest conflict, or `None` where the program has a solution or the solver gave no answer.
    ///
    /// A deletion filter (Chinneck and Dravnieks 1991) leaves rows of which none can be spared; then every smaller
    /// set is tried, smallest first.
    ///
    /// ```
    /// use dibble::control::Control;
    /// use dibble::solve::{Program, Relation};
    /// let mut program = Program::new();
    /// let x = program.column("x", 1.0, 0.0, f64::INFINITY)?;
    /// program.row("at least 5", &[(x, 1.0)], Relation::AtLeast, 5.0)?;
    /// program.row("at least 1", &[(x, 1.0)], Relation::AtLeast, 1.0)?;
    /// program.row("at most 3", &[(x, 1.0)], Relation::AtMost, 3.0)?;
    /// let conflict = program.conflict(&Control::new())?.unwrap();
    /// let rows: Vec<usize> = conflict.clashes.iter().map(|c| c.row).collect();
    /// assert_eq!((rows, conflict.smallest), (vec![0, 2], true));
    /// assert_eq!(conflict.clashes[0].reach, Some(3.0));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    ///
    /// # Errors
    /// Cancelled through `control`.
    pub fn conflict(&self, control: &Control) -> Result<Option<Conflict>> {
        let all: Vec<usize> = (0..self.rows.len()).collect();
        if self.holds(&all, control)? != Some(false) {
            return Ok(None);
        }
        let mut kept = all;
        let (mut at, mut sure) = (0, true);
        while at < kept.len() {
            let mut without = kept.clone();
            without.remove(at);
            match self.holds(&without, control)? {
                Some(false) => kept = without,
                held => (at, sure) = (at + 1, sure && held.is_some()),
            }
        }
        let (kept, smallest) = match self.smaller(kept.len(), control)? {
            Search::Found(rows) => (rows, true),
            Search::None => (kept, sure),
            Search::GivenUp => (kept, false),
        };
        let clashes = kept.iter().map(|&row| Ok(Clash { row, reach: self.reach(row, control)? })).collect::<Result<_>>()?;
        Ok(Some(Conflict { clashes, smallest }))
    }

    /// A set of fewer than `size` rows that cannot hold together.
    fn smaller(&self, size: usize, control: &Control) -> Result<Search> {
        let mut tried = 0;
        for size in 0..size {
            let mut set: Vec<usize> = (0..size).collect();
            loop {
                tried += 1;
                if tried > MOST_SETS {
                    return Ok(Search::GivenUp);
                }
                match self.holds(&set, control)? {
                    Some(true) => {}
                    Some(false) => return Ok(Search::Found(set)),
                    None => return Ok(Search::GivenUp),
                }
                if !next_set(&mut set, self.rows.len()) {
                    break;
                }
            }
        }
        Ok(Search::None)
    }

    /// Can these rows hold together? `None` where the solver gave no answer.
    fn holds(&self, rows: &[usize], control: &Control) -> Result<Option<bool>> {
        let columns = self.columns.iter().map(|c| super::Column { cost: 0.0, ..c.clone() }).collect();
        let rows = rows.iter().filter_map(|&i| self.rows.get(i).cloned()).collect();
        Ok(match (Program { columns, rows }).solve(control)? {
            Outcome::Optimal(_) => Some(true),
            Outcome::Infeasible => Some(false),
            Outcome::Stopped { best, .. } => best.map(|_| true),
            Outcome::Unbounded | Outcome::NoAnswer { .. } => None,
        })
    }

    /// The nearest that a row's sum comes to its right side while the others hold.
    fn reach(&self, row: usize, control: &Control) -> Result<Option<f64>> {
        let mut eased = self.with_costs(&vec![0.0; self.columns.len()])?;
        let (up, down) = (eased.column("missing", 1.0, 0.0, f64::INFINITY)?, eased.column("too much", 1.0, 0.0, f64::INFINITY)?);
        let Some(Row { terms, relation, .. }) = eased.rows.get_mut(row) else { return Ok(None) };
        // Eased by what a unit of the row is worth, so that the easing is of the size of its columns.
        let unit = terms.iter().map(|(_, a)| a.abs()).fold(0.0, f64::max);
        let unit = if unit > 0.0 { unit } else { 1.0 };
        if *relation != Relation::AtMost {
            terms.push((up, unit));
        }
        if *relation != Relation::AtLeast {
            terms.push((down, -unit));
        }
        let Outcome::Optimal(found) = eased.solve(control)? else { return Ok(None) };
        Ok(self.rows.get(row).map(|r| r.sum(&found.values)))
    }
}

enum Search {
    Found(Vec<usize>),
    None,
    GivenUp,
}

/// The next set of as many indices below `n` in lexicographic order; false after the last.
fn next_set(set: &mut [usize], n: usize) -> bool {
    let size = set.len();
    for i in (0..size).rev() {
        let Some(&value) = set.get(i) else { return false };
        if value < n - size + i {
            for (step, slot) in set.iter_mut().skip(i).enumerate() {
                *slot = value + 1 + step;
            }
            return true;
        }
    }
    false
}
