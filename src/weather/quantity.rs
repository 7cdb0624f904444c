//! The quantities a day record can hold, one row each: the column's name, its range, and how long a real sensor may repeat itself.

use crate::bounds::{self, Bound};
use crate::date::Date;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

macro_rules! quantities {
    ($($(#[$doc:meta])* $id:ident = $field:ident, $bound:ident, $stuck:expr;)*) => {
        /// A weather quantity. Its name is the column's name in code, files and messages: `tmin_c`, `rain_mm`, ...
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        #[non_exhaustive]
        pub enum Quantity { $($(#[$doc])* $id),* }

        impl Quantity {
            /// Every quantity, in the order of columns.
            pub const ALL: &[Quantity] = &[$(Quantity::$id),*];

            /// The column's name, unit suffix included.
            pub fn name(self) -> &'static str {
                match self { $(Quantity::$id => stringify!($field)),* }
            }

            /// Its permitted range.
            pub fn bound(self) -> Bound {
                match self { $(Quantity::$id => bounds::$bound.named(stringify!($field))),* }
            }

            /// Days in a row with the very same value (in a column that also holds others) from which the sensor counts as
            /// stuck; 0 where that cannot be told. Our judgment: the longest run in four real years is five days.
            pub(crate) fn stuck_days(self) -> usize {
                match self { $(Quantity::$id => $stuck),* }
            }
        }

        /// Day records as columns. An empty column was not measured; NaN is a missing value; `dates` gives the length.
        ///
        /// ```
        /// use dibble::{Date, weather::{DayColumns, Weather}};
        /// let first: Date = "2026-07-01".parse()?;
        /// let columns = DayColumns {
        ///     dates: vec![first, first + 1],
        ///     tmin_c: vec![12.0, 14.5],
        ///     tmax_c: vec![26.0, 29.0],
        ///     rain_mm: vec![0.0, 6.4],
        ///     ..DayColumns::default()
        /// };
        /// assert_eq!(Weather::from_columns(columns)?.len(), 2);
        /// # Ok::<(), dibble::Error>(())
        /// ```
        #[derive(Debug, Clone, Default)]
        pub struct DayColumns {
            /// The day of each record, in any order.
            pub dates: Vec<Date>,
            $($(#[$doc])* pub $field: Vec<f64>,)*
            /// Height of the wind sensor, m, where the records say it; goes before the site's.
            pub wind_height_m: Option<f64>,
            /// Is this day a forecast? Empty for none.
            pub forecast: Vec<bool>,
        }

        impl DayColumns {
            /// The column of a quantity; empty if it was not measured.
            pub fn get(&self, quantity: Quantity) -> &[f64] {
                match quantity { $(Quantity::$id => &self.$field),* }
            }

            /// The column of a quantity, to be filled.
            pub fn get_mut(&mut self, quantity: Quantity) -> &mut Vec<f64> {
                match quantity { $(Quantity::$id => &mut self.$field),* }
            }
        }
    };
}

quantities! {
    /// Lowest air temperature of the day, degrees Celsius.
    Tmin = tmin_c, T_C, 7;
    /// Highest air temperature of the day, degrees Celsius.
    Tmax = tmax_c, T_C, 7;
    /// Mean dew point, degrees Celsius.
    Dew = dew_c, DEW_C, 7;
    /// Mean actual vapor pressure, kPa.
    VaporPressure = vapor_pressure_kpa, VAPOR_PRESSURE_KPA, 7;
    /// Highest relative humidity, percent.
    RhMax = rh_max_pct, RH_PCT, 7;
    /// Lowest relative humidity, percent.
    RhMin = rh_min_pct, RH_PCT, 7;
    /// Mean relative humidity, percent.
    RhMean = rh_mean_pct, RH_PCT, 7;
    /// Mean wind speed at the sensor's height, m/s.
    Wind = wind_m_s, WIND_M_S, 7;
    /// Solar radiation of the day, MJ/m2.
    Solar = solar_mj_m2, SOLAR_MJ_M2, 5;
    /// Hours of bright sunshine.
    Sunshine = sunshine_h, SUN_HOURS_H, 5;
    /// Rain, mm.
    Rain = rain_mm, RAIN_MM, 0;
    /// Reference evapotranspiration given by the station, mm. Used only if [`crate::weather::Reference::Given`] asks for it.
    Eto = eto_mm, ETO_MM, 0;
}

impl DayColumns {
    /// The value of a quantity on a day, if it was measured.
    pub(crate) fn value(&self, quantity: Quantity, day: usize) -> Option<f64> {
        self.get(quantity).get(day).copied().filter(|v| !v.is_nan())
    }

    pub(crate) fn blank(&mut self, quantity: Quantity, day: usize) {
        if let Some(value) = self.get_mut(quantity).get_mut(day) {
            *value = f64::NAN;
        }
    }

    /// The quantities that have a column.
    pub fn measured(&self) -> impl Iterator<Item = Quantity> + '_ {
        Quantity::ALL.iter().copied().filter(|&q| !self.get(q).is_empty())
    }

    /// Lengths agree?
    pub(crate) fn check_lengths(&self) -> Result<()> {
        let days = self.dates.len();
        let short = |name: &str, length: usize| {
            Error::inconsistent(
                format!("column {name} has {length} values and dates has {days}"),
                "Give one value for each date, NaN where it is missing.",
            )
        };
        let mut problems: Vec<Error> =
            self.measured().filter(|&q| self.get(q).len() != days).map(|q| short(q.name(), self.get(q).len())).collect();
        if !self.forecast.is_empty() && self.forecast.len() != days {
            problems.push(short("forecast", self.forecast.len()));
        }
        Error::several(problems).map_or(Ok(()), Err)
    }
}

/// Two missing values are equal.
impl PartialEq for DayColumns {
    fn eq(&self, other: &Self) -> bool {
        let same = |a: &[f64], b: &[f64]| a.len() == b.len() && a.iter().zip(b).all(|(x, y)| x == y || (x.is_nan() && y.is_nan()));
        self.dates == other.dates
            && self.forecast == other.forecast
            && self.wind_height_m == other.wind_height_m
            && Quantity::ALL.iter().all(|&q| same(self.get(q), other.get(q)))
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Quantity {
    type Err = Error;
    fn from_str(text: &str) -> Result<Self> {
        let plain = text.trim().to_lowercase().replace([' ', '-'], "_");
        let names: Vec<&str> = Quantity::ALL.iter().map(|q| q.name()).collect();
        Quantity::ALL.iter().copied().find(|q| q.name() == plain).ok_or_else(|| Error::unknown("weather column", text, &names))
    }
}

impl TryFrom<String> for Quantity {
    type Error = Error;
    fn try_from(text: String) -> Result<Self> {
        text.parse()
    }
}

impl From<Quantity> for String {
    fn from(quantity: Quantity) -> Self {
        quantity.name().into()
    }
}

#[cfg(feature = "schema")]
impl schemars::JsonSchema for Quantity {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Quantity".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "string", "enum": Quantity::ALL.iter().map(|q| q.name()).collect::<Vec<_>>() })
    }
}
