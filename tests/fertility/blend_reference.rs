//! Mixes, products and manure against published examples and SciPy's HiGHS (`tests/reference/blend.toml`).

use dibble::control::Control;
use dibble::fertility::{Bags, Blend, BlendRequest, Guarantee, ManureKind, Need, Product, blend, blend_conflict, manure_release};
use dibble::units::KG_PER_LB;
use serde::Deserialize;
use std::collections::BTreeMap;

pub(crate) const CHECKED: [Guarantee; 4] = [Guarantee::N, Guarantee::P2o5, Guarantee::K2o, Guarantee::S];

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
    misprint: Option<f64>,
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

fn read() -> Reference {
    toml::from_str(include_str!("../reference/blend.toml")).unwrap()
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
            undersupply: None,
            salt_cap_kg: given(self.salt_cap),
            bags: self.bags,
        }
    }
}

pub(crate) fn mix(request: &BlendRequest) -> Blend {
    blend(request, &Control::new()).unwrap()
}

pub(crate) fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-7 * a.abs().max(b.abs()).max(1.0)
}

#[test]
fn published_blends_are_met() {
    for case in read().blend {
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
    for (i, case) in read().random.iter().enumerate() {
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
    let r = read();
    let holding = |pct: f64| Product { name: "x".into(), n_pct: pct, ..Product::default() };
    for s in &r.supply {
        let kg = holding(s.pct).kg_to_supply(Guarantee::N, s.nutrient_lb * KG_PER_LB).unwrap();
        assert!((kg / KG_PER_LB - s.product_lb).abs() <= s.tolerance, "{}: {}", s.source, kg / KG_PER_LB);
        if let Some(misprint) = s.misprint {
            assert!((kg / KG_PER_LB - misprint).abs() > s.tolerance, "the misprint {misprint} was followed: {}", s.source);
        }
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
    let r = read();
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
