//! The bucket list: logged rounds reproduced, water and order, and what is refused.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::placement::by_hand::{BucketInput, BucketList, Crew, DryTree, bucket_list, liters_for};
use dibble::units::{L_PER_GAL, System};

const FT: f64 = 0.3048;

fn rows(count: u32, in_row: u32, spacing_m: f64, depth_mm: f64) -> Vec<DryTree> {
    let tree = |k: u32| DryTree {
        row: k / in_row + 1,
        tree: k % in_row + 1,
        x_m: spacing_m * f64::from(k % in_row),
        y_m: spacing_m * f64::from(k / in_row),
        depth_mm,
    };
    (0..count).map(tree).collect()
}

/// Depth that is so many gallons on a ring.
fn depth_mm(gallons: f64, ring_m: f64) -> f64 {
    gallons * L_PER_GAL / (std::f64::consts::FRAC_PI_4 * ring_m * ring_m)
}

#[test]
fn a_grower_with_a_small_trailer_takes_what_he_logged() {
    // a grower's log in an extension article: a 300 gal trailer, 1 h to fill, 1.5 h to water 25 trees, one tap by gravity
    let ring_m = 4.0 * FT;
    let crew =
        Crew { volume_l: 300.0 * L_PER_GAL, fill_l_min: 5.0 * L_PER_GAL, hand_l_min: 300.0 / 86.0 * L_PER_GAL, people: 1, walk_m_s: 1.0 };
    let trees = rows(25, 9, 5.0 * FT, depth_mm(12.0, ring_m));
    let list = bucket_list(&BucketInput { trees, water_xy_m: [-60.0, 0.0], crew, ring_m, basin_mm: Some(80.0) }).unwrap();
    assert_eq!((list.loads.len(), list.trees), (1, 25), "one tank waters the 25 trees of the log");
    assert!((list.fill_min - 60.0).abs() < 1e-9, "filling took an hour in the log, here {} min", list.fill_min);
    let watering = list.walk_min + list.pour_min;
    assert!((watering - 90.0).abs() < 2.0, "watering took 1.5 h in the log, here {watering:.0} min");
}

#[test]
fn four_people_at_a_pumped_truck_take_what_they_logged() {
    // the same article: a 1,200 gal pumped truck, 4 people, 3 h, 3,600 gal for 500 and more trees: 7 gal and 1.4 person-minutes a tree
    let ring_m = 4.0 * FT;
    let crew = Crew { volume_l: 1200.0 * L_PER_GAL, fill_l_min: 100.0 * L_PER_GAL, hand_l_min: 7.0 * L_PER_GAL, people: 4, walk_m_s: 1.0 };
    let trees = rows(513, 27, 5.0 * FT, depth_mm(7.0, ring_m));
    let list = bucket_list(&BucketInput { trees, water_xy_m: [-60.0, 0.0], crew, ring_m, basin_mm: None }).unwrap();
    assert!((list.liters / L_PER_GAL - 3600.0).abs() < 10.0, "{} gal", list.liters / L_PER_GAL);
    assert_eq!(list.loads.len(), 3);
    let per_tree = 60.0 * list.crew_h / 513.0;
    assert!((per_tree - 1.4).abs() < 0.15, "1.4 person-minutes a tree in the log, here {per_tree:.2}");
    assert!((list.elapsed_h - 3.0).abs() < 0.35, "3 h in the log, here {:.2}", list.elapsed_h);
}

