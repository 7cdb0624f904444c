//! A pump by points of its curve, by one rated point, or by the power of its engine.

use crate::assumption::{Assumed, Assumption};
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::interp::Table;
use crate::plain::plain;
use serde::{Deserialize, Serialize};

/// Efficiency when none is given (common practice for small engine pumps).
pub const USUAL_EFFICIENCY: f64 = 0.55;

/// How the head of a pump falls with its flow.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Curve {
    /// Points of the maker's curve: flow in L/min and head in m, from no flow on. Between them runs a cubic that never
    /// rises.
    Points(Vec<[f64; 2]>),
    /// One rated point. The curve is then H (4 - (q/Q)²) / 3: a third more head at no flow, none at twice the flow
    /// (common practice for centrifugal pumps).
    Rated {
        /// Rated flow, L/min.
        flow_l_min: f64,
        /// Head at the rated flow, m.
        head_m: f64,
        /// Shaft power at the rated flow, kW: gives the efficiency.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        power_kw: Option<f64>,
    },
    /// Only the engine is known: head is what its power can lift, up to a highest head.
    Power {
        /// Shaft power, kW.
        shaft_kw: f64,
        /// Head at no flow, m.
        shutoff_head_m: f64,
    },
}

/// Plain input for [`Pump::new`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PumpInput {
    /// Head against flow.
    pub curve: Curve,
    /// Water power over shaft power, 0.05 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<f64>,
    /// Net positive suction head that it needs, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub npsh_required_m: Option<f64>,
}

impl PumpInput {
    /// A pump of which only the curve is known.
    pub fn new(curve: Curve) -> Self {
        Self { curve, efficiency: None, npsh_required_m: None }
    }
}

/// A checked pump.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "schema", schemars(with = "PumpInput"))]
#[serde(try_from = "PumpInput", into = "PumpInput")]
pub struct Pump {
    input: PumpInput,
    table: Option<Table>,
    efficiency: f64,
}

plain!(Pump: PumpInput, |input| Pump::new(input), |pump| pump.input);

impl Pump {
    /// Checks the curve and every value.
    ///
    /// # Errors
    /// A value out of range, a curve with fewer than two points, that does not begin at no flow, whose flows do not
    /// rise or whose head rises, or a rated power below the power of its water.
    ///
    /// ```
    /// use dibble::hydraulics::{Curve, Pump, PumpInput};
    /// let pump = Pump::new(PumpInput::new(Curve::Rated { flow_l_min: 300.0, head_m: 60.0, power_kw: Some(5.35) }))?;
    /// assert_eq!((pump.head_m(0.0), pump.head_m(300.0), pump.most_flow_l_min()), (80.0, 60.0, 600.0));
    /// assert_eq!(format!("{:.2}", pump.efficiency()), "0.55");
    /// let rising = Curve::Points(vec![[0.0, 40.0], [100.0, 42.0], [200.0, 30.0]]);
    /// assert_eq!(
    ///     Pump::new(PumpInput::new(rising)).unwrap_err().to_string(),
    ///     "the pump curve rises from 40 m at 0 L/min to 42 m at 100 L/min. \
    ///      Head falls with flow: check the order of the two numbers, or leave the point out."
    /// );
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(input: PumpInput) -> Result<Self> {
        let given = bounds::EFFICIENCY.check_option(input.efficiency)?;
        bounds::NPSH_M.check_option(input.npsh_required_m)?;
        let mut table = None;
        let mut rated = None;
        match &input.curve {
            Curve::Points(points) => table = Some(checked_points(points)?),
            Curve::Rated { flow_l_min, head_m, power_kw } => {
                bounds::SPRINKLER_FLOW_L_MIN.check(*flow_l_min)?;
                bounds::PUMP_HEAD_M.check(*head_m)?;
                if let Some(power_kw) = bounds::POWER_KW.check_option(*power_kw)? {
                    rated = Some(rated_efficiency(super::power::raw::water_kw(*flow_l_min, *head_m), power_kw)?);
                }
            }
            Curve::Power { shaft_kw, shutoff_head_m } => {
                bounds::POWER_KW.named("shaft_kw").check(*shaft_kw)?;
                bounds::PUMP_HEAD_M.named("shutoff_head_m").check(*shutoff_head_m)?;
            }
        }
        Ok(Self { efficiency: given.or(rated).unwrap_or(USUAL_EFFICIENCY), input, table })
    }

