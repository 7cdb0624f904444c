//! The week in words.

use super::clock::timetable;
use super::content::{CostPlan, HeatWatch, SupplyPlan, WeekPlan};
use crate::date::Date;
use crate::farm::plan::page::{Line, Part, Table};
use crate::farm::plan::{BlockPlan, Standing};
use crate::schedule::{ClosedHours, Moment, PulseWay, Schedule};
use crate::units::{System, show};
use crate::water::supply::{SupplyEnd, Withdrawals};
use std::cmp::Ordering;

impl WeekPlan {
    /// How pulsed sets are run this week; nothing where no set asks for pulses.
    pub(in crate::farm::plan) fn pulse_way(&self) -> Option<PulseWay> {
        let candidates = &self.schedule.as_ref()?.candidates;
        candidates.iter().find(|c| c.chosen && candidates.len() > 1).map(|c| c.way)
    }

    /// The parts that stand in front of the blocks: what to do this week.
    pub(in crate::farm::plan) fn first(&self, blocks: &[BlockPlan], units: System) -> Part {
        let mut part = Part::new("week", "This week");
        match &self.schedule {
            Some(schedule) => self.answer(schedule, blocks, units, &mut part),
            None => part.line("Start by", "nothing has to start: no block reaches its limit this week, even without rain".to_string()),
        }
        if let Some(hours) = &self.hours {
            part.line("Closed", closed(hours, units));
        }
        if let Some(next) = &self.next {
            part.line("Later", format!("{} next; it may reach its limit {} {}", next.block, next.date.weekday(), next.date));
        }
        if let Some(heat) = &self.heat {
            part.line("Heat", heat.words(self.schedule.as_ref(), units));
        }
        for advice in &self.advice {
            let words = format!("{} to {}: {} ({})", advice.from, advice.to, advice.words, advice.source);
            part.line(if advice.what == "taper" { "Taper" } else { "Recharge" }, words);
        }
        for note in &self.notes {
            part.line("Note", note.clone());
        }
        part.lines.extend(self.beside_limit(units).map(|text| Line { label: "Note".into(), text }));
        if let Some(schedule) = &self.schedule {
            part.tables.push(timetable(schedule));
            if !self.remedies.is_empty() {
                part.tables.push(self.side_by_side());
            }
        }
        part
    }

    /// Planned days that draw more than the farm's own limit of a day.
    fn beside_limit(&self, units: System) -> Option<String> {
        let (then, now) = (self.drawn_then.as_ref()?, self.schedule.as_ref()?.now.date());
        let limit_l = then.limit.day_l?;
        let over = then.days.iter().filter(|d| d.date >= now && d.volume_l > limit_l);
        let days: Vec<String> = over.map(|d| format!("{} {}", d.date.weekday(), show::volume(d.volume_l, units))).collect();
        let head = format!("beside your {} a day this timetable draws", show::volume(limit_l, units));
        (!days.is_empty()).then(|| format!("{head} {}; a count, no verdict", listed(&days)))
    }

    /// The parts behind the blocks: supply and cost.
    pub(in crate::farm::plan) fn last(&self, units: System) -> Vec<Part> {
        let mut parts = Vec::new();
        if self.supply.is_some() || self.drawn.is_some() || self.drawn_then.is_some() {
            let mut part = Part::new("supply", "Water to pump");
            if let Some(supply) = &self.supply {
                supply.lines(&mut part, units);
            }
            if let Some(drawn) = &self.drawn {
                part.line("Drawn", drawn_words(drawn, "so far by the log", units));
            }
            if let Some(drawn) = &self.drawn_then {
                part.line("With this week", drawn_words(drawn, "by the end of this timetable", units));
            }
            parts.push(part);
        }
        if let Some(cost) = &self.cost {
            parts.push(cost.part(units));
        }
        parts
    }

