//! What each number of a soil test means by a named table, or by all that fit it, side by side.

use super::soil_table::{Class, Meaning, NutrientClasses, Rate, SoilTable};
use super::{DetectionPolicy, Extractant, Library, Nutrient, Provenance, Rating, Reported, SoilTest, Value};
use crate::assumption::{Assumed, Assumption};
use crate::bounds;
use crate::error::{Error, Result};
use crate::words::same;
use serde::{Deserialize, Serialize};

/// The class of one value by one table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Reading {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// What the lab extracted with; `None` where the test has no such nutrient.
    pub extractant: Option<Extractant>,
    /// The value as the sheet has it.
    pub given: String,
    /// ppm of the element that the class was read at.
    pub ppm: Option<f64>,
    /// The same in the table's unit and form.
    pub in_table_unit: Option<f64>,
    /// The service's word for it.
    pub class: Option<String>,
    /// What it means.
    pub meaning: Option<Meaning>,
    /// Lower edge of the class, in the table's unit.
    pub from: Option<f64>,
    /// Upper edge of the class.
    pub to: Option<f64>,
    /// Every class the true value can lie in, where it is known only within limits.
    pub possible: Vec<String>,
    /// For a value below detection or above range: the class under each policy.
    pub by_policy: Vec<(DetectionPolicy, Option<String>)>,
    /// The rate that the table prints for the class.
    pub rate: Option<Rate>,
    /// Why there is no class, or what to know about it.
    pub note: Option<String>,
}

/// A soil test read by one table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Interpretation {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// Key of the table.
    pub table: String,
    /// Its title and region.
    pub title: String,
    /// Where it comes from.
    pub source: String,
    /// The nutrients of the table, in its order.
    pub readings: Vec<Reading>,
    /// The nutrient that is shortest, where one is short.
    pub limiting: Option<Nutrient>,
    /// What to know about the table.
    pub notes: Vec<String>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

impl Interpretation {
    /// The reading of a nutrient.
    pub fn reading(&self, nutrient: Nutrient) -> Option<&Reading> {
        self.readings.iter().find(|r| r.nutrient == nutrient)
    }
}

/// Reads a soil test by one table. Values by another extractant get no class and a note that says why.
///
/// A class that the lab reports in place of a number is read by the table's own word, so the table has to be the
/// lab's; or by the meaning that the user gives it.
///
/// `policy` is the number that stands for a value below detection; its effect on the class is shown.
///
/// # Errors
/// No value of the test can be read by this table: the note of each nutrient says why.
///
/// ```
/// use dibble::fertility::{
///     DetectionPolicy, Extractant, Form, Library, Meaning, Measurement, Nutrient, Reported, SoilTable, SoilTest, SoilTestInput, TestUnit,
///     interpret,
/// };
/// let p = Measurement {
///     nutrient: Nutrient::P,
///     form: Some(Form::Element),
///     value: Reported::Measured(71.0),
///     unit: TestUnit::LbAcre,
///     extractant: Some(Extractant::Mehlich3),
///     converted: None,
/// };
/// let test = SoilTest::new(SoilTestInput { measured: vec![p], ..SoilTestInput::default() })?;
/// let read = interpret(&test, Library::<SoilTable>::shipped()?.get("rutgers-levels")?, DetectionPolicy::Half)?;
/// // 71 lb/acre is the upper edge of "medium"
/// assert_eq!(read.reading(Nutrient::P).and_then(|r| r.meaning), Some(Meaning::Marginal));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn interpret(test: &SoilTest, table: &SoilTable, policy: DetectionPolicy) -> Result<Interpretation> {
    let read = interpretation(test, table, policy, true)?;
    if read.readings.iter().any(|r| r.class.is_some() || !r.by_policy.is_empty()) {
        return Ok(read);
    }
    let why: Vec<String> = read.readings.iter().filter_map(|r| Some(format!("{}: {}", r.nutrient, r.note.as_deref()?))).collect();
    Err(Error::inconsistent(
        format!("table \"{}\" reads nothing of this test ({})", read.table, why.join("; ")),
        "Name a table of the lab's extractant.",
    ))
}

