//! Lime and sulfur: requirement by each method, materials, advice for a block, acidity of nitrogen.

use crate::reference::{case, cases, number, table};
use crate::soil::{measured, sheet};
use dibble::fertility::{
    AMMONIUM_CACO3_PER_N_LIMIT, AMMONIUM_SULFATE_CACO3_PER_N, AcidYear, AcidityTerm, Buffer, BufferMethod, CACO3_PER_S, Extractant,
    FinenessRule, Library, LimeMethod, LimeNeed, LimeOptions, LimeQuestion, LimeTable, LimingCompound, LimingMaterial, Nutrient, PhTable,
    PhVerdict, RecentLime, Reported, Sieves, SoilTest, SoilTestInput, Stage, SulfurQuestion, SulfurTable, SulfurVerdict, TestUnit,
    TextureGroup, UREA_CACO3_PER_N, acid_balance, advise_lime, carbonate_for_acidity_kg_ha, lime_from_table, lime_requirement, ph_targets,
    sulfur_need,
};
use dibble::soil::TextureClass;
use dibble::units::{System, convert};
use proptest::prelude::*;

fn soil(ph: f64, buffer: Option<(f64, BufferMethod)>) -> SoilTestInput {
    let buffer = buffer.map(|(value, method)| Buffer { value, method, lime_index: None });
    SoilTestInput { ph: Some(ph), buffer, ..SoilTestInput::default() }
}

fn need(input: SoilTestInput, target: f64, method: LimeMethod, options: LimeOptions) -> LimeNeed {
    lime_requirement(&SoilTest::new(input).unwrap(), target, method, &options).unwrap()
}

fn lb_acre(kg_ha: f64) -> f64 {
    convert(kg_ha, "kg/ha", "lb/acre").unwrap()
}

fn tons_acre(kg_ha: f64) -> f64 {
    convert(kg_ha, "kg/ha", "tons/acre").unwrap()
}

fn refused(input: SoilTestInput, target: f64, method: LimeMethod) -> String {
    lime_requirement(&SoilTest::new(input).unwrap(), target, method, &LimeOptions::default()).unwrap_err().to_string()
}

#[test]
fn a_buffer_taken_for_a_lime_index_is_said_in_the_answer() {
    let of = |value, lime_index| {
        let buffer = Some(dibble::fertility::Buffer { value, method: BufferMethod::Mehlich, lime_index });
        need(SoilTestInput { buffer, ..soil(4.6, None) }, 5.8, LimeMethod::Mehlich, LimeOptions::default())
    };
    let (noted, told, plain) = (of(60.0, None), of(60.0, Some(true)), of(6.0, None));
    assert_eq!(
        noted.notes,
        [
            "The buffer reading of 60 was taken as a lime index, ten times the buffer pH, so the buffer pH is 6: say lime_index if that is right, and ask the lab if it is not."
        ]
    );
    assert!(noted.assumptions.iter().any(|a| a.key == "lime_index_read"));
    // neither a note on the index nor one on the arithmetic of somebody's example
    assert!(told.notes.is_empty() && told.assumptions == plain.assumptions && plain.notes.is_empty());
    assert!(noted.rate_kg_ha == told.rate_kg_ha && told.rate_kg_ha == plain.rate_kg_ha);
}

#[test]
fn mehlich_buffer_follows_north_carolina() {
    let c = case("lime-ncda-acidity");
    c.check("ac_meq_100cm3", AcidityTerm::Mehlich.from_buffer(c.input("buffer_ph")).unwrap());
    for id in ["lime-ncda-fraser-new", "lime-ncda-fraser-existing"] {
        let c = case(id);
        let input = soil(c.input("ph"), Some((c.input("buffer_ph"), BufferMethod::Mehlich)));
        let need = need(input, c.input("target_ph"), LimeMethod::Mehlich, LimeOptions::default());
        c.check("tons_per_acre", tons_acre(need.rate_kg_ha));
        if id == "lime-ncda-fraser-new" {
            c.check("ac_meq_100cm3", need.steps[0].value);
        }
    }
    let c = case("lime-ncda-residual");
    // acidity 2 is buffer pH 6.1; a credit of 0.3 tons is 1.25 tons spread 9 months before
    let recent = RecentLime { rate_kg_ha: convert(1.25, "tons/acre", "kg/ha").unwrap(), months: 9.0, organic_soil: false };
    let input = soil(c.input("ph"), Some((6.6 - c.input("ac_meq_100cm3") / 4.0, BufferMethod::Mehlich)));
    let options = LimeOptions { recent: Some(recent), ..LimeOptions::default() };
    c.check("tons_per_acre", tons_acre(need(input.clone(), c.input("target_ph"), LimeMethod::Mehlich, options).rate_kg_ha));
    let old = RecentLime { months: 14.0, ..recent };
    assert_eq!(old.credit_kg_ha().unwrap(), 0.0);
    assert!(RecentLime { months: 4.0, organic_soil: true, ..recent }.credit_kg_ha().unwrap() > 0.0);
    // the source's own example: 1.05 less 0.3 is 0.75, printed as 0.76
    let whole = need(input, c.input("target_ph"), LimeMethod::Mehlich, LimeOptions::default());
    assert!((tons_acre(whole.rate_kg_ha) - 1.25).abs() < 1e-9);
}

