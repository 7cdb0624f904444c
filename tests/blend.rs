//! Mixes, products and manure against published examples, SciPy's HiGHS, brute force and the laws of prices.

#![allow(clippy::unwrap_used, clippy::panic)]

use dibble::control::Control;
use dibble::fertility::{Bags, Blend, BlendRequest, Guarantee, Limit, ManureKind, Need, Product, blend, blend_conflict, manure_release};
use dibble::units::{KG_PER_LB, System};
use proptest::prelude::*;
use serde::Deserialize;
use std::collections::BTreeMap;

const CHECKED: [Guarantee; 4] = [Guarantee::N, Guarantee::P2o5, Guarantee::K2o, Guarantee::S];

#[derive(Deserialize)]
struct Reference {
    blend: Vec<Printed>,
    random: Vec<Random>,
    supply: Vec<Supply>,
    colorado: Rows<[f64; 2]>,
    bags: Rows<[f64; 7]>,
    cost: Rows<[f64; 3]>,
    residual: Residual,
    salt: Salt,
    acidity: Rows<(String, f64, f64)>,
    density: Rows<(String, f64, f64, f64, f64)>,
    manure: Rows<(String, f64, f64, f64, f64)>,
}

#[derive(Deserialize)]
struct Rows<T> {
    source: String,
    rows: Vec<T>,
    #[serde(default)]
    tolerance: f64,
}

#[derive(Deserialize)]
struct Printed {
    id: String,
    source: String,
    products: BTreeMap<String, [f64; 5]>,
    lower_lb: BTreeMap<String, f64>,
    upper_lb: BTreeMap<String, f64>,
    bag_lb: Option<f64>,
    cost: f64,
    amounts_lb: BTreeMap<String, f64>,
    shadow_price: Option<BTreeMap<String, f64>>,
    lp_relaxation_cost: Option<f64>,
    rounded_up_lp_cost: Option<f64>,
    tolerance: f64,
}

#[derive(Deserialize)]
struct Random {
    bags: Bags,
    products: Vec<[f64; 9]>,
    needs: Vec<[f64; 2]>,
    salt_cap: f64,
    cost: f64,
}

#[derive(Deserialize)]
struct Supply {
    source: String,
    nutrient_lb: f64,
    pct: f64,
    product_lb: f64,
    tolerance: f64,
}

#[derive(Deserialize)]
struct Residual {
    source: String,
    p2o5_cost_per_lb: f64,
}

#[derive(Deserialize)]
struct Salt {
    source: String,
    rows: Vec<(String, f64, f64)>,
    triple: [f64; 3],
}

fn reference() -> Reference {
    toml::from_str(include_str!("reference/blend.toml")).unwrap()
}

impl Printed {
    /// The problem in pounds, turned into kilograms.
    fn request(&self) -> BlendRequest {
        let product = |(name, v): (&String, &[f64; 5])| Product {
            name: name.clone(),
            n_pct: 100.0 * v[0],
            p2o5_pct: 100.0 * v[1],
            k2o_pct: 100.0 * v[2],
            s_pct: 100.0 * v[3],
            price_per_kg: Some(v[4] / KG_PER_LB),
            bag_kg: self.bag_lb.map(|lb| lb * KG_PER_LB),
            ..Product::default()
        };
        let need = |(name, lb): (&String, &f64)| Need {
            nutrient: name.parse().unwrap(),
            at_least_kg: lb * KG_PER_LB,
            at_most_kg: self.upper_lb.get(name).map(|lb| lb * KG_PER_LB),
        };
        let mut request = BlendRequest::new(self.lower_lb.iter().map(need).collect(), self.products.iter().map(product).collect());
        request.bags = if self.bag_lb.is_some() { Bags::Whole } else { Bags::Loose };
        request
    }
}

