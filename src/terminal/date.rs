//! `footring date`

use super::cli::Date as Asked;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{plain, say};
use crate::key::words::Words;
use crate::key::{Key, capital};
use crate::marks::dates::{Dated, Dating, Edge, Gathered, LoadedRules, Role, Rules, Said, Span, Unread, of_decoration, of_form};
use serde::Serialize;
use std::io::Write;
use std::path::Path;

pub(super) fn run(asked: &Asked, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let nothing =
        asked.evidence.is_empty() && asked.mark_code.is_empty() && [&asked.diamond, &asked.rd].iter().all(|given| given.is_none());
    if nothing && [&asked.mark, &asked.form, &asked.decoration, &asked.sold].iter().all(|given| given.is_none()) {
        return Err(Trouble::Misuse("there is nothing to date by (give --evidence, --diamond, --rd, --mark-code or --mark)".to_owned()));
    }
    let mut well = true;
    let rules = match &asked.rules {
        None => Rules::published().clone(),
        Some(path) => {
            let loaded = own_rules(path)?;
            for problem in &loaded.problems {
                well = false;
                say(err, &problem.with_source());
            }
            loaded.rules
        }
    };
    let key = match &asked.key {
        None => None,
        Some(word) => Some(open_key::saying(word, err)?),
    };
    let gathered = gather(asked, &rules, key.as_ref())?;
    let dating = Dating::of(gathered.evidence, gathered.put);
    if asked.json {
        super::json(&report(&dating, &gathered.unread, &gathered.remarks), out)?;
    } else {
        print(&dating, &gathered.remarks, out)?;
        for unread in &gathered.unread {
            say(err, &unread_words(unread));
        }
    }
    Ok(if well && gathered.unread.is_empty() { Outcome::Well } else { Outcome::Problems })
}

/// What was said and can't be read, and why.
pub(super) fn unread_words(unread: &Unread) -> String {
    let meant =
        if unread.did_you_mean.is_empty() { String::new() } else { format!(" (did you mean {}?)", unread.did_you_mean.join("; or ")) };
    format!("'{}': {}{meant}", unread.text, unread.why)
}

fn own_rules(path: &Path) -> Result<LoadedRules, Trouble> {
    const LARGEST: u64 = 4 << 20;
    let failed = |why: String| Trouble::Misuse(format!("the rules can't be read: {why} ({})", path.display()));
    let size = std::fs::metadata(path).map_err(|e| failed(e.to_string()))?.len();
    if size > LARGEST {
        return Err(failed(format!("the file has {} megabytes, more than {}", size >> 20, LARGEST >> 20)));
    }
    let text = std::fs::read_to_string(path).map_err(|e| failed(e.to_string()))?;
    let name = path.file_name().map_or_else(|| "rules".to_owned(), |name| name.to_string_lossy().into_owned());
    Ok(LoadedRules::added_to(Rules::published(), &name, &text))
}

fn gather(asked: &Asked, rules: &Rules, key: Option<&Key>) -> Result<Gathered, Trouble> {
    let misuse = |option: &str, text: &str, why: &dyn std::fmt::Display| Trouble::Misuse(format!("{option} '{text}': {why}"));
    let mut mark = None;
    let mut years = Vec::new();
    if let Some(key) = key {
        let words = Words::new(key);
        if let Some(text) = &asked.mark {
            let id = words.mark(text).map_err(|e| misuse("--mark", text, &e))?;
            mark = key.mark(&id);
        }
        if let Some(text) = &asked.form {
            let id = words.form(text).map_err(|e| misuse("--form", text, &e))?;
            if let Some(form) = key.form(&id) {
                let made = if form.made.is_open() { key.line(&form.line).map_or(form.made, |line| line.made) } else { form.made };
                years.extend(of_form(&form.name, made));
            }
        }
        if let Some(text) = &asked.decoration {
            let id = words.decoration(text).map_err(|e| misuse("--decoration", text, &e))?;
            years.extend(key.decoration(&id).and_then(of_decoration));
        }
    }
    let mut said = Vec::new();
    // Without a key there are no codes to read one by.
    if key.is_some() {
        said.extend(asked.mark_code.iter().cloned().map(Said::Code));
    }
    said.extend(asked.evidence.iter().cloned().map(Said::Words));
    said.extend(asked.diamond.iter().cloned().map(Said::Diamond));
    said.extend(asked.rd.iter().cloned().map(Said::Number));
    said.extend(asked.sold.iter().cloned().map(Said::Sold));
    for one in &said {
        let option = match one {
            Said::Diamond(_) => "--diamond",
            Said::Sold(_) => "--sold",
            Said::Words(_) | Said::Number(_) | Said::Code(_) => continue,
        };
        one.check().map_err(|why| misuse(option, one.text(), &why))?;
    }
    let mut all = Gathered::of(rules, key.map_or(&[], |key| key.marks.as_slice()), mark, &said);
    all.evidence.extend(years);
    Ok(all)
}

