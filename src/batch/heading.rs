//! What a column's heading means: the words of the trade for samples, growers, methods, units and nutrients.

use super::ShareAs;
use crate::fertility::{BufferMethod, Extractant, Form, Nutrient, PhMethod, TestUnit, named_form};
use std::fmt;

/// What a column holds, as far as its heading says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Column {
    Sample,
    Block,
    Grower,
    Client,
    Lab,
    LabNumber,
    Remark,
    Sampled {
        day_first: Option<bool>,
    },
    Fertilized {
        day_first: Option<bool>,
    },
    Depth {
        unit: Option<&'static str>,
    },
    Cores,
    /// The extractant of one nutrient, or of all.
    Method(Option<Nutrient>),
    Unit(Option<Nutrient>),
    Form(Option<Nutrient>),
    Ph(Option<PhMethod>),
    PhMethod,
    Buffer {
        method: Option<BufferMethod>,
        index: Option<bool>,
    },
    BufferMethod,
    Acidity,
    Aluminum,
    Cec,
    OrganicMatter(Option<ShareAs>),
    Texture,
    Nutrient {
        nutrient: Nutrient,
        form: Option<Form>,
        unit: Option<TestUnit>,
        extractant: Option<Extractant>,
    },
    ScoopDensity,
    BulkDensity,
    Species,
    Age,
    SaleYear,
    Height {
        unit: Option<&'static str>,
    },
    TreesPerArea {
        unit: &'static str,
    },
    Trees,
    Spacing {
        unit: Option<&'static str>,
    },
    Area {
        unit: Option<&'static str>,
    },
    /// Understood, and of no use here: classes and advice of the lab, saturations, dates of receipt.
    Skip,
}

/// Headings that say all by themselves.
const NAMES: &[(Column, &[&str])] = &[
    (Column::Sample, &["sample", "sample id", "sample name", "sample no", "sample number", "id", "sampleid"]),
    (Column::Block, &["field", "field id", "field name", "block", "block id", "plot", "location", "site"]),
    (Column::Grower, &["grower", "grower name", "client", "client name", "customer", "name", "farm", "farm name", "owner"]),
    (Column::Client, &["client id", "client no", "client number", "account", "account no", "customer id", "customer number"]),
    (Column::Lab, &["lab", "laboratory", "lab name"]),
    (Column::LabNumber, &["lab no", "lab number", "lab id", "labno", "report no", "report number", "accession"]),
    (Column::Remark, &["type", "sample type", "remark", "remarks", "comment", "comments", "note", "notes", "qc", "flag"]),
    (Column::Sampled { day_first: None }, &["date"]),
    (Column::Fertilized { day_first: None }, &["fertilized", "date fertilized", "last fertilized", "last limed", "limed"]),
    (Column::Depth { unit: None }, &["depth", "sample depth", "sampling depth", "soil depth"]),
    (Column::Cores, &["cores", "number of cores", "no of cores", "subsamples"]),
    (Column::Method(None), &["method", "extractant", "extraction", "test method", "soil test method"]),
    (Column::Unit(None), &["unit", "units", "nutrient unit", "nutrient units"]),
    (Column::Form(None), &["form"]),
    (Column::PhMethod, &["ph method"]),
    (Column::BufferMethod, &["buffer", "buffer method", "lime buffer", "buffer type"]),
    (Column::Acidity, &["acidity", "exchangeable acidity", "exch acidity", "h", "exchangeable h"]),
    (Column::Aluminum, &["exchangeable aluminum", "exch al", "exchangeable al"]),
    (Column::Cec, &["cec", "ecec", "cation exchange capacity"]),
    (Column::OrganicMatter(None), &["organic matter", "om", "o m", "org matter", "loi"]),
    (Column::Texture, &["texture", "soil texture", "textural class", "texture class"]),
    (Column::ScoopDensity, &["scoop density", "weight volume", "w v", "weight per volume"]),
    (Column::BulkDensity, &["bulk density", "bd"]),
    (Column::Species, &["species", "tree species", "crop", "tree"]),
    (Column::Age, &["age", "tree age", "age years", "age yr", "years since planting", "stand age"]),
    (Column::SaleYear, &["sale year", "for sale", "to be sold"]),
    (Column::Height { unit: None }, &["height", "tree height"]),
    (Column::TreesPerArea { unit: "acre" }, &["trees/acre", "trees/ac", "trees per acre", "trees acre", "trees ac"]),
    (Column::TreesPerArea { unit: "ha" }, &["trees/ha", "trees per ha", "trees per hectare", "trees ha"]),
    (Column::Trees, &["trees", "tree count", "number of trees", "no of trees"]),
    (Column::Spacing { unit: None }, &["spacing", "tree spacing"]),
    (Column::Area { unit: Some("acre") }, &["acres", "acreage", "area ac", "area acre", "area acres", "field acres"]),
    (Column::Area { unit: Some("ha") }, &["hectares", "area ha", "ha"]),
    (Column::Area { unit: None }, &["area", "field size", "size"]),
];

