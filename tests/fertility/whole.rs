//! One block from the lab sheet to bags and ounces, and what is asked where the user has to decide.

use crate::soil::{measured, sheet};
use dibble::Date;
use dibble::control::Control;
use dibble::fertility::{
    Bags, BlendRequest, Buffer, BufferMethod, Extractant, Ground, Guarantee, HandInput, LimingMaterial, NeedBasis, Nutrient, PhVerdict,
    Placement, Product, RecommendInput, Recommendation, Reported, SoilTest, SoilTestInput, Status, Tables, TestUnit, WaterTest, blend,
    by_hand, product_for, recommend,
};
use dibble::units::{KG_PER_LB, convert};
use proptest::prelude::*;

fn lab_sheet(p: f64, k: f64, mg: f64) -> SoilTestInput {
    let by = |n, v| measured(n, Reported::Measured(v), TestUnit::LbAcre, Extractant::Mehlich3);
    SoilTestInput {
        sampled: Some(Date::new(2026, 10, 20).unwrap()),
        depth_m: Some(convert(20.0 / 3.0, "in", "m").unwrap()),
        cores: Some(16),
        ph: Some(5.2),
        buffer: Some(Buffer { value: 6.1, method: BufferMethod::Mehlich, lime_index: None }),
        ..sheet(vec![by(Nutrient::P, p), by(Nutrient::K, k), by(Nutrient::Mg, mg)])
    }
}

fn block(test: SoilTestInput, species: &str, placement: Placement) -> RecommendInput {
    let ground = Ground::new(convert(1200.0, "trees/acre", "trees/ha").unwrap(), placement).unwrap();
    let mut input = RecommendInput::new(SoilTest::new(test).unwrap(), species, ground, Date::new(2027, 3, 1).unwrap());
    input.age_years = Some(2);
    input.area_ha = Some(convert(2.0, "acre", "ha").unwrap());
    input.ph_table = Some("nc-state-fraser-fir".into());
    input
}

fn answer(input: &RecommendInput) -> Recommendation {
    recommend(input, &Tables::shipped().unwrap(), &Control::new()).unwrap()
}

