//! What a day brings, gathered from the series of a block's columns.

#![allow(clippy::indexing_slicing, clippy::needless_range_loop)] // all series are as long as the season, which every column was checked for

use super::column::Column;
use super::kernel::{Forcing, LANES, Lane, MM, ZERO, held_between};

/// Days of a column's own series that are fetched at a time.
const AHEAD: usize = 16;

/// One daily series of each column.
#[allow(clippy::large_enum_variant)] // eight to a block
enum Source<'a> {
    /// All columns have the same: a block of trees under one weather.
    Shared(&'a [f64]),
    /// Series of their own, and the next days of them by day and lane: a look at each series once in [`AHEAD`] days.
    Each([&'a [f64]; LANES], Box<[Lane; AHEAD]>),
}

impl<'a> Source<'a> {
    /// Idle lanes repeat the last column.
    fn of(columns: &[Column<'a>], series: impl Fn(&Column<'a>) -> &'a [f64]) -> Self {
        let each: [&[f64]; LANES] = std::array::from_fn(|l| series(&columns[l.min(columns.len() - 1)]));
        if each.iter().all(|s| std::ptr::eq(*s, each[0])) { Source::Shared(each[0]) } else { Source::Each(each, Box::new([ZERO; AHEAD])) }
    }

    #[inline(always)]
    fn on(&mut self, day: usize) -> Lane {
        match self {
            Source::Shared(series) => [series[day]; LANES],
            Source::Each(series, ahead) => {
                if day.is_multiple_of(AHEAD) {
                    for l in 0..LANES {
                        ahead.iter_mut().zip(&series[l][day..]).for_each(|(lane, value)| lane[l] = *value);
                    }
                }
                ahead[day % AHEAD]
            }
        }
    }
}

/// The daily series of a block.
pub(super) struct Sources<'a> {
    eto_mm: Source<'a>,
    rain_mm: Source<'a>,
    kcb: Source<'a>,
    kc_max: Source<'a>,
    exposed: Source<'a>,
    evaporation_factor: Source<'a>,
    root_depth_m: Source<'a>,
    p: Source<'a>,
    p_factor: Lane,
}

impl<'a> Sources<'a> {
    pub(super) fn of(columns: &[Column<'a>]) -> Self {
        Self {
            eto_mm: Source::of(columns, |c| c.weather.eto_mm()),
            rain_mm: Source::of(columns, |c| c.weather.rain_mm()),
            kcb: Source::of(columns, |c| &c.crop.series().kcb),
            kc_max: Source::of(columns, |c| &c.crop.series().kc_max),
            exposed: Source::of(columns, |c| &c.crop.series().exposed),
            evaporation_factor: Source::of(columns, |c| &c.crop.series().evaporation_factor),
            root_depth_m: Source::of(columns, |c| &c.crop.series().root_depth_m),
            p: Source::of(columns, |c| &c.crop.series().p),
            p_factor: std::array::from_fn(|l| columns[l.min(columns.len() - 1)].p_factor),
        }
    }

    /// All of the day's forcing but the water given; days must come in order, from 0.
    #[inline(always)]
    pub(super) fn gather(&mut self, day: usize, forcing: &mut Forcing) {
        forcing.eto_mm = self.eto_mm.on(day);
        forcing.rain_mm = self.rain_mm.on(day);
        forcing.kcb = self.kcb.on(day);
        forcing.kc_max = self.kc_max.on(day);
        forcing.exposed = self.exposed.on(day);
        forcing.evaporation_factor = self.evaporation_factor.on(day);
        let (depth, p) = (self.root_depth_m.on(day), self.p.on(day));
        for l in 0..LANES {
            forcing.root_depth_mm[l] = MM * depth[l];
            forcing.p[l] = held_between(p[l] * self.p_factor[l], 0.1, 0.8);
        }
    }
}
