//! A length of hose or pipe: bore, friction, fittings and what pressure it stands.

use super::fitting::Fitting;
use super::loss::{DarcyPipe, raw};
use crate::bounds;
use crate::error::{Error, Result};
use crate::plain::plain;
use crate::words::words;
use serde::{Deserialize, Serialize};

words! {
    /// What a pipe is made of, for its Hazen-Williams coefficient.
    pub enum Material: "material" {
        /// Lay-flat hose at its true bore.
        LayFlat = "lay_flat",
        /// PVC.
        Pvc = "pvc",
        /// Polyethylene.
        Polyethylene = "polyethylene",
        /// Aluminum.
        Aluminum = "aluminum",
        /// New steel.
        Steel = "steel",
        /// Galvanized steel.
        Galvanized = "galvanized",
    }
}

impl Material {
    /// Usual Hazen-Williams coefficient.
    ///
    /// # Source
    /// Tables of Hazen-Williams coefficients: PVC 150, polyethylene 140, aluminum 130 to 150, new steel 140 to 150,
    /// galvanized 120. Lay-flat stands in none: 140 fits the fire service's 2 in coefficient within 4 %.
    pub fn c(self) -> f64 {
        match self {
            Material::Pvc => 150.0,
            Material::LayFlat | Material::Polyethylene | Material::Steel => 140.0,
            Material::Aluminum => 130.0,
            Material::Galvanized => 120.0,
        }
    }
}

/// How friction is reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Friction {
    /// By Hazen and Williams with the usual coefficient of a material.
    Material(Material),
    /// By Hazen and Williams.
    HazenWilliams {
        /// Coefficient, 40 to 160.
        c: f64,
    },
    /// By Darcy and Weisbach with Colebrook's friction factor.
    DarcyColebrook {
        /// Roughness of the wall, mm.
        roughness_mm: f64,
    },
}

/// Plain input for [`Hose::new`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct HoseInput {
    /// Length, m.
    pub length_m: f64,
    /// True inner diameter, mm.
    pub bore_mm: f64,
    /// How friction is reckoned.
    #[serde(default = "lay_flat")]
    pub friction: Friction,
    /// Fittings along it.
    #[serde(default)]
    pub fittings: Vec<Fitting>,
    /// Loss coefficients of anything else along it, added up.
    #[serde(default)]
    pub other_k: f64,
    /// Pressure that hose and couplings are rated for, kPa.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_kpa: Option<f64>,
}

fn lay_flat() -> Friction {
    Friction::Material(Material::LayFlat)
}

impl HoseInput {
    /// Lay-flat hose without fittings and with unknown rating.
    pub fn new(length_m: f64, bore_mm: f64) -> Self {
        Self { length_m, bore_mm, friction: lay_flat(), fittings: Vec::new(), other_k: 0.0, rating_kpa: None }
    }
}

/// A checked length of hose or pipe.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "schema", schemars(with = "HoseInput"))]
#[serde(try_from = "HoseInput", into = "HoseInput")]
pub struct Hose(HoseInput);

plain!(Hose: HoseInput, |input| Hose::new(input), |hose| hose.0);

