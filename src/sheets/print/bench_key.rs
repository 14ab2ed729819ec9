//! The bench key: the decision sequence of a key as numbered looks, each value as its drawing.

use super::draw::{self, ROW_GLYPH};
use super::flow::{BODY, CheckBar, Flow, HEADING, SMALL, SOFT, STRONG, Strip, stacked, text, text_at};
use super::setup::Setup;
use super::{PrintError, finished};
use crate::identify::Index;
use crate::identify::sequence::{Choice, Sequence, SequenceAsk, Step, To};
use crate::key::shape::Drawing;
use crate::key::{Dimension, Feature, FeatureKind, FormId, Key, capital};
use crate::sheets::page::{Colour, Document, Item, Paper, Stroke, line};
use crate::{say, say_count};
use kurbo::{Circle, Point, Rect, Shape as _, Vec2};

fn how() -> &'static str {
    say!(
        "Begin at 1. Look at what is asked, find the drawing that is like your piece, and go on at the number to its right. Where names stand \
        instead of a number, that is your form, or one of those forms. Readings are taken to be right: where the end does not look like your piece, go \
        back to the look you were least sure of."
    )
}

/// Lays the bench key out.
///
/// # Errors
/// [`PrintError::NoForms`]; [`PrintError::Sequence`] where the key is too large for a sequence.
pub fn bench_key(key: &Key, index: &Index, ask: &SequenceAsk, setup: &Setup) -> Result<Document, PrintError> {
    if key.forms.is_empty() {
        return Err(PrintError::NoForms);
    }
    let sequence = index.sequence(ask)?;
    let columns = if setup.paper == Paper::Phone || setup.is_booklet() { 1 } else { 2 };
    let about = say!(
        "{title}: {forms} in {steps}, {expected:.1} looks on average, at most {longest}",
        title = key.about.title,
        forms = say_count!(n = key.forms.len(), "{n} form", "{n} forms"),
        steps = say_count!(n = sequence.steps.len(), "{n} step", "{n} steps"),
        expected = sequence.expected,
        longest = sequence.longest
    );
    let mut flow = Flow::new(*setup, say!("Bench key"), &about, columns, CheckBar::No);
    let mut intro = text(SOFT, how(), flow.width());
    intro.push(Strip::space(2.5));
    flow.place(intro);
    if let To::Forms(forms) = &sequence.start {
        flow.place(text(BODY, &say!("No look parts {names}", names = names(key, forms)), flow.width()));
    }
    for step in &sequence.steps {
        let strips = step_strips(key, step, flow.width());
        flow.place(strips);
    }
    if !sequence.cut_short.is_empty() {
        let says = say_count!(
            n = sequence.cut_short.len(),
            "The sequence would be too long: some paths end early, with {n} form not told apart to the end",
            "The sequence would be too long: some paths end early, with {n} forms not told apart to the end"
        );
        flow.remark(says.clone());
        flow.place(text(STRONG, &says, flow.width()));
    }
    together(key, &sequence, &mut flow);
    Ok(finished(flow.end(), *setup))
}

/// 'covered sugar, Quoin', or several of them joined by 'or'.
fn names(key: &Key, forms: &[FormId]) -> String {
    forms.iter().map(|id| key.form_name(id)).collect::<Vec<_>>().join(say!(" or "))
}

/// How many ends leave several forms, so that nobody takes such an end for a fault of theirs.
fn together(key: &Key, sequence: &Sequence, flow: &mut Flow) {
    let ends = sequence
        .steps
        .iter()
        .flat_map(|step| &step.choices)
        .filter(|choice| matches!(&choice.to, To::Forms(forms) if forms.len() > 1))
        .count();
    if ends > 0 && sequence.cut_short.is_empty() {
        let says = say_count!(
            n = ends,
            "At {n} end nothing recorded in {title} parts the forms that are named together.",
            "At {n} ends nothing recorded in {title} parts the forms that are named together.",
            title = key.about.title
        );
        flow.place(text(SMALL, &says, flow.width()));
    }
}

fn step_strips(key: &Key, step: &Step, width: f64) -> Vec<Strip> {
    let feature = key.feature(&step.feature);
    let mut head = text_at(HEADING, &capital(&step.name), 8.0, width);
    if let Some(first) = head.first_mut() {
        first.items.extend(draw::bubble(Point::new(3.0, HEADING.ascent() - 1.35), 2.9, &step.number.to_string(), Colour::INK));
    }
    let mut hint: Vec<String> = feature.into_iter().map(|feature| feature.view.words().to_owned()).collect();
    hint.extend(feature.map(|feature| feature.look.clone()).filter(|look| !look.is_empty()));
    head.extend(text_at(SMALL, &hint.join(": "), 8.0, width));
    head.push(Strip::space(0.8));
    let mut strips = vec![Strip { keep: true, ..stacked(head) }];
    for choice in &step.choices {
        strips.extend(choice_strips(key, feature, choice, width));
    }
    strips.push(Strip::space(3.5));
    strips
}

