//! How a key may be written: with the ending that names its unit, or without.

/// `row_spacing_m` in m is `row_spacing`.
pub(super) fn bare_name(key: &'static str, unit: &str) -> &'static str {
    let ending = match unit {
        "" => "",
        "%" => "_pct",
        "mm/h" => "_mm_h",
        "kPa" => "_kpa",
        "g/cm3" => "_g_cm3",
        "L/min" => "_l_min",
        "L/h" => "_l_h",
        "L" => "_l",
        "mm/day" => "_mm_day",
        "kW" => "_kw",
        "m/s" => "_m_s",
        "deg C" => "_c",
        "dS/m" => "_ds_m",
        "mg/L" => "_mg_l",
        "kg/ha" => "_kg_ha",
        "kg/m3" => "_kg_m3",
        "mL" => "_ml",
        other => return key.strip_suffix(other).and_then(|k| k.strip_suffix('_')).unwrap_or(key),
    };
    key.strip_suffix(ending).unwrap_or(key)
}

/// Names in their order; a key without an ending is asked for under one spelling, and some keys twice.
pub(super) fn each_once<'n>(names: impl Iterator<Item = &'n str>) -> Vec<&'n str> {
    let mut once = Vec::new();
    for name in names {
        if !once.contains(&name) {
            once.push(name);
        }
    }
    once
}
