//! Labels: name, date and id of a find, with its id as a code that a phone reads.

use super::PrintError;
use super::draw;
use super::flow::{SMALL, Strip, Type, caution, stacked, text};
use super::grids::Grid;
use crate::daybook::Find;
use crate::key::{Form, FormId, Key, capital};
use crate::sheets::page::{Colour, Document, Face, Item, POINT_MM, Page};
use crate::{say, say_count};
use kurbo::{Rect, Vec2};

/// What stands on a label.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Label {
    /// What it is: in bold.
    pub name: String,
    /// Lines under it: the line, the date, the box.
    pub lines: Vec<String>,
    /// What the code says and what is printed small: the id.
    pub id: String,
}

/// The smallest type in points that is still read at a table. Common practice, no source.
const SMALLEST: f64 = 5.0;
/// The largest.
const LARGEST: f64 = 12.0;
/// The least a square of a code may measure to be read by a phone, in mm. A choice of this program, no source.
const LEAST_SQUARE_MM: f64 = 0.25;
const PAD_MM: f64 = 2.0;

/// Labels of finds.
pub fn labels_of_finds(finds: &[Find]) -> Vec<Label> {
    finds
        .iter()
        .map(|find| {
            let (name, line) = match &find.named {
                Some(named) => (capital(&named.form_name), named.line_name.clone()),
                None => (capital(find.standing.words()), String::new()),
            };
            let mut lines: Vec<String> = Some(line).filter(|line| !line.is_empty()).into_iter().collect();
            let day = find.found_at.date().to_string();
            lines.push(if find.box_label.is_empty() { day } else { say!("{day} · box {label}", day, label = find.box_label) });
            Label { name, lines, id: find.id.to_string() }
        })
        .collect()
}

/// Labels of forms, for shelves.
pub fn labels_of_forms(key: &Key, forms: &[FormId]) -> Vec<Label> {
    let of = |form: &Form| {
        let mut lines = vec![key.line(&form.line).map_or_else(|| form.line.to_string(), |line| line.name.clone())];
        lines.extend(Some(form.made.words()).filter(|words| !words.is_empty()));
        Label { name: capital(&form.name), lines, id: form.id.to_string() }
    };
    forms.iter().filter_map(|id| key.form(id)).map(of).collect()
}

/// Lays labels out on a grid. The first `skip` places of the first sheet are left empty: they are used up.
///
/// # Errors
/// [`PrintError::NoFinds`] where there is no label.
pub fn labels(labels: &[Label], grid: &Grid, skip: usize) -> Result<Document, PrintError> {
    if labels.is_empty() {
        return Err(PrintError::NoFinds(say!("to label").to_owned()));
    }
    let (width, height) = grid.paper.size_mm();
    let on_a_sheet = grid.on_a_sheet().max(1);
    let skip = skip % on_a_sheet;
    let foot = foot(grid);
    let mut pages: Vec<Page> = Vec::new();
    let (mut cut, mut codeless) = (0, 0);
    for (at, label) in labels.iter().enumerate() {
        let place = at + skip;
        if pages.is_empty() || place.is_multiple_of(on_a_sheet) {
            let mut page = Page::new(width, height);
            page.items.extend(foot.iter().flatten().cloned());
            pages.push(page);
        }
        let (x, y) = grid.place(place % on_a_sheet);
        let drawn = draw_label(label, grid.width_mm, grid.height_mm);
        cut += usize::from(drawn.cut);
        codeless += usize::from(!drawn.has_code);
        if let Some(page) = pages.last_mut() {
            page.items.extend(drawn.items.into_iter().map(|item| item.shifted(Vec2::new(x, y))));
        }
    }
    let mut remarks = Vec::new();
    if cut > 0 {
        remarks.push(say_count!(
            n = cut,
            "on {n} label the text is too long even at {points} points and ends in '…' (take a larger label)",
            "on {n} labels the text is too long even at {points} points and ends in '…' (take a larger label)",
            points = SMALLEST
        ));
    }
    if codeless > 0 {
        remarks.push(say_count!(
            n = codeless,
            "on {n} label there is no room for a code that a phone reads",
            "on {n} labels there is no room for a code that a phone reads"
        ));
    }
    if foot.is_none() {
        remarks.push(say!("the labels leave no room at the foot for the caution; keep it with them: {caution}", caution = caution()));
    }
    Ok(Document { title: say!("Labels").to_owned(), pages, remarks })
}

/// The caution below the last row, where the paper has room for it.
fn foot(grid: &Grid) -> Option<Vec<Item>> {
    let (width, height) = grid.paper.size_mm();
    let margin = 8.0;
    let strip = stacked(text(Type { size_mm: 5.5 * POINT_MM, ..SMALL }, caution(), width - 2.0 * margin));
    let last = grid.place(grid.on_a_sheet().saturating_sub(1)).1 + grid.height_mm;
    let y = height - 3.5 - strip.height;
    (y >= last + 0.5).then(|| strip.items.into_iter().map(|item| item.shifted(Vec2::new(margin, y))).collect())
}

struct Drawn {
    items: Vec<Item>,
    cut: bool,
    has_code: bool,
}

