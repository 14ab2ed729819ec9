//! The picture of a mark: round and oval marks unrolled, worn print made plain, pressed marks by raking light, pictures of marks compared, strips read by machine.
//!
//! [`unroll`] finds the ring of a mark (or takes it from two or three handles, [`Ring`]) and gives [`Strip`]s: the upper arc, the straight lines and the lower
//! arc, each upright and from left to right. A strip holds no pixels but where each of its own lies in the photograph, so that it can be taken from the
//! photograph and from any copy that [`enhanced`] made, over and over while somebody moves a slider. [`relief`] puts together pictures of a pressed mark lit
//! from several sides. [`rank`] says which of many pictures of marks is most like one. [`Reader`] asks a program that may be on this machine; what it reads is a
//! suggestion.
//!
//! Everything is a function of its arguments, the same on every run; what takes long has a [`Progress`](super::Progress) and can be stopped.

mod arcs;
mod compare;
mod contrast;
mod error;
mod find;
mod fourier;
mod ground;
mod lines;
mod plane;
mod raking;
mod read;
mod ring;
mod strip;
mod strokes;
mod unroll;

pub use compare::{Likeness, Look, compare, rank};
pub use contrast::{Contrast, Flatten, InkBy, Local, Tone, colours_near, enhanced};
pub use error::MarkError;
pub use find::{FoundRing, find_ring};
pub use raking::{Relief, Stack, StackError, relief};
pub use read::{HOW_TO_GET_A_READER, ReadError, ReadWord, Reader, Reading};
pub use ring::{ROUND_FROM, Ring, RingKind};
pub use strip::{Strip, StripPlace};
pub use unroll::{ArcsBy, MarkBy, UnrollOptions, Unrolled, UpBy, unroll};
