//! What the index answers: plain data for the Bench, the terminal and the printed sheets.

use super::candidates::Candidates;
use crate::key::{FeatureId, FormId, Part, ValueId, View};

/// Everything the Bench shows of a piece, computed in one go.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Standing {
    /// Every form of the key, most probable first; ties by form id.
    pub candidates: Candidates,
    /// Probability that the piece is not in this key, 0 to 1.
    pub not_in_key: f64,
    /// Shannon entropy of the candidates and 'not in this key' together, in bits.
    pub entropy_bits: f64,
    /// Forms that disagree with nothing.
    pub fits: usize,
    /// Forms that disagree with one answer.
    pub one_slip: usize,
    /// Forms that disagree with two answers or more.
    pub set_aside: usize,
    /// What is worth looking at, best score first; ties in the order of the key.
    pub next_looks: Vec<NextLook>,
    /// Where no form fits: the answers of which one must be a slip, each with what would fit without it. Most would fit first.
    pub contradictions: Vec<Contradiction>,
    /// Answers that were not weighed, in the order they were given, with the reason.
    pub ignored: Vec<Ignored>,
}

/// A form that may be the piece in hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// The form.
    pub form: FormId,
    /// Its name, 'covered sugar'.
    pub name: String,
    /// The name of its line, 'Quoin'. Empty where the key has none.
    pub line: String,
    /// Its probability, 0 to 1.
    pub probability: f64,
    /// The answers that disagree with it, in the order of the key's features.
    pub disagreements: Vec<FeatureId>,
    /// Where it stands.
    pub place: Shelf,
}

impl Candidate {
    /// Its name with its line: 'covered sugar, Quoin'.
    pub fn full_name(&self) -> String {
        if self.line.is_empty() { self.name.clone() } else { format!("{}, {}", self.name, self.line) }
    }
}

/// Where a form stands on the shelf.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shelf {
    /// It disagrees with nothing.
    Fits,
    /// It disagrees with this one answer, which may be a slip.
    OneSlip(FeatureId),
    /// It disagrees with two answers or more.
    SetAside,
}

/// How an answer stands to a form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Agreement {
    /// The form can look so.
    Agrees,
    /// It cannot, unless the answer is a slip.
    Disagrees,
    /// The key does not say what the form has.
    NotRecorded,
    /// The form cannot have the feature, and yet an answer was given.
    NotApplicable,
    /// The person looked and could not tell, or the part is missing: it counts for nothing.
    NotSure,
}

/// Why a form stands where it does, as to one answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// The feature. None of what is known beside the features: shape, dates.
    pub feature: Option<FeatureId>,
    /// How the answer stands to the form.
    pub agreement: Agreement,
    /// log₂ of the answer's likelihood on this form over its mean likelihood on all forms whose record says something: above 0 it speaks
    /// for the form. Exactly 0 where nothing is recorded.
    pub bits: f64,
    /// In words: 'lid outline: you saw round, the key has oval'.
    pub says: String,
}

/// A feature worth looking at.
#[derive(Debug, Clone, PartialEq)]
pub struct NextLook {
    /// The feature.
    pub feature: FeatureId,
    /// Expected drop of [`Standing::entropy_bits`] from one honest reading.
    pub bits: f64,
    /// Effort of looking, from the feature.
    pub effort: f64,
    /// Bits for one unit of effort.
    pub score: f64,
    /// What can come out, in the order of the key; outcomes that leave nothing are left out. For a measure, up to six ranges.
    pub splits: Vec<Split>,
    /// In words: 'Look at the lid outline: 11 left, it splits them 6 / 5'.
    pub says: String,
}

/// One thing that can come out of a look.
#[derive(Debug, Clone, PartialEq)]
pub struct Split {
    /// The value; none for a measured range and for 'there is none'.
    pub value: Option<ValueId>,
    /// Its name on screen.
    pub label: String,
    /// Forms that fit now and would still fit. A form that can have several values is counted under each.
    pub forms: usize,
    /// Probability of reading it, 0 to 1.
    pub probability: f64,
}

/// An answer that stands against the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Contradiction {
    /// The answer.
    pub feature: FeatureId,
    /// Forms that would fit without it.
    pub fits_without: usize,
    /// In words: 'without “foot: flat”, 3 forms fit'.
    pub says: String,
}

