//! The Daybook: the finds, as a table or as pictures, found, narrowed, sorted, changed one by one or many at once.
//!
//! The ids of the whole list come from a job; the finds themselves are read as they come into sight, so a hundred thousand scroll as ten do.

mod bulk;
mod census;
mod chips;
pub mod keeping;
mod learn;
mod list;
mod listing;
mod measures;
pub mod pages;
pub mod pairing;
pub mod papers;
mod record;
pub mod services;
mod sheet;
mod table;
mod wall;
mod years;

pub use census::CensusPage;
pub use keeping::KeepingPage;
pub use learn::Learning;
pub use listing::FindList;
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
use super::printing::{Order, Whose};
use super::settings::Settings;
use super::theme::{GAP, TARGET};
use super::widgets::{self, button, icon_button, remark};
use crate::daybook::{Column, Filter, Question, Way};
use crate::{say, say_count};
use egui::{Margin, Popup, PopupCloseBehavior, Rect, Role, ScrollArea, TextEdit, Ui, WidgetInfo, pos2, vec2};
use std::ops::Range;

/// What the Daybook shows.
#[derive(Debug, Default)]
pub struct DaybookView {
    /// The finds.
    pub list: FindList,
    /// What is being typed: years to narrow by, a change of many, the record of one.
    years_typed: String,
    typed: bulk::Typed,
    draft: record::Draft,
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
    /// Backups, joining, going back.
    pub keeping: KeepingPage,
}

impl DaybookView {
    /// Takes over what is remembered from the last time.
    pub fn start(&mut self, settings: &Settings) {
        if let Some(columns) = settings.find_columns.clone().filter(|columns| !columns.is_empty()) {
            self.list.columns = columns;
        }
        self.list.as_pictures = settings.finds_as_pictures;
    }

    /// Notes what is to be remembered.
    pub fn note(&self, settings: &mut Settings) {
        settings.find_columns = Some(self.list.columns.clone());
        settings.finds_as_pictures = self.list.as_pictures;
    }

    /// What is to be listed, and the rows of it that are in sight.
    pub fn asks(&self) -> (Question, Range<usize>) {
        (self.list.question.clone(), self.list.sight.clone())
    }

    /// Takes a list of finds in. One that was asked for before the question changed is passed over.
    pub fn take_in(&mut self, question: &Question, listed: Listing) -> bool {
        self.list.take_in(question, listed)
    }

    /// Lists the finds with the least sure first.
    pub fn show_doubtful_first(&mut self) {
        self.list.question.filter = Filter::default();
        self.list.question.order = Some(crate::daybook::Order { by: Column::Sure, way: Way::Up });
    }

    /// The finds that a list or labels are made of: those chosen, else those listed.
    fn whose(&self) -> Whose {
        let (list, filter) = (&self.list, &self.list.question.filter);
        let only_a_box = Filter { box_label: filter.box_label.clone(), ..Filter::default() };
        match &filter.box_label {
            _ if !list.chosen.is_empty() => Whose::These(list.chosen.iter().copied().collect()),
            _ if filter.is_open() => Whose::All,
            Some(label) if *filter == only_a_box => Whose::Box(label.clone()),
            _ => Whose::These(list.ids.iter().copied().collect()),
        }
    }

    /// Closes the sheet of a find, or lets go of those that are chosen.
    pub fn close_what_is_open(&mut self) {
        if self.list.open.take().is_none() {
            self.list.chosen.clear();
        }
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
    if view.keeping.is_open {
        widgets::in_rect(ui, "keeping", area, |ui| keeping::keeping_ui(ui, &mut view.keeping, commands));
        return;
    }
    let head = Rect::from_min_size(area.min, vec2(area.width(), TARGET));
    widgets::in_rect(ui, "daybook head", head, |ui| head_ui(ui, view, commands));
    let further = Rect::from_min_size(pos2(area.left(), head.bottom() + 6.0), vec2(area.width(), TARGET));
    widgets::in_rect(ui, "further pages", further, |ui| pages_ui(ui, view, commands));
    let below = Rect::from_min_max(pos2(area.left(), further.bottom() + GAP), area.max);
    let below = widgets::in_rect(ui, "daybook chips", below, |ui| {
        let used = ui
            .scope(|ui| {
                if view.list.is_known && (!view.list.is_empty() || view.list.question.filter.narrowed() > 0) {
                    chips::chips_ui(ui, &mut view.list, &mut view.years_typed, commands);
                }
                if !view.list.chosen.is_empty() {
                    bulk::bulk_ui(ui, doc, view, commands);
                }
            })
            .response
            .rect;
        let top = if used.height() > 1.0 { used.bottom() + GAP / 2.0 } else { below.top() };
        Rect::from_min_max(pos2(below.left(), top), below.max)
    })
    .inner;
    if view.list.is_empty() {
        widgets::in_rect(ui, "daybook empty", below, |ui| empty_ui(ui, view, commands));
        return;
    }
    let Some(find) = view.list.open_find() else {
        widgets::in_rect(ui, "daybook list", below, |ui| finds_ui(ui, doc, view, thumbs, commands));
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
    widgets::in_rect(ui, "daybook list", list, |ui| finds_ui(ui, doc, view, thumbs, commands));
    widgets::in_rect(ui, "daybook sheet", sheet, |ui| sheet::sheet_ui(ui, doc, view, thumbs, &find, commands));
}

fn head_ui(ui: &mut Ui, view: &mut DaybookView, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        let label = remark(ui, say!("Search"));
        let width = (ui.available_width() - 760.0).clamp(140.0, 420.0);
        let search = &mut view.list.question.filter.search;
        let field = TextEdit::singleline(search)
            .hint_text(say!("form, line, box, words of a note"))
            .desired_width(width)
            .margin(Margin::symmetric(8, 7))
            .min_size(vec2(0.0, TARGET));
        let response = ui.add(field).labelled_by(label.id);
        response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, say!("Search the daybook")));
        let mut changed = response.changed();
        if !search.is_empty() && icon_button(ui, Icon::Close, say!("Clear the search")).clicked() {
            search.clear();
            changed = true;
        }
        if changed {
            commands.push(Command::ListFinds);
        }
        if !view.list.is_known {
            return;
        }
        let count = view.list.len();
        remark(ui, say_count!(n = count, "{n} find", "{n} finds"));
        let (icon, name) = if view.list.as_pictures { (Icon::More, say!("As a table")) } else { (Icon::WholePiece, say!("As pictures")) };
        if count > 0 && icon_button(ui, icon, name).clicked() {
            view.list.as_pictures = !view.list.as_pictures;
        }
        if count > 0 && !view.list.as_pictures {
            columns_ui(ui, &mut view.list);
        }
        if icon_button(ui, Icon::Folder, say!("Bring in a sorted box")).clicked() {
            commands.push(Command::ChooseSortedBox);
        }
        if count > 0 && button(ui, Icon::KeyBook, say!("Count into the key")).clicked() {
            view.learning = Learning::Reading;
            commands.push(Command::LearnFromFinds);
        }
        if button(ui, Icon::MarkDrawer, say!("Census"))
            .on_hover_text(say!("Which form exists in which glaze: seen, listed, doubtful"))
            .clicked()
        {
            view.census = CensusPage::Reading;
            commands.push(Command::Census);
        }
        if count > 0
            && button(ui, Icon::Date, say!("Years")).on_hover_text(say!("When the finds were made, by form, line and mark")).clicked()
        {
            view.years = Years::Reading;
            commands.push(Command::YearsOfFinds);
        }
    });
}

