//! Green and Ampt's equation with Mein and Larson's time to ponding.
//!
//! f = K (1 + psi n / F), Rawls, Brakensiek and Miller (1983), J. Hydraul. Eng. 109(1):62-70: K conductivity of the
//! wetted soil, psi suction at the wetting front, n pore space still empty, F depth taken in so far. F is all that the
//! ground remembers; what intake recovers in a pause is not credited.

use super::rates::rawls_row;
use crate::bounds;
use crate::error::Result;
use crate::num::ln;
use crate::soil::Soil;
use serde::{Deserialize, Serialize};

/// What Green and Ampt's equation needs to know of the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct GreenAmpt {
    /// Conductivity of the wetted soil, mm/h: about half the saturated one, as air stays in the pores. 0.001 to 10,000.
    pub ksat_mm_h: f64,
    /// Suction at the wetting front, mm, 1 to 5,000; [`rawls_row`] has it by texture.
    pub suction_mm: f64,
    /// Pore space still empty before watering, 0 to 1.
    pub moisture_deficit: f64,
}

impl GreenAmpt {
    /// The ground as it is today: suction of the texture, deficit from saturation to the fine earth's water content,
    /// stones taking their share.
    ///
    /// # Errors
    /// A value out of range, or more water than the soil holds at saturation.
    pub fn of(soil: &Soil, water_content: f64, conductivity_mm_h: f64) -> Result<Self> {
        soil.tension_at(water_content)?; // refuses more than saturation
        Self {
            ksat_mm_h: conductivity_mm_h,
            suction_mm: rawls_row(soil.texture()).suction_mm,
            moisture_deficit: (soil.saturation() - water_content) * soil.fine_earth_fraction(),
        }
        .checked()
    }

    pub(super) fn checked(self) -> Result<Self> {
        bounds::KSAT_MM_H.check(self.ksat_mm_h)?;
        bounds::SUCTION_MM.check(self.suction_mm)?;
        bounds::FRACTION.named("moisture_deficit").check(self.moisture_deficit)?;
        Ok(self)
    }

    /// psi n, mm.
    fn pull_mm(&self) -> f64 {
        self.suction_mm * self.moisture_deficit
    }

    /// Depth taken in at which the ground can just no longer take `rate_mm_h`; infinite at or below the conductivity.
    pub(super) fn depth_at_ponding_mm(&self, rate_mm_h: f64) -> f64 {
        if rate_mm_h > self.ksat_mm_h { self.ksat_mm_h * self.pull_mm() / (rate_mm_h - self.ksat_mm_h) } else { f64::INFINITY }
    }

    /// Time, h, for ponded ground to go from `from_mm` to `from_mm + more_mm` taken in.
    pub(super) fn ponded_time_h(&self, from_mm: f64, more_mm: f64) -> f64 {
        let wet = self.pull_mm() + from_mm;
        let drawn = if wet > 0.0 { self.pull_mm() * ln_1p(more_mm / wet) } else { 0.0 };
        (more_mm - drawn) / self.ksat_mm_h
    }

    /// Slope of [`Self::ponded_time_h`], h/mm: one over the intake rate.
    fn ponded_slope(&self, depth_mm: f64) -> f64 {
        let wet = self.pull_mm() + depth_mm;
        if wet > 0.0 { depth_mm / wet / self.ksat_mm_h } else { 1.0 / self.ksat_mm_h }
    }

    /// Depth, mm, that ponded ground takes in during `time_h` after `from_mm`.
    pub(super) fn ponded_intake_mm(&self, from_mm: f64, time_h: f64) -> f64 {
        let steady = self.ksat_mm_h * time_h;
        // ln(1 + z) <= z (2 + z) / (2 (1 + z)) bounds the answer from above; from there Newton falls onto it.
        let most = steady + (steady * steady + 2.0 * steady * self.pull_mm()).sqrt();
        falling_newton(most, |more| (self.ponded_time_h(from_mm, more) - time_h, self.ponded_slope(from_mm + more))).max(0.0)
    }

