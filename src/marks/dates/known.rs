//! What the key says of years, as evidence.

use super::evidence::{Evidence, Firmness, Known, MarkPut, Origin, Thing, Weighs};
use super::span::{Edge, Span, Spans};
use crate::key::{Applied, Decoration, How, Mark, Used, Years};
use crate::say;

/// Years of the key as evidence. None where they are open, or what they rest on was refuted.
fn of_years(dates: Thing, origin: Origin, name: &str, years: Years, how: How) -> Option<Evidence> {
    if years.is_open() {
        return None;
    }
    let firmness = match how {
        How::InPaper => Firmness::Paper,
        How::Seen | How::Inferred => Firmness::Custom,
        How::Suspected => Firmness::Weak,
        How::Refuted => return None,
    };
    let span = Span { from: years.from.and_then(Edge::year), to: years.to.and_then(Edge::year) };
    Some(Evidence {
        dates,
        origin,
        when: span.into(),
        weighs: Weighs::Bounds,
        firmness,
        known: Known::Checked,
        says: say!("{what} of '{name}': {when}", what = origin.words(), name, when = span.words()),
        because: say!("the key says so ({how})", how = how.words()),
        source: say!("the house key").to_owned(),
    })
}

/// A mark's years of use, and when it came onto the piece. A mark that was never used dates nothing.
pub fn of_mark(mark: &Mark) -> (Option<Evidence>, MarkPut) {
    let put = match mark.applied {
        Applied::PrintedOver | Applied::Painted | Applied::Label => MarkPut::PerhapsLater,
        _ => MarkPut::WithTheMaking,
    };
    let evidence = match mark.used {
        Used::InUse => of_years(Thing::Mark, Origin::MarkYears, &mark.name, mark.made, mark.how),
        Used::NeverUsed => None,
    };
    (evidence, put)
}

/// A form's years of making, `made` being its own or those of its line.
pub fn of_form(name: &str, made: Years) -> Option<Evidence> {
    of_years(Thing::Making, Origin::FormYears, name, made, How::Seen)
}

/// A decoration's years of use.
pub fn of_decoration(decoration: &Decoration) -> Option<Evidence> {
    of_years(Thing::Decoration, Origin::DecorationYears, &decoration.name, decoration.made, How::Seen)
}

/// A sale on a known day or in a known year, as a bill or a diary tells it.
pub fn of_sale(when: Edge, source: &str) -> Evidence {
    Evidence {
        dates: Thing::Sale,
        origin: Origin::Sale,
        when: Spans::from(Span::at(when)),
        weighs: Weighs::Bounds,
        firmness: Firmness::Paper,
        known: Known::Checked,
        says: say!("sold {when}", when = Span::at(when).words()),
        because: say!("a piece is made and decorated before it is sold").to_owned(),
        source: source.to_owned(),
    }
}
