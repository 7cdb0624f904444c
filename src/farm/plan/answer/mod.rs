//! The plan in short: what a person reads at once, and what the field sheet shows large.

mod block;
mod week;

use super::content::Plan;
use super::page::{Line, Page, Part};
use crate::assumption::Weight;
use crate::units::show;

/// Blocks of a farm beyond which the answer tells only the headline of each.
const TOLD_ONE_BY_ONE: usize = 12;
/// Notes of a kind that are told.
const NOTES_TOLD: usize = 3;
/// Assumptions that are told.
const WEIGHTY_TOLD: usize = 4;
/// A feeding so near is this week's business too, days.
const NEAR_DAYS: i32 = 45;

/// The usual cautions in one breath; [`Plan::cautions`] has them whole.
const CARE: &str = "Let the pressure off before you move a hose; keep the jet clear of power lines, roads and people; dig a hole \
     before you trust these numbers.";

impl Plan {
    /// The answer in short, what a person reads at once: every block in a line, the week, what to give, the next feeding, the
    /// water, what to mind. [`Plan::page`] has everything.
    pub fn answer(&self) -> Page {
        let mut page = self.page();
        page.parts.retain(|part| part.key == "headlines");
        page.parts.extend(self.week.as_ref().map(|week| week.short(&self.blocks, self.units)));
        let due: Vec<_> = self.by_urgency().into_iter().filter(|b| b.net_mm > 0.0 || b.what_if.is_some()).collect();
        if self.blocks.len() <= TOLD_ONE_BY_ONE && !due.is_empty() {
            let mut part = Part::new("blocks", "Block by block");
            due.iter().for_each(|block| part.lines.extend(block.short(self.units)));
            page.parts.push(part);
        }
        page.parts.extend(self.beside());
        page.parts.push(self.care());
        page
    }

    /// What the field sheet shows large: the answer's first lines, then block by block where to stand, for how long, who gets a
    /// bucket and what the next feeding takes. Runs of one position stand line by line in one cell.
    pub fn field(&self) -> Page {
        let mut page = self.answer();
        let schedule = self.week.as_ref().and_then(|w| w.schedule.as_ref());
        if let Some((part, by_the_clock)) =
            page.parts.iter_mut().find(|p| p.key == "week").zip(schedule.map(|s| week::by_the_clock(s, &self.blocks)))
        {
            part.tables = vec![by_the_clock];
        }
        for block in &self.blocks {
            page.parts.extend(block.positions(schedule));
            page.parts.extend(block.bucket(self.units));
            page.parts.extend(block.scoops(self.units));
        }
        page
    }

    /// Next feedings, water and cost, a line each.
    fn beside(&self) -> Option<Part> {
        let mut part = Part::new("beside", "Besides");
        if self.blocks.len() <= TOLD_ONE_BY_ONE {
            let fed: Vec<Line> = self.blocks.iter().filter_map(|b| b.next_feeding(self.units)).collect();
            part.lines.extend(fed);
        }
        if let Some(week) = &self.week {
            week.supply.iter().for_each(|s| part.line("Water", s.passes_words()));
            week.cost.iter().for_each(|c| part.line("Cost", c.short_words()));
        }
        (!part.lines.is_empty()).then_some(part)
    }

    /// What matters most of what is to mind.
    fn care(&self) -> Part {
        let mut part = Part::new("care", "Mind");
        let near = |b: &&super::BlockPlan| {
            let next = b.feeding.as_ref().and_then(|f| f.next.as_ref());
            next.and_then(|n| n.from.or(n.until)).is_some_and(|day| day - self.date <= NEAR_DAYS)
        };
        for block in self.blocks.iter().filter(near) {
            let warnings = block.feeding.iter().flat_map(|f| &f.warnings);
            warnings.for_each(|w| part.say(format!("{}, feeding: {w}", block.name)));
        }
        for notes in [&self.log_notes, &self.weather_notes] {
            notes.iter().take(NOTES_TOLD).for_each(|note| part.say(note));
            if notes.len() > NOTES_TOLD {
                part.say(format!("and {} notes more", notes.len() - NOTES_TOLD));
            }
        }
        let weighty = self.weighty();
        if let Some(first) = weighty.get(..WEIGHTY_TOLD.min(weighty.len())).filter(|first| !first.is_empty()) {
            part.say(format!("Taken for granted, among other things: {}.", first.join("; ")));
        }
        part.say(CARE);
        part
    }

    /// What was assumed and moves the answer much, each thing once.
    fn weighty(&self) -> Vec<String> {
        let all = self.assumptions.iter().chain(self.blocks.iter().flat_map(|b| &b.assumptions));
        let mut told: Vec<String> = Vec::new();
        for row in all.filter(|row| row.weight == Weight::Much) {
            if !told.contains(&row.what) {
                told.push(row.what.clone());
            }
        }
        told
    }
}

/// A count with its noun: "1 set", "7 sets".
fn counted(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{} {many}", show::number(n as f64, 0)) }
}