/// `named`: the user chose this table, so that the lab's words may be taken for its own.
fn interpretation(test: &SoilTest, table: &SoilTable, policy: DetectionPolicy, named: bool) -> Result<Interpretation> {
    let mut readings: Vec<Reading> = table.nutrient.iter().map(|n| reading(test, table, n, policy)).collect::<Result<_>>()?;
    let mut assumptions = test.assumed().to_vec();
    for rated in test.input().rated.iter().filter(|_| named) {
        let classes = table.classes(rated.nutrient);
        if let Some((classes, out)) = classes.zip(readings.iter_mut().find(|r| r.nutrient == rated.nutrient)) {
            as_the_lab_says(rated, classes, out);
            assumptions.extend(out.class.as_ref().map(|class| Assumption::LabClass.with(format!("{} {class}", rated.nutrient))));
        }
    }
    let shortest = readings.iter().filter(|r| r.meaning.is_some_and(Meaning::is_short)).min_by_key(|r| r.meaning);
    let mut notes = table.notes.clone();
    if table.cite.provenance == Provenance::Memory {
        notes.insert(0, "This table is written down from memory: nobody has checked it against its source.".into());
    }
    for value in test.values().iter().filter(|v| table.classes(v.nutrient).is_some()) {
        match value.ppm {
            Reported::Measured(_) => {}
            Reported::Above(_) => assumptions.push(Assumption::AboveRange.with(value.given.value)),
            Reported::Below(_) | Reported::NotDetected => {
                assumptions.push(Assumption::BelowDetection.with(format!("{policy} for {}", value.given.value)))
            }
        }
    }
    Ok(Interpretation {
        schema: super::SCHEMA,
        table: super::library::key(table),
        title: format!("{} ({})", table.title, table.region),
        source: table.cite.to_string(),
        limiting: shortest.map(|r| r.nutrient),
        readings,
        notes,
        assumptions,
    })
}

fn reading(test: &SoilTest, table: &SoilTable, classes: &NutrientClasses, policy: DetectionPolicy) -> Result<Reading> {
    let nutrient = classes.nutrient;
    let mut out = Reading {
        nutrient,
        extractant: None,
        given: String::new(),
        ppm: None,
        in_table_unit: None,
        class: None,
        meaning: None,
        from: None,
        to: None,
        possible: Vec::new(),
        by_policy: Vec::new(),
        rate: None,
        note: None,
    };
    let wanted = table.extractant_of(classes);
    let found = match wanted {
        Some(extractant) => test.value(nutrient, extractant),
        None => single(test, nutrient),
    };
    let Some(value) = found else {
        out.note = Some(why_not(test, nutrient, wanted));
        return Ok(out);
    };
    out.extractant = Some(value.extractant);
    out.given = format!("{} {} {}", value.given.value, value.given.unit, value.given.form.unwrap_or(super::Form::Element));
    let class_at = |ppm: f64| -> Result<Option<&Class>> { Ok(table.class_of(classes, table.in_table_unit(classes, ppm)?)) };
    let (low, high) = span(value);
    let name = |class: Option<&Class>| class.map(|c| c.name.clone());
    let (first, last) = (name(class_at(low)?), high.map(&class_at).transpose()?.flatten().map(|c| c.name.clone()));
    let names = classes.classes.iter().map(|c| c.name.clone());
    let from_first = names.skip_while(|n| Some(n) != first.as_ref());
    for n in from_first {
        let end = Some(&n) == last.as_ref();
        out.possible.push(n);
        if end {
            break;
        }
    }
    if !value.ppm.is_measured() {
        for &policy in DetectionPolicy::ALL {
            let class = value.ppm.number(policy).map(&class_at).transpose()?.flatten();
            out.by_policy.push((policy, name(class)));
        }
    }
    match value.ppm.number(policy) {
        Some(ppm) => {
            out.ppm = Some(ppm);
            out.in_table_unit = Some(table.in_table_unit(classes, ppm)?);
            if let Some(class) = class_at(ppm)? {
                out.class = Some(class.name.clone());
                out.meaning = Some(class.meaning);
                (out.from, out.to) = (class.from, class.to);
                out.rate.clone_from(&class.rate);
            }
        }
        None => out.note = Some(format!("reported as {}; the policy \"{policy}\" gives it no number", value.given.value)),
    }
    if let Some(converted) = &value.given.converted {
        out.note = Some(format!(
            "not measured by {}: converted by \"{}\", {:.0} to {:.0} ppm by the published conversions",
            value.extractant, converted.by, converted.low_ppm, converted.high_ppm
        ));
    } else if wanted.is_none() && out.note.is_none() {
        out.note = Some("the source names no extractant, so the class is a guess unless you know that the lab's is the one meant".into());
    }
    Ok(out)
}

