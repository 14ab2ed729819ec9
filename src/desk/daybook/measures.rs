//! The measures of a find on its sheet: those of the key's features, with their ±, and others by a name of their own.

use super::record::{Edited, edit};
use crate::daybook::record::Measure;
use crate::daybook::{Find, FindId};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{Ability, icon_button, icon_button_if, remark, strong};
use crate::identify::Seen;
use crate::identify::see::answer;
use crate::key::tables::quantity::{Decimal, parse};
use crate::key::words::fold;
use crate::key::{Feature, FeatureKind, capital};
use crate::say;
use egui::{Margin, RichText, Role, TextEdit, Ui, WidgetInfo, vec2};

/// Width of a name and of a measure, in points.
const NAME: f32 = 132.0;
const MEASURE: f32 = 130.0;

/// What is being typed.
#[derive(Debug, Default)]
pub(super) struct Typed {
    of: Option<(FindId, u32)>,
    /// Of the features that were measured, in the order they were seen.
    seen: Vec<String>,
    /// Of the record's own.
    further: Vec<String>,
    /// A measure to be added.
    what: String,
    value: String,
}

impl Typed {
    fn follow(&mut self, find: &Find) {
        if self.of == Some((find.id, find.revision)) {
            return;
        }
        *self = Self {
            of: Some((find.id, find.revision)),
            seen: measured(find).map(|(_, typed)| typed).collect(),
            further: find.record.measures.iter().map(|measure| measure.value.clone()).collect(),
            what: String::new(),
            value: String::new(),
        };
    }
}

/// The places of what was measured among what was seen, and how one would type it.
fn measured(find: &Find) -> impl Iterator<Item = (usize, String)> {
    find.piece.observations.iter().enumerate().filter_map(|(at, observation)| match &observation.seen {
        Seen::Measured(measured) => Some((at, format!("{} ± {}", measured.value, measured.plus_minus))),
        _ => None,
    })
}

/// Draws the measures and takes changes of them. An emptied field takes its measure away.
pub(super) fn measures_ui(ui: &mut Ui, doc: &Document, typed: &mut Typed, find: &Find, edited: &mut Edited) {
    typed.follow(find);
    strong(ui, say!("Measures"));
    for ((at, now), text) in measured(find).zip(&mut typed.seen) {
        let Some(observation) = find.piece.observations.get(at) else { continue };
        let feature = doc.key.feature(&observation.feature);
        let name = doc.key.feature_name(&observation.feature);
        let unit = feature.map_or("", sign_of);
        let read = feature.map(|feature| answer(&doc.key, &doc.words, feature, text));
        let problem = match &read {
            _ if text.trim().is_empty() || *text == now => None,
            Some(Ok(new)) if matches!(new.seen, Seen::Measured(_)) => None,
            Some(Ok(_)) => Some(say!("'{text}' is not a measure (write 92 or 92 ± 2)", text = text.trim())),
            Some(Err(error)) => Some(error.to_string()),
            None => Some(say!("this key has no such feature, so its measure can't be changed").to_owned()),
        };
        let left = field_ui(ui, &name, unit, text, problem.as_deref());
        if !left || *text == now || problem.is_some() {
            continue;
        }
        if text.trim().is_empty() {
            edit(edited, find, &say!("{name} taken away", name), |find| drop(find.piece.observations.remove(at)));
        } else if let Some(Ok(new)) = read {
            edit(edited, find, &name, |find| {
                if let Some(observation) = find.piece.observations.get_mut(at) {
                    observation.seen = new.seen;
                }
            });
        }
    }
    for ((at, measure), text) in find.record.measures.iter().enumerate().zip(&mut typed.further) {
        let problem = problem_of(text).filter(|_| *text != measure.value);
        let left = field_ui(ui, &measure.what, "", text, problem.as_deref());
        if !left || *text == measure.value || problem.is_some() {
            continue;
        }
        let (name, text) = (measure.what.clone(), text.trim().to_owned());
        if text.is_empty() {
            edit(edited, find, &say!("{name} taken away", name), |find| drop(find.record.measures.remove(at)));
        } else {
            edit(edited, find, &name, |find| {
                if let Some(measure) = find.record.measures.get_mut(at) {
                    measure.value = text;
                }
            });
        }
    }
    add_ui(ui, doc, typed, find, edited);
    if !find.piece.observations.is_empty() {
        remark(ui, say!("The verdict stays that of its day; take the piece in hand again to have it named anew."));
    }
}

