//! What a surface asks of the water each day: coefficients, exposed ground, root depth and stress onset.

use crate::bounds;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// Day by day for one surface; all the same length. Plain input for [`CropDays::new`].
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CropSeries {
    /// Basal crop coefficient Kcb.
    pub kcb: Vec<f64>,
    /// Upper limit of the crop coefficient, Kc max (FAO-56 Eq. 72).
    pub kc_max: Vec<f64>,
    /// Fraction of the ground that is wetted and exposed, few (FAO-56 Eq. 75).
    pub exposed: Vec<f64>,
    /// What mulch leaves of the soil evaporation, 0 to 1.
    pub evaporation_factor: Vec<f64>,
    /// Root depth, m; never shrinks.
    pub root_depth_m: Vec<f64>,
    /// Depletion fraction at the onset of stress, adjusted for the day.
    pub p: Vec<f64>,
}

/// A checked [`CropSeries`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "CropSeries", into = "CropSeries")]
pub struct CropDays(CropSeries);

impl CropDays {
    /// Checks lengths and ranges.
    ///
    /// # Errors
    /// Empty, unequal lengths, a value missing or out of range, roots that shrink.
    pub fn new(series: CropSeries) -> Result<Self> {
        let n = series.kcb.len();
        let rows = [
            ("kcb", &series.kcb, bounds::KC),
            ("kc_max", &series.kc_max, bounds::KC),
            ("exposed", &series.exposed, bounds::FRACTION),
            ("evaporation_factor", &series.evaporation_factor, bounds::FRACTION),
            ("root_depth_m", &series.root_depth_m, bounds::ROOT_DEPTH_M),
            ("p", &series.p, bounds::P),
        ];
        for (name, values, bound) in rows {
            if values.len() != n || n == 0 {
                return Err(Error::inconsistent(
                    format!("{name} has {} days where kcb has {n}", values.len()),
                    "Give every series the same number of days, at least one.",
                ));
            }
            let bound = bound.named(name);
            bound.check_slice(values)?;
            if let Some(day) = values.iter().position(|v| v.is_nan()) {
                return Err(Error::missing(format!("{name}[{day}]"), "Crop series may not have gaps."));
            }
        }
        if let Some(day) = series.root_depth_m.windows(2).position(|w| matches!(w, [a, b] if b < a)) {
            return Err(Error::inconsistent(
                format!("root_depth_m shrinks after day {day}"),
                "Roots deepen or stay; start a new season for a new stand.",
            ));
        }
        Ok(Self(series))
    }

    /// The same values on each of `days` days.
    ///
    /// # Errors
    /// As [`CropDays::new`].
    pub fn constant(days: usize, kcb: f64, kc_max: f64, exposed: f64, root_depth_m: f64, p: f64) -> Result<Self> {
        let all = |v: f64| vec![v; days];
        Self::new(CropSeries {
            kcb: all(kcb),
            kc_max: all(kc_max),
            exposed: all(exposed),
            evaporation_factor: all(1.0),
            root_depth_m: all(root_depth_m),
            p: all(p),
        })
    }

    /// Number of days.
    pub fn len(&self) -> usize {
        self.0.kcb.len()
    }
    /// Never true: an empty series is refused.
    pub fn is_empty(&self) -> bool {
        self.0.kcb.is_empty()
    }
    /// The series.
    pub fn series(&self) -> &CropSeries {
        &self.0
    }

    /// The first `days` days.
    ///
    /// # Errors
    /// More days than there are, or none.
    pub fn first_days(&self, days: usize) -> Result<Self> {
        if days > self.len() {
            return Err(Error::inconsistent(format!("{days} days of a cover that has {}", self.len()), "Ask for fewer days."));
        }
        let cut = |values: &Vec<f64>| values.iter().copied().take(days).collect();
        let CropSeries { kcb, kc_max, exposed, evaporation_factor, root_depth_m, p } = &self.0;
        Self::new(CropSeries {
            kcb: cut(kcb),
            kc_max: cut(kc_max),
            exposed: cut(exposed),
            evaporation_factor: cut(evaporation_factor),
            root_depth_m: cut(root_depth_m),
            p: cut(p),
        })
    }

    /// The same surface with soil evaporation cut to `factor` from a day on, where it is not cut more already.
    ///
    /// # Errors
    /// A factor outside 0 to 1.
    pub fn with_mulch_from(&self, day: usize, factor: f64) -> Result<Self> {
        let mut series = self.0.clone();
        for left in series.evaporation_factor.iter_mut().skip(day) {
            *left = left.min(factor);
        }
        Self::new(series)
    }

    /// The same surface with its root depth multiplied, for the low and high end of a range.
    ///
    /// # Errors
    /// A root depth out of range.
    pub fn with_roots_scaled(&self, factor: f64) -> Result<Self> {
        let mut series = self.0.clone();
        for depth in &mut series.root_depth_m {
            *depth *= factor;
        }
        Self::new(series)
    }
}

impl TryFrom<CropSeries> for CropDays {
    type Error = Error;
    fn try_from(series: CropSeries) -> Result<Self> {
        Self::new(series)
    }
}

impl From<CropDays> for CropSeries {
    fn from(days: CropDays) -> Self {
        days.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faulty_series_are_named() {
        assert!(CropDays::constant(0, 0.5, 1.2, 0.5, 0.2, 0.5).is_err());
        let mut series = CropDays::constant(3, 0.5, 1.2, 0.5, 0.2, 0.5).unwrap().series().clone();
        series.root_depth_m = vec![0.3, 0.2, 0.2];
        assert!(CropDays::new(series.clone()).unwrap_err().to_string().contains("shrinks after day 0"));
        series.root_depth_m = vec![0.2; 2];
        assert!(CropDays::new(series.clone()).unwrap_err().to_string().contains("root_depth_m has 2 days where kcb has 3"));
        series.root_depth_m = vec![0.2, f64::NAN, 0.2];
        assert!(CropDays::new(series).unwrap_err().to_string().contains("root_depth_m[1] is missing"));
    }
}
