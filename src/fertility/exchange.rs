//! Cation exchange capacity by summation, and base saturation. The acidity term differs between labs, so it is named.

use super::{BufferMethod, Citation, DetectionPolicy, Nutrient, Provenance, SoilTest};
use crate::assumption::Assumed;
use crate::error::{Error, Result};
use crate::words::words;
use serde::{Deserialize, Serialize};

words! {
    /// How the acidity in a capacity by summation is found.
    pub enum AcidityTerm: "acidity term" {
        /// 8 (8.00 - buffer pH), meq/100 g.
        AdamsEvans = "Adams-Evans",
        /// 4 (6.6 - buffer pH), meq/100 cm3.
        Mehlich = "Mehlich",
        /// 12 (7 - buffer pH), nothing from 7 on, meq/100 g.
        Smp = "SMP",
        /// The exchangeable acidity that the lab measured.
        Measured = "measured",
        /// No acidity: the sum of the bases alone.
        None = "none",
    }
}

words! {
    /// ppm that make 1 meq/100 g.
    pub enum Divisors: "divisors" {
        /// From the atomic weights: Ca 200.4, Mg 121.5, K 391.0, Na 229.9.
        Exact = "exact",
        /// As labs round them: Ca 200, Mg 120, K 390, Na 230.
        Rounded = "rounded",
    }
}

impl AcidityTerm {
    /// Where the term comes from.
    pub fn citation(self) -> Citation {
        match self {
            AcidityTerm::AdamsEvans => Citation::new(
                "Clemson Agricultural Service Laboratory, CEC calculations; University of Georgia soil lab, method 6",
                Provenance::Printed,
            ),
            AcidityTerm::Mehlich => Citation::new("North Carolina Department of Agriculture soil lab", Provenance::Printed),
            AcidityTerm::Smp => Citation::new("a commercial lab's page on its calculations", Provenance::Quoted),
            AcidityTerm::Measured => Citation::new("the lab's own measurement", Provenance::Printed),
            AcidityTerm::None => Citation::new("definition of the sum of bases", Provenance::Printed),
        }
    }

    /// Acidity, meq/100 g, from a buffer pH (the Mehlich term is by volume, meq/100 cm3). Never negative.
    ///
    /// ```
    /// use dibble::fertility::AcidityTerm;
    /// assert!((AcidityTerm::AdamsEvans.from_buffer(7.7).unwrap_or(f64::NAN) - 2.4).abs() < 1e-9);
    /// assert_eq!(AcidityTerm::Smp.from_buffer(7.1), Some(0.0));
    /// ```
    pub fn from_buffer(self, buffer_ph: f64) -> Option<f64> {
        let acidity = match self {
            AcidityTerm::AdamsEvans => 8.0 * (8.0 - buffer_ph),
            AcidityTerm::Mehlich => 4.0 * (6.6 - buffer_ph),
            AcidityTerm::Smp => 12.0 * (7.0 - buffer_ph),
            AcidityTerm::Measured | AcidityTerm::None => return None,
        };
        Some(acidity.max(0.0))
    }

    /// The buffer that the term is made for.
    fn buffer(self) -> Option<BufferMethod> {
        match self {
            AcidityTerm::AdamsEvans => Some(BufferMethod::AdamsEvans),
            AcidityTerm::Mehlich => Some(BufferMethod::Mehlich),
            AcidityTerm::Smp => Some(BufferMethod::Smp),
            AcidityTerm::Measured | AcidityTerm::None => None,
        }
    }
}

/// One base on the exchange.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Base {
    /// The element.
    pub nutrient: Nutrient,
    /// Its charge, meq/100 g.
    pub meq: f64,
    /// Its share of the capacity, percent.
    pub share_pct: f64,
}

/// Cations on the exchange.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Exchange {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// How the acidity was found.
    pub term: AcidityTerm,
    /// Acidity, meq/100 g.
    pub acidity_meq: f64,
    /// The bases that were measured.
    pub bases: Vec<Base>,
    /// Capacity by summation, meq/100 g.
    pub cec_meq: f64,
    /// Bases as a share of the capacity, percent.
    pub base_saturation_pct: f64,
    /// What to know about it.
    pub notes: Vec<String>,
    /// Where the acidity term comes from.
    pub citation: Citation,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

