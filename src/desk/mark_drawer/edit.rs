//! Adding a mark to the key and changing one: wording by line and place, make, years, lines, customers, and date codes with a tester.

use super::art;
use super::edit_codes::{codes_ui, parsed};
use super::shapes::{ink_chip, layout_chip};
use crate::colour::Lab;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::key_book::free_id;
use crate::desk::key_pictures::{Adding, Pictures, pictures_ui};
use crate::desk::steps::Steps;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, Ability, chip, heading, icon_button, icon_button_if, main_button, remark, strong};
use crate::key::{Applied, DateCode, How, Ink, Key, Layout, Mark, MarkId, Place, Used, Wears, Wording, Years};
use crate::say;
use egui::{Margin, ScrollArea, Sense, TextEdit, Ui, vec2};

const LAYOUTS: [Layout; 5] = [Layout::Round, Layout::Oval, Layout::Square, Layout::Script, Layout::Words];
const HOW: [How; 5] = [How::Seen, How::InPaper, How::Inferred, How::Suspected, How::Refuted];
/// Ink of a new mark.
const NEW_INK: Lab = Lab::new(30.0, 0.0, 2.0);

/// A mark while it is being changed.
#[derive(Debug)]
pub(super) struct Edit {
    steps: Steps<Mark>,
    /// As it is in the key; none of a new one.
    saved: Option<Mark>,
    pub(super) draft: Mark,
    pub(super) texts: Texts,
    /// What is wrong with it, when it was to be saved.
    refused: Option<String>,
    /// New pictures.
    pub(super) adding: Adding,
}

/// Fields that are typed as text and mean something else.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Texts {
    also: String,
    customers: String,
    from: String,
    to: String,
    pub(super) codes: String,
    pub(super) samples: String,
}

impl Texts {
    fn of(mark: &Mark) -> Self {
        let year = |year: Option<i32>| year.map_or_else(String::new, |year| year.to_string());
        Self {
            also: mark.also.join(", "),
            customers: mark.customers.join(", "),
            from: year(mark.made.from),
            to: year(mark.made.to),
            codes: codes_text(&mark.codes),
            samples: String::new(),
        }
    }
}

fn codes_text(codes: &[DateCode]) -> String {
    if codes.is_empty() {
        return String::new();
    }
    ron::ser::to_string_pretty(codes, ron::ser::PrettyConfig::default().struct_names(false)).unwrap_or_default()
}

/// Names, parted by commas.
pub(super) fn names(text: &str) -> Vec<String> {
    text.split(',').map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).collect()
}

/// A year, or nothing where nothing is written.
fn year(text: &str) -> Result<Option<i32>, NoYear> {
    match text.trim() {
        "" => Ok(None),
        text => text.parse().ok().filter(|year| (1500..=2200).contains(year)).map(Some).ok_or(NoYear),
    }
}

/// What is written is no year.
#[derive(Debug)]
struct NoYear;

impl Edit {
    /// A new mark.
    pub(super) fn new() -> Self {
        let mark = Mark {
            id: MarkId::new(""),
            name: String::new(),
            also: Vec::new(),
            layout: Layout::Words,
            rings: 1,
            wording: vec![Wording { text: String::new(), place: Place::Straight, wears: Wears::AsUsual }],
            ink: None,
            applied: Applied::PrintedUnder,
            date_code: String::new(),
            codes: Vec::new(),
            made: Years::default(),
            how: How::Seen,
            used: Used::InUse,
            lines: Vec::new(),
            customers: Vec::new(),
            papers: Vec::new(),
            pictures: Vec::new(),
            note: String::new(),
        };
        Self { saved: None, ..Self::of(&mark) }
    }

    /// A mark of the key.
    pub(super) fn of(mark: &Mark) -> Self {
        Self {
            steps: Steps::new(mark.clone()),
            saved: Some(mark.clone()),
            texts: Texts::of(mark),
            draft: mark.clone(),
            refused: None,
            adding: Adding::default(),
        }
    }

    /// Takes the last change back. False where there is none.
    pub(super) fn undo(&mut self) -> bool {
        self.settle();
        let can = self.steps.can_undo();
        self.steps.undo();
        self.show();
        can
    }