#[test]
fn mehlich_buffer_ends_at_its_singular_point() {
    let at =
        |ph, buffer, target| need(soil(ph, Some((buffer, BufferMethod::Mehlich))), target, LimeMethod::Mehlich, LimeOptions::default());
    assert_eq!(at(6.6, 6.5, 6.6).rate_kg_ha, 0.0);
    let near = at(6.599_999, 6.4, 6.6);
    assert!((tons_acre(near.rate_kg_ha) - 0.8).abs() < 1e-9, "all of the acidity, and no more");
    assert_eq!(at(5.0, 6.6, 6.0).rate_kg_ha, 0.0);
    assert_eq!(at(5.0, 6.8, 6.0).rate_kg_ha, 0.0);
    assert!(at(5.0, 6.8, 6.0).notes.iter().any(|n| n.contains("finds no acidity")));
    assert_eq!(
        refused(soil(6.0, Some((6.4, BufferMethod::Mehlich))), 6.8, LimeMethod::Mehlich),
        "the Mehlich buffer equation ends at pH 6.6, and the target is 6.8. Give a target of 6.6 or below."
    );
}

#[test]
fn adams_evans_follows_its_curve_from_memory() {
    for c in cases("lime-adams-evans-") {
        let input = soil(c.input("ph"), Some((c.input("buffer_ph"), BufferMethod::AdamsEvans)));
        let options = LimeOptions { ag_lime_factor: c.input("ag_lime_factor"), ..LimeOptions::default() };
        let need = need(input, c.input("target_ph"), LimeMethod::AdamsEvans, options);
        c.check("hsat1", need.steps[0].value);
        c.check("hsat2", need.steps[1].value);
        c.check("lb_per_acre", lb_acre(need.rate_kg_ha));
        c.check("mg_per_ha", need.rate_kg_ha / 1000.0);
        assert!((need.pure_kg_ha.unwrap() * 1.5 - need.rate_kg_ha).abs() < 1e-9);
        let five = [1.17, 1.16, 1.48, 1.34, 1.73];
        let mean = five.iter().sum::<f64>() / five.len() as f64;
        case("aglime-factor-uga").check("mean", mean);
        assert!(need.notes[1].ends_with(&format!("mean {mean:.2}.")), "the note quotes the five limes");
    }
    assert_eq!(
        refused(soil(4.2, Some((7.2, BufferMethod::AdamsEvans))), 5.5, LimeMethod::AdamsEvans),
        "pH 4.2 lies below the end of the Adams-Evans curve at 4.40. Take exchangeable acidity or aluminum for so acid a soil."
    );
}

#[test]
fn exchangeable_acidity_has_two_targets_and_a_gap_that_is_pinned() {
    let at = |acidity, ph, target| {
        let input = SoilTestInput { exchangeable_acidity_meq: Some(acidity), ..soil(ph, None) };
        lb_acre(need(input, target, LimeMethod::ExchangeableAcidity, LimeOptions::default()).rate_kg_ha)
    };
    for id in ["lime-psu-6.5", "lime-psu-6.5-none"] {
        let c = case(id);
        c.check("lb_cce_per_acre", at(c.input("exch_acidity_meq"), c.input("ph"), 6.5));
    }
    assert!((at(6.5, 5.4, 7.0) - 6500.0).abs() < 1e-9);
    assert!((at(3.0, 6.2, 6.5) - 2000.0).abs() < 1e-9);
    // the guide says "above 4" and "below 4": exactly 4 takes the smaller rate
    assert!((at(4.0, 6.0, 6.5) - 2000.0).abs() < 1e-9);
    let input = SoilTestInput { exchangeable_acidity_meq: Some(6.0), ..soil(5.0, None) };
    assert_eq!(
        refused(input, 5.8, LimeMethod::ExchangeableAcidity),
        "the rule by exchangeable acidity serves targets of 6.5 and 7.0, not 5.8. Take the exchangeable acidity table for 6.0, or another method."
    );
}

