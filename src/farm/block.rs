//! `[[block]]`: trees of one kind on one soil, with the log of what fell, was given and was seen there.

use super::feeding::{BlockFeeding, Fed};
use super::field::{Field, FieldMap};
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::geom::{Xy, check_position};
use crate::soil::feel::Band;
use crate::stand::{Alley, Stand, StandInput};
use serde::{Deserialize, Serialize};

/// Width of the weed-free strip where it is not given, m (4 ft circles and strips are common practice).
const USUAL_STRIP_M: f64 = 1.2;
/// Trees may fill their ground this much beyond rows times spacing before count and area contradict each other.
const CROWDED: f64 = 1.05;

/// When the trees were planted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(untagged, expecting = "planted has to be a year (2026) or a day (\"2026-04-25\")")]
pub enum Planted {
    /// Only the year is known: spring of that year.
    Year(i32),
    /// The day.
    On(#[cfg_attr(feature = "schema", schemars(with = "String"))] Date),
}

impl Planted {
    /// The day; for a year alone May 1st, south of the equator November 1st.
    ///
    /// # Errors
    /// A year outside 1800 to 2299.
    pub fn day(self, south: bool) -> Result<Date> {
        match self {
            Planted::On(day) => Ok(day),
            Planted::Year(year) => Date::new(year, if south { 11 } else { 5 }, 1).map_err(|_| {
                Error::unreadable("planted", &year.to_string(), "it is not a year from 1800 to 2299", "Write 2026 or 2026-04-25.")
            }),
        }
    }
}

impl Default for Planted {
    fn default() -> Self {
        Planted::Year(0)
    }
}

/// One block.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Block {
    /// Its name, different from every other block's.
    pub name: String,
    /// Species, English or Latin.
    pub species: String,
    /// Year or day of planting.
    pub planted: Planted,
    /// Nursery code, such as "2-2" or "plug+1".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<String>,
    /// Between rows, m.
    pub row_spacing_m: f64,
    /// Between trees in a row, m.
    pub tree_spacing_m: f64,
    /// Living trees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trees: Option<u32>,
    /// Ground of the block, lanes included, m2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_m2: Option<f64>,
    /// Name of its soil.
    pub soil: String,
    /// Slope, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slope_pct: Option<f64>,
    /// Width of the weed-free strip along each row, m; 1.2 if not given, never more than the row spacing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strip_width_m: Option<f64>,
    /// What grows between the strips: "grass" (if not given), "clover" or "bare".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alley: Option<Alley>,
    /// Share of the strip that organic mulch covers, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mulch_cover: Option<f64>,
    /// Share of the ground beside the crown that weeds cover within the strip, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weed_cover: Option<f64>,
    /// Wetness of the root zone on the first day, share of the available water; 1 is field capacity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start_wetness: Option<f64>,
    /// Share of the water given that the root zone receives, 0.05 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub irrigation_efficiency: Option<f64>,
    /// Measured root depth, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub root_depth_m: Option<f64>,
    /// Measured height, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// Measured crown width, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crown_width_m: Option<f64>,
    /// Share of the available water that may be used before watering, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub allowed_depletion: Option<f64>,
    /// Year in which most of its trees are to be sold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sale_year: Option<u32>,
    /// Price of a tree at its sale, selling cost taken off; the farm's if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
    /// Where it lies: outline, rows, places for the sprinkler.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<Field>,
    /// How it is fed; without it the plan says nothing about feeding.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feeding: Option<BlockFeeding>,
    /// The block's own rain gauge. On its days it stands in place of the station's rain.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rain: Vec<Rain>,
    /// Waterings done.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub watered: Vec<Watered>,
    /// What shovel, tensiometer and probe said.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reading: Vec<Reading>,
    /// Fertilizer and lime that were spread.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fed: Vec<Fed>,
}

/// `[[block.rain]]`: one reading of the block's gauge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Rain {
    /// The day that it fell.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// How much, mm.
    pub depth_mm: f64,
}

