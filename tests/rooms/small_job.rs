//! A small job of the demonstration shop as the folder that a stranger gets: `tests/vectors/record/small`.
//!
//! It is as short as a record can be and proves little about a car; it is there to be verified and tampered with.

use std::collections::BTreeMap;

use witnessmark::audit::content_list;
use witnessmark::calc::Value;
use witnessmark::people::ledger::{JobClosed, JobOpened};
use witnessmark::people::{LedgerEntry, Roster};
use witnessmark::player::fact::{
    ApprovalPinned, Body, Fact, LimitsShown, Opening, PlannedProcedure, PlannedStep, ReadingTaken, Verdict,
    Wording,
};
use witnessmark::procedure::{ProcedureId, StepId, StepRef};
use witnessmark::quantity::{Quantity, Unit};
use witnessmark::record;
use witnessmark::seal::{Digest, Head, Namespace, digest};

use crate::shop::{self, INES, Log, TABLET, TOMASZ, id, label};

pub const JOB: &str = "2026-0001";
const TITLE: &str = "Fit and prove a Corvane 50 on a Larkfield Pell 1.8";
const PROCEDURE: &str = concat!(
    "procedure: rail-pressure\ntitle: Read the rail pressure\nrevision: 1\nsteps:\n",
    "  - id: idle\n    do: Read the rail pressure at idle.\n"
);

const PHOTO: &[u8] = b"not really a photograph";

/// Files by their path in the folder.
pub type Folder = BTreeMap<String, Vec<u8>>;

/// How far the job went.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum State {
    Open,
    Closed,
    Practice,
    /// Closed, and from before there were approvals.
    Old,
}

fn step() -> StepRef {
    StepRef {
        procedure: ProcedureId("rail-pressure".into()),
        step: StepId("idle".into()),
    }
}

fn content() -> Vec<(String, String)> {
    let hash = digest(PROCEDURE.as_bytes()).to_string();
    vec![("procedures/rail-pressure.yaml".into(), hash)]
}

/// Tomasz's approval of that one file.
pub fn approvals() -> Log {
    let mut log = Log::new(Namespace::ContentApproval);
    log.approval(
        "08:30:00",
        TOMASZ,
        &shop::approve("nitrous-wet", 1, content_hash()),
    );
    log
}

/// The hash of the list of that one file.
pub fn content_hash() -> Digest {
    content_list(&content()).expect("a list").hash()
}

/// The approvals beside a record, and the one that its opening names.
pub struct Approved {
    pub log: Option<Log>,
    pub pinned: Option<ApprovalPinned>,
}

fn approved(state: State) -> Approved {
    let log = matches!(state, State::Open | State::Closed).then(approvals);
    let pinned = log.as_ref().map(|log| shop::pinned(log, 0, content_hash()));
    Approved { log, pinned }
}

fn opening(state: State, approved: &Approved, roster: &Roster) -> Body {
    let head: Head = roster.head().expect("a root");
    Body::Opening(Opening {
        number: JOB.into(),
        job: "nitrous-wet".into(),
        title: TITLE.into(),
        revision: 1,
        practice: state == State::Practice,
        language: "en".into(),
        program: "witnessmark 0.1.0".into(),
        shop: roster.shop().into(),
        roster_head: head.hash.to_string(),
        roster_lines: roster.lines(),
        content: content(),
        approval: approved.pinned.clone(),
        caution:
            "An aid only: the makers' instructions, the local code and a licensed practitioner come first."
                .into(),
        // This record was written before there was a rule to name, and must be read for ever.
        decision: None,
    })
}

fn plan() -> Body {
    let readings = vec![("pressure".into(), "Rail pressure".into())];
    let command = "Read the rail pressure at idle.".into();
    let steps = vec![PlannedStep {
        step: step(),
        command,
        readings,
        hold: true,
        witness: false,
    }];
    let (procedure, title) = (
        ProcedureId("rail-pressure".into()),
        "Read the rail pressure".into(),
    );
    Body::Plan(vec![PlannedProcedure {
        procedure,
        title,
        revision: 1,
        steps,
    }])
}

fn bar(value: f64) -> Quantity {
    Quantity::new(value, Unit::find("bar").expect("a unit")).expect("a finite value")
}

fn reading() -> Body {
    let limits = LimitsShown {
        low: Some(bar(2.2)),
        high: Some(bar(4.0)),
        one_of: None,
        origin: "procedures/rail-pressure.yaml".into(),
        because: None,
        no_concession: None,
    };
    Body::Read(ReadingTaken {
        step: step(),
        name: "pressure".into(),
        label: "Rail pressure".into(),
        typed: "3,6 bar".into(),
        value: Value::Quantity(bar(3.6)),
        shown: "3.6 bar".into(),
        instrument: None,
        live: None,
        limits: Some(limits),
        guard_band: None,
        unjudged: None,
        verdict: Verdict::In,
        confirmed: false,
    })
}

