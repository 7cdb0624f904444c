//! From needs to products: whole bags, cost, ounces a tree, and what the products cannot meet.

use crate::soil::{measured, sheet};
use dibble::Date;
use dibble::control::Control;
use dibble::fertility::{
    Bags, Buffer, BufferMethod, Credit, Extractant, Ground, Guarantee, Limit, Nutrient, Placement, Product, Rating, RecommendInput,
    Recommendation, Reported, Shed, SoilTest, SoilTestInput, Tables, TestUnit, blend, recommend,
};
use dibble::units::{KG_PER_LB, System, convert};
use proptest::prelude::*;

fn priced(name: &str, per_bag: f64) -> Product {
    Product { bag_kg: Some(50.0 * KG_PER_LB), price_per_bag: Some(per_bag), ..Product::find(name).unwrap() }
}

/// Two acres of 1,200 Fraser firs, three years in the field, with P and K in lb/acre by Mehlich-3.
fn block(p: f64, k: f64, products: Vec<Product>) -> RecommendInput {
    let by = |n, v| measured(n, Reported::Measured(v), TestUnit::LbAcre, Extractant::Mehlich3);
    let test = SoilTest::new(SoilTestInput {
        sampled: Some(Date::new(2026, 10, 20).unwrap()),
        ph: Some(5.2),
        buffer: Some(Buffer { value: 6.1, method: BufferMethod::Mehlich, lime_index: None }),
        ..sheet(vec![by(Nutrient::P, p), by(Nutrient::K, k)])
    });
    let ground = Ground::new(convert(1200.0, "trees/acre", "trees/ha").unwrap(), Placement::Broadcast).unwrap();
    let mut input = RecommendInput::new(test.unwrap(), "Fraser fir", ground, Date::new(2027, 3, 1).unwrap());
    input.age_years = Some(2);
    input.area_ha = Some(convert(2.0, "acre", "ha").unwrap());
    input.ph_table = Some("nc-state-fraser-fir".into());
    input.bud_break = Some(Date::new(2027, 5, 15).unwrap());
    input.shed = Some(Shed::new(products));
    input
}

fn answer(input: &RecommendInput) -> Recommendation {
    recommend(input, &Tables::shipped().unwrap(), &Control::new()).unwrap()
}

fn three() -> Vec<Product> {
    vec![priced("urea", 15.0), priced("DAP", 20.0), priced("potassium chloride", 14.0)]
}

#[test]
fn needs_become_whole_bags_and_ounces_a_tree() {
    let input = block(31.0, 100.0, three());
    let answer = answer(&input);
    let mix = answer.mix.clone().unwrap();
    let request = answer.mix_request(&input).unwrap().unwrap();
    let found = mix.blend.clone().unwrap();
    assert_eq!(found, blend(&request, &Control::new()).unwrap());
    assert!(mix.of_block && mix.conflicts.is_empty());
    // 200 lb P2O5 are 434.8 lb of DAP, 9 bags, with 78 lb N for a need of 75; 90 lb K2O are 150 lb of potash, 3 bags
    let bags: Vec<(&str, u32)> = found.amounts.iter().map(|a| (a.product.as_str(), a.bags.unwrap())).collect();
    assert_eq!(bags, [("urea", 0), ("diammonium phosphate", 9), ("potassium chloride", 3)]);
    assert!((found.cost - (9.0 * 20.0 + 3.0 * 14.0)).abs() < 1e-9);
    assert!((found.amounts[1].left_kg / KG_PER_LB - (450.0 - 200.0 / 0.46)).abs() < 1e-6);
    // 434.8 lb over 2,400 trees are 2.90 oz a tree; the 800 oz of a bag feed 275 (275.99)
    let [round] = mix.rounds.as_slice() else { panic!("{:?}", mix.rounds) };
    assert_eq!((round.when.as_str(), round.date), ("about 2 weeks before bud break", Some(Date::new(2027, 5, 1).unwrap())));
    let dap = round.amounts[0].hand.unwrap();
    assert!((dap.product_oz - 200.0 / 0.46 * 16.0 / 2400.0).abs() < 1e-6);
    assert_eq!((dap.trees_per_bag, dap.bags), (Some(275), Some(9)));
    let prices: Vec<String> = found.shadow_prices.iter().flatten().filter_map(|p| p.sentence(System::Us)).collect();
    // $0.40/lb over 46 %; $0.28/lb over 60 %
    assert_eq!(prices, ["Each pound of P2O5 costs 0.87.", "Each pound of K2O costs 0.47."]);
}

