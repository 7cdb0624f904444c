//! The units of the trade, one row each: names, size in base units as a fraction of whole numbers, dimension.
//!
//! Base units: m, kg, s, °C, tree, degree of arc. Whole numbers keep the exact definitions exact:
//! 1 in is 254/10000 m, so that a conversion to mm multiplies by 25.4 and by nothing else.
//!
//! # Source
//! NIST Special Publication 811 (2008), Appendix B: inch, foot, mile, pound, ounce, US gallon, acre (of the
//! international foot), standard gravity, thermochemical calorie and conventional foot of water are exact definitions.

/// Exponents of length, mass, time, temperature, trees and angle.
pub(super) type Dim = [i8; 6];

pub(super) const NONE: Dim = [0; 6];
const LENGTH: Dim = [1, 0, 0, 0, 0, 0];
const AREA: Dim = [2, 0, 0, 0, 0, 0];
const VOLUME: Dim = [3, 0, 0, 0, 0, 0];
const MASS: Dim = [0, 1, 0, 0, 0, 0];
const TIME: Dim = [0, 0, 1, 0, 0, 0];
const SPEED: Dim = [1, 0, -1, 0, 0, 0];
const FLOW: Dim = [3, 0, -1, 0, 0, 0];
const PRESSURE: Dim = [-1, 1, -2, 0, 0, 0];
const ENERGY: Dim = [2, 1, -2, 0, 0, 0];
const POWER: Dim = [2, 1, -3, 0, 0, 0];
const ENERGY_AREA: Dim = [0, 1, -2, 0, 0, 0];
const TEMPERATURE: Dim = [0, 0, 0, 1, 0, 0];
const TREE: Dim = [0, 0, 0, 0, 1, 0];
const ANGLE: Dim = [0, 0, 0, 0, 0, 1];

/// One unit: `base value = (value - zero) * num / den`.
pub(super) struct Unit {
    /// Symbol first, then the words and spellings in use.
    pub names: &'static [&'static str],
    pub num: f64,
    pub den: f64,
    /// Reading at the base scale's zero; only temperature scales have one.
    pub zero: f64,
    pub dim: Dim,
}

const fn unit(names: &'static [&'static str], num: f64, den: f64, dim: Dim) -> Unit {
    Unit { names, num, den, zero: 0.0, dim }
}

const FT: f64 = 3048.0; // of 1/10000 m
const INCH: f64 = 254.0; // of 1/10000 m
const LB: f64 = 45_359_237.0; // of 1e-8 kg
const GAL: f64 = 231.0 * INCH * INCH * INCH; // of 1e-12 m3
const ACRE: f64 = 43_560.0 * FT * FT; // of 1e-8 m2

