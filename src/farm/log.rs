//! The season log joined with a farm: what was done becomes part of each block's rain, waterings, readings and feedings.

use super::{Block, Farm, Fed, Rain, Reading, Watered, feeding};
use crate::date::Date;
use crate::error::{Error, Result};
use crate::fertility::Product;
use crate::record::{Entry, Log, Sets, What};
use crate::water::Seen;
use crate::words::same;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Two readings of one day from depths nearer than this are the same, m.
const SAME_DEPTH_M: f64 = 0.005;

/// A farm whose blocks know what the log says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Logged {
    /// The farm, the log's rain, waterings, readings, feedings and counts in its blocks.
    pub farm: Farm,
    /// Waterings, readings, rain, feedings and counts of the log.
    pub used: usize,
    /// What is not counted and why, and what deserves a second look.
    pub notes: Vec<String>,
}

impl Farm {
    /// The farm with everything of its season log that is done: waterings, readings, the rain gauge, feedings, the last count
    /// of a whole block. What is planned never counts.
    ///
    /// A watering of some sets counts once all sets of that pass have run, on that day and with the least that any of them
    /// got: the driest tree decides. Rain of the whole farm goes to every block that has no reading of its own for that day.
    /// Faulty lines and entries of unknown blocks are reported and the others used.
    ///
    /// # Errors
    /// A log of another farm; an event that stands in the farm file too, because it would count twice; a watering by time on a
    /// farm whose sprinkler has no rate.
    ///
    /// ```
    /// use dibble::farm::Farm;
    /// use dibble::record::Log;
    /// let farm = Farm::demo()?;
    /// let text = "season log,1,Kettle Hill (demo)\nid,date,block,state,what,time_min\na,2026-07-13,Pond field,done,water,60\n";
    /// let logged = farm.with_log(&Log::parse(text, "log.csv")?)?;
    /// let waterings = |farm: &Farm| farm.blocks()[1].block.watered.len();
    /// assert_eq!((logged.used, waterings(&logged.farm) - waterings(&farm)), (1, 1));
    /// // what the farm knows already is not taken again
    /// assert!(logged.farm.with_log(&Log::parse(text, "log.csv")?).is_err());
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn with_log(&self, log: &Log) -> Result<Logged> {
        log.check_farm(self.name())?;
        let filed = &self.input().block;
        let mut merge = Merge {
            log,
            filed,
            products: &self.input().product,
            blocks: filed.clone(),
            passes: BTreeMap::new(),
            notes: Vec::new(),
            problems: Vec::new(),
            farm_rain: Vec::new(),
            used: 0,
        };
        merge.notes.extend(log.faults().iter().map(ToString::to_string));
        merge.notes.extend(log.remarks().iter().cloned());
        let (whole_farm, of_blocks): (Vec<&Entry>, Vec<&Entry>) = log.counting().into_iter().partition(|e| e.block.trim().is_empty());
        of_blocks.into_iter().for_each(|entry| merge.of_block(entry));
        whole_farm.into_iter().for_each(|entry| merge.of_farm(entry));
        merge.open_passes();
        if let Some(error) = Error::several(merge.problems) {
            return Err(error);
        }
        let mut input = self.input().clone();
        input.block = merge.blocks;
        let farm = Farm::new(input).map_err(|e| if e.place().is_some() { e } else { e.at(log.name()) })?;
        Ok(Logged { farm, used: merge.used, notes: merge.notes })
    }
}

/// Sets of a pass that have run so far: position to depth or time.
struct Pass {
    begun: Date,
    given: BTreeMap<u32, f64>,
}

struct Merge<'l> {
    log: &'l Log,
    /// The blocks as the farm file has them.
    filed: &'l [Block],
    products: &'l [Product],
    blocks: Vec<Block>,
    /// By block, sets of a whole pass, and whether by time.
    passes: BTreeMap<(usize, u32, bool), Pass>,
    notes: Vec<String>,
    problems: Vec<Error>,
    farm_rain: Vec<Date>,
    used: usize,
}

