//! The sheet of one mark: its drawing, its dates and how they are known, its papers, and the forms that bear it.

use super::sieve::Sieve;
use super::wall::lines_of;
use super::{art, mark_features, use_mark};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::key_pictures::{Pictures, Shown, paint};
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, icon_button, main_button, remark};
use crate::key::{How, Key, Mark, Used, capital};
use crate::marks::NearTwin;
use crate::{say, say_count};
use egui::{Align, Align2, FontId, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo, vec2};

/// What was asked for on the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asked {
    /// To stay open.
    Stay,
    /// To be closed.
    Close,
    /// The mark is to be changed.
    Edit,
}

/// The years of a mark, in words.
pub fn dated(mark: &Mark) -> String {
    if mark.made.is_open() { say!("years not known").to_owned() } else { mark.made.words() }
}

/// How the years are known, in words.
pub fn known(mark: &Mark) -> &'static str {
    match mark.how {
        How::Seen => say!("seen on ware"),
        other => other.words(),
    }
}

/// Draws the sheet.
pub(super) fn sheet_ui(
    ui: &mut Ui,
    doc: &Document,
    mark: &Mark,
    twins: &[NearTwin],
    sieve: &Sieve,
    pictures: &mut Pictures,
    commands: &mut Vec<Command>,
) -> Asked {
    let mut asked = Asked::Stay;
    ui.horizontal(|ui| {
        let width = ui.available_width() - 2.0 * (TARGET + 10.0);
        ui.allocate_ui_with_layout(vec2(width, TARGET), egui::Layout::left_to_right(Align::Center).with_main_wrap(true), |ui| {
            widgets::heading(ui, capital(&mark.name));
        });
        if icon_button(ui, Icon::Edit, say!("Change this mark")).clicked() {
            asked = Asked::Edit;
        }
        if icon_button(ui, Icon::Close, say!("Close this mark")).clicked() {
            asked = Asked::Close;
        }
    });
    for feature in mark_features(doc) {
        let many = mark_features(doc).nth(1).is_some();
        let words =
            if many { say!("It is this one: {feature}", feature = feature.shown_name()) } else { say!("It is this one").to_owned() };
        if main_button(ui, Icon::Bench, &words).on_hover_text(say!("Make it the answer on the Bench")).clicked() {
            use_mark(feature, &mark.id, commands);
        }
    }
    if mark_features(doc).next().is_none() {
        remark(ui, say!("This key asks for no mark: give it a feature of the kind Mark, and marks can be answers on the Bench."));
    }
    ScrollArea::vertical().id_salt("sheet of a mark").auto_shrink(false).show(ui, |ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width() - 8.0, 236.0), Sense::hover());
        art::paint_mark(ui.painter(), rect, mark, sieve.reading(mark).as_ref());
        pictures_ui(ui, mark, pictures);
        facts_ui(ui, &doc.key, mark);
        twins_ui(ui, &doc.key, twins);
        papers_ui(ui, &doc.key, mark);
        forms_ui(ui, &doc.key, mark);
    });
    asked
}

/// Its pictures, each with what it shows.
fn pictures_ui(ui: &mut Ui, mark: &Mark, pictures: &mut Pictures) {
    for picture in &mark.pictures {
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width() - 8.0, 170.0), Sense::hover());
        let words = if picture.caption.is_empty() { say!("Picture of {mark}", mark = mark.name) } else { capital(&picture.caption) };
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words.clone()));
        let c = theme::colours(ui);
        let said = |words: String, ink| ui.painter().text(rect.center(), Align2::CENTER_CENTER, words, FontId::proportional(14.0), ink);
        match pictures.of(ui.ctx(), &picture.file) {
            Shown::Ready(texture) => {
                let texture = texture.clone();
                paint(ui, rect, &texture);
            }
            Shown::Waiting => {
                said(say!("Opening the picture …").to_owned(), c.ink_soft);
            }
            Shown::Failed(why) => {
                said(capital(why), c.alarm);
            }
        }
        if !picture.caption.is_empty() {
            remark(ui, words);
        }
    }
}

