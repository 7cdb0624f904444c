//! `dibble.water.supply`: pond, well, tank, passes left, counts of what was drawn.

use crate::error;
use crate::gate::{self, choice, compute, day, instance_or_none, number, number_or_none, positions};
use crate::record::{answer, arguments, class, record_class};
use crate::weather::PyDaily;
use dibble::water::supply::{
    self as core, Draw, Pass, PermitLimit, Pond, PondInput, Range, Stage, SupplyDay, SupplyOutlook, Tank, WaterSupply, Well, Withdrawals,
};
use pyo3::prelude::*;
use serde_json::{Value, json};

type Any<'py> = Bound<'py, PyAny>;

/// A number that is known, or its low and high end.
fn ends(name: &'static str, value: &Any<'_>) -> PyResult<Range> {
    let pair = value.extract::<(Any<'_>, Any<'_>)>().ok().or_else(|| value.extract::<[Any<'_>; 2]>().ok().map(|[low, high]| (low, high)));
    match pair {
        Some((low, high)) => Ok(Range::new(number(name, &low)?, number(name, &high)?)),
        None => number(name, value).map(Range::exactly),
    }
}

fn ends_or_none(name: &'static str, value: Option<&Any<'_>>) -> PyResult<Option<Range>> {
    value.map(|v| ends(name, v)).transpose()
}

/// A record's arguments with ranges and stages as pairs, as the constructors take them.
fn written(record: &Value) -> String {
    fn pairs(value: &mut Value) {
        match value {
            Value::Object(fields) => {
                fields.values_mut().for_each(pairs);
                let pair = [("low", "high"), ("depth_m", "area_m2")]
                    .into_iter()
                    .find_map(|(a, b)| Some([fields.get(a)?.clone(), fields.get(b)?.clone()]));
                if let Some([first, second]) = pair.filter(|_| fields.len() == 2) {
                    *value = json!([first, second]);
                }
            }
            Value::Array(items) => items.iter_mut().for_each(pairs),
            _ => {}
        }
    }
    let mut record = record.clone();
    // the record of a pond may itself be an area and a depth: only what stands in it is a pair
    record.as_object_mut().into_iter().flatten().for_each(|(_, value)| pairs(value));
    arguments(&record)
}

/// A pond: how much it holds at a stage. Depths are measured from its deepest point up.
///
/// Parameters
/// ----------
/// area_m2, depth_m : float, optional
///     Surface and depth when full; left out where stages are given.
/// shape : {"usual", "straight", "bowl", "cone"}
///     Shape of the bed: a pond of the usual shape holds 0.4 of area times depth, a bowl half, a cone a third.
/// stage : array-like of pairs, optional
///     Depth in m and surface in m2, from (0, surface) up, in place of area, depth and shape.
/// level_m : float, optional
///     Depth of the water today; full if not given.
/// lowest_m : float, optional
///     Depth at which pumping stops; 0.5 if not given.
/// seepage_mm_day, inflow_l_min, evaporation : float or (float, float), optional
///     Seepage through the bed, mm a day (0 to 5 if not given); springs and streams, L/min (none); evaporation over reference
///     evapotranspiration (0.95 to 1.15). A pair is the low and the high end of what is not known better.
///
/// Raises
/// ------
/// MissingError, OutOfRangeError, InconsistentError, SeveralError
///     No surface or depth, a value out of range, stages that do not rise, a level above the rim, nothing to pump.
///
/// Examples
/// --------
/// >>> from dibble.water.supply import Pond
/// >>> pond = Pond(area_m2=2000, depth_m=2.0, shape="straight")
/// >>> pond.usable_l, pond.level_after_m(1_000_000)
/// (3000000.0, 1.5)
/// >>> Pond(stage=[(0, 0), (1, 400), (2, 1000)], lowest_m=0.5, level_m=1.5).usable_l
/// 425000.0
#[pyclass(name = "Pond", module = "dibble.water.supply", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyPond(pub Pond);

record_class!(PyPond, "pond", {
    #[new]
    #[pyo3(signature = (
        *, area_m2 = None, depth_m = None, shape = "usual", stage = None, level_m = None, lowest_m = None, seepage_mm_day = None,
        inflow_l_min = None, evaporation = None
    ))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn new(
        py: Python<'_>,
        area_m2: Option<&Any<'_>>,
        depth_m: Option<&Any<'_>>,
        shape: &str,
        stage: Option<&Any<'_>>,
        level_m: Option<&Any<'_>>,
        lowest_m: Option<&Any<'_>>,
        seepage_mm_day: Option<&Any<'_>>,
        inflow_l_min: Option<&Any<'_>>,
        evaporation: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let stage = stage.map(|s| positions("stage", s)).transpose()?.map(|(_, pairs)| pairs).unwrap_or_default();
        let input = PondInput {
            area_m2: number_or_none("area_m2", area_m2)?,
            depth_m: number_or_none("depth_m", depth_m)?,
            shape: choice(py, shape)?,
            stage: stage.into_iter().map(|[depth_m, area_m2]| Stage { depth_m, area_m2 }).collect(),
            level_m: number_or_none("level_m", level_m)?,
            lowest_m: number_or_none("lowest_m", lowest_m)?,
            seepage_mm_day: ends_or_none("seepage_mm_day", seepage_mm_day)?,
            inflow_l_min: ends_or_none("inflow_l_min", inflow_l_min)?,
            evaporation: ends_or_none("evaporation", evaporation)?,
        };
        compute(py, "Pond", || Pond::new(input)).map(Self)
    }
    /// Depth of the water today, m.
    #[getter]
    fn level_m(&self) -> f64 {
        self.0.level_m()
    }
    /// Depth when full, m.
    #[getter]
    fn full_m(&self) -> f64 {
        self.0.full_m()
    }
    /// Depth at which pumping stops, m.
    #[getter]
    fn lowest_m(&self) -> f64 {
        self.0.lowest_m()
    }
    /// Water that can be pumped today, L: down to the depth at which pumping stops.
    #[getter]
    fn usable_l(&self) -> f64 {
        self.0.usable_l()
    }
    /// Water held at depths, L; a depth above the rim is refused.
    #[pyo3(signature = (level_m, *, on_error = "raise"))]
    fn volume_l<'py>(&self, level_m: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(level_m.py(), [("level_m", level_m)], on_error, |[level]| self.0.volume_l(level))
    }
    /// The water's surface at depths, m2; a depth above the rim is refused.
    #[pyo3(signature = (level_m, *, on_error = "raise"))]
    fn area_m2<'py>(&self, level_m: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(level_m.py(), [("level_m", level_m)], on_error, |[level]| self.0.area_m2(level))
    }
    /// Depth after so much has been drawn today, m; more than can be pumped is refused.
    fn level_after_m(&self, drawn_l: &Any<'_>) -> PyResult<f64> {
        let (py, drawn_l) = (drawn_l.py(), number("drawn_l", drawn_l)?);
        compute(py, "Pond.level_after_m", || self.0.level_after_m(drawn_l))
    }
    fn __repr__(&self) -> String {
        format!("Pond({})", written(&json!(self.0)))
    }
});

