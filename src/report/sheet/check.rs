//! What is attached, and how a stranger checks it with stock tools.

use super::compose::{Column, Composer, WIDTH, cell, columns, row, table_row};
use crate::page::certificate::Certificate;
use crate::report::Attachment;
use crate::report::ink::Ink;
use crate::report::row::{Behind, Keep};
use crate::report::text::Style;
use crate::say;
use crate::to_say;
use krilla::tagging::Tag;
use sha2::{Digest, Sha256};

/// What each group of commands shows, and the commands. `NAMESPACE` stands for what the record was signed for.
const COMMANDS: [(&str, &str); 4] = [
    (
        to_say!(
            "1. Take the files out of this certificate, and compare the last line's hash with the final hash on page 1."
        ),
        "mkdir evidence && cd evidence && pdfdetach -saveall ../certificate.pdf\n\
         tail -n 1 record.jsonl | tr -d '\\n' | sha256sum",
    ),
    (
        to_say!(
            "2. Check every signature and the chain. Nothing but the final hash is printed if all is well."
        ),
        "prev=$(printf '0%.0s' $(seq 64))\n\
         while IFS= read -r line; do\n\
         printf '%s' \"$line\" | jq -j .entry > entry\n\
         printf '%s' \"$line\" | jq -r .sig > entry.sig\n\
         by=$(jq -r .by entry); at=$(date -u -d \"$(jq -r .at entry)\" +%Y%m%d%H%M%SZ)\n\
         ssh-keygen -Y verify -f allowed_signers -I \"$by\" -n NAMESPACE -O verify-time=$at \\\n\
         -s entry.sig < entry > answer || echo \"BAD SIGNATURE in entry $(jq .n entry)\"\n\
         test \"$(jq -r .prev entry)\" = \"$prev\" || echo \"BROKEN CHAIN at entry $(jq .n entry)\"\n\
         prev=$(printf '%s' \"$line\" | sha256sum | cut -d ' ' -f 1)\n\
         done < record.jsonl; echo \"$prev\"",
    ),
    (
        to_say!(
            "3. Show the shop's ledger for this job, and the fingerprint of its root key. Compare both with page 1, and \
             the fingerprint with one that reached you by another way. A practice run is in no ledger."
        ),
        "test ! -e ledger-extract.jsonl || \\\n\
         jq -r '.entry | fromjson | \"\\(.kind) \\(.final_hash // .first_hash)\"' ledger-extract.jsonl\n\
         head -n 1 roster.jsonl | jq -r '.entry | fromjson | .key' | ssh-keygen -l -f -",
    ),
    (
        to_say!(
            "4. Check the authored content: each file is named by its own SHA-256, and entry 0 lists them all."
        ),
        "head -n 1 record.jsonl | jq -r '.entry | fromjson | .content[] | \"\\(.sha256)  \\(.path)\"'\n\
         sha256sum *.yaml",
    ),
];

/// The commands that the certificate prints for a record, each group with what it shows.
#[must_use]
pub fn commands(practice: bool) -> Vec<(&'static str, String)> {
    let namespace = if practice { "practice-record" } else { "job-record" };
    COMMANDS
        .iter()
        .map(|(says, commands)| (*says, commands.replace("NAMESPACE", namespace)))
        .collect()
}

/// The files that travel inside the certificate.
pub fn attached(to: &mut Composer<'_>, attachments: &[Attachment]) {
    let words = to.words.clone();
    to.heading(2, words.say("Files inside this certificate"));
    if attachments.is_empty() {
        to.paragraph(
            Style::BODY,
            words.say("None: the record stands in the shop's folder."),
        );
        return;
    }
    let [name, what, size] = columns([278.0, 165.0, 0.0]);
    let titles = [
        (name, words.say("Name and SHA-256")),
        (what, words.say("What it is")),
        (size, words.say("Bytes")),
    ];
    let table = to.table(&titles);
    // The record and its keys come first, then the files that are named by their content.
    let (named, hashed): (Vec<_>, Vec<_>) = attachments.iter().partition(|file| file.name.len() < 64);
    for attachment in named.into_iter().chain(hashed) {
        let line = to.line(&table);
        let hash: String = Sha256::digest(&attachment.bytes)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        let named = attachment.name.starts_with(&hash);
        let mut cell = to.name(line, 1, Style::FINE, &attachment.name, name);
        if !named {
            let place = cell.pieces.first().map_or(line, |piece| piece.place);
            cell.pieces
                .extend(to.text(place, Tag::P, Style::FINE, &hash, name.width));
        }
        let bytes = attachment.bytes.len().to_string();
        let cells = vec![
            cell,
            to.cell(line, 1, &[(Style::FINE, &attachment.description)], what),
            to.cell(line, 1, &[(Style::FINE, &bytes)], size),
        ];
        to.rows.push(table_row(&table, cells));
    }
}

/// The commands, to be copied.
pub fn how(to: &mut Composer<'_>, page: &Certificate) {
    let words = to.words.clone();
    to.heading(2, words.say("How to check the record without our program"));
    to.paragraph(
        Style::BODY,
        words.say(
            "What counts is the signed record inside this certificate, not the print: a sheet can be drawn by anyone. \
             Stock tools check it: a shell, poppler's pdfdetach, jq, sha256sum and OpenSSH's ssh-keygen. They check keys, \
             dates, signatures and order; roles, and that whoever released did not do the work, are read in the entries.",
        ),
    );
    for (says, commands) in commands(page.practice) {
        let pieces = to.text(to.part, Tag::P, Style::STRONG, words.say(says), WIDTH);
        let mut title = row(vec![cell(Column { x: 0.0, width: WIDTH }, pieces)]);
        title.before = 8.0;
        title.keep = Keep::Always;
        to.rows.push(title);
        let inner = Column {
            x: 10.0,
            width: WIDTH - 20.0,
        };
        let pieces = to.text(to.part, Tag::Code, Style::SMALL, &commands, inner.width);
        let mut code = row(vec![cell(inner, pieces)]);
        code.before = 3.0;
        code.pad = 4.0;
        code.behind = Behind::Ground(Ink::Ground);
        to.rows.push(code);
    }
    to.paragraph(
        Style::SOFT,
        &say!(
            words,
            "Made by {program}, from content revision {revision}.",
            program = page.program,
            revision = page.content_revision
        ),
    );
}
