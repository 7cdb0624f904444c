//! A collecting reader over TOML: every mistake of a file at once, each with its line and key.
//!
//! One rule for quantities. A key that ends in a unit takes a bare number (`row_spacing_m = 1.8`); the key without
//! the ending takes text with any unit (`row_spacing = "6 ft"`). Fractions and counts have no ending.

mod points;
mod spelling;

use crate::date::Date;
use crate::error::{Error, Result};
use crate::fertility::Reported;
use crate::units;
use spelling::{bare_name, each_once};
use std::cell::RefCell;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Faults of the TOML that are told one by one.
const FAULTS_SHOWN: usize = 3;

type Entry<'t> = Spanned<DeValue<'t>>;

/// Reads `text` with `read`, which asks its [`Table`] for what it needs.
///
/// # Errors
/// All mistakes of the file. If the text is not TOML, only the faults of the TOML, because what stands behind a
/// broken bracket or quote cannot be judged.
pub(crate) fn read<T>(text: &str, name: &str, read: impl FnOnce(&Table<'_, '_>) -> T) -> Result<T> {
    let starts = std::iter::once(0).chain(text.bytes().zip(1..).filter_map(|(b, next)| (b == b'\n').then_some(next))).collect();
    let source = Source { name, text, starts, problems: RefCell::default() };
    if text.contains('\0') {
        return Err(Error::unreadable("the file", text, "it holds binary data", "Give a text file written in TOML.").at(name));
    }
    let (document, faults) = DeTable::parse_recoverable(text);
    // one missing bracket makes faults of all that follow
    let more = faults.len().saturating_sub(FAULTS_SHOWN);
    for (fault, number) in faults.iter().take(FAULTS_SHOWN).zip(1..) {
        let at = fault.span().map_or(0, |span| span.start);
        let line = source.text.lines().nth(source.line(at).saturating_sub(1)).unwrap_or("").trim();
        let hint = match more {
            n if n > 0 && number == FAULTS_SHOWN => format!("Check quotes, brackets and commas; {n} more faults may follow from these."),
            _ => "Check quotes, brackets and commas.".into(),
        };
        let error = Error::unreadable("this line as TOML", line, fault.message().trim(), hint);
        source.push(at, error.at(source.place(at, "")));
    }
    if let Some(error) = source.problems() {
        return Err(error);
    }
    let top = Table::new(&source, document.get_ref(), 0, String::new());
    let value = read(&top);
    top.close();
    source.problems().map_or(Ok(value), Err)
}

struct Source<'t> {
    name: &'t str,
    text: &'t str,
    /// Byte that each line starts at.
    starts: Vec<usize>,
    /// With the byte they were found at, because tables are not walked in the order of lines.
    problems: RefCell<Vec<(usize, Error)>>,
}

impl Source<'_> {
    /// Line number of a byte, from 1.
    fn line(&self, at: usize) -> usize {
        self.starts.partition_point(|start| *start <= at)
    }

    fn place(&self, at: usize, path: &str) -> String {
        let within = if path.is_empty() { String::new() } else { format!(" ({path})") };
        format!("{}, line {}{within}", self.name, self.line(at))
    }

    fn push(&self, at: usize, error: Error) {
        self.problems.borrow_mut().push((at, error));
    }

    fn problems(&self) -> Option<Error> {
        let mut found = self.problems.take();
        found.sort_by_key(|(at, _)| *at);
        Error::several(found.into_iter().map(|(_, error)| error).collect())
    }
}

/// A table of the file. What is asked of it is remembered, so that whatever else it holds can be refused.
pub(crate) struct Table<'s, 't> {
    source: &'s Source<'t>,
    entries: &'s DeTable<'t>,
    at: usize,
    path: String,
    /// Keys asked for: as the model names them, and the other spelling.
    asked: RefCell<Vec<(&'static str, String)>>,
    /// Keys whose problem is known, under the model's name.
    faulty: RefCell<Vec<String>>,
}

impl<'s, 't> Table<'s, 't> {
    fn new(source: &'s Source<'t>, entries: &'s DeTable<'t>, at: usize, path: String) -> Self {
        Self { source, entries, at, path, asked: RefCell::default(), faulty: RefCell::default() }
    }

