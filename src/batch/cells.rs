//! The cells of one row, taken up one by one; whatever a cell does not say plainly becomes a reason.

use super::heading::Column;
use super::reading::{Block, reason};
use super::{Facts, ShareAs, cell};
use super::{cell::Day, cell::Depth, cell::Number};
use crate::bounds;
use crate::date::Date;
use crate::fertility::{
    Buffer, BufferMethod, Extractant, Form, Measurement, Nutrient, PhMethod, Reason, Reported, SoilTestInput, Status, TestUnit,
};
use crate::units::convert;

/// Organic matter below this is a fraction where nobody says how it is written, %.
const LEAST_ORGANIC_PCT: f64 = 0.2;

/// The cells of one row as they are taken up.
pub(super) struct Cells<'f> {
    facts: &'f Facts,
    methods: Vec<(Option<Nutrient>, Extractant)>,
    units: Vec<(Option<Nutrient>, TestUnit)>,
    forms: Vec<(Option<Nutrient>, Form)>,
    buffer: Option<BufferMethod>,
    reasons: Vec<Reason>,
    /// P and K in cells that are empty.
    blank: Vec<Nutrient>,
}

impl<'f> Cells<'f> {
    pub fn new(facts: &'f Facts) -> Self {
        Self { facts, methods: Vec::new(), units: Vec::new(), forms: Vec::new(), buffer: None, reasons: Vec::new(), blank: Vec::new() }
    }

    /// The reasons, when all cells are taken.
    pub fn done(mut self, test: &SoilTestInput) -> Vec<Reason> {
        for nutrient in std::mem::take(&mut self.blank) {
            if !test.measured.iter().any(|m| m.nutrient == nutrient) {
                self.reasons.push(reason("not_reported", Status::Ok, format!("{nutrient} is not reported.")));
            }
        }
        self.reasons
    }

    fn doubt(&mut self, key: &str, words: String) {
        self.reasons.push(reason(key, Status::WithAssumption, words));
    }

    /// Cells that say how others are to be read.
    pub fn roles(&mut self, column: Column, text: &str) {
        if text.is_empty() {
            return;
        }
        match column {
            Column::Method(of) => {
                for part in text.split(['/', '+', ';', '&', ',']).map(str::trim).filter(|p| !p.is_empty()) {
                    match part.parse::<Extractant>() {
                        Ok(extractant) => self.methods.push((of, extractant)),
                        Err(error) => self.doubt("extractant_unknown", error.to_string()),
                    }
                }
            }
            Column::Unit(of) => match text.parse::<TestUnit>() {
                Ok(unit) => self.units.push((of, unit)),
                Err(error) => self.doubt("unit_unknown", error.to_string()),
            },
            Column::Form(of) => match text.parse::<Form>() {
                Ok(form) => self.forms.push((of, form)),
                Err(error) => self.doubt("form_unknown", error.to_string()),
            },
            Column::BufferMethod => self.buffer = self.word(text, "buffer_method_unknown"),
            _ => {}
        }
    }

    pub fn take(&mut self, column: Column, heading: &str, text: &str, test: &mut SoilTestInput, block: &mut Block) {
        match column {
            Column::Sampled { day_first } => test.sampled = self.day(heading, text, day_first),
            Column::Fertilized { day_first } => test.fertilized = self.day(heading, text, day_first),
            Column::Depth { unit } => test.depth_m = self.depth(text, unit),
            Column::Cores => test.cores = self.count(heading, text),
            Column::Ph(method) => {
                test.ph = self.number(heading, text);
                test.ph_method = test.ph_method.or(method);
            }
            Column::PhMethod => test.ph_method = self.word::<PhMethod>(text, "ph_method_unknown").or(test.ph_method),
            Column::Buffer { method, index } => {
                if let Some(value) = self.number(heading, text) {
                    let method = self.buffer.or(method).or(self.facts.buffer);
                    match method {
                        Some(method) => test.buffer = Some(Buffer { value, method, lime_index: index.or(self.facts.lime_index) }),
                        None => self.doubt(
                            "buffer_method_missing",
                            format!("The buffer reading {text} is of no use without its method (SMP, Mehlich, Adams-Evans, ...): declare it for the lab (buffer)."),
                        ),
                    }
                }
            }
            Column::Acidity => test.exchangeable_acidity_meq = self.number(heading, text),
            Column::Aluminum => test.exchangeable_aluminum_meq = self.number(heading, text),
            Column::Cec => test.cec_meq = self.number(heading, text),
            Column::ScoopDensity => test.scoop_density_g_cm3 = self.number(heading, text),
            Column::BulkDensity => test.bulk_density_g_cm3 = self.number(heading, text),
            Column::OrganicMatter(share) => test.organic_matter_pct = self.organic(heading, text, share),
            Column::Texture => test.texture = self.word(text, "texture_unknown"),
            Column::Nutrient { nutrient, form, unit, extractant } => {
                if let Some(m) = self.measurement(nutrient, heading, text, (form, unit, extractant)) {
                    test.measured.push(m);
                }
            }
            Column::Species => block.species = Some(text.to_string()).filter(|t| !t.is_empty()),
            Column::Age => block.age_years = self.count(heading, text),
            Column::SaleYear => block.sale_year = matches!(text.to_ascii_lowercase().as_str(), "y" | "yes" | "true" | "1" | "x"),
            Column::Height { unit } => block.height_m = self.with_unit(heading, text, unit, "m"),
            Column::TreesPerArea { unit } => {
                let per_ha = self.number(heading, text).and_then(|v| convert(v, &format!("trees/{unit}"), "trees/ha").ok());
                match per_ha.map(|v| bounds::TREES_HA.check(v)) {
                    Some(Ok(trees)) => block.trees_per_ha = trees,
                    Some(Err(error)) => self.doubt("ground_changed", format!("Left out: {error}")),
                    None => {}
                }
            }
            Column::Trees => block.trees = self.number(heading, text),
            Column::Spacing { unit } => {
                if let Some(per_ha) = self.spacing(heading, text, unit) {
                    block.trees_per_ha = per_ha;
                }
            }
            Column::Area { unit } => block.area_ha = self.with_unit(heading, text, unit, "ha"),
            _ => {}
        }
    }

