#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]
use super::*;
use crate::key::builtin;
use crate::key::check_form;
use crate::key::tables::quantity::ListUnit;
use crate::key::tables::{Options, Role, guess, read_bytes};
use crate::key::{Often, ValueId};

fn read(text: &str) -> Table {
    read_bytes("list.csv", text.as_bytes().to_vec(), &Options::default()).unwrap()
}

fn planned(key: &Key, text: &str) -> (Table, Plan) {
    let table = read(text);
    let (_, mapping) = guess(&table, key, None);
    let plan = import(key, &table, &mapping).unwrap();
    (table, plan)
}

fn told(table: &Table, list: &[LeftOut]) -> Vec<String> {
    list.iter().map(|left_out| left_out.tell(table)).collect()
}

#[test]
fn rows_of_one_name_are_pieces_of_one_form() {
    let empty = Key::default();
    let (table, plan) = planned(&empty, "name,rim,height mm\nplate,flared,24\nPlate,flared,26\nplate,plain,\nbowl,plain,60\n");
    assert!(plan.pieces, "three of four rows share their name");
    assert_eq!(told(&table, &plan.left_out), [""; 0]);
    let key = plan.applied(Changes::Keep);
    let plate = key.forms.first().unwrap();
    assert_eq!((plate.name.as_str(), plate.weight.to_bits()), ("plate", 3.0_f64.to_bits()));
    assert_eq!(plate.features.get("height"), Some(&Record::Between(24.0, 26.0)));
    let Some(Record::Values(rims)) = plate.features.get("rim") else { panic!("the rims are counted") };
    assert_eq!(rims.keys().map(ValueId::as_str).collect::<Vec<_>>(), ["flared", "plain"]);
    for form in &key.forms {
        assert_eq!(check_form(&key, form), [], "{}", form.name);
    }
}

#[test]
fn what_cannot_be_read_is_told_and_the_rest_is_read() {
    let text = "name,rim,height mm,year\nplate,flared,tall,1951\n,plain,60,1951\nbowl,***,60,195x\ncup,plain,55,1951\n";
    let mut table = read(text);
    table.file = "stock.csv".to_owned();
    let mapping = Mapping {
        columns: [
            ("name", Role::Name),
            ("rim", Role::Category { feature: "rim".to_owned(), split: None }),
            ("height mm", Role::Measure { feature: "height".to_owned(), unit: ListUnit::Mm }),
            ("year", Role::Years),
        ]
        .map(|(name, role)| (name.to_owned(), role))
        .into_iter()
        .collect(),
        ..Mapping::default()
    };
    let plan = import(&Key::default(), &table, &mapping).unwrap();
    assert_eq!(plan.rows, 3);
    assert_eq!(
        told(&table, &plan.left_out),
        [
            "stock.csv, row 2, column C: 'tall' is not a measure (write a number with or without its unit: 92, 92-95 mm, 9 1/4 in)",
            "stock.csv, row 3, column A: this row has no name",
            "stock.csv, row 4, column B: '***' has no letter or digit, so nothing can be called so",
            "stock.csv, row 4, column D: '195x' is not a year (write 1951, 1951-64 or 1950s)",
        ]
    );
}

#[test]
fn nothing_of_the_key_is_overwritten() {
    let demo = builtin::demo().key;
    let text = "name,line,height,rim,clay\n10 in plate,Fenlight,30 mm,flared,cream\nmilk pan,Fenlight,9 cm,flaredd,creem\n";
    let (table, plan) = planned(&demo, text);
    let kept = plan.applied(Changes::Keep);
    let plate = |key: &Key| key.forms.iter().find(|form| form.id.as_str() == "fenlight-plate-10").unwrap().clone();
    assert_eq!(plate(&kept), plate(&demo), "as it was");
    let changes: Vec<(&str, &Record, &Record)> = plan.changes.iter().map(|c| (c.feature.as_str(), &c.before, &c.after)).collect();
    let rims = [(ValueId::from("spread"), Often::Usually), (ValueId::from("flared"), Often::Sometimes)].into_iter().collect();
    assert_eq!(
        changes,
        [
            ("height", &Record::Between(23.0, 25.0), &Record::Between(23.0, 30.0)),
            ("rim", &Record::Always("spread".into()), &Record::Values(rims)),
        ]
    );
    let made = plan.applied(Changes::Make);
    assert_eq!(plate(&made).features.get("height"), Some(&Record::Between(23.0, 30.0)));
    assert_eq!(
        told(&table, &plan.problems),
        [
            "list.csv, row 3, column D: 'flaredd' is new for 'rim' and was added; did you mean 'flared'?",
            "list.csv, row 3, column E: 'creem' is new for 'colour of the clay' and was added; did you mean 'cream'?",
        ]
    );
    let pan = made.forms.last().unwrap();
    assert_eq!(pan.name, "milk pan");
    assert_eq!(check_form(&made, pan), []);
}

#[test]
fn a_mapping_that_does_not_fit_says_so() {
    let table = read("name,rim\nplate,flared\n");
    let mapping = Mapping { columns: [("rum".to_owned(), Role::Name)].into_iter().collect(), ..Mapping::default() };
    let said = import(&Key::default(), &table, &mapping).unwrap_err().to_string();
    assert_eq!(said, "the mapping has a column 'rum', which the table does not (it has 'name', 'rim')");
    let said = import(&Key::default(), &table, &Mapping::default()).unwrap_err().to_string();
    assert_eq!(said, "no column is taken for the name of the form (say which one is, by its header; there are 'name', 'rim')");
}
