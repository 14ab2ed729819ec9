//! Clashes, one at a time: what it was, mine and theirs side by side, with the drawings that show the difference.

use super::take_in::Found;
use crate::colour::Lab;
use crate::desk::action::Action;
use crate::desk::board::glyph::{swatch, value_glyph};
use crate::desk::board::paint::Placing;
use crate::desk::board::vessel::Drawn2d;
use crate::desk::command::Command;
use crate::desk::icons::Icon;
use crate::desk::mark_drawer::art::paint_mark;
use crate::desk::theme::{self, Colours, TARGET};
use crate::desk::widgets::{self, Ability, button, heading, icon_button, main_button, remark, strong};
use crate::key::diff::words::{clash_place, clash_side};
use crate::key::merge::{Choices, Clash, Joined, Side, Step, join};
use crate::key::{FeatureId, FormId, GlazeId, Key, KeyFile, Mark, MarkId, OnDisk, Record, ValueId, capital};
use crate::{say, say_count};
use egui::{
    Button, CornerRadius, FontId, Key as Press, Painter, Rect, RichText, Role, ScrollArea, Sense, Stroke, StrokeKind, TextStyle, Ui,
    WidgetInfo, pos2, vec2,
};
use std::sync::Arc;

/// Width of the list of clashes, in points.
const LIST: f32 = 330.0;
/// Height of the drawing on a side, in points.
const DRAWING: f32 = 240.0;
/// Room between two sides, in points.
const GAP: f32 = 10.0;
/// The keys that choose a side, in the order of [`Side::ALL`].
const KEYS: [Press; 3] = [Press::Num1, Press::Num2, Press::Num3];

/// The clashes between what is here and what is on disk, while they are shown.
#[derive(Debug, Default)]
pub struct ClashView {
    shown: Option<Shown>,
}

#[derive(Debug)]
struct Shown {
    base: Arc<Key>,
    mine: Arc<Key>,
    disk: OnDisk,
    choices: Choices,
    joined: Joined,
    /// The clash that is shown.
    at: usize,
    /// The pictures of each side of it.
    pictures: Option<(usize, [Picture; 3])>,
}

/// What shows a side.
#[derive(Debug, Clone)]
enum Picture {
    /// Values of a feature.
    Values(FeatureId, Vec<ValueId>),
    /// The form as that side draws it.
    Form(Arc<Drawn2d>),
    /// The mark as that side has it.
    Mark(Arc<Mark>),
    /// The colour of a glaze.
    Glaze(Lab),
    /// Words must do.
    None,
}

impl ClashView {
    /// True while there are clashes to choose in.
    pub fn is_open(&self) -> bool {
        self.shown.is_some()
    }

    /// Shows the clashes between my key and what was found on disk.
    pub(super) fn open(&mut self, found: Found, mine: Arc<Key>, joined: Joined) {
        let Found { base, disk, .. } = found;
        self.shown = Some(Shown { base, mine, disk, choices: Choices::default(), joined, at: 0, pictures: None });
    }

    /// Keeps actions from the screen below while the clashes are shown. True where it did.
    pub fn takes(&mut self, action: Action) -> bool {
        let takes = self.is_open() && !action.is_of_the_window();
        if takes && action == Action::CloseCard {
            self.shown = None;
        }
        takes
    }

    /// What was chosen, and the state of the disk that it rests on; the clashes are closed. None where something is left to choose.
    pub(in crate::desk) fn settled(&mut self) -> Option<(OnDisk, Arc<Key>)> {
        let shown = self.shown.take_if(|shown| shown.left() == 0)?;
        Some((shown.disk, Arc::new(shown.joined.key)))
    }
}

impl Shown {
    /// Clashes in which nothing was chosen yet.
    fn left(&self) -> usize {
        self.joined.clashes.iter().filter(|clash| !self.choices.is_chosen(&clash.at)).count()
    }

    fn choose(&mut self, at: usize, side: Side) {
        if let Some(clash) = self.joined.clashes.get(at) {
            self.choices.choose(clash.at.clone(), side);
            self.joined = join(&self.base, &self.mine, self.disk.key(), &self.choices);
        }
    }

