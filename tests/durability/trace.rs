//! What a process did to the shop's folder, as strace saw it: every write with its bytes, every sync, every name.

use std::path::Path;
use std::process::{Command, Output};

use crate::job::Word;

/// The system calls that change the disk.
pub const CALLS: &str =
    "openat,write,pwrite64,writev,ftruncate,fsync,fdatasync,mkdir,rename,unlink,unlinkat,rmdir";

/// One change, in the order in which it was made. Paths are relative to the shop's folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Op {
    /// A new, empty file.
    Create(String),
    MakeFolder(String),
    /// At the file's end.
    Write(String, Vec<u8>),
    Cut(String, usize),
    Sync(String),
    Rename(String, String),
    Remove(String),
    /// Not to the disk: the process said that this entry is kept, and all before it.
    Acknowledge(Word),
}

/// Runs a command under strace with more options. Gives what it said and what strace saw.
pub fn strace(options: &[&str], log: &Path, command: &[&str]) -> Output {
    let mut strace = Command::new("strace");
    // Then only the calls that are asked for stop the process; but strace 6.1 sends it no signal.
    if !options.iter().any(|option| option.contains(":signal=")) {
        strace.arg("--seccomp-bpf");
    }
    strace
        .args(["-f", "-y", "-xx", "-s", "16777216", "-o"])
        .arg(log)
        .args(options)
        .args(command);
    strace.output().expect("strace must be installed")
}

/// `\x41\x42` as bytes.
fn unhex(text: &str) -> Vec<u8> {
    let digits = text.split("\\x").skip(1);
    digits
        .map(|two| u8::from_str_radix(&two[..2], 16).expect("hex digits"))
        .collect()
}

/// The texts between the marks `open` and `close`, decoded where they are hexadecimal.
fn quoted(line: &str, open: char, close: char) -> Vec<Vec<u8>> {
    let parts = line.split(open).skip(1).filter_map(|part| part.split_once(close));
    parts
        .map(|(text, _)| {
            if text.starts_with("\\x") {
                unhex(text)
            } else {
                text.as_bytes().to_vec()
            }
        })
        .collect()
}

fn texts(line: &str) -> Vec<Vec<u8>> {
    line.split('"').skip(1).step_by(2).map(unhex).collect()
}

fn inside(root: &Path, bytes: &[u8]) -> Option<String> {
    let path = Path::new(std::str::from_utf8(bytes).ok()?);
    let relative = path.strip_prefix(root).ok()?;
    Some(relative.to_str().expect("UTF-8").to_owned())
}

/// The call of a line and the file or folder inside `root` that it is about: that of its descriptor, or its first name.
pub fn about(line: &str, root: &Path) -> Option<(String, String)> {
    let (_, line) = line.split_once(' ')?;
    let (call, rest) = line.trim_start().split_once('(')?;
    let descriptor = quoted(rest, '<', '>').into_iter().next();
    let named = texts(rest).into_iter().next();
    let path = if matches!(call, "openat" | "mkdir" | "rename" | "unlink" | "rmdir") {
        named
    } else {
        descriptor
    };
    Some((call.to_owned(), inside(root, &path?)?))
}

/// The changes of the folder at `root` that succeeded and were not pretended, and what was acknowledged.
pub fn parse(log: &str, root: &Path) -> Vec<Op> {
    log.lines().filter_map(|line| op(line, root)).collect()
}

fn op(line: &str, root: &Path) -> Option<Op> {
    let (_, line) = line.split_once(' ')?;
    let (call, rest) = line.trim_start().split_once('(')?;
    let (_, result) = line.rsplit_once(" = ")?;
    if result.starts_with('-') || result.starts_with('?') || result.contains("INJECTED") {
        return None;
    }
    let fd = || quoted(rest, '<', '>').into_iter().next();
    let path = |at: usize| inside(root, texts(rest).get(at)?);
    match call {
        "openat" if rest.contains("O_CREAT") => {
            let path = path(0)?;
            // The lock's bytes are never written, and nobody needs it after a power cut.
            (rest.contains("O_EXCL")).then_some(Op::Create(path))
        }
        "mkdir" => Some(Op::MakeFolder(path(0)?)),
        "write" if rest.starts_with("1<") => {
            let said = String::from_utf8(texts(rest).remove(0)).ok()?;
            Some(Op::Acknowledge(Word::read(&said)?))
        }
        "write" => {
            let path = inside(root, &fd()?)?;
            let taken: usize = result.split(' ').next()?.parse().ok()?;
            let mut bytes = texts(rest).into_iter().next().unwrap_or_default();
            bytes.truncate(taken);
            Some(Op::Write(path, bytes))
        }
        "ftruncate" => {
            let len = rest.rsplit_once(", ")?.1.split(')').next()?.parse().ok()?;
            Some(Op::Cut(inside(root, &fd()?)?, len))
        }
        "fsync" | "fdatasync" => Some(Op::Sync(inside(root, &fd()?)?)),
        "rename" => Some(Op::Rename(path(0)?, path(1)?)),
        "unlink" | "rmdir" => Some(Op::Remove(path(0)?)),
        "unlinkat" => {
            let folder = inside(root, &fd()?)?;
            let name = String::from_utf8(texts(rest).remove(0)).ok()?;
            Some(Op::Remove(format!("{folder}/{name}")))
        }
        "openat" => None,
        other => panic!("{other} is not followed: {line}"),
    }
}
