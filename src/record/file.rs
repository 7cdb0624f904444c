//! The log as a file: read whole, added to line by line.

use super::entry::Entry;
use super::log::Log;
use crate::error::{Error, Result};
use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::Path;

/// Reads the log at a path.
///
/// # Errors
/// The file cannot be read or is no text; otherwise as [`Log::parse`].
pub fn read(path: impl AsRef<Path>) -> Result<Log> {
    let path = path.as_ref();
    let shown = path.display().to_string();
    let hint = "Give the path of a season log, a text file that dibble wrote.";
    let bytes = std::fs::read(path).map_err(|e| Error::file("cannot read", &shown, e.to_string(), hint))?;
    let text = String::from_utf8(bytes).map_err(|_| Error::file("cannot read", &shown, "it is not UTF-8 text", hint))?;
    Log::parse(&text, &shown)
}

/// Adds an entry to the log at a path, which is begun if there is none, and gives the entry back with its `id`.
///
/// The line is written by one call at the end of the file and forced to the disk. What stands there is never changed; a line
/// that was cut off before is closed first.
///
/// # Errors
/// A log of another farm, an entry that is not sound, a file that cannot be written.
pub fn append(path: impl AsRef<Path>, farm: &str, entry: Entry) -> Result<Entry> {
    let path = path.as_ref();
    let shown = path.display().to_string();
    let failed = |e: &std::io::Error| {
        Error::file(
            "cannot write",
            &shown,
            e.to_string(),
            "The entry is not in the log. Check folder, rights and free space, and enter it again.",
        )
    };
    let (log, begun) = match std::fs::metadata(path) {
        Ok(_) => (read(path)?, true),
        Err(e) if e.kind() == ErrorKind::NotFound => (Log::new(farm)?, false),
        Err(e) => return Err(failed(&e)),
    };
    log.check_farm(farm)?;
    let entry = log.named(entry);
    let line = log.as_added(&log.append_line(&entry)?);
    let mut options = OpenOptions::new();
    options.append(true).create_new(!begun);
    let mut file = options.open(path).map_err(|e| failed(&e))?;
    let text = if begun { line } else { format!("{}{line}", log.text()) };
    let written = file.write(text.as_bytes()).map_err(|e| failed(&e))?;
    if written < text.len() {
        let why = format!("only {written} of {} bytes were taken", text.len());
        let hint = "The line is cut off and will not be counted. Make room and enter it again.";
        return Err(Error::file("cannot write", &shown, why, hint));
    }
    file.sync_all().map_err(|e| failed(&e))?;
    Ok(entry)
}
