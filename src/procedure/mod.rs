//! Checked procedures and the bands that judge a reading.

pub mod band;
mod condition;
pub mod model;
mod operand;
#[cfg(test)]
mod tests;
mod text;

pub use model::*;
