//! What a tree is worth today, what is lost with it, and how many trees a pass has to save to pay.
//!
//! A tree lost is not the price at sale: that lies years ahead, and a replacement may still be sold, later. Lost with it is
//! the smaller of the present value itself, and the replacement with the value of its delay.

use crate::bounds;
use crate::error::{Error, Result};
use crate::explain::Step;
use crate::num::pow;
use serde::{Deserialize, Serialize};

/// A tree and its sale.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct TreeInput {
    /// Price at sale, selling cost taken off.
    pub price: f64,
    /// Years until the sale, 0 to 200.
    pub years: f64,
    /// Interest, a share a year: 0.06 for 6 %.
    pub interest: f64,
    /// Stock and planting of a replacement; `None` where none can be planted.
    #[serde(default)]
    pub replant_cost: Option<f64>,
    /// Years by which a replacement is sold later: 1 for a tree lost in its first summer, one more for each year that it stood.
    #[serde(default = "one")]
    pub delay_years: f64,
    /// Present value of care (mowing, shearing, feeding) that a lost tree needs no more and a replacement does; 0 if not given.
    #[serde(default)]
    pub care_saved: f64,
}

fn one() -> f64 {
    1.0
}

/// What a tree is worth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TreeWorth {
    /// Present value of its sale.
    pub present: f64,
    /// Present value of a replacement's sale; absent where none can be planted.
    pub replaced: Option<f64>,
    /// Lost with the tree: the smaller of both ways.
    pub loss: f64,
    /// Does it pay to replace it?
    pub replant: bool,
    /// How it was reckoned.
    pub steps: Vec<Step>,
}

/// What a tree is worth today and what is lost with it.
///
/// `present = price / (1 + interest)^years`; replaced, `loss = replant_cost + present - price / (1 + interest)^(years + delay)`;
/// not replaced, `loss = present - care_saved`.
///
/// # Errors
/// Every value out of range.
///
/// ```
/// use dibble::cost::{TreeInput, tree_worth};
/// // 30 in 8 years at 6 % is worth 18.82 today, a year later 17.76: with stock and planting of 2.20 a loss costs 3.27
/// let tree = TreeInput { price: 30.0, years: 8.0, interest: 0.06, replant_cost: Some(2.20), delay_years: 1.0, care_saved: 0.0 };
/// let worth = tree_worth(&tree)?;
/// assert_eq!((format!("{:.2}", worth.present), format!("{:.2}", worth.replaced.unwrap_or(0.0))), ("18.82".into(), "17.76".into()));
/// assert_eq!((format!("{:.2}", worth.loss), worth.replant), ("3.27".into(), true));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn tree_worth(tree: &TreeInput) -> Result<TreeWorth> {
    let checks = [
        bounds::PRICE.check(tree.price),
        bounds::AGE_YEARS.named("years").check(tree.years),
        bounds::INTEREST.check(tree.interest),
        bounds::PRICE.named("replant_cost").check(tree.replant_cost.unwrap_or(0.0)),
        bounds::AGE_YEARS.named("delay_years").check(tree.delay_years),
        bounds::PRICE.named("care_saved").check(tree.care_saved),
    ];
    if let Some(error) = Error::several(checks.into_iter().filter_map(Result::err).collect()) {
        return Err(error);
    }
    let after = |years: f64| tree.price / pow(1.0 + tree.interest, years);
    let present = after(tree.years);
    let replaced = tree.replant_cost.map(|_| after(tree.years + tree.delay_years));
    let unreplaced_loss = (present - tree.care_saved).max(0.0);
    let replaced_loss = tree.replant_cost.zip(replaced).map(|(cost, later)| cost + present - later);
    let replant = replaced_loss.is_some_and(|l| l < unreplaced_loss);
    let loss = replaced_loss.map_or(unreplaced_loss, |l| l.min(unreplaced_loss));
    let source = "compound interest";
    let mut steps = vec![
        Step::new("present value of a tree", "price / (1 + interest)^years", present, "", source)
            .from("price", tree.price, "")
            .from("interest", tree.interest, "")
            .from("years", tree.years, ""),
    ];
    if let (Some(later), Some(loss)) = (replaced, replaced_loss) {
        let step = Step::new(
            "lost with a tree that is replaced",
            "stock and planting + present value - present value of the later sale",
            loss,
            "",
            source,
        );
        steps.push(step.from("stock and planting", tree.replant_cost.unwrap_or(0.0), "").from("present value", present, "").from(
            "later sale",
            later,
            "",
        ));
    }
    steps.push(
        Step::new("lost with a tree that is not replaced", "present value - care saved", unreplaced_loss, "", source)
            .from("present value", present, "")
            .from("care saved", tree.care_saved, ""),
    );
    Ok(TreeWorth { present, replaced, loss, replant, steps })
}

