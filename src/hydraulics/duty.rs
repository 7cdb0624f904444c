//! Pump, hoses and nozzle solved together: the flow at which the pump's head is what the rest takes.

use super::caution::{Caution, cautions};
use super::power::{self, Engine};
use super::suction::{NpshInput, npsh_available_m};
use super::{Friction, Hose, KPA_PER_M, Material, Pump};
use crate::assumption::{Assumed, Assumption};
use crate::bounds;
use crate::error::{Error, Result};
use crate::json;
use crate::num::root;
use crate::plain::plain;
use crate::sprinkler::{Nozzle, nozzle_pressure_kpa};
use serde::{Deserialize, Serialize};

/// Pump, hoses and nozzle: plain input for [`System::new`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SystemInput {
    /// The pump.
    pub pump: Pump,
    /// Hoses or pipes from pump to sprinkler, in the order of the water.
    pub hose: Vec<Hose>,
    /// The nozzle.
    pub nozzle: Nozzle,
    /// Rise from the pump to the nozzle, m; downhill is negative.
    pub lift_m: f64,
    /// Height of the pump above the water, m; below it is negative.
    #[serde(default)]
    pub suction_lift_m: f64,
    /// Suction hoses.
    #[serde(default)]
    pub suction: Vec<Hose>,
    /// Elevation above sea level, m.
    #[serde(default)]
    pub elevation_m: f64,
    /// Water temperature, deg C.
    #[serde(default = "cool")]
    pub water_c: f64,
    /// What turns the pump.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub engine: Option<Engine>,
}

fn cool() -> f64 {
    15.0
}

impl SystemInput {
    /// Pump at the water's level, at sea level, with water of 15 deg C and an unknown engine.
    pub fn new(pump: Pump, hose: Vec<Hose>, nozzle: Nozzle, lift_m: f64) -> Self {
        Self { pump, hose, nozzle, lift_m, suction_lift_m: 0.0, suction: Vec::new(), elevation_m: 0.0, water_c: cool(), engine: None }
    }
}

/// A checked system.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "schema", schemars(with = "SystemInput"))]
#[serde(try_from = "SystemInput", into = "SystemInput")]
pub struct System(SystemInput);

plain!(System: SystemInput, |input| System::new(input), |system| system.0);

/// Where the head of a pump goes at a flow, m.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Heads {
    /// From the water to the pump.
    pub suction_lift_m: f64,
    /// Lost in the suction hoses.
    pub suction_loss_m: f64,
    /// From the pump to the nozzle.
    pub lift_m: f64,
    /// Lost in each hose.
    pub hose_loss_m: Vec<f64>,
    /// Left at the foot of the nozzle.
    pub nozzle_m: f64,
}

impl Heads {
    /// All together: the head that the pump must give.
    pub fn total_m(&self) -> f64 {
        self.suction_lift_m + self.suction_loss_m + self.lift_m + self.hose_loss_m.iter().sum::<f64>() + self.nozzle_m
    }
}

impl System {
    /// Checks the values that its parts have not checked.
    ///
    /// # Errors
    /// A lift, elevation or temperature out of range; all problems at once.
    pub fn new(input: SystemInput) -> Result<Self> {
        let checks = [
            bounds::LIFT_M.check(input.lift_m),
            bounds::SUCTION_LIFT_M.check(input.suction_lift_m),
            bounds::ELEVATION_M.check(input.elevation_m),
            bounds::WATER_C.check(input.water_c),
        ];
        match Error::several(checks.into_iter().filter_map(Result::err).collect()) {
            Some(error) => Err(error),
            None => Ok(Self(input)),
        }
    }

    /// What it was made from.
    pub fn input(&self) -> &SystemInput {
        &self.0
    }

