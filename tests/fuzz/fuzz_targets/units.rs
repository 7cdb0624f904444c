//! Any text is a quantity, finite, or an error.
#![no_main]

use dibble::units::parse;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    for unit in ["m", "mm/h", "kPa", "°C", "kg/ha", "L/min", "min"] {
        if let Ok(value) = parse(text, unit) {
            assert!(value.is_finite(), "{text} is {value} {unit}");
        }
    }
});
