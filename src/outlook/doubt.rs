//! What is not known for sure: each input with its range, how the farm and its weather look at either end, and what settles it.

use crate::date::Date;
use crate::error::{Error, Result};
use crate::farm::Farm;
use crate::stand::ROOT_DEPTH_SHARES;
use crate::water::Refill;
use crate::weather::{DayColumns, Quantity, Weather};
use crate::words::words;
use serde::{Deserialize, Serialize};

words! {
    /// An input that is never quite known.
    pub enum Input: "input" {
        /// Water that the soil holds.
        SoilHolding = "soil_holding",
        /// How deep the roots are.
        RootDepth = "root_depth",
        /// Rain of the days that are over.
        RainGauge = "rain_gauge",
        /// Wind that dries.
        Wind = "wind",
        /// Rate of the sprinkler over the ground: its profile and how sets overlap.
        Profile = "profile",
        /// Pressure at the nozzle.
        NozzlePressure = "nozzle_pressure",
        /// Share of the pumped water that arrives.
        Efficiency = "efficiency",
        /// Heat and rain of the days that are foreseen.
        Forecast = "forecast",
    }
}

/// Low and high end of an input: factors on it, or what the words say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Range {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// What the ends are.
    pub words: String,
    /// Where they come from.
    pub source: String,
}

/// Which end of the range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    Low,
    High,
}

const OURS: &str = "our judgment";
/// Hotter or cooler than foreseen, degrees Celsius.
const FORECAST_C: f64 = 2.0;
/// Wind where none was measured is taken as 2 m/s (FAO-56 p. 63); it may be half or half as much again.
const UNMEASURED_WIND_M_S: (f64, f64) = (1.0, 3.0);

