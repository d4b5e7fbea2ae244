//! Words and cells that several sections share.

use super::Material;
use crate::catalogue::{Kind, Pedigree, Property};
use crate::checks::{Gate, Outcome, Place, Stage};
use crate::design::Part;
use crate::dossier::block::{Cell, Inline, Status, code, link, text};
use crate::evidence::{Missing, SituationId};

/// An outcome as a status.
pub(super) fn status(outcome: &Outcome) -> Status {
    match outcome {
        Outcome::Holds { .. } => Status::Holds,
        Outcome::Fails { .. } => Status::Fails,
        Outcome::DoesNotApply { .. } => Status::DoesNotApply,
        Outcome::NotAssessed { .. } => Status::NotAssessed,
    }
}

/// A status with its word.
pub(super) fn status_cell(status: Status) -> Cell {
    Cell::Status(status, text(status.word()))
}

/// A gate's name, as on its panel.
pub(super) fn gate_name(gate: Gate) -> &'static str {
    match gate {
        Gate::Power => "power",
        Gate::Plug => "plug",
        Gate::Share => "share",
        Gate::Note => "note",
    }
}

/// A stage in words.
pub(super) fn stage_name(stage: Stage) -> &'static str {
    match stage {
        Stage::Ratings => "Ratings",
        Stage::Thermal => "Thermal",
        Stage::Polarity => "Polarity",
        Stage::Pinout => "Pinout",
        Stage::OutputRange => "Output range",
        Stage::Isolation => "Isolation and mains",
        Stage::Completeness => "Completeness",
    }
}

/// What kind of part, in words: `electrolytic`, `AC adaptor`.
pub(super) fn kind_words(kind: Kind) -> String {
    match kind {
        Kind::AcAdaptor => "AC adaptor".to_owned(),
        Kind::DcAdaptor => "DC adaptor".to_owned(),
        Kind::Led => "LED".to_owned(),
        Kind::Ptc => "PTC resettable fuse".to_owned(),
        Kind::Mosfet => "MOSFET".to_owned(),
        other => other.key().replace('-', " "),
    }
}

/// A property in words.
pub(super) fn property_words(property: Property) -> String {
    match property {
        Property::Esr => "ESR".to_owned(),
        Property::Va => "apparent power".to_owned(),
        Property::Rating => "rated voltage".to_owned(),
        Property::Output25c => "output at 25 °C".to_owned(),
        Property::DropoutLight => "drop-out at light load".to_owned(),
        Property::Dropout => "drop-out".to_owned(),
        other => other.key().replace('-', " "),
    }
}

/// Corners that move no more parameters than this are said in full where they are named.
const SAID_IN_FULL: usize = 3;

/// The situation in a few words: what is not nominal in its state, the mains and the room, and the
/// number under which [`super::corners`] lists the rest.
pub(super) fn situation(material: &Material, id: SituationId) -> Vec<Inline> {
    let evidence = material.evidence;
    let (Some(here), Some(nominal)) = (evidence.situations.get(id), evidence.situations.first())
    else {
        return Vec::new();
    };
    let usual: Vec<&str> = nominal.state.words.split(", ").collect();
    let mut words: Vec<&str> = here
        .state
        .words
        .split(", ")
        .filter(|word| !usual.contains(word))
        .collect();
    let corner = here.corner.describe_fully();
    let moved: Vec<&str> = corner.split(", ").collect();
    let warmed = here.warmed.is_some().then_some("warmed up");
    if moved.len() <= SAID_IN_FULL {
        if !here.corner.is_nominal() || words.is_empty() {
            words.extend(moved);
        }
        words.extend(warmed);
        return text(words.join(", "));
    }
    let known = |word: &&str| word.starts_with("mains ") || word.starts_with("ambient ");
    words.extend(moved.into_iter().filter(known));
    words.extend(warmed);
    let number = link(situation_anchor(id), format!("no.\u{A0}{id}"));
    if words.is_empty() {
        vec!["situation ".into(), number]
    } else {
        vec![format!("{} (", words.join(", ")).into(), number, ")".into()]
    }
}

