//! From the reference to a stand: crop coefficients, evaporation from bare soil, stress, sparse young rows, mulch.
//!
//! Source: FAO-56 (Allen, Pereira, Raes and Smith 1998), chapters 5-10. The day-to-day balances of Eq. 77-79 and
//! 85-88 belong to the ledger, which calls the unchecked twins in the modules below. The paper's conifer row (Kcb 0.95, 10 m tall, roots 1.0-1.5 m) describes large
//! forests: for knee-high rows it is the full-cover end of [`kcb_from_cover`], never the value itself.

pub(crate) mod coefficient;
pub(crate) mod dual;
mod initial;
mod sparse;
pub(crate) mod stress;

pub use coefficient::{climate_adjusted, kc_under_plastic, mulch_factor, rh_min_from_dew, rh_min_from_tmin, stage_interpolated};
pub use dual::{
    CoverFromKcb, DripCover, EvaporationShare, canopy_cover_from_kcb, evaporation_coefficient, evaporation_reduction,
    exposed_wetted_fraction, exposed_wetted_fraction_under_drip, kc_max, total_evaporable_mm,
};
pub use initial::{BareSoilWetting, Texture, kc_initial};
pub use sparse::{
    SparseCover, adjusted_for_sparse_cover, density_coefficient, density_coefficient_2009, effective_cover_of_rows,
    effective_cover_of_trees, kcb_from_cover, kcb_from_leaf_area, kcb_full, kcb_over_ground_cover, noon_sun_elevation, stomatal_factor,
    two_cover_kc, windbreak_kc,
};
pub use stress::{
    SaltTolerance, readily_available_mm, salt_stress, stress_from_yield, stress_onset, total_available_mm, water_stress, yield_under_salt,
};
