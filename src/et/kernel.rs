//! Daily reference evapotranspiration over columns of site-days: the formula of [`super::reference_daily`], many
//! rows at a time.
//!
//! Rows go through in blocks of 64 as fixed arrays in plain loops, which the compiler turns into vector code.
//! What depends on the site or the day alone is computed once for a run of equal sites and once for each day of the
//! year. A row never depends on its neighbors, so order, chunks, threads and vector width do not change a bit.

// Lanes of several arrays side by side are what vectorises; slices are cut to checked lengths.
#![allow(clippy::indexing_slicing, clippy::needless_range_loop)]

use super::Surface;
use super::reference::raw::{self, ElevationTerms};
use crate::bounds::{self, Bound};
use crate::error::{Error, Result};
use crate::num::dispatch;
use crate::pool;
use crate::sun::raw::{DayTerms, LatitudeTerms, day_terms, extraterrestrial, latitude_terms};

/// Rows of a block.
const LANES: usize = 64;
/// Rows that one thread takes at a time.
const CHUNK: usize = 16_384;

type Block = [f64; LANES];

/// A column: a value for each row, or one for all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Column<'a> {
    /// One value for each row.
    Each(&'a [f64]),
    /// The same value for all rows.
    Same(f64),
}

impl<'a> From<&'a [f64]> for Column<'a> {
    fn from(values: &'a [f64]) -> Self {
        Column::Each(values)
    }
}

impl From<f64> for Column<'_> {
    fn from(value: f64) -> Self {
        Column::Same(value)
    }
}

impl Column<'_> {
    /// `n` rows from `start` as a block: borrowed where the column holds a whole one, else put into `spare`.
    #[inline(always)]
    fn block<'b>(&'b self, start: usize, n: usize, spare: &'b mut Block) -> &'b Block {
        match self {
            Column::Same(value) => *spare = [*value; LANES],
            Column::Each(values) => {
                // The caller has checked the lengths.
                let rows = &values[start..start + n];
                if let Ok(whole) = rows.try_into() {
                    return whole;
                }
                spare[..n].copy_from_slice(rows);
            }
        }
        spare
    }

    fn at(&self, row: usize) -> f64 {
        match self {
            Column::Each(values) => values.get(row).copied().unwrap_or(f64::NAN),
            Column::Same(value) => *value,
        }
    }
}

/// Columns of site-days; names, units and ranges as in [`super::DailyInput`]. In a column of values NaN means missing.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(missing_docs)] // the fields are those of DailyInput
pub struct DailyColumns<'a> {
    pub tmin_c: Column<'a>,
    pub tmax_c: Column<'a>,
    pub vapor_pressure_kpa: Column<'a>,
    pub wind_2m_m_s: Column<'a>,
    pub solar_mj_m2: Column<'a>,
    pub latitude_deg: Column<'a>,
    pub elevation_m: Column<'a>,
    pub day_of_year: Column<'a>,
    pub surface: Surface,
}

impl<'a> DailyColumns<'a> {
    /// The columns with the bounds and names that hold for them.
    fn all(&self) -> [(&Column<'a>, Bound, &'static str); 8] {
        [
            (&self.tmin_c, bounds::T_C, "tmin_c"),
            (&self.tmax_c, bounds::T_C, "tmax_c"),
            (&self.vapor_pressure_kpa, bounds::VAPOR_PRESSURE_KPA, "vapor_pressure_kpa"),
            (&self.wind_2m_m_s, bounds::WIND_M_S, "wind_2m_m_s"),
            (&self.solar_mj_m2, bounds::SOLAR_MJ_M2, "solar_mj_m2"),
            (&self.latitude_deg, bounds::LATITUDE_DEG, "latitude_deg"),
            (&self.elevation_m, bounds::ELEVATION_M, "elevation_m"),
            (&self.day_of_year, bounds::DAY_OF_YEAR, "day_of_year"),
        ]
    }

    /// Columns as long as the result; a value for all rows in range and not missing.
    fn check_shape(&self, rows: usize) -> Result<()> {
        for (column, bound, name) in self.all() {
            match column {
                Column::Same(value) => {
                    bound.named(name).check(*value)?;
                }
                Column::Each(values) if values.len() != rows => {
                    return Err(Error::inconsistent(
                        format!("{name} has {} rows and the result has {rows}", values.len()),
                        "Give all columns and the result the same length.",
                    ));
                }
                Column::Each(_) => {}
            }
        }
        Ok(())
    }

