//! A farm as its owner writes it down: place, soils, blocks, and the log of what fell, was given and was seen.
//!
//! [`Farm::parse`] reads TOML and reports every mistake at once, each with its line. [`Farm::new`] takes the same
//! content as plain structs; JSON goes through it too. The keys are the same everywhere. In TOML a quantity may
//! also be written with a unit, without the ending that names one: `row_spacing_m = 1.8` or `row_spacing = "6 ft"`.

mod as_of;
mod block;
mod equipment;
mod farm_block;
mod feeding;
mod field;
pub(crate) mod file;
mod ground;
mod landed;
mod log;
mod place;
mod plan;
mod read;
mod sprinkler;
mod week;

pub use block::{Block, LoggedSet, Planted, Rain, Reading, Watered};
pub use equipment::{CurvePoint, FarmHose, FarmPump, Hydrant, Tank};
pub use farm_block::FarmBlock;
pub use feeding::{BlockFeeding, Fed, FeedingHabits, FeedingMethod};
pub use field::{Area, AreaKind, Field, FieldMap, Hole, Places, TreePlace};
pub use ground::{Ground, Horizon};
pub use landed::Landed;
pub use log::Logged;
pub use place::Place;
pub use plan::{
    Advice, Basis, BlockPlan, BlockWork, BlockWorth, Buy, Coming, CostPlan, Day, DepthSpread, Estimate, FedLine, FeedingList, FeedingPlan,
    FirstTree, Fuel, HeadHere, HeatWatch, HotDay, INCH_A_WEEK_MM, IntakePlan, LeftToBucket, LimeLine, Line, NeedLine, NextBlock,
    PLAN_SCHEMA, Page, Part, Plan, PlanOptions, PlannedSet, Section, Serving, SetsPlan, ShortTree, Standing, SupplyPlan, Table, TreesAfter,
    TreesSoFar, WeekPlan, WhatIf, plan, usual_today,
};
pub(crate) use plan::{BlockCourses, Course, courses};

pub use sprinkler::{Can, Head, SprayClimate, Sprinkler};
pub use week::{Labor, Prices};

use crate::assumption::Flags;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::fertility::{Product, SoilTestInput, WaterTest};
use crate::schedule::{HourLimits, Window};
use crate::soil::Profile;
use crate::stand::Stand;
use crate::units::System;
use crate::water::supply::{PermitLimit, PondInput, Well};
use crate::weather::{CsvOptions, Site, Weather};
use serde::{Deserialize, Serialize};
use sprinkler::Equipment;
use std::collections::BTreeMap;

/// Everything a farm file says, as plain values for [`Farm::new`].
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FarmInput {
    /// What the farm is called.
    pub name: String,
    /// Units that answers are printed in: "us" or "si".
    #[serde(default)]
    pub units: System,
    /// Where it lies.
    pub site: Place,
    /// The sprinkler as it is used today.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sprinkler: Option<Sprinkler>,
    /// The pump.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pump: Option<FarmPump>,
    /// Hoses from the water to the sprinkler, in its order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hose: Vec<FarmHose>,
    /// Where the hose is coupled.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hydrant: Vec<Hydrant>,
    /// What trees out of reach are watered from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tank: Option<Tank>,
    /// Ground that no set may stand in or water fall on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub area: Vec<Area>,
    /// What holds for the feeding of all blocks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feeding: Option<FeedingHabits>,
    /// Test of the irrigation water.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_test: Option<WaterTest>,
    /// Fertilizers and limes that can be bought or lie in the shed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub product: Vec<Product>,
    /// Soil tests by the names that blocks use.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub soil_test: BTreeMap<String, SoilTestInput>,
    /// When work may be done.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub window: Vec<Window>,
    /// The pond that is pumped from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pond: Option<PondInput>,
    /// The well.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub well: Option<Well>,
    /// The user's own limit of what may be drawn; counts are printed beside it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub permit: Option<PermitLimit>,
    /// People and their time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub labor: Option<Labor>,
    /// Prices, in the farm's own money.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub prices: Option<Prices>,
    /// Soils by the names that blocks use.
    pub soil: BTreeMap<String, Ground>,
    /// The blocks.
    pub block: Vec<Block>,
}

