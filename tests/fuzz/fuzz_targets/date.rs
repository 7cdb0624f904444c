//! Any text is a date that prints as it was read, or an error.
#![no_main]

use dibble::Date;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Ok(date) = text.parse::<Date>() {
        assert_eq!(date.to_string(), text.trim());
    }
});
