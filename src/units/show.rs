//! How quantities are printed: the unit of the reader's country first, SI beside it, digits that can be measured.
//!
//! All arguments are SI. In [`System::Us`] the answer is `0.75 in (19 mm)`, in [`System::Si`] `19 mm`.

use super::{G_PER_OZ, KG_PER_LB, KPA_PER_PSI, L_PER_GAL, M_PER_FT, M2_PER_ACRE, MM_PER_IN};
use crate::words::words;

words! {
    /// The units that answers are printed in.
    #[derive(Default)]
    pub enum System: "units" {
        /// Inches, feet, gallons, acres, ounces and pounds, with SI beside them.
        #[default]
        Us = "us",
        /// SI alone.
        Si = "si",
    }
}

impl System {
    fn both(self, us: String, si: String) -> String {
        match self {
            System::Us => format!("{us} ({si})"),
            System::Si => si,
        }
    }
}

/// A number with so many decimals, thousands parted by commas, and no minus before a zero.
///
/// ```
/// assert_eq!(dibble::units::show::number(27154.3, 0), "27,154");
/// assert_eq!(dibble::units::show::number(-0.001, 2), "0.00");
/// ```
pub fn number(value: f64, decimals: usize) -> String {
    let plain = format!("{value:.decimals$}");
    let unsigned = plain.trim_start_matches('-');
    let zero = unsigned.bytes().all(|b| matches!(b, b'0' | b'.'));
    let (whole, fraction) = unsigned.split_once('.').map_or((unsigned, None), |(w, f)| (w, Some(f)));
    let mut out = String::from(if plain.starts_with('-') && !zero { "-" } else { "" });
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place).is_multiple_of(3) && value.is_finite() {
            out.push(',');
        }
        out.push(digit);
    }
    if let Some(fraction) = fraction {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

/// About three digits: 0.75, 7.5, 75, 750.
fn few(value: f64) -> String {
    number(value, if value.abs() < 0.995 { 2 } else { usize::from(value.abs() < 9.95) })
}

/// One decimal below ten, none above; a decimal of zero is dropped.
fn short(value: f64) -> String {
    let text = number(value, usize::from(value.abs() < 9.95));
    text.strip_suffix(".0").map_or(text.clone(), ToString::to_string)
}

fn mm(value: f64) -> String {
    number(value, usize::from(value.abs() < 9.95))
}

/// A depth of water, from mm: `0.75 in (19 mm)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::depth(19.05, System::Us), "0.75 in (19 mm)");
/// assert_eq!(show::depth(6.25, System::Si), "6.2 mm");
/// ```
pub fn depth(value_mm: f64, system: System) -> String {
    system.both(format!("{} in", number(value_mm / MM_PER_IN, 2)), format!("{} mm", mm(value_mm)))
}

/// A rate of water, from mm/h: `0.75 in/h (19 mm/h)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::rate(19.05, System::Us), "0.75 in/h (19 mm/h)");
/// ```
pub fn rate(value_mm_h: f64, system: System) -> String {
    system.both(format!("{} in/h", number(value_mm_h / MM_PER_IN, 2)), format!("{} mm/h", mm(value_mm_h)))
}

/// Water over a week, from mm in the week: `1.00 in/week (25 mm/week)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::weekly(25.4, System::Us), "1.00 in/week (25 mm/week)");
/// ```
pub fn weekly(value_mm: f64, system: System) -> String {
    system.both(format!("{} in/week", number(value_mm / MM_PER_IN, 2)), format!("{} mm/week", mm(value_mm)))
}

/// A distance, from m: `500 ft (152 m)`, `5.5 ft (1.7 m)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::length(152.4, System::Us), "500 ft (152 m)");
/// ```
pub fn length(value_m: f64, system: System) -> String {
    system.both(format!("{} ft", short(value_m / M_PER_FT)), format!("{} m", few(value_m)))
}

/// A distance that is enough, from m: rounded up in each unit, `1.6 ft (0.49 m)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::length_or_more(0.4826, System::Us), "1.6 ft (0.49 m)");
/// assert_eq!(show::length_or_more(0.5, System::Us), "1.7 ft (0.50 m)");
/// ```
pub fn length_or_more(value_m: f64, system: System) -> String {
    // a rest beyond the ninth decimal comes from the arithmetic
    let up = |value: f64, scale: f64| (value * scale - 1e-9).ceil() / scale;
    let scale = |value: f64| if value < 9.95 { 10.0 } else { 1.0 };
    let feet = up(value_m / M_PER_FT, scale(value_m / M_PER_FT));
    let meters = up(value_m, if value_m < 0.995 { 100.0 } else { scale(value_m) });
    system.both(format!("{} ft", short(feet)), format!("{} m", few(meters)))
}

/// A depth in the soil, from m: `6 in (15 cm)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::soil_depth(0.1524, System::Us), "6 in (15 cm)");
/// ```
pub fn soil_depth(value_m: f64, system: System) -> String {
    system.both(format!("{} in", short(value_m * 1000.0 / MM_PER_IN)), format!("{} cm", number(value_m * 100.0, 0)))
}

/// A bore of hose, pipe or nozzle, from mm: `0.5 in (12.7 mm)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::bore(12.7, System::Us), "0.5 in (12.7 mm)");
/// assert_eq!(show::bore(50.8, System::Si), "50.8 mm");
/// ```
pub fn bore(value_mm: f64, system: System) -> String {
    let inches = number(value_mm / MM_PER_IN, 2);
    let inches = inches.trim_end_matches('0').trim_end_matches('.');
    system.both(format!("{inches} in"), format!("{} mm", number(value_mm, 1)))
}

/// A speed of water in a hose, from m/s: `5.0 ft/s (1.5 m/s)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::water_speed(1.524, System::Us), "5.0 ft/s (1.5 m/s)");
/// ```
pub fn water_speed(value_m_s: f64, system: System) -> String {
    system.both(format!("{} ft/s", number(value_m_s / M_PER_FT, 1)), format!("{} m/s", number(value_m_s, 1)))
}

/// A layer of the soil, from m: `2 to 6 in (5 to 15 cm)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::soil_layer(0.05, 0.15, System::Us), "2 to 5.9 in (5 to 15 cm)");
/// ```
pub fn soil_layer(from_m: f64, to_m: f64, system: System) -> String {
    let inches = |m: f64| short(m * 1000.0 / MM_PER_IN);
    let si = format!("{} to {} cm", number(from_m * 100.0, 0), number(to_m * 100.0, 0));
    system.both(format!("{} to {} in", inches(from_m), inches(to_m)), si)
}

/// A quantity of one of these units, a length below a meter as a depth in the soil; `None` of other units.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::quantity(0.29, "m", System::Us).as_deref(), Some("11 in (29 cm)"));
/// assert_eq!(show::quantity(10.0, "meq/100 g", System::Us), None);
/// ```
pub fn quantity(value: f64, unit: &str, system: System) -> Option<String> {
    match unit {
        "m" if value < 1.0 => Some(soil_depth(value, system)),
        "m" => Some(length(value, system)),
        "mm" => Some(depth(value, system)),
        "mm/h" => Some(rate(value, system)),
        "m/s" => Some(speed(value, system)),
        _ => None,
    }
}

/// An area, from m2: `1.5 acres (0.61 ha)`, below a quarter acre `50 ft2 (4.6 m2)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::area(6070.3, System::Us), "1.5 acres (0.61 ha)");
/// assert_eq!(show::area(4.645, System::Us), "50 ft2 (4.6 m2)");
/// ```
pub fn area(value_m2: f64, system: System) -> String {
    let acres = value_m2 / M2_PER_ACRE;
    if acres < 0.25 {
        return system.both(format!("{} ft2", short(value_m2 / (M_PER_FT * M_PER_FT))), format!("{} m2", few(value_m2)));
    }
    system.both(format!("{} acres", few(acres)), format!("{} ha", few(value_m2 / 1e4)))
}

/// A volume, from liters: `4.4 gal (17 L)`, above 10,000 L in m3.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::volume(16.7, System::Us), "4.4 gal (17 L)");
/// assert_eq!(show::volume(102_790.0, System::Us), "27,154 gal (103 m3)");
/// ```
pub fn volume(value_l: f64, system: System) -> String {
    let si = if value_l < 1e4 { format!("{} L", few(value_l)) } else { format!("{} m3", few(value_l / 1e3)) };
    system.both(format!("{} gal", few(value_l / L_PER_GAL)), si)
}

/// Water for one tree, from liters: `2.0 gal (7.4 L) per tree`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::volume_per_tree(7.41, System::Us), "2.0 gal (7.4 L) per tree");
/// ```
pub fn volume_per_tree(value_l: f64, system: System) -> String {
    format!("{} per tree", volume(value_l, system))
}

/// A flow, from L/min: `80 gpm (303 L/min)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::flow(302.8, System::Us), "80 gpm (303 L/min)");
/// ```
pub fn flow(value_l_min: f64, system: System) -> String {
    system.both(format!("{} gpm", few(value_l_min / L_PER_GAL)), format!("{} L/min", few(value_l_min)))
}

/// A pressure, from kPa: `60 psi (414 kPa)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::pressure(413.7, System::Us), "60 psi (414 kPa)");
/// ```
pub fn pressure(value_kpa: f64, system: System) -> String {
    system.both(format!("{} psi", short(value_kpa / KPA_PER_PSI)), format!("{} kPa", number(value_kpa, 0)))
}

/// A temperature, from °C: `86 °F (30 °C)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::temperature(30.0, System::Us), "86 °F (30 °C)");
/// ```
pub fn temperature(value_c: f64, system: System) -> String {
    system.both(format!("{} °F", number(value_c * 9.0 / 5.0 + 32.0, 0)), format!("{} °C", number(value_c, 0)))
}

/// A wind speed, from m/s: `4.5 mph (2.0 m/s)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::speed(2.0, System::Us), "4.5 mph (2.0 m/s)");
/// ```
pub fn speed(value_m_s: f64, system: System) -> String {
    system.both(format!("{} mph", few(value_m_s * 3600.0 / (5280.0 * M_PER_FT))), format!("{} m/s", few(value_m_s)))
}

/// A weight, from kg: `50 lb (23 kg)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::mass(22.68, System::Us), "50 lb (23 kg)");
/// ```
pub fn mass(value_kg: f64, system: System) -> String {
    system.both(format!("{} lb", short(value_kg / KG_PER_LB)), format!("{} kg", few(value_kg)))
}

/// A weight for one tree, from g: `0.50 oz (14 g) per tree`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::mass_per_tree(14.17, System::Us), "0.50 oz (14 g) per tree");
/// ```
pub fn mass_per_tree(value_g: f64, system: System) -> String {
    format!("{} per tree", system.both(format!("{} oz", few(value_g / G_PER_OZ)), format!("{} g", few(value_g))))
}

/// A weight per area, from kg/ha: `40 lb/acre (45 kg/ha)`.
///
/// ```
/// use dibble::units::{show, System};
/// assert_eq!(show::mass_per_area(44.8, System::Us), "40 lb/acre (45 kg/ha)");
/// ```
pub fn mass_per_area(value_kg_ha: f64, system: System) -> String {
    let lb_acre = value_kg_ha * M2_PER_ACRE / (1e4 * KG_PER_LB);
    system.both(format!("{} lb/acre", short(lb_acre)), format!("{} kg/ha", few(value_kg_ha)))
}

/// A running time, from minutes: `45 min`, `1 h 30 min`.
///
/// ```
/// assert_eq!(dibble::units::show::minutes(90.0), "1 h 30 min");
/// ```
pub fn minutes(value_min: f64) -> String {
    let whole = value_min.round();
    if whole < 60.0 {
        return format!("{} min", number(value_min, usize::from(value_min.abs() < 1.0)));
    }
    let (hours, rest) = ((whole / 60.0).floor(), whole % 60.0);
    if rest == 0.0 { format!("{} h", number(hours, 0)) } else { format!("{} h {} min", number(hours, 0), number(rest, 0)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_part_thousands_and_keep_their_sign() {
        assert_eq!(number(1_234_567.891, 1), "1,234,567.9");
        assert_eq!(number(-1234.0, 0), "-1,234");
        assert_eq!(number(999.96, 1), "1,000.0");
        assert_eq!(number(f64::NAN, 2), "NaN");
        assert_eq!(number(f64::INFINITY, 0), "inf");
    }

    #[test]
    fn systems_parse_and_print() {
        assert_eq!("US".parse::<System>().unwrap(), System::Us);
        assert_eq!("metric".parse::<System>().unwrap_err().to_string(), "units \"metric\" is not known. Known: \"us\", \"si\".");
        assert_eq!(depth(25.4, System::Si), "25 mm");
        assert_eq!(minutes(59.7), "1 h");
        assert_eq!(minutes(0.4), "0.4 min");
    }
}
