//! Which column of a table holds what, by its one or two heading rows, and how that was decided.

use super::heading::{Column, heading, is_unit_word};
use super::{BatchOptions, cell};
use crate::error::{Error, Result};
use crate::words::same;
use serde::{Deserialize, Serialize};

/// A row of so many cells is no sentence.
const WIDE: usize = 20;
/// So many headings that are understood make a heading, whatever stands between them.
const CERTAIN: usize = 3;

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

/// A thing that is read from each row, and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    pub at: usize,
    pub column: Column,
    pub heading: String,
    /// Further columns that say the same thing.
    pub others: Vec<(usize, Column, String)>,
}

/// The columns of a table.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Layout {
    /// Headings as they stand in the first row.
    raw: Vec<String>,
    /// What is read, and where.
    pub columns: Vec<Place>,
    /// Every column, for the log.
    pub read: Vec<ColumnRead>,
}

impl Layout {
    /// Reads a heading row, and the row of units under it if there is one.
    pub fn new<S: AsRef<str>>(raw: &[S], units: Option<&[S]>, options: &BatchOptions, line: u64) -> Result<Self> {
        let mut layout = Self { raw: raw.iter().map(|h| h.as_ref().to_string()).collect(), columns: Vec::new(), read: Vec::new() };
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
            Some(column) => match self.columns.iter_mut().find(|p| p.column.same_place(column)) {
                Some(first) if first.column.rather(column) => {
                    let words = format!("{column}, instead of column \"{}\"", first.heading);
                    *first = Place { at, column, heading: shown.clone(), others: Vec::new() };
                    words
                }
                Some(first) if first.column.comparable(column) => {
                    first.others.push((at, column, shown.clone()));
                    format!("the same as column \"{}\", with which it is compared", first.heading)
                }
                Some(first) => format!("not used: column \"{}\" is read instead", first.heading),
                None => {
                    self.columns.push(Place { at, column, heading: shown.clone(), others: Vec::new() });
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
        self.columns.iter().any(|p| matches!(p.column, Column::Nutrient { .. } | Column::Ph(_) | Column::Buffer { .. }))
    }

    fn names(&self) -> bool {
        self.columns.iter().any(|p| matches!(p.column, Column::Sample | Column::Block | Column::LabNumber))
    }

    /// Cells up to the last one with a heading.
    pub fn named(&self) -> usize {
        self.raw.iter().rposition(|h| !cell::clean(h).is_empty()).map_or(0, |at| at + 1)
    }

    /// Cells of the heading, empty ones too.
    pub fn width(&self) -> usize {
        self.raw.len()
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
        // a wide table may hold much that is not understood
        let understood = layout.columns.len();
        let heading = understood >= 2 && (2 * understood > cells.len() || understood >= CERTAIN);
        (heading && layout.measures() && layout.names()).then_some(layout)
    }

    /// Is this row the file's first heading? Nothing but words stands before it, so that a wide export with few columns of
    /// use is known by a name and a measurement alone, and some of its headings may be numbers.
    pub fn is_first<S: AsRef<str>>(row: &[S], options: &BatchOptions, line: u64) -> bool {
        let wide = || {
            let first = row.first().map_or("", |c| cell::clean(c.as_ref()));
            let layout = Self::new(row, None, options, line).ok()?;
            (!first.starts_with(|c: char| c.is_ascii_digit()) && layout.columns.len() >= 2 && layout.measures()).then(|| layout.names())
        };
        Self::begins(row, options, line).is_some() || (row.len() >= WIDE && wide().unwrap_or(false))
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
        use Column::{Area, Buffer, Depth, Fertilized, Height, Nutrient, OrganicMatter, Ph, Sampled, Spacing, TreesPerArea};
        match (self, other) {
            // what extracts and units are, each row says; there values are compared
            (Nutrient { .. }, _) => false,
            (Ph(_), Ph(_)) | (Buffer { .. }, Buffer { .. }) | (Depth { .. }, Depth { .. }) | (Area { .. }, Area { .. }) => true,
            (Sampled { .. }, Sampled { .. }) | (Fertilized { .. }, Fertilized { .. }) | (OrganicMatter(_), OrganicMatter(_)) => true,
            (Height { .. }, Height { .. }) | (Spacing { .. }, Spacing { .. }) | (TreesPerArea { .. }, TreesPerArea { .. }) => true,
            (a, b) => a == b,
        }
    }

    /// Of two such columns, is the other the better one? Targets and lime equations hold for a pH in water.
    fn rather(self, other: Self) -> bool {
        use crate::fertility::PhMethod::{CalciumChloride, Water};
        self == Column::Ph(Some(CalciumChloride)) && other == Column::Ph(Some(Water))
    }

    /// Can the values of two such columns be compared?
    fn comparable(self, other: Self) -> bool {
        use crate::fertility::PhMethod::CalciumChloride;
        let salt = |c: Self| c == Column::Ph(Some(CalciumChloride));
        match (self, other) {
            (Column::Buffer { method: Some(a), .. }, Column::Buffer { method: Some(b), .. }) => a == b,
            (a, b) => salt(a) == salt(b),
        }
    }
}