/// The name by which a situation's line is linked.
pub(super) fn situation_anchor(id: SituationId) -> String {
    format!("{SITUATION}{id}")
}

/// What the names of situations' lines begin with.
pub(super) const SITUATION: &str = "situation-";

/// What is missing, in a cell.
pub(super) fn missing_cell(missing: &Missing) -> Cell {
    Cell::Status(
        Status::NotAssessed,
        text(format!("not assessed: {}", missing.what)),
    )
}

/// `tide-lever/design.yaml:29:3` of the key at a place, by the name under which the file rides
/// inside the PDF.
pub(super) fn file_place(material: &Material, place: &Place) -> Option<String> {
    let span = material.design.span(&place.route)?;
    let mut written = material.sources.place(span);
    let common = super::common_length(material.sources);
    Some(written.split_off(common.min(written.len())))
}

/// A subject's name with a link to its line of the parts list or the wiring list.
pub(super) fn subject(material: &Material, place: &Place) -> Vec<Inline> {
    let label = place.label();
    if material.design.parts.contains_key(&label) {
        vec![link(part_anchor(&label), label)]
    } else if material.design.nets.contains(&label) {
        vec![link(net_anchor(&label), label)]
    } else {
        text(label)
    }
}

/// The name by which a net's wires are linked.
pub(super) fn net_anchor(net: &str) -> String {
    format!("net-{net}")
}

/// The name by which a check's line in the method section is linked.
pub(super) fn check_anchor(check: &str) -> String {
    format!("check-{check}")
}

/// The name by which a part's line in the parts list is linked.
pub(super) fn part_anchor(reference: &str) -> String {
    format!("part-{reference}")
}

/// Where a figure came from, in a few words.
pub(super) fn pedigree(pedigree: &Pedigree) -> String {
    let noted = |word: &str, note: &Option<String>| match note {
        Some(note) => format!("{word}: {note}"),
        None => word.to_owned(),
    };
    match pedigree {
        Pedigree::Written(note) => noted("given in the file", note),
        Pedigree::Measured(note) => noted("measured", note),
        Pedigree::Guessed(note) => noted("GUESSED", note),
        Pedigree::Assumed(why) => format!("assumed: {why}"),
        Pedigree::Published(citation, mark) => format!("{citation} ({})", mark.words()),
        Pedigree::Derived(how) => format!("derived: {how}"),
    }
}

/// What a part is, as a shop would say it: type and package, or kind with its words.
pub(super) fn description(part: &Part) -> String {
    let mut words = match &part.type_name {
        Some(name) => {
            let grade = part.word("grade").unwrap_or_default();
            format!("{name}{grade} {}", kind_words(part.kind))
        }
        None => kind_words(part.kind),
    };
    for key in ["colour", "law", "contacts", "chemistry", "dielectric"] {
        if let Some(word) = part.word(key)
            && !words.contains(word)
        {
            words = format!("{words}, {word}");
        }
    }
    if let Some(package) = &part.package {
        words = format!("{words}, {package}");
    }
    words
}

/// `one`, or `other` with the count: `1 finding`, `3 findings`.
pub(super) fn counted(count: usize, one: &str, many: &str) -> String {
    if count == 1 {
        format!("1 {one}")
    } else {
        format!("{count} {many}")
    }
}

/// `a, b and c`.
pub(super) fn listed<S: AsRef<str>>(items: &[S]) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [rest @ .., last] => {
            let rest: Vec<&str> = rest.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", rest.join(", "), last.as_ref())
        }
    }
}

/// A sentence of a check, whose `names` in backticks become names in the typewriter face.
pub(super) fn marked(sentence: &str) -> Vec<Inline> {
    sentence
        .split('`')
        .enumerate()
        .filter(|(_, piece)| !piece.is_empty())
        .map(|(index, piece)| {
            if index % 2 == 1 {
                code(piece)
            } else {
                piece.into()
            }
        })
        .collect()
}
