//! The forms of a key as a table: comma-separated values as in RFC 4180, in UTF-8.
//!
//! One row a form, one column a feature, after the columns `id`, `form` and `line`. A cell holds
//!
//! - the names of the values the form can have, joined by `|` (a `|` within a name becomes `/`);
//! - `lo..hi` for a measured range, in the feature's unit, which stands in the heading: `height (mm)`;
//! - `-` where the feature does not apply to the form;
//! - nothing where nothing is recorded.
//!
//! Text that a spreadsheet would take for a formula (it begins with `=`, `+`, `-`, `@`, a tab or a carriage return) gets an apostrophe before it.

use crate::key::{Condition, Feature, FeatureId, FeatureKind, Form, Held, How, Key, MarkId, Part, Record, Used, ValueId};
use std::collections::BTreeMap;
use std::io::{self, Write};
use std::path::Path;

/// Writes the table of all forms.
///
/// # Errors
/// Those of the writer.
pub fn write_forms(key: &Key, out: &mut dyn Write) -> io::Result<()> {
    let (heads, rows) = forms_table(key);
    // Gathered first, so that an error of the writer comes out as it is.
    let mut csv = csv::Writer::from_writer(Vec::new());
    csv.write_record(heads.iter().map(|head| guarded(head))).map_err(io::Error::from)?;
    for row in rows {
        // A lone '-' says that the feature does not apply, and computes nothing.
        csv.write_record(row.iter().map(|cell| if cell == "-" { cell.clone() } else { guarded(cell) })).map_err(io::Error::from)?;
    }
    let bytes = csv.into_inner().map_err(|e| io::Error::other(e.to_string()))?;
    out.write_all(&bytes)?;
    out.flush()
}

/// The heads of the table and its rows, as they are, without a guard against formulas.
pub(crate) fn forms_table(key: &Key) -> (Vec<String>, Vec<Vec<String>>) {
    let table = Table::new(key);
    let heads = ["id", "form", "line"].map(str::to_owned).into_iter().chain(key.features.iter().map(heading)).collect();
    let row = |form: &Form| {
        let line = key.line(&form.line).map_or_else(|| form.line.to_string(), |line| line.name.clone());
        let own = [form.id.to_string(), form.name.clone(), line];
        own.into_iter().chain(key.features.iter().map(|feature| table.cell(form, feature))).collect()
    };
    (heads, key.forms.iter().map(row).collect())
}

/// Writes the table to a file: whole or not at all, in the place of an earlier one. A device or a pipe is written to as it is.
///
/// # Errors
/// Where the file can't be written; an earlier file is then as it was.
pub fn save_forms(key: &Key, path: &Path) -> io::Result<()> {
    save(path, |out| write_forms(key, out))
}

/// Writes a file by `write`: whole or not at all, in the place of an earlier one. A device or a pipe is written to as it is.
///
/// # Errors
/// Those of `write`, and where the file can't be written; an earlier file is then as it was.
pub fn save<T>(path: &Path, write: impl FnOnce(&mut dyn Write) -> io::Result<T>) -> io::Result<T> {
    if std::fs::metadata(path).is_ok_and(|found| !found.is_file() && !found.is_dir()) {
        let mut device = std::fs::OpenOptions::new().write(true).open(path)?;
        return write(&mut device);
    }
    // A link stays a link: what it leads to is replaced.
    let path = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    if path.is_dir() {
        return Err(io::Error::new(io::ErrorKind::IsADirectory, "it is a folder"));
    }
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    let mode: std::fs::Permissions = std::os::unix::fs::PermissionsExt::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(mode);
    let mut file = builder.prefix(".footring-").tempfile_in(folder)?;
    let mut buffered = io::BufWriter::new(&mut file);
    let written = write(&mut buffered)?;
    buffered.flush()?;
    drop(buffered);
    file.as_file().sync_all()?;
    file.persist(&path).map_err(|e| e.error)?;
    // The name is durable only when its folder is. Not every system lets a folder be opened for that.
    if let Ok(folder) = std::fs::File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(written)
}

/// The feature's name, with its unit where it is measured.
pub(crate) fn heading(feature: &Feature) -> String {
    match &feature.kind {
        FeatureKind::Measure(kind) if !kind.unit.sign().is_empty() => format!("{} ({})", feature.shown_name(), kind.unit.sign()),
        _ => feature.shown_name(),
    }
}

