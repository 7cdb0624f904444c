//! Laws of spreading water: nothing is lost or made, whatever the profile, arc, wind, place, order and threads.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::geom::{Arc, Polygon, Xy};
use dibble::num::dispatch;
use dibble::num::random::Stream;
use dibble::sprinkler::{
    Leg, Profile, Set, Sprinkler, SprinklerInput, Wind, WindInput, apply, destination, footprints, overlap_share, water_within_l,
};
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI};

const RADIUS_M: f64 = 18.0;

fn leg() -> Leg {
    Leg::new(&[1.5, 4.5, 7.5, 10.5, 13.5, 16.5], &[9.0, 8.0, 8.5, 6.0, 2.0, 0.5], Some(RADIUS_M)).unwrap()
}

fn profiles() -> Vec<Profile> {
    Profile::GEOMETRIC.into_iter().chain([Profile::Measured(leg())]).collect()
}

/// Radii (of 1) between which the profile is smooth.
fn segments(profile: &Profile) -> Vec<f64> {
    match profile {
        Profile::Ring => vec![0.0, 0.7, 1.0],
        Profile::Measured(leg) => [0.0].into_iter().chain(leg.distances_m().iter().map(|d| d / RADIUS_M)).chain([1.0]).collect(),
        _ => vec![0.0, 1.0],
    }
}

/// Nodes and weights of Gauss and Legendre with five points, moved to `a..b`.
fn gauss(a: f64, b: f64) -> [(f64, f64); 5] {
    let (inner, outer) = ((5.0 - 2.0 * (10.0f64 / 7.0).sqrt()).sqrt() / 3.0, (5.0 + 2.0 * (10.0f64 / 7.0).sqrt()).sqrt() / 3.0);
    let (near, far) = ((322.0 + 13.0 * 70.0f64.sqrt()) / 900.0, (322.0 - 13.0 * 70.0f64.sqrt()) / 900.0);
    let half = 0.5 * (b - a);
    [(-outer, far), (-inner, near), (0.0, 128.0 / 225.0), (inner, near), (outer, far)].map(|(x, w)| (0.5 * (a + b) + half * x, half * w))
}

/// Radii and weights that integrate over the unit radius without error; the ellipse in r = sin u, where it is smooth.
fn radial_nodes(profile: &Profile) -> Vec<(f64, f64)> {
    if *profile == Profile::Ellipse {
        let parts = (0..8).flat_map(|i| gauss(f64::from(i) * FRAC_PI_2 / 8.0, f64::from(i + 1) * FRAC_PI_2 / 8.0));
        return parts.map(|(u, w)| (u.sin(), w * u.cos())).collect();
    }
    segments(profile).windows(2).flat_map(|s| gauss(s[0], s[1])).collect()
}

fn wind() -> impl Strategy<Value = Option<WindInput>> {
    let windy = (0.0..360.0f64, 0.0..15.0f64, 0.4..2.0f64, 0.4..2.0f64);
    prop::option::of(windy.prop_map(|(from_deg, drift_m, along, across)| WindInput { from_deg, drift_m, along, across }))
}

fn sprinkler(profile: Profile, arc: Arc, wind: Option<WindInput>, spray_loss: f64) -> Sprinkler {
    let input = SprinklerInput {
        arc_deg: arc.arc_deg(),
        facing_deg: arc.facing_deg(),
        wind: wind.map(|w| Wind::new(w).unwrap()),
        spray_loss,
        ..SprinklerInput::new(123.0, RADIUS_M, profile)
    };
    Sprinkler::new(input).unwrap()
}

