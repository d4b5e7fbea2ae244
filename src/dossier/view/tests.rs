use super::*;
use crate::checks::Built;
use crate::dossier::layout::Paper;
use crate::dossier::template::Templates;
use crate::dossier::{compose, document};
use crate::review::review;

/// The dossier of a shipped design with nothing computed: every number is *not assessed*.
fn written(name: &str) -> super::super::Composed {
    let path = format!("reviews/{name}/design.yaml");
    let read = crate::design::read(&path, &|path| {
        std::fs::read(path).map_err(|error| error.to_string())
    })
    .unwrap_or_else(|refused| panic!("{name}: {:?}", refused.diagnostics));
    let evidence = Evidence::default();
    let fonts = Fonts::new();
    let material = Material {
        design: &read.design,
        sources: &read.sources,
        evidence: &evidence,
        review: &review(&read.design, &evidence, Built::default()),
        units: &[],
        meter: &Meter::default(),
        date: "2026-09-02",
    };
    let document = document(&material, &Templates::shipped(), &fonts)
        .unwrap_or_else(|errors| panic!("{errors:?}"));
    compose(&document, Paper::A4, &fonts).unwrap()
}

#[test]
fn every_shipped_design_becomes_a_dossier_even_with_nothing_computed() {
    for name in ["tide-lever", "fog-fader", "moth-lamp", "borrowed-treadle"] {
        let composed = written(name);
        assert!(
            composed.missing_characters.is_empty(),
            "{:?}",
            composed.missing_characters
        );
        assert!(
            composed.missing_targets.is_empty(),
            "{name}: {:?}",
            composed.missing_targets
        );
        assert!(composed.pages >= 10, "{name}: {}", composed.pages);
    }
}

#[test]
fn the_same_review_gives_the_same_bytes() {
    assert!(written("tide-lever").bytes == written("tide-lever").bytes);
}

#[test]
fn attachments_are_named_from_their_common_folder() {
    assert_eq!(common_folder(&["a/b/c.yaml", "a/d/e.yaml"]), 2);
    assert_eq!(common_folder(&["c.yaml"]), 0);
    assert_eq!(common_folder(&["/x/c.yaml", "/x/y/c.yaml"]), 3);
}
