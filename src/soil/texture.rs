//! The USDA texture triangle: twelve classes that exclude each other.
//!
//! Source: USDA Soil Survey Manual, ch. 3, with the boundaries as E. Benham, R.J. Ahrens and W.D. Nettleton
//! (NRCS National Soil Survey Center) cleared them of overlaps: a point on a line belongs to the finer side.

use crate::bounds;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// Percent. Lines are compared with this much slack, because `100 - sand - clay` in floating point can land
/// on the wrong side of a line that it stands on. The NRCS database routine uses the same band.
const GUARD_PCT: f64 = 0.01;

/// A class of the USDA texture triangle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(with = "String"))]
#[serde(try_from = "String", into = "&'static str")]
#[allow(missing_docs)] // the names say it all
pub enum TextureClass {
    Sand,
    LoamySand,
    SandyLoam,
    Loam,
    SiltLoam,
    Silt,
    SandyClayLoam,
    ClayLoam,
    SiltyClayLoam,
    SandyClay,
    SiltyClay,
    Clay,
}

use TextureClass::{Clay, ClayLoam, Loam, LoamySand, Sand, SandyClay, SandyClayLoam, SandyLoam, Silt, SiltLoam, SiltyClay, SiltyClayLoam};

impl TextureClass {
    /// All twelve, coarse to fine.
    pub const ALL: [TextureClass; 12] =
        [Sand, LoamySand, SandyLoam, Loam, SiltLoam, Silt, SandyClayLoam, ClayLoam, SiltyClayLoam, SandyClay, SiltyClay, Clay];

    /// The name in lower case, "silty clay loam".
    pub const fn name(self) -> &'static str {
        match self {
            Sand => "sand",
            LoamySand => "loamy sand",
            SandyLoam => "sandy loam",
            Loam => "loam",
            SiltLoam => "silt loam",
            Silt => "silt",
            SandyClayLoam => "sandy clay loam",
            ClayLoam => "clay loam",
            SiltyClayLoam => "silty clay loam",
            SandyClay => "sandy clay",
            SiltyClay => "silty clay",
            Clay => "clay",
        }
    }

    /// The code of soil survey reports, "SICL".
    pub const fn code(self) -> &'static str {
        match self {
            Sand => "S",
            LoamySand => "LS",
            SandyLoam => "SL",
            Loam => "L",
            SiltLoam => "SIL",
            Silt => "SI",
            SandyClayLoam => "SCL",
            ClayLoam => "CL",
            SiltyClayLoam => "SICL",
            SandyClay => "SC",
            SiltyClay => "SIC",
            Clay => "C",
        }
    }

    /// Sand and clay, percent of the fine earth, of a soil that stands for the class when nothing else is known.
    ///
    /// Means of the class regions, rounded to whole percent, silt being the rest.
    ///
    /// # Source
    /// Class averages carried by the `aqp` soil profile library (nine rows read there); loam, silt and sandy clay
    /// loam are our means over the 1 % grid of the triangle.
    pub const fn typical_sand_clay_pct(self) -> (f64, f64) {
        match self {
            Sand => (92.0, 3.0),
            LoamySand => (82.0, 6.0),
            SandyLoam => (65.0, 10.0),
            Loam => (42.0, 18.0),
            SiltLoam => (22.0, 13.0),
            Silt => (8.0, 5.0),
            SandyClayLoam => (61.0, 27.0),
            ClayLoam => (33.0, 33.0),
            SiltyClayLoam => (10.0, 33.0),
            SandyClay => (52.0, 41.0),
            SiltyClay => (7.0, 47.0),
            Clay => (20.0, 55.0),
        }
    }

    /// Does the point lie in the class? Exactly one class answers yes.
    fn holds(self, sand: f64, silt: f64, clay: f64) -> bool {
        let at_least = |value: f64, line: f64| value >= line - GUARD_PCT;
        let above = |value: f64, line: f64| value > line + GUARD_PCT;
        let below = |value: f64, line: f64| !at_least(value, line);
        let coarse = silt + 1.5 * clay;
        let loamy = silt + 2.0 * clay;
        match self {
            Sand => below(coarse, 15.0),
            LoamySand => at_least(coarse, 15.0) && below(loamy, 30.0),
            SandyLoam => {
                at_least(loamy, 30.0)
                    && ((at_least(clay, 7.0) && below(clay, 20.0) && above(sand, 52.0)) || (below(clay, 7.0) && below(silt, 50.0)))
            }
            // `|| clay >= 20` and, in sandy clay loam, `clay >= 27 ||`: without the guard band geometry implies
            // them, with it they close slivers of 0.01 % between the lines.
            Loam => {
                at_least(clay, 7.0)
                    && below(clay, 27.0)
                    && at_least(silt, 28.0)
                    && below(silt, 50.0)
                    && (!above(sand, 52.0) || at_least(clay, 20.0))
            }
            SiltLoam => at_least(silt, 50.0) && below(clay, 27.0) && (at_least(clay, 12.0) || below(silt, 80.0)),
            Silt => at_least(silt, 80.0) && below(clay, 12.0),
            SandyClayLoam => at_least(clay, 20.0) && below(clay, 35.0) && above(sand, 45.0) && (at_least(clay, 27.0) || below(silt, 28.0)),
            ClayLoam => at_least(clay, 27.0) && below(clay, 40.0) && above(sand, 20.0) && !above(sand, 45.0),
            SiltyClayLoam => at_least(clay, 27.0) && below(clay, 40.0) && !above(sand, 20.0),
            SandyClay => at_least(clay, 35.0) && above(sand, 45.0),
            SiltyClay => at_least(clay, 40.0) && at_least(silt, 40.0) && !above(sand, 45.0),
            Clay => at_least(clay, 40.0) && below(silt, 40.0) && !above(sand, 45.0),
        }
    }
}

