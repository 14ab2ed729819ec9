//! Finds in depth: their records, lists by filter and order, changes of many at once.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

mod backup;
mod join;

use footring::daybook::many::Bulk;
use footring::daybook::record::{Called, Pieces, YearSpan};
use footring::daybook::{
    Column, Daybook, Facet, Filter, Find, FindId, FormChoice, KeyName, Named, Order, Question, Record, Standing, Status, Way,
};
use footring::identify::{Condition, Flaw, Piece, Place};
use footring::key::{Part, View};
use jiff::ZonedDateTime;
use proptest::prelude::*;

fn at(minute: u32) -> ZonedDateTime {
    format!("2026-03-02T{:02}:{:02}:00+00:00[UTC]", 9 + minute / 60, minute % 60).parse().unwrap()
}

fn called(name: &str) -> Called {
    Called { id: name.to_lowercase(), name: name.to_owned() }
}

/// A find with a record, different for each number.
fn find(n: u32) -> Find {
    let form = ["covered sugar", "one-person casserole", "mustard pot"][n as usize % 3];
    let settled = n % 4 != 3;
    Find {
        id: FindId::new(),
        revision: 0,
        found_at: at(n),
        key: KeyName { title: "Marrowby house key".to_owned(), folder: "marrowby".to_owned() },
        named: (n % 5 != 4).then(|| Named { form: form.into(), form_name: form.to_owned(), line_name: "Quoin".to_owned() }),
        verdict: format!("A {form}"),
        probability: Some(f64::from(n % 10) / 10.0),
        standing: if settled { Standing::Settled } else { Standing::Narrowing },
        piece: Piece::default(),
        box_label: format!("{}", n % 3 * 7),
        note: String::new(),
        photographs: Vec::new(),
        record: Record {
            status: Status::ALL[n as usize % 5],
            place_found: "Marrowby fair".to_owned(),
            paid: Some(format!("{n}.50 GBP 2026-03-01").parse().unwrap()),
            asked: Some("30 EUR".parse().unwrap()),
            glazes: [(Part::Body, called(["Fen green", "Crème"][n as usize % 2])), (Part::Lid, called("Slate"))].into(),
            decoration: Some(called("Sedge")),
            mark: Some(called("Round mark")),
            made: YearSpan { from: i16::try_from(1950 + n).ok(), to: None },
            decorated: YearSpan { from: Some(1961), to: Some(1961) },
            measures: vec![footring::daybook::record::Measure { what: "weight".to_owned(), value: "412 g".to_owned() }],
            pieces: Pieces::new(n % 4 + 1).unwrap(),
        },
    }
}

fn book(finds: u32) -> (tempfile::TempDir, Daybook, Vec<Find>) {
    let folder = tempfile::tempdir().unwrap();
    let mut daybook = Daybook::open(folder.path()).unwrap();
    let mut all: Vec<Find> = (0..finds).map(find).collect();
    daybook.put_many(&all, &at(0)).unwrap();
    for find in &mut all {
        find.revision = 1;
    }
    (folder, daybook, all)
}

fn minutes(daybook: &Daybook, filter: Filter, order: Order) -> Vec<i8> {
    let ids = daybook.ids(&Question { filter, order: Some(order) }).unwrap();
    daybook.several(&ids).unwrap().into_iter().map(|find| find.unwrap().found_at.minute()).collect()
}

fn found_by(daybook: &Daybook, words: &str) -> usize {
    usize::try_from(daybook.how_many(&Filter { search: words.to_owned(), ..Filter::default() }).unwrap()).unwrap()
}

#[test]
fn a_whole_record_comes_back_and_is_found_by_each_of_its_words() {
    let (_folder, daybook, all) = book(1);
    assert_eq!(daybook.find(all[0].id).unwrap().as_ref(), Some(&all[0]));
    assert_eq!(daybook.history(all[0].id).unwrap()[0].find, all[0]);
    for words in ["fen green", "SLATE", "sedge", "round mark", "marrowby fair", "0.50 gbp", "412 g", "from 1950", "undecided", "a 0 n"] {
        assert_eq!(found_by(&daybook, words), 1, "{words}");
    }
    // Trigrams that are all there do not make a word that is not.
    assert_eq!(found_by(&daybook, "covered-sugar"), 0);
    assert_eq!(found_by(&daybook, "casserole"), 0);
    assert_eq!(found_by(&daybook, "fen\"green"), 0);
}

