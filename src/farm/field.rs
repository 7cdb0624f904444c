//! `[block.field]` and `[[area]]`: where a block lies, where its trees stand, and where the sprinkler may stand.
//!
//! Meters east and north of the farm's origin, which is the `[site]`.

use crate::bounds;
use crate::error::{Error, Result};
use crate::geom::{Polygon, Xy, bearing_vector, check_position, dot};
use crate::stand::{Layout, Rows};
use crate::words::words;
use serde::{Deserialize, Serialize};

/// Trees may be counted this much beyond those laid out before the two contradict each other.
const CROWDED: f64 = 1.05;
/// Least distance of places where none is given, m (15 ft, common practice for shifting a hose).
const USUAL_STEP_M: f64 = 4.5;
/// Places that are made where no distance is given.
const USUAL_PLACES: f64 = 64.0;
/// The outermost places stand so far inside of the edge, m: beside the last tree, not in the neighbor's ditch.
const EDGE_M: f64 = 0.5;
/// More places than this to choose from take too long: as many as `placement` takes.
const MOST_PLACES: f64 = 2000.0;

words! {
    /// Where the sprinkler may stand.
    #[derive(Default)]
    pub enum Places: "places" {
        /// Midway between any two rows.
        #[default]
        Alleys = "alleys",
        /// In the lanes only.
        Lanes = "lanes",
        /// Anywhere in the block.
        Anywhere = "anywhere",
    }
}

words! {
    /// What an area asks of the sprinkler.
    pub enum AreaKind: "kind of area" {
        /// No set may stand in it: a pond, a ditch, a rock pile.
        KeepOut = "keep_out",
        /// No water may fall on it: a road, a house, a power line.
        Dry = "dry",
    }
}

/// `[[area]]`: ground anywhere on the farm that asks something of the sprinkler.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Area {
    /// Its name.
    pub name: String,
    /// "keep_out" or "dry".
    pub kind: AreaKind,
    /// Its corners in order.
    pub outline_m: Vec<Xy>,
}

impl Area {
    /// The checked polygon.
    ///
    /// # Errors
    /// No name, or as [`Polygon::new`].
    pub fn polygon(&self) -> Result<Polygon> {
        if self.name.trim().is_empty() {
            return Err(Error::missing("name", "Write name = \"...\"."));
        }
        Polygon::new(&self.outline_m)
    }
}

/// `[block.field]`: outline, rows and places of a block.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Field {
    /// Corners in order.
    pub outline_m: Vec<Xy>,
    /// Ground inside that is not the block's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hole: Vec<Hole>,
    /// Rise of its ground above the pump, m; below it is negative. 0 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise_m: Option<f64>,
    /// Compass bearing along the rows, degrees; 0, north, if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row_direction_deg: Option<f64>,
    /// Free of trees along the outline, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub headland_m: Option<f64>,
    /// A lane after every so many rows; 0 for none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lane_every: Option<u32>,
    /// Width of a lane beyond the row spacing, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lane_width_m: Option<f64>,
    /// Trees by their own positions, in place of rows and spacing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tree_at_m: Vec<Xy>,
    /// Where the sprinkler may stand: "alleys" (if not given), "lanes" or "anywhere".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub places: Option<Places>,
    /// Largest distance of neighboring places, m (across the rows: to the next alley); if not given 4.5, or what leaves
    /// about 64 places.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place_step_m: Option<f64>,
}

/// `[[block.field.hole]]`: ground inside a block that is not the block's.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Hole {
    /// Corners in order.
    pub outline_m: Vec<Xy>,
}

/// A tree where it stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TreePlace {
    /// Row, counted from the right hand as one looks along the rows; 0 for trees that are listed one by one.
    pub row: u32,
    /// Number in the row, or in the list, from 1.
    pub tree: u32,
    /// East of the farm's origin, m.
    pub x_m: f64,
    /// North of the farm's origin, m.
    pub y_m: f64,
}

impl TreePlace {
    /// Position.
    pub fn at(&self) -> Xy {
        [self.x_m, self.y_m]
    }

    /// "row 3, tree 17", or "tree 17".
    pub fn words(&self) -> String {
        if self.row == 0 { format!("tree {}", self.tree) } else { format!("row {}, tree {}", self.row, self.tree) }
    }
}

/// A block on the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldMap {
    /// Outline with its holes.
    pub outline: Polygon,
    /// Its trees, row by row.
    pub trees: Vec<TreePlace>,
    /// Where the sprinkler may stand, areas and reach not taken off.
    pub places: Vec<Xy>,
}

