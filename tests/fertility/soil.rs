//! Soil tests: units, exchange, interpretation, extractants.

use crate::reference::{case, cases, number, table};
use dibble::fertility::{
    AcidityTerm, Buffer, BufferMethod, Conversion, DetectionPolicy, Divisors, Extractant, Form, Library, Meaning, Measurement, Nutrient,
    Rating, Reported, SoilTable, SoilTest, SoilTestInput, TestUnit, cec_by_summation, compare_tables, convert_extractant, interpret,
    manganese_index, mean_ppm, organic_nitrogen, to_element,
};
use dibble::units::{self, convert};
use proptest::prelude::*;

pub fn measured(nutrient: Nutrient, value: Reported, unit: TestUnit, extractant: Extractant) -> Measurement {
    Measurement { nutrient, form: Some(Form::Element), value, unit, extractant: Some(extractant), converted: None }
}

pub fn sheet(measured: Vec<Measurement>) -> SoilTestInput {
    SoilTestInput { measured, ..SoilTestInput::default() }
}

fn one(nutrient: Nutrient, value: f64, unit: TestUnit, extractant: Extractant) -> SoilTest {
    SoilTest::new(sheet(vec![measured(nutrient, Reported::Measured(value), unit, extractant)])).unwrap()
}

fn ppm_of(test: &SoilTest, nutrient: Nutrient) -> f64 {
    test.values_of(nutrient).next().unwrap().ppm.number(DetectionPolicy::Limit).unwrap()
}

#[test]
fn oxides_and_elements_keep_the_printed_factors_and_avoid_the_handout_error() {
    for (id, nutrient, from, to) in [
        ("conv-p-p2o5-ncda", Nutrient::P, "p_lb", "p2o5_lb"),
        ("conv-p-p2o5-psu", Nutrient::P, "p_lb", "p2o5_lb"),
        ("conv-k-k2o", Nutrient::K, "k_lb", "k2o_lb"),
        ("conv-k-k2o-psu", Nutrient::K, "k_lb", "k2o_lb"),
        ("conv-k-k2o-arkansas-error", Nutrient::K, "k_lb", "k2o_lb"),
        ("conv-mg-mgo-psu", Nutrient::Mg, "mg_lb", "mgo_lb"),
        ("conv-ca-cao", Nutrient::Ca, "ca_lb", "cao_lb"),
    ] {
        let case = case(id);
        case.check(to, case.input(from) / to_element(nutrient, Form::Oxide, 1.0).unwrap());
    }
}

#[test]
fn ppm_and_weight_per_acre_follow_the_sampled_depth() {
    let ppm = case("conv-ppm-lbacre");
    let test = one(Nutrient::K, ppm.input("ppm"), TestUnit::Ppm, Extractant::Mehlich3);
    ppm.check("lb_per_acre", ppm_of(&test, Nutrient::K) * test.lb_acre_per_ppm());
    assert!(test.assumed().is_empty(), "nothing was converted, so nothing is assumed");
    let pounds = one(Nutrient::K, 50.0, TestUnit::LbAcre, Extractant::Mehlich3);
    assert_eq!(ppm_of(&pounds, Nutrient::K), 25.0);
    assert_eq!(pounds.assumed()[0].key, "slice_factor");

    let deep = case("conv-ppm-lbacre-depth");
    let mut input = sheet(vec![measured(Nutrient::K, Reported::Measured(deep.input("ppm")), TestUnit::Ppm, Extractant::Mehlich3)]);
    input.depth_m = Some(convert(deep.input("depth_in"), "in", "m").unwrap());
    let test = SoilTest::new(input).unwrap();
    let lb_acre = convert(test.layer_kg_ha(deep.input("ppm")).unwrap(), "kg/ha", "lb/acre").unwrap();
    deep.check("lb_per_acre", lb_acre);
    deep.check("slice_lb", lb_acre / deep.input("ppm") * 1e6);
    assert!((test.lb_acre_per_ppm() - 2.4).abs() < 1e-9);

    let notes = case("furrow-slice-notes");
    let kg_ha = units::ppm_to_kg_ha(1.0, notes.input("depth_cm") / 100.0, notes.input("bulk_density")).unwrap() * 1e6;
    // the lecture takes 454 g for a pound and a small acre; with the right ones the misprint is avoided by 1.7 %
    let slice = convert(kg_ha, "kg/ha", "lb/acre").unwrap();
    assert!((slice - 2_141_229.9).abs() < 0.1 && slice > 2_104_269.0 + 5000.0, "{slice}: {}", notes.source);
}