impl Random {
    fn request(&self) -> BlendRequest {
        let given = |v: f64| (v >= 0.0).then_some(v);
        let product = |(i, v): (usize, &[f64; 9])| Product {
            name: format!("p{i}"),
            n_pct: v[0],
            p2o5_pct: v[1],
            k2o_pct: v[2],
            s_pct: v[3],
            salt_index: Some(v[4]),
            price_per_kg: Some(v[5]),
            bag_kg: Some(v[6]),
            on_hand_kg: v[7],
            max_kg: given(v[8]),
            ..Product::default()
        };
        let need = |(&nutrient, v): (&Guarantee, &[f64; 2])| Need { nutrient, at_least_kg: v[0], at_most_kg: given(v[1]) };
        BlendRequest {
            needs: CHECKED.iter().zip(&self.needs).map(need).collect(),
            products: self.products.iter().enumerate().map(product).collect(),
            oversupply: None,
            salt_cap_kg: given(self.salt_cap),
            bags: self.bags,
        }
    }
}

fn mix(request: &BlendRequest) -> Blend {
    blend(request, &Control::new()).unwrap()
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-7 * a.abs().max(b.abs()).max(1.0)
}

#[test]
fn published_blends_are_met() {
    for case in reference().blend {
        let place = format!("{} ({})", case.id, case.source);
        let found = mix(&case.request());
        let near = |a: f64, b: f64, what: &str| assert!((a - b).abs() <= case.tolerance, "{place}: {what} {a} for {b}");
        near(found.cost, case.cost, "cost");
        for (name, lb) in &case.amounts_lb {
            near(found.amount_kg(name) / KG_PER_LB, *lb, name);
        }
        for (name, price) in case.shadow_price.iter().flatten() {
            let (low, high) = found.price_of(name.parse().unwrap()).unwrap();
            assert_eq!(low, high, "{place}: {name}");
            assert!((low * KG_PER_LB - price).abs() < 1e-8, "{place}: price of {name} {low} for {price}");
        }
        if let (Some(lp), Some(up)) = (case.lp_relaxation_cost, case.rounded_up_lp_cost) {
            near(found.cost_by_weight, lp, "cost by weight");
            near(found.cost_rounded_up.unwrap(), up, "cost rounded up");
        }
        assert!(found.proven && found.ties == Some(vec![]), "{place}: the only optimum");
    }
}

#[test]
fn random_blends_cost_what_scipy_finds() {
    let mut dearer = 0;
    for (i, case) in reference().random.iter().enumerate() {
        let request = case.request();
        match blend(&request, &Control::new()) {
            Ok(found) => {
                assert!(close(found.cost, case.cost), "random {i}: {} for {}", found.cost, case.cost);
                assert!(found.cost_by_weight <= found.cost + 1e-7);
                dearer += usize::from(found.cost_rounded_up.is_some_and(|up| up > found.cost + 0.01));
            }
            Err(e) => {
                assert!(e.is_infeasible() && case.cost == -1.0, "random {i}: {e}");
                let conflict = blend_conflict(&request, &Control::new()).unwrap().unwrap();
                assert!(!conflict.limits.is_empty());
            }
        }
    }
    assert!(dearer >= 3, "rounding up was dearer than whole bags {dearer} times");
}

