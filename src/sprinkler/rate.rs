//! Rate, time and capacity: from the flow and the ground of a set to minutes, and from the season's need to a flow.

use super::Sprinkler;
use crate::bounds;
use crate::error::{Error, Result};
use crate::units::{System, flow_to_rate_mm_h, show};
use crate::words::words;
use serde::{Deserialize, Serialize};
use std::fmt;

words! {
    /// How sets stand to each other.
    pub enum Layout: "layout" {
        /// Squares.
        Square = "square",
        /// Equilateral triangles.
        Triangular = "triangular",
    }
}

/// Usual spacing over the wetted diameter, by layout and wind.
///
/// Up to 3 mph 0.55 on squares and 0.60 on triangles, up to 7 mph 0.50 and 0.55, up to 12 mph 0.45 and 0.50; beyond
/// that no value was published: the answer is none (sprinkling above 4 m/s is uneven anyway).
///
/// # Errors
/// Wind out of range.
///
/// # Source
/// Teaching slides on rotary sprinklers, table 1.
///
/// ```
/// use dibble::sprinkler::{spacing_fraction, Layout};
/// assert_eq!(spacing_fraction(Layout::Square, 2.0)?, Some(0.50)); // 4.5 mph
/// assert_eq!(spacing_fraction(Layout::Square, 8.0)?, None);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn spacing_fraction(layout: Layout, wind_m_s: f64) -> Result<Option<f64>> {
    const M_S_PER_MPH: f64 = 0.447_04;
    let mph = bounds::WIND_M_S.check(wind_m_s)? / M_S_PER_MPH;
    // The table's classes are whole numbers: 0-3, 4-7, 8-12 mph.
    let rows = [(3.5, 0.55, 0.60), (7.5, 0.50, 0.55), (12.5, 0.45, 0.50)];
    let row = rows.iter().find(|(to, _, _)| mph < *to);
    Ok(row.map(|(_, square, triangular)| if layout == Layout::Square { *square } else { *triangular }))
}

/// The fewest equal spaces that part a length without exceeding a spacing: their number and size, m.
///
/// # Errors
/// A value out of range.
///
/// # Source
/// New Mexico State University, Soil 456 notes, ch. 5: 110 ft at most 30 ft apart are 4 spaces of 27.5 ft.
///
/// ```
/// let ft = 0.3048;
/// let (spaces, spacing_m) = dibble::sprinkler::even_spacing_m(110.0 * ft, 30.0 * ft)?;
/// assert_eq!((spaces, format!("{:.1}", spacing_m / ft)), (4, "27.5".to_string()));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn even_spacing_m(length_m: f64, most_m: f64) -> Result<(usize, f64)> {
    let length = bounds::LENGTH_M.check(length_m)?;
    let most = bounds::SET_SPACING_M.named("most_m").check(most_m)?;
    let spaces = (length / most - 1e-9).ceil().max(1.0);
    Ok((spaces as usize, length / spaces))
}

/// Minutes that a depth takes at a rate.
///
/// # Errors
/// A depth out of range, or a rate that is 0 or out of range.
///
/// ```
/// assert_eq!(dibble::sprinkler::minutes_for(60.0, 8.0)?, 450.0); // 7.5 h
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn minutes_for(depth_mm: f64, rate_mm_h: f64) -> Result<f64> {
    Ok(60.0 * bounds::DEPTH_MM.check(depth_mm)? / bounds::RUNNING_RATE_MM_H.check(rate_mm_h)?)
}

/// Depth to pump for a depth that the roots should get, mm: net over efficiency.
///
/// `efficiency`: 0.05 to 1. Where the depth is known tree by tree, only the spray loss is taken off: 1 less that loss.
///
/// # Errors
/// A value out of range.
///
/// ```
/// assert_eq!(dibble::sprinkler::gross_depth_mm(19.0, 0.95)?, 20.0);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn gross_depth_mm(net_mm: f64, efficiency: f64) -> Result<f64> {
    Ok(bounds::DEPTH_MM.named("net_mm").check(net_mm)? / bounds::EFFICIENCY.check(efficiency)?)
}

/// What a farm needs of its water: plain input for [`capacity_l_min`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// Ground to water, m².
    pub area_m2: f64,
    /// Gross depth, mm.
    pub gross_mm: f64,
    /// Days that one round may take.
    pub days: f64,
    /// Hours of pumping a day.
    pub hours_per_day: f64,
}

