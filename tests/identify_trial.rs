//! Keys tried by themselves: whole trials on small keys whose results are known, and on the demo key.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::float_cmp, reason = "tests")]

use footring::identify::trial::{Options, Report, Way, run};
use footring::identify::{Settings, trial};
use footring::key::{Feature, Form, FormId, Key, Record, builtin};
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

fn feature(id: &str, values: usize, slip: f64) -> Feature {
    let values: Vec<String> = (0..values).map(|v| format!("(id: \"v{v}\")")).collect();
    let text = format!("(id: \"{id}\", part: Body, view: Side, slip: {slip:?}, kind: Choice([{}]))", values.join(", "));
    ron::from_str(&text).unwrap()
}

fn measure(id: &str, slip: f64) -> Feature {
    ron::from_str(&format!("(id: \"{id}\", part: Body, view: Hand, slip: {slip:?}, kind: Measure((unit: Mm)))")).unwrap()
}

fn form(id: &str, features: &[(&str, Record)]) -> Form {
    let text = format!("(id: \"{id}\", name: \"{id}\", line: \"plain\", parts: [Body], shape: (body: [Corner(30, 0), Corner(40, 50)]))");
    let plain: Form = ron::from_str(&text).unwrap();
    Form { features: features.iter().map(|(id, record)| ((*id).into(), record.clone())).collect(), ..plain }
}

fn key(features: Vec<Feature>, forms: Vec<Form>) -> Key {
    let lines = vec![ron::from_str("(id: \"plain\", name: \"Plain\")").unwrap()];
    Key { features, forms, lines, ..Key::default() }
}

fn always(value: usize) -> Record {
    Record::Always(format!("v{value}").as_str().into())
}

/// Every piece is of the key, so that probabilities are about its forms alone.
const SURE_TO_BE_IN: Settings = Settings { not_in_key: 0.0, settled: 0.9, margin: 5.0, leaning: 0.5, rival: 100.0, tell: 3.0 };

fn tried(key: &Key, settings: Settings, options: Options) -> Report {
    run(key, settings, options, &|_, _| ControlFlow::Continue(())).unwrap()
}

fn by_the_book(pieces: usize, looks: usize) -> Options {
    Options { pieces, way: Way::AnyOrder { looks }, seed: 11, ..Options::for_forms(1) }.by_the_book()
}

#[test]
fn a_perfect_key_names_every_piece_and_scores_0() {
    let forms = (0..6).map(|n| form(&format!("form-{n}"), &[("rim", always(n))])).collect();
    let key = key(vec![feature("rim", 6, 0.0)], forms);
    let report = tried(&key, SURE_TO_BE_IN, by_the_book(40, 1));
    assert_eq!(report.pieces, 240);
    assert_eq!((report.first.share, report.first_three.share, report.first.high), (1.0, 1.0, 1.0));
    assert!(report.first.low > 0.98, "{:?}", report.first);
    assert_eq!((report.calibration.brier, report.calibration.log_loss_bits, report.calibration.expected_error), (0.0, 0.0, 0.0));
    // Nothing looked at: six forms as likely, 6 · 1/36 − 2/6 + 1 = 5/6, and log₂ 6.
    assert!((report.calibration.brier_blank - 5.0 / 6.0).abs() < 1e-12);
    assert!((report.calibration.log_loss_blank_bits - 6f64.log2()).abs() < 1e-12);
    assert_eq!((report.settled.share, report.settled_wrongly.share, report.called_strange.share), (1.0, 0.0, 0.0));
    assert!(report.confusions.is_empty() && report.pairs().is_empty());
    assert_eq!(report.line_taken_for, [[240]]);
    // One look at a feature with a value for each form tells all there is.
    assert!((report.looks.start_bits - 6f64.log2()).abs() < 1e-9 && report.looks.end_bits.abs() < 1e-9);
    assert!((report.looks.bound - 1.0).abs() < 0.01, "{:?}", report.looks);
}

