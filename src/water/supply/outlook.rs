//! The supply day by day: what evaporates, seeps, falls and flows in, and is drawn, until it is out or the days are over.

use super::{Pond, Range, Tank, Well};
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

const DAY_MIN: f64 = 1440.0;

/// Where the water comes from. The well is drawn first, because it fills again; then the tank, then the pond.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct WaterSupply {
    /// Pond.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pond: Option<Pond>,
    /// Well.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub well: Option<Well>,
    /// Tank beside the pump.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tank: Option<Tank>,
}

/// A day's weather over the pond.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SupplyDay {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Reference evapotranspiration, mm.
    pub eto_mm: f64,
    /// Rain, mm.
    pub rain_mm: f64,
}

/// A pass: once over all blocks that are due together.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Pass {
    /// Water that it takes, L: low and high end.
    pub volume_l: Range,
    /// Days that it is spread over, from 1.
    pub over_days: u32,
    /// Days from the begin of one to the begin of the next.
    pub every_days: u32,
    /// Day of the first, counted from 0.
    pub first_day: u32,
}

/// The supply at one end of what is not known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SupplyEnd {
    /// Passes that can be finished within the days.
    pub passes: u32,
    /// First day on which a pass cannot have its water; absent if there is none within the days.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub out_on: Option<Date>,
    /// Depth of the pond in the evening of each day, m; empty without one.
    pub level_m: Vec<f64>,
    /// Evaporated and seeped from the pond within the days, L.
    pub lost_l: f64,
    /// Come in by rain, springs and the well's and tank's filling, L.
    pub gained_l: f64,
    /// Drawn, L.
    pub drawn_l: f64,
    /// Run over the rim of the pond, L.
    pub spilled_l: f64,
}

/// How long the water lasts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SupplyOutlook {
    /// Water that can be drawn today, L: low and high end by the well's rate.
    pub usable_l: Range,
    /// Days looked at.
    pub days: u32,
    /// The pass.
    pub pass: Pass,
    /// Much is lost, little comes in, passes take much.
    pub dry: SupplyEnd,
    /// The middle of every range.
    pub likely: SupplyEnd,
    /// Little is lost, much comes in, passes take little.
    pub wet: SupplyEnd,
}

/// What stands at one end of the ranges.
struct End {
    evaporation: f64,
    seepage_mm: f64,
    inflow_l: f64,
    well_l: f64,
    pass_l: f64,
}

impl WaterSupply {
    /// Is there any water, and every number in range?
    ///
    /// # Errors
    /// No source; a value out of range.
    pub fn check(&self) -> Result<()> {
        if self.pond.is_none() && self.well.is_none() && self.tank.is_none() {
            return Err(Error::missing("a source of water", "Give a pond, a well or a tank."));
        }
        self.well.map_or(Ok(()), |w| w.check().map_err(|e| e.at("well")))?;
        self.tank.map_or(Ok(()), |t| t.check().map_err(|e| e.at("tank")))
    }

    /// Water that can be drawn today, L.
    pub fn usable_l(&self) -> Range {
        let fixed = self.pond.as_ref().map_or(0.0, Pond::usable_l) + self.tank.map_or(0.0, |t| t.now_l.unwrap_or(t.volume_l));
        let well = self.well.map_or(Range::exactly(0.0), |w| w.day_l());
        Range::new(fixed + well.low, fixed + well.high)
    }

