//! Faulty and odd lab files and options: what is refused, what is told, and that no row is lost without a word.

#![allow(clippy::unwrap_used)]

use dibble::batch::{BatchOptions, CsvRows, FIELDS, Field, RowResult};
use dibble::fertility::Status;

fn read(text: &str, options: BatchOptions) -> (Vec<RowResult>, CsvRows<&[u8]>) {
    let mut rows = CsvRows::new(text.as_bytes(), "lab.csv", options).unwrap();
    let all = rows.by_ref().flat_map(Result::unwrap).collect();
    (all, rows)
}

fn field(row: &RowResult, name: &str) -> Field {
    let at = FIELDS.iter().position(|(n, _)| *n == name).unwrap();
    row.fields()[at].clone()
}

fn number(row: &RowResult, name: &str) -> Option<f64> {
    match field(row, name) {
        Field::Number(value) => Some(value),
        _ => None,
    }
}

const HEADING: &str = "Sample,Date,Depth (in),pH (water),K (element) ppm Mehlich-3\n";

/// Nothing declared but what the tests below do not ask about.
fn plain() -> BatchOptions {
    let text = "today = \"2027-04-01\"\n[facts]\nform = \"element\"\nunit = \"ppm\"\nextractant = \"Mehlich-3\"\nspecies = \"Fraser fir\"\nage_years = 3\ntrees_per_ha = 2965\n";
    BatchOptions::parse(text, "plain.toml").unwrap()
}

fn refusal(text: &str, options: BatchOptions) -> String {
    let rows = CsvRows::new(text.as_bytes(), "lab.csv", options);
    rows.and_then(|r| r.collect::<dibble::Result<Vec<_>>>()).unwrap_err().to_string()
}

fn keys(row: &RowResult) -> Vec<&str> {
    row.reasons.iter().map(|r| r.key.as_str()).collect()
}

#[test]
fn a_quote_that_swallows_rows_is_refused_with_its_line() {
    let text = "Sample,pH,P,K\nA,5.7,45,95\nB,\"5.7,45,95\nC,5.7,45,95\nD,5.7,45,95\n";
    let said = "lab.csv, line 3: a quote opens here and does not close in its row. The rows behind it would be lost: close the quote, or take it out.";
    assert_eq!(refusal(text, plain()), said);
    // closed by a quote of another row
    assert_eq!(refusal(&text.replace("D,", "\"D\","), plain()), said);
    // before the heading, so that no heading is found
    assert_eq!(refusal(&format!("\"Lab sheet\n{}", text.replace('"', "")), plain()), said.replace("line 3", "line 1"));
    // line breaks inside cells are well
    let (rows, _) = read("Sample,pH,P,\"K\n(ppm, dry)\"\n\"A\nupper\",5.7,45,95\nB,5.7,45,95\n", plain());
    assert_eq!(rows.iter().map(|r| r.line).collect::<Vec<_>>(), [3, 5]);
}