    fn find(&self, key: &str) -> Option<(usize, &'s Entry<'t>)> {
        self.entries.get_key_value(key).map(|(k, v)| (k.span().start, v))
    }

    fn ask(&self, key: &'static str) -> Option<&'s Entry<'t>> {
        self.asked.borrow_mut().push((key, String::new()));
        self.find(key).map(|(_, entry)| entry)
    }

    fn path_to(&self, key: &str) -> String {
        match (self.path.is_empty(), key.is_empty()) {
            (_, true) => self.path.clone(),
            (true, false) => key.to_string(),
            (false, false) => format!("{}, {key}", self.path),
        }
    }

    /// Records a problem at a key, or at the table where the key is absent.
    fn problem(&self, key: &str, error: Error) {
        self.faulty.borrow_mut().push(key.to_string());
        let other = self.asked.borrow().iter().find(|(name, _)| *name == key).map(|(_, other)| other.clone()).unwrap_or_default();
        let written = [key, &other].into_iter().find_map(|k| self.find(k).map(|(at, _)| (at, k.to_string())));
        // what is missing is told under the name that stands there, or under the one that takes any unit
        let named = error.is_missing() && error.name() == Some(key);
        let name = written.as_ref().map_or(other.as_str(), |(_, k)| k);
        let error = if named && !name.is_empty() { error.missing_as(name) } else { error };
        let (at, written) = written.unwrap_or((self.at, String::new()));
        self.source.push(at, error.at(self.source.place(at, &self.path_to(&written))));
    }

    fn wrong_type(&self, key: &'static str, entry: &Entry<'t>, wanted: &str, example: &str) {
        let given = self.source.text.get(entry.span()).unwrap_or("");
        let is = entry.get_ref().type_str();
        let article = if is.starts_with(['a', 'i']) { "an" } else { "a" };
        let why = format!("it is {article} {is}, and {wanted} is wanted");
        self.problem(key, Error::unreadable(key, given, why, format!("Write {key} = {example}.")));
    }

    /// Problems of the value that was made from this table, each placed at the key that it names. What follows from
    /// a problem that is known already is passed over.
    pub fn report(&self, error: &Error) {
        for problem in error.problems() {
            let key = problem.name().unwrap_or("").to_string();
            let faulty = self.faulty.borrow();
            let asked = self.asked.borrow().iter().any(|(name, _)| *name == key);
            let follows = faulty.contains(&key) || (problem.is_missing() && !asked && !faulty.is_empty());
            drop(faulty);
            if key.is_empty() || !follows {
                self.problem(&key, problem.clone());
            }
        }
    }

    /// Passes a value on and reports its error.
    pub fn ok<T>(&self, result: Result<T>) -> Option<T> {
        result.map_err(|error| self.report(&error)).ok()
    }

    /// A key that has to be there.
    pub fn need<T>(&self, key: &'static str, value: Option<T>, example: &str) -> Option<T> {
        if value.is_none() && !self.faulty.borrow().iter().any(|k| k == key) {
            self.problem(key, Error::missing(key, format!("Write {example}.")));
        }
        value
    }

    /// Text.
    pub fn text(&self, key: &'static str) -> Option<String> {
        let entry = self.ask(key)?;
        match entry.get_ref() {
            DeValue::String(text) => Some(text.to_string()),
            _ => {
                self.wrong_type(key, entry, "text", "\"...\"");
                None
            }
        }
    }

    /// A list of texts.
    pub fn words(&self, key: &'static str) -> Vec<String> {
        let Some(entry) = self.ask(key) else { return Vec::new() };
        let items = match entry.get_ref() {
            DeValue::Array(items) => items.iter().map(|i| i.get_ref().as_str().map(ToString::to_string)).collect::<Option<Vec<String>>>(),
            _ => None,
        };
        items.unwrap_or_else(|| {
            self.wrong_type(key, entry, "a list of texts", "[\"...\", \"...\"]");
            Vec::new()
        })
    }

