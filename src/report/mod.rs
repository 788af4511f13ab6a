//! Page model to PDF bytes.
