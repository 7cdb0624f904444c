//! What limits a system, and which single change helps most: each change is computed, none is guessed.

use super::duty::{Duty, System, SystemInput, duty_point};
use super::hose::{Hose, HoseInput};
use crate::bounds;
use crate::error::Result;
use crate::json;
use crate::sprinkler::Nozzle;
use crate::units::{System as Units, show};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Nominal bores of hose and pipe, mm (1 to 6 in).
const BORES_MM: [f64; 11] = [25.4, 31.75, 38.1, 50.8, 63.5, 76.2, 88.9, 101.6, 114.3, 127.0, 152.4];
/// The next bore is at least this much wider than the present one.
const WIDER: f64 = 1.05;
/// Step of the nozzle's bore.
const NOZZLE_STEP: f64 = 1.1;
/// Lift that moving the pump or the set may save, m.
const LOWER_M: f64 = 3.0;

/// What the user wants more of.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Aim {
    /// More water, as long as the nozzle keeps a pressure (kPa) at which it breaks the jet up.
    Flow {
        /// Least pressure at the nozzle, kPa.
        least_pressure_kpa: f64,
    },
    /// More pressure at the nozzle: farther throw, finer drops.
    Pressure,
}

/// A part of the pump's head.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Share {
    /// Which part.
    pub part: String,
    /// Head that it takes, m.
    pub head_m: f64,
    /// Share of the pump's head.
    pub share: f64,
}

/// A single change of a system.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Change {
    /// A shorter hose.
    Shorter {
        /// Number of the hose, from 1 at the pump.
        hose: usize,
        /// Length then, m.
        to_m: f64,
        /// Length now, m.
        from_m: f64,
    },
    /// A wider hose.
    Wider {
        /// On the suction side of the pump?
        suction: bool,
        /// Number of the hose, from 1.
        hose: usize,
        /// Bore then, mm.
        to_mm: f64,
        /// Bore now, mm.
        from_mm: f64,
    },
    /// Another nozzle.
    Nozzle {
        /// Bore then, mm.
        to_mm: f64,
        /// Bore now, mm.
        from_mm: f64,
    },
    /// Pump or sprinkler stand nearer to each other in height.
    LessLift {
        /// By so much, m.
        by_m: f64,
    },
}

impl Change {
    /// "nozzle of 0.55 in (14.0 mm) in place of 0.5 in (12.7 mm)", in these units.
    pub fn words(&self, units: Units) -> String {
        match *self {
            Change::Shorter { hose, to_m, from_m } => {
                format!("hose {hose} of {} in place of {}", show::length(to_m, units), show::length(from_m, units))
            }
            Change::Wider { suction, hose, to_mm, from_mm } => {
                let side = if suction { "suction " } else { "" };
                format!("{side}hose {hose} of {} in place of {}", show::bore(to_mm, units), show::bore(from_mm, units))
            }
            Change::Nozzle { to_mm, from_mm } => {
                format!("nozzle of {} in place of {}", show::bore(to_mm, units), show::bore(from_mm, units))
            }
            Change::LessLift { by_m } => format!("{} less lift", show::length(by_m, units)),
        }
    }
}

/// One change, and what it would bring.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Alternative {
    /// What to change.
    pub what: Change,
    /// The same in words, SI.
    pub change: String,
    /// Flow then, L/min; none when it would not work.
    pub flow_l_min: Option<f64>,
    /// Pressure at the nozzle then, kPa.
    pub nozzle_pressure_kpa: Option<f64>,
    /// Why it would not work, or that it falls short of the least pressure.
    pub reason: Option<String>,
}

/// What limits a system.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Limits {
    /// Version of this layout.
    pub schema: u32,
    /// As it is.
    pub duty: Duty,
    /// Where the head goes, largest first, the nozzle left out.
    pub shares: Vec<Share>,
    /// Every change, best first for the aim.
    pub alternatives: Vec<Alternative>,
    /// Whether the first of them helps at all.
    pub helps: bool,
}

impl Limits {
    /// As JSON; every number comes back bit for bit.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn to_json(&self) -> Result<String> {
        json::write(self)
    }

    /// From [`Limits::to_json`]'s text, of this version or an older one.
    ///
    /// # Errors
    /// Text of another kind, or of a newer version.
    pub fn from_json(text: &str) -> Result<Self> {
        json::read(text, "list of limits", 1)
    }

    /// The change that helps most, if any does.
    pub fn best(&self) -> Option<&Alternative> {
        self.alternatives.first().filter(|_| self.helps)
    }
}

impl fmt::Display for Limits {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.shares.first() {
            Some(s) => {
                write!(f, "{} takes {:.1} of {:.1} m of head ({:.0} %). ", s.part, s.head_m, self.duty.pump_head_m, 100.0 * s.share)?
            }
            None => f.write_str("All of the head is left at the nozzle. ")?,
        }
        match self.best() {
            Some(Alternative { change, flow_l_min: Some(flow), nozzle_pressure_kpa: Some(pressure), .. }) => write!(
                f,
                "What helps most: {change}, from {:.0} to {flow:.0} L/min and from {:.0} to {pressure:.0} kPa at the nozzle.",
                self.duty.flow_l_min, self.duty.nozzle_pressure_kpa
            ),
            _ => f.write_str("None of the changes tried helps."),
        }
    }
}

