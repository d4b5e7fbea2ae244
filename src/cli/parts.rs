//! `preplug parts [TYPE]`: the catalogue's list, or one type with its pin pictures, figures,
//! sources and traps. Reads [`crate::catalogue`] only.

use super::{BAD_INPUT, COULD_NOT_FINISH, OPEN, pin_picture};
use crate::catalogue::{self, Drop, Figure, Found, Mark, Pedigree, Property, Type};
use crate::quantity::{Spread, Unit, format_short};
use std::collections::BTreeMap;
use std::io::{self, Write};

/// Columns to which the text is wrapped.
const WIDTH: usize = 78;

/// Prints the list, or one type on standard output; gives the exit code: open, or bad input for
/// an unknown type, which is reported on standard error with the nearest names.
pub fn run(type_name: Option<&str>) -> u8 {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = write(type_name, &mut out, &mut err).unwrap_or(COULD_NOT_FINISH);
    super::print(&String::from_utf8_lossy(&out));
    anstream::eprint!("{}", String::from_utf8_lossy(&err));
    code
}

fn write(type_name: Option<&str>, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let Some(name) = type_name else {
        list(out)?;
        return Ok(OPEN);
    };
    if let Some(found) = catalogue::look_up(name) {
        one(&found, out)?;
        return Ok(OPEN);
    }
    writeln!(err, "error: no part type '{name}' in the catalogue")?;
    let near = catalogue::nearest(name);
    if near.is_empty() {
        writeln!(err, "help: 'preplug parts' lists all types")?;
    } else {
        writeln!(err, "help: did you mean {}?", near.join(", "))?;
    }
    Ok(BAD_INPUT)
}

fn list(out: &mut dyn Write) -> io::Result<()> {
    let mut kind = None;
    let mut rest = catalogue::types();
    while let Some(first) = rest.first() {
        let length = rest
            .iter()
            .take_while(|entry| entry.family == first.family)
            .count();
        let (family, others) = rest.split_at(length);
        rest = others;
        if kind != Some(first.kind) {
            if kind.is_some() {
                writeln!(out)?;
            }
            writeln!(out, "{}", first.kind.key())?;
            kind = Some(first.kind);
        }
        list_family(family, out)?;
    }
    writeln!(out)?;
    paragraph(
        "'preplug parts TYPE' prints one type with its pins, figures and sources. Makers' \
         prefixes and suffixes are understood: uA7805, LM7812CT, 1N4004G.",
        "",
        "",
        out,
    )
}

fn list_family(family: &[Type], out: &mut dyn Write) -> io::Result<()> {
    let Some(first) = family.first() else {
        return Ok(());
    };
    let one_title = family.iter().all(|entry| entry.title == first.title);
    let by_voltage = first.title != first.family_title && first.family_title.contains('–');
    if family.len() > 1 && (one_title || by_voltage) {
        writeln!(out, "  {}", first.family_title)?;
        let names: Vec<&str> = family.iter().map(|entry| entry.name.as_str()).collect();
        paragraph(&names.join(" "), "    ", "    ", out)
    } else {
        for entry in family {
            writeln!(out, "  {:<18}{}", entry.name, entry.title)?;
        }
        Ok(())
    }
}

fn one(found: &Found, out: &mut dyn Write) -> io::Result<()> {
    let entry = found.entry;
    writeln!(out, "{}  {}", entry.name, entry.title)?;
    if let Some(reading) = found.reading() {
        paragraph(&reading, "  ", "  ", out)?;
    }
    let words: Vec<String> = entry
        .words
        .iter()
        .map(|(key, word)| format!("{key}: {word}"))
        .collect();
    let kind = format!("kind: {}", entry.kind.key());
    let line = std::iter::once(kind).chain(words).collect::<Vec<_>>();
    paragraph(&line.join(", "), "  ", "  ", out)?;
    let mut sources = Numbered::default();
    packages(entry, &mut sources, out)?;
    writeln!(out, "\nFigures")?;
    figures(
        entry,
        &entry.figures,
        &entry.makers_differ,
        &mut sources,
        out,
    )?;
    for (grade, narrowed) in &entry.grades {
        if !narrowed.is_empty() {
            writeln!(out, "\nGrade {grade}")?;
            figures(entry, narrowed, &BTreeMap::new(), &mut sources, out)?;
        }
    }
    characteristics(entry, out)?;
    if !entry.notes.is_empty() {
        writeln!(out, "\nNotes")?;
        for note in &entry.notes {
            paragraph(note, "  - ", "    ", out)?;
        }
    }
    sources.print(out)
}

