//! The preview.

use super::work::{self, Asked, Done, Order};
use crate::desk::action::Action;
use crate::desk::command::{Command, Notice};
use crate::desk::daybook_work::{SharedDaybook, folder_name};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::jobs::{Done as JobDone, Jobs};
use crate::desk::theme;
use crate::desk::widgets::{self, Ability, chip, icon_button, icon_button_if, main_button, remark};
use crate::sheets::page::{Document as Sheet, Paper};
use crate::sheets::print::{Fold, Setup};
use crate::{say, say_count};
use egui::{Context, Key, Modifiers, Rect, Role, ScrollArea, Sense, TextureHandle, TextureOptions, Ui, WidgetInfo, vec2};
use jiff::ZonedDateTime;
use jiff::civil::Date;
use std::fmt;
use std::path::PathBuf;
use std::sync::Arc;

/// What the preview shows.
#[derive(Debug, Default)]
pub struct PrintingView {
    open: Option<Open>,
    asked: u64,
    day: Option<Date>,
}

#[derive(Debug)]
struct Open {
    order: Order,
    /// What can be shown in its place.
    kin: Vec<Order>,
    paper: Paper,
    fold: Fold,
    page: usize,
    /// Which asking the sheet on screen is of; none before the first, or after a change.
    number: Option<u64>,
    sheet: Laid,
    /// The page that is drawn, and how wide it was asked for in pixels.
    drawn: Option<(usize, u32, Drawn)>,
    wish: Wish,
    /// What the last saving said.
    said: Option<Notice>,
}

#[derive(Debug)]
enum Laid {
    Waiting,
    Ready(Arc<Sheet>),
    Refused(String),
}

enum Drawn {
    Waiting,
    Arrived(Box<egui::ColorImage>),
    Ready(TextureHandle),
    Failed(String),
}

impl fmt::Debug for Drawn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Waiting => "Waiting",
            Self::Arrived(_) => "Arrived",
            Self::Ready(_) => "Ready",
            Self::Failed(_) => "Failed",
        })
    }
}

#[derive(Debug, PartialEq)]
enum Wish {
    Nothing,
    SaveAs,
    SaveTo(PathBuf),
    Close,
}

impl PrintingView {
    /// Opens the preview.
    pub fn show(&mut self, order: Order) {
        let (paper, fold) = self.open.as_ref().map_or((Paper::A4, Fold::Flat), |open| (open.paper, open.fold));
        let kin = order.kin();
        self.open = Some(Open {
            order,
            kin,
            paper,
            fold,
            page: 0,
            number: None,
            sheet: Laid::Waiting,
            drawn: None,
            wish: Wish::Nothing,
            said: None,
        });
    }

    /// Writes this day on sheets in place of today's: for tests and pictures.
    pub fn on_day(&mut self, day: Date) {
        self.day = Some(day);
    }

    /// True while it is open.
    pub fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// Pages of the sheet that is laid out.
    pub fn pages(&self) -> Option<usize> {
        match &self.open.as_ref()?.sheet {
            Laid::Ready(sheet) => Some(sheet.pages.len()),
            Laid::Waiting | Laid::Refused(_) => None,
        }
    }

    /// Writes the sheet to a file as soon as it is laid out: what 'Save as …' does once a name was chosen.
    pub fn save_to(&mut self, file: PathBuf) {
        if let Some(open) = &mut self.open {
            open.wish = Wish::SaveTo(file);
        }
    }

    /// Keeps actions from the screen below while it is open. True where it did.
    pub fn takes(&self, action: Action) -> bool {
        self.open.is_some() && !action.is_of_the_window()
    }
}

/// Takes in what a job has done.
pub fn take_in(view: &mut PrintingView, done: Done) {
    let Some(open) = &mut view.open else { return };
    match done {
        Done::LaidOut(number, laid) if open.number == Some(number) => {
            open.sheet = match laid {
                Ok(sheet) => {
                    open.page = open.page.min(sheet.pages.len().saturating_sub(1));
                    Laid::Ready(sheet)
                }
                Err(why) => Laid::Refused(why),
            };
            open.drawn = None;
        }
        Done::Drawn(number, page, picture) if open.number == Some(number) => {
            if let Some((at, _, drawn)) = &mut open.drawn
                && *at == page
            {
                *drawn = match picture {
                    Ok(picture) => Drawn::Arrived(Box::new(picture)),
                    Err(why) => Drawn::Failed(why),
                };
            }
        }
        Done::Saved(Ok(Some(file))) => open.said = Some(Notice::news(say!("Saved: {file}", file))),
        Done::Saved(Err(why)) => open.said = Some(Notice::problem(why)),
        Done::Saved(Ok(None)) | Done::LaidOut(..) | Done::Drawn(..) => {}
    }
}

/// A job broke off.
pub fn broke(view: &mut PrintingView) {
    if let Some(open) = &mut view.open
        && matches!(open.sheet, Laid::Waiting)
    {
        open.sheet = Laid::Refused(say!("the sheet could not be laid out").to_owned());
    }
}