    fn word<T: std::str::FromStr<Err = crate::Error>>(&mut self, text: &str, key: &str) -> Option<T> {
        if text.is_empty() {
            return None;
        }
        text.parse().map_err(|e: crate::Error| self.doubt(key, e.to_string())).ok()
    }

    /// A number, or a reason why there is none.
    fn reported(&mut self, heading: &str, text: &str) -> Option<Reported> {
        let read = cell::number(text, self.facts.decimal);
        let mut doubt = |key, words| {
            self.doubt(key, format!("{heading} {words}"));
            None
        };
        match read {
            Number::Value(value) => Some(value),
            Number::Blank => None,
            Number::Insufficient => doubt("insufficient_sample", format!("\"{text}\": the lab had too little soil.")),
            Number::TwoWays => doubt(
                "number_two_ways",
                format!("\"{text}\" can be {} or {}: declare the decimal mark (decimal).", text.replace(',', "."), text.replace(',', "")),
            ),
            Number::Date => doubt("number_is_date", format!("\"{text}\" is a date that a spreadsheet made of something like 3-4.")),
            Number::Unreadable => doubt("number_unreadable", format!("\"{text}\" is no number.")),
        }
    }

    fn number(&mut self, heading: &str, text: &str) -> Option<f64> {
        match self.reported(heading, text)? {
            Reported::Measured(value) => Some(value),
            other => {
                self.doubt("number_unreadable", format!("{heading} \"{other}\" is a limit, and a number is wanted."));
                None
            }
        }
    }

    fn count(&mut self, heading: &str, text: &str) -> Option<u32> {
        let value = self.number(heading, text)?;
        if (0.0..=1e6).contains(&value) && value.fract() == 0.0 {
            return Some(value as u32);
        }
        self.doubt("number_unreadable", format!("{heading} \"{text}\" is no whole number."));
        None
    }

    fn with_unit(&mut self, heading: &str, text: &str, unit: Option<&str>, wanted: &str) -> Option<f64> {
        if text.is_empty() {
            return None;
        }
        if let Ok(value) = crate::units::parse(text, wanted) {
            return Some(value);
        }
        let Some(unit) = unit else {
            self.doubt("unit_missing", format!("{heading} \"{text}\" has no unit: say it in the heading, as \"{heading} ({wanted})\"."));
            return None;
        };
        let value = self.number(heading, text)?;
        convert(value, unit, wanted).ok()
    }

    /// Trees in a hectare from a spacing like `5 x 6 ft`.
    fn spacing(&mut self, heading: &str, text: &str, unit: Option<&str>) -> Option<f64> {
        if text.is_empty() {
            return None;
        }
        let trees = cell::spacing(text, unit, self.facts.decimal);
        if trees.is_none() {
            self.doubt("spacing_unreadable", format!("{heading} \"{text}\" is no spacing: write 5 x 6 ft."));
        }
        trees
    }

    fn day(&mut self, heading: &str, text: &str, day_first: Option<bool>) -> Option<Date> {
        match cell::day(text, day_first.or(self.facts.day_first)) {
            Day::Blank => None,
            Day::On(day) => Some(day),
            Day::OtherOrder(day) => {
                self.doubt(
                    "date_other_order",
                    format!("{heading} \"{text}\" exists only with day and month the other way round: taken as {day}."),
                );
                Some(day)
            }
            Day::TwoWays => {
                self.doubt(
                    "date_two_ways",
                    format!("{heading} \"{text}\" can be day/month or month/day: declare the lab's order (day_first)."),
                );
                None
            }
            Day::Unreadable => {
                self.doubt("date_unreadable", format!("{heading} \"{text}\" is no date with a year of four digits."));
                None
            }
        }
    }

