//! Salt and the water that carries it down; the rain of a month.

use crate::gate::formulas;
use dibble::soil::{rain, salinity};

formulas! {
    leaching_requirement(water_ec_ds_m, soil_ec_ds_m) = salinity::leaching_requirement(water_ec_ds_m, soil_ec_ds_m);
    applied_mm(needed_mm, leaching) = salinity::applied_mm(needed_mm, leaching);
    soil_ec_ds_m(water_ec_ds_m, leaching) = salinity::soil_ec_ds_m(water_ec_ds_m, leaching);
    effective_rain_of_month_mm(rain_mm, use_mm, refill_mm) = rain::effective_rain_of_month_mm(rain_mm, use_mm, refill_mm);
}
