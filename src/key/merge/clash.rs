//! What both sides changed, and which side is taken.

use super::tree::Tree;
use crate::key::file::KeyFile;
use crate::say;
use std::collections::BTreeMap;

/// Whose change is taken where both sides changed one thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Side {
    /// What was changed here.
    #[default]
    Mine,
    /// What the other changed.
    Theirs,
    /// As it was before either.
    Base,
}

impl Side {
    /// All three, in the order in which they are shown.
    pub const ALL: [Self; 3] = [Self::Mine, Self::Theirs, Self::Base];

    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Mine => say!(in "a side of a clash", "mine"),
            Self::Theirs => say!(in "a side of a clash", "theirs"),
            Self::Base => say!(in "a side of a clash", "as it was"),
        }
    }
}

/// One step from an entry down to what clashes.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// A field: `lid_plan`.
    Field(String),
    /// A name of a map: `lid-outline` in `features`.
    Name(String),
    /// The item of a list that is about this.
    Item(String),
}

/// Where something is that both sides changed: the file, the id of the entry (empty for `key.ron`), and the way down from there, which is
/// empty where it is the entry as a whole.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct At {
    /// The file.
    pub file: KeyFile,
    /// The entry.
    pub id: String,
    /// From the entry down.
    pub steps: Vec<Step>,
}

/// Something that both sides changed, each otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clash {
    /// Where it is.
    pub at: At,
    /// What it was, as RON in one line; None where it was not there.
    pub base: Option<String>,
    /// What it is here; None where it was taken out.
    pub mine: Option<String>,
    /// What the other made of it; None where it was taken out.
    pub theirs: Option<String>,
    /// Which is taken.
    pub taken: Side,
}

impl Clash {
    pub(super) fn new(at: At, sides: [Option<&Tree>; 3], taken: Side) -> Self {
        let [base, mine, theirs] = sides.map(|side| side.map(Tree::text));
        Self { at, base, mine, theirs, taken }
    }

    /// What that side says, as RON in one line; None where it is not there.
    pub fn says(&self, side: Side) -> Option<&str> {
        match side {
            Side::Base => self.base.as_deref(),
            Side::Mine => self.mine.as_deref(),
            Side::Theirs => self.theirs.as_deref(),
        }
    }
}

/// Which side is taken where; mine where nothing is said.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choices {
    chosen: BTreeMap<At, Side>,
    otherwise: Side,
}

impl Choices {
    /// That side everywhere.
    pub fn all(side: Side) -> Self {
        Self { chosen: BTreeMap::new(), otherwise: side }
    }

    /// Takes a side in one place.
    pub fn choose(&mut self, at: At, side: Side) {
        self.chosen.insert(at, side);
    }

    /// The side taken there.
    pub fn side(&self, at: &At) -> Side {
        self.chosen.get(at).copied().unwrap_or(self.otherwise)
    }

    /// The side taken where nothing else is said.
    pub fn otherwise(&self) -> Side {
        self.otherwise
    }

    /// True where a person has said which side it is to be there.
    pub fn is_chosen(&self, at: &At) -> bool {
        self.chosen.contains_key(at)
    }
}
