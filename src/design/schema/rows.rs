//! The rows: terminals, figures and words of each kind.

use super::Allowed::{Any, Flag, Law, One, TabTo};
use super::{Allowed, Row, Terminals, Wiring, Word};
use crate::catalogue::{Kind, Property, Property as P};

const fn set(required: &'static [&'static str], optional: &'static [&'static str]) -> Terminals {
    Terminals { required, optional }
}

const fn must(key: &'static str, allowed: Allowed) -> Word {
    Word {
        key,
        allowed,
        required: true,
    }
}

const fn may(key: &'static str, allowed: Allowed) -> Word {
    Word {
        key,
        allowed,
        required: false,
    }
}

const AB: Wiring = Wiring::Terminals(&[set(&["a", "b"], &[])]);
const POLAR: Wiring = Wiring::Terminals(&[set(&["positive", "negative"], &[])]);
const DIODE: Wiring = Wiring::Terminals(&[set(&["anode", "cathode"], &[])]);

/// Mounting of parts that get hot.
const HEAT: &[Property] = &[
    P::JunctionLimit,
    P::JunctionToAmbient,
    P::JunctionToCase,
    P::JunctionToLead,
    P::CaseToSink,
    P::Heatsink,
];
const TAB: Word = may("tab-to", TabTo);
const INSULATOR: Word = may(
    "insulator",
    One(&["mica", "silicone", "ceramic", "polyimide"]),
);
const CONTROL: Word = may("control", Any);
const CLASS: Word = may("class", One(&["I", "II", "III"]));
const CONTACT: &[Property] = &[P::Voltage, P::Current, P::ContactResistance];
const CONTACTS: Word = must("contacts", One(&["TS", "TRS"]));
const OUTSIDE: Word = may("where", One(&["outside", "inside"]));

/// Lists joined at compile time.
macro_rules! joined {
    ($first:expr, $second:expr) => {{
        const LENGTH: usize = $first.len() + $second.len();
        const JOINED: [Property; LENGTH] = {
            let mut all = [P::Value; LENGTH];
            let mut at = 0;
            while at < LENGTH {
                all[at] = if at < $first.len() {
                    $first[at]
                } else {
                    $second[at - $first.len()]
                };
                at += 1;
            }
            all
        };
        &JOINED
    }};
}

const JUNCTION: &[Property] = joined!(
    HEAT,
    [
        P::ForwardVoltage,
        P::TestCurrent,
        P::SaturationCurrent,
        P::Ideality,
        P::SeriesResistance,
        P::SurgeCurrent,
        P::SurgeIntegral,
        P::CapacitiveDerating,
        P::LeakageCurrent,
        P::TemperatureCoefficient,
        P::Power
    ]
);

const CAPACITOR: &[Property] = &[
    P::Esr,
    P::RippleCurrent,
    P::LeakageCurrent,
    P::Life,
    P::TemperatureLimit,
    P::ReverseVoltage,
    P::Size,
];

const REGULATOR: &[Property] = joined!(
    HEAT,
    [
        P::Current,
        P::DropoutLight,
        P::QuiescentCurrent,
        P::ShortCircuitCurrent,
        P::PeakCurrent,
        P::LineRegulation,
        P::LoadRegulation,
        P::LineRegulationRatio,
        P::LoadRegulationRatio,
        P::RippleRejection,
        P::TemperatureCoefficient,
        P::MinimumLoad,
        P::InputCapacitor,
        P::OutputCapacitor,
        P::InputRange,
        P::LoadRange,
        P::Output25c,
        P::AdjustCurrent,
        P::Power
    ]
);

/// The row of a kind.
#[must_use]
pub fn row(kind: Kind) -> &'static Row {
    // Every kind has its row; a test holds the table to that.
    ROWS.iter().find(|row| row.kind == kind).unwrap_or(&ROWS[0])
}

macro_rules! rows {
    ($($kind:ident $name:literal $wiring:expr;
        needs $needs:expr; may $may:expr; words $words:expr;)*) => {
        /// One row per kind, in the order of [`Kind::ALL`].
        pub const ROWS: &[Row] = &[$(Row {
            kind: Kind::$kind,
            name: $name,
            wiring: $wiring,
            needs: $needs,
            may: $may,
            words: $words,
        },)*];
    };
}

