//! Carrying out commands: the one place where the document changes, and where each change becomes a step to undo.

use super::app::Footring;
use super::bench::card::Card;
use super::bench::slip::in_words;
use super::command::{Change, Command, Notice, Screen, Step};
use super::document::Hand;
use super::key_pictures::NewPicture;
use super::settings::Shade;
use super::{daybook_work, finds_work, key_book, key_work, tell_apart};
use crate::daybook::ChangeKind;
use crate::daybook::learn::Learnt;
use crate::identify::VerdictState;
use crate::key::{Form, Key, Mark, Part};
use crate::{say, say_count};
use egui::{Context, Theme, ThemePreference};
use std::sync::Arc;

impl Footring {
    /// Carries out everything that was asked for since the last call.
    pub fn carry_out(&mut self, ctx: &Context) {
        // A command may ask for others; they are carried out too, in order.
        for command in std::mem::take(&mut self.commands) {
            self.apply(ctx, command);
        }
        if !self.commands.is_empty() {
            ctx.request_repaint();
        }
    }

    fn apply(&mut self, ctx: &Context, command: Command) {
        match command {
            Command::See(observation) => {
                let name = match self.doc.key.feature(&observation.feature) {
                    Some(feature) => format!("{}: {}", feature.shown_name(), in_words(&self.doc, &observation)),
                    None => return,
                };
                self.screen = Screen::Bench;
                self.change_hand(name, |hand| hand.piece.see(observation));
            }
            Command::SeeMeasured(observations, shape) => {
                self.screen = Screen::Bench;
                let mut names: Vec<String> = observations.iter().map(|o| self.doc.key.feature_name(&o.feature)).collect();
                names.extend(shape.is_some().then(|| say!("shape").to_owned()));
                self.change_hand(say!("measured on a photograph: {names}", names = names.join(", ")), |hand| {
                    for observation in observations {
                        hand.piece.see(observation);
                    }
                    if let Some(shape) = shape {
                        hand.piece.beside.shape = Some(*shape);
                    }
                });
            }
            Command::TakeShapeBack => self.change_hand(say!("take back shape").to_owned(), |hand| hand.piece.beside.shape = None),
            Command::Dates(name, said) => self.change_hand(name, |hand| hand.piece.beside.dates = said),
            Command::Condition(name, condition) => self.change_hand(name, |hand| hand.piece.condition = *condition),
            Command::LookOver => self.views.condition.show(),
            Command::MeasureOn(photograph) => self.views.measuring.measure(*photograph, &self.doc),
            Command::ReadMarkOn(photograph) => self.views.reading.read(*photograph, &self.doc),
            Command::TakeBack(feature) => {
                let name = self.doc.key.feature_name(&feature);
                self.change_hand(say!("take back {name}", name), |hand| hand.piece.observations.retain(|o| o.feature != feature));
            }
            Command::TakeLastBack => {
                if let Some(last) = self.doc.hand.piece.observations.last() {
                    self.commands.push(Command::TakeBack(last.feature.clone()));
                }
            }
            Command::ToggleMissing(part) => self.toggle_missing(part),
            Command::NewPiece => {
                if !self.doc.hand.is_blank() || self.doc.hand.reopened.is_some() {
                    self.change_hand(say!("next piece").to_owned(), |hand| *hand = Hand::default());
                }
                self.views.bench.card = None;
                self.screen = Screen::Bench;
            }
            Command::Note(text) => self.change_hand(say!("note").to_owned(), |hand| hand.note = text),
            Command::BoxLabel(text) => {
                self.doc.box_label = text;
                self.count_box(ctx);
            }
            Command::Photographs(name, photographs) => self.change_hand(name.to_owned(), |hand| hand.photographs = photographs),
            Command::ChoosePhotographs => self.views.photographs.choose(ctx, &mut self.jobs),
            Command::PutInDaybook => self.put_in_daybook(ctx),
            Command::Reopen(hand, name) => {
                self.change_hand(name, |now| *now = *hand);
                self.views.bench.card = None;
                self.screen = Screen::Bench;
            }
            Command::RemoveFind(find) => daybook_work::remove(&mut self.jobs, ctx, &self.daybook, find, daybook_work::Why::Asked),
            Command::RestoreFind(find) => daybook_work::restore(&mut self.jobs, ctx, &self.daybook, find),
            Command::ListFinds => self.list_finds(ctx),
            Command::ReadFinds(ids) => finds_work::load(&mut self.jobs, ctx, &self.daybook, ids),
            Command::OnFinds(deed) => self.act_on_finds(ctx, deed),
            Command::SameAsLast => self.same_as_last(ctx),
            Command::ChooseSortedBox => finds_work::choose(&mut self.jobs, ctx),
            Command::Census => daybook_work::census(&mut self.jobs, ctx, &self.daybook, &self.doc),
            Command::YearsOfFinds => daybook_work::years(&mut self.jobs, ctx, &self.daybook, &self.doc),
            Command::LearnFromFinds => daybook_work::learn(&mut self.jobs, ctx, &self.daybook, &self.doc),
            Command::TakeLearnt(learnt, takes) => self.take_learnt(ctx, &learnt, &takes),
            Command::KeepPictures(pictures) => self.new_pictures.extend(pictures),
            Command::PutForm(form) => self.put_form(ctx, *form),
            Command::ChangeKey(step, key) => self.change_key(ctx, step, *key),
            Command::Page(wish) => self.page(ctx, wish),
            Command::TakeChosen => {
                if let Some((disk, key)) = self.views.clash.settled() {
                    self.take_from_disk(ctx, disk, key, say!("join with the key on disk"));
                }
            }
            Command::PutMark(mark, pictures) => self.put_mark(ctx, *mark, pictures),
            Command::Print(order) => self.views.printing.show(order),
            Command::DateIt => self.views.dating.show(),
            Command::Go(screen) => {
                self.screen = screen;
                if screen == Screen::Daybook {
                    self.list_finds(ctx);
                }
            }
            Command::Ask(feature) => {
                if let Some(feature) = self.doc.key.feature(&feature) {
                    self.views.bench.card = Some(Card::new(&self.doc, feature));
                    self.screen = Screen::Bench;
                }
            }
            Command::TellApart(forms) => {
                self.views.tell_apart.choose(forms);
                self.screen = Screen::TellApart;
            }
            Command::FindAlone(asked) => {
                tell_apart::alone::search(&mut self.views.tell_apart.alone, &mut self.jobs, ctx, &self.doc, asked);
            }
            Command::OpenForm(form) => {
                key_book::open_form(&mut self.views.key_book, &self.doc, &form);
                self.screen = Screen::KeyBook;
            }
            Command::OpenFormAt(form, feature) => {
                key_book::open_form_at(&mut self.views.key_book, &self.doc, &form, feature);
                self.screen = Screen::KeyBook;
            }
            Command::BringIn(wish) => self.bring_in(ctx, wish),
            Command::Compare => key_book::compare(&mut self.views.key_book, &mut self.jobs, ctx, &self.doc),
            Command::WorkOutHealth => key_book::work_out_health(&mut self.views.key_book, &mut self.jobs, ctx, &self.doc),
            Command::TryKey(options) => key_book::try_key(&mut self.views.key_book, &mut self.jobs, ctx, &self.doc, options),
            Command::AddForm => {
                key_book::add_form(&mut self.views.key_book, &self.doc);
                self.screen = Screen::KeyBook;
            }
            Command::OpenKey(dir) => key_work::open(&mut self.jobs, ctx, dir, key_work::Because::Asked),
            Command::ChooseKey => key_work::choose(&mut self.jobs, ctx),
            Command::ChoosePackedKey => key_work::choose_packed(&mut self.jobs, ctx),
            Command::PackKey => match self.doc.place.dir.clone() {
                Some(dir) => key_work::pack(&mut self.jobs, ctx, dir),
                None => {
                    self.notice =
                        Some(Notice::problem(say!("This key is only in memory and can't be packed: open a key that is a folder")));
                }
            },
            Command::Undo => {
                if let Some(step) = self.steps.undo() {
                    self.turn(ctx, &step, Way::Back);
                }
            }
            Command::Redo => {
                if let Some(step) = self.steps.redo() {
                    self.turn(ctx, &step, Way::Forth);
                }
            }
            Command::Say(notice) => self.notice = Some(notice),
            Command::LightOrDark => {
                let (theme, shade) = match ctx.theme() {
                    Theme::Dark => (ThemePreference::Light, Shade::Light),
                    Theme::Light => (ThemePreference::Dark, Shade::Dark),
                };
                ctx.set_theme(theme);
                self.settings.theme = shade;
            }
            Command::Shade(shade) => {
                ctx.set_theme(super::comfort::theme_of(shade));
                self.settings.theme = shade;
            }
            Command::Comfort(comfort) => {
                comfort.apply(ctx);
                comfort.speak(self.system_language, &mut self.doc);
                self.settings.comfort = comfort;
            }
            Command::OtherKey(wish) => {
                let said = key_book::other_key::carry_out(&mut self.views.key_book, &mut self.jobs, ctx, &self.doc, wish);
                self.notice = said.or(self.notice.take());
            }
            Command::OpenPage(page) => {
                self.screen = Screen::KeyBook;
                key_book::open_page(&mut self.views.key_book, page);
            }
            Command::Help => self.views.help.open = !self.views.help.open,
        }
    }

