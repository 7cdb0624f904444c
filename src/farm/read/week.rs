//! Keys of `[[window]]`, `[pond]`, `[well]`, `[permit]`, `[labor]` and `[prices]`.

use super::{ABSENT, T};
use crate::farm::week::{Labor, Prices, check_permit};
use crate::schedule::{Clock, Weekdays, Window};
use crate::water::supply::{PermitLimit, Pond, PondInput, Range, Stage, Well};

pub(super) fn window(t: &T<'_, '_>) -> Option<Window> {
    let from = t.need("from", t.choice::<Clock>("from"), "from = \"5:00 am\"");
    let to = t.need("to", t.choice::<Clock>("to"), "to = \"10:00 am\"");
    let (days, when) = (t.choice::<Weekdays>("days").unwrap_or_default(), t.choice("when").unwrap_or_default());
    let window = Window { days, from: from?, to: to?, when };
    t.ok(window.check()).map(|()| window)
}

/// A range as `{ low = 1, high = 4 }`, numbers in `unit` or text with any.
fn range(t: &T<'_, '_>, unit: &str) -> Option<Range> {
    let end = |key| t.need(key, t.quantity(key, unit), "{ low = 1, high = 4 }");
    let (low, high) = (end("low"), end("high"));
    Some(Range::new(low?, high?))
}

pub(super) fn pond(t: &T<'_, '_>) -> PondInput {
    let stage = |t: &T<'_, '_>| Stage {
        depth_m: t.need("depth_m", t.quantity("depth_m", "m"), "depth = \"2 ft\"").unwrap_or(ABSENT),
        area_m2: t.need("area_m2", t.quantity("area_m2", "m2"), "area = \"0.3 acre\"").unwrap_or(ABSENT),
    };
    let pond = PondInput {
        area_m2: t.quantity("area_m2", "m2"),
        depth_m: t.quantity("depth_m", "m"),
        shape: t.choice("shape").unwrap_or_default(),
        stage: t.tables("stage", stage),
        level_m: t.quantity("level_m", "m"),
        lowest_m: t.quantity("lowest_m", "m"),
        seepage_mm_day: t.table("seepage_mm_day", |t| range(t, "mm/day")).flatten(),
        inflow_l_min: t.table("inflow_l_min", |t| range(t, "L/min")).flatten(),
        evaporation: t.table("evaporation", |t| range(t, "")).flatten(),
    };
    t.ok(Pond::new(pond.clone()));
    pond
}

pub(super) fn well(t: &T<'_, '_>) -> Option<Well> {
    let known = t.quantity("rate_l_min", "L/min").map(Range::exactly);
    let rate_l_min = t.need("rate_l_min", known, "rate = \"12 gpm\", what it keeps up for days");
    let (storage_l, hours_day) = (t.quantity("storage_l", "L").unwrap_or(0.0), t.quantity("hours_day", ""));
    let well = Well { rate_l_min: rate_l_min?, storage_l, hours_day };
    t.ok(well.check()).map(|()| well)
}

pub(super) fn permit(t: &T<'_, '_>) -> PermitLimit {
    let limit = PermitLimit {
        day_l: t.quantity("day_l", "L"),
        month_l: t.quantity("month_l", "L"),
        mean_30_day_l: t.quantity("mean_30_day_l", "L"),
    };
    t.ok(check_permit(&limit));
    limit
}

pub(super) fn labor(t: &T<'_, '_>) -> Option<Labor> {
    let wage_h = t.need("wage_h", t.quantity("wage_h", ""), "wage_h = 18, the wage of an hour");
    let (people, watching) = (t.quantity("people", ""), t.quantity("watching", ""));
    let labor = Labor { wage_h: wage_h?, people, watching };
    t.ok(labor.check()).map(|()| labor)
}

pub(super) fn prices(t: &T<'_, '_>) -> Prices {
    let money = |key| t.quantity(key, "");
    let prices = Prices {
        fuel_per_l: money("fuel_per_l"),
        fuel_per_gal: money("fuel_per_gal"),
        current_per_kwh: money("current_per_kwh"),
        fuel_use_l_h: t.quantity("fuel_use_l_h", "L/h"),
        current_use_kw: t.quantity("current_use_kw", "kW"),
        water_per_m3: money("water_per_m3"),
        wear_per_h: money("wear_per_h"),
        tree: money("tree"),
        replant: money("replant"),
        interest: money("interest"),
    };
    t.ok(prices.check());
    prices
}
