//! Placement: plans that hold, the same every time, and clear words for what cannot be.
#![allow(clippy::panic, clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::control::Control;
use dibble::geom::{Polygon, Xy};
use dibble::placement::{Field, Hydrant, MOST_TREES, PlaceRequest, Placement, Positions, place};
use dibble::sprinkler::{Profile, Sprinkler, SprinklerInput};

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
fn no_hydrant_in_reach_says_how_far_short_each_is() {
    let hydrants = vec![Hydrant::new([-100.0, 5.0], 60.0), Hydrant { name: Some("pond".into()), ..Hydrant::new([5.0, 205.0], 90.0) }];
    assert_eq!(
        refused(&PlaceRequest { hydrants, ..block() }),
        "no position is within reach: hydrant 1 with 60 m of hose is 45.0 m short of the nearest; hydrant \"pond\" with 90 m of hose is 60.0 m short of the nearest. \
         Lay more hose, add a hydrant, or allow positions nearer to one."
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
