//! What a row of a lab file is: a sample, or something to be set apart.

use super::cell;
use crate::words::words;

words! {
    /// What a row is.
    pub enum RowKind: "kind of row" {
        /// A sample, read.
        Sample = "sample",
        /// A lab number that stood before, with other values.
        Rerun = "re-run",
        /// A row that stood before, word for word in what was measured.
        Duplicate = "duplicate",
        /// The lab's own check, standard or blank.
        Check = "check",
        /// An average, total or other figure over rows.
        Average = "average",
        /// A heading inside the table.
        Heading = "heading",
        /// A line of words.
        Note = "note",
        /// Nothing.
        Blank = "blank",
    }
}

const CHECKS: &[&str] = &["qc", "qa", "check", "chk", "control", "std", "standard", "srm", "blank", "blk", "reference"];
const FIGURES: &[&str] =
    &["average", "averages", "avg", "mean", "means", "total", "totals", "sum", "median", "minimum", "maximum", "sd", "stdev", "subtotal"];

fn has(text: &str, list: &[&str]) -> bool {
    text.split(|c: char| !c.is_alphanumeric()).any(|w| list.iter().any(|l| w.eq_ignore_ascii_case(l)))
}

/// A row by the cells that name it: its name, its lab number, a remark; `first` is its first cell that is not empty.
pub(super) fn of_names(name: &str, lab_number: &str, remark: &str, first: &str) -> RowKind {
    // "Check dam" and "Control block" are places: a check's name is short and begins with its word
    let check = |text: &str| {
        let mut words = text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty() && !w.bytes().all(|b| b.is_ascii_digit()));
        let begins = words.next().is_some_and(|w| {
            let letters = w.trim_end_matches(|c: char| c.is_ascii_digit());
            CHECKS.iter().any(|c| letters.eq_ignore_ascii_case(c))
        });
        let rest: Vec<&str> = words.collect();
        begins && rest.iter().all(|w| w.len() == 1 || has(w, CHECKS) || has(w, &["soil", "sample", "row", "no"]))
    };
    if [name, lab_number, first].into_iter().any(|t| has(t, FIGURES)) {
        return RowKind::Average;
    }
    if check(name) || check(lab_number) || check(remark) || (name.is_empty() && check(first)) {
        return RowKind::Check;
    }
    RowKind::Sample
}

/// Does a remark or lab number say that the lab ran the sample again?
pub(super) fn says_rerun(text: &str) -> bool {
    let plain = cell::clean(text).to_ascii_lowercase();
    has(&plain, &["rerun", "rr", "repeat", "recheck", "redo"]) || plain.contains("re-run") || plain.contains("re run")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn checks_and_figures_are_told_from_samples_by_whole_words() {
        for (name, number, remark, kind) in [
            ("QC-1", "", "", RowKind::Check),
            ("CHK 2", "", "", RowKind::Check),
            ("Standard soil A", "", "", RowKind::Check),
            ("Check row", "", "", RowKind::Check),
            ("", "STD3", "", RowKind::Check),
            ("A1", "", "QC", RowKind::Check),
            ("Average", "", "", RowKind::Average),
            ("Mean of 12", "", "", RowKind::Average),
            ("Checkerberry hill", "", "", RowKind::Sample),
            ("Check dam east", "", "", RowKind::Sample),
            ("Control block", "", "", RowKind::Sample),
            ("Meanwell", "", "", RowKind::Sample),
        ] {
            assert_eq!(of_names(name, number, remark, if name.is_empty() { number } else { name }), kind, "{name} {number}");
        }
        assert!(says_rerun("RR") && says_rerun("10442 rerun") && says_rerun("re-run of 12") && !says_rerun("barren"));
    }
}