#[test]
fn columns_that_say_the_same_are_compared() {
    let one = |text: &str| read(text, plain()).0.remove(0);
    let differ = one("Sample,pH,P ppm,P (ppm),K ppm\nA,5.7,45,20,95\n");
    assert_eq!((differ.status, number(&differ, "p_ppm"), number(&differ, "k_ppm")), (Status::WithAssumption, None, Some(95.0)));
    let said = "The lab's numbers 45 ppm and 20 ppm for P do not agree: neither is taken. Declare one of the columns as \"skip\".";
    assert_eq!(differ.reasons.iter().find(|r| r.key == "columns_differ").unwrap().words, said);
    // the same in another unit, form or place is one value; lb/acre by the lab's 2 or by the depth
    for (heading, value) in [("P (ppm)", "45"), ("P lb/acre", "90"), ("P2O5 ppm", "103"), ("P ppm Mehlich-3", "45.0"), ("P (ppm)", "")] {
        let row = one(&format!("Sample,Depth (in),pH,P ppm,K ppm,{heading}\nA,8,5.7,45,95,{value}\n"));
        assert_eq!((number(&row, "p_ppm"), keys(&row).contains(&"columns_differ")), (Some(45.0), false), "{heading} {value}");
    }
    let other = one("Sample,pH,P ppm,K ppm,P (ppm)\nA,5.7,,95,45\n");
    assert_eq!((number(&other, "p_ppm"), keys(&other).contains(&"not_reported")), (Some(45.0), false));
    // what is no nutrient
    let said = |text: &str| {
        let row = one(text);
        row.reasons.iter().find(|r| r.key.ends_with("_differ")).map(|r| (r.status, r.words.clone()))
    };
    let two = |words: &str| Some((Status::WithAssumption, format!("{words}: neither is taken. Declare one of the columns as \"skip\".")));
    assert_eq!(said("Sample,pH,Soil pH,P,K\nA,5.7,6.4,45,95\n"), two("\"pH\" says 5.7 and \"Soil pH\" says 6.4"));
    assert_eq!(said("Sample,pH,Soil pH,P,K\nA,5.7,5.70,45,95\n"), None);
    assert_eq!(said("Sample,pH,P,K,Depth (in),Depth (cm)\nA,5.7,45,95,6,15\n"), None);
    assert_eq!(said("Sample,pH,P,K,Depth (in),Depth (cm)\nA,5.7,45,95,6,30\n"), two("\"Depth (in)\" says 6 and \"Depth (cm)\" says 30"));
    assert_eq!(said("Sample,pH,P,K,Acres,Area (ha)\nA,5.7,45,95,2,0.81\n"), None);
    let first = (Status::Ok, "\"Sample\" says 14 and \"Sample ID\" says North: the first is taken as the sample.".to_string());
    assert_eq!(said("Sample,Sample ID,pH,P,K\n14,North,5.7,45,95\n"), Some(first));
    // a pH in calcium chloride is another thing: targets hold for water
    let (rows, csv) = read("Sample,pH CaCl2,pH water,P,K\nA,5.1,5.7,45,95\n", plain());
    assert_eq!(number(&rows[0], "ph"), Some(5.7));
    let log: Vec<String> = csv.batch().log().into_iter().map(|e| e.words).collect();
    assert!(log.contains(&"\"pH water\" guessed as: pH, water, instead of column \"pH CaCl2\".".to_string()), "{log:?}");
}

#[test]
fn a_row_with_cells_beyond_the_headings_is_not_ok() {
    let one = |text: &str| read(text, plain()).0.remove(0);
    let row = one("Sample,Date,Depth (in),pH,P,K\nNorth, upper,2026-10-12,6,5.7,45,95\n");
    assert_eq!((row.status, row.input.is_some()), (Status::NotUsable, true));
    let said = "The row has 7 cells under 6 headings; a mark inside a cell may have moved its values. Beyond the last heading: 95. Quote that cell, or give the column a heading.";
    assert_eq!(row.reasons.iter().find(|r| r.key == "cells_beyond_heading").unwrap().words, said);
    // moved, and the last column was empty; under headings that are empty; a remark without a heading
    let status = |text: &str| {
        let row = one(text);
        keys(&row).contains(&"cells_beyond_heading").then_some(row.status)
    };
    assert_eq!(status("Sample,Date,Depth (in),pH,P,K,Remark\nNorth, upper,2026-10-12,6,5.7,45,95,\n"), Some(Status::NotUsable));
    assert_eq!(status("Sample,pH,P,K,,\nA,5.7,45,95,12,\n"), Some(Status::NotUsable));
    assert_eq!(status("Sample,pH,P,K\nA,5.7,45,95,wet corner\n"), Some(Status::WithAssumption));
    assert_eq!(status("Sample,pH,P,K\nA,5.7,45,95,,,\n"), None);
}

#[test]
fn a_heading_is_found_among_thousands_of_columns() {
    let more: String = (0..5000).map(|n| format!(",x{n}")).collect();
    let (rows, _) = read(&format!("lab sheet\nSample,pH,P,K{more}\nA,5.7,45,95\n"), plain());
    assert_eq!((rows.len(), number(&rows[0], "p_ppm")), (1, Some(45.0)));
}

#[test]
fn days_of_sampling_have_many_headings() {
    for heading in
        ["Sampled on", "Sample date", "Date sampled", "Collected", "Date of sampling", "Sample collected", "Date taken", "Sampling day"]
    {
        let (rows, _) = read(&format!("Sample,{heading},pH,P,K\nA,2026-10-12,5.7,45,95\n"), plain());
        assert_eq!(field(&rows[0], "sampled"), Field::Text("2026-10-12".into()), "{heading}");
    }
    for heading in ["Date received", "Sample depth", "Report date"] {
        let (rows, _) = read(&format!("Sample,{heading},pH,P,K\nA,2026-10-12,5.7,45,95\n"), plain());
        assert_eq!(field(&rows[0], "sampled"), Field::None, "{heading}");
    }
}

