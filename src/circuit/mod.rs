//! The circuit: what the solver is given.
//!
//! Owns the element list ([`Netlist`]) and, per element, the model's parameters. A netlist is made
//! from a design and a situation by [`build`]; the equations of each model stand with it.

pub mod netlist;

pub use netlist::{
    Bipolar, Breakdown, Element, Junction, Model, Mosfet, Netlist, Node, OpAmp, Regulator,
    ShuntReference, Wave,
};
