//! Two columns, or two values, that say the same thing: they are compared, and where they differ neither is taken.

use super::cells::Cells;
use super::heading::Column;
use super::layout::Place;
use super::reading::{Block, Names, Reading, reason};
use super::{Facts, cell};
use crate::fertility::{Form, Measurement, PhMethod, SoilTest, SoilTestInput, Status};

/// Values in two units or forms are the same if they differ by no more than this: labs round both.
const ROUNDED: f64 = 0.03;
/// lb/acre for 1 ppm, as labs reckon whatever the depth.
const TRADE_FACTOR: f64 = 2.0;

/// What a cell says, in a form that can be compared.
#[derive(Debug, PartialEq)]
enum Said {
    Number(f64),
    Words(String),
}

/// Which of a place's columns is read in a row: the only one that is filled, or the first of those that agree.
/// `None` where they differ, with a reason.
pub(super) fn pick<'p, 'r>(
    place: &'p Place,
    text: impl Fn(usize) -> &'r str,
    facts: &Facts,
    reading: &mut Reading,
) -> Option<(Column, &'p str, &'r str)> {
    let own = (place.column, place.heading.as_str(), text(place.at));
    if place.others.is_empty() {
        return Some(own);
    }
    let others = place.others.iter().map(|(at, column, heading)| (*column, heading.as_str(), text(*at)));
    let filled: Vec<_> =
        std::iter::once(own).chain(others).filter_map(|(c, heading, t)| Some(((c, heading, t), said(c, heading, t, facts)?))).collect();
    let Some(((first, says), rest)) = filled.split_first() else { return Some(own) };
    if let Some((other, _)) = rest.iter().find(|(other, also)| !agree(says, also, first.0 == other.0)) {
        let words = format!(
            "\"{}\" says {} and \"{}\" says {}: neither is taken. Declare one of the columns as \"skip\".",
            first.1, first.2, other.1, other.2
        );
        reading.reasons.push(reason("columns_differ", Status::WithAssumption, words));
        return None;
    }
    Some(*first)
}

/// The text of a place that names something, out of all its columns.
pub(super) fn name<'r>(place: &Place, text: impl Fn(usize) -> &'r str, reading: &mut Reading) {
    let all = std::iter::once((place.at, &place.heading)).chain(place.others.iter().map(|(at, _, heading)| (*at, heading)));
    let filled: Vec<_> = all.map(|(at, heading)| (heading, text(at))).filter(|(_, t)| !t.is_empty()).collect();
    let Some(((heading, first), rest)) = filled.split_first() else { return };
    let mut words = (*first).to_string();
    if place.column == Column::Remark {
        rest.iter().for_each(|(_, more)| words.extend(["; ", more]));
    } else if let Some((other, also)) = rest.iter().find(|(_, t)| !t.eq_ignore_ascii_case(first)) {
        // whose facts hold depends on the lab; of other names nothing does
        let status = if place.column == Column::Lab { Status::WithAssumption } else { Status::Ok };
        let said = format!("\"{heading}\" says {first} and \"{other}\" says {also}: the first is taken as the {}.", place.column);
        reading.reasons.push(reason("names_differ", status, said));
    }
    if let Some(named) = reading.names.place(place.column) {
        *named = words;
    }
}