pub(super) static UNITS: &[Unit] = &[
    // Length
    unit(&["m", "meter", "meters", "metre", "metres"], 1.0, 1.0, LENGTH),
    unit(&["mm", "millimeter", "millimeters", "millimetre", "millimetres"], 1.0, 1e3, LENGTH),
    unit(&["cm", "centimeter", "centimeters", "centimetre", "centimetres"], 1.0, 1e2, LENGTH),
    unit(&["km", "kilometer", "kilometers", "kilometre", "kilometres"], 1e3, 1.0, LENGTH),
    unit(&["in", "inch", "inches", "\"", "″"], INCH, 1e4, LENGTH),
    unit(&["ft", "foot", "feet", "'", "′"], FT, 1e4, LENGTH),
    unit(&["yd", "yard", "yards", "yds"], 3.0 * FT, 1e4, LENGTH),
    unit(&["mi", "mile", "miles"], 5280.0 * FT, 1e4, LENGTH),
    // Area and volume
    unit(&["ha", "hectare", "hectares"], 1e4, 1.0, AREA),
    unit(&["acre", "acres", "ac"], ACRE, 1e8, AREA),
    unit(&["L", "l", "liter", "liters", "litre", "litres"], 1.0, 1e3, VOLUME),
    unit(&["mL", "ml", "milliliter", "milliliters", "millilitre", "millilitres"], 1.0, 1e6, VOLUME),
    unit(&["gal", "gallon", "gallons", "US gal", "US gallon", "US gallons"], GAL, 1e12, VOLUME),
    unit(&["qt", "quart", "quarts"], GAL, 4e12, VOLUME),
    unit(&["pt", "pint", "pints"], GAL, 8e12, VOLUME),
    unit(&["cup", "cups"], GAL, 16e12, VOLUME),
    unit(&["fl oz", "fluid ounce", "fluid ounces"], GAL, 128e12, VOLUME),
    unit(&["tbsp", "tablespoon", "tablespoons"], GAL, 256e12, VOLUME),
    unit(&["tsp", "teaspoon", "teaspoons"], GAL, 768e12, VOLUME),
    // Weight
    unit(&["kg", "kilogram", "kilograms"], 1.0, 1.0, MASS),
    unit(&["g", "gram", "grams"], 1.0, 1e3, MASS),
    unit(&["mg", "milligram", "milligrams"], 1.0, 1e6, MASS),
    unit(&["t", "tonne", "tonnes", "metric ton", "metric tons"], 1e3, 1.0, MASS),
    unit(&["lb", "lbs", "pound", "pounds"], LB, 1e8, MASS),
    unit(&["oz", "ounce", "ounces"], LB, 16e8, MASS),
    unit(&["ton", "tons", "short ton", "short tons"], 2000.0 * LB, 1e8, MASS),
    unit(&["cwt", "hundredweight"], 100.0 * LB, 1e8, MASS),
    // Time
    unit(&["s", "sec", "second", "seconds"], 1.0, 1.0, TIME),
    unit(&["min", "minute", "minutes"], 60.0, 1.0, TIME),
    unit(&["h", "hr", "hrs", "hour", "hours"], 3600.0, 1.0, TIME),
    unit(&["day", "days", "d"], 86_400.0, 1.0, TIME),
    unit(&["week", "weeks", "wk"], 604_800.0, 1.0, TIME),
    // Speed and flow
    unit(&["mph"], 5280.0 * FT, 3600e4, SPEED),
    unit(&["kph", "kmh"], 1e3, 3600.0, SPEED),
    unit(&["knot", "knots", "kn", "kt"], 1852.0, 3600.0, SPEED),
    unit(&["gpm"], GAL, 60e12, FLOW),
    unit(&["gph"], GAL, 3600e12, FLOW),
    unit(&["lpm"], 1.0, 60e3, FLOW),
    unit(&["cfs"], FT * FT * FT, 1e12, FLOW),
    // Pressure; a head of water at standard gravity and 1000 kg/m3
    unit(&["Pa", "pascal", "pascals"], 1.0, 1.0, PRESSURE),
    unit(&["hPa", "mbar", "millibar", "millibars"], 1e2, 1.0, PRESSURE),
    unit(&["kPa", "kilopascal", "kilopascals", "cbar", "cb", "centibar", "centibars"], 1e3, 1.0, PRESSURE),
    unit(&["MPa", "megapascal", "megapascals"], 1e6, 1.0, PRESSURE),
    unit(&["bar", "bars"], 1e5, 1.0, PRESSURE),
    unit(&["psi"], LB * 980_665.0, INCH * INCH * 1e5, PRESSURE),
    unit(&["ft of head", "ft head", "feet of head", "ft of water", "feet of water"], FT * 980_665.0, 1e6, PRESSURE),
    unit(&["m of head", "m head", "meters of head", "m of water", "meters of water"], 980_665.0, 1e2, PRESSURE),
    unit(&["atm", "atmosphere", "atmospheres"], 101_325.0, 1.0, PRESSURE),
    unit(&["mm Hg", "mmHg"], 133_322_387_415.0, 1e9, PRESSURE),
    unit(&["in Hg", "inHg"], 133_322_387_415.0 * INCH, 1e10, PRESSURE),
    // Energy and radiation
    unit(&["J", "joule", "joules"], 1.0, 1.0, ENERGY),
    unit(&["kJ", "kilojoule", "kilojoules"], 1e3, 1.0, ENERGY),
    unit(&["MJ", "megajoule", "megajoules"], 1e6, 1.0, ENERGY),
    unit(&["cal", "calorie", "calories"], 4184.0, 1e3, ENERGY),
    unit(&["Wh"], 3600.0, 1.0, ENERGY),
    unit(&["kWh"], 3.6e6, 1.0, ENERGY),
    unit(&["W", "watt", "watts"], 1.0, 1.0, POWER),
    unit(&["kW", "kilowatt", "kilowatts"], 1e3, 1.0, POWER),
    unit(&["hp", "horsepower"], 550.0 * FT * LB * 980_665.0, 1e17, POWER),
    unit(&["langley", "langleys", "ly"], 41_840.0, 1.0, ENERGY_AREA),
    // Temperature
    unit(&["°C", "deg C", "degC", "C", "Celsius"], 1.0, 1.0, TEMPERATURE),
    Unit { names: &["°F", "deg F", "degF", "F", "Fahrenheit"], num: 5.0, den: 9.0, zero: 32.0, dim: TEMPERATURE },
    Unit { names: &["K", "kelvin", "kelvins"], num: 1.0, den: 1.0, zero: 273.15, dim: TEMPERATURE },
    // Counts, shares, angles
    unit(&["tree", "trees"], 1.0, 1.0, TREE),
    unit(&["%", "percent", "pct"], 1.0, 1e2, NONE),
    unit(&["ppm"], 1.0, 1e6, NONE),
    unit(&["deg", "°", "degree", "degrees"], 1.0, 1.0, ANGLE),
];

