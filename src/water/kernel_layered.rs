//! The layered ledger: water in mm by layer, down to the depth that roots will reach.

#![allow(clippy::indexing_slicing, clippy::needless_range_loop)] // lengths are fixed when a block is built

use super::kernel::{Forcing, LANES, Lane, Outcome, Surface, ZERO, any_positive, held_between, larger, smaller};
use crate::et::crop::stress::stress;
use crate::num;

/// A sum of some hundred mm is no better than this, mm.
const ROUNDING_MM: f64 = 1e-9;
/// Hours in the ledger's step.
const DAY_H: f64 = 24.0;

/// A soil layer of a block: fixed boundaries, water held as fractions of the volume.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Layer {
    pub top_mm: Lane,
    pub thickness_mm: Lane,
    pub wilting_point: Lane,
    pub field_capacity: Lane,
    pub saturation: Lane,
    /// Share of the volume that is not stones.
    pub fine_earth: Lane,
    /// Conductivity of this layer.
    pub k_mm_h: Lane,
    /// The smallest conductivity of this layer and of all beneath it.
    pub k_below_mm_h: Lane,
}

/// Part of a layer on one side of the root boundary.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Part {
    pub thickness_mm: Lane,
    pub water_mm: Lane,
}

/// The layered ledger of a block. Layer 0 is the surface layer and lies inside the root zone; each layer
/// has a rooted part above an unrooted one, so that deepening roots move a boundary and its water.
#[derive(Debug, Clone)]
pub(crate) struct Layered {
    pub surface: Surface,
    pub layers: Vec<Layer>,
    /// `[rooted, unrooted]` of each layer, top to bottom.
    pub parts: Vec<[Part; 2]>,
    /// What a day of drainage leaves of the excess in each part.
    pub stays: Vec<Stays>,
    /// Scratch: the room beneath each part.
    pub beneath: Vec<[Lane; 2]>,
}

/// Depends on a part's thickness alone, so it is computed again only after roots have moved the boundary.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stays {
    parts: [Lane; 2],
    known: bool,
}

impl Stays {
    pub(crate) const UNKNOWN: Stays = Stays { parts: [ZERO; 2], known: false };

    /// exp(-t/T), T = Z (saturation - field capacity) / K, of both parts of a layer.
    #[inline(always)]
    fn of<'a>(&'a mut self, layer: &Layer, parts: &[Part]) -> &'a [Lane; 2] {
        if !self.known {
            for (stays, part) in self.parts.iter_mut().zip(parts) {
                for l in 0..LANES {
                    let room = (layer.saturation[l] - layer.field_capacity[l]) * part.thickness_mm[l];
                    stays[l] = num::exp(-DAY_H * layer.k_below_mm_h[l] / room.max(1e-9));
                }
            }
            self.known = true;
        }
        &self.parts
    }
}

impl Layered {
    /// One day: roots deepen, water comes in, evaporation and transpiration go out, excess moves down.
    #[inline(always)]
    pub(crate) fn step(&mut self, forcing: &Forcing, out: &mut Outcome) {
        self.deepen(&forcing.root_depth_mm);
        let enters = self.surface.rain(forcing, out);
        let before = self.rooted_water();
        let mut inflow = ZERO;
        for l in 0..LANES {
            inflow[l] = enters[l] + forcing.irrigation_mm[l];
            self.parts[0][0].water_mm[l] += inflow[l];
        }
        self.extract(forcing, out);
        out.deep_drainage_mm = ZERO;
        let mut ran_off = ZERO;
        // most days nothing stands above field capacity, and then nothing moves
        if self.any_above(|layer| &layer.field_capacity) {
            self.fill_below(|layer| &layer.field_capacity);
            if self.any_above(|layer| &layer.saturation) {
                self.fill_below(|layer| &layer.saturation);
            }
            self.drain(&mut out.deep_drainage_mm);
            if self.any_above(|layer| &layer.saturation) {
                ran_off = self.push_up();
            }
        }
        let after = self.rooted_water();
        for l in 0..LANES {
            out.runoff_mm[l] += ran_off[l];
            let lost = ran_off[l] + out.evaporation_mm[l] + out.transpiration_mm[l];
            // the balance of the root zone, its rounding taken off; negative where water rises back into the roots
            let drained = before[l] + inflow[l] - lost - after[l];
            out.drainage_mm[l] = if drained.abs() > ROUNDING_MM { drained } else { 0.0 };
        }
        self.report(out);
    }

