//! Backstamps: matching what can be read of a wording.
