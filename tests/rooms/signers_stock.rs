//! A table of `allowed_signers` files, judged by our parser and by stock ssh-keygen.

use chrono::Utc;
use witnessmark::seal::{AllowedSigners, Namespace, Signers, SigningKey, instant, sign};

use crate::scratch::Scratch;

/// Who accepts a file as proof that `ines.varga` could sign for `job-record` on 2026-01-15 at noon.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Who {
    Both,
    Neither,
    /// Ours refuses on purpose what ssh-keygen takes.
    StockOnly,
}
use Who::{Both, Neither, StockOnly};

const NOON: &str = "20260115120000Z";

/// `KEY` stands for the signer's key, `OTHER` for another one.
const FILES: &[(Who, &str)] = &[
    (Both, "ines.varga KEY"),
    (Both, "ines.varga KEY a comment, and more"),
    (Both, "ines.varga   KEY"),
    (Both, "ines.varga\tKEY"),
    (Both, "# a comment\n\n   \ninesv OTHER\nines.varga KEY"),
    (Both, "ines.varga namespaces=\"job-record\" KEY"),
    (Both, "ines.varga namespaces=\"shop-ledger,job-record\" KEY"),
    (Both, "ines.varga namespaces=\"job-record\"   KEY"),
    (Both, "ines.varga valid-after=\"20260101000000Z\" KEY"),
    (Both, "ines.varga valid-before=\"20260201000000Z\" KEY"),
    (
        Both,
        "ines.varga valid-before=\"20260201000000Z\",valid-after=\"20260101000000Z\",namespaces=\"job-record\" KEY",
    ),
    // Both ends of a validity belong to it.
    (Both, "ines.varga valid-after=\"20260115120000Z\" KEY"),
    (Both, "ines.varga valid-before=\"20260115120000Z\" KEY"),
    (Neither, "ines.varga valid-after=\"20260115120001Z\" KEY"),
    (Neither, "ines.varga valid-before=\"20260115115959Z\" KEY"),
    // A key that changed, or may do different things at different times, has several lines.
    (Both, "ines.varga OTHER\nines.varga KEY"),
    (
        Both,
        "ines.varga valid-before=\"20260110000000Z\" KEY\nines.varga valid-after=\"20260110000000Z\" KEY",
    ),
    (
        Both,
        "ines.varga namespaces=\"shop-roster\" KEY\nines.varga namespaces=\"job-record\" KEY",
    ),
    (
        Neither,
        "ines.varga namespaces=\"shop-roster\" KEY\nines.varga valid-before=\"20260110000000Z\" KEY",
    ),
    (Neither, "ines.varga namespaces=\"practice-record\" KEY"),
    (Neither, "ines.varga OTHER"),
    (Neither, "tomasz.okafor KEY"),
    (Neither, "ines.varg KEY"),
    (Neither, ""),
    (Neither, "ines.varga"),
    (Neither, "ines.varga namespaces=\"job-record\""),
    (Neither, "ines.varga role=\"fitter\" KEY"),
    (
        Neither,
        "ines.varga namespaces=\"job-record\",role=\"fitter\" KEY",
    ),
    (Neither, "ines.varga namespaces=job-record KEY"),
    (Neither, "ines.varga namespaces=\"job-record KEY"),
    (
        Neither,
        "ines.varga namespaces=\"job-record\",namespaces=\"job-record\" KEY",
    ),
    (
        Neither,
        "ines.varga namespaces=\"job-record\" valid-after=\"20260101000000Z\" KEY",
    ),
    (
        Neither,
        "ines.varga valid-after=\"20260201000000Z\",valid-before=\"20260101000000Z\" KEY",
    ),
    (Neither, "ines.varga valid-after=\"yesterday\" KEY"),
    (Neither, "ines.varga valid-after=\"2026010100000Z\" KEY"),
    (Neither, "ines.varga valid-after=20260101000000Z KEY"),
    (Neither, "ines.varga ssh-ed25519 AAAA"),
    (Neither, "KEY"),
    // Patterns: one line would let anyone sign.
    (StockOnly, "* KEY"),
    (StockOnly, "ines.* KEY"),
    (StockOnly, "ines?varga KEY"),
    (StockOnly, "ines.varga,tomasz.okafor KEY"),
    (StockOnly, "*,!tomasz.okafor KEY"),
    (StockOnly, "\"ines.varga\" KEY"),
    (StockOnly, "ines.varga namespaces=\"*\" KEY"),
    (StockOnly, "ines.varga namespaces=\"job-*,!shop-roster\" KEY"),
    // Another spelling of the same thing, or dates that mean another moment in another place.
    (StockOnly, "ines.varga NAMESPACES=\"job-record\" KEY"),
    (StockOnly, "ines.varga namespaces=\"job-record,file\" KEY"),
    (StockOnly, "ines.varga valid-after=\"20260101\" KEY"),
    (StockOnly, "ines.varga valid-after=\"20260101000000\" KEY"),
    (StockOnly, "  ines.varga KEY"),
    // A fault anywhere refuses the whole file here; ssh-keygen passes over lines of others and bad ones.
    (
        StockOnly,
        "tomasz.okafor role=\"supervisor\" OTHER\nines.varga KEY",
    ),
    (StockOnly, "ines.varga role=\"fitter\" KEY\nines.varga KEY"),
    (StockOnly, "* OTHER\nines.varga KEY"),
    // A certificate authority's key vouches for others and does not sign itself.
    (Neither, "ines.varga cert-authority KEY"),
    (Neither, "ines.varga cert-authority,namespaces=\"job-record\" KEY"),
];

#[test]
fn ours_and_ssh_keygen_agree_except_where_ours_is_narrower() {
    let folder = Scratch::new();
    let (key, other) = (SigningKey::generate(&[7; 32]), SigningKey::generate(&[8; 32]));
    folder.write("sig", sign(&key, Namespace::JobRecord, b"message"));
    let mut wrong = Vec::new();
    for (who, text) in FILES {
        let text = text
            .replace("KEY", &key.public().to_string())
            .replace("OTHER", &other.public().to_string());
        let found = match (ours(&text, &key), stock(&folder, &text)) {
            (true, true) => Both,
            (false, false) => Neither,
            (false, true) => StockOnly,
            (true, false) => {
                wrong.push(format!("ours alone accepts {text:?}"));
                continue;
            }
        };
        if found != *who {
            wrong.push(format!("expected {who:?}, found {found:?}: {text:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn ours(text: &str, key: &SigningKey) -> bool {
    let Ok(file) = AllowedSigners::parse(text) else {
        return false;
    };
    let id = "ines.varga".parse().expect("an id");
    let at: chrono::DateTime<Utc> = instant::parse_utc(NOON).expect("a time");
    file.check(&id, key.public(), Namespace::JobRecord, at).is_ok()
}

fn stock(folder: &Scratch, text: &str) -> bool {
    folder.write("signers", text);
    let time = format!("verify-time={NOON}");
    let args = [
        "-Y",
        "verify",
        "-f",
        "signers",
        "-I",
        "ines.varga",
        "-n",
        "job-record",
        "-s",
        "sig",
        "-O",
        &time,
    ];
    folder.run("ssh-keygen", &args, b"message").status.success()
}
