//! Named constants and the conversions that need more than a factor: soil tests by depth, oxides, depth and volume.

use crate::bounds;
use crate::error::Result;

/// Millimeters in an inch; exact.
pub const MM_PER_IN: f64 = 25.4;
/// Meters in a foot (international); exact.
pub const M_PER_FT: f64 = 0.3048;
/// Square meters in an acre of 43,560 square feet; exact.
pub const M2_PER_ACRE: f64 = 4_046.856_422_4;
/// Liters in a US gallon of 231 cubic inches; exact.
pub const L_PER_GAL: f64 = 3.785_411_784;
/// Kilograms in a pound; exact.
pub const KG_PER_LB: f64 = 0.453_592_37;
/// Grams in an ounce; exact.
pub const G_PER_OZ: f64 = 28.349_523_125;
/// Kilopascals in a pound-force per square inch (NIST SP 811: 6.894757).
pub const KPA_PER_PSI: f64 = 6.894_757_293_168_361;

// Standard atomic weights: IUPAC (2021), https://iupac.qmul.ac.uk/AtWt/ as abridged to five digits; oxygen is the
// middle of its interval [15.99903, 15.99977], which is also the value that the trade's printed factors use.
const O: f64 = 15.9994;
const P: f64 = 30.973_76;
const K: f64 = 39.0983;
const CA: f64 = 40.078;
const MG: f64 = 24.305;
const S: f64 = 32.06;
const C: f64 = 12.011;
const B: f64 = 10.81;

/// Phosphate per phosphorus, by weight: 2.2914.
pub const P2O5_PER_P: f64 = (2.0 * P + 5.0 * O) / (2.0 * P);
/// Potash per potassium, by weight: 1.2046.
pub const K2O_PER_K: f64 = (2.0 * K + O) / (2.0 * K);
/// Calcium oxide per calcium, by weight: 1.3992.
pub const CAO_PER_CA: f64 = (CA + O) / CA;
/// Calcium carbonate per calcium, by weight: 2.4973.
pub const CACO3_PER_CA: f64 = (CA + C + 3.0 * O) / CA;
/// Magnesium oxide per magnesium, by weight: 1.6583.
pub const MGO_PER_MG: f64 = (MG + O) / MG;
/// Magnesium carbonate per magnesium, by weight: 3.4690.
pub const MGCO3_PER_MG: f64 = (MG + C + 3.0 * O) / MG;
/// Sulfate per sulfur, by weight: 2.9962.
pub const SO4_PER_S: f64 = (S + 4.0 * O) / S;
/// Sulfur trioxide per sulfur, by weight: 2.4971.
pub const SO3_PER_S: f64 = (S + 3.0 * O) / S;
/// Boron trioxide per boron, by weight: 3.2201.
pub const B2O3_PER_B: f64 = (2.0 * B + 3.0 * O) / (2.0 * B);

/// Bulk density behind the trade's "ppm times 2 is lb/acre": 2,000,000 lb of soil in an acre 6 2/3 in deep (g/cm3).
pub const SLICE_BULK_DENSITY_G_CM3: f64 = 2.0e6 * KG_PER_LB / (M2_PER_ACRE * (20.0 / 3.0) * MM_PER_IN);

/// Nutrient in the sampled layer, kg/ha, from its concentration in the soil.
///
/// `kg/ha = ppm * 10 * depth (m) * bulk density (g/cm3)`; arguments: mg/kg, sampled depth in m, g/cm3
/// ([`SLICE_BULK_DENSITY_G_CM3`] for the trade's convention).
///
/// # Errors
/// An argument out of its range ([`bounds::PPM`], [`bounds::SOIL_DEPTH_M`], [`bounds::BULK_DENSITY_G_CM3`]).
///
/// ```
/// use dibble::units::{convert, ppm_to_kg_ha, SLICE_BULK_DENSITY_G_CM3};
/// // an 8-inch sample: 1 ppm is 2.4 lb/acre
/// let kg_ha = ppm_to_kg_ha(1.0, convert(8.0, "in", "m")?, SLICE_BULK_DENSITY_G_CM3)?;
/// assert!((convert(kg_ha, "kg/ha", "lb/acre")? - 2.4).abs() < 1e-12);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn ppm_to_kg_ha(ppm: f64, depth_m: f64, bulk_density_g_cm3: f64) -> Result<f64> {
    Ok(bounds::PPM.check(ppm)? * soil_t_ha(depth_m, bulk_density_g_cm3)? / 1e3)
}

/// Concentration in the soil, ppm (mg/kg), from the nutrient in the sampled layer. The inverse of [`ppm_to_kg_ha`].
///
/// # Errors
/// As [`ppm_to_kg_ha`]; a depth of zero holds no soil and is refused.
///
/// ```
/// let ppm = dibble::units::kg_ha_to_ppm(26.0, 0.2, 1.3)?;
/// assert!((ppm - 10.0).abs() < 1e-12);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn kg_ha_to_ppm(kg_ha: f64, depth_m: f64, bulk_density_g_cm3: f64) -> Result<f64> {
    let soil = soil_t_ha(depth_m, bulk_density_g_cm3)?;
    if soil <= 0.0 {
        return Err(bounds::SOIL_DEPTH_M.refuse(depth_m));
    }
    Ok(bounds::KG_HA.check(kg_ha)? * 1e3 / soil)
}

