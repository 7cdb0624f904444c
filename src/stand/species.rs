//! Species groups: how an unmeasured young conifer grows, when it feels drought, how it bears wet feet.
//!
//! The table is `src/data/species.toml`, with its sources.

use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use std::sync::OnceLock;

/// A group of species that are reckoned alike.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Group {
    /// "true fir", "Douglas-fir", "spruce" or "pine".
    pub name: String,
    /// Height at planting of common transplants, m.
    pub height_m: f64,
    /// Growing seasons of slow growth after planting.
    pub slow_years: f64,
    /// Height growth in each of them, m.
    pub slow_growth_m: f64,
    /// Height growth a season afterwards, m.
    pub growth_m: f64,
    /// Crown width as a share of height.
    pub taper: f64,
    /// Depletion fraction at the onset of stress, before adjustment for the day.
    pub p: f64,
    /// Deepening of the roots in a growing season, m.
    pub root_growth_m: f64,
    /// Depth at which roots stop deepening, m.
    pub root_limit_m: f64,
    /// How the group bears waterlogged soil, in words.
    pub wet_feet: String,
    /// Where the values come from.
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    name: String,
    latin: String,
    group: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    group: Vec<Group>,
    species: Vec<Row>,
}

fn table() -> Result<&'static Table> {
    static TABLE: OnceLock<std::result::Result<Table, String>> = OnceLock::new();
    TABLE
        .get_or_init(|| toml::from_str(include_str!("../data/species.toml")).map_err(|e| e.to_string()))
        .as_ref()
        .map_err(|why| Error::internal("the species table", why))
}

/// A species that the table knows. Parses from its English or Latin name.
#[derive(Debug, Clone, PartialEq)]
pub struct Species {
    name: &'static str,
    latin: &'static str,
    group: &'static Group,
}

impl Species {
    /// Every species of the table.
    ///
    /// # Errors
    /// Only if the shipped table is damaged.
    pub fn all() -> Result<Vec<Species>> {
        let table = table()?;
        table
            .species
            .iter()
            .map(|row| {
                let group = table.group.iter().find(|g| g.name == row.group);
                let group = group.ok_or_else(|| Error::internal("the species table", format!("{} is in no group", row.name)))?;
                Ok(Species { name: &row.name, latin: &row.latin, group })
            })
            .collect()
    }

    /// English name.
    pub fn name(&self) -> &'static str {
        self.name
    }
    /// Latin name.
    pub fn latin(&self) -> &'static str {
        self.latin
    }
    /// The group with its defaults.
    pub fn group(&self) -> &'static Group {
        self.group
    }
}

impl FromStr for Species {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let plain = |s: &str| s.trim().to_lowercase().replace(['-', '_'], " ");
        let all = Self::all()?;
        let wanted = plain(text);
        match all.iter().find(|s| plain(s.name) == wanted || plain(s.latin) == wanted) {
            Some(species) => Ok(species.clone()),
            None => Err(Error::unknown("species", text, &all.iter().map(|s| s.name).collect::<Vec<_>>())),
        }
    }
}

impl fmt::Display for Species {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name)
    }
}

/// Nursery stock by its code: "2-2" is two years in the seedbed and two in the transplant bed, "plug+1" a
/// container seedling with one year in the transplant bed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stock {
    seedbed_years: Option<u8>,
    transplant_years: u8,
}

impl Stock {
    /// Started in a container.
    pub fn is_plug(self) -> bool {
        self.seedbed_years.is_none()
    }
    /// Years in the nursery; a plug counts as one.
    pub fn age_years(self) -> u8 {
        self.seedbed_years.unwrap_or(1) + self.transplant_years
    }
    /// Usual height at planting as a share of the group's (common practice: stock of three and more years).
    pub fn height_share(self) -> f64 {
        match self.age_years() {
            0 | 1 => 0.5,
            2 => 0.75,
            _ => 1.0,
        }
    }
}

impl FromStr for Stock {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let plain = text.trim().to_lowercase();
        let years = |t: &str| t.trim().parse::<u8>().ok().filter(|y| *y <= 5);
        let read = match plain.strip_prefix("plug") {
            Some("") => Some((None, 0)),
            Some(rest) => rest.trim().strip_prefix('+').and_then(years).map(|t| (None, t)),
            None => plain.split_once('-').and_then(|(s, t)| Some((Some(years(s)?), years(t)?))),
        };
        let (seedbed_years, transplant_years) = read.ok_or_else(|| {
            Error::unreadable(
                "stock",
                text,
                "it is not a nursery code",
                "Write seedbed and transplant years as 2-2, or plug, plug+1, plug+2.",
            )
        })?;
        Ok(Self { seedbed_years, transplant_years })
    }
}

impl fmt::Display for Stock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.seedbed_years, self.transplant_years) {
            (Some(s), t) => write!(f, "{s}-{t}"),
            (None, 0) => write!(f, "plug"),
            (None, t) => write!(f, "plug+{t}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_species_has_a_group_with_plausible_values() {
        for species in Species::all().unwrap() {
            let g = species.group();
            assert!((0.4..=0.9).contains(&g.taper) && (0.1..=0.8).contains(&g.p), "{species}");
            assert_eq!(species.name().parse::<Species>().unwrap(), species);
            assert_eq!(species.latin().to_uppercase().parse::<Species>().unwrap(), species);
        }
    }

    #[test]
    fn unknown_species_offers_the_nearest() {
        let error = "Frasier fir".parse::<Species>().unwrap_err().to_string();
        assert!(error.starts_with("species \"Frasier fir\" is not known. Did you mean \"Fraser fir\""), "{error}");
    }

    #[test]
    fn stock_codes_give_age_and_handling() {
        let age = |s: &str| s.parse::<Stock>().unwrap().age_years();
        assert_eq!((age("2-2"), age("3-0"), age("plug+2"), age("Plug")), (4, 3, 3, 1));
        for bad in ["", "2", "plug-2", "2-2-2", "9-9", "two-two"] {
            assert!(bad.parse::<Stock>().is_err(), "{bad}");
        }
        assert_eq!("Plug+1".parse::<Stock>().unwrap().to_string(), "plug+1");
    }
}
