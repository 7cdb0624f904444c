//! A run of days over many columns: what is asked, and the season that comes back.

use super::column::Column;
use super::kernel::LANES;
use super::kernel_block::run_block;
use super::reading::ReadingOutcome;
use super::season_json::SeasonRecord;
use crate::assumption::{Assumed, Flags, count_days};
use crate::control::Control;
use crate::date::Date;
use crate::error::{Error, Result};
use ndarray::{Array2, ArrayView2, Axis};
use serde::{Deserialize, Serialize};
use std::collections::HashSet;
use std::fmt;
use std::str::FromStr;
use std::sync::atomic::{AtomicU64, Ordering};

/// Which ledger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Form {
    /// Water by layer over the whole profile: the default.
    #[default]
    Layered,
    /// FAO-56 Eq. 71-88 with the accounts Dr and De.
    Printed {
        /// Excess drains before the day's ET, as in Example 38, instead of after it, as in Eq. 88.
        drain_first: bool,
    },
}

impl Form {
    /// "layered", "fao56" or "fao56 drain first".
    pub fn name(self) -> &'static str {
        match self {
            Form::Layered => "layered",
            Form::Printed { drain_first: false } => "fao56",
            Form::Printed { drain_first: true } => "fao56 drain first",
        }
    }
}

impl fmt::Display for Form {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Form {
    type Err = Error;
    fn from_str(text: &str) -> Result<Self> {
        let all = [Form::Layered, Form::Printed { drain_first: false }, Form::Printed { drain_first: true }];
        let wanted = text.trim().to_lowercase().replace(['_', '-'], " ");
        all.into_iter().find(|f| f.name() == wanted).ok_or_else(|| Error::unknown("form", text, &all.map(Form::name)))
    }
}

macro_rules! series {
    ($($id:ident = $name:literal, $words:literal;)*) => {
        /// A daily number of a column.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        pub enum Series { $(#[doc = $words] #[serde(rename = $name)] $id),* }

        impl Series {
            /// Every series.
            pub const ALL: &[Series] = &[$(Series::$id),*];
            /// Name with its unit.
            pub fn name(self) -> &'static str { match self { $(Series::$id => $name),* } }
            /// In words.
            pub fn words(self) -> &'static str { match self { $(Series::$id => $words),* } }
        }
    };
}

series! {
    Eto = "eto_mm", "reference evapotranspiration";
    Rain = "rain_mm", "rain";
    Irrigation = "irrigation_mm", "water given that entered the ground";
    Refill = "refill_mm", "of it, water given by the refill rule";
    Interception = "interception_mm", "rain too small to reach the ground";
    Runoff = "runoff_mm", "rain and excess that ran off";
    Evaporation = "evaporation_mm", "evaporation from the soil";
    Transpiration = "transpiration_mm", "transpiration";
    Drainage = "drainage_mm", "drainage below the roots";
    DeepDrainage = "deep_drainage_mm", "drainage out of the profile";
    Basal = "kcb", "basal crop coefficient";
    Stress = "ks", "stress coefficient, 1 without stress";
    StressOnset = "p", "share of the available water that may be used before stress";
    MorningDepletion = "morning_depletion_mm", "depletion of the root zone in the morning, after readings and before the day's water";
    MorningSd = "morning_sd_mm", "standard deviation of the morning's depletion";
    Depletion = "depletion_mm", "depletion of the root zone at the end of the day";
    DepletionSd = "depletion_sd_mm", "standard deviation of the depletion";
    AvailableWater = "taw_mm", "available water that the root zone can hold";
    Excess = "excess_mm", "water above field capacity at the end of the day";
    RootDepth = "root_depth_m", "root depth";
    AirFilled = "air_filled", "air-filled share of the root zone's fine earth";
}

impl FromStr for Series {
    type Err = Error;
    fn from_str(text: &str) -> Result<Self> {
        let names: Vec<_> = Series::ALL.iter().map(|s| s.name()).collect();
        Series::ALL.iter().copied().find(|s| s.name() == text.trim()).ok_or_else(|| Error::unknown("series", text, &names))
    }
}

/// Which daily series are kept.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Record {
    /// Totals only: for large ensembles.
    Totals,
    /// The named ones.
    Chosen(Vec<Series>),
    /// Every one.
    #[default]
    All,
}

/// How to run.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RunOptions {
    /// Which ledger.
    pub form: Form,
    /// Which series are kept.
    pub record: Record,
    /// Threads; `None` takes the pool's own number. The result does not depend on it.
    pub n_threads: Option<usize>,
}

