//! Layers of soil, from the surface down.

use super::hydraulic::Soil;
use crate::bounds;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// A layer of a [`Profile`]: it begins where the one above ends.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Layer {
    /// Depth of its lower edge, m.
    pub to_depth_m: f64,
    /// What it is made of, stones included.
    pub soil: Soil,
}

/// Soil from the surface down. The last layer goes on below its lower edge.
///
/// # Example
/// ```
/// use dibble::soil::{Layer, Profile, Soil, TextureClass};
/// let loam = Soil::from_texture(TextureClass::SiltLoam, 3.0)?;
/// let till = Soil::from_texture(TextureClass::ClayLoam, 0.5)?;
/// let profile = Profile::layered(vec![Layer { to_depth_m: 0.3, soil: loam }, Layer { to_depth_m: 1.0, soil: till }])?;
/// let both = loam.available_water_mm(0.3)? + till.available_water_mm(0.2)?;
/// assert_eq!(profile.available_water_mm(0.5)?, both);
/// assert_eq!(profile.drainage_limit_mm_h(0.1)?, till.ksat_mm_h()); // the till holds the water up
/// # Ok::<(), dibble::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(with = "Vec<Layer>"))]
#[serde(try_from = "Vec<Layer>", into = "Vec<Layer>")]
pub struct Profile {
    first: Layer,
    deeper: Vec<Layer>,
}

impl Profile {
    /// One soil all the way down.
    pub fn uniform(soil: Soil) -> Self {
        Self { first: Layer { to_depth_m: bounds::SOIL_DEPTH_M.max, soil }, deeper: Vec::new() }
    }

    /// Layers from the surface down, each with its lower edge.
    ///
    /// # Errors
    /// No layer, an edge out of range, or edges that do not increase.
    pub fn layered(layers: Vec<Layer>) -> Result<Self> {
        let mut above = 0.0;
        for (i, layer) in layers.iter().enumerate() {
            let edge = bounds::SOIL_DEPTH_M.named("to_depth_m").check(layer.to_depth_m)?;
            if edge <= above {
                return Err(Error::inconsistent(
                    format!("layer {} ends at {edge} m, not below the edge above it at {above} m", i + 1),
                    "Give the layers from the surface down, each with the depth of its lower edge in meters.",
                ));
            }
            above = edge;
        }
        let mut layers = layers.into_iter();
        match layers.next() {
            Some(first) => Ok(Self { first, deeper: layers.collect() }),
            None => Err(Error::missing("a soil layer", "Give at least one layer with to_depth_m and its soil.")),
        }
    }

    /// The layers, surface first.
    pub fn layers(&self) -> impl Iterator<Item = &Layer> {
        std::iter::once(&self.first).chain(&self.deeper)
    }

    /// The soil at the surface.
    pub fn top(&self) -> &Soil {
        &self.first.soil
    }

    /// The soil at a depth (0 to 10 m); on an edge, the layer below it.
    ///
    /// # Errors
    /// Depth out of range.
    pub fn soil_at(&self, depth_m: f64) -> Result<&Soil> {
        bounds::SOIL_DEPTH_M.check(depth_m)?;
        Ok(self.layers().find(|layer| depth_m < layer.to_depth_m).map_or(self.lowest(), |layer| &layer.soil))
    }

    /// The pieces between two depths, as (thickness in m, soil), surface first.
    ///
    /// # Errors
    /// A depth out of range, or the lower above the upper.
    pub fn pieces(&self, from_m: f64, to_m: f64) -> Result<Vec<(f64, &Soil)>> {
        bounds::SOIL_DEPTH_M.named("from_m").check(from_m)?;
        bounds::SOIL_DEPTH_M.named("to_m").check(to_m)?;
        if to_m < from_m {
            return Err(Error::inconsistent(format!("to_m {to_m} lies above from_m {from_m}"), "Depth counts downwards from the surface."));
        }
        let mut pieces = Vec::new();
        let mut top = from_m;
        for layer in self.layers() {
            let bottom = layer.to_depth_m.min(to_m);
            if bottom > top {
                pieces.push((bottom - top, &layer.soil));
                top = bottom;
            }
        }
        if to_m > top {
            pieces.push((to_m - top, self.lowest()));
        }
        Ok(pieces)
    }

