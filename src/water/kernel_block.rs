//! Columns side by side carried through all days: forcing gathered, mornings decided, results kept.

#![allow(clippy::indexing_slicing, clippy::needless_range_loop)] // lane and day indices stay within checked lengths

use super::column::{Column, Watering};
use super::kernel::{Forcing, Lane, MM, Outcome, ZERO};
use super::kernel_forcing::Sources;
use super::kernel_layered::Layered;
use super::kernel_printed::Printed;
use super::kernel_reading::correct;
use super::kernel_start::build;
use super::kernel_sums::{Doubt, Sums};
use super::reading::ReadingOutcome;
use super::refill::RefillLanes;
use super::season::{Form, Progress, Series, Totals};
use crate::date::Date;
use crate::error::Result;
use crate::num;
use crate::soil::intake::{GreenAmpt, Step as Shower, conductivity, infiltrate, surface_storage_mm};
use ndarray::{ArrayView1, ArrayViewMut2};

/// Days between two looks at the cancel flag.
const SLICE_DAYS: usize = 64;

#[derive(Debug)]
#[allow(clippy::large_enum_variant)] // one to a block
pub(super) enum Ledger {
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

/// All that a day changes.
struct State {
    ledger: Ledger,
    forcing: Forcing,
    out: Outcome,
    /// Depletion after readings and before the day's water, and its standard deviation.
    morning: (Lane, Lane),
    sums: Sums,
    doubt: Doubt,
}

/// A day of a block, compiled for the machine's vector width.
struct Day<'a, 'b> {
    state: &'a mut State,
    sources: &'a mut Sources<'b>,
    refill: Option<&'a RefillLanes>,
    day: usize,
}

impl num::dispatch::Kernel for Day<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let State { ledger, forcing, out, sums, doubt, .. } = self.state;
        self.sources.gather(self.day, forcing);
        if let Some(rule) = self.refill {
            rule.decide(out, forcing);
        }
        match ledger {
            Ledger::Layered(l) => l.step(forcing, out),
            Ledger::Printed(p) => p.step(forcing, out),
        }
        sums.add(forcing, out);
        doubt.add(forcing, out);
    }
}

/// What a block hands back beside the series.
pub(super) struct BlockResult {
    pub totals: Vec<Totals>,
    pub readings: Vec<ReadingOutcome>,
}

