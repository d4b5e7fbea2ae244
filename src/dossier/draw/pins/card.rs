//! A card: heading, picture, how it is held, and which pin goes to which net.

use super::{Look, Pin, body, panel};
use crate::catalogue::Outline;
use crate::design::Part;
use crate::dossier::font::{Face, Fonts};
use crate::dossier::scene::{Anchor, Label, Scene, Stroke};
use crate::dossier::style;

/// Size of words [pt].
pub(super) const TEXT: f64 = 8.0;
const LEADING: f64 = 10.5;
const PAD: f64 = 7.0;

/// Parts that look alike and have their pins alike.
pub(super) struct Card<'a> {
    pub parts: Vec<&'a Part>,
    pub look: Look,
    pub title: String,
    pub seen: String,
    pub pins: Vec<Pin>,
}

/// Where a picture stands and what it may say beside its pins.
pub(super) struct Frame<'a> {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub pins: &'a [Pin],
    pub fonts: &'a Fonts,
}

impl Card<'_> {
    /// The card, as wide as told and as tall as it needs.
    pub fn draw(&self, width: f64, fonts: &Fonts) -> Scene {
        let mut scene = Scene::new(width, 0.0);
        let head = Label::new((PAD, 13.0), self.title.as_str(), 9.0, style::INK)
            .face(Face::CondensedSemiBold);
        scene.label(head);
        let mut y = 24.0;
        for line in broken(&self.seen, width - 2.0 * PAD, fonts) {
            scene.label(Label::new((PAD, y), line, TEXT, style::QUIET));
            y += LEADING;
        }
        let frame = Frame {
            left: PAD,
            top: y,
            width: width - 2.0 * PAD,
            pins: &self.pins,
            fonts,
        };
        let part = self.parts[0];
        y += match &self.look {
            Look::Package(Outline::HalfRound) => body::half_round(&mut scene, &frame),
            Look::Package(Outline::Tabbed) => body::tabbed(&mut scene, &frame, part),
            Look::Package(Outline::Small) => body::small(&mut scene, &frame),
            Look::Package(Outline::DualRow) => body::dual_row(&mut scene, &frame, part),
            Look::Package(Outline::Axial) => body::axial(&mut scene, &frame),
            Look::Package(Outline::Radial) => body::led(&mut scene, &frame),
            Look::Package(Outline::Row) => body::round(&mut scene, &frame),
            Look::Can { stripe } => body::can(&mut scene, &frame, stripe),
            Look::Pot => panel::pot(&mut scene, &frame),
            Look::Toggle => panel::toggle(&mut scene, &frame, part),
            Look::Jack => panel::plug(&mut scene, &frame, true),
            Look::Plug => panel::plug(&mut scene, &frame, false),
            Look::Barrel => panel::barrel(&mut scene, &frame, part),
            Look::Battery => body::battery(&mut scene, &frame),
            Look::Terminals => body::terminals(&mut scene, &frame, part),
        };
        // Pins that carry their nets in the picture need no table.
        if self.look.carries_nets() {
            // The heading of a switch already says which it is.
            if !self.title.ends_with(&part.reference) {
                scene.label(
                    Label::new((width - PAD, 13.0), &part.reference, 9.0, style::INK)
                        .face(Face::CondensedSemiBold)
                        .anchored(Anchor::End),
                );
            }
        } else {
            y = self.table(&mut scene, width, y + 4.0, fonts);
        }
        scene.height = y + 2.0;
        scene
    }

    /// A line for each part with the net of each pin; or, where names are long, a line for each pin.
    fn table(&self, scene: &mut Scene, width: f64, top: f64, fonts: &Fonts) -> f64 {
        let heads: Vec<String> = self.pins.iter().map(Pin::words).collect();
        let first = self
            .parts
            .iter()
            .map(|part| fonts.width(Face::CondensedSemiBold, TEXT, &part.reference))
            .fold(0.0, f64::max)
            + 10.0;
        let room = (width - 2.0 * PAD - first) / heads.len().max(1) as f64;
        let fits = heads
            .iter()
            .map(|head| fonts.width(Face::CondensedSemiBold, TEXT, head))
            .chain(self.parts.iter().flat_map(|part| {
                let nets = self.pins.iter().map(move |pin| net(part, pin));
                nets.map(|net| fonts.width(Face::Condensed, TEXT, &net))
            }))
            .all(|wide| wide + 4.0 <= room);
        let mut y = top + TEXT;
        let rule = |scene: &mut Scene, y: f64| {
            let line = [(PAD, y), (width - PAD, y)];
            scene.polyline(&line, Stroke::solid(0.5, style::RULE));
        };
        let strong = |at: (f64, f64), words: &str| {
            Label::new(at, words, TEXT, style::INK).face(Face::CondensedSemiBold)
        };
        if fits {
            for (index, head) in heads.iter().enumerate() {
                scene.label(strong((PAD + first + room * index as f64, y), head));
            }
            rule(scene, y + 3.2);
            for part in &self.parts {
                y += LEADING + 1.0;
                scene.label(strong((PAD, y), &part.reference));
                for (index, pin) in self.pins.iter().enumerate() {
                    let at = (PAD + first + room * index as f64, y);
                    scene.label(Label::new(at, net(part, pin), TEXT, style::ACCENT));
                }
            }
        } else {
            y -= LEADING;
            for part in &self.parts {
                y += LEADING;
                scene.label(strong((PAD, y), &part.reference));
                for (pin, head) in self.pins.iter().zip(&heads) {
                    let net = clipped(&net(part, pin), (width - 2.0 * PAD) / 2.0, fonts);
                    scene.label(Label::new(
                        (PAD + first, y),
                        head.as_str(),
                        TEXT,
                        style::INK,
                    ));
                    scene.label(
                        Label::new((width - PAD, y), net, TEXT, style::ACCENT)
                            .anchored(Anchor::End),
                    );
                    y += LEADING;
                }
                y -= LEADING;
                rule(scene, y + 3.2);
            }
        }
        y + 6.0
    }
}

impl Pin {
    /// `3 in`, or the function alone; a sign marked on the body (`+`, `~`) says its function.
    pub fn words(&self) -> String {
        if self.number.is_empty() {
            self.function.clone()
        } else if self
            .number
            .starts_with(|first: char| !first.is_alphanumeric())
        {
            self.number.replace('-', "−")
        } else {
            format!("{}\u{2002}{}", self.number, self.function)
        }
    }

    /// What is written at the pin itself: its number, or its function where it has none.
    pub fn mark(&self) -> &str {
        if self.number.is_empty() {
            &self.function
        } else {
            &self.number
        }
    }
}

/// Where a pin of this part goes.
pub(super) fn net(part: &Part, pin: &Pin) -> String {
    part.terminals
        .get(&pin.terminal)
        .filter(|net| *net != "nc")
        .cloned()
        .unwrap_or_else(|| "left open".to_owned())
}

/// Words cut to a width, with an ellipsis where something is missing.
pub(super) fn clipped(words: &str, width: f64, fonts: &Fonts) -> String {
    if fonts.width(Face::Condensed, TEXT, words) <= width {
        return words.to_owned();
    }
    let mut kept = words.to_owned();
    while kept.pop().is_some() {
        let short = format!("{kept}…");
        if fonts.width(Face::Condensed, TEXT, &short) <= width {
            return short;
        }
    }
    String::new()
}

/// Words in lines no wider than told.
fn broken(words: &str, width: f64, fonts: &Fonts) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        match lines.last_mut() {
            Some(line)
                if fonts.width(Face::Condensed, TEXT, &format!("{line} {word}")) <= width =>
            {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}
