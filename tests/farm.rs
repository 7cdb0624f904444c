//! The farm file: what is read, what is refused and where, and the demo farm.

use dibble::farm::{Farm, FarmInput};
use dibble::stand::Alley;
use dibble::weather::Gaps;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

const SMALL: &str = r#"
name = "Test"
[site]
latitude_deg = 45.5
elevation_m = 290
[soil.loam]
texture = "loam"
[[block]]
name = "One"
species = "white pine"
planted = 2024
row_spacing = "6 ft"
tree_spacing_m = 1.8
soil = "loam"
"#;

fn messages(text: &str) -> Vec<String> {
    Farm::parse(text, "farm.toml").err().iter().flat_map(dibble::Error::problems).map(ToString::to_string).collect()
}

/// `SMALL` with one line put in place of another.
fn with(old: &str, new: &str) -> String {
    assert!(SMALL.contains(old));
    SMALL.replace(old, new)
}

#[test]
fn a_small_farm_is_enough() {
    let farm = Farm::parse(SMALL, "farm.toml").unwrap();
    let blocks = farm.blocks();
    assert_eq!((farm.name(), blocks.len()), ("Test", 1));
    assert!((blocks[0].block.row_spacing_m - 1.8288).abs() < 1e-12);
    assert_eq!(blocks[0].stand.input().planted.to_string(), "2024-05-01");
    assert_eq!(blocks[0].stand.input().alley, Alley::Grass);
    let keys: Vec<_> = blocks[0].assumed.iter().map(|a| a.key()).collect();
    assert_eq!(keys, ["soil_from_class", "organic_matter"]);
}

#[test]
fn south_of_the_equator_a_bare_year_is_its_spring() {
    let farm = Farm::parse(&with("latitude_deg = 45.5", "latitude = \"-38 deg\""), "farm.toml").unwrap();
    assert_eq!(farm.blocks()[0].stand.input().planted.to_string(), "2024-11-01");
}

#[test]
fn three_mistakes_are_reported_together_with_their_places() {
    let text = SMALL
        .replace("latitude_deg = 45.5", "latitude_deg = 95")
        .replace("white pine", "white pyne")
        .replace("row_spacing = \"6 ft\"", "row_spacing = \"6 gal\"");
    assert_eq!(
        messages(&text),
        [
            "farm.toml, line 4 (site, latitude_deg): latitude_deg is 95 deg: latitude must be from -90 to 90 deg. North is positive, south negative, in decimal degrees.",
            &format!("farm.toml, line 10 (block \"One\", species): {}", "white pyne".parse::<dibble::stand::Species>().unwrap_err()),
            "farm.toml, line 12 (block \"One\", row_spacing): cannot read quantity \"6 gal\": gal measures a volume, and a length is wanted. Write it in m, ft or in.",
        ]
    );
}

#[test]
fn unknown_species_and_texture_offer_the_nearest() {
    let species = messages(&with("white pine", "whit pine"));
    assert!(species[0].contains("species \"whit pine\" is not known. Did you mean \"white pine\""), "{species:?}");
    let texture = messages(&with("texture = \"loam\"", "texture = \"silty lome\""));
    assert!(texture[0].starts_with("farm.toml, line 7 (soil \"loam\", texture): "), "{texture:?}");
    assert!(texture[0].contains("Did you mean \"silt\", \"silt loam\"?"), "{texture:?}");
    assert_eq!(texture.len(), 1, "{texture:?}");
}

