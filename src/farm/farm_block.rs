//! A block of a checked farm, with its stand, its soil and its map.

use super::sprinkler::{Equipment, Head};
use super::{Block, FieldMap, Ground, Watered};
use crate::assumption::Flags;
use crate::date::Date;
use crate::error::Result;
use crate::soil::Profile;
use crate::stand::Stand;

/// A block of a checked farm with what was made of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FarmBlock<'f> {
    /// The block as written, with its log.
    pub block: &'f Block,
    /// Its trees.
    pub stand: &'f Stand,
    /// Its soil from the surface down.
    pub profile: &'f Profile,
    /// Its soil as written, with a measured intake if there is one.
    pub ground: &'f Ground,
    /// What was taken for granted about the soil.
    pub assumed: Flags,
    /// Rate of the farm's sprinkler over overlapped sets, mm/h: given, or worked out from its flow.
    pub rate_mm_h: Option<f64>,
    /// Where it lies, if its field is given.
    pub map: Option<&'f FieldMap>,
    pub(super) equipment: Equipment<'f>,
}

impl FarmBlock<'_> {
    /// The sprinkler as pump and hoses leave it at this block's height; `None` where flow or radius is not known.
    ///
    /// # Errors
    /// The pump cannot lift the water there, or no duty point lies on its curve.
    pub fn head(&self) -> Result<Option<Head>> {
        self.equipment.head(self.block.field.as_ref().and_then(|f| f.rise_m).unwrap_or(0.0))
    }

    /// Living trees, as [`Block::tree_count`] tells them with the block's map.
    pub fn tree_count(&self) -> Option<u32> {
        self.block.tree_count(self.map)
    }

    /// Waterings done: day and depth put out over the ground, before losses, mm; a running time counts at the farm's
    /// rate, sets as the mean over the trees.
    ///
    /// # Errors
    /// Sets of a sprinkler that the pump cannot supply here.
    pub fn waterings(&self) -> Result<Vec<(Date, f64)>> {
        let gross_mm = |watered: &Watered| match watered.gross_mm(self.rate_mm_h)? {
            Some(depth_mm) => Ok(depth_mm),
            None => self.by_sets(watered).map(|landed| landed.gross_mm()),
        };
        self.block.watered.iter().map(|w| Ok((w.date, gross_mm(w)?))).collect()
    }
}
