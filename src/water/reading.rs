//! What a shovel, a tensiometer or a probe says, and how it re-sets the ledger by its own uncertainty.
//!
//! Everything here is a share of the available water: 0 at the wilting point, 1 at field capacity. Ledger and
//! reading use the same soil, so that the soil's own uncertainty is shared by both and not averaged away.

use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::soil::Soil;
use crate::soil::feel::Band;
use crate::units::{System, show};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Between layers, how far an error in one is an error in another (our judgment).
pub(super) const LAYER_CORRELATION: f64 = 0.5;
/// Beyond so many standard errors ledger and reading are not merged.
const DISAGREEMENT: f64 = 3.0;
/// Bias of the reader's hand, not shrunk by more holes: with practice about 5 % (NRCS Program Aid 1619).
const READER_BIAS: f64 = 0.05;
/// Standard deviation of one probe reading, m3/m3 (common practice for a probe without soil calibration).
const PROBE_SD: f64 = 0.03;
/// Relative standard deviation of one tension reading between spots of a block (our judgment).
const TENSION_SD: f64 = 0.15;
/// Above this a tensiometer's column breaks and it says only "drier than" (common practice, about 80 kPa).
const TENSIOMETER_LIMIT_KPA: f64 = 80.0;

/// What was seen.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// A band of the feel test.
    Feel(Band),
    /// Soil water tension, kPa (the same number as centibars).
    TensionKpa(f64),
    /// Volumetric water content, m3/m3.
    WaterContent(f64),
    /// Share of the available water, 0 to 1, where it is known directly.
    Available(f64),
}

impl Seen {
    /// The one of four ways to read that was used.
    ///
    /// # Errors
    /// None of them, or several.
    pub fn one_of(feel: Option<Band>, tension_kpa: Option<f64>, water_content: Option<f64>, available: Option<f64>) -> Result<Self> {
        let given = [
            feel.map(Seen::Feel),
            tension_kpa.map(Seen::TensionKpa),
            water_content.map(Seen::WaterContent),
            available.map(Seen::Available),
        ];
        let mut given = given.into_iter().flatten();
        match (given.next(), given.next()) {
            (Some(seen), None) => Ok(seen),
            (None, _) => Err(Error::missing("what the reading says", "Give one of feel, tension_kpa, water_content and available.")),
            (Some(_), Some(_)) => Err(Error::inconsistent(
                "a reading says more than one thing",
                "Keep one of feel, tension_kpa, water_content and available; make a second reading of the other.",
            )),
        }
    }
}

/// A reading of one layer, taken in the morning before that day's water.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Upper edge of what was read, m.
    pub from_depth_m: f64,
    /// Lower edge; the same as the upper one for a point sensor.
    pub to_depth_m: f64,
    /// What was seen.
    pub seen: Seen,
    /// Number of holes or sensors that agree on it.
    #[serde(default = "one")]
    pub holes: u32,
    /// Standard deviation as a share of the available water; `None` takes the method's own, infinity leaves the ledger
    /// as it is. JSON has no word for infinity: it is written "infinite".
    #[serde(default, with = "infinite")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<serde_json::Value>"))]
    pub uncertainty: Option<f64>,
}

fn one() -> u32 {
    1
}

mod infinite {
    use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};

    #[derive(Serialize, Deserialize)]
    #[serde(untagged)]
    enum Written {
        Number(f64),
        Word(String),
    }

    pub fn serialize<S: Serializer>(value: &Option<f64>, to: S) -> Result<S::Ok, S::Error> {
        value.map(|v| if v == f64::INFINITY { Written::Word("infinite".into()) } else { Written::Number(v) }).serialize(to)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<f64>, D::Error> {
        match Option::deserialize(from)? {
            None => Ok(None),
            Some(Written::Number(number)) => Ok(Some(number)),
            Some(Written::Word(word)) if word == "infinite" => Ok(Some(f64::INFINITY)),
            Some(Written::Word(word)) => Err(D::Error::custom(format!("uncertainty is \"{word}\", not a number or \"infinite\""))),
        }
    }
}

