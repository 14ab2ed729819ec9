//! What is known of a piece, as far as it belongs on a find's record.

use super::record::{Called, Record, YearSpan};
use crate::identify::{Index, Piece, Seen};
use crate::key::{FeatureKind, Key};
use crate::marks::dates::{Dated, Edge};

impl Record {
    /// Takes over what the piece says by itself: the glaze of each part, decoration, mark, years. What it does not say stays as it is.
    pub fn take_over(&mut self, key: &Key, index: &Index, piece: &Piece) {
        for observation in &piece.observations {
            let Some(feature) = key.feature(&observation.feature) else { continue };
            let called = match &observation.seen {
                Seen::Values(values) => match values.as_slice() {
                    [one] => {
                        let named = key.values_of(feature).into_iter().find(|(id, _)| id == one);
                        named.map(|(id, name)| Called { id: id.to_string(), name })
                    }
                    _ => None,
                },
                Seen::Wording(text) if !text.trim().is_empty() => {
                    Some(Called { id: String::new(), name: format!("“{}”", text.trim()) })
                }
                Seen::Mark(mark) => Some(Called { id: String::new(), name: mark.words() }),
                _ => None,
            };
            let Some(called) = called else { continue };
            match feature.kind {
                FeatureKind::Glaze => {
                    self.glazes.insert(feature.part, called);
                }
                FeatureKind::Decoration => self.decoration = Some(called),
                FeatureKind::Mark => self.mark = Some(called),
                FeatureKind::Choice(_) | FeatureKind::Measure(_) => {}
            }
        }
        let dating = index.dates(piece, None).dating;
        let made = years_of(&dating.made);
        if !made.is_open() {
            self.made = made;
        }
        let decorated = dating.decorated.as_ref().map(years_of).unwrap_or_default();
        if !decorated.is_open() {
            self.decorated = decorated;
        }
    }
}

/// First and last year of what is dated; open where firm evidence excludes each other.
fn years_of(dated: &Dated) -> YearSpan {
    if dated.is_disputed() {
        return YearSpan::default();
    }
    let hull = dated.when.hull();
    YearSpan { from: hull.from.map(Edge::in_year), to: hull.to.map(Edge::in_year) }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::identify::{Observation, Sure};
    use crate::key::{Part, ValueId, builtin};
    use crate::marks::dates::Said;

    #[test]
    fn the_record_takes_over_what_the_piece_says_and_leaves_the_rest() {
        let key = builtin::demo().key;
        let index = Index::new(&key);
        let feature = |kind: &FeatureKind| key.features.iter().find(|feature| feature.kind == *kind).unwrap();
        let glaze = key.glazes.first().unwrap();
        let mark = key.marks.iter().find(|mark| mark.made.from.is_some() && mark.used == crate::key::Used::InUse).unwrap();
        let mut piece = Piece::default();
        let mut see = |kind: &FeatureKind, seen: Seen| {
            piece.see(Observation { feature: feature(kind).id.clone(), seen, sure: Sure::Sure });
        };
        see(&FeatureKind::Glaze, Seen::Values(vec![ValueId::new(glaze.id.as_str())]));
        see(&FeatureKind::Mark, Seen::Values(vec![ValueId::new(mark.id.as_str())]));
        piece.beside.dates = vec![Said::Sold("1957".to_owned())];
        let mut record = Record { place_found: "the chapel".to_owned(), ..Record::default() };
        record.take_over(&key, &index, &piece);
        let part = feature(&FeatureKind::Glaze).part;
        assert_eq!(record.glazes.get(&part).map(|called| called.id.as_str()), Some(glaze.id.as_str()));
        assert!(part != Part::Body || record.main_glaze().is_some());
        assert_eq!(record.mark.as_ref().map(|called| called.name.as_str()), Some(mark.name.as_str()));
        assert_eq!(record.made.from.map(i32::from), mark.made.from);
        assert!(record.made.to.is_some_and(|to| to <= 1957), "sold in 1957, so made by then: {:?}", record.made);
        assert_eq!(record.place_found, "the chapel");
        let before = record.clone();
        record.take_over(&key, &index, &Piece::default());
        assert_eq!(record, before, "a piece that says nothing changes nothing");
    }
}
