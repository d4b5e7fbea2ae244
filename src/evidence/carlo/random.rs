//! Random numbers by place: the number for a run and a parameter depends on nothing but these and
//! the seed, so that the answer is the same in any order, on any number of threads.
//!
//! The generator is `SplitMix64` (Steele, Lea, Flood 2014), whose outputs are a mixed counter.

use crate::quantity::Spread;
use crate::situations::{Level, Parameter};

/// The counter's step, 2⁶⁴ over the golden ratio.
const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

/// Output `index` (from 0) of the generator seeded with `seed`.
fn output(seed: u64, index: u64) -> u64 {
    let mut z = seed.wrapping_add(STEP.wrapping_mul(index.wrapping_add(1)));
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// A number in 0..1.
fn uniform(seed: u64, index: u64) -> f64 {
    // The upper 53 bits: every number a double can tell apart there.
    (output(seed, index) >> 11) as f64 / (1_u64 << 53) as f64
}

/// Where a parameter stands in a run. Of a figure nothing is known but its limits, so that every
/// value between them is as likely as any other (JCGM 101:2008 6.4.2, rectangular distribution;
/// clause from memory). A forward drop has three fits: half of the runs take the typical one, a
/// quarter each of the ends.
pub(super) fn level(seed: u64, index: u64, parameter: &Parameter, spread: Option<Spread>) -> Level {
    let u = uniform(seed, index);
    if matches!(parameter, Parameter::Drop(_)) {
        return if u < 0.25 {
            Level::Low
        } else if u < 0.75 {
            Level::Nominal
        } else {
            Level::High
        };
    }
    // The nominal may stand anywhere between the limits; without one, in the middle.
    let below = spread.map_or(0.5, |spread| {
        let width = spread.high - spread.low;
        if width > 0.0 {
            ((spread.nominal - spread.low) / width).clamp(0.0, 1.0)
        } else {
            0.5
        }
    });
    let way = if u < below {
        -(below - u) / below
    } else {
        (u - below) / (1.0 - below)
    };
    #[allow(clippy::cast_possible_truncation, reason = "at most 1000 either way")]
    Level::Between(libm::round(way * 1000.0) as i16)
}

#[cfg(test)]
mod tests {
    use super::{level, output, uniform};
    use crate::catalogue::Property;
    use crate::quantity::Spread;
    use crate::situations::Parameter;

    /// The first outputs for the seed 1234567 as published with the generator's reference code
    /// (from memory).
    #[test]
    fn the_generator_gives_its_published_numbers() {
        let published = [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
            4_593_380_528_125_082_431,
            16_408_922_859_458_223_821,
        ];
        for (index, number) in (0..).zip(published) {
            assert_eq!(output(1_234_567, index), number);
        }
    }

    /// Mean and standard deviation of 100 000 numbers: ½ and 1/√12, within four standard errors.
    #[test]
    fn numbers_are_uniform() {
        let n = 100_000_u64;
        let mean = (0..n).map(|k| uniform(7, k)).sum::<f64>() / n as f64;
        let square = (0..n).map(|k| (uniform(7, k) - 0.5).powi(2)).sum::<f64>() / n as f64;
        assert!((mean - 0.5).abs() < 4.0 * (1.0 / 12.0_f64 / n as f64).sqrt());
        assert!((square - 1.0 / 12.0).abs() < 4.0 * (1.0 / 180.0_f64 / n as f64).sqrt());
    }

    /// A value of −20/+80 % is uniform between its ends: its mean lies 30 % above nominal.
    #[test]
    fn lopsided_spreads_are_uniform_between_their_ends() {
        let spread = Spread {
            low: 80.0,
            nominal: 100.0,
            high: 180.0,
        };
        let parameter = Parameter::Figure("C1".into(), Property::Value);
        let n = 20_000_u64;
        let values = (0..n).map(|k| level(3, k, &parameter, Some(spread)).of(spread));
        let mean = values.sum::<f64>() / n as f64;
        assert!(
            (mean - 130.0).abs() < 4.0 * 100.0 / (12.0 * n as f64).sqrt(),
            "{mean}"
        );
    }
}
