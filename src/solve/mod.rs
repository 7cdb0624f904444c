//! Linear and integer programs behind one guarded door.
//!
//! A [`Program`] holds columns (what is decided, with its cost) and rows (what must hold), and is minimized.
//! [`Program::solve`] hands it to the solver, catches whatever goes wrong there, and checks every row and bound
//! of what comes back against the program as written. [`Program::sensitivity`] builds the dual for the worth of
//! each row, [`Program::conflict`] finds the smallest set of rows that cannot hold together.

mod conflict;
mod door;
mod face;
mod price;

pub use conflict::{Clash, Conflict};
pub use price::{Interval, Sensitivity};

use crate::bounds;
use crate::control::Control;
use crate::error::{Error, Result};

/// How a row's sum compares with its right side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// The sum is the right side or more.
    AtLeast,
    /// The sum is the right side or less.
    AtMost,
    /// The sum is the right side.
    Equal,
}

/// One decision: its cost for each unit and the range it may take.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    name: String,
    cost: f64,
    lower: f64,
    upper: f64,
    whole: bool,
}

/// One requirement: a weighted sum of columns against a number.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    name: String,
    terms: Vec<(usize, f64)>,
    relation: Relation,
    right: f64,
}

/// A linear program, or an integer one where columns are whole, to be minimized.
///
/// ```
/// use dibble::control::Control;
/// use dibble::solve::{Outcome, Program, Relation};
///
/// // Cheapest 60 lb of N and 30 lb of P2O5 from urea (46-0-0) and DAP (18-46-0).
/// let mut program = Program::new();
/// let urea = program.column("urea", 0.30, 0.0, f64::INFINITY)?;
/// let dap = program.column("DAP", 0.40, 0.0, f64::INFINITY)?;
/// program.row("N", &[(urea, 0.46), (dap, 0.18)], Relation::AtLeast, 60.0)?;
/// program.row("P2O5", &[(dap, 0.46)], Relation::AtLeast, 30.0)?;
/// let Outcome::Optimal(best) = program.solve(&Control::new())? else { panic!() };
/// assert!((best.cost - 57.561).abs() < 1e-3);
/// # Ok::<(), dibble::Error>(())
/// ```
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Program {
    columns: Vec<Column>,
    rows: Vec<Row>,
}

/// An assignment that meets every row and bound, checked against the program as written.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Solution {
    /// Cost, summed anew from the values.
    pub cost: f64,
    /// Value of each column, in the order they were added. Whole columns are whole.
    pub values: Vec<f64>,
    /// Branch-and-bound nodes that were worked through; 0 without whole columns.
    pub nodes: u64,
}

/// What came of a program. That there is no answer is an answer.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Outcome {
    /// Nothing is cheaper.
    Optimal(Solution),
    /// The work limit came first.
    Stopped {
        /// The cheapest assignment found so far.
        best: Option<Solution>,
        /// No assignment costs less than this.
        bound: Option<f64>,
    },
    /// No assignment meets all rows and bounds.
    Infeasible,
    /// The cost can fall without end.
    Unbounded,
    /// The solver failed, or what it returned did not pass the check.
    NoAnswer {
        /// What went wrong.
        why: String,
    },
}

/// A row or bound that an assignment breaks.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Violation {
    /// Name of the row, or of the column whose bound is broken.
    pub name: String,
    /// By how much.
    pub by: f64,
}

/// What a whole column can hold: the solver counts with 32 bits.
const WHOLE: bounds::Bound = bounds::Bound { min: -2.0e9, max: 2.0e9, ..bounds::PROGRAM_NUMBER };

/// Relative tolerance of "holds" and "rests on".
const TOLERANCE: f64 = 1e-7;

impl Program {
    /// Without columns or rows.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a real column and returns its index.
    ///
    /// `lower` and `upper` are inclusive; infinite ends leave that side open.
    ///
    /// # Errors
    /// A number that is not finite (but for open ends), beyond 1e12, or `lower` above `upper`.
    pub fn column(&mut self, name: impl Into<String>, cost: f64, lower: f64, upper: f64) -> Result<usize> {
        self.add(Column { name: name.into(), cost, lower, upper, whole: false })
    }

