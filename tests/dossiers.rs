//! The dossiers of the shipped designs with nothing computed: every number is *not assessed*, and
//! the document is still whole. They are written to the target's temporary folder to be looked at.
//! Awkward content must give good pages too: nothing outside the margins, no words over others.

mod generated;

use generated::generated;
use preplug::bringup::Meter;
use preplug::checks::Built;
use preplug::checks::Gate;
use preplug::design::{self, Design, Draws};
use preplug::dossier::block::{
    Align, Block, Callout, Cell, CheckItem, Checklist, Column, Document, Info, MarginBar, Photo,
    Row, Status, Steps, Table, Title, text,
};
use preplug::dossier::font::Fonts;
use preplug::dossier::layout::{Laid, Paper, Placed, Role, lay_out};
use preplug::dossier::photo;
use preplug::dossier::template::{self, SHIPPED, Templates};
use preplug::dossier::view::{self, Material};
use preplug::dossier::{Composed, compose, document};
use preplug::evidence::carlo::{Carlo, Quantity, Spreading};
use preplug::evidence::safe_area::safe_areas;
use preplug::evidence::{Curve, CurvePoint, Evidence, Recording, collect};
use preplug::review::{Change, Comparison, FindingChange, NetChange, PartChange, review};
use preplug::situations::Parameter;

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

