//! The columns of one block: its trees at the likely place and at the ends of what is not known, strip and alley.

use super::PlanOptions;
use super::ahead::{Ahead, carry};
use super::delivery::Delivery;
use super::view::STRIP;
use crate::date::Date;
use crate::error::Result;
use crate::et::crop::mulch_factor;
use crate::farm::{self, Farm, FarmBlock};
use crate::soil::runoff::{Condition, Cover, HydrologicGroup, curve_number};
use crate::soil::{Layer, Measured, Profile, Soil};
use crate::stand::{CropDays, ROOT_DEPTH_SHARES, Surfaces};
use crate::water::{Column, Reading, Seen, UnevenWatering, Watering};
use crate::weather::{Daily, Weather};

/// A feel or probe sample stands for so much soil above and below its depth, m (our judgment).
const SAMPLE_HALF_M: f64 = 0.05;

/// Weather of this block from its planting on, with its own rain gauge; `None` where the station's serves.
pub(super) fn own_weather(
    of: &FarmBlock<'_>,
    farm: &Farm,
    weather: &Weather,
    station: &Ahead,
    today: Date,
    options: &PlanOptions,
) -> Result<Option<Ahead>> {
    let planted = of.stand.input().planted;
    if of.block.rain.is_empty() && planted <= station.daily.first() {
        return Ok(None);
    }
    let within = |r: &&farm::Rain| r.date >= weather.first() && r.date <= weather.last();
    let (dates, rain): (Vec<Date>, Vec<f64>) = of.block.rain.iter().filter(within).map(|r| (r.date, r.depth_mm)).unzip();
    let records = if dates.is_empty() { weather } else { &weather.clone().with_block_rain(&dates, &rain)? };
    carry(&records.complete(farm.site(), &options.gaps)?, today, options, Some(planted)).map(Some)
}

/// The block's log as the ledger takes it.
pub(super) struct Log {
    /// All of them; those by sets with the mean over the trees.
    pub waterings: Vec<Watering>,
    /// Those that gave all trees the same.
    pub even: Vec<Watering>,
    /// Those by sets, with each tree's depth.
    pub uneven: Vec<UnevenWatering>,
    pub readings: Vec<Reading>,
    /// Entries that do not count, in words.
    pub notes: Vec<String>,
}

impl Log {
    /// Entries from `first` to `today`; of what was pumped, `efficiency` arrives.
    pub fn of(farm_block: &FarmBlock<'_>, first: Date, today: Date, efficiency: f64, delivery: &Delivery) -> Result<Self> {
        let block = farm_block.block;
        let counts = |date: Date| date >= first && date <= today;
        let (mut waterings, mut even, mut uneven) = (Vec::new(), Vec::new(), Vec::new());
        for watered in block.watered.iter().filter(|w| counts(w.date)) {
            // what ran by the clock fell at the sprinkler's rate; a depth was put in somehow
            let by_time = watered.time_min.map(|_| delivery.landing_mm_h());
            if let Some(gross_mm) = watered.gross_mm(farm_block.rate_mm_h)? {
                even.push(Watering { date: watered.date, depth_mm: gross_mm * efficiency, rate_mm_h: by_time });
                waterings.extend(even.last());
            } else {
                // at the trees only the spray loss is taken off; their own depths feed their own ledgers
                let landed = farm_block.by_sets(watered)?;
                waterings.push(Watering { date: watered.date, depth_mm: landed.mean_mm(), rate_mm_h: None });
                uneven.push(UnevenWatering { date: watered.date, depths_mm: landed.tree_mm });
            }
        }
        waterings.sort_by_key(|w| w.date);
        let mut readings: Vec<Reading> = block.reading.iter().filter(|r| counts(r.date)).map(reading).collect();
        readings.sort_by_key(|r| r.date);
        let notes = match block.log_days().filter(|d| !counts(*d)).count() {
            0 => Vec::new(),
            1 => vec![format!("1 entry of the log before {first} or after {today} does not count")],
            n => vec![format!("{n} entries of the log before {first} or after {today} do not count")],
        };
        Ok(Self { waterings, even, uneven, readings, notes })
    }
}

fn reading(seen: &farm::Reading) -> Reading {
    let what = match (seen.feel, seen.tension_kpa, seen.water_content) {
        (Some(band), _, _) => Seen::Feel(band),
        (_, Some(kpa), _) => Seen::TensionKpa(kpa),
        (_, _, content) => Seen::WaterContent(content.unwrap_or(0.0)), // a checked farm has exactly one
    };
    let half = SAMPLE_HALF_M.min(seen.depth_m);
    Reading { holes: seen.holes, ..Reading::new(seen.date, seen.depth_m - half, seen.depth_m + half, what) }
}

/// What the columns of a block run on.
pub(super) struct Variants<'b> {
    name: &'b str,
    pub surfaces: Surfaces,
    roots_low: CropDays,
    roots_high: CropDays,
    profile: &'b Profile,
    soil_low: Profile,
    soil_high: Profile,
    pub curve_number: f64,
    start: f64,
    intake_mm_h: Option<f64>,
    slope_pct: f64,
}

