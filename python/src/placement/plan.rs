//! Positions and minutes of the sprinkler for a field.

use crate::control::long;
use crate::error;
use crate::explain::PyExplanation;
use crate::gate::{choice, column, compute, instance, instance_or_none, instances, number, number_or_none, position, positions};
use crate::geom::{PyPlane, PyPolygon};
use crate::hydraulics::PySystem;
use crate::record;
use crate::sprinkler::PySprinkler;
use crate::table;
use dibble::geom::Polygon;
use dibble::placement::{self, Depth, Field, FieldMap, Hydrant, PlaceRequest, Placement, Positions, Supply};
use dibble::sprinkler::Uniformity;
use dibble::{Error, units};
use numpy::IntoPyArray;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDict, PyType};
use std::sync::Arc;

type Any<'py> = Bound<'py, PyAny>;

/// Where the sprinkler may stand, as `dibble/placement/request.py` takes it apart.
#[derive(FromPyObject)]
enum Stand<'py> {
    Word(String),
    Alleys { lines: Vec<Any<'py>>, step_m: Any<'py> },
    Grid { spacing_m: Any<'py>, facing_deg: Any<'py> },
    Given(Any<'py>),
}

/// A hydrant, as `dibble/placement/request.py` has it.
#[derive(FromPyObject)]
struct Outlet<'py> {
    xy_m: Any<'py>,
    hose_m: Any<'py>,
    name: Option<String>,
}

/// What may be said beside field, sprinkler, trees and depth; `dibble/placement/request.py` says what it means.
#[derive(FromPyObject)]
struct Asked<'py> {
    keep_out: Any<'py>,
    stay_dry: Any<'py>,
    hold_mm: Option<Any<'py>>,
    cap_mm: Option<Any<'py>>,
    per_set_mm: Option<Any<'py>>,
    labels: Vec<String>,
    ground_m2: Option<Any<'py>>,
    positions: Stand<'py>,
    hydrants: Vec<Outlet<'py>>,
    hose_run: String,
    row_direction_deg: Any<'py>,
    system: Option<Any<'py>>,
    section_m: Option<Any<'py>>,
    edge_arcs_deg: Any<'py>,
    move_min: Option<Any<'py>>,
    longest_min: Option<Any<'py>>,
    prices: Bound<'py, PyDict>,
    seed: u64,
    work: Option<u64>,
    n_threads: Option<usize>,
}

impl Asked<'_> {
    fn fill(&self, py: Python<'_>, request: &mut PlaceRequest) -> PyResult<()> {
        let areas = |name, list| {
            Ok::<_, PyErr>(instances::<PyPolygon>(name, list)?.iter().map(|area| area.get().0.clone()).collect::<Vec<Polygon>>())
        };
        request.field.keep_out = areas("keep_out", &self.keep_out)?;
        request.field.stay_dry = areas("stay_dry", &self.stay_dry)?;
        let depth = |name, given: &Option<Any<'_>>| given.as_ref().map(|value| depth(name, value)).transpose();
        request.hold_mm = depth("hold_mm", &self.hold_mm)?;
        request.cap_mm = depth("cap_mm", &self.cap_mm)?;
        request.per_set_mm = depth("per_set_mm", &self.per_set_mm)?;
        request.labels = self.labels.clone();
        request.ground_m2 = number_or_none("ground_m2", self.ground_m2.as_ref())?;
        request.positions = self.positions.positions(py)?;
        request.hydrants = self.hydrants.iter().map(Outlet::hydrant).collect::<PyResult<_>>()?;
        request.hose_run = choice(py, &self.hose_run)?;
        request.row_direction_deg = number("row_direction_deg", &self.row_direction_deg)?;
        let section_m = number_or_none("section_m", self.section_m.as_ref())?;
        if section_m.is_some() && self.system.is_none() {
            let refusal = Error::inconsistent("section_m is given without a system", "Give pump, hoses and nozzle too, or leave it out.");
            return Err(error::raise(py, &refusal));
        }
        request.supply = instance_or_none::<PySystem>("system", self.system.as_ref())?
            .map(|system| Supply { system: system.get().0.clone(), section_m });
        request.edge_arcs_deg = column("edge_arcs_deg", &self.edge_arcs_deg)?;
        request.move_min = number_or_none("move_min", self.move_min.as_ref())?.unwrap_or(request.move_min);
        request.longest_min = number_or_none("longest_min", self.longest_min.as_ref())?.unwrap_or(request.longest_min);
        let prices: String = py.import("json")?.getattr("dumps")?.call1((&self.prices,))?.extract()?;
        request.prices = record::from_json(py, "prices", &prices)?;
        request.seed = self.seed;
        request.work = self.work.unwrap_or(request.work);
        request.n_threads = self.n_threads;
        Ok(())
    }
}