fn packages(entry: &Type, sources: &mut Numbered, out: &mut dyn Write) -> io::Result<()> {
    let mut drawn: Option<(&str, Vec<String>)> = None;
    for (name, package) in &entry.packages {
        writeln!(out)?;
        paragraph(&format!("{name}: {}", package.view), "", "  ", out)?;
        let picture = pin_picture::draw(package, &entry.name);
        match &drawn {
            Some((other, same)) if *same == picture => {
                writeln!(out, "  pins as drawn for {other}")?;
            }
            _ => {
                writeln!(out)?;
                for line in &picture {
                    writeln!(out, "    {line}")?;
                }
                writeln!(out)?;
                drawn = Some((name, picture));
            }
        }
        if let Some(tab) = &package.tab {
            writeln!(out, "  tab: {tab}")?;
        }
        let origin = sources.origin(&package.source, package.mark);
        writeln!(out, "  pin order: {origin}")?;
        for trap in &package.traps {
            paragraph(trap, "  ! ", "    ", out)?;
        }
        figures(
            entry,
            &package.figures,
            &package.makers_differ,
            sources,
            out,
        )?;
    }
    Ok(())
}

fn figures(
    entry: &Type,
    figures: &BTreeMap<Property, Figure>,
    makers_differ: &BTreeMap<Property, String>,
    sources: &mut Numbered,
    out: &mut dyn Write,
) -> io::Result<()> {
    for (property, figure) in figures {
        let value = value(&figure.spread, property.unit(entry.kind));
        let (source, mark) = match &figure.pedigree {
            Pedigree::Published(source, mark) => (source.as_str(), *mark),
            _ => ("", Mark::Memory),
        };
        let origin = sources.origin(source, mark);
        writeln!(out, "  {:<23} {value:<24} {origin}", property.key())?;
        if let Some(differ) = makers_differ.get(property) {
            paragraph(differ, "      ", "      ", out)?;
        }
    }
    Ok(())
}

/// Forward voltages of the three characteristics at a few currents.
fn characteristics(entry: &Type, out: &mut dyn Write) -> io::Result<()> {
    let Some(fits) = &entry.fits else {
        return Ok(());
    };
    let most = fits
        .typical
        .points
        .last()
        .map_or(1.0, |point| point.current);
    let currents = [1e-3, 10e-3, 100e-3, 1.0]
        .into_iter()
        .filter(|current| *current <= most);
    writeln!(
        out,
        "\nForward voltage at 25 °C      low       typical   highest"
    )?;
    for current in currents {
        let volts = |drop: Drop| format!("{:.2} V", fits.at(drop).voltage(current));
        writeln!(
            out,
            "  {:<27} {:<9} {:<9} {}",
            format_short(current, Unit::Ampere),
            volts(Drop::Low),
            volts(Drop::Typical),
            volts(Drop::High)
        )?;
    }
    for (name, fit) in [("typical", &fits.typical), ("highest", &fits.high)] {
        let text = format!("{name}: {} ({})", fit.source, fit.mark.words());
        paragraph(&text, "  ", "    ", out)?;
    }
    Ok(())
}

/// Nominal with its ends: `5 V (4.5…5.5 V)`; one value where there is no spread.
fn value(spread: &Spread, unit: Unit) -> String {
    let nominal = format_short(spread.nominal, unit);
    if !spread.is_spread() {
        return nominal;
    }
    let (low, high) = (
        format_short(spread.low, unit),
        format_short(spread.high, unit),
    );
    let bare = |text: &str| {
        text.rsplit_once(' ')
            .map(|(n, u)| (n.to_owned(), u.to_owned()))
    };
    match (bare(&low), bare(&high)) {
        (Some((number, own)), Some((_, other))) if own == other || spread.low == 0.0 => {
            format!("{nominal} ({number}…{high})")
        }
        _ => format!("{nominal} ({low}…{high})"),
    }
}

/// Sources in the order in which they are first cited.
#[derive(Default)]
struct Numbered(Vec<String>);

impl Numbered {
    /// How far a figure was confirmed, with the numbers of its sources.
    fn origin(&mut self, citation: &str, mark: Mark) -> String {
        let cited = self.cite(citation);
        let gap = if cited.is_empty() { "" } else { " " };
        format!("{}{gap}{cited}", mark.words())
    }

