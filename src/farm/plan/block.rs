//! One block's plan.

use super::ahead::{Ahead, HORIZON_DAYS};
use super::columns::{Log, Variants, likely_column, own_weather, root_shares};
use super::coming::{Coming, Rules, Serving};
use super::delivery::{Delivery, Surface, intake_plan};
use super::sets::{Asked, TreesSoFar, sets_plan};
use super::view::{ALLEY, LIKELY, ROOTS_LOW, STRIP, View};
use super::what_if::what_if;
use super::{Basis, BlockPlan, Estimate, PlanOptions, Section, Standing};
use crate::assumption::Assumption;
use crate::control::Control;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::farm::{Farm, FarmBlock};
use crate::soil::Soil;
use crate::water::{Column, Record, Refill, RunOptions, Series, Totals, run, trees};
use crate::weather::Weather;

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
    let south = farm.south();
    let own = own_weather(farm_block, farm, weather, station, today, options)?;
    let ahead = own.as_ref().unwrap_or(station);
    let efficiency = block.irrigation_efficiency.map_or(Refill::default().efficiency, |e| (e, e));
    let middle_efficiency = 0.5 * (efficiency.0 + efficiency.1);
    let log = Log::of(farm_block, ahead.daily.first(), today, middle_efficiency, delivery)?;
    let variants = Variants::of(farm_block, &ahead.daily)?;
    let columns = variants.columns(&ahead.daily, &log);
    let likely = columns.first().ok_or_else(|| Error::internal("a block's plan", "it has no column"))?;
    let keep = [
        Series::Irrigation,
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
    let control = options.control.quiet();
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
    let rules = Rules { refill: &refill, run: &run_options, log: &log, control: &control };
    let without_rain = Coming::without_rain(&variants, ahead, &rules, false)?;
    let mulched = block.mulch_cover.is_none_or(|m| m < WORTH_MULCHING).then(|| Coming::without_rain(&variants, ahead, &rules, true));
    let serving = Serving::of(&without_rain, farm_block, middle_efficiency, delivery, mulched.transpose()?.as_ref())?;
    let with_rain = Coming::of(&view, &refill, share);
    let standing = standing(&share, allowed, days_left.as_ref(), excess);
    let landing_mm = net_mm / middle_efficiency * (1.0 - delivery.spray_loss);
    let intake = if net_mm > 0.0 {
        Some(intake_plan(profile, ground.intake_mm_h, block.slope_pct.unwrap_or(0.0), share.value, landing_mm, delivery)?)
    } else {
        None
    };

    let sets = if net_mm > 0.0 && options.with.contains(&Section::Sets) {
        sets_plan(&Asked {
            farm,
            block: farm_block,
            target_mm: net_mm,
            hold_mm: usable_mm,
            root_area_m2,
            surface: Surface::of(profile, ground.intake_mm_h, block.slope_pct.unwrap_or(0.0), share.value)?,
            control: &options.control,
        })?
    } else {
        None
    };

    let trees_so_far = trees_so_far(farm_block, &variants, ahead, &log, &control)?;
    let so_far = totals_until(likely, &run_options, ahead, yesterday, &control)?;
    let week = ahead.today..(ahead.today + 7).min(ahead.daily.len());
    let tree = variants.surfaces.tree.series();
    let sum = |f: &dyn Fn(usize) -> f64| week.clone().map(f).sum::<f64>();
    let used = |column: usize, day: usize| view.at(Series::Transpiration, column, day) + view.at(Series::Evaporation, column, day);
    let value = |of: &[f64], day: usize| of.get(day).copied().unwrap_or(f64::NAN);
    let block_week_use_mm = [(LIKELY, 0), (STRIP, 1), (ALLEY, 2)]
        .iter()
        .map(|&(column, surface)| variants.surfaces.shares.get(surface).copied().unwrap_or(0.0) * sum(&|day| used(column, day)))
        .sum();
    let (low, high) = root_shares(farm_block);
    let root_depth = value(&tree.root_depth_m, ahead.today);
    let profile_water = |f: &dyn Fn(&Soil) -> f64| -> Result<f64> {
        Ok(profile.pieces(0.0, root_depth)?.iter().map(|(thickness, soil)| thickness * f(soil)).sum::<f64>() / root_depth)
    };

    let basis = Basis {
        field_capacity: profile_water(&|s| s.field_capacity())?,
        wilting_point: profile_water(&|s| s.wilting_point())?,
        eto_mm: value(ahead.daily.eto_mm(), yesterday),
        kcb: value(&tree.kcb, yesterday),
        p: value(&tree.p, yesterday),
        ks: view.at(Series::Stress, LIKELY, yesterday),
        transpiration_mm: view.at(Series::Transpiration, LIKELY, yesterday),
        evaporation_mm: view.at(Series::Evaporation, LIKELY, yesterday),
        refill_fraction: refill.refill_fraction,
        event_cap_mm: refill.event_cap_mm,
        usable_mm,
        ledger_sd_mm: view.at(Series::MorningSd, LIKELY, ahead.today),
    };

    let mut assumptions = stand.assumptions(today, south);
    assumptions.extend(assumed.iter().map(Assumption::assumed));
    if block.start_wetness.is_none() {
        assumptions.push(Assumption::StartWetness.assumed());
    }
    assumptions.push(Assumption::SubsoilWetness.assumed());
    assumptions.push(Assumption::CurveNumberDefault.with(format!("{:.0}", variants.curve_number)));
    assumptions.push(Assumption::RefillFraction.with(refill.refill_fraction));
    if basis.is_capped(net_mm) {
        assumptions.push(Assumption::EventCap.assumed());
    }
    if block.irrigation_efficiency.is_none() {
        assumptions.push(Assumption::Efficiency.with(format!("{:.2} to {:.2}", efficiency.0, efficiency.1)));
    }

    if let Some(trees) = farm_block.tree_count().filter(|_| block.trees.is_none()) {
        assumptions.push(Assumption::TreesLaidOut.with(trees));
    }
    assumptions.extend(sets.iter().flat_map(|s| s.assumptions.clone()));

    Ok(BlockPlan {
        name: block.name.clone(),
        species: stand.species().name().into(),
        planted: stand.input().planted,
        trees: farm_block.tree_count(),
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
        notes: log.notes,
        readings: season.readings().iter().filter(|r| r.column == block.name).cloned().collect(),
        what_if: what_if(likely, ahead, options, delivery, middle_efficiency, allowed, &view)?,
        wet_feet: stand.species().group().wet_feet.clone(),
        basis,
        assumptions,
        feeding: None,
        without_rain,
        with_rain,
        serving,
        sets,
        trees_so_far,
    })
}