#[test]
fn the_mix_is_said_in_words_of_either_system() {
    let mut input = block(31.0, 100.0, three());
    input.shed.as_mut().unwrap().scoop_ml = Some(60.0);
    let mix = answer(&input).mix.unwrap();
    assert_eq!(
        mix.sentences(System::Us),
        [
            "Amounts and cost are for the block.",
            "Spread 435 lb (197 kg) of diammonium phosphate: buy 9 bags for 180.00, 15 lb (6.9 kg) stay in the bag.",
            "Spread 150 lb (68 kg) of potassium chloride: buy 3 bags for 42.00.",
            "Cost 222.00.",
            "By weight it would cost 215.91, and 222.00 with each product rounded up.",
            "Brings 78 lb (35 kg) of N for a need of 75 lb (34 kg).",
            "Brings 200 lb (91 kg) of P2O5 for a need of 200 lb (91 kg).",
            "Brings 90 lb (41 kg) of K2O for a need of 90 lb (41 kg).",
            "68 lb (31 kg) of Cl come along.",
            "Each pound of P2O5 costs 0.87.",
            "Each pound of K2O costs 0.47.",
            "This is arithmetic, not a nutrient management plan; local rules may ask for one.",
            "It uses up 280 lb (127 kg) of calcium carbonate in time: year after year that lowers the pH, so test it again.",
            "Give about 2 weeks before bud break (2027-05-01): diammonium phosphate 2.9 oz (82 g) per tree, 1 1/2 level scoops (2.9 oz (83 g) per tree by weight, +1 %); a bag feeds 275 trees; 9 bags in all; potassium chloride 1.0 oz (28 g) per tree, 1/2 level scoop (1.1 oz (31 g) per tree by weight, +8 %); a bag feeds 800 trees; 3 bags in all.",
        ]
    );
    assert!(mix.sentences(System::Si).iter().all(|s| !s.contains(" lb") && !s.contains(" oz")));
}

#[test]
fn nitrogen_that_burns_is_told_once_as_needed_or_as_the_mix_brings_it() {
    let told = |p: f64| {
        let mut input = block(p, 100.0, three());
        input.ground = Ground::new(input.ground.trees_per_ha(), Placement::Ring { radius_m: 0.3, clear_m: 0.0 }).unwrap();
        let answer = answer(&input);
        assert!(answer.mix.as_ref().is_some_and(|m| m.blend.is_some()));
        answer.warnings.into_iter().filter(|w| w.contains("roots may burn")).collect::<Vec<_>>()
    };
    // nine bags of DAP bring 78 lb for a need of 75
    let [more] = &told(31.0)[..] else { panic!("one warning") };
    assert!(more.starts_with("With what the mix brings: "), "{more}");
    // ground with phosphate enough takes urea, just what is needed
    let [needed] = &told(300.0)[..] else { panic!("one warning") };
    assert!(needed.chars().next().unwrap().is_ascii_digit(), "{needed}");
}

#[test]
fn a_need_that_no_product_meets_is_named_and_the_rest_is_mixed() {
    let input = block(31.0, 100.0, vec![priced("urea", 15.0), priced("DAP", 20.0)]);
    let answer = answer(&input);
    assert!(answer.lime.is_some() && answer.needs.len() == 2);
    let mix = answer.mix.unwrap();
    assert_eq!(
        mix.sentences(System::Us)[0],
        "None of these products holds K2O (potash), and 90 lb (41 kg) of it is needed. Add a product that holds it."
    );
    let found = mix.blend.unwrap();
    assert_eq!(found.amounts[1].bags, Some(9));
    assert!(mix.needs.iter().any(|n| n.nutrient == Guarantee::K2o && n.at_least_kg > 0.0), "the need itself is kept");
}

