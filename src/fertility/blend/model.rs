//! A blend request as a program, and the program's solution as a blend.

use super::answer::{Amount, Blend, BlendConflict, Clashing, ShadowPrice, Supplied, TiedRange};
use super::{Bags, BlendRequest, Guarantee, Limit, Product};
use crate::control::Control;
use crate::error::{Error, Result};
use crate::solve::{Interval, Outcome, Program, Relation, Solution};

/// Weight that a column stands for, for each unit.
#[derive(Debug, Clone, Copy)]
struct Part {
    column: usize,
    kg: f64,
}

/// Columns of one product: what is used from the shed, what is used of what is bought, and the bags bought.
#[derive(Debug, Clone, Copy, Default)]
struct Parts {
    stock: Option<Part>,
    bought: Option<Part>,
    bags: Option<usize>,
}

impl Parts {
    fn used(&self) -> impl Iterator<Item = Part> {
        self.stock.into_iter().chain(self.bought)
    }
}

pub(super) struct Model<'a> {
    request: &'a BlendRequest,
    program: Program,
    parts: Vec<Parts>,
    limits: Vec<Option<(Limit, f64)>>,
}

/// Part of the largest amount below which an amount is none.
const CRUMB: f64 = 1e-7;
/// Part of the largest amount below which two amounts are the same.
const SAME: f64 = 1e-6;

impl<'a> Model<'a> {
    pub(super) fn new(request: &'a BlendRequest) -> Result<Self> {
        let mut model = Model { request, program: Program::new(), parts: Vec::new(), limits: Vec::new() };
        for product in &request.products {
            model.add_product(product)?;
        }
        for need in &request.needs {
            let nutrient = need.nutrient;
            let content = |p: &Product| p.content_pct(nutrient) / 100.0;
            if need.at_least_kg > 0.0 {
                model.limit(Limit::AtLeast { nutrient }, content, Relation::AtLeast, request.at_least_kg(need))?;
            }
            if let Some(most) = request.at_most_kg(need) {
                model.limit(Limit::AtMost { nutrient }, content, Relation::AtMost, most)?;
            }
        }
        if let Some(cap) = request.salt_cap_kg {
            model.limit(Limit::Salt, |p| p.salt_index.unwrap_or(0.0) / 100.0, Relation::AtMost, cap)?;
        }
        for product in &request.products {
            if let Some(most) = product.max_kg {
                let this = |p: &Product| f64::from(u8::from(p.name == product.name));
                model.limit(Limit::Use { product: product.name.clone() }, this, Relation::AtMost, most)?;
            }
        }
        Ok(model)
    }

    fn add_product(&mut self, product: &Product) -> Result<()> {
        let mut parts = Parts::default();
        let open = f64::INFINITY;
        if product.on_hand_kg > 0.0 {
            let column = self.program.column(format!("{} on hand", product.name), 0.0, 0.0, open)?;
            parts.stock = Some(Part { column, kg: 1.0 });
            self.program.row("on hand", &[(column, 1.0)], Relation::AtMost, product.on_hand_kg)?;
            self.limits.push(Some((Limit::OnHand { product: product.name.clone() }, product.on_hand_kg)));
        }
        if let Some(price) = product.price() {
            let bag_kg = product.bag_kg.unwrap_or(1.0);
            let most = self.most_bags(product, bag_kg);
            match self.request.bags {
                Bags::Loose => {
                    let column = self.program.column(product.name.clone(), price, 0.0, open)?;
                    parts.bought = Some(Part { column, kg: 1.0 });
                }
                Bags::Whole => {
                    let column = self.program.whole_column(product.name.clone(), price * bag_kg, 0.0, most)?;
                    parts.bought = Some(Part { column, kg: bag_kg });
                    parts.bags = Some(column);
                }
                Bags::Opened => {
                    let bags = self.program.whole_column(format!("bags of {}", product.name), price * bag_kg, 0.0, most)?;
                    let used = self.program.column(product.name.clone(), 0.0, 0.0, open)?;
                    self.program.row("in the bags", &[(bags, bag_kg), (used, -1.0)], Relation::AtLeast, 0.0)?;
                    self.limits.push(None);
                    parts.bought = Some(Part { column: used, kg: 1.0 });
                    parts.bags = Some(bags);
                }
            }
        }
        self.parts.push(parts);
        Ok(())
    }

