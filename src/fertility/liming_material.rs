//! What a liming material is worth: calcium carbonate equivalent, fineness, effective neutralizing value.

use super::{Citation, Provenance};
use crate::bounds;
use crate::error::{Error, Result};
use crate::words::words;
use serde::{Deserialize, Serialize};

words! {
    /// A pure liming compound.
    pub enum LimingCompound: "liming compound" {
        /// Calcium carbonate, the measure of all.
        CalciumCarbonate = "calcium carbonate" | "CaCO3",
        /// Magnesium carbonate.
        MagnesiumCarbonate = "magnesium carbonate" | "MgCO3",
        /// Dolomite, CaMg(CO3)2.
        Dolomite = "dolomite" | "CaMg(CO3)2",
        /// Burnt lime.
        CalciumOxide = "calcium oxide" | "CaO" | "burnt lime",
        /// Hydrated lime.
        CalciumHydroxide = "calcium hydroxide" | "Ca(OH)2" | "hydrated lime",
        /// Magnesium oxide.
        MagnesiumOxide = "magnesium oxide" | "MgO",
    }
}

const CA: f64 = 40.078;
const MG: f64 = 24.305;
const O: f64 = 15.9994;
const CO3: f64 = 12.011 + 3.0 * O;
const H: f64 = 1.008;

impl LimingCompound {
    /// Calcium carbonate equivalent of the pure compound, as a fraction, from the atomic weights.
    ///
    /// A lab page prints 108.5 % for magnesium carbonate, which is dolomite's; the right value is 118.7 %.
    ///
    /// ```
    /// use dibble::fertility::LimingCompound;
    /// assert_eq!(format!("{:.3}", LimingCompound::MagnesiumCarbonate.carbonate_equivalent()), "1.187");
    /// assert_eq!(format!("{:.3}", LimingCompound::CalciumOxide.carbonate_equivalent()), "1.785");
    /// ```
    pub fn carbonate_equivalent(self) -> f64 {
        let per_two_charges = match self {
            LimingCompound::CalciumCarbonate => CA + CO3,
            LimingCompound::MagnesiumCarbonate => MG + CO3,
            LimingCompound::Dolomite => (CA + MG + 2.0 * CO3) / 2.0,
            LimingCompound::CalciumOxide => CA + O,
            LimingCompound::CalciumHydroxide => CA + 2.0 * (O + H),
            LimingCompound::MagnesiumOxide => MG + O,
        };
        (CA + CO3) / per_two_charges
    }
}

/// Shares that pass each sieve, as fractions, coarse to fine.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Sieves {
    /// Passes 8 mesh.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pass_8: Option<f64>,
    /// Passes 20 mesh.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pass_20: Option<f64>,
    /// Passes 60 mesh.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pass_60: Option<f64>,
    /// Passes 100 mesh.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pass_100: Option<f64>,
}

words! {
    /// How fineness counts.
    pub enum FinenessRule: "fineness rule" {
        /// New York: 40 % of what lies between 20 and 60 mesh, 80 % between 60 and 100, all that passes 100.
        NewYork = "New York",
        /// Ohio: 20 % of what lies between 8 and 20 mesh, 60 % between 20 and 60, all that passes 60, less the moisture.
        Ohio = "Ohio",
    }
}

impl FinenessRule {
    /// Where the rule comes from.
    pub fn citation(self) -> Citation {
        match self {
            FinenessRule::NewYork => {
                Citation::new("Cornell, Certified Crop Adviser study material: effective neutralizing value", Provenance::Printed)
            }
            // the ends were read, the middle factor was not
            FinenessRule::Ohio => {
                Citation::new("Ohio effective neutralizing power (factors 0.2 and 1.0 read, 0.6 from memory)", Provenance::Memory)
            }
        }
    }
}

/// A liming material as its label or analysis has it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LimingMaterial {
    /// Its name.
    pub name: String,
    /// Calcium carbonate equivalent, a fraction: 0.90 for 90 %.
    pub carbonate_equivalent: f64,
    /// Sieve analysis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sieves: Option<Sieves>,
    /// Water in it, a fraction.
    #[serde(default)]
    pub moisture: f64,
    /// Price of a tonne.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_per_t: Option<f64>,
}

impl LimingMaterial {
    /// Effective neutralizing value, a fraction of pure, fine calcium carbonate.
    ///
    /// New York: `[0.40 (p20 - p60) + 0.80 (p60 - p100) + p100] CCE`.
    /// Ohio: `[0.2 (p8 - p20) + 0.6 (p20 - p60) + p60] CCE (1 - moisture)`.
    ///
    /// # Errors
    /// A share out of range, shares that rise with finer sieves, or no analysis by the sieves that the rule needs.
    ///
    /// ```
    /// use dibble::fertility::{FinenessRule, LimingMaterial, Sieves};
    /// let lime = LimingMaterial {
    ///     name: "ground limestone".into(),
    ///     carbonate_equivalent: 1.0,
    ///     sieves: Some(Sieves { pass_20: Some(0.95), pass_60: Some(0.60), pass_100: Some(0.50), ..Sieves::default() }),
    ///     moisture: 0.0,
    ///     price_per_t: None,
    /// };
    /// assert!((lime.effective_value(FinenessRule::NewYork)? - 0.72).abs() < 1e-12);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn effective_value(&self, rule: FinenessRule) -> Result<f64> {
        let cce = self.checked_equivalent()?;
        let moisture = bounds::FRACTION.named("moisture").check(self.moisture)?;
        let sieves = self.sieves.unwrap_or_default();
        let pass = |name: &'static str, share: Option<f64>| {
            let hint = format!("The {rule} rule needs it; take it from the analysis on the label or delivery slip.");
            bounds::FRACTION.named(name).check(share.ok_or_else(|| Error::missing(name, hint))?)
        };
        let p20 = pass("pass_20", sieves.pass_20)?;
        let p60 = pass("pass_60", sieves.pass_60)?;
        let (coarse, fine) = match rule {
            FinenessRule::NewYork => (1.0, pass("pass_100", sieves.pass_100)?),
            FinenessRule::Ohio => (pass("pass_8", sieves.pass_8)?, p60),
        };
        if !(fine <= p60 && p60 <= p20 && p20 <= coarse) {
            return Err(Error::inconsistent(
                format!("more of {} passes a fine sieve than a coarse one", self.name),
                "Give the share that passes each sieve, not the share that stays on it.",
            ));
        }
        Ok(match rule {
            FinenessRule::NewYork => (0.40 * (p20 - p60) + 0.80 * (p60 - fine) + fine) * cce,
            FinenessRule::Ohio => (0.2 * (coarse - p20) + 0.6 * (p20 - p60) + p60) * cce * (1.0 - moisture),
        })
    }

    pub(super) fn checked_equivalent(&self) -> Result<f64> {
        // slaked and burnt lime stand above 1, the strongest at 2.48
        if (0.1..=2.5).contains(&self.carbonate_equivalent) {
            return Ok(self.carbonate_equivalent);
        }
        Err(Error::inconsistent(
            format!("carbonate_equivalent of {} is {}", self.name, self.carbonate_equivalent),
            "Give a fraction from 0.1 to 2.5; 90 % is 0.90.",
        ))
    }
}