#[test]
fn limits_that_clash_are_all_named_and_nothing_is_chosen_between_them() {
    let mut input = block(31.0, 100.0, three());
    input.shed.as_mut().unwrap().salt_cap_kg_ha = Some(20.0);
    let answer = answer(&input);
    assert!(answer.nitrogen.is_some() && answer.lime.is_some() && !answer.block_needs.is_empty());
    let mix = answer.mix.unwrap();
    assert!(mix.blend.is_none() && mix.rounds.is_empty());
    let limits: Vec<String> = mix.conflicts[0].limits.iter().map(|c| c.limit.to_string()).collect();
    assert_eq!(limits.len(), 2, "{limits:?}");
    assert!(mix.conflicts[0].smallest && limits.contains(&"salt at most".to_string()), "{limits:?}");
}

#[test]
fn what_the_soil_holds_too_much_of_is_not_added_even_from_the_shed() {
    let free = Product { on_hand_kg: 500.0, ..Product::find("DAP").unwrap() };
    let input = block(400.0, 100.0, vec![free, priced("urea", 15.0), priced("potassium chloride", 14.0)]);
    let mix = answer(&input).mix.unwrap();
    assert!(mix.needs.iter().any(|n| n.nutrient == Guarantee::P2o5 && n.at_most_kg == Some(0.0)));
    assert_eq!(mix.blend.unwrap().amount_kg("diammonium phosphate"), 0.0);
}

#[test]
fn the_planting_year_gets_no_nitrogen_with_its_phosphate() {
    let mut input = block(31.0, 100.0, vec![priced("DAP", 10.0), priced("TSP", 30.0), priced("potassium chloride", 14.0)]);
    input.age_years = Some(0);
    let mix = answer(&input).mix.unwrap();
    let found = mix.blend.unwrap();
    assert_eq!((found.amount_kg("diammonium phosphate"), found.supplied_kg(Guarantee::N)), (0.0, 0.0));
    assert_eq!(mix.rounds[0].when, "next spring, none in the planting year");
}

#[test]
fn urea_in_the_mix_goes_out_a_week_earlier_with_its_caution() {
    let input = block(100.0, 200.0, vec![priced("urea", 15.0), priced("ammonium sulfate", 90.0)]);
    let answer = answer(&input);
    assert_eq!(answer.mix.unwrap().rounds[0].date, Some(Date::new(2027, 4, 24).unwrap()));
    assert!(answer.cautions.iter().any(|c| c.starts_with("Urea left on damp ground")));
}

#[test]
fn in_the_year_of_sale_nitrogen_is_split_and_the_rest_goes_first() {
    let mut input = block(31.0, 100.0, vec![priced("ammonium sulfate", 15.0), priced("TSP", 20.0), priced("potassium chloride", 14.0)]);
    (input.age_years, input.sale_year) = (Some(7), true);
    let mix = answer(&input).mix.unwrap();
    let names = |i: usize| mix.rounds[i].amounts.iter().map(|a| a.product.as_str()).collect::<Vec<_>>();
    assert_eq!(names(0), ["ammonium sulfate", "triple superphosphate", "potassium chloride"]);
    assert_eq!(names(1), ["ammonium sulfate"]);
    assert_eq!(mix.rounds[1].when, "in August, for color");
    assert_eq!(mix.rounds[0].amounts[0].rates, mix.rounds[1].amounts[0].rates);
}

#[test]
fn a_feeding_that_is_over_is_not_made_up_for() {
    let mut input = block(31.0, 100.0, vec![priced("ammonium sulfate", 15.0), priced("TSP", 20.0), priced("potassium chloride", 14.0)]);
    (input.age_years, input.sale_year) = (Some(7), true);
    input.shed.as_mut().unwrap().undersupply = 0.0;
    let whole = answer(&input).mix.unwrap();
    input.not_before = Some(Date::new(2027, 7, 14).unwrap());
    let late = answer(&input).mix.unwrap();
    // what was missed in spring stays missed, and phosphate and potash wait for the next
    assert_eq!(late.rounds.len(), 1);
    assert_eq!((late.rounds[0].from, late.rounds[0].until), (Some(Date::new(2027, 8, 1).unwrap()), Some(Date::new(2027, 8, 31).unwrap())));
    let g = |mix: &dibble::fertility::Mix, i: usize| mix.rounds[i].amounts[0].rates.g_per_tree;
    assert!(late.rounds[0].amounts.len() == 1 && (g(&late, 0) / g(&whole, 1) - 1.0).abs() < 1e-9);
    // what was given beyond the share of spring is taken off
    let n = answer(&input).nitrogen.unwrap().low.field_kg_ha;
    input.credits = vec![Credit { from: "spring".into(), nutrient: Guarantee::N, kg_ha: 0.75 * n }];
    let fed = answer(&input).mix.unwrap();
    assert!((g(&fed, 0) / g(&late, 0) - 0.5).abs() < 1e-9);
    input.not_before = Some(Date::new(2027, 9, 1).unwrap());
    assert_eq!(answer(&input).mix, None);
}

