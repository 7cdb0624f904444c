//! `[sprinkler]`: what it drops as it is set today, or the nozzle that it is reckoned from.

use super::equipment::{FarmHose, FarmPump};
use crate::assumption::{Amount, Assumed, Assumption};
use crate::bounds;
use crate::error::{Error, Result};
use crate::hydraulics::{Aim, Duty, Hose, Limits, System, SystemInput, limits};
pub use crate::sprinkler::SprayClimate;
use crate::sprinkler::{
    self, Layout, Leg, Nozzle, NozzleKind, Profile, SprinklerInput, Wind, discharge_l_min, spacing_fraction, spray_loss, throw_radius_m,
};
use crate::units::flow_to_rate_mm_h;
use serde::{Deserialize, Serialize};

/// Wind for which sets are spaced where the rate is not known, m/s: the worldwide mean of FAO-56 p. 63.
const USUAL_WIND_M_S: f64 = 2.0;
/// Least pressure at a big sprinkler's nozzle for drops that do not beat the soil, kPa (50 psi, common practice).
const LEAST_PRESSURE_KPA: f64 = 345.0;

/// A move where none is given, min: 20 to 45 (common practice), and a value between.
const USUAL_MOVES_MIN: (f64, f64) = (20.0, 45.0);
const USUAL_MOVE_MIN: f64 = 30.0;

/// `[sprinkler]`: the rate that it drops, or what the rate is worked out from.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Sprinkler {
    /// Rate over the ground that one set waters, overlap counted, mm/h. If not given, worked out from flow and radius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_mm_h: Option<f64>,
    /// Air that the spray flies through: "humid" or "dry".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spray_climate: Option<SprayClimate>,
    /// Bore of the nozzle, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nozzle_mm: Option<f64>,
    /// Kind of the nozzle: "taper" (if not given), "straight", "smooth" or "ideal".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nozzle_kind: Option<NozzleKind>,
    /// Pressure read at the sprinkler, kPa; with a `[pump]` it is worked out instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure_kpa: Option<f64>,
    /// Flow, L/min, where neither pressure nor pump is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow_l_min: Option<f64>,
    /// Distance of the last wet ground in calm air, m; if not given, estimated from nozzle and pressure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radius_m: Option<f64>,
    /// Shape of the rate along a radius; a cone if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub profile: Option<Profile>,
    /// What cans along one radius caught, in place of a profile.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub can: Vec<Can>,
    /// Width of the arc that it turns through, degrees; 360 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arc_deg: Option<f64>,
    /// Compass bearing of the middle of the arc, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub facing_deg: Option<f64>,
    /// Can it be set to part circles? Half circles that face inwards are then tried along edges.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part_circle: Option<bool>,
    /// What wind does to the circle, as measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind: Option<Wind>,
    /// Height of the nozzle above the ground, m; 1 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// Time that a move takes, min; 30 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub move_time_min: Option<f64>,
    /// Sprinklers like this one that run at the same time, each at the full flow and moved by its own hands; 1 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// Wind from which on no set runs, m/s, at the height of the hourly forecast: whoever has one closes its hours by this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind_limit_m_s: Option<f64>,
    /// Air temperature from which on no set runs, deg C, likewise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heat_limit_c: Option<f64>,
}

/// `[[sprinkler.can]]`: what one can of a leg caught.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Can {
    /// Distance from the sprinkler, m.
    pub distance_m: f64,
    /// What it caught, in any one unit.
    pub caught: f64,
}

