//! A soil: how much water it holds, how tightly, and how fast it lets water through.

use super::description::{Measured, Origin, Particles, Recipe};
use super::feel;
use super::pedotransfer::{self, FIELD_CAPACITY_KPA, PARTICLE_DENSITY_G_CM3};
use super::published::{self, AvailableRange};
use super::retention::{Retention, WetEnd};
use super::texture::{TextureClass, texture_class};
use crate::assumption::{Assumption, Flags};
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::pow;
use serde::{Deserialize, Serialize};

/// Osmotic potential per salt in the saturation extract, kPa per dS/m. Saxton and Rawls (2006), Eq. 23 (from memory);
/// the NRCS Soil Quality sheet "Salinity" (1998) has 0.3 to 0.4 bar per mmho/cm.
const OSMOTIC_KPA_PER_DS_M: f64 = 36.0;

/// Clay beyond which the pedotransfer equations were not calibrated, %.
const CALIBRATED_CLAY_PCT: f64 = 60.0;

/// One soil. A value that exists is consistent: 0 < wilting point < field capacity < saturation < 1.
///
/// Water contents are those of the **fine earth**, as laboratories, probes and the source have them. Depths of water
/// ([`Soil::water_mm`], [`Soil::available_water_mm`], [`Soil::total_evaporable_mm`]), conductivity and density are those
/// of the soil as it lies, stones taking their share.
///
/// # Example
/// ```
/// use dibble::soil::{Particles, Soil};
/// // Saxton and Rawls (2006), Table 3, clay loam: wilting point 22, field capacity 36, saturation 48 vol %, 4.3 mm/h.
/// let soil = Soil::from_particles(&Particles::new(30.0, 35.0, 2.5))?;
/// assert_eq!(format!("{:.0} {:.0} {:.0}", 100.0 * soil.wilting_point(), 100.0 * soil.field_capacity(), 100.0 * soil.saturation()), "22 36 48");
/// assert_eq!(format!("{:.1}", soil.ksat_mm_h()), "4.3");
/// assert_eq!(format!("{:.1}", soil.available_water_mm(0.2)?), "28.0");
/// # Ok::<(), dibble::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(with = "Recipe"))]
#[serde(try_from = "Recipe", into = "Recipe")]
pub struct Soil {
    recipe: Recipe,
    texture: TextureClass,
    wilting_point: f64,
    field_capacity: f64,
    field_capacity_kpa: f64,
    saturation: f64,
    retention: Retention,
    /// Air entry of the pedotransfer equations, where they were used.
    air_entry_kpa: Option<f64>,
    ksat_mm_h: f64,
    fine_earth: f64,
    bulk_density_g_cm3: f64,
    ec_ds_m: f64,
    assumptions: Flags,
}

impl Soil {
    /// A soil of which only the texture class is known: the class's typical particles, see
    /// [`TextureClass::typical_sand_clay_pct`], with `organic_matter_pct` (0 to 8 %).
    ///
    /// # Errors
    /// Organic matter out of range.
    pub fn from_texture(texture: TextureClass, organic_matter_pct: f64) -> Result<Self> {
        let (sand_pct, clay_pct) = texture.typical_sand_clay_pct();
        let mut soil = Self::from_particles(&Particles::new(sand_pct, clay_pct, organic_matter_pct))?;
        soil.recipe.origin = Origin::Texture { texture, organic_matter_pct };
        soil.texture = texture;
        soil.assumptions.insert(Assumption::SoilFromClass);
        Ok(soil)
    }