/// Where a drop falls that would fall at `offset` in calm air, and how much ground grows there.
fn carried(wind: Option<WindInput>, [x, y]: Xy) -> (Xy, f64) {
    let Some(w) = wind else { return ([x, y], 1.0) };
    let (s, c) = w.from_deg.to_radians().sin_cos();
    let (ux, uy) = (-s, -c); // downwind
    let (along, across) = ((x * ux + y * uy) * w.along + w.drift_m, (-x * uy + y * ux) * w.across);
    ([along * ux - across * uy, along * uy + across * ux], w.along * w.across)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn depths_add_up_to_flow_times_minutes(facing in 0.0..360.0f64, width in 2.0..360.0f64, full in any::<bool>(), wind in wind(),
                                           loss in 0.0..0.3f64, minutes in 1.0..300.0f64, x in -500.0..500.0f64) {
        let arc = if full { Arc::FULL } else { Arc::new(facing, width).unwrap() };
        for profile in profiles() {
            let head = sprinkler(profile.clone(), arc, wind, loss);
            let mut points = Vec::new();
            let mut weights = Vec::new();
            for (r, w) in radial_nodes(&profile) {
                for k in 0..16 {
                    let bearing = (arc.facing_deg() + arc.arc_deg() * ((f64::from(k) + 0.5) / 16.0 - 0.5)).to_radians();
                    let ([dx, dy], growth) = carried(wind, [RADIUS_M * r * bearing.sin(), RADIUS_M * r * bearing.cos()]);
                    points.push([x + dx, 40.0 + dy]);
                    weights.push(w * r * RADIUS_M * RADIUS_M * growth * arc.arc_deg().to_radians() / 16.0);
                }
            }
            let depths = apply(&head, &[Set::new([x, 40.0], minutes)], &points, Some(1)).unwrap();
            let liters: f64 = depths.iter().zip(&weights).map(|(d, w)| d * w).sum();
            let sprayed = 123.0 * minutes * (1.0 - loss);
            prop_assert!((liters - sprayed).abs() <= 1e-9 * sprayed, "{profile}: {liters} L of {sprayed}");
        }
    }

    #[test]
    fn a_wide_field_catches_all_the_water(arc in (0.0..360.0f64, 1.0..360.0f64), wind in wind(), loss in 0.0..0.3f64) {
        let field = Polygon::new(&[[-90.0, -80.0], [10.0, -95.0], [95.0, -60.0], [80.0, 90.0], [-85.0, 85.0]]).unwrap();
        for profile in profiles() {
            let head = sprinkler(profile, Arc::new(arc.0, arc.1).unwrap(), wind, loss);
            let sprayed = 123.0 * 60.0 * (1.0 - loss);
            let caught = water_within_l(&head, &Set::new([3.0, -2.0], 60.0), &field).unwrap();
            prop_assert!((caught - sprayed).abs() <= 1e-9 * sprayed, "{} L of {}", caught, sprayed);
        }
    }

    #[test]
    fn neighboring_fields_share_the_water_between_them(arc in (0.0..360.0f64, 1.0..360.0f64), wind in wind(), cut in -20.0..20.0f64) {
        let whole = Polygon::new(&[[-25.0, -12.0], [25.0, -12.0], [25.0, 15.0], [-25.0, 15.0]]).unwrap();
        let hole = [[4.0, -3.0], [9.0, -3.0], [9.0, 2.0], [4.0, 2.0]];
        let west = Polygon::new(&[[-25.0, -12.0], [cut, -12.0], [cut, 15.0], [-25.0, 15.0]]).unwrap();
        let east = Polygon::new(&[[cut, -12.0], [25.0, -12.0], [25.0, 15.0], [cut, 15.0]]).unwrap();
        for profile in profiles() {
            let head = sprinkler(profile, Arc::new(arc.0, arc.1).unwrap(), wind, 0.0);
            let set = Set::new([1.0, 2.0], 60.0);
            let of = |polygon: &Polygon| water_within_l(&head, &set, polygon).unwrap();
            prop_assert!((of(&west) + of(&east) - of(&whole)).abs() <= 1e-9 * 7380.0);
            let holed = whole.clone().with_hole(&hole).unwrap();
            prop_assert!((of(&holed) + of(&Polygon::new(&hole).unwrap()) - of(&whole)).abs() <= 1e-9 * 7380.0);
        }
    }

    #[test]
    fn moving_everything_together_changes_nothing(e in -1e4..1e4f64, n in -1e4..1e4f64, arc in (0.0..360.0f64, 20.0..360.0f64),
                                                  wind in wind(), seed in 0u64..1000) {
        let mut stream = Stream::new(seed, 0);
        let mut next = |span: f64| span * (stream.next_f64() - 0.5);
        let sets: Vec<Set> = (0..9).map(|_| Set::new([next(60.0), next(60.0)], 20.0 + next(20.0))).collect();
        let points: Vec<Xy> = (0..300).map(|_| [next(90.0), next(90.0)]).collect();
        let moved = |[x, y]: Xy| [x + e, y + n];
        let moved_sets: Vec<Set> = sets.iter().map(|s| { let [x_m, y_m] = moved([s.x_m, s.y_m]); Set { x_m, y_m, ..*s } }).collect();
        let moved_points: Vec<Xy> = points.iter().map(|&p| moved(p)).collect();
        for profile in [Profile::Cone, Profile::Parabola, Profile::Measured(leg())] {
            let head = sprinkler(profile, Arc::new(arc.0, arc.1).unwrap(), wind, 0.05);
            let here = apply(&head, &sets, &points, Some(1)).unwrap();
            let there = apply(&head, &moved_sets, &moved_points, Some(1)).unwrap();
            let largest = here.iter().copied().fold(0.0, f64::max);
            for (a, b) in here.iter().zip(&there) {
                prop_assert!((a - b).abs() <= 1e-9 * largest, "{} and {} of {}", a, b, largest);
            }
        }
    }

    #[test]
    fn anything_in_range_gives_finite_depths_and_no_more_water_than_was_pumped(
        flow in 0.01..1e5f64, radius in 0.5..200.0f64, place in prop::array::uniform2(-1e7..1e7f64), minutes in 0.0..6e5f64,
        arc in (0.0..360.0f64, 1.0..360.0f64), wind in wind(), kind in 0..5usize, off in prop::array::uniform2(-250.0..250.0f64),
    ) {
        let input = SprinklerInput {
            arc_deg: arc.1, facing_deg: arc.0, wind: wind.map(|w| Wind::new(w).unwrap()),
            ..SprinklerInput::new(flow, radius, Profile::GEOMETRIC[kind].clone())
        };
        let head = Sprinkler::new(input).unwrap();
        let set = Set::new(place, minutes);
        let inside = |p: f64| p.clamp(-1e7, 1e7);
        let at = [inside(place[0] + off[0]), inside(place[1] + off[1])];
        let depth = apply(&head, &[set], &[place, at], None).unwrap();
        prop_assert!(depth.iter().all(|d| d.is_finite() && *d >= 0.0));
        let corner = [place[0].clamp(-9.9e6, 9.9e6), place[1].clamp(-9.9e6, 9.9e6)];
        let field = Polygon::new(&[corner, [corner[0] + 40.0, corner[1]], [corner[0] + 30.0, corner[1] + 35.0]]).unwrap();
        let caught = water_within_l(&head, &set, &field).unwrap();
        let pumped = flow * minutes;
        prop_assert!(caught >= -1e-6 * pumped && caught <= pumped * (1.0 + 1e-6), "{} of {}", caught, pumped);
    }

    #[test]
    fn complementary_arcs_give_the_full_circle(facing in 0.0..360.0f64, width in 2.0..358.0f64, wind in wind()) {
        for profile in profiles() {
            let head = sprinkler(profile, Arc::FULL, wind, 0.0);
            let part = |facing: f64, width: f64| Set {
                arc: Some(Arc::new(facing.rem_euclid(360.0), width).unwrap()),
                flow_l_min: Some(123.0 * width / 360.0),
                ..Set::new([0.0, 0.0], 60.0)
            };
            let points: Vec<Xy> = (0..400).map(|i| [f64::from(i % 20) * 2.03 - 19.1, f64::from(i / 20) * 1.97 - 18.7]).collect();
            let whole = apply(&head, &[Set::new([0.0, 0.0], 60.0)], &points, Some(1)).unwrap();
            let parts = apply(&head, &[part(facing, width), part(facing + 180.0, 360.0 - width)], &points, Some(1)).unwrap();
            for (a, b) in whole.iter().zip(&parts) {
                prop_assert!((a - b).abs() <= 1e-9 * whole.iter().copied().fold(0.0, f64::max));
            }
        }
    }
}