/// A checked farm. What it holds fits together: every block has a soil, a species that is known, a spacing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(with = "FarmInput"))]
#[serde(try_from = "FarmInput", into = "FarmInput")]
pub struct Farm {
    input: FarmInput,
    site: Site,
    profiles: BTreeMap<String, (Profile, Flags)>,
    stands: Vec<Stand>,
    maps: Vec<Option<FieldMap>>,
}

impl Farm {
    /// Checks every value and what they say together.
    ///
    /// # Errors
    /// All problems at once, each with the table that it is in.
    pub fn new(input: FarmInput) -> Result<Self> {
        let mut problems = Vec::new();
        let mut at = |place: String, error: Error| problems.extend(error.problems().iter().map(|p| p.clone().at(place.clone())));
        let site = input.site.site().map_err(|e| at("site".into(), e)).ok();
        if let Some(error) = input.sprinkler.as_ref().and_then(|s| s.check().err()) {
            at("sprinkler".into(), error);
        }
        for (place, error) in equipment_problems(&input).into_iter().chain(week::problems(&input)) {
            at(place, error);
        }
        for (place, error) in feeding::problems(&input) {
            at(place, error);
        }
        let equipment = equipment(&input);
        let rate_mm_h = equipment.rate_mm_h().map(|(rate, _)| rate);
        let mut profiles = BTreeMap::new();
        for (name, ground) in &input.soil {
            match ground.profile() {
                Ok(profile) => drop(profiles.insert(name.clone(), profile)),
                Err(error) => at(format!("soil \"{name}\""), error),
            }
        }
        let south = input.site.latitude_deg < 0.0;
        let (mut stands, mut maps) = (Vec::new(), Vec::new());
        for (block, number) in input.block.iter().zip(1..) {
            let label = if block.name.is_empty() { format!("block {number}") } else { format!("block \"{}\"", block.name) };
            match block.check(south, rate_mm_h) {
                Ok(stand) => stands.push(stand),
                Err(error) => at(label.clone(), error),
            }
            maps.push(block.map().ok().flatten());
            if let Some(error) = block.sets_without_ground(input.sprinkler.is_some()) {
                at(label.clone(), error);
            }
            for error in feeding::block_problems(block, south, &input.soil_test, &input.product) {
                at(label.clone(), error);
            }
            if let Some(error) = unknown_soil(block, input.soil.keys()) {
                at(label, error);
            }
        }
        if let Some(error) = incomplete(&input) {
            at("farm".into(), error);
        }
        match (Error::several(problems), site) {
            (None, Some(site)) => Ok(Self { input, site, profiles, stands, maps }),
            (Some(error), _) => Err(error),
            (None, None) => Err(Error::missing("site", "Give latitude_deg and elevation_m.")),
        }
    }

