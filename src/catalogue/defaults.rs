//! What is taken for a kind of part when the design does not say, and why.
//!
//! Ratings that decide over safety have no default on purpose: a check without them reports
//! *not assessed*.

use super::read::{Fault, Reader, mark_of};
use super::written::{Cited, DefaultsEntry, Shared};
use super::{Figure, Kind, Mark, Pedigree, Property};
use std::collections::BTreeMap;

/// The defaults of one kind.
#[derive(Debug, Clone, Default)]
pub struct Defaults {
    /// Tolerance of a property that was written without one.
    pub tolerances: BTreeMap<Property, Tolerance>,
    /// Figure of a property that was not written at all; its pedigree is
    /// [`Pedigree::Assumed`] with reason, source and mark in words.
    pub figures: BTreeMap<Property, Figure>,
}

/// A tolerance taken as usual for the kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerance {
    /// Share below nominal (0.2 for −20 %).
    pub minus: f64,
    /// Share above nominal.
    pub plus: f64,
    /// Why this one.
    pub reason: String,
    /// Where it was read.
    pub source: String,
    /// How far it was confirmed.
    pub mark: Mark,
}

/// Reads the defaults file.
pub(super) fn read(text: &str, shared: &Shared) -> Result<BTreeMap<Kind, Defaults>, Fault> {
    let written: BTreeMap<String, DefaultsEntry> =
        serde_yaml::from_str(text).map_err(|error| format!("defaults: {error}"))?;
    let mut defaults = BTreeMap::new();
    for (key, entry) in &written {
        let kind = Kind::from_key(key).ok_or_else(|| format!("defaults: no kind {key}"))?;
        let of_kind =
            one(kind, entry, shared).map_err(|fault| format!("defaults: {key}: {fault}"))?;
        defaults.insert(kind, of_kind);
    }
    Ok(defaults)
}

fn one(kind: Kind, entry: &DefaultsEntry, shared: &Shared) -> Result<Defaults, Fault> {
    let reader = Reader {
        kind,
        volts: None,
        shared,
    };
    let mut defaults = Defaults::default();
    for (key, written) in &entry.tolerances {
        let property = Property::from_key(key).ok_or_else(|| format!("no property {key}"))?;
        let tolerance = Tolerance {
            minus: written.minus / 100.0,
            plus: written.plus / 100.0,
            reason: written.reason.clone(),
            source: reader.citation(&Cited::One(written.source.clone()))?,
            mark: mark_of(&written.mark)?,
        };
        defaults.tolerances.insert(property, tolerance);
    }
    for (key, written) in &entry.figures {
        let (property, mut figure) = reader.figure(
            key,
            [
                written.low.unwrap_or(written.is),
                written.is,
                written.high.unwrap_or(written.is),
            ],
            &written.unit,
            &Cited::One(written.source.clone()),
            &written.mark,
        )?;
        if let Pedigree::Published(source, mark) = &figure.pedigree {
            figure.pedigree =
                Pedigree::Assumed(format!("{} ({source}; {})", written.reason, mark.words()));
        }
        defaults.figures.insert(property, figure);
    }
    Ok(defaults)
}
