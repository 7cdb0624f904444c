//! Positions to choose from: made, kept off forbidden ground, tied to a hydrant, given their flow, turned to an edge.

use super::Field;
use super::request::{HoseRun, MOST_POSITIONS, PlaceRequest, Positions, Supply};
use super::{PLACING, SLICE};
use crate::bounds;
use crate::control::Control;
use crate::error::{Error, Result};
use crate::geom::radial::edges;
use crate::geom::{Arc, Polygon, Xy, bearing_vector, check_position, dot, length, minus};
use crate::hydraulics::{Hose, HoseInput, System, SystemInput, duty_point};
use crate::num::atan2;
use crate::sprinkler::{Set, water_within_l};
use std::collections::HashMap;

/// Positions that `Anywhere` makes at the most, and its finest spacing as a share of the radius.
const ANYWHERE: (f64, f64) = (400.0, 0.125);
/// A share of the flow below which ground that must stay dry is dry: rounding of the areas.
const DRY: f64 = 1e-9;

/// One position with one arc.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Candidate {
    /// One minute there.
    pub set: Set,
    /// The hydrant it hangs on.
    pub hydrant: Option<usize>,
    /// Hose from there, m.
    pub hose_m: f64,
}

/// The positions, and how many were left out for what they would wet or because the pump does not reach.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Candidates {
    pub list: Vec<Candidate>,
    pub left_out: usize,
    /// Spacing of the grid that was made, m.
    pub made_spacing_m: Option<f64>,
}

pub(super) fn candidates(request: &PlaceRequest, control: &Control) -> Result<Candidates> {
    let mut out = Candidates::default();
    let places = places(request, &mut out.made_spacing_m, control)?;
    let reached = reached(request, &places)?;
    let mut flows = Flows { request, known: HashMap::new(), fault: None };
    for (at, hydrant, hose_m) in reached {
        control.go_on(PLACING)?;
        let Some((flow, radius)) = flows.at(hose_m)? else {
            out.left_out += 1;
            continue;
        };
        let plain = Set { flow_l_min: flow, radius_m: radius, ..Set::new(at, 1.0) };
        let reach = radius.unwrap_or(request.sprinkler.radius_m());
        for arc in std::iter::once(None).chain(inward(&request.field.outline, at, reach, request).into_iter().map(Some)) {
            let set = Set { arc, ..plain };
            if stays_dry(request, &set)? {
                out.list.push(Candidate { set, hydrant, hose_m });
            } else {
                out.left_out += 1;
            }
        }
        check_count(out.list.len())?;
    }
    match (out.list.is_empty(), flows.fault) {
        (true, Some(fault)) => Err(fault),
        (true, None) => Err(Error::infeasible(
            format!("none of {} positions keeps the ground dry that must stay dry", out.left_out),
            "Allow part circles (`edge_arcs_deg`), positions farther from it, or a smaller radius.",
        )),
        (false, _) => Ok(out),
    }
}

fn check_count(n: usize) -> Result<()> {
    if n <= MOST_POSITIONS {
        return Ok(());
    }
    Err(Error::inconsistent(
        format!("{n} positions or more are more than `place` takes ({MOST_POSITIONS})"),
        "Take a wider spacing of positions, or place block by block.",
    ))
}

fn places(request: &PlaceRequest, made_spacing_m: &mut Option<f64>, control: &Control) -> Result<Vec<Xy>> {
    let field = &request.field;
    let all = match &request.positions {
        Positions::Anywhere => {
            let [most, finest] = <[f64; 2]>::from(ANYWHERE);
            let spacing = (field.outline.area_m2() / most).sqrt().max(finest * request.sprinkler.radius_m());
            *made_spacing_m = Some(spacing);
            grid(field, spacing, request.row_direction_deg)?
        }
        Positions::Grid { spacing_m, facing_deg } => {
            let spacing = bounds::SET_SPACING_M.named("spacing_m").check(*spacing_m)?;
            grid(field, spacing, bounds::BEARING_DEG.check(*facing_deg)?)?
        }
        Positions::Alleys { lines, step_m } => alleys(lines, *step_m)?,
        Positions::Given(places) => {
            if places.is_empty() {
                return Err(Error::missing("positions", "Give at least one position, or \"anywhere\"."));
            }
            for (i, &at) in places.iter().enumerate() {
                check_position(at).map_err(|e| e.at(format!("positions[{i}]")))?;
            }
            places.clone()
        }
    };
    let given = matches!(request.positions, Positions::Given(_));
    let free = |at: &Xy| if given { !field.keep_out.iter().chain(&field.stay_dry).any(|a| a.contains(*at)) } else { field.may_stand(*at) };
    let mut kept = Vec::new();
    for slice in all.chunks(SLICE) {
        control.go_on(PLACING)?;
        kept.extend(slice.iter().copied().filter(free));
    }
    check_count(kept.len())?;
    if kept.is_empty() {
        return Err(Error::infeasible(
            format!("the sprinkler may stand at none of {} positions", all.len()),
            "Give positions inside the outline and off the areas to keep out of, or a finer spacing.",
        ));
    }
    Ok(kept)
}

