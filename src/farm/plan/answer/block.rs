//! A block in short, and what one takes to it.

use super::counted;
use crate::farm::plan::page::{Line, Part, Table};
use crate::farm::plan::sets::by_hand_words;
use crate::farm::plan::week::from_to;
use crate::farm::plan::{BlockPlan, PlannedSet};
use crate::fertility::{ForTree, Round};
use crate::schedule::{Schedule, Stint};
use crate::units::{System, show};

impl BlockPlan {
    /// How dry it is, what the trees get, the minutes of its sets, who gets a bucket; the headline has said what to give.
    pub(in crate::farm::plan) fn short(&self, units: System) -> Vec<Line> {
        let used = &self.depletion;
        let dry = format!(
            "{:.0} % used ({:.0} to {:.0} %), water at {:.0} %",
            100.0 * used.value,
            100.0 * used.low,
            100.0 * used.high,
            100.0 * self.allowed_depletion
        );
        let mut texts = Vec::new();
        match self.sets.as_ref().filter(|sets| !sets.sets.is_empty()) {
            Some(sets) => {
                let short = match sets.short.len() {
                    0 => "none is short".into(),
                    n => counted(n, "is short", "are short"),
                };
                texts.push(format!("{dry}; trees get {}, {short}", show::depth(sets.depth.median_mm, units)));
                let each: Vec<String> = sets.sets.iter().map(|s| format!("{} for {:.0}", s.number, s.run_min)).collect();
                texts.push(format!("set {} min today; a day of {:.1} h", each.join(", "), sets.day.hours.value));
            }
            None => texts.push(format!("{dry}; {}", show::volume_per_tree(self.tree_l, units))),
        }
        if let Some(sets) = &self.sets {
            texts.extend(sets.problem.clone());
            texts.extend(sets.bucket.as_ref().map(|b| format!("by hand: {}", by_hand_words(b, units))));
        } else if let Some(intake) = self.intake.as_ref().filter(|i| i.is_run_in_pulses()) {
            let each: Vec<String> = intake.pulses.pulses.iter().map(|p| format!("{:.0}/{:.0}", p.on_min, p.soak_min)).collect();
            texts.push(format!("pulses, minutes on/soaking: {}", each.join(", ")));
        }
        texts.extend(self.what_if.as_ref().map(|w| format!("what if: {}", w.words(units))));
        let label = |n: usize| if n == 0 { self.name.clone() } else { String::new() };
        texts.into_iter().enumerate().map(|(n, text)| Line { label: label(n), text }).collect()
    }

    /// The next feeding in a line.
    pub(in crate::farm::plan) fn next_feeding(&self, units: System) -> Option<Line> {
        let next = self.feeding.as_ref()?.next.as_ref()?;
        let each: Vec<String> = next.amounts.iter().map(|a| format!("{} {}", a.product, dose(a, units))).collect();
        let each = if each.is_empty() { String::new() } else { format!("; a tree: {}", each.join(", ")) };
        Some(Line { label: self.name.clone(), text: format!("feed {}{each}", days(next)) })
    }

    /// Where to set the sprinkler, a row for each position: number, place, hose and arc, its runs line by line.
    pub(in crate::farm::plan) fn positions(&self, schedule: Option<&Schedule>) -> Option<Part> {
        let sets = self.sets.as_ref().filter(|s| !s.sets.is_empty())?;
        let of_block: Vec<&Stint> = schedule.iter().flat_map(|s| &s.timetable).filter(|s| s.job == self.name).collect();
        let row = |set: &PlannedSet| vec![set.number.to_string(), set.place_words(), set.hose_words(), runs(set, &of_block)];
        let caption = if of_block.is_empty() {
            "Minutes as for today.".to_string()
        } else {
            "Times and minutes of the timetable: what it will lack on the day that it is served.".into()
        };
        let head = ["set", "where", "hose and arc", "water on"].map(String::from).to_vec();
        let mut table = Table { caption, head, rows: sets.sets.iter().map(row).collect() };
        if table.rows.iter().all(|r| r.get(2).is_none_or(String::is_empty)) {
            table.head.remove(2);
            table.rows.iter_mut().for_each(|r| drop(r.remove(2)));
        }
        Some(Part { tables: vec![table], ..Part::new("positions", format!("{}: positions", self.name)).of_block(&self.name) })
    }

    /// Who gets a bucket, load by load.
    pub(in crate::farm::plan) fn bucket(&self, units: System) -> Option<Part> {
        let list = self.sets.as_ref()?.bucket.as_ref()?;
        let mut part = Part::new("bucket", format!("{}: by hand", self.name)).of_block(&self.name);
        part.line("By hand", by_hand_words(list, units));
        let rows = list.loads.iter().zip(1..).map(|(load, n)| vec![n.to_string(), load.lines(units).join("\n")]);
        let head = ["load", "trees, in the order of the walk"].map(String::from).to_vec();
        part.tables.push(Table { caption: String::new(), head, rows: rows.collect() });
        Some(part)
    }

    /// The next feeding with what a hand needs: scoops first.
    pub(in crate::farm::plan) fn scoops(&self, units: System) -> Option<Part> {
        let next = self.feeding.as_ref()?.next.as_ref().filter(|n| !n.amounts.is_empty())?;
        let mut part = Part::new("scoops", format!("Next feeding: {}", days(next))).of_block(&self.name);
        let row = |a: &ForTree| {
            let (measure, bags) = a
                .hand
                .map_or((String::new(), String::new()), |h| (h.measure_words(units), h.bags.map_or(String::new(), |n| n.to_string())));
            vec![a.product.clone(), measure, weight(a, units), bags]
        };
        let head = ["product", "each tree", "by weight", "bags in all"].map(String::from).to_vec();
        part.tables.push(Table { caption: String::new(), head, rows: next.amounts.iter().map(row).collect() });
        Some(part)
    }
}

/// When a position runs: by the timetable, or for the minutes of today.
fn runs(set: &PlannedSet, timetable: &[&Stint]) -> String {
    let number = set.number.to_string();
    let mut planned = timetable.iter().filter(|s| s.set == number).peekable();
    if planned.peek().is_some() {
        let each = planned.map(|s| format!("{} {}, {}", s.on.date().weekday(), from_to(s.on, s.off), show::minutes(s.run_min)));
        return each.collect::<Vec<_>>().join("\n");
    }
    match set.pulses.pulses.as_slice() {
        _ if set.runs < 2 => show::minutes(set.run_min),
        pulses => pulses.iter().map(|p| format!("{:.0} min, then soak {:.0} min", p.on_min, p.soak_min)).collect::<Vec<_>>().join("\n"),
    }
}

/// The days of a feeding, or its time in words.
fn days(round: &Round) -> String {
    match (round.from, round.until) {
        (Some(from), Some(until)) => format!("{from} to {until}"),
        (None, Some(until)) => format!("by {until}"),
        _ => round.when.clone(),
    }
}

/// "1/2 level scoop", or the weight where no scoop fits.
fn dose(amount: &ForTree, units: System) -> String {
    amount.hand.and_then(|h| h.scoop_words()).unwrap_or_else(|| weight(amount, units))
}

fn weight(amount: &ForTree, units: System) -> String {
    show::mass_per_tree(amount.rates.g_per_tree, units).trim_end_matches(" per tree").to_string()
}
