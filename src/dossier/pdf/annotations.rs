//! Links and the fields of the form (ISO 32000-1, 12.5 and 12.7).
//!
//! What stands on paper is drawn on the page; a field lies over it, clear until it is filled in.

use lopdf::{Dictionary, Document, Object, ObjectId, Stream, text_string};

use super::finish::{dictionary, integer, name};
use super::marks::{Marks, What};

/// Adds links and fields to their pages; gives their objects in order, and the form if there is
/// one.
pub(super) fn add(
    document: &mut Document,
    marks: &Marks,
    pages: &[ObjectId],
    height: f64,
) -> (Vec<ObjectId>, Option<ObjectId>) {
    let mut looks = Looks::default();
    let mut fields = Vec::new();
    let mut ids = Vec::with_capacity(marks.annotations.len());
    let mut on_page: Vec<Vec<Object>> = vec![Vec::new(); pages.len()];
    for annotation in &marks.annotations {
        let [x, y, width, tall] = annotation.area;
        let bottom = height - y - tall;
        let rectangle = [x, bottom, x + width, bottom + tall].map(real).to_vec();
        let mut entries = match &annotation.what {
            What::Link { page, y } => link(pages.get(*page), height - y + 12.0),
            What::Field { tick, name, label } => {
                let mut field = if *tick {
                    let (off, on) = looks.tick(document, width, tall);
                    ticked(off, on)
                } else {
                    written(looks.line(document, width, tall), tall)
                };
                field.set("T", text_string(name));
                field.set("TU", text_string(label));
                field
            }
        };
        entries.set("Type", self::name("Annot"));
        entries.set("Rect", Object::Array(rectangle));
        if let Some(page) = pages.get(annotation.page) {
            entries.set("P", *page);
        }
        let id = document.add_object(entries);
        if matches!(annotation.what, What::Field { .. }) {
            fields.push(Object::Reference(id));
        }
        if let Some(page) = on_page.get_mut(annotation.page) {
            page.push(Object::Reference(id));
        }
        ids.push(id);
    }
    for (page, annotations) in pages.iter().zip(on_page) {
        if let Ok(page) = document.get_object_mut(*page).and_then(Object::as_dict_mut) {
            page.set("Annots", Object::Array(annotations));
        }
    }
    let form = (!fields.is_empty()).then(|| {
        // What is typed is set by the viewer in a face that every viewer has.
        let face = document.add_object(dictionary([
            ("Type", name("Font")),
            ("Subtype", name("Type1")),
            ("BaseFont", name("Helvetica")),
            ("Encoding", name("WinAnsiEncoding")),
        ]));
        let faces = dictionary([("Helv", Object::Reference(face))]);
        document.add_object(dictionary([
            ("Fields", Object::Array(fields)),
            ("DR", dictionary([("Font", faces)])),
            ("DA", Object::string_literal("/Helv 9 Tf 0 g")),
        ]))
    });
    (ids, form)
}

#[allow(clippy::cast_possible_truncation)]
fn real(value: f64) -> Object {
    Object::Real(((value * 100.0).round() / 100.0) as f32)
}

fn link(page: Option<&ObjectId>, top: f64) -> Dictionary {
    let target = page.map_or(Object::Null, |page| Object::Reference(*page));
    let place = vec![target, name("XYZ"), Object::Null, real(top), Object::Null];
    Dictionary::from_iter([
        ("Subtype", name("Link")),
        ("Border", Object::Array(vec![integer(0); 3])),
        ("F", integer(4)),
        ("Dest", Object::Array(place)),
    ])
}

fn ticked(off: ObjectId, on: ObjectId) -> Dictionary {
    let looks = dictionary([
        ("Off", Object::Reference(off)),
        ("Yes", Object::Reference(on)),
    ]);
    Dictionary::from_iter([
        ("Subtype", name("Widget")),
        ("FT", name("Btn")),
        ("F", integer(4)),
        ("AS", name("Off")),
        ("V", name("Off")),
        ("AP", dictionary([("N", looks)])),
    ])
}

fn written(clear: ObjectId, tall: f64) -> Dictionary {
    let size = (tall * 0.75).clamp(6.0, 9.0);
    Dictionary::from_iter([
        ("Subtype", name("Widget")),
        ("FT", name("Tx")),
        ("F", integer(4)),
        ("V", text_string("")),
        (
            "DA",
            Object::string_literal(format!("/Helv {size:.1} Tf 0 g")),
        ),
        ("AP", dictionary([("N", Object::Reference(clear))])),
    ])
}

/// Appearances, made once for each size.
#[derive(Default)]
struct Looks {
    made: Vec<((u64, u64, bool), ObjectId)>,
}

impl Looks {
    fn line(&mut self, document: &mut Document, width: f64, height: f64) -> ObjectId {
        self.look(document, width, height, false)
    }

    /// Clear, and with a tick across the box.
    fn tick(&mut self, document: &mut Document, width: f64, height: f64) -> (ObjectId, ObjectId) {
        (
            self.look(document, width, height, false),
            self.look(document, width, height, true),
        )
    }

    fn look(&mut self, document: &mut Document, width: f64, height: f64, on: bool) -> ObjectId {
        let key = (width.to_bits(), height.to_bits(), on);
        if let Some((_, id)) = self.made.iter().find(|(made, _)| *made == key) {
            return *id;
        }
        let content = if on {
            format!(
                "q 1.4 w 1 J 1 j {:.2} {:.2} m {:.2} {:.2} l {:.2} {:.2} l S Q",
                0.2 * width,
                0.5 * height,
                0.42 * width,
                0.24 * height,
                0.82 * width,
                0.8 * height
            )
        } else {
            String::new()
        };
        let corners = [0.0, 0.0, width, height].map(real).to_vec();
        let entries = Dictionary::from_iter([
            ("Type", name("XObject")),
            ("Subtype", name("Form")),
            ("BBox", Object::Array(corners)),
        ]);
        let id = document.add_object(Stream::new(entries, content.into_bytes()));
        self.made.push((key, id));
        id
    }
}