#[test]
fn each_mistake_says_what_to_write() {
    for (old, new, message) in [
        (
            "planted = 2024",
            "planted = 2024\nrows_spacing = 3",
            "farm.toml, line 12 (block \"One\"): key \"rows_spacing\" is not known. Did you mean \"row_spacing\"",
        ),
        (
            "row_spacing = \"6 ft\"",
            "row_spacing = 6",
            "farm.toml, line 12 (block \"One\", row_spacing): the unit of row_spacing is missing. Write row_spacing = \"6 m\", or row_spacing_m = 6.",
        ),
        ("row_spacing = \"6 ft\"", "", "farm.toml, line 8 (block \"One\"): row_spacing is missing. Write row_spacing = \"6 ft\"."),
        (
            "soil = \"loam\"",
            "soil = \"lom\"",
            "farm.toml, line 14 (block \"One\", soil): soil \"lom\" is not known. Did you mean \"loam\"? Known: \"loam\".",
        ),
        (
            "planted = 2024",
            "planted = 24",
            "farm.toml, line 11 (block \"One\", planted): cannot read planted \"24\": it is not a year from 1800 to 2299. Write 2026 or 2026-04-25.",
        ),
        ("planted = 2024", "planted = 2024-13-01", "farm.toml, line 11: cannot read this line as TOML \"planted = 2024-13-01\": "),
        (
            "soil = \"loam\"",
            "soil = \"loam\"\ntrees = 3000\narea = \"1 acre\"",
            "farm.toml, line 8 (block \"One\"): 3000 trees at this spacing stand on 9876 m2, and area_m2 is 4047. Correct the count, the spacing or the area, or leave the area out.",
        ),
        (
            "soil = \"loam\"",
            "soil = \"loam\"\nwatered = [{ date = 2026-06-01, time = \"40 min\" }]",
            "farm.toml, line 15 (block \"One\", watered 1): the sprinkler's rate is missing. A watering by its time needs [sprinkler] with its rate; or give the depth.",
        ),
        (
            "soil = \"loam\"",
            "soil = \"loam\"\nreading = [{ date = 2026-06-01, depth = \"4 in\", feel = \"damp\" }]",
            "farm.toml, line 15 (block \"One\", reading 1, feel): feel band \"damp\" is not known.",
        ),
        (
            "soil = \"loam\"",
            "soil = \"loam\"\nrain = [{ date = 2026-06-01, depth = \"-4 mm\" }]",
            "farm.toml, line 15 (block \"One\", rain 1, depth): depth_mm is -4 mm: rain must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm. Rain cannot be negative.",
        ),
        (
            "texture = \"loam\"",
            "sand = \"40 %\"",
            "farm.toml, line 6 (soil \"loam\"): part of the soil's description is missing. Give texture, or sand_pct with clay_pct, or all of wilting_point, field_capacity, saturation and ksat_mm_h.",
        ),
        ("texture = \"loam\"", "sand_pct = 70\nclay_pct = 40", "farm.toml, line 6 (soil \"loam\"): "),
        (
            "texture = \"loam\"",
            "wilting_point = 0.3\nfield_capacity = 0.2\nsaturation = 0.5\nksat_mm_h = 5",
            "farm.toml, line 6 (soil \"loam\"): ",
        ),
    ] {
        let found = messages(&with(old, new));
        assert!(found.len() == 1 && found[0].starts_with(message), "{new}\n wanted {message}\n found {found:#?}");
    }
}

#[test]
fn a_layer_is_blamed_once_and_at_its_own_line() {
    let layers = "[[soil.loam.layer]]\nto_depth = \"10 in\"\nsand_pct = 130\nclay_pct = 20\n[[soil.loam.layer]]\ntexture = \"clay\"";
    let found = messages(&with("[soil.loam]\ntexture = \"loam\"", layers));
    assert_eq!(
        found,
        [
            "farm.toml, line 8 (soil \"loam\", layer 1, sand_pct): sand_pct is 130 %: sand must be from 0 to 100 %. Percent by mass of the fine earth (below 2 mm)."
        ]
    );
}

#[test]
fn count_and_area_stand_for_each_other() {
    let farm = Farm::parse(&SMALL.replace("soil = \"loam\"", "soil = \"loam\"\narea = \"1 acre\""), "farm.toml").unwrap();
    let block = farm.blocks()[0].block;
    assert_eq!(farm.blocks()[0].tree_count(), Some(1229)); // 4046.86 m2 / (1.8288 m x 1.8 m)
    assert_eq!(block.ground_m2().map(f64::round), Some(4047.0));
}

