//! How long the window's own code takes for a frame, on a key of ten thousand forms: answering on the Bench, the other screens, scrolling and
//! typing; and on a daybook of a hundred thousand finds. The time is that of one frame's layout and painting lists on the processor, without the graphics card.
//!
//! `cargo bench --bench frames` prints the figures; `-- 2000x60` another size, `-- finds=5000` fewer finds. What they are stands in `benches/README.md`.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::print_stdout, reason = "a bench prints, and stops where it cannot go on")]

#[path = "common/big_key.rs"]
mod big_key;
#[path = "common/dice.rs"]
mod dice;
#[path = "common/finds.rs"]
mod finds;

use dice::Dice;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use footring::desk::app::Desk;
use footring::desk::command::{Command, Screen};
use footring::desk::{Footring, Start};
use footring::identify::{Measured, Observation, Seen, Sure};
use footring::key::{Form, Record};
use std::time::{Duration, Instant};

/// A window and the time each of its frames took.
struct Window {
    harness: Harness<'static, Footring>,
    took: Vec<f64>,
}

impl Window {
    /// One frame, its milliseconds kept.
    fn frame(&mut self) {
        let start = Instant::now();
        self.harness.step();
        self.took.push(start.elapsed().as_secs_f64() * 1e3);
    }

    /// Frames until nothing is asked for and no work is left; those in which only a job is waited for are not counted.
    fn settle(&mut self) {
        for _ in 0..2000 {
            let idle = self.harness.state().jobs.is_idle();
            if idle {
                self.frame();
                if self.harness.state().is_at_rest() {
                    return;
                }
            } else {
                std::thread::sleep(Duration::from_millis(2));
                self.harness.step();
            }
        }
    }

    fn ask(&mut self, command: Command) {
        self.harness.state_mut().ask(command);
        self.frame();
        self.frame();
    }

    fn key(&mut self, key: egui::Key) {
        self.harness.key_press(key);
        self.frame();
        self.frame();
    }

    /// Turns the wheel by so many points, up where it is above 0.
    fn scroll(&mut self, points: f32) {
        self.harness.event(egui::Event::MouseWheel {
            unit: egui::MouseWheelUnit::Point,
            delta: egui::vec2(0.0, points),
            phase: egui::TouchPhase::Move,
            source: egui::MouseWheelSource::Wheel,
            modifiers: egui::Modifiers::NONE,
        });
        self.frame();
    }

    /// Prints what was measured since the last time.
    fn say(&mut self, what: &str) {
        let mut took = std::mem::take(&mut self.took);
        took.sort_by(f64::total_cmp);
        let at = |share: f64| took.get(((took.len() - 1) as f64 * share).round() as usize).copied().unwrap_or_default();
        println!("{what:<44} {:>6} {:>9.2} {:>9.2} {:>9.2}", took.len(), at(0.5), at(0.99), at(1.0));
    }
}

