//! Complete weather as JSON: what is read back equals what was written bit for bit, and is checked as it is read.

use super::daily::Daily;
use super::problems::collected;
use super::report::GapReport;
use super::site::Site;
use crate::air;
use crate::assumption::{Assumption, Flags};
use crate::bounds::{self, Bound};
use crate::date::Date;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

const SCHEMA: u32 = 1;

/// The written form of [`Daily`].
#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Written {
    /// Schema of this file.
    schema: u32,
    /// The place.
    site: Site,
    /// First day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    first: Date,
    tmin_c: Vec<f64>,
    tmax_c: Vec<f64>,
    vapor_pressure_kpa: Vec<f64>,
    rh_min_pct: Vec<f64>,
    wind_2m_m_s: Vec<f64>,
    solar_mj_m2: Vec<f64>,
    rain_mm: Vec<f64>,
    eto_mm: Vec<f64>,
    /// Days (counted from 0) that are a forecast.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    forecast: Vec<usize>,
    /// What was taken for granted, each by its key with the days (counted from 0) that it was used on.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    assumed: BTreeMap<String, Vec<usize>>,
    /// What the records held and lacked.
    gap_report: GapReport,
}

impl From<Daily> for Written {
    fn from(daily: Daily) -> Self {
        let mut assumed: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (day, flags) in daily.flags.iter().enumerate() {
            for assumption in flags.iter() {
                assumed.entry(assumption.key().into()).or_default().push(day);
            }
        }
        Written {
            schema: SCHEMA,
            site: daily.site,
            first: daily.first,
            tmin_c: daily.tmin_c,
            tmax_c: daily.tmax_c,
            vapor_pressure_kpa: daily.vapor_pressure_kpa,
            rh_min_pct: daily.rh_min_pct,
            wind_2m_m_s: daily.wind_2m_m_s,
            solar_mj_m2: daily.solar_mj_m2,
            rain_mm: daily.rain_mm,
            eto_mm: daily.eto_mm,
            forecast: (0..).zip(&daily.forecast).filter_map(|(day, &mark)| mark.then_some(day)).collect(),
            assumed,
            gap_report: daily.report,
        }
    }
}

impl Written {
    fn columns(&self) -> [(Bound, &[f64]); 8] {
        [
            (bounds::T_C.named("tmin_c"), &self.tmin_c),
            (bounds::T_C.named("tmax_c"), &self.tmax_c),
            (bounds::VAPOR_PRESSURE_KPA, &self.vapor_pressure_kpa),
            (bounds::RH_PCT.named("rh_min_pct"), &self.rh_min_pct),
            (bounds::WIND_M_S.named("wind_2m_m_s"), &self.wind_2m_m_s),
            (bounds::SOLAR_MJ_M2, &self.solar_mj_m2),
            (bounds::RAIN_MM, &self.rain_mm),
            // Computed from weather that is barely possible, ETo may exceed what a station may report.
            (bounds::DEPTH_MM.named("eto_mm"), &self.eto_mm),
        ]
    }

    /// Every column of one length, in range; the lowest temperature not above the highest.
    fn check(&self) -> Result<()> {
        if self.schema > SCHEMA {
            return Err(Error::inconsistent(
                format!("the weather was written with schema {} and this version reads up to {SCHEMA}", self.schema),
                "Use a newer version.",
            ));
        }
        let days = self.tmin_c.len();
        let span = i32::try_from(days).ok().and_then(|d| self.first.epoch_day().checked_add(d - 1)).unwrap_or(i32::MAX);
        if days == 0 || Date::from_epoch_day(span).is_err() {
            return Err(Error::inconsistent(
                format!("{days} days from {} is not a span of days", self.first),
                "Give at least one day, up to 2299.",
            ));
        }
        let mut problems = Vec::new();
        for (bound, values) in self.columns() {
            if values.len() != days {
                problems.push(Error::inconsistent(
                    format!("column {} has {} values and tmin_c has {days}", bound.name, values.len()),
                    "Complete weather has one value for each day.",
                ));
            }
            problems.extend(bound.check_slice(values).err());
        }
        let mut temperatures = self.tmin_c.iter().zip(&self.tmax_c).enumerate();
        problems.extend(temperatures.find_map(|(day, (&tmin, &tmax))| Some(air::check_temperatures(tmin, tmax).err()?.at_index(day, 0))));
        collected(problems).map_or(Ok(()), Err)
    }
}