class! {
    /// A well: what stands in the bore and can be drawn at once, and how fast it recovers.
    ///
    /// Parameters
    /// ----------
    /// rate_l_min : float or (float, float)
    ///     Flow that it keeps up for days, L/min; not the first hour's of a new well.
    /// storage_l : float
    ///     Water that stands in it after a rest and can be drawn faster, L.
    /// hours_day : float, optional
    ///     Hours a day that it may be pumped; 24 if not given.
    ///
    /// Raises
    /// ------
    /// OutOfRangeError, InconsistentError
    ///     A value out of range, a rate the wrong way round.
    ///
    /// Examples
    /// --------
    /// >>> from dibble.water.supply import Well
    /// >>> well = Well(60, storage_l=1200)  # at 100 L/min the bore lasts 1200 / (100 - 60) = 30 min
    /// >>> well.lasts_min(100), well.lasts_min(50)
    /// ((30.0, 30.0), (None, None))
    /// >>> Well((40, 60), hours_day=10).day_l
    /// (24000.0, 36000.0)
    PyWell(Well) = "dibble.water.supply", "Well", check Well::check;
    {
        /// Water that stands in it after a rest, L.
        storage_l,
        /// Hours a day that it may be pumped; None for all.
        hours_day,
    }
    {
        #[new]
        #[pyo3(signature = (rate_l_min, *, storage_l = None, hours_day = None))]
        fn new(rate_l_min: &Any<'_>, storage_l: Option<&Any<'_>>, hours_day: Option<&Any<'_>>) -> PyResult<Self> {
            let well = Well {
                rate_l_min: ends("rate_l_min", rate_l_min)?,
                storage_l: number_or_none("storage_l", storage_l)?.unwrap_or(0.0),
                hours_day: number_or_none("hours_day", hours_day)?,
            };
            Self::looked_over(rate_l_min.py(), well)
        }
        /// Flow that it keeps up, L/min: low and high end.
        #[getter]
        fn rate_l_min(&self) -> (f64, f64) {
            (self.0.rate_l_min.low, self.0.rate_l_min.high)
        }
        /// Water that it gives in a day, L: low and high end.
        #[getter]
        fn day_l(&self) -> (f64, f64) {
            let day = self.0.day_l();
            (day.low, day.high)
        }
        /// Hours until what stands in it is there again, low and high end; infinite for a dry well.
        #[getter]
        fn recovery_h(&self) -> (f64, f64) {
            let hours = self.0.recovery_h();
            (hours.low, hours.high)
        }
        /// Minutes that it keeps up a flow after a rest, at the low and the high end of its rate; None for ever.
        fn lasts_min(&self, flow_l_min: &Any<'_>) -> PyResult<(Option<f64>, Option<f64>)> {
            let flow = number("flow_l_min", flow_l_min)?;
            compute(flow_l_min.py(), "Well.lasts_min", || self.0.lasts_min(flow))
        }
        fn __repr__(&self) -> String {
            format!("Well({})", written(&json!(self.0)))
        }
    }
}

