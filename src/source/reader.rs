//! Taking values out of a tree, and noting everything that is wrong on the way.
//!
//! Every method notes its own diagnostic and returns `None`; the caller goes on with the rest of
//! the file, so that all mistakes come out in one go.

use super::{Diagnostic, Entry, Node, Span, Value};
use crate::quantity::{self, ParseError, Parsed, Spread, Unit};

/// Collects what is wrong while values are taken out.
#[derive(Debug, Default)]
pub struct Reader {
    /// Everything noted so far.
    pub diagnostics: Vec<Diagnostic>,
    /// Numbers that a comma cut in two: said once.
    cut: Vec<Span>,
}

impl Reader {
    /// Notes a mistake.
    pub fn note(&mut self, diagnostic: Diagnostic) {
        self.diagnostics.push(diagnostic);
    }

    /// The entries of a mapping whose keys are all known. `what` names the thing: `a resistor`.
    pub fn keys<'n>(&mut self, node: &'n Node, what: &str, known: &[&str]) -> Option<&'n [Entry]> {
        let entries = self.entries(node, what)?;
        for (index, entry) in entries.iter().enumerate() {
            let before = index.checked_sub(1).map(|before| &entries[before]);
            if !known.contains(&entry.key.as_str()) && !self.cut_number(before, entry) {
                self.unknown_key(entry, what, known);
            }
        }
        Some(entries)
    }

    /// `{value: 4,7 kΩ}` is to YAML the value `4` and a key `7 kΩ`. Says so when it is.
    fn cut_number(&mut self, before: Option<&Entry>, entry: &Entry) -> bool {
        let nothing = entry.value.text() == Some("");
        let Some(before) =
            before.filter(|_| nothing && entry.key.starts_with(|c: char| c.is_ascii_digit()))
        else {
            return false;
        };
        let number = before.value.text().unwrap_or_default();
        if !number.ends_with(|c: char| c.is_ascii_digit()) {
            return false;
        }
        let whole = Span {
            end: entry.key_span.end,
            ..before.value.span
        };
        self.cut.push(before.value.span);
        self.note(
            Diagnostic::error("bad-quantity", "a comma is not read in numbers")
                .at(whole, "")
                .hint(format!(
                    "with a decimal point this is `{number}.{}`",
                    entry.key
                )),
        );
        true
    }

    /// Has a mistake of one of these codes been noted?
    #[must_use]
    pub fn noted(&self, codes: &[&str]) -> bool {
        self.diagnostics
            .iter()
            .any(|diagnostic| codes.contains(&diagnostic.code))
    }

    /// Notes an unknown key, with the one probably meant.
    pub fn unknown_key(&mut self, entry: &Entry, what: &str, known: &[&str]) {
        let hint = match nearest(&entry.key, known.iter().copied()) {
            Some(word) => format!("did you mean `{word}`?"),
            None => format!("{what} takes {}", list(known)),
        };
        self.note(
            Diagnostic::error(
                "unknown-key",
                format!("`{}` is not a key of {what}", entry.key),
            )
            .at(entry.key_span, "unknown key")
            .hint(hint),
        );
    }

    /// The entries of a mapping, whatever its keys.
    pub fn entries<'n>(&mut self, node: &'n Node, what: &str) -> Option<&'n [Entry]> {
        let entries = node.entries();
        if entries.is_none() {
            self.wrong_shape(node, what, "keys with values", "`{key: value, …}`");
        }
        entries
    }

    /// The items of a sequence.
    pub fn items<'n>(&mut self, node: &'n Node, what: &str) -> Option<&'n [Node]> {
        let items = node.items();
        if items.is_none() {
            self.wrong_shape(node, what, "a list", "`[one, other]`");
        }
        items
    }

    fn wrong_shape(&mut self, node: &Node, what: &str, needed: &str, form: &str) {
        self.note(
            Diagnostic::error(
                "wrong-shape",
                format!("{what} needs {needed}, and this is {}", node.what()),
            )
            .at(node.span, "")
            .hint(format!("write it as {form}")),
        );
    }

    /// The text of a scalar; nothing written is a mistake.
    pub fn text<'n>(&mut self, node: &'n Node, what: &str) -> Option<&'n str> {
        match &node.value {
            Value::Text(text) if !text.trim().is_empty() => Some(text.trim()),
            Value::Text(_) => {
                self.note(
                    Diagnostic::error("nothing-given", format!("nothing is given for {what}"))
                        .at(node.span, "")
                        .hint("give a value, or leave the key out"),
                );
                None
            }
            _ => {
                self.wrong_shape(node, what, "one value", "`key: value`");
                None
            }
        }
    }

    /// One of some words.
    pub fn word<'n>(&mut self, node: &'n Node, what: &str, known: &[&str]) -> Option<&'n str> {
        let text = self.text(node, what)?;
        if known.contains(&text) {
            return Some(text);
        }
        let hint = match nearest(text, known.iter().copied()) {
            Some(word) => format!("did you mean `{word}`?"),
            None => format!("{what} is {}", list(known)),
        };
        self.note(
            Diagnostic::error("unknown-word", format!("`{text}` is not known as {what}"))
                .at(node.span, "")
                .hint(hint),
        );
        None
    }

    /// `true` or `false` (also `yes`, `no`, `on`, `off`).
    pub fn flag(&mut self, node: &Node, what: &str) -> Option<bool> {
        let text = self.text(node, what)?;
        match text {
            "true" | "yes" | "on" => Some(true),
            "false" | "no" | "off" => Some(false),
            _ => {
                self.note(
                    Diagnostic::error(
                        "unknown-word",
                        format!("{what} is `true` or `false`, and not `{text}`"),
                    )
                    .at(node.span, ""),
                );
                None
            }
        }
    }

    /// A quantity, with or without tolerance.
    pub fn spread(&mut self, node: &Node, what: &str, unit: Unit) -> Option<Parsed> {
        self.quantity(node, what, |text| quantity::parse_spread(text, unit))
    }

    /// A range with two ends.
    pub fn range(&mut self, node: &Node, what: &str, unit: Unit) -> Option<Spread> {
        self.quantity(node, what, |text| quantity::parse_range(text, unit))
    }

    /// One value.
    pub fn value(&mut self, node: &Node, what: &str, unit: Unit) -> Option<f64> {
        self.quantity(node, what, |text| quantity::parse_value(text, unit))
    }

    /// A quantity read by a parser of the caller's.
    pub fn quantity<T>(
        &mut self,
        node: &Node,
        what: &str,
        parse: impl Fn(&str) -> Result<T, ParseError>,
    ) -> Option<T> {
        self.text(node, what)?;
        if self.cut.contains(&node.span) {
            return None;
        }
        match parse(node.text()?) {
            Ok(value) => Some(value),
            Err(error) => {
                self.note(
                    Diagnostic::error("bad-quantity", error.reason)
                        .at(node.piece(error.range), format!("in {what}"))
                        .hint_if(error.hint),
                );
                None
            }
        }
    }

    /// A date as in 2026-09-02.
    pub fn date(&mut self, node: &Node, what: &str) -> Option<String> {
        let text = self.text(node, what)?;
        if is_date(text) {
            return Some(text.to_owned());
        }
        self.note(
            Diagnostic::error("bad-date", format!("`{text}` is not a date as read here"))
                .at(node.span, "")
                .hint("write year-month-day, for example `2026-09-02`"),
        );
        None
    }

    /// Checks the first key `preplug: KIND/1`. `false` when the file is of another sort, so that
    /// nothing in it is worth reading.
    pub fn version(&mut self, root: &Node, kind: &str) -> bool {
        let wanted = format!("{kind}/1");
        let Some(node) = root.get("preplug") else {
            let start = root.span.start;
            self.note(
                Diagnostic::error(
                    "missing-key",
                    format!("the file does not say that it is a {kind}"),
                )
                .at(Span::new(root.span.file, start..start), "")
                .hint(format!("begin it with `preplug: {wanted}`")),
            );
            return true;
        };
        let written = node.text().unwrap_or_default();
        if written == wanted {
            return true;
        }
        let same_sort = written.split('/').next() == Some(kind);
        if same_sort {
            self.note(
                Diagnostic::error("wrong-version", format!("`{written}` is not read here"))
                    .at(node.span, "")
                    .hint(format!("`preplug: {wanted}` is what this version reads")),
            );
        } else {
            self.note(
                Diagnostic::error(
                    "wrong-sort",
                    format!("this is not a file of the sort `{kind}`"),
                )
                .at(node.span, "")
                .hint(format!(
                    "a file that begins with `preplug: {wanted}` is needed"
                )),
            );
        }
        same_sort
    }

    /// The value of a key that must be there. `place` is where to point when it is not.
    pub fn required<'n>(
        &mut self,
        node: &'n Node,
        key: &str,
        what: &str,
        place: Span,
    ) -> Option<&'n Node> {
        let found = node.get(key);
        if found.is_none() {
            self.note(
                Diagnostic::error("missing-key", format!("{what} needs `{key}`")).at(place, ""),
            );
        }
        found
    }
}

