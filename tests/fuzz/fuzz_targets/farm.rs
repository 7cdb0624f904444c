//! Any text is a farm or an error that says where.
#![no_main]

use dibble::farm::Farm;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Err(error) = Farm::parse(text, "farm.toml") {
        assert!(!error.to_string().is_empty());
    }
});
