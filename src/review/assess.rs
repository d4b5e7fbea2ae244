//! The whole way from a file to a review.

use super::{Review, review};
use crate::checks::Built;
use crate::design::{self, Design, Refused};
use crate::evidence::{self, Evidence};
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
    /// What was computed.
    pub evidence: Evidence,
    /// The review.
    pub review: Review,
}

/// Reads, solves and reviews a design. `load` brings the bytes of a file, by the path as shown.
///
/// # Errors
/// [`Refused`] when the files are wrong: every mistake, each with its place.
pub fn assess(
    path: &str,
    load: &dyn Fn(&str) -> Result<Vec<u8>, String>,
) -> Result<Assessed, Box<Refused>> {
    let read = design::read(path, load)?;
    let evidence = evidence::collect(&read.design);
    let review = review(&read.design, &evidence, Built::default());
    Ok(Assessed {
        sources: read.sources,
        warnings: read.warnings,
        design: read.design,
        evidence,
        review,
    })
}