/// Flow that waters an area in time, L/min: Q = A d / (F T).
///
/// # Errors
/// A value out of range.
///
/// # Source
/// USDA-NRCS NEH 623 ch. 11 (the trade's Q = 453 A d / (F T), from memory).
///
/// ```
/// use dibble::sprinkler::{capacity_l_min, Need};
/// // an acre-inch in an hour
/// let flow = capacity_l_min(&Need { area_m2: 4046.856, gross_mm: 25.4, days: 1.0, hours_per_day: 1.0 })?;
/// assert_eq!(format!("{:.1}", flow / 3.785411784), "452.6"); // gpm
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn capacity_l_min(need: &Need) -> Result<f64> {
    let liters = bounds::AREA_M2.check(need.area_m2)? * bounds::DEPTH_MM.named("gross_mm").check(need.gross_mm)?;
    let hours = bounds::DAYS.check(need.days)? * bounds::PERIOD_H.named("hours_per_day").check(need.hours_per_day)?;
    Ok(liters / (60.0 * hours))
}

/// The rate of one circle beside that of overlapped sets, and why they differ.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Overlapped {
    /// Mean rate over the own circle of one set, mm/h.
    pub own_circle_mm_h: f64,
    /// Mean rate over the ground that each set stands for, mm/h.
    pub overlapped_mm_h: f64,
    /// Circles that a place lies in, on the average.
    pub circles: f64,
}

/// What reaches the ground per hour of each set, alone and overlapped. `ground_m2`: the ground that one set stands for
/// (with sets 93 ft apart, 93 by 93 ft).
///
/// # Errors
/// Ground out of range.
///
/// ```
/// use dibble::sprinkler::{overlapped, Profile, Sprinkler, SprinklerInput};
/// let ft = 0.3048;
/// let input = SprinklerInput::new(302.3, 112.0 * ft, Profile::Cone); // 80 gpm
/// let gun = Sprinkler::new(SprinklerInput { spray_loss: 0.15, ..input })?;
/// let rates = overlapped(&gun, 93.34 * 93.34 * ft * ft)?;
/// assert_eq!(format!("{:.2} {:.2}", rates.own_circle_mm_h / 25.4, rates.overlapped_mm_h / 25.4), "0.17 0.75");
/// assert_eq!(
///     rates.to_string(),
///     "19.0 mm/h over overlapped sets, 4.2 mm/h over the circle of one: each place lies in 4.5 circles and gets the sum of their sets"
/// );
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn overlapped(sprinkler: &Sprinkler, ground_m2: f64) -> Result<Overlapped> {
    let own = sprinkler.mean_rate_mm_h();
    let circles = sprinkler.area_m2() / bounds::AREA_M2.named("ground_m2").check(ground_m2)?;
    let reaching = sprinkler.flow_l_min() * (1.0 - sprinkler.input().spray_loss);
    Ok(Overlapped { own_circle_mm_h: own, overlapped_mm_h: flow_to_rate_mm_h(reaching, ground_m2)?, circles })
}

impl Overlapped {
    /// Both rates, and why they differ.
    pub fn words(&self, units: System) -> String {
        let own = show::rate(self.own_circle_mm_h, units);
        if self.circles > 1.0 {
            return format!(
                "{own} in the circle of one set; each place lies in {:.1} circles on the mean, so an hour at every position brings it {}",
                self.circles,
                show::depth(self.overlapped_mm_h, units)
            );
        }
        format!("{own} in the circle of one set; the circles hardly overlap, so that sets add nothing to each other")
    }
}

impl fmt::Display for Overlapped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (own, circles) = (self.own_circle_mm_h, self.circles);
        if circles <= 1.0 {
            return write!(
                f,
                "{own:.1} mm/h over the circle of one set; the circles hardly overlap, so that sets add nothing to each other"
            );
        }
        write!(
            f,
            "{:.1} mm/h over overlapped sets, {own:.1} mm/h over the circle of one: each place lies in {circles:.1} circles and gets the sum of their sets",
            self.overlapped_mm_h
        )
    }
}

/// Hours that a day of sets takes, each with its move (laying the hose to the first one counts).
///
/// # Errors
/// A time out of range.
///
/// ```
/// // eight to ten hourly sets with 20 to 45 minutes a move
/// let (short, long) = (dibble::sprinkler::day_h(8, 60.0, 20.0)?, dibble::sprinkler::day_h(10, 60.0, 45.0)?);
/// assert_eq!(format!("{short:.1} {long:.1}"), "10.7 17.5");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn day_h(sets: usize, set_minutes: f64, move_minutes: f64) -> Result<f64> {
    let each =
        bounds::MINUTES_MIN.named("set_minutes").check(set_minutes)? + bounds::MINUTES_MIN.named("move_minutes").check(move_minutes)?;
    Ok(sets as f64 * each / 60.0)
}

