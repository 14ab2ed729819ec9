//! Weighing what is known beside the features, and what of the key that needs.

use super::{Beside, dates, marks, shape};
use crate::identify::Index;
use crate::identify::by_shape::ShapeIndex;
use crate::identify::column::{Kind, What};
use crate::identify::piece::{Observation, Piece, Seen};
use crate::key::shape::Shape;
use crate::key::{Decoration, DecorationId, Form, FormId, Key, LineId, Mark, MarkId, ValueId, Years};
use crate::marks::dates::{Dating, of_mark};
use crate::say;
use std::collections::HashMap;
use std::sync::{Arc, OnceLock};

/// How one thing that is known bears on every form.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::identify) struct Bearing {
    /// 'shape', 'dates'.
    pub(in crate::identify) name: &'static str,
    /// What is known, in words.
    pub(in crate::identify) words: String,
    /// Natural logarithm of the likelihood on each form over its mean on all forms of which anything is known. 0 where nothing is.
    pub(in crate::identify) log: Vec<f64>,
    /// The same of a piece that is not in the key.
    pub(in crate::identify) stranger: f64,
}

impl Bearing {
    /// From logarithms on any scale: those of the forms of which something is known, and that of a piece of any kind at all. A stranger is half of the
    /// one kind and half of the other, as everywhere.
    pub(super) fn new(name: &'static str, words: String, prior: &[f64], known: Vec<Option<f64>>, broad: f64) -> Self {
        let most = known.iter().flatten().copied().fold(broad, f64::max);
        let (mut sum, mut share) = (0.0, 0.0);
        for (log, p) in known.iter().zip(prior) {
            if let Some(log) = log {
                sum += p * (log - most).exp();
                share += p;
            }
        }
        let everywhere = if share > 0.0 { sum / share } else { (broad - most).exp() }.max(f64::MIN_POSITIVE);
        let mean = most + everywhere.ln();
        let stranger = (0.5 * (broad - mean).exp() + 0.5).ln();
        Self { name, words, log: known.into_iter().map(|log| log.map_or(0.0, |log| log - mean)).collect(), stranger }
    }

    /// What is known, by its name in a sentence.
    pub(in crate::identify) fn called(&self) -> &'static str {
        match self.name {
            "shape" => say!("shape"),
            "dates" => say!("dates"),
            _ => say!("line and years of the mark"),
        }
    }

    /// What it gives to a form over the mean.
    pub(in crate::identify) fn of(&self, form: usize) -> f64 {
        self.log.get(form).copied().unwrap_or(0.0)
    }
}

/// All bearings of a piece, and what they were weighed from.
#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::identify) struct Bearings {
    from: (Beside, Option<Observation>),
    pub(in crate::identify) all: Vec<Bearing>,
}

impl Bearings {
    /// The prior of the forms and that of a stranger with all of it multiplied in, but for a common factor; none where there is nothing.
    pub(in crate::identify) fn tempered(&self, prior: &[f64]) -> Option<(Vec<f64>, f64)> {
        if self.all.is_empty() {
            return None;
        }
        let stranger: f64 = self.all.iter().map(|bearing| bearing.stranger).sum();
        let logs: Vec<f64> = (0..prior.len()).map(|form| self.of(form)).collect();
        let most = logs.iter().copied().fold(stranger, f64::max);
        let least = f64::MIN_POSITIVE;
        let forms = logs.iter().zip(prior).map(|(log, p)| (p * (log - most).exp()).max(least)).collect();
        Some((forms, (stranger - most).exp().max(least)))
    }

    /// The sum of what all give to a form.
    pub(in crate::identify) fn of(&self, form: usize) -> f64 {
        self.all.iter().map(|bearing| bearing.of(form)).sum()
    }

    /// The same of a stranger.
    pub(in crate::identify) fn stranger(&self) -> f64 {
        self.all.iter().map(|bearing| bearing.stranger).sum()
    }
}

/// A form as far as shapes and dates are concerned.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::identify) struct Drawn {
    pub(super) id: FormId,
    pub(super) name: String,
    pub(super) line: LineId,
    /// With each open end filled from the line's.
    pub(super) made: Years,
    shape: Shape,
}

/// What is kept of a key for it.
#[derive(Debug, Clone, Default)]
pub(in crate::identify) struct Library {
    drawn: Arc<Vec<Drawn>>,
    marks: Arc<Vec<Mark>>,
    decorations: Arc<Vec<Decoration>>,
    give_percent: f64,
    /// Made when first asked for.
    shapes: OnceLock<Arc<ShapeIndex>>,
    /// The years of each mark, made when first asked for.
    mark_years: Arc<Vec<OnceLock<Option<dates::Weights>>>>,
}

impl Library {
    /// Of the forms in the order of the index.
    pub(in crate::identify) fn new(key: &Key, order: &[&Form]) -> Self {
        let lines: HashMap<&LineId, Years> = key.lines.iter().rev().map(|line| (&line.id, line.made)).collect();
        Self {
            drawn: Arc::new(order.iter().map(|form| drawn(form, &lines)).collect()),
            marks: Arc::new(key.marks.clone()),
            decorations: Arc::new(key.decorations.clone()),
            give_percent: key.about.give_percent,
            shapes: OnceLock::new(),
            mark_years: Arc::new(key.marks.iter().map(|_| OnceLock::new()).collect()),
        }
    }

