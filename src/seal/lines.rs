//! A reader over a file of lines that needs no more memory than one line.

use std::io::{self, BufRead, Read};

use super::digest::{Digest, Hasher, digest};
use super::line::{LineError, MAX_LINE_BYTES};

/// One line as it stands in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RawLine {
    /// The line's place in the file, from 1.
    pub number: u64,
    /// The bytes without the LF; cut to the limit when the line is longer.
    pub bytes: Vec<u8>,
    /// The SHA-256 of all bytes of the line without its LF, those that were cut off included.
    pub hash: Digest,
    /// All bytes of the line without its LF.
    pub len: u64,
    /// Whether an LF ended the line. Only the last line of a torn file has none.
    pub ended: bool,
}

impl RawLine {
    /// The bytes, when the line was short enough to be kept whole.
    ///
    /// # Errors
    /// The line is longer than the limit.
    pub fn whole(&self) -> Result<&[u8], LineError> {
        if self.len == self.bytes.len() as u64 {
            return Ok(&self.bytes);
        }
        Err(LineError::TooLong {
            len: usize::try_from(self.len).unwrap_or(usize::MAX),
            max: self.bytes.len(),
        })
    }
}

/// The lines of a file, in order.
pub struct Lines<R> {
    source: R,
    number: u64,
    max: usize,
}

impl<R: BufRead> Lines<R> {
    /// Reads lines of at most [`MAX_LINE_BYTES`].
    pub fn new(source: R) -> Lines<R> {
        Lines::with_limit(source, MAX_LINE_BYTES)
    }

    /// Reads lines of at most `max` bytes.
    pub fn with_limit(source: R, max: usize) -> Lines<R> {
        Lines {
            source,
            number: 0,
            max,
        }
    }

    /// The next line, or none at the end of the file.
    fn read(&mut self) -> io::Result<Option<RawLine>> {
        let mut bytes = Vec::new();
        let most = (self.max as u64).saturating_add(1);
        (&mut self.source).take(most).read_until(b'\n', &mut bytes)?;
        if bytes.is_empty() {
            return Ok(None);
        }
        self.number += 1;
        let ended = bytes.pop_if(|last| *last == b'\n').is_some();
        if ended || bytes.len() <= self.max {
            return Ok(Some(RawLine {
                number: self.number,
                hash: digest(&bytes),
                len: bytes.len() as u64,
                bytes,
                ended,
            }));
        }
        self.pass_over(bytes).map(Some)
    }

    /// The rest of a line that is too long to be kept: it is hashed all the same.
    fn pass_over(&mut self, mut bytes: Vec<u8>) -> io::Result<RawLine> {
        let (mut hasher, mut len) = (Hasher::new(), bytes.len() as u64);
        hasher.update(&bytes);
        bytes.truncate(self.max);
        let ended = loop {
            let piece = match self.source.fill_buf() {
                Ok(piece) => piece,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            let end = piece.iter().position(|byte| *byte == b'\n');
            let (part, at_end) = (&piece[..end.unwrap_or(piece.len())], piece.is_empty());
            hasher.update(part);
            len += part.len() as u64;
            let used = end.map_or(piece.len(), |at| at + 1);
            self.source.consume(used);
            if at_end || end.is_some() {
                break end.is_some();
            }
        };
        Ok(RawLine {
            number: self.number,
            bytes,
            hash: hasher.finish(),
            len,
            ended,
        })
    }
}

impl<R: BufRead> Iterator for Lines<R> {
    type Item = io::Result<RawLine>;

    fn next(&mut self) -> Option<io::Result<RawLine>> {
        self.read().transpose()
    }
}

#[cfg(test)]
mod tests {
    use std::io::BufReader;

    use super::*;
    use crate::seal::digest;

    fn read(bytes: &[u8], max: usize, buffer: usize) -> Vec<RawLine> {
        Lines::with_limit(BufReader::with_capacity(buffer, bytes), max)
            .map(|line| line.expect("no I/O"))
            .collect()
    }

    #[test]
    fn the_buffers_size_changes_nothing() {
        let bytes = b"one\n\ntwo and more\nlast";
        let expected: [(&[u8], bool); 4] = [
            (b"one", true),
            (b"", true),
            (b"two and more", true),
            (b"last", false),
        ];
        for buffer in 1..30 {
            let lines = read(bytes, 100, buffer);
            let found: Vec<_> = lines
                .iter()
                .map(|line| (line.bytes.as_slice(), line.ended))
                .collect();
            assert_eq!(found, expected, "buffer of {buffer}");
            assert!(
                lines
                    .iter()
                    .all(|line| line.hash == digest(&line.bytes) && line.whole().is_ok())
            );
            assert_eq!(
                lines.iter().map(|line| line.number).collect::<Vec<_>>(),
                [1, 2, 3, 4]
            );
        }
    }

    #[test]
    fn a_long_line_is_cut_but_hashed_whole() {
        let lines = read(b"abcdefgh\nij\n", 3, 2);
        assert_eq!(lines[0].bytes, b"abc");
        assert_eq!((lines[0].len, lines[0].hash), (8, digest(b"abcdefgh")));
        assert_eq!(lines[0].whole(), Err(LineError::TooLong { len: 8, max: 3 }));
        assert_eq!(lines[1].whole(), Ok(b"ij".as_slice()));
    }

    #[test]
    fn an_empty_file_has_no_lines() {
        assert!(read(b"", 10, 4).is_empty());
    }
}