#[test]
fn charges_follow_the_equivalent_weights() {
    for (id, nutrient) in [("meq-ca", Nutrient::Ca), ("meq-mg", Nutrient::Mg), ("meq-k", Nutrient::K)] {
        let case = case(id);
        case.check("ppm", ppm_of(&one(nutrient, case.input("meq_per_100g"), TestUnit::Meq, Extractant::AmmoniumAcetate), nutrient));
    }
    let notes = case("meq-ca-notes");
    let ours = ppm_of(&one(Nutrient::Ca, notes.input("meq_per_100g"), TestUnit::Meq, Extractant::AmmoniumAcetate), Nutrient::Ca);
    // the notes round Ca to 200 ppm a meq; the atomic weight gives 801.56
    assert!((ours - 800.0).abs() < 4.0 * 0.5, "{}", notes.source);
    let al = case("meq-al-notes");
    let ours = ppm_of(&one(Nutrient::Al, al.input("cmolc_per_kg"), TestUnit::Meq, Extractant::PotassiumChloride), Nutrient::Al);
    // the notes take 9 g for an equivalent of Al; the atomic weight gives 8.994
    assert!((ours - 180.0).abs() < 0.2, "{}", al.source);
}

fn bases(unit: TestUnit, ca: f64, mg: f64, k: f64, na: Option<f64>) -> SoilTestInput {
    let list = [(Nutrient::Ca, Some(ca)), (Nutrient::Mg, Some(mg)), (Nutrient::K, Some(k)), (Nutrient::Na, na)];
    sheet(list.into_iter().filter_map(|(n, v)| Some(measured(n, Reported::Measured(v?), unit, Extractant::Mehlich3))).collect())
}

#[test]
fn capacity_by_summation_names_its_acidity() {
    let c = case("cec-clemson");
    let mut input =
        bases(TestUnit::LbAcre, c.input("ca_lb_acre"), c.input("mg_lb_acre"), c.input("k_lb_acre"), Some(c.input("na_lb_acre")));
    input.buffer = Some(Buffer { value: c.input("buffer_ph"), method: BufferMethod::AdamsEvans, lime_index: None });
    let test = SoilTest::new(input.clone()).unwrap();
    let sum = cec_by_summation(&test, AcidityTerm::AdamsEvans, Divisors::Rounded).unwrap();
    c.check("h_meq", sum.acidity_meq);
    c.check("cec_meq", sum.cec_meq);
    c.check("base_saturation_pct", sum.base_saturation_pct);
    for (key, nutrient) in [("k_meq", Nutrient::K), ("mg_meq", Nutrient::Mg), ("ca_meq", Nutrient::Ca), ("na_meq", Nutrient::Na)] {
        c.check(key, sum.bases.iter().find(|b| b.nutrient == nutrient).unwrap().meq);
    }
    case("acidity-adams-evans").check("h_meq", sum.acidity_meq);
    assert_eq!(
        cec_by_summation(&test, AcidityTerm::Mehlich, Divisors::Exact).unwrap_err().to_string(),
        "the buffer of this test is Adams-Evans and the acidity term holds for Mehlich. Name the term of the lab's own buffer."
    );

    assert_eq!(
        sum.shares_out_of_range(),
        [
            "Ca holds 26 % of the exchange; 60 to 70 % is wanted (Rutgers FS1187, read on a copy)",
            "Mg holds 3 % of the exchange; 10 to 20 % is wanted (Rutgers FS1187, read on a copy)"
        ]
    );

    let smp = case("cec-smp-style");
    let mut input = bases(TestUnit::LbAcre, smp.input("ca_lb_acre"), smp.input("mg_lb_acre"), smp.input("k_lb_acre"), None);
    input.buffer = Some(Buffer { value: smp.input("buffer_ph"), method: BufferMethod::Smp, lime_index: None });
    let sum = cec_by_summation(&SoilTest::new(input).unwrap(), AcidityTerm::Smp, Divisors::Rounded).unwrap();
    smp.check("cec_meq", sum.cec_meq);
    smp.check("acidity_meq", sum.acidity_meq);
    assert!(sum.notes[0].starts_with("Na was not measured"));

    let page = case("base-sat-page");
    let (ca, mg, k, na) = (page.input("ca_ppm"), page.input("mg_ppm"), page.input("k_ppm"), page.input("na_ppm"));
    let mut input = bases(TestUnit::Ppm, ca, mg, k, Some(na));
    // the page gives the capacity; the acidity is what the bases leave of it
    let sum = ca / 200.0 + mg / 120.0 + k / 390.0 + na / 230.0;
    input.exchangeable_acidity_meq = Some(page.input("cec_meq") - sum);
    let sum = cec_by_summation(&SoilTest::new(input).unwrap(), AcidityTerm::Measured, Divisors::Rounded).unwrap();
    for (key, nutrient) in [("ca_pct", Nutrient::Ca), ("mg_pct", Nutrient::Mg), ("k_pct", Nutrient::K), ("na_pct", Nutrient::Na)] {
        page.check(key, sum.share_pct(nutrient).unwrap());
    }
}