/// A calendar day, year-month-day?
#[must_use]
pub fn is_date(text: &str) -> bool {
    let mut pieces = text.split('-').map(|piece| {
        (
            piece.len(),
            piece
                .bytes()
                .all(|b| b.is_ascii_digit())
                .then(|| piece.parse::<u32>().ok())
                .flatten(),
        )
    });
    let (Some((4, Some(year))), Some((2, Some(month))), Some((2, Some(day))), None) =
        (pieces.next(), pieces.next(), pieces.next(), pieces.next())
    else {
        return false;
    };
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => return false,
    };
    (1..=days).contains(&day)
}

/// The word probably meant, when one is near.
pub fn nearest<'w>(written: &str, known: impl Iterator<Item = &'w str>) -> Option<&'w str> {
    let folded = written.to_lowercase();
    let letters = folded.chars().count();
    known
        .map(|word| {
            let distance = strsim::osa_distance(&folded, &word.to_lowercase());
            (distance, word)
        })
        // A third of the letters may differ, and never all of a short word.
        .filter(|(distance, word)| {
            let longest = letters.max(word.chars().count());
            *distance * 3 <= longest + 1 && *distance < longest
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, word)| word)
}

/// `` `a`, `b` or `c` ``
fn list(words: &[&str]) -> String {
    match words {
        [] => "nothing".to_owned(),
        [one] => format!("`{one}`"),
        [most @ .., last] => {
            let most: Vec<String> = most.iter().map(|word| format!("`{word}`")).collect();
            format!("{} or `{last}`", most.join(", "))
        }
    }
}