    /// A lab's value: a number, or text such as "<1".
    pub fn reported(&self, key: &'static str) -> Option<Reported> {
        let entry = self.ask(key)?;
        match (number(entry.get_ref()), entry.get_ref()) {
            (Some(value), _) => Some(Reported::Measured(value)),
            (None, DeValue::String(text)) => text.parse().map_err(|error| self.problem(key, error)).ok(),
            _ => {
                self.wrong_type(key, entry, "a number or text", "31, or \"<1\"");
                None
            }
        }
    }

    /// A word out of a closed list.
    pub fn choice<T: std::str::FromStr<Err = Error>>(&self, key: &'static str) -> Option<T> {
        let text = self.text(key)?;
        text.parse().map_err(|error| self.problem(key, error)).ok()
    }

    /// true or false.
    pub fn flag(&self, key: &'static str) -> Option<bool> {
        let entry = self.ask(key)?;
        match entry.get_ref() {
            DeValue::Boolean(flag) => Some(*flag),
            _ => {
                self.wrong_type(key, entry, "true or false", "true");
                None
            }
        }
    }

    /// A whole number from 0 up.
    pub fn count(&self, key: &'static str) -> Option<u32> {
        let entry = self.ask(key)?;
        let count = match entry.get_ref() {
            DeValue::Integer(number) => u32::from_str_radix(number.as_str(), number.radix()).ok(),
            _ => None,
        };
        if count.is_none() {
            self.wrong_type(key, entry, "a whole number from 0 to 4294967295", "12");
        }
        count
    }

    /// A day, as TOML has it (`2026-07-14`) or as text.
    pub fn date(&self, key: &'static str) -> Option<Date> {
        let entry = self.ask(key)?;
        let text = match entry.get_ref() {
            DeValue::Datetime(day) => day.to_string(),
            DeValue::String(text) => text.to_string(),
            _ => {
                self.wrong_type(key, entry, "a day", "2026-07-14");
                return None;
            }
        };
        text.parse().map_err(|error| self.problem(key, error)).ok()
    }

    /// A day, or the year alone.
    pub fn day_or_year<T>(&self, key: &'static str, day: impl Fn(Date) -> T, year: impl Fn(i32) -> T) -> Option<T> {
        match self.find(key).map(|(_, entry)| entry.get_ref()) {
            Some(DeValue::Integer(_)) => self.count(key).and_then(|y| i32::try_from(y).ok()).map(year),
            _ => self.date(key).map(day),
        }
    }

    /// A quantity in `unit`. `key` is its name with the unit's ending (`row_spacing_m`); see the rule above.
    /// The range is the model's business.
    pub fn quantity(&self, key: &'static str, unit: &str) -> Option<f64> {
        let bare = bare_name(key, unit);
        self.asked.borrow_mut().push((key, bare.to_string()));
        match (self.find(key), self.find(bare)) {
            (Some(_), Some(_)) if key != bare => {
                self.problem(key, Error::inconsistent(format!("{key} and {bare} are both given"), "Keep one of them."));
                None
            }
            (Some((_, entry)), _) => match (number(entry.get_ref()), entry.get_ref()) {
                (Some(value), _) => Some(value),
                (None, DeValue::String(text)) if key == bare => self.with_unit(key, text, unit),
                (None, DeValue::String(text)) => {
                    let why = "a key that ends in a unit takes a bare number";
                    self.problem(key, Error::unreadable(key, text, why, format!("Write {bare} = \"...\" for text with a unit.")));
                    None
                }
                _ => {
                    self.wrong_type(key, entry, "a number", "1.5");
                    None
                }
            },
            (None, Some((_, entry))) => match (entry.get_ref(), number(entry.get_ref())) {
                (DeValue::String(text), _) => self.with_unit(key, text, unit),
                (_, Some(value)) => {
                    let hint = format!("Write {bare} = \"{value} {unit}\", or {key} = {value}.");
                    self.problem(key, Error::missing(format!("the unit of {bare}"), hint));
                    None
                }
                _ => {
                    self.wrong_type(key, entry, "a number with its unit", &format!("\"1.5 {unit}\""));
                    None
                }
            },
            (None, None) => None,
        }
    }