class! {
    /// A tank or cistern beside the pump.
    ///
    /// Parameters
    /// ----------
    /// volume_l : float
    ///     What it holds, L.
    /// now_l : float, optional
    ///     What is in it, L; full if not given.
    /// fill_l_min : float
    ///     What fills it, L/min.
    ///
    /// Raises
    /// ------
    /// OutOfRangeError, InconsistentError
    ///     A value out of range, more in it than it holds.
    ///
    /// Examples
    /// --------
    /// >>> from dibble.water.supply import Tank
    /// >>> Tank(4000, fill_l_min=1).volume_l
    /// 4000.0
    PyTank(Tank) = "dibble.water.supply", "Tank", check Tank::check;
    {
        /// What it holds, L.
        volume_l,
        /// What is in it, L; None for full.
        now_l,
        /// What fills it, L/min.
        fill_l_min,
    }
    {
        #[new]
        #[pyo3(signature = (volume_l, *, now_l = None, fill_l_min = None))]
        fn new(volume_l: &Any<'_>, now_l: Option<&Any<'_>>, fill_l_min: Option<&Any<'_>>) -> PyResult<Self> {
            let tank = Tank {
                volume_l: number("volume_l", volume_l)?,
                now_l: number_or_none("now_l", now_l)?,
                fill_l_min: number_or_none("fill_l_min", fill_l_min)?.unwrap_or(0.0),
            };
            Self::looked_over(volume_l.py(), tank)
        }
        fn __repr__(&self) -> String {
            format!("Tank({})", arguments(&json!(self.0)))
        }
    }
}

answer! {
    /// How long the water lasts; made by `WaterSupply.outlook`. `print` it.
    PySupplyOutlook(SupplyOutlook) = "dibble.water.supply", "SupplyOutlook";
    {
        /// Water that can be drawn today, L: a dict of `low` and `high`.
        usable_l,
        /// Days looked at.
        days,
        /// Much is lost, little comes in, passes take much: a dict of `passes`, `out_on`, `level_m` by day, `lost_l`, `gained_l`,
        /// `drawn_l` and `spilled_l`.
        dry,
        /// The middle of every range.
        likely,
        /// Little is lost, much comes in, passes take little.
        wet,
    }
    {}
}