    /// Chooses, and goes on to the next that is left.
    fn choose_and_go_on(&mut self, side: Side) {
        self.choose(self.at, side);
        let clashes = self.joined.clashes.iter().enumerate();
        let open: Vec<usize> = clashes.filter(|(_, clash)| !self.choices.is_chosen(&clash.at)).map(|(at, _)| at).collect();
        self.at = open.iter().copied().find(|at| *at > self.at).or(open.first().copied()).unwrap_or(self.at);
    }

    fn choose_all(&mut self, side: Side) {
        for clash in self.joined.clashes.clone() {
            self.choices.choose(clash.at, side);
        }
        self.joined = join(&self.base, &self.mine, self.disk.key(), &self.choices);
    }

    fn key(&self, side: Side) -> &Key {
        match side {
            Side::Base => &self.base,
            Side::Mine => &self.mine,
            Side::Theirs => self.disk.key(),
        }
    }

    /// The pictures of the clash that is shown, kept while it is.
    fn pictures(&mut self) -> [Picture; 3] {
        if let Some((at, pictures)) = &self.pictures
            && *at == self.at
        {
            return pictures.clone();
        }
        let Some(clash) = self.joined.clashes.get(self.at) else { return [const { Picture::None }; 3] };
        let pictures = Side::ALL.map(|side| picture(clash, side, self.key(side)));
        self.pictures = Some((self.at, pictures.clone()));
        pictures
    }
}

/// What shows that side of a clash: the values of a feature, the form, the mark, or the colour of the glaze.
fn picture(clash: &Clash, side: Side, key: &Key) -> Picture {
    let id = clash.at.id.as_str();
    let entry_alone = || match clash.at.file {
        KeyFile::Marks => key.mark(&MarkId::new(id)).map(|mark| Picture::Mark(Arc::new(mark.clone()))),
        KeyFile::Glazes => key.glaze(&GlazeId::new(id)).map(|glaze| Picture::Glaze(glaze.lab)),
        _ => None,
    };
    if clash.at.file != KeyFile::Forms {
        return clash.says(side).and_then(|_| entry_alone()).unwrap_or(Picture::None);
    }
    let Some(form) = key.form(&FormId::new(clash.at.id.as_str())) else { return Picture::None };
    if let [Step::Field(field), Step::Name(feature), ..] = clash.at.steps.as_slice()
        && field == "features"
    {
        let feature = FeatureId::new(feature.as_str());
        let values = match form.features.get(&feature) {
            Some(Record::Always(value)) => vec![value.clone()],
            Some(Record::Values(values)) => values.keys().cloned().collect(),
            _ => Vec::new(),
        };
        return if values.is_empty() { Picture::None } else { Picture::Values(feature, values) };
    }
    match clash.says(side) {
        Some(_) => Picture::Form(Arc::new(Drawn2d::of(&form.shape))),
        None => Picture::None,
    }
}

/// Draws the clashes while they are shown.
pub fn clash_ui(ui: &mut Ui, view: &mut ClashView, commands: &mut Vec<Command>) {
    let Some(shown) = &mut view.shown else { return };
    keys(ui, shown, commands);
    let room = ui.ctx().content_rect().shrink(14.0);
    let response = widgets::dialog(ui, "clashes").show(ui.ctx(), |ui| {
        let size = (room.size() - widgets::DIALOG_ROOM).min(vec2(1180.0, 540.0));
        ui.set_min_size(size);
        ui.set_max_size(size);
        let all = ui.max_rect();
        let left = Rect::from_min_size(all.min, vec2(LIST.min(0.4 * all.width()), all.height()));
        let right = Rect::from_min_max(pos2(left.right() + 18.0, all.top()), all.max);
        widgets::in_rect(ui, "all clashes", left, |ui| list_ui(ui, shown));
        widgets::in_rect(ui, "one clash", right, |ui| {
            widgets::row_from_right(ui, |ui| {
                if icon_button(ui, Icon::Close, say!("Decide later")).clicked() {
                    ui.close();
                }
            });
            sides_ui(ui, shown);
            ui.add_space(12.0);
            foot_ui(ui, shown, commands);
        });
    });
    if response.should_close() {
        view.shown = None;
    }
}