#[test]
fn the_38_rows_are_the_printed_ones() {
    let printed = table("psu-turf-lime");
    assert_eq!(printed.rows.len(), 38);
    let per_1000_ft2 = |acidity, target| {
        let input = SoilTestInput { exchangeable_acidity_meq: Some(acidity), ..soil(4.5, None) };
        convert(need(input, target, LimeMethod::AcidityTable, LimeOptions::default()).rate_kg_ha, "kg/ha", "lb/1000 ft2").unwrap()
    };
    for row in &printed.rows {
        for (target, rate) in [7.0, 6.5, 6.0].into_iter().zip(&row[1..]) {
            let ours = per_1000_ft2(number(&row[0]), target);
            assert!((ours - number(rate)).abs() < 1e-9, "{}: {} to {target} is {rate}, not {ours}", printed.source, row[0]);
        }
    }
    assert!((per_1000_ft2(4.9, 6.5) - 80.0).abs() < 1e-9, "half way between 4.6 and 5.2");
    let input = SoilTestInput { exchangeable_acidity_meq: Some(1.2), ..soil(5.0, None) };
    assert_eq!(
        refused(input, 6.0, LimeMethod::AcidityTable),
        "exchangeable acidity of 1.2 lies outside table \"penn-state-turf@handbook table 1\", which goes from 2 to 25.7. Take another method."
    );
}

#[test]
fn smp_from_memory_is_off_until_asked_for() {
    let acid = |buffer| soil(5.0, Some((buffer, BufferMethod::Smp)));
    assert_eq!(
        refused(acid(6.2), 6.5, LimeMethod::Smp),
        "the SMP buffer method is written down from memory and nobody has checked it. Allow it with from_memory, or take another method."
    );
    let options = LimeOptions { from_memory: true, ..LimeOptions::default() };
    let rate = |buffer, target| tons_acre(need(acid(buffer), target, LimeMethod::Smp, options).rate_kg_ha);
    let printed = table("smp-lime");
    for row in &printed.rows {
        for (target, column) in [(7.0, 2), (6.5, 3), (6.0, 4)] {
            assert!((rate(number(&row[0]), target) - number(&row[column])).abs() < 1e-9, "from memory: {}", printed.source);
        }
    }
    assert_eq!(rate(6.9, 6.5), 0.0);
    let noted = need(acid(6.2), 6.5, LimeMethod::Smp, options);
    assert!(noted.notes.iter().any(|n| n.starts_with("From memory")) && noted.source.ends_with("[from memory]"));
    let organic = Library::<LimeTable>::with_from_memory().unwrap();
    let rate =
        lime_from_table(&SoilTest::new(soil(4.8, Some((6.0, BufferMethod::Smp)))).unwrap(), 5.2, organic.get("smp-organic").unwrap())
            .unwrap();
    assert!((tons_acre(rate.rate_kg_ha) - 5.1).abs() < 1e-9, "from memory: {}", printed.source);

    // the three straight lines from memory stay within a sixth of a ton of the table
    let c = case("lime-smp-eq-vs-table");
    assert_eq!(printed.rows.len() as f64, c.input("rows"));
    let widest = |column: usize, a: f64, b: f64| {
        printed.rows.iter().map(|r| (a - b * 10.0 * number(&r[0]) - number(&r[column])).abs()).fold(0.0, f64::max)
    };
    c.check("max_abs_diff_7_0", widest(2, 71.4, 1.03));
    c.check("max_abs_diff_6_5", widest(3, 60.4, 0.87));
    c.check("max_abs_diff_6_0", widest(4, 49.3, 0.71));
    for id in ["lime-smp-lti-62", "lime-smp-lti-58"] {
        let c = case(id);
        let table_rate = |target| tons_acre(need(acid(c.input("lti") / 10.0), target, LimeMethod::Smp, options).rate_kg_ha);
        for (key, target) in [("tons_to_6_8", 7.0), ("tons_to_6_5", 6.5), ("tons_to_6_0", 6.0)] {
            // the lines and the table differ by 0.17 at most
            assert!((table_rate(target) - c.expected_number(key)).abs() <= 0.17 + 1e-9, "from memory: {}", c.source);
        }
    }
}

