//! The sheet of a feature: where it is seen, what it can be, when it applies, and how often it is misread.

use super::drawing::drawing_ui;
use super::fields::{field, one_of};
use crate::colour::Lab;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::TARGET;
use crate::desk::widgets::{Ability, button, chip, icon_button, icon_button_if, remark, strong};
use crate::key::edit::{made_id, values_used};
use crate::key::shape::Drawing;
use crate::key::{Condition, Dimension, Feature, FeatureId, FeatureKind, MeasureKind, Part, Unit, Value, ValueId, View, capital};
use crate::{say, say_count};
use egui::{DragValue, Margin, Popup, PopupCloseBehavior, TextEdit, Ui, WidgetInfo, vec2};
use std::collections::BTreeMap;

const VIEWS: [View; 4] = [View::Above, View::Side, View::Underneath, View::Hand];

fn units() -> [(Unit, &'static str); 4] {
    [(Unit::Mm, "mm"), (Unit::G, "g"), (Unit::Ml, "ml"), (Unit::Count, say!("a count"))]
}

fn dimensions() -> [(Option<Dimension>, &'static str); 10] {
    [
        (None, say!("nothing that is drawn")),
        (Some(Dimension::BodyHeight), say!("height, lid off")),
        (Some(Dimension::HeightWithLid), say!("height with the lid")),
        (Some(Dimension::RimLong), say!("rim, long side")),
        (Some(Dimension::RimShort), say!("rim, short side")),
        (Some(Dimension::Greatest), say!("greatest diameter")),
        (Some(Dimension::Width), say!("width over all")),
        (Some(Dimension::Foot), say!("foot")),
        (Some(Dimension::LidLong), say!("lid, long side")),
        (Some(Dimension::LidShort), say!("lid, short side")),
    ]
}

/// How often each value of a feature is named in the key of that revision: the whole key is looked through once, not each frame.
#[derive(Debug, Default)]
pub(super) struct Used {
    of: Option<(u64, FeatureId)>,
    times: BTreeMap<ValueId, usize>,
}

impl Used {
    fn bring_up(&mut self, doc: &Document, feature: &FeatureId) {
        if self.of.as_ref().is_none_or(|(revision, of)| *revision != doc.revision || of != feature) {
            self.times = values_used(&doc.key, feature);
            self.of = Some((doc.revision, feature.clone()));
        }
    }
}

/// Draws the sheet of a feature below its names.
pub(super) fn feature_ui(ui: &mut Ui, doc: &Document, feature: &mut Feature, used: &mut Used) {
    field(ui, say!("What to do"), &mut feature.look, 420.0);
    if let Some(view) = one_of(ui, say!("Seen"), &VIEWS.map(|view| (view, view.words())), feature.view) {
        feature.view = view;
    }
    let parts = Part::ALL.map(|part| (part, part.word()));
    if let Some(part) = one_of(ui, say!("Part"), &parts, feature.part) {
        feature.part = part;
    }
    condition_ui(ui, doc, feature);
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Misread"));
        let mut percent = feature.slip * 100.0;
        let slip = DragValue::new(&mut percent).range(0.0..=50.0).speed(0.1).max_decimals(1).suffix(" %");
        if ui.add(slip).on_hover_text(say!("How often an honest person reads it wrong")).accessible_name(say!("Misread, percent")).changed()
        {
            feature.slip = percent / 100.0;
        }
        remark(ui, say!("Effort of looking"));
        ui.add(DragValue::new(&mut feature.effort).range(0.1..=20.0).speed(0.05).max_decimals(1))
            .on_hover_text(say!("1 for a glance, 3 for turning a full dish over or fetching a rule"))
            .accessible_name(say!("Effort of looking"));
    });
    strong(ui, say!("What it can be"));
    kind_ui(ui, feature);
    match &mut feature.kind {
        FeatureKind::Choice(_) => values_ui(ui, doc, feature, used),
        FeatureKind::Measure(measure) => measure_ui(ui, measure),
        FeatureKind::Glaze => {
            remark(ui, say!("Any glaze of this key, by name or by colour"));
        }
        FeatureKind::Decoration => {
            remark(ui, say!("Any decoration of this key"));
        }
        FeatureKind::Mark => {
            remark(ui, say!("Any mark of this key, chosen or by what can be read"));
        }
    }
}

fn kind_ui(ui: &mut Ui, feature: &mut Feature) {
    ui.horizontal_wrapped(|ui| {
        let kinds: [(&str, FeatureKind); 5] = [
            (say!("chosen from values"), FeatureKind::Choice(Vec::new())),
            (say!("measured"), FeatureKind::Measure(MeasureKind { unit: Unit::Mm, give_percent: None, of: None })),
            (say!("a glaze"), FeatureKind::Glaze),
            (say!("a decoration"), FeatureKind::Decoration),
            (say!("a mark"), FeatureKind::Mark),
        ];
        for (words, kind) in kinds {
            let on = std::mem::discriminant(&kind) == std::mem::discriminant(&feature.kind);
            if chip(ui, words, on).clicked() && !on {
                feature.kind = kind;
            }
        }
    });
}

