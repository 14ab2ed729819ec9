//! The new text of an entry: the old one, changed only where it means something else now.

use super::chunks::Chunks;
use crate::key::print::lay_out;
use crate::key::syntax::{self, Group, Item, Node};
use crate::key::text::says;
use std::ops::Range;

/// Pairs of items of two lists that are compared; beyond, a list is written anew.
const MOST_PAIRS: usize = 250_000;

/// The text of the entry in `text[span]`, which means `old`, changed to mean `new`; both as compact RON.
///
/// None where the text and `old` do not match item by item, so that the entry is better written anew.
pub(super) fn weave(text: &str, span: &Range<usize>, old: &str, new: &str, eol: &'static str) -> Option<String> {
    let disk = syntax::parse(text, span.clone()).ok()?;
    let old_node = syntax::parse(old, 0..old.len()).ok()?;
    let new_node = syntax::parse(new, 0..new.len()).ok()?;
    let weaver = Weaver { text, old, new, eol };
    weaver.node(&disk, &old_node, &new_node).or_else(|| Some(text.get(span.clone())?.to_owned()))
}

/// The text of a new entry.
pub(super) fn fresh(new: &str, indent: usize) -> String {
    lay_out(new, indent, indent)
}

struct Weaver<'t> {
    text: &'t str,
    old: &'t str,
    new: &'t str,
    eol: &'static str,
}

/// A group with its brackets' kind.
fn bracket(text: &str, group: &Group) -> u8 {
    text.as_bytes().get(group.open).copied().unwrap_or(b'(')
}

