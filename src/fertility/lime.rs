//! Lime requirement: from pH and a buffer, exchangeable acidity or aluminum, a table, or texture alone.

use super::lime_methods as methods;
use super::lime_table::{LimeBasis, LimeTable};
use super::{Citation, Library, Provenance, SoilTest};
use crate::assumption::{Assumed, Assumption};
use crate::bounds;
use crate::error::{Error, Result};
use crate::explain::Step;
use crate::units;
use crate::words::words;
use serde::{Deserialize, Serialize};

words! {
    /// How the lime requirement is found. The lab's method decides; it is always an input.
    pub enum LimeMethod: "lime method" {
        /// Mehlich buffer by North Carolina's equation.
        Mehlich = "Mehlich buffer" | "Mehlich" | "NCDA",
        /// Adams-Evans buffer.
        AdamsEvans = "Adams-Evans buffer" | "Adams-Evans",
        /// Exchangeable acidity by Penn State's rule, to pH 6.5 or 7.0.
        ExchangeableAcidity = "exchangeable acidity",
        /// Exchangeable acidity by Penn State's 38-row table, to pH 6.0, 6.5 or 7.0.
        AcidityTable = "exchangeable acidity table" | "acidity table",
        /// Exchangeable aluminum: neutralizes it and aims at no pH.
        ExchangeableAluminum = "exchangeable aluminum" | "aluminum",
        /// SMP buffer by a table from memory.
        Smp = "SMP buffer" | "SMP",
        /// Mehlich's equation of 1976, from memory; aims at no pH.
        Mehlich1976 = "Mehlich 1976",
        /// Texture class alone: the last resort.
        Texture = "texture",
    }
}

/// Lime spread not long ago, part of which has not reacted yet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecentLime {
    /// What was spread, kg/ha.
    pub rate_kg_ha: f64,
    /// Months from spreading to sampling.
    pub months: f64,
    /// On an organic soil?
    #[serde(default)]
    pub organic_soil: bool,
}

impl RecentLime {
    /// Lime still to react, kg/ha: 8 % of the rate for each month left of 12 (organic soils: 16 %, of 6).
    ///
    /// # Errors
    /// A rate out of range, or negative months.
    ///
    /// # Source
    /// North Carolina Department of Agriculture: 8 % a month on mineral soils, 16 % on organic ones. That the credit is
    /// what is still unreacted is our reading of it.
    pub fn credit_kg_ha(&self) -> Result<f64> {
        let rate = bounds::KG_HA.named("rate_kg_ha").check(self.rate_kg_ha)?;
        if !self.months.is_finite() || self.months < 0.0 {
            return Err(Error::inconsistent(format!("months since liming is {}", self.months), "Give 0 or more."));
        }
        let (share, span) = if self.organic_soil { (0.16, 6.0) } else { (0.08, 12.0) };
        Ok(rate * share * (span - self.months).max(0.0))
    }
}

/// What a lime method may take into account.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct LimeOptions {
    /// Use methods that rest on memory (SMP, Mehlich 1976)?
    pub from_memory: bool,
    /// Lime spread not long ago, for the Mehlich buffer.
    pub recent: Option<RecentLime>,
    /// Agricultural lime for a unit of pure carbonate, for Adams-Evans: 1.5 in Georgia, 1.38 the mean of five limes.
    pub ag_lime_factor: f64,
}

impl Default for LimeOptions {
    fn default() -> Self {
        Self { from_memory: false, recent: None, ag_lime_factor: 1.5 }
    }
}

/// A lime requirement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LimeNeed {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// The method, or the table of the user's.
    pub method: String,
    /// Soil pH in water.
    pub ph: f64,
    /// pH wanted; `None` for methods that aim at no pH.
    pub target_ph: Option<f64>,
    /// Lime, kg/ha; 0 where none is due.
    pub rate_kg_ha: f64,
    /// What the rate is a rate of.
    pub of: LimeBasis,
    /// The rate as pure calcium carbonate, kg/ha, where the method gives it.
    pub pure_kg_ha: Option<f64>,
    /// Lowest and highest rate, kg/ha, where the method is a rough one.
    pub range_kg_ha: Option<(f64, f64)>,
    /// Depth of soil that the rate limes, m.
    pub depth_m: f64,
    /// How the rate was found, step by step.
    pub steps: Vec<Step>,
    /// Where the method comes from.
    pub source: String,
    /// What to know about it.
    pub notes: Vec<String>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

