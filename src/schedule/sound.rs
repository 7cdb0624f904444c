//! Is a schedule that comes from outside one that could have been answered?

use super::answer::{JobAnswer, Schedule, Stint};
use super::moment::Moment;
use crate::error::{Error, Result};
use std::collections::BTreeMap;

/// Numbers that were added up in another order differ by no more, as a share.
const ROUND_OFF: f64 = 1e-9;

fn altered(what: String) -> Error {
    Error::inconsistent(format!("this schedule was altered: {what}"), "Ask for it anew.")
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUND_OFF * a.abs().max(b.abs()).max(1.0)
}

impl Schedule {
    /// Does its content hold together? Windows and limits of the question are not in it, so only what it says itself is
    /// held against each other: times, sums, names.
    ///
    /// # Errors
    /// The first that does not fit.
    ///
    /// ```
    /// use dibble::schedule::{Due, Job, SetWork, Window, Windows, start_by};
    /// let jobs = [Job::new("old", vec![SetWork::new("1", 30.0, 60.0)], Some(Due::at("2026-07-17 18:00".parse()?)))];
    /// let mut week = start_by(&jobs, &Windows::new(vec![Window::daily("6:00", "12:00")?]), "2026-07-14 06:00".parse()?)?;
    /// assert!(week.sound().is_ok());
    /// week.finish = None;
    /// assert_eq!(
    ///     week.sound().unwrap_err().to_string(),
    ///     "this schedule was altered: its last set ends 2026-07-17 12:00, and it says none. Ask for it anew."
    /// );
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn sound(&self) -> Result<()> {
        self.check_stints()?;
        self.check_jobs()?;
        self.check_limits()
    }

    /// Times go forward, and no sprinkler runs at two places.
    fn check_stints(&self) -> Result<()> {
        let mut free: BTreeMap<usize, Moment> = BTreeMap::new();
        let mut before = self.now;
        for stint in &self.timetable {
            let Stint { job, set, pulse, sprinkler, begin, on, off, move_min, run_min } = stint;
            let place = format!("set \"{set}\" of \"{job}\"");
            if !(move_min.is_finite() && *move_min >= 0.0 && run_min.is_finite() && *run_min >= 0.0) {
                return Err(altered(format!("{place} moves {move_min} and runs {run_min} min")));
            }
            if !(begin <= on && on <= off) {
                return Err(altered(format!("{place} begins {begin}, runs from {on} and ends {off}")));
            }
            let (moving, running) = (on.minutes_since(*begin) as f64, off.minutes_since(*on) as f64);
            if moving < *move_min || running < *run_min {
                let what = format!("{place} takes {move_min} and {run_min} min, and its times leave {moving} and {running}");
                return Err(altered(what));
            }
            if !(1..=pulse.1).contains(&pulse.0) || *sprinkler == 0 {
                return Err(altered(format!("{place} is pulse {} of {} of sprinkler {sprinkler}", pulse.0, pulse.1)));
            }
            if *begin < before {
                return Err(altered(format!("{place} begins {begin}, and what stands before it {before}")));
            }
            before = *begin;
            if let Some(busy) = free.insert(*sprinkler, *off).filter(|busy| begin < busy) {
                return Err(altered(format!("{place} begins {begin}, and sprinkler {sprinkler} is busy until {busy}")));
            }
        }
        match self.timetable.iter().map(|s| s.off).max() {
            last if last == self.finish => Ok(()),
            last => Err(altered(format!("its last set ends {}, and it says {}", shown(last), shown(self.finish)))),
        }
    }

    /// Every job is the sum of its sets.
    fn check_jobs(&self) -> Result<()> {
        let mut order: Vec<&str> = Vec::new();
        for stint in &self.timetable {
            if !order.contains(&stint.job.as_str()) {
                order.push(&stint.job);
            }
        }
        if !order.iter().copied().eq(self.order.iter().map(String::as_str)) {
            return Err(altered(format!("its sets come in the order {}, and it says {}", order.join(", "), self.order.join(", "))));
        }
        let sorted = |names: &mut dyn Iterator<Item = &str>| {
            let mut names: Vec<String> = names.map(String::from).collect();
            names.sort_unstable();
            names
        };
        let jobs = sorted(&mut self.jobs.iter().map(|j| j.name.as_str()));
        for (what, names) in [("order", &self.order), ("give_up_order", &self.give_up_order)] {
            if sorted(&mut names.iter().map(String::as_str)) != jobs {
                return Err(altered(format!("{what} holds {}, and its jobs are {}", names.join(", "), jobs.join(", "))));
            }
        }
        self.jobs.iter().try_for_each(|job| self.check_job(job))
    }

