//! Needle tests and pale trees.

use crate::fertility::interpret::PyInterpretation;
use crate::fertility::tables::{self, PyTables};
use crate::gate::{choice_or_none, compute, day_or_none, number_or_none};
use crate::record::{self, answer, class};
use dibble::Error;
use dibble::fertility::{
    FoliarComparison, FoliarInput, FoliarReading, FoliarTest, NeedleUnit, NeedleValue, PaleDiagnosis, Sign, compare_foliar, compare_pair,
    interpret_foliar, measured_signs, ph_targets, rank_pale,
};
use pyo3::prelude::*;
use pyo3::types::{PyMapping, PyString};
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

class! {
    /// A needle test as the lab sheet has it, checked.
    ///
    /// Parameters
    /// ----------
    /// species : str
    ///     Species, in English.
    /// values : mapping
    ///     Elements by name, each a number or text with its unit: `{"N": 1.4, "B": "12 ppm"}`.
    /// unit : {"%", "mg/g", "ppm"}
    ///     Unit of values that do not say it.
    /// sampled : datetime.date or str, optional
    ///     Day of sampling.
    /// tissue : str, optional
    ///     "upper third" (this year's needles, not the leader), "current needles", "older needles", "leader", "mixed".
    /// stand : {"nursery", "Christmas trees", "forest"}, optional
    ///     What the trees are.
    ///
    /// Examples
    /// --------
    /// >>> from dibble.fertility import FoliarTest
    /// >>> test = FoliarTest("balsam fir", {"N": "14 mg/g", "K": 0.5})
    /// >>> test.percent("N"), round(test.percent_of_nitrogen("K"), 1)
    /// (1.4, 35.7)
    PyFoliarTest(FoliarTest) = "dibble.fertility", "FoliarTest", check |_| Ok(());
    {}
    {
        #[new]
        #[pyo3(signature = (species, values, *, unit = "%", sampled = None, tissue = None, stand = None))]
        fn new(
            py: Python<'_>,
            species: String,
            values: &Bound<'_, PyMapping>,
            unit: &str,
            sampled: Option<&Any<'_>>,
            tissue: Option<&str>,
            stand: Option<String>,
        ) -> PyResult<Self> {
            let input = FoliarInput {
                species,
                sampled: day_or_none("sampled", sampled)?,
                tissue: choice_or_none(py, tissue)?,
                stand,
                values: needle_values(values, unit)?,
            };
            compute(py, "FoliarTest", || FoliarTest::new(input)).map(Self)
        }

        /// Species.
        #[getter]
        fn species(&self) -> &str {
            &self.0.input().species
        }
        /// Content of an element, percent of dry weight; `None` where it was not tested.
        fn percent(&self, py: Python<'_>, nutrient: &str) -> PyResult<Option<f64>> {
            compute(py, "FoliarTest.percent", || Ok(self.0.percent(nutrient.parse()?)))
        }
        /// Content as percent of the nitrogen.
        fn percent_of_nitrogen(&self, py: Python<'_>, nutrient: &str) -> PyResult<Option<f64>> {
            compute(py, "FoliarTest.percent_of_nitrogen", || Ok(self.0.percent_of_nitrogen(nutrient.parse()?)))
        }

        fn __repr__(&self) -> String {
            let input = self.0.input();
            let value = |v: &NeedleValue| format!("{:?}: \"{} {}\"", v.nutrient.name(), v.value, v.unit);
            let values = input.values.iter().map(value).collect::<Vec<_>>().join(", ");
            let mut rest = json!(input);
            if let Some(entries) = rest.as_object_mut() {
                entries.retain(|key, _| key != "species" && key != "values");
            }
            let rest = record::arguments(&rest);
            let comma = if rest.is_empty() { "" } else { ", " };
            format!("FoliarTest({:?}, {{{values}}}{comma}{rest})", input.species)
        }
        fn _repr_html_(&self, py: Python<'_>) -> PyResult<String> {
            record::laid_out(py, "html", "FoliarTest", &self.0)
        }
    }
}

answer! {
    /// A needle test read by one table; made by `interpret_foliar`. `print` it.
    PyFoliarReading(FoliarReading) = "dibble.fertility", "FoliarReading";
    {
        /// Key of the table.
        table,
        /// Title, and what the ends of its ranges mean.
        title,
        /// Where it comes from.
        source,
        /// Nutrients of the table, each a dict: `range`, `value`, `standing`.
        lines,
        /// In what the sample differs from what the table holds for.
        mismatches,
        /// What to know about the table.
        notes,
    }
    {}
}

answer! {
    /// A needle test by every table of its species, side by side; made by `compare_foliar`. `print` it.
    PyFoliarComparison(FoliarComparison) = "dibble.fertility", "FoliarComparison";
    {
        /// Nutrients over which the tables part ways.
        disagreements,
        /// What you have to decide, if anything.
        ask,
    }
    {
        /// One `FoliarReading` for each table.
        #[getter]
        fn readings(&self) -> Vec<PyFoliarReading> {
            self.0.readings.iter().cloned().map(PyFoliarReading).collect()
        }
    }
}

answer! {
    /// Causes of pale trees, the likeliest first; made by `rank_pale`. `print` it.
    PyPaleDiagnosis(PaleDiagnosis) = "dibble.fertility", "PaleDiagnosis";
    {
        /// Every cause, a dict: points, what speaks for and against it, the test that would tell, the remedy, the source.
        causes,
        /// What to mind.
        cautions,
    }
    {}
}