/// The texture class of a fine earth (below 2 mm) with `sand_pct` and `clay_pct` by mass, silt being the rest.
///
/// # Errors
/// A percentage outside 0 to 100, or sand and clay that add to more than 100.
///
/// # Source
/// USDA Soil Survey Manual, ch. 3; whole-percent points agree with the NRCS lookup table.
///
/// # Example
/// ```
/// use dibble::soil::{TextureClass, texture_class};
/// assert_eq!(texture_class(40.0, 20.0)?, TextureClass::Loam);
/// assert_eq!(texture_class(45.0, 35.0)?.to_string(), "clay loam"); // on the line to sandy clay
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn texture_class(sand_pct: f64, clay_pct: f64) -> Result<TextureClass> {
    let silt_pct = silt_pct(sand_pct, clay_pct)?;
    TextureClass::ALL
        .into_iter()
        .find(|class| class.holds(sand_pct, silt_pct, clay_pct))
        .ok_or_else(|| Error::internal("texture_class", format!("no class holds sand {sand_pct} %, clay {clay_pct} %")))
}

/// Silt, %: what sand and clay leave.
pub(super) fn silt_pct(sand_pct: f64, clay_pct: f64) -> Result<f64> {
    bounds::SAND_PCT.check(sand_pct)?;
    bounds::CLAY_PCT.check(clay_pct)?;
    let silt = 100.0 - sand_pct - clay_pct;
    if silt < -GUARD_PCT {
        return Err(Error::inconsistent(
            format!("sand_pct {sand_pct} and clay_pct {clay_pct} add to {} %, more than 100", sand_pct + clay_pct),
            "Give percent by mass of the fine earth (below 2 mm); sand, silt and clay together are 100.",
        ));
    }
    Ok(silt.max(0.0))
}

impl FromStr for TextureClass {
    type Err = Error;

