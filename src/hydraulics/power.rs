//! Water power, shaft power, and the fuel or current for it.

use super::KPA_PER_M;
use crate::bounds;
use crate::error::Result;
use crate::units::L_PER_GAL;
use crate::words::words;

pub(super) mod raw {
    use super::KPA_PER_M;

    pub fn water_kw(flow_l_min: f64, head_m: f64) -> f64 {
        KPA_PER_M * head_m * flow_l_min / 60_000.0
    }

    /// Head that a water power lifts, m; infinite at no flow.
    pub fn head_m(water_kw: f64, flow_l_min: f64) -> f64 {
        water_kw * 60_000.0 / (KPA_PER_M * flow_l_min)
    }
}

/// Power of the water that leaves a pump, kW: ρ g Q H.
///
/// # Errors
/// A value out of range.
///
/// # Source
/// The trade's gpm × ft / 3960 (Hydraulic Institute), whose round number takes 8.333 lb to the gallon: 0.1 % less.
///
/// ```
/// use dibble::hydraulics::water_kw;
/// let hp = water_kw(100.0 * 3.785411784, 231.0 * 0.3048)? / 0.7457;
/// assert_eq!(format!("{hp:.2}"), "5.84"); // 100 gpm by 231 ft: 5.83 hp by the round number
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn water_kw(flow_l_min: f64, head_m: f64) -> Result<f64> {
    Ok(raw::water_kw(bounds::FLOW_L_MIN.check(flow_l_min)?, bounds::HEAD_M.check(head_m)?))
}

/// Shaft power, kW, for a water power at an efficiency of the pump (0.05 to 1).
///
/// # Errors
/// A value out of range.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::hydraulics::brake_kw(3.3, 0.55)?), "6.00");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn brake_kw(water_kw: f64, efficiency: f64) -> Result<f64> {
    Ok(bounds::ANY_POWER_KW.named("water_kw").check(water_kw)? / bounds::EFFICIENCY.check(efficiency)?)
}

words! {
    /// What turns the pump.
    pub enum Engine: "engine" {
        /// Gasoline engine; fuel in liters.
        Gasoline = "gasoline",
        /// Diesel engine; fuel in liters.
        Diesel = "diesel",
        /// Propane engine; fuel in liters of liquid.
        Propane = "propane",
        /// Electric motor; current in kWh.
        Electric = "electric",
    }
}

impl Engine {
    /// Shaft work from a unit of fuel, kWh per L, or per kWh of current.
    ///
    /// # Source
    /// Purdue Extension AE-111, Table 1 (from Nebraska's tests): 11.3 hp-h per gallon of gasoline, 14.7 of diesel, 8.92
    /// of propane, 1.18 hp-h per kWh. Small and worn engines give less.
    pub fn kwh_per_unit(self) -> f64 {
        const KW_PER_HP: f64 = 0.745_699_871_582_270_2;
        match self {
            Engine::Gasoline => 11.3 * KW_PER_HP / L_PER_GAL,
            Engine::Diesel => 14.7 * KW_PER_HP / L_PER_GAL,
            Engine::Propane => 8.92 * KW_PER_HP / L_PER_GAL,
            Engine::Electric => 1.18 * KW_PER_HP,
        }
    }

    /// Unit of its fuel for an hour: "L/h", or "kWh/h" for current.
    pub fn fuel_unit(self) -> &'static str {
        if self == Engine::Electric { "kWh/h" } else { "L/h" }
    }
}

/// Fuel for an hour, L (kWh for a motor), at a shaft power.
///
/// # Errors
/// Power out of range.
///
/// ```
/// use dibble::hydraulics::{fuel_per_hour, Engine};
/// // 8.2 shaft horsepower take about 0.73 gal of gasoline an hour
/// let liters = fuel_per_hour(Engine::Gasoline, 8.2 * 0.7457)?;
/// assert_eq!(format!("{:.2}", liters / 3.785411784), "0.73");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn fuel_per_hour(engine: Engine, brake_kw: f64) -> Result<f64> {
    Ok(bounds::ANY_POWER_KW.named("brake_kw").check(brake_kw)? / engine.kwh_per_unit())
}
