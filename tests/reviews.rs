//! The shipped reviews: every file is read without a mistake.

use preplug::design;
use preplug::source::{Diagnostic, PrintStyle, SourceSet, print};

const REVIEWS: &[&str] = &["tide-lever", "fog-fader", "moth-lamp", "borrowed-treadle"];

fn load(path: &str) -> Result<Vec<u8>, String> {
    std::fs::read(path).map_err(|error| error.to_string())
}

/// Tests run in the package's folder.
fn path(review: &str) -> String {
    format!("reviews/{review}/design.yaml")
}

fn told(diagnostics: &[Diagnostic], sources: &SourceSet) -> String {
    let style = PrintStyle {
        colour: false,
        width: 100,
    };
    print(diagnostics, sources, style)
}

#[test]
fn every_shipped_design_is_read_without_a_mistake() {
    let mut mistakes = String::new();
    for review in REVIEWS {
        match design::read(&path(review), &load) {
            Ok(read) => mistakes += &told(&read.warnings, &read.sources),
            Err(refused) => mistakes += &told(&refused.diagnostics, &refused.sources),
        }
    }
    assert!(mistakes.is_empty(), "{mistakes}");
}
