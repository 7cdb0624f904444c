//! Trade materials: what a bag holds, how heavy, salty and acid it is, and the arithmetic of one product.
//!
//! The shipped list is `src/data/products.toml`, by generic names and with its sources. Prices, bags and stock are
//! the user's.

mod guarantee;
mod read;

pub use guarantee::Guarantee;

use crate::bounds::{self, Bound};
use crate::error::{Error, Result};
use crate::units;
use crate::words::same;
use serde::{Deserialize, Serialize};
use std::sync::OnceLock;

/// A material that can be bought or lies in the shed.
///
/// ```
/// use dibble::fertility::{Guarantee, Product};
/// let urea = Product { price_per_kg: Some(0.66), bag_kg: Some(22.68), ..Product::find("urea")? };
/// // 27.2 kg of N (60 lb) take 59.1 kg of urea.
/// assert!((urea.kg_to_supply(Guarantee::N, 27.2)? - 59.13).abs() < 0.005);
/// # Ok::<(), dibble::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Product {
    /// What it is called.
    pub name: String,
    /// Other names that it is found by.
    pub also: Vec<String>,
    /// Nitrogen, % by weight.
    pub n_pct: f64,
    /// Phosphate as P2O5, %.
    pub p2o5_pct: f64,
    /// Potash as K2O, %.
    pub k2o_pct: f64,
    /// Calcium, %.
    pub ca_pct: f64,
    /// Magnesium, %.
    pub mg_pct: f64,
    /// Sulfur, %.
    pub s_pct: f64,
    /// Boron, %.
    pub b_pct: f64,
    /// Copper, %.
    pub cu_pct: f64,
    /// Iron, %.
    pub fe_pct: f64,
    /// Manganese, %.
    pub mn_pct: f64,
    /// Zinc, %.
    pub zn_pct: f64,
    /// Chloride as Cl, %.
    pub cl_pct: f64,
    /// Calcium carbonate equivalent, %; 0 for what is no lime.
    pub neutralizing_pct: f64,
    /// Calcium carbonate that a kg of the product uses up, kg/kg.
    pub acidity_kg_kg: Option<f64>,
    /// Salt index, sodium nitrate = 100.
    pub salt_index: Option<f64>,
    /// Low end of the loose bulk density, kg/m3.
    pub density_low_kg_m3: Option<f64>,
    /// High end of the loose bulk density, kg/m3.
    pub density_high_kg_m3: Option<f64>,
    /// Price of a kilogram. Without a price it cannot be bought, only used from stock.
    pub price_per_kg: Option<f64>,
    /// Price of a bag, instead of `price_per_kg`; needs `bag_kg`.
    pub price_per_bag: Option<f64>,
    /// Weight of a bag, kg.
    pub bag_kg: Option<f64>,
    /// What lies in the shed already, kg; it is paid for.
    pub on_hand_kg: f64,
    /// No more than this is to be used, kg.
    pub max_kg: Option<f64>,
    /// Where the figures come from.
    pub source: String,
}

