//! One amount by field, by treated ground and by tree: the three are always shown together.

use super::soil_test::KG_HA_PER_LB_ACRE;
use crate::bounds;
use crate::error::{Error, Result};
use crate::units::{self, System, show};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Where the fertilizer lands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Placement {
    /// On the whole field.
    Broadcast,
    /// On a strip along each row.
    Band {
        /// Distance from row to row, m.
        row_spacing_m: f64,
        /// Width of the strip, m.
        width_m: f64,
    },
    /// On a ring around each tree.
    Ring {
        /// Outer radius, m.
        radius_m: f64,
        /// Radius that is kept clear around the trunk, m.
        #[serde(default)]
        clear_m: f64,
    },
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
struct GroundInput {
    trees_per_ha: f64,
    placement: Placement,
}

/// Trees on a field and where their fertilizer lands, checked.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "GroundInput", into = "GroundInput")]
pub struct Ground {
    trees_per_ha: f64,
    placement: Placement,
    treated_share: f64,
}

impl Ground {
    /// Ground with so many trees in a hectare, fertilized as `placement` says.
    ///
    /// # Errors
    /// A number out of range, a band wider than the rows are apart, rings that overlap.
    ///
    /// ```
    /// use dibble::fertility::{Ground, Placement, Rates};
    /// use dibble::units::convert;
    /// let (row_spacing_m, width_m) = (convert(10.0, "ft", "m")?, convert(5.0, "ft", "m")?);
    /// let ground = Ground::new(2000.0, Placement::Band { row_spacing_m, width_m })?;
    /// // 60 lb per treated acre is 30 lb per field acre
    /// let rates = Rates::from_treated(convert(60.0, "lb/acre", "kg/ha")?, &ground)?;
    /// assert_eq!(convert(rates.field_kg_ha, "kg/ha", "lb/acre")?.round(), 30.0);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(trees_per_ha: f64, placement: Placement) -> Result<Self> {
        bounds::TREES_HA.check(trees_per_ha)?;
        let treated_share = match placement {
            Placement::Broadcast => 1.0,
            Placement::Band { row_spacing_m, width_m } => {
                let rows = bounds::SPACING_M.named("row_spacing_m").check(row_spacing_m)?;
                let width = bounds::SPACING_M.named("width_m").check(width_m)?;
                if width > rows {
                    return Err(Error::inconsistent(
                        format!("a band of {width} m is wider than rows {rows} m apart"),
                        "Give a narrower band, or broadcast.",
                    ));
                }
                width / rows
            }
            Placement::Ring { radius_m, clear_m } => {
                let radius = bounds::RADIUS_M.check(radius_m)?;
                if !(0.0..radius).contains(&clear_m) {
                    return Err(Error::inconsistent(
                        format!("clear_m is {clear_m} and the ring ends at {radius} m"),
                        "Keep less than the ring clear around the trunk, and not less than 0.",
                    ));
                }
                let share = PI * (radius * radius - clear_m * clear_m) * trees_per_ha / 1e4;
                if share > 1.0 {
                    let most = (1e4 / (PI * trees_per_ha) + clear_m * clear_m).sqrt();
                    return Err(Error::inconsistent(
                        format!("rings of {radius} m around {trees_per_ha:.0} trees in a hectare cover more than the field"),
                        format!("Give a radius of {most:.2} m or less, or broadcast."),
                    ));
                }
                share
            }
        };
        Ok(Self { trees_per_ha, placement, treated_share })
    }

    /// Trees in a hectare.
    pub fn trees_per_ha(&self) -> f64 {
        self.trees_per_ha
    }
    /// Where the fertilizer lands.
    pub fn placement(&self) -> Placement {
        self.placement
    }
    /// Share of the field that is fertilized.
    pub fn treated_share(&self) -> f64 {
        self.treated_share
    }
    /// Fertilized ground of one tree, m2.
    pub fn treated_m2_per_tree(&self) -> f64 {
        1e4 * self.treated_share / self.trees_per_ha
    }
}

impl TryFrom<GroundInput> for Ground {
    type Error = Error;
    fn try_from(input: GroundInput) -> Result<Self> {
        Self::new(input.trees_per_ha, input.placement)
    }
}

impl From<Ground> for GroundInput {
    fn from(ground: Ground) -> Self {
        Self { trees_per_ha: ground.trees_per_ha, placement: ground.placement }
    }
}

/// One amount, three ways.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Rates {
    /// For a hectare of field, kg/ha.
    pub field_kg_ha: f64,
    /// For a hectare of treated ground, kg/ha.
    pub treated_kg_ha: f64,
    /// For a tree, g.
    pub g_per_tree: f64,
}

