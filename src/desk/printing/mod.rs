//! Printing: a preview of a sheet with the choice of paper, and saving it. Laying out, drawing and writing are jobs.

mod view;
mod work;

pub use view::{PrintingView, broke, poll, printing_ui, take_in};
pub use work::{Done, Order, Whose};
