//! Pump, hoses, sprinkler, hydrants, tank and the ground of a block in the farm file: what is read and what is refused.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::farm::{Farm, FarmInput};
use dibble::units::{KPA_PER_PSI, L_PER_GAL};

const FULL: &str = r#"
name = "Test"
[site]
latitude_deg = 45.5
longitude_deg = -86
elevation_m = 290
[sprinkler]
nozzle = "0.60 in"
radius = "112 ft"
spray_climate = "humid"
move_time = "25 min"
[pump]
rated_flow = "80 gpm"
rated_head = "224 ft"
power = "8.4 hp"
engine = "gasoline"
suction_lift = "8 ft"
[[hose]]
length = "500 ft"
bore = "2 in"
rating = "150 psi"
[[hydrant]]
name = "pond"
at = "-50 200 ft"
[tank]
volume = "300 gal"
fill = "20 gpm"
hand = "5 gpm"
people = 2
walk = "3 ft/s"
[[area]]
name = "road"
kind = "dry"
outline = "-100 -30, 700 -30, 700 -60, -100 -60 ft"
[soil.loam]
texture = "loam"
[[block]]
name = "One"
species = "white pine"
planted = 2024
row_spacing = "6 ft"
tree_spacing_m = 1.8
soil = "loam"
[block.field]
outline = "0 0, 300 0, 300 150, 0 150 ft"
rise = "10 ft"
row_direction_deg = 90
headland = "6 ft"
lane_every = 8
lane_width = "6 ft"
places = "lanes"
[[block.watered]]
date = 2026-06-01
set = [{ at = "100 75 ft", time = "60 min" }, { at = "200 75 ft", time = "60 min" }]
"#;

fn messages(text: &str) -> Vec<String> {
    Farm::parse(text, "farm.toml").err().iter().flat_map(dibble::Error::problems).map(ToString::to_string).collect()
}

#[test]
fn a_farm_with_its_equipment_comes_back_as_it_was() {
    let farm = Farm::parse(FULL, "farm.toml").unwrap();
    let toml = farm.to_toml().unwrap();
    assert_eq!(Farm::parse(&toml, "again.toml").unwrap(), farm, "{toml}");
    let json = serde_json::to_string(&farm).unwrap();
    assert_eq!(serde_json::from_str::<Farm>(&json).unwrap(), farm);
}

#[test]
fn the_field_fact_comes_out_of_a_farm_file() {
    // common practice: about 80 gpm at 60 psi through 0.60 in at the end of 500 ft of 2 in lay-flat
    let farm = Farm::parse(FULL, "farm.toml").unwrap();
    let head = farm.blocks()[0].head().unwrap().unwrap();
    let (gpm, psi) = (head.sprinkler.flow_l_min() / L_PER_GAL, head.pressure_kpa.unwrap() / KPA_PER_PSI);
    assert!((79.0..82.0).contains(&gpm) && (58.0..63.0).contains(&psi), "{gpm} gpm at {psi} psi");
    assert!((head.sprinkler.radius_m() - 112.0 * 0.3048).abs() < 1e-9);
    // without a measured radius it is estimated, and said so
    let farm = Farm::parse(&FULL.replace("radius = \"112 ft\"\n", ""), "farm.toml").unwrap();
    let head = farm.blocks()[0].head().unwrap().unwrap();
    assert!(head.assumptions.iter().any(|a| a.key == "throw_radius"), "{:?}", head.assumptions);
}

#[test]
fn a_rate_that_is_not_given_follows_from_flow_and_spacing() {
    let farm = Farm::parse(FULL, "farm.toml").unwrap();
    let rate = farm.blocks()[0].rate_mm_h.unwrap();
    // 82 gpm at the pump's height over squares of half the wetted diameter, 112 ft: 96.25 x 82 / 112^2 in/h
    assert!((rate / 25.4 - 0.63).abs() < 0.01, "{rate}");
    let given = Farm::parse(&FULL.replace("nozzle =", "rate = \"0.75 in/h\"\nnozzle ="), "farm.toml").unwrap();
    assert!((given.blocks()[0].rate_mm_h.unwrap() - 19.05).abs() < 1e-9);
}

