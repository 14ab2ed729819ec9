//! Papers: what a paper lists, and a list of it reconciled: each entry with the forms it may mean, to be accepted, put right or declined, by keyboard.
//!
//! `rows` draws the entries, `entry` what one of them may mean, `work` reads and reconciles off the frame. What is accepted goes into the key as one step.

mod entry;
pub(super) mod prices;
mod rows;
mod work;

pub use prices::Index;
pub use work::{Found, From};

use super::pages::Wish;
use crate::daybook::papers::{Accepted, Meant};
use crate::desk::board::vessel::Drawings;
use crate::desk::command::{Command, Notice};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::jobs::Jobs;
use crate::desk::offered::Offered;
use crate::desk::theme::{self, GAP, TARGET};
use crate::desk::widgets::{self, button, chip, heading, main_button, remark, strong};
use crate::key::{FormId, GlazeId, Key, Paper, PaperId, capital};
use crate::{say, say_count};
use egui::{Button, Context, Margin, Rect, RichText, ScrollArea, TextEdit, Ui, pos2, vec2};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Width of the papers, in points.
const PAPERS: f32 = 268.0;
/// Height of what one entry may mean, in points.
const ENTRY: f32 = 168.0;
/// An entry is sure from this probability on.
const SURE: f64 = 0.9;

/// The page of papers.
#[derive(Debug, Default)]
pub struct PapersPage {
    /// True while it is looked at.
    pub is_open: bool,
    /// The paper that is looked at.
    paper: Option<PaperId>,
    /// A list that is being pasted.
    text: String,
    /// True while a list is being read.
    reading: bool,
    list: Option<List>,
    drawn: Drawings,
    prices: prices::Prices,
}

/// What a person says of an entry.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
enum Decision {
    /// Nothing yet.
    #[default]
    Open,
    /// It means that form.
    Means(FormId),
    /// It means none of the key, or is to be left alone.
    Declined,
}

/// A reconciled list with what was said of it.
#[derive(Debug)]
struct List {
    found: Box<Found>,
    decisions: Vec<Decision>,
    /// The entry that is looked at.
    at: usize,
    /// It is to have the focus.
    focus: bool,
    /// The glazes that entries are listed in which name none.
    glazes: BTreeSet<GlazeId>,
    /// The name of another form, being typed.
    typed: String,
    offered: Offered,
}

impl List {
    fn meant(&self, at: usize) -> Option<&Meant> {
        self.found.list.entries.get(at)
    }

    /// Says it of an entry and goes on to the next.
    fn decide(&mut self, at: usize, decision: Decision) {
        if let Some(known) = self.decisions.get_mut(at) {
            *known = decision;
        }
        self.at = (at + 1).min(self.decisions.len().saturating_sub(1));
        self.focus = true;
        self.typed.clear();
    }

    /// Entries that can be accepted as they are, since they are sure and nothing was said of them.
    fn sure(&self) -> Vec<(usize, FormId)> {
        let open = self.found.list.entries.iter().zip(&self.decisions).enumerate().filter(|(_, (_, said))| **said == Decision::Open);
        open.filter_map(|(at, (meant, _))| {
            let best = meant.best().filter(|best| best.probability >= SURE)?;
            Some((at, best.form.clone()))
        })
        .collect()
    }

    /// Leaves what nothing was said of yet; how many entries that is.
    fn keep_open(&mut self) -> usize {
        let open: Vec<bool> = self.decisions.iter().map(|said| *said == Decision::Open).collect();
        let mut of_entries = open.iter();
        self.found.list.entries.retain(|_| of_entries.next().copied().unwrap_or(false));
        self.decisions.retain(|said| *said == Decision::Open);
        self.at = 0;
        self.focus = true;
        self.decisions.len()
    }

    fn accepted(&self) -> Vec<Accepted> {
        let said = self.found.list.entries.iter().zip(&self.decisions);
        said.filter_map(|(meant, decision)| {
            let Decision::Means(form) = decision else { return None };
            let glazes = if meant.entry.glazes.is_empty() { self.glazes.iter().cloned().collect() } else { meant.glazes.clone() };
            Some(Accepted { written: meant.entry.written.clone(), form: form.clone(), glazes, price: meant.entry.price.clone() })
        })
        .collect()
    }
}

impl PapersPage {
    /// Reads a list of the paper that is looked at.
    pub(super) fn read(&mut self, jobs: &mut Jobs, ctx: &Context, key: &Arc<Key>, from: From) -> Option<Notice> {
        let Some(paper) = self.paper.clone() else {
            return Some(Notice::problem(say!("choose the paper first that this is a list of")));
        };
        self.reading = true;
        work::start(jobs, ctx, Arc::clone(key), paper, from);
        None
    }

