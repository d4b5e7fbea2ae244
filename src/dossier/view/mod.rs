//! The view model: what is known of a box, as blocks and fields that templates place by name.
//!
//! One file for each section. Owns which figures stand in which table; computes no voltage and
//! decides no verdict: every number comes from the evidence, the design or a check's comparison.

mod bringup;
mod cautions;
mod changes;
mod corners;
mod cover;
mod fault_figure;
mod faults;
mod findings;
mod headroom;
mod how;
mod learnt;
mod margins;
mod method;
mod output;
mod parts;
mod polarity;
mod rails;
mod requirements;
mod reviewer;
mod safe_area;
mod schematic;
mod sign_off;
mod switching;
mod thermal;
mod tolerances;
mod unit_figures;
mod unit_gates;
mod units;
mod wiring;
mod words;

use indexmap::IndexMap;
use serde_json::{Map, Value};

use super::block::{Attachment, Block, Figure, Info};
use super::font::Fonts;
use super::photo::Photo;
use super::template::Placeable;
use crate::bench::UnitGate;
use crate::bringup::Meter;
use crate::checks::{Check, Outcome, Stage};
use crate::design::Design;
use crate::diagnosis::parts::Learnt;
use crate::diagnosis::units::Across;
use crate::evidence::Evidence;
use crate::evidence::safe_area::SafeArea;
use crate::records::Unit;
use crate::review::file::ReviewFile;
use crate::review::{Comparison, Fingerprint, Review};
use crate::source::SourceSet;

/// What the dossier of one box is made from.
#[derive(Clone, Copy)]
pub struct Material<'a> {
    /// The design.
    pub design: &'a Design,
    /// What each regulator does with other adaptors and loads.
    pub safe_areas: &'a [SafeArea],
    /// The files it was read from.
    pub sources: &'a SourceSet,
    /// What was computed.
    pub evidence: &'a Evidence,
    /// What every check said, the findings, the gates and the verdict.
    pub review: &'a Review,
    /// The review file, where there is one.
    pub file: Option<&'a ReviewFile>,
    /// Units built to the design, with their readings.
    pub units: &'a [Unit],
    /// The gates of each unit, in the same order; a unit without them has none printed.
    pub unit_gates: &'a [[UnitGate; 3]],
    /// What the readings of each unit say of its parts, in the same order.
    pub learnt: &'a [Option<Learnt>],
    /// Places read at several units: is the prediction off, or a unit?
    pub across: &'a [Across],
    /// An older revision, in words, and what changed since.
    pub since: Option<(&'a str, &'a Comparison)>,
    /// The photos of the units, each under its path.
    pub photos: &'a [Photo],
    /// Digests of the files, under which signatures stand.
    pub fingerprint: &'a Fingerprint,
    /// The meter that expected readings are widened by.
    pub meter: &'a Meter,
    /// The dossier's date, `YYYY-MM-DD`; empty for none.
    pub date: &'a str,
}

/// What a template may use: blocks by name, and fields.
#[derive(Debug, Clone, Default)]
pub struct View {
    /// Blocks by name.
    pub named: IndexMap<String, Placeable>,
    /// Fields for the words between them.
    pub fields: Map<String, Value>,
}

/// Everything a template may use for this box.
#[must_use]
pub fn view(material: &Material, fonts: &Fonts) -> View {
    let mut view = View::default();
    cover::add(material, &mut view);
    cautions::add(material, &mut view);
    how::add(material, &mut view);
    schematic::add(material, fonts, &mut view);
    requirements::add(material, &mut view);
    rails::add(material, fonts, &mut view);
    headroom::add(material, fonts, &mut view);
    safe_area::add(material, &mut view);
    margins::add(material, &mut view);
    thermal::add(material, fonts, &mut view);
    polarity::add(material, fonts, &mut view);
    output::add(material, fonts, &mut view);
    switching::add(material, fonts, &mut view);
    tolerances::add(material, fonts, &mut view);
    parts::add(material, &mut view);
    wiring::add(material, &mut view);
    bringup::add(material, &mut view);
    faults::add(material, fonts, &mut view);
    units::add(material, fonts, &mut view);
    findings::add(material, &mut view);
    changes::add(material, &mut view);
    reviewer::add(material, &mut view);
    sign_off::add(material, &mut view);
    method::add(material, &mut view);
    corners::add(material, &mut view);
    view
}

