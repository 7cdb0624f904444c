//! One entry of the log, and what makes it a sound one.

use super::sets::Sets;
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::water::Seen;
use crate::words::words;
use serde::{Deserialize, Serialize};

words! {
    /// Meant to be done, or done. What is planned never counts as water.
    #[derive(Default)]
    pub enum State: "state" {
        /// Meant to be done.
        Planned = "planned",
        /// Done, seen or measured.
        #[default]
        Done = "done",
    }
}

words! {
    /// What an entry is about.
    pub enum Kind: "what" {
        /// A watering.
        Water = "water" | "watered" | "watering",
        /// A reading of the rain gauge.
        Rain = "rain" | "rain gauge",
        /// A shovel test, tensiometer or probe.
        Reading = "reading" | "shovel test" | "feel",
        /// Fertilizer, lime or sulfur.
        Feeding = "feeding" | "fed",
        /// Living trees.
        Count = "count" | "counted",
        /// Words only.
        Note = "note",
        /// The entry named by `of` was a mistake.
        Strike = "strike" | "struck",
    }
}

/// What was planned or done, with its numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum What {
    /// A watering by its depth over the ground before losses, mm, or by the running time of each set, min.
    Water {
        /// Depth that the sprinkler put out, mm.
        #[serde(default)]
        depth_mm: Option<f64>,
        /// Running time of each set at the farm's sprinkler rate, min.
        #[serde(default)]
        time_min: Option<f64>,
        /// Positions that ran; left out, the whole block was watered.
        #[serde(default)]
        sets: Option<Sets>,
    },
    /// The rain gauge: rain of that day, mm.
    Rain {
        /// Depth, mm.
        depth_mm: f64,
    },
    /// The soil's wetness as it was seen.
    Reading {
        /// Depth that the soil came from, m.
        soil_depth_m: f64,
        /// Holes dug or places probed.
        holes: u32,
        /// What was seen: feel, tension or water content.
        seen: Seen,
    },
    /// A product given to the block.
    Feeding {
        /// Its name.
        product: String,
        /// How much over the whole block, kg.
        amount_kg: f64,
    },
    /// Living trees of the block, or of one row or plot.
    Count {
        /// Row or plot; empty is the whole block.
        #[serde(default)]
        place: String,
        /// Living trees.
        living: u32,
        /// Trees planted there.
        #[serde(default)]
        planted: Option<u32>,
        /// The row tree by tree, "x" living and "." missing.
        #[serde(default)]
        row: Option<String>,
    },
    /// Words only.
    Note,
    /// The entry named by `of` was a mistake.
    Strike,
}

impl What {
    /// Which kind it is.
    pub fn kind(&self) -> Kind {
        match self {
            What::Water { .. } => Kind::Water,
            What::Rain { .. } => Kind::Rain,
            What::Reading { .. } => Kind::Reading,
            What::Feeding { .. } => Kind::Feeding,
            What::Count { .. } => Kind::Count,
            What::Note => Kind::Note,
            What::Strike => Kind::Strike,
        }
    }
}

/// One line of the log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Its name, different from every other's; empty asks [`super::Log::with`] for the next one.
    #[serde(default)]
    pub id: String,
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// The block; empty is the whole farm.
    #[serde(default)]
    pub block: String,
    /// Planned or done.
    #[serde(default)]
    pub state: State,
    /// What, with its numbers.
    pub what: What,
    /// The `id` of an earlier entry whose place it takes.
    #[serde(default)]
    pub of: Option<String>,
    /// Words.
    #[serde(default)]
    pub note: String,
}

impl Entry {
    /// Something done on a day, without an `id` yet.
    pub fn done(date: Date, block: impl Into<String>, what: What) -> Self {
        Self { id: String::new(), date, block: block.into(), state: State::Done, what, of: None, note: String::new() }
    }

    /// Something meant to be done.
    pub fn planned(date: Date, block: impl Into<String>, what: What) -> Self {
        Self { state: State::Planned, ..Self::done(date, block, what) }
    }

