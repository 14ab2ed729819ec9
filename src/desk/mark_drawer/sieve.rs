//! What narrows the wall: the wording as far as it can be read, the layout, the ink, how the mark was applied.

use super::shapes::{ink_chip, layout_chip};
use super::{mark_features, use_wording};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::TARGET;
use crate::desk::widgets::{self, button, chip, icon_button, remark};
use crate::key::{Applied, Key, Layout, Mark};
use crate::marks::{Looks, Match, Wordings, wording_match};
use crate::say;
use egui::{Margin, TextEdit, Ui, Vec2, vec2};

/// What was typed and chosen.
#[derive(Debug, Default, Clone, PartialEq)]
pub struct Sieve {
    /// The wording as far as it can be read.
    pub typed: String,
    /// The layout.
    pub layout: Option<Layout>,
    /// The name of the ink; an empty name is 'no ink'.
    pub ink: Option<String>,
    /// How it was applied.
    pub applied: Option<Applied>,
}

/// What was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asked {
    /// Nothing.
    Nothing,
    /// A new mark.
    NewMark,
}

/// A mark that passed.
#[derive(Debug, Clone)]
pub struct Passed {
    /// Its number in the key.
    pub number: usize,
    /// How what was typed goes with it. None where nothing was typed.
    pub reading: Option<Match>,
}

impl Sieve {
    /// True where everything passes.
    pub fn is_open(&self) -> bool {
        *self == Self::default()
    }

    /// The marks that pass: with something typed, those that have all of it but for a letter here and there, likeliest first; else in the order of the
    /// key. Where none has, all on which it is likelier than on any text. The wordings are those of the key's marks.
    pub fn pass(&self, key: &Key, wordings: &Wordings) -> Vec<Passed> {
        let looks = Looks { layout: self.layout, ink: self.ink.clone() };
        let through =
            |mark: &Mark| looks.layout_fits(mark) && looks.ink_fits(mark) && self.applied.is_none_or(|applied| mark.applied == applied);
        let asked = wordings.asked(&self.typed);
        let through = key.marks.iter().enumerate().filter(|(_, mark)| through(mark)).map(|(number, _)| number);
        if !asked.says_something() {
            return through.map(|number| Passed { number, reading: None }).collect();
        }
        let ratios = asked.ratios();
        let mut has = asked.agreeing();
        if !has.contains(&true) {
            has = ratios.iter().map(|ratio| *ratio > 0.0).collect();
        }
        let left = through.filter(|number| has.get(*number).copied().unwrap_or(false));
        let mut passed: Vec<Passed> = left.map(|number| Passed { number, reading: Some(asked.read(number)) }).collect();
        let ratio = |passed: &Passed| ratios.get(passed.number).copied().unwrap_or(0.0);
        passed.sort_by(|a, b| ratio(b).total_cmp(&ratio(a)));
        passed
    }

    /// How what was typed goes with a mark. None where no letter was typed.
    pub fn reading(&self, mark: &Mark) -> Option<Match> {
        let reading = wording_match(&self.typed, mark);
        reading.says_something().then_some(reading)
    }
}

/// What passed a sieve, kept until the sieve or the document changes.
#[derive(Debug, Default)]
pub struct Kept(Option<(u64, Sieve, Vec<Passed>)>);

impl Kept {
    /// The marks of the document that pass.
    pub fn passed(&mut self, doc: &Document, sieve: &Sieve) -> &[Passed] {
        let known = self.0.take().filter(|(revision, of, _)| *revision == doc.revision && of == sieve);
        let known = known.unwrap_or_else(|| (doc.revision, sieve.clone(), sieve.pass(&doc.key, doc.index.wordings())));
        &self.0.insert(known).2
    }
}

/// The name of a mark's ink, empty where it has none.
pub fn ink_name(mark: &Mark) -> &str {
    mark.ink.as_ref().map_or("", |ink| ink.name.as_str())
}

