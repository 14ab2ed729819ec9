//! The health of the key: what can't be told apart, what is worth recording next, and what nobody has. Each line leads to where it is mended.

use super::worked::{Fresh, Worked};
use super::{KeyBookView, Page};
use crate::desk::board::paint::{self, Placing};
use crate::desk::board::vessel::Drawings;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, button, chip, icon_button, remark};
use crate::identify::health::{Cell, Health, Hollow, Pair, Thin, UnusedValue};
use crate::key::{FeatureId, FormId, capital, percent};
use crate::{say, say_count};
use egui::{FontFamily, FontId, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, UiBuilder, WidgetInfo, pos2, vec2};

/// Height of a line with its drawings, in points.
const ROW: f32 = 60.0;
/// Features named in a line; the rest are counted.
const NAMED: usize = 3;

/// What the page shows.
#[derive(Debug, Default)]
pub(super) struct HealthView {
    pub(super) worked: Worked<Health>,
    /// The section that is listed; the first where none was chosen.
    section: Option<&'static str>,
}

/// One line of the page.
enum Line<'h> {
    ToRecord(&'h Cell),
    Untold(&'h Pair),
    ByOne(&'h Pair),
    LidOnly(&'h Pair),
    Thin(&'h Thin),
    Hollow(&'h Hollow),
    Unused(&'h UnusedValue),
    /// So many more that are not listed.
    More(usize),
}

/// What is listed together.
struct Section<'h> {
    name: &'static str,
    /// What to make of it.
    hint: &'static str,
    all: usize,
    lines: Vec<Line<'h>>,
}

/// Draws the page.
pub(super) fn health_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>) {
    if view.health.worked.is_due(doc) {
        commands.push(Command::WorkOutHealth);
    }
    ui.horizontal_wrapped(|ui| {
        if button(ui, Icon::Left, say!("All forms")).clicked() {
            view.page = Page::Shelves;
        }
        widgets::heading(ui, say!("Health of the key"));
        if view.health.worked.was_stopped() && button(ui, Icon::Redo, say!("Weigh it again")).clicked() {
            commands.push(Command::WorkOutHealth);
        }
    });
    let Some((health, fresh)) = view.health.worked.found(doc) else {
        let words = if view.health.worked.was_stopped() {
            say!("It was stopped before every pair was weighed.")
        } else {
            say!("Weighing every pair of forms …")
        };
        remark(ui, words);
        return;
    };
    if fresh == Fresh::BeforeAChange {
        remark(ui, say!("The key has changed; this is from before the change."));
    }
    ui.label(summary(health));
    let sections = sections(health);
    let chosen = sections.iter().find(|section| view.health.section == Some(section.name)).or(sections.first());
    let Some(chosen) = chosen else {
        widgets::strong(ui, say!("Nothing to mend: every pair can be told apart by two features or more, and everything is recorded."));
        return;
    };
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        for section in &sections {
            if chip(ui, &format!("{} ({})", section.name, section.all), section.name == chosen.name).clicked() {
                view.health.section = Some(section.name);
            }
        }
    });
    remark(ui, chosen.hint);
    ui.spacing_mut().item_spacing.y = 6.0;
    let drawn = &mut view.drawn;
    ScrollArea::vertical().id_salt(chosen.name).auto_shrink(false).show_rows(ui, ROW, chosen.lines.len(), |ui, range| {
        for line in chosen.lines.get(range).unwrap_or_default() {
            line_ui(ui, doc, drawn, line, health, commands);
        }
    });
}

/// '3318 of 3321 pairs of 82 forms can be told apart; two forms taken at random are confused 0.1 % of the time at most.'
fn summary(health: &Health) -> String {
    if health.forms < 2 {
        return say!("There is no pair of forms to be told apart.").to_owned();
    }
    let apart = health.pairs - health.untold_pairs;
    let (pairs, forms, confused) = (health.pairs, health.forms, share(health.confusion / 2.0));
    if health.weighed < health.forms {
        say!(
            "{apart} of {pairs} pairs of {forms} forms can be told apart; two forms taken at random are confused {confused} of the time at most; weighed were {weighed} of the forms, evenly over the key.",
            apart,
            pairs,
            forms,
            confused,
            weighed = health.weighed
        )
    } else {
        say!(
            "{apart} of {pairs} pairs of {forms} forms can be told apart; two forms taken at random are confused {confused} of the time at most.",
            apart,
            pairs,
            forms,
            confused
        )
    }
}

/// A share in percent, as it stands in a sentence.
pub(super) fn share(share: f64) -> String {
    let said = percent(share);
    said.strip_prefix('<').map_or_else(|| said.clone(), |share| say!("under {share}", share))
}

/// What there is to see, what is most worth doing first; a section of which there is nothing is left out.
fn sections(health: &Health) -> Vec<Section<'_>> {
    fn section<'h, T>(
        name: &'static str,
        hint: &'static str,
        all: usize,
        listed: &'h [T],
        line: impl Fn(&'h T) -> Line<'h>,
    ) -> Section<'h> {
        let more = (all > listed.len()).then(|| Line::More(all - listed.len()));
        Section { name, hint, all, lines: listed.iter().map(line).chain(more).collect() }
    }
    let h = health;
    let mut sections = vec![
        section(say!("Can’t be told apart"), say!("Compare the two, or record what is missing."), h.untold_pairs, &h.untold, Line::Untold),
        section(
            say!("What to record next"),
            say!("The first is expected to take most of all confusion away. A click opens the sheet where it is recorded."),
            h.to_record.len(),
            &h.to_record,
            Line::ToRecord,
        ),
        section(
            say!("By one feature alone"),
            say!("One slip takes one for the other; the least sure come first."),
            h.by_one_pairs,
            &h.by_one,
            Line::ByOne,
        ),
        section(
            say!("Only with the lid"),
            say!("A base that has lost its lid can be either."),
            h.lid_only_pairs,
            &h.lid_only,
            Line::LidOnly,
        ),
        section(say!("Not recorded"), say!("The forms with the most gaps come first."), h.thin.len(), &h.thin, Line::Thin),
        section(
            say!("Features that tell nothing apart"),
            say!("Record them of more forms, or take them out of features.ron."),
            h.telling_nothing.len(),
            &h.telling_nothing,
            Line::Hollow,
        ),
        section(
            say!("Values no form has"),
            say!("Record them of a form, or take them out of features.ron."),
            h.unused.len(),
            &h.unused,
            Line::Unused,
        ),
    ];
    sections.retain(|section| section.all > 0);
    sections
}

