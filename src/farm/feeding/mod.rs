//! What the farm file says about feeding: soil tests, products, habits, and the log of what was spread.

pub(super) mod read;

use super::Block;
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::fertility::{Bags, Ground, Guarantee, Placement, Product, SoilTest, SoilTestInput, Tables};
use crate::units::System;
use crate::words::{same, words};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

words! {
    /// Where fertilizer lands.
    pub enum FeedingMethod: "feeding method" {
        /// On the whole block.
        Broadcast = "broadcast",
        /// On a strip along each row.
        Band = "band" | "strip",
        /// On a ring around each tree.
        Ring = "ring" | "by hand",
    }
}

/// `[feeding]`: what holds for all blocks.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct FeedingHabits {
    /// How products are bought: "opened" (if not given), "whole" or "loose".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bags: Option<Bags>,
    /// Share by which a nutrient may exceed the upper end of its need; 0.10 if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub oversupply: Option<f64>,
    /// Share by which a mix in bags may fall short of a need; 0.02 if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub undersupply: Option<f64>,
    /// Most salt in a year, kg/ha of sodium nitrate with the same effect.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub salt_cap_kg_ha: Option<f64>,
    /// Content of the level scoop, mL.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scoop_ml: Option<f64>,
    /// Name of the product that lime is due in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lime: Option<String>,
    /// Usual day of bud break; its year does not matter.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub bud_break: Option<Date>,
    /// Make good what the harvest takes along? No if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub removal: Option<bool>,
    /// Take lime by buffer methods that rest on memory (SMP, Mehlich 1976)? No if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_memory: Option<bool>,
    /// Key of the table that soil tests are read by.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub soil_table: Option<String>,
    /// Key of the table of pH targets.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ph_table: Option<String>,
    /// Key of the nitrogen table.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nitrogen_table: Option<String>,
}

/// `feeding` of a block: its soil test, where fertilizer lands, when its trees are sold, tables of its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BlockFeeding {
    /// Name of its soil test.
    pub soil_test: String,
    /// Where fertilizer lands.
    pub method: FeedingMethod,
    /// Width of a band, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width_m: Option<f64>,
    /// Outer radius of a ring, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radius_m: Option<f64>,
    /// Radius kept clear around the trunk, m; none if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear_m: Option<f64>,
    /// Calendar year in which its trees are sold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sale_year: Option<i32>,
    /// Most nitrogen for a tree in a year, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_n_g: Option<f64>,
    /// Key of the table that its soil test is read by, in place of the farm's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub soil_table: Option<String>,
    /// Key of the table of pH targets, in place of the farm's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ph_table: Option<String>,
    /// Key of the nitrogen table, in place of the farm's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nitrogen_table: Option<String>,
}

/// `[[block.fed]]`: fertilizer or lime that was spread.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Fed {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Name of a product of the farm, or of the shipped list.
    pub product: String,
    /// On the whole block, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount_kg: Option<f64>,
    /// For each tree, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_tree_g: Option<f64>,
}

impl Fed {
    /// In range, and given one way?
    ///
    /// # Errors
    /// Out of range; neither or both of amount and amount for a tree.
    pub fn check(&self) -> Result<()> {
        match (self.amount_kg, self.per_tree_g) {
            (Some(kg), None) => bounds::MASS_KG.named("amount_kg").check(kg).map(drop),
            (None, Some(g)) => bounds::GRAMS.named("per_tree_g").check(g).map(drop),
            (None, None) => Err(Error::missing("amount or per_tree", "Write amount = \"50 lb\" for the block or per_tree = \"1 oz\".")),
            (Some(_), Some(_)) => Err(Error::inconsistent("amount and per_tree of one feeding are both given", "Keep one of them.")),
        }
    }
}

impl BlockFeeding {
    /// Trees in a hectare and where their fertilizer lands.
    ///
    /// # Errors
    /// The size that the method needs is missing, one that it does not take is given, or out of range.
    pub fn ground(&self, block: &Block, trees: Option<u32>) -> Result<Ground> {
        let lacks = |key: &str, example: &str| Error::missing(key, format!("A {} needs it: write {example}.", self.method));
        let placement = match self.method {
            FeedingMethod::Broadcast => Placement::Broadcast,
            FeedingMethod::Band => Placement::Band {
                row_spacing_m: block.row_spacing_m,
                width_m: self.width_m.ok_or_else(|| lacks("width", "width = \"4 ft\""))?,
            },
            FeedingMethod::Ring => Placement::Ring {
                radius_m: self.radius_m.ok_or_else(|| lacks("radius", "radius = \"18 in\""))?,
                clear_m: self.clear_m.unwrap_or(0.0),
            },
        };
        let (band, ring) = (self.method == FeedingMethod::Band, self.method == FeedingMethod::Ring);
        let strange = [("width_m", self.width_m, band), ("radius_m", self.radius_m, ring), ("clear_m", self.clear_m, ring)];
        if let Some((key, ..)) = strange.into_iter().find(|(_, given, fits)| given.is_some() && !fits) {
            let hint = "A band has a width, a ring a radius and what is kept clear; broadcast has neither.";
            return Err(Error::inconsistent(format!("{key} does not go with method \"{}\"", self.method), hint));
        }
        let counted = trees.zip(block.ground_m2()).map(|(trees, m2)| 1e4 * f64::from(trees) / m2);
        Ground::new(counted.unwrap_or(1e4 / (block.row_spacing_m * block.tree_spacing_m)), placement)
    }

