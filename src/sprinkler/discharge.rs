//! What a nozzle lets through, and how far it throws.

use crate::assumption::{Amount, Assumed, Assumption};
use crate::bounds;
use crate::error::Result;
use crate::plain::plain;
use crate::words::words;
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_4, SQRT_2};

words! {
    /// Kinds of nozzles, each with its usual discharge coefficient.
    pub enum NozzleKind: "nozzle kind" {
        /// The ideal nozzle: what tables of theoretical discharge print.
        Ideal = "ideal",
        /// Small straight bore of impact heads.
        Straight = "straight",
        /// Taper bore of guns.
        Taper = "taper",
        /// Smooth bore of the fire service.
        Smooth = "smooth",
    }
}

impl NozzleKind {
    /// Usual discharge coefficient.
    ///
    /// # Source
    /// Straight: an extension bulletin's table of 9/64 to 3/16 in nozzles holds 0.962 to 0.974. Smooth: the fire
    /// service's 29.7 d² √P is 0.995. Taper: gun tables of 1.0 to 1.4 in at 60 to 80 psi hold 0.966 to 0.992 (from
    /// memory); 0.97 is taken, inside the range of the straight bore as well.
    pub fn coefficient(self) -> f64 {
        match self {
            NozzleKind::Ideal => 1.0,
            NozzleKind::Straight => 0.965,
            NozzleKind::Taper => 0.97,
            NozzleKind::Smooth => 0.995,
        }
    }
}

/// A nozzle: bore and discharge coefficient.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "NozzleInput", into = "NozzleInput")]
pub struct Nozzle {
    bore_mm: f64,
    coefficient: f64,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
struct NozzleInput {
    /// Bore, mm.
    nozzle_mm: f64,
    /// Discharge coefficient.
    coefficient: f64,
}

plain!(Nozzle: NozzleInput, |input| Nozzle::new(input.nozzle_mm, input.coefficient), |nozzle| NozzleInput { nozzle_mm: nozzle.bore_mm, coefficient: nozzle.coefficient });

impl Nozzle {
    /// A nozzle by its bore (0.5 to 100 mm) and discharge coefficient (0.5 to 1).
    ///
    /// # Errors
    /// A value out of range.
    pub fn new(nozzle_mm: f64, coefficient: f64) -> Result<Self> {
        Ok(Self { bore_mm: bounds::NOZZLE_MM.check(nozzle_mm)?, coefficient: bounds::NOZZLE_COEFFICIENT.check(coefficient)? })
    }

    /// A nozzle of a kind.
    ///
    /// # Errors
    /// A bore out of range.
    pub fn of_kind(nozzle_mm: f64, kind: NozzleKind) -> Result<Self> {
        Self::new(nozzle_mm, kind.coefficient())
    }

    /// Bore, mm.
    pub fn bore_mm(&self) -> f64 {
        self.bore_mm
    }
    /// Discharge coefficient.
    pub fn coefficient(&self) -> f64 {
        self.coefficient
    }

    /// Flow over the root of the pressure, L/min per √kPa.
    pub(crate) fn conductance(&self) -> f64 {
        // q = C π/4 d² √(2 P / ρ): mm² √kPa is 1e-6 m² √(1000 Pa); with ρ = 1000 kg/m³ that leaves L/s times 1e-3.
        self.coefficient * FRAC_PI_4 * SQRT_2 * self.bore_mm * self.bore_mm * 0.06
    }
}

/// Discharge of a nozzle, L/min.
///
/// q = C (π/4) d² √(2 P / ρ) with ρ = 1000 kg/m³; in US units 29.84 C d² √P (gpm, in, psi).
///
/// `nozzle`: bore and coefficient. `pressure_kpa`: 0 to 5000 kPa at its foot.
///
/// # Errors
/// Pressure out of range or not a number.
///
/// # Source
/// Hydraulic Institute, Engineering Data Library, Table 3.D.1 (theoretical discharge): 13.3 gpm from 0.375 in at 10 psi.
///
/// ```
/// use dibble::sprinkler::{discharge_l_min, Nozzle, NozzleKind};
/// use dibble::units::{KPA_PER_PSI, L_PER_GAL};
/// let nozzle = Nozzle::of_kind(0.375 * 25.4, NozzleKind::Ideal)?;
/// let flow = discharge_l_min(&nozzle, 10.0 * KPA_PER_PSI)? / L_PER_GAL;
/// assert_eq!(format!("{flow:.1}"), "13.3");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn discharge_l_min(nozzle: &Nozzle, pressure_kpa: f64) -> Result<f64> {
    Ok(nozzle.conductance() * bounds::WATER_PRESSURE_KPA.check(pressure_kpa)?.sqrt())
}

