//! A specimen of everything the document engine sets, written to the target's temporary folder so
//! that its pages can be looked at: `pdftoppm -r 80 -png target/tmp/specimen-a4.pdf page`.

use preplug::dossier::block::{
    Align, Block, Callout, Cell, CheckItem, Checklist, Column, Document, Figure, Gate, Gates, Info,
    Inline, MarginBar, Row, Signature, Status, Step, StepGroup, Steps, Table, Title, code,
    emphasis, link, strong, text,
};
use preplug::dossier::compose;
use preplug::dossier::font::Fonts;
use preplug::dossier::layout::Paper;
use preplug::dossier::plot::{Area, Axis, Band, Limit, Line, Plot};
use preplug::dossier::scene::{Anchor, Label, Rgb, Scene, Stroke};

const LONG_NAME: &str = "Fähr- und Bühnenmaschinenfernbedienungskästchen Nr. 12345 (B)";

fn heading(level: u8, words: &str, id: &str) -> Block {
    Block::Heading {
        level,
        text: text(words),
        id: id.to_owned(),
    }
}

fn prose(times: usize) -> Block {
    let sentence = "Raw ripple at full load and low mains leaves 1.9 V across the regulator, which \
                    needs 1.7 V to hold; the capacitor at its lower limit of 800 µF costs 0.4 V of \
                    that. ";
    let mut inlines = vec![
        strong("Rail budget."),
        Inline::Text(" The net ".to_owned()),
        code("raw+"),
        Inline::Text(" is ".to_owned()),
        emphasis("not"),
        Inline::Text(" regulated; see ".to_owned()),
        link("ratings", "the ratings"),
        Inline::Text(". ".to_owned()),
    ];
    inlines.push(Inline::Text(sentence.repeat(times)));
    Block::Paragraph(inlines)
}

fn ratings(rows: usize) -> Block {
    let statuses = [
        Status::Holds,
        Status::Holds,
        Status::Fails,
        Status::NotAssessed,
    ];
    let mut table = Table {
        id: "ratings".to_owned(),
        caption: text("Stress of every part against its rating, at the worst situation."),
        columns: vec![
            Column::new("Part", Align::Left),
            Column::new("Stress", Align::Left).share(1.0),
            Column::new("Applied", Align::Decimal),
            Column::new("Limit", Align::Decimal),
            Column::new("Used", Align::Decimal),
            Column::new("Margin", Align::Left),
            Column::new("Outcome", Align::Left),
        ],
        empty: "No part has a rating to check.".to_owned(),
        ..Table::default()
    };
    for index in 0..rows {
        let step = |of: usize| u8::try_from(index % of).map_or(0.0, f64::from);
        if index % 12 == 0 {
            table.rows.push(Row::group(format!("Group {}", index / 12)));
        }
        let status = statuses[index % 4];
        let ratio = match status {
            Status::Fails => 1.17 + step(5) * 0.1,
            Status::NotAssessed => f64::NAN,
            _ => 0.31 + step(7) * 0.07,
        };
        let applied = ratio * 35.0;
        let (applied, used) = if ratio.is_finite() {
            (format!("{applied:.1} V"), format!("{:.0} %", ratio * 100.0))
        } else {
            ("—".to_owned(), "—".to_owned())
        };
        table.rows.push(Row::new([
            Cell::code(format!("C{index}")),
            Cell::text(
                "Working voltage at high mains, unloaded, with the surge allowed by the series",
            ),
            Cell::text(applied),
            Cell::text("35 V"),
            Cell::text(used),
            Cell::Bar(MarginBar {
                ratio,
                derated: Some(0.8),
                status,
            }),
            Cell::Status(status, text(status.word())),
        ]));
    }
    Block::Table(table)
}

fn figure() -> Block {
    let ink = Rgb(0x1b, 0x1f, 0x23);
    let mut scene = Scene::new(440.0, 150.0);
    scene.rect((30.0, 10.0), (400.0, 110.0), Some(Rgb(244, 245, 246)), None);
    scene.polyline(
        &[(30.0, 120.0), (430.0, 20.0)],
        Stroke::solid(1.2, Rgb(0x12, 0x4e, 0x66)),
    );
    scene.circle((230.0, 70.0), 4.0, Some(ink), None);
    scene.label(Label::new((238.0, 74.0), "middle, 0 V", 8.0, ink));
    scene.label(Label::new((230.0, 138.0), "travel, %", 8.0, ink).anchored(Anchor::Middle));
    scene.label(
        Label::new((18.0, 70.0), "output, V", 8.0, ink)
            .anchored(Anchor::Middle)
            .turned(90.0),
    );
    Block::Figure(Figure {
        id: "transfer".to_owned(),
        scene,
        caption: text("Output over travel of the lever, every corner."),
        alt: "A rising line".to_owned(),
    })
}

