//! Nitrogen: by age or height from a named table, none in the planting year, and the season it goes out in.

use super::ground::{Ground, Rates};
use super::library::entry;
use super::{Citation, TextureGroup};
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::units;
use serde::{Deserialize, Serialize};

/// One row of a nitrogen table.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct NitrogenRow {
    /// When it holds, in the source's words.
    pub when: String,
    /// First year since planting; 0 is the planting year.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub age_from: Option<u32>,
    /// Last year since planting; open where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub age_to: Option<u32>,
    /// Smallest height, m, for a table by height.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height_from_m: Option<f64>,
    /// Height that the row ends below, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height_to_m: Option<f64>,
    /// For the year of sale?
    pub sale: bool,
    /// Lowest rate, in the table's unit.
    pub low: f64,
    /// Highest rate; open where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
}

/// A published nitrogen table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct NitrogenTable {
    /// Name.
    pub id: String,
    /// Edition.
    pub edition: String,
    /// Title.
    pub title: String,
    /// Where it holds.
    pub region: String,
    /// Crops or species it was made for.
    pub crops: Vec<String>,
    /// Unit of the rates: a weight per tree or per area.
    pub unit: String,
    /// Trees in an acre that a table per tree reckons with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trees_per_acre: Option<f64>,
    /// What to know about it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Where it comes from.
    pub cite: Citation,
    /// The rows.
    pub rows: Vec<NitrogenRow>,
}

entry!(NitrogenTable, "nitrogen table", "nitrogen_tables");

impl NitrogenTable {
    fn per_tree(&self) -> bool {
        units::convert(1.0, &self.unit, "g/tree").is_ok()
    }

    fn find_faults(&self) -> Vec<Error> {
        let mut faults: Vec<Error> = Vec::new();
        if !self.per_tree() {
            faults.extend(units::convert(1.0, &self.unit, "kg/ha").err());
        }
        if self.rows.is_empty() {
            faults.push(Error::missing("rows", "Give one row at least."));
        }
        for row in &self.rows {
            let place = format!("row \"{}\"", row.when);
            let by_age = row.age_from.is_some();
            let by_height = row.height_from_m.is_some();
            if u32::from(by_age) + u32::from(by_height) + u32::from(row.sale) != 1 {
                let hint = "Give age_from, or height_from_m, or sale = true.";
                faults.push(Error::inconsistent("a row goes by age, by height or by the year of sale", hint).at(place.clone()));
            }
            let ordered = row.high.is_none_or(|h| h >= row.low && h.is_finite()) && row.low >= 0.0;
            let ages = row.age_to.is_none_or(|to| row.age_from.is_some_and(|from| from <= to));
            let heights = row.height_to_m.is_none_or(|to| row.height_from_m.is_some_and(|from| from < to));
            if !(ordered && ages && heights) {
                faults.push(
                    Error::inconsistent("the lower end of a range stands above its upper end", "Give the lower one first.").at(place),
                );
            }
        }
        faults
    }

    fn row(&self, question: &NitrogenQuestion) -> Option<&NitrogenRow> {
        let of_sale = self.rows.iter().find(|r| question.sale_year && r.sale);
        of_sale.or_else(|| {
            self.rows.iter().filter(|r| !r.sale).find(|r| {
                let age = r.age_from.is_some_and(|from| question.age_years >= from && r.age_to.is_none_or(|to| question.age_years <= to));
                let tall = question.height_m.zip(r.height_from_m);
                age || tall.is_some_and(|(h, from)| h >= from && r.height_to_m.is_none_or(|to| h < to))
            })
        })
    }
}

/// What nitrogen is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NitrogenQuestion {
    /// Growing seasons since planting; 0 in the planting year.
    pub age_years: u32,
    /// Height of the trees, m, for tables by height.
    pub height_m: Option<f64>,
    /// Are they to be sold this year?
    pub sale_year: bool,
}