    /// The error for the first fault, column by column.
    fn check_values(&self, rows: usize) -> Result<()> {
        for (column, bound, name) in self.all() {
            if let Column::Each(values) = column {
                bound.named(name).check_slice(values)?;
            }
        }
        let crossed = |&row: &usize| self.tmin_c.at(row) > self.tmax_c.at(row);
        match (0..rows).find(crossed) {
            None => Ok(()),
            Some(row) => Err(Error::inconsistent(
                format!(
                    "tmin_c[{row}] is {} deg C and tmax_c[{row}] is {} deg C: the lowest is above the highest",
                    self.tmin_c.at(row),
                    self.tmax_c.at(row)
                ),
                "Check whether the two were exchanged.",
            )),
        }
    }
}

/// Reference evapotranspiration of many days, mm d⁻¹, into `out`. Missing values (NaN) give NaN in their row.
///
/// The same bits as [`super::reference_daily`] row by row. `n_threads`: 1 for this thread alone, `None` for one on each
/// core.
///
/// # Errors
/// Columns of unequal length; a value for all rows that is missing; a value infinite or out of range, or a lowest temperature above the highest: the first
/// is named with its row, the rest counted, and `out` holds nothing of use.
///
/// # Source
/// FAO-56 Eq. 6; see [`super::reference_daily`].
///
/// ```
/// use dibble::et::{Surface, kernel::{DailyColumns, reference_daily}};
/// let mut out = [0.0; 2];
/// let july = DailyColumns {
///     tmin_c: [12.3, f64::NAN].as_slice().into(), tmax_c: [21.5, 22.0].as_slice().into(), vapor_pressure_kpa: 1.409.into(),
///     wind_2m_m_s: 2.078.into(), solar_mj_m2: 22.07.into(), latitude_deg: 50.8.into(), elevation_m: 100.0.into(),
///     day_of_year: [187.0, 188.0].as_slice().into(), surface: Surface::Short,
/// };
/// reference_daily(&july, &mut out, Some(1))?;
/// assert_eq!(format!("{:.2}", out[0]), "3.88");
/// assert!(out[1].is_nan());
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn reference_daily(columns: &DailyColumns<'_>, out: &mut [f64], n_threads: Option<usize>) -> Result<()> {
    let faulty = reference_daily_or_nan(columns, out, n_threads)?;
    // Range checks ride along with the computation; only a fault costs a second look.
    if faulty { columns.check_values(out.len()) } else { Ok(()) }
}

/// As [`reference_daily`], but a faulty row becomes NaN instead of an error; returns whether there was one.
///
/// # Errors
/// Columns of unequal length; a value for all rows that is missing or out of range.
pub fn reference_daily_or_nan(columns: &DailyColumns<'_>, out: &mut [f64], n_threads: Option<usize>) -> Result<bool> {
    columns.check_shape(out.len())?;
    let faulty = std::sync::atomic::AtomicBool::new(false);
    pool::each_chunk(out, CHUNK, n_threads, |index, piece| {
        if dispatch::run(Daily { columns, first: index * CHUNK, out: piece }) {
            faulty.store(true, std::sync::atomic::Ordering::Relaxed);
        }
    })?;
    Ok(faulty.into_inner())
}

/// The rows from `first` on.
struct Daily<'a> {
    columns: &'a DailyColumns<'a>,
    first: usize,
    out: &'a mut [f64],
}

impl dispatch::Kernel for Daily<'_> {
    type Output = bool;

    #[inline(always)]
    fn run(self) -> bool {
        let c = self.columns;
        let constants = c.surface.daily_constants();
        let mut site = SiteBlock::new();
        let mut days = DayTable::new();
        let mut any_fault = false;
        let mut spare = [[0.0; LANES]; 8];
        for (block, out) in self.out.chunks_mut(LANES).enumerate() {
            let (start, n) = (self.first + block * LANES, out.len());
            let [s0, s1, s2, s3, s4, s5, s6, s7] = &mut spare;
            let tmin = c.tmin_c.block(start, n, s0);
            let tmax = c.tmax_c.block(start, n, s1);
            let vapor = c.vapor_pressure_kpa.block(start, n, s2);
            let wind = c.wind_2m_m_s.block(start, n, s3);
            let solar = c.solar_mj_m2.block(start, n, s4);
            let latitude = c.latitude_deg.block(start, n, s5);
            let elevation = c.elevation_m.block(start, n, s6);
            let day = c.day_of_year.block(start, n, s7);
            // Integers as wide as the numbers keep the comparisons in vector lanes.
            let mut fault = [0u64; LANES];
            for i in 0..LANES {
                fault[i] = outside(tmin[i], bounds::T_C)
                    | outside(tmax[i], bounds::T_C)
                    | outside(vapor[i], bounds::VAPOR_PRESSURE_KPA)
                    | outside(wind[i], bounds::WIND_M_S)
                    | outside(solar[i], bounds::SOLAR_MJ_M2)
                    | outside(latitude[i], bounds::LATITUDE_DEG)
                    | outside(elevation[i], bounds::ELEVATION_M)
                    | outside(day[i], bounds::DAY_OF_YEAR)
                    | u64::from(tmin[i] > tmax[i]);
            }
            site.fill(latitude, elevation);
            let sun = days.fill(day, n);
            let mut ra = [0.0; LANES];
            for i in 0..LANES {
                ra[i] = extraterrestrial(
                    &LatitudeTerms { sin: site.sin[i], cos: site.cos[i], tan: site.tan[i] },
                    &DayTerms { distance: sun.distance[i], sin: sun.sin[i], cos: sun.cos[i], tan: sun.tan[i] },
                );
            }
            let mut et = [0.0; LANES];
            for i in 0..LANES {
                let weather = raw::Day {
                    tmin: tmin[i],
                    tmax: tmax[i],
                    vapor: vapor[i],
                    wind: wind[i],
                    solar: solar[i],
                    extraterrestrial: ra[i],
                    soil_heat: 0.0,
                };
                let elevation = ElevationTerms { gamma: site.gamma[i], clear_sky: site.clear_sky[i] };
                et[i] = raw::daily(weather, elevation, constants);
            }
            let mut faults = 0;
            for i in 0..n {
                out[i] = if fault[i] == 0 { et[i] } else { f64::NAN };
                faults |= fault[i];
            }
            any_fault |= faults != 0;
        }
        any_fault
    }
}

