use super::*;
use crate::dossier::scene::Item;

fn plot() -> Plot {
    Plot {
        width: 400.0,
        height: 160.0,
        x: Axis::over("time, ms", [0.0, 20.0], 0.0),
        y: Axis::over("raw+, V", [15.0, 21.0], 0.05),
        bands: Vec::new(),
        areas: Vec::new(),
        lines: vec![Line {
            points: (0..2000)
                .map(|i| {
                    let t = f64::from(i) / 100.0;
                    (t, if i == 777 { 20.9 } else { 17.0 })
                })
                .collect(),
            stroke: Stroke::solid(1.0, style::ACCENT),
            label: "raw+".to_owned(),
        }],
        limits: vec![Limit {
            y: 17.2,
            label: "drop-out 17.2 V".to_owned(),
            colour: style::FAILS,
        }],
    }
}

fn labels(scene: &Scene) -> Vec<&Label> {
    scene
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Text(label) => Some(label),
            Item::Path { .. } => None,
        })
        .collect()
}

#[test]
fn axes_carry_values_titles_and_direct_labels() {
    let scene = plot().draw(&Fonts::new());
    let words: Vec<&str> = labels(&scene).iter().map(|l| l.text.as_str()).collect();
    for wanted in ["time, ms", "raw+, V", "raw+", "drop-out 17.2 V", "0", "20"] {
        assert!(words.contains(&wanted), "{wanted} in {words:?}");
    }
}

#[test]
fn nothing_is_set_smaller_than_eight_points_or_outside_the_picture() {
    let fonts = Fonts::new();
    let scene = plot().draw(&fonts);
    for label in labels(&scene) {
        assert!(label.size >= 8.0);
        let width = fonts.width(label.face, label.size, &label.text);
        let left = match label.anchor {
            Anchor::Start => label.at.0,
            Anchor::Middle => label.at.0 - width / 2.0,
            Anchor::End => label.at.0 - width,
        };
        assert!(
            left >= -0.1 && left + width <= scene.width + 0.1,
            "{label:?}"
        );
    }
}

#[test]
fn thinning_keeps_a_single_peak() {
    let points = plot().lines.remove(0).points;
    let kept = thinned(&points);
    assert!(kept.len() < 700);
    assert!(kept.iter().any(|(_, y)| *y > 20.0));
    assert!(kept.windows(2).all(|pair| pair[0].0 <= pair[1].0));
}
