//! Lids and bases: two shelves, lids above bases, drawn to one scale, with lines between those that belong together.
//!
//! `trays` draws them, `detail` says what is known of one half, `draft` takes one down, `work` sorts and reads lists off the frame. The shelves are part of
//! the document: each change is a step that can be undone, and lies beside the daybook's file as soon as it is made.

mod detail;
mod draft;
mod trays;
mod work;

pub use work::{Asked, ReadHalves, Sorted};

use super::pages::Wish;
use crate::daybook::lids::{Reason, Shelves, Side};
use crate::desk::command::{Command, Notice};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::jobs::Jobs;
use crate::desk::kept::State;
use crate::desk::theme;
use crate::desk::widgets::{self, button, heading, remark};
use crate::key::{Key, percent};
use crate::{say, say_count};
use draft::{Draft, Typed, draft_ui};
use egui::{Context, Rect, Ui, pos2};
use std::path::PathBuf;
use std::sync::Arc;

/// Height of what is known of one half, in points.
const DETAIL: f32 = 206.0;

/// The page of lids and bases.
#[derive(Debug, Default)]
pub struct PairingPage {
    /// True while it is looked at.
    pub is_open: bool,
    /// What is being sorted.
    asked: Option<Asked>,
    /// What came of it, for the shelves it is of.
    sorted: Option<(Asked, Result<Arc<Sorted>, String>)>,
    chosen: Option<(Side, String)>,
    draft: Option<Draft>,
    /// What was wrong with the last list.
    told: Vec<String>,
    /// The half that is being dragged onto another.
    dragged: Option<(Side, String)>,
    /// The chosen one is to be brought into sight.
    show_chosen: bool,
}

impl PairingPage {
    /// Asks for the shelves to be sorted, where that is not done or being done already.
    pub(super) fn sort(&mut self, jobs: &mut Jobs, ctx: &Context, shelves: &Arc<Shelves>, key: &Arc<Key>) {
        let known = self.asked.iter().chain(self.sorted.iter().map(|(asked, _)| asked)).any(|asked| asked.is(shelves, key));
        if !known {
            let asked = Asked { shelves: Arc::clone(shelves), key: Arc::clone(key) };
            self.asked = Some(asked.clone());
            work::sort(jobs, ctx, asked);
        }
    }

    /// Takes in what the job found.
    pub(super) fn take_in(&mut self, asked: Asked, sorted: Result<Arc<Sorted>, String>) {
        if self.asked.as_ref().is_some_and(|now| now.is(&asked.shelves, &asked.key)) {
            self.asked = None;
            self.sorted = Some((asked, sorted));
        }
    }

    /// Forgets what was asked for: the job ended without an answer.
    pub(super) fn broke(&mut self) {
        self.asked = None;
    }

    /// Takes in a list that was read: the step to add its halves, or why there is none.
    pub(super) fn take_list(&mut self, shelves: &Shelves, read: Result<ReadHalves, String>) -> Command {
        let ReadHalves { side, halves, mut told } = match read {
            Ok(read) => read,
            Err(why) => {
                self.told = Vec::new();
                return Command::Say(Notice::problem(why));
            }
        };
        let mut after = shelves.clone();
        let all = halves.len();
        let mut added = 0;
        let there: std::collections::BTreeSet<String> = shelves.of(side).iter().map(|half| half.id.clone()).collect();
        for half in halves {
            if there.contains(&half.id) {
                told.push(match side {
                    Side::Lid => say!("a lid '{id}' lies on the shelf already, and stays as it is", id = half.id),
                    Side::Base => say!("a base '{id}' lies on the shelf already, and stays as it is", id = half.id),
                });
            } else {
                after.push(side, half);
                added += 1;
            }
        }
        self.told = told;
        if added == 0 {
            return Command::Say(Notice::problem(match side {
                Side::Lid => say!("no lid of that list is new, so nothing was added"),
                Side::Base => say!("no base of that list is new, so nothing was added"),
            }));
        }
        let name = match side {
            Side::Lid => say!("read {added} of {all} lids", added, all),
            Side::Base => say!("read {added} of {all} bases", added, all),
        };
        Command::Page(Wish::ChangeShelves(name, Box::new(after)))
    }