#[test]
fn single_products_agree_with_print() {
    let r = reference();
    let holding = |pct: f64| Product { name: "x".into(), n_pct: pct, ..Product::default() };
    for s in &r.supply {
        let kg = holding(s.pct).kg_to_supply(Guarantee::N, s.nutrient_lb * KG_PER_LB).unwrap();
        assert!((kg / KG_PER_LB - s.product_lb).abs() <= s.tolerance, "{}: {}", s.source, kg / KG_PER_LB);
    }
    for [pct, lb] in r.colorado.rows {
        let found = holding(pct).kg_to_supply(Guarantee::N, 1.0).unwrap();
        assert!((found - lb).abs() <= r.colorado.tolerance, "{}: {found} for {lb}", r.colorado.source);
    }
    for [lb, n, p, k, n_lb, p_lb, k_lb] in r.bags.rows {
        let product = Product { name: "x".into(), n_pct: n, p2o5_pct: p, k2o_pct: k, on_hand_kg: lb, ..Product::default() };
        let found = mix(&BlendRequest::new(vec![Need::at_least(Guarantee::N, n_lb)], vec![product]));
        for (nutrient, lb) in [(Guarantee::N, n_lb), (Guarantee::P2o5, p_lb), (Guarantee::K2o, k_lb)] {
            assert!(close(found.supplied_kg(nutrient), lb), "{}", r.bags.source);
        }
    }
    for [per_ton, pct, per_lb] in r.cost.rows {
        let product = Product { price_per_kg: Some(per_ton / (2000.0 * KG_PER_LB)), ..holding(pct) };
        let found = product.price_per_kg_of(Guarantee::N, &[]).unwrap() * KG_PER_LB;
        assert!((found - per_lb).abs() <= r.cost.tolerance, "{}: {found} for {per_lb}", r.cost.source);
    }
    let dap = Product { price_per_kg: Some(600.0 / (2000.0 * KG_PER_LB)), ..Product::find("DAP").unwrap() };
    let rest = dap.price_per_kg_of(Guarantee::P2o5, &[(Guarantee::N, 0.5 / KG_PER_LB)]).unwrap() * KG_PER_LB;
    assert!((rest - r.residual.p2o5_cost_per_lb).abs() < 1e-9, "{}: {rest}", r.residual.source);
}

#[test]
fn shipped_products_agree_with_the_lists_they_come_from() {
    const KG_M3_PER_LB_FT3: f64 = 16.018_463;
    let r = reference();
    let find = |name: &str| Product::find(name).unwrap();
    for (name, salt, per_unit) in &r.salt.rows {
        let product = find(name);
        assert_eq!(product.salt_index, Some(*salt), "{name}: {}", r.salt.source);
        assert!((product.salt_per_unit().unwrap() - per_unit).abs() < 1e-6, "{name}: {}", r.salt.source);
    }
    let [salt, units, per_unit] = r.salt.triple;
    assert_eq!(find("TSP").salt_index, Some(salt));
    let tsp = Product { p2o5_pct: units, ..find("TSP") };
    assert!((tsp.salt_per_unit().unwrap() - per_unit).abs() < 1e-6, "{}", r.salt.source);
    for (name, n_lb, caco3_lb) in &r.acidity.rows {
        let product = find(name);
        let found = product.kg_to_supply(Guarantee::N, *n_lb).unwrap() * product.acidity_kg_kg.unwrap();
        assert!((found - caco3_lb).abs() < 1e-9, "{name}: {found} for {caco3_lb} ({})", r.acidity.source);
    }
    for (name, a, b, c, d) in &r.density.rows {
        let product = find(name);
        for printed in [a, b, c, d].into_iter().filter(|v| **v > 0.0) {
            let kg_m3 = printed * KG_M3_PER_LB_FT3;
            let (low, high) = (product.density_low_kg_m3.unwrap(), product.density_high_kg_m3.unwrap());
            assert!(kg_m3 > low - 0.5 && kg_m3 < high + 0.5, "{name}: {kg_m3} outside {low}-{high} ({})", r.density.source);
        }
    }
    for (kind, wet, dry, next, after) in &r.manure.rows {
        let kind: ManureKind = kind.parse().unwrap();
        for (first, dry_matter) in [(wet, 17.9), (dry, 18.0)] {
            let shares = manure_release(kind, dry_matter).unwrap().map(|s| 100.0 * s);
            let printed = [*first, *next, *after];
            assert!(shares.iter().zip(printed).all(|(a, b)| (a - b).abs() < 1e-9), "{kind}: {shares:?} ({})", r.manure.source);
        }
    }
}

/// Prices for a kilogram, invented.
fn shed() -> Vec<Product> {
    let priced = |name: &str, price: f64| Product { price_per_kg: Some(price), bag_kg: Some(20.0), ..Product::find(name).unwrap() };
    vec![
        priced("urea", 0.66),
        priced("DAP", 0.88),
        priced("potassium chloride", 0.62),
        priced("ammonium sulfate", 0.55),
        priced("MAP", 0.92),
        priced("potassium sulfate", 1.21),
    ]
}

