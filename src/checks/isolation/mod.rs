//! Isolation and mains: can anyone, or the instrument, be hurt by the supply?
