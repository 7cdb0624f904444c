//! Soil test to spoon: what a lab result means, lime, nutrients, and amounts for one tree.
//!
//! Amounts are arithmetic from published tables, not a nutrient management plan. A soil test is value, unit, form,
//! extractant and depth; nothing is converted silently between extractants. Interpretation tables are data with a
//! source each; where sources disagree they are shown side by side and the user names one.

mod conversion;
mod exchange;
mod interpret;
mod library;
mod nutrient;
mod reported;
mod soil_table;
mod soil_test;
mod usable;

pub use conversion::{Conversion, convert_extractant};
pub use exchange::{AcidityTerm, Base, Divisors, Exchange, OrganicNitrogen, cec_by_summation, organic_nitrogen};
pub use interpret::{Comparison, Disagreement, Interpretation, Reading, compare_tables, interpret, manganese_index};
pub use library::{Citation, Entry, Library, Provenance};
pub use nutrient::{Extractant, Form, Nutrient, named_form, to_element};
pub use reported::{DetectionPolicy, Reported};
pub use soil_table::{Class, Edge, Meaning, NutrientClasses, Rate, SoilTable};
pub use soil_test::{Buffer, BufferMethod, Converted, Measurement, PhMethod, SoilTest, SoilTestInput, TestUnit, Value, mean_ppm};
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