    fn answer(&self, schedule: &Schedule, blocks: &[BlockPlan], units: System, part: &mut Part) {
        let who = schedule.timetable.first().map(|s| format!(", with {}", s.job)).unwrap_or_default();
        let last = schedule.finish.map(|f| format!("; the last set ends {}", f.words_from(schedule.now.date()))).unwrap_or_default();
        let past = !self.past_limit.is_empty();
        match (self.start_by, schedule.in_time) {
            (Some(start), true) if past => part.line("Start by", format!("at once, {}{who}{last}", start.words())),
            (Some(start), true) => {
                let hand = format!("{} of working time in hand", hours(schedule.slack_h));
                part.line("Start by", format!("{}{who}, so that no block is too late if no rain comes{last}; {hand}", start.words()));
            }
            (None, true) => part.line("Start by", "any time: nothing has a limit".to_string()),
            (_, false) => {
                let late: Vec<String> = schedule
                    .jobs
                    .iter()
                    .filter(|j| j.late_h > 0.0)
                    .map(|j| {
                        let likely =
                            if j.likely_late_h > 0.0 { format!(", likely {}", hours(j.likely_late_h)) } else { ", likely in time".into() };
                        format!("{} is done {} too late (low end of its limit{likely})", j.name, hours(j.late_h))
                    })
                    .collect();
                let start = schedule.timetable.first().map(|s| s.begin.words()).unwrap_or_default();
                part.line(
                    "Start by",
                    format!("{start}, and still it cannot be done: short by {} of work if no rain comes", hours(schedule.short_h)),
                );
                part.line("Too late", late.join("; "));
                if let Some(out) = &schedule.leave_out {
                    part.line(
                        "Leave out",
                        format!("{}: worth least, and then the rest is in time ({} saved)", out.jobs.join(" and "), hours(out.saved_h)),
                    );
                }
                if let Some(fewer) = &schedule.fewer_sets {
                    part.line("Or leave out", format!("{} of the {} sets of {}", fewer.sets, fewer.of, fewer.job));
                }
            }
        }
        if blocks.iter().any(|b| b.week_rain_mm > 0.0) {
            let rain = match self.start_by_with_rain {
                Some(start) => format!("{}, if the foreseen rain comes", start.words()),
                None if !self.due_with_rain => "nothing has to start this week if the foreseen rain comes".into(),
                None => "not in time either".into(),
            };
            part.line("With rain", rain);
        }
        part.lines.extend(self.likely_words(schedule).map(|text| Line { label: "Likely".into(), text }));
        if !self.past_limit.is_empty() {
            let done = schedule.jobs.iter().filter(|j| self.past_limit.contains(&j.name)).map(|j| j.finish).max();
            let done = done.map(|d| format!(", done {}", d.words_from(schedule.now.date()))).unwrap_or_default();
            let likely = |name: &String| blocks.iter().any(|b| b.name == *name && b.standing == Standing::Due);
            let (past, perhaps): (Vec<String>, Vec<String>) = self.past_limit.iter().cloned().partition(likely);
            let mut told = Vec::new();
            if !past.is_empty() {
                told.push(format!("{} by the likely reckoning", listed(&past)));
            }
            if !perhaps.is_empty() {
                told.push(format!("{} only at the dry end of the range: a hole will tell", listed(&perhaps)));
            }
            part.line("Past limit", format!("{}; served first{done}", told.join("; ")));
        }
        if schedule.in_time && !self.late_likely.is_empty() {
            let late: Vec<String> = self.late_likely.iter().map(|(name, h)| format!("{name} {} after it", hours(*h))).collect();
            let words = format!("{} serve every block before its likely limit", not_enough(schedule));
            part.line("Too late", format!("{words}: {}", listed(&late)));
        }
        let sum = |f: fn(&crate::schedule::JobAnswer) -> f64| schedule.jobs.iter().map(f).sum::<f64>() / 60.0;
        let moves: usize = schedule.jobs.iter().map(|j| j.moves).sum();
        let proof = if schedule.exact {
            "every order was looked at".to_string()
        } else {
            format!("a good order: no other gains more than {}", hours(schedule.gap_h))
        };
        let moving = if moves == 1 { "1 move".into() } else { format!("{moves} moves") };
        part.line(
            "Work",
            format!("{moving}, {} of water and {} of moving ({proof})", hours(sum(|j| j.run_min)), hours(sum(|j| j.move_min))),
        );
        part.lines.extend(way_words(schedule).map(|text| Line { label: "Pulses".into(), text }));
        part.line("Positions", self.positions_words(units));
    }

