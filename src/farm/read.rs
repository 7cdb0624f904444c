//! The farm file: which keys each table has, in which unit, and the place of each problem that the checks find.

mod week;

use super::equipment::{CurvePoint, FarmHose, FarmPump, Hydrant, Tank};
use super::feeding::{self, read as feed};
use super::field::{Area, AreaKind, Field, Hole};
use super::file::{self, Table};
use super::sprinkler::{Can, Equipment, Sprinkler};
use super::{Block, Farm, FarmInput, Ground, Horizon, LoggedSet, Place, Planted, Rain, Reading, Watered, incomplete, unknown_soil};
use crate::date::Date;
use crate::error::{Error, Result};
use crate::fertility::{Product, SoilTestInput};
use crate::sprinkler::{Wind, WindInput};
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
    let pump = t.table("pump", pump);
    let hose = t.tables("hose", hose);
    let hydrant = t.tables("hydrant", hydrant);
    let tank = t.table("tank", tank).flatten();
    let area = t.tables("area", area).into_iter().flatten().collect();
    let window = t.tables("window", week::window).into_iter().flatten().collect();
    let (pond, well, permit) = (t.table("pond", week::pond), t.table("well", week::well).flatten(), t.table("permit", week::permit));
    let (labor, prices) = (t.table("labor", week::labor).flatten(), t.table("prices", week::prices));
    let equipment = Equipment { sprinkler: sprinkler.as_ref(), pump: pump.as_ref(), hose: &hose, elevation_m: site.elevation_m };
    equipment.contradictions().iter().for_each(|problem| t.report(problem));
    let rate_mm_h = equipment.rate_mm_h().map(|(rate, _)| rate);
    let soil: BTreeMap<String, Ground> = t.named_tables("soil", ground).into_iter().collect();
    let product: Vec<Product> = t.tables("product", feed::product).into_iter().flatten().collect();
    if let Some(error) = feeding::twice(&product) {
        t.report(&error);
    }
    let soil_test: BTreeMap<String, SoilTestInput> = t.named_tables("soil_test", feed::soil_test).into_iter().collect();
    let habits = t.table("feeding", |t| feed::habits(t, &product));
    let water_test = t.table("water_test", feed::water_test).flatten();
    let south = site.latitude_deg < 0.0;
    let block = t.tables("block", |t| {
        let block = block(t, south, &soil, &equipment, rate_mm_h);
        feeding::block_problems(&block, south, &soil_test, &product).iter().for_each(|problem| t.report(problem));
        block
    });
    let feeding = habits;
    let input = FarmInput {
        name,
        units,
        site,
        sprinkler,
        pump,
        hose,
        hydrant,
        tank,
        area,
        feeding,
        water_test,
        product,
        soil_test,
        window,
        pond,
        well,
        permit,
        labor,
        prices,
        soil,
        block,
    };
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
    let sprinkler = Sprinkler {
        rate_mm_h: t.quantity("rate_mm_h", "mm/h"),
        spray_climate: t.choice("spray_climate"),
        nozzle_mm: t.quantity("nozzle_mm", "mm"),
        nozzle_kind: t.choice("nozzle_kind"),
        pressure_kpa: t.quantity("pressure_kpa", "kPa"),
        flow_l_min: t.quantity("flow_l_min", "L/min"),
        radius_m: t.quantity("radius_m", "m"),
        profile: t.choice("profile"),
        can: t.tables("can", can),
        arc_deg: t.quantity("arc_deg", "deg"),
        facing_deg: t.quantity("facing_deg", "deg"),
        part_circle: t.flag("part_circle"),
        wind: t.table("wind", wind).flatten(),
        height_m: t.quantity("height_m", "m"),
        move_time_min: t.quantity("move_time_min", "min"),
        count: t.count("count"),
        wind_limit_m_s: t.quantity("wind_limit_m_s", "m/s"),
        heat_limit_c: t.quantity("heat_limit_c", "deg C"),
    };
    t.ok(sprinkler.check());
    sprinkler
}