/// A reading as a share of the available water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Observed {
    pub available: f64,
    pub sd: f64,
    /// The truth is this or drier.
    pub only_drier: bool,
}

impl Reading {
    /// A reading between two depths, in m, from one hole.
    pub fn new(date: Date, from_depth_m: f64, to_depth_m: f64, seen: Seen) -> Self {
        Self { date, from_depth_m, to_depth_m, seen, holes: 1, uncertainty: None }
    }

    /// In range?
    ///
    /// # Errors
    /// A value out of range, depths the wrong way round, no hole, an uncertainty that is negative or not a number.
    pub fn check(&self) -> Result<()> {
        bounds::SOIL_DEPTH_M.named("from_depth_m").check(self.from_depth_m)?;
        bounds::SOIL_DEPTH_M.named("to_depth_m").check(self.to_depth_m)?;
        if self.to_depth_m < self.from_depth_m {
            return Err(Error::inconsistent(
                format!("the reading of {} runs from {} m up to {} m", self.date, self.from_depth_m, self.to_depth_m),
                "Give the upper edge first; depth counts downwards.",
            ));
        }
        match self.seen {
            Seen::Feel(_) => {}
            Seen::TensionKpa(t) => drop(bounds::TENSION_KPA.check(t)?),
            Seen::WaterContent(w) => drop(bounds::WATER_CONTENT.check(w)?),
            Seen::Available(a) => drop(bounds::FRACTION.named("available").check(a)?),
        }
        if self.holes == 0 {
            return Err(Error::inconsistent(
                format!("the reading of {} comes from 0 holes", self.date),
                "Count the holes or sensors, at least 1.",
            ));
        }
        self.uncertainty.map_or(Ok(()), |sd| check_sd("uncertainty", sd))
    }

    /// The reading in this soil.
    pub(super) fn observed(&self, soil: &Soil) -> Result<Observed> {
        let holding = soil.field_capacity() - soil.wilting_point();
        let share = |water_content: f64| (water_content - soil.wilting_point()) / holding;
        let spots = f64::from(self.holes).sqrt();
        let (available, sd, only_drier) = match self.seen {
            Seen::Feel(band) => {
                let (dry, wet) = band.available();
                let hand = band.deviation() / spots;
                (0.5 * (dry + wet), (hand * hand + READER_BIAS * READER_BIAS).sqrt(), false)
            }
            Seen::WaterContent(w) => (share(w), PROBE_SD / holding / spots, false),
            Seen::Available(a) => (a, READER_BIAS, false),
            Seen::TensionKpa(t) => {
                let read = t.clamp(1.0, TENSIOMETER_LIMIT_KPA);
                let at = |kpa: f64| soil.water_content_at(kpa).map(share);
                let spread = 0.5 * (at(read * (1.0 - TENSION_SD))? - at(read * (1.0 + TENSION_SD))?).abs();
                (at(read)?, spread.max(0.02) / spots, t > TENSIOMETER_LIMIT_KPA)
            }
        };
        Ok(Observed { available, sd: self.uncertainty.unwrap_or(sd), only_drier })
    }
}

/// What became of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Merged with the ledger by their uncertainties.
    Merged,
    /// Too far apart to merge: the drier one is used until somebody measures again.
    Disagrees,
    /// "Drier than" said nothing new.
    NoNews,
    /// Read below the roots, or on a day without ledger: not used.
    Outside,
}

impl Verdict {
    /// "merged", "disagrees", "no_news" or "outside".
    pub fn name(self) -> &'static str {
        match self {
            Verdict::Merged => "merged",
            Verdict::Disagrees => "disagrees",
            Verdict::NoNews => "no_news",
            Verdict::Outside => "outside",
        }
    }
}