    /// Days from the first on, with a pass again and again.
    ///
    /// # Errors
    /// No source; values out of range; days out of order; a pass of no days.
    pub fn outlook(&self, days: &[SupplyDay], pass: Pass) -> Result<SupplyOutlook> {
        self.check()?;
        pass.volume_l.check(&bounds::VOLUME_L.named("volume_l"))?;
        if pass.over_days == 0 || pass.every_days < pass.over_days {
            let what = format!("a pass is spread over {} days and comes every {} days", pass.over_days, pass.every_days);
            return Err(Error::inconsistent(what, "Give at least 1 day, and no more days for a pass than from one to the next."));
        }
        for (day, before) in days.iter().zip(std::iter::once(None).chain(days.iter().map(Some))) {
            bounds::ETO_MM.check(day.eto_mm)?;
            bounds::RAIN_MM.check(day.rain_mm)?;
            if let Some(before) = before.filter(|b| day.date - b.date != 1) {
                let what = format!("{} follows on {}", day.date, before.date);
                return Err(Error::inconsistent(what, "Give every day once, in order."));
            }
        }
        let zero = Range::exactly(0.0);
        let pond = |f: fn(&Pond) -> Range| self.pond.as_ref().map_or(zero, f);
        let (evaporation, seepage, inflow) = (pond(Pond::evaporation), pond(Pond::seepage_mm_day), pond(Pond::inflow_l_min));
        let well = self.well.map_or(zero, |w| w.day_l());
        let end = |lost: fn(Range) -> f64, come: fn(Range) -> f64| End {
            evaporation: lost(evaporation),
            seepage_mm: lost(seepage),
            inflow_l: come(inflow) * DAY_MIN,
            well_l: come(well),
            pass_l: lost(pass.volume_l),
        };
        Ok(SupplyOutlook {
            usable_l: self.usable_l(),
            days: u32::try_from(days.len()).unwrap_or(u32::MAX),
            pass,
            dry: self.run(days, pass, &end(|r| r.high, |r| r.low)),
            likely: self.run(days, pass, &end(Range::middle, Range::middle)),
            wet: self.run(days, pass, &end(|r| r.low, |r| r.high)),
        })
    }

    fn run(&self, days: &[SupplyDay], pass: Pass, end: &End) -> SupplyEnd {
        let mut out = SupplyEnd { passes: 0, out_on: None, level_m: Vec::new(), lost_l: 0.0, gained_l: 0.0, drawn_l: 0.0, spilled_l: 0.0 };
        let lowest_l = self.pond.as_ref().map_or(0.0, |p| p.raw_volume_l(p.lowest_m()));
        let rim_l = self.pond.as_ref().map_or(0.0, |p| p.raw_volume_l(p.full_m()));
        let mut pond_l = self.pond.as_ref().map_or(0.0, |p| p.raw_volume_l(p.level_m()));
        let mut tank_l = self.tank.map_or(0.0, |t| t.now_l.unwrap_or(t.volume_l));
        for (number, day) in (0_u32..).zip(days) {
            if let Some(pond) = &self.pond {
                let area_m2 = pond.raw_area_m2(pond.raw_level_m(pond_l));
                let lost_l = ((end.evaporation * day.eto_mm + end.seepage_mm) * area_m2).min(pond_l);
                let come_l = day.rain_mm * area_m2 + end.inflow_l;
                pond_l += come_l - lost_l;
                let over_l = (pond_l - rim_l).max(0.0);
                pond_l -= over_l;
                out.lost_l += lost_l;
                out.gained_l += come_l;
                out.spilled_l += over_l;
            }
            if let Some(tank) = self.tank.filter(|_| number > 0) {
                let filled_l = tank.filled_l(tank_l);
                out.gained_l += filled_l - tank_l;
                tank_l = filled_l;
            }
            let turn = number.checked_sub(pass.first_day).map(|n| n % pass.every_days);
            if let Some(turn) = turn.filter(|t| *t < pass.over_days && out.out_on.is_none()) {
                let mut wanted_l = end.pass_l / f64::from(pass.over_days);
                let from_well = wanted_l.min(end.well_l);
                wanted_l -= from_well;
                let from_tank = wanted_l.min(tank_l);
                wanted_l -= from_tank;
                let from_pond = wanted_l.min((pond_l - lowest_l).max(0.0));
                wanted_l -= from_pond;
                tank_l -= from_tank;
                pond_l -= from_pond;
                out.gained_l += from_well;
                out.drawn_l += from_well + from_tank + from_pond;
                // round-off of a pond drawn to its last liter is no shortage
                if wanted_l > 1e-9 * end.pass_l {
                    out.out_on = Some(day.date);
                } else if turn + 1 == pass.over_days {
                    out.passes += 1;
                }
            }
            if let Some(pond) = &self.pond {
                out.level_m.push(pond.raw_level_m(pond_l));
            }
        }
        out
    }
}
