//! Things to mind about a system, each with its number and limit.

use super::KPA_PER_M;
use super::duty::{Duty, SystemInput};
use super::suction::practical_suction_lift_m;
use crate::error::Result;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Speed above which hose wears and surges, m/s (5 ft/s, common practice).
const USUAL_VELOCITY_M_S: f64 = 1.5;
/// Suction lift above which a caution is due, m (15 ft, common practice).
const USUAL_SUCTION_LIFT_M: f64 = 4.57;

/// Something to mind: what, the number, and the limit that it passes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Caution {
    /// In words, with the numbers.
    pub text: String,
    /// The value.
    pub value: f64,
    /// The limit that it passes.
    pub limit: f64,
    /// Unit of both.
    pub unit: String,
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

fn caution(value: f64, limit: f64, unit: &str, text: String) -> Caution {
    Caution { text, value, limit, unit: unit.into() }
}

/// What a user should know before the pump is started.
pub(super) fn cautions(input: &SystemInput, duty: &Duty) -> Result<Vec<Caution>> {
    let mut list = Vec::new();
    // A hose that runs down from the pump has more pressure at its foot.
    let downhill = (-input.lift_m).max(0.0) * KPA_PER_M;
    let mut working = duty.pump_pressure_kpa + downhill;
    for (i, hose) in input.hose.iter().enumerate() {
        if let Some(rating) = hose.input().rating_kpa {
            let n = i + 1;
            let closed = duty.closed_pressure_kpa + downhill;
            if working > rating {
                let text = format!("hose {n} works at {working:.0} kPa and is rated for {rating:.0} kPa: it can burst");
                list.push(caution(working, rating, "kPa", text));
            } else if closed > rating {
                let text = format!(
                    "with the nozzle closed hose {n} stands at {closed:.0} kPa and is rated for {rating:.0} kPa: throttle down before closing"
                );
                list.push(caution(closed, rating, "kPa", text));
            }
        }
        working -= duty.heads.hose_loss_m.get(i).copied().unwrap_or_default() * KPA_PER_M;
        let velocity = duty.velocity_m_s.get(i).copied().unwrap_or_default();
        if velocity > USUAL_VELOCITY_M_S {
            let text = format!(
                "water runs at {velocity:.1} m/s in hose {}; above {USUAL_VELOCITY_M_S} m/s much pressure is lost and a sudden stop hits hard",
                i + 1
            );
            list.push(caution(velocity, USUAL_VELOCITY_M_S, "m/s", text));
        }
    }
    let practical = practical_suction_lift_m(input.elevation_m, input.water_c)?;
    let limit = USUAL_SUCTION_LIFT_M.min(practical);
    if input.suction_lift_m > limit {
        let text = format!(
            "the pump stands {:.1} m above the water; above {limit:.1} m it draws air easily (highest practical lift here {practical:.1} m)",
            input.suction_lift_m
        );
        list.push(caution(input.suction_lift_m, limit, "m", text));
    }
    let needed = input.pump.input().npsh_required_m.unwrap_or(0.0);
    if duty.npsh_available_m < needed {
        let text = format!(
            "the suction leaves {:.1} m of head and the pump needs {needed:.1} m: it will cavitate; set it nearer to the water or take a wider suction hose",
            duty.npsh_available_m
        );
        list.push(caution(duty.npsh_available_m, needed, "m", text));
    }
    Ok(list)
}
