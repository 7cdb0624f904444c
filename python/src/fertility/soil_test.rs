//! `SoilTest`.

use crate::fertility::tables::{self, PyTables};
use crate::gate::{choice, choice_or_none, compute, day_or_none, instances, number_or_none, quantity_or_none};
use crate::record::{self, class, literal};
use crate::{error, table};
use dibble::fertility::{
    Buffer, DetectionPolicy, Measurement, Rating, Reported, SoilTest, SoilTestInput, Usual, convert_extractant, mean_ppm,
};
use dibble::{Date, Error};
use pyo3::prelude::*;
use pyo3::types::{PyDate, PyDict, PyMapping, PyString};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

type Any<'py> = Bound<'py, PyAny>;

class! {
    /// One soil test as the lab sheet has it, checked: value, unit, form, extractant and depth.
    ///
    /// Parameters
    /// ----------
    /// sample, lab, lab_number : str, optional
    ///     Names of the sample and of the lab, and the lab's own number.
    /// sampled, fertilized : datetime.date or str, optional
    ///     Day of sampling, and of the last fertilizing or liming before it.
    /// depth_m : float or str, optional
    ///     Depth of sampling, m, or as text with its unit, "8 in".
    /// cores : int, optional
    ///     Cores in the composite.
    /// bulk_density_g_cm3, scoop_density_g_cm3 : float, optional
    ///     Density of the layer; weight of a volume of scooped soil, for labs that report mg/dm3.
    /// lb_acre_per_ppm : float, optional
    ///     The lab's own factor from ppm to lb/acre, where it prints one.
    /// ph : float, optional
    ///     Soil pH.
    /// ph_method : {"water", "calcium chloride"}, optional
    ///     What it was measured in; water is assumed, and noted.
    /// calcium_chloride_offset : float, optional
    ///     What to add to a pH in calcium chloride to get that in water.
    /// buffer : float, optional
    ///     Buffer pH, or the lime index (ten times it).
    /// buffer_method : str, optional
    ///     "Mehlich", "modified Mehlich", "Adams-Evans", "SMP", "Sikora", "Woodruff"; needed with `buffer`.
    /// lime_index : bool, optional
    ///     Is `buffer` a lime index? If it is not said, 40 to 80 is taken as one, and noted.
    /// exchangeable_acidity_meq, exchangeable_aluminum_meq, cec_meq : float, optional
    ///     meq/100 g.
    /// organic_matter_pct : float, optional
    ///     Percent by weight.
    /// texture : str, optional
    ///     Texture class, "silt loam".
    /// free_carbonate : bool, optional
    ///     Does the soil fizz with acid?
    /// measured : mapping or sequence of dicts
    ///     The nutrients by name: "P (element)", "P2O5", "K2O", "Mg". A value is a number, or text as on the sheet: "25",
    ///     "25 ppm", "<1 lb/acre", "ND", "60 lb/acre Bray P1". Or dicts as `to_dict` gives them, for a nutrient by
    ///     several extractants.
    /// rated : mapping or sequence of dicts
    ///     Nutrients that the lab only rates: its word by name, {"Mg": "low"}, read by the table of that lab; or the word with
    ///     what it means, {"Mg": ("sufficient", "enough")}.
    /// form : {"element", "oxide"}, optional
    ///     Form of P and K where their names do not say it.
    /// unit : str, optional
    ///     Unit of values that do not say it: "ppm", "lb/acre", "kg/ha", "meq/100 g", "mg/dm3", "%".
    /// extractant : str, optional
    ///     Extractant of values that do not say it, "Mehlich-3".
    ///
    /// Raises
    /// ------
    /// MissingError, UnknownNameError, UnreadableError, OutOfRangeError, InconsistentError, SeveralError
    ///     P or K without a form, a value without unit or extractant, a name that is not known, a value out of range.
    ///
    /// Examples
    /// --------
    /// 60 lb/acre in a sample 8 in deep are 25 ppm:
    ///
    /// >>> from dibble.fertility import SoilTest
    /// >>> test = SoilTest("Block 3", depth_m="8 in", ph=5.4, measured={"P (element)": "60 lb/acre"}, extractant="Mehlich-3")
    /// >>> round(test.ppm("P"))
    /// 25
    /// >>> [a["key"] for a in test.assumptions]
    /// ['ph_in_water', 'slice_density']
    PySoilTest(SoilTest) = "dibble.fertility", "SoilTest", check |_| Ok(());
    {}
    {
        #[new]
        #[pyo3(signature = (
            sample = "", *, lab = None, lab_number = None, sampled = None, fertilized = None, depth_m = None, cores = None,
            bulk_density_g_cm3 = None, scoop_density_g_cm3 = None, lb_acre_per_ppm = None, ph = None, ph_method = None,
            calcium_chloride_offset = None, buffer = None, buffer_method = None, lime_index = None, exchangeable_acidity_meq = None,
            exchangeable_aluminum_meq = None, cec_meq = None, organic_matter_pct = None, texture = None, free_carbonate = None,
            measured = None, rated = None, form = None, unit = None, extractant = None
        ))]
        #[allow(clippy::too_many_arguments)] // keyword-only in Python
        fn new(
            py: Python<'_>,
            sample: &str,
            lab: Option<String>,
            lab_number: Option<String>,
            sampled: Option<&Any<'_>>,
            fertilized: Option<&Any<'_>>,
            depth_m: Option<&Any<'_>>,
            cores: Option<u32>,
            bulk_density_g_cm3: Option<&Any<'_>>,
            scoop_density_g_cm3: Option<&Any<'_>>,
            lb_acre_per_ppm: Option<&Any<'_>>,
            ph: Option<&Any<'_>>,
            ph_method: Option<&str>,
            calcium_chloride_offset: Option<&Any<'_>>,
            buffer: Option<&Any<'_>>,
            buffer_method: Option<&str>,
            lime_index: Option<bool>,
            exchangeable_acidity_meq: Option<&Any<'_>>,
            exchangeable_aluminum_meq: Option<&Any<'_>>,
            cec_meq: Option<&Any<'_>>,
            organic_matter_pct: Option<&Any<'_>>,
            texture: Option<&str>,
            free_carbonate: Option<bool>,
            measured: Option<&Any<'_>>,
            rated: Option<&Any<'_>>,
            form: Option<&str>,
            unit: Option<&str>,
            extractant: Option<&str>,
        ) -> PyResult<Self> {
            let usual = Usual {
                form: choice_or_none(py, form)?,
                unit: choice_or_none(py, unit)?,
                extractant: choice_or_none(py, extractant)?,
            };
            let input = SoilTestInput {
                sample: sample.into(),
                lab,
                lab_number,
                sampled: day_or_none("sampled", sampled)?,
                fertilized: day_or_none("fertilized", fertilized)?,
                depth_m: quantity_or_none("depth_m", "m", depth_m)?,
                cores,
                bulk_density_g_cm3: number_or_none("bulk_density_g_cm3", bulk_density_g_cm3)?,
                scoop_density_g_cm3: number_or_none("scoop_density_g_cm3", scoop_density_g_cm3)?,
                lb_acre_per_ppm: number_or_none("lb_acre_per_ppm", lb_acre_per_ppm)?,
                ph: number_or_none("ph", ph)?,
                ph_method: choice_or_none(py, ph_method)?,
                calcium_chloride_offset: number_or_none("calcium_chloride_offset", calcium_chloride_offset)?,
                buffer: reading_of_buffer(py, number_or_none("buffer", buffer)?, buffer_method, lime_index)?,
                exchangeable_acidity_meq: number_or_none("exchangeable_acidity_meq", exchangeable_acidity_meq)?,
                exchangeable_aluminum_meq: number_or_none("exchangeable_aluminum_meq", exchangeable_aluminum_meq)?,
                cec_meq: number_or_none("cec_meq", cec_meq)?,
                organic_matter_pct: number_or_none("organic_matter_pct", organic_matter_pct)?,
                texture: choice_or_none(py, texture)?,
                free_carbonate,
                measured: measured.map_or(Ok(Vec::new()), |given| measurements(given, &usual))?,
                rated: rated.map_or(Ok(Vec::new()), ratings)?,
            };
            compute(py, "SoilTest", || SoilTest::new(input)).map(Self)
        }

        /// Name of the sample.
        #[getter]
        fn sample(&self) -> &str {
            &self.0.input().sample
        }
        /// Soil pH as measured.
        #[getter]
        fn ph(&self) -> Option<f64> {
            self.0.input().ph
        }
        /// Buffer pH: a lime index divided by ten.
        #[getter]
        fn buffer_ph(&self) -> Option<f64> {
            self.0.buffer_ph()
        }
        /// Day of sampling.
        #[getter]
        fn sampled<'py>(&self, py: Python<'py>) -> PyResult<Option<Bound<'py, PyDate>>> {
            self.0.input().sampled.map(|day: Date| table::date(py, day)).transpose()
        }
        /// Depth of sampling, m.
        #[getter]
        fn depth_m(&self) -> Option<f64> {
            self.0.input().depth_m
        }
        /// Soil pH in water.
        fn ph_in_water(&self, py: Python<'_>) -> PyResult<f64> {
            compute(py, "SoilTest.ph_in_water", || self.0.ph_in_water())
        }
        /// The nutrients, each a dict: `nutrient`, `extractant`, `ppm` of the element (a number, "<1", ">500" or "ND"), `given`.
        #[getter]
        fn values<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
            let row = |v: &dibble::fertility::Value| json!({"nutrient": v.nutrient, "extractant": v.extractant, "ppm": v.ppm, "given": v.given});
            record::to_dict(py, "values", &self.0.values().iter().map(row).collect::<Vec<_>>())
        }
        /// The element, ppm; `None` where it was not measured, or where `policy` leaves a value below detection out.
        #[pyo3(signature = (nutrient, *, extractant = None, policy = "half"))]
        fn ppm(&self, py: Python<'_>, nutrient: &str, extractant: Option<&str>, policy: &str) -> PyResult<Option<f64>> {
            let policy: DetectionPolicy = crate::gate::choice(py, policy)?;
            compute(py, "SoilTest.ppm", || {
                let nutrient = nutrient.parse()?;
                match extractant {
                    Some(extractant) => {
                        let extractant = extractant.parse()?;
                        Ok(self.0.value(nutrient, extractant).and_then(|v| v.ppm.number(policy)))
                    }
                    None if self.0.values_of(nutrient).next().is_none() => Ok(None),
                    None if self.0.values_of(nutrient).all(|v| v.ppm.number(policy).is_none()) => Ok(None),
                    None => mean_ppm(std::slice::from_ref(&self.0), nutrient, policy).map(Some),
                }
            })
        }
        /// Extracted amount of an element in the sampled layer, kg/ha, from its ppm.
        fn layer_kg_ha(&self, py: Python<'_>, ppm: f64) -> PyResult<f64> {
            compute(py, "SoilTest.layer_kg_ha", || self.0.layer_kg_ha(ppm))
        }
        /// What was taken for granted, each a dict.
        #[getter]
        fn assumptions<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
            record::to_dict(py, "assumptions", &self.0.assumed())
        }
        /// The test with one more value, computed by a published conversion between extractants, marked as such, with its spread.
        #[pyo3(signature = (conversion, *, tables = None))]
        fn converted(&self, py: Python<'_>, conversion: &str, tables: Option<&Bound<'_, PyTables>>) -> PyResult<Self> {
            let all = tables::of(py, tables)?;
            compute(py, "SoilTest.converted", || convert_extractant(&self.0, conversion, &all.main.conversion)).map(Self)
        }

        fn __repr__(&self) -> String {
            format!("SoilTest({})", arguments(self.0.input()))
        }
        fn __str__(&self, py: Python<'_>) -> PyResult<String> {
            record::laid_out(py, "outline", "SoilTest", &self.0)
        }
        fn _repr_html_(&self, py: Python<'_>) -> PyResult<String> {
            record::laid_out(py, "html", "SoilTest", &self.0)
        }
    }
}