impl Stand<'_> {
    fn positions(&self, py: Python<'_>) -> PyResult<Positions> {
        Ok(match self {
            Stand::Word(word) if word == "anywhere" => Positions::Anywhere,
            Stand::Word(word) => return Err(error::raise(py, &Error::unknown("positions", word, &["anywhere"]))),
            Stand::Alleys { lines, step_m } => Positions::Alleys {
                lines: lines.iter().map(|line| Ok(positions("lines", line)?.1)).collect::<PyResult<_>>()?,
                step_m: number("step_m", step_m)?,
            },
            Stand::Grid { spacing_m, facing_deg } => {
                Positions::Grid { spacing_m: number("spacing_m", spacing_m)?, facing_deg: number("facing_deg", facing_deg)? }
            }
            Stand::Given(places) => Positions::Given(positions("positions", places)?.1),
        })
    }
}

impl Outlet<'_> {
    fn hydrant(&self) -> PyResult<Hydrant> {
        let hydrant = Hydrant::new(position("xy_m", &self.xy_m)?, number("hose_m", &self.hose_m)?);
        Ok(Hydrant { name: self.name.clone(), ..hydrant })
    }
}

/// One depth for all trees, or one for each.
fn depth(name: &'static str, value: &Any<'_>) -> PyResult<Depth> {
    match column(name, value)?.as_slice() {
        [one] => Ok(Depth::Same(*one)),
        each => Ok(Depth::Each(each.to_vec())),
    }
}

#[pyfunction]
fn place(
    py: Python<'_>,
    field: &Any<'_>,
    sprinkler: &Any<'_>,
    trees_xy_m: &Any<'_>,
    target_mm: &Any<'_>,
    asked: Asked<'_>,
    progress: Option<&Any<'_>>,
) -> PyResult<PyPlacement> {
    let field = Field::new(instance::<PyPolygon>("field", field)?.get().0.clone());
    let trees = positions("trees_xy_m", trees_xy_m)?.1;
    let mut request =
        PlaceRequest::new(field, instance::<PySprinkler>("sprinkler", sprinkler)?.get().0.clone(), trees, depth("target_mm", target_mm)?);
    asked.fill(py, &mut request)?;
    let request = Arc::new(request);
    let given = Arc::clone(&request);
    let plan = long(py, "place", progress, move |control| placement::place(&given, control))?;
    Ok(PyPlacement { plan, request: Some(request) })
}

/// Where the sprinkler stands, for how long, and what comes of it; made by `place`. `print` it.
///
/// Examples
/// --------
/// >>> from dibble.placement import place
/// >>> from dibble.sprinkler import Sprinkler
/// >>> trees = [(2 + 4 * i, 2 + 4 * j) for i in range(8) for j in range(6)]
/// >>> plan = place([(0, 0), (32, 0), (32, 24), (0, 24)], Sprinkler(flow_l_min=300, radius_m=34), trees, 15)
/// >>> print(str(plan).splitlines()[0].split(":")[0])
/// 1 set
/// >>> bool((plan.depths_mm >= 15 - 1e-6).all()), plan.bound <= plan.cost["total_min"]
/// (True, True)
#[pyclass(name = "Placement", module = "dibble.placement", frozen)]
pub struct PyPlacement {
    plan: Placement,
    /// The question, for drawings; not in JSON.
    request: Option<Arc<PlaceRequest>>,
}