    /// A soil from its particle sizes, organic matter, density, gravel and salt.
    ///
    /// # Errors
    /// A value out of range, sand and clay over 100 %, or a combination (peaty, or packed beyond its pores) for which
    /// the equations give no usable soil.
    ///
    /// # Source
    /// Saxton and Rawls (2006), Eq. 1-10, 15-16, 19-22. Clay above 60 % is outside their data and is recorded as an assumption.
    pub fn from_particles(given: &Particles) -> Result<Self> {
        let texture = texture_class(given.sand_pct, given.clay_pct)?;
        bounds::ORGANIC_MATTER_PCT.check(given.organic_matter_pct)?;
        bounds::DENSITY_FACTOR.check(given.density_factor)?;
        bounds::GRAVEL_PCT.check(given.gravel_pct)?;
        bounds::EC_DS_M.check(given.ec_ds_m)?;

        let h = pedotransfer::hydraulic(given.sand_pct / 100.0, given.clay_pct / 100.0, given.organic_matter_pct, given.density_factor);
        let ordered = 0.0 < h.wilting_point && h.wilting_point < h.field_capacity && h.field_capacity < h.saturation && h.saturation < 1.0;
        if !ordered || !bounds::KSAT_MM_H.contains(h.ksat_mm_h) {
            return Err(Error::inconsistent(
                format!(
                    "the pedotransfer equations give no usable soil for sand_pct {}, clay_pct {}, organic_matter_pct {}, density_factor {} (wilting point {:.3}, field capacity {:.3}, saturation {:.3})",
                    given.sand_pct,
                    given.clay_pct,
                    given.organic_matter_pct,
                    given.density_factor,
                    h.wilting_point,
                    h.field_capacity,
                    h.saturation
                ),
                "Give measured water holding, or check the density factor (1 is normal, 1.1 dense, 1.2 hard).",
            ));
        }

        let gravel = given.gravel_pct / 100.0;
        let stones = pedotransfer::gravel_volume(gravel, h.bulk_density_g_cm3);
        let mut assumptions = Flags::NONE;
        if given.clay_pct > CALIBRATED_CLAY_PCT {
            assumptions.insert(Assumption::ClayBeyondCalibration);
        }
        Ok(Self {
            recipe: Recipe::of(Origin::Particles(*given)),
            texture,
            wilting_point: h.wilting_point,
            field_capacity: h.field_capacity,
            field_capacity_kpa: FIELD_CAPACITY_KPA,
            saturation: h.saturation,
            retention: Retention::new(h.wilting_point, h.field_capacity, FIELD_CAPACITY_KPA, h.saturation),
            air_entry_kpa: Some(h.air_entry_kpa),
            ksat_mm_h: h.ksat_mm_h * pedotransfer::gravel_ksat_ratio(gravel, h.bulk_density_g_cm3),
            fine_earth: 1.0 - stones,
            bulk_density_g_cm3: h.bulk_density_g_cm3 * (1.0 - stones) + PARTICLE_DENSITY_G_CM3 * stones, // Eq. 20
            ec_ds_m: given.ec_ds_m,
            assumptions,
        })
    }