#[test]
fn a_lab_sheet_becomes_bags_and_ounces() {
    let input = block(lab_sheet(31.0, 100.0, 60.0), "Fraser fir", Placement::Ring { radius_m: 0.5, clear_m: 0.1 });
    let answer = answer(&input);
    assert_eq!(answer.tables, ["rutgers-levels@web page", "nc-state-fraser-fir@web page", "msu-fraser-fir@web page"]);
    assert_eq!(answer.interpretation.as_ref().unwrap().limiting, Some(Nutrient::P));
    // lime: 2 meq x (5.5 - 5.2) / 1.4 tons for 6 2/3 in, 0.6 of it for the top 4 in
    let lime = answer.lime.as_ref().unwrap();
    assert_eq!(lime.verdict, PhVerdict::Lime);
    assert!((convert(lime.material_kg_ha, "kg/ha", "tons/acre").unwrap() - 2.0 * 0.3 / 1.4 * 0.6).abs() < 1e-9);
    assert!(lime.cautions.contains(&"Magnesium is below the optimum by the soil test: lime with dolomite.".to_string()));
    // P 31 lb is 15.5 ppm, 20 short of the optimum at 35.5: 100 lb P2O5 a year over four years
    let need = |g: Guarantee| answer.block_needs.iter().find(|n| n.nutrient == g).map(|n| n.at_least_kg / KG_PER_LB);
    assert!((need(Guarantee::N).unwrap() - 75.0).abs() < 1e-9, "37.5 lb/acre on two acres");
    assert!((need(Guarantee::P2o5).unwrap() - 200.0).abs() < 1e-6);
    // K 100 lb is 50 ppm, optimum from 72.5: 22.5 x 8 / 4 = 45 lb K2O/acre
    assert!((need(Guarantee::K2o).unwrap() - 90.0).abs() < 1e-6);
    assert_eq!(answer.needs.iter().find(|n| n.nutrient == Nutrient::Mg).unwrap().basis, NeedBasis::Dolomite);
    assert_eq!(answer.status, Status::WithAssumption);
    assert!(answer.warnings.is_empty() && answer.ask.is_empty(), "{:?} {:?}", answer.warnings, answer.ask);

    let feeding = answer.feeding_rates();
    assert!((feeding[0].1.g_per_tree - 14.17).abs() < 0.01 && feeding[0].0.when == "about 2 weeks before bud break");

    let priced = |name: &str, per_bag: f64| {
        let mut product = Product::find(name).unwrap();
        product.bag_kg = Some(50.0 * KG_PER_LB);
        product.price_per_bag = Some(per_bag);
        product
    };
    let products = vec![priced("urea", 15.0), priced("DAP", 20.0), priced("potassium chloride", 14.0)];
    let mut request = BlendRequest::new(answer.block_needs.clone(), products.clone());
    request.needs.iter_mut().for_each(|n| n.at_most_kg = None);
    request.bags = Bags::Whole;
    let mix = blend(&request, &Control::default()).unwrap();
    // 200 lb P2O5 take 9 bags of DAP, 81 lb N among them; 90 lb K2O take 3 bags
    let bags: Vec<(String, u32)> = mix.amounts.iter().filter(|a| a.kg > 0.0).map(|a| (a.product.clone(), a.bags.unwrap())).collect();
    assert_eq!(bags.len(), 2, "{bags:?}");
    assert_eq!((bags[0].1, bags[1].1), (9, 3), "{bags:?}");
    let dap = &products[1];
    let p2o5_g = answer.needs[0].low.g_per_tree;
    let product_g = product_for(p2o5_g, dap.p2o5_pct).unwrap();
    let hand = by_hand(&HandInput {
        product_g,
        density_kg_m3: dap.density_kg_m3().unwrap(),
        scoop_ml: None,
        bag_kg: dap.bag_kg,
        trees: Some(2400),
    })
    .unwrap();
    // 100 lb P2O5/acre over 1,200 trees is 1.33 oz a tree, 2.9 oz of DAP
    assert!((hand.product_oz - 100.0 * 16.0 / 1200.0 / 0.46).abs() < 1e-6);
    assert_eq!(hand.bags, Some(9));
    let steps: Vec<String> = answer.explain(&input).iter().map(ToString::to_string).collect();
    assert!(steps.iter().any(|s| s.starts_with("lime: Ac (target - pH) / (6.6 - pH) - credit, tons/acre")), "{steps:?}");
}

#[test]
fn water_and_the_exchange_stand_beside_the_answer() {
    let mut sheet = lab_sheet(31.0, 100.0, 60.0);
    sheet.measured.push(measured(Nutrient::Ca, Reported::Measured(800.0), TestUnit::LbAcre, Extractant::Mehlich3));
    let mut input = block(sheet, "Fraser fir", Placement::Broadcast);
    input.water = Some(WaterTest { alkalinity_mg_l: 200.0, ec_ds_m: 0.4, na_mg_l: None, ca_mg_l: None, mg_mg_l: None });
    input.irrigation_mm = Some(304.8);
    let answer = answer(&input);
    // 2 meq of acidity, 2.00 Ca + 0.25 Mg + 0.13 K
    assert!((answer.exchange.unwrap().cec_meq - 4.37).abs() < 0.01);
    assert!((convert(answer.water.unwrap().lime_kg_ha, "kg/ha", "lb/acre").unwrap() - 543.9).abs() < 0.1);
    assert!(answer.warnings.iter().any(|w| w.starts_with("The water limes the ground with 544 lb/acre (610 kg/ha)")));
}