/// Words that make a column the lab's own verdict, or something that no method here uses.
const NOT_USED: &[&str] = &[
    "sat",
    "saturation",
    "rating",
    "level",
    "class",
    "interpretation",
    "rec",
    "recommendation",
    "recommended",
    "need",
    "nitrate",
    "no3",
    "nh4",
    "humic",
    "salts",
    "ec",
    "received",
    "reported",
    "printed",
    "ratio",
    "skip",
    "page",
    "county",
    "zip",
    "address",
    "phone",
    "email",
    "invoice",
    "fee",
];

const LENGTHS: &[(&str, &str)] =
    &[("in", "in"), ("inch", "in"), ("inches", "in"), ("cm", "cm"), ("mm", "mm"), ("ft", "ft"), ("feet", "ft"), ("m", "m")];
const AREAS: &[(&str, &str)] = &[("acre", "acre"), ("acres", "acre"), ("ac", "acre"), ("ha", "ha"), ("hectare", "ha")];

/// The meaning of a heading, or `None`.
pub(super) fn heading(text: &str) -> Option<Column> {
    let mut words = words(text);
    if words.is_empty() {
        return None;
    }
    if let Some(column) = named(&words.join(" ")) {
        return Some(column);
    }
    let has = |words: &[String], any: &[&str]| words.iter().any(|w| any.contains(&w.as_str()));
    if let Some(column) = buffer(&words) {
        return Some(column);
    }
    if let Some(column) = ph(&words) {
        return Some(column);
    }
    if has(&words, NOT_USED) || (has(&words, &["index", "base"]) && !has(&words, &["lime"])) {
        return Some(Column::Skip);
    }
    let order = date_order(&mut words);
    if let Some(column) = named(&words.join(" ")) {
        match column {
            Column::Sampled { .. } => return Some(Column::Sampled { day_first: order }),
            Column::Fertilized { .. } => return Some(Column::Fertilized { day_first: order }),
            _ => {}
        }
    }
    if sampled(&words) {
        return Some(Column::Sampled { day_first: order });
    }
    if let Some(column) = measured(&words) {
        return Some(column);
    }
    // the method or unit of one nutrient: "P method", "K units"
    if let [what, role] = words.as_slice() {
        let nutrient = named_form(what).ok().map(|(n, _)| n);
        match (nutrient, named(role)) {
            (Some(n), Some(Column::Method(None))) => return Some(Column::Method(Some(n))),
            (Some(n), Some(Column::Unit(None))) => return Some(Column::Unit(Some(n))),
            (Some(n), Some(Column::Form(None))) => return Some(Column::Form(Some(n))),
            _ => {}
        }
    }
    nutrient(words)
}

fn named(phrase: &str) -> Option<Column> {
    NAMES.iter().find(|(_, names)| names.contains(&phrase)).map(|(column, _)| *column)
}

/// Lower-case words without the marks that set them apart.
fn words(text: &str) -> Vec<String> {
    let mut plain = String::new();
    for c in super::cell::clean(text).chars() {
        match c {
            '%' => plain.push_str(" % "),
            '#' => plain.push_str(" no "),
            '_' | '.' | ':' | ';' | '(' | ')' | '[' | ']' | ',' | '=' | '-' | '"' | '\n' | '\r' => plain.push(' '),
            c => plain.extend(c.to_lowercase()),
        }
    }
    plain.split_whitespace().map(String::from).collect()
}

fn buffer(words: &[String]) -> Option<Column> {
    let phrase = words.join(" ");
    let index = ["lime index", "lime test index", "lti", "buffer index"].iter().any(|p| phrase.contains(p));
    let buffer = index || words.iter().any(|w| matches!(w.as_str(), "buffer" | "bph" | "buf" | "bufferph" | "phb" | "buffered"));
    if !buffer || words.iter().any(|w| w == "rec") {
        return None;
    }
    let method = windows(words).find_map(|(_, _, w)| w.parse::<BufferMethod>().ok());
    Some(Column::Buffer { method, index: index.then_some(true) })
}

