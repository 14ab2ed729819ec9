//! Entries that were given another id: known again by what they say.
//!
//! A key keeps no record of renaming, since it may be done by hand. An entry that is gone and one that came are one entry where, apart from the id and the
//! name, enough of their pieces are the same, and none that is gone or came besides is as like.

use super::clash::{At, Choices, Clash, Side, Step};
use super::tree::Tree;
use crate::key::edit;
use crate::key::file::{Entry, KeyFile};
use crate::key::model::Key;
use std::collections::{HashMap, HashSet};

/// The share of pieces that must be the same, at least: a choice. `tests` hold that no two entries of the demo key are as like.
pub(crate) const ALIKE: f64 = 0.9;

/// Fewer pieces than these say too little: then the name must be the same too.
const TOO_FEW: usize = 3;

/// An entry that has another id than it had.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct NewId {
    /// The file it is in.
    pub(crate) file: KeyFile,
    /// The id it had.
    pub(crate) from: String,
    /// The id it has.
    pub(crate) to: String,
}

/// What an entry says, piece by piece.
struct Pieces {
    name: Option<String>,
    rest: HashMap<(String, String), usize>,
    count: usize,
}

impl Pieces {
    fn of<T: Entry>(entry: &T) -> Option<Self> {
        let Tree::Fields(_, fields) = Tree::of(entry)? else { return None };
        let mut pieces = Self { name: fields.get("name").map(Tree::text), rest: HashMap::new(), count: 0 };
        for (field, tree) in fields.iter().filter(|(field, _)| !matches!(field.as_str(), "id" | "name")) {
            pieces.gather(field, tree);
        }
        Some(pieces)
    }

    fn gather(&mut self, at: &str, tree: &Tree) {
        match tree {
            Tree::Atom(text) => {
                *self.rest.entry((at.to_owned(), text.clone())).or_default() += 1;
                self.count += 1;
            }
            Tree::Fields(word, items) => items.iter().for_each(|(field, item)| self.gather(&format!("{at}/{word}.{field}"), item)),
            Tree::Map(items) => items.iter().for_each(|(name, item)| self.gather(&format!("{at}/{name}"), item)),
            Tree::List(items) => items.iter().for_each(|item| self.gather(&format!("{at}/"), item)),
            Tree::Tuple(word, items) => items.iter().enumerate().for_each(|(i, item)| self.gather(&format!("{at}/{word}{i}"), item)),
        }
    }

    /// The share of pieces that both have.
    fn alike(&self, other: &Self) -> f64 {
        if self.count.min(other.count) < TOO_FEW && self.name != other.name {
            return 0.0;
        }
        let most = self.count.max(other.count);
        // Cheap, and never less than what follows.
        if most == 0 || (self.count.min(other.count) as f64) < ALIKE * most as f64 {
            return if most == 0 { 1.0 } else { 0.0 };
        }
        let both: usize = self.rest.iter().map(|(piece, n)| other.rest.get(piece).map_or(0, |m| *n.min(m))).sum();
        both as f64 / most as f64
    }
}

/// Which of the entries that are gone are which of those that came, where at least that share of their pieces is the same: pairs of their numbers.
pub(crate) fn known_again<T: Entry>(gone: &[&T], came: &[&T], least: f64) -> Vec<(usize, usize)> {
    // Counted finds and retired forms are not renamed.
    if gone.is_empty() || came.is_empty() || matches!(T::FILE, KeyFile::About | KeyFile::Counted | KeyFile::Retired) {
        return Vec::new();
    }
    let pieces = |list: &[&T]| list.iter().map(|entry| Pieces::of(*entry)).collect::<Vec<_>>();
    let (gone, came) = (pieces(gone), pieces(came));
    let mut pairs = Vec::new();
    for (i, was) in gone.iter().enumerate() {
        let alike = came.iter().map(|is| was.as_ref().zip(is.as_ref()).map_or(0.0, |(was, is)| was.alike(is)));
        pairs.extend(alike.enumerate().filter(|(_, share)| *share >= least).map(|(j, share)| (share, i, j)));
    }
    // Only where nothing else is as like, from both sides.
    let best =
        |(share, i, j): &(f64, usize, usize)| pairs.iter().all(|(other, k, l)| (k, l) == (i, j) || (k != i && l != j) || other < share);
    pairs.iter().filter(|pair| best(pair)).map(|(_, i, j)| (*i, *j)).collect()
}