fn measure_ui(ui: &mut Ui, measure: &mut MeasureKind) {
    if let Some(unit) = one_of(ui, say!("Unit"), &units(), measure.unit) {
        measure.unit = unit;
    }
    if let Some(of) = one_of(ui, say!("It measures"), &dimensions(), measure.of) {
        measure.of = of;
    }
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Give for firing"));
        match &mut measure.give_percent {
            Some(give) => {
                ui.add(DragValue::new(give).range(0.0..=50.0).speed(0.05).max_decimals(1).suffix(" %"))
                    .accessible_name(say!("Give, percent"));
                if icon_button(ui, Icon::Close, say!("Give as in the whole key")).clicked() {
                    measure.give_percent = None;
                }
            }
            None => {
                if chip(ui, say!("as in the whole key"), true).on_hover_text(say!("Click to state its own")).clicked() {
                    measure.give_percent = Some(2.0);
                }
            }
        }
    });
}

fn condition_ui(ui: &mut Ui, doc: &Document, feature: &mut Feature) {
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Applies"));
        if chip(ui, say!("always"), feature.only_if.is_none()).clicked() {
            feature.only_if = None;
        }
        let words = match &feature.only_if {
            Some(Condition::Has(part)) => say!("only with a {part}", part = part.word()),
            Some(Condition::Lacks(part)) => say!("only without a {part}", part = part.word()),
            Some(Condition::Is(other, values)) => {
                let names = doc.key.feature(other).map(|other| doc.key.values_of(other)).unwrap_or_default();
                let shown =
                    |id: &ValueId| names.iter().find(|(known, _)| known == id).map_or(id.as_str(), |(_, name)| name.as_str()).to_owned();
                {
                    let values = values.iter().map(shown).collect::<Vec<_>>().join(say!(" or "));
                    say!("only where the {feature} is {values}", feature = doc.key.feature_name(other), values)
                }
            }
            None => say!("only where …").to_owned(),
        };
        let response = chip(ui, &words, feature.only_if.is_some());
        Popup::menu(&response).close_behavior(PopupCloseBehavior::CloseOnClickOutside).show(|ui| {
            ui.set_max_width(380.0);
            ui.horizontal_wrapped(|ui| {
                for part in Part::ALL.into_iter().filter(|part| *part != Part::Body) {
                    let word = part.word();
                    for (words, condition) in [
                        (say!("with a {part}", part = word), Condition::Has(part)),
                        (say!("without a {part}", part = word), Condition::Lacks(part)),
                    ] {
                        let on = feature.only_if.as_ref() == Some(&condition);
                        if chip(ui, &words, on).clicked() {
                            feature.only_if = Some(condition);
                        }
                    }
                }
            });
            depends_ui(ui, doc, &feature.id, &mut feature.only_if);
        });
    });
}

/// Where it depends on what another feature is.
fn depends_ui(ui: &mut Ui, doc: &Document, own: &FeatureId, condition: &mut Option<Condition>) {
    remark(ui, say!("Or on another feature"));
    egui::ScrollArea::vertical().max_height(260.0).show(ui, |ui| {
        for other in doc.key.features.iter().filter(|other| other.id != *own && matches!(other.kind, FeatureKind::Choice(_))) {
            ui.horizontal_wrapped(|ui| {
                remark(ui, capital(&other.shown_name()));
                for (id, name) in doc.key.values_of(other) {
                    let chosen = match condition {
                        Some(Condition::Is(of, values)) if *of == other.id => values.clone(),
                        _ => Vec::new(),
                    };
                    let on = chosen.contains(&id);
                    if chip(ui, &name, on).clicked() {
                        let mut values = chosen;
                        if on {
                            values.retain(|value| *value != id);
                        } else {
                            values.push(id);
                        }
                        *condition = (!values.is_empty()).then(|| Condition::Is(other.id.clone(), values));
                    }
                }
            });
        }
    });
}

/// What is asked of a value.
enum Asked {
    Up(usize),
    Remove(usize),
}

