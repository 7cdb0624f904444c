//! One plain letter for each grower: what was measured, what it means, what to do and when, what is not known.
//!
//! Every amount is the number of the answer's table, printed with so many decimals.

use super::{BatchOptions, RowKind, RowResult};
use crate::farm::{Line, Page, Part, Table};
use crate::fertility::{CAUTIONS, NeedBasis, NutrientNeed, PhVerdict, Rates, Reading, RecommendInput, Recommendation, Status};
use crate::units::show::{self, number};
use crate::units::{G_PER_OZ, KG_PER_LB, M2_PER_ACRE, System};
use std::collections::BTreeMap;

/// Where samples without a grower go.
const NOBODY: &str = "grower not named";

/// Parts of letters, gathered row by row.
#[derive(Debug, Default)]
pub(super) struct Letters {
    growers: BTreeMap<String, Gathered>,
    /// Checks and figures that bear no grower's name.
    of_lab: Vec<String>,
}

#[derive(Debug, Default)]
struct Gathered {
    samples: usize,
    parts: Vec<Part>,
    apart: Vec<String>,
    tables: Vec<String>,
}

impl Letters {
    /// Takes up a row; headings, notes and the lab's own checks belong to no grower.
    pub fn add(&mut self, row: &RowResult) {
        if !matches!(row.kind, RowKind::Sample | RowKind::Rerun | RowKind::Duplicate | RowKind::Check | RowKind::Average) {
            return;
        }
        let named = [&row.grower, &row.client].into_iter().find(|n| !n.is_empty());
        let apart = || format!("Line {} ({}): {}", row.line, title(row), row.reasons.first().map_or("", |r| r.words.as_str()));
        if named.is_none() && matches!(row.kind, RowKind::Check | RowKind::Average) {
            self.of_lab.push(apart());
            return;
        }
        let name = named.map_or(NOBODY, String::as_str);
        let gathered = self.growers.entry(name.into()).or_default();
        if !matches!(row.kind, RowKind::Sample | RowKind::Rerun) {
            gathered.apart.push(apart());
            return;
        }
        gathered.samples += 1;
        gathered.parts.push(part(row));
        for table in row.answer.iter().flat_map(|a| &a.tables) {
            if !gathered.tables.contains(table) {
                gathered.tables.push(table.clone());
            }
        }
    }

    /// The letters, by grower. The lab's own checks stand in the letter of a file that has one letter alone.
    pub fn pages(&self, options: &BatchOptions) -> Vec<(String, Page)> {
        let of_lab: &[String] = if self.growers.len() == 1 { &self.of_lab } else { &[] };
        self.growers.iter().map(|(name, gathered)| (name.clone(), page(name, gathered, of_lab, options))).collect()
    }
}

fn line(label: &str, text: impl Into<String>) -> Line {
    Line { label: label.into(), text: text.into() }
}

fn title(row: &RowResult) -> String {
    let names: Vec<&str> = [row.block.as_str(), row.sample.as_str()].into_iter().filter(|n| !n.is_empty()).collect();
    match (names.is_empty(), row.lab_number.is_empty()) {
        (false, _) => names.join(", "),
        (true, false) => format!("lab number {}", row.lab_number),
        (true, true) => format!("sample of line {}", row.line),
    }
}

fn page(name: &str, gathered: &Gathered, of_lab: &[String], options: &BatchOptions) -> Page {
    let n = gathered.samples;
    let about = format!("{n} soil {}, read on {}.", if n == 1 { "sample" } else { "samples" }, options.today);
    let mut parts = gathered.parts.clone();
    let lines: Vec<Line> = gathered.apart.iter().chain(of_lab).map(|words| line("", words)).collect();
    if !lines.is_empty() {
        parts.push(Part { key: "apart".into(), title: "Rows of the lab's file that were set apart".into(), lines, ..Part::default() });
    }
    let donts = [
        "Do not add up what two sources say, and do not give more than the amounts above in the hope of faster growth.",
        "Do not put fertilizer in the planting hole, on wet foliage, on frozen or soaked ground, or before heavy rain.",
        "Do not spread lime and a fertilizer with ammonium or urea in one pass.",
    ];
    let lines = donts.iter().map(|words| line("", *words)).collect();
    parts.push(Part { key: "not".into(), title: "What not to do".into(), lines, ..Part::default() });
    let mut after: Vec<Line> = CAUTIONS.iter().map(|words| line("", *words)).collect();
    after.push(line(
        "",
        "Next sample: the same blocks, the same month and depth, 15 to 20 cores each; test needles of good and of pale trees apart.",
    ));
    after.push(line(
        "",
        "Prices are not part of the lab's file: where none was given, no cost stands here. Ask for prices on the day you buy.",
    ));
    parts.push(Part { key: "cautions".into(), title: "Mind".into(), lines: after, ..Part::default() });
    let tables = if gathered.tables.is_empty() { "none could be used".into() } else { gathered.tables.join(", ") };
    let unnamed: Vec<&str> = gathered.tables.iter().map(String::as_str).filter(|t| !options.names(t)).collect();
    let unnamed = if unnamed.is_empty() { String::new() } else { format!(" Nobody named {}: no other table fits.", unnamed.join(", ")) };
    let made =
        format!("Tables: {tables}.{unnamed} Values below detection stand at: {}. dibble {}.", options.policy, env!("CARGO_PKG_VERSION"));
    let contact = options.contact.clone().unwrap_or_else(|| "Questions go to whoever sent you this letter.".into());
    let lines = vec![line("Made with", made), line("Contact", contact)];
    parts.push(Part { key: "made".into(), title: "How it was made".into(), lines, ..Part::default() });
    Page { title: format!("Soil tests: {name}"), about, parts }
}

