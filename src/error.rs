//! The one error of the crate: what was asked, which value, its unit, what is permitted, and what to do.
//!
//! Kinds are private; callers use the predicates. A file or a struct with several mistakes gives one
//! error whose [`Error::problems`] lists them all.

use std::fmt;

/// Shorthand for `std::result::Result<T, dibble::Error>`.
pub type Result<T> = std::result::Result<T, Error>;

/// Why a call was refused. Read it with [`std::fmt::Display`]; branch on it with the predicates.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub struct Error {
    kind: Box<Kind>,
    place: Option<String>,
    index: Option<usize>,
    also: usize,
}

#[derive(Debug, Clone, PartialEq, thiserror::Error)]
enum Kind {
    #[error("{words} must be from {min} to {max}{}. {hint}", spaced(unit))]
    OutOfRange { name: String, words: &'static str, value: f64, unit: &'static str, min: f64, max: f64, hint: &'static str },
    #[error("{what} is missing. {hint}")]
    Missing { what: String, hint: String },
    #[error("{what} \"{given}\" is not known. {}", suggestion(nearest, allowed))]
    Unknown { what: String, given: String, nearest: Vec<String>, allowed: Vec<String> },
    #[error("cannot read {what} \"{given}\": {why}. {hint}")]
    Unreadable { what: String, given: String, why: String, hint: String },
    #[error("{what}. {hint}")]
    Inconsistent { what: String, hint: String },
    #[error("{what}. {hint}")]
    Infeasible { what: String, hint: String },
    #[error("stopped on request before {what} was finished; nothing was changed")]
    Cancelled { what: String },
    #[error("{what} needs more than the work limit of {limit} steps. Raise the limit or give a smaller problem.")]
    Limit { what: String, limit: u64 },
    #[error("{action} {path}: {why}. {hint}")]
    File { action: &'static str, path: String, why: String, hint: String },
    #[error("internal fault in {what}: {why}. Please report this with the input that led to it.")]
    Internal { what: String, why: String },
    #[error("{} problems:\n{}", .0.len(), listed(.0))]
    Several(Vec<Error>),
}

fn spaced(unit: &str) -> String {
    if unit.is_empty() { String::new() } else { format!(" {unit}") }
}

fn suggestion(nearest: &[String], allowed: &[String]) -> String {
    let quoted = |names: &[String]| names.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ");
    match (nearest.is_empty(), allowed.is_empty()) {
        (false, false) => format!("Did you mean {}? Known: {}.", quoted(nearest), quoted(allowed)),
        (false, true) => format!("Did you mean {}?", quoted(nearest)),
        (true, false) => format!("Known: {}.", quoted(allowed)),
        (true, true) => "See the documentation for the known names.".into(),
    }
}

fn listed(problems: &[Error]) -> String {
    problems.iter().map(|p| format!("  - {p}")).collect::<Vec<_>>().join("\n")
}

impl Kind {
    /// What is wrong with further elements of the same array.
    fn fault(&self) -> &'static str {
        if matches!(self, Kind::OutOfRange { .. }) { "out of range" } else { "refused" }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = &self.place {
            write!(f, "{place}: ")?;
        }
        if let Kind::OutOfRange { name, value, unit, .. } = self.kind.as_ref() {
            write!(f, "{name}")?;
            if let Some(index) = self.index {
                write!(f, "[{index}]")?;
            }
            write!(f, " is {}{}: ", shown(*value), spaced(unit))?;
        } else if let Some(index) = self.index {
            write!(f, "element {index}: ")?;
        }
        write!(f, "{}", self.kind)?;
        match self.also {
            0 => Ok(()),
            1 => write!(f, " (1 more value is {})", self.kind.fault()),
            n => write!(f, " ({n} more values are {})", self.kind.fault()),
        }
    }
}

/// What an out-of-range error is made of; [`crate::bounds::Bound`] fills it.
pub(crate) struct OutOfRange {
    pub name: String,
    pub words: &'static str,
    pub value: f64,
    pub unit: &'static str,
    pub min: f64,
    pub max: f64,
    pub hint: &'static str,
}

impl Error {
    fn new(kind: Kind) -> Self {
        Self { kind: Box::new(kind), place: None, index: None, also: 0 }
    }

