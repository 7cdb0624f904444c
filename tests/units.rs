//! Conversions against printed factors, and the laws that every conversion keeps.

use dibble::units::{self, convert, parse};
use proptest::prelude::*;

/// NIST Special Publication 811 (2008), Appendix B.8: factors as printed, written down from memory; 0 slack where exact.
const NIST: &[(&str, &str, f64, f64)] = &[
    // from, to, printed factor, half a unit of its last digit (0 where exact)
    ("in", "cm", 2.54, 0.0),
    ("ft", "m", 0.3048, 0.0),
    ("yd", "m", 0.9144, 0.0),
    ("mi", "km", 1.609344, 0.0),
    ("ft2", "m2", 9.290304e-2, 0.0),
    ("in2", "cm2", 6.4516, 0.0),
    ("yd3", "m3", 7.645549e-1, 5e-8),
    ("gal", "L", 3.785412, 5e-7),
    ("qt", "L", 9.463529e-1, 5e-8),
    ("pt", "L", 4.731765e-1, 5e-8),
    ("cup", "mL", 236.5882, 5e-5),
    ("fl oz", "mL", 29.57353, 5e-6),
    ("tbsp", "mL", 14.78676, 5e-6),
    ("tsp", "mL", 4.928922, 5e-7),
    ("ft3", "m3", 2.831685e-2, 5e-9),
    ("lb", "kg", 4.535924e-1, 5e-8),
    ("oz", "g", 28.34952, 5e-6),
    ("ton", "kg", 907.1847, 5e-5),
    ("cwt", "kg", 45.35924, 5e-6),
    ("psi", "kPa", 6.894757, 5e-7),
    ("ft of water", "kPa", 2.989067, 5e-7),
    ("m of water", "kPa", 9.80665, 0.0),
    ("in Hg", "kPa", 3.386389, 5e-7),
    ("mm Hg", "Pa", 133.3224, 5e-5),
    ("atm", "kPa", 101.325, 0.0),
    ("bar", "kPa", 100.0, 0.0),
    ("mph", "m/s", 0.44704, 0.0),
    ("knot", "m/s", 5.144444e-1, 5e-8),
    ("km/h", "m/s", 2.777778e-1, 5e-8),
    ("gpm", "L/s", 6.309020e-2, 5e-9),
    ("cfs", "m3/s", 2.831685e-2, 5e-9),
    ("langley", "kJ/m2", 41.84, 0.0),
    ("cal/cm2", "kJ/m2", 41.84, 0.0),
    ("kWh", "MJ", 3.6, 0.0),
    ("hp", "W", 745.6999, 5e-5),
    ("lb/ft3", "kg/m3", 16.01846, 5e-6),
    ("oz/yd2", "g/m2", 33.90575, 5e-6),
];

#[test]
fn factors_agree_with_the_nist_guide() {
    for &(from, to, printed, half) in NIST {
        let factor = convert(1.0, from, to).unwrap();
        let slack = half.max(2.0 * f64::EPSILON * printed);
        assert!((factor - printed).abs() <= slack, "NIST SP 811 App. B.8: 1 {from} is {printed} {to}, not {factor}");
    }
}

/// The acre of the guide is that of the US survey foot; ours is 43,560 international square feet, 4 parts in a million smaller.
#[test]
fn acre_is_of_the_international_foot() {
    let m2 = convert(1.0, "acre", "m2").unwrap();
    assert_eq!(m2, 4046.8564224);
    assert!((m2 / 4.046873e3 - 1.0).abs() < 5e-6, "NIST SP 811 App. B.8: acre (US survey foot) is 4.046873e3 m2");
}