impl<'b> Variants<'b> {
    pub fn of(farm_block: &FarmBlock<'b>, daily: &Daily) -> Result<Self> {
        let FarmBlock { block, stand, profile, ground, .. } = *farm_block;
        let surfaces = Surfaces::over(stand, daily)?;
        let (low, high) = root_shares(farm_block);
        Ok(Self {
            name: &block.name,
            roots_low: surfaces.tree.with_roots_scaled(low)?,
            roots_high: surfaces.tree.with_roots_scaled(high)?,
            surfaces,
            profile,
            soil_low: with_holding(profile, End::Low)?,
            soil_high: with_holding(profile, End::High)?,
            curve_number: usual_curve_number(profile),
            start: block.start_wetness.unwrap_or(1.0),
            intake_mm_h: ground.intake_mm_h,
            slope_pct: block.slope_pct.unwrap_or(0.0),
        })
    }

    /// The same with the whole strip under organic mulch from a day on.
    pub fn mulched(&self, day: usize) -> Result<Self> {
        let factor = mulch_factor(1.0)?;
        let tree = self.surfaces.tree.with_mulch_from(day, factor)?;
        Ok(Self {
            roots_low: self.roots_low.with_mulch_from(day, factor)?,
            roots_high: self.roots_high.with_mulch_from(day, factor)?,
            surfaces: Surfaces { tree, ..self.surfaces.clone() },
            soil_low: self.soil_low.clone(),
            soil_high: self.soil_high.clone(),
            ..*self
        })
    }

    /// In the order of the places in `view`.
    pub fn columns<'a>(&'a self, daily: &'a Daily, log: &Log) -> Vec<Column<'a>> {
        let column = |name: String, crop, profile| {
            let mut column = Column::new(name, daily, crop, profile);
            column.curve_number = Some(self.curve_number);
            column.start = self.start;
            column.intake_mm_h = self.intake_mm_h;
            column.slope_pct = self.slope_pct;
            column.waterings.clone_from(&log.waterings);
            column
        };
        let named = |what: &str| format!("{} {what}", self.name);
        let mut columns = vec![
            column(self.name.to_string(), &self.surfaces.tree, self.profile),
            column(named("(shallow roots)"), &self.roots_low, self.profile),
            column(named("(deep roots)"), &self.roots_high, self.profile),
            column(named("(low holding)"), &self.surfaces.tree, &self.soil_low),
            column(named("(high holding)"), &self.surfaces.tree, &self.soil_high),
            column(named("(strip)"), &self.surfaces.strip, self.profile),
            column(named("(alley)"), &self.surfaces.alley, self.profile),
        ];
        for tree in columns.iter_mut().take(STRIP) {
            tree.readings.clone_from(&log.readings);
        }
        columns
    }
}

/// A block's trees at their likely roots and soil alone, with the log's waterings and readings.
pub(super) fn likely_column<'a>(of: &FarmBlock<'a>, daily: &'a Daily, crop: &'a CropDays, log: &Log) -> Column<'a> {
    let mut column = Column::new(of.block.name.clone(), daily, crop, of.profile);
    column.curve_number = Some(usual_curve_number(of.profile));
    column.start = of.block.start_wetness.unwrap_or(1.0);
    column.intake_mm_h = of.ground.intake_mm_h;
    column.slope_pct = of.block.slope_pct.unwrap_or(0.0);
    column.waterings.clone_from(&log.waterings);
    column.readings.clone_from(&log.readings);
    column
}

fn usual_curve_number(profile: &Profile) -> f64 {
    curve_number(Cover::WoodsGrass, Condition::Fair, HydrologicGroup::of(profile.top().texture()))
}

impl Farm {
    /// The farm with what each soil holds at the low or the high end of its range.
    pub(crate) fn with_holding(&self, low: bool) -> Result<Self> {
        let mut farm = self.clone();
        for (profile, _) in farm.profiles.values_mut() {
            *profile = with_holding(profile, if low { End::Low } else { End::High })?;
        }
        Ok(farm)
    }
}

/// Low and high end of the root depth as shares of it; measured roots are what they are.
pub(super) fn root_shares(of: &FarmBlock<'_>) -> (f64, f64) {
    if of.stand.input().root_depth_m.is_some() { (1.0, 1.0) } else { ROOT_DEPTH_SHARES }
}

/// Which end of a soil's range of water holding.
#[derive(Clone, Copy, PartialEq)]
enum End {
    Low,
    High,
}

/// The profile with each layer's available water at one end of its range; measured soils stay as they are.
fn with_holding(profile: &Profile, end: End) -> Result<Profile> {
    // nearly all pores hold water at field capacity in the wettest soils, but some drain
    const LARGEST_CAPACITY: f64 = 0.98;
    let mut layers = Vec::new();
    for layer in profile.layers() {
        let soil = &layer.soil;
        let range = soil.available_range();
        let stony = soil.fine_earth_fraction();
        let wilting_point = soil.wilting_point() * stony;
        let saturation = soil.saturation() * stony;
        let holds = if end == End::Low { range.low } else { range.high };
        let measured = Measured {
            wilting_point,
            field_capacity: (wilting_point + holds).min(LARGEST_CAPACITY * saturation),
            saturation,
            ksat_mm_h: soil.ksat_mm_h(),
            texture: Some(soil.texture()),
            ..Measured::default()
        };
        layers.push(Layer { to_depth_m: layer.to_depth_m, soil: Soil::from_measured(&measured)? });
    }
    Profile::layered(layers)
}
