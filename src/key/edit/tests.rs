#![expect(clippy::unwrap_used, reason = "tests")]
use super::*;
use crate::key::model::{Key, Often, Record};
use crate::key::{FeatureId, FormId, Severity, builtin, check_key};
use across::copy_form;

fn demo() -> Key {
    builtin::demo().key
}

#[track_caller]
fn sound(key: &Key) {
    let wrong: Vec<String> = check_key(key).into_iter().filter(|p| p.severity == Severity::Error).map(|p| p.sentence()).collect();
    assert_eq!(wrong, [""; 0]);
}

fn ids(key: &Key, file: KeyFile) -> Vec<String> {
    let mut out = Vec::new();
    rename::each_own_id(&mut key.clone(), file, &mut |id| out.push(id.clone()));
    out
}

#[test]
fn every_entry_of_the_demo_key_can_be_renamed_there_and_back() {
    let key = demo();
    sound(&key);
    let mut followed = 0;
    for file in KeyFile::ALL {
        for id in ids(&key, file) {
            let there = rename(&key, file, &id, "quite-another-name").unwrap();
            let back = rename(&there.key, file, "quite-another-name", &id).unwrap();
            assert_eq!(back.key, key, "{file} {id}");
            assert_eq!(there.followed, back.followed, "{file} {id}");
            if followed % 17 == 0 {
                sound(&there.key);
            }
            followed += there.followed;
        }
    }
    assert!(followed > 1_000, "{followed} references followed");
}

#[test]
fn an_id_that_is_taken_or_none_is_refused() {
    let key = demo();
    let (one, two) = (&key.glazes.first().unwrap().id, &key.glazes.get(1).unwrap().id);
    let refused = |to: &str| rename(&key, KeyFile::Glazes, one.as_str(), to).unwrap_err().to_string();
    assert_eq!(refused(two.as_str()), format!("there is a glaze '{two}' already; choose another id"));
    assert_eq!(refused("Deep Green"), "'Deep Green' is no id: write small letters and digits, joined by hyphens (such as 'deep-green')");
    assert_eq!(
        rename(&key, KeyFile::Glazes, "no-such", "other").unwrap_err(),
        EditError::Unknown { of: "glaze", id: "no-such".to_owned() }
    );
}

#[test]
fn a_duplicate_differs_in_its_names_only_and_stands_behind_it() {
    let key = demo();
    let of = FormId::from("quoin-covered-sugar");
    let (new, id) = duplicate(&key, &of).unwrap();
    sound(&new);
    let at = new.forms.iter().position(|form| form.id == of).unwrap();
    let copy = new.forms.get(at + 1).unwrap();
    assert_eq!((copy.id.clone(), copy.name.as_str()), (id, "covered sugar, copy"));
    let (again, second) = duplicate(&new, &of).unwrap();
    sound(&again);
    assert_eq!(again.form(&second).unwrap().name, "covered sugar, copy 2");
    let back =
        crate::key::Form { id: of.clone(), name: "covered sugar".to_owned(), also: key.form(&of).unwrap().also.clone(), ..copy.clone() };
    assert_eq!(Some(&back), key.form(&of));
}

#[test]
fn merging_joins_what_is_recorded_and_leads_what_referred_to_the_other() {
    let key = demo();
    let (keep, gone) = (FormId::from("quoin-covered-sugar"), FormId::from("quoin-casserole-one"));
    let new = merge(&key, &keep, &gone).unwrap();
    sound(&new);
    assert_eq!(new.form(&gone), None);
    let kept = new.form(&keep).unwrap();
    // A round lid on one, an oval lid on the other.
    assert_eq!(
        kept.features.get(&FeatureId::from("lid-outline")),
        Some(&Record::Values([("round".into(), Often::Usually), ("oval".into(), Often::Sometimes)].into_iter().collect()))
    );
    let (Some(Record::Between(a, b)), Some(Record::Between(c, d)), Some(Record::Between(e, f))) =
        (key.form(&keep).unwrap().features.get("height"), key.form(&gone).unwrap().features.get("height"), kept.features.get("height"))
    else {
        unreachable!("both heights are recorded in the demo key")
    };
    assert_eq!((*e, *f), (a.min(*c), b.max(*d)));
    assert!(kept.also.contains(&key.form(&gone).unwrap().name));
    assert!(new.papers.iter().flat_map(|paper| &paper.lists).all(|listed| listed.form.as_ref() != Some(&gone)));
    assert_eq!(into_which(&new, &gone), std::slice::from_ref(&keep));
    assert_eq!(new.form_or_heir(&gone).map(|form| &form.id), Some(&keep));
    let retired = new.retired.first().unwrap();
    assert_eq!((Some(&retired.form), retired.why.as_str()), (key.form(&gone), "merged into covered sugar, Quoin"));
    assert_eq!(merge(&key, &keep, &keep), Err(EditError::Itself));
}