/// Figures that the trade works with, computed from definitions; common practice where nothing is named.
#[test]
fn trade_figures_come_out() {
    let cases: &[(f64, &str, &str, f64, f64)] = &[
        (1.0, "acre-inch", "gal", 27_154.0, 0.5),
        (1.0, "acre-foot", "gal", 325_851.0, 0.5),
        (1.0, "acre", "ft2", 43_560.0, 1e-8),
        (1.0, "ha", "acres", 2.4711, 5e-5),
        (1.0, "ton/acre", "t/ha", 2.2417, 5e-5),
        (1.0, "lb/acre", "kg/ha", 1.1209, 5e-5),
        (1.0, "lb/1000 ft2", "lb/acre", 43.56, 1e-12),
        (1.0, "psi", "ft of head", 2.31, 5e-3),
        (1.0, "gpm", "L/min", 3.785, 5e-4),
        (1.0, "gpm", "m3/h", 0.2271, 5e-5),
        (1.0, "acre-inch/day", "gpm", 18.857, 5e-4),
        (1.0, "kWh/m2", "MJ/m2", 3.6, 1e-15),
        (1.0, "MJ/m2/day", "W/m2", 11.574, 5e-4),
        (1.0, "mm/h", "L/m2/h", 1.0, 1e-15),
        (212.0, "°F", "°C", 100.0, 1e-13),
        (-40.0, "°C", "°F", -40.0, 1e-13),
        (0.0, "°C", "K", 273.15, 0.0),
        (1200.0, "trees/acre", "trees/ha", 2965.0, 0.5),
        (0.5, "oz/tree", "g/tree", 14.17, 5e-3),
        (1.0, "in/ft", "mm/m", 83.33, 5e-3),
    ];
    for &(value, from, to, expected, half) in cases {
        let got = convert(value, from, to).unwrap();
        assert!((got - expected).abs() <= half.max(1e-12), "{value} {from} is {expected} {to}, not {got}");
    }
}

/// An inch of water over a circle 2, 3 and 4 ft across, and on 5 ft by 5 ft of ground (computed).
#[test]
fn an_inch_over_a_circle_in_gallons() {
    for (across_ft, gallons) in [(2.0, 2.0), (3.0, 4.4), (4.0, 7.8)] {
        let radius_m = convert(across_ft / 2.0, "ft", "m").unwrap();
        let liters = units::depth_to_volume_l(units::MM_PER_IN, std::f64::consts::PI * radius_m * radius_m).unwrap();
        assert!((liters / units::L_PER_GAL - gallons).abs() < 0.05, "1 in over a {across_ft} ft circle is {gallons} gal");
        assert!((units::volume_to_depth_mm(liters, std::f64::consts::PI * radius_m * radius_m).unwrap() - 25.4).abs() < 1e-12);
    }
    let ground = convert(25.0, "ft2", "m2").unwrap();
    assert!((units::depth_to_volume_l(25.4, ground).unwrap() / units::L_PER_GAL - 15.6).abs() < 0.05);
}

/// Pairs of one dimension, for the laws below.
const PAIRS: &[(&str, &str)] = &[
    ("in", "mm"),
    ("mi", "km"),
    ("acre", "ha"),
    ("gal", "L"),
    ("acre-in", "m3"),
    ("gpm", "L/min"),
    ("psi", "kPa"),
    ("ft of head", "bar"),
    ("mph", "m/s"),
    ("lb/acre", "kg/ha"),
    ("lb/1000 ft2", "g/m2"),
    ("oz/tree", "g/tree"),
    ("in/week", "mm/day"),
    ("langley", "MJ/m2"),
    ("%", "ppm"),
];

proptest! {
    #[test]
    fn there_and_back_is_the_same_within_a_few_ulp(value in -1e9..1e9_f64, pair in 0..PAIRS.len()) {
        let (a, b) = PAIRS[pair];
        let back = convert(convert(value, a, b).unwrap(), b, a).unwrap();
        prop_assert!((back - value).abs() <= 4.0 * f64::EPSILON * value.abs(), "{value} {a} came back as {back}");
    }

    #[test]
    fn temperatures_come_back(value in -100.0..200.0_f64) {
        let back = convert(convert(value, "°F", "°C").unwrap(), "°C", "°F").unwrap();
        // The zero of the scale is subtracted, so the error is that of numbers of the size of 200, not of the result.
        prop_assert!((back - value).abs() <= 1e-13);
    }

    #[test]
    fn what_is_written_is_read_back(value in 0.001..1e6_f64, pair in 0..PAIRS.len()) {
        let (a, b) = PAIRS[pair];
        let written = format!("{value} {a}");
        prop_assert_eq!(parse(&written, b).unwrap(), convert(value, a, b).unwrap());
    }

    #[test]
    fn any_text_is_read_or_refused_without_a_panic(text in "\\PC*", wanted in 0..PAIRS.len()) {
        let _ = parse(&text, PAIRS[wanted].0);
        let _ = convert(1.0, &text, "m");
    }

    #[test]
    fn text_that_looks_like_a_quantity_never_panics(text in "[-0-9.,/ e½'\"]{0,12}[a-z0-9 /%°·²-]{0,12}") {
        if let Ok(value) = parse(&text, "m") {
            prop_assert!(value.is_finite());
        }
    }
}
