//! Which column of a table holds what, by its one or two heading rows, and how that was decided.

use super::heading::{Column, heading, is_unit_word};
use super::{BatchOptions, cell};
use crate::error::{Error, Result};
use crate::words::same;
use serde::{Deserialize, Serialize};

/// A row of so many cells is no sentence.
const WIDE: usize = 20;

/// How one column of the file was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ColumnRead {
    /// Line of the heading.
    pub line: u64,
    /// The heading as it stands in the file, with that of a second row behind it.
    pub heading: String,
    /// What it was taken for.
    pub taken_as: String,
    /// Was that declared? Otherwise it was guessed.
    pub declared: bool,
}

/// The columns of a table.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Layout {
    /// Headings as they stand in the first row.
    raw: Vec<String>,
    /// Cell, meaning and heading of each column that is used.
    pub columns: Vec<(usize, Column, String)>,
    /// Columns that mean the same as one before them: the cell of the first, their own, meaning and both headings.
    pub rivals: Vec<Rival>,
    /// Every column, for the log.
    pub read: Vec<ColumnRead>,
}

/// A column that means the same as one before it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rival {
    /// Place among the cells of the column that is used, its meaning and its heading.
    pub first: (usize, Column, String),
    /// The same of the column that is not.
    pub second: (usize, Column, String),
}

impl Layout {
    /// Reads a heading row, and the row of units under it if there is one.
    pub fn new<S: AsRef<str>>(raw: &[S], units: Option<&[S]>, options: &BatchOptions, line: u64) -> Result<Self> {
        let mut layout =
            Self { raw: raw.iter().map(|h| h.as_ref().to_string()).collect(), columns: Vec::new(), rivals: Vec::new(), read: Vec::new() };
        for (at, own) in raw.iter().enumerate() {
            let own = cell::clean(own.as_ref());
            let under = units.and_then(|u| u.get(at)).map_or("", |u| cell::clean(u.as_ref()));
            let shown = [own, under].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(" ");
            if shown.is_empty() {
                continue;
            }
            let declared = options.columns.iter().find(|(name, _)| same(name, own) || same(name, &shown)).map(|(_, meant)| meant);
            let column = match declared {
                Some(meant) => {
                    let whole = format!("{meant} {under}");
                    let column = heading(whole.trim()).or_else(|| heading(meant));
                    Some(column.ok_or_else(|| {
                        let hint = "Write it as a heading that says nutrient, form, unit and extractant, as \"P (element) ppm Mehlich-3\", or as \"sample\", \"grower\", \"skip\".";
                        Error::unreadable(format!("the declared meaning of column \"{own}\""), meant, "no such meaning is known", hint)
                    })?)
                }
                None => heading(&shown).or_else(|| heading(own)),
            };
            layout.add(at, column, shown, declared.is_some(), line);
        }
        Ok(layout)
    }

    fn add(&mut self, at: usize, column: Option<Column>, shown: String, declared: bool, line: u64) {
        let taken_as = match column {
            None => "not understood, not used".into(),
            Some(Column::Skip) => Column::Skip.to_string(),
            Some(column) => match self.columns.iter().find(|(_, c, _)| c.same_place(column)) {
                Some(first) => {
                    let first = first.clone();
                    let words = format!("compared with column \"{}\", which is used", first.2);
                    self.rivals.push(Rival { first, second: (at, column, shown.clone()) });
                    words
                }
                None => {
                    self.columns.push((at, column, shown.clone()));
                    column.to_string()
                }
            },
        };
        self.read.push(ColumnRead { line, heading: shown, taken_as, declared });
    }

    /// A table of soil tests has a measurement.
    pub fn require(&self) -> Result<()> {
        if self.measures() {
            return Ok(());
        }
        let shown: Vec<String> = self.read.iter().map(|c| format!("\"{}\"", c.heading)).collect();
        Err(Error::missing(
            "a column of a nutrient or of pH",
            format!("Declare what the columns mean (columns). Headings: {}.", shown.join(", ")),
        ))
    }

    fn measures(&self) -> bool {
        self.columns.iter().any(|(_, c, _)| matches!(c, Column::Nutrient { .. } | Column::Ph(_) | Column::Buffer { .. }))
    }