/// Pressure at the foot of a nozzle that passes a flow, kPa: [`discharge_l_min`] turned round.
///
/// # Errors
/// Flow out of range or not a number.
///
/// ```
/// use dibble::sprinkler::{nozzle_pressure_kpa, Nozzle};
/// // 80 gpm through 0.6 in needs about 60 psi (common practice)
/// let pressure = nozzle_pressure_kpa(&Nozzle::new(15.24, 0.97)?, 302.8)?;
/// assert_eq!(format!("{:.0}", pressure / 6.895), "59");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn nozzle_pressure_kpa(nozzle: &Nozzle, flow_l_min: f64) -> Result<f64> {
    let root = bounds::FLOW_L_MIN.check(flow_l_min)? / nozzle.conductance();
    Ok(root * root)
}

/// A low estimate of the wetted radius, m, with its entry for the list of assumptions: 1.35 √(d h), d in mm and h in
/// meters of water.
///
/// **From memory**, and 4 to 13 % below what gun tables (from memory as well) print: measure the radius, or read it
/// from the maker's chart. Half the pressure throws 0.71 times as far by this law.
///
/// # Errors
/// Pressure out of range or not a number.
///
/// ```
/// use dibble::sprinkler::{throw_radius_m, Nozzle};
/// let (radius_m, assumed) = throw_radius_m(&Nozzle::new(25.4, 0.97)?, 413.7)?;
/// assert_eq!(format!("{radius_m:.1}"), "44.2"); // 290 ft across; gun tables have 325 ft
/// assert!(assumed.source.contains("from memory"));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn throw_radius_m(nozzle: &Nozzle, pressure_kpa: f64) -> Result<(f64, Assumed)> {
    const M_PER_KPA: f64 = 1.0 / 9.806_65;
    let head_m = bounds::WATER_PRESSURE_KPA.check(pressure_kpa)? * M_PER_KPA;
    let radius_m = 1.35 * (nozzle.bore_mm * head_m).sqrt();
    Ok((radius_m, Assumption::ThrowRadius.amounting([Amount::of(radius_m)], 1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressure_and_flow_are_each_others_inverse() {
        let nozzle = Nozzle::of_kind(15.24, "taper".parse().unwrap()).unwrap();
        for pressure in [0.0, 3.0, 413.7, 4999.0] {
            let flow = discharge_l_min(&nozzle, pressure).unwrap();
            assert!((nozzle_pressure_kpa(&nozzle, flow).unwrap() - pressure).abs() < 1e-9);
        }
    }

    #[test]
    fn refusals_say_what_is_wrong() {
        assert_eq!(
            Nozzle::new(0.6, 1.2).unwrap_err().to_string(),
            "coefficient is 1.2: discharge coefficient must be from 0.5 to 1. 0.95 to 0.99 for smooth nozzles."
        );
        let nozzle = Nozzle::new(15.0, 0.97).unwrap();
        assert_eq!(
            discharge_l_min(&nozzle, -5.0).unwrap_err().to_string(),
            "pressure_kpa is -5 kPa: water pressure above the air's must be from 0 to 5000 kPa. Give kilopascals; 1 psi is 6.895 kPa."
        );
        assert!(serde_json::from_str::<Nozzle>(r#"{"nozzle_mm": 15.0, "coefficient": 0.2}"#).is_err());
    }
}