    /// Makes it again. False where there is none.
    pub(super) fn redo(&mut self) -> bool {
        let can = self.steps.can_redo();
        self.steps.redo();
        self.show();
        can
    }

    /// What was typed so far becomes a step.
    fn settle(&mut self) {
        self.steps.push(self.draft.clone());
    }

    fn show(&mut self) {
        self.draft = self.steps.now().clone();
        self.adding.stop_framing();
        self.texts = Texts { samples: std::mem::take(&mut self.texts.samples), ..Texts::of(&self.draft) };
    }

    /// True where something would be lost by closing it.
    fn is_changed(&self) -> bool {
        self.saved.as_ref() != Some(&self.draft) && self.draft != Self::new().draft
    }

    /// Asks for the mark to be saved; false where something is wrong with it, which the editor then says.
    pub(super) fn save(&mut self, doc: &Document, pictures: &mut Pictures, commands: &mut Vec<Command>) -> bool {
        self.settle();
        match self.ready(&doc.key) {
            Ok(mut mark) => {
                let id = mark.id.clone();
                let new = self.adding.name(&mut mark.pictures, "mark", id.as_str(), pictures);
                commands.push(Command::PutMark(Box::new(mark), new));
                true
            }
            Err(why) => {
                self.refused = Some(why);
                false
            }
        }
    }

    /// The mark to be saved, or what is wrong with it.
    fn ready(&self, key: &Key) -> Result<Mark, String> {
        let mut mark = self.draft.clone();
        mark.wording.retain(|line| !line.text.trim().is_empty());
        mark.name = mark.name.trim().to_owned();
        if mark.name.is_empty() {
            return Err(say!("the mark has no name yet").to_owned());
        }
        if year(&self.texts.from).is_err() || year(&self.texts.to).is_err() {
            return Err(say!("a year of use is no year (write 1951, or nothing where it is not known)").to_owned());
        }
        if matches!((mark.made.from, mark.made.to), (Some(from), Some(to)) if from > to) {
            return Err(say!("its last year of use lies before its first").to_owned());
        }
        parsed(&self.texts.codes)?;
        if self.saved.is_none() {
            mark.id = MarkId::new(free_id(&mark.name, key.marks.len(), |id| key.mark(&MarkId::new(id)).is_none()));
        }
        Ok(mark)
    }
}

/// Draws the editor; true where it is to be closed.
pub(super) fn edit_ui(ui: &mut Ui, doc: &Document, edit: &mut Edit, pictures: &mut Pictures, commands: &mut Vec<Command>) -> bool {
    let mut close = false;
    ui.horizontal(|ui| {
        heading(ui, if edit.saved.is_some() { say!("Change a mark") } else { say!("A new mark") });
        widgets::row_from_right(ui, |ui| {
            let words = if edit.is_changed() { say!("Close without saving") } else { say!("Close the mark") };
            close = icon_button(ui, Icon::Close, words).clicked();
            if icon_button_if(ui, Icon::Redo, say!("Redo in this mark"), Ability::from(edit.steps.can_redo())).clicked() {
                edit.redo();
            }
            let can_undo = edit.steps.can_undo() || *edit.steps.now() != edit.draft;
            if icon_button_if(ui, Icon::Undo, say!("Undo in this mark"), Ability::from(can_undo)).clicked() {
                edit.undo();
            }
        });
    });
    let height = (ui.available_height() - TARGET - 16.0).max(TARGET);
    ScrollArea::vertical().id_salt("mark being changed").max_height(height).auto_shrink(false).show(ui, |ui| {
        ui.set_max_width(ui.available_width() - 8.0);
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 190.0), Sense::hover());
        art::paint_mark(ui.painter(), rect, &edit.draft, None);
        names_ui(ui, edit);
        wording_ui(ui, &mut edit.draft);
        make_ui(ui, doc, &mut edit.draft);
        years_ui(ui, edit);
        goes_with_ui(ui, doc, edit);
        pictures_ui(ui, doc, &mut edit.draft.pictures, &mut edit.adding, pictures);
        codes_ui(ui, edit);
    });
    if !ui.text_edit_focused() {
        edit.settle();
    }
    let c = theme::colours(ui);
    ui.horizontal(|ui| {
        if main_button(ui, Icon::Tick, say!("Save the mark")).clicked() {
            close |= edit.save(doc, pictures, commands);
        }
        if let Some(why) = &edit.refused {
            ui.colored_label(c.alarm, crate::key::capital(why));
        }
    });
    close
}

