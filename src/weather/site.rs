//! Where the weather was measured: what the sun and the air pressure follow from, and what the gap-filling methods ask about the place.

use crate::bounds;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// A place with its weather station. Two numbers are enough; the rest narrows the assumptions.
///
/// ```
/// use dibble::weather::Site;
/// let site = Site::new(45.2, 290.0)?.with_wind_height(3.0)?;
/// assert_eq!((site.latitude_deg(), site.wind_height_m()), (45.2, Some(3.0)));
/// # Ok::<(), dibble::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "Parts", into = "Parts")]
pub struct Site {
    latitude_deg: f64,
    elevation_m: f64,
    longitude_deg: Option<f64>,
    wind_height_m: Option<f64>,
    utc_offset_h: Option<f64>,
    coastal: bool,
    arid: bool,
}

impl Site {
    /// A site at `latitude_deg` (-90 to 90, north positive) and `elevation_m` (-450 to 6000 above sea level): inland, humid,
    /// with a wind sensor of unknown height.
    ///
    /// # Errors
    /// A number out of range; both are reported.
    pub fn new(latitude_deg: f64, elevation_m: f64) -> Result<Self> {
        let problems = [bounds::LATITUDE_DEG.check(latitude_deg), bounds::ELEVATION_M.check(elevation_m)]
            .into_iter()
            .filter_map(Result::err)
            .collect();
        match Error::several(problems) {
            Some(error) => Err(error),
            None => Ok(Self {
                latitude_deg,
                elevation_m,
                longitude_deg: None,
                wind_height_m: None,
                utc_offset_h: None,
                coastal: false,
                arid: false,
            }),
        }
    }

    /// With its longitude, degrees, east positive. Hourly radiation needs it.
    ///
    /// # Errors
    /// Outside -180 to 180.
    pub fn with_longitude(mut self, longitude_deg: f64) -> Result<Self> {
        self.longitude_deg = Some(bounds::LONGITUDE_DEG.check(longitude_deg)?);
        Ok(self)
    }

    /// With the height of the wind sensor above ground, m. Without it 10 m is assumed.
    ///
    /// # Errors
    /// Outside 0.5 to 100 m.
    pub fn with_wind_height(mut self, wind_height_m: f64) -> Result<Self> {
        self.wind_height_m = Some(bounds::WIND_HEIGHT_M.check(wind_height_m)?);
        Ok(self)
    }

    /// With the offset of local standard time from UTC, h. Hourly radiation needs it.
    ///
    /// # Errors
    /// Outside -12 to 14 h.
    pub fn with_utc_offset(mut self, utc_offset_h: f64) -> Result<Self> {
        self.utc_offset_h = Some(bounds::UTC_OFFSET_H.check(utc_offset_h)?);
        Ok(self)
    }

    /// On or near a coast, where air from a large water body sets the temperature (kRs 0.19 instead of 0.16 in FAO-56 Eq. 50)?
    #[must_use]
    pub fn with_coastal(mut self, coastal: bool) -> Self {
        self.coastal = coastal;
        self
    }

    /// In an arid place, where a missing dew point lies below the day's lowest temperature (FAO-56 p. 58)?
    #[must_use]
    pub fn with_arid(mut self, arid: bool) -> Self {
        self.arid = arid;
        self
    }

    /// Latitude, degrees, north positive.
    pub fn latitude_deg(&self) -> f64 {
        self.latitude_deg
    }
    /// Elevation above sea level, m.
    pub fn elevation_m(&self) -> f64 {
        self.elevation_m
    }
    /// Longitude, degrees, east positive.
    pub fn longitude_deg(&self) -> Option<f64> {
        self.longitude_deg
    }
    /// Height of the wind sensor, m.
    pub fn wind_height_m(&self) -> Option<f64> {
        self.wind_height_m
    }
    /// Offset of local standard time from UTC, h.
    pub fn utc_offset_h(&self) -> Option<f64> {
        self.utc_offset_h
    }
    /// On or near a coast?
    pub fn coastal(&self) -> bool {
        self.coastal
    }
    /// In an arid place?
    pub fn arid(&self) -> bool {
        self.arid
    }
}

/// A site as it is written.
#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
struct Parts {
    latitude_deg: f64,
    elevation_m: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    longitude_deg: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    wind_height_m: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    utc_offset_h: Option<f64>,
    #[serde(default)]
    coastal: bool,
    #[serde(default)]
    arid: bool,
}

impl TryFrom<Parts> for Site {
    type Error = Error;
    fn try_from(parts: Parts) -> Result<Self> {
        let mut site = Site::new(parts.latitude_deg, parts.elevation_m)?.with_coastal(parts.coastal).with_arid(parts.arid);
        site.longitude_deg = bounds::LONGITUDE_DEG.check_option(parts.longitude_deg)?;
        site.wind_height_m = bounds::WIND_HEIGHT_M.check_option(parts.wind_height_m)?;
        site.utc_offset_h = bounds::UTC_OFFSET_H.check_option(parts.utc_offset_h)?;
        Ok(site)
    }
}

impl From<Site> for Parts {
    fn from(site: Site) -> Self {
        let Site { latitude_deg, elevation_m, longitude_deg, wind_height_m, utc_offset_h, coastal, arid } = site;
        Parts { latitude_deg, elevation_m, longitude_deg, wind_height_m, utc_offset_h, coastal, arid }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn absurd_places_are_refused_with_what_value_range_and_hint() {
        assert_eq!(
            Site::new(95.0, 9000.0).unwrap_err().to_string(),
            "2 problems:\n  - latitude_deg is 95 deg: latitude must be from -90 to 90 deg. North is positive, south negative, in decimal degrees.\n  - elevation_m is 9000 m: elevation above sea level must be from -450 to 6000 m. Give meters; 1,000 ft is 304.8 m."
        );
    }

    #[test]
    fn json_round_trip_and_validation() {
        let site = Site::new(45.2, 290.0).unwrap().with_longitude(-85.1).unwrap().with_coastal(true);
        let text = serde_json::to_string(&site).unwrap();
        assert_eq!(serde_json::from_str::<Site>(&text).unwrap(), site);
        let error = serde_json::from_str::<Site>(r#"{"latitude_deg": 95, "elevation_m": 1}"#).unwrap_err();
        assert!(error.to_string().starts_with("latitude_deg is 95 deg"), "{error}");
        assert!(serde_json::from_str::<Site>(r#"{"latitude_deg": 45, "elevation_m": 1, "height": 2}"#).is_err());
    }
}
