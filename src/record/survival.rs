//! How many trees live: the rate with its interval, whether deaths stand in clumps, and the gaps along a row.

use crate::bounds;
use crate::error::{Error, Result};
use crate::num::{chance, normal};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Radius of a round plot of 1/100 acre, m: 11.8 ft. Trees counted in it times 100 are trees per acre.
pub const PLOT_RADIUS_M: f64 = 11.8 * 0.3048;
/// Chance below which deaths are called clumped (common practice).
const NOTABLE: f64 = 0.05;

/// Trees of one row or plot.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Plot {
    /// What it is called.
    #[serde(default)]
    pub place: String,
    /// Trees planted in it.
    pub planted: u32,
    /// Of them, living.
    pub living: u32,
    /// The row tree by tree, "x" living and "." missing, if it was walked so.
    #[serde(default)]
    pub row: Option<String>,
}

impl Plot {
    /// A row walked tree by tree: "xxx.xx", "x" (also "1" or "|") living and "." (also "0" or "-") missing.
    ///
    /// # Errors
    /// Another mark, or none.
    pub fn walked(place: impl Into<String>, row: &str) -> Result<Self> {
        let (living, planted) = row_counts(row)?;
        Ok(Self { place: place.into(), planted, living, row: Some(row.into()) })
    }
}

/// Living trees of a row, tree by tree; spaces only part the marks.
fn marks(row: &str) -> Result<Vec<bool>> {
    let marks = row.chars().filter(|c| !c.is_whitespace()).map(|c| match c {
        'x' | 'X' | '1' | '|' => Ok(true),
        '.' | '0' | '-' => Ok(false),
        other => {
            let hint = "Write one mark for each tree: x living, . missing.";
            Err(Error::unreadable("row", row, format!("\"{other}\" is no mark of a tree"), hint))
        }
    });
    let marks = marks.collect::<Result<Vec<bool>>>()?;
    if marks.is_empty() { Err(Error::missing("row", "Write one mark for each tree: x living, . missing.")) } else { Ok(marks) }
}

/// Living trees and all trees of a row.
pub(super) fn row_counts(row: &str) -> Result<(u32, u32)> {
    let marks = marks(row)?;
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Ok((count(marks.iter().filter(|m| **m).count()), count(marks.len())))
}

/// What was counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SurveyInput {
    /// Rows or plots.
    pub plots: Vec<Plot>,
    /// Trees planted in the whole block; where every tree was counted there is no doubt left.
    #[serde(default)]
    pub of_trees: Option<u32>,
    /// Share of such intervals that hold the truth, 0.5 to 0.999; 0.95 if not given.
    #[serde(default = "usual_level")]
    pub level: f64,
}

fn usual_level() -> f64 {
    0.95
}

impl SurveyInput {
    /// At a level of 95 %.
    pub fn new(plots: Vec<Plot>, of_trees: Option<u32>) -> Self {
        Self { plots, of_trees, level: usual_level() }
    }

    fn check(&self) -> Result<(u32, u32)> {
        bounds::LEVEL.check(self.level)?;
        let mut problems = Vec::new();
        for (plot, number) in self.plots.iter().zip(1..) {
            let place = || if plot.place.is_empty() { format!("plot {number}") } else { format!("plot \"{}\"", plot.place) };
            if plot.planted == 0 || plot.living > plot.planted {
                let what = format!("{} trees live of {} planted", plot.living, plot.planted);
                problems.push(Error::inconsistent(what, "Correct one of the two counts; a plot has at least one tree.").at(place()));
            }
            match plot.row.as_deref().map(row_counts) {
                Some(Err(error)) => problems.push(error.at(place())),
                Some(Ok(shown)) if shown != (plot.living, plot.planted) => {
                    let what =
                        format!("the row shows {} living trees of {}, and {} of {} are given", shown.0, shown.1, plot.living, plot.planted);
                    problems.push(Error::inconsistent(what, "Correct the row or the count.").at(place()));
                }
                _ => {}
            }
        }
        let sum = |of: fn(&Plot) -> u32| self.plots.iter().fold(0u32, |all, plot| all.saturating_add(of(plot)));
        let (planted, living) = (sum(|p| p.planted), sum(|p| p.living));
        if self.plots.is_empty() {
            problems.push(Error::missing("plots", "Count at least one row or plot."));
        }
        if let Some(of_trees) = self.of_trees.filter(|&all| planted > all) {
            let hint = "Correct the block's trees, or count no tree twice.";
            problems.push(Error::inconsistent(format!("{planted} trees were counted in a block of {of_trees}"), hint));
        }
        Error::several(problems).map_or(Ok((planted, living)), Err)
    }
}

