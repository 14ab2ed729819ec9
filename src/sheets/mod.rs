//! What leaves the program: lists.