impl Hose {
    /// Checks every value; all problems are reported at once.
    ///
    /// # Errors
    /// A length, bore, coefficient, roughness or rating out of range.
    ///
    /// ```
    /// use dibble::hydraulics::{Hose, HoseInput};
    /// let hose = Hose::new(HoseInput { rating_kpa: Some(1000.0), ..HoseInput::new(152.4, 50.8) })?;
    /// assert_eq!(format!("{:.1}", hose.loss_m(302.8, 15.0)?), "19.3"); // 27 psi
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(input: HoseInput) -> Result<Self> {
        let friction = match input.friction {
            Friction::Material(material) => Ok(material.c()),
            Friction::HazenWilliams { c } => bounds::HAZEN_C.check(c),
            Friction::DarcyColebrook { roughness_mm } => bounds::ROUGHNESS_MM
                .check(roughness_mm)
                .and_then(|r| bounds::RELATIVE_ROUGHNESS.check(r / input.bore_mm.max(f64::MIN_POSITIVE)).map(|_| r)),
        };
        let checks = [
            bounds::LENGTH_M.check(input.length_m),
            bounds::BORE_MM.check(input.bore_mm),
            friction,
            bounds::MINOR_K.named("other_k").check(input.other_k),
            bounds::WATER_PRESSURE_KPA.named("rating_kpa").check_option(input.rating_kpa).map(Option::unwrap_or_default),
        ];
        match Error::several(checks.into_iter().filter_map(Result::err).collect()) {
            Some(error) => Err(error),
            None => Ok(Self(input)),
        }
    }

    /// What it was made from.
    pub fn input(&self) -> &HoseInput {
        &self.0
    }

    /// Speed of the water, m/s.
    pub(super) fn velocity_m_s(&self, flow_l_min: f64) -> f64 {
        raw::velocity_m_s(flow_l_min, self.0.bore_mm)
    }

    /// Head lost at a flow, m, fittings included. The temperature of the water counts with Darcy and Colebrook only.
    ///
    /// # Errors
    /// A flow or temperature out of range.
    pub fn loss_m(&self, flow_l_min: f64, water_c: f64) -> Result<f64> {
        let flow = bounds::FLOW_L_MIN.check(flow_l_min)?;
        let water_c = bounds::WATER_C.check(water_c)?;
        let HoseInput { length_m, bore_mm, .. } = self.0;
        let friction = match self.0.friction {
            Friction::Material(material) => raw::hazen_williams_m(flow, bore_mm, length_m, material.c()),
            Friction::HazenWilliams { c } => raw::hazen_williams_m(flow, bore_mm, length_m, c),
            Friction::DarcyColebrook { roughness_mm } => {
                raw::darcy_m(&DarcyPipe { flow_l_min: flow, bore_mm, length_m, roughness_mm, water_c })?
            }
        };
        let k: f64 = self.0.fittings.iter().map(|f| f.k()).sum::<f64>() + self.0.other_k;
        Ok(friction + k * raw::velocity_head_m(flow, bore_mm))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_problems_come_at_once() {
        let faulty = HoseInput { rating_kpa: Some(-1.0), friction: Friction::HazenWilliams { c: 20.0 }, ..HoseInput::new(f64::NAN, 0.0) };
        let error = Hose::new(faulty).unwrap_err();
        assert_eq!(error.problems().len(), 4, "{error}");
        let rough = HoseInput { friction: Friction::DarcyColebrook { roughness_mm: 5.0 }, ..HoseInput::new(10.0, 20.0) };
        assert_eq!(
            Hose::new(rough).unwrap_err().to_string(),
            "relative_roughness is 0.25: roughness over bore must be from 0 to 0.06. Give both in the same unit."
        );
    }

    #[test]
    fn hoses_travel_as_json() {
        let text = r#"{"length_m":150.0,"bore_mm":50.8,"friction":{"material":"pvc"},"fittings":["elbow_90","gate_valve"]}"#;
        let hose: Hose = serde_json::from_str(text).unwrap();
        assert_eq!(hose.input().friction, Friction::Material(Material::Pvc));
        assert_eq!(serde_json::from_str::<Hose>(&serde_json::to_string(&hose).unwrap()).unwrap(), hose);
        let plain: Hose = serde_json::from_str(r#"{"length_m":150.0,"bore_mm":50.8}"#).unwrap();
        assert!(hose.loss_m(300.0, 15.0).unwrap() < plain.loss_m(300.0, 15.0).unwrap());
        assert!(serde_json::from_str::<Hose>(r#"{"length_m":150.0,"bore_mm":50.8,"color":"red"}"#).is_err());
    }
}
