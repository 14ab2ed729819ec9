//! Putting together what two sides did to whole lists of entries, and to the whole key.

use super::clash::{At, Choices, Clash, Side};
use super::join::{Counts, Joiner};
use super::order::united;
use super::renames::Followed;
use super::tree::Tree;
use crate::key::file::{Entry, KeyFile};
use crate::key::model::{About, Counted, Key};
use crate::key::print::compact;
use serde::Serialize;
use std::collections::{HashMap, HashSet};

/// True where two entries mean the same. A number that is none equals itself here.
pub(crate) fn same<T: Serialize + PartialEq>(a: &T, b: &T) -> bool {
    a == b || matches!((compact(a), compact(b)), (Ok(a), Ok(b)) if a == b)
}

/// What came of putting two sides together.
#[derive(Debug, Clone, PartialEq)]
pub struct Joined {
    /// The key with the changes of both sides; at each clash, what was taken.
    pub key: Key,
    /// What both sides changed, each otherwise, in the order of the files.
    pub clashes: Vec<Clash>,
    /// Lists in which an id stands twice, so that it cannot be said which entry is meant: mine stands, unless only they changed it.
    pub doubled: Vec<KeyFile>,
}

/// The key with the changes of both sides. Nothing is guessed: what both changed is listed, and `choices` says what is taken.
///
/// Entries are known by their ids, fields by their names, items of a list by what they are about. Half profiles, colours, ranges and records
/// of one value are each one thing. An entry that a side gave another id is known again by what it says.
pub fn join(base: &Key, mine: &Key, theirs: &Key, choices: &Choices) -> Joined {
    let Some(followed) = Followed::keys([base, mine, theirs]) else { return join_by_id(base, mine, theirs, choices) };
    let [base, mine, theirs] = &followed.versions;
    let mut joined = join_by_id(base, mine, theirs, choices);
    followed.settle(&mut joined.key, choices, &mut joined.clashes);
    joined
}

fn join_by_id(base: &Key, mine: &Key, theirs: &Key, choices: &Choices) -> Joined {
    let counted = Counting::new(&base.counted, &mine.counted, &theirs.counted);
    let mut clashes = Vec::new();
    let mut doubled = Vec::new();
    let about = join_about(&base.about, &mine.about, &theirs.about, choices, &mut clashes);
    macro_rules! joined {
        ($($list:ident),+) => {
            Key { about, $($list: list(&base.$list, &mine.$list, &theirs.$list, &counted, choices, &mut clashes, &mut doubled)),+ }
        };
    }
    let key = joined!(features, lines, forms, glazes, decorations, marks, papers, counted, retired);
    Joined { key, clashes, doubled }
}

fn list<T: Entry>(
    base: &[T],
    mine: &[T],
    theirs: &[T],
    counting: &Counting<'_>,
    choices: &Choices,
    clashes: &mut Vec<Clash>,
    doubled: &mut Vec<KeyFile>,
) -> Vec<T> {
    if let Some((list, found)) = entries(base, mine, theirs, counting, choices) {
        clashes.extend(found);
        return list;
    }
    let alike = |a: &[T], b: &[T]| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b));
    if alike(mine, base) {
        return theirs.to_vec();
    }
    if !alike(theirs, base) && !alike(theirs, mine) {
        doubled.push(T::FILE);
    }
    mine.to_vec()
}

/// `key.ron` with the changes of both sides.
pub(crate) fn join_about(base: &About, mine: &About, theirs: &About, choices: &Choices, clashes: &mut Vec<Clash>) -> About {
    let at = At { file: KeyFile::About, id: String::new(), steps: Vec::new() };
    one(at, [Some(base), Some(mine), Some(theirs)], choices, Counts::AsTheyAre, clashes).unwrap_or_else(|| mine.clone())
}

/// The list with the changes of both sides, and what both changed otherwise. None where an id stands twice in a list.
pub(crate) fn entries<T: Entry>(
    base: &[T],
    mine: &[T],
    theirs: &[T],
    counting: &Counting<'_>,
    choices: &Choices,
) -> Option<(Vec<T>, Vec<Clash>)> {
    let Some(followed) = Followed::lists([base, mine, theirs]) else { return entries_by_id(base, mine, theirs, counting, choices) };
    let [base, mine, theirs] = &followed.versions;
    let (mut list, mut clashes) = entries_by_id(base, mine, theirs, counting, choices)?;
    followed.settle(&mut list, choices, &mut clashes);
    Some((list, clashes))
}

