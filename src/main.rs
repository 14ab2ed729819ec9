//! Footring.
fn main() {}