#[test]
fn rasters_see_the_same_volume_within_one_percent() {
    let wind = Some(WindInput { from_deg: 250.0, drift_m: 3.0, along: 1.1, across: 0.9 });
    for profile in profiles() {
        for arc in [Arc::FULL, Arc::new(200.0, 90.0).unwrap(), Arc::new(20.0, 270.0).unwrap()] {
            let head = sprinkler(profile.clone(), arc, wind, 0.0);
            let step = 0.25;
            let points: Vec<Xy> = (0..200).flat_map(|i| (0..200).map(move |j| (i, j))).map(|(i, j)| [f64::from(i), f64::from(j)]).collect();
            let points: Vec<Xy> = points.iter().map(|[i, j]| [(i - 100.0) * step, (j - 100.0) * step]).collect();
            let liters: f64 = apply(&head, &[Set::new([0.1, 0.2], 60.0)], &points, None).unwrap().iter().sum::<f64>() * step * step;
            assert!((liters - 7380.0).abs() < 0.01 * 7380.0, "{profile} over {arc:?}: {liters} L");
        }
    }
}

#[test]
fn rasters_see_the_same_water_in_an_odd_field() {
    let corners = [[-20.0, -15.0], [14.0, -22.0], [5.0, -2.0], [22.0, 9.0], [-6.0, 19.0]];
    let field = Polygon::new(&corners).unwrap().with_hole(&[[-8.0, -6.0], [1.0, -8.0], [-2.0, 5.0]]).unwrap();
    let wind = Some(WindInput { from_deg: 100.0, drift_m: 2.0, along: 1.05, across: 0.9 });
    let sets = [Set::new([-4.0, 1.0], 60.0), Set { arc: Some(Arc::new(300.0, 200.0).unwrap()), ..Set::new([10.0, 6.0], 30.0) }];
    for profile in profiles() {
        let head = sprinkler(profile.clone(), Arc::FULL, wind, 0.1);
        let went = destination(&head, &sets, &field, &[]).unwrap();
        let step = 0.2;
        let mut points: Vec<Xy> = Vec::new();
        for i in -150..150 {
            points.extend((-150..150).map(|j| [(f64::from(i) + 0.5) * step, (f64::from(j) + 0.5) * step]));
        }
        points.retain(|&p| field.contains(p));
        let liters: f64 = apply(&head, &sets, &points, None).unwrap().iter().sum::<f64>() * step * step;
        assert!((liters - went.on_block_l).abs() < 0.01 * went.on_block_l, "{profile}: raster {liters} L, exact {}", went.on_block_l);
        assert!((went.pumped_l - went.lost_l - went.on_block_l - went.off_block_l).abs() < 1e-9 * went.pumped_l);
    }
}