#[test]
fn sets_of_the_log_give_each_tree_its_own_depth() {
    let farm = Farm::parse(FULL, "farm.toml").unwrap();
    let block = farm.blocks()[0];
    let map = block.map.unwrap();
    let landed = block.by_sets(&block.block.watered[0]).unwrap();
    assert_eq!(landed.tree_mm.len(), map.trees.len());
    let nearest = |x_ft: f64, y_ft: f64| {
        let gap = |k: &usize| (map.trees[*k].x_m / 0.3048 - x_ft).hypot(map.trees[*k].y_m / 0.3048 - y_ft);
        (0..map.trees.len()).min_by(|a, b| gap(a).total_cmp(&gap(b))).unwrap()
    };
    let depth = |x_ft: f64, y_ft: f64| landed.tree_mm[nearest(x_ft, y_ft)];
    assert!(depth(150.0, 75.0) > depth(10.0, 10.0), "between two sets a tree gets more than in the corner");
    let (_, gross_mm) = block.waterings().unwrap()[0];
    assert!((gross_mm - landed.mean_mm() / (1.0 - landed.spray_loss)).abs() < 1e-12 && gross_mm > 0.0);
}

#[test]
fn a_curve_of_points_a_measured_profile_and_wind_are_read() {
    let points = r#"[[pump.curve]]
flow = "0 gpm"
head = "260 ft"
[[pump.curve]]
flow = "100 gpm"
head = "200 ft"
[[pump.curve]]
flow = "140 gpm"
head = "140 ft"
"#;
    let cans = "[sprinkler.wind]\nfrom_deg = 270\ndrift = \"8 ft\"\nacross = 0.95\n[[sprinkler.can]]\ndistance = \"10 ft\"\ncaught = 0.3\n[[sprinkler.can]]\ndistance = \"60 ft\"\ncaught = 0.25\n[[sprinkler.can]]\ndistance = \"110 ft\"\ncaught = 0\n";
    let text = FULL
        .replace("rated_flow = \"80 gpm\"\nrated_head = \"224 ft\"\npower = \"8.4 hp\"\n", "")
        .replace("[[hose]]", &format!("{points}[[hose]]"))
        .replace("radius = \"112 ft\"\n", "")
        .replace("[pump]", &format!("{cans}[pump]"));
    let farm = Farm::parse(&text, "farm.toml").unwrap();
    let head = farm.blocks()[0].head().unwrap().unwrap();
    assert_eq!(head.sprinkler.profile().name(), "measured");
    assert!((head.sprinkler.radius_m() - 110.0 * 0.3048).abs() < 1e-9);
    assert!(head.sprinkler.input().wind.is_some());
    assert_eq!(Farm::parse(&farm.to_toml().unwrap(), "again.toml").unwrap(), farm);
}

