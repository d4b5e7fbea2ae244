use super::*;
use crate::dossier::block::{Block, Document, text};
use crate::dossier::layout::{Paper, lay_out};

fn document() -> Document {
    Document {
        info: Info {
            title: "Probe Ω".to_owned(),
            revision: "A".to_owned(),
            date: "2026-09-02".to_owned(),
            language: "en-GB".to_owned(),
            producer: "preplug".to_owned(),
            ..Info::default()
        },
        blocks: vec![
            Block::Heading {
                level: 1,
                text: text("First"),
                id: "first".to_owned(),
            },
            Block::Paragraph(text("10 kΩ ± 5 % at 25 °C, θ = 3 µm, AVATAR office")),
        ],
        attachments: vec![Attachment {
            name: "design.yaml".to_owned(),
            description: "The design".to_owned(),
            media_type: "application/yaml".to_owned(),
            bytes: b"title: Probe\n".to_vec(),
        }],
    }
}

fn bytes() -> Vec<u8> {
    let (document, fonts) = (document(), Fonts::new());
    let laid = lay_out(&document, Paper::A4, &fonts);
    write(&laid, &document.info, &document.attachments, &fonts).unwrap()
}

#[test]
fn the_same_document_gives_the_same_bytes() {
    assert_eq!(bytes(), bytes());
}

#[test]
fn text_comes_out_as_it_went_in() {
    let pdf = lopdf::Document::load_mem(&bytes()).unwrap();
    let text = pdf.extract_text(&[1]).unwrap();
    let flat: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    assert!(flat.contains("10kΩ±5%at25°C,θ=3µm,AVATARoffice"), "{text}");
}

#[test]
fn the_file_says_its_language_and_makes_no_print_claim() {
    let bytes = bytes();
    let pdf = lopdf::Document::load_mem(&bytes).unwrap();
    let catalog = pdf.catalog().unwrap();
    assert_eq!(catalog.get(b"Lang").unwrap().as_str().unwrap(), b"en-GB");
    assert!(catalog.has(b"AF") && catalog.has(b"Outlines"));
    let info = pdf.trailer.get(b"Info").unwrap().as_reference().unwrap();
    let info = pdf.get_dictionary(info).unwrap();
    assert!(!info.has(b"GTS_PDFXVersion"));
    assert_eq!(
        info.get(b"CreationDate").unwrap().as_str().unwrap(),
        b"D:20260902000000Z"
    );
}

#[test]
fn every_font_is_embedded_and_cut_down() {
    let pdf = lopdf::Document::load_mem(&bytes()).unwrap();
    let fonts: Vec<_> = pdf
        .objects
        .values()
        .filter_map(|object| object.as_dict().ok())
        .filter(|dict| {
            dict.get(b"Type")
                .is_ok_and(|t| t.as_name().is_ok_and(|n| n == b"FontDescriptor"))
        })
        .collect();
    assert!(!fonts.is_empty());
    for font in fonts {
        assert!(font.has(b"FontFile2"));
        let name = font.get(b"FontName").unwrap().as_name().unwrap();
        assert_eq!(name[6], b'+', "{}", String::from_utf8_lossy(name));
    }
}

#[test]
fn attached_files_come_out_as_they_went_in() {
    assert_eq!(attachments(&bytes()).unwrap(), document().attachments);
    assert!(attachments(b"no PDF").is_err());
}

/// What a reader hears: the structure tree from its root, with the tags of its nodes.
fn heard(pdf: &lopdf::Document) -> Vec<String> {
    fn walk(pdf: &lopdf::Document, id: lopdf::ObjectId, out: &mut Vec<String>) {
        let element = pdf.get_dictionary(id).unwrap();
        let tag = element.get(b"S").unwrap().as_name().unwrap();
        let mut words = String::from_utf8_lossy(tag).into_owned();
        if let Ok(alt) = element.get(b"Alt") {
            words = format!("{words}: {}", lopdf::decode_text_string(alt).unwrap());
        }
        out.push(words);
        let kids = element.get(b"K").and_then(lopdf::Object::as_array);
        for kid in kids.into_iter().flatten() {
            if let Ok(id) = kid.as_reference() {
                walk(pdf, id, out);
            }
        }
    }
    let root = pdf.catalog().unwrap().get(b"StructTreeRoot").unwrap();
    let root = pdf.get_dictionary(root.as_reference().unwrap()).unwrap();
    let mut out = Vec::new();
    walk(
        pdf,
        root.get(b"K").unwrap().as_reference().unwrap(),
        &mut out,
    );
    out
}

#[test]
fn headings_tables_links_and_fields_can_be_heard() {
    use crate::dossier::block::{Align, Cell, Column, Row, Table, link};
    let mut document = document();
    document.blocks.push(Block::Table(Table {
        id: "steps".to_owned(),
        caption: text("To do."),
        columns: vec![
            Column::new("Do", Align::Left),
            Column::new("Done", Align::Left),
        ],
        rows: vec![Row::new([
            Cell::Text(vec![link("first", "see there")]),
            Cell::Tick,
        ])],
        ..Table::default()
    }));
    let fonts = Fonts::new();
    let laid = lay_out(&document, Paper::A4, &fonts);
    let bytes = write(&laid, &document.info, &[], &fonts).unwrap();
    let pdf = lopdf::Document::load_mem(&bytes).unwrap();
    assert_eq!(
        heard(&pdf),
        [
            "Document",
            "H1",
            "P",
            "Table",
            "Caption",
            "TR",
            "TH",
            "TH",
            "TR",
            "TD",
            "Link",
            "TD",
            "Form: Done see there",
        ]
    );
    let form = pdf.catalog().unwrap().get(b"AcroForm").unwrap();
    let form = pdf.get_dictionary(form.as_reference().unwrap()).unwrap();
    let fields = form.get(b"Fields").unwrap().as_array().unwrap();
    let field = pdf
        .get_dictionary(fields[0].as_reference().unwrap())
        .unwrap();
    assert_eq!(field.get(b"FT").unwrap().as_name().unwrap(), b"Btn");
    let name = field.get(b"T").unwrap();
    assert_eq!(lopdf::decode_text_string(name).unwrap(), "steps-1-2");
}

#[test]
fn every_mark_on_a_page_has_its_way_back_to_a_node() {
    let pdf = lopdf::Document::load_mem(&bytes()).unwrap();
    let (_, page) = pdf.get_pages().into_iter().next().unwrap();
    let content = pdf.get_page_content(page);
    let content = String::from_utf8_lossy(&content);
    let marked = content.matches("/MCID").count();
    assert!(marked >= 2, "{marked}");
    assert_eq!(
        content.matches("BDC").count() + content.matches("BMC").count(),
        content.matches("EMC").count()
    );
    let root = pdf.catalog().unwrap().get(b"StructTreeRoot").unwrap();
    let root = pdf.get_dictionary(root.as_reference().unwrap()).unwrap();
    let parents = root.get(b"ParentTree").unwrap().as_reference().unwrap();
    let parents = pdf.get_dictionary(parents).unwrap();
    let numbers = parents.get(b"Nums").unwrap().as_array().unwrap();
    assert_eq!(numbers[1].as_array().unwrap().len(), marked);
}
