//! What logged sets left at each tree.

use super::{FarmBlock, Watered};
use crate::error::{Error, Result};
use crate::geom::Xy;
use crate::sprinkler::{Set, apply};

/// What one watering by sets left.
#[derive(Debug, Clone, PartialEq)]
pub struct Landed {
    /// Depth that reached the ground at each tree, mm, in the order of the block's map.
    pub tree_mm: Vec<f64>,
    /// Share lost between nozzle and ground.
    pub spray_loss: f64,
}

impl Landed {
    /// Mean over the trees, mm.
    pub fn mean_mm(&self) -> f64 {
        self.tree_mm.iter().sum::<f64>() / self.tree_mm.len().max(1) as f64
    }

    /// The same before the loss, mm.
    pub fn gross_mm(&self) -> f64 {
        self.mean_mm() / (1.0 - self.spray_loss)
    }
}

impl FarmBlock<'_> {
    /// What the sets of a watering left at each tree of the block.
    ///
    /// # Errors
    /// A block without a field, a sprinkler of unknown flow or radius, a pump that cannot lift the water there.
    pub fn by_sets(&self, watered: &Watered) -> Result<Landed> {
        let map = self.map.ok_or_else(|| Error::missing("[block.field]", "Give the block's outline, so that its trees have places."))?;
        let head = self.head()?.ok_or_else(|| {
            Error::missing("what the sprinkler gives", "Write its nozzle with [pump] and [[hose]], or its flow and radius.")
        })?;
        let sets: Vec<Set> = watered.set.iter().map(|s| Set::new(s.at_m, s.time_min)).collect();
        let trees: Vec<Xy> = map.trees.iter().map(|t| t.at()).collect();
        Ok(Landed { tree_mm: apply(&head.sprinkler, &sets, &trees, Some(1))?, spray_loss: head.sprinkler.input().spray_loss })
    }
}
