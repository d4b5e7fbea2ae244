//! Inlines to lines: words, break opportunities, optimal-fit lines.
//!
//! Lines break at spaces and after `-`, `–`, `—`, `/` and, in names, after `_ . : \`. A number and
//! its unit never part. A word wider than the line breaks wherever it must.

use std::rc::Rc;

use textwrap::core::Fragment;
use textwrap::wrap_algorithms::{Penalties, wrap_optimal_fit};

use super::Run;
use super::marks;
use super::slab::{Piece, scene};
use crate::dossier::block::{Inline, Status};
use crate::dossier::font::{Face, Fonts, Glyph};
use crate::dossier::scene::Rgb;
use crate::dossier::style;

/// How a run of text is dressed before its inlines change it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Dress {
    pub face: Face,
    pub strong: Face,
    pub size: f64,
    pub leading: f64,
    pub colour: Rgb,
}

/// A set line.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Line {
    /// Its width [pt].
    pub width: f64,
    /// Pieces with the baseline at y = 0 and the left end at x = 0.
    pub pieces: Vec<Piece>,
}

impl Dress {
    pub const TEXT: Dress = Dress {
        face: Face::Regular,
        strong: Face::SemiBold,
        size: style::TEXT,
        leading: style::TEXT_LEADING,
        colour: style::INK,
    };
    pub const TABLE: Dress = Dress {
        face: Face::Condensed,
        strong: Face::CondensedSemiBold,
        size: style::TABLE,
        leading: style::TABLE_LEADING,
        colour: style::INK,
    };
    pub const CAPTION: Dress = Dress {
        face: Face::Condensed,
        strong: Face::CondensedSemiBold,
        size: style::CAPTION,
        leading: 11.4,
        colour: style::QUIET,
    };

    pub fn sized(self, size: f64, leading: f64) -> Self {
        Self {
            size,
            leading,
            ..self
        }
    }

    pub fn coloured(self, colour: Rgb) -> Self {
        Self { colour, ..self }
    }

