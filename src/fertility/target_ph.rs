//! The pH a species wants, by source. The sources differ, so the user names one.

use super::library::entry;
use super::{Citation, Library};
use crate::bounds;
use crate::error::{Error, Result};
use crate::words::{same, words};
use serde::{Deserialize, Serialize};

words! {
    /// Are there living roots where the lime goes?
    pub enum Stage: "stage" {
        /// Before planting: lime can be worked in.
        NewPlanting = "new planting" | "before planting" | "first rotation",
        /// Among trees: lime stays on the surface.
        Established = "established" | "existing",
    }
}

/// Species that share a range in one source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PhRow {
    /// English names; "any conifer" stands for all.
    pub species: Vec<String>,
    /// Lower end of the range.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// What to lime to before planting, where the source prints it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aim_new: Option<f64>,
    /// What to lime to among trees, where the source prints it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aim_established: Option<f64>,
    /// pH above which the species does poorly.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fails_above: Option<f64>,
    /// What else the source says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// One source's pH ranges.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PhTable {
    /// Name.
    pub id: String,
    /// Edition.
    pub edition: String,
    /// Title.
    pub title: String,
    /// Where it holds.
    pub region: String,
    /// What to know about it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Where it comes from.
    pub cite: Citation,
    /// The ranges.
    pub row: Vec<PhRow>,
}

entry!(PhTable, "table of pH targets", "target_ph");

impl PhTable {
    fn find_faults(&self) -> Vec<Error> {
        let mut faults = Vec::new();
        for row in &self.row {
            let place = row.species.join(", ");
            let values = [Some(row.low), Some(row.high), row.aim_new, row.aim_established, row.fails_above];
            faults.extend(values.into_iter().flatten().filter_map(|ph| bounds::PH.check(ph).err()).map(|e| e.at(place.clone())));
            if row.low > row.high {
                let what = format!("the range goes from {} to {}", row.low, row.high);
                faults.push(Error::inconsistent(what, "Give the lower end as low.").at(place.clone()));
            }
            if row.species.is_empty() {
                faults.push(Error::missing("species", "Name one, or \"any conifer\"."));
            }
        }
        faults
    }
}

/// What one source wants for a species.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PhTarget {
    /// The species asked for.
    pub species: String,
    /// Key of the table.
    pub table: String,
    /// Where it comes from.
    pub source: String,
    /// Does the source speak of conifers in general, and not of the species?
    pub general: bool,
    /// The range and what to lime to.
    pub row: PhRow,
}

impl PhTarget {
    /// pH to lime to: as printed; else the middle of the range before planting, and its lower end among living roots.
    pub fn aim(&self, stage: Stage) -> f64 {
        match stage {
            Stage::NewPlanting => self.row.aim_new.unwrap_or(0.5 * (self.row.low + self.row.high)),
            Stage::Established => self.row.aim_established.unwrap_or(self.row.low),
        }
    }

    /// Is the aim the source's own?
    pub fn aim_is_printed(&self, stage: Stage) -> bool {
        match stage {
            Stage::NewPlanting => self.row.aim_new.is_some(),
            Stage::Established => self.row.aim_established.is_some(),
        }
    }
}

/// What all sources want for a species, side by side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PhTargets {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// Sources that name the species first, then those that speak of conifers in general.
    pub targets: Vec<PhTarget>,
    /// What the user has to decide: the sources that differ.
    pub ask: Option<String>,
}

impl PhTargets {
    /// The target of the table that `key` names.
    ///
    /// # Errors
    /// No such table among them.
    pub fn by(&self, key: &str) -> Result<&PhTarget> {
        let names = |t: &PhTarget| same(&t.table, key) || t.table.split('@').next().is_some_and(|id| same(id, key));
        let known: Vec<&str> = self.targets.iter().map(|t| t.table.as_str()).collect();
        self.targets.iter().find(|t| names(t)).ok_or_else(|| Error::unknown("table of pH targets for this species", key, &known))
    }

    /// The target of the named table; without a name the first, if all sources of the species agree.
    ///
    /// # Errors
    /// No such table among them, or sources that differ and none named.
    pub fn chosen(&self, key: Option<&str>) -> Result<&PhTarget> {
        match (key, &self.ask, self.targets.first()) {
            (Some(key), _, _) => self.by(key),
            (None, None, Some(only)) => Ok(only),
            (None, Some(ask), _) => Err(Error::missing("ph_table", ask.as_str())),
            (None, None, None) => Err(Error::missing("a pH target", "Name another species or table.")),
        }
    }
}

/// What every source of the library wants for `species`. Nothing is chosen.
///
/// # Errors
/// A species that no source names; the known ones are offered.
///
/// ```
/// use dibble::fertility::{Library, PhTable, Stage, ph_targets};
/// let all = ph_targets("Fraser fir", &Library::<PhTable>::shipped()?)?;
/// let nc = all.by("nc-state-fraser-fir")?;
/// assert_eq!((nc.aim(Stage::NewPlanting), nc.aim(Stage::Established)), (5.8, 5.5));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn ph_targets(species: &str, library: &Library<PhTable>) -> Result<PhTargets> {
    const ANY: &str = "any conifer";
    let found = |name: &str, general: bool| -> Vec<PhTarget> {
        let in_table = |table: &PhTable| {
            table.row.iter().find(|row| row.species.iter().any(|s| same(s, name))).map(|row| PhTarget {
                species: species.trim().into(),
                table: super::library::key(table),
                source: table.cite.to_string(),
                general,
                row: row.clone(),
            })
        };
        library.iter().filter_map(in_table).collect()
    };
    let mut targets = found(species, false);
    if targets.is_empty() && !same(species, ANY) {
        let mut known: Vec<&str> = library.iter().flat_map(|t| &t.row).flat_map(|r| &r.species).map(String::as_str).collect();
        known.sort_unstable();
        known.dedup();
        return Err(Error::unknown("species with a pH target", species, &known));
    }
    let differ = targets.iter().any(|t| Some((t.row.low, t.row.high)) != targets.first().map(|f| (f.row.low, f.row.high)));
    let listed: Vec<String> = targets.iter().map(|t| format!("{} {}-{}", t.table, t.row.low, t.row.high)).collect();
    let ask = differ.then(|| format!("The sources differ: {}. Name the one to use.", listed.join(", ")));
    if !same(species, ANY) {
        targets.extend(found(ANY, true));
    }
    Ok(PhTargets { schema: super::SCHEMA, targets, ask })
}
