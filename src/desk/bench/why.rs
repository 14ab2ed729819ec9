//! Why a form is where it is: the reasons of one form, and the list of all that was set aside.

use super::BenchView;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme;
use crate::desk::widgets::{self, button, icon_button, remark};
use crate::identify::{Agreement, Shelf};
use crate::key::{Form, FormId, capital};
use crate::say;
use egui::{Align, Area, Frame, Layout, Order, Rect, RichText, ScrollArea, Ui, pos2, vec2};

/// The reasons of a form, weightiest first.
pub fn reasons_ui(ui: &mut Ui, doc: &Document, form: &FormId, most: usize) {
    let c = theme::colours(ui);
    let mut reasons = doc.index.why(&doc.hand.piece, form);
    if reasons.is_empty() {
        remark(ui, say!("Nothing has been said yet that speaks for or against it."));
        return;
    }
    reasons.sort_by(|a, b| b.bits.abs().total_cmp(&a.bits.abs()));
    let left = reasons.len().saturating_sub(most);
    for reason in reasons.into_iter().take(most) {
        let (sign, ink) = match reason.agreement {
            Agreement::Agrees => ("✓", c.ink),
            Agreement::Disagrees => ("×", c.alarm),
            _ => ("·", c.ink_soft),
        };
        ui.label(RichText::new(format!("{sign} {}", reason.says)).color(ink));
    }
    if left > 0 {
        remark(ui, say!("and {left} more", left));
    }
}

/// The card of a form that was clicked on the shelf, above it, with what can be done.
pub fn pinned_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>, form: &Form, cell: Rect) {
    if view.why.as_ref() != Some(&form.id) {
        return;
    }
    let mut close = false;
    let c = theme::colours(ui);
    Area::new(widgets::id("why card"))
        .order(Order::Foreground)
        .pivot(egui::Align2::CENTER_BOTTOM)
        .fixed_pos(pos2(cell.center().x, cell.top() + 20.0))
        .constrain_to(ui.ctx().content_rect().shrink(8.0))
        .show(ui.ctx(), |ui| {
            Frame::popup(ui.style()).fill(c.paper).show(ui, |ui| {
                ui.set_width(340.0);
                ui.horizontal(|ui| {
                    widgets::heading(ui, capital(&doc.key.full_name(form)));
                    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                        close = icon_button(ui, Icon::Close, say!("Close the reasons")).clicked();
                    });
                });
                ScrollArea::vertical().max_height(260.0).show(ui, |ui| reasons_ui(ui, doc, &form.id, 40));
                ui.horizontal_wrapped(|ui| {
                    let leader = doc.standing.candidates.first().map(|candidate| candidate.form.clone());
                    if let Some(leader) = leader.filter(|leader| *leader != form.id)
                        && button(ui, Icon::TellApart, say!("Tell apart from the first")).clicked()
                    {
                        commands.push(Command::TellApart(vec![leader, form.id.clone()]));
                        close = true;
                    }
                    if button(ui, Icon::KeyBook, say!("Its sheet")).clicked() {
                        commands.push(Command::OpenForm(form.id.clone()));
                        close = true;
                    }
                });
            });
        });
    if close {
        view.why = None;
    }
}

/// The list of what was set aside, each with its reason.
pub fn set_aside_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>) {
    if !view.set_aside_open {
        return;
    }
    let response = widgets::dialog(ui, "set aside").show(ui.ctx(), |ui| {
        ui.set_width(ui.ctx().content_rect().width().min(640.0) - 40.0);
        ui.horizontal(|ui| {
            widgets::heading(ui, say!("Set aside: {set_aside}", set_aside = doc.standing.set_aside));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if icon_button(ui, Icon::Close, say!("Close the list")).clicked() {
                    ui.close();
                }
            });
        });
        remark(ui, say!("Two or more answers speak against these. Take one of them back and they return."));
        ui.add_space(6.0);
        let gone: Vec<_> = doc.standing.candidates.iter().filter(|candidate| candidate.place == Shelf::SetAside).collect();
        let row_height = 52.0;
        ScrollArea::vertical().max_height(ui.ctx().content_rect().height() * 0.6).auto_shrink(false).show_rows(
            ui,
            row_height,
            gone.len(),
            |ui, rows| {
                for candidate in gone.iter().skip(rows.start).take(rows.len()) {
                    let Some(form) = doc.form(&candidate.form) else { continue };
                    ui.allocate_ui(vec2(ui.available_width(), row_height - 6.0), |ui| {
                        ui.horizontal(|ui| {
                            if icon_button(ui, Icon::TellApart, &say!("Tell {form} apart from the first", form = doc.key.full_name(form)))
                                .clicked()
                                && let Some(leader) = doc.standing.candidates.first()
                            {
                                commands.push(Command::TellApart(vec![leader.form.clone(), form.id.clone()]));
                                ui.close();
                            }
                            ui.vertical(|ui| {
                                ui.spacing_mut().item_spacing.y = 0.0;
                                widgets::strong(ui, capital(&doc.key.full_name(form)));
                                let against: Vec<String> = doc
                                    .index
                                    .why(&doc.hand.piece, &form.id)
                                    .into_iter()
                                    .filter(|reason| reason.agreement == Agreement::Disagrees)
                                    .map(|reason| reason.says)
                                    .collect();
                                ui.add(
                                    egui::Label::new(RichText::new(against.join("; ")).small().color(theme::colours(ui).ink_soft))
                                        .truncate(),
                                );
                            });
                        });
                    });
                }
            },
        );
    });
    if response.should_close() {
        view.set_aside_open = false;
    }
}