fn ph(words: &[String]) -> Option<Column> {
    let first = words.iter().any(|w| matches!(w.as_str(), "ph" | "wph" | "phw" | "phs"));
    let others =
        ["soil", "water", "h2o", "1:1", "in", "cacl2", "salt", "0", "01", "m", "calcium", "chloride", "ph", "wph", "phw", "phs", "1", "2"];
    if !first || !words.iter().all(|w| others.contains(&w.as_str())) {
        return None;
    }
    let any = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    let method = if any(&["water", "h2o", "wph", "phw"]) {
        Some(PhMethod::Water)
    } else if any(&["cacl2", "salt", "phs", "chloride"]) {
        Some(PhMethod::CalciumChloride)
    } else {
        None
    };
    Some(Column::Ph(method))
}

/// The day on which a sample was taken: "Date sampled", "Sampled on", "Collection date".
fn sampled(words: &[String]) -> bool {
    let done = |w: &str| matches!(w, "sampled" | "collected" | "taken" | "pulled" | "drawn");
    let what = |w: &str| matches!(w, "sample" | "samples" | "sampling" | "collection");
    let day = |w: &str| matches!(w, "date" | "day");
    let any = |is: &dyn Fn(&str) -> bool| words.iter().any(|w| is(w));
    let all = words.iter().all(|w| done(w) || what(w) || day(w) || matches!(w.as_str(), "on" | "of" | "the" | "soil" | "when" | "was"));
    all && (any(&done) || (any(&what) && any(&day)))
}

/// Takes `D/M/Y` and its like out of a heading: does the day come first?
fn date_order(words: &mut Vec<String>) -> Option<bool> {
    let at = words.iter().position(|w| w.contains('/') && w.bytes().all(|b| matches!(b, b'd' | b'm' | b'y' | b'/')))?;
    let order = words.remove(at);
    match order.bytes().next() {
        Some(b'd') => Some(true),
        Some(b'm') => Some(false),
        _ => None,
    }
}

