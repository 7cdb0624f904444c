//! What to leave out first where not all can be done: the least worth, and of equal worth the oldest trees.

use super::ScheduleRequest;
use super::answer::{FewerSets, LeaveOut};
use super::job::{Job, SetWork};
use super::solve::Limits;
use super::visit::{PulseWay, chains};
use crate::control::Control;
use crate::error::Result;
use std::cmp::Ordering;

/// Up to so many jobs every choice of jobs to leave out is looked at; beyond, one after the other.
const EVERY_CHOICE: usize = 10;

fn worth(job: &Job) -> f64 {
    job.worth.unwrap_or(1.0)
}

/// The older goes first.
fn age(job: &Job) -> f64 {
    job.age_years.unwrap_or(0.0)
}

fn work_min(job: &Job) -> f64 {
    job.sets.iter().map(|s| s.move_min + s.run_min.at(0)).sum()
}

/// Least worth for the minutes that it takes first.
pub(super) fn order(jobs: &[Job]) -> Vec<String> {
    let rate = |job: &Job| worth(job) / work_min(job).max(1.0);
    let mut sorted: Vec<&Job> = jobs.iter().collect();
    sorted.sort_by(|a, b| rate(a).total_cmp(&rate(b)).then_with(|| age(b).total_cmp(&age(a))));
    sorted.into_iter().map(|j| j.name.clone()).collect()
}

/// The question that could not be answered in time.
pub(super) struct Question<'a> {
    pub request: &'a ScheduleRequest,
    pub limits: &'a Limits<'a>,
    pub way: PulseWay,
}

impl Question<'_> {
    /// In time with these jobs in place of the request's? Jobs without sets take no time.
    fn in_time(&self, jobs: &[Job], control: &Control) -> Result<bool> {
        self.limits.in_time(&chains(jobs, self.way, self.request.sprinklers == 1), control)
    }

    fn without(&self, left_out: &[usize]) -> Vec<Job> {
        let keep = |(i, job): (usize, &Job)| if left_out.contains(&i) { Job { sets: Vec::new(), ..job.clone() } } else { job.clone() };
        self.request.jobs.iter().enumerate().map(keep).collect()
    }

    /// The jobs to leave out that are worth least together.
    pub fn jobs(&self, control: &Control) -> Result<Option<LeaveOut>> {
        let jobs = &self.request.jobs;
        let limited: Vec<usize> = jobs.iter().enumerate().filter(|(_, j)| j.due.is_some()).map(|(i, _)| i).collect();
        let sum = |of: &[usize], f: fn(&Job) -> f64| of.iter().filter_map(|i| jobs.get(*i)).map(f).sum::<f64>();
        let answer = |choice: &[usize]| LeaveOut {
            jobs: choice.iter().filter_map(|i| jobs.get(*i)).map(|j| j.name.clone()).collect(),
            worth: sum(choice, worth),
            saved_h: sum(choice, work_min) / 60.0,
        };
        if limited.len() > EVERY_CHOICE {
            let ranked = order(jobs);
            let by_rank = ranked.iter().filter_map(|name| limited.iter().copied().find(|i| jobs.get(*i).is_some_and(|j| j.name == *name)));
            let mut choice = Vec::new();
            for i in by_rank {
                choice.push(i);
                if self.in_time(&self.without(&choice), control)? {
                    return Ok(Some(answer(&choice)));
                }
            }
            return Ok(None);
        }
        let mut choices: Vec<Vec<usize>> = (1_u32..1 << limited.len())
            .map(|bits| limited.iter().enumerate().filter(|(n, _)| bits & (1 << n) != 0).map(|(_, i)| *i).collect())
            .collect();
        let cheaper = |a: &Vec<usize>, b: &Vec<usize>| -> Ordering {
            let by_worth = sum(a, worth).total_cmp(&sum(b, worth));
            by_worth.then(a.len().cmp(&b.len())).then_with(|| sum(b, age).total_cmp(&sum(a, age)))
        };
        choices.sort_by(cheaper);
        for choice in choices {
            if self.in_time(&self.without(&choice), control)? {
                return Ok(Some(answer(&choice)));
            }
        }
        Ok(None)
    }

    /// The sets of one job to leave out that are worth least.
    pub fn sets(&self, control: &Control) -> Result<Option<FewerSets>> {
        let mut best: Option<FewerSets> = None;
        for (i, job) in self.request.jobs.iter().enumerate().filter(|(_, j)| j.due.is_some()) {
            let of = job.sets.len();
            let with = |keep: usize| {
                let mut jobs = self.request.jobs.clone();
                if let Some(job) = jobs.get_mut(i) {
                    // the longest go first: they save most
                    job.sets.sort_by(|a, b| minutes(a).total_cmp(&minutes(b)));
                    job.sets.truncate(keep);
                }
                jobs
            };
            if !self.in_time(&with(0), control)? {
                continue;
            }
            // fewer sets are never later
            let (mut low, mut high) = (0, of);
            while low + 1 < high {
                let middle = low + (high - low) / 2;
                if self.in_time(&with(middle), control)? { low = middle } else { high = middle }
            }
            let left_out = of - low;
            let cost = worth(job) * left_out as f64 / of as f64;
            if best.as_ref().is_none_or(|b| cost < b.worth) {
                best = Some(FewerSets { job: job.name.clone(), sets: left_out, of, worth: cost });
            }
        }
        Ok(best)
    }
}

fn minutes(set: &SetWork) -> f64 {
    set.move_min + set.run_min.at(0)
}