    /// Adds a column of whole numbers and returns its index.
    ///
    /// # Errors
    /// As [`Program::column`]; also a range without a whole number, or beyond two thousand million.
    pub fn whole_column(&mut self, name: impl Into<String>, cost: f64, lower: f64, upper: f64) -> Result<usize> {
        self.add(Column { name: name.into(), cost, lower, upper, whole: true })
    }

    fn add(&mut self, column: Column) -> Result<usize> {
        let Column { name, cost, lower, upper, whole } = &column;
        let place = || format!("column \"{name}\"");
        bounds::PROGRAM_NUMBER.named("cost").check(*cost).map_err(|e| e.at(place()))?;
        let end = if *whole { WHOLE } else { bounds::PROGRAM_NUMBER };
        if *lower != f64::NEG_INFINITY {
            end.named("lower").check(*lower).map_err(|e| e.at(place()))?;
        }
        if *upper != f64::INFINITY {
            end.named("upper").check(*upper).map_err(|e| e.at(place()))?;
        }
        let (least, most) = if *whole { (lower.ceil(), upper.floor()) } else { (*lower, *upper) };
        if least > most {
            let what = format!("{} has no {} from {lower} to {upper}", place(), if *whole { "whole number" } else { "number" });
            return Err(Error::inconsistent(what, "Raise the upper bound or lower the lower one."));
        }
        self.columns.push(Column { lower: least, upper: most, ..column });
        Ok(self.columns.len() - 1)
    }

    /// Adds a row and returns its index. Zero coefficients are dropped.
    ///
    /// # Errors
    /// A number that is not finite or beyond 1e12, a column that is not there or named twice.
    pub fn row(&mut self, name: impl Into<String>, terms: &[(usize, f64)], relation: Relation, right: f64) -> Result<usize> {
        let name = name.into();
        let place = || format!("row \"{name}\"");
        let number = |label, value| bounds::PROGRAM_NUMBER.named(label).check(value).map_err(|e| e.at(place()));
        number("right side", right)?;
        let mut seen = vec![false; self.columns.len()];
        for &(column, coefficient) in terms {
            number("coefficient", coefficient)?;
            match seen.get_mut(column) {
                None => {
                    let what = format!("{} names column {column} of {}", place(), self.columns.len());
                    return Err(Error::inconsistent(what, "Use the indices that adding the columns returned."));
                }
                Some(true) => {
                    let what = format!("{} names column {column} twice", place());
                    return Err(Error::inconsistent(what, "Add the two coefficients up."));
                }
                Some(first) => *first = true,
            }
        }
        let terms = terms.iter().copied().filter(|(_, a)| *a != 0.0).collect();
        self.rows.push(Row { name, terms, relation, right });
        Ok(self.rows.len() - 1)
    }

    /// Number of columns.
    pub fn width(&self) -> usize {
        self.columns.len()
    }

    /// Number of rows.
    pub fn height(&self) -> usize {
        self.rows.len()
    }

    /// Name of a row.
    pub fn row_name(&self, row: usize) -> Option<&str> {
        self.rows.get(row).map(|r| r.name.as_str())
    }

    /// Is some column whole?
    pub fn is_integer(&self) -> bool {
        self.columns.iter().any(|c| c.whole)
    }

    /// Cost of an assignment.
    pub fn cost_of(&self, values: &[f64]) -> f64 {
        self.columns.iter().zip(values).map(|(c, x)| c.cost * x).sum()
    }

    /// The same program without the demand that columns be whole.
    #[must_use]
    pub fn relaxed(&self) -> Program {
        let columns = self.columns.iter().map(|c| Column { whole: false, ..c.clone() }).collect();
        Program { columns, rows: self.rows.clone() }
    }

    /// The same rows and bounds under other costs, one for each column.
    ///
    /// # Errors
    /// As [`Program::column`]; also another number of costs than columns.
    pub fn with_costs(&self, costs: &[f64]) -> Result<Program> {
        if costs.len() != self.columns.len() {
            let what = format!("{} costs were given for {} columns", costs.len(), self.columns.len());
            return Err(Error::inconsistent(what, "Give one cost for each column."));
        }
        bounds::PROGRAM_NUMBER.named("cost").check_slice(costs)?;
        if let Some(cost) = costs.iter().find(|c| c.is_nan()) {
            return Err(bounds::PROGRAM_NUMBER.named("cost").refuse(*cost));
        }
        let columns = self.columns.iter().zip(costs).map(|(c, &cost)| Column { cost, ..c.clone() }).collect();
        Ok(Program { columns, rows: self.rows.clone() })
    }