/// A text that no spreadsheet takes for a formula.
pub(crate) fn guarded(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text.to_owned() }
}

/// The same, but a plain number stays one: `-5` computes nothing.
pub(crate) fn guarded_unless_a_number(text: &str) -> String {
    if text.parse::<f64>().is_ok_and(f64::is_finite) { text.to_owned() } else { guarded(text) }
}

/// What the cells need of a key.
struct Table<'a> {
    key: &'a Key,
    /// The names of the values of each feature.
    names: BTreeMap<&'a FeatureId, BTreeMap<ValueId, String>>,
}

impl<'a> Table<'a> {
    fn new(key: &'a Key) -> Self {
        let names = key.features.iter().map(|feature| (&feature.id, key.values_of(feature).into_iter().collect())).collect();
        Self { key, names }
    }

    fn cell(&self, form: &Form, feature: &Feature) -> String {
        if !self.applies(form, feature) {
            return "-".to_owned();
        }
        match form.features.get(&feature.id) {
            Some(Record::DoesNotApply) => "-".to_owned(),
            Some(Record::Between(lo, hi)) => format!("{lo}..{hi}"),
            _ => {
                let names: Vec<String> = self.values(form, feature).iter().map(|id| self.name(feature, id)).collect();
                names.join("|")
            }
        }
    }

    /// The values a form can have: what is recorded of the feature, else the glazes, decorations or marks it is claimed with.
    fn values(&self, form: &Form, feature: &Feature) -> Vec<ValueId> {
        match (form.features.get(&feature.id), &feature.kind) {
            (Some(Record::Always(value)), _) => vec![value.clone()],
            (Some(Record::Values(values)), _) => values.keys().cloned().collect(),
            (_, FeatureKind::Glaze) => claimed(&form.glazes, |id| ValueId::new(id.as_str())),
            (_, FeatureKind::Decoration) => claimed(&form.decorations, |id| ValueId::new(id.as_str())),
            (_, FeatureKind::Mark) => {
                let used = form.marks.iter().filter(|held| !self.never_used(&held.id)).cloned().collect::<Vec<_>>();
                claimed(&used, |id| ValueId::new(id.as_str()))
            }
            (_, FeatureKind::Choice(_) | FeatureKind::Measure(_)) => Vec::new(),
        }
    }

    /// A mark that was only drawn is on no piece, whatever is claimed.
    fn never_used(&self, id: &MarkId) -> bool {
        self.key.mark(id).is_some_and(|mark| mark.used == Used::NeverUsed)
    }

    fn name(&self, feature: &Feature, id: &ValueId) -> String {
        let name = self.names.get(&feature.id).and_then(|names| names.get(id)).map_or(id.as_str(), String::as_str);
        name.replace('|', "/")
    }

    /// Whether the feature can be asked of the form: it has the part, and the feature's condition holds or nothing is known against it.
    fn applies(&self, form: &Form, feature: &Feature) -> bool {
        let has = |part: Part| part == Part::Body || form.parts.contains(&part);
        let condition = match &feature.only_if {
            None => true,
            Some(Condition::Has(part)) => has(*part),
            Some(Condition::Lacks(part)) => !has(*part),
            Some(Condition::Is(other, wanted)) => self.key.feature(other).is_none_or(|other| {
                let values = self.values(form, other);
                has(other.part)
                    && form.features.get(&other.id) != Some(&Record::DoesNotApply)
                    && (values.is_empty() || values.iter().any(|value| wanted.contains(value)))
            }),
        };
        has(feature.part) && condition
    }
}

