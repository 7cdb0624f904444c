//! Sets in the plan: positions and minutes, each tree's own depth and ledger, the bucket list, and the week that is made of them.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::farm::{Farm, Plan, PlanOptions, PlannedSet, Section, plan};
use dibble::placement::Why;
use dibble::schedule::PulseWay;

const FARM: &str = r#"
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
[prices]
fuel_per_gal = 4
[labor]
wage_h = 18
[[hose]]
length = "500 ft"
bore = "2 in"
rating = "150 psi"
[[hydrant]]
name = "pond"
at = "-20 80 ft"
reach = "REACH ft"
[tank]
volume = "300 gal"
fill = "20 gpm"
hand = "5 gpm"
people = 2
[soil.loam]
texture = "loam"
[[block]]
name = "One"
species = "Fraser fir"
planted = 2025
row_spacing = "6 ft"
tree_spacing = "6 ft"
soil = "loam"
WATERED
[block.field]
outline = "0 0, 200 0, 200 150, 0 150 ft"
rise = "10 ft"
row_direction_deg = 90
headland = "6 ft"
"#;

const BY_SETS: &str = r#"watered = [
  { date = 2026-06-14, depth = "1 in" },
  { date = 2026-06-26, set = [{ at = "50 75 ft", time = "90 min" }] },
  { date = 2026-07-06, set = [{ at = "50 75 ft", time = "90 min" }] },
]"#;

fn planned(reach_ft: u32, watered: &str) -> (Farm, Plan) {
    let farm = Farm::parse(&FARM.replace("REACH", &reach_ft.to_string()).replace("WATERED", watered), "farm.toml").unwrap();
    let options = PlanOptions { with: vec![Section::Sets], ..PlanOptions::default() };
    let made = plan(&farm, &Farm::demo_weather().unwrap(), "2026-07-14".parse().unwrap(), &options).unwrap();
    (farm, made)
}

fn lines(plan: &Plan, key: &str) -> String {
    let page = plan.page();
    let part = page.parts.iter().find(|p| p.key == key).unwrap();
    part.lines.iter().map(|l| format!("{}: {}\n", l.label, l.text)).collect()
}

#[test]
fn sets_are_numbered_placed_timed_and_water_every_tree_in_reach() {
    let (farm, made) = planned(500, "");
    let block = &made.blocks[0];
    let sets = block.sets.as_ref().unwrap();
    assert!(!sets.sets.is_empty() && sets.problem.is_none() && sets.short.is_empty(), "{:?}", sets.problem);
    for (set, number) in sets.sets.iter().zip(1..) {
        assert_eq!(set.number, number);
        assert!(set.row >= 1 && set.tree >= 1 && set.minutes > 1.0 && set.hose_m <= 152.4 + 1e-6, "{set:?}");
        let [longitude, latitude] = set.degrees.unwrap();
        // a hundredth of a degree is about a kilometer
        assert!((longitude + 86.0).abs() < 0.01 && (latitude - 45.5).abs() < 0.01);
    }
    // every tree gets its depth, and the quantiles are in order
    assert!((sets.target_mm - block.net_mm).abs() < 1e-9 && sets.tree_mm.len() == sets.trees);
    assert!(sets.tree_mm.iter().all(|d| *d >= sets.target_mm - 1e-6));
    let depth = sets.depth;
    assert!(depth.tenth_mm <= depth.median_mm && depth.median_mm <= depth.largest_mm);
    let tenth = sets.tree_mm.iter().filter(|d| **d <= depth.tenth_mm).count() as f64 / sets.trees as f64;
    assert!((tenth - 0.1).abs() < 0.01 && sets.tree_mm.iter().all(|d| *d <= depth.largest_mm));
    // no plan with these places is cheaper than the bound
    assert!(sets.bound_min.unwrap() <= sets.cost_min + 1e-6);
    // pump and hose: flow, pressure and fuel of the engine over the minutes of all sets
    let head = sets.head.as_ref().unwrap();
    let minutes: f64 = sets.sets.iter().map(|s| s.minutes).sum();
    assert!((sets.pumped_l - head.flow_l_min * minutes).abs() < 1e-6 * sets.pumped_l);
    assert!(head.pressure_kpa.unwrap() > 200.0 && head.hose_loss_m.unwrap() > 5.0);
    let fuel = sets.fuel.as_ref().unwrap();
    assert!((fuel.total - fuel.per_hour * minutes / 60.0).abs() < 1e-9 && fuel.unit == "L");
    assert!((fuel.cost.unwrap() - 4.0 * fuel.total / dibble::units::L_PER_GAL).abs() < 1e-9);
    let told = lines(&made, "sets");
    for label in ["Sprinkler", "Trees get", "Rate", "Day", "Fuel"] {
        assert!(told.contains(&format!("{label}: ")), "{told}");
    }
    // as files
    assert_eq!(made.sets_csv().lines().count(), 1 + sets.sets.len());
    assert_eq!(made.bucket_csv(), "");
    let features: serde_json::Value = serde_json::from_str(&made.sets_geojson(&farm).unwrap()).unwrap();
    assert_eq!(features["features"].as_array().unwrap().len(), sets.sets.len());
    assert_eq!(made, planned(500, "").1);
}

