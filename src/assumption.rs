//! The registry of assumptions: each thing that dibble fills in by itself has one row here.
//!
//! Filling happens before kernels. Day records and columns carry a [`Flags`] bitset, which is expanded
//! into a list of [`Assumed`] once for each result.

use crate::error::Error;
use crate::units::{System, show};
use serde::{Deserialize, Serialize};
use std::str::FromStr;

/// How much an assumption can move the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// Hardly moves the answer.
    Little,
    /// Moves the answer by some percent.
    Some,
    /// Can change what to do: worth measuring.
    Much,
}

macro_rules! assumptions {
    ($($id:ident = $key:literal, $what:literal, $value:literal, $unit:literal, $source:literal, $weight:ident;)*) => {
        /// A row of the registry. [`Assumption::ALL`] lists them.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[repr(u8)]
        #[non_exhaustive]
        pub enum Assumption { $(#[doc = $what] $id),* }

        impl Assumption {
            /// Every row.
            pub const ALL: &[Assumption] = &[$(Assumption::$id),*];

            fn row(self) -> (&'static str, &'static str, &'static str, &'static str, &'static str, Weight) {
                match self { $(Assumption::$id => ($key, $what, $value, $unit, $source, Weight::$weight)),* }
            }
        }
    };
}

assumptions! {
    // Weather
    DewFromTmin = "dew_from_tmin", "dew point taken from the day's lowest temperature", "Tmin", "deg C", "FAO-56 Eq. 48", Some;
    DewFromTminArid = "dew_from_tmin_arid", "dew point taken below the day's lowest temperature, as in dry places", "Tmin - 2", "deg C", "FAO-56 p. 58 (2 to 3 deg C)", Some;
    SolarFromRange = "solar_from_range", "solar radiation estimated from the day's temperature range", "", "MJ/m2", "FAO-56 Eq. 50", Some;
    SolarFromSun = "solar_from_sun", "solar radiation estimated from hours of sunshine", "0.25 + 0.50 n/N", "", "FAO-56 Eq. 35", Little;
    WindDefault = "wind_default", "wind speed at 2 m taken as a worldwide mean", "2", "m/s", "FAO-56 p. 63", Some;
    WindFloor = "wind_floor", "wind below 0.5 m/s taken as 0.5 m/s", "0.5", "m/s", "FAO-56 p. 63", Little;
    WindHeight = "wind_height", "height of the wind sensor not given", "10", "m", "common practice at weather stations", Some;
    SolarCapped = "solar_capped", "radiation held at the clear-sky value", "Rs/Rso = 1", "", "FAO-56 Eq. 39", Little;
    TemperatureOnly = "temperature_only", "reference evapotranspiration from temperature alone", "", "mm", "FAO-56 Eq. 52 (Hargreaves and Samani)", Some;
    TemperatureFilled = "temperature_filled", "missing temperature interpolated between neighboring days", "", "deg C", "common practice", Some;
    PressureFromElevation = "pressure_from_elevation", "air pressure from the elevation", "", "kPa", "FAO-56 Eq. 7", Little;
    HumidityFromMax = "humidity_from_max", "vapor pressure from the day's highest relative humidity alone", "", "kPa", "FAO-56 Eq. 18", Little;
    HumidityFromMean = "humidity_from_mean", "vapor pressure from the day's mean relative humidity", "", "kPa", "FAO-56 Eq. 19, its least liked method", Some;
    EtoFloor = "eto_floor", "reference evapotranspiration below zero (dew) taken as zero", "0", "mm", "our judgment", Little;
    EtoGiven = "eto_given", "reference evapotranspiration taken from the weather records, as asked", "", "mm", "the caller's choice", Some;
    StationRain = "station_rain", "the station's rain where the block's own gauge was not read", "", "mm", "common practice", Much;
    RainGapZero = "rain_gap_zero", "missing rain taken as none, as asked", "0", "mm", "the caller's choice", Much;
    RainGapMean = "rain_gap_mean", "missing rain taken as the mean of the 15 days before and after, as asked", "", "mm", "the caller's choice", Much;
    DayFilled = "day_filled", "a missing day filled, as asked", "", "", "the caller's choice", Much;
    ForecastMean = "forecast_mean", "days beyond the weather file taken as the mean of its last days", "", "mm", "common practice", Much;
    NightCloud = "night_cloud", "cloudiness at night taken from the hours before sunset, or as typical", "", "", "FAO-56 p. 75", Little;

    // Soil
    SoilFromClass = "soil_from_class", "water holding from the texture class alone", "", "", "class means with Saxton and Rawls (2006)", Much;
    ClayBeyondCalibration = "clay_beyond_calibration", "clay above 60 % lies outside the soils that the equations were made from", "", "", "Saxton and Rawls (2006)", Some;
    TextureFromHolding = "texture_from_holding", "texture not given: the class that holds water most alike", "", "", "our judgment", Some;
    OrganicMatter = "organic_matter", "organic matter not given", "2.5", "%", "Saxton and Rawls (2006), Table 3", Some;
    FieldCapacityTension = "field_capacity_10_kpa", "field capacity of sand and loamy sand taken at 10 kPa", "10", "kPa", "common practice", Some;
    StartWetness = "start_wetness", "the root zone starts at field capacity", "1", "", "common practice at thaw", Some;
    SubsoilWetness = "subsoil_wetness", "the soil below the roots starts at field capacity", "1", "", "common practice at thaw", Some;
    IntakeHalfKsat = "intake_half_ksat", "intake conductivity taken as half the saturated one", "0.5", "", "Bouwer's half, as in Rawls et al. (1983)", Much;

    // Stand
    RootDepth = "root_depth", "root depth from age and stock", "0.15", "m", "common practice: planted 4 to 5 in deep, deepening each season", Much;
    RootRadius = "root_radius", "radius of the root disc", "0.15", "m", "our judgment: the crown's, at least 0.15 m, within half the strip", Much;
    CrownFromAge = "crown_from_age", "crown width and height from species group and age", "", "m", "common practice", Some;
    StressOnset = "stress_onset", "depletion at which stress begins", "", "", "FAO-56 Table 22, adjusted for the day's use as on p. 162", Some;
    TreesLaidOut = "trees_laid_out", "trees not counted: as many as the ground has room for at this spacing", "", "trees", "arithmetic; dead ones stand in it", Some;
    AllowedDepletion = "allowed_depletion", "allowed depletion before watering", "0.35", "", "common practice: 0.30 to 0.40 for transplants, half for older trees", Much;
    CurveNumberDefault = "curve_number_default", "curve number from cover and soil group", "", "", "TR-55 Table 2-2c", Little;
    RefillFraction = "refill_fraction", "watering refills most of the deficit and leaves room for rain", "0.85", "", "common practice", Some;
    EventCap = "event_cap", "one watering gives no more", "25.4", "mm", "common practice: about an inch", Some;
    Efficiency = "efficiency", "share of the pumped water that reaches the roots", "0.65 to 0.80", "", "common practice for a big sprinkler", Some;
    SprayLoss = "spray_loss", "spray lost between nozzle and ground", "", "", "our judgment: 2-8 % humid, 10-25 % dry", Some;
    RateGiven = "rate_from_habit", "application rate of the sprinkler not measured", "19", "mm/h", "common practice (0.75 in in about an hour)", Much;

    // Sprinkler, hose and pump
    WindDrift = "wind_drift", "what wind does to the wetted circle was not measured", "", "", "our judgment", Much;
    ThrowRadius = "throw_radius", "wetted radius from nozzle and pressure", "", "m", "1.35 sqrt(d h), from memory; real heads throw 4 to 13 % farther", Much;
    HoseRoughness = "hose_c", "Hazen-Williams coefficient of lay-flat hose", "140", "", "fits the fire service's 2 in coefficient of 8 within 4 % at 100 gpm", Some;
    PumpEfficiency = "pump_efficiency", "efficiency of the pump not given", "0.55", "", "common practice for small engine pumps", Some;
    PumpCurve = "pump_curve", "pump curve from one rated point: a third more head at no flow, none at twice the flow", "", "m", "common practice", Much;
    RateFromSpacing = "rate_from_spacing", "application rate from the sprinkler's flow, with sets half the wetted diameter apart", "", "mm/h", "table of spacings by wind (teaching slides on rotary sprinklers), at 2 m/s", Much;
    WorkingWindow = "working_window", "working windows not given", "every day 6 am to 8 pm", "", "common practice", Much;
    Interest = "interest", "interest not given", "0.06", "", "common practice", Some;
    MoveTime = "move_time", "time that a move of the sprinkler takes not given", "30", "min", "common practice: 20 to 45 min", Much;
    UsualTank = "usual_tank", "tank and crew not given: a tank of 400 L, filled at 40 L/min and poured at 10 L/min by one person", "", "", "our judgment", Some;
    RingRim = "ring_rim", "each ring has a rim of earth that holds water while it soaks in", "50", "mm", "common practice", Some;

    // Fertility
    PhInWater = "ph_in_water", "the method of the pH is not given: taken as measured in water", "water", "", "common practice of US labs", Some;
    LimeIndexRead = "lime_index_read", "a buffer reading above 40 taken as a lime index, ten times the buffer pH", "", "", "common practice", Some;
    ElementForm = "element_form", "the form is not given: taken as the element", "element", "", "common practice of labs for Ca, Mg, S and trace elements", Some;
    SliceFactor = "slice_factor", "lb/acre taken as twice the ppm, because no sample depth is given", "2", "lb/acre per ppm", "2,000,000 lb of soil in an acre 6 2/3 in deep (common practice)", Some;
    SliceDensity = "slice_density", "bulk density of the sampled layer taken as the trade does", "1.32", "g/cm3", "2,000,000 lb of soil in an acre 6 2/3 in deep (common practice)", Little;
    BelowDetection = "below_detection", "a value below detection was given a number", "", "", "policy for values below detection: half the limit, unless another is named", Some;
    AboveRange = "above_range", "a value above the lab's range taken at the limit", "", "", "the true value is higher", Some;
    LabClass = "lab_class", "a class taken as the lab says, without a number", "", "", "the lab's word, read by the table or the meaning that was named", Much;
    CalciumChlorideOffset = "calcium_chloride_offset", "pH in calcium chloride raised to pH in water, as asked", "", "", "the caller's choice", Much;
    UsualLime = "usual_lime", "a rate of agricultural lime taken to mean lime of 90 % calcium carbonate equivalent", "0.90", "", "Tri-State Fertilizer Recommendations E-2567", Some;
    TargetMiddle = "target_middle", "the source prints a range of pH and no target: its middle before planting, its lower end among trees", "", "", "our judgment", Some;
    SurfaceDepth = "surface_depth", "lime on the surface is reckoned for a shallow layer", "0.10", "m", "Tri-State E-2567: 0 to 4 in takes half the 8-inch rate", Some;
    BudBreak = "bud_break", "usual day of bud break not given", "15 May; south of the equator 15 November", "", "from memory: true firs of the Great Lakes states break bud in the middle and end of May", Some;
    BuildUpRule = "build_up_rule", "build-up reckoned with a rule made for field crops", "20 lb P2O5/acre for 1 ppm P, 6 to 10 lb K2O/acre for 1 ppm K", "", "Tri-State Fertilizer Recommendations, as quoted", Much;

    // Placement
    HoldFromTarget = "hold_from_target", "depth that the ground of a tree holds taken as its target over a share", "0.85", "", "our judgment", Some;
    WorkPrices = "work_prices", "waste priced in minutes of work", "3 min for each cubic meter past roots or beside the block, 10 more on areas to keep out of", "", "our judgment", Some;
    PositionGrid = "position_grid", "positions to choose from on a square grid of a spacing made here", "", "m", "our judgment", Some;
    ThrowWithFlow = "throw_with_flow", "radius at a position taken to change as the flow does there", "", "", "both go with the square root of the pressure", Some;
}

impl Assumption {
    /// Stable key, as it stands in JSON.
    pub fn key(self) -> &'static str {
        self.row().0
    }

    /// The list row, with the registry's value.
    pub fn assumed(self) -> Assumed {
        let (key, what, value, unit, source, weight) = self.row();
        // what the registry states as one number is a quantity too
        let amounts = value.parse().map_or_else(|_| Vec::new(), |value| vec![Amount::of(value)]);
        let (key, what, value, unit, source) = (key.into(), what.into(), value.into(), unit.into(), source.into());
        Assumed { key, what, value, unit, amounts, source, weight, days: None }
    }

    /// The list row with the value that was used.
    pub fn with(self, value: impl std::fmt::Display) -> Assumed {
        Assumed { value: value.to_string(), amounts: Vec::new(), ..self.assumed() }
    }

    /// The list row with quantities that were used, in the registry's unit, with so many decimals.
    pub fn amounting(self, amounts: impl Into<Vec<Amount>>, decimals: usize) -> Assumed {
        let amounts = amounts.into();
        let value: Vec<String> = amounts.iter().map(|a| a.plain(decimals)).collect();
        Assumed { value: value.join(", "), amounts, ..self.assumed() }
    }
}

/// A quantity that was assumed, in the unit of its row.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Amount {
    /// The value used.
    pub value: f64,
    /// What it may be.
    pub range: Option<(f64, f64)>,
    /// What it is of: "high", "wide"; empty where the row says it.
    pub of: String,
}