    /// No cheapest mix takes more bags than meet by themselves every need that the product serves.
    fn most_bags(&self, product: &Product, bag_kg: f64) -> f64 {
        let alone = self.request.needs.iter().filter_map(|need| {
            let kg = product.content_pct(need.nutrient) / 100.0 * bag_kg;
            (kg > 0.0).then(|| (need.at_least_kg / kg).ceil())
        });
        alone.fold(0.0, f64::max)
    }

    fn limit(&mut self, limit: Limit, share: impl Fn(&Product) -> f64, relation: Relation, kg: f64) -> Result<()> {
        let terms = self.weigh(share).into_iter().enumerate().filter(|(_, a)| *a != 0.0).collect::<Vec<_>>();
        self.program.row(limit.to_string(), &terms, relation, kg)?;
        self.limits.push(Some((limit, kg)));
        Ok(())
    }

    /// A share of what is used, as a weight for each column.
    fn weigh(&self, share: impl Fn(&Product) -> f64) -> Vec<f64> {
        let mut weights = vec![0.0; self.program.width()];
        for (product, parts) in self.request.products.iter().zip(&self.parts) {
            for part in parts.used() {
                if let Some(weight) = weights.get_mut(part.column) {
                    *weight = share(product) * part.kg;
                }
            }
        }
        weights
    }

    pub(super) fn blend(&self, control: &Control) -> Result<Blend> {
        let (best, proven, bound) = match self.program.solve(control)? {
            Outcome::Optimal(best) => (best, true, None),
            Outcome::Stopped { best: Some(best), bound } => (best, false, bound),
            Outcome::Infeasible => return Err(self.refuse(control)),
            other => return Err(other.optimal("the mix").err().unwrap_or_else(|| Error::internal("the mix", "an unknown outcome"))),
        };
        let (best, ties) = if proven { self.settle(best, control)? } else { (best, None) };
        // a model of its own, because bounds on the number of bags would take part in the prices
        let by_weight = BlendRequest { bags: Bags::Loose, ..self.request.clone() };
        let by_weight = Model::new(&by_weight)?;
        let relaxed =
            if self.program.is_integer() { by_weight.program.solve(control)?.optimal("the mix by weight")? } else { best.clone() };
        let blend = Blend {
            schema: crate::fertility::SCHEMA,
            // an empty sum is -0.0
            cost: best.cost + 0.0,
            proven,
            bound,
            amounts: self.amounts(&best),
            supplied: self.supplied(&best),
            salt_kg: self.total(&best, |p| p.salt_index.map(|s| s / 100.0)),
            acidity_kg: self.total(&best, |p| p.acidity_kg_kg),
            neutralizing_kg: self.total(&best, |p| Some(p.neutralizing_pct / 100.0)).unwrap_or(0.0),
            shadow_prices: by_weight.shadow_prices(&relaxed, control)?,
            cost_by_weight: relaxed.cost + 0.0,
            cost_rounded_up: self.program.is_integer().then(|| by_weight.rounded_up(&relaxed) + 0.0),
            ties,
        };
        self.recheck(&blend)?;
        Ok(blend)
    }

    /// Among the cheapest mixes the one that the tie rule takes, and what could vary; `None` for the latter where the
    /// solver gave no answer.
    fn settle(&self, best: Solution, control: &Control) -> Result<(Solution, Option<Vec<TiedRange>>)> {
        let only = |name: &str, sign: f64| self.weigh(|p| if p.name == name { sign } else { 0.0 });
        let each: Vec<Vec<f64>> = self.request.products.iter().map(|p| only(&p.name, 1.0)).collect();
        let Some(spread) = self.program.spread(&best, &each, control)? else { return Ok((best, None)) };
        let largest = spread.iter().map(|i| i.high.abs()).filter(|h| h.is_finite()).fold(0.0, f64::max);
        let differs = |i: &Interval| i.high - i.low > SAME * largest;
        let tied = |(p, i): (&Product, &Interval)| TiedRange {
            product: p.name.clone(),
            low_kg: i.low,
            high_kg: i.high.is_finite().then_some(i.high),
        };
        let ties: Vec<TiedRange> = self.request.products.iter().zip(&spread).filter(|(_, i)| differs(i)).map(tied).collect();
        if ties.is_empty() {
            return Ok((best, Some(ties)));
        }
        let mut names: Vec<&str> = self.request.products.iter().map(|p| p.name.as_str()).collect();
        names.sort_unstable();
        let preferences: Vec<Vec<f64>> = std::iter::once(self.weigh(|_| 1.0)).chain(names.into_iter().map(|n| only(n, -1.0))).collect();
        let settled = self.program.settle(&best, &preferences, control)?;
        Ok((settled.unwrap_or(best), Some(ties)))
    }

