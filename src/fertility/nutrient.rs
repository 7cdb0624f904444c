//! Nutrients, the form they are written in (element or oxide), and the extractants of soil labs.

use crate::error::{Error, Result};
use crate::units;
use crate::words::{same, words};

words! {
    /// A nutrient, or another element that soil and needle tests report.
    pub enum Nutrient: "nutrient" {
        /// Nitrogen.
        N = "N" | "nitrogen",
        /// Phosphorus.
        P = "P" | "phosphorus",
        /// Potassium.
        K = "K" | "potassium",
        /// Calcium.
        Ca = "Ca" | "calcium",
        /// Magnesium.
        Mg = "Mg" | "magnesium",
        /// Sulfur.
        S = "S" | "sulfur" | "sulphur",
        /// Boron.
        B = "B" | "boron",
        /// Zinc.
        Zn = "Zn" | "zinc",
        /// Manganese.
        Mn = "Mn" | "manganese",
        /// Copper.
        Cu = "Cu" | "copper",
        /// Iron.
        Fe = "Fe" | "iron",
        /// Sodium: no nutrient, but a base.
        Na = "Na" | "sodium",
        /// Aluminum: no nutrient, but acid.
        Al = "Al" | "aluminum" | "aluminium",
    }
}

words! {
    /// The form a weight is written in.
    pub enum Form: "form" {
        /// The element: P, K.
        Element = "element" | "elemental",
        /// The oxide of fertilizer labels: P2O5, K2O, CaO, MgO.
        Oxide = "oxide",
    }
}

words! {
    /// What a lab shakes the soil with. The number depends on it: one soil read 6, 7, 57 and 70 lb P/acre by four of them.
    pub enum Extractant: "extractant" {
        /// Mehlich-1, the double acid of the Southeast.
        Mehlich1 = "Mehlich-1" | "Mehlich I" | "M1" | "double acid",
        /// Mehlich-3.
        Mehlich3 = "Mehlich-3" | "Mehlich III" | "M3",
        /// Bray and Kurtz P1, the weak one.
        BrayP1 = "Bray P1" | "Bray-1" | "Bray 1 P" | "Bray-Kurtz P1" | "weak Bray",
        /// Bray and Kurtz P2, the strong one.
        BrayP2 = "Bray P2" | "Bray-2" | "strong Bray",
        /// Olsen's bicarbonate.
        Olsen = "Olsen" | "Olsen P" | "sodium bicarbonate",
        /// Morgan.
        Morgan = "Morgan",
        /// Modified Morgan.
        ModifiedMorgan = "modified Morgan" | "mod Morgan",
        /// Neutral ammonium acetate, for bases.
        AmmoniumAcetate = "ammonium acetate" | "NH4OAc" | "NH4OAc pH 7" | "neutral ammonium acetate",
        /// Ammonium bicarbonate with DTPA.
        AbDtpa = "AB-DTPA",
        /// DTPA, for trace metals.
        Dtpa = "DTPA",
        /// Acetic acid.
        AceticAcid = "acetic acid",
        /// Hot water, for boron.
        HotWater = "hot water",
        /// Potassium chloride, for exchangeable aluminum and mineral nitrogen.
        PotassiumChloride = "potassium chloride" | "KCl" | "1 M KCl",
        /// Saturated paste.
        SaturatedPaste = "saturated paste",
        /// Digested for the total.
        Total = "total",
    }
}

/// Weight of the oxide for a unit weight of the element; `None` where the trade writes no oxide.
pub(super) fn oxide_per_element(nutrient: Nutrient) -> Option<f64> {
    match nutrient {
        Nutrient::P => Some(units::P2O5_PER_P),
        Nutrient::K => Some(units::K2O_PER_K),
        Nutrient::Ca => Some(units::CAO_PER_CA),
        Nutrient::Mg => Some(units::MGO_PER_MG),
        Nutrient::S => Some(units::SO3_PER_S),
        Nutrient::B => Some(units::B2O3_PER_B),
        _ => None,
    }
}

