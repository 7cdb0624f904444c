//! Placement: plans that hold, the same every time, and clear words for what cannot be.
#![allow(clippy::panic, clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::control::Control;
use dibble::geom::{Plane, Polygon, Xy};
use dibble::hydraulics::{Curve, Hose, HoseInput, Pump, PumpInput, System, SystemInput};
use dibble::num::random::Stream;
use dibble::placement::{
    Field, FieldMap, HoseRun, Hydrant, MOST_POSITIONS, MOST_TREES, PlaceRequest, Placement, Positions, Prices, Supply, Why, place,
};
use dibble::sprinkler::{Nozzle, Profile, Set, Sprinkler, SprinklerInput, apply, water_within_l};
use proptest::prelude::*;

fn gun() -> Sprinkler {
    Sprinkler::new(SprinklerInput { spray_loss: 0.05, ..SprinklerInput::new(300.0, 30.0, Profile::Cone) }).unwrap()
}

fn rows(nx: usize, ny: usize, step: f64) -> Vec<Xy> {
    (0..nx).flat_map(|i| (0..ny).map(move |j| [1.0 + step * i as f64, 1.0 + step * j as f64])).collect()
}

/// 80 m by 60 m, 300 trees, few positions: quick in a debug build.
fn block() -> PlaceRequest {
    let field = Field::new(Polygon::new(&[[0.0, 0.0], [80.0, 0.0], [80.0, 60.0], [0.0, 60.0]]).unwrap());
    let request = PlaceRequest::new(field, gun(), rows(20, 15, 4.1), 15.0);
    PlaceRequest { positions: Positions::Grid { spacing_m: 10.0, facing_deg: 0.0 }, work: 60, ..request }
}

fn placed(request: &PlaceRequest) -> Placement {
    place(request, &Control::new()).unwrap()
}

fn refused(request: &PlaceRequest) -> String {
    place(request, &Control::new()).unwrap_err().to_string()
}

#[test]
fn every_tree_in_reach_gets_its_target_and_the_bound_lies_below_the_cost() {
    let plan = placed(&block());
    assert!(plan.short.is_empty());
    assert!(plan.depths_mm.iter().all(|d| *d >= 15.0 - 1e-6));
    let (bound, gap) = (plan.bound_min.unwrap(), plan.gap.unwrap());
    assert!(bound > 0.0 && bound <= plan.cost.total_min && (gap - (1.0 - bound / plan.cost.total_min)).abs() < 1e-12);
}

#[test]
fn the_same_request_gives_the_same_plan_on_any_number_of_threads() {
    let plans = [None, Some(1), Some(2), Some(7)].map(|n_threads| placed(&PlaceRequest { n_threads, ..block() }));
    assert!(plans.iter().all(|p| *p == plans[0]));
    let other = placed(&PlaceRequest { seed: 1, ..block() });
    assert_eq!(other, placed(&PlaceRequest { seed: 1, ..block() }));
}

#[test]
fn parts_of_the_cost_and_of_the_water_add_up() {
    let plan = placed(&block());
    let (c, w) = (&plan.cost, &plan.water);
    assert!((c.total_min - (c.priced_pump_min + c.move_min + c.stray_min + c.drained_min + c.short_min)).abs() < 1e-9);
    assert_eq!((c.pump_min, c.move_min), (plan.minutes().iter().sum(), 20.0 * plan.sets.len() as f64));
    assert!((w.pumped_l - w.spray_l - w.on_block_l - w.beside_l).abs() < 1e-6 && (w.spray_l - 0.05 * w.pumped_l).abs() < 1e-6);
    assert!((c.stray_min - 3.0 * w.beside_l / 1000.0).abs() < 1e-9 && (c.drained_min - 3.0 * w.drained_l / 1000.0).abs() < 1e-9);
    let steps = plan.explain();
    assert_eq!(steps.last().unwrap().value, plan.bound_min.unwrap());
    assert_eq!(steps.iter().find(|s| s.what == "cost").unwrap().value, c.total_min);
    let (text, sets) = (plan.to_string(), plan.sets.len());
    assert!(text.starts_with(&format!("{sets} sets: pump ")) && text.contains("no plan with these 48 positions costs less"), "{text}");
}

