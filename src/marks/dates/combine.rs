//! Putting evidence together.

use super::clash::{Cause, Clash, Explanation, clash};
use super::evidence::{Evidence, Firmness, MarkPut, Thing};
use super::span::{Span, Spans};
use crate::say;

/// All evidence of one piece, put together.
///
/// The order in which it was given changes nothing but the order in which it is told.
#[derive(Debug, Clone, PartialEq)]
pub struct Dating {
    /// The evidence, as it was given.
    pub evidence: Vec<Evidence>,
    /// When the mark came onto the piece.
    pub put: MarkPut,
    /// The making of the form.
    pub made: Dated,
    /// The decoration, where there is evidence of it.
    pub decorated: Option<Dated>,
    /// The sale, where there is evidence of it.
    pub sold: Option<Dated>,
}

/// When one thing happened.
#[derive(Debug, Clone, PartialEq)]
pub struct Dated {
    /// What.
    pub thing: Thing,
    /// What law and papers leave. Empty where they exclude each other.
    pub firm: Spans,
    /// What custom leaves of that. Empty where law and papers exclude each other.
    pub when: Spans,
    /// For each piece of evidence of the dating, what became of it here.
    pub roles: Vec<Role>,
    /// What excludes each other.
    pub clashes: Vec<Clash>,
}

impl Dated {
    /// True where firm evidence excludes each other, so that there is no interval.
    pub fn is_disputed(&self) -> bool {
        self.when.is_empty()
    }
}

/// What became of a piece of evidence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// It is one end of the interval, or both.
    Fixes,
    /// It agrees with the interval.
    Agrees,
    /// It only shifts what is likely.
    Shifts,
    /// It clashes, and was set aside.
    SetAside,
    /// It says nothing of this thing.
    Silent,
}

/// What a piece of evidence leaves of a thing, its own or one that came before or after. None where it says nothing of it.
pub(super) fn constrains(evidence: &Evidence, thing: Thing, put: MarkPut) -> Option<Spans> {
    let own = match (evidence.dates, put) {
        (Thing::Mark, MarkPut::WithTheMaking) => Thing::Making,
        (Thing::Mark, MarkPut::PerhapsLater) => Thing::Decoration,
        (dates, _) => dates,
    };
    let thing = if thing == Thing::Mark { constrained_as(put) } else { thing };
    let hull = evidence.when.hull();
    let spans = match own.cmp(&thing) {
        std::cmp::Ordering::Equal => evidence.when.clone(),
        // What came first gives what followed its beginning; what followed gives what came first its end.
        std::cmp::Ordering::Less => Span { from: hull.from, to: None }.into(),
        std::cmp::Ordering::Greater => Span { from: None, to: hull.to }.into(),
    };
    (!spans.hull().is_open() || spans.list().len() > 1).then_some(spans)
}

const fn constrained_as(put: MarkPut) -> Thing {
    match put {
        MarkPut::WithTheMaking => Thing::Making,
        MarkPut::PerhapsLater => Thing::Decoration,
    }
}

impl Dating {
    /// Puts evidence together.
    pub fn of(evidence: Vec<Evidence>, put: MarkPut) -> Self {
        let made = dated(Thing::Making, &evidence, put);
        let of_decoration = |e: &Evidence| e.dates == Thing::Decoration || e.dates == Thing::Mark && put == MarkPut::PerhapsLater;
        let decorated = evidence.iter().any(of_decoration).then(|| dated(Thing::Decoration, &evidence, put));
        let sold = evidence.iter().any(|e| e.dates == Thing::Sale).then(|| dated(Thing::Sale, &evidence, put));
        Self { evidence, put, made, decorated, sold }
    }

    /// Every clash, each once: one of the making is not told again of the decoration.
    pub fn clashes(&self) -> Vec<&Clash> {
        let mut out: Vec<&Clash> = Vec::new();
        for dated in std::iter::once(&self.made).chain(&self.decorated).chain(&self.sold) {
            for clash in &dated.clashes {
                if !out.iter().any(|told| told.between == clash.between) {
                    out.push(clash);
                }
            }
        }
        out
    }
}

/// One piece of evidence as it bears on the thing.
struct Bears<'e> {
    number: usize,
    evidence: &'e Evidence,
    leaves: Spans,
}