/// Digits choose, arrows go from clash to clash, Enter takes what was chosen.
fn keys(ui: &Ui, shown: &mut Shown, commands: &mut Vec<Command>) {
    let pressed = |key: Press| ui.input_mut(|input| input.consume_key(egui::Modifiers::NONE, key));
    for (key, side) in KEYS.into_iter().zip(Side::ALL) {
        if pressed(key) {
            shown.choose_and_go_on(side);
        }
    }
    let last = shown.joined.clashes.len().saturating_sub(1);
    if pressed(Press::ArrowDown) {
        shown.at = (shown.at + 1).min(last);
    }
    if pressed(Press::ArrowUp) {
        shown.at = shown.at.saturating_sub(1);
    }
    // Enter presses what has the focus, where something has it.
    let free = ui.memory(|memory| memory.focused().is_none());
    if free && shown.left() == 0 && pressed(Press::Enter) {
        commands.push(Command::TakeChosen);
    }
}

fn list_ui(ui: &mut Ui, shown: &mut Shown) {
    let c = theme::colours(ui);
    heading(ui, say!("Changed here and on disk"));
    remark(ui, say!("What did not clash is put together already. Nothing is saved before you take it."));
    ui.add_space(6.0);
    ScrollArea::vertical().id_salt("clashes").auto_shrink(false).show(ui, |ui| {
        for (at, clash) in shown.joined.clashes.iter().enumerate() {
            let place = capital(&clash_place(clash, &shown.mine));
            let chosen = shown.choices.is_chosen(&clash.at);
            let on = at == shown.at;
            let (fill, ink) = if on { (c.ink, c.on_ink) } else { (c.paper_warm, c.ink) };
            let words = if chosen { format!("{place}: {}", clash.taken.words()) } else { place };
            let icon = if chosen { Icon::Tick } else { Icon::Warning };
            let text = RichText::new(&words).color(ink);
            let row = Button::image_and_text(icon.image(18.0, ink), text)
                .wrap()
                .fill(fill)
                .stroke(Stroke::new(1.0, c.edge))
                .min_size(vec2(ui.available_width(), TARGET));
            let response = ui.add(row);
            response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, &words));
            if response.clicked() {
                shown.at = at;
            }
        }
    });
}

fn sides_ui(ui: &mut Ui, shown: &mut Shown) {
    let pictures = shown.pictures();
    let Some(clash) = shown.joined.clashes.get(shown.at).cloned() else { return };
    strong(ui, capital(&clash_place(&clash, &shown.mine)));
    ui.add_space(4.0);
    let (all, _) = ui.allocate_exact_size(vec2(ui.available_width(), DRAWING + 110.0), Sense::hover());
    let width = (all.width() - 2.0 * GAP) / 3.0;
    let mut left = all.left();
    let mut chosen = None;
    for ((side, picture), digit) in Side::ALL.into_iter().zip(&pictures).zip(1..) {
        let rect = Rect::from_min_size(pos2(left, all.top()), vec2(width, all.height()));
        left += width + GAP;
        let on = shown.choices.is_chosen(&clash.at) && clash.taken == side;
        let card = Card { side, says: clash_side(&clash, side, shown.key(side)), picture, digit, on };
        if card.ui(ui, rect, shown.key(side)) {
            chosen = Some(side);
        }
    }
    if let Some(side) = chosen {
        shown.choose_and_go_on(side);
    }
}

/// One side as a card that can be pressed.
struct Card<'p> {
    side: Side,
    says: String,
    picture: &'p Picture,
    /// The key that chooses it.
    digit: usize,
    on: bool,
}