#[test]
fn requests_and_plans_travel_as_json() {
    let request = PlaceRequest { hydrants: vec![Hydrant::new([0.0, 0.0], 120.0)], ..block() };
    let text = serde_json::to_string(&request).unwrap();
    assert_eq!(serde_json::from_str::<PlaceRequest>(&text).unwrap(), request);
    let plan = placed(&request);
    assert_eq!(Placement::from_json(&plan.to_json().unwrap()).unwrap(), plan);
    // a request may be short, and a faulty outline in it is refused with its place
    let least = r#"{"field": {"outline": {"outline": [[0, 0], [40, 0], [40, 30], [0, 30]]}}, "sprinkler": {"flow_l_min": 200, "radius_m": 25},
        "trees_xy_m": [[10, 10], [30, 20]], "target_mm": 12}"#;
    assert!(placed(&serde_json::from_str(least).unwrap()).short.is_empty());
    let crossed = least.replace("[40, 0], [40, 30]", "[40, 30], [40, 0]");
    let error = serde_json::from_str::<PlaceRequest>(&crossed).unwrap_err().to_string();
    assert!(error.contains("the outline crosses itself: the edge from corner 1 meets the edge from corner 3 at (20, 15)"), "{error}");
    let flat = least.replace("[40, 30], [0, 30]", "[20, 0], [10, 0]");
    assert!(serde_json::from_str::<PlaceRequest>(&flat).unwrap_err().to_string().contains("encloses 0 m2"));
}

#[test]
fn nothing_stands_on_ground_to_keep_out_of_nor_wets_what_must_stay_dry() {
    let house = Polygon::new(&[[30.0, 20.0], [50.0, 20.0], [50.0, 40.0], [30.0, 40.0]]).unwrap();
    let road = Polygon::new(&[[-10.0, -8.0], [90.0, -8.0], [90.0, -4.0], [-10.0, -4.0]]).unwrap();
    let field = Field { keep_out: vec![house.clone()], stay_dry: vec![road.clone()], ..block().field };
    let spots = (0..9).flat_map(|i| [0.0, 50.0].map(|y| [10.0 * f64::from(i), y])).chain([[40.0, 30.0]]).collect();
    let request = PlaceRequest { field, edge_arcs_deg: vec![180.0], positions: Positions::Given(spots), ..block() };
    let plan = placed(&request);
    assert!(plan.sets_xy_m().iter().all(|at| !house.contains(*at)));
    for set in &plan.sets {
        assert!(water_within_l(&request.sprinkler, set, &road).unwrap() < 1e-6);
    }
    assert!(
        plan.sets.iter().any(|s| s.arc.is_some_and(|a| a.facing_deg() % 360.0 < 1e-6 || a.facing_deg() > 359.999)),
        "half circles face north, away from the road"
    );
    assert!(plan.left_out > 0 && plan.water.keep_out_l > 0.0);
    // full circles alone cannot do it for the southern rows
    let full = placed(&PlaceRequest { edge_arcs_deg: Vec::new(), ..request });
    assert!(full.short.iter().any(|s| s.why == Why::OutOfReach));
}

#[test]
fn hoses_reach_every_set_and_are_dragged_less_than_in_any_random_order() {
    let hydrants = vec![Hydrant::new([0.0, 0.0], 60.0), Hydrant::new([80.0, 60.0], 60.0)];
    for hose_run in HoseRun::ALL {
        let request = PlaceRequest { hydrants: hydrants.clone(), hose_run: *hose_run, ..block() };
        let plan = placed(&request);
        let run = |a: Xy, b: Xy| match hose_run {
            HoseRun::Straight => (a[0] - b[0]).hypot(a[1] - b[1]),
            HoseRun::AlongRows => (a[0] - b[0]).abs() + (a[1] - b[1]).abs(),
        };
        for ((at, hydrant), hose) in plan.sets_xy_m().into_iter().zip(&plan.hydrants).zip(&plan.hose_m) {
            let length = run(hydrants[hydrant.unwrap()].at(), at);
            assert!((length - hose).abs() < 1e-9 && *hose <= 60.0);
        }
        let way = |order: &[usize]| {
            let mut last: Option<(usize, Xy)> = None;
            let mut sum = 0.0;
            for &k in order {
                let (h, at) = (plan.hydrants[k].unwrap(), plan.sets_xy_m()[k]);
                sum += last.filter(|l| l.0 == h).map_or_else(|| run(hydrants[h].at(), at), |l| run(l.1, at));
                last = Some((h, at));
            }
            sum
        };
        let own: Vec<usize> = (0..plan.sets.len()).collect();
        assert!((way(&own) - plan.dragged_m).abs() < 1e-9);
        let mut stream = Stream::new(3, 0);
        for _ in 0..200 {
            let mut order = own.clone();
            order.sort_by_key(|k| (plan.hydrants[*k], stream.next_u64()));
            assert!(way(&order) >= plan.dragged_m - 1e-9);
        }
    }
}

