//! The grade of a piece, and what keeps it from a better one.

use super::rules::{Allowed, ConditionRules, Grade};
use super::{Condition, Flaw, short};
use crate::say;
use crate::words::of_data;

/// A grade with its reason.
#[derive(Debug, Clone, PartialEq)]
pub struct Graded<'r> {
    /// The grade.
    pub grade: &'r Grade,
    /// What keeps the piece from the next better one, in a sentence; nothing for the best grade.
    pub because: Option<String>,
}

impl Condition {
    /// The grade by those rules: the first that allows everything that was noted. Nothing where nothing was noted and nobody looked the piece over.
    pub fn grade<'r>(&self, rules: &'r ConditionRules) -> Option<Graded<'r>> {
        if self.is_blank() {
            return None;
        }
        let mut because = None;
        for grade in &rules.grades {
            match self.against(grade, rules) {
                None => return Some(Graded { grade, because }),
                Some(why) => because = Some(why),
            }
        }
        None
    }

    /// What the grade does not allow.
    fn against(&self, grade: &Grade, rules: &ConditionRules) -> Option<String> {
        if grade.anything {
            return None;
        }
        for flaw in &self.flaws {
            let name = of_data(rules.name_of(&flaw.kind));
            let Some(allowed) = grade.allows.iter().find(|allowed| allowed.kind == flaw.kind) else {
                return Some(say!("{flaw} keeps it from '{grade}'", flaw = flaw.words(rules), grade = of_data(&grade.name)));
            };
            if let Some(why) = too_large(flaw, allowed) {
                return Some(say!(
                    "{flaw} keeps it from '{grade}' ({name} {why})",
                    flaw = flaw.words(rules),
                    grade = of_data(&grade.name),
                    name,
                    why
                ));
            }
            let all = self.flaws.iter().filter(|other| other.kind == flaw.kind).count();
            if let Some(most) = allowed.most
                && all > most as usize
            {
                return Some(say!(
                    "{all} times {name} keep it from '{grade}' (at most {most})",
                    all,
                    name,
                    grade = of_data(&grade.name),
                    most
                ));
            }
        }
        None
    }
}

fn too_large(flaw: &Flaw, allowed: &Allowed) -> Option<String> {
    let up_to = allowed.up_to_mm?;
    match flaw.size_mm {
        Some(size) if size <= up_to => None,
        Some(_) => Some(say!("up to {mm} mm", mm = short(up_to))),
        None => Some(say!("up to {mm} mm, and this one was not measured", mm = short(up_to))),
    }
}