impl Sprinkler {
    /// In range, and enough to water with?
    ///
    /// # Errors
    /// Every value out of range; neither a rate nor what it is worked out from.
    pub fn check(&self) -> Result<()> {
        let mut problems: Vec<Error> = [
            bounds::RATE_MM_H.check_option(self.rate_mm_h).err(),
            bounds::NOZZLE_MM.check_option(self.nozzle_mm).err(),
            bounds::WATER_PRESSURE_KPA.check_option(self.pressure_kpa).err(),
            bounds::SPRINKLER_FLOW_L_MIN.check_option(self.flow_l_min).err(),
            bounds::WETTED_RADIUS_M.check_option(self.radius_m).err(),
            bounds::BEARING_DEG.check_option(self.facing_deg).err(),
            bounds::ARC_DEG.check_option(self.arc_deg).err(),
            bounds::HEIGHT_M.named("height_m").check_option(self.height_m).err(),
            bounds::MINUTES_MIN.named("move_time_min").check_option(self.move_time_min).err(),
            bounds::SPRINKLERS.named("count").check_option(self.count.map(f64::from)).err(),
            bounds::WIND_M_S.named("wind_limit_m_s").check_option(self.wind_limit_m_s).err(),
            bounds::T_C.named("heat_limit_c").check_option(self.heat_limit_c).err(),
        ]
        .into_iter()
        .flatten()
        .collect();
        problems.extend(self.thrown().err().into_iter().flat_map(|e| e.problems().to_vec()));
        let hint = "A sprinkler gives more than 0; leave the [sprinkler] table out if it is not known.";
        if self.rate_mm_h == Some(0.0) {
            problems.push(Error::missing("rate_mm_h", hint));
        }
        if self.rate_mm_h.is_none() && self.flow_l_min.is_none() && self.nozzle_mm.is_none() {
            let hint = "Write rate = \"0.75 in/h\"; or nozzle with [pump] and [[hose]], or with pressure; or flow and radius.";
            problems.push(Error::missing("rate_mm_h", hint));
        }
        if self.flow_l_min.is_some() && (self.pressure_kpa.is_some() || self.nozzle_mm.is_some()) {
            problems.push(Error::inconsistent(
                "the flow of the sprinkler is given, and a nozzle or pressure to work it out from",
                "Keep the flow with the radius, or the nozzle with its pressure or [pump].",
            ));
        }
        Error::several(problems).map_or(Ok(()), Err)
    }

    /// Profile: named, from cans, or a cone.
    fn thrown(&self) -> Result<Profile> {
        match (&self.profile, self.can.is_empty()) {
            (Some(Profile::Measured(_)), _) => {
                Err(Error::inconsistent("a measured profile is given under profile", "Write its cans under [[sprinkler.can]]."))
            }
            (Some(_), false) => Err(Error::inconsistent("profile and cans are both given", "Keep the cans: they were measured.")),
            (Some(profile), true) => Ok(profile.clone()),
            (None, true) => Ok(Profile::Cone),
            (None, false) => {
                let distances: Vec<f64> = self.can.iter().map(|c| c.distance_m).collect();
                let caught: Vec<f64> = self.can.iter().map(|c| c.caught).collect();
                Leg::new(&distances, &caught, self.radius_m).map(Profile::Measured)
            }
        }
    }

    /// Where the wet ground ends, if it was measured.
    fn measured_radius_m(&self) -> Option<f64> {
        let of_leg = || match self.thrown() {
            Ok(Profile::Measured(leg)) => Some(leg.radius_m()),
            _ => None,
        };
        self.radius_m.or_else(of_leg)
    }
}

/// The sprinkler at work: what pump and hose leave of it at one height.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// Flow, radius, profile and losses.
    pub sprinkler: sprinkler::Sprinkler,
    /// Pressure at the foot of the nozzle, kPa, if known.
    pub pressure_kpa: Option<f64>,
    /// Where pump, hoses and nozzle agree; absent without a pump.
    pub duty: Option<Duty>,
    /// What limits them, and what would help.
    pub limits: Option<Limits>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

/// The tables that say how water is brought, together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Equipment<'f> {
    pub sprinkler: Option<&'f Sprinkler>,
    pub pump: Option<&'f FarmPump>,
    pub hose: &'f [FarmHose],
    pub elevation_m: f64,
}