    /// Reads a farm from TOML; `name` stands in messages in place of a path.
    ///
    /// # Errors
    /// Every mistake of the text at once, each with its line and key.
    ///
    /// ```
    /// use dibble::farm::Farm;
    /// let text = r#"
    ///     name = "Hill"
    ///
    ///     [site]
    ///     latitude_deg = 45.5
    ///     elevation = "950 ft"
    ///
    ///     [soil.loam]
    ///     texture = "silt loam"
    ///
    ///     [[block]]
    ///     name = "North"
    ///     species = "Fraser fir"
    ///     planted = 2026
    ///     row_spacing = "6 ft"
    ///     tree_spacing_m = 1.5
    ///     soil = "loam"
    ///     watered = [{ date = 2026-06-22, depth = "0.5 in" }]
    /// "#;
    /// let farm = Farm::parse(text, "hill.toml")?;
    /// assert_eq!(farm.blocks()[0].waterings()?[0].1, 12.7);
    ///
    /// let error = Farm::parse(&text.replace("6 ft", "6"), "hill.toml").unwrap_err();
    /// assert!(error.to_string().starts_with("hill.toml, line 15 (block \"North\", row_spacing): the unit of \"6\" is missing."));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn parse(text: &str, name: &str) -> Result<Self> {
        read::farm(text, name)
    }

    /// Reads a farm file.
    ///
    /// # Errors
    /// The file cannot be read or is no text; otherwise as [`Farm::parse`].
    #[cfg(feature = "io")]
    pub fn read(path: impl AsRef<std::path::Path>) -> Result<Self> {
        let path = path.as_ref();
        let shown = path.display().to_string();
        let hint = "Give the path of a farm file, a text file written in TOML.";
        let bytes = std::fs::read(path).map_err(|e| Error::file("cannot read", &shown, e.to_string(), hint))?;
        let text = String::from_utf8(bytes).map_err(|_| Error::file("cannot read", &shown, "it is not UTF-8 text", hint))?;
        Self::parse(&text, &shown)
    }

    /// The demo farm: invented, on rolling glacial ground in the upper Great Lakes country.
    ///
    /// # Errors
    /// Only if the shipped file is damaged.
    ///
    /// ```
    /// let farm = dibble::farm::Farm::demo()?;
    /// assert!(farm.blocks().len() >= 4);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn demo() -> Result<Self> {
        Self::parse(Self::demo_toml(), "demo_farm.toml")
    }

    /// The demo farm's file as a person writes it, with every key that a farm file may hold: in use, or in a line that
    /// begins with `#`, each with a word about it.
    ///
    /// ```
    /// assert!(dibble::farm::Farm::demo_toml().contains("\nspecies = \"Fraser fir\"\n"));
    /// ```
    pub fn demo_toml() -> &'static str {
        include_str!("../data/demo_farm.toml")
    }

    /// Weather of the demo farm as CSV: invented; the last days are marked as a forecast.
    pub fn demo_weather_csv() -> &'static str {
        include_str!("../data/demo_weather.csv")
    }

    /// [`Farm::demo_weather_csv`], read.
    ///
    /// # Errors
    /// Only if the shipped file is damaged.
    pub fn demo_weather() -> Result<Weather> {
        Weather::parse_csv(Self::demo_weather_csv(), &CsvOptions { name: Some("demo_weather.csv".into()), ..CsvOptions::default() })
    }

    /// The morning on which the demo is looked at: the first day of its weather that is a forecast.
    ///
    /// # Errors
    /// Only if the shipped file is damaged.
    ///
    /// ```
    /// assert_eq!(dibble::farm::Farm::demo_today()?.to_string(), "2026-07-14");
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn demo_today() -> Result<Date> {
        let weather = Self::demo_weather()?;
        weather.first_forecast().ok_or_else(|| Error::internal("the demo weather", "no day is a forecast"))
    }

    /// The farm as TOML that [`Farm::parse`] reads back, quantities in SI.
    ///
    /// # Errors
    /// Only if a value cannot be written, which no checked farm has.
    pub fn to_toml(&self) -> Result<String> {
        toml::to_string(&self.input).map_err(|e| Error::internal("writing a farm as TOML", e.to_string()))
    }

    /// Everything it was made from.
    pub fn input(&self) -> &FarmInput {
        &self.input
    }
    /// What the farm is called.
    pub fn name(&self) -> &str {
        &self.input.name
    }
    /// Units that answers are printed in.
    pub fn units(&self) -> System {
        self.input.units
    }
    /// Where it lies.
    pub fn site(&self) -> &Site {
        &self.site
    }
    /// South of the equator?
    pub fn south(&self) -> bool {
        self.site.latitude_deg() < 0.0
    }
    /// The sprinkler as it is used today.
    pub fn sprinkler(&self) -> Option<&Sprinkler> {
        self.input.sprinkler.as_ref()
    }

    /// Sprinklers that run at the same time.
    pub fn sprinkler_count(&self) -> usize {
        self.sprinkler().and_then(|s| s.count).map_or(1, |count| count as usize)
    }
    /// Wind and heat from which on no set runs, as far as the farm names them.
    pub fn hour_limits(&self) -> HourLimits {
        let sprinkler = self.sprinkler();
        HourLimits { wind_m_s: sprinkler.and_then(|s| s.wind_limit_m_s), t_c: sprinkler.and_then(|s| s.heat_limit_c) }
    }

    /// What brings the water, as written.
    fn equipment(&self) -> Equipment<'_> {
        equipment(&self.input)
    }

    /// The blocks in the order of the file, each with its stand and its soil.
    pub fn blocks(&self) -> Vec<FarmBlock<'_>> {
        let parts = self.input.block.iter().zip(&self.stands).zip(&self.maps);
        let equipment = equipment(&self.input);
        let rate_mm_h = equipment.rate_mm_h().map(|(rate, _)| rate);
        parts
            .filter_map(|((block, stand), map)| {
                let (profile, assumed) = self.profiles.get(&block.soil)?;
                let ground = self.input.soil.get(&block.soil)?;
                Some(FarmBlock { block, stand, profile, ground, assumed: *assumed, rate_mm_h, map: map.as_ref(), equipment })
            })
            .collect()
    }

    /// The last day that any block's log speaks of.
    pub fn last_entry(&self) -> Option<Date> {
        self.input.block.iter().flat_map(Block::log_days).max()
    }
}

