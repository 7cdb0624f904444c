//! JSON of results: every number comes back bit for bit, and what JSON cannot hold is refused.

use crate::error::{Error, Result};
use serde::{Serialize, de::DeserializeOwned};

/// Writes `value`, and reads it back to be sure: JSON has no word for a number that is not finite.
pub(crate) fn write<T: Serialize + DeserializeOwned + PartialEq>(value: &T) -> Result<String> {
    let text = serde_json::to_string_pretty(value).map_err(|e| Error::internal("writing JSON", e.to_string()))?;
    match serde_json::from_str::<T>(&text) {
        Ok(back) if back == *value => Ok(text),
        _ => Err(Error::inconsistent(
            "a number of this result is not finite, and JSON cannot hold it",
            "Look for a missing value where the result came from.",
        )),
    }
}

/// Reads a result whose `schema` is at most `newest`.
pub(crate) fn read<T: DeserializeOwned>(text: &str, what: &str, newest: u32) -> Result<T> {
    let refuse = |why: String| Error::unreadable(what, text, why, format!("Give JSON that dibble wrote for a {what}."));
    let value: serde_json::Value = serde_json::from_str(text).map_err(|e| refuse(e.to_string()))?;
    match value.get("schema").and_then(serde_json::Value::as_u64) {
        None => Err(refuse("it has no schema number".into())),
        Some(schema) if schema > u64::from(newest) => {
            Err(refuse(format!("its schema {schema} is newer than {newest}, the newest known here")))
        }
        Some(_) => serde_json::from_value(value).map_err(|e| refuse(e.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Debug, Serialize, Deserialize, PartialEq)]
    struct Made {
        schema: u32,
        x: Option<f64>,
    }

    #[test]
    fn numbers_come_back_bit_for_bit_and_others_are_refused() {
        let made = Made { schema: 1, x: Some(0.1 + 0.2) };
        assert_eq!(read::<Made>(&write(&made).unwrap(), "test", 1).unwrap(), made);
        for x in [f64::NAN, f64::INFINITY] {
            assert!(write(&Made { schema: 1, x: Some(x) }).unwrap_err().to_string().contains("not finite"));
        }
    }

    #[test]
    fn newer_schemas_are_refused_and_unknown_fields_ignored() {
        let error = read::<Made>(r#"{"schema": 2, "x": 1}"#, "test", 1).unwrap_err().to_string();
        assert!(error.contains("its schema 2 is newer than 1"), "{error}");
        assert!(read::<Made>(r#"{"schema": 1, "x": 1, "y": 2}"#, "test", 1).is_ok());
        assert!(read::<Made>("[]", "test", 1).is_err());
    }
}