#[test]
fn empty_binary_and_foreign_text_is_refused() {
    assert_eq!(messages(" \n"), ["farm.toml: everything is missing. A farm file needs name, [site], one [soil.NAME] and one [[block]]."]);
    assert!(messages("PK\u{3}\u{4}\u{0}\u{0}")[0].contains("it holds binary data"));
    let foreign = messages("date,rain\n2026-05-01,3\n");
    assert!(foreign[0].starts_with("farm.toml, line 1: cannot read this line as TOML \"date,rain\""), "{foreign:?}");
    assert_eq!(messages("[site]\n").len(), 5, "{:?}", messages("[site]\n")); // name, latitude, elevation, soil, block
}

#[test]
#[cfg(feature = "io")]
fn a_path_that_is_not_there_or_no_text_is_said() {
    let absent = Farm::read("no/such/farm.toml").unwrap_err();
    assert!(absent.is_file() && absent.to_string().starts_with("cannot read no/such/farm.toml: "), "{absent}");
    let path = std::env::temp_dir().join(format!("dibble-farm-{}.toml", std::process::id()));
    std::fs::write(&path, [0xff, 0xfe, 0x00]).unwrap();
    let binary = Farm::read(&path).unwrap_err();
    std::fs::write(&path, SMALL).unwrap();
    let farm = Farm::read(&path);
    std::fs::remove_file(&path).unwrap();
    assert!(binary.is_file() && binary.to_string().contains("it is not UTF-8 text"), "{binary}");
    assert_eq!(farm.unwrap().name(), "Test");
}

#[test]
fn demo_farm_has_blocks_of_every_age_and_its_log() {
    let farm = Farm::demo().unwrap();
    let mut years: Vec<i32> = farm.blocks().iter().map(|b| b.stand.input().planted.year()).collect();
    years.sort_unstable();
    years.dedup();
    assert!(farm.blocks().len() >= 4 && years.len() >= 4, "{years:?}");
    let first = &farm.blocks()[0];
    assert_eq!((first.block.watered.len(), first.block.reading.len()), (12, 1));
    let rate = farm.sprinkler().and_then(|s| s.rate_mm_h);
    assert!(
        (first.block.watered[0].gross_mm(rate).unwrap().unwrap() - 22.225).abs() < 1e-9,
        "70 min at 0.75 in/h is seven eighths of an inch"
    );
}

/// The season must be one that could be: warmer and drier than usual there, sensors with gaps, no value that the checks refuse.
#[test]
fn demo_weather_is_plausible_and_has_gaps_and_a_forecast() {
    let farm = Farm::demo().unwrap();
    let weather = Farm::demo_weather().unwrap();
    let today = Farm::demo_today().unwrap();
    assert_eq!((weather.first().to_string(), weather.last() - today), ("2026-05-01".into(), 6));
    assert!(weather.faults().is_empty() && weather.notes().is_empty(), "{:?} {:?}", weather.faults(), weather.notes());
    let days = weather.complete(farm.site(), &Gaps::default()).unwrap();
    assert!(days.gap_report().faults.is_empty(), "{:?}", days.gap_report().faults);
    assert!(days.assumptions().iter().any(|a| a.key == "solar_from_range"), "no gap was filled");
    let season: f64 = days.eto_mm().iter().sum();
    let rain: f64 = days.rain_mm().iter().sum();
    // common practice for the upper Great Lakes: 4 to 6 mm a day in a hot early summer, and rain short of it
    let mean = season / days.len() as f64;
    assert!((4.0..5.5).contains(&mean) && rain < 0.6 * season, "ETo {mean} mm a day, rain {rain} mm");
    assert!(days.eto_mm().iter().all(|e| (0.5..9.0).contains(e)), "{:?}", days.eto_mm());
    assert!(farm.last_entry().unwrap() <= today);
}

