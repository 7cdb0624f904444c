//! An answer taken apart: what was reckoned, by which formula, from which numbers.

use serde::{Deserialize, Serialize};
use std::fmt;

/// One number that went into a step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Input {
    /// Its name in words.
    pub name: String,
    /// Its value.
    pub value: f64,
    /// Its unit, empty for fractions and counts.
    pub unit: String,
}

/// One step of an explanation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Step {
    /// What is reckoned.
    pub what: String,
    /// How, in words and symbols.
    pub formula: String,
    /// From what.
    pub inputs: Vec<Input>,
    /// The result.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Where the formula stands.
    pub source: String,
}

impl Step {
    /// A step without inputs; add them with [`Step::from`].
    pub fn new(what: &str, formula: &str, value: f64, unit: &str, source: &str) -> Self {
        Self { what: what.into(), formula: formula.into(), inputs: Vec::new(), value, unit: unit.into(), source: source.into() }
    }

    /// The same step with one more input.
    #[must_use]
    pub fn from(mut self, name: &str, value: f64, unit: &str) -> Self {
        self.inputs.push(Input { name: name.into(), value, unit: unit.into() });
        self
    }
}

/// A number with as many decimals as a reader wants.
fn shown(value: f64) -> String {
    let decimals = match value.abs() {
        x if x >= 100.0 => 0,
        x if x >= 10.0 => 1,
        x if x >= 1.0 || x == 0.0 => 2,
        _ => 3,
    };
    format!("{value:.decimals$}")
}

fn with_unit(value: f64, unit: &str) -> String {
    if unit.is_empty() { shown(value) } else { format!("{} {unit}", shown(value)) }
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.what, self.formula)?;
        if !self.inputs.is_empty() {
            let inputs: Vec<_> = self.inputs.iter().map(|i| format!("{} {}", i.name, with_unit(i.value, &i.unit))).collect();
            write!(f, ", with {}", inputs.join(", "))?;
        }
        write!(f, " = {}", with_unit(self.value, &self.unit))?;
        if self.source.is_empty() { Ok(()) } else { write!(f, " [{}]", self.source) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_reads_as_a_sentence() {
        let step =
            Step::new("available water", "1000 (FC - WP) Z", 28.0, "mm", "FAO-56 Eq. 82").from("FC - WP", 0.14, "").from("Z", 0.2, "m");
        assert_eq!(step.to_string(), "available water: 1000 (FC - WP) Z, with FC - WP 0.140, Z 0.200 m = 28.0 mm [FAO-56 Eq. 82]");
    }
}
