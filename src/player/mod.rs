//! The state machine of a job.

pub mod event;
pub mod fact;
pub mod refusal;
