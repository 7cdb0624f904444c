//! One block from its soil test to the year's lime and nutrients, with what the user still has to decide.

mod explain;
mod make;
mod mix;

use super::{
    BuildUp, Comparison, Conversion, DetectionPolicy, Exchange, Feeding, FinenessRule, Ground, Interpretation, LIME_CAP_KG_HA, Library,
    LimeAdvice, LimeMethod, LimeOptions, LimingMaterial, NITROGEN_CAP_KG_HA, Need, NitrogenNeed, NitrogenTable, NutrientNeed, PhTable,
    PhTargets, Rates, RemovalTable, SoilTable, SoilTest, Status, Usability, WaterLoad, WaterTest,
};
use crate::assumption::Assumed;
use crate::date::Date;
use crate::error::Result;
use crate::units::System;
use serde::{Deserialize, Serialize};

pub use make::recommend;
pub use mix::{Credit, ForTree, Mix, Round, Shed};

/// The tables that a recommendation reads: ours, with the user's own beside them.
#[derive(Debug, Clone, PartialEq)]
pub struct Tables {
    /// Interpretation of soil tests.
    pub soil: Library<SoilTable>,
    /// pH targets.
    pub ph: Library<PhTable>,
    /// Nitrogen.
    pub nitrogen: Library<NitrogenTable>,
    /// Removal at harvest.
    pub removal: Library<RemovalTable>,
    /// Conversions between extractants.
    pub conversion: Library<Conversion>,
}

impl Tables {
    /// The shipped tables that were read in their sources.
    ///
    /// # Errors
    /// Only if a shipped table is damaged.
    pub fn shipped() -> Result<Self> {
        Ok(Self {
            soil: Library::shipped()?,
            ph: Library::shipped()?,
            nitrogen: Library::shipped()?,
            removal: Library::shipped()?,
            conversion: Library::shipped()?,
        })
    }
}

/// What is known of a block and its soil test, and which tables to use. What is left out is asked for in the answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecommendInput {
    /// The soil test.
    pub test: SoilTest,
    /// Species, in English.
    pub species: String,
    /// Trees in a hectare, and where fertilizer lands.
    pub ground: Ground,
    /// Area of the block, ha, for totals.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
    /// Growing seasons since planting, 0 in the planting year; left out before planting.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub age_years: Option<u32>,
    /// Height of the trees, m, for nitrogen tables by height.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// To be sold this year?
    #[serde(default)]
    pub sale_year: bool,
    /// The day of asking.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub today: Date,
    /// The day of planting, if it is to come.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub planting: Option<Date>,
    /// Usual day of bud break.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub bud_break: Option<Date>,
    /// South of the equator?
    #[serde(default)]
    pub southern: bool,
    /// Key of the interpretation table.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub soil_table: Option<String>,
    /// Key of the table of pH targets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ph_table: Option<String>,
    /// Key of the nitrogen table.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nitrogen_table: Option<String>,
    /// Keys of conversions between extractants to make.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conversions: Vec<String>,
    /// The lab's lime method; by its buffer where it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lime_method: Option<LimeMethod>,
    /// What the lime method may take into account.
    #[serde(default)]
    pub lime_options: LimeOptions,
    /// The lime on offer; the answer is for the requirement's own kind of lime without it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lime_material: Option<LimingMaterial>,
    /// How its fineness counts.
    #[serde(default = "new_york")]
    pub fineness: FinenessRule,
    /// Depth that lime is worked into, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lime_depth_m: Option<f64>,
    /// Most lime in one spreading over living roots, kg/ha.
    #[serde(default = "lime_cap")]
    pub lime_cap_kg_ha: f64,
    /// What stands for a value below detection.
    #[serde(default = "half")]
    pub policy: DetectionPolicy,
    /// How P and K are built up where no table prints a rate.
    #[serde(default)]
    pub build_up: BuildUp,
    /// Make good what the harvest takes along?
    #[serde(default)]
    pub removal: bool,
    /// Does the nitrogen come as urea?
    #[serde(default)]
    pub urea: bool,
    /// The irrigation water's test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water: Option<WaterTest>,
    /// Irrigation of the year, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub irrigation_mm: Option<f64>,
    /// What can be bought or lies in the shed; needs stay nutrients without it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shed: Option<Shed>,
    /// What the ground gets anyway this year.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub credits: Vec<Credit>,
    /// Feedings whose last day comes before this day are over, and what they missed is not made up for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub not_before: Option<Date>,
    /// Most nitrogen in a year on treated ground, kg/ha, before a warning.
    #[serde(default = "nitrogen_cap")]
    pub n_cap_kg_ha: f64,
    /// Most nitrogen for a tree in a year, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_n_g_per_tree: Option<f64>,
    /// Units that the sentences of the answer are written in.
    #[serde(default)]
    pub units: System,
}

