//! Pins drawn in text: one package as it is looked at when its pins are counted.
//!
//! Owns the drawings only; pin orders come from [`crate::catalogue`].

use crate::catalogue::{Outline, Package};

/// Lines of a drawing of a package that carries `marking`, pins numbered and named.
#[must_use]
pub fn draw(package: &Package, marking: &str) -> Vec<String> {
    let pins: Vec<(&str, &str)> = package
        .pins
        .iter()
        .map(|(pin, function)| (pin.as_str(), function.as_str()))
        .collect();
    match package.outline {
        Outline::HalfRound => half_round(&pins, marking),
        Outline::Tabbed => in_a_row(&["o", ""], marking, &pins),
        Outline::Small => in_a_row(&[""], marking, &pins),
        Outline::DualRow => dual_row(&pins, marking),
        Outline::Axial => axial(),
        Outline::Radial => radial(&pins),
        Outline::Row if pins.len() == 4 => round_from_above(&pins),
        Outline::Row => in_a_row(&["◎"], "", &pins),
    }
}

/// Width of a column under one pin: its name and a space on each side; odd, so that a leg has a middle.
fn pitch(pins: &[(&str, &str)]) -> usize {
    let longest =
        |(pin, function): &(&str, &str)| pin.chars().count().max(function.chars().count());
    (pins.iter().map(longest).max().unwrap_or(1) + 2) | 1
}

/// `texts` centred in columns of `pitch`.
fn columns<'a>(texts: impl Iterator<Item = &'a str>, pitch: usize) -> String {
    texts.fold(String::new(), |line, text| format!("{line}{text:^pitch$}"))
}

/// A body with its pins in a row below: printed face toward the viewer.
fn in_a_row(above: &[&str], marking: &str, pins: &[(&str, &str)]) -> Vec<String> {
    let pitch = pitch(pins);
    let inner = (pitch * pins.len()).max(marking.chars().count() + 2);
    let pitch = inner.div_ceil(pins.len().max(1));
    let inner = pitch * pins.len();
    let mut lines = vec![format!("┌{}┐", "─".repeat(inner))];
    for text in above {
        if text.is_empty() {
            lines.push(format!("├{}┤", "─".repeat(inner)));
        } else {
            lines.push(format!("│{text:^inner$}│"));
        }
    }
    if !marking.is_empty() {
        lines.push(format!("│{marking:^inner$}│"));
    }
    lines.push(format!("└{}┘", legs(pins.len(), pitch)));
    lines.push(format!(
        " {}",
        columns(pins.iter().map(|(pin, _)| *pin), pitch)
    ));
    lines.push(format!(" {}", columns(pins.iter().map(|(_, f)| *f), pitch)));
    trimmed(lines)
}

/// The lower edge with a leg in the middle of each column.
fn legs(count: usize, pitch: usize) -> String {
    let left = (pitch - 1) / 2;
    let one = format!("{}┬{}", "─".repeat(left), "─".repeat(pitch - 1 - left));
    one.repeat(count)
}

/// From the flat face, and from below with the flat side up: left and right stay as they are.
fn half_round(pins: &[(&str, &str)], marking: &str) -> Vec<String> {
    let face = in_a_row(&[], marking, pins);
    let pitch = pitch(pins);
    let inner = pitch * pins.len();
    let numbers = columns(pins.iter().map(|(pin, _)| *pin), pitch);
    let below = [
        format!("┌{}┐", "─".repeat(inner)),
        format!("│{numbers}│"),
        format!("╰╮{}╭╯", " ".repeat(inner - 2)),
        format!(" ╰{}╯", "─".repeat(inner - 2)),
        "from below, flat side up".to_owned(),
    ];
    let width = face.iter().map(|line| line.chars().count()).max();
    let width = width.unwrap_or(0).max(inner + 2);
    let lines = face
        .iter()
        .enumerate()
        .map(|(row, line)| {
            let right = below.get(row).map_or("", String::as_str);
            format!("{line:width$}      {right}")
        })
        .collect();
    trimmed(lines)
}

