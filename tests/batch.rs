//! Many soil tests at once: a file of three labs with every quirk lands where its truth table says.

#![allow(clippy::unwrap_used)]

use dibble::Date;
use dibble::batch::{Batch, BatchOptions, CsvRows, FIELDS, Field, RowKind, RowResult};
use dibble::control::Control;
use dibble::fertility::{Nutrient, Product, Shed, Status, Tables, recommend};
use std::collections::BTreeSet;

const FILE: &str = include_str!("cases/soil_tests_142.csv");
const TRUTH: &str = include_str!("cases/soil_tests_142_truth.csv");
const OPTIONS: &str = include_str!("cases/soil_tests_142.toml");

fn options() -> BatchOptions {
    BatchOptions::parse(OPTIONS, "soil_tests_142.toml").unwrap()
}

fn read(text: &str, options: BatchOptions) -> (Vec<RowResult>, CsvRows<&[u8]>) {
    let mut rows = CsvRows::new(text.as_bytes(), "soil_tests_142.csv", options).unwrap();
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

#[test]
fn every_row_lands_where_the_truth_table_says() {
    let (rows, _) = read(FILE, options());
    let mut truth = csv::Reader::from_reader(TRUTH.as_bytes());
    let truth: Vec<csv::StringRecord> = truth.records().map(Result::unwrap).collect();
    assert_eq!((rows.len(), truth.len()), (142, 142));
    let mut wrong = Vec::new();
    for (row, truth) in rows.iter().zip(&truth) {
        let says = |i: usize| truth.get(i).unwrap();
        let reasons: BTreeSet<&str> = row.reasons.iter().map(|r| r.key.as_str()).collect();
        let wanted: BTreeSet<&str> = says(3).split(';').filter(|k| !k.is_empty()).collect();
        let near = |name: &str, wanted: &str, tolerance: f64| match (number(row, name), wanted.parse::<f64>()) {
            (None, Err(_)) => true,
            (Some(got), Ok(wanted)) => (got - wanted).abs() <= tolerance,
            _ => false,
        };
        let sampled = match field(row, "sampled") {
            Field::Text(day) => day,
            _ => String::new(),
        };
        let right = row.line.to_string() == says(0)
            && row.kind.name() == says(1)
            && row.status.name() == says(2)
            && reasons == wanted
            && near("ph", says(4), 0.0)
            && near("p_ppm", says(5), 1e-9)
            && near("k_ppm", says(6), 1e-9)
            && near("n_g_per_tree", says(7), 0.05) // half an ounce is 14.17 g
            && sampled == says(8);
        if !right {
            let got = ["ph", "p_ppm", "k_ppm", "n_g_per_tree"].map(|n| number(row, n));
            wrong.push(format!("{truth:?}\n   got line {} {} {} {reasons:?} {got:?} {sampled}", row.line, row.kind, row.status));
        }
    }
    assert!(wrong.is_empty(), "{} rows differ:\n{}", wrong.len(), wrong.join("\n"));
}

/// The same file over and over: other growers, clients and lab numbers in each copy.
fn copies(n: usize) -> String {
    let mut lines = FILE.lines();
    let preamble: Vec<&str> = lines.by_ref().take(2).collect();
    let mut out = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    let mut rows = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(FILE.as_bytes());
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).skip(1).collect();
    for copy in 0..n {
        // the heading of the first table belongs to each copy; it is the file's own in the first
        for row in rows.iter().skip(usize::from(copy == 0)) {
            let cells = row.iter().enumerate().map(|(at, cell)| {
                let sample = ["26-", "B5", "K-"].iter().any(|b| cell.starts_with(b));
                match at {
                    3 | 4 if sample => format!("{copy}x{cell}"),
                    0 | 1 if !cell.is_empty() && cell != "Client" && cell != "Grower" && row.iter().any(|c| c.ends_with(" Lab")) => {
                        format!("{cell} {copy}")
                    }
                    _ => cell.to_string(),
                }
            });
            out.write_record(cells).unwrap();
        }
    }
    preamble.join("\n") + "\n" + &String::from_utf8(out.into_inner().unwrap()).unwrap()
}

#[test]
fn copies_of_the_file_have_so_many_times_its_statuses() {
    let (_, once) = read(FILE, options());
    let text = copies(12);
    let (rows, many) = read(&text, options());
    assert_eq!(rows.len(), 12 * 142 + 11);
    let (one, many) = (once.batch().summary(), many.batch().summary());
    for status in [Status::Ok, Status::WithAssumption] {
        assert_eq!(many.rows_of(status), 12 * one.rows_of(status), "{status}");
    }
    // the eleven headings between the copies
    assert_eq!(many.rows_of(Status::NotUsable), 12 * one.rows_of(Status::NotUsable) + 11);
    let p = |s: &dibble::batch::BatchSummary| s.by_method.iter().map(|m| (m.samples, m.min_ppm)).collect::<Vec<_>>();
    assert_eq!(p(&many), p(&one).into_iter().map(|(n, least)| (12 * n, least)).collect::<Vec<_>>());
}

