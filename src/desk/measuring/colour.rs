//! A colour: the two areas, what was read in words, which glazes it may be, and their twins.

use super::areas::set_in_the_middle;
use super::canvas::Tool;
use super::panel::{heading_ui, seen_or_why};
use super::setup::Which;
use super::view::Open;
use super::work::{coloured, feature_of};
use crate::colour::Lab;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme;
use crate::desk::widgets::{chip, icon_button, remark, strong};
use crate::identify::Observation;
use crate::key::{capital, percent};
use crate::photo::answer_colour;
use crate::photo::sampling::{ColourRead, WhiteIs};
use crate::say;
use egui::{Color32, Sense, Stroke, StrokeKind, Ui, vec2};

/// Colours of the key that are written out.
const WRITTEN_OUT: usize = 5;

pub(super) fn answers_of_colour(doc: &Document, open: &Open) -> Option<Observation> {
    let read = open.found.as_ref()?.colour()?;
    answer_colour(feature_of(&doc.key, open.steps.now())?, read)
}

/// True where there is something to answer with.
pub(super) fn colour_ui(ui: &mut Ui, doc: &Document, open: &mut Open) -> bool {
    features_ui(ui, doc, open);
    area_ui(
        ui,
        open,
        Which::White,
        say!("Something white"),
        say!("The white border of a card, a grey patch or plain paper, lit as the piece is"),
    );
    if open.steps.now().areas.white.is_some() {
        ui.horizontal_wrapped(|ui| {
            for (is, words) in [(WhiteIs::Known, say!("A card or a patch")), (WhiteIs::Paper, say!("Paper"))] {
                if chip(ui, words, open.steps.now().areas.white_is == is).clicked() {
                    open.steps.change(|setup| setup.areas.white_is = is);
                }
            }
        });
    }
    area_ui(ui, open, Which::At, say!("The colour"), say!("A place without glare, pattern and shadow"));
    heading_ui(ui, open, say!("What was read"));
    if !seen_or_why(ui, open, open.found.as_ref().and_then(|found| found.colour()).is_some()) {
        return false;
    }
    if let Some(read) = open.found.as_ref().and_then(|found| found.colour()) {
        read_ui(ui, read);
    }
    true
}

fn features_ui(ui: &mut Ui, doc: &Document, open: &mut Open) {
    let now = feature_of(&doc.key, open.steps.now()).map(|feature| feature.id.clone());
    let all = coloured(&doc.key);
    if all.is_empty() {
        remark(ui, say!("No feature of this key has colours"));
    }
    if all.len() < 2 {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        for feature in all {
            if chip(ui, &capital(&feature.shown_name()), now.as_ref() == Some(&feature.id)).clicked() {
                let id = feature.id.clone();
                open.steps.change(|setup| setup.areas.feature = Some(id));
            }
        }
    });
}

fn area_ui(ui: &mut Ui, open: &mut Open, which: Which, words: &str, hint: &str) {
    strong(ui, words);
    ui.horizontal_wrapped(|ui| {
        let on = matches!(&open.tool, Tool::Area(now, _) if *now == which);
        let (drag, middle) = match which {
            Which::White => (say!("Drag across the white"), say!("Set the white by its corners")),
            Which::At => (say!("Drag across the colour"), say!("Set the colour by its corners")),
        };
        if chip(ui, drag, on).on_hover_text(hint).clicked() {
            open.tool = if on { Tool::Hand } else { Tool::Area(which, None) };
        }
        if open.steps.now().areas.of(which).is_none()
            && icon_button(ui, Icon::Crop, middle)
                .on_hover_text(say!("Two corners that can be dragged, or moved with the arrow keys"))
                .clicked()
        {
            set_in_the_middle(open, which);
        }
    });
    if open.steps.now().areas.of(which).is_none() {
        remark(ui, hint);
    }
}

fn read_ui(ui: &mut Ui, read: &ColourRead) {
    let lab = read.sampled.lab;
    ui.horizontal(|ui| {
        swatch(ui, lab);
        ui.vertical(|ui| {
            if let Some(name) = read.name {
                ui.label(capital(name.name)).on_hover_text(say!("Name by ISCC and NBS"));
            }
            remark(ui, read.munsell.map_or_else(String::new, |munsell| say!("Munsell {munsell}", munsell)));
            remark(
                ui,
                say!("L* {l:.1}  a* {a:.1}  b* {b:.1}, ΔE00 ± {spread:.1}", l = lab.l, a = lab.a, b = lab.b, spread = 2.0 * read.spread),
            );
        });
    });
    for likely in read.ranking.likely.iter().take(WRITTEN_OUT).filter(|likely| likely.probability >= 0.005) {
        ui.horizontal(|ui| {
            swatch(ui, likely.known.lab);
            ui.label(format!("{}, {}", capital(&likely.known.name), percent(likely.probability.min(0.999))));
            remark(ui, say!("ΔE00 {far:.1}", far = likely.delta_e));
        });
    }
    remark(ui, say!("None of these: {share}", share = percent(read.ranking.none)));
    for twins in &read.twins {
        ui.label(say!(
            "Twins: {one} and {other}, ΔE00 {delta_e:.1} apart; this colour can't part them",
            one = twins.one,
            other = twins.other,
            delta_e = twins.delta_e
        ));
        for told in &twins.told_by {
            remark(ui, told);
        }
    }
    for note in &read.notes {
        remark(ui, capital(note));
    }
}

/// A square of that colour.
fn swatch(ui: &mut Ui, lab: Lab) {
    let c = theme::colours(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(26.0, 26.0), Sense::hover());
    let [r, g, b] = lab.to_srgb();
    ui.painter().rect(rect, 4.0, Color32::from_rgb(r, g, b), Stroke::new(1.0, c.edge), StrokeKind::Inside);
}