#[test]
fn lime_on_offer_and_limits_of_the_user_are_taken_up() {
    let mut input = block(lab_sheet(100.0, 200.0, 200.0), "Fraser fir", Placement::Broadcast);
    let plain = answer(&input).lime.unwrap();
    input.lime_material =
        Some(LimingMaterial { name: "barn lime".into(), carbonate_equivalent: 0.75, sieves: None, moisture: 0.0, price_per_t: Some(40.0) });
    input.lime_cap_kg_ha = 300.0;
    input.n_cap_kg_ha = 30.0;
    let taken = answer(&input);
    let lime = taken.lime.unwrap();
    assert!((lime.material_kg_ha - plain.material_kg_ha * 0.90 / 0.75).abs() < 1e-9);
    assert!((lime.cost_per_ha.unwrap() - 0.04 * lime.material_kg_ha).abs() < 1e-9);
    assert!(lime.applications.len() == 3 && lime.applications.iter().all(|a| a.rate_kg_ha <= 300.0));
    assert!(taken.warnings[0].ends_with("Spread less, or split it over 2 feedings and years."), "{:?}", taken.warnings);
}

#[test]
fn sources_that_differ_are_asked_about() {
    let mut input = block(lab_sheet(100.0, 200.0, 200.0), "balsam fir", Placement::Broadcast);
    input.ph_table = None;
    let answer = answer(&input);
    assert!(answer.lime.is_none());
    assert_eq!(
        answer.ask,
        ["pH (ph_table): The sources differ: msu-soil-ph@web page 6-6.5, msu-nutrient-management@2022 5.5-6. Name the one to use."]
    );
    assert!(answer.nitrogen.unwrap().notes.last().unwrap().ends_with("not for balsam fir."));

    let mut old = lab_sheet(25.0, 90.0, 90.0);
    old.measured.iter_mut().for_each(|m| m.extractant = Some(Extractant::Mehlich1));
    let mut input = block(old, "Fraser fir", Placement::Broadcast);
    let asked = recommend(&input, &Tables::shipped().unwrap(), &Control::new()).unwrap();
    assert!(asked.needs.is_empty());
    assert_eq!(
        asked.ask,
        [
            "Name the interpretation table (soil_table): uga-evergreen-nursery-coastal@crop 073, uga-evergreen-nursery-piedmont@crop 073, uga-pine-establishment@crop 069."
        ]
    );
    input.soil_table = Some("uga-evergreen-nursery-piedmont".into());
    let named = recommend(&input, &Tables::shipped().unwrap(), &Control::new()).unwrap();
    assert!(named.ask.is_empty() && named.needs.len() == 3);
}

#[test]
fn lime_without_a_measurement_of_acidity_is_asked_about_only_where_it_is_due() {
    let mut sheet = lab_sheet(100.0, 200.0, 200.0);
    sheet.buffer = None;
    let due = answer(&block(sheet.clone(), "Fraser fir", Placement::Broadcast));
    assert_eq!(
        due.ask,
        ["Lime is due and nothing tells how much: give the buffer pH with its method, the exchangeable acidity or the texture."]
    );
    sheet.ph = Some(5.6);
    let fine = answer(&block(sheet.clone(), "Fraser fir", Placement::Broadcast));
    assert_eq!(fine.lime.unwrap().verdict, PhVerdict::DoNotLime);
    sheet.ph = Some(5.0);
    sheet.buffer = Some(Buffer { value: 62.0, method: BufferMethod::Smp, lime_index: None });
    let memory = answer(&block(sheet, "Fraser fir", Placement::Broadcast));
    assert!(memory.ask[0].starts_with("Lime: the SMP buffer method is written down from memory"), "{:?}", memory.ask);
    assert!(memory.assumptions.iter().any(|a| a.key == "lime_index_read"));
    let mut sikora = lab_sheet(100.0, 200.0, 200.0);
    sikora.buffer = Some(Buffer { value: 6.9, method: BufferMethod::Sikora, lime_index: None });
    assert_eq!(
        answer(&block(sikora, "Fraser fir", Placement::Broadcast)).ask,
        [
            "Lime is due, and no published equation for the Sikora buffer is at hand: take the lab's lime table, or give exchangeable acidity or texture."
        ]
    );
}

