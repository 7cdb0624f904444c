//! Phosphate, potash and magnesium: by the rate that goes with a class, or by building up to a target.

use super::ground::{Ground, Rates};
use super::interpret::Reading;
use super::library::entry;
use super::soil_table::{Meaning, SoilTable};
use super::soil_test::KG_HA_PER_LB_ACRE;
use super::{Citation, Guarantee, Nutrient};
use crate::assumption::{Assumed, Assumption};
use crate::bounds;
use crate::error::{Error, Result};
use crate::words::words;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// P2O5 that raises the soil test by 1 ppm of P, kg/ha: 20 lb/acre. Made for field crops, not for conifers.
pub const P2O5_PER_PPM_KG_HA: f64 = 20.0 * KG_HA_PER_LB_ACRE;
/// K2O that raises the soil test by 1 ppm of K, kg/ha, on soils of low and of high exchange capacity: 6 to 10 lb/acre.
pub const K2O_PER_PPM_KG_HA: (f64, f64) = (6.0 * KG_HA_PER_LB_ACRE, 10.0 * KG_HA_PER_LB_ACRE);
/// Years that a build-up is spread over.
pub const BUILD_UP_YEARS: f64 = 4.0;

/// Nutrients that leave with the trees.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RemovalTable {
    /// Name.
    pub id: String,
    /// Edition.
    pub edition: String,
    /// Title.
    pub title: String,
    /// Trees in a hectare.
    pub trees_per_ha: f64,
    /// What to know about it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Where it comes from.
    pub cite: Citation,
    /// The element, kg/ha at harvest.
    pub kg_ha: BTreeMap<Nutrient, f64>,
}

entry!(RemovalTable, "removal table", "removal_tables");

impl RemovalTable {
    fn find_faults(&self) -> Vec<Error> {
        let mut faults: Vec<Error> = bounds::TREES_HA.check(self.trees_per_ha).err().into_iter().collect();
        faults.extend(self.kg_ha.iter().filter_map(|(n, v)| bounds::KG_HA.check(*v).err().map(|e| e.at(n.name()))));
        faults
    }

    /// The element that one tree takes along, g.
    ///
    /// ```
    /// use dibble::fertility::{Library, Nutrient, RemovalTable};
    /// let all = Library::<RemovalTable>::shipped()?;
    /// let n = all.get("christmas-trees-2005")?.g_per_tree(Nutrient::N);
    /// assert_eq!(n.map(f64::round), Some(130.0));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn g_per_tree(&self, nutrient: Nutrient) -> Option<f64> {
        self.kg_ha.get(&nutrient).map(|kg| 1000.0 * kg / self.trees_per_ha)
    }
}

words! {
    /// What a need rests on.
    pub enum NeedBasis: "basis of a need" {
        /// The rate that the table prints for the class.
        TableRate = "rate of the table",
        /// Build-up to the table's optimum over some years, plus what the trees take along.
        BuildUp = "build-up",
        /// What the trees take along: the soil holds enough.
        Removal = "removal",
        /// Nothing is needed.
        Nothing = "nothing",
        /// Dolomite, since lime is due.
        Dolomite = "dolomite",
        /// No published rate serves: the need is there, its size is not known.
        NotPublished = "no published rate",
    }
}

/// How a build-up is reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct BuildUp {
    /// Oxide that raises the soil test by 1 ppm of P, kg/ha.
    pub p2o5_per_ppm_kg_ha: f64,
    /// Oxide that raises the soil test by 1 ppm of K, kg/ha.
    pub k2o_per_ppm_kg_ha: f64,
    /// Years that it is spread over.
    pub years: f64,
    /// Years from planting to sale, over which the removal of the harvest is spread.
    pub rotation_years: f64,
}

impl Default for BuildUp {
    fn default() -> Self {
        let k2o_per_ppm_kg_ha = 0.5 * (K2O_PER_PPM_KG_HA.0 + K2O_PER_PPM_KG_HA.1);
        Self { p2o5_per_ppm_kg_ha: P2O5_PER_PPM_KG_HA, k2o_per_ppm_kg_ha, years: BUILD_UP_YEARS, rotation_years: 8.0 }
    }
}

