//! What the week's work costs, what the trees are worth, and how many it has to save.

use super::content::{BlockWork, BlockWorth, CostPlan};
use crate::assumption::{Assumed, Assumption};
use crate::cost::{PassInput, PassWorthInput, TreeInput, TreeWorth, pass_cost, pass_worth, tree_worth};
use crate::date::Date;
use crate::error::Result;
use crate::farm::plan::BlockPlan;
use crate::farm::{Farm, FarmBlock};
use crate::schedule::Schedule;

/// Interest where it is not given.
const USUAL_INTEREST: f64 = 0.06;

/// What a tree of a block is worth; `None` where price or year of sale is not known.
pub(super) fn tree(farm: &Farm, block: &FarmBlock<'_>, today: Date) -> Result<Option<TreeWorth>> {
    let prices = farm.input().prices.unwrap_or_default();
    let (Some(price), Some(year)) = (block.block.price.or(prices.tree), block.block.sale_year) else { return Ok(None) };
    let years = |from: i32| (f64::from(year) - f64::from(from)).max(0.0);
    let input = TreeInput {
        price,
        years: years(today.year()),
        interest: prices.interest.unwrap_or(USUAL_INTEREST),
        replant_cost: prices.replant,
        // planted next year in place of one that has stood since its own
        delay_years: f64::from((today.year() - block.stand.input().planted.year()).max(0)) + 1.0,
        care_saved: 0.0,
    };
    tree_worth(&input).map(Some)
}

/// The cost of the schedule's work; `None` where neither wage nor any price is given.
pub(super) fn cost(
    farm: &Farm,
    blocks: &[BlockPlan],
    today: Date,
    schedule: &Schedule,
    works: &[BlockWork],
) -> Result<Option<(CostPlan, Vec<Assumed>)>> {
    let (labor, prices) = (farm.input().labor, farm.input().prices);
    if labor.is_none() && prices.and_then(|p| p.fuel_price()).is_none() {
        return Ok(None);
    }
    let prices = prices.unwrap_or_default();
    let sum = |f: fn(&crate::schedule::JobAnswer) -> f64| schedule.jobs.iter().map(f).sum::<f64>();
    let (run_h, move_min, moves) = (sum(|j| j.run_min) / 60.0, sum(|j| j.move_min), schedule.jobs.iter().map(|j| j.moves).sum::<usize>());
    let mut missing = Vec::new();
    let fuel_per_h = prices.used_per_h().or_else(|| farm.blocks().iter().find_map(|b| b.head().ok().flatten()?.duty?.fuel_per_hour));
    if fuel_per_h.is_none() || prices.fuel_price().is_none() {
        missing.push("fuel: give its price, and fuel_use (current_use of a motor) or a [pump] with its engine".to_string());
    }
    if labor.is_none() {
        missing.push("labor: give [labor] with wage_h".to_string());
    }
    let water_l = works.iter().filter_map(|w| w.pumped_l).map(|(low, high)| 0.5 * (low + high)).sum::<f64>();
    let of_week = |name: &str| works.iter().any(|w| w.block == name);
    let in_week = || blocks.iter().filter(|b| of_week(&b.name));
    let people = labor.and_then(|l| l.people).unwrap_or(1.0);
    let input = PassInput {
        run_h,
        fuel_per_h: fuel_per_h.unwrap_or(0.0),
        fuel_price: prices.fuel_price().unwrap_or(0.0),
        moves: u32::try_from(moves).unwrap_or(u32::MAX),
        move_min: if moves > 0 { move_min / moves as f64 } else { 0.0 },
        people,
        watch_h: run_h * labor.and_then(|l| l.watching).unwrap_or(0.0),
        wage_h: labor.map_or(0.0, |l| l.wage_h),
        water_l,
        water_price_m3: prices.water_per_m3.unwrap_or(0.0),
        wear_h: prices.wear_per_h.unwrap_or(0.0),
        area_m2: in_week().filter_map(|b| b.area_m2).sum(),
        trees: in_week().filter_map(|b| b.trees).map(f64::from).sum(),
    };
    let pass = pass_cost(&input)?;
    let hours = |name: &str| schedule.jobs.iter().filter(|j| j.name == name).map(|j| j.run_min + j.move_min).sum::<f64>();
    let all = sum(|j| j.run_min + j.move_min);
    let mut worths = Vec::new();
    for (block, farm_block) in blocks.iter().zip(farm.blocks()).filter(|(b, _)| of_week(&b.name)) {
        let Some(trees) = block.trees.filter(|t| *t > 0).map(f64::from) else { continue };
        let Some(tree) = tree(farm, &farm_block, today)?.filter(|t| t.loss > 0.0) else { continue };
        let cost = if all > 0.0 { pass.total * hours(&block.name) / all } else { 0.0 };
        let worth = pass_worth(&PassWorthInput { cost, trees, loss: tree.loss, saved: None })?;
        worths.push(BlockWorth { block: block.name.clone(), cost, tree, worth });
    }
    let at_risk: f64 = worths.iter().map(|w| w.worth.at_risk).sum();
    let valued: f64 = blocks.iter().filter(|b| worths.iter().any(|w| w.block == b.name)).filter_map(|b| b.trees).map(f64::from).sum();
    let whole = !worths.is_empty() && worths.len() == works.len();
    let worth = if whole {
        Some(pass_worth(&PassWorthInput { cost: pass.total, trees: valued, loss: at_risk / valued, saved: None })?)
    } else {
        None
    };
    let mut assumptions = Vec::new();
    if prices.interest.is_none() && !worths.is_empty() {
        assumptions.push(Assumption::Interest.assumed());
    }
    Ok(Some((CostPlan { pass, worth, blocks: worths, missing }, assumptions)))
}
