//! Checked procedures and the bands that judge a reading.

pub mod model;
pub use model::*;