/// A prior and a reading weighed by their variances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weighed {
    /// The share of the available water to go on with.
    pub available: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// How far the reading moved it: 0 not at all, 1 all the way.
    pub gain: f64,
    /// Distance between the two in standard errors.
    pub errors_apart: f64,
    /// Merged or not.
    pub verdict: Verdict,
}

/// Weighs the ledger against a reading: scalar Gaussian update, or the drier of the two where they disagree.
///
/// A reading without uncertainty wins; one with infinite uncertainty changes nothing.
///
/// # Source
/// Combination of two independent estimates by their variances (any text on estimation); the limit of 3
/// standard errors is our judgment.
pub fn weigh(ledger: f64, ledger_sd: f64, reading: f64, reading_sd: f64, only_drier: bool) -> Weighed {
    let variance = ledger_sd * ledger_sd + reading_sd * reading_sd;
    let apart = if variance > 0.0 { (reading - ledger).abs() / variance.sqrt() } else { 0.0 };
    let unmoved = Weighed { available: ledger, sd: ledger_sd, gain: 0.0, errors_apart: apart, verdict: Verdict::Merged };
    if only_drier && ledger <= reading {
        return Weighed { verdict: Verdict::NoNews, ..unmoved };
    }
    if reading_sd.is_infinite() {
        return unmoved;
    }
    if reading_sd == 0.0 {
        return Weighed { available: reading, sd: 0.0, gain: 1.0, ..unmoved };
    }
    if apart > DISAGREEMENT {
        let drier = ledger.min(reading);
        let gain = if drier < ledger { 1.0 } else { 0.0 };
        return Weighed { available: drier, sd: ledger_sd.max(reading_sd), gain, verdict: Verdict::Disagrees, ..unmoved };
    }
    let gain = ledger_sd * ledger_sd / variance;
    Weighed { available: ledger + gain * (reading - ledger), sd: ledger_sd * (1.0 - gain).sqrt(), gain, ..unmoved }
}

/// [`weigh`] with its input checked: shares from 0 to 1, standard deviations of 0 or more, the reading's up to infinity.
///
/// # Errors
/// A value out of range.
///
/// ```
/// // 0.8 with 0.10 against 0.5 with 0.05: 0.8 - 0.3 x 0.01 / (0.01 + 0.0025) = 0.56
/// let weighed = dibble::water::weighed(0.8, 0.10, 0.5, 0.05, false)?;
/// assert!((weighed.available - 0.56).abs() < 1e-12);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn weighed(ledger: f64, ledger_sd: f64, reading: f64, reading_sd: f64, only_drier: bool) -> Result<Weighed> {
    bounds::FRACTION.named("ledger").check(ledger)?;
    bounds::FRACTION.named("ledger_sd").check(ledger_sd)?;
    bounds::FRACTION.named("reading").check(reading)?;
    check_sd("reading_sd", reading_sd)?;
    Ok(weigh(ledger, ledger_sd, reading, reading_sd, only_drier))
}

fn check_sd(name: &str, sd: f64) -> Result<()> {
    if sd.is_nan() || sd < 0.0 {
        let hint = "Give a standard deviation as a share of the available water, 0 or more.";
        return Err(Error::inconsistent(format!("{name} is {sd}"), hint));
    }
    Ok(())
}

/// A reading beside the ledger.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReadingOutcome {
    /// The column's name.
    pub column: String,
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Depths read, m.
    pub from_depth_m: f64,
    /// Lower edge, m.
    pub to_depth_m: f64,
    /// Share of the available water that the ledger had in that layer.
    pub ledger_available: f64,
    /// Standard deviation of the ledger's share.
    pub ledger_sd: f64,
    /// Share that the reading says.
    pub reading_available: f64,
    /// Standard deviation of the reading's share; absent where it is infinite.
    pub reading_sd: Option<f64>,
    /// Share to go on with.
    pub used_available: f64,
    /// Distance in standard errors.
    pub errors_apart: f64,
    /// What became of it.
    pub verdict: Verdict,
}

