//! When the first set must start so that the last block is not too late, in what order, and what if it cannot be done.
//!
//! Jobs (blocks) have sets with moving and running minutes and a limit; work is done within windows, with one sprinkler or
//! several. [`start_by`] answers the plain question, [`schedule`] takes what may differ. Minutes are whole; parts round up.
//!
//! Earliest limit first is exact only for work that may be broken off, is there from the beginning, and moves alike in any
//! order. Sets that may not be broken off at the end of a window need a search: it covers every order as long as its states can
//! be counted; beyond that a heuristic gives a good order, and a relaxation what no order can beat.

mod answer;
mod choice;
mod give_up;
mod hours;
mod job;
mod kernel;
mod moment;
mod remedy;
mod solve;
mod sound;
mod timeline;
mod visit;
mod window;

pub use answer::{Candidate, DueOrder, FewerSets, JobAnswer, LeaveOut, SCHEDULE_SCHEMA, Schedule, Stint};
pub use hours::{ClosedHours, HourLimits, closed_hours};
pub use job::{ByDay, Due, Job, PulseTime, SetWork};
pub use moment::{Clock, Moment};
pub use remedy::{Remedy, RemedyAnswer, compare};
pub use visit::PulseWay;
pub use window::{Closed, Use, Weekdays, Window, Windows};

use crate::bounds;
use crate::control::Control;
use crate::error::{Error, Result};
use choice::{choose, runoff};
use moment::DAY_MIN;
use serde::{Deserialize, Serialize};
use solve::{Limits, MOST_STATES, Solution};
use timeline::Timeline;
use visit::{Chain, Visit, chains};

/// The question: what [`start_by`] asks, and what may differ.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ScheduleRequest {
    /// The work.
    pub jobs: Vec<Job>,
    /// When work may be done.
    pub windows: Windows,
    /// The moment from which on it may begin.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub now: Moment,
    /// Sprinklers that run at the same time, each with its own moves.
    #[serde(default = "one")]
    pub sprinklers: usize,
    /// Minutes more for a move from the row's job to the column's; empty for none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub between_min: Vec<Vec<f64>>,
    /// Begin then instead of at the latest begin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub begin: Option<Moment>,
    /// Beyond so many states the exact search gives way to the heuristic.
    #[serde(default = "most_states")]
    pub most_states: usize,
}

fn one() -> usize {
    1
}

fn most_states() -> usize {
    MOST_STATES
}

impl ScheduleRequest {
    /// The plain question: one sprinkler, no extra moves.
    pub fn new(jobs: Vec<Job>, windows: Windows, now: Moment) -> Self {
        Self { jobs, windows, now, sprinklers: 1, between_min: Vec::new(), begin: None, most_states: MOST_STATES }
    }

    fn check(&self) -> Result<()> {
        job::check(&self.jobs)?;
        if self.jobs.is_empty() {
            return Err(Error::missing("jobs", "Give at least one job; without work there is nothing to start."));
        }
        bounds::SPRINKLERS.check(self.sprinklers as f64)?;
        bounds::MOST_STATES.check(self.most_states as f64)?;
        let n = self.jobs.len();
        if !self.between_min.is_empty() && (self.between_min.len() != n || self.between_min.iter().any(|row| row.len() != n)) {
            let what = format!("between_min has {} rows, and there are {n} jobs", self.between_min.len());
            return Err(Error::inconsistent(what, "Give a row and a column for each job, or none."));
        }
        self.between_min.iter().flatten().try_for_each(|m| bounds::MINUTES_MIN.named("between_min").check(*m).map(|_| ()))
    }
}

