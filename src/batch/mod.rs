//! Many soil tests at once: a table in, every row back in order with its status, its reasons and its numbers.
//!
//! Columns are declared or guessed, and the log says how. Rows stream through in chunks: what is kept between chunks is
//! the reading of the columns, counts, and hashes that tell copies and re-runs. A row's answer depends on nothing but the
//! row, the options and, for copies and re-runs, the rows before it; chunks and threads change nothing.

mod answer;
mod cell;
mod cells;
mod csv;
mod fields;
mod heading;
mod kind;
mod layout;
mod letter;
mod options;
mod parse;
mod quotes;
mod reading;
mod report;
mod seen;
mod twins;

pub use csv::{CsvRows, write_heading, write_rows};
pub use fields::{FIELDS, Field, FieldKind};
pub use kind::RowKind;
pub use layout::ColumnRead;
pub use options::{BatchOptions, DecimalMark, Facts, ShareAs};
pub use report::{BatchSummary, Counted, LogEntry, MethodMean};

use crate::control::Control;
use crate::error::{Error, Result};
use crate::fertility::{Reason, RecommendInput, Recommendation, Status, Tables, ph_targets};
use crate::pool;
use answer::Asking;
use layout::Layout;
use letter::Letters;
use reading::{AllFacts, Reading};
use report::Report;
use seen::Seen;
use std::sync::Arc;

/// Version of the results of this module.
pub const SCHEMA: u32 = 1;

/// One row of the table, answered.
#[derive(Debug, Clone, PartialEq)]
pub struct RowResult {
    /// Line of the file, counted from 1. The heading of a table that is no file counts as line 1, its first row as line 2.
    pub line: u64,
    /// What the row is.
    pub kind: RowKind,
    /// How far it can be used; rows that are set apart cannot.
    pub status: Status,
    /// Why not further, the worst first.
    pub reasons: Vec<Reason>,
    /// Name of the sample.
    pub sample: String,
    /// Name of the block.
    pub block: String,
    /// Name of the grower.
    pub grower: String,
    /// The lab's number of the grower.
    pub client: String,
    /// The lab.
    pub lab: String,
    /// The lab's number of the sample.
    pub lab_number: String,
    /// What the lab remarked.
    pub remark: String,
    /// Trees of the block, where they were counted.
    pub trees: Option<f64>,
    /// What was asked, as a single call would ask it.
    pub input: Option<RecommendInput>,
    /// The answer of the same single call.
    pub answer: Option<Recommendation>,
}

/// Soil tests of a table, chunk by chunk.
///
/// ```
/// use dibble::batch::{Batch, BatchOptions};
/// use dibble::fertility::Status;
/// let options = BatchOptions::new(dibble::Date::new(2027, 4, 1)?);
/// let heading = ["Sample", "Date", "Depth (in)", "pH (water)", "K (element) ppm Mehlich-3"];
/// let mut batch = Batch::new(&heading, 1, options)?;
/// let rows = batch.feed(&[["A", "2026-10-12", "0-6", "5.7", "61"], ["B", "2026-10-12", "0-6", "5.7", "IS"]])?;
/// assert_eq!(rows.iter().map(|r| r.status).collect::<Vec<_>>(), [Status::WithAssumption, Status::NotUsable]);
/// # Ok::<(), dibble::Error>(())
/// ```
pub struct Batch {
    options: BatchOptions,
    tables: Tables,
    facts: AllFacts,
    layout: Arc<Layout>,
    /// May the next row be the second of two heading rows?
    after_heading: bool,
    line: u64,
    seen: Seen,
    report: Report,
    letters: Option<Letters>,
    control: Control,
}

impl Batch {
    /// A batch over rows under this heading, which stands in line `line`, with the shipped tables.
    ///
    /// # Errors
    /// No column that is a measurement, a declared column with a meaning that is not known, an unknown table.
    pub fn new<S: AsRef<str>>(heading: &[S], line: u64, options: BatchOptions) -> Result<Self> {
        Self::with_tables(heading, line, options, Tables::shipped()?)
    }

    /// As [`Batch::new`], with tables of your own beside the shipped ones.
    ///
    /// # Errors
    /// As there.
    pub fn with_tables<S: AsRef<str>>(heading: &[S], line: u64, options: BatchOptions, tables: Tables) -> Result<Self> {
        let facts = check(&options, &tables)?;
        let layout = Layout::new(heading, None, &options, line)?;
        let declared = options.columns.keys().filter(|name| !heading.iter().any(|h| crate::words::same(h.as_ref(), name)));
        let mut report = Report::new(&options);
        for name in declared {
            report.note("column_absent", line, &format!("The declared column \"{name}\" is not in this heading."));
        }
        let letters = options.letters.then(Letters::default);
        let (layout, seen, control) = (Arc::new(layout), Seen::default(), Control::new());
        Ok(Self { options, tables, facts, layout, after_heading: true, line, seen, report, letters, control })
    }

    /// The same batch, to be cancelled and limited in rows by `control`.
    #[must_use]
    pub fn with_control(mut self, control: Control) -> Self {
        self.control = control;
        self
    }