    /// What the middle of the ranges asks for, where it differs from their dry end, which the plan goes by.
    fn likely_words(&self, schedule: &Schedule) -> Option<String> {
        const AS_LIKELY: &str = "if the blocks are as dry as is likely, not as dry as they may be";
        match self.start_by_likely {
            Some(start) if self.start_by == Some(start) => None,
            Some(start) => Some(format!("{} will do, {AS_LIKELY}", start.words())),
            None if !self.due_likely => Some(format!("nothing has to start this week, {AS_LIKELY}")),
            // then the blocks that come too late are told by name
            None if schedule.in_time => None,
            None => Some(format!("not in time either, {AS_LIKELY}")),
        }
    }

    /// Positions of each block, and where their numbers come from.
    fn positions_words(&self, units: System) -> String {
        let mut sources: Vec<&str> = Vec::new();
        for work in &self.works {
            if !sources.contains(&work.source.as_str()) {
                sources.push(&work.source);
            }
        }
        let told = sources.iter().map(|source| {
            let of_source = || self.works.iter().filter(|w| w.source == *source);
            let each: Vec<String> = of_source().map(|w| format!("{} {}", w.block, w.positions)).collect();
            let ground = of_source()
                .filter_map(|w| w.each_m2)
                .fold(None, |range: Option<(f64, f64)>, m2| Some(range.map_or((m2, m2), |(low, high)| (low.min(m2), high.max(m2)))));
            let ground = ground.map_or(String::new(), |(low, high)| {
                let (low, high) = (show::area(low, units), show::area(high, units));
                if low == high { format!(": one waters {low}") } else { format!(": one waters {low} to {high}") }
            });
            format!("{} ({source}{ground})", listed(&each))
        });
        told.collect::<Vec<_>>().join("; ")
    }

    fn side_by_side(&self) -> Table {
        let row = |r: &crate::schedule::RemedyAnswer| {
            let answer = match r.start_by {
                Some(start) => format!("in time from {}", start.words()),
                None if r.in_time => "in time".into(),
                None => format!("short by {}", hours(r.short_h)),
            };
            vec![r.what.clone(), answer, r.price.clone()]
        };
        Table {
            caption: "What would help:".into(),
            head: vec!["change".into(), "then".into(), "price".into()],
            rows: self.remedies.iter().map(row).collect(),
        }
    }
}

/// How pulsed sets are run, and why so.
fn way_words(schedule: &Schedule) -> Option<String> {
    let chosen = schedule.candidates.iter().find(|c| c.chosen)?;
    let others = schedule.candidates.iter().filter(|c| !c.chosen && c.short_h.is_some());
    let least = others.min_by(|a, b| a.short_h.partial_cmp(&b.short_h).unwrap_or(Ordering::Equal).then(a.work_h.total_cmp(&b.work_h)))?;
    let more = least.work_h - chosen.work_h;
    let instead = match (least.way, least.short_h.unwrap_or(0.0) - chosen.short_h.unwrap_or(0.0)) {
        (way, late) if late > 0.0 => format!("{} is {} later", way_name(way), hours(late)),
        (PulseWay::OneRun, _) if more < 0.0 => {
            let lost = least.runoff.map_or("nobody knows how much".into(), |r| format!("{:.0} %", 100.0 * r));
            format!("{} saves {} of work, but {lost} of its water may run off", way_name(least.way), hours(-more))
        }
        (way, _) => format!("{} takes {} more of moving and waiting", way_name(way), hours(more)),
    };
    Some(match chosen.way {
        PulseWay::OneRun => {
            let lost = 100.0 * chosen.runoff.unwrap_or(0.0);
            let lost =
                if lost < 0.5 { "likely it all goes in".into() } else { format!("likely {lost:.0} % of it runs off and is made up for") };
            format!("none: each position has one run, {lost}; {instead}. Where water stands or runs, stop and come back to the rest later")
        }
        PulseWay::GoingRound if schedule.timetable.iter().any(|s| s.pulse.0 > 1 && s.move_min > 0.0) => {
            format!("while one position soaks in the next one runs; {instead}")
        }
        PulseWay::InPlace | PulseWay::GoingRound => format!("the sprinkler waits in place while the water soaks in; {instead}"),
    })
}