    fn check_job(&self, job: &JobAnswer) -> Result<()> {
        let mine = || self.timetable.iter().filter(|s| s.job == job.name);
        let refuse = |what: String| Err(altered(format!("\"{}\" {what}", job.name)));
        let (begin, finish) = (mine().map(|s| s.begin).min(), mine().map(|s| s.off).max());
        if begin != Some(job.begin) || finish != Some(job.finish) {
            let (says, is) = (format!("{} to {}", job.begin, job.finish), format!("{} to {}", shown(begin), shown(finish)));
            return refuse(format!("goes from {says}, and its sets from {is}"));
        }
        let sums = [(job.run_min, mine().map(|s| s.run_min).sum::<f64>()), (job.move_min, mine().map(|s| s.move_min).sum())];
        if let Some((says, is)) = sums.into_iter().find(|(says, is)| !near(*says, *is)) {
            return refuse(format!("takes {says} min, and its sets {is}"));
        }
        if job.moves > mine().count() {
            return refuse(format!("has {} moves for {} runs of water", job.moves, mine().count()));
        }
        let late_h = job.due.map_or(0.0, |due| job.finish.hours_since(due).max(0.0));
        if !near(job.late_h, late_h) {
            return refuse(format!("is {} h late, and it ends {late_h} h behind its limit", job.late_h));
        }
        if !(job.likely_late_h.is_finite() && job.likely_late_h >= 0.0) {
            return refuse(format!("is {} h late by its likely limit", job.likely_late_h));
        }
        // of another order than the one that begins latest, where a begin was asked for
        match job.start_by {
            Some(own) if self.start_by.is_none() || job.due.is_some_and(|due| own > due) => {
                refuse(format!("has to begin by {own}, its limit is {}, and all work begins by {}", shown(job.due), shown(self.start_by)))
            }
            _ => Ok(()),
        }
    }

    /// In time is in time.
    fn check_limits(&self) -> Result<()> {
        let hours = [("slack_h", self.slack_h), ("short_h", self.short_h), ("gap_h", self.gap_h)];
        if let Some((name, value)) = hours.into_iter().find(|(_, value)| !(value.is_finite() && *value >= 0.0)) {
            return Err(altered(format!("{name} is {value}")));
        }
        if self.in_time != (self.short_h == 0.0) {
            return Err(altered(format!("in_time is {}, and {} h are short", self.in_time, self.short_h)));
        }
        if let Some(job) = self.jobs.iter().find(|job| self.in_time && job.late_h > 0.0) {
            return Err(altered(format!("in_time is true, and \"{}\" is {} h late", job.name, job.late_h)));
        }
        let most = self.start_by.map_or(0.0, |at| at.hours_since(self.now));
        if self.slack_h > most * (1.0 + ROUND_OFF) || most < 0.0 {
            let what = format!("it leaves {} working hours, from {} to {}", self.slack_h, self.now, shown(self.start_by));
            return Err(altered(what));
        }
        let chosen: Vec<_> = self.candidates.iter().filter(|c| c.chosen).collect();
        let &[chosen] = chosen.as_slice() else {
            return Err(altered(format!("{} ways of pulsing are the chosen one", chosen.len())));
        };
        if chosen.start_by != self.start_by || chosen.short_h != Some(self.short_h) {
            let what = format!("its begin is {}, and that of the way it chose {}", shown(self.start_by), shown(chosen.start_by));
            return Err(altered(what));
        }
        if self.in_time && (self.leave_out.is_some() || self.fewer_sets.is_some()) {
            return Err(altered("in_time is true, and jobs are to be left out".into()));
        }
        Ok(())
    }
}

fn shown(moment: Option<Moment>) -> String {
    moment.map_or_else(|| "none".into(), |m| m.to_string())
}
