//! One block's plan.

use super::ahead::{Ahead, HORIZON_DAYS, carry};
use super::delivery::{Delivery, intake_plan};
use super::view::{ALLEY, End, LIKELY, ROOTS_LOW, STRIP, View, with_holding};
use super::{Basis, BlockPlan, Estimate, PlanOptions, Standing, WhatIf};
use crate::assumption::Assumption;
use crate::control::Control;
use crate::date::Date;
use crate::error::Result;
use crate::farm::{self, Farm, FarmBlock};
use crate::soil::Soil;
use crate::soil::runoff::{Condition, Cover, HydrologicGroup, curve_number};
use crate::stand::{ROOT_DEPTH_SHARES, Surfaces};
use crate::water::{Column, Reading, Record, Refill, RunOptions, Seen, Series, Totals, Watering, run};
use crate::weather::Weather;

/// A feel or probe sample stands for so much soil above and below its depth, m (our judgment).
const SAMPLE_HALF_M: f64 = 0.05;

pub(super) fn plan_block(
    farm_block: &FarmBlock<'_>,
    weather: &Weather,
    station: &Ahead,
    today: Date,
    options: &PlanOptions,
    delivery: &Delivery,
    farm: &Farm,
) -> Result<BlockPlan> {
    let FarmBlock { block, stand, profile, ground, assumed, .. } = *farm_block;
    let own;
    let planted = stand.input().planted;
    let ahead = if block.rain.is_empty() && planted <= station.daily.first() {
        station
    } else {
        let within = |r: &&farm::Rain| r.date >= weather.first() && r.date <= weather.last();
        let (dates, rain): (Vec<Date>, Vec<f64>) = block.rain.iter().filter(within).map(|r| (r.date, r.depth_mm)).unzip();
        let records = if dates.is_empty() { weather } else { &weather.clone().with_block_rain(&dates, &rain)? };
        own = carry(&records.complete(farm.site(), &options.gaps)?, today, options, Some(planted))?;
        &own
    };
    let first = ahead.daily.first();
    let counts = |date: Date| date >= first && date <= today;
    let mut notes = Vec::new();
    match block.log_days().filter(|d| !counts(*d)).count() {
        0 => {}
        1 => notes.push(format!("1 entry of the log before {first} or after {today} does not count")),
        n => notes.push(format!("{n} entries of the log before {first} or after {today} do not count")),
    }
    let south = farm.south();
    let surfaces = Surfaces::over(stand, &ahead.daily)?;
    let (low, high) = ROOT_DEPTH_SHARES;
    let measured_roots = stand.input().root_depth_m.is_some();
    let (low, high) = if measured_roots { (1.0, 1.0) } else { (low, high) };
    let (roots_low, roots_high) = (surfaces.tree.with_roots_scaled(low)?, surfaces.tree.with_roots_scaled(high)?);
    let (soil_low, soil_high) = (with_holding(profile, End::Low)?, with_holding(profile, End::High)?);

    let efficiency = block.irrigation_efficiency.map_or(Refill::default().efficiency, |e| (e, e));
    let middle_efficiency = 0.5 * (efficiency.0 + efficiency.1);
    let by_time = |date: Date| block.watered.iter().any(|w| w.date == date && w.time_min.is_some());
    let mut waterings: Vec<Watering> = farm_block
        .waterings()?
        .into_iter()
        .filter(|(date, _)| counts(*date))
        .map(|(date, gross_mm)| {
            // a set that ran by the clock fell at the sprinkler's rate; a depth was put in somehow
            let rate_mm_h = by_time(date).then_some(delivery.landing_mm_h());
            Watering { date, depth_mm: gross_mm * middle_efficiency, rate_mm_h }
        })
        .collect();
    waterings.sort_by_key(|w| w.date);
    let mut readings: Vec<Reading> = block.reading.iter().filter(|r| counts(r.date)).map(reading).collect();
    readings.sort_by_key(|r| r.date);

    let group = HydrologicGroup::of(profile.top().texture());
    let number = curve_number(Cover::WoodsGrass, Condition::Fair, group);
    let slope_pct = block.slope_pct.unwrap_or(0.0);
    let column = |name: &str, crop, profile| {
        let mut column = Column::new(format!("{} {name}", block.name).trim().to_string(), &ahead.daily, crop, profile);
        column.curve_number = Some(number);
        column.start = block.start_wetness.unwrap_or(1.0);
        column.intake_mm_h = ground.intake_mm_h;
        column.slope_pct = slope_pct;
        column.waterings.clone_from(&waterings);
        column
    };
    let mut columns = vec![
        column("", &surfaces.tree, profile),
        column("shallow roots", &roots_low, profile),
        column("deep roots", &roots_high, profile),
        column("low holding", &surfaces.tree, &soil_low),
        column("high holding", &surfaces.tree, &soil_high),
        column("strip", &surfaces.strip, profile),
        column("alley", &surfaces.alley, profile),
    ];
    for tree in columns.iter_mut().take(STRIP) {
        tree.readings.clone_from(&readings);
    }
    let keep = [
        Series::MorningDepletion,
        Series::MorningSd,
        Series::Depletion,
        Series::AvailableWater,
        Series::Transpiration,
        Series::Evaporation,
        Series::Stress,
        Series::Excess,
    ];
    let run_options = RunOptions { record: Record::Chosen(keep.to_vec()), n_threads: Some(1), ..RunOptions::default() };
    let control = Control::new();
    let season = run(&columns, &run_options, &control)?;
    let view = View { season: &season, ahead };

    let yesterday = ahead.today.saturating_sub(1);
    let allowed = stand.allowed_depletion(today, south);
    let refill = Refill { allowed_depletion: allowed, efficiency, ..Refill::default() };
    let share = view.depletion_range();
    let taw_mm = view.taw_mm(LIKELY);
    let depletion_mm = Estimate { value: share.value * taw_mm, low: share.low * taw_mm, high: share.high * taw_mm };
    let days_left = view.days_left_range(allowed, share);
    // the largest event keeps to the shallow end of the roots, so that it does not drain below them
    let usable_mm = depletion_mm.value.min(view.at(Series::MorningDepletion, ROOTS_LOW, ahead.today));
    let net_mm = refill.net_mm(depletion_mm.value).min(usable_mm);
    let net_mm = if net_mm < refill.minimum_mm { 0.0 } else { net_mm };
    let gross_mm = refill.gross_mm(net_mm);
    let root_area_m2 = stand.root_area_m2(today, south);
    let area_m2 = block.ground_m2();
    let excess = view.at(Series::Excess, LIKELY, yesterday);
    let standing = standing(&share, allowed, days_left.as_ref(), excess);
    let landing_mm = net_mm / middle_efficiency * (1.0 - delivery.spray_loss);
    let intake =
        if net_mm > 0.0 { Some(intake_plan(profile, ground.intake_mm_h, slope_pct, share.value, landing_mm, delivery)?) } else { None };

    let so_far = totals_until(&columns, &run_options, ahead, yesterday, &control)?;
    let week = ahead.today..(ahead.today + 7).min(ahead.daily.len());
    let tree = surfaces.tree.series();
    let sum = |f: &dyn Fn(usize) -> f64| week.clone().map(f).sum::<f64>();
    let used = |column: usize, day: usize| view.at(Series::Transpiration, column, day) + view.at(Series::Evaporation, column, day);
    let value = |of: &[f64], day: usize| of.get(day).copied().unwrap_or(f64::NAN);
    let block_week_use_mm = [(LIKELY, 0), (STRIP, 1), (ALLEY, 2)]
        .iter()
        .map(|&(column, surface)| surfaces.shares.get(surface).copied().unwrap_or(0.0) * sum(&|day| used(column, day)))
        .sum();
    let root_depth = value(&tree.root_depth_m, ahead.today);
    let profile_water = |f: &dyn Fn(&Soil) -> f64| -> Result<f64> {
        Ok(profile.pieces(0.0, root_depth)?.iter().map(|(thickness, soil)| thickness * f(soil)).sum::<f64>() / root_depth)
    };

    let mut assumptions = stand.assumptions(today, south);
    assumptions.extend(assumed.iter().map(Assumption::assumed));
    if block.start_wetness.is_none() {
        assumptions.push(Assumption::StartWetness.assumed());
    }
    assumptions.push(Assumption::SubsoilWetness.assumed());
    assumptions.push(Assumption::CurveNumberDefault.with(format!("{number:.0}")));
    assumptions.push(Assumption::RefillFraction.with(refill.refill_fraction));
    if block.irrigation_efficiency.is_none() {
        assumptions.push(Assumption::Efficiency.with(format!("{:.2} to {:.2}", efficiency.0, efficiency.1)));
    }

    Ok(BlockPlan {
        name: block.name.clone(),
        species: stand.species().name().into(),
        planted: stand.input().planted,
        trees: block.trees,
        area_m2,
        root_depth_m: Estimate { value: root_depth, low: low * root_depth, high: high * root_depth },
        root_area_m2,
        available_water_mm: taw_mm,
        depletion_mm,
        depletion: share,
        allowed_depletion: allowed,
        standing,
        days_left,
        assumed_days: HORIZON_DAYS.saturating_sub(ahead.given.saturating_sub(ahead.today)),
        week_use_mm: sum(&|day| value(&tree.kcb, day) * value(ahead.daily.eto_mm(), day) + view.at(Series::Evaporation, LIKELY, day)),
        week_rain_mm: sum(&|day| value(ahead.daily.rain_mm(), day)),
        block_week_use_mm,
        net_mm,
        gross_mm,
        efficiency,
        tree_l: net_mm * root_area_m2,
        block_l: area_m2.map(|a| (gross_mm.0 * a, gross_mm.1 * a)),
        run_min: (60.0 * gross_mm.0 / delivery.rate_mm_h, 60.0 * gross_mm.1 / delivery.rate_mm_h),
        intake,
        so_far,
        notes,
        readings: season.readings().iter().filter(|r| r.column == block.name).map(ToString::to_string).collect(),
        what_if: what_if(&columns, ahead, options, delivery, middle_efficiency, allowed, &view)?,
        wet_feet: stand.species().group().wet_feet.clone(),
        basis: Basis {
            field_capacity: profile_water(&|s| s.field_capacity())?,
            wilting_point: profile_water(&|s| s.wilting_point())?,
            eto_mm: value(ahead.daily.eto_mm(), yesterday),
            kcb: value(&tree.kcb, yesterday),
            p: value(&tree.p, yesterday),
            ks: view.at(Series::Stress, LIKELY, yesterday),
            transpiration_mm: view.at(Series::Transpiration, LIKELY, yesterday),
            evaporation_mm: view.at(Series::Evaporation, LIKELY, yesterday),
            refill_fraction: refill.refill_fraction,
            ledger_sd_mm: view.at(Series::MorningSd, LIKELY, ahead.today),
        },
        assumptions,
    })
}

