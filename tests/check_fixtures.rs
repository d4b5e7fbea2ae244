//! The checks against their fixtures: `tests/fixtures/ID.md`.
//!
//! A fixture is Markdown. Fenced blocks ```` ```yaml NAME ```` before the first `## ` heading are
//! files every section may name; each section has one `design.yaml`. Lines at which the check is
//! to fail end in `# fails: ID`, lines at which it is to be unable to assess in
//! `# not assessed: ID`; any other failure or *not assessed* breaks the test. A heading begins
//! with what the section shows: `fires`, `just inside`, `does not apply`, `not assessed` or
//! `boundary` (see `tests/check_boundaries.rs`), and may say what is on record: `measured 1`,
//! `photos 1`, `stale 1`. `PREPLUG_FIXTURE=ID` runs one fixture alone.

mod fixture;

use fixture::{Fixture, Section, annotated, every_design, evidence_for, of, read};
use preplug::checks::{Check, Outcome, REGISTRY};
use preplug::evidence::{self, Evidence};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// An outcome in words, at its line.
fn told(line: usize, outcome: &Outcome) -> String {
    match outcome {
        Outcome::Fails { failure, .. } => format!(
            "  {line}: fails [{}] {}\n      {}\n      {}\n",
            failure.gate.key(),
            failure.what,
            failure.why,
            failure.remedy
        ),
        Outcome::NotAssessed { missing, .. } => format!("  {line}: not assessed: {missing}\n"),
        Outcome::Holds {
            says, comparison, ..
        } => {
            let numbers = comparison.as_ref().map_or_else(String::new, |c| {
                format!(" {} against {}", c.value_text(), c.limit_text())
            });
            format!("  {line}: holds: {says}{numbers}\n")
        }
        Outcome::DoesNotApply { why, .. } => format!("  {line}: does not apply: {why}\n"),
    }
}

/// Runs one section; gives a complaint when it does not come out as annotated.
fn judge(check: &Check, fixture: &Fixture, section: &Section) -> Option<String> {
    let place = format!("{} / {}", check.id, section.heading);
    let (design, sources) = match read(fixture, &section.design) {
        Ok(read) => read,
        Err(printed) => return Some(format!("{place}: the design is refused\n{printed}")),
    };
    let outcomes = section.outcomes(check, &design, &evidence_for(check, &design));
    let mut text = String::new();
    let mut found = BTreeSet::new();
    let mut wrong = None;
    for outcome in &outcomes {
        let line = design
            .span(&outcome.place().route)
            .map_or(1, |span| sources.start(span).line);
        text += &told(line, outcome);
        match outcome {
            Outcome::Fails { failure, .. } => {
                found.insert((line, "fails"));
                if failure.gate < check.gate {
                    wrong = Some("it blocks more than its check may");
                }
            }
            Outcome::NotAssessed { .. } => {
                found.insert((line, "not assessed"));
            }
            Outcome::Holds { .. } | Outcome::DoesNotApply { .. } => {}
        }
    }
    if std::env::var_os("PREPLUG_FIXTURE_TOLD").is_some() {
        println!("{place}\n{text}");
    }
    let any = |wanted: fn(&Outcome) -> bool| outcomes.iter().any(wanted);
    let holds = any(|o| matches!(o, Outcome::Holds { .. }));
    let spared = any(|o| matches!(o, Outcome::DoesNotApply { .. }));
    if outcomes.is_empty() {
        wrong = Some("the check says nothing");
    } else if section.heading.starts_with("just inside") && !holds {
        wrong = Some("nothing holds");
    } else if section.heading.starts_with("does not apply") && (holds || !spared) {
        wrong = Some("it applies");
    }
    if let Some(wrong) = wrong {
        return Some(format!("{place}: {wrong}\n{text}"));
    }
    let wanted = annotated(check, &section.design);
    (found != wanted).then(|| format!("{place}: annotated {wanted:?}, found {found:?}\n{text}"))
}

