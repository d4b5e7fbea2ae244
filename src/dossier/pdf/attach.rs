//! Files that ride inside the PDF (ISO 32000-1, 7.11.4), on their way in and back out.

use lopdf::{Dictionary, Document, Object, ObjectId, Stream, decode_text_string, text_string};

use super::Error;
use super::finish::{dictionary, name, writer};
use crate::dossier::block::Attachment;

/// Embeds the files; returns names and file specifications in the order of names.
pub(super) fn add(
    document: &mut Document,
    attachments: &[Attachment],
    date: Option<&str>,
) -> Vec<(String, ObjectId)> {
    let mut files: Vec<&Attachment> = attachments.iter().collect();
    files.sort_by(|a, b| a.name.cmp(&b.name));
    files
        .into_iter()
        .map(|file| {
            let size = i64::try_from(file.bytes.len()).unwrap_or(i64::MAX);
            let mut params = Dictionary::from_iter([("Size", Object::Integer(size))]);
            if let Some(date) = date {
                params.set("ModDate", text_string(date));
            }
            let entries = Dictionary::from_iter([
                ("Type", name("EmbeddedFile")),
                ("Subtype", name(&file.media_type)),
                ("Params", Object::Dictionary(params)),
            ]);
            let stream = document.add_object(Stream::new(entries, file.bytes.clone()));
            let embedded = dictionary([
                ("F", Object::Reference(stream)),
                ("UF", Object::Reference(stream)),
            ]);
            let specification = dictionary([
                ("Type", name("Filespec")),
                ("F", text_string(&file.name)),
                ("UF", text_string(&file.name)),
                ("Desc", text_string(&file.description)),
                ("AFRelationship", name("Source")),
                ("EF", embedded),
            ]);
            (file.name.clone(), document.add_object(specification))
        })
        .collect()
}

/// No attached file is read beyond this many bytes: a small file may unfold into a huge one.
const LARGEST: usize = 64 << 20;

/// The files inside a PDF, in the order of their names.
///
/// # Errors
/// [`Error::Writer`] if the bytes are no PDF or its list of files cannot be read.
pub fn attachments(pdf: &[u8]) -> Result<Vec<Attachment>, Error> {
    let document = Document::load_mem(pdf).map_err(writer)?;
    let catalog = document.catalog().map_err(writer)?;
    let mut found = Vec::new();
    let Ok(names) = look(&document, catalog, b"Names") else {
        return Ok(found);
    };
    let Ok(files) = look(&document, names, b"EmbeddedFiles") else {
        return Ok(found);
    };
    let list = files.get(b"Names").and_then(Object::as_array);
    for specification in list.map_err(writer)?.iter().skip(1).step_by(2) {
        let (_, specification) = document.dereference(specification).map_err(writer)?;
        let specification = specification.as_dict().map_err(writer)?;
        let words = |key: &[u8]| {
            specification
                .get(key)
                .and_then(decode_text_string)
                .unwrap_or_default()
        };
        let embedded = look(&document, specification, b"EF")?;
        let stream = embedded.get(b"F").map_err(writer)?;
        let (_, stream) = document.dereference(stream).map_err(writer)?;
        let stream = stream.as_stream().map_err(writer)?;
        let bytes = if stream.dict.has(b"Filter") {
            stream
                .decompressed_content_with_limit(LARGEST)
                .map_err(writer)?
        } else {
            stream.content.clone()
        };
        let media_type = stream.dict.get(b"Subtype").and_then(Object::as_name);
        found.push(Attachment {
            name: words(b"UF"),
            description: words(b"Desc"),
            media_type: String::from_utf8_lossy(media_type.unwrap_or_default()).into_owned(),
            bytes,
        });
    }
    Ok(found)
}

fn look<'a>(
    document: &'a Document,
    within: &'a Dictionary,
    key: &[u8],
) -> Result<&'a Dictionary, Error> {
    let (_, object) = within
        .get(key)
        .and_then(|object| document.dereference(object))
        .map_err(writer)?;
    object.as_dict().map_err(writer)
}
