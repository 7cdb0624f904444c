//! Up to [`LANES`] columns carried through all days: forcing gathered, mornings decided, results kept.

#![allow(clippy::indexing_slicing, clippy::needless_range_loop)] // lane and day indices stay within checked lengths

use super::column::{Column, Watering};
use super::kernel::{Forcing, LANES, Lane, Outcome, Surface, ZERO};
use super::kernel_layered::{Layer, Layered, Part};
use super::kernel_printed::Printed;
use super::reading::{LAYER_CORRELATION, Reading, ReadingOutcome, Verdict, weigh};
use super::season::{Form, Progress, Series, Totals};
use crate::error::Result;
use crate::num;
use crate::soil::Soil;
use crate::soil::intake::{GreenAmpt, Step as Shower, conductivity, infiltrate, surface_storage_mm};

const MM: f64 = 1000.0;
/// Days between two looks at the cancel flag.
const SLICE_DAYS: usize = 64;
/// FAO-56 wants REW below TEW; the surface layer of a transplant is so thin that the soil's REW can exceed it.
const LARGEST_REW_SHARE: f64 = 0.9;
/// Standard deviation of the starting wetness, as a share of the available water (our judgment).
const START_SD: f64 = 0.10;
/// Errors of the ledger that persist: shares of the summed ET and of the summed water.
const ET_ERROR: f64 = 0.15;
const WATER_ERROR: f64 = 0.10;
/// Draining by so many standard deviations of the depletion shows that the root zone was filled.
const FLUSHED_SDS: f64 = 2.0;
/// Roots want this much air; common critical value, from memory.
const CRITICAL_AIR: f64 = 0.10;
/// Below this much excess a day does not count as above field capacity, mm.
const NOTABLE_EXCESS_MM: f64 = 0.1;

/// Rounding in the stress coefficient is not stress.
const STRESSED: f64 = 1.0 - 1e-9;

#[derive(Debug)]
#[allow(clippy::large_enum_variant)] // one to a block
enum Ledger {
    Layered(Layered),
    Printed(Printed),
}

impl Ledger {
    fn report(&self, out: &mut Outcome) {
        match self {
            Ledger::Layered(l) => l.report(out),
            Ledger::Printed(p) => p.report(out),
        }
    }

    /// Water that closes the balance: in the profile, or less the depletion where the paper keeps that.
    fn stored(&self) -> Lane {
        match self {
            Ledger::Layered(l) => l.stored(),
            Ledger::Printed(p) => p.dr_mm.map(|d| -d),
        }
    }
}

/// A day's step, compiled for the machine's vector width.
struct Step<'a> {
    ledger: &'a mut Ledger,
    forcing: &'a Forcing,
    out: &'a mut Outcome,
}

impl num::dispatch::Kernel for Step<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        match self.ledger {
            Ledger::Layered(l) => l.step(self.forcing, self.out),
            Ledger::Printed(p) => p.step(self.forcing, self.out),
        }
    }
}

/// What a block hands back.
pub(super) struct BlockResult {
    /// For each wanted series: day-major, as many columns wide as the block is.
    pub series: Vec<Vec<f64>>,
    pub totals: Vec<Totals>,
    pub readings: Vec<ReadingOutcome>,
}

/// The doubt of a ledger since it was last looked up: see [`Doubt::sd_mm`].
#[derive(Clone, Copy, Default)]
struct Doubt {
    start_mm: f64,
    et_mm: f64,
    water_mm: f64,
}

impl Doubt {
    /// Standard deviation of the depletion, mm: never more than not knowing at all.
    fn sd_mm(&self, taw_mm: f64) -> f64 {
        let (et, water) = (ET_ERROR * self.et_mm, WATER_ERROR * self.water_mm);
        (self.start_mm * self.start_mm + et * et + water * water).sqrt().min(taw_mm / 12.0_f64.sqrt())
    }

    /// A root zone that drained by more than the doubt was full, whichever end of the doubt it came from: what
    /// went wrong before is forgotten (our judgment).
    fn forget_if_flushed(&mut self, drained_mm: f64, taw_mm: f64) {
        if drained_mm > FLUSHED_SDS * self.sd_mm(taw_mm) {
            *self = Doubt { start_mm: START_SD * taw_mm, ..Doubt::default() };
        }
    }

