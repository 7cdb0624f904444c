//! `Product`.

use crate::error;
use crate::gate::{compute, number, quantity, quantity_or_none};
use crate::record::{self, class};
use dibble::Error;
use dibble::fertility::{Guarantee, Product};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde_json::json;
use std::path::PathBuf;

type Any<'py> = Bound<'py, PyAny>;

class! {
    /// A material that can be bought or lies in the shed.
    ///
    /// Parameters
    /// ----------
    /// name : str, optional
    ///     What it is called; that of `like` if not given.
    /// like : str, optional
    ///     Start from a shipped material, by its name or a trade name: "urea", "DAP", "muriate of potash".
    /// n_pct, p2o5_pct, k2o_pct, ca_pct, mg_pct, s_pct, b_pct, cu_pct, fe_pct, mn_pct, zn_pct, cl_pct : float, optional
    ///     Content in percent by weight, phosphate and potash as oxides.
    /// neutralizing_pct : float, optional
    ///     Calcium carbonate equivalent, for limes.
    /// acidity_kg_kg : float, optional
    ///     Calcium carbonate that a kg of the product uses up, kg.
    /// salt_index : float, optional
    ///     Salt index, sodium nitrate = 100.
    /// density_low_kg_m3, density_high_kg_m3 : float, optional
    ///     Range of the loose bulk density, kg/m3.
    /// price_per_kg, price_per_bag : float, optional
    ///     One of them; without a price it cannot be bought, only used from stock.
    /// bag_kg, on_hand_kg, max_kg : float or str, optional
    ///     Weight of a bag, what lies in the shed (it is paid for), and the most to be used, kg, or text, "50 lb".
    /// source : str, optional
    ///     Where the figures come from.
    ///
    /// Raises
    /// ------
    /// OutOfRangeError, InconsistentError, MissingError, UnknownNameError, SeveralError
    ///     A value out of range, a grade over 100 %, two prices, a material that is not known.
    ///
    /// Examples
    /// --------
    /// 60 lb of N take 130 lb of urea:
    ///
    /// >>> from dibble.fertility import Product
    /// >>> urea = Product(like="urea", price_per_bag=24.0, bag_kg="50 lb")
    /// >>> urea.name, urea.grade
    /// ('urea', '46-0-0')
    /// >>> round(urea.kg_to_supply("N", "60 lb") / 0.45359237, 1)
    /// 130.4
    PyProduct(Product) = "dibble.fertility", "Product", check Product::check;
    {
        /// What it is called.
        name,
        /// Other names that it is found by.
        also,
        /// Nitrogen, %.
        n_pct,
        /// Phosphate as P2O5, %.
        p2o5_pct,
        /// Potash as K2O, %.
        k2o_pct,
        /// Calcium, %.
        ca_pct,
        /// Magnesium, %.
        mg_pct,
        /// Sulfur, %.
        s_pct,
        /// Calcium carbonate equivalent, %.
        neutralizing_pct,
        /// Calcium carbonate that a kg of it uses up, kg.
        acidity_kg_kg,
        /// Salt index, sodium nitrate = 100.
        salt_index,
        /// Weight of a bag, kg.
        bag_kg,
        /// What lies in the shed, kg.
        on_hand_kg,
        /// The most to be used, kg.
        max_kg,
        /// Where the figures come from.
        source,
    }
    {
        #[new]
        #[pyo3(signature = (*, name = None, like = None, **figures))]
        fn new(py: Python<'_>, name: Option<String>, like: Option<&str>, figures: Option<&Bound<'_, PyDict>>) -> PyResult<Self> {
            let base = compute(py, "Product", || like.map_or(Ok(Product::default()), Product::find))?;
            let mut product = Product { also: Vec::new(), ..base };
            if let Some(name) = name {
                product.name = name;
            }
            for (key, value) in figures.into_iter().flat_map(|f| f.iter()) {
                set(&mut product, &key.extract::<String>()?, &value)?;
            }
            Self::looked_over(py, product)
        }

        /// The shipped material of this name or trade name, without price.
        #[staticmethod]
        fn find(py: Python<'_>, name: &str) -> PyResult<Self> {
            compute(py, "Product.find", || Product::find(name)).map(Self)
        }
        /// The same product with some figures changed: `urea.with_(price_per_kg=0.7)`.
        #[pyo3(signature = (**figures))]
        fn with_(&self, py: Python<'_>, figures: Option<&Bound<'_, PyDict>>) -> PyResult<Self> {
            let mut product = self.0.clone();
            for (key, value) in figures.into_iter().flat_map(|f| f.iter()) {
                set(&mut product, &key.extract::<String>()?, &value)?;
            }
            Self::looked_over(py, product)
        }

        /// The grade as labels print it, "18-46-0".
        #[getter]
        fn grade(&self) -> String {
            self.0.grade()
        }
        /// Price of a kilogram, however it was given.
        #[getter]
        fn price(&self) -> Option<f64> {
            self.0.price()
        }
        /// Middle of the density range, kg/m3.
        #[getter]
        fn density_kg_m3(&self) -> Option<f64> {
            self.0.density_kg_m3()
        }
        /// Salt index for each percent of N, P2O5 and K2O together.
        #[getter]
        fn salt_per_unit(&self) -> Option<f64> {
            self.0.salt_per_unit()
        }
        /// Content of a nutrient as labels name it ("N", "P2O5", "K2O", "Mg"), % by weight.
        fn content_pct(&self, py: Python<'_>, nutrient: &str) -> PyResult<f64> {
            compute(py, "Product.content_pct", || Ok(self.0.content_pct(nutrient.parse()?)))
        }
        /// Product that supplies `kg` of a nutrient, kg; text with a unit is taken too.
        fn kg_to_supply(&self, nutrient: &str, kg: &Any<'_>) -> PyResult<f64> {
            let amount = quantity("kg", "kg", kg)?;
            compute(kg.py(), "Product.kg_to_supply", || self.0.kg_to_supply(nutrient.parse()?, amount))
        }
        /// Price of a kilogram of one nutrient after what the others are `worth` (price per kg by name) is taken off.
        #[pyo3(signature = (nutrient, *, worth = None))]
        fn price_per_kg_of(&self, py: Python<'_>, nutrient: &str, worth: Option<&Bound<'_, PyDict>>) -> PyResult<f64> {
            let mut others: Vec<(Guarantee, f64)> = Vec::new();
            for (key, value) in worth.into_iter().flat_map(|w| w.iter()) {
                others.push((crate::gate::choice(py, &key.extract::<String>()?)?, number("worth", &value)?));
            }
            compute(py, "Product.price_per_kg_of", || self.0.price_per_kg_of(nutrient.parse()?, &others))
        }

        fn __repr__(&self) -> String {
            let mut record = json!(self.0);
            if let Some(entries) = record.as_object_mut() {
                entries.retain(|key, value| !(value.as_f64() == Some(0.0) || key == "also" || value.as_str() == Some("")));
            }
            format!("Product({})", record::arguments(&record))
        }
        fn __str__(&self, py: Python<'_>) -> PyResult<String> {
            record::laid_out(py, "outline", "Product", &self.0)
        }
        fn _repr_html_(&self, py: Python<'_>) -> PyResult<String> {
            record::laid_out(py, "html", "Product", &self.0)
        }
    }
}

