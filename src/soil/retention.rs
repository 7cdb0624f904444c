//! How tightly water is held: water content against tension, both ways.
//!
//! Between field capacity and wilting point tension is a power of water content (Saxton and Rawls 2006, Eq. 11),
//! `psi = A theta^-B`. Wetter than that there are two forms, see [`WetEnd`].

use super::pedotransfer::pore_size_index;
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::pow;
use crate::words::words;

/// Tension of oven-dry soil, kPa; no smaller water content has a tension of its own. Common convention (pF 7).
const OVEN_DRY_KPA: f64 = 1.0e6;

words! {
    /// Form of the retention curve wetter than 33 kPa.
    #[derive(Default)]
    pub enum WetEnd: "wet end of the retention curve" {
        /// The power law goes on to saturation. The default, because tensiometers work at 5 to 80 kPa.
        #[default]
        PowerLaw = "power_law",
        /// The straight line from 33 kPa to air entry that the source draws (Eq. 12, from memory). It reads a sand at
        /// 20 kPa as half full of water that has long drained.
        StraightLine = "straight_line",
    }
}

/// The curve of one fine earth. Points are in order: wilting point < field capacity < saturation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Retention {
    field_capacity: f64,
    field_capacity_kpa: f64,
    saturation: f64,
    lambda: f64,
    /// Air entry, where the wet end is a straight line.
    air_entry_kpa: Option<f64>,
}

impl Retention {
    /// The power law through wilting point (1500 kPa) and field capacity (at `field_capacity_kpa`).
    pub fn new(wilting_point: f64, field_capacity: f64, field_capacity_kpa: f64, saturation: f64) -> Self {
        let lambda = pore_size_index(wilting_point, field_capacity, field_capacity_kpa);
        Self { field_capacity, field_capacity_kpa, saturation, lambda, air_entry_kpa: None }
    }

    /// The same curve with a straight wet end down to an air entry, or with none.
    #[must_use]
    pub fn with_air_entry(mut self, air_entry_kpa: Option<f64>) -> Self {
        // A sand's air entry comes out a little below zero; the line then ends at saturation with no tension.
        self.air_entry_kpa = air_entry_kpa.map(|kpa| kpa.max(0.0));
        self
    }

    /// Pore size index, the inverse of B.
    pub fn lambda(&self) -> f64 {
        self.lambda
    }

    /// Water content at a tension, m3/m3 of fine earth.
    pub fn water_content_at(&self, tension_kpa: f64) -> Result<f64> {
        bounds::TENSION_KPA.check(tension_kpa)?;
        if let Some(air_entry) = self.air_entry_kpa.filter(|_| tension_kpa < self.field_capacity_kpa) {
            let share = ((self.field_capacity_kpa - tension_kpa) / (self.field_capacity_kpa - air_entry)).min(1.0);
            return Ok(self.field_capacity + share * (self.saturation - self.field_capacity));
        }
        if tension_kpa <= 0.0 {
            return Ok(self.saturation);
        }
        Ok((self.field_capacity * pow(self.field_capacity_kpa / tension_kpa, self.lambda)).min(self.saturation))
    }

    /// Tension at a water content, kPa.
    pub fn tension_at(&self, water_content: f64) -> Result<f64> {
        bounds::WATER_CONTENT.check(water_content)?;
        if water_content > self.saturation {
            return Err(Error::inconsistent(
                format!("water_content {water_content} is more than the soil holds when saturated, {:.3}", self.saturation),
                "Check the probe's calibration, or give this soil's measured saturation.",
            ));
        }
        if let Some(air_entry) = self.air_entry_kpa.filter(|_| water_content > self.field_capacity) {
            let share = (water_content - self.field_capacity) / (self.saturation - self.field_capacity);
            return Ok(self.field_capacity_kpa - share * (self.field_capacity_kpa - air_entry));
        }
        if water_content <= 0.0 {
            return Ok(OVEN_DRY_KPA);
        }
        Ok((self.field_capacity_kpa * pow(self.field_capacity / water_content, 1.0 / self.lambda)).min(OVEN_DRY_KPA))
    }
}
