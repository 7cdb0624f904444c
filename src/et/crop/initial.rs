//! The single coefficient of nearly bare soil between wettings (FAO-56 Eq. 59 and Annex 7).

use crate::bounds;
use crate::error::Result;
use crate::num::exp;
use crate::words::words;

words! {
    /// Texture of a bare soil, as Annex 7 parts them.
    pub enum Texture: "texture" {
        /// Sand and loamy sand.
        Coarse = "coarse",
        /// Everything finer.
        Fine = "medium_and_fine",
    }
}

/// How bare soil is wetted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BareSoilWetting {
    /// Days between wettings, 0.1 to 60.
    pub interval_d: f64,
    /// Reference evapotranspiration, above 0 to 25 mm/d.
    pub eto_mm: f64,
    /// Depth infiltrated at each wetting, 0 to 2000 mm.
    pub wetting_mm: f64,
    /// Texture.
    pub texture: Texture,
}

/// Crop coefficient of nearly bare soil, the first stage of a season.
///
/// Kc ini = (TEW - (TEW - REW) exp(-(t_w - t_1) E_so (1 + REW / (TEW - REW)) / TEW)) / (t_w ETo), Eq. 7-3, or E_so / ETo while
/// t_w ≤ t_1 = REW / E_so, with E_so = 1.15 ETo; between the curves of light (10 mm) and heavy (40 mm) wettings by Eq. 59.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Annex 7. Its Example 7-1 prints 0.75 for the heavy curve on coarse soil; its 0.57 for the light one, and so its
/// 0.63, carry a slip (the exponential is left out): the formula gives 0.53 and 0.605. TEW and REW of the curves from memory;
/// they reproduce both.
///
/// ```
/// use dibble::et::crop::{BareSoilWetting, Texture, kc_initial};
/// let mut soil = BareSoilWetting { interval_d: 3.5, eto_mm: 5.0, wetting_mm: 20.0, texture: Texture::Coarse };
/// assert_eq!(format!("{:.3}", kc_initial(&soil)?), "0.605");
/// soil.wetting_mm = 40.0;
/// assert_eq!(format!("{:.2}", kc_initial(&soil)?), "0.75");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn kc_initial(soil: &BareSoilWetting) -> Result<f64> {
    let t_w = bounds::WETTING_INTERVAL_D.check(soil.interval_d)?;
    let eto = bounds::EVAPORATING_MM.check(soil.eto_mm)?;
    let depth = bounds::DEPTH_MM.named("wetting_mm").check(soil.wetting_mm)?;
    let root = eto.sqrt();
    let light = drying(t_w, eto, 10.0, (6.0 / root).clamp(2.5, 7.0));
    let total = match soil.texture {
        Texture::Coarse => (7.0 * root).min(15.0),
        Texture::Fine => (13.0 * root).min(28.0),
    };
    let first: f64 = match soil.texture {
        Texture::Coarse => 6.0,
        Texture::Fine => 9.0,
    };
    let heavy = drying(t_w, eto, total, first.min(total - 0.01));
    let weight = ((depth - 10.0) / 30.0).clamp(0.0, 1.0);
    Ok(light + weight * (heavy - light))
}

/// Eq. 7-3 and its first stage.
fn drying(t_w: f64, eto: f64, tew: f64, rew: f64) -> f64 {
    let e_so = 1.15 * eto;
    let t_1 = rew / e_so;
    if t_w <= t_1 {
        return e_so / eto;
    }
    let fall = exp(-(t_w - t_1) * e_so * (1.0 + rew / (tew - rew)) / tew);
    (tew - (tew - rew) * fall) / (t_w * eto)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rarer_and_lighter_wettings_evaporate_less() {
        let at =
            |interval_d, wetting_mm| kc_initial(&BareSoilWetting { interval_d, eto_mm: 5.0, wetting_mm, texture: Texture::Fine }).unwrap();
        assert!(at(2.0, 40.0) > at(4.0, 40.0) && at(4.0, 40.0) > at(10.0, 40.0));
        assert!(at(4.0, 40.0) > at(4.0, 25.0) && at(4.0, 25.0) > at(4.0, 10.0));
        assert_eq!(at(4.0, 10.0), at(4.0, 3.0));
        assert!((at(0.2, 40.0) - 1.15).abs() < 1e-12);
    }
}
