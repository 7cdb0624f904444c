//! One cell of a lab file: numbers with either decimal mark, values below detection, dates in either order, depths, and
//! names that a spreadsheet made dates of.

use super::DecimalMark;
use crate::date::Date;
use crate::fertility::Reported;
use crate::units::convert;

/// What stands in a cell that should hold a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Number {
    /// Nothing, or a mark for nothing.
    Blank,
    /// The lab had too little soil.
    Insufficient,
    /// A number, or a value below detection or above range.
    Value(Reported),
    /// 1,250 can be read in two ways.
    TwoWays,
    /// 3-4 and other things that a spreadsheet made a date of.
    Date,
    /// Something else.
    Unreadable,
}

/// Reads a number; `mark` decides where a comma can be either.
pub(super) fn number(text: &str, mark: Option<DecimalMark>) -> Number {
    let text = clean(text);
    match text.to_ascii_lowercase().as_str() {
        "" | "na" | "n/a" | "#n/a" | "nan" | "null" | "none" | "-" | "--" | "." | "nt" | "nr" | "ns" => return Number::Blank,
        "is" | "i.s." | "insufficient" | "insufficient sample" | "qns" => return Number::Insufficient,
        _ => {}
    }
    if like_date(text) {
        return Number::Date;
    }
    let digits = text.trim_start_matches(['<', '>']).trim();
    let plain = match point(digits, mark) {
        Some(plain) => plain,
        None => return Number::TwoWays,
    };
    let sign = text.chars().next().filter(|c| matches!(c, '<' | '>')).map_or(String::new(), String::from);
    match format!("{sign}{plain}").parse::<Reported>() {
        Ok(value) => Number::Value(value),
        Err(_) => Number::Unreadable,
    }
}

/// The same number with a decimal point and no mark for thousands; `None` where the comma can be either.
fn point(text: &str, mark: Option<DecimalMark>) -> Option<String> {
    let Some(last) = text.rfind(',') else { return Some(text.into()) };
    let (before, after) = (text.get(..last).unwrap_or(""), text.get(last + 1..).unwrap_or(""));
    if let Some(dot) = text.rfind('.') {
        return Some(if dot > last { text.replace(',', "") } else { text.replace('.', "").replace(',', ".") });
    }
    let groups = text.split(',').count();
    let decimal = groups == 2 && (after.len() != 3 || before == "0" || before.len() > 3);
    match mark {
        _ if decimal => Some(text.replace(',', ".")),
        _ if groups > 2 => Some(text.replace(',', "")),
        Some(DecimalMark::Comma) => Some(text.replace(',', ".")),
        Some(DecimalMark::Point) => Some(text.replace(',', "")),
        None => None,
    }
}

/// A plain number, where one stands in the cell.
pub(super) fn plain(text: &str, mark: Option<DecimalMark>) -> Option<f64> {
    match number(text, mark) {
        Number::Value(Reported::Measured(value)) => Some(value),
        _ => None,
    }
}

/// Without the spaces and quotes that exports put around a value.
pub(super) fn clean(text: &str) -> &str {
    text.trim_matches(|c: char| c.is_whitespace() || matches!(c, '\u{a0}' | '\u{feff}' | '\'' | '`'))
}

/// What stands in a cell that should hold a date.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Day {
    /// Nothing.
    Blank,
    /// A day.
    On(Date),
    /// A day that exists only in the other order than the one said.
    OtherOrder(Date),
    /// 3/4/2027, and nobody said which comes first.
    TwoWays,
    /// Something else.
    Unreadable,
}

const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

fn month(word: &str) -> Option<u32> {
    let short = word.get(..3)?.to_ascii_lowercase();
    let at = MONTHS.iter().position(|m| *m == short)?;
    word.chars().all(char::is_alphabetic).then_some(u32::try_from(at + 1).unwrap_or(1))
}

