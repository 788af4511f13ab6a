//! Verifying a record: mathematics, roles, completeness, and every band recomputed.
