//! Pictures of packages with their pins.

use crate::catalogue::{self, Outline, Package};
use crate::design::Part;
use crate::dossier::font::Face;
use crate::dossier::scene::{Anchor, Label, Scene, Segment, Stroke};
use crate::dossier::style;

const WIDTH: f64 = 152.0;
const HEIGHT: f64 = 118.0;
const PER_ROW: usize = 3;

/// The picture of a part whose pins count: from the catalogue's package, with this design's nets.
pub(super) fn picture(part: &Part) -> Option<Scene> {
    let entry = catalogue::find(part.type_name.as_deref()?)?;
    let (name, package) = entry.package(part.package.as_deref()?)?;
    if matches!(package.outline, Outline::Axial | Outline::Radial) || package.pins.len() < 3 {
        return None;
    }
    let mut scene = Scene::new(WIDTH, HEIGHT);
    scene.label(
        Label::new(
            (WIDTH / 2.0, 9.0),
            format!("{}\u{2002}{}", part.reference, entry.name),
            style::TABLE,
            style::INK,
        )
        .anchored(Anchor::Middle)
        .face(Face::CondensedSemiBold),
    );
    let pins: Vec<Pin> = package
        .pins
        .iter()
        .map(|(pin, function)| Pin {
            number: pin.clone(),
            function: function.clone(),
            net: part
                .pins
                .get(pin)
                .or_else(|| part.terminals.get(function))
                .cloned()
                .unwrap_or_default(),
        })
        .collect();
    match package.outline {
        Outline::DualRow => dual_row(&mut scene, &pins),
        outline => in_a_row(&mut scene, outline, &pins),
    }
    scene.label(
        Label::new(
            (WIDTH / 2.0, HEIGHT - 3.0),
            seen_from(name, package),
            style::PLOT,
            style::QUIET,
        )
        .anchored(Anchor::Middle),
    );
    Some(scene)
}

/// Pictures side by side.
pub(super) fn sheet(pictures: &[Scene]) -> Scene {
    let rows = pictures.len().div_ceil(PER_ROW);
    let columns = pictures.len().min(PER_ROW);
    #[allow(clippy::cast_precision_loss)]
    let mut scene = Scene::new(columns as f64 * WIDTH, rows as f64 * (HEIGHT + 10.0));
    for (index, picture) in pictures.iter().enumerate() {
        #[allow(clippy::cast_precision_loss)]
        let at = (
            (index % PER_ROW) as f64 * WIDTH,
            (index / PER_ROW) as f64 * (HEIGHT + 10.0),
        );
        scene.place(picture, at, 1.0);
    }
    scene
}

struct Pin {
    number: String,
    function: String,
    net: String,
}

fn seen_from(name: &str, package: &Package) -> String {
    let words = match package.outline {
        Outline::HalfRound => "flat face toward you",
        Outline::Tabbed => "printed face toward you, tab behind",
        Outline::DualRow => "from above, notch up",
        Outline::Small => "from above, leads toward you",
        Outline::Row | Outline::Axial | Outline::Radial => "as in the table",
    };
    format!("{name}, {words}")
}

fn pen() -> Stroke {
    Stroke::solid(1.0, style::INK)
}