#[test]
fn the_weeks_timetable_is_made_of_the_placed_sets() {
    let (_, made) = planned(500, "");
    let sets = made.blocks[0].sets.as_ref().unwrap();
    let week = made.week.as_ref().unwrap();
    assert_eq!((week.works[0].positions, week.works[0].source.as_str()), (sets.sets.len(), "as its sets were placed"));
    let schedule = week.schedule.as_ref().unwrap();
    let mut served: Vec<&str> = schedule.timetable.iter().map(|s| s.set.as_str()).collect();
    served.sort_unstable();
    served.dedup();
    let numbers: Vec<String> = (1..=sets.sets.len()).map(|n| n.to_string()).collect();
    assert_eq!(served, numbers.iter().map(String::as_str).collect::<Vec<_>>());
    // served today, each set runs for its own minutes, rounded up once or in either of two windows
    let first = &schedule.timetable[0];
    assert_eq!(first.begin.date(), made.date);
    let set = sets.sets.iter().find(|s| s.number.to_string() == first.set).unwrap();
    let run: f64 = schedule.timetable.iter().filter(|s| s.set == first.set).map(|s| s.run_min).sum();
    assert!(run >= set.minutes && run < set.minutes + 2.0, "{run} {}", set.minutes);
}

#[test]
fn trees_that_were_not_counted_are_those_that_have_room_in_every_answer() {
    let (farm, made) = planned(500, "");
    let (block, priced) = (&made.blocks[0], made.week.as_ref().unwrap().cost.as_ref().unwrap());
    let trees = block.sets.as_ref().unwrap().trees;
    assert_eq!((block.trees, farm.blocks()[0].tree_count()), (u32::try_from(trees).ok(), u32::try_from(trees).ok()));
    assert!((priced.pass.per_tree.unwrap() - priced.pass.total / trees as f64).abs() < 1e-9 * priced.pass.total);
    assert!(block.assumptions.iter().any(|a| a.key == "trees_laid_out" && a.value == trees.to_string()));
    assert!(made.to_csv().lines().nth(1).unwrap().contains(&format!(",{trees},")));
    let counted = planned(500, "trees = 700").1;
    assert_eq!(counted.blocks[0].trees, Some(700));
    assert!(!counted.blocks[0].assumptions.iter().any(|a| a.key == "trees_laid_out"));
}

#[test]
fn a_block_with_sets_tells_their_water_and_one_without_that_it_is_an_estimate() {
    let (farm, made) = planned(500, "");
    let (block, week) = (&made.blocks[0], made.week.as_ref().unwrap());
    let sets = block.sets.as_ref().unwrap();
    // one amount of water in block, week and table
    let pumped = dibble::units::show::volume(sets.pumped_l, made.units);
    assert!(lines(&made, "block").contains(&format!("; its sets pump {pumped}\n")), "{}", lines(&made, "block"));
    let (low, high) = week.works[0].pumped_l.unwrap();
    // minutes are rounded up
    assert!(low == high && low >= sets.pumped_l && low < sets.pumped_l * 1.02, "{low} {}", sets.pumped_l);
    let csv = made.to_csv();
    let cells: Vec<Vec<&str>> = csv.lines().map(|line| line.split(',').collect()).collect();
    let cell = |name: &str| cells[1][cells[0].iter().position(|head| *head == name).unwrap()].parse::<f64>().unwrap();
    assert_eq!((cell("sets"), cell("sets_min"), cell("sets_l")), (sets.sets.len() as f64, sets.day.pump_min, sets.pumped_l));
    assert!(!lines(&made, "week").contains("estimate"));

    let even = plan(&farm, &Farm::demo_weather().unwrap(), "2026-07-14".parse().unwrap(), &PlanOptions::default()).unwrap();
    let note = "Note: One: positions and minutes are an estimate, as if the water fell evenly; with a search for places";
    assert!(lines(&even, "week").contains(note), "{}", lines(&even, "week"));
    assert!(lines(&even, "block").contains(" for all of the block's "));
    assert!(even.answer().to_string().contains("estimate"), "told in the short answer too");
}