#[pymethods]
impl PyPlacement {
    /// Positions in walking order: meters east and north, `[n, 2]`.
    #[getter]
    fn sets_xy_m<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        pairs(py, &self.plan.sets_xy_m())
    }
    /// Minutes at each position.
    #[getter]
    fn minutes<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        table::array(py, &self.plan.minutes()).map(Bound::into_any)
    }
    /// The sets in walking order, each a dict with x_m, y_m, minutes, and arc, flow_l_min and radius_m where these are not
    /// the sprinkler's.
    #[getter]
    fn sets<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "sets", &self.plan.sets)
    }
    /// Place in the list of hydrants that each set hangs on; None without hydrants.
    #[getter]
    fn hydrants(&self) -> Vec<Option<usize>> {
        self.plan.hydrants.clone()
    }
    /// Hose from there to each set, m.
    #[getter]
    fn hose_m<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        table::array(py, &self.plan.hose_m).map(Bound::into_any)
    }
    /// Depth at each tree, mm.
    #[getter]
    fn depths_mm<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        table::array(py, &self.plan.depths_mm).map(Bound::into_any)
    }
    /// 10th percentile, median and largest depth at the trees, mm.
    #[getter]
    fn depth_range_mm(&self) -> Option<(f64, f64, f64)> {
        self.plan.depth_range_mm().map(Into::into)
    }
    /// Trees that do not get their target, each a dict with tree (its place), name, depth_mm, missing_mm and why.
    #[getter]
    fn short<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "short trees", &self.plan.short)
    }
    /// What the plan costs, minutes of work: a dict with pump_min, move_min, the prices of waste and of short trees, total_min.
    #[getter]
    fn cost<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "cost", &self.plan.cost)
    }
    /// No plan with these positions costs less, minutes of work; None if nothing could be proven.
    #[getter]
    fn bound(&self) -> Option<f64> {
        self.plan.bound_min
    }
    /// Share of the cost that might still be saved: (cost - bound) / cost.
    #[getter]
    fn gap(&self) -> Option<f64> {
        self.plan.gap
    }
    /// Where the water goes, L: a dict with pumped_l, spray_l, on_block_l, beside_l, keep_out_l, drained_l, and the share waste.
    #[getter]
    fn water<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "water", &self.plan.water)
    }
    /// Evenness over the trees, as `sprinkler.uniformity`; None if all stay dry.
    #[getter]
    fn over_trees<'py>(&self, py: Python<'py>) -> PyResult<Option<Any<'py>>> {
        evenness(py, self.plan.over_trees.as_ref())
    }
    /// Evenness over the ground of the block.
    #[getter]
    fn over_ground<'py>(&self, py: Python<'py>) -> PyResult<Option<Any<'py>>> {
        evenness(py, self.plan.over_ground.as_ref())
    }
    /// Way that the end of the hose is dragged from the hydrants over all sets, m.
    #[getter]
    fn dragged_m(&self) -> f64 {
        self.plan.dragged_m
    }
    /// Positions, arcs counted, that the sets were chosen from.
    #[getter]
    fn positions(&self) -> usize {
        self.plan.positions
    }
    /// Positions left out for what they would wet or because the pump does not reach.
    #[getter]
    fn left_out(&self) -> usize {
        self.plan.left_out
    }
    /// Linear programs that the search solved.
    #[getter]
    fn solved(&self) -> u64 {
        self.plan.solved
    }
    /// What was taken for granted, each a dict with key, what, value, unit, source and weight.
    #[getter]
    fn assumptions<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "assumptions", &self.plan.assumptions)
    }

    /// The plan in words; `units` is "us" or "si".
    #[pyo3(signature = (*, units = "us"))]
    fn text(&self, py: Python<'_>, units: &str) -> PyResult<String> {
        Ok(self.plan.text(choice::<units::System>(py, units)?))
    }
    /// The cost taken apart; `print` it.
    fn explain(&self) -> PyExplanation {
        PyExplanation::from(self.plan.explain())
    }
    /// Draw the block from above: depth under each tree, positions with their order and minutes, short trees marked.
    ///
    /// Needs matplotlib (`pip install dibble[plot]`). `units` is "si" or "us". Returns a matplotlib `Figure`.
    #[pyo3(signature = (*, units = "si"))]
    fn plot<'py>(slf: &Bound<'py, Self>, units: &str) -> PyResult<Any<'py>> {
        let (py, this) = (slf.py(), slf.get());
        let request = this.request(py)?;
        let areas = |areas: &[Polygon]| areas.iter().cloned().map(PyPolygon).collect::<Vec<_>>();
        let how = PyDict::new(py);
        how.set_item("field", Bound::new(py, PyPolygon(request.field.outline.clone()))?)?;
        how.set_item("keep_out", areas(&request.field.keep_out))?;
        how.set_item("stay_dry", areas(&request.field.stay_dry))?;
        how.set_item("trees_xy_m", pairs(py, &request.trees_xy_m)?)?;
        how.set_item("hydrants_xy_m", request.hydrants.iter().map(|h| h.at()).collect::<Vec<_>>())?;
        how.set_item("radius_m", request.sprinkler.radius_m())?;
        how.set_item("units", units)?;
        py.import("dibble._plot")?.call_method("block", (slf,), Some(&how))
    }
    /// The plan as GeoJSON (RFC 7946) by the plane of the farm: a feature collection of the block, its hydrants, the sets with
    /// `order` and `minutes`, and the short trees.
    fn to_geojson<'py>(&self, py: Python<'py>, plane: &Any<'_>) -> PyResult<Any<'py>> {
        let (request, plane) = (self.request(py)?, instance::<PyPlane>("plane", plane)?.get().0);
        let text = compute(py, "Placement.to_geojson", || self.plan.to_geojson(request, &plane))?;
        py.import("json")?.getattr("loads")?.call1((text,))
    }

    /// The plan as JSON, every number exactly.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "placement", &self.plan)
    }
    /// A plan from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        let plan = compute(py, "placement", || Placement::from_json(text))?;
        Ok(Self { plan, request: None })
    }
    /// The plan as plain dicts and lists.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "placement", &self.plan)
    }
    #[staticmethod]
    #[pyo3(signature = (data, request = None))]
    fn _from_bytes(py: Python<'_>, data: &[u8], request: Option<&[u8]>) -> PyResult<Self> {
        let request: Option<PlaceRequest> = request.map(|bytes| record::from_bytes(py, "place request", bytes)).transpose()?;
        let plan = Self::from_json(py, record::text_of(py, "placement", data)?)?;
        if let Some(request) = &request {
            compute(py, "placement", || plan.plan.check(request))?;
        }
        Ok(Self { request: request.map(Arc::new), ..plan })
    }
    #[allow(clippy::type_complexity)] // the shape that pickle asks for
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>, Option<Bound<'py, PyBytes>>))> {
        let request = self.request.as_deref().map(|request| record::to_bytes(py, "place request", request)).transpose()?;
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "placement", &self.plan)?, request)))
    }
    fn __eq__(&self, other: &Any<'_>) -> bool {
        other.cast::<Self>().is_ok_and(|other| self.plan == other.get().plan)
    }
    fn __str__(&self) -> String {
        self.plan.to_string()
    }
    fn __repr__(&self) -> String {
        let count = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
        let (sets, trees) = (count(self.plan.sets.len(), "set"), count(self.plan.depths_mm.len(), "tree"));
        format!("<Placement: {sets} for {trees}, {} short>", self.plan.short.len())
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.plan.to_string())
    }
}

