use super::*;
use crate::dossier::block::{Align, Block, Cell, Column, Info, Row, Table, text};

fn laid(blocks: Vec<Block>, paper: Paper) -> Laid {
    let document = Document {
        info: Info {
            title: "Probe".to_owned(),
            ..Info::default()
        },
        blocks,
        attachments: Vec::new(),
    };
    lay_out(&document, paper, &Fonts::new())
}

fn heading(level: u8, words: &str) -> Block {
    Block::Heading {
        level,
        text: text(words),
        id: String::new(),
    }
}

fn table(rows: usize, words: &str) -> Block {
    Block::Table(Table {
        caption: text("Many rows."),
        columns: vec![
            Column::new("Part", Align::Left),
            Column::new("Remark", Align::Left).share(1.0),
        ],
        rows: (0..rows)
            .map(|row| Row::new([Cell::text(format!("R{row}")), Cell::text(words)]))
            .collect(),
        ..Table::default()
    })
}

fn words(page: &Page) -> Vec<String> {
    page.items
        .iter()
        .filter_map(|item| match item {
            Placed::Glyphs(run) => Some(run.glyphs.iter().map(|glyph| &*glyph.text).collect()),
            _ => None,
        })
        .collect()
}

#[test]
fn a_page_that_begins_inside_a_part_names_it_again() {
    let mut rows = vec![Row::new([Cell::text("U1"), Cell::text("first")])];
    rows.extend((0..100).map(|_| Row::new([Cell::text(""), Cell::text("more of it")])));
    let Block::Table(mut long) = table(0, "") else {
        unreachable!()
    };
    long.rows = rows;
    let laid = laid(vec![Block::Table(long)], Paper::A4);
    assert!(laid.pages.len() > 1);
    for (number, page) in laid.pages.iter().enumerate() {
        let all = words(page).join(" ");
        assert_eq!(all.contains("continued: U1"), number > 0, "{all}");
    }
}

#[test]
fn a_long_table_repeats_its_head_and_loses_no_row() {
    let laid = laid(vec![table(200, "some words")], Paper::A4);
    assert!(laid.pages.len() > 3);
    for page in &laid.pages {
        assert!(words(page).contains(&"Part".to_owned()));
    }
    for row in 0..200 {
        let name = format!("R{row}");
        let found = laid.pages.iter().filter(|page| words(page).contains(&name));
        assert_eq!(found.count(), 1, "{name}");
    }
}

#[test]
fn a_heading_never_stands_at_the_foot_of_a_page() {
    let paragraph =
        |sentences: usize| Block::Paragraph(text("A sentence of some length. ".repeat(sentences)));
    let mut blocks = Vec::new();
    for section in 0..60 {
        blocks.push(heading(
            1 + u8::from(section % 3 > 0),
            &format!("Section {section}"),
        ));
        blocks.push(paragraph(5 + section % 17));
    }
    let laid = laid(blocks, Paper::Letter);
    let [_, top, _, height] = Paper::Letter.column();
    assert_eq!(laid.outline.len(), 60);
    for mark in &laid.outline {
        assert!(mark.y + 45.0 < top + height, "{mark:?}");
    }
}

#[test]
fn nothing_sticks_out_of_the_column() {
    let long = "unbreakable".repeat(40);
    let laid = laid(
        vec![
            heading(1, &long),
            Block::Paragraph(text(long.as_str())),
            table(3, &long),
            table(2, &"words ".repeat(2000)),
        ],
        Paper::A4,
    );
    let [left, top, width, height] = Paper::A4.column();
    for run in laid.pages.iter().flat_map(|page| &page.items) {
        let Placed::Glyphs(run) = run else { continue };
        let span: f64 = run
            .glyphs
            .iter()
            .map(|glyph| glyph.advance * run.size)
            .sum();
        assert!(
            run.at.0 >= left - 0.1 && run.at.0 + span <= left + width + 0.6,
            "{run:?}"
        );
        assert!(run.at.1 > top - 40.0 && run.at.1 < top + height + 40.0);
    }
}

#[test]
fn contents_give_the_pages_on_which_sections_stand() {
    let mut blocks = vec![Block::Contents];
    for section in 0..5 {
        blocks.push(Block::PageBreak);
        blocks.push(heading(1, &format!("Section {section}")));
        let lines = (0..20).map(|_| Block::Paragraph(crate::dossier::block::text("A line.")));
        blocks.extend(lines);
    }
    let laid = laid(blocks, Paper::A4);
    assert!(laid.pages.len() > 4);
    let contents = words(&laid.pages[0]);
    for mark in &laid.outline {
        assert!(
            contents
                .iter()
                .any(|w| w.trim() == (mark.page + 1).to_string()),
            "{contents:?}"
        );
    }
    let links = laid.pages[0]
        .items
        .iter()
        .filter(|item| matches!(item, Placed::Link { .. }));
    assert_eq!(links.count(), 5);
    assert!(laid.missing_targets.is_empty());
}

#[test]
fn a_link_to_nowhere_is_reported() {
    let link = crate::dossier::block::link("nowhere", "there");
    let laid = laid(vec![Block::Paragraph(vec![link])], Paper::A4);
    assert_eq!(
        laid.missing_targets.into_iter().collect::<Vec<_>>(),
        ["nowhere"]
    );
}