#[test]
fn what_a_pass_counts_loses_and_brings_in_an_hour_is_that_of_its_sets_at_the_trees() {
    use dibble::sprinkler::{Set, apply};
    let (farm, made) = planned(500, "");
    let (block, of) = (&made.blocks[0], farm.blocks()[0]);
    let sets = block.sets.as_ref().unwrap();
    let (sprinkler, map) = (of.head().unwrap().unwrap().sprinkler, of.map.unwrap());
    let trees: Vec<[f64; 2]> = map.trees.iter().map(|t| t.at()).collect();
    let hour: Vec<Set> = sets.sets.iter().map(|s| Set::new([s.x_m, s.y_m], 60.0)).collect();
    let mean = |depths: &[f64]| depths.iter().sum::<f64>() / depths.len() as f64;
    let rates = sets.rates.unwrap();
    assert!((rates.overlapped_mm_h - mean(&apply(&sprinkler, &hour, &trees, Some(1)).unwrap())).abs() < 1e-9);
    let wet: usize = hour.iter().map(|s| apply(&sprinkler, &[*s], &trees, Some(1)).unwrap().iter().filter(|d| **d > 0.0).count()).sum();
    assert!((rates.circles - wet as f64 / trees.len() as f64).abs() < 1e-12 && rates.circles <= sets.sets.len() as f64);
    // logged by its depth, the pass is what it is when it is logged by its sets
    let set = sets.sets.iter().map(|s| dibble::farm::LoggedSet { at_m: [s.x_m, s.y_m], time_min: s.minutes }).collect();
    let watered = dibble::farm::Watered { set, ..dibble::farm::Watered::by_depth(made.date, 0.0) };
    assert!((of.by_sets(&watered).unwrap().gross_mm() - sets.gross_mm).abs() < 1e-9);
    let told = lines(&made, "sets");
    assert!(told.contains(&format!("Lost: {:.0} % of what is pumped", 100.0 * sets.waste)), "{told}");
    assert!(told.contains(&format!("the pass counts as a depth of {}", dibble::units::show::depth(sets.gross_mm, made.units))), "{told}");
    // the block's own account leaves what arrives to the sets
    assert!(!lines(&made, "block").contains(" pumped ("), "{}", lines(&made, "block"));
    let net = made.explain("One").unwrap().into_iter().find(|s| s.what == "net depth").unwrap();
    let least = (net.inputs[0].value * net.inputs[1].value).min(net.inputs[2].value).min(net.inputs[3].value);
    assert!((least - net.value).abs() < 1e-9 && net.value == block.net_mm, "{net:?}");
}

#[test]
fn without_places_the_headline_runs_once_where_the_week_does() {
    let planned = |texture: &str| {
        let text = FARM.replace("REACH", "500").replace("WATERED", "").replace("texture = \"loam\"", &format!("texture = \"{texture}\""));
        let farm = Farm::parse(&text, "farm.toml").unwrap();
        plan(&farm, &Farm::demo_weather().unwrap(), "2026-07-14".parse().unwrap(), &PlanOptions::default()).unwrap()
    };
    let mut seen = [false; 2];
    for texture in ["loam", "silt loam", "clay loam", "clay"] {
        let made = planned(texture);
        let candidates = &made.week.as_ref().unwrap().schedule.as_ref().unwrap().candidates;
        let once = candidates.iter().any(|c| c.chosen && c.way == PulseWay::OneRun);
        let intake = made.blocks[0].intake.as_ref().unwrap();
        if !intake.pulses.is_pulsed() {
            continue;
        }
        seen[usize::from(once)] = true;
        let headline = made.page().parts[0].tables[0].rows[0].concat();
        assert_eq!(headline.contains("pulses"), !once, "{texture}: {headline}");
        let mean = 0.5 * (made.blocks[0].run_min.0 + made.blocks[0].run_min.1);
        assert_eq!(intake.one_run_min, once.then(|| mean / intake.one_run_share.value.clamp(0.2, 1.0)));
    }
    assert_eq!(seen, [true; 2], "each way was met");
}