#[test]
fn each_filter_leaves_what_it_says() {
    let (_folder, daybook, _all) = book(20);
    let open = Filter::default;
    let newest = Order::default();
    let left = |filter: Filter| minutes(&daybook, filter, newest).len();
    assert_eq!(left(open()), 20);
    assert_eq!(left(Filter { form: Some(FormChoice::None), ..open() }), 4);
    assert_eq!(left(Filter { form: Some(FormChoice::Is("mustard pot".into())), ..open() }), 5);
    assert_eq!(left(Filter { line: Some("Quoin".to_owned()), ..open() }), 16);
    assert_eq!(left(Filter { glaze: Some("Crème".to_owned()), ..open() }), 10, "the glaze of the body counts, not of the lid");
    assert_eq!(left(Filter { glaze: Some("Slate".to_owned()), ..open() }), 0);
    assert_eq!(left(Filter { mark: Some(String::new()), ..open() }), 0);
    assert_eq!(left(Filter { box_label: Some("7".to_owned()), ..open() }), 7);
    assert_eq!(left(Filter { status: Some(Status::Throw), ..open() }), 4);
    assert_eq!(left(Filter { standing: Some(Standing::Narrowing), ..open() }), 5);
    assert_eq!(left(Filter { doubtful: true, ..open() }), 5);
    assert_eq!(left(Filter { photographed: Some(true), ..open() }), 0);
    assert_eq!(left(Filter { photographed: Some(false), ..open() }), 20);
    let years = |from, to| Filter { made: Some(YearSpan { from, to }), ..open() };
    assert_eq!(left(years(None, Some(1954))), 5);
    assert_eq!(left(years(Some(1999), None)), 20, "an open end may be any year");
    assert_eq!(left(Filter { doubtful: true, status: Some(Status::Throw), search: "fair".to_owned(), ..open() }), 1);
}

#[test]
fn lists_are_sorted_by_every_column_and_pages_join_without_a_seam() {
    let (_folder, mut daybook, all) = book(20);
    let by = |by, way| minutes(&daybook, Filter::default(), Order { by, way });
    assert_eq!(by(Column::Found, Way::Down)[..3], [19, 18, 17]);
    assert_eq!(by(Column::Paid, Way::Up)[..3], [0, 1, 2], "by the amount, not by its first digit");
    assert_eq!(by(Column::Box, Way::Up)[..2], [18, 15], "of those alike the later stands first");
    assert_eq!(by(Column::Box, Way::Down)[0], 17, "box 14 after box 7");
    assert_eq!(by(Column::Sure, Way::Up)[0], 11, "several left and the least probable");
    for column in Column::ALL {
        for way in [Way::Up, Way::Down] {
            let question = Question { order: Some(Order { by: column, way }), ..Question::default() };
            let whole = daybook.ids(&question).unwrap();
            let (mut joined, mut place) = (Vec::new(), None);
            loop {
                let (finds, next) = daybook.page(&question, place.as_ref(), 6).unwrap();
                joined.extend(finds.into_iter().map(|find| find.unwrap().id));
                place = next;
                if place.is_none() {
                    break;
                }
            }
            assert_eq!(joined, whole, "{column:?} {way:?}");
        }
    }
    // What is taken out before the place where a page ended shifts nothing.
    let (first, place) = daybook.page(&Question::default(), None, 5).unwrap();
    daybook.remove(first[0].as_ref().unwrap().id, &at(0)).unwrap();
    let (second, _) = daybook.page(&Question::default(), place.as_ref(), 5).unwrap();
    assert_eq!(second[0].as_ref().unwrap().id, all[14].id);
}

