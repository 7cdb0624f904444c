//! Positions in a farm file: pairs of bare numbers in meters, or text with a unit at its end.

use super::{Entry, Table, number};
use crate::error::Error;
use crate::geom::Xy;
use crate::units;
use toml::de::DeValue;

impl Table<'_, '_> {
    /// Corners or positions in order: `outline_m = [[0, 0], [60, 0], [60, 40]]`, or
    /// `outline = "0 0, 200 0, 200 130 ft"`: east and north, pairs parted by commas, one unit at the end. Empty if the
    /// key is absent.
    pub fn points(&self, key: &'static str) -> Vec<Xy> {
        let Some((key, entry)) = self.spelled(key) else { return Vec::new() };
        let read = match entry.get_ref() {
            DeValue::Array(items) => items.iter().map(pair).collect::<Option<Vec<Xy>>>(),
            DeValue::String(text) => return self.of_text(key, text).unwrap_or_default(),
            _ => None,
        };
        self.or_wrong(key, entry, read).unwrap_or_default()
    }

    /// One position: `at_m = [60, 40]` or `at = "200 130 ft"`.
    pub fn point(&self, key: &'static str) -> Option<Xy> {
        let (key, entry) = self.spelled(key)?;
        match entry.get_ref() {
            DeValue::String(text) => match self.of_text(key, text)?.as_slice() {
                [at] => Some(*at),
                several => {
                    let why = format!("it holds {} positions, and one is wanted", several.len());
                    self.problem(key, Error::unreadable(key, text, why, format!("Write {key}.", key = example(key))));
                    None
                }
            },
            _ => self.or_wrong(key, entry, pair(entry)),
        }
    }

    /// The key as it is written: with its ending for numbers, without it for text.
    fn spelled(&self, key: &'static str) -> Option<(&'static str, &Entry<'_>)> {
        let bare = key.strip_suffix("_m").unwrap_or(key);
        self.asked.borrow_mut().push((key, bare.to_string()));
        match (self.find(key), self.find(bare)) {
            (Some(_), Some(_)) => {
                self.problem(key, Error::inconsistent(format!("{key} and {bare} are both given"), "Keep one of them."));
                None
            }
            (Some((_, entry)), None) if matches!(entry.get_ref(), DeValue::String(_)) => self.or_wrong(key, entry, None),
            (Some((_, entry)), None) => Some((key, entry)),
            (None, Some((_, entry))) if matches!(entry.get_ref(), DeValue::String(_)) => Some((key, entry)),
            (None, Some((_, entry))) => self.or_wrong(key, entry, None),
            (None, None) => None,
        }
    }

    fn or_wrong<T>(&self, key: &'static str, entry: &Entry<'_>, read: Option<T>) -> Option<T> {
        if read.is_none() {
            let given = self.source.text.get(entry.span()).unwrap_or("");
            let why = "positions are pairs of numbers in meters, or text with a unit at its end";
            self.problem(key, Error::unreadable(key, given, why, format!("Write {}.", example(key))));
        }
        read
    }

    fn of_text(&self, key: &'static str, text: &str) -> Option<Vec<Xy>> {
        let body = text.trim().trim_end_matches(|c: char| c.is_alphabetic());
        let unit = text.trim().get(body.len()..).unwrap_or("");
        let refuse = |why: String| {
            self.problem(key, Error::unreadable(key, text, why, format!("Write {}.", example(key))));
            None
        };
        if unit.is_empty() {
            return refuse("the unit at its end is missing".into());
        }
        let mut points = Vec::new();
        for (part, number) in body.split(',').zip(1..) {
            let numbers: Option<Vec<f64>> = part.split_whitespace().map(|n| n.parse().ok()).collect();
            let Some([x, y]) = numbers.as_deref() else {
                return refuse(format!("position {number} is \"{}\", and two numbers are wanted", part.trim()));
            };
            match (units::convert(*x, unit, "m"), units::convert(*y, unit, "m")) {
                (Ok(x), Ok(y)) => points.push([x, y]),
                (Err(error), _) | (_, Err(error)) => {
                    self.problem(key, error);
                    return None;
                }
            }
        }
        Some(points)
    }
}

fn pair(item: &Entry<'_>) -> Option<Xy> {
    match item.get_ref() {
        DeValue::Array(two) => match two.iter().map(|n| number(n.get_ref())).collect::<Option<Vec<f64>>>()?.as_slice() {
            [x, y] => Some([*x, *y]),
            _ => None,
        },
        _ => None,
    }
}

fn example(key: &str) -> String {
    let bare = key.strip_suffix("_m").unwrap_or(key);
    if bare.ends_with("at") && bare != "tree_at" {
        format!("{bare} = \"200 130 ft\" or {key} = [61, 39.6]")
    } else {
        format!("{bare} = \"0 0, 200 0, 200 130 ft\" or {key} = [[0, 0], [61, 0], [61, 39.6]]")
    }
}

#[cfg(test)]
mod tests {
    use super::super::read;
    use crate::error::Result;
    use crate::geom::Xy;

    fn outline(text: &str) -> Result<Vec<Xy>> {
        read(text, "f.toml", |t| t.points("outline_m"))
    }

    #[test]
    fn pairs_of_meters_and_text_with_a_unit_say_the_same() {
        let meters = outline("outline_m = [[0, 0], [30.48, 0], [30.48, 6.096]]").unwrap();
        assert_eq!(outline("outline = \"0 0, 100 0, 100 20 ft\"").unwrap(), meters);
        assert_eq!(outline("outline = '''\n0 0,\n 100 0,  100 20\nft'''").unwrap(), meters);
        assert_eq!(outline("").unwrap(), Vec::<Xy>::new());
        let at = |text: &str| read(text, "f.toml", |t| t.point("at_m"));
        assert_eq!(at("at = \"-100 20 ft\"").unwrap(), Some([-30.48, 6.096]));
        assert_eq!(at("at_m = [3, 4.5]").unwrap(), Some([3.0, 4.5]));
    }

    #[test]
    fn what_is_no_position_is_said() {
        let hint = "Write outline = \"0 0, 200 0, 200 130 ft\" or outline_m = [[0, 0], [61, 0], [61, 39.6]].";
        for (text, message) in [
            ("outline = \"0 0, 100 0, 100 20\"", "cannot read outline_m \"0 0, 100 0, 100 20\": the unit at its end is missing. "),
            (
                "outline = \"0 0, 100, 100 20 ft\"",
                "cannot read outline_m \"0 0, 100, 100 20 ft\": position 2 is \"100\", and two numbers are wanted. ",
            ),
            (
                "outline = [[0, 0]]",
                "cannot read outline_m \"[[0, 0]]\": positions are pairs of numbers in meters, or text with a unit at its end. ",
            ),
        ] {
            let key = "f.toml, line 1 (outline): ";
            assert_eq!(outline(text).unwrap_err().to_string(), format!("{key}{message}{hint}"));
        }
        assert_eq!(
            outline("outline = \"0 0, 9 0, 9 9 gal\"").unwrap_err().to_string(),
            "f.toml, line 1 (outline): cannot read quantity \"0 gal\": gal measures a volume, and a length is wanted. Write it in m, ft or in."
        );
        let one = read("at = \"1 2, 3 4 m\"", "f.toml", |t| t.point("at_m")).unwrap_err();
        assert_eq!(
            one.to_string(),
            "f.toml, line 1 (at): cannot read at_m \"1 2, 3 4 m\": it holds 2 positions, and one is wanted. Write at = \"200 130 ft\" or at_m = [61, 39.6]."
        );
    }
}
