//! Open time as a line: how much work fits before a moment, and where a visit fits first or last.
//!
//! Minutes count from the midnight before `now`, so the day of a minute is its number by 1440.

use super::moment::DAY_MIN;
use super::visit::Visit;

/// Open spans with the open minutes before each.
#[derive(Debug, Clone)]
pub(super) struct Timeline {
    spans: Vec<(i64, i64)>,
    before: Vec<i64>,
}

/// Where a visit lies: from the first minute of moving to the last of water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fit {
    pub begin: i64,
    pub end: i64,
}

impl Timeline {
    pub fn new(spans: Vec<(i64, i64)>) -> Self {
        let mut sum = 0;
        let before = spans
            .iter()
            .map(|(a, b)| {
                sum += b - a;
                sum - (b - a)
            })
            .collect();
        Self { spans, before }
    }

    /// Open minutes in all.
    pub fn total(&self) -> i64 {
        self.worked(i64::MAX)
    }

    /// The longest span.
    pub fn longest(&self) -> i64 {
        self.spans.iter().map(|(a, b)| b - a).max().unwrap_or(0)
    }

    /// Open minutes before `t`.
    pub fn worked(&self, t: i64) -> i64 {
        let after = self.spans.partition_point(|(a, _)| *a < t);
        match (self.spans.get(after.wrapping_sub(1)), self.before.get(after.wrapping_sub(1))) {
            (Some((a, b)), Some(before)) => before + t.min(*b) - a,
            _ => 0,
        }
    }

    /// Earliest moment before which `work` open minutes lie; beyond the last span there is none.
    pub fn earliest(&self, work: i64) -> Option<i64> {
        let i = self.before.partition_point(|b| *b < work).saturating_sub(1);
        let ((a, b), before) = (self.spans.get(i)?, self.before.get(i)?);
        Some(a + work - before).filter(|t| t <= b)
    }

    /// Latest moment before which no more than `work` open minutes lie.
    pub fn latest(&self, work: i64) -> Option<i64> {
        let i = self.before.partition_point(|b| *b <= work).checked_sub(1)?;
        let ((a, b), before) = (self.spans.get(i)?, self.before.get(i)?);
        Some((a + work - before).min(*b))
    }

    /// The visit with the earliest end among those that begin at `from` or later; the sprinkler is free since `free`.
    pub fn forward(&self, visit: &Visit, extra_move: i64, free: i64, release: i64) -> Option<Fit> {
        let move_min = visit.move_min + extra_move;
        let from = free.max(free + visit.wait - move_min).max(release);
        let mut best: Option<Fit> = None;
        let first = self.spans.partition_point(|(_, b)| *b <= from);
        'spans: for &(a, b) in self.spans.iter().skip(first) {
            let mut begin = a.max(from);
            while begin < b {
                if best.is_some_and(|f| begin >= f.end) {
                    break 'spans;
                }
                let day = begin.div_euclid(DAY_MIN);
                let length = move_min + visit.run_on(day);
                let end =
                    if visit.may_split { self.earliest(self.worked(begin) + length) } else { Some(begin + length).filter(|e| *e <= b) };
                if let Some(end) = end.filter(|e| best.is_none_or(|f| *e < f.end)) {
                    best = Some(Fit { begin, end });
                }
                begin = (day + 1) * DAY_MIN;
            }
        }
        best
    }

    /// The visit with the latest begin among those that end by `limit`.
    pub fn backward(&self, visit: &Visit, extra_move: i64, limit: i64, release: i64) -> Option<i64> {
        let move_min = visit.move_min + extra_move;
        let last = self.spans.partition_point(|(a, _)| *a < limit);
        for &(a, b) in self.spans.iter().take(last).rev() {
            let mut upper = b.min(limit);
            while upper > a {
                // the part of the span within the day of its last minute
                let day = (upper - 1).div_euclid(DAY_MIN);
                let lower = a.max(day * DAY_MIN);
                let length = move_min + visit.run_on(day);
                let latest = if visit.may_split { self.latest(self.worked(limit) - length) } else { Some(b.min(limit) - length) };
                if let Some(begin) = latest.map(|t| t.min(upper - 1)).filter(|t| *t >= lower) {
                    return (begin >= release).then_some(begin);
                }
                upper = lower;
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn visit(move_min: i64, run: &[i64], may_split: bool) -> Visit {
        Visit { set: 0, pulse: 0, move_min, run: run.to_vec(), wait: 0, glued: false, pulsed: false, may_split }
    }

    #[test]
    fn worked_minutes_and_their_moments() {
        let line = Timeline::new(vec![(10, 20), (30, 50)]);
        assert_eq!([5, 10, 15, 20, 25, 30, 50, 99].map(|t| line.worked(t)), [0, 0, 5, 10, 10, 10, 30, 30]);
        assert_eq!([0, 10, 11, 30, 31].map(|w| line.earliest(w)), [Some(10), Some(20), Some(31), Some(50), None]);
        assert_eq!([-1, 0, 10, 11, 30, 99].map(|w| line.latest(w)), [None, Some(10), Some(30), Some(31), Some(50), Some(50)]);
    }

    #[test]
    fn forward_and_backward_agree() {
        let line = Timeline::new(vec![(300, 660), (1740, 2100)]);
        let set = visit(30, &[180], false);
        assert_eq!(line.forward(&set, 0, 0, 0), Some(Fit { begin: 300, end: 510 }));
        // 150 min are left on the first day: not broken off
        assert_eq!(line.forward(&set, 0, 510, 0), Some(Fit { begin: 1740, end: 1950 }));
        assert_eq!(line.forward(&visit(30, &[180], true), 0, 510, 0), Some(Fit { begin: 510, end: 1800 }));
        assert_eq!(line.backward(&set, 0, 2100, 0), Some(1890));
        assert_eq!(line.backward(&set, 0, 1900, 0), Some(450));
        assert_eq!(line.backward(&visit(30, &[180], true), 0, 1900, 0), Some(610));
        assert_eq!(line.backward(&set, 0, 1900, 451), None);
    }

    #[test]
    fn a_shorter_run_tomorrow_can_end_sooner() {
        let night = Timeline::new(vec![(1200, 1800)]);
        let set = visit(0, &[300, 30], false);
        assert_eq!(night.forward(&set, 0, 1400, 0), Some(Fit { begin: 1440, end: 1470 }));
        assert_eq!(night.backward(&set, 0, 1800, 0), Some(1770));
        assert_eq!(night.backward(&set, 0, 1460, 0), None);
    }
}
