//! A pond: how much it holds at a stage, and what a day takes and brings.

use super::Range;
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::pow;
use crate::plain::plain;
use crate::words::words;
use serde::{Deserialize, Serialize};

/// Evaporation of open water as a share of reference evapotranspiration: 1.05 for shallow water (FAO-56 Table 12, depth
/// below 2 m); the range is our judgment.
pub const OPEN_WATER: Range = Range { low: 0.95, high: 1.15 };

words! {
    /// How the pond's bed is shaped: the water's surface grows with a power of its depth.
    #[derive(Default)]
    pub enum PondShape: "shape of a pond" {
        /// Upright walls: it holds area times depth.
        Straight = "straight",
        /// A bowl: half of area times depth.
        Bowl = "bowl",
        /// As farm ponds usually are: 0.4 of area times depth (the trade's rule, from memory).
        #[default]
        Usual = "usual",
        /// A cone: a third of area times depth.
        Cone = "cone",
    }
}

impl PondShape {
    /// Exponent of the surface over the depth; the share of area times depth is one over one more.
    fn exponent(self) -> f64 {
        match self {
            PondShape::Straight => 0.0,
            PondShape::Bowl => 1.0,
            PondShape::Usual => 1.5,
            PondShape::Cone => 2.0,
        }
    }
}

/// The water's surface at a depth, as surveyed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Stage {
    /// Depth above the deepest point, m.
    pub depth_m: f64,
    /// Surface, m2.
    pub area_m2: f64,
}

/// A pond as its owner knows it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PondInput {
    /// Surface when full, m2; left out where stages are given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_m2: Option<f64>,
    /// Depth at the deepest point when full, m; left out where stages are given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_m: Option<f64>,
    /// Shape of the bed.
    #[serde(default)]
    pub shape: PondShape,
    /// Surface by depth, in place of area, depth and shape; from the deepest point up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stage: Vec<Stage>,
    /// Depth of the water at the deepest point today, m; full if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level_m: Option<f64>,
    /// Depth at which pumping stops (mud, strainer, fish), m; 0.5 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest_m: Option<f64>,
    /// Seepage through the bed, mm a day of its surface; 0 to 5 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seepage_mm_day: Option<Range>,
    /// Springs and streams into it, L/min; none if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inflow_l_min: Option<Range>,
    /// Evaporation over reference evapotranspiration; [`OPEN_WATER`] if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub evaporation: Option<Range>,
}

/// Depth at which pumping stops where it is not given, m. Our judgment: a strainer and the mud below it.
const USUAL_LOWEST_M: f64 = 0.5;
/// Seepage where it is not given, mm a day. Our judgment: a tight kettle to a bed that leaks.
const USUAL_SEEPAGE: Range = Range { low: 0.0, high: 5.0 };

/// A checked pond.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(with = "PondInput"))]
#[serde(try_from = "PondInput", into = "PondInput")]
pub struct Pond {
    input: PondInput,
    full_m: f64,
}

plain!(Pond: PondInput, |input| Pond::new(input), |pond| pond.input);

