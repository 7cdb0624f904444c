//! Lime, sulfur or neither: the answer for a block, with product, depth, splitting and caps.

use super::lime::{LimeMethod, LimeNeed, LimeOptions, lime_requirement, usual_quality};
use super::lime_table::LimeBasis;
use super::liming_material::{FinenessRule, LimingMaterial};
use super::soil_test::KG_HA_PER_LB_ACRE;
use super::sulfur::{SULFUR_CAP_KG_HA, SulfurNeed, SulfurQuestion, SulfurTable, spreadings, sulfur_need};
use super::target_ph::{PhTarget, Stage};
use super::{Library, SoilTest};
use crate::assumption::{Assumed, Assumption};
use crate::bounds;
use crate::error::{Error, Result};
use crate::units::{System, show};
use crate::words::words;
use serde::{Deserialize, Serialize};

/// Lime over living roots in one application, kg/ha: 1 ton/acre, the low end of "1 to 2 tons" (from memory); the user's to change.
pub const LIME_CAP_KG_HA: f64 = 2000.0 * KG_HA_PER_LB_ACRE;
/// Depth that lime is worked into before planting, m: 7 in, the middle of 6 to 8.
const WORKED_IN_M: f64 = 7.0 * 0.0254;
/// Depth that surface lime is reckoned for, m: 4 in.
const SURFACE_M: f64 = 4.0 * 0.0254;

words! {
    /// What to do about the pH.
    pub enum PhVerdict: "pH verdict" {
        /// Lime.
        Lime = "lime",
        /// The pH is where the species wants it.
        DoNotLime = "do not lime",
        /// It is above the range: no lime, and sulfur if it can help.
        TooHigh = "too high",
    }
}

/// The question that [`advise_lime`] answers.
#[derive(Debug, Clone, PartialEq)]
pub struct LimeQuestion {
    /// What the species wants, by the source that the user named.
    pub target: PhTarget,
    /// Before planting or among trees.
    pub stage: Stage,
    /// The lab's method.
    pub method: LimeMethod,
    /// What the method may take into account.
    pub options: LimeOptions,
    /// Depth that the lime is worked into, m; 7 in before planting, 4 in on the surface where it is `None`.
    pub depth_m: Option<f64>,
    /// The material, and how its fineness counts.
    pub material: Option<(LimingMaterial, FinenessRule)>,
    /// Most lime in one application over living roots, kg/ha.
    pub cap_kg_ha: f64,
    /// Is magnesium below the optimum by the soil test?
    pub magnesium_short: Option<bool>,
    /// Units that the sentences are written in.
    pub units: System,
}

impl LimeQuestion {
    /// A question with the usual depth and cap and no material.
    pub fn new(target: PhTarget, stage: Stage, method: LimeMethod) -> Self {
        let (options, cap_kg_ha) = (LimeOptions::default(), LIME_CAP_KG_HA);
        Self { target, stage, method, options, depth_m: None, material: None, cap_kg_ha, magnesium_short: None, units: System::default() }
    }
}

/// One spreading of lime.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LimeApplication {
    /// Years from now.
    pub year: u32,
    /// When and how, in words.
    pub when: String,
    /// Material, kg/ha.
    pub rate_kg_ha: f64,
}

/// What to do about the pH of a block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LimeAdvice {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// What to do.
    pub verdict: PhVerdict,
    /// Why, with the source of the target.
    pub why: String,
    /// The requirement for the depth, where lime is due.
    pub need: Option<LimeNeed>,
    /// Lime of the material in all, kg/ha.
    pub material_kg_ha: f64,
    /// Effective value of the material, a fraction of pure carbonate.
    pub effective_value: Option<f64>,
    /// Cost of the material, a hectare.
    pub cost_per_ha: Option<f64>,
    /// The spreadings.
    pub applications: Vec<LimeApplication>,
    /// Sulfur, where the pH is too high.
    pub sulfur: Option<SulfurNeed>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