    /// The head that a flow takes, part by part, whatever the pump.
    ///
    /// # Errors
    /// Flow out of range.
    ///
    /// ```
    /// use dibble::hydraulics::{Curve, Hose, HoseInput, Pump, PumpInput, System, SystemInput, KPA_PER_M};
    /// use dibble::sprinkler::Nozzle;
    /// // 80 gpm through a 0.6 in nozzle at the end of 500 ft of 2 in lay-flat, 10 ft up
    /// let pump = Pump::new(PumpInput::new(Curve::Rated { flow_l_min: 300.0, head_m: 68.0, power_kw: None }))?;
    /// let hose = Hose::new(HoseInput::new(152.4, 50.8))?;
    /// let system = System::new(SystemInput::new(pump, vec![hose], Nozzle::new(15.16, 0.97)?, 3.05))?;
    /// let heads = system.heads(302.3)?;
    /// let psi = |m: f64| format!("{:.0}", m * KPA_PER_M / 6.895);
    /// assert_eq!((psi(heads.hose_loss_m[0]), psi(heads.nozzle_m), psi(heads.total_m())), ("27".into(), "60".into(), "92".into()));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn heads(&self, flow_l_min: f64) -> Result<Heads> {
        let loss = |hoses: &[Hose]| hoses.iter().map(|h| h.loss_m(flow_l_min, self.0.water_c)).collect::<Result<Vec<f64>>>();
        Ok(Heads {
            suction_lift_m: self.0.suction_lift_m,
            suction_loss_m: loss(&self.0.suction)?.iter().sum(),
            lift_m: self.0.lift_m,
            hose_loss_m: loss(&self.0.hose)?,
            nozzle_m: nozzle_pressure_kpa(&self.0.nozzle, flow_l_min)? / KPA_PER_M,
        })
    }
}

/// The point at which pump, hoses and nozzle agree.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Duty {
    /// Version of this layout.
    pub schema: u32,
    /// Flow, L/min.
    pub flow_l_min: f64,
    /// Pressure at the foot of the nozzle, kPa.
    pub nozzle_pressure_kpa: f64,
    /// Head of the pump, m.
    pub pump_head_m: f64,
    /// Pressure behind the pump, kPa.
    pub pump_pressure_kpa: f64,
    /// The same with the nozzle closed, kPa.
    pub closed_pressure_kpa: f64,
    /// Where the head goes.
    pub heads: Heads,
    /// Speed in each hose, m/s.
    pub velocity_m_s: Vec<f64>,
    /// Net positive suction head at the pump, m.
    pub npsh_available_m: f64,
    /// Power of the water, kW.
    pub water_kw: f64,
    /// Shaft power, kW.
    pub brake_kw: f64,
    /// Fuel for an hour, L (kWh for a motor); none when the engine is unknown.
    pub fuel_per_hour: Option<f64>,
    /// What to mind.
    pub cautions: Vec<Caution>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

/// The flow at which the pump's head is what suction, hoses, lift and nozzle take, and what follows from it.
///
/// # Errors
/// The pump cannot lift the water to the sprinkler (says how many meters it is short), or the duty point lies beyond the
/// end of the pump's curve.
///
/// ```
/// use dibble::hydraulics::{duty_point, Curve, Hose, HoseInput, Pump, PumpInput, System, SystemInput};
/// use dibble::sprinkler::Nozzle;
/// let pump = Pump::new(PumpInput::new(Curve::Rated { flow_l_min: 300.0, head_m: 66.0, power_kw: None }))?;
/// let hose = Hose::new(HoseInput::new(152.4, 50.8))?;
/// let input = SystemInput::new(pump, vec![hose], Nozzle::new(15.16, 0.97)?, 3.0);
/// let duty = duty_point(&System::new(input.clone())?)?;
/// assert_eq!(format!("{:.0} {:.0}", duty.flow_l_min / 3.785, duty.nozzle_pressure_kpa / 6.895), "80 61");
/// let high = System::new(SystemInput { lift_m: 100.0, ..input })?;
/// assert_eq!(
///     duty_point(&high).unwrap_err().to_string(),
///     "the pump cannot lift to the sprinkler: 12.0 m short. It gives 88.0 m at no flow, and the water must rise by 100.0 m; \
///      set the sprinkler lower, or take a pump with more head."
/// );
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn duty_point(system: &System) -> Result<Duty> {
    let flow = solve(system)?;
    let input = &system.0;
    let heads = system.heads(flow)?;
    let pump_head_m = heads.total_m();
    let behind_pump = |head: f64, loss: f64| (head - input.suction_lift_m - loss) * KPA_PER_M;
    let water_kw = power::water_kw(flow, pump_head_m)?;
    let brake_kw = water_kw / input.pump.efficiency();
    let npsh = NpshInput {
        elevation_m: input.elevation_m,
        water_c: input.water_c,
        suction_lift_m: input.suction_lift_m,
        suction_loss_m: heads.suction_loss_m,
    };
    let mut duty = Duty {
        schema: 1,
        flow_l_min: flow,
        nozzle_pressure_kpa: heads.nozzle_m * KPA_PER_M,
        pump_head_m,
        pump_pressure_kpa: behind_pump(pump_head_m, heads.suction_loss_m),
        closed_pressure_kpa: behind_pump(input.pump.head_m(0.0), 0.0),
        velocity_m_s: input.hose.iter().map(|h| h.velocity_m_s(flow)).collect(),
        npsh_available_m: npsh_available_m(&npsh)?,
        water_kw,
        brake_kw,
        fuel_per_hour: input.engine.map(|engine| power::fuel_per_hour(engine, brake_kw)).transpose()?,
        cautions: Vec::new(),
        assumptions: assumptions(input),
        heads,
    };
    duty.cautions = cautions(input, &duty)?;
    Ok(duty)
}