#[test]
fn a_farm_comes_back_from_json_and_toml_as_it_was() {
    for farm in [Farm::demo().unwrap(), Farm::parse(SMALL, "farm.toml").unwrap()] {
        let json = serde_json::to_string(&farm).unwrap();
        assert_eq!(serde_json::from_str::<Farm>(&json).unwrap(), farm);
        assert_eq!(serde_json::to_string(&serde_json::from_str::<Farm>(&json).unwrap()).unwrap(), json);
        let toml = farm.to_toml().unwrap();
        assert_eq!(Farm::parse(&toml, "again.toml").unwrap(), farm, "{toml}");
    }
}

#[test]
fn json_goes_through_the_same_checks() {
    let mut input: FarmInput = Farm::demo().unwrap().input().clone();
    input.block[0].species = "palm".into();
    input.block[1].soil = "lava".into();
    input.site.latitude_deg = f64::NAN;
    let error = Farm::new(input.clone()).unwrap_err();
    let places: Vec<_> = error.problems().iter().filter_map(|p| p.place()).collect();
    assert_eq!(places, ["site", "block \"South slope\"", "block \"Pond field\""], "{error}");
    input.site.latitude_deg = 45.0;
    let json = serde_json::to_string(&input).unwrap();
    assert!(serde_json::from_str::<Farm>(&json).unwrap_err().to_string().contains("species \"palm\" is not known"));
    assert!(
        serde_json::from_str::<FarmInput>("{\"name\": \"x\", \"sites\": {}}").unwrap_err().to_string().contains("unknown field `sites`")
    );
}

/// Lines of the demo's file that are keys or tables when their `#` is taken away, by line number; those of a table that is
/// switched off go together.
fn switched_off() -> Vec<Vec<usize>> {
    let mut found: Vec<Vec<usize>> = Vec::new();
    let mut in_table = false;
    for (line, number) in Farm::demo_toml().lines().zip(0..) {
        let Some(rest) = line.trim_start().strip_prefix('#').filter(|rest| !rest.starts_with([' ', '-']) && !rest.is_empty()) else {
            in_table = false;
            continue;
        };
        match found.last_mut() {
            Some(last) if in_table => last.push(number),
            _ => found.push(vec![number]),
        }
        in_table |= rest.starts_with('[');
    }
    found
}

/// The demo's file with the `#` of these lines taken away.
fn switched_on(lines: &[usize]) -> String {
    let text = Farm::demo_toml().lines().zip(0..);
    let text = text.map(|(line, number)| if lines.contains(&number) { line.replacen('#', "", 1) } else { line.into() });
    text.collect::<Vec<String>>().join("\n")
}

#[test]
fn what_the_demo_file_has_switched_off_can_be_switched_on() {
    let mut alone = 0;
    for lines in switched_off() {
        match Farm::parse(&switched_on(&lines), "farm.toml") {
            Ok(_) => alone += 1,
            // "in place of" another key
            Err(error) => assert!(error.problems().iter().all(|p| p.is_inconsistent()), "lines {lines:?}: {error}"),
        }
    }
    assert!(alone > 60, "{alone} keys may be switched on by themselves");
}

/// Puts a key that nobody knows into every table, and notes which keys each kind of table has.
fn with_a_stranger(table: &mut toml::Table, kind: &str, shown: &mut BTreeMap<String, BTreeSet<String>>) {
    for (key, value) in table.iter_mut() {
        let inside = if kind.is_empty() { key.clone() } else { format!("{kind}, {key}") };
        match value {
            toml::Value::Table(named) if ["soil", "soil_test"].contains(&inside.as_str()) => {
                named.iter_mut().filter_map(|(_, one)| one.as_table_mut()).for_each(|one| with_a_stranger(one, &inside, shown));
            }
            toml::Value::Table(one) => with_a_stranger(one, &inside, shown),
            toml::Value::Array(items) => {
                items.iter_mut().filter_map(|i| i.as_table_mut()).for_each(|one| with_a_stranger(one, &inside, shown));
            }
            _ => (),
        }
    }
    shown.entry(kind.into()).or_default().extend(table.keys().cloned());
    table.insert("zzz".into(), toml::Value::Integer(1));
}

