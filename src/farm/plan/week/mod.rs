//! The week's section of the plan: when the first set must start so that the last block is not too late.
//!
//! Jobs are the blocks whose limit, at the low end of its range and without any of the foreseen rain, may be reached within
//! seven days. A second answer credits that rain.

mod clock;
mod content;
mod cost;
mod jobs;
mod remedies;
mod season;
mod supply;
mod text;

pub(super) use clock::{at_work, from_to, with_sprinkler};
pub(super) use text::listed;

pub use content::{Advice, BlockWork, BlockWorth, CostPlan, HeatWatch, HotDay, NextBlock, SupplyPlan, WeekPlan};

use super::ahead::Ahead;
use super::{BlockPlan, PlanOptions};
use crate::assumption::Assumption;
use crate::date::Date;
use crate::error::Result;
use crate::farm::{Farm, FarmBlock};
use crate::schedule::{Job, Moment, Schedule, ScheduleRequest, Window, Windows, schedule};
use jobs::{Frame, Keep, Work};
use std::collections::BTreeMap;

/// Closed hours are told for so many days.
const DAYS_TOLD: u32 = 7;

/// Nobody begins with a block more than so long before he must, min: what is given early is used up or drains early.
const EARLY_MIN: i64 = 1440;

/// Beyond so many states the order comes from the heuristic: a plan is wanted at once, and asks several times.
const MOST_STATES: usize = 20_000;

