//! Spreading by hand and by spreader: grams, ounces, level scoops, cups, bags, and what a spreader test says.

use crate::bounds;
use crate::error::{Error, Result};
use crate::units::{G_PER_OZ, L_PER_GAL, System, show};
use serde::{Deserialize, Serialize};

/// mL in a US cup.
const ML_PER_CUP: f64 = L_PER_GAL * 1000.0 / 16.0;

/// A scoop that misses the amount by more than this does not measure it.
const TOO_COARSE_PCT: f64 = 20.0;

/// Product that carries `nutrient_g` of a nutrient, g: the nutrient over its content.
///
/// # Errors
/// A content that is not from just above 0 to 100 %, or a weight out of range.
///
/// ```
/// // 22.5 g of N from urea of 46 % N
/// let g = dibble::fertility::product_for(22.5, 46.0)?;
/// assert_eq!(format!("{g:.1}"), "48.9");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn product_for(nutrient_g: f64, content_pct: f64) -> Result<f64> {
    let nutrient_g = bounds::GRAMS.named("nutrient_g").check(nutrient_g)?;
    if content_pct > 0.0 && content_pct <= 100.0 {
        return Ok(100.0 * nutrient_g / content_pct);
    }
    Err(Error::inconsistent(
        format!("content_pct is {content_pct}, and a product with none of the nutrient, or more than all, supplies nothing"),
        "Give the percentage from the label: 46 for urea.",
    ))
}

/// A product to be given tree by tree.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct HandInput {
    /// Product for one tree, g.
    pub product_g: f64,
    /// Bulk density of the product, kg/m3. A cup is not a weight: granules run from 13 to 23 oz in a pint.
    pub density_kg_m3: f64,
    /// Content of the user's level scoop, mL.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scoop_ml: Option<f64>,
    /// Weight of a bag, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bag_kg: Option<f64>,
    /// Trees to be fed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trees: Option<u32>,
}

/// A level scoop for a tree.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Scoops {
    /// Level scoops for a tree, to the quarter.
    pub scoops: f64,
    /// What they weigh, g.
    pub gives_g: f64,
    /// How much that is off, percent.
    pub off_pct: f64,
}

/// An amount for one tree as a hand measures it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HandAmount {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// Product for a tree, g.
    pub product_g: f64,
    /// The same, oz.
    pub product_oz: f64,
    /// The same by volume, mL.
    pub volume_ml: f64,
    /// The same, level US cups.
    pub cups: f64,
    /// The same, level US tablespoons.
    pub tablespoons: f64,
    /// The same in the user's scoop.
    pub scoop: Option<Scoops>,
    /// Whole trees that a bag feeds.
    pub trees_per_bag: Option<u32>,
    /// Product for all trees, kg.
    pub total_kg: Option<f64>,
    /// Whole bags for all trees.
    pub bags: Option<u32>,
}