    fn with_unit(&self, key: &str, text: &str, unit: &str) -> Option<f64> {
        units::parse(text, unit).map_err(|error| self.problem(key, error)).ok()
    }

    /// What `read` makes of the table under `key`, if there is one.
    pub fn table<T>(&self, key: &'static str, read: impl FnOnce(&Table<'s, 't>) -> T) -> Option<T> {
        let entry = self.ask(key)?;
        match entry.get_ref() {
            DeValue::Table(entries) => Some(self.child(entries, entry.span().start, key.to_string(), read)),
            _ => {
                self.wrong_type(key, entry, "a table", &format!("{{ ... }}, or open it with [{key}]"));
                None
            }
        }
    }

    /// What `read` makes of each `[[key]]`.
    pub fn tables<T>(&self, key: &'static str, read: impl Fn(&Table<'s, 't>) -> T) -> Vec<T> {
        let Some(entry) = self.ask(key) else { return Vec::new() };
        let DeValue::Array(items) = entry.get_ref() else {
            self.wrong_type(key, entry, "a list of tables", &format!("[{{ ... }}], or open each with [[{key}]]"));
            return Vec::new();
        };
        let mut values = Vec::new();
        for (item, number) in items.iter().zip(1..) {
            match item.get_ref() {
                DeValue::Table(entries) => {
                    let name = entries.iter().find(|(k, _)| k.get_ref() == "name").and_then(|(_, v)| v.get_ref().as_str());
                    let label = name.map_or(format!("{key} {number}"), |n| format!("{key} \"{n}\""));
                    values.push(self.child(entries, item.span().start, label, &read));
                }
                _ => self.wrong_type(key, item, "a list of tables", &format!("[{{ ... }}], or open each with [[{key}]]")),
            }
        }
        values
    }

    /// What `read` makes of each `[key.NAME]`, with its name.
    pub fn named_tables<T>(&self, key: &'static str, read: impl Fn(&Table<'s, 't>) -> T) -> Vec<(String, T)> {
        let Some(entry) = self.ask(key) else { return Vec::new() };
        let DeValue::Table(names) = entry.get_ref() else {
            self.wrong_type(key, entry, "a table of tables", &format!("{{ NAME = {{ ... }} }}, or open each with [{key}.NAME]"));
            return Vec::new();
        };
        let mut values = Vec::new();
        for (name, item) in names {
            match item.get_ref() {
                DeValue::Table(entries) => {
                    let value = self.child(entries, name.span().start, format!("{key} \"{}\"", name.get_ref()), &read);
                    values.push((name.get_ref().to_string(), value));
                }
                _ => {
                    let path = self.path_to(&format!("{key} \"{}\"", name.get_ref()));
                    let hint = format!("Open it with [{key}.{}], its keys below.", name.get_ref());
                    let error = Error::unreadable(key, name.get_ref(), format!("it is a {}, not a table", item.get_ref().type_str()), hint);
                    self.source.push(name.span().start, error.at(self.source.place(name.span().start, &path)));
                }
            }
        }
        values
    }

    fn child<T>(&self, entries: &'s DeTable<'t>, at: usize, label: String, read: impl FnOnce(&Table<'s, 't>) -> T) -> T {
        let child = Table::new(self.source, entries, at, self.path_to(&label));
        let value = read(&child);
        child.close();
        value
    }