/// What the file says of itself.
#[must_use]
pub fn info(material: &Material) -> Info {
    let design = material.design;
    let given = |value: &Option<String>| value.clone().unwrap_or_default();
    Info {
        title: design.title.clone(),
        revision: given(&design.revision),
        author: given(&design.author),
        subject: format!("Build dossier of {}", design.title),
        date: material.date.to_owned(),
        language: "en-GB".to_owned(),
        producer: format!("preplug {}", env!("CARGO_PKG_VERSION")),
        gates: material
            .review
            .gates
            .iter()
            .map(|state| (words::gate_name(state.gate).to_owned(), state.open))
            .collect(),
    }
}

/// Where a unit's photo lies: beside the unit's file.
#[must_use]
pub fn photo_path(unit: &Unit, name: &str) -> String {
    let folder = unit.path.rfind('/').map_or(0, |end| end + 1);
    let mut parts: Vec<&str> = Vec::new();
    let path = format!("{}{name}", &unit.path[..folder]);
    for part in path.split('/') {
        match part {
            "." => {}
            ".." if parts.last().is_some_and(|last| !matches!(*last, "" | "..")) => {
                parts.pop();
            }
            part => parts.push(part),
        }
    }
    parts.join("/")
}

/// The files the design was read from and the photos, to ride inside the PDF under names relative
/// to the folder that holds them all, and the parts list for a spreadsheet.
#[must_use]
pub fn attachments(material: &Material) -> Vec<Attachment> {
    let common = common_length(material.sources);
    let about = |what: &str| format!("{what} of {}", material.design.title);
    let sources = material.sources.files().map(|(_, file)| Attachment {
        name: file.path[common..].to_owned(),
        description: about("Source of the dossier"),
        media_type: "application/yaml".to_owned(),
        bytes: file.bytes.clone(),
    });
    let prefix: String = material
        .sources
        .files()
        .next()
        .map(|(_, file)| file.path[..common].to_owned())
        .unwrap_or_default();
    let photos = material.photos.iter().filter_map(|photo| {
        Some(Attachment {
            name: photo.path.strip_prefix(&prefix)?.to_owned(),
            description: about("Photo"),
            media_type: "image/jpeg".to_owned(),
            bytes: photo.jpeg.clone(),
        })
    });
    let list = Attachment {
        name: "parts.csv".to_owned(),
        description: about("Parts list"),
        media_type: "text/csv".to_owned(),
        bytes: parts::csv(material.design).into_bytes(),
    };
    sources.chain(photos).chain([list]).collect()
}

/// Length of the folder that all files share.
fn common_length(sources: &SourceSet) -> usize {
    let paths: Vec<&str> = sources
        .files()
        .map(|(_, file)| file.path.as_str())
        .collect();
    common_folder(&paths)
}

/// Length of the longest folder, with its last `/`, that all paths share.
fn common_folder(paths: &[&str]) -> usize {
    let Some(first) = paths.first() else { return 0 };
    first
        .match_indices('/')
        .map(|(index, _)| index + 1)
        .filter(|end| paths.iter().all(|path| path.starts_with(&first[..*end])))
        .max()
        .unwrap_or(0)
}

impl View {
    /// Every figure that has a name, in reading order.
    #[must_use]
    pub fn figures(&self) -> Vec<&Figure> {
        fn within<'a>(blocks: &'a [Block], found: &mut Vec<&'a Figure>) {
            for block in blocks {
                match block {
                    Block::Figure(figure) if !figure.id.is_empty() => found.push(figure),
                    Block::Stamped { blocks, .. } | Block::Callout { blocks, .. } => {
                        within(blocks, found);
                    }
                    _ => {}
                }
            }
        }
        let mut found = Vec::new();
        for placeable in self.named.values() {
            within(&placeable.blocks, &mut found);
        }
        found
    }

    /// Offers blocks under a name.
    fn offer(&mut self, name: &str, required: bool, blocks: Vec<Block>) {
        self.named
            .insert(name.to_owned(), Placeable { blocks, required });
    }

    /// Offers a field.
    fn field(&mut self, name: &str, value: impl Into<Value>) {
        self.fields.insert(name.to_owned(), value.into());
    }
}

impl<'a> Material<'a> {
    /// Every outcome with its check.
    fn outcomes(&self) -> impl Iterator<Item = (&'static Check, &'a Outcome)> {
        self.review
            .assessments
            .iter()
            .flat_map(|assessment| assessment.outcomes.iter().map(|o| (assessment.check, o)))
    }

    /// Every outcome of a stage with its check.
    fn stage(&self, stage: Stage) -> impl Iterator<Item = (&'static Check, &'a Outcome)> {
        self.outcomes()
            .filter(move |(check, _)| check.stage == stage)
    }
}

#[cfg(test)]
mod tests;