impl Amount {
    /// A quantity that the row itself names.
    pub fn of(value: f64) -> Self {
        Self { value, range: None, of: String::new() }
    }

    fn plain(&self, decimals: usize) -> String {
        let number = |v: f64| format!("{v:.decimals$}");
        let range = self.range.map_or(String::new(), |(low, high)| format!(" ({} to {})", number(low), number(high)));
        format!("{}{range} {}", number(self.value), self.of).trim_end().to_string()
    }

    /// With its unit and that of the reader's country; `None` of units that both countries share.
    fn words(&self, unit: &str, units: System) -> Option<String> {
        let value = show::quantity(self.value, unit, units)?;
        let range = match self.range {
            Some((low, high)) => format!(", from {} to {}", show::quantity(low, unit, units)?, show::quantity(high, unit, units)?),
            None => String::new(),
        };
        Some(format!("{value} {}", self.of).trim_end().to_string() + &range)
    }
}

/// One assumption as a result lists it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Assumed {
    /// Stable key.
    pub key: String,
    /// What was taken for granted.
    pub what: String,
    /// The value used.
    pub value: String,
    /// Its unit.
    pub unit: String,
    /// The same as numbers, where it is a quantity.
    #[serde(default)]
    pub amounts: Vec<Amount>,
    /// Where the value or method comes from.
    pub source: String,
    /// How much it can move the answer.
    pub weight: Weight,
    /// On how many days it was used, where that makes sense.
    pub days: Option<usize>,
}

