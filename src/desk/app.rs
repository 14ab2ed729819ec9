//! The window as a whole: what it holds and the order of a frame.

use super::action::{self, Action};
use super::bench::{self, BenchView};
use super::bring_in::{self, BringInView};
use super::clash::{self, ClashView, KeyWatch};
use super::command::{Command, Notice, Screen, Steps};
use super::condition::{self, ConditionView};
use super::dating::{self, DatingView};
use super::daybook::DaybookView;
use super::document::{Document, KeyPlace};
use super::help;
use super::jobs::{Done, Jobs};
use super::jump::{self, Jump};
use super::key_book::KeyBookView;
use super::key_pictures::{NewPicture, Whose};
use super::log::Log;
use super::mark_drawer::MarkDrawerView;
use super::measuring::{self, MeasuringView};
use super::photographs::PhotographsView;
use super::printing::{self, PrintingView};
use super::reading::{self, ReadingView};
use super::settings::Settings;
use super::start::Start;
use super::tell_apart::TellApartView;
use super::top_bar;
use super::unsaved::Keeper;
use super::{daybook, daybook_work, key_book, key_work, mark_drawer, photographs, tell_apart, theme};
use crate::daybook::BoxTally;
use crate::daybook::condition::ConditionRules;
use crate::key::{Key, builtin};
use crate::say;
use crate::words::{self, Language};
use egui::{CentralPanel, Context, Frame, Panel, Ui};
use std::path::PathBuf;

/// Everything read before the window opens.
#[derive(Debug)]
pub struct Desk {
    /// The document; its key is empty while that of `opening` is still to be read.
    pub doc: Document,
    /// The folder of the key that is read once the window is there: a large one takes a while.
    pub opening: Option<PathBuf>,
    /// The daybook.
    pub daybook: daybook_work::SharedDaybook,
    /// The settings.
    pub settings: Settings,
    /// Where settings and daybook live.
    pub data_dir: PathBuf,
    /// What to tell the person first.
    pub notice: Option<Notice>,
    /// What is spoken where nobody chose a language.
    pub system_language: Language,
}

impl Desk {
    /// Reads the settings, opens the daybook and finds out which key to open.
    ///
    /// # Errors
    ///
    /// A sentence, where the data folder can't be made. A key or a daybook that can't be read is no error: it is said in the window.
    pub fn prepare(start: Start) -> Result<Self, String> {
        let data_dir = match start.data_dir {
            Some(dir) => dir,
            None => directories::ProjectDirs::from("", "", "footring")
                .map(|dirs| dirs.data_dir().to_owned())
                .ok_or_else(|| say!("no home folder was found; say where to keep the data with --data-dir").to_owned())?,
        };
        std::fs::create_dir_all(&data_dir)
            .map_err(|error| say!("the data folder can't be made: {error}: {data_dir}", error, data_dir = data_dir.display()))?;
        let mut settings = Settings::read(&data_dir);
        settings.comfort.language = start.language.or(settings.comfort.language);
        let system_language = start.system_language.unwrap_or_default();
        words::speak(settings.comfort.language.unwrap_or(system_language));
        let mut notice = None;
        let first = key_work::first(start.key, settings.last_key.clone(), &data_dir, &mut notice);
        let (key, opening) = match first {
            key_work::First::Folder(dir) => (Key::default(), Some(dir)),
            key_work::First::InMemory => (builtin::demo().key, None),
        };
        let daybook = daybook_work::open(&data_dir, &mut notice);
        let mut doc = Document::new(key, KeyPlace::default());
        doc.box_label.clone_from(&settings.box_label);
        if let Some(rules) = condition_rules(&data_dir, &mut notice) {
            doc.condition_rules = std::sync::Arc::new(rules);
        }
        Ok(Self { doc, opening, daybook, settings, data_dir, notice, system_language })
    }

    /// A desk on a key in memory, with a daybook in `data_dir`: for tests and pictures.
    pub fn in_memory(key: Key, data_dir: PathBuf) -> Self {
        let mut notice = None;
        let daybook = daybook_work::open(&data_dir, &mut notice);
        Self {
            doc: Document::new(key, KeyPlace::default()),
            opening: None,
            daybook,
            settings: Settings::default(),
            data_dir,
            notice,
            system_language: Language::default(),
        }
    }
}

