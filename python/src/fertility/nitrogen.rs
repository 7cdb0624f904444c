//! Nutrient needs of a year: nitrogen by age or height, the rest by class; manure.

use crate::fertility::ground;
use crate::fertility::interpret::PyInterpretation;
use crate::fertility::tables::{self, PyTables};
use crate::gate::{choice, compute, day_or_none, number, number_or_none, quantity_or_none};
use crate::record::{self, answer};
use dibble::Error;
use dibble::fertility::{
    self, BuildUp, Manure, NeedContext, NitrogenNeed, NitrogenQuestion, NutrientNeed, SeasonQuestion, TextureGroup, compost_nitrogen_kg,
    manure_nitrogen_kg, nitrogen_season,
};
use dibble::soil::TextureClass;
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

answer! {
    /// Nitrogen for a year; made by `nitrogen_need`. `print` it.
    PyNitrogenNeed(NitrogenNeed) = "dibble.fertility", "NitrogenNeed";
    {
        /// The row of the table, in its words.
        row,
        /// Where it comes from.
        source,
        /// What to know about it.
        notes,
    }
    {
        /// Lowest rate.
        #[getter]
        fn low(&self) -> ground::PyRates {
            ground::PyRates(self.0.low)
        }
        /// Highest rate; `None` where the source leaves it open.
        #[getter]
        fn high(&self) -> Option<ground::PyRates> {
            self.0.high.map(ground::PyRates)
        }
    }
}

answer! {
    /// What a year needs of one nutrient; made by `nutrient_need`. `print` it.
    PyNutrientNeed(NutrientNeed) = "dibble.fertility", "NutrientNeed";
    {
        /// The nutrient.
        nutrient,
        /// What the weights are weights of, as labels state it: "P2O5", "K2O", "Mg".
        weight_of,
        /// What it rests on: "rate of the table", "build-up", "removal", "nothing", "dolomite", "no published rate".
        basis,
        /// Why.
        why,
        /// Where it comes from.
        source,
        /// What else to know.
        notes,
        /// What was taken for granted, each a dict.
        assumptions,
    }
    {
        /// Lowest rate.
        #[getter]
        fn low(&self) -> ground::PyRates {
            ground::PyRates(self.0.low)
        }
        /// Highest rate.
        #[getter]
        fn high(&self) -> ground::PyRates {
            ground::PyRates(self.0.high)
        }
    }
}

#[pyfunction]
#[pyo3(signature = (*, age_years, ground, table, height_m, sale_year, tables))]
fn nitrogen_need(
    py: Python<'_>,
    age_years: u32,
    ground: &Any<'_>,
    table: &str,
    height_m: Option<&Any<'_>>,
    sale_year: bool,
    tables: Option<&Bound<'_, PyTables>>,
) -> PyResult<PyNitrogenNeed> {
    let (ground, all) = (ground::of(py, ground)?, tables::of(py, tables)?);
    let question = NitrogenQuestion { age_years, height_m: quantity_or_none("height_m", "m", height_m)?, sale_year };
    compute(py, "nitrogen_need", || fertility::nitrogen_need(&question, &ground, all.main.nitrogen.get(table)?)).map(PyNitrogenNeed)
}

/// The feedings of a season, dicts.
#[pyfunction]
#[pyo3(name = "nitrogen_season", signature = (*, bud_break, texture, sale_year, south, urea))]
fn season<'py>(
    py: Python<'py>,
    bud_break: Option<&Any<'py>>,
    texture: Option<&str>,
    sale_year: bool,
    south: bool,
    urea: bool,
) -> PyResult<Any<'py>> {
    let texture = texture.map(|t| choice::<TextureClass>(py, t)).transpose()?.map(TextureGroup::from);
    let question = SeasonQuestion { bud_break: day_or_none("bud_break", bud_break)?, texture, sale_year, southern: south, urea };
    record::to_dict(py, "feedings", &nitrogen_season(&question))
}

#[pyfunction]
fn nitrogen_cautions(urea: bool) -> Vec<String> {
    fertility::nitrogen_cautions(urea)
}

