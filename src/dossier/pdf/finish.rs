//! What the PDF writer does not do: nested outline, language, stable identity; and calls for what
//! its neighbours add.

use lopdf::{Dictionary, Document, Object, ObjectId, StringFormat, text_string};
use rayon::prelude::*;
use sha2::{Digest, Sha256};

use super::marks::Marks;
use super::{Error, annotations, attach, structure};
use crate::dossier::block::{Attachment, Info};
use crate::dossier::layout::{Bookmark, Laid};

/// Finishes the file and gives its bytes.
pub(super) fn finish(
    mut document: Document,
    laid: &Laid,
    marks: &Marks,
    info: &Info,
    attachments: &[Attachment],
) -> Result<Vec<u8>, Error> {
    "1.7".clone_into(&mut document.version);
    let date = pdf_date(&info.date);
    let pages: Vec<ObjectId> = document.get_pages().into_values().collect();
    let outlines = outline(&mut document, laid, &pages);
    let (_, height) = laid.paper.size();
    let (placed, form) = annotations::add(&mut document, marks, &pages, height);
    let tree = structure::add(&mut document, marks, &pages, &placed);
    let files = attach::add(&mut document, attachments, date.as_deref());
    let catalog = document.catalog_mut().map_err(writer)?;
    catalog.set("Lang", text_string(&info.language));
    let shown = dictionary([("DisplayDocTitle", Object::Boolean(true))]);
    catalog.set("ViewerPreferences", shown);
    catalog.set("StructTreeRoot", tree);
    catalog.set("MarkInfo", dictionary([("Marked", Object::Boolean(true))]));
    if let Some(form) = form {
        catalog.set("AcroForm", form);
    }
    catalog.set("PageLayout", name("SinglePage"));
    if let Some(outlines) = outlines {
        catalog.set("Outlines", outlines);
        catalog.set("PageMode", name("UseOutlines"));
    }
    if !files.is_empty() {
        let references = files.iter().map(|(_, id)| Object::Reference(*id)).collect();
        catalog.set("AF", Object::Array(references));
        let names = files
            .iter()
            .flat_map(|(name, id)| [text_string(name), Object::Reference(*id)])
            .collect();
        let tree = dictionary([("Names", Object::Array(names))]);
        catalog.set("Names", dictionary([("EmbeddedFiles", tree)]));
    }
    describe(&mut document, date.as_deref())?;
    compress(&mut document);
    identify(&mut document);
    let mut bytes = Vec::new();
    // Object streams keep the many small objects of the structure small.
    document
        .save_modern(&mut bytes)
        .map_err(|error| Error::Writer(error.to_string()))?;
    Ok(bytes)
}

#[allow(clippy::needless_pass_by_value)]
pub(super) fn writer(error: lopdf::Error) -> Error {
    Error::Writer(error.to_string())
}

pub(super) fn name(word: &str) -> Object {
    Object::Name(word.as_bytes().to_vec())
}

pub(super) fn dictionary<const N: usize>(entries: [(&str, Object); N]) -> Object {
    Object::Dictionary(Dictionary::from_iter(entries))
}

pub(super) fn integer(count: usize) -> Object {
    Object::Integer(i64::try_from(count).unwrap_or(i64::MAX))
}

/// The document information: no claim of a print standard, dates only as given.
fn describe(document: &mut Document, date: Option<&str>) -> Result<(), Error> {
    let id = document
        .trailer
        .get(b"Info")
        .and_then(Object::as_reference)
        .map_err(writer)?;
    let info = document
        .get_object_mut(id)
        .and_then(Object::as_dict_mut)
        .map_err(writer)?;
    for key in ["GTS_PDFXVersion", "Trapped", "Identifier", "Keywords"] {
        info.remove(key.as_bytes());
    }
    for key in ["CreationDate", "ModDate"] {
        match date {
            Some(date) => info.set(key, text_string(date)),
            None => {
                info.remove(key.as_bytes());
            }
        }
    }
    Ok(())
}