/// Are deaths scattered by chance, or do they stand together?
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Clumping {
    /// Variance of the deaths between plots over what chance alone gives; near 1 they are scattered.
    pub variance_ratio: f64,
    /// Chi-square of the plots against one common rate.
    pub chi_square: f64,
    /// Its degrees of freedom.
    pub degrees_of_freedom: u32,
    /// Chance of so much or more if deaths were scattered.
    pub chance: f64,
    /// Below 5 %: look for a cause in the places with most deaths.
    pub clumped: bool,
}

/// A row walked tree by tree.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Runs {
    /// Stretches of living and of missing trees.
    pub runs: u32,
    /// As many would be expected by chance; absent where all live or none.
    pub expected: Option<f64>,
    /// Chance of so few or fewer; absent where all live or none.
    pub chance: Option<f64>,
    /// Lengths of the gaps in trees, in the order of the row.
    pub gaps: Vec<u32>,
    /// Number of the first missing tree of each gap, counted from 1.
    pub gap_starts: Vec<u32>,
}

/// The survival of a block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Survey {
    /// Trees planted in the rows and plots.
    pub planted: u32,
    /// Of them, living.
    pub living: u32,
    /// Share that lives.
    pub rate: f64,
    /// Low end of its interval.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// Level of the interval.
    pub level: f64,
    /// How many times the interval's variance is that of trees drawn one by one, at least 1; absent with one plot.
    pub design_effect: Option<f64>,
    /// Between plots; absent with one plot, or where all live or none.
    pub clumping: Option<Clumping>,
    /// Along each row that was walked tree by tree, in their order.
    pub rows: Vec<Runs>,
    /// Longest gap of any row, trees.
    pub longest_gap: u32,
}

/// Low and high end of the share of `living` in `planted` trees that died or lived independently: Wilson's score interval.
///
/// # Errors
/// More living than planted, none planted, a level outside 0.5 to 0.999.
///
/// # Source
/// Wilson (1927), Journal of the American Statistical Association 22:209-212.
///
/// ```
/// // Newcombe (1998), Statistics in Medicine 17:857-872, Table I, from memory: 81 of 263 gives 0.2553 to 0.3662
/// let (low, high) = dibble::record::score_interval(81, 263, 0.95)?;
/// assert_eq!(format!("{low:.4} {high:.4}"), "0.2553 0.3662");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn score_interval(living: u32, planted: u32, level: f64) -> Result<(f64, f64)> {
    if planted == 0 || living > planted {
        return Err(Error::inconsistent(format!("{living} trees live of {planted} planted"), "Correct one of the two counts."));
    }
    let z = normal::quantile(0.5 + 0.5 * bounds::LEVEL.check(level)?)?;
    Ok(wilson(f64::from(living) / f64::from(planted), f64::from(planted), z))
}

fn wilson(rate: f64, n: f64, z: f64) -> (f64, f64) {
    let grown = 1.0 + z * z / n;
    let center = (rate + 0.5 * z * z / n) / grown;
    let half = z / grown * (rate * (1.0 - rate) / n + 0.25 * z * z / (n * n)).sqrt();
    // at 0 and 1 the ends are exact, and rounding shall not say otherwise
    let low = if rate == 0.0 { 0.0 } else { (center - half).max(0.0) };
    let high = if rate == 1.0 { 1.0 } else { (center + half).min(1.0) };
    (low, high)
}