fn claimed<Id>(held: &[Held<Id>], value: impl Fn(&Id) -> ValueId) -> Vec<ValueId> {
    held.iter().filter(|held| held.how != How::Refuted).map(|held| value(&held.id)).collect()
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::shape::{Drawing, Shape};
    use crate::key::{Glaze, GlazeId, Line, MeasureKind, Often, Unit, Value, View};

    fn feature(id: &str, part: Part, kind: FeatureKind, only_if: Option<Condition>) -> Feature {
        let text = format!("(id: \"{id}\", part: Body, view: Side, kind: Glaze)");
        let plain: Feature = ron::from_str(&text).unwrap();
        Feature { part, kind, only_if, view: View::Side, ..plain }
    }

    fn value(id: &str, name: &str) -> Value {
        Value { id: id.into(), name: name.into(), also: vec![], drawing: Drawing::None, lab: None, note: String::new() }
    }

    fn form(id: &str, name: &str, parts: Vec<Part>, features: Vec<(&str, Record)>) -> Form {
        let text = format!("(id: \"{id}\", name: \"x\", line: \"quoin\", parts: [Body], shape: (body: [Corner(30, 0), Corner(40, 50)]))");
        let plain: Form = ron::from_str(&text).unwrap();
        let shape: Shape = plain.shape.clone();
        Form { name: name.into(), parts, shape, features: features.into_iter().map(|(id, record)| (id.into(), record)).collect(), ..plain }
    }

    fn key() -> Key {
        let rim = FeatureKind::Choice(vec![value("plain", ""), value("flared", "flared, thin"), value("minus", "-2 mm|or so")]);
        let lid = FeatureKind::Choice(vec![value("round", ""), value("oval", "")]);
        let mm = FeatureKind::Measure(MeasureKind { unit: Unit::Mm, give_percent: None, of: None });
        let glaze: Glaze = ron::from_str("(id: \"sage\", name: \"Sage\", lab: (60, -8, 12))").unwrap();
        let line: Line = ron::from_str("(id: \"quoin\", name: \"Quoin\")").unwrap();
        let mut sugar = form(
            "sugar",
            "=covered sugar",
            vec![Part::Body, Part::Lid],
            vec![
                ("rim", Record::Values([("plain".into(), Often::Usually), ("flared".into(), Often::Sometimes)].into_iter().collect())),
                ("lid-outline", Record::Always("round".into())),
                ("height", Record::Between(90.0, 95.5)),
            ],
        );
        sugar.glazes =
            vec![Held { id: GlazeId::from("sage"), often: Often::Always, how: How::Refuted, papers: vec![], note: String::new() }];
        let mut plate = form(
            "plate",
            "10 in \"flat\" plate",
            vec![Part::Body],
            vec![("rim", Record::Always("minus".into())), ("height", Record::NotRecorded)],
        );
        plate.glazes = vec![Held { id: GlazeId::from("sage"), often: Often::Always, how: How::Seen, papers: vec![], note: String::new() }];
        Key {
            features: vec![
                feature("rim", Part::Body, rim, None),
                feature("lid-outline", Part::Lid, lid, None),
                feature("height", Part::Body, mm, None),
                feature("lip", Part::Body, FeatureKind::Choice(vec![]), Some(Condition::Lacks(Part::Lid))),
                feature("glaze", Part::Body, FeatureKind::Glaze, None),
            ],
            lines: vec![line],
            forms: vec![sugar, plate],
            glazes: vec![glaze],
            ..Key::default()
        }
    }

    const EXPECTED: &str = "id,form,line,rim,lid outline,height (mm),lip,glaze\n\
        sugar,'=covered sugar,Quoin,\"plain|flared, thin\",round,90..95.5,-,\n\
        plate,\"10 in \"\"flat\"\" plate\",Quoin,'-2 mm/or so,-,,,Sage\n";

    #[test]
    fn a_row_a_form_and_a_column_a_feature() {
        let mut out = Vec::new();
        write_forms(&key(), &mut out).unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), EXPECTED);
    }

    #[test]
    fn a_file_is_replaced_as_a_whole() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("forms.csv");
        std::fs::write(&path, "older and longer ".repeat(100)).unwrap();
        save_forms(&key(), &path).unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), EXPECTED);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "nothing is left beside it");
    }

    #[test]
    fn where_it_cannot_be_written_nothing_changes() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(save_forms(&key(), folder.path()).unwrap_err().to_string(), "it is a folder");
        assert!(save_forms(&key(), &folder.path().join("no such folder").join("forms.csv")).is_err());
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0, "nothing was made");
    }

    #[test]
    #[cfg(unix)]
    fn the_file_may_be_read_by_whom_other_files_may() {
        use std::os::unix::fs::PermissionsExt as _;
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("other"), "").unwrap();
        save_forms(&key(), &folder.path().join("forms.csv")).unwrap();
        let mode = |name: &str| std::fs::metadata(folder.path().join(name)).unwrap().permissions().mode();
        assert_eq!(mode("forms.csv"), mode("other"));
    }
}
