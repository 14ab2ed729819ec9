//! The answer in a sentence that could go on a label, with what it rests on and what was not ruled out.

use super::column::{Column, Kind, NOT_RECORDED, RECORDED, What};
use super::piece::{Piece, Seen};
use super::reading::seen_words;
use super::standing::{Weighed, hidden_by};
use super::text::any_of;
use super::{Agreement, Index, Standing, Verdict, VerdictState};
use crate::key::{Caution, Unit, capital};
use crate::{say, say_count};
use std::sync::Arc;

/// Forms listed as not ruled out, at most.
const MOST_LISTED: usize = 5;
/// 'Probably' needs a leader so many times as probable as the second; below that it is a question. A choice of this program, no source.
const LEANS_BY: f64 = 2.0;
/// Up to so many leaders are named in a question; more are only counted.
const MOST_ASKED: usize = 2;
/// What is known beside the features is told among the reasons for a form from this likelihood ratio. A choice of this program, no source.
const SPEAKS_FOR: f64 = 1.2;

impl Index {
    /// The answer as it stands. `standing` must be that of the same piece.
    ///
    /// A name is settled only where the leader's probability and its margin over the second (a form or 'not in this key') say so, nothing
    /// that was seen disagrees with it, and at least one tell against each close rival was observed.
    pub fn verdict(&self, piece: &Piece, standing: &Standing) -> Verdict {
        let weighed_again;
        let weighed = match standing.candidates.behind() {
            Some(behind) if behind.piece == *piece && Arc::ptr_eq(&behind.columns, &self.columns) => &behind.weighed,
            _ => {
                weighed_again = self.weigh(piece);
                &weighed_again
            }
        };
        let Some(&leader) = standing.candidates.first().and_then(|first| self.by_form.get(&first.form)) else { return empty_key() };
        if weighed.readings.is_empty() && weighed.bearings.all.is_empty() {
            return self.nothing(piece, standing);
        }
        let rivals = self.rivals(leader, weighed);
        let state = self.state(leader, &rivals, weighed, standing);
        let mut verdict = Verdict {
            title: String::new(),
            sentence: String::new(),
            state,
            leader: Some(self.forms.get(leader).map(|entry| entry.id.clone()).unwrap_or_default()),
            probability: p_of(weighed, leader),
            rests_on: self.rests_on(leader, weighed),
            not_ruled_out: self.not_ruled_out(piece, leader, &rivals),
            on_trust: (state == VerdictState::Settled).then(|| self.on_trust(piece, leader, weighed)).flatten(),
            cautions: self.cautions_of(piece),
        };
        self.say(&mut verdict, piece, leader, &rivals, weighed, standing);
        // Where a form is named, its years say so.
        if !matches!(state, VerdictState::Settled | VerdictState::Leaning) && self.mark_was_never_used(piece) {
            verdict.sentence += " ";
            verdict.sentence += say!("The mark was never in production as far as the key knows.");
        }
        verdict
    }

    fn nothing(&self, piece: &Piece, standing: &Standing) -> Verdict {
        let sentence = if piece.observations.is_empty() {
            say!("Look at the part that glows, or point at any part of the drawing, and say what you see.").to_owned()
        } else {
            say_count!(
                n = standing.fits,
                "Nothing that was said so far rules anything out: {n} form left.",
                "Nothing that was said so far rules anything out: {n} forms left."
            )
        };
        Verdict {
            title: say!("Nothing named yet").to_owned(),
            sentence,
            state: VerdictState::Nothing,
            leader: None,
            probability: 0.0,
            rests_on: Vec::new(),
            not_ruled_out: Vec::new(),
            on_trust: None,
            cautions: self.cautions_of(piece),
        }
    }

    /// Forms close behind the leader; the first few are the most probable, most probable first.
    fn rivals(&self, leader: usize, weighed: &Weighed) -> Vec<usize> {
        let lead = p_of(weighed, leader);
        if lead <= 0.0 {
            return Vec::new();
        }
        let close = weighed.posterior.iter().enumerate().filter(|&(form, p)| form != leader && p * self.settings.rival >= lead);
        let mut rivals: Vec<usize> = close.map(|(form, _)| form).collect();
        let by_rank = |a: &usize, b: &usize| p_of(weighed, *b).total_cmp(&p_of(weighed, *a)).then(a.cmp(b));
        if rivals.len() > MOST_LISTED {
            rivals.select_nth_unstable_by(MOST_LISTED, by_rank);
        }
        let first = MOST_LISTED.min(rivals.len());
        if let Some(first) = rivals.get_mut(..first) {
            first.sort_unstable_by(by_rank);
        }
        rivals
    }