    fn names(&self) -> bool {
        self.columns.iter().any(|(_, c, _)| matches!(c, Column::Sample | Column::Block | Column::LabNumber))
    }

    /// Cells of a row beyond the last heading.
    pub fn beyond<'r, S: AsRef<str>>(&self, row: &'r [S]) -> impl Iterator<Item = &'r str> {
        row.iter().skip(self.raw.len()).map(|c| cell::clean(c.as_ref())).filter(|c| !c.is_empty())
    }

    /// Does this row repeat the heading?
    pub fn repeats<S: AsRef<str>>(&self, row: &[S]) -> bool {
        let cells = || row.iter().map(|c| cell::clean(c.as_ref()));
        cells().any(|c| !c.is_empty()) && cells().zip(&self.raw).all(|(a, b)| same(a, cell::clean(b)))
    }

    /// The layout that begins with this row, if the row is the heading of another table.
    pub fn begins<S: AsRef<str>>(row: &[S], options: &BatchOptions, line: u64) -> Option<Self> {
        let cells: Vec<&str> = row.iter().map(|c| cell::clean(c.as_ref())).filter(|c| !c.is_empty()).collect();
        if cells.len() < 2 || cells.iter().any(|c| c.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '<' | '>'))) {
            return None;
        }
        let layout = Self::new(row, None, options, line).ok()?;
        let understood = layout.columns.len() >= 2 && 2 * layout.columns.len() > cells.len();
        (understood && layout.measures() && layout.names()).then_some(layout)
    }

    /// Is this row the file's first heading? Nothing but words stands before it, so that a wide export with few columns of use
    /// is known by a name and a measurement alone.
    pub fn is_first<S: AsRef<str>>(row: &[S], options: &BatchOptions, line: u64) -> bool {
        if row
            .iter()
            .any(|c| cell::clean(c.as_ref()).starts_with(|c: char| matches!(c, '<' | '>') || c.is_ascii_digit() && row.len() < WIDE))
        {
            return false;
        }
        let Ok(layout) = Self::new(row, None, options, line) else { return false };
        let understood = row.len() >= WIDE || 2 * layout.columns.len() > row.iter().filter(|c| !cell::clean(c.as_ref()).is_empty()).count();
        understood && layout.columns.len() >= 2 && layout.measures() && layout.names()
    }

    /// With the units of the row under the heading.
    pub fn with_units<S: AsRef<str>>(&self, units: &[S], options: &BatchOptions, line: u64) -> Result<Self> {
        let units: Vec<String> = units.iter().map(|u| u.as_ref().to_string()).collect();
        Self::new(&self.raw, Some(&units), options, line)
    }
}

/// Is this row the second of two heading rows: units, methods and forms, and nothing else?
pub(super) fn is_unit_row<S: AsRef<str>>(row: &[S]) -> bool {
    let cells: Vec<&str> = row.iter().map(|c| cell::clean(c.as_ref())).filter(|c| !c.is_empty()).collect();
    cells.len() >= 2 && cells.iter().all(|c| is_unit_word(c))
}

impl Column {
    /// Would two such columns say the same thing of a row?
    fn same_place(self, other: Self) -> bool {
        use Column::{Age, Area, Buffer, Depth, Fertilized, Height, Nutrient, OrganicMatter, Ph, Sampled, Spacing, TreesPerArea};
        match (self, other) {
            (Nutrient { nutrient: a, extractant: x, .. }, Nutrient { nutrient: b, extractant: y, .. }) => a == b && x == y,
            (Ph(_), Ph(_)) | (Buffer { .. }, Buffer { .. }) | (Depth { .. }, Depth { .. }) | (Area { .. }, Area { .. }) => true,
            (Sampled { .. }, Sampled { .. }) | (Fertilized { .. }, Fertilized { .. }) | (OrganicMatter(_), OrganicMatter(_)) => true,
            (Height { .. }, Height { .. }) | (Spacing { .. }, Spacing { .. }) | (TreesPerArea { .. }, TreesPerArea { .. }) => true,
            (Age, Age) => true,
            (a, b) => a == b,
        }
    }
}
