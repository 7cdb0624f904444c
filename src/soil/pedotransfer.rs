//! Water held and passed by a soil, from its particles: Saxton and Rawls (2006).
//!
//! K.E. Saxton and W.J. Rawls, "Soil water characteristic estimates by texture and organic matter for hydrologic
//! solutions", Soil Sci. Soc. Am. J. 70:1569-1578. Sand and clay enter as fractions, organic matter in **percent**.

use crate::num::{ln, pow};

/// Density of mineral particles, g/cm3.
pub(super) const PARTICLE_DENSITY_G_CM3: f64 = 2.65;
/// Tension of the permanent wilting point, kPa.
pub(super) const WILTING_KPA: f64 = 1500.0;
/// Tension of field capacity as the source has it, kPa.
pub(super) const FIELD_CAPACITY_KPA: f64 = 33.0;

/// What the equations give for the fine earth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Hydraulic {
    pub wilting_point: f64,
    pub field_capacity: f64,
    pub saturation: f64,
    pub ksat_mm_h: f64,
    pub bulk_density_g_cm3: f64,
    pub air_entry_kpa: f64,
}

/// Eq. 1-6 and 16 with the density adjustment of Eq. 7-10. Nothing is checked here: at the corners of the triangle
/// the equations can give values out of order, which the caller refuses.
///
/// `sand`, `clay`: mass fractions of the fine earth; `om`: organic matter, %; `density_factor`: 1 is normal.
pub(super) fn hydraulic(sand: f64, clay: f64, om: f64, density_factor: f64) -> Hydraulic {
    let (s, c) = (sand, clay);
    let t1500 = -0.024 * s + 0.487 * c + 0.006 * om + 0.005 * s * om - 0.013 * c * om + 0.068 * s * c + 0.031;
    let theta_1500 = t1500 + (0.14 * t1500 - 0.02); // Eq. 1
    let t33 = -0.251 * s + 0.195 * c + 0.011 * om + 0.006 * s * om - 0.027 * c * om + 0.452 * s * c + 0.299;
    let theta_33 = t33 + (1.283 * t33 * t33 - 0.374 * t33 - 0.015); // Eq. 2; 1.238 in some copies is a misprint
    let ts33 = 0.278 * s + 0.034 * c + 0.022 * om - 0.018 * s * om - 0.027 * c * om - 0.584 * s * c + 0.078;
    let theta_s33 = ts33 + (0.636 * ts33 - 0.107); // Eq. 3
    let pet = -21.67 * s - 27.93 * c - 81.97 * theta_s33 + 71.12 * s * theta_s33 + 8.29 * c * theta_s33 + 14.05 * s * c + 27.16;
    let air_entry_kpa = pet + (0.02 * pet * pet - 0.113 * pet - 0.70); // Eq. 4
    let normal_saturation = theta_33 + theta_s33 - 0.097 * s + 0.043; // Eq. 5
    let normal_density = PARTICLE_DENSITY_G_CM3 * (1.0 - normal_saturation); // Eq. 6

    let bulk_density_g_cm3 = density_factor * normal_density; // Eq. 7
    let saturation = 1.0 - bulk_density_g_cm3 / PARTICLE_DENSITY_G_CM3; // Eq. 8
    let field_capacity = theta_33 - 0.2 * (normal_saturation - saturation); // Eq. 9

    let lambda = pore_size_index(theta_1500, field_capacity, FIELD_CAPACITY_KPA); // Eq. 15, 18
    let ksat_mm_h = 1930.0 * pow(saturation - field_capacity, 3.0 - lambda); // Eq. 16
    Hydraulic { wilting_point: theta_1500, field_capacity, saturation, ksat_mm_h, bulk_density_g_cm3, air_entry_kpa }
}

/// lambda = 1/B, the slope of water content against tension on logarithmic axes between field capacity and wilting point.
pub(super) fn pore_size_index(wilting_point: f64, field_capacity: f64, field_capacity_kpa: f64) -> f64 {
    (ln(field_capacity) - ln(wilting_point)) / (ln(WILTING_KPA) - ln(field_capacity_kpa))
}

/// Share of the soil's volume taken by gravel, from its mass share and the density of the fine earth. Eq. 19.
pub(super) fn gravel_volume(gravel_mass: f64, bulk_density_g_cm3: f64) -> f64 {
    let alpha = bulk_density_g_cm3 / PARTICLE_DENSITY_G_CM3;
    alpha * gravel_mass / (1.0 - gravel_mass * (1.0 - alpha))
}

/// Conductivity of the soil with gravel over that of the fine earth. Eq. 22.
pub(super) fn gravel_ksat_ratio(gravel_mass: f64, bulk_density_g_cm3: f64) -> f64 {
    let alpha = bulk_density_g_cm3 / PARTICLE_DENSITY_G_CM3;
    (1.0 - gravel_mass) / (1.0 - gravel_mass * (1.0 - 1.5 * alpha))
}
