//! Words at the right of a plot, moved apart so that none covers another.

use crate::dossier::font::{Face, Fonts};
use crate::dossier::scene::{Label, Rgb, Scene, Stroke};
use crate::dossier::style;

const STEP: f64 = 10.0;
const LEADER: f64 = 10.0;

/// Words that belong to a value of y.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Note {
    pub y: f64,
    pub words: String,
    pub colour: Rgb,
}

impl Note {
    pub fn new(y: f64, words: &str, colour: Rgb) -> Self {
        Self {
            y,
            words: words.to_owned(),
            colour,
        }
    }
}

/// The room they need at the right [pt].
pub(super) fn room(notes: &[Note], fonts: &Fonts) -> f64 {
    let widest = notes
        .iter()
        .map(|note| fonts.width(Face::Condensed, style::PLOT, &note.words))
        .fold(0.0, f64::max);
    if widest > 0.0 {
        widest + LEADER + 4.0
    } else {
        8.0
    }
}

/// Sets the words beside the plot, each as near to its value as the others allow.
pub(super) fn draw(
    scene: &mut Scene,
    notes: &[Note],
    right: f64,
    at_y: &dyn Fn(f64) -> f64,
    (top, bottom): (f64, f64),
) {
    let mut order: Vec<(f64, &Note)> = notes.iter().map(|note| (at_y(note.y), note)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    let wished: Vec<f64> = order.iter().map(|(y, _)| *y).collect();
    let places = apart(&wished, top, bottom);
    for ((y, note), place) in order.into_iter().zip(places) {
        if (place - y).abs() > 0.5 {
            scene.polyline(
                &[(right, y), (right + LEADER - 2.0, place)],
                Stroke::solid(0.4, style::RULE),
            );
        }
        let at = (right + LEADER, place + 0.35 * style::PLOT);
        scene.label(Label::new(
            at,
            note.words.as_str(),
            style::PLOT,
            note.colour,
        ));
    }
}

/// Rising places at least a step apart, each as near to what is wished as a run of neighbours
/// moved together allows; inside the plot as long as there is room.
fn apart(wished: &[f64], top: f64, bottom: f64) -> Vec<f64> {
    // Runs of neighbours that touch: first index, sum of what the run's first place should be.
    let mut runs: Vec<(usize, usize, f64)> = Vec::new();
    for (index, wish) in wished.iter().enumerate() {
        runs.push((index, 1, *wish));
        while let [.., (_, count_before, sum_before), (_, count, sum)] = runs.as_slice() {
            let (start_before, start) = (start(*sum_before, *count_before), start(*sum, *count));
            #[allow(clippy::cast_precision_loss)]
            if start_before + STEP * *count_before as f64 <= start {
                break;
            }
            #[allow(clippy::cast_precision_loss)]
            let joined_sum = sum_before + sum - STEP * (*count_before * *count) as f64;
            let joined = count_before + count;
            runs.pop();
            if let Some(last) = runs.last_mut() {
                (last.1, last.2) = (joined, joined_sum);
            }
        }
    }
    let mut places = Vec::with_capacity(wished.len());
    for (_, count, sum) in runs {
        #[allow(clippy::cast_precision_loss)]
        let length = STEP * count.saturating_sub(1) as f64;
        let first = start(sum, count).min(bottom - length).max(top);
        #[allow(clippy::cast_precision_loss)]
        places.extend((0..count).map(|step| first + STEP * step as f64));
    }
    // Pushed inside, runs may meet again.
    for index in 1..places.len() {
        places[index] = places[index].max(places[index - 1] + STEP);
    }
    places
}

/// The place of a run's first label, least squares over the run.
fn start(sum: f64, count: usize) -> f64 {
    #[allow(clippy::cast_precision_loss)]
    let mean = sum / count as f64;
    mean
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_never_touch_and_stay_near() {
        let places = apart(&[10.0, 11.0, 12.0, 60.0, 99.0], 0.0, 100.0);
        assert!(
            places.windows(2).all(|p| p[1] - p[0] >= STEP - 1e-9),
            "{places:?}"
        );
        assert!((places[1] - 11.0).abs() < 1.0, "{places:?}");
        assert!((places[3] - 60.0).abs() < 1e-9, "{places:?}");
    }
}
