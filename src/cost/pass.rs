//! The cost of one pass.

use crate::bounds;
use crate::error::{Error, Result};
use crate::explain::Step;
use serde::{Deserialize, Serialize};

/// What a pass takes and what that costs.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct PassInput {
    /// Hours with the water on.
    pub run_h: f64,
    /// Fuel in an hour, L (kWh for a motor); see [`crate::hydraulics::fuel_per_hour`].
    pub fuel_per_h: f64,
    /// Price of a liter of fuel, or of a kWh.
    pub fuel_price: f64,
    /// Moves.
    pub moves: u32,
    /// Minutes of a move.
    pub move_min: f64,
    /// People that a move takes.
    pub people: f64,
    /// Hours of watching besides.
    pub watch_h: f64,
    /// Wage of an hour, or what an hour of one's own is worth.
    pub wage_h: f64,
    /// Water drawn, L.
    pub water_l: f64,
    /// Price of a cubic meter of water.
    pub water_price_m3: f64,
    /// Wear of pump, hose and head in an hour of running.
    pub wear_h: f64,
    /// Ground watered, m2.
    pub area_m2: f64,
    /// Trees watered.
    pub trees: f64,
}

/// The cost of a pass.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PassCost {
    /// Fuel or current.
    pub fuel: f64,
    /// Moves and watching.
    pub labor: f64,
    /// Water.
    pub water: f64,
    /// Wear.
    pub wear: f64,
    /// All together.
    pub total: f64,
    /// Hours of people's time.
    pub people_h: f64,
    /// Fuel, L (kWh for a motor).
    pub fuel_l: f64,
    /// Cost of an acre-inch (102.79 m3) of water drawn; absent without water.
    pub per_acre_inch: Option<f64>,
    /// Cost of a cubic meter of water drawn; absent without water.
    pub per_m3: Option<f64>,
    /// Cost of a tree; absent without trees.
    pub per_tree: Option<f64>,
    /// Cost of a hectare; absent without ground.
    pub per_ha: Option<f64>,
    /// How it was reckoned.
    pub steps: Vec<Step>,
}

/// An acre-inch, m3: 43,560 ft2 by 1 in.
const ACRE_INCH_M3: f64 = crate::units::M2_PER_ACRE * 0.0254;

/// What a pass costs.
///
/// # Errors
/// Every value out of range.
///
/// ```
/// use dibble::cost::{PassInput, pass_cost};
/// // 8 sets of an hour with 40-min moves: 0.73 gal of gasoline an hour at 3.50 a gallon, 18 an hour, an acre-inch in all
/// let input = PassInput {
///     run_h: 8.0, fuel_per_h: 0.73, fuel_price: 3.50, moves: 8, move_min: 40.0, people: 1.0, wage_h: 18.0, water_l: 102_790.0, trees: 1240.0,
///     ..PassInput::default()
/// };
/// let cost = pass_cost(&input)?;
/// assert_eq!((format!("{:.2}", cost.fuel), format!("{:.2}", cost.labor), format!("{:.2}", cost.total)), ("20.44".into(), "96.00".into(), "116.44".into()));
/// assert_eq!(format!("{:.2}", cost.per_acre_inch.unwrap_or(0.0)), "116.44");
/// assert_eq!(format!("{:.3}", cost.per_tree.unwrap_or(0.0)), "0.094");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn pass_cost(input: &PassInput) -> Result<PassCost> {
    check(input)?;
    let i = input;
    let fuel_l = i.run_h * i.fuel_per_h;
    let people_h = f64::from(i.moves) * i.move_min / 60.0 * i.people + i.watch_h;
    let (fuel, labor, water, wear) =
        (fuel_l * i.fuel_price, people_h * i.wage_h, i.water_l / 1000.0 * i.water_price_m3, i.run_h * i.wear_h);
    let total = fuel + labor + water + wear;
    let per = |of: f64| if of > 0.0 { Some(total / of) } else { None };
    let own = "arithmetic";
    let steps = vec![
        Step::new("fuel", "hours x fuel an hour x price", fuel, "", own)
            .from("hours", i.run_h, "h")
            .from("fuel an hour", i.fuel_per_h, "")
            .from("price", i.fuel_price, ""),
        Step::new("labor", "(moves x minutes x people / 60 + watching) x wage", labor, "", own)
            .from("moves", f64::from(i.moves), "")
            .from("minutes", i.move_min, "min")
            .from("people", i.people, "")
            .from("watching", i.watch_h, "h")
            .from("wage", i.wage_h, ""),
        Step::new("water", "volume x price", water, "", own).from("volume", i.water_l / 1000.0, "m3").from("price", i.water_price_m3, ""),
        Step::new("wear", "hours x wear an hour", wear, "", own).from("hours", i.run_h, "h").from("wear an hour", i.wear_h, ""),
    ];
    Ok(PassCost {
        fuel,
        labor,
        water,
        wear,
        total,
        people_h,
        fuel_l,
        per_acre_inch: per(i.water_l / 1000.0 / ACRE_INCH_M3),
        per_m3: per(i.water_l / 1000.0),
        per_tree: per(i.trees),
        per_ha: per(i.area_m2 / 1e4),
        steps,
    })
}

fn check(i: &PassInput) -> Result<()> {
    let checks = [
        bounds::DURATION_H.named("run_h").check(i.run_h),
        bounds::FUEL_PER_H.check(i.fuel_per_h),
        bounds::PRICE.named("fuel_price").check(i.fuel_price),
        bounds::MOVES.check(f64::from(i.moves)),
        bounds::MINUTES_MIN.named("move_min").check(i.move_min),
        bounds::PEOPLE.check(i.people),
        bounds::DURATION_H.named("watch_h").check(i.watch_h),
        bounds::PRICE.named("wage_h").check(i.wage_h),
        bounds::VOLUME_L.named("water_l").check(i.water_l),
        bounds::PRICE.named("water_price_m3").check(i.water_price_m3),
        bounds::PRICE.named("wear_h").check(i.wear_h),
        bounds::TREES.check(i.trees),
    ];
    let area = if i.area_m2 == 0.0 { None } else { bounds::AREA_M2.check(i.area_m2).err() };
    Error::several(checks.into_iter().filter_map(Result::err).chain(area).collect()).map_or(Ok(()), Err)
}
