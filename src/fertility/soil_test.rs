//! One soil test: what the lab reported, checked, with every value as mg of the element in a kg of soil beside it.

use super::sheet::{Buffer, Measurement, PhMethod, SoilTestInput, TestUnit};
use super::{DetectionPolicy, Extractant, Form, Nutrient, Reported, to_element};
use crate::assumption::{Assumed, Assumption};
use crate::bounds;
use crate::error::{Error, Result};
use crate::units::{KG_PER_LB, M2_PER_ACRE, SLICE_BULK_DENSITY_G_CM3, ppm_to_kg_ha};
use serde::{Deserialize, Serialize};

/// kg/ha in a lb/acre.
pub(super) const KG_HA_PER_LB_ACRE: f64 = KG_PER_LB * 1e4 / M2_PER_ACRE;

/// A measurement with its content of the element.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// What the lab extracted with.
    pub extractant: Extractant,
    /// The element, mg per kg of soil.
    pub ppm: Reported,
    /// As the sheet has it.
    pub given: Measurement,
}

/// A checked soil test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "SoilTestInput", into = "SoilTestInput")]
pub struct SoilTest {
    input: SoilTestInput,
    values: Vec<Value>,
    buffer_ph: Option<f64>,
    assumed: Vec<Assumed>,
}

impl SoilTest {
    /// Checks a lab sheet and turns its values into mg of the element per kg of soil.
    ///
    /// # Errors
    /// Every fault of the sheet at once: numbers out of range, P or K without a form, a value without an extractant,
    /// a unit that cannot be converted, the same nutrient twice by the same extractant.
    ///
    /// ```
    /// use dibble::fertility::{Extractant, Form, Measurement, Nutrient, Reported, SoilTest, SoilTestInput, TestUnit};
    /// let test = SoilTest::new(SoilTestInput {
    ///     depth_m: Some(0.2032), // 8 in
    ///     measured: vec![Measurement {
    ///         nutrient: Nutrient::P,
    ///         form: Some(Form::Element),
    ///         value: Reported::Measured(60.0),
    ///         unit: TestUnit::LbAcre,
    ///         extractant: Some(Extractant::Mehlich3),
    ///         converted: None,
    ///     }],
    ///     ..SoilTestInput::default()
    /// })?;
    /// let p = test.value(Nutrient::P, Extractant::Mehlich3).and_then(|v| match v.ppm {
    ///     Reported::Measured(ppm) => Some(ppm),
    ///     _ => None,
    /// });
    /// assert_eq!(p.map(|ppm| ppm.round()), Some(25.0)); // 60 lb/acre in 8 in of soil
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(input: SoilTestInput) -> Result<Self> {
        let mut problems = range_problems(&input);
        let mut assumed = Vec::new();
        if input.ph.is_some() && input.ph_method.is_none() {
            assumed.push(Assumption::PhInWater.assumed());
        }
        if let Some(offset) = input.calcium_chloride_offset.filter(|_| input.ph_method == Some(PhMethod::CalciumChloride)) {
            assumed.push(Assumption::CalciumChlorideOffset.with(offset));
        }
        let buffer_ph = input.buffer.map(|b| buffer_ph(b, &mut assumed)).transpose().unwrap_or_else(|e| {
            problems.push(e);
            None
        });
        let mut values: Vec<Value> = Vec::new();
        for given in &input.measured {
            match value(&input, given, &mut assumed) {
                Ok(value) if values.iter().any(|v| v.nutrient == value.nutrient && v.extractant == value.extractant) => {
                    problems.push(Error::inconsistent(
                        format!("{} by {} stands twice in one test", value.nutrient, value.extractant),
                        "Give re-runs as tests of their own.",
                    ));
                }
                Ok(value) => values.push(value),
                Err(error) => problems.push(error),
            }
        }
        for (i, rated) in input.rated.iter().enumerate() {
            if rated.class.trim().is_empty() {
                problems.push(Error::missing(format!("the class of {}", rated.nutrient), "Give the lab's word, such as \"high\"."));
            }
            let numbered = values.iter().any(|v| v.nutrient == rated.nutrient);
            if numbered || input.rated.iter().take(i).any(|r| r.nutrient == rated.nutrient) {
                problems.push(Error::inconsistent(
                    format!("{} has a class of the lab beside another value", rated.nutrient),
                    "Keep the number: a class is read only where there is none. Give each nutrient once.",
                ));
            }
        }
        assumed.dedup_by(|a, b| a.key == b.key);
        Error::several(problems).map_or(Ok(Self { input, values, buffer_ph, assumed }), Err)
    }

