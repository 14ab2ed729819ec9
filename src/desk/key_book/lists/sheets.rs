//! The sheets of lines, glazes, decorations, papers, and of the key itself.

use super::drawing::drawing_ui;
use super::entry::{Edit, Entry};
use super::fields::{claims_ui, field, lines_ui, one_of, years_ui};
use crate::colour::{Lab, delta_e00};
use crate::desk::board::glyph;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::key_pictures::{Pictures, pictures_ui};
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{button, chip, icon_button, remark, strong};
use crate::identify::Seen;
use crate::key::{About, Applied, Caution, Decoration, Finish, FormId, Glaze, Listed, Paper, PaperKind, When};
use crate::{say, say_count};
use egui::{DragValue, Margin, Popup, PopupCloseBehavior, Sense, TextEdit, Ui, WidgetInfo, vec2};

/// Forms shown for what is typed.
const HITS: usize = 8;

fn kinds() -> [(PaperKind, &'static str); 7] {
    [
        (PaperKind::Advertisement, say!("advertisement")),
        (PaperKind::Brochure, say!("brochure")),
        (PaperKind::PriceList, say!("price list")),
        (PaperKind::Memo, say!("memo")),
        (PaperKind::Letter, say!("letter")),
        (PaperKind::OrderSheet, say!("order sheet")),
        (PaperKind::Other, say!(in "a paper", "other")),
    ]
}

fn finishes() -> [(Finish, &'static str); 3] {
    [(Finish::Gloss, say!("gloss")), (Finish::Satin, say!("satin")), (Finish::Matt, say!("matt"))]
}

/// Draws what is particular to the sort of the entry.
pub(super) fn entry_ui(ui: &mut Ui, doc: &Document, edit: &mut Edit, pictures: &mut Pictures) {
    match &mut edit.draft {
        Entry::Line(line) => {
            strong(ui, say!("Years of making"));
            years_ui(ui, &mut line.made);
            field(ui, say!("Note"), &mut line.note, 520.0);
            claims_ui(ui, doc, &mut line.claims);
        }
        Entry::Feature(feature) => super::feature::feature_ui(ui, doc, feature, &mut edit.used),
        Entry::Glaze(glaze) => glaze_ui(ui, doc, glaze),
        Entry::Decoration(decoration) => decoration_ui(ui, doc, decoration),
        Entry::Paper(paper) => {
            paper_ui(ui, doc, paper, &mut edit.form_typed);
            pictures_ui(ui, doc, &mut paper.pictures, &mut edit.adding, pictures);
        }
        Entry::About(about) => about_ui(ui, about, &mut edit.groups),
    }
}

fn glaze_ui(ui: &mut Ui, doc: &Document, glaze: &mut Glaze) {
    let c = theme::colours(ui);
    strong(ui, say!("Colour"));
    ui.horizontal_wrapped(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(96.0, 56.0), Sense::hover());
        glyph::swatch(ui.painter(), rect, theme::of_lab(glaze.lab), c);
        for (name, value, range) in
            [("L*", &mut glaze.lab.l, 0.0..=100.0), ("a*", &mut glaze.lab.a, -160.0..=160.0), ("b*", &mut glaze.lab.b, -160.0..=160.0)]
        {
            remark(ui, name);
            ui.add(DragValue::new(value).range(range).speed(0.2).max_decimals(2)).accessible_name(name);
        }
        let mut rgb = glaze.lab.to_srgb();
        if ui.color_edit_button_srgb(&mut rgb).on_hover_text(say!("Choose the colour by eye")).changed() {
            glaze.lab = Lab::from_srgb(rgb);
        }
        remark(ui, say!("strays by ΔE00"));
        ui.add(DragValue::new(&mut glaze.spread).range(0.1..=30.0).speed(0.05).max_decimals(2))
            .on_hover_text(say!("How far sound pieces stray from it, one standard deviation"))
            .accessible_name(say!("Spread"));
    });
    let read = doc.hand.piece.observations.iter().find_map(|observation| match &observation.seen {
        Seen::Colour { lab, spread } => Some((*lab, *spread)),
        _ => None,
    });
    ui.horizontal_wrapped(|ui| {
        match read {
            Some((lab, _)) => {
                if button(ui, Icon::Paste, say!("Take the colour of the piece in hand"))
                    .on_hover_text(say!("As it was read on its photograph"))
                    .clicked()
                {
                    glaze.lab = lab;
                }
            }
            None => {
                remark(ui, say!("Read a colour on a photograph of a piece (Measure, A colour), and it can be taken from there."));
            }
        }
        let near = doc.key.glazes.iter().filter(|other| other.id != glaze.id).map(|other| (delta_e00(other.lab, glaze.lab), &other.name));
        if let Some((far, name)) = near.min_by(|a, b| a.0.total_cmp(&b.0)) {
            remark(
                ui,
                if far < 2.0 * glaze.spread {
                    say!("Nearest: {name}, ΔE00 {far:.1}: hard to tell apart by colour alone", name, far)
                } else {
                    say!("Nearest: {name}, ΔE00 {far:.1}", name, far)
                },
            );
        }
    });
    if let Some(finish) = one_of(ui, say!("Surface"), &finishes(), glaze.finish) {
        glaze.finish = finish;
    }
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Cautions"));
        for (caution, words) in
            [(Caution::LeadOrCadmium, say!("may release lead or cadmium")), (Caution::Uranium, say!("may contain uranium"))]
        {
            let on = glaze.cautions.contains(&caution);
            if chip(ui, words, on).clicked() {
                if on {
                    glaze.cautions.retain(|known| *known != caution);
                } else {
                    glaze.cautions.push(caution);
                }
            }
        }
    });
    lines_ui(ui, doc, say!("Offered for"), &mut glaze.lines);
    strong(ui, say!("Years of use"));
    years_ui(ui, &mut glaze.made);
    field(ui, say!("Note"), &mut glaze.note, 520.0);
    claims_ui(ui, doc, &mut glaze.claims);
}

