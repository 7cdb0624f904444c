//! Sets repeated without end on a lattice: evenness and rate against spacing.

use super::kernel::{self, Jet};
use super::uniformity::{Uniformity, of_values};
use super::{Set, Sprinkler};
use crate::bounds;
use crate::error::{Error, Result};
use crate::geom::Xy;
use serde::{Deserialize, Serialize};

/// Places sampled along each side of a cell. CU and DU of the smooth profiles are then right within 0.005, of the disc,
/// which has steps, within 0.03 (tested).
const PER_SIDE: usize = 512;
/// Most sets that may reach one cell.
const MOST_SETS: f64 = 20_000.0;

/// How sets repeat.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Lattice {
    /// Squares.
    Square {
        /// Between neighbors, m.
        spacing_m: f64,
    },
    /// Rectangles.
    Rectangular {
        /// East to west, m.
        x_m: f64,
        /// North to south, m.
        y_m: f64,
    },
    /// Equilateral triangles: each second row shifted by half.
    Triangular {
        /// Between neighbors, m.
        spacing_m: f64,
    },
}

impl Lattice {
    /// The two steps from one set to its neighbors, m.
    fn steps(self) -> Result<[Xy; 2]> {
        let check = |name, value| bounds::SET_SPACING_M.named(name).check(value);
        Ok(match self {
            Lattice::Square { spacing_m: s } => [[check("spacing_m", s)?, 0.0], [0.0, s]],
            Lattice::Rectangular { x_m, y_m } => [[check("x_m", x_m)?, 0.0], [0.0, check("y_m", y_m)?]],
            Lattice::Triangular { spacing_m: s } => [[check("spacing_m", s)?, 0.0], [0.5 * s, s * 0.75_f64.sqrt()]],
        })
    }

    /// Ground of one set, m².
    ///
    /// # Errors
    /// A spacing out of range.
    pub fn cell_m2(self) -> Result<f64> {
        let [a, b] = self.steps()?;
        Ok(a[0] * b[1])
    }
}

/// Evenness of the depth of one hour on an endless lattice: its mean is the rate, mm/h.
///
/// Arc and wind of the sprinkler count. `per_side`: places sampled along each side of the cell, at midpoints; none for
/// 512. A few cans to a side misread the evenness by up to ten points of DU: that is what a small test sees.
///
/// # Errors
/// A spacing out of range, or so small that more than 20,000 sets reach one place.
///
/// ```
/// use dibble::sprinkler::{lattice_uniformity, Lattice, Profile, Sprinkler, SprinklerInput};
/// let gun = Sprinkler::new(SprinklerInput::new(300.0, 30.0, Profile::Cone))?;
/// let even = lattice_uniformity(&gun, Lattice::Square { spacing_m: 30.0 }, None)?;
/// assert_eq!(format!("{:.1} {:.1}", even.cu_pct, even.du_pct), "96.4 95.0");
/// assert_eq!(format!("{:.1}", even.mean_mm), "20.0"); // 300 L/min on 900 m2
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn lattice_uniformity(sprinkler: &Sprinkler, lattice: Lattice, per_side: Option<usize>) -> Result<Uniformity> {
    let n = per_side.unwrap_or(PER_SIDE);
    if !(1..=4096).contains(&n) {
        return Err(Error::inconsistent(format!("per_side is {n}"), "Sample 1 to 4096 places along a side."));
    }
    let [a, b] = lattice.steps()?;
    let around = around(sprinkler, a, b)?;
    let share = |k: usize| (k as f64 + 0.5) / n as f64;
    let mut depths = vec![0.0; n * n];
    for (j, row) in depths.chunks_mut(n).enumerate() {
        let points: Vec<Xy> = (0..n).map(|i| [share(i) * a[0] + share(j) * b[0], share(j) * b[1]]).collect();
        kernel::depths(&sprinkler.shape, &around, &points, row);
    }
    of_values(depths).ok_or_else(|| Error::inconsistent("no sampled place is wet", "Sample more places, or set the sprinklers closer."))
}

