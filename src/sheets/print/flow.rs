//! Laying things one under the other in columns, over as many pages as it takes.
//!
//! What is placed comes as [`Strip`]s, which are never cut; a list of them may be. Each page gets a head, the caution, its number, and where something
//! is drawn to scale a bar to check the print by.

use super::draw;
use super::setup::Setup;
use crate::say;
use crate::sheets::page::{Colour, Document, Face, Item, POINT_MM, Page, Stroke, line, wrap};
use kurbo::{Point, Vec2};

/// The short caution at the foot of every page (facts of the sources in the program's help; the words are ours).
pub fn caution() -> &'static str {
    say!(
        "Old glazes and colours on top of the glaze may give off lead or cadmium, and some orange, red, yellow and ivory ones hold \
uranium: use for food only after a licensed laboratory has tested the piece; local rules decide. Broken ceramic is as sharp as glass. What is named here \
is an opinion from the features entered, not an appraisal or a certificate."
    )
}

/// How text is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Type {
    pub(super) face: Face,
    pub(super) size_mm: f64,
    pub(super) colour: Colour,
}

impl Type {
    /// Type of so many points.
    pub(super) const fn new(face: Face, points: f64, colour: Colour) -> Self {
        Self { face, size_mm: points * POINT_MM, colour }
    }

    /// From one base line to the next, in mm.
    pub(super) const fn leading(self) -> f64 {
        self.size_mm * 1.28
    }

    /// From the top of a line to its base line, in mm.
    pub(super) const fn ascent(self) -> f64 {
        self.size_mm * 0.95
    }
}

pub(super) const TITLE: Type = Type::new(Face::Bold, 19.0, Colour::INK);
pub(super) const HEADING: Type = Type::new(Face::Bold, 11.5, Colour::INK);
pub(super) const BODY: Type = Type::new(Face::Regular, 9.5, Colour::INK);
pub(super) const STRONG: Type = Type::new(Face::Bold, 9.5, Colour::INK);
pub(super) const SOFT: Type = Type::new(Face::Regular, 8.5, Colour::SOFT);
pub(super) const SMALL: Type = Type::new(Face::Regular, 7.5, Colour::SOFT);
const FOOT: Type = Type::new(Face::Regular, 6.5, Colour::SOFT);

/// Something of a height that is not cut, drawn from its own top left corner.
#[derive(Debug, Clone, Default)]
pub(super) struct Strip {
    pub(super) height: f64,
    pub(super) items: Vec<Item>,
    /// It stays with what comes next.
    pub(super) keep: bool,
}

impl Strip {
    /// Empty, of a height.
    pub(super) const fn space(height: f64) -> Self {
        Self { height, items: Vec::new(), keep: false }
    }
}

/// Text in lines of a width, one strip a line.
pub(super) fn text(set: Type, words: &str, width: f64) -> Vec<Strip> {
    text_at(set, words, 0.0, width)
}

/// The same, set in from the left.
pub(super) fn text_at(set: Type, words: &str, indent: f64, width: f64) -> Vec<Strip> {
    let lines = wrap(set.face, words, set.size_mm, (width - indent).max(4.0));
    lines
        .into_iter()
        .map(|line| Strip {
            height: set.leading(),
            items: vec![Item::text(Point::new(indent, set.ascent()), set.size_mm, set.colour, line)],
            keep: false,
        })
        .collect()
}

/// Strips one under the other as one.
pub(super) fn stacked(strips: Vec<Strip>) -> Strip {
    let mut whole = Strip::default();
    for strip in strips {
        let by = Vec2::new(0.0, whole.height);
        whole.items.extend(strip.items.into_iter().map(|item| item.shifted(by)));
        whole.height += strip.height;
    }
    whole
}

/// Strips side by side as one, each moved right by what stands with it.
pub(super) fn beside(columns: Vec<(f64, Strip)>) -> Strip {
    let mut whole = Strip::default();
    for (x, strip) in columns {
        whole.height = whole.height.max(strip.height);
        whole.items.extend(strip.items.into_iter().map(|item| item.shifted(Vec2::new(x, 0.0))));
    }
    whole
}

/// Whether a bar to check the print by is wanted at the foot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CheckBar {
    Yes,
    No,
}

