//! Things to mind about a system, each with its number and limit.

use super::KPA_PER_M;
use super::duty::{Duty, SystemInput};
use super::suction::practical_suction_lift_m;
use crate::error::Result;
use crate::units::{System, show};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Speed above which hose wears and surges, m/s (5 ft/s, common practice).
const USUAL_VELOCITY_M_S: f64 = 1.524;
/// Suction lift above which a caution is due, m (15 ft, common practice).
const USUAL_SUCTION_LIFT_M: f64 = 4.57;

/// What is to be minded about a system of pump, hoses and nozzle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Concern {
    /// A hose works above its pressure rating.
    Bursts {
        /// Number of the hose, from 1 at the pump.
        hose: usize,
    },
    /// With the nozzle closed a hose stands above its pressure rating.
    BurstsClosed {
        /// Number of the hose, from 1 at the pump.
        hose: usize,
    },
    /// Water runs fast in a hose.
    Fast {
        /// Number of the hose, from 1 at the pump.
        hose: usize,
    },
    /// The pump stands high above the water.
    HighSuction {
        /// Highest practical lift at this elevation and temperature, m.
        practical_m: f64,
    },
    /// The suction leaves less head than the pump needs.
    Cavitates,
}

/// Something to mind: what, the number, and the limit that it passes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Caution {
    /// What it is.
    pub what: Concern,
    /// In words, with the numbers in SI; [`Caution::words`] has them in the reader's units.
    pub text: String,
    /// The value.
    pub value: f64,
    /// The limit that it passes.
    pub limit: f64,
    /// Unit of both.
    pub unit: String,
}

impl Caution {
    fn new(what: Concern, value: f64, limit: f64, unit: &str) -> Self {
        let mut caution = Self { what, text: String::new(), value, limit, unit: unit.into() };
        caution.text = caution.words(System::Si);
        caution
    }

    /// In words, with the numbers in these units.
    pub fn words(&self, units: System) -> String {
        let both = |show: fn(f64, System) -> String| (show(self.value, units), show(self.limit, units));
        match self.what {
            Concern::Bursts { hose } => {
                let (works, rated) = both(show::pressure);
                format!("hose {hose} works at {works} and is rated for {rated}: it can burst")
            }
            Concern::BurstsClosed { hose } => {
                let (stands, rated) = both(show::pressure);
                format!("with the nozzle closed hose {hose} stands at {stands} and is rated for {rated}: throttle down before closing")
            }
            Concern::Fast { hose } => {
                let (runs, usual) = both(show::water_speed);
                format!("water runs at {runs} in hose {hose}; above {usual} much pressure is lost and a sudden stop hits hard")
            }
            Concern::HighSuction { practical_m } => {
                let (stands, limit) = both(show::length);
                let practical = show::length(practical_m, units);
                format!(
                    "the pump stands {stands} above the water; above {limit} it draws air easily (highest practical lift here {practical})"
                )
            }
            Concern::Cavitates => {
                let (left, needed) = both(show::length);
                format!(
                    "the suction leaves {left} of head and the pump needs {needed}: it will cavitate; set it nearer to the water or take a wider suction hose"
                )
            }
        }
    }
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

/// What a user should know before the pump is started.
pub(super) fn cautions(input: &SystemInput, duty: &Duty) -> Result<Vec<Caution>> {
    let mut list = Vec::new();
    // A hose that runs down from the pump has more pressure at its foot.
    let downhill = (-input.lift_m).max(0.0) * KPA_PER_M;
    let mut working = duty.pump_pressure_kpa + downhill;
    for (i, pipe) in input.hose.iter().enumerate() {
        let hose = i + 1;
        if let Some(rating) = pipe.input().rating_kpa {
            let closed = duty.closed_pressure_kpa + downhill;
            if working > rating {
                list.push(Caution::new(Concern::Bursts { hose }, working, rating, "kPa"));
            } else if closed > rating {
                list.push(Caution::new(Concern::BurstsClosed { hose }, closed, rating, "kPa"));
            }
        }
        working -= duty.heads.hose_loss_m.get(i).copied().unwrap_or_default() * KPA_PER_M;
        let velocity = duty.velocity_m_s.get(i).copied().unwrap_or_default();
        if velocity > USUAL_VELOCITY_M_S {
            list.push(Caution::new(Concern::Fast { hose }, velocity, USUAL_VELOCITY_M_S, "m/s"));
        }
    }
    let practical_m = practical_suction_lift_m(input.elevation_m, input.water_c)?;
    let limit = USUAL_SUCTION_LIFT_M.min(practical_m);
    if input.suction_lift_m > limit {
        list.push(Caution::new(Concern::HighSuction { practical_m }, input.suction_lift_m, limit, "m"));
    }
    let needed = input.pump.input().npsh_required_m.unwrap_or(0.0);
    if duty.npsh_available_m < needed {
        list.push(Caution::new(Concern::Cavitates, duty.npsh_available_m, needed, "m"));
    }
    Ok(list)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_caution_is_told_in_the_units_of_its_reader() {
        let fast = Caution::new(Concern::Fast { hose: 2 }, 1.9, USUAL_VELOCITY_M_S, "m/s");
        let tail = "much pressure is lost and a sudden stop hits hard";
        assert_eq!(fast.to_string(), format!("water runs at 1.9 m/s in hose 2; above 1.5 m/s {tail}"));
        assert_eq!(fast.words(System::Us), format!("water runs at 6.2 ft/s (1.9 m/s) in hose 2; above 5.0 ft/s (1.5 m/s) {tail}"));
        let high = Caution::new(Concern::HighSuction { practical_m: 6.1 }, 5.5, USUAL_SUCTION_LIFT_M, "m");
        assert_eq!(
            high.words(System::Us),
            "the pump stands 18 ft (5.5 m) above the water; above 15 ft (4.6 m) it draws air easily (highest practical lift here 20 ft (6.1 m))"
        );
        let worn = Caution::new(Concern::BurstsClosed { hose: 1 }, 758.0, 690.0, "kPa");
        assert!(worn.text.starts_with("with the nozzle closed hose 1 stands at 758 kPa and is rated for 690 kPa"), "{worn}");
        assert!(worn.words(System::Us).contains("at 110 psi (758 kPa) and is rated for 100 psi (690 kPa)"));
    }
}