    /// Changes the piece in hand as one step.
    pub(super) fn change_hand(&mut self, name: String, change: impl FnOnce(&mut Hand)) {
        let before = self.doc.hand.clone();
        let mut after = before.clone();
        change(&mut after);
        if after == before {
            return;
        }
        self.doc.set_hand(after.clone());
        self.steps.push(Step { name, change: Change::Hand { before: Box::new(before), after: Box::new(after) } });
        self.views.bench.why = None;
        if self.notice.as_ref().is_some_and(|notice| !notice.is_problem) {
            self.notice = None;
        }
    }

    fn toggle_missing(&mut self, part: Part) {
        let gone = self.doc.is_missing(part);
        let name = if gone { say!("{part} is there", part = part.word()) } else { say!("{part} missing", part = part.word()) };
        self.change_hand(name, |hand| {
            if gone {
                hand.piece.missing.remove(&part);
            } else {
                hand.piece.missing.insert(part);
            }
        });
        let asks_for_it =
            self.views.bench.card.as_ref().and_then(|card| self.doc.key.feature(&card.feature)).is_some_and(|feature| feature.part == part);
        if !gone && asks_for_it {
            self.views.bench.card = None;
        }
    }

    fn put_in_daybook(&mut self, ctx: &Context) {
        if self.doc.hand.is_blank() {
            self.notice = Some(Notice::problem(say!("there is nothing to put in the daybook yet: say what you see first")));
            return;
        }
        if self.views.photographs.is_reading(&self.jobs) {
            self.notice = Some(Notice::problem(say!("a photograph is still being read in: put the find in the daybook when it is there")));
            return;
        }
        daybook_work::put(&mut self.jobs, ctx, &self.daybook, &self.doc);
    }