/// `2026-09-02` as a PDF date, midnight UTC; `None` if it is not one.
fn pdf_date(date: &str) -> Option<String> {
    let figures: String = date.chars().filter(char::is_ascii_digit).collect();
    (figures.len() == 8 && date.len() == 10).then(|| format!("D:{figures}000000Z"))
}

/// The outline as a tree; returns its root.
fn outline(document: &mut Document, laid: &Laid, pages: &[ObjectId]) -> Option<ObjectId> {
    if laid.outline.is_empty() {
        return None;
    }
    let (_, height) = laid.paper.size();
    let root = document.new_object_id();
    let ids: Vec<ObjectId> = laid
        .outline
        .iter()
        .map(|_| document.new_object_id())
        .collect();
    let parents = parents(&laid.outline);
    let children = |parent: Option<usize>| -> Vec<usize> {
        (0..parents.len())
            .filter(|&index| parents[index] == parent)
            .collect()
    };
    for (index, mark) in laid.outline.iter().enumerate() {
        let siblings = children(parents[index]);
        let place = siblings
            .iter()
            .position(|&other| other == index)
            .unwrap_or(0);
        let mut entry = Dictionary::new();
        entry.set("Title", text_string(&mark.title));
        entry.set("Parent", parents[index].map_or(root, |parent| ids[parent]));
        if place > 0 {
            entry.set("Prev", ids[siblings[place - 1]]);
        }
        if let Some(&next) = siblings.get(place + 1) {
            entry.set("Next", ids[next]);
        }
        let inner = children(Some(index));
        if let (Some(&first), Some(&last)) = (inner.first(), inner.last()) {
            entry.set("First", ids[first]);
            entry.set("Last", ids[last]);
            // Negative: closed at first.
            let count = i64::try_from(inner.len()).unwrap_or(0);
            entry.set("Count", Object::Integer(-count));
        }
        if let Some(&page) = pages.get(mark.page) {
            #[allow(clippy::cast_possible_truncation)]
            let top = (height - mark.y + 12.0).round() as f32;
            let place = vec![
                Object::Reference(page),
                name("XYZ"),
                Object::Null,
                Object::Real(top),
                Object::Null,
            ];
            entry.set("Dest", Object::Array(place));
        }
        document.set_object(ids[index], entry);
    }
    let top = children(None);
    let mut tree = Dictionary::new();
    tree.set("Type", name("Outlines"));
    if let (Some(&first), Some(&last)) = (top.first(), top.last()) {
        tree.set("First", ids[first]);
        tree.set("Last", ids[last]);
    }
    tree.set("Count", i64::try_from(top.len()).unwrap_or(0));
    document.set_object(root, tree);
    Some(root)
}

/// For each bookmark the nearest one before it of a higher level.
fn parents(marks: &[Bookmark]) -> Vec<Option<usize>> {
    marks
        .iter()
        .enumerate()
        .map(|(index, mark)| {
            (0..index)
                .rev()
                .find(|&before| marks[before].level < mark.level)
                .filter(|_| mark.level > 1)
        })
        .collect()
}

fn compress(document: &mut Document) {
    document.objects.par_iter_mut().for_each(|(_, object)| {
        if let Object::Stream(stream) = object {
            // A stream that cannot be compressed is written as it is.
            let _ = stream.compress();
        }
    });
}

/// The file's identity: a digest of everything in it, so equal files are equal to the byte.
fn identify(document: &mut Document) {
    let mut digest = Sha256::new();
    for (id, object) in &document.objects {
        digest.update(id.0.to_be_bytes());
        match object {
            Object::Stream(stream) => digest.update(&stream.content),
            other => digest.update(format!("{other:?}").as_bytes()),
        }
    }
    let half = digest.finalize()[..16].to_vec();
    let id = Object::String(half, StringFormat::Hexadecimal);
    document
        .trailer
        .set("ID", Object::Array(vec![id.clone(), id]));
}
