//! Which way of pulsing the timetable takes.

use super::answer::Candidate;
use super::job::Job;
use super::visit::PulseWay;
use std::cmp::Ordering;

/// One run in place of pulses is a choice as long as no larger share of its water may run off. Our judgment.
const MOST_RUNOFF: f64 = 0.25;

/// Share of the water of pulsed sets that may run off if one run takes the place of the pulses; unknown where a set has no
/// minutes of its own for one run.
pub(super) fn runoff(jobs: &[Job], way: PulseWay) -> Option<f64> {
    if way != PulseWay::OneRun {
        return Some(0.0);
    }
    let pulsed = || jobs.iter().flat_map(|j| &j.sets).filter(|s| s.is_pulsed());
    let wanted: f64 = pulsed().map(|s| s.run_min.at(0)).sum();
    let one_run = pulsed().map(|s| s.one_run_min).sum::<Option<f64>>()?;
    Some(if one_run > 0.0 { (1.0 - wanted / one_run).clamp(0.0, 1.0) } else { 0.0 })
}

/// Marks the best candidate and returns its index: the one that is short by the fewest hours; of equals the one with the least
/// work. What runs off counts twice, as pumping and as harm, and one run comes last where more of it than [`MOST_RUNOFF`] may.
pub(super) fn choose(candidates: &mut [Candidate]) -> usize {
    let best = (0..candidates.len()).min_by(|a, b| match (candidates.get(*a), candidates.get(*b)) {
        (Some(a), Some(b)) => order(a, b),
        _ => Ordering::Equal,
    });
    let best = best.unwrap_or(0);
    if let Some(candidate) = candidates.get_mut(best) {
        candidate.chosen = true;
    }
    best
}

fn order(a: &Candidate, b: &Candidate) -> Ordering {
    let short = |c: &Candidate| c.short_h.unwrap_or(f64::INFINITY);
    let lost = |c: &Candidate| c.runoff.unwrap_or(1.0);
    let effort = |c: &Candidate| c.work_h + lost(c) * c.pulsed_h;
    short(a).total_cmp(&short(b)).then((lost(a) > MOST_RUNOFF).cmp(&(lost(b) > MOST_RUNOFF))).then(effort(a).total_cmp(&effort(b)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schedule::SetWork;

    fn candidate(way: PulseWay, short_h: f64, work_h: f64, runoff: Option<f64>) -> Candidate {
        Candidate { way, short_h: Some(short_h), start_by: None, moves: 1, work_h, pulsed_h: 5.0, runoff, elapsed_h: work_h, chosen: false }
    }

    #[test]
    fn the_least_work_wins_and_runoff_counts_twice() {
        let chosen = |one_run: Candidate| {
            let pulses = candidate(PulseWay::GoingRound, 0.0, 10.0, Some(0.0));
            choose(&mut [pulses, one_run]) == 1
        };
        // 5 h of its water on, a fifth of it lost: 1 h
        assert!(chosen(candidate(PulseWay::OneRun, 0.0, 8.9, Some(0.2))));
        assert!(!chosen(candidate(PulseWay::OneRun, 0.0, 9.1, Some(0.2))));
        assert!(!chosen(candidate(PulseWay::OneRun, 0.0, 2.0, Some(0.26))), "too much runs off");
        assert!(!chosen(candidate(PulseWay::OneRun, 0.0, 2.0, None)), "nobody knows how much runs off");
        assert!(!chosen(candidate(PulseWay::OneRun, 0.1, 2.0, Some(0.0))), "later");
    }

    #[test]
    fn what_is_late_goes_to_one_run_whatever_runs_off() {
        let mut all = [candidate(PulseWay::GoingRound, 2.0, 5.0, Some(0.0)), candidate(PulseWay::OneRun, 1.0, 5.0, Some(0.6))];
        assert_eq!((choose(&mut all), all[1].chosen, all[0].chosen), (1, true, false));
    }

    #[test]
    fn what_runs_off_follows_from_the_minutes_of_one_run() {
        let set = |one_run_min| {
            let pulse = crate::schedule::PulseTime { on_min: 20.0, soak_min: 40.0 };
            SetWork { pulses: vec![pulse; 2], one_run_min, ..SetWork::new("1", 5.0, 40.0) }
        };
        let of = |sets: Vec<SetWork>, way| runoff(&[Job::new("j", sets, None)], way);
        assert_eq!(of(vec![set(Some(50.0)), SetWork::new("2", 5.0, 500.0)], PulseWay::OneRun), Some(1.0 - 40.0 / 50.0));
        assert_eq!(of(vec![set(None)], PulseWay::OneRun), None);
        assert_eq!(of(vec![set(None)], PulseWay::InPlace), Some(0.0));
    }
}
