//! One row of a lab file: its names, the soil test in it, and every decision on the way as a reason.

use super::cells::Cells;
use super::heading::Column;
use super::kind::{self, RowKind};
use super::layout::Layout;
use super::{BatchOptions, Facts, cell, twins};
use crate::error::Result;
use crate::fertility::{Reason, SoilTestInput, Status};
use std::collections::HashMap;

/// Trees in a hectare where nothing tells: the 1,200 to the acre of the shipped nitrogen table.
pub(super) const TREES_HA: f64 = 1200.0 * 1e4 / crate::units::M2_PER_ACRE;
/// Endings of the keys of reasons that a value in the wrong column gives.
const MISPLACED: [&str; 3] = ["_unreadable", "_unknown", "_is_date"];
/// Labs that cut names cut them to so many characters.
const CUT: usize = 8;

/// The row's names, as they stand.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Names {
    pub sample: String,
    pub block: String,
    pub grower: String,
    pub client: String,
    pub lab: String,
    pub lab_number: String,
    pub remark: String,
}

impl Names {
    /// Name of the sample, or of the block where samples have none.
    pub fn name(&self) -> &str {
        if self.sample.is_empty() { &self.block } else { &self.sample }
    }

    /// Is the name as long as the names that labs cut?
    pub fn may_be_cut(&self) -> bool {
        self.name().chars().count() == CUT
    }
}

/// What is known of the trees.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Block {
    pub species: Option<String>,
    pub age_years: Option<u32>,
    pub sale_year: bool,
    pub height_m: Option<f64>,
    pub trees_per_ha: f64,
    pub trees: Option<f64>,
    pub area_ha: Option<f64>,
}

/// A row that was read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Reading {
    pub kind: RowKind,
    pub names: Names,
    pub test: SoilTestInput,
    pub block: Block,
    pub reasons: Vec<Reason>,
    /// The cells of measurements, for telling copies from re-runs.
    pub measured: String,
}

/// File's facts, and each lab's over them.
pub(super) struct AllFacts {
    all: Facts,
    labs: HashMap<String, Facts>,
}

impl AllFacts {
    /// # Errors
    /// Facts that no row can have.
    pub fn new(options: &BatchOptions) -> Result<Self> {
        let all = options.facts.checked(options.placement).map_err(|e| e.at("facts"))?;
        let lab = |(name, own): (&String, &Facts)| {
            let checked = own.checked(options.placement).map_err(|e| e.at(format!("lab \"{name}\"")))?;
            Ok((plain(name), checked.over(&all)))
        };
        let labs = options.lab.iter().map(lab).collect::<Result<_>>()?;
        Ok(Self { all, labs })
    }

    fn of(&self, lab: &str) -> &Facts {
        self.labs.get(&plain(lab)).unwrap_or(&self.all)
    }
}

fn plain(name: &str) -> String {
    cell::clean(name).to_lowercase()
}

/// A reason of this module.
pub(super) fn reason(key: &str, status: Status, words: impl Into<String>) -> Reason {
    Reason { key: key.into(), status, words: words.into(), source: "reading of the row".into() }
}

/// Reads one row.
pub(super) fn read<S: AsRef<str>>(layout: &Layout, row: &[S], facts: &AllFacts) -> Reading {
    let cell = |at: usize| row.get(at).map_or("", |c| cell::clean(c.as_ref()));
    let mut r = Reading {
        kind: RowKind::Sample,
        names: Names::default(),
        test: SoilTestInput::default(),
        block: Block::default(),
        reasons: Vec::new(),
        measured: String::new(),
    };
    for place in layout.columns.iter().filter(|p| p.column.is_name()) {
        twins::name(place, cell, &mut r);
    }
    let filled = || row.iter().map(|c| cell::clean(c.as_ref())).filter(|c| !c.is_empty());
    let Some(first) = filled().next() else {
        r.kind = RowKind::Blank;
        return r;
    };
    r.kind = kind::of_names(r.names.name(), &r.names.lab_number, &r.names.remark, first);
    if filled().nth(1).is_none() && (first.starts_with(['*', '#']) || first.split_whitespace().nth(2).is_some()) {
        r.kind = RowKind::Note;
    }
    if r.kind != RowKind::Sample {
        return r;
    }
    let facts = facts.of(&r.names.lab);
    let mut cells = Cells::new(facts);
    let read: Vec<_> = layout.columns.iter().filter(|p| !p.column.is_name()).filter_map(|p| twins::pick(p, cell, facts, &mut r)).collect();
    for (column, _, text) in &read {
        cells.roles(*column, text);
    }
    for (column, heading, text) in read {
        if column.is_measurement() {
            r.measured.push_str(text);
            r.measured.push('|');
        }
        cells.take(column, heading, text, &mut r.test, &mut r.block);
    }
    r.reasons.extend(cells.done(&r.test));
    r.settle_twins();
    r.surplus(layout, row);
    r.finish(facts);
    r
}

