//! Tables of lime by buffer pH or exchangeable acidity and target pH.

use super::library::entry;
use super::{BufferMethod, Citation};
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::interp;
use crate::units;
use crate::words::words;
use serde::{Deserialize, Serialize};

words! {
    /// What a lime table is entered with.
    pub enum LimeMeasure: "measure of a lime table" {
        /// Buffer pH.
        BufferPh = "buffer pH",
        /// Exchangeable acidity, meq/100 g.
        ExchangeableAcidity = "exchangeable acidity",
    }
}

words! {
    /// What a lime rate is a rate of.
    pub enum LimeBasis: "basis of a lime rate" {
        /// Calcium carbonate, all of it acting: divide by the effective value of a material.
        PureCarbonate = "pure calcium carbonate",
        /// Agricultural limestone of the usual quality (about 90 % calcium carbonate equivalent).
        AgLime = "agricultural lime",
    }
}

/// A published lime table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LimeTable {
    /// Name.
    pub id: String,
    /// Edition.
    pub edition: String,
    /// Title.
    pub title: String,
    /// What it is entered with.
    pub measure: LimeMeasure,
    /// Which buffer, for a table by buffer pH.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buffer: Option<BufferMethod>,
    /// What the rates are rates of.
    pub of: LimeBasis,
    /// Unit of the rates, a weight per area.
    pub unit: String,
    /// Depth of soil that the rates lime, m.
    pub depth_m: f64,
    /// Target pH of each column.
    pub targets: Vec<f64>,
    /// What to know about it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Where it comes from.
    pub cite: Citation,
    /// The measurement, rising, then the rate for each target.
    pub rows: Vec<Vec<f64>>,
}

impl LimeTable {
    /// Rate to `target_ph`, kg/ha, between rows by straight lines.
    ///
    /// # Errors
    /// A target that is no column, a measurement outside the rows.
    pub fn rate_kg_ha(&self, measured: f64, target_ph: f64) -> Result<f64> {
        let column = self.targets.iter().position(|t| (t - target_ph).abs() < 1e-9).ok_or_else(|| {
            let known: Vec<String> = self.targets.iter().map(ToString::to_string).collect();
            let what = format!("table \"{}\" has no column for pH {target_ph}", super::library::key(self));
            Error::inconsistent(what, format!("Its targets are {}; take one of them, or another method.", known.join(", ")))
        })?;
        let points: Vec<(f64, f64)> = self.rows.iter().filter_map(|r| Some((*r.first()?, *r.get(column + 1)?))).collect();
        let (first, last) = (points.first().map_or(f64::NAN, |p| p.0), points.last().map_or(f64::NAN, |p| p.0));
        if !(first..=last).contains(&measured) {
            return Err(Error::inconsistent(
                format!(
                    "{} of {measured} lies outside table \"{}\", which goes from {first} to {last}",
                    self.measure,
                    super::library::key(self)
                ),
                "Take another method.",
            ));
        }
        units::convert(interp::Table::new(&points)?.linear(measured), &self.unit, "kg/ha")
    }
}

entry!(LimeTable, "lime table", "lime_tables");

impl LimeTable {
    fn find_faults(&self) -> Vec<Error> {
        let mut faults: Vec<Error> = self.targets.iter().filter_map(|t| bounds::PH.named("targets").check(*t).err()).collect();
        faults.extend(bounds::SOIL_DEPTH_M.named("depth_m").check(self.depth_m).err());
        faults.extend(units::convert(1.0, &self.unit, "kg/ha").err());
        if (self.measure == LimeMeasure::BufferPh) != self.buffer.is_some() {
            faults.push(Error::inconsistent(
                "a table by buffer pH names its buffer, and no other table does",
                "Set `buffer`, or leave it out.",
            ));
        }
        let mut before = f64::NEG_INFINITY;
        for (index, row) in self.rows.iter().enumerate() {
            let place = format!("row {}", index + 1);
            if row.len() != self.targets.len() + 1 {
                let what = format!("it has {} numbers, and the measurement and {} targets are wanted", row.len(), self.targets.len());
                faults.push(Error::inconsistent(what, "Give one number for each column.").at(place.clone()));
            }
            let measured = row.first().copied().unwrap_or(f64::NAN);
            if !measured.is_finite() || measured <= before || row.iter().skip(1).any(|r| !r.is_finite() || *r < 0.0) {
                faults.push(Error::inconsistent("measurements have to rise and rates to be 0 or more", "Sort the rows.").at(place));
            }
            before = measured;
        }
        if self.rows.len() < 2 || self.targets.is_empty() {
            faults.push(Error::missing("a second row, or a target", "Give two rows and one target at least."));
        }
        faults
    }
}
