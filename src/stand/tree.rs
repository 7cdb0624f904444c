//! The stand of a block: species, planting, spacing and surfaces; what each measurement leaves to estimate.

use super::species::{Species, Stock};
use super::{alley::Alley, trees_per_hectare};
use crate::assumption::{Amount, Assumed, Assumption};
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Root depth at planting, m: planted 4 to 5 in deep (common practice; published values do not exist).
pub const PLANTED_ROOT_DEPTH_M: f64 = 0.15;
/// The range of the root depth, as shares of it: 0.10 to 0.25 m about 0.15 m (common practice).
pub const ROOT_DEPTH_SHARES: (f64, f64) = (0.10 / 0.15, 0.25 / 0.15);
/// Radius of a transplant's root disc, m (our judgment).
pub const PLANTED_ROOT_RADIUS_M: f64 = 0.15;
/// Height at which growth is no longer reckoned, m: past sale size.
const SALE_HEIGHT_M: f64 = 2.5;
/// Growing season north of the equator: mid April to mid October (common practice).
const SEASON_DAYS: (f64, f64) = (105.0, 288.0);

/// Plain input for [`Stand::new`]. What is `None` is estimated and listed as an assumption.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StandInput {
    /// English or Latin name.
    pub species: String,
    /// Day of planting; for a bare year use May 1st (November 1st south of the equator).
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub planted: Date,
    /// Nursery code such as "2-2" or "plug+1".
    #[serde(default)]
    pub stock: Option<String>,
    /// Between rows, m.
    pub row_spacing_m: f64,
    /// Between trees in a row, m.
    pub tree_spacing_m: f64,
    /// Width of the weed-free strip along each row, m.
    #[serde(default = "default_strip")]
    pub strip_width_m: f64,
    /// What grows between the strips: "grass", "clover" or "bare".
    #[serde(default)]
    pub alley: Alley,
    /// Share of the strip that organic mulch covers, 0 to 1.
    #[serde(default)]
    pub mulch_cover: f64,
    /// Share of the ground beside the crown that weeds cover within the strip, 0 to 1.
    #[serde(default)]
    pub weed_cover: f64,
    /// Measured height, m; held for the run.
    #[serde(default)]
    pub height_m: Option<f64>,
    /// Measured crown width, m; held for the run.
    #[serde(default)]
    pub crown_width_m: Option<f64>,
    /// Measured root depth, m; held for the run.
    #[serde(default)]
    pub root_depth_m: Option<f64>,
    /// Allowed depletion before watering, 0 to 1.
    #[serde(default)]
    pub allowed_depletion: Option<f64>,
}

fn default_strip() -> f64 {
    1.2
}

impl StandInput {
    /// A stand of which only species, planting day and spacing are known; the strip is 1.2 m wide where the rows leave room.
    pub fn new(species: &str, planted: Date, row_spacing_m: f64, tree_spacing_m: f64) -> Self {
        Self {
            species: species.into(),
            planted,
            stock: None,
            row_spacing_m,
            tree_spacing_m,
            strip_width_m: default_strip().min(row_spacing_m),
            alley: Alley::default(),
            mulch_cover: 0.0,
            weed_cover: 0.0,
            height_m: None,
            crown_width_m: None,
            root_depth_m: None,
            allowed_depletion: None,
        }
    }
}

/// A checked stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    input: StandInput,
    species: Species,
    stock: Option<Stock>,
}

