//! Rows and spacing: how many trees, and where each stands.

use crate::bounds;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// Trees per hectare of planted ground, lanes not taken off: `10000 / (row spacing x tree spacing)`.
///
/// # Errors
/// A spacing out of range.
///
/// ```
/// // 6 ft by 6 ft is 1,210 trees to the acre (common practice)
/// let per_hectare = dibble::stand::trees_per_hectare(6.0 * 0.3048, 6.0 * 0.3048)?;
/// assert_eq!((per_hectare * 0.40468564224).round(), 1210.0);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn trees_per_hectare(row_spacing_m: f64, tree_spacing_m: f64) -> Result<f64> {
    let rows = bounds::SPACING_M.named("row_spacing_m").check(row_spacing_m)?;
    Ok(1.0e4 / (rows * bounds::SPACING_M.named("tree_spacing_m").check(tree_spacing_m)?))
}

/// A rectangular block of rows. Plain input for [`Layout::new`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Rows {
    /// Along the rows, m.
    pub length_m: f64,
    /// Across the rows, m.
    pub width_m: f64,
    /// Between rows, m.
    pub row_spacing_m: f64,
    /// Between trees in a row, m.
    pub tree_spacing_m: f64,
    /// Left free on every side, m.
    #[serde(default)]
    pub headland_m: f64,
    /// A lane after every so many rows; 0 for none.
    #[serde(default)]
    pub lane_every: usize,
    /// Additional width of a lane, m.
    #[serde(default)]
    pub lane_width_m: f64,
}

/// Trees of a block: gross and net counts and positions.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    rows: Rows,
    row_offsets_m: Vec<f64>,
    trees_in_row: usize,
}

/// Most trees a layout may hold: a slip of unit shows here before memory runs out.
const MOST_TREES: f64 = 5.0e6;

impl Layout {
    /// Lays rows out from the headland on, without a row or a tree beyond the far headland.
    ///
    /// # Errors
    /// A length or spacing out of range, or headlands that leave no room.
    pub fn new(rows: Rows) -> Result<Self> {
        let length = bounds::LENGTH_M.named("length_m").check(rows.length_m)?;
        let width = bounds::LENGTH_M.named("width_m").check(rows.width_m)?;
        bounds::SPACING_M.named("row_spacing_m").check(rows.row_spacing_m)?;
        bounds::SPACING_M.named("tree_spacing_m").check(rows.tree_spacing_m)?;
        let headland = bounds::LENGTH_M.named("headland_m").check(rows.headland_m)?;
        bounds::LENGTH_M.named("lane_width_m").check(rows.lane_width_m)?;
        let (along, across) = (length - 2.0 * headland, width - 2.0 * headland);
        if along < 0.0 || across < 0.0 {
            return Err(Error::inconsistent(
                format!("headlands of {headland} m leave no room in a block of {length} m by {width} m"),
                "Give the block's outer size and a headland below half of it.",
            ));
        }
        let most = (along / rows.tree_spacing_m + 1.0) * (across / rows.row_spacing_m + 1.0);
        if most > MOST_TREES {
            return Err(Error::inconsistent(
                format!("the block would hold about {most:.0} trees"),
                "Check the units of length, width and spacing, or split the block.",
            ));
        }
        let mut row_offsets_m = Vec::new();
        let mut at = 0.0;
        // a hair of slack, so that 30 m at 1.5 m has its last row in spite of rounding
        while at <= across + 1e-9 {
            row_offsets_m.push(headland + at);
            let lane = rows.lane_every > 0 && row_offsets_m.len() % rows.lane_every == 0;
            at += rows.row_spacing_m + if lane { rows.lane_width_m } else { 0.0 };
        }
        let trees_in_row = (along / rows.tree_spacing_m + 1e-9).floor() as usize + 1;
        Ok(Self { rows, row_offsets_m, trees_in_row })
    }

