//! The list of what is wanted, to take along: as text, and as CSV.

use super::csv::guarded_unless_a_number;
use crate::daybook::census::Wanted;
use crate::key::{Key, capital};
use crate::say;
use std::io::{self, Write};

/// The name of a wanted form with its glaze: 'Cup, Quoin, Moss'.
fn name_of(key: &Key, wanted: &Wanted) -> (String, String) {
    let glaze = match &wanted.want.glaze {
        Some(id) => key.glazes.iter().find(|glaze| glaze.id == *id).map_or_else(|| id.to_string(), |glaze| glaze.name.clone()),
        None => say!("any glaze").to_owned(),
    };
    (capital(&key.form_name(&wanted.want.form)), glaze)
}

/// A line for each form that is missing, most wanted first where the service says nothing else: '4  Cup, Quoin, Moss'. A sentence where nothing is.
pub fn wants_text(key: &Key, service: &str, held: &[Wanted]) -> String {
    let missing: Vec<&Wanted> = held.iter().filter(|wanted| wanted.missing > 0).collect();
    if missing.is_empty() {
        return say!("{service}: nothing is missing", service) + "\n";
    }
    let mut text = say!("{service}: wanted", service) + "\n";
    for wanted in missing {
        let (form, glaze) = name_of(key, wanted);
        text = format!("{text}{}  {form}, {glaze}\n", wanted.missing);
    }
    text
}

/// A row for everything the service wants: form, glaze, wanted, have, missing, spare.
///
/// # Errors
/// Where the writer fails.
pub fn wants_csv(key: &Key, held: &[Wanted], out: impl Write) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(out);
    csv.write_record(["form", "glaze", "wanted", "have", "missing", "spare"])?;
    for wanted in held {
        let (form, glaze) = name_of(key, wanted);
        let counts = [wanted.want.count, wanted.have, wanted.missing, wanted.spare].map(|n| n.to_string());
        let cells = [form, glaze].into_iter().chain(counts);
        csv.write_record(cells.map(|cell| guarded_unless_a_number(&cell)))?;
    }
    csv.flush()
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::daybook::census::Want;
    use crate::key::builtin;

    fn wanted(form: &str, glaze: Option<&str>, have: u64, missing: u64) -> Wanted {
        let want = Want { form: form.into(), glaze: glaze.map(Into::into), count: have + missing };
        Wanted { want, have, missing, spare: 0 }
    }

    #[test]
    fn what_is_missing_is_told_with_its_glaze() {
        let key = builtin::demo().key;
        let held = [
            wanted("quoin-covered-sugar", Some("flint"), 1, 0),
            wanted("quoin-casserole-one", None, 0, 2),
            wanted("no-such", Some("x"), 0, 1),
        ];
        let text = wants_text(&key, "Sunday", &held);
        assert_eq!(text, "Sunday: wanted\n2  One-person casserole, Quoin, any glaze\n1  No-such, x\n");
        assert_eq!(wants_text(&key, "Sunday", held.get(..1).unwrap()), "Sunday: nothing is missing\n");
        let mut csv = Vec::new();
        wants_csv(&key, &held, &mut csv).unwrap();
        let csv = String::from_utf8(csv).unwrap();
        assert!(csv.starts_with("form,glaze,wanted,have,missing,spare\n\"Covered sugar, Quoin\",Flint,1,1,0,0\n"), "{csv}");
    }
}
