//! What papers asked for a form over the years, in percent of the first price; in the money of that first year where the person has an index of prices.

use super::super::pages::{Done, Wish};
use super::PapersPage;
use crate::daybook::papers::{Priced, adjusted, price_index, price_series};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::jobs::{Done as JobDone, Jobs};
use crate::desk::theme::{self, Colours};
use crate::desk::widgets::{button, chip, icon_button, remark};
use crate::key::tables::{HeaderRow, Options, read};
use crate::key::{FormId, Key, capital};
use crate::say;
use egui::{Align2, Color32, Context, FontId, Pos2, Rect, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Lines that are drawn at once.
const LINES: usize = 6;

/// An index of prices that the person read.
#[derive(Debug, Clone)]
pub struct Index {
    /// The file's name.
    pub(super) name: String,
    pub(super) years: BTreeMap<i32, f64>,
}

/// A form and its prices over the years.
type Series = (FormId, Vec<Priced>);
/// Year, percent of the first price, and the price as it was written.
type Points = Vec<(i32, f64, String)>;

/// Prices over time.
#[derive(Debug, Default)]
pub(super) struct Prices {
    pub(super) is_open: bool,
    pub(super) index: Option<Index>,
    /// Those of the key, worked out once for it.
    series: Option<(Arc<Key>, Vec<Series>)>,
    /// Forms that are not drawn.
    hidden: Vec<FormId>,
}

/// Asks for an index of prices and reads it.
pub(in crate::desk::daybook) fn choose_index(jobs: &mut Jobs, ctx: &Context) {
    jobs.start(ctx, say!("Choosing an index of prices"), |_progress| {
        let dialog =
            rfd::FileDialog::new().set_title(say!("An index of consumer prices")).add_filter(say!("Lists"), &crate::desk::bring_in::KINDS);
        JobDone::Pages(Done::Index(dialog.pick_file().map(|path| read_index(&path))))
    });
}

/// Reads that index of prices.
pub(in crate::desk::daybook) fn read_index_of(jobs: &mut Jobs, ctx: &Context, path: PathBuf) {
    jobs.start(ctx, say!("Reading an index of prices"), move |_progress| JobDone::Pages(Done::Index(Some(read_index(&path)))));
}

fn read_index(path: &Path) -> Result<Index, String> {
    let options = Options { sheet: None, header: HeaderRow::First, separator: None };
    let table = read(path, &options).map_err(|error| error.to_string())?;
    let years = price_index(&table).map_err(|error| error.to_string())?;
    Ok(Index { name: table.file.clone(), years })
}

/// A price in percent of the first one, in the money of that year where there is an index; or why it can't be.
fn percent_of(prices: &[Priced], priced: &Priced, index: Option<&Index>) -> Result<f64, String> {
    let (Some(first), Some(index)) = (prices.first(), index) else { return Ok(priced.percent) };
    let now = adjusted(priced.money.amount(), priced.year, first.year, &index.years).map_err(|error| error.to_string())?;
    Ok(100.0 * now / first.money.amount())
}

/// Draws the prices.
pub(super) fn prices_ui(ui: &mut Ui, doc: &Document, page: &mut PapersPage, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let prices = &mut page.prices;
    if prices.series.as_ref().is_none_or(|(key, _)| !Arc::ptr_eq(key, &doc.key)) {
        prices.series = Some((Arc::clone(&doc.key), price_series(&doc.key)));
    }
    let Prices { index, series, hidden, .. } = prices;
    let series: &[Series] = series.as_ref().map_or(&[], |(_, series)| series);
    ui.horizontal_wrapped(|ui| {
        if let Some(known) = index {
            remark(ui, say!("In the money of the first year, by {known}", known = known.name));
            if icon_button(ui, Icon::Close, say!("Prices as they were asked")).clicked() {
                *index = None;
            }
        } else {
            remark(ui, say!("As they were asked, in percent of the first price"));
            let hint = say!("A table of consumer prices, year and index, that you have; the program has none of its own");
            if button(ui, Icon::Folder, say!("Adjust by an index")).on_hover_text(hint).clicked() {
                commands.push(Command::Page(Wish::ChooseIndex));
            }
        }
    });
    if series.is_empty() {
        remark(ui, say!("No form has a price in papers of two years yet."));
        return;
    }
    ScrollArea::horizontal().id_salt("forms with prices").show(ui, |ui| {
        ui.horizontal(|ui| {
            for (form, _) in series {
                let on = !hidden.contains(form);
                if chip(ui, &capital(&doc.key.form_name(form)), on).clicked() {
                    if on {
                        hidden.push(form.clone());
                    } else {
                        hidden.retain(|known| known != form);
                    }
                }
            }
        });
    });
    let shown: Vec<&Series> = series.iter().filter(|(form, _)| !hidden.contains(form)).collect();
    if shown.len() > LINES {
        remark(ui, say!("The first {lines} of {shown} are drawn: choose fewer above", lines = LINES, shown = shown.len()));
    }
    plot_ui(ui, doc, shown.get(..LINES.min(shown.len())).unwrap_or_default(), index.as_ref(), c);
    remark(ui, say!("Prices are records of papers, not appraisals."));
}

fn plot_ui(ui: &mut Ui, doc: &Document, shown: &[&Series], index: Option<&Index>, c: &Colours) {
    let mut lines: Vec<(String, Color32, Points)> = Vec::new();
    let mut problem = None;
    for ((form, prices), ink) in shown.iter().zip(c.forms) {
        let mut points = Vec::new();
        for priced in prices {
            match percent_of(prices, priced, index) {
                Ok(percent) => points.push((priced.year, percent, priced.written.clone())),
                Err(why) => problem = Some(why),
            }
        }
        lines.push((doc.key.form_name(form), ink, points));
    }
    if let Some(why) = problem {
        ui.colored_label(c.alarm, capital(&why));
    }
    let all = || lines.iter().flat_map(|(_, _, points)| points);
    let (Some(from), Some(to)) = (all().map(|point| point.0).min(), all().map(|point| point.0).max()) else { return };
    let most = all().map(|point| point.1).fold(100.0, f64::max) * 1.08;
    let size = vec2(ui.available_width() - 8.0, (ui.available_height() - 40.0).max(160.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let words: Vec<String> = lines
        .iter()
        .map(|(name, _, points)| {
            let each: Vec<String> = points.iter().map(|(year, percent, written)| format!("{year} {written}, {percent:.0} %")).collect();
            format!("{}: {}", capital(name), each.join("; "))
        })
        .collect();
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words.join(". ")));
    let inner = Rect::from_min_max(rect.min + vec2(56.0, 10.0), rect.max - vec2(190.0, 28.0));
    let painter = ui.painter();
    painter.rect_filled(rect, 8.0, c.paper);
    let at = |year: i32, percent: f64| -> Pos2 {
        let across = (year - from) as f32 / (to - from).max(1) as f32;
        pos2(inner.left() + inner.width() * across, inner.bottom() - inner.height() * (percent / most) as f32)
    };
    let step = [25.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 5000.0].into_iter().find(|step| most / step <= 8.0).unwrap_or(10_000.0);
    let mut percent = 0.0;
    while percent <= most {
        let y = at(from, percent).y;
        painter.hline(inner.x_range(), y, Stroke::new(if (percent - 100.0).abs() < 1e-9 { 1.5 } else { 0.6 }, c.edge));
        painter.text(pos2(inner.left() - 6.0, y), Align2::RIGHT_CENTER, format!("{percent:.0} %"), FontId::proportional(12.0), c.ink_soft);
        percent += step;
    }
    let years = [1, 2, 5, 10, 20, 50].into_iter().find(|step| (to - from) / step <= 10).unwrap_or(100);
    for year in (from..=to).filter(|year| year.rem_euclid(years) == 0) {
        painter.text(
            pos2(at(year, 0.0).x, inner.bottom() + 6.0),
            Align2::CENTER_TOP,
            year.to_string(),
            FontId::proportional(12.0),
            c.ink_soft,
        );
    }
    let at_points: Vec<Vec<Pos2>> =
        lines.iter().map(|(_, _, points)| points.iter().map(|(year, percent, _)| at(*year, *percent)).collect()).collect();
    for ((_, ink, _), points) in lines.iter().zip(&at_points) {
        for point in points {
            painter.circle_filled(*point, 4.0, *ink);
        }
        painter.line(points.clone(), Stroke::new(2.0, *ink));
    }
    // Names stand at the ends of their lines, pushed apart where they would lie on each other.
    let mut ends: Vec<(f32, &str, Color32)> =
        lines.iter().zip(&at_points).filter_map(|((name, ink, _), points)| Some((points.last()?.y, name.as_str(), *ink))).collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut lowest = f32::NEG_INFINITY;
    let mut taken: Vec<Rect> = at_points.iter().flatten().map(|point| Rect::from_center_size(*point, vec2(8.0, 8.0))).collect();
    for (y, name, ink) in ends {
        let y = y.max(lowest + 17.0);
        lowest = y;
        let mut job = egui::text::LayoutJob::simple_singleline(capital(name), FontId::proportional(13.0), ink);
        (job.wrap.max_width, job.wrap.max_rows, job.wrap.break_anywhere) = (178.0, 1, true);
        let galley = painter.layout_job(job);
        let corner = pos2(inner.right() + 10.0, y - galley.size().y / 2.0);
        taken.push(Rect::from_min_size(corner, galley.size()));
        painter.galley(corner, galley, ink);
    }
    // Prices stand beside their points, further off with a line to them where others are in the way, and not at all where there is no room: what is
    // pointed at says them all.
    for ((_, ink, points), places) in lines.iter().zip(&at_points) {
        for (point, (_, _, written)) in places.iter().zip(points) {
            let galley = painter.layout_no_wrap(written.clone(), FontId::proportional(12.0), *ink);
            let Some(spot) = beside(*point, galley.size(), &taken, rect.shrink(2.0)) else { continue };
            let nearest = spot.clamp(*point);
            if nearest.distance(*point) > NEAR {
                painter.line_segment([*point, nearest], Stroke::new(0.8, *ink));
            }
            taken.push(spot);
            painter.galley(spot.min, galley, *ink);
        }
    }
    response.on_hover_text(words.join("\n"));
}

/// From this far on a price has a line to its point.
const NEAR: f32 = 8.0;

/// Where a label of that size stands beside a point, within an area and on nothing that is there: above, below, right, left, then further off. None where
/// there is no room.
fn beside(point: Pos2, size: egui::Vec2, taken: &[Rect], within: Rect) -> Option<Rect> {
    let (across, up) = (size.x / 2.0, size.y / 2.0);
    let near = [vec2(0.0, -up - 6.0), vec2(0.0, up + 6.0), vec2(across + 8.0, 0.0), vec2(-across - 8.0, 0.0)];
    let far = [1.0, 2.0, 3.0].into_iter().flat_map(|step| {
        let (aside, off) = (across + 6.0, up + 6.0 + 16.0 * step);
        [vec2(0.0, -off), vec2(0.0, off), vec2(aside, -off), vec2(-aside, -off), vec2(aside, off), vec2(-aside, off)]
    });
    let spots = near.into_iter().chain(far).map(|offset| Rect::from_center_size(point + offset, size));
    spots.into_iter().find(|spot| within.contains_rect(*spot) && !taken.iter().any(|other| other.intersects(spot.shrink(0.5))))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn labels_of_points_that_lie_close_stand_apart() {
        let within = Rect::from_min_size(pos2(0.0, 0.0), vec2(400.0, 300.0));
        let size = vec2(30.0, 14.0);
        let points = [pos2(200.0, 150.0), pos2(202.0, 153.0), pos2(201.0, 146.0), pos2(2.0, 2.0)];
        let mut taken: Vec<Rect> = points.iter().map(|point| Rect::from_center_size(*point, vec2(8.0, 8.0))).collect();
        for point in points {
            let spot = beside(point, size, &taken, within).unwrap();
            assert!(within.contains_rect(spot));
            assert!(taken.iter().all(|other| !other.intersects(spot.shrink(0.5))), "{spot} lies on another");
            assert!(spot.clamp(point).distance(point) < 80.0, "{spot} is too far from {point}");
            taken.push(spot);
        }
        assert_eq!(beside(pos2(200.0, 150.0), size, &[within], within), None, "no room");
    }
}
