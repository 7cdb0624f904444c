//! Published ranges of water holding by texture class. Sources disagree, on clay most of all: that is what they are for.

use super::feel::Group;
use super::pedotransfer::hydraulic;
use super::texture::TextureClass;
use crate::bounds;
use crate::error::Result;
use serde::Serialize;

/// Low and high of something that sources disagree about.
pub type Range = (f64, f64);

/// Available water between a low and a high value, with where they come from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AvailableRange {
    /// Lowest, m3/m3.
    pub low: f64,
    /// Highest, m3/m3.
    pub high: f64,
    /// Where the two come from.
    pub source: &'static str,
}

/// One row of FAO-56 Table 19.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Typical {
    /// Water content at field capacity, m3/m3.
    pub field_capacity: Range,
    /// Water content at wilting point, m3/m3.
    pub wilting_point: Range,
    /// Available water, m3/m3.
    pub available: Range,
    /// Readily evaporable water, mm.
    pub readily_evaporable_mm: Range,
    /// Total evaporable water of a surface layer 0.10 m deep, mm.
    pub total_evaporable_mm: Range,
}

/// The row of FAO-56 Table 19 (Allen et al. 1998, p. 144) for a class; the table has none for sandy clay loam, clay loam
/// and sandy clay. The evaporable water of sand and clay and the row of silt are from memory.
///
/// ```
/// use dibble::soil::{TextureClass, published};
/// let clay = published::fao56_table_19(TextureClass::Clay).map(|row| row.available);
/// assert_eq!(clay, Some((0.12, 0.20)));
/// assert_eq!(published::fao56_table_19(TextureClass::ClayLoam), None);
/// ```
pub const fn fao56_table_19(class: TextureClass) -> Option<Typical> {
    use TextureClass::*;
    let (field_capacity, wilting_point, available, readily_evaporable_mm, total_evaporable_mm) = match class {
        Sand => ((0.07, 0.17), (0.02, 0.07), (0.05, 0.11), (2.0, 7.0), (6.0, 12.0)),
        LoamySand => ((0.11, 0.19), (0.03, 0.10), (0.06, 0.12), (4.0, 8.0), (9.0, 14.0)),
        SandyLoam => ((0.18, 0.28), (0.06, 0.16), (0.11, 0.15), (6.0, 10.0), (15.0, 20.0)),
        Loam => ((0.20, 0.30), (0.07, 0.17), (0.13, 0.18), (8.0, 10.0), (16.0, 22.0)),
        SiltLoam => ((0.22, 0.36), (0.09, 0.21), (0.13, 0.19), (8.0, 11.0), (18.0, 25.0)),
        Silt => ((0.28, 0.36), (0.12, 0.22), (0.16, 0.20), (8.0, 11.0), (22.0, 26.0)),
        SiltyClayLoam => ((0.30, 0.37), (0.17, 0.24), (0.13, 0.18), (8.0, 11.0), (22.0, 27.0)),
        SiltyClay => ((0.30, 0.42), (0.17, 0.29), (0.13, 0.19), (8.0, 12.0), (22.0, 28.0)),
        Clay => ((0.32, 0.40), (0.20, 0.24), (0.12, 0.20), (8.0, 12.0), (22.0, 29.0)),
        SandyClayLoam | ClayLoam | SandyClay => return None,
    };
    Some(Typical { field_capacity, wilting_point, available, readily_evaporable_mm, total_evaporable_mm })
}

/// Available water of a class as each source has it that was read for it, m3/m3 of fine earth: to be shown side by side.
/// The last source goes by organic matter, % (0 to 8).
///
/// # Errors
/// Organic matter out of range.
///
/// # Example
/// ```
/// use dibble::soil::{TextureClass, published::available_by_source};
/// let clay = available_by_source(TextureClass::Clay, 2.5)?;
/// let (least, most) = clay.iter().fold((1.0_f64, 0.0_f64), |(l, h), s| (l.min(s.low), h.max(s.high)));
/// assert_eq!(format!("{least:.2} {most:.2}"), "0.12 0.25"); // a factor of two
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn available_by_source(class: TextureClass, organic_matter_pct: f64) -> Result<Vec<AvailableRange>> {
    use TextureClass::*;
    bounds::ORGANIC_MATTER_PCT.check(organic_matter_pct)?;
    let fao = fao56_table_19(class).map(|row| row.available);
    let feel = Some(Group::of(class).available());
    let okanagan = match class {
        Sand => Some((0.065, 0.10)),
        LoamySand => Some((0.08, 0.10)),
        SandyLoam => Some((0.09, 0.15)),
        Loam => Some((0.14, 0.19)),
        SiltLoam => Some((0.19, 0.23)),
        ClayLoam => Some((0.165, 0.22)),
        Clay => Some((0.20, 0.25)),
        Silt | SandyClayLoam | SiltyClayLoam | SandyClay | SiltyClay => None,
    };
    let california = match class {
        Sand => Some((0.5 / 12.0, 1.0 / 12.0)),
        SandyLoam => Some((1.0 / 12.0, 1.5 / 12.0)),
        SiltLoam | ClayLoam => Some((1.5 / 12.0, 2.0 / 12.0)),
        Clay => Some((2.0 / 12.0, 2.5 / 12.0)),
        _ => None,
    };
    let survey = survey_office_2(class).map(|(poor, middle, rich)| match organic_matter_pct {
        om if om < 1.5 => poor,
        om if om <= 5.0 => middle,
        _ => rich,
    });
    let named = [
        (fao, "FAO-56 Table 19"),
        (feel, "NRCS feel chart (Program Aid 1619)"),
        (okanagan, "BC Soil Management Handbook, Okanagan and Similkameen, Table 11"),
        (california, "University of California ANR"),
        (survey, "NRCS Soil Survey Region 2 office table"),
    ];
    Ok(named.into_iter().filter_map(|(range, source)| range.map(|(low, high)| AvailableRange { low, high, source })).collect())
}