    /// What it was made from.
    pub fn input(&self) -> &PumpInput {
        &self.input
    }
    /// Water power over shaft power.
    pub fn efficiency(&self) -> f64 {
        self.efficiency
    }

    /// Head at a flow, m; 0 beyond the end of a curve that is known to its end, that of the last point otherwise.
    pub fn head_m(&self, flow_l_min: f64) -> f64 {
        match &self.input.curve {
            Curve::Points(_) => self.table.as_ref().map_or(0.0, |t| t.monotone(flow_l_min)),
            Curve::Rated { flow_l_min: rated, head_m, .. } => {
                let share = flow_l_min / rated;
                (head_m * (4.0 - share * share) / 3.0).max(0.0)
            }
            Curve::Power { shaft_kw, shutoff_head_m } => {
                let lifted = super::power::raw::head_m(shaft_kw * self.efficiency, flow_l_min);
                lifted.min(*shutoff_head_m)
            }
        }
    }

    /// Largest flow that the curve covers, L/min.
    pub fn most_flow_l_min(&self) -> f64 {
        match &self.input.curve {
            Curve::Points(points) => points.last().map_or(0.0, |[flow, _]| *flow),
            Curve::Rated { flow_l_min, .. } => 2.0 * flow_l_min,
            Curve::Power { .. } => bounds::SPRINKLER_FLOW_L_MIN.max,
        }
    }

    /// What was filled in.
    pub(super) fn assumptions(&self) -> Vec<Assumed> {
        let mut list = Vec::new();
        if let Curve::Rated { .. } = self.input.curve {
            list.push(Assumption::PumpCurve.assumed());
        }
        let measured = matches!(self.input.curve, Curve::Rated { power_kw: Some(_), .. });
        if self.input.efficiency.is_none() && !measured {
            list.push(Assumption::PumpEfficiency.with(USUAL_EFFICIENCY));
        }
        list
    }
}

fn checked_points(points: &[[f64; 2]]) -> Result<Table> {
    for (i, [flow, head]) in points.iter().enumerate() {
        bounds::FLOW_L_MIN.check(*flow).and(bounds::HEAD_M.check(*head)).map_err(|e| e.at(format!("points[{i}]")))?;
    }
    match points.first() {
        Some([first, _]) if points.len() > 1 => {
            if *first != 0.0 {
                return Err(Error::inconsistent(
                    format!("the pump curve begins at {first} L/min"),
                    "Give the head at no flow as the first point: a closed nozzle puts it on the hose.",
                ));
            }
        }
        _ => return Err(Error::inconsistent(format!("a pump curve of {} points", points.len()), "Give two or more, or one rated point.")),
    }
    let pairs = || points.iter().zip(points.iter().skip(1));
    if let Some(([a, _], [b, _])) = pairs().find(|([a, _], [b, _])| a >= b) {
        return Err(Error::inconsistent(format!("the pump curve goes from {a} to {b} L/min"), "Sort the points by rising flow."));
    }
    if let Some(([a, high], [b, higher])) = pairs().find(|([_, high], [_, higher])| higher > high) {
        return Err(Error::inconsistent(
            format!("the pump curve rises from {high} m at {a} L/min to {higher} m at {b} L/min"),
            "Head falls with flow: check the order of the two numbers, or leave the point out.",
        ));
    }
    // the head at no flow is the highest
    for [_, head] in points.iter().take(1) {
        bounds::PUMP_HEAD_M.check(*head).map_err(|e| e.at("points[0]"))?;
    }
    Table::new(&points.iter().map(|&[flow, head]| (flow, head)).collect::<Vec<_>>())
}

