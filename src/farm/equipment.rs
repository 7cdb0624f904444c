//! `[pump]`, `[[hose]]`, `[[hydrant]]` and `[tank]`: what brings the water to the trees.

use crate::bounds;
use crate::error::{Error, Result};
use crate::geom::{Xy, check_position};
use crate::hydraulics::{Curve, Engine, Friction, Hose, HoseInput, Material, Pump, PumpInput};
use serde::{Deserialize, Serialize};

/// `[pump]`: one rated point, points of its curve, or the power of its engine with the head at no flow.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FarmPump {
    /// Flow of the rated point, L/min.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated_flow_l_min: Option<f64>,
    /// Head of the rated point, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated_head_m: Option<f64>,
    /// Shaft power, kW: at the rated point, or of the engine where no point is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub power_kw: Option<f64>,
    /// Head at no flow, m, beside the power where no point is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shutoff_head_m: Option<f64>,
    /// Points of the maker's curve, from no flow on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub curve: Vec<CurvePoint>,
    /// Water power over shaft power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<f64>,
    /// Net positive suction head that it needs, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub npsh_required_m: Option<f64>,
    /// What turns it: "gasoline", "diesel", "propane" or "electric".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub engine: Option<Engine>,
    /// Height of the pump above the water, m; below it is negative. 0 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub suction_lift_m: Option<f64>,
    /// Temperature of the water, deg C; 15 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_c: Option<f64>,
}

/// `[[pump.curve]]`: a point of the maker's curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CurvePoint {
    /// Flow, L/min.
    pub flow_l_min: f64,
    /// Head, m.
    pub head_m: f64,
}

impl FarmPump {
    /// The pump as `hydraulics` takes it.
    ///
    /// # Errors
    /// Nothing or too much known of its curve, a value out of range, a curve that rises.
    pub fn pump(&self) -> Result<Pump> {
        let rated = self.rated_flow_l_min.is_some() || self.rated_head_m.is_some();
        let curve = match (self.curve.is_empty(), rated, self.shutoff_head_m) {
            (true, true, None) => Curve::Rated {
                flow_l_min: self.rated_flow_l_min.ok_or_else(|| Error::missing("rated_flow_l_min", "Write rated_flow = \"80 gpm\"."))?,
                head_m: self.rated_head_m.ok_or_else(|| Error::missing("rated_head_m", "Write rated_head = \"215 ft\"."))?,
                power_kw: self.power_kw,
            },
            (false, false, None) => Curve::Points(self.curve.iter().map(|p| [p.flow_l_min, p.head_m]).collect()),
            (true, false, Some(shutoff_head_m)) => Curve::Power {
                shaft_kw: self.power_kw.ok_or_else(|| Error::missing("power_kw", "Write power = \"8 hp\", that of the shaft."))?,
                shutoff_head_m,
            },
            (true, false, None) => {
                return Err(Error::missing(
                    "what the pump gives",
                    "Write rated_flow and rated_head, or [[pump.curve]] points, or power and shutoff_head.",
                ));
            }
            _ => {
                return Err(Error::inconsistent(
                    "the pump is described in more than one way",
                    "Keep the rated point, the points of the curve, or power with shutoff_head.",
                ));
            }
        };
        if !self.curve.is_empty() && self.power_kw.is_some() {
            return Err(Error::inconsistent("power and a curve of points are both given", "Give efficiency in place of the power."));
        }
        let mut problems: Vec<Error> =
            [bounds::SUCTION_LIFT_M.check_option(self.suction_lift_m).err(), bounds::WATER_C.check_option(self.water_c).err()]
                .into_iter()
                .flatten()
                .collect();
        let pump = Pump::new(PumpInput { curve, efficiency: self.efficiency, npsh_required_m: self.npsh_required_m });
        problems.extend(pump.as_ref().err().into_iter().flat_map(|e| e.problems().iter().cloned()));
        Error::several(problems).map_or(pump, Err)
    }
}

/// `[[hose]]`: a length of hose or pipe, from the pump outwards.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FarmHose {
    /// Length, m.
    pub length_m: f64,
    /// True inner diameter, mm.
    pub bore_mm: f64,
    /// What it is made of; lay-flat if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<Material>,
    /// Hazen-Williams coefficient, in place of the material's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub c: Option<f64>,
    /// Pressure that hose and couplings are rated for, kPa.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_kpa: Option<f64>,
    /// Does it lie between the water and the pump?
    #[serde(default)]
    pub suction: bool,
}

impl FarmHose {
    /// The hose as `hydraulics` takes it.
    ///
    /// # Errors
    /// Every value out of range; material and coefficient both given.
    pub fn hose(&self) -> Result<Hose> {
        let friction = match (self.material, self.c) {
            (Some(_), Some(_)) => {
                return Err(Error::inconsistent("material and c of one hose are both given", "Keep one of them: c goes before any table."));
            }
            (material, None) => Friction::Material(material.unwrap_or(Material::LayFlat)),
            (None, Some(c)) => Friction::HazenWilliams { c },
        };
        Hose::new(HoseInput { friction, rating_kpa: self.rating_kpa, ..HoseInput::new(self.length_m, self.bore_mm) })
    }
}

/// `[[hydrant]]`: where the hose is coupled, and how far it reaches from there.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Hydrant {
    /// Its name.
    pub name: String,
    /// Meters east and north of the farm's origin.
    pub at_m: Xy,
    /// How far the hose reaches, m; the length of the farm's hoses if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach_m: Option<f64>,
}

impl Hydrant {
    /// In range?
    ///
    /// # Errors
    /// No name, a position or reach out of range.
    pub fn check(&self) -> Result<()> {
        let mut problems = Vec::new();
        if self.name.trim().is_empty() {
            problems.push(Error::missing("name", "Write name = \"...\"."));
        }
        problems.extend(check_position(self.at_m).err());
        problems.extend(bounds::LENGTH_M.named("reach_m").check_option(self.reach_m).err());
        Error::several(problems).map_or(Ok(()), Err)
    }
}

/// `[tank]`: what trees out of reach are watered from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Tank {
    /// What it holds, L.
    pub volume_l: f64,
    /// Flow that fills it, L/min.
    pub fill_l_min: f64,
    /// Flow that each person pours, L/min.
    pub hand_l_min: f64,
    /// People who pour.
    #[serde(default = "one")]
    pub people: u32,
    /// Walking speed among the trees, m/s; 1 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub walk_m_s: Option<f64>,
    /// Where it is filled, meters east and north of the farm's origin; the nearest hydrant, or beside the trees, if not
    /// given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_m: Option<Xy>,
}

fn one() -> u32 {
    1
}

impl Tank {
    /// In range?
    ///
    /// # Errors
    /// Every value out of range; nobody to pour.
    pub fn check(&self) -> Result<()> {
        let mut problems: Vec<Error> = [
            bounds::TANK_L.check(self.volume_l).err(),
            bounds::TANK_FLOW_L_MIN.check(self.fill_l_min).err(),
            bounds::TANK_FLOW_L_MIN.named("hand_l_min").check(self.hand_l_min).err(),
            bounds::WALK_M_S.check_option(self.walk_m_s).err(),
            self.at_m.and_then(|at| check_position(at).err()),
        ]
        .into_iter()
        .flatten()
        .collect();
        if self.people == 0 {
            problems.push(Error::inconsistent("people is 0", "Give the number of people who pour, at least 1."));
        }
        Error::several(problems).map_or(Ok(()), Err)
    }
}