#[test]
fn a_row_is_answered_as_a_single_call_answers_it_bit_for_bit() {
    let (rows, _) = read(FILE, options());
    let (tables, control) = (Tables::shipped().unwrap(), Control::new());
    let mut compared = 0;
    for row in &rows {
        if let (Some(input), Some(answer)) = (&row.input, &row.answer) {
            assert_eq!(&recommend(input, &tables, &control).unwrap(), answer, "line {}", row.line);
            compared += 1;
        }
    }
    assert!(compared > 90, "{compared}");
}

#[test]
fn chunks_and_threads_change_nothing() {
    let mut records = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(FILE.as_bytes());
    let all: Vec<Vec<String>> = records.records().map(|r| r.unwrap().iter().map(String::from).collect()).skip(1).collect();
    let (heading, rows) = all.split_first().unwrap();
    let run = |chunk: usize, n_threads: Option<usize>| {
        let mut batch = Batch::new(heading, 2, BatchOptions { n_threads, letters: true, ..options() }).unwrap();
        let answers: Vec<RowResult> = rows.chunks(chunk).flat_map(|c| batch.feed(c).unwrap()).collect();
        (answers, batch.summary(), batch.log(), batch.letters())
    };
    let alone = run(rows.len(), Some(1));
    for (chunk, threads) in [(1, Some(1)), (7, Some(3)), (64, None), (rows.len(), Some(2))] {
        assert!(run(chunk, threads) == alone, "chunk {chunk}, threads {threads:?}");
    }
}

/// Samples whose answers do not look at other rows: no copies, re-runs, names or clients that stand twice.
fn alone(row: &RowResult) -> bool {
    let with_others = ["rerun", "rerun_alone", "name_cut", "name_twice", "client_shared", "duplicate"];
    row.kind == RowKind::Sample && !row.reasons.iter().any(|r| with_others.contains(&r.key.as_str()))
}

#[test]
fn the_order_of_rows_changes_no_sample() {
    let mut records = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(FILE.as_bytes());
    let all: Vec<Vec<String>> = records.records().map(|r| r.unwrap().iter().map(String::from).collect()).collect();
    // lab A's part of the file, whose heading is in two rows
    let (heading, rows) = (&all[1..3], &all[3..61]);
    let run = |rows: &[Vec<String>]| {
        let mut batch = Batch::new(&heading[0], 2, options()).unwrap();
        batch.feed(&heading[1..]).unwrap();
        let answers = batch.feed(rows).unwrap();
        let mut told: Vec<String> = answers.iter().filter(|r| alone(r)).map(|r| format!("{:?}", &r.fields()[1..])).collect();
        told.sort();
        (told, batch.summary().by_method)
    };
    let forward: Vec<Vec<String>> =
        rows.iter().filter(|r| !r[18].contains("re-run") && r[4] != "26-0001" && r[4] != "26-0002").cloned().collect();
    let mut backward = forward.clone();
    backward.reverse();
    let (one, other) = (run(&forward), run(&backward));
    // of two names that were cut alike the first stands unmarked, so one such row differs on either side
    let differ = one.0.iter().filter(|t| !other.0.contains(t)).count();
    assert!(differ <= 2, "{differ}");
    assert_eq!(one.1, other.1, "sums do not depend on the order");
}

#[test]
fn letters_and_tables_agree_to_the_digit() {
    let (rows, csv) = read(FILE, BatchOptions { letters: true, ..options() });
    let letters = csv.batch().letters();
    let mut checked = 0;
    for row in rows.iter().filter(|r| r.answer.is_some()) {
        let name = if row.grower.is_empty() { "grower not named" } else { &row.grower };
        let (_, page) = letters.iter().find(|(n, _)| n == name).unwrap();
        let said = format!("Line {} of the file.", row.line);
        let part = page.parts.iter().find(|p| p.lines.iter().any(|l| l.text.contains(&said))).unwrap();
        let cells: Vec<&String> = part.tables.iter().flat_map(|t| &t.rows).flatten().collect();
        for (field, decimals) in [("p_ppm", 1), ("k_ppm", 1), ("n_kg_ha", 1), ("n_g_per_tree", 1), ("p2o5_kg_ha", 1), ("k2o_kg_ha", 1)] {
            if let Some(value) = number(row, field).filter(|v| *v > 0.0) {
                let shown = dibble::units::show::number(value, decimals);
                assert!(cells.iter().any(|c| **c == shown), "line {}: {field} {shown} is not in the letter: {cells:?}", row.line);
                checked += 1;
            }
        }
    }
    assert!(checked > 250, "{checked}");
}

