//! The asking card: one feature, its values as drawings with their digits, or a field for a measure or a wording.

use super::{BenchView, mark_card};
use crate::desk::board::glyph;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, chip, icon_button, paging, row_from_right};
use crate::identify::{Measured, Observation, Seen, Sure};
use crate::key::{Feature, FeatureId, FeatureKind, ValueId, capital};
use crate::marks::Looks;
use crate::say;
use crate::words::decimal;
use egui::{
    Align, CornerRadius, FontId, Frame, Id, Layout, Margin, Rect, Response, RichText, Role, ScrollArea, Sense, Stroke, TextEdit, Ui, Vec2,
    WidgetInfo, pos2, vec2,
};

/// Values on one page of the card: one a digit.
pub const PAGE: usize = 9;

/// An open asking card.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// The feature asked for.
    pub feature: FeatureId,
    /// Page of values, from 0.
    pub page: usize,
    /// Values chosen so far where it is 'either'.
    pub either: Vec<ValueId>,
    /// What is typed: a measure, a wording, or the beginning of a value's name.
    pub typed: String,
    /// How the mark looks, where it is one.
    pub looks: Looks,
    /// Why what was typed can't be taken.
    pub refused: Option<String>,
    /// How sure the person is.
    pub sure: Sure,
    /// Put the cursor in the field at the next frame.
    pub focus: bool,
}

impl Card {
    /// A card on a feature, filled with what was said before.
    pub fn new(doc: &Document, feature: &Feature) -> Self {
        let mut card = Self {
            feature: feature.id.clone(),
            page: 0,
            either: Vec::new(),
            typed: String::new(),
            looks: Looks::default(),
            refused: None,
            sure: Sure::Sure,
            focus: matches!(feature.kind, FeatureKind::Measure(_)),
        };
        if let Some(old) = doc.seen(&feature.id) {
            card.sure = old.sure;
            match &old.seen {
                Seen::Values(values) if values.len() > 1 => card.either.clone_from(values),
                Seen::Measured(Measured { value, plus_minus }) => card.typed = format!("{} ± {}", trim(*value), trim(*plus_minus)),
                Seen::Wording(text) => card.typed.clone_from(text),
                Seen::Mark(mark) => {
                    card.typed.clone_from(&mark.wording);
                    card.looks.clone_from(&mark.looks);
                }
                _ => {}
            }
        }
        card
    }
}

/// A number without needless zeros.
pub fn trim(x: f64) -> String {
    let text = format!("{x:.1}");
    decimal(text.strip_suffix(".0").map(str::to_owned).unwrap_or(text))
}

/// The values of the card's feature, narrowed by what is typed and picked, likeliest first for marks.
pub fn shown_values(doc: &Document, feature: &Feature, card: &Card) -> Vec<(ValueId, String)> {
    if matches!(feature.kind, FeatureKind::Mark) {
        return mark_card::shown(doc, card);
    }
    let all = doc.key.values_of(feature);
    let typed = card.typed.trim();
    if typed.is_empty() {
        return all;
    }
    let wanted = typed.to_lowercase();
    let starts = |text: &str| {
        text.to_lowercase().split([' ', '-']).any(|word| word.starts_with(&wanted)) || text.to_lowercase().starts_with(&wanted)
    };
    all.into_iter()
        .filter(|(id, name)| starts(name) || starts(id.as_str()) || other_names(feature, id).iter().any(|other| starts(other)))
        .collect()
}

fn other_names(feature: &Feature, id: &ValueId) -> Vec<String> {
    match &feature.kind {
        FeatureKind::Choice(values) => values.iter().find(|value| value.id == *id).map(|value| value.also.clone()).unwrap_or_default(),
        _ => Vec::new(),
    }
}

/// Takes a value: answers with it, or adds it to (or takes it from) the 'either' values.
pub fn choose(card: &mut Card, value: &ValueId, commands: &mut Vec<Command>) -> Taken {
    if card.either.is_empty() {
        commands.push(Command::See(Observation {
            feature: card.feature.clone(),
            seen: Seen::Values(vec![value.clone()]),
            sure: card.sure,
        }));
        Taken::Answered
    } else {
        toggle(card, value);
        Taken::Waiting
    }
}

