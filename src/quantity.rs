//! A number with a unit known at run time.
