//! Which positions of a block's pass have run: "1-3 of 4".

use crate::error::{Error, Result};
use crate::plain::plain;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// Positions that ran, of so many that a whole pass of the block has.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(with = "String"))]
#[serde(try_from = "String", into = "String")]
pub struct Sets {
    ran: Vec<u32>,
    of: u32,
}

/// More positions than this are a slip.
const MOST: u32 = 10_000;

impl Sets {
    /// Positions `ran`, counted from 1, out of `of`.
    ///
    /// # Errors
    /// No position, one given twice, one beyond `of`.
    pub fn new(mut ran: Vec<u32>, of: u32) -> Result<Self> {
        ran.sort_unstable();
        let twice = ran.windows(2).any(|w| matches!(w, [a, b] if a == b));
        let outside = ran.first().is_none_or(|&first| first < 1) || ran.last().is_some_and(|&last| last > of);
        if twice || outside || of > MOST {
            let listed: Vec<String> = ran.iter().take(20).map(ToString::to_string).collect();
            return Err(Error::inconsistent(
                format!("sets are \"{} of {of}\"", listed.join(" ")),
                "Write each position that ran once, counted from 1, and how many a whole pass has: \"1-3 of 4\".",
            ));
        }
        Ok(Self { ran, of })
    }

    /// The positions, in rising order.
    pub fn ran(&self) -> &[u32] {
        &self.ran
    }

    /// How many a whole pass has.
    pub fn of(&self) -> u32 {
        self.of
    }
}

impl fmt::Display for Sets {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut rest = self.ran.as_slice();
        while let Some(&first) = rest.first() {
            let run = rest.iter().zip(first..).take_while(|(at, expected)| **at == *expected).count();
            match run {
                0 | 1 => write!(f, "{first} ")?,
                n => write!(f, "{first}-{} ", u64::from(first) + n as u64 - 1)?,
            }
            rest = rest.get(run.max(1)..).unwrap_or_default();
        }
        write!(f, "of {}", self.of)
    }
}

impl FromStr for Sets {
    type Err = Error;

    /// Reads "1-3 of 4", "1 2 4 of 4", "2 of 4".
    fn from_str(text: &str) -> Result<Self> {
        let refuse = || Error::unreadable("sets", text, "it is no list of positions with their number", "Write it as \"1-3 of 4\".");
        let (ran, of) = text.trim().split_once("of").ok_or_else(refuse)?;
        let of: u32 = of.trim().parse().map_err(|_| refuse())?;
        let mut positions = Vec::new();
        for part in ran.split([' ', ',', '+']).filter(|p| !p.is_empty()) {
            let (from, to) = part.split_once('-').unwrap_or((part, part));
            let (from, to): (u32, u32) = from.trim().parse().ok().zip(to.trim().parse().ok()).ok_or_else(refuse)?;
            if from > to || to > of.min(MOST) {
                return Err(refuse());
            }
            positions.extend(from..=to);
        }
        Self::new(positions, of)
    }
}

plain!(Sets: String, |text| text.parse(), |sets| sets.to_string());

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_are_read_and_written() {
        for (text, ran, shown) in [
            ("1-3 of 4", vec![1, 2, 3], "1-3 of 4"),
            (" 4, 1 2 of 4", vec![1, 2, 4], "1-2 4 of 4"),
            ("2 of 4", vec![2], "2 of 4"),
            ("1+3+5-6 of 6", vec![1, 3, 5, 6], "1 3 5-6 of 6"),
        ] {
            let sets: Sets = text.parse().unwrap();
            assert_eq!((sets.ran(), sets.to_string().as_str()), (ran.as_slice(), shown), "{text}");
            assert_eq!(shown.parse::<Sets>().unwrap(), sets);
        }
        for wrong in ["", "of 4", "5 of 4", "0 of 4", "1 1 of 4", "3-1 of 4", "a of 4", "1-3", "1-4294967295 of 4294967295", "1 of 20000"] {
            assert!(wrong.parse::<Sets>().is_err(), "{wrong}");
        }
        assert_eq!(
            "1 1 of 4".parse::<Sets>().unwrap_err().to_string(),
            "sets are \"1 1 of 4\". Write each position that ran once, counted from 1, and how many a whole pass has: \"1-3 of 4\"."
        );
    }
}
