//! What heat ahead and the time of the year ask for.

use super::content::{Advice, HeatWatch, HotDay};
use crate::date::Date;
use crate::error::Result;
use crate::farm::plan::BlockPlan;
use crate::farm::plan::ahead::Ahead;
use crate::units::{System, show};

/// A day this hot is hard on young conifers, deg C: 90 °F (common practice; needles fail above 43 °C by Oregon State
/// University's heat-dome notes of 2021, and low fields and south sides first).
const HOT_C: f64 = 32.0;
/// Less room than this in a root zone is not worth a round before the heat, mm.
const ROOM_MM: f64 = 3.0;
/// Advice is printed so many days before it begins.
const NOTICE_DAYS: i32 = 30;

/// Hot days of the forecast that is given, with the blocks to fill before the first.
pub(super) fn heat(station: &Ahead, blocks: &[BlockPlan], today: Date) -> Option<HeatWatch> {
    let days: Vec<HotDay> = (station.today..station.given)
        .filter_map(|day| Some(HotDay { date: station.daily.date(day), tmax_c: *station.daily.tmax_c().get(day)? }))
        .filter(|d| d.tmax_c >= HOT_C)
        .collect();
    let first = days.first()?.date;
    let ahead = usize::try_from(first - today).unwrap_or(0);
    let mut thirsty: Vec<(&BlockPlan, f64)> = blocks
        .iter()
        .filter_map(|b| Some((b, b.without_rain.depletion.get(ahead)? * b.available_water_mm)))
        .filter(|(_, lacks_mm)| *lacks_mm >= ROOM_MM)
        .collect();
    thirsty.sort_by(|(a, lacks_a), (b, lacks_b)| b.planted.cmp(&a.planted).then(lacks_b.total_cmp(lacks_a)));
    let blocks = thirsty.into_iter().map(|(b, lacks_mm)| (b.name.clone(), lacks_mm)).collect();
    Some(HeatWatch { days, threshold_c: HOT_C, pre_wet_by: today.max(first + -1), blocks })
}

/// Taper of late summer and recharge of fall, in and before their time.
pub(super) fn advice(blocks: &[BlockPlan], today: Date, south: bool, units: System) -> Result<Vec<Advice>> {
    // month and day in the north; half a year later in the south
    let season = |from: (u32, u32), to: (u32, u32)| -> Result<Option<(Date, Date)>> {
        let shifted = |month: u32| if south { (month + 5) % 12 + 1 } else { month };
        for year in [today.year() - 1, today.year(), today.year() + 1] {
            let begin = Date::new(year, shifted(from.0), from.1)?;
            let end = Date::new(if shifted(to.0) < shifted(from.0) { year + 1 } else { year }, shifted(to.0), to.1)?;
            if today >= begin + -NOTICE_DAYS && today <= end {
                return Ok(Some((begin, end)));
            }
        }
        Ok(None)
    };
    let mut advice = Vec::new();
    if let Some((from, to)) = season((8, 15), (9, 30))? {
        advice.push(Advice {
            from,
            to,
            what: "taper".into(),
            words: "give about half of what is lacking, and only what keeps the trees just moist, so that buds set and wood ripens; \
                    a heat wave, and trees in their first year on light soil, are the exceptions"
                .into(),
            source: "growers' practice".into(),
        });
    }
    if let Some((from, to)) = season((10, 1), (11, 15))? {
        let lacking = blocks.iter().max_by(|a, b| a.depletion_mm.value.total_cmp(&b.depletion_mm.value));
        let now =
            lacking.map(|b| format!("; today {} lacks most, {}", b.name, show::depth(b.depletion_mm.value, units))).unwrap_or_default();
        advice.push(Advice {
            from,
            to,
            what: "recharge".into(),
            words: format!("fill the root zone once more before the ground freezes: evergreens lose water all winter{now}"),
            source: "common practice for young evergreens".into(),
        });
    }
    Ok(advice)
}
