//! Output range: is what the box puts out what the instrument takes?
