//! Times of the timetable as a hand would write them: from and to, and a day's work with the hours between told.

use crate::farm::plan::page::Table;
use crate::schedule::{Moment, Schedule, Stint};
use crate::units::show;

/// Work that rests for longer than a move usually takes is told in two spans, min.
const PAUSE_MIN: i64 = 45;
/// A day in more spans than this is told from its begin to its end.
const MOST_SPANS: usize = 3;

/// "5:30 to 7:06 am": the half of the day once where it is the same, the weekday where the end lies on another day.
pub(in crate::farm::plan) fn from_to(from: Moment, to: Moment) -> String {
    if from.date() != to.date() {
        return format!("{} to {}", from.clock(), to.words());
    }
    let (begin, end) = (from.clock(), to.clock());
    match (begin.split_once(' '), end.split_once(' ')) {
        (Some((time, half)), Some((_, same))) if half == same => format!("{time} to {end}"),
        _ => format!("{begin} to {end}"),
    }
}

/// "5:00 to 10:00 am, 5:00 to 8:54 pm": when somebody is at work, the first move and waiting beside the sprinkler counted.
pub(in crate::farm::plan) fn at_work(stints: &[&Stint]) -> String {
    let mut sorted = stints.to_vec();
    sorted.sort_by_key(|s| s.begin);
    let mut spans: Vec<(Moment, Moment)> = Vec::new();
    for (n, stint) in sorted.iter().enumerate() {
        let stays = stint.move_min == 0.0 && sorted.iter().take(n).any(|s| s.job == stint.job && s.set == stint.set);
        match spans.last_mut() {
            Some((_, end)) if stays || stint.begin.minutes_since(*end) <= PAUSE_MIN => *end = (*end).max(stint.off),
            _ => spans.push((stint.begin, stint.off)),
        }
    }
    if let (true, Some((begin, _)), Some(end)) = (spans.len() > MOST_SPANS, spans.first(), spans.iter().map(|(_, end)| *end).max()) {
        return from_to(*begin, end);
    }
    spans.into_iter().map(|(begin, end)| from_to(begin, end)).collect::<Vec<_>>().join(", ")
}

/// ", sprinkler 2" for a run of a schedule with several, nothing where there is one.
pub(in crate::farm::plan) fn with_sprinkler(schedule: &Schedule) -> impl Fn(&Stint) -> String {
    let several = schedule.timetable.iter().any(|s| s.sprinkler > 1);
    move |stint| if several { format!(", sprinkler {}", stint.sprinkler) } else { String::new() }
}

/// Sets that follow on each other in one block, in one line.
pub(super) fn timetable(schedule: &Schedule) -> Table {
    let mut runs: Vec<Vec<&Stint>> = Vec::new();
    let with = with_sprinkler(schedule);
    for stint in &schedule.timetable {
        let follows = |run: &Vec<&Stint>| run.last().is_some_and(|l| l.job == stint.job && l.begin.date() == stint.begin.date());
        let own = runs.iter_mut().rev().find(|run| run.last().is_some_and(|l| l.sprinkler == stint.sprinkler));
        match own.filter(|r| follows(r)) {
            Some(run) => run.push(stint),
            None => runs.push(vec![stint]),
        }
    }
    let row = |run: &Vec<&Stint>| -> Option<Vec<String>> {
        let first = run.first()?;
        let on: Vec<String> =
            run.iter().map(|s| format!("{}{} {} ({})", s.set, pulse(s), from_to(s.on, s.off), show::minutes(s.run_min))).collect();
        let moved = run.iter().map(|s| s.move_min).fold(0.0, f64::max);
        let moving = if moved > 0.0 { format!(", {} to move", show::minutes(moved)) } else { String::new() };
        let day = first.begin.date();
        let day = if day - schedule.now.date() < 7 { day.weekday().to_string() } else { format!("{} {day}", day.weekday()) };
        Some(vec![format!("{day} {}", at_work(run)), format!("{}{}", first.job, with(first)), format!("{}{moving}", on.join(", "))])
    };
    Table {
        caption: "Each block gets what it will lack on the day that it is served, so minutes grow while it waits.".into(),
        head: vec!["when".into(), "block".into(), "water on and off, by position (and pulse)".into()],
        rows: runs.iter().filter_map(row).collect(),
    }
}

fn pulse(stint: &Stint) -> String {
    if stint.pulse.1 > 1 { format!("/{}", stint.pulse.0) } else { String::new() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stint(set: &str, begin: &str, off: &str, move_min: f64) -> Stint {
        let at = |clock: &str| format!("2026-07-14 {clock}").parse::<Moment>().unwrap();
        Stint {
            job: "Hill".into(),
            set: set.into(),
            pulse: (1, 1),
            sprinkler: 1,
            begin: at(begin),
            on: at(begin),
            off: at(off),
            move_min,
            run_min: 0.0,
        }
    }

    #[test]
    fn a_gap_in_the_day_is_told_and_a_pause_in_place_is_not() {
        let day = [stint("1", "05:00", "09:20", 30.0), stint("2", "18:00", "20:56", 30.0)];
        assert_eq!(at_work(&day.iter().collect::<Vec<_>>()), "5:00 to 9:20 am, 6:00 to 8:56 pm");
        let pulses = [stint("1", "05:00", "05:20", 30.0), stint("1", "06:30", "06:50", 0.0), stint("2", "07:00", "12:10", 30.0)];
        assert_eq!(at_work(&pulses.iter().collect::<Vec<_>>()), "5:00 am to 12:10 pm");
        let side_by_side = [stint("1", "05:00", "09:00", 30.0), stint("2", "05:30", "06:00", 30.0), stint("3", "09:30", "10:00", 30.0)];
        assert_eq!(at_work(&side_by_side.iter().collect::<Vec<_>>()), "5:00 to 10:00 am");
        let many: Vec<Stint> = ["05:00", "08:00", "11:00", "14:00"].map(|clock| stint(clock, clock, clock, 30.0)).into();
        assert_eq!(at_work(&many.iter().collect::<Vec<_>>()), "5:00 am to 2:00 pm");
    }

    #[test]
    fn an_end_on_another_day_has_its_weekday() {
        let at = |text: &str| text.parse::<Moment>().unwrap();
        assert_eq!(from_to(at("2026-07-14 21:00"), at("2026-07-15 00:40")), "9:00 pm to Wed 12:40 am");
        assert_eq!(from_to(at("2026-07-14 09:00"), at("2026-07-14 12:00")), "9:00 am to noon");
    }
}
