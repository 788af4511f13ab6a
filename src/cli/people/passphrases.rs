//! Passphrases at the command line.

use crate::cli::Stop;
use std::fs::File;
use std::io::{self, IsTerminal, Read, Write};
use zeroize::Zeroizing;

/// The longest line that is read as a passphrase, in bytes.
const LONGEST: usize = 4096;

/// Asks for passphrases, or reads them from a descriptor; never from an argument.
pub(in crate::cli) struct Passphrases {
    lines: Option<File>,
}

impl Passphrases {
    pub fn new(descriptor: Option<u32>) -> Result<Self, Stop> {
        let Some(descriptor) = descriptor else {
            return Ok(Self { lines: None });
        };
        let path = format!("/dev/fd/{descriptor}");
        let file = File::open(&path).map_err(|error| {
            Stop::unusable(
                format!("descriptor {descriptor} cannot be read: {error}"),
                "Open it in the shell, for example 3<file.",
            )
        })?;
        Ok(Self { lines: Some(file) })
    }

    pub fn next(&mut self, of: &str) -> Result<Zeroizing<String>, Stop> {
        if let Some(lines) = &mut self.lines {
            let line = line(lines).map_err(|error| Stop::unusable(error.to_string(), ""))?;
            return line.ok_or_else(|| {
                Stop::unusable(
                    format!("there is no line for the passphrase of {of}"),
                    "Give one line for each person.",
                )
            });
        }
        if !io::stdin().is_terminal() {
            return Err(Stop::unusable(
                format!("the passphrase of {of} cannot be asked for without a terminal"),
                "Use --passphrase-fd N.",
            ));
        }
        ask(of)
    }

    /// A new passphrase, which is typed twice where nobody sees it.
    pub fn new_for(&mut self, of: &str) -> Result<Zeroizing<String>, Stop> {
        let first = self.next(&format!("{of} (new)"))?;
        if self.lines.is_none() && *ask(&format!("{of} (new, once more)"))? != *first {
            return Err(Stop::unusable(
                "the two passphrases differ",
                "Nothing was changed. Try again.",
            ));
        }
        Ok(first)
    }
}

/// Asks at the terminal with the echo switched off.
fn ask(of: &str) -> Result<Zeroizing<String>, Stop> {
    eprint!("Passphrase of {of}: ");
    let _ = std::io::stderr().flush();
    let echo = |on: &str| std::process::Command::new("stty").arg(on).status();
    let hidden = echo("-echo").is_ok_and(|status| status.success());
    if !hidden {
        eprint!("(it will be visible) ");
    }
    let read = terminal().and_then(|mut terminal| line(&mut terminal));
    if hidden {
        let _ = echo("echo");
        eprintln!();
    }
    let read = read.map_err(|error| Stop::unusable(error.to_string(), ""))?;
    Ok(read.unwrap_or_default())
}

/// The terminal below standard input, whose buffer would keep what was typed.
#[cfg(unix)]
fn terminal() -> io::Result<File> {
    use std::os::fd::AsFd;
    Ok(io::stdin().as_fd().try_clone_to_owned()?.into())
}

#[cfg(not(unix))]
fn terminal() -> io::Result<File> {
    File::open("CONIN$")
}

/// A line without its end, or none at the end of the source. It is read byte by byte into one place, so that no other
/// holds a part of it.
fn line(source: &mut impl Read) -> io::Result<Option<Zeroizing<String>>> {
    let mut typed = Zeroizing::new(Vec::with_capacity(LONGEST));
    let mut byte = Zeroizing::new([0]);
    let mut ended = false;
    while !ended && typed.len() < LONGEST {
        match source.read(&mut *byte) {
            Ok(0) if typed.is_empty() => return Ok(None),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            read => {
                ended = read? == 0 || byte[0] == b'\n';
                typed.extend(byte.iter().filter(|_| !ended));
            }
        }
    }
    let fault = |what: &str| io::Error::new(io::ErrorKind::InvalidData, format!("the passphrase {what}"));
    if !ended {
        return Err(fault("has more than 4096 bytes"));
    }
    let text = std::str::from_utf8(&typed).map_err(|_| fault("is no UTF-8"))?;
    Ok(Some(Zeroizing::new(text.trim_end_matches('\r').to_owned())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_read_one_by_one() {
        let mut source = "brass ferrule\r\n\ngelbe Ölkanne".as_bytes();
        for expected in [Some("brass ferrule"), Some(""), Some("gelbe Ölkanne"), None] {
            let read = line(&mut source).expect("a line");
            assert_eq!(read.as_ref().map(|line| line.as_str()), expected);
        }
    }

    #[test]
    fn what_is_no_line_is_refused() {
        assert!(line(&mut &[0xff, b'\n'][..]).is_err());
        assert!(line(&mut vec![b'a'; LONGEST].as_slice()).is_err());
        let longest = [vec![b'a'; LONGEST - 1], vec![b'\n']].concat();
        assert!(line(&mut longest.as_slice()).is_ok());
    }
}
