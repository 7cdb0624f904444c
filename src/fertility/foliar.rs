//! Needle tests: ranges by species, part and season with the mismatches declared; ratios; good against bad trees.

use super::library::entry;
use super::{Citation, Library, Nutrient};
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::words::{same, words};
use serde::{Deserialize, Serialize};

words! {
    /// The part that was sampled.
    pub enum Tissue: "tissue" {
        /// This year's needles from the upper third, not the leader: what most advice asks for.
        UpperCurrent = "current needles, upper third" | "upper third",
        /// This year's needles from elsewhere.
        Current = "current needles",
        /// Needles of earlier years.
        Older = "older needles",
        /// The leader or its needles.
        Leader = "leader",
        /// Whole seedlings, or a mixture.
        Mixed = "mixed" | "whole seedlings",
    }
}

words! {
    /// Unit of a needle test.
    pub enum NeedleUnit: "unit of a needle test" {
        /// Percent of dry weight.
        Percent = "%" | "percent",
        /// mg/g of dry weight.
        MgPerG = "mg/g" | "g/kg",
        /// ppm of dry weight.
        Ppm = "ppm" | "mg/kg",
    }
}

words! {
    /// Where a value stands to a range.
    pub enum Standing: "standing" {
        /// Below its lower end.
        Below = "below",
        /// Within.
        Within = "within",
        /// Above its upper end.
        Above = "above",
    }
}

/// One range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct NeedleRange {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// Lower end, percent.
    pub low: f64,
    /// Upper end; open where it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    /// Percent of the nitrogen, and not of the dry weight?
    #[serde(default)]
    pub of_nitrogen: bool,
}

/// A published table of needle contents.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FoliarTable {
    /// Name.
    pub id: String,
    /// Edition.
    pub edition: String,
    /// Title.
    pub title: String,
    /// Where it holds.
    pub region: String,
    /// Species; "any conifer" for all.
    pub species: Vec<String>,
    /// Nursery, Christmas trees or forest.
    pub stand: String,
    /// What the source takes the ends of its ranges to mean.
    pub ends: String,
    /// The part it holds for, where it says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tissue: Option<Tissue>,
    /// The months it holds for, where it says so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub months: Vec<u32>,
    /// What to know about it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Where it comes from.
    pub cite: Citation,
    /// The ranges.
    pub ranges: Vec<NeedleRange>,
}

entry!(FoliarTable, "needle table", "foliar_tables");

impl FoliarTable {
    fn find_faults(&self) -> Vec<Error> {
        let mut faults = Vec::new();
        for range in &self.ranges {
            let sound = range.low >= 0.0 && range.low.is_finite() && range.high.is_none_or(|h| h > range.low && h.is_finite());
            if !sound {
                let high = range.high.map_or("open".into(), |h| h.to_string());
                let what = format!("the range goes from {} to {high}", range.low);
                faults.push(Error::inconsistent(what, "Give the lower end first, in percent.").at(range.nutrient.name()));
            }
        }
        if self.months.iter().any(|m| !(1..=12).contains(m)) {
            faults.push(Error::inconsistent("months go from 1 to 12", "Give numbers of months."));
        }
        faults
    }

    fn is_of(&self, species: &str) -> bool {
        self.species.iter().any(|s| same(s, species))
    }
}

/// One needle value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct NeedleValue {
    /// The nutrient, as the element.
    pub nutrient: Nutrient,
    /// Its content.
    pub value: f64,
    /// Its unit.
    pub unit: NeedleUnit,
}

impl NeedleValue {
    /// A value as people write it: the number, then its unit where that is not the `usual` one.
    ///
    /// # Errors
    /// Text that is no number with a unit of needle tests.
    ///
    /// ```
    /// use dibble::fertility::{NeedleUnit, NeedleValue, Nutrient};
    /// let b = NeedleValue::read(Nutrient::B, "12 ppm", NeedleUnit::Percent)?;
    /// assert_eq!((b.value, b.unit), (12.0, NeedleUnit::Ppm));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn read(nutrient: Nutrient, text: &str, usual: NeedleUnit) -> Result<Self> {
        let (number, unit) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
        let unit = if unit.is_empty() { Ok(usual) } else { unit.parse() };
        match (number.parse(), unit) {
            (Ok(value), Ok(unit)) => Ok(Self { nutrient, value, unit }),
            _ => {
                let hint = "Write \"1.4 %\", \"14 mg/g\" or \"12 ppm\".";
                Err(Error::unreadable(format!("the value of {nutrient}"), text, "no number with a unit of needle tests stands there", hint))
            }
        }
    }
}

/// A needle test as the lab sheet has it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FoliarInput {
    /// Species, in English.
    pub species: String,
    /// Day of sampling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub sampled: Option<Date>,
    /// The part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tissue: Option<Tissue>,
    /// Nursery, Christmas trees or forest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stand: Option<String>,
    /// The values.
    pub values: Vec<NeedleValue>,
}

