//! When the finds were made, by their own evidence: for each form, line and mark the earliest and the latest that was seen.

use super::find::{Find, FindId};
use crate::identify::{Index, Seen};
use crate::key::{FeatureKind, Key};
use crate::marks::dates::{Edge, Span};
use std::collections::BTreeMap;

/// What finds are put together by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum By {
    /// The form they were taken for.
    #[default]
    Form,
    /// Its line.
    Line,
    /// The mark they bear.
    Mark,
}

/// A find and when it was made, by its mark and what else was said of its dates. The years of the form it was taken for do not count: they are what
/// the finds are to show.
#[derive(Debug, Clone, PartialEq)]
pub struct DatedFind {
    /// The find.
    pub id: FindId,
    /// When it was made: not before and not after.
    pub made: Span,
}

/// The dated finds of one form, line or mark.
#[derive(Debug, Clone, PartialEq)]
pub struct YearsSeen {
    /// Its name.
    pub name: String,
    /// Dated finds, the earliest first; those with an open beginning before all others.
    pub finds: Vec<DatedFind>,
    /// Finds that nothing dates.
    pub undated: usize,
}

impl YearsSeen {
    /// The year by which one of them was made for certain: the earliest end. None where no find has an end.
    pub fn earliest_by(&self) -> Option<i16> {
        self.finds.iter().filter_map(|find| find.made.to).map(Edge::in_year).min()
    }

    /// The year in or after which one of them was made for certain: the latest beginning. None where no find has a beginning.
    pub fn latest_from(&self) -> Option<i16> {
        self.finds.iter().filter_map(|find| find.made.from).map(Edge::in_year).max()
    }
}

/// Puts the finds of a key together, groups in the order of their names. A find that bears several marks it may be, or none, is in no group of marks.
pub fn years_seen(key: &Key, index: &Index, finds: &[Find], by: By) -> Vec<YearsSeen> {
    let mut groups: BTreeMap<String, YearsSeen> = BTreeMap::new();
    for find in finds {
        let Some(name) = name_of(key, find, by) else { continue };
        let group = groups.entry(name.clone()).or_insert_with(|| YearsSeen { name, finds: Vec::new(), undated: 0 });
        let dating = index.dates(&find.piece, None).dating;
        let made = dating.made.when.hull();
        if dating.made.is_disputed() || made.is_open() {
            group.undated += 1;
        } else {
            group.finds.push(DatedFind { id: find.id, made });
        }
    }
    let mut all: Vec<YearsSeen> = groups.into_values().collect();
    for group in &mut all {
        group.finds.sort_by_key(|find| (find.made.first_day(), find.made.last_day(), find.id));
    }
    all
}

fn name_of(key: &Key, find: &Find, by: By) -> Option<String> {
    match by {
        By::Form => find.named.as_ref().map(|named| {
            let line = if named.line_name.is_empty() { String::new() } else { format!(", {}", named.line_name) };
            format!("{}{line}", named.form_name)
        }),
        By::Line => find.named.as_ref().map(|named| named.line_name.clone()).filter(|name| !name.is_empty()),
        By::Mark => find.piece.observations.iter().find_map(|observation| {
            let feature = key.feature(&observation.feature)?;
            match (&feature.kind, &observation.seen) {
                (FeatureKind::Mark, Seen::Values(values)) if values.len() == 1 => {
                    let id = values.first()?;
                    key.marks.iter().find(|mark| mark.id.as_str() == id.as_str()).map(|mark| mark.name.clone())
                }
                _ => None,
            }
        }),
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use crate::daybook::{KeyName, Named, Standing};
    use crate::identify::{Observation, Piece, Sure};
    use crate::key::ValueId;
    use crate::marks::dates::Said;

    fn find(form: &str, said: &[Said], mark: Option<&str>) -> Find {
        let mut piece = Piece::default();
        piece.beside.dates = said.to_vec();
        if let Some(mark) = mark {
            piece.see(Observation { feature: "mark".into(), seen: Seen::Values(vec![ValueId::new(mark)]), sure: Sure::Sure });
        }
        Find {
            id: FindId::new(),
            revision: 0,
            found_at: "2026-03-02T10:15:00+00:00[UTC]".parse().unwrap(),
            key: KeyName::default(),
            named: Some(Named { form: form.into(), form_name: form.to_owned(), line_name: "Quoin".to_owned() }),
            verdict: String::new(),
            probability: None,
            standing: Standing::Settled,
            piece,
            box_label: String::new(),
            note: String::new(),
            photographs: Vec::new(),
            record: crate::daybook::Record::default(),
        }
    }

    #[test]
    fn the_earliest_and_the_latest_of_each_group_are_told() {
        let key = crate::key::builtin::demo().key;
        let index = Index::new(&key);
        let mark = key.marks.iter().find(|mark| mark.made.from.is_some() && mark.used == crate::key::Used::InUse).unwrap();
        let finds = [
            find("jug", &[Said::Sold("1955".to_owned())], None),
            find("jug", &[Said::Sold("1961".to_owned())], None),
            find("jug", &[], None),
            find("mug", &[], Some(mark.id.as_str())),
        ];
        let forms = years_seen(&key, &index, &finds, By::Form);
        assert_eq!(
            forms.iter().map(|group| (group.name.as_str(), group.finds.len(), group.undated)).collect::<Vec<_>>(),
            [("jug, Quoin", 2, 1), ("mug, Quoin", 1, 0)]
        );
        assert_eq!((forms[0].earliest_by(), forms[0].latest_from()), (Some(1955), None));
        assert_eq!(forms[1].latest_from().map(i32::from), mark.made.from);
        assert_eq!(years_seen(&key, &index, &finds, By::Line).len(), 1);
        let marks = years_seen(&key, &index, &finds, By::Mark);
        assert_eq!(marks.iter().map(|group| group.name.as_str()).collect::<Vec<_>>(), [mark.name.as_str()]);
        assert_eq!(years_seen(&key, &index, &[], By::Form), []);
    }
}