impl Exchange {
    /// Share of one base, percent of the capacity.
    pub fn share_pct(&self, nutrient: Nutrient) -> Option<f64> {
        self.bases.iter().find(|b| b.nutrient == nutrient).map(|b| b.share_pct)
    }

    /// Bases whose share of the capacity lies outside what Rutgers FS1187 wants for Christmas trees: Ca 60-70 %, Mg 10-20 %
    /// (read on a copy of the page).
    pub fn shares_out_of_range(&self) -> Vec<String> {
        let off = |(nutrient, low, high): (Nutrient, f64, f64)| {
            let share = self.share_pct(nutrient).filter(|s| !(low..=high).contains(s))?;
            Some(format!(
                "{nutrient} holds {share:.0} % of the exchange; {low:.0} to {high:.0} % is wanted (Rutgers FS1187, read on a copy)"
            ))
        };
        [(Nutrient::Ca, 60.0, 70.0), (Nutrient::Mg, 10.0, 20.0)].into_iter().filter_map(off).collect()
    }
}

/// Cation exchange capacity by summation of Ca, Mg, K, Na and acidity, meq/100 g, with its base saturation.
///
/// meq/100 g = ppm / (10 x mg per meq); the first measurement of each base is taken.
///
/// # Errors
/// No Ca, Mg or K; no buffer pH where the term needs one, or one of another buffer; no exchangeable acidity where it is
/// to be measured; nothing on the exchange at all.
///
/// # Source
/// The terms' sources are in [`AcidityTerm::citation`].
///
/// ```
/// use dibble::fertility::{
///     AcidityTerm, Buffer, BufferMethod, Divisors, Extractant, Form, Measurement, Nutrient, Reported, SoilTest, SoilTestInput, TestUnit,
///     cec_by_summation,
/// };
/// // Clemson's sample: Ca 400, Mg 28, K 221, Na 12 lb/acre, Adams-Evans buffer 7.70
/// let of = |nutrient, lb_acre| Measurement {
///     nutrient,
///     form: Some(Form::Element),
///     value: Reported::Measured(lb_acre),
///     unit: TestUnit::LbAcre,
///     extractant: Some(Extractant::Mehlich1),
///     converted: None,
/// };
/// let test = SoilTest::new(SoilTestInput {
///     buffer: Some(Buffer { value: 7.7, method: BufferMethod::AdamsEvans, lime_index: None }),
///     measured: vec![of(Nutrient::Ca, 400.0), of(Nutrient::Mg, 28.0), of(Nutrient::K, 221.0), of(Nutrient::Na, 12.0)],
///     ..SoilTestInput::default()
/// })?;
/// let sum = cec_by_summation(&test, AcidityTerm::AdamsEvans, Divisors::Rounded)?;
/// assert_eq!((format!("{:.2}", sum.cec_meq), sum.base_saturation_pct.round()), ("3.83".into(), 37.0));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn cec_by_summation(test: &SoilTest, term: AcidityTerm, divisors: Divisors) -> Result<Exchange> {
    let mut notes = Vec::new();
    let mut bases = Vec::new();
    for nutrient in [Nutrient::Ca, Nutrient::Mg, Nutrient::K, Nutrient::Na] {
        match test.values_of(nutrient).next() {
            Some(value) => {
                let ppm = value.ppm.number(DetectionPolicy::Half).unwrap_or(0.0);
                if !value.ppm.is_measured() {
                    notes.push(format!("{nutrient} is reported as {}; {ppm:.1} ppm stands for it in the sum.", value.given.value));
                }
                bases.push(Base { nutrient, meq: ppm / ppm_per_meq(nutrient, divisors), share_pct: 0.0 });
            }
            None if nutrient == Nutrient::Na => notes.push("Na was not measured and counts as none.".into()),
            None => {
                return Err(Error::missing(format!("{nutrient} in the soil test"), "A capacity by summation needs Ca, Mg and K."));
            }
        }
    }
    let acidity_meq = acidity(test, term)?;
    if term == AcidityTerm::Mehlich {
        notes.push("The Mehlich term is per 100 cm3 of soil; it equals meq/100 g where the scooped soil weighs 1 g/cm3.".into());
    }
    let sum: f64 = bases.iter().map(|b| b.meq).sum();
    let cec_meq = sum + acidity_meq;
    if cec_meq <= 0.0 {
        return Err(Error::inconsistent("neither bases nor acidity were found", "Check the values of Ca, Mg and K."));
    }
    for base in &mut bases {
        base.share_pct = 100.0 * base.meq / cec_meq;
    }
    let base_saturation_pct = 100.0 * sum / cec_meq;
    Ok(Exchange {
        schema: super::SCHEMA,
        term,
        acidity_meq,
        bases,
        cec_meq,
        base_saturation_pct,
        notes,
        citation: term.citation(),
        assumptions: test.assumed().to_vec(),
    })
}

