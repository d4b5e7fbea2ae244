//! Completeness: can a stranger build it and trust it?