/// The rules of condition that a person wrote beside the daybook, over the built-in ones; nothing where there are none.
fn condition_rules(data_dir: &std::path::Path, notice: &mut Option<Notice>) -> Option<ConditionRules> {
    let text = std::fs::read_to_string(data_dir.join("daybook").join("condition.ron")).ok()?;
    let (rules, problems) = ConditionRules::over_built_in("condition.ron", &text);
    if let Some(first) = problems.first() {
        *notice =
            Some(Notice::problem(say!("the rules of condition have a problem: {first}", first = first.to_string().replace('\n', ", "))));
    }
    Some(rules)
}

/// The views of all screens.
#[derive(Debug, Default)]
#[expect(missing_docs, reason = "each is the view of the screen it is named for")]
pub struct Views {
    pub bench: BenchView,
    pub tell_apart: TellApartView,
    pub key_book: KeyBookView,
    pub bring_in: BringInView,
    pub mark_drawer: MarkDrawerView,
    pub daybook: DaybookView,
    pub photographs: PhotographsView,
    pub measuring: MeasuringView,
    /// Reading a mark on a photograph.
    pub reading: ReadingView,
    /// What dates the piece.
    pub dating: DatingView,
    /// The condition of the piece.
    pub condition: ConditionView,
    /// What was changed here and on disk.
    pub clash: ClashView,
    /// The preview of a sheet to print.
    pub printing: PrintingView,
    pub jump: Jump,
    pub help: help::HelpView,
    pub doing: super::doing::Doing,
    pub comfort_open: bool,
}

/// The window.
#[derive(Debug)]
pub struct Footring {
    /// What it is about.
    pub doc: Document,
    /// What each screen shows.
    pub views: Views,
    /// The screen that is showing.
    pub screen: Screen,
    /// Steps to undo and redo.
    pub steps: Steps,
    /// Work off the frame.
    pub jobs: Jobs,
    /// The line at the foot.
    pub notice: Option<Notice>,
    /// The folder of the key that is being opened for the first time: nothing else can be shown before.
    pub opening: Option<PathBuf>,
    /// The key's folder.
    pub folder: key_work::SharedFolder,
    /// The daybook.
    pub daybook: daybook_work::SharedDaybook,
    /// The shelves of lids and bases, beside it.
    pub shelves_file: super::kept::SharedFile,
    /// The services, beside it.
    pub services_file: super::kept::SharedFile,
    /// The settings.
    pub settings: Settings,
    /// Where the data lives.
    pub data_dir: PathBuf,
    /// What is spoken where nobody chose a language.
    pub(super) system_language: Language,
    /// What lies in the box in hand, once counted.
    pub box_tally: Option<BoxTally>,
    /// What was told and what went wrong.
    pub(super) log: Log,
    /// Keeps work in progress for the case of a crash.
    pub(super) unsaved: Keeper,
    pub(super) key_watch: KeyWatch,
    pub(super) commands: Vec<Command>,
    /// Pictures that go into the key's folder with what is saved next.
    pub(super) new_pictures: Vec<NewPicture>,
}

impl Footring {
    /// The window on what was read.
    pub fn new(ctx: &Context, mut desk: Desk) -> Self {
        desk.settings.comfort.speak(desk.system_language, &mut desk.doc);
        Self::dress(ctx);
        // Where the system has no say, paper and clay.
        ctx.options_mut(|options| options.fallback_theme = egui::Theme::Light);
        ctx.set_theme(super::comfort::theme_of(desk.settings.theme));
        desk.settings.comfort.apply(ctx);
        let unsaved = Keeper::start(&desk.data_dir);
        let mut log = Log::open(&desk.data_dir);
        log.say("start", concat!("Footring ", env!("CARGO_PKG_VERSION")));
        let mut app = Self {
            doc: desk.doc,
            shelves_file: super::kept::file(&desk.data_dir, "shelves.ron"),
            services_file: super::kept::file(&desk.data_dir, crate::daybook::census::SERVICES),
            views: Views::default(),
            screen: Screen::Bench,
            steps: Steps::default(),
            jobs: Jobs::default(),
            notice: desk.notice,
            opening: desk.opening,
            folder: key_work::no_folder(),
            daybook: desk.daybook,
            settings: desk.settings,
            data_dir: desk.data_dir,
            system_language: desk.system_language,
            box_tally: None,
            log,
            unsaved,
            key_watch: KeyWatch::default(),
            commands: Vec::new(),
            new_pictures: Vec::new(),
        };
        app.views.daybook.start(&app.settings);
        app.views.photographs.start(ctx, &app.settings, &app.data_dir);
        app.views.measuring.start(&app.data_dir);
        app.views.reading.start(&app.data_dir);
        daybook_work::look_through(&mut app.jobs, ctx, &app.daybook);
        app.count_box(ctx);
        if let Some(dir) = app.opening.clone() {
            key_work::open(&mut app.jobs, ctx, dir, key_work::Because::TheWindowOpened);
        }
        app
    }