    fn state(&self, leader: usize, rivals: &[usize], weighed: &Weighed, standing: &Standing) -> VerdictState {
        let s = &self.settings;
        let p = p_of(weighed, leader);
        if weighed.stranger > p && weighed.stranger >= s.leaning {
            return VerdictState::NotInKey;
        }
        let slips = weighed.slips.of(leader);
        if standing.fits == 0 && (slips > 1 || p < s.leaning) {
            return VerdictState::Contradiction;
        }
        let second = rivals.first().map_or(0.0, |&form| p_of(weighed, form)).max(weighed.stranger);
        let told = || rivals.iter().all(|&rival| self.was_told(leader, rival, weighed));
        match p {
            p if p >= s.settled && p >= s.margin * second && slips == 0 && told() => VerdictState::Settled,
            p if p >= s.leaning && p >= LEANS_BY * second => VerdictState::Leaning,
            _ => VerdictState::Narrowing,
        }
    }

    /// True where at least one answer is a tell for the leader against the rival. What the key does not record of one of them tells nothing.
    fn was_told(&self, leader: usize, rival: usize, weighed: &Weighed) -> bool {
        weighed.readings.iter().any(|(i, _, reading)| {
            let Some(column) = self.columns.get(*i) else { return false };
            let (one, other) = (column.pattern_of(leader), column.pattern_of(rival));
            let of = |pattern: usize| reading.likelihood.get(pattern).copied().unwrap_or(0.0);
            one != NOT_RECORDED && other != NOT_RECORDED && of(one) >= self.settings.tell * of(other) && of(one) > 0.0
        }) || weighed.bearings.all.iter().any(|bearing| bearing.of(leader) - bearing.of(rival) >= self.settings.tell.ln())
    }

    /// The answers that agree with a form, weightiest first: 'lid outline: oval'.
    fn rests_on(&self, form: usize, weighed: &Weighed) -> Vec<String> {
        let mut all: Vec<(f64, String)> = weighed
            .readings
            .iter()
            .filter_map(|(i, observation, reading)| {
                let column = self.columns.get(*i)?;
                let pattern = column.pattern_of(form);
                if reading.agreement.get(pattern) != Some(&Agreement::Agrees) {
                    return None;
                }
                let gain = reading.likelihood.get(pattern).copied().unwrap_or(0.0) / reading.mean.max(1e-300);
                Some((gain, format!("{}: {}", column.name, seen_words(column, observation))))
            })
            .collect();
        let speaks = |bearing: &&super::beside::Bearing| bearing.of(form) > SPEAKS_FOR.ln();
        all.extend(weighed.bearings.all.iter().filter(speaks).map(|b| (b.of(form).exp(), format!("{}: {}", b.called(), b.words))));
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        all.into_iter().map(|(_, words)| words).collect()
    }

    /// A sister size that the key lacks agrees in everything but its measures: of pieces whose form was left out of the demo key, more were settled under
    /// a sister's name than called strange, nearly all of them unmeasured (`footring trial`).
    fn on_trust(&self, piece: &Piece, leader: usize, weighed: &Weighed) -> Option<String> {
        let is_size = |column: &Column| matches!(&column.kind, Kind::Measure(measure) if measure.unit == Unit::Mm);
        let was_measured = weighed.readings.iter().filter_map(|(i, ..)| self.columns.get(*i)).any(is_size);
        let open = |column: &&Column| is_size(column) && column.pattern_of(leader) >= RECORDED && hidden_by(column, piece).is_none();
        let easiest = self.columns.iter().filter(open).min_by(|a, b| a.effort.total_cmp(&b.effort))?;
        (!was_measured).then(|| {
            say!(
                "No size was measured: a form of another size that is not in this key would look the same. Measure {feature}",
                feature = aside(&easiest.name)
            )
        })
    }

    fn not_ruled_out(&self, piece: &Piece, leader: usize, rivals: &[usize]) -> Vec<(crate::key::FormId, String)> {
        rivals
            .iter()
            .take(MOST_LISTED)
            .filter_map(|&rival| Some((self.forms.get(rival)?.id.clone(), self.what_would_tell(piece, leader, rival))))
            .collect()
    }

