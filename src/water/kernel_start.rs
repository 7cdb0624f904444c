//! The ledgers of a block on their first morning, from its columns.

#![allow(clippy::indexing_slicing, clippy::needless_range_loop)] // lanes are fixed arrays

use super::column::Column;
use super::kernel::{LANES, Lane, MM, Surface, ZERO};
use super::kernel_block::Ledger;
use super::kernel_layered::{Layer, Layered, Part, Stays};
use super::kernel_printed::Printed;
use super::season::Form;
use crate::error::Result;
use crate::soil::Soil;

/// FAO-56 wants REW below TEW; the surface layer of a transplant is so thin that the soil's REW can exceed it.
const LARGEST_REW_SHARE: f64 = 0.9;

pub(super) fn build(columns: &[Column<'_>], form: Form) -> Result<Ledger> {
    match form {
        Form::Layered => Ok(Ledger::Layered(layered(columns)?)),
        Form::Printed { drain_first } => Ok(Ledger::Printed(printed(columns, drain_first)?)),
    }
}

/// A lane of `value` over the columns; idle lanes repeat the last column.
pub(super) fn lanes(columns: &[Column<'_>], value: impl Fn(usize, &Column<'_>) -> Result<f64>) -> Result<Lane> {
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
            fine_earth: lanes(columns, |l, c| Ok(soil(l, c)?.fine_earth_fraction()))?,
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
    Ok(Layered {
        surface: surface(columns, surface_depth_m)?,
        stays: vec![Stays::UNKNOWN; count],
        beneath: vec![[ZERO; 2]; count],
        layers,
        parts,
    })
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
        air_at_capacity: lanes(columns, |_, c| Ok(c.profile.top().saturation() - c.profile.top().field_capacity()))?,
        fine_earth: lanes(columns, |_, c| Ok(c.profile.top().fine_earth_fraction()))?,
        wetted: lanes(columns, |_, c| Ok(c.wetted_fraction))?,
        surface,
        holding,
        drain_first,
        root_depth_mm,
        dr_mm,
        de_mm,
    })
}
