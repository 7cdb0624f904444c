//! By hand and by spreader.

use crate::gate::{choice, compute, formulas, number, quantity, quantity_or_none};
use crate::record::answer;
use dibble::fertility::{self, HandAmount, HandInput, SpreaderReading, SpreaderTest};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

answer! {
    /// An amount for one tree as a hand measures it; made by `by_hand`. `print` it.
    PyHandAmount(HandAmount) = "dibble.fertility", "HandAmount";
    {
        /// Product for a tree, g.
        product_g,
        /// The same, oz.
        product_oz,
        /// The same by volume, mL.
        volume_ml,
        /// The same, level US cups.
        cups,
        /// The same, level US tablespoons.
        tablespoons,
        /// The same in your scoop, a dict: `scoops` to the quarter, what they weigh, and how far that is off.
        scoop,
        /// Whole trees that a bag feeds.
        trees_per_bag,
        /// Product for all trees, kg.
        total_kg,
        /// Whole bags for all trees.
        bags,
    }
    {
        /// The amount in a sentence, in "us" or "si" units.
        #[pyo3(signature = (*, units = "us"))]
        fn words(&self, py: Python<'_>, units: &str) -> PyResult<String> {
            Ok(self.0.words(choice(py, units)?))
        }
    }
}

answer! {
    /// What a spreader test says; made by `spreader`. `print` it.
    PySpreaderReading(SpreaderReading) = "dibble.fertility", "SpreaderReading";
    {
        /// What should have been caught, kg.
        should_catch_kg,
        /// The rate that it spread, kg/ha.
        spreads_kg_ha,
        /// How far that is off, percent.
        off_pct,
        /// Factor on the opening or on the walking time to come right.
        open_by,
    }
    {}
}

formulas! {
    product_for(nutrient_g, content_pct) = fertility::product_for(nutrient_g, content_pct);
}

#[pyfunction]
#[pyo3(signature = (*, product_g, density_kg_m3, scoop_ml, bag_kg, trees))]
fn by_hand(
    product_g: &Any<'_>,
    density_kg_m3: &Any<'_>,
    scoop_ml: Option<&Any<'_>>,
    bag_kg: Option<&Any<'_>>,
    trees: Option<u32>,
) -> PyResult<PyHandAmount> {
    let input = HandInput {
        product_g: quantity("product_g", "g", product_g)?,
        density_kg_m3: quantity("density_kg_m3", "kg/m3", density_kg_m3)?,
        scoop_ml: quantity_or_none("scoop_ml", "mL", scoop_ml)?,
        bag_kg: quantity_or_none("bag_kg", "kg", bag_kg)?,
        trees,
    };
    compute(product_g.py(), "by_hand", || fertility::by_hand(&input)).map(PyHandAmount)
}

#[pyfunction]
#[pyo3(signature = (*, rate_kg_ha, swath_m, distance_m, caught_kg))]
fn spreader(rate_kg_ha: &Any<'_>, swath_m: &Any<'_>, distance_m: &Any<'_>, caught_kg: &Any<'_>) -> PyResult<PySpreaderReading> {
    let test = SpreaderTest {
        rate_kg_ha: quantity("rate_kg_ha", "kg/ha", rate_kg_ha)?,
        swath_m: quantity("swath_m", "m", swath_m)?,
        distance_m: quantity("distance_m", "m", distance_m)?,
        caught_kg: quantity("caught_kg", "kg", caught_kg)?,
    };
    compute(rate_kg_ha.py(), "spreader", || fertility::spreader(&test)).map(PySpreaderReading)
}

/// liters, seconds
#[pyfunction]
#[pyo3(signature = (*, volume_l_ha, trees_per_ha, flow_l_min))]
fn liquid_per_tree(volume_l_ha: &Any<'_>, trees_per_ha: &Any<'_>, flow_l_min: &Any<'_>) -> PyResult<(f64, f64)> {
    let volume = quantity("volume_l_ha", "L/ha", volume_l_ha)?;
    let trees = quantity("trees_per_ha", "trees/ha", trees_per_ha)?;
    let flow = quantity("flow_l_min", "L/min", flow_l_min)?;
    compute(volume_l_ha.py(), "liquid_per_tree", || fertility::liquid_per_tree(volume, trees, flow))
}

/// Weight of the element in an amount of a form.
#[pyfunction]
fn to_element(nutrient: &str, form: &str, amount: &Any<'_>) -> PyResult<f64> {
    let amount_in = number("amount", amount)?;
    compute(amount.py(), "to_element", || fertility::to_element(nutrient.parse()?, form.parse()?, amount_in))
}

/// Adds classes and functions to `_dibble`.
pub fn register_classes(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyHandAmount>()?;
    module.add_class::<PySpreaderReading>()?;
    module.add_function(wrap_pyfunction!(by_hand, module)?)?;
    module.add_function(wrap_pyfunction!(spreader, module)?)?;
    module.add_function(wrap_pyfunction!(liquid_per_tree, module)?)?;
    module.add_function(wrap_pyfunction!(to_element, module)?)
}