impl Assumed {
    /// The same row with the number of days it was used on.
    #[must_use]
    pub fn on_days(mut self, days: usize) -> Self {
        self.days = Some(days);
        self
    }
}

impl Assumed {
    /// Value with its unit, in [`System::Us`] the country's unit with SI beside it; empty where the assumption has none.
    pub fn value_words(&self, units: System) -> String {
        if self.value.is_empty() || self.unit.is_empty() {
            return self.value.clone();
        }
        let plain = || format!("{} {}", self.value, self.unit);
        if units == System::Si || self.amounts.is_empty() {
            return plain();
        }
        let each: Option<Vec<String>> = self.amounts.iter().map(|a| a.words(&self.unit, units)).collect();
        each.map_or_else(plain, |each| each.join(", "))
    }

    /// What was taken for granted, its value in these units, on how many days, and where it comes from.
    pub fn words(&self, units: System) -> String {
        let value = if self.value.is_empty() { String::new() } else { format!(": {}", self.value_words(units)) };
        let days = self.days.map_or(String::new(), |n| format!(" on {n} day{}", if n == 1 { "" } else { "s" }));
        format!("{}{value}{days} ({})", self.what, self.source)
    }
}

impl std::fmt::Display for Assumed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.words(System::Si))
    }
}

impl FromStr for Assumption {
    type Err = Error;
    /// The row with this key.
    fn from_str(key: &str) -> Result<Self, Error> {
        let keys: Vec<&str> = Assumption::ALL.iter().map(|a| a.key()).collect();
        Assumption::ALL.iter().copied().find(|a| a.key() == key).ok_or_else(|| Error::unknown("assumption", key, &keys))
    }
}