#[test]
fn choices_are_counted_as_if_nothing_of_theirs_were_chosen() {
    let (_folder, daybook, _all) = book(20);
    let chosen = Filter { status: Some(Status::Keep), glaze: Some("Fen green".to_owned()), ..Filter::default() };
    let facets = daybook.facets(&chosen).unwrap();
    assert_eq!(facets.statuses.iter().map(|(_, finds)| *finds).collect::<Vec<_>>(), [2, 2, 2, 2, 2]);
    assert_eq!(facets.glazes.iter().map(|glaze| (glaze.name.as_str(), glaze.finds)).collect::<Vec<_>>(), [("Crème", 2), ("Fen green", 2)]);
    assert_eq!(facets.boxes.iter().map(|one| (one.name.as_str(), one.finds)).collect::<Vec<_>>(), [("0", 1), ("7", 1)]);
    assert_eq!((facets.doubtful, facets.no_form, facets.photographed), (0, 0, 0));
    let all = daybook.facets(&Filter::default()).unwrap();
    assert_eq!((all.doubtful, all.no_form), (5, 4));
    assert_eq!(all.forms.iter().map(|form| form.finds).sum::<u64>(), 20);
    assert!(all.forms.contains(&Facet { name: "mustard pot".to_owned(), id: "mustard pot".to_owned(), finds: 5 }), "{:?}", all.forms);
}

#[test]
fn a_box_is_told_by_its_pieces() {
    let (_folder, daybook, _all) = book(8);
    let tally = daybook.tally_of_box("7").unwrap();
    assert_eq!((tally.finds, tally.pieces), (3, 2 + 1 + 4));
    assert_eq!(tally.named, [("one-person casserole, Quoin".to_owned(), 6), (String::new(), 1)]);
    assert_eq!(daybook.tally_of_box("no such box").unwrap(), footring::daybook::BoxTally::default());
    assert_eq!(daybook.boxes().unwrap().iter().map(|one| one.pieces).sum::<u64>(), 20);
}

#[test]
fn many_finds_are_changed_in_one_step_and_taken_back_unless_changed_since() {
    let (_folder, mut daybook, all) = book(6);
    let ids: Vec<FindId> = all.iter().map(|find| find.id).collect();
    let done = daybook.change_many(&ids, &Bulk::Status(Status::Sell), &at(10)).unwrap();
    assert_eq!((done.changed.len(), done.passed_over.len()), (5, 0), "one was to be sold already");
    assert_eq!(daybook.how_many(&Filter { status: Some(Status::Sell), ..Filter::default() }).unwrap(), 6);
    // One is changed elsewhere before the step is taken back.
    let mut changed = daybook.find(ids[0]).unwrap().unwrap();
    changed.note = "a hairline".to_owned();
    daybook.change(&changed, &at(11)).unwrap();
    let back = daybook.take_back(&done.changed, &at(12)).unwrap();
    assert_eq!((back.changed.len(), back.passed_over.as_slice()), (4, &ids[..1]));
    for (find, id) in all.iter().zip(&ids).skip(1) {
        let now = daybook.find(*id).unwrap().unwrap();
        assert_eq!(Find { revision: find.revision, ..now }, *find);
    }
    let again = daybook.take_back(&back.changed, &at(13)).unwrap();
    assert_eq!(again.changed.len(), 4);
    assert_eq!(daybook.how_many(&Filter { status: Some(Status::Sell), ..Filter::default() }).unwrap(), 6);
    assert_eq!(daybook.history(ids[1]).unwrap().len(), 4, "put, sell, back, again");
    // All or none.
    let stranger = FindId::new();
    let refused = daybook.change_many(&[ids[1], stranger], &Bulk::Box("99".to_owned()), &at(14)).unwrap_err();
    assert_eq!(refused.to_string(), format!("there is no find '{stranger}' in the daybook"));
    assert_eq!(daybook.how_many(&Filter { box_label: Some("99".to_owned()), ..Filter::default() }).unwrap(), 0);
}

