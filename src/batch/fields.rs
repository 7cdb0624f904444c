//! The columns of the answer: the same names, order and numbers in every kind of table and in CSV.

use super::RowResult;
use crate::fertility::{Guarantee, Nutrient, NutrientNeed, Rates, Reading, Recommendation, SoilTest};

/// What a column of the answer holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FieldKind {
    /// Words, or none.
    Text,
    /// A number, or none.
    Number,
}

/// One cell of the answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Field {
    /// Words.
    Text(String),
    /// A number.
    Number(f64),
    /// Nothing.
    None,
}

/// Name and kind of each column of the answer. Amounts of nutrients are the lower end where a source prints a range;
/// `n_high_kg_ha` is the upper one. P and K are the elements in the soil and the oxides in the amounts.
pub const FIELDS: &[(&str, FieldKind)] = {
    use FieldKind::{Number, Text};
    &[
        ("line", Number),
        ("kind", Text),
        ("status", Text),
        ("reasons", Text),
        ("why", Text),
        ("grower", Text),
        ("client", Text),
        ("block", Text),
        ("sample", Text),
        ("lab", Text),
        ("lab_number", Text),
        ("sampled", Text),
        ("depth_m", Number),
        ("species", Text),
        ("age_years", Number),
        ("trees_per_ha", Number),
        ("area_ha", Number),
        ("ph", Number),
        ("buffer_ph", Number),
        ("p_reported", Text),
        ("p_ppm", Number),
        ("p_extractant", Text),
        ("p_class", Text),
        ("k_reported", Text),
        ("k_ppm", Number),
        ("k_extractant", Text),
        ("k_class", Text),
        ("mg_reported", Text),
        ("mg_ppm", Number),
        ("mg_extractant", Text),
        ("mg_class", Text),
        ("ca_ppm", Number),
        ("cec_meq", Number),
        ("organic_matter_pct", Number),
        ("ph_verdict", Text),
        ("lime_kg_ha", Number),
        ("n_kg_ha", Number),
        ("n_high_kg_ha", Number),
        ("p2o5_kg_ha", Number),
        ("k2o_kg_ha", Number),
        ("mg_kg_ha", Number),
        ("n_treated_kg_ha", Number),
        ("p2o5_treated_kg_ha", Number),
        ("k2o_treated_kg_ha", Number),
        ("n_g_per_tree", Number),
        ("p2o5_g_per_tree", Number),
        ("k2o_g_per_tree", Number),
        ("mg_g_per_tree", Number),
        ("tables", Text),
        ("assumptions", Text),
        ("ask", Text),
        ("warnings", Text),
    ]
};

fn text(value: &str) -> Field {
    if value.is_empty() { Field::None } else { Field::Text(value.into()) }
}

fn number(value: Option<f64>) -> Field {
    value.map_or(Field::None, Field::Number)
}

fn joined<'a>(items: impl IntoIterator<Item = &'a str>, by: &str) -> Field {
    let items: Vec<&str> = items.into_iter().collect();
    text(&items.join(by))
}

impl RowResult {
    /// The row under [`FIELDS`].
    pub fn fields(&self) -> Vec<Field> {
        let mut all = vec![
            Field::Number(self.line as f64),
            text(self.kind.name()),
            text(self.status.name()),
            joined(self.reasons.iter().map(|r| r.key.as_str()), "; "),
            joined(self.reasons.iter().map(|r| r.words.as_str()), " "),
            text(&self.grower),
            text(&self.client),
            text(&self.block),
            text(&self.sample),
            text(&self.lab),
            text(&self.lab_number),
        ];
        let test = self.input.as_ref().map(|i| &i.test);
        let sheet = test.map(SoilTest::input);
        all.push(sheet.and_then(|s| s.sampled).map_or(Field::None, |d| Field::Text(d.to_string())));
        all.push(number(sheet.and_then(|s| s.depth_m)));
        all.push(text(self.input.as_ref().map_or("", |i| i.species.as_str())));
        all.push(number(self.input.as_ref().and_then(|i| i.age_years).map(f64::from)));
        all.push(number(self.input.as_ref().map(|i| i.ground.trees_per_ha())));
        all.push(number(self.input.as_ref().and_then(|i| i.area_ha)));
        all.push(number(sheet.and_then(|s| s.ph)));
        all.push(number(test.and_then(SoilTest::buffer_ph)));
        for nutrient in [Nutrient::P, Nutrient::K, Nutrient::Mg] {
            all.extend(self.nutrient(nutrient));
        }
        all.push(number(self.ppm(Nutrient::Ca)));
        all.push(number(sheet.and_then(|s| s.cec_meq)));
        all.push(number(sheet.and_then(|s| s.organic_matter_pct)));
        self.amounts(&mut all);
        all
    }

