//! What a batch amounts to: counts, means by method, and the log of decisions. Neither grows with the number of rows.

use super::layout::{ColumnRead, Layout};
use super::{BatchOptions, RowKind, RowResult, SCHEMA};
use crate::error::{Error, Result};
use crate::fertility::{Extractant, Nutrient, Status};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Lines that an entry of the log names; the rest are counted.
const LINES: usize = 5;
/// Means are added up in whole steps of this, ppm, so that the order of rows cannot change them.
const STEP_PPM: f64 = 1e-6;

/// One decision, or many of the same kind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LogEntry {
    /// What was decided: `column`, or the key of a reason.
    pub key: String,
    /// How often.
    pub count: u64,
    /// The first lines.
    pub lines: Vec<u64>,
    /// The decision in words; of the first line where there are several.
    pub words: String,
}

impl LogEntry {
    /// The same decision in another line.
    fn again(&mut self, line: u64) {
        self.count += 1;
        if self.lines.len() < LINES {
            self.lines.push(line);
        }
    }
}

/// How many rows bear a word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Counted {
    /// The word: a kind, a status or the key of a reason.
    pub name: String,
    /// Rows.
    pub rows: u64,
}

/// Values of one nutrient by one extractant.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MethodMean {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// What it was extracted with.
    pub extractant: Extractant,
    /// Samples that have a number.
    pub samples: u64,
    /// Samples below detection or above range among them, which stand at what the policy says.
    pub limits: u64,
    /// Mean, ppm of the element.
    pub mean_ppm: f64,
    /// Lowest.
    pub min_ppm: f64,
    /// Highest.
    pub max_ppm: f64,
}

/// What a batch amounts to. Re-runs, copies, checks and averages are counted and not averaged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BatchSummary {
    /// Version of this layout.
    pub schema: u32,
    /// Rows in all.
    pub rows: u64,
    /// By kind.
    pub kinds: Vec<Counted>,
    /// By status.
    pub statuses: Vec<Counted>,
    /// By reason, in the order of their keys; a row can have several.
    pub reasons: Vec<Counted>,
    /// Each nutrient by each extractant, from samples that can be used.
    pub by_method: Vec<MethodMean>,
}

impl BatchSummary {
    /// Rows of a status.
    pub fn rows_of(&self, status: Status) -> u64 {
        self.statuses.iter().find(|c| c.name == status.name()).map_or(0, |c| c.rows)
    }

    /// Mean of a nutrient over all samples, ppm of the element.
    ///
    /// # Errors
    /// Samples by several extractants, which have no common mean; none at all.
    pub fn mean_ppm(&self, nutrient: Nutrient) -> Result<f64> {
        let methods: Vec<&MethodMean> = self.by_method.iter().filter(|m| m.nutrient == nutrient).collect();
        match methods.as_slice() {
            [] => Err(Error::missing(format!("{nutrient} in this batch"), "No usable sample reports it.")),
            [one] => Ok(one.mean_ppm),
            several => {
                let names: Vec<&str> = several.iter().map(|m| m.extractant.name()).collect();
                Err(Error::inconsistent(
                    format!("{nutrient} was extracted in {} ways ({}), and their mean means nothing", names.len(), names.join(", ")),
                    "Take the mean of one method (by_method).",
                ))
            }
        }
    }
}

#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    samples: u64,
    limits: u64,
    steps: i128,
    least: f64,
    most: f64,
}

/// Counts as rows go by.
#[derive(Debug, Default)]
pub(super) struct Report {
    rows: u64,
    kinds: BTreeMap<RowKind, u64>,
    statuses: BTreeMap<Status, u64>,
    methods: BTreeMap<(Nutrient, Extractant), Sums>,
    /// Each way in which a column was read, with the lines of its headings.
    columns: Vec<(ColumnRead, LogEntry)>,
    decisions: Vec<LogEntry>,
    /// Tables that rows were read by without being named.
    tables: BTreeMap<String, LogEntry>,
    options: String,
}

impl Report {
    pub fn new(options: &BatchOptions) -> Self {
        let or = |x: &Option<String>| x.clone().unwrap_or_else(|| "none named".into());
        let named = if options.soil_tables.is_empty() { "none named".into() } else { options.soil_tables.join(", ") };
        let words = format!(
            "On {}. Interpretation tables: {named}; pH: {}; nitrogen: {}; below detection: {}. dibble {}.",
            options.today,
            or(&options.ph_table),
            or(&options.nitrogen_table),
            options.policy,
            env!("CARGO_PKG_VERSION"),
        );
        Self { options: words, ..Self::default() }
    }

