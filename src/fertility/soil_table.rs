//! Interpretation tables: classes of a soil test value, what each means, and the rate that goes with it.

use super::library::entry;
use super::{Citation, Extractant, Form, Nutrient, TestUnit};
use crate::error::{Error, Result};
use crate::units;
use crate::words::{same, words};
use serde::{Deserialize, Serialize};

words! {
    /// What a class means: one list, to which the words of each service are mapped.
    pub enum Meaning: "meaning" {
        /// A response to the nutrient is all but certain.
        VeryShort = "very short",
        /// A response is likely.
        Short = "short",
        /// A response is possible.
        Marginal = "marginal",
        /// The optimum: a response is unlikely; keep it there.
        Enough = "enough",
        /// Above the optimum: add none.
        Ample = "more than enough",
        /// So much that it can do harm, here or downstream.
        TooMuch = "too much",
    }
}

impl Meaning {
    /// Does it call for the nutrient?
    pub fn is_short(self) -> bool {
        self < Meaning::Enough
    }
}

words! {
    /// The class that a value on an edge belongs to.
    pub enum Edge: "edge" {
        /// To the class below: "low to 30".
        Lower = "lower class",
        /// To the class above: "30 or greater".
        Upper = "upper class",
    }
}

/// A rate as the source prints it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Rate {
    /// Lowest rate.
    pub low: f64,
    /// Highest rate, the same where one is printed.
    pub high: f64,
    /// Its unit, a weight per area.
    pub unit: String,
    /// Element or oxide; left out where the source does not say, and then it is shown and not used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<Form>,
    /// When it holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Rate {
    /// Lowest and highest rate of the element, kg/ha; `None` where the source does not say which form it means.
    ///
    /// # Errors
    /// A unit that is no weight per area, an oxide that nobody writes.
    pub fn element_kg_ha(&self, nutrient: Nutrient) -> Result<Option<(f64, f64)>> {
        let Some(form) = self.form else { return Ok(None) };
        let element = |rate| super::to_element(nutrient, form, units::convert(rate, &self.unit, "kg/ha")?);
        Ok(Some((element(self.low)?, element(self.high)?)))
    }
}

/// One class of a table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Class {
    /// The service's word for it.
    pub name: String,
    /// Lower edge, in the table's unit; left out in the first class.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<f64>,
    /// Upper edge; left out in the last class.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<f64>,
    /// What it means.
    pub meaning: Meaning,
    /// The rate that goes with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate: Option<Rate>,
}

/// The classes of one nutrient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct NutrientClasses {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// Element or oxide; the element where it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<Form>,
    /// Unit, where it differs from the table's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<TestUnit>,
    /// Extractant, where it differs from the table's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extractant: Option<Extractant>,
    /// Low to high, each beginning where the last one ends.
    pub classes: Vec<Class>,
}

/// A published interpretation table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SoilTable {
    /// Name, the same in all editions.
    pub id: String,
    /// Edition.
    pub edition: String,
    /// Title.
    pub title: String,
    /// Where it holds.
    pub region: String,
    /// Crops or species groups that it was made for; "any" for all.
    pub crops: Vec<String>,
    /// The extractant; left out where the source names none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extractant: Option<Extractant>,
    /// Unit of the edges.
    pub unit: TestUnit,
    /// lb/acre that the table takes for 1 ppm.
    #[serde(default = "two")]
    pub lb_acre_per_ppm: f64,
    /// Which class a value on an edge belongs to.
    pub edge: Edge,
    /// What to know about it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Where it comes from.
    pub cite: Citation,
    /// The nutrients.
    pub nutrient: Vec<NutrientClasses>,
}

fn two() -> f64 {
    2.0
}

impl SoilTable {
    /// The classes of a nutrient.
    pub fn classes(&self, nutrient: Nutrient) -> Option<&NutrientClasses> {
        self.nutrient.iter().find(|n| n.nutrient == nutrient)
    }

    /// The extractant that a nutrient of this table holds for.
    pub fn extractant_of(&self, classes: &NutrientClasses) -> Option<Extractant> {
        classes.extractant.or(self.extractant)
    }

    /// Made for this crop, or for any?
    pub fn is_for(&self, crop: &str) -> bool {
        self.crops.iter().any(|c| same(c, "any") || same(c, crop))
    }

