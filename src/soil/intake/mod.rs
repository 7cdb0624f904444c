//! How fast water goes into the ground, and how to give it no faster.
//!
//! Ponding and infiltration by Green and Ampt, for a constant rate ([`ponding_time_h`]) and for steps ([`infiltrate`]); the
//! pulse plan ([`pulse_plan`]); published parameters and limits.

mod green_ampt;
mod pulse;
mod rates;
mod steps;

pub use green_ampt::{GreenAmpt, ponded_infiltration_mm, ponding_time_h};
pub use pulse::{Pulse, PulseLimit, PulsePlan, PulseRequest, pulse_plan, pulse_plan_after};
pub use rates::{
    Conductivity, MaximumRate, RawlsRow, Surface, basic_infiltration_mm_h, conductivity, maximum_rate_mm_h, rawls_row, surface_storage_mm,
};
pub(crate) use steps::infiltrate_after;
pub use steps::{Infiltration, Step, infiltrate};
