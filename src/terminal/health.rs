//! `footring health`

use super::alone::shown;
use super::cli::Health as Asked;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, count, percent, plain};
use crate::identify::Index;
use crate::identify::health::{Cell, Health, Hollow, Pair, Thin};
use crate::key::{FeatureId, Key};
use serde::Serialize;
use std::io::Write;
use std::ops::ControlFlow;

/// Entries of each list that are written out without `--all`.
const WRITTEN_OUT: usize = 8;
/// Features named of one entry.
const NAMED: usize = 4;

pub(super) fn run(asked: &Asked, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = open_key::with_forms(&asked.key, err)?;
    let health = Index::new(&key).health(|_| ControlFlow::Continue(())).map_err(|e| Trouble::Problem(e.to_string()))?;
    if asked.json {
        return super::json(&report(&key, &health), out);
    }
    let most = if asked.all { usize::MAX } else { WRITTEN_OUT };
    Page { key: &key, most }.print(&health, out)?;
    Ok(Outcome::Well)
}

struct Page<'k> {
    key: &'k Key,
    most: usize,
}

impl Page<'_> {
    /// The first few features by name, and how many more there are.
    fn few(&self, features: &[FeatureId]) -> String {
        let named = shown(self.key, features.get(..NAMED.min(features.len())).unwrap_or_default()).join(", ");
        let more = features.len().saturating_sub(NAMED);
        if more > 0 { format!("{named} and {more} more") } else { named }
    }

    fn print(&self, health: &Health, out: &mut dyn Write) -> Result<(), Trouble> {
        let size = format!("{}, {}", count(health.forms, "form", "forms"), count(health.features, "feature", "features"));
        writeln!(out, "{}: {size}", plain(&self.key.about.title))?;
        if health.weighed < health.forms {
            writeln!(out, "Weighed in pairs: {} of the forms, evenly over their ids", health.weighed)?;
        }
        let apart = health.pairs - health.untold_pairs;
        writeln!(
            out,
            "{apart} of {} can be told apart; two forms are confused {} of the time at most",
            count(health.pairs, "pair", "pairs"),
            percent(health.confusion / 2.0).trim_start()
        )?;

        let pairs = |pairs: &[Pair], says: &dyn Fn(&Pair) -> String| {
            let mut rows = Rows::default();
            for pair in pairs.iter().take(self.most) {
                rows.add([format!("{} and {}", self.key.form_name(&pair.form), self.key.form_name(&pair.other)), says(pair)]);
            }
            rows
        };
        let record = |pair: &Pair| match pair.to_record.as_slice() {
            [] => "all is recorded: add a feature in which they differ".to_owned(),
            open => format!("record {}", self.few(open)),
        };
        self.list(out, "Can't be told apart at all", health.untold_pairs, &pairs(&health.untold, &record))?;
        let by = |pair: &Pair| {
            let feature = pair.by.as_ref().map(|id| self.key.feature_name(id)).unwrap_or_default();
            format!("{feature}, right {} of the time", percent(f64::from(pair.surely as f32)).trim_start())
        };
        self.list(out, "Told apart by one feature alone, the least sure first", health.by_one_pairs, &pairs(&health.by_one, &by))?;
        self.list(out, "Told apart only with the lid there", health.lid_only_pairs, &pairs(&health.lid_only, &record_or_nothing))?;

        let mut rows = Rows::default();
        for Hollow { feature, recorded } in health.telling_nothing.iter().take(self.most) {
            rows.add([self.key.feature_name(feature), format!("recorded of {}", count(*recorded, "form", "forms"))]);
        }
        self.list(out, "Features that tell nothing apart", health.telling_nothing.len(), &rows)?;

        let mut rows = Rows::default();
        for value in health.unused.iter().take(self.most) {
            rows.add([self.key.feature_name(&value.feature), value.name.clone()]);
        }
        self.list(out, "Values that no form has", health.unused.len(), &rows)?;

        let mut rows = Rows::default();
        for Thin { form, missing, of } in health.thin.iter().take(self.most) {
            rows.add([self.key.form_name(form), format!("{} of {of}: {}", missing.len(), self.few(missing))]);
        }
        self.list(out, "Not recorded, the most first", health.thin.len(), &rows)?;

        let mut rows = Rows::default();
        for Cell { form, feature, drop } in health.to_record.iter().take(self.most) {
            let share = if health.confusion > 0.0 { drop / health.confusion } else { 0.0 };
            rows.add([
                self.key.feature_name(feature),
                format!("of {}", self.key.form_name(form)),
                format!("expected to take away {} of all confusion", percent(share).trim_start()),
            ]);
        }
        self.list(out, "What to record next", health.to_record.len(), &rows)
    }

    fn list(&self, out: &mut dyn Write, head: &str, all: usize, rows: &Rows) -> Result<(), Trouble> {
        if all == 0 {
            return Ok(());
        }
        writeln!(out, "\n{head} ({all})")?;
        rows.write(out, "  ")?;
        let written = rows.len();
        if written < all {
            writeln!(out, "  … and {} more{}", all - written, if self.most == usize::MAX { "" } else { " (--all writes them out)" })?;
        }
        Ok(())
    }
}