/// 1 if out of range; a missing value is not.
#[inline(always)]
fn outside(value: f64, bound: Bound) -> u64 {
    u64::from((value < bound.min) | (value > bound.max))
}

/// Terms of the site for each lane, kept while latitude and elevation stay the same.
struct SiteBlock {
    latitude: Block,
    elevation: Block,
    sin: Block,
    cos: Block,
    tan: Block,
    gamma: Block,
    clear_sky: Block,
}

impl SiteBlock {
    #[inline(always)]
    fn new() -> Self {
        // NaN equals nothing: the first block is always filled.
        let none = [f64::NAN; LANES];
        Self { latitude: none, elevation: none, sin: none, cos: none, tan: none, gamma: none, clear_sky: none }
    }

    #[inline(always)]
    fn fill(&mut self, latitude: &Block, elevation: &Block) {
        if self.latitude != *latitude {
            self.latitude = *latitude;
            let (mut last, mut terms) = (f64::NAN, LatitudeTerms::default());
            for i in 0..LANES {
                if latitude[i] != last {
                    last = latitude[i];
                    terms = latitude_terms(last);
                }
                (self.sin[i], self.cos[i], self.tan[i]) = (terms.sin, terms.cos, terms.tan);
            }
        }
        if self.elevation != *elevation {
            self.elevation = *elevation;
            let (mut last, mut terms) = (f64::NAN, ElevationTerms::default());
            for i in 0..LANES {
                if elevation[i] != last {
                    last = elevation[i];
                    terms = raw::elevation_terms(last);
                }
                (self.gamma[i], self.clear_sky[i]) = (terms.gamma, terms.clear_sky);
            }
        }
    }
}

/// Terms of the days of the year, computed when first met.
struct DayTable {
    known: [DayTerms; 367],
}

/// Terms of the day for each lane.
struct DayBlock {
    distance: Block,
    sin: Block,
    cos: Block,
    tan: Block,
}

impl DayTable {
    #[inline(always)]
    fn new() -> Self {
        Self { known: [DayTerms::default(); 367] }
    }

    #[inline(always)]
    fn fill(&mut self, days: &Block, n: usize) -> DayBlock {
        let none = [0.0; LANES];
        let mut block = DayBlock { distance: none, sin: none, cos: none, tan: none };
        for i in 0..n {
            let terms = self.terms(days[i]);
            (block.distance[i], block.sin[i], block.cos[i], block.tan[i]) = (terms.distance, terms.sin, terms.cos, terms.tan);
        }
        block
    }

    #[inline(always)]
    fn terms(&mut self, day: f64) -> DayTerms {
        // A whole number added to 2^52 stands in the low bits.
        const TWO_52: f64 = 4_503_599_627_370_496.0;
        let shifted = day + TWO_52;
        let index = (shifted.to_bits() & 0x1ff) as usize;
        if shifted - TWO_52 != day || !(0.0..=366.0).contains(&day) || index >= self.known.len() {
            return day_terms(day);
        }
        // The distance factor of a real day is about 1; 0 marks one not yet computed.
        if self.known[index].distance == 0.0 {
            self.known[index] = day_terms(day);
        }
        self.known[index]
    }
}
