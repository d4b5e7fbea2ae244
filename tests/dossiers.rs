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
use preplug::evidence::{Curve, CurvePoint, Evidence, Recording};
use preplug::review::review;

/// An invented curve and waveform, so that the figures are drawn.
fn curve() -> Curve {
    Curve {
        control: "RV1".to_owned(),
        net: "out".to_owned(),
        state: "box on".to_owned(),
        points: (0..=20)
            .map(|i| {
                let travel = f64::from(i) / 20.0;
                let nominal = 8.6 * (travel - 0.5);
                CurvePoint {
                    travel,
                    low: nominal * 0.94 - 0.2,
                    nominal,
                    high: nominal * 1.06 + 0.2,
                }
            })
            .collect(),
    }
}

fn recording() -> Recording {
    let time: Vec<f64> = (0..400).map(|i| f64::from(i) * 5e-5).collect();
    let raw: Vec<f64> = time.iter().map(|t| 19.6 - 40.0 * t).collect();
    Recording {
        title: "nominal".to_owned(),
        situation: 0,
        nets: vec![
            ("raw-".to_owned(), raw.iter().map(|v| -v).collect()),
            ("rail+".to_owned(), vec![6.0; time.len()]),
            ("rail-".to_owned(), vec![-6.0; time.len()]),
            ("raw+".to_owned(), raw),
        ],
        time,
    }
}

fn written(name: &str) -> Composed {
    let path = format!("reviews/{name}/design.yaml");
    let load = |path: &str| std::fs::read(path).map_err(|error| error.to_string());
    let read = design::read(&path, &load)
        .unwrap_or_else(|refused| panic!("{name}: {:?}", refused.diagnostics));
    let mut evidence = Evidence::default();
    evidence.curves.push(curve());
    evidence.recordings.push(recording());
    let fonts = Fonts::new();
    let material = Material {
        design: &read.design,
        sources: &read.sources,
        evidence: &evidence,
        review: &review(
            &read.design,
            &evidence,
            Built::default(),
            None,
            "2026-09-02",
        ),
        file: None,
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