#[test]
fn an_unusable_test_gives_reasons_and_no_amounts() {
    let mut sheet = lab_sheet(31.0, 100.0, 60.0);
    sheet.sampled = Some(Date::new(2021, 10, 1).unwrap());
    let answer = answer(&block(sheet, "Fraser fir", Placement::Broadcast));
    assert_eq!(answer.status, Status::NotUsable);
    assert_eq!(answer.usability.reasons[0].key, "too_old");
    assert!(answer.needs.is_empty() && answer.lime.is_none() && answer.nitrogen.is_none() && answer.block_needs.is_empty());
}

#[test]
fn the_planting_year_gets_no_nitrogen_and_a_narrow_ring_is_warned_of() {
    let mut input = block(lab_sheet(31.0, 100.0, 200.0), "Fraser fir", Placement::Ring { radius_m: 0.3048, clear_m: 0.0 });
    input.age_years = Some(0);
    let planting = answer(&input);
    assert!(planting.feedings.is_empty() && planting.block_needs.iter().all(|n| n.nutrient != Guarantee::N));
    assert!(planting.warnings[0].starts_with("Trees in their planting year get no fertilizer"));
    input.age_years = Some(2);
    input.most_n_g_per_tree = Some(10.0);
    let narrow = answer(&input);
    assert!(narrow.warnings[0].contains("9.9 lb/1,000 ft2") && narrow.warnings[1].contains("above your most"));
    input.age_years = None;
    let before = answer(&input);
    assert!(before.nitrogen.is_none() && before.placement.starts_with("Before planting"));
}

#[test]
fn a_conversion_is_used_only_when_named() {
    let mut sheet = lab_sheet(31.0, 100.0, 60.0);
    sheet.measured.retain(|m| m.nutrient == Nutrient::P);
    sheet.measured[0].extractant = Some(Extractant::BrayP1);
    let mut input = block(sheet, "Fraser fir", Placement::Broadcast);
    let tables = Tables::shipped().unwrap();
    let without = recommend(&input, &tables, &Control::new()).unwrap();
    assert!(without.needs.is_empty() && without.ask[0].starts_with("No interpretation table names the extractants"));
    input.conversions = vec!["bray-p1-to-mehlich-3".into()];
    let with = recommend(&input, &tables, &Control::new()).unwrap();
    let note = with.interpretation.unwrap().reading(Nutrient::P).unwrap().note.clone().unwrap();
    assert_eq!(note, "not measured by Mehlich-3: converted by \"bray-p1-to-mehlich-3@ANR-75\", 21 to 21 ppm by the published conversions");
    input.conversions = vec!["bray-p1-to-mehlich".into()];
    let error = recommend(&input, &tables, &Control::new()).unwrap_err();
    assert!(error.is_unknown_name());
    let begins = "conversion between extractants \"bray-p1-to-mehlich\" is not known. Did you mean \"bray-p1-to-mehlich-3@ANR-75\"";
    assert!(error.to_string().starts_with(begins), "{error}");
}

#[test]
fn results_are_kept_as_json_and_newer_ones_refused() {
    let answer = answer(&block(lab_sheet(31.0, 100.0, 60.0), "Fraser fir", Placement::Broadcast));
    let text = serde_json::to_string(&answer).unwrap();
    assert_eq!(serde_json::from_str::<Recommendation>(&text).unwrap(), answer);
    let newer = text.replacen("\"schema\":1", "\"schema\":2", 1);
    let error = serde_json::from_str::<Recommendation>(&newer).unwrap_err().to_string();
    assert!(error.starts_with("schema 2 is newer than this library reads (1). Update dibble."), "{error}");
    let input = block(lab_sheet(31.0, 100.0, 60.0), "Fraser fir", Placement::Broadcast);
    let text = serde_json::to_string(&input).unwrap();
    assert_eq!(serde_json::from_str::<RecommendInput>(&text).unwrap(), input);
    assert!(serde_json::from_str::<RecommendInput>(&text.replace("\"species\"", "\"crop\"")).is_err());
}

