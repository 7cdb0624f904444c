//! What a column heading means: trade words in any order, with the unit in brackets or behind.
//!
//! `Tmax (F)`, `max temp °F`, `rain_in`, `wind mph`, `Rs [MJ/m2]`, `wind_2m_m_s`. Every word must be known: `soil temp max` and
//! `wind direction` are not read, and the report says so.

use super::quantity::Quantity;
use super::unit::unit_named;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Meaning {
    Date,
    Time,
    Forecast,
    /// Air temperature, neither highest nor lowest: of use in hour records only.
    Air,
    Day(Quantity),
}

/// A heading that was understood.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Heading {
    pub meaning: Meaning,
    /// The unit that the heading names, spelled for [`crate::units`].
    pub unit: Option<String>,
    /// Height of the wind sensor, if the heading names it, m.
    pub height_m: Option<f64>,
    /// Day before month? If the heading says how the date is written.
    pub day_first: Option<bool>,
    /// Does the hour end at the time given? If the heading says so.
    pub hour_ends: Option<bool>,
}

/// Longer headings are cut, characters.
const LONGEST: usize = 200;

/// Reads a heading; `None` if it means nothing here.
pub(super) fn read(text: &str) -> Option<Heading> {
    let text: String = text.chars().take(LONGEST).collect();
    let all = words(&text);
    let says = |set: &[&str]| all.iter().any(|w| set.contains(&w.as_str()));
    let (meaning, unit) = unit_last(&all).or_else(|| bracketed(&text))?;
    Some(Heading {
        meaning,
        unit,
        height_m: all.iter().find_map(|w| height(w)),
        day_first: day_first(&all),
        hour_ends: if says(&["ending", "end"]) { Some(true) } else { says(&["beginning", "starting", "start"]).then_some(false) },
    })
}

/// The usual heading: a name, behind it as many words as can be a unit, or none.
fn unit_last(all: &[String]) -> Option<(Meaning, Option<String>)> {
    (0..all.len().min(4)).rev().find_map(|behind| {
        let (name, unit) = all.split_at_checked(all.len() - behind)?;
        let unit = if unit.is_empty() { None } else { Some(unit_named(&unit.join(" "))?.to_string()) };
        // "rain in mm"; without a unit behind it, "in" is inches.
        let name = match name.split_last() {
            Some((last, name)) if unit.is_some() && last == "in" => name,
            _ => name,
        };
        Some((meaning(name, unit.as_deref())?, unit))
    })
}

/// What stands in brackets tells how dates and times are written, or is a unit that is not known.
fn bracketed(text: &str) -> Option<(Meaning, Option<String>)> {
    let (outside, inside) = brackets(text);
    let outside = words(&outside);
    match meaning(&outside, None)? {
        date @ (Meaning::Date | Meaning::Time | Meaning::Forecast) => Some((date, None)),
        _ => {
            let unit = unit_named(&inside).unwrap_or(inside.trim()).to_string();
            Some((meaning(&outside, Some(&unit))?, Some(unit)))
        }
    }
}

/// The text outside and inside of brackets. What stands behind a comma counts as inside: "Tmax, °F".
fn brackets(text: &str) -> (String, String) {
    let (mut outside, mut inside, mut depth) = (String::new(), String::new(), 0_u32);
    for c in text.chars() {
        match c {
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' => {
                depth = depth.saturating_sub(1);
                inside.push(' ');
            }
            ',' if depth == 0 => depth = 1,
            _ if depth > 0 => inside.push(c),
            _ => outside.push(c),
        }
    }
    (outside, inside)
}