/// Starts the jobs that are due. Called before each frame.
pub fn poll(view: &mut PrintingView, doc: &Document, daybook: &SharedDaybook, ctx: &Context, jobs: &mut Jobs) {
    let Some(open) = &mut view.open else { return };
    if open.wish == Wish::Close {
        view.open = None;
        return;
    }
    if open.number.is_none() {
        view.asked += 1;
        let number = view.asked;
        open.number = Some(number);
        open.sheet = Laid::Waiting;
        open.drawn = None;
        let asked = Asked {
            key: Arc::clone(&doc.key),
            index: Arc::clone(&doc.index),
            folder: folder_name(doc),
            daybook: Arc::clone(daybook),
            order: open.order.clone(),
            setup: Setup { paper: open.paper, fold: open.fold, day: Some(view.day.unwrap_or_else(|| ZonedDateTime::now().date())) },
        };
        jobs.start(ctx, say!("Laying out the sheet"), move |_progress| JobDone::Printing(Done::LaidOut(number, work::lay_out(&asked))));
    }
    let (Laid::Ready(sheet), Some(number)) = (&open.sheet, open.number) else { return };
    let (at, room) = (open.page, ctx.content_rect());
    let Some(page) = sheet.pages.get(at) else { return };
    // As many pixels as the page takes up on screen, twice over where it is scrolled; never more than a texture holds.
    let shown = shown_width(page.width_mm, page.height_mm, room);
    let most = ctx.input(|input| input.max_texture_side) as f32;
    let pixels = (shown * ctx.pixels_per_point()).min(most).min(most * (page.width_mm / page.height_mm) as f32).max(64.0) as u32;
    if !open.drawn.as_ref().is_some_and(|(drawn, wide, _)| *drawn == at && *wide == pixels) {
        open.drawn = Some((at, pixels, Drawn::Waiting));
        let sheet = Arc::clone(sheet);
        let per_inch = f64::from(pixels) / page.width_mm * 25.4;
        jobs.start(ctx, say!("Drawing the page"), move |_progress| {
            JobDone::Printing(Done::Drawn(number, at, work::draw(&sheet, at, per_inch)))
        });
    }
    if let Some((_, _, drawn)) = &mut open.drawn
        && matches!(drawn, Drawn::Arrived(_))
        && let Drawn::Arrived(picture) = std::mem::replace(drawn, Drawn::Waiting)
    {
        *drawn = Drawn::Ready(ctx.load_texture("page", *picture, TextureOptions::LINEAR));
    }
    match std::mem::replace(&mut open.wish, Wish::Nothing) {
        Wish::SaveAs => {
            let (sheet, name) = (Arc::clone(sheet), open.order.file_name());
            jobs.start(ctx, say!("Saving the sheet"), move |_progress| JobDone::Printing(Done::Saved(work::save_as(&sheet, &name))));
        }
        Wish::SaveTo(file) => {
            let sheet = Arc::clone(sheet);
            jobs.start(ctx, say!("Saving the sheet"), move |_progress| JobDone::Printing(Done::Saved(work::save(&sheet, &file).map(Some))));
        }
        Wish::Nothing | Wish::Close => {}
    }
}

/// How wide a page is shown, in points: the whole of one that lies, the width of one that stands, as far as there is room.
fn shown_width(width_mm: f64, height_mm: f64, room: Rect) -> f32 {
    let wide = room.width() - 90.0;
    let high = room.height() - 190.0;
    let aspect = (width_mm / height_mm.max(1.0)) as f32;
    // What is read must be large enough: a page that stands is scrolled rather than shrunk below this.
    (high * aspect).max(if aspect < 1.0 { 620.0 } else { 0.0 }).min(wide).max(120.0)
}

/// Draws the preview while it is open.
pub fn printing_ui(ui: &mut Ui, view: &mut PrintingView, commands: &mut Vec<Command>) {
    let Some(open) = &mut view.open else { return };
    let room = ui.ctx().content_rect().shrink(14.0);
    let response = widgets::dialog(ui, "printing").show(ui.ctx(), |ui| {
        let size = room.size() - widgets::DIALOG_ROOM;
        ui.set_min_size(size);
        ui.set_max_size(size);
        head_ui(ui, open);
        kin_ui(ui, open);
        foot_ui(ui, open, commands);
        page_ui(ui, open, room);
    });
    if response.should_close() {
        open.wish = Wish::Close;
    }
    if !ui.ctx().text_edit_focused() {
        let turned = ui.input_mut(|input| {
            i8::from(input.consume_key(Modifiers::NONE, Key::PageDown)) - i8::from(input.consume_key(Modifiers::NONE, Key::PageUp))
        });
        open.turn(turned);
    }
}

impl Open {
    fn pages(&self) -> usize {
        match &self.sheet {
            Laid::Ready(sheet) => sheet.pages.len(),
            Laid::Waiting | Laid::Refused(_) => 0,
        }
    }

    fn turn(&mut self, by: i8) {
        let last = self.pages().saturating_sub(1);
        self.page = match by {
            1.. => (self.page + 1).min(last),
            0 => self.page,
            _ => self.page.saturating_sub(1),
        };
    }

