//! Roster, roles and the validity of keys.
