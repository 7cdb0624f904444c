//! From farm file, soil test and log to the next feeding of each block.

use super::{Buy, FedLine, FeedingList, FeedingPlan, LimeLine, NeedLine};
use crate::assumption::Assumption;
use crate::control::Control;
use crate::date::Date;
use crate::error::Result;
use crate::farm::feeding::{nutrients, product};
use crate::farm::{BlockFeeding, Farm, FarmBlock, FeedingHabits};
use crate::fertility::{
    Bags, CAUTIONS, Credit, Guarantee, LimeAdvice, LimingMaterial, PhVerdict, Product, RecommendInput, Recommendation, Round, Shed,
    SoilTest, Status, Tables, recommend,
};
use crate::units::System;

/// Branch-and-bound nodes for the bags of one block; the best mix by then is taken and said not to be proven.
const MOST_NODES: u64 = 50_000;
/// Usual bud break, month and day: mid-May in the north.
const BUD_BREAK: (u32, u32) = (5, 15);

/// Feeds block after block out of one shed.
pub(in crate::farm::plan) struct Feeder<'f> {
    farm: &'f Farm,
    today: Date,
    units: System,
    habits: FeedingHabits,
    tables: Tables,
    /// What is left for the blocks to come.
    shed: Vec<Product>,
    list: FeedingList,
}

/// What one block is asked about: its feeding keys and the season.
struct Asked<'b> {
    block: FarmBlock<'b>,
    feeding: &'b BlockFeeding,
    season: i32,
    age_years: u32,
    fed: Vec<(FedLine, Product)>,
}

impl<'f> Feeder<'f> {
    /// `None` on a farm that says nothing about feeding.
    pub fn of(farm: &'f Farm, today: Date, units: System) -> Result<Option<Self>> {
        if farm.input().block.iter().all(|b| b.feeding.is_none()) {
            return Ok(None);
        }
        let habits = farm.input().feeding.clone().unwrap_or_default();
        // lime is reckoned apart from the mix
        let shed = farm.input().product.iter().filter(|p| p.neutralizing_pct == 0.0).cloned().collect();
        Ok(Some(Self { farm, today, units, habits, tables: Tables::shipped()?, shed, list: FeedingList::default() }))
    }

    /// The list of all that the blocks take.
    pub fn finish(self) -> FeedingList {
        self.list
    }

    /// The block's next feeding; `None` where the file says nothing about it.
    pub fn feed(&mut self, block: &FarmBlock<'_>) -> Result<Option<FeedingPlan>> {
        let Some(feeding) = &block.block.feeding else { return Ok(None) };
        let south = self.farm.south();
        let planted = block.block.planted.day(south)?;
        let (now, first) = (season(self.today, south), season(planted, south));
        // trees get nothing in their planting year
        let age = |season: i32| u32::try_from(season - first).ok().filter(|age| *age > 0);
        let seasons = [now, now + 1].into_iter().filter_map(|season| Some((season, age(season)?)));
        let sold = feeding.sale_year.map(|year| year - i32::from(south));
        let mut last = None;
        for (season, age_years) in seasons.filter(|(s, _)| sold.is_none_or(|sold| *s <= sold)) {
            let asked = Asked { block: *block, feeding, season, age_years, fed: self.fed(block)? };
            let input = self.input(&asked, sold == Some(season))?;
            let answer = self.answer(&input)?;
            let plan = self.plan(&asked, &input, &answer)?;
            let settled = plan.next.is_some() || !plan.unmet.is_empty() || plan.status == Status::NotUsable;
            last = Some((plan, answer));
            if settled {
                break;
            }
        }
        let Some((plan, answer)) = last else { return Ok(None) };
        self.take(&plan, &answer);
        Ok(Some(plan))
    }

