//! Formats of a house key, and how a key of an older one is brought up.
//!
//! A key is read in the format of today whatever it was written in: the texts of an older one are changed as they are read, word by word, so
//! that lines stay where they are. On disk nothing changes before [`Folder::bring_up`](super::Folder::bring_up) or the next save, which keep
//! the files as they were in `.history/`.

use super::file::KeyFile;
use super::model::FORMAT;
use super::syntax;

/// A key that was brought up from an older format.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BroughtUp {
    /// The format it had.
    pub from: u32,
    /// The format it has.
    pub to: u32,
    /// What was changed, each in a sentence without capital and full stop.
    pub changes: Vec<String>,
    /// The files that were written; as they were they are in `.history/`.
    pub written: Vec<KeyFile>,
}

impl BroughtUp {
    /// All of it in a line for the person.
    pub fn sentence(&self) -> String {
        let files: Vec<&str> = self.written.iter().map(|file| file.name()).collect();
        let Self { from, to, changes, .. } = self;
        format!(
            "this key had format {from} and now has format {to}: {} (as it was, {} is kept in .history)",
            changes.join("; "),
            files.join(", ")
        )
    }
}

/// One step from a format to the next, for one file.
struct Step {
    /// The format it leads to.
    to: u32,
    file: KeyFile,
    /// What it changes.
    says: &'static str,
    /// The new text; None where there is nothing to change.
    change: fn(&str) -> Option<String>,
}

/// Every step there is. A change of the format that old keys do not survive gets one here, and [`FORMAT`] counts up.
const STEPS: [Step; 1] = [Step { to: 1, file: KeyFile::About, says: "key.ron says which format it has", change: say_the_format }];

/// The format of a key by the text of its `key.ron`: 0 where it says none, as before formats were numbered. None where the text makes no
/// sense, so that nothing can be said.
pub(crate) fn format_of(about: &str) -> Option<u32> {
    let start = syntax::header_end(about).ok()?;
    let root = syntax::parse(about, start..about.len()).ok()?;
    let group = root.group.as_ref().filter(|group| about.get(group.open..=group.open) == Some("("))?;
    match group.field(about, "format") {
        Some(item) => item.value.text(about).parse().ok(),
        // Without a title it is no `key.ron` of any format.
        None => group.field(about, "title").map(|_| 0),
    }
}

/// The text of a file of a key that had format `from`, as it would be written today, and what that changed. None where it is the same.
pub(crate) fn brought_up(file: KeyFile, text: &str, from: u32) -> Option<(String, Vec<&'static str>)> {
    let mut now: Option<String> = None;
    let mut says = Vec::new();
    for step in STEPS.iter().filter(|step| step.file == file && step.to > from && step.to <= FORMAT) {
        if let Some(changed) = (step.change)(now.as_deref().unwrap_or(text)) {
            says.push(step.says);
            now = Some(changed);
        }
    }
    now.map(|text| (text, says))
}

/// Format 0 to 1: the format stands in `key.ron`.
fn say_the_format(text: &str) -> Option<String> {
    let start = syntax::header_end(text).ok()?;
    let root = syntax::parse(text, start..text.len()).ok()?;
    let group = root.group.as_ref()?;
    let (at, until, words) = if let Some(item) = group.field(text, "format") {
        (item.value.span.start, item.value.span.end, "1".to_owned())
    } else {
        // As its first field, on a line of its own where the others have theirs.
        let first = group.items.first()?.span().start;
        let lead = text.get(group.open + 1..first)?;
        let own_line = lead.rfind('\n').and_then(|line| lead.get(line..)).filter(|lead| lead.trim().is_empty());
        (first, first, format!("format: 1,{}", own_line.unwrap_or(" ")))
    };
    Some(format!("{}{words}{}", text.get(..at)?, text.get(until..)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_step_leads_to_a_format_there_is() {
        assert!(STEPS.iter().all(|step| (1..=FORMAT).contains(&step.to)), "a step leads nowhere");
        assert!((1..=FORMAT).all(|to| STEPS.iter().any(|step| step.to == to)), "a format can't be reached");
    }

    #[test]
    fn the_format_of_a_key_is_found() {
        let formats =
            ["(format: 1, title: \"T\")", "// c\n(title: \"T\")", "(format: 0, title: \"T\")", "(format: 7)", "(other: 3)", "[]", "(", ""];
        assert_eq!(formats.map(format_of), [Some(1), Some(0), Some(0), Some(7), None, None, None, None]);
    }

    #[test]
    fn a_key_without_a_format_gets_one_and_keeps_its_layout() {
        let up = |text: &str| brought_up(KeyFile::About, text, 0).map(|(text, _)| text);
        assert_eq!(up("(title: \"T\")").as_deref(), Some("(format: 1, title: \"T\")"));
        assert_eq!(up("(\n    // ours\n    title: \"T\",\n)\n").as_deref(), Some("(\n    // ours\n    format: 1,\n    title: \"T\",\n)\n"));
        assert_eq!(up("(title: \"T\", format: 0)").as_deref(), Some("(title: \"T\", format: 1)"));
        assert_eq!(brought_up(KeyFile::About, "(format: 1, title: \"T\")", 1), None);
        assert_eq!(brought_up(KeyFile::Forms, "[]", 0), None);
    }
}