    /// Water between field capacity and wilting point from the surface to a depth (0 to 10 m), mm.
    ///
    /// # Errors
    /// Depth out of range.
    pub fn available_water_mm(&self, depth_m: f64) -> Result<f64> {
        bounds::SOIL_DEPTH_M.check(depth_m)?;
        self.pieces(0.0, depth_m)?.into_iter().try_fold(0.0, |sum, (thickness_m, soil)| Ok(sum + soil.available_water_mm(thickness_m)?))
    }

    /// Smallest saturated conductivity at a depth or anywhere beneath it, mm/h: dense till under loam holds water up.
    ///
    /// # Errors
    /// Depth out of range.
    pub fn drainage_limit_mm_h(&self, depth_m: f64) -> Result<f64> {
        let here = self.soil_at(depth_m)?.ksat_mm_h();
        Ok(self.layers().filter(|layer| layer.to_depth_m > depth_m).fold(here, |limit, layer| limit.min(layer.soil.ksat_mm_h())))
    }

    fn lowest(&self) -> &Soil {
        &self.deeper.last().unwrap_or(&self.first).soil
    }
}

impl TryFrom<Vec<Layer>> for Profile {
    type Error = Error;
    fn try_from(layers: Vec<Layer>) -> Result<Self> {
        Self::layered(layers)
    }
}

impl From<Profile> for Vec<Layer> {
    fn from(profile: Profile) -> Self {
        profile.layers().copied().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::TextureClass;

    fn loam_over_till() -> (Soil, Soil, Profile) {
        let loam = Soil::from_texture(TextureClass::SiltLoam, 3.0).unwrap();
        let till = Soil::from_texture(TextureClass::ClayLoam, 0.5).unwrap();
        let layers = vec![Layer { to_depth_m: 0.3, soil: loam }, Layer { to_depth_m: 0.6, soil: till }];
        (loam, till, Profile::layered(layers).unwrap())
    }

    #[test]
    fn the_last_layer_goes_on_downwards() {
        let (loam, till, profile) = loam_over_till();
        assert_eq!(profile.soil_at(0.3).unwrap(), &till);
        assert_eq!(profile.soil_at(5.0).unwrap(), &till);
        let pieces = profile.pieces(0.1, 1.0).unwrap();
        let total: f64 = pieces.iter().map(|(thickness, _)| thickness).sum();
        assert!((total - 0.9).abs() < 1e-12);
        assert_eq!((pieces[0].1, pieces[2].1), (&loam, &till));
    }

    #[test]
    fn a_layer_that_passes_less_limits_all_above_it_and_none_below() {
        let (loam, till, profile) = loam_over_till();
        assert_eq!(profile.drainage_limit_mm_h(0.0).unwrap(), till.ksat_mm_h());
        let turned = Profile::layered(vec![Layer { to_depth_m: 0.3, soil: till }, Layer { to_depth_m: 0.6, soil: loam }]).unwrap();
        assert_eq!(turned.drainage_limit_mm_h(0.4).unwrap(), loam.ksat_mm_h());
        assert_eq!(turned.drainage_limit_mm_h(0.0).unwrap(), till.ksat_mm_h());
    }

    #[test]
    fn stones_take_their_share_of_the_water() {
        use crate::soil::Particles;
        let plain = Particles::new(30.0, 35.0, 2.5);
        let stony = Soil::from_particles(&Particles { gravel_pct: 30.0, ..plain }).unwrap();
        let plain = Soil::from_particles(&plain).unwrap();
        let ratio = Profile::uniform(stony).available_water_mm(0.5).unwrap() / Profile::uniform(plain).available_water_mm(0.5).unwrap();
        assert!((ratio - stony.fine_earth_fraction()).abs() < 1e-12 && ratio < 0.83);
    }

    #[test]
    fn bad_layers_say_what_is_wrong() {
        let (loam, ..) = loam_over_till();
        assert_eq!(
            Profile::layered(vec![Layer { to_depth_m: 0.3, soil: loam }, Layer { to_depth_m: 0.2, soil: loam }]).unwrap_err().to_string(),
            "layer 2 ends at 0.2 m, not below the edge above it at 0.3 m. Give the layers from the surface down, each with the depth of its lower edge in meters."
        );
        assert_eq!(
            Profile::layered(Vec::new()).unwrap_err().to_string(),
            "a soil layer is missing. Give at least one layer with to_depth_m and its soil."
        );
    }
}