#[pyfunction]
#[pyo3(signature = (interpretation, nutrient, *, ground, lime_due, removal, p2o5_per_ppm_kg_ha, k2o_per_ppm_kg_ha, build_up_years, rotation_years, tables))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn nutrient_need(
    py: Python<'_>,
    interpretation: &Bound<'_, PyInterpretation>,
    nutrient: &str,
    ground: &Any<'_>,
    lime_due: bool,
    removal: Option<&str>,
    p2o5_per_ppm_kg_ha: Option<&Any<'_>>,
    k2o_per_ppm_kg_ha: Option<&Any<'_>>,
    build_up_years: Option<&Any<'_>>,
    rotation_years: Option<&Any<'_>>,
    tables: Option<&Bound<'_, PyTables>>,
) -> PyResult<PyNutrientNeed> {
    let (ground, all, read) = (ground::of(py, ground)?, tables::of(py, tables)?, &interpretation.get().0);
    let build_up = build_up(p2o5_per_ppm_kg_ha, k2o_per_ppm_kg_ha, build_up_years, rotation_years)?;
    compute(py, "nutrient_need", || {
        let nutrient = nutrient.parse()?;
        let reading = read
            .reading(nutrient)
            .ok_or_else(|| Error::missing(format!("{nutrient} in the table \"{}\"", read.table), "Name a nutrient that it has."))?;
        let removal = removal.map(|key| all.main.removal.get(key)).transpose()?;
        let table = all.main.soil.get(&read.table)?;
        fertility::nutrient_need(reading, &NeedContext { table, ground: &ground, build_up: &build_up, removal, lime_due })
    })
    .map(PyNutrientNeed)
}

/// How a build-up is reckoned.
pub fn build_up(
    p2o5_per_ppm_kg_ha: Option<&Any<'_>>,
    k2o_per_ppm_kg_ha: Option<&Any<'_>>,
    years: Option<&Any<'_>>,
    rotation_years: Option<&Any<'_>>,
) -> PyResult<BuildUp> {
    let usual = BuildUp::default();
    Ok(BuildUp {
        p2o5_per_ppm_kg_ha: quantity_or_none("p2o5_per_ppm_kg_ha", "kg/ha", p2o5_per_ppm_kg_ha)?.unwrap_or(usual.p2o5_per_ppm_kg_ha),
        k2o_per_ppm_kg_ha: quantity_or_none("k2o_per_ppm_kg_ha", "kg/ha", k2o_per_ppm_kg_ha)?.unwrap_or(usual.k2o_per_ppm_kg_ha),
        years: number_or_none("build_up_years", years)?.unwrap_or(usual.years),
        rotation_years: number_or_none("rotation_years", rotation_years)?.unwrap_or(usual.rotation_years),
    })
}

#[pyfunction]
fn manure_release(py: Python<'_>, kind: &str, dry_matter_pct: &Any<'_>) -> PyResult<[f64; 3]> {
    let dry = number("dry_matter_pct", dry_matter_pct)?;
    compute(py, "manure_release", || fertility::manure_release(kind.parse()?, dry))
}

/// kind, dry matter %, organic N kg, years ago
#[pyfunction]
fn manure_nitrogen(py: Python<'_>, applications: Vec<(String, f64, f64, u32)>) -> PyResult<f64> {
    compute(py, "manure_nitrogen_kg", || {
        let one = |(kind, dry_matter_pct, organic_n_kg, years_ago): &(String, f64, f64, u32)| {
            Ok(Manure { kind: kind.parse()?, dry_matter_pct: *dry_matter_pct, organic_n_kg: *organic_n_kg, years_ago: *years_ago })
        };
        manure_nitrogen_kg(&applications.iter().map(one).collect::<dibble::Result<Vec<_>>>()?)
    })
}

#[pyfunction]
fn compost_nitrogen(total_n_kg: &Any<'_>) -> PyResult<(f64, f64)> {
    let total = number("total_n_kg", total_n_kg)?;
    compute(total_n_kg.py(), "compost_nitrogen_kg", || compost_nitrogen_kg(total))
}

/// Adds classes and functions to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyNitrogenNeed>()?;
    module.add_class::<PyNutrientNeed>()?;
    module.add_function(wrap_pyfunction!(nitrogen_need, module)?)?;
    module.add_function(wrap_pyfunction!(season, module)?)?;
    module.add_function(wrap_pyfunction!(nitrogen_cautions, module)?)?;
    module.add_function(wrap_pyfunction!(nutrient_need, module)?)?;
    module.add_function(wrap_pyfunction!(manure_release, module)?)?;
    module.add_function(wrap_pyfunction!(manure_nitrogen, module)?)?;
    module.add_function(wrap_pyfunction!(compost_nitrogen, module)?)
}
