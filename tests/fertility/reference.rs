//! The published values of `tests/reference/fertility.toml`, by id.

use serde::Deserialize;
use std::sync::OnceLock;
use toml::Value;

#[derive(Debug, Deserialize)]
pub struct Case {
    pub id: String,
    pub source: String,
    pub provenance: String,
    pub status: String,
    inputs: toml::Table,
    expected: toml::Table,
    recomputed: toml::Table,
    abs_tolerance: toml::Table,
}

#[derive(Debug, Deserialize)]
pub struct Table {
    pub id: String,
    pub source: String,
    pub columns: Vec<String>,
    pub rows: Vec<Vec<Value>>,
}

#[derive(Debug, Deserialize)]
struct File {
    case: Vec<Case>,
    table: Vec<Table>,
}

fn file() -> &'static File {
    static FILE: OnceLock<File> = OnceLock::new();
    FILE.get_or_init(|| toml::from_str(include_str!("../reference/fertility.toml")).unwrap())
}

pub fn cases(prefix: &str) -> Vec<&'static Case> {
    let found: Vec<_> = file().case.iter().filter(|c| c.id.starts_with(prefix)).collect();
    assert!(!found.is_empty(), "no case {prefix}");
    found
}

pub fn case(id: &str) -> &'static Case {
    file().case.iter().find(|c| c.id == id).unwrap_or_else(|| panic!("no case {id}"))
}

pub fn table(id: &str) -> &'static Table {
    file().table.iter().find(|t| t.id == id).unwrap_or_else(|| panic!("no table {id}"))
}

pub fn number(value: &Value) -> f64 {
    value.as_float().or_else(|| value.as_integer().map(|i| i as f64)).unwrap_or_else(|| panic!("{value} is no number"))
}

impl Case {
    pub fn input(&self, key: &str) -> f64 {
        number(self.inputs.get(key).unwrap_or_else(|| panic!("{}: no input {key}", self.id)))
    }

    pub fn input_text(&self, key: &str) -> &str {
        self.inputs.get(key).and_then(Value::as_str).unwrap_or_else(|| panic!("{}: no input {key}", self.id))
    }

    pub fn expected_text(&self, key: &str) -> &str {
        self.expected.get(key).and_then(Value::as_str).unwrap_or_else(|| panic!("{}: expects no {key}", self.id))
    }

    pub fn expected_number(&self, key: &str) -> f64 {
        number(self.expected.get(key).unwrap_or_else(|| panic!("{}: expects no {key}", self.id)))
    }

    /// The printed value within its tolerance; where the print is wrong, the recomputed one, and not the print.
    pub fn check(&self, key: &str, ours: f64) {
        let tolerance = number(self.abs_tolerance.get(key).unwrap_or_else(|| panic!("{}: no tolerance of {key}", self.id)));
        let printed = number(&self.expected[key]);
        let memory = if self.provenance == "memory" { " (from memory)" } else { "" };
        if self.status == "ok" {
            // the last digits of the recomputed rows end at ten places
            let slack = tolerance.max(1e-9 * printed.abs()) + 1e-9;
            assert!((ours - printed).abs() <= slack, "{}{memory}: {} prints {key} {printed}, not {ours}", self.id, self.source);
        } else {
            let right = number(&self.recomputed[key]);
            // 1e-5: atomic weights of another year
            assert!((ours - right).abs() <= 1e-5 * right.abs(), "{}: {key} is {right}, not {ours} ({})", self.id, self.source);
            assert!((ours - printed).abs() > tolerance, "{}: the misprint {printed} of {} was followed", self.id, self.source);
        }
    }
}

/// Every case stands in some test of this folder, by its id or by the beginning that a family shares.
#[test]
fn no_case_is_forgotten() {
    let tests = [include_str!("soil.rs"), include_str!("lime.rs"), include_str!("amounts.rs"), include_str!("mixed.rs")].concat();
    let named: Vec<&str> = tests.split('"').filter(|s| s.len() > 4 && s.contains('-') && !s.contains(' ')).collect();
    for Case { id, .. } in &file().case {
        assert!(named.iter().any(|n| id.starts_with(n)), "{id} is not tested");
    }
}
