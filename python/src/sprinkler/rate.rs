//! Rate, time and capacity.

use super::PySprinkler;
use crate::gate::{Word, choice, compute, count, formulas, instance, number};
use dibble::sprinkler::{self, Layout, Need};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

formulas! {
    minutes_for(depth_mm, rate_mm_h) = sprinkler::minutes_for(depth_mm, rate_mm_h);
    gross_depth_mm(net_mm, efficiency) = sprinkler::gross_depth_mm(net_mm, efficiency);
    capacity_l_min(area_m2, gross_mm, days, hours_per_day) =
        sprinkler::capacity_l_min(&Need { area_m2, gross_mm, days, hours_per_day });
}

#[pyfunction]
fn spacing_fraction(py: Python<'_>, layout: Word, wind_m_s: &Any<'_>) -> PyResult<Option<f64>> {
    let (layout, wind): (Layout, _) = (choice(py, &layout)?, number("wind_m_s", wind_m_s)?);
    compute(py, "spacing_fraction", || sprinkler::spacing_fraction(layout, wind))
}

#[pyfunction]
fn even_spacing_m(py: Python<'_>, length_m: &Any<'_>, most_m: &Any<'_>) -> PyResult<(usize, f64)> {
    let (length, most) = (number("length_m", length_m)?, number("most_m", most_m)?);
    compute(py, "even_spacing_m", || sprinkler::even_spacing_m(length, most))
}

#[pyfunction]
fn day_h(py: Python<'_>, sets: &Any<'_>, set_minutes: &Any<'_>, move_minutes: &Any<'_>) -> PyResult<f64> {
    let sets = count("sets", sets)?;
    let (set, walk) = (number("set_minutes", set_minutes)?, number("move_minutes", move_minutes)?);
    compute(py, "day_h", || sprinkler::day_h(usize::try_from(sets).unwrap_or(usize::MAX), set, walk))
}

/// Shortest and longest day, h, and the sentence.
#[pyfunction]
fn day_of_sets(py: Python<'_>, sets: [Any<'_>; 2], set_minutes: &Any<'_>, move_minutes: [Any<'_>; 2]) -> PyResult<(f64, f64, String)> {
    let [few, many] = sets;
    let [short, long] = move_minutes;
    let many_sets = |value: &Any<'_>| Ok::<_, PyErr>(usize::try_from(count("sets", value)?).unwrap_or(usize::MAX));
    let (sets, set) = ((many_sets(&few)?, many_sets(&many)?), number("set_minutes", set_minutes)?);
    let moves = (number("move_minutes", &short)?, number("move_minutes", &long)?);
    let day = compute(py, "day_of_sets", || sprinkler::day_of_sets(sets, set, moves))?;
    Ok((day.hours.0, day.hours.1, day.to_string()))
}

/// Rate over the own circle and overlapped, circles, and the sentence that says why they differ.
#[pyfunction]
fn overlapped(py: Python<'_>, sprinkler: &Any<'_>, ground_m2: &Any<'_>) -> PyResult<(f64, f64, f64, String)> {
    let (sprinkler, ground) = (instance::<PySprinkler>("sprinkler", sprinkler)?.get(), number("ground_m2", ground_m2)?);
    let rates = compute(py, "overlapped", || sprinkler::overlapped(&sprinkler.0, ground))?;
    Ok((rates.own_circle_mm_h, rates.overlapped_mm_h, rates.circles, rates.to_string()))
}

/// Adds what is no formula to `_dibble`.
pub fn register_layouts(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(spacing_fraction, module)?)?;
    module.add_function(wrap_pyfunction!(even_spacing_m, module)?)?;
    module.add_function(wrap_pyfunction!(day_h, module)?)?;
    module.add_function(wrap_pyfunction!(day_of_sets, module)?)?;
    module.add_function(wrap_pyfunction!(overlapped, module)?)
}