#[test]
fn organic_matter_holds_and_releases_nitrogen() {
    let slice_m = convert(20.0 / 3.0, "in", "m").unwrap();
    let at = |om, share| organic_nitrogen(om, slice_m, units::SLICE_BULK_DENSITY_G_CM3, share).unwrap();
    let lb = |kg_ha| convert(kg_ha, "kg/ha", "lb/acre").unwrap();
    let total = case("om-total-n");
    total.check("total_n_lb_acre", lb(at(total.input("om_pct"), 0.02).total_kg_ha));
    let release = case("om-n-release"); // from memory
    release
        .check("n_release_lb_acre_yr", lb(at(release.input("om_pct"), release.input("mineralisation_pct_per_yr") / 100.0).released_kg_ha));
}

#[test]
fn classes_agree_with_the_printed_edges() {
    let tables = Library::<SoilTable>::shipped().unwrap();
    for case in cases("rate-uga-").into_iter().chain(cases("rate-rutgers-")) {
        let nutrient: Nutrient = case.input_text("nutrient").parse().unwrap();
        let (key, extractant) = if case.id.starts_with("rate-rutgers") {
            ("rutgers-levels", Extractant::Mehlich3)
        } else if case.input_text("region") == "coast" {
            ("uga-evergreen-nursery-coastal", Extractant::Mehlich1)
        } else {
            ("uga-evergreen-nursery-piedmont", Extractant::Mehlich1)
        };
        let test = one(nutrient, case.input("lb_acre"), TestUnit::LbAcre, extractant);
        let read = interpret(&test, tables.get(key).unwrap(), DetectionPolicy::Limit).unwrap();
        let class = read.reading(nutrient).unwrap().class.clone().unwrap();
        assert_eq!(class, case.expected_text("rating"), "{}: {}", case.id, case.source);
    }
    for case in cases("pine-p-") {
        let test = one(Nutrient::P, case.input("p_lb_acre"), TestUnit::LbAcre, Extractant::Mehlich1);
        let read = interpret(&test, tables.get("uga-pine-establishment").unwrap(), DetectionPolicy::Limit).unwrap();
        let class = read.reading(Nutrient::P).unwrap().class.clone().unwrap();
        assert_eq!(class, format!("response {}", case.expected_text("response")), "{}: {}", case.id, case.source);
    }
}