#[test]
fn each_tree_is_followed_to_its_limit_after_the_sets_of_the_timetable() {
    // roots of five years, so that an inch does not fill them and a tree that gets more lasts longer
    let farm_of = |watered: &str| {
        let watered = format!("irrigation_efficiency = 1.0\nwatered = [{{ date = 2026-07-08, depth = \"2 in\" }}, {watered}]");
        let text = FARM.replace("planted = 2025", "planted = 2021").replace("REACH", "500").replace("WATERED", &watered);
        Farm::parse(&text, "farm.toml").unwrap()
    };
    let planned = |watered: &str, with: Vec<Section>| {
        let options = PlanOptions { with, ..PlanOptions::default() };
        plan(&farm_of(watered), &Farm::demo_weather().unwrap(), "2026-07-14".parse().unwrap(), &options).unwrap()
    };
    let made = planned("", vec![Section::Sets]);
    let sets = made.blocks[0].sets.as_ref().unwrap();
    let after = sets.trees_after.unwrap();
    let timetable = &made.week.as_ref().unwrap().schedule.as_ref().unwrap().timetable;
    assert_eq!((after.from, after.to), (timetable[0].on.date(), timetable.last().unwrap().on.date()));
    assert_eq!((after.from, after.to, after.trees), (made.date, made.date, sets.trees), "the checks below are for one day");
    let (driest, mean) = (after.driest_limit.unwrap(), after.mean_limit.unwrap());
    assert!(after.before_next > 0 && after.before_next < after.trees && driest < mean, "{after:?}");

    // the same water as if it had been logged: the block's own ledger says when its limit is reached
    let limit = |watered: &str| {
        let block = &planned(watered, Vec::new()).blocks[0];
        // the second morning is the first that has seen the water
        made.date + block.without_rain.depletion.iter().skip(1).position(|share| *share >= block.allowed_depletion).unwrap() as i32
    };
    let run_min = |number: u32| timetable.iter().filter(|s| s.set == number.to_string()).map(|s| s.run_min).sum::<f64>();
    let stood = sets.sets.iter().map(|s| format!("{{ at = \"{} {} m\", time = \"{} min\" }}", s.x_m, s.y_m, run_min(s.number)));
    assert_eq!(limit(&format!("{{ date = 2026-07-14, set = [{}] }}", stood.collect::<Vec<_>>().join(", "))), mean);
    // each tree's depth, given to all: as many trees reach the limit before that day
    let depth_lasts = |depth_mm: f64| limit(&format!("{{ date = 2026-07-14, depth = \"{depth_mm} mm\" }}"));
    let farm = farm_of("");
    let at = farm.blocks()[0].map.unwrap().trees.iter().position(|t| Some(*t) == after.driest).unwrap();
    assert_eq!(depth_lasts(sets.tree_mm[at]), driest);
    let mut rising = sets.tree_mm.clone();
    rising.sort_by(f64::total_cmp);
    assert!(sets.tree_mm[at] < rising[0] + 0.1, "the driest gets the least, but for minutes that are rounded up");
    // at the edge of the count, a millimeter for the minutes that are rounded up
    assert!(depth_lasts(rising[after.before_next] - 1.0) < mean && depth_lasts(rising[after.before_next] + 1.0) >= mean);

    let told = lines(&made, "sets");
    let told_first = format!("Dry again: {} of {} trees reach their limit before their mean does", after.before_next, after.trees);
    assert!(told.contains(&told_first) && told.contains(&format!("({}) on {} {driest}", after.driest.unwrap().words(), driest.weekday())));
}

#[test]
fn a_pass_that_does_not_bring_the_trees_below_their_limit_says_so() {
    let (_, made) = planned(500, "");
    let after = made.blocks[0].sets.as_ref().unwrap().trees_after.unwrap();
    assert_eq!(after.mean_limit, Some(after.to));
    assert!(lines(&made, "sets").contains("Dry again: one pass is not enough: "));
}

#[test]
fn trees_beyond_the_hose_go_on_the_bucket_list() {
    let (_, made) = planned(60, "");
    let sets = made.blocks[0].sets.as_ref().unwrap();
    assert!(!sets.sets.is_empty() && !sets.short.is_empty());
    assert!(sets.sets.iter().all(|s| s.hose_m <= 60.0 * 0.3048 + 1e-6));
    let bucket = sets.bucket.as_ref().unwrap();
    assert_eq!(sets.trees_after.unwrap().trees, sets.trees - bucket.trees, "those with a bucket are not counted dry again");
    let asked = sets.short.iter().filter(|s| s.missing_mm > 0.1 * sets.target_mm).count();
    assert_eq!(bucket.loads.iter().map(|l| l.stops.len()).sum::<usize>(), asked);
    assert!(lines(&made, "sets").contains("By hand: "));
    let csv = made.bucket_csv();
    let rows: Vec<&str> = csv.lines().collect();
    assert!(rows[0].starts_with("block,stop,load,") && rows[1].starts_with("One,1,1,"), "{csv}");
    assert_eq!(rows.len(), 1 + asked);
    // why, of each; and no digits that come from converting feet
    assert!(rows[0].ends_with(",liters,why") && rows.iter().any(|r| r.ends_with(",out of reach")), "{csv}");
    let long = |cell: &str| cell.split_once('.').is_some_and(|(_, digits)| digits.len() > 3);
    assert!(!rows.iter().any(|r| r.split(',').any(long)), "{csv}");
    assert!(!made.sets_csv().lines().any(|r| r.split(',').skip(3).take(2).any(long)), "{}", made.sets_csv());
    // the list names a load once, and says of each line why
    let part = made.page().parts.into_iter().find(|p| p.key == "sets").unwrap();
    let list = part.tables.iter().find(|t| t.caption.starts_with("Bucket list")).unwrap();
    let loads: Vec<&str> = list.rows.iter().map(|r| r[0].as_str()).filter(|cell| !cell.is_empty()).collect();
    assert_eq!(loads, (1..=bucket.loads.len()).map(|n| n.to_string()).collect::<Vec<_>>());
    assert!(list.rows.iter().all(|r| !r[2].is_empty()) && list.rows.iter().any(|r| r[2] == "out of reach"), "{:?}", list.rows);
}