fn choice_strips(key: &Key, feature: Option<&Feature>, choice: &Choice, width: f64) -> Vec<Strip> {
    let left = 8.0;
    let drawing = picture(key, feature, &choice.label, Rect::new(left, 0.0, left + ROW_GLYPH, ROW_GLYPH));
    let label_x = if drawing.is_empty() { left } else { left + ROW_GLYPH + 1.5 };
    let target_x = left + (width - left) * 0.5;
    let label = text_at(BODY, &choice.label, label_x, target_x - 1.0);
    let (target, end) = match &choice.to {
        To::Step(number) => (bubble_at_right(*number, width), width - 6.5),
        To::Forms(forms) => (form_names(key, forms, target_x, width), target_x - 1.0),
    };
    let label_high: f64 = label.iter().map(|strip| strip.height).sum();
    let target_high: f64 = target.iter().map(|strip| strip.height).sum();
    let high = label_high.max(target_high).max(if drawing.is_empty() { BODY.leading() } else { ROW_GLYPH });
    // A row of very many names is cut between its lines.
    if high > 120.0 {
        let mut strips = label;
        strips.extend(target);
        if let Some(first) = strips.first_mut() {
            first.items.extend(drawing);
        }
        return strips;
    }
    let last_label = label.last().map_or(0.0, text_end);
    let label_lines = label.len();
    let mut whole = Strip { height: high + 0.6, items: drawing, keep: false };
    for (strips, own) in [(label, label_high), (target, target_high)] {
        let down = Vec2::new(0.0, (high - own) / 2.0);
        whole.items.extend(stacked(strips).items.into_iter().map(|item| item.shifted(down)));
    }
    if label_lines == 1 && target_high < high + 1e-6 {
        let y = (high - label_high) / 2.0 + BODY.ascent() - 0.3;
        whole.items.extend(draw::dots(Point::new(last_label + 1.5, y), end));
    }
    vec![whole]
}

/// Where the text of a strip ends.
fn text_end(strip: &Strip) -> f64 {
    let ends = strip.items.iter().filter_map(|item| match item {
        Item::Text { at, size_mm, line, .. } => Some(at.x + line.width_mm(*size_mm)),
        Item::Path { .. } | Item::Picture { .. } => None,
    });
    ends.fold(0.0, f64::max)
}

fn bubble_at_right(number: usize, width: f64) -> Vec<Strip> {
    let at = Point::new(width - 3.0, 3.0);
    let ring = Circle::new(at, 2.7).to_path(0.005);
    let words = line(STRONG.face, &number.to_string());
    let x = at.x - words.width_mm(STRONG.size_mm * 0.9) / 2.0;
    let items = vec![
        Item::stroke(ring, Stroke::new(Colour::INK, 0.3)),
        Item::text(Point::new(x, at.y + 1.1), STRONG.size_mm * 0.9, STRONG.colour, words),
    ];
    vec![Strip { height: 6.0, items, keep: false }]
}

fn form_names(key: &Key, forms: &[FormId], from: f64, width: f64) -> Vec<Strip> {
    let mut strips = Vec::new();
    for (at, id) in forms.iter().enumerate() {
        let drawn = key.form(id).map_or_else(Vec::new, |form| draw::small(&form.shape, Rect::new(width - 10.0, 0.3, width, 7.3)));
        let says = if at + 1 < forms.len() { say!("{form} or", form = key.form_name(id)) } else { key.form_name(id) };
        let lines = text_at(STRONG, &says, from, width - 11.5);
        let high: f64 = lines.iter().map(|strip| strip.height).sum();
        let mut strip = stacked(lines);
        let down = ((7.6 - high) / 2.0).max(0.0);
        strip.items = strip.items.into_iter().map(|item| item.shifted(Vec2::new(0.0, down))).collect();
        strip.items.extend(drawn);
        strip.height = high.max(7.6);
        strips.push(strip);
    }
    strips
}

/// The drawing of what a branch is called: of its value, of there being none, or of a measure below or above its cut.
fn picture(key: &Key, feature: Option<&Feature>, label: &str, rect: Rect) -> Vec<Item> {
    let Some(feature) = feature else { return Vec::new() };
    if let Some((id, _)) = key.values_of(feature).into_iter().find(|(_, name)| name == label) {
        return draw::value(key, feature, &id, rect);
    }
    // As branches are called (`identify::sequence`).
    let below = label.starts_with(say!("below {cut}", cut = "").as_str());
    let or_more = label.ends_with(say!("{cut} or more", cut = "").as_str());
    match &feature.kind {
        FeatureKind::Measure(kind) if below || or_more => match kind.of {
            Some(of) => measure(of, below, rect),
            None => Vec::new(),
        },
        _ if label.starts_with(say!("no {part}", part = "").as_str()) => draw::glyph(&Drawing::Absent.glyph(), rect),
        _ => Vec::new(),
    }
}

/// A measure short of its cut, or beyond it.
fn measure(of: Dimension, below: bool, rect: Rect) -> Vec<Item> {
    let upright = matches!(of, Dimension::BodyHeight | Dimension::HeightWithLid);
    let rect = rect.inset(-rect.width() * 0.1);
    let (mark, reach) = (0.6, if below { 0.4 } else { 0.95 });
    let at = |along: f64, across: f64| {
        if upright {
            Point::new(rect.x0 + rect.width() * across, rect.y1 - rect.height() * along)
        } else {
            Point::new(rect.x0 + rect.width() * along, rect.y0 + rect.height() * across)
        }
    };
    let ink = Stroke::new(Colour::INK, 0.4);
    vec![
        Item::straight(at(mark, 0.1), at(mark, 0.9), Stroke::dashed(Colour::SOFT, 0.25, 0.7, 0.5)),
        Item::straight(at(0.0, 0.5), at(reach, 0.5), ink.clone()),
        Item::straight(at(0.0, 0.3), at(0.0, 0.7), ink.clone()),
        Item::straight(at(reach, 0.3), at(reach, 0.7), ink),
    ]
}