/// Every edge of the shipped tables, as it is printed: the edge itself and a hair above it.
#[test]
fn shipped_edges_are_the_printed_ones() {
    let tables = Library::<SoilTable>::with_from_memory().unwrap();
    let class = |key: &str, nutrient: Nutrient, value: f64, extractant| {
        let test = one(nutrient, value, TestUnit::LbAcre, extractant);
        let read = interpret(&test, tables.get(key).unwrap(), DetectionPolicy::Limit).unwrap();
        read.reading(nutrient).unwrap().class.clone().unwrap()
    };
    let (uga, rutgers, virginia) = (table("uga-073"), table("rutgers-m3"), table("virginia-m1"));
    for row in &uga.rows {
        let key = if row[0].as_str().unwrap() == "piedmont" { "uga-evergreen-nursery-piedmont" } else { "uga-evergreen-nursery-coastal" };
        let nutrient: Nutrient = row[1].as_str().unwrap().parse().unwrap();
        for (edge, (below, above)) in row[2..].iter().zip([("low", "medium"), ("medium", "high"), ("high", "very high")]) {
            let edge = number(edge);
            if edge > 0.0 {
                assert_eq!(class(key, nutrient, edge, Extractant::Mehlich1), below, "{}", uga.source);
                assert_eq!(class(key, nutrient, edge + 0.01, Extractant::Mehlich1), above, "{}", uga.source);
            }
        }
    }
    for row in &rutgers.rows {
        let nutrient: Nutrient = row[0].as_str().unwrap().parse().unwrap();
        let names = ["very low", "low", "medium", "high", "very high"];
        for (edge, pair) in row[1..].iter().zip(names.windows(2)) {
            assert_eq!(class("rutgers-levels", nutrient, number(edge), Extractant::Mehlich3), pair[0], "{}", rutgers.source);
            assert_eq!(class("rutgers-levels", nutrient, number(edge) + 0.01, Extractant::Mehlich3), pair[1], "{}", rutgers.source);
        }
    }
    for row in &virginia.rows {
        let nutrient: Nutrient = row[0].as_str().unwrap().parse().unwrap();
        for (edge, name) in row[1..].iter().zip(&virginia.columns[1..]) {
            let ours = class("virginia-mehlich-1", nutrient, number(edge), Extractant::Mehlich1);
            assert_eq!(&ours, name, "from memory: {}", virginia.source);
        }
    }
    let nursery = table("soil-douglas-fir-nursery");
    let douglas = tables.get("nursery-douglas-fir").unwrap();
    let items = [
        ("total N %", Nutrient::N),
        ("available P ppm", Nutrient::P),
        ("available K ppm", Nutrient::K),
        ("exch. Ca meq/100g", Nutrient::Ca),
        ("exch. Mg meq/100g", Nutrient::Mg),
    ];
    for (item, nutrient) in items {
        let row = nursery.rows.iter().find(|r| r[0].as_str() == Some(item)).unwrap();
        let range = &douglas.classes(nutrient).unwrap().classes[1];
        assert_eq!((range.from, range.to), (Some(number(&row[1])), Some(number(&row[2]))), "{}: {item}", nursery.source);
    }
}

#[test]
fn one_soil_by_four_extractants_is_not_averaged_and_not_read_by_one_table() {
    let c = case("extract-same-soil-cornell");
    let by = [
        ("morgan", Extractant::Morgan),
        ("modified_morgan", Extractant::ModifiedMorgan),
        ("bray1", Extractant::BrayP1),
        ("mehlich3", Extractant::Mehlich3),
    ];
    let printed = [6.0, 7.0, 57.0, 70.0];
    let split: Vec<SoilTest> = by.iter().zip(printed).map(|((_, e), lb)| one(Nutrient::P, lb, TestUnit::LbAcre, *e)).collect();
    let error = mean_ppm(&split, Nutrient::P, DetectionPolicy::Half).unwrap_err();
    assert_eq!(
        error.to_string(),
        "P was extracted in 4 ways (Mehlich-3, Bray P1, Morgan, modified Morgan), and their mean means nothing. Take the tests of one extractant at a time.",
        "{}",
        c.source
    );
    assert_eq!(mean_ppm(&split[3..], Nutrient::P, DetectionPolicy::Half).unwrap(), 35.0);
    let tables = Library::<SoilTable>::shipped().unwrap();
    let error = interpret(&split[2], tables.get("rutgers-levels").unwrap(), DetectionPolicy::Limit).unwrap_err();
    assert_eq!(
        error.to_string(),
        "table \"rutgers-levels@web page\" reads nothing of this test (P: measured by Bray P1, and the table holds for Mehlich-3; nothing is converted silently; K: not in the test; Mg: not in the test; Ca: not in the test). Name a table of the lab's extractant."
    );
}

