//! A half that is being typed: put on its shelf, or changed there.

use crate::daybook::lids::{Half, HalfProblem, Rules, Shelves, Side, cells_of, columns_of, typed};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{button, main_button, remark, strong};
use crate::identify::{Seen, VerdictState};
use crate::key::words::fold;
use crate::key::{Dimension, FeatureKind, Part, View, capital};
use crate::say;
use egui::{Key, Margin, ScrollArea, TextEdit, Ui, vec2};

/// What is typed, with the column each is for.
type Cells = Vec<(String, String)>;

/// A half that is being typed.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    side: Side,
    /// The id it had, for one that lies on its shelf.
    old: Option<String>,
    cells: Cells,
    /// Something to bear in mind of what was filled in.
    remark: Option<&'static str>,
    /// What the cells mean, for the cells as they were.
    tried: Option<(Cells, Half, Vec<HalfProblem>)>,
    /// The first field is to have the focus.
    opened: bool,
}

/// What came of it.
#[derive(Debug)]
pub(super) enum Typed {
    /// The shelves as they then are, and the name of the step.
    Put(String, Box<Shelves>),
    /// It was dropped.
    Dropped,
}

impl Draft {
    pub(super) fn new(shelves: &Shelves, side: Side) -> Self {
        let half = Half { id: shelves.free_id(side), ..Half::default() };
        let cells = cells_of(&half, side, Rules::built_in());
        Self { side, old: None, cells, remark: None, tried: None, opened: true }
    }

    pub(super) fn of(half: &Half, side: Side) -> Self {
        let cells = cells_of(half, side, Rules::built_in());
        Self { side, old: Some(half.id.clone()), cells, remark: None, tried: None, opened: true }
    }

    /// Filled in from what was seen of the piece in hand.
    pub(super) fn of_hand(doc: &Document, shelves: &Shelves, side: Side) -> Self {
        let mut draft = Self::new(shelves, side);
        let mut measured = false;
        for (n, (name, text)) in draft.cells.iter_mut().enumerate() {
            let found = match n {
                0 => None,
                1 => length(doc, side, true),
                2 => length(doc, side, false),
                _ => noted(doc, side, name),
            };
            measured |= n <= 2 && found.is_some();
            if let Some(found) = found {
                *text = found;
            }
        }
        draft.remark = match (measured, side) {
            (false, _) => None,
            (true, Side::Lid) => Some(say!("The lid was measured over everything; its flange is smaller. Measure the flange if you can.")),
            (true, Side::Base) => {
                Some(say!("The rim was measured over everything; its gallery is smaller. Measure the gallery if you can."))
            }
        };
        draft
    }

    fn half(&mut self) -> (Half, Vec<HalfProblem>) {
        if self.tried.as_ref().is_none_or(|(cells, ..)| *cells != self.cells) {
            let (half, problems) = typed(self.side, &self.cells, Rules::built_in());
            self.tried = Some((self.cells.clone(), half, problems));
        }
        self.tried.as_ref().map(|(_, half, problems)| (half.clone(), problems.clone())).unwrap_or_default()
    }
}

/// The measure of the piece in hand along one axis.
fn length(doc: &Document, side: Side, long: bool) -> Option<String> {
    let wanted = match (side, long) {
        (Side::Lid, true) => Dimension::LidLong,
        (Side::Lid, false) => Dimension::LidShort,
        (Side::Base, true) => Dimension::RimLong,
        (Side::Base, false) => Dimension::RimShort,
    };
    doc.hand.piece.observations.iter().find_map(|observation| {
        let feature = doc.key.feature(&observation.feature)?;
        match (&feature.kind, &observation.seen) {
            (FeatureKind::Measure(measure), Seen::Measured(seen)) if measure.of == Some(wanted) => {
                Some(format!("{:.1}±{:.1}", seen.value, seen.plus_minus))
            }
            _ => None,
        }
    })
}

