//! The Bench by keyboard alone: digits choose, letters find, arrows turn the card, the rest is in `action.rs`.

use super::BenchView;
use super::card::{self, Card, PAGE, Taken};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::identify::{Observation, Seen, Sure};
use crate::key::{Feature, FeatureKind};
use egui::{Event, Key, Ui};

/// What a key does while a card is open and nobody types.
enum Stroke {
    Digit(usize, Many),
    Letter(String),
    Before,
    After,
    PageUp,
    PageDown,
    Probably,
}

/// Whether Shift was held, for 'either'.
#[derive(Clone, Copy, PartialEq)]
enum Many {
    One,
    Either,
}

/// Reads this frame's keys.
pub fn bench_keys(ui: &Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>) {
    // Keys belong to what is typed in or lies on top.
    if ui.text_edit_focused() || ui.memory(|memory| memory.top_modal_layer().is_some()) {
        return;
    }
    let Some(mut card) = view.card.clone() else { return };
    let Some(feature) = doc.key.feature(&card.feature) else { return };
    let mut open = true;
    for stroke in strokes(ui) {
        match stroke {
            Stroke::Digit(0, _) => {
                commands.push(Command::See(Observation { feature: feature.id.clone(), seen: Seen::NotSure, sure: Sure::Sure }));
                open = false;
            }
            Stroke::Digit(digit, many) => {
                let values = card::shown_values(doc, feature, &card);
                let Some((id, _)) = values.get(card.page * PAGE + digit - 1) else { continue };
                if many == Many::Either {
                    card::toggle(&mut card, id);
                } else {
                    open = card::choose(&mut card, id, commands) == Taken::Waiting;
                }
            }
            Stroke::Letter(letter) => {
                if has_field(doc, feature) {
                    card.typed.push_str(&letter);
                    card.focus = true;
                }
            }
            Stroke::Before => turn(doc, feature, &mut card, Turn::Before),
            Stroke::After => turn(doc, feature, &mut card, Turn::After),
            Stroke::PageUp => card.page = card.page.saturating_sub(1),
            Stroke::PageDown => card.page += 1,
            Stroke::Probably => card.sure = if card.sure == Sure::Sure { Sure::Probably } else { Sure::Sure },
        }
        if !open {
            break;
        }
    }
    view.card = open.then_some(card);
}

fn has_field(doc: &Document, feature: &Feature) -> bool {
    matches!(feature.kind, FeatureKind::Mark | FeatureKind::Measure(_)) || doc.key.values_of(feature).len() > 6
}

#[derive(Clone, Copy)]
enum Turn {
    Before,
    After,
}

fn turn(doc: &Document, feature: &Feature, card: &mut Card, turn: Turn) {
    let same: Vec<&Feature> = doc.key.features.iter().filter(|other| other.part == feature.part && other.view == feature.view).collect();
    let at = same.iter().position(|other| other.id == feature.id).unwrap_or(0);
    let by = match turn {
        Turn::Before => same.len().saturating_sub(1),
        Turn::After => 1,
    };
    if let Some(other) = same.get((at + by) % same.len().max(1)) {
        *card = Card::new(doc, other);
    }
}

fn strokes(ui: &Ui) -> Vec<Stroke> {
    ui.input_mut(|input| {
        let mut found = Vec::new();
        input.events.retain(|event| match event {
            Event::Key { key, physical_key, pressed: true, modifiers, .. } if !modifiers.command && !modifiers.alt => {
                let many = if modifiers.shift { Many::Either } else { Many::One };
                let digit = digit_of(*key).or_else(|| if modifiers.shift { physical_key.and_then(digit_of) } else { None });
                let stroke = match (digit, key) {
                    (Some(digit), _) => Stroke::Digit(digit, many),
                    (None, Key::ArrowLeft) => Stroke::Before,
                    (None, Key::ArrowRight) => Stroke::After,
                    (None, Key::PageUp) => Stroke::PageUp,
                    (None, Key::PageDown) => Stroke::PageDown,
                    _ => return true,
                };
                found.push(stroke);
                false
            }
            Event::Text(text) => {
                if text == "~" {
                    found.push(Stroke::Probably);
                    return false;
                }
                if text.chars().all(char::is_alphabetic) && !text.is_empty() {
                    found.push(Stroke::Letter(text.clone()));
                    return false;
                }
                true
            }
            _ => true,
        });
        found
    })
}

fn digit_of(key: Key) -> Option<usize> {
    let all = [Key::Num0, Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6, Key::Num7, Key::Num8, Key::Num9];
    all.iter().position(|digit| *digit == key)
}

/// True where a feature takes a typed answer rather than a digit.
pub fn is_typed(feature: &Feature) -> bool {
    matches!(feature.kind, FeatureKind::Measure(_))
}