impl Input {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Input::SoilHolding => "water that the soil holds",
            Input::RootDepth => "root depth",
            Input::RainGauge => "rain that fell here",
            Input::Wind => "wind at the trees",
            Input::Profile => "rate of the sprinkler over its sets",
            Input::NozzlePressure => "pressure at the nozzle",
            Input::Efficiency => "share of the pumped water that arrives",
            Input::Forecast => "the forecast",
        }
    }

    /// How to find out.
    pub fn measure(self) -> &'static str {
        match self {
            Input::SoilHolding => {
                "Take a sample of each layer to a lab for its water at field capacity and wilting point, or weigh and dry soil two days after a soaking rain"
            }
            Input::RootDepth => "Dig beside five trees and measure how deep the fine roots go",
            Input::RainGauge => "Hang a rain gauge in the block, away from trees, and read it each morning that it rained",
            Input::Wind => "Measure the wind at the block for a week and compare it with the station",
            Input::Profile => "Put out catch cans between the sets of one pass, and give the rate they show",
            Input::NozzlePressure => "Read a gauge at the nozzle while it runs",
            Input::Efficiency => "Weigh what catch cans hold against what the pump put out, and dig where the water went",
            Input::Forecast => "Nothing to measure: make the plan anew each morning",
        }
    }

    /// Share of the range that is left after measuring (our judgment).
    pub fn left(self) -> f64 {
        match self {
            Input::SoilHolding => 0.4,
            Input::RootDepth => 0.25,
            Input::RainGauge => 0.2,
            Input::Wind => 0.4,
            Input::Profile => 0.25,
            Input::NozzlePressure => 0.2,
            Input::Efficiency => 0.5,
            Input::Forecast => 1.0,
        }
    }

    /// The range of this input on this farm; `None` where it was measured or plays no part.
    pub(super) fn range(self, farm: &Farm, weather: &Weather, today: Date) -> Option<Range> {
        let blocks = farm.blocks();
        let range = |low, high, words: &str, source: &str| Some(Range { low, high, words: words.into(), source: source.into() });
        match self {
            Input::SoilHolding => {
                let unsure = |b: &crate::farm::FarmBlock<'_>| {
                    b.profile.layers().any(|layer| {
                        let range = layer.soil.available_range();
                        range.low < range.high
                    })
                };
                let words = "low and high end of what is published for its texture";
                if blocks.iter().any(unsure) { range(0.0, 1.0, words, "FAO-56 Table 19 and NRCS Program Aid 1619") } else { None }
            }
            Input::RootDepth => {
                let (low, high) = ROOT_DEPTH_SHARES;
                let unsure = blocks.iter().any(|b| b.block.root_depth_m.is_none());
                let words = format!("{:.0} to {:.0} % of what their age says", 100.0 * low, 100.0 * high);
                if unsure { range(low, high, &words, "common practice") } else { None }
            }
            Input::RainGauge => {
                let own = blocks.iter().filter(|b| !b.block.rain.is_empty()).count();
                match own == blocks.len() {
                    true => range(0.95, 1.05, "5 % less to 5 % more than the gauges of the blocks", OURS),
                    false => range(0.75, 1.25, "a quarter less to a quarter more than the records", OURS),
                }
            }
            Input::Wind if weather.columns().get(Quantity::Wind).is_empty() => {
                range(UNMEASURED_WIND_M_S.0, UNMEASURED_WIND_M_S.1, "1 to 3 m/s, because none was measured", OURS)
            }
            Input::Wind => range(0.7, 1.3, "30 % less to 30 % more than at the station", OURS),
            Input::Profile => match farm.sprinkler() {
                Some(sprinkler) if sprinkler.can.is_empty() => range(0.8, 1.2, "a fifth less to a fifth more", OURS),
                Some(_) => range(0.95, 1.05, "5 % less to 5 % more than the cans say", OURS),
                None => range(0.7, 1.3, "30 % less to 30 % more than is usual", OURS),
            },
            Input::NozzlePressure => range(0.85, 1.15, "15 % less to 15 % more", OURS),
            Input::Efficiency => {
                let (low, high) = Refill::default().efficiency;
                let given = blocks.iter().all(|b| b.block.irrigation_efficiency.is_some());
                let words = if given { "a tenth less to a tenth more than is given" } else { "both ends of what is usual" };
                if given { range(0.9, 1.1, words, OURS) } else { range(low, high, words, "common practice") }
            }
            Input::Forecast => {
                weather.columns().forecast.iter().zip(&weather.columns().dates).find(|(f, date)| **f && **date >= today)?;
                range(-1.0, 1.0, "2 degrees cooler with half as much rain again, to 2 degrees hotter without rain", OURS)
            }
        }
    }

    /// Farm and weather with this input at one end of `range`, everything else as it is.
    pub(super) fn at(self, end: End, range: &Range, farm: &Farm, weather: &Weather, today: Date) -> Result<(Farm, Weather)> {
        let value = if end == End::Low { range.low } else { range.high };
        let same = || weather.clone();
        let with = |change: &dyn Fn(&mut crate::farm::FarmInput)| -> Result<Farm> {
            let mut input = farm.input().clone();
            change(&mut input);
            Farm::new(input)
        };
        match self {
            Input::SoilHolding => Ok((farm.with_holding(end == End::Low)?, same())),
            Input::RootDepth => {
                let depths: Vec<Option<f64>> = farm
                    .blocks()
                    .iter()
                    .map(|b| b.block.root_depth_m.or(Some(value * b.stand.root_depth_m(today, farm.south()))))
                    .collect();
                let farm = with(&|input| input.block.iter_mut().zip(&depths).for_each(|(block, depth)| block.root_depth_m = *depth))?;
                Ok((farm, same()))
            }
            Input::RainGauge => {
                let farm = with(&|input| {
                    let rain = input.block.iter_mut().flat_map(|b| b.rain.iter_mut());
                    // a gauge of the block itself is nearer the truth than a station
                    let near = if range.high > 1.1 { 1.0 + 0.2 * (value - 1.0) } else { value };
                    rain.for_each(|r| r.depth_mm *= near);
                })?;
                Ok((farm, changed(weather, |columns, past| scale(&mut columns.rain_mm, past, true, value), today)?))
            }
            Input::Wind => {
                let unmeasured = weather.columns().get(Quantity::Wind).is_empty();
                let change = |columns: &mut DayColumns, past: &[bool]| {
                    if unmeasured {
                        columns.wind_m_s = vec![value; past.len()];
                        columns.wind_height_m = Some(2.0);
                    } else {
                        columns.wind_m_s.iter_mut().for_each(|wind| *wind *= value);
                    }
                };
                Ok((farm.clone(), changed(weather, change, today)?))
            }
            Input::Profile => Ok((with_rate(farm, value)?, same())),
            Input::NozzlePressure => {
                // an orifice gives the square root of its pressure
                let flow = value.sqrt();
                let rate = farm.sprinkler().is_none_or(|s| s.rate_mm_h.is_some());
                let farm = if rate { with_rate(farm, flow)? } else { farm.clone() };
                let mut input = farm.input().clone();
                if let Some(sprinkler) = &mut input.sprinkler {
                    sprinkler.pressure_kpa.iter_mut().for_each(|kpa| *kpa *= value);
                    sprinkler.flow_l_min.iter_mut().for_each(|l| *l *= flow);
                }
                if let Some(pump) = &mut input.pump {
                    pump.rated_head_m.iter_mut().chain(&mut pump.shutoff_head_m).for_each(|head| *head *= value);
                    pump.curve.iter_mut().for_each(|point| point.head_m *= value);
                }
                Ok((Farm::new(input)?, same()))
            }
            Input::Efficiency => {
                let given = farm.blocks().iter().all(|b| b.block.irrigation_efficiency.is_some());
                let farm = with(&|input| {
                    for block in &mut input.block {
                        let new = if given {
                            block.irrigation_efficiency.map(|e| (e * value).min(1.0))
                        } else {
                            block.irrigation_efficiency.or(Some(value))
                        };
                        block.irrigation_efficiency = new;
                    }
                })?;
                Ok((farm, same()))
            }
            Input::Forecast => {
                let wet = if end == End::Low { 1.5 } else { 0.0 };
                let change = |columns: &mut DayColumns, past: &[bool]| {
                    scale(&mut columns.rain_mm, past, false, wet);
                    for temperatures in [&mut columns.tmin_c, &mut columns.tmax_c] {
                        let ahead = temperatures.iter_mut().zip(past).filter(|(_, past)| !**past);
                        ahead.for_each(|(t, _)| *t += FORECAST_C * value);
                    }
                };
                Ok((farm.clone(), changed(weather, change, today)?))
            }
        }
    }
}

