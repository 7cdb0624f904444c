//! The coming weeks as past years would make them: when each block needs water, how dry it gets, how much it would take.

use super::years::{Behind, same_height};
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::farm::{BlockCourses, Course, Farm, FarmBlock, PlanOptions, courses};
use crate::pool;
use crate::units::System;
use crate::weather::Weather;
use serde::{Deserialize, Serialize};

/// Version of the content.
pub const OUTLOOK_SCHEMA: u32 = 1;
/// Fewest past years that say anything about chances.
const FEWEST_YEARS: usize = 3;

/// What may differ from the plain question.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct OutlookOptions {
    /// Days to look ahead from the plan's date on, 7 to 200.
    pub days: usize,
    /// Days of the forecast that are believed before the past years begin; all that are given if left out.
    pub forecast_days: Option<usize>,
    /// Years to take; all whole ones of the history if left out.
    pub years: Option<Vec<i32>>,
    /// Threads; one for each core if left out. The result does not depend on it.
    pub n_threads: Option<usize>,
}

impl Default for OutlookOptions {
    fn default() -> Self {
        Self { days: 56, forecast_days: None, years: None, n_threads: None }
    }
}

/// A number over the years: middle, and the ends of the band that holds eight years of ten.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Band {
    /// One year in ten lies below.
    pub low: f64,
    /// Half of the years.
    pub middle: f64,
    /// One year in ten lies above.
    pub high: f64,
}

/// A block's coming weeks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BlockOutlook {
    /// Name.
    pub name: String,
    /// Share of the available water at which it needs water.
    pub allowed_depletion: f64,
    /// Share used each morning if nobody waters, from the outlook's date on.
    pub depletion: Vec<Band>,
    /// Share of the years in which it has needed water by that morning.
    pub chance_due: Vec<f64>,
    /// The first morning on which it needs water, by year; absent where it does not within the days.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<Option<String>>"))]
    pub due: Vec<Option<Date>>,
    /// Waterings within the days, if it is watered whenever it is due.
    pub waterings: Band,
    /// Water that these would pump over the block's ground at the middle efficiency, mm.
    pub pumped_mm: Band,
    /// The same for the whole block, m3; absent without its area.
    pub pumped_m3: Option<Band>,
}

/// The coming weeks of a farm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Outlook {
    /// Version of this content.
    pub schema: u32,
    /// Farm.
    pub farm: String,
    /// The morning that it begins with.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Days looked ahead.
    pub days: usize,
    /// Of them, days of the forecast.
    pub forecast_days: usize,
    /// Past years.
    pub years: Vec<i32>,
    /// Years that were left out, and why.
    pub left_out: Vec<String>,
    /// Rain of the days, mm.
    pub rain_mm: Band,
    /// The blocks, in the order of the farm.
    pub blocks: Vec<BlockOutlook>,
    /// Units it is printed in.
    pub units: System,
}

