//! One row for each bounded quantity: name, words, unit, permitted range, what to do, source of the range.
//!
//! The row gives the check, the message and the range that property tests draw from. Limits are there to
//! catch slips of unit and sign, so they are wide: the extremes on Earth, rounded outwards.

use crate::error::{Error, OutOfRange, Result};
use std::ops::RangeInclusive;

/// A quantity with its permitted range. All rows stand in [`ALL`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// Name as it stands in code, files and messages, unit suffix included.
    pub name: &'static str,
    /// The quantity in words.
    pub words: &'static str,
    /// Unit, empty for fractions and counts.
    pub unit: &'static str,
    /// Smallest permitted value.
    pub min: f64,
    /// Largest permitted value.
    pub max: f64,
    /// What to do about a value outside the range.
    pub hint: &'static str,
    /// Where the range comes from.
    pub source: &'static str,
}

impl Bound {
    /// The same range under another name: `T_C.named("tmin_c")`.
    #[must_use]
    pub const fn named(mut self, name: &'static str) -> Self {
        self.name = name;
        self
    }

    /// Finite and within the range?
    pub fn contains(&self, value: f64) -> bool {
        value >= self.min && value <= self.max
    }

    /// Returns `value`, or an error that says what, value, unit, range and what to do.
    ///
    /// # Errors
    /// NaN, infinite or outside the range.
    pub fn check(&self, value: f64) -> Result<f64> {
        if self.contains(value) { Ok(value) } else { Err(self.refuse(value)) }
    }

    /// As [`Bound::check`], for an optional value.
    ///
    /// # Errors
    /// As [`Bound::check`].
    pub fn check_option(&self, value: Option<f64>) -> Result<Option<f64>> {
        value.map(|v| self.check(v)).transpose()
    }

    /// Checks an array in which NaN means missing.
    ///
    /// # Errors
    /// Infinite or out of range: names the first index and counts the rest.
    pub fn check_slice(&self, values: &[f64]) -> Result<()> {
        let faulty = |v: &f64| !v.is_nan() && !self.contains(*v);
        match values.iter().position(faulty) {
            None => Ok(()),
            Some(first) => {
                let value = values.get(first).copied().unwrap_or(f64::NAN);
                let also = values.iter().skip(first + 1).filter(|v| faulty(v)).count();
                Err(self.refuse(value).at_index(first, also))
            }
        }
    }

    /// The error for a value outside the range.
    pub fn refuse(&self, value: f64) -> Error {
        Error::out_of_range(OutOfRange {
            name: self.name.into(),
            words: self.words,
            value,
            unit: self.unit,
            min: self.min,
            max: self.max,
            hint: self.hint,
        })
    }

    /// The range as property tests draw from it.
    pub fn range(&self) -> RangeInclusive<f64> {
        self.min..=self.max
    }
}

macro_rules! bounds {
    ($($id:ident = $name:literal, $words:literal, $unit:literal, $min:expr, $max:expr, $hint:literal, $source:literal;)*) => {
        $(
            #[doc = concat!("`", $name, "`: ", $words, ", ", stringify!($min), " to ", stringify!($max), " ", $unit, ".")]
            pub const $id: Bound = Bound { name: $name, words: $words, unit: $unit, min: $min, max: $max, hint: $hint, source: $source };
        )*
        /// Every row.
        pub const ALL: &[&Bound] = &[$(&$id),*];
    };
}

