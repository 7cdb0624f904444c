//! A duty point, taken apart along the water.

use super::{System, duty_point, velocity_m_s};
use crate::error::Result;
use crate::explain::Step;

impl System {
    /// How the duty point comes about: lifts, losses and nozzle add up to the pump's head at the flow that was found.
    ///
    /// # Errors
    /// As [`duty_point`].
    ///
    /// ```
    /// use dibble::hydraulics::{Curve, Hose, HoseInput, Pump, PumpInput, System, SystemInput};
    /// use dibble::sprinkler::Nozzle;
    /// let pump = Pump::new(PumpInput::new(Curve::Rated { flow_l_min: 300.0, head_m: 66.0, power_kw: None }))?;
    /// let hose = Hose::new(HoseInput::new(152.4, 50.8))?;
    /// let steps = System::new(SystemInput::new(pump, vec![hose], Nozzle::new(15.16, 0.97)?, 3.0))?.explain()?;
    /// assert_eq!(
    ///     steps[0].to_string(),
    ///     "loss in hose 1: friction and fittings at the flow, with flow 305 L/min, length 152 m, bore 50.8 mm, speed 2.50 m/s \
    ///      = 19.5 m [10.67 L Q^1.852 / (C^1.852 d^4.8704), or f L/d v²/2g]"
    /// );
    /// assert_eq!(steps.last().unwrap().what, "shaft power");
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn explain(&self) -> Result<Vec<Step>> {
        let duty = duty_point(self)?;
        let (input, heads, flow) = (self.input(), &duty.heads, duty.flow_l_min);
        let mut steps = Vec::new();
        for (i, (hose, loss)) in input.hose.iter().zip(&heads.hose_loss_m).enumerate() {
            let what = format!("loss in hose {}", i + 1);
            let source = "10.67 L Q^1.852 / (C^1.852 d^4.8704), or f L/d v²/2g";
            steps.push(
                Step::new(&what, "friction and fittings at the flow", *loss, "m", source)
                    .from("flow", flow, "L/min")
                    .from("length", hose.input().length_m, "m")
                    .from("bore", hose.input().bore_mm, "mm")
                    .from("speed", velocity_m_s(flow, hose.input().bore_mm)?, "m/s"),
            );
        }
        let nozzle = Step::new("head at the nozzle", "(q / (C π/4 d²))² / 2g", heads.nozzle_m, "m", "orifice law");
        steps.push(nozzle.from("flow", flow, "L/min").from("bore", input.nozzle.bore_mm(), "mm").from("C", input.nozzle.coefficient(), ""));
        steps.push(
            Step::new(
                "head of the pump",
                "the flow at which the pump gives what all parts take",
                duty.pump_head_m,
                "m",
                "root by bracketing",
            )
            .from("lift to the pump", heads.suction_lift_m, "m")
            .from("loss in the suction", heads.suction_loss_m, "m")
            .from("lift to the sprinkler", heads.lift_m, "m")
            .from("losses in the hoses", heads.hose_loss_m.iter().sum(), "m")
            .from("nozzle", heads.nozzle_m, "m"),
        );
        steps.push(
            Step::new("shaft power", "ρ g Q H over the pump's efficiency", duty.brake_kw, "kW", "definition")
                .from("flow", flow, "L/min")
                .from("head", duty.pump_head_m, "m")
                .from("efficiency", input.pump.efficiency(), ""),
        );
        Ok(steps)
    }
}
