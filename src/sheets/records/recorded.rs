//! What is recorded of a find beside what was seen, as cells of a table and as sentences.

use super::finds::Cell;
use crate::daybook::condition::{Condition, ConditionRules};
use crate::daybook::record::{Price, YearSpan};
use crate::daybook::{Find, Status};
use crate::key::{Part, capital};
use std::collections::BTreeSet;

/// The heads of the cells that [`cells`] gives: the same for every find of a table. A column for the glaze of each part of which one is known.
pub(super) fn heads(finds: &[Find]) -> Vec<String> {
    let fixed = ["status", "found at", "pieces", "paid", "paid in", "paid on", "asked", "asked in", "asked on"];
    let further = [
        "decoration of record",
        "mark of record",
        "made from",
        "made to",
        "decorated from",
        "decorated to",
        "grade",
        "condition",
        "measures",
        "dated by",
    ];
    let glazes = glazed(finds).into_iter().map(|part| format!("glaze of the {}", part.word()));
    fixed.into_iter().map(str::to_owned).chain(glazes).chain(further.into_iter().map(str::to_owned)).collect()
}

/// The parts of which a glaze is known of any find.
fn glazed(finds: &[Find]) -> BTreeSet<Part> {
    finds.iter().flat_map(|find| find.record.glazes.keys().copied()).collect()
}

/// What is recorded of one of these finds.
pub(super) fn cells(finds: &[Find], find: &Find, rules: &ConditionRules) -> Vec<Cell> {
    let record = &find.record;
    let status = if record.status == Status::Undecided { "" } else { record.status.words() };
    let mut row = vec![Cell::words(status), Cell::words(record.place_found.clone()), Cell::Number(f64::from(record.pieces.get()))];
    for price in [&record.paid, &record.asked] {
        row.extend(price_cells(price.as_ref()));
    }
    row.extend(glazed(finds).into_iter().map(|part| name(record.glazes.get(&part))));
    row.extend([name(record.decoration.as_ref()), name(record.mark.as_ref())]);
    for YearSpan { from, to } in [record.made, record.decorated] {
        row.extend([from, to].map(|year| year.map_or(Cell::Nothing, |year| Cell::Number(f64::from(year)))));
    }
    let condition = &find.piece.condition;
    let grade = condition.grade(rules).map_or("", |graded| graded.grade.name.as_str());
    let measures = record.measures.iter().map(|measure| format!("{}: {}", measure.what, measure.value)).collect::<Vec<_>>();
    row.extend([
        Cell::words(grade),
        Cell::words(condition_words(condition, rules)),
        Cell::words(measures.join("; ")),
        Cell::words(dated_by(find).join("; ")),
    ]);
    row
}

fn name(called: Option<&crate::daybook::Called>) -> Cell {
    called.map_or(Cell::Nothing, |called| Cell::words(called.name.clone()))
}

/// The amount as a number, the currency, the day.
fn price_cells(price: Option<&Price>) -> [Cell; 3] {
    let Some(price) = price else { return [Cell::Nothing, Cell::Nothing, Cell::Nothing] };
    let amount = price.amount.to_string();
    // An amount has at most four decimals and sixteen digits, most of which a number holds; one it would not give back stays words.
    let number =
        amount.parse::<f64>().ok().filter(|number| format!("{number:.4}").trim_end_matches('0').trim_end_matches('.') == plain(&amount));
    let on = price.on.map_or(Cell::Nothing, |on| Cell::words(on.to_string()));
    [number.map_or_else(|| Cell::words(amount.clone()), Cell::Number), Cell::words(price.currency.to_string()), on]
}

/// An amount without noughts at its end.
fn plain(amount: &str) -> &str {
    if amount.contains('.') { amount.trim_end_matches('0').trim_end_matches('.') } else { amount }
}

fn dated_by(find: &Find) -> Vec<String> {
    find.piece.beside.dates.iter().map(|said| format!("{}: {}", said.kind(), said.text())).collect()
}

/// 'chip of 6 mm on the lid (underneath; an old one); hairline on the body', or that nothing was found.
pub(super) fn condition_words(condition: &Condition, rules: &ConditionRules) -> String {
    if condition.flaws.iter().all(|flaw| flaw.note.is_empty()) {
        return condition.words(rules);
    }
    let each = condition.flaws.iter().map(|flaw| {
        let more: Vec<&str> =
            flaw.place.iter().map(|place| place.view.words()).chain(Some(flaw.note.as_str()).filter(|note| !note.is_empty())).collect();
        if more.is_empty() { flaw.words(rules) } else { format!("{} ({})", flaw.words(rules), more.join("; ")) }
    });
    each.collect::<Vec<_>>().join("; ")
}

