//! Forms that nothing tells apart, and features that nobody recorded.

use super::pairs::pairs;
use super::{Sink, place_of};
use crate::key::file::KeyFile;
use crate::key::load::Texts;
use crate::key::model::{FeatureKind, Key, Record};
use crate::key::problem::ProblemKind;
use crate::key::text::Step;
use std::collections::HashMap;

pub(super) fn check(key: &Key, texts: &Texts, sink: &mut Sink) {
    never_recorded(key, sink);
    for (a, b) in pairs(key) {
        let (Some(one), Some(other)) = (key.forms.get(b), key.forms.get(a)) else { continue };
        sink.at(KeyFile::Forms, b);
        let first = place_of(texts, KeyFile::Forms, a, "id");
        sink.push(&[Step::Field("id")], ProblemKind::NotToldApart { one: key.full_name(one), other: key.full_name(other), first });
    }
}

fn never_recorded(key: &Key, sink: &mut Sink) {
    if key.forms.is_empty() {
        return;
    }
    let mut recorded: HashMap<&str, bool> = key.features.iter().map(|feature| (feature.id.as_str(), false)).collect();
    for (feature, record) in key.forms.iter().flat_map(|form| &form.features) {
        if !matches!(record, Record::NotRecorded | Record::DoesNotApply)
            && let Some(found) = recorded.get_mut(feature.as_str())
        {
            *found = true;
        }
    }
    for (at, feature) in key.features.iter().enumerate() {
        let by_list = match feature.kind {
            FeatureKind::Glaze => key.forms.iter().any(|form| !form.glazes.is_empty()),
            FeatureKind::Decoration => key.forms.iter().any(|form| !form.decorations.is_empty()),
            FeatureKind::Mark => key.forms.iter().any(|form| !form.marks.is_empty()),
            FeatureKind::Choice(_) | FeatureKind::Measure(_) => false,
        };
        if !by_list && recorded.get(feature.id.as_str()) == Some(&false) {
            sink.at(KeyFile::Features, at);
            sink.push(&[Step::Field("id")], ProblemKind::NeverRecorded { feature: feature.id.to_string() });
        }
    }
}