impl Card<'_> {
    /// Draws it; true where it was pressed. Its words are part of the one target, so they are painted and not laid out.
    fn ui(&self, ui: &mut Ui, rect: Rect, key: &Key) -> bool {
        let c = theme::colours(ui);
        let title = match self.side {
            Side::Mine => say!("Mine"),
            Side::Theirs => say!("On disk"),
            Side::Base => say!("As it was"),
        };
        let response = ui.interact(rect, widgets::id(("side of a clash", self.digit)), Sense::click());
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, self.on, format!("{title}: {}", self.says)));
        let stroke = match (self.on, response.has_focus() || response.hovered()) {
            (true, _) => Stroke::new(3.0, c.moss),
            (false, true) => Stroke::new(2.0, c.ink),
            (false, false) => Stroke::new(1.0, c.edge),
        };
        ui.painter().rect(rect, CornerRadius::same(theme::ROUND), c.paper, stroke, StrokeKind::Inside);
        let inner = rect.shrink(12.0);
        let painter = ui.painter().with_clip_rect(inner);
        let size = TextStyle::Body.resolve(ui.style()).size;
        let head = painter.layout_no_wrap(title.to_owned(), FontId::new(size, theme::bold()), c.ink);
        let digit = painter.layout_no_wrap(self.digit.to_string(), FontId::proportional(size), c.ink_soft);
        let drawing = Rect::from_min_size(pos2(inner.left(), inner.top() + head.size().y + 4.0), vec2(inner.width(), DRAWING));
        let beside = pos2(inner.left() + head.size().x + 8.0, inner.top());
        painter.galley(inner.min, head, c.ink);
        painter.galley(beside, digit, c.ink_soft);
        if self.on {
            let tick = Rect::from_min_size(pos2(inner.right() - 20.0, inner.top()), vec2(20.0, 20.0));
            Icon::Tick.image(20.0, c.moss).paint_at(ui, tick);
        }
        picture_ui(&painter.with_clip_rect(drawing), drawing, key, self.picture, c);
        let words = painter.layout(self.says.clone(), FontId::proportional(size), c.ink, inner.width());
        painter.galley(pos2(inner.left(), drawing.bottom() + 6.0), words, c.ink);
        response.clicked()
    }
}

fn picture_ui(painter: &Painter, rect: Rect, key: &Key, picture: &Picture, c: &Colours) {
    match picture {
        Picture::None => {}
        Picture::Form(drawn) => {
            let placing = Placing::fit(drawn.bounds, rect.shrink(8.0), 3.0);
            drawn.paint(painter, placing, c.clay, c.paper);
        }
        Picture::Mark(mark) => paint_mark(painter, rect.shrink(4.0), mark, None),
        Picture::Glaze(lab) => {
            let tile = rect.size().min_elem() * 0.7;
            swatch(painter, Rect::from_center_size(rect.center(), vec2(tile, tile)), theme::of_lab(*lab), c);
        }
        Picture::Values(feature, values) => {
            let Some(feature) = key.feature(feature) else { return };
            let each = rect.width() / values.len() as f32;
            for (at, value) in values.iter().enumerate() {
                let place = Rect::from_min_size(pos2(rect.left() + each * at as f32, rect.top()), vec2(each, rect.height()));
                value_glyph(painter, place.shrink(10.0), key, feature, value, c);
            }
        }
    }
}

fn foot_ui(ui: &mut Ui, shown: &mut Shown, commands: &mut Vec<Command>) {
    let left = shown.left();
    ui.horizontal_wrapped(|ui| {
        let ready = if left == 0 { Ability::Can } else { Ability::Cannot };
        if ready == Ability::Can {
            if main_button(ui, Icon::Tick, say!("Take what was chosen")).clicked() {
                commands.push(Command::TakeChosen);
            }
        } else {
            remark(ui, say_count!(n = left, "{n} clash left to choose", "{n} clashes left to choose"));
        }
        if button(ui, Icon::Left, say!("Mine everywhere")).clicked() {
            shown.choose_all(Side::Mine);
        }
        if button(ui, Icon::Right, say!("On disk everywhere")).clicked() {
            shown.choose_all(Side::Theirs);
        }
    });
    remark(ui, say!("1 mine, 2 on disk, 3 as it was; up and down for another; Enter takes what was chosen; Escape decides later"));
}
