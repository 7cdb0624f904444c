//! Each tree's own ledger, where the same sets gave trees different depths.

use super::column::{Column, Watering};
use super::kernel_sums::STRESSED;
use super::season::{Record, RunOptions, Series, run};
use crate::bounds;
use crate::control::Control;
use crate::date::Date;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Ledgers that are carried at once: enough to fill the threads, few enough for little memory.
const AT_ONCE: usize = 1024;

/// A watering that gave each tree a depth of its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct UnevenWatering {
    /// The day, watered in the morning.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Depth that reaches the ground at each tree, mm.
    pub depths_mm: Vec<f64>,
}

/// Which trees lacked water, day by day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TreeStress {
    /// Trees.
    pub trees: usize,
    /// First day of the ledgers.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub from: Date,
    /// Last day that is counted.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub to: Date,
    /// Days on which at least one tree had less water than it wanted.
    pub days: Vec<StressDay>,
    /// Days of stress of each tree, in the order of the depths.
    pub days_of_tree: Vec<u32>,
    /// What each tree lacked of field capacity on the morning after the last day, mm; the evening where that is the last of
    /// the weather.
    pub depletion_mm: Vec<f64>,
    /// Water given to each tree, mm.
    pub given_mm: Vec<f64>,
}

/// A day of stress.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StressDay {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Indices of the stressed trees, in the order of the depths.
    pub trees: Vec<u32>,
}

/// Carries a ledger for each tree: the column's, with the depths of `uneven` beside the waterings that all of them got.
/// Days after `to` do not count.
///
/// Trees that got the same depths share a ledger. The readings of the column count for every tree.
///
/// # Errors
/// No uneven watering, lists of unlike lengths, a depth out of range, a day outside the weather; as [`run`].
///
/// ```
/// # use dibble::{control::Control, soil::{Profile, Soil, TextureClass}, stand::CropDays};
/// # use dibble::weather::{Gaps, Site, Weather};
/// use dibble::water::{Column, UnevenWatering, trees};
/// # let rows: String = (1..=20).map(|d| format!("2026-07-{d:02},15,30,0\n")).collect();
/// # let weather = Weather::parse_csv(&format!("date,tmin_c,tmax_c,rain_mm\n{rows}"), &Default::default())?;
/// # let daily = weather.complete(&Site::new(45.2, 290.0)?, &Gaps::default())?;
/// # let crop = CropDays::constant(20, 0.6, 1.2, 0.5, 0.2, 0.5)?;
/// # let loam = Profile::uniform(Soil::from_texture(TextureClass::SiltLoam, 2.5)?);
/// let column = Column::new("firs", &daily, &crop, &loam);
/// let given = UnevenWatering { date: "2026-07-06".parse()?, depths_mm: vec![15.0, 0.0] };
/// let trees = trees(&column, &[given], "2026-07-20".parse()?, &Control::new())?;
/// assert!(trees.days_of_tree[1] > trees.days_of_tree[0]); // the dry one was stressed for longer
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn trees(column: &Column<'_>, uneven: &[UnevenWatering], to: Date, control: &Control) -> Result<TreeStress> {
    let count = check(column, uneven, to)?;
    let mut alike: BTreeMap<Vec<u64>, Vec<u32>> = BTreeMap::new();
    for tree in 0..count {
        let got = uneven.iter().filter_map(|w| w.depths_mm.get(tree)).map(|d| d.to_bits()).collect();
        alike.entry(got).or_default().push(tree as u32);
    }
    let all: Vec<u32> = (0..count as u32).collect();
    let ledgers: Vec<(Column<'_>, &Vec<u32>)> = alike.values().map(|trees| (of_tree(column, uneven, trees), trees)).collect();
    let counted = usize::try_from(to - column.weather.first()).map_or(0, |days| days + 1);
    let mut stressed: Vec<Vec<u32>> = vec![Vec::new(); counted];
    let mut answer = TreeStress {
        trees: all.len(),
        from: column.weather.first(),
        to,
        days: Vec::new(),
        days_of_tree: vec![0; count],
        depletion_mm: vec![0.0; count],
        given_mm: vec![0.0; count],
    };
    let morning = counted < column.weather.len();
    let series = if morning { Series::MorningDepletion } else { Series::Depletion };
    let options = RunOptions {
        record: Record::Chosen(vec![Series::Stress, Series::Irrigation, series]),
        n_threads: Some(1),
        ..RunOptions::default()
    };
    for chunk in ledgers.chunks(AT_ONCE) {
        let columns: Vec<Column<'_>> = chunk.iter().map(|(column, _)| column.clone()).collect();
        let season = run(&columns, &options, control)?;
        for (k, (_, trees)) in chunk.iter().enumerate() {
            let of = |series| season.column(series, k);
            let short: Vec<usize> =
                of(Series::Stress).iter().take(counted).enumerate().filter(|(_, ks)| **ks < STRESSED).map(|d| d.0).collect();
            let left = of(series).get(if morning { counted } else { counted - 1 }).copied().unwrap_or(f64::NAN);
            let given: f64 = of(Series::Irrigation).iter().take(counted).sum();
            for &day in &short {
                stressed.get_mut(day).into_iter().for_each(|list| list.extend(trees.iter()));
            }
            for &tree in trees.iter() {
                let tree = tree as usize;
                answer.days_of_tree.get_mut(tree).into_iter().for_each(|n| *n = short.len() as u32);
                answer.depletion_mm.get_mut(tree).into_iter().for_each(|d| *d = left);
                answer.given_mm.get_mut(tree).into_iter().for_each(|g| *g = given);
            }
        }
    }
    for (day, mut trees) in stressed.into_iter().enumerate().filter(|(_, trees)| !trees.is_empty()) {
        trees.sort_unstable();
        answer.days.push(StressDay { date: column.weather.date(day), trees });
    }
    Ok(answer)
}

/// The column with what these trees got.
fn of_tree<'a>(column: &Column<'a>, uneven: &[UnevenWatering], trees: &[u32]) -> Column<'a> {
    let mut of = column.clone();
    let first = trees.first().copied().unwrap_or(0);
    let got = uneven.iter().filter_map(|w| Some(Watering { date: w.date, depth_mm: *w.depths_mm.get(first as usize)?, rate_mm_h: None }));
    of.name = format!("{}, tree {}", column.name, first + 1);
    of.waterings.extend(got.filter(|w| w.depth_mm > 0.0));
    of.waterings.sort_by_key(|w| w.date);
    of
}