/// The coming weeks with the weather of past years behind the records of this one and its forecast.
///
/// `history` holds the past years; `None` takes them from `weather` itself. Each year is one equally likely course; what it
/// would have brought is reckoned from this morning's state of each block. The call is stopped, and its progress told, through
/// the control in `options`.
///
/// # Errors
/// Fewer than three whole years; days out of range; a year that the history does not hold; what a plan refuses.
///
/// # Source
/// Ensembles of past years over today's state: Day (1985), Journal of Water Resources Planning and Management 111(2):157-170.
/// Percentiles: type 7 of Hyndman and Fan (1996), The American Statistician 50:361-365.
///
/// ```
/// use dibble::farm::{Farm, PlanOptions};
/// use dibble::outlook::{OutlookOptions, outlook};
/// use dibble::weather::{DayColumns, Weather};
/// // three past summers: without rain, with a shower each week, and with rain every other day
/// let first: dibble::Date = "2023-07-01".parse()?;
/// let dates: Vec<_> = (0..3 * 365).map(|n| first + n).collect();
/// let every = |n: usize| match n / 365 { 0 => 0.0, 1 => if n % 7 == 0 { 20.0 } else { 0.0 }, _ => if n % 2 == 0 { 10.0 } else { 0.0 } };
/// let days = dates.len();
/// let history = Weather::from_columns(DayColumns {
///     dates,
///     tmin_c: vec![14.0; days],
///     tmax_c: vec![27.0; days],
///     rain_mm: (0..days).map(every).collect(),
///     ..DayColumns::default()
/// })?;
/// let (farm, today) = (Farm::demo()?, Farm::demo_today()?);
/// let given = OutlookOptions { days: 28, ..OutlookOptions::default() };
/// let ahead = outlook(&farm, &Farm::demo_weather()?, today, Some(&history), &PlanOptions::default(), &given)?;
/// assert_eq!(ahead.years, [2023, 2024, 2025]);
/// assert!(ahead.blocks.iter().all(|b| b.chance_due.windows(2).all(|w| w[0] <= w[1])));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn outlook(
    farm: &Farm,
    weather: &Weather,
    today: Date,
    history: Option<&Weather>,
    options: &PlanOptions,
    given: &OutlookOptions,
) -> Result<Outlook> {
    bounds::OUTLOOK_DAYS.check(given.days as f64)?;
    let history = history.unwrap_or(weather);
    same_height(weather, history, farm.site())?;
    let as_of = farm.as_of(today, options.log.as_ref())?;
    let farm = as_of.farm.as_ref();
    let foreseen = usize::try_from(weather.last() - today + 1).unwrap_or(0).min(given.days);
    let forecast = given.forecast_days.map_or(foreseen, |days| days.min(foreseen));
    let behind = Behind { weather, history, today, forecast, days: given.days };
    let (years, left_out) = chosen(&behind, given.years.as_deref())?;
    let weathers: Vec<Weather> = years.iter().map(|year| behind.with(*year)).collect::<Result<_>>()?;
    let blocks = farm.blocks();
    let control = &options.control;
    let total = blocks.len() as u64;
    let done = std::sync::atomic::AtomicU64::new(0);
    let each = pool::map(&blocks, given.n_threads, |block: &FarmBlock<'_>| {
        control.step("the outlook", done.fetch_add(1, std::sync::atomic::Ordering::Relaxed), total)?;
        let seen = courses(block, farm, &weathers, today, given.days, options);
        seen.map_err(|e| if e.place().is_some() { e } else { e.at(format!("block \"{}\"", block.block.name)) })
    })?;
    let each: Vec<BlockCourses> = each.into_iter().collect::<Result<_>>()?;
    control.step("the outlook", total, total)?;
    let rain_mm = band(each.first().map(|b| b.each.iter().map(|y| y.rain_mm).collect()).unwrap_or_default());
    Ok(Outlook {
        schema: OUTLOOK_SCHEMA,
        farm: farm.name().into(),
        date: today,
        days: given.days,
        forecast_days: forecast,
        years,
        left_out,
        rain_mm,
        blocks: each.iter().map(|block| of_block(block, today, given.days)).collect(),
        units: options.units.unwrap_or(farm.units()),
    })
}

fn chosen(behind: &Behind<'_>, wanted: Option<&[i32]>) -> Result<(Vec<i32>, Vec<String>)> {
    let (whole, left_out) = behind.years();
    let years = match wanted {
        None => whole,
        Some(wanted) => {
            let mut wanted = wanted.to_vec();
            wanted.sort_unstable();
            wanted.dedup();
            if let Some(absent) = wanted.iter().find(|year| !whole.contains(year)) {
                let known: Vec<String> = whole.iter().map(ToString::to_string).collect();
                return Err(Error::unknown("year", &absent.to_string(), &known));
            }
            wanted
        }
    };
    if years.len() < FEWEST_YEARS {
        const TOLD: usize = 3;
        let first: Vec<&str> = left_out.iter().take(TOLD).map(String::as_str).collect();
        let more = if left_out.len() > TOLD { format!("; and {} more", left_out.len() - TOLD) } else { String::new() };
        let why = if first.is_empty() { String::new() } else { format!(" ({}{more})", first.join("; ")) };
        let can = if years.len() == 1 { "1 year can".into() } else { format!("{} years can", years.len()) };
        return Err(Error::missing(
            format!("a history of at least {FEWEST_YEARS} whole past years"),
            format!(
                "Of the weather from {} to {} {can} be used{why}. Give daily weather of earlier years (history; --years PAST.csv for the \
                 command) that holds each of the {} days from the month and day of {} on, or look ahead fewer days.",
                behind.history.first(),
                behind.history.last(),
                behind.days,
                behind.today
            ),
        ));
    }
    Ok((years, left_out))
}

