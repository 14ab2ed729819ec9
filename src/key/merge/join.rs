//! Putting together what two sides did to one entry.

use super::clash::{At, Choices, Clash, Side, Step};
use super::order::united;
use super::tree::{Tree, unquoted};
use indexmap::IndexMap;
use std::collections::BTreeSet;

/// What becomes of counts that both sides raised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Counts {
    /// Each side counted other pieces, so that both are added.
    AddUp,
    /// Nothing is known of what was counted.
    AsTheyAre,
}

/// Joins one entry, and gathers what clashes in it.
pub(super) struct Joiner<'c> {
    pub(super) choices: &'c Choices,
    pub(super) counts: Counts,
    pub(super) clashes: Vec<Clash>,
    at: At,
}

/// A piece of the entry: as it was, mine, theirs.
type Three<'t> = [Option<&'t Tree>; 3];

impl<'c> Joiner<'c> {
    /// A joiner of the entry that is there.
    pub(super) fn new(at: At, choices: &'c Choices, counts: Counts) -> Self {
        Self { choices, counts, clashes: Vec::new(), at }
    }

    /// The joined piece; None where it is left out.
    pub(super) fn join(&mut self, three: Three<'_>) -> Option<Tree> {
        let [base, mine, theirs] = three;
        if self.counts == Counts::AddUp
            && let Some(sum) = added_up(three)
        {
            return Some(sum);
        }
        if mine == theirs && !(self.counts == Counts::AddUp && mine.is_some_and(holds_counts)) {
            return mine.cloned();
        }
        if mine == base {
            return theirs.cloned();
        }
        if theirs == base {
            return mine.cloned();
        }
        // Counts that are alike but can't be added up stay as both have them.
        self.inside(three).unwrap_or_else(|| if mine == theirs { mine.cloned() } else { self.clash(three) })
    }

    /// Both sides changed it: what the two say of it where it is taken as a whole.
    pub(super) fn clash(&mut self, three: Three<'_>) -> Option<Tree> {
        let taken = self.choices.side(&self.at);
        self.clashes.push(Clash::new(self.at.clone(), three, taken));
        let [base, mine, theirs] = three;
        match taken {
            Side::Base => base,
            Side::Mine => mine,
            Side::Theirs => theirs,
        }
        .cloned()
    }

    /// Joins piece by piece what is made of pieces; None where it is one thing. What is left out is as empty as a list or map without items.
    #[expect(clippy::option_option, reason = "none: it is one thing; some of none: it is left out")]
    fn inside(&mut self, three: Three<'_>) -> Option<Option<Tree>> {
        const NO_LIST: &Tree = &Tree::List(Vec::new());
        let [_, mine, theirs] = three;
        match mine.or(theirs)? {
            Tree::List(_) => {
                let mut lists = [&[][..]; 3];
                for (list, side) in lists.iter_mut().zip(three) {
                    let Tree::List(items) = side.unwrap_or(NO_LIST) else { return None };
                    *list = items;
                }
                self.list(lists).map(|items| Some(Tree::List(items)))
            }
            Tree::Map(_) => {
                let none = IndexMap::new();
                let mut maps = [&none; 3];
                for (map, side) in maps.iter_mut().zip(three) {
                    match side {
                        Some(Tree::Map(items)) => *map = items,
                        None => {}
                        Some(_) => return None,
                    }
                }
                let name = |text: &str| Step::Name(unquoted(text).unwrap_or_else(|| text.to_owned()));
                Some(Some(Tree::Map(self.named(maps, name))))
            }
            Tree::Fields(word, _) => {
                let [Some(Tree::Fields(a, base)), Some(Tree::Fields(b, mine)), Some(Tree::Fields(c, theirs))] = three else { return None };
                if a != word || b != word || c != word {
                    return None;
                }
                Some(Some(Tree::Fields(word.clone(), self.named([base, mine, theirs], |text| Step::Field(text.to_owned())))))
            }
            Tree::Tuple(word, _) => {
                // `Values({ … })`, `Choice([ … ])`: what stands in the brackets is taken apart.
                let nothing = (word.clone(), vec![Tree::Map(IndexMap::new())]);
                let (a, base) = match three.first().copied().flatten() {
                    Some(Tree::Tuple(word, items)) => (word, items),
                    // Both began to count.
                    None if self.counts == Counts::AddUp && word == "Values" => (&nothing.0, &nothing.1),
                    _ => return None,
                };
                let [_, Some(Tree::Tuple(b, mine)), Some(Tree::Tuple(c, theirs))] = three else { return None };
                let ([base], [mine], [theirs]) = (base.as_slice(), mine.as_slice(), theirs.as_slice()) else { return None };
                if a != word || b != word || c != word || word.is_empty() || matches!(mine, Tree::Atom(_)) {
                    return None;
                }
                let inner = self.inside([Some(base), Some(mine), Some(theirs)])??;
                Some(Some(Tree::Tuple(word.clone(), vec![inner])))
            }
            Tree::Atom(_) => None,
        }
    }

