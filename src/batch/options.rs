//! What the rows of a file do not say themselves: columns, the habits of each lab, tables and common facts.

use super::cell;
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::fertility::{
    BufferMethod, BuildUp, DetectionPolicy, Extractant, FinenessRule, Form, Ground, LimeMethod, LimingMaterial, PhMethod, Placement, Shed,
    SoilTest, SoilTestInput, TestUnit,
};
use crate::words::{same, words};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

words! {
    /// The decimal mark of numbers in text.
    pub enum DecimalMark: "decimal mark" {
        /// 5.8
        Point = "point" | ".",
        /// 5,8
        Comma = "comma" | ",",
    }
}

words! {
    /// How a share of organic matter is written.
    pub enum ShareAs: "way to write a share" {
        /// 3.5
        Percent = "percent" | "%",
        /// 0.035
        Fraction = "fraction",
    }
}

/// What holds for rows whose own cells do not say it: for all of a file, or for one lab.
///
/// What a nutrient's heading says wins over the row's own method and unit cells, these over the lab's facts, and the
/// lab's over the file's.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Facts {
    /// What the lab extracts with. Bray's and Olsen's extracts tell of P alone.
    pub extractant: Option<Extractant>,
    /// What it extracts P with, where that is another.
    pub p_extractant: Option<Extractant>,
    /// Element or oxide, for columns that do not say.
    pub form: Option<Form>,
    /// Unit of nutrients.
    pub unit: Option<TestUnit>,
    /// What the pH electrode stands in.
    pub ph_method: Option<PhMethod>,
    /// What to add to a pH in calcium chloride.
    pub calcium_chloride_offset: Option<f64>,
    /// The lime buffer.
    pub buffer: Option<BufferMethod>,
    /// Is the buffer column a lime index?
    pub lime_index: Option<bool>,
    /// Depth of sampling, m.
    pub depth_m: Option<f64>,
    /// lb/acre for 1 ppm, where the lab prints its factor.
    pub lb_acre_per_ppm: Option<f64>,
    /// Bulk density of the layer, g/cm3.
    pub bulk_density_g_cm3: Option<f64>,
    /// Does the day stand before the month in 3/4/2027?
    pub day_first: Option<bool>,
    /// Decimal mark, where 1,250 could be either.
    pub decimal: Option<DecimalMark>,
    /// How organic matter is written.
    pub organic_matter_as: Option<ShareAs>,
    /// Species of the trees.
    pub species: Option<String>,
    /// Growing seasons since planting.
    pub age_years: Option<u32>,
    /// Are all blocks still to be planted? Otherwise a row without an age says so in its reasons.
    pub before_planting: bool,
    /// Trees in a hectare.
    pub trees_per_ha: Option<f64>,
    /// How far the trees stand apart, in the place of `trees_per_ha`: `5 x 6 ft`.
    pub spacing: Option<String>,
    /// Area of a block, ha.
    pub area_ha: Option<f64>,
}

impl Facts {
    /// The same facts with the spacing as trees in a hectare.
    ///
    /// # Errors
    /// A number out of range, a spacing that cannot be read, both of spacing and trees in a hectare, a placement for which
    /// the trees stand too close.
    pub(super) fn checked(&self, placement: Placement) -> Result<Facts> {
        let sheet = SoilTestInput {
            depth_m: self.depth_m,
            lb_acre_per_ppm: self.lb_acre_per_ppm,
            bulk_density_g_cm3: self.bulk_density_g_cm3,
            calcium_chloride_offset: self.calcium_chloride_offset,
            ..SoilTestInput::default()
        };
        let mut problems: Vec<Error> = SoilTest::new(sheet).err().into_iter().collect();
        problems.extend(bounds::AGE_YEARS.check_option(self.age_years.map(f64::from)).err());
        problems.extend(bounds::AREA_M2.named("area_m2").check_option(self.area_ha.map(|ha| 1e4 * ha)).err());
        let spacing = self.spacing.as_ref().map(|text| {
            let hint = "Write it as 5 x 6 ft, or give trees_per_ha.";
            cell::spacing(text, None, self.decimal).ok_or_else(|| Error::unreadable("spacing", text, "it is no spacing", hint))
        });
        let trees_per_ha = match (spacing.transpose(), self.trees_per_ha) {
            (Ok(Some(_)), Some(_)) => {
                problems.push(Error::inconsistent("spacing and trees_per_ha are both given", "Give one of them."));
                None
            }
            (Ok(spacing), trees) => spacing.or(trees),
            (Err(error), _) => {
                problems.push(error);
                None
            }
        };
        problems.extend(Ground::new(trees_per_ha.unwrap_or(bounds::TREES_HA.min), placement).err());
        Error::several(problems).map_or(Ok(Facts { trees_per_ha, spacing: None, ..self.clone() }), Err)
    }

