//! A finding about authored content, with its code frame.
