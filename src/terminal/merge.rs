//! `footring merge`

use super::cli_merge::Merge;
use super::diff;
use super::outcome::{Outcome, Trouble};
use super::page::{count, plain};
use crate::key::diff::words::{clash_place, clash_side};
use crate::key::merge::{Choices, Clash, FileJoined, FoldersJoined, Side, Step, join_file, join_folders};
use crate::key::{Key, KeyFile, SIZE_LIMIT};
use crate::sheets::csv::save;
use serde::Serialize;
use std::io::Write;
use std::path::Path;

/// The file in the joined folder that lists what is left to decide.
const LIST: &str = "clashes.txt";

pub(super) fn run(asked: &Merge, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    match (&asked.file, &asked.out) {
        (Some(name), _) => one_file(asked, name, out),
        (None, Some(dir)) => folders(asked, dir, out),
        (None, None) => Err(Trouble::Misuse("say where the joined key is to go (--out DIR)".to_owned())),
    }
}

fn folders(asked: &Merge, dir: &Path, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    let mine = crate::key::load(&asked.mine).key;
    let joined = join_folders(&asked.base, &asked.mine, &asked.theirs, dir, &Choices::default())
        .map_err(|error| Trouble::Misuse(plain(&error.to_string())))?;
    if asked.json {
        super::json(&report(&joined), out)?;
    } else {
        writeln!(out, "{}", plain(&format!("{}, written to {}", summary(&joined), dir.display())))?;
        if !joined.from_theirs.is_none() || !joined.files_from_theirs.is_empty() {
            writeln!(out, "\nFrom theirs")?;
            let mut told = Vec::new();
            diff::text(&joined.from_theirs, &mine, &joined.loaded.key, &mut told)?;
            for line in String::from_utf8_lossy(&told).lines() {
                writeln!(out, "  {line}")?;
            }
            for file in &joined.files_from_theirs {
                writeln!(out, "  {}", plain(file))?;
            }
        }
        let left = left_to_decide(&joined);
        if !left.is_empty() {
            writeln!(out, "\n{left}")?;
        }
    }
    if joined.is_clean() {
        return Ok(Outcome::Well);
    }
    let list = dir.join(LIST);
    let text = left_to_decide(&joined);
    save(&list, |to| writeln!(to, "{text}")).map_err(|why| Trouble::Problem(format!("'{}' can't be written: {why}", list.display())))?;
    Ok(Outcome::Problems)
}

fn summary(joined: &FoldersJoined) -> String {
    let from_theirs = count(joined.from_theirs.entries.len(), "entry", "entries");
    let left = joined.clashes.len() + joined.other_clashes.len();
    let clashes = if left == 0 { "no clash".to_owned() } else { count(left, "clash", "clashes") };
    format!("{}: {from_theirs} from theirs, {clashes}", joined.loaded.key.about.title)
}

/// What a person has still to decide, as it is printed and as it stands in the list.
fn left_to_decide(joined: &FoldersJoined) -> String {
    let key = &joined.loaded.key;
    let mut lines: Vec<String> = Vec::new();
    if !joined.clashes.is_empty() || !joined.other_clashes.is_empty() {
        lines.push("Clashes (mine stands)".to_owned());
        for clash in &joined.clashes {
            lines.extend(told(clash, Some(key)));
        }
        for clash in &joined.other_clashes {
            let bytes = |bytes: Option<u64>| bytes.map_or_else(|| "not there".to_owned(), |bytes| format!("{bytes} bytes"));
            lines.push(plain(&format!("  {}", clash.name)));
            let sides = [("as it was", clash.base), ("mine", clash.mine), ("theirs", clash.theirs)];
            lines.extend(sides.map(|(word, side)| format!("    {word:<9}  {}", bytes(side))));
        }
    }
    if !joined.problems.is_empty() {
        lines.push("Not put together (mine stands)".to_owned());
        lines.extend(joined.problems.iter().map(|problem| plain(&format!("  {problem}"))));
    }
    if !joined.arisen.is_empty() {
        lines.push("Wrong only now that the two are together".to_owned());
        lines.extend(joined.arisen.iter().map(|problem| format!("  {}: {}", problem.place, problem.sentence())));
    }
    lines.join("\n")
}

/// A clash with its three sides.
fn told(clash: &Clash, key: Option<&Key>) -> Vec<String> {
    let nothing = Key::default();
    let key = key.unwrap_or(&nothing);
    let mut lines = vec![format!("  {} ({})", clash_place(clash, key), clash.at.file)];
    for side in [Side::Base, Side::Mine, Side::Theirs] {
        lines.push(format!("    {:<9}  {}", side.words(), clash_side(clash, side, key)));
    }
    lines
}

