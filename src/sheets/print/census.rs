//! The census on paper: a form in each row, a glaze or decoration in each column.

use super::draw;
use super::flow::{BODY, CheckBar, Flow, SMALL, SOFT, STRONG, Strip, Type, text};
use super::setup::Setup;
use super::table::{self, Cell, Column};
use super::{PrintError, finished};
use crate::daybook::census::{By, Census, State};
use crate::key::{Form, Key, capital, percent};
use crate::sheets::page::{Colour, Document, Face, Item, Stroke};
use crate::{say, say_count};
use kurbo::{Circle, Point, Rect, Shape as _, Vec2};

/// Columns of one grid; a key with more goes on in others, evenly.
const MOST_COLUMNS: usize = 14;

/// Lays the census out.
///
/// # Errors
/// [`PrintError::NoForms`] where the key has none.
pub fn census_sheet(key: &Key, census: &Census, by: By, setup: &Setup) -> Result<Document, PrintError> {
    if key.forms.is_empty() {
        return Err(PrintError::NoForms);
    }
    let columns: Vec<(String, String, Option<Colour>)> = match by {
        By::Glaze => key.glazes.iter().map(|g| (g.id.to_string(), g.name.clone(), Some(draw::of_lab(g.lab)))).collect(),
        By::Decoration => key.decorations.iter().map(|d| (d.id.to_string(), d.name.clone(), None)).collect(),
    };
    let title = match by {
        By::Glaze => say!("Census: form by glaze"),
        By::Decoration => say!("Census: form by decoration"),
    };
    let about = say!(
        "{title}: {finds} of {kinds} pairs of form and {column}",
        title = key.about.title,
        finds = finds(census.richness.finds),
        kinds = census.richness.kinds,
        column = by.word()
    );
    // A phone and a booklet are held upright, with fewer columns at a time.
    let upright = setup.paper == crate::sheets::page::Paper::Phone || setup.is_booklet();
    let mut flow =
        if upright { Flow::new(*setup, title, &about, 1, CheckBar::No) } else { Flow::landscape(*setup, title, &about, CheckBar::No) };
    let legend = legend(flow.width());
    flow.place(legend);
    if census.richness.finds > 0 {
        let (unseen, (low, high)) = census.richness.unseen();
        let says = say!(
            "Pairs still unseen: at least {unseen:.0}, {low:.0} to {high:.0} (Chao 1984). Of the next finds {coverage} should be of a pair already seen (Good and \
             Turing). Both hold where finds come at random, not where only what is lacking is bought.",
            unseen,
            low,
            high,
            coverage = percent(census.richness.coverage)
        );
        flow.place(text(SMALL, &says, flow.width()));
    }
    flow.space(2.0);
    let most = if upright { 4 } else { MOST_COLUMNS };
    let most = columns.len().div_ceil(columns.len().div_ceil(most).max(1)).max(1);
    for (at, group) in columns.chunks(most).enumerate() {
        if at > 0 {
            flow.next_page();
        }
        let mut heads = vec![Column::new(say!("form"), 34.0)];
        heads.extend(group.iter().map(|(_, name, _)| Column::new(name.clone(), (flow.width() - 40.0) / most as f64)));
        // What is left of the width stays empty, so that every grid has the same columns.
        heads.extend((group.len()..most).map(|_| Column::new("", (flow.width() - 40.0) / most as f64)));
        let mut rows = vec![swatches(group)];
        rows.extend(key.forms.iter().map(|form| row(key, census, form, group)));
        table::place(&mut flow, &heads, rows);
    }
    if !census.unsaid.is_empty() {
        let all: u64 = census.unsaid.iter().map(|(_, n)| n).sum();
        flow.space(2.0);
        flow.place(text(
            BODY,
            &say!(
                "{finds} stand in no column: the {column} was not seen, or may be one of several",
                finds = finds(all),
                column = by.word()
            ),
            flow.width(),
        ));
    }
    Ok(finished(flow.end(), *setup))
}

fn finds(n: u64) -> String {
    say_count!(n = usize::try_from(n).unwrap_or(usize::MAX), "{n} find", "{n} finds")
}

