//! The plan in words.

use super::content::{Basis, BlockPlan, Estimate, INCH_A_WEEK_MM, IntakePlan, Plan, SAME_MM, Standing, WhatIf};
use super::page::{Page, Part, Table};
use super::sets::SetsPlan;
use crate::assumption::{Assumed, Weight};
use crate::units::{System, show};
use std::fmt;

/// Usual cautions of watering with a pump, a hose and a big sprinkler. Local rules and licensed practice go first.
const CAUTIONS: [&str; 6] = [
    "Keep below the pressure rating of hose and couplings; let the pressure off before you move a hose or open a joint.",
    "Keep the jet clear of power lines, roads, buildings and people; nobody stands in front of it.",
    "Pump: guards on, suction hose sound, no electric gear in the wet without a ground-fault breaker.",
    "Moving hose in the heat is hard work: go early, drink, rest in the shade.",
    "Drawing from a pond, stream or well may need a permit or a report: ask your local water authority.",
    "These are reckoned numbers. Dig a hole before you trust them, and follow local rules and licensed advice where they apply.",
];

impl Plan {
    /// Usual cautions that go with this plan.
    pub fn cautions(&self) -> Vec<&str> {
        let feeding = self.feeding.iter().flat_map(|list| &list.cautions);
        CAUTIONS.into_iter().chain(feeding.map(String::as_str)).collect()
    }

    /// Blocks in the order in which they run short.
    pub fn by_urgency(&self) -> Vec<&BlockPlan> {
        let mut blocks: Vec<&BlockPlan> = self.blocks.iter().collect();
        let key = |b: &BlockPlan| (b.days_left.map_or(f64::INFINITY, |d| d.value), -b.depletion.value / b.allowed_depletion.max(0.01));
        blocks.sort_by(|a, b| key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal));
        blocks
    }
}

impl fmt::Display for Plan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.page().fmt(f)
    }
}

impl Plan {
    /// The plan in words, part by part: what [`fmt::Display`] prints and the field sheet shows.
    pub fn page(&self) -> Page {
        let mut parts = vec![self.headlines()];
        parts.extend(self.week.iter().map(|week| week.first(&self.blocks, self.units)));
        for block in &self.blocks {
            parts.push(block.part(self));
            parts.extend(block.sets.as_ref().map(|sets| sets.part(&block.name, self.units)));
        }
        parts.extend(self.blocks.iter().filter_map(|block| block.feeding_part(self.units)));
        parts.extend(self.feeding.as_ref().map(|list| list.part(self.units)));
        parts.extend(self.week.iter().flat_map(|week| week.last(self.units)));
        let records = [("weather", "Weather records", &self.weather_notes), ("log", "Season log", &self.log_notes)];
        for (key, title, notes) in records.into_iter().filter(|(.., notes)| !notes.is_empty()) {
            let mut part = Part::new(key, title);
            notes.iter().for_each(|note| part.say(note));
            parts.push(part);
        }
        let mut assumed = Part::new("assumptions", "Taken for granted (what moves the answer most comes first)");
        self.assumption_lines().into_iter().for_each(|line| assumed.say(line));
        let mut care = Part::new("cautions", "Take care");
        self.cautions().into_iter().for_each(|caution| care.say(caution));
        parts.extend([assumed, care]);
        Page { title: format!("{}: water for the week from {} {}", self.farm, self.date.weekday(), self.date), about: self.about(), parts }
    }

    /// What the reckoning stands on.
    fn about(&self) -> String {
        let ahead = match self.days_ahead {
            0 => "; nothing is foreseen: the coming days are taken like the last seven, without rain.".into(),
            n if n >= self.horizon_days => ".".into(),
            1 => "; 1 day ahead is given, then days like the last seven, without rain.".into(),
            n => format!("; {n} days ahead are given, then days like the last seven, without rain."),
        };
        format!("Reckoned from {} with weather to {}{ahead}", self.from, self.weather_to)
    }

    /// Every block in one line, the most urgent first.
    fn headlines(&self) -> Part {
        let row = |block: &&BlockPlan| vec![block.name.clone(), block.standing.words().to_string(), headline(block, self.units)];
        let rows = self.by_urgency().iter().map(row).collect();
        Part { tables: vec![Table { rows, ..Table::default() }], ..Part::new("headlines", "") }
    }
}