impl Field {
    /// Outline with its holes.
    ///
    /// # Errors
    /// As [`Polygon::new`] and [`Polygon::with_hole`].
    pub fn polygon(&self) -> Result<Polygon> {
        self.hole.iter().try_fold(Polygon::new(&self.outline_m)?, |polygon, hole| polygon.with_hole(&hole.outline_m))
    }

    /// In range, and an outline that is one?
    ///
    /// # Errors
    /// Every value out of range; as [`Field::polygon`].
    pub fn check(&self) -> Result<Polygon> {
        let problems: Vec<Error> = [
            bounds::LIFT_M.named("rise_m").check_option(self.rise_m).err(),
            bounds::BEARING_DEG.named("row_direction_deg").check_option(self.row_direction_deg).err(),
            bounds::LENGTH_M.named("headland_m").check_option(self.headland_m).err(),
            bounds::LENGTH_M.named("lane_width_m").check_option(self.lane_width_m).err(),
            bounds::SPACING_M.named("place_step_m").check_option(self.place_step_m).err(),
        ]
        .into_iter()
        .flatten()
        .collect();
        Error::several(problems).map_or_else(|| self.polygon(), Err)
    }

    /// Lays rows and places out.
    ///
    /// # Errors
    /// As [`Field::check`]; no tree within the outline, a listed tree outside of it, or many fewer trees than were
    /// counted.
    pub fn lay(&self, row_spacing_m: f64, tree_spacing_m: f64, counted: Option<u32>) -> Result<FieldMap> {
        let outline = self.check()?;
        let frame = Frame::of(&outline, self.row_direction_deg.unwrap_or(0.0));
        let headland_m = self.headland_m.unwrap_or(0.0);
        let rows = Rows {
            length_m: frame.length_m,
            width_m: frame.width_m,
            row_spacing_m,
            tree_spacing_m,
            headland_m: headland_m.min(0.5 * frame.length_m.min(frame.width_m)),
            lane_every: self.lane_every.unwrap_or(0) as usize,
            lane_width_m: self.lane_width_m.unwrap_or(0.0),
        };
        let layout = Layout::new(rows)?;
        let inside = |at: Xy, margin_m: f64| outline.contains(at) && (margin_m <= 0.0 || outline.edge_distance_m(at) >= margin_m - 1e-6);
        let trees = if self.tree_at_m.is_empty() {
            numbered(layout.positions().map(|(row, _, at)| (row, frame.on_farm(at))).filter(|(_, at)| inside(*at, headland_m)))
        } else {
            self.listed(&outline)?
        };
        if trees.is_empty() {
            return Err(Error::inconsistent(
                "no tree has room within the outline",
                "Check the outline's unit, the spacing and the headland.",
            ));
        }
        if let Some(counted) = counted.filter(|c| f64::from(*c) > CROWDED * trees.len() as f64) {
            return Err(Error::inconsistent(
                format!("{counted} trees are counted, and {} have room within the outline", trees.len()),
                "Correct the count, the outline, the headland or the lanes.",
            ));
        }
        let places = self.places(&layout, &frame)?.into_iter().filter(|at| inside(*at, 0.0)).collect();
        Ok(FieldMap { outline, trees, places })
    }

    fn listed(&self, outline: &Polygon) -> Result<Vec<TreePlace>> {
        let mut trees = Vec::with_capacity(self.tree_at_m.len());
        for (&at, tree) in self.tree_at_m.iter().zip(1..) {
            let [x_m, y_m] = check_position(at).map_err(|e| e.at(format!("tree_at_m, tree {tree}")))?;
            if !outline.contains(at) {
                return Err(Error::inconsistent(
                    format!("tree {tree} at ({x_m}, {y_m}) stands {:.1} m outside the outline", outline.edge_distance_m(at)),
                    "Correct the position or the outline; x is meters east and y meters north.",
                ));
            }
            trees.push(TreePlace { row: 0, tree, x_m, y_m });
        }
        Ok(trees)
    }

