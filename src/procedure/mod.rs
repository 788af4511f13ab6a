//! Checked procedures and the bands that judge a reading.
//!
//! [`load`] takes the files of a content folder and gives a [`Library`], or every fault in them at once.
//! Content goes through three forms: the tree of [`crate::content`]; a draft, in which every word that a
//! check speaks about is marked with its place; and the model, which only checked content becomes.

pub mod band;
mod check;
pub mod circuit;
mod condition;
mod draft;
pub mod drawing;
mod drawn;
mod form;
pub mod guard_band;
mod implies;
pub mod language;
pub mod layout;
mod load;
mod meter_line;
mod method;
pub mod model;
mod operand;
pub mod picture;
pub mod plausible;
mod read;
mod register;
mod rules;
mod schema;
#[cfg(test)]
mod tests;
mod text;
pub mod uncertainty;
mod value;

pub use guard_band::GuardBand;
pub use load::{check, load};
pub use meter_line::MeterLine;
pub use model::*;
pub use register::{register, register_for};
pub use rules::{RULES, WRITING_RULES};
pub use schema::{schema_of, schemas};
pub use uncertainty::Uncertainty;
