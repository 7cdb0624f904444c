//! What would help where the week cannot be done: each change reckoned by itself.

use super::jobs::{Frame, Keep, Work};
use crate::error::Result;
use crate::farm::plan::Coming;
use crate::schedule::{ByDay, Job, Remedy, RemedyAnswer, ScheduleRequest, SetWork, Window, compare};
use crate::units::show;

/// A larger nozzle: so much more water in the same time, if pump and hose can. Our judgment: one size of a ring nozzle.
const LARGER_NOZZLE: f64 = 1.25;
/// People's minutes for a tree watered by hand: 4 people, 3 h and 500 trees in a log that was seen.
const BUCKET_MIN: f64 = 1.4;

/// The remedies, tried in turn.
pub(super) fn remedies(frame: &Frame<'_>, work: &Work, request: &ScheduleRequest) -> Result<Vec<RemedyAnswer>> {
    let mut remedies = vec![night(frame)?];
    remedies.push(Remedy {
        what: "a second sprinkler".into(),
        price: "takes twice the flow, a second hose and more hands".into(),
        sprinklers: Some(2),
        ..Remedy::default()
    });
    remedies.push(Remedy {
        what: "a larger nozzle".into(),
        price: "a quarter more flow, if pump and hose can; more runs off where pulses are needed already".into(),
        jobs: Some(work.jobs.iter().map(faster).collect()),
        ..Remedy::default()
    });
    remedies.extend(mulch(frame, work)?);
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

/// Sets without pulses run shorter; ground that takes water in pulses takes it no faster.
fn faster(job: &Job) -> Job {
    let shorter = |set: &SetWork| {
        let run_min = match &set.run_min {
            ByDay::Same(run) => ByDay::Same(run / LARGER_NOZZLE),
            ByDay::Days(runs) => ByDay::Days(runs.iter().map(|r| r / LARGER_NOZZLE).collect()),
        };
        if set.is_pulsed() { set.clone() } else { SetWork { run_min, ..set.clone() } }
    };
    Job { sets: job.sets.iter().map(shorter).collect(), ..job.clone() }
}

/// Mulch over every strip from this morning on: the ledger once more.
fn mulch(frame: &Frame<'_>, work: &Work) -> Result<Option<Remedy>> {
    if !frame.blocks.iter().any(|b| b.serving.mulched) {
        return Ok(None);
    }
    let mulched = frame.work(Keep::Low, |b| {
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
    let price = format!("{} of strips, 3 in deep, off the stems", show::area(strip_m2, frame.farm.units()));
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
        show::volume(block.tree_l.max(4.0), frame.farm.units()),
        trees * BUCKET_MIN / 60.0
    );
    Some(Remedy { what: format!("{} by bucket", youngest.name), price, jobs: Some(jobs), ..Remedy::default() })
}