    /// Why a rival is not ruled out: the surest tell that was not looked at.
    fn what_would_tell(&self, piece: &Piece, leader: usize, rival: usize) -> String {
        let open = |column: &Column| piece.seen(&column.id).is_none();
        if let Some((column, _)) = self.best_tell(leader, rival, |column| open(column) && hidden_by(column, piece).is_none()) {
            return not_looked_at(column);
        }
        if let Some((column, part)) = self.best_tell(leader, rival, open).and_then(|(column, _)| Some((column, hidden_by(column, piece)?)))
        {
            return say!("{feature} would tell, but the {part} is missing", feature = aside(&column.name), part = part.word());
        }
        if self.best_tell(leader, rival, |_| true).is_some() {
            say!("what was seen does not settle it").to_owned()
        } else {
            say!("nothing recorded tells them apart").to_owned()
        }
    }

    fn say(&self, verdict: &mut Verdict, piece: &Piece, leader: usize, rivals: &[usize], weighed: &Weighed, standing: &Standing) {
        let name = self.forms.get(leader).map(|entry| entry.name.clone()).unwrap_or_default();
        let full = self.full_name(leader);
        let dated = self.dated(piece, leader);
        match verdict.state {
            VerdictState::Settled => {
                verdict.title = capital(&name);
                verdict.sentence = format!("{}{dated}{}.", capital(&full), self.decided_by(leader, rivals, weighed));
            }
            VerdictState::Leaning => {
                verdict.title = say!("Probably {name}", name);
                let doubt = self.doubt(leader, weighed, rivals, verdict);
                verdict.sentence = say!("Probably {full}{dated}{doubt}.", full, dated, doubt);
            }
            VerdictState::Narrowing => self.say_narrowing(verdict, piece, leader, weighed, standing),
            VerdictState::NotInKey => {
                say!("Not in this key").clone_into(&mut verdict.title);
                verdict.probability = weighed.stranger;
                verdict.leader = None;
                verdict.rests_on.clear();
                verdict.not_ruled_out.clear();
                verdict.sentence = say!(
                    "No form of this key is like this piece; the nearest is the {full}{against}.",
                    full,
                    against = self.against(leader, weighed)
                );
            }
            VerdictState::Contradiction => {
                say!("The answers do not go together").clone_into(&mut verdict.title);
                verdict.leader = None;
                verdict.probability = 0.0;
                verdict.rests_on.clear();
                let hint = standing.contradictions.first().map_or_else(
                    || say!("the nearest is the {full}{against}", full, against = self.against(leader, weighed)),
                    |contradiction| contradiction.says.clone(),
                );
                verdict.sentence = say!("One of the answers may be a slip: {hint}.", hint);
            }
            VerdictState::Nothing => {}
        }
    }

    fn say_narrowing(&self, verdict: &mut Verdict, piece: &Piece, leader: usize, weighed: &Weighed, standing: &Standing) {
        let asked: Vec<usize> = standing.candidates.iter().take(MOST_ASKED).filter_map(|c| self.by_form.get(&c.form).copied()).collect();
        let both: f64 = asked.iter().map(|&form| p_of(weighed, form)).sum();
        verdict.leader = None;
        verdict.probability = 0.0;
        if let [one, other] = asked.as_slice()
            && both >= self.settings.settled
        {
            let (names, told_by) = (
                self.pair_names(*one, *other),
                self.best_tell(*one, *other, |column| piece.seen(&column.id).is_none() && hidden_by(column, piece).is_none()),
            );
            verdict.title = format!("{}?", capital(&names));
            verdict.sentence = match told_by {
                Some((column, _)) => say!(
                    "{forms}: {feature} decides ({one}: {has}; {other}: {other_has}).",
                    forms = capital(&names),
                    feature = aside(&column.name),
                    one = self.short_name(*one, *other),
                    has = column.words(column.pattern_of(*one)),
                    other = self.short_name(*other, *one),
                    other_has = column.words(column.pattern_of(*other)),
                ),
                None => format!("{}: {}.", capital(&names), self.what_would_tell(piece, *one, *other)),
            };
            return;
        }
        let likeliest = match standing.candidates.leading() {
            [first, second, ..] if first.probability > second.probability * (1.0 + 1e-9) => {
                say!("the likeliest is the {form}", form = self.full_name(leader))
            }
            _ => say!("none stands out").to_owned(),
        };
        if standing.fits == 0 {
            say!("Nothing fits without a slip").clone_into(&mut verdict.title);
            verdict.sentence = say!("Nothing fits without a slip; {likeliest}.", likeliest);
            return;
        }
        verdict.title = say_count!(n = standing.fits, "{n} form left", "{n} forms left");
        verdict.sentence = match self.lines_left(weighed).as_slice() {
            [] => say_count!(n = standing.fits, "One of {n} form; {likeliest}.", "One of {n} forms; {likeliest}.", likeliest),
            lines => say_count!(
                n = standing.fits,
                "One of {n} form of {lines}; {likeliest}.",
                "One of {n} forms of {lines}; {likeliest}.",
                lines = any_of(lines),
                likeliest
            ),
        };
    }

