//! `Tables`: the published tables, with the user's own beside them.

use crate::gate::compute;
use crate::{error, record};
use dibble::Error;
use dibble::fertility::{
    Conversion, Entry, FoliarTable, Library, LimeTable, NitrogenTable, PhTable, Provenance, RemovalTable, SoilTable, SulfurTable, Tables,
};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyType};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::path::PathBuf;

type Any<'py> = Bound<'py, PyAny>;

/// The kinds of tables, in the order of the arguments.
const KINDS: [&str; 8] = ["soil", "ph", "lime", "sulfur", "nitrogen", "removal", "foliar", "conversion"];

/// One path or several.
#[derive(FromPyObject)]
enum Paths {
    One(PathBuf),
    Many(Vec<PathBuf>),
}

/// What was added to the shipped tables: enough to make them again.
#[derive(Clone, PartialEq, Default, Serialize, Deserialize)]
struct Own {
    from_memory: bool,
    files: Vec<OwnFile>,
}

#[derive(Clone, PartialEq, Serialize, Deserialize)]
struct OwnFile {
    kind: String,
    name: String,
    text: String,
}

impl Own {
    fn library<T: Entry>(&self, kind: &str) -> dibble::Result<Library<T>> {
        let ours = if self.from_memory { Library::with_from_memory()? } else { Library::shipped()? };
        self.files.iter().filter(|f| f.kind == kind).try_fold(ours, |all, f| all.with(Library::parse(&f.text, &f.name)?))
    }
}

/// Every library.
#[derive(Clone, PartialEq)]
pub struct All {
    own: Own,
    pub main: Tables,
    pub lime: Library<LimeTable>,
    pub sulfur: Library<SulfurTable>,
    pub foliar: Library<FoliarTable>,
}

impl All {
    fn new(own: Own) -> dibble::Result<Self> {
        let main = Tables {
            soil: own.library("soil")?,
            ph: own.library("ph")?,
            nitrogen: own.library("nitrogen")?,
            removal: own.library("removal")?,
            conversion: own.library("conversion")?,
        };
        Ok(Self { main, lime: own.library("lime")?, sulfur: own.library("sulfur")?, foliar: own.library("foliar")?, own })
    }
}

/// The tables given, or the shipped ones.
pub fn of(py: Python<'_>, tables: Option<&Bound<'_, PyTables>>) -> PyResult<All> {
    match tables {
        Some(tables) => Ok(tables.get().0.clone()),
        None => compute(py, "Tables", || All::new(Own::default())),
    }
}

/// Published tables, each with its source, and your own beside them. A table of yours never replaces one of ours.
///
/// Parameters
/// ----------
/// soil, ph, lime, sulfur, nitrogen, removal, foliar, conversion : path or sequence of paths, optional
///     TOML files of your own: interpretation of soil tests, pH targets, lime, sulfur, nitrogen, what harvests take
///     along, needle contents, conversions between extractants. `schema` describes each kind of file.
/// from_memory : bool
///     Take in the tables that were written down from memory, which nobody has checked; off otherwise.
///
/// Raises
/// ------
/// FileError, UnreadableError, InconsistentError, SeveralError
///     A file that cannot be read, or every fault of its tables, each with its line: a gap between classes, classes that
///     overlap, a rate that rises with the soil test, a key that is there already.
///
/// Examples
/// --------
/// >>> from dibble.fertility import Tables
/// >>> for row in Tables().index("lime"):
/// ...     print(row["key"], "|", row["source"])
/// penn-state-turf@handbook table 1 | Penn State Agricultural Analytical Services Laboratory, Turfgrass handbook, table 1
/// >>> [row["key"] for row in Tables(from_memory=True).index("lime") if row["from_memory"]]
/// ['smp@recalled', 'smp-organic@recalled']
#[pyclass(name = "Tables", module = "dibble.fertility", frozen, eq)]
#[derive(PartialEq)]
pub struct PyTables(pub All);

