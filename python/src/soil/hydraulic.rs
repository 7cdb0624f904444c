//! `Soil`.

use crate::gate::{self, compute, number, number_or_none};
use crate::{error, record};
use dibble::soil::{Measured, Particles, Soil, WetEnd};
use dibble::{Error, assumption::Assumption};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyType};
use serde_json::{Value, json};

type Any<'py> = Bound<'py, PyAny>;

/// One soil: how much water it holds, how tightly, and how fast it lets water through.
///
/// Make one with `from_texture`, `from_particles` or `from_measured`. Water contents are those of the fine earth;
/// depths of water, conductivity and density are those of the soil as it lies, stones taking their share.
///
/// Examples
/// --------
/// Saxton and Rawls (2006), Table 3, clay loam: wilting point 22, field capacity 36, saturation 48 vol %, 4.3 mm/h.
///
/// >>> from dibble.soil import Soil
/// >>> soil = Soil.from_particles(sand_pct=30, clay_pct=35, organic_matter_pct=2.5)
/// >>> soil.texture, round(soil.wilting_point, 2), round(soil.field_capacity, 2), round(soil.saturation, 2)
/// ('clay loam', 0.22, 0.36, 0.48)
/// >>> round(soil.ksat_mm_h, 1)
/// 4.3
/// >>> round(soil.available_water_mm(0.2), 1)
/// 28.0
#[pyclass(name = "Soil", module = "dibble.soil", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PySoil(pub Soil);

#[pymethods]
impl PySoil {
    /// A soil of which only the texture class is known: the class's typical particles.
    ///
    /// Parameters
    /// ----------
    /// name : str
    ///     Class name or survey code, "silty clay loam" or "SICL".
    /// organic_matter_pct : float
    ///     0 to 8 % by mass.
    ///
    /// Examples
    /// --------
    /// >>> from dibble.soil import Soil
    /// >>> low, high, source = Soil.from_texture("silt loam").available_range()
    /// >>> round(low, 3), round(high, 3), source
    /// (0.125, 0.195, 'FAO-56 Table 19 and the NRCS feel chart (Program Aid 1619)')
    #[staticmethod]
    #[pyo3(signature = (name, organic_matter_pct = None))]
    fn from_texture(py: Python<'_>, name: &str, organic_matter_pct: Option<&Any<'_>>) -> PyResult<Self> {
        let organic = number_or_none("organic_matter_pct", organic_matter_pct)?.unwrap_or(2.5);
        compute(py, "Soil.from_texture", || Soil::from_texture(name.parse()?, organic)).map(Self)
    }

    /// A soil from its particle sizes, by Saxton and Rawls (2006).
    ///
    /// Parameters
    /// ----------
    /// sand_pct, clay_pct : float
    ///     Percent by mass of the fine earth.
    /// organic_matter_pct : float
    ///     0 to 8 % by mass.
    /// gravel_pct : float
    ///     Percent by mass of the whole soil, 0 to 80.
    /// density_factor : float
    ///     0.9 (loose) to 1.3 (very hard); 1 is normal.
    /// ec_ds_m : float
    ///     Conductivity of the saturation extract, dS/m.
    ///
    /// Raises
    /// ------
    /// OutOfRangeError, InconsistentError
    ///     A value out of range, sand and clay over 100 %, or no usable soil from the equations.
    #[staticmethod]
    #[pyo3(signature = (*, sand_pct, clay_pct, organic_matter_pct, gravel_pct = None, density_factor = None, ec_ds_m = None))]
    fn from_particles(
        py: Python<'_>,
        sand_pct: &Any<'_>,
        clay_pct: &Any<'_>,
        organic_matter_pct: &Any<'_>,
        gravel_pct: Option<&Any<'_>>,
        density_factor: Option<&Any<'_>>,
        ec_ds_m: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let given = Particles {
            sand_pct: number("sand_pct", sand_pct)?,
            clay_pct: number("clay_pct", clay_pct)?,
            organic_matter_pct: number("organic_matter_pct", organic_matter_pct)?,
            gravel_pct: number_or_none("gravel_pct", gravel_pct)?.unwrap_or(0.0),
            density_factor: number_or_none("density_factor", density_factor)?.unwrap_or(1.0),
            ec_ds_m: number_or_none("ec_ds_m", ec_ds_m)?.unwrap_or(0.0),
        };
        compute(py, "Soil.from_particles", || Soil::from_particles(&given)).map(Self)
    }

