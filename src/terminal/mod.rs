//! The verbs: for scripts, and for machines without a screen.
//!
//! [`parse`] reads the command line, [`run`] does what a verb asks for and writes to what it is given, so that a test sees exactly what a
//! person sees. Nothing here colours its output, and what a key says is never sent to a terminal as control characters.

mod alone;
mod census;
mod check;
mod cli;
mod cli_dates;
mod cli_daybook;
mod cli_export;
mod cli_lens;
mod cli_measure;
mod cli_merge;
mod cli_pack;
mod cli_pair;
mod cli_print;
mod cli_unroll;
mod colour;
mod date;
mod daybook;
mod diff;
mod display;
mod export;
mod finds;
mod health;
mod identify;
mod import;
mod lens;
mod mark;
mod measure;
mod measure_side;
mod merge;
mod open_key;
mod open_table;
mod outcome;
mod pack;
mod page;
mod pair;
mod photograph;
mod place;
mod print;
mod progress;
mod reconcile;
mod sequence;
mod sort;
mod tell;
mod told;
mod trial;
mod unroll;

pub use cli::{Call, Check, Cli, Colour, Date, Health, Identify, Import, Mark, Open, Sequence, Sort, Tell, Trial, Verb};
pub use cli_dates::DatedBy;
pub use cli_daybook::{Backup, Daybook, DaybookVerb, Join, Restore};
pub use cli_export::{Export, ExportAs, Exported};
pub use cli_lens::Lens;
pub use cli_measure::{Measure, View};
pub use cli_merge::{Diff, Merge};
pub use cli_pack::{Pack, Unpack};
pub use cli_pair::{Census, Pair, Reconcile};
pub use cli_print::{On, Print, Printed};
pub use cli_unroll::{RingPoints, StripArcs, StripContrast, Unroll};
pub use display::no_display;
pub use outcome::Outcome;
pub use page::say;
pub use place::place;

use outcome::Trouble;
use std::ffi::OsString;
use std::io::Write;

/// Reads the command line, the program's own name first.
///
/// # Errors
/// Where it cannot be understood, and also where it asks for help or the version: [`clap::Error`] knows its text, where that belongs
/// (standard output or standard error) and the exit code (0 for help, 2 for misuse).
pub fn parse(args: impl IntoIterator<Item = OsString>) -> Result<Call, clap::Error> {
    use clap::Parser as _;
    Cli::try_parse_from(args).map(Cli::call)
}

/// Writes a value as JSON, indented, and a line break.
fn json(value: &impl serde::Serialize, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    serde_json::to_writer_pretty(&mut *out, value).map_err(std::io::Error::from)?;
    writeln!(out)?;
    Ok(Outcome::Well)
}

/// Does what a verb asks for: what it found goes to `out`, what went wrong in a line to `err`.
pub fn run(verb: &Verb, out: &mut dyn Write, err: &mut dyn Write) -> Outcome {
    let result = match verb {
        Verb::Check(check) => check::run(check, out),
        Verb::Diff(diff) => diff::run(diff, out, err),
        Verb::Merge(merge) => merge::run(merge, out),
        Verb::Identify(identify) => identify::run(identify, out, err),
        Verb::Tell(tell) => tell::run(tell, out, err),
        Verb::Health(health) => health::run(health, out, err),
        Verb::Sequence(sequence) => sequence::run(sequence, out, err),
        Verb::Export(export) => export::run(export, out, err),
        Verb::Import(import) => import::run(import, out),
        Verb::Trial(trial) => trial::run(trial, out, err),
        Verb::Colour(colour) => colour::run(colour, out, err),
        Verb::Sort(sort) => sort::run(sort, out, err),
        Verb::Date(date) => date::run(date, out, err),
        Verb::Mark(mark) => mark::run(mark, out, err),
        Verb::Measure(measure) => measure::run(measure, out, err),
        Verb::Lens(lens) => lens::run(lens, out, err),
        Verb::Unroll(unroll) => unroll::run(unroll, out, err),
        Verb::Pair(pair) => pair::run(pair, out, err),
        Verb::Census(census) => census::run(census, out, err),
        Verb::Pack(asked) => pack::pack(asked, out),
        Verb::Unpack(asked) => pack::unpack(asked, out),
        Verb::Daybook(asked) => daybook::run(asked, out, err),
        Verb::Print(print) => print::run(print, out, err),
        Verb::Reconcile(reconcile) => reconcile::run(reconcile, out, err),
    };
    match result.and_then(|outcome| out.flush().map(|()| outcome).map_err(Trouble::from)) {
        Ok(outcome) => outcome,
        // Whoever read the output has had enough of it ('footring … | head').
        Err(Trouble::Output(e)) if e.kind() == std::io::ErrorKind::BrokenPipe => Outcome::Well,
        Err(trouble) => {
            say(err, &trouble.to_string());
            trouble.outcome()
        }
    }
}