#[test]
fn each_mistake_says_where_it_is_and_what_to_write() {
    for (old, new, message) in [
        (
            "nozzle = \"0.60 in\"",
            "nozzle = \"0.60 ft\"",
            "farm.toml, line 8 (sprinkler, nozzle): nozzle_mm is 182.88 mm: bore of the nozzle must be from 0.5 to 100 mm. Give millimeters; 1 in is 25.4 mm.".to_string(),
        ),
        (
            "nozzle = \"0.60 in\"\n",
            "",
            "farm.toml, line 7 (sprinkler): rate is missing. Write rate = \"0.75 in/h\"; or nozzle with [pump] and [[hose]], or with pressure; or flow and radius.".into(),
        ),
        (
            "nozzle = \"0.60 in\"",
            "nozzle = \"0.60 in\"\nprofile = \"cones\"",
            "farm.toml, line 9 (sprinkler, profile): profile \"cones\" is not known. Did you mean \"cone\"? Known: \"cone\", \"ellipse\", \"parabola\", \"ring\", \"disc\".".into(),
        ),
        (
            "radius = \"112 ft\"",
            "radius_m = 0",
            "farm.toml, line 9 (sprinkler, radius_m): radius_m is 0 m: wetted radius must be from 0.5 to 200 m. Give the distance from the sprinkler to the last wet ground, in meters; 1 ft is 0.3048 m.".into(),
        ),
        (
            "radius = \"112 ft\"",
            "radius = \"112 ft\"\narc_deg = 400",
            "farm.toml, line 10 (sprinkler, arc_deg): arc_deg is 400 deg: arc of a part circle must be from 1 to 360 deg. 360 is the full circle, 180 a half circle.".into(),
        ),
        (
            "rated_head = \"224 ft\"\n",
            "",
            "farm.toml, line 12 (pump): rated_head is missing. Write rated_head = \"215 ft\".".into(),
        ),
        (
            "power = \"8.4 hp\"",
            "power_kw = 1.5",
            "farm.toml, line 12 (pump): power_kw is 1.5 kW where the rated water takes 3.38 kW: an efficiency of 2.25. A pump turns a third to four fifths of its shaft power into water power; check the units of flow, head and power.".into(),
        ),
        (
            "rated_head = \"224 ft\"",
            "rated_head = \"224 ft\"\nshutoff_head = \"280 ft\"",
            "farm.toml, line 12 (pump): the pump is described in more than one way. Keep the rated point, the points of the curve, or power with shutoff_head.".into(),
        ),
        (
            "suction_lift = \"8 ft\"",
            "suction_lift = \"80 ft\"",
            "farm.toml, line 17 (pump, suction_lift): suction_lift_m is 24.384 m: height of the pump above the water must be from -50 to 10.4 m. A pump below the water is negative. No pump lifts water by suction more than 10.3 m.".into(),
        ),
        (
            "engine = \"gasoline\"",
            "engine = \"petrol\"",
            "farm.toml, line 16 (pump, engine): engine \"petrol\" is not known. Known: \"gasoline\", \"diesel\", \"propane\", \"electric\".".into(),
        ),
        (
            "bore = \"2 in\"",
            "bore = \"2 in\"\nmaterial = \"pvc\"\nc = 150",
            "farm.toml, line 18 (hose 1): material and c of one hose are both given. Keep one of them: c goes before any table.".into(),
        ),
        (
            "bore = \"2 in\"",
            "bore_mm = 0",
            "farm.toml, line 20 (hose 1, bore_mm): bore_mm is 0 mm: inner diameter must be from 1 to 2000 mm. Give the true bore in millimeters; 2 in is 50.8 mm.".into(),
        ),
        (
            "at = \"-50 200 ft\"",
            "at = \"-50 ft\"",
            "farm.toml, line 24 (hydrant \"pond\", at): cannot read at_m \"-50 ft\": position 1 is \"-50\", and two numbers are wanted. Write at = \"200 130 ft\" or at_m = [61, 39.6].".into(),
        ),
        (
            "volume = \"300 gal\"",
            "volume_l = 0",
            "farm.toml, line 26 (tank, volume_l): volume_l is 0 L: volume of the tank must be from 1 to 100000 L. Give liters; 300 gal is 1,136 L.".into(),
        ),
        (
            "people = 2",
            "people = 0",
            "farm.toml, line 25 (tank): people is 0. Give the number of people who pour, at least 1.".into(),
        ),
        (
            "kind = \"dry\"",
            "kind = \"wet\"",
            "farm.toml, line 33 (area \"road\", kind): kind of area \"wet\" is not known. Known: \"keep_out\", \"dry\".".into(),
        ),
        (
            "outline = \"0 0, 300 0, 300 150, 0 150 ft\"",
            "outline_m = [[0, 0], [60, 40], [60, 0], [0, 40]]",
            "farm.toml, line 44 (block \"One\", field): the outline crosses itself: the edge from corner 1 meets the edge from corner 3 at (30, 20). Give the corners in order round the field.".into(),
        ),
        (
            "outline = \"0 0, 300 0, 300 150, 0 150 ft\"",
            "outline_m = [[0, 0], [60, 0], [30, 0]]",
            "farm.toml, line 44 (block \"One\", field): the outline encloses 0 m2. Give an outline with an area, in meters: longitude and latitude must be turned into meters first.".into(),
        ),
        (
            "outline = \"0 0, 300 0, 300 150, 0 150 ft\"",
            "outline_m = [[0, 0], [nan, 0], [30, 30]]",
            "farm.toml, line 44 (block \"One\", field): x_m is NaN m: position must be from -10000000 to 10000000 m. Give meters east and north of an origin nearby, not degrees.".into(),
        ),
        (
            "row_direction_deg = 90\nheadland = \"6 ft\"\nlane_every = 8\nlane_width = \"6 ft\"\nplaces = \"lanes\"\n",
            "tree_at_m = [[10, 10], [300, 10]]\n",
            "farm.toml, line 37 (block \"One\"): tree 2 at (300, 10) stands 208.6 m outside the outline. Correct the position or the outline; x is meters east and y meters north.".into(),
        ),
        (
            "rated_flow = \"80 gpm\"\nrated_head = \"224 ft\"\npower = \"8.4 hp\"\n",
            "curve = [{ flow_l_min = 0, head_m = 40 }, { flow_l_min = 100, head_m = 42 }, { flow_l_min = 200, head_m = 30 }]\n",
            "farm.toml, line 12 (pump): the pump curve rises from 40 m at 0 L/min to 42 m at 100 L/min. Head falls with flow: check the order of the two numbers, or leave the point out.".into(),
        ),
        (
            "latitude_deg = 45.5\nlongitude_deg = -86",
            "latitude_deg = -86\nlongitude_deg = 45.5",
            "farm.toml, line 3 (site): latitude_deg -86 and longitude_deg 45.5 lie where no farm can be, and the two exchanged do not. Exchange them; north and east are positive.".into(),
        ),
        (
            "rise = \"10 ft\"",
            "rise = \"2000 ft\"",
            "farm.toml, line 46 (block \"One\", field, rise): rise_m is 609.6 m: rise from the pump to the nozzle must be from -300 to 300 m. Give meters; downhill is negative.".into(),
        ),
        (
            "places = \"lanes\"",
            "places = \"lane\"",
            "farm.toml, line 51 (block \"One\", field, places): places \"lane\" is not known. Did you mean \"lanes\"? Known: \"alleys\", \"lanes\", \"anywhere\".".into(),
        ),
        (
            "soil = \"loam\"",
            "soil = \"loam\"\ntrees = 4000",
            "farm.toml, line 37 (block \"One\"): 4000 trees are counted, and 1078 have room within the outline. Correct the count, the outline, the headland or the lanes.".into(),
        ),
        (
            "soil = \"loam\"",
            "soil = \"loam\"\narea = \"2 acres\"",
            "farm.toml, line 37 (block \"One\"): the outline holds 4181 m2, and area_m2 is 8094. Correct the outline or its unit, or leave the area out.".into(),
        ),
        (
            "time = \"60 min\" }, {",
            "time = \"60 min\", arc = 180 }, {",
            "farm.toml, line 54 (block \"One\", watered 1, set 1): key \"arc\" is not known. Did you mean \"at\"? Known: \"at\", \"time\".".into(),
        ),
        (
            "date = 2026-06-01",
            "date = 2026-06-01\ntime = \"40 min\"",
            "farm.toml, line 52 (block \"One\", watered 1): depth, time or sets of one watering are given together. Keep one of them.".into(),
        ),
    ] {
        assert!(FULL.contains(old), "{old}");
        let found = messages(&FULL.replace(old, new));
        assert!(found.contains(&message), "{new}\n wanted {message}\n found {found:#?}");
    }
}

