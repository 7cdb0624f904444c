//! Published and recomputed values of `tests/reference/sprinkler.toml`, as tests take them.

#![allow(clippy::panic, clippy::unwrap_used)] // helpers stand outside of the test functions

use serde::Deserialize;

/// One case: where a value stands, what goes in and what should come out.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(dead_code)] // each test file uses its part
pub struct Case {
    pub id: String,
    area: String,
    source: String,
    #[serde(default)]
    r#ref: String,
    provenance: String,
    pub inputs: toml::Table,
    pub expected: toml::Table,
    #[serde(default)]
    tolerance: toml::Table,
    #[serde(default)]
    recomputed: toml::Table,
    #[serde(default)]
    pub print_is_wrong: bool,
    #[serde(default)]
    note: String,
}

fn number(table: &toml::Table, key: &str, id: &str) -> f64 {
    let value = table.get(key).unwrap_or_else(|| panic!("{id} has no {key}"));
    value.as_float().or_else(|| value.as_integer().map(|i| i as f64)).unwrap_or_else(|| panic!("{id}: {key} is no number"))
}

#[allow(dead_code)]
impl Case {
    pub fn input(&self, key: &str) -> f64 {
        number(&self.inputs, key, &self.id)
    }
    pub fn word(&self, key: &str) -> &str {
        self.inputs[key].as_str().unwrap()
    }
    pub fn list(table: &toml::Table, key: &str) -> Vec<f64> {
        table[key].as_array().unwrap().iter().map(|v| v.as_float().or(v.as_integer().map(|i| i as f64)).unwrap()).collect()
    }
    pub fn want(&self, key: &str) -> f64 {
        number(&self.expected, key, &self.id)
    }
    pub fn recomputed(&self, key: &str) -> f64 {
        number(&self.recomputed, key, &self.id)
    }
    pub fn recomputed_list(&self, key: &str) -> Vec<f64> {
        Self::list(&self.recomputed, key)
    }

    /// The case's own tolerance for a wanted value.
    pub fn tolerance(&self, want: f64) -> f64 {
        let of = |key| self.tolerance.get(key).and_then(toml::Value::as_float);
        of("abs").or_else(|| of("rel").map(|rel| rel * want.abs())).unwrap_or_else(|| panic!("{} has no tolerance", self.id))
    }

    /// Fails with the source and place when a value is farther off than the case allows.
    pub fn check(&self, what: &str, computed: f64, want: f64) {
        self.check_within(what, computed, want, self.tolerance(want));
    }

    pub fn check_within(&self, what: &str, computed: f64, want: f64, tolerance: f64) {
        let off = (computed - want).abs();
        assert!(off <= tolerance, "{}: {what} is {computed}, should be {want} within {tolerance} ({})", self.id, self.place());
    }

    fn place(&self) -> String {
        let memory = if self.provenance == "memory" { ", from memory" } else { "" };
        format!("{}, {}{memory}", self.source, self.r#ref)
    }
}

/// All cases of an area whose id begins so; their number is part of the claim.
#[allow(dead_code)]
pub fn cases(area: &str, prefix: &str, count: usize) -> Vec<Case> {
    #[derive(Deserialize)]
    struct File {
        case: Vec<Case>,
    }
    let file: File = toml::from_str(include_str!("../reference/sprinkler.toml")).unwrap();
    let of_area: Vec<Case> = file.case.into_iter().filter(|c| c.area == area && c.id.starts_with(prefix)).collect();
    assert_eq!(of_area.len(), count, "{area} {prefix}");
    of_area
}