    /// What the layout was made from.
    pub fn rows(&self) -> &Rows {
        &self.rows
    }
    /// Rows.
    pub fn row_count(&self) -> usize {
        self.row_offsets_m.len()
    }
    /// Distance of each row from the block's side, m, the headland included.
    pub fn row_offsets_m(&self) -> &[f64] {
        &self.row_offsets_m
    }
    /// Trees in each row.
    pub fn trees_in_row(&self) -> usize {
        self.trees_in_row
    }
    /// Trees of the block, net of lanes and headlands.
    pub fn trees(&self) -> usize {
        self.row_count() * self.trees_in_row
    }
    /// Trees that the same ground would hold without lanes and headlands: area over spacing.
    pub fn trees_gross(&self) -> f64 {
        self.rows.length_m * self.rows.width_m / (self.rows.row_spacing_m * self.rows.tree_spacing_m)
    }
    /// Net trees per hectare of the block's outer area.
    pub fn trees_per_hectare(&self) -> f64 {
        self.trees() as f64 * 1.0e4 / (self.rows.length_m * self.rows.width_m)
    }

    /// Row number, number in the row (both from 1) and position of each tree: x along the row, y across, m.
    pub fn positions(&self) -> impl Iterator<Item = (usize, usize, [f64; 2])> + '_ {
        self.row_offsets_m.iter().enumerate().flat_map(move |(row, y)| {
            (0..self.trees_in_row).map(move |tree| (row + 1, tree + 1, [self.rows.headland_m + tree as f64 * self.rows.tree_spacing_m, *y]))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FT: f64 = 0.3048;

    #[test]
    fn trees_per_acre_of_common_spacings() {
        // 43,560 / (a b): 5x5 1,742; 5x6 1,452; 6x6 1,210; 6x8 908; 7x8 778; 8x8 681; 10x10 436 (common practice)
        for (a, b, trees) in [
            (5.0, 5.0, 1742.0),
            (5.0, 6.0, 1452.0),
            (6.0, 6.0, 1210.0),
            (6.0, 8.0, 908.0),
            (7.0, 8.0, 778.0),
            (8.0, 8.0, 681.0),
            (10.0, 10.0, 436.0),
        ] {
            let per_acre = trees_per_hectare(a * FT, b * FT).unwrap() * 0.404_685_642_24;
            assert!((per_acre - trees).abs() <= 0.51, "{a} x {b} ft: {per_acre}"); // 6 x 8 ft is 907.5
        }
    }

    #[test]
    fn lanes_and_headlands_are_taken_off_and_row_ends_counted() {
        let rows = Rows {
            length_m: 34.0,
            width_m: 34.0,
            row_spacing_m: 1.5,
            tree_spacing_m: 1.5,
            headland_m: 2.0,
            lane_every: 0,
            lane_width_m: 0.0,
        };
        let open = Layout::new(rows).unwrap();
        assert_eq!((open.row_count(), open.trees_in_row(), open.trees()), (21, 21, 441)); // 30 m at 1.5 m: 20 gaps, 21 trees
        let laned = Layout::new(Rows { lane_every: 5, lane_width_m: 3.0, ..rows }).unwrap();
        // rows at 0 1.5 3 4.5 6 | 10.5 .. 16.5 | 21 .. 27 : three groups of five within 30 m
        assert_eq!(laned.row_count(), 15);
        let last = laned.positions().last().unwrap();
        assert_eq!((last.0, last.1), (15, 21));
        approx::assert_abs_diff_eq!(last.2[0], 32.0, epsilon = 1e-9);
        approx::assert_abs_diff_eq!(last.2[1], 29.0, epsilon = 1e-9);
    }

    #[test]
    fn impossible_blocks_are_refused() {
        let rows = Rows {
            length_m: 10.0,
            width_m: 10.0,
            row_spacing_m: 1.5,
            tree_spacing_m: 1.5,
            headland_m: 6.0,
            lane_every: 0,
            lane_width_m: 0.0,
        };
        assert!(Layout::new(rows).unwrap_err().to_string().contains("leave no room"));
        let huge = Rows { length_m: 1.0e5, width_m: 1.0e5, headland_m: 0.0, ..rows };
        assert!(Layout::new(huge).unwrap_err().to_string().contains("Check the units"));
        assert!(Layout::new(Rows { row_spacing_m: 0.0, headland_m: 0.0, ..rows }).unwrap_err().is_out_of_range());
    }
}