/// A checked needle test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "FoliarInput", into = "FoliarInput")]
pub struct FoliarTest(FoliarInput);

impl FoliarTest {
    /// Checks a needle test.
    ///
    /// # Errors
    /// No value, one out of range, or a nutrient twice.
    ///
    /// ```
    /// use dibble::fertility::{FoliarInput, FoliarTest, NeedleUnit, NeedleValue, Nutrient};
    /// let n = NeedleValue { nutrient: Nutrient::N, value: 14.0, unit: NeedleUnit::MgPerG };
    /// let test = FoliarTest::new(FoliarInput { species: "balsam fir".into(), sampled: None, tissue: None, stand: None, values: vec![n] })?;
    /// assert_eq!(test.percent(Nutrient::N), Some(1.4));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(input: FoliarInput) -> Result<Self> {
        let test = Self(input);
        let mut problems = Vec::new();
        for (index, value) in test.0.values.iter().enumerate() {
            problems.extend(bounds::NEEDLE_PCT.named(value.nutrient.name()).check(percent(value)).err());
            if test.0.values.iter().take(index).any(|v| v.nutrient == value.nutrient) {
                problems.push(Error::inconsistent(format!("{} stands twice in one needle test", value.nutrient), "Give it once."));
            }
        }
        if test.0.values.is_empty() {
            problems.push(Error::missing("a needle value", "Give one nutrient at least."));
        }
        Error::several(problems).map_or(Ok(test), Err)
    }

    /// What was given.
    pub fn input(&self) -> &FoliarInput {
        &self.0
    }

    /// Content of a nutrient, percent of dry weight.
    pub fn percent(&self, nutrient: Nutrient) -> Option<f64> {
        self.0.values.iter().find(|v| v.nutrient == nutrient).map(percent)
    }

    /// Content as percent of the nitrogen.
    pub fn percent_of_nitrogen(&self, nutrient: Nutrient) -> Option<f64> {
        let n = self.percent(Nutrient::N).filter(|n| *n > 0.0)?;
        Some(100.0 * self.percent(nutrient)? / n)
    }
}

impl TryFrom<FoliarInput> for FoliarTest {
    type Error = Error;
    fn try_from(input: FoliarInput) -> Result<Self> {
        Self::new(input)
    }
}

impl From<FoliarTest> for FoliarInput {
    fn from(test: FoliarTest) -> Self {
        test.0
    }
}

fn percent(value: &NeedleValue) -> f64 {
    match value.unit {
        NeedleUnit::Percent => value.value,
        NeedleUnit::MgPerG => value.value / 10.0,
        NeedleUnit::Ppm => value.value / 1e4,
    }
}

/// One nutrient against a range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NeedleLine {
    /// The range, as the table has it.
    pub range: NeedleRange,
    /// The test's value in the range's measure; `None` where the test lacks it.
    pub value: Option<f64>,
    /// Where it stands.
    pub standing: Option<Standing>,
}

/// A needle test read by one table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FoliarReading {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// Key of the table.
    pub table: String,
    /// Title, and what the ends of its ranges mean.
    pub title: String,
    /// Where it comes from.
    pub source: String,
    /// Nutrients of the table.
    pub lines: Vec<NeedleLine>,
    /// In what the sample differs from what the table holds for.
    pub mismatches: Vec<String>,
    /// What to know about the table.
    pub notes: Vec<String>,
}

/// Reads a needle test by one table and says where the sample and the table do not fit.
///
/// ```
/// use dibble::fertility::{
///     FoliarInput, FoliarTable, FoliarTest, Library, NeedleUnit, NeedleValue, Nutrient, Standing, interpret_foliar,
/// };
/// let values = vec![NeedleValue { nutrient: Nutrient::N, value: 1.5, unit: NeedleUnit::Percent }];
/// let test = FoliarTest::new(FoliarInput { species: "balsam fir".into(), sampled: None, tissue: None, stand: None, values })?;
/// let read = interpret_foliar(&test, Library::<FoliarTable>::shipped()?.get("balsam-fir-new-brunswick")?);
/// // the standard is 1.67 to 2.00 %
/// assert_eq!(read.lines.first().and_then(|l| l.standing), Some(Standing::Below));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn interpret_foliar(test: &FoliarTest, table: &FoliarTable) -> FoliarReading {
    let lines = table.ranges.iter().map(|range| {
        let value = if range.of_nitrogen { test.percent_of_nitrogen(range.nutrient) } else { test.percent(range.nutrient) };
        let standing = value.map(|v| match (v < range.low, range.high.is_some_and(|h| v > h)) {
            (true, _) => Standing::Below,
            (_, true) => Standing::Above,
            _ => Standing::Within,
        });
        NeedleLine { range: *range, value, standing }
    });
    FoliarReading {
        schema: super::SCHEMA,
        table: super::library::key(table),
        title: format!("{} ({}): {}", table.title, table.region, table.ends),
        source: table.cite.to_string(),
        lines: lines.collect(),
        mismatches: mismatches(test.input(), table),
        notes: table.notes.clone(),
    }
}

