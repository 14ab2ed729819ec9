//! A condition as it is laid out for lists and searches.

use super::{Condition, ConditionRules, Flaw};
use crate::key::Part;

impl Condition {
    /// What a grade goes by, the same text for every piece of the same grade by any rules: kinds with their sizes as JSON, in an order of their own.
    /// `[]` for a piece that was looked over and has no fault, nothing for one that nobody looked over.
    pub(in crate::daybook) fn told(&self) -> String {
        if self.is_blank() {
            return String::new();
        }
        let mut faults: Vec<(&str, Option<f64>)> = self.flaws.iter().map(|flaw| (flaw.kind.as_str(), flaw.size_mm)).collect();
        // One that was not measured before those that were.
        let size = |size: Option<f64>| size.unwrap_or(-1.0);
        faults.sort_by(|a, b| a.0.cmp(b.0).then(size(a.1).total_cmp(&size(b.1))));
        serde_json::to_string(&faults).unwrap_or_default()
    }

    /// A condition of which [`Condition::told`] says the same; nothing where that is no such text. Parts and places are not told.
    pub(in crate::daybook) fn of_told(text: &str) -> Option<Self> {
        if text.is_empty() {
            return Some(Self::default());
        }
        let faults: Vec<(String, Option<f64>)> = serde_json::from_str(text).ok()?;
        let flaw = |(kind, size_mm)| Flaw { kind, part: Part::Body, place: None, size_mm, photograph: None, note: String::new() };
        Some(Self { flaws: faults.into_iter().map(flaw).collect(), looked_over: true })
    }

    /// The words it is found by: kinds by the names they are built in with, parts, views and notes. Grades depend on rules that a person may change,
    /// so they are looked for where the finds are.
    pub(in crate::daybook) fn search_text(&self) -> String {
        let rules = ConditionRules::built_in();
        let mut words = Vec::new();
        for flaw in &self.flaws {
            words.push(flaw.words(rules));
            words.extend(flaw.place.map(|place| place.view.words().to_owned()));
            words.push(flaw.note.clone());
        }
        if self.looked_over && self.flaws.is_empty() {
            words.push("nothing found".to_owned());
        }
        words.join(" ")
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn what_is_told_gives_the_same_grade() {
        let rules = ConditionRules::built_in();
        let flaw =
            |kind: &str, part, size_mm| Flaw { kind: kind.to_owned(), part, place: None, size_mm, photograph: None, note: String::new() };
        let of = |flaws: Vec<Flaw>| Condition { flaws, looked_over: false };
        for condition in [
            of(vec![flaw("chip", Part::Lid, Some(2.5))]),
            of(vec![flaw("hairline", Part::Body, None), flaw("chip", Part::Lid, Some(6.0)), flaw("chip", Part::Foot, None)]),
            of(vec![flaw("moth, \"grey\"", Part::Body, None)]),
            Condition { flaws: Vec::new(), looked_over: true },
            Condition::default(),
        ] {
            let told = condition.told();
            let back = Condition::of_told(&told).unwrap();
            let grade = |condition: &Condition| condition.grade(rules).map(|graded| graded.grade.id.clone());
            assert_eq!(grade(&back), grade(&condition), "{told}");
            assert_eq!(back.told(), told);
            let mut turned = condition;
            turned.flaws.reverse();
            assert_eq!(turned.told(), told, "the order they were noted in says nothing");
        }
        assert_eq!(Condition::of_told("chip"), None);
    }
}