#[test]
fn two_forms_that_are_the_same_are_right_half_the_time_and_taken_for_each_other() {
    let both = [("rim", always(0))];
    let key = key(vec![feature("rim", 2, 0.0)], vec![form("jug", &both), form("pot", &both)]);
    let report = tried(&key, SURE_TO_BE_IN, by_the_book(800, 1));
    // Ties are broken by lot: 1600 pieces, four standard errors of a coin.
    assert!((report.first.share - 0.5).abs() < 4.0 * (0.25f64 / 1600.0).sqrt(), "{:?}", report.first);
    assert_eq!(report.first_three.share, 1.0);
    assert_eq!(report.settled.share, 0.0, "nothing tells them apart");
    assert!((report.calibration.brier - 0.5).abs() < 1e-12 && (report.calibration.log_loss_bits - 1.0).abs() < 1e-12);
    let wrong: usize = report.forms.iter().map(|form| form.pieces - form.right).sum();
    assert_eq!(report.pairs(), [("jug".into(), "pot".into(), wrong)]);
    assert!(report.forms.iter().all(|form| (form.first.share - 0.5).abs() < 4.0 * (0.25f64 / 800.0).sqrt()), "{:?}", report.forms);
}

/// A key in which everything happens that the model has: slips, several values, ranges that overlap, what is not recorded, what does not apply.
fn mixed() -> Key {
    let mut dice = 7u64;
    let mut roll = |n: u64| {
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((dice >> 33) % n) as usize
    };
    let mut forms = Vec::new();
    for n in 0..12 {
        let lo = 80.0 + roll(40) as f64;
        let several =
            [(format!("v{}", roll(2)).as_str().into(), footring::key::Often::Usually), ("v2".into(), footring::key::Often::Sometimes)];
        let rim = match roll(4) {
            0 => Record::NotRecorded,
            1 => Record::DoesNotApply,
            2 => Record::Values(
                [("v0".into(), footring::key::Often::Times(3)), ("v1".into(), footring::key::Often::Times(1))].into_iter().collect(),
            ),
            _ => Record::Values(several.into_iter().collect()),
        };
        let mut form = form(
            &format!("form-{n:02}"),
            &[("rim", rim), ("foot", always(roll(4))), ("height", Record::Between(lo, lo + roll(8) as f64)), ("base", always(roll(2)))],
        );
        form.weight = 1.0 + roll(3) as f64;
        forms.push(form);
    }
    key(vec![feature("rim", 3, 0.05), feature("foot", 4, 0.1), measure("height", 0.03), feature("base", 2, 0.2)], forms)
}

#[test]
fn pieces_made_by_the_models_own_rules_are_as_probable_as_it_says() {
    let key = mixed();
    for looks in [1, 2, 4] {
        let report = tried(&key, SURE_TO_BE_IN, by_the_book(500, looks));
        // Shares are weighed by how common the forms are, 1 to 3 times: a piece counts at most w = 3 of the mean, so that the variance of a bin's
        // share is at most w · p (1 − p) / n. Four and a half standard errors, for some thirty bins.
        let mut seen = 0;
        for bin in report.calibration.bins.iter().filter(|bin| bin.pieces >= 30) {
            let error = (3.0 * bin.said * (1.0 - bin.said) / bin.pieces as f64).sqrt();
            assert!((bin.right - bin.said).abs() <= 4.5 * error + 1e-9, "{looks} looks: {bin:?}, standard error {error}");
            seen += bin.pieces;
        }
        assert!(seen > 5_500, "{looks} looks: only {seen} pieces stand in bins that are full enough");
        // The mean of what was said is the share that was right, and the expected score is that of the forecasts themselves.
        let said: f64 = report.calibration.bins.iter().map(|bin| bin.weight * bin.said).sum();
        assert!((said - report.first.share).abs() < 4.5 * (3.0 * 0.25f64 / 6_000.0).sqrt(), "{said} {:?}", report.first);
        assert!(report.calibration.brier < report.calibration.brier_blank);
        assert!(report.calibration.log_loss_bits < report.calibration.log_loss_blank_bits);
        // The entropy that is left is the expected log loss of an honest forecast: 6000 losses with a standard deviation below 2 bits.
        let apart = (report.calibration.log_loss_bits - report.looks.end_bits).abs();
        assert!(
            apart < 4.5 * 2.0 * (3.0 / 6_000.0f64).sqrt(),
            "{looks} looks: {} and {}",
            report.calibration.log_loss_bits,
            report.looks.end_bits
        );
    }
}