#[test]
fn a_letter_says_what_a_grower_needs() {
    let shed = Shed::new(vec![Product { price_per_kg: Some(0.66), bag_kg: Some(22.68), ..Product::find("urea").unwrap() }]);
    let (_, csv) = read(FILE, BatchOptions { letters: true, shed: Some(shed), ..options() });
    let letters = csv.batch().letters();
    let text = letters.iter().find(|(n, _)| n == "Cedar Moraine").unwrap().1.to_string();
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for needed in [
        "Fraser fir, 3 growing seasons since planting", // trees and spacing
        "Taken on 2026-10-12, down to 6 in (15 cm), 16 cores, Lakeshore Lab 26-0021", // the sample
        "Rutgers Soil Testing Laboratory",              // source of the class
        "oz per tree",                                  // the grower's unit
        "lb/acre",
        "urea",             // product
        "do not exceed",    // lime's cap
        "before bud break", // when
        "What not to do",
        "Assumed",
        "Open",
        "Next sample",
        "The extension office, room 4.",
        "msu-fraser-fir@web page", // editions of the tables
        "not a certified nutrient management plan",
        "wells",
        "Prices",
    ] {
        assert!(words.contains(needed), "{needed}\n{text}");
    }
    assert!(text.lines().all(|l| l.chars().count() <= 100), "no line is wider than the page");
}

#[test]
fn the_summary_refuses_a_mean_over_methods() {
    let (_, csv) = read(FILE, options());
    assert_eq!(
        csv.batch().summary().mean_ppm(Nutrient::P).unwrap_err().to_string(),
        "P was extracted in 3 ways (Mehlich-1, Mehlich-3, Bray P1), and their mean means nothing. Take the mean of one method (by_method)."
    );
}

#[test]
fn bad_batches_are_refused_with_what_to_do() {
    let refuse = |text: &str, options: BatchOptions| {
        let rows = CsvRows::new(text.as_bytes(), "lab.csv", options);
        rows.and_then(|mut r| r.next().unwrap_or(Ok(Vec::new()))).unwrap_err().to_string()
    };
    let plain = || BatchOptions::new(Date::new(2027, 4, 1).unwrap());
    assert_eq!(refuse("", plain()), "lab.csv: the table is missing. The file is empty: give a heading and rows of soil tests.");
    assert_eq!(refuse("Sample,pH,P ppm\n", plain()), "lab.csv: a row under the heading is missing. Give a file with at least one sample.");
    assert_eq!(
        refuse("a,b,c\n1,2,3\n", plain()),
        "lab.csv: cannot read soil tests \"a b c\": none of the first 2 lines is a heading with a sample's name and a measurement. Declare what the columns mean (columns), or check that this is a lab's table."
    );
    let mut odd = plain();
    odd.columns.insert("Phos".into(), "phosphor by feel".into());
    assert_eq!(
        refuse("Sample,pH,Phos\nA,5,6\n", odd),
        "lab.csv, line 1: cannot read the declared meaning of column \"Phos\" \"phosphor by feel\": no such meaning is known. Write it as a heading that says nutrient, form, unit and extractant, as \"P (element) ppm Mehlich-3\", or as \"sample\", \"grower\", \"skip\"."
    );
    let odd = BatchOptions { soil_tables: vec!["rutgers".into()], ..plain() };
    assert!(refuse("Sample,pH\nA,5\n", odd).contains("\"rutgers\" is not known. Did you mean \"rutgers-levels"));
    let error = BatchOptions::parse("today = \"2027-04-01\"\nsoil_table = \"x\"\n", "map.toml").unwrap_err().to_string();
    let begins = "map.toml, line 2: cannot read this line \"soil_table = \"x\"\": unknown key \"soil_table\", expected one of \"today\", ";
    assert!(error.starts_with(begins), "{error}");
}

#[test]
fn declared_columns_win_over_guesses() {
    let mut told = BatchOptions::new(Date::new(2027, 4, 1).unwrap());
    told.columns.insert("Phos".into(), "P (element) ppm Mehlich-3".into());
    told.columns.insert("K ppm".into(), "skip".into());
    told.columns.insert("Zinc".into(), "Zn ppm Mehlich-3".into());
    let (rows, csv) = read("Sample,pH (water),Phos,K ppm\nA,5.7,31,90\n", told);
    assert_eq!((number(&rows[0], "p_ppm"), number(&rows[0], "k_ppm")), (Some(31.0), None));
    let log: Vec<String> = csv.batch().log().into_iter().map(|e| e.words).collect();
    assert!(log.iter().any(|w| w == "\"Phos\" declared as: P, element, ppm, Mehlich-3."), "{log:?}");
    assert!(log.iter().any(|w| w == "The declared column \"Zinc\" is not in this heading."), "{log:?}");
}
