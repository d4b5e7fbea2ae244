//! Designs read, and designs refused.

use super::schema::{ROWS, row};
use super::*;
use crate::catalogue::{Kind, Pedigree, Property};
use crate::source::{Diagnostic, PrintStyle, print};

fn read_text(text: &str) -> Result<Read, Box<Refused>> {
    read("box/design.yaml", &|path| match path {
        "box/design.yaml" => Ok(text.as_bytes().to_vec()),
        "instruments/rack.yaml" => Ok(RACK.as_bytes().to_vec()),
        "box/pedal.yaml" => Ok(PEDAL.as_bytes().to_vec()),
        _ => Err("no such file".to_owned()),
    })
}

const RACK: &str = "\
preplug: instrument/1
title: Rack
inputs:
  bend:
    contacts: TS
    signal: tip
    accepts: {range: -5..5 V, source: manual}
    survives: {range: -15..15 V, source: guessed}
    impedance: {value: 100 kΩ, source: measured 2026-01-02}
    supply: {contact: tip, voltage: 5 V, through: 10 kΩ, sinks: false}
";

const PEDAL: &str = "\
preplug: controller/1
title: Treadle
contacts: TRS
element: 10 kΩ
wirings:
  - {name: wiper on tip, top: ring, wiper: tip, bottom: sleeve}
  - {name: wiper on ring, top: tip, wiper: ring, bottom: sleeve}
";

/// A design around a few lines of parts, with a battery so that `gnd` is there.
fn around(parts: &str) -> String {
    format!(
        "preplug: design/1\ntitle: Probe\nparts:\n  BT1: {{kind: battery, fresh: 9.6 V, flat: 6 V, nets: {{positive: v+, negative: gnd}}}}\n  R9: {{kind: resistor, value: 1k, nets: {{a: v+, b: gnd}}}}\n{parts}"
    )
}

fn good(text: &str) -> Read {
    read_text(text).unwrap_or_else(|refused| {
        panic!(
            "{}",
            print(
                &refused.diagnostics,
                &refused.sources,
                PrintStyle::default()
            )
        )
    })
}

fn faults(text: &str) -> Vec<Diagnostic> {
    match read_text(text) {
        Ok(read) => read.warnings,
        Err(refused) => refused.diagnostics,
    }
}

fn codes(text: &str) -> Vec<&'static str> {
    faults(text).iter().map(|fault| fault.code).collect()
}

#[test]
fn every_kind_has_its_row() {
    for (row, kind) in ROWS.iter().zip(Kind::ALL) {
        assert_eq!(row.kind, *kind);
    }
    assert_eq!(ROWS.len(), Kind::ALL.len());
    for row in ROWS {
        let mut keys = row.keys();
        let count = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), count, "{:?} has a key twice", row.kind);
    }
}

#[test]
fn every_type_of_the_catalogue_gives_what_its_kind_takes() {
    let mut strange = Vec::new();
    for entry in crate::catalogue::types() {
        let row = row(entry.kind);
        let packages = entry.packages.values().flat_map(|p| p.figures.keys());
        for property in entry.figures.keys().chain(packages) {
            if !row.figures().any(|own| own == *property) {
                strange.push(format!("{}: {}", entry.name, property.key()));
            }
        }
        for package in entry.packages.values() {
            for function in package.pins.values().filter(|f| *f != "nc") {
                let known = match row.wiring {
                    schema::Wiring::Terminals(sets) => sets.iter().any(|set| {
                        set.required
                            .iter()
                            .chain(set.optional)
                            .any(|t| t == function)
                    }),
                    schema::Wiring::Units { shared, each } => {
                        let last = function.rsplit('.').next().unwrap_or_default();
                        shared.contains(&function.as_str()) || each.contains(&last)
                    }
                    _ => true,
                };
                if !known {
                    strange.push(format!("{}: {function}", entry.name));
                }
            }
        }
    }
    assert_eq!(strange, [""; 0]);
}

fn shipped(path: &str) -> Read {
    read(path, &|path| {
        std::fs::read(path).map_err(|error| error.to_string())
    })
    .unwrap_or_else(|refused| {
        panic!(
            "{}",
            print(
                &refused.diagnostics,
                &refused.sources,
                PrintStyle::default()
            )
        )
    })
}

