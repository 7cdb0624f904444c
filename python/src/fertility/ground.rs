//! `Ground` and `Rates`: for the field, for treated ground, for a tree.

use crate::gate::{choice, compute, number_or_none, quantity, quantity_or_none};
use crate::record::{answer, class};
use crate::{error, record};
use dibble::Error;
use dibble::fertility::{Ground, NITROGEN_CAP_KG_HA, Placement, Rates, nitrogen_warnings};
use dibble::units::System;
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

answer! {
    /// One amount three ways: for a hectare of field, for a hectare of treated ground, for a tree.
    PyRates(Rates) = "dibble.fertility", "Rates";
    {
        /// For a hectare of field, kg/ha.
        field_kg_ha,
        /// For a hectare of treated ground, kg/ha.
        treated_kg_ha,
        /// For a tree, g.
        g_per_tree,
    }
    {
        /// All three in a sentence, in "us" or "si" units.
        #[pyo3(signature = (*, units = "us"))]
        fn words(&self, py: Python<'_>, units: &str) -> PyResult<String> {
            Ok(self.0.words(choice(py, units)?))
        }
    }
}

class! {
    /// Trees on a field and where their fertilizer lands: on all of it, on a band along the rows, or on a ring around each tree.
    ///
    /// Parameters
    /// ----------
    /// trees_per_ha : float or str
    ///     Trees in a hectare, or text, "1200 trees/acre".
    /// band_m, row_spacing_m : float or str, optional
    ///     Width of the band along each row, and distance from row to row, m, or text, "4 ft"; both or none.
    /// ring_m : float or str, optional
    ///     Outer radius of the ring, m, or text, "1 ft".
    /// clear_m : float or str
    ///     Radius kept clear around the trunk, for a ring.
    ///
    /// Raises
    /// ------
    /// OutOfRangeError, InconsistentError, MissingError
    ///     A value out of range, a band wider than the rows are apart, rings that overlap, band and ring at once.
    ///
    /// Examples
    /// --------
    /// 60 lb on an acre of treated ground is 30 lb on an acre of field where half of it is treated:
    ///
    /// >>> from dibble import units
    /// >>> from dibble.fertility import Ground
    /// >>> ground = Ground("1200 trees/acre", band_m="5 ft", row_spacing_m="10 ft")
    /// >>> rates = ground.rates(treated_kg_ha="60 lb/acre")
    /// >>> round(units.convert(rates.field_kg_ha, "kg/ha", "lb/acre"), 6)
    /// 30.0
    /// >>> rates.words()
    /// '30 lb/acre (34 kg/ha) of field, 60 lb/acre (67 kg/ha) of treated ground, 0.40 oz (11 g) per tree'
    PyGround(Ground) = "dibble.fertility", "Ground", check |_| Ok(());
    {}
    {
        #[new]
        #[pyo3(signature = (trees_per_ha, *, band_m = None, row_spacing_m = None, ring_m = None, clear_m = None))]
        fn new(
            py: Python<'_>,
            trees_per_ha: &Any<'_>,
            band_m: Option<&Any<'_>>,
            row_spacing_m: Option<&Any<'_>>,
            ring_m: Option<&Any<'_>>,
            clear_m: Option<&Any<'_>>,
        ) -> PyResult<Self> {
            let trees = quantity("trees_per_ha", "trees/ha", trees_per_ha)?;
            let band = quantity_or_none("band_m", "m", band_m)?;
            let rows = quantity_or_none("row_spacing_m", "m", row_spacing_m)?;
            let ring = quantity_or_none("ring_m", "m", ring_m)?;
            let clear = quantity_or_none("clear_m", "m", clear_m)?;
            compute(py, "Ground", || Ground::new(trees, placement(band, rows, ring, clear)?)).map(Self)
        }

        /// Trees in a hectare.
        #[getter]
        fn trees_per_ha(&self) -> f64 {
            self.0.trees_per_ha()
        }
        /// Share of the field that is fertilized.
        #[getter]
        fn treated_share(&self) -> f64 {
            self.0.treated_share()
        }
        /// Fertilized ground of one tree, m2.
        #[getter]
        fn treated_m2_per_tree(&self) -> f64 {
            self.0.treated_m2_per_tree()
        }
        /// An amount three ways, from one of them; text with a unit is taken too ("38 lb/acre", "0.5 oz/tree").
        #[pyo3(signature = (*, field_kg_ha = None, treated_kg_ha = None, g_per_tree = None))]
        fn rates(
            &self,
            py: Python<'_>,
            field_kg_ha: Option<&Any<'_>>,
            treated_kg_ha: Option<&Any<'_>>,
            g_per_tree: Option<&Any<'_>>,
        ) -> PyResult<PyRates> {
            let field = quantity_or_none("field_kg_ha", "kg/ha", field_kg_ha)?;
            let treated = quantity_or_none("treated_kg_ha", "kg/ha", treated_kg_ha)?;
            let tree = quantity_or_none("g_per_tree", "g/tree", g_per_tree)?;
            compute(py, "Ground.rates", || match (field, treated, tree) {
                (Some(kg_ha), None, None) => Rates::from_field(kg_ha, &self.0),
                (None, Some(kg_ha), None) => Rates::from_treated(kg_ha, &self.0),
                (None, None, Some(g)) => Rates::from_tree(g, &self.0),
                _ => Err(Error::missing("one amount", "Give field_kg_ha, or treated_kg_ha, or g_per_tree.")),
            })
            .map(PyRates)
        }
        /// Warnings where a year's nitrogen of so many g a tree burns roots: above `cap_kg_ha` on treated ground (4 lb on
        /// 1,000 ft2 if not given), or above your own most for a tree.
        #[pyo3(signature = (*, g_per_tree, cap_kg_ha = None, most_g_per_tree = None))]
        fn nitrogen_warnings(
            &self,
            g_per_tree: &Any<'_>,
            cap_kg_ha: Option<&Any<'_>>,
            most_g_per_tree: Option<&Any<'_>>,
        ) -> PyResult<Vec<String>> {
            let g = quantity("g_per_tree", "g/tree", g_per_tree)?;
            let cap = quantity_or_none("cap_kg_ha", "kg/ha", cap_kg_ha)?.unwrap_or(NITROGEN_CAP_KG_HA);
            let most = number_or_none("most_g_per_tree", most_g_per_tree)?;
            compute(g_per_tree.py(), "nitrogen_warnings", || {
                nitrogen_warnings(&Rates::from_tree(g, &self.0)?, &self.0, cap, most, System::Us)
            })
        }

        fn __repr__(&self) -> String {
            let trees = self.0.trees_per_ha();
            match self.0.placement() {
                Placement::Broadcast => format!("Ground({trees:?})"),
                Placement::Band { row_spacing_m, width_m } => {
                    format!("Ground({trees:?}, band_m={width_m:?}, row_spacing_m={row_spacing_m:?})")
                }
                Placement::Ring { radius_m, clear_m } => format!("Ground({trees:?}, ring_m={radius_m:?}, clear_m={clear_m:?})"),
            }
        }
        fn _repr_html_(&self) -> String {
            record::html(
                "Ground",
                &[
                    ("trees", format!("{:.0}", self.0.trees_per_ha()), "trees/ha"),
                    ("treated share", format!("{:.3}", self.0.treated_share()), ""),
                    ("treated ground of a tree", format!("{:.2}", self.0.treated_m2_per_tree()), "m2"),
                ],
            )
        }
    }
}

