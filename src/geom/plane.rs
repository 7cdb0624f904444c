//! A local tangent plane: longitude and latitude to meters east and north, and back.

use super::{Xy, check_position, length};
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::{atan2, cos, sin};
use crate::plain::plain;
use serde::{Deserialize, Serialize};

/// Semi-major axis, m, and flattening of the WGS 84 ellipsoid (NGA.STND.0036, table 3.1).
const A: f64 = 6_378_137.0;
const F: f64 = 1.0 / 298.257_223_563;
const E2: f64 = F * (2.0 - F);
/// No farm lies nearer to a pole, degrees (our judgment): such a latitude is a longitude in the wrong place.
const FARTHEST_FARM_DEG: f64 = 72.0;

/// Where no farm can be, and could be with the two numbers exchanged.
pub(crate) fn exchanged(longitude_deg: f64, latitude_deg: f64) -> bool {
    let far = latitude_deg.abs();
    far > FARTHEST_FARM_DEG && far <= 180.0 && longitude_deg.abs() <= FARTHEST_FARM_DEG
}
/// Farther from the origin the plane is no map of the ground any more, m.
pub const FARTHEST_M: f64 = 20_000.0;

/// The plane that touches the WGS 84 ellipsoid at an origin; x points east and y north there.
///
/// Points go to it straight along the vertical of the origin. **Error**: a distance between two points within 5 km of
/// the origin comes out at most 2 mm shorter than over the ellipsoid (0.4 parts per million; it grows with the square
/// of the distance). Ground above the ellipsoid is larger than its map by its height over 6,371 km: 5 cm per
/// kilometer at 300 m.
///
/// ```
/// use dibble::geom::Plane;
/// let plane = Plane::new(-84.70, 45.00)?;
/// let at = plane.to_meters(-84.70, 45.01)?;
/// assert_eq!(format!("{:.1} {:.1}", at[0], at[1]), "0.0 1111.3");
/// let [longitude_deg, latitude_deg] = plane.to_degrees(at)?;
/// assert!((longitude_deg + 84.70).abs() < 1e-12 && (latitude_deg - 45.01).abs() < 1e-12);
/// # Ok::<(), dibble::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "Origin", into = "Origin")]
pub struct Plane {
    longitude_deg: f64,
    latitude_deg: f64,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
struct Origin {
    longitude_deg: f64,
    latitude_deg: f64,
}

plain!(Plane: Origin, |origin| Plane::new(origin.longitude_deg, origin.latitude_deg), |plane| Origin { longitude_deg: plane.longitude_deg, latitude_deg: plane.latitude_deg });

impl Plane {
    /// The plane at an origin. Longitude comes first, as in GeoJSON (RFC 7946).
    ///
    /// # Errors
    /// Longitude beyond 180 or latitude beyond 90 degrees.
    pub fn new(longitude_deg: f64, latitude_deg: f64) -> Result<Self> {
        check_degrees(longitude_deg, latitude_deg)?;
        Ok(Self { longitude_deg, latitude_deg })
    }

    /// Origin, degrees.
    pub fn longitude_deg(&self) -> f64 {
        self.longitude_deg
    }
    /// Origin, degrees.
    pub fn latitude_deg(&self) -> f64 {
        self.latitude_deg
    }

    /// East and north of the origin, m.
    ///
    /// # Errors
    /// Degrees out of range, or a point more than 20 km away: the message says so if exchanging longitude
    /// and latitude would bring it near.
    pub fn to_meters(&self, longitude_deg: f64, latitude_deg: f64) -> Result<Xy> {
        check_degrees(longitude_deg, latitude_deg).map_err(|e| self.perhaps_swapped(e, longitude_deg, latitude_deg))?;
        match self.project(longitude_deg, latitude_deg) {
            Some(at) => Ok(at),
            None => {
                let error = Error::inconsistent(
                    format!(
                        "longitude {longitude_deg}, latitude {latitude_deg} is more than {} km from the origin at longitude {}, latitude {}",
                        FARTHEST_M / 1000.0,
                        self.longitude_deg,
                        self.latitude_deg
                    ),
                    "Take an origin on the farm.",
                );
                Err(self.perhaps_swapped(error, longitude_deg, latitude_deg))
            }
        }
    }

    fn perhaps_swapped(&self, error: Error, longitude_deg: f64, latitude_deg: f64) -> Error {
        let swaps = check_degrees(latitude_deg, longitude_deg).is_ok() && self.project(latitude_deg, longitude_deg).is_some();
        if !swaps {
            return error;
        }
        Error::inconsistent(
            format!("longitude {longitude_deg}, latitude {latitude_deg} lies far from the farm, and the two exchanged lie on it"),
            "Give longitude first and latitude second, as GeoJSON does.",
        )
    }

    /// East and north, unless the point is too far away.
    fn project(&self, longitude_deg: f64, latitude_deg: f64) -> Option<Xy> {
        let (lat0, lat) = (self.latitude_deg.to_radians(), latitude_deg.to_radians());
        let (s0, c0, s, c) = (sin(lat0), cos(lat0), sin(lat), cos(lat));
        let turn = (longitude_deg - self.longitude_deg).to_radians();
        // Differences from the origin as products, so that near points keep their digits.
        let (half_rise, mean) = (0.5 * (lat - lat0), 0.5 * (lat + lat0));
        let (sine_rise, cosine_rise) = (2.0 * cos(mean) * sin(half_rise), -2.0 * sin(mean) * sin(half_rise));
        let (w0, w) = (flattened(s0), flattened(s));
        let (n0, n_rise) = (A / w0, A * E2 * sine_rise * (s + s0) / ((w + w0) * w * w0));
        let axis_distance = (n0 + n_rise) * c;
        let out = n_rise * c + n0 * cosine_rise - 2.0 * axis_distance * sin(0.5 * turn) * sin(0.5 * turn);
        let up = (1.0 - E2) * (n_rise * s + n0 * sine_rise);
        let at = [axis_distance * sin(turn), up * c0 - out * s0];
        let this_side = out * c0 + up * s0 > -FARTHEST_M; // the far side of the Earth projects onto the plane as well
        (this_side && length(at) <= FARTHEST_M).then_some(at)
    }