impl Rates {
    /// From an amount for the field, kg/ha.
    ///
    /// # Errors
    /// An amount out of range.
    pub fn from_field(kg_ha: f64, ground: &Ground) -> Result<Self> {
        let field_kg_ha = bounds::KG_HA.named("field_kg_ha").check(kg_ha)?;
        Ok(Self { field_kg_ha, treated_kg_ha: field_kg_ha / ground.treated_share, g_per_tree: 1e3 * field_kg_ha / ground.trees_per_ha })
    }

    /// From an amount for treated ground, kg/ha.
    ///
    /// # Errors
    /// An amount out of range.
    pub fn from_treated(kg_ha: f64, ground: &Ground) -> Result<Self> {
        Self::from_field(bounds::KG_HA.named("treated_kg_ha").check(kg_ha)? * ground.treated_share, ground)
    }

    /// From an amount for a tree, g.
    ///
    /// # Errors
    /// An amount out of range.
    ///
    /// ```
    /// use dibble::fertility::{Ground, Placement, Rates};
    /// use dibble::units::{G_PER_OZ, convert};
    /// // half an ounce of N on a ring 2 ft across is 430 lb per treated acre
    /// let ring = Ground::new(2965.0, Placement::Ring { radius_m: 0.3048, clear_m: 0.0 })?;
    /// let rates = Rates::from_tree(0.5 * G_PER_OZ, &ring)?;
    /// assert_eq!(convert(rates.treated_kg_ha, "kg/ha", "lb/acre")?.round(), 433.0);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn from_tree(g: f64, ground: &Ground) -> Result<Self> {
        Self::from_field(bounds::GRAMS.named("g_per_tree").check(g)? * ground.trees_per_ha / 1e3, ground)
    }

    /// The same amounts times `factor`.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { field_kg_ha: self.field_kg_ha * factor, treated_kg_ha: self.treated_kg_ha * factor, g_per_tree: self.g_per_tree * factor }
    }

    /// All three in words: "38 lb/acre of field, 430 lb/acre of treated ground, 0.50 oz a tree".
    pub fn words(&self, system: System) -> String {
        format!(
            "{} of field, {} of treated ground, {}",
            show::mass_per_area(self.field_kg_ha, system),
            show::mass_per_area(self.treated_kg_ha, system),
            show::mass_per_tree(self.g_per_tree, system)
        )
    }
}

/// Most nitrogen in a year on treated ground, kg/ha: 4 lb in 1,000 ft2, printed for needled evergreens in beds.
pub const NITROGEN_CAP_KG_HA: f64 = 4.0 * 43.56 * KG_HA_PER_LB_ACRE;

/// Warns where a year's nitrogen burns roots: above the cap on treated ground, or above the user's most for a tree.
///
/// `system` are the units that the warnings are written in. `most_g_per_tree` is the user's; the one printed upper end is 5 oz (142 g) in the year of sale, Michigan State University.
///
/// # Errors
/// A cap or a limit out of range.
pub fn nitrogen_warnings(
    rates: &Rates,
    ground: &Ground,
    cap_kg_ha: f64,
    most_g_per_tree: Option<f64>,
    system: System,
) -> Result<Vec<String>> {
    let cap = bounds::KG_HA.named("cap_kg_ha").check(cap_kg_ha)?;
    let mut warnings = Vec::new();
    if rates.treated_kg_ha > cap * (1.0 + 1e-9) && cap > 0.0 {
        let times = (rates.treated_kg_ha / cap).ceil();
        // small areas are spread by the unit that their sources print
        let (unit, called) = match system {
            System::Us => ("lb/1000 ft2", "lb/1,000 ft2"),
            System::Si => ("g/m2", "g/m2"),
        };
        let on_ground = |kg_ha: f64| units::convert(kg_ha, "kg/ha", unit);
        let remedy = match ground.placement {
            Placement::Ring { clear_m, .. } => {
                // g over g/m2
                let area_m2 = rates.g_per_tree / (cap / 10.0);
                let radius = (area_m2 / PI + clear_m * clear_m).sqrt();
                format!("widen the ring to a radius of {}", show::length_or_more(radius, system))
            }
            Placement::Band { width_m, .. } => {
                format!("widen the band to {}", show::length_or_more(width_m * rates.treated_kg_ha / cap, system))
            }
            Placement::Broadcast => "spread less".into(),
        };
        warnings.push(format!(
            "{} of N on the treated ground is {:.1} {called} in a year, above {:.1}: roots may burn. {}, or split it over {times:.0} feedings and years.",
            show::mass_per_area(rates.treated_kg_ha, system),
            on_ground(rates.treated_kg_ha)?,
            on_ground(cap)?,
            capitalized(&remedy),
        ));
    }
    if let Some(most) = bounds::GRAMS.named("most_g_per_tree").check_option(most_g_per_tree)?.filter(|m| rates.g_per_tree > *m) {
        warnings.push(format!(
            "{} of N is above your most of {}.",
            show::mass_per_tree(rates.g_per_tree, system),
            show::mass_per_tree(most, system)
        ));
    }
    Ok(warnings)
}

fn capitalized(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}