    /// The log's feedings with their products, and how much of each came on a hectare.
    fn fed(&self, block: &FarmBlock<'_>) -> Result<Vec<(FedLine, Product)>> {
        let Some(feeding) = &block.block.feeding else { return Ok(Vec::new()) };
        let trees_per_ha = feeding.ground(block.block, block.tree_count())?.trees_per_ha();
        let line = |f: &crate::farm::Fed| {
            let product = product(&self.farm.input().product, &f.product)?;
            let by_tree = f.per_tree_g.map(|g| g * trees_per_ha / 1000.0);
            let on_block = f.amount_kg.zip(area_ha(block)).map(|(kg, ha)| kg / ha);
            Ok((FedLine { date: f.date, product: product.name.clone(), kg_ha: by_tree.or(on_block).unwrap_or(0.0) }, product))
        };
        block.block.fed.iter().filter(|f| f.date <= self.today).map(line).collect()
    }

    fn input(&self, asked: &Asked<'_>, sale_year: bool) -> Result<RecommendInput> {
        let (farm, block, feeding, habits) = (self.farm, asked.block.block, asked.feeding, &self.habits);
        let south = farm.south();
        let mut test = farm.input().soil_test.get(&feeding.soil_test).cloned().unwrap_or_default();
        test.texture = test.texture.or_else(|| Some(asked.block.profile.top().texture()));
        let before = |day: Date| asked.fed.iter().map(|(f, _)| f.date).filter(|d| *d <= day).max();
        test.fertilized = test.fertilized.or_else(|| before(test.sampled?));
        let ground = feeding.ground(block, asked.block.tree_count())?;
        let mut input = RecommendInput::new(SoilTest::new(test)?, asked.block.stand.species().name(), ground, self.today);
        input.area_ha = area_ha(&asked.block);
        input.age_years = Some(asked.age_years);
        input.height_m = block.height_m;
        input.sale_year = sale_year;
        input.bud_break = bud_break(asked.season, habits.bud_break, south);
        input.southern = south;
        input.soil_table = feeding.soil_table.clone().or_else(|| habits.soil_table.clone());
        input.ph_table = feeding.ph_table.clone().or_else(|| habits.ph_table.clone());
        input.nitrogen_table = feeding.nitrogen_table.clone().or_else(|| habits.nitrogen_table.clone());
        input.removal = habits.removal.unwrap_or(false);
        input.lime_options.from_memory = habits.from_memory.unwrap_or(false);
        input.most_n_g_per_tree = feeding.most_n_g;
        input.not_before = Some(self.today);
        input.units = self.units;
        input.water = farm.input().water_test;
        let watered = asked.block.waterings()?;
        input.irrigation_mm = Some(watered.iter().filter(|(day, _)| season(*day, south) == season(self.today, south)).map(|w| w.1).sum());
        let of_season = asked.fed.iter().filter(|(f, p)| season(f.date, south) == asked.season && p.neutralizing_pct == 0.0);
        input.credits = of_season
            .flat_map(|(f, p)| {
                nutrients(p, f.kg_ha).map(|(nutrient, kg_ha)| Credit { from: format!("{} on {}", f.product, f.date), nutrient, kg_ha })
            })
            .collect();
        input.lime_material = habits.lime.as_deref().map(|name| product(&farm.input().product, name)).transpose()?.map(|lime| {
            let price_per_t = lime.price().map(|p| 1000.0 * p);
            LimingMaterial {
                name: lime.name,
                carbonate_equivalent: lime.neutralizing_pct / 100.0,
                sieves: None,
                moisture: 0.0,
                price_per_t,
            }
        });
        let products: Vec<Product> = self.shed.iter().filter(|p| p.price().is_some() || p.on_hand_kg > 0.0).cloned().collect();
        let bagged = products.iter().all(|p| p.price().is_none() || p.bag_kg.is_some());
        input.shed = (!products.is_empty()).then(|| {
            let usual = Shed::new(products);
            Shed {
                bags: habits.bags.unwrap_or(if bagged { Bags::Opened } else { Bags::Loose }),
                oversupply: habits.oversupply.unwrap_or(usual.oversupply),
                undersupply: habits.undersupply.unwrap_or(usual.undersupply),
                salt_cap_kg_ha: habits.salt_cap_kg_ha,
                scoop_ml: habits.scoop_ml,
                ..usual
            }
        });
        Ok(input)
    }

