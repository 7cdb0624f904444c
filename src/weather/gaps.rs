//! How gaps are to be filled: the choices that are the caller's.

use crate::error::{Error, Result};
use crate::words::words;
use serde::{Deserialize, Serialize};
use std::str::FromStr;

words! {
    /// What to do about a day without rain data.
    #[derive(Default)]
    pub enum RainGap: "way to fill missing rain" {
        /// Refuse to go on (the default): no method knows whether it rained.
        #[default]
        Refuse = "refuse",
        /// Take it as no rain: the dry side.
        Zero = "zero",
        /// Take the mean of the days with rain data among the 15 before and the 15 after.
        Mean = "mean",
    }
}

words! {
    /// What to do about a day without any data.
    #[derive(Default)]
    pub enum DayGap: "way to fill a missing day" {
        /// Refuse to go on (the default).
        #[default]
        Refuse = "refuse",
        /// Interpolate the temperatures, fill the rest by the published methods and rain by its own rule.
        Fill = "fill",
    }
}

words! {
    /// Where reference evapotranspiration comes from.
    #[derive(Default)]
    pub enum Reference: "source of reference evapotranspiration" {
        /// FAO-56 Eq. 6, with missing inputs filled by the published methods (the default).
        #[default]
        PenmanMonteith = "penman_monteith",
        /// FAO-56 Eq. 52 from temperatures and latitude alone.
        Temperature = "temperature",
        /// The records' own `eto_mm`; Eq. 6 where it is missing.
        Given = "given",
    }
}

/// How [`crate::weather::Weather::complete`] deals with gaps. The default refuses missing rain and missing days and
/// interpolates temperature over gaps of up to three days.
///
/// One word says the usual choices: `"refuse"`; `"zero"` or `"mean"`, which fill missing days and take missing rain so.
///
/// ```
/// use dibble::weather::{DayGap, Gaps, RainGap};
/// let gaps: Gaps = "zero".parse()?;
/// assert_eq!((gaps.rain, gaps.day), (RainGap::Zero, DayGap::Fill));
/// # Ok::<(), dibble::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(default, deny_unknown_fields)]
pub struct Gaps {
    /// A day without rain data.
    pub rain: RainGap,
    /// A day without any data.
    pub day: DayGap,
    /// Longest gap in a temperature column that is interpolated, days.
    pub temperature_gap_days: usize,
    /// Where reference evapotranspiration comes from.
    pub reference: Reference,
}

impl Default for Gaps {
    fn default() -> Self {
        Self { rain: RainGap::Refuse, day: DayGap::Refuse, temperature_gap_days: 3, reference: Reference::PenmanMonteith }
    }
}

impl FromStr for Gaps {
    type Err = Error;
    fn from_str(text: &str) -> Result<Self> {
        let rain: RainGap = text.parse()?;
        let day = if rain == RainGap::Refuse { DayGap::Refuse } else { DayGap::Fill };
        Ok(Self { rain, day, ..Self::default() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_read_and_unknown_ones_listed() {
        assert_eq!("Penman-Monteith".parse::<Reference>().unwrap(), Reference::PenmanMonteith);
        assert_eq!(
            "dry".parse::<Gaps>().unwrap_err().to_string(),
            "way to fill missing rain \"dry\" is not known. Known: \"refuse\", \"zero\", \"mean\"."
        );
        assert_eq!(serde_json::from_str::<Gaps>(r#"{"rain": "mean"}"#).unwrap().rain, RainGap::Mean);
    }
}
