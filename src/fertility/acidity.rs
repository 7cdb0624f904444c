//! What nitrogen and irrigation water do to the pH over the years: lime equivalents gained and lost.

use crate::bounds;
use crate::error::{Error, Result};
use crate::units::{System, show};
use serde::{Deserialize, Serialize};

/// kg of calcium carbonate that neutralizes the acid of 1 kg of N as urea (Cornell, Northeast CCA).
pub const UREA_CACO3_PER_N: f64 = 1.8;
/// The same for ammonium sulfate (Cornell, Northeast CCA). Other lists have 5.24; a Rhode Island trial measured 5.36.
pub const AMMONIUM_SULFATE_CACO3_PER_N: f64 = 5.4;
/// Two protons for each ammonium N, none taken back by plants: the upper limit, 7.15.
pub const AMMONIUM_CACO3_PER_N_LIMIT: f64 = (40.078 + 12.011 + 3.0 * 15.9994) / 14.007;

/// One year's inputs.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct AcidYear {
    /// Nitrogen spread, kg/ha.
    pub n_kg_ha: f64,
    /// Calcium carbonate that neutralizes the acid of 1 kg of that nitrogen, kg; negative for nitrates.
    pub caco3_per_n: f64,
    /// Irrigation, mm.
    #[serde(default)]
    pub irrigation_mm: f64,
    /// Alkalinity of the irrigation water, mg/L as CaCO3.
    #[serde(default)]
    pub alkalinity_mg_l: f64,
    /// Lime spread, kg/ha of pure carbonate.
    #[serde(default)]
    pub lime_kg_ha: f64,
}

/// One year of the balance, kg/ha of calcium carbonate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct AcidBalance {
    /// Acid from nitrogen.
    pub acid_kg_ha: f64,
    /// Lime that the water brought.
    pub water_kg_ha: f64,
    /// Lime spread.
    pub lime_kg_ha: f64,
    /// Lime left over (positive) or used up (negative) since the first year.
    pub balance_kg_ha: f64,
}

/// Lime equivalent that irrigation brings, kg/ha: 1 mm at 1 mg/L is 0.01 kg/ha.
///
/// # Errors
/// An argument out of its range.
///
/// ```
/// use dibble::fertility::water_lime_kg_ha;
/// use dibble::units::convert;
/// // 12 in of water at 200 mg/L: about 540 lb/acre
/// let lb_acre = convert(water_lime_kg_ha(304.8, 200.0)?, "kg/ha", "lb/acre")?;
/// assert_eq!(lb_acre.round(), 544.0);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn water_lime_kg_ha(irrigation_mm: f64, alkalinity_mg_l: f64) -> Result<f64> {
    Ok(0.01 * bounds::DEPTH_MM.named("irrigation_mm").check(irrigation_mm)? * bounds::ALKALINITY_MG_L.check(alkalinity_mg_l)?)
}

/// Acid of nitrogen against the lime of water and bags, year by year.
///
/// # Errors
/// A value out of range, with the year it stands in.
///
/// # Source
/// 1.8 for urea and 5.4 for ammonium sulfate, kg of CaCO3 for a kg of N: Cornell, Northeast Certified Crop Adviser.
///
/// ```
/// use dibble::fertility::{AcidYear, UREA_CACO3_PER_N, acid_balance};
/// let years = acid_balance(&[AcidYear { n_kg_ha: 150.0, caco3_per_n: UREA_CACO3_PER_N, ..AcidYear::default() }; 3])?;
/// assert_eq!(years.last().map(|y| y.balance_kg_ha), Some(-810.0));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn acid_balance(years: &[AcidYear]) -> Result<Vec<AcidBalance>> {
    let mut balance_kg_ha = 0.0;
    let year = |(index, y): (usize, &AcidYear)| {
        let place = |e: Error| e.at(format!("year {}", index + 1));
        let n_kg_ha = bounds::KG_HA.named("n_kg_ha").check(y.n_kg_ha).map_err(place)?;
        let lime_kg_ha = bounds::KG_HA.named("lime_kg_ha").check(y.lime_kg_ha).map_err(place)?;
        if !(-5.0..=8.0).contains(&y.caco3_per_n) {
            let what = format!("caco3_per_n is {}", y.caco3_per_n);
            return Err(place(Error::inconsistent(what, "Give kg of CaCO3 for a kg of N, from -5 (nitrates) to 8.")));
        }
        let acid_kg_ha = n_kg_ha * y.caco3_per_n;
        let water_kg_ha = water_lime_kg_ha(y.irrigation_mm, y.alkalinity_mg_l).map_err(place)?;
        balance_kg_ha += water_kg_ha + lime_kg_ha - acid_kg_ha;
        Ok(AcidBalance { acid_kg_ha, water_kg_ha, lime_kg_ha, balance_kg_ha })
    };
    years.iter().enumerate().map(year).collect()
}