fn decoration_ui(ui: &mut Ui, doc: &Document, decoration: &mut Decoration) {
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Drawn as"));
        drawing_ui(ui, doc, say!("the decoration"), &mut decoration.drawing);
    });
    let applied = Applied::ALL.map(|applied| (applied, applied.words()));
    if let Some(applied) = one_of(ui, say!("Put on"), &applied, decoration.applied) {
        decoration.applied = applied;
    }
    ui.checkbox(&mut decoration.on_old_stock, say!("Put on pieces that were made earlier and kept in stock"));
    lines_ui(ui, doc, say!("Offered for"), &mut decoration.lines);
    strong(ui, say!("Years of use"));
    years_ui(ui, &mut decoration.made);
    field(ui, say!("Note"), &mut decoration.note, 520.0);
    claims_ui(ui, doc, &mut decoration.claims);
}

fn paper_ui(ui: &mut Ui, doc: &Document, paper: &mut Paper, typed: &mut String) {
    if let Some(kind) = one_of(ui, say!("Kind"), &kinds(), paper.kind) {
        paper.kind = kind;
    }
    date_ui(ui, &mut paper.date);
    field(ui, say!("Note"), &mut paper.note, 520.0);
    strong(ui, say!("What it lists"));
    let mut gone = None;
    for (at, listed) in paper.lists.iter_mut().enumerate() {
        ui.push_id(("listed", at), |ui| {
            ui.horizontal_wrapped(|ui| {
                let number = at + 1;
                let text = |ui: &mut Ui, text: &mut String, width: f32, name: String, hint: &str| {
                    let edit = TextEdit::singleline(text).desired_width(width).min_size(vec2(0.0, TARGET)).hint_text(hint);
                    let response = ui.add(edit.margin(Margin::symmetric(8, 7)));
                    response.widget_info(|| WidgetInfo::labeled(egui::Role::TextInput, true, &name));
                };
                text(ui, &mut listed.written, 230.0, say!("Entry {number} as written", number), say!("as written there"));
                text(ui, &mut listed.price, 80.0, say!("Price of entry {number}", number), say!("price"));
                form_ui(ui, doc, number, &mut listed.form, typed);
                glazes_ui(ui, doc, number, listed);
                if icon_button(ui, Icon::Remove, &say!("Take entry {number} away", number)).clicked() {
                    gone = Some(at);
                }
            });
        });
    }
    if let Some(at) = gone {
        paper.lists.remove(at);
    }
    if button(ui, Icon::Add, say!("Another entry")).clicked() {
        paper.lists.push(Listed { written: String::new(), form: None, glazes: Vec::new(), price: String::new() });
    }
}

