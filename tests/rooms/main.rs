//! Pure rooms and `disk`, from outside and against stock tools: one module a subject.
// Tests may touch files; the rooms they test may not.
#![allow(clippy::disallowed_methods)]

mod scratch;
mod seal_published;
mod seal_stock;
mod signers_stock;
