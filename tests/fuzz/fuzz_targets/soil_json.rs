//! Any JSON is a soil profile whose values are in order, or an error.
#![no_main]

use dibble::soil::Profile;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Ok(profile) = serde_json::from_str::<Profile>(text) {
        for layer in profile.layers() {
            let soil = &layer.soil;
            assert!(0.0 < soil.wilting_point() && soil.wilting_point() < soil.field_capacity());
            assert!(soil.field_capacity() < soil.saturation() && soil.saturation() < 1.0);
        }
    }
});