/// The form that an entry means, found by name.
fn form_ui(ui: &mut Ui, doc: &Document, number: usize, form: &mut Option<FormId>, typed: &mut String) {
    let words = form.as_ref().map_or_else(|| say!("no form yet").to_owned(), |id| doc.key.form_name(id));
    let response = chip(ui, &words, form.is_some());
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, say!("Form of entry {number}: {words}", number, words)));
    if response.clicked() {
        typed.clear();
    }
    Popup::menu(&response).close_behavior(PopupCloseBehavior::CloseOnClickOutside).show(|ui| {
        ui.set_max_width(340.0);
        let response = field(ui, say!("Find"), typed, 240.0);
        if !response.has_focus() && typed.is_empty() {
            response.request_focus();
        }
        let mut done = false;
        for hit in doc.words.search_forms(typed, HITS) {
            if ui.add(egui::Button::new(doc.key.form_name(&hit.form)).min_size(vec2(260.0, TARGET))).clicked() {
                *form = Some(hit.form);
                done = true;
            }
        }
        if form.is_some() && button(ui, Icon::Close, say!("No form yet")).clicked() {
            *form = None;
            done = true;
        }
        if done {
            ui.close();
        }
    });
}

fn glazes_ui(ui: &mut Ui, doc: &Document, number: usize, listed: &mut Listed) {
    let words = match listed.glazes.as_slice() {
        [] => say!("no glaze named").to_owned(),
        [one] => doc.key.glaze(one).map_or_else(|| one.to_string(), |glaze| glaze.name.clone()),
        several => say_count!(n = several.len(), "{n} glaze", "{n} glazes"),
    };
    let response = chip(ui, &words, !listed.glazes.is_empty());
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, say!("Glazes of entry {number}: {words}", number, words)));
    Popup::menu(&response).close_behavior(PopupCloseBehavior::CloseOnClickOutside).show(|ui| {
        for glaze in &doc.key.glazes {
            let mut on = listed.glazes.contains(&glaze.id);
            if ui.checkbox(&mut on, &glaze.name).changed() {
                if on {
                    listed.glazes.push(glaze.id.clone());
                } else {
                    listed.glazes.retain(|id| *id != glaze.id);
                }
            }
        }
    });
}

/// The date of a paper, as exactly as it is known.
fn date_ui(ui: &mut Ui, date: &mut When) {
    let year = match *date {
        When::Day(year, ..) | When::Month(year, _) | When::Year(year) | When::Circa(year) | When::Between(year, _) => year,
    };
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Date"));
        let kinds = [
            (say!("a day"), When::Day(year, 1, 1)),
            (say!("a month"), When::Month(year, 1)),
            (say!("a year"), When::Year(year)),
            (say!("about a year"), When::Circa(year)),
            (say!("between"), When::Between(year, year)),
        ];
        for (words, kind) in kinds {
            let on = std::mem::discriminant(&kind) == std::mem::discriminant(date);
            if chip(ui, words, on).clicked() && !on {
                *date = kind;
            }
        }
        let year = |ui: &mut Ui, name: &str, year: &mut i32| {
            ui.add(DragValue::new(year).range(1500..=2200).speed(0.2)).accessible_name(name.to_owned());
        };
        let small = |ui: &mut Ui, name: &str, value: &mut u8, most: u8| {
            remark(ui, name);
            ui.add(DragValue::new(value).range(1..=most).speed(0.1)).accessible_name(name.to_owned());
        };
        match date {
            When::Day(y, m, d) => {
                year(ui, say!("Year"), y);
                small(ui, say!("Month"), m, 12);
                small(ui, say!("Day"), d, 31);
            }
            When::Month(y, m) => {
                year(ui, say!("Year"), y);
                small(ui, say!("Month"), m, 12);
            }
            When::Year(y) | When::Circa(y) => year(ui, say!("Year"), y),
            When::Between(from, to) => {
                year(ui, say!(in "a year", "From"), from);
                remark(ui, say!(in "between two years", "and"));
                year(ui, say!(in "a year", "To"), to);
            }
        }
    });
}

fn about_ui(ui: &mut Ui, about: &mut About, groups: &mut String) {
    field(ui, say!("Pottery"), &mut about.pottery, 420.0);
    field(ui, say!("Note"), &mut about.note, 520.0);
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Give of measures for firing"));
        ui.add(DragValue::new(&mut about.give_percent).range(0.0..=50.0).speed(0.05).max_decimals(1).suffix(" %"))
            .accessible_name(say!("Give, percent"));
    });
    strong(ui, say!("Words that mean the same"));
    let label = remark(ui, say!("A group a line, parted by commas; the first word is the one shown"));
    let width = ui.available_width().min(560.0);
    let edit = TextEdit::multiline(groups).desired_rows(8).desired_width(width).margin(Margin::symmetric(8, 7));
    if ui.add(edit).labelled_by(label.id).changed() {
        let words = |line: &str| line.split(',').map(|word| word.trim().to_owned()).filter(|word| !word.is_empty()).collect::<Vec<_>>();
        about.synonyms = groups.lines().map(words).filter(|group| !group.is_empty()).collect();
    }
}
