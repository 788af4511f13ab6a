//! Files out of a certificate: a strict reader of exactly the structures that this program writes.
//!
//! A certificate that was changed since, by appending as the format allows, by encrypting or by packing its
//! objects anew, is refused rather than guessed at. Memory is bounded by the limits below, whatever the bytes say.

mod file;
mod lexer;

use super::ReportError;
use super::attach::{MOST_BYTES, plain};
use file::{File, fault};
use flate2::read::ZlibDecoder;
use lexer::{Dict, Object};
use std::collections::BTreeSet;
use std::io::Read;

/// The files inside a certificate: name and bytes, in the order of their names.
///
/// # Errors
/// The bytes are not a certificate as this program writes it, or hold more than a reader takes in.
pub fn attachments(pdf: &[u8]) -> Result<Vec<(String, Vec<u8>)>, ReportError> {
    let file = File::open(pdf)?;
    let mut seen = BTreeSet::new();
    let mut files = Vec::new();
    let mut left = MOST_BYTES;
    for (name, spec) in names(&file)? {
        if !seen.insert(name.clone()) {
            return Err(fault(
                format!("two attachments named `{name}`"),
                0,
                "each name once",
            ));
        }
        let bytes = unpacked(&file, &name, spec, left)?;
        left -= bytes.len();
        files.push((name, bytes));
    }
    Ok(files)
}

/// The name tree of embedded files, which is one flat list here.
fn names(file: &File<'_>) -> Result<Vec<(String, u32)>, ReportError> {
    let root = file.root()?;
    let Some(Object::Dict(names)) = root.get("Names") else {
        return Ok(Vec::new());
    };
    let Some(Object::Dict(embedded)) = names.get("EmbeddedFiles") else {
        return Ok(Vec::new());
    };
    let wrong = |what: &str| fault(what.to_owned(), 0, "a list of names and references");
    let Some(Object::Array(list)) = embedded.get("Names") else {
        return Err(wrong("embedded files without names"));
    };
    let pair = |pair: &[Object]| match pair {
        [Object::Text(name), Object::Reference(spec)] => {
            let name = String::from_utf8(name.clone()).ok().filter(|name| plain(name));
            name.map(|name| (name, *spec))
                .ok_or_else(|| wrong("a name that is no plain file name"))
        }
        _ => Err(wrong("something else")),
    };
    list.chunks(2).map(pair).collect()
}

fn unpacked(file: &File<'_>, name: &str, spec: u32, left: usize) -> Result<Vec<u8>, ReportError> {
    let spec = file.dict(spec)?;
    let wrong = |what: &str, expected| fault(format!("attachment `{name}` {what}"), 0, expected);
    let named = |key: &str| matches!(spec.get(key), Some(Object::Text(text)) if text == name.as_bytes());
    if !named("F") || !named("UF") {
        return Err(wrong("under another name", "one name in all places"));
    }
    let Some(Object::Dict(embedded)) = spec.get("EF") else {
        return Err(wrong("without a stream", "a reference to its stream"));
    };
    let (Some(Object::Reference(one)), Some(Object::Reference(other))) =
        (embedded.get("F"), embedded.get("UF"))
    else {
        return Err(wrong("without a stream", "a reference to its stream"));
    };
    if one != other {
        return Err(wrong("with two streams", "one stream"));
    }
    let (dict, packed) = file.stream(*one)?;
    let bytes = inflate(name, &dict, packed, left)?;
    let size = match dict.get("Params") {
        Some(Object::Dict(params)) => params.get("Size").cloned(),
        _ => None,
    };
    match size {
        Some(Object::Whole(size)) if usize::try_from(size) == Ok(bytes.len()) => Ok(bytes),
        _ => Err(wrong("of another size than it says", "its size in bytes")),
    }
}

fn inflate(name: &str, dict: &Dict, packed: &[u8], limit: usize) -> Result<Vec<u8>, ReportError> {
    let too_large = || ReportError::TooLarge {
        what: format!("attachment `{name}`"),
        limit,
    };
    let mut bytes = Vec::new();
    match dict.get("Filter") {
        None => bytes.extend_from_slice(packed.get(..=limit).unwrap_or(packed)),
        Some(Object::Name(filter)) if filter == "FlateDecode" && dict.get("DecodeParms").is_none() => {
            let damaged = |error: std::io::Error| ReportError::Damaged {
                name: name.to_owned(),
                why: error.to_string(),
            };
            let most = u64::try_from(limit).unwrap_or(u64::MAX).saturating_add(1);
            ZlibDecoder::new(packed)
                .take(most)
                .read_to_end(&mut bytes)
                .map_err(damaged)?;
        }
        Some(_) => {
            return Err(fault(
                format!("attachment `{name}` packed in another way"),
                0,
                "FlateDecode or nothing",
            ));
        }
    }
    if bytes.len() > limit {
        return Err(too_large());
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests;