/// What limits a system and which single change helps most: half of each hose, each hose one size wider, the nozzle a
/// tenth wider or narrower, 3 m less lift; every one is solved for its own duty point.
///
/// # Errors
/// The system has no duty point as it is, or the least pressure is out of range.
///
/// ```
/// use dibble::hydraulics::{limits, Aim, Curve, Hose, HoseInput, Pump, PumpInput, System, SystemInput};
/// use dibble::sprinkler::Nozzle;
/// let pump = Pump::new(PumpInput::new(Curve::Rated { flow_l_min: 300.0, head_m: 66.0, power_kw: None }))?;
/// let hose = Hose::new(HoseInput::new(152.4, 50.8))?;
/// let system = System::new(SystemInput::new(pump, vec![hose], Nozzle::new(15.16, 0.97)?, 3.0))?;
/// let answer = limits(&system, Aim::Flow { least_pressure_kpa: 345.0 })?; // 50 psi
/// assert_eq!(
///     answer.to_string(),
///     "hose 1 takes 19.5 of 65.3 m of head (30 %). What helps most: hose 1 of 63.5 mm in place of 50.8 mm, \
///      from 305 to 331 L/min and from 420 to 496 kPa at the nozzle."
/// );
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn limits(system: &System, aim: Aim) -> Result<Limits> {
    if let Aim::Flow { least_pressure_kpa } = aim {
        bounds::WATER_PRESSURE_KPA.named("least_pressure_kpa").check(least_pressure_kpa)?;
    }
    let duty = duty_point(system)?;
    let mut rated: Vec<(f64, Alternative)> = changes(system.input())?.into_iter().map(|(what, input)| rate(what, input, aim)).collect();
    // A stable sort: of equal changes the first tried stays first.
    rated.sort_by(|a, b| b.0.total_cmp(&a.0));
    let present = score(aim, duty.flow_l_min, duty.nozzle_pressure_kpa);
    let helps = rated.first().is_some_and(|(best, _)| *best > present);
    Ok(Limits { schema: 1, shares: shares(&duty), alternatives: rated.into_iter().map(|(_, a)| a).collect(), helps, duty })
}

/// What the aim makes of a duty point; below the least pressure only pressure counts, and less than any above it.
fn score(aim: Aim, flow_l_min: f64, pressure_kpa: f64) -> f64 {
    match aim {
        Aim::Pressure => pressure_kpa,
        Aim::Flow { least_pressure_kpa } if pressure_kpa < least_pressure_kpa => pressure_kpa - bounds::WATER_PRESSURE_KPA.max,
        Aim::Flow { .. } => flow_l_min,
    }
}

fn rate(what: Change, input: SystemInput, aim: Aim) -> (f64, Alternative) {
    let change = what.words(Units::Si);
    match System::new(input).and_then(|system| duty_point(&system)) {
        Ok(duty) => {
            let reason = match aim {
                Aim::Flow { least_pressure_kpa } if duty.nozzle_pressure_kpa < least_pressure_kpa => {
                    Some(format!("leaves less than {least_pressure_kpa:.0} kPa at the nozzle"))
                }
                _ => None,
            };
            let (flow, pressure) = (duty.flow_l_min, duty.nozzle_pressure_kpa);
            let alternative = Alternative { what, change, flow_l_min: Some(flow), nozzle_pressure_kpa: Some(pressure), reason };
            (score(aim, flow, pressure), alternative)
        }
        Err(error) => {
            let alternative = Alternative { what, change, flow_l_min: None, nozzle_pressure_kpa: None, reason: Some(error.to_string()) };
            (f64::NEG_INFINITY, alternative)
        }
    }
}

fn changes(input: &SystemInput) -> Result<Vec<(Change, SystemInput)>> {
    let mut list = Vec::new();
    for (i, hose) in input.hose.iter().enumerate() {
        let from_m = hose.input().length_m;
        let half = HoseInput { length_m: 0.5 * from_m, ..hose.input().clone() };
        list.push((Change::Shorter { hose: i + 1, to_m: half.length_m, from_m }, with_hose(input, i, half)?));
        if let Some((what, wider)) = wider(false, i, hose) {
            list.push((what, with_hose(input, i, wider)?));
        }
    }
    for (i, hose) in input.suction.iter().enumerate() {
        if let Some((what, wider)) = wider(true, i, hose) {
            let mut changed = input.clone();
            replace(&mut changed.suction, i, Hose::new(wider)?);
            list.push((what, changed));
        }
    }
    for factor in [NOZZLE_STEP, 1.0 / NOZZLE_STEP] {
        let from_mm = input.nozzle.bore_mm();
        let to_mm = from_mm * factor;
        if bounds::NOZZLE_MM.contains(to_mm) {
            let nozzle = Nozzle::new(to_mm, input.nozzle.coefficient())?;
            list.push((Change::Nozzle { to_mm, from_mm }, SystemInput { nozzle, ..input.clone() }));
        }
    }
    let lift_m = input.lift_m - LOWER_M;
    if bounds::LIFT_M.contains(lift_m) {
        list.push((Change::LessLift { by_m: LOWER_M }, SystemInput { lift_m, ..input.clone() }));
    }
    Ok(list)
}