/// One sample.
fn part(row: &RowResult) -> Part {
    let mut part = Part { key: "sample".into(), block: row.block.clone(), title: title(row), ..Part::default() };
    if let Some(input) = &row.input {
        part.lines.push(line("Trees", trees(input, row.trees)));
        part.lines.push(line("Sample", sample(row, input)));
    }
    // what is assumed and open has its own lines below
    let weak: Vec<&str> = row.reasons.iter().filter(|r| !matches!(r.key.as_str(), "assumed" | "open")).map(|r| r.words.as_str()).collect();
    part.lines.push(line(
        "Can be used",
        if row.status == Status::Ok { "As it is.".into() } else { format!("{}: {}", capital(row.status.name()), or_see(&weak)) },
    ));
    match (&row.input, &row.answer) {
        (Some(input), Some(answer)) => advice(&mut part, row, input, answer),
        (Some(input), None) => part.tables.push(measured(row, input, None)),
        _ => {}
    }
    part
}

fn or_see(weak: &[&str]) -> String {
    if weak.is_empty() { "see what was assumed below.".into() } else { weak.join(" ") }
}

fn capital(word: &str) -> String {
    let mut chars = word.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().chain(chars).collect())
}

fn trees(input: &RecommendInput, trees: Option<f64>) -> String {
    let age = match input.age_years {
        None => "before planting".into(),
        Some(0) => "planted this year".into(),
        Some(years) => format!("{years} growing seasons since planting"),
    };
    let density = input.ground.trees_per_ha();
    let acre = density * M2_PER_ACRE / 1e4;
    let count = trees.map_or(String::new(), |t| format!(", {} trees", number(t, 0)));
    let area = input.area_ha.map_or(String::new(), |ha| format!(", {}", show::area(1e4 * ha, System::Us)));
    format!(
        "{}, {age}, {} trees to the acre ({} to the hectare){area}{count}.",
        capital(&input.species),
        number(acre, 0),
        number(density, 0)
    )
}

fn sample(row: &RowResult, input: &RecommendInput) -> String {
    let sheet = input.test.input();
    let mut words = vec![sheet.sampled.map_or("day of sampling not given".into(), |d| format!("taken on {d}"))];
    words.push(sheet.depth_m.map_or("depth not given".into(), |m| format!("down to {}", show::soil_depth(m, System::Us))));
    words.push(sheet.cores.map_or("number of cores not given".into(), |n| format!("{n} cores")));
    if !row.lab.is_empty() || !row.lab_number.is_empty() {
        words.push(format!("{} {}", row.lab, row.lab_number).trim().to_string());
    }
    format!("{}. Line {} of the file.", capital(&words.join(", ")), row.line)
}