/// A block like an L, a small sprinkler and so much hose from its corner: 300 ft end before the far arm does.
fn ell(reach_ft: u32) -> Plan {
    let text = FARM
        .replace("REACH", &reach_ft.to_string())
        .replace("WATERED", "")
        .replace("0 0, 200 0, 200 150, 0 150 ft", "40 20, 330 20, 330 120, 150 120, 150 230, 40 230 ft")
        .replace("row_direction_deg = 90", "row_direction_deg = 0")
        .replace("radius = \"112 ft\"", "radius = \"95 ft\"\npart_circle = true")
        .replace("at = \"-20 80 ft\"", "at = \"0 0 ft\"");
    let options = PlanOptions { with: vec![Section::Sets], ..PlanOptions::default() };
    plan(&Farm::parse(&text, "farm.toml").unwrap(), &Farm::demo_weather().unwrap(), "2026-07-14".parse().unwrap(), &options).unwrap()
}

#[test]
fn a_corner_that_is_barely_reached_is_left_to_the_bucket_and_the_hours_that_saves_are_told() {
    let made = ell(300);
    let sets = made.blocks[0].sets.as_ref().unwrap();
    let left = sets.left.unwrap();
    // all others get their depth, and no longer three times as much for the sake of the corner
    let mean = sets.tree_mm.iter().sum::<f64>() / sets.trees as f64;
    assert!(mean < 1.5 * sets.target_mm && sets.depth.largest_mm < 4.0 * sets.target_mm, "{mean} {:?}", sets.depth);
    let lacks: Vec<usize> = (0..sets.trees).filter(|&k| sets.tree_mm[k] < sets.target_mm - 1e-6).collect();
    assert_eq!(sets.short.iter().map(|s| s.index).collect::<Vec<_>>(), lacks);
    // a tenth at most, and whoever is left out gets a bucket, which takes far less than it saves
    let given_up: Vec<_> = sets.short.iter().filter(|s| s.why == Why::LeftToBucket).collect();
    assert!(given_up.len() == left.trees && 10 * left.trees <= sets.trees + 10 && left.trees > 10);
    let bucket = sets.bucket.as_ref().unwrap();
    let poured = |t: &&&dibble::farm::ShortTree| bucket.loads.iter().flat_map(|l| &l.stops).any(|s| (s.row, s.tree) == (t.row, t.tree));
    assert_eq!(given_up.iter().filter(poured).count(), left.trees);
    assert!(left.saved_h > 5.0 && left.bucket_h < 1.0, "{left:?}");
    let told = lines(&made, "sets");
    assert!(told.contains(&format!("{} left to the bucket", left.trees)), "{told}");
    let hours = format!("would take {:.1} h more of water and moving, with the bucket ", left.saved_h);
    assert!(told.contains(&format!("To the bucket: {} trees that few places reach", left.trees)) && told.contains(&hours), "{told}");
    assert_eq!(made, ell(300));
    // with hose enough every tree is served
    let served = ell(400);
    let sets = served.blocks[0].sets.as_ref().unwrap();
    assert!(sets.left.is_none() && sets.short.is_empty() && sets.bucket.is_none());
    assert_eq!(sets.sets.iter().map(arc_of).collect::<Vec<_>>(), arcs_of_csv(&served));
}

/// Width and bearing as the CSV has them: north is 0, a full circle is told by none.
fn arc_of(set: &PlannedSet) -> [String; 2] {
    let tenth = |deg: f64| ((10.0 * deg).round() / 10.0 % 360.0).to_string();
    set.arc_deg.map_or([String::new(), String::new()], |(arc, facing)| [tenth(arc), tenth(facing)])
}

