//! What a list of finds is narrowed by: chips with how many finds each would leave, and menus for names.

use super::listing::FindList;
use crate::daybook::record::YearSpan;
use crate::daybook::{Facet, Facets, Filter, FormChoice, Status};
use crate::desk::command::Command;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::chip;
use crate::key::capital;
use crate::say;
use crate::words::within;
use egui::{Button, Popup, PopupCloseBehavior, RichText, ScrollArea, TextEdit, Ui, vec2};
use std::sync::Arc;

/// A menu of names is this high at most, in points.
const MENU: f32 = 320.0;

/// Draws the chips.
pub(super) fn chips_ui(ui: &mut Ui, list: &mut FindList, years: &mut String, commands: &mut Vec<Command>) {
    let facets = Arc::clone(&list.facets);
    let before = list.question.filter.clone();
    let filter = &mut list.question.filter;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 5.0);
        let switch =
            |ui: &mut Ui, words: &str, finds: u64, on: bool| (finds > 0 || on) && chip(ui, &format!("{words} {finds}"), on).clicked();
        if switch(ui, say!("Doubtful"), facets.doubtful, filter.doubtful) {
            filter.doubtful = !filter.doubtful;
        }
        let no_form = filter.form == Some(FormChoice::None);
        if switch(ui, say!("No form"), facets.no_form, no_form) {
            filter.form = (!no_form).then_some(FormChoice::None);
        }
        let photographed = filter.photographed == Some(true);
        if switch(ui, say!("With photograph"), facets.photographed, photographed) {
            filter.photographed = (!photographed).then_some(true);
        }
        for (status, finds) in facets.statuses.iter().filter(|(status, _)| *status != Status::Undecided) {
            let on = filter.status == Some(*status);
            if switch(ui, &capital(status.words()), *finds, on) {
                filter.status = (!on).then_some(*status);
            }
        }
        menus_ui(ui, &facets, filter);
        years_ui(ui, filter, years);
        if filter.narrowed() > 0
            && chip(ui, say!("Show all"), false).on_hover_text(say!("Take every filter away; the search stays")).clicked()
        {
            *filter = Filter { search: std::mem::take(&mut filter.search), ..Filter::default() };
            years.clear();
        }
    });
    if list.question.filter != before {
        commands.push(Command::ListFinds);
    }
}

fn menus_ui(ui: &mut Ui, facets: &Facets, filter: &mut Filter) {
    let form_name = match &filter.form {
        Some(FormChoice::Is(id)) => {
            Some(facets.forms.iter().find(|facet| facet.id == id.as_str()).map_or_else(|| id.to_string(), |facet| facet.name.clone()))
        }
        _ => None,
    };
    let named: Vec<Facet> = facets.forms.iter().filter(|facet| !facet.id.is_empty()).cloned().collect();
    if let Some(chosen) = menu_ui(ui, say!("Form"), &named, form_name.as_deref()) {
        filter.form = chosen.one().map(|facet| FormChoice::Is(facet.id.as_str().into()));
    }
    let grade =
        filter.grade.as_ref().map(|id| facets.grades.iter().find(|facet| facet.id == *id).map_or(id.as_str(), |facet| facet.name.as_str()));
    // Where nobody looked any of them over there is nothing to choose.
    if let Some(chosen) = menu_ui(ui, say!("Condition"), &facets.grades, grade) {
        filter.grade = chosen.one().map(|facet| facet.id);
    }
    for (words, choices, now) in [
        (say!("Line"), &facets.lines, &mut filter.line),
        (say!("Glaze"), &facets.glazes, &mut filter.glaze),
        (say!("Mark"), &facets.marks, &mut filter.mark),
        (say!("Box"), &facets.boxes, &mut filter.box_label),
    ] {
        if let Some(chosen) = menu_ui(ui, words, choices, now.as_deref()) {
            *now = chosen.one().map(|facet| facet.name);
        }
    }
}

/// What was chosen of a menu: one of its names, or none of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Chosen<T> {
    /// None of them.
    None,
    /// That one.
    One(T),
}

impl<T> Chosen<T> {
    /// The one, where it is one.
    pub(super) fn one(self) -> Option<T> {
        match self {
            Self::None => None,
            Self::One(one) => Some(one),
        }
    }
}

