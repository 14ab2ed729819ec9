//! Putting together what two sides did to one list.

use super::error::Clash;
use super::rewrite::same;
use crate::key::file::Entry;
use std::collections::HashMap;

/// The list with the changes of both sides, in their order with our additions behind the entry they followed; and what both changed.
///
/// An entry is the smallest thing that is merged: two changes of one entry are a clash, unless they are the same. None where an id stands
/// twice in a list, so that it cannot be said which entry is meant.
pub(super) fn three_ways<T: Entry>(base: &[T], ours: &[T], theirs: &[T]) -> Option<(Vec<T>, Vec<Clash>)> {
    let (base_by, ours_by, theirs_by) = (by_id(base)?, by_id(ours)?, by_id(theirs)?);
    let equal = |a: Option<&&T>, b: Option<&&T>| match (a, b) {
        (Some(a), Some(b)) => same(*a, *b),
        (None, None) => true,
        _ => false,
    };
    let mut clashes = Vec::new();
    let mut result: Vec<T> = Vec::new();
    for entry in theirs {
        let id = entry.id();
        let (was, mine) = (base_by.get(id), ours_by.get(id));
        let theirs_here = Some(&entry);
        if equal(mine, was) || equal(mine, theirs_here) {
            result.push(entry.clone());
        } else if equal(theirs_here, was) {
            result.extend(mine.map(|&mine| mine.clone()));
        } else {
            clashes.push(Clash::new(T::FILE, id, mine.copied(), Some(entry)));
        }
    }
    let mut before: Option<&str> = None;
    for entry in ours {
        let id = entry.id();
        if !theirs_by.contains_key(id) {
            match base_by.get(id) {
                None => {
                    let at =
                        before.and_then(|before| result.iter().position(|there| there.id() == before)).map_or(result.len(), |at| at + 1);
                    result.insert(at, entry.clone());
                }
                Some(was) if same(*was, entry) => {}
                Some(_) => clashes.push(Clash::new(T::FILE, id, Some(entry), None)),
            }
        }
        before = Some(id);
    }
    Some((result, clashes))
}

fn by_id<T: Entry>(list: &[T]) -> Option<HashMap<&str, &T>> {
    let map: HashMap<&str, &T> = list.iter().map(|entry| (entry.id(), entry)).collect();
    (map.len() == list.len()).then_some(map)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::model::Line;

    fn lines(names: &[&str]) -> Vec<Line> {
        names.iter().map(|name| ron::from_str(&format!("(id: \"{}\", name: \"{name}\")", name.get(..1).unwrap())).unwrap()).collect()
    }

    /// Names of the result; clashing ids in angle brackets.
    fn merged(base: &[&str], ours: &[&str], theirs: &[&str]) -> Vec<String> {
        let (result, clashes) = three_ways(&lines(base), &lines(ours), &lines(theirs)).unwrap();
        result.into_iter().map(|line| line.name).chain(clashes.into_iter().map(|clash| format!("<{}>", clash.id))).collect()
    }

    #[test]
    fn changes_of_different_entries_are_both_kept() {
        assert_eq!(merged(&["a", "b", "c"], &["a1", "b", "c"], &["a", "b", "c2"]), ["a1", "b", "c2"]);
        assert_eq!(merged(&["a", "b"], &["a", "x", "b"], &["a", "b", "y"]), ["a", "x", "b", "y"]);
        assert_eq!(merged(&["a", "b", "c"], &["b", "c"], &["a", "b"]), ["b"]);
        assert_eq!(merged(&["a"], &["a1", "x"], &["a1", "x"]), ["a1", "x"]);
    }

    #[test]
    fn two_changes_of_one_entry_clash() {
        assert_eq!(merged(&["a"], &["a1"], &["a2"]), ["<a>"]);
        assert_eq!(merged(&["a"], &["a1"], &[]), ["<a>"]);
        assert_eq!(merged(&["a"], &[], &["a2"]), ["<a>"]);
        assert_eq!(merged(&[], &["a1"], &["a2"]), ["<a>"]);
    }

    #[test]
    fn what_stands_twice_cannot_be_merged() {
        assert!(three_ways(&lines(&["a", "a"]), &lines(&["a"]), &lines(&["a"])).is_none());
    }
}
