//! `recommend`: the year's lime and nutrients of a block, to bags and ounces.

use crate::control::long;
use crate::explain::PyExplanation;
use crate::fertility::interpret::{PyComparison, PyExchange, PyInterpretation, PyUsability};
use crate::fertility::lime::{self, PyLimeAdvice, PyLimingMaterial, PyPhTargets};
use crate::fertility::nitrogen::{self, PyNitrogenNeed, PyNutrientNeed};
use crate::fertility::soil_test::PySoilTest;
use crate::fertility::sulfur::PyWaterLoad;
use crate::fertility::tables::{self, PyTables};
use crate::fertility::{ground, products};
use crate::gate::{self, choice, compute, quantity};
use crate::record::{self, answer};
use dibble::Error;
use dibble::fertility::{Credit, RecommendInput, Recommendation, Shed, recommend};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde::{Deserialize, Serialize};
use std::ops::Deref;
use std::str::FromStr;

type Any<'py> = Bound<'py, PyAny>;

/// A recommendation and what it was made from, which its explanation needs.
#[derive(Clone, PartialEq, Serialize, Deserialize)]
pub struct Answered {
    #[serde(flatten)]
    answer: Recommendation,
    #[serde(default)]
    input: Option<RecommendInput>,
}

impl Deref for Answered {
    type Target = Recommendation;
    fn deref(&self) -> &Recommendation {
        &self.answer
    }
}

answer! {
    /// The year's lime and nutrients of a block; made by `recommend`. `print` it.
    PyRecommendation(Answered) = "dibble.fertility", "Recommendation";
    {
        /// How far the test can be used: "ok", "usable with assumption" or "not usable".
        status,
        /// When the nitrogen goes out, each a dict.
        feedings,
        /// When and how the rest goes out.
        placement,
        /// Needs of the whole block, kg, each a dict; empty without an area.
        block_needs,
        /// The needs as products, a dict: `area_ha`, `needs`, `blend`, `conflicts`, and `rounds` with the amount for a tree.
        mix,
        /// What you have to decide before the rest can be said.
        ask,
        /// Amounts that can hurt.
        warnings,
        /// What to mind.
        cautions,
        /// Keys of the tables used.
        tables,
        /// What was taken for granted, each a dict.
        assumptions,
    }
    {
        /// Why the test cannot be used further.
        #[getter]
        fn usability(&self) -> PyUsability {
            PyUsability(self.0.usability.clone())
        }
        /// The test by the table that was named, or by the only one that fits.
        #[getter]
        fn interpretation(&self) -> Option<PyInterpretation> {
            self.0.interpretation.clone().map(PyInterpretation)
        }
        /// The test by every table that fits, where none was named.
        #[getter]
        fn comparison(&self) -> Option<PyComparison> {
            self.0.comparison.clone().map(PyComparison)
        }
        /// Cations on the exchange, where the lab's own buffer tells the acidity.
        #[getter]
        fn exchange(&self) -> Option<PyExchange> {
            self.0.exchange.clone().map(PyExchange)
        }
        /// What the irrigation water brings.
        #[getter]
        fn water(&self) -> Option<PyWaterLoad> {
            self.0.water.clone().map(PyWaterLoad)
        }
        /// What each source wants as pH.
        #[getter]
        fn ph_targets(&self) -> Option<PyPhTargets> {
            self.0.ph_targets.clone().map(PyPhTargets)
        }
        /// Lime, sulfur or neither.
        #[getter]
        fn lime(&self) -> Option<PyLimeAdvice> {
            self.0.lime.clone().map(PyLimeAdvice)
        }
        /// Nitrogen for the year.
        #[getter]
        fn nitrogen(&self) -> Option<PyNitrogenNeed> {
            self.0.nitrogen.clone().map(PyNitrogenNeed)
        }
        /// Phosphate, potash and the rest.
        #[getter]
        fn needs(&self) -> Vec<PyNutrientNeed> {
            self.0.needs.iter().cloned().map(PyNutrientNeed).collect()
        }
        /// The mix in sentences, in "us" or "si" units: what to buy, what it brings, what a tree gets and when.
        #[pyo3(signature = (*, units = "us"))]
        fn sentences(&self, py: Python<'_>, units: &str) -> PyResult<Vec<String>> {
            let system = choice(py, units)?;
            Ok(self.0.mix.as_ref().map_or_else(Vec::new, |mix| mix.sentences(system)))
        }
        /// How each amount came about, step by step; `print` it.
        fn explain(&self, py: Python<'_>) -> PyResult<PyExplanation> {
            let steps = compute(py, "Recommendation.explain", || match &self.0.input {
                Some(input) => Ok(self.0.answer.explain(input)),
                None => Err(Error::missing("what this recommendation was made from", "Its JSON came without it: make it again.")),
            })?;
            Ok(PyExplanation::from(steps))
        }
    }
}

/// Keyword arguments that the Python function passes on; `None` counts as left out.
struct Options<'a, 'py>(&'a Bound<'py, PyDict>);