    fn answer(&self, input: &RecommendInput) -> Result<Recommendation> {
        let control = Control::new().with_limit(MOST_NODES);
        let answer = recommend(input, &self.tables, &control)?;
        let refused = answer.lime.is_none() && input.lime_material.is_some() && answer.ask.iter().any(|a| a.starts_with("Lime: "));
        if refused {
            // a rate of pure carbonate wants the sieves of the lime: the answer then is for pure, fine carbonate
            return recommend(&RecommendInput { lime_material: None, ..input.clone() }, &self.tables, &control);
        }
        Ok(answer)
    }

    fn plan(&self, asked: &Asked<'_>, input: &RecommendInput, answer: &Recommendation) -> Result<FeedingPlan> {
        let mix = answer.mix.as_ref();
        let mut rounds: Vec<Round> = match mix {
            Some(mix) => mix.rounds.clone(),
            // without products the time is said, and the nutrients stand under the needs
            None if input.shed.is_none() => {
                answer.feedings.iter().filter(|f| !f.is_over(self.today)).map(Round::without_products).collect()
            }
            None => Vec::new(),
        };
        let next = (!rounds.is_empty()).then(|| rounds.remove(0));
        let south = self.farm.south();
        let counted = asked.fed.iter().filter(|(f, p)| {
            let lime = p.neutralizing_pct > 0.0 && input.test.input().sampled.is_none_or(|s| f.date > s);
            lime || season(f.date, south) == asked.season
        });
        let fed: Vec<FedLine> = counted.map(|(f, _)| f.clone()).collect();
        let lime = answer.lime.as_ref().map(|advice| self.lime(advice, asked, input));
        let mut steps = answer.explain(input);
        if let (Some(blend), Some(request)) = (mix.and_then(|m| m.blend.as_ref()), answer.mix_request(input)?) {
            steps.extend(blend.explain(&request)?);
        }
        let mut assumptions = answer.assumptions.clone();
        if self.habits.bud_break.is_none() && answer.feedings.iter().any(|f| f.from.is_some()) {
            assumptions.push(Assumption::BudBreak.assumed());
        }
        Ok(FeedingPlan {
            soil_test: asked.feeding.soil_test.clone(),
            sampled: input.test.input().sampled,
            status: answer.status,
            reasons: answer.usability.reasons.iter().map(|r| r.words.clone()).collect(),
            season: asked.season,
            next,
            later: rounds,
            needs: needs(answer),
            cost: mix.and_then(|m| m.blend.as_ref()).map(|b| b.cost),
            unmet: mix.map(|m| m.conflicts.iter().map(|c| c.sentence(self.units)).collect()).unwrap_or_default(),
            lime,
            fed,
            ask: answer.ask.clone(),
            warnings: answer.warnings.clone(),
            tables: answer.tables.clone(),
            steps,
            assumptions,
        })
    }

    fn lime(&self, advice: &LimeAdvice, asked: &Asked<'_>, input: &RecommendInput) -> LimeLine {
        let sampled = input.test.input().sampled;
        let worth = input.lime_material.as_ref().map_or(0.90, |m| m.carbonate_equivalent);
        let since = asked.fed.iter().filter(|(f, _)| sampled.is_none_or(|s| f.date > s));
        let spread_kg_ha: f64 = since.map(|(f, p)| f.kg_ha * p.neutralizing_pct / 100.0 / worth).sum();
        let first = advice.applications.first();
        let rate_kg_ha = first.map_or(0.0, |a| (a.rate_kg_ha - spread_kg_ha).max(0.0));
        let total_kg = area_ha(&asked.block).map(|ha| ha * rate_kg_ha);
        let price = input.lime_material.as_ref().and_then(|m| m.price_per_t);
        LimeLine {
            verdict: advice.verdict,
            why: advice.why.clone(),
            material: input.lime_material.as_ref().map(|m| m.name.clone()).filter(|_| advice.verdict == PhVerdict::Lime),
            rate_kg_ha,
            total_kg,
            when: first.map(|a| a.when.clone()).unwrap_or_default(),
            more_years: advice.applications.len().saturating_sub(1),
            spread_kg_ha,
            cost: price.zip(total_kg).map(|(price, kg)| price * kg / 1000.0),
            sulfur: advice.sulfur.clone(),
            cautions: advice.cautions.clone(),
        }
    }

