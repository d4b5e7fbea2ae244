//! The build dossier: from blocks to PDF bytes.
//!
//! ```text
//! view model + templates → Document (blocks) → Laid (pages of placed items) → PDF bytes
//! ```
//!
//! [`block`] is the vocabulary; [`template`] turns Markdown with named blocks into it; [`layout`]
//! sets it on pages; [`pdf`] writes the pages; [`scene`] is
//! what drawings and plots are made of. Nothing here decides anything about a design.

pub mod block;
pub mod draw;
pub mod font;
pub mod layout;
pub mod pdf;
pub mod photo;
pub mod plot;
pub mod scene;
pub mod style;
pub mod template;
pub mod view;

use template::Templates;

/// The document of one box: its view, arranged by the templates.
///
/// # Errors
/// What [`template::render`] reports; its places are those of `templates.sources`.
pub fn document(
    material: &view::Material,
    templates: &Templates,
    fonts: &font::Fonts,
) -> Result<block::Document, Vec<crate::source::Diagnostic>> {
    let view = view::view(material, fonts);
    let fields = serde_json::Value::Object(view.fields);
    Ok(block::Document {
        info: view::info(material),
        blocks: template::render(templates, &fields, &view.named)?,
        attachments: view::attachments(material),
    })
}

/// Sets a document on paper and writes it as PDF: the whole way in one call.
///
/// # Errors
/// What [`pdf::write`] reports.
pub fn compose(
    document: &block::Document,
    paper: layout::Paper,
    fonts: &font::Fonts,
) -> Result<Composed, pdf::Error> {
    let laid = layout::lay_out(document, paper, fonts);
    let bytes = pdf::write(&laid, &document.info, &document.attachments, fonts)?;
    Ok(Composed {
        bytes,
        pages: laid.pages.len(),
        missing_characters: laid.missing_characters,
        missing_targets: laid.missing_targets,
    })
}

/// A written document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Composed {
    /// The PDF.
    pub bytes: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// Characters that no font has; each was drawn as U+FFFD. Worth a warning to the user.
    pub missing_characters: std::collections::BTreeSet<char>,
    /// Link targets that no block carries: a mistake in a template or in the view.
    pub missing_targets: std::collections::BTreeSet<String>,
}