    /// Places over the whole frame, before the outline cuts them: on the headlands too, where part circles serve the edge.
    fn places(&self, layout: &Layout, frame: &Frame) -> Result<Vec<Xy>> {
        let rows = layout.row_offsets_m();
        let pairs = rows.iter().zip(rows.iter().skip(1));
        let square = (frame.length_m * frame.width_m / USUAL_PLACES).sqrt().max(USUAL_STEP_M);
        let between: Vec<f64> = match self.places.unwrap_or_default() {
            Places::Anywhere => evenly(frame.width_m, self.place_step_m.unwrap_or(square)),
            Places::Alleys => apart(&pairs.map(|(a, b)| 0.5 * (a + b)).collect::<Vec<_>>(), self.place_step_m.unwrap_or(square)),
            Places::Lanes => {
                let lane = |(a, b): &(&f64, &f64)| **b - **a > layout.rows().row_spacing_m * (1.0 + 1e-9);
                pairs.filter(lane).map(|(a, b)| 0.5 * (a + b)).collect()
            }
        };
        let usual = match self.places.unwrap_or_default() {
            Places::Lanes => (frame.length_m * between.len() as f64 / USUAL_PLACES).clamp(USUAL_STEP_M, square),
            Places::Alleys | Places::Anywhere => square,
        };
        let step = self.place_step_m.unwrap_or(usual);
        let count = between.len() as f64 * frame.length_m / step;
        if count > MOST_PLACES {
            return Err(Error::inconsistent(
                format!("the block would have about {count:.0} places for the sprinkler"),
                format!("At most {MOST_PLACES:.0} can be compared: write a wider place_step, or places = \"lanes\"."),
            ));
        }
        let along = evenly(frame.length_m, step);
        Ok(between.iter().flat_map(|y| along.iter().map(move |x| frame.on_farm([*x, *y]))).collect())
    }
}

/// Points from one edge to the other, at equal steps no wider than `step`.
fn evenly(length_m: f64, step_m: f64) -> Vec<f64> {
    let inset_m = EDGE_M.min(0.25 * length_m);
    let steps = ((length_m - 2.0 * inset_m) / step_m).ceil().max(1.0);
    (0..=steps as usize).map(|k| inset_m + k as f64 * (length_m - 2.0 * inset_m) / steps).collect()
}

/// Of sorted offsets the first, the last and those between that come next to equal steps of about `step`.
fn apart(offsets_m: &[f64], step_m: f64) -> Vec<f64> {
    let (Some(&first), Some(&last)) = (offsets_m.first(), offsets_m.last()) else { return Vec::new() };
    let nearest = |at: f64| offsets_m.iter().copied().min_by(|a, b| (a - at).abs().total_cmp(&(b - at).abs()));
    let mut picked: Vec<f64> = match ((last - first) / step_m).ceil() {
        steps if steps >= 1.0 => (0..=steps as usize).filter_map(|k| nearest(first + k as f64 * (last - first) / steps)).collect(),
        _ => vec![first],
    };
    picked.dedup();
    picked
}

/// The upright rectangle around the outline as one sees it when looking along the rows.
struct Frame {
    origin: Xy,
    along: Xy,
    across: Xy,
    length_m: f64,
    width_m: f64,
}

impl Frame {
    fn of(outline: &Polygon, bearing_deg: f64) -> Self {
        let along = bearing_vector(bearing_deg);
        let across = [-along[1], along[0]]; // to the left, so that rows count from the right hand
        let span = |axis: Xy| {
            let ends = outline.outline().iter().map(|p| dot(*p, axis));
            ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
        };
        let ((from, to), (right, left)) = (span(along), span(across));
        let origin = [from * along[0] + right * across[0], from * along[1] + right * across[1]];
        Self { origin, along, across, length_m: to - from, width_m: left - right }
    }

    fn on_farm(&self, [x, y]: Xy) -> Xy {
        let of = |k: usize| {
            let at = |v: &Xy| v.get(k).copied().unwrap_or_default();
            at(&self.origin) + x * at(&self.along) + y * at(&self.across)
        };
        [of(0), of(1)]
    }
}

