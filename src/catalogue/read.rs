//! Reading the catalogue's data files: families as written in YAML → types with SI figures.
//!
//! A family says once what its types share. `figures` are single entries; `columns` give unit,
//! source and mark of a figure that differs from row to row, and `rows` the numbers.
//! An entry marked `per-volt` is multiplied by the row's `volts`.
//! A fault in the data is a fault of the program: it panics with the place, and the tests load all.

use super::name::squeeze;
use super::written::{Cell, Cited, Column, Entry, Family, FitUse, Outfit, Row, Shared};
use super::{Figure, Fit, Fits, Kind, Mark, Outline, Package, Pedigree, Point, Property, Type};
use crate::quantity::{Spread, Unit};
use indexmap::IndexMap;
use std::collections::BTreeMap;

/// What went wrong, with its place in the data.
pub(super) type Fault = String;

impl Shared {
    /// Reads the files that the others refer to.
    pub(super) fn read(sources: &str, bodies: &str, junctions: &str) -> Result<Self, Fault> {
        Ok(Self {
            sources: serde_yaml::from_str(sources).map_err(|e| format!("sources: {e}"))?,
            bodies: serde_yaml::from_str(bodies).map_err(|e| format!("bodies: {e}"))?,
            junctions: serde_yaml::from_str(junctions).map_err(|e| format!("junctions: {e}"))?,
        })
    }
}

/// Reads one data file into its types.
pub(super) fn types(file: &str, text: &str, shared: &Shared) -> Result<Vec<Type>, Fault> {
    let families: Vec<Family> =
        serde_yaml::from_str(text).map_err(|error| format!("{file}: {error}"))?;
    let mut types = Vec::new();
    for family in &families {
        for (name, row) in &family.rows {
            types.push(
                expand(family, name, row, shared)
                    .map_err(|fault| format!("{file}: {name}: {fault}"))?,
            );
        }
    }
    Ok(types)
}

fn expand(family: &Family, name: &str, row: &Row, shared: &Shared) -> Result<Type, Fault> {
    let kind = Kind::from_key(&family.kind).ok_or("unknown kind")?;
    let reader = Reader {
        kind,
        volts: row.volts,
        shared,
    };
    let (mut figures, mut makers_differ) = reader.entries(&family.figures)?;
    for (key, cell) in &row.cells {
        let column = family
            .columns
            .get(key)
            .ok_or_else(|| format!("no column {key}"))?;
        let (property, figure) = reader.cell(
            key,
            *cell,
            column,
            column.marks.get(name).unwrap_or(&column.mark),
        )?;
        figures.insert(property, figure);
        if let Some(differ) = &column.differ {
            makers_differ.insert(property, differ.clone());
        }
    }
    let mut grades = BTreeMap::new();
    for (grade, entries) in &family.grades {
        grades.insert(grade.clone(), reader.entries(entries)?.0);
    }
    let mut packages = IndexMap::new();
    for (package, outfit) in &family.packages {
        let built = reader
            .package(package, outfit)
            .map_err(|fault| format!("{package}: {fault}"))?;
        packages.insert(package.clone(), built);
    }
    let mut fit_entries = family.fits.clone();
    fit_entries.extend(row.fits.clone());
    let fits = reader.fits(&fit_entries, &figures)?;
    let volts = row.volts.map(|v| v.to_string()).unwrap_or_default();
    let title = row.title.as_ref().unwrap_or(&family.title);
    let mut words = family.words.clone();
    words.extend(row.words.clone());
    Ok(Type {
        name: name.to_owned(),
        family: family.name.clone(),
        family_title: family.title.replace("{volts}", &range_of_volts(family)),
        kind,
        title: title.replace("{volts}", &volts),
        words,
        figures,
        grades,
        packages,
        fits,
        makers_differ,
        notes: family.notes.iter().chain(&row.notes).cloned().collect(),
        aliases: row.aliases.clone(),
        prefixes: family.prefixes.iter().map(|p| squeeze(p)).collect(),
    })
}