impl TryFrom<Written> for Daily {
    type Error = Error;

    fn try_from(written: Written) -> Result<Self> {
        written.check()?;
        let days = written.tmin_c.len();
        let outside = |what: &str, day: usize| {
            Error::inconsistent(format!("{what} names day {day} of {days} days"), "Days are counted from 0 at the first.")
        };
        let mut forecast = vec![false; days];
        for day in written.forecast {
            *forecast.get_mut(day).ok_or_else(|| outside("forecast", day))? = true;
        }
        let mut flags = vec![Flags::NONE; days];
        for (key, on) in written.assumed {
            let assumption = key.parse::<Assumption>()?;
            for day in on {
                flags.get_mut(day).ok_or_else(|| outside(&key, day))?.insert(assumption);
            }
        }
        Ok(Daily {
            site: written.site,
            first: written.first,
            tmin_c: written.tmin_c,
            tmax_c: written.tmax_c,
            vapor_pressure_kpa: written.vapor_pressure_kpa,
            rh_min_pct: written.rh_min_pct,
            wind_2m_m_s: written.wind_2m_m_s,
            solar_mj_m2: written.solar_mj_m2,
            rain_mm: written.rain_mm,
            eto_mm: written.eto_mm,
            forecast,
            flags,
            report: written.gap_report,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weather::{DayColumns, Gaps, Weather};
    use serde_json::{Value, json};

    fn daily() -> Daily {
        let first: Date = "2026-07-01".parse().unwrap();
        let columns = DayColumns {
            dates: (0..4).map(|day| first + day).collect(),
            tmin_c: vec![12.1, 14.5, f64::NAN, 13.0],
            tmax_c: vec![26.3, 29.0, 27.0, 25.0],
            rain_mm: vec![0.0, 6.4, 0.1 + 0.2, 0.0],
            ..DayColumns::default()
        };
        let site = Site::new(45.2, 290.0).unwrap();
        Weather::from_columns(columns).unwrap().complete(&site, &Gaps::default()).unwrap().extended(2, 2).unwrap()
    }

    #[test]
    fn json_gives_back_the_same_bits_flags_and_report() {
        let daily = daily();
        assert!(daily.flags().iter().any(|f| f.contains(Assumption::TemperatureFilled)));
        let text = serde_json::to_string(&daily).unwrap();
        let back: Daily = serde_json::from_str(&text).unwrap();
        assert_eq!(back, daily);
        let bits = |d: &Daily| [d.eto_mm(), d.rain_mm(), d.tmin_c()].concat().iter().map(|v| v.to_bits()).collect::<Vec<_>>();
        assert_eq!(bits(&back), bits(&daily));
        assert!(text.starts_with(r#"{"schema":1,"site":"#) && text.contains(r#""forecast_mean":[4,5]"#), "{text}");
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let whole = serde_json::to_value(daily()).unwrap();
        let refused = |change: &dyn Fn(&mut Value)| {
            let mut changed = whole.clone();
            change(&mut changed);
            serde_json::from_value::<Daily>(changed).unwrap_err().to_string()
        };
        assert_eq!(
            refused(&|w| w["schema"] = json!(9)),
            "the weather was written with schema 9 and this version reads up to 1. Use a newer version."
        );
        assert_eq!(
            refused(&|w| w["rain_mm"] = json!([0.0])),
            "column rain_mm has 1 values and tmin_c has 6. Complete weather has one value for each day."
        );
        assert_eq!(
            refused(&|w| w["rain_mm"][1] = json!(-2.0)),
            "rain_mm[1] is -2 mm: rain must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm. Rain cannot be negative."
        );
        let crossed = refused(&|w| w["tmin_c"][1] = json!(40.0));
        assert!(crossed.starts_with("element 1: tmin_c is 40"), "{crossed}");
        assert_eq!(refused(&|w| w["forecast"] = json!([6])), "forecast names day 6 of 6 days. Days are counted from 0 at the first.");
        let unknown = refused(&|w| w["assumed"] = json!({"wind_defualt": [0]}));
        assert!(unknown.starts_with("assumption \"wind_defualt\" is not known. Did you mean \"wind_default\"?"), "{unknown}");
        assert!(refused(&|w| w["eto_mm"][0] = Value::Null).contains("null"));
    }
}
