//! The log as a whole: read line by line, what is faulty kept and reported, what counts told from what does not.

use super::cells::{self, COLUMNS, Row};
use super::entry::{Entry, Kind, State};
use crate::date::Date;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, HashSet};
use std::fmt;

/// Version of the file's form.
pub const LOG_VERSION: u32 = 1;
const TITLE: &str = "season log";

/// A line that cannot be used. It stays in the file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Fault {
    /// Number of the line, from 1.
    pub line: usize,
    /// The line as it stands.
    pub text: String,
    /// Why it is not used and what to do.
    pub why: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {} is not counted: {}", self.line, self.why)
    }
}

/// A season log. It holds the text that it was read from, faulty lines included.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(with = "Written"))]
#[serde(try_from = "Written", into = "Written")]
pub struct Log {
    name: String,
    text: String,
    farm: String,
    delimiter: u8,
    headings: Vec<String>,
    entries: Vec<Entry>,
    lines: Vec<usize>,
    faults: Vec<Fault>,
    remarks: Vec<String>,
}

/// A log as JSON holds it.
#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
struct Written {
    name: String,
    text: String,
}

crate::plain::plain!(Log: Written, |written| Log::parse(&written.text, &written.name), |log| Written { name: log.name, text: log.text });

impl Log {
    /// Columns of [`Log::to_csv`] that hold words; all others hold numbers.
    pub const WORD_COLUMNS: [&str; 12] = ["id", "date", "block", "state", "what", "of", "sets", "feel", "product", "place", "row", "note"];

    /// An empty log of a farm.
    ///
    /// # Errors
    /// A farm's name that is empty or holds a line break.
    pub fn new(farm: &str) -> Result<Self> {
        if farm.trim().is_empty() || farm.contains(char::is_control) {
            return Err(Error::unreadable(
                "farm",
                farm,
                "the log needs the farm's name, in one line",
                "Give the name that the farm file has.",
            ));
        }
        let title = line_of(&[TITLE, &LOG_VERSION.to_string(), farm.trim()], b',')?;
        Self::parse(&format!("{title}\n{}\n", COLUMNS.join(",")), "season log")
    }

    /// Reads a log; `name` stands in messages in place of a path.
    ///
    /// A faulty line is kept and listed in [`Log::faults`], and the others are used; so is a last line that was cut off while
    /// it was written.
    ///
    /// # Errors
    /// Not a season log, a newer version, headings that are not known or missing.
    ///
    /// ```
    /// let text = "season log,1,Hill\nid,date,block,what,depth_mm\na,2026-07-14,North,water,12.7\nb,2026-07-15,No";
    /// let log = dibble::record::Log::parse(text, "log.csv")?;
    /// assert_eq!((log.farm(), log.entries().len()), ("Hill", 1));
    /// assert_eq!(
    ///     log.faults()[0].to_string(),
    ///     "line 4 is not counted: it breaks off after 3 of 5 cells. It was cut off while it was written; enter it again."
    /// );
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn parse(text: &str, name: &str) -> Result<Self> {
        let refuse = |why: &str| {
            let start: String = text.chars().take(60).collect();
            let hint = "Its first line is: season log,1,NAME OF THE FARM. Give the file that the log is kept in.";
            Error::unreadable("the season log", &start, why, hint).at(name)
        };
        let body = text.strip_prefix('\u{feff}').unwrap_or(text);
        if body.contains('\0') {
            return Err(refuse("it is a binary file"));
        }
        let mut lines = body.lines().zip(1..).filter(|(line, _)| !line.trim().is_empty());
        let (title, _) = lines.next().ok_or_else(|| refuse("it is empty"))?;
        let delimiter =
            [b',', b';', b'\t'].into_iter().find(|d| title.strip_prefix(TITLE).is_some_and(|t| t.as_bytes().first() == Some(d)));
        let delimiter = delimiter.ok_or_else(|| refuse("it does not begin with \"season log\""))?;
        let (title, _) = split(title, delimiter);
        let [version, farm] = [1, 2].map(|at| title.get(at).map_or("", |cell| cell.trim()));
        match version.parse::<u32>() {
            Ok(LOG_VERSION) => {}
            Ok(newer) if newer > LOG_VERSION => {
                return Err(refuse(&format!("its version {newer} is newer than {LOG_VERSION}, the newest known here")));
            }
            _ => return Err(refuse("it does not name its version")),
        }
        if farm.is_empty() {
            return Err(refuse("it does not name its farm"));
        }
        let (headings, _) = lines.next().ok_or_else(|| refuse("it has no headings"))?;
        let headings = read_headings(split(headings, delimiter).0).map_err(|e| e.at(format!("{name}, headings")))?;
        let mut log = Self {
            name: name.into(),
            text: text.into(),
            farm: farm.into(),
            delimiter,
            headings,
            entries: Vec::new(),
            lines: Vec::new(),
            faults: Vec::new(),
            remarks: Vec::new(),
        };
        let last = body.lines().count();
        let cut = !body.ends_with('\n');
        for (line, number) in lines {
            if let Err(error) = log.read_line(line, number, cut && number == last) {
                log.faults.push(Fault { line: number, text: line.into(), why: error.to_string() });
            }
        }
        log.look_over();
        Ok(log)
    }