impl Plan {
    /// Every assumption once, the weightiest first, with each value that it took and for which blocks.
    fn assumption_lines(&self) -> Vec<String> {
        type Values<'a> = Vec<(String, Vec<&'a str>)>;
        let mut rows: Vec<(&Assumed, Values<'_>)> = Vec::new();
        let of_week = self.week.iter().flat_map(|w| &w.assumptions);
        let everywhere = self.assumptions.iter().chain(of_week).map(|a| (a, None));
        let by_block = self.blocks.iter().flat_map(|b| {
            let feeding = b.feeding.iter().flat_map(|f| &f.assumptions);
            b.assumptions.iter().chain(feeding).map(move |a| (a, Some(b.name.as_str())))
        });
        for (assumed, block) in everywhere.chain(by_block) {
            let found = rows.iter().position(|(row, _)| row.key == assumed.key && block.is_some());
            let index = found.unwrap_or(rows.len());
            if found.is_none() {
                rows.push((assumed, Vec::new()));
            }
            if let (Some((_, values)), Some(block)) = (rows.get_mut(index), block) {
                let value = assumed.value_words(self.units);
                match values.iter_mut().find(|(known, _)| *known == value) {
                    Some((_, blocks)) => blocks.push(block),
                    None => values.push((value, vec![block])),
                }
            }
        }
        rows.sort_by_key(|(row, _)| std::cmp::Reverse(row.weight));
        rows.into_iter().map(|(row, values)| self.assumption_line(row, &values)).collect()
    }

    fn assumption_line(&self, row: &Assumed, values: &[(String, Vec<&str>)]) -> String {
        let everywhere = |blocks: &Vec<&str>| blocks.len() == self.blocks.len();
        match values {
            [] => row.words(self.units),
            [(_, blocks)] if everywhere(blocks) => row.words(self.units),
            _ => {
                let each: Vec<String> =
                    values.iter().map(|(value, blocks)| format!("{value} {}", blocks.join(", ")).trim().to_string()).collect();
                format!("{}: {} ({})", row.what, each.join("; "), row.source)
            }
        }
    }
}

fn headline(block: &BlockPlan, units: System) -> String {
    let days = match block.days_left {
        Some(d) if d.value < 0.5 => String::new(),
        Some(d) => format!("{} left; ", days(d.value)),
        None => "more than a month left; ".into(),
    };
    if block.standing == Standing::Wet {
        return "above field capacity: let it drain".into();
    }
    if block.net_mm == 0.0 {
        return format!("{days}nothing to give yet");
    }
    let (low, high) = block.intake.as_ref().and_then(|i| i.one_run_min).map_or(block.run_min, |once| (once, once));
    let pulses = match &block.intake {
        Some(intake) if intake.is_run_in_pulses() => {
            format!(", in {} pulses over {:.1} h", intake.pulses.pulses.len(), intake.pulses.elapsed_h)
        }
        _ => String::new(),
    };
    let doubt = if block.standing == Standing::Due && block.depletion.low < block.allowed_depletion {
        "; dig a hole first: a moist one says wait"
    } else {
        ""
    };
    let run = match block.sets.as_ref().map(|s| (s.sets.len(), s.day.pump_min)) {
        Some((n, minutes)) if n > 0 => format!("{n} {}, {} of water", if n == 1 { "set" } else { "sets" }, show::minutes(minutes)),
        Some(_) => "by hand: no set reaches it".into(),
        None => format!("run {}{pulses}", span_minutes(low, high)),
    };
    format!("{days}give {} net, {run}{doubt}", show::depth(block.net_mm, units))
}

fn days(value: f64) -> String {
    match value.round() {
        n if n < 1.0 => "less than a day".into(),
        n if n < 2.0 => "1 day".into(),
        n => format!("{n:.0} days"),
    }
}

fn whole_days(n: impl TryInto<u64>) -> String {
    match n.try_into().unwrap_or(0) {
        0 => "no day".into(),
        1 => "1 day".into(),
        n => format!("{n} days"),
    }
}

fn span_minutes(low: f64, high: f64) -> String {
    if (high - low).abs() < 1.0 { show::minutes(low) } else { format!("{} to {}", show::minutes(low), show::minutes(high)) }
}

