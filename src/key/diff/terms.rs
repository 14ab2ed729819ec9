//! The words for fields, items and small numbers.

use crate::key::file::KeyFile;
use crate::say;

/// A field's name in words, without its unit. A field that has no word of its own (one of another program's) stands as it is written.
pub(super) fn field_words(field: &str) -> String {
    let stem = field.strip_suffix("_mm").or_else(|| field.strip_suffix("_percent")).unwrap_or(field).replace('_', " ");
    let word = match stem.as_str() {
        "body" => say!("body profile"),
        "lid" => say!("lid profile"),
        "lab" => say!("colour"),
        "how" => say!("how it is known"),
        "name" => say!(in "a field", "name"),
        "title" => say!(in "a field", "title"),
        "line" => say!(in "a field", "line"),
        "part" => say!(in "a field", "part"),
        "note" => say!(in "a field", "note"),
        "caption" => say!(in "a field", "caption"),
        "date" => say!(in "a field", "date"),
        "date code" => say!(in "a field", "date code"),
        "finish" => say!(in "a field", "finish"),
        "ink" => say!(in "a field", "ink"),
        "layout" => say!(in "a field", "layout"),
        "look" => say!(in "a field", "look"),
        "made" => say!(in "a field", "made"),
        "view" => say!(in "a field", "view"),
        "weight" => say!(in "a field", "weight"),
        "written" => say!(in "a field", "written"),
        "spread" => say!(in "a field", "spread"),
        "kind" => say!(in "a field", "kind"),
        "unit" => say!(in "a field", "unit"),
        "rings" => say!(in "a field", "rings"),
        "used" => say!(in "a field", "used"),
        "shape" => say!(in "a field", "shape"),
        "slip" => say!(in "a field", "slip"),
        "plan" => say!(in "a field", "plan"),
        "lid plan" => say!(in "a field", "lid plan"),
        "wall" => say!(in "a field", "wall"),
        "aspect" => say!(in "a field", "aspect"),
        "effort" => say!(in "a field", "effort"),
        "only if" => say!(in "a field", "only if"),
        "on old stock" => say!(in "a field", "on old stock"),
        "applied" => say!(in "a field", "applied"),
        "says" => say!(in "a field", "says"),
        "drawing" => say!(in "a field", "drawing"),
        "form" => say!(in "a field", "form"),
        "give" => say!(in "a field", "give"),
        "surface" => say!(in "a field", "surface"),
        "finial" => say!(in "a field", "finial"),
        "spout" => say!(in "a field", "spout"),
        "handles" => say!(in "a field", "handles"),
        "top" => say!(in "a field", "top"),
        "bottom" => say!(in "a field", "bottom"),
        "reach" => say!(in "a field", "reach"),
        "thick" => say!(in "a field", "thick"),
        "height" => say!(in "a field", "height"),
        "width" => say!(in "a field", "width"),
        "root" => say!(in "a field", "root"),
        "tip" => say!(in "a field", "tip"),
        "lid sits" => say!(in "a field", "lid sits"),
        "file" => say!(in "a field", "file"),
        "pictures" => say!(in "a field", "pictures"),
        "claims" => say!(in "a field", "claims"),
        "papers" => say!(in "a field", "papers"),
        "lists" => say!(in "a field", "lists"),
        "glazes" => say!(in "a field", "glazes"),
        "decorations" => say!(in "a field", "decorations"),
        "marks" => say!(in "a field", "marks"),
        "lines" => say!(in "a field", "lines"),
        "parts" => say!(in "a field", "parts"),
        "codes" => say!(in "a field", "codes"),
        "wording" => say!(in "a field", "wording"),
        "customers" => say!(in "a field", "customers"),
        "cautions" => say!(in "a field", "cautions"),
        "features" => say!(in "a field", "features"),
        "also" => say!(in "a field", "also"),
        "id" => say!(in "a field", "id"),
        _ => return stem,
    };
    word.to_owned()
}

/// The words for one item and for several of a list.
pub(super) fn item_words(file: KeyFile, list: &str) -> (&'static str, &'static str) {
    match list {
        "also" => (say!("other name"), say!("other names")),
        "borrowed_by" => (say!("borrowing line"), say!("borrowing lines")),
        "glazes" => (say!("glaze"), say!("glazes")),
        "decorations" => (say!("decoration"), say!("decorations")),
        "marks" => (say!("mark"), say!("marks")),
        "lines" => (say!("line"), say!("lines")),
        "papers" => (say!("paper"), say!("papers")),
        "claims" => (say!("claim"), say!("claims")),
        "pictures" => (say!("picture"), say!("pictures")),
        "parts" if file == KeyFile::Forms => (say!("part"), say!("parts")),
        "parts" => (say!("part of the code"), say!("parts of the code")),
        "handles" => (say!("handle"), say!("handles")),
        "wording" => (say!("line of wording"), say!("lines of wording")),
        "codes" => (say!("date code"), say!("date codes")),
        "customers" => (say!("customer"), say!("customers")),
        "cautions" => (say!("caution"), say!("cautions")),
        "lists" => (say!("entry"), say!("entries")),
        "synonyms" => (say!("group of synonyms"), say!("groups of synonyms")),
        "kind" => (say!("value"), say!("values")),
        "words" => (say!("word"), say!("words")),
        _ => (say!("item"), say!("items")),
    }
}

/// 'two', '13'.
pub(super) fn number(n: usize) -> String {
    let word = match n {
        2 => say!("two"),
        3 => say!("three"),
        4 => say!("four"),
        5 => say!("five"),
        6 => say!("six"),
        7 => say!("seven"),
        8 => say!("eight"),
        9 => say!("nine"),
        10 => say!("ten"),
        11 => say!("eleven"),
        12 => say!("twelve"),
        more => return more.to_string(),
    };
    word.to_owned()
}