#[test]
fn what_the_ground_gets_anyway_is_taken_off() {
    let mut input = block(31.0, 100.0, three());
    let credit = |nutrient, kg_ha| Credit { from: "compost".into(), nutrient, kg_ha };
    // 45 lb/acre of the 45 lb K2O, half of the 100 lb P2O5
    let kg_ha = |lb| convert(lb, "lb/acre", "kg/ha").unwrap();
    input.credits = vec![credit(Guarantee::K2o, kg_ha(45.0) + 1e-9), credit(Guarantee::P2o5, kg_ha(50.0))];
    let answer = answer(&input);
    let mix = answer.mix.unwrap();
    let found = mix.blend.unwrap();
    assert!((found.supplied_kg(Guarantee::P2o5) / KG_PER_LB - 100.0).abs() < 1e-6);
    assert_eq!(found.amount_kg("potassium chloride"), 0.0);
    assert!((answer.block_needs[1].at_least_kg / KG_PER_LB - 200.0).abs() < 1e-6, "the soil's need stays as it is");
    input.credits = [Guarantee::N, Guarantee::P2o5, Guarantee::K2o].map(|n| credit(n, kg_ha(200.0))).to_vec();
    assert_eq!(self::answer(&input).mix, None);
    input.credits[0].kg_ha = -1.0;
    assert_eq!(
        recommend(&input, &Tables::shipped().unwrap(), &Control::new()).unwrap_err().to_string(),
        "credit for compost: kg_ha is -1 kg/ha: weight per area must be from 0 to 100000000 kg/ha. Give kg per hectare; 1 lb/acre is 1.121 kg/ha."
    );
}

#[test]
fn without_an_area_the_mix_is_for_a_hectare_and_the_stock_stays_in_the_shed() {
    let mut input = block(31.0, 100.0, three());
    input.shed.as_mut().unwrap().products[1].on_hand_kg = 1000.0;
    let whole = answer(&input).mix.unwrap();
    input.area_ha = None;
    let hectare = answer(&input).mix.unwrap();
    let found = hectare.blend.unwrap();
    assert!(!hectare.of_block && found.amounts.iter().all(|a| a.bags.is_none() && a.from_stock_kg == 0.0));
    assert_eq!(whole.blend.unwrap().amounts[1].bags, Some(0));
    let of = |rounds: &[dibble::fertility::Round]| rounds[0].amounts.iter().find(|a| a.product == "diammonium phosphate").unwrap().rates;
    assert!((of(&hectare.rounds).g_per_tree / of(&whole.rounds).g_per_tree - 1.0).abs() < 1e-9);
    input.shed = Some(Shed::new(vec![Product { on_hand_kg: 500.0, ..Product::find("DAP").unwrap() }]));
    let stock = answer(&input);
    assert_eq!(stock.mix, None);
    assert_eq!(stock.ask, ["Nothing in the shed has a price: give prices, or the area (area_ha) that the stock is for."]);
}

