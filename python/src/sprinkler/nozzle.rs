//! What a nozzle lets through, and how far it throws.

use crate::gate::{Word, choice, compute, formulas, instance, number, number_or_none};
use crate::record::{self, record_class};
use dibble::sprinkler::{self, Nozzle, NozzleKind};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

formulas! {
    discharge_l_min(nozzle_mm, pressure_kpa, coefficient) =
        sprinkler::discharge_l_min(&Nozzle::new(nozzle_mm, coefficient)?, pressure_kpa);
    nozzle_pressure_kpa(nozzle_mm, flow_l_min, coefficient) =
        sprinkler::nozzle_pressure_kpa(&Nozzle::new(nozzle_mm, coefficient)?, flow_l_min);
}

/// A nozzle: its bore and discharge coefficient.
///
/// Parameters
/// ----------
/// nozzle_mm : float
///     Bore, 0.5 to 100 mm.
/// coefficient : float
///     0.5 to 1; 0.97, the taper bore of guns, if not given. `Nozzle.of_kind` knows others.
///
/// Raises
/// ------
/// OutOfRangeError
///     A value out of range.
///
/// Examples
/// --------
/// >>> from dibble.sprinkler import Nozzle
/// >>> Nozzle.of_kind(15.24, "straight")
/// Nozzle(15.24, 0.965)
#[pyclass(name = "Nozzle", module = "dibble.sprinkler", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyNozzle(pub Nozzle);

record_class!(PyNozzle, "nozzle", {
    #[new]
    #[pyo3(signature = (nozzle_mm, coefficient = None))]
    fn new(py: Python<'_>, nozzle_mm: &Any<'_>, coefficient: Option<&Any<'_>>) -> PyResult<Self> {
        let bore = number("nozzle_mm", nozzle_mm)?;
        let coefficient = number_or_none("coefficient", coefficient)?.unwrap_or(NozzleKind::Taper.coefficient());
        compute(py, "Nozzle", || Nozzle::new(bore, coefficient)).map(Self)
    }
    /// A nozzle of a kind: "ideal" (coefficient 1), "straight" (0.965, small impact heads), "taper" (0.97, guns) or "smooth"
    /// (0.995, fire service).
    #[staticmethod]
    fn of_kind(py: Python<'_>, nozzle_mm: &Any<'_>, kind: Word) -> PyResult<Self> {
        let (bore, kind): (_, NozzleKind) = (number("nozzle_mm", nozzle_mm)?, choice(py, &kind)?);
        compute(py, "Nozzle.of_kind", || Nozzle::of_kind(bore, kind)).map(Self)
    }

    /// Bore, mm.
    #[getter]
    fn nozzle_mm(&self) -> f64 {
        self.0.bore_mm()
    }
    /// Discharge coefficient.
    #[getter]
    fn coefficient(&self) -> f64 {
        self.0.coefficient()
    }
    fn __repr__(&self) -> String {
        format!("Nozzle({:?}, {:?})", self.0.bore_mm(), self.0.coefficient())
    }
});

/// Radius and the entry for the list of assumptions.
#[pyfunction]
fn throw_radius_m<'py>(py: Python<'py>, nozzle: &Any<'py>, pressure_kpa: &Any<'py>) -> PyResult<(f64, Any<'py>)> {
    let (nozzle, pressure) = (instance::<PyNozzle>("nozzle", nozzle)?.get().0, number("pressure_kpa", pressure_kpa)?);
    let (radius_m, assumed) = compute(py, "throw_radius_m", || sprinkler::throw_radius_m(&nozzle, pressure))?;
    Ok((radius_m, record::to_dict(py, "assumption", &assumed)?))
}

/// Adds the throw to `_dibble`.
pub fn register_throw(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(throw_radius_m, module)?)
}
