//! When the finds were made: a row for each form, line or mark, a bar for each dated find.

use super::DaybookView;
use crate::daybook::years::{By, YearsSeen};
use crate::desk::dating::{Scale, axis_ui};
use crate::desk::icons::Icon;
use crate::desk::theme;
use crate::desk::widgets::{button, chip, heading, remark};
use crate::key::capital;
use crate::{say, say_count};
use egui::{Rect, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2};

/// Height of one find's bar, and of the most that are drawn under one another, in points.
const BAR: f32 = 5.0;
const MOST_HIGH: f32 = 26.0;
/// Height of a group, in points.
const ROW: f32 = 62.0;

/// The years of the finds, while they are looked at.
#[derive(Debug, Default)]
pub enum Years {
    /// They are not asked for.
    #[default]
    Closed,
    /// The finds are being read.
    Reading,
    /// They can't be worked out, with the reason.
    Problem(String),
    /// They are there: by form, by line, by mark.
    Ready(Box<[Vec<YearsSeen>; 3]>, By),
}

impl Years {
    /// Takes in what the job found, unless the person has turned away meanwhile.
    pub fn take_in(&mut self, made: Result<Box<[Vec<YearsSeen>; 3]>, String>) {
        if matches!(self, Self::Closed) {
            return;
        }
        *self = match made {
            Ok(all) => Self::Ready(all, By::Form),
            Err(why) => Self::Problem(why),
        };
    }
}

/// Draws them.
pub(super) fn years_ui(ui: &mut Ui, view: &mut DaybookView) {
    let mut close = false;
    ui.horizontal(|ui| {
        heading(ui, say!("When the finds were made"));
        close = button(ui, Icon::Close, say!("Back to the finds")).clicked();
    });
    let c = theme::colours(ui);
    match &mut view.years {
        Years::Closed => {}
        Years::Reading => {
            remark(ui, say!("Reading the finds …"));
        }
        Years::Problem(why) => {
            ui.colored_label(c.alarm, say!("The finds could not be read: {why}", why));
        }
        Years::Ready(all, by) => {
            ui.horizontal_wrapped(|ui| {
                for (one, words) in [(By::Form, say!("By form")), (By::Line, say!("By line")), (By::Mark, say!("By mark"))] {
                    if chip(ui, words, *by == one).clicked() {
                        *by = one;
                    }
                }
                remark(ui, say!("By their marks and what else was said of their dates, not by the years of their forms."));
            });
            let [forms, lines, marks] = &**all;
            let groups = match by {
                By::Form => forms,
                By::Line => lines,
                By::Mark => marks,
            };
            groups_ui(ui, groups);
        }
    }
    if close {
        view.years = Years::Closed;
    }
}

fn groups_ui(ui: &mut Ui, groups: &[YearsSeen]) {
    let dated = || groups.iter().filter(|group| !group.finds.is_empty());
    if dated().next().is_none() {
        remark(ui, say!("No find is dated yet: answer its mark, or say on the Bench what dates it (Ctrl+D)."));
        return;
    }
    let spans = dated().flat_map(|group| group.finds.iter().map(|find| find.made));
    ui.add_space(6.0);
    let scale = Scale::covering(spans, (ui.available_width() - 16.0).min(ui.clip_rect().width() - 30.0));
    axis_ui(ui, scale);
    let rows: Vec<&YearsSeen> = dated().collect();
    ScrollArea::vertical().id_salt("years of finds").auto_shrink(false).show_rows(ui, ROW, rows.len(), |ui, range| {
        for group in rows.iter().skip(range.start).take(range.len()) {
            let size = vec2(ui.available_width(), ROW - ui.spacing().item_spacing.y);
            ui.allocate_ui(size, |ui| {
                ui.set_min_size(size);
                group_ui(ui, group, scale);
            });
        }
    });
}

/// 'the earliest by 1952, the latest not before 1930', by what is known of the ends.
fn seen_words(group: &YearsSeen) -> String {
    let earliest = group.earliest_by().map(|year| say!("the earliest by {year}", year));
    let latest = group.latest_from().map(|year| say!("the latest not before {year}", year));
    earliest.into_iter().chain(latest).collect::<Vec<_>>().join(", ")
}

fn group_ui(ui: &mut Ui, group: &YearsSeen, scale: Scale) {
    let c = theme::colours(ui);
    let undated = if group.undated > 0 { say!(", {undated} not dated", undated = group.undated) } else { String::new() };
    let words = format!(
        "{}: {}{undated}; {}",
        capital(&group.name),
        say_count!(n = group.finds.len(), "{n} dated find", "{n} dated finds"),
        seen_words(group)
    );
    ui.label(&words);
    // Many finds share the height; each is still a line.
    let high = (BAR * group.finds.len() as f32).min(MOST_HIGH);
    let (rect, response) = ui.allocate_exact_size(vec2(scale.width(), high.max(BAR)), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let step = rect.height() / group.finds.len().max(1) as f32;
    for (i, find) in group.finds.iter().enumerate() {
        let (x0, x1) = scale.ends(rect.left(), find.made);
        let y = rect.top() + step * i as f32;
        let bar = Rect::from_min_max(pos2(x0, y), pos2(x1, y + (step - 1.0).max(0.5)));
        ui.painter().rect_filled(bar, 1.0, c.clay_dark.gamma_multiply(0.85));
    }
}
