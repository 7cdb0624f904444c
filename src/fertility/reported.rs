//! A lab's number as it stands on the sheet: measured, below detection, above range.

use crate::error::{Error, Result};
use crate::words::words;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// A reported value, in the unit that stands beside it. In files it is a number, `"<1"`, `">500"` or `"ND"`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Written", into = "Written")]
pub enum Reported {
    /// A number.
    Measured(f64),
    /// Below this limit of detection.
    Below(f64),
    /// Above this end of the lab's range.
    Above(f64),
    /// Not detected, or a trace, and the limit is not given.
    NotDetected,
}

words! {
    /// The number that stands for a value below detection.
    pub enum DetectionPolicy: "detection policy" {
        /// The limit itself: the cautious choice where much is bad.
        Limit = "limit",
        /// Half the limit.
        Half = "half",
        /// Zero: the cautious choice where little is bad.
        Zero = "zero",
        /// No number: the nutrient is left out.
        LeaveOut = "leave out",
    }
}

#[derive(Serialize, Deserialize)]
#[serde(untagged)]
enum Written {
    Number(f64),
    Text(String),
}

impl Reported {
    /// The number that `policy` lets stand for it; `None` where it leaves it out or no limit is known.
    ///
    /// A value above the range stands at the end of the range, unless it is left out.
    ///
    /// ```
    /// use dibble::fertility::{DetectionPolicy, Reported};
    /// let reported: Reported = "<1".parse()?;
    /// assert_eq!(reported.number(DetectionPolicy::Half), Some(0.5));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn number(self, policy: DetectionPolicy) -> Option<f64> {
        match (self, policy) {
            (Reported::Measured(value), _) => Some(value),
            (_, DetectionPolicy::LeaveOut) => None,
            (Reported::Above(limit), _) | (Reported::Below(limit), DetectionPolicy::Limit) => Some(limit),
            (Reported::Below(limit), DetectionPolicy::Half) => Some(limit / 2.0),
            (Reported::Below(_) | Reported::NotDetected, DetectionPolicy::Zero) => Some(0.0),
            (Reported::NotDetected, _) => None,
        }
    }

    /// Lowest and highest value that it can stand for; the highest is `None` where it is not known.
    pub fn span(self) -> (f64, Option<f64>) {
        match self {
            Reported::Measured(value) => (value, Some(value)),
            Reported::Below(limit) => (0.0, Some(limit)),
            Reported::Above(limit) => (limit, None),
            Reported::NotDetected => (0.0, None),
        }
    }

    /// A plain number?
    pub fn is_measured(self) -> bool {
        matches!(self, Reported::Measured(_))
    }

    /// The same report with its number changed by `change`.
    pub(super) fn map(self, change: impl Fn(f64) -> f64) -> Self {
        match self {
            Reported::Measured(v) => Reported::Measured(change(v)),
            Reported::Below(v) => Reported::Below(change(v)),
            Reported::Above(v) => Reported::Above(change(v)),
            Reported::NotDetected => Reported::NotDetected,
        }
    }

    /// The number on the sheet, where there is one.
    pub(super) fn limit(self) -> Option<f64> {
        match self {
            Reported::Measured(v) | Reported::Below(v) | Reported::Above(v) => Some(v),
            Reported::NotDetected => None,
        }
    }
}

impl FromStr for Reported {
    type Err = Error;

    /// Reads `12`, `<1`, `>500`, `ND`, `BDL`, `tr`. A value that the lab did not give (`IS`, `NA`, blank) is refused.
    fn from_str(text: &str) -> Result<Self> {
        let plain = text.trim();
        let word = plain.to_lowercase().replace(['.', ' '], "");
        match word.as_str() {
            "nd" | "bdl" | "bd" | "tr" | "trace" | "<dl" | "notdetected" => return Ok(Reported::NotDetected),
            "" | "na" | "n/a" | "-" | "is" | "ns" => {
                return Err(Error::missing("the reported value", "The lab gave none: leave the measurement out."));
            }
            _ => {}
        }
        let (make, number): (fn(f64) -> Reported, &str) = match plain.split_at_checked(1) {
            Some(("<", rest)) => (Reported::Below, rest),
            Some((">", rest)) => (Reported::Above, rest),
            _ => (Reported::Measured, plain),
        };
        match number.trim().parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(make(value)),
            _ => Err(Error::unreadable("the reported value", text, "it is not a number", "Write 12, <1, >500 or ND.")),
        }
    }
}

impl fmt::Display for Reported {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Reported::Measured(v) => write!(f, "{v}"),
            Reported::Below(v) => write!(f, "<{v}"),
            Reported::Above(v) => write!(f, ">{v}"),
            Reported::NotDetected => f.write_str("ND"),
        }
    }
}

impl TryFrom<Written> for Reported {
    type Error = Error;
    fn try_from(written: Written) -> Result<Self> {
        match written {
            Written::Number(value) => Ok(Reported::Measured(value)),
            Written::Text(text) => text.parse(),
        }
    }
}

impl From<Reported> for Written {
    fn from(reported: Reported) -> Self {
        match reported {
            Reported::Measured(value) => Written::Number(value),
            other => Written::Text(other.to_string()),
        }
    }
}

#[cfg(feature = "schema")]
impl schemars::JsonSchema for Reported {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Reported".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": ["number", "string"], "description": "a number, \"<1\", \">500\" or \"ND\"" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_are_read_as_they_are_written_and_written_back() {
        for (text, reported) in [
            ("12", Reported::Measured(12.0)),
            ("<1", Reported::Below(1.0)),
            ("< 0.5", Reported::Below(0.5)),
            (">500", Reported::Above(500.0)),
            ("N.D.", Reported::NotDetected),
            ("tr", Reported::NotDetected),
        ] {
            assert_eq!(text.parse::<Reported>().unwrap(), reported);
            let json = serde_json::to_string(&reported).unwrap();
            assert_eq!(serde_json::from_str::<Reported>(&json).unwrap(), reported, "{json}");
        }
    }

    #[test]
    fn values_that_are_none_are_refused() {
        assert_eq!(
            "IS".parse::<Reported>().unwrap_err().to_string(),
            "the reported value is missing. The lab gave none: leave the measurement out."
        );
        assert_eq!(
            "1,5".parse::<Reported>().unwrap_err().to_string(),
            "cannot read the reported value \"1,5\": it is not a number. Write 12, <1, >500 or ND."
        );
        assert!("inf".parse::<Reported>().is_err() && "<nan".parse::<Reported>().is_err());
    }
}
