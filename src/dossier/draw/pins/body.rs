//! Bodies of packages: drawn as they lie before the builder, pins in the order they come.

use super::Pin;
use super::card::{Frame, TEXT, clipped, net};
use crate::design::Part;
use crate::dossier::draw::terminal_words;
use crate::dossier::font::Face;
use crate::dossier::scene::{Anchor, Label, Rgb, Scene, Segment, Stroke};
use crate::dossier::style;

/// Outlines.
pub(super) fn pen() -> Stroke {
    Stroke::solid(0.9, style::INK)
}

/// Leads.
pub(super) fn lead() -> Stroke {
    Stroke::solid(1.6, style::QUIET)
}

/// Plastic.
const PLASTIC: Rgb = Rgb(0xDD, 0xE0, 0xE3);

/// A word centred at a point of its baseline.
pub(super) fn centred(scene: &mut Scene, at: (f64, f64), words: &str, strong: bool) {
    let face = if strong {
        Face::CondensedSemiBold
    } else {
        Face::Condensed
    };
    scene.label(
        Label::new(at, words, TEXT, style::INK)
            .anchored(Anchor::Middle)
            .face(face),
    );
}

fn caption(scene: &mut Scene, at: (f64, f64), words: &str) {
    scene.label(Label::new(at, words, TEXT, style::QUIET).anchored(Anchor::Middle));
}

/// Places of so many pins about a middle.
fn spaced(count: usize, middle: f64, pitch: f64) -> impl Iterator<Item = f64> {
    let first = middle - pitch * (count.max(1) - 1) as f64 / 2.0;
    (0..count).map(move |index| first + pitch * index as f64)
}

/// Leads in a row with their numbers below.
fn legs(scene: &mut Scene, pins: &[Pin], middle: f64, top: f64, length: f64) {
    for (pin, x) in pins.iter().zip(spaced(pins.len(), middle, 17.0)) {
        scene.polyline(&[(x, top), (x, top + length)], lead());
        centred(scene, (x, top + length + 9.0), pin.mark(), true);
    }
}

/// TO-92: the flat face, and from below.
pub(super) fn half_round(scene: &mut Scene, frame: &Frame) -> f64 {
    let (left, right) = (
        frame.left + frame.width * 0.26,
        frame.left + frame.width * 0.74,
    );
    let top = frame.top;
    // The flat face: its upper edge as moulded, leads below.
    let (half, height) = (25.0, 34.0);
    scene.path(
        vec![
            Segment::Move(left - half, top + height),
            Segment::Line(left - half, top + 5.0),
            Segment::Cubic(
                (left - half, top + 2.0),
                (left - half + 2.0, top),
                (left - half + 5.0, top),
            ),
            Segment::Line(left + half - 5.0, top),
            Segment::Cubic(
                (left + half - 2.0, top),
                (left + half, top + 2.0),
                (left + half, top + 5.0),
            ),
            Segment::Line(left + half, top + height),
            Segment::Close,
        ],
        Some(PLASTIC),
        Some(pen()),
    );
    centred(scene, (left, top + 20.0), "flat", false);
    legs(scene, frame.pins, left, top + height, 22.0);
    caption(scene, (left, top + 79.0), "flat face toward you");
    // From below: turned up about the row of leads, so that left stays left.
    let flat = top + 12.0;
    scene.path(
        vec![
            Segment::Move(right - 27.0, flat),
            Segment::Line(right + 27.0, flat),
            Segment::Cubic(
                (right + 34.0, flat + 26.0),
                (right + 17.0, flat + 40.0),
                (right, flat + 40.0),
            ),
            Segment::Cubic(
                (right - 17.0, flat + 40.0),
                (right - 34.0, flat + 26.0),
                (right - 27.0, flat),
            ),
            Segment::Close,
        ],
        Some(PLASTIC),
        Some(pen()),
    );
    for (pin, x) in frame.pins.iter().zip(spaced(frame.pins.len(), right, 17.0)) {
        scene.rect(
            (x - 1.8, flat + 8.0),
            (3.6, 3.6),
            Some(style::WHITE),
            Some(pen()),
        );
        centred(scene, (x, flat + 22.0), pin.mark(), true);
    }
    caption(scene, (right, top + 79.0), "from below, flat up");
    84.0
}