impl Pond {
    /// Checks every value and what they say together.
    ///
    /// # Errors
    /// All problems: values out of range, stages that do not rise, a level above the rim, nothing to pump.
    ///
    /// ```
    /// use dibble::water::supply::{Pond, PondInput};
    /// // 21,800 ft2 by 3.5 ft with upright walls would be 570,800 gal; a pond of the usual shape holds 0.4 of it
    /// let input = PondInput { area_m2: Some(21_800.0 * 0.09290304), depth_m: Some(3.5 * 0.3048), lowest_m: Some(0.0), ..PondInput::default() };
    /// let pond = Pond::new(input)?;
    /// assert_eq!(format!("{:.0}", pond.usable_l() / 3.785411784), "228305");
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(input: PondInput) -> Result<Self> {
        let mut problems: Vec<Error> = Vec::new();
        let mut note = |result: Result<()>| problems.extend(result.err().iter().flat_map(|e| e.problems().to_vec()));
        note(bounds::AREA_M2.check_option(input.area_m2).map(|_| ()));
        note(bounds::POND_DEPTH_M.check_option(input.depth_m).map(|_| ()));
        note(bounds::POND_DEPTH_M.named("level_m").check_option(input.level_m).map(|_| ()));
        note(bounds::POND_DEPTH_M.named("lowest_m").check_option(input.lowest_m).map(|_| ()));
        note(input.seepage_mm_day.map_or(Ok(()), |r| r.check(&bounds::SEEPAGE_MM_DAY).map(|_| ())));
        note(input.inflow_l_min.map_or(Ok(()), |r| r.check(&bounds::FLOW_L_MIN.named("inflow_l_min")).map(|_| ())));
        note(input.evaporation.map_or(Ok(()), |r| r.check(&bounds::KC.named("evaporation")).map(|_| ())));
        note(check_stages(&input.stage));
        let by_stage = !input.stage.is_empty();
        if by_stage && (input.area_m2.is_some() || input.depth_m.is_some()) {
            note(Err(Error::inconsistent("a pond has stages, and area or depth beside them", "Keep the stages, or area and depth.")));
        }
        if !by_stage && input.area_m2.is_none() {
            note(Err(Error::missing("area_m2", "Give the surface when full, or stages with depth and area.")));
        }
        if !by_stage && input.depth_m.is_none() {
            note(Err(Error::missing("depth_m", "Give the depth at the deepest point when full, or stages.")));
        }
        if let Some(error) = Error::several(problems) {
            return Err(error);
        }
        let full_m = input.stage.last().map(|s| s.depth_m).or(input.depth_m).unwrap_or(0.0);
        if let Some(level_m) = input.level_m.filter(|l| *l > full_m) {
            let what = format!("level_m is {level_m} m, and the pond is {full_m} m deep when full");
            return Err(Error::inconsistent(what, "Both are measured from the deepest point up; correct one of them."));
        }
        let pond = Self { input, full_m };
        if pond.lowest_m() >= full_m {
            let what = format!("pumping stops at {} m, and the pond is {full_m} m deep when full", pond.lowest_m());
            return Err(Error::inconsistent(what, "Give a lower lowest_m: the depth of the water at which the pump has to stop."));
        }
        Ok(pond)
    }

    /// What it was made from.
    pub fn input(&self) -> &PondInput {
        &self.input
    }

    /// Depth of the water today, m.
    pub fn level_m(&self) -> f64 {
        self.input.level_m.unwrap_or(self.full_m)
    }

    /// Depth when full, m.
    pub fn full_m(&self) -> f64 {
        self.full_m
    }

    /// Depth at which pumping stops, m.
    pub fn lowest_m(&self) -> f64 {
        self.input.lowest_m.unwrap_or(USUAL_LOWEST_M)
    }

    pub(super) fn seepage_mm_day(&self) -> Range {
        self.input.seepage_mm_day.unwrap_or(USUAL_SEEPAGE)
    }

    pub(super) fn inflow_l_min(&self) -> Range {
        self.input.inflow_l_min.unwrap_or(Range::exactly(0.0))
    }

    pub(super) fn evaporation(&self) -> Range {
        self.input.evaporation.unwrap_or(OPEN_WATER)
    }

    /// Water held at a depth, L: the surface summed over the depth.
    ///
    /// # Errors
    /// A depth below 0 or above the rim.
    pub fn volume_l(&self, level_m: f64) -> Result<f64> {
        self.within(level_m).map(|level_m| self.raw_volume_l(level_m))
    }

    /// The water's surface at a depth, m2.
    ///
    /// # Errors
    /// As [`Pond::volume_l`].
    pub fn area_m2(&self, level_m: f64) -> Result<f64> {
        self.within(level_m).map(|level_m| self.raw_area_m2(level_m))
    }

    /// Water that can be pumped today, L: down to the depth at which pumping stops.
    pub fn usable_l(&self) -> f64 {
        (self.raw_volume_l(self.level_m()) - self.raw_volume_l(self.lowest_m())).max(0.0)
    }