impl<'py> Options<'_, 'py> {
    fn get(&self, name: &str) -> PyResult<Option<Any<'py>>> {
        Ok(self.0.get_item(name)?.filter(|value| !value.is_none()))
    }
    fn quantity(&self, name: &'static str, unit: &str) -> PyResult<Option<f64>> {
        self.get(name)?.map(|value| quantity(name, unit, &value)).transpose()
    }
    fn words<T: FromStr<Err = Error>>(&self, name: &str) -> PyResult<Option<T>> {
        self.get(name)?.map(|value| choice(value.py(), &value.extract::<String>()?)).transpose()
    }
    fn plain<T: for<'a> FromPyObject<'a, 'py, Error: Into<PyErr>>>(&self, name: &str) -> PyResult<Option<T>> {
        self.get(name)?.map(|value| value.extract::<T>().map_err(Into::into)).transpose()
    }
    fn yes(&self, name: &str) -> PyResult<bool> {
        Ok(self.plain::<bool>(name)?.unwrap_or(false))
    }
    fn day(&self, name: &'static str) -> PyResult<Option<dibble::Date>> {
        self.get(name)?.map(|value| gate::day(name, &value)).transpose()
    }
}

/// What the answer depends on; `dibble/fertility/recommend.py` has the names.
fn input(test: &PySoilTest, species: &str, ground: &Any<'_>, today: &Any<'_>, options: &Options<'_, '_>) -> PyResult<RecommendInput> {
    let py = today.py();
    let mut input = RecommendInput::new(test.0.clone(), species, ground::of(py, ground)?, gate::day("today", today)?);
    input.area_ha = options.quantity("area_ha", "ha")?;
    input.age_years = options.plain("age_years")?;
    input.height_m = options.quantity("height_m", "m")?;
    input.sale_year = options.yes("sale_year")?;
    input.planting = options.day("planting")?;
    input.bud_break = options.day("bud_break")?;
    input.southern = options.yes("south")?;
    input.soil_table = options.plain("soil_table")?;
    input.ph_table = options.plain("ph_table")?;
    input.nitrogen_table = options.plain("nitrogen_table")?;
    input.conversions = options.plain("conversions")?.unwrap_or_default();
    input.lime_method = options.words("lime_method")?;
    input.lime_options = lime::options(
        options.yes("from_memory")?,
        options.get("recent_kg_ha")?.as_ref(),
        options.get("recent_months")?.as_ref(),
        options.yes("organic_soil")?,
        options.get("ag_lime_factor")?.as_ref(),
    )?;
    input.lime_material = options.plain::<Py<PyLimingMaterial>>("lime_material")?.map(|m| m.get().0.clone());
    input.fineness = options.words("fineness")?.unwrap_or(input.fineness);
    input.lime_depth_m = options.quantity("lime_depth_m", "m")?;
    input.lime_cap_kg_ha = options.quantity("lime_cap_kg_ha", "kg/ha")?.unwrap_or(input.lime_cap_kg_ha);
    input.policy = options.words("policy")?.unwrap_or(input.policy);
    input.build_up = nitrogen::build_up(
        options.get("p2o5_per_ppm_kg_ha")?.as_ref(),
        options.get("k2o_per_ppm_kg_ha")?.as_ref(),
        options.get("build_up_years")?.as_ref(),
        options.get("rotation_years")?.as_ref(),
    )?;
    input.removal = options.yes("removal")?;
    input.urea = options.yes("urea")?;
    if let Some(water) = options.get("water")? {
        let text: String = py.import("json")?.getattr("dumps")?.call1((water,))?.extract()?;
        input.water = Some(record::from_json(py, "water", &text)?);
    }
    input.irrigation_mm = options.quantity("irrigation_mm", "mm")?;
    if let Some(list) = options.plain::<Vec<Any<'_>>>("products")? {
        let mut shed = Shed::new(products::of(py, &list)?);
        shed.bags = options.words("bags")?.unwrap_or(shed.bags);
        shed.oversupply = options.quantity("oversupply", "")?.unwrap_or(shed.oversupply);
        shed.undersupply = options.quantity("undersupply", "")?.unwrap_or(shed.undersupply);
        shed.salt_cap_kg_ha = options.quantity("salt_cap_kg_ha", "kg/ha")?;
        shed.scoop_ml = options.quantity("scoop_ml", "mL")?;
        input.shed = Some(shed);
    }
    for (from, nutrient, kg_ha) in options.plain::<Vec<(String, String, Any<'_>)>>("credits_kg_ha")?.unwrap_or_default() {
        input.credits.push(Credit { from, nutrient: choice(py, &nutrient)?, kg_ha: quantity("kg_ha", "kg/ha", &kg_ha)? });
    }
    input.not_before = options.day("not_before")?;
    input.n_cap_kg_ha = options.quantity("n_cap_kg_ha", "kg/ha")?.unwrap_or(input.n_cap_kg_ha);
    input.most_n_g_per_tree = options.quantity("most_n_g_per_tree", "g/tree")?;
    Ok(input)
}

#[pyfunction]
#[pyo3(name = "recommend", signature = (test, species, *, ground, today, tables, progress, **options))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn of_a_year(
    py: Python<'_>,
    test: &Bound<'_, PySoilTest>,
    species: &str,
    ground: &Any<'_>,
    today: &Any<'_>,
    tables: Option<&Bound<'_, PyTables>>,
    progress: Option<&Any<'_>>,
    options: Option<&Bound<'_, PyDict>>,
) -> PyResult<PyRecommendation> {
    let none = PyDict::new(py);
    let input = input(test.get(), species, ground, today, &Options(options.unwrap_or(&none)))?;
    let all = tables::of(py, tables)?;
    long(py, "recommend", progress, move |control| {
        let answer = recommend(&input, &all.main, control)?;
        Ok(PyRecommendation(Answered { answer, input: Some(input) }))
    })
}

/// Adds class and function to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyRecommendation>()?;
    module.add_function(wrap_pyfunction!(of_a_year, module)?)
}
