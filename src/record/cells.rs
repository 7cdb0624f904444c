//! Cells of a line to an entry, and an entry to its cells.

use super::entry::{Entry, Kind, State, What};
use crate::error::{Error, Result};
use crate::units;
use crate::water::Seen;

/// The headings as they are written, in this order.
pub(super) const COLUMNS: [&str; 21] = [
    "id",
    "date",
    "block",
    "state",
    "what",
    "of",
    "depth_mm",
    "time_min",
    "sets",
    "soil_depth_m",
    "feel",
    "tension_kpa",
    "water_content",
    "holes",
    "product",
    "amount_kg",
    "place",
    "living",
    "planted",
    "row",
    "note",
];
/// Headings that hold a quantity: name, the name without its unit, the unit.
const QUANTITIES: [(&str, &str, &str); 6] = [
    ("depth_mm", "depth", "mm"),
    ("time_min", "time", "min"),
    ("soil_depth_m", "soil_depth", "m"),
    ("tension_kpa", "tension", "kPa"),
    ("water_content", "water_content", ""),
    ("amount_kg", "amount", "kg"),
];

/// Is it a heading of the log?
pub(super) fn known(heading: &str) -> bool {
    COLUMNS.contains(&heading) || QUANTITIES.iter().any(|(_, bare, _)| *bare == heading)
}

/// The heading under which a quantity or a word stands: as it is named here, or without its unit.
pub(super) fn column_of(headings: &[String], name: &str) -> Option<usize> {
    let bare = QUANTITIES.iter().find(|(full, ..)| *full == name).map_or(name, |(_, bare, _)| *bare);
    headings.iter().position(|h| h == name).or_else(|| headings.iter().position(|h| h == bare))
}

/// A line under its headings.
pub(super) struct Row<'r> {
    pub headings: &'r [String],
    pub cells: &'r [String],
}

impl Row<'_> {
    fn text(&self, name: &str) -> Option<&str> {
        let cell = self.cells.get(column_of(self.headings, name)?)?.trim();
        (!cell.is_empty()).then_some(cell)
    }

    fn need(&self, name: &str, hint: &str) -> Result<&str> {
        self.text(name).ok_or_else(|| Error::missing(name, hint))
    }

    fn number(&self, name: &'static str) -> Result<Option<f64>> {
        let Some(cell) = self.text(name) else { return Ok(None) };
        let heading = column_of(self.headings, name).and_then(|at| self.headings.get(at)).map_or(name, String::as_str);
        let quantity = QUANTITIES.iter().find(|(full, ..)| *full == name);
        match quantity {
            Some((full, bare, unit)) if heading == *bare && full != bare => units::parse(cell, unit).map(Some).map_err(|e| e.at(heading)),
            _ => cell.parse().map(Some).map_err(|_| {
                let bare = quantity.map_or(name, |(_, bare, _)| *bare);
                let hint = if bare == name {
                    "Write digits and a decimal point.".to_string()
                } else {
                    format!("Write digits and a decimal point, or call the column {bare} and write the unit behind the number.")
                };
                Error::unreadable(name, cell, "it is no number", hint)
            }),
        }
    }

    fn count(&self, name: &'static str) -> Result<Option<u32>> {
        let read = |cell: &str| cell.parse().map_err(|_| Error::unreadable(name, cell, "it is no whole number", "Write digits only."));
        self.text(name).map(read).transpose()
    }

    fn seen(&self) -> Result<Seen> {
        let feel = self.text("feel").map(str::parse).transpose()?;
        Seen::one_of(feel, self.number("tension_kpa")?, self.number("water_content")?, None).map_err(|error| {
            let hint = "Fill one of feel, tension_kpa and water_content; write a second line for a second kind.";
            if error.is_missing() {
                Error::missing("what the reading says", hint)
            } else {
                Error::inconsistent("a reading says more than one thing", hint)
            }
        })
    }

    /// The checked entry of a line.
    pub fn entry(&self) -> Result<Entry> {
        self.need("id", "Give each line a name of its own, such as 2026-07-14-1.")?;
        self.unnamed()
    }

    /// The checked entry, which may lack its `id`.
    fn unnamed(&self) -> Result<Entry> {
        let kind: Kind = self.need("what", "Write water, rain, reading, feeding, count, note or strike.")?.parse()?;
        let entry = Entry {
            id: self.text("id").unwrap_or("").into(),
            date: self.need("date", "Write it as 2026-07-14.")?.parse()?,
            block: self.text("block").unwrap_or("").into(),
            state: self.text("state").map(str::parse).transpose()?.unwrap_or(State::Done),
            what: self.what(kind)?,
            of: self.text("of").map(Into::into),
            note: self.text("note").unwrap_or("").into(),
        };
        self.stray(kind)?;
        entry.check()?;
        Ok(entry)
    }

    fn what(&self, kind: Kind) -> Result<What> {
        Ok(match kind {
            Kind::Water => What::Water {
                depth_mm: self.number("depth_mm")?,
                time_min: self.number("time_min")?,
                sets: self.text("sets").map(str::parse).transpose()?,
            },
            Kind::Rain => {
                let depth_mm = self.number("depth_mm")?.ok_or_else(|| Error::missing("depth_mm", "Write what the gauge held."))?;
                What::Rain { depth_mm }
            }
            Kind::Reading => {
                let depth = self.number("soil_depth_m")?;
                let soil_depth_m = depth.ok_or_else(|| Error::missing("soil_depth_m", "Write the depth that the soil came from."))?;
                What::Reading { soil_depth_m, holes: self.count("holes")?.unwrap_or(1), seen: self.seen()? }
            }
            Kind::Feeding => {
                let amount_kg = self.number("amount_kg")?.ok_or_else(|| Error::missing("amount_kg", "Write how much the block got."))?;
                What::Feeding { product: self.need("product", "Write what was given.")?.into(), amount_kg }
            }
            Kind::Count => {
                let row = self.text("row").map(str::to_string);
                let shown = row.as_deref().map(super::survival::row_counts).transpose()?;
                let living = self.count("living")?.or(shown.map(|(alive, _)| alive));
                What::Count {
                    place: self.text("place").unwrap_or("").into(),
                    living: living.ok_or_else(|| Error::missing("living", "Write how many trees live."))?,
                    planted: self.count("planted")?.or(shown.map(|(_, all)| all)),
                    row,
                }
            }
            Kind::Note => What::Note,
            Kind::Strike => What::Strike,
        })
    }

    /// A number under a heading that this kind has no use for: a slip of the column, and what it means cannot be known.
    fn stray(&self, kind: Kind) -> Result<()> {
        let used = columns_of(kind);
        let filled = COLUMNS.iter().skip(6).filter(|name| **name != "note" && self.text(name).is_some());
        match filled.into_iter().find(|name| !used.contains(name)) {
            None => Ok(()),
            Some(name) => Err(Error::inconsistent(
                format!("an entry of {kind} has no {name}, and \"{}\" stands there", self.text(name).unwrap_or("")),
                if used.is_empty() { "Empty the cell.".to_string() } else { format!("Move it; {kind} takes {}.", used.join(", ")) },
            )),
        }
    }
}

