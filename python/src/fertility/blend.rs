//! `Blend`: the cheapest mix.

use crate::control::long;
use crate::error;
use crate::explain::PyExplanation;
use crate::fertility::products;
use crate::gate::{choice, compute, number_or_none, quantity, quantity_or_none};
use crate::record::{self, answer, class};
use dibble::Error;
use dibble::control::Control;
use dibble::fertility::{Bags, Blend, BlendConflict, BlendRequest, Guarantee, Limit, Need, blend, blend_conflict};
use dibble::units::System;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyMapping, PyTuple};
use serde::{Deserialize, Serialize};
use std::ops::Deref;

type Any<'py> = Bound<'py, PyAny>;

/// A mix and the request it was made for, which its explanation needs.
#[derive(Clone, PartialEq, Serialize, Deserialize)]
pub struct Mixed {
    #[serde(flatten)]
    blend: Blend,
    #[serde(default)]
    request: Option<BlendRequest>,
}

impl Mixed {
    /// A mix that comes from outside: it adds up, and belongs to its request.
    fn check(&self) -> dibble::Result<()> {
        match &self.request {
            Some(request) => self.blend.check_for(request),
            None => self.blend.check(),
        }
    }
}

impl Deref for Mixed {
    type Target = Blend;
    fn deref(&self) -> &Blend {
        &self.blend
    }
}

class! {
    /// The cheapest mix and what can be said about it; made by `blend`. `print` it for sentences.
    PyBlend(Mixed) = "dibble.fertility", "Blend", check Mixed::check;
    {
        /// Cost of what is bought, in the unit of the prices.
        cost,
        /// Nothing cheaper exists; false where the work limit came first.
        proven,
        /// No mix costs less than this; only where the cost is not proven.
        bound,
        /// Each product, a dict: to spread, from stock, bought, bags, left over, cost.
        amounts,
        /// Each nutrient, a dict: what the mix brings, what was needed and allowed, kg.
        supplied,
        /// Salt, kg of sodium nitrate with the same effect; `None` where a product has no salt index.
        salt_kg,
        /// Calcium carbonate that the products use up, kg; `None` where a product has no figure.
        acidity_kg,
        /// Calcium carbonate equivalent that limes bring, kg.
        neutralizing_kg,
        /// What each limit costs, a dict: the limit, and how the cost falls or rises for each kg that it is lowered or raised.
        #[pyo3(name = "limits")]
        shadow_prices,
        /// Cost of the cheapest mix by weight.
        cost_by_weight,
        /// Cost of that mix with each product rounded up to whole bags, which may break a limit.
        cost_rounded_up,
        /// Products whose amount could differ at the same cost, each a dict; empty where the mix is the only one.
        ties,
    }
    {
        /// To spread of each product, kg, by name.
        #[getter]
        fn amounts_kg<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
            let kg = PyDict::new(py);
            for amount in &self.0.amounts {
                kg.set_item(&amount.product, amount.kg)?;
            }
            Ok(kg)
        }
        /// What the least of each nutrient costs for a kg, low and high end, by the names that `blend` takes ("n_kg");
        /// the ends differ where the mix is degenerate, and `None` is an end that no mix reaches. From the mix by weight.
        #[getter(shadow_prices)]
        fn price_by_need<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
            let prices = PyDict::new(py);
            for price in self.0.shadow_prices.iter().flatten() {
                if let Limit::AtLeast { nutrient } = price.limit {
                    let name = format!("{}_kg", nutrient.name().to_lowercase());
                    prices.set_item(name, (price.low_per_kg, price.high_per_kg))?;
                }
            }
            Ok(prices)
        }
        /// The mix in sentences, in "us" or "si" units: what to buy and spread, what it brings, what each limit costs.
        #[pyo3(signature = (*, units = "us"))]
        fn sentences(&self, py: Python<'_>, units: &str) -> PyResult<Vec<String>> {
            Ok(self.0.sentences(choice(py, units)?))
        }
        /// The sums behind the mix, step by step; `print` it.
        fn explain(&self, py: Python<'_>) -> PyResult<PyExplanation> {
            let steps = compute(py, "Blend.explain", || match &self.0.request {
                Some(request) => self.0.blend.explain(request),
                None => Err(Error::missing("the request of this mix", "Its JSON came without it: make the mix again.")),
            })?;
            Ok(PyExplanation::from(steps))
        }

        fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
            record::laid_out(py, "gist", "Blend", &self.0)
        }
        fn __str__(&self) -> String {
            self.0.sentences(System::Us).join("\n")
        }
        fn _repr_html_(&self) -> String {
            record::pre(&self.__str__())
        }
    }
}

answer! {
    /// Limits that no mix keeps together; made by `blend_conflict`. `print` it.
    PyConflict(BlendConflict) = "dibble.fertility", "BlendConflict";
    {
        /// The limits, each a dict: what was asked, and the nearest that a mix comes which keeps the others, kg.
        limits,
        /// No smaller set conflicts.
        smallest,
        /// By weight instead of in whole bags they could be kept.
        only_bags,
    }
    {}
}

/// "n_kg", "N", "p2o5_kg": the nutrient of a need.
fn guarantee(py: Python<'_>, key: &str) -> PyResult<Guarantee> {
    choice(py, key.strip_suffix("_kg").unwrap_or(key))
}

