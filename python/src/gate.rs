//! The way in and out for numbers: Python values to columns, the core call without the GIL, columns to Python values.
//!
//! `dibble/_gate.py` decides what may come in; this file takes plain floats and ints itself, borrows or copies
//! arrays, and calls the core.

use crate::error;
use dibble::{Date, Error};
use numpy::{IntoPyArray, PyArray1, PyArrayMethods, PyReadonlyArray1};
use pyo3::prelude::*;
use pyo3::types::{PyFloat, PyInt, PyList, PyString, PyTuple, PyType};
use pyo3::{Borrowed, PyTypeInfo};
use std::ops::Deref;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::str::FromStr;

/// Arrays shorter than this are copied before the GIL is released, since another thread may write to them; copying
/// longer ones would cost more than most kernels, so they are borrowed read-only.
const COPIED_BELOW: usize = 65_536;

/// An option that is written as text; anything else is refused in words.
pub struct Word(String);

impl<'py> FromPyObject<'_, 'py> for Word {
    type Error = PyErr;
    fn extract(value: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
        python_gate(value.py(), "text")?.call1(("an option", value))?.extract().map(Self)
    }
}

impl Deref for Word {
    type Target = str;
    fn deref(&self) -> &str {
        &self.0
    }
}

/// An argument by its name.
pub type Named<'a, 'py> = (&'static str, &'a Bound<'py, PyAny>);

/// One input of a batch: a number that holds for all elements, or one number for each.
#[derive(Clone, Copy)]
pub enum Column<'a> {
    /// The same for all.
    One(f64),
    /// One for each element.
    Each(&'a [f64]),
}

impl Column<'_> {
    fn get(&self, index: usize) -> f64 {
        match self {
            Column::One(value) => *value,
            Column::Each(values) => values.get(index).copied().unwrap_or(f64::NAN),
        }
    }
}

/// What to do with an element that is out of range.
#[derive(Clone, Copy, PartialEq)]
pub enum OnError {
    /// Raise, naming the first and counting the rest.
    Raise,
    /// Give NaN in its place.
    Nan,
}

impl FromStr for OnError {
    type Err = Error;
    fn from_str(text: &str) -> dibble::Result<Self> {
        match text {
            "raise" => Ok(OnError::Raise),
            "nan" => Ok(OnError::Nan),
            _ => Err(Error::unknown("on_error", text, &["raise", "nan"])),
        }
    }
}

/// Calls the core without the GIL; its errors become exceptions, and so does a panic.
pub fn compute<T: Send>(py: Python<'_>, what: &str, call: impl FnOnce() -> dibble::Result<T> + Send) -> PyResult<T> {
    match py.detach(|| catch_unwind(AssertUnwindSafe(call))) {
        Ok(Ok(value)) => Ok(value),
        Ok(Err(refusal)) => Err(error::raise(py, &refusal)),
        Err(_) => Err(error::internal(py, what)),
    }
}

/// A formula over scalars or arrays: scalars give a `float`, anything else an array of the common shape.
pub fn each<'py, const N: usize>(
    py: Python<'py>,
    inputs: [Named<'_, 'py>; N],
    on_error: &str,
    formula: impl Fn([f64; N]) -> dibble::Result<f64> + Send + Sync,
) -> PyResult<Bound<'py, PyAny>> {
    batch(py, inputs, on_error, |names, columns, mode, out| fill(names, columns, mode, out, &formula))
}