    /// Reads a class name or its survey code, whatever the case, with spaces, hyphens or underscores. The sand
    /// sizes of a survey name ("fine sandy loam", "loamy very fine sand") belong to the class without them.
    fn from_str(text: &str) -> Result<Self> {
        let words: Vec<String> =
            text.split(|c: char| c.is_whitespace() || c == '-' || c == '_').filter(|w| !w.is_empty()).map(str::to_lowercase).collect();
        let sandy = words.iter().any(|w| w.starts_with("sand"));
        let plain: Vec<&str> =
            words.iter().map(String::as_str).filter(|w| !(sandy && matches!(*w, "very" | "fine" | "medium" | "coarse"))).collect();
        let joined = plain.concat();
        TextureClass::ALL
            .into_iter()
            .find(|class| joined == class.name().replace(' ', "") || joined.eq_ignore_ascii_case(class.code()))
            .ok_or_else(|| Error::unknown("texture", text, &TextureClass::ALL.map(TextureClass::name)))
    }
}

impl fmt::Display for TextureClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl TryFrom<String> for TextureClass {
    type Error = Error;
    fn try_from(text: String) -> Result<Self> {
        text.parse()
    }
}

impl From<TextureClass> for &'static str {
    fn from(class: TextureClass) -> Self {
        class.name()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn classes_at(sand: f64, clay: f64) -> Vec<TextureClass> {
        let silt = silt_pct(sand, clay).unwrap();
        TextureClass::ALL.into_iter().filter(|class| class.holds(sand, silt, clay)).collect()
    }

    #[test]
    fn every_grid_point_lies_in_exactly_one_class() {
        for step in [1.0, 0.5] {
            let n = (100.0 / step) as i32;
            for i in 0..=n {
                for j in 0..=(n - i) {
                    let (sand, clay) = (f64::from(i) * step, f64::from(j) * step);
                    assert_eq!(classes_at(sand, clay).len(), 1, "sand {sand}, clay {clay}: {:?}", classes_at(sand, clay));
                }
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(4000))]
        // Points crowded around whole percents, where lines and guard bands meet.
        #[test]
        fn points_near_the_lines_lie_in_exactly_one_class(sand in 0..=100_i32, clay in 0..=100_i32, ds in -0.03..0.03_f64, dc in -0.03..0.03_f64) {
            let (sand, clay) = ((f64::from(sand) + ds).clamp(0.0, 100.0), (f64::from(clay) + dc).clamp(0.0, 100.0));
            if sand + clay <= 100.0 {
                prop_assert_eq!(classes_at(sand, clay).len(), 1, "sand {}, clay {}: {:?}", sand, clay, classes_at(sand, clay));
            }
        }
    }

    #[test]
    fn names_parse_in_any_spelling() {
        for class in TextureClass::ALL {
            for text in [class.name().to_uppercase(), class.name().replace(' ', "_"), class.name().replace(' ', "-"), class.code().into()] {
                assert_eq!(text.parse::<TextureClass>().unwrap(), class, "{text}");
            }
        }
        assert_eq!("Fine Sandy Loam".parse::<TextureClass>().unwrap(), SandyLoam);
        assert_eq!("loamy very fine sand".parse::<TextureClass>().unwrap(), LoamySand);
    }

    #[test]
    fn typical_soils_belong_to_their_class() {
        for class in TextureClass::ALL {
            let (sand, clay) = class.typical_sand_clay_pct();
            assert_eq!(texture_class(sand, clay).unwrap(), class);
        }
    }

    #[test]
    fn unknown_texture_offers_the_nearest() {
        assert_eq!(
            "sandy lom".parse::<TextureClass>().unwrap_err().to_string(),
            "texture \"sandy lom\" is not known. Did you mean \"sand\", \"sandy loam\", \"sandy clay\"? Known: \"sand\", \"loamy sand\", \"sandy loam\", \"loam\", \"silt loam\", \"silt\", \"sandy clay loam\", \"clay loam\", \"silty clay loam\", \"sandy clay\", \"silty clay\", \"clay\"."
        );
    }

    #[test]
    fn sand_and_clay_over_one_hundred_are_refused() {
        assert_eq!(
            texture_class(70.0, 50.0).unwrap_err().to_string(),
            "sand_pct 70 and clay_pct 50 add to 120 %, more than 100. Give percent by mass of the fine earth (below 2 mm); sand, silt and clay together are 100."
        );
    }
}
