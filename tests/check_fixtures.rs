//! The checks against their fixtures: `tests/fixtures/ID.md`.
//!
//! A fixture is Markdown. Fenced blocks ```` ```yaml NAME ```` before the first `## ` heading are
//! files every section may name; each section has one `design.yaml`. Lines at which the check is
//! to fail end in `# fails: ID`, lines at which it is to be unable to assess in
//! `# not assessed: ID`; any other failure or *not assessed* breaks the test. A heading may say
//! what is on record: `measured 1`, `photos 1`, `stale 1`. `PREPLUG_FIXTURE=ID` runs one fixture alone.

use preplug::checks::{Built, Check, Context, Outcome, REGISTRY};
use preplug::source::PrintStyle;
use preplug::{design, evidence, source};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

/// A section of a fixture.
struct Section {
    heading: String,
    design: String,
}

/// A fixture as written.
struct Fixture {
    files: BTreeMap<String, String>,
    sections: Vec<Section>,
}

fn parse(text: &str) -> Fixture {
    let mut files = BTreeMap::new();
    let mut sections: Vec<Section> = Vec::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        if let Some(heading) = line.strip_prefix("## ") {
            sections.push(Section {
                heading: heading.to_owned(),
                design: String::new(),
            });
        } else if let Some(name) = line.strip_prefix("```yaml ") {
            let body: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
            let body = body.join("\n") + "\n";
            match sections.last_mut() {
                Some(section) if name == "design.yaml" => section.design = body,
                _ => {
                    files.insert(name.to_owned(), body);
                }
            }
        }
    }
    Fixture { files, sections }
}

/// The number after a word of the heading: `measured 2`.
fn count(heading: &str, word: &str) -> usize {
    let mut words = heading.split([' ', ',', ':']).skip_while(|w| *w != word);
    words
        .nth(1)
        .and_then(|number| number.parse().ok())
        .unwrap_or(0)
}

/// `(line, fails | not assessed)` as annotated.
fn annotated(check: &Check, text: &str) -> BTreeSet<(usize, &'static str)> {
    let mut found = BTreeSet::new();
    for (index, line) in text.lines().enumerate() {
        for kind in ["fails", "not assessed"] {
            if line.ends_with(&format!("# {kind}: {}", check.id)) {
                found.insert((index + 1, kind));
            }
        }
    }
    found
}

/// Runs one section; gives a complaint when it does not come out as annotated.
fn judge(check: &Check, files: &BTreeMap<String, String>, section: &Section) -> Option<String> {
    let load = |path: &str| {
        if path == "design.yaml" {
            return Ok(section.design.clone().into_bytes());
        }
        let text = files
            .get(path)
            .ok_or_else(|| format!("no file {path} in the fixture"))?;
        Ok(text.clone().into_bytes())
    };
    let place = format!("{} / {}", check.id, section.heading);
    let read = match design::read("design.yaml", &load) {
        Ok(read) => read,
        Err(refused) => {
            let style = PrintStyle {
                colour: false,
                width: 100,
            };
            let printed = source::print(&refused.diagnostics, &refused.sources, style);
            return Some(format!("{place}: the design is refused\n{printed}"));
        }
    };
    let evidence = evidence::collect(&read.design);
    let built = Built {
        measured: count(&section.heading, "measured"),
        demonstrations: 0,
        photos: count(&section.heading, "photos"),
    };
    let stale: Vec<String> = (1..=count(&section.heading, "stale"))
        .map(|line| format!("line {line} of review.yaml"))
        .collect();
    let context = Context {
        design: &read.design,
        evidence: &evidence,
        built,
        stale: &stale,
    };
    let outcomes = (check.run)(&context);
    let mut told = String::new();
    let mut found = BTreeSet::new();
    for outcome in &outcomes {
        let line = read
            .design
            .span(&outcome.place().route)
            .map_or(1, |span| read.sources.start(span).line);
        match outcome {
            Outcome::Fails { failure, .. } => {
                found.insert((line, "fails"));
                let worse = failure.gate < check.gate;
                if worse {
                    let _ = writeln!(told, "  blocks {:?}, more than its check may", failure.gate);
                }
                let _ = writeln!(
                    told,
                    "  {line}: fails [{}] {}\n      {}\n      {}",
                    failure.gate.key(),
                    failure.what,
                    failure.why,
                    failure.remedy
                );
                if worse {
                    return Some(format!("{place}\n{told}"));
                }
            }
            Outcome::NotAssessed { missing, .. } => {
                found.insert((line, "not assessed"));
                let _ = writeln!(told, "  {line}: not assessed: {missing}");
            }
            Outcome::Holds {
                says, comparison, ..
            } => {
                let _ = write!(told, "  {line}: holds: {says}");
                if let Some(c) = comparison {
                    let _ = write!(told, " {} against {}", c.value_text(), c.limit_text());
                }
                told.push('\n');
            }
            Outcome::DoesNotApply { why, .. } => {
                let _ = writeln!(told, "  {line}: does not apply: {why}");
            }
        }
    }
    if std::env::var_os("PREPLUG_FIXTURE_TOLD").is_some() {
        println!("{place}\n{told}");
    }
    let wanted = annotated(check, &section.design);
    if outcomes.is_empty() {
        return Some(format!("{place}: the check says nothing"));
    }
    (found != wanted).then(|| format!("{place}: annotated {wanted:?}, found {found:?}\n{told}"))
}

#[test]
fn every_fixture_comes_out_as_annotated() {
    let only = std::env::var("PREPLUG_FIXTURE").ok();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let complaints: Vec<String> = REGISTRY
        .par_iter()
        .filter(|check| only.as_deref().is_none_or(|id| id == check.id))
        .flat_map_iter(|check| {
            let path = folder.join(format!("{}.md", check.id));
            let text = fs::read_to_string(&path).unwrap_or_default();
            let fixture = parse(&text);
            let complaints: Vec<String> = fixture
                .sections
                .iter()
                .filter_map(|section| judge(check, &fixture.files, section))
                .collect();
            complaints
        })
        .collect();
    assert!(
        complaints.is_empty(),
        "{} sections come out otherwise:\n{}",
        complaints.len(),
        complaints.join("\n")
    );
}

#[test]
fn a_section_that_fires_is_annotated_and_one_just_inside_is_not() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    for check in REGISTRY {
        let text = fs::read_to_string(folder.join(format!("{}.md", check.id))).unwrap_or_default();
        for section in parse(&text).sections {
            let marks = annotated(check, &section.design).len();
            let fires = section.heading.starts_with("fires") || section.heading == "not assessed";
            assert_eq!(fires, marks > 0, "{} / {}", check.id, section.heading);
        }
    }
}
