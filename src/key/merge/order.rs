//! In which order the items of two sides stand when they are put together.

use std::collections::{HashMap, HashSet};

/// Every name of both sides once, in their order: that of my list, with what only theirs has behind what it follows there. Where only they
/// changed the order of what was there before, it is theirs with mine put in.
pub(super) fn united<'n>(base: &[&'n str], mine: &[&'n str], theirs: &[&'n str]) -> Vec<&'n str> {
    let (lead, other) = if reordered(base, theirs) && !reordered(base, mine) { (theirs, mine) } else { (mine, theirs) };
    let [of_lead, of_other] = [lead, other].map(|side| side.iter().copied().collect::<HashSet<&str>>());
    if base.iter().all(|name| of_lead.contains(name) && of_other.contains(name)) {
        return put_in(lead, other);
    }
    // What came in the place of something finds its place by what it replaced.
    let mut all = put_in(&put_in(lead, base), &put_in(other, base));
    all.retain(|name| of_lead.contains(name) || of_other.contains(name));
    all
}

/// The names of `lead` with those that only `other` has.
fn put_in<'n>(lead: &[&'n str], other: &[&'n str]) -> Vec<&'n str> {
    let known: HashMap<&str, usize> = lead.iter().enumerate().map(|(at, name)| (*name, at)).collect();
    // What follows each of the lead's names, and what stands before all of them.
    let mut first: Vec<&'n str> = Vec::new();
    let mut behind: Vec<Vec<&'n str>> = vec![Vec::new(); lead.len()];
    let mut after: Option<usize> = None;
    for name in other {
        match known.get(name) {
            Some(&at) => after = Some(at),
            None => match after.and_then(|at| behind.get_mut(at)) {
                Some(behind) => behind.push(name),
                None => first.push(name),
            },
        }
    }
    let with_followers = lead.iter().zip(behind).flat_map(|(name, behind)| std::iter::once(*name).chain(behind));
    first.into_iter().chain(with_followers).collect()
}

/// True where what stayed stands in another order than it did.
fn reordered(base: &[&str], side: &[&str]) -> bool {
    let before: HashMap<&str, usize> = base.iter().enumerate().map(|(at, name)| (*name, at)).collect();
    let places: Vec<usize> = side.iter().filter_map(|name| before.get(name).copied()).collect();
    places.windows(2).any(|pair| pair.first() > pair.last())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_one_side_added_stands_behind_what_it_followed() {
        assert_eq!(united(&["a", "b"], &["a", "x", "b"], &["a", "b", "y", "z"]), ["a", "x", "b", "y", "z"]);
        assert_eq!(united(&["a", "b"], &["a", "b"], &["x", "a", "b"]), ["x", "a", "b"]);
        assert_eq!(united(&["a"], &["a", "x"], &["a", "y"]), ["a", "y", "x"]);
        assert_eq!(united(&[], &[], &["x", "y"]), ["x", "y"]);
    }

    #[test]
    fn what_came_in_the_place_of_something_stands_there() {
        assert_eq!(united(&["a", "b"], &["x", "b"], &["a", "y"]), ["a", "x", "b", "y"]);
        assert_eq!(united(&["a", "b", "c"], &["a", "b", "x"], &["y", "b", "c"]), ["a", "y", "b", "c", "x"]);
        assert_eq!(united(&["a", "b"], &["b"], &["a"]), ["a", "b"]);
        assert_eq!(united(&["a", "b"], &["b"], &["b", "x"]), ["b", "x"]);
    }

    #[test]
    fn an_order_that_one_side_changed_is_kept() {
        assert_eq!(united(&["a", "b", "c"], &["a", "b", "c"], &["c", "a", "b"]), ["c", "a", "b"]);
        assert_eq!(united(&["a", "b", "c"], &["c", "a", "b"], &["a", "b", "c"]), ["c", "a", "b"]);
        assert_eq!(united(&["a", "b"], &["a", "b", "x"], &["b", "a"]), ["b", "x", "a"]);
        assert_eq!(united(&["a", "b", "c"], &["c", "b", "a"], &["b", "a", "c"]), ["c", "b", "a"], "mine, where both did");
    }
}
