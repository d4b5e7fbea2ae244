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
