//! The look: sizes, measures and colours, in one place.
//!
//! One accent colour; status colours after the Okabe–Ito palette (darkened until they read as
//! text), each with its own shape so that the page reads in black and white.

use super::block::Status;
use super::scene::Rgb;

/// Text.
pub const INK: Rgb = Rgb(0x1B, 0x1F, 0x23);
/// Captions, running heads, what is said quietly.
pub const QUIET: Rgb = Rgb(0x5A, 0x63, 0x6B);
/// Rules of tables.
pub const RULE: Rgb = Rgb(0xC3, 0xC9, 0xCE);
/// Grounds of panels.
pub const GROUND: Rgb = Rgb(0xF4, 0xF5, 0xF6);
/// The accent.
pub const ACCENT: Rgb = Rgb(0x12, 0x4E, 0x66);
/// Holds.
pub const HOLDS: Rgb = Rgb(0x00, 0x6B, 0x54);
/// Fails.
pub const FAILS: Rgb = Rgb(0xB0, 0x3A, 0x00);
/// Not assessed.
pub const NOT_ASSESSED: Rgb = Rgb(0x7A, 0x5A, 0x00);
/// Paper.
pub const WHITE: Rgb = Rgb(0xFF, 0xFF, 0xFF);

/// Size of text [pt].
pub const TEXT: f64 = 9.6;
/// Distance of baselines in text [pt].
pub const TEXT_LEADING: f64 = 13.6;
/// Size in tables [pt].
pub const TABLE: f64 = 8.6;
/// Distance of baselines in tables [pt].
pub const TABLE_LEADING: f64 = 11.2;
/// Size of captions [pt].
pub const CAPTION: f64 = 8.6;
/// Size in plots and drawings [pt]; nothing is set smaller.
pub const PLOT: f64 = 8.0;
/// The widest line of running text [pt]: about 85 characters.
pub const MEASURE: f64 = 408.0;

/// The colour of a status.
#[must_use]
pub fn status_colour(status: Status) -> Rgb {
    match status {
        Status::Holds => HOLDS,
        Status::Fails => FAILS,
        Status::NotAssessed | Status::Caution => NOT_ASSESSED,
        Status::DoesNotApply => QUIET,
    }
}