    fn named(&mut self, maps: [&IndexMap<String, Tree>; 3], step: impl Fn(&str) -> Step) -> IndexMap<String, Tree> {
        let keys = maps.map(|map| map.keys().map(String::as_str).collect::<Vec<_>>());
        let [base, mine, theirs] = &keys;
        let mut out = IndexMap::new();
        for name in united(base, mine, theirs) {
            self.at.steps.push(step(name));
            if let Some(joined) = self.join(maps.map(|map| map.get(name))) {
                out.insert(name.to_owned(), joined);
            }
            self.at.steps.pop();
        }
        out
    }

    /// The items of a list, each by what it is about; None where the list is one thing.
    fn list(&mut self, lists: [&[Tree]; 3]) -> Option<Vec<Tree>> {
        let [base, mine, theirs] = lists;
        let names = [Tree::names(base)?, Tree::names(mine)?, Tree::names(theirs)?];
        let by_name = |side: usize| -> IndexMap<&str, &Tree> {
            let (Some(names), Some(list)) = (names.get(side), lists.get(side)) else { return IndexMap::new() };
            names.iter().map(String::as_str).zip(list.iter()).collect()
        };
        let maps = [by_name(0), by_name(1), by_name(2)];
        let [base, mine, theirs] = maps.each_ref().map(|map| map.keys().copied().collect::<Vec<_>>());
        if replaced_otherwise(&base, &mine, &theirs) {
            return None;
        }
        let mut out = Vec::new();
        for name in united(&base, &mine, &theirs) {
            self.at.steps.push(Step::Item(unquoted(name).unwrap_or_else(|| name.to_owned())));
            if let Some(joined) = self.join(maps.each_ref().map(|map| map.get(name).copied())) {
                out.push(joined);
            }
            self.at.steps.pop();
        }
        Some(out)
    }
}

/// True where both put something in the place of one item, each something else (a line of a mark read anew): to keep both would say what neither did.
fn replaced_otherwise(base: &[&str], mine: &[&str], theirs: &[&str]) -> bool {
    let [base, mine, theirs] = [base, mine, theirs].map(|names| names.iter().copied().collect::<BTreeSet<&str>>());
    let gone = base.iter().any(|name| !mine.contains(name) && !theirs.contains(name));
    let [fresh, other] = [&mine, &theirs].map(|side| side.difference(&base).copied().collect::<BTreeSet<_>>());
    gone && !fresh.is_empty() && !other.is_empty() && fresh != other
}

/// The number in `Times(n)`.
fn times(tree: &Tree) -> Option<u32> {
    match tree {
        Tree::Tuple(word, items) if word == "Times" => match items.as_slice() {
            [Tree::Atom(number)] => number.parse().ok(),
            _ => None,
        },
        _ => None,
    }
}

fn holds_counts(tree: &Tree) -> bool {
    match tree {
        Tree::Atom(_) => false,
        Tree::Fields(_, items) | Tree::Map(items) => items.values().any(holds_counts),
        Tree::List(items) => items.iter().any(holds_counts),
        Tree::Tuple(_, items) => times(tree).is_some() || items.iter().any(holds_counts),
    }
}

/// The count of both sides' pieces, where both raised one count. A value that was not counted before was counted nought times.
fn added_up([base, mine, theirs]: Three<'_>) -> Option<Tree> {
    let (mine, theirs) = (times(mine?)?, times(theirs?)?);
    let base = base.map_or(Some(0), times)?;
    let sum = base.checked_add(mine.checked_sub(base)?)?.checked_add(theirs.checked_sub(base)?)?;
    Some(Tree::Tuple("Times".to_owned(), vec![Tree::Atom(sum.to_string())]))
}
