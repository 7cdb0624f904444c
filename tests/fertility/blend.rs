//! What a mix answers: conflicts, bags, stock, ties, prices in words, the steps behind it; and what it refuses.

use crate::blend_reference::{close, mix};
use dibble::control::Control;
use dibble::fertility::{Bags, Blend, BlendRequest, Guarantee, Limit, Need, Product, blend, blend_conflict};
use dibble::units::System;

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
        "no mix of these products keeps P2O5 at least 20.000 kg, N at most 2.000 kg together. With all else kept, what can be met is: P2O5 at least 9.455 kg; or N at most 4.231 kg. Ease one of these limits, or add a product. Other limits may clash too: this is one of the sets that do."
    );
    let only_n = BlendRequest::new(vec![Need::at_least(Guarantee::Mg, 5.0)], shed());
    assert_eq!(
        blend(&only_n, &Control::new()).unwrap_err().to_string(),
        "none of these products holds Mg, and 5.000 kg of it is needed. Add a product that holds it."
    );
}

#[test]
fn what_only_whole_bags_prevent_is_said() {
    let needs = vec![Need::between(Guarantee::N, 10.0, 12.0)];
    let mut request = BlendRequest::new(needs, shed().into_iter().take(1).collect());
    request.bags = Bags::Whole;
    assert_eq!(
        blend(&request, &Control::new()).unwrap_err().to_string(),
        "no mix of these products keeps N at least 10.000 kg, N at most 12.000 kg together. With all else kept, what can be met is: N at least 9.200 kg; or N at most 18.400 kg. By weight instead of whole bags all could be kept. Ease one of these limits, or add a product. Other limits may clash too: this is one of the sets that do."
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

#[test]
fn the_steps_add_up_and_belong_to_their_request() {
    let request = BlendRequest::new(vec![Need::at_least(Guarantee::N, 10.0), Need::at_least(Guarantee::S, 3.0)], shed());
    let found = mix(&request);
    let steps = found.explain(&request).unwrap();
    let what: Vec<&str> = steps.iter().map(|s| s.what.as_str()).collect();
    assert_eq!(what, ["N", "S", "salt", "acid", "cost"]);
    assert_eq!(
        steps[4].to_string(),
        "cost: weight bought of each product times its price, with 0.66 for a kg of urea 16.0 kg, 0.55 for a kg of ammonium sulfate 12.5 kg = 17.5 [prices as given]"
    );
    let other = BlendRequest::new(request.needs.clone(), shed().into_iter().take(2).collect());
    assert_eq!(
        found.explain(&other).unwrap_err().to_string(),
        "the request holds other products than the mix. Give the request that the mix was made for."
    );
}

#[test]
fn a_mix_that_was_changed_does_not_add_up() {
    let request = BlendRequest { bags: Bags::Opened, ..BlendRequest::new(vec![Need::at_least(Guarantee::N, 21.0)], shed()) };
    let made = blend(&request, &Control::new()).unwrap();
    made.check().unwrap();
    made.check_for(&request).unwrap();
    let changed = |change: fn(&mut Blend)| {
        let mut mix = made.clone();
        change(&mut mix);
        mix
    };
    let cheap = changed(|m| m.cost = 1.0).check().unwrap_err().to_string();
    assert!(cheap.starts_with("the mix does not add up: its lines cost ") && cheap.contains("and all of it 1. It was changed"), "{cheap}");
    assert!(changed(|m| m.cost = f64::NAN).check().is_err());
    assert!(changed(|m| m.amounts[0].kg += 1.0).check().is_err());
    assert!(changed(|m| m.amounts[0].kg = -1.0).check().is_err());
    assert!(changed(|m| m.supplied[0].kg = -1.0).check().is_err());
    // these add up and still are not what the request gives
    let more = changed(|m| m.supplied[0].kg *= 2.0);
    assert!(more.check().is_ok() && more.check_for(&request).is_err());
    let asked = changed(|m| m.supplied[0].at_least_kg = Some(1.0));
    assert!(asked.check().is_ok() && asked.check_for(&request).is_err());
    let other = changed(|m| m.amounts[0].product = "gold".into());
    assert!(other.check().is_ok() && other.check_for(&request).is_err());
}

#[test]
fn no_amount_is_minus_zero() {
    let gift = Product { on_hand_kg: 100.0, price_per_kg: None, ..shed().remove(0) };
    let made = blend(&BlendRequest::new(vec![Need::at_least(Guarantee::N, 21.0)], vec![gift]), &Control::new()).unwrap();
    let none = blend(&BlendRequest::new(vec![Need::at_least(Guarantee::N, 0.0)], shed()), &Control::new()).unwrap();
    for mix in [made, none] {
        let text = serde_json::to_string(&mix).unwrap();
        assert!(!text.contains("-0.0"), "{text}");
    }
}

#[test]
fn no_bag_is_bought_for_a_crumb_where_a_tolerance_is_given() {
    // three bags of 22.5 kg at 20 % N bring 13.5 kg; 13.6 kg are asked
    let weak = Product { name: "weak".into(), n_pct: 20.0, price_per_kg: Some(0.4), bag_kg: Some(22.5), ..Product::default() };
    let exact = BlendRequest { bags: Bags::Whole, ..BlendRequest::new(vec![Need::at_least(Guarantee::N, 13.6)], vec![weak]) };
    let bags = |request: &BlendRequest| mix(request).amounts[0].bags;
    assert_eq!(bags(&exact), Some(4));
    let near = BlendRequest { undersupply: Some(0.02), ..exact.clone() };
    assert_eq!(bags(&near), Some(3));
    mix(&near).check_for(&near).unwrap();
    let said = mix(&near).sentences(dibble::units::System::Si);
    assert!(said.iter().any(|s| s.ends_with("of N for a need of 14 kg, 0.74 % short of it.")), "{said:?}");
    // by weight nothing falls short
    assert!((mix(&BlendRequest { bags: Bags::Loose, ..near }).supplied_kg(Guarantee::N) - 13.6).abs() < 1e-9);
}