    fn depth(&mut self, text: &str, unit: Option<&str>) -> Option<f64> {
        match cell::depth(text, unit) {
            Depth::Blank => return self.facts.depth_m,
            Depth::To(m) => return Some(m),
            Depth::Below(m) => self.reasons.push(reason(
                "subsoil",
                Status::NotUsable,
                format!("The layer \"{text}\" begins {:.0} cm down; tables hold from the surface.", 100.0 * m),
            )),
            Depth::Date => {
                self.doubt("depth_is_date", format!("The depth \"{text}\" is a date that a spreadsheet made of something like 0-6."))
            }
            Depth::NoUnit => {
                self.doubt("unit_missing", format!("The depth \"{text}\" has no unit: say it in the heading, as \"Depth (in)\"."))
            }
            Depth::Unreadable => self.doubt("depth_unreadable", format!("The depth \"{text}\" cannot be read: write 0-6 in.")),
        }
        None
    }

    fn organic(&mut self, heading: &str, text: &str, share: Option<ShareAs>) -> Option<f64> {
        let value = self.number(heading, text)?;
        match self.facts.organic_matter_as.or(share.filter(|s| *s == ShareAs::Fraction)) {
            Some(ShareAs::Fraction) => Some(100.0 * value),
            Some(ShareAs::Percent) => Some(value),
            None if value > 0.0 && value < LEAST_ORGANIC_PCT => {
                self.doubt(
                    "percent_as_fraction",
                    format!(
                        "{heading} {text} taken as a fraction, {} %: topsoil has more than {LEAST_ORGANIC_PCT} %.",
                        crate::units::show::number(100.0 * value, 1)
                    ),
                );
                Some(100.0 * value)
            }
            None => Some(value),
        }
    }

    fn measurement(
        &mut self,
        nutrient: Nutrient,
        heading: &str,
        text: &str,
        (form, unit, extractant): (Option<Form>, Option<TestUnit>, Option<Extractant>),
    ) -> Option<Measurement> {
        if cell::number(text, self.facts.decimal) == Number::Blank && matches!(nutrient, Nutrient::P | Nutrient::K) {
            self.blank.retain(|n| *n != nutrient);
            self.blank.push(nutrient);
        }
        let value = self.reported(heading, text)?;
        let p_only = |e: Extractant| matches!(e, Extractant::BrayP1 | Extractant::BrayP2 | Extractant::Olsen);
        let is_p = nutrient == Nutrient::P;
        let own = |of: &Option<Nutrient>| *of == Some(nutrient);
        // of several methods in one cell, P takes the one that tells of P alone
        let of_all = self.methods.iter().filter(|(of, _)| of.is_none()).map(|(_, e)| *e);
        let in_cells =
            if is_p { of_all.clone().find(|e| p_only(*e)).or_else(|| of_all.clone().next()) } else { of_all.clone().find(|e| !p_only(*e)) };
        let of_lab = if is_p { self.facts.p_extractant.or(self.facts.extractant) } else { self.facts.extractant.filter(|e| !p_only(*e)) };
        let said = self.reasons.iter().any(|r| r.key == "extractant_unknown");
        let extractant =
            extractant.or(self.methods.iter().find(|(of, _)| own(of)).map(|(_, e)| *e)).or(in_cells).or(of_lab.filter(|_| !said));
        let unit = unit.or(find(&self.units, nutrient)).or(self.facts.unit);
        let form = form.or(find(&self.forms, nutrient)).or(self.facts.form);
        let (Some(extractant), Some(unit)) = (extractant, unit) else {
            if extractant.is_none() && !said {
                self.doubt(
                    "extractant_missing",
                    format!("{nutrient} {text}: nothing says what the lab extracted it with. Declare it (extractant)."),
                );
            }
            if unit.is_none() {
                self.doubt("unit_missing", format!("{nutrient} {text}: nothing says the unit. Declare it (unit), or in the heading."));
            }
            return None;
        };
        if form.is_none() && matches!(nutrient, Nutrient::P | Nutrient::K) && unit != TestUnit::Meq {
            let oxide = if is_p { "P2O5" } else { "K2O" };
            self.doubt("form_missing", format!("{nutrient} {text} {unit}: element or {oxide}? Declare it (form), or in the heading."));
            return None;
        }
        match value {
            Reported::Measured(_) => {}
            Reported::Above(_) => self.doubt("above_range", format!("{nutrient} {value} {unit} is above the lab's range.")),
            _ => self.doubt("below_detection", format!("{nutrient} {value} {unit} is below what the lab can tell.")),
        }
        Some(Measurement { nutrient, form, value, unit, extractant: Some(extractant), converted: None })
    }
}

fn find<T: Copy>(list: &[(Option<Nutrient>, T)], nutrient: Nutrient) -> Option<T> {
    let of = |wanted| list.iter().find(|(n, _)| *n == wanted).map(|(_, value)| *value);
    of(Some(nutrient)).or_else(|| of(None))
}