fn way_name(way: PulseWay) -> &'static str {
    match way {
        PulseWay::GoingRound => "going round the positions pulse by pulse",
        PulseWay::InPlace => "waiting in place",
        PulseWay::OneRun => "one run each",
    }
}

/// Which hours no set runs in and why, and how far the forecast of hours reaches.
fn closed(hours: &ClosedHours, units: System) -> String {
    let limits = [
        hours.limits.wind_m_s.map(|wind| format!("wind above {}", show::speed(wind, units))),
        hours.limits.t_c.map(|t_c| format!("heat above {}", show::temperature(t_c, units))),
    ];
    let limits: Vec<String> = limits.into_iter().flatten().collect();
    let spans: Vec<String> = hours.closed.iter().map(|c| format!("{} ({})", span(c.from, c.to, c.from.date()), c.why)).collect();
    let shut = if spans.is_empty() { "no working hour".to_string() } else { listed(&spans) };
    format!("{shut}, by {}; hours are foreseen to {} {}", limits.join(" or "), hours.to.words(), hours.to.date())
}

fn hours(h: f64) -> String {
    format!("{h:.1} h")
}

fn span(from: Moment, to: Moment, today: Date) -> String {
    let end = if from.date() == to.date() { to.clock() } else { to.words_from(today) };
    format!("{} to {end}", from.words_from(today))
}

/// "one sprinkler at these hours does not": the start of what cannot be done.
pub(super) fn not_enough(schedule: &Schedule) -> String {
    match schedule.timetable.iter().map(|s| s.sprinkler).max() {
        Some(count) if count > 1 => format!("{count} sprinklers at these hours do not"),
        _ => "one sprinkler at these hours does not".into(),
    }
}

/// Names in a row; of many the first few, which are the most urgent ones or stand first in the farm.
pub(in crate::farm::plan) fn listed(names: &[String]) -> String {
    const NAMED: usize = 8;
    match names.get(..NAMED) {
        Some(first) if names.len() > NAMED + 1 => format!("{} and {} more", first.join(", "), names.len() - NAMED),
        _ => names.join(", "),
    }
}

impl HeatWatch {
    /// Blocks that the timetable does not fill before the heat.
    pub(in crate::farm::plan) fn not_served(&self, schedule: Option<&Schedule>) -> Vec<String> {
        let late = |name: &String| {
            let job = schedule.and_then(|s| s.jobs.iter().find(|j| j.name == *name));
            job.is_none_or(|j| j.finish.date() > self.pre_wet_by)
        };
        self.blocks.iter().map(|(name, _)| name.clone()).filter(late).collect()
    }

    /// The hot days, what the root zones will lack on the first, and who is not served before it.
    fn words(&self, schedule: Option<&Schedule>, units: System) -> String {
        let days: Vec<String> = self.days.iter().map(|d| format!("{} {}", d.date.weekday(), show::temperature(d.tmax_c, units))).collect();
        let blocks: Vec<String> = self.blocks.iter().map(|(name, lacks)| format!("{name} ({})", show::depth(*lacks, units))).collect();
        if blocks.is_empty() {
            return format!("{}; no root zone has room to fill", days.join(", "));
        }
        let by = format!("{} {}", self.pre_wet_by.weekday(), self.pre_wet_by);
        let late = self.not_served(schedule);
        let late = if late.is_empty() {
            String::new()
        } else {
            format!("; this timetable does not serve {} by then: a bucket for the weakest, mulch and weeding help", listed(&late))
        };
        format!(
            "{}; wet roots by the evening of {by} help: all that is lacking until full then is {}{late}",
            days.join(", "),
            listed(&blocks)
        )
    }
}

