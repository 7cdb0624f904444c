//! Lowering the pH with elemental sulfur, and when it cannot be done.

use super::library::entry;
use super::{Citation, Library};
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::interp;
use crate::soil::TextureClass;
use crate::units::{self, System, show};
use crate::words::words;
use serde::{Deserialize, Serialize};

/// kg of calcium carbonate that 1 kg of sulfur consumes: CaCO3 / S, one sulfate for two protons.
pub const CACO3_PER_S: f64 = (40.078 + 12.011 + 3.0 * 15.9994) / 32.06;

/// Sulfur over living roots in a year, kg/ha: 400 lb/acre, from memory; the user's to change.
pub const SULFUR_CAP_KG_HA: f64 = 400.0 * super::soil_test::KG_HA_PER_LB_ACRE;

words! {
    /// The three textures of sulfur tables.
    pub enum TextureGroup: "texture group" {
        /// Sand and loamy sand.
        Sand = "sand",
        /// Loams and silts.
        Loam = "loam",
        /// Clays and clay loams.
        Clay = "clay",
    }
}

impl From<TextureClass> for TextureGroup {
    /// Our grouping: sand and loamy sand; clay loam, silty clay loam and the clays; the rest.
    fn from(class: TextureClass) -> Self {
        use TextureClass::{Clay, ClayLoam, LoamySand, Sand, SandyClay, SiltyClay, SiltyClayLoam};
        match class {
            Sand | LoamySand => TextureGroup::Sand,
            ClayLoam | SiltyClayLoam | SandyClay | SiltyClay | Clay => TextureGroup::Clay,
            _ => TextureGroup::Loam,
        }
    }
}

/// Sulfur at one pH.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SulfurRow {
    /// pH of the soil.
    pub ph: f64,
    /// Rate on sand.
    pub sand: f64,
    /// Rate on loam.
    pub loam: f64,
    /// Rate on clay.
    pub clay: f64,
}

/// A published sulfur table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SulfurTable {
    /// Name.
    pub id: String,
    /// Edition.
    pub edition: String,
    /// Title.
    pub title: String,
    /// Unit of the rates, a weight per area.
    pub unit: String,
    /// pH that the rates reach.
    pub base_ph: f64,
    /// The rates, by rising pH.
    pub rows: Vec<SulfurRow>,
    /// Where it comes from.
    pub cite: Citation,
}

impl SulfurTable {
    /// Sulfur from `ph` to `target_ph`, kg/ha: the difference of two entries, straight lines between rows.
    ///
    /// # Errors
    /// A pH outside the table.
    ///
    /// ```
    /// use dibble::fertility::{Library, SulfurTable, TextureGroup};
    /// use dibble::units::convert;
    /// let all = Library::<SulfurTable>::shipped()?;
    /// let table = all.get("sulfur-to-4.5")?;
    /// let lb_acre = convert(table.rate_kg_ha(TextureGroup::Loam, 7.0, 6.0)?, "kg/ha", "lb/acre")?;
    /// assert!((lb_acre - 1020.0).abs() < 1e-9);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn rate_kg_ha(&self, texture: TextureGroup, ph: f64, target_ph: f64) -> Result<f64> {
        let mut points = vec![(self.base_ph, 0.0)];
        points.extend(self.rows.iter().map(|r| {
            let rate = match texture {
                TextureGroup::Sand => r.sand,
                TextureGroup::Loam => r.loam,
                TextureGroup::Clay => r.clay,
            };
            (r.ph, rate)
        }));
        let (low, high) = self.range();
        for value in [ph, target_ph] {
            if !(low..=high).contains(&value) {
                return Err(Error::inconsistent(
                    format!("pH {value} lies outside the sulfur table, which goes from {low} to {high}"),
                    "Ask the lab for a test with acid on your soil.",
                ));
            }
        }
        let table = interp::Table::new(&points)?;
        units::convert(table.linear(ph) - table.linear(target_ph), &self.unit, "kg/ha")
    }

    /// Lowest and highest pH of the table.
    pub fn range(&self) -> (f64, f64) {
        (self.base_ph, self.rows.last().map_or(self.base_ph, |r| r.ph))
    }
}