#[test]
fn every_fixture_comes_out_as_annotated() {
    let only = std::env::var("PREPLUG_FIXTURE").ok();
    let complaints: Vec<String> = REGISTRY
        .par_iter()
        .filter(|check| only.as_deref().is_none_or(|id| id == check.id))
        .flat_map_iter(|check| {
            let fixture = of(check);
            let complaints: Vec<String> = fixture
                .sections
                .iter()
                .filter(|section| !section.heading.starts_with("boundary"))
                .filter_map(|section| judge(check, &fixture, section))
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
fn a_section_is_annotated_as_its_heading_says() {
    let mut wrong = String::new();
    for check in REGISTRY {
        for section in of(check).sections {
            let marks = annotated(check, &section.design);
            let kinds: BTreeSet<&str> = marks.iter().map(|(_, kind)| *kind).collect();
            let heading = section.heading.as_str();
            let right = if heading.starts_with("fires: not assessed") {
                kinds.contains("not assessed")
            } else if heading.starts_with("fires") {
                kinds.contains("fails")
            } else if heading.starts_with("not assessed") {
                kinds.contains("not assessed") && kinds.len() == 1
            } else {
                let known = ["just inside", "does not apply", "boundary"];
                kinds.is_empty() && known.iter().any(|known| heading.starts_with(known))
            };
            if !right {
                let _ = writeln!(wrong, "{} / {heading}: {marks:?}", check.id);
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// A check that says it is always assessed must reach its outcome with nothing computed at all;
/// one that says it always applies must apply to every design there is.
#[test]
fn what_a_check_says_of_itself_is_so() {
    let nothing = Evidence::default();
    let designs = every_design();
    assert!(designs.len() > REGISTRY.len());
    let mut wrong = String::new();
    for check in REGISTRY {
        if check.always_assessed.is_none() && check.always_applies.is_none() {
            continue;
        }
        for (place, section, design) in &designs {
            for outcome in section.outcomes(check, design, &nothing) {
                let breach = match outcome {
                    Outcome::NotAssessed { ref missing, .. } if check.always_assessed.is_some() => {
                        format!("not assessed: {missing}")
                    }
                    Outcome::DoesNotApply { ref why, .. } if check.always_applies.is_some() => {
                        format!("does not apply: {why}")
                    }
                    _ => continue,
                };
                let _ = writeln!(wrong, "{} on {place}: {breach}", check.id);
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// How far inside its limit a judged outcome stands, and at which place; nothing where no
/// situation entered it.
fn margins(outcomes: &[Outcome], solved: bool) -> Vec<(&str, f64)> {
    outcomes
        .iter()
        .filter_map(|outcome| {
            let comparison = match outcome {
                Outcome::Holds { comparison, .. } => comparison.as_ref(),
                Outcome::Fails { failure, .. } => failure.comparison.as_ref(),
                _ => None,
            }?;
            let counts = !solved || comparison.situation.is_some();
            counts.then(|| (outcome.place().route.as_str(), comparison.margin()))
        })
        .collect()
}

/// What a check says on what was computed it may not say on nothing. Without evidence it must be
/// unable to assess, there or for the whole, or have a bound that is no better than what was
/// computed. A check that skips in silence is caught here.
#[test]
fn nothing_computed_is_never_a_pass() {
    let nothing = Evidence::default();
    let designs = every_design();
    let wrong: Vec<String> = designs
        .par_iter()
        .flat_map_iter(|(place, section, design)| {
            let evidence = evidence::collect(design);
            let mut wrong = Vec::new();
            for check in REGISTRY.iter().filter(|c| c.always_assessed.is_none()) {
                let blind = section.outcomes(check, design, &nothing);
                let unable = |o: &Outcome| matches!(o, Outcome::NotAssessed { .. });
                if blind.iter().any(unable) {
                    continue;
                }
                let bounds = margins(&blind, false);
                let seen = section.outcomes(check, design, &evidence);
                let bounded = margins(&seen, true).into_iter().all(|(route, margin)| {
                    let bound = bounds.iter().find(|(at, _)| *at == route);
                    bound.is_some_and(|(_, bound)| *bound <= margin + 1e-9)
                });
                if !bounded {
                    wrong.push(format!("{} on {place}", check.id));
                }
            }
            wrong
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