#[test]
fn every_shipped_design_is_read() {
    for name in ["tide-lever", "fog-fader", "moth-lamp", "borrowed-treadle"] {
        let read = shipped(&format!("reviews/{name}/design.yaml"));
        let warnings = print(&read.warnings, &read.sources, PrintStyle::default());
        if name != "borrowed-treadle" {
            assert_eq!(warnings, "", "{name}");
        }
    }
}

#[test]
fn the_shipped_design_is_read_whole() {
    let read = shipped("reviews/tide-lever/design.yaml");
    assert_eq!(read.warnings, []);
    let design = read.design;
    assert_eq!(design.title, "Tide lever");
    let regulator = &design.parts["U2"];
    assert_eq!(regulator.kind, Kind::Regulator);
    assert_eq!(regulator.word("polarity"), Some("negative"));
    assert_eq!(regulator.net("in"), Some("raw-"));
    assert_eq!(regulator.net("out"), Some("rail-"));
    assert_eq!(regulator.pins["2"], "raw-");
    let capacitor = design.parts["C1"].figure(Property::Value).unwrap();
    assert!((capacitor.spread.nominal - 1e-3).abs() < 1e-15);
    assert!(!capacitor.tolerance_assumed);
    assert_eq!(design.nets[0], "gnd");
    assert_eq!(design.promises.len(), 5);
    assert_eq!(design.promises[2].text, "out spans -3.4..3.4 V over Lever");
    assert_eq!(design.test_points["TP5"], "out");
    let span = design.span("parts.C1.rating").unwrap();
    assert_eq!(read.sources.text(span), "35 V");
    assert_eq!(read.sources.text(design.span("parts.C1").unwrap()), "C1");
    assert!(design.span("promises.0").is_some() && design.span("connect.J1").is_some());
    let Connection::Instrument {
        instrument, input, ..
    } = &design.connections["J1"][0]
    else {
        panic!("an instrument");
    };
    assert!((instrument.inputs[input].accepts.spread.high - 5.0).abs() < 1e-12);
    assert_eq!(read.sources.files().count(), 2);
}

#[test]
fn defaults_are_marked_as_assumed() {
    let design = good(&around(
        "  C1: {kind: electrolytic, value: 100 µF, rating: 16 V, nets: {positive: v+, negative: gnd}}\n",
    ))
    .design;
    let value = design.parts["C1"].figure(Property::Value).unwrap();
    assert!(value.tolerance_assumed && value.spread.is_spread());
    let battery = design.parts["BT1"].figure(Property::Value).unwrap();
    assert_eq!((battery.spread.low, battery.spread.high), (6.0, 9.6));
    assert!(matches!(battery.pedigree, Pedigree::Derived(_)));
    assert!(design.conditions.ambient_assumed);
}

#[test]
fn a_swapped_regulator_is_caught_where_pins_and_nets_disagree() {
    let text = around(
        "  U1: {type: 78L05, package: TO-92, pins: {1: v+, 2: gnd, 3: r}, nets: {in: v+, ground: gnd, out: r}}\n  R1: {kind: resistor, value: 1k, nets: {a: r, b: gnd}}\n",
    );
    assert_eq!(
        codes(&text),
        ["pins-and-nets-differ", "pins-and-nets-differ"]
    );
    let agreed = text.replace("1: v+, 2: gnd, 3: r", "1: r, 2: gnd, 3: v+");
    assert_eq!(codes(&agreed), [""; 0]);
}

#[test]
fn switches_relays_and_op_amps_are_structured() {
    let design = good(&around(
        "  S1: {kind: switch, control: Polarity, positions: [up, off, down], poles: {A: {common: v+, throws: [x, nc, y]}}}
  R1: {kind: resistor, value: 1k, nets: {a: x, b: y}}
  R2: {kind: resistor, value: 1k, nets: {a: y, b: gnd}}
  K1: {kind: relay, value: 5 V, resistance: 167 Ω, nets: {coil1: v+, coil2: gnd}, poles: {A: {common: x, throws: [y, nc]}}}
  U1: {type: LM358, units: {A: {plus: x, minus: z, out: z}, B: {plus: gnd, minus: b, out: b}}, nets: {supply+: v+, supply-: gnd}}
promises:
  - {at: z, is: 0..5 V, when: {Polarity: up}}
",
    ))
    .design;
    let Structure::Contacts { positions, poles } = &design.parts["S1"].structure else {
        panic!("contacts");
    };
    assert_eq!(positions, &["up", "off", "down"]);
    assert_eq!(poles["A"].throws, ["x", "nc", "y"]);
    assert_eq!(design.parts["S1"].terminals["A.down"], "y");
    assert_eq!(design.parts["K1"].net("A.rest"), Some("y"));
    assert_eq!(design.parts["U1"].net("A.minus"), Some("z"));
    assert_eq!(
        design.parts["U1"].structure,
        Structure::Units(vec!["A".into(), "B".into()])
    );
    assert_eq!(design.promises[0].when["Polarity"], ["up"]);
}