    /// Depth after so much has been drawn today, m.
    ///
    /// # Errors
    /// A volume out of range, or more than can be pumped.
    pub fn level_after_m(&self, drawn_l: f64) -> Result<f64> {
        bounds::VOLUME_L.named("drawn_l").check(drawn_l)?;
        let usable_l = self.usable_l();
        if drawn_l > usable_l {
            let what =
                format!("{drawn_l:.0} L cannot be drawn from a pond that has {usable_l:.0} L above the depth at which pumping stops");
            return Err(Error::infeasible(what, "Draw less, or correct its level, area and depth."));
        }
        Ok(self.raw_level_m(self.raw_volume_l(self.level_m()) - drawn_l))
    }

    fn within(&self, level_m: f64) -> Result<f64> {
        bounds::POND_DEPTH_M.named("level_m").check(level_m)?;
        if level_m <= self.full_m {
            return Ok(level_m);
        }
        let what = format!("level_m is {level_m} m, and the pond is {} m deep when full", self.full_m);
        Err(Error::inconsistent(what, "Give a depth from the deepest point up to the rim."))
    }

    pub(super) fn raw_area_m2(&self, level_m: f64) -> f64 {
        match self.input.area_m2 {
            Some(area_m2) => area_m2 * pow(level_m / self.full_m, self.input.shape.exponent()),
            None => self.piece(level_m).map_or(0.0, |(a, b)| a.area_m2 + slope(a, b) * (level_m - a.depth_m)),
        }
    }

    pub(super) fn raw_volume_l(&self, level_m: f64) -> f64 {
        1000.0
            * match self.input.area_m2 {
                Some(area_m2) => {
                    let power = self.input.shape.exponent() + 1.0;
                    area_m2 * self.full_m * pow(level_m / self.full_m, power) / power
                }
                None => self.pieces().map(|(a, b)| part_m3(a, b, level_m.clamp(a.depth_m, b.depth_m) - a.depth_m)).sum(),
            }
    }

    /// Depth that holds a volume, m; within bed and rim.
    pub(super) fn raw_level_m(&self, volume_l: f64) -> f64 {
        let volume_m3 = volume_l / 1000.0;
        if let Some(area_m2) = self.input.area_m2 {
            let power = self.input.shape.exponent() + 1.0;
            let share = (volume_m3 * power / (area_m2 * self.full_m)).clamp(0.0, 1.0);
            return self.full_m * pow(share, 1.0 / power);
        }
        let mut rest = volume_m3.max(0.0);
        for (a, b) in self.pieces() {
            let holds = part_m3(a, b, b.depth_m - a.depth_m);
            if rest <= holds {
                // a.area x + slope x^2 / 2 = rest, in the form that does not cancel
                let (area, half) = (a.area_m2, 0.5 * slope(a, b));
                return a.depth_m + 2.0 * rest / (area + (area * area + 4.0 * half * rest).sqrt()).max(f64::MIN_POSITIVE);
            }
            rest -= holds;
        }
        self.full_m
    }

    fn pieces(&self) -> impl Iterator<Item = (&Stage, &Stage)> {
        self.input.stage.iter().zip(self.input.stage.iter().skip(1))
    }

    fn piece(&self, level_m: f64) -> Option<(&Stage, &Stage)> {
        self.pieces().find(|(_, b)| level_m <= b.depth_m)
    }
}

fn slope(a: &Stage, b: &Stage) -> f64 {
    (b.area_m2 - a.area_m2) / (b.depth_m - a.depth_m)
}

/// Water in the lowest `height_m` of a piece whose surface grows evenly, m3.
fn part_m3(a: &Stage, b: &Stage, height_m: f64) -> f64 {
    height_m * (a.area_m2 + 0.5 * slope(a, b) * height_m)
}

