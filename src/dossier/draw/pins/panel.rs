//! Panel parts: potentiometer, switch, jack, plug.

use super::body::{centred, lead, pen};
use super::card::{Frame, TEXT, clipped};
use crate::design::{Part, Structure};
use crate::dossier::draw::terminal_words;
use crate::dossier::font::Face;
use crate::dossier::scene::{Anchor, Label, Rgb, Scene, Segment, Stroke};
use crate::dossier::style;

const METAL: Rgb = Rgb(0xE9, 0xEB, 0xED);

/// From the back, lugs down: as the lugs are counted from the shaft, so they stand the other way.
pub(super) fn pot(scene: &mut Scene, frame: &Frame) -> f64 {
    let middle = frame.left + frame.width / 2.0;
    let y = frame.top + 25.0;
    let count = frame.pins.len();
    let pitch = 34.0;
    let first = middle - pitch * (count.max(1) - 1) as f64 / 2.0;
    for (index, pin) in frame.pins.iter().rev().enumerate() {
        let x = first + pitch * index as f64;
        let from = middle + (x - middle) * 0.42;
        scene.polyline(
            &[(from, y + 14.0), (x, y + 30.0), (x, y + 38.0)],
            Stroke::solid(3.0, style::QUIET),
        );
        scene.circle((x, y + 38.0), 3.2, Some(style::WHITE), Some(pen()));
        centred(scene, (x, y + 52.0), pin.mark(), true);
    }
    scene.circle((middle, y), 24.0, Some(METAL), Some(pen()));
    scene.circle(
        (middle, y),
        7.0,
        None,
        Some(Stroke::dashed(0.7, style::QUIET, &[2.0, 1.5])),
    );
    centred(scene, (middle, y - 11.0), "back", false);
    82.0
}

/// From the back: a column of lugs for each pole, the common in the middle. The lever closes the
/// lug on the far side of it (common practice), so the first throw lies below while it points up.
pub(super) fn toggle(scene: &mut Scene, frame: &Frame, part: &Part) -> f64 {
    let Structure::Contacts { positions, poles } = &part.structure else {
        return 0.0;
    };
    let count = positions.len();
    let pitch = 18.0;
    let mut top = frame.top + 4.0;
    for pole in poles.keys() {
        let common = format!("{pole}.common");
        // Two throws stand on either side of the common; more stand below it, as on a rotary.
        let mut rows: Vec<(String, String)> = positions
            .iter()
            .map(|to| (format!("{pole}.{to}"), to.clone()))
            .collect();
        let middle = (common, "common".to_owned());
        if count == 2 {
            rows.swap(0, 1);
            rows.insert(1, middle);
        } else {
            rows.insert(0, middle);
        }
        let height = pitch * rows.len() as f64;
        let x = frame.left + 48.0;
        scene.rect((x - 14.0, top), (28.0, height), Some(METAL), Some(pen()));
        if poles.len() > 1 {
            let at = (x - 18.0, top + height / 2.0 + 2.8);
            let words = format!("pole {pole}");
            scene.label(Label::new(at, words, TEXT, style::INK).anchored(Anchor::End));
        }
        for (index, (terminal, words)) in rows.iter().enumerate() {
            let y = top + pitch * (index as f64 + 0.5);
            scene.rect(
                (x - 4.0, y - 4.0),
                (8.0, 8.0),
                Some(style::WHITE),
                Some(pen()),
            );
            scene.circle((x, y), 1.3, Some(style::INK), None);
            let label = Label::new((x + 19.0, y + 2.8), words.as_str(), TEXT, style::INK)
                .face(Face::CondensedSemiBold);
            let wide = frame.fonts.width(Face::CondensedSemiBold, TEXT, words);
            scene.label(label);
            let at = x + 19.0 + wide + 6.0;
            let net = match part.terminals.get(terminal).map(String::as_str) {
                None | Some("nc") => "left open",
                Some(net) => net,
            };
            let room = frame.left + frame.width - at;
            scene.label(Label::new(
                (at, y + 2.8),
                clipped(net, room, frame.fonts),
                TEXT,
                style::ACCENT,
            ));
        }
        top += height + 8.0;
    }
    if count == 2 {
        let first = positions.first().map_or("", String::as_str);
        let words = format!("drawn with the lever up for “{first}”");
        scene.label(Label::new(
            (frame.left, top + 6.0),
            words,
            TEXT,
            style::QUIET,
        ));
        top += 10.0;
    }
    top - frame.top + 4.0
}