#[test]
fn conflicts_name_the_smallest_set_and_how_far_each_goes() {
    // DAP and MAP bring N with the phosphate: 20 kg P2O5 bring at least 4.23 kg N.
    let needs = vec![Need::at_least(Guarantee::P2o5, 20.0), Need::between(Guarantee::N, 0.0, 2.0), Need::at_least(Guarantee::K2o, 10.0)];
    let request = BlendRequest::new(needs, shed());
    let conflict = blend_conflict(&request, &Control::new()).unwrap().unwrap();
    let named: Vec<&Limit> = conflict.limits.iter().map(|c| &c.limit).collect();
    assert_eq!(named, [&Limit::AtLeast { nutrient: Guarantee::P2o5 }, &Limit::AtMost { nutrient: Guarantee::N }]);
    assert!(conflict.smallest && !conflict.only_bags);
    assert_eq!(
        blend(&request, &Control::new()).unwrap_err().to_string(),
        "no mix of these products keeps P2O5 at least 20.000 kg, N at most 2.000 kg together. With all else kept, what can be met is: P2O5 at least 9.455 kg; or N at most 4.231 kg. Ease one of these limits, or add a product."
    );
    let only_n = BlendRequest::new(vec![Need::at_least(Guarantee::Mg, 5.0)], shed());
    assert_eq!(
        blend(&only_n, &Control::new()).unwrap_err().to_string(),
        "no mix of these products brings Mg at least 5.000 kg. With all else kept, what can be met is: Mg at least 0.000 kg. Ease one of these limits, or add a product."
    );
}

#[test]
fn what_only_whole_bags_prevent_is_said() {
    let needs = vec![Need::between(Guarantee::N, 10.0, 12.0)];
    let mut request = BlendRequest::new(needs, shed().into_iter().take(1).collect());
    request.bags = Bags::Whole;
    assert_eq!(
        blend(&request, &Control::new()).unwrap_err().to_string(),
        "no mix of these products keeps N at least 10.000 kg, N at most 12.000 kg together. With all else kept, what can be met is: N at least 9.200 kg; or N at most 18.400 kg. By weight instead of whole bags all could be kept. Ease one of these limits, or add a product."
    );
    request.bags = Bags::Opened;
    let found = mix(&request);
    assert_eq!((found.amounts[0].bags, found.amounts[0].bought_kg), (Some(2), 40.0));
    assert!(close(found.amounts[0].kg + found.amounts[0].left_kg, 40.0) && close(found.cost, 26.4));
    assert!(found.supplied_kg(Guarantee::N) >= 10.0 - 1e-9 && found.supplied_kg(Guarantee::N) <= 12.0 + 1e-9);
}

#[test]
fn stock_is_used_before_anything_is_bought_and_has_a_price() {
    let mut products = shed();
    products[0].on_hand_kg = 10.0;
    let request = BlendRequest::new(vec![Need::at_least(Guarantee::N, 23.0)], products);
    let found = mix(&request);
    assert!(close(found.amounts[0].from_stock_kg, 10.0) && close(found.amounts[0].bought_kg, 40.0) && close(found.cost, 26.4));
    let price = found.shadow_prices.as_ref().unwrap().iter().find(|p| matches!(p.limit, Limit::OnHand { .. })).unwrap();
    assert!(close(price.high_per_kg.unwrap(), -0.66));
    assert!(found.sentences(System::Si).contains(&"Each further kilogram of urea in the shed would save 0.66.".to_string()));
}