fn advice(part: &mut Part, row: &RowResult, input: &RecommendInput, answer: &Recommendation) {
    part.tables.push(measured(row, input, Some(answer)));
    let lime = answer.lime.as_ref();
    part.lines.push(line("pH and lime", lime.map_or("No answer: see what is open.".into(), |l| l.why.clone())));
    if let Some(lime) = lime.filter(|l| l.verdict == PhVerdict::Lime) {
        for step in &lime.applications {
            part.lines.push(line("", format!("{}: {}.", step.when, show::mass_per_area(step.rate_kg_ha, System::Us))));
        }
        let cap = show::mass_per_area(input.lime_cap_kg_ha, System::Us);
        part.lines.push(line("", format!("Over living roots do not exceed {cap} in one spreading.")));
        if let Some(cost) = lime.cost_per_ha {
            part.lines.push(line("Lime cost", format!("{} a hectare at the price given.", number(cost, 2))));
        }
    }
    let amounts = amounts(row, answer);
    if !amounts.rows.is_empty() {
        part.tables.push(amounts);
    }
    if let Some(n) = &answer.nitrogen {
        part.lines.push(line("Nitrogen", format!("{} ({}).", capital(&n.row), n.source)));
    }
    for feeding in &answer.feedings {
        part.lines.push(line("", format!("{}: {} of the year's nitrogen.", feeding.when, show::number(100.0 * feeding.share, 0) + " %")));
    }
    for need in answer.needs.iter().filter(|n| n.basis != NeedBasis::Nothing) {
        part.lines.push(line(need.weight_of.name(), format!("{} ({})", need.why, need.source)));
    }
    if !answer.placement.is_empty() {
        part.lines.push(line("How", answer.placement.clone()));
    }
    let products = answer.mix.iter().flat_map(|m| m.sentences(System::Us)).collect();
    labeled(part, "Products", products);
    labeled(part, "Careful", answer.warnings.clone());
    let assumed = answer.assumptions.iter().map(|assumed| {
        let value = [assumed.value.as_str(), assumed.unit.as_str()].join(" ");
        let value = if value.trim().is_empty() { String::new() } else { format!(": {}", value.trim()) };
        format!("{}{value} ({}).", capital(&assumed.what), assumed.source)
    });
    labeled(part, "Assumed", assumed.collect());
    labeled(part, "Open", answer.ask.iter().map(|ask| format!("{ask} The answer changes with it.")).collect());
}

/// Lines under one label.
fn labeled(part: &mut Part, label: &str, words: Vec<String>) {
    part.lines.extend(words.into_iter().enumerate().map(|(at, text)| line(if at == 0 { label } else { "" }, text)));
}

/// What the lab found and what it means.
fn measured(row: &RowResult, input: &RecommendInput, answer: Option<&Recommendation>) -> Table {
    let mut rows = Vec::new();
    if let Some(ph) = input.test.input().ph {
        rows.push(vec!["pH".into(), ph.to_string(), String::new(), String::new(), String::new(), String::new()]);
    }
    if let Some(ph) = input.test.buffer_ph() {
        rows.push(vec!["buffer pH".into(), ph.to_string(), String::new(), String::new(), String::new(), String::new()]);
    }
    let interpretation = answer.and_then(|a| a.interpretation.as_ref());
    for value in input.test.values() {
        let read: Option<&Reading> =
            interpretation.and_then(|i| i.readings.iter().find(|r| r.nutrient == value.nutrient && r.extractant == Some(value.extractant)));
        rows.push(vec![
            value.nutrient.name().into(),
            value.given.as_written(),
            row.ppm_by(value).map_or(String::new(), |v| number(v, 1)),
            value.extractant.name().into(),
            read.and_then(|r| r.class.clone()).unwrap_or_else(|| "no class".into()),
            read.and_then(|r| r.meaning).map_or(String::new(), |m| m.name().into()),
        ]);
    }
    let source = interpretation.map_or("no table".into(), |i| i.source.clone());
    let head = ["what", "lab's number", "ppm of the element", "by", "class", "means"].map(String::from).to_vec();
    Table { caption: format!("What the lab found; classes by {source}"), head, rows }
}

/// Amounts for the year, with the digits of the answer's table.
fn amounts(row: &RowResult, answer: &Recommendation) -> Table {
    let mut rows = Vec::new();
    let mut add = |what: &str, r: Rates| {
        let lb = |kg: f64| number(kg * M2_PER_ACRE / (1e4 * KG_PER_LB), 1);
        rows.push(vec![
            what.into(),
            lb(r.field_kg_ha),
            number(r.field_kg_ha, 1),
            lb(r.treated_kg_ha),
            number(r.g_per_tree / G_PER_OZ, 2),
            number(r.g_per_tree, 1),
            row.input
                .as_ref()
                .and_then(|i| i.area_ha)
                .map_or("area not given".into(), |ha| format!("{} lb", number(r.field_kg_ha * ha / KG_PER_LB, 0))),
        ]);
    };
    if let Some(n) = &answer.nitrogen {
        add("N", n.low);
        if let Some(high) = n.high.filter(|h| *h != n.low) {
            add("N at most", high);
        }
    }
    let given = |n: &&NutrientNeed| n.low.field_kg_ha > 0.0;
    answer.needs.iter().filter(given).for_each(|n| add(n.weight_of.name(), n.low));
    let head = ["what", "lb/acre", "kg/ha", "lb per treated acre", "oz per tree", "g per tree", "for the block"].map(String::from).to_vec();
    Table { caption: "Amounts for the year".into(), head, rows }
}
