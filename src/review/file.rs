//! The review file: what a reviewer says of somebody else's design.
//!
//! Owns the form of `review.yaml`. What an acceptance or signature does to a finding or gate is
//! decided beside, not here.

use crate::bringup::{Form, Guard, Rule};
use crate::source::{Diagnostic, Node, Reader, SourceSet, Span, read_file};
use indexmap::IndexMap;

/// A review file.
#[derive(Debug, Clone, PartialEq)]
pub struct ReviewFile {
    /// Who reviews.
    pub reviewer: String,
    /// Date, year-month-day.
    pub date: Option<String>,
    /// The rule by which readings of built units are judged.
    pub decision: Rule,
    /// Remarks.
    pub remarks: Vec<Remark>,
    /// Findings taken as they are.
    pub accepted: Vec<Acceptance>,
    /// Lines that software cannot verify, verified by a person.
    pub signed_lines: Vec<SignedLine>,
    /// Gate (`power`, `plug`, `share`) → signature.
    pub signatures: IndexMap<String, Signature>,
}

/// A remark about a part, a net, a finding, or the whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// Part or net; `None` for the whole design.
    pub about: Option<String>,
    /// The check whose finding it speaks of.
    pub check: Option<String>,
    /// The remark.
    pub text: String,
    /// Where it stands.
    pub span: Span,
}

/// A finding taken as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acceptance {
    /// Check id.
    pub check: String,
    /// Part, net or other place, as findings name it.
    pub place: String,
    /// Why.
    pub reason: String,
    /// Who.
    pub name: String,
    /// Date, year-month-day.
    pub date: String,
    /// Last day on which it holds, year-month-day.
    pub until: Option<String>,
    /// Where it stands.
    pub span: Span,
}

/// A *not assessed* line, or that of a licensed person, cleared by a person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignedLine {
    /// Check id.
    pub check: String,
    /// Part, net or other place, as findings name it.
    pub place: String,
    /// Who.
    pub name: String,
    /// Date, year-month-day.
    pub date: String,
    /// What entitles that person.
    pub qualification: String,
    /// Where it stands.
    pub span: Span,
}

/// A signature under a gate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    /// Who.
    pub name: String,
    /// Date, year-month-day.
    pub date: String,
    /// Digest of the files it was given for, as `check` prints it.
    pub of: Option<String>,
    /// Where it stands.
    pub span: Span,
}

/// Reads a review file; the bytes join `sources`. Returns it with the warnings.
///
/// # Errors
/// All mistakes, each with its place.
pub fn read(
    path: &str,
    bytes: Vec<u8>,
    sources: &mut SourceSet,
) -> Result<(ReviewFile, Vec<Diagnostic>), Vec<Diagnostic>> {
    read_file(sources, path, bytes, review)
}

const KEYS: &[&str] = &[
    "preplug",
    "reviewer",
    "date",
    "decision",
    "remarks",
    "accepted",
    "signed-lines",
    "signatures",
];

fn review(root: &Node, reader: &mut Reader) -> Option<ReviewFile> {
    if !reader.version(root, "review") {
        return None;
    }
    let entries = reader.keys(root, "a review file", KEYS)?;
    let top = entries.first().map_or(root.span, |entry| entry.key_span);
    let reviewer = reader
        .required(root, "reviewer", "a review", top)
        .and_then(|node| reader.text(node, "reviewer"));
    let date = root.get("date").and_then(|node| reader.date(node, "date"));
    let decision = root.get("decision").and_then(|node| decision(node, reader));
    let remarks = each(root, "remarks", reader, remark);
    let accepted = each(root, "accepted", reader, acceptance);
    let signed_lines = each(root, "signed-lines", reader, signed_line);
    let signatures = signatures(root, reader);
    Some(ReviewFile {
        reviewer: reviewer?.to_owned(),
        date,
        decision: decision.unwrap_or_default(),
        remarks,
        accepted,
        signed_lines,
        signatures,
    })
}

fn each<T>(
    root: &Node,
    key: &str,
    reader: &mut Reader,
    one: impl Fn(&Node, &mut Reader) -> Option<T>,
) -> Vec<T> {
    root.get(key)
        .and_then(|node| reader.items(node, key))
        .unwrap_or_default()
        .iter()
        .filter_map(|node| one(node, reader))
        .collect()
}

fn text(node: &Node, key: &str, what: &str, reader: &mut Reader) -> Option<String> {
    let found = reader.required(node, key, what, node.span)?;
    reader.text(found, key).map(str::to_owned)
}

fn date(node: &Node, what: &str, reader: &mut Reader) -> Option<String> {
    let found = reader.required(node, "date", what, node.span)?;
    reader.date(found, "date")
}

fn remark(node: &Node, reader: &mut Reader) -> Option<Remark> {
    let what = "a remark";
    reader.keys(node, what, &["part", "net", "check", "text"])?;
    let about = node.get("part").or_else(|| node.get("net"));
    let about = about
        .and_then(|node| reader.text(node, "the place of a remark"))
        .map(str::to_owned);
    let check = node
        .get("check")
        .and_then(|node| reader.text(node, "the check of a remark"))
        .map(str::to_owned);
    Some(Remark {
        about,
        check,
        text: text(node, "text", what, reader)?,
        span: node.span,
    })
}

