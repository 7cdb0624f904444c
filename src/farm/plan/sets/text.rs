//! The sets of a block in words.

use super::super::page::{Line, Part, Table};
use super::{FirstTree, HeadHere, LeftToBucket, PlannedSet, SetsPlan, TreesAfter, TreesSoFar};
use crate::date::Date;
use crate::farm::TreePlace;
use crate::placement::Why;
use crate::placement::by_hand::{BucketList, Load, Stop};
use crate::units::{System, show};

/// Days of stress that are told one by one.
const DAYS_TOLD: usize = 4;
/// Water past the roots is told from this depth on, mm.
const WORTH_TELLING_MM: f64 = 1.0;
/// Trees that are named.
const TREES_TOLD: usize = 3;

impl SetsPlan {
    pub(in crate::farm::plan) fn part(&self, block: &str, units: System) -> Part {
        let mut part = Part::new("sets", format!("{block}: where to set the sprinkler")).of_block(block);
        if let Some(problem) = &self.problem {
            part.line("No set", problem.clone());
        }
        if let Some(head) = &self.head {
            part.line("Sprinkler", head.words(units));
            part.lines.extend(head.limits_words(units).into_iter().map(|text| Line { label: "Limited by".into(), text }));
        }
        if let Some(first) = self.first_tree {
            part.line("Rows", first.words());
        }
        if !self.sets.is_empty() {
            part.line("Trees get", self.depth_words(units));
            part.lines.extend(self.too_much_words(units).map(|text| Line { label: "Past roots".into(), text }));
            part.line("Lost", format!("{:.0} % of what is pumped falls beside the block or sinks past the roots", 100.0 * self.waste));
            part.lines.extend(self.trees_after.iter().map(|after| Line { label: "Dry again".into(), text: after.words() }));
            if let Some(rates) = &self.rates {
                part.line("Rate", rates.words(units));
            }
            part.line("Day", self.day_words());
            if let Some(fuel) = &self.fuel {
                let amount =
                    |v: f64| if fuel.unit == "L" { show::volume(v, units) } else { format!("{} {}", show::number(v, 1), fuel.unit) };
                let cost = fuel.cost.map_or(String::new(), |c| format!(", costs {}", show::number(c, 2)));
                part.line("Fuel", format!("{} an hour, {} in all ({}){cost}", amount(fuel.per_hour), amount(fuel.total), fuel.engine));
            }
        }
        if !self.sets.is_empty() {
            let log = format!("once all sets have run, the pass counts as a depth of {}", show::depth(self.gross_mm, units));
            part.line("In the log", format!("{log}; or write each set with its place and minutes into the farm file"));
        }
        if !self.short.is_empty() {
            part.line("Short", self.short_words());
        }
        part.lines.extend(self.left.as_ref().map(|left| Line { label: "To the bucket".into(), text: left.words() }));
        if let Some(bucket) = &self.bucket {
            part.line("By hand", by_hand_words(bucket, units));
        }
        for caution in &self.cautions {
            part.line("Mind", caution.words(units));
        }
        part.lines.extend(self.no_bucket.iter().map(|why| Line { label: "Mind".into(), text: why.clone() }));
        if !self.sets.is_empty() {
            part.tables.push(self.table(units));
        }
        part.tables.extend(self.bucket.as_ref().map(|bucket| self.bucket_table(bucket, units)));
        part
    }

    /// Load by load in the order of the walk, with why the sprinkler leaves each tree short.
    fn bucket_table(&self, bucket: &BucketList, units: System) -> Table {
        let told = |why: Option<Why>| match why {
            Some(Why::OutOfReach) => "out of reach",
            Some(Why::TooLittle) => "too little reaches it",
            Some(Why::NotWorthIt) => "gets some, more would cost hours",
            Some(Why::LeftToBucket) => "left to the bucket",
            None => "",
        };
        let of_load = |(load, n): (&Load, usize)| {
            let lines = load.lines_by(units, |stop| self.why(stop));
            lines.into_iter().enumerate().map(move |(k, (line, why))| {
                let load = if k == 0 { n.to_string() } else { String::new() };
                vec![load, line, told(why).to_string()]
            })
        };
        Table {
            caption: "Bucket list, in the order of the walk".into(),
            head: ["load", "trees", "why"].map(String::from).to_vec(),
            rows: bucket.loads.iter().zip(1..).flat_map(of_load).collect(),
        }
    }

