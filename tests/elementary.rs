//! Accuracy of the elementary functions in units in the last place, against values made with 200 bits.

#![allow(clippy::unwrap_used)]

use dibble::num;
use serde::Deserialize;

#[derive(Deserialize)]
struct Table {
    exp: Vec<[f64; 3]>,
    ln: Vec<[f64; 3]>,
    pow: Vec<[f64; 4]>,
    sin: Vec<[f64; 3]>,
    cos: Vec<[f64; 3]>,
    tan: Vec<[f64; 3]>,
    asin: Vec<[f64; 3]>,
    acos: Vec<[f64; 3]>,
    atan: Vec<[f64; 3]>,
}

fn table() -> Table {
    toml::from_str(include_str!("reference/elementary.toml")).unwrap()
}

/// Size of the last place of a finite number.
fn ulp(x: f64) -> f64 {
    let next = f64::from_bits(x.abs().to_bits() + 1);
    next - x.abs()
}

fn largest_error(name: &str, rows: impl Iterator<Item = (Vec<f64>, f64, f64, f64)>) -> f64 {
    let (mut worst, mut count) = (0.0f64, 0);
    for (arguments, computed, rounded, left) in rows {
        count += 1;
        let error = if computed == rounded { left.abs() } else { ((computed - rounded) / ulp(rounded) - left).abs() };
        assert!(!error.is_nan(), "{name}{arguments:?} is {computed}, should be {rounded}");
        worst = f64::max(worst, error);
    }
    assert!(count > 400, "{name}: only {count} rows");
    worst
}

fn check(name: &str, f: fn(f64) -> f64, rows: &[[f64; 3]], stated: f64) {
    let worst = largest_error(name, rows.iter().map(|&[x, y, left]| (vec![x], f(x), y, left)));
    assert!(worst <= stated, "{name}: {worst} ulp, stated {stated} (mpmath, 200 bits, tests/reference/elementary.toml)");
}

#[test]
fn exp_ln_and_pow_hold_their_stated_accuracy() {
    let t = table();
    check("exp", num::exp, &t.exp, 1.0);
    check("ln", num::ln, &t.ln, 1.0);
    let worst = largest_error("pow", t.pow.iter().map(|&[x, y, z, left]| (vec![x, y], num::pow(x, y), z, left)));
    assert!(worst <= 1.0, "pow: {worst} ulp, stated 1 (mpmath, 200 bits, tests/reference/elementary.toml)");
}

#[test]
fn trigonometric_functions_hold_their_stated_accuracy() {
    let t = table();
    check("sin", num::sin, &t.sin, 1.0);
    check("cos", num::cos, &t.cos, 1.0);
    check("tan", num::tan, &t.tan, 3.0);
}

#[test]
fn inverse_functions_hold_their_stated_accuracy() {
    let t = table();
    check("asin", num::asin, &t.asin, 2.0);
    check("acos", num::acos, &t.acos, 2.0);
    check("atan", num::atan, &t.atan, 1.0);
}

#[test]
fn a_wrong_coefficient_would_be_seen() {
    let t = table();
    let slightly_off = |x: f64| num::exp(x) * (1.0 + 4.0 * f64::EPSILON);
    let worst = largest_error("exp, spoilt", t.exp.iter().map(|&[x, y, left]| (vec![x], slightly_off(x), y, left)));
    assert!(worst > 3.0, "the measure is blind: {worst} ulp");
}