impl Duty {
    /// As JSON; every number comes back bit for bit.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn to_json(&self) -> Result<String> {
        json::write(self)
    }

    /// From [`Duty::to_json`]'s text, of this version or an older one.
    ///
    /// # Errors
    /// Text that is no duty point, or of a newer version.
    pub fn from_json(text: &str) -> Result<Self> {
        json::read(text, "duty point", 1)
    }
}

fn solve(system: &System) -> Result<f64> {
    let input = &system.0;
    let closed = input.pump.head_m(0.0);
    let rise = input.suction_lift_m + input.lift_m;
    if closed <= rise {
        let short = match rise - closed {
            little if little < 0.05 => "less than 0.1 m short".into(),
            m => format!("{m:.1} m short"),
        };
        return Err(Error::infeasible(
            format!("the pump cannot lift to the sprinkler: {short}"),
            format!(
                "It gives {closed:.1} m at no flow, and the water must rise by {rise:.1} m; set the sprinkler lower, or take a pump with more head."
            ),
        ));
    }
    let most = input.pump.most_flow_l_min();
    let spare = |flow: f64| system.heads(flow).map(|heads| input.pump.head_m(flow) - heads.total_m());
    let left = spare(most)?;
    if left > 0.0 {
        return Err(Error::infeasible(
            format!("the duty point lies beyond the pump curve, which ends at {most} L/min with {left:.1} m of head to spare"),
            "Give points of the curve at larger flows, or take a smaller nozzle.",
        ));
    }
    root::bracketed(|flow| spare(flow).unwrap_or(f64::NAN), 0.0, most, 1e-10 * most)
}