/// How long a day of sets is, from few sets with short moves to many with long ones.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DayOfSets {
    /// Fewest and most sets.
    pub sets: (usize, usize),
    /// Running time of each, min.
    pub set_minutes: f64,
    /// Shortest and longest move, min.
    pub move_minutes: (f64, f64),
    /// Shortest and longest day, h.
    pub hours: (f64, f64),
}

/// The range of [`day_h`]: moves make a day much longer than its running time.
///
/// # Errors
/// A time out of range, or a range whose ends are exchanged.
///
/// ```
/// let day = dibble::sprinkler::day_of_sets((8, 10), 60.0, (20.0, 45.0))?;
/// assert_eq!(
///     day.to_string(),
///     "8 to 10 sets of 60 min and a move of 20 to 45 min before each are a day of 10.7 to 17.5 h: 2.7 to 7.5 h of it are moves"
/// );
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn day_of_sets(sets: (usize, usize), set_minutes: f64, move_minutes: (f64, f64)) -> Result<DayOfSets> {
    let hours = (day_h(sets.0, set_minutes, move_minutes.0)?, day_h(sets.1, set_minutes, move_minutes.1)?);
    if sets.0 > sets.1 || move_minutes.0 > move_minutes.1 {
        return Err(Error::inconsistent(
            format!("{} to {} sets with {} to {} min a move", sets.0, sets.1, move_minutes.0, move_minutes.1),
            "Give the lower end of each first.",
        ));
    }
    Ok(DayOfSets { sets, set_minutes, move_minutes, hours })
}

impl fmt::Display for DayOfSets {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let range = |(low, high): (f64, f64), decimals: usize| {
            if low == high { format!("{low:.decimals$}") } else { format!("{low:.decimals$} to {high:.decimals$}") }
        };
        let moves = (self.sets.0 as f64 * self.move_minutes.0 / 60.0, self.sets.1 as f64 * self.move_minutes.1 / 60.0);
        let (minutes, hours) = (range(self.move_minutes, 0), range(self.hours, 1));
        let (set_minutes, moves) = (self.set_minutes, range(moves, 1));
        if self.sets == (1, 1) {
            return write!(
                f,
                "1 set of {set_minutes:.0} min and a move of {minutes} min before it is a day of {hours} h: {moves} h of it is the move"
            );
        }
        let sets = range((self.sets.0 as f64, self.sets.1 as f64), 0);
        write!(
            f,
            "{sets} sets of {set_minutes:.0} min and a move of {minutes} min before each are a day of {hours} h: {moves} h of it are moves"
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spacing_table_as_printed() {
        for (mph, square, triangular) in [(0.0, 0.55, 0.60), (3.0, 0.55, 0.60), (4.0, 0.50, 0.55), (7.0, 0.50, 0.55), (12.0, 0.45, 0.50)] {
            let wind = mph * 0.447_04;
            assert_eq!(spacing_fraction(Layout::Square, wind).unwrap(), Some(square), "teaching slides, table 1, {mph} mph");
            assert_eq!(spacing_fraction(Layout::Triangular, wind).unwrap(), Some(triangular), "teaching slides, table 1, {mph} mph");
        }
    }

    #[test]
    fn refusals_say_what_is_wrong() {
        assert_eq!(
            minutes_for(10.0, 0.0).unwrap_err().to_string(),
            "rate_mm_h is 0 mm/h: application rate must be from 0.01 to 1000 mm/h. Give mm per hour; 1 in/h is 25.4 mm/h."
        );
        assert_eq!(even_spacing_m(30.0, 10.0).unwrap(), (3, 10.0));
        assert!(day_h(3, f64::NAN, 1.0).is_err());
        assert_eq!(
            day_of_sets((10, 8), 60.0, (20.0, 45.0)).unwrap_err().to_string(),
            "10 to 8 sets with 20 to 45 min a move. Give the lower end of each first."
        );
        let one = day_of_sets((1, 1), 60.0, (30.0, 30.0)).unwrap().to_string();
        assert_eq!(one, "1 set of 60 min and a move of 30 min before it is a day of 1.5 h: 0.5 h of it is the move");
    }

    #[test]
    fn circles_that_do_not_overlap_are_not_said_to_add_up() {
        let gun = Sprinkler::new(crate::sprinkler::SprinklerInput::new(300.0, 30.0, crate::sprinkler::Profile::Cone)).unwrap();
        let apart = overlapped(&gun, 60.0 * 60.0).unwrap().to_string();
        assert_eq!(apart, "6.4 mm/h over the circle of one set; the circles hardly overlap, so that sets add nothing to each other");
    }
}
