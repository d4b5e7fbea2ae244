//! The schematics of the shipped designs and of generated ones: electrically true, nothing over
//! anything else, nothing outside the sheet.
//!
//! The connectivity is read back from the geometry of the drawn scene (wires, dots, flags with
//! their words, ground symbols) and compared with the design, so that the drawing is held to the
//! design and not to the program that drew it.

#![allow(
    clippy::unwrap_used,
    reason = "a test stops at what it does not expect"
)]

mod generated;

use generated::generated;
use preplug::catalogue::Kind;
use preplug::design::{self, Design};
use preplug::dossier::block::{Block, Document, Figure, Info, text};
use preplug::dossier::compose;
use preplug::dossier::draw::schematic::{PAGE as ROOM, Sheet, WIRE, draw};
use preplug::dossier::font::Fonts;
use preplug::dossier::layout::Paper;
use preplug::dossier::scene::{Anchor, Item, Label, Segment};
use std::collections::{BTreeMap, BTreeSet};

type Point = (f64, f64);
type Area = [f64; 4];

fn shipped(name: &str) -> Design {
    let path = format!("reviews/{name}/design.yaml");
    let load = |path: &str| std::fs::read(path).map_err(|error| error.to_string());
    design::read(&path, &load)
        .unwrap_or_else(|refused| panic!("{name}: {:?}", refused.diagnostics))
        .design
}

fn written(name: &str, yaml: &str) -> Design {
    let load = |_: &str| Ok(yaml.as_bytes().to_vec());
    design::read("design.yaml", &load)
        .unwrap_or_else(|refused| {
            let messages: Vec<&str> = refused
                .diagnostics
                .iter()
                .map(|d| d.message.as_str())
                .collect();
            panic!("{name}: {messages:#?}\n{yaml}")
        })
        .design
}

