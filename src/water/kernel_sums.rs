//! What the days of a block add up to, in lanes: the season's sums, and the doubt about the depletion.

#![allow(clippy::indexing_slicing, clippy::needless_range_loop)] // lanes are fixed arrays

use super::kernel::{Forcing, LANES, Lane, Outcome, ZERO, any_positive, larger, smaller};
use super::season::Totals;

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
pub(super) const STRESSED: f64 = 1.0 - 1e-9;

#[inline(always)]
fn one_if(condition: bool) -> f64 {
    if condition { 1.0 } else { 0.0 }
}

/// Sums in mm and counts of days; whole numbers are exact in an f64, and fill a lane as the rest does.
#[derive(Debug)]
pub(super) struct Sums {
    eto_mm: Lane,
    rain_mm: Lane,
    irrigation_mm: Lane,
    refill_mm: Lane,
    refills: Lane,
    interception_mm: Lane,
    runoff_mm: Lane,
    evaporation_mm: Lane,
    transpiration_mm: Lane,
    drainage_mm: Lane,
    deep_drainage_mm: Lane,
    stress_days: Lane,
    days_above_field_capacity: Lane,
    airless_days: Lane,
    airless_run: Lane,
    longest_airless_run: Lane,
}

impl Sums {
    pub(super) const NONE: Sums = Sums {
        eto_mm: ZERO,
        rain_mm: ZERO,
        irrigation_mm: ZERO,
        refill_mm: ZERO,
        refills: ZERO,
        interception_mm: ZERO,
        runoff_mm: ZERO,
        evaporation_mm: ZERO,
        transpiration_mm: ZERO,
        drainage_mm: ZERO,
        deep_drainage_mm: ZERO,
        stress_days: ZERO,
        days_above_field_capacity: ZERO,
        airless_days: ZERO,
        airless_run: ZERO,
        longest_airless_run: ZERO,
    };

    #[inline(always)]
    pub(super) fn add(&mut self, forcing: &Forcing, out: &Outcome) {
        for l in 0..LANES {
            self.eto_mm[l] += forcing.eto_mm[l];
            self.rain_mm[l] += forcing.rain_mm[l];
            self.irrigation_mm[l] += forcing.irrigation_mm[l];
            self.refill_mm[l] += forcing.refill_mm[l];
            self.refills[l] += one_if(forcing.refill_mm[l] > 0.0);
            self.interception_mm[l] += out.interception_mm[l];
            self.runoff_mm[l] += out.runoff_mm[l];
            self.evaporation_mm[l] += out.evaporation_mm[l];
            self.transpiration_mm[l] += out.transpiration_mm[l];
            self.drainage_mm[l] += out.drainage_mm[l];
            self.deep_drainage_mm[l] += out.deep_drainage_mm[l];
            self.stress_days[l] += one_if(out.ks[l] < STRESSED);
            self.days_above_field_capacity[l] += one_if(out.excess_mm[l] > NOTABLE_EXCESS_MM);
            let airless = one_if(out.air_filled[l] < CRITICAL_AIR);
            self.airless_days[l] += airless;
            self.airless_run[l] = airless * (self.airless_run[l] + 1.0);
            self.longest_airless_run[l] = larger(self.longest_airless_run[l], self.airless_run[l]);
        }
    }

    /// Puts one lane's sums into its column's totals, beside what the mornings and the start have left there.
    pub(super) fn finish(&self, l: usize, totals: &mut Totals) {
        totals.eto_mm = self.eto_mm[l];
        totals.rain_mm = self.rain_mm[l];
        totals.irrigation_mm = self.irrigation_mm[l] + totals.irrigation_runoff_mm;
        totals.refills = self.refills[l] as usize;
        totals.interception_mm = self.interception_mm[l];
        totals.runoff_mm = self.runoff_mm[l];
        totals.evaporation_mm = self.evaporation_mm[l];
        totals.transpiration_mm = self.transpiration_mm[l];
        totals.drainage_mm = self.drainage_mm[l];
        totals.deep_drainage_mm = self.deep_drainage_mm[l];
        totals.stress_days = self.stress_days[l] as usize;
        totals.days_above_field_capacity = self.days_above_field_capacity[l] as usize;
        totals.airless_days = self.airless_days[l] as usize;
        totals.longest_airless_run = self.longest_airless_run[l] as usize;
        let inflow = totals.rain_mm + totals.irrigation_mm + totals.correction_mm;
        let lost = totals.interception_mm
            + totals.runoff_mm
            + totals.irrigation_runoff_mm
            + totals.evaporation_mm
            + totals.transpiration_mm
            + totals.deep_drainage_mm;
        totals.closure_mm = totals.stored_start_mm + inflow - lost - totals.stored_end_mm;
    }

    /// Net water that the refill rule gave one lane, mm.
    pub(super) fn refill_mm(&self, l: usize) -> f64 {
        self.refill_mm[l]
    }
}

/// The doubt of the ledgers since each was last looked up.
#[derive(Debug)]
pub(super) struct Doubt {
    start_mm: Lane,
    et_mm: Lane,
    water_mm: Lane,
}

impl Doubt {
    pub(super) fn at_start(taw_mm: &Lane) -> Self {
        Self { start_mm: taw_mm.map(|taw| START_SD * taw), et_mm: ZERO, water_mm: ZERO }
    }

    /// Standard deviation of one lane's depletion, mm: never more than not knowing at all.
    #[inline(always)]
    pub(super) fn sd_of(&self, l: usize, taw_mm: f64) -> f64 {
        let (et, water) = (ET_ERROR * self.et_mm[l], WATER_ERROR * self.water_mm[l]);
        let known = (self.start_mm[l] * self.start_mm[l] + et * et + water * water).sqrt();
        smaller(known, taw_mm * (1.0 / 12.0_f64.sqrt()))
    }

    /// The same of all lanes.
    pub(super) fn sd_mm(&self, taw_mm: &Lane) -> Lane {
        std::array::from_fn(|l| self.sd_of(l, taw_mm[l]))
    }

    /// A day's ET and water. A root zone that drained by more than the doubt was full, whichever end of the doubt it
    /// came from: what went wrong before is forgotten (our judgment).
    #[inline(always)]
    pub(super) fn add(&mut self, forcing: &Forcing, out: &Outcome) {
        for l in 0..LANES {
            self.et_mm[l] += out.evaporation_mm[l] + out.transpiration_mm[l];
            self.water_mm[l] += forcing.rain_mm[l] + forcing.irrigation_mm[l];
        }
        if !any_positive(&out.drainage_mm) {
            return;
        }
        for l in 0..LANES {
            let flushed = out.drainage_mm[l] > FLUSHED_SDS * self.sd_of(l, out.taw_mm[l]);
            self.start_mm[l] = if flushed { START_SD * out.taw_mm[l] } else { self.start_mm[l] };
            self.et_mm[l] = if flushed { 0.0 } else { self.et_mm[l] };
            self.water_mm[l] = if flushed { 0.0 } else { self.water_mm[l] };
        }
    }

    pub(super) fn shrink(&mut self, l: usize, factor: f64) {
        self.start_mm[l] *= factor;
        self.et_mm[l] *= factor;
        self.water_mm[l] *= factor;
    }
}