#[test]
fn devices_keep_where_their_figures_came_from() {
    let design = good(&around(
        "  J1: {kind: jack, contacts: TS, nets: {tip: v+, sleeve: gnd}}
  J2: {kind: jack, contacts: TRS, nets: {tip: v+, ring: w, sleeve: gnd}}
  R1: {kind: resistor, value: 1k, nets: {a: w, b: gnd}}
connect:
  J1: [{instrument: ../instruments/rack.yaml, input: bend, cable: TS}]
  J2: {controller: pedal.yaml, cable: TRS}
",
    ))
    .design;
    let Connection::Instrument { instrument, .. } = &design.connections["J1"][0] else {
        panic!("an instrument");
    };
    let input = &instrument.inputs["bend"];
    assert_eq!(
        input.accepts.pedigree,
        Pedigree::Written(Some("manual".into()))
    );
    assert_eq!(
        input.survives.as_ref().unwrap().pedigree,
        Pedigree::Guessed(None)
    );
    assert_eq!(
        input.impedance.as_ref().unwrap().pedigree,
        Pedigree::Measured(Some("2026-01-02".into()))
    );
    assert!(input.impedance.as_ref().unwrap().tolerance_assumed);
    let Connection::Controller { controller, .. } = &design.connections["J2"][0] else {
        panic!("a controller");
    };
    assert_eq!(controller.wirings[1].wiper, "ring");
}

#[test]
fn five_mistakes_are_five_located_errors() {
    let text = around(
        "  R1: {kind: resistor, value: 4,7 kΩ, nets: {a: v+, b: gnd}}
  R2: {kind: resistr, value: 1k, nets: {a: v+, b: gnd}}
  C1: {kind: film, value: 100 nF, raiting: 50 V, nets: {a: v+, b: gnd}}
  D1: {type: 1N4004, nets: {anode: v+, kathode: gnd}}
  D2: {type: 1N4004, nets: {anode: v+, cathode: gnd}}
  D2: {type: 1N4004, nets: {anode: v+, cathode: gnd}}
",
    );
    let text = text.replacen("  D2: {type: 1N4004", "  D2: {type: 1N4O04", 1);
    let faults = faults(&text);
    let lines: Vec<(&str, usize)> = faults
        .iter()
        .map(|fault| (fault.code, fault.primary.as_ref().unwrap().span.start))
        .map(|(code, at)| (code, text[..at].matches('\n').count() + 1))
        .collect();
    assert_eq!(
        lines,
        [
            ("duplicate-key", 11),
            ("bad-quantity", 6),
            ("unknown-kind", 7),
            ("unknown-key", 8),
            ("unknown-terminal", 9),
            ("unknown-type", 10),
        ]
    );
}

#[test]
fn a_net_without_a_path_to_gnd_is_an_error_unless_declared() {
    let text = around(
        "  R1: {kind: resistor, value: 1k, nets: {a: x, b: y}}\n  R2: {kind: resistor, value: 1k, nets: {a: y, b: x}}\n",
    );
    assert_eq!(codes(&text), ["no-path-to-gnd"]);
    assert_eq!(codes(&format!("{text}isolated: [x, y]\n")), [""; 0]);
    let transformer = around(
        "  T1: {kind: transformer, where: outside, output: 9 V, va: 6 VA, nets: {primary1: line, primary2: neutral, a1: p, a2: gnd, b1: nc, b2: nc}}\n  R1: {kind: resistor, value: 1k, nets: {a: p, b: gnd}}\nconditions: {mains: {voltage: 230 V, frequency: 50 Hz}}\n",
    );
    assert!(!codes(&transformer).contains(&"no-path-to-gnd"));
}
