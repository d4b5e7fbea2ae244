//! Outputs over time: which traces are kept, and how many of their points.

use super::Trace;
use std::collections::BTreeSet;

/// Most points that are kept of a trace.
const MOST: usize = 400;

/// Keeps a trace that goes lower or higher than those of the same net and event so far, and of
/// these only the ones that still do.
pub(super) fn keep_extreme(traces: &mut Vec<Trace>, trace: Trace) {
    let ends = |trace: &Trace| {
        let values = trace.points.iter().map(|(_, volts)| *volts);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), volts| {
            (low.min(volts), high.max(volts))
        })
    };
    let (net, event) = (trace.net.clone(), trace.event);
    let (mut alike, others): (Vec<Trace>, Vec<Trace>) = std::mem::take(traces)
        .into_iter()
        .partition(|other| other.net == net && other.event == event);
    alike.push(trace);
    let at = |better: &dyn Fn((f64, f64), (f64, f64)) -> bool| {
        (1..alike.len()).fold(0, |best, index| {
            if better(ends(&alike[index]), ends(&alike[best])) {
                index
            } else {
                best
            }
        })
    };
    let kept = BTreeSet::from([at(&|a, b| a.0 < b.0), at(&|a, b| a.1 > b.1)]);
    *traces = others;
    let chosen = alike.into_iter().enumerate();
    traces.extend(chosen.filter_map(|(index, trace)| kept.contains(&index).then_some(trace)));
}

/// The points of a polygon that stays within a thousandth of the voltages' range of all,
/// [`MOST`] of them at most: a point that lies farther from the line between two kept ones is kept
/// (Douglas and Peucker 1973, here by the distance in volts). The extremes stay exact.
pub(super) fn thinned(time: &[f64], volts: &[f64]) -> Vec<(f64, f64)> {
    let points: Vec<(f64, f64)> = time.iter().copied().zip(volts.iter().copied()).collect();
    let by_volts = |a: &usize, b: &usize| points[*a].1.total_cmp(&points[*b].1);
    let (Some(lowest), Some(highest)) = (
        (0..points.len()).min_by(by_volts),
        (0..points.len()).max_by(by_volts),
    ) else {
        return points;
    };
    let ends = BTreeSet::from([0, lowest, highest, points.len() - 1]);
    let mut allowed = 1e-3 * (points[highest].1 - points[lowest].1);
    loop {
        let mut kept = ends.clone();
        let ends: Vec<usize> = ends.iter().copied().collect();
        let mut open: Vec<(usize, usize)> =
            ends.windows(2).map(|pair| (pair[0], pair[1])).collect();
        while let Some((from, to)) = open.pop() {
            let (a, b) = (points[from], points[to]);
            let off = |index: &usize| {
                let (t, v) = points[*index];
                (v - a.1 - (b.1 - a.1) * (t - a.0) / (b.0 - a.0)).abs()
            };
            let farthest = (from + 1..to).max_by(|a, b| off(a).total_cmp(&off(b)));
            if let Some(farthest) = farthest.filter(|index| off(index) > allowed) {
                kept.insert(farthest);
                open.extend([(from, farthest), (farthest, to)]);
            }
        }
        if kept.len() <= MOST {
            return kept.into_iter().map(|index| points[index]).collect();
        }
        allowed *= 2.0;
    }
}

#[cfg(test)]
mod tests {
    use super::{keep_extreme, thinned};
    use crate::evidence::Trace;

    /// A spike of one point among ten thousand is kept, and so are both ends.
    #[test]
    fn thinning_keeps_every_extreme() {
        let time: Vec<f64> = (0..10_000).map(f64::from).collect();
        let mut volts = vec![1.0; 10_000];
        volts[4321] = 9.0;
        volts[8765] = -3.0;
        let kept = thinned(&time, &volts);
        assert!(kept.len() <= 402, "{}", kept.len());
        assert!(kept.contains(&(4321.0, 9.0)) && kept.contains(&(8765.0, -3.0)));
        assert_eq!((kept[0].0, kept[kept.len() - 1].0), (0.0, 9999.0));
    }

    /// Of many, the one that goes highest and the one that goes lowest; of one, itself.
    #[test]
    fn the_farthest_two_are_kept() {
        let mut traces = Vec::new();
        for (situation, volts) in [1.0, 5.0, -2.0, 3.0].into_iter().enumerate() {
            let trace = |net: &str| Trace {
                net: net.to_owned(),
                event: "switch-on",
                situation,
                points: vec![(0.0, 0.0), (1.0, volts)],
            };
            keep_extreme(&mut traces, trace("out"));
        }
        let mut kept: Vec<usize> = traces.iter().map(|trace| trace.situation).collect();
        kept.sort_unstable();
        assert_eq!(kept, [1, 2]);
    }
}