fn mismatches(input: &FoliarInput, table: &FoliarTable) -> Vec<String> {
    let mut out = Vec::new();
    if !table.is_of(&input.species) {
        out.push(format!("the sample is {} and the table holds for {}", input.species, table.species.join(", ")));
    }
    match &input.stand {
        Some(stand) if !same(stand, &table.stand) => {
            out.push(format!("the sample is from {stand} and the table holds for {}", table.stand))
        }
        _ => {}
    }
    match (input.tissue, table.tissue) {
        (Some(is), Some(wanted)) if is != wanted => out.push(format!("the sample is {is} and the table holds for {wanted}")),
        (Some(is), None) if is != Tissue::UpperCurrent => {
            out.push(format!(
                "the sample is {is}; advice is for this year's needles from the upper third, not the leader (Michigan State University)"
            ));
        }
        (None, _) => out.push("the part that was sampled is not given".into()),
        _ => {}
    }
    match (input.sampled, table.months.as_slice()) {
        (Some(day), months) if !months.is_empty() && !months.contains(&day.month()) => {
            out.push(format!("sampled in month {} and the table holds for months {months:?}", day.month()));
        }
        (Some(day), []) if !matches!(day.month(), 10..=12 | 1 | 2) => {
            out.push(format!(
                "sampled on {day}: most standards are for needles at rest (Michigan mid-October to December, North Carolina fall, Oregon and Washington February)"
            ));
        }
        (None, _) => out.push("the day of sampling is not given".into()),
        _ => {}
    }
    out
}

/// A needle test by every table of its species, side by side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FoliarComparison {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// One for each table.
    pub readings: Vec<FoliarReading>,
    /// Nutrients over which the tables part ways.
    pub disagreements: Vec<Nutrient>,
    /// What the user has to decide, if anything.
    pub ask: Option<String>,
}

/// Reads a needle test by every table of its species, or by those for conifers in general where there is none.
pub fn compare_foliar(test: &FoliarTest, library: &Library<FoliarTable>) -> FoliarComparison {
    let of = |species: &str| library.iter().filter(|t| t.is_of(species)).map(|t| interpret_foliar(test, t)).collect::<Vec<_>>();
    let mut readings = of(&test.input().species);
    let general = readings.is_empty();
    if general {
        readings = of("any conifer");
    }
    let differs = |nutrient: Nutrient| {
        let of = |r: &FoliarReading| r.lines.iter().find(|l| l.range.nutrient == nutrient).and_then(|l| l.standing);
        let mut standings = readings.iter().filter_map(of);
        let first = standings.next();
        standings.any(|s| Some(s) != first)
    };
    let disagreements: Vec<Nutrient> = Nutrient::ALL.iter().copied().filter(|n| differs(*n)).collect();
    let keys: Vec<&str> = readings.iter().map(|r| r.table.as_str()).collect();
    let ask = match (general, disagreements.is_empty()) {
        (true, _) => Some(format!("No table holds for {}: what stands here is for conifers in general.", test.input().species)),
        (_, false) => Some(format!("The tables disagree. Name the one to use: {}.", keys.join(", "))),
        _ => None,
    };
    FoliarComparison { schema: super::SCHEMA, readings, disagreements, ask }
}

/// A nutrient in good and in bad trees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PairLine {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// Content in the good trees, percent.
    pub good_pct: f64,
    /// Content in the bad trees, percent.
    pub bad_pct: f64,
    /// Bad over good.
    pub ratio: f64,
}

/// Good trees against bad ones of the same field, the nutrient that falls short most first.
///
/// Sampling them apart shows what differs where no table fits.
///
/// # Errors
/// Two species, or no nutrient that both have.
pub fn compare_pair(good: &FoliarTest, bad: &FoliarTest) -> Result<Vec<PairLine>> {
    if !same(&good.input().species, &bad.input().species) {
        return Err(Error::inconsistent(
            format!("the good trees are {} and the bad ones {}", good.input().species, bad.input().species),
            "Compare trees of one species.",
        ));
    }
    let line = |value: &NeedleValue| {
        let nutrient = value.nutrient;
        let (good_pct, bad_pct) = (good.percent(nutrient).filter(|g| *g > 0.0)?, bad.percent(nutrient)?);
        Some(PairLine { nutrient, good_pct, bad_pct, ratio: bad_pct / good_pct })
    };
    let mut lines: Vec<PairLine> = good.input().values.iter().filter_map(line).collect();
    if lines.is_empty() {
        return Err(Error::missing("a nutrient that both samples have", "Have both tested for the same nutrients."));
    }
    lines.sort_by(|a, b| a.ratio.total_cmp(&b.ratio));
    Ok(lines)
}
