//! Content that was not approved opens no job for proof.

use super::tests::{INES, Place, TOMASZ, content, expect_whole, plan, world};
use super::{Content, Session, SessionError, found};
use crate::disk::content_files;
use std::path::Path;

const PASSPHRASE: &str = super::tests::PASSPHRASE;

/// The content with a word changed in one of its files.
fn changed() -> Content {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/content/cut-out");
    let mut files = content_files(&root, 1_000_000).expect("content");
    files.remove("register/instruments.yaml");
    let text = String::from_utf8(files["procedures/box.yaml"].clone()).expect("text");
    let other = text.replace("Close the box over the switch.", "Leave the box off.");
    assert_ne!(text, other);
    files.insert("procedures/box.yaml".into(), other.into_bytes());
    Content::load(files).expect("whole content")
}

fn open(shop: &Place, content: Content, who: &str) -> Session {
    let mut session = Session::open(&shop.0, content, world()).expect("a shop");
    session.sign_on_with(who, PASSPHRASE).expect("signed on");
    session
}

fn refusal(session: &mut Session) -> String {
    let error = session.start("cut-out", false).expect_err("not approved");
    assert!(matches!(error, SessionError::NotApproved { .. }), "{error}");
    format!("{error} {}", error.hint())
}

#[test]
fn only_approved_content_opens_a_job_for_proof() {
    let (original, instruments) = content();
    let shop = Place::new();
    found(&shop.0, &plan(instruments), &original, &world()).expect("a shop");

    // What the root approved at the founding is opened by anyone.
    let mut session = open(&shop, original.clone(), INES);
    session.start("cut-out", false).expect("approved at the founding");
    drop(session);

    // A change closes it for proof, not for practice, and the sentence names the file.
    let mut session = open(&shop, changed(), INES);
    let said = refusal(&mut session);
    assert!(said.contains("procedures/box.yaml was altered"), "{said}");
    assert!(said.contains("witnessmark approve"), "{said}");
    session.start("cut-out", true).expect("practice");
    let reviewed = session.review().expect("a review").remove(0);
    assert_eq!(reviewed.approved, None);
    assert_eq!(reviewed.changes.map(|changes| changes.len()), Some(1));
    let error = session.approve(None).expect_err("an apprentice");
    assert!(matches!(error, SessionError::NoSupervisor(_)), "{error}");
    drop(session);

    // A supervisor approves it, and takes it back.
    let mut session = open(&shop, changed(), TOMASZ);
    assert_eq!(
        session.approve(Some("read through")).expect("approved"),
        ["cut-out"]
    );
    assert_eq!(session.approve(None).expect("nothing to do"), [""; 0]);
    session.start("cut-out", false).expect("approved");
    session
        .withdraw("cut-out", "the box is needed after all")
        .expect("withdrawn");
    let said = refusal(&mut session);
    assert!(said.contains("withdrawn: the box is needed after all"), "{said}");
    let error = session
        .withdraw("brakes", "no such job")
        .expect_err("none stands");
    assert!(matches!(error, SessionError::NoSuchApproval(_)), "{error}");
    // The withdrawal took back the last approval; the one before it stands.
    drop(session);
    let mut session = open(&shop, original, INES);
    session.start("cut-out", false).expect("still approved");
    expect_whole(&session, 0);
}

/// A shop from before there were approvals goes on, once a supervisor has approved its content.
#[test]
fn a_shop_without_approvals_refuses_until_there_is_one() {
    let (content, instruments) = content();
    let shop = Place::new();
    found(&shop.0, &plan(instruments), &content, &world()).expect("a shop");
    std::fs::remove_file(shop.0.join("approvals.jsonl")).expect("removed");
    std::fs::remove_dir_all(shop.0.join("approved")).expect("removed");
    let mut session = open(&shop, content, TOMASZ);
    let said = refusal(&mut session);
    assert!(said.contains("no supervisor has approved it"), "{said}");
    session.approve(None).expect("approved");
    session.start("cut-out", false).expect("opened");
    expect_whole(&session, 0);
}
