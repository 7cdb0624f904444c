//! Reading a number and a unit written together: `1,000 ft`, `1 1/2 in`, `0.75 in/h`, `10 lb/1000 ft2`, `5 ft 6 in`.

use super::table::{self, Dim};
use crate::error::{Error, Result};

/// A unit or a compound of units: `base value = (value - zero) * num / den`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    pub num: f64,
    pub den: f64,
    pub zero: f64,
    pub dim: Dim,
}

/// Reads `m`, `lb/acre`, `ft2`, `sq ft`, `acre-in`, `lb per 1,000 ft2`; empty text and `1` are pure numbers.
/// Everything behind the first `/` divides. `wanted` chooses the names offered for an unknown one.
pub(super) fn scale(text: &str, wanted: Option<Dim>) -> Result<Scale> {
    let mut whole = Scale { num: 1.0, den: 1.0, zero: 0.0, dim: table::NONE };
    if matches!(text.trim(), "" | "1") {
        return Ok(whole);
    }
    let text = text.replace(" per ", "/");
    for (place, part) in text.split('/').enumerate() {
        let (count, part) = if place == 0 { (1.0, part) } else { leading_count(part)? };
        let sign: i8 = if place == 0 { 1 } else { -1 };
        multiply(&mut whole, count, sign);
        if part.trim().is_empty() {
            return Err(Error::unreadable("unit", &text, "a unit is missing beside the /", "Write it like lb/acre."));
        }
        for (unit, power) in factors(part.trim(), wanted)? {
            let lone = !text.contains('/') && power == 1 && part.trim() == unit.name;
            whole.zero = if lone { unit.zero } else { 0.0 };
            for _ in 0..power {
                multiply(&mut whole, unit.num, sign);
                multiply(&mut whole, unit.den, -sign);
                for (sum, exponent) in whole.dim.iter_mut().zip(unit.dim) {
                    *sum = sum.saturating_add(sign * exponent);
                }
            }
        }
    }
    Ok(whole)
}

fn multiply(scale: &mut Scale, by: f64, sign: i8) {
    if sign > 0 { scale.num *= by } else { scale.den *= by }
}

/// A unit as it was found, with the text that named it.
struct Named<'t> {
    name: &'t str,
    num: f64,
    den: f64,
    zero: f64,
    dim: Dim,
}

/// The units of one side of a `/` with their powers, joined by `-`, `*`, `·` or a space.
fn factors(part: &str, wanted: Option<Dim>) -> Result<Vec<(Named<'_>, u8)>> {
    if let Some(found) = atom(part) {
        return Ok(vec![found]);
    }
    let words = part.split(['-', '*', '·', ' ']).filter(|w| !w.is_empty());
    let mut found = Vec::new();
    let mut power = 0;
    for word in words {
        match word.to_lowercase().as_str() {
            "sq" | "sq." | "square" => power = 2,
            "cu" | "cu." | "cubic" => power = 3,
            _ => {
                let (unit, own) = atom(word).ok_or_else(|| unknown(word, wanted))?;
                found.push((unit, if power > 0 { power } else { own }));
                power = 0;
            }
        }
    }
    if power > 0 || found.is_empty() || found.len() > 4 {
        return Err(unknown(part, wanted));
    }
    Ok(found)
}

/// One unit and its power: `ft`, `ft2`, `ft^2`, `ft²`, and `ft.` as an abbreviation.
fn atom(text: &str) -> Option<(Named<'_>, u8)> {
    let text = text.strip_suffix('.').unwrap_or(text);
    let named = |name| table::find(name).map(|u| Named { name, num: u.num, den: u.den, zero: u.zero, dim: u.dim });
    if let Some(unit) = named(text) {
        return Some((unit, 1));
    }
    let (name, power) =
        [("2", 2), ("²", 2), ("3", 3), ("³", 3)].iter().find_map(|(mark, power)| Some((text.strip_suffix(mark)?, *power)))?;
    named(name.strip_suffix('^').unwrap_or(name)).map(|unit| (unit, power))
}

/// A count in front of the divisor: the 1,000 of `lb/1000 ft2`.
fn leading_count(part: &str) -> Result<(f64, &str)> {
    let part = part.trim_start();
    if !part.starts_with(|c: char| c.is_ascii_digit()) {
        return Ok((1.0, part));
    }
    let (count, rest) = number(part)?;
    if count > 0.0 { Ok((count, rest)) } else { Err(Error::unreadable("unit", part, "it divides by zero", "Write it like lb/1000 ft2.")) }
}

