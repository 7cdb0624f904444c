//! From a row that was read to its answer: settle the soil test, recommend, gather the reasons.

use super::kind::RowKind;
use super::reading::{Block, Names, Reading, TREES_HA, reason};
use super::{BatchOptions, RowResult};
use crate::control::Control;
use crate::error::{Error, Result};
use crate::fertility::{
    Ground, Measurement, Placement, Reason, RecommendInput, Recommendation, SoilTable, SoilTest, SoilTestInput, Status, Tables, recommend,
};

/// What the rows of a batch share.
pub(super) struct Asking<'a> {
    pub options: &'a BatchOptions,
    pub tables: &'a Tables,
    pub control: &'a Control,
}

impl Asking<'_> {
    /// The answer of one row; a row never fails, it says why it has no numbers.
    pub fn answer(&self, line: u64, reading: Reading) -> RowResult {
        let Reading { kind, names, test, block, mut reasons, .. } = reading;
        if !matches!(kind, RowKind::Sample | RowKind::Rerun) {
            if reasons.is_empty() {
                reasons.push(reason("set_apart", Status::NotUsable, format!("This row is no sample: {kind}.")));
            }
            return RowResult::new(line, kind, names, reasons);
        }
        let mut result = RowResult::new(line, kind, names, Vec::new());
        let input = settle(test, &mut reasons).and_then(|test| self.input(test, &block, &mut reasons));
        match input.and_then(|input| self.recommended(input, &mut reasons)) {
            Ok((input, answer)) => {
                reasons.extend(answer.usability.reasons.iter().cloned());
                reasons.extend(left_open(&answer));
                result.status = answer.status;
                (result.input, result.answer) = (Some(input), Some(answer));
            }
            Err(error) => reasons.push(reason("no_answer", Status::NotUsable, error.to_string())),
        }
        reasons.sort_by_key(|r| std::cmp::Reverse(r.status));
        result.status = reasons.first().map_or(Status::Ok, |r| r.status).max(result.status);
        if result.status == Status::NotUsable {
            result.answer = None;
        }
        result.trees = block.trees;
        result.reasons = reasons;
        result
    }

    fn input(&self, test: SoilTest, block: &Block, reasons: &mut Vec<Reason>) -> Result<RecommendInput> {
        let options = self.options;
        let ground = ground(block.trees_per_ha, options.placement, reasons)?;
        let species = block.species.as_deref().unwrap_or(ANY);
        let mut input = RecommendInput::new(test, species, ground, options.today);
        input.area_ha = block.area_ha;
        input.age_years = block.age_years;
        input.height_m = block.height_m;
        input.sale_year = block.sale_year;
        input.southern = options.southern;
        input.soil_table = options.soil_tables.iter().find(|name| self.tables.soil.get(name).is_ok_and(|t| reads(t, &input.test))).cloned();
        // the named source need not have a range for conifers in general
        input.ph_table = options.ph_table.clone().filter(|_| block.species.is_some());
        input.nitrogen_table = options.nitrogen_table.clone();
        input.conversions = options.conversions.clone();
        input.lime_method = options.lime_method;
        input.lime_material = options.lime_material.clone();
        input.fineness = options.fineness;
        input.policy = options.policy;
        input.build_up = options.build_up;
        input.removal = options.removal;
        input.shed.clone_from(&options.shed);
        Ok(input)
    }

    /// The recommendation; what the named tables or the species do not allow is left open, with a reason.
    fn recommended(&self, mut input: RecommendInput, reasons: &mut Vec<Reason>) -> Result<(RecommendInput, Recommendation)> {
        let first = match recommend(&input, self.tables, self.control) {
            Ok(answer) => return Ok((input, answer)),
            Err(error) => error,
        };
        let attempts: [Attempt; 5] = [
            ("area_out_of_range", |i| i.area_ha = None),
            ("ph_table_other", |i| i.ph_table = None),
            ("species_unknown", |i| (i.species, i.ph_table) = (ANY.into(), None)),
            ("nitrogen_open", |i| (i.age_years, i.nitrogen_table) = (None, None)),
            ("conversion_failed", |i| i.conversions.clear()),
        ];
        for (key, change) in attempts {
            let mut other = input.clone();
            change(&mut other);
            if let Ok(answer) = recommend(&other, self.tables, self.control) {
                reasons.push(reason(key, Status::WithAssumption, first.to_string()));
                return Ok((other, answer));
            }
        }
        // more than one fault: leave all of it out
        attempts.iter().for_each(|(_, change)| change(&mut input));
        let answer = recommend(&input, self.tables, self.control)?;
        reasons.push(reason("several_faults", Status::WithAssumption, first.to_string()));
        Ok((input, answer))
    }
}

