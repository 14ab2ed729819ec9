//! Everything a person can do with a key or a button: one list for shortcuts, buttons and the help sheet.

use crate::say;
use egui::{Context, Key, KeyboardShortcut, Modifiers};

/// An action of the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "`Action::words` says what each does")]
pub enum Action {
    NextLook,
    TakeBack,
    NewPiece,
    PutInDaybook,
    SameAsLast,
    Photograph,
    TakeOffered,
    Undo,
    Redo,
    Jump,
    TellApart,
    AddForm,
    DateIt,
    Condition,
    GoBench,
    GoTellApart,
    GoKeyBook,
    GoMarkDrawer,
    GoDaybook,
    OpenKey,
    Help,
    LightOrDark,
    WhatToDo,
    Comfort,
    Larger,
    Smaller,
    UsualSize,
    CopyDetails,
    CloseCard,
}

/// Where on the keyboard an action is shown in the help sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    /// Naming the piece in hand.
    Naming,
    /// The record of it.
    Recording,
    /// Going to a screen.
    Going,
    /// The window itself.
    Window,
}

impl Group {
    /// All groups, in the order of the help sheet.
    pub const ALL: [Self; 4] = [Self::Naming, Self::Recording, Self::Going, Self::Window];

    /// Its heading.
    pub fn heading(self) -> &'static str {
        match self {
            Self::Naming => say!("Naming the piece"),
            Self::Recording => say!("Recording it"),
            Self::Going => say!("Going somewhere"),
            Self::Window => say!("The window"),
        }
    }
}

impl Action {
    /// Every action.
    pub const ALL: [Self; 29] = [
        Self::NextLook,
        Self::TakeBack,
        Self::Undo,
        Self::Redo,
        Self::Jump,
        Self::TellApart,
        Self::DateIt,
        Self::Condition,
        Self::CloseCard,
        Self::PutInDaybook,
        Self::SameAsLast,
        Self::NewPiece,
        Self::Photograph,
        Self::TakeOffered,
        Self::AddForm,
        Self::GoBench,
        Self::GoTellApart,
        Self::GoKeyBook,
        Self::GoMarkDrawer,
        Self::GoDaybook,
        Self::OpenKey,
        Self::WhatToDo,
        Self::LightOrDark,
        Self::Comfort,
        Self::Larger,
        Self::Smaller,
        Self::UsualSize,
        Self::CopyDetails,
        Self::Help,
    ];

    /// What it does, in a few words.
    pub fn words(self) -> &'static str {
        match self {
            Self::NextLook => say!("Take the next look"),
            Self::TakeBack => say!("Take the last answer back"),
            Self::NewPiece => say!("Next piece: clear the board"),
            Self::PutInDaybook => say!("Put the find in the daybook"),
            Self::SameAsLast => say!("One more like the last find"),
            Self::Photograph => say!("Add a photograph"),
            Self::TakeOffered => say!("Take the newest picture of the watched folder"),
            Self::Undo => say!("Undo"),
            Self::Redo => say!("Redo"),
            Self::Jump => say!("Jump to a form by name"),
            Self::TellApart => say!("Tell the first two on the shelf apart"),
            Self::AddForm => say!("Add the piece in hand to the key"),
            Self::DateIt => say!("Say what dates the piece"),
            Self::Condition => say!("Say in which condition it is"),
            Self::GoBench => say!("Bench"),
            Self::GoTellApart => say!("Tell Apart"),
            Self::GoKeyBook => say!("Key Book"),
            Self::GoMarkDrawer => say!("Mark Drawer"),
            Self::GoDaybook => say!("Daybook"),
            Self::OpenKey => say!("Open another house key"),
            Self::Help => say!("This sheet"),
            Self::LightOrDark => say!("Light or dark"),
            Self::WhatToDo => say!("Everything that can be done"),
            Self::Comfort => say!("Comfort: text, colours, hand, motion"),
            Self::Larger => say!("Larger text"),
            Self::Smaller => say!("Smaller text"),
            Self::UsualSize => say!("Text of the usual size"),
            Self::CopyDetails => say!("Copy details for a report"),
            Self::CloseCard => say!("Close what is open"),
        }
    }

    /// Its group on the help sheet.
    pub const fn group(self) -> Group {
        match self {
            Self::NextLook
            | Self::TakeBack
            | Self::Undo
            | Self::Redo
            | Self::Jump
            | Self::TellApart
            | Self::DateIt
            | Self::Condition
            | Self::CloseCard => Group::Naming,
            Self::NewPiece | Self::PutInDaybook | Self::SameAsLast | Self::Photograph | Self::TakeOffered | Self::AddForm => {
                Group::Recording
            }
            Self::GoBench | Self::GoTellApart | Self::GoKeyBook | Self::GoMarkDrawer | Self::GoDaybook => Group::Going,
            Self::OpenKey
            | Self::Help
            | Self::LightOrDark
            | Self::WhatToDo
            | Self::Comfort
            | Self::Larger
            | Self::Smaller
            | Self::UsualSize
            | Self::CopyDetails => Group::Window,
        }
    }

    /// Its shortcuts; the first is the one shown.
    pub fn shortcuts(self) -> Vec<KeyboardShortcut> {
        let plain = |key| KeyboardShortcut::new(Modifiers::NONE, key);
        let command = |key| KeyboardShortcut::new(Modifiers::COMMAND, key);
        let command_shift = |key| KeyboardShortcut::new(Modifiers::COMMAND | Modifiers::SHIFT, key);
        match self {
            Self::NextLook => vec![plain(Key::Enter)],
            Self::TakeBack => vec![plain(Key::Backspace)],
            Self::NewPiece => vec![command(Key::N)],
            Self::PutInDaybook => vec![command(Key::S)],
            Self::SameAsLast => vec![command(Key::M)],
            Self::Photograph => vec![command(Key::P)],
            Self::TakeOffered => vec![plain(Key::F2)],
            Self::Undo => vec![command(Key::Z)],
            Self::Redo => vec![command(Key::Y), command_shift(Key::Z)],
            Self::Jump => vec![command(Key::F)],
            Self::TellApart => vec![command(Key::T)],
            Self::AddForm => vec![command_shift(Key::N)],
            Self::DateIt => vec![command(Key::D)],
            Self::Condition => vec![command(Key::K)],
            Self::GoBench => vec![command(Key::Num1)],
            Self::GoTellApart => vec![command(Key::Num2)],
            Self::GoKeyBook => vec![command(Key::Num3)],
            Self::GoMarkDrawer => vec![command(Key::Num4)],
            Self::GoDaybook => vec![command(Key::Num5)],
            Self::OpenKey => vec![command(Key::O)],
            Self::Help => vec![plain(Key::F1)],
            Self::LightOrDark => vec![command(Key::L)],
            Self::WhatToDo => vec![plain(Key::F3)],
            Self::Comfort => vec![plain(Key::F4)],
            Self::Larger => vec![command(Key::Plus), command(Key::Equals)],
            Self::Smaller => vec![command(Key::Minus)],
            Self::UsualSize => vec![command(Key::Num0)],
            Self::CopyDetails => vec![command_shift(Key::D)],
            Self::CloseCard => vec![plain(Key::Escape)],
        }
    }

    /// True for what a view that lies over the screen keeps from it: what would change the piece, or close what lies below.
    pub const fn belongs_below(self) -> bool {
        matches!(
            self,
            Self::Undo
                | Self::Redo
                | Self::CloseCard
                | Self::NextLook
                | Self::TakeBack
                | Self::PutInDaybook
                | Self::NewPiece
                | Self::SameAsLast
                | Self::DateIt
                | Self::Condition
        )
    }

    /// True for what has to do with the window alone, whatever is open in it.
    pub const fn is_of_the_window(self) -> bool {
        matches!(self, Self::Help | Self::LightOrDark | Self::Comfort | Self::Larger | Self::Smaller | Self::UsualSize | Self::CopyDetails)
    }

    /// Its first shortcut as text, for a button or the help sheet.
    pub fn shortcut_text(self, ctx: &Context) -> String {
        let text = self.shortcuts().first().map(|shortcut| ctx.format_shortcut(shortcut)).unwrap_or_default();
        in_keys(&text)
    }

    /// True where the key must stay with a text field while one is being typed in.
    fn yields_to_typing(self) -> bool {
        matches!(self, Self::NextLook | Self::TakeBack | Self::Undo | Self::Redo | Self::CloseCard)
    }
}

