//! What to measure next: the plan made anew at both ends of each input that is not known for sure.

use super::doubt::{End, Input, Range};
use crate::date::Date;
use crate::error::{Error, Result};
use crate::farm::{Farm, Part, Plan, PlanOptions, plan};
use crate::pool;
use crate::schedule::Moment;
use crate::units::show;
use crate::weather::Weather;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Version of the content.
pub const SENSITIVITY_SCHEMA: u32 = 1;

/// Less than this is not worth a word, h and min.
const NOTABLE: (f64, f64) = (1.0, 1.0);

/// What the first answer of [`by_week`] is about.
const WEEK: &str = "The week's work";

/// What a plan answers, as two numbers that can be compared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Answer {
    /// What it is about: a block, or the farm.
    pub about: String,
    /// From the morning of the plan until it has to be started, h; beyond the days looked ahead it is their end.
    pub start_h: f64,
    /// How long the sprinkler runs, min.
    pub run_min: f64,
}

/// Each block's days left and running time, the plainest answer of a plan.
pub fn by_block(plan: &Plan) -> Vec<Answer> {
    let far = plan.horizon_days as f64;
    let answer = |block: &crate::farm::BlockPlan| Answer {
        about: block.name.clone(),
        start_h: 24.0 * block.days_left.map_or(far, |days| days.value),
        run_min: 0.5 * (block.run_min.0 + block.run_min.1),
    };
    plan.blocks.iter().map(answer).collect()
}

/// The farm's start by the week's section of a plan and the minutes that its sprinkler runs, then each block as [`by_block`] has it.
///
/// A start that is past, or that cannot be kept, is 0 h; where nothing is due this week it is the morning on which the next block
/// may reach its limit, or the end of the days looked ahead.
pub fn by_week(plan: &Plan) -> Vec<Answer> {
    let Some(week) = &plan.week else { return by_block(plan) };
    let morning = Moment::midnight(plan.date);
    let start_h = match (week.start_by, &week.schedule, &week.next) {
        (Some(start), _, _) => start.hours_since(morning).max(0.0),
        (None, Some(schedule), _) if !schedule.in_time => 0.0,
        (None, _, Some(next)) => Moment::midnight(next.date).hours_since(morning).max(0.0),
        (None, _, None) => 24.0 * plan.horizon_days as f64,
    };
    let run_min = week.schedule.iter().flat_map(|s| &s.jobs).map(|job| job.run_min).sum();
    let mut answers = vec![Answer { about: WEEK.into(), start_h, run_min }];
    answers.extend(by_block(plan));
    answers
}

/// What one input does to the answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Swing {
    /// The input.
    pub input: Input,
    /// Its range.
    pub range: Range,
    /// Answers at its low end, in the order of [`Sensitivity::now`].
    pub low: Vec<Answer>,
    /// Answers at its high end.
    pub high: Vec<Answer>,
    /// Largest difference of the start between the ends and the plan as it is, h, and the answer that it is of.
    pub start_h: f64,
    /// Place of that answer.
    pub start_of: usize,
    /// Largest difference of the running time, min.
    pub run_min: f64,
    /// Place of that answer.
    pub run_of: usize,
    /// Of the difference of the start, what would be left after measuring, h.
    pub start_left_h: f64,
    /// The same of the running time, min.
    pub run_left_min: f64,
}

/// Which input moves the plan most.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Sensitivity {
    /// Version of this content.
    pub schema: u32,
    /// The morning of the plan.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Answers as things are taken now.
    pub now: Vec<Answer>,
    /// Inputs, the one that moves a start most first; of equals the one that moves the running time more.
    pub swings: Vec<Swing>,
    /// Inputs that were measured or play no part.
    pub settled: Vec<Input>,
}

/// The plan made anew at both ends of each input; `answers` picks what is compared, such as [`by_week`].
///
/// Inputs move one at a time, everything else stays as it is taken. Runs are independent, so their order and the number of
/// threads do not matter. A log in `options` is joined with the farm first; its control stops the call and hears of its progress.
///
/// # Errors
/// A plan that cannot be made, or answers that differ in number.
///
/// ```
/// use dibble::farm::{Farm, PlanOptions};
/// use dibble::outlook::{by_block, sensitivity};
/// let (farm, weather, today) = (Farm::demo()?, Farm::demo_weather()?, Farm::demo_today()?);
/// let found = sensitivity(&farm, &weather, today, &PlanOptions::default(), &by_block, None)?;
/// assert!(found.swings.windows(2).all(|pair| pair[0].start_h >= pair[1].start_h));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn sensitivity(
    farm: &Farm,
    weather: &Weather,
    today: Date,
    options: &PlanOptions,
    answers: &(dyn Fn(&Plan) -> Vec<Answer> + Sync),
    n_threads: Option<usize>,
) -> Result<Sensitivity> {
    let control = &options.control;
    let as_of = farm.as_of(today, options.log.as_ref())?;
    let farm = as_of.farm.as_ref();
    // the plans themselves are spread over the threads
    let options = PlanOptions { log: None, n_threads: Some(1), control: control.quiet(), ..options.clone() };
    let made = |farm: &Farm, weather: &Weather| plan(farm, weather, today, &options).map(|plan| answers(&plan));
    let now = made(farm, weather)?;
    let ranges: Vec<(Input, Option<Range>)> = Input::ALL.iter().map(|input| (*input, input.range(farm, weather, today))).collect();
    let settled = ranges.iter().filter(|(_, range)| range.is_none()).map(|(input, _)| *input).collect();
    let unsure: Vec<(Input, Range)> = ranges.into_iter().filter_map(|(input, range)| Some((input, range?))).collect();
    let total = 2 * unsure.len() as u64;
    let done = std::sync::atomic::AtomicU64::new(0);
    let jobs: Vec<(Input, &Range, End)> =
        unsure.iter().flat_map(|(input, range)| [(*input, range, End::Low), (*input, range, End::High)]).collect();
    let found = pool::map(&jobs, n_threads, |(input, range, end)| {
        let done = done.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        control.step("what to measure", done, total)?;
        let (farm, weather) = input.at(*end, range, farm, weather, today)?;
        let answers = made(&farm, &weather)
            .map_err(|e| e.at(format!("{} at its {} end", input.words(), if *end == End::Low { "low" } else { "high" })))?;
        if answers.len() == now.len() { Ok(answers) } else { Err(Error::internal("what to measure", "the answers differ in number")) }
    })?;
    let mut found = found.into_iter();
    let mut swings = Vec::new();
    for (input, range) in unsure {
        if let (Some(low), Some(high)) = (found.next(), found.next()) {
            swings.push(swing(input, range, &now, low?, high?));
        }
    }
    swings.sort_by(|a, b| b.start_h.total_cmp(&a.start_h).then(b.run_min.total_cmp(&a.run_min)));
    control.step("what to measure", total, total)?;
    Ok(Sensitivity { schema: SENSITIVITY_SCHEMA, date: today, now, swings, settled })
}