/// A length, an area or organic matter with its unit.
fn measured(words: &[String]) -> Option<Column> {
    let (last, rest) = words.split_last()?;
    let unit = |list: &[(&str, &'static str)]| list.iter().find(|(w, _)| w == last).map(|(_, unit)| *unit);
    let at_first = words.first().is_some_and(|w| w == "%");
    let phrase = if at_first { words.get(1..).unwrap_or_default().join(" ") } else { rest.join(" ") };
    match named(&phrase)? {
        Column::Depth { .. } => unit(LENGTHS).map(|u| Column::Depth { unit: Some(u) }),
        Column::Height { .. } => unit(LENGTHS).map(|u| Column::Height { unit: Some(u) }),
        Column::Spacing { .. } => unit(LENGTHS).map(|u| Column::Spacing { unit: Some(u) }),
        Column::Area { .. } => unit(AREAS).map(|u| Column::Area { unit: Some(u) }),
        Column::OrganicMatter(_) if at_first || matches!(last.as_str(), "%" | "pct" | "percent") => {
            Some(Column::OrganicMatter(Some(ShareAs::Percent)))
        }
        Column::OrganicMatter(_) if last == "fraction" => Some(Column::OrganicMatter(Some(ShareAs::Fraction))),
        Column::Age if matches!(last.as_str(), "yr" | "years") => Some(Column::Age),
        column @ (Column::Cec | Column::Acidity | Column::Aluminum) if last.starts_with("meq") || last.starts_with("cmol") => Some(column),
        column @ (Column::BulkDensity | Column::ScoopDensity) if last.starts_with("g/c") => Some(column),
        _ => None,
    }
}

/// Runs of one to three words, the longest first: where each begins, how long it is, joined.
fn windows(words: &[String]) -> impl Iterator<Item = (usize, usize, String)> + '_ {
    (1..=3).rev().flat_map(move |n| words.windows(n).enumerate().map(move |(at, w)| (at, n, w.join(" "))))
}

/// A nutrient with whatever the heading says of its form, unit and extractant.
fn nutrient(mut words: Vec<String>) -> Option<Column> {
    words.retain(|w| {
        !matches!(w.as_str(), "extractable" | "available" | "avail" | "soil" | "test" | "value" | "result" | "as" | "in" | "by")
    });
    let unit = take(&mut words, unit);
    let extractant = take(&mut words, |w| w.parse::<Extractant>().ok());
    let form = take(&mut words, |w| w.parse::<Form>().ok());
    // "Bray P1" and "Olsen P" name their nutrient in the extractant
    if words.is_empty() {
        return matches!(extractant?, Extractant::BrayP1 | Extractant::BrayP2 | Extractant::Olsen).then_some(Column::Nutrient {
            nutrient: Nutrient::P,
            form,
            unit,
            extractant,
        });
    }
    let found: Vec<(Nutrient, Option<Form>)> = words.iter().filter_map(|w| named_form(w).ok()).collect();
    // two names of one nutrient ("phosphorus P") say no less than one
    let (nutrient, named) = *found.first()?;
    let same = found.len() == words.len() && found.iter().all(|(n, _)| *n == nutrient);
    let named = found.iter().find_map(|(_, f)| *f).or(named);
    same.then_some(Column::Nutrient { nutrient, form: form.or(named), unit, extractant })
}

fn unit(text: &str) -> Option<TestUnit> {
    let joined = text.replace(" per ", "/");
    joined.parse().or_else(|_| joined.replace(' ', "/").parse()).ok().or(match text {
        "meq" | "meq 100g" | "meq 100 g" => Some(TestUnit::Meq),
        "lbs a" | "lb a" => Some(TestUnit::LbAcre),
        "pct" => Some(TestUnit::Percent),
        _ => None,
    })
}

/// The first run of words that `read` understands, taken out.
fn take<T>(words: &mut Vec<String>, read: impl Fn(&str) -> Option<T>) -> Option<T> {
    let (at, n, value) = windows(words).find_map(|(at, n, text)| Some((at, n, read(&text)?)))?;
    words.drain(at..at + n);
    Some(value)
}

/// Does a cell say only a unit, method or form, as the second of two heading rows does?
pub(super) fn is_unit_word(text: &str) -> bool {
    let words = words(text);
    let joined = words.join(" ");
    unit(&joined).is_some()
        || joined.parse::<Extractant>().is_ok()
        || joined.parse::<BufferMethod>().is_ok()
        || joined.parse::<PhMethod>().is_ok()
        || joined.parse::<Form>().is_ok()
        || LENGTHS.iter().chain(AREAS).any(|(w, _)| *w == joined)
        || (joined.contains('/') && joined.bytes().all(|b| matches!(b, b'd' | b'm' | b'y' | b'/')))
        || matches!(joined.as_str(), "yr" | "years" | "1:1" | "fraction")
        || matches!(nutrient(words), Some(Column::Nutrient { unit: Some(_), .. } | Column::Nutrient { extractant: Some(_), .. }))
}

impl fmt::Display for Column {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let or = |x: Option<&'static str>| x.map_or(String::new(), |x| format!(", {x}"));
        let of = |n: &Option<Nutrient>| n.map_or(String::new(), |n| format!(" of {n}"));
        match self {
            Column::Sample => f.write_str("sample"),
            Column::Block => f.write_str("block"),
            Column::Grower => f.write_str("grower"),
            Column::Client => f.write_str("number of the client"),
            Column::Lab => f.write_str("lab"),
            Column::LabNumber => f.write_str("number of the lab"),
            Column::Remark => f.write_str("remark"),
            Column::Sampled { day_first } | Column::Fertilized { day_first } => {
                let what = if matches!(self, Column::Sampled { .. }) { "day of sampling" } else { "day of fertilizing" };
                let order = day_first.map(|d| if d { ", day first" } else { ", month first" });
                write!(f, "{what}{}", order.unwrap_or_default())
            }
            Column::Depth { unit } => write!(f, "depth{}", or(*unit)),
            Column::Cores => f.write_str("cores"),
            Column::Method(n) => write!(f, "extractant{}", of(n)),
            Column::Unit(n) => write!(f, "unit{}", of(n)),
            Column::Form(n) => write!(f, "form{}", of(n)),
            Column::Ph(method) => write!(f, "pH{}", or(method.map(PhMethod::name))),
            Column::PhMethod => f.write_str("method of the pH"),
            Column::Buffer { method, index } => {
                let what = if *index == Some(true) { "lime index" } else { "buffer pH" };
                write!(f, "{what}{}", or(method.map(BufferMethod::name)))
            }
            Column::BufferMethod => f.write_str("lime buffer"),
            Column::Acidity => f.write_str("exchangeable acidity, meq/100 g"),
            Column::Aluminum => f.write_str("exchangeable aluminum, meq/100 g"),
            Column::Cec => f.write_str("cation exchange capacity, meq/100 g"),
            Column::OrganicMatter(share) => write!(f, "organic matter{}", or(share.map(ShareAs::name))),
            Column::Texture => f.write_str("texture"),
            Column::Nutrient { nutrient, form, unit, extractant } => {
                let (form, unit) = (or(form.map(Form::name)), or(unit.map(TestUnit::name)));
                write!(f, "{nutrient}{form}{unit}{}", or(extractant.map(Extractant::name)))
            }
            Column::ScoopDensity => f.write_str("weight of scooped soil, g/cm3"),
            Column::BulkDensity => f.write_str("bulk density, g/cm3"),
            Column::Species => f.write_str("species"),
            Column::Age => f.write_str("seasons since planting"),
            Column::SaleYear => f.write_str("for sale this year"),
            Column::Height { unit } => write!(f, "height{}", or(*unit)),
            Column::TreesPerArea { unit } => write!(f, "trees per {unit}"),
            Column::Trees => f.write_str("number of trees"),
            Column::Spacing { unit } => write!(f, "spacing{}", or(*unit)),
            Column::Area { unit } => write!(f, "area{}", or(*unit)),
            Column::Skip => f.write_str("not used"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_of_the_trade_are_understood() {
        let nutrient = |nutrient, form, unit, extractant| Column::Nutrient { nutrient, form, unit, extractant };
        for (text, column) in [
            ("Sample ID", Column::Sample),
            ("Lab #", Column::LabNumber),
            ("LAB_NO", Column::LabNumber),
            ("Grower", Column::Grower),
            ("Date Sampled (DD/MM/YYYY)", Column::Sampled { day_first: Some(true) }),
            ("Depth (in)", Column::Depth { unit: Some("in") }),
            ("depth_cm", Column::Depth { unit: Some("cm") }),
            ("pH (1:1 water)", Column::Ph(Some(PhMethod::Water))),
            ("pH", Column::Ph(None)),
            ("pH CaCl2", Column::Ph(Some(PhMethod::CalciumChloride))),
            ("SMP buffer pH", Column::Buffer { method: Some(BufferMethod::Smp), index: None }),
            ("Buffer pH (Mehlich)", Column::Buffer { method: Some(BufferMethod::Mehlich), index: None }),
            ("Lime Index", Column::Buffer { method: None, index: Some(true) }),
            ("BpH", Column::Buffer { method: None, index: None }),
            ("P", nutrient(Nutrient::P, None, None, None)),
            ("P (ppm)", nutrient(Nutrient::P, None, Some(TestUnit::Ppm), None)),
            ("P2O5 lb/ac", nutrient(Nutrient::P, Some(Form::Oxide), Some(TestUnit::LbAcre), None)),
            ("K lbs per acre", nutrient(Nutrient::K, None, Some(TestUnit::LbAcre), None)),
            ("Mehlich-3 P (ppm, element)", nutrient(Nutrient::P, Some(Form::Element), Some(TestUnit::Ppm), Some(Extractant::Mehlich3))),
            ("Bray P1 ppm", nutrient(Nutrient::P, None, Some(TestUnit::Ppm), Some(Extractant::BrayP1))),
            ("K_M3_mg/kg", nutrient(Nutrient::K, None, Some(TestUnit::Ppm), Some(Extractant::Mehlich3))),
            ("Phosphorus (P)", nutrient(Nutrient::P, None, None, None)),
            ("Ca meq/100g", nutrient(Nutrient::Ca, None, Some(TestUnit::Meq), None)),
            ("OM %", Column::OrganicMatter(Some(ShareAs::Percent))),
            ("% OM", Column::OrganicMatter(Some(ShareAs::Percent))),
            ("Organic Matter", Column::OrganicMatter(None)),
            ("K sat %", Column::Skip),
            ("P rating", Column::Skip),
            ("P method", Column::Method(Some(Nutrient::P))),
            ("Trees/acre", Column::TreesPerArea { unit: "acre" }),
            ("Acres", Column::Area { unit: Some("acre") }),
            ("CEC (meq/100g)", Column::Cec),
        ] {
            assert_eq!(heading(text), Some(column), "{text}");
        }
        for text in ["", "Ship to", "P and K", "5.8", "Upper block"] {
            assert_eq!(heading(text), None, "{text}");
        }
    }
}