/// A shortcut by what is printed on the keys: German keyboards name some of them otherwise.
fn in_keys(shortcut: &str) -> String {
    let named = |key: &str| match key {
        "Ctrl" => say!(in "a key", "Ctrl").to_owned(),
        "Shift" => say!(in "a key", "Shift").to_owned(),
        "Enter" => say!(in "a key", "Enter").to_owned(),
        "Backspace" => say!(in "a key", "Backspace").to_owned(),
        "Escape" => say!(in "a key", "Escape").to_owned(),
        other => other.to_owned(),
    };
    // The key '+' itself stands last, behind the sign that joins.
    let (joined, plus) = shortcut.strip_suffix("++").map_or((shortcut, ""), |keys| (keys, "++"));
    joined.split('+').map(named).collect::<Vec<_>>().join("+") + plus
}

/// The actions asked for by keys in this frame, longer shortcuts first.
///
/// A plain key is left alone while text is typed or a sheet lies over the window; Enter is left alone while any target has the focus, because it presses that target.
pub fn pressed(ctx: &Context) -> Vec<Action> {
    let typing = ctx.text_edit_focused();
    let focused = ctx.memory(|memory| memory.focused().is_some());
    let modal = ctx.memory(|memory| memory.top_modal_layer().is_some());
    let mut all: Vec<(Action, KeyboardShortcut)> =
        Action::ALL.into_iter().flat_map(|action| action.shortcuts().into_iter().map(move |shortcut| (action, shortcut))).collect();
    let count = |m: Modifiers| usize::from(m.command || m.ctrl) + usize::from(m.shift) + usize::from(m.alt);
    all.sort_by_key(|(_, shortcut)| std::cmp::Reverse(count(shortcut.modifiers)));
    let mut found = Vec::new();
    for (action, shortcut) in all {
        if (typing || modal) && action.yields_to_typing() || focused && action == Action::NextLook {
            continue;
        }
        if ctx.input_mut(|input| input.consume_shortcut(&shortcut)) {
            found.push(action);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn no_two_actions_share_a_shortcut() {
        let mut seen: BTreeMap<String, Action> = BTreeMap::new();
        for action in Action::ALL {
            assert!(!action.words().is_empty(), "{action:?} says what it does");
            for shortcut in action.shortcuts() {
                let text = format!("{:?}+{:?}", shortcut.modifiers, shortcut.logical_key);
                let clash = seen.insert(text.clone(), action);
                assert!(clash.is_none(), "{text} is both {action:?} and {clash:?}");
            }
        }
    }

    #[test]
    fn every_action_is_listed_once() {
        let mut all = Action::ALL.to_vec();
        all.sort();
        all.dedup();
        assert_eq!(all.len(), Action::ALL.len(), "an action stands twice in the list");
    }
}