    /// What was given.
    pub fn input(&self) -> &SoilTestInput {
        &self.input
    }
    /// Every measured nutrient.
    pub fn values(&self) -> &[Value] {
        &self.values
    }
    /// The nutrient by this extractant.
    pub fn value(&self, nutrient: Nutrient, extractant: Extractant) -> Option<&Value> {
        self.values.iter().find(|v| v.nutrient == nutrient && v.extractant == extractant)
    }
    /// The values of one nutrient, one for each extractant.
    pub fn values_of(&self, nutrient: Nutrient) -> impl Iterator<Item = &Value> {
        self.values.iter().filter(move |v| v.nutrient == nutrient)
    }
    /// Buffer pH, the lime index divided by ten.
    pub fn buffer_ph(&self) -> Option<f64> {
        self.buffer_ph
    }
    /// What was taken for granted.
    pub fn assumed(&self) -> &[Assumed] {
        &self.assumed
    }

    /// Soil pH in water.
    ///
    /// # Errors
    /// No pH; or a pH in calcium chloride and no offset: targets and lime equations hold for water.
    pub fn ph_in_water(&self) -> Result<f64> {
        let ph = self.input.ph.ok_or_else(|| Error::missing("the soil pH", "Give ph from the lab sheet."))?;
        match (self.input.ph_method, self.input.calcium_chloride_offset) {
            (Some(PhMethod::CalciumChloride), Some(offset)) => Ok(ph + offset),
            (Some(PhMethod::CalciumChloride), None) => Err(Error::inconsistent(
                format!("pH {ph} was measured in calcium chloride, and targets and lime equations hold for water"),
                "Give the pH in water, or the lab's calcium_chloride_offset (0.5 to 0.7, from memory).",
            )),
            _ => Ok(ph),
        }
    }

    /// lb/acre in the sampled layer for 1 ppm: the lab's factor, or from the depth, or 2 where neither is known.
    pub fn lb_acre_per_ppm(&self) -> f64 {
        slice_factor(&self.input, &mut Vec::new())
    }

    /// Extracted amount of an element in the sampled layer, kg/ha.
    ///
    /// kg/ha = ppm x 10 x depth (m) x bulk density (g/cm3); the trade's density where none is given.
    ///
    /// # Errors
    /// No depth, or a concentration out of range.
    pub fn layer_kg_ha(&self, ppm: f64) -> Result<f64> {
        let depth_m = self.input.depth_m.ok_or_else(|| Error::missing("depth_m", "Give the sampling depth; 6 in is 0.152 m."))?;
        ppm_to_kg_ha(ppm, depth_m, self.input.bulk_density_g_cm3.unwrap_or(SLICE_BULK_DENSITY_G_CM3))
    }
}

impl TryFrom<SoilTestInput> for SoilTest {
    type Error = Error;
    fn try_from(input: SoilTestInput) -> Result<Self> {
        Self::new(input)
    }
}

impl From<SoilTest> for SoilTestInput {
    fn from(test: SoilTest) -> Self {
        test.input
    }
}

/// Mean of one nutrient over several tests, ppm of the element.
///
/// # Errors
/// No test has it; tests by different extractants, which have no common mean; a value below detection that `policy`
/// gives no number for.
pub fn mean_ppm(tests: &[SoilTest], nutrient: Nutrient, policy: DetectionPolicy) -> Result<f64> {
    let values: Vec<&Value> = tests.iter().flat_map(|t| t.values_of(nutrient)).collect();
    let mut methods: Vec<Extractant> = values.iter().map(|v| v.extractant).collect();
    methods.sort_unstable();
    methods.dedup();
    if methods.len() > 1 {
        let names: Vec<&str> = methods.iter().map(|m| m.name()).collect();
        return Err(Error::inconsistent(
            format!("{nutrient} was extracted in {} ways ({}), and their mean means nothing", names.len(), names.join(", ")),
            "Take the tests of one extractant at a time.",
        ));
    }
    let numbers: Option<Vec<f64>> = values.iter().map(|v| v.ppm.number(policy)).collect();
    match numbers {
        Some(numbers) if !numbers.is_empty() => Ok(numbers.iter().sum::<f64>() / numbers.len() as f64),
        Some(_) => Err(Error::missing(format!("{nutrient} in these tests"), "Give tests that report it.")),
        None => Err(Error::missing(
            format!("a number for {nutrient} below detection"),
            "Choose another policy (limit, half, zero), or leave these tests out.",
        )),
    }
}