#[test]
fn probabilities_that_expect_fewer_slips_than_there_are_are_not_calibrated() {
    let key = mixed();
    let rough = Options { slips: 5.0, ..by_the_book(200, 4) };
    let report = tried(&key, SURE_TO_BE_IN, rough);
    let said: f64 = report.calibration.bins.iter().map(|bin| bin.weight * bin.said).sum();
    assert!(said > report.first.share + 0.1, "said {said}, right {:?}", report.first);
    assert!(report.calibration.expected_error > 0.1, "{}", report.calibration.expected_error);
}

#[test]
fn guided_looks_stop_when_the_name_is_settled_and_never_beat_the_bound() {
    let key = mixed();
    let any = tried(&key, SURE_TO_BE_IN, by_the_book(200, 4));
    let guided = tried(&key, SURE_TO_BE_IN, Options { way: Way::Guided { most: 4 }, ..by_the_book(200, 4) });
    assert!(guided.looks.mean < any.looks.mean, "{} of {}", guided.looks.mean, any.looks.mean);
    assert!(guided.looks.mean >= guided.looks.bound && guided.looks.bound > 0.0, "{:?}", guided.looks);
    assert!(guided.looks.median <= guided.looks.most_of_95 && guided.looks.most_of_95 <= 4);
    assert!(guided.looks.best_look_bits > 1.0 && guided.looks.best_look_bits < guided.looks.start_bits);
}

#[test]
fn one_seed_is_one_result_on_any_number_of_threads() {
    let key = mixed();
    let options = Options { pieces: 20, left_out: 3, way: Way::Guided { most: 5 }, ..Options::for_forms(12) };
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| tried(&key, Settings::default(), options))
    };
    let one = on(1);
    assert_eq!(one, on(3));
    let other = tried(&key, Settings::default(), Options { seed: 2, ..options });
    assert_ne!(one.forms, other.forms, "another seed makes other pieces");
}

#[test]
fn a_forms_pieces_stay_the_same_when_other_forms_come_and_go() {
    let mut key = mixed();
    let whole = tried(&key, SURE_TO_BE_IN, by_the_book(50, 4));
    // A form of which nothing is known, and so rare that it is never thought of: the others are named as before.
    key.forms.push(Form { weight: 1e-9, ..form("aaa", &[]) });
    let more = tried(&key, SURE_TO_BE_IN, by_the_book(50, 4));
    assert!(whole.forms.iter().all(|form| more.form(&form.form).unwrap().right == form.right));
    assert_eq!((more.forms.len(), more.form(&FormId::from("aaa")).unwrap().right), (13, 0));
}