impl LimeNeed {
    /// The same requirement for another depth of soil: it goes with the depth.
    ///
    /// # Errors
    /// A depth out of range.
    ///
    /// # Source
    /// Tri-State E-2567: the top 4 in take half the 8-inch rate.
    pub fn for_depth(&self, depth_m: f64) -> Result<LimeNeed> {
        let share = bounds::SOIL_DEPTH_M.named("depth_m").check(depth_m)? / self.depth_m;
        Ok(LimeNeed {
            rate_kg_ha: self.rate_kg_ha * share,
            pure_kg_ha: self.pure_kg_ha.map(|p| p * share),
            range_kg_ha: self.range_kg_ha.map(|(a, b)| (a * share, b * share)),
            depth_m,
            ..self.clone()
        })
    }
}

/// What a method says before it is dressed up.
pub(super) struct Found {
    pub rate_kg_ha: f64,
    pub of: LimeBasis,
    pub pure_kg_ha: Option<f64>,
    pub range_kg_ha: Option<(f64, f64)>,
    pub depth_m: f64,
    pub aims: bool,
    pub steps: Vec<Step>,
    pub citation: Citation,
    pub notes: Vec<String>,
}

impl Found {
    pub fn pure(kg_ha: f64, depth_m: f64, citation: Citation) -> Self {
        let of = LimeBasis::PureCarbonate;
        Self {
            rate_kg_ha: kg_ha,
            of,
            pure_kg_ha: Some(kg_ha),
            range_kg_ha: None,
            depth_m,
            aims: true,
            steps: Vec::new(),
            citation,
            notes: Vec::new(),
        }
    }
}

/// Lime to bring a soil to `target_ph`, by the lab's method.
///
/// Where the pH is at the target already, or the buffer finds no acidity, the rate is 0 and a note says why.
///
/// # Errors
/// A target below the soil's pH (lime only raises it), a target that the method does not serve, a reading that the
/// method needs and the test lacks, or a buffer of another method; a method from memory that was not asked for.
///
/// ```
/// use dibble::fertility::{Buffer, BufferMethod, LimeMethod, LimeOptions, SoilTest, SoilTestInput, lime_requirement};
/// use dibble::units::convert;
/// let test = SoilTest::new(SoilTestInput {
///     ph: Some(4.6),
///     buffer: Some(Buffer { value: 6.0, method: BufferMethod::Mehlich, lime_index: None }),
///     ..SoilTestInput::default()
/// })?;
/// let need = lime_requirement(&test, 5.8, LimeMethod::Mehlich, &LimeOptions::default())?;
/// assert_eq!(format!("{:.2}", convert(need.rate_kg_ha, "kg/ha", "tons/acre")?), "1.44");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn lime_requirement(test: &SoilTest, target_ph: f64, method: LimeMethod, options: &LimeOptions) -> Result<LimeNeed> {
    let ph = checked_target(test, target_ph)?;
    if matches!(method, LimeMethod::Smp | LimeMethod::Mehlich1976) && !options.from_memory {
        return Err(Error::inconsistent(
            format!("the {method} method is written down from memory and nobody has checked it"),
            "Allow it with from_memory, or take another method.",
        ));
    }
    let found = match method {
        LimeMethod::Mehlich => methods::mehlich(test, ph, target_ph, options)?,
        LimeMethod::AdamsEvans => methods::adams_evans(test, ph, target_ph, options)?,
        LimeMethod::ExchangeableAcidity => methods::exchangeable_acidity(test, ph, target_ph)?,
        LimeMethod::AcidityTable => methods::by_table(test, target_ph, Library::<LimeTable>::shipped()?.get("penn-state-turf")?)?,
        LimeMethod::Smp => methods::by_table(test, target_ph, Library::<LimeTable>::with_from_memory()?.get("smp")?)?,
        LimeMethod::ExchangeableAluminum => methods::aluminum(test)?,
        LimeMethod::Mehlich1976 => methods::mehlich_1976(test)?,
        LimeMethod::Texture => methods::texture(test, ph, target_ph)?,
    };
    Ok(dressed(test, method.name().into(), ph, target_ph, found))
}

