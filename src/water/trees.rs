//! Each tree's own ledger, where the same sets gave trees different depths.

use super::column::{Column, Watering};
use super::kernel_sums::STRESSED;
use super::season::{Record, RunOptions, Season, Series, run};
use crate::bounds;
use crate::control::Control;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::json;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Ledgers that are carried at once: few enough for little memory and for a quick end when cancelled.
const AT_ONCE: usize = 1024;
/// Version of the answer's content.
const SCHEMA: u32 = 1;

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
    /// Version of this content.
    pub schema: u32,
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

impl TreeStress {
    /// As JSON; every number comes back bit for bit.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn to_json(&self) -> Result<String> {
        json::write(self)
    }

    /// From [`TreeStress::to_json`]'s text, of this version or an older one.
    ///
    /// # Errors
    /// Text of another kind or of a newer version, or whose lists do not agree.
    pub fn from_json(text: &str) -> Result<Self> {
        let read: Self = json::read(text, "stress of trees", SCHEMA)?;
        let mut days_of_tree = vec![0_u32; read.days_of_tree.len()];
        let listed = read.days.iter().flat_map(|day| &day.trees).all(|&tree| {
            let days = days_of_tree.get_mut(tree as usize);
            days.map(|n| *n += 1).is_some()
        });
        let each = [days_of_tree.len(), read.depletion_mm.len(), read.given_mm.len()];
        if !listed || days_of_tree != read.days_of_tree || each != [read.trees; 3] {
            return Err(Error::inconsistent(
                "days and trees of the stress of trees do not agree",
                "Give what to_json() wrote, or run the ledgers again.",
            ));
        }
        Ok(read)
    }
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
    let count = check(column, uneven)?;
    let (first, last) = (column.weather.first(), column.weather.last());
    if to < first || to > last {
        return Err(outside(to, first, last).at("to"));
    }
    let counted = usize::try_from(to - first).map_or(0, |days| days + 1);
    let mut stressed: Vec<Vec<u32>> = vec![Vec::new(); counted];
    let mut answer = TreeStress {
        schema: SCHEMA,
        trees: count,
        from: first,
        to,
        days: Vec::new(),
        days_of_tree: vec![0; count],
        depletion_mm: vec![0.0; count],
        given_mm: vec![0.0; count],
    };
    let morning = counted < column.weather.len();
    let series = if morning { Series::MorningDepletion } else { Series::Depletion };
    each_ledger(column, uneven, &[Series::Stress, Series::Irrigation, series], control, |season, k, trees| {
        let of = |series| season.column(series, k);
        let short: Vec<usize> =
            of(Series::Stress).iter().take(counted).enumerate().filter(|(_, ks)| **ks < STRESSED).map(|d| d.0).collect();
        let left = of(series).get(if morning { counted } else { counted - 1 }).copied().unwrap_or(f64::NAN);
        let given: f64 = of(Series::Irrigation).iter().take(counted).sum();
        for &day in &short {
            stressed.get_mut(day).into_iter().for_each(|list| list.extend(trees.iter()));
        }
        for &tree in trees {
            let tree = tree as usize;
            answer.days_of_tree.get_mut(tree).into_iter().for_each(|n| *n = short.len() as u32);
            answer.depletion_mm.get_mut(tree).into_iter().for_each(|d| *d = left);
            answer.given_mm.get_mut(tree).into_iter().for_each(|g| *g = given);
        }
    })?;
    for (day, mut trees) in stressed.into_iter().enumerate().filter(|(_, trees)| !trees.is_empty()) {
        trees.sort_unstable();
        answer.days.push(StressDay { date: column.weather.date(day), trees });
    }
    Ok(answer)
}

/// Carries a ledger for every sort of tree, and hands over each with its place in a season and its trees.
fn each_ledger(
    column: &Column<'_>,
    uneven: &[UnevenWatering],
    keep: &[Series],
    control: &Control,
    mut take: impl FnMut(&Season, usize, &[u32]),
) -> Result<()> {
    let count = uneven.first().map_or(0, |w| w.depths_mm.len());
    let mut alike: BTreeMap<Vec<u64>, Vec<u32>> = BTreeMap::new();
    for tree in 0..count {
        let got = uneven.iter().filter_map(|w| w.depths_mm.get(tree)).map(|d| d.to_bits()).collect();
        alike.entry(got).or_default().push(tree as u32);
    }
    let sorts: Vec<Vec<u32>> = alike.into_values().collect();
    let options = RunOptions { record: Record::Chosen(keep.to_vec()), n_threads: Some(1), ..RunOptions::default() };
    for (chunk, sorts_now) in sorts.chunks(AT_ONCE).enumerate() {
        control.step("the trees' ledgers", (chunk * AT_ONCE) as u64, sorts.len() as u64)?;
        let columns: Vec<Column<'_>> = sorts_now.iter().map(|trees| of_tree(column, uneven, trees)).collect();
        let season = run(&columns, &options, &control.quiet())?;
        sorts_now.iter().enumerate().for_each(|(k, trees)| take(&season, k, trees));
    }
    control.step("the trees' ledgers", sorts.len() as u64, sorts.len() as u64)
}