/// The entries of a list that have another id now.
fn of_list<T: Entry>(base: &[T], side: &[T], least: f64) -> Vec<NewId> {
    let ids = |list: &[T]| list.iter().map(|entry| entry.id().to_owned()).collect::<HashSet<_>>();
    let (was, is) = (ids(base), ids(side));
    let gone: Vec<&T> = base.iter().filter(|entry| !is.contains(entry.id())).collect();
    let came: Vec<&T> = side.iter().filter(|entry| !was.contains(entry.id())).collect();
    let pairs = known_again(&gone, &came, least);
    let named =
        |(i, j): (usize, usize)| Some(NewId { file: T::FILE, from: gone.get(i)?.id().to_owned(), to: came.get(j)?.id().to_owned() });
    pairs.into_iter().filter_map(named).collect()
}

/// Both sides gave one entry another id, each otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Both {
    file: KeyFile,
    base: String,
    mine: String,
    theirs: String,
}

impl Both {
    /// The clash, and the id that is to be taken.
    fn clash(&self, choices: &Choices) -> (Clash, &str) {
        let at = At { file: self.file, id: self.mine.clone(), steps: vec![Step::Field("id".to_owned())] };
        let taken = choices.side(&at);
        let sides = [&self.base, &self.mine, &self.theirs].map(|id| Tree::Atom(format!("{id:?}")));
        let [base, mine, theirs] = &sides;
        let id = match taken {
            Side::Base => &self.base,
            Side::Mine => &self.mine,
            Side::Theirs => &self.theirs,
        };
        (Clash::new(at, [Some(base), Some(mine), Some(theirs)], taken), id)
    }
}

/// Three versions in which every entry has the id that a side gave it; mine, where both did.
pub(crate) struct Followed<V> {
    /// As it was, mine, theirs.
    pub(crate) versions: [V; 3],
    both: Vec<Both>,
}

impl<T: Entry> Followed<Vec<T>> {
    /// The lists of one file; None where neither side gave an entry another id.
    pub(super) fn lists(three: [&[T]; 3]) -> Option<Self> {
        let [base, mine, theirs] = three;
        let has = |list: &[T], id: &str| list.iter().any(|entry| entry.id() == id);
        // A form may have been retired, and another begun from it, which only the whole key tells.
        let least = if T::FILE == KeyFile::Forms { 1.0 } else { ALIKE };
        let moves =
            Moves::new(&of_list(base, mine, least), &of_list(base, theirs, least), &|_, id| has(mine, id), &|_, id| has(theirs, id));
        if moves.of.is_empty() {
            return None;
        }
        let mut versions = three.map(<[T]>::to_vec);
        for (which, new) in &moves.of {
            if let Some(entry) = versions.get_mut(*which).and_then(|list| list.iter_mut().find(|entry| entry.id() == new.from)) {
                entry.set_id(&new.to);
            }
        }
        Some(Self { versions, both: moves.both })
    }

    /// Gives what was put together the ids that are chosen.
    pub(super) fn settle(&self, list: &mut [T], choices: &Choices, clashes: &mut Vec<Clash>) {
        for both in &self.both {
            let (clash, id) = both.clash(choices);
            clashes.push(clash);
            if let Some(entry) = list.iter_mut().find(|entry| entry.id() == both.mine) {
                entry.set_id(id);
            }
        }
    }
}

/// True where a key has an entry of that id.
fn has(key: &Key, file: KeyFile, id: &str) -> bool {
    fn any<T: Entry>(list: &[T], id: &str) -> bool {
        list.iter().any(|entry| entry.id() == id)
    }
    match file {
        KeyFile::About => false,
        KeyFile::Features => any(&key.features, id),
        KeyFile::Lines => any(&key.lines, id),
        KeyFile::Forms => any(&key.forms, id),
        KeyFile::Glazes => any(&key.glazes, id),
        KeyFile::Decorations => any(&key.decorations, id),
        KeyFile::Marks => any(&key.marks, id),
        KeyFile::Papers => any(&key.papers, id),
        KeyFile::Counted => any(&key.counted, id),
        KeyFile::Retired => any(&key.retired, id),
    }
}

