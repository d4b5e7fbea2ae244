//! See lib.rs.

pub mod file;
