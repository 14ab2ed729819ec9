//! Tell Apart by keyboard alone: arrows go from tell to tell, digits answer with a value, letters look up a form to add.

use super::{Compared, TellApartView, tells};
use crate::desk::command::Command;
use crate::desk::document::Document;
use egui::{Event, Key, Ui};

/// Reads this frame's keys.
pub fn tell_keys(ui: &Ui, doc: &Document, view: &mut TellApartView, compared: &Compared, commands: &mut Vec<Command>) {
    // Keys belong to what is typed in or lies on top.
    if ui.text_edit_focused() || ui.memory(|memory| memory.top_modal_layer().is_some()) {
        return;
    }
    let free = ui.memory(|memory| memory.focused().is_none());
    let last = compared.tells.tells.len().saturating_sub(1);
    view.at = view.at.min(last);
    let mut digit = None;
    ui.input_mut(|input| {
        input.events.retain(|event| match event {
            Event::Key { key, pressed: true, modifiers, .. } if !modifiers.command && !modifiers.alt => {
                if let Some(number) = digit_of(*key) {
                    digit = Some(number);
                    return false;
                }
                // With the focus on a target the arrows go from target to target.
                match key {
                    Key::ArrowDown if free => view.at = (view.at + 1).min(last),
                    Key::ArrowUp if free => view.at = view.at.saturating_sub(1),
                    _ => return true,
                }
                view.show_at = true;
                false
            }
            Event::Text(text) if !text.is_empty() && text.chars().all(char::is_alphabetic) => {
                view.add.type_on(text);
                false
            }
            _ => true,
        });
    });
    if let (Some(digit), Some(tell)) = (digit, compared.tells.tells.get(view.at))
        && let Some(group) = tells::groups(tell).get(digit - 1)
        && let Some(answer) = tells::answer(doc, tell, group)
    {
        commands.push(answer);
    }
}

fn digit_of(key: Key) -> Option<usize> {
    let all = [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6];
    all.iter().position(|digit| *digit == key).map(|at| at + 1)
}
