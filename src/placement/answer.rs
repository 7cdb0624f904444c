//! The plan: sets in walking order, what each tree gets, what it costs and what no plan can undercut.

use super::PlaceRequest;
use super::check::ROUND_OFF;
use super::model::Why;
use crate::assumption::Assumed;
use crate::error::{Error, Result};
use crate::explain::Step;
use crate::json;
use crate::sprinkler::{Set, Uniformity};
use crate::units::{System, show};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Version of [`Placement`].
pub(super) const SCHEMA: u32 = 1;

/// Where the sprinkler stands, for how long, and what comes of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Placement {
    /// Version of this layout.
    pub schema: u32,
    /// Positions and minutes, in walking order.
    pub sets: Vec<Set>,
    /// For each set the index of its hydrant; none without hydrants.
    pub hydrants: Vec<Option<usize>>,
    /// For each set the hose from its hydrant, m.
    pub hose_m: Vec<f64>,
    /// Depth at each tree, mm.
    pub depths_mm: Vec<f64>,
    /// Trees that do not get their target.
    pub short: Vec<Short>,
    /// What the plan costs.
    pub cost: Cost,
    /// No plan with these positions costs less, min of work; none if nothing could be proven.
    pub bound_min: Option<f64>,
    /// Share of the cost that might still be saved: (cost - bound) / cost.
    pub gap: Option<f64>,
    /// Where the water goes.
    pub water: Water,
    /// Evenness over the trees; none if all stay dry.
    pub over_trees: Option<Uniformity>,
    /// Evenness over the ground of the block; none if all of it stays dry.
    pub over_ground: Option<Uniformity>,
    /// Way that the end of the hose is dragged from the hydrants over all sets, m.
    pub dragged_m: f64,
    /// Positions, arcs counted, that the sets were chosen from.
    pub positions: usize,
    /// Positions left out for what they would wet or because the pump does not reach.
    pub left_out: usize,
    /// Linear programs that the search solved.
    pub solved: u64,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

/// A tree that does not get its target.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Short {
    /// Index of the tree.
    pub tree: usize,
    /// Its label or number.
    pub name: String,
    /// What it gets, mm.
    pub depth_mm: f64,
    /// What it lacks of its target, mm.
    pub missing_mm: f64,
    /// Why.
    pub why: Why,
}

/// What a plan costs, min of work.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Cost {
    /// Minutes that the sprinkler runs.
    pub pump_min: f64,
    /// Minutes of moving.
    pub move_min: f64,
    /// Running minutes at their price.
    pub priced_pump_min: f64,
    /// Price of water beside the block and on areas to keep out of.
    pub stray_min: f64,
    /// Price of water past roots.
    pub drained_min: f64,
    /// Price of what reachable trees lack.
    pub short_min: f64,
    /// What the plan makes least: all but the first.
    pub total_min: f64,
}

/// Where the water goes, L.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Water {
    /// Pumped.
    pub pumped_l: f64,
    /// Lost as spray.
    pub spray_l: f64,
    /// Landed on the block.
    pub on_block_l: f64,
    /// Landed beside the block.
    pub beside_l: f64,
    /// Landed on areas to keep out of, wherever these lie.
    pub keep_out_l: f64,
    /// Sunk past the roots of trees, each tree standing for its share of the ground.
    pub drained_l: f64,
    /// Share of the pumped water that fell beside the block or sank past roots.
    pub waste: f64,
}

fn altered(what: String) -> Error {
    Error::inconsistent(format!("this placement was altered: {what}"), "Place the sprinkler anew.")
}

impl Placement {
    /// Positions of the sets, m.
    pub fn sets_xy_m(&self) -> Vec<[f64; 2]> {
        self.sets.iter().map(|s| [s.x_m, s.y_m]).collect()
    }

    /// Minutes of the sets.
    pub fn minutes(&self) -> Vec<f64> {
        self.sets.iter().map(|s| s.minutes).collect()
    }

