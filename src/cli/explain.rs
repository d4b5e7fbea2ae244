//! `preplug explain [ID]`: the text of one check, or the list of all, for the terminal.
//!
//! The text comes from the registry; nothing about a check is written down twice.

use crate::checks::{Check, REGISTRY, find};
use std::fmt::Write as _;

/// Width to which running text is filled.
const WIDTH: usize = 80;

/// Runs the command.
pub fn run(id: Option<&str>) -> u8 {
    match explain(id) {
        Ok(text) => {
            super::print(&text);
            super::OPEN
        }
        Err(message) => {
            anstream::eprintln!("{message}");
            super::BAD_INPUT
        }
    }
}

/// The text of one check, or the list of all by stage, with gate and sources.
///
/// # Errors
/// The message for an id that no check has, with the nearest one.
fn explain(id: Option<&str>) -> Result<String, String> {
    let Some(id) = id else { return Ok(list()) };
    find(id).map(one).ok_or_else(|| unknown(id))
}

fn one(check: &Check) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}", check.id);
    let _ = writeln!(
        text,
        "blocks {} · {}\n",
        check.gate.words(),
        check.stage.title()
    );
    for paragraph in check.rationale.split("\n\n") {
        let _ = writeln!(text, "{}\n", fill(paragraph, ""));
    }
    let _ = writeln!(text, "Sources");
    for source in check.sources {
        let line = format!("{} ({})", source.citation, source.mark.words());
        let _ = writeln!(text, "{}", fill(&line, "  - "));
    }
    let _ = writeln!(text, "\nA person must see to it that");
    let _ = writeln!(text, "{}", fill(check.sign_off, "  "));
    text
}

fn list() -> String {
    let widest = REGISTRY
        .iter()
        .map(|check| check.id.len())
        .max()
        .unwrap_or(0);
    let mut text = String::new();
    let mut stage = None;
    for check in REGISTRY {
        if stage != Some(check.stage) {
            let gap = if stage.is_some() { "\n" } else { "" };
            let _ = writeln!(text, "{gap}{}", check.stage.title());
            stage = Some(check.stage);
        }
        let _ = writeln!(text, "  {:widest$}  {}", check.id, check.gate.key());
        let sources: Vec<&str> = check.sources.iter().map(|source| source.citation).collect();
        let _ = writeln!(text, "{}", fill(&sources.join("; "), "      "));
    }
    let _ = writeln!(
        text,
        "\n{} checks; `preplug explain ID` prints one.",
        REGISTRY.len()
    );
    text
}

fn unknown(id: &str) -> String {
    let nearest = REGISTRY
        .iter()
        .map(|check| (strsim::damerau_levenshtein(id, check.id), check.id))
        .min();
    let mut message = format!("no check is called `{id}`");
    if let Some((_, near)) = nearest.filter(|(distance, _)| *distance <= id.len().max(6) / 2) {
        let _ = write!(message, "; did you mean `{near}`?");
    }
    message
}

/// Fills a paragraph; the first line starts with `lead`, the others with as many spaces.
fn fill(paragraph: &str, lead: &str) -> String {
    let words = paragraph.split_whitespace().collect::<Vec<_>>().join(" ");
    let rest = " ".repeat(lead.chars().count());
    textwrap::fill(
        &words,
        textwrap::Options::new(WIDTH)
            .initial_indent(lead)
            .subsequent_indent(&rest)
            .break_words(false),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_text_says_gate_sources_and_what_a_person_must_see_to() {
        let text = explain(Some("electrolytic-reversed")).expect("a check");
        assert!(text.starts_with("electrolytic-reversed\nblocks the power gate · Polarity\n"));
        assert!(text.contains("(from memory)"), "{text}");
        assert!(text.contains("The stripe (minus)"), "{text}");
        assert!(
            text.lines().all(|line| line.chars().count() <= WIDTH),
            "{text}"
        );
    }

    #[test]
    fn a_near_miss_is_named() {
        let message = explain(Some("electrolitic-reversed")).expect_err("no such check");
        assert!(message.contains("`electrolytic-reversed`"), "{message}");
    }

    #[test]
    fn the_list_names_every_check_once() {
        let text = explain(None).expect("a list");
        for check in REGISTRY {
            let lines = text
                .lines()
                .filter(|line| line.split_whitespace().next() == Some(check.id));
            assert_eq!(lines.count(), 1, "{}", check.id);
        }
    }
}