impl Followed<Key> {
    /// Whole keys, with their references; None where neither side gave an entry another id.
    pub(crate) fn keys(three: [&Key; 3]) -> Option<Self> {
        let [base, mine, theirs] = three;
        let found = |side: &Key| {
            let mut all = of_list(&base.features, &side.features, ALIKE);
            all.extend(of_list(&base.lines, &side.lines, ALIKE));
            // A form that was retired is not gone.
            let retired: HashSet<&str> = side.retired.iter().map(|retired| retired.form.id.as_str()).collect();
            all.extend(of_list(&base.forms, &side.forms, ALIKE).into_iter().filter(|new| !retired.contains(new.from.as_str())));
            all.extend(of_list(&base.glazes, &side.glazes, ALIKE));
            all.extend(of_list(&base.decorations, &side.decorations, ALIKE));
            all.extend(of_list(&base.marks, &side.marks, ALIKE));
            all.extend(of_list(&base.papers, &side.papers, ALIKE));
            all
        };
        let moves = Moves::new(&found(mine), &found(theirs), &|file, id| has(mine, file, id), &|file, id| has(theirs, file, id));
        if moves.of.is_empty() {
            return None;
        }
        let mut versions = three.map(Key::clone);
        for (which, new) in &moves.of {
            if let Some(key) = versions.get_mut(*which)
                && let Ok(renamed) = edit::rename(key, new.file, &new.from, &new.to)
            {
                *key = renamed.key;
            }
        }
        Some(Self { versions, both: moves.both })
    }

    /// Gives what was put together the ids that are chosen.
    pub(crate) fn settle(&self, key: &mut Key, choices: &Choices, clashes: &mut Vec<Clash>) {
        for both in &self.both {
            let (clash, id) = both.clash(choices);
            if let Ok(renamed) = edit::rename(key, both.file, &both.mine, id) {
                *key = renamed.key;
            }
            clashes.push(clash);
        }
    }
}

/// What has to be given another id in which version (0: as it was, 1: mine, 2: theirs).
#[derive(Default)]
struct Moves {
    of: Vec<(usize, NewId)>,
    both: Vec<Both>,
}