impl Merge<'_> {
    fn of_block(&mut self, entry: &Entry) {
        let named = |b: &Block| b.name.trim().to_lowercase() == entry.block.trim().to_lowercase();
        let Some(index) = self.filed.iter().position(named) else {
            let names: Vec<&str> = self.filed.iter().map(|b| b.name.as_str()).collect();
            let error = Error::unknown("block", &entry.block, &names);
            return self.skip(entry, &error.to_string());
        };
        let (Some(filed), Some(block)) = (self.filed.get(index), self.blocks.get_mut(index)) else { return };
        self.used += usize::from(!matches!(entry.what, What::Note));
        let date = entry.date;
        match &entry.what {
            What::Water { .. } if filed.watered.iter().any(|w| w.date == date) => self.twice(entry, &filed.name, "a watering"),
            What::Water { depth_mm, time_min, sets: None } => {
                block.watered.push(Watered { date, depth_mm: *depth_mm, time_min: *time_min, set: Vec::new() });
            }
            What::Water { depth_mm, time_min, sets: Some(sets) } => self.pass(index, date, (*depth_mm, *time_min), sets),
            What::Rain { .. } if filed.rain.iter().any(|r| r.date == date) => self.twice(entry, &filed.name, "a reading of the rain gauge"),
            What::Rain { .. } if block.rain.iter().any(|r| r.date == date) => {
                self.used -= 1;
                self.skip(entry, "the gauge has an entry for that day above it. Add the two if both fell, and strike one.");
            }
            What::Rain { depth_mm } => block.rain.push(Rain { date, depth_mm: *depth_mm }),
            What::Reading { soil_depth_m, holes, seen } => {
                let reading = reading(date, *soil_depth_m, *holes, *seen);
                let kind = |r: &Reading| (r.date, r.feel.is_some(), r.tension_kpa.is_some());
                let same = |r: &Reading| kind(r) == kind(&reading) && (r.depth_m - reading.depth_m).abs() < SAME_DEPTH_M;
                if filed.reading.iter().any(same) {
                    self.twice(entry, &filed.name, "the same reading");
                } else {
                    block.reading.push(reading);
                }
            }
            What::Count { place, living, .. } if place.trim().is_empty() => block.trees = Some(*living),
            What::Feeding { product, amount_kg } => match feeding::product(self.products, product) {
                Ok(known) if filed.fed.iter().any(|f| f.date == date && same(&f.product, &known.name)) => {
                    self.twice(entry, &filed.name, &format!("a feeding of {}", known.name));
                }
                Ok(known) => block.fed.push(Fed { date, product: known.name, amount_kg: Some(*amount_kg), per_tree_g: None }),
                Err(error) => {
                    self.used -= 1;
                    self.skip(entry, &error.to_string());
                }
            },
            What::Count { .. } | What::Note | What::Strike => {}
        }
    }

    /// Rain of the whole farm: every block's that has no reading of its own.
    fn of_farm(&mut self, entry: &Entry) {
        let What::Rain { depth_mm } = entry.what else { return };
        if self.farm_rain.contains(&entry.date) {
            return self.skip(entry, "the farm's gauge has an entry for that day above it. Add the two if both fell, and strike one.");
        }
        self.farm_rain.push(entry.date);
        self.used += 1;
        for block in self.blocks.iter_mut().filter(|b| b.rain.iter().all(|r| r.date != entry.date)) {
            block.rain.push(Rain { date: entry.date, depth_mm });
        }
    }

    /// Some sets of a pass: it counts when all have run, with the least that any of them got.
    fn pass(&mut self, index: usize, date: Date, (depth_mm, time_min): (Option<f64>, Option<f64>), sets: &Sets) {
        let key = (index, sets.of(), time_min.is_some());
        let pass = self.passes.entry(key).or_insert_with(|| Pass { begun: date, given: BTreeMap::new() });
        for set in sets.ran() {
            *pass.given.entry(*set).or_insert(0.0) += time_min.or(depth_mm).unwrap_or(0.0);
        }
        if pass.given.len() < sets.of() as usize {
            return;
        }
        let least = pass.given.values().copied().fold(f64::INFINITY, f64::min);
        self.passes.remove(&key);
        if let Some(block) = self.blocks.get_mut(index) {
            block.watered.push(Watered { date, depth_mm: depth_mm.map(|_| least), time_min: time_min.map(|_| least), set: Vec::new() });
        }
    }

    fn open_passes(&mut self) {
        for (&(index, of, _), pass) in &self.passes {
            let ran: Vec<u32> = pass.given.keys().copied().collect();
            if let (Some(block), Ok(ran)) = (self.filed.get(index), Sets::new(ran, of)) {
                let begun = pass.begun;
                self.notes.push(format!("\"{}\": sets {ran} have run since {begun}; the pass counts when all {of} have", block.name));
            }
        }
    }

    /// The same event in the farm file: which of the two is meant cannot be known.
    fn twice(&mut self, entry: &Entry, block: &str, what: &str) {
        let error = Error::inconsistent(
            format!("block \"{block}\" has {what} of {} in the farm file too, and it would count twice", entry.date),
            format!("Take it out of the farm file, or strike \"{}\" in the log.", entry.id),
        );
        let line = self.log.line(entry).unwrap_or(0);
        self.problems.push(error.at(format!("{}, line {line}", self.log.name())));
    }

    fn skip(&mut self, entry: &Entry, why: &str) {
        self.notes.push(format!("line {} is not counted: {why}", self.log.line(entry).unwrap_or(0)));
    }
}

fn reading(date: Date, depth_m: f64, holes: u32, seen: Seen) -> Reading {
    let plain = Reading { date, depth_m, holes, feel: None, tension_kpa: None, water_content: None };
    match seen {
        Seen::Feel(band) => Reading { feel: Some(band), ..plain },
        Seen::TensionKpa(kpa) => Reading { tension_kpa: Some(kpa), ..plain },
        Seen::WaterContent(share) | Seen::Available(share) => Reading { water_content: Some(share), ..plain },
    }
}
