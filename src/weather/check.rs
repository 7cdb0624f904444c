//! Value faults: what cannot be true is set aside, counts as missing and is listed.
//!
//! Checks that need the place (sun) run when the records are made complete; all others when they are read.

use super::quantity::{DayColumns, Quantity};
use super::report::{Fault, Why};
use super::site::Site;
use crate::error::Result;
use crate::{air, sun};

/// Measured radiation up to this share above the clear-sky estimate is believed: Eq. 37 is an average, clean air at altitude
/// passes more, and Eq. 24's declination is up to 1 degree off in autumn. Our judgment.
const CLEAR_SKY_MARGIN: f64 = 1.15;
/// Below this share of the radiation above the atmosphere a day is darker than the thickest overcast. Our judgment.
const DARKEST_SHARE: f64 = 0.02;
/// Polar twilight: with less than this outside the atmosphere, MJ/m2, nothing can be said about a sensor.
const TWILIGHT_MJ_M2: f64 = 3.0;

struct Checker<'a> {
    columns: &'a mut DayColumns,
    faults: &'a mut Vec<Fault>,
}

impl Checker<'_> {
    fn value(&self, what: Quantity, day: usize) -> Option<f64> {
        self.columns.value(what, day)
    }

    fn set_aside(&mut self, what: Quantity, day: usize, why: Why) {
        if let Some(&date) = self.columns.dates.get(day) {
            self.faults.push(Fault::new((date, None), &what.bound(), self.value(what, day), why));
        }
        self.columns.blank(what, day);
    }

    /// Infinite, or outside the range of its quantity.
    fn range(&mut self, what: Quantity) {
        let bound = what.bound();
        for day in 0..self.columns.get(what).len() {
            if self.value(what, day).is_some_and(|v| !bound.contains(v)) {
                self.set_aside(what, day, Why::OutOfRange { min: bound.min, max: bound.max });
            }
        }
    }

    /// Values that are possible one by one and impossible together.
    fn pairs(&mut self, day: usize) -> Result<()> {
        use Quantity::{Dew, RhMax, RhMin, Tmax, Tmin, VaporPressure};
        let above = |low: Option<f64>, high: Option<f64>| low.zip(high).is_some_and(|(low, high)| low > high);
        if above(self.value(Tmin, day), self.value(Tmax, day)) {
            self.set_aside(Tmin, day, Why::TminAboveTmax);
            self.set_aside(Tmax, day, Why::TminAboveTmax);
        }
        if above(self.value(RhMin, day), self.value(RhMax, day)) {
            self.set_aside(RhMin, day, Why::RhMinAboveRhMax);
            self.set_aside(RhMax, day, Why::RhMinAboveRhMax);
        }
        if let Some(tmax_c) = self.value(Tmax, day) {
            if above(self.value(Dew, day), Some(tmax_c)) {
                self.set_aside(Dew, day, Why::DewAboveTmax);
            }
            if above(self.value(VaporPressure, day), Some(air::saturation_vapor_pressure(tmax_c)?)) {
                self.set_aside(VaporPressure, day, Why::Supersaturated);
            }
        }
        Ok(())
    }

    /// Runs of one and the same value. A column that holds one value throughout was typed in, not measured, and stays; so does a
    /// forecast. Runs without sun and of saturated air are weather.
    fn stuck(&mut self, what: Quantity) {
        let limit = what.stuck_days();
        let ordinary = |v: f64| match what {
            Quantity::Solar | Quantity::Sunshine => v == 0.0,
            Quantity::RhMax | Quantity::RhMean | Quantity::RhMin => v == 100.0,
            _ => false,
        };
        let forecast = self.columns.forecast.iter().copied().chain(std::iter::repeat(false));
        let column: Vec<f64> =
            self.columns.get(what).iter().zip(forecast).map(|(&v, forecast)| if forecast { f64::NAN } else { v }).collect();
        let mut usable = column.iter().filter(|v| !v.is_nan());
        let varies = usable.next().is_some_and(|first| usable.any(|v| v != first));
        if limit == 0 || !varies {
            return;
        }
        let mut start = 0;
        for run in column.chunk_by(|a, b| a == b) {
            let days = run.len();
            if days >= limit && run.first().is_some_and(|v| !v.is_nan() && !ordinary(*v)) {
                (start..start + days).for_each(|day| self.set_aside(what, day, Why::Stuck { days }));
            }
            start += days;
        }
    }
}

/// Checks that need nothing but the records.
pub(super) fn values(columns: &mut DayColumns, faults: &mut Vec<Fault>) -> Result<()> {
    let days = columns.dates.len();
    let mut checker = Checker { columns, faults };
    for &what in Quantity::ALL {
        checker.range(what);
        checker.stuck(what);
    }
    (0..days).try_for_each(|day| checker.pairs(day))
}

/// Checks against the sun: radiation and sunshine, at a place.
pub(super) fn sky(columns: &mut DayColumns, faults: &mut Vec<Fault>, site: &Site) -> Result<()> {
    use Quantity::{Solar, Sunshine};
    let days = columns.dates.clone();
    let mut checker = Checker { columns, faults };
    for (day, date) in days.into_iter().enumerate() {
        let day_of_year = f64::from(date.day_of_year());
        if let Some(solar) = checker.value(Solar, day) {
            let outside_mj_m2 = sun::extraterrestrial_radiation(site.latitude_deg(), day_of_year)?;
            let clear_sky_mj_m2 = sun::clear_sky_radiation(outside_mj_m2, site.elevation_m())?;
            if solar > CLEAR_SKY_MARGIN * clear_sky_mj_m2 + 0.5 {
                checker.set_aside(Solar, day, Why::AboveClearSky { clear_sky_mj_m2 });
            } else if outside_mj_m2 > TWILIGHT_MJ_M2 && solar < DARKEST_SHARE * outside_mj_m2 {
                checker.set_aside(Solar, day, Why::Dark { outside_mj_m2 });
            }
        }
        if let Some(sunshine) = checker.value(Sunshine, day) {
            let daylight_h = sun::daylight_hours(site.latitude_deg(), day_of_year)?;
            // Recorders round to a tenth and see the sun refracted a little longer than Eq. 34 says.
            if sunshine > daylight_h + 0.5 {
                checker.set_aside(Sunshine, day, Why::AboveDaylight { daylight_h });
            }
        }
    }
    Ok(())
}
