//! Soil test to spoon: what a lab result means, lime, nutrients, and amounts for one tree.
//!
//! Amounts are arithmetic from published tables, not a nutrient management plan. A soil test is value, unit, form,
//! extractant and depth; nothing is converted silently between extractants. Interpretation tables are data with a
//! source each; where sources disagree they are shown side by side and the user names one.

mod acidity;
mod blend;
mod conversion;
mod exchange;
mod foliar;
mod ground;
mod hand;
mod interpret;
mod library;
mod lime;
mod lime_advice;
mod lime_methods;
mod lime_table;
mod liming_material;
mod manure;
mod need;
mod nitrogen;
mod nutrient;
mod pale;
mod products;
mod recommend;
mod reported;
mod sheet;
mod soil_table;
mod soil_test;
mod sulfur;
mod target_ph;
mod usable;

pub use acidity::{
    AMMONIUM_CACO3_PER_N_LIMIT, AMMONIUM_SULFATE_CACO3_PER_N, AcidBalance, AcidYear, UREA_CACO3_PER_N, WaterLoad, WaterTest, acid_balance,
    water_lime_kg_ha, water_load,
};
pub use blend::{
    Amount, Bags, Blend, BlendConflict, BlendRequest, Clashing, Limit, Need, ShadowPrice, Supplied, TiedRange, blend, blend_conflict,
};
pub use conversion::{Conversion, convert_extractant};
pub use exchange::{AcidityTerm, Base, Divisors, Exchange, OrganicNitrogen, cec_by_summation, organic_nitrogen};
pub use foliar::{
    FoliarComparison, FoliarInput, FoliarReading, FoliarTable, FoliarTest, NeedleLine, NeedleRange, NeedleUnit, NeedleValue, PairLine,
    Standing, Tissue, compare_foliar, compare_pair, interpret_foliar,
};
pub use ground::{Ground, NITROGEN_CAP_KG_HA, Placement, Rates, nitrogen_warnings};
pub use hand::{HandAmount, HandInput, Scoops, SpreaderReading, SpreaderTest, by_hand, liquid_per_tree, product_for, spreader};
pub use interpret::{Comparison, Disagreement, Interpretation, Reading, compare_tables, interpret, manganese_index};
pub use library::{Citation, Entry, Library, Provenance};
pub use lime::{LimeMethod, LimeNeed, LimeOptions, RecentLime, carbonate_for_acidity_kg_ha, lime_from_table, lime_requirement};
pub use lime_advice::{LIME_CAP_KG_HA, LimeAdvice, LimeApplication, LimeQuestion, PhVerdict, advise_lime};
pub use lime_table::{LimeBasis, LimeMeasure, LimeTable};
pub use liming_material::{FinenessRule, LimingCompound, LimingMaterial, Sieves};
pub use manure::{Manure, ManureKind, compost_nitrogen_kg, manure_nitrogen_kg, manure_release};
pub use need::{
    BUILD_UP_YEARS, BuildUp, K2O_PER_PPM_KG_HA, NeedBasis, NeedContext, NutrientNeed, P2O5_PER_PPM_KG_HA, RemovalTable, nutrient_need,
};
pub use nitrogen::{
    Feeding, NitrogenNeed, NitrogenQuestion, NitrogenRow, NitrogenTable, SeasonQuestion, nitrogen_cautions, nitrogen_need, nitrogen_season,
};
pub use nutrient::{Extractant, Form, Nutrient, named_form, to_element};
pub use pale::{PaleCause, PaleDiagnosis, Sign, measured_signs, rank_pale};
pub use products::{Guarantee, Product};
pub use recommend::{CAUTIONS, Credit, ForTree, Mix, RecommendInput, Recommendation, Round, Shed, Tables, recommend};
pub use reported::{DetectionPolicy, Reported};
pub use sheet::{Buffer, BufferMethod, Converted, Measurement, PhMethod, Rating, SoilTestInput, TestUnit, Usual};
pub use soil_table::{Class, Edge, Meaning, NutrientClasses, Rate, SoilTable};
pub use soil_test::{SoilTest, Value, mean_ppm};
pub use sulfur::{
    CACO3_PER_S, OtherRate, SULFUR_CAP_KG_HA, SulfurNeed, SulfurQuestion, SulfurRow, SulfurTable, SulfurVerdict, TextureGroup, sulfur_need,
};
pub use target_ph::{PhRow, PhTable, PhTarget, PhTargets, Stage, ph_targets};
pub use usable::{Asked, Reason, Status, Usability, usability};

/// Version of the results of this module; readers refuse newer ones.
pub const SCHEMA: u32 = 1;

/// Reads the `schema` of a result and refuses one that is newer than this library.
fn known_schema<'de, D: serde::Deserializer<'de>>(deserializer: D) -> std::result::Result<u32, D::Error> {
    let schema = <u32 as serde::Deserialize>::deserialize(deserializer)?;
    if schema <= SCHEMA {
        return Ok(schema);
    }
    Err(serde::de::Error::custom(format!("schema {schema} is newer than this library reads ({SCHEMA}). Update dibble.")))
}
