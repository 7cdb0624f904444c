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

/// Declares the methods of a class that holds one record: those given, and JSON, dict and pickle as all have them. A record
/// with a version brings its own reader.
macro_rules! record_class {
    ($Class:ident, $what:literal, { $($methods:tt)* }) => {
        $crate::record::record_class!(@ $Class, $what, |py, text| $crate::record::from_json(py, $what, text), { $($methods)* });
    };
    ($Class:ident, $what:literal, $read:path, { $($methods:tt)* }) => {
        $crate::record::record_class!(@ $Class, $what, |py, text| $crate::gate::compute(py, $what, || $read(text)), { $($methods)* });
    };
    (@ $Class:ident, $what:literal, $read:expr, { $($methods:tt)* }) => {
        #[pyo3::pymethods]
        impl $Class {
            $($methods)*

            /// As JSON, every number exactly.
            fn to_json(&self, py: pyo3::Python<'_>) -> pyo3::PyResult<String> {
                $crate::record::to_json(py, $what, &self.0)
            }
            /// From `to_json`, with the same checks as the constructor.
            #[staticmethod]
            fn from_json(py: pyo3::Python<'_>, text: &str) -> pyo3::PyResult<Self> {
                let read: fn(pyo3::Python<'_>, &str) -> pyo3::PyResult<_> = $read;
                read(py, text).map(Self)
            }
            /// As plain dicts, lists, numbers and text.
            fn to_dict<'py>(&self, py: pyo3::Python<'py>) -> pyo3::PyResult<pyo3::Bound<'py, pyo3::PyAny>> {
                $crate::record::to_dict(py, $what, &self.0)
            }
            #[staticmethod]
            fn _from_bytes(py: pyo3::Python<'_>, data: &[u8]) -> pyo3::PyResult<Self> {
                Self::from_json(py, $crate::record::text_of(py, $what, data)?)
            }
            #[allow(clippy::type_complexity)] // the shape that pickle asks for
            fn __reduce__<'py>(
                &self,
                py: pyo3::Python<'py>,
            ) -> pyo3::PyResult<(pyo3::Bound<'py, pyo3::PyAny>, (pyo3::Bound<'py, pyo3::types::PyBytes>,))> {
                use pyo3::types::PyAnyMethods;
                let bytes = $crate::record::to_bytes(py, $what, &self.0)?;
                Ok((pyo3::types::PyType::new::<Self>(py).getattr("_from_bytes")?, (bytes,)))
            }
        }
    };
}
pub(crate) use record_class;

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
    from_json(py, what, text_of(py, what, bytes)?)
}

