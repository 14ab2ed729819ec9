//! What is recorded of each feature, part by part: values as drawings with how often, ranges, 'not recorded' and 'does not apply'.

use super::draft::Sight;
use super::entries::number;
use crate::desk::board::glyph;
use crate::desk::document::Document;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, chip, remark};
use crate::key::{Condition, Feature, FeatureId, FeatureKind, Form, Often, Part, Record, ValueId, capital};
use crate::say;
use egui::{Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};
use indexmap::IndexMap;

/// Draws the records of every feature that the form can have, and brings the one that is sought into sight.
pub(super) fn features_ui(ui: &mut Ui, doc: &Document, form: &mut Form, sought: Option<&(FeatureId, Sight)>) {
    ui.set_width(ui.available_width());
    for part in Part::ALL {
        let features: Vec<&Feature> = doc.key.features.iter().filter(|feature| feature.part == part).collect();
        if features.is_empty() || (part != Part::Body && !form.parts.contains(&part)) {
            continue;
        }
        widgets::heading(ui, capital(part.word()));
        for feature in features {
            let by_list = !matches!(feature.kind, FeatureKind::Choice(_) | FeatureKind::Measure(_));
            // Glazes, decorations and marks have a list of their own further down.
            if !by_list {
                let shown = ui.push_id(feature.id.as_str(), |ui| feature_ui(ui, doc, form, feature)).response;
                if let Some((_, sight)) = sought.filter(|(id, _)| *id == feature.id) {
                    ui.painter().rect_stroke(shown.rect.expand(4.0), 8.0, Stroke::new(2.0, theme::colours(ui).glow), StrokeKind::Outside);
                    if *sight == Sight::Due {
                        shown.scroll_to_me(Some(egui::Align::Center));
                    }
                }
            }
        }
    }
}

fn feature_ui(ui: &mut Ui, doc: &Document, form: &mut Form, feature: &Feature) {
    let name = feature.shown_name();
    let state = form.features.get(&feature.id).cloned();
    let condition = match &feature.only_if {
        Some(Condition::Has(part)) if !form.parts.contains(part) => return,
        Some(Condition::Lacks(part)) if form.parts.contains(part) => return,
        Some(Condition::Is(other, _)) => doc.key.feature(other).map(Feature::shown_name),
        _ => None,
    };
    let mut new = state.clone();
    ui.horizontal_wrapped(|ui| {
        widgets::strong(
            ui,
            match condition {
                Some(other) => say!("{feature} (depends on the {other})", feature = capital(&name), other),
                None => capital(&name),
            },
        );
        let recorded = matches!(state, Some(Record::Always(_) | Record::Values(_) | Record::Between(..)));
        let open = !recorded && !matches!(state, Some(Record::DoesNotApply));
        let response = chip(ui, say!("not recorded"), open);
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, open, say!("{name}: not recorded", name)));
        if response.clicked() {
            new = None;
        }
        let none = matches!(state, Some(Record::DoesNotApply));
        let response = chip(ui, say!("does not apply"), none);
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, none, say!("{name}: does not apply", name)));
        if response.clicked() {
            new = Some(Record::DoesNotApply);
        }
        if let FeatureKind::Measure(measure) = &feature.kind {
            measure_ui(ui, &name, measure.unit.sign(), form, feature, &mut new);
        }
    });
    if let FeatureKind::Choice(_) = &feature.kind {
        ui.horizontal_wrapped(|ui| {
            for (id, words) in doc.key.values_of(feature) {
                value_ui(ui, doc, feature, &name, &id, &words, &mut new);
            }
        });
    }
    if new != state {
        match new {
            Some(record) => {
                form.features.insert(feature.id.clone(), record);
            }
            None => {
                form.features.shift_remove(&feature.id);
            }
        }
    }
    ui.add_space(4.0);
}

fn measure_ui(ui: &mut Ui, name: &str, unit: &str, form: &Form, feature: &Feature, new: &mut Option<Record>) {
    if let Some(Record::Between(from, to)) = new {
        let suffix = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        remark(ui, say!("from"));
        let least = number(ui, &say!("{name}, least", name), from, 0.0..=100_000.0, &suffix);
        remark(ui, say!("to"));
        let greatest = number(ui, &say!("{name}, greatest", name), to, 0.0..=100_000.0, &suffix);
        // The end that is not being moved follows, so that the range never runs backwards.
        if least.changed() {
            *to = to.max(*from);
        } else if greatest.changed() {
            *from = from.min(*to);
        }
    } else {
        let response = ui.button(say!("measured"));
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("{name}: measured", name)));
        if response.clicked() {
            let drawn = measure_of(form, feature).unwrap_or(0.0).round();
            *new = Some(Record::Between(drawn, drawn));
        }
    }
}

/// What the drawing says of a measure.
fn measure_of(form: &Form, feature: &Feature) -> Option<f64> {
    use crate::key::Dimension;
    let FeatureKind::Measure(measure) = &feature.kind else { return None };
    let shape = &form.shape;
    match measure.of? {
        Dimension::BodyHeight => Some(shape.body_height_mm()),
        Dimension::HeightWithLid => Some(shape.height_mm()),
        Dimension::RimLong => Some(shape.rim_radius_mm() * 2.0),
        Dimension::RimShort => Some(shape.plan.half_short_mm(shape.rim_radius_mm()) * 2.0),
        Dimension::Greatest => Some(shape.max_radius_mm() * 2.0),
        Dimension::Width => Some(shape.width_mm()),
        Dimension::Foot => Some(shape.foot_radius_mm() * 2.0),
        Dimension::LidLong | Dimension::LidShort => None,
    }
}

