//! The state machine of a job.