/// The sheets as a PDF in the target's temporary folder, to be looked at.
fn show(name: &str, sheets: &[Sheet], fonts: &Fonts) {
    let blocks = sheets
        .iter()
        .map(|sheet| {
            Block::Figure(Figure {
                id: String::new(),
                scene: sheet.scene.clone(),
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
    let composed = compose(&document, Paper::A4, fonts).unwrap();
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(folder.join(format!("schematic-{name}.pdf")), composed.bytes).unwrap();
}

// ---- reading a drawing back ----------------------------------------------------------------

/// Sets of things that are joined.
#[derive(Default)]
struct Islands(Vec<usize>);

impl Islands {
    fn add(&mut self) -> usize {
        self.0.push(self.0.len());
        self.0.len() - 1
    }

    fn find(&self, mut one: usize) -> usize {
        while self.0[one] != one {
            one = self.0[one];
        }
        one
    }

    fn join(&mut self, one: usize, other: usize) {
        let (one, other) = (self.find(one), self.find(other));
        self.0[one] = other;
    }
}

/// Straight lines of the width of wires.
fn wires(sheet: &Sheet) -> Vec<(Point, Point)> {
    let mut found = Vec::new();
    for item in &sheet.scene.items {
        let Item::Path {
            segments,
            stroke: Some(stroke),
            ..
        } = item
        else {
            continue;
        };
        if (stroke.width - WIRE).abs() < 1e-9 {
            let points: Vec<Point> = segments
                .iter()
                .map(|segment| match *segment {
                    Segment::Move(x, y) | Segment::Line(x, y) => (x, y),
                    other => panic!("a wire is straight: {other:?}"),
                })
                .collect();
            found.extend(points.windows(2).map(|pair| (pair[0], pair[1])));
        }
    }
    found
}

/// Middles of filled discs without an outline: the dots of junctions.
fn dots(sheet: &Sheet) -> Vec<Point> {
    sheet
        .scene
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Path {
                segments,
                fill: Some(_),
                stroke: None,
            } => match segments.as_slice() {
                [
                    Segment::Move(right, y),
                    _,
                    Segment::Cubic(_, _, (left, _)),
                    ..,
                ] => Some((f64::midpoint(*left, *right), *y)),
                _ => None,
            },
            _ => None,
        })
        .collect()
}

fn labels(sheet: &Sheet) -> impl Iterator<Item = &Label> {
    sheet.scene.items.iter().filter_map(|item| match item {
        Item::Text(label) => Some(label),
        Item::Path { .. } => None,
    })
}

fn on((x, y): Point, (from, to): (Point, Point)) -> bool {
    let near = 0.01;
    x > from.0.min(to.0) - near
        && x < from.0.max(to.0) + near
        && y > from.1.min(to.1) - near
        && y < from.1.max(to.1) + near
}

fn same(one: Point, other: Point) -> bool {
    (one.0 - other.0).abs() < 0.01 && (one.1 - other.1).abs() < 0.01
}

/// Pin → island, with the nets' names that stand on islands.
fn islands(name: &str, sheets: &[Sheet]) -> (Islands, BTreeMap<(String, String), usize>) {
    let mut islands = Islands::default();
    let mut named: BTreeMap<String, usize> = BTreeMap::new();
    let mut pins = BTreeMap::new();
    for sheet in sheets {
        let wires: Vec<(Point, Point, usize)> = wires(sheet)
            .into_iter()
            .map(|(from, to)| (from, to, islands.add()))
            .collect();
        let dots = dots(sheet);
        for (index, (from, to, one)) in wires.iter().enumerate() {
            for (start, end, other) in &wires[index + 1..] {
                // Ends touch, or an end stands on the other wire.
                let mut touches = [from, to].iter().any(|at| on(**at, (*start, *end)))
                    || [start, end].iter().any(|at| on(**at, (*from, *to)));
                touches |= dots
                    .iter()
                    .any(|dot| on(*dot, (*from, *to)) && on(*dot, (*start, *end)));
                if touches {
                    islands.join(*one, *other);
                }
            }
        }
        let at_point = |islands: &mut Islands, at: Point| {
            let here = islands.add();
            for (from, to, wire) in &wires {
                if on(at, (*from, *to)) {
                    islands.join(here, *wire);
                }
            }
            here
        };
        for pin in &sheet.pins {
            let here = at_point(&mut islands, pin.at);
            for other in &sheet.pins {
                let known = pins.get(&(other.part.clone(), other.terminal.clone()));
                if let Some(known) = known.filter(|_| same(pin.at, other.at)) {
                    islands.join(here, *known);
                }
            }
            let before = pins.insert((pin.part.clone(), pin.terminal.clone()), here);
            assert!(before.is_none(), "{name}: {pin:?} is drawn twice");
        }
        let mut flags: Vec<(String, Point)> = sheet.flags.clone();
        for (words, at) in &sheet.flags {
            let near = |label: &&Label| {
                label.text == *words
                    && (label.at.0 - at.0).abs() < 12.0
                    && (label.at.1 - at.1).abs() < 12.0
            };
            assert!(
                labels(sheet).any(|label| near(&label)),
                "{name}: the flag of {words} carries no name"
            );
        }
        flags.extend(sheet.grounds.iter().map(|at| ("gnd".to_owned(), *at)));
        for (words, at) in flags {
            let here = at_point(&mut islands, at);
            match named.get(&words) {
                Some(known) => islands.join(here, *known),
                None => {
                    named.insert(words, here);
                }
            }
        }
    }
    (islands, pins)
}

/// Every pin of every part is drawn, and joined to all of its net and to nothing else.
fn assert_true_to(name: &str, design: &Design, sheets: &[Sheet]) {
    let (islands, pins) = islands(name, sheets);
    let mut nets: BTreeMap<&str, BTreeSet<usize>> = BTreeMap::new();
    let mut owner: BTreeMap<usize, &str> = BTreeMap::new();
    for part in design.parts.values() {
        for (terminal, net) in &part.terminals {
            if net == "nc" {
                continue;
            }
            let key = (part.reference.clone(), terminal.clone());
            let Some(pin) = pins.get(&key) else {
                panic!("{name}: {}.{terminal} is not drawn", part.reference)
            };
            let island = islands.find(*pin);
            nets.entry(net).or_default().insert(island);
            let before = owner.insert(island, net);
            assert!(
                before.is_none_or(|before| before == net),
                "{name}: {}.{terminal} on {net} is drawn joined to {before:?}",
                part.reference
            );
        }
    }
    for (net, found) in nets {
        assert_eq!(found.len(), 1, "{name}: {net} is drawn in pieces");
    }
    for sheet in sheets {
        assert_eq!(sheet.lost, 0, "{name}: pins that nothing reaches");
    }
}

// ---- what covers what ----------------------------------------------------------------------

fn area(label: &Label, fonts: &Fonts) -> Area {
    let width = fonts.width(label.face, label.size, &label.text);
    let left = match label.anchor {
        Anchor::Start => label.at.0,
        Anchor::Middle => label.at.0 - width / 2.0,
        Anchor::End => label.at.0 - width,
    };
    let metrics = fonts.metrics(label.face);
    [
        left,
        label.at.1 - metrics.cap_height * label.size,
        left + width,
        label.at.1,
    ]
}

fn overlap(one: Area, other: Area) -> bool {
    let slack = 0.05;
    one[0] < other[2] - slack
        && other[0] < one[2] - slack
        && one[1] < other[3] - slack
        && other[1] < one[3] - slack
}

fn within(inner: Area, outer: Area) -> bool {
    inner[0] >= outer[0] - 0.05
        && inner[1] >= outer[1] - 0.05
        && inner[2] <= outer[2] + 0.05
        && inner[3] <= outer[3] + 0.05
}

fn assert_legible(name: &str, sheets: &[Sheet], fonts: &Fonts) {
    for sheet in sheets {
        assert!(sheet.scene.width <= ROOM.width, "{name}: too wide");
        assert!(sheet.scene.height <= ROOM.height, "{name}: too tall");
        let page = [0.0, 0.0, sheet.scene.width, sheet.scene.height];
        let words: Vec<(&Label, Area)> = labels(sheet)
            .map(|label| (label, area(label, fonts)))
            .collect();
        for (index, (label, one)) in words.iter().enumerate() {
            assert!(label.size >= 6.0, "{name}: “{}” is too small", label.text);
            assert!(
                within(*one, page),
                "{name}: “{}” at {one:?} leaves the sheet {page:?}",
                label.text
            );
            for (other_label, other) in &words[index + 1..] {
                assert!(
                    !overlap(*one, *other),
                    "{name}: “{}” lies over “{}” at {one:?}",
                    label.text,
                    other_label.text
                );
            }
            for body in &sheet.bodies {
                // What stands in a symbol belongs to it.
                assert!(
                    !overlap(*one, *body) || within(*one, *body),
                    "{name}: “{}” at {one:?} lies over a symbol at {body:?}",
                    label.text
                );
            }
            for (from, to) in wires(sheet) {
                let line = [
                    from.0.min(to.0) - 0.3,
                    from.1.min(to.1) - 0.3,
                    from.0.max(to.0) + 0.3,
                    from.1.max(to.1) + 0.3,
                ];
                assert!(
                    !overlap(*one, line),
                    "{name}: a wire at {line:?} runs through “{}” at {one:?}",
                    label.text
                );
            }
        }
        for (index, one) in sheet.bodies.iter().enumerate() {
            assert!(within(*one, page), "{name}: a symbol leaves the sheet");
            for other in &sheet.bodies[index + 1..] {
                assert!(
                    !overlap(*one, *other),
                    "{name}: symbols at {one:?} and {other:?} lie over each other"
                );
            }
        }
    }
}

/// Draws, looks, and gives crossings and bends.
fn checked(name: &str, design: &Design) -> (usize, usize) {
    let fonts = Fonts::new();
    let sheets = draw(design, ROOM, &fonts);
    show(name, &sheets, &fonts);
    assert_true_to(name, design, &sheets);
    assert_legible(name, &sheets, &fonts);
    let crossings = sheets.iter().map(|sheet| sheet.crossings).sum();
    let bends = sheets.iter().map(|sheet| sheet.bends).sum();
    println!(
        "{name}: {} parts on {} sheets, {crossings} crossings, {bends} bends",
        design.parts.len(),
        sheets.len()
    );
    (crossings, bends)
}

#[test]
fn shipped_designs() {
    // The bounds are what was reached and looked at; a change may not make them worse unseen.
    for (name, most_crossings, most_bends) in [
        ("tide-lever", 0, 18),
        ("fog-fader", 2, 14),
        ("moth-lamp", 0, 4),
        ("borrowed-treadle", 6, 50),
    ] {
        let (crossings, bends) = checked(name, &shipped(name));
        assert!(crossings <= most_crossings, "{name}: {crossings} crossings");
        assert!(bends <= most_bends, "{name}: {bends} bends");
    }
}

#[test]
fn the_same_design_gives_the_same_picture() {
    let fonts = Fonts::new();
    let svg = || -> Vec<String> {
        draw(&shipped("fog-fader"), ROOM, &fonts)
            .iter()
            .map(|sheet| sheet.scene.to_svg())
            .collect()
    };
    assert_eq!(svg(), svg());
}

/// Parts that the design's `layout` names stand in its order from left to right; the rest of the
/// drawing stays true and legible.
#[test]
fn a_design_may_order_its_parts() {
    let text = |layout: &str| {
        format!(
            "preplug: design/1\ntitle: Ladder\nconditions: {{ambient: 20..30 °C}}\n{layout}parts:\n  BT1: {{kind: battery, fresh: 9 V, flat: 7 V, current: 1 A, nets: {{positive: v, negative: gnd}}}}\n  R1: {{kind: resistor, value: 1 kΩ, nets: {{a: v, b: gnd}}}}\n  R2: {{kind: resistor, value: 2 kΩ, nets: {{a: v, b: gnd}}}}\n  R3: {{kind: resistor, value: 3 kΩ, nets: {{a: v, b: gnd}}}}\n"
        )
    };
    let order = |layout: &str| {
        let design = written("ladder", &text(layout));
        checked("ladder", &design);
        let sheets = draw(&design, ROOM, &Fonts::new());
        let mut places: Vec<(f64, String)> = Vec::new();
        for pin in sheets.iter().flat_map(|sheet| &sheet.pins) {
            if pin.terminal == "a" {
                places.push((pin.at.0, pin.part.clone()));
            }
        }
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        places.into_iter().map(|(_, part)| part).collect::<Vec<_>>()
    };
    assert_eq!(order(""), ["R1", "R2", "R3"]);
    assert_eq!(order("layout: [R3, R1]\n"), ["R3", "R2", "R1"]);
    assert_eq!(order("layout: [R2, R3, R1]\n"), ["R2", "R3", "R1"]);
}

#[test]
fn generated_designs() {
    for count in [5, 30, 100] {
        for seed in 1..=6 {
            let name = format!("generated-{count}-{seed}");
            let design = written(&name, &generated(count, seed));
            let parts = design.parts.len();
            let (crossings, bends) = checked(&name, &design);
            assert!(crossings <= parts, "{name}: {crossings} crossings");
            assert!(bends <= 3 * parts, "{name}: {bends} bends");
        }
    }
}

/// One part of every kind, so that each has a symbol and is joined as the design says.
const EVERY_KIND: &str = "
preplug: design/1
title: One of each
conditions:
  mains: {voltage: 230 V ± 10 %, frequency: 50 Hz}
  ambient: 5..35 °C
parts:
  PS1: {kind: ac-adaptor, output: 12 V, current: 500 mA, class: II, nets: {live: ac, common: gnd}}
  PS2: {kind: dc-adaptor, output: 12 V, current: 500 mA, regulated: true, class: II, nets: {positive: dc, negative: gnd}}
  BT1: {kind: battery, fresh: 9.6 V, flat: 6 V, nets: {positive: cell, negative: gnd}}
  T1: {kind: transformer, where: outside, output: 24 V, current: 500 mA, primary: 230 V, nets: {primary1: live, primary2: neutral, secondary1: s1, centre: gnd, secondary2: s2}}
  J9: {kind: connector, nets: {L: live, N: neutral}}
  F1: {kind: fuse, current: 500 mA, nets: {a: ac, b: fused}}
  PTC1: {kind: ptc, type: PTC-60V-025, nets: {a: dc, b: safe}}
  D1: {type: 1N4004, nets: {anode: fused, cathode: raw}}
  BR1: {type: W04, nets: {ac1: s1, ac2: s2, positive: up, negative: down}}
  C1: {kind: electrolytic, value: 470 µF, rating: 35 V, nets: {positive: raw, negative: gnd}}
  C2: {kind: tantalum, value: 10 µF, rating: 35 V, nets: {positive: up, negative: gnd}}
  C3: {kind: ceramic, value: 100 nF, rating: 50 V, nets: {a: down, b: gnd}}
  C4: {kind: film, value: 100 nF, rating: 63 V, nets: {a: safe, b: gnd}}
  L1: {kind: inductor, value: 100 µH, resistance: 1 Ω, nets: {a: raw, b: still}}
  U1: {type: 7812, package: TO-220, pins: {1: still, 2: gnd, 3: rail}}
  U2: {type: LM317, package: TO-220, nets: {in: up, out: set, adjust: adj}}
  R1: {kind: resistor, value: 240 Ω, nets: {a: set, b: adj}}
  R2: {kind: resistor, value: 1 kΩ, nets: {a: adj, b: gnd}}
  U4: {type: 7912, package: TO-220, pins: {1: gnd, 2: down, 3: low}}
  R3: {kind: resistor, value: 1 kΩ, nets: {a: rail, b: reference}}
  U5: {type: TL431, package: TO-92, nets: {anode: gnd, cathode: reference, reference: reference}}
  U7: {type: PC817, package: DIP-4, nets: {anode: clamped, cathode: gnd, collector: rail, emitter: lit}}
  R7: {kind: resistor, value: 10 kΩ, nets: {a: lit, b: gnd}}
  Z1: {kind: zener, value: 5.1 V, nets: {anode: gnd, cathode: clamped}}
  TVS1: {kind: transient-suppressor, value: 15 V, nets: {a: clamped, b: gnd}}
  NTC1: {kind: thermistor, value: 10 kΩ, beta: 3950 K, nets: {a: rail, b: clamped}}
  RV1: {kind: potentiometer, value: 10 kΩ, law: linear, control: Knob, nets: {cw: rail, wiper: wiper, ccw: low}}
  S1: {kind: sensor, resistance: 2..200 kΩ, control: Shade, nets: {a: wiper, b: gnd}}
  U6: {type: LM358, package: DIP-8, units: {A: {plus: wiper, minus: o1, out: o1}, B: {plus: clamped, minus: fb, out: o2}}, nets: {supply+: rail, supply-: low}}
  R4: {kind: resistor, value: 10 kΩ, nets: {a: o2, b: fb}}
  R5: {kind: resistor, value: 10 kΩ, nets: {a: fb, b: gnd}}
  Q1: {type: 2N3904, package: TO-92, nets: {base: o1, collector: rail, emitter: e1}}
  Q2: {type: 2N3906, package: TO-92, nets: {base: o1, collector: low, emitter: e1}}
  M1: {kind: mosfet, polarity: n-channel, drain-voltage: 60 V, resistance: 5 Ω, nets: {gate: o2, drain: coil, source: gnd}}
  K1: {kind: relay, value: 12 V, resistance: 400 Ω, nets: {coil1: rail, coil2: coil}, poles: {A: {common: e1, throws: [out, nc]}, B: {common: lit, throws: [nc, rail]}}}
  LED1: {kind: led, colour: green, nets: {anode: lit, cathode: glow}}
  LA1: {kind: lamp, voltage: 6 V, current: 50 mA, nets: {a: glow, b: gnd}}
  SW1: {kind: switch, control: Mode, positions: [a, b], poles: {A: {common: o2, throws: [link, out]}}}
  W1: {kind: wire-link, nets: {a: link, b: cell}}
  X1: {kind: load, current: 0..20 mA, nets: {a: set, b: gnd}}
  J1: {kind: jack, contacts: TRS, nets: {tip: out, ring: e1, sleeve: gnd, tip-normal: rail}}
  P1: {kind: plug, contacts: TS, nets: {tip: out, sleeve: gnd}}
isolated: [live]
test-points: {TP1: raw, TP2: rail, TP3: out}
";

#[test]
fn every_kind_has_its_symbol() {
    let design = written("every-kind", EVERY_KIND);
    for kind in Kind::ALL {
        assert!(
            design.parts.values().any(|part| part.kind == *kind),
            "{} is not drawn",
            kind.key()
        );
    }
    checked("every-kind", &design);
}