answer! {
    /// Counts of what was drawn; made by `withdrawals`. `print` it.
    PyWithdrawals(Withdrawals) = "dibble.water.supply", "Withdrawals";
    {
        /// By day, dicts of `date` and `volume_l`; days without a draw are left out.
        days,
        /// By calendar month, dicts of `year`, `month` and `volume_l`.
        months,
        /// The day with most; None without a draw.
        largest_day,
        /// Largest mean of 30 days in a row, L a day, with its last day.
        largest_30_days,
        /// In all, L.
        total_l,
        /// The user's limit, beside which the counts stand.
        limit,
    }
    {}
}

class! {
    /// Where the water comes from. The well is drawn first, because it fills again; then the tank, then the pond.
    ///
    /// Parameters
    /// ----------
    /// pond : Pond, optional
    /// well : Well, optional
    /// tank : Tank, optional
    ///     At least one of them.
    ///
    /// Raises
    /// ------
    /// MissingError
    ///     No source.
    ///
    /// Examples
    /// --------
    /// >>> from dibble.water.supply import Pass, Pond, SupplyDay, WaterSupply
    /// >>> pond = Pond(area_m2=2000, depth_m=2.0, shape="straight", seepage_mm_day=4, evaporation=1)
    /// >>> days = [SupplyDay(f"2026-07-{day:02}", eto_mm=6.0, rain_mm=0.0) for day in range(1, 32)]
    /// >>> lasts = WaterSupply(pond=pond).outlook(days, Pass(volume_l=400_000, over_days=1, every_days=5))
    /// >>> lasts.likely["passes"], lasts.likely["out_on"]
    /// (6, '2026-07-31')
    PyWaterSupply(WaterSupply) = "dibble.water.supply", "WaterSupply", check WaterSupply::check;
    {}
    {
        #[new]
        #[pyo3(signature = (*, pond = None, well = None, tank = None))]
        fn new(py: Python<'_>, pond: Option<&Any<'_>>, well: Option<&Any<'_>>, tank: Option<&Any<'_>>) -> PyResult<Self> {
            let supply = WaterSupply {
                pond: instance_or_none::<PyPond>("pond", pond)?.map(|p| p.get().0.clone()),
                well: instance_or_none::<PyWell>("well", well)?.map(|w| w.get().0),
                tank: instance_or_none::<PyTank>("tank", tank)?.map(|t| t.get().0),
            };
            Self::looked_over(py, supply)
        }
        /// The pond.
        #[getter]
        fn pond(&self) -> Option<PyPond> {
            self.0.pond.clone().map(PyPond)
        }
        /// The well.
        #[getter]
        fn well(&self) -> Option<PyWell> {
            self.0.well.map(PyWell)
        }
        /// The tank.
        #[getter]
        fn tank(&self) -> Option<PyTank> {
            self.0.tank.map(PyTank)
        }
        /// Water that can be drawn today, L: low and high end by the well's rate.
        #[getter]
        fn usable_l(&self) -> (f64, f64) {
            let usable = self.0.usable_l();
            (usable.low, usable.high)
        }
        /// How long it lasts, day by day, with a pass again and again.
        ///
        /// Parameters
        /// ----------
        /// days : Daily or sequence of SupplyDay
        ///     Weather over the pond, every day once, in order.
        /// pass_ : Pass
        ///     What a pass takes, and how often it comes.
        ///
        /// Returns
        /// -------
        /// SupplyOutlook
        ///     Its `dry` end, `likely` and its `wet` end.
        ///
        /// Raises
        /// ------
        /// OutOfRangeError, InconsistentError, DibbleTypeError
        ///     A value out of range, days out of order, a pass of more days than from one to the next.
        fn outlook(&self, days: &Any<'_>, pass_: &Any<'_>) -> PyResult<PySupplyOutlook> {
            let py = days.py();
            let asked = pass(pass_)?;
            let days = supply_days(days)?;
            compute(py, "WaterSupply.outlook", || self.0.outlook(&days, asked)).map(PySupplyOutlook)
        }
        fn __repr__(&self) -> String {
            let of = |name: &str, class: &str, part: Option<Value>| part.map(|part| format!("{name}={class}({})", written(&part)));
            let parts = [
                of("pond", "Pond", self.0.pond.as_ref().map(|p| json!(p))),
                of("well", "Well", self.0.well.map(|w| json!(w))),
                of("tank", "Tank", self.0.tank.map(|t| json!(t))),
            ];
            format!("WaterSupply({})", parts.into_iter().flatten().collect::<Vec<_>>().join(", "))
        }
    }
}