    /// Reads a list of halves.
    pub(super) fn read(jobs: &mut Jobs, ctx: &Context, path: PathBuf) {
        work::read_halves(jobs, ctx, path);
    }

    /// Asks for a list of halves.
    pub(super) fn choose(jobs: &mut Jobs, ctx: &Context) {
        work::choose(jobs, ctx);
    }

    fn sorted(&self, shelves: &Arc<Shelves>, key: &Arc<Key>) -> Option<&Result<Arc<Sorted>, String>> {
        self.sorted.as_ref().filter(|(asked, _)| asked.is(shelves, key)).map(|(_, sorted)| sorted)
    }
}

/// A step that changes the shelves.
fn change(name: String, shelves: &Shelves, change: impl FnOnce(&mut Shelves)) -> Command {
    let mut after = shelves.clone();
    change(&mut after);
    Command::Page(Wish::ChangeShelves(name, Box::new(after)))
}

/// Draws the page.
pub(super) fn pairing_ui(ui: &mut Ui, doc: &Document, page: &mut PairingPage, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let shelves = Arc::clone(&doc.shelves.now);
    let can_change = matches!(doc.shelves.state, State::Ready);
    head_ui(ui, doc, page, can_change, commands);
    match &doc.shelves.state {
        State::Ready => {}
        State::NotRead | State::Reading => {
            remark(ui, say!("Reading the shelves …"));
            return;
        }
        State::Broken(why) => {
            ui.colored_label(c.alarm, say!("The shelves could not be read: {why}", why));
            return;
        }
    }
    told_ui(ui, page);
    if shelves.is_empty() && page.draft.is_none() {
        empty_ui(ui);
        return;
    }
    let sorted = match page.sorted(&shelves, &doc.key) {
        Some(Ok(sorted)) => Some(Arc::clone(sorted)),
        Some(Err(why)) => {
            ui.colored_label(c.alarm, say!("They can't be paired: {why}", why));
            None
        }
        None => {
            commands.push(Command::Page(Wish::SortShelves));
            // What was sorted last stays on screen until the next is there, where it is of halves that still lie there.
            page.sorted.as_ref().and_then(|(asked, sorted)| {
                let same = asked.shelves.lids.len() == shelves.lids.len() && asked.shelves.bases.len() == shelves.bases.len();
                sorted.as_ref().ok().filter(|_| same).map(Arc::clone)
            })
        }
    };
    summary_ui(ui, &shelves, sorted.as_deref());
    let all = ui.available_rect_before_wrap();
    let has_detail = page.draft.is_some() || page.chosen.is_some();
    let below = if has_detail { DETAIL.min(all.height() * 0.5) } else { 0.0 };
    let upper = Rect::from_min_max(all.min, pos2(all.right(), all.bottom() - below));
    if let Some(sorted) = &sorted {
        widgets::in_rect(ui, "trays", upper, |ui| trays::trays_ui(ui, &shelves, sorted, page, commands));
    } else {
        widgets::in_rect(ui, "trays", upper, |ui| remark(ui, say!("Pairing lids and bases …")));
    }
    let lower = Rect::from_min_max(pos2(all.left(), upper.bottom() + 6.0), all.max);
    if let Some(draft) = &mut page.draft {
        match widgets::in_rect(ui, "draft of a half", lower, |ui| draft_ui(ui, &shelves, draft)).inner {
            Some(Typed::Put(step, after)) => {
                commands.push(Command::Page(Wish::ChangeShelves(step, after)));
                page.draft = None;
            }
            Some(Typed::Dropped) => page.draft = None,
            None => {}
        }
    } else if let (Some((side, id)), Some(sorted)) = (page.chosen.clone(), &sorted) {
        widgets::in_rect(ui, "one half", lower, |ui| detail::detail_ui(ui, &shelves, sorted, page, (side, &id), commands));
    }
}