impl BuildUp {
    /// Oxide of P or K for a year to bring the soil test from `test_ppm` to `target_ppm`, kg/ha: the gap times the
    /// oxide for 1 ppm, over the years. 0 at the target and above.
    ///
    /// # Errors
    /// A number out of range, or a nutrient other than P and K.
    ///
    /// # Source
    /// Tri-State Fertilizer Recommendations, as quoted: 20 lb P2O5/acre for 1 ppm P, 6-10 lb K2O/acre for 1 ppm K.
    pub fn oxide_kg_ha_year(&self, nutrient: Nutrient, test_ppm: f64, target_ppm: f64) -> Result<f64> {
        let per_ppm = match nutrient {
            Nutrient::P => bounds::KG_HA.named("p2o5_per_ppm_kg_ha").check(self.p2o5_per_ppm_kg_ha)?,
            Nutrient::K => bounds::KG_HA.named("k2o_per_ppm_kg_ha").check(self.k2o_per_ppm_kg_ha)?,
            other => return Err(Error::inconsistent(format!("there is no build-up rule for {other}"), "Only P and K are built up.")),
        };
        let years = bounds::N_YEARS.check(self.years)?;
        let gap = bounds::PPM.named("target_ppm").check(target_ppm)? - bounds::PPM.named("test_ppm").check(test_ppm)?;
        Ok(gap.max(0.0) * per_ppm / years)
    }
}

/// The need of one nutrient for a year. P and K as oxides, the others as elements.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NutrientNeed {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// What the weights are weights of, as labels state it: P2O5, K2O, Mg.
    pub weight_of: Guarantee,
    /// What it rests on.
    pub basis: NeedBasis,
    /// Lowest rate.
    pub low: Rates,
    /// Highest rate.
    pub high: Rates,
    /// Why.
    pub why: String,
    /// Where it comes from.
    pub source: String,
    /// What else to know.
    pub notes: Vec<String>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

/// What [`nutrient_need`] may use beside the reading.
#[derive(Debug, Clone, Copy)]
pub struct NeedContext<'a> {
    /// The table that the reading was made with.
    pub table: &'a SoilTable,
    /// The trees and where it lands.
    pub ground: &'a Ground,
    /// The rule for building up.
    pub build_up: &'a BuildUp,
    /// What the harvest takes along, if it is to be made good.
    pub removal: Option<&'a RemovalTable>,
    /// Is lime due?
    pub lime_due: bool,
}