impl Equipment<'_> {
    /// What the tables contradict each other in; each table for itself is checked elsewhere.
    pub fn contradictions(&self) -> Vec<Error> {
        let nozzle = self.sprinkler.is_some_and(|s| s.nozzle_mm.is_some());
        let mut problems = Vec::new();
        if self.pump.is_some() && !nozzle {
            problems
                .push(Error::missing("nozzle", "A [pump] needs the nozzle that it drives: write nozzle = \"0.60 in\" under [sprinkler]."));
        }
        if self.pump.is_some() && self.sprinkler.is_some_and(|s| s.pressure_kpa.is_some()) {
            problems.push(Error::inconsistent(
                "the pressure at the sprinkler is given, and a [pump] to work it out from",
                "Keep the pump, which gives the pressure for each block, or leave pump and hoses out.",
            ));
        }
        if self.pump.is_none() && !self.hose.is_empty() {
            problems
                .push(Error::missing("[pump]", "Hoses count with the pump that feeds them: write [pump] with rated_flow and rated_head."));
        }
        if self.pump.is_some() && self.hose.iter().all(|h| h.suction) {
            problems.push(Error::missing("[[hose]]", "Write the hoses from the pump to the sprinkler: length and bore of each."));
        }
        problems
    }

    /// The sprinkler on ground `rise_m` above the pump; `None` where its flow or radius is not known.
    ///
    /// # Errors
    /// The pump cannot lift the water there, or no duty point lies on its curve.
    pub fn head(&self, rise_m: f64) -> Result<Option<Head>> {
        let Some(table) = self.sprinkler else { return Ok(None) };
        let (climate, assumed_loss) = spray_loss(table.spray_climate.unwrap_or(SprayClimate::Humid));
        let mut assumptions = vec![assumed_loss];
        let nozzle = table.nozzle_mm.map(|bore| Nozzle::of_kind(bore, table.nozzle_kind.unwrap_or(NozzleKind::Taper))).transpose()?;
        let (mut duty, mut limiting) = (None, None);
        if let (Some(nozzle), Some(pump)) = (nozzle, self.pump) {
            let system = self.system(table, pump, nozzle, rise_m)?;
            let answer = limits(&system, Aim::Flow { least_pressure_kpa: LEAST_PRESSURE_KPA })?;
            duty = Some(answer.duty.clone());
            limiting = Some(answer);
        }
        assumptions.extend(duty.iter().flat_map(|d| d.assumptions.clone()));
        let pressure_kpa = duty.as_ref().map(|d| d.nozzle_pressure_kpa).or(table.pressure_kpa);
        let from_nozzle = match (nozzle, pressure_kpa) {
            (Some(nozzle), Some(kpa)) => Some((nozzle, discharge_l_min(&nozzle, kpa)?, kpa)),
            _ => None,
        };
        let Some(flow_l_min) = table.flow_l_min.or(from_nozzle.map(|(_, flow, _)| flow)) else { return Ok(None) };
        let radius_m = match (table.measured_radius_m(), from_nozzle) {
            (Some(radius_m), _) => radius_m,
            (None, Some((nozzle, _, kpa))) => {
                let (radius_m, assumed) = throw_radius_m(&nozzle, kpa)?;
                assumptions.push(assumed);
                radius_m
            }
            (None, None) => return Ok(None),
        };
        let sprinkler = sprinkler::Sprinkler::new(SprinklerInput {
            arc_deg: table.arc_deg.unwrap_or(360.0),
            facing_deg: table.facing_deg.unwrap_or(0.0),
            wind: table.wind,
            spray_loss: climate.middle(),
            ..SprinklerInput::new(flow_l_min, radius_m, table.thrown()?)
        })?;
        Ok(Some(Head { sprinkler, pressure_kpa, duty, limits: limiting, assumptions }))
    }

    fn system(&self, table: &Sprinkler, pump: &FarmPump, nozzle: Nozzle, rise_m: f64) -> Result<System> {
        const USUAL_HEIGHT_M: f64 = 1.0;
        let hoses = |suction: bool| self.hose.iter().filter(|h| h.suction == suction).map(FarmHose::hose).collect::<Result<Vec<Hose>>>();
        let plain = SystemInput::new(pump.pump()?, hoses(false)?, nozzle, rise_m + table.height_m.unwrap_or(USUAL_HEIGHT_M));
        System::new(SystemInput {
            suction: hoses(true)?,
            suction_lift_m: pump.suction_lift_m.unwrap_or(0.0),
            elevation_m: self.elevation_m,
            water_c: pump.water_c.unwrap_or(plain.water_c),
            engine: pump.engine,
            ..plain
        })
    }

    /// Rate over overlapped sets, mm/h, before losses: given, or the flow at the pump's height over the ground that a
    /// set stands for at the usual spacing, with its entry for the list of assumptions.
    pub fn rate_mm_h(&self) -> Option<(f64, Option<Assumed>)> {
        if let Some(rate_mm_h) = self.sprinkler?.rate_mm_h.filter(|r| *r > 0.0) {
            return Some((rate_mm_h, None));
        }
        // a fault here has been or will be reported by the table that it stands in
        let sprinkler = self.head(0.0).ok().flatten()?.sprinkler;
        let spacing_m = 2.0 * sprinkler.radius_m() * spacing_fraction(Layout::Square, USUAL_WIND_M_S).ok().flatten()?;
        let rate_mm_h = flow_to_rate_mm_h(sprinkler.flow_l_min(), spacing_m * spacing_m).ok()?;
        Some((rate_mm_h, Some(Assumption::RateFromSpacing.amounting([Amount::of(rate_mm_h)], 1))))
    }

    /// Length of the hoses from the pump to the sprinkler, m.
    pub fn hose_length_m(&self) -> f64 {
        self.hose.iter().filter(|h| !h.suction).map(|h| h.length_m).sum()
    }

    /// Time that a move takes, min: likely, and the range where it is not given.
    pub fn move_time_min(&self) -> (f64, (f64, f64)) {
        match self.sprinkler.and_then(|s| s.move_time_min) {
            Some(minutes) => (minutes, (minutes, minutes)),
            None => (USUAL_MOVE_MIN, USUAL_MOVES_MIN),
        }
    }
}