fn print(dating: &Dating, remarks: &[String], out: &mut dyn Write) -> Result<(), Trouble> {
    for (word, dated) in dating.things() {
        writeln!(out, "{}", capital(&dated.sentence(word, dating)))?;
        if let Some(firm) = dated.firm_sentence() {
            writeln!(out, "  {firm}")?;
        }
    }
    if !dating.evidence.is_empty() {
        writeln!(out, "\nReasons")?;
        for evidence in &dating.evidence {
            let source = if evidence.source.is_empty() { "no source".to_owned() } else { evidence.source.clone() };
            writeln!(out, "  {}", plain(&capital(&evidence.says)))?;
            writeln!(out, "    {}: {}; {}", evidence.firmness_words(), plain(&evidence.because), plain(&source))?;
        }
    }
    let clashes = dating.clashes();
    if !clashes.is_empty() {
        writeln!(out, "\nClashes")?;
    }
    for clash in clashes {
        writeln!(out, "  {}", plain(&capital(&clash.says)))?;
        for explanation in &clash.explanations {
            let leaves = if explanation.leaves.is_open() { String::new() } else { format!(": then {}", explanation.leaves.words()) };
            writeln!(out, "    Perhaps {}{leaves}", plain(&explanation.says))?;
        }
    }
    if !remarks.is_empty() {
        writeln!(out, "\nRemarks")?;
    }
    for remark in remarks {
        writeln!(out, "  {}", plain(&capital(remark)))?;
    }
    Ok(())
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report<'a> {
    #[serde(flatten)]
    made: Ends,
    disputed: bool,
    /// More than one, where a code can be read in several ways.
    candidates: Vec<Ends>,
    /// By law and papers alone.
    firm: Ends,
    decorated: Option<Ends>,
    sold: Option<Ends>,
    reasons: Vec<Reason<'a>>,
    clashes: Vec<Told<'a>>,
    remarks: &'a [String],
    unread: Vec<NotRead<'a>>,
}

#[derive(Serialize)]
struct Ends {
    not_before: Option<End>,
    not_after: Option<End>,
}

/// A day as text, or a year as a number.
#[derive(Serialize)]
#[serde(untagged)]
enum End {
    Day(String),
    Year(i16),
}

#[derive(Serialize)]
struct Reason<'a> {
    says: &'a str,
    because: &'a str,
    source: &'a str,
    firmness: String,
    dates: &'static str,
    /// 'fixes', 'agrees', 'shifts', 'set aside' or 'silent', for the making.
    role: &'static str,
    #[serde(flatten)]
    when: Ends,
}

#[derive(Serialize)]
struct Told<'a> {
    says: &'a str,
    of: &'static str,
    /// Numbers of the reasons, from 0.
    between: &'a [usize],
    explanations: Vec<Perhaps<'a>>,
}

#[derive(Serialize)]
struct Perhaps<'a> {
    cause: &'static str,
    says: &'a str,
    #[serde(flatten)]
    leaves: Ends,
}

#[derive(Serialize)]
struct NotRead<'a> {
    text: &'a str,
    why: &'a str,
    did_you_mean: &'a [String],
}

fn ends(span: Span) -> Ends {
    let end = |edge: Edge| match edge {
        Edge::Day(_) => End::Day(edge.iso()),
        Edge::Year(year) => End::Year(year),
    };
    Ends { not_before: span.from.map(end), not_after: span.to.map(end) }
}

fn report<'a>(dating: &'a Dating, unread: &'a [Unread], remarks: &'a [String]) -> Report<'a> {
    let hull = |dated: &Dated| ends(dated.when.hull());
    let role = |role: &Role| match role {
        Role::Fixes => "fixes",
        Role::Agrees => "agrees",
        Role::Shifts => "shifts",
        Role::SetAside => "set aside",
        Role::Silent => "silent",
    };
    Report {
        made: hull(&dating.made),
        disputed: dating.made.is_disputed(),
        candidates: dating.made.when.list().iter().map(|span| ends(*span)).collect(),
        firm: ends(dating.made.firm.hull()),
        decorated: dating.decorated.as_ref().map(hull),
        sold: dating.sold.as_ref().map(hull),
        reasons: dating
            .evidence
            .iter()
            .zip(&dating.made.roles)
            .map(|(evidence, made)| Reason {
                says: &evidence.says,
                because: &evidence.because,
                source: &evidence.source,
                firmness: evidence.firmness_words(),
                dates: evidence.dates.word(),
                role: role(made),
                when: ends(evidence.when.hull()),
            })
            .collect(),
        clashes: dating
            .clashes()
            .into_iter()
            .map(|clash| Told {
                says: &clash.says,
                of: clash.thing.word(),
                between: &clash.between,
                explanations: clash
                    .explanations
                    .iter()
                    .map(|e| Perhaps { cause: e.cause.word(), says: &e.says, leaves: ends(e.leaves) })
                    .collect(),
            })
            .collect(),
        remarks,
        unread: unread.iter().map(|u| NotRead { text: &u.text, why: &u.why, did_you_mean: &u.did_you_mean }).collect(),
    }
}
