//! A mix as results and words.

use super::model::Model;
use super::{BlendRequest, Guarantee, Limit};
use crate::error::{Error, Result};
use crate::units::{self, System, show};
use serde::{Deserialize, Serialize};

/// The cheapest mix and what can be said about it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Blend {
    /// Version of this layout.
    #[serde(deserialize_with = "crate::fertility::known_schema")]
    pub schema: u32,
    /// Cost of what is bought, in the unit of the prices.
    pub cost: f64,
    /// Nothing cheaper exists; false where the work limit came first.
    pub proven: bool,
    /// No mix costs less than this; only where the cost is not proven.
    pub bound: Option<f64>,
    /// Each product of the request, in its order.
    pub amounts: Vec<Amount>,
    /// Each nutrient that is needed or comes along.
    pub supplied: Vec<Supplied>,
    /// Salt, kg of sodium nitrate with the same effect; `None` where a product that is used has no salt index.
    pub salt_kg: Option<f64>,
    /// Calcium carbonate that the products use up, kg; `None` where a product that is used has no figure.
    pub acidity_kg: Option<f64>,
    /// Calcium carbonate equivalent that limes among the products bring, kg.
    pub neutralizing_kg: f64,
    /// What each limit costs, from the dual of the mix by weight; `None` where the solver gave no answer.
    pub shadow_prices: Option<Vec<ShadowPrice>>,
    /// Cost of the cheapest mix by weight; the same as `cost` without whole bags.
    pub cost_by_weight: f64,
    /// Cost of that mix with each product rounded up to whole bags, which may break a limit; `None` without bags.
    pub cost_rounded_up: Option<f64>,
    /// Products whose amount could differ at the same cost; empty where the mix is the only one, `None` where that
    /// was not found out.
    pub ties: Option<Vec<TiedRange>>,
}

/// How much of one product.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Amount {
    /// Its name.
    pub product: String,
    /// To spread, kg.
    pub kg: f64,
    /// Of that from the shed, kg.
    pub from_stock_kg: f64,
    /// To buy, kg.
    pub bought_kg: f64,
    /// To buy, bags; `None` by weight.
    pub bags: Option<u32>,
    /// Left over in opened bags, kg.
    pub left_kg: f64,
    /// Cost of what is bought.
    pub cost: f64,
}

/// How much of one nutrient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Supplied {
    /// The nutrient, as labels state it.
    pub nutrient: Guarantee,
    /// What the mix brings, kg.
    pub kg: f64,
    /// What was needed; `None` for what merely comes along.
    pub at_least_kg: Option<f64>,
    /// What was allowed.
    pub at_most_kg: Option<f64>,
}

/// What a limit costs for each kilogram.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ShadowPrice {
    /// The limit.
    pub limit: Limit,
    /// The cost falls by this for each kg that the limit is lowered; `None` where no mix is left then.
    pub low_per_kg: Option<f64>,
    /// The cost rises by this for each kg that the limit is raised; `None` where no mix is left then.
    pub high_per_kg: Option<f64>,
}

/// Amounts of a product that cost the same.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct TiedRange {
    /// Its name.
    pub product: String,
    /// Least, kg.
    pub low_kg: f64,
    /// Most, kg; `None` where any amount would do (a gift).
    pub high_kg: Option<f64>,
}

/// Limits that cannot all be kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BlendConflict {
    /// The limits; leave out any one and the rest can be kept.
    pub limits: Vec<Clashing>,
    /// No smaller set conflicts.
    pub smallest: bool,
    /// By weight instead of in whole bags they could be kept.
    pub only_bags: bool,
    /// The nutrient that is asked for and that none of the products holds; then it stands alone among the limits.
    #[serde(default)]
    pub no_source: Option<Guarantee>,
}

/// One limit of a conflict.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Clashing {
    /// The limit.
    pub limit: Limit,
    /// What was asked, kg.
    pub kg: f64,
    /// The nearest that a mix comes which keeps all other limits, kg; `None` where there is none.
    pub reach_kg: Option<f64>,
}