/// A chip that opens a list of names. Gives what was chosen: a name, or none to take it away again.
fn menu_ui(ui: &mut Ui, words: &str, choices: &[Facet], now: Option<&str>) -> Option<Chosen<Facet>> {
    if now.is_none() && choices.iter().all(|facet| facet.name.is_empty()) {
        return None;
    }
    let shown = |name: &str| match name {
        "" if words == say!("Condition") => say!("not looked over").to_owned(),
        "" => say!("no {what}", what = within(words)),
        name => name.to_owned(),
    };
    let label = now.map_or_else(|| format!("{words} …"), |now| format!("{words}: {}", shown(now)));
    let response = chip(ui, &label, now.is_some());
    let mut chosen = None;
    Popup::menu(&response).close_behavior(PopupCloseBehavior::CloseOnClick).show(|ui| {
        ui.set_min_width(220.0);
        if now.is_some() && row(ui, &say!("Any {what}", what = within(words)), false) {
            chosen = Some(Chosen::None);
        }
        ScrollArea::vertical().max_height(MENU).show_rows(ui, TARGET, choices.len(), |ui, range| {
            for facet in choices.get(range).unwrap_or_default() {
                let on = now == Some(facet.name.as_str());
                if row(ui, &format!("{} · {}", capital(&shown(&facet.name)), facet.finds), on) {
                    chosen = Some(if on { Chosen::None } else { Chosen::One(facet.clone()) });
                }
            }
        });
    });
    chosen
}

/// A row of a menu.
pub(super) fn row(ui: &mut Ui, words: &str, on: bool) -> bool {
    let c = theme::colours(ui);
    let text = if on { RichText::new(words).family(theme::bold()) } else { RichText::new(words) };
    ui.add(Button::new(text.color(c.ink)).frame_when_inactive(on).min_size(vec2(ui.available_width(), TARGET))).clicked()
}

/// The years in which a find may have been made: '1955', '1951-1960', '1951-', '-1960'.
fn years_ui(ui: &mut Ui, filter: &mut Filter, typed: &mut String) {
    let c = theme::colours(ui);
    let bad = !typed.trim().is_empty() && years_of(typed).is_none();
    let field = TextEdit::singleline(typed)
        .hint_text(say!("Made, 1951-60"))
        .desired_width(124.0)
        .margin(egui::Margin::symmetric(8, 7))
        .min_size(vec2(0.0, TARGET))
        .text_color(if bad { c.alarm } else { c.ink });
    let response = ui.add(field);
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, say!("Made in these years")));
    if response.on_hover_text(say!("Finds that may have been made then, by their own dates: 1955, 1951-60, 1951-, -1960")).changed() {
        filter.made = years_of(typed);
    }
}

/// Reads years as people write them; the second may be written short. None where it is no year.
pub(super) fn years_of(text: &str) -> Option<YearSpan> {
    let text = text.trim().replace(['–', '—'], "-");
    let year = |part: &str| part.trim().parse::<i16>().ok().filter(|year| (1000..=2999).contains(year));
    let span = match text.split_once('-') {
        None => {
            let year = year(&text)?;
            YearSpan { from: Some(year), to: Some(year) }
        }
        Some((from, "")) => YearSpan { from: Some(year(from)?), to: None },
        Some(("", to)) => YearSpan { from: None, to: Some(year(to)?) },
        Some((from, to)) => {
            let from = year(from)?;
            let short = to.trim();
            let to = match (short.len(), short.parse::<i16>()) {
                (1, Ok(last)) => from / 10 * 10 + last,
                (2, Ok(last)) => from / 100 * 100 + last,
                _ => year(short)?,
            };
            YearSpan { from: Some(from), to: Some(to) }
        }
    };
    (span.from.unwrap_or(i16::MIN) <= span.to.unwrap_or(i16::MAX)).then_some(span)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn years_are_read_as_people_write_them() {
        let span = |from: i16, to: i16| Some(YearSpan { from: Some(from), to: Some(to) });
        assert_eq!(years_of("1955"), span(1955, 1955));
        assert_eq!(years_of(" 1951-60 "), span(1951, 1960));
        assert_eq!(years_of("1951–8"), span(1951, 1958));
        assert_eq!(years_of("1951-1960"), span(1951, 1960));
        assert_eq!(years_of("1951-"), Some(YearSpan { from: Some(1951), to: None }));
        assert_eq!(years_of("-1960"), Some(YearSpan { from: None, to: Some(1960) }));
        for bad in ["", "195", "51", "1960-1951", "1951-x", "fifties", "-", "1951--60"] {
            assert_eq!(years_of(bad), None, "{bad}");
        }
    }
}
