//! Putting house keys together: as it was, mine and theirs.
//!
//! [`join`] works on what three keys mean, [`file`] and `folders` on their texts too: the text of an entry that only one side changed is
//! taken from that side byte for byte, and everything around the entries stays as mine has it. What both sides changed, each otherwise, is a
//! [`Clash`]; which side is taken there is for a person to say ([`Choices`]), never for the program.

mod clash;
mod file;
mod folders;
mod join;
mod lists;
mod order;
pub(crate) mod pictures;
mod renames;
pub(crate) mod tree;

pub use clash::{At, Choices, Clash, Side, Step};
pub use file::{FileJoined, Versions, join_file};
pub use folders::{FoldersJoined, MergeError, join_folders};
pub(crate) use lists::{Counting, entries, join_about, same};
pub use lists::{Joined, join};
pub use pictures::OtherClash;
pub(crate) use renames::{ALIKE, known_again};