impl Blend {
    /// Does the mix add up? For a mix that comes from a file: no weight or cost below 0, what is spread is what is
    /// taken and bought, and the lines cost what the mix costs.
    ///
    /// # Errors
    /// The first line that does not add up.
    pub fn check(&self) -> Result<()> {
        let differ = |a: f64, b: f64| (a - b).abs() > 1e-6 * a.abs().max(b.abs());
        let fault = |what: String| {
            Err(Error::inconsistent(format!("the mix does not add up: {what}"), "It was changed after it was made: make it again."))
        };
        for a in &self.amounts {
            let kg = [a.kg, a.from_stock_kg, a.bought_kg, a.left_kg, a.cost];
            if kg.iter().any(|kg| !(kg.is_finite() && *kg >= 0.0)) {
                return fault(format!("a number of {} is below 0 or no number", a.product));
            }
            if differ(a.kg + a.left_kg, a.from_stock_kg + a.bought_kg) {
                let (used, had) = (a.kg + a.left_kg, a.from_stock_kg + a.bought_kg);
                return fault(format!("{used} kg of {} are spread or left, and {had} kg taken or bought", a.product));
            }
        }
        if let Some(s) = self.supplied.iter().find(|s| !(s.kg.is_finite() && s.kg >= 0.0)) {
            return fault(format!("{} of {} kg", s.nutrient, s.kg));
        }
        let cost: f64 = self.amounts.iter().map(|a| a.cost).sum();
        // amounts that are crumbs of the solver are none in the lines
        if !self.cost.is_finite() || (cost - self.cost).abs() > 1e-5 * cost.max(self.cost) {
            return fault(format!("its lines cost {} and all of it {}", cost + 0.0, self.cost));
        }
        Ok(())
    }

    /// The same against the request that the mix was made for: products, contents, prices, needs and limits too.
    ///
    /// # Errors
    /// A request that is not sound, and the first line that does not agree with it.
    pub fn check_for(&self, request: &BlendRequest) -> Result<()> {
        request.check()?;
        Model::new(request)?.recheck(self).map_err(|e| {
            Error::inconsistent(format!("the mix does not belong to its request: {e}"), "It was changed after it was made: make it again.")
        })
    }

    /// Amount of a product, kg; 0 for one that is not in the request.
    pub fn amount_kg(&self, product: &str) -> f64 {
        self.amounts.iter().find(|a| a.product == product).map_or(0.0, |a| a.kg)
    }

    /// What the mix brings of a nutrient, kg.
    pub fn supplied_kg(&self, nutrient: Guarantee) -> f64 {
        self.supplied.iter().find(|s| s.nutrient == nutrient).map_or(0.0, |s| s.kg)
    }

    /// What the least of a nutrient costs for each kg, low and high end; `None` where it was not found out or has no end.
    pub fn price_of(&self, nutrient: Guarantee) -> Option<(f64, f64)> {
        let price = self.shadow_prices.as_ref()?.iter().find(|p| p.limit == Limit::AtLeast { nutrient })?;
        Some((price.low_per_kg?, price.high_per_kg?))
    }

    /// The mix in sentences: what to buy and spread, what it brings, what each limit costs, what could differ.
    pub fn sentences(&self, system: System) -> Vec<String> {
        let mass = |kg: f64| show::mass(kg, system);
        let mut lines: Vec<String> = self.amounts.iter().filter(|a| a.kg > 0.0 || a.bought_kg > 0.0).map(|a| a.sentence(system)).collect();
        lines.push(format!("Cost {}.", money(self.cost)));
        if !self.proven {
            let bound = self.bound.map_or("no bound is known".into(), |b| format!("none costs less than {}", money(b)));
            lines.push(format!("A cheaper mix may exist; the work limit came first ({bound})."));
        }
        if let Some(up) = self.cost_rounded_up {
            lines.push(format!("By weight it would cost {}, and {} with each product rounded up.", money(self.cost_by_weight), money(up)));
        }
        lines.extend(self.supplied.iter().map(|s| match s.at_least_kg {
            Some(least) => {
                let short = 100.0 * (1.0 - s.kg / least.max(1e-9));
                let short = if short > 0.005 { format!(", {} % short of it", show::number(short, 2)) } else { String::new() };
                format!("Brings {} of {} for a need of {}{short}.", mass(s.kg), s.nutrient, mass(least))
            }
            None => format!("{} of {} come along.", mass(s.kg), s.nutrient),
        }));
        lines.extend(self.shadow_prices.iter().flatten().filter_map(|p| p.sentence(system)));
        // that the rest of an opened bag could be spread too is no choice between mixes
        let of_mix = |t: &&TiedRange| {
            let in_bag = self.amounts.iter().find(|a| a.product == t.product).map_or((0.0, 0.0), |a| (a.kg, a.kg + a.left_kg));
            let room = 1e-6 * in_bag.1;
            t.low_kg < in_bag.0 - room || t.high_kg.is_none_or(|high| high > in_bag.1 + room)
        };
        let ties: Vec<&TiedRange> = self.ties.iter().flatten().filter(of_mix).collect();
        lines.extend(ties.iter().map(|t| match t.high_kg {
            Some(high) => format!("At the same cost {} could be from {} to {}.", t.product, mass(t.low_kg), mass(high)),
            None => format!("At the same cost {} could be {} or any amount above.", t.product, mass(t.low_kg)),
        }));
        if !ties.is_empty() {
            lines.push("Of mixes that cost the same the lightest is taken, then the most of the first name.".into());
        }
        lines.push("This is arithmetic, not a nutrient management plan; local rules may ask for one.".into());
        lines
    }
}

