//! A farm as it stands on the morning of a plan: with what its season log says, and with the blocks that are planted by then.

use super::{Farm, Logged};
use crate::date::Date;
use crate::error::Result;
use crate::record::Log;
use std::borrow::Cow;

/// What plan, outlook and sensitivity are made from.
pub(crate) struct AsOf<'f> {
    pub farm: Cow<'f, Farm>,
    /// How much of the log counts and what does not; empty without one.
    pub log_notes: Vec<String>,
    /// Blocks that are left out because they are not planted yet, with their day.
    pub to_plant: Vec<(String, Date)>,
}

impl Farm {
    /// The farm on the morning of `today`. Where no block is planted yet all of them stay, for the plan to refuse.
    ///
    /// # Errors
    /// As [`Farm::with_log`].
    pub(crate) fn as_of(&self, today: Date, log: Option<&Log>) -> Result<AsOf<'_>> {
        let logged = log.map(|log| self.with_log(log)).transpose()?;
        let log_notes = logged.as_ref().map(notes).unwrap_or_default();
        let farm = logged.map_or(Cow::Borrowed(self), |logged| Cow::Owned(logged.farm));
        let planted = |block: &super::FarmBlock<'_>| block.stand.input().planted;
        let to_plant: Vec<(String, Date)> =
            farm.blocks().iter().filter(|b| planted(b) >= today).map(|b| (b.block.name.clone(), planted(b))).collect();
        if to_plant.is_empty() || to_plant.len() == farm.blocks().len() {
            return Ok(AsOf { farm, log_notes, to_plant: Vec::new() });
        }
        let mut input = farm.input().clone();
        input.block.retain(|block| !to_plant.iter().any(|(name, _)| *name == block.name));
        Ok(AsOf { farm: Cow::Owned(Farm::new(input)?), log_notes, to_plant })
    }
}

/// How much of the season log counts, and what of it does not, the first few in full.
fn notes(logged: &Logged) -> Vec<String> {
    const NOTES_SHOWN: usize = 12;
    let entries = if logged.used == 1 { "entry counts" } else { "entries count" };
    let mut notes = vec![format!("{} {entries}", logged.used)];
    notes.extend(logged.notes.iter().take(NOTES_SHOWN).cloned());
    if logged.notes.len() > NOTES_SHOWN {
        notes.push(format!("and {} more remarks on it", logged.notes.len() - NOTES_SHOWN));
    }
    notes
}
