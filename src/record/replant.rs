//! Filling the gaps: how many trees to order, and how long it pays.

use super::survival::Survey;
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::pow;
use serde::{Deserialize, Serialize};

/// What an order of replants is reckoned from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ReplantInput {
    /// Trees planted in the whole block.
    pub of_trees: u32,
    /// Share of the replants that will die too, 0 to 0.9.
    pub loss: f64,
    /// Spares on top, as a share of the order, 0 to 1.
    pub spares: f64,
    /// Trees that the nursery puts in a bundle.
    pub bundle: u32,
}

/// Trees to order.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Replant {
    /// Missing trees by the rate.
    pub missing: f64,
    /// By the high end of the rate.
    pub missing_low: f64,
    /// By the low end of the rate.
    pub missing_high: f64,
    /// Trees to order, whole bundles.
    pub order: u32,
    /// Bundles.
    pub bundles: u32,
}

/// Trees to order for the gaps of a block, spares on top, rounded up to whole bundles.
///
/// order = missing / (1 - loss) x (1 + spares)
///
/// # Errors
/// A share out of range, no tree, a bundle of none.
///
/// ```
/// use dibble::record::{Plot, ReplantInput, SurveyInput, replant, survival};
/// let row = Plot { planted: 100, living: 88, ..Plot::default() };
/// let survey = survival(&SurveyInput::new(vec![row], Some(1240)))?;
/// // 12 % of 1240 are 148.8 trees; / 0.90 x 1.05 = 173.6, in bundles of 25: 7
/// let order = replant(&survey, &ReplantInput { of_trees: 1240, loss: 0.10, spares: 0.05, bundle: 25 })?;
/// assert_eq!((order.bundles, order.order), (7, 175));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn replant(survey: &Survey, given: &ReplantInput) -> Result<Replant> {
    bounds::LOSS.check(given.loss)?;
    bounds::FRACTION.named("spares").check(given.spares)?;
    if given.bundle == 0 || given.of_trees < survey.planted {
        let what = format!("{} trees were counted in a block of {}, bundles are of {}", survey.planted, given.of_trees, given.bundle);
        return Err(Error::inconsistent(what, "Give all trees that were planted, and at least one tree in a bundle."));
    }
    let trees = f64::from(given.of_trees);
    let missing = trees * (1.0 - survey.rate);
    // rounding of the shares shall not ask for a bundle more
    let needed = missing / (1.0 - given.loss) * (1.0 + given.spares) - 1e-9 * trees;
    let bundles = (needed / f64::from(given.bundle)).ceil().max(0.0);
    let order = bundles * f64::from(given.bundle);
    if order > f64::from(u32::MAX) {
        return Err(Error::inconsistent(format!("the order would be {order} trees"), "Correct trees, loss or bundle."));
    }
    Ok(Replant {
        missing,
        missing_low: trees * (1.0 - survey.high),
        missing_high: trees * (1.0 - survey.low),
        order: order as u32,
        bundles: bundles as u32,
    })
}

/// What a replanted tree costs and may bring.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct WorthInput {
    /// Years since the block was planted.
    pub age_years: f64,
    /// Years that a tree needs from planting to sale.
    pub sale_years: f64,
    /// Years from the block's planting until its ground is cleared.
    pub cleared_years: f64,
    /// What a tree brings at sale, costs of the years between taken off.
    pub price: f64,
    /// What one replant costs, planting included.
    pub cost: f64,
    /// Share of the replants that live to be sold, 0 to 1.
    pub survival: f64,
    /// Interest a year, 0 to 1.
    pub interest: f64,
}

/// Is a replant worth its cost?
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Worth {
    /// Is it?
    pub pays: bool,
    /// Does it reach its sale before the ground is cleared?
    pub in_time: bool,
    /// What one replant brings today, after its cost.
    pub net: f64,
    /// Share of replants that must live for it to pay; above 1 it cannot. Absent where a tree brings nothing.
    pub break_even_survival: Option<f64>,
    /// Age of the block until which a replant pays, years; absent where it never does.
    pub until_age_years: Option<f64>,
}

/// Is a replant worth its cost, and until which age of the block?
///
/// net = price x survival / (1 + interest)^sale_years - cost, and nothing is sold after the ground is cleared. That older
/// neighbors shade a late tree is not reckoned: lower its survival or raise its years.
///
/// # Errors
/// A value out of range; a block that is cleared before its own trees are sold.
///
/// # Source
/// Present value of one tree (any text on forest economics).
///
/// ```
/// use dibble::record::{WorthInput, replant_worth};
/// let given = WorthInput { age_years: 2.0, sale_years: 8.0, cleared_years: 11.0, price: 40.0, cost: 2.5, survival: 0.8, interest: 0.06 };
/// // 40 x 0.8 / 1.06^8 = 20.08 today; paid back even if only one replant in ten lives
/// let worth = replant_worth(&given)?;
/// assert_eq!((worth.pays, worth.until_age_years), (true, Some(3.0)));
/// assert_eq!(format!("{:.2} {:.3}", worth.net, worth.break_even_survival.unwrap_or(f64::NAN)), "17.58 0.100");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn replant_worth(given: &WorthInput) -> Result<Worth> {
    let checks = [
        bounds::AGE_YEARS.check(given.age_years),
        bounds::AGE_YEARS.named("sale_years").check(given.sale_years),
        bounds::AGE_YEARS.named("cleared_years").check(given.cleared_years),
        bounds::PRICE.check(given.price),
        bounds::PRICE.named("cost").check(given.cost),
        bounds::FRACTION.named("survival").check(given.survival),
        bounds::INTEREST.check(given.interest),
    ];
    if let Some(error) = Error::several(checks.into_iter().filter_map(Result::err).collect()) {
        return Err(error);
    }
    if given.cleared_years < given.sale_years {
        return Err(Error::inconsistent(
            format!("the ground is cleared after {} years, and a tree is sold after {}", given.cleared_years, given.sale_years),
            "Give the year in which the last trees of the block are sold.",
        ));
    }
    let brought = given.price / pow(1.0 + given.interest, given.sale_years);
    let net = brought * given.survival - given.cost;
    let until = given.cleared_years - given.sale_years;
    let in_time = given.age_years <= until;
    let worth_it = net >= 0.0;
    Ok(Worth {
        pays: worth_it && in_time,
        in_time,
        net,
        break_even_survival: (brought > 0.0).then(|| given.cost / brought),
        until_age_years: worth_it.then_some(until),
    })
}