    /// Adds or replaces a form and saves the key.
    fn put_form(&mut self, ctx: &Context, form: Form) {
        if let Some(why) = &self.doc.place.read_only {
            self.notice = Some(Notice::problem(why.clone()));
            return;
        }
        let before = Arc::clone(&self.doc.key);
        let mut after = Key::clone(&before);
        let name = self.doc.key.full_name(&form);
        let step = match after.forms.iter_mut().find(|known| known.id == form.id) {
            Some(known) if *known == form => return,
            Some(known) => {
                *known = form;
                say!("change {name}", name)
            }
            None => {
                after.forms.push(form);
                say!("add {name}", name)
            }
        };
        let after = Arc::new(after);
        self.set_key(ctx, Arc::clone(&after), &step);
        self.steps.push(Step { name: step, change: Change::Key { before, after } });
    }

    /// Puts another state of the key in place as one step, and saves it.
    pub(super) fn change_key(&mut self, ctx: &Context, step: String, after: Key) {
        if let Some(why) = &self.doc.place.read_only {
            self.notice = Some(Notice::problem(why.clone()));
            return;
        }
        let before = Arc::clone(&self.doc.key);
        if *before == after {
            return;
        }
        let after = Arc::new(after);
        self.set_key(ctx, Arc::clone(&after), &step);
        self.steps.push(Step { name: step, change: Change::Key { before, after } });
    }

    /// Adds or replaces a mark and saves the key with its new pictures. They stay in the folder when the step is undone, for doing it again.
    fn put_mark(&mut self, ctx: &Context, mark: Mark, pictures: Vec<NewPicture>) {
        if let Some(why) = &self.doc.place.read_only {
            self.notice = Some(Notice::problem(why.clone()));
            return;
        }
        let before = Arc::clone(&self.doc.key);
        let mut after = Key::clone(&before);
        let step = match after.marks.iter_mut().find(|known| known.id == mark.id) {
            Some(known) if *known == mark => return,
            Some(known) => {
                let step = say!("change the mark '{mark}'", mark = mark.name);
                *known = mark;
                step
            }
            None => {
                let step = say!("add the mark '{mark}'", mark = mark.name);
                after.marks.push(mark);
                step
            }
        };
        let after = Arc::new(after);
        self.doc.set_key(Arc::clone(&after));
        key_work::save(&mut self.jobs, ctx, &self.folder, Arc::clone(&after), step.clone(), pictures);
        self.steps.push(Step { name: step, change: Change::Key { before, after } });
    }