impl Stand {
    /// Checks every value; all problems are reported at once.
    ///
    /// # Errors
    /// An unknown species or stock code, a value out of range, a strip wider than the row spacing.
    ///
    /// ```
    /// use dibble::stand::{Stand, StandInput};
    /// let planted = "2026-05-01".parse()?;
    /// let stand = Stand::new(StandInput::new("Fraser fir", planted, 1.8, 1.8))?;
    /// assert_eq!(stand.root_depth_m(planted, false), 0.15);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(input: StandInput) -> Result<Self> {
        let mut problems = Vec::new();
        let species = input.species.parse::<Species>().map_err(|e| problems.push(e)).ok();
        let stock = input.stock.as_deref().map(str::parse::<Stock>).transpose().map_err(|e| problems.push(e)).ok().flatten();
        let checks = [
            bounds::SPACING_M.named("row_spacing_m").check_option(Some(input.row_spacing_m)),
            bounds::SPACING_M.named("tree_spacing_m").check_option(Some(input.tree_spacing_m)),
            bounds::SPACING_M.named("strip_width_m").check_option(Some(input.strip_width_m)),
            bounds::FRACTION.named("mulch_cover").check_option(Some(input.mulch_cover)),
            bounds::FRACTION.named("weed_cover").check_option(Some(input.weed_cover)),
            bounds::HEIGHT_M.check_option(input.height_m),
            bounds::SPACING_M.named("crown_width_m").check_option(input.crown_width_m),
            bounds::ROOT_DEPTH_M.check_option(input.root_depth_m),
            bounds::FRACTION.named("allowed_depletion").check_option(input.allowed_depletion),
        ];
        problems.extend(checks.into_iter().filter_map(std::result::Result::err));
        if input.strip_width_m > input.row_spacing_m {
            problems.push(Error::inconsistent(
                format!("strip_width_m is {} m where rows stand {} m apart", input.strip_width_m, input.row_spacing_m),
                "The weed-free strip runs along one row and cannot be wider than the row spacing.",
            ));
        }
        match (Error::several(problems), species) {
            (None, Some(species)) => Ok(Self { input, species, stock }),
            (Some(error), _) => Err(error),
            (None, None) => Err(Error::missing("species", "Name the species.")),
        }
    }

    /// What the stand was made from.
    pub fn input(&self) -> &StandInput {
        &self.input
    }
    /// Species with its group.
    pub fn species(&self) -> &Species {
        &self.species
    }
    /// Trees per hectare of planted ground.
    pub fn trees_per_hectare(&self) -> Result<f64> {
        trees_per_hectare(self.input.row_spacing_m, self.input.tree_spacing_m)
    }
    /// Ground that belongs to one tree, m2.
    pub fn tree_area_m2(&self) -> f64 {
        self.input.row_spacing_m * self.input.tree_spacing_m
    }

    /// Growing seasons since planting, parts of a season counted; `south` for the southern hemisphere.
    pub fn seasons(&self, date: Date, south: bool) -> f64 {
        (season_clock(date, south) - season_clock(self.input.planted, south)).max(0.0)
    }

    /// Height, m: measured, or estimated from group, stock and seasons since planting.
    pub fn height_m(&self, date: Date, south: bool) -> f64 {
        if let Some(height) = self.input.height_m {
            return height;
        }
        let group = self.species.group();
        let seasons = self.seasons(date, south);
        let start = group.height_m * self.stock.map_or(1.0, Stock::height_share);
        let slow = seasons.min(group.slow_years);
        (start + slow * group.slow_growth_m + (seasons - slow) * group.growth_m).min(SALE_HEIGHT_M.max(start))
    }

    /// Crown radius, m: half the measured crown width, or the group's taper times height.
    pub fn crown_radius_m(&self, date: Date, south: bool) -> f64 {
        0.5 * self.input.crown_width_m.unwrap_or_else(|| self.species.group().taper * self.height_m(date, south))
    }

    /// Root depth, m: measured, or the planted 0.15 m, deepening by the group's rate in growing seasons.
    pub fn root_depth_m(&self, date: Date, south: bool) -> f64 {
        let group = self.species.group();
        self.input
            .root_depth_m
            .unwrap_or_else(|| (PLANTED_ROOT_DEPTH_M + group.root_growth_m * self.seasons(date, south)).min(group.root_limit_m))
    }

    /// Radius of the root disc, m: the larger of the planted root radius and the crown, within half the strip.
    pub fn root_radius_m(&self, date: Date, south: bool) -> f64 {
        self.crown_radius_m(date, south).max(PLANTED_ROOT_RADIUS_M).min(0.5 * self.input.strip_width_m)
    }

    /// Area of the root disc, m2.
    pub fn root_area_m2(&self, date: Date, south: bool) -> f64 {
        let radius = self.root_radius_m(date, south);
        (PI * radius * radius).min(self.tree_area_m2())
    }

    /// Depletion at which to water: given, or 0.35 in the first two growing seasons and 0.50 afterwards
    /// (common practice: transplants 0.30 to 0.40, most crops about half).
    pub fn allowed_depletion(&self, date: Date, south: bool) -> f64 {
        self.input.allowed_depletion.unwrap_or(if self.seasons(date, south) < 2.0 { 0.35 } else { 0.50 })
    }

    /// What is estimated on `date`, as assumption rows.
    pub fn assumptions(&self, date: Date, south: bool) -> Vec<Assumed> {
        let mut rows = Vec::new();
        if self.input.root_depth_m.is_none() {
            let depth = self.root_depth_m(date, south);
            let (low, high) = ROOT_DEPTH_SHARES;
            rows.push(Assumption::RootDepth.amounting([Amount { range: Some((low * depth, high * depth)), ..Amount::of(depth) }], 2));
        }
        if self.input.crown_width_m.is_none() || self.input.height_m.is_none() {
            let (height, crown) = (self.height_m(date, south), 2.0 * self.crown_radius_m(date, south));
            let sides = [(height, "high"), (crown, "wide")].map(|(value, of)| Amount { of: of.into(), ..Amount::of(value) });
            rows.push(Assumption::CrownFromAge.amounting(sides, 2));
        }
        rows.push(Assumption::RootRadius.amounting([Amount::of(self.root_radius_m(date, south))], 2));
        rows.push(Assumption::StressOnset.with(format!("{:.2}", self.species.group().p)));
        if self.input.allowed_depletion.is_none() {
            rows.push(Assumption::AllowedDepletion.with(format!("{:.2}", self.allowed_depletion(date, south))));
        }
        rows
    }
}

