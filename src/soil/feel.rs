//! The shovel test: how much of its available water a soil holds, by how it feels and looks in the hand.
//!
//! Source: USDA-NRCS, "Estimating Soil Moisture by Feel and Appearance", Program Aid 1619 (1998), for the groups, the
//! bands and what tells them apart; the words are ours. Its printed depletions all follow from the band and the group's
//! water holding, so here they are derived from the band and the soil's own.

use super::hydraulic::Soil;
use super::published::Range;
use super::texture::TextureClass;
use crate::bounds;
use crate::error::{Error, Result};
use crate::words::words;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

words! {
    /// Texture groups of the feel test.
    pub enum Group: "texture group" {
        /// Sand and loamy sand.
        Coarse = "coarse",
        /// Sandy loam.
        ModeratelyCoarse = "moderately_coarse",
        /// Loam, silt loam, sandy clay loam; silt is put here by us.
        Medium = "medium",
        /// Clay, clay loam, silty clay loam; silty clay and sandy clay are put here by us.
        Fine = "fine",
    }
}

impl Group {
    /// The group of a texture class.
    pub const fn of(class: TextureClass) -> Self {
        use TextureClass::*;
        match class {
            Sand | LoamySand => Group::Coarse,
            SandyLoam => Group::ModeratelyCoarse,
            SandyClayLoam | Loam | SiltLoam | Silt => Group::Medium,
            ClayLoam | SiltyClayLoam | SandyClay | SiltyClay | Clay => Group::Fine,
        }
    }

    /// Available water of the group, low and high, m3/m3. The chart prints inches per foot: 0.6-1.2, 1.3-1.7, 1.5-2.1, 1.6-2.4.
    pub const fn available(self) -> Range {
        const IN_PER_FT: f64 = 12.0;
        let (low, high) = match self {
            Group::Coarse => (0.6, 1.2),
            Group::ModeratelyCoarse => (1.3, 1.7),
            Group::Medium => (1.5, 2.1),
            Group::Fine => (1.6, 2.4),
        };
        (low / IN_PER_FT, high / IN_PER_FT)
    }

    /// Depletion below field capacity, low and high, in `depth_m` of a soil of this group of which nothing else is known, mm.
    ///
    /// Highest: the group's largest holding at the band's dry end; lowest: its smallest at the wet end.
    ///
    /// # Errors
    /// Depth out of range.
    ///
    /// # Example
    /// ```
    /// use dibble::soil::feel::{Band, Group};
    /// // The chart prints 1.8 to 0.8 inches per foot for a fine soil at 25 to 50 %.
    /// let (low, high) = Group::Fine.depletion_range_mm(Band::SlightlyMoist, 0.3048)?;
    /// assert_eq!((format!("{:.1}", low / 25.4), format!("{:.1}", high / 25.4)), ("0.8".into(), "1.8".into()));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn depletion_range_mm(self, band: Band, depth_m: f64) -> Result<Range> {
        bounds::SOIL_DEPTH_M.check(depth_m)?;
        let (least, most) = self.available();
        let (dry, wet) = band.available();
        Ok((1000.0 * depth_m * least * (1.0 - wet), 1000.0 * depth_m * most * (1.0 - dry)))
    }
}

/// How much of the available water is left, by hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(with = "String"))]
#[serde(try_from = "String", into = "&'static str")]
pub enum Band {
    /// 0 to 25 % of available water.
    Dry,
    /// 25 to 50 %.
    SlightlyMoist,
    /// 50 to 75 %.
    Moist,
    /// 75 to 100 %.
    Wet,
    /// Field capacity, or wetter.
    Full,
}

impl Band {
    /// All bands, dry to wet.
    pub const ALL: [Band; 5] = [Band::Dry, Band::SlightlyMoist, Band::Moist, Band::Wet, Band::Full];

