//! The cheapest mix of products that meets needs and limits, by weight or in whole bags.
//!
//! Needs are totals: kilograms for the ground that the mix is for (kg/ha in, kg/ha out). Every mix is checked
//! against the needs apart from the solver. The answer is arithmetic, not a nutrient management plan.

mod answer;
mod explain;
mod model;

pub use answer::{Amount, Blend, BlendConflict, Clashing, ShadowPrice, Supplied, TiedRange};

use super::products::{Guarantee, PRICE_HINT, Product};
use crate::bounds;
use crate::control::Control;
use crate::error::{Error, Result};
use crate::words::{same, words};
use model::Model;
use serde::{Deserialize, Serialize};
use std::fmt;

words! {
    /// How products are bought and spread.
    pub enum Bags: "bags" {
        /// By weight, as from a bulk bin.
        Loose = "loose",
        /// In whole bags that are spread to the last.
        Whole = "whole",
        /// In whole bags; what a bag holds beyond the need is kept.
        Opened = "opened",
    }
}

/// How much of one nutrient the mix must and may bring.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Need {
    /// The nutrient, as labels state it.
    pub nutrient: Guarantee,
    /// No less than this, kg.
    #[serde(default)]
    pub at_least_kg: f64,
    /// No more than this, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_most_kg: Option<f64>,
}

impl Need {
    /// A need without an upper limit.
    pub fn at_least(nutrient: Guarantee, kg: f64) -> Self {
        Self { nutrient, at_least_kg: kg, at_most_kg: None }
    }

    /// A need with an upper limit.
    pub fn between(nutrient: Guarantee, least_kg: f64, most_kg: f64) -> Self {
        Self { nutrient, at_least_kg: least_kg, at_most_kg: Some(most_kg) }
    }

    /// The same need for `area` times the ground.
    #[must_use]
    pub fn times(self, area: f64) -> Self {
        Self { at_least_kg: self.at_least_kg * area, at_most_kg: self.at_most_kg.map(|kg| kg * area), ..self }
    }

    /// The same need less what comes from elsewhere (manure, compost, clover), both limits lowered; never below 0.
    ///
    /// # Errors
    /// A weight out of range.
    ///
    /// ```
    /// use dibble::fertility::{Guarantee, Manure, ManureKind, Need, manure_nitrogen_kg};
    /// let spread = Manure { kind: ManureKind::Cow, dry_matter_pct: 12.0, organic_n_kg: 50.0, years_ago: 0 };
    /// let need = Need::between(Guarantee::N, 60.0, 65.0).less(manure_nitrogen_kg(&[spread])?)?;
    /// assert_eq!((need.at_least_kg, need.at_most_kg), (42.5, Some(47.5)));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn less(self, credit_kg: f64) -> Result<Self> {
        let credit = bounds::MASS_KG.named("credit_kg").check(credit_kg)?;
        let lower = |kg: f64| (kg - credit).max(0.0);
        Ok(Self { at_least_kg: lower(self.at_least_kg), at_most_kg: self.at_most_kg.map(lower), ..self })
    }
}

/// The least weight of a nutrient that can be asked for.
const LEAST_KG: f64 = 1e-6;

/// What to mix, from what, within which limits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BlendRequest {
    /// Needs, each nutrient once.
    pub needs: Vec<Need>,
    /// Products with their prices, bags and stock.
    pub products: Vec<Product>,
    /// Share by which a nutrient that is needed may be exceeded, 0.10 for 10 %, where its need names no upper limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub oversupply: Option<f64>,
    /// Share by which a mix in bags may fall short of a need, so that no bag is bought for a crumb, 0.02 for 2 %; the
    /// answer says by how much each need is missed. A mix by weight falls short of none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub undersupply: Option<f64>,
    /// Most salt, kg of sodium nitrate with the same effect (weight times salt index over 100).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub salt_cap_kg: Option<f64>,
    /// How products are bought.
    #[serde(default = "loose")]
    pub bags: Bags,
}