impl Weaver<'_> {
    /// The changed text of a node; None where nothing changed.
    fn node(&self, disk: &Node, old: &Node, new: &Node) -> Option<String> {
        if old.text(self.old) == new.text(self.new) {
            return None;
        }
        let inner = self.unwrap_some(disk, old);
        let text = self.inside(inner, old, new).unwrap_or_else(|| self.anew(inner, new));
        Some(self.around(disk, &inner.span, &text))
    }

    /// `Some(x)` on disk is `x` here.
    fn unwrap_some<'n>(&self, disk: &'n Node, old: &Node) -> &'n Node {
        match &disk.group {
            Some(group)
                if group.name_text(self.text) == Some("Some") && old.group.as_ref().and_then(|g| g.name_text(self.old)) != Some("Some") =>
            {
                group.items.first().map_or(disk, |item| &item.value)
            }
            _ => disk,
        }
    }

    /// The whole node written anew where it stands.
    fn anew(&self, disk: &Node, new: &Node) -> String {
        let before = self.text.get(..disk.span.start).unwrap_or_default();
        let line = before.rsplit('\n').next().unwrap_or_default();
        let indent = line.chars().take_while(|c| *c == ' ' || *c == '\t').map(|c| if c == '\t' { 4 } else { 1 }).sum();
        super::chunks::with_eol(&lay_out(new.text(self.new), indent, line.chars().count()), self.eol)
    }

    /// The node with only its changed items changed. None where it has to be written anew.
    fn inside(&self, disk: &Node, old: &Node, new: &Node) -> Option<String> {
        let (disk_group, old_group, new_group) = (disk.group.as_ref()?, old.group.as_ref()?, new.group.as_ref()?);
        if old_group.name_text(self.old) != new_group.name_text(self.new) {
            return None;
        }
        let kind = bracket(self.old, old_group);
        if kind != bracket(self.new, new_group) || kind != bracket(self.text, disk_group) {
            return None;
        }
        let keyed = |group: &Group| group.items.iter().all(|item| item.key.is_some());
        // `Measure((unit: Mm))` on disk is `Measure(unit: Mm)` here.
        if kind == b'('
            && !old_group.items.is_empty()
            && keyed(old_group)
            && let [only] = disk_group.items.as_slice()
            && only.key.is_none()
        {
            let inner = only.value.group.as_ref()?;
            let text = self.group(inner, old_group, new_group, kind)?;
            return Some(self.around(disk, &only.value.span, &text));
        }
        self.group(disk_group, old_group, new_group, kind).map(|inner| self.around(disk, &(disk_group.open..disk_group.close + 1), &inner))
    }

    /// The text of a node with the brackets in `span` replaced.
    fn around(&self, node: &Node, span: &Range<usize>, inner: &str) -> String {
        let slice = |range: Range<usize>| self.text.get(range).unwrap_or_default();
        format!("{}{inner}{}", slice(node.span.start..span.start), slice(span.end..node.span.end))
    }

    /// A group, brackets included.
    fn group(&self, disk: &Group, old: &Group, new: &Group, kind: u8) -> Option<String> {
        let inside = disk.open + 1..disk.close;
        let mut chunks = Chunks::new(self.text, &inside, disk.items.iter().map(|item| (item.span(), item.comma)), self.eol);
        let keyed = |group: &Group| group.items.iter().all(|item| item.key.is_some());
        if kind == b'[' {
            self.list(disk, old, new, &mut chunks)?;
        } else if keyed(disk) && keyed(old) && keyed(new) {
            self.fields(disk, old, new, &mut chunks);
        } else {
            if disk.items.len() != old.items.len() || old.items.len() != new.items.len() {
                return None;
            }
            for (i, ((on_disk, was), is)) in disk.items.iter().zip(&old.items).zip(&new.items).enumerate() {
                self.replace(i, on_disk, was, is, &mut chunks);
            }
        }
        let slice = |at: usize| self.text.get(at..=at).unwrap_or_default();
        Some(format!("{}{}{}", slice(disk.open), chunks.text(), slice(disk.close)))
    }

    fn replace(&self, index: usize, disk: &Item, old: &Item, new: &Item, chunks: &mut Chunks<'_>) {
        if let Some(value) = self.node(&disk.value, &old.value, &new.value) {
            let head = self.text.get(disk.span().start..disk.value.span.start).unwrap_or_default();
            chunks.replace(index, format!("{head}{value}"));
        }
    }

    /// Fields of a struct, or names of a map.
    fn fields(&self, disk: &Group, old: &Group, new: &Group, chunks: &mut Chunks<'_>) {
        let on_disk = |key: &str| {
            disk.items.iter().position(|item| {
                item.key_text(self.text).is_some_and(|text| text == key || said(key).is_some_and(|name| says(text, &name)))
            })
        };
        let was = |key: &str| old.items.iter().find(|item| item.key_text(self.old) == Some(key));
        let mut after = None;
        for item in &new.items {
            let Some(key) = item.key_text(self.new) else { continue };
            let unchanged = was(key).is_some_and(|old| old.value.text(self.old) == item.value.text(self.new));
            match (on_disk(key), was(key)) {
                (Some(at), Some(old)) => {
                    if let Some(disk) = disk.items.get(at) {
                        self.replace(at, disk, old, item, chunks);
                    }
                    after = Some(at);
                }
                (Some(at), None) => {
                    // It stood there although it said nothing.
                    if let Some(disk) = disk.items.get(at) {
                        let head = self.text.get(disk.span().start..disk.value.span.start).unwrap_or_default();
                        chunks.replace(at, format!("{head}{}", self.anew(&disk.value, &item.value)));
                    }
                    after = Some(at);
                }
                (None, _) if unchanged => {}
                (None, _) => {
                    let value = item.value.text(self.new);
                    chunks.insert(after, |indent| format!("{key}: {}", lay_out(value, indent, indent + key.chars().count() + 2)), 0);
                }
            }
        }
        let is = |key: &str| new.items.iter().any(|item| item.key_text(self.new) == Some(key));
        for item in &old.items {
            if let Some(key) = item.key_text(self.old)
                && !is(key)
                && let Some(at) = on_disk(key)
            {
                chunks.remove(at);
            }
        }
    }

    fn list(&self, disk: &Group, old: &Group, new: &Group, chunks: &mut Chunks<'_>) -> Option<()> {
        if disk.items.len() != old.items.len() || old.items.len() * new.items.len() > MOST_PAIRS {
            return None;
        }
        let pairs = common(&identities(old, self.old), &identities(new, self.new));
        // Between two pairs that stay, what was there and what is there now stand for each other, as far as they go.
        let mut from = (0, 0);
        for (was, is) in pairs.into_iter().chain(std::iter::once((old.items.len(), new.items.len()))) {
            let both = (was - from.0).min(is - from.1);
            for i in 0..both {
                self.pair(disk, old, new, (from.0 + i, from.1 + i), chunks);
            }
            for gone in from.0 + both..was {
                chunks.remove(gone);
            }
            for added in from.1 + both..is {
                let after = (from.0 + both).checked_sub(1);
                if let Some(item) = new.items.get(added) {
                    let value = item.value.text(self.new);
                    chunks.insert(after, |indent| lay_out(value, indent, indent), 0);
                }
            }
            self.pair(disk, old, new, (was, is), chunks);
            from = (was + 1, is + 1);
        }
        Some(())
    }

    fn pair(&self, disk: &Group, old: &Group, new: &Group, (was, is): (usize, usize), chunks: &mut Chunks<'_>) {
        if let (Some(on_disk), Some(old), Some(new)) = (disk.items.get(was), old.items.get(was), new.items.get(is)) {
            self.replace(was, on_disk, old, new, chunks);
        }
    }
}