/// Invented boxes, evenly between 4 V and 5 V.
fn drawn() -> Carlo {
    Carlo {
        draws: Draws::default(),
        quantities: 1,
        spreads: vec![Spreading {
            quantity: Quantity::Net("out".to_owned()),
            state: 0,
            nominal: 4.5,
            extremes: (3.9, 5.1),
            first_order: (0.29, true),
            shares: vec![(Parameter::Mains, 0.9)],
            values: (0..200).map(|i| 4.0 + f64::from(i) / 200.0).collect(),
            beyond: 0,
        }],
        unsolved: 0,
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

/// An invented comparison with an older revision.
fn changed() -> Comparison {
    Comparison {
        gates: [Gate::Power, Gate::Plug, Gate::Share].map(|gate| (gate, false, true)),
        parts: vec![PartChange {
            part: "R1".to_owned(),
            lines: vec![
                "value: 1 kΩ ± 5 % → 2.2 kΩ ± 5 %".to_owned(),
                "a on: in → out".to_owned(),
            ],
        }],
        nets: vec![NetChange {
            net: "out".to_owned(),
            old: [-4.0, 0.0, 4.0],
            new: [-3.0, 0.0, 3.0],
        }],
        findings: [Change::New, Change::Same, Change::Gone]
            .map(|change| FindingChange {
                change,
                check: "output-outside-accepted",
                place: "J1".to_owned(),
                gate: Gate::Share,
                what: "out reaches 5.10 V, and the input accepts 5 V.".to_owned(),
            })
            .into(),
    }
}

/// What `what` makes of a shipped design.
fn with_material<T>(name: &str, what: impl FnOnce(&Material, &Fonts) -> T) -> T {
    let path = format!("reviews/{name}/design.yaml");
    let load = |path: &str| std::fs::read(path).map_err(|error| error.to_string());
    let read = design::read(&path, &load)
        .unwrap_or_else(|refused| panic!("{name}: {:?}", refused.diagnostics));
    let mut evidence = Evidence::default();
    evidence.curves.push(curve());
    evidence.recordings.push(recording());
    evidence.carlo = Some(drawn());
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
        unit_gates: &[],
        learnt: &[],
        safe_areas: &[],
        across: &[],
        since: Some(("Older revision A", &changed())),
        fingerprint: &preplug::review::Fingerprint::default(),
        meter: &Meter::default(),
        photos: &[],
        date: "2026-09-02",
    };
    what(&material, &Fonts::new())
}

/// The dossier of a design as written, with the evidence that `collect` finds.
fn generated_dossier(text: &str, collect: fn(&Design) -> Evidence) -> Document {
    let load = |_: &str| Ok(text.as_bytes().to_vec());
    let read = design::read("design.yaml", &load)
        .unwrap_or_else(|refused| panic!("{:?}", refused.diagnostics));
    let evidence = collect(&read.design);
    // Switch-on and switch-off were followed wherever something was solved.
    let followed = evidence.excursion("raw").is_ok();
    assert!(followed || evidence.counts.solved == 0);
    let today = "2026-09-02";
    let material = Material {
        design: &read.design,
        sources: &read.sources,
        evidence: &evidence,
        review: &review(&read.design, &evidence, Built::default(), None, today),
        file: None,
        units: &[],
        unit_gates: &[],
        learnt: &[],
        safe_areas: &safe_areas(&read.design),
        across: &[],
        since: None,
        fingerprint: &preplug::review::Fingerprint::default(),
        meter: &Meter::default(),
        photos: &[],
        date: today,
    };
    document(&material, &Templates::shipped(), &Fonts::new())
        .unwrap_or_else(|errors| panic!("{errors:?}"))
}

/// Small and large, on both papers; written to the target's temporary folder to be looked at. The
/// largest has so many knobs that solving it takes minutes: of that one nothing is computed.
#[test]
fn generated_designs_become_whole_dossiers() {
    let nothing: fn(&Design) -> Evidence = |_| Evidence::default();
    for (count, collect) in [
        (5, collect as fn(&Design) -> _),
        (30, collect),
        (100, nothing),
    ] {
        let document = generated_dossier(&generated(count, 1), collect);
        for paper in [Paper::A4, Paper::Letter] {
            let laid = lay_out(&document, paper, &Fonts::new());
            assert_eq!(faults(&laid), [""; 0], "{count} parts, {paper:?}");
        }
        let composed = compose(&document, Paper::A4, &Fonts::new()).unwrap();
        assert_eq!(composed.missing_characters, [].into(), "{count} parts");
        assert_eq!(composed.missing_targets, [].into(), "{count} parts");
        let file = format!("{}/generated-{count}.pdf", env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(file, composed.bytes).unwrap();
    }
}

fn shipped(name: &str) -> Document {
    with_material(name, |material, fonts| {
        document(material, &Templates::shipped(), fonts)
            .unwrap_or_else(|errors| panic!("{errors:?}"))
    })
}

fn written(name: &str) -> Composed {
    compose(&shipped(name), Paper::A4, &Fonts::new()).unwrap_or_else(|error| panic!("{error}"))
}

fn of(blocks: Vec<Block>) -> Document {
    Document {
        info: Info {
            title: "Awkward".to_owned(),
            revision: "A".to_owned(),
            gates: vec![("power".to_owned(), false)],
            ..Info::default()
        },
        blocks,
        attachments: Vec::new(),
    }
}

/// What is wrong with the pages: runs of words outside the margins or over one another. The
/// boxes are those of the letters: 0.62 of the size up from the baseline, 0.1 down.
fn faults(laid: &Laid) -> Vec<String> {
    let [left, top, width, height] = laid.paper.column();
    let mut faults = Vec::new();
    for (page, items) in laid.pages.iter().enumerate() {
        let mut boxes: Vec<([f64; 4], String)> = Vec::new();
        for item in &items.items {
            let Placed::Glyphs(run) = item else { continue };
            let words: String = run.glyphs.iter().map(|glyph| &*glyph.text).collect();
            // A space at the end covers nothing.
            let blank = run.glyphs.iter().rev().take_while(|g| &*g.text == " ");
            let inked = run.glyphs.len() - blank.count();
            let span: f64 = run.glyphs[..inked]
                .iter()
                .map(|g| g.advance * run.size)
                .sum();
            if run.rotation != 0.0 || words.trim().is_empty() {
                continue;
            }
            let (x, y) = run.at;
            // Running heads, feet and stamps stand in the margins by design.
            let running = y < top - 4.0 || y > top + height + 4.0;
            if !running && (x < left - 0.1 || x + span > left + width + 0.6) {
                faults.push(format!("page {}: {words:?} sticks out", page + 1));
            }
            boxes.push((
                [x, y - 0.62 * run.size, x + span, y + 0.1 * run.size],
                words,
            ));
        }
        for (index, (a, one)) in boxes.iter().enumerate() {
            for (b, other) in &boxes[index + 1..] {
                let across = a[2].min(b[2]) - a[0].max(b[0]);
                let down = a[3].min(b[3]) - a[1].max(b[1]);
                if across > 0.6 && down > 0.6 {
                    faults.push(format!("page {}: {one:?} over {other:?}", page + 1));
                }
            }
        }
    }
    faults
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

#[test]
fn shipped_dossiers_keep_to_the_margins_and_no_words_cover_others() {
    for name in ["tide-lever", "fog-fader", "moth-lamp", "borrowed-treadle"] {
        let document = shipped(name);
        for paper in [Paper::A4, Paper::Letter] {
            let laid = lay_out(&document, paper, &Fonts::new());
            assert_eq!(faults(&laid), [""; 0], "{name}, {paper:?}");
        }
    }
}

#[test]
fn every_figure_says_what_it_shows_and_every_table_has_a_head() {
    let laid = lay_out(&shipped("tide-lever"), Paper::A4, &Fonts::new());
    let nodes = &laid.structure;
    let figures: Vec<_> = nodes.iter().filter(|n| n.role == Role::Figure).collect();
    assert!(figures.len() >= 3, "{}", figures.len());
    assert!(
        figures.iter().all(|figure| figure.alt.len() > 20),
        "{figures:?}"
    );
    for (index, _) in nodes
        .iter()
        .enumerate()
        .filter(|(_, n)| n.role == Role::Table)
    {
        let row = |node: usize| nodes[node].parent == Some(index);
        let head = nodes
            .iter()
            .any(|n| n.role == Role::Head && n.parent.is_some_and(row));
        assert!(head, "table {index}");
    }
    // All that is read belongs to a node that is there.
    let tags = laid.pages.iter().flat_map(|page| &page.items);
    for item in tags {
        if let Placed::Tag(Some(node)) = item {
            assert!(*node < nodes.len());
        }
    }
}

#[test]
fn each_section_renders_alone() {
    with_material("fog-fader", |material, fonts| {
        let mut view = view::view(material, fonts);
        for placeable in view.named.values_mut() {
            placeable.required = false;
        }
        let fields = serde_json::Value::Object(view.fields);
        for (path, words) in SHIPPED.iter().skip(1) {
            let main = ("dossier.md".to_owned(), words.as_bytes().to_vec());
            let templates = Templates::from_files([main]).unwrap();
            let blocks = template::render(&templates, &fields, &view.named)
                .unwrap_or_else(|errors| panic!("{path}: {errors:?}"));
            // No unit is on record here, so that section alone is empty.
            assert!(path.ends_with("units.md") || blocks.len() > 1, "{path}");
            let laid = lay_out(&of(blocks), Paper::A4, fonts);
            assert_eq!(faults(&laid), [""; 0], "{path}");
        }
    });
}

#[test]
fn awkward_content_gives_good_pages() {
    let long = "a-sixty-character-part-name-of-a-connector-with-many-variants";
    let unbroken = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamter".repeat(3);
    let table = |rows: usize| {
        Block::Table(Table {
            id: "many".to_owned(),
            caption: text(format!("{rows} rows of {unbroken}.")),
            columns: vec![
                Column::new("Part", Align::Left),
                Column::new("Value of this very long head", Align::Decimal),
                Column::new("Margin", Align::Left).fixed(66.0),
                Column::new("Reading", Align::Left).fixed(60.0),
                Column::new("Remark", Align::Left).share(1.0),
            ],
            rows: (0..rows)
                .map(|row| {
                    Row::new([
                        Cell::code(if row % 7 == 0 { long } else { "R1" }),
                        Cell::text(format!("{}.5 kΩ", row * row)),
                        Cell::Bar(MarginBar {
                            ratio: f64::from(u32::try_from(row % 30).unwrap()) / 10.0,
                            derated: Some(0.8),
                            status: Status::Holds,
                        }),
                        Cell::Blank("MΩ".to_owned()),
                        Cell::text(if row % 5 == 0 { unbroken.as_str() } else { "" }),
                    ])
                })
                .collect(),
            ..Table::default()
        })
    };
    let blocks = vec![
        Block::Title(Title {
            over: "Build dossier".to_owned(),
            title: unbroken.clone(),
            purpose: text("word ".repeat(120)),
            facts: vec![("Author".to_owned(), text(unbroken.as_str()))],
        }),
        Block::Heading {
            level: 1,
            text: text(unbroken.as_str()),
            id: String::new(),
        },
        Block::Callout {
            id: String::new(),
            kind: Callout::BlocksPower,
            title: text(unbroken.as_str()),
            blocks: vec![table(3)],
        },
        table(500),
        table(0),
        Block::Steps(Steps::default()),
        Block::Checklist(Checklist {
            items: vec![CheckItem {
                text: text(unbroken.as_str()),
                belongs: text(long),
                ..CheckItem::default()
            }],
            ..Checklist::default()
        }),
        Block::List {
            ordered: true,
            items: vec![vec![Block::Paragraph(text(unbroken.as_str()))], vec![]],
        },
    ];
    let document = of(blocks);
    for paper in [Paper::A4, Paper::Letter] {
        let laid = lay_out(&document, paper, &Fonts::new());
        assert_eq!(faults(&laid), [""; 0], "{paper:?}");
        let rows = laid
            .structure
            .iter()
            .filter(|n| n.role == Role::Row)
            .count();
        assert!(rows > 500);
    }
    compose(&document, Paper::A4, &Fonts::new()).unwrap();
}

#[test]
fn letters_that_no_font_has_are_named_and_the_rest_is_printed() {
    let title = |words: &str| {
        of(vec![Block::Title(Title {
            title: words.to_owned(),
            ..Title::default()
        })])
    };
    let composed = compose(&title("潮の桿 1"), Paper::A4, &Fonts::new()).unwrap();
    assert_eq!(composed.missing_characters, ['潮', 'の', '桿'].into());
    assert_eq!(composed.pages, 1);
    for words in ["Μοχλός, Рычаг, Łódź", "שלום", "رافعة"] {
        let composed = compose(&title(words), Paper::A4, &Fonts::new()).unwrap();
        assert_eq!(composed.missing_characters, [].into(), "{words}");
    }
}

#[test]
fn a_photo_stands_in_the_column_with_its_caption() {
    let mut bytes = Vec::new();
    let shade = |at: u32| u8::try_from(at % 256).unwrap();
    image::RgbImage::from_fn(900, 2400, |x, y| image::Rgb([shade(x), shade(y), 90]))
        .write_to(
            &mut std::io::Cursor::new(&mut bytes),
            image::ImageFormat::Png,
        )
        .unwrap();
    let ready = photo::prepare("box.png", &bytes).unwrap();
    let block = || {
        Block::Photo(Photo {
            jpeg: ready.jpeg.clone(),
            width: ready.width,
            height: ready.height,
            caption: text("The open box."),
            alt: "The open box from above".to_owned(),
        })
    };
    let document = of(vec![block(), block(), block()]);
    let laid = lay_out(&document, Paper::A4, &Fonts::new());
    let [left, top, width, height] = Paper::A4.column();
    let mut seen = 0;
    for item in laid.pages.iter().flat_map(|page| &page.items) {
        if let Placed::Photo {
            area: [x, y, w, h], ..
        } = item
        {
            assert!(*x >= left - 0.1 && x + w <= left + width + 0.1);
            assert!(*y >= top - 0.1 && y + h <= top + height + 0.1);
            assert!((h / w - 2400.0 / 900.0).abs() < 0.01);
            seen += 1;
        }
    }
    assert_eq!(seen, 3);
    let composed = compose(&document, Paper::A4, &Fonts::new()).unwrap();
    std::fs::write(
        format!("{}/photos.pdf", env!("CARGO_TARGET_TMPDIR")),
        composed.bytes,
    )
    .unwrap();
}