#[test]
fn a_published_conversion_is_made_on_request_and_shows_its_spread() {
    let conversions = Library::<Conversion>::shipped().unwrap();
    for (id, nutrient, key, to) in [
        ("extract-m3-to-old-p", Nutrient::P, "mehlich-3-to-bray-p1@lab quoted by Cornell", Extractant::BrayP1),
        ("extract-m3-to-old-k", Nutrient::K, "mehlich-3-to-acetate-k@lab quoted by Cornell", Extractant::AmmoniumAcetate),
        ("extract-m3-to-old-ca", Nutrient::Ca, "mehlich-3-to-acetate-ca", Extractant::AmmoniumAcetate),
        ("extract-m3-to-old-mg", Nutrient::Mg, "mehlich-3-to-acetate-mg", Extractant::AmmoniumAcetate),
    ] {
        let case = case(id);
        let test = one(nutrient, case.input("m3_ppm"), TestUnit::Ppm, Extractant::Mehlich3);
        let both = convert_extractant(&test, key, &conversions).unwrap();
        let converted = both.value(nutrient, to).unwrap();
        case.check("lb_per_acre", 2.0 * converted.ppm.number(DetectionPolicy::LeaveOut).unwrap());
        let spread = converted.given.converted.as_ref().unwrap();
        assert!(spread.low_ppm <= spread.high_ppm);
        if nutrient == Nutrient::P {
            assert!((spread.low_ppm - 70.0).abs() < 1e-9 && (spread.high_ppm - 74.074_074).abs() < 1e-3);
        }
    }
    let test = one(Nutrient::P, 100.0, TestUnit::Ppm, Extractant::Mehlich3);
    assert_eq!(
        convert_extractant(&test, "mehlich-3-to-bray-p1", &conversions).unwrap_err().to_string(),
        "conversion between extractants \"mehlich-3-to-bray-p1\" has 2 editions. Name one: \"mehlich-3-to-bray-p1@lab quoted by Cornell\", \"mehlich-3-to-bray-p1@ANR-75\"."
    );
}

#[test]
fn tables_side_by_side_ask_for_one_where_they_disagree() {
    let tables = Library::<SoilTable>::shipped().unwrap();
    let test = one(Nutrient::K, 90.0, TestUnit::LbAcre, Extractant::Mehlich1);
    let all = compare_tables(&test, &tables, None, DetectionPolicy::Limit).unwrap();
    let meanings = &all.disagreements[0].meanings;
    assert_eq!(meanings[0], ("uga-evergreen-nursery-coastal@crop 073".into(), Meaning::Marginal));
    assert_eq!(meanings[1], ("uga-evergreen-nursery-piedmont@crop 073".into(), Meaning::Short));
    assert!(all.ask.unwrap().starts_with("The tables disagree about K. Name the one to use: uga-evergreen-nursery-coastal@crop 073,"));
    let none =
        compare_tables(&one(Nutrient::K, 90.0, TestUnit::LbAcre, Extractant::Olsen), &tables, Some("any"), DetectionPolicy::Limit).unwrap();
    assert!(none.interpretations.is_empty() && none.ask.unwrap().starts_with("No table fits"));
}

