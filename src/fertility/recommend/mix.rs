//! From needs to products: the cheapest mix, what cannot be met, and the amount for a tree in each feeding.

use super::{RecommendInput, Recommendation};
use crate::bounds;
use crate::control::Control;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::fertility::{
    Bags, Blend, BlendConflict, BlendRequest, Feeding, Guarantee, HandAmount, HandInput, Limit, Meaning, Need, NutrientNeed, Product,
    Rates, blend, blend_conflict, by_hand,
};
use crate::units::System;
use serde::{Deserialize, Serialize};

/// What can be bought or lies in the shed, and how it is bought and measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Shed {
    /// Products with their prices, bags and stock.
    pub products: Vec<Product>,
    /// How they are bought; a mix for a hectare, without an area, goes by weight.
    #[serde(default = "opened")]
    pub bags: Bags,
    /// Share by which a nutrient may exceed the upper end of its need, 0.10 for 10 %.
    #[serde(default = "a_tenth")]
    pub oversupply: f64,
    /// Share by which a mix in bags may fall short of a need, 0.02 for 2 %: a soil test is no nearer than that.
    #[serde(default = "a_fiftieth")]
    pub undersupply: f64,
    /// Most salt, kg/ha of sodium nitrate with the same effect.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub salt_cap_kg_ha: Option<f64>,
    /// Content of the level scoop, mL.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scoop_ml: Option<f64>,
}

fn opened() -> Bags {
    Bags::Opened
}

fn a_tenth() -> f64 {
    0.10
}

/// Our judgment.
fn a_fiftieth() -> f64 {
    0.02
}

impl Shed {
    /// Products in whole bags of which the rest is kept, a tenth of oversupply, no salt cap.
    pub fn new(products: Vec<Product>) -> Self {
        Self { products, bags: opened(), oversupply: a_tenth(), undersupply: a_fiftieth(), salt_cap_kg_ha: None, scoop_ml: None }
    }
}

/// A nutrient that the ground gets anyway this year: fed already, manure, compost, clover.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Credit {
    /// From what.
    pub from: String,
    /// The nutrient, as labels state it.
    pub nutrient: Guarantee,
    /// How much of it counts this year, kg/ha of field.
    pub kg_ha: f64,
}

/// A product for one tree.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ForTree {
    /// Its name.
    pub product: String,
    /// The product by field, treated ground and tree.
    pub rates: Rates,
    /// As a hand measures it; `None` where its density is not known.
    pub hand: Option<HandAmount>,
}

/// One time that products go out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Round {
    /// When, in words.
    pub when: String,
    /// The day, where it is known.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub date: Option<Date>,
    /// First day that will do, where it is known.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub from: Option<Date>,
    /// Last day that will do.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub until: Option<Date>,
    /// Why then.
    pub why: String,
    /// Share of the year's nitrogen products.
    pub share: f64,
    /// What each tree gets.
    pub amounts: Vec<ForTree>,
}

/// The year's needs as products.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Mix {
    /// Area that needs, amounts and cost are for, ha.
    pub area_ha: f64,
    /// That is the block's area; without one it is a hectare, by weight and without the stock.
    pub of_block: bool,
    /// What the mix had to bring and must not exceed, kg.
    pub needs: Vec<Need>,
    /// The cheapest mix; `None` where limits conflict or nothing is needed.
    pub blend: Option<Blend>,
    /// Needs that the products cannot meet. A nutrient that none of them brings is named here and left out of the mix.
    pub conflicts: Vec<BlendConflict>,
    /// The feedings of the year.
    pub rounds: Vec<Round>,
}

impl Mix {
    /// The mix in sentences: what to buy, what it brings and costs, what could not be met, what a tree gets and when.
    pub fn sentences(&self, system: System) -> Vec<String> {
        let mut lines: Vec<String> = self.conflicts.iter().map(|c| c.sentence(system)).collect();
        if let Some(blend) = &self.blend {
            let whole = if self.of_block { "for the block" } else { "for each hectare, by weight" };
            lines.push(format!("Amounts and cost are {whole}."));
            lines.extend(blend.sentences(system));
            let acid = blend.acidity_kg.unwrap_or(0.0) - blend.neutralizing_kg;
            if acid > 0.0 {
                let acid = crate::units::show::mass(acid, system);
                lines
                    .push(format!("It uses up {acid} of calcium carbonate in time: year after year that lowers the pH, so test it again."));
            }
        }
        lines.extend(self.rounds.iter().map(|r| r.sentence(system)));
        lines
    }
}

impl Round {
    /// A feeding before its products are known.
    pub(crate) fn without_products(feeding: &Feeding) -> Self {
        Self {
            when: feeding.when.clone(),
            date: feeding.date,
            from: feeding.from,
            until: feeding.until,
            why: feeding.why.clone(),
            share: feeding.share,
            amounts: Vec::new(),
        }
    }