/// Buffer pH or lime index with its method.
fn reading_of_buffer(py: Python<'_>, value: Option<f64>, method: Option<&str>, lime_index: Option<bool>) -> PyResult<Option<Buffer>> {
    let method = choice_or_none(py, method)?;
    match (value, method) {
        (Some(value), Some(method)) => Ok(Some(Buffer { value, method, lime_index })),
        (None, None) if lime_index.is_none() => Ok(None),
        (None, _) => Err(error::raise(py, &Error::missing("buffer", "Give the buffer pH that the method or lime_index belongs to."))),
        (Some(_), None) => {
            let hint = "Each buffer has its own equation: give \"Mehlich\", \"Adams-Evans\", \"SMP\", ... from the lab sheet.";
            Err(error::raise(py, &Error::missing("buffer_method", hint)))
        }
    }
}

/// One value as it came in.
enum Given {
    Number(f64),
    Text(String),
}

/// The measurements of a mapping by name, or of dicts; all that is wrong with them at once.
fn measurements(given: &Any<'_>, usual: &Usual) -> PyResult<Vec<Measurement>> {
    let py = given.py();
    let Ok(by_name) = given.cast::<PyMapping>() else { return dicts("measured", given) };
    let mut values = Vec::new();
    for item in by_name.items()?.iter() {
        let (name, value) = super::named(&item)?;
        let value = match value.cast::<PyString>() {
            Ok(text) => Given::Text(text.to_string()),
            Err(_) => Given::Number(py.import("dibble._gate")?.getattr("one_number")?.call1((&name, &value))?.extract()?),
        };
        values.push((name, value));
    }
    compute(py, "SoilTest", || {
        let (mut read, mut problems) = (Vec::new(), Vec::new());
        for (name, value) in &values {
            let one = match value {
                Given::Number(number) => Measurement::new(name, Reported::Measured(*number), usual),
                Given::Text(text) => Measurement::read(name, text, usual),
            };
            match one {
                Ok(one) => read.push(one),
                Err(problem) => problems.push(problem),
            }
        }
        Error::several(problems).map_or(Ok(read), Err)
    })
}

