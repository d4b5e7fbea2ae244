//! The README and DEVELOPERS.md say what is so: examples run, commands are the real ones, and the
//! catalogue of checks is the registry's.
//!
//! `PREPLUG_BLESS=1 cargo test --test documents` rewrites the catalogue.

use preplug::checks::{Gate, REGISTRY, Stage};
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn document(name: &str) -> String {
    fs::read_to_string(root().join(name)).expect("the document")
}

/// The fenced blocks of one language.
fn fenced<'t>(text: &'t str, language: &str) -> Vec<&'t str> {
    text.split(&format!("\n```{language}\n"))
        .skip(1)
        .filter_map(|rest| rest.split("\n```").next())
        .collect()
}

#[test]
fn the_readme_gives_two_commands_first() {
    let readme = document("README.md");
    let commands = fenced(&readme, "sh");
    assert_eq!(
        commands[0],
        "cargo run --release -- review reviews/tide-lever/design.yaml"
    );
    assert!(
        commands[1].ends_with("cargo test --release"),
        "{}",
        commands[1]
    );
    assert_eq!(
        readme
            .lines()
            .filter(|line| !line.is_empty())
            .nth(1)
            .map(|line| &line[..9]),
        Some("You built"),
        "the job in one paragraph at the very top"
    );
}

#[test]
fn the_design_file_in_five_minutes_may_be_powered() {
    let readme = document("README.md");
    let folder = tempfile::tempdir().expect("a folder");
    let mut designs: Vec<PathBuf> = Vec::new();
    for file in fenced(&readme, "yaml") {
        let (name, _) = file
            .strip_prefix("# ")
            .and_then(|rest| rest.split_once('\n'))
            .expect("an example names its file in its first line");
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("made");
        fs::write(&path, file).expect("written");
        if name.ends_with("design.yaml") {
            designs.push(path);
        }
    }
    assert!(!designs.is_empty(), "there is an example");
    for design in designs {
        let output = Command::new(env!("CARGO_BIN_EXE_preplug"))
            .args(["check", "--gate", "power"])
            .arg(&design)
            .output()
            .expect("the program starts");
        assert!(
            output.status.success(),
            "{}{}",
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        );
    }
}

#[test]
fn the_readme_names_every_command() {
    let readme = document("README.md");
    let help = Command::new(env!("CARGO_BIN_EXE_preplug"))
        .arg("--help")
        .output()
        .expect("the program starts");
    let help = String::from_utf8(help.stdout).expect("UTF-8");
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|command| *command != "help")
        .collect();
    assert!(commands.contains(&"review"), "{help}");
    for command in commands {
        assert!(
            readme.contains(&format!("`preplug {command}")),
            "README.md says nothing of `preplug {command}`"
        );
    }
}

const BEGIN: &str = "<!-- checks: written by `PREPLUG_BLESS=1 cargo test --test documents` -->";
const END: &str = "<!-- end of checks -->";

fn gate(gate: Gate) -> &'static str {
    match gate {
        Gate::Power => "power",
        Gate::Plug => "plug",
        Gate::Share => "share",
        Gate::Note => "note",
    }
}

fn stage(stage: Stage) -> &'static str {
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

/// The first paragraph of a rationale on one line.
fn first_paragraph(rationale: &str) -> String {
    let lines: Vec<&str> = rationale
        .lines()
        .map(str::trim)
        .skip_while(|line| line.is_empty())
        .take_while(|line| !line.is_empty())
        .collect();
    lines.join(" ")
}

fn catalogue() -> String {
    let mut text = String::new();
    let mut current = None;
    for check in REGISTRY {
        if current != Some(check.stage) {
            current = Some(check.stage);
            let _ = writeln!(
                text,
                "\n### {}\n\n| check | gate | what it looks at | sources |\n|---|---|---|---|",
                stage(check.stage)
            );
        }
        let sources: Vec<&str> = check.sources.iter().map(|source| source.citation).collect();
        let _ = writeln!(
            text,
            "| `{}` | {} | {} | {} |",
            check.id,
            gate(check.gate),
            first_paragraph(check.rationale).replace('|', "\\|"),
            sources.join("; ").replace('|', "\\|")
        );
    }
    text
}

#[test]
fn the_catalogue_of_checks_is_current() {
    let path = root().join("DEVELOPERS.md");
    let written = document("DEVELOPERS.md");
    let (before, rest) = written.split_once(BEGIN).expect("the opening mark");
    let (_, after) = rest.split_once(END).expect("the closing mark");
    let count = format!("\n\n{} checks.\n", REGISTRY.len());
    let current = format!("{before}{BEGIN}{count}{}\n{END}{after}", catalogue());
    if std::env::var_os("PREPLUG_BLESS").is_some() {
        fs::write(&path, &current).expect("written");
    }
    assert!(
        document("DEVELOPERS.md") == current,
        "out of date: PREPLUG_BLESS=1 cargo test --test documents"
    );
}