impl Product {
    /// The shipped materials: generic, without price.
    ///
    /// # Errors
    /// Only if the shipped list is damaged.
    pub fn shipped() -> Result<&'static [Product]> {
        static LIST: OnceLock<std::result::Result<Vec<Product>, String>> = OnceLock::new();
        LIST.get_or_init(|| Self::parse_list(include_str!("../../data/products.toml"), "products.toml").map_err(|e| e.to_string()))
            .as_deref()
            .map_err(|why| Error::internal("the shipped products", why.as_str()))
    }

    /// A shipped material by its name or one of its trade names ("MAP", "muriate of potash"), in any case.
    ///
    /// # Errors
    /// A name that is not in the list; the nearest are offered.
    pub fn find(name: &str) -> Result<Product> {
        let list = Self::shipped()?;
        let spellings = |p: &'static Product| std::iter::once(p.name.as_str()).chain(p.also.iter().map(String::as_str));
        let found = list.iter().find(|p| spellings(p).any(|s| same(s, name)));
        found.cloned().ok_or_else(|| {
            let typed: Vec<&str> = list.iter().flat_map(spellings).collect();
            let names: Vec<&str> = list.iter().map(|p| p.name.as_str()).collect();
            Error::unknown_spelling("product", name, &typed, &names)
        })
    }

    /// Products from TOML, `[[product]]` after `[[product]]` with the names of this struct's fields as keys.
    ///
    /// Weights may be written with a unit under the key without its ending (`bag = "50 lb"`, `on_hand`, `max`);
    /// `like = "urea"` starts from a shipped material. `name` is what messages call the text.
    ///
    /// # Errors
    /// All problems of the text at once, each with its line.
    pub fn parse_list(text: &str, name: &str) -> Result<Vec<Product>> {
        read::list(text, name)
    }

    /// Content of a nutrient, % by weight.
    pub fn content_pct(&self, nutrient: Guarantee) -> f64 {
        match nutrient {
            Guarantee::N => self.n_pct,
            Guarantee::P2o5 => self.p2o5_pct,
            Guarantee::K2o => self.k2o_pct,
            Guarantee::Ca => self.ca_pct,
            Guarantee::Mg => self.mg_pct,
            Guarantee::S => self.s_pct,
            Guarantee::B => self.b_pct,
            Guarantee::Cu => self.cu_pct,
            Guarantee::Fe => self.fe_pct,
            Guarantee::Mn => self.mn_pct,
            Guarantee::Zn => self.zn_pct,
            Guarantee::Cl => self.cl_pct,
        }
    }

    /// The grade as labels print it: "18-46-0".
    pub fn grade(&self) -> String {
        format!("{}-{}-{}", self.n_pct, self.p2o5_pct, self.k2o_pct)
    }

    /// Price of a kilogram, however it was given; `None` if the product has no price.
    pub fn price(&self) -> Option<f64> {
        self.price_per_kg.or_else(|| Some(self.price_per_bag? / self.bag_kg?))
    }

    /// Middle of the density range, kg/m3, where there is one.
    pub fn density_kg_m3(&self) -> Option<f64> {
        match (self.density_low_kg_m3, self.density_high_kg_m3) {
            (Some(low), Some(high)) => Some((low + high) / 2.0),
            (one, other) => one.or(other),
        }
    }

    /// Salt index for each percent of N, P2O5 and K2O together: ranks products, and sets no safe dose. `None` without
    /// a salt index or without any of the three.
    ///
    /// ```
    /// use dibble::fertility::Product;
    /// let per_unit = Product::find("urea")?.salt_per_unit().unwrap();
    /// assert_eq!(format!("{per_unit:.2}"), "1.62");
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn salt_per_unit(&self) -> Option<f64> {
        let units = self.n_pct + self.p2o5_pct + self.k2o_pct;
        self.salt_index.filter(|_| units > 0.0).map(|salt| salt / units)
    }

    /// Product that supplies `kg` of a nutrient, kg.
    ///
    /// # Errors
    /// A weight out of range, or a product without that nutrient.
    pub fn kg_to_supply(&self, nutrient: Guarantee, kg: f64) -> Result<f64> {
        bounds::MASS_KG.check(kg)?;
        Ok(kg / self.fraction_of(nutrient)?)
    }

    /// Price of a kilogram of one nutrient after what the others in the bag are worth has been taken off: each of
    /// `worth` is a nutrient and its value per kg. Negative where the others are worth more than the bag.
    ///
    /// # Errors
    /// No price, no such nutrient in the product, or a worth out of range.
    ///
    /// # Source
    /// The residual-value method of extension bulletins (NMSU A-133): value N first, the rest is the phosphate's.
    ///
    /// ```
    /// use dibble::fertility::{Guarantee, Product};
    /// // DAP at $600 a ton, N at $0.50/lb: the phosphate costs $0.457/lb. (2.2046 lb in a kg)
    /// let dap = Product { price_per_kg: Some(600.0 / 2000.0 * 2.20462), ..Product::find("DAP")? };
    /// let p2o5 = dap.price_per_kg_of(Guarantee::P2o5, &[(Guarantee::N, 0.50 * 2.20462)])?;
    /// assert!((p2o5 / 2.20462 - 0.4565).abs() < 1e-4);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn price_per_kg_of(&self, nutrient: Guarantee, worth: &[(Guarantee, f64)]) -> Result<f64> {
        let price = self.price().ok_or_else(|| Error::missing(format!("the price of \"{}\"", self.name), PRICE_HINT))?;
        let mut rest = price;
        for &(other, value) in worth.iter().filter(|(other, _)| *other != nutrient) {
            rest -= bounds::PRICE.named("worth").check(value)? * self.content_pct(other) / 100.0;
        }
        Ok(rest / self.fraction_of(nutrient)?)
    }

    fn fraction_of(&self, nutrient: Guarantee) -> Result<f64> {
        match bounds::CONTENT_PCT.check(self.content_pct(nutrient))? {
            0.0 => {
                let what = format!("\"{}\" ({}) holds no {nutrient}", self.name, self.grade());
                Err(Error::inconsistent(what, "Choose a product that does."))
            }
            pct => Ok(pct / 100.0),
        }
    }

    /// Every value in its range, and all of them together a product that can exist.
    ///
    /// # Errors
    /// All problems at once, each with the product's name.
    pub fn check(&self) -> Result<()> {
        let mut problems = Vec::new();
        let mut look = |bound: Bound, name: &'static str, value: f64| problems.extend(bound.named(name).check(value).err());
        for (name, pct) in self.contents() {
            look(bounds::CONTENT_PCT, name, pct);
        }
        look(bounds::NEUTRALIZING_PCT, "neutralizing_pct", self.neutralizing_pct);
        look(bounds::MASS_KG, "on_hand_kg", self.on_hand_kg);
        let optional = [
            (bounds::ACIDITY_KG_KG, "acidity_kg_kg", self.acidity_kg_kg),
            (bounds::SALT_INDEX, "salt_index", self.salt_index),
            (bounds::PRODUCT_DENSITY_KG_M3, "density_low_kg_m3", self.density_low_kg_m3),
            (bounds::PRODUCT_DENSITY_KG_M3, "density_high_kg_m3", self.density_high_kg_m3),
            (bounds::PRICE, "price_per_kg", self.price_per_kg),
            (bounds::PRICE, "price_per_bag", self.price_per_bag),
            (bounds::BAG_KG, "bag_kg", self.bag_kg),
            (bounds::MASS_KG, "max_kg", self.max_kg),
        ];
        for (bound, name, value) in optional.into_iter().filter_map(|(b, n, v)| Some((b, n, v?))) {
            look(bound, name, value);
        }
        if problems.is_empty() {
            self.check_together(&mut problems);
        }
        let name = if self.name.trim().is_empty() { "product without a name".into() } else { format!("product \"{}\"", self.name) };
        Error::several(problems.into_iter().map(|p| p.at(name.as_str())).collect()).map_or(Ok(()), Err)
    }

    fn check_together(&self, problems: &mut Vec<Error>) {
        if self.name.trim().is_empty() {
            problems.push(Error::missing("name", "Say what the product is called."));
        }
        let traces = self.contents().into_iter().filter(|(_, pct)| *pct > 0.0 && *pct < LEAST_CONTENT_PCT);
        problems.extend(traces.map(|(name, pct)| {
            Error::inconsistent(
                format!("{name} {pct} is less than {LEAST_CONTENT_PCT} %, which no label states"),
                "Give 0 or what the label has.",
            )
        }));
        let grade = self.n_pct + self.p2o5_pct + self.k2o_pct;
        let elements: f64 = self.contents().iter().map(|(_, pct)| pct).sum::<f64>()
            - self.p2o5_pct * (1.0 - 1.0 / units::P2O5_PER_P)
            - self.k2o_pct * (1.0 - 1.0 / units::K2O_PER_K);
        // Printed grades are rounded, so a pure salt may add up to a little more.
        if grade > 100.0 || elements > 101.0 {
            let what = format!("the grade {} adds to {grade:.4} % and all elements to {elements:.4} %", self.grade());
            problems.push(Error::inconsistent(what, "No product holds more than 100 %; give percent by weight."));
        }
        if let (Some(low), Some(high)) = (self.density_low_kg_m3, self.density_high_kg_m3)
            && low > high
        {
            problems.push(Error::inconsistent(format!("density_low_kg_m3 {low} is above density_high_kg_m3 {high}"), "Swap them."));
        }
        match (self.price_per_kg, self.price_per_bag, self.bag_kg) {
            (Some(_), Some(_), _) => {
                problems.push(Error::inconsistent("price_per_kg and price_per_bag are both given", "Give one of them."));
            }
            (None, Some(_), None) => problems.push(Error::missing("bag_kg", "A price for a bag needs the weight of the bag.")),
            _ => {}
        }
    }

    fn contents(&self) -> [(&'static str, f64); 12] {
        [
            ("n_pct", self.n_pct),
            ("p2o5_pct", self.p2o5_pct),
            ("k2o_pct", self.k2o_pct),
            ("ca_pct", self.ca_pct),
            ("mg_pct", self.mg_pct),
            ("s_pct", self.s_pct),
            ("b_pct", self.b_pct),
            ("cu_pct", self.cu_pct),
            ("fe_pct", self.fe_pct),
            ("mn_pct", self.mn_pct),
            ("zn_pct", self.zn_pct),
            ("cl_pct", self.cl_pct),
        ]
    }
}