    fn change(&mut self, paper: Paper, fold: Fold) {
        if (self.paper, self.fold) != (paper, fold) {
            (self.paper, self.fold) = (paper, fold);
            (self.number, self.page, self.said) = (None, 0, None);
        }
    }
}

fn head_ui(ui: &mut Ui, open: &mut Open) {
    widgets::row_from_right(ui, |ui| {
        if icon_button(ui, Icon::Close, say!("Close the preview")).clicked() {
            open.wish = Wish::Close;
        }
        ui.add_enabled_ui(matches!(open.sheet, Laid::Ready(_)), |ui| {
            if main_button(ui, Icon::Paste, say!("Save as …")).on_hover_text(say!("As PDF, SVG or PNG")).clicked() {
                open.wish = Wish::SaveAs;
            }
        });
        ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
            widgets::heading(ui, open.order.words());
            for paper in Paper::ALL {
                if chip(ui, paper.words(), open.paper == paper).clicked() {
                    let fold = if paper == Paper::Phone { Fold::Flat } else { open.fold };
                    open.change(paper, fold);
                }
            }
            let folds = matches!(open.order, Order::BenchKey | Order::Marks | Order::Wants | Order::Service(_) | Order::Lot(_));
            if folds && open.paper != Paper::Phone && chip(ui, say!("Booklet"), open.fold == Fold::Booklet).clicked() {
                let fold = if open.fold == Fold::Booklet { Fold::Flat } else { Fold::Booklet };
                open.change(open.paper, fold);
            }
        });
    });
}

fn kin_ui(ui: &mut Ui, open: &mut Open) {
    if open.kin.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        for kin in open.kin.clone() {
            if chip(ui, kin.words(), open.order == kin).clicked() && open.order != kin {
                open.order = kin;
                (open.number, open.page, open.said) = (None, 0, None);
            }
        }
    });
}

fn foot_ui(ui: &mut Ui, open: &mut Open, commands: &mut Vec<Command>) {
    let pages = open.pages();
    ui.horizontal_wrapped(|ui| {
        if icon_button_if(ui, Icon::Left, say!("Page before"), Ability::from(open.page > 0)).clicked() {
            open.turn(-1);
        }
        remark(ui, if pages == 0 { say!("no page yet").to_owned() } else { say!("page {page} of {pages}", page = open.page + 1, pages) });
        if icon_button_if(ui, Icon::Right, say!("Page after"), Ability::from(open.page + 1 < pages)).clicked() {
            open.turn(1);
        }
        if let Some(said) = &open.said {
            let c = theme::colours(ui);
            let ink = if said.is_problem { c.alarm } else { c.ink };
            ui.colored_label(ink, &said.says);
        } else if let Laid::Ready(sheet) = &open.sheet {
            for said in &sheet.remarks {
                remark(ui, said);
            }
        }
    });
    if let Some(said) = open.said.as_ref().filter(|said| !said.is_problem)
        && open.wish == Wish::Close
    {
        // The line outlives the preview.
        commands.push(Command::Say(said.clone()));
    }
}

fn page_ui(ui: &mut Ui, open: &Open, room: Rect) {
    let sheet = match &open.sheet {
        Laid::Waiting => {
            remark(ui, say!("Laying out the sheet …"));
            return;
        }
        Laid::Refused(why) => {
            let c = theme::colours(ui);
            ui.colored_label(c.alarm, say!("This can't be printed: {why}", why));
            return;
        }
        Laid::Ready(sheet) => sheet,
    };
    let Some(page) = sheet.pages.get(open.page) else { return };
    let wide = shown_width(page.width_mm, page.height_mm, room);
    let size = vec2(wide, wide * (page.height_mm / page.width_mm) as f32);
    ScrollArea::both().id_salt("page").auto_shrink(false).show(ui, |ui| {
        ui.vertical_centered(|ui| {
            let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
            let name = say_count!(
                n = sheet.pages.len(),
                "{sheet}, page {page} of {n} page",
                "{sheet}, page {page} of {n} pages",
                sheet = open.order.words(),
                page = open.page + 1
            );
            response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name.clone()));
            let c = theme::colours(ui);
            match &open.drawn {
                Some((_, _, Drawn::Ready(texture))) => {
                    let whole = Rect::from_min_max(egui::pos2(0.0, 0.0), egui::pos2(1.0, 1.0));
                    ui.painter().image(texture.id(), rect, whole, egui::Color32::WHITE);
                    ui.painter().rect_stroke(rect, 0.0, egui::Stroke::new(1.0, c.edge), egui::StrokeKind::Outside);
                }
                Some((_, _, Drawn::Failed(why))) => {
                    ui.painter().rect_stroke(rect, 0.0, egui::Stroke::new(1.0, c.edge), egui::StrokeKind::Outside);
                    ui.colored_label(c.alarm, why);
                }
                _ => {
                    ui.painter().rect_filled(rect, 0.0, c.paper_warm);
                }
            }
        });
    });
}
