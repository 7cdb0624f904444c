//! What every class has in common: JSON, pickle by versioned bytes, a `repr` that evaluates, a table for notebooks.

use crate::error;
use dibble::Error;
use pyo3::prelude::*;
use pyo3::types::PyBytes;
use serde::{Serialize, de::DeserializeOwned};
use serde_json::Value;

/// First line of pickled bytes; the number goes up when older ones can no longer be read.
const HEADER: &[u8] = b"dibble 1\n";

/// The JSON text of a record.
pub fn to_json<T: Serialize>(py: Python<'_>, what: &str, record: &T) -> PyResult<String> {
    serde_json::to_string(record).map_err(|_| error::internal(py, what))
}

/// A record from its JSON text, with the same checks as its constructor.
pub fn from_json<T: DeserializeOwned>(py: Python<'_>, what: &str, text: &str) -> PyResult<T> {
    serde_json::from_str(text).map_err(|fault| {
        let why = fault.to_string();
        let refusal = Error::unreadable(format!("{what} JSON"), text, why.trim_end_matches('.'), "Write what to_json() gives.");
        error::raise(py, &refusal)
    })
}

/// The record as plain dicts, lists, numbers and text.
pub fn to_dict<'py, T: Serialize>(py: Python<'py>, what: &str, record: &T) -> PyResult<Bound<'py, PyAny>> {
    py.import("json")?.getattr("loads")?.call1((to_json(py, what, record)?,))
}

/// The record as bytes with their version.
pub fn to_bytes<'py, T: Serialize>(py: Python<'py>, what: &str, record: &T) -> PyResult<Bound<'py, PyBytes>> {
    let json = to_json(py, what, record)?;
    Ok(PyBytes::new(py, &[HEADER, json.as_bytes()].concat()))
}

/// A record from [`to_bytes`].
pub fn from_bytes<T: DeserializeOwned>(py: Python<'_>, what: &str, bytes: &[u8]) -> PyResult<T> {
    let text = bytes.strip_prefix(HEADER).and_then(|json| std::str::from_utf8(json).ok());
    match text {
        Some(text) => from_json(py, what, text),
        None => {
            let why = "they were not written by this version of dibble";
            let refusal =
                Error::unreadable(format!("{what} bytes"), &String::from_utf8_lossy(bytes), why, "Use to_json() to keep records.");
            Err(error::raise(py, &refusal))
        }
    }
}

/// `sand_pct=40.0, clay_pct=20.0`: the entries of a JSON object as Python arguments, those that are not set left out.
pub fn arguments(record: &Value) -> String {
    let entries = record.as_object().into_iter().flatten();
    entries.filter(|(_, value)| !value.is_null()).map(|(key, value)| format!("{key}={}", literal(value))).collect::<Vec<_>>().join(", ")
}

/// A JSON value as Python writes it.
pub fn literal(value: &Value) -> String {
    match value {
        Value::Null => "None".into(),
        Value::Bool(true) => "True".into(),
        Value::Bool(false) => "False".into(),
        Value::Array(items) => format!("[{}]", items.iter().map(literal).collect::<Vec<_>>().join(", ")),
        Value::Object(entries) => {
            format!("{{{}}}", entries.iter().map(|(k, v)| format!("{k:?}: {}", literal(v))).collect::<Vec<_>>().join(", "))
        }
        Value::Number(_) | Value::String(_) => value.to_string(),
    }
}

/// A small table for notebooks: a caption, then a name, a value and a unit in each row.
pub fn html(caption: &str, rows: &[(&str, String, &str)]) -> String {
    let cells = |(name, value, unit): &(&str, String, &str)| {
        format!("<tr><th style=\"text-align:left\">{}</th><td>{}</td><td>{}</td></tr>", escaped(name), escaped(value), escaped(unit))
    };
    format!("<table><caption>{}</caption>{}</table>", escaped(caption), rows.iter().map(cells).collect::<String>())
}

/// Text as it stands, for notebooks.
pub fn pre(text: &str) -> String {
    format!("<pre>{}</pre>", escaped(text))
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
