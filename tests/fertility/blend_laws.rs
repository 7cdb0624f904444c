//! Laws that mixes keep: prices, needs, area, order; brute force for whole bags; no input makes a fault.

use crate::blend_reference::{CHECKED, close};
use dibble::control::Control;
use dibble::fertility::{Bags, BlendRequest, Guarantee, Need, Product, blend};
use proptest::prelude::*;

fn any_request() -> impl Strategy<Value = BlendRequest> {
    let product = (0usize..7, 40u32..160, 1u32..6);
    let need = (0u32..6, prop::bool::ANY, 105u32..200);
    (prop::collection::vec(product, 2..7), prop::collection::vec(need, 3)).prop_map(|(products, needs)| {
        const GRADES: [[f64; 4]; 7] = [
            [46.0, 0.0, 0.0, 0.0],
            [18.0, 46.0, 0.0, 0.0],
            [21.0, 0.0, 0.0, 24.0],
            [0.0, 46.0, 0.0, 0.0],
            [0.0, 0.0, 60.0, 0.0],
            [10.0, 10.0, 10.0, 0.0],
            [0.0, 0.0, 50.0, 17.0],
        ];
        let product = |(i, (grade, cents, bag)): (usize, (usize, u32, u32))| Product {
            name: format!("p{i}"),
            n_pct: GRADES[grade][0],
            p2o5_pct: GRADES[grade][1],
            k2o_pct: GRADES[grade][2],
            s_pct: GRADES[grade][3],
            price_per_kg: Some(f64::from(cents) / 100.0),
            bag_kg: Some(5.0 * f64::from(bag)),
            ..Product::default()
        };
        let need = |(&nutrient, (tens, capped, most)): (&Guarantee, (u32, bool, u32))| {
            let kg = 10.0 * f64::from(tens);
            Need { nutrient, at_least_kg: kg, at_most_kg: capped.then_some(kg * f64::from(most) / 100.0) }
        };
        BlendRequest::new(CHECKED.iter().zip(needs).map(need).collect(), products.into_iter().enumerate().map(product).collect())
    })
}

/// Cost, infinite where no mix exists.
fn cost(request: &BlendRequest) -> f64 {
    match blend(request, &Control::new()) {
        Ok(found) => found.cost,
        Err(e) if e.is_infeasible() => f64::INFINITY,
        Err(e) => panic!("{e}"),
    }
}

