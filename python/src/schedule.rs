//! `dibble.schedule`: latest begin, order and timetable of sets within working windows.

use crate::control::long;
use crate::gate::{choice, choice_or_none, column, compute, instance_or_none, number, number_or_none, whole};
use crate::record::answer;
use crate::{error, weather};
use dibble::Error;
use dibble::bounds;
use dibble::schedule::{
    self, ByDay, Closed, ClosedHours, Due, HourLimits, Job, Moment, PulseTime, Remedy, RemedyAnswer, Schedule, ScheduleRequest, SetWork,
    Window, Windows,
};
use dibble::weather::{HourColumns, Stamp};
use pyo3::prelude::*;
use std::path::PathBuf;

type Any<'py> = Bound<'py, PyAny>;

/// A set, as `dibble/schedule.py` has it.
#[derive(FromPyObject)]
struct SetIn<'py> {
    name: String,
    move_min: Any<'py>,
    run_min: Any<'py>,
    pulses: Vec<(Any<'py>, Any<'py>)>,
    one_run_min: Option<Any<'py>>,
    may_split: bool,
}

/// A job, times as text.
#[derive(FromPyObject)]
struct JobIn<'py> {
    name: String,
    sets: Vec<SetIn<'py>>,
    due: Option<(String, String, String)>,
    release: Option<String>,
    worth: Option<Any<'py>>,
    age_years: Option<Any<'py>>,
}

/// A window, times as text.
#[derive(FromPyObject)]
struct WindowIn {
    opens: String,
    closes: String,
    days: String,
    when: String,
}

/// Hours in which nothing is done, times as text.
#[derive(FromPyObject)]
struct ClosedIn {
    begin: String,
    end: String,
    why: String,
}

/// A change to try.
#[derive(FromPyObject)]
struct RemedyIn<'py> {
    what: String,
    price: String,
    jobs: Option<Vec<JobIn<'py>>>,
    windows: Option<Vec<WindowIn>>,
    sprinklers: Option<Any<'py>>,
}

/// The question.
#[derive(FromPyObject)]
struct Asked<'py> {
    jobs: Vec<JobIn<'py>>,
    windows: Vec<WindowIn>,
    now: String,
    closed: Vec<ClosedIn>,
    sprinklers: Any<'py>,
    between_min: Vec<Any<'py>>,
    begin: Option<String>,
    most_states: Option<Any<'py>>,
}

impl SetIn<'_> {
    fn set(&self) -> PyResult<SetWork> {
        let pulse = |(on_min, soak_min): &(Any<'_>, Any<'_>)| {
            Ok(PulseTime { on_min: number("on_min", on_min)?, soak_min: number("soak_min", soak_min)? })
        };
        Ok(SetWork {
            name: self.name.clone(),
            move_min: number("move_min", &self.move_min)?,
            run_min: ByDay::Days(column("run_min", &self.run_min)?),
            pulses: self.pulses.iter().map(pulse).collect::<PyResult<_>>()?,
            one_run_min: number_or_none("one_run_min", self.one_run_min.as_ref())?,
            may_split: self.may_split,
        })
    }
}

impl JobIn<'_> {
    fn job(&self, py: Python<'_>) -> PyResult<Job> {
        let due = self
            .due
            .as_ref()
            .map(|(low, likely, high)| Ok::<_, PyErr>(Due { low: choice(py, low)?, likely: choice(py, likely)?, high: choice(py, high)? }));
        Ok(Job {
            name: self.name.clone(),
            sets: self.sets.iter().map(SetIn::set).collect::<PyResult<_>>()?,
            due: due.transpose()?,
            release: self.release.as_deref().map(|text| choice(py, text)).transpose()?,
            worth: number_or_none("worth", self.worth.as_ref())?,
            age_years: number_or_none("age_years", self.age_years.as_ref())?,
        })
    }
}

fn size(bound: &bounds::Bound, value: &Any<'_>) -> PyResult<usize> {
    whole(bound, value).map(|n| usize::try_from(n).unwrap_or(usize::MAX))
}