#[test]
fn impossible_options_are_refused_before_any_row_is_read() {
    let with = |more: &str| {
        let text = format!("today = \"2027-04-01\"\n{more}");
        BatchOptions::parse(&text, "lab.toml").map_or_else(|e| e.to_string(), |options| refusal("Sample,pH,P\nA,5.7,45\n", options))
    };
    for (facts, said) in [
        (
            "trees_per_ha = -1.0",
            "trees_per_ha is -1: trees in a hectare must be from 1 to 1000000. Give trees per hectare; 1,200 per acre is 2,965.",
        ),
        ("depth_m = 0.0", "a sample of depth 0 holds no soil. Give the depth in m; 6 in is 0.152 m."),
        ("spacing = \"near\"", "cannot read spacing \"near\": it is no spacing. Write it as 5 x 6 ft, or give trees_per_ha."),
        ("spacing = \"5 x 6 ft\"\ntrees_per_ha = 3000.0", "spacing and trees_per_ha are both given. Give one of them."),
    ] {
        assert_eq!(with(&format!("[facts]\n{facts}\n")), format!("facts: {said}"));
        assert_eq!(with(&format!("[lab.\"Lake Lab\"]\n{facts}\n")), format!("lab \"Lake Lab\": {said}"));
    }
    for (facts, begins) in [
        ("trees_per_ha = 1e300", "facts: trees_per_ha is 1e300: trees in a hectare must be from 1"),
        ("trees_per_ha = nan", "facts: trees_per_ha is NaN: trees in a hectare must be from 1"),
        ("area_ha = -2.0", "facts: area_m2 is -20000 m2: "),
        ("age_years = 900", "facts: age_years is 900: "),
        ("species = \"Frasier fur\"", "species with a pH target \"Frasier fur\" is not known. Did you mean \"Fraser fir\"?"),
    ] {
        let said = with(&format!("[facts]\n{facts}\n"));
        assert!(said.starts_with(begins), "{said}");
    }
    for threads in [0, 1_000_000_000] {
        assert_eq!(
            with(&format!("n_threads = {threads}\n")),
            format!("n_threads is {threads}. Give 1 to 1024 threads, or none for one to each core.")
        );
    }
    let band = with("placement = { kind = \"band\", row_spacing_m = 1.5, width_m = 2.0 }\n");
    assert!(band.starts_with("facts: a band of 2 m is wider than rows 1.5 m apart"), "{band}");
}

