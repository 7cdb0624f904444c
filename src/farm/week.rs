//! `[labor]` and `[prices]`: what an hour, a liter and a tree are worth; and the farm's windows and water, put together.

use super::Farm;
use crate::bounds;
use crate::error::{Error, Result};
use crate::hydraulics::Engine;
use crate::schedule::{Use, Windows};
use crate::units::L_PER_GAL;
use crate::water::supply::{PermitLimit, Pond, WaterSupply};
use serde::{Deserialize, Serialize};

/// `[labor]`: people and their time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Labor {
    /// Wage of an hour, or what an hour of one's own is worth.
    pub wage_h: f64,
    /// People that a move takes; 1 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub people: Option<f64>,
    /// Share of the running time that somebody watches, 0 to 1; none if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub watching: Option<f64>,
}

impl Labor {
    /// In range?
    ///
    /// # Errors
    /// Every value out of range.
    pub fn check(&self) -> Result<()> {
        let checks = [
            bounds::PRICE.named("wage_h").check_option(Some(self.wage_h)).err(),
            bounds::PEOPLE.check_option(self.people).err(),
            bounds::FRACTION.named("watching").check_option(self.watching).err(),
        ];
        Error::several(checks.into_iter().flatten().collect()).map_or(Ok(()), Err)
    }
}

/// `[prices]`: in the farm's own money.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Prices {
    /// A liter of fuel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fuel_per_l: Option<f64>,
    /// A US gallon of fuel, in place of the liter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fuel_per_gal: Option<f64>,
    /// A kWh of current.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub current_per_kwh: Option<f64>,
    /// Fuel that the pump's engine burns, L/h, where it is known better than from its power.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fuel_use_l_h: Option<f64>,
    /// The same for a pump with a motor: what it draws, kW.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub current_use_kw: Option<f64>,
    /// A cubic meter of water.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_per_m3: Option<f64>,
    /// Wear of pump, hose and head in an hour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wear_per_h: Option<f64>,
    /// A tree at its sale, selling cost taken off; a block's own price goes before it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tree: Option<f64>,
    /// Stock and planting of a replacement.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub replant: Option<f64>,
    /// Interest, a share a year; 0.06 if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interest: Option<f64>,
}

impl Prices {
    /// In range, and nothing said twice?
    ///
    /// # Errors
    /// Every value out of range; fuel by the liter and by the gallon; fuel and current mixed.
    pub fn check(&self) -> Result<()> {
        let price = |name, value| bounds::PRICE.named(name).check_option(value).err();
        let mut problems: Vec<Error> = [
            price("fuel_per_l", self.fuel_per_l),
            price("fuel_per_gal", self.fuel_per_gal),
            price("current_per_kwh", self.current_per_kwh),
            price("water_per_m3", self.water_per_m3),
            price("wear_per_h", self.wear_per_h),
            price("tree", self.tree),
            price("replant", self.replant),
            bounds::FUEL_PER_H.named("fuel_use_l_h").check_option(self.fuel_use_l_h).err(),
            bounds::POWER_KW.named("current_use_kw").check_option(self.current_use_kw).err(),
            bounds::INTEREST.check_option(self.interest).err(),
        ]
        .into_iter()
        .flatten()
        .collect();
        let given = [self.fuel_per_l, self.fuel_per_gal, self.current_per_kwh].iter().flatten().count();
        if given > 1 {
            problems.push(Error::inconsistent("fuel has more than one price", "Keep one of fuel_per_l, fuel_per_gal and current_per_kwh."));
        }
        let fuel = self.fuel_per_l.or(self.fuel_per_gal).or(self.fuel_use_l_h);
        let current = self.current_per_kwh.or(self.current_use_kw);
        if given <= 1 && fuel.is_some() && current.is_some() {
            let hint = "One thing drives the pump: keep fuel_per_gal (or fuel_per_l) with fuel_use, or current_per_kwh with current_use.";
            problems.push(Error::inconsistent("the prices name fuel and current", hint));
        }
        Error::several(problems).map_or(Ok(()), Err)
    }

    /// The contradiction between these prices and what turns the pump.
    pub(super) fn against(&self, engine: Engine) -> Option<Error> {
        let (motor, fuel) = (engine == Engine::Electric, self.fuel_per_l.or(self.fuel_per_gal).or(self.fuel_use_l_h));
        let wrong = if motor { fuel.is_some() } else { self.current_per_kwh.or(self.current_use_kw).is_some() };
        let named = if motor { "current_per_kwh and current_use" } else { "fuel_per_gal (or fuel_per_l) and fuel_use" };
        let what = format!("engine is \"{engine}\", and the prices are those of {}", if motor { "fuel" } else { "current" });
        wrong.then(|| Error::inconsistent(what, format!("Keep {named}, or name another engine in [pump].")))
    }

    /// What drives the pump in an hour where it is given: L of fuel, or kWh.
    pub fn used_per_h(&self) -> Option<f64> {
        self.fuel_use_l_h.or(self.current_use_kw)
    }

    /// Price of what drives the pump: of a liter, or of a kWh.
    pub fn fuel_price(&self) -> Option<f64> {
        self.fuel_per_l.or(self.fuel_per_gal.map(|p| p / L_PER_GAL)).or(self.current_per_kwh)
    }
}

impl Farm {
    /// Working windows; `None` where none is always open.
    pub fn windows(&self) -> Option<Windows> {
        let windows = Windows::new(self.input().window.clone());
        windows.windows.iter().any(|w| w.when == Use::Always).then_some(windows)
    }

    /// Pond and well; `None` without either.
    ///
    /// # Errors
    /// None for a checked farm.
    pub fn supply(&self) -> Result<Option<WaterSupply>> {
        let input = self.input();
        let pond = input.pond.clone().map(Pond::new).transpose()?;
        let supply = WaterSupply { pond, well: input.well, tank: None };
        Ok((supply.pond.is_some() || supply.well.is_some()).then_some(supply))
    }
}

/// Problems of windows, pond, well, permit, labor and prices, each with the table that it is in.
pub(super) fn problems(input: &super::FarmInput) -> Vec<(String, Error)> {
    let mut found: Vec<(String, Error)> =
        input.window.iter().zip(1..).filter_map(|(w, n)| Some((format!("window {n}"), w.check().err()?))).collect();
    let mut note = |place: &str, error: Option<Error>| found.extend(error.map(|e| (place.to_string(), e)));
    note("pond", input.pond.clone().and_then(|p| Pond::new(p).err()));
    note("well", input.well.and_then(|w| w.check().err()));
    note("permit", input.permit.and_then(|p| check_permit(&p).err()));
    note("labor", input.labor.and_then(|l| l.check().err()));
    note("prices", input.prices.and_then(|p| p.check().err()));
    found
}

/// In range?
pub(super) fn check_permit(limit: &PermitLimit) -> Result<()> {
    let check = |name, value| bounds::VOLUME_L.named(name).check_option(value).err();
    let found = [check("day_l", limit.day_l), check("month_l", limit.month_l), check("mean_30_day_l", limit.mean_30_day_l)];
    Error::several(found.into_iter().flatten().collect()).map_or(Ok(()), Err)
}
