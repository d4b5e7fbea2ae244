//! How the readings of one unit moved between sessions.

use crate::records::Unit;

/// One point, first and last time.
#[derive(Debug, Clone, PartialEq)]
pub struct Drift {
    /// The point, in words.
    pub point: String,
    /// Its unit.
    pub unit: crate::quantity::Unit,
    /// Day and value of the first reading.
    pub first: (String, f64),
    /// Day and value of the last reading.
    pub last: (String, f64),
    /// Expanded uncertainty of the difference, k = 2: both meters together.
    pub expanded: f64,
}

impl Drift {
    /// How far it moved.
    #[must_use]
    pub fn change(&self) -> f64 {
        self.last.1 - self.first.1
    }

    /// More than the meters can err?
    #[must_use]
    pub fn seen(&self) -> bool {
        self.change().abs() > self.expanded
    }
}

/// Every voltage that was read in more than one session. What was read before a rework is left out.
#[must_use]
pub fn drifts(unit: &Unit) -> Vec<Drift> {
    let reworked = unit.reworks.iter().map(|rework| rework.order).max();
    let mut drifts: Vec<(crate::records::Point, f64, Drift)> = Vec::new();
    for session in &unit.sessions {
        for reading in &session.readings {
            let point = &reading.point;
            let counts = reworked.is_none_or(|rework| reading.order > rework);
            if point.unit != crate::quantity::Unit::Volt || !counts {
                continue;
            }
            let u = session.meter.uncertainty(reading.reads, point.unit);
            let now = (session.date.clone(), reading.reads);
            match drifts.iter_mut().find(|(known, ..)| known.same(point)) {
                Some((_, first, drift)) => {
                    drift.last = now;
                    drift.expanded = 2.0 * libm::hypot(*first, u);
                }
                None => drifts.push((
                    point.clone(),
                    u,
                    Drift {
                        point: point.describe(),
                        unit: point.unit,
                        first: now.clone(),
                        last: now,
                        expanded: 0.0,
                    },
                )),
            }
        }
    }
    let twice = drifts.into_iter().map(|(_, _, drift)| drift);
    twice
        .filter(|drift| drift.expanded > 0.0 && drift.first.0 != drift.last.0)
        .collect()
}