fn head_ui(ui: &mut Ui, doc: &Document, page: &mut PairingPage, can_change: bool, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        heading(ui, say!("Lids and bases"));
        if button(ui, Icon::Close, say!("Back to the finds")).clicked() {
            page.is_open = false;
            page.draft = None;
        }
        if !can_change {
            return;
        }
        for (side, words) in [(Side::Lid, say!("Add a lid")), (Side::Base, say!("Add a base"))] {
            if button(ui, Icon::Add, words).clicked() {
                page.draft = Some(Draft::new(&doc.shelves.now, side));
            }
        }
        if !doc.hand.piece.is_blank() {
            for (side, words) in [(Side::Lid, say!("The lid in hand")), (Side::Base, say!("The base in hand"))] {
                if button(ui, Icon::Bench, words)
                    .on_hover_text(say!("Filled in from what was seen and measured of the piece in hand"))
                    .clicked()
                {
                    page.draft = Some(Draft::of_hand(doc, &doc.shelves.now, side));
                }
            }
        }
        let hint = say!("A table of lids (id, flange major mm, …) or of bases (id, gallery major mm, …); a file may also be dropped here");
        if button(ui, Icon::Folder, say!("Read a list")).on_hover_text(hint).clicked() {
            commands.push(Command::Page(Wish::ChooseHalves));
        }
    });
}

fn told_ui(ui: &mut Ui, page: &mut PairingPage) {
    if page.told.is_empty() {
        return;
    }
    let c = theme::colours(ui);
    let mut close = false;
    widgets::paper(c).show(ui, |ui| {
        ui.set_width(ui.available_width());
        widgets::row_from_right(ui, |ui| {
            close = widgets::icon_button(ui, Icon::Close, say!("Close what the list lacks")).clicked();
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                widgets::strong(ui, say!("Not all of the list could be read"))
            });
        });
        for line in page.told.iter().take(8) {
            ui.colored_label(c.alarm, crate::key::capital(line));
        }
    });
    if close {
        page.told.clear();
    }
}

fn empty_ui(ui: &mut Ui) {
    widgets::strong(ui, say!("No lid and no base lies here yet"));
    remark(
        ui,
        say!(
            "Put a number on each loose lid and each lidless base, measure the lid's flange and the base's gallery, and add them one by one or as a list. \
         What fits, by the play between the two, glaze, clay and line, is joined by a line; what fits and yet does not go together is called a marriage."
        ),
    );
}

fn summary_ui(ui: &mut Ui, shelves: &Shelves, sorted: Option<&Sorted>) {
    let mut words = format!(
        "{}, {}",
        say_count!(n = shelves.lids.len(), "{n} lid", "{n} lids"),
        say_count!(n = shelves.bases.len(), "{n} base", "{n} bases")
    );
    if let Some(sorted) = sorted {
        let pairs = &sorted.pairing.pairs;
        let married = pairs.iter().filter(|pair| pair.reasons.iter().any(Reason::is_marriage)).count();
        words = format!("{words}: {}", say_count!(n = pairs.len(), "{n} pair", "{n} pairs"));
        if married > 0 {
            words = format!("{words}, {}", say_count!(n = married, "{n} marriage", "{n} marriages"));
        }
        if shelves.lids.len().min(shelves.bases.len()) > 1 {
            words =
                say!("{words}; about {share} of the shorter shelf has its other half here", words, share = percent(sorted.pairing.share));
        }
    }
    remark(ui, words).on_hover_text(
        say!("Learnt from the two shelves themselves. Drag a half onto another, or press it with Shift while one is chosen, to put the two together by hand"),
    );
}