/// Two rows of pins from above: down the left side, up the right.
fn dual_row(pins: &[(&str, &str)], marking: &str) -> Vec<String> {
    let half = pins.len() / 2;
    let (left, right) = pins.split_at(half);
    let names = left.iter().map(|(_, function)| function.chars().count());
    let margin = names.max().unwrap_or(0);
    let width = marking.chars().count() + 2;
    let numbered = pins.iter().map(|(pin, _)| pin.chars().count()).max();
    let digits = numbered.unwrap_or(1);
    let lead = margin + digits + 2;
    let side = (width - 1) / 2;
    let mut lines = vec![format!(
        "{:lead$}┌{}∪{}┐",
        "",
        "─".repeat(side),
        "─".repeat(width - 1 - side)
    )];
    for (row, ((pin, function), (other, opposite))) in
        left.iter().zip(right.iter().rev()).enumerate()
    {
        let print = if row == half / 2 { marking } else { "" };
        lines.push(format!(
            "{function:>margin$} {pin:>digits$} ┤{print:^width$}├ {other:<digits$} {opposite}"
        ));
    }
    lines.push(format!("{:lead$}└{}┘", "", "─".repeat(width)));
    trimmed(lines)
}

/// A cylinder with its band at the cathode.
fn axial() -> Vec<String> {
    [
        "             ┌────────┬─┬─┐",
        "  anode ─────┤        │█│ ├───── cathode",
        "             └────────┴─┴─┘",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// Two leads below a round body.
fn radial(pins: &[(&str, &str)]) -> Vec<String> {
    let polar = pins.iter().any(|(_, function)| *function == "cathode");
    let (left, right) = match pins {
        [(_, left), (_, right), ..] => (*left, *right),
        _ => ("", ""),
    };
    let mut lines = vec!["    ╭─────────╮".to_owned(), "    │         │".to_owned()];
    if polar {
        lines.push("    │         ╞  flat on the rim".to_owned());
        lines.push("    └──┬───┬──┘".to_owned());
        lines.push("       │   │".to_owned());
        lines.push("       │      short lead".to_owned());
    } else {
        lines.push("    └──┬───┬──┘".to_owned());
        lines.push("       │   │".to_owned());
    }
    lines.push(format!("{left:>8}   {right}"));
    lines
}

/// Four leads below a round body, from above, in the order in which they stand round it.
fn round_from_above(pins: &[(&str, &str)]) -> Vec<String> {
    let mark = |index: usize| {
        pins.get(index)
            .map_or(' ', |(pin, _)| pin.chars().next().unwrap_or(' '))
    };
    vec![
        "   ╭─────────╮".to_owned(),
        format!("   │  {}   {}  │", mark(0), mark(1)),
        format!("   │  {}   {}  │", mark(3), mark(2)),
        "   ╰─────────╯".to_owned(),
    ]
}

fn trimmed(lines: Vec<String>) -> Vec<String> {
    lines
        .into_iter()
        .map(|line| line.trim_end().to_owned())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::find;

    fn picture(name: &str, package: &str) -> String {
        let entry = find(name).unwrap();
        draw(entry.package(package).unwrap().1, name).join("\n")
    }

    #[test]
    fn small_regulator_from_the_face_and_from_below() {
        assert_eq!(
            picture("78L05", "TO-92"),
            [
                "┌───────────────────────────┐      ┌───────────────────────────┐",
                "│           78L05           │      │    1        2        3    │",
                "└────┬────────┬────────┬────┘      ╰╮                         ╭╯",
                "     1        2        3            ╰─────────────────────────╯",
                "    out    ground     in           from below, flat side up",
            ]
            .join("\n")
        );
    }

    #[test]
    fn dual_amplifier_from_above() {
        assert_eq!(
            picture("LM358", "DIP-8"),
            [
                "          ┌───∪───┐",
                "  A.out 1 ┤       ├ 8 supply+",
                "A.minus 2 ┤       ├ 7 B.out",
                " A.plus 3 ┤ LM358 ├ 6 B.minus",
                "supply- 4 ┤       ├ 5 B.plus",
                "          └───────┘",
            ]
            .join("\n")
        );
    }

    /// Positive and negative stand opposite each other on a round bridge, side by side on a
    /// four-pin one.
    #[test]
    fn bridges() {
        assert!(picture("W04", "WOM").contains("│  +   ~  │\n   │  ~   -  │"));
        let four = picture("DB104", "DB");
        assert!(four.contains("positive"), "{four}");
    }

    #[test]
    fn every_package_has_a_picture_within_eighty_columns() {
        for entry in crate::catalogue::types() {
            for (name, package) in &entry.packages {
                let lines = draw(package, &entry.name);
                assert!(lines.len() >= 3, "{} {name}", entry.name);
                for line in lines {
                    assert!(line.chars().count() <= 76, "{} {name}: {line}", entry.name);
                }
            }
        }
    }
}