proptest! {
    /// Any numbers give an answer whose amounts are finite, or an error that says why.
    #[test]
    fn nothing_breaks_on_wide_numbers(
        (ph, depth_m, buffer) in (2.5..11.0f64, 0.05..0.4f64, 4.0..8.0f64),
        (acidity, aluminum) in (0.0..200.0f64, 0.0..200.0f64),
        ppm in prop::array::uniform3(prop_oneof![Just(0.0), 0.0..100.0f64, 0.0..1e6f64]),
        age in prop::option::of(0u32..60),
        extractant in prop::sample::select(Extractant::ALL),
        method in prop::option::of(prop::sample::select(dibble::fertility::LimeMethod::ALL)),
        southern: bool,
    ) {
        let by = |n, v| measured(n, Reported::Measured(v), TestUnit::Ppm, extractant);
        let sheet = SoilTestInput {
            ph: Some(ph),
            depth_m: Some(depth_m),
            buffer: Some(Buffer { value: buffer, method: BufferMethod::Mehlich, lime_index: None }),
            exchangeable_acidity_meq: Some(acidity),
            exchangeable_aluminum_meq: Some(aluminum),
            ..sheet(vec![by(Nutrient::P, ppm[0]), by(Nutrient::K, ppm[1]), by(Nutrient::Mg, ppm[2])])
        };
        let test = SoilTest::new(sheet).unwrap();
        let ground = Ground::new(3000.0, Placement::Broadcast).unwrap();
        let mut input = RecommendInput::new(test, "Fraser fir", ground, Date::new(2027, 3, 1).unwrap());
        (input.age_years, input.southern, input.lime_method) = (age, southern, method);
        input.ph_table = Some("msu-soil-ph".into());
        input.area_ha = Some(1.0);
        input.removal = true;
        match recommend(&input, &Tables::shipped().unwrap(), &Control::new()) {
            Ok(answer) => {
                prop_assert!(answer.needs.iter().all(|n| n.low.field_kg_ha.is_finite() && n.high.treated_kg_ha.is_finite()));
                prop_assert!(answer.lime.is_none_or(|l| l.material_kg_ha.is_finite() && l.material_kg_ha >= 0.0));
                prop_assert!(serde_json::to_string(&answer.block_needs).is_ok());
            }
            Err(error) => prop_assert!(!error.is_internal() && !error.to_string().is_empty()),
        }
    }

    #[test]
    fn more_in_the_soil_never_costs_more_and_order_does_not_matter(p in 0.0..300.0f64, k in 0.0..400.0f64, more in 0.0..200.0f64) {
        let of = |sheet: SoilTestInput| answer(&block(sheet, "Fraser fir", Placement::Broadcast));
        let (less, enough) = (of(lab_sheet(p, k, 200.0)), of(lab_sheet(p + more, k + more, 200.0)));
        for (a, b) in less.needs.iter().zip(&enough.needs) {
            prop_assert!(b.high.field_kg_ha <= a.high.field_kg_ha + 1e-9);
        }
        let mut turned = lab_sheet(p, k, 200.0);
        turned.measured.reverse();
        prop_assert_eq!(of(turned).needs, less.needs);
    }

    #[test]
    fn the_block_scales_with_its_area(area in 0.1..50.0f64) {
        let mut input = block(lab_sheet(31.0, 100.0, 60.0), "Fraser fir", Placement::Broadcast);
        input.area_ha = Some(1.0);
        let one = answer(&input);
        input.area_ha = Some(area);
        for (a, b) in one.block_needs.iter().zip(&answer(&input).block_needs) {
            prop_assert!((b.at_least_kg - area * a.at_least_kg).abs() < 1e-9 * b.at_least_kg.max(1.0));
        }
    }
}