    /// These facts, and `base` where they say nothing.
    pub(super) fn over(&self, base: &Facts) -> Facts {
        Facts {
            extractant: self.extractant.or(base.extractant),
            p_extractant: self.p_extractant.or(self.extractant).or(base.p_extractant),
            form: self.form.or(base.form),
            unit: self.unit.or(base.unit),
            ph_method: self.ph_method.or(base.ph_method),
            calcium_chloride_offset: self.calcium_chloride_offset.or(base.calcium_chloride_offset),
            buffer: self.buffer.or(base.buffer),
            lime_index: self.lime_index.or(base.lime_index),
            depth_m: self.depth_m.or(base.depth_m),
            lb_acre_per_ppm: self.lb_acre_per_ppm.or(base.lb_acre_per_ppm),
            bulk_density_g_cm3: self.bulk_density_g_cm3.or(base.bulk_density_g_cm3),
            day_first: self.day_first.or(base.day_first),
            decimal: self.decimal.or(base.decimal),
            organic_matter_as: self.organic_matter_as.or(base.organic_matter_as),
            species: self.species.clone().or_else(|| base.species.clone()),
            age_years: self.age_years.or(base.age_years),
            before_planting: self.before_planting || base.before_planting,
            trees_per_ha: self.trees_per_ha.or(base.trees_per_ha),
            spacing: self.spacing.clone(),
            area_ha: self.area_ha.or(base.area_ha),
        }
    }
}

/// Columns, facts, tables and policies of a batch. In files it is TOML or JSON.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BatchOptions {
    /// The day of asking: the age of samples is counted to it.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub today: Date,
    /// What a heading of the file means, said as a heading that is understood: `"PHOS" = "P (element) ppm Mehlich-3"`;
    /// `"skip"` leaves the column out. Headings that are not named here are guessed, and the log says how.
    #[serde(default)]
    pub columns: BTreeMap<String, String>,
    /// What holds for every row.
    #[serde(default)]
    pub facts: Facts,
    /// What holds for the rows of one lab, by its name in the lab column.
    #[serde(default)]
    pub lab: BTreeMap<String, Facts>,
    /// Interpretation tables; each row takes the one whose extractant its lab used.
    #[serde(default)]
    pub soil_tables: Vec<String>,
    /// Table of pH targets.
    #[serde(default)]
    pub ph_table: Option<String>,
    /// Table of nitrogen.
    #[serde(default)]
    pub nitrogen_table: Option<String>,
    /// Conversions between extractants to make, by key.
    #[serde(default)]
    pub conversions: Vec<String>,
    /// The lime method; by the lab's buffer where it is left out.
    #[serde(default)]
    pub lime_method: Option<LimeMethod>,
    /// The lime on offer.
    #[serde(default)]
    pub lime_material: Option<LimingMaterial>,
    /// How its fineness counts.
    #[serde(default = "new_york")]
    pub fineness: FinenessRule,
    /// What stands for a value below detection.
    #[serde(default = "half")]
    pub policy: DetectionPolicy,
    /// How P and K are built up where no table prints a rate.
    #[serde(default)]
    pub build_up: BuildUp,
    /// Make good what the harvest takes along?
    #[serde(default)]
    pub removal: bool,
    /// Where fertilizer lands.
    #[serde(default = "broadcast")]
    pub placement: Placement,
    /// Products to meet the needs from, with their prices.
    #[serde(default)]
    pub shed: Option<Shed>,
    /// South of the equator?
    #[serde(default)]
    pub southern: bool,
    /// Who signs the letters: name, office, telephone.
    #[serde(default)]
    pub contact: Option<String>,
    /// Write letters? They are held until the end.
    #[serde(default)]
    pub letters: bool,
    /// Threads; one for each core where it is left out. Nothing but the time depends on it.
    #[serde(default)]
    pub n_threads: Option<usize>,
}

fn new_york() -> FinenessRule {
    FinenessRule::NewYork
}

fn half() -> DetectionPolicy {
    DetectionPolicy::Half
}

fn broadcast() -> Placement {
    Placement::Broadcast
}

impl BatchOptions {
    /// Is the table of this key (`id@edition`) named, by its id or in full?
    pub(super) fn names(&self, key: &str) -> bool {
        let mut named = self.soil_tables.iter().chain(&self.ph_table).chain(&self.nitrogen_table);
        named.any(|name| same(name, key) || key.split_once('@').is_some_and(|(id, _)| same(name, id)))
    }

    /// Nothing declared: columns are guessed, tables asked for.
    pub fn new(today: Date) -> Self {
        Self {
            today,
            columns: BTreeMap::new(),
            facts: Facts::default(),
            lab: BTreeMap::new(),
            soil_tables: Vec::new(),
            ph_table: None,
            nitrogen_table: None,
            conversions: Vec::new(),
            lime_method: None,
            lime_material: None,
            fineness: new_york(),
            policy: half(),
            build_up: BuildUp::default(),
            removal: false,
            placement: broadcast(),
            shed: None,
            southern: false,
            contact: None,
            letters: false,
            n_threads: None,
        }
    }
}