    /// Value in the table's unit and form, from ppm of the element.
    pub(super) fn in_table_unit(&self, classes: &NutrientClasses, ppm: f64) -> Result<f64> {
        let nutrient = classes.nutrient;
        let per_ppm = match classes.unit.unwrap_or(self.unit) {
            TestUnit::Ppm => 1.0,
            TestUnit::Percent => 1e-4,
            TestUnit::LbAcre => self.lb_acre_per_ppm,
            TestUnit::KgHa => self.lb_acre_per_ppm * super::soil_test::KG_HA_PER_LB_ACRE,
            TestUnit::Meq => match super::soil_test::mg_per_meq(nutrient) {
                Some(mg) => 0.1 / mg,
                None => {
                    return Err(Error::inconsistent(format!("{nutrient} is not counted in meq/100 g"), "Give the table's unit as ppm."));
                }
            },
            TestUnit::MgDm3 => {
                return Err(Error::inconsistent(
                    "a table by volume cannot be read without the soil's weight per volume",
                    "Give the table's edges in ppm.",
                ));
            }
        };
        let element = super::to_element(nutrient, classes.form.unwrap_or(Form::Element), 1.0)?;
        Ok(ppm * per_ppm / element)
    }

    /// The class of a value in the table's unit. Edges carry a slack of 1e-9 of their value, which conversions need.
    pub(super) fn class_of<'c>(&self, classes: &'c NutrientClasses, value: f64) -> Option<&'c Class> {
        let inside = |class: &&Class| {
            class.to.is_none_or(|to| match self.edge {
                Edge::Lower => value <= to * (1.0 + 1e-9),
                Edge::Upper => value < to * (1.0 - 1e-9),
            })
        };
        classes.classes.iter().find(inside)
    }
}

entry!(SoilTable, "interpretation table", "soil_tables");

impl SoilTable {
    fn find_faults(&self) -> Vec<Error> {
        let mut faults: Vec<Error> = crate::bounds::LB_ACRE_PER_PPM.check(self.lb_acre_per_ppm).err().into_iter().collect();
        if self.nutrient.is_empty() {
            faults.push(Error::missing("[[table.nutrient]]", "A table needs the classes of one nutrient at least."));
        }
        for (index, n) in self.nutrient.iter().enumerate() {
            if self.nutrient.iter().take(index).any(|other| other.nutrient == n.nutrient) {
                faults.push(Error::inconsistent(format!("{} stands twice", n.nutrient), "Give its classes once."));
            }
            faults.extend(self.in_table_unit(n, 1.0).err().map(|e| e.at(n.nutrient.name())));
            faults.extend(class_faults(n));
        }
        faults
    }
}

/// Classes have to meet end to end, with open ends outside.
fn class_faults(n: &NutrientClasses) -> Vec<Error> {
    let mut faults = Vec::new();
    let last = n.classes.len().saturating_sub(1);
    if n.classes.len() < 2 {
        faults.push(Error::missing("a second class", "Give two classes or more.").at(n.nutrient.name()));
    }
    let mut edge: Option<f64> = None;
    let mut rate_before = f64::INFINITY;
    for (index, class) in n.classes.iter().enumerate() {
        let place = format!("{}, class \"{}\"", n.nutrient, class.name);
        let mut say = |what: String, hint: &str| faults.push(Error::inconsistent(what, hint).at(place.clone()));
        match (index, edge, class.from) {
            (0, _, None | Some(0.0)) => {}
            (0, _, Some(from)) => {
                say(format!("the first class begins at {from}, so values below it have no class"), "Leave its `from` out.")
            }
            (_, Some(end), Some(from)) if from > end => {
                say(
                    format!("there is a gap: the class before ends at {end} and this one begins at {from}"),
                    "Let it begin where the other ends.",
                );
            }
            (_, Some(end), Some(from)) if from < end => {
                say(
                    format!("classes overlap: the class before ends at {end} and this one begins at {from}"),
                    "Let it begin where the other ends.",
                );
            }
            (_, _, Some(_)) => {}
            (_, _, None) => say("it has no lower edge".into(), "Give `from`, where the class before ends."),
        }
        match class.to {
            Some(to) if !to.is_finite() || to <= class.from.unwrap_or(0.0) => {
                say(format!("it ends at {to}, which is not above its beginning"), "Let edges rise.")
            }
            Some(to) if index == last => {
                say(format!("the last class ends at {to}, so values above it have no class"), "Leave its `to` out.")
            }
            None if index < last => say("it has no upper edge".into(), "Give `to`, where the next class begins."),
            _ => {}
        }
        if let Some(rate) = &class.rate {
            let unit = rate.element_kg_ha(n.nutrient);
            if !(0.0 <= rate.low && rate.low <= rate.high && rate.high.is_finite()) {
                say(format!("its rate goes from {} to {}", rate.low, rate.high), "Give rates of 0 or more, the lower one first.");
            }
            if let Ok(Some((_, high))) = unit {
                if high > rate_before * (1.0 + 1e-9) {
                    say(
                        "its rate is higher than that of a class below it".into(),
                        "More in the soil shall not call for more: check the rates.",
                    );
                }
                rate_before = high;
            }
            faults.extend(unit.err().map(|e| e.at(place.clone())));
        }
        edge = class.to;
    }
    faults
}