fn line_ui(ui: &mut Ui, doc: &Document, drawn: &mut Drawings, line: &Line<'_>, health: &Health, commands: &mut Vec<Command>) {
    let key = &doc.key;
    let few = |features: &[FeatureId]| {
        let named: Vec<String> = features.iter().take(NAMED).map(|id| key.feature_name(id)).collect();
        let more = features.len().saturating_sub(NAMED);
        if more > 0 { say!("{named} and {more} more", named = named.join(", "), more) } else { named.join(", ") }
    };
    let pair = |pair: &Pair, says: String| Shown {
        forms: vec![pair.form.clone(), pair.other.clone()],
        title: capital(&key.pair_names(&pair.form, &pair.other)),
        says,
        on_click: Command::TellApart(vec![pair.form.clone(), pair.other.clone()]),
        edit: pair.to_record.first().map(|feature| edit(doc, pair, feature)),
    };
    let shown = match line {
        Line::More(more) => {
            let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
            let c = theme::colours(ui);
            let words = say!("and {more} more, which follow once these are mended", more);
            ui.painter().text(
                rect.left_center() + vec2(8.0, 0.0),
                egui::Align2::LEFT_CENTER,
                words,
                FontId::proportional(15.0),
                c.ink_soft,
            );
            return;
        }
        Line::ToRecord(cell) => {
            let taken = if health.confusion > 0.0 { cell.drop / health.confusion } else { 0.0 };
            Shown {
                forms: vec![cell.form.clone()],
                title: format!("{}: {}", capital(&key.form_name(&cell.form)), key.feature_name(&cell.feature)),
                says: say!("expected to take away {share} of all confusion", share = share(taken)),
                on_click: Command::OpenFormAt(cell.form.clone(), cell.feature.clone()),
                edit: None,
            }
        }
        Line::Untold(p) => pair(
            p,
            match p.to_record.as_slice() {
                [] => say!("all is recorded: add a feature in which they differ").to_owned(),
                open => say!("record {features}", features = few(open)),
            },
        ),
        Line::ByOne(p) => {
            let feature = p.by.as_ref().map(|id| key.feature_name(id)).unwrap_or_default();
            pair(p, say!("{feature} alone, right {share} of the time", feature, share = share(p.surely)))
        }
        Line::LidOnly(p) => pair(p, say!("without the lid nothing tells them apart").to_owned()),
        Line::Thin(thin) => Shown {
            forms: vec![thin.form.clone()],
            title: capital(&key.form_name(&thin.form)),
            says: say!(
                "{missing} of {all} not recorded: {features}",
                missing = thin.missing.len(),
                all = thin.of,
                features = few(&thin.missing)
            ),
            on_click: match thin.missing.first() {
                Some(first) => Command::OpenFormAt(thin.form.clone(), first.clone()),
                None => Command::OpenForm(thin.form.clone()),
            },
            edit: None,
        },
        Line::Hollow(hollow) => {
            let says = say_count!(n = hollow.recorded, "recorded of {n} form", "recorded of {n} forms");
            return plain_ui(ui, &capital(&key.feature_name(&hollow.feature)), &says);
        }
        Line::Unused(value) => {
            return plain_ui(ui, &capital(&format!("{}: {}", key.feature_name(&value.feature), value.name)), say!("no form has it"));
        }
    };
    shown_ui(ui, doc, drawn, &shown, commands);
}

