//! The operating point: direct current, with a named ladder of fallbacks.
//!
//! 1. Newton's method from the given start (or from zero).
//! 2. *source stepping*: the sources brought up from zero, each solution starting the next.
//! 3. *damped walk*: every unknown tied to its last value by a conductance that fades away
//!    (backward Euler with a capacitor at every node, stepping ever longer).
//!
//! Capacitors are open but for their leakage, inductors are their winding resistance.

use super::newton::Newton;

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

/// Solves lane 0 of `newton` at its present sources and reach. The method that succeeded, or
/// `None`.
pub(super) fn climb(newton: &mut Newton<'_, f64>) -> Option<Method> {
    if newton.solve(true, ITERATIONS) {
        return Some(Method::Newton);
    }
    if source_stepping(newton) {
        return Some(Method::SourceStepping);
    }
    damped_walk(newton).then_some(Method::DampedWalk)
}

fn start_over(newton: &mut Newton<'_, f64>) {
    newton.unknowns.fill(0.0);
    newton.reset(0);
}

fn source_stepping(newton: &mut Newton<'_, f64>) -> bool {
    start_over(newton);
    let waves = newton.waves.clone();
    let constants = newton.parameters.constants.clone();
    let bases = newton.bases.clone();
    let (mut done, mut step) = (0.0_f64, 0.1_f64);
    let mut good = newton.clone();
    while done < 1.0 {
        let level = (done + step).min(1.0);
        let scaled = |values: &[f64]| values.iter().map(|v| v * level).collect();
        newton.waves = scaled(&waves);
        newton.parameters.constants = scaled(&constants);
        newton.bases = scaled(&bases);
        if newton.solve(true, ITERATIONS / 3) {
            done = level;
            step *= 1.5;
            good.clone_from(newton);
        } else {
            let iterations = newton.iterations;
            newton.clone_from(&good);
            newton.iterations = iterations;
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

fn damped_walk(newton: &mut Newton<'_, f64>) -> bool {
    start_over(newton);
    let mut damping = 1.0;
    newton.anchors.copy_from_slice(&newton.unknowns);
    let mut good = newton.clone();
    for _ in 0..400 {
        newton.damping = damping;
        if newton.solve(true, ITERATIONS / 3) {
            newton.anchors.copy_from_slice(&newton.unknowns);
            good.clone_from(newton);
            if damping < 1e-13 {
                newton.damping = 0.0;
                return newton.solve(true, ITERATIONS);
            }
            damping *= 0.4;
        } else {
            let iterations = newton.iterations;
            newton.clone_from(&good);
            newton.iterations = iterations;
            damping *= 4.0;
            if damping > 1e9 {
                break;
            }
        }
    }
    newton.damping = 0.0;
    false
}
