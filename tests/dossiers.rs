//! The dossiers of the shipped designs with nothing computed: every number is *not assessed*, and
//! the document is still whole. They are written to the target's temporary folder to be looked at.

use preplug::bringup::Meter;
use preplug::checks::Built;
use preplug::design;
use preplug::dossier::font::Fonts;
use preplug::dossier::layout::Paper;
use preplug::dossier::template::Templates;
use preplug::dossier::view::Material;
use preplug::dossier::{Composed, compose, document};
use preplug::evidence::Evidence;
use preplug::review::review;

fn written(name: &str) -> Composed {
    let path = format!("reviews/{name}/design.yaml");
    let load = |path: &str| std::fs::read(path).map_err(|error| error.to_string());
    let read = design::read(&path, &load)
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
    compose(&document, Paper::A4, &fonts).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn every_shipped_design_becomes_a_whole_dossier() {
    for name in ["tide-lever", "fog-fader", "moth-lamp", "borrowed-treadle"] {
        let composed = written(name);
        assert_eq!(composed.missing_characters, [].into(), "{name}");
        assert_eq!(composed.missing_targets, [].into(), "{name}");
        assert!(composed.pages >= 10, "{name}: {}", composed.pages);
        let path = format!("{}/{name}-unsolved.pdf", env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(path, composed.bytes).unwrap();
    }
}

#[test]
fn the_same_review_gives_the_same_bytes() {
    assert!(written("tide-lever").bytes == written("tide-lever").bytes);
}
