//! Rows of windows, each on a scale of its own: what is allowed, what was expected, what was found.

use crate::dossier::font::{Face, Fonts};
use crate::dossier::scene::{Anchor, Label, Rgb, Scene, Stroke};
use crate::dossier::style;

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What stands at its left.
    pub name: String,
    /// Its scale.
    pub scale: Scale,
    /// A wider window around it.
    pub outer: Option<(f64, f64)>,
    /// The window.
    pub window: (f64, f64),
    /// What was expected, as a line across the window.
    pub expected: Option<f64>,
    /// What was found.
    pub marks: Vec<Mark>,
    /// What stands at its right.
    pub words: String,
}

/// Where values stand in a row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scale {
    /// Evenly between the ends of the row.
    Even(f64, f64),
    /// From a lower limit, which stands where an even window's does, up to infinity, which stands
    /// where its upper limit does: by the reciprocal.
    AtLeast(f64),
}

/// Something found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// Where.
    pub at: f64,
    /// How far it may be off, from and to.
    pub reach: (f64, f64),
    /// Its shape.
    pub shape: Shape,
}

/// The shape of a mark: each tells itself apart without colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A dot: well.
    Dot,
    /// A ring: well, with a condition.
    Ring,
    /// A cross: not well.
    Cross,
}

const WIDTH: f64 = 466.0;
const STEP: f64 = 14.0;
const TOP: f64 = 16.0;
const GAP: f64 = 8.0;
/// Where an even window begins and ends in a row.
const WINDOW: (f64, f64) = (0.25, 0.75);
/// Widest column of names, and the height of a further line of one [pt].
const NAMES: f64 = 190.0;
const LINE: f64 = 8.0;

impl Scale {
    /// The scale on which a window stands in the middle half of the row.
    #[must_use]
    pub fn around((low, high): (f64, f64)) -> Self {
        if high.is_finite() {
            let half = 0.5 * (high - low).max(f64::MIN_POSITIVE);
            Self::Even(low - half, high + half)
        } else {
            Self::AtLeast(low)
        }
    }

    /// The place of a value, 0 at the left end and 1 at the right.
    fn place(self, value: f64) -> f64 {
        match self {
            Self::Even(low, high) => (value - low) / (high - low),
            Self::AtLeast(low) => WINDOW.0 + (WINDOW.1 - WINDOW.0) * (1.0 - low / value),
        }
    }
}

impl Mark {
    /// A mark with the same uncertainty on both sides.
    #[must_use]
    pub fn new(at: f64, uncertainty: f64, shape: Shape) -> Self {
        Self {
            at,
            reach: (at - uncertainty, at + uncertainty),
            shape,
        }
    }
}

/// Draws the rows; `heads` stand over the left, the middle and the right of the windows.
#[must_use]
pub fn draw(rows: &[Row], heads: [&str; 3], fonts: &Fonts) -> Scene {
    let width = |text: &str| fonts.width(Face::Condensed, style::PLOT, text);
    let widest = |texts: &dyn Fn(&Row) -> &str| {
        rows.iter()
            .map(|row| width(texts(row)))
            .fold(0.0_f64, f64::max)
    };
    let names: Vec<Vec<String>> = rows.iter().map(|row| broken(&row.name, fonts)).collect();
    let left = widest(&|row| &row.name).min(NAMES) + GAP;
    let right = (WIDTH - widest(&|row| &row.words) - GAP).max(left + 60.0);
    #[allow(clippy::cast_precision_loss, reason = "a few lines")]
    let heights = names
        .iter()
        .map(|lines| STEP + LINE * (lines.len() - 1) as f64);
    let mut scene = Scene::new(WIDTH, TOP + heights.clone().sum::<f64>() + 2.0);
    let mut top = TOP;
    let x = |place: f64| left + (right - left) * place.clamp(0.0, 1.0);
    for (head, place) in heads
        .iter()
        .zip([0.5 * WINDOW.0, 0.5, 0.5 * (1.0 + WINDOW.1)])
    {
        scene.label(
            Label::new((x(place), 9.0), *head, style::PLOT, style::QUIET).anchored(Anchor::Middle),
        );
    }
    for ((row, lines), height) in rows.iter().zip(&names).zip(heights) {
        let y = top + 0.5 * height;
        let said = |x: f64, y: f64, words: &str, anchor| {
            Label::new((x, y + 2.9), words, style::PLOT, style::INK).anchored(anchor)
        };
        let mut line = y - 0.5 * (height - STEP);
        for words in lines {
            scene.label(said(left - GAP, line, words, Anchor::End));
            line += LINE;
        }
        scene.label(said(right + GAP, y, &row.words, Anchor::Start));
        scene.polyline(&[(left, y), (right, y)], Stroke::solid(0.4, style::RULE));
        let place = |value: f64| x(row.scale.place(value));
        if let Some((from, to)) = row.outer {
            let edge = Stroke::solid(0.5, style::QUIET);
            scene.rect(
                (place(from), y - 5.5),
                ((place(to) - place(from)).max(1.0), 11.0),
                Some(style::WHITE),
                Some(edge),
            );
        }
        let (from, to) = (place(row.window.0), place(row.window.1));
        scene.rect(
            (from, y - 4.5),
            ((to - from).max(1.0), 9.0),
            Some(style::ACCENT.tint(0.16)),
            Some(Stroke::solid(0.5, style::ACCENT)),
        );
        if let Some(expected) = row.expected {
            let at = place(expected);
            scene.polyline(
                &[(at, y - 4.5), (at, y + 4.5)],
                Stroke::dashed(0.9, style::ACCENT, &[1.8, 1.2]),
            );
        }
        for mark in &row.marks {
            draw_mark(&mut scene, mark, row.scale, &x, y);
        }
        top += height;
    }
    scene
}