/// TO-220: the printed face, and from the side the tab.
pub(super) fn tabbed(scene: &mut Scene, frame: &Frame, part: &Part) -> f64 {
    let middle = frame.left + frame.width * 0.3;
    let (half, top) = (27.0, frame.top);
    scene.rect(
        (middle - half, top),
        (2.0 * half, 24.0),
        Some(style::RULE),
        Some(pen()),
    );
    scene.circle((middle, top + 11.0), 5.5, Some(style::WHITE), Some(pen()));
    scene.rect(
        (middle - half, top + 24.0),
        (2.0 * half, 30.0),
        Some(PLASTIC),
        Some(pen()),
    );
    legs(scene, frame.pins, middle, top + 54.0, 24.0);
    let x = frame.left + frame.width * 0.56;
    let tab = match &part.tab {
        Some(function) => {
            let net = part.net(function).unwrap_or("nothing");
            format!("tab: {} ({net})", terminal_words(function))
        }
        None => "tab: as its sheet says".to_owned(),
    };
    scene.polyline(&[(middle + half + 1.0, top + 8.0), (x - 3.0, top + 8.0)], {
        Stroke::solid(0.5, style::QUIET)
    });
    scene.label(Label::new((x, top + 10.8), tab, TEXT, style::INK));
    if let Some(to) = part.word("tab-to") {
        let words = format!("mounted: {to}");
        scene.label(Label::new((x, top + 21.3), words, TEXT, style::INK));
    }
    caption(scene, (middle, top + 101.0), "printed face toward you");
    106.0
}

/// A small package with its leads toward the viewer.
pub(super) fn small(scene: &mut Scene, frame: &Frame) -> f64 {
    let middle = frame.left + frame.width / 2.0;
    let top = frame.top + 8.0;
    scene.rect(
        (middle - 9.0, top - 6.0),
        (18.0, 6.0),
        Some(style::RULE),
        Some(pen()),
    );
    scene.rect(
        (middle - 24.0, top),
        (48.0, 26.0),
        Some(PLASTIC),
        Some(pen()),
    );
    legs(scene, frame.pins, middle, top + 26.0, 9.0);
    58.0
}

/// Two rows from above, counted down the left and up the right, with function and net.
pub(super) fn dual_row(scene: &mut Scene, frame: &Frame, part: &Part) -> f64 {
    let height = rows(scene, frame, part, pen(), true);
    let (middle, top) = (frame.left + frame.width / 2.0, frame.top);
    scene.path(
        vec![
            Segment::Move(middle - 5.0, top),
            Segment::Cubic(
                (middle - 5.0, top + 6.5),
                (middle + 5.0, top + 6.5),
                (middle + 5.0, top),
            ),
            Segment::Close,
        ],
        Some(style::WHITE),
        Some(pen()),
    );
    height
}

/// A body whose terminals stand where its maker puts them: dashed, counted down both sides.
pub(super) fn terminals(scene: &mut Scene, frame: &Frame, part: &Part) -> f64 {
    let outline = Stroke::dashed(0.9, style::INK, &[3.0, 2.0]);
    rows(scene, frame, part, outline, false)
}