    /// When, and what a tree gets of each product.
    pub fn sentence(&self, system: System) -> String {
        let each: Vec<String> = self.amounts.iter().map(|a| format!("{} {}", a.product, a.words(system))).collect();
        let day = self.date.map_or(String::new(), |d| format!(" ({d})"));
        format!("Give {}{day}: {}.", self.when, each.join("; "))
    }
}

impl ForTree {
    /// The amount for a tree with a scoop, or by weight alone where the density is not known.
    pub fn words(&self, system: System) -> String {
        self.hand.map_or_else(|| crate::units::show::mass_per_tree(self.rates.g_per_tree, system), |h| h.words(system))
    }
}

impl Recommendation {
    /// The program behind the mix: the block's needs less what is given anyway, with upper limits; `None` without
    /// products (or without an area, products with a price) and where nothing is needed.
    ///
    /// A nutrient may come up to the upper end of its need and the tolerance. Phosphate and potash that the soil holds
    /// above the optimum, and nitrogen where the table gives none, may not come at all. Feedings that are over by
    /// `not_before` take their share of the nitrogen with them, given or missed, and with the first of them goes all else.
    ///
    /// # Errors
    /// A credit, an area or a limit out of range.
    pub fn mix_request(&self, input: &RecommendInput) -> Result<Option<BlendRequest>> {
        let Some(shed) = &input.shed else { return Ok(None) };
        let over = 1.0 + bounds::OVERSUPPLY.check(shed.oversupply)?;
        let area = input.area_ha.unwrap_or(1.0);
        let mut needs = Vec::new();
        let gone = self.feedings.iter().filter(|f| input.not_before.is_some_and(|day| f.is_over(day)));
        let gone: f64 = gone.map(|f| f.share).sum();
        for need in super::make::needs_per_ha(self) {
            if gone > 0.0 && need.nutrient != Guarantee::N {
                continue;
            }
            let credit = credit_kg_ha(&input.credits, need.nutrient)?.max(gone * need.at_least_kg);
            let top = need.at_most_kg.unwrap_or(need.at_least_kg) * over;
            needs.push(Need { at_most_kg: Some(top), ..need }.less(credit)?.times(area));
        }
        if !needs.iter().any(|n| n.at_least_kg > 0.0) {
            return Ok(None);
        }
        let none = |nutrient| Need { nutrient, at_least_kg: 0.0, at_most_kg: Some(0.0) };
        if self.nitrogen.as_ref().is_some_and(|n| n.high.is_some_and(|h| h.field_kg_ha <= 0.0)) {
            needs.push(none(Guarantee::N));
        }
        needs.extend(self.needs.iter().filter(|n| self.holds_too_much(n)).map(|n| none(n.weight_of)));
        let of_block = input.area_ha.is_some();
        let mut products = shed.products.clone();
        if !of_block {
            products.retain(|p| p.price().is_some());
            products.iter_mut().for_each(|p| p.on_hand_kg = 0.0);
        }
        if products.is_empty() {
            return Ok(None);
        }
        Ok(Some(BlendRequest {
            needs,
            products,
            oversupply: None,
            undersupply: Some(shed.undersupply),
            salt_cap_kg: bounds::KG_HA.named("salt_cap_kg_ha").check_option(shed.salt_cap_kg_ha)?.map(|kg| kg * area),
            bags: if of_block { shed.bags } else { Bags::Loose },
        }))
    }

    fn holds_too_much(&self, need: &NutrientNeed) -> bool {
        let meaning = self.interpretation.as_ref().and_then(|i| i.reading(need.nutrient)?.meaning);
        matches!(need.weight_of, Guarantee::P2o5 | Guarantee::K2o) && meaning.is_some_and(|m| m > Meaning::Enough)
    }
}

fn credit_kg_ha(credits: &[Credit], nutrient: Guarantee) -> Result<f64> {
    let own = credits.iter().filter(|c| c.nutrient == nutrient);
    own.map(|c| bounds::KG_HA.check(c.kg_ha).map_err(|e| e.at(format!("credit for {}", c.from)))).sum()
}