/// As [`each`], with a call that fills the whole output at once.
pub fn batch<'py, const N: usize>(
    py: Python<'py>,
    inputs: [Named<'_, 'py>; N],
    on_error: &str,
    call: impl FnOnce([&'static str; N], [Column<'_>; N], OnError, &mut [f64]) -> dibble::Result<()> + Send,
) -> PyResult<Bound<'py, PyAny>> {
    let mode: OnError = choice(py, on_error)?;
    let names = inputs.map(|(name, _)| name);
    let what = names.first().copied().unwrap_or("a batch");
    let mut scalars = [None; N];
    let mut array_names = Vec::new();
    let arrays = PyList::empty(py);
    for ((name, value), scalar) in inputs.into_iter().zip(&mut scalars) {
        match number_or_array(py, name, value)? {
            Ok(number) => *scalar = Some(number),
            Err(array) => {
                array_names.push(name);
                arrays.append(array)?;
            }
        }
    }
    if array_names.is_empty() {
        let columns = scalars.map(|value| Column::One(value.unwrap_or(f64::NAN)));
        let mut out = [f64::NAN];
        compute(py, what, || call(names, columns, OnError::Raise, &mut out))?;
        let [value] = out;
        return Ok(PyFloat::new(py, value).into_any());
    }

    let (shape, flat): (Bound<'py, PyTuple>, Vec<PyReadonlyArray1<'py, f64>>) =
        python_gate(py, "broadcast")?.call1((array_names, arrays))?.extract()?;
    let mut borrowed = Vec::with_capacity(flat.len());
    for array in &flat {
        borrowed.push(array.as_slice()?);
    }
    let length = borrowed.first().map_or(0, |column| column.len());
    let copies: Vec<Vec<f64>> = if length < COPIED_BELOW { borrowed.iter().map(|column| column.to_vec()).collect() } else { Vec::new() };
    let mut slices =
        if copies.is_empty() { borrowed.into_iter() } else { copies.iter().map(Vec::as_slice).collect::<Vec<_>>().into_iter() };
    let columns = scalars.map(|value| value.map_or_else(|| Column::Each(slices.next().unwrap_or(&[])), Column::One));
    let mut out = vec![f64::NAN; length];
    compute(py, what, || call(names, columns, mode, &mut out))?;
    out.into_pyarray(py).call_method1("reshape", (shape,))
}