/// Adds a value to the 'either' values, or takes it from them.
pub fn toggle(card: &mut Card, value: &ValueId) {
    match card.either.iter().position(|v| v == value) {
        Some(at) => {
            card.either.remove(at);
        }
        None => card.either.push(value.clone()),
    }
}

/// Whether a card was answered and can go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// It was.
    Answered,
    /// It stays.
    Waiting,
}

/// Takes what is typed or chosen as 'either'.
pub fn confirm(doc: &Document, feature: &Feature, card: &mut Card, commands: &mut Vec<Command>) -> Taken {
    if !card.either.is_empty() {
        commands.push(Command::See(Observation {
            feature: card.feature.clone(),
            seen: Seen::Values(card.either.clone()),
            sure: card.sure,
        }));
        return Taken::Answered;
    }
    let typed = card.typed.trim();
    if typed.is_empty() && card.looks.is_empty() {
        return Taken::Waiting;
    }
    match &feature.kind {
        FeatureKind::Choice(_) | FeatureKind::Decoration | FeatureKind::Glaze => {
            if let [(only, _)] = shown_values(doc, feature, card).as_slice() {
                let only = only.clone();
                return choose(card, &only, commands);
            }
        }
        FeatureKind::Measure(_) | FeatureKind::Mark => {}
    }
    let answer = match &feature.kind {
        FeatureKind::Mark => mark_card::seen(doc, feature, card),
        _ => crate::identify::see::answer(&doc.key, &doc.words, feature, typed).map_err(|why| why.to_string()),
    };
    match answer {
        Ok(mut observation) => {
            observation.sure = card.sure;
            commands.push(Command::See(observation));
            Taken::Answered
        }
        Err(why) => {
            card.refused = Some(why);
            Taken::Waiting
        }
    }
}

/// Draws the open card.
pub fn card_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>) {
    let Some(mut card) = view.card.clone() else { return };
    let Some(feature) = doc.key.feature(&card.feature) else {
        view.card = None;
        return;
    };
    let c = theme::colours(ui);
    let mut taken = Taken::Waiting;
    let mut go_to: Option<FeatureId> = None;
    let width = ui.available_width() - 20.0;
    let bottom = ui.max_rect().bottom();
    Frame::new()
        .fill(c.paper)
        .stroke(Stroke::new(2.0, c.glow))
        .corner_radius(CornerRadius::same(theme::ROUND))
        .inner_margin(Margin::same(8))
        .show(ui, |ui| {
            ui.set_width(width);
            ui.spacing_mut().item_spacing.y = 4.0;
            row_from_right(ui, |ui| {
                if icon_button(ui, Icon::Close, say!("Close the card")).clicked() {
                    taken = Taken::Answered;
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.add_space(2.0);
                    ui.add(egui::Label::new(RichText::new(capital(&feature.shown_name())).heading()).truncate());
                });
            });
            if !feature.look.is_empty() {
                ui.add(egui::Label::new(RichText::new(capital(&feature.look)).size(14.0).color(c.ink_soft)).wrap());
            }
            let look = doc.standing.next_looks.iter().find(|look| look.feature == feature.id);
            if let Some(words) = look.map(splits_in_words).filter(|words| !words.is_empty()) {
                ui.label(RichText::new(words).size(14.0).color(c.glow_text));
            }
            siblings_ui(ui, doc, feature, &mut go_to);
            field_ui(ui, doc, feature, &mut card, &mut taken, commands);
            if matches!(feature.kind, FeatureKind::Mark) {
                mark_card::looks_ui(ui, doc, &mut card);
                let said = said(doc, feature);
                mark_card::marks_ui(ui, doc, &mut card, &mut view.marks, &mut taken, commands, (bottom, &said));
            } else {
                values_ui(ui, doc, feature, &mut card, &mut taken, commands, bottom);
            }
            foot_ui(ui, feature, &mut card, &mut taken, commands, doc);
        });
    if ui.current_pass_index() != 0 {
        return;
    }
    view.card = match (go_to.and_then(|id| doc.key.feature(&id)), taken) {
        (Some(other), _) => Some(Card::new(doc, other)),
        (None, Taken::Answered) => None,
        (None, Taken::Waiting) => Some(card),
    };
}