fn draw_label(label: &Label, width: f64, height: f64) -> Drawn {
    let room_high = height - 2.0 * PAD_MM;
    let side = room_high.min(width * 0.4).min(24.0);
    let mut code = draw::code(&label.id, Rect::new(0.0, 0.0, side, side));
    let has_code = qrcode::QrCode::with_error_correction_level(&label.id, qrcode::EcLevel::M)
        .is_ok_and(|code| side / (code.width() + 8) as f64 >= LEAST_SQUARE_MM);
    if !has_code {
        code.clear();
    }
    let text_wide = width - 2.0 * PAD_MM - if has_code { side + 1.0 } else { 0.0 };
    let mut size = LARGEST;
    let (strips, cut) = loop {
        let strips = lines(label, size, text_wide);
        let high: f64 = strips.iter().map(|strip| strip.height).sum();
        if high <= room_high + 1e-6 {
            break (strips, false);
        }
        if size <= SMALLEST {
            break (shortened(strips, room_high), true);
        }
        size -= 0.5;
    };
    let whole = stacked(strips);
    let down = PAD_MM + ((room_high - whole.height) / 2.0).max(0.0);
    let mut items: Vec<Item> = whole.items.into_iter().map(|item| item.shifted(Vec2::new(PAD_MM, down))).collect();
    let by = Vec2::new(width - PAD_MM - side, PAD_MM + (room_high - side) / 2.0);
    items.extend(code.into_iter().map(|item| item.shifted(by)));
    Drawn { items, cut, has_code }
}

fn lines(label: &Label, points: f64, width: f64) -> Vec<Strip> {
    let mut strips = text(Type::new(Face::Bold, points, Colour::INK), &label.name, width);
    let less = (points * 0.8).max(SMALLEST);
    for words in &label.lines {
        strips.extend(text(Type::new(Face::Regular, less, Colour::INK), words, width));
    }
    strips.extend(text(Type::new(Face::Regular, (points * 0.55).max(SMALLEST), Colour::SOFT), &label.id, width));
    strips
}

/// The lines that there is room for; the last of them says that there was more. The id comes last and is in the code too.
fn shortened(strips: Vec<Strip>, room: f64) -> Vec<Strip> {
    let more = text(Type::new(Face::Regular, SMALLEST, Colour::INK), "…", 20.0);
    let needed: f64 = more.iter().map(|strip| strip.height).sum();
    let mut kept = Vec::new();
    let mut high = needed;
    for strip in strips {
        if high + strip.height > room + 1e-6 {
            break;
        }
        high += strip.height;
        kept.push(strip);
    }
    kept.extend(more);
    kept
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::super::grids::grids;
    use super::*;
    use crate::sheets::page::Paper;
    use kurbo::{Point, Shape as _};

    fn label(name: &str) -> Label {
        Label {
            name: name.to_owned(),
            lines: vec!["Quoin".to_owned(), "2026-11-26".to_owned()],
            id: "0194b1c2-7d3e-7a55-8f00-1234567890ab".to_owned(),
        }
    }

    /// Everything drawn between the labels' edges, but for the caution at the foot.
    fn strays(document: &Document, grid: &Grid) -> usize {
        let inside = |at: Point| {
            (0..grid.on_a_sheet()).any(|n| {
                let (x, y) = grid.place(n);
                Rect::new(x, y, x + grid.width_mm, y + grid.height_mm).inflate(0.01, 0.01).contains(at)
            })
        };
        let foot = grid.place(grid.on_a_sheet() - 1).1 + grid.height_mm;
        let all = document.pages.iter().flat_map(|page| &page.items);
        all.filter(|item| match item {
            Item::Text { at, size_mm, line, .. } => at.y < foot && !(inside(*at) && inside(*at + Vec2::new(line.width_mm(*size_mm), 0.0))),
            Item::Path { path, .. } => {
                let b = path.bounding_box();
                !(inside(b.origin()) && inside(Point::new(b.x1, b.y1)))
            }
            Item::Picture { .. } => true,
        })
        .count()
    }

    #[test]
    fn labels_stay_on_their_labels_in_every_grid() {
        let many: Vec<Label> = (0..5).map(|n| label(&"one-person casserole with a very long name ".repeat(2 * n + 1))).collect();
        for grid in grids() {
            let document = labels(&many, grid, 0).unwrap();
            assert_eq!(document.pages.len(), 5_usize.div_ceil(grid.on_a_sheet()), "{}", grid.name);
            assert_eq!(strays(&document, grid), 0, "{}", grid.name);
        }
    }

    #[test]
    fn used_up_places_stay_empty_and_what_is_cut_is_said() {
        let grid = Grid::parse("2x2,60x30,10x10", Paper::A4).unwrap();
        let document = labels(&[label("jug"), label("cup")], &grid, 3).unwrap();
        assert_eq!(document.pages.len(), 2);
        let names = |page: usize| document.pages[page].texts().filter(|text| ["jug", "cup"].contains(text)).collect::<Vec<_>>();
        assert_eq!((names(0), names(1)), (vec!["jug"], vec!["cup"]), "three places are used up, the fourth takes the first label");
        assert_eq!(document.remarks, Vec::<String>::new());
        let tiny = Grid::parse("1x1,20x8,0x0", Paper::A4).unwrap();
        let cut = labels(&[label(&"casserole ".repeat(30))], &tiny, 0).unwrap();
        assert_eq!(strays(&cut, &tiny), 0);
        assert!(cut.remarks[0].starts_with("on 1 label the text is too long even at 5 points"), "{:?}", cut.remarks);
        assert_eq!(labels(&[], &grid, 0).unwrap_err().to_string(), "there is no find to label");
    }
}