    pub(crate) fn out_of_range(o: OutOfRange) -> Self {
        let OutOfRange { name, words, value, unit, min, max, hint } = o;
        Self::new(Kind::OutOfRange { name, words, value, unit, min, max, hint })
    }

    /// Something that was needed was not given; `hint` says what to do.
    pub fn missing(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(Kind::Missing { what: what.into(), hint: hint.into() })
    }

    /// A name outside a closed list. The nearest known names are offered.
    pub fn unknown<S: AsRef<str>>(what: impl Into<String>, given: &str, allowed: &[S]) -> Self {
        Self::unknown_spelling(what, given, allowed, allowed)
    }

    /// As [`Error::unknown`] for names with many spellings: the nearest come from `spellings`, the list shows `listed`.
    pub(crate) fn unknown_spelling<S: AsRef<str>, L: AsRef<str>>(
        what: impl Into<String>,
        given: &str,
        spellings: &[S],
        listed: &[L],
    ) -> Self {
        let owned = |name: &str| name.to_string();
        let spellings: Vec<String> = spellings.iter().map(|s| owned(s.as_ref())).collect();
        let allowed = listed.iter().map(|l| owned(l.as_ref())).collect();
        Self::new(Kind::Unknown { what: what.into(), given: clipped(given), nearest: nearest_names(given, &spellings), allowed })
    }

    /// Text that does not parse: what it should have been, why it is not, what to write instead.
    pub fn unreadable(what: impl Into<String>, given: &str, why: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(Kind::Unreadable { what: what.into(), given: clipped(given), why: nesting(why.into()), hint: hint.into() })
    }

    /// Values that are possible one by one and impossible together.
    pub fn inconsistent(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(Kind::Inconsistent { what: what.into(), hint: hint.into() })
    }

    /// A question with no answer: what cannot be met, and what would have to give.
    pub fn infeasible(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(Kind::Infeasible { what: what.into(), hint: hint.into() })
    }

    /// The same under the name that a file has for what is missing.
    pub(crate) fn missing_as(mut self, written: &str) -> Self {
        if let Kind::Missing { what, .. } = self.kind.as_mut() {
            *what = written.into();
        }
        self
    }
    pub(crate) fn cancelled(what: impl Into<String>) -> Self {
        Self::new(Kind::Cancelled { what: what.into() })
    }

    pub(crate) fn limit(what: impl Into<String>, limit: u64) -> Self {
        Self::new(Kind::Limit { what: what.into(), limit })
    }

    /// A file that could not be read or written.
    pub fn file(action: &'static str, path: impl Into<String>, why: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(Kind::File { action, path: path.into(), why: why.into(), hint: hint.into() })
    }

    pub(crate) fn internal(what: impl Into<String>, why: impl Into<String>) -> Self {
        Self::new(Kind::Internal { what: what.into(), why: why.into() })
    }

    /// One error out of many; a single one stays itself. `None` for an empty list.
    pub fn several(mut problems: Vec<Error>) -> Option<Self> {
        match problems.len() {
            0 => None,
            1 => problems.pop(),
            _ => Some(Self::new(Kind::Several(problems))),
        }
    }

    /// The same error with the place it was found at ("farm.toml, line 12").
    #[must_use]
    pub fn at(mut self, place: impl Into<String>) -> Self {
        self.place = Some(place.into());
        self
    }

    /// The same error for element `index` of an array, `also` counting the further faulty ones.
    #[must_use]
    pub fn at_index(mut self, index: usize, also: usize) -> Self {
        self.index = Some(index);
        self.also = also;
        self
    }

