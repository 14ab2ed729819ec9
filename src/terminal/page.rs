//! Plain text for a terminal.

pub(super) use crate::key::plain;
use std::io::{self, Write};

/// Writes one line with the program's name before it. That it cannot be written either is passed over: there is no one left to tell.
pub fn say(err: &mut dyn Write, message: &str) {
    let _ = writeln!(err, "footring: {}", plain(message));
}

/// Rows of text whose columns stand under each other. The last column is as long as it is.
#[derive(Debug, Default)]
pub(super) struct Rows(Vec<Vec<String>>);

impl Rows {
    pub(super) fn add<const N: usize>(&mut self, cells: [String; N]) {
        self.0.push(cells.into());
    }

    /// Number of rows.
    pub(super) fn len(&self) -> usize {
        self.0.len()
    }

    /// Writes the rows, each after `indent`; two blanks part the columns.
    pub(super) fn write(&self, out: &mut dyn Write, indent: &str) -> io::Result<()> {
        let wide = |text: &String| text.chars().count();
        let columns = self.0.iter().map(Vec::len).max().unwrap_or(0);
        let widths: Vec<usize> =
            (0..columns).map(|column| self.0.iter().filter_map(|row| row.get(column)).map(wide).max().unwrap_or(0)).collect();
        for row in &self.0 {
            let mut line = indent.to_owned();
            for (cell, width) in row.iter().zip(&widths) {
                line.push_str(cell);
                line.extend(std::iter::repeat_n(' ', width.saturating_sub(wide(cell)) + 2));
            }
            writeln!(out, "{}", plain(line.trim_end()))?;
        }
        Ok(())
    }
}

/// A probability in percent, right-aligned in seven characters: `  46 %`, ` 0.4 %`, `<0.1 %`.
pub(super) fn percent(probability: f64) -> String {
    format!("{:>7}", crate::key::percent(probability))
}

/// A probability to four places for a table, never rounded up to certainty or down to impossibility.
pub(super) fn four_places(probability: f64) -> String {
    let sure = probability >= 1.0 || probability <= 0.0;
    format!("{:.4}", if sure { probability } else { probability.clamp(0.0001, 0.9999) })
}

/// '1 form', '2 forms'.
pub(super) fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn columns_stand_under_each_other() {
        let mut rows = Rows::default();
        rows.add(["rim".into(), "flared".into()]);
        rows.add(["lid outline".into(), "rounded square".into()]);
        let mut out = Vec::new();
        rows.write(&mut out, "  ").unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), "  rim          flared\n  lid outline  rounded square\n");
    }

    #[test]
    fn a_key_cannot_talk_to_the_terminal() {
        assert_eq!(plain("sugar\u{1b}[2J\u{7} bowl\u{202e}\n"), "sugar\u{fffd}[2J\u{fffd} bowl\u{fffd}\n");
    }

    #[test]
    fn places_never_claim_more_than_they_know() {
        assert_eq!([0.0, 1e-9, 0.5, 0.999_999, 1.0].map(four_places), ["0.0000", "0.0001", "0.5000", "0.9999", "1.0000"]);
    }

    #[test]
    fn percentages_never_claim_more_than_they_know() {
        let shown = [0.0, 0.0004, 0.004, 0.0994, 0.0996, 0.464, 0.99949, 1.0].map(percent);
        assert_eq!(shown, ["    0 %", " <0.1 %", "  0.4 %", "  9.9 %", "   10 %", "   46 %", " 99.9 %", "  100 %"]);
    }
}
