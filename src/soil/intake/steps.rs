//! Infiltration, standing water and runoff under rates that change in steps.

use super::green_ampt::GreenAmpt;
use crate::bounds;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// A stretch of time with one rate; a pause has rate 0.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// Rate at the place looked at, mm/h: the local one, not the mean over the field. 0 to 1,000.
    pub rate_mm_h: f64,
    /// How long, h.
    pub duration_h: f64,
}

/// Where the water of some steps went. What was applied is infiltrated, ran off, or still stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Infiltration {
    /// All that was applied, mm.
    pub applied_mm: f64,
    /// Gone into the ground, mm.
    pub infiltrated_mm: f64,
    /// Run off, mm.
    pub runoff_mm: f64,
    /// Still standing in hollows at the end, mm.
    pub standing_mm: f64,
    /// When water first stood on the surface, h from the start; `None` if it never did.
    pub ponded_after_h: Option<f64>,
}

impl Infiltration {
    /// Share of the applied water that went in; 1 when nothing was applied.
    pub fn share(&self) -> f64 {
        if self.applied_mm > 0.0 { self.infiltrated_mm / self.applied_mm } else { 1.0 }
    }
}

/// Infiltration, standing water and runoff under rates given in the order of time. The overlap of other sprinkler
/// positions comes as later steps.
///
/// - `storage_mm`: depth that hollows hold before water runs off, see [`super::surface_storage_mm`]
///
/// # Errors
/// A value out of range.
///
/// # Example
/// ```
/// use dibble::soil::intake::{GreenAmpt, Step, infiltrate};
/// // 19 mm in an hour on a clay with a third of its available water gone.
/// let clay = GreenAmpt { ksat_mm_h: 0.3, suction_mm: 316.3, moisture_deficit: 0.12 };
/// let hour = infiltrate(&[Step { rate_mm_h: 19.0, duration_h: 1.0 }], &clay, 0.0)?;
/// assert_eq!(format!("{:.0} %", 100.0 * hour.share()), "26 %");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn infiltrate(steps: &[Step], ground: &GreenAmpt, storage_mm: f64) -> Result<Infiltration> {
    infiltrate_after(steps, ground, storage_mm, 0.0)
}

/// As [`infiltrate`], on ground that has taken in `taken_mm` before.
///
/// # Errors
/// As [`infiltrate`]; depth taken in out of range.
pub(crate) fn infiltrate_after(steps: &[Step], ground: &GreenAmpt, storage_mm: f64, taken_mm: f64) -> Result<Infiltration> {
    ground.checked()?;
    bounds::DEPTH_MM.named("taken_mm").check(taken_mm)?;
    bounds::STORAGE_MM.check(storage_mm)?;
    for (i, step) in steps.iter().enumerate() {
        let place = |error: Error| error.at(format!("step {}", i + 1));
        bounds::RATE_MM_H.check(step.rate_mm_h).map_err(place)?;
        bounds::DURATION_H.check(step.duration_h).map_err(place)?;
    }
    let mut surface = Surface {
        ground: *ground,
        storage_mm,
        clock_h: 0.0,
        infiltrated_mm: taken_mm,
        standing_mm: 0.0,
        runoff_mm: 0.0,
        ponded_after_h: None,
    };
    let mut applied_mm = 0.0;
    for step in steps {
        surface.run(*step);
        applied_mm += step.rate_mm_h * step.duration_h;
    }
    let Surface { infiltrated_mm, standing_mm, runoff_mm, ponded_after_h, .. } = surface;
    Ok(Infiltration { applied_mm, infiltrated_mm: infiltrated_mm - taken_mm, runoff_mm, standing_mm, ponded_after_h })
}

/// The surface at one moment.
struct Surface {
    ground: GreenAmpt,
    storage_mm: f64,
    clock_h: f64,
    infiltrated_mm: f64,
    standing_mm: f64,
    runoff_mm: f64,
    ponded_after_h: Option<f64>,
}

impl Surface {
    fn run(&mut self, step: Step) {
        // Water going down, none standing, water rising: a step has one piece of each at most, and one more that
        // rounding can leave between two of them.
        const MOST_PIECES: usize = 4;
        let mut left_h = step.duration_h;
        for _ in 0..MOST_PIECES {
            if left_h <= 0.0 {
                break;
            }
            let rising = self.infiltrated_mm >= self.ground.depth_at_ponding_mm(step.rate_mm_h);
            let used_h = match (rising, self.standing_mm > 0.0) {
                (true, _) => self.rise(step.rate_mm_h, left_h),
                (false, true) => self.go_down(step.rate_mm_h, left_h),
                (false, false) => self.take_all(step.rate_mm_h, left_h),
            };
            self.clock_h += used_h;
            left_h -= used_h;
        }
    }

    /// No water stands: all goes in until the ground's intake falls to the rate. Returns the time used.
    fn take_all(&mut self, rate_mm_h: f64, time_h: f64) -> f64 {
        let ponding_mm = self.ground.depth_at_ponding_mm(rate_mm_h);
        if self.infiltrated_mm + rate_mm_h * time_h <= ponding_mm {
            self.infiltrated_mm += rate_mm_h * time_h;
            return time_h;
        }
        let used_h = (ponding_mm - self.infiltrated_mm) / rate_mm_h;
        self.infiltrated_mm = ponding_mm;
        used_h
    }

    /// Water stands and the ground takes more than falls: it goes down until it is gone, or until the ground has taken so
    /// much that it rises again. Returns the time used.
    fn go_down(&mut self, rate_mm_h: f64, time_h: f64) -> f64 {
        let from_mm = self.infiltrated_mm;
        let turn_mm = self.ground.depth_at_ponding_mm(rate_mm_h);
        let to_turn_h = if turn_mm.is_finite() { self.ground.ponded_time_h(from_mm, turn_mm - from_mm) } else { f64::INFINITY };
        let dries_up = to_turn_h.is_infinite() || self.standing_mm + rate_mm_h * to_turn_h <= turn_mm - from_mm;
        if dries_up {
            let more_mm = self.ground.intake_until_dry_mm(from_mm, rate_mm_h, self.standing_mm);
            let until_dry_h = if more_mm.is_finite() { self.ground.ponded_time_h(from_mm, more_mm) } else { f64::INFINITY };
            if until_dry_h <= time_h {
                self.infiltrated_mm += more_mm;
                self.standing_mm = 0.0;
                return until_dry_h;
            }
        }
        let used_h = time_h.min(to_turn_h);
        let more_mm = if to_turn_h <= time_h { turn_mm - from_mm } else { self.ground.ponded_intake_mm(from_mm, used_h) };
        self.infiltrated_mm = if to_turn_h <= time_h { turn_mm } else { from_mm + more_mm };
        self.standing_mm = (self.standing_mm + rate_mm_h * used_h - more_mm).max(0.0);
        used_h
    }

    /// The ground takes less than falls, and ever less: water rises in the hollows, then runs off. Returns the time used.
    fn rise(&mut self, rate_mm_h: f64, time_h: f64) -> f64 {
        self.ponded_after_h.get_or_insert(self.clock_h);
        let more_mm = self.ground.ponded_intake_mm(self.infiltrated_mm, time_h);
        self.infiltrated_mm += more_mm;
        let standing_mm = (self.standing_mm + rate_mm_h * time_h - more_mm).max(0.0);
        self.standing_mm = standing_mm.min(self.storage_mm);
        self.runoff_mm += standing_mm - self.standing_mm;
        time_h
    }
}