fn arcs_of_csv(plan: &Plan) -> Vec<[String; 2]> {
    let csv = plan.sets_csv();
    assert!(csv.lines().next().unwrap().ends_with(",arc_deg,facing_deg"));
    csv.lines()
        .skip(1)
        .map(|row| row.rsplit(',').take(2).map(String::from).collect::<Vec<_>>())
        .map(|c| [c[1].clone(), c[0].clone()])
        .collect()
}

#[test]
fn every_output_tells_the_arc_of_a_set_and_north_is_0() {
    let mut made = ell(400);
    let set = &mut made.blocks[0].sets.as_mut().unwrap().sets[0];
    set.arc_deg = Some((180.0, 359.98));
    made.blocks[0].sets.as_mut().unwrap().sets[1].arc_deg = None;
    let arcs = arcs_of_csv(&made);
    assert_eq!((arcs[0].clone(), arcs[1].clone()), (["180".to_string(), "0".to_string()], [String::new(), String::new()]));
    let farm = Farm::demo().unwrap();
    let features: serde_json::Value = serde_json::from_str(&made.sets_geojson(&farm).unwrap()).unwrap();
    let arc = |k: usize, key: &str| features["features"][k]["properties"][key].clone();
    assert_eq!((arc(0, "arc_deg"), arc(0, "facing_deg")), (180.0.into(), 0.0.into()));
    assert!(arc(1, "arc_deg").is_null() && arc(1, "facing_deg").is_null());
    let told = made.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("arc of 180 deg facing 0 deg") && !told.contains("360 deg"), "{told}");
    let field = serde_json::to_string(&made.field()).unwrap();
    assert!(field.contains("half circle facing N (0 deg)") && !field.contains("360 deg"), "{field}");
}

#[test]
fn a_hydrant_that_reaches_nothing_says_how_far_short_it_is() {
    let (_, made) = planned(10, "");
    let sets = made.blocks[0].sets.as_ref().unwrap();
    let problem = sets.problem.as_ref().unwrap();
    assert!(problem.contains("hydrant \"pond\"") && problem.contains(" m short"), "{problem}");
    assert!(sets.sets.is_empty() && sets.short.len() == sets.trees && sets.short.iter().all(|s| s.why == Why::OutOfReach));
}

#[test]
fn a_block_without_a_place_for_the_sprinkler_says_so_and_the_plan_goes_on() {
    let answer = |outline: &str, places: &str| {
        let text = FARM.replace("REACH", "300").replace("WATERED", "").replace("headland = \"6 ft\"", "headland = \"1 ft\"");
        let text = text.replace("0 0, 200 0, 200 150, 0 150 ft", outline);
        let farm = Farm::parse(&format!("{text}{places}\n"), "farm.toml").unwrap();
        let options = PlanOptions { with: vec![Section::Sets], ..PlanOptions::default() };
        plan(&farm, &Farm::demo_weather().unwrap(), "2026-07-14".parse().unwrap(), &options).unwrap()
    };
    let one_row = answer("0 0, 200 0, 200 7, 0 7 ft", "");
    let sets = one_row.blocks[0].sets.as_ref().unwrap();
    assert_eq!(
        sets.problem.as_deref(),
        Some(
            "no alley between two rows within the block's outline can take the sprinkler. Write places = \"anywhere\" for its field, \
             or water these trees by hand."
        )
    );
    assert!(sets.trees > 20 && sets.short.len() == sets.trees && sets.short.iter().all(|s| s.why == Why::OutOfReach));
    assert_eq!(answer("0 0, 200 0, 200 7, 0 7 ft", "places = \"anywhere\"").blocks[0].sets.as_ref().unwrap().problem, None);
    let no_lane = answer("0 0, 200 0, 200 60, 0 60 ft", "places = \"lanes\"");
    let problem = no_lane.blocks[0].sets.as_ref().unwrap().problem.clone().unwrap();
    assert!(problem.starts_with("no lane within the block's outline"), "{problem}");
}

#[test]
fn a_pump_that_cannot_lift_the_water_and_a_hose_beyond_its_rating_are_told_in_the_plan() {
    let told = |old: &str, new: &str| {
        let text = FARM.replace("REACH", "500").replace("WATERED", "");
        assert!(text.contains(old));
        let farm = Farm::parse(&text.replace(old, new), "farm.toml").unwrap();
        let options = PlanOptions { with: vec![Section::Sets], ..PlanOptions::default() };
        let made = plan(&farm, &Farm::demo_weather().unwrap(), "2026-07-14".parse().unwrap(), &options);
        made.map(|made| lines(&made, "sets")).map_err(|e| e.to_string())
    };
    let steep = told("rise = \"10 ft\"", "rise = \"400 ft\"").unwrap();
    assert!(
        steep.contains("No set: the pump cannot lift to the sprinkler: 34.3 m short. It gives 91.0 m at no flow, and the water"),
        "{steep}"
    );
    let weak = told("rating = \"150 psi\"", "rating = \"50 psi\"").unwrap();
    assert!(weak.contains("Mind: hose 1 works at 93 psi (643 kPa) and is rated for 50 psi (345 kPa): it can burst"), "{weak}");
    let large = told("0 0, 200 0, 200 150, 0 150 ft", "0 0, 1500 0, 1500 1500, 0 1500 ft").unwrap_err();
    assert_eq!(
        large,
        "block \"One\": 62001 trees are more than sets are placed for in one block (20000). Divide the block in the farm file, or make the plan \
         without sets (--no-sets for the command)."
    );
}