    /// Asks for a list.
    pub(super) fn choose(jobs: &mut Jobs, ctx: &Context) {
        work::choose(jobs, ctx);
    }

    /// Takes in a list that was reconciled.
    pub(super) fn take_in(&mut self, found: Result<Box<Found>, String>) -> Option<Notice> {
        self.reading = false;
        match found {
            Ok(found) => {
                let notice = found.told.first().map(|first| Notice::problem(say!("not all of the list could be read: {first}", first)));
                let decisions = vec![Decision::Open; found.list.entries.len()];
                self.list = Some(List {
                    found,
                    decisions,
                    at: 0,
                    focus: true,
                    glazes: BTreeSet::new(),
                    typed: String::new(),
                    offered: Offered::default(),
                });
                self.text.clear();
                notice
            }
            Err(why) => Some(Notice::problem(why)),
        }
    }

    /// Takes in an index of prices.
    pub(super) fn take_index(&mut self, index: Result<Index, String>) -> Option<Notice> {
        match index {
            Ok(index) => {
                self.prices.index = Some(index);
                self.prices.is_open = true;
                None
            }
            Err(why) => Some(Notice::problem(why)),
        }
    }

    /// True where a file that is dropped is an index of prices.
    pub(super) fn wants_index(&self) -> bool {
        self.prices.is_open
    }

    /// A job ended without an answer.
    pub(super) fn broke(&mut self) {
        self.reading = false;
    }
}

/// Draws the page.
pub(super) fn papers_ui(ui: &mut Ui, doc: &Document, page: &mut PapersPage, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        heading(ui, say!("Papers"));
        if button(ui, Icon::Close, say!("Back to the finds")).clicked() {
            page.is_open = false;
        }
        if chip(ui, say!("Prices over the years"), page.prices.is_open).clicked() {
            page.prices.is_open = !page.prices.is_open;
        }
        if !page.prices.is_open {
            remark(ui, say!("Choose a paper, read its list, and say what each entry means"));
        }
    });
    if doc.key.papers.is_empty() {
        remark(ui, say!("This key has no paper yet. Papers stand in papers.ron, each with an id, a title, a kind and a date."));
        return;
    }
    if page.prices.is_open {
        prices::prices_ui(ui, doc, page, commands);
        return;
    }
    if page.paper.as_ref().is_none_or(|id| doc.key.paper(id).is_none()) {
        page.paper = doc.key.papers.first().map(|paper| paper.id.clone());
    }
    let all = ui.available_rect_before_wrap();
    let wide = PAPERS.min(all.width() * 0.34);
    let left = Rect::from_min_size(all.min, vec2(wide, all.height()));
    let right = Rect::from_min_max(pos2(left.right() + GAP, all.top()), all.max);
    widgets::in_rect(ui, "all papers", left, |ui| all_ui(ui, doc, page));
    widgets::in_rect(ui, "one paper", right, |ui| one_ui(ui, doc, page, commands));
}

/// The papers of the key.
fn all_ui(ui: &mut Ui, doc: &Document, page: &mut PapersPage) {
    ScrollArea::vertical().id_salt("papers").auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 4.0;
        for paper in &doc.key.papers {
            let on = page.paper.as_ref() == Some(&paper.id);
            let words = format!("{}\n{}, {}", capital(&paper.title), paper.date.words(), entries_words(paper));
            let c = theme::colours(ui);
            let shown = Button::selectable(on, RichText::new(&words).size(14.0).color(c.ink))
                .wrap()
                .min_size(vec2(ui.available_width() - 10.0, TARGET));
            if ui.add(shown).clicked() {
                page.paper = Some(paper.id.clone());
            }
        }
    });
}

fn entries_words(paper: &Paper) -> String {
    match paper.lists.len() {
        0 => say!("nothing listed yet").to_owned(),
        n => say_count!(n, "{n} entry", "{n} entries"),
    }
}

fn one_ui(ui: &mut Ui, doc: &Document, page: &mut PapersPage, commands: &mut Vec<Command>) {
    let Some(paper) = page.paper.as_ref().and_then(|id| doc.key.paper(id)) else { return };
    if page.list.as_ref().is_some_and(|list| list.found.paper == paper.id) {
        list_ui(ui, doc, page, paper, commands);
        return;
    }
    strong(ui, capital(&paper.title));
    if !paper.note.is_empty() {
        remark(ui, &paper.note);
    }
    if page.reading {
        remark(ui, say!("Reading the list …"));
    } else {
        paste_ui(ui, page, commands);
    }
    ui.separator();
    strong(ui, entries_words(paper));
    ScrollArea::vertical().id_salt("as it stands").auto_shrink(false).show(ui, |ui| {
        for listed in &paper.lists {
            let form = listed.form.as_ref().map_or_else(|| say!("not settled").to_owned(), |form| doc.key.form_name(form));
            let price = if listed.price.is_empty() { String::new() } else { format!(", {}", listed.price) };
            ui.label(say!("'{written}'{price}: {form}", written = listed.written, price, form));
        }
    });
}

