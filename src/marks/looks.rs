//! What can be seen of a mark beside its words: how they stand, and in which ink.

use crate::key::{Layout, Mark};
use crate::say;
use serde::{Deserialize, Serialize};

/// How often a layout and the colour of an ink are seen as they are: choices of this program, no source.
const LAYOUT_RIGHT: f64 = 0.95;
const INK_RIGHT: f64 = 0.90;
/// A mark from nowhere in particular has one of five layouts, and one of about ten inks (or none).
const LAYOUTS: f64 = 5.0;
const INKS: f64 = 10.0;

/// What was seen of a mark beside its words.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Looks {
    /// How its wording stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub layout: Option<Layout>,
    /// The name of its ink; an empty one where it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ink: Option<String>,
}

/// How a mark of the key looks, as that is compared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Known {
    layout: Layout,
    /// In small letters; empty for none.
    ink: String,
}

impl Known {
    pub(super) fn of(mark: &Mark) -> Self {
        Self { layout: mark.layout, ink: mark.ink.as_ref().map_or_else(String::new, |ink| ink.name.to_lowercase()) }
    }
}

impl Looks {
    /// True where nothing was seen.
    pub fn is_empty(&self) -> bool {
        self.layout.is_none() && self.ink.is_none()
    }

    /// True where the mark has that layout, or none was seen.
    pub fn layout_fits(&self, mark: &Mark) -> bool {
        self.layout.is_none_or(|layout| layout == mark.layout)
    }

    /// True where the mark has that ink, or none was seen.
    pub fn ink_fits(&self, mark: &Mark) -> bool {
        self.ink_is(&Known::of(mark))
    }

    fn ink_is(&self, known: &Known) -> bool {
        self.ink.as_ref().is_none_or(|ink| ink.trim().to_lowercase() == known.ink)
    }

    pub(super) fn fits(&self, known: &Known) -> bool {
        self.layout.is_none_or(|layout| layout == known.layout) && self.ink_is(known)
    }

    /// Natural logarithm of the likelihood of what was seen on such a mark over that on one from nowhere in particular.
    pub(super) fn log_ratio(&self, known: &Known) -> f64 {
        let layout = match self.layout {
            None => 1.0,
            Some(layout) if layout == known.layout => LAYOUT_RIGHT * LAYOUTS,
            Some(_) => (1.0 - LAYOUT_RIGHT) * LAYOUTS / (LAYOUTS - 1.0),
        };
        let ink = match &self.ink {
            None => 1.0,
            Some(_) if self.ink_is(known) => INK_RIGHT * INKS,
            Some(_) => (1.0 - INK_RIGHT) * INKS / (INKS - 1.0),
        };
        (layout * ink).ln()
    }

    /// In words: 'round', 'in green', 'oval, no ink'. Nothing where nothing was seen.
    pub fn words(&self) -> String {
        let layout = self.layout.map(|layout| layout.words().to_owned());
        let ink = self.ink.as_ref().map(|ink| if ink.is_empty() { say!("no ink").to_owned() } else { say!("in {ink}", ink) });
        layout.into_iter().chain(ink).collect::<Vec<_>>().join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_sum_to_one_over_what_can_be_seen() {
        let known = Known { layout: Layout::Oval, ink: "green".to_owned() };
        let all = [Layout::Round, Layout::Oval, Layout::Square, Layout::Script, Layout::Words];
        let sum: f64 = all.iter().map(|layout| Looks { layout: Some(*layout), ink: None }.log_ratio(&known).exp() / LAYOUTS).sum();
        assert!((sum - 1.0).abs() < 1e-12, "{sum}");
        let ink = |name: &str| Looks { layout: None, ink: Some(name.to_owned()) };
        let sum = (ink("Green ").log_ratio(&known).exp() + (INKS - 1.0) * ink("").log_ratio(&known).exp()) / INKS;
        assert!((sum - 1.0).abs() < 1e-12, "{sum}");
        assert!(Looks::default().log_ratio(&known).abs() < 1e-12);
    }

    #[test]
    fn looks_read_as_a_person_writes_them() {
        let words = |layout, ink: Option<&str>| Looks { layout, ink: ink.map(str::to_owned) }.words();
        assert_eq!(words(Some(Layout::Oval), Some("green")), "oval, in green");
        assert_eq!(words(None, Some("")), "no ink");
        assert_eq!(words(None, None), "");
    }
}
