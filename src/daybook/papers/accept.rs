//! What a person accepts of a reconciled list becomes claims that cite the paper.

use crate::key::{FormId, GlazeId, Held, How, Key, Listed, Often, PaperId};

/// An entry that was accepted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Accepted {
    /// As written in the paper.
    pub written: String,
    /// The form it means.
    pub form: FormId,
    /// The glazes it is listed in.
    pub glazes: Vec<GlazeId>,
    /// The price, as written.
    pub price: String,
}

/// The key with the entries in the paper's list, and with a claim 'in a paper' for each form and glaze, citing it. What the key knows better (seen) keeps how it is
/// known and gains the citation; what it only suspected or inferred is now in a paper; what is refuted stays so. Accepting the same again changes nothing.
/// Nothing where the key has no such paper. `Folder::save` writes it.
pub fn accepted(key: &Key, paper: &PaperId, entries: &[Accepted]) -> Option<Key> {
    let mut key = key.clone();
    let cited = key.papers.iter_mut().find(|known| known.id == *paper)?;
    for entry in entries {
        let listed = Listed {
            written: entry.written.clone(),
            form: Some(entry.form.clone()),
            glazes: entry.glazes.clone(),
            price: entry.price.clone(),
        };
        match cited.lists.iter_mut().find(|known| known.written == entry.written && (known.form.is_none() || known.form == listed.form)) {
            Some(known) => {
                known.form = listed.form;
                known.glazes.extend(listed.glazes.into_iter().filter(|glaze| !entry_has(&known.glazes, glaze)).collect::<Vec<_>>());
                if known.price.is_empty() {
                    known.price = listed.price;
                }
            }
            None => cited.lists.push(listed),
        }
    }
    for entry in entries {
        let Some(form) = key.forms.iter_mut().find(|form| form.id == entry.form) else { continue };
        for glaze in &entry.glazes {
            match form.glazes.iter_mut().find(|held| held.id == *glaze) {
                Some(held) => {
                    if matches!(held.how, How::Suspected | How::Inferred) {
                        held.how = How::InPaper;
                    }
                    if !held.papers.contains(paper) {
                        held.papers.push(paper.clone());
                    }
                }
                None => form.glazes.push(Held {
                    id: glaze.clone(),
                    often: Often::Sometimes,
                    how: How::InPaper,
                    papers: vec![paper.clone()],
                    note: String::new(),
                }),
            }
        }
    }
    Some(key)
}

fn entry_has(glazes: &[GlazeId], glaze: &GlazeId) -> bool {
    glazes.contains(glaze)
}