/// The least and the most of a need.
fn both<'py>(nutrient: Guarantee, pair: &Bound<'py, PyTuple>) -> PyResult<(Option<Any<'py>>, Option<Any<'py>>)> {
    pair.extract().map_err(|_| {
        let what = format!("the need of {nutrient} has {} numbers", pair.len());
        let hint = "Give the least, or the least and the most: (40, 45) or (40, None).";
        error::raise(pair.py(), &Error::inconsistent(what, hint))
    })
}

/// The needs of a mapping: a weight is the least, a pair is the least and the most.
fn needs(given: &Bound<'_, PyMapping>, credits: Option<&Bound<'_, PyMapping>>) -> PyResult<Vec<Need>> {
    let py = given.py();
    let mut needs = Vec::new();
    for item in given.items()?.iter() {
        let (key, value) = super::named(&item)?;
        let nutrient = guarantee(py, &key)?;
        let pair = value.cast::<PyTuple>().ok().map(|pair| both(nutrient, pair)).transpose()?;
        needs.push(match pair {
            Some((least, most)) => Need {
                nutrient,
                at_least_kg: quantity_or_none("at_least_kg", "kg", least.as_ref())?.unwrap_or(0.0),
                at_most_kg: quantity_or_none("at_most_kg", "kg", most.as_ref())?,
            },
            None => Need::at_least(nutrient, quantity("at_least_kg", "kg", &value)?),
        });
    }
    let Some(credits) = credits else { return Ok(needs) };
    for item in credits.items()?.iter() {
        let (key, value) = super::named(&item)?;
        let (nutrient, kg) = (guarantee(py, &key)?, quantity("credit_kg", "kg", &value)?);
        for need in needs.iter_mut().filter(|need| need.nutrient == nutrient) {
            *need = compute(py, "blend", || need.less(kg))?;
        }
    }
    Ok(needs)
}

#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn request(
    py: Python<'_>,
    asked: &Bound<'_, PyMapping>,
    products: Vec<Bound<'_, PyAny>>,
    bags: &str,
    oversupply: Option<&Any<'_>>,
    undersupply: Option<&Any<'_>>,
    salt_cap_kg: Option<&Any<'_>>,
    credits_kg: Option<&Bound<'_, PyMapping>>,
) -> PyResult<BlendRequest> {
    Ok(BlendRequest {
        needs: needs(asked, credits_kg)?,
        products: products::of(py, &products)?,
        oversupply: number_or_none("oversupply", oversupply)?,
        undersupply: number_or_none("undersupply", undersupply)?,
        salt_cap_kg: quantity_or_none("salt_cap_kg", "kg", salt_cap_kg)?,
        bags: choice(py, bags)?,
    })
}

fn mixed(request: BlendRequest, control: &Control) -> dibble::Result<PyBlend> {
    let blend = blend(&request, control)?;
    Ok(PyBlend(Mixed { blend, request: Some(request) }))
}

/// The cheapest mix; `dibble/fertility/blend.py` says what the arguments mean.
#[pyfunction]
#[pyo3(name = "blend", signature = (needs, products, *, bags, oversupply, undersupply, salt_cap_kg, credits_kg, work_limit, progress))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn cheapest(
    py: Python<'_>,
    needs: &Bound<'_, PyMapping>,
    products: Vec<Bound<'_, PyAny>>,
    bags: &str,
    oversupply: Option<&Any<'_>>,
    undersupply: Option<&Any<'_>>,
    salt_cap_kg: Option<&Any<'_>>,
    credits_kg: Option<&Bound<'_, PyMapping>>,
    work_limit: Option<&Any<'_>>,
    progress: Option<&Any<'_>>,
) -> PyResult<PyBlend> {
    let whole = |given: &Any<'_>| {
        given.extract::<u64>().map_err(|_| {
            let what = format!("work_limit is {given}");
            error::raise(py, &Error::inconsistent(what, "Give the most branch-and-bound nodes, a whole number from 0."))
        })
    };
    let work_limit = work_limit.map(whole).transpose()?;
    let request = request(py, needs, products, bags, oversupply, undersupply, salt_cap_kg, credits_kg)?;
    // a linear program is over before a thread would have begun
    if request.bags == Bags::Loose {
        return compute(py, "blend", || mixed(request, &Control::new()));
    }
    long(py, "blend", progress, move |control| match work_limit {
        Some(steps) => mixed(request, &control.clone().with_limit(steps)),
        None => mixed(request, control),
    })
}

/// The limits that conflict.
#[pyfunction]
#[pyo3(name = "blend_conflict", signature = (needs, products, *, bags, oversupply, undersupply, salt_cap_kg, credits_kg))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn conflict(
    py: Python<'_>,
    needs: &Bound<'_, PyMapping>,
    products: Vec<Bound<'_, PyAny>>,
    bags: &str,
    oversupply: Option<&Any<'_>>,
    undersupply: Option<&Any<'_>>,
    salt_cap_kg: Option<&Any<'_>>,
    credits_kg: Option<&Bound<'_, PyMapping>>,
) -> PyResult<Option<PyConflict>> {
    let request = request(py, needs, products, bags, oversupply, undersupply, salt_cap_kg, credits_kg)?;
    long(py, "blend_conflict", None, move |control| Ok(blend_conflict(&request, control)?.map(PyConflict)))
}

/// Adds classes and functions to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyBlend>()?;
    module.add_class::<PyConflict>()?;
    module.add_function(wrap_pyfunction!(cheapest, module)?)?;
    module.add_function(wrap_pyfunction!(conflict, module)?)
}