/// Grams for a tree as ounces, volume, cups, level scoops, trees to a bag and bags.
///
/// # Errors
/// A number out of range, or nothing to give.
///
/// ```
/// use dibble::fertility::{HandInput, by_hand};
/// // 48.9 g of urea at 46 lb/ft3 (737 kg/m3): 1.72 oz, 0.28 cup
/// let input = HandInput { product_g: 48.9, density_kg_m3: 736.8, scoop_ml: None, bag_kg: Some(22.68), trees: Some(1000) };
/// let amount = by_hand(&input)?;
/// assert_eq!((format!("{:.2}", amount.product_oz), format!("{:.2}", amount.cups)), ("1.72".into(), "0.28".into()));
/// assert_eq!((amount.trees_per_bag, amount.bags), (Some(463), Some(3)));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn by_hand(input: &HandInput) -> Result<HandAmount> {
    let product_g = bounds::GRAMS.check(input.product_g)?;
    let density = bounds::PRODUCT_DENSITY_KG_M3.check(input.density_kg_m3)?;
    if product_g == 0.0 {
        return Err(Error::missing("an amount for a tree", "Give product_g above 0."));
    }
    // kg/m3 is g/L
    let volume_ml = 1000.0 * product_g / density;
    let scoop = bounds::SCOOP_ML.check_option(input.scoop_ml)?.map(|scoop_ml| {
        let scoops = (4.0 * volume_ml / scoop_ml).round().max(1.0) / 4.0;
        let gives_g = scoops * scoop_ml * density / 1000.0;
        Scoops { scoops, gives_g, off_pct: 100.0 * (gives_g / product_g - 1.0) }
    });
    let bag_g = bounds::BAG_KG.check_option(input.bag_kg)?.map(|kg| 1000.0 * kg);
    let total_g = input.trees.map(|trees| f64::from(trees) * product_g);
    // a bag that is full to the gram shall not count as two
    let whole_up = |ratio: f64| (ratio - 1e-9).ceil().max(0.0) as u32;
    Ok(HandAmount {
        schema: super::SCHEMA,
        product_g,
        product_oz: product_g / G_PER_OZ,
        volume_ml,
        cups: volume_ml / ML_PER_CUP,
        tablespoons: 16.0 * volume_ml / ML_PER_CUP,
        scoop,
        trees_per_bag: bag_g.map(|g| (g / product_g + 1e-9).floor() as u32),
        total_kg: total_g.map(|g| g / 1000.0),
        bags: total_g.zip(bag_g).map(|(total, bag)| whole_up(total / bag)),
    })
}

impl HandAmount {
    /// Level scoops for a tree as a hand counts them, `1 1/2 level scoops`; `None` without a scoop, or where its quarters miss
    /// the amount.
    ///
    /// ```
    /// use dibble::fertility::{HandInput, by_hand};
    /// // 48.9 g of urea at 737 kg/m3 are 66 mL: one and a quarter of a 2 fl oz (59 mL) scoop are 74 mL, one is nearer
    /// let with = |scoop_ml| by_hand(&HandInput { product_g: 48.9, density_kg_m3: 736.8, scoop_ml, bag_kg: None, trees: None });
    /// assert_eq!(with(Some(59.15))?.scoop_words().unwrap(), "1 level scoop");
    /// assert_eq!(with(Some(38.0))?.scoop_words().unwrap(), "1 3/4 level scoops");
    /// assert_eq!(with(None)?.scoop_words(), None);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn scoop_words(&self) -> Option<String> {
        let s = self.scoop.filter(|s| s.off_pct.abs() <= TOO_COARSE_PCT)?;
        let whole = s.scoops.floor();
        let part = match ((s.scoops - whole) * 4.0).round() as u32 {
            1 => "1/4",
            2 => "1/2",
            3 => "3/4",
            _ => "",
        };
        let count = if whole > 0.0 { format!("{whole:.0} {part}") } else { part.to_string() };
        Some(format!("{} level {}", count.trim(), if s.scoops > 1.0 { "scoops" } else { "scoop" }))
    }

    /// What a hand measures for a tree: scoops where they fit, else cups, tablespoons or mL.
    pub fn measure_words(&self, system: System) -> String {
        match (self.scoop_words(), system) {
            (Some(scoops), _) => scoops,
            (None, System::Us) if self.cups >= 0.25 => format!("{:.2} level cups", self.cups),
            (None, System::Us) => format!("{:.1} level tablespoons", self.tablespoons),
            (None, System::Si) => format!("{:.0} mL level", self.volume_ml),
        }
    }

    /// The amount in a sentence.
    pub fn words(&self, system: System) -> String {
        let mut text = show::mass_per_tree(self.product_g, system);
        match (self.scoop, system) {
            (Some(s), _) if s.off_pct.abs() > TOO_COARSE_PCT => {
                text.push_str(&format!(", {}: too little for quarters of your scoop", self.measure_words(system)))
            }
            (Some(s), _) => text.push_str(&format!(
                ", {} ({} by weight, {:+.0} %)",
                self.measure_words(system),
                show::mass_per_tree(s.gives_g, system),
                s.off_pct
            )),
            (None, _) => text.push_str(&format!(", {}", self.measure_words(system))),
        }
        if let Some(trees) = self.trees_per_bag {
            text.push_str(&format!("; a bag feeds {trees} {}", if trees == 1 { "tree" } else { "trees" }));
        }
        if let Some(bags) = self.bags {
            text.push_str(&format!("; {bags} {} in all", if bags == 1 { "bag" } else { "bags" }));
        }
        text
    }
}