fn values_ui(ui: &mut Ui, doc: &Document, feature: &mut Feature, used: &mut Used) {
    used.bring_up(doc, &feature.id);
    let FeatureKind::Choice(values) = &mut feature.kind else { return };
    let mut asked = None;
    for (at, value) in values.iter_mut().enumerate() {
        ui.push_id(("value", at), |ui| {
            ui.horizontal_wrapped(|ui| {
                let number = at + 1;
                drawing_ui(ui, doc, &say!("value {number}", number), &mut value.drawing);
                value_names_ui(ui, number, value);
                colour_ui(ui, number, value);
                if icon_button_if(ui, Icon::Up, &say!("Value {number} one place up", number), Ability::from(at > 0)).clicked() {
                    asked = Some(Asked::Up(at));
                }
                let used = used.times.get(&value.id).copied().unwrap_or(0);
                let name = if used == 0 {
                    say!("Take value {number} away", number)
                } else {
                    say_count!(n = used, "Value {number} stays: {n} record of it", "Value {number} stays: {n} records of it", number)
                };
                if icon_button_if(ui, Icon::Remove, &name, Ability::from(used == 0)).clicked() {
                    asked = Some(Asked::Remove(at));
                }
            });
        });
    }
    match asked {
        Some(Asked::Up(at)) => values.swap(at, at - 1),
        Some(Asked::Remove(at)) => {
            values.remove(at);
        }
        None => {}
    }
    if button(ui, Icon::Add, say!("Another value")).clicked() {
        let id = made_id("new value", |id| values.iter().any(|value| value.id.as_str() == id));
        values.push(Value {
            id: ValueId::new(id),
            name: String::new(),
            also: Vec::new(),
            drawing: Drawing::None,
            lab: None,
            note: String::new(),
        });
    }
}

/// Name and note of a value. A new one takes its id from its name.
fn value_names_ui(ui: &mut Ui, number: usize, value: &mut Value) {
    let is_new = value.id.as_str().starts_with("new-value");
    let mut name = if is_new { value.name.clone() } else { value.shown_name() };
    let response = ui.add(TextEdit::singleline(&mut name).desired_width(170.0).min_size(vec2(0.0, TARGET)).margin(Margin::symmetric(8, 7)));
    response.widget_info(|| WidgetInfo::labeled(egui::Role::TextInput, true, say!("Name of value {number}", number)));
    if response.changed() {
        value.name = name;
    }
    let note = TextEdit::singleline(&mut value.note).desired_width(210.0).min_size(vec2(0.0, TARGET)).hint_text(say!("what is meant"));
    let response = ui.add(note.margin(Margin::symmetric(8, 7)));
    response.widget_info(|| WidgetInfo::labeled(egui::Role::TextInput, true, say!("Note on value {number}", number)));
}

/// Gives new values ids made from their names, once they are named.
pub(super) fn name_values(feature: &mut Feature) {
    let FeatureKind::Choice(values) = &mut feature.kind else { return };
    for at in 0..values.len() {
        let Some(name) =
            values.get(at).filter(|value| value.id.as_str().starts_with("new-value")).map(|value| value.name.trim().to_owned())
        else {
            continue;
        };
        let id = made_id(&name, |id| values.iter().any(|value| value.id.as_str() == id));
        if let Some(value) = values.get_mut(at).filter(|_| !name.is_empty()) {
            value.id = ValueId::new(id);
            value.name = name;
        }
    }
}

/// A value may be a colour, such as a clay.
fn colour_ui(ui: &mut Ui, number: usize, value: &mut Value) {
    match &mut value.lab {
        Some(lab) => {
            let mut rgb = lab.to_srgb();
            if ui.color_edit_button_srgb(&mut rgb).on_hover_text(say!("Colour of value {number}", number)).changed() {
                *lab = Lab::from_srgb(rgb);
            }
            if icon_button(ui, Icon::Close, &say!("Value {number} is no colour", number)).clicked() {
                value.lab = None;
            }
        }
        None => {
            if button(ui, Icon::Add, say!("Colour")).on_hover_text(say!("For a clay or another value that is a colour")).clicked() {
                value.lab = Some(Lab::new(70.0, 2.0, 10.0));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::builtin;

    #[test]
    fn new_values_are_called_by_their_names() {
        let mut feature = builtin::demo().key.feature(&"lid-outline".into()).unwrap().clone();
        let FeatureKind::Choice(values) = &mut feature.kind else { unreachable!("it is a choice") };
        let before = values.len();
        let new = |name: &str| Value {
            id: ValueId::new(format!("new-value-{name}")),
            name: name.to_owned(),
            also: Vec::new(),
            drawing: Drawing::None,
            lab: None,
            note: String::new(),
        };
        values.extend([new("Half Moon"), new("round"), new("")]);
        name_values(&mut feature);
        let FeatureKind::Choice(values) = &feature.kind else { unreachable!("it is a choice") };
        let ids: Vec<&str> = values.iter().skip(before).map(|value| value.id.as_str()).collect();
        assert_eq!(ids, ["half-moon", "round-2", "new-value-"]);
    }
}
