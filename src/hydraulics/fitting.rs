//! Fittings by their loss coefficients.

use super::loss::raw;
use crate::bounds;
use crate::error::Result;
use crate::words::words;

words! {
    /// Fittings and valves, each with its usual loss coefficient. Real ones stray from it by 20 to 50 %.
    pub enum Fitting: "fitting" {
        /// Globe valve, open.
        GlobeValve = "globe_valve",
        /// Angle valve, open.
        AngleValve = "angle_valve",
        /// Gate valve, open.
        GateValve = "gate_valve",
        /// Gate valve, half open.
        GateValveHalf = "gate_valve_half_open",
        /// Swing check valve.
        CheckValve = "check_valve",
        /// Right-angle elbow, flanged.
        Elbow90Flanged = "elbow_90_flanged",
        /// Right-angle elbow, threaded.
        Elbow90 = "elbow_90",
        /// Half right-angle elbow, threaded.
        Elbow45 = "elbow_45",
        /// Tee, threaded, straight through.
        TeeRun = "tee_run",
        /// Tee, threaded, through the branch.
        TeeBranch = "tee_branch",
        /// Return bend, threaded.
        ReturnBend = "return_bend",
    }
}

impl Fitting {
    /// Loss coefficient: velocity heads lost.
    ///
    /// # Source
    /// A table of minor loss coefficients for fluid mechanics; the Hydraulic Institute warns of 20 to 50 % either way.
    pub fn k(self) -> f64 {
        match self {
            Fitting::GlobeValve => 10.0,
            Fitting::AngleValve | Fitting::CheckValve | Fitting::TeeBranch => 2.0,
            Fitting::GateValve => 0.15,
            Fitting::GateValveHalf => 2.1,
            Fitting::Elbow90Flanged => 0.3,
            Fitting::Elbow90 | Fitting::ReturnBend => 1.5,
            Fitting::Elbow45 => 0.4,
            Fitting::TeeRun => 0.9,
        }
    }
}

/// Head lost in fittings, m: K v² / 2g with the sum of their coefficients.
///
/// # Errors
/// A value out of range.
///
/// ```
/// use dibble::hydraulics::{fitting_loss_m, Fitting};
/// let k = Fitting::GateValve.k() + 2.0 * Fitting::Elbow90.k();
/// let loss_m = fitting_loss_m(k, 302.8, 50.8)?;
/// assert_eq!(format!("{loss_m:.2}"), "1.00"); // 3.15 velocity heads at 2.5 m/s
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn fitting_loss_m(k: f64, flow_l_min: f64, bore_mm: f64) -> Result<f64> {
    let k = bounds::MINOR_K.check(k)?;
    Ok(k * raw::velocity_head_m(bounds::FLOW_L_MIN.check(flow_l_min)?, bounds::BORE_MM.check(bore_mm)?))
}