fn loose() -> Bags {
    Bags::Loose
}

impl BlendRequest {
    /// By weight, without further limits.
    pub fn new(needs: Vec<Need>, products: Vec<Product>) -> Self {
        Self { needs, products, oversupply: None, undersupply: None, salt_cap_kg: None, bags: Bags::Loose }
    }

    /// Lower limit of a need, less the tolerance of bags.
    fn at_least_kg(&self, need: &Need) -> f64 {
        let share = if self.bags == Bags::Loose { 0.0 } else { self.undersupply.unwrap_or(0.0) };
        need.at_least_kg * (1.0 - share)
    }

    /// Upper limit of a need, its own or by the tolerance.
    fn at_most_kg(&self, need: &Need) -> Option<f64> {
        need.at_most_kg.or_else(|| Some(need.at_least_kg * (1.0 + self.oversupply.filter(|_| need.at_least_kg > 0.0)?)))
    }

    /// Every value in its range and the request complete.
    ///
    /// # Errors
    /// All problems at once.
    pub fn check(&self) -> Result<()> {
        let mut problems = Vec::new();
        if self.needs.is_empty() {
            problems.push(Error::missing("needs", "Name at least one nutrient and its weight, for instance 40 kg of N."));
        }
        for (i, need) in self.needs.iter().enumerate() {
            let place = format!("need of {}", need.nutrient);
            let mut add = |e: Error| problems.push(e.at(place.as_str()));
            let least = bounds::MASS_KG.named("at_least_kg").check(need.at_least_kg).map_err(&mut add);
            let most = bounds::MASS_KG.named("at_most_kg").check_option(need.at_most_kg).map_err(&mut add);
            if let (Ok(least), Ok(Some(most))) = (least, most)
                && least > most
            {
                add(Error::inconsistent(format!("at_least_kg {least} is above at_most_kg {most}"), "Swap them."));
            }
            if need.at_least_kg > 0.0 && need.at_least_kg < LEAST_KG {
                let what = format!("at_least_kg {} is less than {LEAST_KG} kg, a milligram", need.at_least_kg);
                add(Error::inconsistent(what, "Give 0 or a weight that can be weighed."));
            }
            if self.needs.iter().take(i).any(|n| n.nutrient == need.nutrient) {
                add(Error::inconsistent("it stands twice", "Give each nutrient once."));
            }
        }
        if self.products.is_empty() {
            problems.push(Error::missing("products", "Give at least one product with its price."));
        }
        for (i, product) in self.products.iter().enumerate() {
            problems.extend(product.check().err().into_iter().flat_map(|e| e.problems().to_vec()));
            let place = format!("product \"{}\"", product.name);
            let mut add = |e: Error| problems.push(e.at(place.as_str()));
            if self.products.iter().take(i).any(|p| same(&p.name, &product.name)) {
                add(Error::inconsistent("it stands twice", "Give each product a name of its own."));
            }
            if product.price().is_none() && product.price_per_bag.is_none() && product.on_hand_kg == 0.0 {
                add(Error::missing("the price", format!("{PRICE_HINT} Or give on_hand_kg, if it lies in the shed.")));
            }
            if self.bags != Bags::Loose && product.price().is_some() && product.bag_kg.is_none() {
                add(Error::missing("bag_kg", "Whole bags need the weight of a bag."));
            }
            if self.salt_cap_kg.is_some() && product.salt_index.is_none() {
                add(Error::missing("salt_index", "A salt cap needs the salt index of every product; its data sheet has it."));
            }
        }
        problems.extend(bounds::OVERSUPPLY.check_option(self.oversupply).err());
        problems.extend(bounds::UNDERSUPPLY.check_option(self.undersupply).err());
        problems.extend(bounds::MASS_KG.named("salt_cap_kg").check_option(self.salt_cap_kg).err());
        Error::several(problems).map_or(Ok(()), Err)
    }
}

