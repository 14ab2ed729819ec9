//! The census: which form in which glaze, or with which decoration, how often, by which papers.
//!
//! [`Daybook::tally`](super::Daybook::tally) counts the finds of a key in one question; [`census`] lays what the key and its papers say beside them. What is
//! said of numbers is honest: a share has an interval ([`share`]), and how many pairs nobody has seen yet is estimated with one ([`Richness`]).

mod cells;
mod richness;
mod service;
mod services;
mod share;
mod tally;

pub use cells::{By, Cell, Census, Claimed, State, census};
pub use richness::Richness;
pub use service::{Service, Want, Wanted};
pub use services::{MOST, SERVICES, Services, Set};
pub use share::{Interval, share};
pub use tally::{Tally, TallyQuestion};
