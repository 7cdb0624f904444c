//! The work: jobs (blocks), their sets, and by when each has to be finished.

use super::moment::Moment;
use crate::bounds;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// Minutes by the day on which the work is done: the same on each, or a list from the first day on whose last entry goes on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(untagged, expecting = "minutes have to be a number, or a list of numbers by day")]
pub enum ByDay {
    /// The same on each day.
    Same(f64),
    /// From the first day on.
    Days(Vec<f64>),
}

impl ByDay {
    /// Minutes on a day, counted from 0; 0 for an empty list.
    pub fn at(&self, day: usize) -> f64 {
        match self {
            ByDay::Same(minutes) => *minutes,
            ByDay::Days(list) => list.get(day).or(list.last()).copied().unwrap_or(0.0),
        }
    }

    /// Days that the list tells apart.
    pub(super) fn days(&self) -> usize {
        match self {
            ByDay::Same(_) => 1,
            ByDay::Days(list) => list.len(),
        }
    }

    fn check(&self) -> Result<()> {
        if self.days() == 0 {
            return Err(Error::missing("run_min", "Give the minutes of at least one day."));
        }
        (0..self.days()).try_for_each(|day| bounds::MINUTES_MIN.named("run_min").check(self.at(day)).map(|_| ()))
    }
}

/// One pulse of a set: water on, then a pause until it has soaked in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PulseTime {
    /// Minutes with the water on.
    pub on_min: f64,
    /// Minutes until all of it has soaked in.
    pub soak_min: f64,
}

/// One set: the sprinkler is moved to a position and runs there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SetWork {
    /// Its name or number.
    pub name: String,
    /// Minutes to bring the sprinkler there.
    pub move_min: f64,
    /// Minutes with the water on, by the day that it is served.
    pub run_min: ByDay,
    /// Pulses on the first day; empty for one run. They stretch with the run of the day.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pulses: Vec<PulseTime>,
    /// Minutes of a single run in place of the pulses; `None` takes the pulses' minutes together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub one_run_min: Option<f64>,
    /// May it be broken off when a window closes and go on in the next?
    #[serde(default)]
    pub may_split: bool,
}

impl SetWork {
    /// One run of the same minutes on any day, not to be broken off.
    pub fn new(name: impl Into<String>, move_min: f64, run_min: f64) -> Self {
        Self { name: name.into(), move_min, run_min: ByDay::Same(run_min), pulses: Vec::new(), one_run_min: None, may_split: false }
    }

    /// Is it more than one run?
    pub fn is_pulsed(&self) -> bool {
        self.pulses.len() > 1
    }

    fn check(&self) -> Result<()> {
        let pulse = |p: &PulseTime| {
            [bounds::MINUTES_MIN.named("on_min").check(p.on_min).err(), bounds::MINUTES_MIN.named("soak_min").check(p.soak_min).err()]
        };
        let mut problems = vec![
            bounds::MINUTES_MIN.named("move_min").check(self.move_min).err(),
            self.run_min.check().err(),
            bounds::MINUTES_MIN.named("one_run_min").check_option(self.one_run_min).err(),
        ];
        problems.extend(self.pulses.iter().flat_map(pulse));
        Error::several(problems.into_iter().flatten().collect()).map_or(Ok(()), Err)
    }
}

/// When a job has to be finished.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Due {
    /// The low end of the range: the limit that the plan keeps.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub low: Moment,
    /// Most likely.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub likely: Moment,
    /// The high end.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub high: Moment,
}

impl Due {
    /// A limit that is known.
    pub fn at(moment: Moment) -> Self {
        Self { low: moment, likely: moment, high: moment }
    }
}

/// One job: a block with its sets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// Its name, different from every other job's.
    pub name: String,
    /// Its sets.
    pub sets: Vec<SetWork>,
    /// By when all sets have to be finished; `None` for work without a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<Due>,
    /// Not before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub release: Option<Moment>,
    /// What is lost if it is left out, in money or trees, the same measure for all jobs; 1 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worth: Option<f64>,
    /// Years since planting: of equal worth the older goes first when something has to be left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub age_years: Option<f64>,
}

impl Job {
    /// A job with a limit.
    pub fn new(name: impl Into<String>, sets: Vec<SetWork>, due: Option<Due>) -> Self {
        Self { name: name.into(), sets, due, release: None, worth: None, age_years: None }
    }

    fn check(&self) -> Result<()> {
        let mut problems: Vec<Error> = self
            .sets
            .iter()
            .filter_map(|s| s.check().err().map(|e| (s, e)))
            .flat_map(|(set, e)| {
                e.problems().iter().map(|p| p.clone().at(format!("job \"{}\", set \"{}\"", self.name, set.name))).collect::<Vec<_>>()
            })
            .collect();
        let here = |error: Error| error.at(format!("job \"{}\"", self.name));
        if self.sets.is_empty() {
            problems.push(here(Error::missing("sets", "Give at least one set, or leave the job out.")));
        }
        if let Some(due) = self.due.filter(|d| d.low > d.likely || d.likely > d.high) {
            let what = format!("the limit's range runs from {} over {} to {}", due.low, due.likely, due.high);
            problems.push(here(Error::inconsistent(what, "Give low, likely and high in the order of time.")));
        }
        if let (Some(due), Some(release)) = (self.due, self.release)
            && release >= due.low
        {
            let what = format!("it may not begin before {release} and has to be finished by {}", due.low);
            problems.push(here(Error::inconsistent(what, "Give an earlier start or a later limit.")));
        }
        problems.extend(bounds::PRICE.named("worth").check_option(self.worth).err().map(here));
        problems.extend(bounds::AGE_YEARS.check_option(self.age_years).err().map(here));
        Error::several(problems).map_or(Ok(()), Err)
    }
}

/// All problems of all jobs.
pub(super) fn check(jobs: &[Job]) -> Result<()> {
    let mut problems: Vec<Error> = jobs.iter().filter_map(|j| j.check().err()).flat_map(|e| e.problems().to_vec()).collect();
    let mut names: Vec<&str> = jobs.iter().map(|j| j.name.as_str()).collect();
    names.sort_unstable();
    if let Some(twice) = names.windows(2).find_map(|w| matches!(w, [a, b] if a == b).then(|| w.first().copied()).flatten()) {
        problems.push(Error::inconsistent(format!("two jobs are called \"{twice}\""), "Give each job a name of its own."));
    }
    Error::several(problems).map_or(Ok(()), Err)
}