fn waves(fonts: &Fonts) -> Block {
    let raw = |phase: f64| -> Vec<(f64, f64)> {
        (0..=4000)
            .map(|i| {
                let t = f64::from(i) / 100.0;
                let fall = (t + phase) % 20.0;
                (t, 19.4 - 0.11 * fall)
            })
            .collect()
    };
    let accent = Rgb(0x12, 0x4e, 0x66);
    let plot = Plot {
        width: 468.0,
        height: 190.0,
        x: Axis::over("time, ms", [0.0, 40.0], 0.0),
        y: Axis::over("voltage to gnd, V", [-3.0, 20.0], 0.04),
        bands: vec![Band {
            from: -5.0,
            to: 5.0,
            colour: Rgb(0xe8, 0xf1, 0xee),
            label: "accepted −5 … 5 V".to_owned(),
        }],
        areas: vec![Area {
            points: raw(0.0)
                .into_iter()
                .map(|(t, y)| (t, y - 1.0, y + 1.0))
                .collect(),
            colour: accent.tint(0.2),
        }],
        lines: vec![
            Line {
                points: raw(0.0),
                stroke: Stroke::solid(1.2, accent),
                label: "raw+".to_owned(),
            },
            Line {
                points: raw(9.0),
                stroke: Stroke::dashed(1.2, accent, &[3.0, 2.0]),
                label: "raw+, low mains".to_owned(),
            },
        ],
        limits: vec![Limit {
            y: 17.2,
            label: "drop-out 17.2 V".to_owned(),
            colour: Rgb(0xb0, 0x3a, 0),
        }],
    };
    Block::Figure(Figure {
        id: String::new(),
        scene: plot.draw(fonts),
        caption: text("The raw rail over two mains periods, nominal and at low mains."),
        alt: "Two saw-teeth".to_owned(),
    })
}