#[test]
fn a_rating_of_the_lab_asks_for_its_table_and_gives_no_build_up() {
    let mut input = block(31.0, 100.0, three());
    let sheet = input.test.input().clone();
    let rated = vec![Rating { nutrient: Nutrient::K, class: "low".into(), meaning: None }];
    let rated = SoilTestInput { rated, measured: Vec::new(), ..sheet };
    input.test = SoilTest::new(rated).unwrap();
    let unnamed = answer(&input);
    assert_eq!(
        unnamed.ask.last().unwrap(),
        "The lab gives classes without numbers (K): name its own table (soil_table), whose words they are."
    );
    input.soil_table = Some("rutgers-levels".into());
    let named = answer(&input);
    assert_eq!(
        named.ask,
        ["K is low (short) by Relative levels; the lab gives no number, and a build-up needs one: ask the lab for the value."]
    );
    assert!(named.nitrogen.is_some() && named.mix.unwrap().blend.is_some(), "the rest is answered");
}

#[test]
fn faulty_products_are_refused_all_at_once() {
    let mut input = block(31.0, 100.0, vec![Product { bag_kg: None, ..priced("DAP", 10.0) }, Product::find("urea").unwrap()]);
    input.shed.as_mut().unwrap().oversupply = -0.5;
    assert_eq!(
        recommend(&input, &Tables::shipped().unwrap(), &Control::new()).unwrap_err().to_string(),
        "3 problems:\n  - oversupply is -0.5: tolerance of oversupply must be from 0 to 100. Give a fraction, 0.10 for 10 % more than needed.\n  - product \"diammonium phosphate\": bag_kg is missing. A price for a bag needs the weight of the bag.\n  - product \"urea\": the price is missing. Give price_per_kg, or price_per_bag with bag_kg. Or give on_hand_kg, if it lies in the shed."
    );
}

#[test]
fn a_mix_is_kept_as_json() {
    let mut input = block(31.0, 100.0, vec![priced("urea", 15.0), priced("DAP", 20.0)]);
    input.credits = vec![Credit { from: "clover".into(), nutrient: Guarantee::N, kg_ha: 10.0 }];
    let answer = answer(&input);
    let text = serde_json::to_string(&answer).unwrap();
    assert_eq!(serde_json::from_str::<Recommendation>(&text).unwrap(), answer);
    let text = serde_json::to_string(&input).unwrap();
    assert_eq!(serde_json::from_str::<RecommendInput>(&text).unwrap(), input);
}

#[test]
fn a_cancelled_call_stops() {
    let control = Control::new();
    control.cancel();
    let input = block(31.0, 100.0, three());
    assert!(recommend(&input, &Tables::shipped().unwrap(), &control).unwrap_err().is_cancelled());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// What all trees get in all feedings is what the mix spreads, and the bill never sinks when the soil holds less.
    #[test]
    fn trees_and_bags_agree(p in 5.0..70.0f64, k in 20.0..140.0f64, less in 0.0..5.0f64, sale: bool, whole: bool) {
        let mut input = block(p, k, three());
        (input.sale_year, input.age_years) = (sale, Some(7));
        input.nitrogen_table = Some("msu-fraser-fir".into());
        input.shed.as_mut().unwrap().bags = if whole { Bags::Opened } else { Bags::Loose };
        let mix = answer(&input).mix.unwrap();
        let found = mix.blend.unwrap();
        let trees = input.ground.trees_per_ha() * mix.area_ha;
        for amount in &found.amounts {
            let of = |r: &dibble::fertility::Round| r.amounts.iter().filter(|a| a.product == amount.product).map(|a| a.rates.g_per_tree).sum::<f64>();
            let given: f64 = mix.rounds.iter().map(of).sum::<f64>() * trees / 1000.0;
            prop_assert!((given - amount.kg).abs() <= 1e-9 * amount.kg.max(1.0), "{}: {given} of {}", amount.product, amount.kg);
        }
        if !whole {
            let poorer = block(p - less, k, three());
            let mut poorer = RecommendInput { sale_year: sale, age_years: Some(7), nitrogen_table: input.nitrogen_table.clone(), ..poorer };
            poorer.shed.as_mut().unwrap().bags = Bags::Loose;
            let mix = answer(&poorer).mix.unwrap();
            let clash = mix.conflicts.iter().flat_map(|c| &c.limits).any(|c| matches!(c.limit, Limit::AtMost { .. }));
            if let Some(more) = mix.blend.filter(|_| !clash) {
                prop_assert!(more.cost >= found.cost - 1e-6 * found.cost);
            }
        }
    }
}
