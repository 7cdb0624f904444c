//! Long lists in error messages: the first few, and how many more.

use crate::date::Date;
use crate::error::{Error, Result};

const PROBLEMS_SHOWN: usize = 10;
/// Ten years of days.
const SPAN_DAYS: usize = 3653;
const RANGES_SHOWN: usize = 6;

/// One error out of many: the first ten and a count of the rest. `None` for an empty list.
pub(super) fn collected(mut problems: Vec<Error>) -> Option<Error> {
    let more = problems.len().saturating_sub(PROBLEMS_SHOWN);
    if more > 0 {
        problems.truncate(PROBLEMS_SHOWN);
        problems.push(Error::inconsistent(format!("and {more} more of this kind"), "They show once these are mended."));
    }
    Error::several(problems)
}

/// "on 5 days (2026-07-01 to 2026-07-04, 2026-08-02)". The days are in order.
pub(super) fn on_days(days: &[Date]) -> String {
    let runs: Vec<String> = days
        .chunk_by(|a, b| *b - *a == 1)
        .filter_map(|run| match run {
            [] => None,
            [day] => Some(day.to_string()),
            [first, .., last] => Some(format!("{first} to {last}")),
        })
        .collect();
    let more = runs.len().saturating_sub(RANGES_SHOWN);
    let shown: Vec<String> = runs.into_iter().take(RANGES_SHOWN).collect();
    let rest = if more > 0 { format!(", and {more} more") } else { String::new() };
    format!("on {} day{} ({}{rest})", days.len(), if days.len() == 1 { "" } else { "s" }, shown.join(", "))
}

/// Records that hold few of the days they span are refused: a slip in a year would make decades of missing days.
pub(super) fn check_span(first: Date, last: Date, records: usize) -> Result<usize> {
    let days = usize::try_from(last - first + 1).unwrap_or(0);
    if days > SPAN_DAYS && records < days / 10 {
        return Err(Error::inconsistent(
            format!("the records span {first} to {last} and hold {records} of these {days} days"),
            "Check the dates for a slip in the year.",
        ));
    }
    Ok(days)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_told_as_ranges() {
        let day = |d: u32| Date::new(2026, 7, d).unwrap();
        assert_eq!(on_days(&[day(1), day(2), day(3), day(9)]), "on 4 days (2026-07-01 to 2026-07-03, 2026-07-09)");
        assert_eq!(on_days(&[day(5)]), "on 1 day (2026-07-05)");
        let every_second: Vec<Date> = (0..8).map(|i| day(1 + 2 * i)).collect();
        assert!(on_days(&every_second).ends_with("2026-07-11, and 2 more)"));
    }
}
