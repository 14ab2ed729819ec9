//! From a picture to the outline of a turned piece, by what is alike on both sides of an upright line.
//!
//! The picture is laid out over the card's plane ([`raster`]). For an upright line in it every row of the piece reaches equally far to both sides:
//! what is seen of a solid of revolution is a row of ellipses whose middles lie on its axis. So of all outlines that are alike on both sides, the best is found exactly by
//! one pass over the rows ([`path`]): edges and colours of both sides speak for it, and a handle on one side can pull neither. The line itself is
//! searched for, and the colours of piece and surround are learnt from the best outlines found ([`search`]). Edges are then taken to a fraction of a
//! pixel in the photograph itself ([`edges`]).

mod colours;
mod doubt;
mod edges;
mod foot;
mod handles;
mod parts;
mod path;
mod raster;
mod rim;
mod run;
mod search;

pub(super) use doubt::doubt_px;
pub(super) use edges::{Edge, Leaning, Visible, along_outline, along_solid, visible};
pub(super) use foot::{other_feet, radius_at, with_best_foot};
pub(super) use handles::without_handles;
pub(super) use parts::parts;
pub(super) use raster::{Raster, Standing};
pub(super) use rim::{other_rims, with_best_rim};
pub(super) use run::{along_mouth, along_run};
pub(super) use search::{Silhouette, find, relearnt};
