//! What a schedule answers.

use super::moment::Moment;
use super::visit::PulseWay;
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// Version of a schedule's content.
pub const SCHEDULE_SCHEMA: u32 = 1;

/// Water on at a position, with the move that brings the sprinkler there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Stint {
    /// Job.
    pub job: String,
    /// Set.
    pub set: String,
    /// Which pulse of how many; (1, 1) for one run.
    pub pulse: (usize, usize),
    /// Which sprinkler, from 1.
    pub sprinkler: usize,
    /// The move begins, or the waiting ends where the sprinkler stays.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub begin: Moment,
    /// Water on.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub on: Moment,
    /// Water off.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub off: Moment,
    /// Minutes of moving; 0 where the sprinkler stays.
    pub move_min: f64,
    /// Minutes with the water on.
    pub run_min: f64,
}

/// One job of the answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct JobAnswer {
    /// Name.
    pub name: String,
    /// Limit that the schedule keeps: the low end of the range.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub due: Option<Moment>,
    /// Latest begin of its first set in this order, so that it and all behind it are in time; absent where that is not so.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub start_by: Option<Moment>,
    /// First move.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub begin: Moment,
    /// Last water off.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub finish: Moment,
    /// Hours on the clock that it is late; 0 in time.
    pub late_h: f64,
    /// The same counted against the likely limit instead of the low end.
    pub likely_late_h: f64,
    /// Minutes with the water on.
    pub run_min: f64,
    /// Minutes of moving.
    pub move_min: f64,
    /// Moves.
    pub moves: usize,
}

/// One way of pulsing that was tried.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Candidate {
    /// How.
    pub way: PulseWay,
    /// Working hours missing; 0 if all is in time, absent where a set does not fit into any window.
    pub short_h: Option<f64>,
    /// Latest begin.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub start_by: Option<Moment>,
    /// Moves, those between pulses counted.
    pub moves: usize,
    /// Hours of moving, running and waiting in place.
    #[serde(default)]
    pub work_h: f64,
    /// Hours of them with the water on at positions that ask for pulses.
    #[serde(default)]
    pub pulsed_h: f64,
    /// Share of the water at those positions that may run off; absent where it is not known.
    #[serde(default)]
    pub runoff: Option<f64>,
    /// Hours from the first move to the last water off.
    pub elapsed_h: f64,
    /// Is it the one of the timetable?
    pub chosen: bool,
}

/// Earliest limit first, for comparison.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DueOrder {
    /// Hours on the clock that the latest job would be late, begun at once; 0 in time.
    pub late_h: f64,
    /// Working hours missing.
    pub short_h: f64,
}

/// What to leave out so that the rest is in time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LeaveOut {
    /// Jobs, by name.
    pub jobs: Vec<String>,
    /// What they are worth together, in the measure of the jobs.
    pub worth: f64,
    /// Hours of work that this saves.
    pub saved_h: f64,
}

/// Sets of one job to leave out so that the rest is in time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FewerSets {
    /// The job.
    pub job: String,
    /// Sets to leave out.
    pub sets: usize,
    /// Sets that it has.
    pub of: usize,
    /// What they are worth, by their share of the job.
    pub worth: f64,
}

/// The answer: when to begin, in what order, and if it cannot be done, by how much.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Schedule {
    /// Version of this content.
    pub schema: u32,
    /// Made at.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub now: Moment,
    /// Can all jobs be finished in time?
    pub in_time: bool,
    /// Latest begin of the work, the first move counted; absent where it cannot be done, or no job has a limit.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub start_by: Option<Moment>,
    /// Working hours between now and the latest begin.
    pub slack_h: f64,
    /// Working hours missing before the limits; 0 if all is in time.
    pub short_h: f64,
    /// Jobs in the order of their first set.
    pub order: Vec<String>,
    /// Every run of water, in order, from the latest begin on (or the one asked for; from now on where it is late).
    pub timetable: Vec<Stint>,
    /// Last water off.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub finish: Option<Moment>,
    /// By job, in the order given.
    pub jobs: Vec<JobAnswer>,
    /// Was every order of sets covered?
    pub exact: bool,
    /// What is left unproven, working hours: no order begins later, or is short by less, by more than this.
    pub gap_h: f64,
    /// Earliest limit first, for comparison.
    pub due_order: DueOrder,
    /// Ways of pulsing that were tried; one where no set is pulsed.
    pub candidates: Vec<Candidate>,
    /// Where it cannot be done: the jobs to leave out that are worth least.
    pub leave_out: Option<LeaveOut>,
    /// Where it cannot be done: the sets of one job to leave out that are worth least.
    pub fewer_sets: Option<FewerSets>,
    /// Jobs in the order in which to leave them out: least worth for the hours that they take first, then the oldest.
    pub give_up_order: Vec<String>,
}

impl Schedule {
    /// Writes the schedule as JSON, every number exactly.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn to_json(&self) -> Result<String> {
        crate::json::write(self)
    }

    /// Reads a schedule back.
    ///
    /// # Errors
    /// Not a schedule, a newer schema, or times, sums and names that do not hold together.
    pub fn from_json(text: &str) -> Result<Self> {
        let schedule: Self = crate::json::read(text, "schedule", SCHEDULE_SCHEMA)?;
        schedule.sound()?;
        Ok(schedule)
    }

    /// One job by name.
    ///
    /// # Errors
    /// No such job.
    pub fn job(&self, name: &str) -> Result<&JobAnswer> {
        let known: Vec<&str> = self.jobs.iter().map(|j| j.name.as_str()).collect();
        self.jobs.iter().find(|j| j.name == name).ok_or_else(|| crate::Error::unknown("job", name, &known))
    }
}