/// 'splits the 11 left 6 / 5'
pub fn splits_in_words(look: &crate::identify::NextLook) -> String {
    let counts: Vec<String> = look.splits.iter().filter(|split| split.forms > 0).map(|split| split.forms.to_string()).collect();
    match counts.len() {
        0 => String::new(),
        1..=6 => say!("splits {counts}", counts = counts.join(" / ")),
        n => say!("splits {n} ways", n),
    }
}

/// Other features of the same part, one click away.
fn siblings_ui(ui: &mut Ui, doc: &Document, feature: &Feature, go_to: &mut Option<FeatureId>) {
    let others: Vec<&Feature> = doc.key.features.iter().filter(|other| other.part == feature.part && other.view == feature.view).collect();
    if others.len() < 2 {
        return;
    }
    let at = others.iter().position(|other| other.id == feature.id).unwrap_or(0);
    let step = |by: usize| others.get((at + by) % others.len()).map(|other| other.id.clone());
    row_from_right(ui, |ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        if icon_button(ui, Icon::Right, say!("The feature after")).clicked() {
            *go_to = step(1);
        }
        if icon_button(ui, Icon::Left, say!("The feature before")).clicked() {
            *go_to = step(others.len() - 1);
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            let words = say!(
                "{at} of {others}: {part}, {view}",
                at = at + 1,
                others = others.len(),
                part = feature.part.word(),
                view = feature.view.words()
            );
            ui.add(egui::Label::new(RichText::new(words).size(13.5).color(theme::colours(ui).ink_soft)).truncate());
        });
    });
}

fn field_ui(ui: &mut Ui, doc: &Document, feature: &Feature, card: &mut Card, taken: &mut Taken, commands: &mut Vec<Command>) {
    let (hint, name) = match &feature.kind {
        FeatureKind::Measure(measure) => {
            let unit = measure.unit.sign();
            (say!("for example 92 ± 2 {unit}", unit), say!("{feature}, measured in {unit}", feature = feature.shown_name(), unit))
        }
        FeatureKind::Mark => (say!("what can be read; ? for a letter, … for any").to_owned(), say!("wording of the mark").to_owned()),
        _ if doc.key.values_of(feature).len() > 6 => {
            (say!("type to find").to_owned(), say!("find a value of {feature}", feature = feature.shown_name()))
        }
        _ => return,
    };
    let id = field_id();
    let edit = TextEdit::singleline(&mut card.typed)
        .id(id)
        .hint_text(hint)
        .desired_width(f32::INFINITY)
        .margin(Margin::symmetric(8, 7))
        .min_size(vec2(0.0, TARGET));
    let response = ui.add(edit);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, name.clone()));
    if std::mem::take(&mut card.focus) {
        response.request_focus();
    }
    if response.changed() {
        card.refused = None;
        card.page = 0;
    }
    if response.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter)) {
        *taken = confirm(doc, feature, card, commands);
        if *taken == Taken::Waiting {
            card.focus = true;
        }
    }
    if let Some(refused) = &card.refused {
        ui.label(RichText::new(capital(refused)).color(theme::colours(ui).alarm));
    }
}

/// Id of the card's field.
pub fn field_id() -> Id {
    widgets::id("card field")
}

/// The values that were answered.
fn said(doc: &Document, feature: &Feature) -> Vec<ValueId> {
    match doc.seen(&feature.id).map(|observation| &observation.seen) {
        Some(Seen::Values(said)) => said.clone(),
        _ => Vec::new(),
    }
}

