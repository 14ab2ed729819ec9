//! What the person decided about a mark.

use crate::photo::PhotoHash;
use crate::photo::mark::{ArcsBy, Contrast, MarkBy, Relief, UnrollOptions, UpBy};

/// All that decides what is shown.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Setup {
    pub(super) by: MarkBy,
    /// Turned clockwise by so many degrees, where the person says so.
    pub(super) turned_degrees: Option<f64>,
    pub(super) contrast: Contrast,
    /// Other photographs of the same mark, lit from other sides.
    pub(super) with: Vec<PhotoHash>,
    pub(super) relief: Relief,
}

impl Default for Setup {
    fn default() -> Self {
        Self { by: MarkBy::Found, turned_degrees: None, contrast: Contrast::PRINT, with: Vec::new(), relief: Relief::Difference }
    }
}

impl Setup {
    pub(super) fn options(&self) -> UnrollOptions {
        let up = self.turned_degrees.map_or(UpBy::Found, |degrees| UpBy::Turned(degrees.to_radians()));
        UnrollOptions { by: self.by, up, arcs: ArcsBy::Found }
    }
}