impl Moves {
    fn new(mine: &[NewId], theirs: &[NewId], is_mine: &dyn Fn(KeyFile, &str) -> bool, is_theirs: &dyn Fn(KeyFile, &str) -> bool) -> Self {
        let mut out = Self::default();
        for new in mine {
            let there = theirs.iter().find(|other| other.file == new.file && other.from == new.from);
            // Another entry of that id on their side: nothing is known of the two.
            if there.is_none_or(|other| other.to != new.to) && is_theirs(new.file, &new.to) {
                continue;
            }
            out.of.push((0, new.clone()));
            match there {
                Some(other) if other.to != new.to => {
                    out.of.push((2, NewId { from: other.to.clone(), ..new.clone() }));
                    let NewId { file, from, to } = new.clone();
                    out.both.push(Both { file, base: from, mine: to, theirs: other.to.clone() });
                }
                None if is_theirs(new.file, &new.from) => out.of.push((2, new.clone())),
                Some(_) | None => {}
            }
        }
        for new in theirs {
            if mine.iter().any(|other| other.file == new.file && other.from == new.from) || is_mine(new.file, &new.to) {
                continue;
            }
            out.of.push((0, new.clone()));
            if is_mine(new.file, &new.from) {
                out.of.push((1, new.clone()));
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::super::{join, join_file, join_folders};
    use super::*;
    use crate::key::builtin;
    use crate::key::model::Glaze;
    use std::fs;
    use std::path::Path;

    fn demo() -> Key {
        builtin::demo().key
    }

    fn renamed(key: &Key, file: KeyFile, from: &str, to: &str) -> Key {
        edit::rename(key, file, from, to).unwrap().key
    }

    fn noted(key: &Key, form: &str, note: &str) -> Key {
        let mut key = key.clone();
        note.clone_into(&mut key.forms.iter_mut().find(|known| known.id.as_str() == form).unwrap().note);
        key
    }

    fn note<'k>(key: &'k Key, form: &str) -> Option<&'k str> {
        key.form(&form.into()).map(|form| form.note.as_str())
    }

    #[test]
    fn no_two_entries_of_the_demo_key_are_taken_for_one() {
        fn apart<T: Entry>(list: &[T]) {
            for (i, one) in list.iter().enumerate() {
                for other in list.iter().skip(i + 1) {
                    assert_eq!(known_again(&[one], &[other], ALIKE), [], "{} and {}", one.id(), other.id());
                }
            }
        }
        let key = demo();
        apart(&key.features);
        apart(&key.lines);
        apart(&key.forms);
        apart(&key.glazes);
        apart(&key.decorations);
        apart(&key.marks);
        apart(&key.papers);
    }

    #[test]
    fn one_renames_and_the_other_changes() {
        let base = demo();
        let id = base.forms.first().unwrap().id.to_string();
        let mine = renamed(&base, KeyFile::Forms, &id, "my-own-name");
        let theirs = noted(&base, &id, "seen at a fair");
        for (mine, theirs) in [(&mine, &theirs), (&theirs, &mine)] {
            let joined = join(&base, mine, theirs, &Choices::default());
            assert_eq!(joined.clashes, []);
            assert_eq!(note(&joined.key, "my-own-name"), Some("seen at a fair"));
            assert_eq!(joined.key.forms.len(), base.forms.len());
            assert_eq!(note(&joined.key, &id), None);
        }
    }

    #[test]
    fn references_that_the_other_side_added_follow() {
        let base = demo();
        let glaze = base.glazes.first().unwrap().id.to_string();
        let mine = renamed(&base, KeyFile::Glazes, &glaze, "my-glaze");
        let mut theirs = base.clone();
        let form = theirs.forms.iter_mut().find(|form| form.glazes.iter().all(|held| held.id.as_str() != glaze)).unwrap();
        let (id, count) = (form.id.clone(), form.glazes.len());
        let held = base.forms.iter().flat_map(|form| &form.glazes).find(|held| held.id.as_str() == glaze).unwrap();
        form.glazes.push(held.clone());
        let joined = join(&base, &mine, &theirs, &Choices::default());
        assert_eq!(joined.clashes, []);
        let form = joined.key.form(&id).unwrap();
        assert_eq!(form.glazes.len(), count + 1);
        assert_eq!(form.glazes.last().unwrap().id.as_str(), "my-glaze");
    }

    #[test]
    fn two_new_ids_of_one_entry_clash_and_a_choice_settles_it() {
        let base = demo();
        let id = base.forms.first().unwrap().id.to_string();
        let mine = renamed(&base, KeyFile::Forms, &id, "my-own-name");
        let theirs = noted(&renamed(&base, KeyFile::Forms, &id, "their-name"), "their-name", "changed too");
        let joined = join(&base, &mine, &theirs, &Choices::default());
        let [clash] = joined.clashes.as_slice() else { unreachable!("{:?}", joined.clashes) };
        assert_eq!(clash.at.steps, [Step::Field("id".to_owned())]);
        assert_eq!((clash.says(Side::Mine), clash.says(Side::Theirs)), (Some("\"my-own-name\""), Some("\"their-name\"")));
        assert_eq!(note(&joined.key, "my-own-name"), Some("changed too"));
        assert_eq!(joined.key.forms.len(), base.forms.len());
        let theirs_taken = join(&base, &mine, &theirs, &Choices::all(Side::Theirs));
        assert_eq!(note(&theirs_taken.key, "their-name"), Some("changed too"));
        assert_eq!(note(&theirs_taken.key, "my-own-name"), None);
    }

    #[test]
    fn a_form_that_was_retired_for_one_like_it_was_not_renamed() {
        let base = demo();
        let id = base.forms.first().unwrap().id.clone();
        let (mine, like_it) = edit::duplicate(&base, &id).unwrap();
        let mine = edit::retire(&mine, &id, "it was never sold", &[]).unwrap();
        assert!(mine.form(&like_it).is_some());
        let theirs = noted(&base, id.as_str(), "changed");
        let joined = join(&base, &mine, &theirs, &Choices::default());
        assert!(joined.clashes.iter().any(|clash| clash.at.id == id.as_str()), "{:?}", joined.clashes);
    }

    fn write(dir: &Path, key: &Key, from: &Path) {
        for file in KeyFile::ALL {
            if let Ok(text) = fs::read(from.join(file.name())) {
                fs::write(dir.join(file.name()), text).unwrap();
            }
        }
        crate::key::Folder::open(dir).save(key).unwrap();
    }

    const GLAZES: &str = "[\n    // the green one\n    (id: \"sage\", name: \"Sage\", lab: (63, -11, 14), note: \"matt\"), // quiet\n    (id: \"moss\", name: \"Moss\", lab: (50, -14, 22)),\n]\n";

    #[test]
    fn an_entry_with_a_new_id_keeps_its_comments_and_its_place() {
        let read = |text: &str| {
            let mut file = crate::key::load::decode(KeyFile::Glazes, text.as_bytes().to_vec(), &mut Vec::new());
            let list: Vec<Glaze> = crate::key::load::parse_list(&mut file, &mut Vec::new());
            (file, list)
        };
        let (file, list) = read(GLAZES);
        let mut new = list.clone();
        new.first_mut().unwrap().set_id("sage-green");
        let text = crate::key::save::rewrite::list(&file, &list, &new).unwrap();
        assert_eq!(text, GLAZES.replace("\"sage\"", "\"sage-green\""));
    }

    #[test]
    fn one_file_alone_is_put_together_too() {
        let mine = GLAZES.replace("\"sage\"", "\"sage-green\"");
        let theirs = GLAZES.replace("\"matt\"", "\"matt, pooled dark\"");
        for (a, b) in [(&mine, &theirs), (&theirs, &mine)] {
            let joined = join_file(KeyFile::Glazes, [Some(GLAZES.as_bytes()), Some(a.as_bytes()), Some(b.as_bytes())], &Choices::default());
            assert!(joined.is_clean(), "{joined:?}");
            let text = String::from_utf8(joined.bytes.unwrap()).unwrap();
            assert_eq!(text, GLAZES.replace("\"sage\"", "\"sage-green\"").replace("\"matt\"", "\"matt, pooled dark\""));
        }
    }

    #[test]
    fn folders_are_put_together_with_their_references() {
        let dirs = [(); 5].map(|()| tempfile::tempdir().unwrap());
        let [start, base, mine, theirs, out] = dirs.each_ref().map(|dir| dir.path().join("key"));
        builtin::copy_demo(&start).unwrap();
        let (start, base, mine, theirs, out) = (start.as_path(), base.as_path(), mine.as_path(), theirs.as_path(), out.as_path());
        for dir in [base, mine, theirs] {
            fs::create_dir(dir).unwrap();
        }
        let key = crate::key::load(start).key;
        let line = key.lines.first().unwrap().id.to_string();
        let id = key.forms.iter().find(|form| form.line.as_str() == line).unwrap().id.to_string();
        write(base, &key, start);
        write(mine, &renamed(&key, KeyFile::Lines, &line, "my-line"), start);
        write(theirs, &noted(&key, &id, "seen at a fair"), start);
        let joined = join_folders(base, mine, theirs, out, &Choices::default()).unwrap();
        assert_eq!((joined.clashes, joined.problems), (Vec::new(), Vec::new()));
        let form = joined.loaded.key.form(&id.as_str().into()).unwrap();
        assert_eq!((form.line.as_str(), form.note.as_str()), ("my-line", "seen at a fair"));
        assert!(joined.loaded.key.line(&line.as_str().into()).is_none());
        let from_theirs = crate::key::diff::words::lines(&load(mine), &joined.loaded.key);
        assert_eq!(from_theirs.len(), 1, "{from_theirs:?}");
    }

    fn load(dir: &Path) -> Key {
        crate::key::load(dir).key
    }
}
