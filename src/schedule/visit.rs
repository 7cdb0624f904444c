//! From jobs to visits: each time that the sprinkler is brought to a position and runs there.
//!
//! Pulses leave a choice. The sprinkler may wait in place while the water soaks in; or, while one position soaks, the next
//! may run, at the price of a move for each pulse; or one run may stand in place of the pulses, at the price of runoff.

use super::job::{Job, SetWork};
use crate::words::words;

words! {
    /// How pulsed sets are run.
    pub enum PulseWay: "way of pulsing" {
        /// While one position soaks the next runs, where the moves pay; elsewhere the sprinkler waits in place.
        GoingRound = "going_round",
        /// The sprinkler waits in place while the water soaks in.
        InPlace = "in_place",
        /// One run in place of the pulses: some of the water runs off.
        OneRun = "one_run",
    }
}

/// Water on at a position, once.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Visit {
    pub set: usize,
    pub pulse: usize,
    pub move_min: i64,
    /// Minutes on, by day; the last goes on.
    pub run: Vec<i64>,
    /// Water may go on so many minutes after the visit before was over, not sooner; moving counts.
    pub wait: i64,
    /// Nothing may come between this visit and the one before: the sprinkler stays.
    pub glued: bool,
    /// Does its set ask for pulses, whether it gets them or not?
    pub pulsed: bool,
    pub may_split: bool,
}

impl Visit {
    pub fn run_on(&self, day: i64) -> i64 {
        let day = usize::try_from(day).unwrap_or(0);
        self.run.get(day).or(self.run.last()).copied().unwrap_or(0)
    }

    /// Fewest minutes that it takes on any day, moving included.
    pub fn least_min(&self) -> i64 {
        self.move_min + self.run.iter().min().copied().unwrap_or(0)
    }

    /// The same with the waiting, on the first day.
    fn span(&self) -> i64 {
        self.move_min.max(self.wait) + self.run_on(0)
    }
}

/// Visits of a job in a fixed order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Chain {
    pub job: usize,
    pub visits: Vec<Visit>,
}

/// Whole minutes, rounded up: a set is not cut short.
fn up(minutes: f64) -> i64 {
    const ROUND_OFF_MIN: f64 = 1e-6;
    (minutes - ROUND_OFF_MIN).ceil().max(0.0) as i64
}

/// Minutes of a part of the set by day; `part_min` belongs to the first day and stretches with the run.
fn by_day(set: &SetWork, part_min: f64) -> Vec<i64> {
    let first = set.run_min.at(0);
    let share = |day: usize| if first > 0.0 { set.run_min.at(day) / first } else { 1.0 };
    (0..set.run_min.days().max(1)).map(|day| up(part_min * share(day))).collect()
}

fn plain(set: &SetWork, number: usize, run_min: f64) -> Visit {
    Visit {
        set: number,
        pulse: 0,
        move_min: up(set.move_min),
        run: by_day(set, run_min),
        wait: 0,
        glued: false,
        pulsed: set.is_pulsed(),
        may_split: set.may_split,
    }
}

/// The jobs as chains. `together`: sets of a job that are alike make one chain (fewer states for one sprinkler); otherwise
/// each set or group is a chain of its own, so that several sprinklers can share a job.
pub(super) fn chains(jobs: &[Job], way: PulseWay, together: bool) -> Vec<Chain> {
    let mut chains = Vec::new();
    for (job, work) in jobs.iter().enumerate() {
        let pulsed: Vec<usize> =
            (0..work.sets.len()).filter(|s| way != PulseWay::OneRun && set(work, *s).is_some_and(SetWork::is_pulsed)).collect();
        let mut alike: Vec<Vec<Visit>> = Vec::new();
        for (number, set) in work.sets.iter().enumerate().filter(|(n, _)| !pulsed.contains(n)) {
            let total = set.run_min.at(0);
            let visit = plain(set, number, set.one_run_min.filter(|_| set.is_pulsed()).unwrap_or(total));
            let same = |first: &Visit| Visit { set: number, ..first.clone() } == visit;
            match alike.iter_mut().find(|c| together && c.first().is_some_and(same)) {
                Some(chain) => chain.push(visit),
                None => alike.push(vec![visit]),
            }
        }
        // the longest first: they are the hardest to fit into a window
        alike.sort_by_key(|c| std::cmp::Reverse(c.first().map_or(0, Visit::span)));
        chains.extend(alike.into_iter().map(|visits| Chain { job, visits }));
        let groups = grouped(work, &pulsed, way);
        if together {
            let visits: Vec<Visit> = groups.into_iter().flatten().collect();
            chains.extend((!visits.is_empty()).then_some(Chain { job, visits }));
        } else {
            chains.extend(groups.into_iter().map(|visits| Chain { job, visits }));
        }
    }
    chains
}

fn set(job: &Job, number: usize) -> Option<&SetWork> {
    job.sets.get(number)
}