/// What is wrong with a measure of the record's own; nothing where it is one, or empty.
fn problem_of(text: &str) -> Option<String> {
    let plain = text.replace("+/-", "±").replace("+-", "±");
    if text.trim().is_empty() { None } else { parse(&plain, Decimal::Guess).err().map(|error| error.to_string()) }
}

const fn sign_of(feature: &Feature) -> &'static str {
    match &feature.kind {
        FeatureKind::Measure(measure) => measure.unit.sign(),
        _ => "",
    }
}

/// A measure in its line; true once the field is left.
fn field_ui(ui: &mut Ui, name: &str, unit: &str, typed: &mut String, problem: Option<&str>) -> bool {
    let mut left = false;
    ui.horizontal(|ui| {
        name_ui(ui, name);
        let field = TextEdit::singleline(typed).desired_width(MEASURE).margin(Margin::symmetric(8, 7)).min_size(vec2(0.0, TARGET));
        let response = ui.add(field);
        response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, say!("{name} of the find", name)));
        left = response.lost_focus();
        if !unit.is_empty() {
            remark(ui, unit);
        }
        if icon_button(ui, Icon::Close, &say!("Take {name} away", name)).clicked() {
            typed.clear();
            left = true;
        }
    });
    problem_ui(ui, problem);
    left
}

fn name_ui(ui: &mut Ui, name: &str) {
    ui.allocate_ui_with_layout(vec2(NAME, TARGET), egui::Layout::left_to_right(egui::Align::Center), |ui| {
        ui.set_min_width(NAME);
        ui.set_max_width(NAME);
        ui.add(egui::Label::new(RichText::new(capital(name)).color(theme::colours(ui).ink_soft)).truncate());
    });
}

fn problem_ui(ui: &mut Ui, problem: Option<&str>) {
    if let Some(problem) = problem {
        let c = theme::colours(ui);
        ui.label(RichText::new(problem).small().color(c.alarm));
    }
}

/// A measure to be added: one of the key's features where it is called like one, else by its own name.
fn add_ui(ui: &mut Ui, doc: &Document, typed: &mut Typed, find: &Find, edited: &mut Edited) {
    let (what, value) = (typed.what.trim().to_owned(), typed.value.trim().to_owned());
    let feature =
        doc.key.features.iter().find(|feature| {
            matches!(feature.kind, FeatureKind::Measure(_)) && !what.is_empty() && fold(&feature.shown_name()) == fold(&what)
        });
    let read = feature.map(|feature| answer(&doc.key, &doc.words, feature, &value));
    let problem = match &read {
        _ if value.is_empty() => None,
        Some(Ok(new)) if matches!(new.seen, Seen::Measured(_)) => None,
        Some(Ok(_)) => Some(say!("'{text}' is not a measure (write 92 or 92 ± 2)", text = value)),
        Some(Err(error)) => Some(error.to_string()),
        None => problem_of(&value),
    };
    let ready = !what.is_empty() && !value.is_empty() && problem.is_none();
    let mut add = false;
    ui.horizontal(|ui| {
        let field = |typed| TextEdit::singleline(typed).margin(Margin::symmetric(8, 7)).min_size(vec2(0.0, TARGET));
        let response = ui.add(field(&mut typed.what).hint_text(say!("weight, holds")).desired_width(NAME - 16.0));
        response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, say!("What is measured")));
        let response = ui.add(field(&mut typed.value).hint_text(say!("412 ± 2 g")).desired_width(MEASURE));
        response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, say!("The measure with its ±")));
        let entered = response.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
        add = icon_button_if(ui, Icon::Add, say!("Add this measure"), Ability::from(ready)).clicked() || entered && ready;
    });
    problem_ui(ui, problem.as_deref());
    if !add {
        return;
    }
    edit(edited, find, &what.to_lowercase(), |find| match read {
        Some(Ok(observation)) => find.piece.see(observation),
        _ => match find.record.measures.iter_mut().find(|known| fold(&known.what) == fold(&what)) {
            Some(known) => known.value = value,
            None => find.record.measures.push(Measure { what, value }),
        },
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_of_ones_own_are_checked_and_may_have_a_give() {
        for text in ["412 g", "412 ± 2 g", "412 +/- 2 g", "9 1/4 in", "1,5 l", ""] {
            assert_eq!(problem_of(text), None, "{text}");
        }
        let says = problem_of("heavy");
        assert_eq!(says.as_deref(), Some("'heavy' is not a measure (write a number with or without its unit: 92, 92-95 mm, 9 1/4 in)"));
    }
}