    fn amounts(&self, found: &Solution) -> Vec<Amount> {
        let value = |column: usize| found.values.get(column).copied().unwrap_or(0.0);
        let kg = |part: Option<Part>| part.map_or(0.0, |p| value(p.column) * p.kg);
        let largest = self.parts.iter().flat_map(Parts::used).map(|p| kg(Some(p))).fold(0.0, f64::max);
        // crumbs of the solver's tolerance are no amounts
        let kg = |part: Option<Part>| Some(kg(part)).filter(|kg| *kg > CRUMB * largest).unwrap_or(0.0);
        let amount = |(product, parts): (&Product, &Parts)| {
            let (from_stock_kg, bought_used) = (kg(parts.stock), kg(parts.bought));
            let bags = parts.bags.map(value);
            let bought_kg = bags.map_or(bought_used, |n| n * product.bag_kg.unwrap_or(1.0));
            Amount {
                product: product.name.clone(),
                kg: from_stock_kg + bought_used,
                from_stock_kg,
                bought_kg,
                bags: bags.map(|n| n as u32),
                left_kg: (bought_kg - bought_used).max(0.0),
                cost: bought_kg * product.price().unwrap_or(0.0),
            }
        };
        self.request.products.iter().zip(&self.parts).map(amount).collect()
    }

    fn supplied(&self, found: &Solution) -> Vec<Supplied> {
        let amounts = self.amounts(found);
        let line = |&nutrient: &Guarantee| {
            let kg: f64 =
                self.request.products.iter().zip(&amounts).map(|(p, a)| p.content_pct(nutrient) / 100.0 * a.kg).fold(0.0, |a, b| a + b);
            let need = self.request.needs.iter().find(|n| n.nutrient == nutrient);
            let at_least_kg = need.map(|n| n.at_least_kg);
            let at_most_kg = need.and_then(|n| self.request.at_most_kg(n));
            (kg > 0.0 || need.is_some()).then_some(Supplied { nutrient, kg, at_least_kg, at_most_kg })
        };
        Guarantee::ALL.iter().filter_map(line).collect()
    }

    /// Sum over what is used; `None` where a product that is used does not have the figure.
    fn total(&self, found: &Solution, share: impl Fn(&Product) -> Option<f64>) -> Option<f64> {
        let amounts = self.amounts(found);
        self.request.products.iter().zip(&amounts).filter(|(_, a)| a.kg > 0.0).try_fold(0.0, |sum, (p, a)| Some(sum + share(p)? * a.kg))
    }

    fn shadow_prices(&self, relaxed: &Solution, control: &Control) -> Result<Option<Vec<ShadowPrice>>> {
        let Some(worth) = self.program.sensitivity(relaxed, control)? else { return Ok(None) };
        let line = |((limit, _), price): (&(Limit, f64), &Interval)| {
            let end = |v: f64| v.is_finite().then_some(v);
            ShadowPrice { limit: limit.clone(), low_per_kg: end(price.low), high_per_kg: end(price.high) }
        };
        let rows = self.limits.iter().zip(&worth.rows);
        Ok(Some(rows.filter_map(|(limit, price)| limit.as_ref().map(|l| line((l, price)))).collect()))
    }

    /// What it would cost to buy the mix by weight in bags, each rounded up.
    fn rounded_up(&self, relaxed: &Solution) -> f64 {
        let bags = |(product, parts): (&Product, &Parts)| {
            let (Some(price), Some(bag_kg), Some(part)) = (product.price(), product.bag_kg, parts.bought) else { return 0.0 };
            let kg = relaxed.values.get(part.column).copied().unwrap_or(0.0) * part.kg;
            // Round-off of the solver does not open another bag.
            (kg / bag_kg - 1e-9).ceil().max(0.0) * bag_kg * price
        };
        self.request.products.iter().zip(&self.parts).map(bags).sum()
    }