/// A set of assumptions, one bit each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Flags(u128);

impl Flags {
    /// No assumption.
    pub const NONE: Flags = Flags(0);

    /// Adds one.
    pub fn insert(&mut self, assumption: Assumption) {
        self.0 |= 1 << assumption as u8;
    }
    /// Holds this one?
    pub fn contains(self, assumption: Assumption) -> bool {
        self.0 & (1 << assumption as u8) != 0
    }
    /// Those of both.
    #[must_use]
    pub fn union(self, other: Flags) -> Flags {
        Flags(self.0 | other.0)
    }
    /// The assumptions in registry order.
    pub fn iter(self) -> impl Iterator<Item = Assumption> {
        Assumption::ALL.iter().copied().filter(move |a| self.contains(*a))
    }
}

/// Expands day flags into list rows with the number of days each was used on.
pub fn count_days(days: &[Flags]) -> Vec<Assumed> {
    let seen = days.iter().fold(Flags::NONE, |all, day| all.union(*day));
    let count = |a: Assumption| days.iter().filter(|day| day.contains(a)).count();
    seen.iter().map(|a| a.assumed().on_days(count(a))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_unique_and_fit_the_bitset() {
        let mut keys: Vec<_> = Assumption::ALL.iter().map(|a| a.key()).collect();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), Assumption::ALL.len());
        assert!(Assumption::ALL.len() <= 128);
    }

    #[test]
    fn days_are_counted_once_each() {
        let mut windy = Flags::NONE;
        windy.insert(Assumption::WindDefault);
        let rows = count_days(&[windy, Flags::NONE, windy]);
        assert_eq!(rows.len(), 1);
        assert_eq!(rows[0].to_string(), "wind speed at 2 m taken as a worldwide mean: 2 m/s on 2 days (FAO-56 p. 63)");
    }
}
