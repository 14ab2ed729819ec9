//! Sorting the shelves and reading lists of halves, off the frame.

use crate::colour::Lab;
use crate::daybook::lids::{Half, Pairing, Reason, Rules, Shelf, Shelves, Side, pair, read, reasons, side_of};
use crate::desk::daybook::pages::Done;
use crate::desk::jobs::{Done as JobDone, Jobs};
use crate::key::Key;
use crate::key::tables::{HeaderRow, Options, read as read_table};
use crate::key::words::Words;
use crate::say;
use egui::Context;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// So many others are kept of each half.
const OTHERS: usize = 8;
/// Problems of a list that are told one by one.
const TOLD: usize = 6;

/// What was sorted: the shelves and the key as they stood.
#[derive(Debug, Clone)]
pub struct Asked {
    pub(super) shelves: Arc<Shelves>,
    pub(super) key: Arc<Key>,
}

impl Asked {
    pub(super) fn is(&self, shelves: &Arc<Shelves>, key: &Arc<Key>) -> bool {
        Arc::ptr_eq(&self.shelves, shelves) && Arc::ptr_eq(&self.key, key)
    }
}

/// One half that another may belong to.
#[derive(Debug, Clone)]
pub(super) struct Other {
    /// Its place on its shelf.
    pub(super) at: usize,
    pub(super) probability: f64,
    pub(super) reasons: Vec<Reason>,
}

/// The shelves, sorted.
#[derive(Debug)]
pub struct Sorted {
    pub(super) pairing: Pairing,
    /// The likeliest others of each lid and of each base, likeliest first.
    pub(super) others: [Vec<Vec<Other>>; 2],
    /// Lid and base that stand in one column, in the order shown: pairs by lid, then lids alone, then bases alone.
    pub(super) columns: Vec<(Option<usize>, Option<usize>)>,
    /// In which column a lid, and in which a base stands.
    pub(super) column_of: [BTreeMap<usize, usize>; 2],
    /// For each lid and each base: the colour of its glaze, where the key knows it.
    pub(super) colours: [Vec<Option<Lab>>; 2],
}

/// The number of a side's table.
pub(super) const fn index(side: Side) -> usize {
    match side {
        Side::Lid => 0,
        Side::Base => 1,
    }
}

impl Sorted {
    fn of(asked: &Asked) -> Result<Self, String> {
        let Asked { shelves, key } = asked;
        let (lids, bases) = (shelves.lids.as_slice(), shelves.bases.as_slice());
        let rules = Rules::built_in();
        let pairing = pair(lids, bases, rules, Some(key), &shelves.wishes()).map_err(|error| error.to_string())?;
        let mut columns: Vec<(Option<usize>, Option<usize>)> = pairing.pairs.iter().map(|p| (Some(p.lid), Some(p.base))).collect();
        columns.extend(pairing.lids_alone.iter().map(|lid| (Some(*lid), None)));
        columns.extend(pairing.bases_alone.iter().map(|base| (None, Some(*base))));
        let column_of = [
            columns.iter().enumerate().filter_map(|(column, (lid, _))| Some(((*lid)?, column))).collect(),
            columns.iter().enumerate().filter_map(|(column, (_, base))| Some(((*base)?, column))).collect(),
        ];
        let words = Words::new(key);
        let lab = |half: &Half| {
            let id = words.glaze(half.noted("glaze")?).ok()?;
            key.glazes.iter().find(|glaze| glaze.id == id).map(|glaze| glaze.lab)
        };
        Ok(Self {
            others: others(lids, bases, &pairing, key),
            column_of,
            colours: [lids.iter().map(lab).collect(), bases.iter().map(lab).collect()],
            columns,
            pairing,
        })
    }

    pub(super) fn others_of(&self, side: Side, at: usize) -> &[Other] {
        self.others.get(index(side)).and_then(|all| all.get(at)).map_or(&[], Vec::as_slice)
    }
}