/// Finds a unit by name: exactly, or else by any mix of capitals for names of two letters and more
/// (one capital letter changes what is meant: `t` and `T`, `m` and `M`).
pub(super) fn find(name: &str) -> Option<&'static Unit> {
    UNITS.iter().find(|u| u.names.contains(&name)).or_else(|| {
        let long = name.chars().count() > 1;
        let same = |known: &&&str| known.chars().count() > 1 && known.to_lowercase() == name.to_lowercase();
        UNITS.iter().find(|u| long && u.names.iter().any(|known| same(&known)))
    })
}

/// What a dimension measures, in words, and units to write it in.
pub(super) fn words(dim: Dim) -> (&'static str, &'static [&'static str]) {
    match dim {
        NONE => ("a share", &["%", "ppm"]),
        LENGTH => ("a length", &["m", "ft", "in"]),
        AREA => ("an area", &["acre", "ha", "ft2", "m2"]),
        VOLUME => ("a volume", &["gal", "L", "m3", "acre-in"]),
        MASS => ("a weight", &["lb", "oz", "kg", "ton"]),
        TIME => ("a time", &["min", "h", "day"]),
        SPEED => ("a speed or a rate of water", &["mph", "m/s", "in/h", "mm/h"]),
        FLOW => ("a flow", &["gpm", "L/min", "m3/h"]),
        PRESSURE => ("a pressure", &["psi", "kPa", "bar", "ft of head"]),
        ENERGY => ("an energy", &["MJ", "kWh"]),
        POWER => ("a power", &["hp", "kW"]),
        ENERGY_AREA => ("radiation over a time", &["MJ/m2", "kWh/m2", "langley"]),
        [0, 1, -3, 0, 0, 0] => ("radiation", &["W/m2", "MJ/m2/day"]),
        TEMPERATURE => ("a temperature", &["°F", "°C"]),
        TREE => ("a number of trees", &["trees"]),
        ANGLE => ("an angle", &["deg"]),
        [-2, 1, 0, 0, 0, 0] => ("a weight per area", &["lb/acre", "kg/ha", "lb/1000 ft2", "tons/acre"]),
        [-3, 1, 0, 0, 0, 0] => ("a density", &["g/cm3", "lb/ft3", "mg/L"]),
        [0, 1, 0, 0, -1, 0] => ("a weight per tree", &["oz/tree", "g/tree"]),
        [3, 0, 0, 0, -1, 0] => ("a volume per tree", &["gal/tree", "L/tree"]),
        [-2, 0, 0, 0, 1, 0] => ("trees per area", &["trees/acre", "trees/ha"]),
        [2, 0, 0, 0, -1, 0] => ("an area per tree", &["ft2/tree", "m2/tree"]),
        _ => ("something else", &[]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_units_share_a_name() {
        let mut names: Vec<&str> = UNITS.iter().flat_map(|u| u.names).copied().collect();
        names.sort_unstable();
        let all = names.len();
        names.dedup();
        assert_eq!(names.len(), all);
        for unit in UNITS {
            assert!(unit.num > 0.0 && unit.den > 0.0 && unit.num.is_finite(), "{:?}", unit.names);
            for name in unit.names {
                assert!(find(name).is_some_and(|found| std::ptr::eq(found, unit)), "{name} finds another unit");
            }
        }
    }

    #[test]
    fn capitals_matter_only_in_single_letters() {
        assert!(find("PSI").is_some() && find("Acres").is_some() && find("GAL").is_some());
        assert!(find("T").is_none() && find("M").is_none());
        assert_eq!(find("mPa").map(|u| u.names[0]), Some("MPa"));
    }
}