rows! {
    AcAdaptor "an ac-adaptor" Wiring::Terminals(&[set(&["live", "common"], &[])]);
        needs &[&[P::Output], &[P::Current, P::Va]];
        may &[P::OpenCircuit, P::Resistance, P::Primary];
        words &[CLASS, OUTSIDE];
    DcAdaptor "a dc-adaptor" POLAR;
        needs &[&[P::Output], &[P::Current]];
        may &[P::OpenCircuit, P::ShortCircuitCurrent, P::Resistance];
        words &[must("regulated", Flag), CLASS, OUTSIDE,
            may("plug-polarity", One(&["centre-positive", "centre-negative"]))];
    Battery "a battery" POLAR;
        needs &[&[P::Fresh], &[P::Flat]];
        may &[P::Value, P::Resistance, P::Current, P::ShortCircuitCurrent];
        words &[may("chemistry", Any)];
    Transformer "a transformer" Wiring::Terminals(&[
            set(&["secondary1", "secondary2"], &["centre", "primary1", "primary2"]),
            set(&["a1", "a2", "b1", "b2"], &["primary1", "primary2"]),
        ]);
        needs &[&[P::Output], &[P::Current, P::Va]];
        may &[P::OpenCircuit, P::Resistance, P::Primary];
        words &[CLASS, must("where", One(&["outside", "inside"]))];
    Fuse "a fuse" AB;
        needs &[&[P::Current]];
        may &[P::Voltage, P::MeltingIntegral, P::Resistance];
        words &[may("speed", One(&["FF", "F", "M", "T", "TT"]))];
    Ptc "a ptc" AB;
        needs &[&[P::HoldCurrent]];
        may &[P::Value, P::TripCurrent, P::Resistance, P::Voltage, P::Current, P::Power,
            P::TemperatureLimit];
        words &[];
    Diode "a diode" DIODE;
        needs &[&[P::ReverseVoltage], &[P::Current]];
        may JUNCTION;
        words &[may("technology", One(&["silicon", "schottky"]))];
    Bridge "a bridge" Wiring::Terminals(&[set(&["ac1", "ac2", "positive", "negative"], &[])]);
        needs &[&[P::ReverseVoltage], &[P::Current]];
        may JUNCTION;
        words &[may("technology", One(&["silicon", "schottky"])), TAB, INSULATOR];
    Zener "a zener" DIODE;
        needs &[&[P::Value]];
        may joined!(JUNCTION, [P::DynamicResistance, P::Current]);
        words &[];
    Led "an LED" DIODE;
        needs &[&[P::ForwardVoltage]];
        may joined!(HEAT, [P::Current, P::ReverseVoltage, P::TestCurrent, P::SurgeCurrent,
            P::SaturationCurrent, P::Ideality, P::SeriesResistance, P::TemperatureCoefficient,
            P::LeakageCurrent, P::Power]);
        words &[may("colour", Any)];
    TransientSuppressor "a transient-suppressor" Wiring::Terminals(&[
            set(&["anode", "cathode"], &[]),
            set(&["a", "b"], &[]),
        ]);
        needs &[&[P::Value]];
        may joined!(JUNCTION, [P::DynamicResistance, P::PeakCurrent, P::Rating]);
        words &[];
    Resistor "a resistor" AB;
        needs &[&[P::Value]];
        may &[P::Power, P::VoltageLimit, P::TemperatureLimit, P::JunctionToAmbient, P::Size];
        words &[may("technology", Any)];
    Thermistor "a thermistor" AB;
        needs &[&[P::Value], &[P::Beta]];
        may &[P::Power, P::TemperatureLimit, P::JunctionToAmbient];
        words &[];
    Potentiometer "a potentiometer" Wiring::Terminals(&[set(&["cw", "wiper", "ccw"], &[])]);
        needs &[&[P::Value]];
        may &[P::Power, P::EndResistance, P::WiperCurrent, P::VoltageLimit, P::TemperatureLimit];
        words &[must("law", Law), CONTROL, may("technology", Any)];
    Electrolytic "an electrolytic" POLAR;
        needs &[&[P::Value], &[P::Rating]];
        may CAPACITOR;
        words &[];
    Tantalum "a tantalum capacitor" POLAR;
        needs &[&[P::Value], &[P::Rating]];
        may CAPACITOR;
        words &[];
    Ceramic "a ceramic capacitor" AB;
        needs &[&[P::Value]];
        may joined!(CAPACITOR, [P::Rating]);
        words &[may("dielectric", Any)];
    Film "a film capacitor" AB;
        needs &[&[P::Value]];
        may joined!(CAPACITOR, [P::Rating]);
        words &[may("dielectric", Any)];
    Inductor "an inductor" AB;
        needs &[&[P::Value]];
        may &[P::Resistance, P::Current];
        words &[];
    Regulator "a regulator" Wiring::Terminals(&[set(&["in", "out", "ground"], &[])]);
        needs &[&[P::Output], &[P::Dropout], &[P::InputLimit]];
        may REGULATOR;
        words &[must("polarity", One(&["positive", "negative"])), may("grade", Any), TAB,
            INSULATOR, may("low-dropout", Flag)];
    AdjustableRegulator "an adjustable regulator"
        Wiring::Terminals(&[set(&["in", "out", "adjust"], &[])]);
        needs &[&[P::Reference], &[P::Dropout], &[P::InputOutputLimit]];
        may REGULATOR;
        words &[must("polarity", One(&["positive", "negative"])), may("grade", Any), TAB,
            INSULATOR];
    ShuntReference "a shunt reference"
        Wiring::Terminals(&[set(&["anode", "cathode", "reference"], &[])]);
        needs &[&[P::Reference]];
        may joined!(HEAT, [P::BiasCurrent, P::DynamicResistance, P::MinimumCurrent, P::Current,
            P::VoltageLimit, P::TemperatureCoefficient, P::Power]);
        words &[may("grade", Any)];
    OpAmp "an op-amp" Wiring::Units {
            shared: &["supply+", "supply-"],
            each: &["plus", "minus", "out"],
        };
        needs &[&[P::SupplyLimit]];
        may joined!(HEAT, [P::SupplyMinimum, P::InputLimit, P::Gain, P::Offset, P::BiasCurrent,
            P::InputHeadroomHigh, P::InputHeadroomLow, P::OutputHeadroomHigh,
            P::OutputHeadroomLow, P::OutputCurrent, P::OutputResistance, P::ShortCircuitCurrent,
            P::CapacitiveLoad, P::DifferentialLimit, P::QuiescentCurrent, P::Power]);
        words &[may("grade", Any), may("input", Any)];
    Bipolar "a bipolar transistor"
        Wiring::Terminals(&[set(&["base", "collector", "emitter"], &[])]);
        needs &[&[P::CollectorVoltage], &[P::Current]];
        may joined!(HEAT, [P::Gain, P::SaturationCurrent, P::Ideality, P::EmitterBaseVoltage,
            P::SaturationVoltage, P::LeakageCurrent, P::TemperatureCoefficient, P::Power]);
        words &[must("polarity", One(&["npn", "pnp"])), TAB, INSULATOR];
    Mosfet "a MOSFET" Wiring::Terminals(&[set(&["gate", "drain", "source"], &[])]);
        needs &[&[P::DrainVoltage], &[P::Resistance]];
        may joined!(HEAT, [P::Threshold, P::Transconductance, P::GateVoltage, P::Current,
            P::SaturationCurrent, P::Ideality, P::SeriesResistance,
            P::LeakageCurrent, P::Power]);
        words &[must("polarity", One(&["n-channel", "p-channel"])), TAB, INSULATOR];
    Optocoupler "an optocoupler"
        Wiring::Terminals(&[set(&["anode", "cathode", "collector", "emitter"], &[])]);
        needs &[&[P::CurrentTransferRatio], &[P::Current], &[P::CollectorVoltage]];
        may joined!(HEAT, [P::IsolationVoltage, P::ForwardVoltage, P::TestCurrent,
            P::SaturationCurrent, P::Ideality, P::SeriesResistance, P::ReverseVoltage,
            P::OutputCurrent, P::SaturationVoltage, P::LeakageCurrent, P::Power]);
        words &[];
    Switch "a switch" Wiring::Contacts { shared: &[] };
        needs &[];
        may CONTACT;
        words &[CONTROL, may("momentary", Flag)];
    Relay "a relay" Wiring::Contacts { shared: &["coil1", "coil2"] };
        needs &[&[P::Resistance], &[P::Value]];
        may joined!(CONTACT, [P::Power]);
        words &[];
    Jack "a jack" Wiring::Terminals(&[
            set(&["tip", "sleeve"], &["ring", "tip-normal", "ring-normal"]),
        ]);
        needs &[];
        may CONTACT;
        words &[CONTACTS];
    Plug "a plug" Wiring::Terminals(&[set(&["tip", "sleeve"], &["ring"])]);
        needs &[];
        may CONTACT;
        words &[CONTACTS];
    Connector "a connector" Wiring::Named;
        needs &[];
        may CONTACT;
        words &[];
    Lamp "a lamp" AB;
        needs &[&[P::Voltage], &[P::Current]];
        may &[P::Resistance, P::Power];
        words &[];
    Sensor "a sensor" AB;
        needs &[&[P::Resistance]];
        may &[P::Power, P::VoltageLimit, P::TemperatureLimit];
        words &[CONTROL, may("senses", Any), may("law", Law)];
    WireLink "a wire-link" AB;
        needs &[];
        may &[P::Resistance, P::Current];
        words &[];
    Load "a load" AB;
        needs &[&[P::Current, P::Resistance]];
        may &[P::Voltage];
        words &[];
}