#[test]
fn every_tree_gets_its_water_once() {
    let mut trees = rows(60, 10, 1.8, 12.0);
    trees[7].depth_mm = 40.0;
    trees[8].depth_mm = 0.5;
    let crew = Crew { volume_l: 100.0, fill_l_min: 40.0, hand_l_min: 10.0, people: 2, walk_m_s: 1.0 };
    let input = BucketInput { trees: trees.clone(), water_xy_m: [0.0, -20.0], crew, ring_m: 0.8, basin_mm: Some(20.0) };
    let list = bucket_list(&input).unwrap();
    for tree in &trees {
        let got: f64 = list.stops().filter(|s| (s.row, s.tree) == (tree.row, tree.tree)).map(|s| s.liters).sum();
        assert!((got - liters_for(tree.depth_mm, 0.8).unwrap()).abs() < 1e-9, "row {}, tree {}", tree.row, tree.tree);
    }
    assert!(list.loads.iter().all(|l| l.liters <= 100.0 + 1e-9 && l.walk_m >= 40.0));
    // 40 mm on a ring that holds 20 mm: two pours, the second in a later round
    let pours: Vec<_> = list.stops().filter(|s| (s.row, s.tree) == (1, 8)).map(|s| (s.pour, s.of_pours)).collect();
    assert_eq!(pours, [(1, 2), (2, 2)]);
    // 0.5 mm would be a cup: 4 L at least
    assert!(list.stops().any(|s| (s.row, s.tree) == (1, 9) && s.liters == 4.0));
    assert_eq!(BucketList::from_json(&list.to_json().unwrap()).unwrap(), list);
    let csv = list.to_csv();
    assert_eq!(csv.lines().count(), 1 + list.stops().count());
    assert_eq!(csv.lines().next().unwrap(), "stop,load,pour,of_pours,row,tree,x_m,y_m,liters");
    assert_eq!(list.points_xy_m().len(), list.stops().count());
}

#[test]
fn the_printed_list_says_rows_trees_and_water() {
    let crew = Crew { volume_l: 1000.0, fill_l_min: 76.0, hand_l_min: 19.0, people: 2, walk_m_s: 1.0 };
    let trees = rows(6, 3, 1.8, 25.4);
    let list = bucket_list(&BucketInput { trees, water_xy_m: [0.0, -20.0], crew, ring_m: 0.6096, basin_mm: None }).unwrap();
    assert_eq!(
        list.text(System::Us),
        "6 trees, 12 gal (44 L) in 1 load of the tank: 0.6 min to fill, 0.8 min to walk 161 ft (49 m), 1 min to pour; 3 min for 2 people\n\
         Load 1, 12 gal (44 L):\n  row 1, tree 1: 2.0 gal (7.4 L)\n  row 2, trees 1-3: 2.0 gal (7.4 L) each\n  \
         row 1, trees 3-2: 2.0 gal (7.4 L) each\n"
    );
    assert!(list.assumptions.iter().any(|a| a.key == "ring_rim"));
}

#[test]
fn impossible_rounds_are_refused_with_what_to_do() {
    let crew = Crew { volume_l: 100.0, fill_l_min: 40.0, hand_l_min: 10.0, people: 2, walk_m_s: 1.0 };
    let input = BucketInput { trees: rows(2, 2, 1.8, 10.0), water_xy_m: [0.0, 0.0], crew, ring_m: 0.8, basin_mm: None };
    let message = |change: &dyn Fn(&mut BucketInput)| {
        let mut changed = input.clone();
        change(&mut changed);
        bucket_list(&changed).unwrap_err().to_string()
    };
    assert_eq!(message(&|i| i.trees.clear()), "trees is missing. Give at least one tree that lacks water.");
    assert_eq!(message(&|i| i.crew.people = 0), "people is 0. Give the number of people who pour, at least 1.");
    assert_eq!(
        message(&|i| i.trees[1].x_m = f64::NAN),
        "row 1, tree 2: x_m is NaN m: position must be from -10000000 to 10000000 m. Give meters east and north of an origin nearby, not degrees."
    );
    assert_eq!(
        message(&|i| i.trees[0].depth_mm = -1.0),
        "row 1, tree 1: depth_mm is -1 mm: water depth must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm."
    );
    assert_eq!(
        message(&|i| i.crew.volume_l = 0.0),
        "volume_l is 0 L: volume of the tank must be from 1 to 100000 L. Give liters; 300 gal is 1,136 L."
    );
    assert_eq!(
        message(&|i| i.trees[1].depth_mm = 2000.0),
        "row 1, tree 2 needs 1005 L, in 40 pours of what its ring or the tank holds. Widen the ring, raise its rim, or take a larger tank."
    );
    assert_eq!(
        message(&|i| i.trees = rows(5001, 100, 1.8, 10.0)),
        "5001 trees are to be watered by hand. At most 5000 are put in order; bring the sprinkler nearer, or give the list in parts."
    );
}
