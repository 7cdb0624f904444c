//! Needle tests and pale trees.

use crate::reference::{number, table};
use dibble::Date;
use dibble::fertility::{
    FoliarInput, FoliarTable, FoliarTest, Library, NeedleUnit, NeedleValue, Nutrient, Sign, Standing, Tissue, compare_foliar, compare_pair,
    interpret_foliar, measured_signs, rank_pale,
};

fn needles(species: &str, values: &[(Nutrient, f64)]) -> FoliarInput {
    let values = values.iter().map(|&(nutrient, value)| NeedleValue { nutrient, value, unit: NeedleUnit::Percent }).collect();
    let sampled = Some(Date::new(2026, 11, 3).unwrap());
    FoliarInput { species: species.into(), sampled, tissue: Some(Tissue::UpperCurrent), stand: Some("Christmas trees".into()), values }
}

fn library() -> Library<FoliarTable> {
    Library::shipped().unwrap()
}

#[test]
fn shipped_ranges_are_the_printed_ones() {
    let range = |key: &str, nutrient: Nutrient| {
        let library = library();
        let found = *library.get(key).unwrap().ranges.iter().find(|r| r.nutrient == nutrient).unwrap();
        (found.low, found.high.unwrap())
    };
    let printed = table("foliar-douglas-fir-nursery");
    for row in &printed.rows {
        let nutrient = row[0].as_str().unwrap().parse().unwrap();
        assert_eq!(range("douglas-fir-nursery", nutrient), (number(&row[1]), number(&row[2])), "{}", printed.source);
    }
    let printed = table("foliar-icp");
    for row in &printed.rows {
        let species = row[0].as_str().unwrap();
        let key =
            if matches!(species, "spruce" | "silver fir") { "icp-forests@spruce and silver fir" } else { "icp-forests@other conifers" };
        for (at, nutrient) in [(1, Nutrient::N), (3, Nutrient::K), (5, Nutrient::Mg)] {
            let (low, high) = range(key, nutrient);
            // printed in mg/g
            let fits = (10.0 * low - number(&row[at])).abs() < 1e-9 && (10.0 * high - number(&row[at + 1])).abs() < 1e-9;
            assert!(fits, "{}: {species} {nutrient}", printed.source);
        }
    }
    let printed = table("foliar-balsam-nb");
    for (row, nutrient) in printed.rows.iter().zip([Nutrient::N, Nutrient::P, Nutrient::K, Nutrient::Mg]) {
        assert_eq!(range("balsam-fir-new-brunswick", nutrient), (number(&row[1]), number(&row[2])), "{}", printed.source);
    }
}

#[test]
fn ratios_to_nitrogen_are_read_as_ratios() {
    let values = [(Nutrient::N, 1.8), (Nutrient::P, 0.15), (Nutrient::K, 0.6), (Nutrient::Mg, 0.16)];
    let test = FoliarTest::new(needles("balsam fir", &values)).unwrap();
    let read = interpret_foliar(&test, library().get("balsam-fir-new-brunswick").unwrap());
    let standing: Vec<Standing> = read.lines.iter().map(|l| l.standing.unwrap()).collect();
    // P/N 8.3 below 9, K/N 33 within, Mg/N 8.9 above 8
    assert_eq!(standing, [Standing::Within, Standing::Below, Standing::Within, Standing::Above]);
    assert!(read.mismatches.is_empty());
    // at N = 1.8 % the ratios are P 0.16-0.23, K 0.54-1.17, Mg 0.07-0.14 %
    for (line, (low, high)) in read.lines[1..].iter().zip([(0.16, 0.23), (0.54, 1.17), (0.07, 0.14)]) {
        assert!((line.range.low * 0.018 - low).abs() < 0.005 && (line.range.high.unwrap() * 0.018 - high).abs() < 0.005);
    }
}

#[test]
fn mismatches_are_declared_and_disagreements_ask() {
    let mut input = needles("Douglas-fir", &[(Nutrient::N, 1.15), (Nutrient::Mg, 0.08)]);
    input.tissue = Some(Tissue::Leader);
    input.sampled = Some(Date::new(2026, 6, 20).unwrap());
    let all = compare_foliar(&FoliarTest::new(input).unwrap(), &library());
    assert_eq!(all.readings.len(), 2);
    assert_eq!(all.disagreements, [Nutrient::Mg], "0.08 % is below the nursery's range and within the forest's");
    assert_eq!(
        all.ask.as_deref(),
        Some("The tables disagree. Name the one to use: douglas-fir-nursery@manual ch. 8, icp-forests@other conifers.")
    );
    assert_eq!(
        all.readings[0].mismatches,
        [
            "the sample is from Christmas trees and the table holds for nursery",
            "the sample is leader; advice is for this year's needles from the upper third, not the leader (Michigan State University)",
            "sampled on 2026-06-20: most standards are for needles at rest (Michigan mid-October to December, North Carolina fall, Oregon and Washington February)"
        ]
    );
    let general = compare_foliar(&FoliarTest::new(needles("Fraser fir", &[(Nutrient::N, 1.5)])).unwrap(), &library());
    assert_eq!(general.ask.as_deref(), Some("No table holds for Fraser fir: what stands here is for conifers in general."));
    assert_eq!(general.readings[0].mismatches[0].split(" and the table").next(), Some("the sample is Fraser fir"));
}

