//! Facts to entries and back.
