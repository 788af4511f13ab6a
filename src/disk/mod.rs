//! Folders, logs and keys: the only room that touches files.
