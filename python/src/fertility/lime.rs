//! Lime: pH targets, requirement, advice, materials.

use crate::explain::PyExplanation;
use crate::fertility::soil_test::PySoilTest;
use crate::fertility::tables::{self, PyTables};
use crate::gate::{choice, compute, formulas, number, number_or_none, quantity, quantity_or_none};
use crate::record::{self, answer, class};
use dibble::Error;
use dibble::fertility::{
    self, FinenessRule, LIME_CAP_KG_HA, LimeAdvice, LimeNeed, LimeOptions, LimeQuestion, LimingCompound, LimingMaterial, PhTargets,
    RecentLime, Sieves, advise_lime, lime_from_table, ph_targets,
};
use pyo3::prelude::*;
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

answer! {
    /// A lime requirement; made by `lime_requirement` or `lime_from_table`. `print` it.
    PyLimeNeed(LimeNeed) = "dibble.fertility", "LimeNeed";
    {
        /// The method, or the table.
        method,
        /// Soil pH in water.
        ph,
        /// pH wanted; `None` for methods that aim at no pH.
        target_ph,
        /// Lime, kg/ha; 0 where none is due.
        rate_kg_ha,
        /// What the rate is a rate of: "agricultural lime" or "pure calcium carbonate".
        of,
        /// The rate as pure calcium carbonate, kg/ha, where the method gives it.
        pure_kg_ha,
        /// Lowest and highest rate, kg/ha, where the method is a rough one.
        range_kg_ha,
        /// Depth of soil that the rate limes, m.
        depth_m,
        /// Where the method comes from.
        source,
        /// What to know about it.
        notes,
        /// What was taken for granted, each a dict.
        assumptions,
    }
    {
        /// The same requirement for another depth of soil, m or text ("4 in"): it goes with the depth.
        fn for_depth(&self, depth_m: &Any<'_>) -> PyResult<Self> {
            let depth = quantity("depth_m", "m", depth_m)?;
            compute(depth_m.py(), "LimeNeed.for_depth", || self.0.for_depth(depth)).map(Self)
        }
        /// How the rate was found, step by step; `print` it.
        fn explain(&self) -> PyExplanation {
            PyExplanation::from(self.0.steps.clone())
        }
    }
}

answer! {
    /// What every source wants as pH of a species, side by side; made by `ph_targets`. `print` it.
    PyPhTargets(PhTargets) = "dibble.fertility", "PhTargets";
    {
        /// The sources, those that name the species first: dicts with `table`, `source`, `general` and the `row`.
        targets,
        /// What you have to decide: the sources that differ.
        ask,
    }
    {}
}

answer! {
    /// What to do about the pH of a block; made by `lime_advice`. `print` it.
    PyLimeAdvice(LimeAdvice) = "dibble.fertility", "LimeAdvice";
    {
        /// "lime", "do not lime" or "too high".
        verdict,
        /// Why, with the source of the target.
        why,
        /// Lime of the material in all, kg/ha.
        material_kg_ha,
        /// Effective value of the material, a fraction of pure carbonate.
        effective_value,
        /// Cost of the material, a hectare.
        cost_per_ha,
        /// The spreadings, each a dict: `year`, `when`, `rate_kg_ha`.
        applications,
        /// What to mind.
        cautions,
        /// What was taken for granted, each a dict.
        assumptions,
    }
    {
        /// The requirement for the depth, where lime is due.
        #[getter]
        fn need(&self) -> Option<PyLimeNeed> {
            self.0.need.clone().map(PyLimeNeed)
        }
        /// Sulfur, where the pH is too high.
        #[getter]
        fn sulfur(&self) -> Option<super::sulfur::PySulfurNeed> {
            self.0.sulfur.clone().map(super::sulfur::PySulfurNeed)
        }
    }
}

