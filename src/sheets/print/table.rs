//! Tables: rows whose cells wrap, under a head that every page repeats.

use super::flow::{BODY, Flow, STRONG, Strip, Type, beside, stacked, text};
use crate::sheets::page::{Colour, Item, Stroke};

/// A column of a table.
#[derive(Debug, Clone)]
pub(super) struct Column {
    pub(super) head: String,
    /// Its share of the width.
    pub(super) share: f64,
}

impl Column {
    pub(super) fn new(head: impl Into<String>, share: f64) -> Self {
        Self { head: head.into(), share }
    }
}

/// A cell: a drawing, words, or both, one beside the other.
#[derive(Debug, Clone, Default)]
pub(super) struct Cell {
    /// Width, height and what is drawn, from its top left corner.
    pub(super) drawing: Option<(f64, f64, Vec<Item>)>,
    /// Words with how they are set, one paragraph after the other.
    pub(super) words: Vec<(Type, String)>,
}

impl Cell {
    pub(super) fn words(set: Type, words: impl Into<String>) -> Self {
        Self { drawing: None, words: vec![(set, words.into())] }
    }

    pub(super) fn drawn(width: f64, height: f64, items: Vec<Item>) -> Self {
        Self { drawing: Some((width, height, items)), words: Vec::new() }
    }

    fn strips(&self, width: f64) -> Vec<Strip> {
        let (indent, least) = self.drawing.as_ref().map_or((0.0, 0.0), |(wide, high, _)| (wide + 1.6, *high));
        let lines: Vec<Strip> = self.words.iter().flat_map(|(set, words)| text(*set, words, (width - indent).max(8.0))).collect();
        let high: f64 = lines.iter().map(|strip| strip.height).sum();
        let down = ((least - high) / 2.0).max(0.0);
        let mut strips: Vec<Strip> = Vec::new();
        if down > 0.0 {
            strips.push(Strip { keep: true, ..Strip::space(down) });
        }
        strips.extend(lines);
        for strip in &mut strips {
            strip.items = std::mem::take(&mut strip.items).into_iter().map(|item| item.shifted(kurbo::Vec2::new(indent, 0.0))).collect();
        }
        if let Some((_, high, items)) = &self.drawing {
            // The drawing hangs from the first line; what it is taller by follows.
            let filled: f64 = strips.iter().map(|strip| strip.height).sum();
            if strips.is_empty() {
                strips.push(Strip::space(0.0));
            }
            if let Some(first) = strips.first_mut() {
                first.items.extend(items.iter().cloned());
            }
            if *high > filled {
                for strip in &mut strips {
                    strip.keep = true;
                }
                strips.push(Strip::space(high - filled));
            }
        }
        strips
    }
}

/// Rows with more lines than this are cut between lines where a page ends.
const MOST_TOGETHER_MM: f64 = 60.0;
const GAP: f64 = 2.5;
const PAD: f64 = 1.0;

/// Places a table.
pub(super) fn place(flow: &mut Flow, columns: &[Column], rows: impl IntoIterator<Item = Vec<Cell>>) {
    let whole: f64 = columns.iter().map(|column| column.share).sum::<f64>().max(1e-9);
    let room = flow.width() - GAP * (columns.len().saturating_sub(1)) as f64;
    let mut places = Vec::new();
    let mut x = 0.0;
    for column in columns {
        let wide = room * column.share / whole;
        places.push((x, wide));
        x += wide + GAP;
    }
    let width = flow.width();
    let rule = |colour, thick| Strip {
        height: 0.0,
        items: vec![Item::straight((0.0, 0.0), (width, 0.0), Stroke::new(colour, thick))],
        keep: true,
    };
    let heads = columns
        .iter()
        .zip(&places)
        .map(|(column, (x, wide))| (*x, stacked(text(Type { size_mm: BODY.size_mm * 0.9, ..STRONG }, &column.head, *wide))));
    let mut head = beside(heads.collect());
    head.keep = true;
    let head = if columns.iter().all(|column| column.head.is_empty()) {
        Vec::new()
    } else {
        vec![head, Strip { keep: true, ..Strip::space(PAD) }, rule(Colour::INK, 0.25), Strip { keep: true, ..Strip::space(PAD) }]
    };
    let mut first = true;
    for row in rows {
        let cells: Vec<(f64, Vec<Strip>)> = row.iter().zip(&places).map(|(cell, (x, wide))| (*x, cell.strips(*wide))).collect();
        let mut strips = joined(cells);
        strips.push(Strip { keep: true, ..Strip::space(PAD) });
        strips.push(rule(Colour::FAINT, 0.12));
        strips.push(Strip::space(PAD));
        if std::mem::take(&mut first) {
            let mut with_head = head.clone();
            with_head.extend(strips);
            strips = with_head;
            flow.place(strips);
            flow.run(head.clone());
        } else {
            flow.place(strips);
        }
    }
    flow.run(Vec::new());
}

/// Cells side by side: as one strip where that is short, else line beside line.
fn joined(cells: Vec<(f64, Vec<Strip>)>) -> Vec<Strip> {
    let high = cells.iter().map(|(_, strips)| strips.iter().map(|strip| strip.height).sum::<f64>()).fold(0.0, f64::max);
    if high <= MOST_TOGETHER_MM {
        let mut one = beside(cells.into_iter().map(|(x, strips)| (x, stacked(strips))).collect());
        one.keep = true;
        return vec![one];
    }
    // Every line of every cell by where it would begin; lines that begin together stay together.
    let mut edges: Vec<f64> = Vec::new();
    let mut lines: Vec<(f64, f64, Strip)> = Vec::new();
    for (x, strips) in cells {
        let mut y = 0.0;
        for strip in strips {
            edges.push(y);
            y += strip.height;
            lines.push((y - strip.height, x, strip));
        }
    }
    edges.push(high);
    edges.sort_by(f64::total_cmp);
    edges.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    edges
        .windows(2)
        .filter_map(|pair| if let [from, to] = *pair { Some((from, to)) } else { None })
        .map(|(from, to)| {
            let here = lines.iter().filter(|(y, _, _)| (*y - from).abs() < 1e-6);
            let items = here.flat_map(|(_, x, strip)| strip.items.iter().cloned().map(|item| item.shifted(kurbo::Vec2::new(*x, 0.0))));
            Strip { height: to - from, items: items.collect(), keep: false }
        })
        .collect()
}
