//! The append-only log of a unit file (`unit/2`).
//!
//! Everything measured is one line under the last key, `log:`, written once and never again:
//!
//! ```yaml
//! log:
//!   - {opens: 1, date: 2026-09-13, by: night shift, meter: {name: bench meter, …}, revision: C}  # 3f…
//!   - {in: 1, at: TP1, reads: 19.6 V}  # 51…
//!   - {in: 1, at: TP5, state: {Lever: 0 %}, skipped: clip missing}  # 0c…
//!   - {in: 1, closes: done}  # e8…
//!   - {rework: U1 replaced, date: 2026-09-20, by: night shift}  # 7a…
//! ```
//!
//! Each line says which session it is `in`, so that two people who write at once do no harm. The
//! mark at its end is a digest of the line and of the mark before it: a line that was altered, or
//! only half written when the power went, shows.

use super::unit::percent;
use super::{Display, Meter, Point, Setting};
use crate::quantity::Unit;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::ops::Range;

/// Version of the unit file that ends in a log.
pub const VERSION: &str = "unit/2";

/// Digits of a mark.
const MARK: usize = 12;

/// The lines of a log, as found in a file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Log {
    /// End of the part that can be trusted [bytes]; what follows was half written.
    pub good: usize,
    /// The mark of its last line, empty for none.
    pub last_mark: String,
    /// Lines before the end whose mark does not fit them: number from 1, and bytes.
    pub altered: Vec<(usize, Range<usize>)>,
    /// The mark last seen, of whatever line.
    chain: String,
}

/// Looks through the bytes of a unit file. `None` when it does not end in a log.
#[must_use]
pub fn scan(bytes: &[u8]) -> Option<Log> {
    let mut log: Option<Log> = None;
    let mut start = 0;
    let mut number = 0;
    while start < bytes.len() {
        let newline = bytes[start..].iter().position(|byte| *byte == b'\n');
        let end = newline.map_or(bytes.len(), |at| start + at + 1);
        number += 1;
        let line = std::str::from_utf8(&bytes[start..end]).ok();
        match (&mut log, line) {
            (None, Some(line)) if is_log_key(line) => {
                log = Some(Log {
                    good: end,
                    ..Log::default()
                });
            }
            (None, _) => {}
            (Some(log), line) => take(log, line, number, start..end),
        }
        start = end;
    }
    let mut log = log?;
    // Bad lines at the very end were never confirmed; those before were, and were altered since.
    let good = log.good;
    log.altered.retain(|(_, range)| range.start < good);
    Some(log)
}

fn is_log_key(line: &str) -> bool {
    line.strip_prefix("log:").is_some_and(|rest| {
        let rest = rest.trim();
        rest.is_empty() || rest.starts_with('#')
    })
}

fn take(log: &mut Log, line: Option<&str>, number: usize, range: Range<usize>) {
    let whole = line.filter(|line| line.ends_with('\n') && !line.contains('\0'));
    match whole.map(|line| (line, split_mark(line.trim_end()))) {
        Some((_, Some((entry, mark)))) => {
            let fits = digest(&log.chain, entry) == mark;
            // The next line was written after this mark, whatever became of the line.
            mark.clone_into(&mut log.chain);
            if fits {
                log.good = range.end;
                mark.clone_into(&mut log.last_mark);
            } else {
                log.altered.push((number, range));
            }
        }
        // A remark, an empty line, or a line written by hand.
        Some((line, None))
            if line.trim().is_empty()
                || line.trim_start().starts_with('#')
                || line.trim_end().ends_with('}') =>
        {
            log.good = range.end;
            log.last_mark.clone_from(&log.chain);
        }
        _ => log.altered.push((number, range)),
    }
}

fn split_mark(line: &str) -> Option<(&str, &str)> {
    let (entry, mark) = line.rsplit_once("  # ")?;
    let hex = mark.len() == MARK && mark.bytes().all(|b| b.is_ascii_hexdigit());
    hex.then_some((entry, mark))
}