    /// A soil from measured water holding and conductivity.
    ///
    /// # Errors
    /// A value out of range, or values out of order: wilting point < field capacity < saturation, saturation within the
    /// pores that the bulk density leaves.
    pub fn from_measured(given: &Measured) -> Result<Self> {
        let wilting_point = bounds::WILTING_POINT.check(given.wilting_point)?;
        let field_capacity = bounds::WATER_CONTENT.named("field_capacity").check(given.field_capacity)?;
        let saturation = bounds::WATER_CONTENT.named("saturation").check(given.saturation)?;
        let ksat_mm_h = bounds::KSAT_MM_H.check(given.ksat_mm_h)?;
        let field_capacity_kpa = bounds::FIELD_CAPACITY_KPA.check(given.field_capacity_tension_kpa.unwrap_or(FIELD_CAPACITY_KPA))?;
        let gravel_pct = bounds::GRAVEL_PCT.check(given.gravel_pct.unwrap_or(0.0))?;
        let ec_ds_m = bounds::EC_DS_M.check(given.ec_ds_m.unwrap_or(0.0))?;
        if field_capacity <= wilting_point {
            return Err(Error::inconsistent(
                format!("field_capacity {field_capacity} is not above wilting_point {wilting_point}"),
                "A soil holds more water at field capacity than at wilting: check that the two are not exchanged and that both are m3/m3.",
            ));
        }
        if saturation <= field_capacity || saturation >= 1.0 {
            return Err(Error::inconsistent(
                format!("saturation {saturation} is not between field_capacity {field_capacity} and 1"),
                "Saturation is the pore space, commonly 0.35 to 0.60 m3/m3.",
            ));
        }
        let density = bounds::BULK_DENSITY_G_CM3.check_option(given.bulk_density_g_cm3)?;
        if let Some(density) = density {
            let pores = 1.0 - density / PARTICLE_DENSITY_G_CM3;
            // Particles of 2.65 g/cm3 are a convention; soils differ by some hundredths of pore space.
            if saturation > pores + 0.05 {
                return Err(Error::inconsistent(
                    format!("saturation {saturation} is more than the pore space {pores:.3} that bulk_density_g_cm3 {density} leaves"),
                    "Check both; pore space is 1 - density / 2.65.",
                ));
            }
        }

        let density = density.unwrap_or(PARTICLE_DENSITY_G_CM3 * (1.0 - saturation));
        let stones = pedotransfer::gravel_volume(gravel_pct / 100.0, density);
        let mut assumptions = Flags::NONE;
        if given.texture.is_none() {
            assumptions.insert(Assumption::TextureFromHolding);
        }
        Ok(Self {
            recipe: Recipe::of(Origin::Measured(*given)),
            texture: given.texture.unwrap_or_else(|| published::class_holding_alike(wilting_point, field_capacity)),
            wilting_point,
            field_capacity,
            field_capacity_kpa,
            saturation,
            retention: Retention::new(wilting_point, field_capacity, field_capacity_kpa, saturation),
            air_entry_kpa: None,
            ksat_mm_h,
            fine_earth: 1.0 - stones,
            bulk_density_g_cm3: density * (1.0 - stones) + PARTICLE_DENSITY_G_CM3 * stones,
            ec_ds_m,
            assumptions,
        })
    }

    /// The same soil with field capacity read off its retention curve at another tension (1 to 100 kPa). Coarse soils
    /// drain to about 10 kPa in the field.
    ///
    /// # Errors
    /// Tension out of range, or so low that the curve is at saturation.
    ///
    /// # Example
    /// ```
    /// use dibble::soil::{Soil, TextureClass};
    /// let sand = Soil::from_texture(TextureClass::Sand, 2.5)?;
    /// assert_eq!(format!("{:.3}", sand.field_capacity()), "0.084");
    /// assert_eq!(format!("{:.3}", sand.with_field_capacity_at(10.0)?.field_capacity()), "0.108");
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn with_field_capacity_at(mut self, tension_kpa: f64) -> Result<Self> {
        bounds::FIELD_CAPACITY_KPA.check(tension_kpa)?;
        self.recipe.field_capacity_tension_kpa = Some(tension_kpa);
        self.with_field_capacity_of_recipe()
    }

    /// The same soil with another form of the retention curve wetter than 33 kPa; a field capacity that was set by its
    /// tension is read off the new curve.
    ///
    /// # Errors
    /// The straight line for a measured soil, whose air entry is not known, or for one that air enters above 33 kPa.
    pub fn with_wet_end(mut self, wet_end: WetEnd) -> Result<Self> {
        let air_entry = match (wet_end, self.air_entry_kpa) {
            (WetEnd::PowerLaw, _) => None,
            (WetEnd::StraightLine, Some(kpa)) if kpa < FIELD_CAPACITY_KPA => Some(kpa),
            (WetEnd::StraightLine, Some(kpa)) => {
                return Err(Error::inconsistent(
                    format!("air enters this soil at {kpa:.1} kPa, which leaves no straight line below 33 kPa"),
                    "Keep the power law.",
                ));
            }
            (WetEnd::StraightLine, None) => {
                return Err(Error::missing(
                    "the air entry tension of a measured soil",
                    "The straight line ends there: keep the power law, or describe the soil by its particles.",
                ));
            }
        };
        self.retention = self.retention.with_air_entry(air_entry);
        self.recipe.wet_end = wet_end;
        self.with_field_capacity_of_recipe()
    }

