//! Published ranges of water holding by texture class. Sources disagree, on clay most of all: that is what they are for.

use super::feel::Group;
use super::pedotransfer::hydraulic;
use super::texture::TextureClass;
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