bounds! {
    // Place and time
    LATITUDE_DEG = "latitude_deg", "latitude", "deg", -90.0, 90.0, "North is positive, south negative, in decimal degrees.", "definition";
    LONGITUDE_DEG = "longitude_deg", "longitude", "deg", -180.0, 180.0, "East is positive, west negative, in decimal degrees.", "definition";
    ELEVATION_M = "elevation_m", "elevation above sea level", "m", -450.0, 6000.0, "Give meters; 1,000 ft is 304.8 m.", "shore of the Dead Sea to the highest farmland, rounded outwards";
    DAY_OF_YEAR = "day_of_year", "day of the year", "", 1.0, 366.0, "1 is January 1st.", "definition";
    HOUR = "hour", "hour of the day", "h", 0.0, 24.0, "Use local standard time, 0 to 24.", "definition";
    UTC_OFFSET_H = "utc_offset_h", "offset of local standard time from UTC", "h", -12.0, 14.0, "West of Greenwich is negative; leave daylight saving out.", "time zones in use";

    // Air and sun
    T_C = "t_c", "air temperature", "deg C", -90.0, 60.0, "Give degrees Celsius; (F - 32) / 1.8.", "WMO extremes -89.2 and 56.7 deg C, rounded outwards";
    DEW_C = "dew_c", "dew point", "deg C", -90.0, 40.0, "Give degrees Celsius.", "WMO: highest recorded 35 deg C, rounded outwards";
    RH_PCT = "rh_pct", "relative humidity", "%", 0.0, 100.0, "Give percent; a sensor above 100 needs checking.", "definition";
    VAPOR_PRESSURE_KPA = "vapor_pressure_kpa", "actual vapor pressure", "kPa", 0.0, 8.0, "Give kilopascals; 10 hPa is 1 kPa.", "saturation at 41 deg C, rounded outwards";
    DEW_VAPOR_PRESSURE_KPA = "vapor_pressure_kpa", "actual vapor pressure", "kPa", 0.00002, 7.3, "Give kilopascals; 10 hPa is 1 kPa. Air without vapor has no dew point.", "saturation from -88.5 to 39.7 deg C";
    PRESSURE_KPA = "pressure_kpa", "atmospheric pressure", "kPa", 45.0, 110.0, "Give kilopascals; 1013 hPa is 101.3 kPa.", "WMO extremes at sea level, lowest for 6,000 m";
    WIND_M_S = "wind_m_s", "wind speed", "m/s", 0.0, 60.0, "Give meters per second; 1 mph is 0.447 m/s.", "daily mean of the strongest storms, rounded outwards";
    WIND_HEIGHT_M = "wind_height_m", "height of the wind sensor", "m", 0.5, 100.0, "Give the sensor's height above ground.", "range of FAO-56 Eq. 47 with a rounded upper end";
    SOLAR_MJ_M2 = "solar_mj_m2", "solar radiation", "MJ/m2", 0.0, 50.0, "Give MJ per m2; 1 kWh/m2 is 3.6 MJ/m2.", "largest daily extraterrestrial radiation is 48.5 (South Pole, December)";
    NET_RADIATION_MJ_M2_H = "net_radiation_mj_m2", "net radiation of an hour", "MJ/m2", -5.0, 10.0, "Give MJ per m2 in the hour; 1 W/m2 is 0.0036.", "solar constant of 4.92 MJ/m2 an hour, rounded outwards";
    K_RS = "k_rs", "radiation coefficient", "", 0.1, 0.25, "0.16 inland, 0.19 near the coast.", "FAO-56 Eq. 50, widened";
    PERIOD_H = "period_h", "length of a period within a day", "h", 0.01, 24.0, "Give hours; 1 for hourly records.", "definition";
    SOLAR_MJ_M2_H = "solar_mj_m2", "solar radiation of an hour", "MJ/m2", 0.0, 5.5, "Give MJ per m2 in the hour; 1 W/m2 is 0.0036.", "solar constant of 4.92 MJ/m2 an hour, rounded outwards";
    SOIL_HEAT_MJ_M2 = "soil_heat_mj_m2", "heat into the soil", "MJ/m2", -15.0, 15.0, "Give MJ per m2 and day; 0 for single days.", "FAO-56 Eq. 43-44 with monthly steps of 100 deg C";
    MOVING_AIR_M_S = "wind_m_s", "wind speed", "m/s", 0.01, 60.0, "Still air has no aerodynamic resistance by this formula.", "as wind speed, above 0";
    SURFACE_HEIGHT_M = "height_m", "height of the surface", "m", 0.001, 2.0, "Give meters; the formula has its sensors at 2 m, above the crop.", "FAO-56 Eq. 4 with sensors at 2 m";
    SUN_HOURS_H = "sunshine_h", "hours of sunshine", "h", 0.0, 24.0, "Give hours of the day.", "definition";
    ETO_MM = "eto_mm", "reference evapotranspiration", "mm", 0.0, 25.0, "Give mm; 1 in is 25.4 mm.", "about twice the largest published daily values";

    // Water
    RAIN_MM = "rain_mm", "rain", "mm", 0.0, 2000.0, "Give millimeters; 1 in is 25.4 mm. Rain cannot be negative.", "WMO: 1,825 mm in 24 h, rounded outwards";
    DEPTH_MM = "depth_mm", "water depth", "mm", 0.0, 2000.0, "Give millimeters; 1 in is 25.4 mm.", "as rain_mm";
    RATE_MM_H = "rate_mm_h", "application rate", "mm/h", 0.0, 1000.0, "Give mm per hour; 1 in/h is 25.4 mm/h.", "far above any sprinkler";
    SPRINKLING_MM_H = "rate_mm_h", "rate of a running sprinkler", "mm/h", 0.01, 1000.0, "Give mm per hour, above 0; 1 in/h is 25.4 mm/h.", "far below and above any sprinkler";
    DURATION_H = "duration_h", "duration", "h", 0.0, 10000.0, "Give hours.", "more than a year";
    MINUTES_MIN = "minutes_min", "running time", "min", 0.0, 600000.0, "Give minutes.", "more than a year";
    CURVE_NUMBER = "curve_number", "curve number", "", 1.0, 100.0, "NEH 630 ch. 9 lists them by cover and soil group.", "definition";
    EFFICIENCY = "efficiency", "efficiency", "", 0.05, 1.0, "Give a fraction, 0.75 for 75 %.", "definition";
    FRACTION = "fraction", "fraction", "", 0.0, 1.0, "Give a fraction from 0 to 1, 0.35 for 35 %.", "definition";

    // Soil
    SAND_PCT = "sand_pct", "sand", "%", 0.0, 100.0, "Percent by mass of the fine earth (below 2 mm).", "definition";
    CLAY_PCT = "clay_pct", "clay", "%", 0.0, 100.0, "Percent by mass of the fine earth (below 2 mm).", "definition";
    ORGANIC_MATTER_PCT = "organic_matter_pct", "organic matter", "%", 0.0, 8.0, "Percent by mass; the equations hold to 8 %. Peat and muck need measured water holding.", "calibration range of Saxton and Rawls (2006)";
    GRAVEL_PCT = "gravel_pct", "gravel", "%", 0.0, 80.0, "Percent by mass of the whole soil.", "Saxton and Rawls (2006)";
    DENSITY_FACTOR = "density_factor", "density factor", "", 0.9, 1.3, "1 is normal, 1.1 dense, 1.2 hard.", "Saxton and Rawls (2006)";
    BULK_DENSITY_G_CM3 = "bulk_density_g_cm3", "bulk density", "g/cm3", 0.1, 2.6, "Give g per cm3; the same number as t/m3.", "peat to solid mineral (2.65)";
    EC_DS_M = "ec_ds_m", "electrical conductivity of the saturation extract", "dS/m", 0.0, 60.0, "Give dS/m (the same number as mmho/cm).", "sea water is about 50";
    WILTING_POINT = "wilting_point", "water content at wilting point", "", 0.005, 0.7, "Give m3 of water per m3 of soil, 0.12 for 12 %.", "clean sand to peat, rounded outwards";
    FIELD_CAPACITY_KPA = "field_capacity_tension_kpa", "tension at field capacity", "kPa", 1.0, 100.0, "10 kPa is common on sands, 33 kPa elsewhere.", "5 to 50 kPa in use, rounded outwards";
    WATER_CONTENT = "water_content", "volumetric water content", "", 0.0, 1.0, "Give m3 of water per m3 of soil, 0.30 for 30 %.", "definition";
    TENSION_KPA = "tension_kpa", "soil water tension", "kPa", 0.0, 100000.0, "Give kilopascals; 1 centibar is 1 kPa.", "oven dry is about 1,000,000";
    KSAT_MM_H = "ksat_mm_h", "saturated hydraulic conductivity", "mm/h", 0.001, 10000.0, "Give mm per hour; 1 in/h is 25.4 mm/h.", "clean gravel to tight clay";
    SUCTION_MM = "suction_mm", "wetting front suction", "mm", 1.0, 5000.0, "Give millimeters; the tables print centimeters.", "Rawls et al. (1983), widened";
    STORAGE_MM = "storage_mm", "water that hollows of the surface hold", "mm", 0.0, 100.0, "Give millimeters; a few on grass, none on smooth steep ground.", "deep furrows, rounded outwards";
    SLOPE_PCT = "slope_pct", "slope", "%", 0.0, 100.0, "Give percent, rise over run.", "steepest ground that is farmed";
    SOIL_DEPTH_M = "depth_m", "soil depth", "m", 0.0, 10.0, "Give meters; 1 ft is 0.3048 m.", "deepest root zones published";

    // Stand
    ROOT_DEPTH_M = "root_depth_m", "root depth", "m", 0.02, 10.0, "Give meters; 4 in is 0.10 m.", "a plug to the deepest root zones published";
    HEIGHT_M = "height_m", "plant height", "m", 0.0, 120.0, "Give meters; 1 ft is 0.3048 m.", "tallest trees";
    LENGTH_M = "length_m", "length", "m", 0.0, 1.0e5, "Give meters; 1 ft is 0.3048 m.", "a plant to the width of a county";
    SPACING_M = "spacing_m", "spacing", "m", 0.1, 100.0, "Give meters; 5 ft is 1.524 m.", "nursery bed to windbreak";
    AREA_M2 = "area_m2", "area", "m2", 0.01, 1.0e9, "Give square meters; 1 acre is 4046.86 m2.", "a pot to 1,000 km2";
    RADIUS_M = "radius_m", "radius", "m", 0.01, 200.0, "Give meters; 1 ft is 0.3048 m.", "common practice, rounded outwards";
    AGE_YEARS = "age_years", "years since planting", "", 0.0, 200.0, "0 in the planting year.", "common practice, rounded outwards";
    KC = "kc", "crop coefficient", "", 0.0, 2.5, "FAO-56 Tables 12 and 17.", "FAO-56 Eq. 105 caps at 2.5";
    P_FACTOR = "p_factor", "factor on the stress onset", "", 0.5, 1.5, "FAO-56 p. 167: 0.90 to 0.95 on clay, 1.05 to 1.10 on sand.", "FAO-56 p. 167, widened";
    WETTED_FRACTION = "wetted_fraction", "fraction of the ground wetted by irrigation", "", 0.01, 1.0, "Give a fraction, 0.3 for drip (FAO-56 Table 20).", "FAO-56 Table 20, widened";
    EVAPORABLE_DEPTH_M = "evaporable_depth_m", "depth from which water evaporates", "m", 0.01, 0.3, "Give meters; 0.10 to 0.15 is usual.", "FAO-56 p. 144, widened";
    P = "p", "depletion fraction at the onset of stress", "", 0.1, 0.8, "FAO-56 Table 22.", "FAO-56 p. 162";

    // Fertility
    PPM = "ppm", "concentration in the soil", "ppm", 0.0, 1.0e6, "Give mg per kg of soil; 1 % is 10,000 ppm.", "definition";
    KG_HA = "kg_ha", "weight per area", "kg/ha", 0.0, 1.0e8, "Give kg per hectare; 1 lb/acre is 1.121 kg/ha.", "soil itself, a meter deep, is below 3e7";
    PH = "ph", "soil pH", "", 2.5, 11.0, "A soil lies between about 3.5 and 9; a value near 60 is a lime index (ten times the buffer pH).", "soils on Earth, rounded outwards";
    BUFFER_PH = "buffer_ph", "buffer pH", "", 4.0, 8.0, "The lab's buffer starts at 8.0 or below and only falls; a value near 60 is a lime index (ten times the buffer pH).", "the Adams-Evans buffer starts at 8.0, the others lower";
    PH_OFFSET = "calcium_chloride_offset", "what a pH in water stands above one in calcium chloride", "", 0.0, 1.5, "Labs print 0.5 to 0.7 (from memory).", "wide of all printed offsets";
    LIME_INDEX = "lime_index", "lime index", "", 40.0, 80.0, "It is ten times the buffer pH.", "as buffer_ph";
    MEQ = "meq_100g", "charge in the soil", "meq/100 g", 0.0, 200.0, "Give meq per 100 g, which is cmol(+) per kg.", "peat reaches about 200";
    ORGANIC_PCT = "organic_matter_pct", "organic matter", "%", 0.0, 100.0, "Give percent by weight; 0.035 from a spreadsheet is 3.5.", "definition";
    LB_ACRE_PER_PPM = "lb_acre_per_ppm", "lb/acre in the sampled layer for 1 ppm", "", 0.3, 10.0, "2 for a slice of 6 2/3 in, 2.4 for 8 in.", "layers of 1 to 33 in";
    N_YEARS = "years", "number of years", "", 1.0, 50.0, "Give whole years, 1 or more.", "common practice, rounded outwards";
    GRAMS = "product_g", "weight for one tree", "g", 0.0, 1.0e5, "Give grams; 1 oz is 28.35 g.", "common practice, rounded outwards";
    TREES_HA = "trees_per_ha", "trees in a hectare", "", 1.0, 1.0e6, "Give trees per hectare; 1,200 per acre is 2,965.", "seedbeds are denser";
    PRODUCT_DENSITY_KG_M3 = "density_kg_m3", "bulk density of a product", "kg/m3", 100.0, 3000.0, "Give kg per m3; 1 lb/ft3 is 16.02 kg/m3.", "light compost to packed stone dust, rounded outwards";
    SCOOP_ML = "scoop_ml", "content of the scoop", "mL", 0.5, 20000.0, "Give milliliters; a US cup is 237, a tablespoon 15.", "a spoon to a bucket";
    BAG_KG = "bag_kg", "weight of a bag", "kg", 0.01, 1.0e5, "Give kilograms; 50 lb is 22.68 kg.", "a sachet to a truckload";
    NEEDLE_PCT = "needle_pct", "content of the needles", "%", 0.0, 20.0, "Give percent of dry weight; 12 mg/g is 1.2 %.", "conifers, rounded outwards";
    ALKALINITY_MG_L = "alkalinity_mg_l", "alkalinity of the water, as CaCO3", "mg/L", 0.0, 5000.0, "Give mg/L of CaCO3; 1 meq/L is 50.", "soda lakes are above all irrigation water";
    WATER_EC_DS_M = "ec_ds_m", "electrical conductivity of the water", "dS/m", 0.0, 60.0, "Give dS/m, which is mmho/cm; 1,000 uS/cm is 1.", "sea water";

    ETC_MM = "etc_mm", "evapotranspiration of a crop in a day", "mm", 0.0, 60.0, "Give mm per day; 1 in is 25.4 mm.", "the largest reference by the largest coefficient, rounded down";
    EVAPORATING_MM = "eto_mm", "reference evapotranspiration of a drying day", "mm", 0.1, 25.0, "Give mm per day.", "as eto_mm, above 0";
    WETTING_INTERVAL_D = "interval_d", "days between wettings", "d", 0.1, 60.0, "Give days.", "FAO-56 Fig. 29-30, widened";
    LEAF_AREA_INDEX = "leaf_area_index", "leaf area index", "", 0.0, 15.0, "Give m2 of leaf per m2 of ground.", "densest conifer forests";
    LEAF_RESISTANCE_S_M = "leaf_resistance_s_m", "mean leaf resistance", "s/m", 20.0, 2000.0, "100 for field crops; trees have more.", "FAO-56 p. 191, widened";
    HEIGHT_TO_WIDTH = "height_to_width", "height of a row over its width", "", 0.0, 50.0, "Height times the cosine of the row's angle from east-west, over width.", "thinnest hedges";
    SUN_ELEVATION_RAD = "sun_elevation_rad", "elevation of the sun", "rad", 0.0, 1.571, "Give radians above the horizon.", "definition";
    CANOPY_LIMIT = "m_l", "most use of shaded ground", "", 1.0, 2.5, "1.5 to 2.0 is usual.", "Allen and Pereira (2009), from memory, widened";
    SALT_SLOPE_PCT = "slope_pct", "fall of yield with salt", "%", 0.0, 50.0, "Percent per dS/m, the b of FAO-56 Table 23.", "FAO-56 Table 23, widened";
    YIELD_RESPONSE = "yield_response", "yield response factor", "", 0.1, 2.0, "About 1; the Ky of FAO-56 Table 24.", "FAO-56 Table 24, widened";

    // Products and mixes
    CONTENT_PCT = "content_pct", "content", "%", 0.0, 100.0, "Give percent by weight, as the label has it.", "definition";
    NEUTRALIZING_PCT = "neutralizing_pct", "calcium carbonate equivalent", "%", 0.0, 250.0, "Pure calcium carbonate is 100.", "magnesium oxide is 248";
    ACIDITY_KG_KG = "acidity_kg_kg", "calcium carbonate used up for each kg of product", "kg/kg", 0.0, 4.0, "Urea is 0.83; give 0 where it leaves the pH alone.", "pure sulfur is 3.12, rounded outwards";
    SALT_INDEX = "salt_index", "salt index", "", 0.0, 250.0, "Sodium nitrate is 100.", "sodium chloride is about 154, from memory, rounded outwards";
    PRICE = "price", "price", "", 0.0, 1.0e9, "Give money, 0 for a gift; a price cannot be negative.", "common practice, rounded outwards";
    UNDERSUPPLY = "undersupply", "tolerance of undersupply", "", 0.0, 0.5, "Give a fraction, 0.02 for 2 % less than needed.", "beyond half it is no tolerance";
    OVERSUPPLY = "oversupply", "tolerance of oversupply", "", 0.0, 100.0, "Give a fraction, 0.10 for 10 % more than needed.", "common practice, rounded outwards";
    MASS_KG = "kg", "weight", "kg", 0.0, 1.0e9, "Give kilograms; 1 lb is 0.4536 kg.", "common practice, rounded outwards";

    // Cost
    FUEL_PER_H = "fuel_per_h", "fuel or current in an hour", "", 0.0, 1.0e4, "Give liters an hour, or kWh for a motor; 1 gal is 3.785 L.", "a pumping station";
    PEOPLE = "people", "people at work", "", 0.0, 1000.0, "Count the people that a move takes.", "common practice, rounded outwards";
    TREES = "trees", "number of trees", "", 0.0, 1.0e8, "Count the living trees.", "common practice, rounded outwards";
    MOVES = "moves", "number of moves", "", 0.0, 1.0e6, "Count how often the sprinkler is moved.", "common practice, rounded outwards";
    INTEREST = "interest", "interest", "", 0.0, 1.0, "Give a share a year, 0.06 for 6 %.", "common practice, rounded outwards";

    // Records
    LEVEL = "level", "level of an interval", "", 0.5, 0.999, "Give a share, 0.95 for 95 %.", "common practice, rounded outwards";
    OUTLOOK_DAYS = "days", "days to look ahead", "", 7.0, 200.0, "Give whole days; 56 are eight weeks.", "a week to a season";
    LOSS = "loss", "share of replants that die", "", 0.0, 0.9, "Give a fraction, 0.10 for 10 %.", "above nine in ten nothing is worth ordering";

    // Schedule
    SPRINKLERS = "sprinklers", "sprinklers that run at the same time", "", 1.0, 100.0, "Count the sprinklers.", "common practice, rounded outwards";
    MOST_STATES = "most_states", "states of the exact search", "", 0.0, 1.0e8, "Leave it out for the usual limit; 0 takes the heuristic.", "memory of a large machine";

    // Linear programs
    PROGRAM_NUMBER = "number", "a number of a linear program", "", -1.0e12, 1.0e12, "Choose units that keep the numbers of a program near 1.", "doubles resolve 16 digits; the solver needs half of them";

    // Flow
    VOLUME_L = "volume_l", "volume of water", "L", 0.0, 1.0e12, "Give liters; 1 gal is 3.785 L.", "a bucket to a reservoir";
    FLOW_L_MIN = "flow_l_min", "flow", "L/min", 0.0, 1.0e6, "Give liters per minute; 1 gpm is 3.785 L/min.", "common practice, rounded outwards";

    POND_DEPTH_M = "depth_m", "depth of a pond", "m", 0.0, 100.0, "Give meters from the deepest point up; 1 ft is 0.3048 m.", "deep quarry ponds";
    SEEPAGE_MM_DAY = "seepage_mm_day", "seepage through a pond's bed", "mm/day", 0.0, 500.0, "Give mm of depth a day; a tight bed loses less than 5.", "gravel pits, rounded outwards";

    // Sprinkler, geometry and hydraulics
    POSITION_M = "x_m", "position", "m", -1.0e7, 1.0e7, "Give meters east and north of an origin nearby, not degrees.", "map grids of the world";
    BEARING_DEG = "facing_deg", "compass bearing", "deg", 0.0, 360.0, "0 is north, 90 east.", "definition";
    ARC_DEG = "arc_deg", "arc of a part circle", "deg", 1.0, 360.0, "360 is the full circle, 180 a half circle.", "definition";
    WETTED_RADIUS_M = "radius_m", "wetted radius", "m", 0.5, 200.0, "Give the distance from the sprinkler to the last wet ground, in meters; 1 ft is 0.3048 m.", "micro sprayer to the largest gun, rounded outwards";
    SPRINKLER_FLOW_L_MIN = "flow_l_min", "flow of a sprinkler", "L/min", 0.01, 1.0e5, "Give liters per minute; 1 gpm is 3.785 L/min.", "dripper to the largest gun, rounded outwards";
    NOZZLE_MM = "nozzle_mm", "bore of the nozzle", "mm", 0.5, 100.0, "Give millimeters; 1 in is 25.4 mm.", "mist nozzle to fire monitor, rounded outwards";
    NOZZLE_COEFFICIENT = "coefficient", "discharge coefficient", "", 0.5, 1.0, "0.95 to 0.99 for smooth nozzles.", "sharp orifice (0.61) to the ideal nozzle, rounded outwards";
    WATER_PRESSURE_KPA = "pressure_kpa", "water pressure above the air's", "kPa", 0.0, 5000.0, "Give kilopascals; 1 psi is 6.895 kPa.", "above any farm hose";
    STRETCH = "stretch", "stretch of the wetted circle", "", 0.3, 3.0, "1 leaves the circle as it is.", "our judgment";
    DRIFT_M = "drift_m", "shift of the wetted circle", "m", 0.0, 100.0, "Give meters downwind.", "half the largest wetted radius";
    SPRAY_LOSS = "spray_loss", "share of the water lost as spray", "", 0.0, 0.6, "Give a fraction, 0.05 for 5 %.", "about twice the largest published values";
    BORE_MM = "bore_mm", "inner diameter", "mm", 1.0, 2000.0, "Give the true bore in millimeters; 2 in is 50.8 mm.", "drip tube to main, rounded outwards";
    HAZEN_C = "c", "Hazen-Williams coefficient", "", 40.0, 160.0, "140 for lay-flat hose and polyethylene, 150 for PVC, 120 for galvanized steel.", "old iron to the smoothest plastic";
    ROUGHNESS_MM = "roughness_mm", "roughness of the wall", "mm", 0.0, 10.0, "0.0015 for plastic, 0.046 for new steel.", "drawn tube to riveted steel";
    REYNOLDS = "reynolds", "Reynolds number", "", 1.0e-3, 1.0e9, "Velocity times bore over kinematic viscosity.", "definition, rounded outwards";
    RELATIVE_ROUGHNESS = "relative_roughness", "roughness over bore", "", 0.0, 0.06, "Give both in the same unit.", "Moody's chart, rounded outwards";
    MINOR_K = "k", "loss coefficient of fittings", "", 0.0, 1000.0, "Velocity heads lost; an elbow takes 0.3 to 1.5.", "common practice, rounded outwards";
    LIFT_M = "lift_m", "rise from the pump to the nozzle", "m", -300.0, 300.0, "Give meters; downhill is negative.", "far above any farm pump";
    SUCTION_LIFT_M = "suction_lift_m", "height of the pump above the water", "m", -50.0, 10.4, "A pump below the water is negative. No pump lifts water by suction more than 10.3 m.", "atmospheric head at sea level";
    HEAD_M = "head_m", "head", "m", 0.0, 1000.0, "Give meters of water; 1 psi is 0.703 m.", "far above any farm pump";
    PUMP_HEAD_M = "head_m", "head of a pump", "m", 0.5, 1000.0, "Give meters of water; 1 psi is 0.703 m.", "as head, above 0";
    ANY_POWER_KW = "brake_kw", "power", "kW", 0.0, 10000.0, "Give kilowatts; 1 hp is 0.746 kW.", "none to a pumping station";
    NPSH_M = "npsh_required_m", "net positive suction head that the pump needs", "m", 0.0, 50.0, "The pump's curve sheet has it.", "common practice, rounded outwards";
    WATER_C = "water_c", "water temperature", "deg C", 0.0, 50.0, "Give degrees Celsius.", "liquid surface water, rounded outwards";
    POWER_KW = "power_kw", "power", "kW", 0.01, 10000.0, "Give kilowatts; 1 hp is 0.746 kW.", "hand pump to pumping station";
    MODULUS_GPA = "modulus_gpa", "Young's modulus of a wall", "GPa", 0.001, 1000.0, "Steel 207, PVC 2.8, polyethylene 0.8.", "soft rubber to the stiffest alloys";
    BORE_OVER_WALL = "bore_over_wall", "inner diameter over thickness of the wall", "", 1.0, 1000.0, "Give both in the same unit.", "thick hose to thin sheet";
    WATER_SPEED_M_S = "velocity_m_s", "speed of the water", "m/s", 0.0, 30.0, "Give meters per second; 5 ft/s is 1.5 m/s.", "far above any pipe";
    WAVE_M_S = "wave_m_s", "speed of the pressure wave", "m/s", 1.0, 1500.0, "Give meters per second; about 300 in plastic, 1200 in steel.", "soft hose to water itself";
    OUTLETS = "outlets", "number of outlets", "", 1.0, 10000.0, "Count the sprinklers on the lateral.", "common practice, rounded outwards";
    CU_PCT = "cu_pct", "coefficient of uniformity", "%", 0.0, 100.0, "Give percent.", "definition of a usable pattern; a measured one may be below 0";
    SET_SPACING_M = "spacing_m", "spacing of sets", "m", 0.1, 1000.0, "Give meters; 1 ft is 0.3048 m.", "micro sprayers to the largest guns, rounded outwards";
    SPACING_SHARE = "over_diameter", "spacing over the wetted diameter", "", 0.02, 2.0, "0.4 to 0.7 is usual.", "common practice, widened";
    RUNNING_RATE_MM_H = "rate_mm_h", "application rate", "mm/h", 0.01, 1000.0, "Give mm per hour; 1 in/h is 25.4 mm/h.", "as application rate, above 0";
    RUN_MIN = "minutes", "running time of a test", "min", 0.1, 10000.0, "Give minutes.", "a week";
    OPENING_CM = "opening_cm", "width of the can's opening", "cm", 1.0, 100.0, "Give centimeters; 1 in is 2.54 cm.", "test tube to tub";
    CATCH_ML = "volume_ml", "water in the can", "mL", 0.0, 100000.0, "Give milliliters; 1 fl oz is 29.6 mL.", "a tub";
    MOVE_MIN = "move_min", "work of moving to a position", "min", 0.0, 1440.0, "Give minutes; 20 to 45 are usual with lay-flat hose.", "a day";
    LONGEST_MIN = "longest_min", "longest time at one position", "min", 1.0, 10000.0, "Give minutes.", "a week";
    WORK_PRICE = "price", "price in minutes of work", "min", 0.0, 1.0e6, "Give minutes for each unit, 0 for no price.", "far above any cost of water";
    DAYS = "days", "days", "", 0.01, 366.0, "Give days.", "a year";

    // By hand
    TANK_L = "volume_l", "volume of the tank", "L", 1.0, 1.0e5, "Give liters; 300 gal is 1,136 L.", "a bucket to the largest tank truck";
    TANK_FLOW_L_MIN = "fill_l_min", "flow into or out of a tank", "L/min", 0.1, 1.0e4, "Give liters per minute; 1 gpm is 3.785 L/min.", "a trickle to a fire pump";
    WALK_M_S = "walk_m_s", "walking speed", "m/s", 0.1, 5.0, "Give meters per second; 1 is an easy walk, 3 mph is 1.34.", "carrying uphill to running";
    RING_M = "ring_m", "width of the ring that is watered", "m", 0.1, 20.0, "Give the diameter in meters; 2 ft is 0.61 m.", "a pot to a large crown";
    BASIN_MM = "basin_mm", "depth that a ring holds", "mm", 1.0, 1000.0, "Give millimeters; a rim of earth a hand high holds 50 to 100.", "flat ground to a deep basin";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn message_says_what_value_unit_range_and_what_to_do() {
        let error = LATITUDE_DEG.check(95.0).unwrap_err();
        assert_eq!(
            error.to_string(),
            "latitude_deg is 95 deg: latitude must be from -90 to 90 deg. North is positive, south negative, in decimal degrees."
        );
        assert!(error.is_out_of_range());
        assert_eq!((error.name(), error.value(), error.unit()), (Some("latitude_deg"), Some(95.0), Some("deg")));
    }

    #[test]
    fn arrays_skip_missing_and_count_the_rest() {
        let error = RAIN_MM.check_slice(&[1.0, f64::NAN, -2.0, f64::INFINITY]).unwrap_err();
        assert!(error.to_string().starts_with("rain_mm[2] is -2 mm: rain must be from 0 to 2000 mm."));
        assert!(error.to_string().ends_with("(1 more value is out of range)"));
        assert!(RAIN_MM.check_slice(&[f64::NAN, 0.0]).is_ok());
    }

    #[test]
    fn nan_and_infinities_are_refused_everywhere() {
        for bound in ALL {
            for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                assert!(bound.check(value).is_err(), "{} took {value}", bound.name);
            }
            assert!(bound.min < bound.max && bound.check(bound.min).is_ok() && bound.check(bound.max).is_ok(), "{}", bound.name);
            assert!(!bound.hint.is_empty() && !bound.source.is_empty(), "{}", bound.name);
        }
    }
}