fn one_file(asked: &Merge, name: &Path, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    let file = name.file_name().and_then(|last| KeyFile::ALL.into_iter().find(|file| last == file.name())).ok_or_else(|| {
        let known = KeyFile::ALL.map(KeyFile::name).join(", ");
        Trouble::Misuse(plain(&format!("'{}' is no file of a key (it can be {known})", name.display())))
    })?;
    let [base, mine, theirs] = [read(&asked.base)?, read(&asked.mine)?, read(&asked.theirs)?];
    let joined = join_file(file, [base.as_deref(), mine.as_deref(), theirs.as_deref()], &Choices::default());
    if joined.bytes != mine {
        let bytes = joined.bytes.as_deref().unwrap_or_default();
        save(&asked.mine, |to| to.write_all(bytes))
            .map_err(|why| Trouble::Problem(format!("'{}' can't be written: {why}", asked.mine.display())))?;
    }
    if asked.json {
        super::json(&file_report(&joined), out)?;
    } else {
        for clash in &joined.clashes {
            writeln!(out, "{}", told(clash, None).join("\n"))?;
        }
        for problem in &joined.problems {
            writeln!(out, "  {}", plain(problem))?;
        }
        if !joined.is_clean() {
            writeln!(out, "{}: {}; mine stands there", file, count(joined.clashes.len() + joined.problems.len(), "clash", "clashes"))?;
        }
    }
    Ok(if joined.is_clean() { Outcome::Well } else { Outcome::Problems })
}

fn read(path: &Path) -> Result<Option<Vec<u8>>, Trouble> {
    let failed = |why: String| Trouble::Misuse(format!("'{}' can't be read: {why}", path.display()));
    match std::fs::metadata(path) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Err(failed("it is not there".to_owned())),
        Err(error) => return Err(failed(error.to_string())),
        Ok(found) if found.len() > SIZE_LIMIT => return Err(failed(format!("it has more than {} megabytes", SIZE_LIMIT >> 20))),
        Ok(_) => {}
    }
    let bytes = std::fs::read(path).map_err(|error| failed(error.to_string()))?;
    // Version control gives an empty file where there was none.
    Ok(Some(bytes).filter(|bytes| !bytes.is_empty()))
}

/// The way down to something, for JSON.
pub(super) fn steps(steps: &[Step]) -> Vec<String> {
    let word = |step: &Step| match step {
        Step::Field(word) | Step::Name(word) | Step::Item(word) => word.clone(),
    };
    steps.iter().map(word).collect()
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report {
    /// True where nothing is left to decide.
    clean: bool,
    /// What the joined key has otherwise than mine: file and id of each entry.
    from_theirs: Vec<[String; 2]>,
    files_from_theirs: Vec<String>,
    clashes: Vec<JsonClash>,
    file_clashes: Vec<String>,
    problems: Vec<String>,
    arisen: Vec<JsonProblem>,
}

#[derive(Serialize)]
struct JsonClash {
    file: &'static str,
    id: String,
    path: Vec<String>,
    /// As RON, null where it was not there.
    base: Option<String>,
    mine: Option<String>,
    theirs: Option<String>,
}

#[derive(Serialize)]
struct JsonProblem {
    file: String,
    line: usize,
    column: usize,
    code: &'static str,
    text: String,
}

fn json_clash(clash: &Clash) -> JsonClash {
    let Clash { at, base, mine, theirs, .. } = clash.clone();
    JsonClash { file: at.file.name(), path: steps(&at.steps), id: at.id, base, mine, theirs }
}

fn report(joined: &FoldersJoined) -> Report {
    Report {
        clean: joined.is_clean(),
        from_theirs: joined.from_theirs.entries.iter().map(|change| [change.file.name().to_owned(), change.id.clone()]).collect(),
        files_from_theirs: joined.files_from_theirs.clone(),
        clashes: joined.clashes.iter().map(json_clash).collect(),
        file_clashes: joined.other_clashes.iter().map(|clash| clash.name.clone()).collect(),
        problems: joined.problems.clone(),
        arisen: joined
            .arisen
            .iter()
            .map(|problem| JsonProblem {
                file: problem.place.file.clone(),
                line: problem.place.line,
                column: problem.place.column,
                code: problem.code(),
                text: problem.sentence(),
            })
            .collect(),
    }
}

fn file_report(joined: &FileJoined) -> Report {
    Report {
        clean: joined.is_clean(),
        from_theirs: Vec::new(),
        files_from_theirs: Vec::new(),
        clashes: joined.clashes.iter().map(json_clash).collect(),
        file_clashes: Vec::new(),
        problems: joined.problems.clone(),
        arisen: Vec::new(),
    }
}
