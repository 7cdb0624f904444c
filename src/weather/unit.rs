//! Units of weather columns: how headings spell them, which a quantity takes, and its own.

use super::header::words;
use super::quantity::Quantity;
use crate::error::{Error, Result};
use crate::units::{Conversion, System};

/// What a record stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Span {
    Day,
    Hour,
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
pub(super) fn unit_named(text: &str) -> Option<&'static str> {
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

    pub(super) fn takes(self, unit: &str) -> bool {
        self.units().contains(&unit)
    }

    /// The unit of a column that names none, for tables known to be SI or US; relative humidity is always percent.
    fn usual_unit(self, system: Option<System>) -> Option<&'static str> {
        let units = self.units();
        match (self, system) {
            (Quantity::RhMax | Quantity::RhMin | Quantity::RhMean, _) | (_, Some(System::Si)) => units.first().copied(),
            (Quantity::Solar | Quantity::VaporPressure, Some(System::Us)) | (_, None) => None,
            (Quantity::Sunshine, Some(System::Us)) => units.first().copied(),
            (_, Some(System::Us)) => units.get(1).copied(),
        }
    }

    /// From `unit` to the quantity's own; `None` if it is that already.
    fn conversion(self, unit: &str, span: Span) -> Result<Option<Conversion>> {
        let own = self.units().first().copied().unwrap_or_default();
        if unit == own {
            return Ok(None);
        }
        // A mean power is so much radiation per day, or per hour.
        let target = match (unit, span) {
            ("W/m2", Span::Day) => "MJ/m2/day",
            ("W/m2", Span::Hour) => "MJ/m2/h",
            _ => own,
        };
        Conversion::between(unit, target).map(Some)
    }

    /// Converts a column to the quantity's own unit. `title` is the heading for messages, `named` the unit it names.
    ///
    /// # Errors
    /// No unit named where one is needed, or one that is not known.
    pub(super) fn to_own_unit(
        self,
        title: &str,
        named: Option<&str>,
        system: Option<System>,
        span: Span,
        values: &mut [f64],
    ) -> Result<()> {
        let Some(unit) = named.or(self.usual_unit(system)) else {
            let what = format!("the unit of column \"{title}\"");
            let examples: Vec<String> = self.units().iter().take(2).map(|unit| format!("\"{title} ({unit})\"")).collect();
            let hint = format!("Write it in the heading, like {}, or say which units the table has: SI or US.", examples.join(" or "));
            return Err(Error::missing(what, hint));
        };
        let conversion = self.conversion(unit, span);
        match conversion.map_err(|_| Error::unknown(format!("unit of column \"{title}\""), unit, self.units()))? {
            None => {}
            Some(conversion) => values.iter_mut().for_each(|v| *v = conversion.apply(*v)),
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_unit_that_a_quantity_takes_converts() {
        for &quantity in Quantity::ALL {
            for unit in quantity.units() {
                for span in [Span::Day, Span::Hour] {
                    let mut values = [1.0, f64::NAN];
                    quantity.to_own_unit("x", Some(unit), None, span, &mut values).unwrap();
                    assert!(values[0].is_finite() && values[1].is_nan(), "{quantity} {unit}");
                }
                assert_eq!(quantity.unit_named(unit), Some(*unit), "{quantity} {unit}");
            }
        }
    }

    #[test]
    fn conversions_give_what_handbooks_print() {
        let one = |quantity: Quantity, unit, span, value| {
            let mut values = [value];
            quantity.to_own_unit("x", Some(unit), None, span, &mut values).unwrap();
            values[0]
        };
        assert_eq!(one(Quantity::Tmax, "F", Span::Day, 77.0), 25.0);
        assert_eq!(one(Quantity::Rain, "in", Span::Day, 0.5), 12.7);
        assert_eq!(one(Quantity::Wind, "mph", Span::Day, 10.0), 4.4704);
        // FAO-56 Table 3: 1 W/m2 is 0.0864 MJ/m2/day, 1 cal/cm2/day 4.1868e-2 (its calorie is the international one, 4.184 here).
        assert!((one(Quantity::Solar, "W/m2", Span::Day, 1.0) - 0.0864).abs() < 1e-12);
        assert!((one(Quantity::Solar, "W/m2", Span::Hour, 1.0) - 0.0036).abs() < 1e-12);
        assert!((one(Quantity::Solar, "langley", Span::Day, 100.0) - 4.184).abs() < 1e-12);
    }
}
