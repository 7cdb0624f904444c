//! The week in short, and its timetable as a hand would write it.

use super::counted;
use crate::date::Date;
use crate::farm::plan::page::{Part, Table};
use crate::farm::plan::week::{at_work, listed, with_sprinkler};
use crate::farm::plan::{BlockPlan, CostPlan, HeatWatch, SupplyPlan, WeekPlan};
use crate::schedule::{Schedule, Stint};
use crate::units::{System, show};

/// More runs than this take too many pages.
const MOST_RUNS: usize = 60;
/// Lines of the week that are left for its own part.
const LEFT_OUT: [&str; 4] = ["Likely", "Work", "Positions", "Heat"];

impl WeekPlan {
    /// When to start, what is late, what would help, and which block on which day.
    pub(in crate::farm::plan) fn short(&self, blocks: &[BlockPlan], units: System) -> Part {
        let mut part = self.first(blocks, units);
        part.lines.retain(|line| !LEFT_OUT.contains(&line.label.as_str()));
        if let Some(help) = self.best_remedy() {
            part.line("What helps", help);
        }
        part.lines.extend(self.heat.as_ref().map(|heat| heat.short(self.schedule.as_ref(), units)));
        part.tables = self.schedule.iter().map(|s| by_day(s, sets_of)).collect();
        part
    }

    /// What would bring all in time, or what comes nearest.
    fn best_remedy(&self) -> Option<String> {
        let in_time: Vec<&_> = self.remedies.iter().filter(|r| r.in_time || r.start_by.is_some()).collect();
        if in_time.is_empty() {
            let nearest = self.remedies.iter().min_by(|a, b| a.short_h.total_cmp(&b.short_h))?;
            return Some(format!("nothing alone; nearest comes {}, then short by {:.1} h", nearest.what, nearest.short_h));
        }
        let words: Vec<String> = in_time.iter().map(|r| r.what.clone()).collect();
        Some(format!("with {} all is in time", words.join(", or with ")))
    }
}

impl HeatWatch {
    fn short(&self, schedule: Option<&Schedule>, units: System) -> crate::farm::plan::Line {
        let days: Vec<String> = self.days.iter().map(|d| format!("{} {}", d.date.weekday(), show::temperature(d.tmax_c, units))).collect();
        let late = self.not_served(schedule);
        let late = if late.is_empty() { String::new() } else { format!("; not in time for {}: buckets, mulch", listed(&late)) };
        let by = if self.blocks.is_empty() { String::new() } else { format!("; wet roots by {} evening help", self.pre_wet_by.weekday()) };
        crate::farm::plan::Line { label: "Heat".into(), text: format!("{}{by}{late}", days.join(", ")) }
    }
}

impl SupplyPlan {
    pub(in crate::farm::plan) fn passes_words(&self) -> String {
        let o = &self.outlook;
        let (low, high) = (o.dry.passes, o.wet.passes);
        let passes = counted(o.likely.passes as usize, "pass like this week's left", "passes like this week's left");
        let range = if low == high { String::new() } else { format!(" (range {low} to {high})") };
        let ends = o.likely.out_on.map_or(format!("beyond {}", self.to), |d| format!("to {} {d}", d.weekday()));
        format!("{passes}{range}, one every {}; without rain {ends}", counted(o.pass.every_days as usize, "day", "days"))
    }
}

impl CostPlan {
    pub(in crate::farm::plan) fn short_words(&self) -> String {
        let worth = self.worth.as_ref().map_or(String::new(), |w| {
            let trees = show::number(w.break_even_trees.ceil(), 0);
            format!("; it pays if it saves {trees} of the trees ({:.1} %)", 100.0 * w.break_even_share)
        });
        format!("{} for the week's work{worth}", show::number(self.pass.total, 2))
    }
}