/// Where it lands, by what was given.
fn placement(band: Option<f64>, rows: Option<f64>, ring: Option<f64>, clear: Option<f64>) -> dibble::Result<Placement> {
    match (band, rows, ring) {
        (None, None, None) if clear.is_none() => Ok(Placement::Broadcast),
        (Some(width_m), Some(row_spacing_m), None) if clear.is_none() => Ok(Placement::Band { row_spacing_m, width_m }),
        (None, None, Some(radius_m)) => Ok(Placement::Ring { radius_m, clear_m: clear.unwrap_or(0.0) }),
        (Some(_), None, None) => Err(Error::missing("row_spacing_m", "A band needs the distance from row to row.")),
        (None, Some(_), None) => Err(Error::missing("band_m", "Give the width of the band, or leave row_spacing_m out.")),
        (None, None, None) => Err(Error::missing("ring_m", "clear_m belongs to a ring: give its radius.")),
        _ => Err(Error::inconsistent("a band and a ring are both given", "Give one of them; clear_m belongs to a ring.")),
    }
}

/// The ground, for other files of the area.
pub fn of(py: Python<'_>, ground: &Any<'_>) -> PyResult<Ground> {
    let class = || ground.get_type().name().map_or("something else".into(), |n| n.to_string());
    ground.cast::<PyGround>().map(|g| g.get().0).map_err(|_| {
        let message = format!("ground is of class {}: a Ground is needed. Make one: Ground(2965, ring_m=0.3).", class());
        error::wrong_kind(py, "ground", &message)
    })
}

/// Adds the classes to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyRates>()?;
    module.add_class::<PyGround>()
}