#[pymethods]
impl PyTables {
    #[new]
    #[pyo3(signature = (*, soil = None, ph = None, lime = None, sulfur = None, nitrogen = None, removal = None, foliar = None, conversion = None, from_memory = false))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn new(
        py: Python<'_>,
        soil: Option<Paths>,
        ph: Option<Paths>,
        lime: Option<Paths>,
        sulfur: Option<Paths>,
        nitrogen: Option<Paths>,
        removal: Option<Paths>,
        foliar: Option<Paths>,
        conversion: Option<Paths>,
        from_memory: bool,
    ) -> PyResult<Self> {
        let mut files = Vec::new();
        for (kind, paths) in KINDS.into_iter().zip([soil, ph, lime, sulfur, nitrogen, removal, foliar, conversion]) {
            let paths = match paths {
                None => Vec::new(),
                Some(Paths::One(path)) => vec![path],
                Some(Paths::Many(paths)) => paths,
            };
            for path in paths {
                let name = path.display().to_string();
                let text = compute(py, "Tables", || {
                    let hint = "Give the path of a TOML file of tables.";
                    std::fs::read_to_string(&path).map_err(|e| Error::file("cannot read", &name, e.to_string(), hint))
                })?;
                files.push(OwnFile { kind: kind.into(), name, text });
            }
        }
        Self::made(py, Own { from_memory, files })
    }

    /// The tables of a kind ("soil", "ph", "lime", "sulfur", "nitrogen", "removal", "foliar", "conversion"): dicts with
    /// `key`, `title`, `source` and `from_memory`.
    fn index<'py>(&self, py: Python<'py>, kind: &str) -> PyResult<Any<'py>> {
        let all = &self.0;
        let rows = match kind {
            "soil" => rows(&all.main.soil),
            "ph" => rows(&all.main.ph),
            "lime" => rows(&all.lime),
            "sulfur" => rows(&all.sulfur),
            "nitrogen" => rows(&all.main.nitrogen),
            "removal" => rows(&all.main.removal),
            "foliar" => rows(&all.foliar),
            "conversion" => rows(&all.main.conversion),
            _ => return Err(unknown_kind(py, kind)),
        };
        record::to_dict(py, "tables", &rows)
    }

    /// One table as its file has it, a dict; `key` is an id, or `id@edition` where there are several editions.
    fn get<'py>(&self, py: Python<'py>, kind: &str, key: &str) -> PyResult<Any<'py>> {
        let all = &self.0;
        let table = match kind {
            "soil" => one(&all.main.soil, key),
            "ph" => one(&all.main.ph, key),
            "lime" => one(&all.lime, key),
            "sulfur" => one(&all.sulfur, key),
            "nitrogen" => one(&all.main.nitrogen, key),
            "removal" => one(&all.main.removal, key),
            "foliar" => one(&all.foliar, key),
            "conversion" => one(&all.main.conversion, key),
            _ => return Err(unknown_kind(py, kind)),
        };
        record::to_dict(py, "table", &table.map_err(|refusal| error::raise(py, &refusal))?)
    }

    /// The JSON Schema of a file of tables of a kind, as text, for editors and for checks of one's own files.
    #[staticmethod]
    fn schema(py: Python<'_>, kind: &str) -> PyResult<&'static str> {
        Ok(match kind {
            "soil" => SoilTable::json_schema(),
            "ph" => PhTable::json_schema(),
            "lime" => LimeTable::json_schema(),
            "sulfur" => SulfurTable::json_schema(),
            "nitrogen" => NitrogenTable::json_schema(),
            "removal" => RemovalTable::json_schema(),
            "foliar" => FoliarTable::json_schema(),
            "conversion" => Conversion::json_schema(),
            _ => return Err(unknown_kind(py, kind)),
        })
    }

    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        Self::made(py, record::from_bytes(py, "tables", data)?)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "tables", &self.0.own)?,)))
    }
    fn __repr__(&self) -> String {
        let own: Vec<String> = self.0.own.files.iter().map(|f| format!(" {}={:?}", f.kind, f.name)).collect();
        let memory = if self.0.own.from_memory { " from_memory=True" } else { "" };
        format!("<Tables{}{memory}>", own.concat())
    }
}

impl PyTables {
    fn made(py: Python<'_>, own: Own) -> PyResult<Self> {
        compute(py, "Tables", || All::new(own)).map(Self)
    }
}

fn unknown_kind(py: Python<'_>, kind: &str) -> PyErr {
    error::raise(py, &Error::unknown("kind of table", kind, &KINDS))
}

fn rows<T: Entry + Serialize>(library: &Library<T>) -> Vec<Value> {
    let row = |table: &T| {
        let title = json!(table).get("title").cloned().unwrap_or_default();
        let cite = table.citation();
        json!({
            "key": format!("{}@{}", table.id(), table.edition()),
            "title": title,
            "source": cite.to_string(),
            "from_memory": cite.provenance == Provenance::Memory,
        })
    };
    library.iter().map(row).collect()
}

fn one<T: Entry + Serialize>(library: &Library<T>, key: &str) -> dibble::Result<Value> {
    library.get(key).map(|table| json!(table))
}