impl SupplyPlan {
    fn lines(&self, part: &mut Part, units: System) {
        let o = &self.outlook;
        let range = |low: f64, high: f64| {
            if high - low <= 0.01 * high {
                show::volume(low, units)
            } else {
                format!("{} to {}", show::volume(low, units), show::volume(high, units))
            }
        };
        part.line("Can be drawn", range(o.usable_l.low, o.usable_l.high));
        let pass = &o.pass;
        part.line(
            "A pass",
            format!(
                "{}, every {}",
                range(pass.volume_l.low, pass.volume_l.high),
                if pass.every_days == 1 { "day".into() } else { format!("{} days", pass.every_days) }
            ),
        );
        let lasts = |end: &SupplyEnd| end.out_on.map_or(format!("beyond {}", self.to), |d| format!("to {} {d}", d.weekday()));
        part.line(
            "Passes left",
            format!(
                "{} (range {} to {}) up to {}, without rain; it lasts {} (dry end: {})",
                o.likely.passes,
                o.dry.passes,
                o.wet.passes,
                self.to,
                lasts(&o.likely),
                lasts(&o.dry)
            ),
        );
        if let Some(first) = o.likely.level_m.first() {
            let at = |day: usize| o.likely.level_m.get(day).map(|l| show::length(*l, units)).unwrap_or_default();
            part.line("Level", format!("{} tonight, {} in a week, {} in four", show::length(*first, units), at(6), at(27)));
        }
        let well = match self.well_min {
            Some((Some(low), Some(high))) if high - low < 1.0 => format!("keeps up the sprinkler's flow for {}", show::minutes(low)),
            Some((Some(low), Some(high))) => format!("keeps up the sprinkler's flow for {} to {}", show::minutes(low), show::minutes(high)),
            Some((Some(low), None)) => format!("keeps up the sprinkler's flow for {} or for ever", show::minutes(low)),
            Some((None, _)) => "keeps up the sprinkler's flow".into(),
            None => return,
        };
        part.line("Well", well);
    }
}

fn drawn_words(drawn: &Withdrawals, when: &str, units: System) -> String {
    let beside = |limit: Option<f64>| limit.map(|l| format!(" beside your {}", show::volume(l, units))).unwrap_or_default();
    let mut words = vec![format!("{} {when}", show::volume(drawn.total_l, units))];
    if let Some(day) = drawn.largest_day {
        words.push(format!("most in a day {}{} ({})", show::volume(day.volume_l, units), beside(drawn.limit.day_l), day.date));
    }
    if let Some(month) = drawn.months.last() {
        words.push(format!("{}-{:02} {}{}", month.year, month.month, show::volume(month.volume_l, units), beside(drawn.limit.month_l)));
    }
    if let Some(mean) = drawn.largest_30_days {
        words.push(format!("largest mean of 30 days {} a day{}", show::volume(mean.volume_l, units), beside(drawn.limit.mean_30_day_l)));
    }
    format!("{}; counts, no verdict", words.join("; "))
}

impl CostPlan {
    fn part(&self, units: System) -> Part {
        let mut part = Part::new("cost", "What the week's work costs");
        let money = |x: f64| show::number(x, 2);
        let p = &self.pass;
        part.line(
            "Cost",
            format!(
                "{}: fuel {}, labor {} ({} of people's time), water {}, wear {}",
                money(p.total),
                money(p.fuel),
                money(p.labor),
                hours(p.people_h),
                money(p.water),
                money(p.wear)
            ),
        );
        let each = [
            p.per_acre_inch.zip(p.per_m3).map(|(acre_inch, m3)| match units {
                System::Us => format!("{} an acre-inch", money(acre_inch)),
                System::Si => format!("{} a cubic meter", money(m3)),
            }),
            p.per_tree.map(|t| format!("{} a tree", show::number(t, 3))),
        ];
        let each: Vec<String> = each.into_iter().flatten().collect();
        if !each.is_empty() {
            part.line("That is", each.join(", "));
        }
        if let Some(worth) = &self.worth {
            part.line(
                "Worth it?",
                format!(
                    "it pays if it saves {} of the trees ({:.1} %): {} stand at risk",
                    show::number(worth.break_even_trees.ceil(), 0),
                    100.0 * worth.break_even_share,
                    money(worth.at_risk)
                ),
            );
        }
        for block in &self.blocks {
            let how = if block.tree.replant { "replaced" } else { "not replaced" };
            let words = format!(
                "a tree lost costs {} ({how}); its part of the work, {}, pays if it saves {}",
                money(block.tree.loss),
                money(block.cost),
                match block.worth.break_even_trees.ceil() {
                    1.0 => "1 tree".into(),
                    n => format!("{} trees", show::number(n, 0)),
                }
            );
            part.line("", format!("{}: {words}", block.block));
        }
        if !self.missing.is_empty() {
            part.line("Not counted", self.missing.join("; "));
        }
        part
    }
}