impl Entry {
    /// An entry from cells under the headings of the log, as a person would fill them: `what` and `date` at least; an `id` may
    /// be missing, and a quantity may stand with its unit under the heading without one.
    ///
    /// # Errors
    /// A heading that is not known; otherwise as for a line of the file.
    ///
    /// ```
    /// use dibble::record::{Entry, What};
    /// let cells = [("what", "water"), ("date", "2026-07-14"), ("block", "North"), ("depth", "0.5 in")];
    /// let entry = Entry::from_cells(&cells)?;
    /// assert_eq!(entry.what, What::Water { depth_mm: Some(12.7), time_min: None, sets: None });
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn from_cells<S: AsRef<str>>(cells: &[(S, S)]) -> Result<Self> {
        if let Some((heading, _)) = cells.iter().find(|(heading, _)| !known(heading.as_ref())) {
            return Err(Error::unknown("heading", heading.as_ref(), &COLUMNS));
        }
        let (headings, cells): (Vec<String>, Vec<String>) =
            cells.iter().map(|(heading, cell)| (heading.as_ref().to_string(), cell.as_ref().to_string())).unzip();
        Row { headings: &headings, cells: &cells }.unnamed()
    }

    /// The cells of the entry that are not empty, by their headings.
    pub fn cells(&self) -> Vec<(&'static str, String)> {
        COLUMNS.iter().map(|name| (*name, cell(self, name))).filter(|(_, cell)| !cell.is_empty()).collect()
    }
}

fn columns_of(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Water => &["depth_mm", "time_min", "sets"],
        Kind::Rain => &["depth_mm"],
        Kind::Reading => &["soil_depth_m", "feel", "tension_kpa", "water_content", "holes"],
        Kind::Feeding => &["product", "amount_kg"],
        Kind::Count => &["place", "living", "planted", "row"],
        Kind::Note | Kind::Strike => &[],
    }
}

/// What the entry has under a heading; empty where it has nothing.
pub(super) fn cell(entry: &Entry, name: &str) -> String {
    let number = |value: Option<f64>| value.map_or(String::new(), |v| v.to_string());
    let count = |value: Option<u32>| value.map_or(String::new(), |v| v.to_string());
    match (name, &entry.what) {
        ("id", _) => entry.id.clone(),
        ("date", _) => entry.date.to_string(),
        ("block", _) => entry.block.clone(),
        ("state", _) => entry.state.to_string(),
        ("what", what) => what.kind().to_string(),
        ("of", _) => entry.of.clone().unwrap_or_default(),
        ("note", _) => entry.note.clone(),
        ("depth_mm", What::Water { depth_mm, .. }) => number(*depth_mm),
        ("time_min", What::Water { time_min, .. }) => number(*time_min),
        ("sets", What::Water { sets, .. }) => sets.as_ref().map_or(String::new(), ToString::to_string),
        ("depth_mm", What::Rain { depth_mm }) => depth_mm.to_string(),
        ("soil_depth_m", What::Reading { soil_depth_m, .. }) => soil_depth_m.to_string(),
        ("holes", What::Reading { holes, .. }) => holes.to_string(),
        ("feel", What::Reading { seen: Seen::Feel(band), .. }) => band.name().to_string(),
        ("tension_kpa", What::Reading { seen: Seen::TensionKpa(kpa), .. }) => kpa.to_string(),
        ("water_content", What::Reading { seen: Seen::WaterContent(content), .. }) => content.to_string(),
        ("product", What::Feeding { product, .. }) => product.clone(),
        ("amount_kg", What::Feeding { amount_kg, .. }) => amount_kg.to_string(),
        ("place", What::Count { place, .. }) => place.clone(),
        ("living", What::Count { living, .. }) => living.to_string(),
        ("planted", What::Count { planted, .. }) => count(*planted),
        ("row", What::Count { row, .. }) => row.clone().unwrap_or_default(),
        _ => String::new(),
    }
}

/// The cell as the file's own heading asks for it: with its unit where the heading names none.
pub(super) fn cell_under(entry: &Entry, heading: &str) -> String {
    match QUANTITIES.iter().find(|(full, bare, _)| heading == *bare && full != bare) {
        Some((full, _, unit)) => {
            let plain = cell(entry, full);
            if plain.is_empty() { plain } else { format!("{plain} {unit}") }
        }
        None => cell(entry, heading),
    }
}
