//! Checked procedures and the bands that judge a reading.