/// Element by element: a missing element of an array gives NaN, a refused one is raised or becomes NaN.
/// A scalar is refused for all elements alike, whatever the mode.
pub fn fill<const N: usize>(
    names: [&'static str; N],
    columns: [Column<'_>; N],
    mode: OnError,
    out: &mut [f64],
    formula: &impl Fn([f64; N]) -> dibble::Result<f64>,
) -> dibble::Result<()> {
    let is_array = |name: &str| names.iter().zip(&columns).any(|(n, c)| *n == name && matches!(c, Column::Each(_)));
    let has_array = columns.iter().any(|c| matches!(c, Column::Each(_)));
    let mut first: Option<(usize, Error)> = None;
    let mut also = 0;
    for (index, cell) in out.iter_mut().enumerate() {
        let values = columns.map(|column| column.get(index));
        let missing = columns.iter().zip(values).any(|(column, value)| matches!(column, Column::Each(_)) && value.is_nan());
        match formula(values) {
            _ if missing => {}
            Ok(value) => *cell = value,
            Err(refusal) if !has_array || (refusal.name().is_some_and(|name| names.contains(&name) && !is_array(name))) => {
                return Err(refusal);
            }
            Err(_) if mode == OnError::Nan => {}
            Err(refusal) if first.is_none() => first = Some((index, refusal)),
            Err(_) => also += 1,
        }
    }
    match first {
        Some((index, refusal)) => Err(refusal.at_index(index, also)),
        None => Ok(()),
    }
}

/// A single number.
pub fn number(name: &'static str, value: &Bound<'_, PyAny>) -> PyResult<f64> {
    match plain(value) {
        Some(number) => Ok(number),
        None => python_gate(value.py(), "one_number")?.call1((name, value))?.extract(),
    }
}

/// A single number that may be left out.
pub fn number_or_none(name: &'static str, value: Option<&Bound<'_, PyAny>>) -> PyResult<Option<f64>> {
    value.map(|v| number(name, v)).transpose()
}

/// A single number, or text with a unit that is turned into `unit`.
pub fn quantity(name: &'static str, unit: &str, value: &Bound<'_, PyAny>) -> PyResult<f64> {
    match value.cast::<PyString>() {
        Ok(text) => {
            let text = text.to_cow()?;
            dibble::units::parse(&text, unit).map_err(|refusal| error::raise(value.py(), &refusal.at(name)))
        }
        Err(_) => number(name, value),
    }
}

/// As [`quantity`], for what may be left out.
pub fn quantity_or_none(name: &'static str, unit: &str, value: Option<&Bound<'_, PyAny>>) -> PyResult<Option<f64>> {
    value.map(|v| quantity(name, unit, v)).transpose()
}

/// A column of numbers in which NaN means missing.
pub fn column(name: &str, value: &Bound<'_, PyAny>) -> PyResult<Vec<f64>> {
    let py = value.py();
    match number_or_array(py, name, value)? {
        Ok(number) => Ok(vec![number]),
        Err(array) => {
            let (_, flat): (Bound<'_, PyAny>, Vec<Bound<'_, PyArray1<f64>>>) =
                python_gate(py, "broadcast")?.call1(([name], PyList::new(py, [array])?))?.extract()?;
            flat.first().map_or_else(|| Ok(Vec::new()), |a| Ok(a.to_vec()?))
        }
    }
}

/// A single number, or one for each of `count` things.
pub fn for_each(name: &str, value: &Bound<'_, PyAny>, count: usize) -> PyResult<Vec<f64>> {
    let numbers = column(name, value)?;
    if numbers.len() == count {
        return Ok(numbers);
    }
    match numbers.as_slice() {
        [one] => Ok(vec![*one; count]),
        _ => {
            let problem = format!("{name} holds {} numbers for {count} positions", numbers.len());
            Err(error::raise(value.py(), &Error::inconsistent(problem, "Give one number, or one for each position.")))
        }
    }
}

/// Positions: the shape of all axes but the last, which holds x and y, and the pairs.
pub fn positions(name: &str, value: &Bound<'_, PyAny>) -> PyResult<(Vec<usize>, Vec<[f64; 2]>)> {
    let (shape, flat): (Vec<usize>, PyReadonlyArray1<'_, f64>) = python_gate(value.py(), "positions")?.call1((name, value))?.extract()?;
    let (pairs, _) = flat.as_slice()?.as_chunks::<2>();
    Ok((shape, pairs.to_vec()))
}

/// One position.
pub fn position(name: &str, value: &Bound<'_, PyAny>) -> PyResult<[f64; 2]> {
    match positions(name, value)? {
        (shape, pairs) if shape.is_empty() && !pairs.is_empty() => Ok(pairs.first().copied().unwrap_or_default()),
        (_, pairs) => {
            let refusal = Error::inconsistent(format!("{name} holds {} positions", pairs.len()), "Give one, as (x, y) in meters.");
            Err(error::raise(value.py(), &refusal))
        }
    }
}

/// Numbers in the shape of the positions that they belong to: a `float` for a single one.
pub fn shaped<'py>(py: Python<'py>, shape: Vec<usize>, values: Vec<f64>) -> PyResult<Bound<'py, PyAny>> {
    match values.first() {
        Some(value) if shape.is_empty() => Ok(PyFloat::new(py, *value).into_any()),
        _ => values.into_pyarray(py).call_method1("reshape", (PyTuple::new(py, shape)?,)),
    }
}

/// An object of one of our classes.
pub fn instance<'a, 'py, T: PyTypeInfo>(name: &str, value: &'a Bound<'py, PyAny>) -> PyResult<&'a Bound<'py, T>> {
    value.cast().map_err(|_| {
        error::wrong_kind(
            value.py(),
            name,
            &format!("{name} is of class {}: a {} is needed.", name_of(&value.get_type()), name_of(&value.py().get_type::<T>())),
        )
    })
}

/// As [`instance`], for what may be left out.
pub fn instance_or_none<'a, 'py, T: PyTypeInfo>(name: &str, value: Option<&'a Bound<'py, PyAny>>) -> PyResult<Option<&'a Bound<'py, T>>> {
    value.map(|v| instance(name, v)).transpose()
}

/// A list of objects of one of our classes.
pub fn instances<'py, T: PyTypeInfo>(name: &str, value: &Bound<'py, PyAny>) -> PyResult<Vec<Bound<'py, T>>> {
    let py = value.py();
    let items = items(name, value, &name_of(&py.get_type::<T>()))?;
    items.iter().enumerate().map(|(i, item)| instance(&format!("{name}[{i}]"), item).cloned()).collect()
}

/// What a list holds; `of` says what that should be.
pub fn items<'py>(name: &str, value: &Bound<'py, PyAny>, of: &str) -> PyResult<Vec<Bound<'py, PyAny>>> {
    python_gate(value.py(), "items")?.call1((name, value, of))?.extract()
}

/// A whole number from 0 up.
pub fn count(name: &'static str, value: &Bound<'_, PyAny>) -> PyResult<u64> {
    let py = value.py();
    if value.is_none() {
        return Err(error::wrong_kind(py, name, &format!("{name} is None: a whole number is needed.")));
    }
    python_gate(py, "count")?.call1((name, value))?.extract()
}