entry!(SulfurTable, "sulfur table", "sulfur_tables");

impl SulfurTable {
    fn find_faults(&self) -> Vec<Error> {
        let mut faults: Vec<Error> = units::convert(1.0, &self.unit, "kg/ha").err().into_iter().collect();
        faults.extend(self.rows.iter().filter_map(|r| bounds::PH.check(r.ph).err()));
        let mut before = SulfurRow { ph: self.base_ph, sand: 0.0, loam: 0.0, clay: 0.0 };
        for row in &self.rows {
            let rises = row.ph > before.ph && row.sand >= before.sand && row.loam >= before.loam && row.clay >= before.clay;
            if !rises || ![row.sand, row.loam, row.clay].iter().all(|r| r.is_finite()) {
                faults.push(Error::inconsistent(
                    format!("the row of pH {} does not rise above the one before", row.ph),
                    "Sort the rows by pH.",
                ));
            }
            before = *row;
        }
        faults
    }
}

words! {
    /// What sulfur can do.
    pub enum SulfurVerdict: "sulfur verdict" {
        /// It can lower the pH to the target.
        Lower = "lower the pH",
        /// The pH is not above the target.
        NotNeeded = "not needed",
        /// Free carbonate, or a pH beyond the table: the target cannot be reached.
        CannotBeReached = "cannot be reached",
    }
}

/// The question that [`sulfur_need`] answers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SulfurQuestion {
    /// Soil pH in water.
    pub ph: f64,
    /// pH wanted.
    pub target_ph: f64,
    /// Texture.
    pub texture: TextureGroup,
    /// Does the soil fizz with acid? `None` if nobody has looked.
    pub free_carbonate: Option<bool>,
    /// Living roots?
    pub living_roots: bool,
    /// Most sulfur in a year over living roots, kg/ha.
    pub cap_kg_ha: f64,
    /// Units that the sentences are written in.
    pub units: System,
}

/// Another source's rate, for comparison.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OtherRate {
    /// Who says so.
    pub source: String,
    /// Its rate, kg/ha.
    pub rate_kg_ha: f64,
}

/// Sulfur for a lower pH.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SulfurNeed {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// What sulfur can do here.
    pub verdict: SulfurVerdict,
    /// Why.
    pub why: String,
    /// Elemental sulfur in all, kg/ha.
    pub total_kg_ha: f64,
    /// Years it is spread over.
    pub years: u32,
    /// In each year, kg/ha.
    pub each_year_kg_ha: f64,
    /// Other sources for the same step.
    pub others: Vec<OtherRate>,
    /// Where the rate comes from.
    pub source: String,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// Spreadings of at most `cap_kg_ha` that make up `total_kg_ha`.
pub(super) fn spreadings(total_kg_ha: f64, cap_kg_ha: f64) -> Result<u32> {
    let times = (total_kg_ha / bounds::KG_HA.named("cap_kg_ha").check(cap_kg_ha)?).ceil().max(1.0);
    if times <= bounds::N_YEARS.max {
        return Ok(times as u32);
    }
    Err(Error::infeasible(
        format!("{total_kg_ha:.0} kg/ha in spreadings of at most {cap_kg_ha} kg/ha would take more than {:.0} years", bounds::N_YEARS.max),
        "Raise cap_kg_ha, or leave the pH as it is.",
    ))
}