/// Days of a `Daily`, or of tuples as `SupplyDay` has them.
fn supply_days(days: &Any<'_>) -> PyResult<Vec<SupplyDay>> {
    if let Ok(daily) = days.cast::<PyDaily>() {
        let daily = &daily.get().days;
        let weather = daily.eto_mm().iter().zip(daily.rain_mm());
        return Ok(weather
            .enumerate()
            .map(|(at, (eto_mm, rain_mm))| SupplyDay { date: daily.date(at), eto_mm: *eto_mm, rain_mm: *rain_mm })
            .collect());
    }
    let each = |(date, eto_mm, rain_mm): (Any<'_>, Any<'_>, Any<'_>)| {
        Ok(SupplyDay { date: day("date", &date)?, eto_mm: number("eto_mm", &eto_mm)?, rain_mm: number("rain_mm", &rain_mm)? })
    };
    let kind = || {
        error::wrong_kind(days.py(), "days", "days are no Daily, and no sequence of SupplyDay(date, eto_mm, rain_mm). Give one of them.")
    };
    days.extract::<Vec<(Any<'_>, Any<'_>, Any<'_>)>>().map_err(|_| kind())?.into_iter().map(each).collect()
}

/// A pass as the tuple `Pass` has it.
fn pass(given: &Any<'_>) -> PyResult<Pass> {
    let kind = || error::wrong_kind(given.py(), "pass_", "pass_ is no Pass(volume_l, over_days, every_days, first_day). Give one.");
    let (volume, over, every, first) = given.extract::<(Any<'_>, Any<'_>, Any<'_>, Any<'_>)>().map_err(|_| kind())?;
    let whole = |name, value: &Any<'_>| gate::count(name, value).map(|n| u32::try_from(n).unwrap_or(u32::MAX));
    Ok(Pass {
        volume_l: ends("volume_l", &volume)?,
        over_days: whole("over_days", &over)?,
        every_days: whole("every_days", &every)?,
        first_day: whole("first_day", &first)?,
    })
}

#[pyfunction]
#[pyo3(signature = (draws, *, day_l, month_l, mean_30_day_l))]
fn withdrawals(
    draws: &Any<'_>,
    day_l: Option<&Any<'_>>,
    month_l: Option<&Any<'_>>,
    mean_30_day_l: Option<&Any<'_>>,
) -> PyResult<PyWithdrawals> {
    let limit = PermitLimit {
        day_l: number_or_none("day_l", day_l)?,
        month_l: number_or_none("month_l", month_l)?,
        mean_30_day_l: number_or_none("mean_30_day_l", mean_30_day_l)?,
    };
    let kind = || error::wrong_kind(draws.py(), "draws", "draws are no sequence of (date, volume_l). Give a day and liters for each.");
    let each = |(date, volume_l): (Any<'_>, Any<'_>)| Ok(Draw { date: day("date", &date)?, volume_l: number("volume_l", &volume_l)? });
    let given: Vec<Draw> =
        draws.extract::<Vec<(Any<'_>, Any<'_>)>>().map_err(|_| kind())?.into_iter().map(each).collect::<PyResult<_>>()?;
    compute(draws.py(), "withdrawals", || core::withdrawals(&given, limit)).map(PyWithdrawals)
}

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyPond>()?;
    module.add_class::<PyWell>()?;
    module.add_class::<PyTank>()?;
    module.add_class::<PyWaterSupply>()?;
    module.add_class::<PySupplyOutlook>()?;
    module.add_class::<PyWithdrawals>()?;
    module.add_function(wrap_pyfunction!(withdrawals, module)?)
}
