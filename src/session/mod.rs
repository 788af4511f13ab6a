//! Clock, keys, and the one loop.