    pub fn columns(&mut self, layout: &Layout) {
        for read in &layout.read {
            let same = |c: &ColumnRead| (&c.heading, &c.taken_as, c.declared) == (&read.heading, &read.taken_as, read.declared);
            match self.columns.iter_mut().find(|(c, _)| same(c)) {
                Some((_, entry)) => entry.again(read.line),
                None => {
                    let how = if read.declared { "declared" } else { "guessed" };
                    let words = format!("\"{}\" {how} as: {}.", read.heading, read.taken_as);
                    self.columns.push((read.clone(), LogEntry { key: "column".into(), count: 1, lines: vec![read.line], words }));
                }
            }
        }
    }

    pub fn note(&mut self, key: &str, line: u64, words: &str) {
        match self.decisions.iter_mut().find(|e| e.key == key) {
            Some(entry) => entry.again(line),
            None => self.decisions.push(LogEntry { key: key.into(), count: 1, lines: vec![line], words: words.into() }),
        }
    }

    /// A row that was read by this table, which nobody named.
    fn taken(&mut self, table: &str, line: u64) {
        match self.tables.get_mut(table) {
            Some(entry) => entry.again(line),
            None => {
                let words = format!("Nobody named {table}: it was taken where no other table fits.");
                self.tables.insert(table.into(), LogEntry { key: "table".into(), count: 1, lines: vec![line], words });
            }
        }
    }

    pub fn count(&mut self, row: &RowResult, options: &BatchOptions) {
        self.rows += 1;
        *self.kinds.entry(row.kind).or_default() += 1;
        *self.statuses.entry(row.status).or_default() += 1;
        for (at, reason) in row.reasons.iter().enumerate() {
            // a row counts once for a reason, however many of its cells give it
            if !row.reasons.iter().take(at).any(|r| r.key == reason.key) {
                self.note(&reason.key, row.line, &reason.words);
            }
        }
        for table in row.answer.iter().flat_map(|a| &a.tables).filter(|t| !options.names(t)) {
            self.taken(table, row.line);
        }
        if row.kind != RowKind::Sample || row.status == Status::NotUsable {
            return;
        }
        for value in row.input.iter().flat_map(|i| i.test.values()) {
            let Some(ppm) = value.ppm.number(options.policy) else { continue };
            let sums = self.methods.entry((value.nutrient, value.extractant)).or_insert(Sums { least: ppm, most: ppm, ..Sums::default() });
            sums.samples += 1;
            sums.limits += u64::from(!value.ppm.is_measured());
            sums.steps += (ppm / STEP_PPM).round() as i128;
            (sums.least, sums.most) = (sums.least.min(ppm), sums.most.max(ppm));
        }
    }

    pub fn summary(&self) -> BatchSummary {
        let counted = |name: &str, rows: u64| Counted { name: name.into(), rows };
        let by_method = self.methods.iter().map(|((nutrient, extractant), s)| MethodMean {
            nutrient: *nutrient,
            extractant: *extractant,
            samples: s.samples,
            limits: s.limits,
            mean_ppm: s.steps as f64 * STEP_PPM / s.samples as f64,
            min_ppm: s.least,
            max_ppm: s.most,
        });
        let own = ["before_heading", "unit_row", "heading_again", "other_heading", "column_absent"];
        let mut reasons: Vec<Counted> =
            self.decisions.iter().filter(|e| !own.contains(&e.key.as_str())).map(|e| counted(&e.key, e.count)).collect();
        reasons.sort_by(|a, b| a.name.cmp(&b.name));
        BatchSummary {
            schema: SCHEMA,
            rows: self.rows,
            kinds: self.kinds.iter().map(|(k, n)| counted(k.name(), *n)).collect(),
            statuses: self.statuses.iter().map(|(s, n)| counted(s.name(), *n)).collect(),
            reasons,
            by_method: by_method.collect(),
        }
    }

    pub fn log(&self) -> Vec<LogEntry> {
        let first = LogEntry { key: "options".into(), count: 1, lines: Vec::new(), words: self.options.clone() };
        let columns = self.columns.iter().map(|(_, entry)| entry.clone());
        // by first line, whatever the chunks in which rows and headings were met
        let mut decisions = self.decisions.clone();
        decisions.sort_by(|a, b| (a.lines.first(), &a.key).cmp(&(b.lines.first(), &b.key)));
        std::iter::once(first).chain(columns).chain(self.tables.values().cloned()).chain(decisions).collect()
    }
}