fn said(column: Column, heading: &str, text: &str, facts: &Facts) -> Option<Said> {
    if cell::number(text, facts.decimal) == cell::Number::Blank {
        return None;
    }
    let (mut test, mut block) = (SoilTestInput::default(), Block::default());
    Cells::new(facts).take(column, heading, text, &mut test, &mut block);
    let day = |d: Option<crate::Date>| d.map(|d| d.to_string());
    let words = match column {
        Column::Sampled { .. } => day(test.sampled),
        Column::Fertilized { .. } => day(test.fertilized),
        Column::Texture => test.texture.map(|t| t.to_string()),
        Column::Method(_) => text.parse::<crate::fertility::Extractant>().ok().map(|m| m.to_string()),
        Column::Unit(_) => text.parse::<crate::fertility::TestUnit>().ok().map(|u| u.to_string()),
        Column::Form(_) => text.parse::<Form>().ok().map(|f| f.to_string()),
        Column::PhMethod => text.parse::<PhMethod>().ok().map(|m| m.to_string()),
        Column::BufferMethod => text.parse::<crate::fertility::BufferMethod>().ok().map(|m| m.to_string()),
        Column::SaleYear => Some(block.sale_year.to_string()),
        _ => None,
    };
    let value = match column {
        Column::Depth { .. } => test.depth_m,
        // a lime index is ten times the buffer pH
        Column::Buffer { .. } => cell::plain(text, facts.decimal).map(|v| if v >= 40.0 { v / 10.0 } else { v }),
        Column::OrganicMatter(_) => test.organic_matter_pct,
        Column::Height { .. } => block.height_m,
        Column::Area { .. } => block.area_ha,
        Column::Spacing { .. } | Column::TreesPerArea { .. } => Some(block.trees_per_ha).filter(|t| *t > 0.0),
        _ if words.is_some() => None,
        _ => cell::plain(text, facts.decimal),
    };
    Some(value.map_or_else(|| Said::Words(words.unwrap_or_else(|| text.to_lowercase())), Said::Number))
}

fn agree(one: &Said, other: &Said, same_unit: bool) -> bool {
    match (one, other) {
        (Said::Number(a), Said::Number(b)) => a == b || (!same_unit && near(*a, *b)),
        (one, other) => one == other,
    }
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUNDED * a.abs().max(b.abs())
}

impl Names {
    pub(super) fn place(&mut self, column: Column) -> Option<&mut String> {
        match column {
            Column::Sample => Some(&mut self.sample),
            Column::Block => Some(&mut self.block),
            Column::Grower => Some(&mut self.grower),
            Column::Client => Some(&mut self.client),
            Column::Lab => Some(&mut self.lab),
            Column::LabNumber => Some(&mut self.lab_number),
            Column::Remark => Some(&mut self.remark),
            _ => None,
        }
    }
}

impl Reading {
    /// Of values of one nutrient by one extractant, those that agree count once, and those that differ not at all.
    pub(super) fn settle_twins(&mut self) {
        let all = std::mem::take(&mut self.test.measured);
        let mut kept: Vec<Measurement> = Vec::with_capacity(all.len());
        let mut refused: Vec<Measurement> = Vec::new();
        for one in all {
            let same = |m: &Measurement| m.nutrient == one.nutrient && m.extractant == one.extractant;
            if refused.iter().any(same) {
                continue;
            }
            match kept.iter().position(same) {
                None => kept.push(one),
                Some(at) => {
                    let first = kept.get(at).cloned().unwrap_or_else(|| one.clone());
                    if !self.equal(&first, &one) {
                        let words = format!(
                            "The lab's numbers {} and {} for {} do not agree: neither is taken. Declare one of the columns as \"skip\"{}.",
                            first.as_written(),
                            one.as_written(),
                            one.nutrient,
                            if first.unit == one.unit { "" } else { ", or the lab's factor (lb_acre_per_ppm)" }
                        );
                        self.reasons.push(reason("columns_differ", Status::WithAssumption, words));
                        refused.push(kept.remove(at));
                    }
                }
            }
        }
        self.test.measured = kept;
    }

    /// The same amount of the element, by the depth of the sample or by the factor of the trade?
    fn equal(&self, a: &Measurement, b: &Measurement) -> bool {
        if (a.unit, a.form) == (b.unit, b.form) {
            return a.value == b.value;
        }
        let ppm = |m: &Measurement, factor: Option<f64>| {
            let measured = vec![m.clone()];
            let input = SoilTestInput { measured, lb_acre_per_ppm: factor.or(self.test.lb_acre_per_ppm), ..self.test.clone() };
            SoilTest::new(SoilTestInput { ph: None, buffer: None, ..input }).ok().and_then(|t| t.values().first().map(|v| v.ppm.span()))
        };
        [None, Some(TRADE_FACTOR)].into_iter().any(|factor| match (ppm(a, factor), ppm(b, factor)) {
            (Some((low, high)), Some((also_low, also_high))) => {
                near(low, also_low) && high.zip(also_high).map_or(high == also_high, |(x, y)| near(x, y))
            }
            _ => false,
        })
    }
}