    /// Takes from the shed what the block uses, puts the rest of opened bags there, and writes the list.
    fn take(&mut self, plan: &FeedingPlan, answer: &Recommendation) {
        let mut cautions: Vec<String> = CAUTIONS.map(String::from).to_vec();
        cautions.extend(answer.cautions.iter().filter(|_| plan.next.is_some()).cloned());
        for caution in cautions {
            if !self.list.cautions.contains(&caution) {
                self.list.cautions.push(caution);
            }
        }
        let amounts = answer.mix.iter().filter_map(|m| m.blend.as_ref()).flat_map(|b| &b.amounts);
        for amount in amounts {
            if let Some(product) = self.shed.iter_mut().find(|p| p.name == amount.product) {
                product.on_hand_kg = (product.on_hand_kg - amount.from_stock_kg).max(0.0) + amount.left_kg;
            }
            if amount.bought_kg > 0.0 {
                self.list.cost += amount.cost;
                match self.list.buy.iter_mut().find(|b| b.product == amount.product) {
                    Some(buy) => {
                        buy.bags = buy.bags.zip(amount.bags).map(|(a, b)| a + b);
                        buy.kg += amount.bought_kg;
                        buy.cost += amount.cost;
                    }
                    None => self.list.buy.push(Buy {
                        product: amount.product.clone(),
                        bags: amount.bags,
                        kg: amount.bought_kg,
                        cost: amount.cost,
                    }),
                }
            }
        }
        let lime = plan.lime.as_ref().and_then(|l| Some((l.material.clone()?, l.total_kg.filter(|kg| *kg > 0.0)?, l.cost?)));
        if let Some((product, kg, cost)) = lime {
            self.list.cost += cost;
            match self.list.buy.iter_mut().find(|b| b.product == product) {
                Some(buy) => (buy.kg, buy.cost) = (buy.kg + kg, buy.cost + cost),
                None => self.list.buy.push(Buy { product, bags: None, kg, cost }),
            }
        }
    }
}

fn needs(answer: &Recommendation) -> Vec<NeedLine> {
    let nitrogen = answer.nitrogen.as_ref().filter(|n| n.low.field_kg_ha > 0.0).map(|n| NeedLine {
        nutrient: Guarantee::N,
        rates: n.low,
        why: n.row.clone(),
        source: n.source.clone(),
    });
    let others = answer.needs.iter().filter(|n| n.high.field_kg_ha > 0.0);
    let line =
        |n: &crate::fertility::NutrientNeed| NeedLine { nutrient: n.weight_of, rates: n.low, why: n.why.clone(), source: n.source.clone() };
    nitrogen.into_iter().chain(others.map(line)).collect()
}

fn area_ha(block: &FarmBlock<'_>) -> Option<f64> {
    block.block.ground_m2().map(|m2| m2 / 1e4)
}

/// The growing season that a day lies in: its calendar year, south of the equator the year that July begins it in.
fn season(day: Date, south: bool) -> i32 {
    day.year() - i32::from(south && day.month() < 7)
}

fn bud_break(season: i32, usual: Option<Date>, south: bool) -> Option<Date> {
    let (month, day) = usual.map_or((if south { BUD_BREAK.0 + 6 } else { BUD_BREAK.0 }, BUD_BREAK.1), |d| (d.month(), d.day()));
    // the 29th of February falls away in other years
    Date::new(season + i32::from(south && month < 7), month, day).or_else(|_| Date::new(season, month, 28)).ok()
}