/// Pulsed sets in groups of the size that takes the least time; of equal sizes the smaller.
fn grouped(job: &Job, pulsed: &[usize], way: PulseWay) -> Vec<Vec<Visit>> {
    let largest = if way == PulseWay::GoingRound { pulsed.len() } else { pulsed.len().min(1) };
    let of_size = |size: usize| pulsed.chunks(size).map(|group| rounds(job, group)).collect::<Vec<_>>();
    let time = |groups: &Vec<Vec<Visit>>| groups.iter().flatten().map(Visit::span).sum::<i64>();
    (1..=largest).map(of_size).min_by_key(time).unwrap_or_default()
}

/// Pulse by pulse around a group of positions.
fn rounds(job: &Job, group: &[usize]) -> Vec<Visit> {
    let most = group.iter().filter_map(|s| set(job, *s)).map(|s| s.pulses.len()).max().unwrap_or(0);
    let mut visits: Vec<Visit> = Vec::new();
    for pulse in 0..most {
        for &number in group {
            let Some((set, time)) = set(job, number).and_then(|s| Some((s, s.pulses.get(pulse)?))) else { continue };
            let stays = visits.last().is_some_and(|v| v.set == number);
            let before = set.pulses.get(pulse.wrapping_sub(1)).map_or(0, |p| by_day(set, p.soak_min).into_iter().max().unwrap_or(0));
            // what runs elsewhere in the meantime is soaking time too
            let elsewhere: i64 = visits.iter().rev().take_while(|v| v.set != number).map(Visit::least_min).sum();
            visits.push(Visit {
                set: number,
                pulse,
                move_min: if stays { 0 } else { up(set.move_min) },
                run: by_day(set, time.on_min),
                wait: (before - elsewhere).max(0),
                glued: stays,
                pulsed: true,
                may_split: set.may_split,
            });
        }
    }
    visits
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schedule::PulseTime;

    /// Two pulses of 20 min with 40 min to soak after the first.
    fn pulsed(move_min: f64) -> SetWork {
        let pulses = vec![PulseTime { on_min: 20.0, soak_min: 40.0 }, PulseTime { on_min: 20.0, soak_min: 60.0 }];
        SetWork { pulses, ..SetWork::new("s", move_min, 40.0) }
    }

    fn span(sets: Vec<SetWork>, way: PulseWay) -> (i64, usize, i64) {
        let chains = chains(&[Job::new("j", sets, None)], way, true);
        let visits: Vec<&Visit> = chains.iter().flat_map(|c| &c.visits).collect();
        (visits.iter().map(|v| v.span()).sum(), visits.iter().filter(|v| v.move_min > 0).count(), visits.iter().map(|v| v.wait).sum())
    }

    #[test]
    fn going_round_pays_where_moves_are_short() {
        // in place: 4 x (5 + 20 + 40 + 20) = 340 min with 4 moves and 160 min of waiting
        assert_eq!(span(vec![pulsed(5.0); 4], PulseWay::InPlace), (340, 4, 160));
        // round by twos the other's 25 min leave 15 to wait: 2 x (25 + 25 + 35 + 35) = 240; round all four none is left to
        // wait: 8 x (5 + 20) = 200 min with 8 moves
        assert_eq!(span(vec![pulsed(5.0); 4], PulseWay::GoingRound), (200, 8, 0));
        // moves of 30 min: 8 x 50 = 400 min going round, 4 x (30 + 80) = 440 in place; of 45: 8 x 65 = 520, 4 x 125 = 500
        assert_eq!(span(vec![pulsed(30.0); 4], PulseWay::GoingRound).0, 400);
        assert_eq!(span(vec![pulsed(45.0); 4], PulseWay::GoingRound), (500, 4, 160));
        // one run: 4 x (5 + 40)
        assert_eq!(span(vec![pulsed(5.0); 4], PulseWay::OneRun), (180, 4, 0));
    }

    #[test]
    fn minutes_round_up_and_stretch_with_the_day() {
        let mut set = pulsed(4.2);
        set.run_min = crate::schedule::ByDay::Days(vec![40.0, 50.0]);
        let chain = chains(&[Job::new("j", vec![set], None)], PulseWay::InPlace, true).remove(0);
        assert_eq!(chain.visits[0].move_min, 5);
        assert_eq!(chain.visits[1].run, [20, 25]);
        assert_eq!((chain.visits[1].run_on(7), chain.visits[1].wait, chain.visits[1].glued), (25, 50, true));
    }

    #[test]
    fn sets_that_are_alike_make_one_chain() {
        let sets = vec![SetWork::new("1", 5.0, 60.0), SetWork::new("2", 5.0, 90.0), SetWork::new("3", 5.0, 60.0)];
        let jobs = [Job::new("j", sets, None)];
        let lengths = |together| chains(&jobs, PulseWay::GoingRound, together).iter().map(|c| c.visits.len()).collect::<Vec<_>>();
        assert_eq!((lengths(true), lengths(false)), (vec![1, 2], vec![1, 1, 1]));
    }
}
