//! RON text as a person would lay it out: short things on one line, long ones one item a line, nothing wider than 140 columns.

use super::load::options;
use super::syntax::{self, Group, Node};
use serde::Serialize;

/// The widest line this program writes.
const WIDTH: usize = 140;
/// Columns of one step of indentation.
pub(crate) const STEP: usize = 4;

/// The text of a value, to be put where `column` columns stand before it and the line is indented by `indent`.
///
/// Optional fields that say nothing are left out, as serde leaves them out. Lines end in `\n`; the first is not indented.
///
/// # Errors
/// What serde or ron cannot write, which no type of the key contains.
pub(crate) fn print<T: Serialize>(value: &T, indent: usize, column: usize) -> Result<String, ron::Error> {
    let compact = compact(value)?;
    Ok(lay_out(&compact, indent, column))
}

/// The text of a value in one line without spaces, numbers without needless decimals.
pub(crate) fn compact<T: Serialize>(value: &T) -> Result<String, ron::Error> {
    options().to_string(value)
}

/// Lays out text that [`compact`] wrote, or a piece of it.
pub(crate) fn lay_out(compact: &str, indent: usize, column: usize) -> String {
    match syntax::parse(compact, 0..compact.len()) {
        Ok(node) => {
            let mut out = String::with_capacity(compact.len() * 2);
            Layout { text: compact }.node(&node, indent, column, &mut out);
            out
        }
        // Not of our making; better one long line than none.
        Err(_) => compact.to_owned(),
    }
}

struct Layout<'t> {
    text: &'t str,
}

impl Layout<'_> {
    fn node(&self, node: &Node, indent: usize, column: usize, out: &mut String) {
        let line = self.line(node);
        let Some(group) = &node.group else {
            out.push_str(&line);
            return;
        };
        let bracket = self.text.as_bytes().get(group.open).copied().unwrap_or(b'(');
        // A table of names reads and compares best with one a line.
        let table = bracket == b'{' && group.items.len() > 2;
        if !table && !self.holds_table(group) && column + line.chars().count() < WIDTH {
            out.push_str(&line);
            return;
        }
        if let Some(name) = group.name_text(self.text) {
            out.push_str(name);
        }
        out.push(char::from(bracket));
        let inner = indent + STEP;
        let short = bracket == b'[' && group.items.iter().all(|item| self.line(&item.value).chars().count() < 40);
        if let ([only], None) = (group.items.as_slice(), &group.items.first().and_then(|item| item.key.as_ref()))
            && bracket == b'('
        {
            // `Values({ … })`: the outer brackets need no lines of their own.
            let column = column + group.name_text(self.text).map_or(0, |name| name.chars().count()) + 1;
            self.node(&only.value, indent, column, out);
        } else if short {
            self.fill(group, inner, out);
            new_line(indent, out);
        } else {
            for item in &group.items {
                new_line(inner, out);
                let mut column = inner;
                if let Some(key) = item.key_text(self.text) {
                    out.push_str(key);
                    out.push_str(": ");
                    column += key.chars().count() + 2;
                }
                self.node(&item.value, inner, column, out);
                out.push(',');
            }
            new_line(indent, out);
        }
        out.push(char::from(self.text.as_bytes().get(group.close).copied().unwrap_or(b')')));
    }

    fn holds_table(&self, group: &Group) -> bool {
        group
            .items
            .iter()
            .filter_map(|item| item.value.group.as_ref())
            .any(|inner| (self.text.as_bytes().get(inner.open) == Some(&b'{') && inner.items.len() > 2) || self.holds_table(inner))
    }

    /// As many items a line as it holds.
    fn fill(&self, group: &Group, indent: usize, out: &mut String) {
        let mut column = WIDTH;
        for item in &group.items {
            let text = self.line(&item.value);
            let width = text.chars().count() + 2;
            if column + width > WIDTH {
                new_line(indent, out);
                column = indent;
            } else {
                out.push(' ');
            }
            out.push_str(&text);
            out.push(',');
            column += width;
        }
    }

    /// A node on one line.
    fn line(&self, node: &Node) -> String {
        let Some(group) = &node.group else { return plain_number(node.text(self.text)).to_owned() };
        let mut out = String::new();
        out.push_str(group.name_text(self.text).unwrap_or_default());
        out.push_str(self.text.get(group.open..=group.open).unwrap_or("("));
        for (i, item) in group.items.iter().enumerate() {
            if i > 0 {
                out.push_str(", ");
            }
            if let Some(key) = item.key_text(self.text) {
                out.push_str(key);
                out.push_str(": ");
            }
            out.push_str(&self.line(&item.value));
        }
        out.push_str(self.text.get(group.close..=group.close).unwrap_or(")"));
        out
    }
}

/// `30.0` as a person writes it.
fn plain_number(text: &str) -> &str {
    match text.strip_suffix(".0") {
        Some(whole) if whole.trim_start_matches('-').chars().all(|c| c.is_ascii_digit()) && !whole.is_empty() => whole,
        _ => text,
    }
}

fn new_line(indent: usize, out: &mut String) {
    out.push('\n');
    out.extend(std::iter::repeat_n(' ', indent));
}

#[cfg(test)]
mod tests {
    use super::lay_out;

    #[test]
    fn short_things_stand_on_one_line() {
        assert_eq!(lay_out("(id:\"a\",at:(30.0,-1.5),of:[A,B],x:-2.0)", 4, 4), "(id: \"a\", at: (30, -1.5), of: [A, B], x: -2)");
        assert_eq!(lay_out("\"a.0\"", 0, 0), "\"a.0\"");
    }

    #[test]
    fn long_things_stand_one_item_a_line() {
        let points: Vec<String> = (0..20).map(|i| format!("Curve({i}.0,{i}.25)")).collect();
        let text = format!("(id:\"a\",body:[{}],m:{{\"x\":A,\"y\":B,\"z\":Values({{\"p\":A,\"q\":B,\"r\":C}})}})", points.join(","));
        let expected = "(
        id: \"a\",
        body: [
            Curve(0, 0.25), Curve(1, 1.25), Curve(2, 2.25), Curve(3, 3.25), Curve(4, 4.25), Curve(5, 5.25), Curve(6, 6.25), Curve(7, 7.25),
            Curve(8, 8.25), Curve(9, 9.25), Curve(10, 10.25), Curve(11, 11.25), Curve(12, 12.25), Curve(13, 13.25), Curve(14, 14.25),
            Curve(15, 15.25), Curve(16, 16.25), Curve(17, 17.25), Curve(18, 18.25), Curve(19, 19.25),
        ],
        m: {
            \"x\": A,
            \"y\": B,
            \"z\": Values({
                \"p\": A,
                \"q\": B,
                \"r\": C,
            }),
        },
    )";
        assert_eq!(lay_out(&text, 4, 4), expected);
    }
}
