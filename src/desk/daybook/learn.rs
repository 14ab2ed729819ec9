//! What the finds say of the key: each change with before and after, taken or left one by one.

use super::DaybookView;
use crate::daybook::learn::{Learnt, LeftOut};
use crate::desk::board::paint::{self, Placing};
use crate::desk::board::vessel::Drawings;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, button, icon_button, main_button, remark, strong};
use crate::key::capital;
use crate::{say, say_count};
use egui::text::LayoutJob;
use egui::{
    Color32, FontFamily, FontId, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, TextFormat, Ui, UiBuilder, WidgetInfo, pos2, vec2,
};
use std::collections::BTreeMap;

/// Height of a proposal, in points.
const ROW: f32 = 66.0;

/// The proposals, while they are looked at.
#[derive(Debug, Default)]
pub enum Learning {
    /// They are not asked for.
    #[default]
    Closed,
    /// The finds are being read.
    Reading,
    /// They can't be worked out, with the reason.
    Problem(String),
    /// They are there, each with whether it is to be taken.
    Ready(Box<Learnt>, Vec<bool>),
}

impl Learning {
    /// Takes in what the job found, unless the person has turned away meanwhile.
    pub fn take_in(&mut self, learnt: Result<Learnt, String>) {
        if matches!(self, Self::Closed) {
            return;
        }
        *self = match learnt {
            Ok(learnt) => {
                let takes = vec![true; learnt.proposals.len()];
                Self::Ready(Box::new(learnt), takes)
            }
            Err(why) => Self::Problem(why),
        };
    }
}

/// Draws the proposals.
pub(super) fn learning_ui(ui: &mut Ui, doc: &Document, view: &mut DaybookView, commands: &mut Vec<Command>) {
    widgets::heading(ui, say!("What the finds say of the key"));
    let mut close = false;
    match &mut view.learning {
        Learning::Closed => {}
        Learning::Reading => {
            remark(ui, say!("Reading the finds …"));
            close = button(ui, Icon::Close, say!("Not now")).clicked();
        }
        Learning::Problem(why) => {
            let c = theme::colours(ui);
            ui.colored_label(c.alarm, say!("The finds could not be read: {why}", why));
            close = button(ui, Icon::Close, say!("Not now")).clicked();
        }
        Learning::Ready(learnt, takes) => {
            remark(ui, counted_words(learnt));
            remark(ui, say!("What the key says in words is worth five pieces. Nothing changes until it is taken, and undo takes it back."));
            if learnt.proposals.is_empty() {
                strong(ui, say!("They change nothing: what they show is in the key."));
            }
            ui.add_space(4.0);
            ui.spacing_mut().item_spacing.y = 6.0;
            let room = (ui.available_height() - TARGET - 20.0).max(ROW);
            ScrollArea::vertical().id_salt("proposals").max_height(room).auto_shrink([false, true]).show_rows(
                ui,
                ROW,
                learnt.proposals.len(),
                |ui, range| {
                    for index in range {
                        if let (Some(proposal), Some(takes)) = (learnt.proposals.get(index), takes.get_mut(index)) {
                            proposal_ui(ui, doc, &mut view.drawn, proposal, takes, commands);
                        }
                    }
                },
            );
            ui.add_space(6.0);
            ui.horizontal_wrapped(|ui| {
                let taken = takes.iter().filter(|takes| **takes).count();
                let noted = !learnt.counted.is_empty();
                if noted {
                    let words = match (taken, learnt.proposals.len()) {
                        (0, 0) => say!("Note the finds as counted").to_owned(),
                        (0, _) => say!("Take none, and do not ask again").to_owned(),
                        (n, _) => say_count!(n, "Take {n} change into the key", "Take {n} changes into the key"),
                    };
                    if main_button(ui, Icon::KeyBook, &words).clicked() {
                        commands.push(Command::TakeLearnt(learnt.clone(), takes.clone()));
                        close = true;
                    }
                }
                close |= button(ui, Icon::Close, say!("Not now")).clicked();
            });
        }
    }
    if close {
        view.learning = Learning::Closed;
    }
}

