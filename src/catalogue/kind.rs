//! The kinds of part.

use crate::quantity::Unit;

macro_rules! kinds {
    ($($name:ident $key:literal $unit:ident;)*) => {
        /// A kind of part, as `kind:` names it.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Kind { $(#[doc = $key] $name,)* }

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// The word in design and catalogue files.
            #[must_use]
            pub fn key(self) -> &'static str {
                match self { $(Self::$name => $key,)* }
            }

            /// The kind of a word.
            #[must_use]
            pub fn from_key(key: &str) -> Option<Self> {
                match key { $($key => Some(Self::$name),)* _ => None }
            }

            /// The unit of this kind's `value`.
            #[must_use]
            pub fn value_unit(self) -> Unit {
                match self { $(Self::$name => Unit::$unit,)* }
            }
        }
    };
}

kinds! {
    AcAdaptor "ac-adaptor" Volt;
    DcAdaptor "dc-adaptor" Volt;
    Battery "battery" Volt;
    Transformer "transformer" Volt;
    Fuse "fuse" Ampere;
    Ptc "ptc" Ohm;
    Diode "diode" Volt;
    Bridge "bridge" Volt;
    Zener "zener" Volt;
    Led "led" Volt;
    TransientSuppressor "transient-suppressor" Volt;
    Resistor "resistor" Ohm;
    Thermistor "thermistor" Ohm;
    Potentiometer "potentiometer" Ohm;
    Electrolytic "electrolytic" Farad;
    Tantalum "tantalum" Farad;
    Ceramic "ceramic" Farad;
    Film "film" Farad;
    Inductor "inductor" Henry;
    Regulator "regulator" Volt;
    AdjustableRegulator "adjustable-regulator" Volt;
    ShuntReference "shunt-reference" Volt;
    OpAmp "op-amp" Volt;
    Bipolar "bipolar" Volt;
    Mosfet "mosfet" Volt;
    Optocoupler "optocoupler" Volt;
    Switch "switch" Volt;
    Relay "relay" Volt;
    Jack "jack" Volt;
    Plug "plug" Volt;
    Connector "connector" Volt;
    Lamp "lamp" Volt;
    Sensor "sensor" Ohm;
    WireLink "wire-link" Ohm;
    Load "load" Ampere;
}