#[test]
fn rough_methods_say_so() {
    let options = LimeOptions { from_memory: true, ..LimeOptions::default() };
    let c = case("lime-mehlich-1976"); // from memory
    let old = need(soil(5.0, Some((c.input("buffer_ph"), BufferMethod::Mehlich))), 6.0, LimeMethod::Mehlich1976, options);
    c.check("t_per_ha", old.rate_kg_ha / 1000.0);
    assert_eq!(old.target_ph, None);
    let al = SoilTestInput { exchangeable_aluminum_meq: Some(2.0), ..soil(4.4, None) };
    assert!((lb_acre(need(al, 5.5, LimeMethod::ExchangeableAluminum, options).rate_kg_ha) - 3000.0).abs() < 1e-9);
    let by_texture = SoilTestInput { texture: Some(TextureClass::Loam), ..soil(5.0, None) };
    let guess = need(by_texture, 6.0, LimeMethod::Texture, options);
    // 1,010 lb of sulfur between the two pH
    assert!((lb_acre(guess.rate_kg_ha) - 1010.0 * CACO3_PER_S).abs() < 1e-6);
    assert_eq!(guess.range_kg_ha, Some((0.5 * guess.rate_kg_ha, 1.5 * guess.rate_kg_ha)));
    assert!(guess.notes[0].starts_with("A guess by texture alone"));
    let c = case("lime-meq-kgha");
    c.check("kg_caco3_ha", carbonate_for_acidity_kg_ha(c.input("acidity_meq"), 0.15, c.input("layer_kg_ha") / 1.5e6).unwrap());
    let c = case("lime-depth-tristate");
    let eight = LimeNeed { rate_kg_ha: c.input("table_tons_8in"), depth_m: 8.0 * 0.0254, ..guess };
    c.check("tons", eight.for_depth(c.input("depth_in") * 0.0254).unwrap().rate_kg_ha);
}

#[test]
fn bad_questions_about_lime_are_refused_in_full() {
    assert_eq!(
        refused(soil(6.3, Some((6.4, BufferMethod::Mehlich))), 5.8, LimeMethod::Mehlich),
        "the target pH 5.8 lies below the soil's pH 6.3, and lime only raises it. Do not lime. To lower the pH, ask for sulfur."
    );
    assert_eq!(
        refused(soil(5.0, Some((6.4, BufferMethod::Sikora))), 5.8, LimeMethod::Mehlich),
        "the buffer of this test is Sikora and the method holds for Mehlich. Name the method of the lab's own buffer."
    );
    assert_eq!(
        refused(soil(5.0, None), 5.8, LimeMethod::Mehlich),
        "the Mehlich buffer pH is missing. Give it from the lab sheet; labs leave it out where the soil is not acid enough to lime."
    );
    assert_eq!(
        "mehlich bufer".parse::<LimeMethod>().unwrap_err().to_string(),
        "lime method \"mehlich bufer\" is not known. Did you mean \"Mehlich\", \"Mehlich buffer\"? Known: \"Mehlich buffer\", \"Adams-Evans buffer\", \"exchangeable acidity\", \"exchangeable acidity table\", \"exchangeable aluminum\", \"SMP buffer\", \"Mehlich 1976\", \"texture\"."
    );
}

fn limestone(cce: f64, sieves: Sieves, moisture: f64) -> LimingMaterial {
    LimingMaterial { name: "limestone".into(), carbonate_equivalent: cce, sieves: Some(sieves), moisture, price_per_t: None }
}

