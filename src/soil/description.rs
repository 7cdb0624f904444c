//! How a soil is described: by its particles or by measurements.

use super::retention::WetEnd;
use super::texture::TextureClass;
use serde::{Deserialize, Serialize};

/// What a laboratory says of the fine earth. Start from [`Particles::new`] and set what else is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Particles {
    /// Sand, % by mass of the fine earth, 0 to 100.
    pub sand_pct: f64,
    /// Clay, % by mass of the fine earth, 0 to 100.
    pub clay_pct: f64,
    /// Organic matter, % by mass, 0 to 8.
    pub organic_matter_pct: f64,
    /// Density over normal density, 0.9 (loose) to 1.3 (very hard); 1 is normal.
    #[serde(default = "normal_density")]
    pub density_factor: f64,
    /// Gravel, % by mass of the whole soil, 0 to 80.
    #[serde(default)]
    pub gravel_pct: f64,
    /// Electrical conductivity of the saturation extract, dS/m.
    #[serde(default)]
    pub ec_ds_m: f64,
}

fn normal_density() -> f64 {
    1.0
}

impl Particles {
    /// A soil of normal density, without gravel or salt.
    pub fn new(sand_pct: f64, clay_pct: f64, organic_matter_pct: f64) -> Self {
        Self { sand_pct, clay_pct, organic_matter_pct, density_factor: 1.0, gravel_pct: 0.0, ec_ds_m: 0.0 }
    }
}

/// Water holding and conductivity as measured. The first four are needed; the rest may stay `None`.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Water content at 1500 kPa, m3/m3 of fine earth.
    pub wilting_point: f64,
    /// Water content at field capacity, m3/m3 of fine earth.
    pub field_capacity: f64,
    /// Water content at saturation, m3/m3 of fine earth.
    pub saturation: f64,
    /// Saturated conductivity of the soil as it lies, gravel included, mm/h.
    pub ksat_mm_h: f64,
    /// Tension at which field capacity was measured, kPa; 33 if not given.
    #[serde(default)]
    pub field_capacity_tension_kpa: Option<f64>,
    /// Texture class; without it the class that holds water most alike is taken.
    #[serde(default)]
    pub texture: Option<TextureClass>,
    /// Bulk density of the fine earth, g/cm3; without it from saturation.
    #[serde(default)]
    pub bulk_density_g_cm3: Option<f64>,
    /// Gravel, % by mass of the whole soil.
    #[serde(default)]
    pub gravel_pct: Option<f64>,
    /// Electrical conductivity of the saturation extract, dS/m.
    #[serde(default)]
    pub ec_ds_m: Option<f64>,
}

/// How a soil was described; [`Soil`] is written and read as this.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum Origin {
    Texture { texture: TextureClass, organic_matter_pct: f64 },
    Particles(Particles),
    Measured(Measured),
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub(super) struct Recipe {
    pub origin: Origin,
    #[serde(default)]
    pub field_capacity_tension_kpa: Option<f64>,
    #[serde(default)]
    pub wet_end: WetEnd,
}

impl Recipe {
    pub fn of(origin: Origin) -> Self {
        Self { origin, field_capacity_tension_kpa: None, wet_end: WetEnd::PowerLaw }
    }
}
