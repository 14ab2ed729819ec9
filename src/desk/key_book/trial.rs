//! A trial of the key: pieces made up from its own record, named by it, and how often it was right.

use super::health::{Shown, share, shown_ui};
use super::trial_picture::{calibration_ui, confusion_ui};
use super::worked::{Fresh, Worked};
use super::{KeyBookView, Page};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, GAP, TARGET};
use crate::desk::widgets::{self, button, chip, main_button, paper, remark};
use crate::identify::trial::{Options, Report, Share, Way};
use crate::key::Often;
use crate::key::capital;
use crate::{say, say_count};
use egui::{DragValue, Grid, RichText, ScrollArea, Ui, vec2};

/// Pairs that are listed.
const LISTED: usize = 30;
/// Looks at a piece that is looked at in any order.
const LOOKS: usize = 8;
/// Wider than this, the pictures stand beside the figures.
const SIDE_BY_SIDE: f32 = 900.0;

/// What the page shows.
#[derive(Debug, Default)]
pub(super) struct TrialView {
    pub(super) worked: Worked<Report>,
    /// What is asked for; the usual for the key until something is changed.
    options: Option<Options>,
}

/// Draws the page.
pub(super) fn trial_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        if button(ui, Icon::Left, say!("All forms")).clicked() {
            view.page = Page::Shelves;
        }
        widgets::heading(ui, say!("Trial of the key"));
    });
    let usual = Options::for_forms(doc.key.forms.len());
    let mut options = view.trial.options.unwrap_or(usual);
    asked_ui(ui, doc, view.trial.worked.is_busy(), &mut options, commands);
    view.trial.options = (options != usual).then_some(options);
    let Some((report, fresh)) = view.trial.worked.found(doc) else {
        ui.add_space(6.0);
        remark(
            ui,
            if view.trial.worked.is_busy() {
                say!("Making pieces up and naming them …")
            } else if view.trial.worked.was_stopped() {
                say!("It was stopped before every piece was named.")
            } else {
                say!(
                    "Pieces are made up from what the key records, with slips, looks that can't tell, lost lids and worn marks, and named by the key \
                 itself: so one sees how far it can be trusted, and which forms it takes for each other."
                )
            },
        );
        return;
    };
    if fresh == Fresh::BeforeAChange {
        remark(ui, say!("The key has changed; this is from before the change."));
    }
    ui.add_space(4.0);
    let drawn = &mut view.drawn;
    ScrollArea::vertical().id_salt("trial").auto_shrink(false).show(ui, |ui| {
        let wide = ui.available_width() >= SIDE_BY_SIDE;
        let c = theme::colours(ui);
        if wide {
            ui.horizontal_top(|ui| {
                let half = (ui.available_width() - GAP) / 2.0 - 10.0;
                ui.vertical(|ui| {
                    ui.set_width(half);
                    paper(c).show(ui, |ui| figures_ui(ui, report));
                    ui.add_space(6.0);
                    paper(c).show(ui, |ui| calibration_ui(ui, &report.calibration));
                });
                ui.vertical(|ui| {
                    ui.set_width(half);
                    paper(c).show(ui, |ui| confusion_ui(ui, doc, report, commands));
                });
            });
        } else {
            paper(c).show(ui, |ui| figures_ui(ui, report));
            ui.add_space(6.0);
            paper(c).show(ui, |ui| calibration_ui(ui, &report.calibration));
            ui.add_space(6.0);
            paper(c).show(ui, |ui| confusion_ui(ui, doc, report, commands));
        }
        ui.add_space(8.0);
        let pairs = report.pairs();
        let of = say!("Taken for each other, of {pieces} made-up pieces of both", pieces = 2 * report.options.pieces);
        widgets::strong(ui, if pairs.is_empty() { say!("No form was taken for another").to_owned() } else { of });
        ui.spacing_mut().item_spacing.y = 6.0;
        for (one, other, pieces) in pairs.iter().take(LISTED) {
            let shown = Shown {
                forms: vec![one.clone(), other.clone()],
                title: capital(&doc.key.pair_names(one, other)),
                says: Often::Times(u32::try_from(*pieces).unwrap_or(u32::MAX)).words(),
                on_click: Command::TellApart(vec![one.clone(), other.clone()]),
                edit: None,
            };
            shown_ui(ui, doc, drawn, &shown, commands);
        }
        if pairs.len() > LISTED {
            remark(ui, say!("and {more} pairs more", more = pairs.len() - LISTED));
        }
    });
}