impl Amount {
    fn sentence(&self, system: System) -> String {
        let mass = |kg: f64| show::mass(kg, system);
        let buy = match self.bags {
            Some(0) => String::new(),
            Some(1) => format!("buy 1 bag for {}", money(self.cost)),
            Some(n) => format!("buy {n} bags for {}", money(self.cost)),
            None if self.bought_kg > 0.0 => format!("buy {} for {}", mass(self.bought_kg), money(self.cost)),
            None => String::new(),
        };
        let stock = if self.from_stock_kg > 0.0 { format!("take {} from the shed", mass(self.from_stock_kg)) } else { String::new() };
        let left = if self.left_kg > 1e-6 * self.bought_kg { format!("{} stay in the bag", mass(self.left_kg)) } else { String::new() };
        let steps: Vec<String> = [stock, buy, left].into_iter().filter(|s| !s.is_empty()).collect();
        format!("Spread {} of {}: {}.", mass(self.kg), self.product, steps.join(", "))
    }
}

impl ShadowPrice {
    /// The price in words; `None` for a limit that costs nothing either way.
    pub fn sentence(&self, system: System) -> Option<String> {
        let (unit, factor) = match system {
            System::Us => ("pound", units::KG_PER_LB),
            System::Si => ("kilogram", 1.0),
        };
        let cost = |per_kg: f64| money(per_kg.abs() * factor);
        let what = match &self.limit {
            Limit::AtLeast { nutrient } => nutrient.to_string(),
            Limit::AtMost { nutrient } => format!("{nutrient} above its limit"),
            Limit::Salt => "salt above its cap".into(),
            Limit::Use { product } => format!("{product} above its limit"),
            Limit::OnHand { product } => format!("{product} in the shed"),
        };
        let needed = matches!(self.limit, Limit::AtLeast { .. });
        match (self.low_per_kg, self.high_per_kg) {
            (Some(0.0), Some(0.0)) => None,
            (Some(low), Some(high)) if low == high && needed => Some(format!("Each {unit} of {what} costs {}.", cost(low))),
            (Some(low), Some(high)) if low == high => Some(format!("Each further {unit} of {what} would save {}.", cost(low))),
            (low, high) if needed => {
                let more = high.map_or("cannot be had".into(), |h| format!("costs {}", cost(h)));
                let less = low.map_or("leaves no mix".into(), |l| format!("saves {}", cost(l)));
                Some(format!("The next {unit} of {what} {more}; one less {less}."))
            }
            (low, high) => {
                let more = high.map_or("leaves no mix".into(), |h| format!("would save {}", cost(h)));
                let less = low.map_or("cannot be done without".into(), |l| format!("would cost {}", cost(l)));
                Some(format!("A further {unit} of {what} {more}; one less {less}."))
            }
        }
    }
}

impl BlendConflict {
    /// What clashes, how far each limit could be kept, and what to do.
    pub fn sentence(&self, system: System) -> String {
        let text = self.parts(|kg| show::mass(kg, system));
        format!("{}{}. {}", text.0.get(..1).unwrap_or_default().to_uppercase(), text.0.get(1..).unwrap_or_default(), text.1)
    }

    /// The conflict as an error.
    pub(super) fn refuse(&self) -> Error {
        let (what, hint) = self.parts(|kg| format!("{} kg", show::number(kg, 3)));
        Error::infeasible(what, hint)
    }

    fn parts(&self, mass: impl Fn(f64) -> String) -> (String, String) {
        if let (Some(nutrient), Some(asked)) = (self.no_source, self.limits.first()) {
            let what = format!("none of these products holds {}, and {} of it is needed", nutrient.in_words(), mass(asked.kg));
            return (what, "Add a product that holds it.".into());
        }
        let asked: Vec<String> = self.limits.iter().map(|c| format!("{} {}", c.limit, mass(c.kg))).collect();
        let reached: Vec<String> = self.limits.iter().filter_map(|c| c.reach_kg.map(|kg| format!("{} {}", c.limit, mass(kg)))).collect();
        let what = match asked.as_slice() {
            [one] => format!("no mix of these products brings {one}"),
            all => format!("no mix of these products keeps {} together", all.join(", ")),
        };
        let mut hint =
            if reached.is_empty() { String::new() } else { format!("With all else kept, what can be met is: {}. ", reached.join("; or ")) };
        if self.only_bags {
            hint.push_str("By weight instead of whole bags all could be kept. ");
        }
        hint.push_str("Ease one of these limits, or add a product.");
        if self.limits.len() > 1 {
            hint.push_str(" Other limits may clash too: this is one of the sets that do.");
        }
        (what, hint)
    }
}

/// Money with cents, and with more digits below ten cents.
pub(super) fn money(value: f64) -> String {
    show::number(value, if value.abs() < 0.1 { 4 } else { 2 })
}