/// Reads a date.
pub(super) fn day(text: &str, day_first: Option<bool>) -> Day {
    let text = clean(text);
    if matches!(text.to_ascii_lowercase().as_str(), "" | "na" | "n/a" | "-" | "nan" | "nat" | "none") {
        return Day::Blank;
    }
    let digits = |w: &str| if w.bytes().all(|b| b.is_ascii_digit()) { w.parse::<u32>().ok() } else { None };
    let date = text.split_once(['T', ' ']).filter(|(d, t)| d.len() >= 8 && t.contains(':')).map_or(text, |(d, _)| d);
    if let Some(all) = digits(date).filter(|_| date.len() == 8) {
        return new(all / 10_000, all / 100 % 100, all % 100).map_or(Day::Unreadable, Day::On);
    }
    let words: Vec<&str> = date.split(['-', '/', '.', ' ', ',']).filter(|w| !w.is_empty()).collect();
    let [a, b, c] = words.as_slice() else { return Day::Unreadable };
    let named = match (month(a), month(b)) {
        (_, Some(m)) => Some((digits(a), m, c)),
        (Some(m), _) => Some((digits(b), m, c)),
        _ => None,
    };
    if let Some((d, m, year)) = named {
        let year = digits(year).filter(|_| year.len() == 4);
        return d.zip(year).and_then(|(d, y)| new(y, m, d)).map_or(Day::Unreadable, Day::On);
    }
    let (Some(x), Some(y), Some(z)) = (digits(a), digits(b), digits(c)) else { return Day::Unreadable };
    if a.len() == 4 {
        return new(x, y, z).map_or(Day::Unreadable, Day::On);
    }
    if c.len() != 4 {
        return Day::Unreadable; // a year of two digits: nothing tells the century, or even which number is the year
    }
    let (as_day_first, as_month_first) = (new(z, y, x), new(z, x, y));
    match (as_day_first, as_month_first, day_first) {
        (Some(one), Some(other), _) if one == other => Day::On(one),
        (Some(d), Some(_), Some(true)) | (Some(_), Some(d), Some(false)) => Day::On(d),
        (Some(_), Some(_), None) => Day::TwoWays,
        (Some(d), None, None | Some(true)) | (None, Some(d), None | Some(false)) => Day::On(d),
        (Some(d), None, Some(false)) | (None, Some(d), Some(true)) => Day::OtherOrder(d),
        (None, None, _) => Day::Unreadable,
    }
}

fn new(year: u32, month: u32, day: u32) -> Option<Date> {
    Date::new(i32::try_from(year).ok()?, month, day).ok()
}

/// Is it a name or range like 3-4 that a spreadsheet made a date of: `4-Mar`, `Mar-04`, `2027-03-04`, `3/4/2027`?
pub(super) fn like_date(text: &str) -> bool {
    let text = clean(text);
    if !text.bytes().any(|b| matches!(b, b'-' | b'/')) || !text.bytes().any(|b| b.is_ascii_digit()) {
        return false;
    }
    let date = text.split_once(' ').filter(|(_, t)| t.contains(':')).map_or(text, |(d, _)| d);
    let words: Vec<&str> = date.split(['-', '/']).collect();
    let number = |w: &str| !w.is_empty() && w.len() <= 4 && w.bytes().all(|b| b.is_ascii_digit());
    match words.as_slice() {
        [a, b] => (number(a) && b.len() >= 3 && month(b).is_some()) || (number(b) && a.len() >= 3 && month(a).is_some()),
        [a, b, c] if number(a) && number(c) && month(b).is_some() => true,
        [a, b, c] => number(a) && number(b) && number(c) && (a.len() == 4 || c.len() == 4) && !matches!(day(date, None), Day::Unreadable),
        _ => false,
    }
}

/// What stands in a cell that should hold a depth of sampling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Depth {
    /// Nothing.
    Blank,
    /// From the surface to here, m.
    To(f64),
    /// A layer that begins below the surface, m.
    Below(f64),
    /// A range that a spreadsheet made a date of.
    Date,
    /// A number without a unit.
    NoUnit,
    /// Something else.
    Unreadable,
}

/// Reads `0-6 in`, `6"`, `15 cm` or a number in `unit`.
pub(super) fn depth(text: &str, unit: Option<&str>) -> Depth {
    let text = clean(text);
    if matches!(text.to_ascii_lowercase().as_str(), "" | "na" | "n/a" | "-" | "nan") {
        return Depth::Blank;
    }
    if like_date(text) {
        return Depth::Date;
    }
    let end = text.rfind(|c: char| c.is_ascii_digit()).map_or(0, |at| at + 1);
    let (numbers, own) = text.split_at(end);
    let own = own.trim().trim_end_matches('.');
    let unit = match (own, unit) {
        ("", None) => return Depth::NoUnit,
        ("", Some(unit)) => unit,
        ("\"" | "inch" | "inches" | "in", _) => "in",
        (own, _) => own,
    };
    let meters = |word: &str| plain(word, None).and_then(|v| convert(v, unit, "m").ok());
    let parts: Vec<&str> = numbers.split(['-', '\u{2013}']).flat_map(|p| p.split(" to ")).map(str::trim).collect();
    match parts.as_slice() {
        [one] => meters(one).map_or(Depth::Unreadable, Depth::To),
        [top, bottom] => match (meters(top), meters(bottom)) {
            (Some(0.0), Some(bottom)) => Depth::To(bottom),
            (Some(top), Some(_)) => Depth::Below(top),
            _ => Depth::Unreadable,
        },
        _ => Depth::Unreadable,
    }
}

