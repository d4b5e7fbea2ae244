//! What was read of a unit, and under which conditions.

use super::draws::Conditions;
use super::rank::Reading;
use crate::bench::counting;
use crate::design::Design;
use crate::quantity;
use crate::records::{self, Point, Session, Unit};

/// The readings of a unit that count.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The latest of each place, in their order.
    pub readings: Vec<Reading>,
    /// Currents among the readings: they are not compared. (Nor are supplies by themselves, which
    /// say nothing of the box.)
    pub currents: Vec<Point>,
    /// First and last day, year-month-day; empty without readings.
    pub dates: [String; 2],
    /// What was noted of mains and room: only what every session noted.
    pub conditions: Conditions,
}

/// The latest voltage or resistance of each place, of the readings that count.
#[must_use]
pub fn taken(design: &Design, unit: &Unit, fingerprint: &str) -> Taken {
    let mut latest: Vec<(&Session, &records::Reading)> = Vec::new();
    let mut currents = Vec::new();
    let mut counting = counting(design, unit, fingerprint);
    counting.sort_by_key(|(_, reading)| reading.order);
    for (session, reading) in counting {
        if reading.point.unit == quantity::Unit::Ampere {
            currents.push(reading.point.clone());
            continue;
        }
        if reading.point.alone {
            continue;
        }
        latest.retain(|(_, known)| !known.point.same(&reading.point));
        latest.push((session, reading));
    }
    let range = |of: fn(&Session) -> Option<f64>| -> Option<[f64; 2]> {
        let noted: Option<Vec<f64>> = latest.iter().map(|(session, _)| of(session)).collect();
        let noted = noted.filter(|noted| !noted.is_empty())?;
        let ends = (f64::INFINITY, f64::NEG_INFINITY);
        let widen = |(low, high): (f64, f64), value: &f64| (low.min(*value), high.max(*value));
        let (low, high) = noted.iter().fold(ends, widen);
        Some([low, high])
    };
    let days = || latest.iter().map(|(session, _)| session.date.clone());
    Taken {
        readings: latest
            .iter()
            .map(|(session, reading)| Reading {
                point: reading.point.clone(),
                reads: reading.reads,
                meter: session.meter.clone(),
            })
            .collect(),
        currents,
        dates: [days().min(), days().max()].map(Option::unwrap_or_default),
        conditions: Conditions {
            mains: range(|session| session.mains),
            ambient: range(|session| session.ambient),
        },
    }
}