/// What is laid out so far.
#[derive(Debug)]
pub(super) struct Flow {
    title: String,
    about: String,
    width_mm: f64,
    height_mm: f64,
    margin: f64,
    columns: usize,
    gap: f64,
    foot: Vec<Item>,
    foot_height: f64,
    bar: CheckBar,
    pages: Vec<Page>,
    /// Where the columns of this page begin.
    top: f64,
    column: usize,
    y: f64,
    /// Repeated at the head of every column.
    running: Vec<Strip>,
    remarks: Vec<String>,
}

impl Flow {
    /// Begins with a page that has the title on it.
    pub(super) fn new(setup: Setup, title: &str, about: &str, columns: usize, bar: CheckBar) -> Self {
        let (width_mm, height_mm) = setup.page_mm();
        Self::sized(setup, (width_mm, height_mm), title, about, columns, bar)
    }

    /// The same on pages that lie.
    pub(super) fn landscape(setup: Setup, title: &str, about: &str, bar: CheckBar) -> Self {
        let (short, long) = setup.page_mm();
        Self::sized(setup, (long, short), title, about, 1, bar)
    }

    fn sized(setup: Setup, (width_mm, height_mm): (f64, f64), title: &str, about: &str, columns: usize, bar: CheckBar) -> Self {
        let margin = setup.margin_mm();
        let width = width_mm - 2.0 * margin;
        // The bar needs its 100 mm.
        let bar = if width >= 101.0 { bar } else { CheckBar::No };
        let caution = stacked(text(FOOT, caution(), width));
        let bar_height = if bar == CheckBar::Yes { 9.0 } else { 0.0 };
        let foot_height = caution.height + FOOT.leading() + 2.5 + bar_height;
        let mut about = about.to_owned();
        if let Some(day) = setup.day {
            about = if about.is_empty() { say!("printed {day}", day) } else { say!("{about} · printed {day}", about, day) };
        }
        let mut flow = Self {
            title: title.to_owned(),
            about,
            width_mm,
            height_mm,
            margin,
            columns: columns.max(1),
            gap: 7.0,
            foot: caution.items,
            foot_height,
            bar,
            pages: Vec::new(),
            top: 0.0,
            column: 0,
            y: 0.0,
            running: Vec::new(),
            remarks: Vec::new(),
        };
        flow.begin();
        let big = if width < 110.0 { Type::new(Face::Bold, 14.0, Colour::INK) } else { TITLE };
        let mut head = text(big, title, width);
        let about = flow.about.clone();
        head.extend(text(SOFT, &about, width));
        head.push(Strip::space(3.0));
        let head = stacked(head);
        let by = Vec2::new(margin, margin);
        flow.draw(head.items.into_iter().map(|item| item.shifted(by)));
        flow.top = margin + head.height;
        flow.y = flow.top;
        flow
    }

    /// Starts a page: with the title in small, but for the first.
    fn begin(&mut self) {
        let mut page = Page::new(self.width_mm, self.height_mm);
        self.column = 0;
        self.top = self.margin;
        if !self.pages.is_empty() {
            let set = SMALL;
            let width = self.width_mm - 2.0 * self.margin;
            let title = wrap(Face::Bold, &self.title, set.size_mm, width);
            // Of a title of many lines, the first is enough to know the page by; the whole stands on the first page.
            if let Some(first) = title.first() {
                page.items.push(Item::text(Point::new(self.margin, self.margin + set.ascent()), set.size_mm, set.colour, first.clone()));
            }
            let y = self.margin + set.leading() + 0.8;
            page.items.push(Item::straight((self.margin, y), (self.width_mm - self.margin, y), Stroke::new(Colour::FAINT, 0.15)));
            self.top = y + 2.5;
        }
        self.pages.push(page);
        self.y = self.top;
    }

    /// Width of a column.
    pub(super) fn width(&self) -> f64 {
        let gaps = self.gap * (self.columns - 1) as f64;
        (self.width_mm - 2.0 * self.margin - gaps) / self.columns as f64
    }

    /// Where the columns end.
    fn bottom(&self) -> f64 {
        self.height_mm - self.margin - self.foot_height
    }

