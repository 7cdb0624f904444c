//! The farm file: which keys each table has, in which unit, and the place of each problem that the checks find.

use super::file::{self, Table};
use super::{Block, Farm, FarmInput, Ground, Horizon, Place, Planted, Rain, Reading, Sprinkler, Watered, incomplete, unknown_soil};
use crate::date::Date;
use crate::error::{Error, Result};
use std::collections::BTreeMap;

/// Stands where a number that has to be there is missing; the problem is recorded, so no farm is made of it.
const ABSENT: f64 = f64::NAN;

type T<'s, 't> = Table<'s, 't>;

pub(super) fn farm(text: &str, name: &str) -> Result<Farm> {
    if text.trim().is_empty() {
        let hint = "A farm file needs name, [site], one [soil.NAME] and one [[block]].";
        return Err(Error::missing("everything", hint).at(name));
    }
    Farm::new(file::read(text, name, input)?)
}

fn input(t: &T<'_, '_>) -> FarmInput {
    let name = t.need("name", t.text("name"), "name = \"...\" at the top").unwrap_or_default();
    let units = t.choice("units").unwrap_or_default();
    let site = t.need("site", t.table("site", place), "[site] with latitude and elevation").unwrap_or_default();
    let sprinkler = t.table("sprinkler", sprinkler);
    let soil: BTreeMap<String, Ground> = t.named_tables("soil", ground).into_iter().collect();
    let south = site.latitude_deg < 0.0;
    let block = t.tables("block", |t| block(t, south, &soil, sprinkler.as_ref()));
    let input = FarmInput { name, units, site, sprinkler, soil, block };
    if let Some(error) = incomplete(&input) {
        t.report(&error);
    }
    input
}

fn place(t: &T<'_, '_>) -> Place {
    let place = Place {
        latitude_deg: t.need("latitude_deg", t.quantity("latitude_deg", "deg"), "latitude_deg = 45.5").unwrap_or(ABSENT),
        elevation_m: t.need("elevation_m", t.quantity("elevation_m", "m"), "elevation = \"900 ft\"").unwrap_or(ABSENT),
        longitude_deg: t.quantity("longitude_deg", "deg"),
        utc_offset_h: t.quantity("utc_offset_h", "h"),
        wind_height_m: t.quantity("wind_height_m", "m"),
        coastal: t.flag("coastal").unwrap_or(false),
        arid: t.flag("arid").unwrap_or(false),
    };
    t.ok(place.site());
    place
}

fn sprinkler(t: &T<'_, '_>) -> Sprinkler {
    // any rate will do where it is missing: waterings by time shall not be blamed for it
    let rate_mm_h = t.need("rate_mm_h", t.quantity("rate_mm_h", "mm/h"), "rate = \"0.75 in/h\"").unwrap_or(1.0);
    let sprinkler = Sprinkler { rate_mm_h, spray_climate: t.choice("spray_climate") };
    t.ok(sprinkler.check());
    sprinkler
}

fn ground(t: &T<'_, '_>) -> Ground {
    let intake_mm_h = t.quantity("intake_mm_h", "mm/h");
    let mut layer = t.tables("layer", horizon);
    let whole = horizon_keys(t);
    if layer.is_empty() {
        t.ok(whole.soil());
        layer.push(whole);
    } else if whole != Horizon::default() {
        let hint = "Move the description into the layers, each under its [[soil.NAME.layer]].";
        t.report(&Error::inconsistent("a soil with layers is described outside of them too", hint));
    }
    let ground = Ground { intake_mm_h, layer };
    t.ok(ground.edges());
    ground
}

fn horizon(t: &T<'_, '_>) -> Horizon {
    let horizon = horizon_keys(t);
    t.ok(horizon.soil());
    horizon
}

fn horizon_keys(t: &T<'_, '_>) -> Horizon {
    Horizon {
        to_depth_m: t.quantity("to_depth_m", "m"),
        texture: t.choice("texture"),
        sand_pct: t.quantity("sand_pct", "%"),
        clay_pct: t.quantity("clay_pct", "%"),
        organic_matter_pct: t.quantity("organic_matter_pct", "%"),
        gravel_pct: t.quantity("gravel_pct", "%"),
        density_factor: t.quantity("density_factor", ""),
        wilting_point: t.quantity("wilting_point", ""),
        field_capacity: t.quantity("field_capacity", ""),
        saturation: t.quantity("saturation", ""),
        ksat_mm_h: t.quantity("ksat_mm_h", "mm/h"),
        field_capacity_tension_kpa: t.quantity("field_capacity_tension_kpa", "kPa"),
    }
}