fn new_york() -> FinenessRule {
    FinenessRule::NewYork
}

fn lime_cap() -> f64 {
    LIME_CAP_KG_HA
}

fn nitrogen_cap() -> f64 {
    NITROGEN_CAP_KG_HA
}

fn half() -> DetectionPolicy {
    DetectionPolicy::Half
}

impl RecommendInput {
    /// A block with nothing chosen yet.
    pub fn new(test: SoilTest, species: &str, ground: Ground, today: Date) -> Self {
        Self {
            test,
            species: species.into(),
            ground,
            area_ha: None,
            age_years: None,
            height_m: None,
            sale_year: false,
            today,
            planting: None,
            bud_break: None,
            southern: false,
            soil_table: None,
            ph_table: None,
            nitrogen_table: None,
            conversions: Vec::new(),
            lime_method: None,
            lime_options: LimeOptions::default(),
            lime_material: None,
            fineness: new_york(),
            lime_depth_m: None,
            lime_cap_kg_ha: lime_cap(),
            policy: half(),
            build_up: BuildUp::default(),
            removal: false,
            urea: false,
            water: None,
            irrigation_mm: None,
            shed: None,
            credits: Vec::new(),
            not_before: None,
            n_cap_kg_ha: nitrogen_cap(),
            most_n_g_per_tree: None,
            units: System::default(),
        }
    }
}

/// The year's lime and nutrients of a block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Recommendation {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// How far the test can be used.
    pub status: Status,
    /// Why not further.
    pub usability: Usability,
    /// The test by the table that was named, or by the only one that fits.
    pub interpretation: Option<Interpretation>,
    /// The test by every table that fits, where none was named.
    pub comparison: Option<Comparison>,
    /// Cations on the exchange, where the lab's own buffer tells the acidity.
    pub exchange: Option<Exchange>,
    /// What the irrigation water brings.
    pub water: Option<WaterLoad>,
    /// What each source wants as pH.
    pub ph_targets: Option<PhTargets>,
    /// Lime, sulfur or neither.
    pub lime: Option<LimeAdvice>,
    /// Nitrogen for the year.
    pub nitrogen: Option<NitrogenNeed>,
    /// When the nitrogen goes out.
    pub feedings: Vec<Feeding>,
    /// Phosphate, potash and the rest.
    pub needs: Vec<NutrientNeed>,
    /// When and how the rest goes out.
    pub placement: String,
    /// Needs of the whole block, kg; empty without an area.
    pub block_needs: Vec<Need>,
    /// The needs as products: bags, cost, and the amount for a tree in each feeding.
    pub mix: Option<Mix>,
    /// What the user has to decide before the rest can be said.
    pub ask: Vec<String>,
    /// Amounts that can hurt.
    pub warnings: Vec<String>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Keys of the tables used.
    pub tables: Vec<String>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

impl Recommendation {
    /// The nitrogen feedings of the year with the amount of each, at the lowest rate.
    pub fn feeding_rates(&self) -> Vec<(&Feeding, Rates)> {
        let low = self.nitrogen.as_ref().map(|n| n.low);
        self.feedings.iter().filter_map(|f| Some((f, low?.times(f.share)))).collect()
    }
}

/// Cautions that go with every fertilizer answer.
pub const CAUTIONS: [&str; 6] = [
    "Arithmetic from published tables, not a certified nutrient management plan. Local nutrient-management rules and licensed practice go first.",
    "Keep fertilizer and lime away from wells, ponds, ditches and streams; load and fill on ground that does not drain there.",
    "Store it dry, on pallets, away from fuel, hay and seed; keep nitrates apart from everything that burns.",
    "Spread on dry foliage, off the needles and not against the trunk; too much on a narrow ring burns roots.",
    "Wear eye protection and gloves; lime dust and burnt lime hurt eyes and skin.",
    "Test the soil again every other year, and needles of good and bad trees apart.",
];