fn facts_ui(ui: &mut Ui, key: &Key, mark: &Mark) {
    let c = theme::colours(ui);
    let fact = |ui: &mut Ui, label: &str, words: String| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            remark(ui, label);
            ui.label(words);
        });
    };
    if mark.used == Used::NeverUsed {
        ui.label(RichText::new(say!("Drawn, but never in production as far as is known")).family(theme::bold()).color(c.alarm));
    }
    fact(ui, say!("Years"), format!("{}, {}", dated(mark), known(mark)));
    let ink = mark.ink.as_ref().map_or_else(|| say!("no ink").to_owned(), |ink| say!("in {ink}", ink = ink.name));
    fact(ui, say!("Make"), format!("{}, {}, {ink}", mark.layout.words(), mark.applied.words()));
    let words: Vec<&str> = mark.wording.iter().map(|line| line.text.as_str()).collect();
    fact(ui, say!("Reads"), if words.is_empty() { say!("no words").to_owned() } else { words.join(" / ") });
    fact(ui, say!("Lines"), lines_of(key, mark));
    if !mark.customers.is_empty() {
        fact(ui, say!("Made for"), mark.customers.join(", "));
    }
    if !mark.date_code.is_empty() {
        fact(ui, say!("Date code"), mark.date_code.clone());
    }
    if !mark.also.is_empty() {
        fact(ui, say!("Also called"), mark.also.join(", "));
    }
    if !mark.note.is_empty() {
        ui.label(&mark.note);
    }
    if claims_of_use(mark) {
        remark(ui, say!("'Oven proof' in a mark is an old claim, not a test."));
    }
}

/// True where the wording makes a claim of use that is no test.
fn claims_of_use(mark: &Mark) -> bool {
    mark.wording.iter().any(|line| {
        let text = line.text.to_lowercase();
        ["oven", "proof", "heat", "safe"].iter().any(|word| text.contains(word))
    })
}

/// Marks that are easily taken for this one, each with what tells it.
fn twins_ui(ui: &mut Ui, key: &Key, twins: &[NearTwin]) {
    if twins.is_empty() {
        return;
    }
    ui.add_space(6.0);
    widgets::strong(ui, say!("Easily taken for"));
    for twin in twins {
        let name = key.mark(&twin.mark).map_or_else(|| twin.mark.to_string(), |mark| mark.name.clone());
        let tells = if twin.tells.is_empty() { say!("nothing recorded tells them apart").to_owned() } else { twin.tells.join("; ") };
        ui.label(format!("{}: {tells}", capital(&name)));
    }
}

fn papers_ui(ui: &mut Ui, key: &Key, mark: &Mark) {
    if mark.papers.is_empty() {
        return;
    }
    ui.add_space(6.0);
    widgets::strong(ui, say!("Papers"));
    for id in &mark.papers {
        match key.paper(id) {
            Some(paper) => ui.label(format!("{}, {}", paper.title, paper.date.words())),
            None => remark(ui, id.to_string()),
        };
    }
}

fn forms_ui(ui: &mut Ui, key: &Key, mark: &Mark) {
    let bearing: Vec<String> = key
        .forms
        .iter()
        .filter_map(|form| {
            let held = form.marks.iter().find(|held| held.id == mark.id)?;
            Some(if held.how == How::Seen { key.full_name(form) } else { format!("{} ({})", key.full_name(form), held.how.words()) })
        })
        .collect();
    ui.add_space(6.0);
    if bearing.is_empty() {
        remark(ui, say!("No form of the key is claimed with it."));
        return;
    }
    widgets::strong(ui, say_count!(n = bearing.len(), "On {n} form", "On {n} forms"));
    for name in bearing {
        ui.label(capital(&name));
    }
}
