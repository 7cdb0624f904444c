//! A season begins at thaw: frozen ground and snow are not reckoned, so a winter inside it is refused or skipped.

use crate::date::Date;
use crate::error::{Error, Result};
use crate::weather::Daily;
use crate::words::words;

/// So many days in a row with a mean below freezing make a winter (our judgment: the ground freezes and snow stays).
const FROZEN_RUN_DAYS: usize = 10;

words! {
    /// What to do about a winter inside the weather.
    #[derive(Default)]
    pub enum Winter: "winter" {
        /// An error that names its days.
        #[default]
        Refuse = "refuse",
        /// Begin after the last one, with the starting wetness.
        Skip = "skip",
        /// Reckon through it as if the ground were open.
        Ignore = "ignore",
    }
}

/// The weather to reckon with for a plan on `until`: all of it, or what follows the last winter before `until`.
///
/// # Errors
/// A winter, where it is to be refused; a winter that reaches up to `until`, where it is to be skipped.
pub fn after_thaw(weather: &Daily, winter: Winter, until: Date) -> Result<Daily> {
    let frozen: Vec<bool> = weather.tmin_c().iter().zip(weather.tmax_c()).map(|(low, high)| low + high < 0.0).collect();
    let mut last = None; // first and last day of the last winter
    let mut run = 0;
    for (day, is_frozen) in frozen.iter().enumerate().take_while(|(day, _)| weather.date(*day) < until) {
        run = if *is_frozen { run + 1 } else { 0 };
        if run >= FROZEN_RUN_DAYS {
            last = Some((day + 1 - run, day));
        }
    }
    match (last, winter) {
        (None, _) | (_, Winter::Ignore) => Ok(weather.clone()),
        (Some((from, to)), Winter::Refuse) => Err(Error::inconsistent(
            format!(
                "the weather has a winter: {} to {} stay below freezing, and frozen ground is not reckoned",
                weather.date(from),
                weather.date(to)
            ),
            format!("Begin after it (from = \"{}\" or later), or say winter = \"skip\" to begin at thaw.", weather.date(to) + 1),
        )),
        (Some((_, to)), Winter::Skip) => {
            let thaw = weather.date(to) + 1;
            if thaw >= until || thaw > weather.last() {
                return Err(Error::inconsistent(format!("the ground is frozen up to {}", weather.date(to)), "Ask again after thaw."));
            }
            weather.between(thaw, weather.last())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weather::{DayColumns, Gaps, Site, Weather};

    fn weather(mean: &[f64]) -> Daily {
        let first: Date = "2025-11-01".parse().unwrap();
        let columns = DayColumns {
            dates: (0..mean.len()).map(|i| first + i as i32).collect(),
            tmin_c: mean.iter().zip(0..).map(|(m, i)| m - 4.0 - 0.1 * f64::from(i % 5)).collect(),
            tmax_c: mean.iter().zip(0..).map(|(m, i)| m + 4.0 + 0.1 * f64::from(i % 5)).collect(),
            rain_mm: vec![0.0; mean.len()],
            ..DayColumns::default()
        };
        Weather::from_columns(columns).unwrap().complete(&Site::new(45.0, 200.0).unwrap(), &Gaps::default()).unwrap()
    }

    #[test]
    fn a_winter_is_refused_skipped_or_ignored_by_the_users_word() {
        let days: Vec<f64> = (0..60).map(|i| if (20..40).contains(&i) { -5.0 } else { 8.0 }).collect();
        let daily = weather(&days);
        let until = daily.last();
        let error = after_thaw(&daily, Winter::Refuse, until).unwrap_err().to_string();
        assert_eq!(
            error,
            "the weather has a winter: 2025-11-21 to 2025-12-10 stay below freezing, and frozen ground is not reckoned. \
             Begin after it (from = \"2025-12-11\" or later), or say winter = \"skip\" to begin at thaw."
        );
        assert_eq!(after_thaw(&daily, Winter::Skip, until).unwrap().first().to_string(), "2025-12-11");
        assert_eq!(after_thaw(&daily, Winter::Ignore, until).unwrap(), daily);
        assert!(after_thaw(&daily, Winter::Skip, daily.date(40)).is_err());
    }

    #[test]
    fn a_cold_week_is_no_winter() {
        let days: Vec<f64> = (0..40).map(|i| if (20..27).contains(&i) { -3.0 } else { 6.0 }).collect();
        assert!(after_thaw(&weather(&days), Winter::Refuse, "2025-12-10".parse().unwrap()).is_ok());
    }
}
