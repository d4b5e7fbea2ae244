//! Pages to PDF bytes, and the files inside a PDF back out again.
//!
//! [`subset`] cuts the fonts down to the glyphs used, [`writer`] draws the pages and is the only
//! file that touches the PDF writer; [`finish`] adds what that does not: outline, structure
//! ([`structure`]), links and fields ([`annotations`]), attachments ([`attach`]), identity. The same
//! pages, information and attachments give the same bytes.

mod annotations;
mod attach;
mod finish;
mod marks;
mod structure;
mod subset;
mod writer;

use std::fmt;

pub use attach::attachments;

use super::block::{Attachment, Info};
use super::font::Fonts;
use super::layout::Laid;
use subset::Subsets;

/// Why no PDF could be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Error {
    /// A font of the program could not be cut down.
    Font {
        /// The font's PostScript name.
        name: &'static str,
        /// What the subsetter said.
        reason: String,
    },
    /// The writer reported trouble.
    Writer(String),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Font { name, reason } => write!(f, "cannot embed the font {name}: {reason}"),
            Error::Writer(reason) => write!(f, "trouble with the PDF: {reason}"),
        }
    }
}

impl std::error::Error for Error {}

/// Writes pages as a PDF.
///
/// # Errors
/// [`Error::Font`] if a font cannot be cut down, [`Error::Writer`] if the writer complains.
pub fn write(
    laid: &Laid,
    info: &Info,
    attachments: &[Attachment],
    fonts: &Fonts,
) -> Result<Vec<u8>, Error> {
    let subsets = Subsets::of(&laid.pages, fonts)?;
    let (written, marks) = writer::pages(laid, info, &subsets)?;
    finish::finish(written, laid, &marks, info, attachments)
}

#[cfg(test)]
mod tests;