    /// Why the tree of a stop is on the bucket list.
    pub(super) fn why(&self, stop: &Stop) -> Option<Why> {
        self.short.iter().find(|s| (s.row, s.tree) == (stop.row, stop.tree)).map(|s| s.why)
    }

    fn table(&self, units: System) -> Table {
        let far = |m: f64| if units == System::Us { format!("{:.0} ft", m / crate::units::M_PER_FT) } else { format!("{m:.1} m") };
        let row = |set: &PlannedSet| {
            let by = set.place_words();
            let degrees = set.degrees.map_or(String::new(), |[lon, lat]| format!("{lat:.5}, {lon:.5}"));
            vec![set.number.to_string(), by, far(set.x_m), far(set.y_m), degrees, set.run_words()]
        };
        let head = ["set", "by", "east", "north", "latitude, longitude", "run"];
        let head: Vec<String> = head.iter().map(ToString::to_string).collect();
        let mut table = Table { caption: String::new(), head, rows: self.sets.iter().map(row).collect() };
        if self.sets.iter().all(|s| s.degrees.is_none()) {
            table.head.remove(4);
            table.rows.iter_mut().for_each(|r| drop(r.remove(4)));
        }
        table
    }

    fn depth_words(&self, units: System) -> String {
        let d = &self.depth;
        let even = self
            .over_trees
            .as_ref()
            .map_or(String::new(), |u| format!("; evenness over the trees: CU {:.0} %, DU {:.0} %", u.cu_pct, u.du_pct));
        format!(
            "{} where {} is wanted (a tenth of them {} or less, the wettest {}){even}",
            show::depth(d.median_mm, units),
            show::depth(self.target_mm, units),
            show::depth(d.tenth_mm, units),
            show::depth(d.largest_mm, units)
        )
    }

    /// How many trees get more than their roots hold, and why.
    fn too_much_words(&self, units: System) -> Option<String> {
        let over = self.tree_mm.iter().filter(|d| **d > self.hold_mm + WORTH_TELLING_MM).count();
        (over > 0).then(|| {
            let held = show::depth(self.hold_mm, units);
            let most = show::depth(self.depth.largest_mm - self.hold_mm, units);
            format!(
                "{over} of {} get more than the {held} that their roots are sure to hold, up to {most} more: what is too much sinks \
                 past them, because the driest trees set the minutes; more places would need more moves",
                if self.trees == 1 { "1 tree".into() } else { format!("{} trees", self.trees) }
            )
        })
    }

    fn day_words(&self) -> String {
        let day = &self.day;
        let n = self.sets.len();
        let soak_min = day.soak_min;
        let pauses = if soak_min >= 1.0 { format!(" and {} of pauses", show::minutes(soak_min)) } else { String::new() };
        let (sets, moves) = if n == 1 { ("1 set".into(), "1 move".into()) } else { (format!("{n} sets"), format!("{n} moves")) };
        let water = show::minutes(day.pump_min);
        let m = &day.move_min;
        if m.high - m.low < 1.0 {
            return format!("{sets}: {water} of water{pauses}, {moves} of {:.0} min: {:.1} h", m.value, day.hours.value);
        }
        format!(
            "{sets}: {water} of water{pauses}, {moves} of {:.0} to {:.0} min: a day of {:.1} to {:.1} h",
            m.low, m.high, day.hours.low, day.hours.high
        )
    }

