//! The registry of checks is whole: every file registered under its own name in its own stage,
//! every text written, every check with a fixture of each sort.

use preplug::catalogue::Mark;
use preplug::checks::{Check, Gate, REGISTRY, Stage};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn folder(stage: Stage) -> &'static str {
    match stage {
        Stage::Ratings => "ratings",
        Stage::Thermal => "thermal",
        Stage::Polarity => "polarity",
        Stage::Pinout => "pinout",
        Stage::OutputRange => "output_range",
        Stage::Isolation => "isolation",
        Stage::Completeness => "completeness",
    }
}

const STAGES: [Stage; 7] = [
    Stage::Ratings,
    Stage::Thermal,
    Stage::Polarity,
    Stage::Pinout,
    Stage::OutputRange,
    Stage::Isolation,
    Stage::Completeness,
];

fn fixture(check: &Check) -> PathBuf {
    root()
        .join("tests/fixtures")
        .join(format!("{}.md", check.id))
}

/// `STAGE/file_name` of every file that declares a check.
fn files() -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for stage in STAGES {
        let folder = folder(stage);
        for entry in fs::read_dir(root().join("src/checks").join(folder)).expect("a stage's folder")
        {
            let path = entry.expect("an entry").path();
            let text = fs::read_to_string(&path).expect("a source file");
            if text.lines().any(|line| line == "check! {") {
                let stem = path.file_stem().expect("a name").to_string_lossy();
                found.insert(format!("{folder}/{stem}"));
            }
        }
    }
    found
}

#[test]
fn every_file_is_registered_under_its_own_name_in_its_own_stage() {
    let registered: BTreeSet<String> = REGISTRY
        .iter()
        .map(|check| format!("{}/{}", folder(check.stage), check.id.replace('-', "_")))
        .collect();
    assert_eq!(registered, files());
    assert_eq!(registered.len(), REGISTRY.len(), "an id stands twice");
}

#[test]
fn the_registry_runs_through_the_stages_in_order() {
    let stages: Vec<Stage> = REGISTRY.iter().map(|check| check.stage).collect();
    let mut sorted = stages.clone();
    sorted.sort();
    assert_eq!(stages, sorted);
}

#[test]
fn every_check_says_what_why_and_where_from() {
    for check in REGISTRY {
        let id = check.id;
        assert!(
            check.rationale.len() > 120,
            "{id}: the rationale is too short"
        );
        assert!(
            check.rationale.contains("Limits:"),
            "{id}: no limits of validity"
        );
        assert!(!check.sources.is_empty(), "{id}: no source");
        assert!(
            check.sources.iter().all(|s| s.citation.len() > 10),
            "{id}: an empty source"
        );
        assert!(
            check.sign_off.ends_with('.'),
            "{id}: the sign-off is no sentence"
        );
        assert!(
            id.chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'),
            "{id}: not an id"
        );
    }
}

#[test]
fn every_gate_is_guarded() {
    for gate in [Gate::Power, Gate::Plug, Gate::Share] {
        assert!(
            REGISTRY.iter().any(|check| check.gate == gate),
            "nothing guards {gate:?}"
        );
    }
}

/// Of each check: a design that fires, one just inside, one it does not apply to, one where
/// something is missing. The last two may be declared impossible, which `tests/check_fixtures.rs`
/// then holds the check to.
#[test]
fn every_check_has_a_fixture_of_each_sort() {
    let mut lacking = String::new();
    for check in REGISTRY {
        let path = fixture(check);
        let text = fs::read_to_string(&path).unwrap_or_default();
        let heads: Vec<&str> = text
            .lines()
            .filter_map(|line| line.strip_prefix("## "))
            .collect();
        let mut sorts = vec!["fires", "just inside"];
        if check.always_applies.is_none() {
            sorts.push("does not apply");
        }
        if check.always_assessed.is_none() {
            sorts.push("not assessed");
        }
        for sort in sorts {
            // Some checks can only ever say that a person must look.
            let unable = sort == "not assessed" && heads.contains(&"fires: not assessed");
            if !(unable || heads.iter().any(|head| head.starts_with(sort))) {
                let _ = writeln!(lacking, "{}: no design under `## {sort}`", check.id);
            }
        }
        for said in [check.always_assessed, check.always_applies]
            .into_iter()
            .flatten()
        {
            assert!(said.len() > 15, "{}: says too little of why", check.id);
        }
    }
    assert!(lacking.is_empty(), "{lacking}");
}

#[test]
fn every_fixture_belongs_to_a_check() {
    let ids: BTreeSet<String> = REGISTRY.iter().map(|check| check.id.to_owned()).collect();
    for entry in fs::read_dir(root().join("tests/fixtures")).expect("the fixtures") {
        let path = entry.expect("an entry").path();
        let stem = path
            .file_stem()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        if path.extension().is_some_and(|e| e == "md") && stem != "README" {
            assert!(ids.contains(&stem), "{stem}.md belongs to no check");
        }
    }
}

/// Checks whose confirmed sources give no figure that a comparison could reach: what a mark on a
/// label means, which pin is which, which rule holds. Their fixtures show them at work.
const NO_FIGURE: &[&str] = &[
    "adaptor-class-unknown",
    "adaptor-polarity-unstated",
    "primary-inside-box",
    "slip-overdrives-input",
    "controller-wiring-not-served",
    "pin-order-unconfirmed",
    "signal-contact-wrong",
    "ac-where-dc-is-needed",
    "dc-where-ac-is-needed",
    "reversed-supply-unprotected",
    // 0.3 V is where an input starts to conduct, and the fixtures stand on either side of it.
    "back-feed-into-box",
    "supply-contact-driven",
    // The sheet's single surge is no repetitive peak: ten times the average is common practice.
    "diode-repetitive-peak",
    // Half a watt is a rule of thumb for the whole supply; a share of the rated current is used.
    "winding-dc",
];

/// A check that leans on a confirmed figure has a test that reaches it from a design file.
#[test]
fn confirmed_figures_are_reached_from_design_files() {
    let tests: String = fs::read_dir(root().join("tests"))
        .expect("the tests")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| {
            let name = path.file_name().expect("a name").to_string_lossy();
            name.starts_with("published_")
        })
        .map(|path| fs::read_to_string(path).expect("a test"))
        .collect();
    let confirmed = |check: &Check| {
        let sources = check.sources.iter();
        sources
            .into_iter()
            .any(|source| matches!(source.mark, Mark::Confirmed | Mark::Secondary))
    };
    for check in REGISTRY.iter().filter(|check| confirmed(check)) {
        let reached = tests.contains(&format!("\"{}\"", check.id));
        let spared = NO_FIGURE.contains(&check.id);
        assert_ne!(reached, spared, "{}", check.id);
    }
}