/// A body with three or more leads in a row, counted from the left.
fn in_a_row(scene: &mut Scene, outline: Outline, pins: &[Pin]) {
    let (middle, top, width, bottom) = (WIDTH / 2.0, 18.0, 60.0, 50.0);
    let left = middle - width / 2.0;
    if outline == Outline::Tabbed {
        scene.rect(
            (left + 4.0, top - 4.0),
            (width - 8.0, 14.0),
            Some(style::RULE),
            Some(pen()),
        );
        scene.circle((middle, top + 2.5), 3.0, Some(style::WHITE), Some(pen()));
    }
    let body_top = if outline == Outline::Tabbed {
        top + 10.0
    } else {
        top
    };
    if outline == Outline::HalfRound {
        // The flat face, its upper edge rounded off as moulded.
        let (right, round) = (left + width, 5.0);
        let segments = vec![
            Segment::Move(left, bottom),
            Segment::Line(left, body_top + round),
            Segment::Cubic((left, body_top), (left, body_top), (left + round, body_top)),
            Segment::Line(right - round, body_top),
            Segment::Cubic(
                (right, body_top),
                (right, body_top),
                (right, body_top + round),
            ),
            Segment::Line(right, bottom),
            Segment::Close,
        ];
        scene.path(segments, Some(style::GROUND), Some(pen()));
    } else {
        scene.rect(
            (left, body_top),
            (width, bottom - body_top),
            Some(style::GROUND),
            Some(pen()),
        );
    }
    #[allow(clippy::cast_precision_loss)]
    let (count, pitch) = (pins.len(), WIDTH / pins.len().max(3) as f64);
    for (index, pin) in pins.iter().enumerate() {
        #[allow(clippy::cast_precision_loss)]
        let from_middle = index as f64 - (count as f64 - 1.0) / 2.0;
        let root = middle
            + from_middle * (width - 18.0)
                / 2.0_f64.max(f64::from(u8::try_from(count).unwrap_or(3)) - 1.0);
        let foot = middle + from_middle * pitch * 0.92;
        scene.polyline(
            &[
                (root, bottom),
                (root, bottom + 6.0),
                (foot, bottom + 13.0),
                (foot, bottom + 20.0),
            ],
            Stroke::solid(1.4, style::INK),
        );
        names(scene, pin, (foot, bottom + 29.0), Anchor::Middle);
    }
}

/// Number, function and net, one under the other.
fn names(scene: &mut Scene, pin: &Pin, (x, y): (f64, f64), anchor: Anchor) {
    let lines = [
        (
            format!("{}\u{2002}{}", pin.number, pin.function),
            Face::CondensedSemiBold,
            style::INK,
        ),
        (pin.net.clone(), Face::Condensed, style::ACCENT),
    ];
    for (row, (words, face, colour)) in lines.into_iter().enumerate() {
        #[allow(clippy::cast_precision_loss)]
        let at = (x, y + 9.5 * row as f64);
        scene.label(
            Label::new(at, words, style::PLOT, colour)
                .anchored(anchor)
                .face(face),
        );
    }
}

/// Two rows counted down the left side and up the right.
fn dual_row(scene: &mut Scene, pins: &[Pin]) {
    let half = pins.len() / 2;
    let (middle, top, width) = (WIDTH / 2.0, 16.0, 26.0);
    #[allow(clippy::cast_precision_loss)]
    let pitch = (86.0 / half.max(1) as f64).min(20.0);
    #[allow(clippy::cast_precision_loss)]
    let height = pitch * half as f64;
    let left = middle - width / 2.0;
    scene.rect(
        (left, top),
        (width, height),
        Some(style::GROUND),
        Some(pen()),
    );
    let notch = vec![
        Segment::Move(middle - 5.0, top),
        Segment::Cubic(
            (middle - 5.0, top + 6.0),
            (middle + 5.0, top + 6.0),
            (middle + 5.0, top),
        ),
    ];
    scene.path(notch, None, Some(pen()));
    for (index, pin) in pins.iter().enumerate() {
        let on_left = index < half;
        let row = if on_left {
            index
        } else {
            pins.len() - 1 - index
        };
        #[allow(clippy::cast_precision_loss)]
        let y = top + pitch * (row as f64 + 0.5);
        let (edge, out, anchor, inside, inner_anchor) = if on_left {
            (left, -1.0, Anchor::End, left + 3.0, Anchor::Start)
        } else {
            (
                left + width,
                1.0,
                Anchor::Start,
                left + width - 3.0,
                Anchor::End,
            )
        };
        scene.polyline(
            &[(edge, y), (edge + out * 6.0, y)],
            Stroke::solid(1.4, style::INK),
        );
        scene.label(
            Label::new(
                (inside, y + 2.8),
                pin.number.as_str(),
                style::PLOT,
                style::INK,
            )
            .anchored(inner_anchor)
            .face(Face::CondensedSemiBold),
        );
        let words = if pin.net.is_empty() {
            pin.function.clone()
        } else {
            format!("{} {}", pin.function, pin.net)
        };
        scene.label(
            Label::new(
                (edge + out * 9.0, y + 2.8),
                words,
                style::PLOT,
                style::ACCENT,
            )
            .anchored(anchor),
        );
    }
}