/// Lowercase words; "MaxTemp" is two, "2 m" is one, the exponents of "m s-1" and degree signs go.
pub(super) fn words(text: &str) -> Vec<String> {
    let text = text.replace(['°', 'º'], " ").replace('²', "2").replace("⁻¹", "").replace("^", "").replace("-2", "2").replace("-1", "");
    let mut spaced = String::with_capacity(text.len() + 8);
    let mut before = ' ';
    for c in text.chars() {
        if before.is_lowercase() && c.is_uppercase() {
            spaced.push(' ');
        }
        spaced.push(if c.is_alphanumeric() || c == '%' { c } else { ' ' });
        before = c;
    }
    let mut words: Vec<String> = Vec::new();
    for word in spaced.to_lowercase().split_whitespace().filter(|w| !matches!(*w, "deg" | "degree" | "degrees" | "per")) {
        match (word, words.last_mut()) {
            ("m", Some(last)) if last.chars().all(|c| c.is_ascii_digit()) => last.push('m'),
            _ => words.extend(parted(word).iter().map(ToString::to_string)),
        }
    }
    words
}

/// Trade words that are written as one.
fn parted(word: &str) -> Vec<&str> {
    match word {
        "tmax" | "tx" | "maxt" | "maxtemp" | "tempmax" => vec!["temp", "max"],
        "tmin" | "tn" | "mint" | "mintemp" | "tempmin" => vec!["temp", "min"],
        "tmean" | "tavg" | "tair" | "airtemp" | "drybulb" => vec!["temp"],
        "tdew" | "td" | "dewpoint" | "dewpt" | "dewp" => vec!["dew"],
        "rhmax" | "maxrh" => vec!["rh", "max"],
        "rhmin" | "minrh" => vec!["rh", "min"],
        "rhmean" | "rhavg" | "rhum" | "relhum" => vec!["rh"],
        "windspeed" | "wspd" | "ws" | "awnd" => vec!["wind"],
        "u2" | "ws2m" => vec!["wind", "2m"],
        "u10" | "ws10m" => vec!["wind", "10m"],
        "ea" | "vp" => vec!["vapor", "pressure"],
        word => vec![word],
    }
}

/// Words that change nothing.
fn filler(word: &str) -> bool {
    matches!(
        word,
        "daily"
            | "hourly"
            | "day"
            | "total"
            | "sum"
            | "amount"
            | "of"
            | "the"
            | "at"
            | "24h"
            | "24hr"
            | "observed"
            | "measured"
            | "obs"
            | "local"
            | "and"
    )
}

/// "2m"
fn height(word: &str) -> Option<f64> {
    word.strip_suffix('m')?.parse().ok().filter(|h: &f64| h.is_finite())
}

/// "Date (DD/MM/YYYY)": does the day stand first?
fn day_first(words: &[String]) -> Option<bool> {
    let at = |letters: &str| words.iter().position(|w| w == letters);
    Some(at("dd")? < at("mm")?)
}

fn is_mean(word: &str) -> bool {
    matches!(word, "mean" | "avg" | "average" | "ave")
}
fn is_max(word: &str) -> bool {
    matches!(word, "max" | "maximum" | "high" | "highest" | "hi")
}
fn is_min(word: &str) -> bool {
    matches!(word, "min" | "minimum" | "low" | "lowest" | "lo")
}