/// A strip that is covered more than this gains little by more mulch.
const WORTH_MULCHING: f64 = 0.9;

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

/// Each tree's ledger up to yesterday, where logged sets gave the trees different depths.
fn trees_so_far(of: &FarmBlock<'_>, variants: &Variants<'_>, ahead: &Ahead, log: &Log, control: &Control) -> Result<Option<TreesSoFar>> {
    let Some(map) = of.map.filter(|_| !log.uneven.is_empty() && ahead.today > 0) else { return Ok(None) };
    let days = (ahead.today + 1).min(ahead.daily.len());
    let daily = ahead.daily.between(ahead.daily.first(), ahead.daily.date(days - 1))?;
    let crop = variants.surfaces.tree.first_days(days)?;
    let column = Column { waterings: log.even.clone(), ..likely_column(of, &daily, &crop, log) };
    let ledgers = trees(&column, &log.uneven, ahead.daily.date(ahead.today - 1), control)?;
    Ok(Some(TreesSoFar { ledgers, places: map.trees.clone() }))
}

/// Sums of the likely column over the days that are over.
fn totals_until(likely: &Column<'_>, options: &RunOptions, ahead: &Ahead, yesterday: usize, control: &Control) -> Result<Totals> {
    let daily = ahead.daily.between(ahead.daily.first(), ahead.daily.date(yesterday))?;
    let crop = likely.crop.first_days(yesterday + 1)?;
    let past = Column { weather: &daily, crop: &crop, ..likely.clone() };
    let season = run(&[past], &RunOptions { record: Record::Totals, ..options.clone() }, control)?;
    Ok(season.totals().first().cloned().unwrap_or_default())
}