fn done() -> Body {
    let wording = Wording {
        command: "Read the rail pressure at idle.".into(),
        why: "Later checks compare with it.".into(),
        right: "The gauge stands still.".into(),
        wrong: "The needle swings.".into(),
        hazards: vec![],
        tools: vec!["pressure gauge".into()],
        picture: None,
        callouts: vec!["The gauge".into()],
    };
    Body::Done {
        step: step(),
        wording,
    }
}

/// Time, author and body of each entry.
fn facts(state: State, approved: &Approved, roster: &Roster) -> Vec<(&'static str, &'static str, Body)> {
    let says = "The rail pressure suits the kit.".to_owned();
    let mut facts = vec![
        ("09:00:00", TABLET, opening(state, approved, roster)),
        ("09:01:00", TABLET, plan()),
        ("09:05:00", INES, reading()),
        ("09:06:00", INES, done()),
        (
            "09:07:00",
            INES,
            Body::Note {
                step: Some(step()),
                text: format!("{}.jpg", digest(PHOTO)),
            },
        ),
        (
            "09:09:00",
            TOMASZ,
            Body::Release {
                step: step(),
                says,
                covers: vec![2, 3, 4],
            },
        ),
    ];
    if matches!(state, State::Closed | State::Old) {
        let (mine, theirs) = (
            "I did this as it is written.".into(),
            "I checked this and release the car.".into(),
        );
        facts.push((
            "09:10:00",
            INES,
            Body::SignOff {
                statement: mine,
                covers: vec![2, 3, 4],
            },
        ));
        facts.push((
            "09:11:00",
            TOMASZ,
            Body::JobRelease {
                statement: theirs,
                covers: vec![2, 3, 4, 6],
            },
        ));
        facts.push(("09:11:30", TABLET, Body::Closing { entries: 9 }));
    }
    facts
}

pub fn record(state: State, roster: &Roster) -> Log {
    record_of(state, &approved(state), roster)
}

fn record_of(state: State, approved: &Approved, roster: &Roster) -> Log {
    let mut log = Log::new(record::namespace(state == State::Practice));
    for (time, by, body) in facts(state, approved, roster) {
        let link = log.link();
        let fact = Fact {
            n: link.n,
            at: shop::at(time),
            by: by.into(),
            body,
        };
        let text = record::write(&fact, link.prev, JOB).expect("an entry");
        log.add_text(text, by, by);
    }
    log
}

fn ledger(state: State, record: &Log) -> Log {
    let mut log = Log::new(Namespace::ShopLedger);
    let lines = record.lines();
    let (first_hash, final_hash) = (digest(&lines[0]), digest(&lines[lines.len() - 1]));
    let mut add = |time, entry: LedgerEntry| {
        let text = entry
            .text(log.link(), shop::at(time), &id(TABLET), JOB)
            .expect("an entry");
        log.add_text(text, TABLET, TABLET);
    };
    add(
        "09:00:00",
        LedgerEntry::Opened(JobOpened {
            title: label(TITLE),
            first_hash,
        }),
    );
    if matches!(state, State::Closed | State::Old) {
        add(
            "09:11:30",
            LedgerEntry::Closed(JobClosed {
                final_hash,
                entries: lines.len() as u64,
            }),
        );
    }
    log
}

/// The whole folder.
pub fn folder(state: State) -> Folder {
    folder_of(state, &approved(state))
}

/// The whole folder with other approvals.
pub fn folder_of(state: State, approved: &Approved) -> Folder {
    let people = shop::roster();
    let roster = Roster::replay(people.bytes.as_slice()).expect("a whole roster");
    let record = record_of(state, approved, &roster);
    let content = format!("content/{}.yaml", digest(PROCEDURE.as_bytes()));
    let mut folder = Folder::from([
        (
            "allowed_signers".into(),
            roster.to_allowed_signers().to_string().into_bytes(),
        ),
        ("roster.jsonl".into(), people.bytes),
        (format!("attachments/{}.jpg", digest(PHOTO)), PHOTO.to_vec()),
        (content, PROCEDURE.as_bytes().to_vec()),
    ]);
    if state != State::Practice {
        folder.insert("ledger-extract.jsonl".into(), ledger(state, &record).bytes);
    }
    if let Some(log) = &approved.log {
        folder.insert("approvals.jsonl".into(), log.bytes.clone());
    }
    folder.insert("record.jsonl".into(), record.bytes);
    folder
}