    /// Height left in this column.
    pub(super) fn left(&self) -> f64 {
        (self.bottom() - self.y).max(0.0)
    }

    /// Height of a whole column on a page after the first.
    pub(super) fn whole(&self) -> f64 {
        self.bottom() - self.margin - SMALL.leading() - 3.3
    }

    /// Something to be told to whoever prints.
    pub(super) fn remark(&mut self, remark: String) {
        self.remarks.push(remark);
    }

    /// What is repeated at the head of every column from the next one on.
    pub(super) fn run(&mut self, strips: Vec<Strip>) {
        self.running = strips;
    }

    fn draw(&mut self, items: impl Iterator<Item = Item>) {
        if let Some(page) = self.pages.last_mut() {
            page.items.extend(items);
        }
    }

    /// Goes on in the next column.
    pub(super) fn next_column(&mut self) {
        if self.column + 1 < self.columns {
            self.column += 1;
            self.y = self.top;
        } else {
            self.begin();
        }
        for strip in self.running.clone() {
            self.put(strip);
        }
    }

    /// Goes on on the next page.
    pub(super) fn next_page(&mut self) {
        self.begin();
        for strip in self.running.clone() {
            self.put(strip);
        }
    }

    fn put(&mut self, strip: Strip) {
        let x = self.margin + (self.width() + self.gap) * self.column as f64;
        let by = Vec2::new(x, self.y);
        self.y += strip.height;
        self.draw(strip.items.into_iter().map(|item| item.shifted(by)));
    }

    /// Leaves room, if it is not the head of a column.
    pub(super) fn space(&mut self, height: f64) {
        if self.y > self.top + 0.1 {
            self.y += height;
        }
    }

    /// Places strips together where they fit into a column, else one by one.
    pub(super) fn place(&mut self, strips: Vec<Strip>) {
        let height: f64 = strips.iter().map(|strip| strip.height).sum();
        let head: f64 = self.running.iter().map(|strip| strip.height).sum();
        if height <= self.left() + 1e-6 {
            for strip in strips {
                self.put(strip);
            }
            return;
        }
        if height <= self.whole() - head && self.y > self.top + head + 0.1 {
            self.next_column();
            for strip in strips {
                self.put(strip);
            }
            return;
        }
        // Too much for any column: cut between strips, but not behind one that stays with the next.
        let mut held: Vec<Strip> = Vec::new();
        for strip in strips {
            let keep = strip.keep;
            held.push(strip);
            if keep {
                continue;
            }
            let height: f64 = held.iter().map(|strip| strip.height).sum();
            if height > self.left() + 1e-6 && self.y > self.top + head + 0.1 {
                self.next_column();
            }
            for strip in std::mem::take(&mut held) {
                self.put(strip);
            }
        }
        for strip in held {
            self.put(strip);
        }
    }

    /// Ends: writes the foot of every page.
    pub(super) fn end(mut self) -> Document {
        let all = self.pages.len();
        let (margin, right) = (self.margin, self.width_mm - self.margin);
        let top = self.height_mm - margin - self.foot_height;
        for (at, page) in self.pages.iter_mut().enumerate() {
            let mut y = top + 1.5;
            if self.bar == CheckBar::Yes {
                page.items.extend(draw::check_bar(Point::new(margin, y + 1.0), right - margin));
                y += 9.0;
            }
            page.items.push(Item::straight((margin, y), (right, y), Stroke::new(Colour::FAINT, 0.15)));
            y += 0.8;
            page.items.extend(self.foot.iter().cloned().map(|item| item.shifted(Vec2::new(margin, y))));
            let number = line(Face::Regular, &say!("page {page} of {all}", page = at + 1, all));
            let base = self.height_mm - margin - 0.2;
            let x = right - number.width_mm(FOOT.size_mm);
            page.items.push(Item::text(Point::new(x, base), FOOT.size_mm, FOOT.colour, number));
            let about = wrap(Face::Regular, &self.about, FOOT.size_mm, x - margin - 4.0);
            if let [about] = about.as_slice() {
                page.items.push(Item::text(Point::new(margin, base), FOOT.size_mm, FOOT.colour, about.clone()));
            }
        }
        Document { title: self.title, pages: self.pages, remarks: self.remarks }
    }
}