/// Nothing more is to be said of a pair that its lid tells apart.
fn record_or_nothing(_: &Pair) -> String {
    String::new()
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report<'a> {
    key: &'a str,
    forms: usize,
    features: usize,
    weighed: usize,
    pairs: usize,
    confusion: f64,
    untold_pairs: usize,
    untold: Vec<PairLine>,
    by_one_pairs: usize,
    by_one: Vec<PairLine>,
    lid_only_pairs: usize,
    lid_only: Vec<PairLine>,
    telling_nothing: Vec<String>,
    /// Feature and value.
    unused_values: Vec<[String; 2]>,
    not_recorded: Vec<ThinLine>,
    to_record: Vec<CellLine>,
}

#[derive(Serialize)]
struct PairLine {
    form: String,
    other: String,
    by: Option<String>,
    surely: f64,
    confusion: f64,
    to_record: Vec<String>,
}

#[derive(Serialize)]
struct ThinLine {
    form: String,
    features: Vec<String>,
    of: usize,
}

#[derive(Serialize)]
struct CellLine {
    form: String,
    feature: String,
    drop: f64,
}

fn report<'a>(key: &'a Key, health: &Health) -> Report<'a> {
    let ids = |features: &[FeatureId]| features.iter().map(ToString::to_string).collect::<Vec<_>>();
    let lines = |pairs: &[Pair]| {
        let line = |pair: &Pair| PairLine {
            form: pair.form.to_string(),
            other: pair.other.to_string(),
            by: pair.by.as_ref().map(ToString::to_string),
            surely: pair.surely,
            confusion: pair.confusion,
            to_record: ids(&pair.to_record),
        };
        pairs.iter().map(line).collect::<Vec<_>>()
    };
    Report {
        key: &key.about.title,
        forms: health.forms,
        features: health.features,
        weighed: health.weighed,
        pairs: health.pairs,
        confusion: health.confusion,
        untold_pairs: health.untold_pairs,
        untold: lines(&health.untold),
        by_one_pairs: health.by_one_pairs,
        by_one: lines(&health.by_one),
        lid_only_pairs: health.lid_only_pairs,
        lid_only: lines(&health.lid_only),
        telling_nothing: health.telling_nothing.iter().map(|hollow| hollow.feature.to_string()).collect(),
        unused_values: health.unused.iter().map(|value| [value.feature.to_string(), value.value.to_string()]).collect(),
        not_recorded: health
            .thin
            .iter()
            .map(|thin| ThinLine { form: thin.form.to_string(), features: ids(&thin.missing), of: thin.of })
            .collect(),
        to_record: health
            .to_record
            .iter()
            .map(|cell| CellLine { form: cell.form.to_string(), feature: cell.feature.to_string(), drop: cell.drop })
            .collect(),
    }
}