    /// A number outside its permitted range, or one that is not finite.
    pub fn is_out_of_range(&self) -> bool {
        matches!(*self.kind, Kind::OutOfRange { .. })
    }
    /// Something needed was not given.
    pub fn is_missing(&self) -> bool {
        matches!(*self.kind, Kind::Missing { .. })
    }
    /// A name outside a closed list.
    pub fn is_unknown_name(&self) -> bool {
        matches!(*self.kind, Kind::Unknown { .. })
    }
    /// Text that does not parse.
    pub fn is_unreadable(&self) -> bool {
        matches!(*self.kind, Kind::Unreadable { .. })
    }
    /// Values that contradict each other.
    pub fn is_inconsistent(&self) -> bool {
        matches!(*self.kind, Kind::Inconsistent { .. })
    }
    /// The question has no answer.
    pub fn is_infeasible(&self) -> bool {
        matches!(*self.kind, Kind::Infeasible { .. })
    }
    /// Stopped through [`crate::control::Control::cancel`].
    pub fn is_cancelled(&self) -> bool {
        matches!(*self.kind, Kind::Cancelled { .. })
    }
    /// The work limit of [`crate::control::Control`] was reached.
    pub fn is_limit(&self) -> bool {
        matches!(*self.kind, Kind::Limit { .. })
    }
    /// A file could not be read or written.
    pub fn is_file(&self) -> bool {
        matches!(*self.kind, Kind::File { .. })
    }
    /// A fault of this library or of one it uses, caught before it reached the caller.
    pub fn is_internal(&self) -> bool {
        matches!(*self.kind, Kind::Internal { .. })
    }

    /// Name of the quantity, where the error is about one.
    pub fn name(&self) -> Option<&str> {
        match self.kind.as_ref() {
            Kind::OutOfRange { name, .. } => Some(name),
            Kind::Missing { what, .. } | Kind::Unknown { what, .. } | Kind::Unreadable { what, .. } => Some(what),
            _ => None,
        }
    }
    /// The refused number.
    pub fn value(&self) -> Option<f64> {
        match *self.kind {
            Kind::OutOfRange { value, .. } => Some(value),
            _ => None,
        }
    }
    /// The refused text, clipped to a readable length.
    pub fn given(&self) -> Option<&str> {
        match self.kind.as_ref() {
            Kind::Unknown { given, .. } | Kind::Unreadable { given, .. } => Some(given),
            _ => None,
        }
    }
    /// Unit of the refused number ("" for fractions and counts).
    pub fn unit(&self) -> Option<&'static str> {
        match *self.kind {
            Kind::OutOfRange { unit, .. } => Some(unit),
            _ => None,
        }
    }
    /// Where it was found: a file and line, or a table row.
    pub fn place(&self) -> Option<&str> {
        self.place.as_deref()
    }
    /// Index of the first faulty element of an array argument.
    pub fn index(&self) -> Option<usize> {
        self.index
    }
    /// All problems, one by one: the list of a collected error, or this error alone.
    pub fn problems(&self) -> &[Error] {
        match self.kind.as_ref() {
            Kind::Several(list) => list,
            _ => std::slice::from_ref(self),
        }
    }
}

/// Long or binary input is clipped and escaped before it enters a message.
fn clipped(text: &str) -> String {
    const LONGEST: usize = 60;
    let shown: String =
        text.chars().take(LONGEST).flat_map(|c| if c.is_control() { c.escape_default().collect::<Vec<_>>() } else { vec![c] }).collect();
    if text.chars().count() > LONGEST { format!("{shown}...") } else { shown }
}

/// A number without hundreds of digits.
fn shown(value: f64) -> String {
    let plain = !value.is_finite() || value == 0.0 || (1e-12..1e21).contains(&value.abs());
    if plain { value.to_string() } else { format!("{value:e}") }
}

/// What readers of JSON and TOML say of brackets beyond their depth, in words that tell what to look for.
fn nesting(why: String) -> String {
    let depth = ["recursion limit exceeded", "recursion limit", "cannot recurse further; max recursion depth met"];
    match depth.iter().find_map(|words| why.strip_prefix(words)) {
        Some(place) => format!("lists or tables are nested too deep{place}"),
        None => why,
    }
}

/// Known names within a small edit distance of what was typed, or that contain it, best first.
fn nearest_names(given: &str, allowed: &[String]) -> Vec<String> {
    let plain = |s: &str| s.trim().to_lowercase().replace(['_', '-'], " ");
    let typed = plain(&clipped(given));
    if typed.is_empty() {
        return Vec::new();
    }
    let mut scored: Vec<(usize, &String)> = allowed
        .iter()
        .map(|name| {
            let known = plain(name);
            let score = if typed.len().min(known.len()) >= 3 && (known.contains(&typed) || typed.contains(&known)) {
                1
            } else {
                edit_distance(&typed, &known)
            };
            (score, name)
        })
        .filter(|(score, name)| *score <= (name.len() / 3).max(2))
        .collect();
    scored.sort();
    scored.into_iter().take(3).map(|(_, name)| name.clone()).collect()
}

