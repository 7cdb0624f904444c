//! A block's season seen from today: the variants of its column, and the ranges they make.

use super::Estimate;
use super::ahead::{Ahead, HORIZON_DAYS};
use crate::water::{Season, Series};

/// From the middle to the 10 and 90 % points of a normal distribution.
const TEN_PERCENT: f64 = 1.281_551_565_544_600_4;

/// Variants of a block's tree column.
pub(super) const LIKELY: usize = 0;
pub(super) const ROOTS_LOW: usize = 1;
pub(super) const ROOTS_HIGH: usize = 2;
pub(super) const SOIL_LOW: usize = 3;
pub(super) const SOIL_HIGH: usize = 4;
pub(super) const STRIP: usize = 5;
pub(super) const ALLEY: usize = 6;

/// A season seen from today.
pub(super) struct View<'a> {
    pub season: &'a Season,
    pub ahead: &'a Ahead,
}

impl View<'_> {
    pub fn at(&self, series: Series, column: usize, day: usize) -> f64 {
        self.season.daily(series).and_then(|d| d.get((day, column)).copied()).unwrap_or(f64::NAN)
    }

    /// Share of the available water used at the end of a day.
    fn share(&self, column: usize, day: usize) -> f64 {
        self.at(Series::Depletion, column, day) / self.at(Series::AvailableWater, column, day)
    }

    /// The same this morning, readings of today counted.
    fn morning(&self, column: usize) -> f64 {
        self.at(Series::MorningDepletion, column, self.ahead.today) / self.taw_mm(column)
    }

    /// Available water of the root zone this morning, mm.
    pub fn taw_mm(&self, column: usize) -> f64 {
        self.at(Series::AvailableWater, column, self.ahead.today.saturating_sub(1))
    }

    /// Share used in the morning of a day, counted from today.
    pub fn morning_share(&self, column: usize, day: usize) -> f64 {
        if day == 0 { self.morning(column) } else { self.share(column, self.ahead.today + day - 1) }
    }

    /// Available water in the morning of a day, counted from today, mm.
    pub fn taw_on_mm(&self, column: usize, day: usize) -> f64 {
        self.at(Series::AvailableWater, column, (self.ahead.today + day).saturating_sub(1))
    }

    /// The ledger's own doubt this morning, 10 to 90 % as a share of the available water.
    fn doubt(&self) -> f64 {
        TEN_PERCENT * self.at(Series::MorningSd, LIKELY, self.ahead.today) / self.taw_mm(LIKELY)
    }

    /// Half the distance between the ends, as 10 to 90 %, and the ledger's own doubt, added as independent.
    fn half_range(&self, of: impl Fn(usize) -> f64, own: f64) -> f64 {
        let roots = 0.5 * (of(ROOTS_LOW) - of(ROOTS_HIGH));
        let soil = 0.5 * (of(SOIL_LOW) - of(SOIL_HIGH));
        (roots * roots + soil * soil + own * own).sqrt()
    }

    pub fn depletion_range(&self) -> Estimate {
        let value = self.morning(LIKELY);
        let half = self.half_range(|column| self.morning(column), self.doubt());
        Estimate { value, low: (value - half).max(0.0), high: (value + half).min(1.0) }
    }

    /// Days from this morning until the depletion, `shift` added to its share, reaches the allowed one.
    pub fn days_left(&self, column: usize, allowed: f64, shift: f64) -> Option<f64> {
        let before = self.morning(column) + shift;
        if before >= allowed { Some(0.0) } else { self.limit_from(self.ahead.today, before, column, allowed, shift) }
    }

    /// The same once the water of today is in, which may bring a block back from beyond its limit; 0 if it does not.
    pub fn days_left_tonight(&self, column: usize, allowed: f64) -> Option<f64> {
        let tonight = self.share(column, self.ahead.today);
        match self.days_left(column, allowed, 0.0) {
            Some(left) if left <= 0.0 && tonight < allowed => self.limit_from(self.ahead.today + 1, tonight, column, allowed, 0.0),
            left => left,
        }
    }

    /// Days from this morning until the limit is reached, looked for from a day on that begins below it.
    fn limit_from(&self, first: usize, mut before: f64, column: usize, allowed: f64, shift: f64) -> Option<f64> {
        for day in first..self.season.days() {
            let now = self.share(column, day) + shift;
            if now >= allowed {
                let part = (allowed - before) / (now - before);
                return Some((day - self.ahead.today) as f64 + part);
            }
            before = now;
        }
        None
    }

    pub fn days_left_range(&self, allowed: f64, share: Estimate) -> Option<Estimate> {
        let value = self.days_left(LIKELY, allowed, 0.0)?;
        let own = self.doubt();
        let far = HORIZON_DAYS as f64;
        let of = |column| self.days_left(column, allowed, 0.0).unwrap_or(far);
        let doubt = 0.5 * (self.days_left(LIKELY, allowed, -own).unwrap_or(far) - self.days_left(LIKELY, allowed, own).unwrap_or(far));
        let half = self.half_range(of, doubt);
        let low = if share.high >= allowed { 0.0 } else { (value - half).max(0.0) };
        Some(Estimate { value, low, high: (value + half).min(far) })
    }
}
