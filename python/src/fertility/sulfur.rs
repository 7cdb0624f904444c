//! A pH that is too high, and what water and nitrogen do to it.

use crate::fertility::tables::{self, PyTables};
use crate::gate::{compute, formulas, number, number_or_none, quantity, quantity_or_none};
use crate::record::answer;
use dibble::fertility::{self, AcidYear, SULFUR_CAP_KG_HA, SulfurNeed, SulfurQuestion, TextureGroup, WaterLoad, WaterTest, acid_balance};
use dibble::soil::TextureClass;
use dibble::units::System;
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

answer! {
    /// Sulfur for a lower pH, or the reason why it cannot be reached; made by `sulfur_need`. `print` it.
    PySulfurNeed(SulfurNeed) = "dibble.fertility", "SulfurNeed";
    {
        /// "lower the pH", "not needed" or "cannot be reached".
        verdict,
        /// Why.
        why,
        /// Elemental sulfur in all, kg/ha.
        total_kg_ha,
        /// Years it is spread over.
        years,
        /// In each year, kg/ha.
        each_year_kg_ha,
        /// Other sources for the same step, each a dict: `source`, `rate_kg_ha`.
        others,
        /// Where the rate comes from.
        source,
        /// What to mind.
        cautions,
    }
    {}
}

answer! {
    /// What a season's irrigation brings; made by `water_load`. `print` it.
    PyWaterLoad(WaterLoad) = "dibble.fertility", "WaterLoad";
    {
        /// Lime equivalent, kg/ha of calcium carbonate.
        lime_kg_ha,
        /// Dissolved salts, kg/ha.
        salt_kg_ha,
        /// Sodium adsorption ratio, where Na, Ca and Mg are known.
        sodium_ratio,
        /// What to mind.
        cautions,
    }
    {}
}

formulas! {
    water_lime_kg_ha(irrigation_mm, alkalinity_mg_l) = fertility::water_lime_kg_ha(irrigation_mm, alkalinity_mg_l);
}

#[pyfunction]
#[pyo3(signature = (*, ph, target_ph, texture, free_carbonate, living_roots, cap_kg_ha, tables))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn sulfur_need(
    ph: &Any<'_>,
    target_ph: &Any<'_>,
    texture: &str,
    free_carbonate: Option<bool>,
    living_roots: bool,
    cap_kg_ha: Option<&Any<'_>>,
    tables: Option<&Bound<'_, PyTables>>,
) -> PyResult<PySulfurNeed> {
    let py = ph.py();
    let all = tables::of(py, tables)?;
    let (ph, target_ph) = (number("ph", ph)?, number("target_ph", target_ph)?);
    let cap_kg_ha = quantity_or_none("cap_kg_ha", "kg/ha", cap_kg_ha)?.unwrap_or(SULFUR_CAP_KG_HA);
    compute(py, "sulfur_need", || {
        let texture = texture.parse().or_else(|_| texture.parse::<TextureClass>().map(TextureGroup::from))?;
        fertility::sulfur_need(
            &SulfurQuestion { ph, target_ph, texture, free_carbonate, living_roots, cap_kg_ha, units: System::Us },
            &all.sulfur,
        )
    })
    .map(PySulfurNeed)
}

#[pyfunction]
#[pyo3(signature = (*, irrigation_mm, alkalinity_mg_l, ec_ds_m, na_mg_l, ca_mg_l, mg_mg_l))]
fn water_load(
    irrigation_mm: &Any<'_>,
    alkalinity_mg_l: &Any<'_>,
    ec_ds_m: &Any<'_>,
    na_mg_l: Option<&Any<'_>>,
    ca_mg_l: Option<&Any<'_>>,
    mg_mg_l: Option<&Any<'_>>,
) -> PyResult<PyWaterLoad> {
    let test = WaterTest {
        alkalinity_mg_l: number("alkalinity_mg_l", alkalinity_mg_l)?,
        ec_ds_m: number("ec_ds_m", ec_ds_m)?,
        na_mg_l: number_or_none("na_mg_l", na_mg_l)?,
        ca_mg_l: number_or_none("ca_mg_l", ca_mg_l)?,
        mg_mg_l: number_or_none("mg_mg_l", mg_mg_l)?,
    };
    let irrigation = quantity("irrigation_mm", "mm", irrigation_mm)?;
    compute(irrigation_mm.py(), "water_load", || fertility::water_load(&test, irrigation, System::Us)).map(PyWaterLoad)
}

/// Acid, lime of the water, lime spread and balance of each year, kg/ha of carbonate.
#[pyfunction]
#[pyo3(name = "acid_balance")]
fn balance(py: Python<'_>, years: Vec<(f64, f64, f64, f64, f64)>) -> PyResult<Vec<(f64, f64, f64, f64)>> {
    let year = |(n_kg_ha, caco3_per_n, irrigation_mm, alkalinity_mg_l, lime_kg_ha)| AcidYear {
        n_kg_ha,
        caco3_per_n,
        irrigation_mm,
        alkalinity_mg_l,
        lime_kg_ha,
    };
    let years: Vec<AcidYear> = years.into_iter().map(year).collect();
    let found = compute(py, "acid_balance", || acid_balance(&years))?;
    Ok(found.iter().map(|y| (y.acid_kg_ha, y.water_kg_ha, y.lime_kg_ha, y.balance_kg_ha)).collect())
}

/// Adds classes and functions to `_dibble`.
pub fn register_classes(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add("UREA_CACO3_PER_N", fertility::UREA_CACO3_PER_N)?;
    module.add("AMMONIUM_SULFATE_CACO3_PER_N", fertility::AMMONIUM_SULFATE_CACO3_PER_N)?;
    module.add_class::<PySulfurNeed>()?;
    module.add_class::<PyWaterLoad>()?;
    module.add_function(wrap_pyfunction!(sulfur_need, module)?)?;
    module.add_function(wrap_pyfunction!(water_load, module)?)?;
    module.add_function(wrap_pyfunction!(balance, module)?)
}