fn digest(before: &str, entry: &str) -> String {
    hex(&Sha256::digest(format!("{before}\n{entry}")), MARK)
}

/// The first digits of a digest, in hexadecimal.
#[must_use]
pub fn hex(bytes: &[u8], digits: usize) -> String {
    let mut text = bytes.iter().fold(String::new(), |mut text, byte| {
        text.push_str(&format!("{byte:02x}"));
        text
    });
    text.truncate(digits);
    text
}

/// One entry as the line to append after `last_mark`, and its own mark.
#[must_use]
pub fn line(entry: &Entry, last_mark: &str) -> (String, String) {
    let text = format!("  - {}", entry.text());
    let mark = digest(last_mark, &text);
    (format!("{text}  # {mark}\n"), mark)
}

/// The next free number of a session in a log.
#[must_use]
pub fn next_session(text: &str) -> u32 {
    let numbers = text.lines().filter_map(|line| {
        let rest = line.trim_start().strip_prefix("- {opens: ")?;
        rest.split([',', '}']).next()?.trim().parse::<u32>().ok()
    });
    numbers.max().unwrap_or(0) + 1
}

/// What can be appended.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A session begins.
    Opens(Opening),
    /// A reading; `reads` as it is to be written, with its unit.
    Reading {
        /// Session.
        session: u32,
        /// Where and how.
        point: Point,
        /// What the meter showed.
        reads: String,
        /// Remark.
        note: Option<String>,
    },
    /// A step left out.
    Skip {
        /// Session.
        session: u32,
        /// Where and how.
        point: Point,
        /// Why.
        reason: String,
    },
    /// A remark.
    Note {
        /// Session.
        session: u32,
        /// The remark.
        text: String,
    },
    /// A guided bring-up came to its end.
    Closes {
        /// Session.
        session: u32,
        /// How it ended.
        how: String,
    },
    /// The unit was worked on.
    Rework {
        /// What was done.
        what: String,
        /// Date, year-month-day.
        date: String,
        /// Who.
        by: Option<String>,
    },
}

/// The head of a session.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// Number.
    pub session: u32,
    /// Date, year-month-day.
    pub date: String,
    /// Who measures.
    pub by: Option<String>,
    /// Remark.
    pub note: Option<String>,
    /// With what.
    pub meter: Meter,
    /// Mains voltage [V].
    pub mains: Option<f64>,
    /// Room temperature [°C].
    pub ambient: Option<f64>,
    /// Revision of the design.
    pub revision: Option<String>,
    /// Fingerprint of the design.
    pub design: Option<String>,
    /// A guided bring-up?
    pub guided: bool,
}

impl Entry {
    fn text(&self) -> String {
        let mut pairs: Vec<(&str, String)> = Vec::new();
        match self {
            Self::Opens(opening) => opening.pairs(&mut pairs),
            Self::Reading {
                session,
                point,
                reads,
                note,
            } => {
                point_pairs(*session, point, &mut pairs);
                pairs.push(("reads", scalar(reads)));
                pairs.extend(note.as_ref().map(|note| ("note", scalar(note))));
            }
            Self::Skip {
                session,
                point,
                reason,
            } => {
                point_pairs(*session, point, &mut pairs);
                if point.unit != Unit::Volt {
                    pairs.push(("unit", scalar(point.unit.symbol())));
                }
                pairs.push(("skipped", scalar(reason)));
            }
            Self::Note { session, text } => {
                pairs.push(("in", session.to_string()));
                pairs.push(("note", scalar(text)));
            }
            Self::Closes { session, how } => {
                pairs.push(("in", session.to_string()));
                pairs.push(("closes", scalar(how)));
            }
            Self::Rework { what, date, by } => {
                pairs.push(("rework", scalar(what)));
                pairs.push(("date", date.clone()));
                pairs.extend(by.as_ref().map(|by| ("by", scalar(by))));
            }
        }
        braces(&pairs)
    }
}