/// A square grid whose lines run in a direction, centered in the field's extent.
fn grid(field: &Field, spacing: f64, facing_deg: f64) -> Result<Vec<Xy>> {
    let along = bearing_vector(facing_deg);
    let across = [along[1], -along[0]];
    let span = |axis: Xy| {
        let places = field.outline.outline().iter().map(|&p| dot(p, axis));
        places.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (f64::min(lo, v), f64::max(hi, v)))
    };
    let ((u0, u1), (v0, v1)) = (span(across), span(along));
    let count = |lo: f64, hi: f64| ((hi - lo) / spacing).floor().max(1.0);
    let (nu, nv) = (count(u0, u1), count(v0, v1));
    if nu * nv > 100.0 * MOST_POSITIONS as f64 {
        check_count((nu * nv) as usize)?;
    }
    let from = |lo: f64, hi: f64, n: f64| 0.5 * (lo + hi) - 0.5 * (n - 1.0) * spacing;
    let (u, v) = (from(u0, u1, nu), from(v0, v1, nv));
    let point = |i: usize, j: usize| {
        let (u, v) = (u + i as f64 * spacing, v + j as f64 * spacing);
        [u * across[0] + v * along[0], u * across[1] + v * along[1]]
    };
    Ok((0..nv as usize).flat_map(|j| (0..nu as usize).map(move |i| (i, j))).map(|(i, j)| point(i, j)).collect())
}

fn alleys(lines: &[Vec<Xy>], step_m: f64) -> Result<Vec<Xy>> {
    let step = bounds::SET_SPACING_M.named("step_m").check(step_m)?;
    let mut out = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        for (k, &at) in line.iter().enumerate() {
            check_position(at).map_err(|e| e.at(format!("alley {}, corner {}", i + 1, k + 1)))?;
        }
        let legs: Vec<(Xy, Xy, f64)> = line.iter().zip(line.iter().skip(1)).map(|(&a, &b)| (a, b, length(minus(b, a)))).collect();
        let whole: f64 = legs.iter().map(|leg| leg.2).sum();
        if whole <= 0.0 {
            return Err(Error::inconsistent(format!("alley {} has no length", i + 1), "Give two different corners or more."));
        }
        let steps = (whole / step).ceil().max(1.0);
        check_count(out.len() + steps as usize)?;
        for k in 0..=steps as usize {
            let mut rest = whole * k as f64 / steps;
            for (at, &(a, b, size)) in legs.iter().enumerate() {
                if rest <= size || at + 1 == legs.len() {
                    let share = if size > 0.0 { (rest / size).min(1.0) } else { 0.0 };
                    out.push([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]);
                    break;
                }
                rest -= size;
            }
        }
    }
    Ok(out)
}

/// Length of hose between two places, m.
pub(super) fn run_m(request: &PlaceRequest, from: Xy, to: Xy) -> f64 {
    let off = minus(to, from);
    match request.hose_run {
        HoseRun::Straight => length(off),
        HoseRun::AlongRows => {
            let along = bearing_vector(request.row_direction_deg);
            dot(off, along).abs() + dot(off, [along[1], -along[0]]).abs()
        }
    }
}

