//! A list that was pasted or typed: a table, or an entry in each line.

use super::entry::{Entry, entries};
use crate::key::tables::{HeaderRow, Options, read_bytes};
use crate::key::words::fold;

/// Longer lines than this, in bytes, are no entry of a list; they are cut.
const LONGEST: usize = 400;

/// The entries of a pasted text. Where its first line names a column 'written', 'entry', 'item' or 'description' it is a table; otherwise each line is an
/// entry, and a price stands behind it after a tab, two spaces or dots: `Teapot, 6 cup .... 3/9`.
pub fn pasted(text: &str) -> Vec<Entry> {
    let first = text.lines().next().map(fold).unwrap_or_default();
    let is_table = ["written", "entry", "item", "description"].iter().any(|name| first.split(' ').next() == Some(*name));
    if is_table {
        let options = Options { header: HeaderRow::First, ..Options::default() };
        if let Ok(table) = read_bytes("pasted list", text.as_bytes().to_vec(), &options) {
            return entries(&table);
        }
    }
    text.lines().filter_map(line).collect()
}

fn line(line: &str) -> Option<Entry> {
    let end = line.char_indices().map(|(at, c)| at + c.len_utf8()).take_while(|end| *end <= LONGEST).last().unwrap_or(0);
    let line = line.get(..end)?.trim();
    if line.is_empty() {
        return None;
    }
    let (written, price) = price_behind(line).unwrap_or((line, ""));
    let mut entry = Entry::new(written);
    price.clone_into(&mut entry.price);
    Some(entry)
}

/// What stands before and behind the last gap of a line, where it looks like a price: short, and with a digit.
fn price_behind(line: &str) -> Option<(&str, &str)> {
    let at = ["\t", "  ", ".."].iter().filter_map(|gap| line.rfind(gap).map(|at| (at, gap.len()))).max()?;
    let (before, price) = (line.get(..at.0)?, line.get(at.0 + at.1..)?.trim());
    let before = before.trim_end_matches(['.', ' ', '\t']);
    let looks_so = price.len() <= 16 && price.contains(|c: char| c.is_ascii_digit()) && !before.is_empty();
    looks_so.then_some((before, price))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<(String, String)> {
        pasted(text).into_iter().map(|entry| (entry.written, entry.price)).collect()
    }

    #[test]
    fn lines_are_entries_and_a_table_is_a_table() {
        let both = |pairs: &[(&str, &str)]| pairs.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect::<Vec<_>>();
        assert_eq!(
            read("Teapot, 6 cup .... 3/9\n\n  mug 1/2 pt\ncake std\t3/3\nplate 10 in  14/- doz\n"),
            both(&[("Teapot, 6 cup", "3/9"), ("mug 1/2 pt", ""), ("cake std", "3/3"), ("plate 10 in", "14/- doz")])
        );
        assert_eq!(read("written,price\n\"sugar, cov'd\",1/8\n"), both(&[("sugar, cov'd", "1/8")]));
        assert_eq!(read(""), []);
        assert_eq!(read("....\n  \n\u{0}"), both(&[("....", ""), ("\u{0}", "")]));
        assert_eq!(pasted(&"ä".repeat(1000)).len(), 1, "a line without end is cut between letters");
    }
}
