//! The ground: outline, where nobody may stand, what must stay dry.

use super::{PLACING, SLICE};
use crate::bounds;
use crate::control::Control;
use crate::error::{Error, Result};
use crate::geom::{Polygon, Xy, check_position};
use serde::{Deserialize, Serialize};

/// A block or a whole field in local meters.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Field {
    /// Outline with its holes. The sprinkler stands inside; water that falls outside is waste.
    pub outline: Polygon,
    /// Areas in which the sprinkler may not stand. Water that falls there is waste, at a price of its own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub keep_out: Vec<Polygon>,
    /// Areas that no drop may reach, such as a road or a power line: positions and arcs that would wet them are left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stay_dry: Vec<Polygon>,
}

impl Field {
    /// An outline without special areas.
    pub fn new(outline: Polygon) -> Self {
        Self { outline, keep_out: Vec::new(), stay_dry: Vec::new() }
    }

    /// May the sprinkler stand here?
    pub fn may_stand(&self, at: Xy) -> bool {
        self.outline.contains(at) && !self.keep_out.iter().chain(&self.stay_dry).any(|area| area.contains(at))
    }

    /// Every tree inside the outline, at a position that can be.
    pub(super) fn check_trees(&self, trees: &[Xy], control: &Control) -> Result<()> {
        if trees.is_empty() {
            return Err(Error::missing("trees_xy_m", "Give the position of one tree or more."));
        }
        for (i, &at) in trees.iter().enumerate() {
            check_position(at).map_err(|e| e.at(format!("trees_xy_m[{i}]")))?;
        }
        let mut outside: Vec<(usize, Xy)> = Vec::new();
        for (k, slice) in trees.chunks(SLICE).enumerate() {
            control.go_on(PLACING)?;
            let here = slice.iter().copied().enumerate().filter(|(_, at)| !self.outline.contains(*at));
            outside.extend(here.map(|(i, at)| (k * SLICE + i, at)));
        }
        let Some(&(first, [x, y])) = outside.first() else { return Ok(()) };
        let count = match outside.len() {
            1 => "1 tree stands".to_string(),
            n => format!("{n} trees stand"),
        };
        Err(Error::inconsistent(
            format!(
                "{count} outside the outline: trees_xy_m[{first}] at ({x:.1}, {y:.1}) is {:.1} m from its edge",
                self.outline.edge_distance_m([x, y])
            ),
            "Widen the outline, or leave the tree out; check that all positions have the same origin.",
        ))
    }
}

/// A depth for all trees, or one for each, mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(untagged)]
pub enum Depth {
    /// The same for all.
    Same(f64),
    /// One for each tree, in the order of the trees.
    Each(Vec<f64>),
}

impl From<f64> for Depth {
    fn from(mm: f64) -> Self {
        Depth::Same(mm)
    }
}

impl From<Vec<f64>> for Depth {
    fn from(mm: Vec<f64>) -> Self {
        Depth::Each(mm)
    }
}

impl Depth {
    /// One checked value for each of `n` trees.
    pub(super) fn each(&self, name: &'static str, n: usize) -> Result<Vec<f64>> {
        match self {
            Depth::Same(mm) => Ok(vec![bounds::DEPTH_MM.named(name).check(*mm)?; n]),
            Depth::Each(mm) if mm.len() != n => Err(Error::inconsistent(
                format!("{name} has {} values for {n} trees", mm.len()),
                "Give one depth for all trees, or one for each.",
            )),
            Depth::Each(mm) => {
                mm.iter().enumerate().map(|(i, v)| bounds::DEPTH_MM.named(name).check(*v).map_err(|e| e.at_index(i, 0))).collect()
            }
        }
    }
}