    /// The name, "slightly moist".
    pub const fn name(self) -> &'static str {
        match self {
            Band::Dry => "dry",
            Band::SlightlyMoist => "slightly moist",
            Band::Moist => "moist",
            Band::Wet => "wet",
            Band::Full => "full",
        }
    }

    /// The band in percent, "25-50".
    pub const fn percent(self) -> &'static str {
        match self {
            Band::Dry => "0-25",
            Band::SlightlyMoist => "25-50",
            Band::Moist => "50-75",
            Band::Wet => "75-100",
            Band::Full => "100",
        }
    }

    /// Available water left, low and high, as a fraction of what the soil can hold for plants.
    pub const fn available(self) -> Range {
        match self {
            Band::Dry => (0.0, 0.25),
            Band::SlightlyMoist => (0.25, 0.50),
            Band::Moist => (0.50, 0.75),
            Band::Wet => (0.75, 1.0),
            Band::Full => (1.0, 1.0),
        }
    }

    /// Standard deviation of the fraction that one hole tells: width / sqrt(12), as anything within the band is equally
    /// likely. "Full" prints as a point, yet a soil just below or above it looks the same: half a band's width, our judgment.
    pub fn deviation(self) -> f64 {
        let (low, high) = self.available();
        let width = if self == Band::Full { 0.125 } else { high - low };
        width / 12.0_f64.sqrt()
    }

    /// What hand and eye find in this band, after squeezing a sample hard into a ball several times and pushing it out
    /// between thumb and finger.
    pub const fn looks(self, group: Group) -> &'static str {
        match (group, self) {
            (Group::Coarse, Band::Dry) => "loose and dry; keeps its shape only if nobody touches it; single grains cling to the fingers",
            (Group::Coarse, Band::SlightlyMoist) => {
                "a ball that falls apart at once, fingers marked in it; a thin film of grains stays on the hand"
            }
            (Group::Coarse, Band::Moist) => "a weak ball of darker color; some water stain on the hand; no ribbon",
            (Group::Coarse, Band::Wet) => "a weak, dark ball; the hand is well wetted; no ribbon",
            (Group::Coarse, Band::Full) => "a weak ball that leaves its wet outline and a thick coat of soil on the hand",
            (Group::ModeratelyCoarse, Band::Dry) => "a dry ball that hardly holds; grains rub off easily",
            (Group::ModeratelyCoarse, Band::SlightlyMoist) => {
                "a weak ball with finger marks, a little darker; the hand stays free of water; grains rub off"
            }
            (Group::ModeratelyCoarse, Band::Moist) => "a darker ball with finger marks; a trace of water on the hand; will not smear",
            (Group::ModeratelyCoarse, Band::Wet) => "a ball that leaves its wet outline on the hand; some stain; a weak ribbon",
            (Group::ModeratelyCoarse, Band::Full) => "a soft ball on which water shows for a moment; the hand is coated",
            (Group::Medium, Band::Dry) => "dry crumbs that come apart easily; no stain; clods break under the thumb",
            (Group::Medium, Band::SlightlyMoist) => "a weak, rough ball; no stain; a few crumbs come off",
            (Group::Medium, Band::Moist) => "a pliable, darker ball; a trace of water on the hand; a weak ribbon",
            (Group::Medium, Band::Wet) => "a ball with clear finger marks; soil coats the hand; makes a ribbon",
            (Group::Medium, Band::Full) => "a soft ball on which water shows for a moment; the hand is well coated",
            (Group::Fine, Band::Dry) => "dry crumbs that part easily; clods are hard to break by hand",
            (Group::Fine, Band::SlightlyMoist) => "a weak ball, hardly a crumb comes off; no stain; clods flatten under the thumb",
            (Group::Fine, Band::Moist) => "a smooth ball with finger marks; a little stain; makes a ribbon",
            (Group::Fine, Band::Wet) => "a ball that ribbons easily; an uneven, heavy coat stays on the hand",
            (Group::Fine, Band::Full) => "a soft ball, free water on it; a thick, slick, sticky coat on the hand",
        }
    }

    /// Depletion that the band means in `depth_m` (0 to 10) of a soil.
    ///
    /// # Errors
    /// Depth out of range.
    ///
    /// # Example
    /// ```
    /// use dibble::soil::{Particles, Soil, feel::Band};
    /// let clay_loam = Soil::from_particles(&Particles::new(30.0, 35.0, 2.5))?; // holds 28.0 mm in 0.2 m
    /// let found = Band::Moist.depletion(&clay_loam, 0.2)?;
    /// assert_eq!(format!("{:.1} {:.1} {:.1}", found.low_mm, found.middle_mm, found.high_mm), "7.0 10.5 14.0");
    /// assert_eq!(format!("{:.2}", found.variance_mm2.sqrt()), "2.02"); // 7.0 / sqrt(12)
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn depletion(self, soil: &Soil, depth_m: f64) -> Result<Depletion> {
        let holds_mm = soil.available_water_mm(depth_m)?;
        let (dry, wet) = self.available();
        let deviation_mm = self.deviation() * holds_mm;
        Ok(Depletion {
            low_mm: holds_mm * (1.0 - wet),
            middle_mm: holds_mm * (1.0 - 0.5 * (dry + wet)),
            high_mm: holds_mm * (1.0 - dry),
            variance_mm2: deviation_mm * deviation_mm,
        })
    }
}

/// Water missing below field capacity, as one hole tells it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Depletion {
    /// At the band's wet end, mm.
    pub low_mm: f64,
    /// In the middle of the band, mm.
    pub middle_mm: f64,
    /// At the band's dry end, mm.
    pub high_mm: f64,
    /// Variance of one hole, mm2, without the reader's own bias.
    pub variance_mm2: f64,
}

impl FromStr for Band {
    type Err = Error;

    /// Reads the name ("slightly moist") or the percent of available water ("25-50", "25-50 %").
    fn from_str(text: &str) -> Result<Self> {
        let plain = |s: &str| s.to_lowercase().replace([' ', '-', '_', '%'], "");
        let typed = plain(text);
        Band::ALL
            .into_iter()
            .find(|band| typed == plain(band.name()) || typed == plain(band.percent()))
            .ok_or_else(|| Error::unknown("feel band", text, &Band::ALL.map(|band| format!("{} ({} %)", band.name(), band.percent()))))
    }
}

impl fmt::Display for Band {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl TryFrom<String> for Band {
    type Error = Error;
    fn try_from(text: String) -> Result<Self> {
        text.parse()
    }
}

impl From<Band> for &'static str {
    fn from(band: Band) -> Self {
        band.name()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_meet_end_to_end_and_parse_as_printed() {
        for pair in Band::ALL.windows(2) {
            assert_eq!(pair[0].available().1, pair[1].available().0);
        }
        for band in Band::ALL {
            assert_eq!(band.name().to_uppercase().parse::<Band>().unwrap(), band);
            assert_eq!(format!("{} %", band.percent()).parse::<Band>().unwrap(), band);
        }
    }

    #[test]
    fn every_look_is_its_own() {
        let mut looks: Vec<_> = Group::ALL.iter().flat_map(|&g| Band::ALL.map(|b| b.looks(g))).collect();
        looks.sort_unstable();
        looks.dedup();
        assert_eq!(looks.len(), 20);
    }

    #[test]
    fn an_unknown_band_lists_the_known_ones() {
        assert_eq!(
            "damp".parse::<Band>().unwrap_err().to_string(),
            "feel band \"damp\" is not known. Known: \"dry (0-25 %)\", \"slightly moist (25-50 %)\", \"moist (50-75 %)\", \"wet (75-100 %)\", \"full (100 %)\"."
        );
    }
}