/// Sets one figure of a product by its name.
fn set(product: &mut Product, key: &str, value: &Any<'_>) -> PyResult<()> {
    const NAMES: [&str; 23] = [
        "n_pct",
        "p2o5_pct",
        "k2o_pct",
        "ca_pct",
        "mg_pct",
        "s_pct",
        "b_pct",
        "cu_pct",
        "fe_pct",
        "mn_pct",
        "zn_pct",
        "cl_pct",
        "neutralizing_pct",
        "acidity_kg_kg",
        "salt_index",
        "density_low_kg_m3",
        "density_high_kg_m3",
        "price_per_kg",
        "price_per_bag",
        "bag_kg",
        "on_hand_kg",
        "max_kg",
        "source",
    ];
    let Some(name) = NAMES.into_iter().find(|name| *name == key) else {
        return Err(error::raise(value.py(), &Error::unknown("figure of a product", key, &NAMES)));
    };
    let figure = || number(name, value);
    let given = || if value.is_none() { Ok(None) } else { number(name, value).map(Some) };
    let weight = || if value.is_none() { Ok(None) } else { quantity_or_none(name, "kg", Some(value)) };
    match name {
        "n_pct" => product.n_pct = figure()?,
        "p2o5_pct" => product.p2o5_pct = figure()?,
        "k2o_pct" => product.k2o_pct = figure()?,
        "ca_pct" => product.ca_pct = figure()?,
        "mg_pct" => product.mg_pct = figure()?,
        "s_pct" => product.s_pct = figure()?,
        "b_pct" => product.b_pct = figure()?,
        "cu_pct" => product.cu_pct = figure()?,
        "fe_pct" => product.fe_pct = figure()?,
        "mn_pct" => product.mn_pct = figure()?,
        "zn_pct" => product.zn_pct = figure()?,
        "cl_pct" => product.cl_pct = figure()?,
        "neutralizing_pct" => product.neutralizing_pct = figure()?,
        "acidity_kg_kg" => product.acidity_kg_kg = given()?,
        "salt_index" => product.salt_index = given()?,
        "density_low_kg_m3" => product.density_low_kg_m3 = given()?,
        "density_high_kg_m3" => product.density_high_kg_m3 = given()?,
        "price_per_kg" => product.price_per_kg = given()?,
        "price_per_bag" => product.price_per_bag = given()?,
        "bag_kg" => product.bag_kg = weight()?,
        "on_hand_kg" => product.on_hand_kg = weight()?.unwrap_or(0.0),
        "max_kg" => product.max_kg = weight()?,
        _ => product.source = value.extract()?,
    }
    Ok(())
}

/// The products of a list, for other files of the area.
pub fn of(py: Python<'_>, list: &[Any<'_>]) -> PyResult<Vec<Product>> {
    let one = |given: &Any<'_>| {
        given.cast::<PyProduct>().map(|p| p.get().0.clone()).map_err(|_| {
            let class = given.get_type().name().map_or("something else".into(), |n| n.to_string());
            let message = format!("products holds a {class}: Product is needed. Make one: Product(like=\"urea\", price_per_kg=0.7).");
            error::wrong_kind(py, "products", &message)
        })
    };
    list.iter().map(one).collect()
}

/// The shipped materials.
#[pyfunction]
fn shipped_products(py: Python<'_>) -> PyResult<Vec<PyProduct>> {
    compute(py, "products", || Ok(Product::shipped()?.iter().cloned().map(PyProduct).collect()))
}

/// Products from a TOML file.
#[pyfunction]
fn read_products(py: Python<'_>, path: PathBuf) -> PyResult<Vec<PyProduct>> {
    let name = path.display().to_string();
    let list = compute(py, "read_products", || {
        let hint = "Give the path of a TOML file of products.";
        let text = std::fs::read_to_string(&path).map_err(|e| Error::file("cannot read", &name, e.to_string(), hint))?;
        Product::parse_list(&text, &name)
    })?;
    Ok(list.into_iter().map(PyProduct).collect())
}

/// Adds class and functions to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyProduct>()?;
    module.add_function(wrap_pyfunction!(shipped_products, module)?)?;
    module.add_function(wrap_pyfunction!(read_products, module)?)
}
