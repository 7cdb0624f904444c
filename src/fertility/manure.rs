//! What manure and compost of this and earlier years give: their organic nitrogen is released over years.

use crate::bounds;
use crate::error::{Error, Result};
use crate::words::words;
use serde::{Deserialize, Serialize};

words! {
    /// The animal that a manure comes from.
    pub enum ManureKind: "manure" {
        /// Cattle.
        Cow = "cow",
        /// Poultry.
        Poultry = "poultry",
        /// Swine.
        Swine = "swine",
        /// Horses.
        Horse = "horse",
        /// Sheep.
        Sheep = "sheep",
    }
}

/// One application of manure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Manure {
    /// The animal.
    pub kind: ManureKind,
    /// Dry matter, % of the fresh weight.
    pub dry_matter_pct: f64,
    /// Organic nitrogen that was spread (total less ammonium, by the manure's own test), kg. With kg/ha in, kg/ha out.
    pub organic_n_kg: f64,
    /// Seasons since it was spread; 0 for this one.
    pub years_ago: u32,
}

/// Shares of manure's organic nitrogen that are released in the season it is spread, the next, and the one after.
/// Nothing is counted later.
///
/// # Errors
/// Dry matter outside 0 to 100 %.
///
/// # Source
/// Cornell University, CSS 412 module 2: release of organic nitrogen by source and dry matter (below 18 %, or 18 %
/// and more).
///
/// ```
/// use dibble::fertility::{ManureKind, manure_release};
/// assert_eq!(manure_release(ManureKind::Cow, 12.0)?, [0.35, 0.12, 0.05]);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn manure_release(kind: ManureKind, dry_matter_pct: f64) -> Result<[f64; 3]> {
    let wet = bounds::CONTENT_PCT.named("dry_matter_pct").check(dry_matter_pct)? < 18.0;
    let first = match (kind, wet) {
        (ManureKind::Poultry, _) => 0.55,
        (ManureKind::Cow | ManureKind::Swine, true) => 0.35,
        (ManureKind::Horse, true) => 0.30,
        (ManureKind::Sheep, true) | (_, false) => 0.25,
    };
    Ok([first, 0.12, 0.05])
}

/// Organic nitrogen that all these applications release this season, in the unit they were given in.
///
/// Ammonium nitrogen is not in it: what of that stays depends on how soon it was worked in. Phosphate and potash
/// show in the next soil test.
///
/// # Errors
/// A weight or dry matter out of range; the application is named by its number.
///
/// ```
/// use dibble::fertility::{Manure, ManureKind, manure_nitrogen_kg};
/// // 10 tons of cow manure an acre with 5 lb organic N each, this year and the two before: 17.5 + 6.0 + 2.5 lb.
/// let spread = |years_ago| Manure { kind: ManureKind::Cow, dry_matter_pct: 12.0, organic_n_kg: 50.0, years_ago };
/// assert!((manure_nitrogen_kg(&[spread(0), spread(1), spread(2)])? - 26.0).abs() < 1e-9);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn manure_nitrogen_kg(applications: &[Manure]) -> Result<f64> {
    let mut total = 0.0;
    let mut problems = Vec::new();
    for (number, m) in applications.iter().enumerate() {
        let released = manure_release(m.kind, m.dry_matter_pct).and_then(|shares| {
            let organic = bounds::MASS_KG.named("organic_n_kg").check(m.organic_n_kg)?;
            Ok(organic * shares.get(m.years_ago as usize).copied().unwrap_or(0.0))
        });
        match released {
            Ok(kg) => total += kg,
            Err(e) => problems.push(e.at(format!("application {}", number + 1))),
        }
    }
    Error::several(problems).map_or(Ok(total), Err)
}

/// Nitrogen that compost releases in its first season, low and high end, in the unit of `total_n_kg`: 5 to 10 % of
/// its total.
///
/// # Errors
/// A weight out of range.
///
/// # Source
/// Hartz, as a compost seller's page quotes it.
///
/// ```
/// // A cubic yard of 950 lb with 2 % N holds 19 lb and gives 0.95 to 1.9 lb.
/// let (low, high) = dibble::fertility::compost_nitrogen_kg(950.0 * 0.02)?;
/// assert!((low - 0.95).abs() < 1e-9 && (high - 1.9).abs() < 1e-9);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn compost_nitrogen_kg(total_n_kg: f64) -> Result<(f64, f64)> {
    let total = bounds::MASS_KG.named("total_n_kg").check(total_n_kg)?;
    Ok((0.05 * total, 0.10 * total))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faulty_applications_are_named_by_number() {
        let good = Manure { kind: ManureKind::Cow, dry_matter_pct: 12.0, organic_n_kg: 50.0, years_ago: 0 };
        let error =
            manure_nitrogen_kg(&[good, Manure { dry_matter_pct: 120.0, ..good }, Manure { organic_n_kg: -1.0, ..good }]).unwrap_err();
        assert_eq!(
            error.to_string(),
            "2 problems:\n  - application 2: dry_matter_pct is 120 %: content must be from 0 to 100 %. Give percent by weight, as the label has it.\n  - application 3: organic_n_kg is -1 kg: weight must be from 0 to 1000000000 kg. Give kilograms; 1 lb is 0.4536 kg."
        );
    }

    #[test]
    fn nothing_is_counted_after_the_third_season() {
        let old = Manure { kind: ManureKind::Poultry, dry_matter_pct: 30.0, organic_n_kg: 50.0, years_ago: 3 };
        assert_eq!(manure_nitrogen_kg(&[old]).unwrap(), 0.0);
        assert!((manure_nitrogen_kg(&[Manure { years_ago: 0, ..old }]).unwrap() - 27.5).abs() < 1e-12);
    }
}
