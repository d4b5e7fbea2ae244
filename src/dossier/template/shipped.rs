//! The templates that a dossier is set from: those shipped, or the user's own.

use crate::source::{Diagnostic, FileId, SourceSet};

/// Template files, the main one first.
#[derive(Debug, Clone, Default)]
pub struct Templates {
    /// Their text.
    pub sources: SourceSet,
    /// Their ids, the main one first.
    pub files: Vec<FileId>,
}

/// The file name of the main template.
pub const MAIN: &str = "dossier.md";

impl Templates {
    /// The shipped templates.
    #[must_use]
    pub fn shipped() -> Self {
        let text = include_str!("../../../templates/dossier.md");
        // What is shipped is text: a test reads it.
        Self::from_files([("templates/dossier.md".to_owned(), text.as_bytes().to_vec())])
            .unwrap_or_default()
    }

    /// Templates from files, each with its path and bytes. The one named [`MAIN`] is the dossier;
    /// the others may be included by file name.
    ///
    /// # Errors
    /// Files that are not text, and a missing [`MAIN`].
    pub fn from_files(
        files: impl IntoIterator<Item = (String, Vec<u8>)>,
    ) -> Result<Self, Vec<Diagnostic>> {
        let mut templates = Self::default();
        let mut errors = Vec::new();
        let mut main = false;
        for (path, bytes) in files {
            let is_main = path.rsplit(['/', '\\']).next() == Some(MAIN);
            match templates.sources.add(&path, bytes) {
                Ok(id) if is_main => {
                    templates.files.insert(0, id);
                    main = true;
                }
                Ok(id) => templates.files.push(id),
                Err(found) => errors.extend(found),
            }
        }
        if !main && errors.is_empty() {
            errors.push(Diagnostic::error(
                "no-template",
                format!("no template is named {MAIN}"),
            ));
        }
        if errors.is_empty() {
            Ok(templates)
        } else {
            Err(errors)
        }
    }
}