    /// A soil from measured water holding and conductivity.
    ///
    /// Parameters
    /// ----------
    /// wilting_point, field_capacity, saturation : float
    ///     Water contents of the fine earth, m3/m3, in rising order.
    /// ksat_mm_h : float
    ///     Saturated conductivity of the soil as it lies, mm/h.
    /// field_capacity_tension_kpa : float, optional
    ///     Tension at which field capacity was measured, kPa; 33 if not given.
    /// texture : str, optional
    ///     Texture class; without it the class that holds water most alike.
    /// bulk_density_g_cm3, gravel_pct, ec_ds_m : float, optional
    ///     As for `from_particles`.
    #[staticmethod]
    #[pyo3(signature = (*, wilting_point, field_capacity, saturation, ksat_mm_h, field_capacity_tension_kpa = None, texture = None, bulk_density_g_cm3 = None, gravel_pct = None, ec_ds_m = None))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn from_measured(
        py: Python<'_>,
        wilting_point: &Any<'_>,
        field_capacity: &Any<'_>,
        saturation: &Any<'_>,
        ksat_mm_h: &Any<'_>,
        field_capacity_tension_kpa: Option<&Any<'_>>,
        texture: Option<&str>,
        bulk_density_g_cm3: Option<&Any<'_>>,
        gravel_pct: Option<&Any<'_>>,
        ec_ds_m: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let given = Measured {
            wilting_point: number("wilting_point", wilting_point)?,
            field_capacity: number("field_capacity", field_capacity)?,
            saturation: number("saturation", saturation)?,
            ksat_mm_h: number("ksat_mm_h", ksat_mm_h)?,
            field_capacity_tension_kpa: number_or_none("field_capacity_tension_kpa", field_capacity_tension_kpa)?,
            texture: texture.map(|text| gate::choice(py, text)).transpose()?,
            bulk_density_g_cm3: number_or_none("bulk_density_g_cm3", bulk_density_g_cm3)?,
            gravel_pct: number_or_none("gravel_pct", gravel_pct)?,
            ec_ds_m: number_or_none("ec_ds_m", ec_ds_m)?,
        };
        compute(py, "Soil.from_measured", || Soil::from_measured(&given)).map(Self)
    }

    /// The same soil with field capacity read off its retention curve at another tension, 1 to 100 kPa.
    fn with_field_capacity_at(&self, py: Python<'_>, tension_kpa: &Any<'_>) -> PyResult<Self> {
        let tension = number("tension_kpa", tension_kpa)?;
        compute(py, "Soil.with_field_capacity_at", || self.0.with_field_capacity_at(tension)).map(Self)
    }

    /// The same soil with another form of the retention curve wetter than 33 kPa: "power_law" or "straight_line".
    fn with_wet_end(&self, py: Python<'_>, wet_end: &str) -> PyResult<Self> {
        let wet_end = match wet_end {
            "power_law" => WetEnd::PowerLaw,
            "straight_line" => WetEnd::StraightLine,
            other => return Err(error::raise(py, &Error::unknown("wet_end", other, &["power_law", "straight_line"]))),
        };
        compute(py, "Soil.with_wet_end", || self.0.with_wet_end(wet_end)).map(Self)
    }

    /// Texture class, "silt loam".
    #[getter]
    fn texture(&self) -> &'static str {
        self.0.texture().name()
    }
    /// Water content at 1500 kPa, m3/m3 of fine earth.
    #[getter]
    fn wilting_point(&self) -> f64 {
        self.0.wilting_point()
    }
    /// Water content that stays after draining, m3/m3 of fine earth.
    #[getter]
    fn field_capacity(&self) -> f64 {
        self.0.field_capacity()
    }
    /// Tension at field capacity, kPa.
    #[getter]
    fn field_capacity_tension_kpa(&self) -> f64 {
        self.0.field_capacity_tension_kpa()
    }
    /// Water content when all pores are full, m3/m3 of fine earth.
    #[getter]
    fn saturation(&self) -> f64 {
        self.0.saturation()
    }
    /// Saturated conductivity of the soil as it lies, mm/h.
    #[getter]
    fn ksat_mm_h(&self) -> f64 {
        self.0.ksat_mm_h()
    }
    /// Bulk density of the soil as it lies, g/cm3.
    #[getter]
    fn bulk_density_g_cm3(&self) -> f64 {
        self.0.bulk_density_g_cm3()
    }
    /// Share of the volume that is not stones, 0 to 1.
    #[getter]
    fn fine_earth_fraction(&self) -> f64 {
        self.0.fine_earth_fraction()
    }
    /// Salt in the saturation extract, dS/m.
    #[getter]
    fn ec_ds_m(&self) -> f64 {
        self.0.ec_ds_m()
    }
    /// Water that evaporates from bare soil without hindrance, mm (FAO-56 Table 19).
    #[getter]
    fn readily_evaporable_mm(&self) -> f64 {
        self.0.readily_evaporable_mm()
    }
    /// What was taken for granted in making this soil, each a dict with key, what, value, unit, source and weight.
    #[getter]
    fn assumptions<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        let rows: Vec<_> = self.0.assumptions().iter().map(Assumption::assumed).collect();
        record::to_dict(py, "assumptions", &rows)
    }

    /// Low and high published available water for this texture, m3/m3, widened to hold this soil's own, and the source.
    fn available_range(&self) -> (f64, f64, &'static str) {
        let range = self.0.available_range();
        (range.low, range.high, range.source)
    }

    /// Water between field capacity and wilting point, mm, in a depth of 0 to 10 m (FAO-56 Eq. 82).
    #[pyo3(signature = (depth_m, *, on_error = "raise"))]
    fn available_water_mm<'py>(&self, depth_m: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(depth_m.py(), [("depth_m", depth_m)], on_error, |[depth]| self.0.available_water_mm(depth))
    }

    /// Water that can evaporate from a bare surface layer, mm, of a depth in m (FAO-56 Eq. 73).
    #[pyo3(signature = (depth_m, *, on_error = "raise"))]
    fn total_evaporable_mm<'py>(&self, depth_m: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(depth_m.py(), [("depth_m", depth_m)], on_error, |[depth]| self.0.total_evaporable_mm(depth))
    }

    /// Water content of the fine earth, m3/m3, at a tension of 0 to 100,000 kPa.
    #[pyo3(signature = (tension_kpa, *, on_error = "raise"))]
    fn water_content_at<'py>(&self, tension_kpa: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(tension_kpa.py(), [("tension_kpa", tension_kpa)], on_error, |[tension]| self.0.water_content_at(tension))
    }

    /// Tension, kPa, at a water content of the fine earth between 0 and saturation.
    #[pyo3(signature = (water_content, *, on_error = "raise"))]
    fn tension_at<'py>(&self, water_content: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(water_content.py(), [("water_content", water_content)], on_error, |[content]| self.0.tension_at(content))
    }

    /// Unsaturated conductivity, mm/h, at a water content of the fine earth. For reading only, not as a daily drainage rule.
    #[pyo3(signature = (water_content, *, on_error = "raise"))]
    fn conductivity_mm_h<'py>(&self, water_content: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(water_content.py(), [("water_content", water_content)], on_error, |[content]| self.0.conductivity_mm_h(content))
    }

    /// Osmotic potential of the soil solution, kPa, at a water content of the fine earth.
    #[pyo3(signature = (water_content, *, on_error = "raise"))]
    fn osmotic_kpa_at<'py>(&self, water_content: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(water_content.py(), [("water_content", water_content)], on_error, |[content]| self.0.osmotic_kpa_at(content))
    }

    /// The description that the soil was made from, as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "soil", &self.0)
    }
    /// A soil from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        record::from_json(py, "soil", text).map(Self)
    }
    /// The description that the soil was made from, as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "soil", &self.0)
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        record::from_bytes(py, "soil", data).map(Self)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "soil", &self.0)?,)))
    }
    fn __repr__(&self) -> String {
        written(&self.0)
    }
    fn _repr_html_(&self) -> String {
        let soil = &self.0;
        let share = |value: f64| format!("{value:.3}");
        record::html(
            &format!("Soil: {}", soil.texture()),
            &[
                ("wilting point", share(soil.wilting_point()), "m3/m3"),
                ("field capacity", share(soil.field_capacity()), "m3/m3"),
                ("saturation", share(soil.saturation()), "m3/m3"),
                ("saturated conductivity", format!("{:.1}", soil.ksat_mm_h()), "mm/h"),
                ("bulk density", format!("{:.2}", soil.bulk_density_g_cm3()), "g/cm3"),
            ],
        )
    }
}

/// The Python call that makes this soil.
pub fn written(soil: &Soil) -> String {
    let recipe = json!(soil);
    let get = |key: &str| recipe.get(key).filter(|value| !value.is_null());
    let origin = get("origin").and_then(Value::as_object).and_then(|origin| origin.iter().next());
    let mut text = match origin {
        Some((kind, given)) if kind == "texture" => {
            let part = |key: &str| record::literal(given.get(key).unwrap_or(&Value::Null));
            format!("Soil.from_texture({}, {})", part("texture"), part("organic_matter_pct"))
        }
        Some((kind, given)) => format!("Soil.from_{kind}({})", record::arguments(given)),
        None => String::new(),
    };
    if let Some(form) = get("wet_end").filter(|form| *form != "power_law") {
        text += &format!(".with_wet_end({})", record::literal(form));
    }
    if let Some(tension) = get("field_capacity_tension_kpa") {
        text += &format!(".with_field_capacity_at({})", record::literal(tension));
    }
    text
}