    /// Takes changes that the finds propose, as one step, and saves the key.
    fn take_learnt(&mut self, ctx: &Context, learnt: &Learnt, takes: &[bool]) {
        if let Some(why) = &self.doc.place.read_only {
            self.notice = Some(Notice::problem(why.clone()));
            return;
        }
        let before = Arc::clone(&self.doc.key);
        let after = Arc::new(learnt.taken(&before, |number| takes.get(number).copied().unwrap_or(false)));
        let finds = learnt.counted.len();
        let step = say_count!(n = finds, "count {n} find into the key", "count {n} finds into the key");
        self.set_key(ctx, Arc::clone(&after), &step);
        self.steps.push(Step { name: step, change: Change::Key { before, after } });
    }

    pub(super) fn set_key(&mut self, ctx: &Context, key: Arc<Key>, step: &str) {
        self.doc.set_key(Arc::clone(&key));
        let pictures = std::mem::take(&mut self.new_pictures);
        key_work::save(&mut self.jobs, ctx, &self.folder, key, step.to_owned(), pictures);
    }

    /// Undoes a step or does it again.
    fn turn(&mut self, ctx: &Context, step: &Step, way: Way) {
        match (&step.change, way) {
            (Change::Hand { before, .. }, Way::Back) => self.doc.set_hand((**before).clone()),
            (Change::Hand { after, .. }, Way::Forth) => self.doc.set_hand((**after).clone()),
            (Change::Key { before, .. }, Way::Back) => self.set_key(ctx, Arc::clone(before), &say!("undo: {step}", step = step.name)),
            (Change::Key { after, .. }, Way::Forth) => self.set_key(ctx, Arc::clone(after), &step.name),
            (Change::Shelves { before, .. }, Way::Back) => self.set_shelves(ctx, Arc::clone(before)),
            (Change::Shelves { after, .. }, Way::Forth) => self.set_shelves(ctx, Arc::clone(after)),
            (Change::Services { before, .. }, Way::Back) => self.set_services(ctx, Arc::clone(before)),
            (Change::Services { after, .. }, Way::Forth) => self.set_services(ctx, Arc::clone(after)),
            (Change::Put { find, before }, Way::Back) => {
                daybook_work::remove(&mut self.jobs, ctx, &self.daybook, *find, daybook_work::Why::Turned);
                let mut hand = (**before).clone();
                hand.reopened = Some(*find);
                self.doc.set_hand(hand);
            }
            (Change::Put { find, .. }, Way::Forth) => {
                daybook_work::restore(&mut self.jobs, ctx, &self.daybook, *find);
                self.doc.set_hand(Hand::default());
            }
            (Change::Remove { find }, Way::Back) => daybook_work::restore(&mut self.jobs, ctx, &self.daybook, *find),
            (Change::Remove { find }, Way::Forth) => {
                daybook_work::remove(&mut self.jobs, ctx, &self.daybook, *find, daybook_work::Why::Turned);
            }
            (Change::Finds { turned }, _) => finds_work::turn(&mut self.jobs, ctx, &self.daybook, turned),
            (Change::Out { finds }, Way::Forth) | (Change::Brought { finds }, Way::Back) => {
                finds_work::mark(&mut self.jobs, ctx, &self.daybook, finds, ChangeKind::Removed);
            }
            (Change::Out { finds }, Way::Back) | (Change::Brought { finds }, Way::Forth) => {
                finds_work::mark(&mut self.jobs, ctx, &self.daybook, finds, ChangeKind::Restored);
            }
        }
        self.views.bench.card = None;
        let word = if way == Way::Back { say!("Undone") } else { say!("Done again") };
        self.notice = Some(Notice::news(format!("{word}: {}", step.name)));
    }

    /// A find is in the daybook: clear the board for the next piece.
    pub(super) fn find_was_put(&mut self, find: crate::daybook::FindId, says: String) {
        let before = self.doc.hand.clone();
        self.steps.push(Step { name: say!("put in the daybook").to_owned(), change: Change::Put { find, before: Box::new(before) } });
        self.doc.set_hand(Hand::default());
        self.views.bench.card = None;
        self.views.bench.last_put = Some(find);
        self.notice = Some(Notice::news(says));
    }

    /// True where the verdict can stand on a label.
    pub fn is_settled(&self) -> bool {
        self.doc.verdict.state == VerdictState::Settled
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    Back,
    Forth,
}
