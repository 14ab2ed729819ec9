//! A decision sequence: one look after the other, the next chosen by what was seen, for a key on paper.
//!
//! Each step looks at one feature and branches by its value; a measure is cut in two where the forms leave a gap. A form that can have
//! several values goes down several branches, weighted by how often it has each; one of which nothing is recorded goes down all of them, as the
//! recorded ones do on average. Readings are taken to be right: paper can't forgive a slip. A path ends where one form is left, or where no look
//! would rule any form out.
//!
//! The greedy sequence takes the look of the most expected bits, by the effort where effort counts. The best possible one is found by dynamic
//! programming over what may be left (M. R. Garey, SIAM J. Appl. Math. 23, 1972, 173–186), which is for small keys only: its states grow as
//! the subsets of the forms. No sequence needs fewer looks, on average, than the Huffman code of the forms with as many branches as its widest
//! look has (D. A. Huffman, Proc. IRE 40, 1952), and that no fewer than the entropy over the logarithm of the branches.

mod bound;
mod cells;
mod grow;
mod steps;

pub use steps::{Choice, MOST_EXACT_FORMS, MOST_STEPS, Method, Sequence, SequenceAsk, SequenceError, Step, To};
