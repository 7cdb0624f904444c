//! Pump, hose and nozzle: pressure loss, the duty point, suction, power and fuel, and what limits the lot.
//!
//! Heads are meters of water of 1000 kg/m³ under standard gravity; pressures are above the air's. One form of the
//! Hazen-Williams equation is used throughout (10.67, 1.852, 4.8704; the customary forms differ by up to 1.3 %), beside
//! Darcy-Weisbach with Colebrook's friction factor. It stands above `sprinkler`, from which it takes the nozzle.

mod caution;
mod duty;
mod explain;
mod fitting;
mod hose;
mod limits;
mod loss;
mod power;
mod pump;
mod suction;
mod surge;

pub use caution::{Caution, Concern};
pub use duty::{Duty, Heads, System, SystemInput, duty_point};
pub use fitting::{Fitting, fitting_loss_m};
pub use hose::{Friction, Hose, HoseInput, Material};
pub use limits::{Aim, Alternative, Change, Limits, Share, limits};
pub use loss::{
    DarcyPipe, darcy_loss_m, friction_factor, hazen_williams_loss_m, kinematic_viscosity_m2_s, multi_outlet_factor, velocity_m_s,
};
pub use power::{Engine, brake_kw, fuel_per_hour, water_kw};
pub use pump::{Curve, Pump, PumpInput};
pub use suction::{NpshInput, atmospheric_head_m, npsh_available_m, practical_suction_lift_m};
pub use surge::{surge_kpa, wave_speed_m_s};

/// Pressure of a meter of water, kPa: 1000 kg/m³ under standard gravity.
pub const KPA_PER_M: f64 = 9.806_65;
/// Standard gravity, m/s².
const G: f64 = 9.806_65;