fn swing(input: Input, range: Range, now: &[Answer], low: Vec<Answer>, high: Vec<Answer>) -> Swing {
    let largest = |of: fn(&Answer) -> f64| {
        let spans = now.iter().zip(&low).zip(&high).map(|((now, low), high)| {
            let all = [of(now), of(low), of(high)];
            let ends = all.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(*x), b.max(*x)));
            ends.1 - ends.0
        });
        spans.enumerate().fold((0, 0.0), |best, (at, span)| if span > best.1 { (at, span) } else { best })
    };
    let (start_of, start_h) = largest(|a| a.start_h);
    let (run_of, run_min) = largest(|a| a.run_min);
    let left = input.left();
    Swing { input, range, low, high, start_h, start_of, run_min, run_of, start_left_h: left * start_h, run_left_min: left * run_min }
}

impl Sensitivity {
    /// Writes it as JSON, every number exactly.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn to_json(&self) -> Result<String> {
        crate::json::write(self)
    }

    /// Reads it back.
    ///
    /// # Errors
    /// Something else, or a newer schema.
    pub fn from_json(text: &str) -> Result<Self> {
        crate::json::read(text, "sensitivity", SENSITIVITY_SCHEMA)
    }

    /// Inputs in the order in which they move the running time.
    pub fn by_minutes(&self) -> Vec<&Swing> {
        let mut swings: Vec<&Swing> = self.swings.iter().collect();
        swings.sort_by(|a, b| b.run_min.total_cmp(&a.run_min).then(b.start_h.total_cmp(&a.start_h)));
        swings
    }

    /// What to measure next, in words.
    pub fn part(&self) -> Part {
        let mut part =
            Part { key: "measure".into(), title: "What to measure next (what moves the start most comes first)".into(), ..Part::default() };
        let mut say = |text: String| part.lines.push(crate::farm::Line { label: String::new(), text });
        for swing in self.swings.iter().filter(|s| s.start_h >= NOTABLE.0 || s.run_min >= NOTABLE.1) {
            say(self.sentence(swing));
        }
        let quiet: Vec<&str> =
            self.swings.iter().filter(|s| s.start_h < NOTABLE.0 && s.run_min < NOTABLE.1).map(|s| s.input.words()).collect();
        if !quiet.is_empty() {
            say(format!("These hardly matter now: {}.", quiet.join(", ")));
        }
        part
    }

    fn sentence(&self, swing: &Swing) -> String {
        let ends = |at: usize, of: fn(&Answer) -> f64| {
            let of_all = [self.now.get(at), swing.low.get(at), swing.high.get(at)];
            let values = of_all.iter().filter_map(|a| a.map(of));
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)))
        };
        let name = |at: usize| self.now.get(at).map_or("", |a| if a.about == WEEK { "the week's work" } else { a.about.as_str() });
        let (early, late) = ends(swing.start_of, |a| a.start_h);
        let (short, long) = ends(swing.run_of, |a| a.run_min);
        let days = |hours: f64| show::number(hours / 24.0, 1);
        let mut moves = Vec::new();
        if swing.start_h > 0.0 {
            moves.push(format!("{} has to be started in {} to {} days", name(swing.start_of), days(early), days(late)));
        }
        if swing.run_min > 0.0 {
            moves.push(format!("{} runs {} to {} min", name(swing.run_of), show::number(short, 0), show::number(long, 0)));
        }
        let mut text = format!("{} ({}): {}. {}", capital(swing.input.words()), swing.range.words, moves.join("; "), swing.input.measure());
        let mut left = Vec::new();
        if swing.start_left_h >= NOTABLE.0 {
            left.push(format!("{} days", days(swing.start_left_h)));
        }
        if swing.run_left_min >= NOTABLE.1 {
            left.push(format!("{} min", show::number(swing.run_left_min, 0)));
        }
        if swing.input.left() < 1.0 && !left.is_empty() {
            text.push_str(&format!(": about {} of doubt would be left", left.join(" and ")));
        }
        text + "."
    }
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}

impl fmt::Display for Sensitivity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.part().fmt(f)
    }
}
