//! The tells, surest first: how surely, what each form has, and a click to answer it. Below them what is the same and what is not recorded.

use super::{Compared, TellApartView, line};
use crate::desk::bench::slip::in_words;
use crate::desk::board::glyph;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, Colours, TARGET};
use crate::desk::widgets::{self, button, heading, remark};
use crate::identify::{Observation, Seen, Sure, Tell};
use crate::key::{Feature, FeatureKind, FormId, capital};
use crate::say;
use egui::{
    Align, Align2, Button, CornerRadius, FontId, Frame, Label, Layout, Margin, Rect, Response, RichText, Role, Sense, Stroke, StrokeKind,
    Ui, Vec2, WidgetInfo, pos2, vec2,
};

/// The forms, by their places in the legend, that have one value.
pub fn groups(tell: &Tell) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (form, group) in tell.groups.iter().enumerate() {
        let Some(group) = *group else { continue };
        if groups.len() <= group {
            groups.resize(group + 1, Vec::new());
        }
        if let Some(members) = groups.get_mut(group) {
            members.push(form);
        }
    }
    groups
}

/// The command that answers a tell with the value of a group of forms.
pub fn answer(doc: &Document, tell: &Tell, group: &[usize]) -> Option<Command> {
    doc.key.feature(&tell.feature)?;
    let seen = tell.answers.get(*group.first()?)?.clone()?;
    Some(Command::See(Observation { feature: tell.feature.clone(), seen, sure: Sure::Sure }))
}

/// How surely an honest reading tells the values apart, 0 for a guess to 1. Of the values, not of the forms: where two of three forms share
/// a value, even a perfect reading leaves these two.
fn how_surely(tell: &Tell) -> f64 {
    let n = tell.groups.iter().flatten().count() as f64;
    let values = groups(tell).len() as f64;
    if values < 2.0 { 0.0 } else { ((tell.surely * n - 1.0) / (values - 1.0)).clamp(0.0, 1.0) }
}

fn surely_in_words(surely: f64) -> &'static str {
    match surely {
        s if s >= 0.95 => say!("sure"),
        s if s >= 0.8 => say!("nearly sure"),
        s if s >= 0.55 => say!("likely"),
        s if s >= 0.25 => say!("a hint"),
        _ => say!("a faint hint"),
    }
}

fn effort_in_words(effort: f64) -> &'static str {
    match effort {
        e if e <= 1.25 => say!("a glance"),
        e if e <= 2.0 => say!("a closer look"),
        _ => say!("some work"),
    }
}

/// Draws the tells and what stands under them.
pub fn tells_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView, compared: &Compared, commands: &mut Vec<Command>) {
    let tells = &compared.tells;
    ui.horizontal_wrapped(|ui| {
        heading(
            ui,
            match tells.tells.len() {
                0 => say!("No tell is recorded").to_owned(),
                1 => say!("1 tell").to_owned(),
                n => say!("{n} tells, surest first", n),
            },
        );
    });
    if tells.tells.is_empty() {
        ui.label(say!("Nothing in the key tells these apart. Record below what one of them has and another has not."));
    } else {
        remark(ui, say!("Click what your piece has; ↑ ↓ and a digit do the same."));
    }
    for (at, tell) in tells.tells.iter().enumerate() {
        let Some(feature) = doc.key.feature(&tell.feature) else { continue };
        tell_ui(ui, doc, view, compared, commands, (at, tell, feature));
    }
    view.show_at = false;
    ui.add_space(4.0);
    missing_ui(ui, doc, compared);
    same_ui(ui, view, compared);
    gaps_ui(ui, doc, compared, commands);
}