#[test]
fn materials_count_by_equivalent_and_fineness() {
    let c = case("env-ny-medium");
    let pass = |key: &str| Some(c.input(key) / 100.0);
    let sieves = Sieves { pass_20: pass("pass20"), pass_60: pass("pass60"), pass_100: pass("pass100"), ..Sieves::default() };
    let value = limestone(c.input("cce") / 100.0, sieves, 0.0).effective_value(FinenessRule::NewYork).unwrap();
    c.check("env", 100.0 * value);
    let c = case("env-ny-rate");
    c.check("tons_material", c.input("tons_100") / value);
    let c = case("enp-ohio-formula"); // from memory
    let pass = |key: &str| Some(c.input(key) / 100.0);
    let sieves = Sieves { pass_8: pass("pass8"), pass_20: pass("pass20"), pass_60: pass("pass60"), pass_100: None };
    let enp = limestone(c.input("tnp") / 100.0, sieves, c.input("moisture_pct") / 100.0);
    c.check("enp_lb_per_ton", 2000.0 * enp.effective_value(FinenessRule::Ohio).unwrap());

    for (id, compound) in [
        ("cce-caco3", LimingCompound::CalciumCarbonate),
        ("cce-MgCO3", LimingCompound::MagnesiumCarbonate),
        ("cce-CaMg(CO3)2", LimingCompound::Dolomite),
        ("cce-MgO", LimingCompound::MagnesiumOxide),
    ] {
        // atomic weights of another year move the fourth decimal
        case(id).check("cce", 100.0 * compound.carbonate_equivalent());
    }
    // a lab page prints dolomite's 108.5 for magnesium carbonate
    assert!((100.0 * LimingCompound::MagnesiumCarbonate.carbonate_equivalent() - 108.5).abs() > 10.0);
    let rising = Sieves { pass_20: Some(0.5), pass_60: Some(0.6), pass_100: Some(0.3), ..Sieves::default() };
    assert_eq!(
        limestone(0.9, rising, 0.0).effective_value(FinenessRule::NewYork).unwrap_err().to_string(),
        "more of limestone passes a fine sieve than a coarse one. Give the share that passes each sieve, not the share that stays on it."
    );
    assert_eq!(
        limestone(90.0, sieves, 0.0).effective_value(FinenessRule::Ohio).unwrap_err().to_string(),
        "carbonate_equivalent of limestone is 90. Give a fraction from 0.1 to 2.5; 90 % is 0.90."
    );
    assert_eq!(
        limestone(0.9, Sieves::default(), 0.0).effective_value(FinenessRule::NewYork).unwrap_err().to_string(),
        "pass_20 is missing. The New York rule needs it; take it from the analysis on the label or delivery slip."
    );
}

#[test]
fn targets_of_every_source_stand_side_by_side() {
    let library = Library::<PhTable>::shipped().unwrap();
    for (id, key) in [("ph-msu-page", "msu-soil-ph"), ("ph-msu-2022", "msu-nutrient-management")] {
        let printed = table(id);
        for row in &printed.rows {
            let names = row[0].as_str().unwrap();
            let each: Vec<String> = match names {
                "balsam/Canaan fir" => vec!["balsam fir".into(), "Canaan fir".into()],
                "Black Hills/white spruce" => vec!["Black Hills spruce".into(), "white spruce".into()],
                one => vec![one.into()],
            };
            for name in each {
                let target = ph_targets(&name, &library).unwrap().by(key).unwrap().clone();
                assert_eq!((target.row.low, target.row.high), (number(&row[1]), number(&row[2])), "{}: {name}", printed.source);
            }
        }
    }
    let balsam = ph_targets("balsam fir", &library).unwrap();
    assert_eq!(
        balsam.ask.as_deref(),
        Some("The sources differ: msu-soil-ph@web page 6-6.5, msu-nutrient-management@2022 5.5-6. Name the one to use.")
    );
    assert!(balsam.targets.iter().filter(|t| t.general).count() >= 4);
    assert!(ph_targets("Leyland cypress", &library).unwrap().ask.is_none());
    let error = ph_targets("frasier fir", &library).unwrap_err().to_string();
    assert!(error.starts_with("species with a pH target \"frasier fir\" is not known. Did you mean \"Fraser fir\"?"), "{error}");
}

fn question(species: &str, key: &str, stage: Stage) -> LimeQuestion {
    let library = Library::<PhTable>::shipped().unwrap();
    LimeQuestion::new(ph_targets(species, &library).unwrap().by(key).unwrap().clone(), stage, LimeMethod::Mehlich)
}

#[test]
fn lime_before_planting_is_worked_in_and_among_trees_split_on_the_surface() {
    let test = SoilTest::new(soil(4.6, Some((5.6, BufferMethod::Mehlich)))).unwrap();
    let new = advise_lime(&test, &question("Fraser fir", "nc-state-fraser-fir", Stage::NewPlanting)).unwrap();
    assert_eq!((new.verdict, new.applications.len()), (PhVerdict::Lime, 1));
    // 4 meq x 1.2 / 2.0 = 2.4 tons for the slice of 6 2/3 in, 2.52 for 7 in
    assert!((tons_acre(new.material_kg_ha) - 2.52).abs() < 1e-9);
    let mut asked = question("Fraser fir", "nc-state-fraser-fir", Stage::Established);
    let old = advise_lime(&test, &asked).unwrap();
    // 4 meq x 0.9 / 2.0 = 1.8 tons, for 4 in 1.08: two spreadings of at most a ton
    assert!((tons_acre(old.material_kg_ha) - 1.08).abs() < 1e-9);
    assert_eq!(old.applications.len(), 2);
    assert!(old.assumptions.iter().any(|a| a.key == "surface_depth"));
    asked.cap_kg_ha = 1e4;
    asked.material = Some((limestone(0.8, Sieves::default(), 0.0), FinenessRule::NewYork));
    let bought = advise_lime(&test, &asked).unwrap();
    assert_eq!(bought.applications.len(), 1);
    assert!((tons_acre(bought.material_kg_ha) - 1.08 * 0.9 / 0.8).abs() < 1e-9, "agricultural lime of 90 % is meant");
    assert!(bought.assumptions.iter().any(|a| a.key == "usual_lime"));
}