/// The glazes, decoration and mark of the record: 'glaze of the body: Fen green'.
pub(super) fn coats(find: &Find) -> Vec<String> {
    let record = &find.record;
    let glazes = record.glazes.iter().map(|(part, glaze)| format!("glaze of the {}: {}", part.word(), glaze.name));
    glazes.chain(record.decoration.iter().map(|decoration| format!("decoration: {}", decoration.name))).collect()
}

/// What is recorded, a sentence each; nothing of what nobody said.
pub(super) fn sentences(find: &Find, rules: &ConditionRules) -> Vec<String> {
    let record = &find.record;
    let mut says: Vec<String> = coats(find).iter().map(|coat| capital(coat)).collect();
    let mut say = |head: &str, words: String| {
        if !words.is_empty() {
            says.push(format!("{head}: {words}"));
        }
    };
    say("Mark", record.mark.as_ref().map_or_else(String::new, |mark| mark.name.clone()));
    say("Made", record.made.words());
    say("Decorated", record.decorated.words());
    say("Dated by", dated_by(find).join("; "));
    if let Some(graded) = find.piece.condition.grade(rules) {
        say("Condition", format!("{}: {}", graded.grade.name, condition_words(&find.piece.condition, rules)));
    }
    for measure in &record.measures {
        say(&capital(&measure.what), measure.value.clone());
    }
    if !record.pieces.is_one() {
        say("Identical pieces", record.pieces.get().to_string());
    }
    say("Found at", record.place_found.clone());
    say("Box or lot", find.box_label.clone());
    if record.status != Status::Undecided {
        say("Status", record.status.words().to_owned());
    }
    for (head, price) in [("Paid", &record.paid), ("Asked", &record.asked)] {
        say(head, price.as_ref().map_or_else(String::new, |price| format!("{price} (a record, not an appraisal)")));
    }
    says
}

/// Which kind of statement a sentence is, by the terms of the Getty AAT.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Says {
    /// Of what it is made and coated with.
    Materials,
    /// In which condition it is.
    Condition,
    /// Where it came from.
    Provenance,
    /// What was paid or asked.
    Price,
    /// Anything else.
    Description,
}

impl Says {
    /// The number of the term (materials statement, condition statement, provenance statement, price statement, description).
    pub(super) const fn aat(self) -> u32 {
        match self {
            Self::Materials => 300_435_429,
            Self::Condition => 300_435_425,
            Self::Provenance => 300_435_438,
            Self::Price => 300_055_694,
            Self::Description => 300_435_416,
        }
    }

    /// The term.
    pub(super) const fn label(self) -> &'static str {
        match self {
            Self::Materials => "Materials Statement",
            Self::Condition => "Condition Statement",
            Self::Provenance => "Provenance Statement",
            Self::Price => "Price Statement",
            Self::Description => "Description",
        }
    }
}

/// What is recorded, in sentences by their kinds: one statement of each kind.
pub(super) fn statements(find: &Find, rules: &ConditionRules) -> Vec<(Says, String)> {
    let kind = |sentence: &str| match sentence.split_once(": ").map_or("", |(head, _)| head) {
        head if head.starts_with("Glaze of the ") || head == "Decoration" => Says::Materials,
        "Condition" => Says::Condition,
        "Found at" => Says::Provenance,
        "Paid" | "Asked" => Says::Price,
        _ => Says::Description,
    };
    let mut all: Vec<(Says, String)> = Vec::new();
    for sentence in sentences(find, rules) {
        let kind = kind(&sentence);
        match all.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, text)) => *text = format!("{text}\n{sentence}"),
            None => all.push((kind, sentence)),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn amounts_are_numbers_where_a_number_gives_them_back() {
        let cells = |text: &str| price_cells(Some(&text.parse::<Price>().unwrap()));
        assert_eq!(cells("12.50 GBP 2026-03-02"), [Cell::Number(12.5), Cell::words("GBP"), Cell::words("2026-03-02")]);
        assert_eq!(cells("1500 JPY"), [Cell::Number(1500.0), Cell::words("JPY"), Cell::Nothing]);
        assert_eq!(cells("0 EUR").first(), Some(&Cell::Number(0.0)));
        let long = "999999999999.1234";
        assert_eq!(cells(&format!("{long} GBP")).first(), Some(&Cell::Number(999_999_999_999.123_4)));
        assert_eq!(price_cells(None), [Cell::Nothing, Cell::Nothing, Cell::Nothing]);
    }
}