class! {
    /// A liming material as its label or analysis has it.
    ///
    /// Parameters
    /// ----------
    /// name : str
    ///     Its name.
    /// carbonate_equivalent : float
    ///     Calcium carbonate equivalent, a fraction: 0.90 for 90 %.
    /// pass_8, pass_20, pass_60, pass_100 : float, optional
    ///     Share that passes each sieve, a fraction.
    /// moisture : float
    ///     Water in it, a fraction.
    /// price_per_t : float, optional
    ///     Price of a tonne.
    ///
    /// Examples
    /// --------
    /// >>> from dibble.fertility import LimingMaterial
    /// >>> lime = LimingMaterial("ground limestone", carbonate_equivalent=1.0, pass_20=0.95, pass_60=0.60, pass_100=0.50)
    /// >>> round(lime.effective_value("New York"), 3)
    /// 0.72
    PyLimingMaterial(LimingMaterial) = "dibble.fertility", "LimingMaterial", check |_| Ok(());
    {
        /// Its name.
        name,
        /// Calcium carbonate equivalent, a fraction.
        carbonate_equivalent,
        /// Water in it, a fraction.
        moisture,
        /// Price of a tonne.
        price_per_t,
    }
    {
        #[new]
        #[pyo3(signature = (name, *, carbonate_equivalent, pass_8 = None, pass_20 = None, pass_60 = None, pass_100 = None, moisture = None, price_per_t = None))]
        #[allow(clippy::too_many_arguments)] // keyword-only in Python
        fn new(
            name: String,
            carbonate_equivalent: &Any<'_>,
            pass_8: Option<&Any<'_>>,
            pass_20: Option<&Any<'_>>,
            pass_60: Option<&Any<'_>>,
            pass_100: Option<&Any<'_>>,
            moisture: Option<&Any<'_>>,
            price_per_t: Option<&Any<'_>>,
        ) -> PyResult<Self> {
            let sieves = Sieves {
                pass_8: number_or_none("pass_8", pass_8)?,
                pass_20: number_or_none("pass_20", pass_20)?,
                pass_60: number_or_none("pass_60", pass_60)?,
                pass_100: number_or_none("pass_100", pass_100)?,
            };
            Ok(Self(LimingMaterial {
                name,
                carbonate_equivalent: number("carbonate_equivalent", carbonate_equivalent)?,
                sieves: (sieves != Sieves::default()).then_some(sieves),
                moisture: number_or_none("moisture", moisture)?.unwrap_or(0.0),
                price_per_t: number_or_none("price_per_t", price_per_t)?,
            }))
        }

        /// Effective neutralizing value, a fraction of pure, fine carbonate, by the rule of "New York" or "Ohio".
        #[pyo3(signature = (rule = "New York"))]
        fn effective_value(&self, py: Python<'_>, rule: &str) -> PyResult<f64> {
            compute(py, "LimingMaterial.effective_value", || self.0.effective_value(rule.parse()?))
        }

        fn __repr__(&self) -> String {
            let sieves = record::arguments(&json!(self.0.sieves));
            let LimingMaterial { name, carbonate_equivalent, moisture, price_per_t, .. } = &self.0;
            let rest = record::arguments(&json!({"moisture": moisture, "price_per_t": price_per_t}));
            let parts = [format!("{name:?}"), format!("carbonate_equivalent={carbonate_equivalent:?}"), sieves, rest];
            format!("LimingMaterial({})", parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(", "))
        }
        fn _repr_html_(&self, py: Python<'_>) -> PyResult<String> {
            record::laid_out(py, "html", "LimingMaterial", &self.0)
        }
    }
}

formulas! {
    carbonate_for_acidity_kg_ha(acidity_meq, depth_m, bulk_density_g_cm3) =
        fertility::carbonate_for_acidity_kg_ha(acidity_meq, depth_m, bulk_density_g_cm3);
}

/// What a method may take into account.
pub fn options(
    from_memory: bool,
    recent_kg_ha: Option<&Any<'_>>,
    recent_months: Option<&Any<'_>>,
    organic_soil: bool,
    ag_lime_factor: Option<&Any<'_>>,
) -> PyResult<LimeOptions> {
    let recent = match (quantity_or_none("recent_kg_ha", "kg/ha", recent_kg_ha)?, number_or_none("recent_months", recent_months)?) {
        (Some(rate_kg_ha), Some(months)) => Some(RecentLime { rate_kg_ha, months, organic_soil }),
        (None, None) => None,
        _ => return Err(half_given(recent_kg_ha.or(recent_months))),
    };
    let usual = LimeOptions::default();
    let ag_lime_factor = number_or_none("ag_lime_factor", ag_lime_factor)?.unwrap_or(usual.ag_lime_factor);
    Ok(LimeOptions { from_memory, recent, ag_lime_factor })
}

fn half_given(given: Option<&Any<'_>>) -> PyErr {
    let refusal = Error::missing("recent_kg_ha or recent_months", "Lime spread not long ago needs both its rate and the months since.");
    Python::attach(|py| crate::error::raise(given.map_or(py, |g| g.py()), &refusal))
}