/// An unknown unit: the nearest spellings of units that measure what is wanted, or of all units.
fn unknown(given: &str, wanted: Option<Dim>) -> Error {
    let fits = |u: &&table::Unit| wanted.is_none_or(|dim| u.dim == dim);
    let of = |all: bool| table::UNITS.iter().filter(move |u| all || fits(u)).flat_map(|u| u.names.iter().copied()).collect::<Vec<_>>();
    let spellings = of(false);
    let listed = wanted.map_or(&[][..], |dim| table::words(dim).1);
    Error::unknown_spelling("unit", given, &if spellings.is_empty() { of(true) } else { spellings }, listed)
}

/// The number that `text` begins with, and what follows it, trimmed.
pub(super) fn number(text: &str) -> Result<(f64, &str)> {
    let trimmed = text.trim();
    let (negative, unsigned) = match trimmed.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, trimmed.strip_prefix('+').unwrap_or(trimmed)),
    };
    let (value, rest) = unsigned_number(unsigned, text)?;
    if !value.is_finite() {
        return Err(refuse(text, "the number is too large"));
    }
    Ok((if negative { -value } else { value }, rest.trim()))
}

fn refuse(text: &str, why: &str) -> Error {
    Error::unreadable("quantity", text, why, "Write a number and a unit, like 500 ft or 0.75 in/h.")
}

fn unsigned_number<'t>(text: &'t str, whole: &str) -> Result<(f64, &'t str)> {
    let (digits, rest) = text.split_at(length_of_decimal(text));
    if digits.is_empty() {
        return glyph(text).ok_or_else(|| refuse(whole, "it does not begin with a number"));
    }
    let value = decimal(digits).ok_or_else(|| {
        if digits.contains(',') {
            refuse(whole, "a comma may only part off thousands (1,000); decimals take a point")
        } else {
            refuse(whole, "it does not begin with a number")
        }
    })?;
    let is_whole = digits.bytes().all(|b| b.is_ascii_digit());
    if !is_whole {
        return Ok((value, rest));
    }
    if let Some((below, rest)) = rest.strip_prefix('/').and_then(whole_digits) {
        return if below > 0.0 { Ok((value / below, rest)) } else { Err(refuse(whole, "it divides by zero")) };
    }
    let next = rest.trim_start();
    if let Some((part, after)) = glyph(next) {
        return Ok((value + part, after));
    }
    // 1 1/2 in: a fraction below one behind a whole number and a space
    if next.len() < rest.len() {
        let fraction = whole_digits(next).and_then(|(above, r)| Some((above, r.strip_prefix('/').and_then(whole_digits)?)));
        if let Some((above, (below, after))) = fraction {
            return if above < below { Ok((value + above / below, after)) } else { Err(refuse(whole, "the fraction is not below one")) };
        }
    }
    Ok((value, rest))
}

/// ½ and its kin.
fn glyph(text: &str) -> Option<(f64, &str)> {
    [('½', 0.5), ('¼', 0.25), ('¾', 0.75)].iter().find_map(|(mark, value)| Some((*value, text.strip_prefix(*mark)?)))
}

fn whole_digits(text: &str) -> Option<(f64, &str)> {
    let end = text.bytes().take_while(u8::is_ascii_digit).count();
    let (digits, rest) = text.split_at(end);
    digits.parse::<f64>().ok().map(|value| (value, rest))
}

/// Bytes of digits, commas and points at the start of `text`, with an exponent that digits follow.
fn length_of_decimal(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mantissa = bytes.iter().take_while(|b| b.is_ascii_digit() || matches!(b, b'.' | b',')).count();
    let mut tail = bytes.iter().skip(mantissa).peekable();
    if mantissa == 0 || !matches!(tail.next(), Some(b'e' | b'E')) {
        return mantissa;
    }
    let sign = usize::from(tail.next_if(|b| matches!(b, b'+' | b'-')).is_some());
    match tail.take_while(|b| b.is_ascii_digit()).count() {
        0 => mantissa,
        digits => mantissa + 1 + sign + digits,
    }
}

/// `1,000.5` and `1e3`; a comma only in front of three digits, and never behind a lone zero.
fn decimal(text: &str) -> Option<f64> {
    if !text.contains(',') {
        return text.parse().ok();
    }
    let (whole, fraction) = text.split_once('.').map_or((text, None), |(w, f)| (w, Some(f)));
    let mut groups = whole.split(',');
    let first = groups.next()?;
    let thousands = (1..=3).contains(&first.len()) && !first.starts_with('0') && groups.all(|g| g.len() == 3);
    let clean = whole.bytes().all(|b| b.is_ascii_digit() || b == b',') && fraction.is_none_or(|f| f.bytes().all(|b| b.is_ascii_digit()));
    if thousands && clean { text.replace(',', "").parse().ok() } else { None }
}