    /// As JSON; every number comes back bit for bit.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn to_json(&self) -> Result<String> {
        json::write(self)
    }

    /// From [`Placement::to_json`]'s text, of this version or an older one.
    ///
    /// # Errors
    /// Text that is no placement, of a newer version, or whose numbers contradict each other.
    pub fn from_json(text: &str) -> Result<Self> {
        let plan: Self = json::read(text, "placement", SCHEMA)?;
        plan.sound()?;
        Ok(plan)
    }

    /// Does the plan answer this request: depths by the sprinkler, targets, caps, hoses, positions?
    ///
    /// # Errors
    /// What does not fit.
    pub fn check(&self, request: &PlaceRequest) -> Result<()> {
        self.sound()?;
        if self.depths_mm.len() != request.trees_xy_m.len() {
            return Err(altered(format!("it has {} trees, and the request {}", self.depths_mm.len(), request.trees_xy_m.len())));
        }
        super::check::check(request, self).map_err(|e| altered(e.to_string()))
    }

    /// Numbers that are what they say, whatever the request was.
    fn sound(&self) -> Result<()> {
        let n = self.sets.len();
        if self.hydrants.len() != n || self.hose_m.len() != n {
            return Err(altered(format!("{n} sets have {} hydrants and {} hoses", self.hydrants.len(), self.hose_m.len())));
        }
        if let Some(set) = self.sets.iter().find(|s| !(s.minutes > 0.0 && s.minutes.is_finite() && s.x_m.is_finite() && s.y_m.is_finite()))
        {
            return Err(altered(format!("a set at ({}, {}) runs {} min", set.x_m, set.y_m, set.minutes)));
        }
        if let Some(depth) = self.depths_mm.iter().find(|d| !(d.is_finite() && **d >= 0.0)) {
            return Err(altered(format!("a tree gets {depth} mm")));
        }
        if let Some(short) = self.short.iter().find(|s| s.tree >= self.depths_mm.len()) {
            return Err(altered(format!("tree {} is short, of {} trees", short.tree + 1, self.depths_mm.len())));
        }
        let c = &self.cost;
        let near = |a: f64, b: f64| (a - b).abs() <= ROUND_OFF * a.abs().max(b.abs()).max(1.0);
        let pump: f64 = self.sets.iter().map(|s| s.minutes).sum();
        if !near(c.pump_min, pump) {
            return Err(altered(format!("its sets run {pump} min, and its cost says {}", c.pump_min)));
        }
        let total = c.move_min + c.priced_pump_min + c.stray_min + c.drained_min + c.short_min;
        if !near(c.total_min, total) {
            return Err(altered(format!("its parts cost {total}, and it says {}", c.total_min)));
        }
        if self.bound_min.is_some_and(|bound| bound.is_nan() || bound > c.total_min * (1.0 + ROUND_OFF)) {
            return Err(altered(format!("its cost of {} lies below its bound", c.total_min)));
        }
        Ok(())
    }

    /// The cost taken apart.
    pub fn explain(&self) -> Vec<Step> {
        let c = &self.cost;
        let sets = self.sets.len() as f64;
        let each = if self.sets.is_empty() { 0.0 } else { c.move_min / sets };
        let mut steps = vec![
            Step::new("pump time", "sum of the minutes of all sets", c.pump_min, "min", "the plan").from("sets", sets, ""),
            Step::new("move time", "sets x minutes for each move", c.move_min, "min", "the plan")
                .from("sets", sets, "")
                .from("move", each, "min"),
            Step::new(
                "stray water",
                "water beside the block and on areas to keep out of, at their prices",
                c.stray_min,
                "min",
                "exact areas under the profile",
            )
            .from("beside", self.water.beside_l / 1000.0, "m3")
            .from("on areas to keep out of", self.water.keep_out_l / 1000.0, "m3"),
            Step::new(
                "drained water",
                "what passes what the ground of each tree holds, at its price",
                c.drained_min,
                "min",
                "depths at the trees",
            )
            .from("drained", self.water.drained_l / 1000.0, "m3"),
            Step::new("short trees", "what reachable trees lack, at its price", c.short_min, "min", "depths at the trees"),
            Step::new("cost", "priced pump time + moves + stray + drained + short", c.total_min, "min", "the plan").from(
                "priced pump time",
                c.priced_pump_min,
                "min",
            ),
        ];
        if let (Some(bound), Some(gap)) = (self.bound_min, self.gap) {
            steps.push(
                Step::new(
                    "bound",
                    "each position judged alone under prices on what trees lack, earnings capped at their targets",
                    bound,
                    "min",
                    "Lagrangian relaxation",
                )
                .from("gap", gap, ""),
            );
        }
        steps
    }

    /// The plan in words.
    pub fn text(&self, units: System) -> String {
        let mut out = String::new();
        let mut line = |text: String| {
            out.push_str(&text);
            out.push('\n');
        };
        let c = &self.cost;
        let count = |n: usize, one: &str, many: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {many}") };
        line(format!(
            "{}: pump {} and moves {}, {} in all; hose dragged {}",
            count(self.sets.len(), "set", "sets"),
            show::minutes(c.pump_min),
            show::minutes(c.move_min),
            show::minutes(c.pump_min + c.move_min),
            show::length(self.dragged_m, units)
        ));
        for (k, set) in self.sets.iter().enumerate() {
            let arc =
                set.arc.map_or(String::new(), |a| format!(", {:.0} deg arc facing {:.0} deg", a.arc_deg(), a.facing_deg().round() % 360.0));
            let off = |m: f64, to: &str, back: &str| format!("{} {}", show::length(m.abs(), units), if m < 0.0 { back } else { to });
            let (east, north) = (off(set.x_m, "east", "west"), off(set.y_m, "north", "south"));
            line(format!("  {}. {east}, {north}: {}{arc}", k + 1, show::minutes(set.minutes)));
        }
        if let Some([low, middle, high]) = self.depth_range_mm() {
            line(format!(
                "depth at the trees: {} at the driest tenth, {} at the middle, {} at most",
                show::depth(low, units),
                show::depth(middle, units),
                show::depth(high, units)
            ));
        }
        let even = |u: &Option<Uniformity>| u.as_ref().map(|u| format!("CU {:.0} %, DU {:.0} %", u.cu_pct, u.du_pct));
        if let (Some(trees), Some(ground)) = (even(&self.over_trees), even(&self.over_ground)) {
            line(format!("evenness over trees {trees}; over the ground {ground}"));
        }
        let w = &self.water;
        line(format!(
            "water pumped {}: {} lost as spray, {} beside the block, {} past roots",
            show::volume(w.pumped_l, units),
            show::volume(w.spray_l, units),
            show::volume(w.beside_l, units),
            show::volume(w.drained_l, units)
        ));
        match (self.bound_min, self.gap) {
            (Some(bound), Some(gap)) => line(format!(
                "cost {:.0} min of work; no plan with these {} positions costs less than {bound:.0} min (gap {:.1} %)",
                c.total_min,
                self.positions,
                100.0 * gap
            )),
            _ => line(format!("cost {:.0} min of work; no bound", c.total_min)),
        }
        if !self.short.is_empty() {
            line(format!("{} short:", count(self.short.len(), "tree is", "trees are")));
            for s in &self.short {
                line(format!(
                    "  {} gets {}, lacks {}: {}",
                    s.name,
                    show::depth(s.depth_mm, units),
                    show::depth(s.missing_mm, units),
                    s.why
                ));
            }
        }
        out
    }

    /// 10th percentile, median and largest depth at the trees, mm.
    pub fn depth_range_mm(&self) -> Option<[f64; 3]> {
        let mut depths = self.depths_mm.clone();
        depths.sort_by(f64::total_cmp);
        let last = depths.len().checked_sub(1)?;
        let at = |share: f64| {
            let place = share * last as f64;
            let (low, high) = (depths.get(place.floor() as usize)?, depths.get(place.ceil() as usize)?);
            Some(low + (place - place.floor()) * (high - low))
        };
        Some([at(0.1)?, at(0.5)?, at(1.0)?])
    }
}

impl fmt::Display for Placement {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text(System::default()))
    }
}