#[test]
fn a_form_is_cut_in_two_by_a_feature() {
    let mut key = demo();
    let (of, outline) = (FormId::from("quoin-covered-sugar"), FeatureId::from("lid-outline"));
    let values = [("round".into(), Often::Times(7)), ("oval".into(), Often::Times(2))].into_iter().collect();
    key.forms.iter_mut().find(|form| form.id == of).unwrap().features.insert(outline.clone(), Record::Values(values));
    let (new, id) = split(&key, &of, &outline, &["oval".into()], "covered sugar, oval lid").unwrap();
    sound(&new);
    let counted = |id: &FormId| new.form(id).unwrap().features.get(&outline).cloned().unwrap();
    let only = |value: &str, n| Record::Values([(value.into(), Often::Times(n))].into_iter().collect());
    assert_eq!((counted(&of), counted(&id)), (only("round", 7), only("oval", 2)));
    assert_eq!(split(&key, &of, &outline, &[], "x"), Err(EditError::NothingToSplit));
    assert_eq!(split(&key, &of, &outline, &["round".into(), "oval".into()], "x"), Err(EditError::NothingToSplit));
    assert_eq!(split(&key, &of, &FeatureId::from("height"), &["round".into()], "x"), Err(EditError::NothingToSplit));
}

#[test]
fn what_is_retired_can_come_back_and_heirs_are_followed_through_several() {
    let key = demo();
    let [a, b, c] = [0, 1, 2].map(|at| key.forms.get(at).unwrap().id.clone());
    let new = merge(&merge(&key, &b, &a).unwrap(), &c, &b).unwrap();
    assert_eq!(into_which(&new, &a), std::slice::from_ref(&c));
    let back = unretire(&new, &a).unwrap();
    assert_eq!(back.form(&a), key.form(&a));
    assert!(retire(&key, &a, "never made", &["no-such".into()]).is_err());
    assert_eq!(unretire(&key, &a), Err(EditError::Unknown { of: "retired form", id: a.to_string() }));
    let gone = retire(&key, &a, " never made ", &[]).unwrap();
    sound(&gone);
    assert_eq!((gone.retired.first().unwrap().why.as_str(), into_which(&gone, &a)), ("never made", vec![]));
    // A ring of heirs, as a hand-written file may have it, ends.
    let mut ring = new.clone();
    ring.retired.iter_mut().for_each(|retired| retired.into = vec![a.clone(), b.clone()]);
    assert!(into_which(&ring, &a).is_empty());
}

#[test]
fn only_what_nothing_refers_to_is_taken_out() {
    let key = demo();
    let glaze = key.forms.iter().find_map(|form| form.glazes.first()).unwrap().id.clone();
    let refused = remove(&key, KeyFile::Glazes, glaze.as_str()).unwrap_err();
    assert!(refused.to_string().starts_with(&format!("glaze '{glaze}' can't be taken out: ")), "{refused}");
    let mut more = key.clone();
    let spare = crate::key::Glaze { id: "spare".into(), ..key.glaze(&glaze).unwrap().clone() };
    more.glazes.push(spare);
    assert_eq!(remove(&more, KeyFile::Glazes, "spare").unwrap(), key);
    assert!(matches!(remove(&key, KeyFile::Forms, key.forms.first().unwrap().id.as_str()), Err(EditError::Unknown { .. })));
}

#[test]
fn a_form_copied_into_an_empty_key_brings_all_it_needs() {
    let from = demo();
    for form in &from.forms {
        let empty = Key { about: from.about.clone(), ..Key::default() };
        let copied = copy_form(&from, &form.id, &empty, &|_| false).unwrap();
        sound(&copied.key);
        let here = copied.key.form(&copied.form).unwrap();
        assert_eq!((here.features.len(), here.glazes.len(), &here.name), (form.features.len(), form.glazes.len(), &form.name));
        assert_eq!(copied.differs, [""; 0]);
        // What it is here, said in words, is what it was there.
        for (id, record) in &form.features {
            let there = from.record_words(id, record);
            let name = from.feature_name(id);
            let feature = copied.key.features.iter().find(|feature| feature.shown_name() == name).unwrap();
            let record = here.features.get(&feature.id).unwrap();
            assert_eq!(copied.key.record_words(&feature.id, record), there, "{} {name}", form.id);
        }
    }
}

#[test]
fn what_is_here_under_the_same_name_is_used() {
    let key = demo();
    let mut from = key.clone();
    let of = FormId::from("quoin-covered-sugar");
    // The other key calls the same things by other ids, and has another colour for a glaze.
    for id in ids(&key, KeyFile::Features) {
        from = rename(&from, KeyFile::Features, &id, &format!("{id}-there")).unwrap().key;
    }
    from.features.iter_mut().zip(&key.features).for_each(|(there, here)| there.name = here.shown_name());
    let glaze = from.form(&of).unwrap().glazes.first().unwrap().id.clone();
    from.glazes.iter_mut().find(|one| one.id == glaze).unwrap().spread += 1.0;
    let copied = copy_form(&from, &of, &key, &|file| file == "taken.jpg").unwrap();
    sound(&copied.key);
    assert_eq!(copied.came, [""; 0]);
    assert_eq!(copied.differs, [format!("the glaze {}", key.glaze(&glaze).unwrap().name)]);
    let here = copied.key.form(&copied.form).unwrap();
    assert_eq!(here.name, "covered sugar 2");
    assert_eq!(here.features, key.form(&of).unwrap().features);
    assert_eq!((copied.key.features.len(), copied.key.glazes.len()), (key.features.len(), key.glazes.len()));
}