#[test]
fn equal_costs_are_settled_by_weight_then_name_and_reported() {
    let product = |name: &str, n: f64, price: f64| Product { name: name.into(), n_pct: n, price_per_kg: Some(price), ..Product::default() };
    let needs = vec![Need::at_least(Guarantee::N, 10.0)];
    // The strong product costs the same for its N: the lightest mix takes it alone.
    let by_weight = mix(&BlendRequest::new(needs.clone(), vec![product("weak", 20.0, 0.4), product("strong", 40.0, 0.8)]));
    assert!(close(by_weight.amount_kg("strong"), 25.0) && by_weight.amount_kg("weak") == 0.0);
    let ties = by_weight.ties.as_ref().unwrap();
    assert_eq!((ties.len(), ties[0].low_kg, ties[0].high_kg.unwrap().round()), (2, 0.0, 50.0));
    // Twins: the first name takes all, whatever their order.
    let twins = |a: &str, b: &str| mix(&BlendRequest::new(needs.clone(), vec![product(a, 20.0, 0.4), product(b, 20.0, 0.4)]));
    assert!(close(twins("a", "b").amount_kg("a"), 50.0) && close(twins("b", "a").amount_kg("a"), 50.0));
    let said = twins("a", "b").sentences(System::Si);
    assert!(said.contains(&"At the same cost a could be from 0.00 kg to 50 kg.".to_string()), "{said:?}");
}

#[test]
fn a_degenerate_price_is_an_interval_in_words() {
    let mut products = shed();
    products.truncate(1);
    // The cap of 50 kg urea gives exactly the 23 kg of N: no more can be had.
    products[0].max_kg = Some(50.0);
    let found = mix(&BlendRequest::new(vec![Need::at_least(Guarantee::N, 23.0)], products.clone()));
    let said = found.sentences(System::Us);
    assert!(said.contains(&"The next pound of N cannot be had; one less saves 0.65.".to_string()), "{said:?}");
    // With a dearer second source the next one costs more than the last one saved.
    products.push(Product { price_per_kg: Some(1.10), salt_index: None, ..Product::find("ammonium sulfate").unwrap() });
    let found = mix(&BlendRequest::new(vec![Need::at_least(Guarantee::N, 23.0)], products));
    let said = found.sentences(System::Us);
    assert!(said.contains(&"The next pound of N costs 2.38; one less saves 0.65.".to_string()), "{said:?}");
}

#[test]
fn a_mix_in_sentences() {
    let mut request = BlendRequest::new(vec![Need::between(Guarantee::N, 10.0, 12.0), Need::at_least(Guarantee::S, 3.0)], shed());
    request.salt_cap_kg = Some(60.0);
    let found = mix(&request);
    assert_eq!(
        found.sentences(System::Us),
        [
            "Spread 35 lb (16 kg) of urea: buy 35 lb (16 kg) for 10.58.",
            "Spread 28 lb (12 kg) of ammonium sulfate: buy 28 lb (12 kg) for 6.88.",
            "Cost 17.46.",
            "Brings 22 lb (10 kg) of N for a need of 22 lb (10 kg).",
            "Brings 6.6 lb (3.0 kg) of S for a need of 6.6 lb (3.0 kg).",
            "Each pound of N costs 0.65.",
            "Each pound of S costs 0.47.",
            "This is arithmetic, not a nutrient management plan; local rules may ask for one.",
        ]
    );
    assert!(close(found.salt_kg.unwrap(), 16.032608695652176 * 0.744 + 12.5 * 0.883));
    assert!(close(found.acidity_kg.unwrap(), 16.032608695652176 * 0.828 + 12.5 * 1.134));
}