    fn shrink(&mut self, factor: f64) {
        self.start_mm *= factor;
        self.et_mm *= factor;
        self.water_mm *= factor;
    }
}

/// Runs the columns of one block through all days.
pub(super) fn run_block(
    columns: &[Column<'_>],
    days: usize,
    form: Form,
    wanted: &[Series],
    progress: &Progress<'_>,
) -> Result<BlockResult> {
    let n = columns.len();
    let mut ledger = build(columns, form)?;
    let mut out = Outcome::NONE;
    ledger.report(&mut out);
    let mut totals = vec![Totals::default(); n];
    let mut doubt: Vec<Doubt> = (0..n).map(|l| Doubt { start_mm: START_SD * out.taw_mm[l], ..Doubt::default() }).collect();
    let mut series: Vec<Vec<f64>> = wanted.iter().map(|_| Vec::with_capacity(days * n)).collect();
    let mut readings = Vec::new();
    let mut forcing = Forcing::NONE;
    let mut morning = vec![(0.0, 0.0); n];
    let mut refilled = vec![0.0; n];
    let (mut next_water, mut next_reading) = (vec![0; n], vec![0; n]);
    let start = ledger.stored();
    for l in 0..n {
        totals[l].stored_start_mm = start[l];
        totals[l].depletion_start_mm = out.depletion_mm[l];
    }
    for day in 0..days {
        if day % SLICE_DAYS == 0 {
            progress.begin(SLICE_DAYS.min(days - day))?;
        }
        gather(columns, day, &mut forcing);
        for l in 0..n {
            let column = &columns[l];
            let date = column.weather.date(day);
            while let Some(reading) = column.readings.get(next_reading[l]).filter(|r| r.date <= date) {
                next_reading[l] += 1;
                if reading.date == date {
                    let moved = correct(&mut ledger, l, column, reading, &mut doubt[l], out.taw_mm[l], &mut readings)?;
                    totals[l].correction_mm += moved;
                    if moved != 0.0 {
                        ledger.report(&mut out);
                    }
                }
            }
            morning[l] = (out.depletion_mm[l], doubt[l].sd_mm(out.taw_mm[l]));
            let mut given = 0.0;
            if let Some(refill) = column.refill.filter(|r| r.due(out.depletion_mm[l], out.taw_mm[l])) {
                given = refill.net_mm(out.depletion_mm[l]);
                let (low, high) = refill.gross_mm(given);
                totals[l].gross_low_mm += low;
                totals[l].gross_high_mm += high;
                totals[l].refills += usize::from(given > 0.0);
            }
            refilled[l] = given;
            let mut ran_off = 0.0;
            while let Some(watering) = column.waterings.get(next_water[l]).filter(|w| w.date <= date) {
                next_water[l] += 1;
                if watering.date == date {
                    let enters = entering_mm(column, watering, out.depletion_mm[l], out.taw_mm[l])?;
                    given += enters;
                    ran_off += watering.depth_mm - enters;
                }
            }
            forcing.irrigation_mm[l] = given;
            totals[l].irrigation_mm += given + ran_off;
            totals[l].irrigation_runoff_mm += ran_off;
        }
        num::dispatch::run(Step { ledger: &mut ledger, forcing: &forcing, out: &mut out });
        for l in 0..n {
            totals[l].add(&forcing, &out, l);
            doubt[l].et_mm += out.evaporation_mm[l] + out.transpiration_mm[l];
            doubt[l].water_mm += forcing.rain_mm[l] + forcing.irrigation_mm[l];
            doubt[l].forget_if_flushed(out.drainage_mm[l], out.taw_mm[l]);
        }
        for (kept, which) in series.iter_mut().zip(wanted) {
            kept.extend((0..n).map(|l| match which {
                Series::MorningDepletion => morning[l].0,
                Series::MorningSd => morning[l].1,
                Series::Depletion => out.depletion_mm[l],
                Series::DepletionSd => doubt[l].sd_mm(out.taw_mm[l]),
                Series::AvailableWater => out.taw_mm[l],
                Series::Excess => out.excess_mm[l],
                Series::Basal => forcing.kcb[l],
                Series::Stress => out.ks[l],
                Series::StressOnset => forcing.p[l],
                Series::Transpiration => out.transpiration_mm[l],
                Series::Evaporation => out.evaporation_mm[l],
                Series::Rain => forcing.rain_mm[l],
                Series::Irrigation => forcing.irrigation_mm[l],
                Series::Refill => refilled[l],
                Series::Interception => out.interception_mm[l],
                Series::Runoff => out.runoff_mm[l],
                Series::Drainage => out.drainage_mm[l],
                Series::DeepDrainage => out.deep_drainage_mm[l],
                Series::RootDepth => forcing.root_depth_mm[l] / MM,
                Series::AirFilled => out.air_filled[l],
                Series::Eto => forcing.eto_mm[l],
            }));
        }
    }
    let end = ledger.stored();
    for l in 0..n {
        totals[l].finish(end[l], doubt[l].sd_mm(out.taw_mm[l]));
    }
    Ok(BlockResult { series, totals, readings })
}

impl Totals {
    fn add(&mut self, forcing: &Forcing, out: &Outcome, l: usize) {
        self.rain_mm += forcing.rain_mm[l];
        self.eto_mm += forcing.eto_mm[l];
        self.interception_mm += out.interception_mm[l];
        self.runoff_mm += out.runoff_mm[l];
        self.evaporation_mm += out.evaporation_mm[l];
        self.transpiration_mm += out.transpiration_mm[l];
        self.drainage_mm += out.drainage_mm[l];
        self.deep_drainage_mm += out.deep_drainage_mm[l];
        self.stress_days += usize::from(out.ks[l] < STRESSED);
        self.days_above_field_capacity += usize::from(out.excess_mm[l] > NOTABLE_EXCESS_MM);
        if out.air_filled[l] < CRITICAL_AIR {
            self.airless_days += 1;
            self.airless_run += 1;
            self.longest_airless_run = self.longest_airless_run.max(self.airless_run);
        } else {
            self.airless_run = 0;
        }
        self.depletion_mm = out.depletion_mm[l];
        self.available_water_mm = out.taw_mm[l];
    }

    fn finish(&mut self, stored_mm: f64, depletion_sd_mm: f64) {
        self.airless_run = 0; // counted up to the end; nothing of it stays in the result
        self.stored_end_mm = stored_mm;
        self.depletion_sd_mm = depletion_sd_mm;
        let inflow = self.rain_mm + self.irrigation_mm + self.correction_mm;
        let lost = self.interception_mm
            + self.runoff_mm
            + self.irrigation_runoff_mm
            + self.evaporation_mm
            + self.transpiration_mm
            + self.deep_drainage_mm;
        self.closure_mm = self.stored_start_mm + inflow - lost - self.stored_end_mm;
    }
}

/// The day's numbers of each column's own series; idle lanes repeat the last column.
fn gather(columns: &[Column<'_>], day: usize, forcing: &mut Forcing) {
    for l in 0..LANES {
        let column = &columns[l.min(columns.len() - 1)];
        let crop = column.crop.series();
        forcing.eto_mm[l] = column.weather.eto_mm()[day];
        forcing.rain_mm[l] = column.weather.rain_mm()[day];
        forcing.kcb[l] = crop.kcb[day];
        forcing.kc_max[l] = crop.kc_max[day];
        forcing.exposed[l] = crop.exposed[day];
        forcing.evaporation_factor[l] = crop.evaporation_factor[day];
        forcing.root_depth_mm[l] = MM * crop.root_depth_m[day];
        forcing.p[l] = (crop.p[day] * column.p_factor).clamp(0.1, 0.8);
    }
}

/// How much of a watering enters the ground at its rate, by Green-Ampt with today's deficit.
fn entering_mm(column: &Column<'_>, watering: &Watering, depletion_mm: f64, taw_mm: f64) -> Result<f64> {
    let Some(rate_mm_h) = watering.rate_mm_h.filter(|&rate| rate > 0.0 && watering.depth_mm > 0.0) else {
        return Ok(watering.depth_mm);
    };
    let soil = column.profile.top();
    let water_content = soil.field_capacity() - depletion_mm / taw_mm * (soil.field_capacity() - soil.wilting_point());
    let ground = GreenAmpt::of(soil, water_content, conductivity(soil, column.intake_mm_h)?.value_mm_h)?;
    let shower = Shower { rate_mm_h, duration_h: watering.depth_mm / rate_mm_h };
    let met = infiltrate(&[shower], &ground, surface_storage_mm(column.slope_pct)?)?;
    Ok((watering.depth_mm - met.runoff_mm).max(0.0)) // what stands at the end soaks in
}

fn build(columns: &[Column<'_>], form: Form) -> Result<Ledger> {
    match form {
        Form::Layered => Ok(Ledger::Layered(layered(columns)?)),
        Form::Printed { drain_first } => Ok(Ledger::Printed(printed(columns, drain_first)?)),
    }
}

/// A lane of `value` over the columns; idle lanes repeat the last column.
fn lanes(columns: &[Column<'_>], value: impl Fn(usize, &Column<'_>) -> Result<f64>) -> Result<Lane> {
    let mut lane = ZERO;
    for (l, column) in columns.iter().enumerate() {
        lane[l] = value(l, column)?;
    }
    for l in columns.len()..LANES {
        lane[l] = lane[columns.len() - 1];
    }
    Ok(lane)
}

fn surface(columns: &[Column<'_>], depth_m: impl Fn(&Column<'_>) -> f64) -> Result<Surface> {
    let tew_mm = lanes(columns, |_, c| c.profile.top().total_evaporable_mm(depth_m(c)))?;
    let mut rew_mm = lanes(columns, |_, c| Ok(c.readily_evaporable_mm.unwrap_or_else(|| c.profile.top().readily_evaporable_mm())))?;
    for l in 0..LANES {
        rew_mm[l] = rew_mm[l].min(LARGEST_REW_SHARE * tew_mm[l]);
    }
    Ok(Surface {
        tew_mm,
        rew_mm,
        // S = 25400 / CN - 254, mm (NEH 630 ch. 10)
        retention_mm: lanes(columns, |_, c| Ok(c.curve_number.map_or(f64::INFINITY, |cn| 25_400.0 / cn - 254.0)))?,
        ignored_share: lanes(columns, |_, c| Ok(c.ignored_rain_share))?,
    })
}

/// Depth of the surface layer, m: the evaporable depth, within half the root depth at the start.
fn surface_depth_m(column: &Column<'_>) -> f64 {
    column.evaporable_depth_m.min(0.5 * column.crop.series().root_depth_m[0])
}

fn layered(columns: &[Column<'_>]) -> Result<Layered> {
    let mut cuts: Vec<Vec<(f64, f64)>> = Vec::new(); // (top, bottom) of each layer of each column, m
    for column in columns {
        let deepest = column.crop.series().root_depth_m.last().copied().unwrap_or(0.0);
        let skin = surface_depth_m(column);
        let mut edges = vec![0.0, skin];
        edges.extend(column.profile.layers().map(|l| l.to_depth_m).filter(|&e| e > skin && e < deepest));
        edges.push(deepest);
        cuts.push(edges.windows(2).map(|w| (w[0], w[1])).collect());
    }
    let count = cuts.iter().map(Vec::len).max().unwrap_or(1);
    let mut layers = Vec::with_capacity(count);
    let mut parts = Vec::with_capacity(count);
    for i in 0..count {
        // a column with fewer layers gets empty ones at its bottom
        let edge = |l: usize| {
            let of_column = &cuts[l];
            of_column.get(i).copied().unwrap_or((of_column[of_column.len() - 1].1, of_column[of_column.len() - 1].1))
        };
        let soil = |l: usize, c: &Column<'_>| c.profile.soil_at(middle(edge(l))).copied();
        let layer = Layer {
            top_mm: lanes(columns, |l, _| Ok(MM * edge(l).0))?,
            thickness_mm: lanes(columns, |l, _| Ok(MM * (edge(l).1 - edge(l).0)))?,
            wilting_point: lanes(columns, |l, c| Ok(whole(&soil(l, c)?, Soil::wilting_point)))?,
            field_capacity: lanes(columns, |l, c| Ok(whole(&soil(l, c)?, Soil::field_capacity)))?,
            saturation: lanes(columns, |l, c| Ok(whole(&soil(l, c)?, Soil::saturation)))?,
            k_mm_h: lanes(columns, |l, c| Ok(soil(l, c)?.ksat_mm_h()))?,
            k_below_mm_h: lanes(columns, |l, c| c.profile.drainage_limit_mm_h(middle(edge(l))))?,
        };
        let (start, subsoil) = (lanes(columns, |_, c| Ok(c.start))?, lanes(columns, |_, c| Ok(c.subsoil_start))?);
        let roots = lanes(columns, |_, c| Ok(MM * c.crop.series().root_depth_m[0]))?;
        let mut rooted = Part { thickness_mm: ZERO, water_mm: ZERO };
        let mut unrooted = rooted;
        for l in 0..LANES {
            let reached = (roots[l] - layer.top_mm[l]).clamp(0.0, layer.thickness_mm[l]);
            let holding = layer.field_capacity[l] - layer.wilting_point[l];
            rooted.thickness_mm[l] = reached;
            rooted.water_mm[l] = (layer.wilting_point[l] + start[l] * holding) * reached;
            unrooted.thickness_mm[l] = layer.thickness_mm[l] - reached;
            unrooted.water_mm[l] = (layer.wilting_point[l] + subsoil[l] * holding) * unrooted.thickness_mm[l];
        }
        layers.push(layer);
        parts.push([rooted, unrooted]);
    }
    Ok(Layered { surface: surface(columns, surface_depth_m)?, beneath: vec![[ZERO; 2]; layers.len()], layers, parts })
}

/// A water content of the soil as it lies, stones included.
fn whole(soil: &Soil, of: impl Fn(&Soil) -> f64) -> f64 {
    of(soil) * soil.fine_earth_fraction()
}

fn middle((top, bottom): (f64, f64)) -> f64 {
    0.5 * (top + bottom)
}

fn printed(columns: &[Column<'_>], drain_first: bool) -> Result<Printed> {
    let surface = surface(columns, |c| c.evaporable_depth_m)?;
    let holding = lanes(columns, |_, c| Ok(whole(c.profile.top(), Soil::field_capacity) - whole(c.profile.top(), Soil::wilting_point)))?;
    let root_depth_mm = lanes(columns, |_, c| Ok(MM * c.crop.series().root_depth_m[0]))?;
    let start = lanes(columns, |_, c| Ok(c.start))?;
    let (mut dr_mm, mut de_mm) = (ZERO, ZERO);
    for l in 0..LANES {
        dr_mm[l] = (1.0 - start[l]) * holding[l] * root_depth_mm[l];
        de_mm[l] = (1.0 - start[l]) * surface.tew_mm[l];
    }
    Ok(Printed {
        air_at_capacity: lanes(
            columns,
            |_, c| Ok(whole(c.profile.top(), Soil::saturation) - whole(c.profile.top(), Soil::field_capacity)),
        )?,
        wetted: lanes(columns, |_, c| Ok(c.wetted_fraction))?,
        surface,
        holding,
        drain_first,
        root_depth_mm,
        dr_mm,
        de_mm,
    })
}

/// Re-sets the rooted layers of one lane by a reading; returns the water that this adds, mm.
fn correct(
    ledger: &mut Ledger,
    l: usize,
    column: &Column<'_>,
    reading: &Reading,
    doubt: &mut Doubt,
    taw_mm: f64,
    outcomes: &mut Vec<ReadingOutcome>,
) -> Result<f64> {
    let middle_m = middle((reading.from_depth_m, reading.to_depth_m));
    let observed = reading.observed(column.profile.soil_at(middle_m)?)?;
    let prior_sd = doubt.sd_mm(taw_mm) / taw_mm;
    let mut spans = spans(ledger, l);
    let own = |s: &Span| {
        let overlap = s.bottom_mm.min(MM * reading.to_depth_m) - s.top_mm.max(MM * reading.from_depth_m);
        (s.top_mm <= MM * middle_m && MM * middle_m < s.bottom_mm) || overlap >= 0.5 * (s.bottom_mm - s.top_mm)
    };
    let held: f64 = spans.iter().filter(|s| own(s)).map(|s| s.holding_mm).sum();
    let ledger_available = spans.iter().filter(|s| own(s)).map(|s| s.available_mm).sum::<f64>() / held;
    let mut outcome = ReadingOutcome {
        column: column.name.clone(),
        date: reading.date,
        from_depth_m: reading.from_depth_m,
        to_depth_m: reading.to_depth_m,
        ledger_available,
        ledger_sd: prior_sd,
        reading_available: observed.available,
        reading_sd: Some(observed.sd).filter(|sd| sd.is_finite()),
        used_available: ledger_available,
        errors_apart: 0.0,
        verdict: Verdict::Outside,
    };
    if held <= 0.0 {
        outcome.ledger_available = 0.0;
        outcome.used_available = 0.0;
        outcomes.push(outcome);
        return Ok(0.0);
    }
    let weighed = weigh(ledger_available, prior_sd, observed.available, observed.sd, observed.only_drier);
    outcome.used_available = weighed.available;
    outcome.errors_apart = weighed.errors_apart;
    outcome.verdict = weighed.verdict;
    outcomes.push(outcome);
    if weighed.gain == 0.0 {
        return Ok(0.0);
    }
    let shift = weighed.available - ledger_available;
    let (mut moved, mut sd_after, mut holding) = (0.0, 0.0, 0.0);
    for span in &mut spans {
        let mine = own(span);
        let share = if mine { shift } else { LAYER_CORRELATION * shift };
        let left = if mine { weighed.sd } else { prior_sd * (1.0 - LAYER_CORRELATION * LAYER_CORRELATION * weighed.gain).sqrt() };
        sd_after += left * span.holding_mm;
        holding += span.holding_mm;
        let wanted = span.available_mm + share * span.holding_mm;
        // a sure reading wins its layers outright, whatever each of them held
        let wanted = if mine && observed.sd == 0.0 { observed.available * span.holding_mm } else { wanted };
        moved += set(ledger, l, span, wanted);
    }
    if weighed.verdict == Verdict::Merged && prior_sd > 0.0 {
        doubt.shrink((sd_after / holding / prior_sd).min(1.0));
    }
    Ok(moved)
}

/// A rooted piece of one lane.
struct Span {
    index: usize,
    top_mm: f64,
    bottom_mm: f64,
    holding_mm: f64,
    available_mm: f64,
}

fn spans(ledger: &Ledger, l: usize) -> Vec<Span> {
    match ledger {
        Ledger::Layered(ledger) => ledger
            .layers
            .iter()
            .zip(&ledger.parts)
            .enumerate()
            .filter(|(_, (_, [rooted, _]))| rooted.thickness_mm[l] > 0.0)
            .map(|(index, (layer, [rooted, _]))| Span {
                index,
                top_mm: layer.top_mm[l],
                bottom_mm: layer.top_mm[l] + rooted.thickness_mm[l],
                holding_mm: (layer.field_capacity[l] - layer.wilting_point[l]) * rooted.thickness_mm[l],
                available_mm: (rooted.water_mm[l] - layer.wilting_point[l] * rooted.thickness_mm[l]).max(0.0),
            })
            .collect(),
        Ledger::Printed(ledger) => {
            let holding_mm = ledger.holding[l] * ledger.root_depth_mm[l];
            vec![Span { index: 0, top_mm: 0.0, bottom_mm: ledger.root_depth_mm[l], holding_mm, available_mm: holding_mm - ledger.dr_mm[l] }]
        }
    }
}

/// Puts `available_mm` into a span, clipped to what the layer can hold; returns the water added.
fn set(ledger: &mut Ledger, l: usize, span: &Span, available_mm: f64) -> f64 {
    match ledger {
        Ledger::Layered(ledger) => {
            let layer = &ledger.layers[span.index];
            let [rooted, _] = &mut ledger.parts[span.index];
            let thickness = rooted.thickness_mm[l];
            let driest = if span.index == 0 { 0.5 } else { 1.0 } * layer.wilting_point[l] * thickness;
            let before = rooted.water_mm[l];
            rooted.water_mm[l] = (layer.wilting_point[l] * thickness + available_mm).clamp(driest, layer.saturation[l] * thickness);
            rooted.water_mm[l] - before
        }
        Ledger::Printed(ledger) => {
            let before = ledger.dr_mm[l];
            ledger.dr_mm[l] = (span.holding_mm - available_mm).clamp(0.0, span.holding_mm);
            before - ledger.dr_mm[l]
        }
    }
}