/// The JSON text in what [`to_bytes`] wrote.
pub fn text_of<'a>(py: Python<'_>, what: &str, bytes: &'a [u8]) -> PyResult<&'a str> {
    bytes.strip_prefix(HEADER).and_then(|json| std::str::from_utf8(json).ok()).ok_or_else(|| {
        let why = "they were not written by this version of dibble";
        let refusal = Error::unreadable(format!("{what} bytes"), &String::from_utf8_lossy(bytes), why, "Use to_json() to keep records.");
        error::raise(py, &refusal)
    })
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

/// An answer by `dibble/_outline.py`: "gist" for a `repr` that need not evaluate, "outline" for `print`, "html".
pub fn laid_out<T: Serialize>(py: Python<'_>, how: &str, class: &str, record: &T) -> PyResult<String> {
    py.import("dibble._outline")?.getattr(how)?.call1((class, to_dict(py, class, record)?))?.extract()
}

/// Declares a class around a record of the core: a property for each field named, JSON, dict, pickle and equality.
/// `check` looks over what comes from JSON; the methods of the class stand in the last braces.
macro_rules! class {
    (
        $(#[$doc:meta])*
        $Class:ident($Core:ty) = $module:literal, $name:literal, check $check:expr;
        { $($(#[$field_doc:meta])* $field:ident,)* }
        { $($body:tt)* }
    ) => {
        $(#[$doc])*
        #[pyo3::pyclass(name = $name, module = $module, frozen, eq)]
        #[derive(Clone, PartialEq)]
        pub struct $Class(pub $Core);

        #[pyo3::pymethods]
        impl $Class {
            $(
                $(#[$field_doc])*
                #[getter]
                fn $field<'py>(&self, py: pyo3::Python<'py>) -> pyo3::PyResult<pyo3::Bound<'py, pyo3::PyAny>> {
                    $crate::record::to_dict(py, stringify!($field), &self.0.$field)
                }
            )*
            $($body)*

            /// The record as JSON, every number exactly.
            fn to_json(&self, py: pyo3::Python<'_>) -> pyo3::PyResult<String> {
                $crate::record::to_json(py, $name, &self.0)
            }
            /// A record from `to_json`.
            #[staticmethod]
            fn from_json(py: pyo3::Python<'_>, text: &str) -> pyo3::PyResult<Self> {
                Self::looked_over(py, $crate::record::from_json(py, $name, text)?)
            }
            /// The record as plain dicts and lists.
            fn to_dict<'py>(&self, py: pyo3::Python<'py>) -> pyo3::PyResult<pyo3::Bound<'py, pyo3::PyAny>> {
                $crate::record::to_dict(py, $name, &self.0)
            }
            #[staticmethod]
            fn _from_bytes(py: pyo3::Python<'_>, data: &[u8]) -> pyo3::PyResult<Self> {
                Self::looked_over(py, $crate::record::from_bytes(py, $name, data)?)
            }
            fn __reduce__<'py>(
                &self,
                py: pyo3::Python<'py>,
            ) -> pyo3::PyResult<(pyo3::Bound<'py, pyo3::PyAny>, (pyo3::Bound<'py, pyo3::types::PyBytes>,))> {
                use pyo3::types::PyAnyMethods;
                Ok((
                    pyo3::types::PyType::new::<Self>(py).getattr("_from_bytes")?,
                    ($crate::record::to_bytes(py, $name, &self.0)?,),
                ))
            }
        }

        impl $Class {
            /// What comes from outside, if it is sound.
            fn looked_over(py: pyo3::Python<'_>, core: $Core) -> pyo3::PyResult<Self> {
                let check: fn(&$Core) -> dibble::Result<()> = $check;
                $crate::gate::compute(py, $name, || check(&core))?;
                Ok(Self(core))
            }
        }
    };
}
pub(crate) use class;

/// A [`class`] that is an answer: its `repr` shows the first facts, `print` and notebooks show all.
macro_rules! answer {
    (
        $(#[$doc:meta])*
        $Class:ident($Core:ty) = $module:literal, $name:literal;
        $($rest:tt)*
    ) => {
        $crate::record::answer! {
            $(#[$doc])*
            $Class($Core) = $module, $name, check |_| Ok(());
            $($rest)*
        }
    };
    (
        $(#[$doc:meta])*
        $Class:ident($Core:ty) = $module:literal, $name:literal, check $check:expr;
        { $($(#[$field_doc:meta])* $field:ident,)* }
        { $($body:tt)* }
    ) => {
        $crate::record::class! {
            $(#[$doc])*
            $Class($Core) = $module, $name, check $check;
            { $($(#[$field_doc])* $field,)* }
            {
                $($body)*

                fn __repr__(&self, py: pyo3::Python<'_>) -> pyo3::PyResult<String> {
                    $crate::record::laid_out(py, "gist", $name, &self.0)
                }
                fn __str__(&self, py: pyo3::Python<'_>) -> pyo3::PyResult<String> {
                    $crate::record::laid_out(py, "outline", $name, &self.0)
                }
                fn _repr_html_(&self, py: pyo3::Python<'_>) -> pyo3::PyResult<String> {
                    $crate::record::laid_out(py, "html", $name, &self.0)
                }
            }
        }
    };
}
pub(crate) use answer;

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