fn orchard() -> (Sprinkler, Vec<Set>, Vec<Xy>) {
    let mut stream = Stream::new(42, 0);
    let mut next = |span: f64| span * stream.next_f64();
    let arcs = [None, Some(Arc::new(30.0, 120.0).unwrap()), Some(Arc::new(90.0, 250.0).unwrap())];
    let sets = (0..40).map(|i| Set { arc: arcs[i % 3], ..Set::new([next(200.0), next(150.0)], 10.0 + next(60.0)) }).collect();
    let points = (0..9001).map(|_| [next(200.0), next(150.0)]).collect();
    let wind = Some(WindInput { from_deg: 300.0, drift_m: 1.5, along: 1.0, across: 0.95 });
    (sprinkler(Profile::Measured(leg()), Arc::FULL, wind, 0.05), sets, points)
}

fn bits(values: &[f64]) -> Vec<u64> {
    values.iter().map(|v| v.to_bits()).collect()
}

#[test]
fn order_of_points_threads_and_vector_width_do_not_change_a_bit() {
    for profile in profiles() {
        let (base, sets, points) = orchard();
        let head = Sprinkler::new(SprinklerInput { profile, ..base.input().clone() }).unwrap();
        let depths = bits(&apply(&head, &sets, &points, Some(1)).unwrap());
        for threads in [None, Some(2), Some(3)] {
            assert_eq!(bits(&apply(&head, &sets, &points, threads).unwrap()), depths);
        }
        {
            let _baseline = dispatch::scalar_only();
            assert_eq!(bits(&apply(&head, &sets, &points, Some(1)).unwrap()), depths);
        }
        let mut order: Vec<usize> = (0..points.len()).collect();
        order.sort_by_key(|i| i * 7919 % points.len());
        let shuffled: Vec<Xy> = order.iter().map(|&i| points[i]).collect();
        let back = bits(&apply(&head, &sets, &shuffled, None).unwrap());
        assert!(order.iter().zip(back).all(|(&i, bits)| depths[i] == bits));
        for i in [0, 63, 64, 4095, 9000] {
            assert_eq!(bits(&apply(&head, &sets, &[points[i]], None).unwrap()), [depths[i]], "point {i} alone");
        }
    }
}

#[test]
fn footprints_are_the_terms_of_the_sum() {
    let (head, sets, points) = orchard();
    let mut sum = vec![0.0; points.len()];
    for (set, footprint) in sets.iter().zip(footprints(&head, &sets, &points, None).unwrap()) {
        assert!(footprint.points.windows(2).all(|w| w[0] < w[1]) && footprint.mm_per_min.iter().all(|r| *r > 0.0));
        for (&i, rate) in footprint.points.iter().zip(&footprint.mm_per_min) {
            sum[i] += rate * set.minutes;
        }
    }
    for (a, b) in apply(&head, &sets, &points, None).unwrap().iter().zip(&sum) {
        assert!((a - b).abs() <= 1e-12 * a.max(1.0));
    }
}