    fn short_words(&self) -> String {
        let count = |why: Why| self.short.iter().filter(|s| s.why == why).count();
        let reasons = [
            (count(Why::OutOfReach), "out of reach of every place"),
            (count(Why::TooLittle), "get too little from all places together"),
            (count(Why::NotWorthIt), "could have more only at the cost of hours or of their neighbors"),
            (count(Why::LeftToBucket), "left to the bucket"),
        ];
        let told: Vec<String> = reasons.iter().filter(|(n, _)| *n > 0).map(|(n, words)| format!("{n} {words}")).collect();
        let noun = if self.trees == 1 { "tree" } else { "trees" };
        format!("{} of {} {noun}: {}", self.short.len(), show::number(self.trees as f64, 0), told.join(", "))
    }
}

impl LeftToBucket {
    fn words(&self) -> String {
        let them = if self.trees == 1 { "1 tree".into() } else { format!("{} trees", show::number(self.trees as f64, 0)) };
        let bucket = show::minutes(60.0 * self.bucket_h);
        format!(
            "{them} that few places reach: with the sprinkler it would take {:.1} h more of water and moving, with the bucket {bucket}",
            self.saved_h
        )
    }
}

impl HeadHere {
    fn words(&self, units: System) -> String {
        let pressure = self.pressure_kpa.map_or(String::new(), |p| format!(" at {} at the nozzle", show::pressure(p, units)));
        let lost = self
            .hose_loss_m
            .map_or(String::new(), |m| format!("; the hoses take {}", show::pressure(m * crate::hydraulics::KPA_PER_M, units)));
        format!("{}{pressure}, throws {}{lost}", show::flow(self.flow_l_min, units), show::length(self.radius_m, units))
    }

    fn limits_words(&self, units: System) -> Option<String> {
        let (part, share) = self.limited_by.as_ref()?;
        let helps = self.best_change.as_ref().map_or("none of the changes tried helps".into(), |best| {
            let then = best.flow_l_min.zip(best.nozzle_pressure_kpa).map_or(String::new(), |(flow, pressure)| {
                format!(", then {} at {}", show::flow(flow, units), show::pressure(pressure, units))
            });
            format!("what helps most: {}{then}", best.what.words(units))
        });
        Some(format!("{part}: {:.0} % of the head; {helps}", 100.0 * share))
    }
}

impl PlannedSet {
    /// "row 21, tree 11": the tree beside which it stands.
    pub(in crate::farm::plan) fn place_words(&self) -> String {
        if self.row == 0 { format!("tree {}", self.tree) } else { format!("row {}, tree {}", self.row, self.tree) }
    }

    /// "gate; half circle facing S (179 deg)": the hydrant and the arc, where there is something to say.
    pub(in crate::farm::plan) fn hose_words(&self) -> String {
        let arc = self.arc_deg.map(|(arc, facing)| {
            let shape = if (arc - 180.0).abs() < 0.5 { "half circle".to_string() } else { format!("arc of {arc:.0} deg") };
            format!("{shape} facing {} ({:.0} deg)", wind(facing).0, whole(facing))
        });
        self.hydrant.iter().cloned().chain(arc).collect::<Vec<_>>().join("; ")
    }

    fn run_words(&self) -> String {
        let arc = self.arc_deg.map_or(String::new(), |(arc, facing)| format!(", arc of {arc:.0} deg facing {:.0} deg", whole(facing)));
        let hose = self.hydrant.as_ref().map_or(String::new(), |h| format!(", from {h}"));
        format!("{}{hose}{arc}", self.minutes_words())
    }

    fn minutes_words(&self) -> String {
        if self.runs < 2 {
            return show::minutes(self.run_min);
        }
        let each: Vec<String> = self.pulses.pulses.iter().map(|p| format!("{:.0}/{:.0}", p.on_min, p.soak_min)).collect();
        let lost = if self.pulses.short_mm > 0.05 { ", the rest runs off" } else { "" };
        format!("{} in pulses, min on/soaking: {}{lost}", show::minutes(self.minutes), each.join(", "))
    }
}