/// Runs the columns of one block through all days. `kept` takes the `wanted` series, `[day, column]`.
pub(super) fn run_block(
    columns: &[Column<'_>],
    form: Form,
    wanted: &[Series],
    mut kept: Vec<ArrayViewMut2<'_, f64>>,
    progress: &Progress<'_>,
) -> Result<BlockResult> {
    let n = columns.len();
    let ledger = build(columns, form)?;
    let mut out = Outcome::NONE;
    ledger.report(&mut out);
    let stored = ledger.stored();
    let start = |l: usize| Totals { stored_start_mm: stored[l], depletion_start_mm: out.depletion_mm[l], ..Totals::default() };
    let mut totals: Vec<Totals> = (0..n).map(start).collect();
    let mut readings = Vec::new();
    let doubt = Doubt::at_start(&out.taw_mm);
    let mut state = State { ledger, forcing: Forcing::NONE, out, morning: (ZERO, ZERO), sums: Sums::NONE, doubt };
    let mut sources = Sources::of(columns);
    let refill = RefillLanes::of(columns);
    let mut looks = Events::of(columns, |c| c.readings.iter().map(|r| r.date).collect());
    let mut waterings = Events::of(columns, |c| c.waterings.iter().map(|w| w.date).collect());
    let mornings = wanted.contains(&Series::MorningDepletion) || wanted.contains(&Series::MorningSd);
    let days = columns[0].weather.len();
    for day in 0..days {
        if day.is_multiple_of(SLICE_DAYS) {
            progress.begin(SLICE_DAYS.min(days - day))?;
        }
        while let Some((l, i)) = looks.next_on(day) {
            let column = &columns[l];
            let moved = correct(&mut state.ledger, l, column, &column.readings[i], &mut state.doubt, state.out.taw_mm[l], &mut readings)?;
            totals[l].correction_mm += moved;
            if moved != 0.0 {
                state.ledger.report(&mut state.out);
            }
        }
        if mornings {
            state.morning = (state.out.depletion_mm, state.doubt.sd_mm(&state.out.taw_mm));
        }
        let State { forcing, out, .. } = &mut state;
        forcing.irrigation_mm = ZERO;
        while let Some((l, i)) = waterings.next_on(day) {
            let watering = &columns[l].waterings[i];
            let enters = entering_mm(&columns[l], watering, out.depletion_mm[l], out.taw_mm[l])?;
            forcing.irrigation_mm[l] += enters;
            totals[l].irrigation_runoff_mm += watering.depth_mm - enters;
        }
        num::dispatch::run(Day { state: &mut state, sources: &mut sources, refill: refill.as_ref(), day });
        for (rows, &which) in kept.iter_mut().zip(wanted) {
            let values = state.daily(which);
            rows.row_mut(day).assign(&ArrayView1::from(&values[..n]));
        }
    }
    let State { ledger, out, sums, doubt, .. } = &state;
    let stored = ledger.stored();
    for (l, (column, totals)) in columns.iter().zip(&mut totals).enumerate() {
        totals.stored_end_mm = stored[l];
        totals.depletion_mm = out.depletion_mm[l];
        totals.depletion_sd_mm = doubt.sd_of(l, out.taw_mm[l]);
        totals.available_water_mm = out.taw_mm[l];
        if let Some(rule) = column.refill {
            (totals.gross_low_mm, totals.gross_high_mm) = rule.gross_mm(sums.refill_mm(l));
        }
        sums.finish(l, totals);
    }
    Ok(BlockResult { totals, readings })
}

impl State {
    /// The day's numbers of one series.
    fn daily(&self, which: Series) -> Lane {
        let State { forcing, out, doubt, morning, .. } = self;
        match which {
            Series::MorningDepletion => morning.0,
            Series::MorningSd => morning.1,
            Series::Eto => forcing.eto_mm,
            Series::Rain => forcing.rain_mm,
            Series::Irrigation => forcing.irrigation_mm,
            Series::Refill => forcing.refill_mm,
            Series::Interception => out.interception_mm,
            Series::Runoff => out.runoff_mm,
            Series::Evaporation => out.evaporation_mm,
            Series::Transpiration => out.transpiration_mm,
            Series::Drainage => out.drainage_mm,
            Series::DeepDrainage => out.deep_drainage_mm,
            Series::Basal => forcing.kcb,
            Series::Stress => out.ks,
            Series::StressOnset => forcing.p,
            Series::Depletion => out.depletion_mm,
            Series::DepletionSd => doubt.sd_mm(&out.taw_mm),
            Series::AvailableWater => out.taw_mm,
            Series::Excess => out.excess_mm,
            Series::RootDepth => forcing.root_depth_mm.map(|depth| depth / MM),
            Series::AirFilled => out.air_filled,
        }
    }
}

/// What happens on some days only: `(day, lane, index)` in order of days, then of lanes.
struct Events {
    all: Vec<(usize, usize, usize)>,
    next: usize,
}

impl Events {
    fn of(columns: &[Column<'_>], dates: impl Fn(&Column<'_>) -> Vec<Date>) -> Self {
        let mut all = Vec::new();
        for (l, column) in columns.iter().enumerate() {
            let days = dates(column).into_iter().enumerate();
            all.extend(days.filter_map(|(i, date)| Some((column.weather.index_of(date)?, l, i))));
        }
        all.sort_by_key(|&(day, ..)| day);
        Self { all, next: 0 }
    }

    fn next_on(&mut self, day: usize) -> Option<(usize, usize)> {
        let &(_, lane, index) = self.all.get(self.next).filter(|(when, ..)| *when == day)?;
        self.next += 1;
        Some((lane, index))
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