/// What a person would say of a form's feature.
fn seen(form: &Form, feature: &footring::key::FeatureId) -> Option<Observation> {
    let seen = match form.features.get(feature)? {
        Record::Always(value) => Seen::Values(vec![value.clone()]),
        Record::Values(values) => Seen::Values(vec![values.keys().next()?.clone()]),
        Record::Between(from, to) => Seen::Measured(Measured { value: f64::midpoint(*from, *to), plus_minus: 2.0 }),
        _ => return None,
    };
    Some(Observation { feature: feature.clone(), seen, sure: Sure::Sure })
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    // As a test, once and small.
    let tiny = !args.iter().any(|arg| arg == "--bench");
    let size =
        args.iter().find(|arg| arg.contains('x') && !arg.contains('=')).map_or(if tiny { "300x12" } else { "10000x60" }, String::as_str);
    let (forms, features) = size.split_once('x').unwrap();
    let (forms, features): (usize, usize) = (forms.parse().unwrap(), features.parse().unwrap());
    let rounds = if tiny { 2 } else { 20 };
    let key = big_key::key(forms, features, 5);
    let models: Vec<Form> = key.forms.clone();
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("key");
    let bytes = big_key::write(&folder, &key).unwrap();
    let finds = args.iter().find_map(|arg| arg.strip_prefix("finds=")).map_or(if tiny { 300 } else { 100_000 }, |n| n.parse().unwrap());
    let start = Instant::now();
    finds::fill(&dir.path().join("data").join("daybook"), finds);
    println!("{finds} finds were put in in {:.0} s", start.elapsed().as_secs_f64());
    let desk = Desk::prepare(Start { key: Some(folder), data_dir: Some(dir.path().join("data")), ..Default::default() }).unwrap();
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 800.0))
        .with_max_steps(4)
        .with_context_setup(Footring::dress)
        .build_eframe(move |cc| Footring::new(&cc.egui_ctx, desk));
    let start = Instant::now();
    harness.step();
    let mut window = Window { harness, took: Vec::new() };
    println!("{size}, milliseconds of processor time a frame\n{:<44} {:>6} {:>9} {:>9} {:>9}", "", "frames", "median", "99 in 100", "most");
    while window.harness.state().opening.is_some() {
        window.frame();
        std::thread::sleep(Duration::from_millis(4));
    }
    window.say("while the key is opened");
    println!("  (the key, {:.1} MB, was there after {:.2} s)", bytes as f64 * 1e-6, start.elapsed().as_secs_f64());
    window.settle();
    window.took.clear();
    let mut dice = Dice::new(9);
    for _ in 0..rounds {
        let form = &models[dice.roll(models.len())];
        window.ask(Command::NewPiece);
        for _ in 0..8 {
            let looks = &window.harness.state().doc.standing.next_looks;
            let Some(said) = looks.iter().find_map(|look| seen(form, &look.feature)) else { break };
            window.ask(Command::See(said));
            window.frame();
        }
        window.key(egui::Key::Backspace);
        window.key(egui::Key::Enter);
        window.key(egui::Key::Escape);
    }
    window.say("the Bench, answering");
    for round in 0..rounds * 4 {
        window.harness.hover_at(egui::pos2(80.0 + (round * 53 % 1100) as f32, 640.0 - (round % 5) as f32 * 20.0));
        window.frame();
    }
    window.say("the Bench, the pointer over the shelf");
    window.ask(Command::Go(Screen::KeyBook));
    window.settle();
    window.say("the Key Book, opened");
    for round in 0..rounds * 4 {
        window.scroll(if round % 7 == 6 { 4000.0 } else { -900.0 });
    }
    window.say("the Key Book, scrolling");
    for n in 0..rounds.min(models.len()) {
        window.ask(Command::OpenForm(models[n * 7 % models.len()].id.clone()));
        window.settle();
    }
    window.say("the Key Book, sheets");
    for n in 0..rounds.min(models.len()) {
        let forms = (0..2).map(|m| models[(n * 11 + m * 3) % models.len()].id.clone()).collect();
        window.ask(Command::TellApart(forms));
        window.settle();
    }
    window.say("Tell Apart");
    window.ask(Command::Go(Screen::Bench));
    window.harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::F);
    window.frame();
    for letter in "covered sugar".chars() {
        window.harness.event(egui::Event::Text(letter.to_string()));
        window.frame();
        window.frame();
    }
    window.say("jump to a form by name, typing");
    window.key(egui::Key::Escape);
    window.ask(Command::Go(Screen::MarkDrawer));
    window.settle();
    window.say("the Mark Drawer, opened");
    window.ask(Command::Go(Screen::Daybook));
    window.settle();
    window.say(&format!("the Daybook of {finds} finds, opened"));
    the_daybook(&mut window, rounds);
}

/// Table and wall scrolled while finds come into sight, words typed, one find opened, all chosen. What is read, is read by jobs; frames go on meanwhile.
fn the_daybook(window: &mut Window, rounds: usize) {
    for (as_pictures, name) in [(false, "the Daybook's table, scrolling"), (true, "the Daybook's wall, scrolling")] {
        window.harness.state_mut().views.daybook.list.as_pictures = as_pictures;
        window.settle();
        window.took.clear();
        window.harness.hover_at(egui::pos2(400.0, 500.0));
        for round in 0..rounds * 10 {
            window.scroll(if round % 50 == 49 { 400_000.0 } else { -900.0 });
        }
        window.say(name);
    }
    window.harness.state_mut().views.daybook.list.as_pictures = false;
    window.settle();
    window.took.clear();
    window.harness.get_by_label("Search the daybook").focus();
    for words in ["cream casserole", "find 4242"] {
        for letter in words.chars() {
            window.harness.event(egui::Event::Text(letter.to_string()));
            (0..4).for_each(|_| window.frame());
        }
        window.settle();
        for _ in words.chars() {
            window.key(egui::Key::Backspace);
        }
        window.settle();
    }
    window.say("the Daybook, typing in its search");
    window.key(egui::Key::Escape);
    window.harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    for _ in 0..rounds {
        window.frame();
    }
    window.say("the Daybook, all finds chosen");
}
