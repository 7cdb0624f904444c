//! Placement against an integer solver on seeded fields, and against known least covers of lattices.
#![allow(clippy::panic, clippy::unwrap_used)] // helpers stand outside of the test functions

mod cases;

use cases::{Case, cases};
use dibble::control::Control;
use dibble::geom::{Polygon, Xy};
use dibble::num::random::Stream;
use dibble::placement::{Field, PlaceRequest, Positions, Prices, place};
use dibble::sprinkler::{Profile, Sprinkler, SprinklerInput};
use serde::Deserialize;

/// What the solver had after its time; written by tests/reference/placement/generate.py.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(dead_code)] // the rest is for the reader
struct Highs {
    item: u64,
    trees: usize,
    positions: usize,
    sets: usize,
    objective_min: f64,
    solver_objective_min: f64,
    bound_min: f64,
    short_mm: f64,
    seconds: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HighsFile {
    source: String,
    r#ref: String,
    provenance: String,
    field: Vec<Highs>,
}

/// The seeded field of an item: the same operations in the same order as in generate.py.
fn seeded_field(item: u64) -> PlaceRequest {
    let mut stream = Stream::new(2026, item);
    let mut u = || stream.next_f64();
    let (trees, positions) = (220.0 + 1700.0 * u(), 66.0 + 220.0 * u());
    let (w, h) = (90.0 + 130.0 * u(), 70.0 + 110.0 * u());
    let corners = [[0.0, 0.0], [w, 0.25 * h * u()], [w - 0.2 * w * u(), h], [0.15 * w * u(), h - 0.15 * h * u()]];
    let radius_m = 22.0 + 16.0 * u();
    let flow_l_min = radius_m * radius_m * (0.2 + 0.1 * u());
    let target_mm = 10.0 + 10.0 * u();
    let move_min = 15.0 + 25.0 * u();
    let profile = [Profile::Cone, Profile::Parabola, Profile::Disc][(item % 3) as usize].clone();
    let edges: Vec<(Xy, Xy)> = (0..4).map(|i| (corners[i], corners[(i + 1) % 4])).collect();
    let area = 0.5 * edges.iter().map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>();
    let inside = |x: f64, y: f64| edges.iter().all(|(a, b)| (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) >= 0.0);
    let lattice = |dx: f64, dy: f64| {
        let count = |size: f64, step: f64| (0..).take_while(|i| (f64::from(*i) + 0.5) * step < size).count();
        let mut points = Vec::new();
        for j in 0..count(h, dy) {
            for i in 0..count(w, dx) {
                let (x, y) = ((i as f64 + 0.5) * dx, (j as f64 + 0.5) * dy);
                if inside(x, y) {
                    points.push([x, y]);
                }
            }
        }
        points
    };
    let (s, g) = ((area / trees).sqrt(), (area / positions).sqrt());
    let (trees, positions) = (lattice(0.8 * s, 1.25 * s), lattice(g, g));
    let sprinkler = Sprinkler::new(SprinklerInput { spray_loss: 0.05, ..SprinklerInput::new(flow_l_min, radius_m, profile) }).unwrap();
    let field = Field::new(Polygon::new(&corners).unwrap());
    PlaceRequest {
        hold_mm: Some((target_mm / 0.85).into()),
        cap_mm: (item % 4 == 3).then(|| (3.0 * target_mm).into()),
        positions: Positions::Given(positions),
        move_min,
        longest_min: 240.0,
        prices: Prices { drained_min_per_m3: 3.0, beside_min_per_m3: 3.0, ..Prices::default() },
        ..PlaceRequest::new(field, sprinkler, trees, target_mm)
    }
}

/// Places and compares with the solver's plan; returns the gap that our bound leaves.
fn compare(item: u64, work: u64) -> f64 {
    let file: HighsFile = toml::from_str(include_str!("reference/placement/highs.toml")).unwrap();
    let highs = file.field.iter().find(|f| f.item == item).unwrap();
    let request = PlaceRequest { work, ..seeded_field(item) };
    let Positions::Given(positions) = &request.positions else { panic!("positions are given") };
    assert_eq!((request.trees_xy_m.len(), positions.len()), (highs.trees, highs.positions), "field {item}");
    let plan = place(&request, &Control::new()).unwrap();
    let (ours, bound) = (plan.cost.total_min, plan.bound_min.unwrap());
    let source = format!("field {item}, {}, {} ({})", file.source, file.r#ref, file.provenance);
    assert!(plan.short.is_empty(), "{source}: {} trees short", plan.short.len());
    assert!(
        ours <= 1.03 * highs.objective_min,
        "{source}: {ours} min, {} of the solver's plan of {} min",
        ours / highs.objective_min,
        highs.objective_min
    );
    assert!(bound <= highs.objective_min, "{source}: the bound {bound} min lies above the solver's plan of {} min", highs.objective_min);
    plan.gap.unwrap()
}

#[test]
fn plans_of_small_fields_cost_at_most_1_03_of_what_an_integer_solver_found_in_a_minute() {
    for item in [6, 17, 18] {
        compare(item, 250);
    }
}

#[test]
#[ignore = "a quarter of an hour in a debug build; run with --release"]
fn plans_of_all_fields_cost_at_most_1_03_of_what_an_integer_solver_found_in_a_minute() {
    let mut gaps: Vec<f64> = (0..20).map(|item| compare(item, 1500)).collect();
    gaps.sort_by(f64::total_cmp);
    let median = 0.5 * (gaps[9] + gaps[10]);
    assert!(median < 0.12, "the median gap is {median}");
}

/// Trees and positions on the points of an n x n lattice, moves alone count.
fn lattice(n: usize, radius: f64) -> PlaceRequest {
    const STEP_M: f64 = 10.0;
    let points: Vec<Xy> = (0..n * n).map(|k| [STEP_M * (k % n) as f64, STEP_M * (k / n) as f64]).collect();
    let far = STEP_M * n as f64;
    let outline = Polygon::new(&[[-STEP_M, -STEP_M], [far, -STEP_M], [far, far], [-STEP_M, far]]).unwrap();
    // a hair more than the radius, so that points on the rim are wet in spite of rounding
    let disc = SprinklerInput::new(100.0, STEP_M * radius * (1.0 + 1e-9), Profile::Disc);
    let free = Prices { pump_min: 0.0, drained_min_per_m3: 0.0, beside_min_per_m3: 0.0, ..Prices::default() };
    PlaceRequest {
        positions: Positions::Given(points.clone()),
        prices: free,
        longest_min: 10_000.0,
        ..PlaceRequest::new(Field::new(outline), Sprinkler::new(disc).unwrap(), points, 10.0)
    }
}

#[test]
fn lattices_are_covered_with_the_known_least_number_of_discs() {
    for case in cases("cover", "setcover_", 3) {
        let least = Case::list(&case.expected, "min_discs");
        for (n, least) in Case::list(&case.inputs, "n").into_iter().zip(least) {
            let request = lattice(n as usize, case.input("radius"));
            let plan = place(&request, &Control::new()).unwrap();
            case.check_within(&format!("number of discs for n = {n}"), plan.sets.len() as f64, least, 0.0);
            let bound = plan.bound_min.unwrap() / request.move_min;
            assert!(bound <= least && bound.fract() == 0.0, "{}: bound of {bound} discs for n = {n}", case.id);
            assert!(plan.short.is_empty());
        }
    }
}