/// Dicts as `to_dict` has them.
fn dicts<T: DeserializeOwned>(name: &str, given: &Any<'_>) -> PyResult<T> {
    let py = given.py();
    let text: String = py.import("json")?.getattr("dumps")?.call1((given,))?.extract()?;
    serde_json::from_str(&text).map_err(|fault| {
        let why = fault.to_string();
        let hint = "Give a mapping of names to values, or dicts as to_dict() has them.";
        error::raise(py, &Error::unreadable(name, &text, why.trim_end_matches('.'), hint))
    })
}

/// The lab's words by nutrient, alone or with their meaning.
fn ratings(given: &Any<'_>) -> PyResult<Vec<Rating>> {
    let py = given.py();
    let Ok(by_name) = given.cast::<PyMapping>() else { return dicts("rated", given) };
    let rating = |item: Any<'_>| {
        let (name, word) = super::named(&item)?;
        let (class, meaning) = match word.cast::<PyString>() {
            Ok(class) => (class.to_string(), None),
            Err(_) => word.extract::<(String, String)>().map(|(class, meaning)| (class, Some(meaning)))?,
        };
        Ok(Rating { nutrient: choice(py, &name)?, class, meaning: meaning.map(|m| choice(py, &m)).transpose()? })
    };
    by_name.items()?.iter().map(rating).collect()
}

