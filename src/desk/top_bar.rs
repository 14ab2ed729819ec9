//! The bar at the top: the key, the screens, undo and the box.

use super::action::Action;
use super::command::{Command, Screen, Steps};
use super::document::Document;
use super::icons::Icon;
use super::theme::{self, TARGET};
use super::widgets::{Ability, icon_button, icon_button_if, remark};
use crate::daybook::BoxTally;
use crate::{say, say_count};
use egui::{Align, Button, Color32, CornerRadius, Layout, RichText, Theme, Ui, vec2};

/// The screens in the order of the bar.
pub const SCREENS: [(Screen, Action, Icon); 5] = [
    (Screen::Bench, Action::GoBench, Icon::Bench),
    (Screen::TellApart, Action::GoTellApart, Icon::TellApart),
    (Screen::KeyBook, Action::GoKeyBook, Icon::KeyBook),
    (Screen::MarkDrawer, Action::GoMarkDrawer, Icon::MarkDrawer),
    (Screen::Daybook, Action::GoDaybook, Icon::Daybook),
];

/// Draws the bar.
pub fn top_bar_ui(
    ui: &mut Ui,
    doc: &Document,
    screen: Screen,
    steps: &Steps,
    tally: Option<&BoxTally>,
    commands: &mut Vec<Command>,
    find: &mut bool,
) {
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let wide = ui.available_width() > 1050.0;
        let roomy = ui.available_width() > 760.0;
        if wide {
            ui.add_space(6.0);
            let title = if doc.key.about.title.is_empty() { say!("House key") } else { &doc.key.about.title };
            let response = ui.add(
                Button::new(RichText::new(title).family(theme::bold()))
                    .fill(Color32::TRANSPARENT)
                    .stroke(egui::Stroke::NONE)
                    .min_size(vec2(0.0, TARGET)),
            );
            let problems = doc.place.problems.len();
            let hint = match (&doc.place.dir, problems) {
                (Some(dir), 0) => say!("{dir}\nOpen another house key", dir = dir.display()),
                (Some(dir), n) => {
                    say_count!(n, "{dir}\n{n} problem, see the Key Book", "{dir}\n{n} problems, see the Key Book", dir = dir.display())
                }
                (None, _) => say!("This key is only in memory\nOpen another house key").to_owned(),
            };
            if response.on_hover_text(hint).clicked() {
                commands.push(Command::ChooseKey);
            }
            ui.add_space(6.0);
        }
        for (target, action, icon) in SCREENS {
            if tab(ui, icon, action.words(), screen == target, roomy)
                .on_hover_text(format!("{} ({})", action.words(), action.shortcut_text(ui)))
                .clicked()
            {
                commands.push(Command::Go(target));
            }
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            if icon_button(ui, Icon::Help, say!("Help")).clicked() {
                commands.push(Command::Help);
            }
            let (icon, name) =
                if ui.theme() == Theme::Dark { (Icon::Light, say!("Light colours")) } else { (Icon::Dark, say!("Dark colours")) };
            if icon_button(ui, icon, name).clicked() {
                commands.push(Command::LightOrDark);
            }
            if icon_button(ui, Icon::Find, say!("Jump to a form by name")).clicked() {
                *find = true;
            }
            let redo = steps.redo_name().map_or_else(|| say!("Redo").to_owned(), |name| say!("Redo: {name}", name));
            if icon_button_if(ui, Icon::Redo, &redo, Ability::from(steps.redo_name().is_some())).clicked() {
                commands.push(Command::Redo);
            }
            let undo = steps.undo_name().map_or_else(|| say!("Undo").to_owned(), |name| say!("Undo: {name}", name));
            if icon_button_if(ui, Icon::Undo, &undo, Ability::from(steps.undo_name().is_some())).clicked() {
                commands.push(Command::Undo);
            }
            if wide && !doc.box_label.is_empty() {
                ui.add_space(8.0);
                remark(
                    ui,
                    match tally {
                        Some(tally) => say!("Box {label} · {pieces} sorted", label = doc.box_label, pieces = tally.pieces),
                        None => say!("Box {label}", label = doc.box_label),
                    },
                );
            }
        });
    });
}

fn tab(ui: &mut Ui, icon: Icon, words: &str, on: bool, roomy: bool) -> egui::Response {
    let c = theme::colours(ui);
    let (fill, ink) = if on { (c.ink, c.on_ink) } else { (Color32::TRANSPARENT, c.ink) };
    let button = if roomy {
        Button::image_and_text(icon.image(18.0, ink), RichText::new(words).color(ink))
    } else {
        Button::image(icon.image(20.0, ink))
    };
    let response =
        ui.add(button.fill(fill).stroke(egui::Stroke::NONE).corner_radius(CornerRadius::same(17)).min_size(vec2(TARGET, TARGET)));
    response.widget_info(|| egui::WidgetInfo::selected(egui::Role::Button, true, on, words));
    response
}

/// A line of news or of a problem, at the foot of the window.
pub fn notice_ui(ui: &mut Ui, notice: &super::command::Notice) -> bool {
    let c = theme::colours(ui);
    let (fill, ink) = if notice.is_problem { (c.alarm_wash, c.alarm) } else { (c.glow_wash, c.ink) };
    let mut close = false;
    egui::Frame::new().fill(fill).inner_margin(egui::Margin::symmetric(14, 4)).show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.set_min_height(TARGET);
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                close = icon_button(ui, Icon::Close, say!("Close this line")).clicked();
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.add(egui::Label::new(RichText::new(&notice.says).color(ink)).wrap());
                });
            });
        });
    });
    close
}

/// The jobs that run, with how far each is and a way to stop it.
pub fn jobs_ui(ui: &mut Ui, jobs: &super::jobs::Jobs) {
    for job in jobs.running() {
        ui.horizontal(|ui| {
            let share = job.progress.share();
            ui.label(if share > 0.0 { format!("{} … {:.0} %", job.doing, share * 100.0) } else { format!("{} …", job.doing) });
            if icon_button(ui, Icon::Close, &say!("Stop: {doing}", doing = job.doing)).clicked() {
                job.progress.cancel();
            }
        });
    }
}
