//! Amounts: field, treated ground and tree; by hand; nitrogen by age; phosphate and potash by class or build-up.

use crate::reference::{case, number, table};
use crate::soil::{measured, sheet};
use dibble::Date;
use dibble::fertility::{
    BuildUp, DetectionPolicy, Extractant, Ground, Guarantee, HandInput, K2O_PER_PPM_KG_HA, Library, NITROGEN_CAP_KG_HA, NeedBasis,
    NeedContext, NitrogenQuestion, NitrogenTable, Nutrient, P2O5_PER_PPM_KG_HA, Placement, Rates, RemovalTable, Reported, SeasonQuestion,
    SoilTable, SoilTest, SpreaderTest, TestUnit, TextureGroup, WaterTest, by_hand, interpret, liquid_per_tree, nitrogen_need,
    nitrogen_season, nitrogen_warnings, nutrient_need, product_for, spreader, water_load,
};
use dibble::stand::trees_per_hectare;
use dibble::units::{G_PER_OZ, System, convert};
use proptest::prelude::*;

fn field(trees_per_acre: f64) -> Ground {
    Ground::new(convert(trees_per_acre, "trees/acre", "trees/ha").unwrap(), Placement::Broadcast).unwrap()
}

fn kg_ha(lb_acre: f64) -> f64 {
    convert(lb_acre, "lb/acre", "kg/ha").unwrap()
}

fn lb_acre(kg_ha: f64) -> f64 {
    convert(kg_ha, "kg/ha", "lb/acre").unwrap()
}

fn ft(feet: f64) -> f64 {
    convert(feet, "ft", "m").unwrap()
}

/// Extension examples from nutrient per acre to product, ounces and cups for a tree.
#[test]
fn amounts_for_a_tree_follow_spacing_content_and_density() {
    for (id, nutrient, content) in
        [("tree-urea-60", "n_lb_acre", "pct_n"), ("tree-as-38", "n_lb_acre", "pct_n"), ("tree-dap-40p", "p2o5_lb_acre", "pct_p2o5")]
    {
        let c = case(id);
        let trees = trees_per_hectare(ft(c.input("row_ft")), ft(c.input("tree_ft"))).unwrap();
        c.check("trees_per_acre", convert(trees, "trees/ha", "trees/acre").unwrap());
        let ground = Ground::new(trees, Placement::Broadcast).unwrap();
        let rates = Rates::from_field(kg_ha(c.input(nutrient)), &ground).unwrap();
        c.check("nutrient_g_tree", rates.g_per_tree);
        let product_g = product_for(rates.g_per_tree, c.input(content)).unwrap();
        c.check("product_g_tree", product_g);
        let density_kg_m3 = convert(c.input("density_lb_ft3"), "lb/ft3", "kg/m3").unwrap();
        let hand = by_hand(&HandInput { product_g, density_kg_m3, scoop_ml: None, bag_kg: None, trees: None }).unwrap();
        c.check("product_oz_tree", hand.product_oz);
        c.check("product_cups_tree", hand.cups);
    }
    let c = case("tree-count-psu");
    let trees = trees_per_hectare(ft(c.input("row_ft")), ft(c.input("tree_ft"))).unwrap();
    c.check("trees_per_acre", convert(trees, "trees/ha", "trees/acre").unwrap());
    let c = case("removal-spacing");
    c.check("trees_ha", trees_per_hectare(c.input("spacing_m"), c.input("spacing_m")).unwrap());
}

#[test]
fn ounces_and_kilograms_per_hectare_agree() {
    let c = case("tree-n-msu-1.0");
    c.check("n_lb_acre", lb_acre(Rates::from_tree(c.input("n_oz_tree") * G_PER_OZ, &field(c.input("trees"))).unwrap().field_kg_ha));
    let c = case("tree-oz-metric");
    let rates = Rates::from_tree(c.input("n_oz") * G_PER_OZ, &field(c.input("trees"))).unwrap();
    c.check("n_g_tree", rates.g_per_tree);
    c.check("n_kg_ha", rates.field_kg_ha);
    let c = case("small-area-100lb");
    c.check("lb_1000", convert(c.input("lb_acre"), "lb/acre", "lb/1000 ft2").unwrap());
    let c = case("needled-evergreen-cross");
    c.check("lb_acre", convert(c.input("lb_1000"), "lb/1000 ft2", "lb/acre").unwrap());
    assert!((lb_acre(NITROGEN_CAP_KG_HA) - 174.24).abs() < 1e-9);
}