    fn with_field_capacity_of_recipe(mut self) -> Result<Self> {
        let Some(tension_kpa) = self.recipe.field_capacity_tension_kpa else { return Ok(self) };
        let field_capacity = self.retention.water_content_at(tension_kpa)?;
        if field_capacity >= self.saturation {
            return Err(Error::inconsistent(
                format!("field_capacity_tension_kpa {tension_kpa} is wetter than air entry: this soil is still saturated there"),
                "Field capacity is commonly taken at 10 kPa on sands and at 33 kPa elsewhere.",
            ));
        }
        self.field_capacity = field_capacity;
        self.field_capacity_kpa = tension_kpa;
        Ok(self)
    }

    /// Texture class.
    pub fn texture(&self) -> TextureClass {
        self.texture
    }

    /// Water content at 1500 kPa, m3/m3 of fine earth.
    pub fn wilting_point(&self) -> f64 {
        self.wilting_point
    }

    /// Water content that stays after draining, m3/m3 of fine earth.
    pub fn field_capacity(&self) -> f64 {
        self.field_capacity
    }

    /// Tension at field capacity, kPa: 33 unless set.
    pub fn field_capacity_tension_kpa(&self) -> f64 {
        self.field_capacity_kpa
    }

    /// Water content when all pores are full, m3/m3 of fine earth.
    pub fn saturation(&self) -> f64 {
        self.saturation
    }

    /// Saturated conductivity of the soil as it lies, mm/h.
    pub fn ksat_mm_h(&self) -> f64 {
        self.ksat_mm_h
    }

    /// Bulk density of the soil as it lies, g/cm3.
    pub fn bulk_density_g_cm3(&self) -> f64 {
        self.bulk_density_g_cm3
    }

    /// Share of the volume that is not stones, 0 to 1.
    pub fn fine_earth_fraction(&self) -> f64 {
        self.fine_earth
    }

    /// Salt in the saturation extract, dS/m.
    pub fn ec_ds_m(&self) -> f64 {
        self.ec_ds_m
    }

    /// What was taken for granted in making this soil.
    pub fn assumptions(&self) -> Flags {
        self.assumptions
    }

    /// Water, mm, in `depth_m` (0 to 10) of this soil at a water content of its fine earth (m3/m3); stones hold none.
    ///
    /// # Errors
    /// Depth or water content out of range.
    pub fn water_mm(&self, water_content: f64, depth_m: f64) -> Result<f64> {
        bounds::WATER_CONTENT.check(water_content)?;
        bounds::SOIL_DEPTH_M.check(depth_m)?;
        Ok(1000.0 * water_content * self.fine_earth * depth_m)
    }

    /// Water between field capacity and wilting point in `depth_m` (0 to 10), mm.
    ///
    /// TAW = 1000 (FC - WP) Z, FAO-56 Eq. 82, less the share of stones.
    ///
    /// # Errors
    /// Depth out of range.
    pub fn available_water_mm(&self, depth_m: f64) -> Result<f64> {
        self.water_mm(self.field_capacity - self.wilting_point, depth_m)
    }

    /// Low and high published values of available water for this texture, m3/m3 of soil, widened to hold this soil's own.
    /// Measured soils have their own value only.
    pub fn available_range(&self) -> AvailableRange {
        let own = (self.field_capacity - self.wilting_point) * self.fine_earth;
        match self.recipe.origin {
            Origin::Measured(_) => AvailableRange { low: own, high: own, source: "measured" },
            Origin::Texture { .. } | Origin::Particles(_) => {
                let AvailableRange { low, high, source } = published::available_range(self.texture);
                AvailableRange { low: (low * self.fine_earth).min(own), high: (high * self.fine_earth).max(own), source }
            }
        }
    }

