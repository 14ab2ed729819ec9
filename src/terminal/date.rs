//! `footring date`

use super::cli::Date as Asked;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{plain, say};
use crate::key::words::Words;
use crate::key::{Key, Mark, capital};
use crate::marks::dates::code::{evidence as code_evidence, read_code};
use crate::marks::dates::diamond::Corners;
use crate::marks::dates::{
    Dated, Dating, Edge, Evidence, LoadedRules, MarkPut, Role, Rules, Span, Spans, TextRead, Unread, of_decoration, of_form, of_mark,
    of_sale,
};
use serde::Serialize;
use std::io::Write;
use std::path::Path;

/// The rule by which `--rd` is read.
const REGISTERED: &str = "registered-number";

/// What was gathered from the command line.
#[derive(Default)]
struct Gathered {
    evidence: Vec<Evidence>,
    unread: Vec<Unread>,
    remarks: Vec<String>,
    put: MarkPut,
}

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
            let meant = if unread.did_you_mean.is_empty() {
                String::new()
            } else {
                format!(" (did you mean {}?)", unread.did_you_mean.join("; or "))
            };
            say(err, &format!("'{}': {}{meant}", unread.text, unread.why));
        }
    }
    Ok(if well && gathered.unread.is_empty() { Outcome::Well } else { Outcome::Problems })
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
    let mut all = Gathered::default();
    let mut mark = None;
    if let Some(key) = key {
        let words = Words::new(key);
        let misuse = |option: &str, text: &str, why: &dyn std::fmt::Display| Trouble::Misuse(format!("{option} '{text}': {why}"));
        if let Some(text) = &asked.mark {
            let id = words.mark(text).map_err(|e| misuse("--mark", text, &e))?;
            mark = key.mark(&id);
        }
        if let Some(mark) = mark {
            let (years, put) = of_mark(mark);
            all.evidence.extend(years);
            all.put = put;
            if !mark.date_code.is_empty() {
                all.remarks.push(format!("of the date code of '{}' the key says: {}", mark.name, mark.date_code));
            }
        }
        if let Some(text) = &asked.form {
            let id = words.form(text).map_err(|e| misuse("--form", text, &e))?;
            if let Some(form) = key.form(&id) {
                let made = if form.made.is_open() { key.line(&form.line).map_or(form.made, |line| line.made) } else { form.made };
                all.evidence.extend(of_form(form, made));
            }
        }
        if let Some(text) = &asked.decoration {
            let id = words.decoration(text).map_err(|e| misuse("--decoration", text, &e))?;
            all.evidence.extend(key.decoration(&id).and_then(of_decoration));
        }
        for code in &asked.mark_code {
            all.code(code, key, mark);
        }
    }
    for text in &asked.evidence {
        all.text(rules.read(text));
    }
    if let Some(text) = &asked.diamond {
        let corners: Corners = text.parse().map_err(|e| Trouble::Misuse(format!("--diamond '{text}': {e}")))?;
        match rules.read_diamond(&corners) {
            Ok(diamond) => {
                all.remarks.extend(diamond.ambiguity().map(|ways| format!("the diamond: {ways}")));
                all.remarks.extend(diamond.remarks.iter().map(|remark| format!("the diamond: {remark}")));
                all.evidence.push(diamond.evidence);
            }
            Err(unread) => all.unread.push(unread),
        }
    }
    if let Some(number) = &asked.rd {
        all.text(rules.read_number(REGISTERED, number));
    }
    if let Some(text) = &asked.sold {
        let edge = day_or_year(text).ok_or_else(|| {
            Trouble::Misuse(format!("--sold '{text}' is no date (write a year, 1957, or a day of the calendar, 1957-04-07)"))
        })?;
        all.evidence.push(of_sale(edge, "as given"));
    }
    Ok(all)
}

fn day_or_year(text: &str) -> Option<Edge> {
    let text = text.trim();
    if let Ok(year) = text.parse::<i32>() {
        return Edge::year(year).filter(|_| (1500..=2200).contains(&year));
    }
    text.parse::<jiff::civil::Date>().ok().map(Edge::Day)
}

