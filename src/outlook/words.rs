//! The coming weeks in words and tables.

use super::season::{Band, BlockOutlook, Outlook};
use crate::farm::{Line, Part, Table};
use crate::units::show;
use std::fmt;

impl Outlook {
    /// The coming weeks in words.
    pub fn part(&self) -> Part {
        let title = format!("The coming {} days as {} past years would make them", self.days, self.years.len());
        let mut part = Part { key: "outlook".into(), title, ..Part::default() };
        let mut line = |label: &str, text: String| part.lines.push(Line { label: label.into(), text });
        let mut years: Vec<String> = self.years.iter().map(ToString::to_string).collect();
        const SHOWN: usize = 12;
        if years.len() > SHOWN {
            years = vec![format!("{} to {}", years.first().cloned().unwrap_or_default(), years.last().cloned().unwrap_or_default())];
        }
        let foreseen = match self.forecast_days {
            0 => String::new(),
            1 => "; the first day is the forecast".into(),
            n => format!("; the first {n} days are the forecast"),
        };
        let rain = |mm| show::depth(mm, self.units);
        let (low, high) = (rain(self.rain_mm.low), rain(self.rain_mm.high));
        let middle = rain(self.rain_mm.middle);
        line("", format!("Years {}{foreseen}. Rain mostly {low} to {high}, {middle} in the middle one.", years.join(", ")));
        for block in &self.blocks {
            line(&block.name, self.sentence(block));
        }
        for why in &self.left_out {
            line("", format!("Left out: {why}."));
        }
        let mornings = self.mornings();
        part.tables = vec![
            self.table(&mornings, "Share of the years in which it has needed water by that morning, if nobody waters:", |block, n| {
                block.chance_due.get(n).map_or(String::new(), |chance| format!("{:.0} %", 100.0 * chance))
            }),
            self.table(
                &mornings,
                "Percent used of the water that the roots can take, if nobody waters: in the wettest year of ten, the middle one and \
                 the driest of ten:",
                |block, n| {
                    let percent = |share: f64| format!("{:.0}", 100.0 * share);
                    block.depletion.get(n).map_or(String::new(), |b| [b.low, b.middle, b.high].map(percent).join("/"))
                },
            ),
        ];
        part
    }

    /// The mornings that tables show: every week, of a long look ahead every few, and the last.
    fn mornings(&self) -> Vec<usize> {
        const COLUMNS: usize = 8;
        let step = 7 * self.days.div_ceil(7 * COLUMNS).max(1);
        let last = self.days.saturating_sub(1);
        let mut mornings: Vec<usize> = (1..COLUMNS).map(|n| n * step).take_while(|n| *n < last).collect();
        mornings.push(last);
        mornings
    }

    /// A row for each block, a column for each of the mornings.
    fn table(&self, mornings: &[usize], caption: &str, cell: impl Fn(&BlockOutlook, usize) -> String) -> Table {
        let date = |n: &usize| {
            let date = self.date + i32::try_from(*n).unwrap_or(i32::MAX);
            format!("{:02}-{:02}", date.month(), date.day())
        };
        let row = |block: &BlockOutlook| std::iter::once(block.name.clone()).chain(mornings.iter().map(|n| cell(block, *n))).collect();
        Table {
            caption: caption.into(),
            head: std::iter::once("block".to_string()).chain(mornings.iter().map(date)).collect(),
            rows: self.blocks.iter().map(row).collect(),
        }
    }

    fn sentence(&self, block: &BlockOutlook) -> String {
        let day = |n: usize| {
            let date = self.date + i32::try_from(n).unwrap_or(i32::MAX);
            format!("{} {date}", date.weekday())
        };
        let ever = block.chance_due.last().copied().unwrap_or(0.0);
        let of = |chance: f64| format!("{} of {} years", show::number(chance * self.years.len() as f64, 0), self.years.len());
        if ever == 0.0 {
            return format!("needs no water within {} days in any year.", self.days);
        }
        if block.chance_due.first() == Some(&1.0) {
            return format!("needs water now. {}", self.total(block));
        }
        let mut text = String::from("needs water");
        let mut said = None;
        for chance in [0.1, 0.5, 0.9] {
            if let Some(n) = block.due_by(chance).filter(|n| said != Some(*n)) {
                let joint = if said.is_none() { "" } else { "," };
                text.push_str(&format!("{joint} by {} in {}", day(n), of(block.chance_due.get(n).copied().unwrap_or(chance))));
                said = Some(n);
            }
        }
        if ever < 0.9 {
            text.push_str(&format!(", within {} days in {}", self.days, of(ever)));
        }
        format!("{text}. {}", self.total(block))
    }

    fn total(&self, block: &BlockOutlook) -> String {
        let count = |x: f64| show::number(x, 0);
        let Band { low, high, .. } = block.waterings;
        let mut text = format!("Watered whenever it is due, mostly {} to {} waterings", count(low), count(high));
        if let Some(m3) = block.pumped_m3 {
            let volume = |v: f64| show::volume(1000.0 * v, self.units);
            text.push_str(&format!(" with {} to {} of water", volume(m3.low), volume(m3.high)));
        }
        text + "."
    }
}

impl fmt::Display for Outlook {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.part().fmt(f)
    }
}