fn rated_efficiency(water_kw: f64, power_kw: f64) -> Result<f64> {
    let efficiency = water_kw / power_kw;
    if bounds::EFFICIENCY.contains(efficiency) {
        return Ok(efficiency);
    }
    Err(Error::inconsistent(
        format!("power_kw is {power_kw} kW where the rated water takes {water_kw:.2} kW: an efficiency of {efficiency:.2}"),
        "A pump turns a third to four fifths of its shaft power into water power; check the units of flow, head and power.",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn message(curve: Curve) -> String {
        Pump::new(PumpInput::new(curve)).unwrap_err().to_string()
    }

    #[test]
    fn faulty_curves_are_refused() {
        assert_eq!(
            message(Curve::Points(vec![[100.0, 40.0], [200.0, 30.0]])),
            "the pump curve begins at 100 L/min. Give the head at no flow as the first point: a closed nozzle puts it on the hose."
        );
        assert_eq!(
            message(Curve::Points(vec![[0.0, 0.0], [100.0, 0.0]])),
            "points[0]: head_m is 0 m: head of a pump must be from 0.5 to 1000 m. Give meters of water; 1 psi is 0.703 m."
        );
        assert_eq!(message(Curve::Points(Vec::new())), "a pump curve of 0 points. Give two or more, or one rated point.");
        assert_eq!(message(Curve::Points(vec![[0.0, 40.0]])), "a pump curve of 1 points. Give two or more, or one rated point.");
        assert_eq!(
            message(Curve::Points(vec![[0.0, 40.0], [0.0, 30.0]])),
            "the pump curve goes from 0 to 0 L/min. Sort the points by rising flow."
        );
        assert_eq!(
            message(Curve::Points(vec![[0.0, 40.0], [10.0, f64::NAN]])),
            "points[1]: head_m is NaN m: head must be from 0 to 1000 m. Give meters of water; 1 psi is 0.703 m."
        );
        assert_eq!(
            message(Curve::Rated { flow_l_min: 300.0, head_m: 60.0, power_kw: Some(1.0) }),
            "power_kw is 1 kW where the rated water takes 2.94 kW: an efficiency of 2.94. A pump turns a third to four fifths of its shaft power into water power; check the units of flow, head and power."
        );
    }

    #[test]
    fn curves_fall_and_pass_their_points() {
        let points = vec![[0.0, 62.0], [100.0, 60.0], [300.0, 48.0], [450.0, 20.0]];
        let pump = Pump::new(PumpInput::new(Curve::Points(points.clone()))).unwrap();
        let rated = Pump::new(PumpInput::new(Curve::Rated { flow_l_min: 200.0, head_m: 45.0, power_kw: None })).unwrap();
        let power = Pump::new(PumpInput::new(Curve::Power { shaft_kw: 4.0, shutoff_head_m: 70.0 })).unwrap();
        for [flow, head] in points {
            assert_eq!(pump.head_m(flow), head);
        }
        for pump in [&pump, &rated, &power] {
            let heads: Vec<f64> = (0..=400).map(|q| pump.head_m(f64::from(q))).collect();
            assert!(heads.windows(2).all(|w| w[1] <= w[0] && w[1] >= 0.0));
        }
        // 4 kW at 55 % lift 200 L/min by 67.3 m
        assert!((power.head_m(200.0) - 4.0 * 0.55 * 60.0 / (9.806_65 * 0.2)).abs() < 1e-9 && power.head_m(0.0) == 70.0);
        assert_eq!(rated.assumptions().len(), 2);
    }

    #[test]
    fn pumps_travel_as_json() {
        for text in [
            r#"{"curve":{"points":[[0.0,62.0],[300.0,48.0]]},"efficiency":0.6}"#,
            r#"{"curve":{"rated":{"flow_l_min":300.0,"head_m":60.0}}}"#,
            r#"{"curve":{"power":{"shaft_kw":4.0,"shutoff_head_m":70.0}},"npsh_required_m":3.0}"#,
        ] {
            let pump: Pump = serde_json::from_str(text).unwrap();
            assert_eq!(serde_json::to_string(&pump).unwrap(), text);
        }
        assert!(serde_json::from_str::<Pump>(r#"{"curve":{"points":[[0.0,40.0],[100.0,42.0]]}}"#).is_err());
    }
}