    /// Moves the root boundary down to `root_depth_mm`, with the water of the soil it passes.
    #[inline(always)]
    pub(crate) fn deepen(&mut self, root_depth_mm: &Lane) {
        for ((layer, [rooted, unrooted]), stays) in self.layers.iter().zip(&mut self.parts).zip(&mut self.stays) {
            let mut gains = ZERO;
            for l in 0..LANES {
                let reached = held_between(root_depth_mm[l] - layer.top_mm[l], 0.0, layer.thickness_mm[l]);
                gains[l] = (reached - rooted.thickness_mm[l]).max(0.0);
            }
            if !any_positive(&gains) {
                continue;
            }
            stays.known = false;
            for l in 0..LANES {
                let gained = gains[l];
                let left = unrooted.thickness_mm[l] - gained;
                let all = left <= 0.0;
                let moved = if all { unrooted.water_mm[l] } else { unrooted.water_mm[l] * (gained / unrooted.thickness_mm[l]) };
                let moved = if gained > 0.0 { moved } else { 0.0 }; // a lane that stays as it is does not heed those that move
                rooted.thickness_mm[l] += gained;
                rooted.water_mm[l] += moved;
                unrooted.thickness_mm[l] = if all { 0.0 } else { left };
                unrooted.water_mm[l] -= moved;
            }
        }
    }

    /// Water in the root zone.
    #[inline(always)]
    fn rooted_water(&self) -> Lane {
        let mut sum = ZERO;
        for [rooted, _] in &self.parts {
            for l in 0..LANES {
                sum[l] += rooted.water_mm[l];
            }
        }
        sum
    }

    /// Water above the wilting point, and what the root zone can hold, between wilting point and field capacity.
    #[inline(always)]
    fn available(&self) -> (Lane, Lane) {
        let (mut available, mut taw) = (ZERO, ZERO);
        for (layer, [rooted, _]) in self.layers.iter().zip(&self.parts) {
            for l in 0..LANES {
                available[l] += (rooted.water_mm[l] - layer.wilting_point[l] * rooted.thickness_mm[l]).max(0.0);
                taw[l] += (layer.field_capacity[l] - layer.wilting_point[l]) * rooted.thickness_mm[l];
            }
        }
        (available, taw)
    }

    /// Evaporation from the surface layer, then transpiration from the rooted layers in proportion to what
    /// each has to give.
    #[inline(always)]
    fn extract(&mut self, forcing: &Forcing, out: &mut Outcome) {
        let (available, taw) = self.available();
        let layer = &self.layers[0];
        let [surface, _] = &mut self.parts[0];
        let mut depletion = ZERO;
        for l in 0..LANES {
            depletion[l] = (layer.field_capacity[l] * surface.thickness_mm[l] - surface.water_mm[l]).max(0.0);
        }
        let asked = self.surface.evaporation(forcing, &depletion);
        let mut share = ZERO;
        for l in 0..LANES {
            let wilting = layer.wilting_point[l] * surface.thickness_mm[l];
            let at_start = (surface.water_mm[l] - wilting).max(0.0);
            let evaporation = smaller(asked[l], (surface.water_mm[l] - 0.5 * wilting).max(0.0));
            surface.water_mm[l] -= evaporation;
            let to_give = available[l] - at_start + (surface.water_mm[l] - wilting).max(0.0);
            // felt after evaporation: rain that evaporates the same day relieves no stress
            let ks = stress(taw[l] - to_give, taw[l], forcing.p[l]);
            let transpiration = smaller(ks * forcing.kcb[l] * forcing.eto_mm[l], to_give);
            share[l] = if to_give > 0.0 { (transpiration / to_give).min(1.0) } else { 0.0 };
            out.ks[l] = ks;
            out.evaporation_mm[l] = evaporation;
            out.transpiration_mm[l] = 0.0;
        }
        for (layer, [rooted, _]) in self.layers.iter().zip(&mut self.parts) {
            for l in 0..LANES {
                let taken = share[l] * (rooted.water_mm[l] - layer.wilting_point[l] * rooted.thickness_mm[l]).max(0.0);
                rooted.water_mm[l] -= taken;
                out.transpiration_mm[l] += taken;
            }
        }
    }

    /// Does water stand above a layer's `capacity` anywhere?
    #[inline(always)]
    fn any_above(&self, capacity: impl Fn(&Layer) -> &Lane) -> bool {
        let mut most = ZERO;
        for (layer, parts) in self.layers.iter().zip(&self.parts) {
            for part in parts {
                for l in 0..LANES {
                    most[l] = larger(most[l], part.water_mm[l] - capacity(layer)[l] * part.thickness_mm[l]);
                }
            }
        }
        any_positive(&most)
    }