/// Growing seasons since the start of the calendar's year zero: whole years, and the share of this year's
/// season that is over. South of the equator the clock runs half a year later.
fn season_clock(date: Date, south: bool) -> f64 {
    let date = if south { date + 183 } else { date };
    let (start, end) = SEASON_DAYS;
    f64::from(date.year()) + ((f64::from(date.day_of_year()) - start) / (end - start)).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Date {
        text.parse().unwrap()
    }

    #[test]
    fn roots_deepen_in_the_growing_season_only() {
        let stand = Stand::new(StandInput::new("balsam fir", day("2026-05-01"), 1.8, 1.8)).unwrap();
        let depth = |d: &str| stand.root_depth_m(day(d), false);
        assert_eq!(depth("2026-05-01"), 0.15);
        assert!(depth("2026-07-15") > 0.15 && depth("2026-10-15") > depth("2026-07-15"));
        assert_eq!(depth("2026-10-20"), depth("2027-04-10"));
        assert!(depth("2027-06-01") > depth("2027-04-10"));
        assert_eq!(depth("2040-06-01"), 0.60);
    }

    #[test]
    fn southern_seasons_run_across_the_new_year() {
        let stand = Stand::new(StandInput::new("radiata pine", day("2026-11-01"), 2.0, 2.0)).unwrap();
        assert!(stand.seasons(day("2027-02-01"), true) > stand.seasons(day("2026-12-01"), true));
        assert_eq!(stand.seasons(day("2027-06-01"), true), stand.seasons(day("2027-08-01"), true));
    }

    #[test]
    fn growth_follows_the_common_practice_example() {
        // 14 in at planting, 5 in a year for two years, then 12 in: 78 in after 6.5 years (common practice).
        // Here 0.35 + 2 x 0.13 + 4.5 x 0.30 = 1.96 m, 77 in.
        let stand = Stand::new(StandInput::new("Fraser fir", day("2020-04-15"), 1.8, 1.8)).unwrap();
        let height = stand.height_m(day("2026-07-15"), false);
        assert!((height / 0.0254 - 78.0).abs() < 3.0, "{height}");
    }

    #[test]
    fn the_disc_grows_from_the_root_ball_to_half_the_strip() {
        let stand = Stand::new(StandInput::new("Fraser fir", day("2026-05-01"), 1.8, 1.8)).unwrap();
        assert_eq!(stand.root_radius_m(day("2026-05-01"), false), 0.15);
        assert_eq!(stand.root_radius_m(day("2036-05-01"), false), 0.6);
    }

    #[test]
    fn every_problem_is_reported_at_once() {
        let mut input = StandInput::new("fraser pine", day("2026-05-01"), 1.5, 0.0);
        input.strip_width_m = 2.0;
        input.mulch_cover = 35.0;
        let error = Stand::new(input).unwrap_err();
        assert_eq!(error.problems().len(), 4, "{error}");
        assert!(error.to_string().contains("mulch_cover is 35: fraction must be from 0 to 1. Give a fraction from 0 to 1, 0.35 for 35 %."));
    }
}