impl Gathered {
    fn text(&mut self, read: TextRead) {
        for reading in read.readings {
            if reading.doubtful > 0 {
                self.remarks.push(format!("'{}' was taken for '{}'", reading.read, reading.taken_for));
            }
            if !reading.note.is_empty() {
                self.remarks.push(format!("'{}': {}", reading.read, reading.note));
            }
            self.evidence.extend(reading.evidence);
        }
        self.unread.extend(read.unread);
    }

    /// A date code, by the codes of the mark, or of every mark where none is given. Marks that each read it give one piece of evidence.
    fn code(&mut self, sample: &str, key: &Key, mark: Option<&Mark>) {
        let marks: Vec<&Mark> = mark.map_or_else(|| key.marks.iter().collect(), |mark| vec![mark]);
        let mut found: Option<Evidence> = None;
        let mut why = Vec::new();
        let mut dateless = Vec::new();
        for mark in marks {
            for code in &mark.codes {
                match read_code(code, mark.made, sample) {
                    Err(e) => why.push(e.to_string()),
                    Ok(readings) => {
                        let Some(one) = code_evidence(code, sample, &readings) else {
                            dateless.extend(readings.first().map(|reading| format!("the code '{sample}' reads {}", reading.words)));
                            continue;
                        };
                        found = Some(match found {
                            None => one,
                            Some(other) => Evidence {
                                when: Spans::of(other.when.list().iter().chain(one.when.list()).copied()),
                                firmness: other.firmness.max(one.firmness),
                                says: format!("{}, or by '{}': {}", other.says, mark.name, one.says),
                                ..other
                            },
                        });
                    }
                }
            }
        }
        let (evidence, no_date) = (found.is_some(), !dateless.is_empty());
        self.evidence.extend(found);
        self.remarks.extend(dateless);
        if !evidence && !no_date {
            why.dedup();
            let why = match why.first() {
                None => "no code is described of this mark, so nothing follows (describe it under 'codes' of the mark)".to_owned(),
                Some(first) if why.len() == 1 => first.clone(),
                Some(_) => format!("no code of the {} marks fits: {}", key.marks.len(), why.join("; ")),
            };
            self.unread.push(Unread { text: sample.to_owned(), why, did_you_mean: Vec::new() });
        }
    }
}

fn print(dating: &Dating, remarks: &[String], out: &mut dyn Write) -> Result<(), Trouble> {
    print_dated("made", &dating.made, dating, out)?;
    for (word, dated) in [("decorated", &dating.decorated), ("sold", &dating.sold)] {
        if let Some(dated) = dated {
            print_dated(word, dated, dating, out)?;
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

fn print_dated(word: &str, dated: &Dated, dating: &Dating, out: &mut dyn Write) -> Result<(), Trouble> {
    let hull = dated.when.hull();
    if dated.is_disputed() {
        writeln!(out, "{}: firm evidence excludes each other, so there is no date (see the clashes)", capital(word))?;
        return Ok(());
    }
    if hull.is_open() {
        let shifts = dated.roles.contains(&Role::Shifts);
        writeln!(out, "{}: nothing bounds it{}", capital(word), if shifts { ", there are only hints" } else { "" })?;
        return Ok(());
    }
    let (from, to) = dated.firmness(&dating.evidence, dating.put);
    let by = match (from, to) {
        (Some(from), Some(to)) if from != to => format!("not before by {}, not after by {}", from.word(), to.word()),
        (Some(one), _) | (None, Some(one)) => format!("by {}", one.word()),
        (None, None) => "by several pieces of evidence together".to_owned(),
    };
    writeln!(out, "{} {} ({by})", capital(word), dated.when.words())?;
    if dated.firm != dated.when && !dated.firm.hull().is_open() {
        writeln!(out, "  by law and papers alone: {}", dated.firm.words())?;
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