fn of_block(block: &BlockCourses, today: Date, days: usize) -> BlockOutlook {
    let years = block.each.len() as f64;
    let day = |n: usize| today + i32::try_from(n).unwrap_or(i32::MAX);
    let across = |of: &dyn Fn(&Course) -> f64| band(block.each.iter().map(of).collect());
    let due_by = |n: usize| block.each.iter().filter(|y| y.due.is_some_and(|due| due <= n)).count() as f64 / years;
    let efficiency = 0.5 * (block.efficiency.0 + block.efficiency.1);
    let pumped_mm = across(&|y| y.waterings.iter().map(|(_, net_mm)| net_mm).sum::<f64>() / efficiency);
    let whole = |area_m2: f64| {
        let m3 = |mm: f64| mm * area_m2 / 1000.0;
        Band { low: m3(pumped_mm.low), middle: m3(pumped_mm.middle), high: m3(pumped_mm.high) }
    };
    BlockOutlook {
        name: block.name.clone(),
        allowed_depletion: block.allowed_depletion,
        depletion: (0..days).map(|n| across(&|y| y.depletion.get(n).copied().unwrap_or(f64::NAN))).collect(),
        chance_due: (0..days).map(due_by).collect(),
        due: block.each.iter().map(|y| y.due.map(day)).collect(),
        waterings: across(&|y| y.waterings.len() as f64),
        pumped_mm,
        pumped_m3: block.area_m2.map(whole),
    }
}

/// The 10, 50 and 90 % points: of n values in order, the one at (n - 1) times the share, between two in proportion.
fn band(mut values: Vec<f64>) -> Band {
    values.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let place = share * values.len().saturating_sub(1) as f64;
        let below = values.get(place.floor() as usize).copied().unwrap_or(0.0);
        let above = values.get(place.ceil() as usize).copied().unwrap_or(below);
        below + (place - place.floor()) * (above - below)
    };
    Band { low: at(0.1), middle: at(0.5), high: at(0.9) }
}

impl BlockOutlook {
    /// The first morning by which it has needed water in at least this share of the years, counted from the outlook's date.
    pub fn due_by(&self, chance: f64) -> Option<usize> {
        self.chance_due.iter().position(|c| *c >= chance)
    }
}

impl Outlook {
    /// Columns of [`Outlook::to_csv`] that hold words; all others hold numbers.
    pub const WORD_COLUMNS: [&str; 2] = ["block", "date"];

    /// Each block's band and chance day by day, as CSV (RFC 4180): shares of the available water, shares of the years.
    ///
    /// # Errors
    /// None for an outlook that was made.
    pub fn to_csv(&self) -> Result<String> {
        let failed = |why: String| Error::internal("an outlook as CSV", why);
        let mut writer = csv::Writer::from_writer(Vec::new());
        let mut write = |row: &[String]| writer.write_record(row).map_err(|e| failed(e.to_string()));
        write(&["block", "date", "depletion_low", "depletion_middle", "depletion_high", "chance_due"].map(str::to_string))?;
        for block in &self.blocks {
            for ((band, chance), day) in block.depletion.iter().zip(&block.chance_due).zip(0..) {
                let numbers = [band.low, band.middle, band.high, *chance].map(|x| x.to_string());
                let [low, middle, high, chance] = numbers;
                write(&[block.name.clone(), (self.date + day).to_string(), low, middle, high, chance])?;
            }
        }
        let bytes = writer.into_inner().map_err(|e| failed(e.to_string()))?;
        String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
    }

    /// Writes it as JSON, every number exactly.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn to_json(&self) -> Result<String> {
        crate::json::write(self)
    }

    /// Reads it back.
    ///
    /// # Errors
    /// Something else, or a newer schema.
    pub fn from_json(text: &str) -> Result<Self> {
        crate::json::read(text, "outlook", OUTLOOK_SCHEMA)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percentiles_are_those_of_type_7() {
        // Hyndman and Fan (1996), definition 7: p_k = (k - 1) / (n - 1)
        let band = band((1..=11).rev().map(f64::from).collect());
        assert_eq!((band.low, band.middle, band.high), (2.0, 6.0, 10.0));
        let two = super::band(vec![3.0, 1.0]);
        assert!((two.low - 1.2).abs() < 1e-12 && two.middle == 2.0 && (two.high - 2.8).abs() < 1e-12);
    }
}
