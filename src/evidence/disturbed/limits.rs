//! Absolute ratings that a stress is compared with, to say which parts a fault takes along.

use super::Overstress;
use crate::catalogue::{Kind, Property};
use crate::design::{Design, Part};
use crate::evidence::Stress;
use crate::evidence::observe::Layout;
use crate::situations::Situation;

/// Reverse voltage that an aluminium electrolytic or a tantalum capacitor takes [V], makers'
/// guides (from memory).
const REVERSE: f64 = 1.0;

/// The stresses of a kind of part that end it, and the rating of each.
fn ratings(kind: Kind) -> &'static [(Stress, Property)] {
    use Property as P;
    use Stress as S;
    match kind {
        Kind::Electrolytic | Kind::Tantalum | Kind::Ceramic | Kind::Film => {
            &[(S::PeakVoltage, P::Rating)]
        }
        Kind::Diode | Kind::Bridge => &[
            (S::ReverseVoltage, P::ReverseVoltage),
            (S::CurrentMean, P::Current),
        ],
        Kind::Led => &[(S::CurrentMean, P::Current)],
        Kind::Zener
        | Kind::TransientSuppressor
        | Kind::Resistor
        | Kind::Thermistor
        | Kind::Potentiometer => &[(S::Dissipation, P::Power)],
        Kind::Regulator => &[
            (S::InputVoltage, P::InputLimit),
            (S::Junction, P::JunctionLimit),
        ],
        Kind::AdjustableRegulator => &[
            (S::InputOutput, P::InputOutputLimit),
            (S::Junction, P::JunctionLimit),
        ],
        Kind::OpAmp => &[(S::Supply, P::SupplyLimit), (S::Junction, P::JunctionLimit)],
        Kind::ShuntReference => &[(S::Dissipation, P::Power), (S::CurrentMean, P::Current)],
        Kind::Bipolar => &[
            (S::PeakVoltage, P::CollectorVoltage),
            (S::CurrentMean, P::Current),
        ],
        Kind::Optocoupler => &[
            (S::CurrentMean, P::Current),
            (S::PeakVoltage, P::CollectorVoltage),
        ],
        Kind::Mosfet => &[
            (S::PeakVoltage, P::DrainVoltage),
            (S::CurrentMean, P::Current),
        ],
        Kind::AcAdaptor | Kind::DcAdaptor | Kind::Battery | Kind::Transformer | Kind::Fuse => {
            &[(S::CurrentRms, P::Current)]
        }
        _ => &[],
    }
}

/// Adds what is beyond its rating in a solved situation, keeping the worst of each part and stress;
/// what is so in the healthy box already, by the highest of each slot there, is left to the checks
/// of that.
pub(super) fn add(
    design: &Design,
    layout: &Layout,
    healthy: &[f64],
    values: &[f64],
    situation: &Situation,
    found: &mut Vec<Overstress>,
) {
    for part in design.parts.values() {
        let reversed = matches!(part.kind, Kind::Electrolytic | Kind::Tantalum)
            .then_some((Stress::ReverseVoltage, REVERSE));
        let rated = ratings(part.kind)
            .iter()
            .filter_map(|(stress, property)| Some((*stress, rating(part, *property)?)));
        for (stress, limit) in rated.chain(reversed) {
            let Some(slot) = layout.stress(&part.reference, stress) else {
                continue;
            };
            let value = values[slot];
            if value.is_nan() || value <= limit || healthy[slot] > limit {
                continue;
            }
            let one = Overstress {
                part: part.reference.clone(),
                stress,
                value,
                limit,
                situation: situation.clone(),
            };
            match found
                .iter_mut()
                .find(|known| known.part == one.part && known.stress == stress)
            {
                Some(known) if known.value < value => *known = one,
                Some(_) => {}
                None => found.push(one),
            }
        }
    }
}

fn rating(part: &Part, property: Property) -> Option<f64> {
    part.figure(property)
        .map(|figure| figure.spread.nominal.abs())
}