/// Ten parts in a billion: less is a slip, and no program can be solved with it.
const LEAST_CONTENT_PCT: f64 = 1e-6;

/// What to do about a product without a price.
pub(super) const PRICE_HINT: &str = "Give price_per_kg, or price_per_bag with bag_kg.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shipped_products_pass_their_own_checks_and_are_found_by_trade_names() {
        let list = Product::shipped().unwrap();
        assert!(list.len() >= 14);
        for product in list {
            product.check().unwrap();
            assert!(!product.source.is_empty() && product.price().is_none(), "{}", product.name);
        }
        assert_eq!(Product::find("map").unwrap().grade(), "11-52-0");
        assert_eq!(Product::find("Muriate of Potash").unwrap().k2o_pct, 60.0);
        assert!(Product::find("uera").unwrap_err().to_string().starts_with("product \"uera\" is not known. Did you mean \"urea\"?"));
    }

    #[test]
    fn pure_minerals_agree_with_their_formula_weights() {
        use crate::units::{CACO3_PER_CA, MGCO3_PER_MG, SO4_PER_S};
        const MG: f64 = 24.305;
        const CA: f64 = 40.078;
        const S: f64 = 32.06;
        const WATER: f64 = 2.0 * 1.008 + 15.9994;
        let near = |value: f64, exact: f64, name: &str| assert!((value - exact).abs() <= 0.05 + 1e-9, "{name}: {value} for {exact}");
        let find = |name: &str| Product::find(name).unwrap();
        let sulfate = S * SO4_PER_S;
        for (name, metal, water) in [("magnesium sulfate", MG, 7.0), ("kieserite", MG, 1.0), ("gypsum", CA, 2.0)] {
            let (p, weight) = (find(name), metal + sulfate + water * WATER);
            near(p.s_pct, 100.0 * S / weight, name);
            near(p.mg_pct + p.ca_pct, 100.0 * metal / weight, name);
        }
        let dolomite = CA * CACO3_PER_CA + MG * MGCO3_PER_MG;
        let p = find("dolomite");
        near(p.ca_pct, 100.0 * CA / dolomite, "dolomite Ca");
        near(p.mg_pct, 100.0 * MG / dolomite, "dolomite Mg");
        // Handbooks print 108.5 with rounded weights; ours give 108.55.
        assert!((p.neutralizing_pct - 100.0 * 2.0 * CA * CACO3_PER_CA / dolomite).abs() < 0.06);
        near(find("aglime").ca_pct, 100.0 / CACO3_PER_CA, "calcite Ca");
        near(find("SOP").s_pct, 50.0 / crate::units::K2O_PER_K / 39.0983 / 2.0 * S, "potassium sulfate S");
        near(find("KCl").cl_pct, 60.0 / crate::units::K2O_PER_K / 39.0983 * 35.45, "potassium chloride Cl");
    }

    #[test]
    fn acidity_follows_the_ion_balance_that_gives_the_published_two() {
        // Each N that nitrifies frees protons; uptake of nitrate takes back half of one (the convention behind the
        // published 1.8 and 5.4 lb CaCO3 per lb N, Cornell NRCCA PO 37). Half a mole of CaCO3 for each proton.
        let per_proton = 0.5 * 40.078 * crate::units::CACO3_PER_CA / 14.007;
        for (name, protons) in [("urea", 1.0), ("ammonium nitrate", 1.0), ("ammonium sulfate", 2.0), ("MAP", 2.0), ("DAP", 1.5)] {
            let product = Product::find(name).unwrap();
            let per_n = product.acidity_kg_kg.unwrap() / (product.n_pct / 100.0);
            assert!((per_n - per_proton * (protons - 0.5)).abs() < 0.05, "{name}: {per_n}");
        }
    }

    #[test]
    fn what_a_product_lacks_is_said() {
        let urea = Product::find("urea").unwrap();
        assert_eq!(
            urea.kg_to_supply(Guarantee::K2o, 5.0).unwrap_err().to_string(),
            "\"urea\" (46-0-0) holds no K2O. Choose a product that does."
        );
        assert_eq!(
            urea.price_per_kg_of(Guarantee::N, &[]).unwrap_err().to_string(),
            "the price of \"urea\" is missing. Give price_per_kg, or price_per_bag with bag_kg."
        );
        assert_eq!(
            urea.kg_to_supply(Guarantee::N, f64::NAN).unwrap_err().to_string(),
            "kg is NaN kg: weight must be from 0 to 1000000000 kg. Give kilograms; 1 lb is 0.4536 kg."
        );
    }
}