fn tell_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut TellApartView,
    compared: &Compared,
    commands: &mut Vec<Command>,
    (at, tell, feature): (usize, &Tell, &Feature),
) {
    let c = theme::colours(ui);
    let on = view.at == at;
    let frame = Frame::new()
        .fill(c.paper)
        .stroke(if on { Stroke::new(1.5, c.glow) } else { Stroke::new(1.0, c.edge) })
        .corner_radius(CornerRadius::same(8))
        .inner_margin(Margin::symmetric(10, 6));
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing = vec2(6.0, 5.0);
        let surely = how_surely(tell);
        ui.horizontal(|ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                bar(ui, surely, c);
                remark(ui, surely_in_words(surely));
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.add(Label::new(RichText::new(capital(&tell.name)).family(theme::bold())).truncate());
                });
            });
        });
        ui.add(Label::new(RichText::new(notes(tell, feature)).size(14.0).color(c.ink_soft)).wrap());
        let groups = groups(tell);
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = Vec2::splat(6.0);
            for (i, group) in groups.iter().enumerate() {
                let digit = on.then_some(i + 1);
                value_ui(ui, doc, view, compared, commands, (tell, feature, group, digit));
            }
            for (i, group) in tell.groups.iter().enumerate() {
                if group.is_none()
                    && let Some(form) = compared.tells.forms.get(i)
                {
                    unrecorded_ui(ui, doc, commands, i, form, tell);
                }
            }
            if matches!(feature.kind, FeatureKind::Measure(_)) {
                let response = button(ui, Icon::Rule, say!("Measure"));
                response
                    .widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("Type the {feature} you measure", feature = tell.name)));
                if response.on_hover_text(say!("Type what you measure, on the Bench")).clicked() {
                    commands.push(Command::Ask(tell.feature.clone()));
                }
            }
        });
    });
    if on && view.show_at {
        shown.response.scroll_to_me(None);
    }
}

/// 'from above, a glance, only with its lid'
fn notes(tell: &Tell, feature: &Feature) -> String {
    let mut notes = vec![tell.view.words().to_owned(), effort_in_words(tell.effort).to_owned()];
    if tell.lid_on_only {
        notes.push(say!("only with its lid").to_owned());
    }
    let recorded = tell.groups.iter().flatten().count();
    let groups = groups(tell);
    if groups.len() < recorded {
        let sizes: Vec<String> = groups.iter().map(|group| group.len().to_string()).collect();
        notes.push(say!("splits them {sizes}", sizes = sizes.join(" / ")));
    }
    let notes = notes.join(" · ");
    if feature.look.is_empty() { capital(&notes) } else { format!("{}. {}", capital(&notes), capital(&feature.look)) }
}

/// How surely, as a bar.
fn bar(ui: &mut Ui, surely: f64, c: &Colours) {
    let (rect, response) = ui.allocate_exact_size(vec2(64.0, 10.0), Sense::hover());
    ui.painter().rect_filled(rect, CornerRadius::same(5), c.edge);
    let width = (rect.width() * surely as f32).max(4.0);
    ui.painter().rect_filled(Rect::from_min_size(rect.min, vec2(width, rect.height())), CornerRadius::same(5), c.moss);
    response.on_hover_text(say!("{surely:.0} of the way from a guess to certain, for one honest look", surely = surely * 100.0));
}

/// Names of forms by their places in the legend.
fn names(doc: &Document, compared: &Compared, group: &[usize]) -> String {
    let names: Vec<String> =
        group.iter().filter_map(|&i| doc.form(compared.tells.forms.get(i)?)).map(|form| doc.key.full_name(form)).collect();
    names.join("; ")
}

/// True where the piece in hand was said to have this.
fn is_answered(doc: &Document, tell: &Tell, group: &[usize]) -> bool {
    let Some(first) = group.first() else { return false };
    let Some(observation) = doc.seen(&tell.feature) else { return false };
    match (&observation.seen, tell.answers.get(*first)) {
        (Seen::Values(seen), Some(Some(Seen::Values(answer)))) => seen.iter().any(|value| answer.contains(value)),
        (seen, Some(Some(answer))) => seen == answer,
        _ => false,
    }
}

const GLYPH: f32 = 30.0;
const SAMPLE: f32 = 22.0;