    /// The same with one form as it is now.
    pub(in crate::identify) fn edited(&self, key: &Key, at: usize, form: &Form) -> Self {
        let lines = key.lines.iter().rev().map(|line| (&line.id, line.made)).collect();
        let now = drawn(form, &lines);
        let same_shape = self.drawn.get(at).is_some_and(|before| before.shape == now.shape);
        let mut edited = self.clone();
        if let Some(place) = Arc::make_mut(&mut edited.drawn).get_mut(at) {
            *place = now;
        }
        if !same_shape {
            edited.shapes = OnceLock::new();
        }
        edited
    }

    pub(super) fn drawn(&self) -> &[Drawn] {
        &self.drawn
    }

    pub(super) fn form(&self, id: &FormId) -> Option<&Drawn> {
        self.drawn.binary_search_by(|form| form.id.cmp(id)).ok().and_then(|at| self.drawn.get(at))
    }

    pub(super) fn marks(&self) -> &[Mark] {
        &self.marks
    }

    pub(super) fn mark(&self, id: &MarkId) -> Option<&Mark> {
        self.marks.iter().find(|mark| mark.id == *id)
    }

    /// How well years go with those of the mark of that number. None where the mark says nothing of them.
    pub(super) fn years_of_mark(&self, number: usize) -> Option<&dates::Weights> {
        let (mark, place) = (self.marks.get(number)?, self.mark_years.get(number)?);
        let made = || {
            let (evidence, put) = of_mark(mark);
            evidence.map(|evidence| dates::Weights::of(&Dating::of(vec![evidence], put)))
        };
        place.get_or_init(made).as_ref()
    }

    pub(super) fn decoration(&self, id: &DecorationId) -> Option<&Decoration> {
        self.decorations.iter().find(|decoration| decoration.id == *id)
    }

    pub(super) fn shapes(&self) -> &ShapeIndex {
        self.shapes.get_or_init(|| {
            let shapes = self.drawn.iter().map(|form| (&form.id, &form.shape)).collect();
            Arc::new(ShapeIndex::of_shapes(shapes, self.give_percent))
        })
    }
}

fn drawn(form: &Form, lines: &HashMap<&LineId, Years>) -> Drawn {
    let of_line = lines.get(&form.line).copied().unwrap_or_default();
    let made = Years { from: form.made.from.or(of_line.from), to: form.made.to.or(of_line.to) };
    Drawn { id: form.id.clone(), name: form.name.clone(), line: form.line.clone(), made, shape: form.shape.clone() }
}

impl Index {
    /// Weighs what is known beside the features. What another standing of this index has weighed already is taken from it.
    pub(in crate::identify) fn bearings(&self, piece: &Piece, before: Option<&Arc<Bearings>>) -> Arc<Bearings> {
        let of_mark = self.mark_seen(piece);
        let from = (piece.beside.clone(), of_mark.map(|(observation, _)| observation.clone()));
        if let Some(before) = before.filter(|before| before.from == from && before.all.iter().all(|b| b.log.len() == self.forms.len())) {
            return Arc::clone(before);
        }
        let mut all = Vec::new();
        if let Some(measured) = &piece.beside.shape {
            all.extend(shape::bearing(&self.library, &self.prior, measured));
        }
        if !piece.beside.dates.is_empty() {
            let mark = self.one_mark(piece);
            let mark = mark.as_ref().and_then(|id| self.library.mark(id));
            all.extend(dates::bearing(&self.library, &self.prior, &piece.beside.dates, mark));
        }
        if let Some((observation, column)) = of_mark {
            all.extend(marks::bearing(&self.library, &self.prior, column, &observation.seen));
        }
        Arc::new(Bearings { from, all })
    }

    /// The mark as it was seen.
    fn mark_seen<'p>(&self, piece: &'p Piece) -> Option<(&'p Observation, &crate::identify::column::Column)> {
        piece.observations.iter().find_map(|observation| {
            let column = self.column(&observation.feature)?;
            let is_mark = matches!(&column.kind, Kind::Values(values) if values.what == What::Mark);
            let says = matches!(observation.seen, Seen::Values(_) | Seen::Wording(_) | Seen::Mark(_));
            (is_mark && says).then_some((observation, column))
        })
    }

    /// The value that was seen of the first feature of a kind, where it was one alone.
    pub(super) fn one_value<'p>(&self, piece: &'p Piece, what: What) -> Option<&'p ValueId> {
        piece.observations.iter().find_map(|observation| {
            let column = self.column(&observation.feature)?;
            let is_it = matches!(&column.kind, Kind::Values(values) if values.what == what);
            match &observation.seen {
                Seen::Values(values) if is_it && values.len() == 1 => values.first(),
                _ => None,
            }
        })
    }

    /// How what is known beside the features stands to a form: what it is, bits for it, and in words.
    pub(in crate::identify) fn why_beside(&self, piece: &Piece, bearings: &Bearings, form: usize) -> Vec<(f64, String)> {
        let told = |bearing: &Bearing| {
            let bits = bearing.of(form) / std::f64::consts::LN_2;
            let own = match (bearing.name, &piece.beside.shape) {
                ("shape", Some(measured)) => shape::against(&self.library, measured, form),
                ("dates", _) => {
                    self.library.drawn().get(form).map(|form| match crate::identify::text::years(form.made.from, form.made.to) {
                        made if made.is_empty() => say!("the key does not say when this form was made").to_owned(),
                        made => say!("this form was made {made}", made),
                    })
                }
                _ => self.library.drawn().get(form).map(|form| say!("this form: {what}", what = marks::of_form(form))),
            };
            let own = own.unwrap_or_else(|| say!("the key has no drawing of this form").to_owned());
            (bits, format!("{}: {}; {own}", bearing.called(), bearing.words))
        };
        bearings.all.iter().filter(|bearing| bearing.name != marks::NAME || bearing.of(form) != 0.0).map(told).collect()
    }
}
