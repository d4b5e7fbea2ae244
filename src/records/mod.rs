//! See lib.rs.