/// Elemental sulfur to lower the pH, split over years where roots live, or the reason why it cannot be done.
///
/// # Errors
/// A pH, target or cap out of range.
///
/// # Source
/// The shipped table; extension.org (1 lb per 100 ft2 for a unit of pH on sand, 2 on heavier soil) beside it. The two
/// disagree by a third to a half. Free carbonate makes sulfur pointless: Royal Horticultural Society.
///
/// ```
/// use dibble::fertility::{Library, SULFUR_CAP_KG_HA, SulfurQuestion, SulfurTable, TextureGroup, sulfur_need};
/// use dibble::units::System;
/// let question = SulfurQuestion {
///     ph: 6.5,
///     target_ph: 5.5,
///     texture: TextureGroup::Loam,
///     free_carbonate: Some(false),
///     living_roots: true,
///     cap_kg_ha: SULFUR_CAP_KG_HA,
///     units: System::Us,
/// };
/// let need = sulfur_need(&question, &Library::<SulfurTable>::shipped()?)?;
/// // 2,020 - 1,030 = 990 lb/acre, over three years of at most 400
/// assert_eq!((need.total_kg_ha.round(), need.years), (1110.0, 3));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn sulfur_need(question: &SulfurQuestion, library: &Library<SulfurTable>) -> Result<SulfurNeed> {
    let SulfurQuestion { texture, free_carbonate, living_roots, units: system, .. } = *question;
    let (ph, target_ph) = (bounds::PH.check(question.ph)?, bounds::PH.named("target_ph").check(question.target_ph)?);
    let cap = bounds::KG_HA.named("cap_kg_ha").check(question.cap_kg_ha)?;
    let table = library.get("sulfur-to-4.5")?;
    let mut need = SulfurNeed {
        schema: super::SCHEMA,
        verdict: SulfurVerdict::NotNeeded,
        why: format!("pH {ph} is not above {target_ph}."),
        total_kg_ha: 0.0,
        years: 0,
        each_year_kg_ha: 0.0,
        others: Vec::new(),
        source: table.cite.to_string(),
        cautions: Vec::new(),
    };
    if ph <= target_ph {
        return Ok(need);
    }
    let (low, high) = table.range();
    let out_of_reach = if free_carbonate == Some(true) {
        // 1 % of 2,000,000 lb of soil in an acre
        let sulfur_kg_ha = 2.0e4 * super::soil_test::KG_HA_PER_LB_ACRE / CACO3_PER_S;
        let sulfur = show::mass_per_area(sulfur_kg_ha, system);
        Some(format!("The soil holds free carbonate: each 1 % of it consumes {sulfur} of sulfur before the pH moves."))
    } else if ph > high {
        Some(format!(
            "pH {ph} lies above the sulfur tables ({high}); such soils mostly hold free carbonate. Drip vinegar on a clod: if it fizzes, sulfur is wasted."
        ))
    } else if target_ph < low {
        Some(format!("pH {target_ph} lies below what the tables reach ({low})."))
    } else {
        None
    };
    if let Some(why) = out_of_reach {
        need.verdict = SulfurVerdict::CannotBeReached;
        need.why = format!("{why} Choose a species that bears the pH.");
        return Ok(need);
    }
    let total = table.rate_kg_ha(texture, ph, target_ph)?;
    let years = if living_roots { spreadings(total, cap)? } else { 1 };
    need.verdict = SulfurVerdict::Lower;
    need.why = format!("From pH {ph} to {target_ph} on {texture}.");
    need.total_kg_ha = total;
    need.years = years;
    need.each_year_kg_ha = total / f64::from(years);
    let simple = if texture == TextureGroup::Sand { "1 lb/100 ft2" } else { "2 lb/100 ft2" };
    need.others.push(OtherRate {
        source: format!("extension.org: {simple} for a unit of pH"),
        rate_kg_ha: units::parse(simple, "kg/ha")? * (ph - target_ph),
    });
    need.cautions.push("Bacteria turn sulfur to acid over a warm season or two: test again each year before more is spread.".into());
    if free_carbonate.is_none() {
        need.cautions.push("Nobody has looked for free carbonate: drip vinegar on a clod first.".into());
    }
    if living_roots {
        need.cautions.push(format!(
            "Over living roots no more than {} of sulfur in a year (from memory; yours to change).",
            show::mass_per_area(cap, system)
        ));
    }
    Ok(need)
}
