//! Plots: values against axes, labelled directly at the lines.
//!
//! Owns what a plot looks like. [`mesh`] draws the axes and is the only file that touches the
//! plotting library; everything ends up in a [`Scene`].

mod labels;
mod mesh;

use super::font::{Face, Fonts};
use super::scene::{Anchor, Label, Rgb, Scene, Stroke, outline};
use super::style;

/// A plot.
#[derive(Debug, Clone, PartialEq)]
pub struct Plot {
    /// Width [pt].
    pub width: f64,
    /// Height [pt].
    pub height: f64,
    /// Across.
    pub x: Axis,
    /// Up.
    pub y: Axis,
    /// Ranges of y, shaded behind everything else.
    pub bands: Vec<Band>,
    /// Areas between two lines.
    pub areas: Vec<Area>,
    /// Lines.
    pub lines: Vec<Line>,
    /// Values of y that must not be passed.
    pub limits: Vec<Limit>,
}

/// An axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// Quantity and unit, e.g. `time, ms`.
    pub title: String,
    /// Lowest value.
    pub from: f64,
    /// Highest value.
    pub to: f64,
}

/// A range of y, shaded.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Lowest.
    pub from: f64,
    /// Highest.
    pub to: f64,
    /// Shaded with.
    pub colour: Rgb,
    /// Said at its right.
    pub label: String,
}

/// An area between two lines over the same x.
#[derive(Debug, Clone, PartialEq)]
pub struct Area {
    /// x, lower y, upper y.
    pub points: Vec<(f64, f64, f64)>,
    /// Filled with.
    pub colour: Rgb,
}

/// A line.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// x and y.
    pub points: Vec<(f64, f64)>,
    /// How it is drawn.
    pub stroke: Stroke,
    /// Said at its right end; empty for nothing.
    pub label: String,
}

/// A value of y that must not be passed.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// The value.
    pub y: f64,
    /// Said at its right end.
    pub label: String,
    /// Colour.
    pub colour: Rgb,
}

/// Where values stand on the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Frame {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

impl Axis {
    /// An axis over values, with a little room at both ends; finite values only count. Without
    /// any, or with one value only, it spans one unit around it.
    #[must_use]
    pub fn over(title: &str, values: impl IntoIterator<Item = f64>, room: f64) -> Self {
        let (mut from, mut to) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in values.into_iter().filter(|value| value.is_finite()) {
            from = from.min(value);
            to = to.max(value);
        }
        if from > to {
            (from, to) = (0.0, 1.0);
        }
        if to - from < 1e-12 * to.abs().max(1e-9) {
            (from, to) = (from - 0.5, to + 0.5);
        }
        let pad = room * (to - from);
        Self {
            title: title.to_owned(),
            from: from - pad,
            to: to + pad,
        }
    }
}

impl Plot {
    /// Draws it.
    #[must_use]
    pub fn draw(&self, fonts: &Fonts) -> Scene {
        let mut scene = Scene::new(self.width, self.height);
        let notes = self.notes();
        let room = labels::room(&notes, fonts);
        let frame = Frame {
            left: 34.0,
            right: self.width - room,
            top: 18.0,
            bottom: self.height - 28.0,
        };
        let at_x = |x: f64| {
            let share = (x - self.x.from) / (self.x.to - self.x.from);
            frame.left + share.clamp(0.0, 1.0) * (frame.right - frame.left)
        };
        let at_y = |y: f64| {
            let share = (y - self.y.from) / (self.y.to - self.y.from);
            frame.bottom - share.clamp(0.0, 1.0) * (frame.bottom - frame.top)
        };
        for band in &self.bands {
            let (top, bottom) = (at_y(band.to), at_y(band.from));
            scene.rect(
                (frame.left, top),
                (frame.right - frame.left, bottom - top),
                Some(band.colour),
                None,
            );
        }
        mesh::draw(self, frame, &mut scene, fonts);
        for area in &self.areas {
            let upper = area.points.iter().map(|&(x, _, y)| (at_x(x), at_y(y)));
            let lower = area
                .points
                .iter()
                .rev()
                .map(|&(x, y, _)| (at_x(x), at_y(y)));
            let points: Vec<(f64, f64)> = upper.chain(lower).collect();
            scene.path(outline(&points, true), Some(area.colour), None);
        }
        for limit in &self.limits {
            let y = at_y(limit.y);
            scene.polyline(
                &[(frame.left, y), (frame.right, y)],
                Stroke::dashed(0.9, limit.colour, &[4.0, 2.2]),
            );
        }
        for line in &self.lines {
            let points: Vec<(f64, f64)> = thinned(&line.points)
                .into_iter()
                .map(|(x, y)| (at_x(x), at_y(y)))
                .collect();
            scene.polyline(&points, line.stroke.clone());
        }
        labels::draw(
            &mut scene,
            &notes,
            frame.right,
            &at_y,
            (frame.top, frame.bottom),
        );
        for (words, at, anchor) in [
            (&self.y.title, (0.0, 8.0), Anchor::Start),
            (&self.x.title, (frame.right, self.height - 2.0), Anchor::End),
        ] {
            scene.label(
                Label::new(at, words.as_str(), style::PLOT, style::QUIET)
                    .anchored(anchor)
                    .face(Face::Condensed),
            );
        }
        scene
    }

    /// What is said at the right, with the value of y it stands at.
    fn notes(&self) -> Vec<labels::Note> {
        let lines = self.lines.iter().filter_map(|line| {
            let (_, y) = line.points.iter().rev().find(|(_, y)| y.is_finite())?;
            Some(labels::Note::new(*y, &line.label, line.stroke.colour))
        });
        let limits = self
            .limits
            .iter()
            .map(|limit| labels::Note::new(limit.y, &limit.label, limit.colour));
        let bands = self.bands.iter().map(|band| {
            let middle = f64::midpoint(band.from.max(self.y.from), band.to.min(self.y.to));
            labels::Note::new(middle, &band.label, style::QUIET)
        });
        limits
            .chain(lines)
            .chain(bands)
            .filter(|note| !note.words.is_empty())
            .collect()
    }
}

/// At most about 600 points, keeping the lowest and the highest of every stretch, so that a peak
/// is never lost.
fn thinned(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    const MOST: usize = 600;
    let finite: Vec<(f64, f64)> = points
        .iter()
        .copied()
        .filter(|(x, y)| x.is_finite() && y.is_finite())
        .collect();
    if finite.len() <= MOST {
        return finite;
    }
    let stretch = finite.len().div_ceil(MOST / 2);
    let mut kept = Vec::with_capacity(MOST + 2);
    for chunk in finite.chunks(stretch) {
        let order = |a: &&(f64, f64), b: &&(f64, f64)| a.1.total_cmp(&b.1);
        if let (Some(low), Some(high)) = (chunk.iter().min_by(order), chunk.iter().max_by(order)) {
            if low.0 <= high.0 {
                kept.extend([*low, *high]);
            } else {
                kept.extend([*high, *low]);
            }
        }
    }
    if let (Some(first), Some(last)) = (finite.first(), finite.last()) {
        kept.insert(0, *first);
        kept.push(*last);
    }
    kept
}

#[cfg(test)]
mod tests;
