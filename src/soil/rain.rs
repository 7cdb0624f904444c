//! Effective rain of a month, for climates and planning. Not for single days: the ledger does those.

use crate::bounds;
use crate::error::Result;
use crate::num::pow;

const MM_PER_IN: f64 = 25.4;

/// Rain of a month that the root zone can use, mm.
///
/// Pe = SF (0.70917 P^0.82416 - 0.11556) 10^(0.02426 ETc), SF = 0.531747 + 0.295164 D - 0.057697 D^2 + 0.003804 D^3, in
/// inches; never below 0 nor above the month's rain or use.
///
/// - `rain_mm`, `use_mm`: of the month, 0 to 2,000
/// - `refill_mm`: net depth of one watering (D), 0 to 2,000
///
/// # Errors
/// A value out of range.
///
/// # Source
/// USDA-SCS TR-21 (1970); NEH 623 ch. 2.
///
/// # Example
/// ```
/// // 3 in of rain in a month that uses 6 in, watered 3 in at a time.
/// let effective = dibble::soil::rain::effective_rain_of_month_mm(76.2, 152.4, 76.2)?;
/// assert_eq!(format!("{:.2}", effective / 25.4), "2.29");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn effective_rain_of_month_mm(rain_mm: f64, use_mm: f64, refill_mm: f64) -> Result<f64> {
    let rain = bounds::RAIN_MM.check(rain_mm)? / MM_PER_IN;
    let used = bounds::DEPTH_MM.named("use_mm").check(use_mm)? / MM_PER_IN;
    let d = bounds::DEPTH_MM.named("refill_mm").check(refill_mm)? / MM_PER_IN;
    if rain == 0.0 {
        return Ok(0.0);
    }
    let storage = 0.531747 + 0.295164 * d - 0.057697 * d * d + 0.003804 * d * d * d;
    let effective = storage * (0.70917 * pow(rain, 0.82416) - 0.11556) * pow(10.0, 0.02426 * used);
    Ok(MM_PER_IN * effective.clamp(0.0, rain.min(used)))
}