/// The section, from blocks that are planned.
pub(super) fn week(
    farm: &Farm,
    blocks: &[BlockPlan],
    station: &Ahead,
    today: Date,
    options: &PlanOptions,
    rate_mm_h: f64,
) -> Result<WeekPlan> {
    let given = farm.windows();
    let mut windows = match &given {
        Some(windows) => windows.clone(),
        // those that are kept for need stay beside the usual one
        None => Windows::new(std::iter::once(Window::daily("6:00", "20:00")?).chain(farm.input().window.iter().copied()).collect()),
    };
    let hours = options.closed.as_ref().map(|hours| -> Result<_> {
        let now = Moment::midnight(today);
        hours.within(&windows.with_needed().open(now, DAYS_TOLD)?, now)
    });
    let hours = hours.transpose()?;
    windows.closed.extend(options.closed.iter().flat_map(|hours| hours.closed.iter().cloned()));
    let control = options.control.quiet();
    let worth = worths(farm, blocks, today)?;
    let units = options.units.unwrap_or(farm.units());
    let frame = Frame { farm, blocks, today, units, windows: &windows, rate_mm_h, worth: &worth, control: &control };
    let mut work = frame.work(Keep::Low, |b| b.without_rain.clone())?;
    let likely = frame.work(Keep::Likely, |b| b.without_rain.clone())?;
    let with_rain = frame.work(Keep::Low, |b| b.with_rain.clone())?;
    // what is past its limit starts at once
    let request = |work: &Work| ScheduleRequest {
        begin: (!work.past_limit.is_empty()).then(|| frame.now()),
        most_states: MOST_STATES,
        ..frame.request(work.jobs.clone())
    };
    let answered = |work: &Work| -> Result<Option<Schedule>> {
        if work.jobs.is_empty() { Ok(None) } else { schedule(&request(work), &control).map(Some) }
    };
    let mut plan = WeekPlan {
        schedule: None,
        start_by: None,
        start_by_likely: answered(&likely)?.and_then(|answer| start_by(&likely, &answer)),
        start_by_with_rain: answered(&with_rain)?.and_then(|answer| start_by(&with_rain, &answer)),
        due_likely: !likely.jobs.is_empty(),
        due_with_rain: !with_rain.jobs.is_empty(),
        past_limit: work.past_limit.clone(),
        late_likely: Vec::new(),
        next: work.next.clone(),
        works: Vec::new(),
        remedies: Vec::new(),
        heat: season::heat(station, blocks, today),
        advice: season::advice(blocks, today, farm.south(), units)?,
        supply: None,
        drawn: None,
        drawn_then: None,
        cost: None,
        notes: std::mem::take(&mut work.notes),
        assumptions: std::mem::take(&mut work.assumptions),
        windows: windows.clone(),
        hours,
    };
    if given.is_none() && !work.jobs.is_empty() {
        plan.assumptions.push(Assumption::WorkingWindow.assumed());
    }
    let (drawn, without) = supply::drawn(farm, today)?;
    plan.drawn = supply::counted(drawn.clone(), farm)?;
    if !without.is_empty() {
        plan.notes.push(format!("what was drawn for {} is not counted: its area is not known", without.join(", ")));
    }
    if work.jobs.is_empty() {
        return Ok(plan);
    }
    let asked = request(&work);
    let answer = schedule(&asked, &control)?;
    if !answer.in_time {
        plan.remedies = remedies::remedies(&frame, &work, Keep::Low, &asked)?;
    }
    plan.start_by = start_by(&work, &answer);
    let answer = not_early(&asked, answer, &work.past_limit, &control)?;
    plan.late_likely = late_likely(&likely, &answer);
    if answer.in_time && !plan.late_likely.is_empty() {
        // what may be past its limit has none to be late by: the likely limits tell what one sprinkler cannot do
        plan.remedies = remedies::remedies(&frame, &likely, Keep::Likely, &request(&likely))?;
    }
    for (block, farm_block) in blocks.iter().zip(farm.blocks()) {
        if let Some(job) = answer.jobs.iter().find(|j| j.name == block.name) {
            plan.works.push(frame.block_work(block, &farm_block, job));
        }
    }
    if farm.input().permit.is_some() {
        plan.drawn_then = supply::counted([drawn, supply::planned(&answer, &plan.works)].concat(), farm)?;
    }
    let flow_l_min = farm.blocks().iter().find_map(jobs::flow_l_min);
    plan.supply = supply::supply(farm, blocks, station, &answer, &plan.works, flow_l_min)?;
    if let Some((cost, assumed)) = cost::cost(farm, blocks, today, &answer, &plan.works)? {
        plan.cost = Some(cost);
        plan.assumptions.extend(assumed);
    }
    plan.notes.extend(dry_again(blocks, &answer));
    if farm.sprinkler_count() > 1 {
        plan.notes.push("each sprinkler is reckoned with pump and hose to itself: several on one pump get less each".into());
    }
    plan.notes.extend(without_places(farm, blocks, &answer));
    plan.schedule = Some(answer);
    Ok(plan)
}

/// The latest begin, or the first chance where a block is past its limit; nothing if it cannot be done in time.
fn start_by(work: &Work, answer: &Schedule) -> Option<Moment> {
    if !answer.in_time || work.past_limit.is_empty() { answer.start_by } else { answer.timetable.first().map(|s| s.begin) }
}

/// Blocks that are not past their likely limit today and are finished after it, with the hours between.
fn late_likely(likely: &Work, answer: &Schedule) -> Vec<(String, f64)> {
    let ahead = likely.jobs.iter().filter(|j| !likely.past_limit.contains(&j.name));
    let late = ahead.filter_map(|job| {
        let finish = answer.jobs.iter().find(|j| j.name == job.name)?.finish;
        Some((job.name.clone(), finish.hours_since(job.due?.likely)))
    });
    late.filter(|(_, hours)| *hours > 0.0).collect()
}