/// Draws the fields and switches.
pub fn sieve_ui(ui: &mut Ui, doc: &Document, sieve: &mut Sieve, photographed: &mut bool, commands: &mut Vec<Command>) -> Asked {
    let mut asked = Asked::Nothing;
    ui.horizontal(|ui| {
        let label = widgets::strong(ui, say!("What can be read"));
        let field = TextEdit::singleline(&mut sieve.typed)
            .hint_text("MARROW… OV?N")
            .desired_width((ui.available_width() - 418.0).clamp(120.0, 340.0))
            .margin(Margin::symmetric(8, 7))
            .min_size(vec2(0.0, TARGET));
        ui.add(field).labelled_by(label.id).on_hover_text(say!("? is one letter that can't be read, … or ... any number of them"));
        if !sieve.is_open() && icon_button(ui, Icon::Close, say!("Show all marks")).clicked() {
            *sieve = Sieve::default();
        }
        let typed = sieve.typed.clone();
        if wording_says_something(&typed)
            && let Some(feature) = mark_features(doc).next()
            && button(ui, Icon::Bench, say!("Answer with these words")).clicked()
        {
            use_wording(feature, &typed, commands);
        }
        if icon_button(ui, Icon::Date, say!("What dates it")).clicked() {
            commands.push(Command::DateIt);
        }
        if icon_button(ui, Icon::Add, say!("Add a mark to the key")).clicked() {
            asked = Asked::NewMark;
        }
    });
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::splat(5.0);
        let layouts = distinct(doc.key.marks.iter().map(|mark| mark.layout));
        if layouts.len() > 1 {
            for layout in layouts {
                let on = sieve.layout == Some(layout);
                if layout_chip(ui, layout, on).clicked() {
                    sieve.layout = (!on).then_some(layout);
                }
            }
        }
        let inks = distinct(doc.key.marks.iter().map(ink_name));
        if inks.len() > 1 {
            for name in inks {
                let ink = doc.key.marks.iter().filter_map(|mark| mark.ink.as_ref()).find(|ink| ink.name == name);
                let on = sieve.ink.as_deref() == Some(name);
                if ink_chip(ui, ink, on).clicked() {
                    sieve.ink = (!on).then(|| name.to_owned());
                }
            }
        }
        let applied = distinct(doc.key.marks.iter().map(|mark| mark.applied));
        switches(ui, &applied, &mut sieve.applied, |applied| applied.words().to_owned());
        if doc.key.marks.iter().any(|mark| !mark.pictures.is_empty())
            && chip(ui, say!("as pictured"), *photographed)
                .on_hover_text(say!("The first picture of each mark, where the key has one"))
                .clicked()
        {
            *photographed = !*photographed;
        }
    });
    if doc.key.marks.is_empty() {
        remark(ui, say!("This key has no marks yet."));
    }
    asked
}

fn wording_says_something(typed: &str) -> bool {
    typed.chars().any(char::is_alphanumeric)
}

/// Values in the order in which they first come, each once.
pub fn distinct<T: PartialEq>(values: impl Iterator<Item = T>) -> Vec<T> {
    let mut found: Vec<T> = Vec::new();
    for value in values {
        if !found.contains(&value) {
            found.push(value);
        }
    }
    found
}

/// Switches of which one at most is on. One value alone needs no switch.
fn switches<T: PartialEq + Clone>(ui: &mut Ui, values: &[T], chosen: &mut Option<T>, words: impl Fn(&T) -> String) {
    if values.len() < 2 {
        return;
    }
    for value in values {
        let on = chosen.as_ref() == Some(value);
        if chip(ui, &words(value), on).clicked() {
            *chosen = (!on).then(|| value.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn key() -> Key {
        let marks = "[
            (id: \"a\", name: \"A\", layout: Round, applied: PrintedUnder, wording: [(text: \"MARROWBY\", place: ArcAbove), (text: \"OVEN PROOF\", place: ArcBelow)],
             ink: Some((name: \"green\", lab: (40, -30, 20)))),
            (id: \"b\", name: \"B\", layout: Words, applied: Impressed, wording: [(text: \"QUOIN\")]),
            (id: \"c\", name: \"C\", layout: Words, applied: PrintedUnder, wording: [(text: \"MARROWBY ENGLAND\")],
             ink: Some((name: \"black\", lab: (20, 0, 0)))),
        ]";
        Key { marks: ron::from_str(marks).unwrap(), ..Key::default() }
    }

    #[track_caller]
    fn check(sieve: &Sieve, expected: &[&str]) {
        let key = key();
        let passed = sieve.pass(&key, &Wordings::new(&key.marks));
        let passed: Vec<&str> = passed.iter().filter_map(|passed| Some(key.marks.get(passed.number)?.id.as_str())).collect();
        assert_eq!(passed, expected);
    }

    #[test]
    fn an_open_sieve_passes_all_in_the_order_of_the_key() {
        check(&Sieve::default(), &["a", "b", "c"]);
        check(&Sieve { typed: " … ?".into(), ..Sieve::default() }, &["a", "b", "c"]);
    }

    #[test]
    fn what_is_read_brings_the_likeliest_first_and_drops_the_rest() {
        check(&Sieve { typed: "MARROW… OV?N PR".into(), ..Sieve::default() }, &["a"]);
        // The same letters are likelier on a short mark.
        check(&Sieve { typed: "MARROW".into(), ..Sieve::default() }, &["c", "a"]);
        check(&Sieve { typed: "qu0in".into(), ..Sieve::default() }, &["b"]);
        check(&Sieve { typed: "ZZXYKW".into(), ..Sieve::default() }, &[]);
    }

    #[test]
    fn switches_go_together() {
        check(&Sieve { layout: Some(Layout::Words), ..Sieve::default() }, &["b", "c"]);
        check(&Sieve { layout: Some(Layout::Words), ink: Some(String::new()), ..Sieve::default() }, &["b"]);
        check(&Sieve { applied: Some(Applied::PrintedUnder), ink: Some("green".into()), ..Sieve::default() }, &["a"]);
    }
}
