//! What was said, each to be taken back, and what is being said.

use super::diamond::diamond_ui;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{chip, icon_button, main_button, remark, row_from_right, strong};
use crate::identify::PieceDates;
use crate::key::capital;
use crate::marks::dates::diamond::Corners;
use crate::marks::dates::{Gathered, Rules, Said};
use crate::say;
use egui::{Key, Margin, TextEdit, Ui, vec2};

/// A kind of evidence to be said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Kind {
    #[default]
    Words,
    Number,
    Diamond,
    Code,
    Sold,
}

impl Kind {
    const ALL: [Self; 5] = [Self::Words, Self::Number, Self::Diamond, Self::Code, Self::Sold];

    fn words(self) -> &'static str {
        match self {
            Self::Words => say!("Words"),
            Self::Number => say!("Registered number"),
            Self::Diamond => say!("Diamond"),
            Self::Code => say!("Date code"),
            Self::Sold => say!("Sale"),
        }
    }

    fn hint(self) -> &'static str {
        match self {
            Self::Words => say!("Any words or signs of the mark: made in, Ltd, oven proof, ®, a postcode"),
            Self::Number => say!("The number behind Rd No"),
            Self::Diamond => say!("What stands in each corner as it is seen, such as IV, K, H, 7 and 2; leave empty what can't be read"),
            Self::Code => say!("The house's own code, as it is impressed or printed"),
            Self::Sold => say!("A year, or a day as 1957-04-07, from a bill or a diary"),
        }
    }

    fn example(self) -> &'static str {
        match self {
            Self::Words => "made in england",
            Self::Number => "864512",
            Self::Diamond => "",
            Self::Code => "3 Q",
            Self::Sold => "1957",
        }
    }
}

/// What is being typed.
#[derive(Debug, Clone, Default)]
pub(super) struct Draft {
    kind: Kind,
    text: String,
    corners: Corners,
    /// What it would give, for what is typed.
    tried: Option<(Said, Gathered)>,
}

impl Draft {
    fn said(&self) -> Option<Said> {
        let text = self.text.trim().to_owned();
        match self.kind {
            Kind::Diamond => {
                let text = self.corners.to_string();
                (!text.is_empty()).then_some(Said::Diamond(text))
            }
            _ if text.is_empty() => None,
            Kind::Words => Some(Said::Words(text)),
            Kind::Number => Some(Said::Number(text)),
            Kind::Code => Some(Said::Code(text)),
            Kind::Sold => Some(Said::Sold(text)),
        }
    }
}

pub(super) fn said_ui(ui: &mut Ui, doc: &Document, dates: &PieceDates, draft: &mut Draft, commands: &mut Vec<Command>) {
    let said = &doc.hand.piece.beside.dates;
    let c = theme::colours(ui);
    if said.is_empty() {
        remark(ui, say!("Nothing yet. Say below what can be seen; the mark and the form that were named count by themselves."));
    }
    for (number, one) in said.iter().enumerate() {
        row_from_right(ui, |ui| {
            if icon_button(ui, Icon::Close, &say!("Take back {kind}: {one}", kind = one.kind(), one = one.text())).clicked() {
                let mut left = said.clone();
                left.remove(number);
                commands.push(Command::Dates(say!("take back {kind}", kind = one.kind()), left));
            }
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center).with_main_wrap(true), |ui| {
                ui.label(format!("{}: {}", capital(one.kind()), one.text()));
            });
        });
        if let Some(unread) = dates.unread.iter().find(|unread| one.text().contains(&unread.text)) {
            ui.colored_label(c.alarm, capital(&unread.why));
        }
    }
    ui.separator();
    strong(ui, say!("Say more"));
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 5.0);
        for kind in Kind::ALL {
            if chip(ui, kind.words(), draft.kind == kind).on_hover_text(kind.hint()).clicked() {
                draft.kind = kind;
                draft.text.clear();
            }
        }
    });
    remark(ui, draft.kind.hint());
    let (entered, field) = if draft.kind == Kind::Diamond {
        diamond_ui(ui, &mut draft.corners);
        (false, None)
    } else {
        let field = TextEdit::singleline(&mut draft.text)
            .hint_text(draft.kind.example())
            .desired_width(ui.available_width() - 26.0)
            .margin(Margin::symmetric(8, 7))
            .min_size(vec2(0.0, TARGET));
        let response = ui.add(field);
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, draft.kind.words()));
        (response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)), Some(response.id))
    };
    let Some(one) = draft.said() else { return };
    let well = tried_ui(ui, doc, draft, &one);
    let already = said.contains(&one);
    if already {
        remark(ui, say!("That was said already"));
    } else if main_button(ui, Icon::Add, say!("Count it")).clicked() || entered && well {
        let all = said.iter().cloned().chain([one.clone()]).collect();
        commands.push(Command::Dates(format!("{}: {}", one.kind(), one.text()), all));
        draft.text.clear();
        draft.corners = Corners::default();
        // The next can be typed at once.
        if let Some(field) = field {
            ui.memory_mut(|memory| memory.request_focus(field));
        }
    }
}

/// What would follow from it; true where something does.
fn tried_ui(ui: &mut Ui, doc: &Document, draft: &mut Draft, one: &Said) -> bool {
    let c = theme::colours(ui);
    let fresh = draft.tried.take().filter(|(tried, _)| tried == one);
    let (_, gathered) = draft
        .tried
        .insert(fresh.unwrap_or_else(|| (one.clone(), Gathered::of(Rules::published(), &doc.key.marks, None, std::slice::from_ref(one)))));
    for evidence in &gathered.evidence {
        ui.label(capital(&evidence.says)).on_hover_text(&evidence.because);
    }
    for said in &gathered.remarks {
        remark(ui, capital(said));
    }
    for unread in &gathered.unread {
        ui.colored_label(c.alarm, capital(&unread.why));
        for meant in unread.did_you_mean.iter().take(3) {
            remark(ui, say!("Did you mean {meant}?", meant));
        }
    }
    !gathered.evidence.is_empty()
}