/// What the words of a name mean, given the unit if one is named. All of them must fit.
fn meaning(words: &[String], unit: Option<&str>) -> Option<Meaning> {
    let has = |set: &[&str]| words.iter().any(|w| set.contains(&w.as_str()));
    let only = |sets: &[&[&str]]| {
        words.iter().all(|w| filler(w) || is_mean(w) || height(w).is_some() || sets.iter().any(|s| s.contains(&w.as_str())))
    };
    let extreme = (words.iter().any(|w| is_max(w)), words.iter().any(|w| is_min(w)));
    const EXTREMES: &[&str] = &["max", "maximum", "high", "highest", "hi", "min", "minimum", "low", "lowest", "lo"];
    const TEMPERATURE: &[&str] = &["t", "temp", "temperature", "tmp", "temps"];
    const DATE: &[&str] = &["date", "datetime", "timestamp", "datum"];
    const SIDES: &[&str] = &["ending", "end", "beginning", "starting", "start"];
    const DEW: &[&str] = &["dew", "point"];
    const HUMIDITY: &[&str] = &["rh", "humidity", "hum", "relative", "rel"];
    const WIND: &[&str] = &["wind", "speed", "velocity"];
    const SOLAR: &[&str] = &[
        "rs",
        "solar",
        "radiation",
        "rad",
        "srad",
        "ghi",
        "insolation",
        "shortwave",
        "irradiance",
        "irradiation",
        "global",
        "horizontal",
        "incoming",
    ];
    const SUN: &[&str] = &["sunshine", "sun", "bright", "duration"];
    const VAPOR: &[&str] = &["vapor", "vapour", "pressure", "actual"];
    const RAIN: &[&str] = &["rain", "rainfall", "precip", "precipitation", "prcp", "ppt", "pcp", "depth", "gauge"];
    const ETO: &[&str] = &["eto", "et0", "etref", "et", "evapotranspiration", "reference", "ref", "short", "grass"];

    let fits = |meaning: Meaning| match (meaning, unit) {
        (_, None) => Some(meaning),
        (Meaning::Air, Some(unit)) => Quantity::Tmin.takes(unit).then_some(meaning),
        (Meaning::Day(quantity), Some(unit)) => (quantity.takes(unit) || unit_named(unit).is_none()).then_some(meaning),
        _ => None,
    };
    let with_extreme = |mean, max, min| match extreme {
        (false, false) => Some(mean),
        (true, false) => Some(max),
        (false, true) => Some(min),
        (true, true) => None,
    };

    if has(DATE) && only(&[DATE, &["time", "hour"], SIDES]) || words == ["day"] {
        fits(Meaning::Date)
    } else if (has(&["time", "hour", "hr"])) && only(&[&["time", "hour", "hr"], SIDES]) {
        fits(Meaning::Time)
    } else if has(&["forecast", "predicted"]) && only(&[&["forecast", "predicted", "is"]]) {
        fits(Meaning::Forecast)
    } else if has(&["dew"]) && only(&[DEW, TEMPERATURE]) {
        fits(Meaning::Day(Quantity::Dew))
    } else if has(&["rh", "humidity", "hum"]) && only(&[HUMIDITY, EXTREMES]) {
        let (mean, max, min) = (Quantity::RhMean, Quantity::RhMax, Quantity::RhMin);
        fits(with_extreme(Meaning::Day(mean), Meaning::Day(max), Meaning::Day(min))?)
    } else if (has(TEMPERATURE) || has(&["bulb"]) || words == ["high"] || words == ["low"] || (unit.is_some() && extreme != (false, false)))
        && only(&[TEMPERATURE, EXTREMES, &["air", "dry", "bulb", "ambient", "outdoor", "outside"]])
    {
        fits(with_extreme(Meaning::Air, Meaning::Day(Quantity::Tmax), Meaning::Day(Quantity::Tmin))?)
    } else if has(&["wind"]) && only(&[WIND]) {
        fits(Meaning::Day(Quantity::Wind))
    } else if has(&["sunshine", "sun"]) && only(&[SUN]) {
        fits(Meaning::Day(Quantity::Sunshine))
    } else if has(&["rs", "solar", "radiation", "srad", "ghi", "insolation", "irradiance", "irradiation"]) && only(&[SOLAR]) {
        fits(Meaning::Day(Quantity::Solar))
    } else if has(&["vapor", "vapour"]) && has(&["pressure"]) && only(&[VAPOR]) {
        fits(Meaning::Day(Quantity::VaporPressure))
    } else if has(&["rain", "rainfall", "precip", "precipitation", "prcp", "ppt", "pcp"]) && only(&[RAIN]) {
        fits(Meaning::Day(Quantity::Rain))
    } else if (has(&["eto", "et0", "etref"]) || (has(&["reference", "ref"]) && has(&["et", "evapotranspiration"]))) && only(&[ETO]) {
        fits(Meaning::Day(Quantity::Eto))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn short(text: &str) -> String {
        let Some(heading) = read(text) else { return "-".into() };
        let meaning = match heading.meaning {
            Meaning::Day(quantity) => quantity.name().to_string(),
            other => format!("{other:?}"),
        };
        [meaning].into_iter().chain(heading.unit).chain(heading.height_m.map(|h| format!("at {h}"))).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn trade_words_with_units_are_understood() {
        for (text, wanted) in [
            ("tmin_c", "tmin_c C"),
            ("Tmax (F)", "tmax_c F"),
            ("max temp °F", "tmax_c F"),
            ("MaxTemp", "tmax_c"),
            ("Temperature (max) C", "tmax_c C"),
            ("Temperature max [°C]", "tmax_c C"),
            ("Temp. max., deg F", "tmax_c F"),
            ("High (F)", "tmax_c F"),
            ("Low", "tmin_c"),
            ("temp_min", "tmin_c"),
            ("TMIN", "tmin_c"),
            ("air temperature (degC)", "Air C"),
            ("Dry-bulb (C)", "Air C"),
            ("dew point °C", "dew_c C"),
            ("Tdew_c", "dew_c C"),
            ("rh_max_pct", "rh_max_pct %"),
            ("Relative humidity min (%)", "rh_min_pct %"),
            ("RH", "rh_mean_pct"),
            ("vapor_pressure_kpa", "vapor_pressure_kpa kPa"),
            ("ea (hPa)", "vapor_pressure_kpa hPa"),
            ("wind mph", "wind_m_s mph"),
            ("wind_2m_m_s", "wind_m_s m/s at 2"),
            ("u2 [m s-1]", "wind_m_s m/s at 2"),
            ("Wind speed at 10 m (km/h)", "wind_m_s km/h at 10"),
            ("wind (2 m) mph", "wind_m_s mph at 2"),
            ("Rs [MJ/m2]", "solar_mj_m2 MJ/m2"),
            ("solar radiation (MJ m-2 d-1)", "solar_mj_m2 MJ/m2"),
            ("GHI (W/m²)", "solar_mj_m2 W/m2"),
            ("Solar rad (kWh/m2)", "solar_mj_m2 kWh/m2"),
            ("sunshine_h", "sunshine_h h"),
            ("sun hours", "sunshine_h h"),
            ("rain_in", "rain_mm in"),
            ("Precipitation", "rain_mm"),
            ("PRCP (inches)", "rain_mm in"),
            ("Rainfall, mm", "rain_mm mm"),
            ("rain in mm", "rain_mm mm"),
            ("Rain (in) 24h", "rain_mm in"),
            ("wind in m/s", "wind_m_s m/s"),
            ("Solar (MJ/m²) total", "solar_mj_m2 MJ/m2"),
            ("rain (buckets)", "rain_mm buckets"),
            ("eto_mm", "eto_mm mm"),
            ("Reference ET (in)", "eto_mm in"),
            ("Date", "Date"),
            ("Date (MM/DD/YYYY)", "Date"),
            ("hour ending", "Time"),
            ("Forecast", "Forecast"),
        ] {
            assert_eq!(short(text), wanted, "{text}");
        }
    }

    #[test]
    fn what_only_looks_alike_is_not_read() {
        for text in [
            "",
            "soil temp max (C)",
            "wind direction",
            "wind gust mph",
            "rain (C)",
            "chance of rain (%)",
            "net radiation (MJ/m2)",
            "pressure (hPa)",
            "weather",
            "station",
            "snow depth (in)",
            "temp max min",
            "\u{0}\u{1}",
            "🌧",
        ] {
            assert_eq!(short(text), "-", "{text}");
        }
    }

    #[test]
    fn headings_tell_the_order_of_dates_and_the_side_of_hours() {
        assert_eq!(read("Date (MM/DD/YYYY)").unwrap().day_first, Some(false));
        assert_eq!(read("date [dd.mm.yyyy]").unwrap().day_first, Some(true));
        assert_eq!(read("date (YYYY-MM-DD)").unwrap().day_first, Some(false));
        assert_eq!(read("hour ending").unwrap().hour_ends, Some(true));
        assert_eq!(read("time").unwrap().hour_ends, None);
    }
}
