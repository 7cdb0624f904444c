//! One day of one column, step by step.

use super::season::{Form, Season, Series};
use crate::date::Date;
use crate::error::{Error, Result};
use crate::explain::Step;

const BALANCE: &str = "FAO-56 Eq. 85";

impl Season {
    /// The water balance of a day, from what came in to the depletion in the evening; `column` counts from 0.
    ///
    /// # Errors
    /// A day or column outside the season, or a series that was not kept.
    pub fn explain(&self, date: Date, column: usize) -> Result<Vec<Step>> {
        let outside = |what: String| Error::inconsistent(what, "Ask for a day and a column of the season.");
        let day = self.index_of(date).ok_or_else(|| {
            outside(format!("{date} is not within the season, {} to {}", self.first, self.date(self.days.saturating_sub(1))))
        })?;
        let name = self.columns.get(column).ok_or_else(|| {
            outside(format!("column {column} is not within the season, which has {}, counted from 0", self.columns.len()))
        })?;
        let at = |series: Series, day: usize| {
            self.daily(series).and_then(|values| values.get((day, column)).copied()).ok_or_else(|| {
                Error::missing(format!("the daily {}", series.name()), "Run the season with every series kept to have a day explained.")
            })
        };
        let today = |series| at(series, day);
        let (rain, given) = (today(Series::Rain)?, today(Series::Irrigation)?);
        let (caught, ran_off) = (today(Series::Interception)?, today(Series::Runoff)?);
        let (eto, kcb, ks, p) = (today(Series::Eto)?, today(Series::Basal)?, today(Series::Stress)?, today(Series::StressOnset)?);
        let (evaporation, transpiration) = (today(Series::Evaporation)?, today(Series::Transpiration)?);
        let (drained, taw) = (today(Series::Drainage)?, today(Series::AvailableWater)?);
        let (depletion, excess) = (today(Series::Depletion)?, today(Series::Excess)?);
        let (morning, excess_before) = match day.checked_sub(1) {
            Some(before) => (at(Series::Depletion, before)?, at(Series::Excess, before)?),
            None => (self.totals.get(column).map_or(f64::NAN, |t| t.depletion_start_mm), 0.0),
        };
        let entered = rain - caught - ran_off + given;
        // what the balance of a day leaves over: roots that deepen into wetter or drier soil, a reading, drying beyond wilting
        let other = depletion - excess - (morning - excess_before) + entered - evaporation - transpiration - drained;
        let raw = p * taw;

        let looked = self.readings.iter().filter(|r| r.date == date && r.column == *name).map(|reading| {
            Step::new(
                "share of the available water after a reading",
                &reading.to_string(),
                reading.used_available,
                "",
                "weighed by variances",
            )
        });
        let mut steps: Vec<Step> = looked.collect();
        let mut stress = Step::new("stress coefficient", "Ks = (TAW - Dr) / (TAW - RAW), at most 1", ks, "", "FAO-56 Eq. 84");
        if ks < 1.0 {
            stress = stress.from("TAW", taw, "mm").from("RAW", raw, "mm").from("Dr as the roots feel it", taw - ks * (taw - raw), "mm");
        }
        let (drains, source) = match self.form {
            Form::Layered => ("of the excess X above field capacity, X exp(-t / T) stays", "first-order drainage; T is our judgment"),
            Form::Printed { drain_first: true } => ("water beyond field capacity, before the day's ET", "FAO-56 Example 38"),
            Form::Printed { drain_first: false } => ("water beyond field capacity, after the day's ET", "FAO-56 Eq. 88"),
        };
        steps.extend([
            Step::new("water that entered the ground", "rain - caught - run off + water given", entered, "mm", BALANCE)
                .from("rain", rain, "mm")
                .from("caught by leaves and litter", caught, "mm")
                .from("run off", ran_off, "mm")
                .from("water given", given, "mm"),
            Step::new("available water", "TAW = 1000 (FC - WP) Zr, summed over the rooted layers", taw, "mm", "FAO-56 Eq. 82").from(
                "Zr",
                today(Series::RootDepth)?,
                "m",
            ),
            Step::new("readily available water", "RAW = p TAW", raw, "mm", "FAO-56 Eq. 83").from("p", p, "").from("TAW", taw, "mm"),
            stress,
            Step::new(
                "evaporation from the soil",
                "Ke ETo, with Ke as wetness, cover and mulch leave it",
                evaporation,
                "mm",
                "FAO-56 Eq. 71-79",
            )
            .from("Ke", if eto > 0.0 { evaporation / eto } else { 0.0 }, "")
            .from("ETo", eto, "mm"),
            Step::new("transpiration", "Ks Kcb ETo", transpiration, "mm", "FAO-56 Eq. 80")
                .from("Ks", ks, "")
                .from("Kcb", kcb, "")
                .from("ETo", eto, "mm"),
            Step::new("drainage below the roots", drains, drained, "mm", source),
            Step::new(
                "depletion in the evening",
                "morning - entered + evaporation + transpiration + drained + change of excess + other",
                depletion,
                "mm",
                BALANCE,
            )
            .from("morning", morning, "mm")
            .from("entered", entered, "mm")
            .from("evaporation", evaporation, "mm")
            .from("transpiration", transpiration, "mm")
            .from("drained", drained, "mm")
            .from("change of excess", excess - excess_before, "mm")
            .from("other (deeper roots, a reading, drying beyond wilting)", other, "mm"),
            Step::new("share of the available water used", "depletion / TAW", depletion / taw, "", "")
                .from("depletion", depletion, "mm")
                .from("TAW", taw, "mm"),
        ]);
        Ok(steps)
    }
}
