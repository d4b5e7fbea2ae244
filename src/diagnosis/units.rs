//! Many units at one place: a prediction that is off for all of them, told apart from a unit that is.
//!
//! What all units read off the prediction on average, beyond what chance leaves of their scatter
//! (Student's t, two-sided 95 %), is a bias of the prediction, or of a whole batch of parts. A unit
//! is bad by itself when it lies farther from the mean of the others than three times what parts,
//! conditions and meter let it; it is then left out of the mean.

use super::parts::Learnt;
use crate::records::Point;

/// Least units of which a bias can be told.
pub const LEAST: usize = 3;
/// How many standard deviations a unit may lie off the others.
const ODD: f64 = 3.0;

/// One place over all units.
#[derive(Debug, Clone, PartialEq)]
pub struct Across {
    /// Where and how.
    pub point: Point,
    /// Serial numbers of the units read there.
    pub units: Vec<String>,
    /// Mean of reading less prediction, odd units left out.
    pub mean: f64,
    /// Half-width of its 95 % interval.
    pub within: f64,
    /// Serial numbers of units that lie off the others.
    pub odd: Vec<String>,
    /// Were the mains noted for all of them, or are there none?
    pub mains_known: bool,
}

impl Across {
    /// Is the prediction itself off?
    #[must_use]
    pub fn biased(&self) -> bool {
        self.mean.abs() > self.within
    }
}

/// Every place that enough units were read at.
#[must_use]
pub fn across(units: &[(String, Learnt)]) -> Vec<Across> {
    let mut points: Vec<&Point> = Vec::new();
    for (_, learnt) in units {
        for residual in &learnt.residuals {
            if !points.iter().any(|known| known.same(&residual.point)) {
                points.push(&residual.point);
            }
        }
    }
    points
        .into_iter()
        .filter_map(|point| at(units, point))
        .collect()
}

fn at(units: &[(String, Learnt)], point: &Point) -> Option<Across> {
    let mut here = Vec::new();
    let mut mains_known = true;
    for (serial, learnt) in units {
        if let Some(one) = learnt.residuals.iter().find(|r| r.point.same(point)) {
            here.push((serial.clone(), one));
            mains_known &= learnt.mains_known;
        }
    }
    if here.len() < LEAST {
        return None;
    }
    let mut odd = Vec::new();
    let mut kept = Vec::new();
    for (index, (serial, one)) in here.iter().enumerate() {
        let others = here.iter().enumerate().filter(|(other, _)| *other != index);
        let mut others: Vec<f64> = others.map(|(_, (_, other))| other.off).collect();
        others.sort_by(f64::total_cmp);
        // The middle of the others: a second odd unit does not draw it away.
        let middle = 0.5 * (others[(others.len() - 1) / 2] + others[others.len() / 2]);
        let allowed = libm::hypot(one.parts, one.meter)
            * libm::sqrt(1.0 + std::f64::consts::FRAC_PI_2 / others.len() as f64);
        if (one.off - middle).abs() > ODD * allowed {
            odd.push(serial.clone());
        } else {
            kept.push(*one);
        }
    }
    if kept.len() < LEAST {
        kept = here.iter().map(|(_, one)| *one).collect();
        odd.clear();
    }
    let count = kept.len() as f64;
    let mean = kept.iter().map(|one| one.off).sum::<f64>() / count;
    let square: f64 = kept
        .iter()
        .map(|one| (one.off - mean) * (one.off - mean))
        .sum();
    let meter = kept.iter().map(|one| one.meter).fold(0.0, f64::max);
    // Readings of one meter agree better than it is right.
    let scatter = libm::sqrt(square / (count - 1.0) / count);
    Some(Across {
        point: point.clone(),
        units: here.into_iter().map(|(serial, _)| serial).collect(),
        mean,
        within: libm::hypot(student(kept.len() - 1) * scatter, 2.0 * meter),
        odd,
        mains_known,
    })
}

/// Student's t for a two-sided 95 % interval, by degrees of freedom (any table).
fn student(freedom: usize) -> f64 {
    const TABLE: [f64; 10] = [
        12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
    ];
    TABLE.get(freedom.max(1) - 1).copied().unwrap_or(2.1)
}