/// `farm.toml, line 3 (block "Kame", watered 2)` is a "block, watered".
fn kind_of(place: &str) -> String {
    let path = place.split_once('(').map_or("", |(_, path)| path.trim_end_matches(')'));
    let unnamed: String = path.split('"').step_by(2).collect();
    unnamed.split(", ").map(|label| label.split(' ').next().unwrap_or("")).collect::<Vec<_>>().join(", ")
}

/// The lists of known keys with which the reader answers an unknown one, against the file that people copy from.
#[test]
fn the_demo_file_shows_every_key_that_a_farm_file_may_hold() {
    let mut strange: toml::Table = switched_on(&switched_off().concat()).parse().unwrap();
    let mut shown = BTreeMap::new();
    with_a_stranger(&mut strange, "", &mut shown);
    let error = Farm::parse(&toml::to_string(&strange).unwrap(), "farm.toml").unwrap_err();
    let mut known: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for problem in error.problems().iter().filter(|p| p.given() == Some("zzz")) {
        let message = problem.to_string();
        let (_, list) = message.split_once("Known: ").unwrap_or_else(|| panic!("{message}"));
        let keys = list.trim_end_matches('.').split(", ").map(|key| key.trim_matches('"').to_string());
        known.entry(kind_of(problem.place().unwrap())).or_default().extend(keys);
    }
    // a soil of one layer is described in its own table, by the same keys
    let soil: BTreeSet<String> = ["soil", "soil, layer"].iter().flat_map(|kind| shown[*kind].clone()).collect();
    shown.extend([("soil".into(), soil.clone()), ("soil, layer".into(), soil)]);
    assert!(known.len() > 25 && known.values().map(BTreeSet::len).sum::<usize>() > 180, "{known:#?}");
    for (kind, keys) in known {
        let has = shown.get(&kind).unwrap_or_else(|| panic!("no table of the kind {kind:?} in {:?}", shown.keys()));
        let endings = ["", "_deg", "_h", "_c", "_m_s", "_mg_l", "_ds_m", "_g_cm3"];
        let hidden: Vec<_> = keys.iter().filter(|key| !endings.iter().any(|ending| has.contains(&format!("{key}{ending}")))).collect();
        assert!(hidden.is_empty(), "{kind:?} of the demo's file does not show {hidden:?}");
    }
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused_without_a_panic(text in "\\PC{0,200}") {
        let _ = Farm::parse(&text, "farm.toml");
    }

    #[test]
    fn a_damaged_demo_farm_never_panics_and_every_problem_has_a_place(cut in 0..4000_usize, length in 0..40_usize, put in "[\\]\\[\"=a-z0-9.#{}, \n-]{0,8}") {
        let demo = Farm::demo().unwrap().to_toml().unwrap();
        let text: String = demo.chars().take(cut).chain(put.chars()).chain(demo.chars().skip(cut + length)).collect();
        if let Err(error) = Farm::parse(&text, "farm.toml") {
            for problem in error.problems() {
                prop_assert!(problem.place().is_some_and(|p| p.starts_with("farm.toml")), "{}", problem);
            }
        }
    }
}

#[test]
#[cfg(feature = "schema")]
fn the_schema_knows_every_key_of_the_demo_farm() {
    let schema = serde_json::to_string(&schemars::schema_for!(Farm)).unwrap();
    fn keys(value: &serde_json::Value, under_names: bool, found: &mut Vec<String>) {
        match value {
            serde_json::Value::Object(map) => map.iter().for_each(|(key, value)| {
                if !under_names {
                    found.push(key.clone());
                }
                keys(value, key == "soil" || key == "soil_test", found);
            }),
            serde_json::Value::Array(list) => list.iter().for_each(|value| keys(value, false, found)),
            _ => {}
        }
    }
    let mut found = Vec::new();
    keys(&serde_json::to_value(Farm::demo().unwrap()).unwrap(), false, &mut found);
    for key in found {
        assert!(schema.contains(&format!("\"{key}\":")), "{key} is not in the schema");
    }
    assert!(schema.contains("\"additionalProperties\":false"));
}