/// The sheet in which what tells a pair apart may be recorded: of the form that has no record of it.
fn edit(doc: &Document, pair: &Pair, feature: &FeatureId) -> (FormId, FeatureId) {
    let open = |form: &FormId| doc.index.recorded(form, feature).is_none();
    (if open(&pair.form) { pair.form.clone() } else { pair.other.clone() }, feature.clone())
}

/// A line with drawings.
pub(super) struct Shown {
    /// The forms that are drawn.
    pub(super) forms: Vec<FormId>,
    pub(super) title: String,
    pub(super) says: String,
    /// What a click asks for.
    pub(super) on_click: Command,
    /// The sheet and the place on it that the button at the right opens.
    pub(super) edit: Option<(FormId, FeatureId)>,
}

fn plain_ui(ui: &mut Ui, title: &str, says: &str) {
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width() - 10.0, ROW), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{title}: {says}")));
    ui.painter().rect(rect, 8.0, c.paper, Stroke::new(1.0, c.edge), StrokeKind::Inside);
    words_ui(ui, rect.shrink2(vec2(14.0, 8.0)), title, says);
}

fn words_ui(ui: &Ui, rect: Rect, title: &str, says: &str) {
    let c = theme::colours(ui);
    let line = |y: f32, text: &str, family: FontFamily, ink| {
        let mut job = egui::text::LayoutJob::simple_singleline(text.to_owned(), FontId::new(15.5, family), ink);
        (job.wrap.max_width, job.wrap.max_rows, job.wrap.break_anywhere) = (rect.width().max(40.0), 1, true);
        let galley = ui.painter().layout_job(job);
        ui.painter().galley(pos2(rect.left(), rect.top() + y), galley, ink);
    };
    line(0.0, title, theme::bold(), c.ink);
    line(22.0, says, FontFamily::Proportional, c.ink_soft);
}

/// Draws a line: its forms, what it says, and the way to where it is mended.
pub(super) fn shown_ui(ui: &mut Ui, doc: &Document, drawn: &mut Drawings, shown: &Shown, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width() - 10.0, ROW), Sense::hover());
    let row = if shown.edit.is_some() { rect.with_max_x(rect.right() - TARGET - 12.0) } else { rect };
    let name = format!("{}: {}", shown.title, shown.says);
    let response = ui.interact(row, ui.scope_id().with(&name), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name.clone()));
    let edge = if response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
    let fill = if response.hovered() { c.glow_wash } else { c.paper };
    ui.painter().rect(rect, 8.0, fill, edge, StrokeKind::Inside);
    let mut left = rect.left() + 8.0;
    for (id, ink) in shown.forms.iter().zip(c.forms) {
        let figure = Rect::from_min_size(pos2(left, rect.top() + 6.0), vec2(64.0, ROW - 12.0));
        if let Some(form) = doc.form(id) {
            let drawing = drawn.of(form);
            let placing = Placing::fit(drawing.bounds, figure.shrink(3.0), 2.0);
            for path in &drawing.paths {
                paint::fill(ui.painter(), path, placing, if shown.forms.len() == 1 { c.moss } else { ink });
            }
        }
        left = figure.right() + 4.0;
    }
    words_ui(ui, Rect::from_min_max(pos2(left + 8.0, rect.top() + 9.0), pos2(row.right() - 8.0, rect.bottom())), &shown.title, &shown.says);
    if response.on_hover_text(&name).clicked() {
        commands.push(shown.on_click.clone());
    }
    if let Some((form, feature)) = &shown.edit {
        let side = Rect::from_min_max(pos2(row.right() + 2.0, rect.top() + (ROW - TARGET) / 2.0), rect.right_bottom());
        let mut corner = ui.new_child(UiBuilder::new().id_salt(&name).max_rect(side));
        let words = say!("Record {feature} of {form}", feature = doc.key.feature_name(feature), form = doc.key.form_name(form));
        if icon_button(&mut corner, Icon::Edit, &words).clicked() {
            commands.push(Command::OpenFormAt(form.clone(), feature.clone()));
        }
    }
}