pub(super) fn field(ui: &mut Ui, name: &str, text: &mut String) -> egui::Response {
    let label = remark(ui, name);
    let width = ui.available_width() - 24.0;
    ui.add(TextEdit::singleline(text).desired_width(width).min_size(vec2(0.0, TARGET)).margin(Margin::symmetric(8, 7)))
        .labelled_by(label.id)
}

fn names_ui(ui: &mut Ui, edit: &mut Edit) {
    field(ui, say!("Name of the mark"), &mut edit.draft.name);
    if field(ui, say!("Other names"), &mut edit.texts.also).changed() {
        edit.draft.also = names(&edit.texts.also);
    }
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        for layout in LAYOUTS {
            if layout_chip(ui, layout, edit.draft.layout == layout).clicked() {
                edit.draft.layout = layout;
            }
        }
    });
    if matches!(edit.draft.layout, Layout::Round | Layout::Oval | Layout::Square) {
        ui.horizontal_wrapped(|ui| {
            for (rings, words) in [(0, say!("no line round it")), (1, say!("one line round it")), (2, say!("two lines round it"))] {
                if chip(ui, words, edit.draft.rings == rings).clicked() {
                    edit.draft.rings = rings;
                }
            }
        });
    }
}

fn wording_ui(ui: &mut Ui, mark: &mut Mark) {
    strong(ui, say!("Wording, line by line"));
    let mut remove = None;
    for (number, line) in mark.wording.iter_mut().enumerate() {
        ui.horizontal(|ui| {
            let edit = TextEdit::singleline(&mut line.text).desired_width(ui.available_width() - TARGET - 40.0).min_size(vec2(0.0, TARGET));
            let response = ui.add(edit.margin(Margin::symmetric(8, 7)));
            response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, say!("Line {number}", number = number + 1)));
            if icon_button(ui, Icon::Close, &say!("Take line {number} away", number = number + 1)).clicked() {
                remove = Some(number);
            }
        });
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            for place in Place::ALL {
                let words = place.words();
                if chip(ui, words, line.place == place).clicked() {
                    line.place = place;
                }
            }
            for wears in [Wears::First, Wears::Last] {
                let on = line.wears == wears;
                let hint = say!("How this line wears beside the others: letters missing there count for less, or for more");
                if chip(ui, wears.words(), on).on_hover_text(hint).clicked() {
                    line.wears = if on { Wears::AsUsual } else { wears };
                }
            }
        });
    }
    if let Some(number) = remove {
        mark.wording.remove(number);
    }
    if widgets::button(ui, Icon::Add, say!("Another line")).clicked() {
        mark.wording.push(Wording { text: String::new(), place: Place::Straight, wears: Wears::AsUsual });
    }
}

fn make_ui(ui: &mut Ui, doc: &Document, mark: &mut Mark) {
    strong(ui, say!("Ink"));
    ui.horizontal_wrapped(|ui| {
        if ink_chip(ui, None, mark.ink.is_none()).clicked() {
            mark.ink = None;
        }
        let known = super::sieve::distinct(doc.key.marks.iter().filter_map(|mark| mark.ink.clone()));
        for ink in known {
            if ink_chip(ui, Some(&ink), mark.ink.as_ref() == Some(&ink)).clicked() {
                mark.ink = Some(ink);
            }
        }
    });
    if mark.ink.is_none() {
        if widgets::button(ui, Icon::Add, say!("Another ink")).clicked() {
            mark.ink = Some(Ink { name: String::new(), lab: NEW_INK });
        }
    } else if let Some(ink) = &mut mark.ink {
        ui.horizontal(|ui| {
            let mut rgb = ink.lab.to_srgb();
            if ui.color_edit_button_srgb(&mut rgb).on_hover_text(say!("Colour of the ink")).changed() {
                ink.lab = Lab::from_srgb(rgb);
            }
            field(ui, say!("Ink's name"), &mut ink.name);
        });
    }
    strong(ui, say!("How it was applied"));
    ui.horizontal_wrapped(|ui| {
        for applied in Applied::ALL {
            if chip(ui, applied.words(), mark.applied == applied).clicked() {
                mark.applied = applied;
            }
        }
    });
}

