//! The drawings of a build: what a design looks like on paper.
//!
//! Owns the schematic and the pictures of pins, fed by the design and the catalogue alone, so that
//! they need no solution, and the rows of windows in which readings are shown; gives [`Scene`](super::scene::Scene)s.

pub mod pins;
pub mod schematic;
pub mod windows;
pub mod wiring;

/// A terminal in the words of the bench: `+` and `−` for the poles, which end of a track is which,
/// spaces for dashes and dots.
#[must_use]
pub fn terminal_words(terminal: &str) -> String {
    match terminal {
        "positive" => "+".to_owned(),
        "negative" => "−".to_owned(),
        "cw" => "clockwise end (cw)".to_owned(),
        "ccw" => "other end (ccw)".to_owned(),
        "coil1" => "coil".to_owned(),
        "coil2" => "coil, other end".to_owned(),
        other => other.replace(['.', '-'], " ").replace("supply ", "supply−"),
    }
}
