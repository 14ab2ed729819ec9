//! `footring pair`

use super::cli_pair::Pair;
use super::open_key;
use super::open_table;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, count, four_places, percent, plain, say};
use super::told::{Told, Wanted, tell};
use crate::daybook::lids::{Half, LoadedRules, PairError, Pairing, Rules, Shelf, Side, Wishes, pair, read};
use crate::key::tables::{HeaderRow, Options, Table};
use crate::sheets::csv::guarded_unless_a_number;
use serde::Serialize;
use std::io::{self, Write};
use std::path::Path;

/// Problems that are told one by one.
const TOLD: usize = 20;
/// The largest file of rules that is read.
const LARGEST_RULES: u64 = 4 << 20;

pub(super) fn run(asked: &Pair, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let own = asked.rules.as_deref().map(own_rules).transpose()?;
    let rules = match &own {
        Some(own) => &own.rules,
        None => Rules::built_in(),
    };
    for problem in own.iter().flat_map(|own| &own.problems) {
        say(err, &problem.to_string());
    }
    let key = asked.key.as_deref().map(|key| open_key::saying(key, err)).transpose()?;
    if let Some(file) = &asked.out {
        for table in [&asked.lids, &asked.bases] {
            if matches!((std::fs::canonicalize(table), std::fs::canonicalize(file)), (Ok(table), Ok(file)) if table == file) {
                let sentence = format!("'{}' is one of the tables, which are never written over (give --out another name)", file.display());
                return Err(Trouble::Misuse(sentence));
            }
        }
    }
    let (lids, lids_well) = shelf(&asked.lids, Side::Lid, rules, err)?;
    let (bases, bases_well) = shelf(&asked.bases, Side::Base, rules, err)?;
    let wishes = Wishes { pinned: asked.pin.clone(), forbidden: asked.forbid.clone() };
    let pairing =
        pair(&lids.halves, &bases.halves, rules, key.as_ref(), &wishes).map_err(|error: PairError| Trouble::Misuse(error.to_string()))?;
    let told = Report { lids: &lids.halves, bases: &bases.halves, pairing: &pairing };
    tell(&told, Wanted { file: asked.out.as_deref(), json: asked.json }, out)?;
    let well = lids_well && bases_well && own.as_ref().is_none_or(|own| own.problems.is_empty());
    Ok(if well { Outcome::Well } else { Outcome::Problems })
}

fn own_rules(path: &Path) -> Result<LoadedRules, Trouble> {
    let failed = |why: String| Trouble::Misuse(format!("the rules can't be read: {why} ({})", path.display()));
    let size = std::fs::metadata(path).map_err(|e| failed(e.to_string()))?.len();
    if size > LARGEST_RULES {
        return Err(failed(format!("the file has {} megabytes, more than {}", size >> 20, LARGEST_RULES >> 20)));
    }
    let text = std::fs::read_to_string(path).map_err(|e| failed(e.to_string()))?;
    let name = path.file_name().map_or_else(|| "rules".to_owned(), |name| name.to_string_lossy().into_owned());
    Ok(LoadedRules::over_built_in(&name, &text))
}

/// Reads a shelf and says what is wrong with it; true where nothing is.
fn shelf(path: &Path, side: Side, rules: &Rules, err: &mut dyn Write) -> Result<(Shelf, bool), Trouble> {
    let table: Table = open_table::open(path, &Options { sheet: None, header: HeaderRow::First, separator: None })?;
    open_table::tell(&table, err);
    let shelf = read(&table, side, rules).map_err(|error| Trouble::Problem(error.to_string()))?;
    for (at, problem) in shelf.problems.iter().take(TOLD) {
        say(err, &format!("{}: {problem}", table.place(*at)));
    }
    if shelf.problems.len() > TOLD {
        say(err, &format!("and {} more of the {}s", count(shelf.problems.len() - TOLD, "problem", "problems"), side.word()));
    }
    let well = shelf.problems.is_empty() && table.problems.is_empty();
    Ok((shelf, well))
}