/// The survival of a block from its counted rows or plots.
///
/// The interval is Wilson's at the number of trees over the design effect: where deaths stand together, trees of one plot tell
/// less than as many trees here and there. Trees that were not counted are the only ones in doubt (finite population).
///
/// # Errors
/// No plot; a plot whose counts contradict each other; more trees counted than planted.
///
/// # Source
/// Cochran (1977), Sampling Techniques, 3rd ed.: Eq. 3.34 (ratio of cluster totals), 1.8 (finite population); Kish (1965),
/// Survey Sampling, for the design effect; Snedecor and Cochran (1989), Statistical Methods, for the test of proportions over
/// several samples, which for equal plots is the variance-to-mean test of deaths.
///
/// ```
/// use dibble::record::{Plot, SurveyInput, survival};
/// let plots = [48, 47, 20, 49].map(|living| Plot { planted: 50, living, ..Plot::default() });
/// let survey = survival(&SurveyInput::new(plots.to_vec(), Some(1240)))?;
/// assert_eq!(survey.rate, 0.82);
/// assert!(survey.clumping.is_some_and(|c| c.clumped)); // most deaths are in the third row
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn survival(given: &SurveyInput) -> Result<Survey> {
    let (planted, living) = given.check()?;
    let (n, plots) = (f64::from(planted), given.plots.len() as f64);
    let rate = f64::from(living) / n;
    let chance_variance = rate * (1.0 - rate);
    let off = |p: &Plot| f64::from(p.living) - rate * f64::from(p.planted);
    let (mut design_effect, mut clumping) = (None, None);
    if given.plots.len() > 1 {
        let squares: f64 = given.plots.iter().map(|p| off(p) * off(p)).sum();
        let variance = squares / (plots - 1.0) * plots / (n * n);
        design_effect = Some(if chance_variance > 0.0 { (variance / (chance_variance / n)).max(1.0) } else { 1.0 });
        if chance_variance > 0.0 {
            let degrees_of_freedom = u32::try_from(given.plots.len() - 1).unwrap_or(u32::MAX);
            let chi_square: f64 = given.plots.iter().map(|p| off(p) * off(p) / (f64::from(p.planted) * chance_variance)).sum();
            let chance = chance::chi_square_above(chi_square, degrees_of_freedom)?;
            let variance_ratio = chi_square / f64::from(degrees_of_freedom);
            clumping = Some(Clumping { variance_ratio, chi_square, degrees_of_freedom, chance, clumped: chance < NOTABLE });
        }
    }
    let uncounted = given.of_trees.map_or(1.0, |all| 1.0 - n / f64::from(all));
    let (low, high) = if uncounted > 0.0 {
        wilson(rate, n / design_effect.unwrap_or(1.0) / uncounted, normal::quantile(0.5 + 0.5 * given.level)?)
    } else {
        (rate, rate)
    };
    let rows: Vec<Runs> = given.plots.iter().filter_map(|p| p.row.as_deref()).map(runs).collect::<Result<_>>()?;
    let longest_gap = rows.iter().flat_map(|r| r.gaps.iter().copied()).max().unwrap_or(0);
    Ok(Survey { planted, living, rate, low, high, level: given.level, design_effect, clumping, rows, longest_gap })
}