/// Rows of the Region 2 office table that were read: organic matter below 1.5 %, to 5 %, above.
const fn survey_office_2(class: TextureClass) -> Option<(Range, Range, Range)> {
    use TextureClass::*;
    match class {
        Sand => Some(((0.05, 0.08), (0.06, 0.08), (0.07, 0.09))),
        SandyLoam => Some(((0.10, 0.13), (0.12, 0.14), (0.13, 0.15))),
        SiltLoam => Some(((0.15, 0.20), (0.20, 0.22), (0.22, 0.24))),
        SandyClayLoam => Some(((0.14, 0.18), (0.16, 0.18), (0.18, 0.20))),
        SiltyClay => Some(((0.14, 0.17), (0.11, 0.13), (0.12, 0.14))),
        SandyClay | Clay => Some(((0.14, 0.16), (0.15, 0.17), (0.13, 0.15))),
        LoamySand | Loam | Silt | ClayLoam | SiltyClayLoam => None,
    }
}

/// Low and high of FAO-56 Table 19 and of the class's group in the NRCS feel chart.
pub(super) fn available_range(class: TextureClass) -> AvailableRange {
    let (low, high) = Group::of(class).available();
    match fao56_table_19(class) {
        Some(Typical { available, .. }) => AvailableRange {
            low: low.min(available.0),
            high: high.max(available.1),
            source: "FAO-56 Table 19 and the NRCS feel chart (Program Aid 1619)",
        },
        None => AvailableRange { low, high, source: "NRCS feel chart (Program Aid 1619)" },
    }
}

/// REW by FAO-56 Table 19. The classes that it lacks take the row of a neighbor, our choice: sandy clay loam that of
/// loam, clay loam that of silty clay loam, sandy clay that of silty clay.
pub(super) const fn readily_evaporable_mm(class: TextureClass) -> Range {
    match class {
        TextureClass::ClayLoam => (8.0, 11.0),
        TextureClass::SandyClay => (8.0, 12.0),
        _ => match fao56_table_19(class) {
            Some(row) => row.readily_evaporable_mm,
            None => (8.0, 10.0),
        },
    }
}

/// The class whose typical soil has the nearest wilting point and field capacity.
pub(super) fn class_holding_alike(wilting_point: f64, field_capacity: f64) -> TextureClass {
    let mut best = (f64::INFINITY, TextureClass::Loam);
    for class in TextureClass::ALL {
        let (sand, clay) = class.typical_sand_clay_pct();
        let h = hydraulic(sand / 100.0, clay / 100.0, 2.5, 1.0);
        let (dw, df) = (h.wilting_point - wilting_point, h.field_capacity - field_capacity);
        let distance = dw * dw + df * df;
        if distance < best.0 {
            best = (distance, class);
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assumption::Assumption;
    use crate::soil::{Measured, Particles, Soil};

    #[test]
    fn a_typical_soil_is_recognized_by_the_water_it_holds() {
        for class in TextureClass::ALL {
            let soil = Soil::from_texture(class, 2.5).unwrap();
            assert_eq!(class_holding_alike(soil.wilting_point(), soil.field_capacity()), class);
        }
    }

    #[test]
    fn what_is_taken_for_granted_is_recorded() {
        let given = Measured { wilting_point: 0.12, field_capacity: 0.28, saturation: 0.46, ksat_mm_h: 12.0, ..Measured::default() };
        let unnamed = Soil::from_measured(&given).unwrap();
        let named = Soil::from_measured(&Measured { texture: Some(TextureClass::Silt), ..given }).unwrap();
        assert_eq!((unnamed.texture(), named.texture()), (TextureClass::Loam, TextureClass::Silt));
        assert!(unnamed.assumptions().contains(Assumption::TextureFromHolding) && named.assumptions().iter().next().is_none());
        let heavy = Soil::from_particles(&Particles::new(10.0, 62.0, 2.5)).unwrap();
        assert!(heavy.assumptions().contains(Assumption::ClayBeyondCalibration));
        assert!(Soil::from_texture(TextureClass::Clay, 2.5).unwrap().assumptions().contains(Assumption::SoilFromClass));
    }

    #[test]
    fn a_range_holds_the_soils_own_value_and_shrinks_with_stones() {
        for class in TextureClass::ALL {
            let soil = Soil::from_texture(class, 2.5).unwrap();
            let own = soil.available_water_mm(1.0).unwrap() / 1000.0;
            let range = soil.available_range();
            assert!(range.low <= own && own <= range.high && range.low < range.high, "{class}: {range:?}, own {own}");
        }
        let stony = Soil::from_particles(&Particles { gravel_pct: 50.0, ..Particles::new(40.0, 20.0, 2.5) }).unwrap();
        assert!(stony.available_range().high < 0.75 * fao56_table_19(TextureClass::Loam).unwrap().available.1);
    }
}
