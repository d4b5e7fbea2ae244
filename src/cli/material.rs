//! What a dossier is made from, beside what was assessed: the units' photos, what their readings
//! say, their gates.

use super::{BAD_INPUT, complain, files, unit_report};
use crate::Assessed;
use crate::bench::UnitGate;
use crate::bringup::Meter;
use crate::diagnosis::parts::{self, Learnt};
use crate::diagnosis::taken;
use crate::diagnosis::units::{self, Across};
use crate::dossier::photo::{self, Photo};
use crate::dossier::{self, view::Material};
use crate::evidence::safe_area::{SafeArea, safe_areas};
use crate::source::{Diagnostic, FileId, Span};

/// What is to live as long as the dossier is made.
pub(super) struct Prepared {
    photos: Vec<Photo>,
    learnt: Vec<Option<Learnt>>,
    across: Vec<Across>,
    pub unit_gates: Vec<[UnitGate; 3]>,
    meter: Meter,
    safe_areas: Vec<SafeArea>,
    source_date: Option<String>,
}

impl Prepared {
    /// # Errors
    /// The exit code, where a photo cannot be used; why is printed already.
    pub fn new(path: &str, assessed: &Assessed) -> Result<Self, u8> {
        let ((learnt, unit_gates), safe_areas) = rayon::join(
            || {
                rayon::join(
                    || learnt(path, assessed),
                    || unit_report::of_units(path, assessed),
                )
            },
            || safe_areas(&assessed.design),
        );
        let known: Vec<(String, Learnt)> = assessed
            .units
            .iter()
            .zip(&learnt)
            .filter_map(|(unit, learnt)| Some((unit.serial.clone(), learnt.clone()?)))
            .collect();
        Ok(Self {
            photos: photos(assessed)?,
            across: units::across(&known),
            learnt,
            unit_gates,
            meter: Meter::default(),
            safe_areas,
            source_date: files::source_date(),
        })
    }

    /// All of it, without an older revision to compare with.
    pub fn material<'a>(&'a self, assessed: &'a Assessed) -> Material<'a> {
        let date = assessed.design.date.as_deref();
        Material {
            design: &assessed.design,
            safe_areas: &self.safe_areas,
            sources: &assessed.sources,
            evidence: &assessed.evidence,
            review: &assessed.review,
            units: &assessed.units,
            unit_gates: &self.unit_gates,
            since: None,
            learnt: &self.learnt,
            across: &self.across,
            file: assessed.file.as_ref(),
            fingerprint: &assessed.fingerprint,
            meter: &self.meter,
            photos: &self.photos,
            date: date.or(self.source_date.as_deref()).unwrap_or_default(),
        }
    }
}

/// What the readings of each unit say of its parts, against the box as it was built.
fn learnt(path: &str, assessed: &Assessed) -> Vec<Option<Learnt>> {
    let units = assessed.units.iter();
    units
        .map(|unit| {
            let taken = taken(&assessed.design, unit, &assessed.fingerprint.built);
            let design = unit_report::built(path, assessed, unit)?;
            parts::learn(&design, &taken)
        })
        .collect()
}

/// The photos of all units, made fit for paper.
fn photos(assessed: &Assessed) -> Result<Vec<Photo>, u8> {
    let mut photos = Vec::new();
    let mut wrong = Vec::new();
    for unit in &assessed.units {
        for name in &unit.photos {
            let path = dossier::view::photo_path(unit, name);
            match files::load(&path).and_then(|bytes| photo::prepare(&path, &bytes)) {
                Ok(photo) => photos.push(photo),
                Err(why) => {
                    let message = format!("cannot use the photo {name}: {why}");
                    let place = written(assessed, unit.span.file, name);
                    wrong.push(Diagnostic::error("photo", message).at(place, ""));
                }
            }
        }
    }
    if wrong.is_empty() {
        return Ok(photos);
    }
    complain(&wrong, &assessed.sources);
    Err(BAD_INPUT)
}

/// Where a file says `words`; its beginning if nowhere.
fn written(assessed: &Assessed, file: FileId, words: &str) -> Span {
    let text = &assessed.sources.file(file).text;
    let start = text.find(words);
    Span::new(file, start.map_or(0..0, |start| start..start + words.len()))
}