/// Rows and trees counted anew, so that the first that stands is number 1.
fn numbered(found: impl Iterator<Item = (usize, Xy)>) -> Vec<TreePlace> {
    let mut trees: Vec<TreePlace> = Vec::new();
    let mut last = None;
    for (row, [x_m, y_m]) in found {
        let before = trees.last().map_or((0, 0), |t| (t.row, t.tree));
        let (row_number, tree) = if last == Some(row) { (before.0, before.1 + 1) } else { (before.0 + 1, 1) };
        last = Some(row);
        trees.push(TreePlace { row: row_number, tree, x_m, y_m });
    }
    trees
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(side_m: f64) -> Vec<Xy> {
        vec![[0.0, 0.0], [side_m, 0.0], [side_m, side_m], [0.0, side_m]]
    }

    #[test]
    fn rows_run_along_the_bearing_and_count_from_the_right_hand() {
        let field = Field { outline_m: square(30.0), headland_m: Some(3.0), ..Field::default() };
        let ground = field.lay(2.0, 1.5, None).unwrap();
        assert_eq!(ground.trees.len(), 13 * 17);
        let first = ground.trees[0];
        // looking north, the right hand is the east side
        assert!((first.x_m - 27.0).abs() < 1e-9 && (first.y_m - 3.0).abs() < 1e-9 && (first.row, first.tree) == (1, 1));
        let east = Field { row_direction_deg: Some(90.0), ..field };
        let first = east.lay(2.0, 1.5, None).unwrap().trees[0];
        assert!((first.x_m - 3.0).abs() < 1e-9 && (first.y_m - 3.0).abs() < 1e-9, "{first:?}");
        assert_eq!(first.words(), "row 1, tree 1");
    }

    #[test]
    fn holes_and_slanting_edges_take_trees_off_and_numbers_stay_whole() {
        let triangle = Field { outline_m: vec![[0.0, 0.0], [30.0, 0.0], [0.0, 30.0]], ..Field::default() };
        let ground = triangle.lay(2.0, 2.0, None).unwrap();
        let tree = |row| ground.trees.iter().filter(|t| t.row == row).map(|t| t.tree).collect::<Vec<_>>();
        assert_eq!(tree(1), [1]); // the eastern corner
        assert_eq!(tree(2), [1, 2]);
        let hole = Hole { outline_m: vec![[1.0, 1.0], [10.0, 1.0], [10.0, 10.0], [1.0, 10.0]] };
        let holed = Field { hole: vec![hole], ..triangle }.lay(2.0, 2.0, None).unwrap();
        assert!(holed.trees.len() < ground.trees.len() - 10);
    }

    #[test]
    fn places_lie_between_rows_in_lanes_or_anywhere() {
        let field = Field { outline_m: square(30.0), lane_every: Some(5), lane_width_m: Some(2.0), ..Field::default() };
        let lay = |places| Field { places: Some(places), ..field.clone() }.lay(2.0, 2.0, None).unwrap();
        let (alleys, lanes, anywhere) = (lay(Places::Alleys), lay(Places::Lanes), lay(Places::Anywhere));
        assert_eq!(lanes.places.len(), 2 * 8); // groups of five rows are 8 m wide, lanes 4 m: at 10 and 22 m
        assert!(lanes.places.iter().all(|p| [20.0, 8.0].iter().any(|x| (p[0] - x).abs() < 1e-9)), "{:?}", lanes.places);
        assert!(alleys.places.len() > lanes.places.len() && anywhere.places.len() == 8 * 8);
        // as far from one edge as from the other, and no farther apart than the step
        let along: Vec<f64> = lanes.places.iter().take(8).map(|p| p[1]).collect();
        assert!((along[0] - 0.5).abs() < 1e-9 && (along[7] - 29.5).abs() < 1e-9, "{along:?}");
        assert!(along.windows(2).all(|w| w[1] - w[0] <= USUAL_STEP_M), "{along:?}");
        let nearest = |p: &Xy| alleys.trees.iter().map(|t| (t.x_m - p[0]).abs()).fold(f64::INFINITY, f64::min);
        assert!(alleys.places.iter().all(|p| nearest(p) > 0.99));
    }

    #[test]
    fn impossible_fields_are_refused() {
        let message = |field: Field, counted| field.lay(2.0, 2.0, counted).unwrap_err().to_string();
        let field = Field { outline_m: square(30.0), ..Field::default() };
        assert_eq!(
            message(field.clone(), Some(1000)),
            "1000 trees are counted, and 256 have room within the outline. Correct the count, the outline, the headland or the lanes."
        );
        assert_eq!(
            message(Field { tree_at_m: vec![[5.0, 5.0], [35.0, 5.0]], ..field.clone() }, None),
            "tree 2 at (35, 5) stands 5.0 m outside the outline. Correct the position or the outline; x is meters east and y meters north."
        );
        assert_eq!(
            message(Field { headland_m: Some(20.0), ..field.clone() }, None),
            "no tree has room within the outline. Check the outline's unit, the spacing and the headland."
        );
        assert!(
            message(Field { places: Some(Places::Anywhere), place_step_m: Some(0.1), ..field }, None).contains("places for the sprinkler")
        );
    }
}
