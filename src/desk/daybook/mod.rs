//! The Daybook: the finds, newest first.
//!
//! The finds come from a job, a page at a time; the screen shows what came last and asks again when the search changes.

mod census;
mod learn;
mod list;
pub mod pages;
pub mod pairing;
pub mod papers;
pub mod services;
mod sheet;
mod years;

pub use census::CensusPage;
pub use learn::Learning;
pub use pairing::PairingPage;
pub use papers::PapersPage;
pub use services::ServicesPage;
pub use years::Years;

use super::board::vessel::Drawings;
use super::command::Command;
use super::daybook_work::Listing;
use super::document::Document;
use super::icons::Icon;
use super::photographs::Thumbs;
use super::theme::{GAP, TARGET};
use super::widgets::{self, button, icon_button, remark};
use crate::daybook::{Find, FindId, Page};
use egui::{Margin, Rect, ScrollArea, TextEdit, Ui, pos2, vec2};

/// How many finds are read at once.
const PAGE: u32 = 60;

/// What the Daybook shows.
#[derive(Debug)]
pub struct DaybookView {
    search: String,
    /// How many finds are wanted at most.
    most: u32,
    finds: Vec<Result<Find, String>>,
    /// How many there are that the search leaves, once that is known.
    count: Option<u64>,
    /// Why there is nothing to show.
    problem: Option<String>,
    selected: Option<FindId>,
    drawn: Drawings,
    /// What the finds say of the key.
    pub learning: Learning,
    /// When the finds were made.
    pub years: Years,
    /// The census.
    pub census: CensusPage,
    /// Lids and bases.
    pub pairing: PairingPage,
    /// What papers list.
    pub papers: PapersPage,
    /// Services and what is wanted.
    pub services: ServicesPage,
}

impl Default for DaybookView {
    fn default() -> Self {
        Self {
            search: String::new(),
            most: PAGE,
            finds: Vec::new(),
            count: None,
            problem: None,
            selected: None,
            drawn: Drawings::default(),
            learning: Learning::Closed,
            years: Years::Closed,
            census: CensusPage::Closed,
            pairing: PairingPage::default(),
            papers: PapersPage::default(),
            services: ServicesPage::default(),
        }
    }
}

impl DaybookView {
    /// The page of finds to show.
    pub fn page(&self) -> Page {
        Page { search: self.search.clone(), most: self.most, ..Page::default() }
    }

    /// Takes a page of finds in. One that was asked for before the search changed is passed over.
    pub fn take_in(&mut self, page: &Page, listing: Listing) {
        if *page != self.page() {
            return;
        }
        match listing {
            Ok((finds, count)) => {
                self.finds = finds.into_iter().map(|find| find.map_err(|error| error.to_string())).collect();
                self.count = Some(count);
                self.problem = None;
            }
            Err(why) => self.problem = Some(why),
        }
    }

    /// How many finds are in the list.
    pub fn shown(&self) -> usize {
        self.finds.len()
    }

    /// Wants another page of finds the next time they are read.
    pub fn show_more(&mut self) {
        self.most += PAGE;
    }

    fn selected(&self) -> Option<&Find> {
        let id = self.selected?;
        self.finds.iter().filter_map(|find| find.as_ref().ok()).find(|find| find.id == id)
    }
}

/// Draws the Daybook.
pub fn daybook_ui(ui: &mut Ui, doc: &Document, view: &mut DaybookView, thumbs: &mut Thumbs, commands: &mut Vec<Command>) {
    let area = ui.available_rect_before_wrap().shrink(GAP);
    if !matches!(view.learning, Learning::Closed) {
        widgets::in_rect(ui, "learning", area, |ui| learn::learning_ui(ui, doc, view, commands));
        return;
    }
    if !matches!(view.years, Years::Closed) {
        widgets::in_rect(ui, "years", area, |ui| years::years_ui(ui, view));
        return;
    }
    if !matches!(view.census, CensusPage::Closed) {
        widgets::in_rect(ui, "census", area, |ui| census::census_ui(ui, doc, view));
        return;
    }
    if view.pairing.is_open {
        widgets::in_rect(ui, "pairing", area, |ui| pairing::pairing_ui(ui, doc, &mut view.pairing, commands));
        return;
    }
    if view.papers.is_open {
        widgets::in_rect(ui, "papers", area, |ui| papers::papers_ui(ui, doc, &mut view.papers, commands));
        return;
    }
    if view.services.is_open {
        widgets::in_rect(ui, "services", area, |ui| services::services_ui(ui, doc, &mut view.services, commands));
        return;
    }
    let head = Rect::from_min_size(area.min, vec2(area.width(), TARGET));
    widgets::in_rect(ui, "daybook head", head, |ui| head_ui(ui, view, commands));
    let further = Rect::from_min_size(pos2(area.left(), head.bottom() + 6.0), vec2(area.width(), TARGET));
    widgets::in_rect(ui, "further pages", further, |ui| pages_ui(ui, commands));
    let below = Rect::from_min_max(pos2(area.left(), further.bottom() + GAP), area.max);
    if view.finds.is_empty() {
        widgets::in_rect(ui, "daybook empty", below, |ui| empty_ui(ui, view, commands));
        return;
    }
    let Some(find) = view.selected().cloned() else {
        widgets::in_rect(ui, "daybook list", below, |ui| list_ui(ui, doc, view, thumbs, commands));
        return;
    };
    // The sheet of one find stands beside the list, or above it where the window is narrow.
    let (sheet, list) = if below.width() >= 820.0 {
        let width = (below.width() * 0.42).clamp(340.0, 560.0);
        below.split_left_right_at_x(below.right() - width)
    } else {
        let (upper, lower) = below.split_top_bottom_at_y(below.top() + below.height() * 0.55);
        (lower, upper)
    };
    let (list, sheet) =
        if below.width() >= 820.0 { (sheet.with_max_x(sheet.right() - GAP), list) } else { (sheet, list.with_max_y(list.bottom() - GAP)) };
    widgets::in_rect(ui, "daybook list", list, |ui| list_ui(ui, doc, view, thumbs, commands));
    widgets::in_rect(ui, "daybook sheet", sheet, |ui| sheet::sheet_ui(ui, doc, view, thumbs, &find, commands));
}