/// Nitrogen for a year.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NitrogenNeed {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// The row of the table, in its words.
    pub row: String,
    /// Lowest rate.
    pub low: Rates,
    /// Highest rate; `None` where the source leaves it open.
    pub high: Option<Rates>,
    /// Where it comes from.
    pub source: String,
    /// What to know about it.
    pub notes: Vec<String>,
}

/// Nitrogen for one year by a named table, for the field, the treated ground and a tree. None in the planting year.
///
/// # Errors
/// A height out of range, or no row for this age and height.
///
/// # Source
/// None at planting: Michigan State University and Rutgers FS1187. Nitrogen is not set from a soil test.
///
/// ```
/// use dibble::fertility::{Ground, Library, NitrogenQuestion, NitrogenTable, Placement, nitrogen_need};
/// use dibble::units::convert;
/// let ground = Ground::new(convert(1200.0, "trees/acre", "trees/ha")?, Placement::Broadcast)?;
/// let asked = NitrogenQuestion { age_years: 2, height_m: None, sale_year: false };
/// let need = nitrogen_need(&asked, &ground, Library::<NitrogenTable>::shipped()?.get("msu-fraser-fir")?)?;
/// assert_eq!(format!("{:.1}", convert(need.low.field_kg_ha, "kg/ha", "lb/acre")?), "37.5");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn nitrogen_need(question: &NitrogenQuestion, ground: &Ground, table: &NitrogenTable) -> Result<NitrogenNeed> {
    bounds::HEIGHT_M.check_option(question.height_m)?;
    let row = table.row(question).ok_or_else(|| {
        let whens: Vec<&str> = table.rows.iter().map(|r| r.when.as_str()).collect();
        Error::inconsistent(
            format!("table \"{}\" has no row for year {} since planting", super::library::key(table), question.age_years),
            format!("It has rows for: {}. Name another table, or give the height.", whens.join(", ")),
        )
    })?;
    let rates = |value: f64| match table.per_tree() {
        true => Rates::from_tree(units::convert(value, &table.unit, "g/tree")?, ground),
        false => Rates::from_field(units::convert(value, &table.unit, "kg/ha")?, ground),
    };
    let mut notes = table.notes.clone();
    if let Some(trees) = table.trees_per_acre {
        let per_acre = |g: f64| g * trees / (1000.0 * units::KG_PER_LB);
        let printed = rates(row.low)?.g_per_tree;
        notes.push(format!("The table reckons with {trees:.0} trees/acre: {:.0} lb N/acre at its density.", per_acre(printed)));
    }
    if question.age_years == 0 && row.low > 0.0 {
        notes.push("Michigan State University and Rutgers give none in the planting year: roots are hurt and weeds fed.".into());
    }
    if question.age_years == 0 && row.high == Some(0.0) {
        notes.push("None in the planting year. A Kentucky leaflet (FOR-24, 1986) lists fertilizing at planting as a thing to consider: sources disagree.".into());
    }
    Ok(NitrogenNeed {
        schema: super::SCHEMA,
        row: row.when.clone(),
        low: rates(row.low)?,
        high: row.high.map(rates).transpose()?,
        source: table.cite.to_string(),
        notes,
    })
}

/// One feeding of the season.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Feeding {
    /// Share of the year's amount.
    pub share: f64,
    /// When, in words.
    pub when: String,
    /// The day, where the day of bud break is known.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub date: Option<Date>,
    /// First day that will do, where the day of bud break is known.
    #[serde(default)]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub from: Option<Date>,
    /// Last day that will do.
    #[serde(default)]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub until: Option<Date>,
    /// Why then.
    pub why: String,
    /// Who says so.
    pub source: String,
}

impl Feeding {
    /// Is its last day before `day`?
    pub fn is_over(&self, day: Date) -> bool {
        self.until.is_some_and(|until| until < day)
    }
}

/// Days before and after a feeding's day that will do as well: our judgment.
const AROUND_DAYS: i32 = 7;

