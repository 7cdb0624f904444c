//! A page in parts, before it is laid out. Plain text and the field sheet are made of the same parts and words.

use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Columns of a page of plain text.
const WIDTH: usize = 100;
/// Columns that labels take.
const LABEL: usize = 13;
/// Parts at the end of a plan, in the order of reading: what stands in small print.
const SMALL_PRINT: [&str; 5] = ["care", "weather", "log", "assumptions", "cautions"];

/// What a page of the plan says, part by part; [`fmt::Display`] lays it out as plain text.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Page {
    /// First line.
    pub title: String,
    /// What stands under it.
    pub about: String,
    /// The parts, in the order of reading.
    pub parts: Vec<Part>,
}

/// One part of a page: lines with a label or without one, then tables.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Part {
    /// What the part is, for programs: "headlines", "block", "cautions", ...
    pub key: String,
    /// Name of the block that it speaks of, or empty.
    pub block: String,
    /// Heading; empty for the first part.
    pub title: String,
    /// Its lines.
    pub lines: Vec<Line>,
    /// Its tables.
    pub tables: Vec<Table>,
}

/// One line; without a label it goes on from the line above, or stands alone.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Line {
    /// A word or two that say what the line is about.
    pub label: String,
    /// The words.
    pub text: String,
}

/// A small table of words.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Table {
    /// What it shows; may be empty.
    pub caption: String,
    /// Headings, one for each column; none where the columns speak for themselves.
    pub head: Vec<String>,
    /// Rows, each as long as the head.
    pub rows: Vec<Vec<String>>,
}

impl Page {
    /// The page with more parts, such as an outlook's, in front of what stands in small print.
    ///
    /// ```
    /// use dibble::farm::{Page, Part};
    /// let part = |key: &str| Part { key: key.into(), ..Part::default() };
    /// let page = Page { parts: vec![part("block"), part("cautions")], ..Page::default() }.with([part("outlook")]);
    /// assert_eq!(page.parts.iter().map(|p| p.key.as_str()).collect::<Vec<_>>(), ["block", "outlook", "cautions"]);
    /// ```
    #[must_use]
    pub fn with(mut self, parts: impl IntoIterator<Item = Part>) -> Self {
        let place = self.parts.iter().position(|part| SMALL_PRINT.contains(&part.key.as_str())).unwrap_or(self.parts.len());
        self.parts.splice(place..place, parts);
        self
    }

    /// The page with one part alone, by its key ("week", "sets", "cautions", ...), or with all that it says about one block.
    ///
    /// # Errors
    /// There is no such part and no such block.
    ///
    /// ```
    /// let plan = dibble::farm::plan(
    ///     &dibble::farm::Farm::demo()?, &dibble::farm::Farm::demo_weather()?, "2026-07-14".parse()?, &Default::default()
    /// )?;
    /// assert!(plan.page().only("Cautions")?.to_string().contains("Take care"));
    /// assert_eq!(plan.page().only("kame")?.parts.len(), 2); // its water, its feeding
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn only(mut self, name: &str) -> Result<Self> {
        let is = |known: &str| !known.is_empty() && known.eq_ignore_ascii_case(name.trim());
        if !self.parts.iter().any(|p| is(&p.key) || is(&p.block)) {
            let mut known: Vec<&str> = Vec::new();
            let names = self.parts.iter().flat_map(|p| [p.key.as_str(), p.block.as_str()]).filter(|n| !n.is_empty());
            names.for_each(|n| {
                if !known.contains(&n) {
                    known.push(n)
                }
            });
            return Err(Error::unknown("part", name, &known));
        }
        self.parts.retain(|p| is(&p.key) || is(&p.block));
        Ok(self)
    }
}

impl Part {
    /// An empty part.
    pub(in crate::farm) fn new(key: &str, title: impl Into<String>) -> Self {
        Self { key: key.into(), title: title.into(), ..Self::default() }
    }

    /// The same part, about one block.
    pub(in crate::farm) fn of_block(mut self, name: &str) -> Self {
        self.block = name.into();
        self
    }

    /// Adds a line under a label.
    pub(in crate::farm) fn line(&mut self, label: &str, text: impl Into<String>) {
        self.lines.push(Line { label: label.into(), text: text.into() });
    }

    /// Adds a line that needs no label.
    pub(in crate::farm) fn say(&mut self, text: impl Into<String>) {
        self.line("", text);
    }
}

impl fmt::Display for Page {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{}", self.title)?;
        if !self.about.is_empty() {
            wrapped(f, "", "", &self.about)?;
        }
        self.parts.iter().try_for_each(|part| write!(f, "\n{part}"))
    }
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.title.is_empty() {
            writeln!(f, "{}", self.title)?;
        }
        let labels = self.lines.iter().any(|line| !line.label.is_empty());
        let indent = if labels { " ".repeat(LABEL + 3) } else { "    ".into() };
        for line in &self.lines {
            let first = if labels { format!("  {:LABEL$} ", line.label) } else { "  ".into() };
            wrapped(f, &first, &indent, &line.text)?;
        }
        self.tables.iter().try_for_each(|table| table.write(f))
    }
}

impl Table {
    /// Rows under their heads, columns as wide as their widest cell; the last column wraps.
    fn write(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.caption.is_empty() {
            wrapped(f, "  ", "    ", &self.caption)?;
        }
        let lines = || std::iter::once(&self.head).filter(|head| !head.is_empty()).chain(&self.rows);
        let columns = lines().map(Vec::len).max().unwrap_or(0);
        let width = |column: usize| lines().filter_map(|l| l.get(column)).map(|c| c.chars().count()).max().unwrap_or(0);
        let widths: Vec<usize> = (0..columns).map(width).collect();
        for line in lines() {
            let mut first = String::from("  ");
            let last = line.len().saturating_sub(1);
            for (cell, width) in line.iter().zip(&widths).take(last) {
                first.push_str(&format!("{cell:width$}  "));
            }
            let indent = " ".repeat(first.chars().count());
            wrapped(f, &first, &indent, line.last().map_or("", String::as_str))?;
        }
        Ok(())
    }
}

/// Words filled into lines of the page's width.
fn wrapped(f: &mut fmt::Formatter<'_>, first: &str, rest: &str, text: &str) -> fmt::Result {
    let mut line = first.to_string();
    let mut fresh = true;
    for word in text.split(' ') {
        if !fresh && line.chars().count() + 1 + word.chars().count() > WIDTH {
            writeln!(f, "{}", line.trim_end())?;
            line = rest.to_string();
            fresh = true;
        }
        if !fresh {
            line.push(' ');
        }
        line.push_str(word);
        fresh = false;
    }
    writeln!(f, "{}", line.trim_end())
}