    fn read_line(&mut self, line: &str, number: usize, cut: bool) -> Result<()> {
        let (cells, open) = split(line, self.delimiter);
        let width = self.headings.len();
        let number_last = self.headings.last().is_some_and(|h| h != "note") && cells.last().is_some_and(|c| !c.is_empty());
        if cut && (cells.len() < width || open || number_last) {
            let hint = "It was cut off while it was written; enter it again.";
            return Err(Error::inconsistent(format!("it breaks off after {} of {width} cells", cells.len().min(width)), hint));
        }
        if open {
            return Err(Error::inconsistent(
                "a quotation mark in it is not closed",
                "Close it, or double a mark that belongs to the text.",
            ));
        }
        if cells.len() < width || cells.iter().skip(width).any(|c| !c.trim().is_empty()) {
            let hint = "Give each line one cell for each heading; leave empty what it does not need.";
            return Err(Error::inconsistent(format!("it has {} cells and the headings are {width}", cells.len()), hint));
        }
        let entry = Row { headings: &self.headings, cells: &cells }.entry()?;
        let earlier = |id: &str| self.entries.iter().zip(&self.lines).find(|(e, _)| e.id == id);
        if let Some((same, at)) = earlier(&entry.id) {
            let hint =
                if *same == entry { "It counts once." } else { "Give it an id of its own, or name the other in \"of\" to correct it." };
            let what =
                if *same == entry { format!("it repeats line {at}") } else { format!("its id \"{}\" is that of line {at}", entry.id) };
            return Err(Error::inconsistent(what, hint));
        }
        if let Some(of) = &entry.of {
            match earlier(of) {
                None => {
                    let hint = "Name the id of a line above it that counts, or leave \"of\" empty.";
                    return Err(Error::inconsistent(format!("it stands for \"{of}\", and no line above has that id"), hint));
                }
                Some((target, at)) if target.state == State::Done && entry.state == State::Planned => {
                    let hint = "A plan cannot take the place of what was done.";
                    return Err(Error::inconsistent(format!("it is planned and stands for line {at}, which is done"), hint));
                }
                Some(_) => {}
            }
        }
        self.entries.push(entry);
        self.lines.push(number);
        Ok(())
    }

    /// What is used as it stands and yet deserves a second look.
    fn look_over(&mut self) {
        let rows = || self.entries.iter().zip(&self.lines);
        let mut remarks = Vec::new();
        let mut latest: Option<Date> = None;
        for (entry, line) in rows() {
            if let Some(before) = latest.filter(|before| entry.date < *before) {
                remarks.push(format!("line {line} ({}) stands below {before}; it counts on its own day", entry.date));
            }
            latest = latest.max(Some(entry.date));
        }
        let counting: HashSet<&str> = self.counting().iter().map(|e| e.id.as_str()).collect();
        let mut seen: BTreeMap<String, usize> = BTreeMap::new();
        for (entry, line) in rows().filter(|(e, _)| counting.contains(e.id.as_str()) && e.what.kind() == Kind::Water) {
            let said = format!("{} {} {:?}", entry.date, entry.block.to_lowercase(), entry.what);
            if let Some(before) = seen.insert(said, *line) {
                let id = &entry.id;
                remarks.push(format!("line {line} says the same as line {before}; both count. If it was one watering, strike \"{id}\""));
            }
        }
        self.remarks = remarks;
    }