fn jobs(py: Python<'_>, given: &[JobIn<'_>]) -> PyResult<Vec<Job>> {
    given.iter().map(|job| job.job(py)).collect()
}

fn windows(py: Python<'_>, given: &[WindowIn], closed: &[ClosedIn]) -> PyResult<Windows> {
    let window = |w: &WindowIn| {
        Ok(Window { days: choice(py, &w.days)?, from: choice(py, &w.opens)?, to: choice(py, &w.closes)?, when: choice(py, &w.when)? })
    };
    let shut = |c: &ClosedIn| Ok(Closed { from: choice(py, &c.begin)?, to: choice(py, &c.end)?, why: c.why.clone() });
    Ok(Windows { windows: given.iter().map(window).collect::<PyResult<_>>()?, closed: closed.iter().map(shut).collect::<PyResult<_>>()? })
}

impl Asked<'_> {
    fn request(&self, py: Python<'_>) -> PyResult<ScheduleRequest> {
        let plain =
            ScheduleRequest::new(jobs(py, &self.jobs)?, windows(py, &self.windows, &self.closed)?, choice::<Moment>(py, &self.now)?);
        Ok(ScheduleRequest {
            sprinklers: size(&bounds::SPRINKLERS, &self.sprinklers)?,
            between_min: self.between_min.iter().map(|row| column("between_min", row)).collect::<PyResult<_>>()?,
            begin: self.begin.as_deref().map(|text| choice(py, text)).transpose()?,
            most_states: self.most_states.as_ref().map_or(Ok(plain.most_states), |most| size(&bounds::MOST_STATES, most))?,
            ..plain
        })
    }
}

answer! {
    /// When to begin and in what order; made by `start_by`. `print` it.
    PySchedule(Schedule) = "dibble.schedule", "Schedule", check Schedule::sound;
    {
        /// Can all jobs be finished in time?
        in_time,
        /// Latest begin of the work, the first move counted, such as "2026-07-14 05:40"; None where it cannot be done.
        start_by,
        /// Working hours between now and the latest begin.
        slack_h,
        /// Working hours missing before the limits; 0 if all is in time.
        short_h,
        /// Jobs in the order of their first set.
        order,
        /// Every run of water in order, each a dict: job, set, pulse, sprinkler, begin, on, off, move_min, run_min.
        timetable,
        /// Last water off.
        finish,
        /// By job, each a dict: due, start_by, begin, finish, late_h, run_min, move_min, moves.
        jobs,
        /// Was every order of sets covered?
        exact,
        /// Working hours that are left unproven.
        gap_h,
        /// Earliest limit first, for comparison: late_h on the clock, short_h of work.
        due_order,
        /// Ways of pulsing that were tried, each a dict.
        candidates,
        /// Where it cannot be done: the jobs to leave out that are worth least.
        leave_out,
        /// Where it cannot be done: the sets of one job to leave out that are worth least.
        fewer_sets,
        /// Jobs in the order in which to leave them out.
        give_up_order,
    }
    {}
}

#[pyfunction]
#[pyo3(signature = (asked, progress))]
fn start_by(py: Python<'_>, asked: Asked<'_>, progress: Option<&Any<'_>>) -> PyResult<PySchedule> {
    let request = asked.request(py)?;
    long(py, "the schedule", progress, move |control| schedule::schedule(&request, control)).map(PySchedule)
}

#[pyfunction]
#[pyo3(signature = (asked, remedies, progress))]
fn compare_remedies<'py>(
    py: Python<'py>,
    asked: Asked<'py>,
    remedies: Vec<RemedyIn<'py>>,
    progress: Option<&Any<'py>>,
) -> PyResult<Any<'py>> {
    let request = asked.request(py)?;
    let remedy = |r: &RemedyIn<'_>| {
        let closed = &asked.closed;
        Ok(Remedy {
            what: r.what.clone(),
            price: r.price.clone(),
            jobs: r.jobs.as_ref().map(|given| jobs(py, given)).transpose()?,
            windows: r.windows.as_ref().map(|given| windows(py, given, closed)).transpose()?,
            sprinklers: r.sprinklers.as_ref().map(|n| size(&bounds::SPRINKLERS, n)).transpose()?,
        })
    };
    let remedies: Vec<Remedy> = remedies.iter().map(remedy).collect::<PyResult<_>>()?;
    let answers: Vec<RemedyAnswer> = long(py, "the remedies", progress, move |control| schedule::compare(&request, &remedies, control))?;
    crate::record::to_dict(py, "remedies", &answers)
}

