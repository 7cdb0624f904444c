//! Published tables as data: each has an id, an edition and a citation; ours are never replaced silently.

use crate::error::{Error, Result};
use crate::words::{same, words};
use serde::de::{DeserializeOwned, IgnoredAny};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::sync::{Arc, OnceLock};

words! {
    /// How a value came into a table.
    pub enum Provenance: "provenance" {
        /// Read in the source itself.
        Printed = "printed",
        /// Computed by us from what a source prints.
        Derived = "derived",
        /// Read in another work that quotes the source.
        Quoted = "quoted",
        /// Remembered; nobody has looked it up. Off until asked for.
        Memory = "from memory",
        /// What the trade does, without a source.
        CommonPractice = "common practice",
        /// Chosen by us.
        Judgment = "our judgment",
    }
}

/// Where a table or a value comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Citation {
    /// Who published it, under which title.
    pub source: String,
    /// Year of the edition, where it bears one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub year: Option<u16>,
    /// Page, table or equation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub page: Option<String>,
    /// How the values came here.
    pub provenance: Provenance,
}

impl Citation {
    /// A citation without year and page.
    pub fn new(source: &str, provenance: Provenance) -> Self {
        Self { source: source.into(), year: None, page: None, provenance }
    }
}

impl fmt::Display for Citation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.source)?;
        if let Some(year) = self.year {
            write!(f, " ({year})")?;
        }
        if let Some(page) = &self.page {
            write!(f, ", {page}")?;
        }
        match self.provenance {
            Provenance::Printed => Ok(()),
            other => write!(f, " [{other}]"),
        }
    }
}

/// One published table of a [`Library`].
pub trait Entry: DeserializeOwned + Clone + 'static {
    /// What such a table is called in messages.
    const WHAT: &'static str;

    /// The tables that ship with the crate, as TOML.
    fn shipped() -> &'static str;
    /// JSON Schema of a file of such tables, for editors and for checks of one's own files.
    fn json_schema() -> &'static str;
    /// Name of the table, the same in all its editions.
    fn id(&self) -> &str;
    /// Edition: a year, or a word.
    fn edition(&self) -> &str;
    /// Where it comes from.
    fn citation(&self) -> &Citation;
    /// Every fault of the content, each with its place inside the table.
    fn faults(&self) -> Vec<Error>;
    /// Where the shipped tables are kept once they are read.
    fn cell() -> &'static OnceLock<std::result::Result<Vec<Arc<Self>>, String>>;
}

/// Makes a struct with `id`, `edition` and `cite` an [`Entry`] of the file `$stem.toml`, checked by its own `find_faults`.
macro_rules! entry {
    ($Table:ty, $what:literal, $stem:literal) => {
        impl $crate::fertility::Entry for $Table {
            const WHAT: &'static str = $what;

            fn shipped() -> &'static str {
                include_str!(concat!("../data/", $stem, ".toml"))
            }
            fn json_schema() -> &'static str {
                include_str!(concat!("../data/schema/", $stem, ".json"))
            }
            fn id(&self) -> &str {
                &self.id
            }
            fn edition(&self) -> &str {
                &self.edition
            }
            fn citation(&self) -> &$crate::fertility::Citation {
                &self.cite
            }
            fn faults(&self) -> Vec<$crate::Error> {
                self.find_faults()
            }
            fn cell() -> &'static std::sync::OnceLock<std::result::Result<Vec<std::sync::Arc<Self>>, String>> {
                static CELL: std::sync::OnceLock<std::result::Result<Vec<std::sync::Arc<$Table>>, String>> = std::sync::OnceLock::new();
                &CELL
            }
        }
    };
}
pub(super) use entry;

/// A set of published tables, keyed by id and edition.
#[derive(Debug, Clone, PartialEq)]
pub struct Library<T> {
    // shared, because every row of a batch asks for them
    tables: Vec<Arc<T>>,
}

/// How a file of tables is laid out: `[[table]]` after `[[table]]`.
#[derive(Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
struct File<T> {
    table: Vec<T>,
}

impl<T: Entry> Library<T> {
    /// The shipped tables that were read in their sources.
    ///
    /// # Errors
    /// Only if a shipped table is damaged.
    pub fn shipped() -> Result<Self> {
        let mut all = Self::with_from_memory()?;
        all.tables.retain(|t| t.citation().provenance != Provenance::Memory);
        Ok(all)
    }

    /// The shipped tables and those written down from memory, which are off otherwise.
    ///
    /// # Errors
    /// Only if a shipped table is damaged.
    pub fn with_from_memory() -> Result<Self> {
        let read = || Self::parse(T::shipped(), "shipped tables").map(|l| l.tables).map_err(|e| e.to_string());
        match T::cell().get_or_init(read) {
            Ok(tables) => Ok(Self { tables: tables.clone() }),
            Err(why) => Err(Error::internal(T::WHAT, why.as_str())),
        }
    }