/// The lowest and highest `volts` of a family's rows, as its title prints them.
fn range_of_volts(family: &Family) -> String {
    let volts = || family.rows.values().filter_map(|row| row.volts);
    let (low, high) = (
        volts().fold(f64::INFINITY, f64::min),
        volts().fold(f64::NEG_INFINITY, f64::max),
    );
    if low < high {
        format!("{low}–{high}")
    } else {
        low.to_string()
    }
}

/// What is needed to turn one written number into a figure.
pub(super) struct Reader<'a> {
    pub(super) kind: Kind,
    pub(super) volts: Option<f64>,
    pub(super) shared: &'a Shared,
}

type Figures = BTreeMap<Property, Figure>;
type Differences = BTreeMap<Property, String>;

impl Reader<'_> {
    fn entries(&self, entries: &BTreeMap<String, Entry>) -> Result<(Figures, Differences), Fault> {
        let mut figures = BTreeMap::new();
        let mut differ = BTreeMap::new();
        for (key, entry) in entries {
            let (property, figure) = self.entry(key, entry)?;
            figures.insert(property, figure);
            if let Some(text) = &entry.differ {
                differ.insert(property, text.clone());
            }
        }
        Ok((figures, differ))
    }

    fn entry(&self, key: &str, entry: &Entry) -> Result<(Property, Figure), Fault> {
        let scale = if entry.per_volt {
            self.volts
                .ok_or_else(|| format!("{key}: row has no volts"))?
        } else {
            1.0
        };
        let numbers = [
            entry.low.unwrap_or(entry.is),
            entry.is,
            entry.high.unwrap_or(entry.is),
        ];
        let numbers = numbers.map(|number| number * scale);
        self.figure(key, numbers, &entry.unit, &entry.source, &entry.mark)
    }

    fn cell(
        &self,
        key: &str,
        cell: Cell,
        column: &Column,
        mark: &str,
    ) -> Result<(Property, Figure), Fault> {
        let numbers = match cell {
            Cell::One(number) => [number; 3],
            Cell::Three(numbers) => numbers,
        };
        self.figure(key, numbers, &column.unit, &column.source, mark)
    }

    pub(super) fn figure(
        &self,
        key: &str,
        numbers: [f64; 3],
        unit: &str,
        source: &Cited,
        mark: &str,
    ) -> Result<(Property, Figure), Fault> {
        let property = Property::from_key(key).ok_or_else(|| format!("no property {key}"))?;
        let expected = property.unit(self.kind);
        let scale =
            scale_of(unit, expected).ok_or_else(|| format!("{key}: {unit} is no {expected:?}"))?;
        // A negative coefficient may be scaled by a prefix only, so the order stays.
        let [low, nominal, high] = numbers.map(|number| number * scale);
        if !(low <= nominal && nominal <= high) {
            return Err(format!("{key}: {low} ≤ {nominal} ≤ {high} does not hold"));
        }
        let pedigree = Pedigree::Published(self.citation(source)?, mark_of(mark)?);
        let figure = Figure {
            spread: Spread { low, nominal, high },
            pedigree,
            tolerance_assumed: false,
        };
        Ok((property, figure))
    }

    pub(super) fn citation(&self, cited: &Cited) -> Result<String, Fault> {
        let keys = match cited {
            Cited::One(key) => std::slice::from_ref(key),
            Cited::Several(keys) => keys,
        };
        let texts: Result<Vec<&str>, Fault> = keys
            .iter()
            .map(|key| {
                self.shared
                    .sources
                    .get(key)
                    .map(String::as_str)
                    .ok_or_else(|| format!("no source {key}"))
            })
            .collect();
        Ok(texts?.join("; "))
    }

    fn package(&self, name: &str, outfit: &Outfit) -> Result<Package, Fault> {
        let body = self.shared.bodies.get(name).ok_or("unknown package")?;
        let (figures, makers_differ) = self.entries(&outfit.figures)?;
        Ok(Package {
            pins: outfit.pins.clone(),
            tab: outfit.tab.clone(),
            view: body.view.clone(),
            outline: outline_of(&body.outline)?,
            figures,
            makers_differ,
            traps: outfit.traps.clone(),
            source: self.citation(&outfit.source)?,
            mark: mark_of(&outfit.mark)?,
        })
    }

    /// Builds the three characteristics.
    fn fits(
        &self,
        entries: &BTreeMap<String, FitUse>,
        figures: &Figures,
    ) -> Result<Option<Fits>, Fault> {
        let Some(typical) = entries.get("typical") else {
            return Ok(None);
        };
        let typical_fit = self.fit(typical)?;
        let at = |property: Property, end: fn(&Spread) -> f64| {
            figures
                .get(&property)
                .map(|figure| end(&figure.spread))
                .ok_or_else(|| format!("a fit needs {}", property.key()))
        };
        let end = |name: &str, end: fn(&Spread) -> f64| match entries.get(name) {
            Some(entry) => self.fit(entry),
            None => Ok(typical_fit.through(
                at(Property::TestCurrent, |s| s.nominal)?,
                at(Property::ForwardVoltage, end)?,
            )),
        };
        let low = end("low", |s| s.low)?;
        let high = end("high", |s| s.high)?;
        Ok(Some(Fits {
            low,
            typical: typical_fit,
            high,
        }))
    }

    fn fit(&self, wanted: &FitUse) -> Result<Fit, Fault> {
        let entry = self
            .shared
            .junctions
            .get(&wanted.fit)
            .ok_or_else(|| format!("no fit {}", wanted.fit))?;
        let fit = Fit {
            saturation_current: entry.is,
            ideality: entry.n,
            series_resistance: entry.rs,
            points: entry
                .points
                .iter()
                .map(|[current, voltage]| Point {
                    current: *current,
                    voltage: *voltage,
                })
                .collect(),
            misfit: entry.misfit,
            source: format!(
                "{}: fit to {}",
                wanted.fit,
                self.citation(&Cited::One(entry.source.clone()))?
            ),
            mark: mark_of(&entry.mark)?,
        };
        Ok(match wanted.moved_to {
            Some([current, voltage]) => fit.through(current, voltage),
            None => fit,
        })
    }
}

