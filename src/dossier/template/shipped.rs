//! The templates that a dossier is set from: those shipped, or the user's own.

use crate::source::{Diagnostic, FileId, SourceSet, Span};

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

macro_rules! shipped {
    ($name:literal) => {
        (
            concat!("templates/", $name),
            include_str!(concat!("../../../templates/", $name)),
        )
    };
}

/// Every shipped template with its path, the main one first, then in the order of the sections.
pub const SHIPPED: &[(&str, &str)] = &[
    shipped!("dossier.md"),
    shipped!("cover.md"),
    shipped!("cautions.md"),
    shipped!("purpose.md"),
    shipped!("how.md"),
    shipped!("schematic.md"),
    shipped!("findings.md"),
    shipped!("changes.md"),
    shipped!("rails.md"),
    shipped!("ratings.md"),
    shipped!("heat.md"),
    shipped!("polarity.md"),
    shipped!("output.md"),
    shipped!("tolerances.md"),
    shipped!("faults.md"),
    shipped!("parts.md"),
    shipped!("wiring.md"),
    shipped!("bring-up.md"),
    shipped!("units.md"),
    shipped!("sign-off.md"),
    shipped!("method.md"),
];

impl Templates {
    /// The shipped templates.
    #[must_use]
    pub fn shipped() -> Self {
        // What is shipped is text: a test reads it.
        Self::shipped_but(Vec::new()).unwrap_or_default()
    }

    /// The shipped templates, with `own` files in place of their namesakes; further files may be
    /// included by them.
    ///
    /// # Errors
    /// Files that are not text, and files that no template includes, with the sources that their
    /// places belong to.
    pub fn shipped_but(own: Vec<(String, Vec<u8>)>) -> Result<Self, (Vec<Diagnostic>, SourceSet)> {
        let names: Vec<String> = own.iter().map(|(path, _)| name(path).to_owned()).collect();
        let kept = SHIPPED
            .iter()
            .filter(|(path, _)| !names.iter().any(|own| own == name(path)))
            .map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec()));
        let mut templates = Self::default();
        let mut errors = Vec::new();
        for (path, bytes) in own.into_iter().chain(kept) {
            match templates.sources.add(&path, bytes) {
                Ok(id) if name(&path) == MAIN => templates.files.insert(0, id),
                Ok(id) => templates.files.push(id),
                Err(found) => errors.extend(found),
            }
        }
        errors.extend(templates.never_included());
        if errors.is_empty() {
            Ok(templates)
        } else {
            Err((errors, templates.sources))
        }
    }

    /// A file that no other names is most likely misspelt.
    fn never_included(&self) -> Vec<Diagnostic> {
        let path = |id: &FileId| self.sources.file(*id).path.as_str();
        let named = |file: &str| {
            self.files
                .iter()
                .any(|id| name(path(id)) != file && self.sources.file(*id).text.contains(file))
        };
        let shipped = SHIPPED.iter().map(|(path, _)| name(path));
        self.files
            .iter()
            .filter(|id| name(path(id)) != MAIN && !named(name(path(id))))
            .map(|id| {
                let file = name(path(id));
                let message = format!("no template includes `{file}`");
                Diagnostic::error("template-unused", message)
                    .at(Span::new(*id, 0..0), "")
                    .hint_if(super::nearest(file, shipped.clone()))
            })
            .collect()
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
            let is_main = name(&path) == MAIN;
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

/// The file name of a path.
fn name(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}