fn can(t: &T<'_, '_>) -> Can {
    Can {
        distance_m: t.need("distance_m", t.quantity("distance_m", "m"), "distance = \"20 ft\"").unwrap_or(ABSENT),
        caught: t.need("caught", t.quantity("caught", ""), "caught = 0.3").unwrap_or(ABSENT),
    }
}

fn wind(t: &T<'_, '_>) -> Option<Wind> {
    let from_deg = t.need("from_deg", t.quantity("from_deg", "deg"), "from_deg = 270, the bearing that it blows from");
    let drift_m = t.need("drift_m", t.quantity("drift_m", "m"), "drift = \"10 ft\", the shift of the circle");
    let (along, across) = (t.quantity("along", "").unwrap_or(1.0), t.quantity("across", "").unwrap_or(1.0));
    t.ok(Wind::new(WindInput { from_deg: from_deg?, drift_m: drift_m?, along, across }))
}

fn pump(t: &T<'_, '_>) -> FarmPump {
    let point = |t: &T<'_, '_>| CurvePoint {
        flow_l_min: t.need("flow_l_min", t.quantity("flow_l_min", "L/min"), "flow = \"80 gpm\"").unwrap_or(ABSENT),
        head_m: t.need("head_m", t.quantity("head_m", "m"), "head = \"215 ft\"").unwrap_or(ABSENT),
    };
    let pump = FarmPump {
        rated_flow_l_min: t.quantity("rated_flow_l_min", "L/min"),
        rated_head_m: t.quantity("rated_head_m", "m"),
        power_kw: t.quantity("power_kw", "kW"),
        shutoff_head_m: t.quantity("shutoff_head_m", "m"),
        curve: t.tables("curve", point),
        efficiency: t.quantity("efficiency", ""),
        npsh_required_m: t.quantity("npsh_required_m", "m"),
        engine: t.choice("engine"),
        suction_lift_m: t.quantity("suction_lift_m", "m"),
        water_c: t.quantity("water_c", "deg C"),
    };
    t.ok(pump.pump());
    pump
}

fn hose(t: &T<'_, '_>) -> FarmHose {
    let hose = FarmHose {
        length_m: t.need("length_m", t.quantity("length_m", "m"), "length = \"500 ft\"").unwrap_or(ABSENT),
        bore_mm: t.need("bore_mm", t.quantity("bore_mm", "mm"), "bore = \"2 in\"").unwrap_or(ABSENT),
        material: t.choice("material"),
        c: t.quantity("c", ""),
        rating_kpa: t.quantity("rating_kpa", "kPa"),
        suction: t.flag("suction").unwrap_or(false),
    };
    t.ok(hose.hose());
    hose
}

fn hydrant(t: &T<'_, '_>) -> Hydrant {
    let hydrant = Hydrant {
        name: t.need("name", t.text("name"), "name = \"...\"").unwrap_or_default(),
        at_m: t.need("at_m", t.point("at_m"), "at = \"200 130 ft\", east and north of the farm's origin").unwrap_or([ABSENT; 2]),
        reach_m: t.quantity("reach_m", "m"),
    };
    t.ok(hydrant.check());
    hydrant
}

fn tank(t: &T<'_, '_>) -> Option<Tank> {
    let volume_l = t.need("volume_l", t.quantity("volume_l", "L"), "volume = \"300 gal\"");
    let fill_l_min = t.need("fill_l_min", t.quantity("fill_l_min", "L/min"), "fill = \"20 gpm\", the flow that fills it");
    let hand_l_min = t.need("hand_l_min", t.quantity("hand_l_min", "L/min"), "hand = \"5 gpm\", the flow that each person pours");
    let (people, walk_m_s, at_m) = (t.count("people").unwrap_or(1), t.quantity("walk_m_s", "m/s"), t.point("at_m"));
    let tank = Tank { volume_l: volume_l?, fill_l_min: fill_l_min?, hand_l_min: hand_l_min?, people, walk_m_s, at_m };
    t.ok(tank.check()).map(|()| tank)
}