/// The way to what is kept beside the finds.
fn pages_ui(ui: &mut Ui, view: &DaybookView, commands: &mut Vec<Command>) {
    ScrollArea::horizontal().id_salt("further pages").show(ui, |ui| {
        ui.horizontal(|ui| {
            let hint = say!("Loose lids and lidless bases: which belong together");
            if button(ui, Icon::LidMissing, say!("Lids and bases")).on_hover_text(hint).clicked() {
                commands.push(Command::Page(pages::Wish::Pairing));
            }
            let hint = say!("What papers list, and a list of one of them reconciled with the key");
            if button(ui, Icon::Paste, say!("Papers")).on_hover_text(hint).clicked() {
                commands.push(Command::Page(pages::Wish::Papers));
            }
            let hint = say!("What belongs to a service, what of it is there, and what is missing");
            if button(ui, Icon::Box, say!("Services and wants")).on_hover_text(hint).clicked() {
                commands.push(Command::Page(pages::Wish::Services));
            }
            let hint = say!("A backup in one file and back; another member's daybook taken in");
            if button(ui, Icon::Folder, say!("Keep and join")).on_hover_text(hint).clicked() {
                commands.push(Command::Page(pages::Wish::Keeping(keeping::Wish::Open)));
            }
            let hint = say!("A list or labels of these finds, the wants, the census");
            if button(ui, Icon::Paste, say!("Print …")).on_hover_text(hint).clicked() {
                commands.push(Command::Print(Order::Lot(view.whose())));
            }
        });
    });
}

/// The chooser of columns.
fn columns_ui(ui: &mut Ui, list: &mut FindList) {
    let response = icon_button(ui, Icon::Rule, say!("Columns of the table"));
    Popup::menu(&response).close_behavior(PopupCloseBehavior::CloseOnClickOutside).show(|ui| {
        ui.set_min_width(190.0);
        ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
            for column in Column::ALL {
                let mut on = list.columns.contains(&column);
                let only = on && list.columns.len() == 1;
                ui.set_min_height(TARGET);
                if ui.add_enabled(!only, egui::Checkbox::new(&mut on, column.words())).changed() {
                    list.columns.retain(|shown| *shown != column);
                    list.columns.extend(on.then_some(column));
                    list.columns.sort();
                }
            }
        });
    });
}

fn empty_ui(ui: &mut Ui, view: &DaybookView, commands: &mut Vec<Command>) {
    if let Some(why) = &view.list.problem {
        let c = super::theme::colours(ui);
        ui.colored_label(c.alarm, say!("The daybook could not be read: {why}", why));
    } else if !view.list.is_known {
        remark(ui, say!("Reading the daybook …"));
    } else if view.list.question.filter.is_open() {
        widgets::heading(ui, say!("Nothing in the daybook yet"));
        remark(
            ui,
            say!("Name a piece on the Bench and press Ctrl+S: what it is, what you saw, its photographs and its box are kept here."),
        );
        if button(ui, Icon::Bench, say!("To the Bench")).clicked() {
            commands.push(Command::Go(super::command::Screen::Bench));
        }
    } else if view.list.question.filter.narrowed() > 0 {
        widgets::heading(ui, say!("No find is so"));
        remark(ui, say!("Take one of the filters above away."));
    } else {
        widgets::heading(ui, say!("No find has all of these words"));
        remark(ui, say!("Take a word away, or part of one: 'cov' finds 'covered sugar'."));
    }
}

fn finds_ui(ui: &mut Ui, doc: &Document, view: &mut DaybookView, thumbs: &mut Thumbs, commands: &mut Vec<Command>) {
    if view.list.as_pictures {
        wall::wall_ui(ui, doc, view, thumbs, commands);
    } else {
        table::table_ui(ui, doc, view, thumbs, commands);
    }
}
