//! What would help, side by side: the same question with something changed.

use super::job::Job;
use super::moment::Moment;
use super::window::Windows;
use super::{ScheduleRequest, schedule};
use crate::control::Control;
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// A change to try. What needs the ledger again (mulch, a larger nozzle, a bucket round) comes as other jobs.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Remedy {
    /// What is done, in a few words.
    pub what: String,
    /// What it takes or costs, in words; may be empty.
    #[serde(default)]
    pub price: String,
    /// Jobs in place of the question's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub jobs: Option<Vec<Job>>,
    /// Windows in place of the question's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub windows: Option<Windows>,
    /// Sprinklers in place of the question's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sprinklers: Option<usize>,
}

/// What a change does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RemedyAnswer {
    /// What is done.
    pub what: String,
    /// What it takes or costs.
    pub price: String,
    /// Is all in time with it?
    pub in_time: bool,
    /// Working hours still missing.
    pub short_h: f64,
    /// Latest begin with it.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub start_by: Option<Moment>,
    /// Last water off.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub finish: Option<Moment>,
    /// Hours that the latest job is still late, on the clock.
    pub late_h: f64,
}

/// Tries each change by itself, in the order given.
///
/// # Errors
/// As [`schedule`], with the change that it was met at.
pub fn compare(request: &ScheduleRequest, remedies: &[Remedy], control: &Control) -> Result<Vec<RemedyAnswer>> {
    let tried = |remedy: &Remedy| -> Result<RemedyAnswer> {
        let changed = ScheduleRequest {
            jobs: remedy.jobs.clone().unwrap_or_else(|| request.jobs.clone()),
            windows: remedy.windows.clone().unwrap_or_else(|| request.windows.clone()),
            sprinklers: remedy.sprinklers.unwrap_or(request.sprinklers),
            ..request.clone()
        };
        let answer = schedule(&changed, control).map_err(|e| e.at(format!("remedy \"{}\"", remedy.what)))?;
        Ok(RemedyAnswer {
            what: remedy.what.clone(),
            price: remedy.price.clone(),
            in_time: answer.in_time,
            short_h: answer.short_h,
            start_by: answer.start_by,
            finish: answer.finish,
            late_h: answer.jobs.iter().map(|j| j.late_h).fold(0.0, f64::max),
        })
    };
    remedies.iter().map(tried).collect()
}