impl PyPlacement {
    fn request(&self, py: Python<'_>) -> PyResult<&PlaceRequest> {
        let hint = "JSON holds the plan and not the field. Place again, or keep the plan by pickle.";
        self.request.as_deref().ok_or_else(|| error::raise(py, &Error::missing("field", hint)))
    }
}

/// A map in meters: the plane, outline, keep out, stay dry, trees, labels, and hydrants with hose and name.
type Map<'py> = (PyPlane, PyPolygon, Vec<PyPolygon>, Vec<PyPolygon>, Any<'py>, Vec<String>, Vec<((f64, f64), f64, Option<String>)>);

#[pyfunction]
fn read_map<'py>(py: Python<'py>, text: &str, origin: Option<&Any<'py>>) -> PyResult<Map<'py>> {
    let origin = instance_or_none::<PyPlane>("origin", origin)?.map(|plane| plane.get().0);
    let map = compute(py, "read_map", || FieldMap::from_geojson(text, origin))?;
    let areas = |areas: Vec<Polygon>| areas.into_iter().map(PyPolygon).collect();
    let trees = pairs(py, &map.trees_xy_m)?;
    let hydrants = map.hydrants.into_iter().map(|h| (h.at().into(), h.hose_m, h.name)).collect();
    let field = map.field;
    Ok((PyPlane(map.plane), PyPolygon(field.outline), areas(field.keep_out), areas(field.stay_dry), trees, map.labels, hydrants))
}

pub fn pairs<'py>(py: Python<'py>, places: &[[f64; 2]]) -> PyResult<Any<'py>> {
    let array = places.concat().into_pyarray(py).call_method1("reshape", ((places.len(), 2),))?;
    array.getattr("flags")?.setattr("writeable", false)?;
    Ok(array)
}

fn evenness<'py>(py: Python<'py>, even: Option<&Uniformity>) -> PyResult<Option<Any<'py>>> {
    let Some(even) = even else { return Ok(None) };
    let fields = record::to_dict(py, "uniformity", even)?.cast_into::<PyDict>()?;
    py.import("dibble.sprinkler")?.getattr("Uniformity")?.call((), Some(&fields)).map(Some)
}

/// Adds the call to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(place, module)?)?;
    module.add_function(wrap_pyfunction!(read_map, module)?)
}