/// A row for each run: water on and off, which set, where it stands. Of very many runs a slip for each day.
pub(super) fn by_the_clock(schedule: &Schedule, blocks: &[BlockPlan]) -> Table {
    let stays = |a: &Stint, b: &Stint| (&a.job, &a.set, a.sprinkler) == (&b.job, &b.set, b.sprinkler) && b.move_min == 0.0;
    let runs: Vec<&[Stint]> = schedule.timetable.chunk_by(stays).collect();
    if runs.len() > MOST_RUNS {
        return slip(schedule);
    }
    let with = with_sprinkler(schedule);
    let today = schedule.now.date();
    let row = |run: &&[Stint]| -> Option<Vec<String>> {
        let (first, last) = (run.first()?, run.last()?);
        let off = if last.off.date() == first.on.date() { last.off.clock() } else { last.off.words() };
        let minutes: f64 = run.iter().map(|s| s.run_min).sum();
        let pulses = if run.len() > 1 { format!(" in {} pulses", run.len()) } else { String::new() };
        let pulse = if run.len() == 1 && first.pulse.1 > 1 { format!("/{}", first.pulse.0) } else { String::new() };
        let name = format!("{} {}{pulse}{}", first.job, first.set, with(first));
        Some(vec![first.on.words_from(today), off, format!("{minutes:.0}{pulses}"), name, place(blocks, first)])
    };
    let mut table = Table {
        caption: String::new(),
        head: ["water on", "off", "min", "block and set (pulse)", "where"].map(String::from).to_vec(),
        rows: runs.iter().filter_map(row).collect(),
    };
    if table.rows.iter().all(|r| r.last().is_none_or(String::is_empty)) {
        table.head.pop();
        table.rows.iter_mut().for_each(|r| drop(r.pop()));
    }
    table
}

/// Where the sprinkler stands for a run: the tree beside it, hydrant and arc; nothing where no set has a place.
fn place(blocks: &[BlockPlan], stint: &Stint) -> String {
    let sets = blocks.iter().find(|b| b.name == stint.job).and_then(|b| b.sets.as_ref());
    let set = sets.and_then(|s| s.sets.iter().find(|set| set.number.to_string() == stint.set));
    set.map_or(String::new(), |set| {
        let hose = set.hose_words();
        if hose.is_empty() { set.place_words() } else { format!("{}; {hose}", set.place_words()) }
    })
}

/// Which position at which time, day by day, as one writes it on a slip of paper.
fn slip(schedule: &Schedule) -> Table {
    let mut table = by_day(schedule, clock_slip);
    table.rows.iter_mut().for_each(|row| drop(row.remove(1)));
    table.head = ["day", "water on: set (pulse) at"].map(String::from).to_vec();
    table
}

/// "4 at 5:30 am, 3 at 7:36, 5 at 5:30 pm, 2 at 6:57": the half of the day once.
fn clock_slip(run: &[&Stint]) -> String {
    let mut half = "";
    let each = run.iter().map(|s| {
        let clock = s.on.clock();
        let (time, of_clock) =
            clock.split_once(' ').map_or((clock.as_str(), ""), |(time, half)| (time, if half == "am" { "am" } else { "pm" }));
        let told = if of_clock == half { time } else { clock.as_str() };
        half = of_clock;
        format!("{}{} at {told}", s.set, if s.pulse.1 > 1 { format!("/{}", s.pulse.0) } else { String::new() })
    });
    each.collect::<Vec<_>>().join(", ")
}

/// Numbers of the sets in their order; pulses without a move in between are counted.
fn sets_of(run: &[&Stint]) -> String {
    let each = run.chunk_by(|a, b| a.set == b.set).map(|same| {
        let set = same.first().map_or("", |s| s.set.as_str());
        if same.len() > 1 { format!("{set} ({} pulses)", same.len()) } else { set.to_string() }
    });
    each.collect::<Vec<_>>().join(", ")
}

/// A row for each day: the hours of work, and each block with what `told` says of its sets.
fn by_day(schedule: &Schedule, told: impl Fn(&[&Stint]) -> String) -> Table {
    let mut days: Vec<(Date, Vec<&Stint>)> = Vec::new();
    for stint in &schedule.timetable {
        match days.iter_mut().find(|(day, _)| *day == stint.begin.date()) {
            Some((_, stints)) => stints.push(stint),
            None => days.push((stint.begin.date(), vec![stint])),
        }
    }
    let with = with_sprinkler(schedule);
    let row = |(day, stints): &(Date, Vec<&Stint>)| {
        let mut stints = stints.clone();
        stints.sort_by_key(|s| s.sprinkler);
        let runs = stints.chunk_by(|a, b| a.job == b.job && a.sprinkler == b.sprinkler);
        let name = |s: &Stint| format!("{}{}", s.job, with(s));
        let work: Vec<String> = runs.map(|run| format!("{}: {}", run.first().map_or(String::new(), |s| name(s)), told(run))).collect();
        vec![format!("{} {}", day.weekday(), day), at_work(&stints), work.join("; ")]
    };
    let head = ["day", "hours", "block and its sets in order"].map(String::from).to_vec();
    Table { caption: String::new(), head, rows: days.iter().map(row).collect() }
}