/// One limit that a mix must keep.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", tag = "limit")]
#[non_exhaustive]
pub enum Limit {
    /// The least of a nutrient.
    AtLeast {
        /// The nutrient.
        nutrient: Guarantee,
    },
    /// The most of a nutrient.
    AtMost {
        /// The nutrient.
        nutrient: Guarantee,
    },
    /// The salt cap.
    Salt,
    /// The most of a product that is to be used.
    Use {
        /// Its name.
        product: String,
    },
    /// What lies in the shed of a product.
    OnHand {
        /// Its name.
        product: String,
    },
}

impl fmt::Display for Limit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Limit::AtLeast { nutrient } => write!(f, "{nutrient} at least"),
            Limit::AtMost { nutrient } => write!(f, "{nutrient} at most"),
            Limit::Salt => write!(f, "salt at most"),
            Limit::Use { product } => write!(f, "{product} at most"),
            Limit::OnHand { product } => write!(f, "{product} on hand at most"),
        }
    }
}

/// The cheapest mix.
///
/// Of mixes that cost the same it takes the lightest, and of those the one with the most of the product whose name
/// comes first; [`Blend::ties`] lists what could vary. An integer program steps `control` by branch-and-bound nodes.
///
/// # Errors
/// Values out of range, something missing (all problems at once); no mix keeps all limits: names the smallest set
/// that conflicts and how far each limit could be kept; cancelled, or the work limit came before any mix.
///
/// ```
/// use dibble::control::Control;
/// use dibble::fertility::{BlendRequest, Guarantee, Need, Product, blend};
/// // Prices for a pound; a linear program does not mind that the needs are in pounds too.
/// let priced = |name: &str, price| Product::find(name).map(|p| Product { price_per_kg: Some(price), ..p });
/// let products = vec![priced("urea", 0.30)?, priced("DAP", 0.40)?, priced("MOP", 0.28)?, priced("AS", 0.25)?];
/// let needs = vec![
///     Need::between(Guarantee::N, 60.0, 65.0),
///     Need::between(Guarantee::P2o5, 40.0, 45.0),
///     Need::between(Guarantee::K2o, 50.0, 60.0),
///     Need::between(Guarantee::S, 15.0, 30.0),
/// ];
/// let mix = blend(&BlendRequest::new(needs, products), &Control::new())?;
/// assert_eq!(format!("{:.2}", mix.cost), "94.10");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn blend(request: &BlendRequest, control: &Control) -> Result<Blend> {
    request.check()?;
    let tolerance = if request.bags == Bags::Loose { 0.0 } else { request.undersupply.unwrap_or(0.0) };
    if tolerance == 0.0 {
        return Model::new(request)?.blend(control);
    }
    // the least shortfall that saves what the whole tolerance saves: no need is missed where that saves nothing
    let short_by = |share: f64| {
        let request = BlendRequest { undersupply: Some(share * tolerance), ..request.clone() };
        Model::new(&request)?.blend(control)
    };
    let cheapest = match short_by(1.0) {
        // told of what was asked
        Err(error) if error.is_infeasible() => return short_by(0.0),
        other => other?,
    };
    for share in [0.0, 0.125, 0.25, 0.5] {
        match short_by(share) {
            Ok(mix) if mix.cost <= cheapest.cost * (1.0 + 1e-9) => return Ok(mix),
            Err(error) if !error.is_infeasible() => return Err(error),
            _ => {}
        }
    }
    Ok(cheapest)
}

/// Why no mix keeps all limits: the smallest set that conflicts; `None` where there is a mix.
///
/// # Errors
/// As [`blend`], without the conflict.
pub fn blend_conflict(request: &BlendRequest, control: &Control) -> Result<Option<BlendConflict>> {
    request.check()?;
    let Some(found) = Model::new(request)?.conflict(control)? else { return Ok(None) };
    if request.undersupply.is_none() {
        return Ok(Some(found));
    }
    // told of what was asked
    Model::new(&BlendRequest { undersupply: None, ..request.clone() })?.conflict(control)
}