#[test]
fn good_and_bad_trees_are_ranked_by_what_falls_short_most() {
    let test = |values| FoliarTest::new(needles("Fraser fir", values)).unwrap();
    let good = test(&[(Nutrient::N, 1.8), (Nutrient::K, 0.6), (Nutrient::Mg, 0.12)]);
    let bad = test(&[(Nutrient::N, 1.7), (Nutrient::K, 0.6), (Nutrient::Mg, 0.06)]);
    let lines = compare_pair(&good, &bad).unwrap();
    assert_eq!(lines.iter().map(|l| l.nutrient).collect::<Vec<_>>(), [Nutrient::Mg, Nutrient::N, Nutrient::K]);
    assert_eq!(lines[0].ratio, 0.5);
    let other = FoliarTest::new(needles("white pine", &[(Nutrient::N, 1.5)])).unwrap();
    assert_eq!(
        compare_pair(&good, &other).unwrap_err().to_string(),
        "the good trees are Fraser fir and the bad ones white pine. Compare trees of one species."
    );
}

#[test]
fn bad_needle_tests_are_refused_in_full() {
    let error = FoliarTest::new(needles("Fraser fir", &[(Nutrient::N, 180.0), (Nutrient::K, 0.6), (Nutrient::K, 0.5)])).unwrap_err();
    assert_eq!(
        error.to_string(),
        "2 problems:\n  - N is 180 %: content of the needles must be from 0 to 20 %. Give percent of dry weight; 12 mg/g is 1.2 %.\n  - K stands twice in one needle test. Give it once."
    );
    assert_eq!(
        FoliarTest::new(needles("Fraser fir", &[])).unwrap_err().to_string(),
        "a needle value is missing. Give one nutrient at least."
    );
    assert_eq!(
        "lower third".parse::<Tissue>().unwrap_err().to_string(),
        "tissue \"lower third\" is not known. Did you mean \"upper third\"? Known: \"current needles, upper third\", \"current needles\", \"older needles\", \"leader\", \"mixed\"."
    );
}

#[test]
fn pale_causes_are_ranked_and_not_all_are_cured_by_fertilizer() {
    let first = |signs: &[Sign]| rank_pale(signs).unwrap().causes[0].id.clone();
    assert_eq!(first(&[]), "high_ph", "a wrong pH is the first thing to look at (Michigan State University)");
    assert_eq!(first(&[Sign::OlderNeedlesFirst, Sign::EvenPaleGreen, Sign::PhWithin]), "nitrogen");
    assert_eq!(first(&[Sign::NewNeedlesFirst, Sign::PhAbove]), "high_ph");
    assert_eq!(first(&[Sign::LowGround, Sign::Clay, Sign::WateredOften, Sign::PhWithin]), "wet_feet");
    assert_eq!(first(&[Sign::DryWeather, Sign::KnollsOrSand]), "drought");
    assert_eq!(first(&[Sign::NoRootFlare, Sign::ScatteredTrees]), "planting_depth");
    assert_eq!(first(&[Sign::DullGrayGreen, Sign::PhosphorusLow]), "phosphorus");
    assert_eq!(first(&[Sign::InnerNeedlesOnly, Sign::PhWithin]), "shedding");
    assert_eq!(first(&[Sign::OlderNeedlesFirst, Sign::EvenPaleGreen, Sign::NitrogenInRange, Sign::LowGround]), "wet_feet");
    let all = rank_pale(&[Sign::NewNeedlesFirst]).unwrap();
    let nitrogen = all.causes.iter().find(|c| c.id == "nitrogen").unwrap();
    assert_eq!((nitrogen.speaks_for.len(), &nitrogen.speaks_against), (0, &vec![Sign::NewNeedlesFirst]));
    assert!(all.causes.iter().filter(|c| !c.cured_by_fertilizer).count() >= 8);
    assert!(all.causes.iter().all(|c| !c.test.is_empty() && !c.source.is_empty()));
    assert_eq!(
        rank_pale(&[Sign::PhAbove, Sign::PhBelow]).unwrap_err().to_string(),
        "\"pH above the range\" and \"pH below the range\" exclude each other. Look again and give one of them."
    );
    assert!(rank_pale(&[Sign::Clay, Sign::Clay]).unwrap_err().to_string().starts_with("\"clay\" is given twice."));
}

#[test]
fn tests_turn_into_signs() {
    let values = [(Nutrient::N, 1.5), (Nutrient::P, 0.2), (Nutrient::Mg, 0.02)];
    let read =
        interpret_foliar(&FoliarTest::new(needles("balsam fir", &values)).unwrap(), library().get("balsam-fir-new-brunswick").unwrap());
    let signs = measured_signs(None, Some(&read), None);
    assert_eq!(signs, [Sign::NitrogenLow, Sign::MagnesiumLow]);
    assert_eq!(rank_pale(&signs).unwrap().causes[0].id, "nitrogen");
}