    /// Everything in range, and the tables that are named known.
    ///
    /// # Errors
    /// All problems at once.
    pub fn check(&self, block: &Block, south: bool) -> Result<()> {
        let mut problems: Vec<Error> =
            self.ground(block, block.tree_count(None)).err().into_iter().flat_map(|e| e.problems().to_vec()).collect();
        problems.extend(bounds::GRAMS.named("most_n_g").check_option(self.most_n_g).err());
        let planted = block.planted.day(south).map(|d| d.year()).unwrap_or(0);
        if let Some(year) = self.sale_year.filter(|y| !(planted..2300).contains(y)) {
            problems.push(Error::inconsistent(
                format!("sale_year is {year}, and the trees were planted in {planted}"),
                "Give the calendar year of the sale.",
            ));
        }
        problems.extend(unknown_tables(&self.soil_table, &self.ph_table, &self.nitrogen_table));
        Error::several(problems).map_or(Ok(()), Err)
    }
}

impl FeedingHabits {
    /// Everything in range, the tables known, the lime among the products.
    ///
    /// # Errors
    /// All problems at once.
    pub fn check(&self, products: &[Product]) -> Result<()> {
        let mut problems: Vec<Error> = bounds::OVERSUPPLY.check_option(self.oversupply).err().into_iter().collect();
        problems.extend(bounds::UNDERSUPPLY.check_option(self.undersupply).err());
        problems.extend(bounds::KG_HA.named("salt_cap_kg_ha").check_option(self.salt_cap_kg_ha).err());
        problems.extend(bounds::SCOOP_ML.check_option(self.scoop_ml).err());
        problems.extend(unknown_tables(&self.soil_table, &self.ph_table, &self.nitrogen_table));
        match self.lime.as_deref().map(|name| product(products, name)) {
            Some(Ok(lime)) if lime.neutralizing_pct <= 0.0 => problems.push(Error::inconsistent(
                format!("lime names \"{}\", which neutralizes nothing", lime.name),
                "Name a lime, or give the product its neutralizing_pct.",
            )),
            Some(Err(error)) => problems.push(error),
            _ => {}
        }
        Error::several(problems).map_or(Ok(()), Err)
    }
}

/// A product of the farm by its name or another that it goes by, or one of the shipped list.
pub(super) fn product(products: &[Product], name: &str) -> Result<Product> {
    let own = products.iter().find(|p| same(&p.name, name) || p.also.iter().any(|a| same(a, name)));
    own.cloned().map_or_else(|| Product::find(name), Ok)
}

fn unknown_tables(soil: &Option<String>, ph: &Option<String>, nitrogen: &Option<String>) -> Vec<Error> {
    if soil.is_none() && ph.is_none() && nitrogen.is_none() {
        return Vec::new();
    }
    let tables = match Tables::shipped() {
        Ok(tables) => tables,
        Err(error) => return vec![error],
    };
    let of_soil = soil.as_ref().and_then(|key| tables.soil.get(key).err());
    let of_ph = ph.as_ref().and_then(|key| tables.ph.get(key).err());
    let of_nitrogen = nitrogen.as_ref().and_then(|key| tables.nitrogen.get(key).err());
    [of_soil, of_ph, of_nitrogen].into_iter().flatten().collect()
}

/// What is wrong with the feeding of one block: its own values, a soil test that is not there, products nobody knows.
pub(super) fn block_problems(block: &Block, south: bool, tests: &BTreeMap<String, SoilTestInput>, products: &[Product]) -> Vec<Error> {
    let mut problems = Vec::new();
    if let Some(feeding) = &block.feeding {
        problems.extend(feeding.check(block, south).err().into_iter().flat_map(|e| e.problems().to_vec()));
        if !tests.contains_key(&feeding.soil_test) {
            let known: Vec<&String> = tests.keys().collect();
            problems.push(match known.is_empty() {
                true => Error::missing(format!("soil test \"{}\"", feeding.soil_test), "Write it down under [soil_test.NAME]."),
                false => Error::unknown("soil test", &feeding.soil_test, &known),
            });
        }
    }
    problems.extend(block.fed.iter().filter_map(|f| product(products, &f.product).err()));
    problems
}

/// Problems of `[soil_test]`, `[[product]]` and `[feeding]`, each with the table that it is in.
pub(super) fn problems(input: &super::FarmInput) -> Vec<(String, Error)> {
    let tests = input.soil_test.iter();
    let mut found: Vec<(String, Error)> =
        tests.filter_map(|(name, test)| Some((format!("soil_test \"{name}\""), SoilTest::new(test.clone()).err()?))).collect();
    // a product says its own name
    found.extend(input.product.iter().filter_map(|p| Some(("farm".into(), p.check().err()?))));
    found.extend(twice(&input.product).map(|e| ("farm".into(), e)));
    if let Some(error) = input.feeding.as_ref().and_then(|f| f.check(&input.product).err()) {
        found.push(("feeding".into(), error));
    }
    let water = input.water_test.as_ref().and_then(|w| crate::fertility::water_load(w, 0.0, System::default()).err());
    found.extend(water.map(|e| ("water_test".into(), e)));
    found
}

/// Two products of one name.
pub(super) fn twice(products: &[Product]) -> Option<Error> {
    let again = |(i, p): &(usize, &Product)| products.iter().take(*i).any(|q| same(&q.name, &p.name));
    let (_, found) = products.iter().enumerate().find(again)?;
    Some(Error::inconsistent(format!("two products are called \"{}\"", found.name), "Give each product a name of its own."))
}

/// Of what a block was fed, each nutrient, kg.
pub(super) fn nutrients(product: &Product, kg: f64) -> impl Iterator<Item = (Guarantee, f64)> {
    Guarantee::ALL.iter().map(move |&g| (g, product.content_pct(g) / 100.0 * kg)).filter(|(_, kg)| *kg > 0.0)
}
