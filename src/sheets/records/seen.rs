//! What was seen, in words.

use crate::identify::{Observation, Seen, Sure, weighed};
use crate::key::{FeatureKind, Key, ValueId, percent};

/// What was seen of a feature, in the words of the key: 'oval', '92 ± 1 mm', '“MARROWBY”', 'there is none'. Values the key has not are told by their id.
pub fn seen_words(key: &Key, observation: &Observation) -> String {
    let feature = key.feature(&observation.feature);
    let unit = match feature.map(|feature| &feature.kind) {
        Some(FeatureKind::Measure(measure)) => measure.unit.sign(),
        _ => "",
    };
    let names = feature.map(|feature| key.values_of(feature)).unwrap_or_default();
    let name = |id: &ValueId| names.iter().find(|(known, _)| known == id).map_or_else(|| id.to_string(), |(_, name)| name.clone());
    let words = match &observation.seen {
        Seen::Values(values) => values.iter().map(name).collect::<Vec<_>>().join(" or "),
        Seen::Weighed(weights) => {
            let shares = weighed(weights).into_iter().map(|(id, share)| format!("{} {}", name(id), percent(share)));
            shares.collect::<Vec<_>>().join(", ")
        }
        Seen::Measured(measured) => format!("{} ± {} {unit}", measured.value, measured.plus_minus).trim_end().to_owned(),
        Seen::Colour { lab, .. } => format!("L* {:.1} a* {:.1} b* {:.1}", lab.l, lab.a, lab.b),
        Seen::Wording(text) => format!("“{text}”"),
        Seen::Mark(mark) => mark.words(),
        Seen::NotThere => "there is none".to_owned(),
        Seen::NotSure => "can't tell".to_owned(),
    };
    if observation.sure == Sure::Probably { format!("{words}, probably") } else { words }
}
