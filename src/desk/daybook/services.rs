//! Services: what belongs to each, drawn, with what is there, what is missing and what is over; and the list of what is wanted.

use super::pages::Wish;
use crate::daybook::census::{Service, Services, Set, Tally, Want, Wanted};
use crate::desk::board::paint::{self, Placing};
use crate::desk::board::vessel::Drawings;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::kept::State;
use crate::desk::offered::Offered;
use crate::desk::printing::Order;
use crate::desk::theme::{self, GAP, TARGET};
use crate::desk::widgets::{self, button, chip, heading, icon_button, remark, strong};
use crate::key::{FormId, GlazeId, capital};
use crate::sheets::wants::wants_text;
use crate::{say, say_count};
use egui::{
    Align2, Button, FontId, Margin, Rect, RichText, Role, ScrollArea, Sense, Stroke, StrokeKind, TextEdit, Ui, WidgetInfo, pos2, vec2,
};
use std::sync::Arc;

/// Width of the names of the services, and the size of what is wanted of one form, in points.
const NAMES: f32 = 220.0;
const CARD: egui::Vec2 = vec2(176.0, 172.0);
/// Forms that are offered for a typed name.
const OFFERED: usize = 5;

/// The page of services.
#[derive(Debug, Default)]
pub struct ServicesPage {
    /// True while it is looked at.
    pub is_open: bool,
    /// How many finds there are of each form and glaze.
    tallies: Option<Result<Vec<Tally>, String>>,
    /// The service that is looked at.
    at: usize,
    /// Its name, while it is typed, and of which one.
    name: Option<(usize, String)>,
    /// The name of a form to be wanted.
    typed: String,
    offered: Offered,
    /// What there is of a service, of which one, for which services; until finds are counted anew.
    held: Option<(Arc<Services>, usize, Arc<[Wanted]>)>,
    drawn: Drawings,
}

impl ServicesPage {
    /// Takes in how many finds there are.
    pub(super) fn take_in(&mut self, tallies: Result<Vec<Tally>, String>) {
        self.tallies = Some(tallies);
        self.held = None;
    }
}

/// A step that changes the services.
fn change(name: impl Into<String>, services: &Services, change: impl FnOnce(&mut Services)) -> Command {
    let mut after = services.clone();
    change(&mut after);
    Command::Page(Wish::ChangeServices(name.into(), Box::new(after)))
}

/// A step that changes one service.
fn change_one(name: impl Into<String>, services: &Services, at: usize, how: impl FnOnce(&mut Set)) -> Command {
    change(name, services, |after| {
        if let Some(set) = after.sets.get_mut(at) {
            how(set);
        }
    })
}

/// Draws the page.
pub(super) fn services_ui(ui: &mut Ui, doc: &Document, page: &mut ServicesPage, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let services = Arc::clone(&doc.services.now);
    ui.horizontal_wrapped(|ui| {
        heading(ui, say!("Services and wants"));
        if button(ui, Icon::Close, say!("Back to the finds")).clicked() {
            page.is_open = false;
        }
        if doc.services.state == State::Ready && button(ui, Icon::Add, say!("New service")).clicked() {
            let name = services.free_name();
            commands.push(change(say!("make {name}", name), &services, |after| {
                after.sets.push(Set { service: Service { name, wants: Vec::new() }, places: 6 });
            }));
            page.at = services.sets.len();
        }
    });
    match &doc.services.state {
        State::Ready => {}
        State::NotRead | State::Reading => {
            remark(ui, say!("Reading the services …"));
            return;
        }
        State::Broken(why) => {
            ui.colored_label(c.alarm, say!("The services could not be read: {why}", why));
            return;
        }
    }
    if services.sets.is_empty() {
        strong(ui, say!("No service yet"));
        remark(
            ui,
            say!(
                "A service is a list of forms and glazes for so many places. Its finds are counted, and what is missing becomes a list to take along."
            ),
        );
        return;
    }
    page.at = page.at.min(services.sets.len() - 1);
    let all = ui.available_rect_before_wrap();
    let left = Rect::from_min_size(all.min, vec2(NAMES.min(all.width() * 0.3), all.height()));
    let right = Rect::from_min_max(pos2(left.right() + GAP, all.top()), all.max);
    widgets::in_rect(ui, "all services", left, |ui| {
        ScrollArea::vertical().id_salt("services").auto_shrink(false).show(ui, |ui| {
            for (n, set) in services.sets.iter().enumerate() {
                let words = RichText::new(&set.service.name).color(c.ink);
                let shown = Button::selectable(page.at == n, words).truncate().min_size(vec2(ui.available_width() - 8.0, TARGET));
                if ui.add(shown).clicked() {
                    page.at = n;
                }
            }
        });
    });
    if let Some(set) = services.sets.get(page.at) {
        widgets::in_rect(ui, "one service", right, |ui| one_ui(ui, doc, page, &services, set, commands));
    }
}