    /// Gives a context the type, the colours and the picture readers of the window.
    pub fn dress(ctx: &Context) {
        theme::install(ctx);
        egui_extras::install_image_loaders(ctx);
    }

    /// Asks for something, as a drawing function would; it is carried out with the next frame.
    pub fn ask(&mut self, command: Command) {
        self.commands.push(command);
    }

    /// True where no job runs and nothing waits to be carried out.
    pub fn is_at_rest(&self) -> bool {
        self.jobs.is_idle() && self.commands.is_empty()
    }

    /// Takes in what jobs have done. Called before each frame, and alone while the window is hidden.
    pub fn take_in(&mut self, ctx: &Context) {
        for done in self.jobs.collect() {
            match done {
                Done::Key(done) => self.key_done(ctx, done),
                Done::Daybook(done) => self.daybook_done(ctx, done),
                Done::Pages(done) => self.page_done(ctx, done),
                Done::Alone(done) => tell_apart::alone::take_in(&mut self.views.tell_apart.alone, *done),
                Done::BringIn(done) => self.bring_in_done(done),
                Done::Kept(done) => self.kept(done),
                Done::KeyBook(done) => key_book::take_in(&mut self.views.key_book, &self.doc, done, &mut self.commands),
                Done::Photographs(done) => photographs::take_in(&mut self.views.photographs, &self.doc, done, &mut self.commands),
                Done::KeyPictures(Whose::Marks, done) => mark_drawer::take_in(&mut self.views.mark_drawer, done),
                Done::KeyPictures(Whose::KeyBook, done) => key_book::take_in_picture(&mut self.views.key_book, done),
                Done::Reading(done) => reading::take_in(&mut self.views.reading, done),
                Done::Printing(done) => printing::take_in(&mut self.views.printing, done),
                Done::Measuring(done) => measuring::take_in(&mut self.views.measuring, done),
                Done::Broke { doing } => {
                    printing::broke(&mut self.views.printing);
                    measuring::broke(&mut self.views.measuring);
                    reading::broke(&mut self.views.reading);
                    self.opening = None;
                    self.page_broke();
                    key_book::broke(&mut self.views.key_book);
                    bring_in::broke(&mut self.views.bring_in);
                    tell_apart::alone::broke(&mut self.views.tell_apart.alone);
                    self.log.say("fault", &doing);
                    self.notice =
                        Some(Notice::problem(say!("a fault of the program ended this work: {doing}. Nothing was changed", doing)));
                }
            }
        }
        let dropped =
            ctx.input(|input| input.raw.dropped_files.iter().map(|file| file.path().to_owned()).find(|path| bring_in::is_list(path)));
        if let Some(path) = dropped {
            self.commands.push(match self.page_taking(&path) {
                Some(wish) => Command::Page(wish),
                None => Command::BringIn(bring_in::Wish::Read(path, crate::key::tables::Options::default())),
            });
        }
        let packed = ctx.input(|input| {
            input.raw.dropped_files.iter().map(|file| file.path().to_owned()).find(|path| crate::key::pack::is_packed(path))
        });
        if let Some(path) = packed {
            self.commands.push(Command::OpenKey(path));
        }
        self.views.photographs.leaves_drops = self.doc.place.dir.is_some()
            && match self.screen {
                Screen::MarkDrawer => mark_drawer::drop_on(&mut self.views.mark_drawer, ctx),
                Screen::KeyBook => key_book::drop_on(&mut self.views.key_book, ctx),
                Screen::Bench | Screen::TellApart | Screen::Daybook => false,
            };
        photographs::poll(&mut self.views.photographs, ctx, &mut self.jobs, &self.daybook, &mut self.commands);
        printing::poll(&mut self.views.printing, &self.doc, &self.daybook, ctx, &mut self.jobs);
        measuring::poll(&mut self.views.measuring, &self.doc, ctx, &mut self.jobs);
        reading::poll(&mut self.views.reading, &self.doc, ctx, &mut self.jobs);
        mark_drawer::poll(&mut self.views.mark_drawer, &self.doc, self.views.photographs.store(), ctx, &mut self.jobs);
        key_book::poll(&mut self.views.key_book, &self.doc, self.views.photographs.store(), ctx, &mut self.jobs);
        self.views.photographs.note_folder(&mut self.settings);
        self.keep_unsaved(ctx);
        self.poll_disk(ctx);
        self.carry_out(ctx);
    }

