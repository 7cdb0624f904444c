//! Many soil tests at once: a file of three labs with every quirk lands where its truth table says.

use dibble::Date;
use dibble::batch::{Batch, BatchOptions, CsvRows, FIELDS, Field, RowKind, RowResult};
use dibble::fertility::{Nutrient, RecommendInput, Status, Tables, recommend};
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