fn check_stages(stage: &[Stage]) -> Result<()> {
    for s in stage {
        bounds::POND_DEPTH_M.check(s.depth_m)?;
        if s.area_m2 != 0.0 {
            bounds::AREA_M2.check(s.area_m2)?;
        }
    }
    let rises = |(a, b): (&Stage, &Stage)| a.depth_m < b.depth_m && a.area_m2 <= b.area_m2 && b.area_m2 > 0.0;
    let whole = stage.is_empty() || (stage.len() >= 2 && stage.first().is_some_and(|s| s.depth_m == 0.0));
    if whole && stage.iter().zip(stage.iter().skip(1)).all(rises) {
        return Ok(());
    }
    let what = "the stages of the pond do not rise from depth 0";
    Err(Error::inconsistent(
        what,
        "Give at least two, from the deepest point (depth 0) up, each deeper and no smaller than the one before.",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pond(shape: PondShape) -> Pond {
        let input = PondInput { area_m2: Some(1000.0), depth_m: Some(2.0), shape, lowest_m: Some(0.0), ..PondInput::default() };
        Pond::new(input).unwrap()
    }

    #[test]
    fn shapes_hold_their_share_and_levels_come_back() {
        for (shape, m3) in
            [(PondShape::Straight, 2000.0), (PondShape::Bowl, 1000.0), (PondShape::Usual, 800.0), (PondShape::Cone, 2000.0 / 3.0)]
        {
            let pond = pond(shape);
            assert!((pond.usable_l() / 1000.0 - m3).abs() < 1e-9, "{shape}");
            for level_m in [0.1, 0.7, 1.3, 2.0] {
                let volume_l = pond.volume_l(level_m).unwrap();
                assert!((pond.raw_level_m(volume_l) - level_m).abs() < 1e-9, "{shape} at {level_m}");
                // the surface is the slope of the volume
                let (up, down) = (pond.raw_volume_l(level_m + 5e-7), pond.raw_volume_l(level_m - 5e-7));
                assert!(((up - down) / 1e-3 - pond.area_m2(level_m).unwrap()).abs() < 1e-2, "{shape} at {level_m}");
            }
        }
    }

    #[test]
    fn surveyed_stages_are_summed() {
        let stage = [(0.0, 0.0), (1.0, 400.0), (2.0, 1000.0)].map(|(depth_m, area_m2)| Stage { depth_m, area_m2 }).to_vec();
        let pond = Pond::new(PondInput { stage, lowest_m: Some(0.5), level_m: Some(1.5), ..PondInput::default() }).unwrap();
        // below 1 m: 0.5 x 1 x 400 = 200 m3; from 1 to 1.5 m: 0.5 x (400 + 700) / 2 = 275; below 0.5 m: 0.5 x 0.5 x 200 = 50
        assert!((pond.usable_l() / 1000.0 - (475.0 - 50.0)).abs() < 1e-9);
        assert!((pond.level_after_m(275e3).unwrap() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_pond_is_not_drawn_below_what_it_has() {
        let pond = pond(PondShape::Straight);
        assert_eq!(
            pond.level_after_m(2.5e6).unwrap_err().to_string(),
            "2500000 L cannot be drawn from a pond that has 2000000 L above the depth at which pumping stops. Draw less, or correct its level, area and depth."
        );
        let message = |change: fn(&mut PondInput)| {
            let mut input = PondInput { area_m2: Some(1000.0), depth_m: Some(2.0), ..PondInput::default() };
            change(&mut input);
            Pond::new(input).unwrap_err().to_string()
        };
        assert_eq!(
            message(|p| p.level_m = Some(-0.2)),
            "level_m is -0.2 m: depth of a pond must be from 0 to 100 m. Give meters from the deepest point up; 1 ft is 0.3048 m."
        );
        assert_eq!(
            message(|p| p.level_m = Some(2.5)),
            "level_m is 2.5 m, and the pond is 2 m deep when full. Both are measured from the deepest point up; correct one of them."
        );
        assert_eq!(
            message(|p| p.lowest_m = Some(2.0)),
            "pumping stops at 2 m, and the pond is 2 m deep when full. Give a lower lowest_m: the depth of the water at which the pump has to stop."
        );
        assert_eq!(message(|p| p.seepage_mm_day = Some(Range::new(5.0, 2.0))), "seepage_mm_day runs from 5 to 2. Give the low end first.");
        assert!(message(|p| p.area_m2 = None).starts_with("area_m2 is missing."));
    }
}
