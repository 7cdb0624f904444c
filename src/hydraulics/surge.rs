//! What strikes the pipe when water is stopped at once.

use crate::bounds;
use crate::error::Result;

/// Bulk modulus of water, GPa, and its density, kg/m³, at 20 deg C.
const BULK_GPA: f64 = 2.19;
const WATER_KG_M3: f64 = 999.0;

/// Speed of a pressure wave in a pipe, m/s: a = √(K/ρ) / √(1 + K D / (E t)).
///
/// `modulus_gpa`: Young's modulus of the wall, GPa (steel 207, PVC 2.8, polyethylene 0.8); `bore_over_wall`: inner
/// diameter over thickness. Air in the water slows the wave, so this is the hardest case.
///
/// # Errors
/// A value out of range.
///
/// # Source
/// Korteweg (1878), thin walls that may stretch lengthwise.
///
/// ```
/// let pvc = dibble::hydraulics::wave_speed_m_s(2.76, 20.0)?;
/// assert_eq!(format!("{pvc:.1}"), "360.5");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn wave_speed_m_s(modulus_gpa: f64, bore_over_wall: f64) -> Result<f64> {
    let wall = bounds::MODULUS_GPA.check(modulus_gpa)? / bounds::BORE_OVER_WALL.check(bore_over_wall)?;
    Ok((BULK_GPA * 1e9 / WATER_KG_M3).sqrt() / (1.0 + BULK_GPA / wall).sqrt())
}

/// Rise of pressure when water is stopped faster than the wave runs to the pump and back, kPa: ρ a v, with water of 1000
/// kg/m³.
///
/// # Errors
/// A value out of range.
///
/// # Source
/// Joukowsky (1898).
///
/// ```
/// // 2.5 m/s in PVC: a valve that is slammed adds 900 kPa (130 psi)
/// let rise_kpa = dibble::hydraulics::surge_kpa(2.5, 360.0)?;
/// assert!((rise_kpa - 900.0).abs() < 1e-9);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn surge_kpa(velocity_m_s: f64, wave_m_s: f64) -> Result<f64> {
    Ok(bounds::WATER_SPEED_M_S.check(velocity_m_s)? * bounds::WAVE_M_S.check(wave_m_s)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stiffer_walls_carry_faster_waves_up_to_that_of_water() {
        let [soft, stiff, rigid] = [0.01, 207.0, 1000.0].map(|modulus| wave_speed_m_s(modulus, 10.0).unwrap());
        assert!(soft < stiff && stiff < rigid && rigid < 1481.0);
        assert_eq!(
            surge_kpa(-1.0, 400.0).unwrap_err().to_string(),
            "velocity_m_s is -1 m/s: speed of the water must be from 0 to 30 m/s. Give meters per second; 5 ft/s is 1.5 m/s."
        );
    }
}