    /// Draws a frame and carries out what was asked for.
    pub fn frame(&mut self, ui: &mut Ui) {
        if let Some(dir) = &self.opening {
            let words = say!("Opening the key {folder} …", folder = dir.file_name().unwrap_or(dir.as_os_str()).to_string_lossy());
            CentralPanel::no_frame().frame(Frame::new().fill(theme::colours(ui).table)).show(ui, |ui| {
                ui.centered_and_justified(|ui| super::widgets::heading(ui, words));
            });
            return;
        }
        if ui.current_pass_index() == 0 {
            for action in action::pressed(ui) {
                self.act(ui, action);
            }
        }
        self.bars(ui);
        let commands = &mut self.commands;
        let (doc, views) = (&self.doc, &mut self.views);
        CentralPanel::no_frame().frame(Frame::new().fill(theme::colours(ui).table)).show(ui, |ui| match self.screen {
            Screen::Bench => {
                let Views { bench, photographs, .. } = views;
                bench::bench_ui(ui, doc, bench, self.settings.comfort.hand, commands, &mut |ui, commands| {
                    photographs::strip_ui(ui, doc, photographs, commands);
                });
            }
            Screen::TellApart => tell_apart::tell_apart_ui(ui, doc, &mut views.tell_apart, commands),
            Screen::KeyBook if views.key_book.shows_list() => {
                bring_in::bring_in_ui(ui, doc, &mut views.bring_in, &mut views.key_book.page, commands);
            }
            Screen::KeyBook => key_book::key_book_ui(ui, doc, &mut views.key_book, commands),
            Screen::MarkDrawer => mark_drawer::mark_drawer_ui(ui, doc, &mut views.mark_drawer, commands),
            Screen::Daybook => daybook::daybook_ui(ui, doc, &mut views.daybook, &mut views.photographs.thumbs, commands),
        });
        photographs::viewer_ui(ui, doc, &mut views.photographs, commands);
        measuring::measuring_ui(ui, doc, &mut views.measuring, commands);
        reading::reading_ui(ui, doc, &mut views.reading, commands);
        dating::dating_ui(ui, doc, &mut views.dating, commands);
        condition::condition_ui(ui, doc, &mut views.condition, commands);
        clash::clash_ui(ui, &mut views.clash, commands);
        printing::printing_ui(ui, &mut views.printing, commands);
        jump::jump_ui(ui, doc, &mut views.jump, commands);
        help::help_ui(ui, &mut views.help, self.screen);
        super::comfort::comfort_ui(ui, &mut views.comfort_open, self.settings.comfort, self.settings.theme, commands);
        self.doing(ui);
        let ctx = ui.ctx().clone();
        self.carry_out(&ctx);
    }

    fn bars(&mut self, ui: &mut Ui) {
        let c = theme::colours(ui);
        let bar = Frame::new().fill(c.bar).inner_margin(egui::Margin::symmetric(8, 4));
        let mut find = false;
        Panel::top("top bar").exact_size(theme::TARGET + 10.0).frame(bar).show(ui, |ui| {
            top_bar::top_bar_ui(ui, &self.doc, self.screen, &self.steps, self.box_tally.as_ref(), &mut self.commands, &mut find);
        });
        if find {
            self.views.jump.open();
        }
        self.unsaved_ui(ui);
        if let Some(notice) = self.notice.clone() {
            self.log.say(if notice.is_problem { "problem" } else { "news" }, &notice.says);
            let mut close = false;
            Panel::bottom("notice").frame(Frame::NONE).show(ui, |ui| close = top_bar::notice_ui(ui, &notice));
            if close {
                self.notice = None;
            }
        }
        if !self.jobs.is_idle() {
            let slow = self.jobs.running().iter().any(|job| job.progress.share() > 0.0);
            if slow {
                Panel::bottom("jobs").frame(bar).show(ui, |ui| top_bar::jobs_ui(ui, &self.jobs));
            }
        }
    }