#[test]
fn cost_follows_the_effective_value() {
    let c = case("enp-ohio-cost");
    let effective = c.input("enp_lb_per_ton") / 2000.0;
    let fine = Sieves { pass_20: Some(1.0), pass_60: Some(1.0), pass_100: Some(1.0), ..Sieves::default() };
    let price_per_t = Some(c.input("price_per_ton") / convert(1.0, "ton", "t").unwrap());
    let mut asked = question("blue spruce", "ncda-targets", Stage::NewPlanting);
    asked.method = LimeMethod::ExchangeableAcidity;
    asked.material = Some((LimingMaterial { price_per_t, ..limestone(effective, fine, 0.0) }, FinenessRule::NewYork));
    // acidity x 840 lb/acre is the requirement, for the 7 in that lime is worked in
    let acidity = c.input("lr_tons") * 2000.0 / 840.0;
    let test = SoilTest::new(SoilTestInput { exchangeable_acidity_meq: Some(acidity), ..soil(5.4, None) }).unwrap();
    let advice = advise_lime(&test, &asked).unwrap();
    c.check("tons_material", tons_acre(advice.material_kg_ha));
    c.check("cost_per_acre", advice.cost_per_ha.unwrap() * convert(1.0, "acre", "ha").unwrap());
    // a garden report gives 7 lb of lime of 70 % for 5 lb
    let c = case("cce-psu-garden");
    asked.material = Some((limestone(c.input("cce") / 100.0, fine, 0.0), FinenessRule::NewYork));
    let weak = advise_lime(&test, &asked).unwrap();
    c.check("lb", c.input("lb_100") * weak.material_kg_ha / weak.need.unwrap().pure_kg_ha.unwrap());
}

#[test]
fn no_lime_where_the_ph_is_right_or_too_high() {
    let right = SoilTest::new(soil(5.6, None)).unwrap();
    let advice = advise_lime(&right, &question("Fraser fir", "msu-soil-ph", Stage::Established)).unwrap();
    assert_eq!((advice.verdict, advice.material_kg_ha), (PhVerdict::DoNotLime, 0.0));
    assert_eq!(advice.why, "The pH is 5.6; Fraser fir wants pH 5.5 to 6 (Michigan State University Extension, Soil pH, figure 1).");
    let high = SoilTestInput { texture: Some(TextureClass::SiltLoam), ..soil(6.5, None) };
    let advice = advise_lime(&SoilTest::new(high).unwrap(), &question("Fraser fir", "msu-soil-ph", Stage::Established)).unwrap();
    assert_eq!(advice.verdict, PhVerdict::TooHigh);
    assert_eq!(advice.cautions[0], "Fraser fir does poorly above pH 6.2.");
    let sulfur = advice.sulfur.unwrap();
    assert_eq!((sulfur.verdict, sulfur.years), (SulfurVerdict::Lower, 2));
    assert!((lb_acre(sulfur.total_kg_ha) - 480.0).abs() < 1e-9 && lb_acre(sulfur.each_year_kg_ha) <= 400.0);
    // a source without a printed target: the middle of its range, and it says so
    let acid = SoilTest::new(soil(5.0, Some((6.2, BufferMethod::Mehlich)))).unwrap();
    let advice = advise_lime(&acid, &question("white pine", "msu-soil-ph", Stage::NewPlanting)).unwrap();
    assert_eq!(advice.need.unwrap().target_ph, Some(5.75));
    assert!(advice.assumptions.iter().any(|a| a.key == "target_middle"));
}