fn needle_values(values: &Bound<'_, PyMapping>, unit: &str) -> PyResult<Vec<NeedleValue>> {
    let py = values.py();
    let unit: NeedleUnit = crate::gate::choice(py, unit)?;
    let mut read = Vec::new();
    for item in values.items()?.iter() {
        let (name, value) = super::named(&item)?;
        let nutrient = crate::gate::choice(py, &name)?;
        read.push(match value.cast::<PyString>() {
            Ok(text) => {
                let text = text.to_string();
                compute(py, "FoliarTest", || NeedleValue::read(nutrient, &text, unit))?
            }
            Err(_) => {
                NeedleValue { nutrient, value: py.import("dibble._gate")?.getattr("one_number")?.call1((name, value))?.extract()?, unit }
            }
        });
    }
    Ok(read)
}

#[pyfunction]
#[pyo3(name = "interpret_foliar", signature = (test, table, *, tables))]
fn read_by_table(
    py: Python<'_>,
    test: &Bound<'_, PyFoliarTest>,
    table: &str,
    tables: Option<&Bound<'_, PyTables>>,
) -> PyResult<PyFoliarReading> {
    let (test, all) = (test.get(), tables::of(py, tables)?);
    compute(py, "interpret_foliar", || Ok(interpret_foliar(&test.0, all.foliar.get(table)?))).map(PyFoliarReading)
}

#[pyfunction]
#[pyo3(name = "compare_foliar", signature = (test, *, tables))]
fn read_by_all(py: Python<'_>, test: &Bound<'_, PyFoliarTest>, tables: Option<&Bound<'_, PyTables>>) -> PyResult<PyFoliarComparison> {
    let (test, all) = (test.get(), tables::of(py, tables)?);
    compute(py, "compare_foliar", || Ok(compare_foliar(&test.0, &all.foliar))).map(PyFoliarComparison)
}

/// nutrient, good %, bad %, bad over good
#[pyfunction]
#[pyo3(name = "compare_pair")]
fn good_and_bad(
    py: Python<'_>,
    good: &Bound<'_, PyFoliarTest>,
    bad: &Bound<'_, PyFoliarTest>,
) -> PyResult<Vec<(&'static str, f64, f64, f64)>> {
    let (good, bad) = (good.get(), bad.get());
    let lines = compute(py, "compare_pair", || compare_pair(&good.0, &bad.0))?;
    Ok(lines.iter().map(|l| (l.nutrient.name(), l.good_pct, l.bad_pct, l.ratio)).collect())
}

#[pyfunction]
fn pale_signs() -> Vec<&'static str> {
    Sign::ALL.iter().map(|sign| sign.name()).collect()
}

#[pyfunction]
#[pyo3(name = "measured_signs", signature = (*, ph, species, ph_table, needles, soil, tables))]
fn signs_of_tests(
    py: Python<'_>,
    ph: Option<&Any<'_>>,
    species: Option<&str>,
    ph_table: Option<&str>,
    needles: Option<&Bound<'_, PyFoliarReading>>,
    soil: Option<&Bound<'_, PyInterpretation>>,
    tables: Option<&Bound<'_, PyTables>>,
) -> PyResult<Vec<&'static str>> {
    let (ph, all) = (number_or_none("ph", ph)?, tables::of(py, tables)?);
    let (needles, soil) = (needles.map(|n| n.get()), soil.map(|s| s.get()));
    let signs = compute(py, "measured_signs", || {
        let target = match (ph, species) {
            (Some(ph), Some(species)) => {
                dibble::bounds::PH.check(ph)?;
                Some((ph, ph_targets(species, &all.main.ph)?.chosen(ph_table)?.clone()))
            }
            (Some(_), None) => return Err(Error::missing("species", "The pH is held against what the species wants.")),
            (None, _) => None,
        };
        Ok(measured_signs(target.as_ref().map(|(ph, t)| (*ph, t)), needles.map(|n| &n.0), soil.map(|s| &s.0)))
    })?;
    Ok(signs.into_iter().map(Sign::name).collect())
}

#[pyfunction]
#[pyo3(name = "rank_pale")]
fn ranked(py: Python<'_>, signs: Vec<String>) -> PyResult<PyPaleDiagnosis> {
    compute(py, "rank_pale", || {
        let (mut known, mut problems) = (Vec::new(), Vec::new());
        for sign in &signs {
            match sign.parse::<Sign>() {
                Ok(sign) => known.push(sign),
                Err(problem) => problems.push(problem),
            }
        }
        Error::several(problems).map_or(Ok(()), Err)?;
        rank_pale(&known)
    })
    .map(PyPaleDiagnosis)
}

/// Adds classes and functions to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyFoliarTest>()?;
    module.add_class::<PyFoliarReading>()?;
    module.add_class::<PyFoliarComparison>()?;
    module.add_class::<PyPaleDiagnosis>()?;
    module.add_function(wrap_pyfunction!(read_by_table, module)?)?;
    module.add_function(wrap_pyfunction!(read_by_all, module)?)?;
    module.add_function(wrap_pyfunction!(good_and_bad, module)?)?;
    module.add_function(wrap_pyfunction!(pale_signs, module)?)?;
    module.add_function(wrap_pyfunction!(signs_of_tests, module)?)?;
    module.add_function(wrap_pyfunction!(ranked, module)?)
}