    /// Answers the next rows, in their order.
    ///
    /// # Errors
    /// A heading without measurements, no threads to be had, cancelled. Rows never fail: each says what is the matter with it.
    pub fn feed<S: AsRef<str> + Sync, R: AsRef<[S]> + Sync>(&mut self, rows: &[R]) -> Result<Vec<RowResult>> {
        let lines: Vec<u64> = (self.line + 1..).take(rows.len()).collect();
        self.feed_lines(rows, &lines)
    }

    /// As [`Batch::feed`], with the line of each row.
    fn feed_lines<S: AsRef<str> + Sync, R: AsRef<[S]> + Sync>(&mut self, rows: &[R], lines: &[u64]) -> Result<Vec<RowResult>> {
        let mut tasks: Vec<Task<'_, S>> = Vec::with_capacity(rows.len());
        for (row, &line) in rows.iter().zip(lines) {
            let row = row.as_ref();
            let heading = self.is_heading(row, line)?;
            if !heading && self.after_heading && row.iter().any(|c| !cell::clean(c.as_ref()).is_empty()) {
                self.after_heading = false;
                self.layout.require()?;
                self.report.columns(&self.layout);
            }
            tasks.push((line, row, (!heading).then(|| Arc::clone(&self.layout))));
            self.line = line;
        }
        self.control.step("the batch of soil tests", self.line, 0)?;
        let threads = self.options.n_threads;
        let (facts, asking) = (&self.facts, Asking { options: &self.options, tables: &self.tables, control: &self.control });
        let mut readings: Vec<(u64, Reading)> = pool::map(&tasks, threads, |(line, row, layout)| {
            (*line, layout.as_ref().map_or_else(Reading::heading, |layout| reading::read(layout, row, facts)))
        })?;
        readings.iter_mut().for_each(|(line, reading)| self.seen.meet(*line, reading));
        let results = pool::map_owned(readings, threads, |(line, reading)| asking.answer(line, reading))?;
        // a row that was cut short by the flag is no answer
        self.control.step("the batch of soil tests", self.line, 0)?;
        for result in &results {
            self.report.count(result, &self.options);
            if let Some(letters) = &mut self.letters {
                letters.add(result);
            }
        }
        Ok(results)
    }

    /// Is this row a heading? If it begins another table, the rows below are read by it.
    fn is_heading<S: AsRef<str>>(&mut self, row: &[S], line: u64) -> Result<bool> {
        if self.after_heading && layout::is_unit_row(row) {
            self.layout = Arc::new(self.layout.with_units(row, &self.options, line)?);
            self.report.note("unit_row", line, "A second heading row: its units and methods go with the headings above.");
            return Ok(true);
        }
        if self.layout.repeats(row) {
            self.report.note("heading_again", line, "The heading stands here again.");
            return Ok(true);
        }
        if let Some(layout) = Layout::begins(row, &self.options, line) {
            self.layout = Arc::new(layout);
            self.after_heading = true;
            self.report.note("other_heading", line, "Another heading: the rows below are read by it.");
            return Ok(true);
        }
        Ok(false)
    }

    /// What the batch amounts to so far.
    pub fn summary(&self) -> BatchSummary {
        self.report.summary()
    }

    /// How columns were read and what was decided about rows, with counts and first lines.
    pub fn log(&self) -> Vec<LogEntry> {
        self.report.log()
    }

    /// One letter for each grower, by name. Empty unless [`BatchOptions::letters`] asked for them.
    pub fn letters(&self) -> Vec<(String, crate::farm::Page)> {
        self.letters.as_ref().map_or(Vec::new(), |l| l.pages(&self.options))
    }
}

/// A row's line and cells, and the layout to read it by; none for a heading.
type Task<'r, S> = (u64, &'r [S], Option<Arc<Layout>>);

/// The tables that are named exist, and no fact, product or number of threads is impossible.
fn check(options: &BatchOptions, tables: &Tables) -> Result<AllFacts> {
    pool::check(options.n_threads)?;
    let mut problems = Vec::new();
    let named = std::iter::once(&options.facts).chain(options.lab.values()).filter_map(|f| f.species.as_deref());
    problems.extend(named.filter_map(|species| ph_targets(species, &tables.ph).err()));
    problems.extend(options.soil_tables.iter().filter_map(|name| tables.soil.get(name).err()));
    problems.extend(options.ph_table.iter().filter_map(|name| tables.ph.get(name).err()));
    problems.extend(options.nitrogen_table.iter().filter_map(|name| tables.nitrogen.get(name).err()));
    problems.extend(options.conversions.iter().filter_map(|name| tables.conversion.get(name).err()));
    let facts = AllFacts::new(options).map_err(|e| problems.push(e)).ok();
    problems.extend(answer::probe(options, tables).err());
    match (Error::several(problems), facts) {
        (None, Some(facts)) => Ok(facts),
        (problem, _) => Err(problem.unwrap_or_else(|| Error::missing("facts", "Give options."))),
    }
}