fn area(t: &T<'_, '_>) -> Option<Area> {
    let kind =
        t.need("kind", t.choice::<AreaKind>("kind"), "kind = \"dry\" (no water may fall there) or \"keep_out\" (no set may stand there)");
    let name = t.need("name", t.text("name"), "name = \"...\"").unwrap_or_default();
    let outline_m = outline(t);
    let area = Area { name, kind: kind?, outline_m };
    t.ok(area.polygon()).map(|_| area)
}

fn outline(t: &T<'_, '_>) -> Vec<[f64; 2]> {
    let given = t.points("outline_m");
    t.need("outline_m", (!given.is_empty()).then_some(given), "outline = \"0 0, 200 0, 200 130 ft\"").unwrap_or_default()
}

fn field(t: &T<'_, '_>) -> Field {
    let field = Field {
        outline_m: outline(t),
        hole: t.tables("hole", |t| Hole { outline_m: outline(t) }),
        rise_m: t.quantity("rise_m", "m"),
        row_direction_deg: t.quantity("row_direction_deg", "deg"),
        headland_m: t.quantity("headland_m", "m"),
        lane_every: t.count("lane_every"),
        lane_width_m: t.quantity("lane_width_m", "m"),
        tree_at_m: t.points("tree_at_m"),
        places: t.choice("places"),
        place_step_m: t.quantity("place_step_m", "m"),
    };
    if !field.outline_m.is_empty() {
        t.ok(field.check());
    }
    field
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

fn block(t: &T<'_, '_>, south: bool, soils: &BTreeMap<String, Ground>, equipment: &Equipment<'_>, rate_mm_h: Option<f64>) -> Block {
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
        sale_year: t.count("sale_year"),
        price: t.quantity("price", ""),
        field: t.table("field", field),
        feeding: t.table("feeding", feed::block_feeding).flatten(),
        rain: t.tables("rain", rain).into_iter().flatten().collect(),
        watered: t.tables("watered", |t| watered(t, rate_mm_h)).into_iter().flatten().collect(),
        reading: t.tables("reading", reading).into_iter().flatten().collect(),
        fed: t.tables("fed", feed::fed).into_iter().flatten().collect(),
    };
    t.ok(block.check_trees(south));
    if block.field.as_ref().is_some_and(|f| f.check().is_ok()) {
        t.ok(block.map());
    }
    for error in [block.rain_twice(), block.sets_without_ground(equipment.sprinkler.is_some()), unknown_soil(&block, soils.keys())]
        .into_iter()
        .flatten()
    {
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

fn watered(t: &T<'_, '_>, rate_mm_h: Option<f64>) -> Option<Watered> {
    let (depth_mm, time_min) = (t.quantity("depth_mm", "mm"), t.quantity("time_min", "min"));
    let set = t.tables("set", logged_set);
    let watered = Watered { date: day(t)?, depth_mm, time_min, set };
    t.ok(watered.check(rate_mm_h)).map(|()| watered)
}

fn logged_set(t: &T<'_, '_>) -> LoggedSet {
    LoggedSet {
        at_m: t.need("at_m", t.point("at_m"), "at = \"200 130 ft\", where the sprinkler stood").unwrap_or([ABSENT; 2]),
        time_min: t.need("time_min", t.quantity("time_min", "min"), "time = \"60 min\"").unwrap_or(ABSENT),
    }
}

fn reading(t: &T<'_, '_>) -> Option<Reading> {
    let depth_m = t.need("depth_m", t.quantity("depth_m", "m"), "depth = \"4 in\"");
    let holes = t.count("holes").unwrap_or(1);
    let (feel, tension_kpa, water_content) = (t.choice("feel"), t.quantity("tension_kpa", "kPa"), t.quantity("water_content", ""));
    let reading = Reading { date: day(t)?, depth_m: depth_m?, holes, feel, tension_kpa, water_content };
    t.ok(reading.check()).map(|()| reading)
}