fn percent(value: f64) -> String {
    format!("{:.0} %", 100.0 * value)
}

fn percent_range(e: &Estimate) -> String {
    format!("{} (range {:.0} to {:.0} %)", percent(e.value), 100.0 * e.low, 100.0 * e.high)
}

impl BlockPlan {
    fn part(&self, plan: &Plan) -> Part {
        let units = plan.units;
        let years = plan.date.year() - self.planted.year();
        let age = if years == 0 { "planted this year".to_string() } else { format!("planted {}", self.planted.year()) };
        let trees = self.trees.map(|n| format!(", {} {}", show::number(f64::from(n), 0), if n == 1 { "tree" } else { "trees" }));
        let trees = trees.unwrap_or_default();
        let mut part = Part::new("block", format!("{}: {}, {age}{trees}", self.name, self.species)).of_block(&self.name);
        let mut line = |label: &str, text: String| part.line(label, text);
        line(
            "How dry",
            format!("{} of the available water is used; water at {}", percent_range(&self.depletion), percent(self.allowed_depletion)),
        );
        line(
            "",
            format!(
                "{} short of field capacity, of {} that the top {} holds",
                show::depth(self.depletion_mm.value, units),
                show::depth(self.available_water_mm, units),
                show::soil_depth(self.root_depth_m.value, units)
            ),
        );
        line("Days left", self.days_words());
        line(
            "A week's use",
            format!(
                "{} by the roots (the habit of {} a week is {}); rain foreseen {}",
                show::weekly(self.week_use_mm, units),
                if units == System::Us { "an inch".into() } else { show::depth(INCH_A_WEEK_MM, units) },
                habit(self.week_use_mm),
                show::depth(self.week_rain_mm, units)
            ),
        );
        if self.net_mm > 0.0 {
            let gross = format!("{} to {}", show::depth(self.gross_mm.0, units), show::depth(self.gross_mm.1, units));
            let gross = if self.gross_mm.1 - self.gross_mm.0 < 0.1 { show::depth(self.gross_mm.0, units) } else { gross };
            // sets have their own account of what arrives
            let placed = self.sets.as_ref().filter(|s| !s.sets.is_empty());
            let pumped = match placed {
                Some(_) => String::new(),
                None => format!(" = {gross} pumped ({} of it arrives)", arrives(self.efficiency)),
            };
            line("Give", format!("{} into the roots, {}{pumped}", show::depth(self.net_mm, units), self.basis.why_no_more(self.net_mm)));
            let mut volume = format!("{} on its roots", show::volume_per_tree(self.tree_l, units));
            if let Some(sets) = placed {
                // what falls between the trees, beside the block and twice stands in it: no even fall tells it
                volume = format!("{volume}; its sets pump {}", show::volume(sets.pumped_l, units));
            } else if let (Some((low, high)), Some(area)) = (self.block_l, self.area_m2) {
                let all = if high - low < 1.0 {
                    show::volume(low, units)
                } else {
                    format!("{} to {}", show::volume(low, units), show::volume(high, units))
                };
                volume = format!("{volume}; {all} for all of the block's {}, between the trees too", show::area(area, units));
            }
            line("Water", volume);
            let even =
                format!("{} at each position, at {}", span_minutes(self.run_min.0, self.run_min.1), show::rate(plan.rate_mm_h, units));
            line("Run", if placed.is_some() { "as its sets below".into() } else { even });
            if let Some(intake) = &self.intake {
                line("Into the soil", intake.words(placed, units));
            }
        } else {
            line("Give", "nothing: what is short is not worth starting for".into());
        }
        let air = &self.so_far;
        if air.airless_days > 0 || air.days_above_field_capacity > 0 {
            line(
                "Wet feet",
                format!(
                    "{} short of air{}, {} above field capacity so far; {} {}",
                    whole_days(air.airless_days),
                    if air.airless_days > 0 { format!(" (longest run {})", air.longest_airless_run) } else { String::new() },
                    whole_days(air.days_above_field_capacity),
                    self.species,
                    self.wet_feet
                ),
            );
        }
        if air.stress_days > 0 {
            line("Stress", format!("{} with less water than the trees wanted so far", whole_days(air.stress_days)));
        }
        if let Some(trees) = &self.trees_so_far {
            line("Tree by tree", trees.words(units));
        }
        for reading in &self.readings {
            line("Looked up", reading.words(units));
        }
        for note in &self.notes {
            line("Note", note.clone());
        }
        if let Some(what_if) = &self.what_if {
            line("What if", what_if.words(units));
        }
        part
    }

