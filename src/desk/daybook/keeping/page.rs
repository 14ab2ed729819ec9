//! The page as it is drawn.

use super::joining::joining_ui;
use super::{Asked, KeepingPage, Other, Wish};
use crate::daybook::backup::BackedUp;
use crate::desk::command::Command;
use crate::desk::daybook::pages::Wish as PageWish;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, GAP};
use crate::desk::widgets::{button, heading, main_button, remark, strong};
use crate::{say, say_count};
use egui::{Label, ScrollArea, Ui};
use std::path::Path;

fn wish(wish: Wish) -> Command {
    Command::Page(PageWish::Keeping(wish))
}

/// Draws the page.
pub(in crate::desk::daybook) fn keeping_ui(ui: &mut Ui, page: &mut KeepingPage, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    ui.horizontal_wrapped(|ui| {
        heading(ui, say!("Keep and join"));
        if button(ui, Icon::Close, say!("Back to the finds")).clicked() {
            page.is_open = false;
        }
    });
    match &page.said {
        Some(Ok(says)) => drop(ui.add(Label::new(says).wrap())),
        Some(Err(why)) => drop(ui.colored_label(c.alarm, why)),
        None => {}
    }
    let back = match &mut page.asked {
        Asked::Working(doing) => {
            remark(ui, *doing);
            return;
        }
        Asked::BringBack { from, holds } => bring_back_ui(ui, from, holds, commands),
        Asked::Join(join) => joining_ui(ui, join, commands),
        Asked::Nothing => {
            ScrollArea::vertical().id_salt("keeping").auto_shrink(false).show(ui, |ui| start_ui(ui, page, commands));
            return;
        }
    };
    if back {
        page.asked = Asked::Nothing;
    }
}

/// What can be done.
fn start_ui(ui: &mut Ui, page: &KeepingPage, commands: &mut Vec<Command>) {
    strong(ui, say!("A backup in one file"));
    paragraph(
        ui,
        say!(
            "All finds with their history, their photographs, the shelves and services. It is read again and checked before it takes its name."
        ),
    );
    ui.horizontal_wrapped(|ui| {
        if main_button(ui, Icon::Box, say!("Back up …")).clicked() {
            commands.push(wish(Wish::ChooseBackup));
        }
        if button(ui, Icon::Folder, say!("Bring a backup back …"))
            .on_hover_text(say!("You see what it holds before anything changes"))
            .clicked()
        {
            commands.push(wish(Wish::ChooseToBringBack));
        }
    });
    ui.add_space(GAP);
    strong(ui, say!("Another member's daybook"));
    paragraph(
        ui,
        say!(
            "Its finds come to yours: new ones are added, and what only one of you went on with is taken as it was left. Where both changed a find you choose. The other daybook is not touched."
        ),
    );
    ui.horizontal_wrapped(|ui| {
        if button(ui, Icon::Folder, say!("From its folder …")).clicked() {
            commands.push(wish(Wish::ChooseOther(Other::Folder)));
        }
        if button(ui, Icon::Folder, say!("From a backup of it …")).clicked() {
            commands.push(wish(Wish::ChooseOther(Other::Backup)));
        }
    });
    ui.add_space(GAP);
    strong(ui, say!("Copies of the finds"));
    if page.copies.is_empty() {
        paragraph(ui, say!("Before a daybook is taken in or a backup brought back, a copy of the finds is kept here, to go back to."));
    }
    for copy in &page.copies {
        ui.horizontal_wrapped(|ui| {
            let says = say!("Go back to before {what}", what = copy.of);
            if button(ui, Icon::Undo, &says).on_hover_text(copy.path.display().to_string()).clicked() {
                commands.push(wish(Wish::GoBack(copy.path.clone())));
            }
        });
    }
}

fn paragraph(ui: &mut Ui, words: &str) {
    let width = ui.available_width().min(720.0);
    ui.scope(|ui| {
        ui.set_max_width(width);
        remark(ui, words);
    });
}

/// What a backup holds; true where it is not to be brought back after all.
fn bring_back_ui(ui: &mut Ui, from: &Path, holds: &BackedUp, commands: &mut Vec<Command>) -> bool {
    strong(ui, say!("This backup is sound"));
    let finds = say_count!(n = usize::try_from(holds.finds).unwrap_or(usize::MAX), "{n} find", "{n} finds");
    let photographs = say_count!(n = holds.photographs, "{n} photograph", "{n} photographs");
    remark(ui, format!("{finds}, {photographs}: {}", from.display()));
    if !holds.lost.is_empty() {
        remark(
            ui,
            say_count!(
                n = holds.lost.len(),
                "{n} photograph was missing when it was made",
                "{n} photographs were missing when it was made"
            ),
        );
    }
    paragraph(
        ui,
        say!(
            "Its finds, shelves and services take the place of those here. A copy of the finds as they are now is kept, and your photographs stay; undo begins anew."
        ),
    );
    ui.horizontal_wrapped(|ui| {
        if main_button(ui, Icon::Box, say!("Bring it back")).clicked() {
            commands.push(wish(Wish::BringBack(from.to_owned())));
        }
        button(ui, Icon::Close, say!("Leave everything as it is")).clicked()
    })
    .inner
}