fn proposal_ui(
    ui: &mut Ui,
    doc: &Document,
    drawn: &mut Drawings,
    proposal: &crate::daybook::learn::Proposal,
    takes: &mut bool,
    commands: &mut Vec<Command>,
) {
    let c = theme::colours(ui);
    let known = doc.form(&proposal.form);
    let form = doc.key.form_name(&proposal.form);
    let feature = doc.key.feature_name(&proposal.feature);
    let pieces = say_count!(n = proposal.pieces as usize, "{n} piece", "{n} pieces");
    let (before, after) = (proposal.before_words(&doc.key), proposal.after_words(&doc.key));
    let title = format!("{}: {feature}", capital(&form));
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width() - 10.0, ROW), Sense::hover());
    let (row, side) = rect.split_left_right_at_x(rect.right() - TARGET - 10.0);
    let response = ui.interact(row, ui.scope_id().with((&proposal.form, &proposal.feature)), Sense::click());
    response.widget_info(|| {
        WidgetInfo::selected(
            Role::CheckBox,
            true,
            *takes,
            say!("{title}: {before}, would be {after}, from {pieces}", title, before, after, pieces),
        )
    });
    if response.clicked() {
        *takes = !*takes;
    }
    // In a narrow window the line is cut.
    let response = response.on_hover_text(format!("{before} → {after}"));
    let edge = if response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
    let fill = if response.hovered() { c.glow_wash } else { c.paper };
    ui.painter().rect(rect, 8.0, fill, edge, StrokeKind::Inside);
    let tick = Rect::from_center_size(pos2(rect.left() + 26.0, rect.center().y), vec2(24.0, 24.0));
    ui.painter().rect(
        tick,
        5.0,
        if *takes { c.moss } else { c.paper },
        Stroke::new(1.5, if *takes { c.moss } else { c.ink_soft }),
        StrokeKind::Inside,
    );
    if *takes {
        let at = |x: f32, y: f32| tick.min + vec2(x, y) * 24.0;
        ui.painter().line(vec![at(0.24, 0.52), at(0.43, 0.72), at(0.77, 0.3)], Stroke::new(2.5, c.on_moss));
    }
    let figure = Rect::from_min_size(pos2(rect.left() + 50.0, rect.top() + 7.0), vec2(72.0, ROW - 14.0));
    if let Some(form) = known {
        let drawing = drawn.of(form);
        let placing = Placing::fit(drawing.bounds, figure.shrink(3.0), 2.0);
        for path in &drawing.paths {
            paint::fill(ui.painter(), path, placing, if *takes { c.moss } else { c.ink_faint });
        }
    }
    let left = figure.right() + 12.0;
    let width = (row.right() - left - 10.0).max(60.0);
    let line = |y: f32, parts: &[(&str, FontFamily, Color32)], size: f32| {
        let mut job = LayoutJob::default();
        for (text, family, ink) in parts {
            job.append(text, 0.0, TextFormat { font_id: FontId::new(size, family.clone()), color: *ink, ..TextFormat::default() });
        }
        (job.wrap.max_width, job.wrap.max_rows, job.wrap.break_anywhere) = (width, 1, true);
        let galley = ui.painter().layout_job(job);
        ui.painter().galley(pos2(left, rect.top() + y), galley, c.ink);
    };
    line(9.0, &[(&title, theme::bold(), c.ink), (&format!("   {pieces}"), FontFamily::Proportional, c.ink_soft)], 16.0);
    let plain = FontFamily::Proportional;
    line(35.0, &[(&before, plain.clone(), c.ink_soft), ("   →   ", plain.clone(), c.ink_soft), (&after, plain, c.ink)], 15.0);
    // A child of its own, so that the next row stands below this one and not below the button.
    let mut corner = ui.new_child(UiBuilder::new().id_salt(&title).max_rect(side.shrink2(vec2(2.0, (ROW - TARGET) / 2.0))));
    if icon_button(&mut corner, Icon::Edit, &say!("Open the sheet of {form}", form)).clicked() {
        commands.push(Command::OpenForm(proposal.form.clone()));
    }
}

/// '12 finds counted; 3 left out: the verdict was not settled (2), counted before (1)'.
fn counted_words(learnt: &Learnt) -> String {
    let mut reasons: BTreeMap<LeftOut, usize> = BTreeMap::new();
    for (_, why) in &learnt.left_out {
        *reasons.entry(*why).or_insert(0) += 1;
    }
    let counted = say_count!(n = learnt.counted.len(), "{n} find counted", "{n} finds counted");
    if reasons.is_empty() {
        return counted;
    }
    let each: Vec<String> = reasons.iter().map(|(why, n)| format!("{} ({n})", why.words())).collect();
    say_count!(
        n = learnt.left_out.len(),
        "{counted}; {n} find left out: {each}",
        "{counted}; {n} finds left out: {each}",
        counted,
        each = each.join(", ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::daybook::FindId;

    #[test]
    fn what_was_left_out_is_counted_by_reason() {
        let mut learnt = Learnt::default();
        assert_eq!(counted_words(&learnt), "0 finds counted");
        learnt.counted.push((FindId::new(), "sugar".into()));
        learnt.left_out =
            vec![(FindId::new(), LeftOut::NotSettled), (FindId::new(), LeftOut::CountedBefore), (FindId::new(), LeftOut::NotSettled)];
        assert_eq!(counted_words(&learnt), "1 find counted; 3 finds left out: counted before (1), the verdict was not settled (2)");
    }
}