fn paste_ui(ui: &mut Ui, page: &mut PapersPage, commands: &mut Vec<Command>) {
    let named = remark(ui, say!("Its list, an entry in each line as it is written there, the price behind it"));
    ScrollArea::vertical().id_salt("pasted").max_height(150.0).show(ui, |ui| {
        let field = TextEdit::multiline(&mut page.text)
            .hint_text("lge server 9¼ .... 4/6\nsugar cov'd, 8 oz .... 1/8")
            .desired_rows(5)
            .desired_width(f32::INFINITY)
            .margin(Margin::symmetric(8, 7));
        ui.add(field).labelled_by(named.id);
    });
    ui.horizontal_wrapped(|ui| {
        if !page.text.trim().is_empty() && main_button(ui, Icon::Tick, say!("Say what they mean")).clicked() {
            commands.push(Command::Page(Wish::Reconcile(From::Text(page.text.clone()))));
        }
        let hint =
            say!("A table with a column 'written', and 'price', 'size' and 'glaze' where it has them; a file may also be dropped here");
        if button(ui, Icon::Folder, say!("Read a list")).on_hover_text(hint).clicked() {
            commands.push(Command::Page(Wish::ChooseList));
        }
    });
}

/// Draws a reconciled list.
fn list_ui(ui: &mut Ui, doc: &Document, page: &mut PapersPage, paper: &Paper, commands: &mut Vec<Command>) {
    let PapersPage { list, drawn, .. } = page;
    let Some(now) = list.as_mut() else { return };
    let mut drop = false;
    strong(ui, say!("{paper}: {decisions} to be settled", paper = capital(&paper.title), decisions = count_entries(now.decisions.len())));
    ui.horizontal_wrapped(|ui| {
        let sure = now.sure();
        if !sure.is_empty() && button(ui, Icon::Tick, &say!("Accept the {sure} that are over 90 %", sure = sure.len())).clicked() {
            for (at, form) in sure {
                if let Some(decision) = now.decisions.get_mut(at) {
                    *decision = Decision::Means(form);
                }
            }
        }
        let taken = now.accepted();
        if !taken.is_empty()
            && main_button(ui, Icon::KeyBook, &say!("Take {taken} into the key", taken = count_entries(taken.len()))).clicked()
        {
            commands.push(Command::Page(Wish::TakeEntries(paper.id.clone(), taken)));
            drop = now.keep_open() == 0;
        }
        if button(ui, Icon::Close, say!("Drop this list")).clicked() {
            drop = true;
        }
    });
    glazes_ui(ui, doc, now);
    remark(ui, say!("Enter accepts and goes on, a digit chooses another, Delete declines, arrows go up and down"));
    let room = ui.available_rect_before_wrap();
    let below = ENTRY.min(room.height() * 0.45);
    let upper = Rect::from_min_max(room.min, pos2(room.right(), room.bottom() - below));
    let lower = Rect::from_min_max(pos2(room.left(), upper.bottom() + 6.0), room.max);
    widgets::in_rect(ui, "entries", upper, |ui| rows::rows_ui(ui, doc, now, paper, drawn));
    widgets::in_rect(ui, "one entry", lower, |ui| entry::entry_ui(ui, doc, now, drawn));
    if drop {
        page.list = None;
    }
}

fn count_entries(n: usize) -> String {
    say_count!(n, "{n} entry", "{n} entries")
}

/// The glazes of entries that name none.
fn glazes_ui(ui: &mut Ui, doc: &Document, list: &mut List) {
    let unnamed = list.found.list.entries.iter().filter(|meant| meant.entry.glazes.is_empty()).count();
    if unnamed == 0 {
        return;
    }
    let lines: BTreeSet<_> =
        list.found.list.entries.iter().filter_map(|meant| doc.form(&meant.best()?.form).map(|form| form.line.clone())).collect();
    ScrollArea::horizontal().id_salt("glazes of the list").show(ui, |ui| {
        ui.horizontal(|ui| {
            remark(ui, say!("{unnamed} name no glaze; listed in:", unnamed));
            for glaze in doc.key.glazes.iter().filter(|glaze| glaze.lines.is_empty() || glaze.lines.iter().any(|line| lines.contains(line)))
            {
                let on = list.glazes.contains(&glaze.id);
                if chip(ui, &glaze.name, on).clicked() {
                    if on {
                        list.glazes.remove(&glaze.id);
                    } else {
                        list.glazes.insert(glaze.id.clone());
                    }
                }
            }
        });
    });
}
