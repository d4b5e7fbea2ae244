//! Random parts, mains and temperature: the same seeded draws for every hypothesis.
//!
//! Each parameter is drawn evenly over its spread (between nominal and either end evenly, where
//! these lie unevenly), one draw in each of as many equal slices as there are draws, shuffled for
//! each parameter by itself (Latin hypercube sampling, 1979, from memory). All readings of one draw
//! share its parts and its mains, so that what moves them together does so here.

use crate::catalogue::{Kind, Property};
use crate::design::Design;
use crate::quantity::Spread;
use crate::situations::{Corner, Level, Parameter, parameters};

/// What is known of the conditions in which readings were taken.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Conditions {
    /// Lowest and highest mains voltage noted [V].
    pub mains: Option<[f64; 2]>,
    /// Lowest and highest room temperature noted [°C].
    pub ambient: Option<[f64; 2]>,
}

/// How far the mains wander while a box is measured, as a share (project choice).
const MAINS_WANDERS: f64 = 0.01;
/// How far the air in the box may be off the room's [K] (project choice): above it only.
const BOX_WARMER: f64 = 10.0;

/// Numbers without a pattern, the same on every machine (`SplitMix64`, Steele, Lea and Flood 2014).
#[derive(Debug, Clone)]
pub struct Numbers(u64);

impl Numbers {
    /// From a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly between 0 and 1.
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        let drawn = self.bits() % count as u64;
        usize::try_from(drawn).unwrap_or(0)
    }

    fn shuffled(&mut self, count: usize) -> Vec<usize> {
        let mut order: Vec<usize> = (0..count).collect();
        for last in (1..count).rev() {
            order.swap(last, self.below(last + 1));
        }
        order
    }
}

/// The seed of the hypotheses' draws.
const SEED: u64 = 0x5eed;

/// Everything that is uncertain: what the corners move, and the end resistances of potentiometers.
#[must_use]
pub fn uncertain(design: &Design) -> Vec<Parameter> {
    let mut all = parameters(design);
    for part in design.parts.values() {
        let end = part.figure(Property::EndResistance);
        if part.kind == Kind::Potentiometer && end.is_some_and(|end| end.spread.is_spread()) {
            let reference = part.reference.clone();
            all.push(Parameter::Figure(reference, Property::EndResistance));
        }
    }
    all
}

/// So many corners, parameters drawn at random.
pub(super) fn draws(design: &Design, conditions: &Conditions, count: usize) -> Vec<Corner> {
    let mut numbers = Numbers::new(SEED);
    let mut corners = vec![Corner::nominal(); count];
    for parameter in uncertain(design) {
        let slices = numbers.shuffled(count);
        for (corner, slice) in corners.iter_mut().zip(slices) {
            let share = (slice as f64 + numbers.share()) / count as f64;
            let level = level(design, conditions, &parameter, share);
            *corner = std::mem::take(corner).with(parameter.clone(), level);
        }
    }
    corners
}

/// Where a parameter stands at a share of its way from low to high.
#[must_use]
pub fn level(design: &Design, conditions: &Conditions, parameter: &Parameter, share: f64) -> Level {
    match parameter {
        // The models know three fits of a junction and none between.
        Parameter::Drop(_) if share < 1.0 / 3.0 => Level::Low,
        Parameter::Drop(_) if share > 2.0 / 3.0 => Level::High,
        Parameter::Drop(_) => Level::Nominal,
        Parameter::Mains => match (conditions.mains, design.conditions.mains) {
            (Some([low, high]), Some(mains)) => {
                let [low, high] = [low * (1.0 - MAINS_WANDERS), high * (1.0 + MAINS_WANDERS)];
                standing(mains.voltage, low + share * (high - low))
            }
            _ => way(2.0 * share - 1.0),
        },
        Parameter::Ambient => match conditions.ambient {
            Some([low, high]) => {
                let high = high + BOX_WARMER;
                standing(design.conditions.ambient, low + share * (high - low))
            }
            None => way(2.0 * share - 1.0),
        },
        _ => way(2.0 * share - 1.0),
    }
}

/// The level at which a spread has a value, which may lie beyond its ends.
pub(super) fn standing(spread: Spread, value: f64) -> Level {
    let end = if value < spread.nominal {
        spread.nominal - spread.low
    } else {
        spread.high - spread.nominal
    };
    way(if end > 0.0 {
        (value - spread.nominal) / end
    } else {
        0.0
    })
}

/// `−1` is low, `1` high.
fn way(way: f64) -> Level {
    #[allow(clippy::cast_possible_truncation, reason = "within ± 32 000")]
    let thousandths = libm::round(way.clamp(-32.0, 32.0) * 1000.0) as i16;
    if thousandths == 0 {
        Level::Nominal
    } else {
        Level::Between(thousandths)
    }
}
