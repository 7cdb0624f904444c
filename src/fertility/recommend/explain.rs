//! The arithmetic of a recommendation, step by step.

use super::{RecommendInput, Recommendation};
use crate::explain::Step;

impl Recommendation {
    /// How each amount came about: what, formula, inputs, value, unit, source.
    ///
    /// `input` is what the recommendation was made from.
    pub fn explain(&self, input: &RecommendInput) -> Vec<Step> {
        let trees = input.ground.trees_per_ha();
        let share = input.ground.treated_share();
        let mut steps = Vec::new();
        if let Some(read) = &self.interpretation {
            for reading in &read.readings {
                let (Some(ppm), Some(value), Some(class)) = (reading.ppm, reading.in_table_unit, &reading.class) else { continue };
                let formula = format!("{} read as {class} by the edges {} to {}", reading.given, edge(reading.from), edge(reading.to));
                steps.push(
                    Step::new(&format!("class of {}", reading.nutrient), &formula, value, "in the table's unit", &read.source)
                        .from("element", ppm, "ppm"),
                );
            }
        }
        if let Some(need) = self.lime.as_ref().and_then(|l| l.need.as_ref()) {
            steps.extend(need.steps.iter().cloned());
        }
        if let Some(n) = &self.nitrogen {
            let what = format!("nitrogen, {}", n.row);
            steps.push(Step::new(&what, "table", n.low.g_per_tree, "g/tree", &n.source));
            steps.push(field("nitrogen of the field", n.low.field_kg_ha, n.low.g_per_tree, trees));
            steps.push(treated("nitrogen on treated ground", n.low.treated_kg_ha, n.low.field_kg_ha, share));
        }
        for need in self.needs.iter().filter(|n| n.high.field_kg_ha > 0.0) {
            let what = format!("{} of the field", need.weight_of);
            steps.push(Step::new(&what, &need.why, need.low.field_kg_ha, "kg/ha", &need.source));
            let per_tree =
                Step::new(&format!("{} a tree", need.weight_of), "field amount x 1000 / trees", need.low.g_per_tree, "g/tree", "");
            steps.push(per_tree.from("trees", trees, "trees/ha"));
        }
        steps
    }
}

fn edge(value: Option<f64>) -> String {
    value.map_or("open".into(), |v| v.to_string())
}

fn field(what: &str, kg_ha: f64, g: f64, trees: f64) -> Step {
    Step::new(what, "g a tree x trees / 1000", kg_ha, "kg/ha", "").from("a tree", g, "g").from("trees", trees, "trees/ha")
}

fn treated(what: &str, treated: f64, field: f64, share: f64) -> Step {
    Step::new(what, "field amount / treated share", treated, "kg/ha", "").from("field", field, "kg/ha").from("treated share", share, "")
}
