//! Cameras that Linux gives as Video4Linux devices.
//!
//! | file | noun |
//! | --- | --- |
//! | `frame` | one picture as a camera gave it |
//! | `size` | which of a camera's sizes is asked for |
//! | `device` | an open camera that gives one frame after the other |
//! | `watch` | a camera looked through beside the screen |
//! | `error` | why there is no picture, and one hint |
//!
//! A program that is built without the feature `camera`, or for another system, says so where one is chosen.
#![allow(clippy::disallowed_methods)]

#[cfg(all(feature = "camera", target_os = "linux"))]
mod device;
#[cfg(not(all(feature = "camera", target_os = "linux")))]
#[path = "no_device.rs"]
mod device;
mod error;
mod frame;
mod size;
mod watch;

pub use error::CameraError;
pub use frame::{Format, Frame};
pub use size::{Sizes, best};
pub use watch::{PATIENCE, Picture, Watch};
