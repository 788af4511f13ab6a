//! The Slint screen: one file per adapter, each of which brings a page model to the screen and
//! the screen's callbacks to the desk.
//!
//! | file | what it joins |
//! | --- | --- |
//! | `place` | the page of what comes now |
//! | `headless` | the screen in memory, for pictures and tests |
//! | `fonts` | faces where none are installed |
#![allow(unsafe_code)]
#![allow(missing_docs)]

slint::include_modules!();

mod gauge;
mod hazard;

use slint::{ModelRc, SharedString, VecModel};
use std::rc::Rc;

/// A list as the screen takes it.
fn list<T: Clone + 'static>(items: impl IntoIterator<Item = T>) -> ModelRc<T> {
    ModelRc::from(Rc::new(VecModel::from_iter(items)))
}

/// Lines of text as the screen takes them.
fn lines(lines: &[String]) -> ModelRc<SharedString> {
    list(lines.iter().map(SharedString::from))
}
