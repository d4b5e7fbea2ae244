//! From characters to positioned glyphs.

use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};
use std::rc::Rc;
use std::str::FromStr;
use std::sync::Arc;

use rustybuzz::{Feature, ShapePlan, UnicodeBuffer};

use super::{Face, Metrics};

/// A glyph in a run. Lengths in ems.
#[derive(Debug, Clone, PartialEq)]
pub struct Glyph {
    /// The face it is taken from.
    pub face: Face,
    /// Its number in that face.
    pub id: u16,
    /// How far the pen moves.
    pub advance: f64,
    /// Moved to the right by.
    pub dx: f64,
    /// Moved up by.
    pub dy: f64,
    /// The characters it stands for; empty for all but the first glyph of a cluster.
    pub text: Arc<str>,
}

/// A shaped run.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shaped {
    /// The glyphs from left to right.
    pub glyphs: Vec<Glyph>,
    /// The sum of the advances [em].
    pub width: f64,
}

/// The loaded faces, with what has been shaped so far.
pub struct Fonts {
    faces: Vec<Loaded>,
    // Looked up, never walked: its order reaches no output.
    shaped: RefCell<HashMap<(Face, String), Rc<Shaped>>>,
    missing: RefCell<BTreeSet<char>>,
}

struct Loaded {
    face: rustybuzz::Face<'static>,
    plan: ShapePlan,
    features: Vec<Feature>,
    metrics: Metrics,
    em: f64,
}

impl Default for Fonts {
    fn default() -> Self {
        Self::new()
    }
}

impl Fonts {
    /// Loads every face.
    ///
    /// # Panics
    /// If a font file of the program itself is damaged; a test loads them all.
    #[must_use]
    pub fn new() -> Self {
        Self {
            faces: Face::ALL.iter().map(|&face| Loaded::new(face)).collect(),
            shaped: RefCell::default(),
            missing: RefCell::default(),
        }
    }

    /// The metrics of a face.
    #[must_use]
    pub fn metrics(&self, face: Face) -> Metrics {
        self.loaded(face).metrics
    }

    /// Units per em of a face.
    #[must_use]
    pub fn units_per_em(&self, face: Face) -> f64 {
        self.loaded(face).em
    }

    /// Shapes a run of text. Characters that the face lacks come from [`Face::Symbol`]; those that
    /// it lacks too are drawn as U+FFFD and reported by [`Fonts::missing`].
    #[must_use]
    pub fn shape(&self, face: Face, text: &str) -> Rc<Shaped> {
        let key = (face, text.to_owned());
        if let Some(found) = self.shaped.borrow().get(&key) {
            return Rc::clone(found);
        }
        let mut run = Shaped::default();
        for (piece_face, piece) in self.split_by_coverage(face, text) {
            self.loaded(piece_face)
                .shape_into(piece_face, &piece, &mut run);
        }
        let run = Rc::new(run);
        self.shaped.borrow_mut().insert(key, Rc::clone(&run));
        run
    }

    /// The width of a text [pt].
    #[must_use]
    pub fn width(&self, face: Face, size: f64, text: &str) -> f64 {
        self.shape(face, text).width * size
    }

    /// Characters that no face has, of all that was shaped so far.
    #[must_use]
    pub fn missing(&self) -> BTreeSet<char> {
        self.missing.borrow().clone()
    }

    fn loaded(&self, face: Face) -> &Loaded {
        &self.faces[face as usize]
    }

    fn has(&self, face: Face, character: char) -> bool {
        self.loaded(face).face.glyph_index(character).is_some()
    }

    fn split_by_coverage(&self, face: Face, text: &str) -> Vec<(Face, String)> {
        let mut pieces: Vec<(Face, String)> = Vec::new();
        for character in text.chars().map(unified) {
            let (from, drawn) = if self.has(face, character) {
                (face, character)
            } else if self.has(Face::Symbol, character) {
                (Face::Symbol, character)
            } else {
                self.missing.borrow_mut().insert(character);
                (Face::Symbol, char::REPLACEMENT_CHARACTER)
            };
            match pieces.last_mut() {
                Some((last, piece)) if *last == from => piece.push(drawn),
                _ => pieces.push((from, drawn.to_string())),
            }
        }
        pieces
    }
}

/// One character for each look, so that a glyph maps back to one character: the Greek letter for
/// the ohm sign, the micro sign for the Greek letter, a space for what moves the carriage.
fn unified(character: char) -> char {
    match character {
        '\u{2126}' => 'Ω',
        '\u{03BC}' => 'µ',
        '\u{212A}' => 'K',
        '\u{2011}' => '-',
        // No face has the sign for direct current; an equals sign is its older form.
        '⎓' => '=',
        '\t' | '\n' | '\r' => ' ',
        other => other,
    }
}