#[test]
fn a_value_below_detection_shows_what_the_policy_does() {
    let tables = Library::<SoilTable>::shipped().unwrap();
    let table = tables.get("rutgers-levels").unwrap();
    let read = |value, policy| {
        let test = SoilTest::new(sheet(vec![measured(Nutrient::P, value, TestUnit::LbAcre, Extractant::Mehlich3)])).unwrap();
        interpret(&test, table, policy).unwrap()
    };
    let below = read(Reported::Below(2.0), DetectionPolicy::Half);
    let p = below.reading(Nutrient::P).unwrap();
    assert_eq!((p.class.as_deref(), p.in_table_unit, p.possible.len()), (Some("very low"), Some(1.0), 1));
    assert_eq!(below.assumptions.iter().map(|a| a.key.as_str()).collect::<Vec<_>>(), ["slice_factor", "below_detection"]);
    let coarse = read(Reported::Below(40.0), DetectionPolicy::LeaveOut);
    let p = coarse.reading(Nutrient::P).unwrap();
    assert_eq!((p.class.as_deref(), &p.possible), (None, &vec!["very low".to_string(), "low".into()]));
    assert_eq!(p.by_policy[0], (DetectionPolicy::Limit, Some("low".into())));
    assert_eq!(p.by_policy[2], (DetectionPolicy::Zero, Some("very low".into())));
    let above = read(Reported::Above(100.0), DetectionPolicy::Zero);
    let p = above.reading(Nutrient::P).unwrap();
    assert_eq!((p.class.as_deref(), p.possible.len()), (Some("high"), 2));
    assert!(above.assumptions.iter().any(|a| a.key == "above_range"));
}

fn rated(class: &str, meaning: Option<Meaning>) -> SoilTest {
    let rated = vec![Rating { nutrient: Nutrient::Mg, class: class.into(), meaning }];
    SoilTest::new(SoilTestInput { rated, ..one(Nutrient::K, 55.0, TestUnit::LbAcre, Extractant::Mehlich1).input().clone() }).unwrap()
}

#[test]
fn a_class_without_a_number_is_read_as_the_lab_says() {
    let library = Library::<SoilTable>::shipped().unwrap();
    let georgia = library.get("uga-evergreen-nursery-coastal").unwrap();
    let read = interpret(&rated("Low", None), georgia, DetectionPolicy::Half).unwrap();
    let mg = read.reading(Nutrient::Mg).unwrap();
    assert_eq!((mg.class.as_deref(), mg.meaning, mg.ppm), (Some("low"), Some(Meaning::Short), None));
    assert_eq!(mg.note.as_deref(), Some("class as the lab says; it gives no number"));
    assert_eq!(mg.rate.as_ref().map(|r| (r.low, r.unit.as_str())), Some((25.0, "lb/acre")), "the rate that the table prints for the word");
    assert!(read.assumptions.iter().any(|a| a.key == "lab_class" && a.value == "Mg low"));
    // a word of another service is not guessed, and is read by the meaning that the user gives it
    let unknown = interpret(&rated("sufficient", None), georgia, DetectionPolicy::Half).unwrap();
    assert_eq!(
        unknown.reading(Nutrient::Mg).unwrap().note.as_deref(),
        Some(
            "the lab says \"sufficient\" and gives no number, and the classes of this table are low, medium, high: say what the word means"
        )
    );
    let told = interpret(&rated("sufficient", Some(Meaning::Enough)), georgia, DetectionPolicy::Half).unwrap();
    assert_eq!(told.reading(Nutrient::Mg).unwrap().meaning, Some(Meaning::Enough));
    // tables that nobody named do not take the word for theirs: "high" is the optimum in one state and above it in another
    let all = compare_tables(&rated("low", None), &library, None, DetectionPolicy::Half).unwrap();
    assert!(all.interpretations.iter().all(|i| i.reading(Nutrient::Mg).is_none_or(|r| r.class.is_none())));
}