fn values_ui(ui: &mut Ui, doc: &Document, feature: &Feature, card: &mut Card, taken: &mut Taken, commands: &mut Vec<Command>, bottom: f32) {
    let values = shown_values(doc, feature, card);
    if values.is_empty() {
        return;
    }
    let pages = values.len().div_ceil(PAGE);
    card.page = card.page.min(pages - 1);
    let said = said(doc, feature);
    let foot = if pages > 1 { 2.0 * TARGET + 22.0 } else { TARGET + 18.0 };
    let room = (bottom - ui.cursor().top() - foot).max(3.0 * TARGET);
    let height = (room / values.len().min(PAGE) as f32 - 3.0).clamp(TARGET, TARGET + 6.0);
    ScrollArea::vertical().id_salt("values").max_height(room).auto_shrink([false, true]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        for (digit, (id, name)) in values.iter().skip(card.page * PAGE).take(PAGE).enumerate() {
            let on = card.either.contains(id) || (card.either.is_empty() && said.contains(id));
            let response = value_row(ui, doc, feature, (id, name), (digit + 1, height), on);
            if response.clicked() {
                if ui.input(|input| input.modifiers.command || input.modifiers.shift) {
                    toggle(card, id);
                } else {
                    *taken = choose(card, id, commands);
                }
            }
        }
    });
    paging(ui, &mut card.page, pages);
}

/// One value: its digit, its drawing, its name.
fn value_row(
    ui: &mut Ui,
    doc: &Document,
    feature: &Feature,
    (id, name): (&ValueId, &str),
    (digit, height): (usize, f32),
    on: bool,
) -> Response {
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, name));
    if ui.is_rect_visible(rect) {
        let lit = response.hovered() || response.has_focus();
        let fill = if on || lit { c.glow_wash } else { c.paper_warm };
        let edge = if on || response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::NONE };
        ui.painter().rect(rect, CornerRadius::same(6), fill, edge, egui::StrokeKind::Inside);
        let y = rect.center().y;
        ui.painter().text(
            pos2(rect.left() + 14.0, y),
            egui::Align2::CENTER_CENTER,
            digit.to_string(),
            FontId::new(14.0, egui::FontFamily::Proportional),
            c.ink_soft,
        );
        let figure = Rect::from_center_size(pos2(rect.left() + 46.0, y), vec2(38.0, 30.0));
        glyph::value_glyph(ui.painter(), figure, &doc.key, feature, id, c);
        let font = FontId::new(15.5, egui::FontFamily::Proportional);
        let galley = ui.painter().layout(name.to_owned(), font, c.ink, rect.width() - 80.0);
        let galley = if galley.size().y > rect.height() {
            ui.painter().layout(name.to_owned(), FontId::new(12.5, egui::FontFamily::Proportional), c.ink, rect.width() - 80.0)
        } else {
            galley
        };
        ui.painter().galley(pos2(rect.left() + 74.0, y - galley.size().y / 2.0), galley, c.ink);
    }
    let note = match &feature.kind {
        FeatureKind::Choice(values) => values.iter().find(|value| value.id == *id).map(|value| value.note.clone()).unwrap_or_default(),
        _ => String::new(),
    };
    if note.is_empty() { response } else { response.on_hover_text(note) }
}

fn foot_ui(ui: &mut Ui, feature: &Feature, card: &mut Card, taken: &mut Taken, commands: &mut Vec<Command>, doc: &Document) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::splat(4.0);
        ui.spacing_mut().button_padding.x = 9.0;
        if chip(ui, say!("0 can't tell"), false).clicked() {
            commands.push(Command::See(Observation { feature: feature.id.clone(), seen: Seen::NotSure, sure: Sure::Sure }));
            *taken = Taken::Answered;
        }
        if feature.part != crate::key::Part::Body
            && chip(ui, say!("none"), false).on_hover_text(say!("This piece never had a {part}", part = feature.part.word())).clicked()
        {
            commands.push(Command::See(Observation { feature: feature.id.clone(), seen: Seen::NotThere, sure: card.sure }));
            *taken = Taken::Answered;
        }
        if chip(ui, say!("probably"), card.sure == Sure::Probably)
            .on_hover_text(say!(
                "Not quite sure: the answer counts for less (key: ~). For 'either this or that' hold Shift while choosing, then press Enter"
            ))
            .clicked()
        {
            card.sure = if card.sure == Sure::Sure { Sure::Probably } else { Sure::Sure };
        }
        let ready = !card.either.is_empty() || !card.typed.trim().is_empty() || !card.looks.is_empty();
        if ready {
            let words =
                if card.either.is_empty() { say!("take it").to_owned() } else { say!("take {either} of them", either = card.either.len()) };
            if chip(ui, &words, true).clicked() {
                *taken = confirm(doc, feature, card, commands);
            }
        }
    });
}