    pub fn bold(self) -> Self {
        Self {
            face: self.strong,
            ..self
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
struct Style {
    face: Face,
    size: f64,
    colour: Rgb,
    link: Option<Rc<str>>,
}

#[derive(Debug, Clone)]
enum Atom {
    Text(Style, String),
    Mark(Status),
}

/// What may not be broken, and the space after it.
#[derive(Debug, Clone, Default)]
struct Word {
    atoms: Vec<Atom>,
    width: f64,
    space: f64,
}

impl Fragment for Word {
    fn width(&self) -> f64 {
        self.width
    }
    fn whitespace_width(&self) -> f64 {
        self.space
    }
    fn penalty_width(&self) -> f64 {
        0.0
    }
}

/// Sets inlines in lines no wider than `width`.
pub(super) fn lines(fonts: &Fonts, inlines: &[Inline], dress: Dress, width: f64) -> Vec<Line> {
    let penalties = Penalties {
        nline_penalty: 1000,
        // Points over the measure must never pay.
        overflow_penalty: 1_000_000,
        short_last_line_fraction: 5,
        short_last_line_penalty: 600,
        hyphen_penalty: 0,
    };
    let mut out = Vec::new();
    for words in paragraphs(fonts, inlines, dress) {
        let words = split_wide(fonts, words, width, dress);
        // Widths here are far below the point where the sum of squares overflows.
        match wrap_optimal_fit(&words, &[width], &penalties) {
            Ok(wrapped) if !words.is_empty() => {
                out.extend(wrapped.into_iter().map(|words| line(fonts, words, dress)));
            }
            Ok(_) => out.push(Line::default()),
            Err(_) => out.push(line(fonts, &words, dress)),
        }
    }
    let last = out.len().saturating_sub(1);
    for line in &mut out[..last] {
        end_in_space(fonts, dress, line);
    }
    out
}

/// Words at the end of a line and at the start of the next are two when read aloud or copied: a
/// space that takes no room stands between them.
fn end_in_space(fonts: &Fonts, dress: Dress, line: &mut Line) {
    let run = line.pieces.iter_mut().rev().find_map(|piece| match piece {
        Piece::Glyphs(run) => Some(run),
        _ => None,
    });
    if let Some(run) = run {
        let space = fonts.shape(dress.face, " ");
        run.glyphs.extend(space.glyphs.iter().map(|glyph| Glyph {
            advance: 0.0,
            ..glyph.clone()
        }));
    }
}

/// The widest line without wrapping and the widest word [pt].
pub(super) fn extent(fonts: &Fonts, inlines: &[Inline], dress: Dress) -> (f64, f64) {
    let (mut widest, mut word) = (0.0_f64, 0.0_f64);
    for words in paragraphs(fonts, inlines, dress) {
        let mut sum = 0.0;
        let last = words.len().saturating_sub(1);
        for (index, each) in words.iter().enumerate() {
            sum += each.width + if index < last { each.space } else { 0.0 };
            word = word.max(each.width);
        }
        widest = widest.max(sum);
    }
    (widest, word)
}

fn paragraphs(fonts: &Fonts, inlines: &[Inline], dress: Dress) -> Vec<Vec<Word>> {
    let mut builder = Builder {
        fonts,
        size: dress.size,
        done: vec![Vec::new()],
        open: Word::default(),
    };
    let style = Style {
        face: dress.face,
        size: dress.size,
        colour: dress.colour,
        link: None,
    };
    builder.inlines(inlines, &style, dress);
    builder.end_word(0.0);
    builder.done.into_iter().map(tie_units).collect()
}

struct Builder<'a> {
    fonts: &'a Fonts,
    size: f64,
    done: Vec<Vec<Word>>,
    open: Word,
}

impl Builder<'_> {
    fn inlines(&mut self, inlines: &[Inline], style: &Style, dress: Dress) {
        for inline in inlines {
            match inline {
                Inline::Text(words) => self.text(words, style),
                Inline::Strong(inner) => self.inlines(
                    inner,
                    &Style {
                        face: dress.strong,
                        ..style.clone()
                    },
                    dress,
                ),
                Inline::Emphasis(inner) => {
                    // The condensed family is shipped upright only.
                    let face = match style.face {
                        Face::Regular => Face::Italic,
                        other => other,
                    };
                    self.inlines(
                        inner,
                        &Style {
                            face,
                            ..style.clone()
                        },
                        dress,
                    );
                }
                Inline::Code(words) => self.text(
                    words,
                    &Style {
                        face: Face::Mono,
                        // The typewriter face looks larger at the same size.
                        size: style.size * 0.9,
                        ..style.clone()
                    },
                ),
                Inline::Link { to, text } => self.inlines(
                    text,
                    &Style {
                        colour: style::ACCENT,
                        link: Some(to.as_str().into()),
                        ..style.clone()
                    },
                    dress,
                ),
                Inline::Status(status) => {
                    self.open.width += marks::WIDTH * self.size;
                    self.open.atoms.push(Atom::Mark(*status));
                }
                Inline::Break => {
                    self.end_word(0.0);
                    self.done.push(Vec::new());
                }
            }
        }
    }

    fn text(&mut self, words: &str, style: &Style) {
        let mut piece = String::new();
        let mut previous = ' ';
        for character in words.chars() {
            if matches!(character, ' ' | '\u{2002}' | '\n' | '\t' | '\r') {
                self.push(&mut piece, style);
                // An en space breaks like any other and keeps its width.
                let kind = if character == '\u{2002}' {
                    "\u{2002}"
                } else {
                    " "
                };
                let space = self.fonts.width(style.face, style.size, kind);
                self.end_word(space);
            } else {
                piece.push(character);
                if breaks_after(character, previous, style.face) {
                    self.push(&mut piece, style);
                    self.end_word(0.0);
                }
            }
            previous = character;
        }
        self.push(&mut piece, style);
    }

    fn push(&mut self, piece: &mut String, style: &Style) {
        if piece.is_empty() {
            return;
        }
        self.open.width += self.fonts.width(style.face, style.size, piece);
        self.open
            .atoms
            .push(Atom::Text(style.clone(), std::mem::take(piece)));
    }

    fn end_word(&mut self, space: f64) {
        let mut word = std::mem::take(&mut self.open);
        if word.atoms.is_empty() {
            // The space after a hyphen, where the word has ended already.
            if let Some(last) = self.done.last_mut().and_then(|words| words.last_mut()) {
                last.space = last.space.max(space);
            }
            return;
        }
        word.space = space;
        if let Some(words) = self.done.last_mut() {
            words.push(word);
        }
    }
}

fn breaks_after(character: char, previous: char, face: Face) -> bool {
    match character {
        // Not in "-5" or "1e-3": a hyphen breaks only after a letter.
        '-' => previous.is_alphabetic(),
        '–' | '—' => previous != ' ',
        // Not in "K/W", "mV/K" or "−20/+50 %".
        '/' => previous.is_alphabetic() && !matches!(previous, 'K' | 'V' | 'A' | 'Ω'),
        '_' | '.' | ':' | '\\' => face == Face::Mono && previous != character,
        _ => false,
    }
}

const UNITS: &[&str] = &[
    "V", "mV", "µV", "kV", "A", "mA", "µA", "nA", "W", "mW", "µW", "VA", "Ω", "mΩ", "kΩ", "MΩ",
    "F", "mF", "µF", "nF", "pF", "H", "mH", "µH", "Hz", "kHz", "MHz", "s", "ms", "µs", "ns", "min",
    "h", "years", "%", "°C", "K", "K/W", "dB", "mm", "cm", "m", "g", "J", "mJ", "rms", "pp", "×",
    "V/V", "A²s", "°",
];

/// Joins a number to the unit after it.
fn tie_units(words: Vec<Word>) -> Vec<Word> {
    let mut tied: Vec<Word> = Vec::new();
    for word in words {
        match tied.last_mut() {
            Some(last) if last.space > 0.0 && ends_in_figure(last) && is_unit(&word) => {
                if let Some(Atom::Text(style, text)) = last.atoms.last_mut() {
                    text.push('\u{A0}');
                    match word.atoms.as_slice() {
                        [Atom::Text(other, unit)] if other == style => text.push_str(unit),
                        _ => last.atoms.extend(word.atoms),
                    }
                }
                last.width += last.space + word.width;
                last.space = word.space;
            }
            _ => tied.push(word),
        }
    }
    tied
}

fn ends_in_figure(word: &Word) -> bool {
    matches!(word.atoms.last(), Some(Atom::Text(_, text)) if text.ends_with(|c: char| c.is_ascii_digit()))
}

fn is_unit(word: &Word) -> bool {
    matches!(word.atoms.first(), Some(Atom::Text(_, text))
        if UNITS.contains(&text.trim_end_matches([',', '.', ';', ':', ')'])))
}

/// Breaks words wider than the line wherever they must.
fn split_wide(fonts: &Fonts, words: Vec<Word>, width: f64, dress: Dress) -> Vec<Word> {
    if words.iter().all(|word| word.width <= width) {
        return words;
    }
    let mut out = Vec::new();
    for word in words {
        if word.width <= width {
            out.push(word);
            continue;
        }
        let space = word.space;
        let mut open = Word::default();
        for atom in word.atoms {
            let pieces = match atom {
                Atom::Mark(status) => vec![(Atom::Mark(status), marks::WIDTH * dress.size)],
                Atom::Text(style, text) => clusters(&text)
                    .into_iter()
                    .map(|part| {
                        let part_width = fonts.width(style.face, style.size, part);
                        (Atom::Text(style.clone(), part.to_owned()), part_width)
                    })
                    .collect(),
            };
            for (piece, piece_width) in pieces {
                if open.width + piece_width > width && !open.atoms.is_empty() {
                    out.push(std::mem::take(&mut open));
                }
                open.width += piece_width;
                match (open.atoms.last_mut(), piece) {
                    (Some(Atom::Text(style, text)), Atom::Text(other, part)) if *style == other => {
                        text.push_str(&part);
                    }
                    (_, piece) => open.atoms.push(piece),
                }
            }
        }
        open.space = space;
        out.push(open);
    }
    out
}

/// Characters with the combining marks that follow them.
fn clusters(text: &str) -> Vec<&str> {
    let mut starts: Vec<usize> = text
        .char_indices()
        .filter(|(_, c)| !('\u{300}'..='\u{36F}').contains(c))
        .map(|(index, _)| index)
        .collect();
    if starts.first() != Some(&0) {
        starts.insert(0, 0);
    }
    starts.push(text.len());
    starts
        .windows(2)
        .map(|pair| &text[pair[0]..pair[1]])
        .filter(|part| !part.is_empty())
        .collect()
}

fn line(fonts: &Fonts, words: &[Word], dress: Dress) -> Line {
    let mut set = Line::default();
    let mut open: Option<(Style, Run)> = None;
    let last = words.len().saturating_sub(1);
    for (index, word) in words.iter().enumerate() {
        let mut end_style = None;
        for atom in &word.atoms {
            match atom {
                Atom::Mark(status) => {
                    close(&mut set, open.take());
                    let mark = marks::mark(*status, dress.size);
                    let top = -fonts.metrics(dress.face).cap_height * dress.size / 2.0
                        - mark.height / 2.0;
                    set.pieces
                        .extend(scene(fonts, &mark, (set.width, top), 1.0));
                    set.width += marks::WIDTH * dress.size;
                }
                Atom::Text(style, text) => {
                    let shaped = fonts.shape(style.face, text);
                    match &mut open {
                        Some((same, run)) if same == style => {
                            run.glyphs.extend(shaped.glyphs.iter().cloned());
                        }
                        _ => {
                            close(&mut set, open.take());
                            let run = Run {
                                at: (set.width, 0.0),
                                size: style.size,
                                rotation: 0.0,
                                colour: style.colour,
                                glyphs: shaped.glyphs.clone(),
                            };
                            open = Some((style.clone(), run));
                        }
                    }
                    set.width += shaped.width * style.size;
                    end_style = Some(style);
                }
            }
        }
        if index < last && word.space > 0.0 {
            if let (Some((same, run)), Some(style)) = (&mut open, end_style)
                && same == style
            {
                run.glyphs
                    .extend(fonts.shape(style.face, " ").glyphs.iter().cloned());
            }
            set.width += word.space;
        }
    }
    close(&mut set, open.take());
    set
}

fn close(set: &mut Line, open: Option<(Style, Run)>) {
    let Some((style, run)) = open else { return };
    if let Some(to) = style.link {
        let width: f64 = run.glyphs.iter().map(|g| g.advance * run.size).sum();
        set.pieces.push(Piece::Link {
            area: [run.at.0, -0.8 * run.size, width, 1.05 * run.size],
            to: to.to_string(),
        });
    }
    set.pieces.push(Piece::Glyphs(run));
}
