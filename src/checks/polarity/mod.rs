//! Polarity: is everything the right way round, and does nothing push back?
