//! Pictures of the screens, to be looked at. One test a screen, both themes.

use super::desk::{LAPTOP, Table};
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::SnapshotResults;

/// Takes a picture in light and in dark, named for the screen.
pub(crate) fn both(name: &str, size: Vec2, mut prepare: impl FnMut(&mut Table)) {
    let mut results = SnapshotResults::new();
    for (theme, shade) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        let mut table = Table::with(theme, size);
        prepare(&mut table);
        table.harness.remove_cursor();
        table.settle();
        results.add(table.harness.try_snapshot(format!("{name}_{shade}")));
    }
}

/// Five answers that leave the covered sugar and the one-person casserole of Quoin.
fn half_named(table: &mut Table) {
    for seen in ["body outline=chamfered", "handle=lug", "height=71±2", "mark=?ARROWBY QUOIN OVEN PR??F"] {
        table.see(seen);
    }
}

#[test]
fn bench() {
    both("bench", LAPTOP, |table| {
        half_named(table);
        table.key(Key::Enter);
    });
}

#[test]
fn bench_blank() {
    both("bench_blank", LAPTOP, |_table| {});
}

#[test]
fn bench_small() {
    both("bench_small", vec2(1024.0, 700.0), |table| {
        half_named(table);
        table.see("lid outline=oval");
    });
}

#[test]
fn bench_wide() {
    both("bench_wide", vec2(1920.0, 1080.0), half_named);
}

#[test]
fn key_book() {
    both("key_book", LAPTOP, |table| table.command(Key::Num3));
}

#[test]
fn key_book_sheet() {
    both("key_book_sheet", LAPTOP, |table| {
        table.harness.state_mut().ask(footring::desk::command::Command::OpenForm("quoin-casserole-one".into()));
        table.settle();
    });
}

#[test]
fn tell_apart() {
    both("tell_apart", LAPTOP, |table| {
        let forms = ["quoin-covered-sugar", "quoin-casserole-one"].map(footring::key::FormId::from).to_vec();
        table.harness.state_mut().ask(footring::desk::command::Command::TellApart(forms));
        table.settle();
    });
}

#[test]
fn tell_apart_three() {
    both("tell_apart_three", vec2(1024.0, 700.0), |table| {
        let forms = ["quoin-covered-sugar", "quoin-casserole-one", "stannard-casserole-one"].map(footring::key::FormId::from).to_vec();
        table.harness.state_mut().ask(footring::desk::command::Command::TellApart(forms));
        table.settle();
    });
}

#[test]
fn tell_apart_small() {
    both("tell_apart_small", vec2(640.0, 400.0), |table| {
        let forms = ["quoin-covered-sugar", "quoin-casserole-one"].map(footring::key::FormId::from).to_vec();
        table.harness.state_mut().ask(footring::desk::command::Command::TellApart(forms));
        table.settle();
    });
}

#[test]
fn tell_apart_alone() {
    both("tell_apart_alone", LAPTOP, |table| {
        let forms = ["quoin-covered-sugar", "quoin-casserole-one"].map(footring::key::FormId::from).to_vec();
        table.harness.state_mut().ask(footring::desk::command::Command::TellApart(forms));
        table.settle();
        table.click("By these alone");
    });
}

#[test]
fn tell_apart_alone_small() {
    both("tell_apart_alone_small", vec2(640.0, 400.0), |table| {
        table.harness.state_mut().ask(footring::desk::command::Command::TellApart(vec!["quoin-covered-sugar".into()]));
        table.settle();
    });
}

#[test]
fn help() {
    both("help", LAPTOP, |table| table.key(Key::F1));
}

#[test]
fn search() {
    both("search", LAPTOP, |table| {
        table.command(Key::F);
        table.type_text("coverd sugar");
    });
}

#[test]
fn bench_at_twice_the_size() {
    // 1280 × 800 pixels at 200 %: the parts of the Bench stand one above the other and scroll.
    both("bench_twice", vec2(640.0, 400.0), half_named);
}
