//! Salt: how much water must pass the roots to carry it down. The salt's own pull on water is
//! [`super::Soil::osmotic_kpa_at`].

use crate::bounds;
use crate::error::{Error, Result};

/// Share of the applied water that must drain below the roots to hold the soil at `soil_ec_ds_m`.
///
/// LR = ECw / (5 ECe - ECw).
///
/// - `water_ec_ds_m`: conductivity of the irrigation water, 0 to 60
/// - `soil_ec_ds_m`: conductivity of the saturation extract that the trees bear, 0 to 60
///
/// # Errors
/// A value out of range, or water too salty for that soil: no amount of it would do.
///
/// # Source
/// Ayers and Westcot (1985), FAO Irrigation and Drainage Paper 29, as quoted in FAO-56 p. 180.
///
/// # Example
/// ```
/// let share = dibble::soil::salinity::leaching_requirement(1.0, 2.5)?;
/// assert_eq!(format!("{share:.2}"), "0.09");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn leaching_requirement(water_ec_ds_m: f64, soil_ec_ds_m: f64) -> Result<f64> {
    bounds::EC_DS_M.named("water_ec_ds_m").check(water_ec_ds_m)?;
    bounds::EC_DS_M.named("soil_ec_ds_m").check(soil_ec_ds_m)?;
    if water_ec_ds_m == 0.0 {
        return Ok(0.0);
    }
    let room = 5.0 * soil_ec_ds_m - water_ec_ds_m;
    if water_ec_ds_m >= room {
        return Err(Error::infeasible(
            format!("water of {water_ec_ds_m} dS/m cannot hold the soil at {soil_ec_ds_m} dS/m"),
            "All of it would have to drain away: find fresher water, or accept more salt in the soil.",
        ));
    }
    Ok(water_ec_ds_m / room)
}

/// Depth to apply, mm, so that `needed_mm` is left after the share `leaching` has drained: needed / (1 - LR).
///
/// # Errors
/// Depth out of range, or a leaching share outside 0 to below 1.
///
/// # Source
/// FAO-56 p. 180; ASCE Manual 71.
///
/// # Example
/// ```
/// assert_eq!(dibble::soil::salinity::applied_mm(100.0, 0.2)?, 125.0);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn applied_mm(needed_mm: f64, leaching: f64) -> Result<f64> {
    bounds::DEPTH_MM.named("needed_mm").check(needed_mm)?;
    bounds::FRACTION.named("leaching").check(leaching)?;
    if leaching >= 1.0 {
        return Err(Error::inconsistent("leaching 1 leaves nothing for the roots", "Give a share below 1."));
    }
    Ok(needed_mm / (1.0 - leaching))
}

/// Conductivity of the saturation extract, dS/m, that irrigation settles at under a leaching fraction.
///
/// ECe = ECiw (1 + LF) / (5 LF), FAO-56 Eq. 93. The paper's text rounds it to 1.5 ECiw at 15 to 20 % leaching; the
/// equation gives 1.53 and 1.20.
///
/// # Errors
/// A value out of range, or no leaching at all: salt would gather without end.
pub fn soil_ec_ds_m(water_ec_ds_m: f64, leaching: f64) -> Result<f64> {
    bounds::EC_DS_M.named("water_ec_ds_m").check(water_ec_ds_m)?;
    bounds::FRACTION.named("leaching").check(leaching)?;
    if leaching <= 0.0 {
        return Err(Error::inconsistent("leaching 0 lets salt gather without end", "Give the share of water that drains below the roots."));
    }
    Ok(water_ec_ds_m * (1.0 + leaching) / (5.0 * leaching))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eq_93_at_15_and_20_percent() {
        assert!((soil_ec_ds_m(1.0, 0.15).unwrap() - 1.5333).abs() < 1e-4);
        assert!((soil_ec_ds_m(1.0, 0.20).unwrap() - 1.20).abs() < 1e-12);
    }

    #[test]
    fn water_too_salty_is_infeasible() {
        let error = leaching_requirement(10.0, 2.0).unwrap_err();
        assert!(error.is_infeasible());
        assert_eq!(
            error.to_string(),
            "water of 10 dS/m cannot hold the soil at 2 dS/m. All of it would have to drain away: find fresher water, or accept more salt in the soil."
        );
    }
}