/// The sets of a lattice that reach the cell at the origin, run for an hour.
fn around(sprinkler: &Sprinkler, a: Xy, b: Xy) -> Result<Vec<Jet>> {
    let jet = Set::new([0.0, 0.0], 60.0).jet(sprinkler)?;
    let reach = jet.reach_m + jet.center[0].abs().max(jet.center[1].abs());
    let across = (reach / b[1]).ceil() as i64 + 1;
    let columns = ((reach + b[0].abs() + a[0]) / a[0]).ceil() as i64 + 1;
    let count = (2 * across + 1) as f64 * (2 * columns + 1) as f64;
    if count > MOST_SETS {
        return Err(Error::inconsistent(
            format!("about {count:.0} sets reach one place"),
            "Give a spacing nearer to the wetted radius, both in meters.",
        ));
    }
    let mut jets = Vec::new();
    for j in -across..=across {
        // Columns are counted from where the row crosses the y axis.
        let lean = (j as f64 * b[0] / a[0]).round() as i64;
        for i in -columns..=columns {
            let (i, j) = ((i - lean) as f64, j as f64);
            let center = [jet.center[0] + i * a[0] + j * b[0], jet.center[1] + j * b[1]];
            jets.push(Jet { center, ..jet });
        }
    }
    Ok(jets)
}

/// One row of a spacing study.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SpacingRow {
    /// Spacing over the wetted diameter.
    pub over_diameter: f64,
    /// Spacing, m.
    pub spacing_m: f64,
    /// Rate over the ground, mm/h.
    pub rate_mm_h: f64,
    /// Evenness of an hour's depth.
    pub uniformity: Uniformity,
}

/// Evenness and rate against spacing, given as shares of the wetted diameter, on squares or triangles.
///
/// CU does not fall steadily with spacing, so look at the whole table: the widest spacing that is still even enough may
/// have worse ones below it.
///
/// # Errors
/// A share that is not between 0.02 and 2, or a spacing out of range.
///
/// ```
/// use dibble::sprinkler::{spacing_study, Profile, Sprinkler, SprinklerInput};
/// let gun = Sprinkler::new(SprinklerInput::new(300.0, 30.0, Profile::Cone))?;
/// let rows = spacing_study(&gun, &[0.50, 0.55, 0.60], false)?;
/// let cu: Vec<String> = rows.iter().map(|r| format!("{:.1}", r.uniformity.cu_pct)).collect();
/// assert_eq!(cu, ["96.4", "97.4", "90.5"]); // wider is not always worse
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn spacing_study(sprinkler: &Sprinkler, over_diameter: &[f64], triangular: bool) -> Result<Vec<SpacingRow>> {
    let row = |&share: &f64| {
        let over_diameter = bounds::SPACING_SHARE.named("over_diameter").check(share)?;
        let spacing_m = over_diameter * 2.0 * sprinkler.radius_m();
        let lattice = if triangular { Lattice::Triangular { spacing_m } } else { Lattice::Square { spacing_m } };
        let uniformity = lattice_uniformity(sprinkler, lattice, None)?;
        Ok(SpacingRow { over_diameter, spacing_m, rate_mm_h: uniformity.mean_mm, uniformity })
    };
    over_diameter.iter().map(row).collect()
}

/// Evenness across the lanes of a machine that waters while it travels, `lane_m` apart: the profile summed along each
/// line of travel in closed form. The mean is the depth of one pass at 1 m/min, mm.
///
/// # Errors
/// A spacing out of range, or a part circle or wind (calm full circles only).
///
/// ```
/// use dibble::sprinkler::{lane_uniformity, Profile, Sprinkler, SprinklerInput};
/// let gun = Sprinkler::new(SprinklerInput::new(300.0, 30.0, Profile::Ellipse))?;
/// let even = lane_uniformity(&gun, 42.0)?; // lanes at 0.7 of the diameter
/// assert!((even.mean_mm - 300.0 / 42.0).abs() < 1e-4);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn lane_uniformity(sprinkler: &Sprinkler, lane_m: f64) -> Result<Uniformity> {
    const SAMPLES: usize = 16_384;
    let lane = bounds::SET_SPACING_M.named("lane_m").check(lane_m)?;
    if !sprinkler.arc().is_full() || sprinkler.input().wind.is_some() {
        return Err(Error::inconsistent("lanes are reckoned for a full circle in calm air", "Leave arc and wind out."));
    }
    let jet = Set::new([0.0, 0.0], 1.0).jet(sprinkler)?;
    let radius = sprinkler.radius_m();
    let beside = (radius / lane).ceil() as i64 + 1;
    // Symmetric about the line of travel and about the middle between two.
    let depth = |k: usize| {
        let x = 0.5 * lane * (k as f64 + 0.5) / SAMPLES as f64;
        let passes = (-beside..=beside).map(|i| sprinkler.shape.chord((x + i as f64 * lane) / radius));
        jet.depth_mm * radius * passes.sum::<f64>()
    };
    of_values((0..SAMPLES).map(depth).collect()).ok_or_else(|| Error::inconsistent("no place is wet", "Set the lanes closer."))
}