/// Places that a hose reaches, each with its nearest hydrant of those that reach.
fn reached(request: &PlaceRequest, places: &[Xy]) -> Result<Vec<(Xy, Option<usize>, f64)>> {
    if request.hydrants.is_empty() {
        return Ok(places.iter().map(|&at| (at, None, 0.0)).collect());
    }
    let nearest = |&at: &Xy| {
        let runs = request.hydrants.iter().enumerate().map(|(h, hydrant)| (h, run_m(request, hydrant.at(), at), hydrant.hose_m));
        let within = runs.filter(|(_, run, hose)| run <= hose).min_by(|a, b| a.1.total_cmp(&b.1));
        within.map(|(h, run, _)| (at, Some(h), run))
    };
    let reached: Vec<_> = places.iter().filter_map(nearest).collect();
    if !reached.is_empty() {
        return Ok(reached);
    }
    let short = request.hydrants.iter().enumerate().map(|(h, hydrant)| {
        let near = places.iter().map(|&at| run_m(request, hydrant.at(), at)).fold(f64::INFINITY, f64::min);
        let name = hydrant.name.clone().map_or_else(|| format!("hydrant {}", h + 1), |name| format!("hydrant \"{name}\""));
        format!("{name} with {} m of hose is {:.1} m short of the nearest", hydrant.hose_m, near - hydrant.hose_m)
    });
    Err(Error::infeasible(
        format!("no position is within reach: {}", short.collect::<Vec<_>>().join("; ")),
        "Lay more hose, add a hydrant, or allow positions nearer to one.",
    ))
}

/// Flow and radius by length of hose: none if they are the sprinkler's own.
struct Flows<'a> {
    request: &'a PlaceRequest,
    known: HashMap<u64, Option<f64>>,
    fault: Option<Error>,
}

impl Flows<'_> {
    /// Flow and radius, or none where the pump does not reach.
    fn at(&mut self, hose_m: f64) -> Result<Option<(Option<f64>, Option<f64>)>> {
        let Some(supply) = &self.request.supply else { return Ok(Some((None, None))) };
        let laid = supply.section_m.map(|section| (hose_m / section).ceil().max(1.0) * section);
        let key = laid.map_or(0, f64::to_bits);
        let flow = match self.known.get(&key) {
            Some(flow) => *flow,
            None => {
                let flow = match flow_through(supply, laid) {
                    Ok(flow) => Some(flow),
                    Err(e) if e.is_infeasible() => {
                        self.fault.get_or_insert(e);
                        None
                    }
                    Err(e) => return Err(e),
                };
                self.known.insert(key, flow);
                flow
            }
        };
        let gun = &self.request.sprinkler;
        Ok(flow.map(|flow| (Some(flow), Some(gun.radius_m() * flow / gun.flow_l_min()))))
    }
}

fn flow_through(supply: &Supply, laid_m: Option<f64>) -> Result<f64> {
    let input = supply.system.input();
    let mut hose = input.hose.clone();
    if let (Some(length_m), Some(last)) = (laid_m, hose.last_mut()) {
        *last = Hose::new(HoseInput { length_m, ..last.input().clone() })?;
    }
    Ok(duty_point(&System::new(SystemInput { hose, ..input.clone() })?)?.flow_l_min)
}

/// Part circles that look away from an edge in reach.
fn inward(outline: &Polygon, at: Xy, reach_m: f64, request: &PlaceRequest) -> Vec<Arc> {
    if request.edge_arcs_deg.is_empty() {
        return Vec::new();
    }
    let mut nearest = (f64::INFINITY, [0.0, 1.0]);
    for (a, b) in outline.rings().flat_map(edges) {
        let (along, off) = (minus(b, a), minus(at, a));
        let share = (dot(off, along) / dot(along, along)).clamp(0.0, 1.0);
        let away = [off[0] - share * along[0], off[1] - share * along[1]];
        let distance = length(away);
        if distance < nearest.0 {
            // on the edge itself, inside is to its left
            nearest = (distance, if distance > 1e-6 { away } else { [-along[1], along[0]] });
        }
    }
    if nearest.0 >= reach_m {
        return Vec::new();
    }
    let [east, north] = nearest.1;
    let bearing = atan2(east, north).to_degrees();
    let facing = if bearing < 0.0 { bearing + 360.0 } else { bearing };
    let narrower = request.edge_arcs_deg.iter().filter(|w| **w < request.sprinkler.arc().arc_deg());
    narrower.filter_map(|&width| Arc::new(facing.min(360.0), width).ok()).collect()
}

fn stays_dry(request: &PlaceRequest, set: &Set) -> Result<bool> {
    let flow = set.flow_l_min.unwrap_or(request.sprinkler.flow_l_min());
    for area in &request.field.stay_dry {
        if water_within_l(&request.sprinkler, set, area)? > DRY * flow {
            return Ok(false);
        }
    }
    Ok(true)
}