fn entries_by_id<T: Entry>(
    base: &[T],
    mine: &[T],
    theirs: &[T],
    counting: &Counting<'_>,
    choices: &Choices,
) -> Option<(Vec<T>, Vec<Clash>)> {
    let by_id = [by_id(base)?, by_id(mine)?, by_id(theirs)?];
    let ids = [base, mine, theirs].map(|list| list.iter().map(Entry::id).collect::<Vec<_>>());
    let [base_ids, my_ids, their_ids] = &ids;
    let mut clashes = Vec::new();
    let mut out = Vec::new();
    for id in united(base_ids, my_ids, their_ids) {
        let at = At { file: T::FILE, id: id.to_owned(), steps: Vec::new() };
        let counts = if T::FILE == KeyFile::Forms { counting.of(id) } else { Counts::AsTheyAre };
        out.extend(one(at, by_id.each_ref().map(|list| list.get(id).copied()), choices, counts, &mut clashes));
    }
    Some((out, clashes))
}

fn by_id<T: Entry>(list: &[T]) -> Option<HashMap<&str, &T>> {
    let map: HashMap<&str, &T> = list.iter().map(|entry| (entry.id(), entry)).collect();
    (map.len() == list.len()).then_some(map)
}

/// One entry with the changes of both sides; None where it is taken out.
fn one<T: Serialize + serde::de::DeserializeOwned + PartialEq + Clone>(
    at: At,
    three: [Option<&T>; 3],
    choices: &Choices,
    counts: Counts,
    clashes: &mut Vec<Clash>,
) -> Option<T> {
    let alike = |a: Option<&T>, b: Option<&T>| match (a, b) {
        (Some(a), Some(b)) => same(a, b),
        (None, None) => true,
        _ => false,
    };
    let [base, mine, theirs] = three;
    if alike(mine, theirs) && (counts == Counts::AsTheyAre || alike(mine, base)) {
        return mine.cloned();
    }
    if alike(mine, base) {
        return theirs.cloned();
    }
    if alike(theirs, base) {
        return mine.cloned();
    }
    let trees = three.map(|side| side.and_then(Tree::of));
    let [base_tree, my_tree, their_tree] = &trees;
    let trees = [base_tree.as_ref(), my_tree.as_ref(), their_tree.as_ref()];
    let mut joiner = Joiner::new(at.clone(), choices, counts);
    // Of an entry that both added, or that one took out, nothing says what its pieces were.
    let whole = three.iter().any(Option::is_none);
    let joined = if whole { None } else { joiner.join(trees).and_then(|tree| tree.value::<T>()) };
    if joined.is_some() {
        clashes.extend(joiner.clashes);
        return joined;
    }
    // Also where the pieces make no entry together: then the entry is one thing.
    let mut joiner = Joiner::new(at, choices, counts);
    let taken = joiner.clash(trees);
    let side = joiner.clashes.first().map_or(Side::Mine, |clash| clash.taken);
    clashes.extend(joiner.clashes);
    taken
        .and(match side {
            Side::Base => base,
            Side::Mine => mine,
            Side::Theirs => theirs,
        })
        .cloned()
}

/// Which finds each side counted into the key.
#[derive(Debug, Default)]
pub(crate) struct Counting<'k> {
    mine: HashMap<&'k str, HashSet<&'k str>>,
    theirs: HashMap<&'k str, HashSet<&'k str>>,
}

impl<'k> Counting<'k> {
    pub(crate) fn new(base: &'k [Counted], mine: &'k [Counted], theirs: &'k [Counted]) -> Self {
        let before: HashSet<&str> = base.iter().map(Entry::id).collect();
        let fresh = |side: &'k [Counted]| {
            let mut by_form: HashMap<&str, HashSet<&str>> = HashMap::new();
            for counted in side.iter().filter(|counted| !before.contains(counted.id.as_str())) {
                by_form.entry(counted.form.as_str()).or_default().insert(counted.id.as_str());
            }
            by_form
        };
        Self { mine: fresh(mine), theirs: fresh(theirs) }
    }

    /// Counts are added up where each side is known to have counted finds that the other did not. Where both counted one find, or one side
    /// raised a count by hand, two different counts are a clash.
    fn of(&self, form: &str) -> Counts {
        match (self.mine.get(form), self.theirs.get(form)) {
            (Some(mine), Some(theirs)) if mine.is_disjoint(theirs) => Counts::AddUp,
            _ => Counts::AsTheyAre,
        }
    }
}