    /// The entry as a line of this file, under its headings, without the line's end.
    ///
    /// # Errors
    /// An entry that is not sound, an `id` that is taken or missing, an `of` that is no earlier entry, a heading that the file
    /// lacks.
    pub fn append_line(&self, entry: &Entry) -> Result<String> {
        entry.check()?;
        for name in COLUMNS.iter().filter(|name| !cells::cell(entry, name).is_empty()) {
            // a file without "state" holds only what is done
            let implied = *name == "state" && entry.state == State::Done;
            if cells::column_of(&self.headings, name).is_none() && !implied {
                let hint = format!("Add the heading {name} to the file's second line.");
                return Err(Error::missing(format!("the column {name} of {}", self.name), hint));
            }
        }
        let row: Vec<String> = self.headings.iter().map(|heading| cells::cell_under(entry, heading)).collect();
        let line = line_of(&row, self.delimiter)?;
        let mut trial = Self { faults: Vec::new(), remarks: Vec::new(), ..self.clone() };
        trial.read_line(&line, self.text.lines().count() + 1, false)?;
        Ok(line)
    }

    /// The log with one more entry; an empty `id` becomes [`Log::next_id`].
    ///
    /// # Errors
    /// As [`Log::append_line`].
    ///
    /// ```
    /// use dibble::record::{Entry, Log, What};
    /// let half_inch = What::Water { depth_mm: Some(12.7), time_min: None, sets: None };
    /// let log = Log::new("Hill")?.with(Entry::done("2026-07-14".parse()?, "North", half_inch))?;
    /// assert_eq!(log.entries()[0].id, "2026-07-14-1");
    /// assert!(log.text().ends_with("2026-07-14-1,2026-07-14,North,done,water,,12.7,,,,,,,,,,,,,,\n"));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn with(&self, entry: Entry) -> Result<Self> {
        let entry = self.named(entry);
        let line = self.append_line(&entry)?;
        Self::parse(&format!("{}{}", self.text, self.as_added(&line)), &self.name)
    }

    /// The entry with the next `id` if it has none.
    pub(super) fn named(&self, entry: Entry) -> Entry {
        if entry.id.trim().is_empty() { Entry { id: self.next_id(entry.date), ..entry } } else { entry }
    }

    /// What has to be added to the text so that `line` becomes a line of its own, below one that was cut off too.
    pub(super) fn as_added(&self, line: &str) -> String {
        let end = if self.text.contains("\r\n") { "\r\n" } else { "\n" };
        let close = if self.text.ends_with('\n') { "" } else { end };
        format!("{close}{line}{end}")
    }

    /// An `id` that no line has: the day and a number.
    pub fn next_id(&self, date: Date) -> String {
        let taken = |id: &str| self.entries.iter().any(|e| e.id == id) || self.faults.iter().any(|f| f.text.contains(id));
        (1..).map(|n: u64| format!("{date}-{n}")).find(|id| !taken(id)).unwrap_or_default()
    }

    /// Is it this farm's?
    ///
    /// # Errors
    /// A log of another farm, by name; case and outer spaces do not matter.
    pub fn check_farm(&self, farm: &str) -> Result<()> {
        if self.farm.to_lowercase() == farm.trim().to_lowercase() {
            return Ok(());
        }
        let what = format!("the season log is of the farm \"{}\", and this farm is \"{}\"", self.farm, farm.trim());
        Err(Error::inconsistent(what, "Give this farm's log, or correct the name in the log's first line or in the farm file.")
            .at(&self.name))
    }

    /// The farm that it is kept for.
    pub fn farm(&self) -> &str {
        &self.farm
    }
    /// What it is called in messages.
    pub fn name(&self) -> &str {
        &self.name
    }
    /// The whole text, faulty lines included.
    pub fn text(&self) -> &str {
        &self.text
    }
    /// Every entry that could be read, in the order of lines.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }
    /// Lines that are not used.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }
    /// What is used and deserves a second look: days out of order, waterings that look entered twice.
    pub fn remarks(&self) -> &[String] {
        &self.remarks
    }

    /// The entries as CSV (RFC 4180) under all headings of the log, whatever the file's own, quantities in SI.
    ///
    /// # Errors
    /// None for a log that was read.
    pub fn to_csv(&self) -> Result<String> {
        let mut text = COLUMNS.join(",");
        text.push('\n');
        for entry in &self.entries {
            text.push_str(&line_of(&COLUMNS.map(|name| cells::cell(entry, name)), b',')?);
            text.push('\n');
        }
        Ok(text)
    }

    /// Number of the line that an entry stands in.
    pub fn line(&self, entry: &Entry) -> Option<usize> {
        self.entries.iter().zip(&self.lines).find(|(e, _)| e.id == entry.id).map(|(_, line)| *line)
    }

    fn standing(&self, state: State) -> Vec<&Entry> {
        let replaced: HashSet<&str> = self.entries.iter().filter_map(|e| e.of.as_deref()).collect();
        let stands = |e: &&Entry| e.state == state && e.what.kind() != Kind::Strike && !replaced.contains(e.id.as_str());
        let mut standing: Vec<&Entry> = self.entries.iter().filter(stands).collect();
        standing.sort_by_key(|e| e.date);
        standing
    }

    /// What counts: done, not struck and not replaced, in order of days.
    pub fn counting(&self) -> Vec<&Entry> {
        self.standing(State::Done)
    }

    /// What was planned and neither done nor struck, in order of days.
    pub fn open(&self) -> Vec<&Entry> {
        self.standing(State::Planned)
    }
}