/// A whole number within the range of its row.
pub fn whole(bound: &dibble::bounds::Bound, value: &Bound<'_, PyAny>) -> PyResult<u64> {
    let py = value.py();
    let given = python_gate(py, "whole")?.call1((bound.name, value))?;
    // what no float holds is out of every range
    let beyond = if given.lt(0)? { f64::NEG_INFINITY } else { f64::INFINITY };
    let number: f64 = given.extract().unwrap_or(beyond);
    bound.check(number).map_err(|refusal| error::raise(py, &refusal))?;
    given.extract()
}

fn name_of(class: &Bound<'_, PyType>) -> String {
    class.name().map_or_else(|_| "unknown".into(), |name| name.to_string())
}

/// A calendar day: `datetime.date` or ISO text, without a time.
pub fn day(name: &'static str, value: &Bound<'_, PyAny>) -> PyResult<Date> {
    let text: String = python_gate(value.py(), "day")?.call1((name, value))?.extract()?;
    choice(value.py(), &text)
}

/// An option that is written as text.
pub fn choice<T: FromStr<Err = Error>>(py: Python<'_>, text: &str) -> PyResult<T> {
    text.parse().map_err(|refusal| error::raise(py, &refusal))
}

/// A list of options that are written as text.
pub fn choices<T: FromStr<Err = Error>>(name: &'static str, value: &Bound<'_, PyAny>) -> PyResult<Vec<T>> {
    let py = value.py();
    let given: Vec<String> = python_gate(py, "texts")?.call1((name, value))?.extract()?;
    given.iter().map(|text| choice(py, text)).collect()
}

/// As [`choice`], for an option that may be left out.
pub fn choice_or_none<T: FromStr<Err = Error>>(py: Python<'_>, text: Option<&str>) -> PyResult<Option<T>> {
    text.map(|t| choice(py, t)).transpose()
}

/// As [`day`], for a day that may be left out.
pub fn day_or_none(name: &'static str, value: Option<&Bound<'_, PyAny>>) -> PyResult<Option<Date>> {
    value.map(|v| day(name, v)).transpose()
}

fn number_or_array<'py>(py: Python<'py>, name: &str, value: &Bound<'py, PyAny>) -> PyResult<Result<f64, Bound<'py, PyAny>>> {
    if let Some(number) = plain(value) {
        return Ok(Ok(number));
    }
    let given = python_gate(py, "numbers")?.call1((name, value))?;
    Ok(plain(&given).ok_or(given))
}

/// The value of a plain float or int; `None` for anything else, bool and huge ints included.
fn plain(value: &Bound<'_, PyAny>) -> Option<f64> {
    (value.is_exact_instance_of::<PyFloat>() || value.is_exact_instance_of::<PyInt>()).then(|| value.extract().ok()).flatten()
}

fn python_gate<'py>(py: Python<'py>, function: &str) -> PyResult<Bound<'py, PyAny>> {
    py.import("dibble._gate")?.getattr(function)
}

/// Declares functions for Python, one for each formula of the core, and the `register` that adds them. Arguments are
/// keyword-only and broadcast together; an option behind the semicolon comes as text. How people call them, and what
/// they mean, is written in the Python file of the same name.
macro_rules! formulas {
    ($($name:ident($($arg:ident),+ $(; $option:ident: $Kind:ty)?) = $call:expr;)+) => {
        $(
            #[pyo3::pyfunction]
            #[pyo3(signature = (*, $($arg,)+ $($option,)? on_error = "raise"))]
            #[allow(clippy::too_many_arguments)] // keyword-only in Python
            fn $name<'py>(
                py: pyo3::Python<'py>,
                $($arg: &pyo3::Bound<'py, pyo3::PyAny>,)+
                $($option: $crate::gate::Word,)?
                on_error: &str,
            ) -> pyo3::PyResult<pyo3::Bound<'py, pyo3::PyAny>> {
                $(let $option: $Kind = $crate::gate::choice(py, &$option)?;)?
                $crate::gate::each(py, [$((stringify!($arg), $arg)),+], on_error, |[$($arg),+]| $call)
            }
        )+

        /// Adds the formulas to `_dibble`.
        pub fn register(module: &pyo3::Bound<'_, pyo3::types::PyModule>) -> pyo3::PyResult<()> {
            use pyo3::types::PyModuleMethods;
            $(module.add_function(pyo3::wrap_pyfunction!($name, module)?)?;)+
            Ok(())
        }
    };
}
pub(crate) use formulas;