    /// Does what a key asks for.
    pub fn act(&mut self, ctx: &Context, action: Action) {
        if self.views.clash.takes(action)
            || self.views.printing.takes(action)
            || self.views.measuring.takes(action)
            || self.views.reading.takes(action)
            || self.views.dating.takes(action)
            || self.views.condition.takes(action)
            || self.views.photographs.takes(ctx, action)
            || self.screen == Screen::KeyBook && key_book::takes(&mut self.views.key_book, &self.doc, action)
        {
            return;
        }
        match action {
            Action::NextLook => self.next_look(),
            Action::TakeBack => {
                if self.screen == Screen::Bench {
                    self.commands.push(Command::TakeLastBack);
                }
            }
            Action::NewPiece => self.commands.push(Command::NewPiece),
            Action::PutInDaybook => match self.screen {
                Screen::KeyBook => key_book::save_asked(&mut self.views.key_book, &self.doc, &mut self.commands),
                Screen::MarkDrawer if self.views.mark_drawer.save_asked(&self.doc, &mut self.commands) => {}
                _ => self.commands.push(Command::PutInDaybook),
            },
            Action::SameAsLast => self.commands.push(Command::SameAsLast),
            Action::Photograph => self.views.photographs.choose(ctx, &mut self.jobs),
            // An open sheet has edits of its own; they go back before what was saved does.
            Action::Undo if self.screen == Screen::KeyBook && key_book::undo(&mut self.views.key_book) => {}
            Action::Redo if self.screen == Screen::KeyBook && key_book::redo(&mut self.views.key_book) => {}
            Action::Undo if self.screen == Screen::MarkDrawer && self.views.mark_drawer.undo() => {}
            Action::Redo if self.screen == Screen::MarkDrawer && self.views.mark_drawer.redo() => {}
            // Taken above, whatever is open.
            Action::TakeOffered => {}
            Action::Undo => self.commands.push(Command::Undo),
            Action::Redo => self.commands.push(Command::Redo),
            Action::Jump => self.views.jump.open(),
            Action::TellApart => self.commands.push(Command::TellApart(bench::shelf::first_two(&self.doc))),
            Action::AddForm => self.commands.push(Command::AddForm),
            Action::Condition => self.commands.push(Command::LookOver),
            Action::DateIt => self.commands.push(Command::DateIt),
            Action::GoBench => self.commands.push(Command::Go(Screen::Bench)),
            Action::GoTellApart => self.commands.push(Command::Go(Screen::TellApart)),
            Action::GoKeyBook => self.commands.push(Command::Go(Screen::KeyBook)),
            Action::GoMarkDrawer => self.commands.push(Command::Go(Screen::MarkDrawer)),
            Action::GoDaybook => self.commands.push(Command::Go(Screen::Daybook)),
            Action::OpenKey => self.commands.push(Command::ChooseKey),
            Action::Help => self.commands.push(Command::Help),
            Action::WhatToDo => self.views.doing.open(),
            Action::Comfort => self.views.comfort_open = true,
            Action::CopyDetails => self.copy_details(ctx),
            Action::Larger => self.commands.push(Command::Comfort(self.settings.comfort.resized(true))),
            Action::Smaller => self.commands.push(Command::Comfort(self.settings.comfort.resized(false))),
            Action::UsualSize => self.commands.push(Command::Comfort(super::comfort::Comfort { percent: 100, ..self.settings.comfort })),
            Action::LightOrDark => self.commands.push(Command::LightOrDark),
            Action::CloseCard => self.close_what_is_open(),
        }
    }

    fn next_look(&mut self) {
        if self.screen != Screen::Bench || self.views.jump.is_open() || self.views.help.open || self.views.doing.is_open() {
            return;
        }
        let view = &mut self.views.bench;
        if let Some(mut card) = view.card.clone()
            && let Some(feature) = self.doc.key.feature(&card.feature)
            && (!card.either.is_empty() || !card.looks.is_empty() || !card.typed.trim().is_empty() && card.refused.is_none())
        {
            let taken = bench::card::confirm(&self.doc, feature, &mut card, &mut self.commands);
            view.card = (taken == bench::card::Taken::Waiting).then_some(card);
            return;
        }
        bench::looks::take_next(&self.doc, view);
    }

    fn close_what_is_open(&mut self) {
        if self.screen == Screen::KeyBook && key_book::close_page(&mut self.views.key_book) {
            return;
        }
        let bench = &mut self.views.bench;
        if bench.why.take().is_none() {
            bench.card = None;
        }
        if self.screen == Screen::Daybook {
            self.views.daybook.close_what_is_open();
        }
        self.views.daybook.learning = daybook::Learning::Closed;
        self.notice = None;
    }
}

impl eframe::App for Footring {
    fn logic(&mut self, ctx: &Context, _frame: &mut eframe::Frame) {
        self.take_in(ctx);
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.frame(ui);
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        self.settings.box_label.clone_from(&self.doc.box_label);
        self.views.daybook.note(&mut self.settings);
        // The window is closing; settings that can't be written are only a convenience lost.
        let _ = self.settings.write(&self.data_dir);
    }
}
