//! What grows between the weed-free strips.

use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// What grows between the strips.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Alley {
    /// Mown cool-season grass: Kcb 0.90, roots 0.5 m, p 0.40 (FAO-56 Tables 17 and 22).
    #[default]
    Grass,
    /// Clover: Kcb 0.85, roots 0.6 m, p 0.50 (FAO-56 Tables 12 and 22, Kc less 0.05).
    Clover,
    /// Bare ground.
    Bare,
}

impl Alley {
    /// Kcb, root depth in m, p and height in m.
    pub(super) fn habit(self) -> (f64, f64, f64, f64) {
        match self {
            Alley::Grass => (0.90, 0.5, 0.40, 0.10),
            Alley::Clover => (0.85, 0.6, 0.50, 0.30),
            Alley::Bare => (0.0, 0.2, 0.50, 0.0),
        }
    }

    /// "grass", "clover" or "bare".
    pub fn name(self) -> &'static str {
        match self {
            Alley::Grass => "grass",
            Alley::Clover => "clover",
            Alley::Bare => "bare",
        }
    }
}

impl FromStr for Alley {
    type Err = Error;
    fn from_str(text: &str) -> Result<Self> {
        let all = [Alley::Grass, Alley::Clover, Alley::Bare];
        let wanted = text.trim().to_lowercase();
        all.into_iter().find(|a| a.name() == wanted).ok_or_else(|| Error::unknown("alley", text, &all.map(Alley::name)))
    }
}

impl fmt::Display for Alley {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
