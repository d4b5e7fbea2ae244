//! The operating point: direct current, with a named ladder of fallbacks.
//!
//! 1. Newton's method from the given start (or from zero).
//! 2. *source stepping*: the sources brought up from zero, each solution starting the next.
//! 3. *damped walk*: every unknown tied to its last value by a conductance that fades away
//!    (backward Euler with a capacitor at every node, stepping ever longer).
//!
//! Capacitors are open but for their leakage, inductors are their winding resistance.

use super::newton::Newton;
use crate::circuit::real::{Mask, Real};

/// Iterations allowed for a plain attempt.
const ITERATIONS: usize = 150;

/// How the operating point was reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Newton's method, without help.
    Newton,
    /// Sources brought up in steps.
    SourceStepping,
    /// Damped walk with fading conductances.
    DampedWalk,
    /// Periodic steady state by shooting.
    Shooting,
    /// Periodic steady state by shooting after settling for some periods.
    SettledShooting,
}

impl Method {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Newton => "Newton's method",
            Self::SourceStepping => "sources brought up in steps",
            Self::DampedWalk => "a damped walk with fading conductances",
            Self::Shooting => "shooting",
            Self::SettledShooting => "shooting after settling for some periods",
        }
    }
}

/// Solves a single situation at its present sources and reach. The method that succeeded, or
/// `None`.
pub(super) fn climb<R: Real>(newton: &mut Newton<'_, R>) -> Option<Method> {
    if solved(newton, ITERATIONS) {
        return Some(Method::Newton);
    }
    if source_stepping(newton) {
        return Some(Method::SourceStepping);
    }
    start_over(newton);
    damped_walk(newton, 1.0).then_some(Method::DampedWalk)
}

/// Solves a single situation at its present sources and reach by a damped walk from `from`.
pub(super) fn walk_from<R: Real>(newton: &mut Newton<'_, R>, from: &[R]) -> bool {
    start_over(newton);
    newton.unknowns.copy_from_slice(from);
    damped_walk(newton, 1e-2)
}

fn solved<R: Real>(newton: &mut Newton<'_, R>, most_iterations: usize) -> bool {
    let all = newton.zero.mask(|_| true);
    newton.solve(all, most_iterations).lane(0)
}

fn start_over<R: Real>(newton: &mut Newton<'_, R>) {
    newton.unknowns.fill(newton.zero);
    for lane in 0..R::LANES {
        newton.reset(lane);
    }
}

/// Goes back to what was good, without forgetting the work done since.
fn go_back<'t, R: Real>(newton: &mut Newton<'t, R>, good: &Newton<'t, R>) {
    let iterations = newton.iterations;
    newton.clone_from(good);
    newton.iterations = iterations;
}

fn source_stepping<R: Real>(newton: &mut Newton<'_, R>) -> bool {
    start_over(newton);
    let waves = newton.waves.clone();
    let constants = newton.parameters.constants.clone();
    let bases = newton.bases.clone();
    let (mut done, mut step) = (0.0_f64, 0.1_f64);
    let mut good = newton.clone();
    while done < 1.0 {
        let level = (done + step).min(1.0);
        let scaled = |values: &[R]| values.iter().map(|v| *v * level).collect();
        newton.waves = scaled(&waves);
        newton.parameters.constants = scaled(&constants);
        newton.bases = scaled(&bases);
        if solved(newton, ITERATIONS / 3) {
            done = level;
            step *= 1.5;
            good.clone_from(newton);
        } else {
            go_back(newton, &good);
            step *= 0.25;
            if step < 1e-4 {
                break;
            }
        }
    }
    newton.waves = waves;
    newton.parameters.constants = constants;
    newton.bases = bases;
    done >= 1.0
}

/// From the present unknowns, beginning with that conductance to them [S].
fn damped_walk<R: Real>(newton: &mut Newton<'_, R>, mut damping: f64) -> bool {
    newton.anchors.copy_from_slice(&newton.unknowns);
    let mut good = newton.clone();
    for _ in 0..400 {
        newton.damping = newton.zero.splat(damping);
        if solved(newton, ITERATIONS / 3) {
            newton.anchors.copy_from_slice(&newton.unknowns);
            good.clone_from(newton);
            if damping < 1e-13 {
                newton.damping = newton.zero;
                return solved(newton, ITERATIONS);
            }
            damping *= 0.4;
        } else {
            go_back(newton, &good);
            damping *= 4.0;
            if damping > 1e9 {
                break;
            }
        }
    }
    newton.damping = newton.zero;
    false
}