fn dated(thing: Thing, evidence: &[Evidence], put: MarkPut) -> Dated {
    let mut roles = vec![Role::Silent; evidence.len()];
    let mut bears = Vec::new();
    for (number, one) in evidence.iter().enumerate() {
        let Some(leaves) = constrains(one, thing, put) else { continue };
        if one.bounds() {
            bears.push(Bears { number, evidence: one, leaves });
        } else {
            set(&mut roles, number, Role::Shifts);
        }
    }
    let (firm_ones, customs): (Vec<Bears<'_>>, Vec<Bears<'_>>) = bears.into_iter().partition(|b| b.evidence.firmness.is_firm());
    let mut clashes = Vec::new();
    let firm = firm_ones.iter().fold(Spans::open(), |so_far, b| so_far.and(&b.leaves));
    let mut when = firm.clone();
    if firm.is_empty() {
        for (i, one) in firm_ones.iter().enumerate() {
            for other in firm_ones.iter().skip(i + 1).filter(|other| one.leaves.and(&other.leaves).is_empty()) {
                clashes.push(pair(thing, one, other));
            }
        }
        if clashes.is_empty() {
            clashes.push(all_together(thing, &firm_ones));
        }
        for one in &firm_ones {
            set(&mut roles, one.number, Role::SetAside);
        }
    } else {
        let mut standing: Vec<&Bears<'_>> = Vec::new();
        for custom in &customs {
            if custom.leaves.and(&firm).is_empty() {
                set(&mut roles, custom.number, Role::SetAside);
                match firm_ones.iter().find(|f| f.leaves.and(&custom.leaves).is_empty()) {
                    Some(against) => clashes.push(pair(thing, custom, against)),
                    None => clashes.push(all_together(thing, std::slice::from_ref(custom))),
                }
            } else {
                standing.push(custom);
            }
        }
        let mut aside = vec![false; standing.len()];
        for (i, one) in standing.iter().enumerate() {
            for (j, other) in standing.iter().enumerate().skip(i + 1) {
                if one.leaves.and(&other.leaves).and(&firm).is_empty() {
                    clashes.push(pair(thing, one, other));
                    for k in [i, j] {
                        if let Some(flag) = aside.get_mut(k) {
                            *flag = true;
                        }
                    }
                }
            }
        }
        let (kept, out): (Vec<_>, Vec<_>) = standing.into_iter().zip(aside).partition(|(_, aside)| !aside);
        for (one, _) in out {
            set(&mut roles, one.number, Role::SetAside);
        }
        let narrowed = kept.iter().fold(firm.clone(), |so_far, (b, _)| so_far.and(&b.leaves));
        if narrowed.is_empty() {
            // Each two agree, all together do not: only readings of several meanings can do that.
            let kept: Vec<Bears<'_>> =
                kept.iter().map(|(b, _)| Bears { number: b.number, evidence: b.evidence, leaves: b.leaves.clone() }).collect();
            for b in &kept {
                set(&mut roles, b.number, Role::SetAside);
            }
            clashes.push(all_together(thing, &kept));
        } else {
            when = narrowed;
        }
    }
    let hull = when.hull();
    for (role, one) in roles.iter_mut().zip(evidence) {
        let Some(leaves) = constrains(one, thing, put).filter(|_| *role == Role::Silent && one.bounds()) else { continue };
        let own = leaves.hull();
        let fixes = own.from.is_some() && own.from == hull.from || own.to.is_some() && own.to == hull.to;
        *role = if fixes { Role::Fixes } else { Role::Agrees };
    }
    clashes.sort_by_key(|clash| (clash.explanations.first().map(|e| e.cause), clash.between.clone()));
    Dated { thing, firm, when, roles, clashes }
}

fn set(roles: &mut [Role], number: usize, role: Role) {
    if let Some(slot) = roles.get_mut(number) {
        *slot = role;
    }
}

fn pair(thing: Thing, one: &Bears<'_>, other: &Bears<'_>) -> Clash {
    clash(thing, (one.number, one.evidence, one.leaves.hull()), (other.number, other.evidence, other.leaves.hull()))
}

fn all_together(thing: Thing, all: &[Bears<'_>]) -> Clash {
    let said: Vec<&str> = all.iter().map(|b| b.evidence.says.as_str()).collect();
    Clash {
        thing,
        between: all.iter().map(|b| b.number).collect(),
        says: say!("no reading of these goes with all the others: {said}", said = said.join("; ")),
        explanations: vec![Explanation { cause: Cause::Misread, says: say!("one of them was misread").to_owned(), leaves: Span::OPEN }],
    }
}

impl Dated {
    /// How firm each end of the interval is: the firmest piece of evidence that fixes it. None for an open end.
    pub fn firmness(&self, evidence: &[Evidence], put: MarkPut) -> (Option<Firmness>, Option<Firmness>) {
        let hull = self.when.hull();
        let of = |holds: &dyn Fn(Span) -> bool| {
            evidence
                .iter()
                .zip(&self.roles)
                .filter(|(_, role)| **role == Role::Fixes)
                .filter(|(one, _)| constrains(one, self.thing, put).is_some_and(|leaves| holds(leaves.hull())))
                .map(|(one, _)| one.firmness)
                .min()
        };
        (hull.from.and_then(|from| of(&|own| own.from == Some(from))), hull.to.and_then(|to| of(&|own| own.to == Some(to))))
    }
}