#[test]
fn the_salt_cap_binds_and_oversupply_is_held() {
    let needs = vec![Need::at_least(Guarantee::K2o, 30.0)];
    let mut request = BlendRequest::new(needs, shed());
    let free = mix(&request);
    assert!(close(free.amount_kg("potassium chloride"), 50.0) && close(free.salt_kg.unwrap(), 58.1));
    request.salt_cap_kg = Some(40.0);
    let capped = mix(&request);
    assert!(capped.amount_kg("potassium sulfate") > 1.0 && close(capped.salt_kg.unwrap(), 40.0) && capped.cost > free.cost);
    let salt = capped.shadow_prices.as_ref().unwrap().iter().find(|p| p.limit == Limit::Salt).unwrap();
    assert!(salt.high_per_kg.unwrap() < 0.0);

    let mut tight = BlendRequest::new(vec![Need::at_least(Guarantee::P2o5, 46.0), Need::at_least(Guarantee::N, 10.0)], shed());
    let loose = mix(&tight);
    assert!(loose.supplied_kg(Guarantee::N) > 10.0 * 1.1 - 1e-9 || close(loose.supplied_kg(Guarantee::N), 10.0));
    tight.oversupply = Some(0.05);
    let held = mix(&tight);
    assert!(held.supplied_kg(Guarantee::N) <= 10.5 + 1e-9 && held.cost >= loose.cost - 1e-9);
}

#[test]
fn bad_requests_are_refused_with_every_fault() {
    let said = |request: &BlendRequest| blend(request, &Control::new()).unwrap_err().to_string();
    assert_eq!(
        said(&BlendRequest::new(vec![], vec![])),
        "2 problems:\n  - needs is missing. Name at least one nutrient and its weight, for instance 40 kg of N.\n  - products is missing. Give at least one product with its price."
    );
    let mut products = shed();
    products[0].price_per_kg = Some(-0.3);
    products[1].n_pct = f64::NAN;
    products[2].price_per_kg = None;
    products[3].salt_index = None;
    products[4].bag_kg = None;
    products[5].name = "UREA".into();
    let mut request = BlendRequest::new(
        vec![Need::between(Guarantee::N, 10.0, 5.0), Need::at_least(Guarantee::K2o, f64::INFINITY), Need::at_least(Guarantee::N, 1.0)],
        products,
    );
    request.salt_cap_kg = Some(-1.0);
    request.oversupply = Some(f64::NAN);
    request.bags = Bags::Whole;
    assert_eq!(
        said(&request),
        "11 problems:\n  \
         - need of N: at_least_kg 10 is above at_most_kg 5. Swap them.\n  \
         - need of K2O: at_least_kg is inf kg: weight must be from 0 to 1000000000 kg. Give kilograms; 1 lb is 0.4536 kg.\n  \
         - need of N: it stands twice. Give each nutrient once.\n  \
         - product \"urea\": price_per_kg is -0.3: price must be from 0 to 1000000000. Give money, 0 for a gift; a price cannot be negative.\n  \
         - product \"diammonium phosphate\": n_pct is NaN %: content must be from 0 to 100 %. Give percent by weight, as the label has it.\n  \
         - product \"potassium chloride\": the price is missing. Give price_per_kg, or price_per_bag with bag_kg. Or give on_hand_kg, if it lies in the shed.\n  \
         - product \"ammonium sulfate\": salt_index is missing. A salt cap needs the salt index of every product; its data sheet has it.\n  \
         - product \"monoammonium phosphate\": bag_kg is missing. Whole bags need the weight of a bag.\n  \
         - product \"UREA\": it stands twice. Give each product a name of its own.\n  \
         - oversupply is NaN: tolerance of oversupply must be from 0 to 100. Give a fraction, 0.10 for 10 % more than needed.\n  \
         - salt_cap_kg is -1 kg: weight must be from 0 to 1000000000 kg. Give kilograms; 1 lb is 0.4536 kg."
    );
}

#[test]
fn a_cancelled_blend_says_so_and_results_read_back() {
    let request = BlendRequest::new(vec![Need::at_least(Guarantee::N, 10.0)], shed());
    let control = Control::new();
    control.cancel();
    assert!(blend(&request, &control).unwrap_err().is_cancelled());
    let found = mix(&request);
    let json = serde_json::to_string(&found).unwrap();
    assert_eq!(serde_json::from_str::<Blend>(&json).unwrap(), found);
    let json = serde_json::to_string(&request).unwrap();
    assert_eq!(serde_json::from_str::<BlendRequest>(&json).unwrap(), request);
}

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
