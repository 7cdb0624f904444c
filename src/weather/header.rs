//! What a column heading means: trade words in any order, with the unit in brackets or behind.
//!
//! `Tmax (F)`, `max temp °F`, `rain_in`, `wind mph`, `Rs [MJ/m2]`, `wind_2m_m_s`. Every word must be known: `soil temp max` and
//! `wind direction` are not read, and the report says so.

use super::quantity::Quantity;

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

/// Reads a heading; `None` if it means nothing here.
pub(super) fn read(text: &str) -> Option<Heading> {
    let (outside, inside) = brackets(text);
    let words = words(&outside);
    let inner = self::words(&inside);
    let height_m = words.iter().chain(&inner).find_map(|w| height(w));
    let heading = |meaning, unit| Heading { meaning, unit, height_m, day_first: None, hour_ends: None };

    if let Some(meaning @ (Meaning::Date | Meaning::Time | Meaning::Forecast)) = meaning(&words, None) {
        let says = |set: &[&str]| words.iter().chain(&inner).any(|w| set.contains(&w.as_str()));
        let hour_ends = if says(&["ending", "end"]) { Some(true) } else { says(&["beginning", "starting", "start"]).then_some(false) };
        return Some(Heading { day_first: day_first(&inner), hour_ends, height_m: None, ..heading(meaning, None) });
    }
    // Words in the brackets may belong to the name: "temperature (max)", "wind speed (2 m)".
    let all: Vec<String> = words.iter().chain(&inner).cloned().collect();
    if inside.is_empty() || meaning(&all, None).is_some() {
        return (0..all.len().min(4)).rev().find_map(|behind| {
            let (name, unit) = all.split_at_checked(all.len() - behind)?;
            let unit = if unit.is_empty() { None } else { Some(unit_named(&unit.join(" "))?.to_string()) };
            Some(heading(meaning(name, unit.as_deref())?, unit))
        });
    }
    let unit = unit_named(&inner.join(" ")).map_or_else(|| inside.trim().to_string(), str::to_string);
    Some(heading(meaning(&words, Some(&unit))?, Some(unit)))
}

/// The text outside and inside of brackets. What stands behind a comma counts as inside: "Tmax, °F".
fn brackets(text: &str) -> (String, String) {
    let (mut outside, mut inside, mut depth) = (String::new(), String::new(), 0_u32);
    for c in text.chars().take(200) {
        match c {
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' => depth = depth.saturating_sub(1),
            ',' if depth == 0 => depth = 1,
            _ if depth > 0 => inside.push(c),
            _ => outside.push(c),
        }
    }
    (outside, inside)
}

/// Lowercase words; "MaxTemp" is two, "2 m" is one, the exponents of "m s-1" and degree signs go.
fn words(text: &str) -> Vec<String> {
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
    } else if (has(TEMPERATURE) || words == ["high"] || words == ["low"] || (unit.is_some() && extreme != (false, false)))
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

/// Spellings of units in headings, as the words they part into, and the spelling that [`crate::units`] reads.
const UNITS: &[(&str, &[&str])] = &[
    ("C", &["c", "celsius"]),
    ("F", &["f", "fahrenheit"]),
    ("K", &["k", "kelvin"]),
    ("mm", &["mm", "mm day", "mm d", "millimeter", "millimeters"]),
    ("in", &["in", "inch", "inches", "in day", "in d"]),
    ("cm", &["cm"]),
    ("m/s", &["m s", "mps", "ms"]),
    ("km/h", &["km h", "kmh", "kph", "kmph", "km hr"]),
    ("km/day", &["km d", "km day"]),
    ("mph", &["mph", "mi h", "miles h", "miles hour"]),
    ("knot", &["kt", "kts", "knot", "knots", "kn"]),
    ("ft/s", &["ft s", "fps"]),
    ("MJ/m2", &["mj m2", "mj m2 d", "mj m2 day", "mj m2 h", "mj m2 hour"]),
    ("kJ/m2", &["kj m2", "k j m2", "kj m2 day"]),
    ("J/cm2", &["j cm2", "j cm2 day"]),
    ("kWh/m2", &["kwh m2", "k wh m2", "kwh m2 day", "k wh m2 day"]),
    ("Wh/m2", &["wh m2", "wh m2 day"]),
    ("W/m2", &["w m2", "watt m2", "watts m2"]),
    ("langley", &["ly", "langley", "langleys", "ly day", "cal cm2"]),
    ("%", &["%", "pct", "percent"]),
    ("kPa", &["kpa", "k pa"]),
    ("hPa", &["hpa", "h pa", "mbar", "mb", "millibar"]),
    ("mmHg", &["mmhg", "mm hg"]),
    ("inHg", &["inhg", "in hg"]),
    ("h", &["h", "hr", "hrs", "hour", "hours"]),
    ("min", &["min", "minutes"]),
];

/// The unit that these words name.
fn unit_named(text: &str) -> Option<&'static str> {
    let spelled = words(text).join(" ");
    UNITS.iter().find(|(unit, spellings)| *unit == text || spellings.contains(&spelled.as_str())).map(|(unit, _)| *unit)
}

impl Quantity {
    /// Units that this quantity may be given in.
    pub(super) fn units(self) -> &'static [&'static str] {
        match self {
            Quantity::Tmin | Quantity::Tmax | Quantity::Dew => &["C", "F", "K"],
            Quantity::VaporPressure => &["kPa", "hPa", "mmHg", "inHg"],
            Quantity::RhMax | Quantity::RhMin | Quantity::RhMean => &["%"],
            Quantity::Wind => &["m/s", "mph", "km/h", "km/day", "knot", "ft/s"],
            Quantity::Solar => &["MJ/m2", "W/m2", "kJ/m2", "J/cm2", "kWh/m2", "Wh/m2", "langley"],
            Quantity::Sunshine => &["h", "min"],
            Quantity::Rain | Quantity::Eto => &["mm", "in", "cm"],
        }
    }

    /// The spelling of [`Quantity::units`] for a unit as people write it.
    pub(super) fn unit_named(self, text: &str) -> Option<&'static str> {
        unit_named(text).filter(|unit| self.takes(unit))
    }

    fn takes(self, unit: &str) -> bool {
        self.units().contains(&unit)
    }
}
