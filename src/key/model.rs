//! What a house key holds. These types are also the text on disk: one RON file a list, one entry a struct.
//!
//! Lengths are millimetres, masses grams, volumes millilitres, years of the common era. Every list may be empty and every optional
//! field may be left out of the file; an unknown field is an error.

mod claim;
mod code;
mod counted;
mod feature;
mod form;
mod glaze;
mod mark;
mod paper;
mod part;
mod retired;

pub use claim::{Claim, Held, How, Picture, Years};
pub use code::{CodeDates, CodePart, DateCode};
pub use counted::Counted;
pub use feature::{Condition, Dimension, Feature, FeatureKind, MeasureKind, Unit, Value};
pub use form::{Form, Line, Often, Record};
pub use glaze::{Applied, Caution, Decoration, Finish, Glaze};
pub use mark::{Ink, Layout, Mark, Place, Used, Wears, Wording};
pub use paper::{Listed, Paper, PaperKind, When};
pub use part::{Part, View};
pub use retired::Retired;

use super::ids::{DecorationId, FeatureId, FormId, GlazeId, LineId, MarkId, PaperId, ValueId};
use serde::{Deserialize, Serialize};

/// The version of the format this program writes. A newer one is opened for reading only.
pub const FORMAT: u32 = 1;

/// A whole house key, as loaded from its folder.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Key {
    /// `key.ron`
    pub about: About,
    /// `features.ron`
    pub features: Vec<Feature>,
    /// `lines.ron`
    pub lines: Vec<Line>,
    /// `forms.ron`
    pub forms: Vec<Form>,
    /// `glazes.ron`
    pub glazes: Vec<Glaze>,
    /// `decorations.ron`
    pub decorations: Vec<Decoration>,
    /// `marks.ron`
    pub marks: Vec<Mark>,
    /// `papers.ron`
    pub papers: Vec<Paper>,
    /// `counted.ron`: finds that were counted into the frequencies.
    pub counted: Vec<Counted>,
    /// `retired.ron`: forms that were taken out of use. Nothing is named after them.
    pub retired: Vec<Retired>,
}

/// `key.ron`: what this key is, and words that mean the same.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct About {
    /// Version of the format, see [`FORMAT`].
    pub format: u32,
    /// What the key is called on screen.
    pub title: String,
    /// The pottery or potteries it describes.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub pottery: String,
    /// Anything the keeper wants to say of it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// The give of measured ranges where a feature does not state its own, in percent of the measure. Trade habit, no source: 2.
    #[serde(default = "default_give_percent")]
    pub give_percent: f64,
    /// Groups of words that mean the same wherever a name is looked up, for example `["finial", "knob", "knop"]`. The first is the one shown.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub synonyms: Vec<Vec<String>>,
}

fn default_give_percent() -> f64 {
    2.0
}

impl Key {
    /// The form of that id.
    pub fn form(&self, id: &FormId) -> Option<&Form> {
        self.forms.iter().find(|form| form.id == *id)
    }

    /// The form of that id; where it was retired, the first of those in use that took its place.
    pub fn form_or_heir(&self, id: &FormId) -> Option<&Form> {
        self.form(id).or_else(|| super::edit::into_which(self, id).first().and_then(|heir| self.form(heir)))
    }

    /// The feature of that id.
    pub fn feature(&self, id: &FeatureId) -> Option<&Feature> {
        self.features.iter().find(|feature| feature.id == *id)
    }

    /// The line of that id.
    pub fn line(&self, id: &LineId) -> Option<&Line> {
        self.lines.iter().find(|line| line.id == *id)
    }

    /// The glaze of that id.
    pub fn glaze(&self, id: &GlazeId) -> Option<&Glaze> {
        self.glazes.iter().find(|glaze| glaze.id == *id)
    }

    /// The decoration of that id.
    pub fn decoration(&self, id: &DecorationId) -> Option<&Decoration> {
        self.decorations.iter().find(|decoration| decoration.id == *id)
    }

    /// The mark of that id.
    pub fn mark(&self, id: &MarkId) -> Option<&Mark> {
        self.marks.iter().find(|mark| mark.id == *id)
    }

    /// The paper of that id.
    pub fn paper(&self, id: &PaperId) -> Option<&Paper> {
        self.papers.iter().find(|paper| paper.id == *id)
    }

    /// The name of a form with its line, as on a label: 'covered sugar, Quoin'.
    pub fn full_name(&self, form: &Form) -> String {
        match self.line(&form.line) {
            Some(line) => format!("{}, {}", form.name, line.name),
            None => form.name.clone(),
        }
    }

    /// The values a feature can take with the names shown for them: its own, or the key's glazes, decorations or marks. Empty for a measure.
    pub fn values_of(&self, feature: &Feature) -> Vec<(ValueId, String)> {
        match &feature.kind {
            FeatureKind::Choice(values) => values.iter().map(|v| (v.id.clone(), v.shown_name())).collect(),
            FeatureKind::Measure(_) => Vec::new(),
            FeatureKind::Glaze => self.glazes.iter().map(|g| (ValueId::new(g.id.as_str()), g.name.clone())).collect(),
            FeatureKind::Decoration => self.decorations.iter().map(|d| (ValueId::new(d.id.as_str()), d.name.clone())).collect(),
            FeatureKind::Mark => self.marks.iter().map(|m| (ValueId::new(m.id.as_str()), m.name.clone())).collect(),
        }
    }
}