#[test]
fn a_stranger_unlike_all_is_called_strange_and_a_twin_is_not() {
    let mut forms: Vec<Form> =
        (0..4).map(|n| form(&format!("form-{n}"), &[("a", always(n)), ("b", always(n)), ("c", always(n)), ("d", always(n))])).collect();
    let features = ["a", "b", "c", "d"].map(|id| feature(id, 5, 0.01)).to_vec();
    let options = Options { pieces: 50, left_out: 9, ..by_the_book(50, 4) };
    let report = tried(&key(features.clone(), forms.clone()), Settings::default(), options);
    let strangers = report.strangers.unwrap();
    assert_eq!((strangers.forms, strangers.pieces), (4, 200));
    assert!(strangers.called_strange.share > 0.95, "{strangers:?}");
    assert!(report.called_strange.share < 0.02, "{:?}", report.called_strange);
    // A twin of the last form: with one of the two left out, the other takes its name.
    forms.push(form("twin", &[("a", always(3)), ("b", always(3)), ("c", always(3)), ("d", always(3))]));
    let report = tried(&key(features, forms), Settings::default(), options);
    let strangers = report.strangers.unwrap();
    let taken: Vec<(&str, &str)> = strangers.taken_for.iter().take(2).map(|c| (c.form.as_str(), c.taken_for.as_str())).collect();
    assert!(taken.contains(&("form-3", "twin")) && taken.contains(&("twin", "form-3")), "{taken:?}");
}

#[test]
fn worn_marks_lost_lids_and_looks_that_cannot_be_told_cost_accuracy() {
    let demo = builtin::demo().key;
    let options = Options { pieces: 3, left_out: 0, way: Way::AnyOrder { looks: 8 }, seed: 3, ..Options::for_forms(82) };
    let book = tried(&demo, Settings::default(), options.by_the_book());
    let rough = tried(&demo, Settings::default(), Options { unread: 0.6, lost_lids: 1.0, worn: 1.0, ..options });
    assert!(rough.first.share < book.first.share - 0.1, "{:?} {:?}", rough.first, book.first);
    assert!(rough.looks.end_bits > book.looks.end_bits);
}

#[test]
fn the_demo_key_names_its_own_pieces() {
    let demo = builtin::demo().key;
    let options = Options { pieces: 4, left_out: 0, ..Options::for_forms(demo.forms.len()) };
    let report = tried(&demo, Settings::default(), options);
    assert_eq!(report.forms.len(), demo.forms.len());
    assert!(report.forms.windows(2).all(|pair| pair[0].form < pair[1].form));
    assert!(report.first.share > 0.9 && report.settled_wrongly.share < 0.05, "{:?} {:?}", report.first, report.settled_wrongly);
    assert!(report.called_strange.share < 0.05, "{:?}", report.called_strange);
    let rows: Vec<usize> = report.line_taken_for.iter().map(|row| row.iter().sum()).collect();
    assert_eq!(rows.iter().sum::<usize>(), report.pieces);
}

#[test]
fn a_trial_tells_how_far_it_is_and_can_be_stopped() {
    let key = mixed();
    let most = AtomicUsize::new(0);
    let done = run(&key, Settings::default(), Options { left_out: 2, ..by_the_book(10, 2) }, &|done, all| {
        assert_eq!(all, 140);
        most.fetch_max(done, Ordering::Relaxed);
        ControlFlow::Continue(())
    });
    assert!(done.is_some());
    assert_eq!(most.into_inner(), 140);
    assert_eq!(
        run(&key, Settings::default(), by_the_book(10, 2), &|done, _| if done > 5 {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }),
        None
    );
}

#[test]
fn a_key_without_forms_or_without_features_is_tried_all_the_same() {
    let empty = tried(&key(vec![], vec![]), Settings::default(), Options::for_forms(0));
    assert_eq!((empty.pieces, empty.forms.len(), empty.looks.bound), (0, 0, 0.0));
    assert_eq!((empty.first.share, empty.first.high), (0.0, 1.0));
    let blind =
        tried(&key(vec![], vec![form("jug", &[]), form("pot", &[])]), Settings::default(), Options { pieces: 10, ..Options::for_forms(2) });
    assert_eq!((blind.pieces, blind.looks.mean, blind.settled.share), (20, 0.0, 0.0));
    let one =
        tried(&key(vec![feature("rim", 1, 0.5)], vec![form("jug", &[("rim", always(0))])]), Settings::default(), Options::for_forms(1));
    assert_eq!((one.first.share, one.strangers), (1.0, None));
    assert!(trial::Share::of(0, 0).high == 1.0);
}