    /// Water content of the fine earth at a tension (0 to 100,000 kPa), m3/m3.
    ///
    /// # Errors
    /// Tension out of range.
    pub fn water_content_at(&self, tension_kpa: f64) -> Result<f64> {
        self.retention.water_content_at(tension_kpa)
    }

    /// Tension at a water content of the fine earth (0 to saturation), kPa. At most 1,000,000, which is oven dry; at
    /// saturation the tension at which air begins to enter.
    ///
    /// # Errors
    /// Water content out of range or above saturation.
    pub fn tension_at(&self, water_content: f64) -> Result<f64> {
        self.retention.tension_at(water_content)
    }

    /// Osmotic potential of the soil solution at a water content, kPa (a positive number, as tension): salts concentrate
    /// as the soil dries.
    ///
    /// # Errors
    /// Water content out of range, zero, or above saturation.
    ///
    /// # Source
    /// Saxton and Rawls (2006), Eq. 23-24 (from memory): (saturation / water content) x 36 EC.
    pub fn osmotic_kpa_at(&self, water_content: f64) -> Result<f64> {
        self.tension_at(water_content)?;
        if water_content <= 0.0 {
            return Err(Error::inconsistent("water_content 0 has no soil solution", "Give a water content above 0."));
        }
        Ok(self.saturation / water_content * OSMOTIC_KPA_PER_DS_M * self.ec_ds_m)
    }

    /// Unsaturated conductivity, mm/h, at a water content of the fine earth: K = Ks (theta / theta_s)^(3 + 2 / lambda).
    ///
    /// For reading only. As a daily drainage rule it would hold a sand wet for decades.
    ///
    /// # Errors
    /// Water content out of range or above saturation.
    ///
    /// # Source
    /// Saxton and Rawls (2006), Eq. 17 (exponent from memory).
    pub fn conductivity_mm_h(&self, water_content: f64) -> Result<f64> {
        self.tension_at(water_content)?;
        Ok(self.ksat_mm_h * pow(water_content / self.saturation, 3.0 + 2.0 / self.retention.lambda()))
    }

    /// Water that evaporates from bare soil without hindrance (REW), mm: midpoint of FAO-56 Table 19 for the texture.
    /// A thin evaporating layer may hold less: keep it at or below [`Soil::total_evaporable_mm`].
    pub fn readily_evaporable_mm(&self) -> f64 {
        let (low, high) = published::readily_evaporable_mm(self.texture);
        0.5 * (low + high)
    }

    /// Water that can evaporate from a bare surface layer (TEW), mm, `depth_m` deep (0.10 to 0.15 is usual).
    ///
    /// TEW = 1000 (FC - 0.5 WP) Ze, FAO-56 Eq. 73, less the share of stones.
    ///
    /// # Errors
    /// Depth out of range.
    pub fn total_evaporable_mm(&self, depth_m: f64) -> Result<f64> {
        self.water_mm(self.field_capacity - 0.5 * self.wilting_point, depth_m)
    }

    /// The group of the feel test that this soil belongs to.
    pub fn feel_group(&self) -> feel::Group {
        feel::Group::of(self.texture)
    }
}

impl TryFrom<Recipe> for Soil {
    type Error = Error;
    fn try_from(recipe: Recipe) -> Result<Self> {
        let soil = match recipe.origin {
            Origin::Texture { texture, organic_matter_pct } => Soil::from_texture(texture, organic_matter_pct)?,
            Origin::Particles(particles) => Soil::from_particles(&particles)?,
            Origin::Measured(measured) => Soil::from_measured(&measured)?,
        };
        let soil = soil.with_wet_end(recipe.wet_end)?;
        match recipe.field_capacity_tension_kpa {
            Some(tension_kpa) => soil.with_field_capacity_at(tension_kpa),
            None => Ok(soil),
        }
    }
}

impl From<Soil> for Recipe {
    fn from(soil: Soil) -> Self {
        soil.recipe
    }
}