/// A body with pins at both sides: down the left, then up the right (`around`) or down again.
fn rows(scene: &mut Scene, frame: &Frame, part: &Part, outline: Stroke, around: bool) -> f64 {
    let rows = frame.pins.len().div_ceil(2);
    let (middle, half, pitch, top) = (frame.left + frame.width / 2.0, 21.0, 15.0, frame.top);
    let height = pitch * rows as f64 + 4.0;
    scene.rect(
        (middle - half, top),
        (2.0 * half, height),
        Some(PLASTIC),
        Some(outline),
    );
    for (index, pin) in frame.pins.iter().enumerate() {
        let on_left = index < rows;
        let row = if on_left {
            index
        } else if around {
            frame.pins.len() - 1 - index
        } else {
            index - rows
        };
        let y = top + 2.0 + pitch * (row as f64 + 0.5);
        let (sign, anchor, inner) = if on_left {
            (-1.0, Anchor::End, Anchor::Start)
        } else {
            (1.0, Anchor::Start, Anchor::End)
        };
        let edge = middle + sign * half;
        scene.polyline(&[(edge, y), (edge + sign * 7.0, y)], lead());
        scene.label(
            Label::new(
                (edge - sign * 3.5, y + 2.8),
                pin.number.as_str(),
                TEXT,
                style::INK,
            )
            .anchored(inner)
            .face(Face::CondensedSemiBold),
        );
        // Function nearest the pin, then the net.
        let at = edge + sign * 10.0;
        let function = Label::new((at, y + 2.8), pin.function.as_str(), TEXT, style::INK);
        let wide = frame.fonts.width(Face::Condensed, TEXT, &pin.function);
        let net_at = at + sign * (wide + 5.0);
        let edge_of_card = if on_left {
            frame.left
        } else {
            frame.left + frame.width
        };
        let net = clipped(&net(part, pin), (edge_of_card - net_at).abs(), frame.fonts);
        scene.label(function.anchored(anchor));
        scene.label(Label::new((net_at, y + 2.8), net, TEXT, style::ACCENT).anchored(anchor));
    }
    height + 4.0
}

/// A cylinder with a band at the second pin.
pub(super) fn axial(scene: &mut Scene, frame: &Frame) -> f64 {
    let middle = frame.left + frame.width / 2.0;
    let y = frame.top + 16.0;
    scene.polyline(&[(middle - 62.0, y), (middle + 62.0, y)], lead());
    let (half, tall) = (27.0, 9.0);
    scene.rect(
        (middle - half, y - tall),
        (2.0 * half, 2.0 * tall),
        Some(PLASTIC),
        Some(pen()),
    );
    scene.rect(
        (middle + half - 11.0, y - tall),
        (6.0, 2.0 * tall),
        Some(style::INK),
        None,
    );
    for (pin, (x, anchor)) in frame
        .pins
        .iter()
        .zip([(middle - 66.0, Anchor::End), (middle + 66.0, Anchor::Start)])
    {
        scene.label(
            Label::new((x, y + 2.8), pin.function.as_str(), TEXT, style::INK)
                .anchored(anchor)
                .face(Face::CondensedSemiBold),
        );
    }
    32.0
}

/// A battery on its side, the nub of its positive pole at the left.
pub(super) fn battery(scene: &mut Scene, frame: &Frame) -> f64 {
    let middle = frame.left + frame.width / 2.0;
    let y = frame.top + 16.0;
    let (half, tall) = (36.0, 12.0);
    scene.polyline(&[(middle - 62.0, y), (middle + 62.0, y)], lead());
    scene.rect(
        (middle - half - 5.0, y - 4.0),
        (5.0, 8.0),
        Some(style::RULE),
        Some(pen()),
    );
    scene.rect(
        (middle - half, y - tall),
        (2.0 * half, 2.0 * tall),
        Some(PLASTIC),
        Some(pen()),
    );
    for (pin, (x, anchor)) in frame
        .pins
        .iter()
        .zip([(middle - 66.0, Anchor::End), (middle + 66.0, Anchor::Start)])
    {
        scene.label(
            Label::new((x, y + 2.8), pin.function.as_str(), TEXT, style::INK)
                .anchored(anchor)
                .face(Face::CondensedSemiBold),
        );
    }
    36.0
}