#[pyfunction]
#[pyo3(signature = (test, target_ph, method, *, from_memory, recent_kg_ha, recent_months, organic_soil, ag_lime_factor))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn lime_requirement(
    test: &Bound<'_, PySoilTest>,
    target_ph: &Any<'_>,
    method: &str,
    from_memory: bool,
    recent_kg_ha: Option<&Any<'_>>,
    recent_months: Option<&Any<'_>>,
    organic_soil: bool,
    ag_lime_factor: Option<&Any<'_>>,
) -> PyResult<PyLimeNeed> {
    let options = options(from_memory, recent_kg_ha, recent_months, organic_soil, ag_lime_factor)?;
    let (target, test) = (number("target_ph", target_ph)?, test.get());
    compute(target_ph.py(), "lime_requirement", || fertility::lime_requirement(&test.0, target, method.parse()?, &options)).map(PyLimeNeed)
}

#[pyfunction]
#[pyo3(name = "lime_from_table", signature = (test, target_ph, table, *, tables))]
fn lime_by_table(
    test: &Bound<'_, PySoilTest>,
    target_ph: &Any<'_>,
    table: &str,
    tables: Option<&Bound<'_, PyTables>>,
) -> PyResult<PyLimeNeed> {
    let py = target_ph.py();
    let (target, test, all) = (number("target_ph", target_ph)?, test.get(), tables::of(py, tables)?);
    compute(py, "lime_from_table", || lime_from_table(&test.0, target, all.lime.get(table)?)).map(PyLimeNeed)
}

#[pyfunction]
#[pyo3(name = "ph_targets", signature = (species, *, tables))]
fn wanted(py: Python<'_>, species: &str, tables: Option<&Bound<'_, PyTables>>) -> PyResult<PyPhTargets> {
    let all = tables::of(py, tables)?;
    compute(py, "ph_targets", || ph_targets(species, &all.main.ph)).map(PyPhTargets)
}

#[pyfunction]
#[pyo3(signature = (
    test, species, *, method, ph_table, stage, material, fineness, depth_m, cap_kg_ha, magnesium_short, from_memory, recent_kg_ha,
    recent_months, organic_soil, ag_lime_factor, tables
))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn lime_advice(
    py: Python<'_>,
    test: &Bound<'_, PySoilTest>,
    species: &str,
    method: &str,
    ph_table: Option<&str>,
    stage: &str,
    material: Option<&Bound<'_, PyLimingMaterial>>,
    fineness: &str,
    depth_m: Option<&Any<'_>>,
    cap_kg_ha: Option<&Any<'_>>,
    magnesium_short: Option<bool>,
    from_memory: bool,
    recent_kg_ha: Option<&Any<'_>>,
    recent_months: Option<&Any<'_>>,
    organic_soil: bool,
    ag_lime_factor: Option<&Any<'_>>,
    tables: Option<&Bound<'_, PyTables>>,
) -> PyResult<PyLimeAdvice> {
    let options = options(from_memory, recent_kg_ha, recent_months, organic_soil, ag_lime_factor)?;
    let rule: FinenessRule = choice(py, fineness)?;
    let depth_m = quantity_or_none("depth_m", "m", depth_m)?;
    let cap_kg_ha = quantity_or_none("cap_kg_ha", "kg/ha", cap_kg_ha)?.unwrap_or(LIME_CAP_KG_HA);
    let material = material.map(|m| (m.get().0.clone(), rule));
    let (test, all) = (test.get(), tables::of(py, tables)?);
    compute(py, "lime_advice", || {
        let target = ph_targets(species, &all.main.ph)?.chosen(ph_table)?.clone();
        let mut question = LimeQuestion::new(target, stage.parse()?, method.parse()?);
        question.options = options;
        question.depth_m = depth_m;
        question.material = material;
        question.cap_kg_ha = cap_kg_ha;
        question.magnesium_short = magnesium_short;
        advise_lime(&test.0, &question)
    })
    .map(PyLimeAdvice)
}

#[pyfunction]
fn carbonate_equivalent(py: Python<'_>, compound: &str) -> PyResult<f64> {
    let compound: LimingCompound = choice(py, compound)?;
    Ok(compound.carbonate_equivalent())
}

/// Adds classes and functions to `_dibble`.
pub fn register_classes(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyLimeNeed>()?;
    module.add_class::<PyPhTargets>()?;
    module.add_class::<PyLimeAdvice>()?;
    module.add_class::<PyLimingMaterial>()?;
    module.add_function(wrap_pyfunction!(lime_requirement, module)?)?;
    module.add_function(wrap_pyfunction!(lime_by_table, module)?)?;
    module.add_function(wrap_pyfunction!(wanted, module)?)?;
    module.add_function(wrap_pyfunction!(lime_advice, module)?)?;
    module.add_function(wrap_pyfunction!(carbonate_equivalent, module)?)
}