#[test]
fn sulfur_is_the_difference_of_two_rows() {
    let library = Library::<SulfurTable>::shipped().unwrap();
    let shipped = library.get("sulfur-to-4.5").unwrap();
    for c in cases("sulfur-sand-").into_iter().chain(cases("sulfur-loam-")).chain(cases("sulfur-clay-")) {
        let texture: TextureGroup = c.input_text("texture").parse().unwrap();
        let rate = shipped.rate_kg_ha(texture, c.input("ph"), c.input("target_ph")).unwrap();
        c.check("s_lb_acre", lb_acre(rate));
        c.check("s_lb_1000ft2", convert(rate, "kg/ha", "lb/1000 ft2").unwrap());
    }
    let printed = table("sulfur-to-4.5");
    for row in &printed.rows {
        for (texture, rate) in [TextureGroup::Sand, TextureGroup::Loam, TextureGroup::Clay].into_iter().zip(&row[1..]) {
            assert!(
                (lb_acre(shipped.rate_kg_ha(texture, number(&row[0]), 4.5).unwrap()) - number(rate)).abs() < 1e-9,
                "{}",
                printed.source
            );
        }
    }
    let ask = |ph, target_ph, texture, free_carbonate, living_roots| {
        let cap_kg_ha = dibble::fertility::SULFUR_CAP_KG_HA;
        sulfur_need(&SulfurQuestion { ph, target_ph, texture, free_carbonate, living_roots, cap_kg_ha, units: System::Us }, &library)
            .unwrap()
    };
    let c = case("sulfur-simple-1unit");
    for (key, texture) in [("sand_lb_acre", TextureGroup::Sand), ("heavy_lb_acre", TextureGroup::Clay)] {
        let need = ask(6.0, 5.0, texture, None, true);
        c.check(key, lb_acre(need.others[0].rate_kg_ha));
        assert!((lb_acre(need.total_kg_ha) - c.expected_number(key)).abs() > 50.0, "the two sources disagree: {}", c.source);
    }
    let c = case("sulfur-rhs");
    for (key, g_m2) in [("sand_lb_acre", c.input("g_m2_sand")), ("clay_lb_acre", c.input("g_m2_clay"))] {
        c.check(key, lb_acre(convert(g_m2, "g/m2", "kg/ha").unwrap()));
    }
    assert!((CACO3_PER_S - 3.12).abs() < 0.005, "a list saying 2.18 is wrong");
    let limy = ask(6.8, 6.0, TextureGroup::Loam, Some(true), false);
    assert_eq!((limy.verdict, limy.total_kg_ha), (SulfurVerdict::CannotBeReached, 0.0));
    assert_eq!(
        limy.why,
        "The soil holds free carbonate: each 1 % of it consumes 6,406 lb/acre (7,181 kg/ha) of sulfur before the pH moves. Choose a species that bears the pH."
    );
    assert_eq!(ask(7.6, 6.0, TextureGroup::Sand, None, false).verdict, SulfurVerdict::CannotBeReached);
    assert_eq!(ask(5.5, 5.5, TextureGroup::Sand, None, false).verdict, SulfurVerdict::NotNeeded);
}

#[test]
fn nitrogen_makes_acid_and_water_brings_lime() {
    let acid = |n, caco3_per_n| acid_balance(&[AcidYear { n_kg_ha: n, caco3_per_n, ..AcidYear::default() }]).unwrap()[0].acid_kg_ha;
    let c = case("nacid-urea");
    c.check("caco3_lb", acid(c.input("n_lb"), UREA_CACO3_PER_N));
    let c = case("nacid-as");
    c.check("caco3_lb", acid(c.input("n_lb"), AMMONIUM_SULFATE_CACO3_PER_N));
    let c = case("nacid-theory-as");
    c.check("caco3_lb", acid(c.input("n_lb"), AMMONIUM_CACO3_PER_N_LIMIT));
    let wet = AcidYear { n_kg_ha: 80.0, caco3_per_n: UREA_CACO3_PER_N, irrigation_mm: 300.0, alkalinity_mg_l: 200.0, lime_kg_ha: 0.0 };
    let years = acid_balance(&[wet, wet]).unwrap();
    assert!((years[1].balance_kg_ha - 2.0 * (600.0 - 144.0)).abs() < 1e-9);
    let error = acid_balance(&[wet, AcidYear { n_kg_ha: -1.0, ..wet }]).unwrap_err();
    assert_eq!(
        error.to_string(),
        "year 2: n_kg_ha is -1 kg/ha: weight per area must be from 0 to 100000000 kg/ha. Give kg per hectare; 1 lb/acre is 1.121 kg/ha."
    );
}

