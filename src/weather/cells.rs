//! Number cells: missing marks, decimal comma, a unit written in the cell.

use crate::error::{Error, Result};

/// The decimal mark of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Decimal {
    Point,
    Comma,
}

/// Marks for "no value" (common practice of loggers and archives).
pub(super) fn is_missing(cell: &str) -> bool {
    const WORDS: &[&str] =
        &["na", "n/a", "nan", "null", "none", "nil", "m", "missing", "-", "--", "---", ".", "?", "*", "#n/a", "nodata", "no data"];
    const CODES: &[f64] = &[-99.0, -99.9, -99.99, -999.0, -999.9, -999.99, -6999.0, -7999.0, -9999.0, -9999.9];
    match cell.bytes().next() {
        None => true,
        Some(b'0'..=b'9') => false,
        Some(b'-') if cell.len() >= 3 => cell.replace(',', ".").parse().is_ok_and(|v| CODES.contains(&v)) || WORDS.contains(&cell),
        Some(_) => WORDS.iter().any(|word| word.eq_ignore_ascii_case(cell)),
    }
}

/// The one decimal mark of all cells; `place` names a row.
pub(super) fn decimal<'t>(cells: impl Iterator<Item = (usize, &'t str)>, place: impl Fn(usize) -> String) -> Result<Decimal> {
    let (mut point, mut comma, mut unclear, mut clear) = (None, None, None, false);
    for (row, cell) in cells {
        if is_missing(cell) {
            continue;
        }
        if cell.contains('.') {
            point = point.or(Some((row, cell)));
        }
        if let Some((before, after)) = cell.split_once(',') {
            comma = comma.or(Some((row, cell)));
            let digits = after.bytes().take_while(u8::is_ascii_digit).count();
            let thousands =
                digits == 3 && matches!(before.trim_start_matches(['-', '+']).len(), 1..=3) && before.trim_start_matches(['-', '+']) != "0";
            clear |= !thousands;
            unclear = unclear.or(Some((row, cell)));
        }
    }
    match (point, comma) {
        (_, None) => Ok(Decimal::Point),
        (Some((i, a)), Some((j, b))) => Err(Error::inconsistent(
            format!("decimal point and comma are mixed: \"{a}\" in {} and \"{b}\" in {}", place(i), place(j)),
            "Write all numbers with one mark for decimals and none for thousands.",
        )),
        (None, Some((j, b))) if !clear => Err(Error::inconsistent(
            format!("the comma in \"{b}\" in {} can be a decimal mark or part off thousands", place(j)),
            "Write decimals with a point and no mark for thousands.",
        )),
        (None, Some(_)) => Ok(Decimal::Comma),
    }
}

/// The number of a cell and the unit written behind it; NaN for a missing one.
pub(super) fn number(cell: &str, decimal: Decimal) -> Option<(f64, &str)> {
    if is_missing(cell) {
        return Some((f64::NAN, ""));
    }
    let parse = |text: &str| match decimal {
        Decimal::Point => text.parse::<f64>().ok(),
        Decimal::Comma => text.replace(',', ".").parse::<f64>().ok(),
    };
    if let Some(value) = parse(cell) {
        return Some((value, ""));
    }
    let end = cell.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+'))).unwrap_or(cell.len());
    let (digits, unit) = cell.split_at(end);
    let unit = unit.trim();
    let written = unit.chars().all(|c| c.is_alphabetic() || matches!(c, '°' | '%' | '/' | '2' | '²' | ' ' | '"'));
    parse(digits).filter(|_| written).map(|value| (value, unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn missing_marks_are_known_and_numbers_are_not_among_them() {
        for cell in ["", "NA", "n/a", "NaN", "-", "--", ".", "M", "-9999", "-999.0", "-99.9", "-999,9", "null"] {
            assert!(is_missing(cell), "{cell}");
        }
        for cell in ["0", "-9", "-98", "99", "9999", "T", "x", "-1.5", "mm"] {
            assert!(!is_missing(cell), "{cell}");
        }
    }

    #[test]
    fn one_decimal_mark_is_found_or_none() {
        let mark = |cells: &[&str]| decimal(cells.iter().copied().enumerate(), |row| format!("line {row}"));
        assert_eq!(mark(&["1.5", "2", "NA"]).unwrap(), Decimal::Point);
        assert_eq!(mark(&["1,5", "12,250", "-99.9"]).unwrap(), Decimal::Comma);
        assert_eq!(mark(&["0,125"]).unwrap(), Decimal::Comma);
        assert!(mark(&["1,5", "1.5"]).is_err() && mark(&["1,250"]).is_err());
    }

    #[test]
    fn numbers_may_carry_a_unit() {
        assert_eq!(number("12.5", Decimal::Point), Some((12.5, "")));
        assert_eq!(number("12,5", Decimal::Comma), Some((12.5, "")));
        assert_eq!(number("78 °F", Decimal::Point), Some((78.0, "°F")));
        assert_eq!(number("0.4in", Decimal::Point), Some((0.4, "in")));
        for cell in ["wet", "1.2.3", "1,5", "12:30", "<1", "- 3", "5)"] {
            assert_eq!(number(cell, Decimal::Point), None, "{cell}");
        }
    }
}
