//! The window, driven as a person drives it: by the names a screen reader says, and by keys.
#![expect(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

mod accessibility;
mod bench;
mod bench_mark;
mod big_key;
mod bring_in;
mod clash;
mod comfort;
mod dating;
mod daybook;
mod desk;
mod finds;
mod keeping;
mod key_book;
mod key_health;
mod key_lists;
mod key_pictures;
mod mark_drawer;
mod measuring;
mod measuring_more;
mod pairing;
mod papers;
mod photographs;
mod pictures;
mod printing;
mod reading;
#[path = "../common/staged.rs"]
#[expect(dead_code, reason = "other tests use the other cloths")]
mod staged;
mod tell_apart;
mod unsaved;
mod value_table;
mod walk_through;
