//! The pin pictures and wiring of the shipped designs: pins in the catalogue's order, words that lie over
//! nothing, every net named.

#![allow(
    clippy::unwrap_used,
    reason = "a test stops at what it does not expect"
)]

use preplug::design::{self, Design};
use preplug::dossier::block::{Block, Document, Figure, Info, text};
use preplug::dossier::compose;
use preplug::dossier::draw::pins::{HEIGHT, WIDTH, sheets};
use preplug::dossier::draw::wiring::{picture, runs};
use preplug::dossier::font::Fonts;
use preplug::dossier::layout::Paper;
use preplug::dossier::scene::{Anchor, Item, Label, Scene};

fn read(path: &str, yaml: Option<&str>) -> Design {
    let load = |path: &str| match yaml {
        Some(text) => Ok(text.as_bytes().to_vec()),
        None => std::fs::read(path).map_err(|error| error.to_string()),
    };
    design::read(path, &load)
        .unwrap_or_else(|refused| panic!("{path}: {:?}", refused.diagnostics))
        .design
}

fn words(scene: &Scene) -> Vec<&Label> {
    scene
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Text(label) => Some(label),
            Item::Path { .. } => None,
        })
        .collect()
}

fn area(label: &Label, fonts: &Fonts) -> [f64; 4] {
    let width = fonts.width(label.face, label.size, &label.text);
    let left = match label.anchor {
        Anchor::Start => label.at.0,
        Anchor::Middle => label.at.0 - width / 2.0,
        Anchor::End => label.at.0 - width,
    };
    let tall = fonts.metrics(label.face).cap_height * label.size;
    [left, label.at.1 - tall, left + width, label.at.1]
}

fn assert_legible(name: &str, design: &Design) -> Vec<Scene> {
    let fonts = Fonts::new();
    let scenes = sheets(design, HEIGHT, &fonts);
    for scene in &scenes {
        assert!(scene.width <= WIDTH && scene.height <= HEIGHT, "{name}");
        let placed: Vec<([f64; 4], &Label)> = words(scene)
            .into_iter()
            .map(|label| (area(label, &fonts), label))
            .collect();
        for (index, (one, label)) in placed.iter().enumerate() {
            assert!(label.size >= 6.0, "{name}: “{}” is too small", label.text);
            assert!(
                one[0] >= 0.0 && one[1] >= 0.0 && one[2] <= WIDTH && one[3] <= scene.height,
                "{name}: “{}” leaves the sheet",
                label.text
            );
            for (other, second) in &placed[index + 1..] {
                let apart = one[0] >= other[2]
                    || other[0] >= one[2]
                    || one[1] >= other[3]
                    || other[1] >= one[3];
                assert!(
                    apart,
                    "{name}: “{}” lies over “{}”",
                    label.text, second.text
                );
            }
        }
    }
    let blocks = scenes
        .iter()
        .map(|scene| {
            Block::Figure(Figure {
                id: String::new(),
                scene: scene.clone(),
                caption: text(name),
                alt: String::new(),
            })
        })
        .collect();
    let document = Document {
        info: Info::default(),
        blocks,
        attachments: Vec::new(),
    };
    let composed = compose(&document, Paper::A4, &fonts).unwrap();
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(folder.join(format!("pins-{name}.pdf")), composed.bytes).unwrap();
    scenes
}

#[test]
fn shipped_designs() {
    for name in ["tide-lever", "fog-fader", "moth-lamp", "borrowed-treadle"] {
        let design = read(&format!("reviews/{name}/design.yaml"), None);
        let scenes = assert_legible(name, &design);
        let all: Vec<&Label> = scenes.iter().flat_map(words).collect();
        // Every regulator's nets stand on its card.
        for part in design.parts.values().filter(|part| !part.pins.is_empty()) {
            for net in part.pins.values() {
                let named = all.iter().any(|label| label.text == *net);
                assert!(named, "{name}: {net} of {}", part.reference);
            }
        }
    }
}

/// The order of the 78L and 79L in TO-92 differs, and both are common: out, ground, in against
/// ground, in, out (makers' sheets, as the catalogue cites them). The words of the table heads
/// come in that order from left to right.
#[test]
fn pin_order_is_the_catalogues() {
    let scenes = assert_legible("tide-lever", &read("reviews/tide-lever/design.yaml", None));
    let heads = |title: &str| -> Vec<String> {
        let scene = &scenes[0];
        let all = words(scene);
        let head = all.iter().find(|label| label.text == title).unwrap();
        let mut below: Vec<&&Label> = all
            .iter()
            .filter(|label| {
                label.text.contains('\u{2002}')
                    && label.at.1 > head.at.1
                    && (label.at.0 - head.at.0 > 0.0 && label.at.0 - head.at.0 < 228.0)
            })
            .collect();
        below.sort_by(|a, b| (a.at.1, a.at.0).partial_cmp(&(b.at.1, b.at.0)).unwrap());
        below
            .iter()
            .take(3)
            .map(|label| label.text.replace('\u{2002}', " "))
            .collect()
    };
    assert_eq!(heads("78L06 in TO-92"), ["1 out", "2 ground", "3 in"]);
    assert_eq!(heads("79L06 in TO-92"), ["1 ground", "2 in", "3 out"]);
}