/// Cheapest whole bags by trying all numbers up to `most`.
fn tried(request: &BlendRequest, most: u32) -> f64 {
    let n = request.products.len();
    let mut best = f64::INFINITY;
    let mut bags = vec![0u32; n];
    loop {
        let kg = |i: usize| f64::from(bags[i]) * request.products[i].bag_kg.unwrap();
        let fits = request.needs.iter().all(|need| {
            let sum: f64 = (0..n).map(|i| request.products[i].content_pct(need.nutrient) / 100.0 * kg(i)).sum();
            sum >= need.at_least_kg - 1e-9 && need.at_most_kg.is_none_or(|m| sum <= m + 1e-9)
        });
        if fits {
            best = best.min((0..n).map(|i| kg(i) * request.products[i].price_per_kg.unwrap()).sum());
        }
        let Some(i) = bags.iter().position(|&b| b < most) else { return best };
        bags[..i].fill(0);
        bags[i] += 1;
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn whole_bags_agree_with_trying_all(request in any_request(), tens in prop::collection::vec(0u32..4, 3)) {
        let mut request = request;
        request.products.truncate(4);
        request.bags = Bags::Whole;
        for (need, tens) in request.needs.iter_mut().zip(tens) {
            let room = need.at_most_kg.map(|m| m - need.at_least_kg);
            need.at_least_kg = 2.0 * f64::from(tens);
            need.at_most_kg = room.map(|r| need.at_least_kg + r);
        }
        // 6 kg of a nutrient need at most 12 bags of 5 kg at 10 %.
        let (found, all) = (cost(&request), tried(&request, 12));
        prop_assert!(found == all || (found - all).abs() < 1e-6, "{} for {}", found, all);
    }

    #[test]
    fn a_smaller_need_never_costs_more(request in any_request(), which in 0usize..3, share in 0.0f64..1.0) {
        let before = cost(&request);
        let mut less = request.clone();
        let most = less.needs[which].at_most_kg;
        less.needs[which].at_least_kg *= share;
        less.needs[which].at_most_kg = most;
        prop_assert!(cost(&less) <= before * (1.0 + 1e-9) + 1e-9);
    }

    #[test]
    fn a_higher_price_never_lowers_the_cost(request in any_request(), which in 0usize..6, factor in 1.0f64..3.0) {
        let before = cost(&request);
        let mut dearer = request.clone();
        let which = which % dearer.products.len();
        dearer.products[which].price_per_kg = dearer.products[which].price_per_kg.map(|p| p * factor);
        prop_assert!(cost(&dearer) >= before * (1.0 - 1e-9) - 1e-9);
    }

    #[test]
    fn a_larger_ground_scales_the_bill(request in any_request(), area in 0.001f64..1000.0) {
        let before = cost(&request);
        let mut larger = request.clone();
        for need in &mut larger.needs {
            need.at_least_kg *= area;
            need.at_most_kg = need.at_most_kg.map(|m| m * area);
        }
        let after = cost(&larger);
        prop_assert!(after == before || (after - area * before).abs() <= 1e-7 * after, "{} for {}", after, area * before);
    }

    #[test]
    fn the_order_of_products_and_needs_changes_nothing(request in any_request()) {
        let mut turned = request.clone();
        turned.products.reverse();
        turned.needs.reverse();
        match (blend(&request, &Control::new()), blend(&turned, &Control::new())) {
            (Ok(a), Ok(b)) => {
                prop_assert!(close(a.cost, b.cost));
                for product in &request.products {
                    let (x, y) = (a.amount_kg(&product.name), b.amount_kg(&product.name));
                    prop_assert!((x - y).abs() < 1e-6 * x.max(y).max(1.0), "{}: {} and {}", product.name, x, y);
                }
            }
            (Err(a), Err(b)) => prop_assert!(a.is_infeasible() && b.is_infeasible()),
            (a, b) => prop_assert!(false, "{:?} and {:?}", a, b),
        }
    }

    /// Whatever the numbers: a mix that holds, or an error that is not a fault of ours.
    #[test]
    fn wild_numbers_give_a_mix_or_a_clear_refusal(
        products in prop::collection::vec((prop::collection::vec(wild(100.0), 4), wild(1e9), wild(1e5), prop::option::of(wild(1e9)), wild(1e9)), 1..5),
        needs in prop::collection::vec((wild(1e9), prop::option::of(wild(1e9))), 1..5),
        cap in prop::option::of(wild(1e9)),
        bags in prop::sample::select(Bags::ALL.to_vec()),
    ) {
        let product = |(i, (content, price, bag, most, stock)): (usize, Wild)| Product {
            name: format!("p{i}"),
            n_pct: content[0],
            p2o5_pct: content[1],
            k2o_pct: content[2],
            s_pct: content[3],
            salt_index: Some(content[0]),
            price_per_kg: Some(price),
            bag_kg: Some(bag),
            max_kg: most,
            on_hand_kg: stock,
            ..Product::default()
        };
        let need = |(&nutrient, (least, most)): (&Guarantee, (f64, Option<f64>))| Need { nutrient, at_least_kg: least, at_most_kg: most };
        let request = BlendRequest {
            needs: CHECKED.iter().zip(needs).map(need).collect(),
            products: products.into_iter().enumerate().map(product).collect(),
            oversupply: None,
            undersupply: None,
            salt_cap_kg: cap,
            bags,
        };
        if let Err(e) = blend(&request, &Control::new().with_limit(2000)) {
            prop_assert!(!e.is_internal(), "{} from {:?}", e, request);
        }
    }
}

/// Contents, price, bag, most, stock.
type Wild = (Vec<f64>, f64, f64, Option<f64>, f64);

/// Numbers of every size up to `most`, round ones and a few that are not numbers.
fn wild(most: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => (0.0f64..1.0).prop_map(move |u| most * u),
        6 => (-12.0f64..0.0).prop_map(move |e| most * 10f64.powf(e)),
        4 => Just(0.0),
        3 => Just(most),
        1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, -1.0, f64::MIN_POSITIVE, 1e300]),
    ]
}