fn flaw(kind: &str, part: Part, size_mm: Option<f64>, note: &str) -> Flaw {
    let place = Some(Place { view: View::Underneath, across: 0.2, down: 0.4 });
    Flaw { kind: kind.to_owned(), part, place, size_mm, photograph: None, note: note.to_owned() }
}

/// Ten finds: two with a small chip (one of them out of the daybook), one with a large one and a hairline, one looked over, the others not.
fn worn() -> (tempfile::TempDir, Daybook, Vec<Find>) {
    let (folder, mut daybook, mut all) = book(10);
    let conditions = [
        (1, vec![flaw("chip", Part::Lid, Some(2.0), "")]),
        (2, vec![flaw("chip", Part::Foot, Some(9.0), ""), flaw("hairline", Part::Body, None, "runs to the handle")]),
        (3, vec![]),
        (4, vec![flaw("chip", Part::Lid, Some(2.0), "")]),
    ];
    for (n, flaws) in conditions {
        all[n].piece.condition = Condition { flaws, looked_over: true };
        all[n].revision = daybook.change(&all[n], &at(30)).unwrap();
    }
    daybook.remove(all[4].id, &at(31)).unwrap();
    (folder, daybook, all)
}

#[test]
fn condition_is_searched_for_by_kind_part_place_note_and_grade() {
    let (folder, daybook, all) = worn();
    let found = |daybook: &Daybook, words: &str| {
        let filter = Filter { search: words.to_owned(), ..Filter::default() };
        daybook.ids(&Question { filter, order: None }).unwrap()
    };
    assert_eq!(found(&daybook, "chip"), [all[2].id, all[1].id]);
    assert_eq!(found(&daybook, "chip lid"), [all[1].id]);
    assert_eq!(found(&daybook, "underneath runs to the handle"), [all[2].id]);
    assert_eq!(found(&daybook, "nothing found"), [all[3].id]);
    assert_eq!(found(&daybook, "used"), [all[1].id], "a grade");
    assert_eq!(found(&daybook, "poor fair"), [all[2].id], "a grade and the place it was found");
    assert_eq!(found(&daybook, "poor sedge nowhere"), []);
    // Other rules beside the daybook, and the same finds are of another grade.
    let rules =
        "[(id: \"used\", basis: Choice, entry: Grade(name: \"for the kitchen\", allows: [(kind: \"chip\"), (kind: \"hairline\")]))]";
    std::fs::write(folder.path().join("condition.ron"), rules).unwrap();
    let again = Daybook::open(folder.path()).unwrap();
    assert_eq!((found(&again, "kitchen").len(), found(&again, "poor").len()), (2, 0));
    let of = |grade: &str| again.how_many(&Filter { grade: Some(grade.to_owned()), ..Filter::default() }).unwrap();
    assert_eq!((of("used"), of("as-made"), of("")), (2, 1, 6));
}

#[test]
fn finds_are_narrowed_and_counted_by_grade() {
    let (_folder, daybook, all) = worn();
    let of = |grade: &str| Filter { grade: Some(grade.to_owned()), ..Filter::default() };
    assert_eq!(daybook.ids(&Question { filter: of("used"), order: None }).unwrap(), [all[1].id]);
    assert_eq!(daybook.how_many(&of("no such grade")).unwrap(), 0);
    let grades = |filter: &Filter| {
        let facets = daybook.facets(filter).unwrap();
        facets.grades.into_iter().map(|facet| (facet.name, facet.finds)).collect::<Vec<_>>()
    };
    let counted = |counts: &[(&str, u64)]| counts.iter().map(|(name, n)| ((*name).to_owned(), *n)).collect::<Vec<_>>();
    let all_of_them = counted(&[("as made", 1), ("used", 1), ("poor", 1), ("", 6)]);
    assert_eq!(grades(&Filter::default()), all_of_them, "best first, and those nobody looked over last");
    assert_eq!(grades(&of("used")), all_of_them, "counted as if none were chosen");
    assert_eq!(grades(&Filter { search: "poor".to_owned(), ..Filter::default() }), counted(&[("poor", 1)]));
}