/// What was seen of the piece in hand that goes in that column.
fn noted(doc: &Document, side: Side, column: &str) -> Option<String> {
    if column == "line" {
        let named = matches!(doc.verdict.state, VerdictState::Settled | VerdictState::Leaning);
        let form = doc.form(doc.verdict.leader.as_ref().filter(|_| named)?)?;
        return doc.key.line(&form.line).map(|line| line.name.clone());
    }
    let part = if side == Side::Lid { Part::Lid } else { Part::Body };
    doc.hand.piece.observations.iter().find_map(|observation| {
        let feature = doc.key.feature(&observation.feature)?;
        let fits = match column {
            "glaze" => feature.kind == FeatureKind::Glaze,
            "decoration" => feature.kind == FeatureKind::Decoration,
            "outline" => feature.part == part && feature.view == View::Above && fold(&feature.shown_name()).contains("outline"),
            _ => fold(&feature.shown_name()).split(' ').any(|word| word == column),
        };
        let Seen::Values(values) = &observation.seen else { return None };
        let [only] = values.as_slice() else { return None };
        if !fits {
            return None;
        }
        doc.key.values_of(feature).into_iter().find(|(id, _)| id == only).map(|(_, name)| name)
    })
}

/// Draws what is being typed.
pub(super) fn draft_ui(ui: &mut Ui, shelves: &Shelves, draft: &mut Draft) -> Option<Typed> {
    let c = theme::colours(ui);
    let word = draft.side.word();
    strong(
        ui,
        match (draft.side, &draft.old) {
            (Side::Lid, None) => say!("A lid for the shelf").to_owned(),
            (Side::Base, None) => say!("A base for the shelf").to_owned(),
            (_, Some(old)) => say!("Change the {word} {id}", word, id = old),
        },
    );
    let labels = columns_of(draft.side, Rules::built_in());
    let mut entered = false;
    let room = (ui.available_height() - TARGET - 14.0).max(TARGET);
    ScrollArea::vertical().id_salt("a half").max_height(room).auto_shrink([false, true]).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(6.0, 6.0);
            for (n, ((_, text), (_, label))) in draft.cells.iter_mut().zip(&labels).enumerate() {
                let wide = if n == 0 { 70.0 } else { 104.0 };
                ui.allocate_ui(vec2(wide + 8.0, TARGET + 22.0), |ui| {
                    ui.vertical(|ui| {
                        ui.spacing_mut().item_spacing.y = 2.0;
                        let named = remark(ui, capital(label));
                        let field = TextEdit::singleline(text)
                            .desired_width(wide - 16.0)
                            .margin(Margin::symmetric(8, 7))
                            .min_size(vec2(wide, TARGET))
                            .hint_text(hint(n, label));
                        let response = ui.add(field).labelled_by(named.id);
                        if std::mem::take(&mut draft.opened) {
                            response.request_focus();
                        }
                        entered |= response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
                    });
                });
            }
        });
        if let Some(words) = draft.remark {
            remark(ui, words);
        }
        let (half, problems) = draft.half();
        for problem in &problems {
            // One that was not measured may lie on the shelf; it stays alone until it is.
            ui.colored_label(if half.major.is_some() || half.id.is_empty() { c.alarm } else { c.ink_soft }, capital(&problem.to_string()));
        }
    });
    let (half, _) = draft.half();
    let mut after = shelves.clone();
    let put = after.put(draft.side, draft.old.as_deref(), half.clone());
    let mut typed = None;
    ui.horizontal_wrapped(|ui| {
        match &put {
            Ok(()) => {
                let words = if draft.old.is_some() { say!("Change it") } else { say!("Put it on the shelf") };
                if main_button(ui, Icon::Tick, words).clicked() || entered {
                    let step = if draft.old.is_some() {
                        say!("change the {word} {id}", word, id = half.id)
                    } else {
                        say!("add the {word} {id}", word, id = half.id)
                    };
                    typed = Some(Typed::Put(step, Box::new(after)));
                }
            }
            Err(why) if !half.id.is_empty() => {
                ui.colored_label(c.alarm, capital(&why.to_string()));
            }
            Err(_) => {}
        }
        if button(ui, Icon::Close, say!("Drop it")).clicked() || ui.input(|input| input.key_pressed(Key::Escape)) {
            typed = Some(Typed::Dropped);
        }
    });
    typed
}

fn hint(n: usize, label: &str) -> &'static str {
    match (n, label) {
        (1, _) => say!("92 or 3 5/8\""),
        (2, _) => "80±0.5",
        (_, "glaze") => "Flint",
        (_, "clay") => "buff",
        (_, "outline") => "oval",
        (_, "made") => "1951-57",
        _ => "",
    }
}
