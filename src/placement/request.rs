//! What is asked: field, sprinkler, trees and depth, and everything that may be said beside it.

use super::Field;
use super::field::Depth;
use crate::bounds;
use crate::control::Control;
use crate::error::{Error, Result};
use crate::geom::{Xy, check_position};
use crate::hydraulics::System;
use crate::sprinkler::Sprinkler;
use crate::words::words;
use serde::{Deserialize, Serialize};

/// Most trees that [`place`](super::place) takes.
pub const MOST_TREES: usize = 20_000;
/// Most positions with their arcs that [`place`](super::place) takes.
pub const MOST_POSITIONS: usize = 2_000;
/// Most pairs of a tree and a position that wets it.
pub const MOST_PAIRS: usize = 4_000_000;

/// Where the sprinkler may stand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Positions {
    /// Anywhere in the field: on a square grid, as fine as 400 positions allow and no finer than an eighth of the radius.
    Anywhere,
    /// On a square grid.
    Grid {
        /// Spacing, m.
        spacing_m: f64,
        /// Direction of its lines, compass degrees.
        #[serde(default)]
        facing_deg: f64,
    },
    /// Along alleys, at equal steps.
    Alleys {
        /// Each alley by its corners, two or more.
        lines: Vec<Vec<Xy>>,
        /// Largest step, m.
        step_m: f64,
    },
    /// At these places.
    Given(Vec<Xy>),
}

/// An outlet with its hose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Hydrant {
    /// East of the origin, m.
    pub x_m: f64,
    /// North of the origin, m.
    pub y_m: f64,
    /// Hose that can be laid from it, m.
    pub hose_m: f64,
    /// Its name, if it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
}

impl Hydrant {
    /// A hydrant at `at` with so much hose.
    pub fn new([x_m, y_m]: Xy, hose_m: f64) -> Self {
        Self { x_m, y_m, hose_m, name: None }
    }

    /// Where it stands.
    pub fn at(&self) -> Xy {
        [self.x_m, self.y_m]
    }
}

words! {
    /// How the hose runs from the hydrant.
    #[derive(Default)]
    pub enum HoseRun: "hose run" {
        /// The straight line.
        #[default]
        Straight = "straight",
        /// Across the rows on a headland, then down an alley: the two legs of a right angle in the direction of the rows.
        AlongRows = "along_rows" | "alleys",
    }
}

/// Pump, hoses and nozzle: the flow at each position comes from the duty point there.
///
/// The last hose is taken as long as the run to the position, in whole sections; the radius changes as the flow does
/// (both go with the square root of the pressure).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Supply {
    /// Pump, hoses and nozzle. Its last hose is the one that is moved.
    pub system: System,
    /// Length of a section of the last hose, m; none if all of it lies out whatever the distance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub section_m: Option<f64>,
}

/// What counts beside minutes, in minutes of work: our judgment, to be replaced by the farm's own.
///
/// A cubic meter takes 3.3 min to pump at 300 L/min; water that goes where it helps nobody counts about once more.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(default, deny_unknown_fields)]
pub struct Prices {
    /// For each minute that the pump runs.
    pub pump_min: f64,
    /// For each cubic meter that sinks past the roots of trees.
    pub drained_min_per_m3: f64,
    /// For each cubic meter that falls beside the block.
    pub beside_min_per_m3: f64,
    /// For each cubic meter that falls on a keep-out area, beside the price above.
    pub keep_out_min_per_m3: f64,
    /// For each mm that a tree lacks which could have it. High, so that trees are left short only where caps forbid more
    /// or where the last trees cost hours.
    pub short_min_per_mm: f64,
}

impl Default for Prices {
    fn default() -> Self {
        Self { pump_min: 1.0, drained_min_per_m3: 3.0, beside_min_per_m3: 3.0, keep_out_min_per_m3: 10.0, short_min_per_mm: 100.0 }
    }
}

