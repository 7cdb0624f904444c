//! What would help where the week cannot be done: each change reckoned by itself.

use super::jobs::{Frame, Keep, Work};
use crate::error::Result;
use crate::farm::plan::Coming;
use crate::hydraulics::{Change, Limits};
use crate::schedule::{ByDay, Job, Remedy, RemedyAnswer, ScheduleRequest, SetWork, Window, compare};
use crate::units::show;

/// A larger nozzle where the pump is not known: so much more water in the same time. Our judgment: one size of a ring nozzle.
const LARGER_NOZZLE: f64 = 1.25;
/// Less more than this is not worth a nozzle. Our judgment.
const WORTH_A_NOZZLE: f64 = 1.01;
/// Depth of mulch, m: 3 in, common practice.
const MULCH_M: f64 = 0.0762;
/// People's minutes for a tree watered by hand: 4 people, 3 h and 500 trees in a log that was seen.
const BUCKET_MIN: f64 = 1.4;

/// The remedies, tried in turn.
pub(super) fn remedies(frame: &Frame<'_>, work: &Work, keep: Keep, request: &ScheduleRequest) -> Result<Vec<RemedyAnswer>> {
    let mut remedies = vec![night(frame)?];
    let more = match request.sprinklers {
        1 => ("a second sprinkler", "takes twice the flow, a second hose and more hands"),
        _ => ("one sprinkler more", "takes the flow and the hose of one more, and more hands"),
    };
    remedies.push(Remedy { what: more.0.into(), price: more.1.into(), sprinklers: Some(request.sprinklers + 1), ..Remedy::default() });
    remedies.extend(larger_nozzle(frame, work));
    remedies.extend(mulch(frame, work, keep)?);
    remedies.extend(bucket(frame, work));
    compare(request, &remedies, frame.control)
}

/// The windows kept for need, or nine at night to five in the morning.
fn night(frame: &Frame<'_>) -> Result<Remedy> {
    let windows =
        if frame.windows.has_needed() { frame.windows.with_needed() } else { frame.windows.with(Window::daily("21:00", "5:00")?) };
    let what = if frame.windows.has_needed() { "the windows kept for need" } else { "a window from 9 pm to 5 am" };
    Ok(Remedy { what: what.into(), price: "night work; less is lost as spray".into(), windows: Some(windows), ..Remedy::default() })
}

/// The next larger nozzle: with what pump and hoses then give at each block; none if they give no more anywhere.
fn larger_nozzle(frame: &Frame<'_>, work: &Work) -> Option<Remedy> {
    let farm_blocks = frame.farm.blocks();
    let more = |job: &Job| {
        let block = farm_blocks.iter().find(|b| b.block.name == job.name)?;
        block.head().ok().flatten()?.limits.as_ref().map(more_by_nozzle)
    };
    let known: Vec<Option<f64>> = work.jobs.iter().map(more).collect();
    let factors = || known.iter().map(|k| k.unwrap_or(LARGER_NOZZLE));
    let (least, most) = (factors().fold(f64::INFINITY, f64::min), factors().fold(1.0, f64::max));
    if most < WORTH_A_NOZZLE {
        return None;
    }
    let percent = |factor: f64| format!("{:.0}", 100.0 * (factor - 1.0));
    let price = match (known.iter().all(Option::is_some), percent(least) == percent(most)) {
        (true, true) => format!("{} % more flow at the duty point of pump and hoses", percent(most)),
        (true, false) => format!("{} to {} % more flow at the duty points of pump and hoses", percent(least), percent(most)),
        (false, _) => "a quarter more flow, if pump and hose can".into(),
    };
    Some(Remedy {
        what: "a larger nozzle".into(),
        price: format!("{price}; more runs off where pulses are needed already"),
        jobs: Some(work.jobs.iter().zip(factors()).map(|(job, factor)| faster(job, factor)).collect()),
        ..Remedy::default()
    })
}

/// Flow with the best nozzle that works, beside the flow today.
fn more_by_nozzle(limits: &Limits) -> f64 {
    let works = limits.alternatives.iter().filter(|a| a.reason.is_none() && matches!(a.what, Change::Nozzle { .. }));
    works.filter_map(|a| a.flow_l_min).fold(limits.duty.flow_l_min, f64::max) / limits.duty.flow_l_min
}

/// Sets without pulses run shorter; ground that takes water in pulses takes it no faster.
fn faster(job: &Job, factor: f64) -> Job {
    let shorter = |set: &SetWork| {
        let run_min = match &set.run_min {
            ByDay::Same(run) => ByDay::Same(run / factor),
            ByDay::Days(runs) => ByDay::Days(runs.iter().map(|r| r / factor).collect()),
        };
        if set.is_pulsed() { set.clone() } else { SetWork { run_min, ..set.clone() } }
    };
    Job { sets: job.sets.iter().map(shorter).collect(), ..job.clone() }
}

/// Mulch over every strip from this morning on: the ledger once more.
fn mulch(frame: &Frame<'_>, work: &Work, keep: Keep) -> Result<Option<Remedy>> {
    if !frame.blocks.iter().any(|b| b.serving.mulched) {
        return Ok(None);
    }
    let mulched = frame.work(keep, |b| {
        let days_left = if b.serving.mulched { b.serving.mulched_days_left } else { b.without_rain.days_left };
        Coming { days_left, ..b.without_rain.clone() }
    })?;
    // blocks past their limit stay what they are: mulch brings no water
    let jobs: Vec<Job> = work
        .jobs
        .iter()
        .filter_map(|job| {
            let past = work.past_limit.contains(&job.name);
            if past {
                Some(job.clone())
            } else {
                mulched.jobs.iter().find(|m| m.name == job.name).map(|m| Job { due: m.due, ..job.clone() })
            }
        })
        .collect();
    if jobs.is_empty() {
        return Ok(None);
    }
    let strip_m2: f64 = frame
        .farm
        .blocks()
        .iter()
        .map(|b| b.stand.input().strip_width_m / b.block.row_spacing_m * b.block.ground_m2().unwrap_or(0.0))
        .sum();
    let (area, deep) = (show::area(strip_m2, frame.units), show::soil_depth(MULCH_M, frame.units));
    let price = format!("{area} of strips, {deep} deep, off the stems");
    Ok(Some(Remedy { what: "mulch over all strips today".into(), price, jobs: Some(jobs), ..Remedy::default() }))
}

/// The youngest block by hand.
fn bucket(frame: &Frame<'_>, work: &Work) -> Option<Remedy> {
    let youngest = work.jobs.iter().min_by(|a, b| a.age_years.unwrap_or(0.0).total_cmp(&b.age_years.unwrap_or(0.0)))?;
    let block = frame.blocks.iter().find(|b| b.name == youngest.name)?;
    let trees = f64::from(block.trees?);
    let jobs: Vec<Job> = work.jobs.iter().filter(|j| j.name != youngest.name).cloned().collect();
    if jobs.is_empty() {
        return None;
    }
    let price = format!(
        "{} trees, {} each, about {:.0} hours of people's time",
        show::number(trees, 0),
        show::volume(block.tree_l.max(4.0), frame.units),
        trees * BUCKET_MIN / 60.0
    );
    Some(Remedy { what: format!("{} by bucket", youngest.name), price, jobs: Some(jobs), ..Remedy::default() })
}
