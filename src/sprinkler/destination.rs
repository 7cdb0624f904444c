//! Where the water of a set ends up: on the block, beside it, on ground that must stay dry, on another set's ground.

use super::set::jets;
use super::{Set, Sprinkler, Wind};
use crate::error::Result;
use crate::geom::{Polygon, Xy, bearing_vector, minus, radial};
use serde::{Deserialize, Serialize};

/// Liters of a set that land within a polygon: exact but for rounding, for every profile, arc and wind.
///
/// The polygon's edges are carried into calm air, where the profile is round, and summed in closed form.
///
/// # Errors
/// A value of the set out of range.
///
/// ```
/// use dibble::geom::Polygon;
/// use dibble::sprinkler::{water_within_l, Profile, Set, Sprinkler, SprinklerInput};
/// let gun = Sprinkler::new(SprinklerInput::new(300.0, 34.0, Profile::Cone))?;
/// // on the edge of a wide field, half of the water falls in it
/// let field = Polygon::new(&[[0.0, -500.0], [500.0, -500.0], [500.0, 500.0], [0.0, 500.0]])?;
/// let liters = water_within_l(&gun, &Set::new([0.0, 0.0], 60.0), &field)?;
/// assert!((liters - 9000.0).abs() < 1e-8);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn water_within_l(sprinkler: &Sprinkler, set: &Set, polygon: &Polygon) -> Result<f64> {
    let jet = set.jet(sprinkler)?;
    let [xx, xy, yy] = jet.to_unit;
    let place = |p: Xy| {
        let [x, y] = minus(p, jet.center);
        [xx * x + xy * y, xy * x + yy * y]
    };
    let integral = radial::rings(polygon.rings(), place, 1.0, jet.wedge, |part| sprinkler.shape.over(part));
    Ok(jet.depth_mm * integral / (xx * yy - xy * xy))
}

/// Where the water of all sets went, L. What was not lost as spray landed on the block or beside it.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Destination {
    /// Pumped.
    pub pumped_l: f64,
    /// Lost as spray.
    pub lost_l: f64,
    /// Landed on the block, holes left out.
    pub on_block_l: f64,
    /// Landed beside the block.
    pub off_block_l: f64,
    /// Landed on the areas that must stay dry, wherever these lie.
    pub on_keep_out_l: f64,
}

/// Where the water of all sets went; exact but for rounding. `keep_out`: areas that must stay dry, apart from each other.
///
/// # Errors
/// A value of a set out of range, named by its index.
///
/// ```
/// use dibble::geom::Polygon;
/// use dibble::sprinkler::{destination, Profile, Set, Sprinkler, SprinklerInput};
/// let gun = Sprinkler::new(SprinklerInput { spray_loss: 0.05, ..SprinklerInput::new(300.0, 34.0, Profile::Cone) })?;
/// let block = Polygon::new(&[[0.0, 0.0], [100.0, 0.0], [100.0, 80.0], [0.0, 80.0]])?;
/// let road = Polygon::new(&[[0.0, -6.0], [100.0, -6.0], [100.0, -1.0], [0.0, -1.0]])?;
/// let went = destination(&gun, &[Set::new([30.0, 20.0], 60.0), Set::new([60.0, 40.0], 45.0)], &block, &[road])?;
/// assert_eq!(went.pumped_l, 300.0 * 105.0);
/// assert!((went.pumped_l - went.lost_l - went.on_block_l - went.off_block_l).abs() < 1e-6);
/// assert!(went.on_keep_out_l > 0.0 && went.on_keep_out_l < went.off_block_l);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn destination(sprinkler: &Sprinkler, sets: &[Set], block: &Polygon, keep_out: &[Polygon]) -> Result<Destination> {
    let mut went = Destination::default();
    for (i, set) in sets.iter().enumerate() {
        let within = |polygon| water_within_l(sprinkler, set, polygon).map_err(|e| e.at(format!("sets[{i}]")));
        let pumped = set.flow_l_min.unwrap_or(sprinkler.flow_l_min()) * set.minutes;
        let lost = pumped * sprinkler.input().spray_loss;
        let on_block = within(block)?;
        went.pumped_l += pumped;
        went.lost_l += lost;
        went.on_block_l += on_block;
        went.off_block_l += pumped - lost - on_block;
        for area in keep_out {
            went.on_keep_out_l += within(area)?;
        }
    }
    Ok(went)
}

/// Rings of equal water and directions that stand for a set in [`overlap_share`].
const RINGS: usize = 48;
const DIRECTIONS: usize = 192;

/// Share of the water that lands where at least one other set waters too, 0 to 1.
///
/// Each set's water is followed along 48 rings of equal water in 192 directions, so the share is right within about
/// 0.005. The exact area of overlapping discs is `geom::covered_area_m2`.
///
/// # Errors
/// A value of a set out of range, named by its index.
///
/// ```
/// use dibble::sprinkler::{overlap_share, Profile, Set, Sprinkler, SprinklerInput};
/// let spray = Sprinkler::new(SprinklerInput::new(80.0, 5.0, Profile::Disc))?;
/// // two discs, each through the other's center, share 39.1 % of their area
/// let share = overlap_share(&spray, &[Set::new([0.0, 0.0], 60.0), Set::new([5.0, 0.0], 60.0)])?;
/// assert!((share - 0.391).abs() < 0.005);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn overlap_share(sprinkler: &Sprinkler, sets: &[Set]) -> Result<f64> {
    let jets = jets(sprinkler, sets)?;
    let rings = rings_of_equal_water(sprinkler);
    let wind = sprinkler.input().wind;
    let (mut all, mut shared) = (0.0, 0.0);
    for (i, set) in sets.iter().enumerate() {
        let arc = set.arc.unwrap_or(sprinkler.arc());
        let radius = set.radius_m.unwrap_or(sprinkler.radius_m());
        let others: Vec<_> = jets.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, jet)| jet).collect();
        let wet = |at: Xy| {
            others.iter().any(|jet| {
                let ([x, y], [xx, xy, yy]) = (minus(at, jet.center), jet.to_unit);
                let (u, v) = (xx * x + xy * y, xy * x + yy * y);
                u * u + v * v <= 1.0 && jet.wedge.contains([u, v])
            })
        };
        let mut hits = 0;
        for k in 0..DIRECTIONS {
            let bearing = arc.facing_deg() + arc.arc_deg() * ((k as f64 + 0.5) / DIRECTIONS as f64 - 0.5);
            let [east, north] = bearing_vector(bearing);
            for r in &rings {
                let calm = [east * r * radius, north * r * radius];
                let [x, y] = wind.map_or(calm, |w: Wind| w.carry(calm));
                hits += usize::from(wet([set.x_m + x, set.y_m + y]));
            }
        }
        let liters = set.flow_l_min.unwrap_or(sprinkler.flow_l_min()) * set.minutes;
        all += liters;
        shared += liters * hits as f64 / (RINGS * DIRECTIONS) as f64;
    }
    Ok(if all > 0.0 { shared / all } else { 0.0 })
}

/// Radii (of 1) that stand for equal shares of the water.
fn rings_of_equal_water(sprinkler: &Sprinkler) -> Vec<f64> {
    let radius = |share: f64| {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if sprinkler.shape.within(middle) < share * sprinkler.moment {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    };
    (0..RINGS).map(|k| radius((k as f64 + 0.5) / RINGS as f64)).collect()
}
