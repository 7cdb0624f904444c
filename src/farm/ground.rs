//! `[soil.NAME]`: a soil from whatever is known of it, a texture word alone or measured values.

use crate::assumption::{Assumption, Flags};
use crate::bounds;
use crate::error::{Error, Result};
use crate::soil::{Layer, Measured, Particles, Profile, Soil, TextureClass};
use serde::{Deserialize, Serialize};

/// Organic matter where it is not given, % (Saxton and Rawls 2006, Table 3).
const USUAL_ORGANIC_MATTER_PCT: f64 = 2.5;
/// Field capacity of sand and loamy sand, kPa (common practice).
const SANDY_FIELD_CAPACITY_KPA: f64 = 10.0;

/// A soil from the surface down.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Ground {
    /// Measured final intake of the surface, mm/h.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub intake_mm_h: Option<f64>,
    /// Layers, surface first. In TOML a soil of one layer may leave `[[soil.NAME.layer]]` out.
    pub layer: Vec<Horizon>,
}

/// One layer: a texture class, or sand and clay, or the measured water contents.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Horizon {
    /// Depth of its lower edge, m; the last layer goes on below and may leave it out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to_depth_m: Option<f64>,
    /// Texture class, such as "silt loam".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub texture: Option<TextureClass>,
    /// Sand, % by mass of the fine earth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sand_pct: Option<f64>,
    /// Clay, % by mass of the fine earth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clay_pct: Option<f64>,
    /// Organic matter, % by mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub organic_matter_pct: Option<f64>,
    /// Gravel, % by mass of the whole soil.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravel_pct: Option<f64>,
    /// Density over normal density, 0.9 (loose) to 1.3 (very hard).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub density_factor: Option<f64>,
    /// Measured water content at 1500 kPa, m3/m3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wilting_point: Option<f64>,
    /// Measured water content at field capacity, m3/m3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field_capacity: Option<f64>,
    /// Measured water content at saturation, m3/m3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub saturation: Option<f64>,
    /// Measured saturated conductivity, mm/h.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ksat_mm_h: Option<f64>,
    /// Tension that stands for field capacity, kPa: 10 on sand and loamy sand, 33 elsewhere if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field_capacity_tension_kpa: Option<f64>,
}

impl Ground {
    /// The checked profile, and what was taken for granted.
    ///
    /// # Errors
    /// Every value out of range, every layer that is not described, edges that do not go down.
    pub fn profile(&self) -> Result<(Profile, Flags)> {
        let mut problems: Vec<Error> = self.edges().err().iter().flat_map(Error::problems).cloned().collect();
        let mut layers = Vec::new();
        let mut flags = Flags::NONE;
        for horizon in &self.layer {
            match horizon.soil() {
                Ok((soil, assumed)) => {
                    flags = flags.union(assumed);
                    layers.push(Layer { to_depth_m: horizon.to_depth_m.unwrap_or(bounds::SOIL_DEPTH_M.max), soil });
                }
                Err(error) => problems.extend(error.problems().iter().cloned()),
            }
        }
        match Error::several(problems) {
            Some(error) => Err(error),
            None => Ok((Profile::layered(layers)?, flags)),
        }
    }

    /// Do the layers go down one after another? Checks the measured intake too.
    pub(super) fn edges(&self) -> Result<()> {
        let mut problems: Vec<Error> = bounds::KSAT_MM_H.named("intake_mm_h").check_option(self.intake_mm_h).err().into_iter().collect();
        if self.layer.is_empty() {
            problems.push(Error::missing("layer", "Give at least one layer with its texture."));
        }
        let mut above = 0.0;
        for (horizon, number) in self.layer.iter().zip(1..) {
            match horizon.to_depth_m {
                None if number == self.layer.len() => {}
                None => problems.push(Error::missing(
                    format!("to_depth_m of layer {number}"),
                    "Every layer but the last needs the depth of its lower edge.",
                )),
                Some(edge) if edge <= above => problems.push(Error::inconsistent(
                    format!("layer {number} ends at {edge} m, not below the edge above it at {above} m"),
                    "Give the layers from the surface down, each with the depth of its lower edge.",
                )),
                Some(edge) => {
                    problems.extend(bounds::SOIL_DEPTH_M.named("to_depth_m").check(edge).err());
                    above = edge;
                }
            }
        }
        Error::several(problems).map_or(Ok(()), Err)
    }
}

