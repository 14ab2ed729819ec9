//! What leaves the program: sheets on paper, and lists and records for spreadsheets and other programs.

pub mod csv;
pub mod named;
pub mod page;
pub mod print;
pub mod records;
pub mod wants;
