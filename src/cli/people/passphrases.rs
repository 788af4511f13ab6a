//! Passphrases at the command line.

use crate::cli::Stop;
use std::io::{BufRead, IsTerminal, Write};
use zeroize::Zeroizing;

/// Asks for passphrases, or reads them from a descriptor; never from an argument.
pub(in crate::cli) struct Passphrases {
    lines: Option<std::io::Lines<std::io::BufReader<std::fs::File>>>,
}

impl Passphrases {
    pub fn new(descriptor: Option<u32>) -> Result<Self, Stop> {
        let Some(descriptor) = descriptor else {
            return Ok(Self { lines: None });
        };
        let path = format!("/dev/fd/{descriptor}");
        let file = std::fs::File::open(&path).map_err(|error| {
            Stop::unusable(
                format!("descriptor {descriptor} cannot be read: {error}"),
                "Open it in the shell, for example 3<file.",
            )
        })?;
        Ok(Self {
            lines: Some(std::io::BufReader::new(file).lines()),
        })
    }

    pub fn next(&mut self, of: &str) -> Result<Zeroizing<String>, Stop> {
        if let Some(lines) = &mut self.lines {
            let line = lines
                .next()
                .transpose()
                .map_err(|error| Stop::unusable(error.to_string(), ""))?;
            return line.map(Zeroizing::new).ok_or_else(|| {
                Stop::unusable(
                    format!("there is no line for the passphrase of {of}"),
                    "Give one line for each person.",
                )
            });
        }
        if !std::io::stdin().is_terminal() {
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
    let mut line = Zeroizing::new(String::new());
    let read = std::io::stdin().lock().read_line(&mut line);
    if hidden {
        let _ = echo("echo");
        eprintln!();
    }
    read.map_err(|error| Stop::unusable(error.to_string(), ""))?;
    Ok(Zeroizing::new(line.trim_end_matches(['\r', '\n']).to_owned()))
}