    fn days_words(&self) -> String {
        match &self.days_left {
            None => "more than 30".into(),
            Some(d) if d.value <= 0.0 => "none".into(),
            Some(d) => format!("{:.0} (range {:.0} to {:.0})", d.value, d.low, d.high),
        }
    }
}

fn habit(week_mm: f64) -> String {
    let share = INCH_A_WEEK_MM / week_mm.max(0.1);
    match share {
        s if s > 1.15 => format!("{s:.1} times that"),
        s if s < 0.87 => format!("only {:.0} % of that", 100.0 * s),
        _ => "about the same".into(),
    }
}

fn arrives((low, high): (f64, f64)) -> String {
    if high - low < 0.005 { percent(low) } else { format!("{:.0} to {:.0} %", 100.0 * low, 100.0 * high) }
}

impl Basis {
    /// What keeps the net depth from being more.
    fn why_no_more(&self, net_mm: f64) -> &'static str {
        if self.is_capped(net_mm) {
            "the most of one watering"
        } else if (net_mm - self.usable_mm).abs() < SAME_MM {
            "all that its roots are sure to hold"
        } else {
            "with room left for rain"
        }
    }
}

impl IntakePlan {
    /// `placed`: the water comes in these sets, each at its own rate, in place of evenly.
    fn words(&self, placed: Option<&SetsPlan>, units: System) -> String {
        let k = &self.conductivity_mm_h;
        let (run, hour) = (&self.one_run_share, &self.one_hour_share);
        let takes = format!(
            "of an hour's run, {}, {} to {} would enter (intake {} to {}: {})",
            show::depth(self.rate_mm_h, units),
            percent(hour.low),
            percent(hour.high),
            show::rate(k.low, units),
            show::rate(k.high, units),
            self.source
        );
        let plan = &self.pulses;
        if placed.is_some_and(|s| s.sets.iter().any(|s| s.runs > 1)) {
            return format!("set by set in pulses, as below; {takes}");
        }
        if placed.is_some_and(|s| s.sets.iter().any(|s| s.pulses.is_pulsed())) || self.one_run_min.is_some() {
            return format!("one run, though some may run off: where water stands, stop and come back later; {takes}");
        }
        if placed.is_some() || (!plan.is_pulsed() && plan.short_mm <= 0.0) {
            return if run.low > 0.995 { "as fast as it comes: one run does it".into() } else { format!("one run does it; {takes}") };
        }
        let mut text = String::new();
        if plan.is_pulsed() {
            // soaking takes longer each time, so every pulse is told: a repeated first one would give too much
            let minutes = |of: f64| format!("{of:.0}");
            let each: Vec<String> = plan.pulses.iter().map(|p| format!("{}/{}", minutes(p.on_min), minutes(p.soak_min))).collect();
            text = format!("{} pulses, minutes on/soaking: {}; {:.1} h in all; ", plan.pulses.len(), each.join(", "), plan.elapsed_h);
        }
        if plan.short_mm > 0.05 {
            text = format!("{text}{} of it finds no time to enter today; ", show::depth(plan.short_mm, units));
        }
        format!("{text}{takes}")
    }
}

impl WhatIf {
    pub(super) fn words(&self, units: System) -> String {
        let mut came = Vec::new();
        if self.rain_mm > 0.0 {
            came.push(format!("{} of rain", show::depth(self.rain_mm, units)));
        }
        if self.watered_min > 0.0 {
            came.push(format!("{} of watering", show::minutes(self.watered_min)));
        }
        let came = if came.is_empty() { "a dry day".into() } else { came.join(" and ") };
        let left = match self.days_left {
            None => "more than a month left".into(),
            Some(d) if d < 0.5 => "still due".into(),
            Some(d) => format!("{} left", days(d)),
        };
        format!(
            "{came} today: {} reaches the roots, {} runs off, drains or is caught; {left}",
            show::depth(self.received_mm, units),
            show::depth(self.lost_mm, units)
        )
    }
}

/// Sorting needs weights in order.
const _: () = assert!((Weight::Little as u8) < (Weight::Much as u8));
