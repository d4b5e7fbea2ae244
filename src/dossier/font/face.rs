//! The faces and their files.

/// A face of the dossier.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Face {
    /// Text.
    #[default]
    Regular,
    /// Headings and strong text.
    SemiBold,
    /// Emphasis.
    Italic,
    /// Tables and plots.
    Condensed,
    /// Heads of tables.
    CondensedSemiBold,
    /// Names of nets, parts, keys and files.
    Mono,
    /// Whatever the others lack.
    Symbol,
}

/// Metrics of a face, in ems.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Metrics {
    /// Height of capitals.
    pub cap_height: f64,
    /// Height of `x`.
    pub x_height: f64,
    /// Above the baseline, for line boxes.
    pub ascent: f64,
    /// Below the baseline, positive.
    pub descent: f64,
}

impl Face {
    /// Every face.
    pub const ALL: [Face; 7] = [
        Face::Regular,
        Face::SemiBold,
        Face::Italic,
        Face::Condensed,
        Face::CondensedSemiBold,
        Face::Mono,
        Face::Symbol,
    ];

    /// The font file, as shipped in `fonts/`.
    #[must_use]
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Face::Regular => include_bytes!("../../../fonts/IBMPlexSans-Regular.ttf"),
            Face::SemiBold => include_bytes!("../../../fonts/IBMPlexSans-SemiBold.ttf"),
            Face::Italic => include_bytes!("../../../fonts/IBMPlexSans-Italic.ttf"),
            Face::Condensed => include_bytes!("../../../fonts/IBMPlexSansCondensed-Regular.ttf"),
            Face::CondensedSemiBold => {
                include_bytes!("../../../fonts/IBMPlexSansCondensed-SemiBold.ttf")
            }
            Face::Mono => include_bytes!("../../../fonts/JetBrainsMono-Regular.ttf"),
            Face::Symbol => include_bytes!("../../../fonts/DejaVuSans.ttf"),
        }
    }

    /// The PostScript name.
    #[must_use]
    pub fn post_script_name(self) -> &'static str {
        match self {
            Face::Regular => "IBMPlexSans",
            Face::SemiBold => "IBMPlexSans-SemiBold",
            Face::Italic => "IBMPlexSans-Italic",
            Face::Condensed => "IBMPlexSansCondensed",
            Face::CondensedSemiBold => "IBMPlexSansCondensed-SemiBold",
            Face::Mono => "JetBrainsMono-Regular",
            Face::Symbol => "DejaVuSans",
        }
    }

    /// The family as a style sheet names it.
    #[must_use]
    pub fn family(self) -> &'static str {
        match self {
            Face::Regular | Face::SemiBold | Face::Italic => "IBM Plex Sans, sans-serif",
            Face::Condensed | Face::CondensedSemiBold => "IBM Plex Sans Condensed, sans-serif",
            Face::Mono => "JetBrains Mono, monospace",
            Face::Symbol => "DejaVu Sans, sans-serif",
        }
    }
}