    /// Lime and nutrients, then the sources.
    fn amounts(&self, all: &mut Vec<Field>) {
        let answer = self.answer.as_ref();
        let lime = answer.and_then(|a| a.lime.as_ref());
        all.push(text(lime.map_or("", |l| l.verdict.name())));
        all.push(number(lime.map(|l| l.material_kg_ha)));
        let nitrogen = answer.and_then(|a| a.nitrogen.as_ref());
        let n = nitrogen.map(|n| n.low);
        let [p, k, mg] = [Guarantee::P2o5, Guarantee::K2o, Guarantee::Mg].map(|of| answer.and_then(|a| rates(a, of)));
        let field = |r: Option<Rates>| number(r.map(|r| r.field_kg_ha));
        let treated = |r: Option<Rates>| number(r.map(|r| r.treated_kg_ha));
        let tree = |r: Option<Rates>| number(r.map(|r| r.g_per_tree));
        all.push(field(n));
        all.push(field(nitrogen.and_then(|n| n.high)));
        all.extend([field(p), field(k), field(mg), treated(n), treated(p), treated(k), tree(n), tree(p), tree(k), tree(mg)]);
        all.push(joined(answer.iter().flat_map(|a| &a.tables).map(String::as_str), "; "));
        all.push(joined(answer.iter().flat_map(|a| &a.assumptions).map(|a| a.key.as_str()), "; "));
        all.push(joined(answer.iter().flat_map(|a| &a.ask).map(String::as_str), " "));
        all.push(joined(answer.iter().flat_map(|a| &a.warnings).map(String::as_str), " "));
    }

    /// The value of a nutrient that the row is read by: the one that its table reads, or the first.
    fn value(&self, nutrient: Nutrient) -> Option<&crate::fertility::Value> {
        let test = &self.input.as_ref()?.test;
        let read = self.reading(nutrient).and_then(|r| r.extractant);
        read.and_then(|e| test.value(nutrient, e)).or_else(|| test.values_of(nutrient).next())
    }

    fn reading(&self, nutrient: Nutrient) -> Option<&Reading> {
        self.answer.as_ref()?.interpretation.as_ref()?.reading(nutrient)
    }

    /// The element in the soil, ppm, by the policy for values below detection.
    fn ppm(&self, nutrient: Nutrient) -> Option<f64> {
        self.ppm_by(self.value(nutrient)?)
    }

    /// The number that stands for a value, ppm.
    pub(super) fn ppm_by(&self, value: &crate::fertility::Value) -> Option<f64> {
        value.ppm.number(self.input.as_ref()?.policy)
    }

    fn nutrient(&self, nutrient: Nutrient) -> [Field; 4] {
        let value = self.value(nutrient);
        let reported = value.map_or(String::new(), |v| v.given.as_written());
        let class = self.reading(nutrient).and_then(|r| r.class.as_deref()).unwrap_or("");
        [text(&reported), number(self.ppm(nutrient)), text(value.map_or("", |v| v.extractant.name())), text(class)]
    }
}

/// The lowest rates of what labels state as `of`.
fn rates(answer: &Recommendation, of: Guarantee) -> Option<Rates> {
    answer.needs.iter().find(|n: &&NutrientNeed| n.weight_of == of).map(|n| n.low)
}