/// What the season's feedings depend on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeasonQuestion {
    /// Usual day of bud break.
    pub bud_break: Option<Date>,
    /// Texture, for leaching.
    pub texture: Option<TextureGroup>,
    /// Are the trees to be sold this year?
    pub sale_year: bool,
    /// South of the equator?
    pub southern: bool,
    /// Does the nitrogen come as urea?
    pub urea: bool,
}

/// The year's nitrogen in feedings, with the reason for each.
///
/// One feeding two weeks before bud break (urea three); on sand a second one six weeks later, because rain takes
/// nitrate down; in the year of sale half of it late in summer for color. Never in fall: roots rest below 40-45 °F and
/// what they do not take is leached.
///
/// # Source
/// Two weeks and the late-summer share: Michigan State University. Urea three weeks, roots at 40-45 °F: Rutgers FS1187.
/// An Oregon trial found a fifth of the nitrogen in the trees and two fifths leached (Landgren and Webster, 1997). The
/// split on sand, the equal shares and the week before and after each day are our judgment.
pub fn nitrogen_season(question: &SeasonQuestion) -> Vec<Feeding> {
    let (lead, who) = if question.urea { (21, "Rutgers FS1187") } else { (14, "Michigan State University Extension") };
    let around = |date: Option<Date>| (date.map(|d| d + -AROUND_DAYS), date.map(|d| d + AROUND_DAYS));
    let date = question.bud_break.map(|d| d + -lead);
    let (from, until) = around(date);
    let mut feedings = vec![Feeding {
        share: 1.0,
        when: format!("about {} weeks before bud break", lead / 7),
        date,
        from,
        until,
        why: "roots wake before the buds and the new shoots draw on it".into(),
        source: who.into(),
    }];
    if question.sale_year {
        let month = |d: Date| match question.southern {
            true => (Date::new(d.year() + i32::from(d.month() > 2), 2, 1), Date::new(d.year() + i32::from(d.month() > 2), 2, 28)),
            false => (Date::new(d.year(), 8, 1), Date::new(d.year(), 8, 31)),
        };
        let (from, until) = question.bud_break.map(month).map_or((None, None), |(a, b)| (a.ok(), b.ok()));
        feedings.push(Feeding {
            share: 1.0,
            when: if question.southern { "in February, for color" } else { "in August, for color" }.into(),
            date: None,
            from,
            until,
            why: "late nitrogen greens the needles of trees that are sold this year; shoots have stopped".into(),
            source: "Michigan State University Extension".into(),
        });
    } else if question.texture == Some(TextureGroup::Sand) {
        let date = date.map(|d| d + 42);
        let (from, until) = around(date);
        feedings.push(Feeding {
            share: 1.0,
            when: "six weeks after the first".into(),
            date,
            from,
            until,
            why: "sand holds little nitrate: a wet spell takes one large dose below the roots".into(),
            source: "our judgment; nurseries split in two or three".into(),
        });
    }
    let count = feedings.len() as f64;
    for feeding in &mut feedings {
        feeding.share /= count;
    }
    feedings
}

/// What to mind when nitrogen goes out.
pub fn nitrogen_cautions(urea: bool) -> Vec<String> {
    let mut cautions = vec![
        "None in the planting hole, none on wet foliage, none against the trunk; spread on a cool, dry day before rain (Michigan State University).".to_string(),
        "More is not better: of the nitrogen in an Oregon trial a fifth reached the trees, two fifths leached, and the top 8 in (20 cm) lost 0.7 pH at the highest rate (1997).".into(),
        "None in fall: what resting roots leave is leached by spring.".into(),
    ];
    if urea {
        cautions.push(
            "Urea left on damp ground that dries loses 1 to 44 % to the air, 18 % on average (Montana State, 21 trials): water it in with half an inch (13 mm) in one go.".into(),
        );
    }
    cautions
}
