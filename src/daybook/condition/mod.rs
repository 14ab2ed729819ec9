//! Condition by part: what is wrong with a piece, where, how large, and the grade that follows from stated rules.
//!
//! Kinds and grades are data (`assets/condition.ron`, common practice without a source) that a person may change. A place is kept as a share of the drawing
//! that was pointed at, so that it stays where it was when the drawing becomes more exact. What was noted is part of the piece ([`Condition`]) and kept with it.

use crate::say;
use crate::words::decimal;
use crate::words::of_data;

mod grade;
mod laid;
mod rules;

pub use crate::identify::{Condition, Flaw, LONGEST_MM, MOST_FLAWS, Place};
pub use grade::Graded;
pub use rules::{Allowed, ConditionRules, FlawKind, Grade};

impl Condition {
    /// 'chip of 6 mm on the lid; 2 flea bites on the body', or that nothing was found.
    pub fn words(&self, rules: &ConditionRules) -> String {
        if self.flaws.is_empty() {
            return if self.looked_over { say!("nothing found").to_owned() } else { String::new() };
        }
        let mut told: Vec<(String, usize)> = Vec::new();
        for flaw in &self.flaws {
            let words = flaw.words(rules);
            match told.iter_mut().find(|(known, _)| *known == words) {
                Some((_, times)) => *times += 1,
                None => told.push((words, 1)),
            }
        }
        let each = told.into_iter().map(|(words, times)| if times == 1 { words } else { say!("{words} ({times} times)", words, times) });
        each.collect::<Vec<_>>().join("; ")
    }
}

impl Flaw {
    /// 'chip of 6 mm on the lid'.
    pub fn words(&self, rules: &ConditionRules) -> String {
        let (what, part) = (of_data(rules.name_of(&self.kind)), self.part.word());
        match self.size_mm {
            Some(mm) => say!("{what} of {mm} mm on the {part}", what, mm = short(mm), part),
            None => say!("{what} on the {part}", what, part),
        }
    }
}

/// To a tenth of a millimetre.
fn short(mm: f64) -> String {
    let text = format!("{mm:.1}");
    decimal(text.trim_end_matches(".0").to_owned())
}

#[cfg(test)]
mod tests;