#[test]
fn faulty_options_are_named_in_plain_words() {
    let said = |text: &str| BatchOptions::parse(text, "the options").unwrap_err().to_string();
    let keys = "The keys are those of dibble's batch options.";
    for (json, words) in [
        (
            r#"{"today": "2027-04-01", "facts": {"form": "element", "trees_per_ha": "many"}}"#,
            "option facts.trees_per_ha \"many\": it is text where a number is needed",
        ),
        (
            r#"{"today": "2027-04-01", "lab": {"Lake Lab": {"age_years": -1}}}"#,
            "option lab.\"Lake Lab\".age_years \"-1\": it is -1 where a whole number, 0 or more, is needed",
        ),
        (
            r#"{"today": "2027-04-01", "soil_tables": "rutgers-levels"}"#,
            "option soil_tables \"rutgers-levels\": it is text where a list is needed",
        ),
        (r#"{"today": "2027-04-01", "letters": 1}"#, "option letters \"1\": it is 1 where true or false is needed"),
        ("[1]", "these options \"[1]\": it is a list where a table of options is needed"),
        ("5", "these options \"5\": it is a number where a table of options is needed"),
    ] {
        assert_eq!(said(json), format!("the options: cannot read {words}. {keys}"));
    }
    assert_eq!(
        said("today = \"2027-04-01\"\n[facts]\ntrees_per_ha = \"many\"\n"),
        format!("the options, line 3: cannot read this line \"trees_per_ha = \"many\"\": it is text where a number is needed. {keys}")
    );
}

#[test]
fn a_spacing_stands_for_trees_in_a_hectare() {
    let options = BatchOptions::parse("today = \"2027-04-01\"\n[facts]\nspacing = \"5 x 6 ft\"\n", "lab.toml").unwrap();
    let (rows, _) = read("Sample,pH,P,Trees/acre\nA,5.7,45,\nB,5.7,45,-3\n", options);
    // 43,560 ft2 over 30 are 1,452 trees to the acre
    assert_eq!(number(&rows[0], "trees_per_ha").map(|t| (t * 0.404_685_642_24).round()), Some(1452.0));
    assert!(keys(&rows[1]).contains(&"ground_changed"), "{:?}", rows[1].reasons);
}

#[test]
fn ph_and_buffer_alone_get_a_lime_answer() {
    let options = BatchOptions { ph_table: Some("msu-soil-ph".into()), ..BatchOptions::new("2027-04-01".parse().unwrap()) };
    let text = "Sample,Date,Depth (in),pH (water),Mehlich buffer pH,Species,Age\nA,2026-10-12,6,5.0,6.1,Fraser fir,3\n";
    let (rows, _) = read(text, options);
    assert_eq!((rows[0].status, keys(&rows[0]).contains(&"lime_alone")), (Status::WithAssumption, true));
    assert!(rows[0].answer.as_ref().unwrap().lime.is_some());
}

#[test]
fn a_wide_export_is_known_by_a_name_and_a_measurement() {
    let many: String = (0..5000).map(|k| format!(",extra {k} column")).collect();
    let rows = read(&format!("{}{many}\nA,2026-10-12,6,5.7,61\n", HEADING.trim()), plain()).0;
    assert_eq!(rows.len(), 1);
    assert!(rows[0].input.is_some());
}

/// The only letter of a file, in one line.
fn letter(text: &str, options: BatchOptions) -> (String, Vec<String>) {
    let (_, csv) = read(text, BatchOptions { letters: true, ..options });
    let letters = csv.batch().letters();
    assert_eq!(letters.len(), 1);
    let words = letters[0].1.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    (words, csv.batch().log().into_iter().map(|e| e.words).collect())
}

#[test]
fn a_letter_keeps_the_form_that_the_lab_wrote() {
    let text = "Sample,Depth (in),pH,P2O5 lb/acre,K ppm\nA,8,5.7,206,95\n";
    let (words, _) = letter(text, plain());
    // 206 / 2.2914 lb of P, and 2 lb/acre for 1 ppm in 6 2/3 in are 2.4 in 8 in: 37.5 ppm of P
    assert!(words.contains("ppm of the element") && words.contains("P 206 lb/acre P2O5 37.5 Mehlich-3"), "{words}");
    let (rows, _) = read(text, plain());
    assert_eq!(field(&rows[0], "p_reported"), Field::Text("206 lb/acre P2O5".into()));
}

#[test]
fn letter_and_log_say_who_chose_a_table_and_a_policy() {
    let text = "Sample,Date,Depth (in),pH,P,K\nA,2026-10-12,6,5.7,<2,95\n";
    let (words, log) = letter(text, plain());
    assert!(
        !words.contains("caller") && words.contains("policy for values below detection: half the limit, unless another is named"),
        "{words}"
    );
    let taken = "Nobody named rutgers-levels@";
    assert!(words.contains(taken) && log.iter().any(|w| w.starts_with(taken)), "{words} {log:?}");
    let (words, log) = letter(text, BatchOptions { soil_tables: vec!["rutgers-levels".into()], ..plain() });
    assert!(!words.contains(taken) && !log.iter().any(|w| w.starts_with(taken)), "{words} {log:?}");
}

#[test]
fn a_letter_lists_checks_and_names_samples_by_the_lab_s_number() {
    let text = "Lab No,Depth (in),pH,P,K,Remark\n26-1,6,5.7,45,95,\n26-2,6,5.8,40,90,\nQC-1,6,7.0,50,100,\n26-9,6,7.0,50,100,check\n";
    let (words, _) = letter(text, plain());
    for needed in [
        "lab number 26-1",
        "lab number 26-2",
        "Line 4 (lab number QC-1): This row is no sample: check.",
        "Line 5 (lab number 26-9): This row",
    ] {
        assert!(words.contains(needed), "{needed}: {words}");
    }
    let (rows, _) = read(text, plain());
    assert!(!keys(&rows[1]).contains(&"name_twice"), "{:?}", keys(&rows[1]));
}

#[test]
fn a_letter_prints_the_numbers_of_a_sample_that_cannot_be_used() {
    let (words, _) = letter("Sample,Date,Depth (in),pH,P,K\nA,2020-10-12,6,5.7,45,95\n", plain());
    assert!(words.contains("Not usable: The sample is 6.5 years old.") && words.contains("P 45 ppm 45.0 Mehlich-3 no class"), "{words}");
}
