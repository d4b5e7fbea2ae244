//! Ten small designs, unlike the shipped ones, reviewed on paper before the program saw them:
//! `tests/hand_reviews/*.md`.
//!
//! Each file has the design, the findings written down by hand, and the differences: what only the
//! program found, what only the hand did, each with its reason. A finding of either that is
//! neither shared nor explained fails the test. Left out are completeness, what faults and slips
//! bring, and lines for which a transient has no solution.

use preplug::checks::Stage;
use preplug::review::{Companions, Finding, assess};
use preplug::source::{PrintStyle, print};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

struct Paper {
    files: BTreeMap<String, String>,
    hand: BTreeSet<String>,
    only_program: BTreeSet<String>,
    only_hand: BTreeSet<String>,
}

/// `check at PLACE` of a line like ``- `check` at `PLACE`: reason``; the reason must be there.
fn finding(line: &str, lead: &str) -> Option<String> {
    let mut pieces = line.strip_prefix(lead)?.split('`');
    let (_, check, at, place, reason) = (
        pieces.next()?,
        pieces.next()?,
        pieces.next()?,
        pieces.next()?,
        pieces.next()?,
    );
    assert_eq!(at, " at ", "{line}");
    assert!(
        reason.starts_with(": ") && reason.len() > 8,
        "no reason: {line}"
    );
    Some(format!("{check} at {place}"))
}

fn read(text: &str) -> Paper {
    let mut files = BTreeMap::new();
    let mut lines = text.lines();
    let mut rest = Vec::new();
    while let Some(line) = lines.next() {
        if let Some(name) = line.strip_prefix("```yaml ") {
            let body: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
            files.insert(name.to_owned(), body.join("\n") + "\n");
        } else {
            rest.push(line);
        }
    }
    let every = |lead: &str| -> BTreeSet<String> {
        rest.iter().filter_map(|line| finding(line, lead)).collect()
    };
    Paper {
        files,
        hand: rest
            .iter()
            .filter(|line| line.starts_with("- `"))
            .filter_map(|line| finding(line, "- "))
            .collect(),
        only_program: every("- only the program: "),
        only_hand: every("- only by hand: "),
    }
}

fn counts(finding: &Finding) -> bool {
    let id = finding.check.id;
    let unsolved = !finding.is_failure() && finding.what().contains("no solution");
    !unsolved
        && finding.check.stage != Stage::Completeness
        && !id.contains("fault")
        && !id.contains("slip")
}

/// What differs and is not explained.
fn compare(name: &str, text: &str) -> String {
    let paper = read(text);
    let load = |path: &str| {
        let found = paper.files.get(path).cloned();
        found
            .map(String::into_bytes)
            .ok_or_else(|| format!("no {path} here"))
    };
    let companions = Companions {
        today: "2026-11-25".to_owned(),
        ..Companions::default()
    };
    let assessed = match assess("design.yaml", &companions, &load) {
        Ok(assessed) => assessed,
        Err(refused) => {
            let style = PrintStyle {
                colour: false,
                width: 100,
            };
            return format!(
                "{name}:\n{}",
                print(&refused.diagnostics, &refused.sources, style)
            );
        }
    };
    let called = |f: &Finding| format!("{} at {}", f.check.id, f.place.label());
    let found: BTreeSet<String> = assessed.review.all_findings().map(called).collect();
    // What another finding brings about needs no explanation of its own.
    let own = assessed
        .review
        .root_findings()
        .filter(|finding| counts(finding));
    let mut text = String::new();
    for (what, finding) in own.map(|f| (called(f), f)) {
        if !paper.hand.contains(&what) && !paper.only_program.contains(&what) {
            let _ = writeln!(
                text,
                "{name}: only the program: {what} {:?}: {}",
                finding.gate,
                finding.what()
            );
        }
    }
    for what in &paper.hand {
        if !found.contains(what) && !paper.only_hand.contains(what) {
            let _ = writeln!(text, "{name}: only by hand: {what}");
        }
    }
    for what in &paper.only_program {
        if !found.contains(what) {
            let _ = writeln!(text, "{name}: explained, and not found: {what}");
        }
    }
    for what in &paper.only_hand {
        if found.contains(what) || !paper.hand.contains(what) {
            let _ = writeln!(text, "{name}: explained as missed, and is not: {what}");
        }
    }
    text
}

#[test]
fn the_program_finds_what_the_hand_found_and_every_difference_is_explained() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/hand_reviews");
    let mut papers: Vec<_> = fs::read_dir(folder)
        .expect("the reviews")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    papers.sort();
    assert_eq!(papers.len(), 10);
    let mut text = String::new();
    for path in papers {
        let name = path
            .file_stem()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        text += &compare(&name, &fs::read_to_string(&path).expect("a review"));
    }
    assert!(text.is_empty(), "\n{text}");
}
