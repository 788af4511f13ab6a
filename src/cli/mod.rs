//! Subcommands and exit codes.