fn one_ui(ui: &mut Ui, doc: &Document, page: &mut ServicesPage, services: &Services, set: &Set, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let at = page.at;
    head_ui(ui, page, services, set, commands);
    let held: Arc<[Wanted]> = match &page.tallies {
        Some(Ok(tallies)) => match &page.held {
            Some((of, place, held)) if Arc::ptr_eq(of, &doc.services.now) && *place == at => Arc::clone(held),
            _ => Arc::from(set.held(tallies)),
        },
        Some(Err(why)) => {
            ui.colored_label(c.alarm, say!("The finds could not be counted: {why}", why));
            return;
        }
        None => {
            remark(ui, say!("Counting the finds …"));
            return;
        }
    };
    page.held = Some((Arc::clone(&doc.services.now), at, Arc::clone(&held)));
    ui.horizontal_wrapped(|ui| {
        let missing: u64 = held.iter().map(|wanted| wanted.missing).sum();
        let spare: u64 = held.iter().map(|wanted| wanted.spare).sum();
        let have: u64 = held.iter().map(|wanted| wanted.have).sum();
        strong(ui, say!("{have} there, {missing} missing, {spare} over", have, missing, spare));
        if !held.is_empty() {
            if button(ui, Icon::Copy, say!("Copy the wants list")).clicked() {
                ui.copy_text(wants_text(&doc.key, &set.service.name, &held));
            }
            if button(ui, Icon::Paste, say!("Print …")).on_hover_text(say!("What is missing and over, for paper or a phone")).clicked() {
                commands.push(Command::Print(Order::Service(Box::new(set.clone()))));
            }
            if button(ui, Icon::Folder, say!("Save it as a table"))
                .on_hover_text(say!("CSV: form, glaze, wanted, have, missing, spare"))
                .clicked()
            {
                commands.push(Command::Page(Wish::SaveWants(held.to_vec())));
            }
        }
    });
    want_ui(ui, doc, page, services, at, commands);
    ScrollArea::vertical().id_salt("wants").auto_shrink(false).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(8.0, 8.0);
            for (n, wanted) in held.iter().enumerate() {
                card_ui(ui, doc, page, services, (n, set), wanted, commands);
            }
        });
    });
}

fn head_ui(ui: &mut Ui, page: &mut ServicesPage, services: &Services, set: &Set, commands: &mut Vec<Command>) {
    let at = page.at;
    ui.horizontal_wrapped(|ui| {
        let named = remark(ui, say!("Name"));
        let mut text = match page.name.take() {
            Some((of, text)) if of == at => text,
            _ => set.service.name.clone(),
        };
        let field = TextEdit::singleline(&mut text).desired_width(170.0).margin(Margin::symmetric(8, 7)).min_size(vec2(0.0, TARGET));
        let response = ui.add(field).labelled_by(named.id);
        if response.lost_focus() && !text.trim().is_empty() && text.trim() != set.service.name {
            let name = text.trim().to_owned();
            commands.push(change_one(say!("call it {name}", name), services, at, |set| set.service.name = name));
        } else if response.has_focus() {
            page.name = Some((at, text));
        }
        let few = icon_button(ui, Icon::Left, say!("One place less"));
        strong(ui, say_count!(n = usize::try_from(set.places).unwrap_or(usize::MAX), "{n} place", "{n} places"));
        let more = icon_button(ui, Icon::Right, say!("One place more"));
        if few.clicked() && set.places > 1 {
            commands.push(change_one(say!("one place less"), services, at, |set| set.places -= 1));
        }
        if more.clicked() {
            commands.push(change_one(say!("one place more"), services, at, |set| {
                set.places = (set.places + 1).min(crate::daybook::census::MOST);
            }));
        }
        if button(ui, Icon::Remove, say!("Remove this service")).clicked() {
            commands.push(change(say!("remove {service}", service = set.service.name), services, |after| drop(after.sets.remove(at))));
            page.name = None;
        }
    });
}

/// A form to be wanted, found by its name, and its glazes.
fn want_ui(ui: &mut Ui, doc: &Document, page: &mut ServicesPage, services: &Services, at: usize, commands: &mut Vec<Command>) {
    let mut wanted: Option<(FormId, Option<GlazeId>)> = None;
    ui.horizontal_wrapped(|ui| {
        let named = remark(ui, say!("Add a form"));
        let field = TextEdit::singleline(&mut page.typed)
            .hint_text(say!("its name, in any order"))
            .desired_width(220.0)
            .margin(Margin::symmetric(8, 7))
            .min_size(vec2(0.0, TARGET));
        ui.add(field).labelled_by(named.id);
    });
    if page.typed.trim().is_empty() {
        return;
    }
    let hits = page.offered.forms(doc, &page.typed, OFFERED);
    if hits.is_empty() {
        remark(ui, say!("No form of this key is called anything like that."));
    }
    for hit in hits.iter() {
        let Some(form) = doc.form(hit) else { continue };
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(5.0, 4.0);
            let name = doc.key.full_name(form);
            remark(ui, say!("{name} in", name = capital(&name)));
            if chip(ui, say!("any glaze"), false).on_hover_text(say!("Want {name} in any glaze", name)).clicked() {
                wanted = Some((form.id.clone(), None));
            }
            for held in &form.glazes {
                let glaze = doc.key.glazes.iter().find(|glaze| glaze.id == held.id).map_or(held.id.as_str(), |glaze| glaze.name.as_str());
                if chip(ui, glaze, false).on_hover_text(say!("Want {name} in {glaze}", name, glaze)).clicked() {
                    wanted = Some((form.id.clone(), Some(held.id.clone())));
                }
            }
        });
    }
    if let Some((form, glaze)) = wanted {
        let name = doc.key.form_name(&form);
        commands.push(change_one(say!("want {name}", name), services, at, |set| set.want(Want { form, glaze, count: 1 })));
        page.typed.clear();
    }
}