fn wider(suction: bool, at: usize, hose: &Hose) -> Option<(Change, HoseInput)> {
    let from_mm = hose.input().bore_mm;
    let bore_mm = BORES_MM.into_iter().find(|b| *b > WIDER * from_mm)?;
    Some((Change::Wider { suction, hose: at + 1, to_mm: bore_mm, from_mm }, HoseInput { bore_mm, ..hose.input().clone() }))
}

fn with_hose(input: &SystemInput, at: usize, hose: HoseInput) -> Result<SystemInput> {
    let mut changed = input.clone();
    replace(&mut changed.hose, at, Hose::new(hose)?);
    Ok(changed)
}

fn replace(hoses: &mut [Hose], at: usize, hose: Hose) {
    if let Some(place) = hoses.get_mut(at) {
        *place = hose;
    }
}

/// Parts of the pump's head but the nozzle's, largest first.
fn shares(duty: &Duty) -> Vec<Share> {
    let heads = &duty.heads;
    let mut parts = vec![
        ("the lift from the water to the pump".to_string(), heads.suction_lift_m),
        ("the suction hose".to_string(), heads.suction_loss_m),
        ("the lift from the pump to the sprinkler".to_string(), heads.lift_m),
    ];
    parts.extend(heads.hose_loss_m.iter().enumerate().map(|(i, loss)| (format!("hose {}", i + 1), *loss)));
    parts.retain(|(_, head)| *head > 0.0);
    parts.sort_by(|a, b| b.1.total_cmp(&a.1));
    parts.into_iter().map(|(part, head_m)| Share { part, head_m, share: head_m / duty.pump_head_m }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hydraulics::{Curve, Pump, PumpInput};

    fn system(length_m: f64, bore_mm: f64, lift_m: f64) -> System {
        let pump = Pump::new(PumpInput::new(Curve::Rated { flow_l_min: 300.0, head_m: 66.0, power_kw: None })).unwrap();
        let hose = Hose::new(HoseInput::new(length_m, bore_mm)).unwrap();
        System::new(SystemInput::new(pump, vec![hose], Nozzle::new(15.16, 0.97).unwrap(), lift_m)).unwrap()
    }

    #[test]
    fn a_narrow_hose_is_named_and_a_wider_one_helps_most() {
        let answer = limits(&system(300.0, 38.1, 2.0), Aim::Flow { least_pressure_kpa: 200.0 }).unwrap();
        assert_eq!(answer.shares[0].part, "hose 1");
        assert!(answer.best().unwrap().change.starts_with("hose 1 of 50.8 mm"), "{answer}");
        assert!(answer.alternatives[0].flow_l_min.unwrap() > answer.duty.flow_l_min);
    }

    #[test]
    fn a_climb_is_named_and_less_of_it_helps_most() {
        let answer = limits(&system(10.0, 76.2, 70.0), Aim::Pressure).unwrap();
        assert_eq!(answer.shares[0].part, "the lift from the pump to the sprinkler");
        assert!(
            answer.best().unwrap().change.starts_with("3.0 m less lift") || answer.best().unwrap().change.starts_with("nozzle"),
            "{answer}"
        );
    }

    #[test]
    fn a_wider_nozzle_gives_flow_only_while_pressure_lasts() {
        let wide = |least_pressure_kpa| {
            let answer = limits(&system(30.0, 76.2, 0.0), Aim::Flow { least_pressure_kpa }).unwrap();
            let at = answer.alternatives.iter().position(|a| a.change.starts_with("nozzle of 16.7")).unwrap();
            (at, answer.alternatives[at].reason.clone())
        };
        assert_eq!(wide(200.0), (0, None));
        let (at, reason) = wide(550.0);
        assert!(at > 0);
        assert_eq!(reason.unwrap(), "leaves less than 550 kPa at the nozzle");
    }

    #[test]
    fn limits_travel_as_json() {
        let answer = limits(&system(30.0, 50.8, 4.0), Aim::Pressure).unwrap();
        assert_eq!(Limits::from_json(&answer.to_json().unwrap()).unwrap(), answer);
    }

    #[test]
    fn the_least_pressure_is_checked() {
        assert_eq!(
            limits(&system(30.0, 76.2, 0.0), Aim::Flow { least_pressure_kpa: -5.0 }).unwrap_err().to_string(),
            "least_pressure_kpa is -5 kPa: water pressure above the air's must be from 0 to 5000 kPa. Give kilopascals; 1 psi is 6.895 kPa."
        );
    }
}
