//! The cells of the census: a form in a glaze, or with a decoration.

use super::richness::Richness;
use super::tally::Tally;
use crate::key::{FormId, Held, How, Key, Often, PaperId};
use crate::say;
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};

/// What the columns of the census are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum By {
    /// Glazes.
    #[default]
    Glaze,
    /// Decorations. Papers of a key list glazes only, so here a paper counts where a claim cites it.
    Decoration,
}

impl By {
    /// 'glaze' or 'decoration'.
    pub fn word(self) -> &'static str {
        match self {
            Self::Glaze => say!("glaze"),
            Self::Decoration => say!("decoration"),
        }
    }
}

/// What is known of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum State {
    /// In the daybook, and in a paper.
    SeenAndListed,
    /// In the daybook, in no paper.
    SeenNeverListed,
    /// In a paper, not in the daybook, and the key does not claim that it was seen.
    ListedNeverSeen,
    /// The key says that it was seen; the daybook has none.
    OnlyClaimed,
    /// Inferred or suspected, or only on finds whose verdict was not settled.
    Doubtful,
    /// Refuted, and not in the daybook either.
    Refuted,
    /// Refuted, and yet in the daybook: one of the two is wrong.
    RefutedYetSeen,
}

impl State {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::SeenAndListed,
        Self::SeenNeverListed,
        Self::ListedNeverSeen,
        Self::OnlyClaimed,
        Self::Doubtful,
        Self::Refuted,
        Self::RefutedYetSeen,
    ];

    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::SeenAndListed => say!(in "a cell of the census", "seen and listed"),
            Self::SeenNeverListed => say!(in "a cell of the census", "seen but never listed"),
            Self::ListedNeverSeen => say!(in "a cell of the census", "listed but never seen"),
            Self::OnlyClaimed => say!(in "a cell of the census", "seen by the key's word only"),
            Self::Doubtful => say!(in "a cell of the census", "doubtful"),
            Self::Refuted => say!(in "a cell of the census", "refuted"),
            Self::RefutedYetSeen => say!(in "a cell of the census", "refuted and yet seen"),
        }
    }
}

/// What the key claims of a cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Claimed {
    /// How it is known.
    pub how: How,
    /// How often.
    pub often: Often,
}

/// A form in a glaze, or with a decoration.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// The form.
    pub form: FormId,
    /// The id of the glaze or decoration.
    pub column: String,
    /// Finds.
    pub finds: u64,
    /// Those of them whose verdict was settled.
    pub settled: u64,
    /// When the first find was recorded.
    pub first: Option<Timestamp>,
    /// When the last find was recorded.
    pub last: Option<Timestamp>,
    /// The papers that list it or that its claim cites, in the order of the key.
    pub papers: Vec<PaperId>,
    /// What the key claims.
    pub claimed: Option<Claimed>,
    /// What is known of it.
    pub state: State,
}

/// The census of a key.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Census {
    /// Cells of which anything is known, in the order of the key's forms and then of its glazes or decorations; what the key has not comes last.
    pub cells: Vec<Cell>,
    /// Finds of each form of which the glaze or decoration was not seen, or may be one of several; in the order of the key.
    pub unsaid: Vec<(FormId, u64)>,
    /// How many pairs nobody has seen yet, by the settled finds.
    pub richness: Richness,
}

#[derive(Default)]
struct Facts {
    finds: u64,
    settled: u64,
    first: Option<Timestamp>,
    last: Option<Timestamp>,
    papers: BTreeSet<usize>,
    claimed: Option<Claimed>,
}

impl Facts {
    fn state(&self) -> State {
        let refuted = self.claimed.as_ref().is_some_and(|claimed| claimed.how == How::Refuted);
        match (self.settled > 0, refuted, self.papers.is_empty()) {
            (true, true, _) => State::RefutedYetSeen,
            (true, false, false) => State::SeenAndListed,
            (true, false, true) => State::SeenNeverListed,
            (false, true, _) => State::Refuted,
            (false, false, listed_nowhere) => match self.claimed.as_ref().map(|claimed| claimed.how) {
                Some(How::Seen) => State::OnlyClaimed,
                _ if !listed_nowhere => State::ListedNeverSeen,
                _ => State::Doubtful,
            },
        }
    }
}

/// Where things stand in the key; what it has not stands behind, by its name.
type Spot = (usize, String);