#[test]
fn tables_that_need_each_other_ask_for_each_other() {
    let without = |from: &str, to: &str| {
        let (start, end) = (FULL.find(from).unwrap(), FULL.find(to).unwrap());
        messages(&format!("{}{}", &FULL[..start], &FULL[end..]))
    };
    assert_eq!(
        without("[pump]", "[[hose]]"),
        ["farm.toml, line 1: [pump] is missing. Hoses count with the pump that feeds them: write [pump] with rated_flow and rated_head."]
    );
    assert_eq!(
        without("[[hose]]", "[[hydrant]]"),
        ["farm.toml, line 1: [[hose]] is missing. Write the hoses from the pump to the sprinkler: length and bore of each."]
    );
    let sets = "A watering by its sets needs [block.field] with the outline, and the sprinkler's nozzle with [pump] and [[hose]], or its flow and radius; or give the depth.";
    assert_eq!(
        without("[block.field]", "[[block.watered]]"),
        [format!("farm.toml, line 37 (block \"One\"): [block.field] is missing. {sets}")]
    );
    let mut input: FarmInput = Farm::parse(FULL, "farm.toml").unwrap().input().clone();
    input.hose[0].bore_mm = f64::NAN;
    input.hydrant[0].name.clear();
    input.block[0].field.as_mut().unwrap().outline_m = vec![[0.0, 0.0], [9.0, 0.0]];
    let error = Farm::new(input).unwrap_err();
    let places: Vec<_> = error.problems().iter().filter_map(|p| p.place()).collect();
    assert_eq!(places, ["hose 1", "hydrant \"\"", "block \"One\""], "{error}");
}