/// The number of trees.
fn check(column: &Column<'_>, uneven: &[UnevenWatering], to: Date) -> Result<usize> {
    let (first, last) = (column.weather.first(), column.weather.last());
    let first_list =
        uneven.first().ok_or_else(|| Error::missing("a watering by trees", "Give the depth at each tree for at least one day."))?;
    let count = first_list.depths_mm.len();
    if count == 0 {
        return Err(Error::missing("trees", "Give the depth at each tree."));
    }
    for watering in uneven {
        let place = |e: Error| e.at(format!("watering of {}", watering.date));
        if watering.depths_mm.len() != count {
            return Err(place(Error::inconsistent(
                format!("{} depths are given, and {count} on {}", watering.depths_mm.len(), first_list.date),
                "Each watering has one depth for each tree, 0 for a tree that got none.",
            )));
        }
        if watering.date < first || watering.date > last {
            return Err(place(outside(watering.date, first, last)));
        }
        bounds::DEPTH_MM.named("depths_mm").check_slice(&watering.depths_mm).map_err(place)?;
    }
    if to < first || to > last {
        return Err(outside(to, first, last).at("to"));
    }
    Ok(count)
}

fn outside(date: Date, first: Date, last: Date) -> Error {
    Error::inconsistent(format!("{date} is not a day of the weather, which goes from {first} to {last}"), "Name a day of the weather.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::{Profile, Soil, TextureClass};
    use crate::stand::CropDays;
    use crate::weather::{Gaps, Site, Weather};

    fn asked(uneven: &[(&str, &[f64])], to: &str) -> Result<TreeStress> {
        let rows: String = (1..=20).map(|d| format!("2026-07-{d:02},15,30,0\n")).collect();
        let weather = Weather::parse_csv(&format!("date,tmin_c,tmax_c,rain_mm\n{rows}"), &Default::default())?;
        let daily = weather.complete(&Site::new(45.2, 290.0)?, &Gaps::default())?;
        let crop = CropDays::constant(20, 0.6, 1.2, 0.5, 0.2, 0.5)?;
        let loam = Profile::uniform(Soil::from_texture(TextureClass::SiltLoam, 2.5)?);
        let given: Result<Vec<UnevenWatering>> =
            uneven.iter().map(|(date, depths)| Ok(UnevenWatering { date: date.parse()?, depths_mm: depths.to_vec() })).collect();
        trees(&Column::new("firs", &daily, &crop, &loam), &given?, to.parse()?, &Control::new())
    }

    #[test]
    fn a_tree_is_a_column_of_its_own() {
        let both = asked(&[("2026-07-06", &[15.0, 0.0, 15.0]), ("2026-07-12", &[9.0, 3.0, 9.0])], "2026-07-19").unwrap();
        assert_eq!(both.given_mm, [24.0, 3.0, 24.0]);
        assert_eq!((both.days_of_tree[0], both.depletion_mm[0].to_bits()), (both.days_of_tree[2], both.depletion_mm[2].to_bits()));
        // alone a tree has the same ledger, bit for bit
        let alone = asked(&[("2026-07-06", &[0.0]), ("2026-07-12", &[3.0])], "2026-07-19").unwrap();
        assert_eq!((alone.days_of_tree[0], alone.depletion_mm[0].to_bits()), (both.days_of_tree[1], both.depletion_mm[1].to_bits()));
        let listed = both.days.iter().filter(|d| d.trees.contains(&1)).count();
        assert!(listed > 0 && listed == both.days_of_tree[1] as usize);
    }

    #[test]
    fn what_does_not_fit_is_refused_with_its_day() {
        let message = |uneven: &[(&str, &[f64])], to: &str| asked(uneven, to).unwrap_err().to_string();
        assert_eq!(
            message(&[("2026-07-06", &[1.0, 2.0]), ("2026-07-08", &[1.0])], "2026-07-20"),
            "watering of 2026-07-08: 1 depths are given, and 2 on 2026-07-06. Each watering has one depth for each tree, 0 for a tree that got none."
        );
        let outside = "2026-08-01 is not a day of the weather, which goes from 2026-07-01 to 2026-07-20. Name a day of the weather.";
        assert_eq!(message(&[("2026-08-01", &[1.0])], "2026-07-20"), format!("watering of 2026-08-01: {outside}"));
        assert_eq!(message(&[("2026-07-06", &[1.0])], "2026-08-01"), format!("to: {outside}"));
        assert!(message(&[("2026-07-06", &[-1.0])], "2026-07-20").starts_with("watering of 2026-07-06: depths_mm[0] is -1 mm"));
        assert!(message(&[], "2026-07-20").starts_with("a watering by trees is missing."));
        assert!(message(&[("2026-07-06", &[])], "2026-07-20").starts_with("trees is missing."));
    }
}