/// The sheet as arguments of the constructor.
fn arguments(input: &SoilTestInput) -> String {
    let mut record = json!(input);
    let Some(entries) = record.as_object_mut() else { return String::new() };
    if let Some(buffer) = input.buffer {
        entries.insert("buffer".into(), buffer.value.into());
        entries.insert("buffer_method".into(), buffer.method.name().into());
        entries.insert("lime_index".into(), buffer.lime_index.map_or(Value::Null, Value::Bool));
    }
    let sample = entries.remove("sample").map_or_else(String::new, |s| literal(&s));
    let rest = record::arguments(&record);
    if rest.is_empty() { sample } else { format!("{sample}, {rest}") }
}

#[pyfunction]
#[pyo3(name = "mean_ppm", signature = (tests, nutrient, *, policy))]
fn mean(py: Python<'_>, tests: &Any<'_>, nutrient: &str, policy: &str) -> PyResult<f64> {
    let tests: Vec<SoilTest> = instances::<PySoilTest>("tests", tests)?.iter().map(|t| t.get().0.clone()).collect();
    compute(py, "mean_ppm", || mean_ppm(&tests, nutrient.parse()?, policy.parse()?))
}

/// Names that are read: nutrients, extractants, units, and so on, by kind.
#[pyfunction]
fn soil_test_words(py: Python<'_>) -> PyResult<Bound<'_, PyDict>> {
    use dibble::fertility::{BufferMethod, Extractant, Nutrient, TestUnit};
    let words = PyDict::new(py);
    words.set_item("nutrient", Nutrient::ALL.iter().map(|w| w.name()).collect::<Vec<_>>())?;
    words.set_item("extractant", Extractant::ALL.iter().map(|w| w.name()).collect::<Vec<_>>())?;
    words.set_item("unit", TestUnit::ALL.iter().map(|w| w.name()).collect::<Vec<_>>())?;
    words.set_item("buffer_method", BufferMethod::ALL.iter().map(|w| w.name()).collect::<Vec<_>>())?;
    Ok(words)
}

/// Adds class and functions to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PySoilTest>()?;
    module.add_function(wrap_pyfunction!(mean, module)?)?;
    module.add_function(wrap_pyfunction!(soil_test_words, module)?)
}
