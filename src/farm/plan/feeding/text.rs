//! Feeding in words.

use super::{FeedingList, FeedingPlan, LimeLine};
use crate::farm::plan::content::BlockPlan;
use crate::farm::plan::page::{Part, Table};
use crate::fertility::{PhVerdict, Round, SulfurVerdict};
use crate::units::{System, show};

impl BlockPlan {
    /// The part of the page about this block's feeding.
    pub(in crate::farm::plan) fn feeding_part(&self, units: System) -> Option<Part> {
        let feeding = self.feeding.as_ref()?;
        let mut part = Part::new("feeding", format!("Feeding of {}", self.name)).of_block(&self.name);
        feeding.write(&mut part, units);
        Some(part)
    }
}

impl FeedingPlan {
    fn write(&self, part: &mut Part, units: System) {
        match &self.next {
            Some(next) => {
                part.line("Next", format!("{}: {}", when(next), next.why));
                amounts(part, next, units);
            }
            None => part.line("Next", "nothing is due in this season or the next"),
        }
        for later in &self.later {
            part.line("Then", format!("{}: {}", when(later), later.why));
            amounts(part, later, units);
        }
        if let Some(cost) = self.cost {
            part.line("Cost", format!("{} for what is to be bought beyond the shed", show::number(cost, 2)));
        }
        for unmet in &self.unmet {
            part.line("Not met", unmet.clone());
        }
        let mut label = "A year's need";
        for need in &self.needs {
            part.line(label, format!("{} {} ({})", need.nutrient, need.rates.words(units), need.why));
            label = "";
        }
        if let Some(lime) = &self.lime {
            lime.write(part, units);
        }
        for fed in &self.fed {
            part.line("Fed", format!("{} {}, {}", fed.date, fed.product, show::mass_per_area(fed.kg_ha, units)));
        }
        let dated = self.sampled.map_or(String::new(), |day| format!(" of {day}"));
        let tables = if self.tables.is_empty() { String::new() } else { format!("; read by {}", self.tables.join(", ")) };
        part.line("Soil test", format!("\"{}\"{dated}: {}{tables}", self.soil_test, self.status));
        self.reasons.iter().for_each(|reason| part.say(reason.clone()));
        self.ask.iter().for_each(|ask| part.line("To decide", ask.clone()));
        self.warnings.iter().for_each(|warning| part.line("Warning", warning.clone()));
    }
}

/// "2026-08-01 to 2026-08-31, in August, for color"
fn when(round: &Round) -> String {
    match (round.from, round.until) {
        (Some(from), Some(until)) => format!("{from} to {until}, {}", round.when),
        (None, Some(until)) => format!("by {until}, {}", round.when),
        _ => round.when.clone(),
    }
}

fn amounts(part: &mut Part, round: &Round, units: System) {
    let mut label = "Each tree";
    for amount in &round.amounts {
        part.line(label, format!("{} {}", amount.product, amount.words(units)));
        label = "";
    }
}

impl LimeLine {
    fn write(&self, part: &mut Part, units: System) {
        match self.verdict {
            PhVerdict::Lime if self.rate_kg_ha > 0.0 => {
                let of = self.material.clone().unwrap_or_else(|| "lime".into());
                let block = self.total_kg.map_or(String::new(), |kg| format!(", {} on the block", show::mass(kg, units)));
                let cost = self.cost.map_or(String::new(), |cost| format!(", cost {}", show::number(cost, 2)));
                let more = match self.more_years {
                    0 => String::new(),
                    1 => "; as much again a year later".into(),
                    n => format!("; as much again in each of {n} more years"),
                };
                let less = match self.spread_kg_ha {
                    kg if kg > 0.0 => format!(" ({} spread since the sample is taken off)", show::mass_per_area(kg, units)),
                    _ => String::new(),
                };
                part.line(
                    "Lime",
                    format!("{} of {of}{block}{cost}, {}{more}{less}", show::mass_per_area(self.rate_kg_ha, units), self.when),
                );
                part.say(self.why.clone());
            }
            PhVerdict::Lime if self.spread_kg_ha > 0.0 => part.line("Lime", format!("this year's is spread. {}", self.why)),
            PhVerdict::Lime => part.line("Lime", self.why.clone()),
            PhVerdict::DoNotLime => part.line("Lime", format!("do not lime. {}", self.why)),
            PhVerdict::TooHigh => part.line("Lime", format!("none. {}", self.why)),
        }
        if let Some(sulfur) = &self.sulfur {
            let years = if sulfur.years == 1 { "once".into() } else { format!("in each of {} years", sulfur.years) };
            let rate = match sulfur.verdict {
                SulfurVerdict::Lower => format!("{} of sulfur {years}. ", show::mass_per_area(sulfur.each_year_kg_ha, units)),
                _ => format!("{}. ", sulfur.verdict),
            };
            part.line("Sulfur", format!("{rate}{}", sulfur.why));
            sulfur.cautions.iter().for_each(|caution| part.say(caution.clone()));
        }
        self.cautions.iter().for_each(|caution| part.say(caution.clone()));
    }
}

impl FeedingList {
    /// What to get.
    pub(in crate::farm::plan) fn part(&self, units: System) -> Part {
        let mut part = Part::new("feeding", "Fertilizer and lime to get");
        let row = |b: &super::Buy| {
            let bags = b.bags.map_or(String::new(), |n| n.to_string());
            vec![b.product.clone(), bags, show::mass(b.kg, units), show::number(b.cost, 2)]
        };
        let mut rows: Vec<Vec<String>> = self.buy.iter().map(row).collect();
        if rows.is_empty() {
            part.say("Nothing: the shed holds enough, or nothing is due.");
        } else {
            rows.push(vec!["all".into(), String::new(), String::new(), show::number(self.cost, 2)]);
            let head = ["product", "bags", "weight", "cost"].map(String::from).to_vec();
            part.tables.push(Table { caption: String::new(), head, rows });
        }
        part
    }
}