fn assumptions(input: &SystemInput) -> Vec<Assumed> {
    let mut list = input.pump.assumptions();
    if input.hose.iter().any(|h| h.input().friction == Friction::Material(Material::LayFlat)) {
        list.push(Assumption::HoseRoughness.assumed());
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hydraulics::{Curve, HoseInput, PumpInput};
    use proptest::prelude::*;

    fn pump(flow_l_min: f64, head_m: f64) -> Pump {
        Pump::new(PumpInput::new(Curve::Rated { flow_l_min, head_m, power_kw: None })).unwrap()
    }

    fn hose(length_m: f64, bore_mm: f64, rating_kpa: Option<f64>) -> Hose {
        Hose::new(HoseInput { rating_kpa, ..HoseInput::new(length_m, bore_mm) }).unwrap()
    }

    fn field() -> SystemInput {
        let input = SystemInput::new(pump(300.0, 66.0), vec![hose(152.4, 50.8, None)], Nozzle::new(15.16, 0.97).unwrap(), 3.0);
        SystemInput { suction_lift_m: 2.4, suction: vec![hose(6.0, 63.5, None)], engine: Some(Engine::Gasoline), ..input }
    }

    fn solved(input: SystemInput) -> Duty {
        duty_point(&System::new(input).unwrap()).unwrap()
    }

    #[test]
    fn pressures_add_up_along_the_water() {
        let duty = solved(field());
        assert!((field().pump.head_m(duty.flow_l_min) - duty.heads.total_m()).abs() < 1e-6);
        let along = duty.pump_pressure_kpa - (duty.heads.hose_loss_m[0] + 3.0) * KPA_PER_M;
        assert!((along - duty.nozzle_pressure_kpa).abs() < 1e-6);
        assert!((duty.brake_kw - duty.water_kw / 0.55).abs() < 1e-12 && duty.fuel_per_hour.unwrap() > 1.0);
        let keys: Vec<&str> = duty.assumptions.iter().map(|a| a.key.as_str()).collect();
        assert_eq!(keys, ["pump_curve", "pump_efficiency", "hose_c"]);
    }

    #[test]
    fn cautions_carry_their_numbers() {
        let texts = |input| solved(input).cautions.iter().map(ToString::to_string).collect::<Vec<_>>();
        let weak = SystemInput { hose: vec![hose(152.4, 50.8, Some(400.0))], ..field() };
        assert_eq!(
            texts(weak),
            [
                "hose 1 works at 622 kPa and is rated for 400 kPa: it can burst",
                "water runs at 2.5 m/s in hose 1; above 1.5 m/s much pressure is lost and a sudden stop hits hard"
            ]
        );
        let closed = SystemInput { hose: vec![hose(152.4, 76.2, Some(800.0))], ..field() };
        assert_eq!(
            texts(closed),
            ["with the nozzle closed hose 1 stands at 839 kPa and is rated for 800 kPa: throttle down before closing"]
        );
        let pump = Pump::new(PumpInput { npsh_required_m: Some(4.0), ..field().pump.input().clone() }).unwrap();
        let high = SystemInput { suction_lift_m: 6.5, hose: vec![hose(30.0, 76.2, None)], pump, ..field() };
        assert_eq!(
            texts(high),
            [
                "the pump stands 6.5 m above the water; above 4.6 m it draws air easily (highest practical lift here 6.7 m)",
                "the suction leaves 3.4 m of head and the pump needs 4.0 m: it will cavitate; set it nearer to the water or take a wider suction hose"
            ]
        );
    }

    #[test]
    fn a_curve_that_ends_too_early_is_no_answer() {
        let short = Pump::new(PumpInput::new(Curve::Points(vec![[0.0, 80.0], [100.0, 75.0]]))).unwrap();
        assert_eq!(
            duty_point(&System::new(SystemInput { pump: short, ..field() }).unwrap()).unwrap_err().to_string(),
            "the duty point lies beyond the pump curve, which ends at 100 L/min with 62.5 m of head to spare. Give points of the curve at larger flows, or take a smaller nozzle."
        );
        let error = System::new(SystemInput { lift_m: f64::NAN, water_c: 99.0, ..field() }).unwrap_err();
        assert_eq!(error.problems().len(), 2);
    }

    #[test]
    fn systems_and_duties_travel_as_json() {
        let system = System::new(field()).unwrap();
        let text = serde_json::to_string(&system).unwrap();
        assert_eq!(serde_json::from_str::<System>(&text).unwrap(), system);
        let duty = duty_point(&system).unwrap();
        let text = duty.to_json().unwrap();
        assert_eq!(Duty::from_json(&text).unwrap(), duty);
        let newer = Duty::from_json(&text.replace("\"schema\": 1", "\"schema\": 2")).unwrap_err();
        assert!(newer.to_string().contains("its schema 2 is newer than 1"), "{newer}");
    }

    proptest! {
        #[test]
        fn more_of_anything_that_costs_head_leaves_less_flow(length in 10.0..400.0f64, bore in 38.0..80.0f64, lift in -10.0..30.0f64,
                                                             nozzle in 6.0..20.0f64) {
            let system = |length, bore, lift, nozzle| {
                let nozzle = Nozzle::new(nozzle, 0.97).unwrap();
                solved(SystemInput { hose: vec![hose(length, bore, None)], lift_m: lift, nozzle, ..field() })
            };
            let base = system(length, bore, lift, nozzle);
            let heads = base.heads.total_m();
            prop_assert!((field().pump.head_m(base.flow_l_min) - heads).abs() < 1e-6 * heads.max(1.0));
            prop_assert!(system(length * 1.1, bore, lift, nozzle).flow_l_min < base.flow_l_min);
            prop_assert!(system(length, bore * 1.1, lift, nozzle).flow_l_min > base.flow_l_min);
            prop_assert!(system(length, bore, lift + 1.0, nozzle).flow_l_min < base.flow_l_min);
            let wider = system(length, bore, lift, nozzle * 1.1);
            prop_assert!(wider.flow_l_min > base.flow_l_min && wider.nozzle_pressure_kpa < base.nozzle_pressure_kpa);
        }

        #[test]
        fn two_hoses_in_a_row_are_one(first in 1.0..100.0f64, second in 1.0..100.0f64) {
            let parted = solved(SystemInput { hose: vec![hose(first, 50.8, None), hose(second, 50.8, None)], ..field() });
            let whole = solved(SystemInput { hose: vec![hose(first + second, 50.8, None)], ..field() });
            prop_assert!((parted.flow_l_min - whole.flow_l_min).abs() < 1e-6);
        }
    }
}