fn value_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut TellApartView,
    compared: &Compared,
    commands: &mut Vec<Command>,
    (tell, feature, group, digit): (&Tell, &Feature, &[usize], Option<usize>),
) {
    let c = theme::colours(ui);
    let Some(&first) = group.first() else { return };
    let words = tell.values.get(first).cloned().unwrap_or_default();
    let drawn: Vec<_> = tell.value_ids.get(first).into_iter().flatten().filter(|_| has_glyph(feature)).take(2).collect();
    let samples = group.len().div_ceil(2) as f32 * (SAMPLE + 4.0);
    let digit_width = if digit.is_some() { 14.0 } else { 0.0 };
    let fixed = 10.0 + digit_width + samples + 4.0 + drawn.len() as f32 * (GLYPH + 4.0) + 10.0;
    let room = ui.max_rect().width() - fixed - 2.0;
    let galley = ui.painter().layout(words.clone(), FontId::proportional(15.5), c.ink, room.max(60.0));
    let size = vec2(fixed + galley.size().x, (galley.size().y + 12.0).max(TARGET + 4.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let on = is_answered(doc, tell, group);
    let label = say!("{feature}: {words}, as {forms}", feature = tell.name, words, forms = names(doc, compared, group));
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, label.clone()));
    let lit = response.hovered() || response.has_focus();
    if response.hovered() && group.len() == 1 {
        view.lit = Some(first);
    }
    if ui.is_rect_visible(rect) {
        let fill = if on || lit { c.glow_wash } else { c.paper_warm };
        let edge = if on || response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
        let painter = ui.painter();
        painter.rect(rect, CornerRadius::same(7), fill, edge, StrokeKind::Inside);
        let mut x = rect.left() + 10.0;
        if let Some(digit) = digit {
            painter.text(pos2(x, rect.center().y), Align2::LEFT_CENTER, digit.to_string(), FontId::proportional(14.0), c.ink_soft);
            x += digit_width;
        }
        for (i, &form) in group.iter().enumerate() {
            // Two lines of samples, so that a value of many forms stays short.
            let left = x + (i / 2) as f32 * (SAMPLE + 4.0);
            let off = if group.len() == 1 { 0.0 } else { (i % 2) as f32 * 12.0 - 6.0 };
            let y = rect.center().y + off;
            line::sample(painter, Rect::from_min_max(pos2(left, y - 2.0), pos2(left + SAMPLE, y + 2.0)), form, c);
        }
        x += samples + 4.0;
        for id in &drawn {
            let square = Rect::from_center_size(pos2(x + GLYPH / 2.0, rect.center().y), Vec2::splat(GLYPH));
            glyph::value_glyph(painter, square, &doc.key, feature, id, c);
            x += GLYPH + 4.0;
        }
        painter.galley(pos2(x, rect.center().y - galley.size().y / 2.0), galley, c.ink);
    }
    let command = answer(doc, tell, group);
    let hint = match &command {
        Some(Command::See(observation)) => {
            say!(
                "{forms}\nAnswers “{feature}: {words}” on the Bench",
                forms = capital(&names(doc, compared, group)),
                feature = tell.name,
                words = in_words(doc, observation)
            )
        }
        _ => capital(&names(doc, compared, group)),
    };
    if response.on_hover_text(hint).clicked()
        && let Some(command) = command
    {
        commands.push(command);
    }
}

/// True where the values of a feature have drawings.
fn has_glyph(feature: &Feature) -> bool {
    match &feature.kind {
        FeatureKind::Choice(values) => values.iter().any(|value| value.lab.is_some() || !value.drawing.is_none()),
        FeatureKind::Measure(_) => false,
        FeatureKind::Glaze | FeatureKind::Decoration | FeatureKind::Mark => true,
    }
}

/// A form of which this is not recorded; a click opens its sheet.
fn unrecorded_ui(ui: &mut Ui, doc: &Document, commands: &mut Vec<Command>, at: usize, form: &FormId, tell: &Tell) {
    let Some(form) = doc.form(form) else { return };
    let c = theme::colours(ui);
    let galley = ui.painter().layout_no_wrap(say!("not recorded").to_owned(), FontId::proportional(14.5), c.ink_soft);
    let (rect, response) = ui.allocate_exact_size(vec2(SAMPLE + galley.size().x + 26.0, TARGET + 4.0), Sense::click());
    let name = doc.key.full_name(form);
    response.widget_info(|| {
        WidgetInfo::labeled(Role::Button, true, say!("{feature} not recorded of {name}: open its sheet", feature = tell.name, name))
    });
    frame_of(ui, rect, &response, c);
    line::sample(ui.painter(), Rect::from_min_size(pos2(rect.left() + 8.0, rect.center().y), vec2(SAMPLE, 0.0)), at, c);
    ui.painter().galley(pos2(rect.left() + SAMPLE + 16.0, rect.center().y - galley.size().y / 2.0), galley, c.ink_soft);
    if response.on_hover_text(say!("Open the sheet of {name}", name)).clicked() {
        commands.push(Command::OpenForm(form.id.clone()));
    }
}

