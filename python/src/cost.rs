//! `dibble.cost`: cost of a pass, worth of a tree, break-even.

use crate::gate::{compute, number, number_or_none, whole};
use crate::record::{self, answer};
use dibble::bounds;
use dibble::cost::{self, PassCost, PassInput, PassWorth, PassWorthInput, TreeInput, TreeWorth};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

answer! {
    /// The cost of a pass; made by `pass_cost`. `print` it.
    PyPassCost(PassCost) = "dibble.cost", "PassCost";
    {
        /// All together.
        total,
        /// Fuel or current.
        fuel,
        /// Moves and watching.
        labor,
        /// Water.
        water,
        /// Wear.
        wear,
        /// Hours of people's time.
        people_h,
        /// Fuel, L (kWh for a motor).
        fuel_l,
        /// Cost of an acre-inch drawn; None without water.
        per_acre_inch,
        /// Cost of a cubic meter drawn; None without water.
        per_m3,
        /// Cost of a tree; None without trees.
        per_tree,
        /// Cost of a hectare; None without ground.
        per_ha,
        /// How it was reckoned, each step a dict.
        steps,
    }
    {}
}

answer! {
    /// What a tree is worth; made by `tree_worth`. `print` it.
    PyTreeWorth(TreeWorth) = "dibble.cost", "TreeWorth";
    {
        /// Present value of its sale.
        present,
        /// Present value of a replacement's sale; None where none can be planted.
        replaced,
        /// Lost with the tree: the smaller of both ways.
        loss,
        /// Does it pay to replace it?
        replant,
        /// How it was reckoned, each step a dict.
        steps,
    }
    {}
}

answer! {
    /// Whether a pass is worth it; made by `pass_worth`. `print` it.
    PyPassWorth(PassWorth) = "dibble.cost", "PassWorth";
    {
        /// Value at risk: what is lost if all the trees die.
        at_risk,
        /// Trees that the pass has to save to pay for itself.
        break_even_trees,
        /// The same as a share of the trees; above 1 it cannot pay.
        break_even_share,
        /// Gain less cost at both ends of the share saved; None without it.
        gain,
    }
    {}
}

#[pyfunction]
#[pyo3(signature = (*, moves, **amounts))]
fn pass_cost(py: Python<'_>, moves: &Any<'_>, amounts: Option<&Bound<'_, pyo3::types::PyDict>>) -> PyResult<PyPassCost> {
    let given = |name: &'static str| -> PyResult<f64> {
        let value = amounts.map(|a| a.get_item(name)).transpose()?.flatten();
        value.map_or(Ok(0.0), |v| number(name, &v))
    };
    let input = PassInput {
        run_h: given("run_h")?,
        fuel_per_h: given("fuel_per_h")?,
        fuel_price: given("fuel_price")?,
        moves: u32::try_from(whole(&bounds::MOVES, moves)?).unwrap_or(u32::MAX),
        move_min: given("move_min")?,
        people: given("people")?,
        watch_h: given("watch_h")?,
        wage_h: given("wage_h")?,
        water_l: given("water_l")?,
        water_price_m3: given("water_price_m3")?,
        wear_h: given("wear_h")?,
        area_m2: given("area_m2")?,
        trees: given("trees")?,
    };
    compute(py, "pass_cost", || cost::pass_cost(&input)).map(PyPassCost)
}

/// A tree and its sale, as `dibble/cost.py` has it.
#[derive(FromPyObject)]
struct TreeIn<'py> {
    price: Any<'py>,
    years: Any<'py>,
    interest: Any<'py>,
    replant_cost: Option<Any<'py>>,
    delay_years: Any<'py>,
    care_saved: Any<'py>,
}

impl TreeIn<'_> {
    fn tree(&self) -> PyResult<TreeInput> {
        Ok(TreeInput {
            price: number("price", &self.price)?,
            years: number("years", &self.years)?,
            interest: number("interest", &self.interest)?,
            replant_cost: number_or_none("replant_cost", self.replant_cost.as_ref())?,
            delay_years: number("delay_years", &self.delay_years)?,
            care_saved: number("care_saved", &self.care_saved)?,
        })
    }
}

#[pyfunction]
fn tree_worth(py: Python<'_>, tree: TreeIn<'_>) -> PyResult<PyTreeWorth> {
    let tree = tree.tree()?;
    compute(py, "tree_worth", || cost::tree_worth(&tree)).map(PyTreeWorth)
}

#[pyfunction]
fn value_by_age<'py>(py: Python<'py>, tree: TreeIn<'py>) -> PyResult<Any<'py>> {
    let tree = tree.tree()?;
    let table = compute(py, "value_by_age", || cost::value_by_age(&tree))?;
    record::to_dict(py, "value_by_age", &table)
}

#[pyfunction]
#[pyo3(signature = (*, cost, trees, loss, saved))]
fn pass_worth(py: Python<'_>, cost: &Any<'_>, trees: &Any<'_>, loss: &Any<'_>, saved: Option<(Any<'_>, Any<'_>)>) -> PyResult<PyPassWorth> {
    let input = PassWorthInput {
        cost: number("cost", cost)?,
        trees: number("trees", trees)?,
        loss: number("loss", loss)?,
        saved: saved.map(|(low, high)| Ok::<_, PyErr>((number("saved", &low)?, number("saved", &high)?))).transpose()?,
    };
    compute(py, "pass_worth", || cost::pass_worth(&input)).map(PyPassWorth)
}

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyPassCost>()?;
    module.add_class::<PyTreeWorth>()?;
    module.add_class::<PyPassWorth>()?;
    module.add_function(wrap_pyfunction!(pass_cost, module)?)?;
    module.add_function(wrap_pyfunction!(tree_worth, module)?)?;
    module.add_function(wrap_pyfunction!(value_by_age, module)?)?;
    module.add_function(wrap_pyfunction!(pass_worth, module)?)
}
