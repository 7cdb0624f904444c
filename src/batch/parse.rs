//! Options out of TOML or JSON, and what is wrong with them in plain words.

use super::{BatchOptions, Facts};
use crate::error::{Error, Result};
use serde_json::{Map, Value, from_value};

const HINT: &str = "The keys are those of dibble's batch options.";

impl BatchOptions {
    /// Options from JSON, or else from TOML.
    ///
    /// # Errors
    /// Text that is neither, an unknown key, a value that is none of its words.
    ///
    /// ```
    /// use dibble::batch::BatchOptions;
    /// let text = "today = \"2027-04-01\"\n[columns]\nPHOS = \"P (element) ppm\"\n[lab.\"Lake Lab\"]\nextractant = \"Bray P1\"\n";
    /// let options = BatchOptions::parse(text, "mapping.toml")?;
    /// assert_eq!(options.lab.len(), 1);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn parse(text: &str, name: &str) -> Result<Self> {
        match serde_json::from_str::<Value>(text) {
            Ok(Value::Object(table)) => from_json(table).map_err(|e| e.at(name)),
            Ok(other) => {
                let why = format!("it is {} where a table of options is needed", kind(&other));
                Err(Error::unreadable("these options", text.trim(), why, HINT).at(name))
            }
            Err(error) if text.trim_start().starts_with('{') => {
                Err(Error::unreadable("these options", text.trim(), plainly(&error.to_string()), "Write them as JSON or TOML.").at(name))
            }
            Err(_) => toml::from_str(text).map_err(|e| {
                let at = e.span().map_or(0, |span| span.start);
                let line = 1 + text.bytes().take(at).filter(|b| *b == b'\n').count();
                let written = text.lines().nth(line - 1).unwrap_or("").trim();
                Error::unreadable("this line", written, plainly(e.message()), HINT).at(format!("{name}, line {line}"))
            }),
        }
    }
}

fn from_json(table: Map<String, Value>) -> Result<BatchOptions> {
    // facts can all be left out, and an empty list would pass for a table of none
    let labs = table.get("lab").and_then(Value::as_object).into_iter().flatten().map(|(lab, facts)| (format!("lab.{lab:?}"), facts));
    if let Some((place, list)) = table.get("facts").map(|facts| ("facts".into(), facts)).into_iter().chain(labs).find(|(_, f)| f.is_array())
    {
        return Err(Error::unreadable(format!("option {place}"), &list.to_string(), "it is a list where a table is needed", HINT));
    }
    from_value(Value::Object(table.clone())).map_err(|error| match fault(&table) {
        Some((path, value)) => {
            let shown = value.as_str().map_or_else(|| value.to_string(), String::from);
            let why = alone(&path, &value).err().map_or_else(|| error.to_string(), |e| e.to_string());
            Error::unreadable(format!("option {path}"), &shown, plainly(&why), HINT)
        }
        None => Error::inconsistent(format!("options cannot be read: {}", plainly(&error.to_string())), HINT),
    })
}

/// The entry that is at fault: with its path, as deep as it can be told.
fn fault(table: &Map<String, Value>) -> Option<(String, Value)> {
    let (key, value) = table.iter().find(|(key, value)| alone(key, value).is_err())?;
    let inside = |prefix: String, facts: &Value| {
        let (sub, value) = facts.as_object()?.iter().find(|(sub, value)| one_fact(sub, value).is_err())?;
        Some((format!("{prefix}.{sub}"), value.clone()))
    };
    let deeper = match (key.as_str(), value) {
        ("facts", facts) => inside("facts".into(), facts),
        ("lab", Value::Object(labs)) => labs.iter().find_map(|(lab, facts)| inside(format!("lab.{lab:?}"), facts)),
        _ => None,
    };
    deeper.or_else(|| Some((key.clone(), value.clone())))
}

/// Would this entry be read if it were the only one?
fn alone(path: &str, value: &Value) -> serde_json::Result<()> {
    match path.rsplit_once('.') {
        Some((_, fact)) => one_fact(fact, value),
        None => {
            let mut table = Map::from_iter([("today".to_string(), "2000-01-01".into())]);
            table.insert(path.into(), value.clone());
            from_value::<BatchOptions>(Value::Object(table)).map(|_| ())
        }
    }
}

fn one_fact(key: &str, value: &Value) -> serde_json::Result<()> {
    from_value::<Facts>(Value::Object(Map::from_iter([(key.to_string(), value.clone())]))).map(|_| ())
}

fn kind(value: &Value) -> &'static str {
    match value {
        Value::Null => "nothing",
        Value::Bool(_) => "true or false",
        Value::Number(_) => "a number",
        Value::String(_) => "text",
        Value::Array(_) => "a list",
        Value::Object(_) => "a table",
    }
}

/// The words of the parser as people say them: "invalid type: string "x", expected f64".
fn plainly(why: &str) -> String {
    let why = why.trim().trim_end_matches('.').replace('\n', " ");
    if why.contains("recursion limit") {
        return "lists or tables stand too deep in each other".into();
    }
    let told = ["invalid type: ", "invalid value: "].iter().find_map(|p| why.strip_prefix(p)?.rsplit_once(", expected "));
    let Some((found, wanted)) = told else {
        return why.replace("unknown field", "unknown key").replace("missing field", "missing key").replace('`', "\"");
    };
    let is = match found.split_whitespace().next().unwrap_or("") {
        "string" => "text",
        "integer" | "floating" => "a number",
        "boolean" => "true or false",
        "sequence" => "a list",
        "map" => "a table",
        "null" | "unit" => "nothing",
        _ => found,
    };
    let number = if is == "a number" { found.split('`').nth(1).unwrap_or(is) } else { is };
    let needed = match wanted {
        "f64" | "f32" => "a number",
        "u32" | "u64" | "usize" | "i32" => "a whole number, 0 or more,",
        "a string" | "string" => "text",
        "a boolean" => "true or false",
        "a sequence" => "a list",
        "a map" => "a table",
        other if other.starts_with("struct ") => "a table",
        other if other.contains("tagged enum") => "a table with its kind",
        other => other,
    };
    format!("it is {number} where {needed} is needed")
}
