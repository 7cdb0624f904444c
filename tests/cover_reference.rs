//! Covered areas against best known coverings of squares and discs, and what geometry says of lattices.
#![allow(clippy::panic, clippy::unwrap_used)] // helpers stand outside of the test functions

mod cases;

use cases::cases;
use dibble::geom::{Polygon, Round, covered_area_m2};

fn turned(radius: f64, deg: f64) -> [f64; 2] {
    [radius * deg.to_radians().cos(), radius * deg.to_radians().sin()]
}

#[test]
fn discs_at_the_best_known_places_just_cover_a_square() {
    const SIDE_M: f64 = 100.0;
    let square = Polygon::new(&[[0.0, 0.0], [SIDE_M, 0.0], [SIDE_M, SIDE_M], [0.0, SIDE_M]]).unwrap();
    for case in cases("cover", "cover_square_", 15).into_iter().filter(|c| c.expected.contains_key("centres")) {
        let centers = case.expected["centres"].as_array().unwrap().iter().map(|c| {
            let place: Vec<f64> = c.as_array().unwrap().iter().map(|v| SIDE_M * v.as_float().unwrap()).collect();
            [place[0], place[1]]
        });
        let centers: Vec<[f64; 2]> = centers.collect();
        let bare = |factor: f64| {
            let discs: Vec<Round> = centers.iter().map(|at| Round::disc(*at, factor * SIDE_M * case.want("r")).unwrap()).collect();
            1.0 - covered_area_m2(&discs, 1, Some(&square)).unwrap() / square.area_m2()
        };
        // places are printed to ten digits, some of them found to seven only
        case.check_within("bare share", bare(1.0 + 1e-5), 0.0, 1e-12);
        assert!(bare(1.0 - 1e-3) > 1e-8, "{}: smaller discs leave {} bare", case.id, bare(1.0 - 1e-3));
        let density = centers.len() as f64 * std::f64::consts::PI * case.want("r").powi(2);
        case.check_within("density", density, case.want("density"), 1e-6);
    }
}

#[test]
fn discs_in_a_ring_just_cover_a_disc() {
    const RADIUS_M: f64 = 100.0;
    let circle: Vec<[f64; 2]> = (0..3600).map(|k| turned(RADIUS_M, f64::from(k) / 10.0)).collect();
    let ground = Polygon::new(&circle).unwrap();
    for case in cases("cover", "cover_disc_", 7) {
        let (n, r) = (case.input("n") as u32, case.want("r"));
        // up to four: a ring of its own; beyond: one in the middle, whose rim the ring meets
        let (ring, far) = match n {
            1 | 2 => (n, 0.0),
            3 | 4 => (n, (180.0 / f64::from(n)).to_radians().cos()),
            _ => (n - 1, (1.0 + r) / (2.0 * (180.0 / f64::from(n - 1)).to_radians().cos())),
        };
        let mut centers: Vec<[f64; 2]> = (0..ring).map(|k| turned(RADIUS_M * far, 360.0 * f64::from(k) / f64::from(ring))).collect();
        if ring < n {
            centers.push([0.0, 0.0]);
        }
        let bare = |factor: f64| {
            let discs: Vec<Round> = centers.iter().map(|at| Round::disc(*at, factor * RADIUS_M * r).unwrap()).collect();
            1.0 - covered_area_m2(&discs, 1, Some(&ground)).unwrap() / ground.area_m2()
        };
        // radii are printed to six digits; the ground has corners, and lies inside the disc
        case.check_within("bare share", bare(1.0 + 5e-6), 0.0, 1e-11);
        assert!(bare(1.0 - 2e-3) > 1e-9, "{}: smaller discs leave {} bare", case.id, bare(1.0 - 2e-3));
    }
}

#[test]
fn tangent_discs_leave_and_triangular_ones_cover_what_geometry_says() {
    let discs = |step: fn(i32, i32) -> [f64; 2], radius: f64| -> Vec<Round> {
        (-4..=5).flat_map(|i| (-4..=5).map(move |j| (i, j))).map(|(i, j)| Round::disc(step(i, j), radius).unwrap()).collect()
    };
    for case in cases("cover", "nonoverlap", 1) {
        let cell = Polygon::new(&[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]).unwrap();
        let all = discs(|i, j| [f64::from(i), f64::from(j)], 0.5 / case.input("s_over_d"));
        case.check("dry share", 1.0 - covered_area_m2(&all, 1, Some(&cell)).unwrap(), case.want("dry_fraction"));
    }
    for case in cases("cover", "cover_threshold", 1) {
        let rise = 0.75f64.sqrt();
        let cell = Polygon::new(&[[0.0, 0.0], [1.0, 0.0], [1.5, rise], [0.5, rise]]).unwrap();
        let step = |i: i32, j: i32| [f64::from(i) + 0.5 * f64::from(j), f64::from(j) * 0.75f64.sqrt()];
        let covered = |s_over_d: f64| covered_area_m2(&discs(step, 0.5 / s_over_d), 1, Some(&cell)).unwrap() / rise;
        let threshold = case.want("max_s_over_d");
        assert!((covered(threshold - 1e-6) - 1.0).abs() < 1e-9 && covered(threshold + 1e-3) < 1.0 - 1e-7, "{}", case.id);
        let density = std::f64::consts::PI * (0.5 / threshold).powi(2) / rise;
        case.check("density", density, case.want("covering_density"));
    }
}
