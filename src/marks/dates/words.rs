//! A date with how firm it is, in a sentence.

use super::combine::{Dated, Dating, Role};

impl Dated {
    /// 'made 1951 to 1958 (by maker's paper)', 'made: nothing bounds it'; `word` is 'made', 'decorated', 'sold'.
    pub fn sentence(&self, word: &str, dating: &Dating) -> String {
        if self.is_disputed() {
            return format!("{word}: firm evidence excludes each other, so there is no date (see the clashes)");
        }
        if self.when.hull().is_open() {
            let hints = if self.roles.contains(&Role::Shifts) { ", there are only hints" } else { "" };
            return format!("{word}: nothing bounds it{hints}");
        }
        let (from, to) = self.firmness(&dating.evidence, dating.put);
        let by = match (from, to) {
            (Some(from), Some(to)) if from != to => format!("not before by {}, not after by {}", from.word(), to.word()),
            (Some(one), _) | (None, Some(one)) => format!("by {}", one.word()),
            (None, None) => "by several pieces of evidence together".to_owned(),
        };
        format!("{word} {} ({by})", self.when.words())
    }

    /// 'by law and papers alone: 1910 or later', where custom narrows that.
    pub fn firm_sentence(&self) -> Option<String> {
        let narrowed = !self.is_disputed() && !self.when.hull().is_open() && self.firm != self.when && !self.firm.hull().is_open();
        narrowed.then(|| format!("by law and papers alone: {}", self.firm.words()))
    }
}

impl Dating {
    /// Each thing that is dated, with the word for it: made, and where there is evidence of them decorated and sold.
    pub fn things(&self) -> Vec<(&'static str, &Dated)> {
        let also = [("decorated", &self.decorated), ("sold", &self.sold)];
        std::iter::once(("made", &self.made)).chain(also.into_iter().filter_map(|(word, dated)| Some((word, dated.as_ref()?)))).collect()
    }
}
