//! What a screen or a sheet shows, without drawing it.