/// An LED from the side and from below; the first pin is the long one.
pub(super) fn led(scene: &mut Scene, frame: &Frame) -> f64 {
    let (left, right) = (
        frame.left + frame.width * 0.3,
        frame.left + frame.width * 0.72,
    );
    let top = frame.top;
    scene.path(
        vec![
            Segment::Move(left - 13.0, top + 30.0),
            Segment::Line(left - 13.0, top + 13.0),
            Segment::Cubic(
                (left - 13.0, top - 4.0),
                (left + 13.0, top - 4.0),
                (left + 13.0, top + 13.0),
            ),
            Segment::Line(left + 13.0, top + 30.0),
            Segment::Close,
        ],
        Some(PLASTIC),
        Some(pen()),
    );
    scene.rect(
        (left - 16.0, top + 30.0),
        (30.0, 4.0),
        Some(PLASTIC),
        Some(pen()),
    );
    two_leads(scene, frame.pins, left, top + 34.0);
    // From below: the flat of the rim beside the short lead.
    let y = top + 24.0;
    scene.circle((right, y), 17.0, Some(PLASTIC), Some(pen()));
    scene.rect(
        (right + 14.5, y - 11.0),
        (5.0, 22.0),
        Some(style::WHITE),
        None,
    );
    scene.polyline(&[(right + 14.5, y - 9.0), (right + 14.5, y + 9.0)], pen());
    let short = frame.pins.get(1).map_or("", |pin| pin.function.as_str());
    scene.label(Label::new(
        (right + 19.0, y + 2.8),
        "flat",
        TEXT,
        style::INK,
    ));
    for x in [right - 6.5, right + 6.5] {
        scene.circle((x, y), 2.0, Some(style::WHITE), Some(pen()));
    }
    caption(
        scene,
        (right, top + 56.0),
        &format!("from below; flat: {short}"),
    );
    84.0
}

/// Two leads, the second shorter, with their functions.
fn two_leads(scene: &mut Scene, pins: &[Pin], middle: f64, top: f64) {
    for (pin, (x, length, anchor)) in pins.iter().zip([
        (middle - 6.5, 36.0, Anchor::End),
        (middle + 6.5, 27.0, Anchor::Start),
    ]) {
        scene.polyline(&[(x, top), (x, top + length)], lead());
        let at = if anchor == Anchor::End {
            x - 4.0
        } else {
            x + 4.0
        };
        scene.label(
            Label::new((at, top + 24.0), pin.function.as_str(), TEXT, style::INK)
                .anchored(anchor)
                .face(Face::CondensedSemiBold),
        );
    }
}

/// A radial capacitor: the first pin at the left; a stripe at the named terminal.
pub(super) fn can(scene: &mut Scene, frame: &Frame, stripe: &str) -> f64 {
    let middle = frame.left + frame.width / 2.0;
    let top = frame.top;
    let (half, height) = (17.0, 34.0);
    scene.rect(
        (middle - half, top),
        (2.0 * half, height),
        Some(PLASTIC),
        Some(pen()),
    );
    let at_right = frame.pins.get(1).is_some_and(|pin| pin.terminal == stripe);
    let x = if at_right {
        middle + half - 9.0
    } else {
        middle - half + 1.0
    };
    scene.rect((x, top + 0.5), (8.0, height - 1.0), Some(style::INK), None);
    let mark = frame.pins.iter().find(|pin| pin.terminal == stripe);
    for y in [top + 11.0, top + 21.0, top + 31.0] {
        scene.label(
            Label::new(
                (x + 4.0, y),
                mark.map_or("", |pin| pin.function.as_str()),
                TEXT,
                style::WHITE,
            )
            .anchored(Anchor::Middle)
            .face(Face::CondensedSemiBold),
        );
    }
    two_leads(scene, frame.pins, middle, top + height);
    76.0
}

/// Four leads about a round body, from above, in the order in which they stand round it.
pub(super) fn round(scene: &mut Scene, frame: &Frame) -> f64 {
    let middle = frame.left + frame.width / 2.0;
    let y = frame.top + 32.0;
    scene.circle((middle, y), 27.0, Some(PLASTIC), Some(pen()));
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    for (pin, (dx, dy)) in frame.pins.iter().zip(corners) {
        scene.circle(
            (middle + dx * 11.0, y + dy * 11.0),
            2.2,
            Some(style::WHITE),
            Some(pen()),
        );
        let anchor = if dx < 0.0 { Anchor::End } else { Anchor::Start };
        scene.label(
            Label::new(
                (middle + dx * 31.0, y + dy * 14.0 + 2.8),
                pin.words(),
                TEXT,
                style::INK,
            )
            .anchored(anchor)
            .face(Face::CondensedSemiBold),
        );
    }
    62.0
}