#[expect(
    clippy::too_many_lines,
    reason = "one document, read from top to bottom"
)]
fn specimen(fonts: &Fonts) -> Document {
    let gate = |name: &str, question: &str, open: bool, reasons: &[&str]| Gate {
        name: name.to_owned(),
        question: question.to_owned(),
        open,
        reasons: reasons.iter().map(|words| text(*words)).collect(),
    };
    let step = |action: &str, blank: Option<&str>| Step {
        action: text(action),
        meter: text("200 V DC, 10 MΩ"),
        expected: text("17.2 … 21.4 V"),
        stop: text("above 25 V, or any smell"),
        blank: blank.map(str::to_owned),
        ..Step::default()
    };
    let blocks = vec![
        Block::Title(Title {
            over: "Build dossier".to_owned(),
            title: LONG_NAME.to_owned(),
            purpose: text("One hand lever bends the drone oscillator three and a half volts up or down."),
            facts: vec![
                ("Revision".to_owned(), text("C")),
                ("Date".to_owned(), text("2026-09-02")),
                ("Author".to_owned(), text("Tin Whale Puppet Theatre workshop")),
                ("Licence".to_owned(), text("CC-BY-4.0")),
                ("Instrument".to_owned(), text("Drone rack, input pitch-bend, survives −15 … 15 V")),
            ],
        }),
        Block::Gates(Gates {
            gates: vec![
                gate("Power", "Safe to apply power?", true, &["Every rating holds at high mains, unloaded; the nearest is C1 at 74 %."]),
                gate("Plug", "Safe to connect to the instrument?", false, &["2 findings block it: output outside what the input survives; back-feed.", "1 line not assessed: the cable's capacitance."]),
                gate("Share", "Fit to hand to a stranger?", false, &["Plug is blocked."]),
            ],
            verdict: text("Power it on the bench. Do not plug it into the drone rack: with R3 open the output reaches 17.9 V, and the input survives 15 V. A series resistor of 10 kΩ would contain it."),
        }),
        Block::PageBreak,
        Block::Heading { level: 3, text: text("Contents"), id: String::new() },
        Block::Contents,
        heading(1, "Cautions", "cautions"),
        Block::Callout { id: String::new(), kind: Callout::Danger, title: text("Mains"), blocks: vec![prose(1)] },
        Block::Callout { id: String::new(), kind: Callout::Caution, title: text("Stored charge"), blocks: vec![prose(1), Block::List { ordered: true, items: vec![vec![prose(1)], vec![prose(1)]] }] },
        Block::Callout { id: String::new(), kind: Callout::Note, title: Vec::new(), blocks: vec![prose(2)] },
        heading(1, "How it works", ""),
        heading(2, "Rails and the regulators that make them out of what the adaptor gives", ""),
        prose(4),
        figure(),
        waves(fonts),
        heading(2, "Output", ""),
        prose(3),
        heading(1, "Ratings", ""),
        ratings(40),
        heading(1, "Long and empty", ""),
        Block::Table(Table {
            caption: text("An empty table."),
            columns: vec![Column::new("Check", Align::Left), Column::new("What is wrong", Align::Left).share(1.0)],
            empty: "No findings.".to_owned(),
            ..Table::default()
        }),
        Block::Table(Table {
            caption: text("Long words and a tall row."),
            columns: vec![Column::new("Part", Align::Left), Column::new("Net", Align::Left), Column::new("Remark", Align::Left)],
            rows: vec![
                Row::new([Cell::code("RV1"), Cell::code("unregulated_positive_rail_after_the_first_filter_capacitor"), Cell::text(LONG_NAME)]),
                Row::new([Cell::code("U1"), Cell::text("Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft".repeat(2)), Cell::text("x".repeat(200))]),
                Row::new([Cell::code("U2"), Cell::empty(), Cell::text("A tall row. ".repeat(150))]),
            ],
            ..Table::default()
        }),
        heading(1, "Bring-up", ""),
        Block::Steps(Steps {
            groups: vec![
                StepGroup { title: "Cold, nothing connected".to_owned(), before: text("Discharge C1 and C2 first: below 1 V after 40 s."), steps: (0..4).map(|_| step("Measure from TP1 to the enclosure", Some("Ω"))).collect() },
                StepGroup { title: "First power".to_owned(), before: Vec::new(), steps: (0..12).map(|i| step("Measure the raw positive rail at TP1, black lead on the enclosure", (i % 3 > 0).then_some("V"))).collect() },
            ],
            ..Steps::default()
        }),
        Block::Stamped { stamp: "Demonstration".to_owned(), blocks: vec![heading(1, "Unit 001", ""), prose(2)] },
        heading(1, "Sign-off", ""),
        Block::Checklist(Checklist {
            items: (0..5).map(|i| CheckItem { text: text("The flat face of U2 looks toward the jack, as drawn."), belongs: text("power"), status: (i == 1).then_some(Status::Holds), signed: (i == 2).then(|| "M. Reed, 2026-09-03".to_owned()) }).collect(),
            signatures: vec![
                Signature { role: "Builder".to_owned(), signed: None },
                Signature { role: "Reviewer, gate plug".to_owned(), signed: Some(("A. Person".to_owned(), "2026-09-04".to_owned())) },
            ],
            ..Checklist::default()
        }),
        heading(1, "All outcomes", ""),
        ratings(500),
    ];
    Document {
        info: Info {
            title: LONG_NAME.to_owned(),
            revision: "C".to_owned(),
            author: "Tin Whale Puppet Theatre workshop".to_owned(),
            subject: "Build dossier".to_owned(),
            date: "2026-09-02".to_owned(),
            language: "en-GB".to_owned(),
            producer: format!("preplug {}", env!("CARGO_PKG_VERSION")),
            gates: vec![
                ("power".to_owned(), true),
                ("plug".to_owned(), false),
                ("share".to_owned(), false),
            ],
        },
        blocks,
        attachments: Vec::new(),
    }
}

#[test]
fn the_specimen_is_set_on_both_papers() {
    let fonts = Fonts::new();
    for (paper, name) in [(Paper::A4, "a4"), (Paper::Letter, "letter")] {
        let composed = compose(&specimen(&fonts), paper, &fonts).unwrap();
        assert!(composed.missing_characters.is_empty());
        assert!(composed.missing_targets.is_empty());
        assert!(composed.pages > 15, "{}", composed.pages);
        let path = format!("{}/specimen-{name}.pdf", env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(path, composed.bytes).unwrap();
    }
}
