//! The kiosk driven as a person drives it: by what a screen reader would say, by touch, by drag and by keys.

// These tests keep files of their own: a workshop, and pictures.
#![allow(clippy::disallowed_methods)]

mod by_keys;
#[cfg(target_os = "linux")]
mod camera;
mod contrast;
mod desk;
mod focus;
mod hand;
mod job;
mod keys;
mod language;
mod letters;
mod live;
#[cfg(target_os = "linux")]
#[path = "../camera/simulated.rs"]
mod made_up;
mod motion;
mod photos;
mod pictures;
mod roles;
#[path = "../meter/simulated.rs"]
mod simulated;
mod small;
mod stripe;
mod targets;
mod text;
mod turned;
mod two_people;
mod walk;
mod workshop;