/// A plug, tip at the left, alone or in a jack whose springs touch it.
pub(super) fn plug(scene: &mut Scene, frame: &Frame, in_jack: bool) -> f64 {
    let has = |terminal: &str| frame.pins.iter().find(|pin| pin.terminal == terminal);
    let right = frame.left + frame.width - 8.0;
    let left = frame.left + 44.0;
    let y = frame.top + if in_jack { 34.0 } else { 24.0 };
    let half = 8.0;
    // Tip, ring and sleeve between insulating rings.
    let ring = has("ring").is_some();
    let tip_end = left + 26.0;
    let ring_end = if ring { tip_end + 24.0 } else { tip_end };
    let handle = right - 44.0;
    scene.path(
        vec![
            Segment::Move(left, y),
            Segment::Cubic(
                (left + 4.0, y - half),
                (left + 9.0, y - half),
                (left + 13.0, y - half),
            ),
            Segment::Cubic(
                (left + 17.0, y - half),
                (left + 18.0, y - half + 3.5),
                (left + 21.0, y - half + 3.5),
            ),
            Segment::Line(tip_end, y - half + 2.5),
            Segment::Line(tip_end, y + half - 2.5),
            Segment::Line(left + 21.0, y + half - 3.5),
            Segment::Cubic(
                (left + 18.0, y + half - 3.5),
                (left + 17.0, y + half),
                (left + 13.0, y + half),
            ),
            Segment::Cubic((left + 9.0, y + half), (left + 4.0, y + half), (left, y)),
            Segment::Close,
        ],
        Some(METAL),
        Some(pen()),
    );
    let mut from = tip_end;
    let mut pieces = vec![handle];
    if ring {
        pieces.insert(0, ring_end);
    }
    for to in pieces {
        scene.rect((from, y - half), (3.0, 2.0 * half), Some(style::INK), None);
        scene.rect(
            (from + 3.0, y - half),
            (to - from - 3.0, 2.0 * half),
            Some(METAL),
            Some(pen()),
        );
        from = to;
    }
    scene.rect(
        (handle, y - half - 4.0),
        (44.0, 2.0 * half + 8.0),
        Some(style::RULE),
        Some(pen()),
    );
    if in_jack {
        // The bushing holds the sleeve; springs touch tip and ring from both sides.
        for edge in [y - half - 7.0, y + half + 2.0] {
            scene.rect(
                (ring_end + 14.0, edge),
                (28.0, 5.0),
                Some(style::QUIET),
                Some(pen()),
            );
        }
        spring(scene, left + 13.0, y - half, -1.0);
        if ring {
            spring(scene, tip_end + 13.0, y + half, 1.0);
        }
    }
    let above = y - half - if in_jack { 18.0 } else { 6.0 };
    let below = y + half + if in_jack { 25.0 } else { 13.0 };
    let mut name = |terminal: &str, at: (f64, f64)| {
        if let Some(pin) = has(terminal) {
            centred(scene, at, &pin.function, true);
        }
    };
    name("tip", (left + 13.0, above));
    name("ring", (tip_end + 13.0, below));
    name(
        "sleeve",
        (
            ring_end + 28.0,
            if in_jack { y - half - 10.0 } else { above },
        ),
    );
    below - frame.top + 8.0
}

/// A contact spring that touches the plug at a point, from above (−1) or below (+1).
fn spring(scene: &mut Scene, x: f64, y: f64, side: f64) {
    scene.polyline(
        &[
            (x - 26.0, y + side * 12.0),
            (x - 8.0, y + side * 12.0),
            (x, y),
            (x + 6.0, y + side * 5.0),
        ],
        lead(),
    );
}

/// A low-voltage plug from its end: outside and centre with their poles.
pub(super) fn barrel(scene: &mut Scene, frame: &Frame, part: &Part) -> f64 {
    let centre_positive = part.word("plug-polarity") == Some("centre-positive");
    let (centre, outside) = if centre_positive {
        ("positive", "negative")
    } else {
        ("negative", "positive")
    };
    let (x, y) = (frame.left + 34.0, frame.top + 24.0);
    scene.circle((x, y), 20.0, Some(METAL), Some(pen()));
    scene.circle((x, y), 14.0, Some(style::WHITE), Some(pen()));
    scene.circle((x, y), 4.0, Some(METAL), Some(pen()));
    let from = x + 34.0;
    for (terminal, touch, at, words) in [
        (outside, (x + 15.0, y - 9.0), y - 9.0, "outside"),
        (centre, (x + 3.0, y + 5.0), y + 12.0, "centre"),
    ] {
        let line = [touch, (from - 8.0, at), (from - 3.0, at)];
        scene.polyline(&line, Stroke::solid(0.6, style::QUIET));
        let pole = terminal_words(terminal);
        let label = format!("{words} {pole}");
        scene.label(
            Label::new((from, at + 2.8), label, TEXT, style::INK).face(Face::CondensedSemiBold),
        );
    }
    50.0
}
