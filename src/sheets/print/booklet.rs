//! Pages in the order of a booklet.

use crate::say_count;
use crate::sheets::page::{Colour, Document, Item, Page, Stroke};
use kurbo::Vec2;

/// Which pages lie on each side of the sheets, left and right, counted from 0; none for a blank. The sheets are printed on both sides, turned over the
/// short edge, laid into each other and folded in the middle.
pub(super) fn sides(pages: usize) -> Vec<[Option<usize>; 2]> {
    let all = pages.div_ceil(4) * 4;
    let page = |at: usize| (at < pages).then_some(at);
    (0..all / 2)
        .map(|side| {
            let (outer, inner) = (all - 1 - side, side);
            if side % 2 == 0 { [page(outer), page(inner)] } else { [page(inner), page(outer)] }
        })
        .collect()
}

/// Lays the pages of a document two to a side.
pub(super) fn folded(document: Document) -> Document {
    let Some(first) = document.pages.first() else { return document };
    let (width, height) = (first.width_mm, first.height_mm);
    let sides = sides(document.pages.len());
    let sheets = sides.len().div_ceil(2);
    let pages = sides
        .into_iter()
        .map(|halves| {
            let mut side = Page::new(2.0 * width, height);
            for (half, at) in halves.into_iter().enumerate() {
                let Some(page) = at.and_then(|at| document.pages.get(at)) else { continue };
                let by = Vec2::new(width * half as f64, 0.0);
                side.items.extend(page.items.iter().cloned().map(|item| item.shifted(by)));
            }
            // Where to fold, at the edges only.
            for (from, to) in [(0.0, 3.0), (height - 3.0, height)] {
                side.items.push(Item::straight((width, from), (width, to), Stroke::dashed(Colour::FAINT, 0.15, 0.8, 0.6)));
            }
            side
        })
        .collect();
    let mut remarks = document.remarks;
    remarks.push(say_count!(
        n = sheets,
        "{n} sheet: print on both sides, turned over the short edge, lay them into each other and fold in the middle",
        "{n} sheets: print on both sides, turned over the short edge, lay them into each other and fold in the middle"
    ));
    Document { title: document.title, pages, remarks }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_follow_each_other_when_folded() {
        let some = |pair: [usize; 2]| pair.map(Some);
        assert_eq!(sides(4), [some([3, 0]), some([1, 2])]);
        assert_eq!(sides(8), [some([7, 0]), some([1, 6]), some([5, 2]), some([3, 4])]);
        assert_eq!(sides(1), [[None, Some(0)], [None, None]]);
        assert_eq!(sides(0), Vec::<[Option<usize>; 2]>::new());
        for pages in 1..40 {
            let mut seen: Vec<usize> = sides(pages).into_iter().flatten().flatten().collect();
            seen.sort_unstable();
            assert_eq!(seen, (0..pages).collect::<Vec<_>>(), "each page once");
        }
    }
}
