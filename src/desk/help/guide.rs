//! A short guide to each screen: what it is for, and what is done there, with the signs that are pressed.

use crate::desk::command::Screen;
use crate::desk::icons::Icon;
use crate::desk::theme;
use crate::desk::widgets::{self, remark};
use crate::say;
use egui::Ui;

/// What is said of one screen.
struct Page {
    screen: Screen,
    name: &'static str,
    purpose: &'static str,
    steps: Vec<(Icon, &'static str)>,
}

fn pages() -> [Page; 5] {
    [
        Page {
            screen: Screen::Bench,
            name: say!("Bench"),
            purpose: say!("Name the piece in your hand."),
            steps: vec![
                (
                    Icon::Look,
                    say!("The part that glows is worth looking at next. Enter takes that look; any other part can be pointed at."),
                ),
                (
                    Icon::Tick,
                    say!(
                        "Press the digit of what you see, or click it. 0 where it can't be told; a wrong answer is changed on the slip at any time."
                    ),
                ),
                (
                    Icon::Rule,
                    say!("A measure is typed as 92 ± 2. What can be read of a mark is typed with ? for a letter and … for any number."),
                ),
                (
                    Icon::Camera,
                    say!("Add a photograph. With a bank card beside the piece it is measured there; a mark is laid straight and read."),
                ),
                (Icon::Date, say!("Say what dates it: words of the mark, registered numbers, date codes, sales.")),
                (Icon::PutInDaybook, say!("Put the find in the daybook, and take the next piece.")),
            ],
        },
        Page {
            screen: Screen::TellApart,
            name: say!("Tell Apart"),
            purpose: say!("See what tells look-alikes apart."),
            steps: vec![
                (Icon::Add, say!("Add forms by name, or pick them on the shelf of the Bench.")),
                (Icon::TellApart, say!("Their outlines lie over each other at one true scale, the difference shaded.")),
                (
                    Icon::Look,
                    say!("The tells stand in the order of how surely they tell. A click on one answers it for the piece in hand."),
                ),
            ],
        },
        Page {
            screen: Screen::KeyBook,
            name: say!("Key Book"),
            purpose: say!("Keep your reference: every form, and everything that is known of it."),
            steps: vec![
                (
                    Icon::KeyBook,
                    say!(
                        "A form opens as a sheet: drag the points of its profile, record its features part by part, say how each claim is known."
                    ),
                ),
                (Icon::Edit, say!("Value table: what is recorded of every form, to be filled by keyboard or pasted from a spreadsheet.")),
                (
                    Icon::More,
                    say!("Lists of the key: lines, features with their values, glazes, decorations, papers, words that mean the same."),
                ),
                (Icon::Paste, say!("Bring in a list, or copy forms from another key.")),
                (
                    Icon::Warning,
                    say!("Health says what the key can't tell apart and what to record next; Trial tries it on made-up pieces."),
                ),
            ],
        },
        Page {
            screen: Screen::MarkDrawer,
            name: say!("Mark Drawer"),
            purpose: say!("Find a mark by what can still be read of it."),
            steps: vec![
                (Icon::Mark, say!("Type what can be read, choose layout and ink by their drawings: the wall thins out.")),
                (Icon::Look, say!("A mark's sheet shows its years and how they are known, its papers, and what it is easily taken for.")),
                (Icon::Tick, say!("One click makes it the answer on the Bench.")),
            ],
        },
        Page {
            screen: Screen::Daybook,
            name: say!("Daybook"),
            purpose: say!("What was found: the finds and all that follows from them."),
            steps: vec![
                (Icon::Find, say!("Finds are searched as you type; a find opens with its photographs and can be taken in hand again.")),
                (Icon::Daybook, say!("Census: which form was seen in which glaze, what papers list and nobody has seen.")),
                (Icon::Date, say!("Years: when the dated finds of each form, line and mark were made.")),
                (Icon::Tick, say!("Count into the key: what the finds say of how often and between which measures, one change at a time.")),
            ],
        },
    ]
}

/// Draws the guide, the screen that is open first.
pub(super) fn guide_ui(ui: &mut Ui, screen: Screen) {
    let c = theme::colours(ui);
    let mut pages = pages();
    pages.sort_by_key(|page| page.screen != screen);
    for page in pages {
        widgets::strong(ui, page.name);
        remark(ui, page.purpose);
        for (icon, words) in page.steps {
            ui.horizontal_top(|ui| {
                ui.add(icon.image(18.0, c.glow_text));
                ui.add(egui::Label::new(words).wrap());
            });
        }
        ui.add_space(10.0);
    }
}