#[test]
fn caps_hold_and_what_they_leave_short_is_listed() {
    let capped = placed(&PlaceRequest { cap_mm: Some(27.0.into()), ..block() });
    assert!(capped.depths_mm.iter().all(|d| *d <= 27.0 + 1e-5));
    let tight = placed(&PlaceRequest { cap_mm: Some(18.0.into()), ..block() });
    assert!(tight.depths_mm.iter().all(|d| *d <= 18.0 + 1e-5));
    for (tree, depth) in tight.depths_mm.iter().enumerate() {
        let listed = tight.short.iter().find(|s| s.tree == tree);
        assert_eq!(listed.is_some(), *depth < 15.0 - 1e-6);
        assert!(listed.is_none_or(|s| (s.missing_mm - (15.0 - depth)).abs() < 1e-9));
    }
    assert!(!tight.short.is_empty(), "a cone cannot be that even");
    let gentle = PlaceRequest { per_set_mm: Some(6.0.into()), ..block() };
    let gently = placed(&gentle);
    for set in &gently.sets {
        let alone = apply(&gentle.sprinkler, std::slice::from_ref(set), &gentle.trees_xy_m, None).unwrap();
        assert!(alone.iter().all(|d| *d <= 6.0 + 1e-5));
    }
    assert!(gently.sets.len() > placed(&block()).sets.len());
}

#[test]
fn trees_beyond_the_hose_go_on_the_list_with_the_reason() {
    let request = PlaceRequest {
        hydrants: vec![Hydrant::new([0.0, 30.0], 30.0)],
        labels: (0..300).map(|i| format!("row {}, tree {}", i % 15 + 1, i / 15 + 1)).collect(),
        ..block()
    };
    let plan = placed(&request);
    let far = plan.short.iter().find(|s| s.tree == 299).unwrap();
    assert_eq!((far.name.as_str(), far.why, far.depth_mm, far.missing_mm), ("row 15, tree 20", Why::OutOfReach, 0.0, 15.0));
    // who is short without a cap cannot be served, and costs nothing
    assert!(plan.short.iter().all(|s| s.why != Why::NotWorthIt) && plan.cost.short_min == 0.0);
    assert!(plan.to_string().contains("row 15, tree 20 gets 0.00 in (0.0 mm), lacks 0.59 in (15 mm): out of reach"));
}

#[test]
fn a_low_price_on_what_trees_lack_gives_up_those_that_cost_hours() {
    let mut lonely = block();
    lonely.trees_xy_m.retain(|[x, _]| *x < 30.0);
    lonely.trees_xy_m.push([79.0, 59.0]);
    assert!(placed(&lonely).short.is_empty());
    let prices = Prices { short_min_per_mm: 1.0, ..Prices::default() };
    let plan = placed(&PlaceRequest { prices, ..lonely });
    let last = plan.short.iter().find(|s| s.tree == plan.depths_mm.len() - 1).unwrap();
    assert!(last.why == Why::NotWorthIt && plan.cost.short_min > 0.0);
}