impl TreesAfter {
    /// How many trees are at their limit before the next pass, and when the driest is and their mean.
    fn words(&self) -> String {
        let day = |date: Date| format!("{} {date}", date.weekday());
        let days = if self.from == self.to { day(self.from) } else { format!("{} to {}", day(self.from), day(self.to)) };
        if self.mean_limit.is_some_and(|m| m <= self.to) {
            return format!("one pass is not enough: watered on {days}, even a tree that gets the mean is at its limit that evening");
        }
        let (Some(driest), Some(limit)) = (self.driest, self.driest_limit) else {
            return format!("no tree is at its limit again before {}, watered on {days}, without rain", day(self.looked_to));
        };
        let mean =
            self.mean_limit.map_or(format!("their mean not before {}", day(self.looked_to)), |m| format!("their mean on {}", day(m)));
        format!(
            "{} of {} trees reach their limit before their mean does, when the next pass is due; the driest ({}) on {}, {mean} \
             (watered on {days}, without rain)",
            self.before_next,
            show::number(self.trees as f64, 0),
            driest.words(),
            day(limit),
        )
    }
}

impl FirstTree {
    /// Where row 1 and tree 1 are, by compass.
    fn words(self) -> String {
        let wind = |deg: f64| wind(deg).1;
        format!("row 1 is farthest {}; count trees from the {} end", wind(self.along_deg + 90.0), wind(self.along_deg + 180.0))
    }
}

/// A bearing to the degree: north is 0, not 360.
fn whole(facing_deg: f64) -> f64 {
    facing_deg.round() % 360.0
}

/// The nearest of eight winds, in short and in full.
fn wind(bearing_deg: f64) -> (&'static str, &'static str) {
    const NORTH: (&str, &str) = ("N", "north");
    const WINDS: [(&str, &str); 8] = [
        NORTH,
        ("NE", "northeast"),
        ("E", "east"),
        ("SE", "southeast"),
        ("S", "south"),
        ("SW", "southwest"),
        ("W", "west"),
        ("NW", "northwest"),
    ];
    WINDS.get((bearing_deg / 45.0).round().rem_euclid(8.0) as usize).copied().unwrap_or(NORTH)
}

/// Trees, water, loads and time of a bucket list, and the ring that the water goes on.
pub(in crate::farm::plan) fn by_hand_words(bucket: &BucketList, units: System) -> String {
    format!("{}; on rings of {}", bucket.summary(units), show::length(bucket.ring_m, units))
}

impl TreesSoFar {
    /// How many trees lacked water, when, and which of them for longest.
    pub(in crate::farm::plan) fn words(&self, units: System) -> String {
        let ledgers = &self.ledgers;
        let ever = ledgers.days_of_tree.iter().filter(|d| **d > 0).count();
        let given = &ledgers.given_mm;
        let (low, high) = given.iter().fold((f64::INFINITY, 0.0_f64), |(a, b), g| (a.min(*g), b.max(*g)));
        let got = format!("watered with {} to {} so far", show::depth(low, units), show::depth(high, units));
        if ever == 0 {
            let noun = if ledgers.trees == 1 { "tree" } else { "trees" };
            return format!("none of {} {noun} was short of water so far; {got}", ledgers.trees);
        }
        let last = ledgers.days.iter().rev().take(DAYS_TOLD).map(|d| format!("{} on {}", d.trees.len(), d.date));
        let days = |n: usize| format!("{n} {}", if n == 1 { "day" } else { "days" });
        let most = ledgers.days_of_tree.iter().copied().max().unwrap_or(0);
        let worst: Vec<&TreePlace> =
            self.places.iter().zip(&ledgers.days_of_tree).filter(|(_, days)| **days == most).map(|(place, _)| place).collect();
        let more = if worst.len() > TREES_TOLD { format!(" and {} more", worst.len() - TREES_TOLD) } else { String::new() };
        format!(
            "{ever} of {} {} short of water on {} so far, lately {}; for longest ({}) {}{more}; {got}",
            ledgers.trees,
            if ledgers.trees == 1 {
                "tree was"
            } else if ever == 1 {
                "trees was"
            } else {
                "trees were"
            },
            days(ledgers.days.len()),
            last.collect::<Vec<_>>().join(", "),
            days(most as usize),
            worst.iter().take(TREES_TOLD).map(|t| t.words()).collect::<Vec<_>>().join("; "),
        )
    }
}
