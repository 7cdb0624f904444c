//! Any bytes are a table of days, a table of hours or an error; a table that was read survives JSON and can be completed or refused.
#![no_main]

use dibble::weather::{CsvOptions, Gaps, HourOptions, Site, Weather};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let options = CsvOptions::default();
    let Ok(site) = Site::new(45.0, 300.0) else { return };
    if let Ok(weather) = Weather::parse_csv_bytes(bytes, &options) {
        if let Ok(json) = serde_json::to_string(&weather) {
            assert_eq!(serde_json::from_str::<Weather>(&json).ok().as_ref(), Some(&weather));
        }
        if let Ok(gaps) = "zero".parse::<Gaps>()
            && let Ok(daily) = weather.complete(&site, &gaps)
        {
            assert!(daily.eto_mm().iter().all(|eto| eto.is_finite()));
        }
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = Weather::parse_hours_csv(text, &site, &options, &HourOptions::default());
    }
});
