//! The Slint screen.
#![allow(unsafe_code)]
slint::include_modules!();