    /// Names of the lines of all that fits, in the order of their names; empty where there are more than three.
    fn lines_left(&self, weighed: &Weighed) -> Vec<&str> {
        let mut lines: Vec<&str> = Vec::new();
        for line in weighed.slips.exactly(0).iter().filter_map(|form| self.forms.get(form)).map(|entry| entry.line.as_str()) {
            if !line.is_empty() && !lines.contains(&line) {
                lines.push(line);
                if lines.len() > 3 {
                    return Vec::new();
                }
            }
        }
        lines.sort_unstable();
        lines
    }

    /// 'covered sugar, or one-person casserole, Quoin'
    fn pair_names(&self, one: usize, other: usize) -> String {
        let same_line = self.forms.get(one).map(|entry| &entry.line_id) == self.forms.get(other).map(|entry| &entry.line_id);
        if same_line {
            let name = self.forms.get(one).map(|entry| entry.name.as_str()).unwrap_or_default();
            say!("{one}, or {other}", one = name, other = self.full_name(other))
        } else {
            say!("{one}, or {other}", one = self.full_name(one), other = self.full_name(other))
        }
    }

    /// The name of a form as long as it takes to tell it from the other's.
    fn short_name(&self, form: usize, other: usize) -> String {
        let name = |n: usize| self.forms.get(n).map(|entry| entry.name.clone()).unwrap_or_default();
        if name(form) == name(other) { self.full_name(form) } else { name(form) }
    }

    /// '; the lid outline decides: oval', by the answer that most speaks for the leader against the first rival, or against all forms.
    fn decided_by(&self, leader: usize, rivals: &[usize], weighed: &Weighed) -> String {
        let against = rivals.first().copied().or_else(|| second_of(weighed, leader));
        let best = weighed
            .readings
            .iter()
            .filter_map(|(i, observation, reading)| {
                let column = self.columns.get(*i)?;
                let of = |form: usize| reading.likelihood.get(column.pattern_of(form)).copied().unwrap_or(0.0);
                let ratio = of(leader) / against.map_or(reading.mean, of).max(1e-300);
                (ratio >= self.settings.tell).then_some((ratio, column, observation))
            })
            .reduce(|best, next| if next.0 > best.0 { next } else { best });
        let other = |bearing: &super::beside::Bearing| against.map_or(0.0, |form| bearing.of(form));
        let beside = weighed.bearings.all.iter().map(|b| ((b.of(leader) - other(b)).exp(), b)).max_by(|a, b| a.0.total_cmp(&b.0));
        match (best, beside.filter(|(ratio, _)| *ratio >= self.settings.tell)) {
            (best, Some((ratio, bearing))) if best.as_ref().is_none_or(|best| ratio > best.0) => {
                say!("; {what} decides: {words}", what = with_article(bearing.called()), words = bearing.words)
            }
            (Some((_, column, observation)), _) => {
                say!("; {what} decides: {words}", what = aside(&column.name), words = seen_words(column, observation))
            }
            (None, _) => String::new(),
        }
    }

    /// What stands between 'probably' and a name: a slip, or the tell not yet looked at.
    fn doubt(&self, leader: usize, weighed: &Weighed, rivals: &[usize], verdict: &Verdict) -> String {
        let against = self.against(leader, weighed);
        if !against.is_empty() {
            return against;
        }
        match (rivals.first(), verdict.not_ruled_out.first()) {
            (Some(&rival), Some((_, why))) => say!("; not ruled out: {form} ({why})", form = self.full_name(rival), why),
            _ => String::new(),
        }
    }