#[test]
fn the_rate_along_a_radius_is_what_points_there_get() {
    for profile in profiles() {
        let head = sprinkler(profile.clone(), Arc::FULL, None, 0.1);
        for d in [0.0, 1.0, 5.5, 12.6, 17.9, 18.5] {
            let depth = apply(&head, &[Set::new([0.0, 0.0], 60.0)], &[[d, 0.0]], None).unwrap()[0];
            assert!((depth - head.rate_mm_h(d)).abs() < 1e-12, "{profile} at {d} m");
        }
        assert!((head.mean_rate_mm_h() - 123.0 * 0.9 * 60.0 / (PI * 324.0)).abs() < 1e-12);
    }
}

#[test]
fn overlap_grows_from_none_to_all() {
    let head = sprinkler(Profile::Cone, Arc::FULL, None, 0.0);
    let share = |d: f64| overlap_share(&head, &[Set::new([0.0, 0.0], 60.0), Set::new([d, 0.0], 60.0)]).unwrap();
    assert_eq!((share(36.1), share(0.0)), (0.0, 1.0));
    assert!(share(30.0) < share(20.0) && share(20.0) < share(10.0));
    assert_eq!(overlap_share(&head, &[Set::new([0.0, 0.0], 60.0)]).unwrap(), 0.0);
    assert_eq!(overlap_share(&head, &[]).unwrap(), 0.0);
}

#[test]
fn bad_input_is_named() {
    let head = sprinkler(Profile::Cone, Arc::FULL, None, 0.0);
    let refused = |set: Set| apply(&head, &[Set::new([0.0, 0.0], 1.0), set], &[], None).unwrap_err().to_string();
    let here = Set::new([0.0, 0.0], 30.0);
    assert_eq!(
        refused(Set { y_m: f64::NAN, ..here }),
        "sets[1]: y_m is NaN m: position must be from -10000000 to 10000000 m. Give meters east and north of an origin nearby, not degrees."
    );
    assert_eq!(
        refused(Set { minutes: -3.0, ..here }),
        "sets[1]: minutes is -3 min: running time must be from 0 to 600000 min. Give minutes."
    );
    assert_eq!(
        refused(Set { radius_m: Some(0.0), ..here }),
        "sets[1]: radius_m is 0 m: wetted radius must be from 0.5 to 200 m. Give the distance from the sprinkler to the last wet ground, in meters; 1 ft is 0.3048 m."
    );
    assert_eq!(
        apply(&head, &[here], &[[0.0, 0.0], [f64::INFINITY, 0.0]], None).unwrap_err().to_string(),
        "points[1]: x_m is inf m: position must be from -10000000 to 10000000 m. Give meters east and north of an origin nearby, not degrees."
    );
    let faulty = SprinklerInput { arc_deg: 400.0, spray_loss: 5.0, ..SprinklerInput::new(0.0, 0.0, Profile::Cone) };
    assert_eq!(
        Sprinkler::new(faulty).unwrap_err().to_string(),
        "4 problems:\n  - flow_l_min is 0 L/min: flow of a sprinkler must be from 0.01 to 100000 L/min. Give liters per minute; 1 gpm is 3.785 L/min.\n  \
         - radius_m is 0 m: wetted radius must be from 0.5 to 200 m. Give the distance from the sprinkler to the last wet ground, in meters; 1 ft is 0.3048 m.\n  \
         - arc_deg is 400 deg: arc of a part circle must be from 1 to 360 deg. 360 is the full circle, 180 a half circle.\n  \
         - spray_loss is 5: share of the water lost as spray must be from 0 to 0.6. Give a fraction, 0.05 for 5 %."
    );
}

#[test]
fn a_sprinkler_travels_as_json() {
    let (head, sets, _) = orchard();
    let text = serde_json::to_string(&head).unwrap();
    assert_eq!(serde_json::from_str::<Sprinkler>(&text).unwrap(), head);
    let bare: Sprinkler = serde_json::from_str(r#"{"flow_l_min": 300.0, "radius_m": 34.0}"#).unwrap();
    assert_eq!(bare, Sprinkler::new(SprinklerInput::new(300.0, 34.0, Profile::Cone)).unwrap());
    assert!(serde_json::from_str::<Sprinkler>(r#"{"flow_l_min": 300.0, "radius_m": 34.0, "color": 1}"#).is_err());
    assert!(serde_json::from_str::<Sprinkler>(r#"{"flow_l_min": 300.0, "radius_m": 0.0}"#).is_err());
    let text = serde_json::to_string(&sets).unwrap();
    assert_eq!(serde_json::from_str::<Vec<Set>>(&text).unwrap(), sets);
}
