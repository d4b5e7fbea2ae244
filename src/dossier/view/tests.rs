use super::*;
use crate::checks::{Built, Context, REGISTRY};
use crate::dossier::template::Templates;
use crate::dossier::{compose, document, layout::Paper};

fn reviewed(name: &str) -> (crate::design::Read, Evidence, Vec<Checked>) {
    let path = format!("reviews/{name}/design.yaml");
    let read = crate::design::read(&path, &|path| {
        std::fs::read(path).map_err(|error| error.to_string())
    })
    .unwrap_or_else(|refused| panic!("{name}: {:?}", refused.diagnostics));
    let evidence = Evidence::default();
    let context = Context {
        design: &read.design,
        evidence: &evidence,
        built: Built::default(),
    };
    let checked = REGISTRY
        .iter()
        .map(|check| Checked {
            check,
            outcomes: (check.run)(&context),
        })
        .collect();
    (read, evidence, checked)
}

fn gates() -> Vec<GateState> {
    [Gate::Power, Gate::Plug, Gate::Share]
        .into_iter()
        .map(|gate| GateState {
            gate,
            open: false,
            reasons: vec!["Nothing was solved.".to_owned()],
        })
        .collect()
}

#[test]
fn every_shipped_design_becomes_a_dossier() {
    let fonts = Fonts::new();
    for name in ["tide-lever", "fog-fader", "moth-lamp", "borrowed-treadle"] {
        let (read, evidence, checked) = reviewed(name);
        let material = Material {
            design: &read.design,
            sources: &read.sources,
            evidence: &evidence,
            checked: &checked,
            gates: &gates(),
            verdict: "Nothing was solved.",
            date: "2026-09-02",
        };
        let document = document(&material, &Templates::shipped(), &fonts)
            .unwrap_or_else(|errors| panic!("{errors:?}"));
        let composed = compose(&document, Paper::A4, &fonts).unwrap();
        assert!(
            composed.missing_characters.is_empty(),
            "{:?}",
            composed.missing_characters
        );
        assert!(
            composed.missing_targets.is_empty(),
            "{:?}",
            composed.missing_targets
        );
        assert!(composed.pages >= 10, "{name}: {}", composed.pages);
        let folder = std::env::var("PREPLUG_LOOK");
        if let Ok(folder) = folder {
            std::fs::write(format!("{folder}/{name}.pdf"), composed.bytes).unwrap();
        }
    }
}

#[test]
fn attachments_are_named_from_their_common_folder() {
    assert_eq!(common_folder(&["a/b/c.yaml", "a/d/e.yaml"]), 2);
    assert_eq!(common_folder(&["c.yaml"]), 0);
    assert_eq!(common_folder(&["/x/c.yaml", "/x/y/c.yaml"]), 3);
}