#[test]
fn flow_and_radius_follow_from_the_pump_where_it_is_given() {
    let pump = Pump::new(PumpInput::new(Curve::Rated { flow_l_min: 300.0, head_m: 66.0, power_kw: None })).unwrap();
    let hose = Hose::new(HoseInput::new(150.0, 50.8)).unwrap();
    let system = SystemInput::new(pump, vec![hose], Nozzle::new(15.16, 0.97).unwrap(), 3.0);
    let supply = |lift_m| Supply { system: System::new(SystemInput { lift_m, ..system.clone() }).unwrap(), section_m: Some(15.0) };
    let request = PlaceRequest { supply: Some(supply(3.0)), hydrants: vec![Hydrant::new([0.0, 0.0], 150.0)], ..block() };
    let plan = placed(&request);
    let mut by_hose: Vec<(f64, f64)> = plan.hose_m.iter().zip(&plan.sets).map(|(h, s)| (*h, s.flow_l_min.unwrap())).collect();
    by_hose.sort_by(|a, b| a.0.total_cmp(&b.0));
    assert!(by_hose.windows(2).all(|w| w[0].1 >= w[1].1) && by_hose[0].1 > by_hose.last().unwrap().1);
    for Set { flow_l_min, radius_m, .. } in &plan.sets {
        assert!((radius_m.unwrap() / 30.0 - flow_l_min.unwrap() / 300.0).abs() < 1e-12);
    }
    assert!(plan.assumptions.iter().any(|a| a.key == "throw_with_flow"));
    assert!(refused(&PlaceRequest { supply: Some(supply(120.0)), ..request }).starts_with("the pump cannot lift to the sprinkler: "));
}

#[test]
fn alleys_are_walked_at_equal_steps_and_given_places_are_kept() {
    let lines = vec![vec![[10.0, 5.0], [10.0, 55.0]], vec![[40.0, 5.0], [40.0, 55.0]], vec![[70.0, 5.0], [70.0, 55.0]]];
    let plan = placed(&PlaceRequest { positions: Positions::Alleys { lines, step_m: 13.0 }, ..block() });
    assert_eq!(plan.positions, 15);
    for [x, y] in plan.sets_xy_m() {
        assert!([10.0, 40.0, 70.0].contains(&x) && ((y - 5.0) / 12.5).fract().abs() < 1e-9, "({x}, {y})");
    }
    let small = Field::new(Polygon::new(&[[0.0, 0.0], [30.0, 0.0], [30.0, 24.0], [0.0, 24.0]]).unwrap());
    let request = PlaceRequest { field: small, trees_xy_m: rows(7, 5, 4.1), positions: Positions::Anywhere, ..block() };
    let anywhere = placed(&request);
    assert!(anywhere.positions <= 400 && anywhere.assumptions.iter().any(|a| a.key == "position_grid"));
}

#[test]
fn work_limits_end_the_search_with_a_plan_and_cancelling_ends_it_at_once() {
    let short = placed(&PlaceRequest { work: 1, ..block() });
    assert!(short.short.is_empty() && short.solved <= 3);
    let limited = place(&PlaceRequest { work: 5000, ..block() }, &Control::new().with_limit(10)).unwrap();
    assert!(limited.short.is_empty() && limited.solved <= 12, "{}", limited.solved);
    let more = placed(&block());
    assert!(more.cost.total_min <= short.cost.total_min && more.bound_min == short.bound_min);
    let control = Control::new();
    control.cancel();
    assert!(place(&block(), &control).unwrap_err().is_cancelled());
    // cancelled from the progress callback: no further program is begun
    let inner = Control::new();
    let seen = std::sync::Arc::new(std::sync::atomic::AtomicU64::new(0));
    let (flag, counter) = (inner.clone(), seen.clone());
    let control = inner.with_progress(move |_, _| {
        if counter.fetch_add(1, std::sync::atomic::Ordering::Relaxed) == 20 {
            flag.cancel();
        }
    });
    assert!(place(&block(), &control).unwrap_err().is_cancelled());
    assert_eq!(seen.load(std::sync::atomic::Ordering::Relaxed), 21);
}