impl Opening {
    fn pairs(&self, pairs: &mut Vec<(&str, String)>) {
        let number = |value: f64, unit: Unit| format!("{value} {}", unit.symbol());
        pairs.push(("opens", self.session.to_string()));
        pairs.push(("date", self.date.clone()));
        pairs.extend(self.by.as_ref().map(|by| ("by", scalar(by))));
        pairs.extend(self.note.as_ref().map(|note| ("note", scalar(note))));
        pairs.push(("meter", meter(&self.meter)));
        pairs.extend(self.mains.map(|volts| ("mains", number(volts, Unit::Volt))));
        pairs.extend(
            self.ambient
                .map(|degrees| ("ambient", number(degrees, Unit::Celsius))),
        );
        pairs.extend(self.revision.as_ref().map(|r| ("revision", scalar(r))));
        pairs.extend(self.design.as_ref().map(|d| ("design", scalar(d))));
        if self.guided {
            pairs.push(("guided", "true".to_owned()));
        }
    }
}

fn meter(meter: &Meter) -> String {
    let given = |what: &str| !meter.assumed.contains(&what);
    let mut pairs = vec![("name", scalar(&meter.name))];
    if given("accuracy") {
        pairs.push(("accuracy", scalar(&meter.accuracy.describe())));
    }
    if given("resistance") {
        pairs.push(("resistance", scalar(&meter.resistance.describe())));
    }
    match meter.display {
        Display::Step(step) => pairs.push(("resolution", format!("{step} V"))),
        Display::Counts(counts) if given("counts") => pairs.push(("counts", counts.to_string())),
        Display::Counts(_) => {}
    }
    if given("input") {
        pairs.push(("input", format!("{} MΩ", meter.input / 1e6)));
    }
    pairs.extend(meter.true_rms.map(|yes| ("true-rms", yes.to_string())));
    braces(&pairs)
}

fn point_pairs(session: u32, point: &Point, pairs: &mut Vec<(&str, String)>) {
    pairs.push(("in", session.to_string()));
    pairs.push(("at", scalar(&point.at)));
    if point.alone {
        pairs.push(("alone", "true".to_owned()));
    }
    if !point.state.is_empty() {
        pairs.push(("state", state(&point.state)));
    }
    if let Some(jack) = &point.jack {
        pairs.push(("jack", scalar(jack)));
    }
    if point.plugged {
        pairs.push(("plugged", "true".to_owned()));
    }
}

fn state(state: &BTreeMap<String, Setting>) -> String {
    let settings: Vec<String> = state
        .iter()
        .map(|(control, setting)| {
            let setting = match setting {
                Setting::Position(position) => scalar(position),
                Setting::Travel(travel) => format!("{} %", percent(*travel)),
            };
            format!("{}: {setting}", scalar(control))
        })
        .collect();
    format!("{{{}}}", settings.join(", "))
}

fn braces(pairs: &[(&str, String)]) -> String {
    let pairs: Vec<String> = pairs
        .iter()
        .map(|(key, value)| format!("{key}: {value}"))
        .collect();
    format!("{{{}}}", pairs.join(", "))
}

/// A text as one YAML scalar on one line: plain where nothing in it means anything to YAML.
#[must_use]
pub fn scalar(text: &str) -> String {
    let text = text.trim();
    let harmless = |c: char| c.is_alphanumeric() || " ._+-/()°%Ωµ·".contains(c);
    let begins = text.chars().next().is_some_and(|c| {
        c.is_alphanumeric()
            || (matches!(c, '-' | '+') && text[1..].starts_with(|c: char| c.is_ascii_digit()))
    });
    if begins && text.chars().all(harmless) {
        return text.to_owned();
    }
    // Every JSON string is a YAML scalar in double quotes.
    serde_json::Value::from(text).to_string()
}