fn block(t: &T<'_, '_>, south: bool, soils: &BTreeMap<String, Ground>, sprinkler: Option<&Sprinkler>) -> Block {
    let spacing = |key, example| t.need(key, t.quantity(key, "m"), example).unwrap_or(ABSENT);
    let planted = t.day_or_year("planted", Planted::On, Planted::Year);
    let block = Block {
        name: t.need("name", t.text("name"), "name = \"...\"").unwrap_or_default(),
        species: t.need("species", t.text("species"), "species = \"Fraser fir\"").unwrap_or_default(),
        planted: t.need("planted", planted, "planted = 2026, or the day").unwrap_or_default(),
        stock: t.text("stock"),
        row_spacing_m: spacing("row_spacing_m", "row_spacing = \"6 ft\""),
        tree_spacing_m: spacing("tree_spacing_m", "tree_spacing = \"5 ft\""),
        trees: t.count("trees"),
        area_m2: t.quantity("area_m2", "m2"),
        soil: t.need("soil", t.text("soil"), "soil = \"...\", the NAME of a [soil.NAME]").unwrap_or_default(),
        slope_pct: t.quantity("slope_pct", "%"),
        strip_width_m: t.quantity("strip_width_m", "m"),
        alley: t.choice("alley"),
        mulch_cover: t.quantity("mulch_cover", ""),
        weed_cover: t.quantity("weed_cover", ""),
        start_wetness: t.quantity("start_wetness", ""),
        irrigation_efficiency: t.quantity("irrigation_efficiency", ""),
        root_depth_m: t.quantity("root_depth_m", "m"),
        height_m: t.quantity("height_m", "m"),
        crown_width_m: t.quantity("crown_width_m", "m"),
        allowed_depletion: t.quantity("allowed_depletion", ""),
        rain: t.tables("rain", rain).into_iter().flatten().collect(),
        watered: t.tables("watered", |t| watered(t, sprinkler)).into_iter().flatten().collect(),
        reading: t.tables("reading", reading).into_iter().flatten().collect(),
    };
    t.ok(block.check_trees(south));
    for error in [block.rain_twice(), unknown_soil(&block, soils.keys())].into_iter().flatten() {
        t.report(&error);
    }
    block
}

fn day(t: &T<'_, '_>) -> Option<Date> {
    t.need("date", t.date("date"), "date = 2026-07-14")
}

fn rain(t: &T<'_, '_>) -> Option<Rain> {
    let depth_mm = t.need("depth_mm", t.quantity("depth_mm", "mm"), "depth = \"0.4 in\"");
    let rain = Rain { date: day(t)?, depth_mm: depth_mm? };
    t.ok(crate::bounds::RAIN_MM.named("depth_mm").check(rain.depth_mm)).map(|_| rain)
}

fn watered(t: &T<'_, '_>, sprinkler: Option<&Sprinkler>) -> Option<Watered> {
    let (depth_mm, time_min) = (t.quantity("depth_mm", "mm"), t.quantity("time_min", "min"));
    let watered = Watered { date: day(t)?, depth_mm, time_min };
    t.ok(watered.gross_mm(sprinkler.map(|s| s.rate_mm_h))).map(|_| watered)
}

fn reading(t: &T<'_, '_>) -> Option<Reading> {
    let depth_m = t.need("depth_m", t.quantity("depth_m", "m"), "depth = \"4 in\"");
    let holes = t.count("holes").unwrap_or(1);
    let (feel, tension_kpa, water_content) = (t.choice("feel"), t.quantity("tension_kpa", "kPa"), t.quantity("water_content", ""));
    let reading = Reading { date: day(t)?, depth_m: depth_m?, holes, feel, tension_kpa, water_content };
    t.ok(reading.check()).map(|()| reading)
}