fn card_ui(
    ui: &mut Ui,
    doc: &Document,
    page: &mut ServicesPage,
    services: &Services,
    (n, set): (usize, &Set),
    wanted: &Wanted,
    commands: &mut Vec<Command>,
) {
    let c = theme::colours(ui);
    let at = page.at;
    let (rect, response) = ui.allocate_exact_size(CARD, Sense::hover());
    let form = doc.key.form_name(&wanted.want.form);
    let glaze = wanted.want.glaze.as_ref().and_then(|id| doc.key.glazes.iter().find(|glaze| glaze.id == *id));
    let glaze_name = match (&wanted.want.glaze, glaze) {
        (None, _) => say!("any glaze").to_owned(),
        (Some(_), Some(glaze)) => glaze.name.clone(),
        (Some(id), None) => id.to_string(),
    };
    let state = match (wanted.missing, wanted.spare) {
        (0, 0) => say!("complete").to_owned(),
        (0, over) => say!("{over} over", over),
        (missing, _) => say!("{missing} missing", missing),
    };
    let label = say!(
        "{form}, {glaze_name}: {have} of {want}, {state}",
        form = capital(&form),
        glaze_name,
        have = wanted.have,
        want = wanted.want.count,
        state
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &label));
    let edge = if wanted.missing > 0 { Stroke::new(1.5, c.alarm) } else { Stroke::new(1.5, c.moss) };
    ui.painter().rect(rect, 8.0, c.paper, edge, StrokeKind::Inside);
    let figure = Rect::from_min_size(rect.min + vec2(12.0, 8.0), vec2(CARD.x - 24.0, 62.0));
    if let Some(form) = doc.form(&wanted.want.form) {
        let drawing = page.drawn.of(form);
        let placing = Placing::fit(drawing.bounds, figure, 0.7);
        let ink = glaze.map_or(c.clay, |glaze| theme::of_lab(glaze.lab));
        for path in &drawing.paths {
            paint::fill(ui.painter(), path, placing, if wanted.have > 0 { ink } else { c.paper_warm });
            paint::stroke(ui.painter(), path, placing, Stroke::new(1.0, c.ink_soft));
        }
    }
    let painter = ui.painter().with_clip_rect(rect.shrink(4.0).intersect(ui.clip_rect()));
    let line = |y: f32, text: String, font: FontId, ink| {
        painter.text(pos2(rect.center().x, rect.top() + y), Align2::CENTER_CENTER, text, font, ink);
    };
    line(82.0, capital(&form), FontId::proportional(13.0), c.ink);
    line(99.0, glaze_name.clone(), FontId::proportional(13.0), c.ink_soft);
    let ink = if wanted.missing > 0 { c.alarm } else { c.moss };
    line(
        119.0,
        say!("{have} of {want}, {state}", have = wanted.have, want = wanted.want.count, state),
        FontId::new(14.0, theme::bold()),
        ink,
    );
    let row = Rect::from_min_max(pos2(rect.left() + 28.0, rect.bottom() - TARGET - 4.0), rect.max);
    let mut corner =
        ui.new_child(egui::UiBuilder::new().id_salt(("want", n)).max_rect(row).layout(egui::Layout::left_to_right(egui::Align::Center)));
    let what = format!("{form}, {glaze_name}");
    let each = set.service.wants.get(n).map_or(1, |want| want.count);
    if icon_button(&mut corner, Icon::Left, &say!("One less for each place: {what}", what)).clicked() && each > 1 {
        commands.push(change_one(say!("want less {form}", form), services, at, |set| {
            if let Some(want) = set.service.wants.get_mut(n) {
                want.count -= 1;
            }
        }));
    }
    if icon_button(&mut corner, Icon::Right, &say!("One more for each place: {what}", what)).clicked() {
        commands.push(change_one(say!("want more {form}", form), services, at, |set| {
            if let Some(want) = set.service.wants.get_mut(n) {
                want.count = (want.count + 1).min(crate::daybook::census::MOST);
            }
        }));
    }
    if icon_button(&mut corner, Icon::Close, &say!("Do not want {what}", what)).clicked() {
        commands.push(change_one(say!("do not want {form}", form), services, at, |set| drop(set.service.wants.remove(n))));
    }
}