/// Every sort of picture, long names among them.
#[test]
fn every_sort_of_picture() {
    let design = read(
        "design.yaml",
        Some(
            "
preplug: design/1
title: Every picture
conditions: {mains: {voltage: 230 V ± 10 %, frequency: 50 Hz}}
parts:
  PS1: {kind: dc-adaptor, output: 12 V, current: 1 A, regulated: true, class: II, plug-polarity: centre-negative, nets: {positive: supply-from-the-long-adaptor, negative: gnd}}
  U1: {type: 7805, package: TO-220, tab-to: free, pins: {1: supply-from-the-long-adaptor, 2: gnd, 3: rail}}
  U2: {type: LM358, package: DIP-8, units: {A: {plus: wiper, minus: o1, out: o1}, B: {plus: rail, minus: a-rather-long-name-of-a-net, out: a-rather-long-name-of-a-net}}, nets: {supply+: rail, supply-: gnd}}
  U3: {type: 78L05, package: SOT-89, nets: {in: supply-from-the-long-adaptor, ground: gnd, out: five}}
  Q1: {type: BC547, package: TO-92, nets: {base: o1, collector: rail, emitter: five}}
  BR1: {type: W04, nets: {ac1: o1, ac2: five, positive: rail, negative: gnd}}
  D1: {type: 1N4148, nets: {anode: o1, cathode: rail}}
  LED1: {kind: led, colour: red, nets: {anode: five, cathode: lit}}
  R1: {kind: resistor, value: 1 kΩ, nets: {a: lit, b: gnd}}
  C1: {kind: electrolytic, value: 10 µF, rating: 16 V, nets: {positive: a-rather-long-name-of-a-net, negative: gnd}}
  C2: {kind: tantalum, value: 10 µF, rating: 16 V, nets: {positive: rail, negative: gnd}}
  RV1: {kind: potentiometer, value: 10 kΩ, law: linear, nets: {cw: rail, wiper: wiper, ccw: gnd}}
  SW1: {kind: switch, control: Mode, positions: [forwards, backwards], poles: {A: {common: out, throws: [o1, nc]}, B: {common: wiper, throws: [five, a-rather-long-name-of-a-net]}}}
  SW2: {kind: switch, control: Range, positions: [a, b, c], poles: {A: {common: five, throws: [o1, nc, out]}}}
  J1: {kind: jack, contacts: TRS, nets: {tip: out, ring: rail, sleeve: gnd, tip-normal: five}}
  J2: {kind: jack, contacts: TS, nets: {tip: out, sleeve: gnd}}
  P1: {kind: plug, contacts: TRS, nets: {tip: out, ring: rail, sleeve: gnd}}
  BT1: {kind: battery, fresh: 9.6 V, flat: 6.6 V, nets: {positive: five, negative: gnd}}
  K1: {kind: relay, value: 12 V, resistance: 400 Ω, nets: {coil1: rail, coil2: o1}, poles: {A: {common: out, throws: [wiper, nc]}, B: {common: lit, throws: [nc, a-rather-long-name-of-a-net]}}}
  T1: {kind: transformer, where: outside, output: 24 V, current: 500 mA, class: II, nets: {secondary1: o1, centre: gnd, secondary2: five}}
  X1: {kind: connector, nets: {1: rail, 2: gnd, 10: out}}
",
        ),
    );
    let scenes = assert_legible("every-sort", &design);
    let titles: Vec<&str> = scenes
        .iter()
        .flat_map(words)
        .map(|label| label.text.as_str())
        .collect();
    for title in [
        "7805 in TO-220",
        "LM358 in DIP-8",
        "78L05 in SOT-89",
        "BC547 in TO-92",
        "W04 in WOM",
        "DO-35",
        "LED",
        "Potentiometer",
        "Switch SW1",
        "Jack, TRS",
        "Plug, TRS",
        "Low-voltage plug, centre negative",
        "Battery",
        "Relay K1",
        "Transformer T1",
        "Connector X1",
    ] {
        assert!(titles.contains(&title), "{title} is not drawn");
    }
}

/// Every terminal of every part is an end of one run, and the picture names each.
#[test]
fn wiring_names_every_end() {
    let fonts = Fonts::new();
    for name in ["tide-lever", "fog-fader", "moth-lamp", "borrowed-treadle"] {
        let design = read(&format!("reviews/{name}/design.yaml"), None);
        let terminals = design
            .parts
            .values()
            .flat_map(|part| part.terminals.values());
        let wired = terminals.filter(|net| *net != "nc").count();
        let runs = runs(&design);
        let ends: usize = runs.iter().map(|run| run.ends.len()).sum();
        assert_eq!(ends, wired, "{name}");
        let scene = picture(&design, WIDTH, &fonts);
        let all = words(&scene);
        for run in &runs {
            for end in &run.ends {
                let named = all.iter().any(|label| label.text == end.words());
                assert!(named, "{name}: {} {}", end.part.reference, end.terminal);
            }
        }
        for label in all {
            let [left, top, right, bottom] = area(label, &fonts);
            assert!(
                left >= 0.0 && top >= 0.0 && right <= WIDTH && bottom <= scene.height,
                "{name}: “{}” leaves the sheet",
                label.text
            );
        }
    }
}

#[test]
fn colours_of_wires_belong_to_nets() {
    let written = |wires: &str| {
        format!(
            "preplug: design/1\ntitle: Colours\nparts:\n  R1: {{kind: resistor, value: 1 kΩ, nets: {{a: top, b: gnd}}}}\n  R2: {{kind: resistor, value: 1 kΩ, nets: {{a: top, b: gnd}}}}\nwires: {wires}\n"
        )
    };
    let design = read("design.yaml", Some(&written("{gnd: black, top: red}")));
    let colours: Vec<_> = runs(&design)
        .iter()
        .map(|run| run.colour.map(str::to_owned))
        .collect();
    assert_eq!(colours, [Some("black".to_owned()), Some("red".to_owned())]);
    let wrong = written("{tap: red}");
    let load = |_: &str| Ok(wrong.as_bytes().to_vec());
    let refused = design::read("design.yaml", &load).unwrap_err();
    let codes: Vec<&str> = refused.diagnostics.iter().map(|d| d.code).collect();
    assert_eq!(codes, ["unknown-net"]);
}
