//! What a soil test says: usability, classes by named tables, the exchange.

use crate::fertility::soil_test::PySoilTest;
use crate::fertility::tables::{self, PyTables};
use crate::gate::{self, choice, compute, day_or_none, formulas, number};
use crate::record::answer;
use dibble::fertility::{
    self, Asked, Comparison, Exchange, Interpretation, OrganicNitrogen, Usability, cec_by_summation, compare_tables, interpret,
    organic_nitrogen, usability,
};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

answer! {
    /// A soil test read by one table; made by `interpret`. `print` it.
    PyInterpretation(Interpretation) = "dibble.fertility", "Interpretation";
    {
        /// Key of the table.
        table,
        /// Its title and region.
        title,
        /// Where it comes from.
        source,
        /// The nutrients of the table, each a dict: value, class, meaning, edges, rate, and why if there is no class.
        readings,
        /// The nutrient that is shortest, where one is short.
        limiting,
        /// What to know about the table.
        notes,
        /// What was taken for granted, each a dict.
        assumptions,
    }
    {
        /// The reading of one nutrient, a dict; `None` if the table does not have it.
        fn reading<'py>(&self, py: Python<'py>, nutrient: &str) -> PyResult<Any<'py>> {
            let found = compute(py, "Interpretation.reading", || Ok(self.0.reading(nutrient.parse()?)))?;
            crate::record::to_dict(py, "reading", &found)
        }
    }
}

answer! {
    /// A soil test by every table that can read it, side by side; made by `compare_tables`. `print` it.
    PyComparison(Comparison) = "dibble.fertility", "Comparison";
    {
        /// Where the tables part ways, each a dict: `nutrient`, and `meanings` as pairs of table and meaning.
        disagreements,
        /// What you have to decide, if anything.
        ask,
    }
    {
        /// One `Interpretation` for each table.
        #[getter]
        fn interpretations(&self) -> Vec<PyInterpretation> {
            self.0.interpretations.iter().cloned().map(PyInterpretation).collect()
        }
    }
}

answer! {
    /// Whether a sample can be used; made by `usability`. `print` it.
    PyUsability(Usability) = "dibble.fertility", "Usability";
    {
        /// "ok", "usable with assumption" or "not usable": the worst of the reasons.
        status,
        /// The reasons, worst first, each a dict: `key`, `status`, `words`, `source`.
        reasons,
    }
    {}
}

answer! {
    /// Cations on the exchange; made by `cec_by_summation`. `print` it.
    PyExchange(Exchange) = "dibble.fertility", "Exchange";
    {
        /// How the acidity was found.
        term,
        /// Acidity, meq/100 g.
        acidity_meq,
        /// The bases, each a dict: `nutrient`, `meq`, `share_pct`.
        bases,
        /// Capacity by summation, meq/100 g.
        cec_meq,
        /// Bases as a share of the capacity, percent.
        base_saturation_pct,
        /// What to know about it.
        notes,
        /// What was taken for granted, each a dict.
        assumptions,
    }
    {
        /// Where the acidity term comes from.
        #[getter]
        fn source(&self) -> String {
            self.0.citation.to_string()
        }
        /// Bases whose share lies outside what a source wants for Christmas trees, in words.
        fn shares_out_of_range(&self) -> Vec<String> {
            self.0.shares_out_of_range()
        }
    }
}

formulas! {
    manganese_index(mn_ppm, ph) = fertility::manganese_index(mn_ppm, ph);
}

#[pyfunction]
#[pyo3(name = "interpret", signature = (test, table, *, policy, tables))]
fn read_by_table(
    py: Python<'_>,
    test: &Bound<'_, PySoilTest>,
    table: &str,
    policy: &str,
    tables: Option<&Bound<'_, PyTables>>,
) -> PyResult<PyInterpretation> {
    let (test, all) = (test.get(), tables::of(py, tables)?);
    compute(py, "interpret", || interpret(&test.0, all.main.soil.get(table)?, policy.parse()?)).map(PyInterpretation)
}

#[pyfunction]
#[pyo3(name = "compare_tables", signature = (test, *, crop, policy, tables))]
fn read_by_all(
    py: Python<'_>,
    test: &Bound<'_, PySoilTest>,
    crop: Option<&str>,
    policy: &str,
    tables: Option<&Bound<'_, PyTables>>,
) -> PyResult<PyComparison> {
    let (test, all) = (test.get(), tables::of(py, tables)?);
    compute(py, "compare_tables", || compare_tables(&test.0, &all.main.soil, crop, policy.parse()?)).map(PyComparison)
}

#[pyfunction]
#[pyo3(name = "usability", signature = (test, today, *, planting, south))]
fn judged(test: &Bound<'_, PySoilTest>, today: &Any<'_>, planting: Option<&Any<'_>>, south: bool) -> PyResult<PyUsability> {
    let asked = Asked { today: gate::day("today", today)?, planting: day_or_none("planting", planting)?, southern: south };
    let test = test.get();
    compute(today.py(), "usability", || Ok(usability(&test.0, &asked))).map(PyUsability)
}

#[pyfunction]
#[pyo3(name = "cec_by_summation", signature = (test, *, acidity, divisors))]
fn summed(py: Python<'_>, test: &Bound<'_, PySoilTest>, acidity: &str, divisors: &str) -> PyResult<PyExchange> {
    let (term, divisors) = (choice(py, acidity)?, choice(py, divisors)?);
    let test = test.get();
    compute(py, "cec_by_summation", || cec_by_summation(&test.0, term, divisors)).map(PyExchange)
}

#[pyfunction]
#[pyo3(name = "organic_nitrogen", signature = (*, organic_matter_pct, depth_m, bulk_density_g_cm3, released_share))]
fn nitrogen_of_humus(
    organic_matter_pct: &Any<'_>,
    depth_m: &Any<'_>,
    bulk_density_g_cm3: &Any<'_>,
    released_share: &Any<'_>,
) -> PyResult<(f64, f64)> {
    let organic = number("organic_matter_pct", organic_matter_pct)?;
    let depth = gate::quantity("depth_m", "m", depth_m)?;
    let (density, share) = (number("bulk_density_g_cm3", bulk_density_g_cm3)?, number("released_share", released_share)?);
    let OrganicNitrogen { total_kg_ha, released_kg_ha } =
        compute(depth_m.py(), "organic_nitrogen", || organic_nitrogen(organic, depth, density, share))?;
    Ok((total_kg_ha, released_kg_ha))
}

/// Adds classes and functions to `_dibble`.
pub fn register_classes(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyInterpretation>()?;
    module.add_class::<PyComparison>()?;
    module.add_class::<PyUsability>()?;
    module.add_class::<PyExchange>()?;
    module.add_function(wrap_pyfunction!(read_by_table, module)?)?;
    module.add_function(wrap_pyfunction!(read_by_all, module)?)?;
    module.add_function(wrap_pyfunction!(judged, module)?)?;
    module.add_function(wrap_pyfunction!(summed, module)?)?;
    module.add_function(wrap_pyfunction!(nitrogen_of_humus, module)?)
}