/// A spreader walked over a measured strip, its output caught and weighed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SpreaderTest {
    /// Rate wanted, kg/ha of the ground that is spread.
    pub rate_kg_ha: f64,
    /// Width that it spreads, m.
    pub swath_m: f64,
    /// Distance walked or driven, m.
    pub distance_m: f64,
    /// What was caught, kg.
    pub caught_kg: f64,
}

/// What a spreader test says.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SpreaderReading {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// What should have been caught, kg.
    pub should_catch_kg: f64,
    /// The rate that it spread, kg/ha.
    pub spreads_kg_ha: f64,
    /// How far that is off, percent.
    pub off_pct: f64,
    /// Factor on the opening or on the walking time to come right.
    pub open_by: f64,
}

/// Rate of a spreader from a catch test: caught weight over swath times distance.
///
/// # Errors
/// A number out of range, nothing caught, or no rate wanted.
///
/// ```
/// use dibble::fertility::{SpreaderTest, spreader};
/// let read = spreader(&SpreaderTest { rate_kg_ha: 100.0, swath_m: 2.0, distance_m: 50.0, caught_kg: 1.25 })?;
/// assert_eq!((read.should_catch_kg, read.spreads_kg_ha, read.open_by), (1.0, 125.0, 0.8));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn spreader(test: &SpreaderTest) -> Result<SpreaderReading> {
    let rate = bounds::KG_HA.named("rate_kg_ha").check(test.rate_kg_ha)?;
    let area_ha = bounds::AREA_M2.named("the strip, swath_m x distance_m,").check(test.swath_m * test.distance_m)? / 1e4;
    let caught = bounds::BAG_KG.named("caught_kg").check(test.caught_kg)?;
    if rate <= 0.0 || test.swath_m <= 0.0 {
        return Err(Error::missing("a rate or a swath above 0", "Give the rate wanted and the width that the spreader covers."));
    }
    let spreads_kg_ha = caught / area_ha;
    Ok(SpreaderReading {
        schema: super::SCHEMA,
        should_catch_kg: rate * area_ha,
        spreads_kg_ha,
        off_pct: 100.0 * (spreads_kg_ha / rate - 1.0),
        open_by: rate / spreads_kg_ha,
    })
}

/// Liters for a tree and seconds at the nozzle, from a volume for a hectare, trees in a hectare and the flow.
///
/// # Errors
/// A number out of range, or no flow.
///
/// ```
/// use dibble::fertility::liquid_per_tree;
/// use dibble::units::convert;
/// let (l, s) = liquid_per_tree(convert(100.0, "gal/acre", "L/ha")?, 1210.0 * 2.471, convert(0.3, "gpm", "L/min")?)?;
/// assert_eq!((format!("{:.2}", convert(l, "L", "gal")?), s.round()), ("0.08".into(), 17.0));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn liquid_per_tree(volume_l_ha: f64, trees_per_ha: f64, flow_l_min: f64) -> Result<(f64, f64)> {
    let volume = bounds::VOLUME_L.named("volume_l_ha").check(volume_l_ha)?;
    let liters = volume / bounds::TREES_HA.check(trees_per_ha)?;
    let flow = bounds::FLOW_L_MIN.check(flow_l_min)?;
    if flow <= 0.0 {
        return Err(Error::missing("a flow above 0", "Catch the nozzle for a minute and give flow_l_min."));
    }
    Ok((liters, 60.0 * liters / flow))
}