/// What a water test says about irrigation.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct WaterTest {
    /// Alkalinity, mg/L as CaCO3.
    pub alkalinity_mg_l: f64,
    /// Electrical conductivity, dS/m.
    pub ec_ds_m: f64,
    /// Sodium, mg/L.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub na_mg_l: Option<f64>,
    /// Calcium, mg/L.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ca_mg_l: Option<f64>,
    /// Magnesium, mg/L.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mg_mg_l: Option<f64>,
}

/// What a season's irrigation brings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct WaterLoad {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// Lime equivalent, kg/ha.
    pub lime_kg_ha: f64,
    /// Dissolved salts, kg/ha (640 mg/L for 1 dS/m, common practice).
    pub salt_kg_ha: f64,
    /// Sodium adsorption ratio, where Na, Ca and Mg are known.
    pub sodium_ratio: Option<f64>,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// Lime and salt in a season's irrigation, and whether its salt or sodium calls for care.
///
/// `system` are the units that its cautions are written in. Salt: from 0.7 dS/m some care, from 3.0 much (from memory of the usual water quality classes, the user's to judge).
///
/// # Errors
/// A value out of range.
pub fn water_load(test: &WaterTest, irrigation_mm: f64, system: System) -> Result<WaterLoad> {
    let ec = bounds::WATER_EC_DS_M.check(test.ec_ds_m)?;
    let lime_kg_ha = water_lime_kg_ha(irrigation_mm, test.alkalinity_mg_l)?;
    let salt_kg_ha = 0.01 * irrigation_mm * 640.0 * ec;
    let mut cautions = Vec::new();
    if ec >= 3.0 {
        cautions.push(format!("Salty water ({ec} dS/m): young conifers will suffer (from memory: 3.0 and more is severe)."));
    } else if ec >= 0.7 {
        cautions.push(format!("Somewhat salty water ({ec} dS/m): count its salt with the fertilizer's (from memory: care from 0.7 on)."));
    }
    if lime_kg_ha > 100.0 {
        cautions.push(format!(
            "The water limes the ground with {} of carbonate in this season: test the soil's pH each year.",
            show::mass_per_area(lime_kg_ha, system)
        ));
    }
    let meq = |value: Option<f64>, mg_per_meq: f64| {
        bounds::ALKALINITY_MG_L.named("ion_mg_l").check_option(value).map(|v| v.map(|v| v / mg_per_meq))
    };
    let (na, ca, mg) = (meq(test.na_mg_l, 22.99)?, meq(test.ca_mg_l, 20.04)?, meq(test.mg_mg_l, 12.15)?);
    let sodium_ratio = match (na, ca, mg) {
        (Some(na), Some(ca), Some(mg)) if ca + mg > 0.0 => Some(na / ((ca + mg) / 2.0).sqrt()),
        _ => None,
    };
    if let Some(ratio) = sodium_ratio.filter(|r| *r > 6.0) {
        cautions.push(format!("Sodium ratio {ratio:.1}: clay may seal under this water (common practice: care above 6)."));
    }
    Ok(WaterLoad { schema: super::SCHEMA, lime_kg_ha, salt_kg_ha, sodium_ratio, cautions })
}
