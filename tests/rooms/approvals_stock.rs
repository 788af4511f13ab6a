//! Approvals of content as `tests/verify_record.sh` judges them with stock tools.

use crate::record_stock::{Tamper, cut, expect_refused};
use crate::second_verifier::agree;
use crate::shop::{self, INES, TOMASZ};
use crate::small_job::{self, Folder, State, content_hash};
use witnessmark::seal::{Digest, Namespace, digest};

const TAMPERS: &[Tamper] = &[
    (
        "approvals that are not the pinned ones",
        |folder| {
            drop(folder.insert(
                "approvals.jsonl".into(),
                approved(INES, content_hash(), false).bytes,
            ))
        },
        "the approval that entry 0 names is not part of it",
    ),
    (
        "an approval by an apprentice",
        |folder| *folder = opened_by(approved(INES, content_hash(), false), content_hash()),
        "ines.varga did not sign this for content-approval",
    ),
    (
        "an approval of other files",
        |folder| *folder = opened_by(approved(TOMASZ, digest(b"other"), false), digest(b"other")),
        "the files of entry 0 give",
    ),
    (
        "an approval of other files that is said to be of these",
        |folder| *folder = opened_by(approved(TOMASZ, digest(b"other"), false), content_hash()),
        "line 1 does not approve this job's content",
    ),
    (
        "a withdrawn approval",
        |folder| *folder = opened_by(approved(TOMASZ, content_hash(), true), content_hash()),
        "or it was withdrawn",
    ),
    (
        "a withdrawn approval whose withdrawal is left out",
        |folder| {
            *folder = opened_by(approved(TOMASZ, content_hash(), true), content_hash());
            cut(folder, "approvals.jsonl", 1);
        },
        "the approval that entry 0 names is not part of it",
    ),
    (
        "an approval that is not named",
        |folder| {
            let log = Some(approved(TOMASZ, content_hash(), false));
            *folder = small_job::folder_of(State::Closed, &small_job::Approved { log, pinned: None });
        },
        "entry 0 names no approval",
    ),
];

#[test]
fn the_second_verifier_refuses_them_too() {
    let twins = TAMPERS.iter().map(|(name, tamper, _)| {
        let mut folder = small_job::folder(State::Closed);
        tamper(&mut folder);
        ((*name).to_owned(), folder)
    });
    assert_eq!(agree(twins), 0);
}

#[test]
fn each_way_around_an_approval_is_refused_by_stock_tools() {
    expect_refused(TAMPERS);
}

fn approved(by: &str, content: Digest, withdrawn: bool) -> shop::Log {
    let mut log = shop::Log::new(Namespace::ContentApproval);
    log.approval("08:30:00", by, &shop::approve("nitrous-wet", 1, content));
    if withdrawn {
        log.approval("08:40:00", by, &shop::withdraw("nitrous-wet", content));
    }
    log
}

/// A folder whose opening names the first of these approvals, as one of `content`.
fn opened_by(log: shop::Log, content: Digest) -> Folder {
    let pinned = Some(shop::pinned(&log, 0, content));
    let log = Some(log);
    small_job::folder_of(State::Closed, &small_job::Approved { log, pinned })
}
