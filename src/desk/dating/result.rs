//! What follows: the interval of each thing, the bars, and what clashes.

use super::timeline::{Scale, axis_ui, bar_ui, likely_ui};
use crate::desk::theme;
use crate::desk::widgets::{remark, strong};
use crate::identify::PieceDates;
use crate::key::capital;
use crate::say;
use egui::{RichText, Ui};

pub(super) fn result_ui(ui: &mut Ui, dates: &PieceDates) {
    let c = theme::colours(ui);
    let dating = &dates.dating;
    for (word, dated) in dating.things() {
        let ink = if dated.is_disputed() { c.alarm } else { c.ink };
        ui.label(RichText::new(capital(&dated.sentence(word, dating))).size(20.0).color(ink));
        if let Some(firm) = dated.firm_sentence() {
            remark(ui, capital(&firm));
        }
    }
    if dating.evidence.is_empty() {
        remark(ui, say!("Each piece of evidence comes here as a bar over the years, with its reason."));
    } else {
        ui.add_space(8.0);
        let scale = Scale::of(dating, ui.available_width());
        likely_ui(ui, dating, scale);
        axis_ui(ui, scale);
        for (evidence, role) in dating.evidence.iter().zip(&dating.made.roles) {
            bar_ui(ui, dating, scale, evidence, *role);
        }
    }
    let clashes = dating.clashes();
    if !clashes.is_empty() {
        ui.separator();
        strong(ui, if clashes.len() == 1 { say!("A clash") } else { say!("Clashes") });
    }
    for clash in clashes {
        ui.colored_label(c.alarm, capital(&clash.says));
        for explanation in &clash.explanations {
            ui.label(if explanation.leaves.is_open() {
                say!("Perhaps {explanation}", explanation = explanation.says)
            } else {
                say!("Perhaps {explanation}: then {leaves}", explanation = explanation.says, leaves = explanation.leaves.words())
            });
        }
    }
    for said in &dates.remarks {
        remark(ui, capital(said));
    }
}
