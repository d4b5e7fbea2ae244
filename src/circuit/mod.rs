//! The circuit: what the solver is given.
//!
//! Owns the element list ([`Netlist`]) and, per element, the model's parameters. A netlist is made
//! from a design and a situation by [`build`]; the equations of each model stand with it.

pub mod bipolar;
mod build;
mod canonical;
pub mod junction;
pub mod mosfet;
pub mod netlist;
pub mod op_amp;
pub mod real;
pub mod regulator;
pub mod shunt_reference;
pub mod smooth;

pub use build::{Circuit, ambient, build, heeds_temperature};
pub use canonical::Canonical;
pub use netlist::{
    Beyond, Bipolar, Breakdown, Element, Junction, Model, Mosfet, Netlist, Node, OpAmp, Regulator,
    ShuntReference, Wave,
};