#[test]
fn a_treated_acre_is_not_a_field_acre() {
    for id in ["band-uga-073", "band-uga-074"] {
        let c = case(id);
        let placement = Placement::Band { row_spacing_m: ft(c.input("row_ft")), width_m: ft(c.input("band_ft")) };
        let ground = Ground::new(2000.0, placement).unwrap();
        c.check("treated_ft2", 43_560.0 * ground.treated_share());
        if id == "band-uga-073" {
            c.check("row_length_ft", 43_560.0 / c.input("row_ft"));
        }
    }
    let c = case("band-uga-rate");
    let ground = Ground::new(2000.0, Placement::Band { row_spacing_m: ft(c.input("row_ft")), width_m: ft(c.input("band_ft")) }).unwrap();
    let rates = Rates::from_treated(kg_ha(c.input("k2o_lb_treated_acre")), &ground).unwrap();
    c.check("k2o_lb_field_acre", lb_acre(rates.field_kg_ha));
    let c = case("tree-spot");
    let ring = Ground::new(2000.0, Placement::Ring { radius_m: ft(c.input("radius_ft")), clear_m: 0.0 }).unwrap();
    c.check("spot_ft2", convert(ring.treated_m2_per_tree(), "m2", "ft2").unwrap());
    c.check("n_g_tree", Rates::from_treated(kg_ha(c.input("n_lb_treated_acre")), &ring).unwrap().g_per_tree);
}

#[test]
fn a_narrow_ring_burns_and_the_warning_says_how_wide_it_has_to_be() {
    let trees = convert(1200.0, "trees/acre", "trees/ha").unwrap();
    let narrow = Ground::new(trees, Placement::Ring { radius_m: ft(1.0), clear_m: 0.0 }).unwrap();
    let rates = Rates::from_tree(0.5 * G_PER_OZ, &narrow).unwrap();
    let warnings = nitrogen_warnings(&rates, &narrow, NITROGEN_CAP_KG_HA, Some(10.0), System::Us).unwrap();
    assert_eq!(
        warnings,
        [
            "433 lb/acre (486 kg/ha) of N on the treated ground is 9.9 lb/1,000 ft2 in a year, above 4.0: roots may burn. Widen the ring to a radius of 1.6 ft (0.49 m), or split it over 3 feedings and years.",
            "0.50 oz (14 g) per tree of N is above your most of 0.35 oz (10 g) per tree."
        ]
    );
    let in_si = nitrogen_warnings(&rates, &narrow, NITROGEN_CAP_KG_HA, None, System::Si).unwrap();
    assert_eq!(
        in_si,
        [
            "486 kg/ha of N on the treated ground is 48.6 g/m2 in a year, above 19.5: roots may burn. Widen the ring to a radius of 0.49 m, or split it over 3 feedings and years."
        ]
    );
    let wide = Ground::new(trees, Placement::Ring { radius_m: 0.481, clear_m: 0.0 }).unwrap();
    let rates = Rates::from_tree(0.5 * G_PER_OZ, &wide).unwrap();
    assert!(nitrogen_warnings(&rates, &wide, NITROGEN_CAP_KG_HA, None, System::Us).unwrap().is_empty());
}