fn swatches(group: &[(String, String, Option<Colour>)]) -> Vec<Cell> {
    let mut cells = vec![Cell::words(SOFT, "")];
    cells.extend(group.iter().map(|(_, _, colour)| match colour {
        Some(colour) => Cell::drawn(9.0, 4.5, vec![draw::swatch(Rect::new(0.0, 0.0, 9.0, 4.5), *colour)]),
        None => Cell::default(),
    }));
    cells
}

fn row(key: &Key, census: &Census, form: &Form, group: &[(String, String, Option<Colour>)]) -> Vec<Cell> {
    let line = key.line(&form.line).map_or_else(String::new, |line| line.name.clone());
    let drawn = draw::small(&form.shape, Rect::new(0.0, 0.0, 8.5, 6.5));
    let small = Type { size_mm: BODY.size_mm * 0.88, ..STRONG };
    let mut cells = vec![Cell { drawing: Some((8.5, 6.5, drawn)), words: vec![(small, capital(&form.name)), (SMALL, line)] }];
    cells.extend(group.iter().map(|(id, _, _)| match census.cell(&form.id, id) {
        Some(cell) => Cell::drawn(9.0, 6.0, sign(cell.state, cell.finds, Point::new(4.5, 3.0))),
        None => Cell::default(),
    }));
    cells
}

/// The sign of a state, with the number of finds in it.
fn sign(state: State, finds: u64, at: Point) -> Vec<Item> {
    let circle = |radius: f64| Circle::new(at, radius).to_path(0.005);
    let number = |colour: Colour| {
        let set = Type { face: Face::Bold, size_mm: if finds > 99 { 2.1 } else { 2.8 }, colour };
        draw::centred(set, at + Vec2::new(0.0, set.size_mm * 0.36), &finds.to_string())
    };
    let cross = |colour: Colour| {
        let r = 1.9;
        let line = |dx: f64| Item::straight(at + Vec2::new(-dx, -r), at + Vec2::new(dx, r), Stroke::new(colour, 0.45));
        vec![line(r), line(-r)]
    };
    match state {
        State::SeenAndListed => vec![Item::fill(circle(2.7), Colour::MOSS), number(Colour::PAPER)],
        State::SeenNeverListed => vec![Item::fill(circle(2.7), Colour::GLOW), number(Colour::PAPER)],
        State::ListedNeverSeen => vec![Item::stroke(circle(2.4), Stroke::new(Colour::INK, 0.35))],
        State::OnlyClaimed => {
            vec![Item::fill(lower_half(at, 2.4), Colour::FAINT), Item::stroke(circle(2.4), Stroke::new(Colour::INK, 0.35))]
        }
        State::Doubtful => {
            let set = Type { face: Face::Bold, size_mm: 3.6, colour: Colour::SOFT };
            vec![draw::centred(set, at + Vec2::new(0.0, 1.3), "?")]
        }
        State::Refuted => cross(Colour::FAINT),
        State::RefutedYetSeen => {
            let mut items = vec![Item::stroke(circle(2.7), Stroke::new(Colour::GLOW, 0.5))];
            items.extend(cross(Colour::GLOW));
            items
        }
    }
}

/// The lower half of a disc.
fn lower_half(at: Point, radius: f64) -> kurbo::BezPath {
    let mut path = kurbo::Arc::new(at, (radius, radius), 0.0, std::f64::consts::PI, 0.0).to_path(0.005);
    path.close_path();
    path
}

fn legend(width: f64) -> Vec<Strip> {
    let mut items = Vec::new();
    let (mut x, mut y) = (0.0, 0.0);
    for state in State::ALL {
        let words = match state {
            State::SeenAndListed | State::SeenNeverListed => say!("{state} (with the number of finds)", state = state.words()),
            _ => state.words().to_owned(),
        };
        let wide = crate::sheets::page::line(SMALL.face, &words).width_mm(SMALL.size_mm) + 12.0;
        if x + wide > width && x > 0.0 {
            (x, y) = (0.0, y + 6.5);
        }
        items.extend(sign(state, 3, Point::new(x + 3.0, y + 3.0)));
        items.push(draw::words(SMALL, Point::new(x + 7.0, y + 4.0), &words));
        x += wide;
    }
    vec![Strip { height: y + 7.0, items, keep: false }]
}