#[test]
fn maps_come_back_from_geojson_and_plans_go_out() {
    let plane = Plane::new(-84.70, 45.00).unwrap();
    let hole = [[30.0, 20.0], [30.0, 30.0], [45.0, 30.0], [45.0, 20.0]];
    let field = Field { outline: block().field.outline.with_hole(&hole).unwrap(), ..block().field };
    let map = FieldMap {
        plane,
        field,
        trees_xy_m: vec![[3.0, 4.0], [50.0, 20.0]],
        labels: vec!["A1".into(), "A2".into()],
        hydrants: vec![Hydrant { name: Some("pond".into()), ..Hydrant::new([-20.0, 5.0], 120.0) }],
    };
    let text = map.to_geojson().unwrap();
    let back = FieldMap::from_geojson(&text, Some(plane)).unwrap();
    let near = |a: Xy, b: Xy| (a[0] - b[0]).hypot(a[1] - b[1]) < 1e-6;
    assert!((back.field.outline.area_m2() - map.field.outline.area_m2()).abs() < 1e-3 && back.field.outline.holes().len() == 1);
    assert!(back.trees_xy_m.iter().zip(&map.trees_xy_m).all(|(a, b)| near(*a, *b)) && back.labels == map.labels);
    assert!(near(back.hydrants[0].at(), [-20.0, 5.0]) && back.hydrants[0].name.as_deref() == Some("pond"));
    let request = block();
    let plan = placed(&request);
    let out: serde_json::Value = serde_json::from_str(&plan.to_geojson(&request, &plane).unwrap()).unwrap();
    let sets: Vec<&serde_json::Value> = out["features"].as_array().unwrap().iter().filter(|f| f["properties"]["kind"] == "set").collect();
    assert_eq!(sets.len(), plan.sets.len());
    let first = &sets[0]["geometry"]["coordinates"];
    let at = plane.to_meters(first[0].as_f64().unwrap(), first[1].as_f64().unwrap()).unwrap();
    assert!(near(at, plan.sets_xy_m()[0]) && sets[0]["properties"]["minutes"].as_f64() == Some(plan.sets[0].minutes));
}

#[test]
fn faulty_maps_are_refused_with_what_to_do() {
    let refused = |text: &str, origin| FieldMap::from_geojson(text, origin).unwrap_err().to_string();
    let square = r#"{"type": "Polygon", "coordinates": [[[-84.70, 45.0], [-84.69, 45.0], [-84.69, 45.01], [-84.70, 45.0]]]}"#;
    assert!(FieldMap::from_geojson(square, None).is_ok());
    let exchanged = r#"{"type": "Polygon", "coordinates": [[[45.0, -84.70], [45.0, -84.69], [45.01, -84.69], [45.0, -84.70]]]}"#;
    assert_eq!(
        refused(exchanged, None),
        "feature 1: longitude 45, latitude -84.7 lies where no farm can be, and the two exchanged do not. \
         Give longitude first and latitude second, as GeoJSON does."
    );
    // where both could be a farm, the origin tells
    let plane = Plane::new(9.5, 48.2).unwrap();
    let swabian = r#"{"type": "Polygon", "coordinates": [[[48.20, 9.50], [48.21, 9.50], [48.21, 9.51], [48.20, 9.50]]]}"#;
    assert!(refused(swabian, Some(plane)).contains("lies far from the farm, and the two exchanged lie on it"));
    assert!(refused("{", None).contains("Give a feature collection by RFC 7946."), "{}", refused("{", None));
    let none = r#"{"type": "FeatureCollection", "features": []}"#;
    assert_eq!(
        refused(none, None),
        "the map has 0 outlines. Give one polygon as the outline; mark others with the property kind, \"keep_out\" or \"stay_dry\"."
    );
    let line = r#"{"type": "LineString", "coordinates": [[-84.70, 45.0], [-84.69, 45.0]]}"#;
    assert!(refused(line, None).contains("geometry \"LineString\" is not known"));
    let bow = r#"{"type": "Polygon", "coordinates": [[[-84.70, 45.0], [-84.69, 45.01], [-84.69, 45.0], [-84.70, 45.01], [-84.70, 45.0]]]}"#;
    assert!(refused(bow, None).contains("crosses itself"));
}

#[test]
fn no_hydrant_in_reach_says_how_far_short_each_is() {
    let hydrants = vec![Hydrant::new([-100.0, 5.0], 60.0), Hydrant { name: Some("pond".into()), ..Hydrant::new([5.0, 205.0], 90.0) }];
    assert_eq!(
        refused(&PlaceRequest { hydrants, ..block() }),
        "no position is within reach: hydrant 1 with 60 m of hose is 45.0 m short of the nearest; hydrant \"pond\" with 90 m of hose is 60.0 m short of the nearest. \
         Lay more hose, add a hydrant, or allow positions nearer to one."
    );
}

#[test]
fn positions_that_wet_no_tree_say_how_far_the_nearest_is() {
    let far =
        PlaceRequest { trees_xy_m: vec![[5.0, 5.0], [8.0, 5.0]], positions: Positions::Given(vec![[75.0, 5.0], [48.0, 5.0]]), ..block() };
    assert_eq!(
        refused(&far),
        "no tree is wet from any of 2 positions: the nearest, at (48.0, 5.0), is 40.0 m from a tree and throws 30.0 m. \
         Give positions nearer to the trees, a sprinkler that throws farther, or water by hand (`by_hand`)."
    );
}