fn often_of(record: Option<&Record>, id: &ValueId) -> Option<Often> {
    match record {
        Some(Record::Always(value)) if value == id => Some(Often::Always),
        Some(Record::Values(values)) => values.get(id).copied(),
        _ => None,
    }
}

/// A value as its drawing and name. A click records it, a second takes it out; the word beside it says how often.
fn value_ui(ui: &mut Ui, doc: &Document, feature: &Feature, feature_name: &str, id: &ValueId, words: &str, record: &mut Option<Record>) {
    let c = theme::colours(ui);
    let often = often_of(record.as_ref(), id);
    let galley = ui.painter().layout_no_wrap(words.to_owned(), egui::FontId::proportional(14.5), c.ink);
    let size = vec2(TARGET + galley.size().x + 20.0, TARGET + 2.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, often.is_some(), format!("{feature_name}: {words}")));
    let fill = if often.is_some() || response.hovered() { c.glow_wash } else { c.paper_warm };
    let line = if often.is_some() || response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
    ui.painter().rect(rect, 7.0, fill, line, StrokeKind::Inside);
    let figure = egui::Rect::from_min_size(rect.min + vec2(4.0, 4.0), vec2(TARGET - 6.0, TARGET - 6.0));
    glyph::value_glyph(ui.painter(), figure, &doc.key, feature, id, c);
    ui.painter().galley(pos2(rect.left() + TARGET + 6.0, rect.center().y - galley.size().y / 2.0), galley, c.ink);
    if response.clicked() {
        *record = toggled(record.as_ref(), id);
    }
    if let Some(often) = often {
        let say = often.words();
        let hint = match often {
            Often::Times(_) => say!("Counted on so many pieces; click to count one more, with Shift to take one off"),
            Often::Always | Often::Usually | Often::Sometimes => say!("How often; click for the next"),
        };
        let response = ui.button(&say).on_hover_text(hint);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{feature_name}: {words}, {say}")));
        if response.clicked() {
            let fewer = ui.input(|i| i.modifiers.shift);
            *record = match often {
                Often::Times(n) if fewer => counted(record.as_ref(), id, n.saturating_sub(1)),
                Often::Times(n) => counted(record.as_ref(), id, n.saturating_add(1)),
                Often::Always | Often::Usually | Often::Sometimes => next_often(record.as_ref(), id, often),
            };
        }
    }
}

/// The record with that count; a value counted on no piece is left out.
fn counted(record: Option<&Record>, id: &ValueId, times: u32) -> Option<Record> {
    let mut values = values_of(record);
    if times == 0 {
        values.shift_remove(id);
    } else {
        values.insert(id.clone(), Often::Times(times));
    }
    record_of(values)
}

fn values_of(record: Option<&Record>) -> IndexMap<ValueId, Often> {
    match record {
        Some(Record::Always(value)) => IndexMap::from([(value.clone(), Often::Always)]),
        Some(Record::Values(values)) => values.clone(),
        _ => IndexMap::new(),
    }
}

/// The shortest record that says the same.
fn record_of(values: IndexMap<ValueId, Often>) -> Option<Record> {
    match values.first() {
        None => None,
        Some((value, Often::Always)) if values.len() == 1 => Some(Record::Always(value.clone())),
        Some(_) => Some(Record::Values(values)),
    }
}

fn toggled(record: Option<&Record>, id: &ValueId) -> Option<Record> {
    let mut values = values_of(record);
    if values.shift_remove(id).is_none() {
        // A second value means that neither is always so.
        if let [only] = values.values_mut().collect::<Vec<_>>().as_mut_slice()
            && **only == Often::Always
        {
            **only = Often::Usually;
        }
        let counts = values.values().any(|often| often.times().is_some());
        let often = match (values.is_empty(), counts) {
            (true, _) => Often::Always,
            (false, true) => Often::Times(1),
            (false, false) => Often::Sometimes,
        };
        values.insert(id.clone(), often);
    }
    record_of(values)
}

fn next_often(record: Option<&Record>, id: &ValueId, now: Often) -> Option<Record> {
    let mut values = values_of(record);
    let next = match now {
        Often::Always => Often::Usually,
        Often::Usually => Often::Sometimes,
        Often::Sometimes | Often::Times(_) => Often::Always,
    };
    values.insert(id.clone(), next);
    record_of(values)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_go_up_and_down_and_a_new_value_starts_at_one() {
        let record = Record::Values(IndexMap::from([("round".into(), Often::Times(7))]));
        let two = toggled(Some(&record), &"oval".into());
        assert_eq!(two, Some(Record::Values(IndexMap::from([("round".into(), Often::Times(7)), ("oval".into(), Often::Times(1))]))));
        assert_eq!(counted(two.as_ref(), &"oval".into(), 0), Some(record.clone()));
        assert_eq!(counted(Some(&record), &"round".into(), 8), Some(Record::Values(IndexMap::from([("round".into(), Often::Times(8))]))));
    }

    #[test]
    fn a_second_value_makes_the_first_usual() {
        let one = toggled(None, &"round".into());
        assert_eq!(one, Some(Record::Always("round".into())));
        let two = toggled(one.as_ref(), &"oval".into());
        assert_eq!(two, Some(Record::Values(IndexMap::from([("round".into(), Often::Usually), ("oval".into(), Often::Sometimes)]))));
        let back = toggled(two.as_ref(), &"oval".into());
        assert_eq!(back, Some(Record::Values(IndexMap::from([("round".into(), Often::Usually)]))));
        assert_eq!(toggled(back.as_ref(), &"round".into()), None);
        assert_eq!(
            next_often(Some(&Record::Values(IndexMap::from([("round".into(), Often::Sometimes)]))), &"round".into(), Often::Sometimes),
            one
        );
    }
}
