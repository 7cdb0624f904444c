//! One column of the ledger: its weather, cover and soil, how it starts, and what is done to it.

use super::reading::Reading;
use super::refill::Refill;
use super::season::Form;
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::soil::{Profile, TextureClass};
use crate::stand::CropDays;
use crate::weather::Daily;
use serde::{Deserialize, Serialize};

/// Water given on a day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Watering {
    /// The day, watered in the morning.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Depth that reaches the ground, mm.
    pub depth_mm: f64,
    /// Rate at which it falls, mm/h. Given, the soil's intake decides how much enters and how much runs off;
    /// left out, all of it enters (pulses, drip, bucket).
    #[serde(default)]
    pub rate_mm_h: Option<f64>,
}

impl Watering {
    /// In range?
    ///
    /// # Errors
    /// A depth or a rate out of range.
    pub fn check(&self) -> Result<()> {
        bounds::DEPTH_MM.check(self.depth_mm)?;
        bounds::RATE_MM_H.check_option(self.rate_mm_h)?;
        Ok(())
    }
}

/// One column. Made by [`Column::new`] with plain defaults; change what you know.
#[derive(Debug, Clone)]
pub struct Column<'a> {
    /// What results call it.
    pub name: String,
    /// Complete daily weather.
    pub weather: &'a Daily,
    /// Coefficients, exposed ground and roots for the same days.
    pub crop: &'a CropDays,
    /// Soil from the surface down.
    pub profile: &'a Profile,
    /// Curve number for rain; `None` lets all rain enter.
    pub curve_number: Option<f64>,
    /// Share of the available water in the root zone at the start, 0 to 1.
    pub start: f64,
    /// The same for the soil below the roots.
    pub subsoil_start: f64,
    /// Rain below this share of the day's ETo is caught by leaves and litter (FAO-56 p. 170 allows 0.2).
    pub ignored_rain_share: f64,
    /// Fraction of the surface that irrigation wets (printed form only).
    pub wetted_fraction: f64,
    /// Depth from which water evaporates, m (0.10 to 0.15, FAO-56 p. 144); never more than half the root depth.
    pub evaporable_depth_m: f64,
    /// Readily evaporable water, mm; `None` takes the soil's.
    pub readily_evaporable_mm: Option<f64>,
    /// Multiplies the stress onset p for the soil: less than 1 on clay, more on sand (FAO-56 p. 167).
    pub p_factor: f64,
    /// Measured intake of the surface, mm/h; `None` estimates it from the soil.
    pub intake_mm_h: Option<f64>,
    /// Slope, %: how much water the surface holds before it runs.
    pub slope_pct: f64,
    /// Water given, in order of days.
    pub waterings: Vec<Watering>,
    /// Waters by itself when due.
    pub refill: Option<Refill>,
    /// Looked up in the ground, in order of days.
    pub readings: Vec<Reading>,
}

impl<'a> Column<'a> {
    /// Full at the start, all rain enters but the smallest, p as the soil's texture asks.
    pub fn new(name: impl Into<String>, weather: &'a Daily, crop: &'a CropDays, profile: &'a Profile) -> Self {
        Self {
            name: name.into(),
            weather,
            crop,
            profile,
            curve_number: None,
            start: 1.0,
            subsoil_start: 1.0,
            ignored_rain_share: 0.2,
            wetted_fraction: 1.0,
            evaporable_depth_m: 0.10,
            readily_evaporable_mm: None,
            p_factor: p_factor(profile.top().texture()),
            intake_mm_h: None,
            slope_pct: 0.0,
            waterings: Vec::new(),
            refill: None,
            readings: Vec::new(),
        }
    }

    /// Checks every value against the days that all columns share.
    pub(super) fn check(&self, first: Date, days: usize, form: Form) -> Result<()> {
        let place = |e: Error| e.at(format!("column \"{}\"", self.name));
        let check = || -> Result<()> {
            if self.weather.first() != first || self.weather.len() != days || self.crop.len() != days {
                return Err(Error::inconsistent(
                    format!(
                        "weather begins on {} with {} days and the cover has {} days, where the first column has {days} days from {first}",
                        self.weather.first(),
                        self.weather.len(),
                        self.crop.len()
                    ),
                    "All columns of a run share their days.",
                ));
            }
            bounds::FRACTION.named("start").check(self.start)?;
            bounds::FRACTION.named("subsoil_start").check(self.subsoil_start)?;
            bounds::FRACTION.named("ignored_rain_share").check(self.ignored_rain_share)?;
            bounds::WETTED_FRACTION.check(self.wetted_fraction)?;
            bounds::EVAPORABLE_DEPTH_M.check(self.evaporable_depth_m)?;
            bounds::DEPTH_MM.named("readily_evaporable_mm").check_option(self.readily_evaporable_mm)?;
            bounds::P_FACTOR.check(self.p_factor)?;
            bounds::KSAT_MM_H.named("intake_mm_h").check_option(self.intake_mm_h)?;
            bounds::SLOPE_PCT.check(self.slope_pct)?;
            if let Some(number) = self.curve_number {
                bounds::CURVE_NUMBER.check(number)?;
            }
            for watering in &self.waterings {
                watering.check()?;
            }
            if let Some(refill) = self.refill {
                refill.checked()?;
            }
            for reading in &self.readings {
                reading.check()?;
            }
            let sorted = self.waterings.is_sorted_by_key(|w| w.date) && self.readings.is_sorted_by_key(|r| r.date);
            if !sorted {
                return Err(Error::inconsistent("waterings or readings are out of order", "Sort them by date."));
            }
            if form != Form::Layered && self.profile.layers().count() > 1 {
                return Err(Error::inconsistent("the printed form knows one soil only", "Use the layered form for a layered profile."));
            }
            Ok(())
        };
        check().map_err(place)
    }
}

/// FAO-56 p. 167: 5 to 10 % less on clay, 5 to 10 % more on sand; the middle.
fn p_factor(texture: TextureClass) -> f64 {
    match texture {
        TextureClass::Clay | TextureClass::SiltyClay | TextureClass::SandyClay => 0.925,
        TextureClass::Sand | TextureClass::LoamySand => 1.075,
        _ => 1.0,
    }
}
