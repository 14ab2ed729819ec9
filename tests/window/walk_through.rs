//! The walk-through of the README, key by key: whoever follows it sees what it says.

use super::desk::Table;
use egui::Key;
use footring::desk::command::Screen;

#[test]
fn the_keys_of_the_readme_name_the_piece() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let mut table = Table::new();
    let left = |table: &Table| table.harness.state().doc.standing.fits;
    let answer = |table: &mut Table, digit: Key| {
        table.key(Key::Enter);
        table.key(digit);
        left(table)
    };
    assert_eq!(answer(&mut table, Key::Num6), 11, "11 forms stay on the shelf");
    assert_eq!(answer(&mut table, Key::Num4), 5, "five are left");
    answer(&mut table, Key::Num2);
    answer(&mut table, Key::Num1);
    let sentence = table.harness.state().doc.verdict.sentence.clone();
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words(&readme).contains(&words(&sentence)), "the README does not say: {sentence}");
    let forms = table.harness.state().doc.key.forms.len();
    assert!(readme.contains(&format!("{forms} forms of three lines")), "the README does not know of {forms} forms");
    table.command(Key::T);
    assert_eq!(table.harness.state().screen, Screen::TellApart);
    table.command(Key::Num4);
    assert_eq!(table.harness.state().screen, Screen::MarkDrawer);
    table.command(Key::Num1);
    table.command(Key::S);
    assert!(table.harness.state().doc.hand.is_blank(), "the board is clear for the next piece");
}