/// Asks for a sample without numbers: what the options say of lime, products and build-up is checked before any row is.
///
/// # Errors
/// What no row could be answered with.
pub(super) fn probe(options: &BatchOptions, tables: &Tables) -> Result<()> {
    let control = Control::new();
    let asking = Asking { options, tables, control: &control };
    let test = SoilTest::new(SoilTestInput { ph: Some(6.0), ..SoilTestInput::default() })?;
    let block = Block { trees_per_ha: TREES_HA, ..Block::default() };
    let input = RecommendInput { conversions: Vec::new(), ..asking.input(test, &block, &mut Vec::new())? };
    recommend(&input, tables, &control).map(|_| ())
}

/// Something to leave open, and the reason's key.
type Attempt = (&'static str, fn(&mut RecommendInput));

/// Every source of pH targets has something to say of it.
const ANY: &str = "any conifer";

/// What the answer took for granted and what it asks, as reasons.
fn left_open(answer: &Recommendation) -> Vec<Reason> {
    let mut open = Vec::new();
    if !answer.assumptions.is_empty() {
        let whats: Vec<&str> = answer.assumptions.iter().map(|a| a.what.as_str()).collect();
        open.push(reason("assumed", Status::WithAssumption, format!("Taken for granted: {}.", whats.join("; "))));
    }
    if !answer.ask.is_empty() {
        open.push(reason("open", Status::WithAssumption, format!("To be decided: {}", answer.ask.join(" "))));
    }
    open
}

/// Does the table hold for an extractant of this test?
fn reads(table: &SoilTable, test: &SoilTest) -> bool {
    table.nutrient.iter().any(|classes| table.extractant_of(classes).is_some_and(|e| test.value(classes.nutrient, e).is_some()))
}

/// The ground as the row and the options say, or what is left of it, with a reason.
fn ground(trees_per_ha: f64, placement: Placement, reasons: &mut Vec<Reason>) -> Result<Ground> {
    Ground::new(trees_per_ha, placement).or_else(|error| {
        let (instead, words) = match Ground::new(trees_per_ha, Placement::Broadcast) {
            Ok(ground) => (ground, "broadcast on the whole field"),
            Err(_) => (Ground::new(TREES_HA, Placement::Broadcast)?, "1,200 trees to the acre, broadcast"),
        };
        reasons.push(reason("ground_changed", Status::WithAssumption, format!("{error} Reckoned with {words}.")));
        Ok(instead)
    })
}

/// The checked test; what is out of range is left out, with a reason.
fn settle(input: SoilTestInput, reasons: &mut Vec<Reason>) -> Result<SoilTest> {
    if let Ok(test) = SoilTest::new(input.clone()) {
        return Ok(test);
    }
    let mut kept = SoilTestInput { measured: Vec::new(), ..input.clone() };
    let mut say = |error: Error| reasons.push(reason("out_of_range", Status::WithAssumption, format!("Left out: {error}")));
    let mut check = |alone: SoilTestInput, drop: &mut dyn FnMut()| {
        if let Err(error) = SoilTest::new(alone) {
            drop();
            say(error);
        }
    };
    let none = SoilTestInput::default;
    check(SoilTestInput { ph: input.ph, ..none() }, &mut || kept.ph = None);
    check(SoilTestInput { buffer: input.buffer, ..none() }, &mut || kept.buffer = None);
    check(SoilTestInput { depth_m: input.depth_m, ..none() }, &mut || kept.depth_m = None);
    check(SoilTestInput { organic_matter_pct: input.organic_matter_pct, ..none() }, &mut || kept.organic_matter_pct = None);
    check(SoilTestInput { cec_meq: input.cec_meq, ..none() }, &mut || kept.cec_meq = None);
    check(SoilTestInput { bulk_density_g_cm3: input.bulk_density_g_cm3, ..none() }, &mut || kept.bulk_density_g_cm3 = None);
    check(SoilTestInput { scoop_density_g_cm3: input.scoop_density_g_cm3, ..none() }, &mut || kept.scoop_density_g_cm3 = None);
    check(SoilTestInput { exchangeable_acidity_meq: input.exchangeable_acidity_meq, ..none() }, &mut || {
        kept.exchangeable_acidity_meq = None
    });
    check(SoilTestInput { exchangeable_aluminum_meq: input.exchangeable_aluminum_meq, ..none() }, &mut || {
        kept.exchangeable_aluminum_meq = None;
    });
    let measured: Vec<Measurement> = input.measured;
    for one in measured {
        let mut with = kept.clone();
        with.measured.push(one);
        match SoilTest::new(with.clone()) {
            Ok(_) => kept = with,
            Err(error) => reasons.push(reason("out_of_range", Status::WithAssumption, format!("Left out: {error}"))),
        }
    }
    SoilTest::new(kept)
}

impl RowResult {
    fn new(line: u64, kind: RowKind, names: Names, reasons: Vec<Reason>) -> Self {
        let Names { sample, block, grower, client, lab, lab_number, remark } = names;
        Self {
            line,
            kind,
            status: Status::NotUsable,
            reasons,
            sample,
            block,
            grower,
            client,
            lab,
            lab_number,
            remark,
            trees: None,
            input: None,
            answer: None,
        }
    }
}