fn acidity(test: &SoilTest, term: AcidityTerm) -> Result<f64> {
    let Some(wanted) = term.buffer() else {
        return match (term, test.input().exchangeable_acidity_meq) {
            (AcidityTerm::None, _) => Ok(0.0),
            (_, Some(measured)) => Ok(measured),
            _ => Err(Error::missing("exchangeable_acidity_meq", "Give it from the lab sheet, or name another acidity term.")),
        };
    };
    match (test.input().buffer, test.buffer_ph()) {
        (Some(buffer), Some(ph)) if buffer.method == wanted => Ok(term.from_buffer(ph).unwrap_or(0.0)),
        (Some(buffer), _) => Err(Error::inconsistent(
            format!("the buffer of this test is {} and the acidity term holds for {wanted}", buffer.method),
            "Name the term of the lab's own buffer.",
        )),
        // labs leave the buffer out where the soil is not acid
        (None, _) if test.ph_in_water().is_ok_and(|ph| ph >= 7.0) => Ok(0.0),
        (None, _) => Err(Error::missing("the buffer pH", "Give it from the lab sheet; a lab leaves it out on soils that are not acid.")),
    }
}

fn ppm_per_meq(nutrient: Nutrient, divisors: Divisors) -> f64 {
    match (divisors, nutrient) {
        (Divisors::Rounded, Nutrient::Ca) => 200.0,
        (Divisors::Rounded, Nutrient::Mg) => 120.0,
        (Divisors::Rounded, Nutrient::K) => 390.0,
        (Divisors::Rounded, Nutrient::Na) => 230.0,
        _ => super::soil_test::mg_per_meq(nutrient).map_or(f64::INFINITY, |mg| 10.0 * mg),
    }
}

/// Nitrogen in the organic matter of the sampled layer, and what it may release in a year.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OrganicNitrogen {
    /// Total nitrogen in the layer, kg/ha.
    pub total_kg_ha: f64,
    /// Released in a year at the given rate, kg/ha.
    pub released_kg_ha: f64,
}

/// Nitrogen in soil organic matter, 5 % of its weight, and the yearly release at `released_share`, kg/ha.
///
/// Arguments: organic matter in percent, depth in m, bulk density in g/cm3, share released in a year (0.02 is a
/// rule from memory; cold or wet ground releases less).
///
/// # Errors
/// An argument out of its range.
///
/// # Source
/// 5 % N in organic matter: Mississippi State University Extension, as quoted (2 % organic matter is 2,000 lb N/acre).
///
/// ```
/// use dibble::fertility::organic_nitrogen;
/// use dibble::units::{SLICE_BULK_DENSITY_G_CM3, convert};
/// let n = organic_nitrogen(2.0, convert(20.0 / 3.0, "in", "m")?, SLICE_BULK_DENSITY_G_CM3, 0.02)?;
/// assert_eq!(convert(n.total_kg_ha, "kg/ha", "lb/acre")?.round(), 2000.0);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn organic_nitrogen(organic_matter_pct: f64, depth_m: f64, bulk_density_g_cm3: f64, released_share: f64) -> Result<OrganicNitrogen> {
    use crate::bounds;
    bounds::ORGANIC_PCT.check(organic_matter_pct)?;
    bounds::FRACTION.named("released_share").check(released_share)?;
    let total_kg_ha = crate::units::ppm_to_kg_ha(organic_matter_pct * 1e4 * 0.05, depth_m, bulk_density_g_cm3)?;
    Ok(OrganicNitrogen { total_kg_ha, released_kg_ha: total_kg_ha * released_share })
}
