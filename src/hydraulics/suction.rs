//! How high a pump may stand above the water.

use super::KPA_PER_M;
use crate::air;
use crate::bounds;
use crate::error::Result;
use crate::num::interp::Table;
use crate::num::pow;
use crate::units::M_PER_FT;

/// Pressure of the air as head of water, m: less by about 1.2 m for each 1000 m of elevation.
///
/// # Errors
/// Elevation out of range.
///
/// # Source
/// Standard atmosphere (ISO 2533): 101.325 (1 - 2.25577e-5 z)^5.25588 kPa. A table of suction head against altitude
/// prints 29.24 ft at 3,960 ft. (FAO-56 Eq. 7 starts from warmer air and has 0.3 % more at 1,600 m.)
///
/// ```
/// let head_ft = dibble::hydraulics::atmospheric_head_m(3960.0 * 0.3048)? / 0.3048;
/// assert!((head_ft - 29.24).abs() < 0.2);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn atmospheric_head_m(elevation_m: f64) -> Result<f64> {
    let z = bounds::ELEVATION_M.check(elevation_m)?;
    Ok(101.325 * pow(1.0 - 2.255_77e-5 * z, 5.255_88) / KPA_PER_M)
}

/// A pump's suction: plain input for [`npsh_available_m`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NpshInput {
    /// Elevation above sea level, m.
    pub elevation_m: f64,
    /// Water temperature, deg C.
    pub water_c: f64,
    /// Height of the pump above the water, m; below it is negative.
    pub suction_lift_m: f64,
    /// Head lost in the suction hose, m.
    pub suction_loss_m: f64,
}

/// Net positive suction head that is there, m: air's head less that of the water's vapor, the lift and the loss. The
/// pump cavitates when it needs more.
///
/// # Errors
/// A value out of range.
///
/// ```
/// use dibble::hydraulics::{npsh_available_m, NpshInput};
/// let ft = 0.3048;
/// let input = NpshInput { elevation_m: 2000.0 * ft, water_c: 15.56, suction_lift_m: 12.0 * ft, suction_loss_m: 3.0 * ft };
/// assert_eq!(format!("{:.1}", npsh_available_m(&input)? / ft), "15.9"); // ft
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn npsh_available_m(input: &NpshInput) -> Result<f64> {
    let lift = bounds::SUCTION_LIFT_M.check(input.suction_lift_m)?;
    let loss = bounds::HEAD_M.named("suction_loss_m").check(input.suction_loss_m)?;
    Ok(atmospheric_head_m(input.elevation_m)? - vapor_head_m(input.water_c)? - lift - loss)
}

fn vapor_head_m(water_c: f64) -> Result<f64> {
    Ok(air::saturation_vapor_pressure(bounds::WATER_C.check(water_c)?)? / KPA_PER_M)
}

/// Highest suction lift that is practical, m: 6.7 m (22 ft) at sea level, 4.3 m (14 ft) at 3,200 m, less in warm water.
///
/// Plan on 4.6 m (15 ft; common practice): hose, fittings and leaks take the rest.
///
/// # Errors
/// Elevation or temperature out of range.
///
/// # Source
/// A table of suction head against altitude, interpolated and held beyond its ends; it is for cold water, and what the
/// vapor pressure has above that of 15 deg C is taken off.
///
/// ```
/// use dibble::hydraulics::practical_suction_lift_m;
/// assert_eq!(format!("{:.1}", practical_suction_lift_m(1320.0 * 0.3048, 15.0)? / 0.3048), "21.0"); // as printed
/// assert!(practical_suction_lift_m(400.0, 30.0)? < practical_suction_lift_m(400.0, 15.0)?);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn practical_suction_lift_m(elevation_m: f64, water_c: f64) -> Result<f64> {
    // Elevation and lift, ft.
    const ROWS: [(f64, f64); 7] =
        [(0.0, 22.0), (1320.0, 21.0), (3960.0, 18.0), (5280.0, 17.0), (6600.0, 16.0), (7920.0, 15.0), (10_560.0, 14.0)];
    const TABLE_C: f64 = 15.0;
    let elevation_ft = bounds::ELEVATION_M.check(elevation_m)? / M_PER_FT;
    let warmth = (vapor_head_m(water_c)? - vapor_head_m(TABLE_C)?).max(0.0);
    Ok(Table::new(&ROWS)?.linear(elevation_ft) * M_PER_FT - warmth)
}
