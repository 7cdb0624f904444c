//! `CropDays`.

use crate::gate::{column, compute, number};
use crate::{record, table};
use dibble::stand::{CropDays, CropSeries};
use numpy::PyArray1;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyType};
use std::sync::Arc;

type Any<'py> = Bound<'py, PyAny>;
type Floats<'py> = Bound<'py, PyArray1<f64>>;

/// What a surface asks of the water, day by day. `Surfaces.over` makes it from a stand; make it yourself for a crop with
/// coefficients of your own. Arrays are read-only, one value for each day.
///
/// Parameters
/// ----------
/// kcb : array-like
///     Basal crop coefficient, one value for each day.
/// kc_max : float or array-like
///     Upper limit of the crop coefficient (FAO-56 Eq. 72).
/// exposed : float or array-like
///     Fraction of the ground that is wetted and exposed, few (FAO-56 Eq. 75).
/// root_depth_m : float or array-like
///     Root depth, m; never shrinks.
/// p : float or array-like
///     Depletion fraction at the onset of stress, adjusted for the day.
/// evaporation_factor : float or array-like
///     What mulch leaves of the evaporation from the soil, 0 to 1.
///
/// Raises
/// ------
/// OutOfRangeError, MissingError, InconsistentError
///     A value out of range or missing, unequal lengths, roots that shrink.
///
/// Examples
/// --------
/// >>> from dibble.stand import CropDays
/// >>> bean = CropDays(kcb=[0.30, 0.31, 0.32], kc_max=1.21, exposed=0.8, root_depth_m=0.3, p=0.45)
/// >>> len(bean), bean.root_depth_m.tolist()
/// (3, [0.3, 0.3, 0.3])
#[pyclass(name = "CropDays", module = "dibble.stand", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyCropDays(pub Arc<CropDays>);

#[pymethods]
impl PyCropDays {
    #[new]
    #[pyo3(signature = (*, kcb, kc_max, exposed, root_depth_m, p, evaporation_factor = None))]
    fn new(
        py: Python<'_>,
        kcb: &Any<'_>,
        kc_max: &Any<'_>,
        exposed: &Any<'_>,
        root_depth_m: &Any<'_>,
        p: &Any<'_>,
        evaporation_factor: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let kcb = column("kcb", kcb)?;
        // one number stands for all days
        let each = |name: &'static str, value: &Any<'_>| -> PyResult<Vec<f64>> {
            let mut values = column(name, value)?;
            if let ([only], true) = (values.as_slice(), kcb.len() > 1) {
                values = vec![*only; kcb.len()];
            }
            Ok(values)
        };
        let series = CropSeries {
            kc_max: each("kc_max", kc_max)?,
            exposed: each("exposed", exposed)?,
            evaporation_factor: evaporation_factor.map_or_else(|| Ok(vec![1.0; kcb.len()]), |value| each("evaporation_factor", value))?,
            root_depth_m: each("root_depth_m", root_depth_m)?,
            p: each("p", p)?,
            kcb,
        };
        compute(py, "CropDays", || CropDays::new(series)).map(Self::from)
    }

    /// Basal crop coefficient.
    #[getter]
    fn kcb<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, &self.0.series().kcb)
    }
    /// Upper limit of the crop coefficient.
    #[getter]
    fn kc_max<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, &self.0.series().kc_max)
    }
    /// Fraction of the ground that is wetted and exposed.
    #[getter]
    fn exposed<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, &self.0.series().exposed)
    }
    /// What mulch leaves of the evaporation from the soil.
    #[getter]
    fn evaporation_factor<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, &self.0.series().evaporation_factor)
    }
    /// Root depth, m.
    #[getter]
    fn root_depth_m<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, &self.0.series().root_depth_m)
    }
    /// Depletion fraction at the onset of stress.
    #[getter]
    fn p<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, &self.0.series().p)
    }

    /// The same surface with its root depth multiplied, for the low and high end of a range.
    fn with_roots_scaled(&self, py: Python<'_>, factor: &Any<'_>) -> PyResult<Self> {
        let factor = number("factor", factor)?;
        compute(py, "CropDays.with_roots_scaled", || self.0.with_roots_scaled(factor)).map(Self::from)
    }

    /// The days as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "crop days", &*self.0)
    }
    /// Days from `to_json`, the same bit for bit.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        record::from_json::<CropDays>(py, "crop days", text).map(Self::from)
    }
    /// The days as a dict of lists.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "crop days", &*self.0)
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        record::from_bytes::<CropDays>(py, "crop days", data).map(Self::from)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "crop days", &*self.0)?,)))
    }
    fn __len__(&self) -> usize {
        self.0.len()
    }
    fn __repr__(&self) -> String {
        let series = self.0.series();
        let ends = |values: &[f64]| match values {
            [first, .., last] => format!("{first:.2} to {last:.2}"),
            [only] => format!("{only:.2}"),
            [] => String::new(),
        };
        format!("<CropDays of {} days: Kcb {}, roots {} m>", self.0.len(), ends(&series.kcb), ends(&series.root_depth_m))
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.__repr__())
    }
}

impl From<CropDays> for PyCropDays {
    fn from(days: CropDays) -> Self {
        Self(Arc::new(days))
    }
}
