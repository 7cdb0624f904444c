//! Units of the trade: quantities written with their unit, conversions, and how a result is printed.
//!
//! Inside dibble everything is SI. This module stands at the edge: a farm file may say `"500 ft"`, a page may
//! say `0.75 in (19 mm)`. gal, oz, acre and ton are the US ones; a ton of 1000 kg is `t` or `tonne`.

mod read;
pub mod show;
mod table;
mod trade;

pub use show::System;
pub use trade::*;

use crate::error::{Error, Result};
use read::Scale;

/// `value` of unit `from`, in unit `to`.
///
/// A unit is a name (`ft`, `acres`, `ft of head`) or a compound: `lb/acre`, `ft2`, `sq ft`, `acre-in`,
/// `lb/1000 ft2`, `in per week`.
///
/// # Errors
/// A value that is not finite, an unknown unit, or two units that measure different things.
///
/// # Source
/// NIST SP 811 (2008), Appendix B; exact definitions stay exact.
///
/// ```
/// use dibble::units::convert;
/// assert_eq!(convert(1.0, "in", "mm")?, 25.4);
/// assert_eq!(convert(1.0, "acre-in", "gal")?.round(), 27154.0);
/// assert_eq!(convert(68.0, "°F", "°C")?, 20.0);
/// assert!(convert(1.0, "gal", "ft").is_err());
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn convert(value: f64, from: &str, to: &str) -> Result<f64> {
    let target = read::scale(to, None)?;
    let source = read::scale(from, Some(target.dim))?;
    let given = || format!("{value} {from}");
    if !value.is_finite() {
        return Err(Error::unreadable("quantity", &given(), "the number is not finite", "Give a finite number."));
    }
    change(value, from, &source, to, &target, &given())
}

/// The quantity that `text` says, in unit `wanted`.
///
/// Numbers take a decimal point, thousands may be parted by a comma, fractions are read: `1,000 ft`,
/// `1 1/2 in`, `3/4 in`. Two units of one kind add up: `5 ft 6 in`, `5'6"`, `1 h 30 min`.
///
/// # Errors
/// No number, no unit, an unknown unit (the nearest names are offered), or a unit that measures something else.
///
/// ```
/// use dibble::units::parse;
/// assert_eq!(parse("500 ft", "m")?, 152.4);
/// assert_eq!(parse("0.75 in/h", "mm/h")?, 19.05);
/// assert_eq!(parse("1 1/2 in", "mm")?, 38.1);
/// assert_eq!(
///     parse("500 gal", "m").unwrap_err().to_string(),
///     "cannot read quantity \"500 gal\": gal measures a volume, and a length is wanted. Write it in m, ft or in."
/// );
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn parse(text: &str, wanted: &str) -> Result<f64> {
    let target = read::scale(wanted, None)?;
    let (value, unit) = read::number(text)?;
    match single(value, unit, wanted, &target, text) {
        Ok(value) => Ok(value),
        Err(error) => sum_of_two(text, wanted, &target).unwrap_or(Err(error)),
    }
}

fn single(value: f64, unit: &str, wanted: &str, target: &Scale, text: &str) -> Result<f64> {
    if unit.is_empty() && target.dim != table::NONE {
        // small lengths are read on rain gauges and rulers
        let known = units_for(target, wanted);
        let other = if matches!(wanted, "mm" | "cm") { Some("in") } else { known.iter().map(String::as_str).find(|u| *u != wanted) };
        let examples: Vec<String> = std::iter::once(wanted).chain(other).map(|u| format!("\"{value} {u}\"")).collect();
        return Err(Error::missing(
            format!("the unit of \"{}\"", text.trim()),
            format!("Write it behind the number: {}.", examples.join(" or ")),
        ));
    }
    let source = read::scale(unit, Some(target.dim))?;
    change(value, unit, &source, wanted, target, text)
}

/// `5 ft 6 in`: the second unit is smaller than the first and of its kind.
fn sum_of_two(text: &str, wanted: &str, target: &Scale) -> Option<Result<f64>> {
    let text = text.trim().replace("' ", "'").replace('\'', "' ");
    let (split, _) = text.char_indices().skip(1).find(|(at, c)| {
        let before = text.get(..*at).unwrap_or("");
        c.is_ascii_digit() && before.ends_with(' ') && before.trim_end().ends_with(|c: char| c.is_alphabetic() || c == '\'')
    })?;
    let (first, second) = text.split_at(split);
    let (large, large_unit) = read::number(first).ok()?;
    let (small, small_unit) = read::number(second).ok()?;
    let (a, b) = (read::scale(large_unit, None).ok()?, read::scale(small_unit, None).ok()?);
    let smaller = a.dim == b.dim && a.zero == 0.0 && b.zero == 0.0 && b.num / b.den < a.num / a.den;
    if !smaller || large < 0.0 {
        return None;
    }
    let change = |value, unit, scale| change(value, unit, scale, wanted, target, &text);
    Some(change(large, large_unit, &a).and_then(|l| Ok(l + change(small, small_unit, &b)?)))
}

fn units_for(target: &Scale, wanted: &str) -> Vec<String> {
    let known = table::words(target.dim).1;
    if known.is_empty() { vec![wanted.to_string()] } else { known.iter().map(ToString::to_string).collect() }
}