#[test]
fn what_is_called_so_comes_before_what_only_mentions_it() {
    let (_folder, mut daybook, mut all) = book(9);
    // Newest first: 8 to 0; mustard pots are 2, 5 and 8.
    for (n, note) in [(7, "not a mustard pot"), (6, "mustardy smell")] {
        all[n].note = note.to_owned();
        daybook.change(&all[n], &at(30)).unwrap();
    }
    let searched = |words: &str, order: Option<Order>| {
        let filter = Filter { search: words.to_owned(), ..Filter::default() };
        let ids = daybook.ids(&Question { filter, order }).unwrap();
        ids.iter().map(|id| all.iter().position(|find| find.id == *id).unwrap()).collect::<Vec<_>>()
    };
    assert_eq!(searched("mustard", None), [8, 5, 2, 7, 6]);
    assert_eq!(searched("mustard", Some(Order::default())), [8, 7, 6, 5, 2], "an order that was chosen holds");
    assert_eq!(searched("7 fair", None)[..3], [7, 4, 1], "the box of that number before other words with a 7");
    let question = Question { filter: Filter { search: "mustard".to_owned(), ..Filter::default() }, order: None };
    let (first, place) = daybook.page(&question, None, 3).unwrap();
    let (second, _) = daybook.page(&question, place.as_ref(), 3).unwrap();
    let ids: Vec<FindId> = first.into_iter().chain(second).map(|find| find.unwrap().id).collect();
    assert_eq!(ids, daybook.ids(&question).unwrap(), "pages join without a seam");
}

fn changes() -> impl Strategy<Value = Bulk> {
    prop_oneof![
        "[a-c]{0,2}".prop_map(Bulk::Box),
        (0_usize..5).prop_map(|n| Bulk::Status(Status::ALL[n])),
        "[x-z ]{0,3}".prop_map(Bulk::PlaceFound),
        proptest::option::of("[f-h]{1,2}").prop_map(|form| Bulk::Form(form.map(|form| Named {
            form: form.as_str().into(),
            form_name: form.clone(),
            line_name: String::new()
        }))),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Whatever steps were made, taking them back in turn gives every find as it was, and doing them again as they were left; lists agree all along.
    #[test]
    fn steps_over_many_finds_are_taken_back_in_turn(steps in proptest::collection::vec((changes(), any::<u8>()), 1..6)) {
        let (_folder, mut daybook, all) = book(5);
        let mut made = Vec::new();
        for (change, which) in &steps {
            let ids: Vec<FindId> = all.iter().enumerate().filter(|(n, _)| which >> n & 1 == 1).map(|(_, find)| find.id).collect();
            made.push(daybook.change_many(&ids, change, &at(20)).unwrap().changed);
            for find in all.iter().map(|find| daybook.find(find.id).unwrap().unwrap()) {
                let same_box = Filter { box_label: Some(find.box_label.clone()), status: Some(find.record.status), ..Filter::default() };
                let listed = daybook.ids(&Question { filter: same_box, ..Question::default() }).unwrap();
                prop_assert!(listed.contains(&find.id), "{:?} is not listed", find.id);
            }
        }
        let at_the_end: Vec<Find> = all.iter().map(|find| daybook.find(find.id).unwrap().unwrap()).collect();
        let mut to_redo = Vec::new();
        for step in made.iter().rev() {
            let back = daybook.take_back(step, &at(21)).unwrap();
            prop_assert_eq!(back.passed_over, vec![]);
            to_redo.push(back.changed);
        }
        for find in &all {
            let now = daybook.find(find.id).unwrap().unwrap();
            prop_assert_eq!(&Find { revision: 1, ..now }, find);
        }
        for step in to_redo.iter().rev() {
            prop_assert_eq!(daybook.take_back(step, &at(22)).unwrap().passed_over, vec![]);
        }
        for find in &at_the_end {
            let now = daybook.find(find.id).unwrap().unwrap();
            prop_assert_eq!(&Find { revision: find.revision, ..now }, find);
        }
    }
}