#[test]
fn logged_sets_give_each_tree_a_ledger_of_its_own() {
    let (_, made) = planned(500, BY_SETS);
    let block = &made.blocks[0];
    let trees = block.trees_so_far.as_ref().unwrap();
    let ledgers = &trees.ledgers;
    let count = ledgers.trees;
    assert_eq!((trees.places.len(), ledgers.given_mm.len(), ledgers.days_of_tree.len()), (count, count, count));
    // the sum over the trees is the block's: the mean of the logged sets and the even watering
    let mean = ledgers.given_mm.iter().sum::<f64>() / count as f64;
    assert!((mean - block.so_far.irrigation_mm).abs() < 1e-9 * mean, "{mean} {}", block.so_far.irrigation_mm);
    // one set 50 ft from the west edge: its trees got most, those of the east edge next to nothing
    let at = |x_m: f64, y_m: f64| {
        let far = |k: &usize| (trees.places[*k].x_m - x_m).hypot(trees.places[*k].y_m - y_m);
        (0..count).min_by(|a, b| far(a).total_cmp(&far(b))).unwrap()
    };
    let (near, far) = (at(15.0, 23.0), at(61.0, 0.0));
    assert!(ledgers.given_mm[near] > 2.0 * ledgers.given_mm[far]);
    assert!(ledgers.days_of_tree[far] > ledgers.days_of_tree[near] && ledgers.depletion_mm[far] > ledgers.depletion_mm[near]);
    // days and trees tell the same story twice
    let by_day: usize = ledgers.days.iter().map(|d| d.trees.len()).sum();
    assert_eq!(by_day, ledgers.days_of_tree.iter().sum::<u32>() as usize);
    assert!(ledgers.days.iter().all(|d| d.date >= ledgers.from && d.date <= ledgers.to && d.trees.is_sorted()));
    assert_eq!(ledgers.to.to_string(), "2026-07-13");
    assert!(lines(&made, "block").contains("Tree by tree: "));
    assert_eq!(made.trees_csv().lines().count(), 1 + count);
    assert!(planned(500, "").1.blocks[0].trees_so_far.is_none());
}

#[test]
fn a_plan_with_sets_travels_as_json() {
    let (_, made) = planned(500, BY_SETS);
    assert_eq!(Plan::from_json(&made.to_json().unwrap()).unwrap(), made);
}

#[test]
fn the_demos_round_is_workable_and_says_whom_it_serves_too_late() {
    let options = PlanOptions { with: vec![Section::Sets], ..PlanOptions::default() };
    let made = plan(&Farm::demo().unwrap(), &Farm::demo_weather().unwrap(), "2026-07-14".parse().unwrap(), &options).unwrap();
    for block in &made.blocks {
        let sets = block.sets.as_ref().unwrap();
        assert!(sets.left.is_none(), "hoses reach all of {}", block.name);
        // nobody comes back for less than five minutes of water
        let last = |p: &[dibble::soil::intake::Pulse]| p.len() < 2 || p.last().unwrap().on_min >= 5.0;
        assert!(sets.sets.iter().all(|s| last(&s.pulses.pulses)), "{}", block.name);
        let over = sets.tree_mm.iter().filter(|d| **d > sets.hold_mm + 1.0).count();
        let told = made
            .page()
            .parts
            .iter()
            .filter(|p| p.key == "sets" && p.block == block.name)
            .any(|p| p.lines.iter().any(|l| l.label == "Past roots" && l.text.starts_with(&format!("{over} of {} trees", sets.trees))));
        assert_eq!(told, over > 0, "{}", block.name);
    }
    let week = made.week.as_ref().unwrap();
    let schedule = week.schedule.as_ref().unwrap();
    // the forecast's days and one sprinkler: what is ahead of its likely limit and finished after it is told, with what would help
    for (name, hours) in &week.late_likely {
        let block = made.blocks.iter().find(|b| b.name == *name).unwrap();
        let limit_h = 24.0 * block.without_rain.days_left.unwrap().value;
        let done = schedule.jobs.iter().find(|j| j.name == *name).unwrap().finish;
        // to the minute; the day on which watering is first worth it counts whole
        assert!(limit_h > 0.0 && (done.hours_since(schedule.now) - limit_h - hours).abs() < 24.0 + 0.1, "{name}");
    }
    assert_eq!(week.remedies.is_empty(), schedule.in_time && week.late_likely.is_empty());
    assert_eq!(lines(&made, "week").contains("Too late: "), !(schedule.in_time && week.late_likely.is_empty()));
    let finish = schedule.finish.unwrap();
    let dated = finish.date() - made.date >= 7;
    assert_eq!(lines(&made, "week").contains(&format!("the last set ends {} {}", finish.date().weekday(), finish.date())), dated);
}

