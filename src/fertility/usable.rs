//! Can a sample be used, and if not quite, why: reasons, not silence.

use super::SoilTest;
use crate::date::Date;
use crate::words::words;
use serde::{Deserialize, Serialize};

words! {
    /// How far a sample, a test or a row of a file can be used.
    pub enum Status: "status" {
        /// As it is.
        Ok = "ok",
        /// With the reasons in mind.
        WithAssumption = "usable with assumption",
        /// Not.
        NotUsable = "not usable",
    }
}

/// One reason against a sample.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Reason {
    /// Stable key.
    pub key: String,
    /// Does it rule the sample out?
    pub status: Status,
    /// What is the matter, with its number, and what to do.
    pub words: String,
    /// Who says so.
    pub source: String,
}

/// Whether a sample can be used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Usability {
    /// The worst of the reasons.
    pub status: Status,
    /// The reasons, worst first.
    pub reasons: Vec<Reason>,
}

impl Usability {
    fn new(mut reasons: Vec<Reason>) -> Self {
        reasons.sort_by_key(|r| std::cmp::Reverse(r.status));
        Self { status: reasons.first().map_or(Status::Ok, |r| r.status), reasons }
    }
}

const COMMON: &str = "common practice";
const NC_STATE: &str = "NC State Extension, sampling soil and plant tissue";
const RUTGERS: &str = "Rutgers FS1187";

/// When a sample is to be judged, and for what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asked {
    /// The day of asking.
    pub today: Date,
    /// The day that trees are to be planted, if they are.
    pub planting: Option<Date>,
    /// South of the equator?
    pub southern: bool,
}

/// Judges a sample by age, depth, cores, season and what was spread before it.
///
/// Older than a year: with reserve; than three: not. Shallower than 0.10 m or deeper than 0.25 m: with reserve; beyond
/// 0.05 to 0.40 m: not. Fewer than 10 cores, a sample within three months of fertilizing, or a dry summer's pH: with reserve.
///
/// # Source
/// Three months: NC State Extension. Six months before planting: Rutgers FS1187. Depth and cores: Virginia Tech 452-723
/// (15-20 cores, 0-6 or 0-8 in). The other limits are common practice.
///
/// ```
/// use dibble::Date;
/// use dibble::fertility::{Asked, SoilTest, SoilTestInput, Status, usability};
/// let sampled = Some(Date::new(2023, 5, 1)?);
/// let test = SoilTest::new(SoilTestInput { sampled, depth_m: Some(0.15), ph: Some(5.6), ..SoilTestInput::default() })?;
/// let judged = usability(&test, &Asked { today: Date::new(2027, 5, 1)?, planting: None, southern: false });
/// assert_eq!(judged.status, Status::NotUsable);
/// assert_eq!(judged.reasons.first().map(|r| r.words.as_str()), Some("The sample is 4.0 years old. Sample again."));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn usability(test: &SoilTest, asked: &Asked) -> Usability {
    let Asked { today, planting, southern } = *asked;
    use Status::{NotUsable, WithAssumption};
    let input = test.input();
    let mut reasons = Vec::new();
    let mut say = |key: &str, status, words: String, source: &str| {
        reasons.push(Reason { key: key.into(), status, words, source: source.into() });
    };
    match input.sampled {
        None => say("date_missing", WithAssumption, "The day of sampling is not given; the age of the sample is unknown.".into(), COMMON),
        Some(day) if day > today => {
            say(
                "date_future",
                NotUsable,
                format!("The sample is dated {day}, after {today}. Check the date: day and month may be swapped."),
                COMMON,
            );
        }
        Some(day) => {
            let days = today - day;
            if days > 3 * 365 {
                say("too_old", NotUsable, format!("The sample is {:.1} years old. Sample again.", f64::from(days) / 365.25), COMMON);
            } else if days > 365 {
                say(
                    "old",
                    WithAssumption,
                    format!("The sample is {days} days old; lime and fertilizer spread since then do not show."),
                    NC_STATE,
                );
            }
            if let Some(planting) = planting.filter(|p| *p - day > 183) {
                say(
                    "before_planting",
                    WithAssumption,
                    format!("Planting on {planting} is more than six months after sampling on {day}."),
                    RUTGERS,
                );
            }
            if input.ph.is_some() && is_summer(day, southern) {
                say(
                    "summer_ph",
                    Status::Ok,
                    format!(
                        "Sampled on {day}: a dry, fertilized summer soil can read a few tenths lower in pH; compare with samples of the same season."
                    ),
                    COMMON,
                );
            }
            if let Some(spread) = input.fertilized.filter(|f| (0..91).contains(&(day - *f))) {
                say(
                    "after_fertilizing",
                    WithAssumption,
                    format!(
                        "Sampled {} days after fertilizing or liming on {spread}: what was spread is read as soil supply. Wait three months.",
                        day - spread
                    ),
                    NC_STATE,
                );
            }
        }
    }
    match input.depth_m {
        None => say("depth_missing", WithAssumption, "The depth of sampling is not given.".into(), COMMON),
        Some(depth) if !(0.05..=0.40).contains(&depth) => {
            say(
                "depth_wrong",
                NotUsable,
                format!("The sample reaches {:.0} cm; tables hold for 15 to 20 cm (6 to 8 in).", 100.0 * depth),
                COMMON,
            );
        }
        Some(depth) if !(0.10..=0.25).contains(&depth) => {
            say(
                "depth_unusual",
                WithAssumption,
                format!("The sample reaches {:.0} cm; tables hold for 15 to 20 cm (6 to 8 in).", 100.0 * depth),
                COMMON,
            );
        }
        Some(_) => {}
    }
    if let Some(cores) = input.cores.filter(|c| *c < 10) {
        say(
            "few_cores",
            WithAssumption,
            format!("The sample is of {cores} cores; 15 to 20 make it stand for the block."),
            "Virginia Tech 452-723",
        );
    }
    if input.ph.is_none() {
        say("ph_missing", WithAssumption, "There is no pH: nothing can be said about lime.".into(), COMMON);
    }
    if input.measured.is_empty() && input.rated.is_empty() {
        let acidity = input.buffer.is_some() || input.exchangeable_acidity_meq.is_some();
        if input.ph.is_some() && acidity {
            say("lime_alone", WithAssumption, "No nutrient is reported: lime alone can be answered.".into(), COMMON);
        } else {
            say("nothing_measured", NotUsable, "No nutrient is reported.".into(), COMMON);
        }
    }
    Usability::new(reasons)
}