/// Weight of the element in `amount` of `form`, in the unit of `amount`.
///
/// P = P2O5 / 2.2914, K = K2O / 1.2046, Ca = CaO / 1.3992, Mg = MgO / 1.6583, S = SO3 / 2.4971.
///
/// # Errors
/// An oxide of an element that the trade does not write as one.
///
/// # Source
/// IUPAC (2021) atomic weights. A circulating handout prints K2O = K x 1.12; the right factor is 1.2046.
///
/// ```
/// use dibble::fertility::{Form, Nutrient, to_element};
/// let k = to_element(Nutrient::K, Form::Oxide, 100.0)?;
/// assert_eq!(format!("{k:.2}"), "83.01");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn to_element(nutrient: Nutrient, form: Form, amount: f64) -> Result<f64> {
    match form {
        Form::Element => Ok(amount),
        Form::Oxide => oxide_per_element(nutrient)
            .map(|factor| amount / factor)
            .ok_or_else(|| Error::inconsistent(format!("{nutrient} is not written as an oxide"), "Give it as the element.")),
    }
}

/// Names of oxides; of two the formula first.
const OXIDES: [(&str, Nutrient); 8] = [
    ("P2O5", Nutrient::P),
    ("phosphate", Nutrient::P),
    ("K2O", Nutrient::K),
    ("potash", Nutrient::K),
    ("CaO", Nutrient::Ca),
    ("MgO", Nutrient::Mg),
    ("SO3", Nutrient::S),
    ("B2O3", Nutrient::B),
];

/// Formula of the oxide that the trade writes for a nutrient, if it writes one.
pub(super) fn oxide_name(nutrient: Nutrient) -> Option<&'static str> {
    OXIDES.iter().find(|(_, n)| *n == nutrient).map(|(name, _)| *name)
}

/// Nutrient and form that a column heading or label names: "P2O5", "K (element)", "MgO", "Mg". A bare "P" or "K" says
/// nothing about the form: `None`.
///
/// # Errors
/// A name that is neither.
///
/// ```
/// use dibble::fertility::{Form, Nutrient, named_form};
/// assert_eq!(named_form("P2O5")?, (Nutrient::P, Some(Form::Oxide)));
/// assert_eq!(named_form("P")?, (Nutrient::P, None));
/// assert_eq!(named_form("P (element)")?, (Nutrient::P, Some(Form::Element)));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn named_form(text: &str) -> Result<(Nutrient, Option<Form>)> {
    if let Some((nutrient, form)) = text.trim().strip_suffix(')').and_then(|t| t.split_once('(')) {
        return Ok((nutrient.trim().parse()?, Some(form.parse()?)));
    }
    match OXIDES.iter().find(|(name, _)| same(name, text)) {
        Some((_, nutrient)) => Ok((*nutrient, Some(Form::Oxide))),
        None => text.parse().map(|nutrient| (nutrient, None)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn extractants_are_read_as_labs_write_them_and_the_nearest_is_offered() {
        for (text, extractant) in [
            ("mehlich 3", Extractant::Mehlich3),
            ("M3", Extractant::Mehlich3),
            ("bray-1", Extractant::BrayP1),
            ("nh4oac", Extractant::AmmoniumAcetate),
        ] {
            assert_eq!(text.parse::<Extractant>().unwrap(), extractant);
        }
        let error = "Melich-3".parse::<Extractant>().unwrap_err().to_string();
        assert!(error.starts_with("extractant \"Melich-3\" is not known. Did you mean \"Mehlich-3\", "), "{error}");
    }

    #[test]
    fn an_oxide_that_nobody_writes_is_refused() {
        assert_eq!(
            to_element(Nutrient::Zn, Form::Oxide, 1.0).unwrap_err().to_string(),
            "Zn is not written as an oxide. Give it as the element."
        );
    }
}
