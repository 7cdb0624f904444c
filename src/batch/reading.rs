//! One row of a lab file: its names, the soil test in it, and every decision on the way as a reason.

use super::cells::Cells;
use super::heading::Column;
use super::kind::{self, RowKind};
use super::layout::{Layout, Rival};
use super::{BatchOptions, Facts, cell};
use crate::fertility::{DetectionPolicy, Measurement, Reason, SoilTest, SoilTestInput, Status};
use std::collections::HashMap;

/// Trees in a hectare where nothing tells: the 1,200 to the acre of the shipped nitrogen table.
pub(super) const TREES_HA: f64 = 1200.0 * 1e4 / crate::units::M2_PER_ACRE;
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
    /// Name of the sample, of the block where samples have none, or the lab's number.
    pub fn name(&self) -> &str {
        [&self.sample, &self.block].into_iter().find(|n| !n.is_empty()).unwrap_or(&self.lab_number)
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
    pub fn new(options: &BatchOptions) -> Self {
        let labs = options.lab.iter().map(|(name, own)| (plain(name), own.over(&options.facts))).collect();
        Self { all: options.facts.clone(), labs }
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
    for (at, column, _) in &layout.columns {
        if let Some(place) = r.names.place(*column) {
            *place = cell(*at).into();
        }
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
    for (at, column, _) in &layout.columns {
        cells.roles(*column, cell(*at));
    }
    for (at, column, heading) in &layout.columns {
        let text = cell(*at);
        if column.is_measurement() {
            r.measured.push_str(text);
            r.measured.push('|');
        }
        cells.take(*column, heading, text, &mut r.test, &mut r.block);
    }
    r.reasons = cells.reasons;
    for rival in &layout.rivals {
        r.reasons.extend(rival.differs(row, facts, &r.test));
    }
    let beyond: Vec<&str> = layout.beyond(row).collect();
    if !beyond.is_empty() {
        let words = format!(
            "Cells beyond the last heading: \"{}\". A comma inside a name or number may have moved this row's cells: look at the file.",
            beyond.join("\", \"")
        );
        r.reasons.push(reason("cells_beyond_heading", Status::WithAssumption, words));
    }
    r.finish(facts);
    r
}

impl Rival {
    /// A reason where both columns are filled and say different things.
    fn differs<S: AsRef<str>>(&self, row: &[S], facts: &Facts, used: &SoilTestInput) -> Option<Reason> {
        let cell = |at: usize| row.get(at).map_or("", |c| cell::clean(c.as_ref()));
        let ((first, _, heading), (second, column, other)) = (&self.first, &self.second);
        let (a, b) = (cell(*first), cell(*second));
        if b.is_empty() || a == b {
            return None;
        }
        if self.first.1 != *column && !a.is_empty() && self.same_amount(b, facts, used) {
            return None;
        }
        let words = if a.is_empty() {
            format!("\"{other}\" says {b} and \"{heading}\", which means the same and is read, is empty: {b} is not used.")
        } else {
            format!("\"{heading}\" says {a} and \"{other}\" says {b}, and both mean the same: {a} is used.")
        };
        let words = format!("{words} Declare one of the columns as \"skip\" (columns).");
        Some(reason("columns_differ", Status::WithAssumption, words))
    }

    /// Do two columns in unlike units or forms tell of the same amount, within the rounding of lab sheets?
    fn same_amount(&self, text: &str, facts: &Facts, used: &SoilTestInput) -> bool {
        const ROUNDING: f64 = 0.03;
        let (_, column, heading) = &self.second;
        let mut other = SoilTestInput { measured: Vec::new(), ..used.clone() };
        Cells::new(facts).take(*column, heading, text, &mut other, &mut Block::default());
        let value = |input: &SoilTestInput, of: &Measurement| -> Option<f64> {
            let test = SoilTest::new(input.clone()).ok()?;
            test.value(of.nutrient, of.extractant?)?.ppm.number(DetectionPolicy::Limit)
        };
        match other.measured.first() {
            Some(measurement) => match (value(&other, measurement), value(used, measurement)) {
                (Some(a), Some(b)) => (a - b).abs() <= ROUNDING * a.max(b),
                _ => false,
            },
            None => {
                [(other.depth_m, used.depth_m), (other.ph, used.ph)].iter().all(|(a, b)| a == b)
                    && (other.sampled, other.organic_matter_pct) == (used.sampled, used.organic_matter_pct)
            }
        }
    }
}

impl Names {
    fn place(&mut self, column: Column) -> Option<&mut String> {
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

impl Column {
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
        test.sample = self.names.name().into();
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