/// Mixes and divides; what cannot be met is an answer, and the rest of the recommendation stands.
pub(super) fn mix(answer: &Recommendation, input: &RecommendInput, control: &Control) -> Result<Option<Mix>> {
    let Some(mut request) = answer.mix_request(input)? else { return Ok(None) };
    let (area_ha, of_block) = (input.area_ha.unwrap_or(1.0), input.area_ha.is_some());
    let mut mix = Mix { area_ha, of_block, needs: request.needs.clone(), blend: None, conflicts: Vec::new(), rounds: Vec::new() };
    while request.needs.iter().any(|n| n.at_least_kg > 0.0) {
        match blend(&request, control) {
            Ok(blend) => {
                mix.blend = Some(blend);
                break;
            }
            Err(e) if e.is_infeasible() => {
                let conflict = blend_conflict(&request, control)?.ok_or(e)?;
                let out_of_reach = match conflict.limits.as_slice() {
                    [one] => match one.limit {
                        Limit::AtLeast { nutrient } => Some(nutrient),
                        _ => None,
                    },
                    _ => None,
                };
                mix.conflicts.push(conflict);
                // where several limits clash the user decides which one gives way
                let Some(nutrient) = out_of_reach else { break };
                request.needs.iter_mut().filter(|n| n.nutrient == nutrient).for_each(|n| n.at_least_kg = 0.0);
            }
            Err(e) => return Err(e),
        }
    }
    Ok(Some(mix))
}

/// Urea among the products that the mix takes: nothing else that is spread dry holds that much nitrogen.
pub(super) fn uses_urea(mix: &Mix, shed: &Shed) -> bool {
    taken(mix, shed).any(|(product, _)| product.n_pct >= 44.0)
}

fn taken<'a>(mix: &'a Mix, shed: &'a Shed) -> impl Iterator<Item = (&'a Product, f64)> {
    let amounts = mix.blend.iter().flat_map(|b| &b.amounts);
    amounts.filter(|a| a.kg > 0.0).filter_map(|a| Some((shed.products.iter().find(|p| p.name == a.product)?, a.kg)))
}

/// The feedings of the year: nitrogen products by the season's shares, the rest with the first of them.
pub(super) fn rounds(mix: &Mix, answer: &Recommendation, input: &RecommendInput) -> Result<Vec<Round>> {
    let Some(shed) = &input.shed else { return Ok(Vec::new()) };
    let trees = (mix.area_ha * input.ground.trees_per_ha()).round();
    let for_tree = |product: &Product, kg: f64| -> Result<ForTree> {
        let rates = Rates::from_field(kg / mix.area_ha, &input.ground)?;
        let hand = |density_kg_m3| {
            by_hand(&HandInput {
                product_g: rates.g_per_tree,
                density_kg_m3,
                scoop_ml: shed.scoop_ml,
                bag_kg: product.bag_kg,
                trees: mix.of_block.then_some(trees as u32),
            })
        };
        Ok(ForTree { product: product.name.clone(), rates, hand: product.density_kg_m3().map(hand).transpose()? })
    };
    let over = |f: &&Feeding| input.not_before.is_none_or(|day| !f.is_over(day));
    let mut rounds: Vec<Round> = answer.feedings.iter().filter(over).map(Round::without_products).collect();
    if answer.feedings.is_empty() {
        let (when, why) = match input.age_years {
            None => ("before planting, worked in", "phosphate and lime hardly move down later"),
            Some(0) => ("next spring, none in the planting year", "new roots are hurt and weeds fed"),
            Some(_) => ("in fall or early spring", "what moves slowly has the wet months to do so"),
        };
        rounds.push(Round {
            when: when.into(),
            date: None,
            from: None,
            until: input.planting,
            why: why.into(),
            share: 1.0,
            amounts: Vec::new(),
        });
    }
    let all: f64 = rounds.iter().map(|r| r.share).sum();
    for (i, round) in rounds.iter_mut().enumerate() {
        round.share /= all;
        let amounts: Result<Vec<ForTree>> = taken(mix, shed)
            .filter(|(p, _)| i == 0 || p.n_pct > 0.0)
            .map(|(p, kg)| for_tree(p, if p.n_pct > 0.0 { round.share * kg } else { kg }))
            .collect();
        round.amounts = amounts?;
    }
    rounds.retain(|r| !r.amounts.is_empty());
    Ok(rounds)
}

/// What is wrong with the products themselves, before anything is reckoned.
pub(super) fn check(input: &RecommendInput) -> Result<()> {
    let Some(shed) = &input.shed else { return Ok(()) };
    let mut problems: Vec<Error> = bounds::OVERSUPPLY.check(shed.oversupply).err().into_iter().collect();
    problems.extend(bounds::UNDERSUPPLY.check(shed.undersupply).err());
    problems.extend(bounds::KG_HA.named("salt_cap_kg_ha").check_option(shed.salt_cap_kg_ha).err());
    problems.extend(bounds::SCOOP_ML.check_option(shed.scoop_ml).err());
    let bags = if input.area_ha.is_some() { shed.bags } else { Bags::Loose };
    let one = Need::at_least(Guarantee::N, 1.0);
    let salt_cap_kg = shed.salt_cap_kg_ha.filter(|kg| *kg >= 0.0);
    let request = BlendRequest { bags, salt_cap_kg, ..BlendRequest::new(vec![one], shed.products.clone()) };
    problems.extend(request.check().err().into_iter().flat_map(|e| e.problems().to_vec()));
    Error::several(problems).map_or(Ok(()), Err)
}