impl Loaded {
    fn new(face: Face) -> Self {
        let loaded = rustybuzz::Face::from_slice(face.bytes(), 0).expect("an embedded font parses");
        // No ligatures: every glyph maps back to its own characters when text is copied.
        let features: Vec<Feature> = ["-liga", "-clig", "-calt", "-dlig"]
            .iter()
            .filter_map(|name| Feature::from_str(name).ok())
            .collect();
        let plan = ShapePlan::new(
            &loaded,
            rustybuzz::Direction::LeftToRight,
            Some(rustybuzz::script::LATIN),
            None,
            &features,
        );
        let em = f64::from(loaded.units_per_em());
        let ems =
            |units: Option<i16>, otherwise: f64| units.map_or(otherwise, |u| f64::from(u) / em);
        let metrics = Metrics {
            cap_height: ems(loaded.capital_height(), 0.7),
            x_height: ems(loaded.x_height(), 0.52),
            ascent: f64::from(loaded.ascender()) / em,
            descent: -f64::from(loaded.descender()) / em,
        };
        Self {
            plan,
            features,
            metrics,
            em,
            face: loaded,
        }
    }

    fn shape_into(&self, face: Face, text: &str, run: &mut Shaped) {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        let latin = buffer.direction() == rustybuzz::Direction::LeftToRight
            && buffer.script() == rustybuzz::script::LATIN;
        let shaped = if latin {
            rustybuzz::shape_with_plan(&self.face, &self.plan, buffer)
        } else {
            rustybuzz::shape(&self.face, &self.features, buffer)
        };
        let (infos, positions) = (shaped.glyph_infos(), shaped.glyph_positions());
        let mut starts: Vec<usize> = infos.iter().map(|info| info.cluster as usize).collect();
        starts.sort_unstable();
        starts.dedup();
        let mut last_cluster = None;
        for (info, position) in infos.iter().zip(positions) {
            let start = info.cluster as usize;
            let next = starts.partition_point(|&other| other <= start);
            let end = starts.get(next).copied().unwrap_or(text.len());
            let first = last_cluster != Some(start);
            last_cluster = Some(start);
            let advance = f64::from(position.x_advance) / self.em;
            run.width += advance;
            run.glyphs.push(Glyph {
                face,
                // Glyph numbers of a TrueType font have 16 bits.
                id: u16::try_from(info.glyph_id).unwrap_or(0),
                advance,
                dx: f64::from(position.x_offset) / self.em,
                dy: f64::from(position.y_offset) / self.em,
                text: if first {
                    text[start..end].into()
                } else {
                    "".into()
                },
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_face_loads_and_has_figures_of_one_width() {
        let fonts = Fonts::new();
        for face in Face::ALL {
            let widths: BTreeSet<String> = ('0'..='9')
                .map(|figure| format!("{:.4}", fonts.shape(face, &figure.to_string()).width))
                .collect();
            assert_eq!(widths.len(), 1, "{face:?}: {widths:?}");
        }
    }

    #[test]
    fn the_characters_of_the_trade_are_there_in_every_face() {
        let fonts = Fonts::new();
        for face in Face::ALL {
            let run = fonts.shape(face, "Ωµ°±θ≤≥×·−–—…Δη√∞→½²³ ☐☑✗⚠∥∿");
            assert!(run.glyphs.iter().all(|glyph| glyph.id != 0), "{face:?}");
        }
        assert!(fonts.missing().is_empty(), "{:?}", fonts.missing());
    }

    #[test]
    fn a_character_no_face_has_is_reported_not_dropped() {
        let fonts = Fonts::new();
        let run = fonts.shape(Face::Regular, "a\u{F0000}b");
        assert_eq!(run.glyphs.len(), 3);
        assert!(run.glyphs[1].id != 0);
        assert_eq!(
            fonts.missing().into_iter().collect::<Vec<_>>(),
            ['\u{F0000}']
        );
    }

    #[test]
    fn glyphs_carry_their_characters_once() {
        let fonts = Fonts::new();
        let run = fonts.shape(Face::Italic, "office e\u{301}té 10 kΩ");
        let back: String = run.glyphs.iter().map(|glyph| &*glyph.text).collect();
        assert_eq!(back, "office e\u{301}té 10 kΩ");
    }
}
