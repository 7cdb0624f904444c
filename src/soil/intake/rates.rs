//! Published figures about intake: Green and Ampt's parameters by texture, rates that a sprinkler should not exceed,
//! water that hollows hold.

use crate::bounds;
use crate::error::Result;
use crate::soil::{Soil, TextureClass, published::Range};
use serde::{Deserialize, Serialize};

const MM_PER_IN: f64 = 25.4;

/// A row of the Green-Ampt parameters by texture.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RawlsRow {
    /// Pore space.
    pub porosity: f64,
    /// Pore space that takes part.
    pub effective_porosity: f64,
    /// Suction at the wetting front, mm.
    pub suction_mm: f64,
    /// Conductivity of the wetted soil, mm/h. **Already half** of the saturated one: do not halve it again.
    pub conductivity_mm_h: f64,
}

/// Green-Ampt parameters by texture class. The table has no silt; it takes silt loam's row, our choice.
///
/// # Source
/// Rawls, Brakensiek and Miller (1983), J. Hydraul. Eng. 109(1):62-70, as tabulated by Chow, Maidment and Mays (1988),
/// Table 4.3.1. Read in public second-hand copies: all suctions, and the conductivity of loamy sand, sandy loam, loam and
/// clay. From memory: the porosities and the other conductivities.
pub const fn rawls_row(class: TextureClass) -> RawlsRow {
    use TextureClass::*;
    let (porosity, effective_porosity, suction_mm, conductivity_mm_h) = match class {
        Sand => (0.437, 0.417, 49.5, 117.8),
        LoamySand => (0.437, 0.401, 61.3, 29.9),
        SandyLoam => (0.453, 0.412, 110.1, 10.9),
        Loam => (0.463, 0.434, 88.9, 3.4),
        SiltLoam | Silt => (0.501, 0.486, 166.8, 6.5),
        SandyClayLoam => (0.398, 0.330, 218.5, 1.5),
        ClayLoam => (0.464, 0.309, 208.8, 1.0),
        SiltyClayLoam => (0.471, 0.432, 273.0, 1.0),
        SandyClay => (0.430, 0.321, 239.0, 0.6),
        SiltyClay => (0.479, 0.423, 292.2, 0.5),
        Clay => (0.475, 0.385, 316.3, 0.3),
    };
    RawlsRow { porosity, effective_porosity, suction_mm, conductivity_mm_h }
}

/// Conductivity of the wetted soil for [`super::GreenAmpt`], with the span of what may be said of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Conductivity {
    /// The value to use, mm/h.
    pub value_mm_h: f64,
    /// Lowest of the sources, mm/h.
    pub low_mm_h: f64,
    /// Highest, mm/h.
    pub high_mm_h: f64,
    /// Where the value comes from.
    pub source: &'static str,
}

/// Conductivity of the wetted soil: as measured (an infiltrometer, or hours of sprinkling without runoff), else half the
/// soil's saturated one. Unmeasured, it lies between the lower of half and the texture's table value, and the saturated one.
///
/// # Errors
/// A measured value out of range.
pub fn conductivity(soil: &Soil, measured_mm_h: Option<f64>) -> Result<Conductivity> {
    if let Some(value_mm_h) = bounds::KSAT_MM_H.named("intake_mm_h").check_option(measured_mm_h)? {
        return Ok(Conductivity { value_mm_h, low_mm_h: value_mm_h, high_mm_h: value_mm_h, source: "measured" });
    }
    let value_mm_h = (0.5 * soil.ksat_mm_h()).max(bounds::KSAT_MM_H.min);
    let table_mm_h = rawls_row(soil.texture()).conductivity_mm_h;
    Ok(Conductivity {
        value_mm_h,
        low_mm_h: value_mm_h.min(table_mm_h),
        high_mm_h: soil.ksat_mm_h().max(table_mm_h),
        source: "half the saturated conductivity; range from Rawls et al. (1983) by texture to the saturated one",
    })
}

/// Basic infiltration rate by texture, low and high, mm/h, where the table was read.
///
/// # Source
/// FAO Irrigation Water Management Training Manual, Annex 2, as quoted.
pub const fn basic_infiltration_mm_h(class: TextureClass) -> Option<Range> {
    match class {
        TextureClass::SandyLoam => Some((20.0, 30.0)),
        TextureClass::Loam => Some((10.0, 20.0)),
        TextureClass::ClayLoam => Some((5.0, 10.0)),
        TextureClass::Clay => Some((1.0, 5.0)),
        _ => None,
    }
}