/// A class without a number: by the table's word, else by the user's meaning.
fn as_the_lab_says(rated: &Rating, classes: &NutrientClasses, out: &mut Reading) {
    out.given.clone_from(&rated.class);
    match (classes.classes.iter().find(|c| same(&c.name, &rated.class)), rated.meaning) {
        (found, Some(meaning)) => {
            out.class = Some(rated.class.clone());
            out.meaning = Some(meaning);
            out.rate = found.filter(|c| c.meaning == meaning).and_then(|c| c.rate.clone());
        }
        (Some(class), None) => {
            out.class = Some(class.name.clone());
            out.meaning = Some(class.meaning);
            (out.from, out.to) = (class.from, class.to);
            out.rate.clone_from(&class.rate);
        }
        (None, None) => {
            let known: Vec<&str> = classes.classes.iter().map(|c| c.name.as_str()).collect();
            out.note = Some(format!(
                "the lab says \"{}\" and gives no number, and the classes of this table are {}: say what the word means",
                rated.class,
                known.join(", ")
            ));
            return;
        }
    }
    out.possible = out.class.iter().cloned().collect();
    out.note = Some("class as the lab says; it gives no number".into());
}

/// The one value of a nutrient, where only one extractant was used.
fn single(test: &SoilTest, nutrient: Nutrient) -> Option<&Value> {
    let mut values = test.values_of(nutrient);
    values.next().filter(|_| values.next().is_none())
}

fn span(value: &Value) -> (f64, Option<f64>) {
    match &value.given.converted {
        Some(converted) => (converted.low_ppm, Some(converted.high_ppm)),
        None => value.ppm.span(),
    }
}

fn why_not(test: &SoilTest, nutrient: Nutrient, wanted: Option<Extractant>) -> String {
    let by: Vec<&str> = test.values_of(nutrient).map(|v| v.extractant.name()).collect();
    match (by.is_empty(), wanted) {
        (true, _) => "not in the test".into(),
        (false, Some(wanted)) => {
            format!("measured by {}, and the table holds for {wanted}; nothing is converted silently", by.join(" and "))
        }
        (false, None) => format!("measured by {}, and the source does not say which it means", by.join(" and ")),
    }
}

/// Tables that part ways over one nutrient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Disagreement {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// Table and what it takes the value to mean.
    pub meanings: Vec<(String, Meaning)>,
}

/// A soil test by every table that can read it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Comparison {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// One for each table.
    pub interpretations: Vec<Interpretation>,
    /// Where they disagree.
    pub disagreements: Vec<Disagreement>,
    /// What the user has to decide, if anything.
    pub ask: Option<String>,
}

/// Reads a soil test by every table of the library that holds for its extractants, side by side.
///
/// `crop` keeps the tables that were made for it or for any crop. Nothing is chosen: where tables disagree the answer
/// asks for one to be named.
///
/// # Errors
/// A value that a table's unit cannot take.
pub fn compare_tables(test: &SoilTest, library: &Library<SoilTable>, crop: Option<&str>, policy: DetectionPolicy) -> Result<Comparison> {
    let mut interpretations = Vec::new();
    for table in library.iter().filter(|t| crop.is_none_or(|c| t.is_for(c))) {
        let read = interpretation(test, table, policy, false)?;
        if read.readings.iter().any(|r| r.class.is_some()) {
            interpretations.push(read);
        }
    }
    let mut disagreements = Vec::new();
    for &nutrient in Nutrient::ALL {
        let meanings: Vec<(String, Meaning)> =
            interpretations.iter().filter_map(|i| Some((i.table.clone(), i.reading(nutrient)?.meaning?))).collect();
        let differ = meanings.first().is_some_and(|(_, first)| meanings.iter().any(|(_, m)| m != first));
        if differ {
            disagreements.push(Disagreement { nutrient, meanings });
        }
    }
    let keys: Vec<&str> = interpretations.iter().map(|i| i.table.as_str()).collect();
    let ask = match (keys.len(), disagreements.is_empty()) {
        (0, _) => {
            Some("No table fits the extractants of this test and the crop: give one of your own, or ask the lab for its ratings.".into())
        }
        (_, true) => None,
        (_, false) => Some(format!(
            "The tables disagree about {}. Name the one to use: {}.",
            disagreements.iter().map(|d| d.nutrient.name()).collect::<Vec<_>>().join(", "),
            keys.join(", ")
        )),
    };
    Ok(Comparison { schema: super::SCHEMA, interpretations, disagreements, ask })
}

/// Manganese availability index of Mehlich-3 manganese and pH: below 25 deficient, 100 and above high.
///
/// MnAI = 101.7 + 3.75 Mn - 15.2 pH, with Mn in ppm.
///
/// # Errors
/// An argument out of its range.
///
/// # Source
/// Rutgers Soil Testing Laboratory, relative levels of nutrients.
///
/// ```
/// let index = dibble::fertility::manganese_index(20.0, 6.0)?;
/// assert!((index - 85.5).abs() < 1e-9);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn manganese_index(mn_ppm: f64, ph: f64) -> Result<f64> {
    Ok(101.7 + 3.75 * bounds::PPM.named("mn_ppm").check(mn_ppm)? - 15.2 * bounds::PH.check(ph)?)
}