    /// The rows and bounds that an assignment breaks, by more than 1e-7 of what stands in the row and more
    /// than round-off.
    ///
    /// ```
    /// use dibble::solve::{Program, Relation};
    /// let mut program = Program::new();
    /// let x = program.column("x", 1.0, 0.0, 10.0)?;
    /// program.row("enough", &[(x, 2.0)], Relation::AtLeast, 6.0)?;
    /// let broken = program.violations(&[2.5]);
    /// assert_eq!((broken[0].name.as_str(), broken[0].by), ("enough", 1.0));
    /// assert!(program.violations(&[3.0]).is_empty());
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn violations(&self, values: &[f64]) -> Vec<Violation> {
        if values.len() != self.columns.len() {
            return vec![Violation { name: "the number of values".into(), by: values.len().abs_diff(self.columns.len()) as f64 }];
        }
        let bounds = self.columns.iter().zip(values).filter_map(|(c, &x)| {
            let past = (c.lower - x).max(x - c.upper);
            let off = if c.whole { (x - x.round()).abs() } else { 0.0 };
            let near = |end: f64| if end.is_finite() { TOLERANCE * end.abs().max(1e-9) } else { 0.0 };
            let broken = past > near(if x < c.lower { c.lower } else { c.upper }) || off > 0.0 || x.is_nan();
            broken.then(|| Violation { name: c.name.clone(), by: past.max(off) })
        });
        let rows = self.rows.iter().filter_map(|row| {
            let broken = row.shortfall(values);
            (broken > row.tolerance(values) || broken.is_nan()).then(|| Violation { name: row.name.clone(), by: broken })
        });
        bounds.chain(rows).collect()
    }

    /// Solves the program.
    ///
    /// Integer programs take steps of `control` by branch-and-bound nodes, looked at every 64 nodes; a linear
    /// program is one step. Reaching the limit is [`Outcome::Stopped`].
    ///
    /// # Errors
    /// Cancelled through `control`. All else is an [`Outcome`].
    pub fn solve(&self, control: &Control) -> Result<Outcome> {
        door::solve(self, control)
    }
}

impl Row {
    fn sum(&self, values: &[f64]) -> f64 {
        self.terms.iter().map(|&(j, a)| a * values.get(j).copied().unwrap_or(f64::NAN)).sum()
    }

    /// How far the sum may be from the right side and still count as equal: a share of what stands in the row, and no
    /// less than the round-off that the largest of all values leaves in the others.
    fn tolerance(&self, values: &[f64]) -> f64 {
        let largest = values.iter().fold(0.0, |m: f64, x| m.max(x.abs()));
        let term = |&(j, a): &(usize, f64)| {
            TOLERANCE * (a * values.get(j).copied().unwrap_or(f64::NAN)).abs() + 4.0 * f64::EPSILON * a.abs() * largest
        };
        TOLERANCE * self.right.abs() + self.terms.iter().map(term).sum::<f64>()
    }

    /// How far the row is from holding; negative where it holds with room.
    fn shortfall(&self, values: &[f64]) -> f64 {
        let over = self.sum(values) - self.right;
        match self.relation {
            Relation::AtLeast => -over,
            Relation::AtMost => over,
            Relation::Equal => over.abs(),
        }
    }
}

impl Outcome {
    /// The proven optimum, or why there is none as an error.
    ///
    /// # Errors
    /// Infeasible, unbounded, stopped at the work limit, or a fault of the solver.
    pub fn optimal(self, what: &str) -> Result<Solution> {
        match self {
            Outcome::Optimal(solution) => Ok(solution),
            Outcome::Stopped { best, .. } => Err(Error::limit(what, best.map_or(0, |b| b.nodes))),
            Outcome::Infeasible => Err(Error::infeasible(format!("{what} has no solution"), "Ease one of its limits.")),
            Outcome::Unbounded => Err(Error::inconsistent(
                format!("the cost of {what} can fall without end"),
                "Check the signs of the costs, or add a limit.",
            )),
            Outcome::NoAnswer { why } => Err(Error::internal(what, why)),
        }
    }
}
