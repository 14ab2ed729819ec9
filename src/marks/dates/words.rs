//! A date with how firm it is, in a sentence.

use super::combine::{Dated, Dating, Role};
use crate::say;

impl Dated {
    /// 'made 1951 to 1958 (by maker's paper)', 'made: nothing bounds it'; `word` is 'made', 'decorated', 'sold'.
    pub fn sentence(&self, word: &str, dating: &Dating) -> String {
        if self.is_disputed() {
            return say!("{word}: firm evidence excludes each other, so there is no date (see the clashes)", word);
        }
        if self.when.hull().is_open() {
            return if self.roles.contains(&Role::Shifts) {
                say!("{word}: nothing bounds it, there are only hints", word)
            } else {
                say!("{word}: nothing bounds it", word)
            };
        }
        let (from, to) = self.firmness(&dating.evidence, dating.put);
        let by = match (from, to) {
            (Some(from), Some(to)) if from != to => say!("not before by {from}, not after by {to}", from = from.word(), to = to.word()),
            (Some(one), _) | (None, Some(one)) => say!("by {firmness}", firmness = one.word()),
            (None, None) => say!("by several pieces of evidence together").to_owned(),
        };
        format!("{word} {} ({by})", self.when.words())
    }

    /// 'by law and papers alone: 1910 or later', where custom narrows that.
    pub fn firm_sentence(&self) -> Option<String> {
        let narrowed = !self.is_disputed() && !self.when.hull().is_open() && self.firm != self.when && !self.firm.hull().is_open();
        narrowed.then(|| say!("by law and papers alone: {when}", when = self.firm.words()))
    }
}

impl Dating {
    /// Each thing that is dated, with the word for it: made, and where there is evidence of them decorated and sold.
    pub fn things(&self) -> Vec<(&'static str, &Dated)> {
        let also = [(say!(in "a date", "decorated"), &self.decorated), (say!(in "a date", "sold"), &self.sold)];
        std::iter::once((say!(in "a date", "made"), &self.made))
            .chain(also.into_iter().filter_map(|(word, dated)| Some((word, dated.as_ref()?))))
            .collect()
    }
}