/// `[[block.watered]]`: a watering, by its depth, by its running time, or by its sets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Watered {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Depth that the sprinkler put out over the ground, before losses, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_mm: Option<f64>,
    /// Running time at the farm's sprinkler rate, min.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_min: Option<f64>,
    /// Where the sprinkler stood, and how long.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set: Vec<LoggedSet>,
}

/// `[[block.watered.set]]`: a position of the sprinkler and its running time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LoggedSet {
    /// Meters east and north of the farm's origin.
    pub at_m: Xy,
    /// Running time, min.
    pub time_min: f64,
}

impl Watered {
    /// A watering by its depth.
    pub fn by_depth(date: Date, depth_mm: f64) -> Self {
        Self { date, depth_mm: Some(depth_mm), time_min: None, set: Vec::new() }
    }

    /// Depth put out where it is the same everywhere, mm: given, or running time at `rate_mm_h`; `None` for sets.
    ///
    /// # Errors
    /// As [`Watered::check`].
    pub fn gross_mm(&self, rate_mm_h: Option<f64>) -> Result<Option<f64>> {
        match (self.depth_mm, self.time_min, self.set.is_empty()) {
            (Some(depth_mm), None, true) => bounds::DEPTH_MM.check(depth_mm).map(Some),
            (None, Some(time_min), true) => {
                let time_min = bounds::MINUTES_MIN.named("time_min").check(time_min)?;
                let rate_mm_h = rate_mm_h.ok_or_else(|| {
                    Error::missing("the sprinkler's rate", "A watering by its time needs [sprinkler] with its rate; or give the depth.")
                })?;
                bounds::DEPTH_MM.check(rate_mm_h * time_min / 60.0).map(Some)
            }
            (None, None, false) => {
                for set in &self.set {
                    check_position(set.at_m)?;
                    bounds::MINUTES_MIN.named("time_min").check(set.time_min)?;
                }
                Ok(None)
            }
            (None, None, true) => Err(Error::missing("depth or time", "Write depth = \"0.5 in\" or time = \"40 min\", or its sets.")),
            _ => Err(Error::inconsistent("depth, time or sets of one watering are given together", "Keep one of them.")),
        }
    }

    /// In range, and of one kind?
    ///
    /// # Errors
    /// Out of range; none or several of depth, time and sets; a time without a rate.
    pub fn check(&self, rate_mm_h: Option<f64>) -> Result<()> {
        self.gross_mm(rate_mm_h).map(drop)
    }
}

/// `[[block.reading]]`: the soil's wetness as it was seen: exactly one of feel, tension and water content.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Depth that the soil came from, m.
    pub depth_m: f64,
    /// Holes dug or places probed.
    #[serde(default = "one")]
    pub holes: u32,
    /// Band of the feel test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feel: Option<Band>,
    /// Tension, kPa (the same number in centibar).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tension_kpa: Option<f64>,
    /// Water content, m3/m3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_content: Option<f64>,
}

fn one() -> u32 {
    1
}

impl Reading {
    /// In range, and of one kind?
    ///
    /// # Errors
    /// Every value out of range; no kind or several.
    pub fn check(&self) -> Result<()> {
        let checks = [
            bounds::SOIL_DEPTH_M.check(self.depth_m).err(),
            bounds::TENSION_KPA.check_option(self.tension_kpa).err(),
            bounds::WATER_CONTENT.check_option(self.water_content).err(),
        ];
        let mut problems: Vec<Error> = checks.into_iter().flatten().collect();
        if self.holes == 0 {
            problems.push(Error::inconsistent("holes is 0", "Give the number of holes, at least 1."));
        }
        match [self.feel.is_some(), self.tension_kpa.is_some(), self.water_content.is_some()].iter().filter(|k| **k).count() {
            0 => problems.push(Error::missing("what the reading says", "Give one of feel, tension and water_content.")),
            1 => {}
            _ => problems.push(Error::inconsistent(
                "a reading says more than one thing",
                "Keep one of feel, tension and water_content; write a second reading for a second kind.",
            )),
        }
        Error::several(problems).map_or(Ok(()), Err)
    }
}