#[test]
fn bad_ground_is_refused_in_full() {
    let refused = |trees, placement| Ground::new(trees, placement).unwrap_err().to_string();
    assert_eq!(
        refused(3000.0, Placement::Ring { radius_m: 1.5, clear_m: 0.0 }),
        "rings of 1.5 m around 3000 trees in a hectare cover more than the field. Give a radius of 1.03 m or less, or broadcast."
    );
    assert_eq!(
        refused(3000.0, Placement::Band { row_spacing_m: 1.8, width_m: 2.0 }),
        "a band of 2 m is wider than rows 1.8 m apart. Give a narrower band, or broadcast."
    );
    assert_eq!(
        refused(0.0, Placement::Broadcast),
        "trees_per_ha is 0: trees in a hectare must be from 1 to 1000000. Give trees per hectare; 1,200 per acre is 2,965."
    );
    assert!(serde_json::from_str::<Ground>(r#"{"trees_per_ha": 3000, "placement": {"kind": "ring", "radius_m": 1.5}}"#).is_err());
    let ground = Ground::new(3000.0, Placement::Ring { radius_m: 0.5, clear_m: 0.1 }).unwrap();
    assert_eq!(serde_json::from_str::<Ground>(&serde_json::to_string(&ground).unwrap()).unwrap(), ground);
    assert_eq!(
        product_for(10.0, 0.0).unwrap_err().to_string(),
        "content_pct is 0, and a product with none of the nutrient, or more than all, supplies nothing. Give the percentage from the label: 46 for urea."
    );
}

#[test]
fn a_cup_is_not_a_weight() {
    let grams_in = |lb_ft3: f64, ml: f64| convert(lb_ft3, "lb/ft3", "kg/m3").unwrap() * ml / 1000.0;
    let cup = convert(1.0, "cup", "mL").unwrap();
    let c = case("bulk-cups");
    for (key, density) in [("urea_lb_cup", "urea"), ("dap_lb_cup", "dap"), ("mop_lb_cup", "mop"), ("ams_lb_cup", "ams_gran")] {
        let density_kg_m3 = convert(c.input(density), "lb/ft3", "kg/m3").unwrap();
        let hand = by_hand(&HandInput { product_g: 100.0, density_kg_m3, scoop_ml: None, bag_kg: None, trees: None }).unwrap();
        c.check(key, convert(hand.product_g / hand.cups, "g", "lb").unwrap());
    }
    c.check("rule_density", convert(c.input("rule_half_lb"), "lb", "g").unwrap() / grams_in(1.0, cup));
    let c = case("bulk-urea-quart");
    c.check("lb", convert(grams_in(47.0, convert(c.input("quarts"), "quart", "mL").unwrap()), "g", "lb").unwrap());
    let c = case("bulk-an-pint");
    let pint = convert(1.0, "pint", "mL").unwrap();
    for (key, oz) in [("an_lb_ft3", "an_oz_pint"), ("nano3_lb_ft3", "nano3_oz_pint")] {
        c.check(key, c.input(oz) * G_PER_OZ / grams_in(1.0, pint));
    }
    // the same level cup holds from 13 to 23 oz in a pint: two thirds as many trees from a bag
    let input = |lb_ft3| HandInput {
        product_g: 60.0,
        density_kg_m3: convert(lb_ft3, "lb/ft3", "kg/m3").unwrap(),
        scoop_ml: Some(60.0),
        bag_kg: Some(22.68),
        trees: Some(378),
    };
    let (light, heavy) = (by_hand(&input(48.6)).unwrap(), by_hand(&input(86.0)).unwrap());
    assert_eq!((light.scoop.unwrap().scoops, heavy.scoop.unwrap().scoops), (1.25, 0.75));
    assert!(light.scoop.unwrap().off_pct.abs() < 5.0);
    assert_eq!((light.trees_per_bag, light.bags), (Some(378), Some(1)), "a bag that is used up to the gram is one bag");
    assert_eq!(
        light.words(dibble::units::System::Us),
        "2.1 oz (60 g) per tree, 1 1/4 level scoops (2.1 oz (58 g) per tree by weight, -3 %); a bag feeds 378 trees; 1 bag in all"
    );
}

#[test]
fn spreaders_and_nozzles_are_set_from_a_catch() {
    let c = case("tree-gal-psu");
    let volume = convert(c.input("gal_acre"), "gal/acre", "L/ha").unwrap();
    let trees = convert(1210.0, "trees/acre", "trees/ha").unwrap();
    let (liters, seconds) = liquid_per_tree(volume, trees, convert(c.input("gpm"), "gpm", "L/min").unwrap()).unwrap();
    c.check("gal_tree", convert(liters, "L", "gal").unwrap());
    c.check("seconds", seconds);
    let read = spreader(&SpreaderTest { rate_kg_ha: 200.0, swath_m: 3.0, distance_m: 30.0, caught_kg: 1.5 }).unwrap();
    assert!((read.should_catch_kg - 1.8).abs() < 1e-12 && (read.off_pct + 16.667).abs() < 1e-3);
    assert_eq!(
        spreader(&SpreaderTest { rate_kg_ha: 200.0, swath_m: 3.0, distance_m: 30.0, caught_kg: 0.0 }).unwrap_err().to_string(),
        "caught_kg is 0 kg: weight of a bag must be from 0.01 to 100000 kg. Give kilograms; 50 lb is 22.68 kg."
    );
}

fn nitrogen(age_years: u32, sale_year: bool, key: &str) -> dibble::Result<dibble::fertility::NitrogenNeed> {
    let tables = Library::<NitrogenTable>::shipped().unwrap();
    nitrogen_need(&NitrogenQuestion { age_years, height_m: None, sale_year }, &field(1200.0), tables.get(key).unwrap())
}

#[test]
fn nitrogen_by_age_is_the_printed_table() {
    let printed = table("n-msu-fraser");
    for (row, (age, sale)) in printed.rows.iter().zip([(0, false), (1, false), (2, false), (3, false), (6, false), (7, true)]) {
        let need = nitrogen(age, sale, "msu-fraser-fir").unwrap();
        let ounces = |rates: Rates| rates.g_per_tree / G_PER_OZ;
        assert!((ounces(need.low) - number(&row[1])).abs() < 1e-9, "{}: {}", printed.source, row[0]);
        match row[2].as_float() {
            Some(high) => assert!((ounces(need.high.unwrap()) - high).abs() < 1e-9, "{}: {}", printed.source, row[0]),
            None => assert!(need.high.is_none()),
        }
    }
    let planting = nitrogen(0, false, "msu-fraser-fir").unwrap();
    assert_eq!((planting.low.g_per_tree, planting.high.map(|h| h.g_per_tree)), (0.0, Some(0.0)));
    assert!(planting.notes.last().unwrap().starts_with("None in the planting year."));
    assert!(
        nitrogen(0, false, "uga-evergreen-nursery")
            .unwrap()
            .notes
            .last()
            .unwrap()
            .starts_with("Michigan State University and Rutgers give none")
    );
    assert_eq!(
        nitrogen(4, false, "uga-evergreen-nursery").unwrap_err().to_string(),
        "table \"uga-evergreen-nursery@crop 073\" has no row for year 4 since planting. It has rows for: before planting. Name another table, or give the height."
    );
}

#[test]
fn a_table_by_height_is_read_too() {
    let text = r#"
[[table]]
id = "mine"
edition = "1"
title = "by height"
region = "here"
crops = ["any"]
unit = "g/tree"
cite = { source = "own trials", provenance = "our judgment" }
rows = [
  { when = "knee high", height_from_m = 0, height_to_m = 0.5, low = 5, high = 10 },
  { when = "above", height_from_m = 0.5, low = 20, high = 40 },
]
"#;
    let mine = Library::<NitrogenTable>::parse(text, "n.toml").unwrap();
    let asked = NitrogenQuestion { age_years: 3, height_m: Some(0.5), sale_year: false };
    assert_eq!(nitrogen_need(&asked, &field(1200.0), mine.get("mine").unwrap()).unwrap().row, "above");
    let bad = text.replace("height_to_m = 0.5, low = 5", "sale = true, low = 15");
    let error = Library::<NitrogenTable>::parse(&bad, "n.toml").unwrap_err().to_string();
    assert_eq!(
        error,
        "2 problems:\n  - n.toml, line 2, table mine@1, row \"knee high\": a row goes by age, by height or by the year of sale. Give age_from, or height_from_m, or sale = true.\n  - n.toml, line 2, table mine@1, row \"knee high\": the lower end of a range stands above its upper end. Give the lower one first."
    );
}

#[test]
fn the_seasons_feedings_have_dates_and_reasons() {
    let base =
        SeasonQuestion { bud_break: Some(Date::new(2027, 5, 15).unwrap()), texture: None, sale_year: false, southern: false, urea: false };
    let plain = nitrogen_season(&base);
    assert_eq!((plain.len(), plain[0].share, plain[0].date.unwrap().to_string()), (1, 1.0, "2027-05-01".to_string()));
    let urea = nitrogen_season(&SeasonQuestion { urea: true, ..base });
    assert_eq!((urea[0].date.unwrap().to_string(), urea[0].source.as_str()), ("2027-04-24".to_string(), "Rutgers FS1187"));
    let sand = nitrogen_season(&SeasonQuestion { texture: Some(TextureGroup::Sand), ..base });
    assert_eq!((sand.len(), sand[0].share, sand[1].date.unwrap().to_string()), (2, 0.5, "2027-06-12".to_string()));
    let sale = nitrogen_season(&SeasonQuestion { sale_year: true, ..base });
    assert_eq!((sale[1].when.as_str(), sale[1].share), ("in August, for color", 0.5));
    assert!(sale.iter().all(|f| !f.when.contains("fall")));
}

fn need_of(
    nutrient: Nutrient,
    value: f64,
    key: &str,
    extractant: Extractant,
    removal: bool,
    lime_due: bool,
) -> dibble::fertility::NutrientNeed {
    let tables = Library::<SoilTable>::shipped().unwrap();
    let table = tables.get(key).unwrap();
    let test = SoilTest::new(sheet(vec![measured(nutrient, Reported::Measured(value), TestUnit::LbAcre, extractant)])).unwrap();
    let read = interpret(&test, table, DetectionPolicy::Half).unwrap();
    let removals = Library::<RemovalTable>::shipped().unwrap();
    let removal = removal.then(|| removals.get("christmas-trees-2005").unwrap());
    let (ground, build_up) = (field(1200.0), BuildUp::default());
    nutrient_need(read.reading(nutrient).unwrap(), &NeedContext { table, ground: &ground, build_up: &build_up, removal, lime_due }).unwrap()
}

#[test]
fn build_up_is_the_gap_times_the_rule_over_the_years() {
    let c = case("buildup-p-k");
    let once = BuildUp { years: 1.0, k2o_per_ppm_kg_ha: kg_ha(c.input("k_lb_per_ppm")), ..BuildUp::default() };
    c.check("p2o5_lb_acre", lb_acre(once.oxide_kg_ha_year(Nutrient::P, 15.0, 15.0 + c.input("dp_ppm")).unwrap()));
    c.check("k2o_lb_acre", lb_acre(once.oxide_kg_ha_year(Nutrient::K, 70.0, 70.0 + c.input("dk_ppm")).unwrap()));
    assert!((lb_acre(P2O5_PER_PPM_KG_HA) - 20.0).abs() < 1e-9 && (lb_acre(K2O_PER_PPM_KG_HA.1) - 10.0).abs() < 1e-9);
    // 31 lb P/acre is 15.5 ppm; the optimum of the table begins at 71 lb, 35.5 ppm: 20 ppm x 20 lb / 4 years
    let p = need_of(Nutrient::P, 31.0, "rutgers-levels", Extractant::Mehlich3, false, false);
    assert_eq!((p.basis, p.weight_of), (NeedBasis::BuildUp, Guarantee::P2o5));
    assert!((lb_acre(p.low.field_kg_ha) - 100.0).abs() < 1e-9);
    assert_eq!(p.assumptions[0].key, "build_up_rule");
    assert!(p.why.ends_with("built up from 15.5 to 35.5 ppm over 4 years."), "{}", p.why);
    let very = need_of(Nutrient::K, 30.0, "rutgers-levels", Extractant::Mehlich3, false, false);
    assert!(very.notes[0].contains("160 lb/acre of \"K\"") && very.notes[0].ends_with("without saying element or oxide: shown, not used."));
    assert!(once.oxide_kg_ha_year(Nutrient::Mg, 1.0, 2.0).unwrap_err().to_string().starts_with("there is no build-up rule for Mg."));
}

#[test]
fn removal_and_table_rates_have_their_place() {
    let c = case("removal-per-tree");
    let tables = Library::<RemovalTable>::shipped().unwrap();
    let removal = tables.get("christmas-trees-2005").unwrap();
    assert_eq!((removal.trees_per_ha, removal.kg_ha[&Nutrient::P]), (c.input("trees_ha"), c.input("p_kg_ha")));
    c.check("n_g_tree", removal.g_per_tree(Nutrient::N).unwrap());
    c.check("p2o5_g_tree", removal.g_per_tree(Nutrient::P).unwrap() * dibble::units::P2O5_PER_P);
    c.check("k2o_g_tree", removal.g_per_tree(Nutrient::K).unwrap() * dibble::units::K2O_PER_K);
    c.check("n_lb_acre", lb_acre(removal.kg_ha[&Nutrient::N]));
    let enough = need_of(Nutrient::K, 200.0, "rutgers-levels", Extractant::Mehlich3, true, false);
    assert_eq!(enough.basis, NeedBasis::Removal);
    // 47.04 g a tree over 8 years
    assert!((enough.low.g_per_tree - 47.0415 / 8.0).abs() < 1e-3);
    assert_eq!(need_of(Nutrient::K, 400.0, "rutgers-levels", Extractant::Mehlich3, true, false).basis, NeedBasis::Nothing);
    let mg = need_of(Nutrient::Mg, 40.0, "uga-evergreen-nursery-coastal", Extractant::Mehlich1, false, false);
    assert_eq!(mg.basis, NeedBasis::TableRate);
    assert!((lb_acre(mg.high.field_kg_ha) - 25.0).abs() < 1e-9);
    assert_eq!(need_of(Nutrient::Mg, 40.0, "uga-evergreen-nursery-coastal", Extractant::Mehlich1, false, true).basis, NeedBasis::Dolomite);
    assert_eq!(need_of(Nutrient::Mg, 90.0, "uga-evergreen-nursery-coastal", Extractant::Mehlich1, false, false).basis, NeedBasis::Nothing);
    assert_eq!(need_of(Nutrient::Mg, 60.0, "rutgers-levels", Extractant::Mehlich3, false, false).basis, NeedBasis::NotPublished);
}

#[test]
fn a_water_test_counts_as_lime_and_salt() {
    let water = WaterTest { alkalinity_mg_l: 200.0, ec_ds_m: 0.9, na_mg_l: Some(230.0), ca_mg_l: Some(20.04), mg_mg_l: Some(12.15) };
    let load = water_load(&water, 304.8, System::Us).unwrap();
    assert!((lb_acre(load.lime_kg_ha) - 543.9).abs() < 0.1 && (load.salt_kg_ha - 0.01 * 304.8 * 576.0).abs() < 1e-9);
    assert!((load.sodium_ratio.unwrap() - 230.0 / 22.99).abs() < 1e-9);
    assert_eq!(load.cautions.len(), 3);
    assert!(water_load(&WaterTest { ec_ds_m: -1.0, ..water }, 10.0, System::Us).unwrap_err().is_out_of_range());
}

proptest! {
    /// More of a nutrient in the soil never calls for more of it.
    #[test]
    fn more_in_the_soil_never_raises_the_rate(value in 0.0..500.0f64, more in 0.0..500.0f64, removal: bool, lime_due: bool) {
        for (key, extractant) in [("rutgers-levels", Extractant::Mehlich3), ("uga-evergreen-nursery-coastal", Extractant::Mehlich1), ("uga-evergreen-nursery-piedmont", Extractant::Mehlich1)] {
            for nutrient in [Nutrient::P, Nutrient::K, Nutrient::Mg] {
                let rate = |v| need_of(nutrient, v, key, extractant, removal, lime_due).high.field_kg_ha;
                prop_assert!(rate(value + more) <= rate(value) + 1e-9, "{} {}", key, nutrient);
            }
        }
    }

    #[test]
    fn the_three_amounts_are_one(g in 0.1..200.0f64, trees in 500.0..5000.0f64, radius_m in 0.2..0.7f64) {
        let ground = Ground::new(trees, Placement::Ring { radius_m, clear_m: 0.1 }).unwrap();
        let rates = Rates::from_tree(g, &ground).unwrap();
        let back = Rates::from_treated(rates.treated_kg_ha, &ground).unwrap();
        prop_assert!((back.g_per_tree - g).abs() < 1e-9 * g);
        prop_assert!((rates.treated_kg_ha / 10.0 * ground.treated_m2_per_tree() - g).abs() < 1e-9 * g);
        prop_assert!(rates.treated_kg_ha >= rates.field_kg_ha);
    }
}