/// What a year needs of P, K or another nutrient, from its class.
///
/// The table's rate where it prints one in a stated form. Otherwise P and K are built up to the lower edge of the
/// optimum over some years, plus what the harvest takes along over the rotation; at the optimum the removal alone; above
/// it nothing. Short magnesium is left to dolomite where lime is due.
///
/// # Errors
/// A number out of range.
pub fn nutrient_need(reading: &Reading, context: &NeedContext<'_>) -> Result<NutrientNeed> {
    let nutrient = reading.nutrient;
    let oxide = matches!(nutrient, Nutrient::P | Nutrient::K);
    let (weight_of, factor) = Guarantee::of_element(nutrient, 1.0)
        .ok_or_else(|| Error::inconsistent(format!("{nutrient} is no nutrient of a fertilizer"), "Ask for the need of a nutrient."))?;
    let (Some(meaning), Some(class)) = (reading.meaning, &reading.class) else {
        let why = reading.note.clone().unwrap_or_else(|| "the test gives no class".into());
        return Err(Error::missing(format!("a class for {nutrient}"), format!("{why}.")));
    };
    let need = |basis, kg_ha: (f64, f64), why: String, source: String, assumptions| -> Result<NutrientNeed> {
        let (low, high) = (Rates::from_field(kg_ha.0, context.ground)?, Rates::from_field(kg_ha.1, context.ground)?);
        Ok(NutrientNeed { nutrient, weight_of, basis, low, high, why, source, notes: notes(nutrient, meaning), assumptions })
    };
    let said = format!("{nutrient} is {class} ({meaning}) by {}", context.table.title);
    let cite = context.table.cite.to_string();
    if nutrient == Nutrient::Mg && meaning.is_short() && context.lime_due {
        return need(NeedBasis::Dolomite, (0.0, 0.0), format!("{said}; lime is due: lime with dolomite."), cite, Vec::new());
    }
    let printed = reading.rate.as_ref().map(|r| r.element_kg_ha(nutrient)).transpose()?.flatten();
    if let Some((low, high)) = printed {
        return need(NeedBasis::TableRate, (low * factor, high * factor), format!("{said}; the table prints the rate."), cite, Vec::new());
    }
    // a class without a rate in a table of rates needs none: it shall not get more than the class below it
    let of_rates =
        context.table.classes(nutrient).is_some_and(|c| c.classes.iter().any(|c| c.rate.as_ref().is_some_and(|r| r.form.is_some())));
    if of_rates {
        return need(NeedBasis::Nothing, (0.0, 0.0), format!("{said}; the table prints no rate for it."), cite, Vec::new());
    }
    if meaning > Meaning::Enough {
        return need(NeedBasis::Nothing, (0.0, 0.0), format!("{said}: add none."), cite, Vec::new());
    }
    if !oxide {
        let basis = if meaning.is_short() { NeedBasis::NotPublished } else { NeedBasis::Nothing };
        let why = if meaning.is_short() { format!("{said}; no published rate was found: test the needles and ask the lab.") } else { said };
        return need(basis, (0.0, 0.0), why, cite, Vec::new());
    }
    let take = match context.removal.and_then(|r| r.g_per_tree(nutrient)) {
        Some(g) => {
            factor * g * context.ground.trees_per_ha()
                / 1000.0
                / bounds::N_YEARS.named("rotation_years").check(context.build_up.rotation_years)?
        }
        None => 0.0,
    };
    if !meaning.is_short() {
        let basis = if take > 0.0 { NeedBasis::Removal } else { NeedBasis::Nothing };
        let source = context.removal.map_or(cite, |r| r.cite.to_string());
        return need(basis, (take, take), format!("{said}: only what the trees take along."), source, Vec::new());
    }
    let Some(ppm) = reading.ppm else {
        let why = format!("{said}; the lab gives no number, and a build-up needs one: ask the lab for the value.");
        return need(NeedBasis::NotPublished, (0.0, 0.0), why, cite, Vec::new());
    };
    let target_ppm = optimum_ppm(context.table, nutrient)?;
    let build = context.build_up.oxide_kg_ha_year(nutrient, ppm, target_ppm)?;
    let why = format!(
        "{said}; built up from {ppm:.1} to {target_ppm:.1} ppm over {} years{}.",
        context.build_up.years,
        if take > 0.0 { ", with what the trees take along" } else { "" }
    );
    let source = "Tri-State Fertilizer Recommendations, as quoted; made for field crops".to_string();
    need(NeedBasis::BuildUp, (build + take, build + take), why, source, vec![Assumption::BuildUpRule.assumed()])
}

fn notes(nutrient: Nutrient, meaning: Meaning) -> Vec<String> {
    let mut notes = Vec::new();
    if matches!(nutrient, Nutrient::P | Nutrient::K) && meaning == Meaning::VeryShort {
        notes.push(format!(
            "A Kentucky leaflet (FOR-24, 1986) gives {} where P and K are very low, without saying element or oxide: shown, not used.",
            if nutrient == Nutrient::P { "40 lb/acre of \"P\"" } else { "160 lb/acre of \"K\"" }
        ));
    }
    if nutrient == Nutrient::K && meaning.is_short() {
        notes.push("Much potash at once lowers magnesium in the needles: look at both.".into());
    }
    notes
}

/// Lower edge of the table's optimum, ppm of the element.
fn optimum_ppm(table: &SoilTable, nutrient: Nutrient) -> Result<f64> {
    let missing = || Error::missing(format!("a class of {nutrient} that is enough"), "The table has to say where the optimum begins.");
    let classes = table.classes(nutrient).ok_or_else(missing)?;
    let enough = classes.classes.iter().find(|c| !c.meaning.is_short()).and_then(|c| c.from).ok_or_else(missing)?;
    let per_ppm = table.in_table_unit(classes, 1.0)?;
    Ok(enough / per_ppm)
}