fn reading(seen: &farm::Reading) -> Reading {
    let what = match (seen.feel, seen.tension_kpa, seen.water_content) {
        (Some(band), _, _) => Seen::Feel(band),
        (_, Some(kpa), _) => Seen::TensionKpa(kpa),
        (_, _, content) => Seen::WaterContent(content.unwrap_or(0.0)), // a checked farm has exactly one
    };
    let half = SAMPLE_HALF_M.min(seen.depth_m);
    Reading { holes: seen.holes, ..Reading::new(seen.date, seen.depth_m - half, seen.depth_m + half, what) }
}

fn standing(share: &Estimate, allowed: f64, days_left: Option<&Estimate>, excess_mm: f64) -> Standing {
    const NOTABLE_EXCESS_MM: f64 = 1.0;
    if share.value >= allowed {
        Standing::Due
    } else if excess_mm > NOTABLE_EXCESS_MM {
        Standing::Wet
    } else if share.high >= allowed || days_left.is_some_and(|d| d.value <= 3.0) {
        Standing::Soon
    } else {
        Standing::Enough
    }
}

/// Sums of the likely column over the days that are over.
fn totals_until(columns: &[Column<'_>], options: &RunOptions, ahead: &Ahead, yesterday: usize, control: &Control) -> Result<Totals> {
    let Some(likely) = columns.first() else { return Ok(Totals::default()) };
    let daily = ahead.daily.between(ahead.daily.first(), ahead.daily.date(yesterday))?;
    let crop = likely.crop.first_days(yesterday + 1)?;
    let past = Column { weather: &daily, crop: &crop, ..likely.clone() };
    let season = run(&[past], &RunOptions { record: Record::Totals, ..options.clone() }, control)?;
    Ok(season.totals().first().cloned().unwrap_or_default())
}

fn what_if(
    columns: &[Column<'_>],
    ahead: &Ahead,
    options: &PlanOptions,
    delivery: &Delivery,
    efficiency: f64,
    allowed: f64,
    plain: &View<'_>,
) -> Result<Option<WhatIf>> {
    if options.rain_mm.is_none() && options.watered_min.is_none() {
        return Ok(None);
    }
    let Some(likely) = columns.first() else { return Ok(None) };
    let today = ahead.daily.date(ahead.today);
    let rain_mm = options.rain_mm.unwrap_or(0.0);
    let foreseen = ahead.daily.rain_mm().get(ahead.today).copied().unwrap_or(0.0);
    let daily = ahead.daily.clone().with_rain(today, options.rain_mm.unwrap_or(foreseen))?;
    let mut column = Column { weather: &daily, ..likely.clone() };
    let watered_min = options.watered_min.unwrap_or(0.0);
    if watered_min > 0.0 {
        let depth_mm = delivery.rate_mm_h * watered_min / 60.0 * efficiency;
        column.waterings.push(Watering { date: today, depth_mm, rate_mm_h: Some(delivery.landing_mm_h()) });
        column.waterings.sort_by_key(|w| w.date);
    }
    let keep = [
        Series::MorningDepletion,
        Series::MorningSd,
        Series::Depletion,
        Series::AvailableWater,
        Series::Rain,
        Series::Irrigation,
        Series::Interception,
        Series::Runoff,
        Series::Drainage,
    ];
    let season = run(
        &[column],
        &RunOptions { record: Record::Chosen(keep.to_vec()), n_threads: Some(1), ..RunOptions::default() },
        &Control::new(),
    )?;
    let view = View { season: &season, ahead };
    let at = |series| view.at(series, LIKELY, ahead.today);
    let lost_mm = at(Series::Runoff) + at(Series::Drainage) + at(Series::Interception);
    let gave_mm = rain_mm + delivery.rate_mm_h * watered_min / 60.0;
    let received_mm = plain.at(Series::Depletion, LIKELY, ahead.today) - at(Series::Depletion);
    Ok(Some(WhatIf {
        rain_mm,
        watered_min,
        received_mm: received_mm.max(0.0),
        lost_mm: lost_mm.min(gave_mm),
        days_left: view.days_left(LIKELY, allowed, 0.0),
    }))
}
