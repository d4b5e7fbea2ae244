//! `preplug record`: puts readings on record and says what they show.

use super::journal::{Head, Journal, unit_path};
use super::{
    BAD_INPUT, BLOCKED, COULD_NOT_FINISH, OPEN, assessed, complain, files, print, unit_report,
};
use crate::design;
use crate::records::log::{Entry, Opening};
use crate::records::{self, Meter, Reading, Session};
use crate::source::SourceSet;

/// What the command line says of the session.
#[derive(Debug, Clone, Default)]
pub(super) struct Given {
    pub builder: Option<String>,
    pub by: Option<String>,
    pub date: Option<String>,
    pub meter: Option<Meter>,
    pub mains: Option<f64>,
    pub ambient: Option<f64>,
    pub note: Option<String>,
}

/// Runs the command. Nothing is written when the input is bad.
pub(super) fn run(path: &str, serial: &str, readings: &str, given: Given) -> u8 {
    let Some(unit) = unit_path(path, serial) else {
        anstream::eprintln!(
            "`{serial}` is no serial number for a file: use letters, digits, `-`, `_` and `.`"
        );
        return BAD_INPUT;
    };
    let read = match design::read(path, &files::load) {
        Ok(read) => read,
        Err(refused) => {
            complain(&refused.diagnostics, &refused.sources);
            return BAD_INPUT;
        }
    };
    let mut sources = read.sources;
    let fingerprint = crate::review::fingerprint(&sources);
    let session = match taken(readings, &read.design, &mut sources, given.clone()) {
        Ok(session) => session,
        Err(diagnostics) => {
            complain(&diagnostics, &sources);
            return BAD_INPUT;
        }
    };
    let head = Head {
        serial: serial.to_owned(),
        design: read.design.title.clone(),
        revision: read.design.revision.clone(),
        builder: given.builder,
    };
    let written = Journal::open(&unit, &head, &read.design).and_then(|(journal, said)| {
        for line in said {
            print(&format!("{line}\n"));
        }
        write(&journal, &session, &read.design, &fingerprint.built)
    });
    let number = match written {
        Ok(number) => number,
        Err(why) => {
            anstream::eprintln!("{why}");
            return COULD_NOT_FINISH;
        }
    };
    let assessed = match assessed(path, &files::companions(path)) {
        Ok(assessed) => assessed,
        Err(code) => return code,
    };
    let shown = unit.to_string_lossy();
    let Some(unit) = assessed.units.iter().find(|unit| unit.path == shown) else {
        anstream::eprintln!("{shown} is not among the units of {path}");
        return COULD_NOT_FINISH;
    };
    let Some(session) = unit.sessions.iter().find(|s| s.number == number) else {
        anstream::eprintln!("session {number} is not in {shown}");
        return COULD_NOT_FINISH;
    };
    let (text, passed) = unit_report::session(&assessed, unit, session);
    print(&text);
    print(&unit_report::gates(path, &assessed, unit));
    if passed { OPEN } else { BLOCKED }
}

/// The session to write: from the file, what the command line says of it added.
fn taken(
    path: &str,
    design: &design::Design,
    sources: &mut SourceSet,
    given: Given,
) -> Result<Session, Vec<crate::source::Diagnostic>> {
    let bytes = files::load(path).map_err(|why| {
        vec![crate::source::Diagnostic::error(
            "cannot-open",
            format!("cannot open {path}: {why}"),
        )]
    })?;
    let csv = std::path::Path::new(path)
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("csv"));
    let mut session = if csv {
        let (readings, _) = records::from_csv(path, bytes, design, sources)?;
        empty(readings)
    } else {
        records::from_yaml(path, bytes, design, sources)?.0
    };
    if session.readings.is_empty() {
        let message = format!("{path} holds no reading");
        return Err(vec![crate::source::Diagnostic::error(
            "empty-file",
            message,
        )]);
    }
    if let Some(meter) = given.meter {
        session.meter = meter;
    }
    session.date = given.date.unwrap_or(session.date);
    session.by = given.by.or(session.by);
    session.note = given.note.or(session.note);
    session.mains = given.mains.or(session.mains);
    session.ambient = given.ambient.or(session.ambient);
    Ok(session)
}

fn empty(readings: Vec<Reading>) -> Session {
    let span = readings.first().map(|reading| reading.span);
    Session {
        number: 1,
        date: files::today(),
        by: None,
        note: None,
        meter: Meter {
            assumed: vec!["accuracy", "resistance", "counts", "input"],
            ..Meter::default()
        },
        mains: None,
        ambient: None,
        revision: None,
        design: None,
        guided: false,
        closed: false,
        readings,
        skips: Vec::new(),
        remarks: Vec::new(),
        span: span.unwrap_or(crate::source::Span::new(crate::source::FileId(0), 0..0)),
    }
}

fn write(
    journal: &Journal,
    session: &Session,
    design: &design::Design,
    fingerprint: &str,
) -> Result<u32, String> {
    let number = journal.append(|next| {
        let opening = Opening {
            session: next,
            date: session.date.clone(),
            by: session.by.clone(),
            note: session.note.clone(),
            meter: session.meter.clone(),
            mains: session.mains,
            ambient: session.ambient,
            revision: design.revision.clone(),
            design: Some(fingerprint.to_owned()),
            guided: false,
        };
        (Entry::Opens(opening), next)
    })?;
    for reading in &session.readings {
        let entry = Entry::Reading {
            session: number,
            point: reading.point.clone(),
            reads: records::written(reading.reads, reading.point.unit),
            note: reading.note.clone(),
        };
        let kept = format!(
            "kept: {} {}\n",
            reading.point.describe(),
            records::written(reading.reads, reading.point.unit)
        );
        journal.append(|_| (entry, ()))?;
        print(&kept);
    }
    Ok(number)
}
