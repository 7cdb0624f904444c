//! A lab sheet as it is written: pH, buffer, nutrients with unit, form and extractant.

use super::{Extractant, Form, Meaning, Nutrient, Reported, named_form};
use crate::date::Date;
use crate::error::{Error, Result};
use crate::soil::TextureClass;
use crate::words::words;
use serde::{Deserialize, Serialize};

words! {
    /// What the pH electrode stood in.
    pub enum PhMethod: "pH method" {
        /// Soil and water.
        Water = "water" | "H2O",
        /// Dilute calcium chloride, which reads lower.
        CalciumChloride = "calcium chloride" | "CaCl2" | "0.01 M CaCl2",
    }
}

words! {
    /// The buffer of a lime test. Each starts at its own pH and has its own equation.
    pub enum BufferMethod: "buffer method" {
        /// Mehlich (1976), with barium.
        Mehlich = "Mehlich" | "Mehlich buffer",
        /// Mehlich with calcium in place of barium.
        ModifiedMehlich = "modified Mehlich",
        /// Adams and Evans (1962).
        AdamsEvans = "Adams-Evans",
        /// Shoemaker, McLean and Pratt (1961).
        Smp = "SMP" | "Shoemaker-McLean-Pratt",
        /// Sikora (2006).
        Sikora = "Sikora" | "Sikora buffer",
        /// Woodruff.
        Woodruff = "Woodruff",
    }
}

words! {
    /// Units of soil tests.
    pub enum TestUnit: "unit of a soil test" {
        /// mg per kg of soil.
        Ppm = "ppm" | "mg/kg" | "ug/g",
        /// mg per liter of scooped soil; needs its weight per volume.
        MgDm3 = "mg/dm3" | "mg/L",
        /// lb per acre of the sampled layer.
        LbAcre = "lb/acre" | "lb/ac" | "lbs/acre" | "lbs/ac" | "lb/A" | "lbs/A" | "pp2m",
        /// kg per hectare of the sampled layer.
        KgHa = "kg/ha",
        /// Milliequivalents in 100 g of soil.
        Meq = "meq/100 g" | "meq/100g" | "cmol/kg" | "cmolc/kg" | "cmol(+)/kg",
        /// Percent by weight.
        Percent = "%" | "percent",
    }
}

/// Reading of a lime buffer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Buffer {
    /// Buffer pH, or the lime index (ten times it).
    pub value: f64,
    /// Which buffer.
    pub method: BufferMethod,
    /// Is the value a lime index? If it is not said, a value from 40 to 80 is taken as one and the result says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lime_index: Option<bool>,
}

/// One reported number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Measurement {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// Element or oxide. P and K need it; the others are taken as the element, and the result says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<Form>,
    /// The number as it stands on the sheet.
    pub value: Reported,
    /// Its unit.
    pub unit: TestUnit,
    /// What the lab extracted with. Needed: the number means nothing without it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extractant: Option<Extractant>,
    /// Set where the number was not measured by this extractant but computed from another.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub converted: Option<Converted>,
}

/// What holds for measurements that do not say it themselves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Usual {
    /// Form of P and K.
    pub form: Option<Form>,
    /// Unit.
    pub unit: Option<TestUnit>,
    /// Extractant.
    pub extractant: Option<Extractant>,
}

impl Measurement {
    /// The number with its unit, and with the name of the oxide where it was written as one: `45 ppm`, `104 lb/acre P2O5`.
    ///
    /// ```
    /// use dibble::fertility::{Measurement, Usual};
    /// let phosphate = Measurement::read("P2O5", "104 lb/acre", &Usual::default())?;
    /// assert_eq!(phosphate.as_written(), "104 lb/acre P2O5");
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn as_written(&self) -> String {
        let oxide = match self.form {
            Some(Form::Oxide) => super::nutrient::oxide_name(self.nutrient),
            _ => None,
        };
        format!("{} {}{}", self.value, self.unit, oxide.map_or(String::new(), |name| format!(" {name}")))
    }

    /// A value by the name it bears: "P (element)", "P2O5", "Mg".
    ///
    /// # Errors
    /// A name that is not known, or no unit.
    pub fn new(name: &str, value: Reported, usual: &Usual) -> Result<Self> {
        let (nutrient, form) = named_form(name)?;
        let form = form.or_else(|| usual.form.filter(|_| matches!(nutrient, Nutrient::P | Nutrient::K)));
        let unit = usual.unit.ok_or_else(|| {
            Error::missing(format!("the unit of {nutrient}"), format!("Write \"{value} ppm\", or give one unit for all values."))
        })?;
        Ok(Self { nutrient, form, value, unit, extractant: usual.extractant, converted: None })
    }