/// Latest begin, order and timetable of `jobs` within `windows`, from `now` on, with one sprinkler.
///
/// # Errors
/// Values out of range; limits out of order; windows that never open; a set longer than every window that may not be broken off.
///
/// ```
/// use dibble::schedule::{Due, Job, SetWork, Window, Windows, start_by};
/// let due = |text: &str| Ok::<_, dibble::Error>(Some(Due::at(text.parse()?)));
/// let sets = |n: usize| (1..=n).map(|i| SetWork::new(i.to_string(), 30.0, 60.0)).collect();
/// let jobs = [Job::new("old", sets(2), due("2026-07-17 18:00")?), Job::new("young", sets(3), due("2026-07-15 12:00")?)];
/// let windows = Windows::new(vec![Window::daily("6:00", "12:00")?]);
/// let week = start_by(&jobs, &windows, "2026-07-14 06:00".parse()?)?;
/// // three sets of 90 min end by noon if the first begins at 7:30
/// assert_eq!(week.start_by.map(|t| t.words()), Some("Wed 7:30 am".into()));
/// assert_eq!(week.order, ["young", "old"]);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn start_by(jobs: &[Job], windows: &Windows, now: Moment) -> Result<Schedule> {
    schedule(&ScheduleRequest::new(jobs.to_vec(), windows.clone(), now), &Control::new())
}

/// As [`start_by`], with several sprinklers, moves that depend on the order, or another begin.
///
/// # Errors
/// As [`start_by`]; cancelled, or beyond the work limit.
pub fn schedule(request: &ScheduleRequest, control: &Control) -> Result<Schedule> {
    request.check()?;
    let setting = Setting::of(request)?;
    let limits = setting.limits(request);
    let pulsed = request.jobs.iter().flat_map(|j| &j.sets).any(SetWork::is_pulsed);
    let ways: &[PulseWay] = if pulsed { PulseWay::ALL } else { &[PulseWay::GoingRound] };
    let mut tried: Vec<(PulseWay, Vec<Chain>, Result<Solution>)> = Vec::new();
    for &way in ways {
        let chains = chains(&request.jobs, way, request.sprinklers == 1);
        let found = setting.fits(&chains, request).and_then(|()| limits.solve(&chains, setting.begin(request), control));
        if let Some(error) = found.as_ref().err().filter(|e| e.is_cancelled() || e.is_limit()) {
            return Err(error.clone());
        }
        tried.push((way, chains, found));
    }
    let mut candidates: Vec<Candidate> =
        tried.iter().map(|(way, chains, found)| setting.candidate(*way, runoff(&request.jobs, *way), chains, found)).collect();
    let chosen = choose(&mut candidates);
    let (_, chains, found) = tried.swap_remove(chosen);
    let solution = found?;
    let mut answer = setting.answer(request, &limits, &chains, &solution);
    answer.candidates = candidates;
    if solution.short > 0 {
        let given_up =
            give_up::Question { request, limits: &limits, way: answer.candidates.get(chosen).map_or(PulseWay::GoingRound, |c| c.way) };
        answer.leave_out = given_up.jobs(control)?;
        answer.fewer_sets = given_up.sets(control)?;
    }
    Ok(answer)
}

/// The request on the line of minutes.
struct Setting {
    line: Timeline,
    origin: Moment,
    due: Vec<Option<i64>>,
    release: Vec<i64>,
    between: Vec<Vec<i64>>,
    now: i64,
}

impl Setting {
    fn of(request: &ScheduleRequest) -> Result<Self> {
        let origin = Moment::midnight(request.now.date());
        let minutes = |m: Moment| m.minutes_since(origin);
        let now = minutes(request.now);
        let due: Vec<Option<i64>> = request.jobs.iter().map(|j| j.due.map(|d| minutes(d.low))).collect();
        let release: Vec<i64> = request.jobs.iter().map(|j| j.release.map_or(now, |r| minutes(r).max(now))).collect();
        let between = request.between_min.iter().map(|row| row.iter().map(|m| m.ceil() as i64).collect()).collect();
        let all = chains(&request.jobs, PulseWay::InPlace, true);
        let work: i64 = all.iter().flat_map(|c| &c.visits).map(|v| v.move_min.max(v.wait) + v.run.iter().max().unwrap_or(&0)).sum();
        let latest = due.iter().flatten().chain(&release).max().copied().unwrap_or(now).max(now);
        // room for all the work twice behind the last limit
        for weeks in [2, 6, 20, 60] {
            let days = u32::try_from(latest / DAY_MIN).unwrap_or(0).min(400) + 7 * weeks;
            let line = Timeline::new(request.windows.spans(request.now, days)?);
            if line.total() - line.worked(latest) >= 2 * work {
                return Ok(Self { line, origin, due, release, between, now });
            }
        }
        let hours = work as f64 / 60.0;
        let what = format!("the working windows do not open long enough within a year for {hours:.1} h of work");
        Err(Error::inconsistent(what, "Give wider windows, or fewer hours that wind and heat close."))
    }

