//! Engineering calculators, one file each, and their registry.
