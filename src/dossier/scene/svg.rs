//! A scene as SVG.

use std::fmt::Write as _;

use super::{Anchor, Item, Label, Rgb, Scene, Segment, Stroke};
use crate::dossier::font::Face;

impl Scene {
    /// The scene as a standalone SVG document with real text.
    #[must_use]
    pub fn to_svg(&self) -> String {
        let (w, h) = (number(self.width), number(self.height));
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}pt\" height=\"{h}pt\" viewBox=\"0 0 {w} {h}\">\n"
        );
        for item in &self.items {
            match item {
                Item::Path {
                    segments,
                    fill,
                    stroke,
                } => path(&mut out, segments, *fill, stroke.as_ref()),
                Item::Text(label) => text(&mut out, label),
            }
        }
        out.push_str("</svg>\n");
        out
    }
}

fn path(out: &mut String, segments: &[Segment], fill: Option<Rgb>, stroke: Option<&Stroke>) {
    let mut d = String::new();
    for segment in segments {
        // Writing to a String cannot fail.
        let _ = match *segment {
            Segment::Move(x, y) => write!(d, "M{} {}", number(x), number(y)),
            Segment::Line(x, y) => write!(d, "L{} {}", number(x), number(y)),
            Segment::Cubic(from, to, end) => {
                let [from, to, end] =
                    [from, to, end].map(|(x, y)| format!("{} {}", number(x), number(y)));
                write!(d, "C{from} {to} {end}")
            }
            Segment::Close => write!(d, "Z"),
        };
    }
    let fill = fill.map_or("none".to_owned(), hex);
    let _ = write!(out, "<path d=\"{d}\" fill=\"{fill}\"");
    if let Some(stroke) = stroke {
        let (colour, width) = (hex(stroke.colour), number(stroke.width));
        let _ = write!(out, " stroke=\"{colour}\" stroke-width=\"{width}\"");
        if !stroke.dash.is_empty() {
            let dash: Vec<String> = stroke.dash.iter().copied().map(number).collect();
            let _ = write!(out, " stroke-dasharray=\"{}\"", dash.join(" "));
        }
    }
    out.push_str("/>\n");
}

fn text(out: &mut String, label: &Label) {
    let anchor = match label.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let (x, y) = (number(label.at.0), number(label.at.1));
    let (weight, style) = match label.face {
        Face::SemiBold | Face::CondensedSemiBold => ("600", "normal"),
        Face::Italic => ("400", "italic"),
        _ => ("400", "normal"),
    };
    let _ = write!(
        out,
        "<text x=\"{x}\" y=\"{y}\" font-family=\"{}\" font-size=\"{}\" font-weight=\"{weight}\" font-style=\"{style}\" fill=\"{}\" text-anchor=\"{anchor}\"",
        label.face.family(),
        number(label.size),
        hex(label.colour),
    );
    if label.rotation != 0.0 {
        let _ = write!(
            out,
            " transform=\"rotate({} {x} {y})\"",
            number(-label.rotation)
        );
    }
    let _ = writeln!(out, ">{}</text>", escaped(&label.text));
}

fn number(value: f64) -> String {
    let fixed = format!("{value:.2}");
    let short = fixed.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" {
        "0".to_owned()
    } else {
        short.to_owned()
    }
}

fn hex(Rgb(r, g, b): Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn escaped(words: &str) -> String {
    words
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn svg_keeps_text_as_text_and_escapes_it() {
        let mut scene = Scene::new(100.0, 50.0);
        scene.rect((1.0, 2.0), (3.0, 4.0), Some(Rgb(255, 0, 0)), None);
        scene.label(Label::new((5.0, 6.5), "10 kΩ < R", 8.0, Rgb(0, 0, 0)).turned(90.0));
        let svg = scene.to_svg();
        assert!(svg.contains("M1 2L4 2L4 6L1 6Z"), "{svg}");
        assert!(svg.contains(">10 kΩ &lt; R</text>"), "{svg}");
        assert!(svg.contains("rotate(-90 5 6.5)"), "{svg}");
    }
}
