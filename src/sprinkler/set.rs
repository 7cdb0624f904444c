//! Sets: positions with their minutes, and the depth that they leave at any points.

use super::kernel::{self, Jet};
use super::{Sprinkler, Wind};
use crate::bounds;
use crate::error::Result;
use crate::geom::{Arc, Xy, check_position};
use crate::pool;
use serde::{Deserialize, Serialize};

/// Points that one task takes; many lanes, and short enough to share out evenly.
const TASK: usize = 4096;

/// One position of the sprinkler and its running time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Set {
    /// East of the origin, m.
    pub x_m: f64,
    /// North of the origin, m.
    pub y_m: f64,
    /// Running time, min.
    pub minutes: f64,
    /// Arc here, if it is not the sprinkler's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arc: Option<Arc>,
    /// Flow here, L/min, if it is not the sprinkler's: more hose or a climb leaves less.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow_l_min: Option<f64>,
    /// Wetted radius here, m, if it is not the sprinkler's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radius_m: Option<f64>,
}

impl Set {
    /// A set at `at` for so many minutes, with the sprinkler's own arc, flow and radius.
    pub fn new([x_m, y_m]: Xy, minutes: f64) -> Self {
        Self { x_m, y_m, minutes, arc: None, flow_l_min: None, radius_m: None }
    }

    /// The checked set as the loop takes it.
    pub(super) fn jet(&self, sprinkler: &Sprinkler) -> Result<Jet> {
        let [x, y] = check_position([self.x_m, self.y_m])?;
        let minutes = bounds::MINUTES_MIN.named("minutes").check(self.minutes)?;
        let radius = bounds::WETTED_RADIUS_M.check_option(self.radius_m)?.unwrap_or(sprinkler.radius_m());
        let flow = bounds::SPRINKLER_FLOW_L_MIN.check_option(self.flow_l_min)?.unwrap_or(sprinkler.flow_l_min());
        let arc = self.arc.unwrap_or(sprinkler.arc());
        let wind = sprinkler.input().wind;
        let [sx, sy] = wind.map_or([0.0; 2], Wind::shift);
        let calming = wind.map_or([1.0, 0.0, 1.0], Wind::calming);
        let liters = flow * (1.0 - sprinkler.input().spray_loss) * minutes;
        let longest = wind.map_or(1.0, |w| w.input().along.max(w.input().across));
        Ok(Jet {
            center: [x + sx, y + sy],
            to_unit: calming.map(|m| m / radius),
            wedge: arc.wedge(),
            // a hair more than the radius, so that rounding never skips wet ground
            reach_m: radius * longest * (1.0 + 1e-9),
            depth_mm: liters / (sprinkler.full_moment_m2(radius, arc) * wind.map_or(1.0, Wind::growth)),
        })
    }
}

pub(super) fn jets(sprinkler: &Sprinkler, sets: &[Set]) -> Result<Vec<Jet>> {
    sets.iter().enumerate().map(|(i, set)| set.jet(sprinkler).map_err(|e| e.at(format!("sets[{i}]")))).collect()
}

fn check_points(points: &[Xy]) -> Result<()> {
    match points.iter().enumerate().find_map(|(i, &p)| check_position(p).err().map(|e| e.at(format!("points[{i}]")))) {
        Some(error) => Err(error),
        None => Ok(()),
    }
}

/// Depth at each point from all sets together, mm: what reaches the ground.
///
/// `n_threads`: none for one on each core; the result is the same to the bit for any number. Memory does not grow with
/// the number of sets.
///
/// # Errors
/// A set or point out of range, named by its index, or 0 threads.
///
/// ```
/// use dibble::sprinkler::{apply, Profile, Set, Sprinkler, SprinklerInput};
/// // an even spray of 5 m radius: 78.5 L/min on 78.5 m2 is 1 mm a minute
/// let spray = Sprinkler::new(SprinklerInput::new(25.0 * std::f64::consts::PI, 5.0, Profile::Disc))?;
/// let sets = [Set::new([0.0, 0.0], 10.0), Set::new([6.0, 0.0], 20.0)];
/// let depths = apply(&spray, &sets, &[[0.0, 0.0], [3.0, 0.0], [20.0, 0.0]], None)?;
/// assert!((depths[0] - 10.0).abs() < 1e-12 && (depths[1] - 30.0).abs() < 1e-12 && depths[2] == 0.0);
/// let lost = apply(&spray, &[Set::new([f64::NAN, 0.0], 10.0)], &[], None).unwrap_err();
/// assert!(lost.to_string().starts_with("sets[0]: x_m is NaN m: position must be from"));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn apply(sprinkler: &Sprinkler, sets: &[Set], points: &[Xy], n_threads: Option<usize>) -> Result<Vec<f64>> {
    let jets = jets(sprinkler, sets)?;
    check_points(points)?;
    let tasks: Vec<&[Xy]> = points.chunks(TASK).collect();
    let parts = pool::map(&tasks, n_threads, |task| {
        let mut depths = vec![0.0; task.len()];
        kernel::depths(&sprinkler.shape, &jets, task, &mut depths);
        depths
    })?;
    Ok(parts.concat())
}

/// The points that one position wets, and how fast.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Footprint {
    /// Indices of the wetted points, rising.
    pub points: Vec<usize>,
    /// Rate at each of them, mm/min.
    pub mm_per_min: Vec<f64>,
}

/// For each set, the points that it wets and its rate there; its minutes do not matter.
///
/// The rate at a point is that of this set alone: ponding is judged set by set, in the order of time.
///
/// # Errors
/// As [`apply`].
///
/// ```
/// use dibble::sprinkler::{footprints, Profile, Set, Sprinkler, SprinklerInput};
/// let spray = Sprinkler::new(SprinklerInput::new(25.0 * std::f64::consts::PI, 5.0, Profile::Disc))?;
/// let wetted = footprints(&spray, &[Set::new([0.0, 0.0], 0.0)], &[[9.0, 0.0], [1.0, 1.0]], None)?;
/// assert_eq!(wetted[0].points, [1]);
/// assert!((wetted[0].mm_per_min[0] - 1.0).abs() < 1e-12);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn footprints(sprinkler: &Sprinkler, sets: &[Set], points: &[Xy], n_threads: Option<usize>) -> Result<Vec<Footprint>> {
    let minute: Vec<Set> = sets.iter().map(|s| Set { minutes: 1.0, ..*s }).collect();
    let jets = jets(sprinkler, &minute)?;
    check_points(points)?;
    pool::map(&jets, n_threads, |jet| {
        let mut rates = vec![0.0; points.len()];
        kernel::depths(&sprinkler.shape, std::slice::from_ref(jet), points, &mut rates);
        let wet = || rates.iter().enumerate().filter(|(_, r)| **r > 0.0);
        Footprint { points: wet().map(|(i, _)| i).collect(), mm_per_min: wet().map(|(_, r)| *r).collect() }
    })
}