impl Horizon {
    /// The checked soil of this layer, and what was taken for granted.
    ///
    /// # Errors
    /// A value out of range, values that contradict each other, or no texture, no sand and clay, nothing measured.
    pub fn soil(&self) -> Result<(Soil, Flags)> {
        let mut flags = Flags::NONE;
        let organic_matter_pct = self.organic_matter_pct.unwrap_or(USUAL_ORGANIC_MATTER_PCT);
        let measured = (self.wilting_point, self.field_capacity, self.saturation, self.ksat_mm_h);
        let soil = match (measured, self.sand_pct, self.clay_pct) {
            ((Some(wilting_point), Some(field_capacity), Some(saturation), Some(ksat_mm_h)), _, _) => {
                if let Some(name) = [
                    (self.sand_pct, "sand_pct"),
                    (self.clay_pct, "clay_pct"),
                    (self.organic_matter_pct, "organic_matter_pct"),
                    (self.density_factor, "density_factor"),
                ]
                .iter()
                .find_map(|(v, name)| v.is_some().then_some(name))
                {
                    return Err(Error::inconsistent(
                        format!("{name} is given beside measured water contents, which need no estimate"),
                        format!("Leave {name} out, or the measured values."),
                    ));
                }
                let mut given = Measured { wilting_point, field_capacity, saturation, ksat_mm_h, ..Measured::default() };
                given.texture = self.texture;
                given.gravel_pct = self.gravel_pct;
                given.field_capacity_tension_kpa = self.field_capacity_tension_kpa;
                return Ok((Soil::from_measured(&given)?, flags));
            }
            ((None, None, None, None), Some(sand_pct), Some(clay_pct)) => {
                let mut given = Particles::new(sand_pct, clay_pct, organic_matter_pct);
                given.gravel_pct = self.gravel_pct.unwrap_or(given.gravel_pct);
                given.density_factor = self.density_factor.unwrap_or(given.density_factor);
                let soil = Soil::from_particles(&given)?;
                if let Some(word) = self.texture.filter(|word| *word != soil.texture()) {
                    return Err(Error::inconsistent(
                        format!("texture is \"{word}\", but {sand_pct} % sand and {clay_pct} % clay make \"{}\"", soil.texture()),
                        "Leave the word out, or correct sand and clay.",
                    ));
                }
                soil
            }
            ((None, None, None, None), None, None) => match self.texture {
                Some(class) => {
                    flags.insert(Assumption::SoilFromClass);
                    self.typical_of(class, organic_matter_pct)?
                }
                None => return Err(self.undescribed()),
            },
            _ => return Err(self.undescribed()),
        };
        if self.organic_matter_pct.is_none() {
            flags.insert(Assumption::OrganicMatter);
        }
        flags = flags.union(soil.assumptions());
        let sandy = matches!(soil.texture(), TextureClass::Sand | TextureClass::LoamySand);
        let tension = self.field_capacity_tension_kpa.or(sandy.then_some(SANDY_FIELD_CAPACITY_KPA));
        if self.field_capacity_tension_kpa.is_none() && sandy {
            flags.insert(Assumption::FieldCapacityTension);
        }
        match tension {
            Some(tension_kpa) => Ok((soil.with_field_capacity_at(tension_kpa)?, flags)),
            None => Ok((soil, flags)),
        }
    }

    /// A class by its word. Stones or compaction need particles, which the class's typical ones give.
    fn typical_of(&self, class: TextureClass, organic_matter_pct: f64) -> Result<Soil> {
        if self.gravel_pct.is_none() && self.density_factor.is_none() {
            return Soil::from_texture(class, organic_matter_pct);
        }
        let (sand_pct, clay_pct) = class.typical_sand_clay_pct();
        let mut given = Particles::new(sand_pct, clay_pct, organic_matter_pct);
        given.gravel_pct = self.gravel_pct.unwrap_or(given.gravel_pct);
        given.density_factor = self.density_factor.unwrap_or(given.density_factor);
        Soil::from_particles(&given)
    }