fn change(value: f64, from: &str, source: &Scale, to: &str, target: &Scale, given: &str) -> Result<f64> {
    if source.dim != target.dim {
        let (is, _) = table::words(source.dim);
        let (want, _) = table::words(target.dim);
        let units = units_for(target, to);
        let listed = match units.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
            _ => to.to_string(),
        };
        let from = if from.trim().is_empty() { "a bare number" } else { from.trim() };
        return Err(Error::unreadable(
            "quantity",
            given.trim(),
            format!("{from} measures {is}, and {want} is wanted"),
            format!("Write it in {listed}."),
        ));
    }
    let changed = rescaled(value, source, target);
    if changed.is_finite() {
        Ok(changed)
    } else {
        Err(Error::unreadable("quantity", given, "the number is too large", "Give a smaller number."))
    }
}

/// One factor of whole numbers: exact definitions are rounded once.
fn rescaled(value: f64, source: &Scale, target: &Scale) -> f64 {
    (value - source.zero) * (source.num * target.den) / (source.den * target.num) + target.zero
}

/// A conversion looked up once, for a whole column.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Conversion {
    source: Scale,
    target: Scale,
}

impl Conversion {
    /// The same conversion as [`convert`].
    pub(crate) fn between(from: &str, to: &str) -> Result<Self> {
        let target = read::scale(to, None)?;
        let source = read::scale(from, Some(target.dim))?;
        change(1.0, from, &source, to, &target, from)?;
        Ok(Self { source, target })
    }

    /// The value in the other unit, the same bits as [`convert`] gives. NaN and infinities pass through.
    pub(crate) fn apply(&self, value: f64) -> f64 {
        rescaled(value, &self.source, &self.target)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_numbers_as_people_write_them() {
        for (text, unit, value) in [
            ("500 ft", "m", 152.4),
            ("500ft", "m", 152.4),
            ("1,000 ft", "m", 304.8),
            ("1,234,567.5 m", "m", 1_234_567.5),
            (" 3/4 in", "mm", 19.05),
            ("1 1/2 in", "mm", 38.1),
            ("1½ in", "mm", 38.1),
            ("1e3 m", "km", 1.0),
            ("−5 °C", "°F", 23.0),
            ("-40 F", "C", -40.0),
            ("5'6\"", "in", 66.0),
            ("5' 6\"", "in", 66.0),
            ("5 ft 6 in", "in", 66.0),
            ("1 h 30 min", "min", 90.0),
            ("2 lb 8 oz", "lb", 2.5),
            ("35 %", "", 0.35),
            ("0.35", "", 0.35),
            ("10 lb/1000 ft2", "lb/acre", 435.6),
            ("10 lb per 1,000 sq ft", "lb/acre", 435.6),
            ("1 inch per week", "mm/week", 25.4),
            ("2 acre feet", "acre-in", 24.0),
            ("20 cb", "kPa", 20.0),
            ("6 in.", "mm", 152.4),
            ("2 sq. ft.", "ft2", 2.0),
            ("3 US gallons", "gal", 3.0),
            ("2 in/ft", "mm/m", 1000.0 / 6.0),
        ] {
            let read = parse(text, unit).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert!((read - value).abs() <= 4.0 * f64::EPSILON * value.abs(), "{text} read as {read} {unit}, not {value}");
        }
    }

    #[test]
    fn says_what_is_wrong_with_a_quantity() {
        for (text, unit, message) in [
            ("0.4", "mm", "the unit of \"0.4\" is missing. Write it behind the number: \"0.4 mm\" or \"0.4 in\"."),
            ("500", "m", "the unit of \"500\" is missing. Write it behind the number: \"500 m\" or \"500 ft\"."),
            ("500 psi", "m", "cannot read quantity \"500 psi\": psi measures a pressure, and a length is wanted. Write it in m, ft or in."),
            (
                "5 lb",
                "lb/acre",
                "cannot read quantity \"5 lb\": lb measures a weight, and a weight per area is wanted. Write it in lb/acre, kg/ha, lb/1000 ft2 or tons/acre.",
            ),
            (
                "1,5 in",
                "mm",
                "cannot read quantity \"1,5 in\": a comma may only part off thousands (1,000); decimals take a point. Write a number and a unit, like 500 ft or 0.75 in/h.",
            ),
            (
                "about 5 ft",
                "m",
                "cannot read quantity \"about 5 ft\": it does not begin with a number. Write a number and a unit, like 500 ft or 0.75 in/h.",
            ),
            ("60 pssi", "kPa", "unit \"pssi\" is not known. Did you mean \"psi\"? Known: \"psi\", \"kPa\", \"bar\", \"ft of head\"."),
            (
                "5 galons/tree",
                "L/tree",
                "unit \"galons\" is not known. Did you mean \"gal\", \"gallons\", \"gallon\"? Known: \"gal/tree\", \"L/tree\".",
            ),
        ] {
            assert_eq!(parse(text, unit).unwrap_err().to_string(), message);
        }
        for bad in
            ["", "ft", "1/0 in", "1e999 ft", "0,750 in", "5 ft/", "5 in/0 ft2", "inf m", "nan m", "5 T", "5 6 in", "5 ft 6 lb", "\u{0}"]
        {
            assert!(parse(bad, "m").is_err(), "{bad:?} was read");
        }
        assert!(parse("5 m", "nonsense").unwrap_err().is_unknown_name());
    }
}
