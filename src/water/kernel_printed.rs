//! The ledger as FAO-56 prints it.

#![allow(clippy::indexing_slicing, clippy::needless_range_loop)] // lengths are fixed when a block is built

use super::kernel::{Forcing, LANES, Lane, Outcome, Surface, ZERO, held_between, smaller};
use crate::et::crop::stress::stress;

/// The ledger as FAO-56 prints it: root-zone depletion Dr (Eq. 85-88) and surface depletion De (Eq. 77-79).
#[derive(Debug, Clone)]
pub(crate) struct Printed {
    pub surface: Surface,
    /// Available water, field capacity less wilting point, as a fraction.
    pub holding: Lane,
    /// Saturation less field capacity, for the report of air.
    pub air_at_capacity: Lane,
    /// Share of the volume that is not stones.
    pub fine_earth: Lane,
    /// Fraction of the surface that irrigation wets.
    pub wetted: Lane,
    /// Excess drains before the day's ET (Example 38) instead of after it (Eq. 88).
    pub drain_first: bool,
    pub root_depth_mm: Lane,
    pub dr_mm: Lane,
    pub de_mm: Lane,
}

impl Printed {
    /// One day, in the order of FAO-56 p. 156. The soil that roots grow into is at field capacity.
    #[inline(always)]
    pub(crate) fn step(&mut self, forcing: &Forcing, out: &mut Outcome) {
        // the timing is chosen outside of the lanes' loop
        if self.drain_first { self.step_as::<true>(forcing, out) } else { self.step_as::<false>(forcing, out) }
    }

    #[inline(always)]
    fn step_as<const DRAIN_FIRST: bool>(&mut self, forcing: &Forcing, out: &mut Outcome) {
        let enters = self.surface.rain(forcing, out);
        self.root_depth_mm = forcing.root_depth_mm;
        let mut wetted_de = ZERO;
        for l in 0..LANES {
            wetted_de[l] = (self.de_mm[l] - enters[l] - forcing.irrigation_mm[l] / self.wetted[l]).max(0.0);
        }
        let asked = self.surface.evaporation(forcing, &wetted_de);
        for l in 0..LANES {
            let taw = self.holding[l] * self.root_depth_mm[l];
            let water = enters[l] + forcing.irrigation_mm[l];
            let morning = self.dr_mm[l];
            // Eq. 84 takes the depletion before the day's water; Example 38, watered early, the one after it.
            let felt = if DRAIN_FIRST { (morning - water).max(0.0) } else { morning };
            let ks = stress(felt, taw, forcing.p[l]);
            // The paper leaves the bounds of Dr and De to the reader: never more than the accounts hold.
            let left = (taw - if DRAIN_FIRST { felt } else { morning - water }).max(0.0);
            let evaporation = smaller(smaller(asked[l], forcing.exposed[l] * (self.surface.tew_mm[l] - wetted_de[l])), left);
            let transpiration = smaller(ks * forcing.kcb[l] * forcing.eto_mm[l], left - evaporation);
            let et = evaporation + transpiration;
            let drained = if DRAIN_FIRST { (water - morning).max(0.0) } else { (water - et - morning).max(0.0) };
            self.dr_mm[l] = held_between(morning - water + et + drained, 0.0, taw);
            self.de_mm[l] = smaller(wetted_de[l] + evaporation / forcing.exposed[l].max(0.01), self.surface.tew_mm[l]);
            out.ks[l] = ks;
            out.evaporation_mm[l] = evaporation;
            out.transpiration_mm[l] = transpiration;
            out.drainage_mm[l] = drained;
            out.deep_drainage_mm[l] = drained;
        }
        self.report(out);
    }

    #[inline(always)]
    pub(crate) fn report(&self, out: &mut Outcome) {
        for l in 0..LANES {
            out.depletion_mm[l] = self.dr_mm[l];
            out.excess_mm[l] = 0.0;
            out.taw_mm[l] = self.holding[l] * self.root_depth_mm[l];
            out.air_filled[l] = self.air_at_capacity[l] + self.dr_mm[l] / (self.fine_earth[l] * self.root_depth_mm[l]);
        }
    }
}
