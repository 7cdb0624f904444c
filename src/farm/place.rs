//! Where the farm lies.

use crate::bounds;
use crate::error::{Error, Result};
use crate::geom::exchanged;
use crate::weather::Site;
use serde::{Deserialize, Serialize};

/// `[site]`: the place and its weather station.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Latitude, degrees, north positive.
    pub latitude_deg: f64,
    /// Elevation above sea level, m.
    pub elevation_m: f64,
    /// Longitude, degrees, east positive. Only hourly weather needs it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub longitude_deg: Option<f64>,
    /// Offset of local standard time from UTC, h. Only hourly weather needs it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub utc_offset_h: Option<f64>,
    /// Height of the wind sensor, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind_height_m: Option<f64>,
    /// On or near the coast of a large water body?
    #[serde(default)]
    pub coastal: bool,
    /// In an arid place?
    #[serde(default)]
    pub arid: bool,
}

impl Place {
    /// The checked site.
    ///
    /// # Errors
    /// Every value that is out of range.
    pub fn site(&self) -> Result<Site> {
        let optional = [
            bounds::LONGITUDE_DEG.check_option(self.longitude_deg),
            bounds::UTC_OFFSET_H.check_option(self.utc_offset_h),
            bounds::WIND_HEIGHT_M.check_option(self.wind_height_m),
        ];
        let site = Site::new(self.latitude_deg, self.elevation_m);
        let mut problems: Vec<Error> = optional.into_iter().filter_map(Result::err).collect();
        problems.extend(site.as_ref().err().into_iter().flat_map(|e| e.problems().iter().cloned()));
        if let Some(error) = Error::several(problems) {
            return Err(error);
        }
        if let Some(longitude_deg) = self.longitude_deg.filter(|longitude_deg| exchanged(*longitude_deg, self.latitude_deg)) {
            return Err(Error::inconsistent(
                format!(
                    "latitude_deg {} and longitude_deg {longitude_deg} lie where no farm can be, and the two exchanged do not",
                    self.latitude_deg
                ),
                "Exchange them; north and east are positive.",
            ));
        }
        let mut site = site?.with_coastal(self.coastal).with_arid(self.arid);
        if let Some(longitude_deg) = self.longitude_deg {
            site = site.with_longitude(longitude_deg)?;
        }
        if let Some(utc_offset_h) = self.utc_offset_h {
            site = site.with_utc_offset(utc_offset_h)?;
        }
        match self.wind_height_m {
            Some(wind_height_m) => site.with_wind_height(wind_height_m),
            None => Ok(site),
        }
    }
}
