//! The whole way from a file to a review.

use super::file::{self, ReviewFile};
use super::{Fingerprint, Review, review};
use crate::checks::Built;
use crate::design::{self, Design, Refused};
use crate::evidence::{self, Evidence};
use crate::records::{self, Unit};
use crate::source::{Diagnostic, SourceSet};

/// A design with everything that was found out about it.
#[derive(Debug, Clone)]
pub struct Assessed {
    /// Every file read.
    pub sources: SourceSet,
    /// What is probably not meant in the files.
    pub warnings: Vec<Diagnostic>,
    /// The design.
    pub design: Design,
    /// The units on record, in the order of their files.
    pub units: Vec<Unit>,
    /// The review file, where there is one.
    pub file: Option<ReviewFile>,
    /// What was computed.
    pub evidence: Evidence,
    /// The review.
    pub review: Review,
    /// Digests of the design and of what it is plugged into.
    pub fingerprint: Fingerprint,
}

/// What lies beside a design file.
#[derive(Debug, Clone, Default)]
pub struct Companions {
    /// Path of the review file.
    pub review: Option<String>,
    /// Paths of the unit files.
    pub units: Vec<String>,
    /// Today, year-month-day: decides which acceptances have run out.
    pub today: String,
}

/// Reads, solves and reviews a design. `load` brings the bytes of a file, by the path as shown.
///
/// # Errors
/// [`Refused`] when the files are wrong: every mistake, each with its place.
pub fn assess(
    path: &str,
    companions: &Companions,
    load: design::Load<'_>,
) -> Result<Assessed, Box<Refused>> {
    let design::Read {
        design,
        mut sources,
        mut warnings,
    } = design::read(path, load)?;
    let fingerprint = super::fingerprint(&sources);
    let mut errors = Vec::new();
    let mut units = Vec::new();
    for path in &companions.units {
        let read =
            open(path, load).and_then(|bytes| records::read(path, bytes, &design, &mut sources));
        match read {
            Ok((unit, more)) => {
                units.push(unit);
                warnings.extend(more);
            }
            Err(more) => errors.extend(more),
        }
    }
    let mut review_file = None;
    if let Some(path) = &companions.review {
        match open(path, load).and_then(|bytes| file::read(path, bytes, &mut sources)) {
            Ok((read, more)) => {
                review_file = Some(read);
                warnings.extend(more);
            }
            Err(more) => errors.extend(more),
        }
    }
    if !errors.is_empty() {
        errors.extend(warnings);
        return Err(Box::new(Refused {
            sources,
            diagnostics: errors,
        }));
    }
    let mut evidence = evidence::collect(&design);
    evidence::collect_disturbed(&design, &mut evidence);
    let review = review(
        &design,
        &evidence,
        built(&units),
        review_file.as_ref(),
        &companions.today,
    );
    Ok(Assessed {
        sources,
        warnings,
        design,
        units,
        file: review_file,
        evidence,
        review,
        fingerprint,
    })
}

fn open(path: &str, load: design::Load<'_>) -> Result<Vec<u8>, Vec<Diagnostic>> {
    load(path).map_err(|reason| {
        vec![Diagnostic::error(
            "cannot-open",
            format!("cannot open {path}: {reason}"),
        )]
    })
}

fn built(units: &[Unit]) -> Built {
    let real = || units.iter().filter(|unit| !unit.demonstration);
    Built {
        measured: real()
            .filter(|unit| {
                unit.sessions
                    .iter()
                    .any(|session| !session.readings.is_empty())
            })
            .count(),
        demonstrations: units.iter().filter(|unit| unit.demonstration).count(),
        photos: real().map(|unit| unit.photos.len()).sum(),
    }
}