impl Block {
    /// The stand as `stand` takes it.
    ///
    /// # Errors
    /// A planting year that is none.
    pub fn stand(&self, south: bool) -> Result<StandInput> {
        let usual = StandInput::new(&self.species, self.planted.day(south)?, self.row_spacing_m, self.tree_spacing_m);
        Ok(StandInput {
            stock: self.stock.clone(),
            strip_width_m: self.strip_width_m.unwrap_or_else(|| USUAL_STRIP_M.min(self.row_spacing_m)),
            alley: self.alley.unwrap_or_default(),
            mulch_cover: self.mulch_cover.unwrap_or(0.0),
            weed_cover: self.weed_cover.unwrap_or(0.0),
            height_m: self.height_m,
            crown_width_m: self.crown_width_m,
            root_depth_m: self.root_depth_m,
            allowed_depletion: self.allowed_depletion,
            ..usual
        })
    }

    /// Living trees: counted, those that have room on its map, or what the area holds at this spacing, lanes not taken off.
    pub fn tree_count(&self, map: Option<&FieldMap>) -> Option<u32> {
        let laid_out = || u32::try_from(map?.trees.len()).ok();
        let by_area = || Some((self.area_m2? / (self.row_spacing_m * self.tree_spacing_m)) as u32);
        self.trees.or_else(laid_out).or_else(by_area)
    }

    /// Ground of the block, m2: given, within its outline, or what its trees need at this spacing.
    pub fn ground_m2(&self) -> Option<f64> {
        let outlined = || self.field.as_ref()?.polygon().ok().map(|p| p.area_m2());
        self.area_m2.or_else(outlined).or_else(|| Some(f64::from(self.trees?) * self.row_spacing_m * self.tree_spacing_m))
    }

    /// Checks everything but the log, and gives the stand.
    ///
    /// # Errors
    /// Every value out of range and every contradiction.
    pub(super) fn check_trees(&self, south: bool) -> Result<Stand> {
        let stand = self.stand(south).and_then(Stand::new);
        let checks = [
            bounds::AREA_M2.check_option(self.area_m2).err(),
            bounds::SLOPE_PCT.check_option(self.slope_pct).err(),
            bounds::PRICE.check_option(self.price).err(),
            self.sale_before_planting(south),
            bounds::FRACTION.named("start_wetness").check_option(self.start_wetness).err(),
            bounds::EFFICIENCY.named("irrigation_efficiency").check_option(self.irrigation_efficiency).err(),
            self.named().err(),
            self.crowded(),
        ];
        let mut problems: Vec<Error> = stand.as_ref().err().into_iter().flat_map(|e| e.problems().iter().cloned()).collect();
        problems.extend(checks.into_iter().flatten());
        match Error::several(problems) {
            Some(error) => Err(error),
            None => stand,
        }
    }

    /// Checks trees and log.
    pub(super) fn check(&self, south: bool, rate_mm_h: Option<f64>) -> Result<Stand> {
        let stand = self.check_trees(south);
        let mut problems: Vec<Error> = stand.as_ref().err().into_iter().flat_map(|e| e.problems().iter().cloned()).collect();
        problems.extend(self.rain.iter().filter_map(|r| bounds::RAIN_MM.named("depth_mm").check(r.depth_mm).err()));
        problems.extend(self.watered.iter().filter_map(|w| w.check(rate_mm_h).err()));
        problems.extend(self.reading.iter().filter_map(|r| r.check().err()).flat_map(|e| e.problems().to_vec()));
        problems.extend(self.rain_twice());
        problems.extend(self.fed.iter().filter_map(|f| f.check().err()));
        problems.extend(self.map().err().into_iter().flat_map(|e| e.problems().to_vec()));
        match Error::several(problems) {
            Some(error) => Err(error),
            None => stand,
        }
    }