#[test]
fn a_lime_table_of_the_users_is_checked() {
    let text = r#"
[[table]]
id = "mine"
edition = "1"
title = "Sikora"
measure = "buffer pH"
buffer = "Sikora"
of = "pure calcium carbonate"
unit = "lb/acre"
depth_m = 0.1694
targets = [6.0]
cite = { source = "my lab", provenance = "printed" }
rows = [[5.0, 6000], [7.0, 0]]
"#;
    let mine = Library::<LimeTable>::parse(text, "lime.toml").unwrap();
    let test = SoilTest::new(soil(5.0, Some((6.0, BufferMethod::Sikora)))).unwrap();
    let need = lime_from_table(&test, 6.0, mine.get("mine").unwrap()).unwrap();
    assert!((lb_acre(need.rate_kg_ha) - 3000.0).abs() < 1e-9 && need.method == "table mine@1");
    let falling = text.replace("[7.0, 0]", "[4.0, 0], [7.5, 1, 2]");
    let error = Library::<LimeTable>::parse(&falling, "lime.toml").unwrap_err();
    assert_eq!(
        error.to_string(),
        "2 problems:\n  - lime.toml, line 2, table mine@1, row 2: measurements have to rise and rates to be 0 or more. Sort the rows.\n  - lime.toml, line 2, table mine@1, row 3: it has 3 numbers, and the measurement and 1 targets are wanted. Give one number for each column."
    );
}

#[test]
fn a_cap_that_never_ends_is_refused() {
    let test = SoilTest::new(soil(4.6, Some((5.6, BufferMethod::Mehlich)))).unwrap();
    let mut asked = question("Fraser fir", "nc-state-fraser-fir", Stage::Established);
    for (cap_kg_ha, shown) in [(0.5, "0.5"), (0.0, "0")] {
        asked.cap_kg_ha = cap_kg_ha;
        assert_eq!(
            advise_lime(&test, &asked).unwrap_err().to_string(),
            format!(
                "2421 kg/ha in spreadings of at most {shown} kg/ha would take more than 50 years. Raise cap_kg_ha, or leave the pH as it is."
            )
        );
    }
    let sulfur = Library::<SulfurTable>::shipped().unwrap();
    let ask = SulfurQuestion {
        ph: 7.0,
        target_ph: 5.0,
        texture: TextureGroup::Clay,
        free_carbonate: Some(false),
        living_roots: true,
        cap_kg_ha: 1.0,
        units: System::Us,
    };
    assert!(sulfur_need(&ask, &sulfur).unwrap_err().is_infeasible());
    asked.cap_kg_ha = -1.0;
    assert!(advise_lime(&test, &asked).unwrap_err().is_out_of_range());
}

proptest! {
    /// More acid soil, or a higher target, never takes less lime.
    #[test]
    fn lime_rises_with_acidity_and_target(ph in 4.5..6.4f64, buffer in 5.2..7.9f64, less in 0.0..0.5f64, target in 5.0..6.5f64, more in 0.0..0.5f64) {
        for (method, kind) in [(LimeMethod::Mehlich, BufferMethod::Mehlich), (LimeMethod::AdamsEvans, BufferMethod::AdamsEvans)] {
            let rate = |buffer: f64, target: f64| {
                if target < ph { 0.0 } else { need(soil(ph, Some((buffer, kind))), target, method, LimeOptions::default()).rate_kg_ha }
            };
            prop_assert!(rate(buffer - less, target) >= rate(buffer, target));
            prop_assert!(rate(buffer, (target + more).min(6.6)) >= rate(buffer, target) - 1e-9);
        }
    }

    #[test]
    fn sulfur_over_two_steps_is_the_sum(ph in 5.5..7.0f64, a in 0.0..1.0f64, b in 0.0..1.0f64) {
        let library = Library::<SulfurTable>::shipped().unwrap();
        let table = library.get("sulfur-to-4.5").unwrap();
        let middle = ph - a * (ph - 4.5);
        let low = middle - b * (middle - 4.5);
        let rate = |from, to| table.rate_kg_ha(TextureGroup::Loam, from, to).unwrap();
        prop_assert!((rate(ph, middle) + rate(middle, low) - rate(ph, low)).abs() < 1e-9);
    }
}

#[test]
fn a_test_of_nutrients_alone_says_that_the_ph_is_missing() {
    let k = measured(Nutrient::K, Reported::Measured(90.0), TestUnit::Ppm, Extractant::Mehlich3);
    let test = SoilTest::new(sheet(vec![k])).unwrap();
    let error = advise_lime(&test, &question("Fraser fir", "msu-soil-ph", Stage::Established)).unwrap_err();
    assert_eq!(error.to_string(), "the soil pH is missing. Give ph from the lab sheet.");
}