fn edit_distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut previous = i;
        let mut left = i + 1;
        for (cell, cb) in row.iter_mut().skip(1).zip(&b) {
            let best = (previous + usize::from(ca != *cb)).min(*cell + 1).min(left + 1);
            previous = *cell;
            *cell = best;
            left = best;
        }
        if let Some(first) = row.first_mut() {
            *first = i + 1;
        }
    }
    row.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unknown_name_offers_the_nearest() {
        let error = Error::unknown("species", "frasier fir", &["Fraser fir", "balsam fir", "white pine"]);
        assert_eq!(
            error.to_string(),
            "species \"frasier fir\" is not known. Did you mean \"Fraser fir\"? Known: \"Fraser fir\", \"balsam fir\", \"white pine\"."
        );
        assert!(error.is_unknown_name());
    }

    #[test]
    fn several_problems_keep_their_places() {
        let one = Error::missing("latitude_deg", "Write it under [site].").at("farm.toml, line 3");
        let two = Error::inconsistent("sand and clay add to 120 %", "Give percentages of the fine earth.").at("farm.toml, line 9");
        let both = Error::several(vec![one, two]).unwrap();
        assert_eq!(both.problems().len(), 2);
        assert_eq!(
            both.to_string(),
            "2 problems:\n  - farm.toml, line 3: latitude_deg is missing. Write it under [site].\n  - farm.toml, line 9: sand and clay add to 120 %. Give percentages of the fine earth."
        );
    }

    #[test]
    fn numbers_beyond_all_reason_are_told_in_powers_of_ten() {
        let told = |value: f64| crate::bounds::WIND_M_S.check(value).unwrap_err().to_string();
        assert!(told(4.4704e299).starts_with("wind_m_s is 4.4704e299 m/s: "), "{}", told(4.4704e299));
        assert!(told(-1e-300).starts_with("wind_m_s is -1e-300 m/s: "));
        assert!(told(123_456_789.5).starts_with("wind_m_s is 123456789.5 m/s: "));
    }

    #[test]
    fn brackets_beyond_the_depth_of_readers_are_told_in_words() {
        let brackets = "[".repeat(100_000);
        let json = serde_json::from_str::<serde_json::Value>(&brackets).unwrap_err().to_string();
        let error = Error::unreadable("GeoJSON", "[", json, "Give a feature.");
        assert_eq!(
            error.to_string(),
            "cannot read GeoJSON \"[\": lists or tables are nested too deep at line 1 column 128. Give a feature."
        );
        for text in [format!("a = {brackets}"), format!("{}a = 1", "a.".repeat(100_000)), format!("[{}a]", "a.".repeat(100_000))] {
            let fault = toml::from_str::<toml::Table>(&text).unwrap_err();
            let error = Error::unreadable("this line", "a", fault.message().trim(), "Write less.");
            assert_eq!(error.to_string(), "cannot read this line \"a\": lists or tables are nested too deep. Write less.");
        }
    }

    #[test]
    fn binary_and_long_text_is_clipped_and_escaped() {
        let error = Error::unreadable("date", &"\u{0}x".repeat(50), "it holds control characters", "Write 2026-07-14.");
        assert!(error.to_string().contains("\\u{0}x"));
        assert!(error.given().unwrap().ends_with("..."));
    }

    #[test]
    fn an_array_error_names_its_element_and_counts_the_rest() {
        let error = Error::inconsistent("tmin_c 20 is above tmax_c 10", "Swap them.").at_index(3, 2);
        assert_eq!(error.to_string(), "element 3: tmin_c 20 is above tmax_c 10. Swap them. (2 more values are refused)");
    }

    #[test]
    fn edit_distance_counts_single_changes() {
        assert_eq!(edit_distance("fir", "fur"), 1);
        assert_eq!(edit_distance("", "abc"), 3);
        assert_eq!(edit_distance("clay loam", "loam"), 5);
    }
}