    /// ', but the kind of foot (flat) disagrees', or nothing.
    fn against(&self, form: usize, weighed: &Weighed) -> String {
        let all: Vec<String> = weighed
            .readings
            .iter()
            .filter_map(|(i, observation, reading)| {
                let column = self.columns.get(*i)?;
                super::standing::disagrees(column, reading, form)
                    .then(|| format!("{} ({})", with_article(&column.name), seen_words(column, observation)))
            })
            .collect();
        match all.as_slice() {
            [] => String::new(),
            [one] => say!(", but {one} disagrees", one),
            few if few.len() <= 3 => say!(", but {several} disagree", several = super::text::all_of(few)),
            many => say!(", but {n} answers disagree", n = many.len()),
        }
    }

    /// Hazards that go with the glazes and wordings that were seen.
    fn cautions_of(&self, piece: &Piece) -> Vec<String> {
        let (mut lead, mut uranium, mut oven) = (None, None, false);
        for observation in &piece.observations {
            let Some(column) = self.column(&observation.feature) else { continue };
            let Kind::Values(values) = &column.kind else { continue };
            match &observation.seen {
                Seen::Values(chosen) => {
                    for id in chosen {
                        if values.what == What::Glaze
                            && let Some((name, cautions)) = self.cautions.get(id)
                        {
                            lead = lead.or_else(|| cautions.contains(&Caution::LeadOrCadmium).then_some(name));
                            uranium = uranium.or_else(|| cautions.contains(&Caution::Uranium).then_some(name));
                        }
                        let number = values.ids.iter().position(|known| known == id);
                        let letters = values.wordings.as_ref().zip(number).map(|(wordings, number)| wordings.letters(number));
                        oven |= letters.is_some_and(|letters| letters.contains("OVENPROOF"));
                    }
                }
                Seen::Wording(_) | Seen::Mark(_) => {
                    let typed = observation.seen.mark().map_or("", |(typed, _)| typed);
                    let letters: String = typed.chars().filter(|c| c.is_alphanumeric() || *c == '?').collect::<String>().to_uppercase();
                    oven |= ["OVENPR", "OV?NPR", "?VENPR", "OVE?PR", "ENPROOF"].iter().any(|part| letters.contains(part));
                }
                _ => {}
            }
        }
        let mut all = Vec::new();
        if let Some(glaze) = uranium {
            all.push(say!("{glaze}: such glazes may hold uranium. Display only, wash hands, never grind or drill; only a licensed laboratory can clear a piece.", glaze = capital(glaze)));
        }
        if let Some(glaze) = lead {
            all.push(say!("{glaze}: may give off lead or cadmium. Not for food unless a licensed laboratory has tested this piece; local rules apply.", glaze = capital(glaze)));
        }
        if oven {
            all.push(say!("'Oven proof' is an old sales claim, not a test of this piece.").to_owned());
        }
        all
    }
}

fn empty_key() -> Verdict {
    Verdict {
        title: say!("This key has no forms yet").to_owned(),
        sentence: say!("Add the piece in hand as its first form.").to_owned(),
        state: VerdictState::NotInKey,
        leader: None,
        probability: 1.0,
        rests_on: Vec::new(),
        not_ruled_out: Vec::new(),
        on_trust: None,
        cautions: Vec::new(),
    }
}

fn p_of(weighed: &Weighed, form: usize) -> f64 {
    weighed.posterior.get(form).copied().unwrap_or(0.0)
}

/// The most probable form after the leader.
fn second_of(weighed: &Weighed, leader: usize) -> Option<usize> {
    weighed
        .posterior
        .iter()
        .enumerate()
        .filter(|(form, _)| *form != leader)
        .reduce(|best, next| if next.1 > best.1 { next } else { best })
        .map(|(form, _)| form)
}

/// 'the lid outline'; a name that brings its own article or number keeps it.
fn with_article(name: &str) -> String {
    if name.starts_with("the ") { name.to_owned() } else { say!("the {name}", name) }
}

/// The same as the subject of a sentence: a name with a comma in it gets one behind it too, 'the height, lid off,'.
fn aside(name: &str) -> String {
    let named = with_article(name);
    if name.contains(',') { say!("{named},", named) } else { named }
}

/// 'the foot was not looked at', 'the height, lid off, was not measured'
fn not_looked_at(column: &Column) -> String {
    let feature = aside(&column.name);
    if matches!(column.kind, Kind::Measure(_)) {
        say!("{feature} was not measured", feature)
    } else {
        say!("{feature} was not looked at", feature)
    }
}