/// Gaps of a row, and whether its missing trees stand together: fewer stretches than chance would give.
///
/// # Errors
/// A mark that is none of a tree's, or no mark.
///
/// # Source
/// Wald and Wolfowitz (1940), Annals of Mathematical Statistics 11:147-162; the normal approximation with half a run of
/// correction, rough below about ten trees of either kind.
///
/// ```
/// let row = dibble::record::runs("xxxx..xxxxx...xxxxx.")?;
/// assert_eq!((row.runs, row.gaps, row.gap_starts), (6, vec![2, 3, 1], vec![5, 12, 20]));
/// assert_eq!(row.expected, Some(9.4)); // 2 x 14 x 6 / 20 + 1
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn runs(row: &str) -> Result<Runs> {
    let marks = marks(row)?;
    let (mut gaps, mut gap_starts, mut runs) = (Vec::new(), Vec::new(), 0u32);
    let mut before = None;
    for (living, number) in marks.iter().copied().zip(1u32..) {
        runs += u32::from(before != Some(living));
        match (living, before, gaps.last_mut()) {
            (true, _, _) => {}
            (false, Some(false), Some(gap)) => *gap += 1,
            (false, ..) => {
                gaps.push(1);
                gap_starts.push(number);
            }
        }
        before = Some(living);
    }
    let all = marks.len() as f64;
    let alive = marks.iter().filter(|m| **m).count() as f64;
    let twice = 2.0 * alive * (all - alive);
    let variance = twice * (twice - all) / (all * all * (all - 1.0).max(1.0));
    if twice == 0.0 {
        return Ok(Runs { runs, expected: None, chance: None, gaps, gap_starts });
    }
    let expected = twice / all + 1.0;
    let chance = (variance > 0.0).then(|| normal::share_below((f64::from(runs) + 0.5 - expected) / variance.sqrt()));
    Ok(Runs { runs, expected: Some(expected), chance, gaps, gap_starts })
}

/// Trees per hectare from counts in round plots of one radius (m), with low and high end of the interval at `level`.
///
/// # Errors
/// Fewer than two plots, a radius out of range, a level outside 0.5 to 0.999.
///
/// # Source
/// The mean of plots and Student's t. Plots of 11.8 ft, 1/100 acre, are common practice ([`PLOT_RADIUS_M`]).
///
/// ```
/// use dibble::record::{PLOT_RADIUS_M, stand_density};
/// let (per_ha, low, high) = stand_density(&[12, 11, 13, 12, 12], PLOT_RADIUS_M, 0.95)?;
/// // 12 trees in about 1/100 acre are about 1,200 per acre (a circle of 11.8 ft is 0.4 % larger)
/// assert_eq!((per_ha * 0.404_686).round(), 1195.0);
/// assert!(low < per_ha && per_ha < high);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn stand_density(counts: &[u32], radius_m: f64, level: f64) -> Result<(f64, f64, f64)> {
    let radius_m = bounds::RADIUS_M.check(radius_m)?;
    if counts.len() < 2 {
        return Err(Error::missing("counts of at least two plots", "One plot tells nothing about how plots differ."));
    }
    let n = counts.len() as f64;
    let mean = counts.iter().map(|c| f64::from(*c)).sum::<f64>() / n;
    let squares: f64 = counts.iter().map(|c| (f64::from(*c) - mean) * (f64::from(*c) - mean)).sum();
    let t = chance::student_limit(level, u32::try_from(counts.len() - 1).unwrap_or(u32::MAX))?;
    let half = t * (squares / (n - 1.0) / n).sqrt();
    let per_ha = 10_000.0 / (PI * radius_m * radius_m);
    Ok((per_ha * mean, per_ha * (mean - half).max(0.0), per_ha * (mean + half)))
}

/// Fewest round plots for a block of this area, m2: 5 up to 5 acres, one for each acre up to 10, then one more for every 5.
///
/// # Errors
/// An area out of range.
///
/// # Source
/// USDA-NRCS Technical Note 190-FOR-01 (2018), Table 5, as quoted second hand; between its lines the larger number.
///
/// ```
/// let plots = |acres: f64| dibble::record::fewest_plots(acres * 4046.856);
/// assert_eq!((plots(1.0)?, plots(7.5)?, plots(10.0)?, plots(21.0)?), (5, 8, 10, 13));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn fewest_plots(area_m2: f64) -> Result<u32> {
    // a whole number of acres stays one, whatever the last digits of the conversion
    const ROUNDING: f64 = 1e-6;
    let acres = bounds::AREA_M2.check(area_m2)? / crate::units::M2_PER_ACRE - ROUNDING;
    let plots = if acres <= 10.0 { acres.ceil().max(5.0) } else { 10.0 + ((acres - 10.0) / 5.0).ceil() };
    Ok(plots as u32)
}
