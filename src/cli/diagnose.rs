//! `preplug diagnose`: which single fault or slip explains the readings of a built unit.

use super::journal::unit_path;
use super::{
    BAD_INPUT, BLOCKED, Format, OPEN, complain, diagnose_json, diagnose_report, files, print,
};
use crate::bench::{self, Standing};
use crate::bringup::{Phase, Rule, Step, steps};
use crate::design::{self, Design};
use crate::diagnosis::{Conditions, Diagnosis, Model, Reading, Taken, diagnose, taken};
use crate::evidence;
use crate::records::{self, Meter, Point, Unit};
use crate::source::SourceSet;
use std::path::Path;

/// What was diagnosed, and from what.
pub(super) struct Found {
    pub path: String,
    pub design: Design,
    pub unit: Unit,
    pub readings: Vec<Reading>,
    /// Currents on record, which are not compared.
    pub currents: Vec<Point>,
    pub dates: [String; 2],
    pub conditions: Conditions,
    pub steps: Vec<Step>,
    /// Readings outside what the healthy box may show, as indices.
    pub outside: Vec<usize>,
    /// Readings that do not count: before a rework, or of another revision.
    pub outdated: usize,
    /// Cold checks that are not on record.
    pub cold_open: usize,
    /// Why nothing is proposed that needs power.
    pub unpowered: Option<String>,
    /// Substitutions whose values are not known.
    pub unknown: Vec<String>,
    pub diagnosis: Diagnosis,
}

/// Runs the command.
pub(super) fn run(path: &str, serial: &str, format: Format) -> u8 {
    match found(path, serial) {
        Ok(found) => {
            match format {
                Format::Text => print(&diagnose_report::text(&found)),
                Format::Json => print(&format!("{:#}\n", diagnose_json::json(&found))),
            }
            if found.diagnosis.healthy() && found.outside.is_empty() {
                OPEN
            } else {
                BLOCKED
            }
        }
        Err(Refused::Said) => BAD_INPUT,
        Err(Refused::Why(why)) => {
            anstream::eprintln!("{why}");
            BAD_INPUT
        }
    }
}

/// Why nothing was diagnosed.
enum Refused {
    /// It was printed.
    Said,
    /// Ready to print.
    Why(String),
}

fn found(path: &str, serial: &str) -> Result<Found, Refused> {
    let read = design::read(path, &files::load).map_err(|refused| {
        complain(&refused.diagnostics, &refused.sources);
        Refused::Said
    })?;
    let mut sources = read.sources;
    let fingerprint = crate::review::fingerprint(&sources).built;
    let unit = unit(path, serial, &read.design, &mut sources)?;
    let (design, unknown) = as_built(path, read.design, &sources, &unit)?;
    let Taken {
        readings,
        currents,
        dates,
        conditions,
    } = taken(&design, &unit, &fingerprint);
    if readings.is_empty() {
        return Err(Refused::Why(no_readings(path, &design, &unit)));
    }
    let meter = readings
        .last()
        .map_or_else(Meter::default, |r| r.meter.clone());
    let evidence = evidence::collect(&design);
    if !evidence.incomplete.is_empty() {
        return Err(Refused::Why(format!(
            "{path} cannot be solved, so nothing can be compared with the readings: {}. Give what is \
             missing in the design file.",
            evidence.incomplete.join(", ")
        )));
    }
    let steps = steps(&design, &evidence, &meter);
    let progress = bench::progress(&design, &steps, &unit, &fingerprint, &Rule::default());
    let unpowered = unpowered(&steps, &progress.standings);
    let places: Vec<Point> = steps
        .iter()
        .filter(|step| step.phase < Phase::PlugIn && !step.place.alone)
        .map(|step| step.place.clone())
        .collect();
    let points: Vec<Point> = readings
        .iter()
        .map(|reading| reading.point.clone())
        .chain(places.iter().cloned())
        .collect();
    let model = Model::new(&design, &points, &conditions, meter.input);
    let diagnosis = diagnose(&model, &readings, &places, &meter, unpowered.is_some());
    let Some(diagnosis) = diagnosis else {
        return Err(Refused::Why(format!(
            "nothing could be computed that the readings of unit {serial} can be compared with: \
             measure at the steps of the bring-up, `preplug bench {path} --unit {serial}`"
        )));
    };
    let outside = outside(&steps, &progress.standings, &readings);
    let cold_open = steps
        .iter()
        .zip(&progress.standings)
        .filter(|(step, standing)| step.phase == Phase::Cold && **standing == Standing::Open)
        .count();
    Ok(Found {
        path: path.to_owned(),
        design,
        outdated: progress.outdated,
        unit,
        readings,
        currents,
        dates,
        conditions,
        steps,
        outside,
        cold_open,
        unpowered,
        unknown,
        diagnosis,
    })
}