    /// Tables from TOML text; `name` is what messages call the text.
    ///
    /// # Errors
    /// Text that is not such a file; every fault of its tables, with table and line; a key that stands twice.
    pub fn parse(text: &str, name: &str) -> Result<Self> {
        let file: File<T> = toml::from_str(text).map_err(|e| {
            let line = e.span().map_or(1, |span| line_at(text, span.start));
            let written = text.lines().nth(line - 1).unwrap_or("").trim();
            let why = e.message().trim().trim_end_matches('.');
            let hint = "The keys are described in the JSON Schema of the tables.";
            Error::unreadable("this line", written, why, hint).at(format!("{name}, line {line}"))
        })?;
        let lines = lines_of_tables(text);
        let mut problems = Vec::new();
        let mut library = Self { tables: Vec::new() };
        for (index, table) in file.table.into_iter().enumerate() {
            let line = lines.get(index).copied().unwrap_or(1);
            let place = format!("{name}, line {line}, table {}", key(&table));
            let faults = table.faults();
            problems.extend(faults.into_iter().map(|e| {
                let inner = e.place().map_or(place.clone(), |p| format!("{place}, {p}"));
                e.at(inner)
            }));
            problems.extend(library.add(Arc::new(table)).err().map(|e| e.at(place.clone())));
        }
        Error::several(problems).map_or(Ok(library), Err)
    }

    /// Tables from a TOML file.
    ///
    /// # Errors
    /// A file that cannot be read, and all that [`Library::parse`] refuses.
    #[cfg(feature = "io")]
    pub fn read(path: impl AsRef<std::path::Path>) -> Result<Self> {
        let path = path.as_ref();
        let name = path.display().to_string();
        let text = std::fs::read_to_string(path)
            .map_err(|e| Error::file("cannot read", &name, e.to_string(), "Give the path of a TOML file of tables."))?;
        Self::parse(&text, &name)
    }

    /// These tables and those of `other`.
    ///
    /// # Errors
    /// A key that both have: a table of yours replaces none of ours silently.
    pub fn with(mut self, other: Library<T>) -> Result<Self> {
        let problems: Vec<Error> = other.tables.into_iter().filter_map(|t| self.add(t).err()).collect();
        Error::several(problems).map_or(Ok(self), Err)
    }

    fn add(&mut self, table: Arc<T>) -> Result<()> {
        if self.tables.iter().any(|t| same(t.id(), table.id()) && same(t.edition(), table.edition())) {
            return Err(Error::inconsistent(
                format!("{} \"{}\" is there already", T::WHAT, key(table.as_ref())),
                "Give yours another id or edition, and name it where it is used.",
            ));
        }
        self.tables.push(table);
        Ok(())
    }

    /// The table that `key` names: an id, or `id@edition` where there are several editions.
    ///
    /// # Errors
    /// An unknown key (the nearest are offered), or an id with several editions and none named.
    pub fn get(&self, wanted: &str) -> Result<&T> {
        let (id, edition) = wanted.split_once('@').map_or((wanted, None), |(i, e)| (i, Some(e)));
        let found: Vec<&T> = self.iter().filter(|t| same(t.id(), id) && edition.is_none_or(|e| same(t.edition(), e))).collect();
        match found.as_slice() {
            [one] => Ok(one),
            [] => Err(Error::unknown(T::WHAT, wanted, &self.iter().map(key).collect::<Vec<_>>())),
            several => {
                let keys: Vec<String> = several.iter().map(|t| format!("\"{}\"", key(*t))).collect();
                Err(Error::inconsistent(
                    format!("{} \"{wanted}\" has {} editions", T::WHAT, several.len()),
                    format!("Name one: {}.", keys.join(", ")),
                ))
            }
        }
    }

    /// All tables, in the order they were read.
    pub fn iter(&self) -> impl Iterator<Item = &T> {
        self.tables.iter().map(Arc::as_ref)
    }
}

#[cfg(feature = "schema")]
impl<T: Entry + schemars::JsonSchema> Library<T> {
    /// The JSON Schema of a file of such tables, made anew from the types that read it; [`Entry::json_schema`] is the published one.
    pub fn new_json_schema() -> serde_json::Value {
        let mut schema = schemars::schema_for!(File<T>);
        schema.insert("title".into(), format!("file of tables: {}", T::WHAT).into());
        schema.to_value()
    }
}

/// `id@edition`.
pub(super) fn key<T: Entry>(table: &T) -> String {
    format!("{}@{}", table.id(), table.edition())
}

fn line_at(text: &str, byte: usize) -> usize {
    1 + text.bytes().take(byte).filter(|b| *b == b'\n').count()
}

/// Line on which each `[[table]]` of a readable file begins.
fn lines_of_tables(text: &str) -> Vec<usize> {
    let spans = toml::from_str::<File<toml::Spanned<IgnoredAny>>>(text).map(|f| f.table).unwrap_or_default();
    spans.iter().map(|s| line_at(text, s.span().start)).collect()
}
