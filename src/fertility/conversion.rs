//! Published conversions between extractants: on request only, by key, with their spread.

use super::library::entry;
use super::{Citation, Converted, DetectionPolicy, Extractant, Form, Library, Measurement, Nutrient, Reported, SoilTest, TestUnit};
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// A published conversion: `to = from x factor`, in ppm of the element.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Conversion {
    /// Name.
    pub id: String,
    /// Edition.
    pub edition: String,
    /// The nutrient it holds for.
    pub nutrient: Nutrient,
    /// Extractant of the lab.
    pub from: Extractant,
    /// Extractant of the answer.
    pub to: Extractant,
    /// Factor.
    pub factor: f64,
    /// Where it comes from.
    pub cite: Citation,
}

entry!(Conversion, "conversion between extractants", "extractant_conversions");

impl Conversion {
    fn find_faults(&self) -> Vec<Error> {
        let sound = self.factor > 0.0 && self.factor.is_finite() && self.from != self.to;
        let fault = || {
            Error::inconsistent(
                format!("{} to {} by a factor of {}", self.from, self.to, self.factor),
                "Give two extractants and a factor above 0.",
            )
        };
        (!sound).then(fault).into_iter().collect()
    }
}

/// The test with one more value, computed by the conversion that `key` names and marked as such.
///
/// Its spread is that of all conversions of the library for the same nutrient and extractants. One soil split among four
/// extractants read 6, 7, 57 and 70 lb P/acre, so a converted value is a guide at best.
///
/// # Errors
/// An unknown key, a test without that value, a value that is not a plain number, or one measured by that extractant.
///
/// ```
/// use dibble::fertility::{
///     Conversion, DetectionPolicy, Extractant, Form, Library, Measurement, Nutrient, Reported, SoilTest, SoilTestInput, TestUnit,
///     convert_extractant,
/// };
/// let p = Measurement {
///     nutrient: Nutrient::P,
///     form: Some(Form::Element),
///     value: Reported::Measured(20.0),
///     unit: TestUnit::Ppm,
///     extractant: Some(Extractant::BrayP1),
///     converted: None,
/// };
/// let test = SoilTest::new(SoilTestInput { measured: vec![p], ..SoilTestInput::default() })?;
/// let both = convert_extractant(&test, "bray-p1-to-mehlich-3", &Library::<Conversion>::shipped()?)?;
/// let mehlich = both.value(Nutrient::P, Extractant::Mehlich3).and_then(|v| v.ppm.number(DetectionPolicy::LeaveOut));
/// assert_eq!(mehlich, Some(27.0)); // 35 % above Bray
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn convert_extractant(test: &SoilTest, key: &str, library: &Library<Conversion>) -> Result<SoilTest> {
    let conversion = library.get(key)?;
    let Conversion { nutrient, from, to, factor, .. } = conversion.clone();
    let value = test
        .value(nutrient, from)
        .ok_or_else(|| Error::missing(format!("{nutrient} by {from} in the test"), format!("\"{key}\" converts {from} to {to}.")))?;
    let ppm = value.ppm.number(DetectionPolicy::LeaveOut).filter(|_| value.ppm.is_measured()).ok_or_else(|| {
        Error::inconsistent(
            format!("{nutrient} is reported as {} and cannot be converted", value.given.value),
            "Use a table of the lab's extractant.",
        )
    })?;
    let factors: Vec<f64> = library.iter().filter(|c| (c.nutrient, c.from, c.to) == (nutrient, from, to)).map(|c| c.factor).collect();
    let mut input = test.input().clone();
    input.measured.push(Measurement {
        nutrient,
        form: Some(Form::Element),
        value: Reported::Measured(ppm * factor),
        unit: TestUnit::Ppm,
        extractant: Some(to),
        converted: Some(Converted {
            by: super::library::key(conversion),
            low_ppm: ppm * factors.iter().copied().fold(factor, f64::min),
            high_ppm: ppm * factors.iter().copied().fold(factor, f64::max),
        }),
    });
    SoilTest::new(input)
}