/// The ground under a sprinkler.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Surface {
    /// Texture class at the surface.
    pub texture: TextureClass,
    /// Slope, %, 0 to 100.
    pub slope_pct: f64,
    /// Is it under grass, mulch or litter?
    pub covered: bool,
    /// Is there compact subsoil beneath?
    #[serde(default)]
    pub compact_subsoil: bool,
}

/// A maximum application rate and how well it is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MaximumRate {
    /// mm/h.
    pub rate_mm_h: f64,
    /// The row's figure was not read in a source but remembered: show it as such.
    pub from_memory: bool,
    /// Where it comes from.
    pub source: &'static str,
}

/// Highest rate, mm/h, that a sprinkler should apply on this ground: a cross-check on the intake equation.
///
/// Rows by soil (coarse sand; light sandy loam; silt loam, which loams and silt join; heavy clay or clay loam, which every
/// other clay joins), columns by slope (to 5, 8, 12 % and above), with cover and bare.
///
/// # Errors
/// Slope out of range.
///
/// # Source
/// USDA maximum precipitation rates, read in Landscape Management, 19 March 2018. The column above 12 % and the rows over
/// compact subsoil are from memory, and marked so in the answer.
///
/// # Example
/// ```
/// use dibble::soil::{TextureClass, intake::{Surface, maximum_rate_mm_h}};
/// let clay = Surface { texture: TextureClass::Clay, slope_pct: 3.0, covered: true, compact_subsoil: false };
/// assert_eq!(maximum_rate_mm_h(&clay)?.rate_mm_h, 0.2 * 25.4);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn maximum_rate_mm_h(surface: &Surface) -> Result<MaximumRate> {
    use TextureClass::*;
    let compact = surface.compact_subsoil;
    // in/h with cover and bare, for slopes to 5, 8, 12 % and above
    let row: [(f64, f64); 4] = match (surface.texture, compact) {
        (Sand | LoamySand, false) => [(2.0, 2.0), (2.0, 1.5), (1.5, 1.0), (1.0, 0.5)],
        (Sand | LoamySand, true) => [(1.75, 1.5), (1.25, 1.0), (1.0, 0.75), (0.75, 0.4)],
        (SandyLoam, false) => [(1.75, 1.0), (1.25, 0.8), (1.0, 0.6), (0.75, 0.4)],
        (SandyLoam, true) => [(1.25, 0.75), (1.0, 0.5), (0.75, 0.4), (0.5, 0.3)],
        (Loam | SiltLoam | Silt, false) => [(1.0, 0.5), (0.8, 0.4), (0.6, 0.3), (0.4, 0.2)],
        (Loam | SiltLoam | Silt, true) => [(0.6, 0.3), (0.5, 0.25), (0.4, 0.15), (0.3, 0.1)],
        (SandyClayLoam | ClayLoam | SiltyClayLoam | SandyClay | SiltyClay | Clay, _) => {
            [(0.2, 0.15), (0.15, 0.1), (0.12, 0.08), (0.1, 0.06)]
        }
    };
    let [to_5, to_8, to_12, above] = row;
    let ((covered, bare), steep) = match bounds::SLOPE_PCT.check(surface.slope_pct)? {
        slope if slope <= 5.0 => (to_5, false),
        slope if slope <= 8.0 => (to_8, false),
        slope if slope <= 12.0 => (to_12, false),
        _ => (above, true),
    };
    // The table has no clay over compact subsoil: clay's own rows serve, which were read.
    let has_compact_row = matches!(surface.texture, Sand | LoamySand | SandyLoam | Loam | SiltLoam | Silt);
    let from_memory = steep || (compact && has_compact_row);
    Ok(MaximumRate {
        rate_mm_h: MM_PER_IN * if surface.covered { covered } else { bare },
        from_memory,
        source: if from_memory { "USDA maximum rates, from memory" } else { "USDA maximum rates (Landscape Management, 19 March 2018)" },
    })
}

/// Depth, mm, that hollows of the surface hold before water begins to run: 5 to 1 % slope, 3 to 3 %, 2 to 5 %, 1 above.
///
/// Our judgment: about two fifths of what is allowed under center pivots on tilled ground (0.5, 0.3 and 0.1 in, from
/// memory), because water in grass moves to the low places before it runs off. Measure it: minutes from first standing
/// water to first running water, times rate.
///
/// # Errors
/// Slope out of range.
pub fn surface_storage_mm(slope_pct: f64) -> Result<f64> {
    Ok(match bounds::SLOPE_PCT.check(slope_pct)? {
        slope if slope <= 1.0 => 5.0,
        slope if slope <= 3.0 => 3.0,
        slope if slope <= 5.0 => 2.0,
        _ => 1.0,
    })
}