    /// The block on the ground, if its field is given.
    ///
    /// # Errors
    /// As [`Field::lay`]; an area that is not that of the outline.
    pub fn map(&self) -> Result<Option<FieldMap>> {
        /// Surveyed and paced areas differ; more than this is a slip.
        const UNLIKE: f64 = 0.1;
        let Some(field) = &self.field else { return Ok(None) };
        let map = field.lay(self.row_spacing_m, self.tree_spacing_m, self.trees)?;
        let outlined_m2 = map.outline.area_m2();
        match self.area_m2 {
            Some(area_m2) if (area_m2 / outlined_m2 - 1.0).abs() > UNLIKE => Err(Error::inconsistent(
                format!("the outline holds {outlined_m2:.0} m2, and area_m2 is {area_m2:.0}"),
                "Correct the outline or its unit, or leave the area out.",
            )),
            _ => Ok(Some(map)),
        }
    }

    /// The problem with waterings by sets where nothing says what a set gives to which tree.
    pub(super) fn sets_without_ground(&self, head: bool) -> Option<Error> {
        self.watered.iter().find(|w| !w.set.is_empty())?;
        let hint = "A watering by its sets needs [block.field] with the outline, and the sprinkler's nozzle with [pump] and [[hose]], or its flow and radius; or give the depth.";
        let lacking = if self.field.is_none() { "[block.field]" } else { "what the sprinkler gives" };
        (self.field.is_none() || !head).then(|| Error::missing(lacking, hint))
    }

    fn named(&self) -> Result<()> {
        let example = |what| Error::missing(what, format!("Write {what} = \"...\"."));
        let absent = [(&self.name, "name"), (&self.soil, "soil")].into_iter().find(|(text, _)| text.trim().is_empty());
        absent.map_or(Ok(()), |(_, what)| Err(example(what)))
    }

    /// A sale before the trees stood there.
    fn sale_before_planting(&self, south: bool) -> Option<Error> {
        let (sold, planted) = (i64::from(self.sale_year?), self.planted.day(south).ok()?.year());
        (sold < i64::from(planted) || sold > i64::from(planted) + 200).then(|| {
            let what = format!("sale_year is {sold}, and the trees were planted in {planted}");
            Error::inconsistent(what, "Give the year in which they are to be sold, such as ten years after planting.")
        })
    }

    /// More trees than the ground holds at this spacing: a slip of unit in one of them.
    fn crowded(&self) -> Option<Error> {
        let (trees, area_m2) = (f64::from(self.trees?), self.area_m2?);
        let needed_m2 = trees * self.row_spacing_m * self.tree_spacing_m;
        (needed_m2 > CROWDED * area_m2).then(|| {
            Error::inconsistent(
                format!("{trees} trees at this spacing stand on {needed_m2:.0} m2, and area_m2 is {area_m2:.0}"),
                "Correct the count, the spacing or the area, or leave the area out.",
            )
        })
    }

    /// Two entries of the gauge for one day.
    pub(super) fn rain_twice(&self) -> Option<Error> {
        let mut days: Vec<Date> = self.rain.iter().map(|r| r.date).collect();
        days.sort_unstable();
        let twice = days.windows(2).find_map(|w| matches!(w, [a, b] if a == b).then(|| w.first().copied()).flatten())?;
        Some(Error::inconsistent(format!("the rain gauge has two entries for {twice}"), "Keep one for each day; add the two if both fell."))
    }

    /// Days that the log speaks of.
    pub(super) fn log_days(&self) -> impl Iterator<Item = Date> + '_ {
        let rain = self.rain.iter().map(|r| r.date);
        rain.chain(self.watered.iter().map(|w| w.date)).chain(self.reading.iter().map(|r| r.date))
    }
}