/// A year of the table by age.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ValueByAge {
    /// Years since planting.
    pub age_years: u32,
    /// Present value of the sale.
    pub present: f64,
    /// Lost with a tree.
    pub loss: f64,
    /// Does it pay to replace it?
    pub replant: bool,
}

/// What is lost with a tree in each year from planting to sale: the delay of a replacement grows by a year each year.
///
/// # Errors
/// As [`tree_worth`].
///
/// ```
/// use dibble::cost::{TreeInput, value_by_age};
/// let young = TreeInput { price: 30.0, years: 8.0, interest: 0.06, replant_cost: Some(2.20), delay_years: 1.0, care_saved: 0.0 };
/// let table = value_by_age(&young)?;
/// assert_eq!(table.len(), 9);
/// // the older the tree, the more is lost with it; in the year of the sale its price less what a replacement of 9 years brings
/// assert!(table.windows(2).all(|w| w[1].loss > w[0].loss));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn value_by_age(at_planting: &TreeInput) -> Result<Vec<ValueByAge>> {
    let last = bounds::AGE_YEARS.named("years").check(at_planting.years)?.floor() as u32;
    (0..=last)
        .map(|age_years| {
            let years = at_planting.years - f64::from(age_years);
            let tree = TreeInput { years, delay_years: at_planting.delay_years + f64::from(age_years), ..*at_planting };
            let worth = tree_worth(&tree)?;
            Ok(ValueByAge { age_years, present: worth.present, loss: worth.loss, replant: worth.replant })
        })
        .collect()
}

/// A pass and the trees that it is for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PassWorthInput {
    /// Cost of the pass.
    pub cost: f64,
    /// Trees that it waters.
    pub trees: f64,
    /// Lost with a tree; see [`tree_worth`].
    pub loss: f64,
    /// Share of the trees that would die without the pass and live with it: low and high end; `None` if nobody can say.
    #[serde(default)]
    pub saved: Option<(f64, f64)>,
}

/// Whether a pass is worth it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PassWorth {
    /// Value at risk: what is lost if all the trees die.
    pub at_risk: f64,
    /// Trees that the pass has to save to pay for itself.
    pub break_even_trees: f64,
    /// The same as a share of the trees; above 1 it cannot pay.
    pub break_even_share: f64,
    /// Gain less cost at the low and high end of the share saved; absent without it.
    pub gain: Option<(f64, f64)>,
}

/// Whether a pass is worth it, with its break-even: how many trees it has to save.
///
/// # Errors
/// Every value out of range; no trees, or trees that are worth nothing.
///
/// ```
/// use dibble::cost::{PassWorthInput, pass_worth};
/// let worth = pass_worth(&PassWorthInput { cost: 116.44, trees: 1240.0, loss: 3.27, saved: Some((0.02, 0.10)) })?;
/// assert_eq!((worth.break_even_trees.ceil(), format!("{:.1} %", 100.0 * worth.break_even_share)), (36.0, "2.9 %".into()));
/// let (low, high) = worth.gain.unwrap_or((0.0, 0.0));
/// assert_eq!((format!("{low:.0}"), format!("{high:.0}")), ("-35".into(), "289".into()));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn pass_worth(input: &PassWorthInput) -> Result<PassWorth> {
    let (low, high) = input.saved.unwrap_or((0.0, 0.0));
    let checks = [
        bounds::PRICE.named("cost").check(input.cost),
        bounds::TREES.check(input.trees),
        bounds::PRICE.named("loss").check(input.loss),
        bounds::FRACTION.named("saved").check(low),
        bounds::FRACTION.named("saved").check(high),
    ];
    if let Some(error) = Error::several(checks.into_iter().filter_map(Result::err).collect()) {
        return Err(error);
    }
    if low > high {
        return Err(Error::inconsistent(format!("saved runs from {low} to {high}"), "Give the low end first, such as (0.02, 0.10)."));
    }
    if input.trees <= 0.0 || input.loss <= 0.0 {
        let what = format!("{} trees of which each is worth {}", input.trees, input.loss);
        return Err(Error::inconsistent(what, "There is nothing to save; give trees and what is lost with one."));
    }
    let at_risk = input.trees * input.loss;
    Ok(PassWorth {
        at_risk,
        break_even_trees: input.cost / input.loss,
        break_even_share: input.cost / at_risk,
        gain: input.saved.map(|_| (low * at_risk - input.cost, high * at_risk - input.cost)),
    })
}