fn frame_of(ui: &Ui, rect: Rect, response: &Response, c: &Colours) {
    let lit = response.hovered() || response.has_focus();
    let fill = if lit { c.glow_wash } else { egui::Color32::TRANSPARENT };
    let edge = if response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
    ui.painter().rect(rect, CornerRadius::same(7), fill, edge, StrokeKind::Inside);
}

fn missing_ui(ui: &mut Ui, doc: &Document, compared: &Compared) {
    if compared.tells.missing.is_empty() {
        return;
    }
    let c = theme::colours(ui);
    let names: Vec<String> = compared.tells.missing.iter().filter_map(|id| doc.key.feature(id)).map(Feature::shown_name).collect();
    let words = say!("Can't be seen, the part is gone: {names}.", names = names.join(", "));
    ui.add(Label::new(RichText::new(words).color(c.glow_text)).wrap());
}

fn same_ui(ui: &mut Ui, view: &mut TellApartView, compared: &Compared) {
    if compared.same.is_empty() {
        return;
    }
    let c = theme::colours(ui);
    let icon = if view.same_open { Icon::Up } else { Icon::Down };
    let words = say!("The same in all: {n}", n = compared.same.len());
    let response = ui.add(
        Button::image_and_text(icon.image(16.0, c.ink_soft), RichText::new(&words).color(c.ink))
            .frame_when_inactive(false)
            .min_size(vec2(0.0, TARGET)),
    );
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, view.same_open, words.clone()));
    if response.clicked() {
        view.same_open = !view.same_open;
    }
    if view.same_open {
        ui.add(Label::new(RichText::new(compared.same.join(" · ")).color(c.ink_soft)).wrap());
    }
}

fn gaps_ui(ui: &mut Ui, doc: &Document, compared: &Compared, commands: &mut Vec<Command>) {
    if compared.gaps.is_empty() {
        return;
    }
    let c = theme::colours(ui);
    widgets::strong(ui, say!("Not recorded"));
    for (id, open) in &compared.gaps {
        let Some(form) = doc.form(id) else { continue };
        let name = doc.key.full_name(form);
        let words = format!("{}: {}", capital(&name), open.join(", "));
        let response = ui.add(
            Button::image_and_text(Icon::KeyBook.image(16.0, c.ink_soft), RichText::new(&words).color(c.ink_soft))
                .wrap()
                .frame_when_inactive(false)
                .min_size(vec2(0.0, TARGET)),
        );
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("{words}; open its sheet", words)));
        if response.on_hover_text(say!("Open the sheet of {name}", name)).clicked() {
            commands.push(Command::OpenForm(id.clone()));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::document::KeyPlace;

    fn demo() -> Document {
        Document::new(crate::key::builtin::demo().key, KeyPlace::default())
    }

    fn lid_outline(doc: &Document, forms: &[&str]) -> Option<Tell> {
        let forms: Vec<FormId> = forms.iter().map(|form| FormId::new(*form)).collect();
        doc.index.tells(&forms, None).tells.into_iter().find(|tell| tell.feature.as_str() == "lid-outline")
    }

    #[test]
    fn a_value_shared_by_two_of_three_still_counts_as_surely_seen() {
        let doc = demo();
        let tell = lid_outline(&doc, &["quoin-covered-sugar", "quoin-casserole-one", "stannard-casserole-one"]);
        let tell = tell.as_ref();
        assert_eq!(tell.map(groups), Some(vec![vec![0, 2], vec![1]]));
        // Slip rate 0.01 of an outline: a right reading 99 times in 100, a wrong one spread over the other values.
        let surely = tell.map_or(0.0, how_surely);
        assert!((0.97..=1.0).contains(&surely), "{surely}");
        assert_eq!(surely_in_words(surely), "sure");
    }

    #[test]
    fn an_answer_is_the_value_of_the_form_that_was_clicked() {
        let doc = demo();
        let answered = lid_outline(&doc, &["quoin-covered-sugar", "quoin-casserole-one"]).and_then(|tell| answer(&doc, &tell, &[1]));
        let seen = match answered {
            Some(Command::See(observation)) => Some(observation.seen),
            _ => None,
        };
        assert_eq!(seen, Some(Seen::Values(vec!["oval".into()])));
    }
}