    /// The numbers of a citation (its documents stand apart by semicolons): `[1, 2]`. What is
    /// only remembered has no document and no number.
    fn cite(&mut self, citation: &str) -> String {
        let mut numbers = Vec::new();
        for text in citation.split("; ") {
            if text.is_empty() || text.starts_with("from memory") || text.starts_with("common pr") {
                continue;
            }
            let at = self.0.iter().position(|known| known == text);
            let at = at.unwrap_or_else(|| {
                self.0.push(text.to_owned());
                self.0.len() - 1
            });
            numbers.push(at + 1);
        }
        if numbers.is_empty() {
            String::new()
        } else {
            numbers.sort_unstable();
            let numbers: Vec<String> = numbers.iter().map(ToString::to_string).collect();
            format!("[{}]", numbers.join(", "))
        }
    }

    fn print(&self, out: &mut dyn Write) -> io::Result<()> {
        if self.0.is_empty() {
            return Ok(());
        }
        writeln!(out, "\nSources")?;
        for (index, text) in self.0.iter().enumerate() {
            let number = format!("  [{}] ", index + 1);
            let indent = " ".repeat(number.len());
            paragraph(text, &number, &indent, out)?;
        }
        Ok(())
    }
}

/// Joins numbers and their units by no-break spaces, so that a line never ends between them.
fn keep_units(text: &str) -> String {
    let mut kept = String::with_capacity(text.len());
    for word in text.split(' ') {
        let unit = word.trim_end_matches([',', ';', '.', ')', ':']);
        let after_number = kept.ends_with(|c: char| c.is_ascii_digit() || c == '±');
        let joins = kept.ends_with('±')
            || (after_number
                && (unit == "%" || (unit.len() < 5 && !unit.is_empty() && is_unit(unit))));
        if !kept.is_empty() {
            kept.push(if joins { '\u{a0}' } else { ' ' });
        }
        kept.push_str(word);
    }
    kept
}

fn is_unit(word: &str) -> bool {
    const UNITS: &[&str] = &[
        "V", "A", "W", "Ω", "K/W", "°C", "F", "dB", "s", "m", "K", "V/mV", "mV/K",
    ];
    UNITS.contains(&word)
        || word
            .strip_prefix(['p', 'n', 'µ', 'm', 'k', 'M', 'c'])
            .is_some_and(|rest| UNITS.contains(&rest))
}

fn paragraph(text: &str, first: &str, next: &str, out: &mut dyn Write) -> io::Result<()> {
    let options = textwrap::Options::new(WIDTH)
        .initial_indent(first)
        .subsequent_indent(next)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    for line in textwrap::wrap(&keep_units(text), options) {
        writeln!(out, "{}", line.replace('\u{a0}', " "))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn printed(name: Option<&str>) -> (u8, String, String) {
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let code = write(name, &mut out, &mut err).unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        (code, text(out), text(err))
    }

    #[test]
    fn the_list_names_every_type() {
        let (code, out, _) = printed(None);
        assert_eq!(code, 0);
        for name in catalogue::names() {
            assert!(out.split_whitespace().any(|word| word == name), "{name}");
        }
    }

    #[test]
    fn every_type_prints_within_eighty_columns() {
        for name in catalogue::names() {
            let (code, out, err) = printed(Some(name));
            assert_eq!((code, err.as_str()), (0, ""));
            for line in out.lines() {
                assert!(line.chars().count() <= 80, "{name}: {line}");
            }
        }
    }

    #[test]
    fn a_type_shows_pins_traps_figures_and_sources() {
        let (_, out, _) = printed(Some("LM78L06ACZ"));
        for text in [
            "78L06  +6 V regulator, 100 mA",
            "read as 78L06: 'LM' is a maker's prefix, 'ACZ' gives grade A",
            "mirror of the 78xx in TO-220",
            "from below, flat side up",
            "200 K/W (162…200 K/W)",
            "6 V (5.4…6.6 V)",
            "6 V (5.7…6.3 V)",
            "TI LM78L, SNVS754J",
            "confirmed",
            "from memory",
        ] {
            assert!(out.contains(text), "{text}\n{out}");
        }
    }

    #[test]
    fn an_unknown_type_names_its_neighbours() {
        let (code, out, err) = printed(Some("78L07"));
        assert_eq!((code, out.as_str()), (2, ""));
        assert!(err.contains("no part type '78L07'"), "{err}");
        assert!(err.contains("78L06"), "{err}");
    }
}