/// The tables that bring water, together.
fn equipment(input: &FarmInput) -> Equipment<'_> {
    Equipment { sprinkler: input.sprinkler.as_ref(), pump: input.pump.as_ref(), hose: &input.hose, elevation_m: input.site.elevation_m }
}

/// Problems of pump, hoses, hydrants, tank and areas, each with the table that it is in.
fn equipment_problems(input: &FarmInput) -> Vec<(String, Error)> {
    let mut found: Vec<(String, Error)> = equipment(input).contradictions().into_iter().map(|e| ("farm".into(), e)).collect();
    found.extend(input.pump.iter().filter_map(|p| Some(("pump".into(), p.pump().err()?))));
    found.extend(input.hose.iter().zip(1..).filter_map(|(h, n)| Some((format!("hose {n}"), h.hose().err()?))));
    found.extend(input.hydrant.iter().filter_map(|h| Some((format!("hydrant \"{}\"", h.name), h.check().err()?))));
    found.extend(input.tank.iter().filter_map(|t| Some(("tank".into(), t.check().err()?))));
    found.extend(input.area.iter().filter_map(|a| Some((format!("area \"{}\"", a.name), a.polygon().err()?))));
    found
}

impl TryFrom<FarmInput> for Farm {
    type Error = Error;
    fn try_from(input: FarmInput) -> Result<Self> {
        Self::new(input)
    }
}

impl From<Farm> for FarmInput {
    fn from(farm: Farm) -> Self {
        farm.input
    }
}

/// The problem with a block whose soil has no table.
fn unknown_soil<'s>(block: &Block, soils: impl Iterator<Item = &'s String>) -> Option<Error> {
    let known: Vec<&String> = soils.collect();
    let found = known.iter().any(|name| **name == block.soil);
    if found || block.soil.is_empty() { None } else { Some(Error::unknown("soil", &block.soil, &known)) }
}

/// What the farm as a whole lacks.
fn incomplete(input: &FarmInput) -> Option<Error> {
    let mut problems = Vec::new();
    if input.name.trim().is_empty() {
        problems.push(Error::missing("name", "Write name = \"...\" at the top."));
    }
    if input.soil.is_empty() {
        problems.push(Error::missing("soil", "Write at least one [soil.NAME], a texture word is enough: texture = \"silt loam\"."));
    }
    if input.block.is_empty() {
        problems
            .push(Error::missing("block", "Write at least one [[block]] with name, species, planted, row_spacing, tree_spacing and soil."));
    }
    let engine = input.pump.as_ref().and_then(|pump| pump.engine);
    problems.extend(input.prices.zip(engine).and_then(|(prices, engine)| prices.against(engine)));
    let mut names: Vec<&str> = input.block.iter().map(|b| b.name.as_str()).filter(|n| !n.is_empty()).collect();
    names.sort_unstable();
    for twice in names.windows(2).filter_map(|w| matches!(w, [a, b] if a == b).then(|| w.first()).flatten()) {
        problems.push(Error::inconsistent(format!("two blocks are called \"{twice}\""), "Give each block a name of its own."));
    }
    Error::several(problems)
}
