//! Worked examples that take two products, and organic sources.

use crate::reference::case;
use dibble::fertility::{Guarantee, Manure, ManureKind, Product, compost_nitrogen_kg, manure_nitrogen_kg};

fn grade(n_pct: f64, p2o5_pct: f64) -> Product {
    Product { name: format!("{n_pct}-{p2o5_pct}-0"), n_pct, p2o5_pct, ..Product::default() }
}

/// Weight of `first` for the phosphate, its nitrogen, and the weight of `second` for the rest of the nitrogen.
fn phosphate_then_nitrogen(first: &Product, second: &Product, p2o5: f64, n: f64) -> (f64, f64, f64) {
    let weight = first.kg_to_supply(Guarantee::P2o5, p2o5).unwrap();
    let brought = weight * first.n_pct / 100.0;
    (weight, brought, second.kg_to_supply(Guarantee::N, n - brought).unwrap())
}

#[test]
fn phosphate_first_and_the_rest_of_the_nitrogen_after() {
    let c = case("fert-map-as");
    let (map, n, ammonium_sulfate) = phosphate_then_nitrogen(&grade(11.0, 55.0), &grade(21.0, 0.0), c.input("p2o5"), c.input("n"));
    c.check("map_lb", map);
    c.check("n_from_map", n);
    c.check("as_lb", ammonium_sulfate);
    // a ton of 17-7-0
    let c = case("fert-17-7-0");
    let ton = c.input("batch_lb");
    let (phosphate, _, nitrate) = phosphate_then_nitrogen(&grade(3.0, 20.0), &grade(36.0, 0.0), 0.07 * ton, 0.17 * ton);
    c.check("asp_lb", phosphate);
    c.check("an_lb", nitrate);
    c.check("filler_lb", ton - phosphate - nitrate);
    let c = case("fert-ibdu-urea");
    c.check("ibdu_lb", grade(31.0, 0.0).kg_to_supply(Guarantee::N, 0.75 * c.input("n_lb")).unwrap());
    c.check("urea_lb", grade(46.0, 0.0).kg_to_supply(Guarantee::N, 0.25 * c.input("n_lb")).unwrap());
}

#[test]
fn organic_sources_count_as_printed() {
    let c = case("organic-jim");
    let (fish, bone) = (grade(9.0, 2.5), grade(3.5, 22.0));
    let holds =
        |nutrient| c.input("fish_lb") * fish.content_pct(nutrient) / 100.0 + c.input("bone_lb") * bone.content_pct(nutrient) / 100.0;
    c.check("n", holds(Guarantee::N));
    // the page's P is the middle number of the label
    c.check("p", holds(Guarantee::P2o5));
    let c = case("compost-yd3");
    let total = c.input("lb_yd3") * c.input("n_pct") / 100.0;
    c.check("total_n_lb_yd3", total);
    let (low, high) = compost_nitrogen_kg(total).unwrap();
    c.check("avail_low", low);
    c.check("avail_high", high);
    let c = case("manure-cornell");
    let organic_n_kg = c.input("tons") * c.input("org_n_lb_ton");
    let cow = Manure { kind: ManureKind::Cow, dry_matter_pct: 15.0, organic_n_kg, years_ago: 0 };
    c.check("n_lb_acre", manure_nitrogen_kg(&[cow]).unwrap());
}