/// Sums of a column over the season, mm and days.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Totals {
    /// Reference evapotranspiration.
    pub eto_mm: f64,
    /// Rain.
    pub rain_mm: f64,
    /// Water given, that which ran off included.
    pub irrigation_mm: f64,
    /// Water given that the soil could not take in.
    pub irrigation_runoff_mm: f64,
    /// Pumped for the refill rule, low end.
    pub gross_low_mm: f64,
    /// Pumped for the refill rule, high end.
    pub gross_high_mm: f64,
    /// Number of waterings by the refill rule.
    pub refills: usize,
    /// Rain too small to reach the ground.
    pub interception_mm: f64,
    /// Rain and excess that ran off.
    pub runoff_mm: f64,
    /// Evaporation from the soil.
    pub evaporation_mm: f64,
    /// Transpiration.
    pub transpiration_mm: f64,
    /// Drainage below the roots.
    pub drainage_mm: f64,
    /// Drainage out of the profile.
    pub deep_drainage_mm: f64,
    /// Water that readings added (negative: took away).
    pub correction_mm: f64,
    /// Water in the profile at the start (printed form: less the depletion).
    pub stored_start_mm: f64,
    /// The same at the end.
    pub stored_end_mm: f64,
    /// What the balance fails to close by.
    pub closure_mm: f64,
    /// Depletion at the start.
    pub depletion_start_mm: f64,
    /// Depletion at the end.
    pub depletion_mm: f64,
    /// Standard deviation of the depletion at the end.
    pub depletion_sd_mm: f64,
    /// Available water that the root zone can hold at the end.
    pub available_water_mm: f64,
    /// Days with a stress coefficient below 1.
    pub stress_days: usize,
    /// Days above field capacity in the evening.
    pub days_above_field_capacity: usize,
    /// Days with less than a tenth of the root zone's volume filled with air.
    pub airless_days: usize,
    /// Longest run of such days.
    pub longest_airless_run: usize,
}

/// Many columns through the same days.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(with = "SeasonRecord"))]
#[serde(try_from = "SeasonRecord", into = "SeasonRecord")]
pub struct Season {
    pub(super) form: Form,
    pub(super) first: Date,
    pub(super) days: usize,
    pub(super) columns: Vec<String>,
    pub(super) kept: Vec<Series>,
    pub(super) daily: Vec<Array2<f64>>,
    pub(super) totals: Vec<Totals>,
    pub(super) readings: Vec<ReadingOutcome>,
    pub(super) assumptions: Vec<Assumed>,
}

impl Season {
    /// Which ledger.
    pub fn form(&self) -> Form {
        self.form
    }
    /// First day.
    pub fn first(&self) -> Date {
        self.first
    }
    /// Number of days.
    pub fn days(&self) -> usize {
        self.days
    }
    /// The date of day `index`, counted from 0.
    pub fn date(&self, index: usize) -> Date {
        self.first + i32::try_from(index).unwrap_or(i32::MAX)
    }
    /// The index of a date, if it lies within.
    pub fn index_of(&self, date: Date) -> Option<usize> {
        usize::try_from(date - self.first).ok().filter(|&i| i < self.days)
    }
    /// Names of the columns, in the caller's order.
    pub fn columns(&self) -> &[String] {
        &self.columns
    }
    /// The series that were kept.
    pub fn kept(&self) -> &[Series] {
        &self.kept
    }
    /// One series, `[day, column]`; `None` if it was not kept.
    pub fn daily(&self, series: Series) -> Option<ArrayView2<'_, f64>> {
        self.kept.iter().position(|s| *s == series).and_then(|i| self.daily.get(i)).map(|kept| kept.view())
    }
    /// One series of one column, day by day; empty if it was not kept.
    pub fn column(&self, series: Series, column: usize) -> Vec<f64> {
        self.daily(series).filter(|d| column < d.ncols()).map(|d| d.column(column).to_vec()).unwrap_or_default()
    }
    /// Sums, one for each column.
    pub fn totals(&self) -> &[Totals] {
        &self.totals
    }
    /// What became of the readings.
    pub fn readings(&self) -> &[ReadingOutcome] {
        &self.readings
    }
    /// What was taken for granted: about weather and soil, by [`super::run_stand`] also about the stand and the start.
    pub fn assumptions(&self) -> &[Assumed] {
        &self.assumptions
    }

    /// Takes the daily numbers out, in the order of [`Season::kept`], so that another owner can hold them.
    pub fn take_daily(&mut self) -> Vec<Array2<f64>> {
        std::mem::take(&mut self.daily)
    }

    /// The season with its daily numbers put back.
    ///
    /// # Errors
    /// Not one array for each kept series, or an array that is not `[day, column]`.
    pub fn with_daily(mut self, daily: Vec<Array2<f64>>) -> Result<Self> {
        let shape = (self.days, self.columns.len());
        if daily.len() != self.kept.len() || daily.iter().any(|values| values.dim() != shape) {
            return Err(Error::inconsistent("daily numbers that are not this season's", "Put back what take_daily gave."));
        }
        self.daily = daily;
        Ok(self)
    }

    /// The place of a column by its name.
    ///
    /// # Errors
    /// No column of that name.
    pub fn find(&self, column: &str) -> Result<usize> {
        self.columns.iter().position(|name| name == column).ok_or_else(|| Error::unknown("column", column, &self.columns))
    }
}

