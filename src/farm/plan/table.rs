//! The plan as rows: one for each block, every quantity in the SI unit that its column names.

use super::content::{BlockPlan, Estimate, Plan};
use crate::date::Date;
use crate::fertility::Round;

/// Column names of [`Plan::to_csv`] and the values under them.
fn cells(block: &BlockPlan) -> Vec<(&'static str, String)> {
    let number = |x: f64| format!("{x}");
    let option = |x: Option<f64>| x.map(number).unwrap_or_default();
    let low = |e: Option<Estimate>| option(e.map(|e| e.low));
    let pulses = block.intake.as_ref().map(|i| &i.pulses);
    let feeding = block.feeding.as_ref();
    let next = feeding.and_then(|f| f.next.as_ref());
    let each = |r: &Round| r.amounts.iter().map(|a| format!("{} {}", a.product, a.rates.g_per_tree)).collect::<Vec<_>>().join("; ");
    let day = |d: Option<Date>| d.map(|d| d.to_string()).unwrap_or_default();
    let sets = block.sets.as_ref();
    let lime = feeding.and_then(|f| f.lime.as_ref());
    vec![
        ("block", quoted(&block.name)),
        ("species", quoted(&block.species)),
        ("planted", block.planted.to_string()),
        ("trees", block.trees.map(|t| t.to_string()).unwrap_or_default()),
        ("area_m2", option(block.area_m2)),
        ("standing", block.standing.words().replace(' ', "_")),
        ("depletion", number(block.depletion.value)),
        ("depletion_low", number(block.depletion.low)),
        ("depletion_high", number(block.depletion.high)),
        ("allowed_depletion", number(block.allowed_depletion)),
        ("depletion_mm", number(block.depletion_mm.value)),
        ("available_water_mm", number(block.available_water_mm)),
        ("root_depth_m", number(block.root_depth_m.value)),
        ("days_left", option(block.days_left.map(|d| d.value))),
        ("days_left_low", low(block.days_left)),
        ("days_left_high", option(block.days_left.map(|d| d.high))),
        ("week_use_mm", number(block.week_use_mm)),
        ("week_rain_mm", number(block.week_rain_mm)),
        ("net_mm", number(block.net_mm)),
        ("gross_low_mm", number(block.gross_mm.0)),
        ("gross_high_mm", number(block.gross_mm.1)),
        ("tree_l", number(block.tree_l)),
        ("block_low_l", option(block.block_l.map(|b| b.0))),
        ("block_high_l", option(block.block_l.map(|b| b.1))),
        ("run_low_min", number(block.run_min.0)),
        ("run_high_min", number(block.run_min.1)),
        ("pulses", pulses.map(|p| p.pulses.len().to_string()).unwrap_or_default()),
        ("pulses_elapsed_h", option(pulses.map(|p| p.elapsed_h))),
        ("sets", option(sets.map(|s| s.sets.len() as f64))),
        ("sets_min", option(sets.map(|s| s.day.pump_min))),
        ("sets_l", option(sets.map(|s| s.pumped_l))),
        ("stress_days", block.so_far.stress_days.to_string()),
        ("airless_days", block.so_far.airless_days.to_string()),
        ("feeding_from", day(next.and_then(|r| r.from))),
        ("feeding_until", day(next.and_then(|r| r.until))),
        ("feeding_g_per_tree", quoted(&next.map(each).unwrap_or_default())),
        ("feeding_cost", option(feeding.and_then(|f| f.cost))),
        ("lime_kg_ha", option(lime.map(|l| l.rate_kg_ha))),
        ("lime_kg", option(lime.and_then(|l| l.total_kg))),
    ]
}

/// RFC 4180: quoted where a comma, a quote or a line end stands inside. A leading sign that a spreadsheet would
/// take for a formula is kept as text by a quote mark.
pub(super) fn quoted(text: &str) -> String {
    let text = if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text.to_string() };
    if text.contains([',', '"', '\n', '\r']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text }
}

impl Plan {
    /// Columns of [`Plan::to_csv`] that hold words or days; all others hold numbers.
    pub const WORD_COLUMNS: [&str; 8] =
        ["date", "block", "species", "planted", "standing", "feeding_from", "feeding_until", "feeding_g_per_tree"];

    /// The plan as CSV (RFC 4180), one row for each block, numbers exact and in SI.
    pub fn to_csv(&self) -> String {
        let mut lines = Vec::new();
        for block in &self.blocks {
            let cells = cells(block);
            if lines.is_empty() {
                lines.push(format!("date,{}", cells.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(",")));
            }
            lines.push(format!("{},{}", self.date, cells.into_iter().map(|(_, value)| value).collect::<Vec<_>>().join(",")));
        }
        lines.join("\n") + "\n"
    }
}

#[cfg(test)]
mod tests {
    use super::quoted;

    #[test]
    fn names_survive_commas_quotes_and_spreadsheets() {
        assert_eq!(quoted("north, upper"), "\"north, upper\"");
        assert_eq!(quoted("the \"old\" field"), "\"the \"\"old\"\" field\"");
        assert_eq!(quoted("=1+1"), "'=1+1");
        assert_eq!(quoted("Kame"), "Kame");
    }
}