/// What a quoted key of ours says.
fn said(key: &str) -> Option<String> {
    key.starts_with('"').then(|| ron::from_str(key).ok()).flatten()
}

fn identities<'t>(group: &Group, text: &'t str) -> Vec<&'t str> {
    group.items.iter().map(|item| identity(item, text)).collect()
}

/// What an item of a list is known by: its id or file name where it has one, else all of it.
fn identity<'t>(item: &Item, text: &'t str) -> &'t str {
    let named = item.value.group.as_ref().and_then(|group| group.field(text, "id").or_else(|| group.field(text, "file")));
    named.map_or_else(|| item.value.text(text), |field| field.value.text(text))
}

/// Index pairs of a longest common subsequence.
fn common(old: &[&str], new: &[&str]) -> Vec<(usize, usize)> {
    let width = new.len() + 1;
    let mut best = vec![0_u32; (old.len() + 1) * width];
    let at = |best: &[u32], i: usize, j: usize| best.get(i * width + j).copied().unwrap_or(0);
    for (i, a) in old.iter().enumerate().rev() {
        for (j, b) in new.iter().enumerate().rev() {
            let value = if a == b { at(&best, i + 1, j + 1) + 1 } else { at(&best, i + 1, j).max(at(&best, i, j + 1)) };
            if let Some(cell) = best.get_mut(i * width + j) {
                *cell = value;
            }
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut pairs = Vec::new();
    while let (Some(a), Some(b)) = (old.get(i), new.get(j)) {
        if a == b {
            pairs.push((i, j));
            i += 1;
            j += 1;
        } else if at(&best, i + 1, j) >= at(&best, i, j + 1) {
            i += 1;
        } else {
            j += 1;
        }
    }
    pairs
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::weave;

    fn check(disk: &str, old: &str, new: &str, expected: &str) {
        assert_eq!(weave(disk, &(0..disk.len()), old, new, "\n").unwrap(), expected);
    }

    #[test]
    fn only_what_changed_is_written() {
        let disk =
            "(\n  id: \"a\", // the id\n  // its name\n  name:   \"A\",\n  parts: [ Body ],\n  of: Some(Has(Lid)), /* x */ w: 1.0,\n)";
        check(
            disk,
            r#"(id:"a",name:"A",parts:[Body],of:Has(Lid),w:1.0)"#,
            r#"(id:"a",name:"B",parts:[Body,Lid],of:Has(Lid),w:1.0)"#,
            &disk.replace("\"A\"", "\"B\"").replace("[ Body ]", "[ Body, Lid ]"),
        );
        check(
            disk,
            r#"(id:"a",name:"A",parts:[Body],of:Has(Lid),w:1.0)"#,
            r#"(id:"a",name:"A",parts:[Body],of:Has(Foot),w:2.5)"#,
            &disk.replace("Lid", "Foot").replace("w: 1.0", "w: 2.5"),
        );
        check(
            disk,
            r#"(id:"a",name:"A",parts:[Body],of:Has(Lid))"#,
            r#"(id:"a",name:"A",also:["x"],parts:[Body])"#,
            "(\n  id: \"a\", // the id\n  // its name\n  name:   \"A\",\n  also: [\"x\"],\n  parts: [ Body ],\n  /* x */ w: 1.0,\n)",
        );
    }

    #[test]
    fn names_of_a_map_stay_where_they_are() {
        check(
            "{\n  \"b\": X, // b\n  r\"a\": Y,\n}",
            r#"{"b":X,"a":Y}"#,
            r#"{"b":Z,"c":W,"a":Y}"#,
            "{\n  \"b\": Z, // b\n  \"c\": W,\n  r\"a\": Y,\n}",
        );
        check("{\"b\": X, \"a\": Y}", r#"{"b":X,"a":Y}"#, r#"{"a":Y}"#, "{\"a\": Y}");
    }

    #[test]
    fn items_of_a_list_are_known_by_their_ids() {
        check(
            "[(id: \"a\", n: 1), /* of b */ (id: \"b\", n: 2)]",
            r#"[(id:"a",n:1),(id:"b",n:2)]"#,
            r#"[(id:"b",n:3)]"#,
            "[ /* of b */ (id: \"b\", n: 3)]",
        );
        check("[P(1, 2), P(3, 4)]", "[P(1.0,2.0),P(3.0,4.0)]", "[P(1.0,2.0),P(3.0,5.0),P(6.0,7.0)]", "[P(1, 2), P(3, 5), P(6, 7)]");
    }
}