/// Most values a season may keep, so that a slip does not take the machine's memory: 16 GB.
const MOST_VALUES: usize = 2_000_000_000;

/// Carries `columns` through their days.
///
/// Columns are independent: neither their order, nor how many there are, nor the number of threads changes a
/// bit of any of them.
///
/// # Errors
/// No column, a column that fails its check (its name is the error's place), more values than can be kept, or
/// a stop through `control`.
///
/// # Source
/// FAO-56 ch. 7-8 (Allen et al. 1998) for the printed form and the surface; the layered form is our own, with
/// the same pieces (DEVELOPERS.md says why).
pub fn run(columns: &[Column<'_>], options: &RunOptions, control: &Control) -> Result<Season> {
    let first_column = columns.first().ok_or_else(|| Error::missing("a column", "Give at least one column to run."))?;
    let (first, days) = (first_column.weather.first(), first_column.weather.len());
    if days == 0 {
        return Err(Error::missing("weather", "Give at least one day."));
    }
    for column in columns {
        column.check(first, days, options.form)?;
    }
    let kept = match &options.record {
        Record::Totals => Vec::new(),
        Record::Chosen(list) => Series::ALL.iter().copied().filter(|s| list.contains(s)).collect(),
        Record::All => Series::ALL.to_vec(),
    };
    let values = days.saturating_mul(columns.len()).saturating_mul(kept.len());
    if values > MOST_VALUES {
        return Err(Error::inconsistent(
            format!("{} columns over {days} days with {} series are {values} values to keep", columns.len(), kept.len()),
            "Record totals or fewer series, or run in parts.",
        ));
    }
    let mut daily: Vec<Array2<f64>> = kept.iter().map(|_| Array2::zeros((days, columns.len()))).collect();
    let mut blocks: Vec<_> = columns.chunks(LANES).map(|block| (block, Vec::with_capacity(kept.len()))).collect();
    for series in &mut daily {
        // each block writes its own columns where they stay
        let strips = series.axis_chunks_iter_mut(Axis(1), LANES);
        blocks.iter_mut().zip(strips).for_each(|((_, of_block), strip)| of_block.push(strip));
    }
    let progress = Progress { control, done: AtomicU64::new(0), total: days as u64 * blocks.len() as u64 };
    let results =
        crate::pool::map_owned(blocks, options.n_threads, |(block, strips)| run_block(block, options.form, &kept, strips, &progress))?;
    let (mut totals, mut readings) = (Vec::with_capacity(columns.len()), Vec::new());
    for result in results {
        let result = result?;
        totals.extend(result.totals);
        readings.extend(result.readings);
    }
    let names = columns.iter().map(|c| c.name.clone()).collect();
    Ok(Season { form: options.form, first, days, columns: names, kept, daily, totals, readings, assumptions: assumed(columns) })
}

/// How far all blocks of a run are, together.
pub(super) struct Progress<'a> {
    control: &'a Control,
    done: AtomicU64,
    total: u64,
}

impl Progress<'_> {
    /// A block begins so many days. Counted before it is compared, so that a work limit is met for any order of blocks.
    pub(super) fn begin(&self, days: usize) -> Result<()> {
        let done = self.done.fetch_add(days as u64, Ordering::Relaxed) + days as u64;
        self.control.step("a season", done, self.total)
    }
}

/// What weather and soils take for granted; of several weathers the most days count.
fn assumed(columns: &[Column<'_>]) -> Vec<Assumed> {
    let mut rows: Vec<Assumed> = Vec::new();
    let mut add = |row: Assumed| match rows.iter_mut().find(|r| r.key == row.key) {
        Some(known) => known.days = known.days.max(row.days),
        None => rows.push(row),
    };
    let mut seen = HashSet::new();
    let mut soil = Flags::NONE;
    for column in columns {
        if seen.insert(std::ptr::from_ref(column.weather)) {
            column.weather.assumptions().into_iter().for_each(&mut add);
        }
        soil = column.profile.layers().fold(soil, |all, layer| all.union(layer.soil.assumptions()));
    }
    count_days(&[soil]).into_iter().map(|row| Assumed { days: None, ..row }).for_each(add);
    rows
}