/// Lime, sulfur or neither, by the target of a named source.
///
/// Lime is due where the pH lies below the range; before planting it is worked in at once, among trees it is spread on
/// the surface for the top 4 in, at most `cap_kg_ha` at a time and once a year.
///
/// # Errors
/// No pH; the method's own refusals; a material or cap out of range, or a cap that would take more than 50 years.
///
/// ```
/// use dibble::fertility::{Library, LimeMethod, LimeQuestion, PhTable, PhVerdict, SoilTest, SoilTestInput, Stage, advise_lime, ph_targets};
/// let target = ph_targets("Fraser fir", &Library::<PhTable>::shipped()?)?.by("msu-soil-ph")?.clone();
/// let test = SoilTest::new(SoilTestInput { ph: Some(5.7), ..SoilTestInput::default() })?;
/// let advice = advise_lime(&test, &LimeQuestion::new(target, Stage::Established, LimeMethod::Mehlich))?;
/// assert_eq!(advice.verdict, PhVerdict::DoNotLime);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn advise_lime(test: &SoilTest, question: &LimeQuestion) -> Result<LimeAdvice> {
    let ph = test.ph_in_water()?;
    let (target, stage) = (&question.target, question.stage);
    let (low, high) = (target.row.low, target.row.high);
    let by = format!("{} wants pH {low} to {high} ({})", target.species, target.source);
    let mut advice = LimeAdvice {
        schema: super::SCHEMA,
        verdict: PhVerdict::DoNotLime,
        why: format!("The pH is {ph}; {by}."),
        need: None,
        material_kg_ha: 0.0,
        effective_value: None,
        cost_per_ha: None,
        applications: Vec::new(),
        sulfur: None,
        cautions: Vec::new(),
        assumptions: test.assumed().to_vec(),
    };
    let aim = target.aim(stage);
    if ph > high {
        advice.verdict = PhVerdict::TooHigh;
        if let Some(limit) = target.row.fails_above.filter(|limit| ph > *limit) {
            advice.cautions.push(format!("{} does poorly above pH {limit}.", target.species));
        }
        advice.cautions.push("Spread no lime, no wood ash and no nitrate of lime here.".into());
        advice.sulfur = too_high(test, ph, high, stage, question.units)?;
        return Ok(advice);
    }
    if ph >= low || ph >= aim {
        return Ok(advice);
    }
    advice.verdict = PhVerdict::Lime;
    if !target.aim_is_printed(stage) {
        advice.assumptions.push(Assumption::TargetMiddle.with(aim));
    }
    lime(test, question, aim, &mut advice)?;
    Ok(advice)
}

fn too_high(test: &SoilTest, ph: f64, high: f64, stage: Stage, units: System) -> Result<Option<SulfurNeed>> {
    let Some(class) = test.input().texture else { return Ok(None) };
    let question = SulfurQuestion {
        ph,
        target_ph: high,
        texture: class.into(),
        free_carbonate: test.input().free_carbonate,
        living_roots: stage == Stage::Established,
        cap_kg_ha: SULFUR_CAP_KG_HA,
        units,
    };
    sulfur_need(&question, &Library::<SulfurTable>::shipped()?).map(Some)
}

fn lime(test: &SoilTest, question: &LimeQuestion, aim: f64, advice: &mut LimeAdvice) -> Result<()> {
    let established = question.stage == Stage::Established;
    if question.depth_m.is_none() && established {
        advice.assumptions.push(Assumption::SurfaceDepth.assumed());
    }
    let depth_m = question.depth_m.unwrap_or(if established { SURFACE_M } else { WORKED_IN_M });
    let need = lime_requirement(test, aim, question.method, &question.options)?.for_depth(depth_m)?;
    advice.material_kg_ha = need.rate_kg_ha;
    if let Some((material, rule)) = &question.material {
        let cce = material.checked_equivalent()?;
        advice.material_kg_ha = match need.pure_kg_ha {
            Some(pure) => {
                let value = material.effective_value(*rule)?;
                if value <= 0.0 {
                    return Err(Error::inconsistent(format!("{} neutralizes nothing", material.name), "Check its sieve analysis."));
                }
                advice.effective_value = Some(value);
                pure / value
            }
            None => {
                advice.assumptions.push(usual_quality());
                need.rate_kg_ha * 0.90 / cce
            }
        };
        advice.cost_per_ha = material.price_per_t.map(|price| price * advice.material_kg_ha / 1000.0);
    } else if need.of == LimeBasis::PureCarbonate {
        advice.cautions.push("The rate is for pure, fine carbonate: divide it by the effective value of your lime.".into());
    }
    let cap = bounds::KG_HA.named("cap_kg_ha").check(question.cap_kg_ha)?;
    let times = if established { spreadings(advice.material_kg_ha, cap)? } else { 1 };
    for year in 0..times {
        let when = match (established, year) {
            (false, _) => {
                format!("before planting, worked in {} deep, months ahead if you can", show::soil_layer(0.1524, 0.2032, question.units))
            }
            (true, 0) => "on the surface, in fall or early spring, off the foliage".to_string(),
            (true, _) => "on the surface a year later, after a new pH test".to_string(),
        };
        advice.applications.push(LimeApplication { year, when, rate_kg_ha: advice.material_kg_ha / f64::from(times) });
    }
    if advice.material_kg_ha <= 0.0 {
        advice.applications.clear();
        advice.cautions.push("The pH is low and the method finds no acidity to neutralize: have both measured again.".into());
    }
    if established {
        let a_year = if question.units == System::Us { "an inch or so" } else { "2 or 3 cm" };
        advice.cautions.push(format!("Surface lime moves down slowly, {a_year} in a year: it will not mend the subsoil soon."));
        advice.cautions.push(format!(
            "At most {} in one spreading over living roots (from memory; yours to change).",
            show::mass_per_area(cap, question.units)
        ));
    }
    advice.cautions.push("Do not exceed the rate: over-liming brings on a shortage of manganese.".into());
    match question.magnesium_short {
        Some(true) => advice.cautions.push("Magnesium is below the optimum by the soil test: lime with dolomite.".into()),
        Some(false) => advice.cautions.push("Magnesium is not below the optimum by the soil test: calcitic lime will do.".into()),
        None => {}
    }
    advice.need = Some(need);
    Ok(())
}