/// The likeliest few of each half, with what is to be said of them.
fn others(lids: &[Half], bases: &[Half], pairing: &Pairing, key: &Key) -> [Vec<Vec<Other>>; 2] {
    let mut found = [vec![Vec::new(); lids.len()], vec![Vec::new(); bases.len()]];
    let pinned = pairing.pairs.iter().filter(|pair| pair.reasons.contains(&Reason::Pinned)).map(|pair| (pair.lid, pair.base, 1.0));
    let thought_of = pairing.candidates.iter().map(|c| (c.lid, c.base, c.probability));
    let [of_lids, of_bases] = &mut found;
    for (lid, base, probability) in pinned.chain(thought_of) {
        let other = |at: usize| Other { at, probability, reasons: Vec::new() };
        if let (Some(of_lid), Some(of_base)) = (of_lids.get_mut(lid), of_bases.get_mut(base)) {
            of_lid.push(other(base));
            of_base.push(other(lid));
        }
    }
    for all in found.iter_mut().flatten() {
        all.sort_by(|a, b| b.probability.total_cmp(&a.probability).then(a.at.cmp(&b.at)));
        all.truncate(OTHERS);
    }
    let [of_lids, of_bases] = &found;
    let asked: Vec<(usize, usize)> = of_lids
        .iter()
        .enumerate()
        .flat_map(|(lid, all)| all.iter().map(move |other| (lid, other.at)))
        .chain(of_bases.iter().enumerate().flat_map(|(base, all)| all.iter().map(move |other| (other.at, base))))
        .collect();
    let said = reasons(lids, bases, Rules::built_in(), Some(key), &asked);
    for (other, said) in found.iter_mut().flatten().flatten().zip(said) {
        other.reasons = said;
    }
    found
}

/// Sorts the shelves.
pub(super) fn sort(jobs: &mut Jobs, ctx: &Context, asked: Asked) {
    jobs.start(ctx, say!("Pairing lids and bases"), move |_progress| {
        let sorted = Sorted::of(&asked).map(Arc::new);
        JobDone::Pages(Done::Sorted(asked, sorted))
    });
}

/// Asks for a list of halves with the system's dialog.
pub(super) fn choose(jobs: &mut Jobs, ctx: &Context) {
    jobs.start(ctx, say!("Choosing a list"), |_progress| {
        let dialog = rfd::FileDialog::new().set_title(say!("Read lids or bases")).add_filter(say!("Lists"), &crate::desk::bring_in::KINDS);
        JobDone::Pages(Done::HalvesChosen(dialog.pick_file()))
    });
}

/// Halves that were read from a list.
#[derive(Debug)]
pub struct ReadHalves {
    pub(super) side: Side,
    pub(super) halves: Vec<Half>,
    /// What is wrong with it, in sentences.
    pub(super) told: Vec<String>,
}

/// Reads a list of halves. Whether it is of lids or bases its columns say.
pub(super) fn read_halves(jobs: &mut Jobs, ctx: &Context, path: PathBuf) {
    jobs.start(ctx, say!("Reading {path}", path = path.file_name().unwrap_or_default().to_string_lossy()), move |_progress| {
        JobDone::Pages(Done::HalvesRead(read_list(&path)))
    });
}

fn read_list(path: &std::path::Path) -> Result<ReadHalves, String> {
    let options = Options { sheet: None, header: HeaderRow::First, separator: None };
    let table = read_table(path, &options).map_err(|error| error.to_string())?;
    let Some(side) = side_of(&table) else {
        let names = table.headers.iter().map(|header| format!("'{header}'")).collect::<Vec<_>>().join(", ");
        return Err(say!(
            "'{file}' has no column that says whether it is of lids ('flange major mm') or of bases ('gallery major mm'); it has {names}",
            file = table.file,
            names
        ));
    };
    let Shelf { halves, problems } = read(&table, side, Rules::built_in()).map_err(|error| error.to_string())?;
    let mut told: Vec<String> = table.problems.iter().map(|problem| problem.tell(&table)).collect();
    told.extend(problems.iter().map(|(at, problem)| format!("{}: {problem}", table.place(*at))));
    if told.len() > TOLD {
        let more = told.len() - TOLD;
        told.truncate(TOLD);
        told.push(say!("and {more} more", more));
    }
    Ok(ReadHalves { side, halves, told })
}
