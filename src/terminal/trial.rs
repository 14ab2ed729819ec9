//! `footring trial`

mod json;

use super::cli::Trial;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, count, percent, plain};
use super::progress;
use crate::identify::Settings;
use crate::identify::trial::{self, Bin, Confusion, FormResult, Options, Report, Share, Strangers, Way};
use crate::key::Key;
use std::io::Write;
use std::ops::ControlFlow;

/// Pairs and forms that are listed.
const LISTED: usize = 10;
/// Looks at a piece where they are not chosen, and nothing else is said.
const LOOKS: usize = 8;

pub(super) fn run(trial: &Trial, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = open_key::with_forms(&trial.key, err)?;
    let options = options(trial, key.forms.len());
    let bar = progress::bar("pieces named");
    let report = trial::run(&key, Settings::default(), options, &|done, all| {
        progress::show(&bar, done, all);
        ControlFlow::Continue(())
    });
    bar.finish_and_clear();
    let Some(report) = report else { return Ok(Outcome::Well) };
    if trial.json {
        super::json(&json::report(&key, &report), out)?;
    } else {
        print(&key, &report, out)?;
    }
    Ok(Outcome::Well)
}

fn options(trial: &Trial, forms: usize) -> Options {
    let usual = Options::for_forms(forms);
    let looks = trial.looks.map(|looks| looks as usize);
    Options {
        pieces: trial.pieces.map_or(usual.pieces, |pieces| pieces as usize),
        way: match (trial.guided, usual.way) {
            (true, Way::Guided { most } | Way::AnyOrder { looks: most }) => Way::Guided { most: looks.unwrap_or(most) },
            (false, _) => Way::AnyOrder { looks: looks.unwrap_or(LOOKS) },
        },
        slips: trial.slips,
        unread: trial.unread,
        lost_lids: trial.lost_lids,
        worn: trial.worn,
        left_out: trial.strangers.map_or(usual.left_out, |forms| forms as usize),
        seed: trial.seed,
    }
}

fn print(key: &Key, report: &Report, out: &mut dyn Write) -> Result<(), Trouble> {
    let options = &report.options;
    let how = match options.way {
        Way::AnyOrder { looks } => format!("{} at each, in any order", count(looks, "look", "looks")),
        Way::Guided { most } => format!("looked at as Footring asks, until the name is settled, {} at most", count(most, "look", "looks")),
    };
    let forms = count(report.forms.len(), "form", "forms");
    let pieces = count(report.pieces, "made-up piece", "made-up pieces");
    let head = format!("{}: {pieces} of {forms}; {how} (seed {})", key.about.title, options.seed);
    writeln!(out, "{}\n", plain(&head))?;
    print_named(report, out)?;
    print_looks(report, out)?;
    print_calibration(report, out)?;
    print_confusions(key, report, out)?;
    print_hardest(key, report, out)?;
    print_lines(key, report, out)?;
    if let Some(strangers) = &report.strangers {
        print_strangers(key, strangers, out)?;
    }
    Ok(())
}

/// '97 % (96.7 to 97.4 %)'
fn share(share: Share) -> String {
    format!("{} ({} to {})", percent(share.share), ends(share.low), percent(share.high).trim_start())
}

fn ends(x: f64) -> String {
    percent(x).trim_start().trim_end_matches(" %").to_owned()
}

fn print_named(report: &Report, out: &mut dyn Write) -> Result<(), Trouble> {
    writeln!(out, "How they were named")?;
    let right = Share { share: report.settled.share - report.settled_wrongly.share, ..report.settled };
    let mut rows = Rows::default();
    rows.add([share(report.first), "the right form came first".to_owned()]);
    rows.add([share(report.first_three), "it was among the first three".to_owned()]);
    rows.add([percent(right.share), "settled, and right".to_owned()]);
    rows.add([share(report.settled_wrongly), "settled, and wrong".to_owned()]);
    rows.add([share(report.called_strange), "called 'not in this key', and wrongly so".to_owned()]);
    rows.add([share(report.called_contradictory), "the answers were said not to go together".to_owned()]);
    rows.write(out, "")?;
    Ok(())
}

fn print_looks(report: &Report, out: &mut dyn Write) -> Result<(), Trouble> {
    let looks = &report.looks;
    writeln!(out, "\nHow much looking it took")?;
    if let Way::Guided { .. } = report.options.way {
        writeln!(
            out,
            "  {:.1} looks a piece on average; half of the pieces took {} at most, 95 in 100 took {} at most",
            looks.mean, looks.median, looks.most_of_95
        )?;
    }
    writeln!(
        out,
        "  {:.2} bits were to be found out, and {:.2} are still open in the end: {:.2} bits a look",
        looks.start_bits,
        looks.end_bits,
        if looks.mean > 0.0 { (looks.start_bits - looks.end_bits) / looks.mean } else { 0.0 }
    )?;
    writeln!(
        out,
        "  No single look tells more than {:.2} bits, so no order of looks could take fewer than {:.1}; yes-or-no questions would take {:.1}",
        looks.best_look_bits,
        looks.bound,
        (looks.start_bits - looks.end_bits).max(0.0)
    )?;
    Ok(())
}