    /// Water above a layer's `capacity` first fills what is short of it beneath, as fast as each layer on the
    /// way conducts.
    #[inline(always)]
    fn fill_below(&mut self, capacity: impl Fn(&Layer) -> &Lane) {
        // room beneath each part, summed from the bottom up so that it is exactly nothing beneath the last one
        let mut room = ZERO;
        for ((layer, parts), beneath) in self.layers.iter().zip(&self.parts).zip(&mut self.beneath).rev() {
            for (part, beneath) in parts.iter().zip(beneath).rev() {
                *beneath = room;
                for l in 0..LANES {
                    room[l] += (capacity(layer)[l] * part.thickness_mm[l] - part.water_mm[l]).max(0.0);
                }
            }
        }
        let mut carried = ZERO;
        for ((layer, parts), beneath) in self.layers.iter().zip(&mut self.parts).zip(&self.beneath) {
            for (part, beneath) in parts.iter_mut().zip(beneath) {
                for l in 0..LANES {
                    let held = part.water_mm[l] + carried[l];
                    let excess = (held - capacity(layer)[l] * part.thickness_mm[l]).max(0.0);
                    let down = smaller(smaller(excess, DAY_H * layer.k_mm_h[l]), beneath[l]);
                    part.water_mm[l] = held - down;
                    carried[l] = down;
                }
            }
        }
    }

    /// Excess X above field capacity drains as X exp(-t/T), T = Z (saturation - field capacity) / K with K the
    /// smallest conductivity from here down, and never faster than K.
    #[inline(always)]
    fn drain(&mut self, deep: &mut Lane) {
        let mut carried = ZERO;
        for ((layer, parts), stays) in self.layers.iter().zip(&mut self.parts).zip(&mut self.stays) {
            let stays = stays.of(layer, parts);
            for (part, stays) in parts.iter_mut().zip(stays) {
                for l in 0..LANES {
                    let held = part.water_mm[l] + carried[l];
                    let excess = (held - layer.field_capacity[l] * part.thickness_mm[l]).max(0.0);
                    let down = smaller(excess * (1.0 - stays[l]), DAY_H * layer.k_below_mm_h[l]);
                    part.water_mm[l] = held - down;
                    carried[l] = down;
                }
            }
        }
        *deep = carried;
    }

    /// What stands above saturation is pushed back up, and out of the surface as runoff.
    #[inline(always)]
    fn push_up(&mut self) -> Lane {
        let mut carried = ZERO;
        for (layer, parts) in self.layers.iter().zip(&mut self.parts).rev() {
            for part in parts.iter_mut().rev() {
                for l in 0..LANES {
                    let held = part.water_mm[l] + carried[l];
                    let over = (held - layer.saturation[l] * part.thickness_mm[l]).max(0.0);
                    part.water_mm[l] = held - over;
                    carried[l] = over;
                }
            }
        }
        carried
    }

    /// Depletion (0 to TAW), excess and air of the root zone, read from the state.
    #[inline(always)]
    pub(crate) fn report(&self, out: &mut Outcome) {
        let (mut depletion, mut excess, mut taw, mut air, mut volume) = (ZERO, ZERO, ZERO, ZERO, ZERO);
        for (layer, [rooted, _]) in self.layers.iter().zip(&self.parts) {
            for l in 0..LANES {
                let wilting = layer.wilting_point[l] * rooted.thickness_mm[l];
                let capacity = layer.field_capacity[l] * rooted.thickness_mm[l];
                depletion[l] += capacity - held_between(rooted.water_mm[l], wilting, capacity);
                excess[l] += (rooted.water_mm[l] - capacity).max(0.0);
                taw[l] += capacity - wilting;
                air[l] += layer.saturation[l] * rooted.thickness_mm[l] - rooted.water_mm[l];
                volume[l] += layer.fine_earth[l] * rooted.thickness_mm[l];
            }
        }
        for l in 0..LANES {
            out.depletion_mm[l] = smaller(depletion[l], taw[l]);
            out.excess_mm[l] = excess[l];
            out.taw_mm[l] = taw[l];
            out.air_filled[l] = air[l] / volume[l];
        }
    }

    /// Water in the whole profile.
    pub(crate) fn stored(&self) -> Lane {
        let mut sum = ZERO;
        for parts in &self.parts {
            for part in parts {
                for l in 0..LANES {
                    sum[l] += part.water_mm[l];
                }
            }
        }
        sum
    }
}