#[test]
fn bad_lab_sheets_are_refused_in_whole_sentences() {
    let refused = |input: SoilTestInput| SoilTest::new(input).unwrap_err().to_string();
    let p = measured(Nutrient::P, Reported::Measured(31.0), TestUnit::Ppm, Extractant::Mehlich3);
    let with = |m: Measurement| SoilTestInput { measured: vec![m], ..SoilTestInput::default() };
    assert_eq!(
        refused(with(Measurement { form: None, ..p.clone() })),
        "the form of P is missing. Say whether 31 ppm is the element P or the oxide P2O5."
    );
    assert_eq!(
        refused(with(Measurement { extractant: None, ..p.clone() })),
        "the extractant of P is missing. The lab sheet or the lab's web page names it (Mehlich-3, Bray P1, ...); the number means nothing without it."
    );
    let buffer = |value| Some(Buffer { value, method: BufferMethod::Smp, lime_index: Some(false) });
    assert_eq!(
        refused(SoilTestInput { buffer: buffer(8.3), ..SoilTestInput::default() }),
        "buffer_ph is 8.3: buffer pH must be from 4 to 8. The lab's buffer starts at 8.0 or below and only falls; a value near 60 is a lime index (ten times the buffer pH)."
    );
    assert_eq!(
        refused(SoilTestInput { ph: Some(62.0), ..SoilTestInput::default() }),
        "ph is 62: soil pH must be from 2.5 to 11. A soil lies between about 3.5 and 9; a value near 60 is a lime index (ten times the buffer pH)."
    );
    assert_eq!(
        "Melich 3".parse::<Extractant>().unwrap_err().to_string().split(" Known").next(),
        Some("extractant \"Melich 3\" is not known. Did you mean \"Mehlich-3\", \"Mehlich I\", \"Mehlich-1\"?")
    );
    let rated = vec![Rating { nutrient: Nutrient::P, class: "high".into(), meaning: None }];
    assert_eq!(
        refused(SoilTestInput { rated, ..with(p) }),
        "P has a class of the lab beside another value. Keep the number: a class is read only where there is none. Give each nutrient once."
    );
}

#[test]
fn manganese_index_follows_the_printed_line() {
    for id in ["rutgers-mn-index-ok", "rutgers-mn-index-low"] {
        let case = case(id);
        case.check("mnai", manganese_index(case.input("mn_ppm"), case.input("ph")).unwrap());
    }
}

const OWN: &str = r#"
[[table]]
id = "mine"
edition = "2026"
title = "Own trials"
region = "one farm"
crops = ["any"]
extractant = "bray-1"
unit = "ppm"
edge = "lower class"
cite = { source = "own trials", provenance = "our judgment" }

[[table.nutrient]]
nutrient = "K"
classes = [
  { name = "low", to = 60, meaning = "short" },
  { name = "fine", from = 60, meaning = "enough" },
]
"#;

#[test]
fn own_tables_are_read_beside_ours_and_replace_none() {
    let mine = Library::<SoilTable>::parse(OWN, "mine.toml").unwrap();
    let all = Library::<SoilTable>::shipped().unwrap().with(mine.clone()).unwrap();
    assert_eq!(all.get("mine").unwrap().extractant, Some(Extractant::BrayP1));
    assert_eq!(
        all.with(mine).unwrap_err().to_string(),
        "interpretation table \"mine@2026\" is there already. Give yours another id or edition, and name it where it is used."
    );
    let ours = Library::<SoilTable>::shipped().unwrap();
    assert!(ours.get("virginia-mehlich-1").unwrap_err().is_unknown_name(), "from memory: off until asked for");
    let error = ours.get("rutgers-level").unwrap_err().to_string();
    assert!(error.starts_with("interpretation table \"rutgers-level\" is not known. Did you mean \"rutgers-levels@web page\"?"), "{error}");
}