#[test]
fn trees_outside_lost_positions_and_too_many_trees_are_refused() {
    let mut outside = block();
    outside.trees_xy_m.push([83.5, 10.0]);
    assert_eq!(
        refused(&outside),
        "1 tree stands outside the outline: trees_xy_m[300] at (83.5, 10.0) is 3.5 m from its edge. \
         Widen the outline, or leave the tree out; check that all positions have the same origin."
    );
    outside.trees_xy_m[7] = [f64::NAN, 1.0];
    assert_eq!(
        refused(&outside),
        "trees_xy_m[7]: x_m is NaN m: position must be from -10000000 to 10000000 m. Give meters east and north of an origin nearby, not degrees."
    );
    let many = PlaceRequest { trees_xy_m: vec![[1.0, 1.0]; MOST_TREES + 1], ..block() };
    assert_eq!(
        refused(&many),
        "20001 trees are more than `place` takes (20000). Place the sprinkler block by block; `apply` gives depths at any number of points."
    );
}

#[test]
fn too_many_positions_faulty_prices_and_depths_are_refused() {
    let fine = Positions::Grid { spacing_m: 1.0, facing_deg: 0.0 };
    let words = refused(&PlaceRequest { positions: fine, ..block() });
    assert_eq!(
        words,
        format!(
            "4800 positions or more are more than `place` takes ({MOST_POSITIONS}). Take a wider spacing of positions, or place block by block."
        )
    );
    assert_eq!(
        refused(&PlaceRequest { move_min: -1.0, ..block() }),
        "move_min is -1 min: work of moving to a position must be from 0 to 1440 min. Give minutes; 20 to 45 are usual with lay-flat hose."
    );
    assert_eq!(
        refused(&PlaceRequest { target_mm: vec![10.0; 3].into(), ..block() }),
        "target_mm has 3 values for 300 trees. Give one depth for all trees, or one for each."
    );
    assert_eq!(
        refused(&PlaceRequest { hold_mm: Some(9.0.into()), ..block() }),
        "hold_mm of tree 1 is 9 mm, less than its target of 15 mm. Lower the target: what the ground cannot hold does not help the tree."
    );
    let nowhere = PlaceRequest { positions: Positions::Grid { spacing_m: 10.0, facing_deg: 0.0 }, ..block() };
    let field =
        Field { keep_out: vec![Polygon::new(&[[-1.0, -1.0], [81.0, -1.0], [81.0, 61.0], [-1.0, 61.0]]).unwrap()], ..nowhere.field.clone() };
    assert_eq!(
        refused(&PlaceRequest { field, ..nowhere }),
        "the sprinkler may stand at none of 48 positions. Give positions inside the outline and off the areas to keep out of, or a finer spacing."
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10))]
    #[test]
    fn any_small_field_gets_a_plan_that_serves_or_lists_every_tree(
        seed in 0u64..1000, trees in 1usize..80, radius in 8.0..40.0f64, target in 1.0..40.0f64, move_min in 0.0..60.0f64,
        cap in prop::option::of(1.05..3.0f64), profile in 0usize..5, hose in prop::option::of(20.0..90.0f64),
    ) {
        let mut stream = Stream::new(seed, 0);
        let outline = Polygon::new(&[[0.0, 0.0], [70.0, 5.0], [60.0, 50.0], [25.0, 30.0], [5.0, 45.0]]).unwrap();
        let mut spots = Vec::new();
        while spots.len() < trees {
            let at = [70.0 * stream.next_f64(), 50.0 * stream.next_f64()];
            if outline.contains(at) {
                spots.push(at);
            }
        }
        let sprinkler = Sprinkler::new(SprinklerInput::new(250.0, radius, Profile::GEOMETRIC[profile].clone())).unwrap();
        let request = PlaceRequest {
            positions: Positions::Grid { spacing_m: 11.0, facing_deg: 20.0 },
            cap_mm: cap.map(|c| (c * target).into()),
            hold_mm: Some((1.02 * target).into()),
            hydrants: hose.map(|h| Hydrant::new([0.0, 0.0], h)).into_iter().collect(),
            move_min,
            work: 25,
            ..PlaceRequest::new(Field::new(outline), sprinkler, spots.clone(), target)
        };
        // a hose that ends before the first tree leaves nothing to plan, and that is said
        let answer = place(&request, &Control::new());
        if let Err(error) = &answer {
            prop_assert!(error.to_string().starts_with("no tree is wet from any of "), "{error}");
            let reach = radius + hose.unwrap_or(f64::INFINITY);
            prop_assert!(spots.iter().all(|s| s[0].hypot(s[1]) > reach - 11.0), "a tree lies in reach: {error}");
            return Ok(());
        }
        let plan = answer.unwrap();
        for (tree, depth) in plan.depths_mm.iter().enumerate() {
            prop_assert!(*depth >= target - 1e-6 || plan.short.iter().any(|s| s.tree == tree));
            prop_assert!(cap.is_none_or(|c| *depth <= c * target + 1e-5));
        }
        prop_assert!(plan.bound_min.unwrap() <= plan.cost.total_min * (1.0 + 1e-9));
    }
}