fn is_summer(day: Date, southern: bool) -> bool {
    if southern { matches!(day.month(), 12 | 1..=3) } else { (6..=9).contains(&day.month()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fertility::{Extractant, Form, Measurement, Nutrient, Reported, SoilTestInput, TestUnit};

    fn judged(change: impl FnOnce(&mut SoilTestInput)) -> (Status, Vec<String>) {
        let k = Measurement {
            nutrient: Nutrient::K,
            form: Some(Form::Element),
            value: Reported::Measured(80.0),
            unit: TestUnit::Ppm,
            extractant: Some(Extractant::BrayP1),
            converted: None,
        };
        let mut input = SoilTestInput {
            sampled: "2026-10-20".parse().ok(),
            depth_m: Some(0.15),
            cores: Some(16),
            ph: Some(5.6),
            measured: vec![k],
            ..SoilTestInput::default()
        };
        change(&mut input);
        let today = Date::new(2026, 11, 20).unwrap();
        let judged = usability(&SoilTest::new(input).unwrap(), &Asked { today, planting: None, southern: false });
        (judged.status, judged.reasons.into_iter().map(|r| r.key).collect())
    }

    #[test]
    fn a_good_sample_has_no_reasons_and_each_flaw_has_one() {
        assert_eq!(judged(|_| {}), (Status::Ok, vec![]));
        let key = |s: &str| vec![s.to_string()];
        assert_eq!(judged(|i| i.sampled = None), (Status::WithAssumption, key("date_missing")));
        assert_eq!(judged(|i| i.sampled = "2025-09-30".parse().ok()).1, ["old", "summer_ph"]);
        assert_eq!(judged(|i| i.sampled = "2022-10-01".parse().ok()), (Status::NotUsable, key("too_old")));
        assert_eq!(judged(|i| i.sampled = "2027-01-02".parse().ok()), (Status::NotUsable, key("date_future")));
        assert_eq!(judged(|i| i.fertilized = "2026-08-15".parse().ok()), (Status::WithAssumption, key("after_fertilizing")));
        assert_eq!(judged(|i| i.fertilized = "2026-06-01".parse().ok()), (Status::Ok, vec![]));
        assert_eq!(judged(|i| i.depth_m = Some(0.3)), (Status::WithAssumption, key("depth_unusual")));
        assert_eq!(judged(|i| i.depth_m = Some(0.03)), (Status::NotUsable, key("depth_wrong")));
        assert_eq!(judged(|i| i.cores = Some(3)), (Status::WithAssumption, key("few_cores")));
        assert_eq!(judged(|i| i.measured.clear()), (Status::NotUsable, key("nothing_measured")));
        let ph_and_buffer = |i: &mut SoilTestInput| {
            i.measured.clear();
            i.ph = Some(5.2);
            i.buffer = Some(crate::fertility::Buffer { value: 6.1, method: crate::fertility::BufferMethod::Mehlich, lime_index: None });
        };
        assert_eq!(judged(ph_and_buffer), (Status::WithAssumption, key("lime_alone")));
    }
}