fn print_calibration(report: &Report, out: &mut dyn Write) -> Result<(), Trouble> {
    let calibration = &report.calibration;
    writeln!(out, "\nHow far its probabilities can be believed")?;
    let mut rows = Rows::default();
    rows.add([" said".to_owned(), "was right".to_owned(), " pieces".to_owned()]);
    for bin in calibration.bins.iter().filter(|bin| bin.pieces > 0) {
        rows.add([percent(bin.said), format!("{}  ", percent(bin.right)), format!("{:>7}", bin.pieces)]);
    }
    rows.write(out, "")?;
    writeln!(out, "  On average what was said is {} off", percent(calibration.expected_error).trim_start())?;
    writeln!(
        out,
        "  Brier score {:.3} (0 is best; with nothing looked at it is {:.3}), log loss {:.2} bits ({:.2})",
        calibration.brier, calibration.brier_blank, calibration.log_loss_bits, calibration.log_loss_blank_bits
    )?;
    Ok(())
}

fn print_confusions(key: &Key, report: &Report, out: &mut dyn Write) -> Result<(), Trouble> {
    let pairs = report.pairs();
    if pairs.is_empty() {
        writeln!(out, "\nNo form was taken for another")?;
        return Ok(());
    }
    writeln!(out, "\nTaken for each other most often, of {} of both", 2 * report.options.pieces)?;
    let mut rows = Rows::default();
    for (one, other, pieces) in pairs.iter().take(LISTED) {
        rows.add([format!("{pieces:>5}"), key.pair_names(one, other)]);
    }
    rows.write(out, "")?;
    more(pairs.len().saturating_sub(LISTED), "pair", "pairs", out)
}

fn more(n: usize, one: &str, many: &str, out: &mut dyn Write) -> Result<(), Trouble> {
    if n > 0 {
        writeln!(out, "         and {} more (--json lists all)", count(n, one, many))?;
    }
    Ok(())
}

fn print_hardest(key: &Key, report: &Report, out: &mut dyn Write) -> Result<(), Trouble> {
    let mut hardest: Vec<&FormResult> = report.forms.iter().filter(|form| form.right < form.pieces).collect();
    hardest.sort_by(|a, b| a.first.share.total_cmp(&b.first.share));
    if hardest.is_empty() {
        return Ok(());
    }
    writeln!(out, "\nHardest to name: how often the right form came first")?;
    let mut rows = Rows::default();
    for form in hardest.iter().take(LISTED) {
        let looks = if let Way::Guided { .. } = report.options.way { format!("{:.1} looks", form.looks) } else { String::new() };
        rows.add([share(form.first), key.form_name(&form.form), looks]);
    }
    rows.write(out, "")?;
    Ok(())
}

fn print_lines(key: &Key, report: &Report, out: &mut dyn Write) -> Result<(), Trouble> {
    if report.lines.len() < 2 {
        return Ok(());
    }
    let name = |line: &crate::key::LineId| key.line(line).map_or_else(|| line.to_string(), |line| line.name.clone());
    writeln!(out, "\nLines: pieces of each, and the line they were taken for")?;
    let names: Vec<String> = report.lines.iter().map(name).collect();
    let wide = names.iter().map(|name| name.chars().count()).chain([6]).max().unwrap_or(0);
    let row = |head: &str, cells: Vec<String>| {
        let cells: Vec<String> = cells.iter().map(|cell| format!("{cell:>wide$}")).collect();
        plain(format!("  {head:wide$}  {}", cells.join("  ")).trim_end())
    };
    writeln!(out, "{}", row("", names.clone()))?;
    for (name, counts) in names.iter().zip(&report.line_taken_for) {
        writeln!(out, "{}", row(name, counts.iter().map(ToString::to_string).collect()))?;
    }
    Ok(())
}

fn print_strangers(key: &Key, strangers: &Strangers, out: &mut dyn Write) -> Result<(), Trouble> {
    let forms = count(strangers.forms, "form", "forms");
    let pieces = count(strangers.pieces, "piece", "pieces");
    writeln!(out, "\nStrangers: {forms} left out of the key in turn, {pieces} of them")?;
    let mut rows = Rows::default();
    rows.add([share(strangers.called_strange), "called 'not in this key', and rightly so".to_owned()]);
    rows.add([share(strangers.called_contradictory), "the answers were said not to go together".to_owned()]);
    rows.add([share(strangers.named), "settled under the name of another form".to_owned()]);
    rows.add([share(strangers.named_though_measured), "of all, settled so although their size was measured".to_owned()]);
    rows.write(out, "")?;
    let mut rows = Rows::default();
    for confusion in strangers.taken_for.iter().take(LISTED / 2) {
        let as_other = format!("{} as {}", key.form_name(&confusion.form), key.form_name(&confusion.taken_for));
        rows.add([format!("{:>5} of {}", confusion.pieces, strangers.pieces / strangers.forms.max(1)), as_other]);
    }
    rows.write(out, "  ")?;
    Ok(())
}