    /// The blend against the request, apart from the program.
    pub(super) fn recheck(&self, blend: &Blend) -> Result<()> {
        blend.check()?;
        let fault = |what: String| Err(Error::internal("the mix", what));
        // what was too little to be an amount is missing in the sums
        let crumb = CRUMB * blend.amounts.iter().map(|a| a.kg).fold(0.0, f64::max);
        for s in &blend.supplied {
            let room = crumb + 1e-6 * s.kg.max(s.at_least_kg.unwrap_or(0.0));
            let need = self.request.needs.iter().find(|n| n.nutrient == s.nutrient);
            if need.is_some_and(|n| s.kg < self.request.at_least_kg(n) - room) || s.at_most_kg.is_some_and(|most| s.kg > most + room) {
                return fault(format!("{} of {} kg misses its limits", s.nutrient, s.kg));
            }
        }
        if let (Some(cap), Some(salt)) = (self.request.salt_cap_kg, blend.salt_kg)
            && salt > cap * (1.0 + 1e-6)
        {
            return fault(format!("salt of {salt} kg is above {cap} kg"));
        }
        for (product, a) in self.request.products.iter().zip(&blend.amounts) {
            let over = |kg: f64, most: f64| kg > most + 1e-6 * most;
            if a.kg < 0.0 || over(a.from_stock_kg, product.on_hand_kg) || product.max_kg.is_some_and(|most| over(a.kg, most)) {
                return fault(format!("{} kg of {} are beyond what may be used", a.kg, a.product));
            }
        }
        let differ = |a: f64, b: f64| (a - b).abs() > 1e-6 * a.abs().max(b.abs());
        let products = || self.request.products.iter().zip(&blend.amounts);
        if products().len() != blend.amounts.len() || products().any(|(p, a)| p.name != a.product) {
            return fault("its products are not those of the request".into());
        }
        for (product, a) in products() {
            if differ(a.cost, a.bought_kg * product.price().unwrap_or(0.0)) {
                return fault(format!("{} of {} kg cannot cost {}", a.product, a.bought_kg, a.cost));
            }
        }
        if self.request.needs.iter().any(|n| !blend.supplied.iter().any(|s| s.nutrient == n.nutrient)) {
            return fault("it does not say what a need gets".into());
        }
        for s in &blend.supplied {
            let kg: f64 = products().map(|(p, a)| p.content_pct(s.nutrient) / 100.0 * a.kg).sum();
            let need = self.request.needs.iter().find(|n| n.nutrient == s.nutrient);
            if differ(kg, s.kg) || s.at_least_kg != need.map(|n| n.at_least_kg) {
                return fault(format!("{} of {} kg is not what its products bring, {kg} kg, or not what was asked", s.nutrient, s.kg));
            }
        }
        Ok(())
    }

    pub(super) fn conflict(&self, control: &Control) -> Result<Option<BlendConflict>> {
        if let Some(missing) = self.without_source() {
            return Ok(Some(missing));
        }
        let Some(found) = self.program.conflict(control)? else { return Ok(None) };
        let clashing = found.clashes.iter().filter_map(|c| {
            let (limit, kg) = self.limits.get(c.row)?.clone()?;
            Some(Clashing { limit, kg, reach_kg: c.reach })
        });
        let only_bags = self.program.is_integer() && matches!(self.program.relaxed().solve(control)?, Outcome::Optimal(_));
        Ok(Some(BlendConflict { limits: clashing.collect(), smallest: found.smallest, only_bags, no_source: None }))
    }

    /// The first need of a nutrient that no product holds: nothing else about the request matters for it.
    fn without_source(&self) -> Option<BlendConflict> {
        let held = |nutrient| self.request.products.iter().any(|p| p.content_pct(nutrient) > 0.0);
        let need = self.request.needs.iter().find(|n| n.at_least_kg > 0.0 && !held(n.nutrient))?;
        let (limit, kg) = (Limit::AtLeast { nutrient: need.nutrient }, self.request.at_least_kg(need));
        let limits = vec![Clashing { limit, kg, reach_kg: Some(0.0) }];
        Some(BlendConflict { limits, smallest: true, only_bags: false, no_source: Some(need.nutrient) })
    }

    /// The error for a request that no mix meets.
    fn refuse(&self, control: &Control) -> Error {
        match self.conflict(control) {
            Ok(Some(conflict)) => conflict.refuse(),
            Ok(None) => Error::infeasible("no mix of these products keeps all limits", "Ease one of them, or add a product."),
            Err(e) => e,
        }
    }
}