fn head_ui(ui: &mut Ui, view: &mut DaybookView, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        let label = remark(ui, "Search the daybook");
        let width = (ui.available_width() - 620.0).clamp(140.0, 420.0);
        let field = TextEdit::singleline(&mut view.search)
            .hint_text("form, line, box, words of a note")
            .desired_width(width)
            .margin(Margin::symmetric(8, 7))
            .min_size(vec2(0.0, TARGET));
        let mut changed = ui.add(field).labelled_by(label.id).changed();
        if !view.search.is_empty() && icon_button(ui, Icon::Close, "Clear the search").clicked() {
            view.search.clear();
            changed = true;
        }
        if changed {
            view.most = PAGE;
            commands.push(Command::ListFinds);
        }
        if let Some(count) = view.count {
            let words = match count {
                1 => "1 find".to_owned(),
                n => format!("{n} finds"),
            };
            remark(ui, words);
            if count > 0 && button(ui, Icon::KeyBook, "Count into the key").clicked() {
                view.learning = Learning::Reading;
                commands.push(Command::LearnFromFinds);
            }
            if button(ui, Icon::MarkDrawer, "Census").on_hover_text("Which form exists in which glaze: seen, listed, doubtful").clicked() {
                view.census = CensusPage::Reading;
                commands.push(Command::Census);
            }
            if count > 0 && button(ui, Icon::Date, "Years").on_hover_text("When the finds were made, by form, line and mark").clicked() {
                view.years = Years::Reading;
                commands.push(Command::YearsOfFinds);
            }
        }
    });
}

/// The way to what is kept beside the finds.
fn pages_ui(ui: &mut Ui, commands: &mut Vec<Command>) {
    ScrollArea::horizontal().id_salt("further pages").show(ui, |ui| {
        ui.horizontal(|ui| {
            let hint = "Loose lids and lidless bases: which belong together";
            if button(ui, Icon::LidMissing, "Lids and bases").on_hover_text(hint).clicked() {
                commands.push(Command::Page(pages::Wish::Pairing));
            }
            let hint = "What papers list, and a list of one of them reconciled with the key";
            if button(ui, Icon::Paste, "Papers").on_hover_text(hint).clicked() {
                commands.push(Command::Page(pages::Wish::Papers));
            }
            let hint = "What belongs to a service, what of it is there, and what is missing";
            if button(ui, Icon::Box, "Services and wants").on_hover_text(hint).clicked() {
                commands.push(Command::Page(pages::Wish::Services));
            }
        });
    });
}

fn empty_ui(ui: &mut Ui, view: &DaybookView, commands: &mut Vec<Command>) {
    if let Some(why) = &view.problem {
        let c = super::theme::colours(ui);
        ui.colored_label(c.alarm, format!("The daybook could not be read: {why}"));
    } else if view.count.is_none() {
        remark(ui, "Reading the daybook …");
    } else if view.search.trim().is_empty() {
        widgets::heading(ui, "Nothing in the daybook yet");
        remark(ui, "Name a piece on the Bench and press Ctrl+S: what it is, what you saw, its photographs and its box are kept here.");
        if button(ui, Icon::Bench, "To the Bench").clicked() {
            commands.push(Command::Go(super::command::Screen::Bench));
        }
    } else {
        widgets::heading(ui, "No find has all of these words");
        remark(ui, "Take a word away, or part of one: 'cov' finds 'covered sugar'.");
    }
}

fn list_ui(ui: &mut Ui, doc: &Document, view: &mut DaybookView, thumbs: &mut Thumbs, commands: &mut Vec<Command>) {
    let row_height = list::ROW;
    let more = view.count.is_some_and(|count| count > view.finds.len() as u64);
    let rows = view.finds.len() + usize::from(more);
    ui.spacing_mut().item_spacing.y = 6.0;
    ScrollArea::vertical().id_salt("finds").auto_shrink(false).show_rows(ui, row_height, rows, |ui, range| {
        for index in range {
            let Some(find) = view.finds.get(index) else {
                if button(ui, Icon::Down, "Show more").clicked() {
                    view.show_more();
                    commands.push(Command::ListFinds);
                }
                continue;
            };
            match find {
                Ok(find) => {
                    let chosen = view.selected == Some(find.id);
                    if list::row_ui(ui, doc, &mut view.drawn, thumbs, find, chosen) {
                        // A second press takes it in hand; so Enter, Enter is enough.
                        if chosen {
                            sheet::reopen(find, doc, commands);
                        } else {
                            view.selected = Some(find.id);
                        }
                    }
                }
                Err(why) => list::unreadable_ui(ui, why),
            }
        }
    });
}
