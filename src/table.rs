//! Typed rows of wire, fuse, clamp, hose and fitting tables.