/// Blocks that reach their limit again before the round is over: then one round is not the whole answer.
fn dry_again(blocks: &[BlockPlan], answer: &Schedule) -> Option<String> {
    let end = answer.finish?;
    let again = answer.jobs.iter().filter_map(|job| {
        let block = blocks.iter().find(|b| b.name == job.name)?;
        let day = usize::try_from(job.finish.date() - answer.now.date()).ok()?;
        let lacking_mm = block.without_rain.depletion.get(day)? * block.available_water_mm - block.without_rain.net_mm.get(day)?;
        let days = 7.0 * (block.allowed_depletion * block.available_water_mm - lacking_mm) / block.week_use_mm.max(0.1);
        let dry = job.finish.plus_min((1440.0 * days.max(0.0)) as i64);
        (dry < end).then(|| format!("{} about {} {}", job.name, dry.date().weekday(), dry.date()))
    });
    let again: Vec<String> = again.collect();
    (!again.is_empty()).then(|| {
        let head = "at its limit again before this round is over, likely";
        format!("{head}: {}; {} keep up without rain", text::listed(&again), text::not_enough(answer))
    })
}

/// Blocks whose places could have been searched and were not: their minutes are an estimate.
fn without_places(farm: &Farm, blocks: &[BlockPlan], answer: &Schedule) -> Option<String> {
    let could = |(block, of): &(&BlockPlan, FarmBlock<'_>)| {
        let due = answer.jobs.iter().any(|j| j.name == block.name);
        due && block.sets.is_none() && of.map.is_some() && jobs::flow_l_min(of).is_some()
    };
    let names: Vec<String> = blocks.iter().zip(farm.blocks()).filter(could).map(|(block, _)| block.name.clone()).collect();
    (!names.is_empty()).then(|| {
        let head = format!("{}: positions and minutes are an estimate, as if the water fell evenly", text::listed(&names));
        format!("{head}; with a search for places each set has its own, and the round is often longer")
    })
}

/// The same answer with a timetable that begins no block more than a day before it must, but those past their limit as soon as
/// can be, if that is in time too.
fn not_early(asked: &ScheduleRequest, answer: Schedule, past_limit: &[String], control: &crate::control::Control) -> Result<Schedule> {
    if !answer.in_time {
        return Ok(answer);
    }
    let later = |job: &Job| -> Job {
        let must = answer.jobs.iter().find(|j| j.name == job.name).and_then(|j| j.start_by);
        let release = must.map(|m| m.plus_min(-EARLY_MIN)).filter(|m| *m > asked.now && !past_limit.contains(&job.name));
        Job { release: job.release.max(release), ..job.clone() }
    };
    let jobs: Vec<Job> = asked.jobs.iter().map(later).collect();
    let spread = schedule(&ScheduleRequest { jobs, begin: asked.begin.or(answer.start_by), ..asked.clone() }, control)?;
    if !spread.in_time || spread.jobs.iter().any(|j| j.late_h > 0.0) {
        return Ok(answer);
    }
    Ok(Schedule {
        timetable: spread.timetable,
        finish: spread.finish,
        order: spread.order,
        jobs: with_limits(spread.jobs, &answer),
        ..answer
    })
}

/// The spread jobs with the latest begins of the answer.
fn with_limits(mut jobs: Vec<crate::schedule::JobAnswer>, answer: &Schedule) -> Vec<crate::schedule::JobAnswer> {
    for job in &mut jobs {
        job.start_by = answer.jobs.iter().find(|j| j.name == job.name).and_then(|j| j.start_by);
    }
    jobs
}

/// What is lost with each block: in money where all have a price and a year of sale, else in trees where all are counted.
fn worths(farm: &Farm, blocks: &[BlockPlan], today: Date) -> Result<BTreeMap<String, f64>> {
    let (mut money, mut counted) = (BTreeMap::new(), BTreeMap::new());
    for (block, farm_block) in blocks.iter().zip(farm.blocks()) {
        let Some(trees) = block.trees.map(f64::from) else { continue };
        counted.insert(block.name.clone(), trees);
        if let Some(tree) = cost::tree(farm, &farm_block, today)? {
            money.insert(block.name.clone(), trees * tree.loss);
        }
    }
    let all = |of: &BTreeMap<String, f64>| of.len() == blocks.len();
    Ok(if all(&money) {
        money
    } else if all(&counted) {
        counted
    } else {
        BTreeMap::new()
    })
}
