//! Status marks: each with a shape of its own, so that they read without colour.

use crate::dossier::block::Status;
use crate::dossier::font::Face;
use crate::dossier::scene::{Anchor, Label, Rgb, Scene, Stroke};
use crate::dossier::style;

/// The width a mark takes in a line, in ems: the mark and a little space.
pub(super) const WIDTH: f64 = 1.3;

/// The mark for a status in its own colour; `size` is that of the text around it.
pub(super) fn mark(status: Status, size: f64) -> Scene {
    coloured(status, size, style::status_colour(status), style::WHITE)
}

/// The mark in a colour of choice; `inner` is the colour of what is cut out of a filled shape.
pub(super) fn coloured(status: Status, size: f64, colour: Rgb, inner: Rgb) -> Scene {
    let s = size;
    let mut scene = Scene::new(s, s);
    let pen = Stroke::solid(0.1 * s, colour);
    match status {
        Status::Holds => {
            scene.circle(
                (0.5 * s, 0.5 * s),
                0.42 * s,
                None,
                Some(Stroke::solid(0.08 * s, colour)),
            );
            scene.polyline(
                &[
                    (0.29 * s, 0.52 * s),
                    (0.44 * s, 0.67 * s),
                    (0.71 * s, 0.35 * s),
                ],
                Stroke::solid(0.11 * s, colour),
            );
        }
        Status::Fails => {
            scene.rect(
                (0.06 * s, 0.06 * s),
                (0.88 * s, 0.88 * s),
                Some(colour),
                None,
            );
            for (from, to) in [((0.27, 0.27), (0.73, 0.73)), ((0.73, 0.27), (0.27, 0.73))] {
                scene.polyline(
                    &[(from.0 * s, from.1 * s), (to.0 * s, to.1 * s)],
                    Stroke::solid(0.14 * s, inner),
                );
            }
        }
        Status::NotAssessed => {
            scene.circle(
                (0.5 * s, 0.5 * s),
                0.43 * s,
                None,
                Some(Stroke::dashed(0.08 * s, colour, &[0.17 * s, 0.1 * s])),
            );
            scene.label(
                Label::new((0.5 * s, 0.75 * s), "?", 0.72 * s, colour)
                    .anchored(Anchor::Middle)
                    .face(Face::SemiBold),
            );
        }
        Status::DoesNotApply => {
            scene.polyline(&[(0.2 * s, 0.5 * s), (0.8 * s, 0.5 * s)], pen);
        }
        Status::Caution => {
            scene.polygon(
                &[
                    (0.5 * s, 0.06 * s),
                    (0.97 * s, 0.92 * s),
                    (0.03 * s, 0.92 * s),
                ],
                Some(colour),
                None,
            );
            scene.label(
                Label::new((0.5 * s, 0.83 * s), "!", 0.64 * s, inner)
                    .anchored(Anchor::Middle)
                    .face(Face::SemiBold),
            );
        }
    }
    scene
}
