//! What is exported: lists that a spreadsheet or another program reads.

pub mod csv;
pub mod named;
pub mod wants;