fn range_problems(input: &SoilTestInput) -> Vec<Error> {
    let meq = |name| bounds::MEQ.named(name);
    [
        (bounds::SOIL_DEPTH_M.named("depth_m"), input.depth_m),
        (bounds::BULK_DENSITY_G_CM3, input.bulk_density_g_cm3),
        (bounds::BULK_DENSITY_G_CM3.named("scoop_density_g_cm3"), input.scoop_density_g_cm3),
        (bounds::LB_ACRE_PER_PPM, input.lb_acre_per_ppm),
        (bounds::PH, input.ph),
        (bounds::PH_OFFSET, input.calcium_chloride_offset),
        (meq("exchangeable_acidity_meq"), input.exchangeable_acidity_meq),
        (meq("exchangeable_aluminum_meq"), input.exchangeable_aluminum_meq),
        (meq("cec_meq"), input.cec_meq),
        (bounds::ORGANIC_PCT, input.organic_matter_pct),
    ]
    .into_iter()
    .filter_map(|(bound, value)| bound.check_option(value).err())
    .chain(
        input
            .depth_m
            .filter(|d| *d == 0.0)
            .map(|_| Error::inconsistent("a sample of depth 0 holds no soil", "Give the depth in m; 6 in is 0.152 m.")),
    )
    .collect()
}

fn buffer_ph(buffer: Buffer, assumed: &mut Vec<Assumed>) -> Result<f64> {
    let as_index = |value: f64| bounds::LIME_INDEX.check(value).map(|v| v / 10.0);
    match buffer.lime_index {
        Some(true) => as_index(buffer.value),
        None if bounds::LIME_INDEX.contains(buffer.value) => {
            assumed.push(Assumption::LimeIndexRead.with(buffer.value));
            as_index(buffer.value)
        }
        _ => bounds::BUFFER_PH.check(buffer.value),
    }
}

/// lb/acre for 1 ppm; notes what it had to assume.
fn slice_factor(input: &SoilTestInput, assumed: &mut Vec<Assumed>) -> f64 {
    match (input.lb_acre_per_ppm, input.depth_m) {
        (Some(factor), _) => factor,
        (None, Some(depth_m)) => {
            let density = input.bulk_density_g_cm3.unwrap_or_else(|| {
                assumed.push(Assumption::SliceDensity.assumed());
                SLICE_BULK_DENSITY_G_CM3
            });
            10.0 * depth_m * density / KG_HA_PER_LB_ACRE
        }
        (None, None) => {
            assumed.push(Assumption::SliceFactor.assumed());
            2.0
        }
    }
}

/// mg of the element in a meq, for the elements that are counted so (atomic weight over charge).
pub(super) fn mg_per_meq(nutrient: Nutrient) -> Option<f64> {
    match nutrient {
        Nutrient::Ca => Some(40.078 / 2.0),
        Nutrient::Mg => Some(24.305 / 2.0),
        Nutrient::K => Some(39.0983),
        Nutrient::Na => Some(22.989_77),
        Nutrient::Al => Some(26.981_54 / 3.0),
        _ => None,
    }
}

