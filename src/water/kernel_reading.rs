//! A reading put into one lane's ledger.

#![allow(clippy::indexing_slicing)] // lanes are fixed arrays

use super::column::Column;
use super::kernel::MM;
use super::kernel_block::Ledger;
use super::kernel_sums::Doubt;
use super::reading::{LAYER_CORRELATION, Reading, ReadingOutcome, Verdict, weigh};
use crate::error::Result;

/// Re-sets the rooted layers of one lane by a reading; returns the water that this adds, mm.
pub(super) fn correct(
    ledger: &mut Ledger,
    l: usize,
    column: &Column<'_>,
    reading: &Reading,
    doubt: &mut Doubt,
    taw_mm: f64,
    outcomes: &mut Vec<ReadingOutcome>,
) -> Result<f64> {
    let middle_m = 0.5 * (reading.from_depth_m + reading.to_depth_m);
    let observed = reading.observed(column.profile.soil_at(middle_m)?)?;
    let prior_sd = doubt.sd_of(l, taw_mm) / taw_mm;
    let mut spans = spans(ledger, l);
    let own = |s: &Span| {
        let overlap = s.bottom_mm.min(MM * reading.to_depth_m) - s.top_mm.max(MM * reading.from_depth_m);
        (s.top_mm <= MM * middle_m && MM * middle_m < s.bottom_mm) || overlap >= 0.5 * (s.bottom_mm - s.top_mm)
    };
    let held: f64 = spans.iter().filter(|s| own(s)).map(|s| s.holding_mm).sum();
    let ledger_available = spans.iter().filter(|s| own(s)).map(|s| s.available_mm).sum::<f64>() / held;
    let mut outcome = ReadingOutcome {
        column: column.name.clone(),
        date: reading.date,
        from_depth_m: reading.from_depth_m,
        to_depth_m: reading.to_depth_m,
        ledger_available,
        ledger_sd: prior_sd,
        reading_available: observed.available,
        reading_sd: Some(observed.sd).filter(|sd| sd.is_finite()),
        used_available: ledger_available,
        errors_apart: 0.0,
        verdict: Verdict::Outside,
    };
    if held <= 0.0 {
        outcome.ledger_available = 0.0;
        outcome.used_available = 0.0;
        outcomes.push(outcome);
        return Ok(0.0);
    }
    let weighed = weigh(ledger_available, prior_sd, observed.available, observed.sd, observed.only_drier);
    outcome.used_available = weighed.available;
    outcome.errors_apart = weighed.errors_apart;
    outcome.verdict = weighed.verdict;
    outcomes.push(outcome);
    if weighed.gain == 0.0 {
        return Ok(0.0);
    }
    let shift = weighed.available - ledger_available;
    let (mut moved, mut sd_after, mut holding) = (0.0, 0.0, 0.0);
    for span in &mut spans {
        let mine = own(span);
        let share = if mine { shift } else { LAYER_CORRELATION * shift };
        let left = if mine { weighed.sd } else { prior_sd * (1.0 - LAYER_CORRELATION * LAYER_CORRELATION * weighed.gain).sqrt() };
        sd_after += left * span.holding_mm;
        holding += span.holding_mm;
        let wanted = span.available_mm + share * span.holding_mm;
        // a sure reading wins its layers outright, whatever each of them held
        let wanted = if mine && observed.sd == 0.0 { observed.available * span.holding_mm } else { wanted };
        moved += set(ledger, l, span, wanted);
    }
    if weighed.verdict == Verdict::Merged && prior_sd > 0.0 {
        doubt.shrink(l, (sd_after / holding / prior_sd).min(1.0));
    }
    Ok(moved)
}

/// A rooted piece of one lane.
struct Span {
    index: usize,
    top_mm: f64,
    bottom_mm: f64,
    holding_mm: f64,
    available_mm: f64,
}

fn spans(ledger: &Ledger, l: usize) -> Vec<Span> {
    match ledger {
        Ledger::Layered(ledger) => ledger
            .layers
            .iter()
            .zip(&ledger.parts)
            .enumerate()
            .filter(|(_, (_, [rooted, _]))| rooted.thickness_mm[l] > 0.0)
            .map(|(index, (layer, [rooted, _]))| Span {
                index,
                top_mm: layer.top_mm[l],
                bottom_mm: layer.top_mm[l] + rooted.thickness_mm[l],
                holding_mm: (layer.field_capacity[l] - layer.wilting_point[l]) * rooted.thickness_mm[l],
                available_mm: (rooted.water_mm[l] - layer.wilting_point[l] * rooted.thickness_mm[l]).max(0.0),
            })
            .collect(),
        Ledger::Printed(ledger) => {
            let holding_mm = ledger.holding[l] * ledger.root_depth_mm[l];
            vec![Span { index: 0, top_mm: 0.0, bottom_mm: ledger.root_depth_mm[l], holding_mm, available_mm: holding_mm - ledger.dr_mm[l] }]
        }
    }
}

/// Puts `available_mm` into a span, clipped to what the layer can hold; returns the water added.
fn set(ledger: &mut Ledger, l: usize, span: &Span, available_mm: f64) -> f64 {
    match ledger {
        Ledger::Layered(ledger) => {
            let layer = &ledger.layers[span.index];
            let [rooted, _] = &mut ledger.parts[span.index];
            let thickness = rooted.thickness_mm[l];
            let driest = if span.index == 0 { 0.5 } else { 1.0 } * layer.wilting_point[l] * thickness;
            let before = rooted.water_mm[l];
            rooted.water_mm[l] = (layer.wilting_point[l] * thickness + available_mm).clamp(driest, layer.saturation[l] * thickness);
            rooted.water_mm[l] - before
        }
        Ledger::Printed(ledger) => {
            let before = ledger.dr_mm[l];
            ledger.dr_mm[l] = (span.holding_mm - available_mm).clamp(0.0, span.holding_mm);
            before - ledger.dr_mm[l]
        }
    }
}