/// What is to be tried, and the button that does it.
fn asked_ui(ui: &mut Ui, doc: &Document, busy: bool, options: &mut Options, commands: &mut Vec<Command>) {
    let number = |ui: &mut Ui, words: &str, value: &mut usize, range: std::ops::RangeInclusive<usize>| {
        let label = ui.add(egui::Label::new(words).extend());
        ui.add_sized(vec2(64.0, TARGET), DragValue::new(value).range(range)).labelled_by(label.id);
    };
    ui.spacing_mut().item_spacing.y = 6.0;
    ui.horizontal_wrapped(|ui| {
        number(ui, say!("Pieces of each form"), &mut options.pieces, 1..=1000);
        let guided = matches!(options.way, Way::Guided { .. });
        if chip(ui, say!("looked at as Footring asks"), guided).clicked() && !guided {
            options.way = Options::for_forms(doc.key.forms.len()).way;
        }
        if chip(ui, say!("in any order"), !guided).clicked() && guided {
            options.way = Way::AnyOrder { looks: LOOKS };
        }
        match &mut options.way {
            Way::Guided { most } => number(ui, say!("looks at most"), most, 1..=100),
            Way::AnyOrder { looks } => number(ui, say!("looks at each"), looks, 1..=100),
        }
        let label = ui.label(say!("seed")).on_hover_text(say!("The same seed makes the same pieces up again"));
        ui.add_sized(vec2(64.0, TARGET), DragValue::new(&mut options.seed)).labelled_by(label.id);
        if busy {
            remark(ui, say!("The work is shown at the foot of the window, and can be stopped there."));
        } else if doc.key.forms.is_empty() {
            remark(ui, say!("This key has no forms yet."));
        } else if main_button(ui, Icon::Tick, say!("Try the key")).clicked() {
            commands.push(Command::TryKey(*options));
        }
    });
}

/// '99.1 % (97 to 99.7)'
fn with_interval(of: Share) -> String {
    let ends = |x: f64| share(x).trim_end_matches(" %").to_owned();
    say!("{share} ({least} to {most})", share = share(of.share), least = ends(of.low), most = ends(of.high))
}

fn figures_ui(ui: &mut Ui, report: &Report) {
    ui.set_width(ui.available_width());
    widgets::strong(ui, say_count!(n = report.pieces, "How {n} made-up piece was named", "How {n} made-up pieces were named"));
    let looks = &report.looks;
    let mut rows: Vec<(String, String)> = vec![
        (with_interval(report.first), say!("the right form came first").to_owned()),
        (with_interval(report.first_three), say!("it was among the first three").to_owned()),
        (share(report.settled.share - report.settled_wrongly.share), say!("settled, and right").to_owned()),
        (with_interval(report.settled_wrongly), say!("settled, and wrong").to_owned()),
        (with_interval(report.called_strange), say!("called ‘not in this key’, and wrongly so").to_owned()),
        (with_interval(report.called_contradictory), say!("the answers were said not to go together").to_owned()),
    ];
    if let Some(strangers) = &report.strangers {
        rows.push((with_interval(strangers.called_strange), say!("of pieces whose form was left out: called strange").to_owned()));
        rows.push((with_interval(strangers.named), say!("of these: settled under another form’s name").to_owned()));
        rows.push((with_interval(strangers.named_though_measured), say!("and that although their size was measured").to_owned()));
    }
    rows.push((
        say!("{mean:.1} looks", mean = looks.mean),
        say!("a piece; half took {median} at most, 95 in 100 took {most_of_95}", median = looks.median, most_of_95 = looks.most_of_95),
    ));
    rows.push((
        say!("{bound:.1} looks", bound = looks.bound),
        say!("is the least that any order of looks could take on average").to_owned(),
    ));
    rows.push((
        say!("{end_bits:.2} bits", end_bits = looks.end_bits),
        say!("of {start_bits:.2} still open in the end", start_bits = looks.start_bits),
    ));
    let c = theme::colours(ui);
    Grid::new("trial figures").num_columns(2).min_row_height(0.0).spacing(vec2(14.0, 7.0)).show(ui, |ui| {
        for (figure, words) in rows {
            ui.label(RichText::new(figure).family(theme::bold()));
            ui.add(egui::Label::new(RichText::new(words).color(c.ink_soft)).wrap());
            ui.end_row();
        }
    });
}