/// The soil's pH in water, if the target does not lie below it.
fn checked_target(test: &SoilTest, target_ph: f64) -> Result<f64> {
    let ph = test.ph_in_water()?;
    bounds::PH.named("target_ph").check(target_ph)?;
    if target_ph >= ph {
        return Ok(ph);
    }
    Err(Error::inconsistent(
        format!("the target pH {target_ph} lies below the soil's pH {ph}, and lime only raises it"),
        "Do not lime. To lower the pH, ask for sulfur.",
    ))
}

/// Lime by a table of the user's, or one of ours named by key.
///
/// # Errors
/// As [`lime_requirement`].
pub fn lime_from_table(test: &SoilTest, target_ph: f64, table: &LimeTable) -> Result<LimeNeed> {
    let ph = checked_target(test, target_ph)?;
    let name = format!("table {}", super::library::key(table));
    Ok(dressed(test, name, ph, target_ph, methods::by_table(test, target_ph, table)?))
}

fn dressed(test: &SoilTest, method: String, ph: f64, target_ph: f64, found: Found) -> LimeNeed {
    let Found { mut rate_kg_ha, of, mut pure_kg_ha, range_kg_ha, depth_m, aims, steps, citation, mut notes } = found;
    let mut range_kg_ha = range_kg_ha;
    if ph >= target_ph {
        (rate_kg_ha, pure_kg_ha, range_kg_ha) = (0.0, pure_kg_ha.map(|_| 0.0), None);
        notes.push(format!("Do not lime: the pH is {ph}, which is the target."));
    } else if rate_kg_ha <= 0.0 {
        notes.push("Do not lime: the method finds no acidity to neutralize.".into());
    }
    if let (Some(buffer), Some(buffer_ph)) = (test.input().buffer, test.buffer_ph())
        && buffer.lime_index.is_none()
        && buffer.value != buffer_ph
    {
        notes.push(format!(
            "The buffer reading of {} was taken as a lime index, ten times the buffer pH, so the buffer pH is {buffer_ph}: say lime_index if that is right, and ask the lab if it is not.",
            buffer.value
        ));
    }
    if citation.provenance == Provenance::Memory {
        notes.push("From memory: nobody has checked this method against its source.".into());
    }
    LimeNeed {
        schema: super::SCHEMA,
        method,
        ph,
        target_ph: aims.then_some(target_ph),
        rate_kg_ha,
        of,
        pure_kg_ha,
        range_kg_ha,
        depth_m,
        steps,
        source: citation.to_string(),
        notes,
        assumptions: test.assumed().to_vec(),
    }
}

/// kg/ha of calcium carbonate that neutralizes an acidity in a layer of soil: 50 mg for a meq.
///
/// # Errors
/// An argument out of its range.
///
/// ```
/// // a 15 cm layer of 2,240,000 kg/ha
/// let lime = dibble::fertility::carbonate_for_acidity_kg_ha(1.0, 0.15, 2.24 / 1.5)?;
/// assert!((lime - 1120.0).abs() < 1e-6);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn carbonate_for_acidity_kg_ha(acidity_meq: f64, depth_m: f64, bulk_density_g_cm3: f64) -> Result<f64> {
    let acidity = bounds::MEQ.named("acidity_meq").check(acidity_meq)?;
    // meq/100 g x 50 mg = 500 mg of carbonate in a kg of soil
    units::ppm_to_kg_ha(acidity * 500.0, depth_m, bulk_density_g_cm3)
}

/// What is assumed when a rate of agricultural lime is turned into a rate of some material.
pub(super) fn usual_quality() -> Assumed {
    Assumption::UsualLime.assumed()
}
