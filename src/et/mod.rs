//! How much water the reference surface uses, and what share of it the plants and the soil of a young stand use.
//!
//! Source: FAO-56 (Allen, Pereira, Raes and Smith 1998), chapters 2-4 for the reference, 5-10 for crops; the
//! standardized short and tall constants of ASCE-EWRI (2005) are from memory. The functions compute what the
//! paper prints: its advice to take wind as at least 0.5 m/s belongs to whoever prepares the weather.

pub mod crop;
mod hourly;
pub mod kernel;
mod reference;

pub use hourly::{HourlyForm, HourlyInput, reference_hourly};
pub use reference::{
    DailyInput, Surface, aerodynamic_resistance_s_m, evaporation_equivalent_mm, reference_daily, reference_from_temperature,
    reference_with_soil_heat,
};