/// A name in lines that fit the column, broken between words; a word too long by itself is cut.
fn broken(name: &str, fonts: &Fonts) -> Vec<String> {
    let fits = |text: &str| fonts.width(Face::Condensed, style::PLOT, text) <= NAMES;
    let mut lines = vec![String::new()];
    for word in name.split(' ') {
        let line = lines.last_mut().expect("never empty");
        let longer = format!("{line} {word}");
        if line.is_empty() {
            word.clone_into(line);
        } else if fits(&longer) {
            *line = longer;
        } else {
            lines.push(word.to_owned());
        }
    }
    for line in &mut lines {
        if !fits(line) {
            while !line.is_empty() && !fits(&format!("{line}…")) {
                line.pop();
            }
            line.push('…');
        }
    }
    lines
}

fn draw_mark(scene: &mut Scene, mark: &Mark, scale: Scale, x: &dyn Fn(f64) -> f64, y: f64) {
    let place = scale.place(mark.at);
    let at = x(place);
    let colour = match mark.shape {
        Shape::Dot => style::HOLDS,
        Shape::Ring => style::NOT_ASSESSED,
        Shape::Cross => style::FAILS,
    };
    if !(0.0..=1.0).contains(&place) {
        // Beyond the row: an arrow at its end.
        let tip = if place > 1.0 { 5.0 } else { -5.0 };
        let arrow = [(at, y - 3.5), (at + tip, y), (at, y + 3.5)];
        scene.polygon(&arrow, Some(colour), None);
        return;
    }
    let ends = (x(scale.place(mark.reach.0)), x(scale.place(mark.reach.1)));
    let line = |width| Stroke::solid(width, style::INK);
    scene.polyline(&[(ends.0, y), (ends.1, y)], line(0.8));
    for end in [ends.0, ends.1] {
        scene.polyline(&[(end, y - 2.0), (end, y + 2.0)], line(0.8));
    }
    shape(scene, mark.shape, (at, y), colour);
}

fn shape(scene: &mut Scene, shape: Shape, (x, y): (f64, f64), colour: Rgb) {
    match shape {
        Shape::Dot => scene.circle((x, y), 2.4, Some(colour), None),
        Shape::Ring => {
            let edge = Stroke::solid(1.2, colour);
            scene.circle((x, y), 2.4, Some(style::WHITE), Some(edge));
        }
        Shape::Cross => {
            for lean in [-1.0, 1.0] {
                let (from, to) = ((x - 3.0, y - 3.0 * lean), (x + 3.0, y + 3.0 * lean));
                scene.polyline(&[from, to], Stroke::solid(1.6, colour));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Scale;

    /// Limits stand at the quarter and three quarters; infinity at the upper one.
    #[test]
    fn windows_stand_in_the_middle() {
        let even = Scale::around((4.0, 6.0));
        assert!((even.place(4.0) - 0.25).abs() < 1e-12 && (even.place(6.0) - 0.75).abs() < 1e-12);
        assert!(even.place(7.1) > 1.0);
        let least = Scale::around((1e3, f64::INFINITY));
        assert!((least.place(1e3) - 0.25).abs() < 1e-12);
        assert!((least.place(f64::INFINITY) - 0.75).abs() < 1e-12);
        assert!(least.place(2e3) > 0.4 && least.place(500.0) < 0.0);
    }
}