    /// A value as people write it: the number, then the unit and the extractant where they differ from the usual ones.
    ///
    /// # Errors
    /// As [`Measurement::new`], or text that is no such value.
    ///
    /// ```
    /// use dibble::fertility::{Extractant, Form, Measurement, Reported, TestUnit, Usual};
    /// let k = Measurement::read("K2O", "<10 lb/acre Mehlich-3", &Usual::default())?;
    /// assert_eq!((k.form, k.value, k.unit), (Some(Form::Oxide), Reported::Below(10.0), TestUnit::LbAcre));
    /// assert_eq!(k.extractant, Some(Extractant::Mehlich3));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn read(name: &str, text: &str, usual: &Usual) -> Result<Self> {
        let parts = || text.trim().match_indices(' ').map(|(at, _)| text.trim().split_at(at));
        let unit_of = |rest: &str| -> Option<(TestUnit, Option<Extractant>)> {
            let by = |(unit, extractant): (&str, &str)| Some((unit.parse().ok()?, Some(extractant.parse().ok()?)));
            let whole = rest.parse().ok().map(|unit| (unit, None));
            whole.or_else(|| rest.match_indices(' ').map(|(at, _)| rest.split_at(at)).find_map(by))
        };
        let found = parts().find_map(|(value, rest)| Some((value.parse::<Reported>().ok()?, unit_of(rest.trim())?)));
        if let Some((value, (unit, extractant))) = found {
            return Self::new(name, value, &Usual { unit: Some(unit), extractant: extractant.or(usual.extractant), ..*usual });
        }
        match text.parse() {
            Ok(value) => Self::new(name, value, usual),
            Err(e) if parts().next().is_none() => Err(e),
            Err(_) => {
                let hint = "Write \"25 ppm\", \"<1 lb/acre\" or \"ND\", the extractant behind if it differs.";
                Err(Error::unreadable(format!("the value of {name}"), text, "no number with a unit of soil tests stands there", hint))
            }
        }
    }
}

/// A class that the lab reports in place of a number.
///
/// A word means what the lab means by it: "high" is the optimum in one state and above it in the next. It is read by the
/// table of that lab, which the user names, or by the meaning that the user gives it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Rating {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// The lab's word.
    pub class: String,
    /// What it means, where no table of the lab's is at hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meaning: Option<Meaning>,
}

/// How a value by one extractant was computed from another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Converted {
    /// Key of the published conversion.
    pub by: String,
    /// Lowest value that the published conversions of this kind give, ppm of the element.
    pub low_ppm: f64,
    /// Highest value.
    pub high_ppm: f64,
}

/// What a lab sheet says, as it says it. [`super::SoilTest::new`] checks it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct SoilTestInput {
    /// Name of the sample.
    pub sample: String,
    /// The lab.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lab: Option<String>,
    /// The lab's own number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lab_number: Option<String>,
    /// Day of sampling.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub sampled: Option<Date>,
    /// Day of the last fertilizing or liming before it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub fertilized: Option<Date>,
    /// Depth of sampling, m, from the surface.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth_m: Option<f64>,
    /// Cores in the composite.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cores: Option<u32>,
    /// Bulk density of the layer, g/cm3.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bulk_density_g_cm3: Option<f64>,
    /// Weight of a volume of the dried, scooped soil, g/cm3, as labs that report mg/dm3 give it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scoop_density_g_cm3: Option<f64>,
    /// The lab's own factor from ppm to lb/acre, where it prints one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lb_acre_per_ppm: Option<f64>,
    /// Soil pH.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ph: Option<f64>,
    /// What the pH was measured in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ph_method: Option<PhMethod>,
    /// What to add to a pH in calcium chloride to get the one in water; labs print it (0.5 to 0.7, from memory).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub calcium_chloride_offset: Option<f64>,
    /// Reading of the lime buffer; labs leave it out on soils that are not acid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub buffer: Option<Buffer>,
    /// Exchangeable acidity, meq/100 g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exchangeable_acidity_meq: Option<f64>,
    /// Exchangeable aluminum, meq/100 g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exchangeable_aluminum_meq: Option<f64>,
    /// Cation exchange capacity as the lab prints it, meq/100 g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cec_meq: Option<f64>,
    /// Organic matter, percent by weight.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub organic_matter_pct: Option<f64>,
    /// Texture class.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub texture: Option<TextureClass>,
    /// Does the soil fizz with acid?
    #[serde(skip_serializing_if = "Option::is_none")]
    pub free_carbonate: Option<bool>,
    /// The nutrients.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub measured: Vec<Measurement>,
    /// Nutrients that the lab only rates.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rated: Vec<Rating>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_read_with_unit_and_extractant_or_with_the_usual_ones() {
        let usual = Usual { form: Some(Form::Element), unit: Some(TestUnit::Ppm), extractant: Some(Extractant::Mehlich3) };
        let read = |name: &str, text: &str| Measurement::read(name, text, &usual);
        let plain = read("P", "25").unwrap();
        assert_eq!((plain.form, plain.value, plain.unit), (Some(Form::Element), Reported::Measured(25.0), TestUnit::Ppm));
        assert_eq!(read("Zn", "ND").unwrap().form, None);
        let bray = read("P (oxide)", "< 4.5 meq/100 g weak Bray").unwrap();
        assert_eq!((bray.value, bray.unit, bray.form), (Reported::Below(4.5), TestUnit::Meq, Some(Form::Oxide)));
        assert_eq!(bray.extractant, Some(Extractant::BrayP1));
        assert_eq!(
            Measurement::read("Mg", "85", &Usual::default()).unwrap_err().to_string(),
            "the unit of Mg is missing. Write \"85 ppm\", or give one unit for all values."
        );
        assert_eq!(
            read("K", "12 bushels").unwrap_err().to_string(),
            "cannot read the value of K \"12 bushels\": no number with a unit of soil tests stands there. Write \"25 ppm\", \"<1 lb/acre\" or \"ND\", the extractant behind if it differs."
        );
        assert!(read("K", "IS").unwrap_err().to_string().contains("leave the measurement out"));
    }
}