/// An answer that was not weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Ignored {
    /// The feature.
    pub feature: FeatureId,
    /// In words: 'the key has no feature “lid-outlne”'.
    pub says: String,
}

/// The answer in a sentence, with its reasons.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// A heading: 'One-person casserole', 'Covered sugar, or one-person casserole?'.
    pub title: String,
    /// What a person could write on a label.
    pub sentence: String,
    /// How far the naming has come.
    pub state: VerdictState,
    /// The most probable form; none where nothing was said, or nothing in the key comes near.
    pub leader: Option<FormId>,
    /// The leader's probability; that of 'not in this key' where that is the verdict; else 0.
    pub probability: f64,
    /// The answers that agree with the leader, weightiest first: 'lid outline: oval'.
    pub rests_on: Vec<String>,
    /// Forms not ruled out, most probable first, each with why not: 'the foot was not looked at'.
    pub not_ruled_out: Vec<(FormId, String)>,
    /// What a settled name takes on trust: that no form which the key does not have would look the same. None where its size was measured, or
    /// nothing is settled.
    pub on_trust: Option<String>,
    /// Hazards that go with what was seen or named.
    pub cautions: Vec<String>,
}

/// How far the naming has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum VerdictState {
    /// Nothing was said yet.
    Nothing,
    /// Several forms are left.
    Narrowing,
    /// One leads, and may be said with 'probably'.
    Leaning,
    /// One is named.
    Settled,
    /// No form of the key is like this piece.
    NotInKey,
    /// The answers do not go together: one of them is a slip.
    Contradiction,
}

/// What tells two to six forms apart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tells {
    /// The forms compared, in the order asked, without strangers and repeats.
    pub forms: Vec<FormId>,
    /// Differences, surest first; ties by less effort, then in the order of the key.
    pub tells: Vec<Tell>,
    /// Features recorded the same for all, or that none of them has.
    pub same: Vec<FeatureId>,
    /// Features of which the key does not say enough.
    pub unknown: Vec<FeatureId>,
    /// Features that would be asked but belong to a part missing from the piece in hand.
    pub missing: Vec<FeatureId>,
}

/// A difference by which look-alikes are told apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Tell {
    /// The feature.
    pub feature: FeatureId,
    /// Its name on screen.
    pub name: String,
    /// Its part.
    pub part: Part,
    /// From where it is seen.
    pub view: View,
    /// What each form has, in words, in the order of [`Tells::forms`]: 'round', 'usually round, sometimes oval', '92 to 95 mm', 'not recorded', 'no lid'.
    pub values: Vec<String>,
    /// The values of each form, most frequent first, in the same order. Empty for a measure and where nothing is recorded.
    pub value_ids: Vec<Vec<ValueId>>,
    /// What one click would answer for each form: its most frequent value, the middle of its range, 'there is none'. None where nothing is recorded.
    pub answers: Vec<Option<super::Seen>>,
    /// Which forms have the same record: equal numbers are equal forms, counted from 0 in the order of the forms. None where nothing is recorded.
    pub groups: Vec<Option<usize>>,
    /// Probability that one honest reading picks the right form when each is equally likely: 1 for a perfect tell, 1/n for none.
    /// Among the forms with a record.
    pub surely: f64,
    /// Effort of looking.
    pub effort: f64,
    /// It can be seen only with the lid there.
    pub lid_on_only: bool,
}

/// A form that is easily taken for another.
#[derive(Debug, Clone, PartialEq)]
pub struct LookAlike {
    /// The other form.
    pub form: FormId,
    /// Its name.
    pub name: String,
    /// The name of its line.
    pub line: String,
    /// Features recorded for both and the same.
    pub shared: usize,
    /// Features that tell them apart, surest first. Empty: nothing recorded does.
    pub differs: Vec<FeatureId>,
    /// Features recorded for one of them only, or for neither, that may tell them apart once recorded; in the order of the key.
    pub to_record: Vec<FeatureId>,
    /// In words: 'cannot be told from covered sugar, Quoin: record the lid outline'.
    pub says: String,
}