impl Column {
    fn is_name(self) -> bool {
        use Column::{Block, Client, Grower, Lab, LabNumber, Remark, Sample};
        matches!(self, Sample | Block | Grower | Client | Lab | LabNumber | Remark)
    }

    fn is_measurement(self) -> bool {
        matches!(
            self,
            Column::Nutrient { .. } | Column::Ph(_) | Column::Buffer { .. } | Column::OrganicMatter(_) | Column::Cec | Column::Acidity
        )
    }
}

impl Reading {
    /// What the row's own cells left open.
    fn finish(&mut self, facts: &Facts) {
        let (test, block) = (&mut self.test, &mut self.block);
        test.sample = [self.names.name(), &self.names.lab_number].into_iter().find(|n| !n.is_empty()).unwrap_or_default().into();
        test.lab = Some(self.names.lab.clone()).filter(|l| !l.is_empty());
        test.lab_number = Some(self.names.lab_number.clone()).filter(|l| !l.is_empty());
        test.ph_method = test.ph_method.or(facts.ph_method);
        test.calcium_chloride_offset = facts.calcium_chloride_offset;
        test.lb_acre_per_ppm = facts.lb_acre_per_ppm;
        test.bulk_density_g_cm3 = test.bulk_density_g_cm3.or(facts.bulk_density_g_cm3);
        if !self.reasons.iter().any(|r| matches!(r.key.as_str(), "subsoil" | "depth_is_date" | "depth_unreadable")) {
            test.depth_m = test.depth_m.or(facts.depth_m);
        }
        block.species = block.species.take().or_else(|| facts.species.clone());
        block.age_years = block.age_years.or(facts.age_years);
        block.area_ha = block.area_ha.or(facts.area_ha);
        let mut doubt = |key, words: String| self.reasons.push(reason(key, Status::WithAssumption, words));
        if cell::like_date(self.names.name()) {
            doubt("name_is_date", format!("The name \"{}\" is a date that a spreadsheet made of something like 3-4.", self.names.name()));
        }
        if block.species.is_none() {
            doubt("species_missing", "The species is not given: pH targets of conifers in general are shown.".into());
        }
        if block.age_years.is_none() && !facts.before_planting {
            doubt("age_missing", "The age of the trees is not given: read as before planting, without nitrogen.".into());
        }
        let counted = block.trees.zip(block.area_ha).filter(|(_, ha)| *ha > 0.0).map(|(trees, ha)| trees / ha);
        let known = Some(block.trees_per_ha).filter(|t| *t > 0.0).or(counted).or(facts.trees_per_ha);
        block.trees_per_ha = known.unwrap_or(TREES_HA);
        if known.is_none() {
            doubt("density_assumed", "The density of the trees is not given: 1,200 to the acre (2,965 to the hectare) taken.".into());
        }
    }
}

impl Reading {
    /// Cells beyond the headings: values may stand under the wrong ones.
    fn surplus<S: AsRef<str>>(&mut self, layout: &Layout, row: &[S]) {
        let beyond: Vec<&str> = row.iter().skip(layout.named()).map(|c| cell::clean(c.as_ref())).filter(|c| !c.is_empty()).collect();
        let misplaced = self.reasons.iter().any(|r| MISPLACED.iter().any(|end| r.key.ends_with(end)));
        if beyond.is_empty() && !(misplaced && row.len() > layout.width()) {
            return;
        }
        let words_alone = beyond.iter().all(|c| matches!(cell::number(c, None), cell::Number::Unreadable));
        let status = if misplaced || !words_alone { Status::NotUsable } else { Status::WithAssumption };
        let shown = if beyond.is_empty() { String::new() } else { format!(" Beyond the last heading: {}.", beyond.join(", ")) };
        let words = format!(
            "The row has {} cells under {} headings; a mark inside a cell may have moved its values.{shown} Quote that cell, or give the column a heading.",
            row.len(),
            layout.named()
        );
        self.reasons.push(reason("cells_beyond_heading", status, words));
    }

    /// A heading inside the table.
    pub fn heading() -> Self {
        Self {
            kind: RowKind::Heading,
            names: Names::default(),
            test: SoilTestInput::default(),
            block: Block::default(),
            reasons: Vec::new(),
            measured: String::new(),
        }
    }
}