    /// Rain or sprinkling at `rate_mm_h` fills a hollow of `storage_mm` once this much more has gone into ponded ground.
    pub(super) fn intake_until_full_mm(&self, from_mm: f64, rate_mm_h: f64, storage_mm: f64) -> f64 {
        let standing = |more: f64| rate_mm_h * self.ponded_time_h(from_mm, more) - more - storage_mm;
        let mut most = storage_mm.max(1.0e-6);
        while standing(most) < 0.0 && most < 1.0e9 {
            most *= 2.0;
        }
        falling_newton(most, |more| (standing(more), rate_mm_h * self.ponded_slope(from_mm + more) - 1.0))
    }

    /// Water standing `standing_mm` deep under `rate_mm_h` is gone once this much more has gone in; infinite if the
    /// ground takes no more than falls.
    pub(super) fn intake_until_dry_mm(&self, from_mm: f64, rate_mm_h: f64, standing_mm: f64) -> f64 {
        if rate_mm_h * self.ponded_slope(from_mm) >= 1.0 {
            return f64::INFINITY;
        }
        falling_newton(0.0, |more| {
            let left = standing_mm + rate_mm_h * self.ponded_time_h(from_mm, more) - more;
            (left, rate_mm_h * self.ponded_slope(from_mm + more) - 1.0)
        })
    }
}

/// ln(1 + x) without the loss of digits near 0 (Kahan's correction).
fn ln_1p(x: f64) -> f64 {
    let y = 1.0 + x;
    if y == 1.0 { x } else { ln(y) * (x / (y - 1.0)) }
}

/// Root of a convex function by Newton's method from a side where it is positive: the steps never pass the root.
fn falling_newton(start: f64, value_and_slope: impl Fn(f64) -> (f64, f64)) -> f64 {
    let mut x = start;
    for _ in 0..100 {
        let (value, slope) = value_and_slope(x);
        let next = x - value / slope;
        if value <= 0.0 || !next.is_finite() || (next - x).abs() <= 4.0 * f64::EPSILON * x.abs() {
            break;
        }
        x = next;
    }
    x
}

/// Hours until water stands on the surface under a constant rate; infinite if it never does (rate at or below the
/// conductivity).
///
/// tp = K psi n / (i (i - K)), Mein and Larson (1973).
///
/// - `rate_mm_h`: 0 to 1,000
///
/// # Errors
/// A value out of range.
///
/// # Example
/// ```
/// use dibble::soil::intake::{GreenAmpt, ponding_time_h};
/// // Chow, Maidment and Mays (1988), Example 4.4.1 (printed answer from memory): silt loam, 30 % full, 5 cm/h: 0.17 h.
/// let ground = GreenAmpt { ksat_mm_h: 6.5, suction_mm: 166.8, moisture_deficit: 0.7 * 0.486 };
/// assert_eq!(format!("{:.2}", ponding_time_h(50.0, &ground)?), "0.17");
/// assert!(ponding_time_h(6.5, &ground)?.is_infinite());
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn ponding_time_h(rate_mm_h: f64, ground: &GreenAmpt) -> Result<f64> {
    bounds::RATE_MM_H.check(rate_mm_h)?;
    ground.checked()?;
    Ok(ground.depth_at_ponding_mm(rate_mm_h) / rate_mm_h.max(f64::MIN_POSITIVE))
}

/// Depth, mm, that ground takes in during `time_h` if water stands on it from the start.
///
/// F - psi n ln(1 + F / (psi n)) = K t.
///
/// # Errors
/// A value out of range.
///
/// # Example
/// ```
/// use dibble::soil::intake::{GreenAmpt, ponded_infiltration_mm};
/// // Chow, Maidment and Mays (1988), Example 4.3.1 (printed answer from memory): 3.17 cm in the first hour.
/// let silt_loam = GreenAmpt { ksat_mm_h: 6.5, suction_mm: 166.8, moisture_deficit: 0.3402 };
/// assert_eq!(format!("{:.1}", ponded_infiltration_mm(1.0, &silt_loam)?), "31.7");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn ponded_infiltration_mm(time_h: f64, ground: &GreenAmpt) -> Result<f64> {
    bounds::DURATION_H.named("time_h").check(time_h)?;
    Ok(ground.checked()?.ponded_intake_mm(0.0, time_h))
}