    /// Refuses every key that was not asked for.
    fn close(&self) {
        let asked = self.asked.borrow();
        let spellings = each_once(asked.iter().flat_map(|(key, bare)| [*key, bare.as_str()]).filter(|k| !k.is_empty()));
        let listed = each_once(asked.iter().map(|(key, bare)| if bare.is_empty() { *key } else { bare.as_str() }));
        for (key, _) in self.entries.iter().filter(|(k, _)| !spellings.iter().any(|s| k.get_ref() == s)) {
            let at = key.span().start;
            let error = Error::unknown_spelling("key", key.get_ref(), &spellings, &listed);
            self.source.push(at, error.at(self.source.place(at, &self.path_to(""))));
        }
    }
}

/// A number of TOML; infinities and NaN pass, the range refuses them.
fn number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Float(float) => float.as_str().parse().ok(),
        DeValue::Integer(integer) => i64::from_str_radix(integer.as_str(), integer.radix()).ok().map(|i| i as f64),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_missing_bracket_is_told_once_and_not_line_by_line() {
        let many: String = (0..40).map(|n| format!("{{ a = {n} }},\n")).collect();
        let error = read(&many, "f.toml", |_| ()).unwrap_err();
        assert_eq!(error.problems().len(), FAULTS_SHOWN);
        assert!(error.to_string().contains("more faults may follow from these."), "{error}");
    }

    fn length(text: &str) -> Result<f64> {
        read(text, "f.toml", |t| t.need("reach_m", t.quantity("reach_m", "m"), "reach = \"100 ft\"").unwrap_or(0.0))
    }

    #[test]
    fn the_ending_says_the_unit_or_the_text_does() {
        assert_eq!(length("reach_m = 30.48").unwrap(), 30.48);
        assert_eq!(length("reach_m = 30").unwrap(), 30.0);
        assert_eq!(length("reach = \"100 ft\"").unwrap(), 30.48);
        for (text, message) in [
            ("reach = 100", "f.toml, line 1 (reach): the unit of reach is missing. Write reach = \"100 m\", or reach_m = 100."),
            (
                "reach_m = \"100 ft\"",
                "f.toml, line 1 (reach_m): cannot read reach_m \"100 ft\": a key that ends in a unit takes a bare number. Write reach = \"...\" for text with a unit.",
            ),
            ("reach_m = 1\nreach = \"3 ft\"", "f.toml, line 1 (reach_m): reach_m and reach are both given. Keep one of them."),
            ("", "f.toml, line 1: reach is missing. Write reach = \"100 ft\"."),
            (
                "reach_m = [1]",
                "f.toml, line 1 (reach_m): cannot read reach_m \"[1]\": it is an array, and a number is wanted. Write reach_m = 1.5.",
            ),
            (
                "reach = \"100 gal\"",
                "f.toml, line 1 (reach): cannot read quantity \"100 gal\": gal measures a volume, and a length is wanted. Write it in m, ft or in.",
            ),
        ] {
            assert_eq!(length(text).unwrap_err().to_string(), message);
        }
    }

    #[test]
    fn problems_come_in_the_order_of_lines() {
        let error = length("zebra = 1\nreach = 5\nrech = 3\n").unwrap_err();
        let lines: Vec<_> = error.problems().iter().map(|p| p.place().unwrap().to_string()).collect();
        assert_eq!(lines, ["f.toml, line 1", "f.toml, line 2 (reach)", "f.toml, line 3"]);
        assert!(error.to_string().contains("key \"rech\" is not known. Did you mean \"reach\"? Known: \"reach\"."));
    }

    #[test]
    fn a_key_is_offered_once_however_often_it_was_asked_for() {
        let asked = |t: &Table<'_, '_>| (t.quantity("wage_h", ""), t.quantity("wage_h", ""), t.quantity("reach_m", "m"));
        assert_eq!(
            read("wages = 3", "f.toml", asked).unwrap_err().to_string(),
            "f.toml, line 1: key \"wages\" is not known. Did you mean \"wage_h\"? Known: \"wage_h\", \"reach\"."
        );
    }

    #[test]
    fn what_is_not_toml_is_said_with_its_line() {
        let error = length("reach_m = 3\nname = \"half\nspecies = [\n").unwrap_err();
        assert!(error.problems().iter().all(|p| p.is_unreadable()), "{error}");
        assert!(error.problems()[0].place().unwrap().starts_with("f.toml, line 2"), "{error}");
        let binary = length("\u{0}\u{1}").unwrap_err();
        assert_eq!(
            binary.to_string(),
            "f.toml: cannot read the file \"\\u{0}\\u{1}\": it holds binary data. Give a text file written in TOML."
        );
    }
}