#[test]
fn where_one_run_takes_less_work_than_pulses_the_timetable_comes_back_to_no_position() {
    let options = PlanOptions { with: vec![Section::Sets], ..PlanOptions::default() };
    let made = plan(&Farm::demo().unwrap(), &Farm::demo_weather().unwrap(), "2026-07-14".parse().unwrap(), &options).unwrap();
    let clay = made.blocks.iter().find(|b| b.name == "Clay pocket").unwrap();
    let sets = &clay.sets.as_ref().unwrap().sets;
    let pulsed: Vec<_> = sets.iter().filter(|s| s.pulses.is_pulsed()).collect();
    assert!(!pulsed.is_empty(), "at the low end of its intake the clay asks for pulses");
    // a set's own rate is a few mm/h: nearly all goes in at the likely intake, more than of the 19 mm/h of water that falls evenly
    assert!(pulsed.iter().all(|s| s.one_run_share > clay.intake.as_ref().unwrap().one_run_share.value && s.one_run_share <= 1.0));
    let schedule = made.week.as_ref().unwrap().schedule.as_ref().unwrap();
    let chosen = schedule.candidates.iter().find(|c| c.chosen).unwrap();
    assert_eq!(chosen.way, PulseWay::OneRun);
    assert!(schedule.candidates.iter().filter(|c| !c.chosen).all(|c| c.work_h > chosen.work_h * (1.0 + chosen.runoff.unwrap())));
    assert!(schedule.timetable.iter().all(|s| s.pulse == (1, 1)));
    // what may run off is made up for
    let minutes: f64 = sets.iter().map(|s| s.minutes).sum();
    let ran: f64 = schedule.jobs.iter().find(|j| j.name == "Clay pocket").unwrap().run_min;
    assert!(ran > minutes, "{ran} min of {minutes}");
    assert!(lines(&made, "week").contains("Pulses: none: each position has one run, likely "));
    let part = made.page().parts.into_iter().find(|p| p.key == "sets" && p.block == "Clay pocket").unwrap();
    assert!(!part.tables[0].rows.iter().flatten().any(|cell| cell.contains("pulses")));

    // every output says the same: one run, longer by what may run off
    let set = pulsed.iter().min_by(|a, b| a.one_run_share.total_cmp(&b.one_run_share)).unwrap();
    assert!(set.runs == 1 && set.run_min > set.minutes && set.run_min == set.minutes / set.one_run_share, "{set:?}");
    let start = format!("2026-07-14,Clay pocket,{},", set.number);
    let csv = made.sets_csv();
    let row: Vec<&str> = csv.lines().find(|row| row.starts_with(&start)).unwrap().split(',').collect();
    let column = |name: &str| row[csv.lines().next().unwrap().split(',').position(|head| head == name).unwrap()];
    assert_eq!((column("minutes").parse::<f64>().unwrap(), column("pulses")), (set.run_min, "1"));
    let features: serde_json::Value = serde_json::from_str(&made.sets_geojson(&Farm::demo().unwrap()).unwrap()).unwrap();
    let told = |f: &&serde_json::Value| f["properties"]["block"] == "Clay pocket" && f["properties"]["number"] == set.number;
    let feature = &features["features"].as_array().unwrap().iter().find(told).unwrap()["properties"];
    assert_eq!((feature["minutes"].as_f64().unwrap(), feature["pulses"].as_u64().unwrap()), (set.run_min, 1));
    let water = dibble::units::show::minutes(sets.iter().map(|s| s.run_min).sum());
    let headlines = made.page().parts.into_iter().find(|p| p.key == "headlines").unwrap();
    let row = headlines.tables[0].rows.iter().find(|row| row[0] == "Clay pocket").unwrap().concat();
    assert!(row.contains(&format!("{water} of water")), "{row}");
    assert!(part.lines.iter().any(|l| l.label == "Day" && l.text.contains(&format!(": {water} of water, "))));
}