#[test]
fn faults_of_a_table_file_are_told_with_their_place() {
    let gap = OWN.replace("from = 60", "from = 61");
    assert_eq!(
        Library::<SoilTable>::parse(&gap, "mine.toml").unwrap_err().to_string(),
        "mine.toml, line 2, table mine@2026, K, class \"fine\": there is a gap: the class before ends at 60 and this one begins at 61. Let it begin where the other ends."
    );
    let many = OWN.replace("from = 60", "from = 50").replace("{ name = \"low\", to = 60", "{ name = \"low\", from = 5, to = 60");
    let error = Library::<SoilTable>::parse(&many, "mine.toml").unwrap_err();
    assert_eq!(error.problems().len(), 2);
    assert!(error.to_string().contains("the first class begins at 5, so values below it have no class. Leave its `from` out."));
    assert!(error.to_string().contains("classes overlap: the class before ends at 60 and this one begins at 50."));
    let word = OWN.replace("bray-1", "bray-7");
    let error = Library::<SoilTable>::parse(&word, "mine.toml").unwrap_err().to_string();
    let begins = "mine.toml, line 8: cannot read this line \"extractant = \"bray-7\"\": extractant \"bray-7\" is not known. Did you mean \"Bray-1\", \"Bray-2\", \"Bray P1\"?";
    assert!(error.starts_with(begins), "{error}");
    let key = OWN.replace("title =", "name =");
    assert!(Library::<SoilTable>::parse(&key, "mine.toml").unwrap_err().to_string().contains("unknown field `name`"));
    let twice = format!("{OWN}{OWN}");
    assert!(
        Library::<SoilTable>::parse(&twice, "mine.toml")
            .unwrap_err()
            .to_string()
            .starts_with("mine.toml, line 20, table mine@2026: interpretation table \"mine@2026\" is there already.")
    );
}

#[cfg(feature = "io")]
#[test]
fn tables_are_read_from_a_path() {
    let path = std::env::temp_dir().join(format!("dibble-tables-{}.toml", std::process::id()));
    std::fs::write(&path, OWN).unwrap();
    let read = Library::<SoilTable>::read(&path).unwrap();
    std::fs::remove_file(&path).unwrap();
    assert_eq!(read.get("mine@2026").unwrap().title, "Own trials");
    let error = Library::<SoilTable>::read(&path).unwrap_err();
    assert!(error.is_file() && error.to_string().ends_with("Give the path of a TOML file of tables."), "{error}");
}

proptest! {
    /// Whatever a file holds, it is read or refused.
    #[test]
    fn no_table_file_breaks_the_reader(at in 0..900usize, cut in 0..40usize, put in "\\PC{0,12}") {
        let at = (0..=at.min(OWN.len())).rev().find(|i| OWN.is_char_boundary(*i)).unwrap();
        let end = (at + cut).min(OWN.len());
        let text = format!("{}{put}{}", &OWN[..at], &OWN[end..]);
        if let Err(error) = Library::<SoilTable>::parse(&text, "mine.toml") {
            prop_assert!(!error.to_string().is_empty());
        }
    }

    #[test]
    fn no_reported_text_breaks_the_reader(text in "\\PC{0,8}") {
        if let Ok(Reported::Measured(v) | Reported::Below(v) | Reported::Above(v)) = text.parse::<Reported>() {
            prop_assert!(v.is_finite());
        }
    }

    #[test]
    fn more_in_the_soil_never_means_less(a in 0.0..2000.0f64, more in 0.0..2000.0f64) {
        let tables = Library::<SoilTable>::with_from_memory().unwrap();
        for table in tables.iter() {
            for n in &table.nutrient {
                let extractant = n.extractant.or(table.extractant).unwrap_or(Extractant::Mehlich3);
                let meaning = |ppm| {
                    let read = interpret(&one(n.nutrient, ppm, TestUnit::Ppm, extractant), table, DetectionPolicy::Half).unwrap();
                    read.reading(n.nutrient).unwrap().meaning.unwrap()
                };
                prop_assert!(meaning(a) <= meaning(a + more), "{} {}", table.id, n.nutrient);
            }
        }
    }

    #[test]
    fn units_of_a_test_come_back(ppm in 0.1..3000.0f64, depth_m in 0.05..0.4f64) {
        for (unit, per_ppm) in [(TestUnit::KgHa, 10.0 * depth_m * 1.3), (TestUnit::Meq, 1.0 / 390.983)] {
            let input = SoilTestInput {
                depth_m: Some(depth_m),
                bulk_density_g_cm3: Some(1.3),
                ..sheet(vec![measured(Nutrient::K, Reported::Measured(ppm * per_ppm), unit, Extractant::Mehlich3)])
            };
            prop_assert!((ppm_of(&SoilTest::new(input).unwrap(), Nutrient::K) - ppm).abs() < 1e-9 * ppm);
        }
    }
}
