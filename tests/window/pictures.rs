//! Pictures of the screens, to be looked at. One test a screen, both themes.

use super::desk::{LAPTOP, Table};
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::SnapshotResults;

/// Takes a picture in light and in dark, named for the screen.
fn both(name: &str, size: Vec2, mut prepare: impl FnMut(&mut Table)) {
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