    /// Longitude and latitude of a point, degrees, in GeoJSON's order.
    ///
    /// # Errors
    /// A position out of range or more than 20 km from the origin.
    pub fn to_degrees(&self, at: Xy) -> Result<[f64; 2]> {
        let [east, north] = check_position(at)?;
        if length(at) > FARTHEST_M {
            return Err(Error::inconsistent(
                format!("({east}, {north}) is more than {} km from the origin", FARTHEST_M / 1000.0),
                "Take an origin on the farm.",
            ));
        }
        let lat0 = self.latitude_deg.to_radians();
        let (s, c) = (sin(lat0), cos(lat0));
        let n0 = A / flattened(s);
        // Along the origin's vertical to the ellipsoid: the small root of  a u² + 2 b u + d = 0.
        let squash = 1.0 / (1.0 - E2);
        let (a, b) = (c * c + s * s * squash, n0 + north * s * c * (squash - 1.0));
        let d = east * east + north * north * (s * s + c * c * squash);
        let u = -d / (b + (b * b - a * d).sqrt());
        let out = n0 * c - north * s + u * c;
        let up = n0 * (1.0 - E2) * s + north * c + u * s;
        let turn_deg = atan2(east, out).to_degrees();
        let longitude_deg = self.longitude_deg + turn_deg;
        let wrapped = if longitude_deg.abs() > 180.0 { longitude_deg - 360.0 * longitude_deg.signum() } else { longitude_deg };
        Ok([wrapped, atan2(up, (1.0 - E2) * length([out, east])).to_degrees()])
    }
}

fn check_degrees(longitude_deg: f64, latitude_deg: f64) -> Result<()> {
    bounds::LONGITUDE_DEG.check(longitude_deg)?;
    bounds::LATITUDE_DEG.check(latitude_deg)?;
    Ok(())
}

/// Semi-major axis over the radius of curvature across the meridian.
fn flattened(sine: f64) -> f64 {
    (1.0 - E2 * sine * sine).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::minus;
    use geographiclib_rs::{Geodesic, InverseGeodesic};
    use proptest::prelude::*;

    #[test]
    fn swapped_degrees_are_noticed() {
        let plane = Plane::new(-84.70, 45.00).unwrap();
        assert_eq!(
            plane.to_meters(45.001, -84.701).unwrap_err().to_string(),
            "longitude 45.001, latitude -84.701 lies far from the farm, and the two exchanged lie on it. Give longitude first and latitude second, as GeoJSON does."
        );
        let plane = Plane::new(150.0, -33.0).unwrap();
        assert!(plane.to_meters(-33.01, 150.02).unwrap_err().to_string().contains("the two exchanged lie on it"));
        assert_eq!(
            plane.to_meters(151.0, -33.0).unwrap_err().to_string(),
            "longitude 151, latitude -33 is more than 20 km from the origin at longitude 150, latitude -33. Take an origin on the farm."
        );
        assert!(plane.to_meters(-30.0, 33.0).unwrap_err().is_inconsistent(), "the far side of the Earth");
        assert!(plane.to_meters(0.0, 91.0).unwrap_err().is_out_of_range());
        assert!(plane.to_degrees([0.0, 30_000.0]).unwrap_err().is_inconsistent());
    }

    #[test]
    fn works_over_the_date_line() {
        let plane = Plane::new(179.999, -17.0).unwrap();
        let at = plane.to_meters(-179.999, -17.0).unwrap();
        assert!(at[0] > 0.0 && at[0] < 300.0);
        assert!((plane.to_degrees(at).unwrap()[0] + 179.999).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn distances_within_five_kilometers_are_short_by_at_most_two_millimeters(
            latitude in -75.0..75.0f64, r in 0.0..5000.0f64, a in 0.0..360.0f64, q in 0.0..5000.0f64, b in 0.0..360.0f64,
        ) {
            let plane = Plane::new(-84.7, latitude).unwrap();
            let polar = |r: f64, a: f64| { let [x, y] = super::super::arc::bearing_vector(a); [r * x, r * y] };
            let (p, q) = (polar(r, a), polar(q, b));
            let (there, other) = (plane.to_degrees(p).unwrap(), plane.to_degrees(q).unwrap());
            let geodesic: f64 = Geodesic::wgs84().inverse(there[1], there[0], other[1], other[0]);
            let short = geodesic - length(minus(p, q));
            prop_assert!((-1e-6..2e-3).contains(&short), "{short} m");
        }

        #[test]
        fn there_and_back_is_the_same_place(latitude in -89.0..89.0f64, x in -9000.0..9000.0f64, y in -9000.0..9000.0f64) {
            let plane = Plane::new(12.0, latitude).unwrap();
            let [longitude, to] = plane.to_degrees([x, y]).unwrap();
            let back = plane.to_meters(longitude, to).unwrap();
            prop_assert!(length(minus(back, [x, y])) < 1e-6, "{back:?}");
        }
    }
}
