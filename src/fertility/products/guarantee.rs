//! Nutrients as labels state them, and as soil tests name them.

use crate::fertility::nutrient::{Form, Nutrient};
use crate::units;
use crate::words::words;

words! {
    /// A nutrient as a bag's guaranteed analysis states it: phosphate and potash as oxides, the rest as elements.
    pub enum Guarantee: "nutrient on a label" {
        /// Nitrogen.
        N = "N",
        /// Phosphate, the oxide.
        P2o5 = "P2O5",
        /// Potash, the oxide.
        K2o = "K2O",
        /// Calcium.
        Ca = "Ca",
        /// Magnesium.
        Mg = "Mg",
        /// Sulfur.
        S = "S",
        /// Boron.
        B = "B",
        /// Copper.
        Cu = "Cu",
        /// Iron.
        Fe = "Fe",
        /// Manganese.
        Mn = "Mn",
        /// Zinc.
        Zn = "Zn",
        /// Chlorine, as chloride.
        Cl = "Cl",
    }
}

impl Guarantee {
    /// The element and the form that its weight is written in; `None` for chloride, which is no nutrient of a test.
    pub fn nutrient(self) -> Option<(Nutrient, Form)> {
        let element = match self {
            Guarantee::P2o5 => return Some((Nutrient::P, Form::Oxide)),
            Guarantee::K2o => return Some((Nutrient::K, Form::Oxide)),
            Guarantee::N => Nutrient::N,
            Guarantee::Ca => Nutrient::Ca,
            Guarantee::Mg => Nutrient::Mg,
            Guarantee::S => Nutrient::S,
            Guarantee::B => Nutrient::B,
            Guarantee::Cu => Nutrient::Cu,
            Guarantee::Fe => Nutrient::Fe,
            Guarantee::Mn => Nutrient::Mn,
            Guarantee::Zn => Nutrient::Zn,
            Guarantee::Cl => return None,
        };
        Some((element, Form::Element))
    }

    /// As one says it: "K2O (potash)".
    pub(in crate::fertility) fn in_words(self) -> String {
        match self {
            Guarantee::P2o5 => format!("{self} (phosphate)"),
            Guarantee::K2o => format!("{self} (potash)"),
            _ => self.to_string(),
        }
    }

    /// The weight of an element, in any unit, as a label states it: phosphorus and potassium turned into their oxides.
    /// `None` for what labels do not state (sodium, aluminum).
    ///
    /// ```
    /// use dibble::fertility::{Guarantee, Nutrient};
    /// let (label, kg) = Guarantee::of_element(Nutrient::K, 50.0).unwrap();
    /// assert_eq!((label, format!("{kg:.2}")), (Guarantee::K2o, "60.23".into()));
    /// ```
    pub fn of_element(nutrient: Nutrient, weight: f64) -> Option<(Guarantee, f64)> {
        let label = Guarantee::ALL.iter().copied().find(|g| g.nutrient().is_some_and(|(n, _)| n == nutrient))?;
        let factor = match label {
            Guarantee::P2o5 => units::P2O5_PER_P,
            Guarantee::K2o => units::K2O_PER_K,
            _ => 1.0,
        };
        Some((label, weight * factor))
    }
}
