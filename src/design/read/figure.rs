//! One figure as written: its value, its tolerance, and where it came from.

use crate::catalogue::{Figure, Kind, Pedigree, Property, defaults};
use crate::design::schema::{Floor, floor, plausible};
use crate::quantity::{Parsed, Spread, Unit, format_short};
use crate::source::{Diagnostic, Node, Reader};

/// Share either side of a guess without a tolerance, where none is usual; a usual one is doubled.
/// Project choice.
const GUESS: f64 = 0.3;

/// What must hold of a figure.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rule {
    /// Unit.
    pub(super) unit: Unit,
    /// How low it may go.
    pub(super) floor: Floor,
    /// Share taken below and above when no tolerance is written.
    pub(super) tolerance: Option<(f64, f64)>,
    /// Values outside these are probably a slip of the prefix.
    pub(super) plausible: Option<(f64, f64)>,
}

impl Rule {
    /// The rule of a property of a kind.
    pub(super) fn of(property: Property, kind: Kind) -> Self {
        Self {
            unit: property.unit(kind),
            floor: floor(property, kind),
            tolerance: defaults(kind)
                .tolerances
                .get(&property)
                .map(|tolerance| (tolerance.minus, tolerance.plus)),
            plausible: (property == Property::Value)
                .then(|| plausible(kind))
                .flatten(),
        }
    }

    /// A rule for a figure that is no property of a part.
    pub(super) fn plain(unit: Unit, floor: Floor) -> Self {
        Self {
            unit,
            floor,
            tolerance: None,
            plausible: None,
        }
    }

    /// With a tolerance taken when none is written.
    pub(super) fn or_within(self, share: f64) -> Self {
        Self {
            tolerance: Some((share, share)),
            ..self
        }
    }
}

/// Reads `4.7 kΩ ± 5 %`, or `{value: 4.7 kΩ, source: measured, note: …}`; a range may stand under
/// `range:`.
pub(super) fn read(node: &Node, what: &str, rule: Rule, reader: &mut Reader) -> Option<Figure> {
    let (written, pedigree) = split(node, what, reader)?;
    let Parsed {
        spread,
        has_tolerance,
    } = reader.spread(written, what, rule.unit)?;
    check_floor(written, what, &spread, rule, reader)?;
    if let Some((least, most)) = rule.plausible {
        let nominal = spread.nominal.abs();
        if nominal != 0.0 && !(least..=most).contains(&nominal) {
            reader.note(
                Diagnostic::warning(
                    "implausible-value",
                    format!(
                        "{} is unusual for {what}",
                        format_short(spread.nominal, rule.unit)
                    ),
                )
                .at(written.span, "")
                .hint("check the prefix: `m` is milli, `M` is mega"),
            );
        }
    }
    let guessed = matches!(pedigree, Pedigree::Guessed(_));
    let usual = match rule.tolerance {
        Some((minus, plus)) if guessed => Some((2.0 * minus, 2.0 * plus)),
        None if guessed => Some((GUESS, GUESS)),
        usual => usual,
    };
    let (spread, tolerance_assumed) = match usual {
        Some((minus, plus)) if !has_tolerance => (widened(spread.nominal, minus, plus), true),
        _ => (spread, false),
    };
    Some(Figure {
        spread,
        pedigree,
        tolerance_assumed,
    })
}

fn widened(nominal: f64, minus: f64, plus: f64) -> Spread {
    Spread {
        low: nominal - minus * nominal.abs(),
        nominal,
        high: nominal + plus * nominal.abs(),
    }
}

/// The text with the value, and where it came from.
fn split<'n>(node: &'n Node, what: &str, reader: &mut Reader) -> Option<(&'n Node, Pedigree)> {
    if node.entries().is_none() {
        return Some((node, Pedigree::Written(None)));
    }
    reader.keys(
        node,
        &format!("the figure {what}"),
        &["value", "range", "source", "note"],
    )?;
    let Some(written) = node.get("value").or_else(|| node.get("range")) else {
        reader.note(
            Diagnostic::error("missing-key", format!("{what} needs `value` or `range`"))
                .at(node.span, ""),
        );
        return None;
    };
    let text = |key: &str, reader: &mut Reader| {
        let node = node.get(key)?;
        reader.text(node, key).map(str::to_owned)
    };
    let source = text("source", reader);
    let remark = text("note", reader);
    Some((written, pedigree(source, remark)))
}

/// `measured`, `measured 2026-03-01 with the bench meter`, `guessed`, `guessed: looks like …`,
/// or the name of a document.
fn pedigree(source: Option<String>, note: Option<String>) -> Pedigree {
    let Some(source) = source else {
        return Pedigree::Written(note);
    };
    let joined = |rest: &str| {
        let rest = rest.trim_start_matches([':', ',', ';', ' ']).trim();
        let pieces: Vec<&str> = [rest]
            .into_iter()
            .chain(note.as_deref())
            .filter(|piece| !piece.is_empty())
            .collect();
        (!pieces.is_empty()).then(|| pieces.join("; "))
    };
    if let Some(rest) = source.strip_prefix("measured") {
        Pedigree::Measured(joined(rest))
    } else if let Some(rest) = source
        .strip_prefix("guessed")
        .or_else(|| source.strip_prefix("guess"))
    {
        Pedigree::Guessed(joined(rest))
    } else {
        Pedigree::Written(joined(&source))
    }
}

fn check_floor(
    node: &Node,
    what: &str,
    spread: &Spread,
    rule: Rule,
    reader: &mut Reader,
) -> Option<()> {
    let reason = match rule.floor {
        Floor::Zero if spread.low < 0.0 => "cannot be negative",
        Floor::Above if spread.low < 0.0 => "must be above zero",
        Floor::Above if spread.nominal <= 0.0 || spread.high <= 0.0 => "must be above zero",
        _ if rule.unit == Unit::Celsius && spread.low < -273.15 => "lies below absolute zero",
        _ => return Some(()),
    };
    let text = node.text().unwrap_or_default().trim();
    reader.note(
        Diagnostic::error(
            "impossible-value",
            format!("{what} {reason}, and this is `{text}`"),
        )
        .at(node.span, ""),
    );
    None
}