/// Trees in a hectare from a spacing like `5 x 6 ft`, or one in `unit`.
pub(super) fn spacing(text: &str, unit: Option<&str>, mark: Option<DecimalMark>) -> Option<f64> {
    let lower = text.to_ascii_lowercase().replace('\'', " ft ");
    let sides: Vec<&str> = lower.split(['x', '\u{d7}']).collect();
    let own = lower.trim_start_matches(|c: char| !c.is_ascii_alphabetic() || c == 'x').trim();
    let own = own.rsplit(' ').next().filter(|u| !u.is_empty());
    let meters = |side: &str| {
        let digits = side.trim().trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == ' ');
        convert(plain(digits, mark)?, own.or(unit)?, "m").ok().filter(|m| *m > 0.0)
    };
    let area = match sides.as_slice() {
        [a, b] => meters(a).zip(meters(b)).map(|(a, b)| a * b),
        [a] => meters(a).map(|a| a * a),
        _ => None,
    };
    area.map(|m2| 1e4 / m2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_with_either_mark_and_doubt_is_said() {
        let value = |v| Number::Value(Reported::Measured(v));
        for (text, read) in [
            ("5.8", value(5.8)),
            ("5,8", value(5.8)),
            ("0,125", value(0.125)),
            ("1.250,5", value(1250.5)),
            ("1,250.5", value(1250.5)),
            ("<0,5", Number::Value(Reported::Below(0.5))),
            ("> 500", Number::Value(Reported::Above(500.0))),
            ("BDL", Number::Value(Reported::NotDetected)),
            ("tr", Number::Value(Reported::NotDetected)),
            ("IS", Number::Insufficient),
            (" \u{a0}", Number::Blank),
            ("1,250", Number::TwoWays),
            ("4-Mar", Number::Date),
            ("high", Number::Unreadable),
            ("nan", Number::Blank),
            ("1.2.3", Number::Unreadable),
        ] {
            assert_eq!(number(text, None), read, "{text}");
        }
        assert_eq!(number("1,250", Some(DecimalMark::Comma)), value(1.25));
        assert_eq!(number("1,250", Some(DecimalMark::Point)), value(1250.0));
    }

    #[test]
    fn dates_need_an_order_unless_only_one_exists() {
        let on = |y, m, d| Day::On(Date::new(y, m, d).unwrap());
        for (text, order, read) in [
            ("2026-10-12", None, on(2026, 10, 12)),
            ("2026-10-12 00:00:00", None, on(2026, 10, 12)),
            ("20261012", None, on(2026, 10, 12)),
            ("12-Oct-2026", None, on(2026, 10, 12)),
            ("Oct 12, 2026", None, on(2026, 10, 12)),
            ("25/10/2026", None, on(2026, 10, 25)),
            ("10/10/2026", None, on(2026, 10, 10)),
            ("3/4/2026", None, Day::TwoWays),
            ("3/4/2026", Some(true), on(2026, 4, 3)),
            ("3/4/2026", Some(false), on(2026, 3, 4)),
            ("25/3/2026", Some(false), Day::OtherOrder(Date::new(2026, 3, 25).unwrap())),
            ("3/4/26", Some(true), Day::Unreadable),
            ("31/31/2026", None, Day::Unreadable),
            ("", None, Day::Blank),
        ] {
            assert_eq!(day(text, order), read, "{text}");
        }
    }

    #[test]
    fn names_that_became_dates_are_noticed() {
        for text in ["4-Mar", "Mar-04", "2027-03-04", "2027-03-04 00:00:00", "3/4/2027", "04-Mar-27"] {
            assert!(like_date(text), "{text}");
        }
        for text in ["3-4", "Field 3-4", "March", "12", "A-1", "North-2", "1/2", "99/99/2027", "L-26-0107"] {
            assert!(!like_date(text), "{text}");
        }
    }

    #[test]
    fn depths_are_read_from_the_surface() {
        assert_eq!(depth("0-6 in", None), Depth::To(0.1524));
        assert_eq!(depth("6\"", None), Depth::To(0.1524));
        assert_eq!(depth("15 cm", Some("in")), Depth::To(0.15));
        assert_eq!(depth("8", Some("in")), Depth::To(0.2032));
        assert_eq!(depth("0-6", Some("in")), Depth::To(0.1524));
        assert_eq!(depth("6-12 in", None), Depth::Below(0.1524));
        assert_eq!(depth("6", None), Depth::NoUnit);
        assert_eq!(depth("6-Jan", Some("in")), Depth::Date);
        assert_eq!(depth("plow layer", None), Depth::Unreadable);
    }
}
