//! `Hose`.

use crate::error;
use crate::gate::{self, Word, choice, compute, number, number_or_none};
use crate::record::record_class;
use dibble::Error;
use dibble::hydraulics::{Friction, Hose, HoseInput};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

/// A length of hose or pipe: bore, friction, fittings, and the pressure that it stands.
///
/// Parameters
/// ----------
/// length_m, bore_mm : float
///     Length, and true inner diameter (1 to 2000 mm).
/// material : {"lay_flat", "pvc", "polyethylene", "aluminum", "steel", "galvanized"}, optional
///     Friction by Hazen and Williams with the material's usual coefficient; "lay_flat" if nothing is given.
/// c : float, optional
///     Friction by Hazen and Williams with this coefficient, 40 to 160.
/// roughness_mm : float, optional
///     Friction by Darcy and Weisbach with Colebrook's factor for this roughness of the wall, 0 to 10 mm.
/// fittings : sequence of str
///     Fittings along it, "elbow_90", "gate_valve"; `fitting_k` knows them.
/// other_k : float
///     Loss coefficients of anything else along it, added up.
/// rating_kpa : float, optional
///     Pressure that hose and couplings are rated for.
///
/// Raises
/// ------
/// OutOfRangeError, SeveralError, InconsistentError, UnknownNameError
///     A value out of range (all are named at once), two kinds of friction, or a word that is not known.
///
/// Examples
/// --------
/// >>> from dibble.hydraulics import KPA_PER_M, Hose
/// >>> hose = Hose(152.4, 50.8, rating_kpa=1000)  # 500 ft of 2 in lay-flat
/// >>> round(hose.loss_m(302.8) * KPA_PER_M / 6.895, 1)  # psi at 80 gpm
/// 27.4
#[pyclass(name = "Hose", module = "dibble.hydraulics", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyHose(pub Hose);

record_class!(PyHose, "hose", {
    #[new]
    #[pyo3(signature = (length_m, bore_mm, *, material = None, c = None, roughness_mm = None, fittings = None, other_k = None, rating_kpa = None))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn new(
        py: Python<'_>,
        length_m: &Any<'_>,
        bore_mm: &Any<'_>,
        material: Option<Word>,
        c: Option<&Any<'_>>,
        roughness_mm: Option<&Any<'_>>,
        fittings: Option<&Any<'_>>,
        other_k: Option<&Any<'_>>,
        rating_kpa: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let mut input = HoseInput::new(number("length_m", length_m)?, number("bore_mm", bore_mm)?);
        input.friction = match (material, number_or_none("c", c)?, number_or_none("roughness_mm", roughness_mm)?) {
            (None, None, None) => input.friction,
            (Some(material), None, None) => Friction::Material(choice(py, &material)?),
            (None, Some(c), None) => Friction::HazenWilliams { c },
            (None, None, Some(roughness_mm)) => Friction::DarcyColebrook { roughness_mm },
            _ => {
                let refusal = Error::inconsistent("friction is given in two ways", "Give material, c or roughness_mm, one of them.");
                return Err(error::raise(py, &refusal));
            }
        };
        input.fittings = fittings.map_or(Ok(Vec::new()), |given| gate::choices("fittings", given))?;
        input.other_k = number_or_none("other_k", other_k)?.unwrap_or(0.0);
        input.rating_kpa = number_or_none("rating_kpa", rating_kpa)?;
        compute(py, "Hose", || Hose::new(input)).map(Self)
    }

    /// Length, m.
    #[getter]
    fn length_m(&self) -> f64 {
        self.0.input().length_m
    }
    /// True inner diameter, mm.
    #[getter]
    fn bore_mm(&self) -> f64 {
        self.0.input().bore_mm
    }
    /// Pressure that it is rated for, kPa.
    #[getter]
    fn rating_kpa(&self) -> Option<f64> {
        self.0.input().rating_kpa
    }
    /// Head lost at flows in L/min, m, fittings included. The temperature of the water counts with `roughness_mm` only.
    #[pyo3(signature = (flow_l_min, water_c = None, *, on_error = "raise"))]
    fn loss_m<'py>(&self, flow_l_min: &Any<'py>, water_c: Option<&Any<'py>>, on_error: &str) -> PyResult<Any<'py>> {
        let water = number_or_none("water_c", water_c)?.unwrap_or(15.0);
        gate::each(flow_l_min.py(), [("flow_l_min", flow_l_min)], on_error, |[flow]| self.0.loss_m(flow, water))
    }
    fn __repr__(&self) -> String {
        let input = self.0.input();
        let mut text = format!("Hose({:?}, {:?}", input.length_m, input.bore_mm);
        text += &match input.friction {
            Friction::Material(material) => format!(", material=\"{material}\""),
            Friction::HazenWilliams { c } => format!(", c={c:?}"),
            Friction::DarcyColebrook { roughness_mm } => format!(", roughness_mm={roughness_mm:?}"),
        };
        if !input.fittings.is_empty() {
            text += &format!(", fittings={:?}", input.fittings.iter().map(|f| f.name()).collect::<Vec<_>>());
        }
        if input.other_k > 0.0 {
            text += &format!(", other_k={:?}", input.other_k);
        }
        if let Some(rating) = input.rating_kpa {
            text += &format!(", rating_kpa={rating:?}");
        }
        text + ")"
    }
});

/// One hose or several, in the order of the water.
pub fn hoses_of(name: &str, given: &Any<'_>) -> PyResult<Vec<Hose>> {
    if let Ok(one) = given.cast::<PyHose>() {
        return Ok(vec![one.get().0.clone()]);
    }
    match given.extract::<Vec<Bound<'_, PyHose>>>() {
        Ok(hoses) => Ok(hoses.iter().map(|hose| hose.get().0.clone()).collect()),
        Err(_) => {
            let class = given.get_type().name()?;
            let message = format!("{name} is of class {class}: a Hose, or a list of them, is needed.");
            Err(error::wrong_kind(given.py(), name, &message))
        }
    }
}