fn spots<'i>(ids: impl Iterator<Item = &'i str>) -> BTreeMap<&'i str, usize> {
    ids.enumerate().map(|(at, id)| (id, at)).collect()
}

/// Lays the finds beside what the key and its papers say.
pub fn census(key: &Key, tallies: &[Tally], by: By) -> Census {
    let forms = spots(key.forms.iter().map(|form| form.id.as_str()));
    let columns = match by {
        By::Glaze => spots(key.glazes.iter().map(|glaze| glaze.id.as_str())),
        By::Decoration => spots(key.decorations.iter().map(|decoration| decoration.id.as_str())),
    };
    let papers = spots(key.papers.iter().map(|paper| paper.id.as_str()));
    let spot = |known: &BTreeMap<&str, usize>, id: &str| (known.get(id).copied().unwrap_or(usize::MAX), id.to_owned());
    let mut cells: BTreeMap<(Spot, Spot), Facts> = BTreeMap::new();
    let mut unsaid: BTreeMap<Spot, u64> = BTreeMap::new();
    for tally in tallies {
        let form = spot(&forms, tally.form.as_str());
        let column = match by {
            By::Glaze => tally.glaze.as_ref().map(|id| spot(&columns, id.as_str())),
            By::Decoration => tally.decoration.as_ref().map(|id| spot(&columns, id.as_str())),
        };
        let Some(column) = column else {
            *unsaid.entry(form).or_default() += tally.finds;
            continue;
        };
        let cell = cells.entry((form, column)).or_default();
        cell.finds += tally.finds;
        cell.settled += tally.settled;
        cell.first = Some(cell.first.map_or(tally.first, |first| first.min(tally.first)));
        cell.last = Some(cell.last.map_or(tally.last, |last| last.max(tally.last)));
    }
    for form in &key.forms {
        let at = spot(&forms, form.id.as_str());
        let mut claim = |id: &str, how: How, often: Often, cited: &[PaperId]| {
            let cell = cells.entry((at.clone(), spot(&columns, id))).or_default();
            cell.claimed = Some(Claimed { how, often });
            cell.papers.extend(cited.iter().filter_map(|id| papers.get(id.as_str())));
        };
        match by {
            By::Glaze => form.glazes.iter().for_each(|held: &Held<_>| claim(held.id.as_str(), held.how, held.often, &held.papers)),
            By::Decoration => form.decorations.iter().for_each(|held| claim(held.id.as_str(), held.how, held.often, &held.papers)),
        }
    }
    if by == By::Glaze {
        for (number, paper) in key.papers.iter().enumerate() {
            for listed in &paper.lists {
                for (form, glaze) in listed.form.iter().flat_map(|form| listed.glazes.iter().map(move |glaze| (form, glaze))) {
                    let at = (spot(&forms, form.as_str()), spot(&columns, glaze.as_str()));
                    cells.entry(at).or_default().papers.insert(number);
                }
            }
        }
    }
    let richness = Richness::of(cells.values().map(|facts| facts.settled).filter(|settled| *settled > 0));
    let cells = cells.into_iter().map(|((form, column), facts)| Cell {
        form: FormId::new(form.1),
        column: column.1,
        state: facts.state(),
        finds: facts.finds,
        settled: facts.settled,
        first: facts.first,
        last: facts.last,
        papers: facts.papers.iter().filter_map(|number| key.papers.get(*number)).map(|paper| paper.id.clone()).collect(),
        claimed: facts.claimed,
    });
    Census { cells: cells.collect(), unsaid: unsaid.into_iter().map(|(form, finds)| (FormId::new(form.1), finds)).collect(), richness }
}

impl Census {
    /// The cell of a form and a glaze or decoration, where anything is known of it.
    pub fn cell(&self, form: &FormId, column: &str) -> Option<&Cell> {
        self.cells.iter().find(|cell| cell.form == *form && cell.column == column)
    }

    /// How many cells are in each state, in the order of [`State::ALL`].
    pub fn states(&self) -> Vec<(State, usize)> {
        State::ALL.into_iter().map(|state| (state, self.cells.iter().filter(|cell| cell.state == state).count())).collect()
    }

    /// Settled finds of the form, and of all forms.
    pub fn settled_of(&self, form: &FormId) -> (u64, u64) {
        let of = |cell: &&Cell| cell.form == *form;
        (self.cells.iter().filter(of).map(|cell| cell.settled).sum(), self.cells.iter().map(|cell| cell.settled).sum())
    }
}

#[cfg(test)]
mod tests;