/// For each tree the day on which it has used the allowed share of its available water again, after the day from `from` on that
/// brought it most; `None` where that lies beyond the weather.
pub(crate) fn limit_days(
    column: &Column<'_>,
    uneven: &[UnevenWatering],
    allowed: f64,
    from: Date,
    control: &Control,
) -> Result<Vec<Option<Date>>> {
    let mut limits = vec![None; check(column, uneven)?];
    each_ledger(column, uneven, &[Series::Depletion, Series::AvailableWater], control, |season, k, trees| {
        let got = |w: &UnevenWatering| trees.first().and_then(|&tree| w.depths_mm.get(tree as usize)).copied().unwrap_or(0.0);
        let most = uneven.iter().filter(|w| w.date >= from).max_by(|a, b| got(a).total_cmp(&got(b)).then(b.date.cmp(&a.date)));
        let begin = most.and_then(|w| column.weather.index_of(w.date)).unwrap_or(0);
        let evenings = season.column(Series::Depletion, k).into_iter().zip(season.column(Series::AvailableWater, k));
        let limit = evenings.enumerate().skip(begin).find(|(_, (used_mm, held_mm))| *used_mm >= allowed * held_mm);
        let limit = limit.map(|(day, _)| column.weather.date(day));
        for &tree in trees {
            limits.get_mut(tree as usize).into_iter().for_each(|l| *l = limit);
        }
    })?;
    Ok(limits)
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
fn check(column: &Column<'_>, uneven: &[UnevenWatering]) -> Result<usize> {
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
        let bound = bounds::DEPTH_MM.named("depths_mm");
        for (tree, depth_mm) in watering.depths_mm.iter().enumerate() {
            // a missing depth too: nobody knows what that tree got
            bound.check(*depth_mm).map_err(|e| place(e.at_index(tree, 0)))?;
        }
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

    fn with_column<T>(call: impl FnOnce(&Column<'_>) -> T) -> T {
        let rows: String = (1..=20).map(|d| format!("2026-07-{d:02},15,30,0\n")).collect();
        let weather = Weather::parse_csv(&format!("date,tmin_c,tmax_c,rain_mm\n{rows}"), &Default::default()).unwrap();
        let daily = weather.complete(&Site::new(45.2, 290.0).unwrap(), &Gaps::default()).unwrap();
        let crop = CropDays::constant(20, 0.6, 1.2, 0.5, 0.2, 0.5).unwrap();
        let loam = Profile::uniform(Soil::from_texture(TextureClass::SiltLoam, 2.5).unwrap());
        call(&Column::new("firs", &daily, &crop, &loam))
    }

    fn asked(uneven: &[(&str, &[f64])], to: &str) -> Result<TreeStress> {
        let given: Result<Vec<UnevenWatering>> =
            uneven.iter().map(|(date, depths)| Ok(UnevenWatering { date: date.parse()?, depths_mm: depths.to_vec() })).collect();
        with_column(|column| trees(column, &given?, to.parse()?, &Control::new()))
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
    fn a_limit_is_the_day_on_which_the_allowed_share_is_used_again() {
        with_column(|column| {
            let date: Date = "2026-07-06".parse().unwrap();
            let days = |depths_mm: &[f64]| {
                let given = UnevenWatering { date, depths_mm: depths_mm.to_vec() };
                let limits = limit_days(column, &[given], 0.5, date, &Control::new()).unwrap();
                limits.iter().map(|l| l.map(|day| day - date)).collect::<Vec<_>>()
            };
            // 0.2 m of this silt loam hold 39.0 mm, so the limit is 19.5; 29.1 are lacking that morning and 6.7 go each day:
            // 29.1 - 15 + 6.7 = 20.8; 29.1 - 20 + 6.7 + 6.7 = 22.5; 29.1 - 25 + 3 x 6.7 = 24.2
            assert_eq!(days(&[15.0, 0.0, 20.0, 25.0]), [Some(0), Some(0), Some(1), Some(2)]);
            assert_eq!(days(&[15.0, 0.0, 20.0, 25.0])[..2], days(&[15.0, 0.0]));
        });
    }

    #[test]
    fn stress_travels_as_json_and_lists_that_disagree_are_refused() {
        let both = asked(&[("2026-07-06", &[15.0, 0.0])], "2026-07-19").unwrap();
        let text = both.to_json().unwrap();
        assert_eq!(TreeStress::from_json(&text).unwrap(), both);
        for altered in [text.replace("\"trees\": 2", "\"trees\": 3"), text.replacen("\"trees\": [", "\"trees\": [7,", 1)] {
            assert_ne!(altered, text);
            let message = TreeStress::from_json(&altered).unwrap_err().to_string();
            assert!(message.starts_with("days and trees of the stress of trees do not agree."), "{message}");
        }
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
        assert!(message(&[("2026-07-06", &[1.0, f64::NAN])], "2026-07-20").starts_with("watering of 2026-07-06: depths_mm[1] is NaN"));
        assert!(message(&[], "2026-07-20").starts_with("a watering by trees is missing."));
        assert!(message(&[("2026-07-06", &[])], "2026-07-20").starts_with("trees is missing."));
    }
}
