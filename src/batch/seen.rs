//! Rows that stood before: copies, re-runs, names that were cut, one client number for two growers.
//!
//! Only hashes are kept: 25 bytes for each lab number and each name, up to three times that with the tables' spare room,
//! whatever the rows hold.

use super::kind::{RowKind, says_rerun};
use super::reading::{Reading, reason};
use crate::fertility::Status;
use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash, Hasher};

/// Hashes of what stood in the file so far.
#[derive(Debug, Default)]
pub(super) struct Seen {
    numbers: HashMap<Key, (u32, u32)>,
    names: HashMap<Key, (u32, u32)>,
    clients: HashMap<Key, u32>,
}

/// Two hashes side by side: with 64 bits alone, chance would make a copy of a row in a file of a billion.
type Key = [u64; 2];

fn key(parts: &[&str]) -> Key {
    let half = |salt: u64| {
        let mut hasher = DefaultHasher::new();
        salt.hash(&mut hasher);
        parts.iter().for_each(|p| p.to_lowercase().hash(&mut hasher));
        hasher.finish()
    };
    [half(1), half(2)]
}

fn short(text: &str) -> u32 {
    let [half, _] = key(&[text]);
    half as u32
}

impl Seen {
    /// Compares a sample with what stood before it, and remembers it.
    pub fn meet(&mut self, line: u64, row: &mut Reading) {
        if row.kind != RowKind::Sample {
            return;
        }
        let names = &row.names;
        let (values, grower) = (short(&row.measured), short(&names.grower));
        // lines beyond four billion are not told apart by their number
        let line = u32::try_from(line).unwrap_or(u32::MAX);
        let mut doubts = Vec::new();
        if !names.client.is_empty() && !names.grower.is_empty() {
            let first = *self.clients.entry(key(&[&names.lab, &names.client])).or_insert(grower);
            if first != grower {
                doubts.push((
                    "client_shared",
                    format!("Client number {} stands for another grower too: ask the lab whose sample this is.", names.client),
                ));
            }
        }
        let base = without_rerun(&names.lab_number);
        if !base.is_empty() {
            let (first, before) = *self.numbers.entry(key(&[&names.lab, &base])).or_insert((line, values));
            if first != line {
                row.kind = if before == values { RowKind::Duplicate } else { RowKind::Rerun };
                if row.kind == RowKind::Rerun {
                    doubts.push((
                        "rerun",
                        format!(
                            "Lab number {base} stands in line {first} with other values: ask the lab which holds. Neither is averaged."
                        ),
                    ));
                }
                self.say(row, doubts, first);
                return;
            }
        }
        if !names.name().is_empty() {
            let day = row.test.sampled.map_or(String::new(), |d| d.to_string());
            let named = key(&[&names.lab, &names.grower, &names.client, &names.sample, &names.block, &day]);
            let (first, before) = *self.names.entry(named).or_insert((line, values));
            if first != line && base.is_empty() {
                row.kind = if before == values { RowKind::Duplicate } else { RowKind::Rerun };
                if row.kind == RowKind::Rerun {
                    doubts.push((
                        "rerun",
                        format!("\"{}\" stands in line {first} with other values: ask the lab which holds.", names.name()),
                    ));
                }
                self.say(row, doubts, first);
                return;
            }
            if first != line {
                let (key, why) =
                    if names.may_be_cut() { ("name_cut", "has 8 characters, to which labs cut names, and") } else { ("name_twice", "") };
                let words = format!("The name \"{}\" {why} stands in line {first} under another lab number.", names.name());
                doubts.push((key, words.replace("  ", " ")));
            }
        }
        if says_rerun(&names.remark) || base != names.lab_number {
            row.kind = RowKind::Rerun;
            doubts.push(("rerun_alone", "The lab calls it a re-run, and the first run does not stand before it.".into()));
        }
        self.say(row, doubts, line);
    }

    fn say(&self, row: &mut Reading, doubts: Vec<(&str, String)>, first: u32) {
        if row.kind == RowKind::Duplicate {
            row.reasons = vec![reason("duplicate", Status::NotUsable, format!("A copy of line {first}: counted once."))];
            return;
        }
        row.reasons.extend(doubts.into_iter().map(|(key, words)| reason(key, Status::WithAssumption, words)));
    }
}

/// A lab number without the mark of a re-run: `10442-R`, `10442 RR`, `10442 rerun`.
fn without_rerun(number: &str) -> String {
    let lower = number.trim().to_lowercase();
    for mark in ["rerun", "re-run", "rr", "r"] {
        if let Some(rest) = lower.strip_suffix(mark) {
            let base = rest.trim_end_matches(|c: char| c == '-' || c == '_' || c == '/' || c.is_whitespace());
            // a bare R without anything before it to part it off may belong to the number
            if base.ends_with(|c: char| c.is_ascii_digit()) && (rest.len() > base.len() || mark.len() > 1) {
                return number.trim().get(..base.len()).unwrap_or(base).to_string();
            }
        }
    }
    number.trim().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_of_a_rerun_are_taken_off() {
        for (text, base) in
            [("10442-R", "10442"), ("10442 RR", "10442"), ("10442rerun", "10442"), ("10442R", "10442R"), ("A-12", "A-12"), ("R", "R")]
        {
            assert_eq!(without_rerun(text), base, "{text}");
        }
    }

    #[test]
    fn different_parts_have_different_keys() {
        assert_ne!(key(&["a", "b"]), key(&["ab", ""]));
        assert_eq!(key(&["A"]), key(&["a"]));
    }
}