    fn undescribed(&self) -> Error {
        let nothing = *self == Self { to_depth_m: self.to_depth_m, ..Self::default() };
        let what = if nothing { "a description of the soil" } else { "part of the soil's description" };
        Error::missing(what, "Give texture, or sand_pct with clay_pct, or all of wilting_point, field_capacity, saturation and ksat_mm_h.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn class(texture: TextureClass) -> Horizon {
        Horizon { texture: Some(texture), ..Horizon::default() }
    }

    #[test]
    fn a_word_is_enough_and_what_it_leaves_open_is_recorded() {
        let (loam, assumed) = class(TextureClass::Loam).soil().unwrap();
        assert_eq!(loam.field_capacity_tension_kpa(), 33.0);
        assert!(assumed.contains(Assumption::SoilFromClass) && assumed.contains(Assumption::OrganicMatter));
        let (sand, assumed) = class(TextureClass::LoamySand).soil().unwrap();
        assert_eq!(sand.field_capacity_tension_kpa(), 10.0);
        assert!(assumed.contains(Assumption::FieldCapacityTension));
        let given = Horizon { field_capacity_tension_kpa: Some(33.0), ..class(TextureClass::LoamySand) };
        let (sand, assumed) = given.soil().unwrap();
        assert_eq!(sand.field_capacity_tension_kpa(), 33.0);
        assert!(!assumed.contains(Assumption::FieldCapacityTension));
    }

    #[test]
    fn stones_take_their_share_whichever_way_the_soil_is_described() {
        let plain = class(TextureClass::SandyLoam);
        let stony = Horizon { gravel_pct: Some(30.0), ..plain.clone() };
        let water = |h: &Horizon| h.soil().unwrap().0.available_water_mm(0.3).unwrap();
        assert!(water(&stony) < 0.9 * water(&plain));
        let bare = Horizon { gravel_pct: Some(0.0), ..plain.clone() };
        assert_eq!(water(&bare), water(&plain));
    }

    #[test]
    fn a_word_that_its_own_sand_and_clay_deny_is_refused() {
        let horizon = Horizon { sand_pct: Some(10.0), clay_pct: Some(60.0), ..class(TextureClass::Loam) };
        assert_eq!(
            horizon.soil().unwrap_err().to_string(),
            "texture is \"loam\", but 10 % sand and 60 % clay make \"clay\". Leave the word out, or correct sand and clay."
        );
    }

    #[test]
    fn measured_values_need_no_estimate_and_stand_alone() {
        let measured = Horizon {
            wilting_point: Some(0.10),
            field_capacity: Some(0.25),
            saturation: Some(0.45),
            ksat_mm_h: Some(20.0),
            ..Horizon::default()
        };
        let (soil, assumed) = measured.soil().unwrap();
        assert_eq!((soil.field_capacity(), assumed), (0.25, Flags::NONE));
        let both = Horizon { organic_matter_pct: Some(3.0), ..measured };
        assert_eq!(
            both.soil().unwrap_err().to_string(),
            "organic_matter_pct is given beside measured water contents, which need no estimate. Leave organic_matter_pct out, or the measured values."
        );
    }

    #[test]
    fn every_fault_of_the_layers_is_reported() {
        let at = |to_depth_m: Option<f64>| Horizon { to_depth_m, ..class(TextureClass::Loam) };
        let layer = vec![at(Some(0.3)), at(None), at(Some(0.2)), Horizon::default()];
        let error = Ground { intake_mm_h: Some(-1.0), layer }.profile().unwrap_err();
        let problems: Vec<_> = error.problems().iter().map(ToString::to_string).collect();
        assert_eq!(problems.len(), 4, "{error}");
        assert!(problems[0].starts_with("intake_mm_h is -1 mm/h"));
        assert_eq!(problems[1], "to_depth_m of layer 2 is missing. Every layer but the last needs the depth of its lower edge.");
        assert!(problems[2].starts_with("layer 3 ends at 0.2 m, not below the edge above it at 0.3 m"));
        assert!(problems[3].starts_with("a description of the soil is missing."));
    }
}