    fn limits<'a>(&'a self, request: &ScheduleRequest) -> Limits<'a> {
        Limits {
            line: &self.line,
            now: self.now,
            due: self.due.clone(),
            release: self.release.clone(),
            between: &self.between,
            sprinklers: request.sprinklers,
            most_states: request.most_states,
        }
    }

    /// Begin that is not the latest: asked for, or at once where no job has a limit.
    fn begin(&self, request: &ScheduleRequest) -> Option<i64> {
        let asked = request.begin.map(|b| b.minutes_since(self.origin));
        asked.or_else(|| self.due.iter().all(Option::is_none).then_some(self.now))
    }

    fn moment(&self, minutes: i64) -> Moment {
        self.origin.plus_min(minutes)
    }

    /// Does every visit fit into the longest window?
    fn fits(&self, chains: &[Chain], request: &ScheduleRequest) -> Result<()> {
        let longest = self.line.longest();
        let too_long = |c: &&Chain| c.visits.iter().any(|v| !v.may_split && v.least_min() > longest);
        let Some(chain) = chains.iter().find(too_long) else { return Ok(()) };
        let visit = chain.visits.iter().max_by_key(|v| v.least_min());
        let job = request.jobs.get(chain.job);
        let (name, set) = (job.map_or("", |j| &j.name), visit.and_then(|v| job?.sets.get(v.set)).map_or("", |s| &s.name));
        let what = format!(
            "set \"{set}\" of \"{name}\" takes {} min with its move, and the longest working window is {longest} min",
            visit.map_or(0, Visit::least_min)
        );
        Err(Error::infeasible(what, "Widen a window, shorten the set, or let it be broken off and go on in the next window."))
    }

    fn candidate(&self, way: PulseWay, runoff: Option<f64>, chains: &[Chain], found: &Result<Solution>) -> Candidate {
        let moves = chains.iter().flat_map(|c| &c.visits).filter(|v| !v.glued).count();
        let empty =
            Candidate { way, short_h: None, start_by: None, moves, work_h: 0.0, pulsed_h: 0.0, runoff, elapsed_h: 0.0, chosen: false };
        let Ok(solution) = found else { return empty };
        let ends = solution.laid.iter().map(|l| l.placed.fit.end).max().unwrap_or(self.now);
        let begins = solution.laid.iter().map(|l| l.placed.fit.begin).min().unwrap_or(self.now);
        let day = |l: &solve::Laid| l.placed.fit.begin.div_euclid(DAY_MIN);
        let visits = || solution.laid.iter().filter_map(|l| Some((chains.get(l.placed.chain)?.visits.get(l.placed.visit)?, day(l))));
        Candidate {
            short_h: Some(hours(solution.short)),
            start_by: self.start_by(solution),
            work_h: hours(visits().map(|(v, day)| v.move_min.max(v.wait) + v.run_on(day)).sum()),
            pulsed_h: hours(visits().filter(|(v, _)| v.pulsed).map(|(v, day)| v.run_on(day)).sum()),
            elapsed_h: hours(ends - begins),
            ..empty
        }
    }

    fn start_by(&self, solution: &Solution) -> Option<Moment> {
        let limited = self.due.iter().any(Option::is_some) && solution.short == 0;
        solution.latest.filter(|_| limited).map(|t| self.moment(t))
    }

    fn answer(&self, request: &ScheduleRequest, limits: &Limits<'_>, chains: &[Chain], solution: &Solution) -> Schedule {
        let board_extra = |last: Option<usize>, job: usize| last.and_then(|l| self.between.get(l)?.get(job).copied()).unwrap_or(0);
        let latest_begins = limits.backward_pass(chains, &solution.laid);
        let mut timetable = Vec::new();
        let mut jobs: Vec<Option<JobAnswer>> = vec![None; request.jobs.len()];
        let mut last: Vec<Option<usize>> = vec![None; request.sprinklers];
        let mut order: Vec<String> = Vec::new();
        for (laid, latest) in solution.laid.iter().zip(latest_begins) {
            let Some((chain, visit)) = chains.get(laid.placed.chain).and_then(|c| Some((c, c.visits.get(laid.placed.visit)?))) else {
                continue;
            };
            let Some(job) = request.jobs.get(chain.job) else { continue };
            let Some(set) = job.sets.get(visit.set) else { continue };
            let (begin, end) = (laid.placed.fit.begin, laid.placed.fit.end);
            let move_min = visit.move_min + board_extra(last.get(laid.sprinkler).copied().flatten(), chain.job);
            let run_min = visit.run_on(begin.div_euclid(DAY_MIN));
            // without a move the line would find the end of the window before
            let on = if visit.may_split && move_min > 0 {
                self.line.earliest(self.line.worked(begin) + move_min).unwrap_or(begin)
            } else {
                begin + move_min
            };
            if let Some(slot) = last.get_mut(laid.sprinkler) {
                *slot = Some(chain.job);
            }
            let pulses = chain.visits.iter().filter(|v| v.set == visit.set).count();
            timetable.push(Stint {
                job: job.name.clone(),
                set: set.name.clone(),
                pulse: (visit.pulse + 1, pulses),
                sprinkler: laid.sprinkler + 1,
                begin: self.moment(begin),
                on: self.moment(on),
                off: self.moment(end),
                move_min: move_min as f64,
                run_min: run_min as f64,
            });
            let due = job.due;
            let finish = self.moment(end);
            let late = |limit: Option<Moment>| limit.map_or(0.0, |l| finish.hours_since(l).max(0.0));
            let entry = jobs.get_mut(chain.job).map(|slot| {
                slot.get_or_insert_with(|| {
                    order.push(job.name.clone());
                    JobAnswer {
                        name: job.name.clone(),
                        due: due.map(|d| d.low),
                        start_by: latest.filter(|_| solution.short == 0 && self.start_by(solution).is_some()).map(|t| self.moment(t)),
                        begin: self.moment(begin),
                        finish,
                        late_h: 0.0,
                        likely_late_h: 0.0,
                        run_min: 0.0,
                        move_min: 0.0,
                        moves: 0,
                    }
                })
            });
            if let Some(entry) = entry {
                entry.finish = entry.finish.max(finish);
                entry.late_h = entry.late_h.max(late(due.map(|d| d.low)));
                entry.likely_late_h = entry.likely_late_h.max(late(due.map(|d| d.likely)));
                entry.run_min += run_min as f64;
                entry.move_min += move_min as f64;
                entry.moves += usize::from(!visit.glued);
            }
        }
        let by_due = limits.in_due_order(chains, self.now);
        let late_by_due = by_due.iter().filter_map(|l| {
            let due = self.due.get(chains.get(l.placed.chain)?.job).copied().flatten()?;
            Some((l.placed.fit.end - due).max(0))
        });
        let first = self.line.worked(self.now);
        let gap = match (solution.latest, solution.latest_bound) {
            (Some(latest), Some(bound)) if solution.short == 0 => self.line.worked(bound) - self.line.worked(latest),
            _ => solution.short - solution.short_bound,
        };
        let start_by = self.start_by(solution);
        Schedule {
            schema: SCHEDULE_SCHEMA,
            now: request.now,
            in_time: solution.short == 0,
            start_by,
            slack_h: start_by.map_or(0.0, |t| hours(self.line.worked(t.minutes_since(self.origin)) - first)),
            short_h: hours(solution.short),
            order,
            finish: solution.laid.iter().map(|l| l.placed.fit.end).max().map(|t| self.moment(t)),
            timetable,
            jobs: jobs.into_iter().flatten().collect(),
            exact: solution.exact,
            gap_h: hours(gap.max(0)),
            due_order: DueOrder { late_h: hours(late_by_due.max().unwrap_or(0)), short_h: hours(limits.short_of(chains, &by_due)) },
            candidates: Vec::new(),
            leave_out: None,
            fewer_sets: None,
            give_up_order: give_up::order(&request.jobs),
        }
    }
}

fn hours(minutes: i64) -> f64 {
    minutes as f64 / 60.0
}