/// A sorting, ready to be told.
struct Report<'s> {
    lids: &'s [Half],
    bases: &'s [Half],
    pairing: &'s Pairing,
}

#[derive(Serialize)]
struct Json<'s> {
    pairs: Vec<JsonPair<'s>>,
    lids_alone: Vec<&'s str>,
    bases_alone: Vec<&'s str>,
}

#[derive(Serialize)]
struct JsonPair<'s> {
    lid: &'s str,
    base: &'s str,
    probability: f64,
    remarks: Vec<String>,
}

impl<'s> Report<'s> {
    fn id(halves: &[Half], at: usize) -> &str {
        halves.get(at).map_or("", |half| half.id.as_str())
    }

    fn pairs(&self) -> impl Iterator<Item = JsonPair<'s>> {
        self.pairing.pairs.iter().map(|pair| JsonPair {
            lid: Self::id(self.lids, pair.lid),
            base: Self::id(self.bases, pair.base),
            probability: pair.probability,
            remarks: pair.reasons.iter().map(ToString::to_string).collect(),
        })
    }

    fn alone(halves: &'s [Half], alone: &[usize]) -> Vec<&'s str> {
        alone.iter().map(|&at| Self::id(halves, at)).collect()
    }
}

impl Told for Report<'_> {
    fn summary(&self) -> String {
        let pairs = count(self.pairing.pairs.len(), "pair", "pairs");
        let (lids, bases) = (count(self.lids.len(), "lid", "lids"), count(self.bases.len(), "base", "bases"));
        let married = self.pairing.pairs.iter().filter(|pair| pair.reasons.iter().any(crate::daybook::lids::Reason::is_marriage)).count();
        let married = if married == 0 { String::new() } else { format!(", {}", count(married, "marriage", "marriages")) };
        format!("{lids}, {bases}: {pairs}{married}")
    }

    fn json(&self, out: &mut dyn Write) -> io::Result<()> {
        let json = Json {
            pairs: self.pairs().collect(),
            lids_alone: Self::alone(self.lids, &self.pairing.lids_alone),
            bases_alone: Self::alone(self.bases, &self.pairing.bases_alone),
        };
        serde_json::to_writer_pretty(&mut *out, &json)?;
        writeln!(out)
    }

    fn csv(&self, out: &mut dyn Write) -> io::Result<()> {
        let mut csv = csv::Writer::from_writer(out);
        csv.write_record(["lid", "base", "probability", "remarks"])?;
        for pair in self.pairs() {
            let cells = [pair.lid, pair.base, &four_places(pair.probability), &pair.remarks.join("; ")].map(guarded_unless_a_number);
            csv.write_record(&cells)?;
        }
        for lid in Self::alone(self.lids, &self.pairing.lids_alone) {
            csv.write_record([guarded_unless_a_number(lid).as_ref(), "", "", "alone"])?;
        }
        for base in Self::alone(self.bases, &self.pairing.bases_alone) {
            csv.write_record(["", guarded_unless_a_number(base).as_ref(), "", "alone"])?;
        }
        csv.flush()
    }

    fn text(&self, out: &mut dyn Write) -> io::Result<()> {
        writeln!(out, "{}", plain(&self.summary()))?;
        let mut rows = Rows::default();
        for pair in self.pairs() {
            rows.add([pair.lid.to_owned(), pair.base.to_owned(), percent(pair.probability), pair.remarks.join("; ")]);
        }
        rows.write(out, "  ")?;
        let shelves =
            [("lids", Self::alone(self.lids, &self.pairing.lids_alone)), ("bases", Self::alone(self.bases, &self.pairing.bases_alone))];
        for (word, alone) in shelves {
            if !alone.is_empty() {
                writeln!(out, "{}", plain(&format!("{word} alone: {}", alone.join(", "))))?;
            }
        }
        Ok(())
    }
}