/// Tonnes of soil in a hectare of the sampled layer.
fn soil_t_ha(depth_m: f64, bulk_density_g_cm3: f64) -> Result<f64> {
    Ok(1e4 * bounds::SOIL_DEPTH_M.check(depth_m)? * bounds::BULK_DENSITY_G_CM3.check(bulk_density_g_cm3)?)
}

/// Liters of water that stand `depth_mm` deep on `area_m2`: 1 mm on 1 m2 is 1 L.
///
/// # Errors
/// An argument out of its range ([`bounds::DEPTH_MM`], [`bounds::AREA_M2`]).
///
/// ```
/// use dibble::units::{depth_to_volume_l, L_PER_GAL};
/// // one inch over a circle 3 ft across
/// let area_m2 = std::f64::consts::PI * (1.5 * 0.3048_f64).powi(2);
/// let gallons = depth_to_volume_l(25.4, area_m2)? / L_PER_GAL;
/// assert!((gallons - 4.4).abs() < 0.05);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn depth_to_volume_l(depth_mm: f64, area_m2: f64) -> Result<f64> {
    Ok(bounds::DEPTH_MM.check(depth_mm)? * bounds::AREA_M2.check(area_m2)?)
}

/// Depth in mm of `volume_l` liters spread over `area_m2`.
///
/// # Errors
/// An argument out of its range ([`bounds::VOLUME_L`], [`bounds::AREA_M2`]).
///
/// ```
/// assert_eq!(dibble::units::volume_to_depth_mm(19.0, 2.0)?, 9.5);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn volume_to_depth_mm(volume_l: f64, area_m2: f64) -> Result<f64> {
    Ok(bounds::VOLUME_L.check(volume_l)? / bounds::AREA_M2.check(area_m2)?)
}

/// Application rate, mm/h, of a flow over an area (the trade's 96.25 gpm / ft2, in in/h).
///
/// # Errors
/// An argument out of its range ([`bounds::FLOW_L_MIN`], [`bounds::AREA_M2`]).
///
/// ```
/// use dibble::units::{convert, flow_to_rate_mm_h};
/// // 60 gpm set every 80 ft by 80 ft: 96.25 * 60 / 6400 = 0.90 in/h
/// let rate = flow_to_rate_mm_h(convert(60.0, "gpm", "L/min")?, convert(6400.0, "ft2", "m2")?)?;
/// assert!((convert(rate, "mm/h", "in/h")? - 0.90).abs() < 0.005);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn flow_to_rate_mm_h(flow_l_min: f64, area_m2: f64) -> Result<f64> {
    Ok(bounds::FLOW_L_MIN.check(flow_l_min)? * 60.0 / bounds::AREA_M2.check(area_m2)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::convert;

    #[test]
    fn constants_agree_with_the_table() {
        for (constant, from, to) in [
            (MM_PER_IN, "in", "mm"),
            (M_PER_FT, "ft", "m"),
            (M2_PER_ACRE, "acre", "m2"),
            (L_PER_GAL, "gal", "L"),
            (KG_PER_LB, "lb", "kg"),
            (G_PER_OZ, "oz", "g"),
            (KPA_PER_PSI, "psi", "kPa"),
        ] {
            let table = convert(1.0, from, to).unwrap();
            assert!((table - constant).abs() <= 2.0 * f64::EPSILON * constant, "{from} to {to}: {table} and {constant}");
        }
    }

    #[test]
    fn oxide_factors_round_to_the_printed_ones() {
        for (factor, printed) in [
            (P2O5_PER_P, 2.2914),
            (K2O_PER_K, 1.2046),
            (CAO_PER_CA, 1.3992),
            (MGO_PER_MG, 1.6583),
            (CACO3_PER_CA, 2.4973),
            (MGCO3_PER_MG, 3.4690),
            (SO4_PER_S, 2.9962),
            (SO3_PER_S, 2.4971),
            (B2O3_PER_B, 3.2201),
        ] {
            assert!((factor - printed).abs() < 5e-5, "{factor} rounds to another number than {printed}");
        }
    }

    #[test]
    fn a_furrow_slice_makes_ppm_twice_the_pounds() {
        let kg_ha = ppm_to_kg_ha(1.0, convert(20.0 / 3.0, "in", "m").unwrap(), SLICE_BULK_DENSITY_G_CM3).unwrap();
        assert!((convert(kg_ha, "kg/ha", "lb/acre").unwrap() - 2.0).abs() < 1e-12);
        assert!(kg_ha_to_ppm(10.0, 0.0, 1.3).unwrap_err().is_out_of_range());
        assert!(ppm_to_kg_ha(f64::NAN, 0.2, 1.3).is_err());
    }
}
