//! `footring sort` as a script and a person see it: a box in, the same box named out.
#![expect(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

#[path = "common/ran.rs"]
mod ran;

use ran::{Ran, run};
use std::path::{Path, PathBuf};

struct Table {
    folder: tempfile::TempDir,
}

impl Table {
    fn new(text: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("box.csv"), text).unwrap();
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn sort(&self, out: &Path) -> Ran {
        run(&["sort", "demo", self.path("box.csv").to_str().unwrap(), "--out", out.to_str().unwrap()])
    }

    /// The rows of the sorted table, its header first.
    fn named(&self) -> Vec<Vec<String>> {
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_path(self.path("named.csv")).unwrap();
        reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
    }
}

const BOX: &str = "shelf,body outline,handle,lid outline,price,missing\n\
    A1,chamfered,lug,oval,-5,\n\
    A2,chamfered,lug,,=1+1,lid\n\
    A3,,,,,\n\
    A4,chamferd,lug,round|oval,,\n";

#[test]
fn each_row_is_named_and_every_column_kept_in_its_place() {
    let table = Table::new(BOX);
    let ran = table.sort(&table.path("named.csv"));
    let rows = table.named();
    let added = ["form", "line", "probability", "runner-up", "next look", "verdict", "problems"];
    let own = ["shelf", "body outline", "handle", "lid outline", "price", "missing"];
    assert_eq!(rows[0], own.into_iter().chain(added).collect::<Vec<_>>());
    assert_eq!(rows.len(), 5);
    assert_eq!(rows[1][..6], ["A1", "chamfered", "lug", "oval", "-5", ""]);
    assert_eq!(rows[2][4], "'=1+1", "no spreadsheet works that out");
    assert_eq!((rows[1][6].as_str(), rows[1][7].as_str()), ("one-person casserole", "Quoin"));
    let p: f64 = rows[1][8].parse().unwrap();
    assert!(p > 0.5 && p < 1.0, "{p}");
    assert!(rows[2][9].contains('('), "{:?}", rows[2]);
    assert_eq!(rows[3][6..12], ["", "", "", "", "", "Nothing was seen of it that rules anything out"]);
    let says = "there is no value 'chamferd' in this key (did you mean 'cut corner below'?)";
    assert_eq!(rows[4][12], format!("body outline: {says}"));
    assert!(!rows[4][6].is_empty(), "the row is named from the rest: {:?}", rows[4]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains(says) && ran.err.contains("box.csv, row 5"), "{}", ran.err);
    assert!(ran.out.starts_with("4 rows named by 3 features, written to "), "{}", ran.out);
}

#[test]
fn a_box_without_a_fault_ends_well_and_is_printed_where_asked() {
    let table = Table::new("body outline,handle\nchamfered,lug\n");
    let ran = table.sort(Path::new("-"));
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(
        ran.out.starts_with("body outline,handle,form,line,probability,runner-up,next look,verdict,problems\nchamfered,lug,"),
        "{}",
        ran.out
    );
    assert_eq!(ran.out.lines().count(), 2);
}

#[test]
fn the_table_itself_is_never_written_over() {
    let table = Table::new(BOX);
    let ran = table.sort(&table.path("box.csv"));
    assert_eq!(ran.code, 2);
    assert!(ran.err.ends_with("box.csv' is the table itself, which is never written over (give --out another name)\n"), "{}", ran.err);
    assert_eq!(std::fs::read_to_string(table.path("box.csv")).unwrap(), BOX);
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(table.path("box.csv"), table.path("link.csv")).unwrap();
        assert_eq!(table.sort(&table.path("link.csv")).code, 2);
        assert_eq!(std::fs::read_to_string(table.path("box.csv")).unwrap(), BOX);
    }
}

#[test]
fn where_it_cannot_be_written_an_earlier_file_stays() {
    let table = Table::new(BOX);
    let ran = table.sort(&table.path("no such folder").join("named.csv"));
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("can't be written"), "{}", ran.err);
    let left: Vec<_> = std::fs::read_dir(table.folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left, ["box.csv"]);
}

#[test]
fn columns_that_are_no_features_are_told_and_twice_the_same_is_read_once() {
    let table = Table::new("handle,body outlin,Handle,note\nlug,chamfered,ear,cracked\n");
    let ran = table.sort(&table.path("named.csv"));
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err.contains("column 'body outlin' is kept and not read: it is no feature of this key (did you mean 'body outline'?)"),
        "{}",
        ran.err
    );
    assert!(ran.err.contains("is not read: a column before it already says the kind of handle"), "{}", ran.err);
    let table = Table::new("a,b\n1,2\n");
    let ran = table.sort(&table.path("named.csv"));
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.starts_with("footring: no column of 'box.csv' is called like a feature of this key ('plan from above', "),
        "{}",
        ran.err
    );
    assert!(!table.path("named.csv").exists());
}

#[test]
fn a_table_that_is_not_there_or_empty_is_said_to_be_so() {
    let table = Table::new("");
    let ran = table.sort(&table.path("named.csv"));
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("there is nothing in 'box.csv'"), "{}", ran.err);
    let ran = run(&["sort", "demo", "no such box.csv", "--out", "-"]);
    assert_eq!(ran.code, 2, "a table that is not there is misuse, as for import");
    assert!(ran.err.contains("'no such box.csv' can't be read: "), "{}", ran.err);
    let table = Table::new("handle,note\n");
    let ran = table.sort(&table.path("named.csv"));
    assert_eq!((ran.code, table.named().len()), (0, 1), "{}", ran.err);
}

#[test]
fn rows_stay_in_their_order_through_thousands() {
    let rows: Vec<String> = (0..3000).map(|n| format!("{n},{}", ["lug", "loop", "", "?"][n % 4])).collect();
    let table = Table::new(&format!("number,handle\n{}\n", rows.join("\n")));
    let ran = table.sort(&table.path("named.csv"));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let named = table.named();
    assert!(named.iter().skip(1).enumerate().all(|(n, row)| row[0] == n.to_string()));
    assert_eq!(named[1][2..], named[5][2..], "the same answers give the same name");
}