impl ReadingOutcome {
    /// Day, depths in these units, what the reading said and what became of it.
    pub fn words(&self, units: System) -> String {
        let percent = |x: f64| format!("{:.0} %", 100.0 * x);
        let layer = show::soil_layer(self.from_depth_m, self.to_depth_m, units);
        let said = format!(
            "{}, {layer}: the ledger had {} of the available water, the reading says {}",
            self.date,
            percent(self.ledger_available),
            percent(self.reading_available)
        );
        let became = match self.verdict {
            Verdict::Merged => format!("; going on with {}", percent(self.used_available)),
            Verdict::NoNews => " or less, which the ledger knew".into(),
            Verdict::Outside => "; it lies below the roots and was not used".into(),
            Verdict::Disagrees => format!(
                "; these differ by {:.1} standard errors: going on with the drier, {}. Measure again: a hole at the row end, a dry sensor that reads wet, or rain the gauge missed",
                self.errors_apart,
                percent(self.used_available)
            ),
        };
        said + &became
    }
}

impl fmt::Display for ReadingOutcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}", self.column, self.words(System::Si))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_reading_without_uncertainty_wins_and_one_with_infinite_changes_nothing(ledger in 0.0..1.0f64, sd in 0.0..0.5f64, reading in 0.0..1.0f64) {
            let sure = weigh(ledger, sd, reading, 0.0, false);
            prop_assert_eq!((sure.available, sure.sd), (reading, 0.0));
            let vague = weigh(ledger, sd, reading, f64::INFINITY, false);
            prop_assert_eq!((vague.available, vague.sd), (ledger, sd));
        }

        #[test]
        fn merging_stays_between_the_two_and_never_adds_doubt(ledger in 0.0..1.0f64, sd in 0.01..0.5f64, reading in 0.0..1.0f64, reading_sd in 0.01..0.5f64) {
            let w = weigh(ledger, sd, reading, reading_sd, false);
            prop_assert!(w.available >= ledger.min(reading) - 1e-15 && w.available <= ledger.max(reading) + 1e-15);
            if w.verdict == Verdict::Merged {
                prop_assert!(w.sd <= sd && w.sd <= reading_sd * (1.0 + 1e-12));
            }
        }
    }

    #[test]
    fn a_reading_says_one_thing_and_comes_back_from_json() {
        let date: Date = "2026-07-10".parse().unwrap();
        for uncertainty in [None, Some(0.0), Some(0.07), Some(f64::INFINITY)] {
            let seen = Seen::one_of(None, Some(45.0), None, None).unwrap();
            let reading = Reading { uncertainty, ..Reading::new(date, 0.1, 0.2, seen) };
            assert_eq!(serde_json::from_str::<Reading>(&serde_json::to_string(&reading).unwrap()).unwrap(), reading);
        }
        assert!(Seen::one_of(None, None, None, None).unwrap_err().to_string().starts_with("what the reading says is missing."));
        assert!(Seen::one_of(None, Some(40.0), Some(0.2), None).is_err());
    }

    #[test]
    fn far_apart_readings_are_not_averaged() {
        // 0.9 against 0.2 with 0.1 each: 0.7 / 0.141 = 4.9 standard errors
        let w = weigh(0.9, 0.1, 0.2, 0.1, false);
        assert_eq!((w.verdict, w.available), (Verdict::Disagrees, 0.2));
        assert!((w.errors_apart - 4.949_747).abs() < 1e-5);
        assert_eq!(weigh(0.2, 0.1, 0.9, 0.1, false).available, 0.2);
    }

    #[test]
    fn a_broken_column_says_only_drier_than() {
        assert_eq!(weigh(0.3, 0.1, 0.5, 0.05, true).verdict, Verdict::NoNews);
        assert_eq!(weigh(0.6, 0.1, 0.5, 0.05, true).verdict, Verdict::Merged);
    }
}