/// Multiplies the days that are over, or those ahead.
fn scale(values: &mut [f64], past: &[bool], over: bool, factor: f64) {
    values.iter_mut().zip(past).filter(|(_, past)| **past == over).for_each(|(value, _)| *value *= factor);
}

/// The records with their columns changed; the change is told which days are over.
fn changed(weather: &Weather, change: impl Fn(&mut DayColumns, &[bool]), today: Date) -> Result<Weather> {
    let mut columns = weather.columns().clone();
    let past: Vec<bool> = columns.dates.iter().map(|date| *date < today).collect();
    change(&mut columns, &past);
    Weather::from_columns(columns)
}

/// The farm with its sprinkler's rate, given or worked out, multiplied.
fn with_rate(farm: &Farm, factor: f64) -> Result<Farm> {
    let mut input = farm.input().clone();
    let rate_mm_h = farm.usual_rate_mm_h() * factor;
    match &mut input.sprinkler {
        Some(sprinkler) => {
            sprinkler.rate_mm_h = Some(rate_mm_h);
            sprinkler.flow_l_min.iter_mut().for_each(|flow| *flow *= factor);
        }
        None => input.sprinkler = Some(crate::farm::Sprinkler { rate_mm_h: Some(rate_mm_h), ..crate::farm::Sprinkler::default() }),
    }
    Farm::new(input).map_err(|e| if e.place().is_some() { e } else { Error::internal("a sprinkler of another rate", e.to_string()) })
}