/// `{rule: non-binary, guard: 1 U}`, `{rule: guard-band, risk: 5 %}`, `{rule: simple-acceptance}`.
fn decision(node: &Node, reader: &mut Reader) -> Option<Rule> {
    let what = "a decision rule";
    reader.keys(node, what, &["rule", "guard", "risk"])?;
    let known = ["simple-acceptance", "guard-band", "non-binary"];
    let rule = reader.required(node, "rule", what, node.span)?;
    let form = match reader.word(rule, "the rule", &known)? {
        "simple-acceptance" => Form::SimpleAcceptance,
        "guard-band" => Form::GuardBand,
        _ => Form::NonBinary,
    };
    let mut guard = Rule::default().guard;
    if let Some(node) = node.get("guard") {
        let text = reader.text(node, "the guard band")?;
        let share = text.strip_suffix('U').map(str::trim).map(|share| {
            if share.is_empty() {
                Some(1.0)
            } else {
                share.parse::<f64>().ok()
            }
        });
        match share.flatten().filter(|share| (0.0..=3.0).contains(share)) {
            Some(share) => guard = Guard::Expanded(share),
            None => reader.note(
                Diagnostic::error("bad-quantity", format!("`{text}` is no guard band"))
                    .at(node.span, "")
                    .hint("write it in expanded uncertainties (k = 2): `1 U`, `0.82 U`"),
            ),
        }
    }
    if let Some(node) = node.get("risk") {
        let risk = reader.value(node, "the risk", crate::quantity::Unit::Ratio)?;
        if (1e-6..=0.5).contains(&risk) {
            guard = Guard::Risk(risk);
        } else {
            reader.note(
                Diagnostic::error("impossible-value", "the risk runs from 0.0001 % to 50 %")
                    .at(node.span, ""),
            );
        }
    }
    Some(Rule { form, guard })
}

fn acceptance(node: &Node, reader: &mut Reader) -> Option<Acceptance> {
    let what = "an accepted finding";
    reader.keys(
        node,
        what,
        &["check", "place", "reason", "name", "date", "until"],
    )?;
    let (check, place) = (
        text(node, "check", what, reader),
        text(node, "place", what, reader),
    );
    let (reason, name) = (
        text(node, "reason", what, reader),
        text(node, "name", what, reader),
    );
    let date = date(node, what, reader);
    let until = node
        .get("until")
        .and_then(|node| reader.date(node, "until"));
    Some(Acceptance {
        check: check?,
        place: place?,
        reason: reason?,
        name: name?,
        date: date?,
        until,
        span: node.span,
    })
}

fn signed_line(node: &Node, reader: &mut Reader) -> Option<SignedLine> {
    let what = "a signed line";
    reader.keys(
        node,
        what,
        &["check", "place", "name", "date", "qualification"],
    )?;
    let (check, place) = (
        text(node, "check", what, reader),
        text(node, "place", what, reader),
    );
    let name = text(node, "name", what, reader);
    let date = date(node, what, reader);
    let qualification = text(node, "qualification", what, reader);
    Some(SignedLine {
        check: check?,
        place: place?,
        name: name?,
        date: date?,
        qualification: qualification?,
        span: node.span,
    })
}

fn signatures(root: &Node, reader: &mut Reader) -> IndexMap<String, Signature> {
    let Some(node) = root.get("signatures") else {
        return IndexMap::new();
    };
    let what = "a signature";
    reader
        .keys(node, "signatures", &["power", "plug", "share"])
        .unwrap_or_default()
        .iter()
        .filter_map(|entry| {
            reader.keys(&entry.value, what, &["name", "date", "of"])?;
            let name = text(&entry.value, "name", what, reader);
            let date = date(&entry.value, what, reader);
            let of = entry
                .value
                .get("of")
                .and_then(|node| reader.text(node, "of"))
                .map(str::to_owned);
            let signature = Signature {
                name: name?,
                date: date?,
                of,
                span: entry.key_span,
            };
            Some((entry.key.clone(), signature))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{PrintStyle, print};

    fn printed(text: &str) -> String {
        let mut sources = SourceSet::default();
        match read("review.yaml", text.as_bytes().to_vec(), &mut sources) {
            Ok((file, _)) => format!("{file:#?}"),
            Err(errors) => print(&errors, &sources, PrintStyle::default()),
        }
    }

    #[test]
    fn a_review_is_read_whole() {
        let printed = printed(
            "preplug: review/1
reviewer: the night shift
date: 2026-10-05
remarks:
  - {part: C1, text: fitted flat}
  - {text: well drawn}
accepted:
  - {check: plug-fault, place: R4, reason: the rack survives 15 V, name: N. Shift, date: 2026-10-05, until: 2027-10-05}
signed-lines:
  - {check: reads-dc, place: J1, name: N. Shift, date: 2026-10-05, qualification: bench}
signatures:
  power: {name: N. Shift, date: 2026-10-05}
",
        );
        for piece in [
            "about: None",
            "the rack survives 15 V",
            "\"power\": Signature",
            "\"bench\"",
        ] {
            assert!(printed.contains(piece), "{piece}: {printed}");
        }
    }

    #[test]
    fn what_is_missing_is_said() {
        let printed = printed(
            "preplug: review/2\nacepted: []\naccepted: [{check: x, date: tomorrow}]\nsignatures: {plugs: {name: x, date: 2026-01-01}}\n",
        );
        for piece in [
            "`review/2` is not read here",
            "did you mean `accepted`",
            "needs `reviewer`",
            "needs `place`",
            "is not a date",
            "did you mean `plug`",
        ] {
            assert!(printed.contains(piece), "{piece}: {printed}");
        }
    }
}