    /// In range, and whole?
    ///
    /// # Errors
    /// Every value out of range and everything that is missing or contradicts itself.
    pub fn check(&self) -> Result<()> {
        let mut problems: Vec<Error> = self.numbers().err().into_iter().flat_map(|e| e.problems().to_vec()).collect();
        let kind = self.what.kind();
        if self.block.trim().is_empty() && !matches!(kind, Kind::Rain | Kind::Note | Kind::Strike) {
            problems.push(Error::missing(
                "block",
                format!("An entry of {kind} belongs to a block; only rain and notes may be of the whole farm."),
            ));
        }
        if kind == Kind::Strike && self.of.is_none() {
            problems.push(Error::missing("of", "A strike names the id of the entry that was a mistake."));
        }
        if kind == Kind::Note && self.note.trim().is_empty() {
            problems.push(Error::missing("note", "Write what is to be remembered."));
        }
        let (product, place) = match &self.what {
            What::Feeding { product, .. } => (product.as_str(), ""),
            What::Count { place, .. } => ("", place.as_str()),
            _ => ("", ""),
        };
        let texts = [("id", self.id.as_str()), ("block", &self.block), ("product", product), ("place", place), ("note", &self.note)];
        for (name, text) in texts.iter().filter(|(_, text)| text.contains(|c: char| c.is_control() && c != '\t')) {
            problems.push(Error::unreadable(*name, text, "it holds a line break or another control character", "Write it in one line."));
        }
        Error::several(problems).map_or(Ok(()), Err)
    }

    fn numbers(&self) -> Result<()> {
        match &self.what {
            What::Water { depth_mm, time_min, .. } => match (depth_mm, time_min) {
                (Some(depth_mm), None) => bounds::DEPTH_MM.check(*depth_mm).map(drop),
                (None, Some(time_min)) => bounds::MINUTES_MIN.named("time_min").check(*time_min).map(drop),
                (None, None) => Err(Error::missing("depth_mm or time_min", "Give the depth put out or the running time of each set.")),
                (Some(_), Some(_)) => Err(Error::inconsistent("depth and time of one watering are both given", "Keep one of them.")),
            },
            What::Rain { depth_mm } => bounds::RAIN_MM.named("depth_mm").check(*depth_mm).map(drop),
            What::Reading { soil_depth_m, holes, seen } => {
                bounds::SOIL_DEPTH_M.named("soil_depth_m").check(*soil_depth_m)?;
                match seen {
                    Seen::Feel(_) => {}
                    Seen::TensionKpa(kpa) => drop(bounds::TENSION_KPA.check(*kpa)?),
                    Seen::WaterContent(content) => drop(bounds::WATER_CONTENT.check(*content)?),
                    Seen::Available(_) => {
                        return Err(Error::inconsistent(
                            "a share of the available water is no reading",
                            "Give feel, tension or water content.",
                        ));
                    }
                }
                if *holes == 0 {
                    return Err(Error::inconsistent("holes is 0", "Give the number of holes, at least 1."));
                }
                Ok(())
            }
            What::Feeding { product, amount_kg } => {
                bounds::MASS_KG.named("amount_kg").check(*amount_kg)?;
                if product.trim().is_empty() { Err(Error::missing("product", "Write what was given.")) } else { Ok(()) }
            }
            What::Count { living, planted, row, .. } => counted(*living, *planted, row.as_deref()),
            What::Note | What::Strike => Ok(()),
        }
    }
}

/// A count that agrees with itself.
fn counted(living: u32, planted: Option<u32>, row: Option<&str>) -> Result<()> {
    if let Some(planted) = planted.filter(|&planted| living > planted) {
        return Err(Error::inconsistent(format!("{living} trees live of {planted} planted"), "Correct one of the two counts."));
    }
    let Some(row) = row else { return Ok(()) };
    let (alive, all) = super::survival::row_counts(row)?;
    if alive == living && planted.is_none_or(|planted| planted == all) {
        return Ok(());
    }
    let given = planted.map_or(format!("{living} living"), |planted| format!("{living} living of {planted}"));
    Err(Error::inconsistent(
        format!("the row shows {alive} living trees of {all}, and the count says {given}"),
        "Correct the row or the count.",
    ))
}