#[test]
fn an_altered_plan_is_refused() {
    let request = block();
    let sound = place(&request, &Control::new()).unwrap();
    sound.check(&request).unwrap();
    let message = |change: fn(&mut serde_json::Value)| {
        let mut plan: serde_json::Value = serde_json::from_str(&sound.to_json().unwrap()).unwrap();
        change(&mut plan);
        Placement::from_json(&plan.to_string()).and_then(|plan| plan.check(&request)).unwrap_err().to_string()
    };
    assert!(message(|p| p["sets"][0]["minutes"] = 1.0.into()).starts_with("this placement was altered: its sets run "));
    assert!(message(|p| p["depths_mm"][0] = (-1.0).into()).starts_with("this placement was altered: a tree gets -1 mm"));
    assert!(message(|p| p["depths_mm"][0] = 99.0.into()).contains("and the plan says 99"));
    assert!(message(|p| p["cost"]["total_min"] = 1.0.into()).starts_with("this placement was altered: its parts cost "));
    assert!(message(|p| drop(p["hose_m"].as_array_mut().unwrap().pop())).contains(" hoses"));
}

/// A request of the greatest size, with a wavy outline of `corners` corners.
fn largest(corners: usize, trees: usize, spacing_m: f64) -> PlaceRequest {
    let around = |i: usize| {
        let turn = std::f64::consts::TAU * i as f64 / corners as f64;
        let radius = 150.0 + 5.0 * (9.0 * turn).sin();
        [radius * turn.cos(), radius * turn.sin()]
    };
    let outline = Polygon::new(&(0..corners).map(around).collect::<Vec<_>>()).unwrap();
    let side = (trees as f64).sqrt().ceil() as usize;
    let step = 190.0 / side as f64;
    let spots = (0..trees).map(|k| [(k % side) as f64 * step - 95.0, (k / side) as f64 * step - 95.0]).collect();
    let keep_out = Polygon::new(&[[-130.0, -5.0], [-110.0, -5.0], [-110.0, 5.0], [-130.0, 5.0]]).unwrap();
    PlaceRequest {
        positions: Positions::Grid { spacing_m, facing_deg: 0.0 },
        ..PlaceRequest::new(Field { keep_out: vec![keep_out], ..Field::new(outline) }, gun(), spots, 15.0)
    }
}

#[test]
fn cancelling_ends_the_work_within_a_slice_however_early_it_comes() {
    let request = std::sync::Arc::new(largest(1500, 20_000, 6.2));
    let cancelled_after = |wait_ms: u64| {
        let control = Control::new();
        let (worker, asked) = (control.clone(), request.clone());
        let running = std::thread::spawn(move || place(&asked, &worker));
        std::thread::sleep(std::time::Duration::from_millis(wait_ms));
        control.cancel();
        let begun = std::time::Instant::now();
        assert!(running.join().unwrap().unwrap_err().is_cancelled(), "after {wait_ms} ms");
        begun.elapsed().as_millis()
    };
    // in the checks, the positions, what a minute at each costs, and in the search; on a busy machine the quickest of a few
    // tries counts
    for wait_ms in [0, 40, 150, 400, 1200] {
        let quick = (0..5).any(|_| cancelled_after(wait_ms) < 500);
        assert!(quick, "cancelled after {wait_ms} ms it went on for half a second, five times");
    }
}