/// The whole question. [`PlaceRequest::new`] takes what must be given; the rest has defaults.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PlaceRequest {
    /// The ground.
    pub field: Field,
    /// The sprinkler, with wind and spray loss; its flow and radius hold where `supply` says nothing else.
    pub sprinkler: Sprinkler,
    /// The trees, m.
    pub trees_xy_m: Vec<Xy>,
    /// Depth that each tree should get, mm: 0.8 to 0.9 of what its ground lacks leaves room for unevenness.
    pub target_mm: Depth,
    /// Depth that the ground of each tree can hold, mm; more sinks past its roots. None: the target over 0.85.
    #[serde(default)]
    pub hold_mm: Option<Depth>,
    /// Depth that no tree may get more of, mm (wet feet); none for no such limit.
    #[serde(default)]
    pub cap_mm: Option<Depth>,
    /// Depth that no single set may bring to any tree, mm, so that nothing runs off; none for no such limit.
    #[serde(default)]
    pub per_set_mm: Option<Depth>,
    /// Names of the trees, such as row and number; empty, or one for each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub labels: Vec<String>,
    /// Ground that one tree stands for when water past its roots is counted, m²; none: the block's area over its trees.
    #[serde(default)]
    pub ground_m2: Option<f64>,
    /// Where the sprinkler may stand.
    #[serde(default = "anywhere")]
    pub positions: Positions,
    /// Outlets; empty if every position can be reached.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hydrants: Vec<Hydrant>,
    /// How the hose runs.
    #[serde(default)]
    pub hose_run: HoseRun,
    /// Direction of the rows, compass degrees, for a hose along rows.
    #[serde(default)]
    pub row_direction_deg: f64,
    /// Pump and hoses, if flow and radius are to follow from them.
    #[serde(default)]
    pub supply: Option<Supply>,
    /// Widths of part circles that may be set near an edge, facing inwards, degrees; empty for the sprinkler's own arc alone.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub edge_arcs_deg: Vec<f64>,
    /// Work of moving to a position and starting there, min.
    #[serde(default = "move_min")]
    pub move_min: f64,
    /// Longest time at one position, min.
    #[serde(default = "longest_min")]
    pub longest_min: f64,
    /// Prices.
    #[serde(default)]
    pub prices: Prices,
    /// Seed of the search.
    #[serde(default)]
    pub seed: u64,
    /// Work limit: sets of positions whose minutes are solved. More may find a better plan.
    #[serde(default = "work")]
    pub work: u64,
    /// Threads for the footprints; none for one on each core. The answer does not depend on it.
    #[serde(default)]
    pub n_threads: Option<usize>,
}

fn anywhere() -> Positions {
    Positions::Anywhere
}
fn move_min() -> f64 {
    20.0
}
fn longest_min() -> f64 {
    240.0
}
fn work() -> u64 {
    600
}

impl PlaceRequest {
    /// The question with all defaults: positions anywhere, no hydrant, moves of 20 min, sets of at most 4 h.
    pub fn new(field: Field, sprinkler: Sprinkler, trees_xy_m: Vec<Xy>, target_mm: impl Into<Depth>) -> Self {
        Self {
            field,
            sprinkler,
            trees_xy_m,
            target_mm: target_mm.into(),
            hold_mm: None,
            cap_mm: None,
            per_set_mm: None,
            labels: Vec::new(),
            ground_m2: None,
            positions: anywhere(),
            hydrants: Vec::new(),
            hose_run: HoseRun::default(),
            row_direction_deg: 0.0,
            supply: None,
            edge_arcs_deg: Vec::new(),
            move_min: move_min(),
            longest_min: longest_min(),
            prices: Prices::default(),
            seed: 0,
            work: work(),
            n_threads: None,
        }
    }

    /// Name of a tree: its label, or its number from 1.
    pub fn tree_name(&self, tree: usize) -> String {
        self.labels.get(tree).cloned().unwrap_or_else(|| format!("tree {}", tree + 1))
    }

    /// Everything but the depths, which are checked where they are spread over the trees.
    pub(super) fn check(&self, control: &Control) -> Result<()> {
        let n = self.trees_xy_m.len();
        if n > MOST_TREES {
            return Err(Error::inconsistent(
                format!("{n} trees are more than `place` takes ({MOST_TREES})"),
                "Place the sprinkler block by block; `apply` gives depths at any number of points.",
            ));
        }
        self.field.check_trees(&self.trees_xy_m, control)?;
        let mut problems = Vec::new();
        let mut note = |checked: Result<f64>| problems.extend(checked.err());
        note(bounds::MOVE_MIN.check(self.move_min));
        note(bounds::LONGEST_MIN.check(self.longest_min));
        note(bounds::BEARING_DEG.named("row_direction_deg").check(self.row_direction_deg));
        if let Some(ground) = self.ground_m2 {
            note(bounds::AREA_M2.named("ground_m2").check(ground));
        }
        let p = &self.prices;
        for (name, price) in [
            ("pump_min", p.pump_min),
            ("drained_min_per_m3", p.drained_min_per_m3),
            ("beside_min_per_m3", p.beside_min_per_m3),
            ("keep_out_min_per_m3", p.keep_out_min_per_m3),
            ("short_min_per_mm", p.short_min_per_mm),
        ] {
            note(bounds::WORK_PRICE.named(name).check(price));
        }
        for &arc in &self.edge_arcs_deg {
            note(bounds::ARC_DEG.named("edge_arcs_deg").check(arc));
        }
        if let Some(section) = self.supply.as_ref().and_then(|s| s.section_m) {
            note(bounds::SET_SPACING_M.named("section_m").check(section));
        }
        for (i, hydrant) in self.hydrants.iter().enumerate() {
            let place = || format!("hydrants[{i}]");
            problems.extend(check_position(hydrant.at()).err().map(|e| e.at(place())));
            problems.extend(bounds::LENGTH_M.named("hose_m").check(hydrant.hose_m).err().map(|e| e.at(place())));
        }
        if !self.labels.is_empty() && self.labels.len() != n {
            problems.push(Error::inconsistent(
                format!("{} labels were given for {n} trees", self.labels.len()),
                "Give one for each tree, or none.",
            ));
        }
        Error::several(problems).map_or(Ok(()), Err)
    }
}
