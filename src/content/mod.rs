//! YAML text to a tree in which every scalar knows its line and column.