fn unit(
    path: &str,
    serial: &str,
    design: &Design,
    sources: &mut SourceSet,
) -> Result<Unit, Refused> {
    let Some(file) = unit_path(path, serial) else {
        return Err(Refused::Why(format!(
            "`{serial}` is no serial number for a file: use letters, digits, `-`, `_` and `.`"
        )));
    };
    let shown = file.to_string_lossy().into_owned();
    let bytes = files::load(&shown).map_err(|why| {
        let known = files::companions(path).units;
        let known: Vec<&str> = known
            .iter()
            .filter_map(|unit| Path::new(unit).file_stem()?.to_str())
            .collect();
        let known = if known.is_empty() {
            "no unit of this design is on record".to_owned()
        } else {
            format!("on record: {}", known.join(", "))
        };
        Refused::Why(format!(
            "cannot open {shown}, the record of unit {serial}: {why}; {known}. Measure it with \
             `preplug bench {path} --unit {serial}`."
        ))
    })?;
    let (unit, warnings) = records::read(&shown, bytes, design, sources).map_err(|mistakes| {
        complain(&mistakes, sources);
        Refused::Said
    })?;
    if !warnings.is_empty() {
        complain(&warnings, sources);
    }
    Ok(unit)
}

/// The box as this unit was built, and substitutions whose values are not known.
fn as_built(
    path: &str,
    design: Design,
    sources: &SourceSet,
    unit: &Unit,
) -> Result<(Design, Vec<String>), Refused> {
    let Some((_, file)) = sources
        .files()
        .next()
        .filter(|_| !unit.substitutions.is_empty())
    else {
        return Ok((design, Vec::new()));
    };
    let built = bench::as_built(&design, &file.text, &unit.substitutions);
    let load = |wanted: &str| {
        if wanted == path {
            Ok(built.text.clone().into_bytes())
        } else {
            files::load(wanted)
        }
    };
    match design::read(path, &load) {
        Ok(read) => Ok((read.design, built.unknown)),
        Err(refused) => Err(Refused::Why(format!(
            "with the substitutions of {} the design cannot be read: {}",
            unit.path,
            refused
                .diagnostics
                .first()
                .map_or("no reason", |d| d.message.as_str())
        ))),
    }
}

fn no_readings(path: &str, design: &Design, unit: &Unit) -> String {
    let all: usize = unit
        .sessions
        .iter()
        .map(|session| session.readings.len())
        .sum();
    let serial = &unit.serial;
    if all == 0 {
        return format!(
            "{}: unit {serial} has no reading on record, so there is nothing to explain. Measure it \
             with `preplug bench {path} --unit {serial}`.",
            unit.path
        );
    }
    let revision = design.revision.as_deref().unwrap_or("without a name");
    let why = if unit.reworks.is_empty() {
        format!(
            "they were taken of another state of the design than revision {revision} as it now stands"
        )
    } else {
        format!(
            "they were taken before the unit was reworked, or of another state of the design than \
             revision {revision} as it now stands"
        )
    };
    format!(
        "{}: none of the {all} readings of unit {serial} counts: {why}. Measure it anew with `preplug \
         bench {path} --unit {serial}`.",
        unit.path
    )
}

/// Why the supply must stay off, if it must.
fn unpowered(steps: &[Step], standings: &[Standing]) -> Option<String> {
    steps.iter().zip(standings).find_map(|(step, standing)| {
        let Standing::Judged(reads, verdict) = standing else {
            return None;
        };
        let beyond = step
            .halt
            .is_some_and(|halt| *reads < halt.low || *reads > halt.high);
        let cold = step.phase == Phase::Cold && !verdict.passes();
        (beyond || cold).then(|| {
            format!(
                "step {} ({}) reads {}, beyond its stop limit",
                step.number,
                step.place.describe(),
                bench::shown(*reads, step.place.unit)
            )
        })
    })
}

/// The readings of the steps that did not pass.
fn outside(steps: &[Step], standings: &[Standing], readings: &[Reading]) -> Vec<usize> {
    let failed: Vec<(&Step, f64)> = steps
        .iter()
        .zip(standings)
        .filter_map(|(step, standing)| match standing {
            Standing::Judged(reads, verdict) if !verdict.passes() => Some((step, *reads)),
            _ => None,
        })
        .collect();
    (0..readings.len())
        .filter(|index| {
            let reading = &readings[*index];
            failed.iter().any(|(step, reads)| {
                let same = reads.total_cmp(&reading.reads).is_eq();
                same && step.place.net == reading.point.net
                    && step.place.unit == reading.point.unit
                    && step.place.jack == reading.point.jack
            })
        })
        .collect()
}