fn years_ui(ui: &mut Ui, edit: &mut Edit) {
    let c = theme::colours(ui);
    strong(ui, say!("Years of use"));
    ui.horizontal(|ui| {
        for (name, text) in [(say!(in "a year", "first"), &mut edit.texts.from), (say!(in "a year", "last"), &mut edit.texts.to)] {
            let label = remark(ui, name);
            ui.add(TextEdit::singleline(text).desired_width(64.0).min_size(vec2(0.0, TARGET))).labelled_by(label.id);
        }
    });
    match (year(&edit.texts.from), year(&edit.texts.to)) {
        (Ok(from), Ok(to)) => edit.draft.made = Years { from, to },
        _ => {
            ui.colored_label(c.alarm, say!("That is no year (write 1951)"));
        }
    }
    ui.horizontal_wrapped(|ui| {
        for how in HOW {
            if chip(ui, how.words(), edit.draft.how == how).clicked() {
                edit.draft.how = how;
            }
        }
    });
    let mut never = edit.draft.used == Used::NeverUsed;
    if ui.checkbox(&mut never, say!("Drawn, but never in production as far as is known")).changed() {
        edit.draft.used = if never { Used::NeverUsed } else { Used::InUse };
    }
}

fn goes_with_ui(ui: &mut Ui, doc: &Document, edit: &mut Edit) {
    strong(ui, say!("Goes with")).on_hover_text(say!("None chosen: ware of any line"));
    ui.horizontal_wrapped(|ui| {
        for line in &doc.key.lines {
            let on = edit.draft.lines.contains(&line.id);
            if chip(ui, &line.name, on).clicked() {
                if on {
                    edit.draft.lines.retain(|id| *id != line.id);
                } else {
                    edit.draft.lines.push(line.id.clone());
                }
            }
        }
    });
    if field(ui, say!("Made for (shops and firms, parted by commas)"), &mut edit.texts.customers).changed() {
        edit.draft.customers = names(&edit.texts.customers);
    }
    field(ui, say!("Note"), &mut edit.draft.note);
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn a_mark_needs_a_name_and_years_that_are_years() {
        let key = crate::key::builtin::demo().key;
        let mut edit = Edit::new();
        assert_eq!(edit.ready(&key).unwrap_err(), "the mark has no name yet");
        edit.draft.name = "Oval, small".to_owned();
        edit.texts.from = "195x".to_owned();
        assert_eq!(edit.ready(&key).unwrap_err(), "a year of use is no year (write 1951, or nothing where it is not known)");
        edit.texts.from.clear();
        edit.texts.codes = "[(name:".to_owned();
        assert!(edit.ready(&key).unwrap_err().starts_with("the date codes can't be read: "), "{:?}", edit.ready(&key));
        edit.texts.codes.clear();
        let mark = edit.ready(&key).unwrap();
        assert_eq!((mark.id.as_str(), mark.wording.len()), ("oval-small", 0));
    }

    #[test]
    fn what_is_written_of_codes_reads_back_the_same() {
        for mark in crate::key::builtin::demo().key.marks {
            assert_eq!(parsed(&codes_text(&mark.codes)).unwrap(), mark.codes, "{}", mark.id);
        }
    }

    #[test]
    fn steps_go_back_with_their_texts() {
        let mark = crate::key::builtin::demo().key.marks.first().unwrap().clone();
        let mut edit = Edit::of(&mark);
        edit.draft.customers = names("A shop, B & Sons");
        edit.settle();
        edit.draft.name.push('!');
        assert!(edit.undo());
        assert_eq!((edit.draft.name.as_str(), edit.texts.customers.as_str()), (mark.name.as_str(), "A shop, B & Sons"));
        assert!(edit.undo());
        assert!(!edit.undo());
        assert_eq!(edit.texts.customers, "");
        assert!(edit.redo());
        assert_eq!(edit.draft.customers, ["A shop", "B & Sons"]);
    }
}