fn read_headings(mut headings: Vec<String>) -> Result<Vec<String>> {
    headings.iter_mut().for_each(|h| *h = h.trim().to_lowercase());
    while headings.last().is_some_and(String::is_empty) {
        headings.pop();
    }
    let mut problems = Vec::new();
    for (at, heading) in headings.iter().enumerate() {
        if !cells::known(heading) {
            problems.push(Error::unknown("heading", heading, &COLUMNS));
        }
        if headings.iter().take(at).any(|h| h == heading) {
            problems.push(Error::inconsistent(format!("the heading {heading} stands twice"), "Keep one of the two columns."));
        }
    }
    for name in ["id", "date", "block", "what"] {
        if cells::column_of(&headings, name).is_none() {
            problems.push(Error::missing(
                format!("the heading {name}"),
                format!("A log has at least the columns {}.", "id, date, block, what"),
            ));
        }
    }
    Error::several(problems).map_or(Ok(headings), Err)
}

/// The cells of a line, and whether a quotation mark stays open.
fn split(line: &str, delimiter: u8) -> (Vec<String>, bool) {
    // a second line tells whether the first one ends: within an open quotation it would go on
    let probe = format!("{line}\nx");
    let mut reader = csv::ReaderBuilder::new().delimiter(delimiter).has_headers(false).flexible(true).from_reader(probe.as_bytes());
    let mut records = reader.records().filter_map(std::result::Result::ok);
    let cells: Vec<String> = records.next().map(|r| r.iter().map(str::to_string).collect()).unwrap_or_default();
    let open = records.next().is_none();
    (cells, open)
}

fn line_of<S: AsRef<[u8]>>(cells: &[S], delimiter: u8) -> Result<String> {
    let internal = |why: String| Error::internal("writing a line of the season log", why);
    let mut writer = csv::WriterBuilder::new().delimiter(delimiter).from_writer(Vec::new());
    writer.write_record(cells).map_err(|e| internal(e.to_string()))?;
    let bytes = writer.into_inner().map_err(|e| internal(e.to_string()))?;
    let line = String::from_utf8(bytes).map_err(|e| internal(e.to_string()))?;
    Ok(line.trim_end_matches(['\r', '\n']).to_string())
}