/// The factor from a written unit (`mA`, `µF`, `mV/K`, `%`) to the expected SI unit.
fn scale_of(written: &str, expected: Unit) -> Option<f64> {
    if written == "%" && expected == Unit::Ratio {
        return Some(0.01);
    }
    let prefix = written.strip_suffix(expected.symbol())?;
    match prefix {
        "" => Some(1.0),
        "p" => Some(1e-12),
        "n" => Some(1e-9),
        "µ" => Some(1e-6),
        "m" => Some(1e-3),
        "k" => Some(1e3),
        "M" => Some(1e6),
        _ => None,
    }
}

pub(super) fn mark_of(letter: &str) -> Result<Mark, Fault> {
    match letter {
        "C" => Ok(Mark::Confirmed),
        "C2" => Ok(Mark::Secondary),
        "M" => Ok(Mark::Memory),
        "X" => Ok(Mark::Computed),
        "CP" => Ok(Mark::Practice),
        other => Err(format!("unknown mark {other}")),
    }
}

fn outline_of(word: &str) -> Result<Outline, Fault> {
    match word {
        "half-round" => Ok(Outline::HalfRound),
        "tabbed" => Ok(Outline::Tabbed),
        "dual-row" => Ok(Outline::DualRow),
        "axial" => Ok(Outline::Axial),
        "radial" => Ok(Outline::Radial),
        "row" => Ok(Outline::Row),
        "small" => Ok(Outline::Small),
        other => Err(format!("unknown outline {other}")),
    }
}