#[pyfunction]
fn clock_words(py: Python<'_>, moment: &str) -> PyResult<String> {
    moment.parse::<Moment>().map(Moment::words).map_err(|refusal: Error| error::raise(py, &refusal))
}

answer! {
    /// What the hours of a forecast close; made by `closed_hours`, taken by `dibble.plan`. `print` it.
    PyClosedHours(ClosedHours) = "dibble.schedule", "ClosedHours";
    {
        /// Above what an hour is closed: a dict of `wind_m_s` and `t_c`.
        limits,
        /// The closed hours, dicts of `from`, `to` and `why`.
        closed,
    }
    {
        /// Begin of the first hour.
        #[getter]
        fn first(&self) -> String {
            self.0.from.to_string()
        }
        /// End of the last hour: nothing is known beyond it.
        #[getter]
        fn last(&self) -> String {
            self.0.to.to_string()
        }
    }
}

/// The closed hours of an argument that may be left out.
pub fn closed_or_none(closed: Option<&Any<'_>>) -> PyResult<Option<ClosedHours>> {
    Ok(instance_or_none::<PyClosedHours>("closed", closed)?.map(|hours| hours.get().0.clone()))
}

fn closed(py: Python<'_>, hours: &HourColumns, wind_m_s: Option<&Any<'_>>, t_c: Option<&Any<'_>>) -> PyResult<PyClosedHours> {
    let limits = HourLimits { wind_m_s: number_or_none("wind_m_s", wind_m_s)?, t_c: number_or_none("t_c", t_c)? };
    compute(py, "closed_hours", || schedule::closed_hours(hours, limits)).map(PyClosedHours)
}

#[pyfunction]
#[pyo3(signature = (path, *, wind_m_s, t_c, units, day_first, stamp))]
fn closed_hours_csv(
    py: Python<'_>,
    path: PathBuf,
    wind_m_s: Option<&Any<'_>>,
    t_c: Option<&Any<'_>>,
    units: Option<&str>,
    day_first: Option<bool>,
    stamp: &str,
) -> PyResult<PyClosedHours> {
    let (options, stamp) = (weather::options(py, units, day_first, None)?, choice::<Stamp>(py, stamp)?);
    closed(py, &compute(py, "closed_hours", || HourColumns::read_csv(&path, &options, stamp))?, wind_m_s, t_c)
}

#[pyfunction]
#[pyo3(signature = (table, *, wind_m_s, t_c, units, stamp))]
fn closed_hours_table(
    table: &Any<'_>,
    wind_m_s: Option<&Any<'_>>,
    t_c: Option<&Any<'_>>,
    units: Option<&str>,
    stamp: &str,
) -> PyResult<PyClosedHours> {
    let py = table.py();
    let (hours, ..) = weather::hour_columns(table, choice_or_none(py, units)?)?;
    let stamp: Stamp = choice(py, stamp)?;
    closed(py, &compute(py, "closed_hours", || hours.by_start(stamp))?, wind_m_s, t_c)
}

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PySchedule>()?;
    module.add_class::<PyClosedHours>()?;
    module.add_function(wrap_pyfunction!(closed_hours_csv, module)?)?;
    module.add_function(wrap_pyfunction!(closed_hours_table, module)?)?;
    module.add_function(wrap_pyfunction!(start_by, module)?)?;
    module.add_function(wrap_pyfunction!(compare_remedies, module)?)?;
    module.add_function(wrap_pyfunction!(clock_words, module)?)
}