fn value(input: &SoilTestInput, given: &Measurement, assumed: &mut Vec<Assumed>) -> Result<Value> {
    let nutrient = given.nutrient;
    let form = match (given.form, nutrient) {
        (Some(form), _) => form,
        (None, Nutrient::P | Nutrient::K) if given.unit != TestUnit::Meq => {
            let oxide = if nutrient == Nutrient::P { "P2O5" } else { "K2O" };
            return Err(Error::missing(
                format!("the form of {nutrient}"),
                format!("Say whether {} {} is the element {nutrient} or the oxide {oxide}.", given.value, given.unit),
            ));
        }
        _ => {
            if super::nutrient::oxide_per_element(nutrient).is_some() {
                assumed.push(Assumption::ElementForm.with(nutrient));
            }
            Form::Element
        }
    };
    let extractant = given.extractant.ok_or_else(|| {
        Error::missing(
            format!("the extractant of {nutrient}"),
            "The lab sheet or the lab's web page names it (Mehlich-3, Bray P1, ...); the number means nothing without it.",
        )
    })?;
    let per_unit = match given.unit {
        TestUnit::Ppm => 1.0,
        TestUnit::Percent => 1e4,
        TestUnit::LbAcre => 1.0 / slice_factor(input, assumed),
        TestUnit::KgHa => 1.0 / (slice_factor(input, assumed) * KG_HA_PER_LB_ACRE),
        TestUnit::MgDm3 => {
            1.0 / input.scoop_density_g_cm3.ok_or_else(|| {
                Error::missing("scoop_density_g_cm3", "mg/dm3 is by volume: give the weight per volume from the lab sheet, in g/cm3.")
            })?
        }
        TestUnit::Meq => {
            10.0 * mg_per_meq(nutrient)
                .ok_or_else(|| Error::inconsistent(format!("{nutrient} is not counted in meq/100 g"), "Give it in ppm or lb/acre."))?
        }
    };
    let element = to_element(nutrient, form, 1.0)?;
    let ppm = given.value.map(|v| v * element * per_unit);
    if let Some(number) = ppm.limit() {
        bounds::PPM.named(nutrient.name()).check(number)?;
    }
    Ok(Value { nutrient, extractant, ppm, given: given.clone() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fertility::BufferMethod;

    pub(crate) fn measured(nutrient: Nutrient, value: f64, unit: TestUnit, extractant: Extractant) -> Measurement {
        Measurement {
            nutrient,
            form: Some(Form::Element),
            value: Reported::Measured(value),
            unit,
            extractant: Some(extractant),
            converted: None,
        }
    }

    #[test]
    fn every_fault_of_a_sheet_is_told_at_once() {
        let p = Measurement { form: None, ..measured(Nutrient::P, 25.0, TestUnit::Ppm, Extractant::BrayP1) };
        let k = Measurement { extractant: None, ..measured(Nutrient::K, 90.0, TestUnit::Ppm, Extractant::BrayP1) };
        let error = SoilTest::new(SoilTestInput {
            ph: Some(62.0),
            buffer: Some(Buffer { value: 8.2, method: BufferMethod::Mehlich, lime_index: None }),
            measured: vec![p, k],
            ..SoilTestInput::default()
        })
        .unwrap_err();
        assert_eq!(
            error.to_string(),
            "4 problems:\n  - ph is 62: soil pH must be from 2.5 to 11. A soil lies between about 3.5 and 9; a value near 60 is a lime index (ten times the buffer pH).\n  - buffer_ph is 8.2: buffer pH must be from 4 to 8. The lab's buffer starts at 8.0 or below and only falls; a value near 60 is a lime index (ten times the buffer pH).\n  - the form of P is missing. Say whether 25 ppm is the element P or the oxide P2O5.\n  - the extractant of K is missing. The lab sheet or the lab's web page names it (Mehlich-3, Bray P1, ...); the number means nothing without it."
        );
    }

    #[test]
    fn a_lime_index_is_taken_only_by_word_or_with_a_note() {
        let with = |value, lime_index| {
            SoilTest::new(SoilTestInput {
                buffer: Some(Buffer { value, method: BufferMethod::Smp, lime_index }),
                ..SoilTestInput::default()
            })
        };
        let noted = with(62.0, None).unwrap();
        assert_eq!(noted.buffer_ph(), Some(6.2));
        assert_eq!(noted.assumed()[0].key, "lime_index_read");
        let told = with(62.0, Some(true)).unwrap();
        assert!(told.buffer_ph() == Some(6.2) && told.assumed().is_empty());
        assert!(with(62.0, Some(false)).unwrap_err().is_out_of_range());
        assert!(with(6.2, Some(true)).unwrap_err().to_string().starts_with("lime_index is 6.2: lime index must be from 40 to 80."));
    }

    #[test]
    fn calcium_chloride_needs_the_users_offset() {
        let mut input = SoilTestInput { ph: Some(5.2), ph_method: Some(PhMethod::CalciumChloride), ..SoilTestInput::default() };
        let error = SoilTest::new(input.clone()).unwrap().ph_in_water().unwrap_err();
        assert_eq!(
            error.to_string(),
            "pH 5.2 was measured in calcium chloride, and targets and lime equations hold for water. Give the pH in water, or the lab's calcium_chloride_offset (0.5 to 0.7, from memory)."
        );
        input.calcium_chloride_offset = Some(0.6);
        let test = SoilTest::new(input).unwrap();
        assert!((test.ph_in_water().unwrap() - 5.8).abs() < 1e-12);
        assert_eq!(test.assumed()[0].key, "calcium_chloride_offset");
    }

    #[test]
    fn json_keeps_a_test_and_unknown_keys_are_refused() {
        let test = SoilTest::new(SoilTestInput {
            sample: "upper".into(),
            ph: Some(5.4),
            measured: vec![measured(Nutrient::Mg, 42.0, TestUnit::Ppm, Extractant::Mehlich3)],
            ..SoilTestInput::default()
        })
        .unwrap();
        let text = serde_json::to_string(&test).unwrap();
        assert_eq!(serde_json::from_str::<SoilTest>(&text).unwrap(), test);
        assert!(serde_json::from_str::<SoilTest>("{\"sample\": \"x\", \"pH\": 5}").is_err());
        assert!(serde_json::from_str::<SoilTest>("{\"sample\": \"x\", \"ph\": 50}").is_err());
    }
}
