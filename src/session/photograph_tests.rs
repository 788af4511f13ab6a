//! The photographs of calibration certificates, from the shop's folder into a job.
// The shop of these tests is made by hand.
#![allow(clippy::disallowed_methods)]

use super::tests::{Stage, content, plan, world};
use super::{Session, SessionError, found};
use crate::player::fact::{Body, DecisionRule};

fn session(photograph: Option<&[u8]>) -> (Stage, Session) {
    let stage = Stage::new(true);
    let folder = &stage.shop.0;
    let text = std::fs::read_to_string(folder.join("instruments.yaml")).expect("a register");
    let named = text.replacen(
        "resolution: 1 psi",
        "resolution: 1 psi\n    certificate: pg-3.jpg",
        1,
    );
    std::fs::write(folder.join("instruments.yaml"), named).expect("written");
    if let Some(bytes) = photograph {
        std::fs::create_dir(folder.join("certificates")).expect("a folder");
        std::fs::write(folder.join("certificates/pg-3.jpg"), bytes).expect("written");
    }
    let session = stage.open(&stage.shop.0).expect("a session");
    (stage, session)
}

#[test]
fn a_photograph_is_pinned_with_the_register_and_read_back() {
    let (stage, mut session) = session(Some(b"a photograph"));
    let number = session.start("cut-out", true).expect("it opens");
    let opening = session
        .job()
        .expect("a job")
        .state()
        .opening()
        .expect("an opening")
        .clone();
    assert_eq!(opening.decision, Some(DecisionRule::GuardedAcceptance));
    let hash = crate::seal::digest(b"a photograph").to_string();
    let pinned = ("register/certificates/pg-3.jpg".to_owned(), hash.clone());
    assert!(opening.content.contains(&pinned));
    let stored = stage
        .shop
        .0
        .join("jobs")
        .join(&number)
        .join(format!("content/{hash}.jpg"));
    assert_eq!(std::fs::read(stored).expect("stored"), b"a photograph");
    session.leave_job();
    session.resume(&number).expect("it opens again");
    assert!(matches!(
        session
            .job()
            .expect("a job")
            .state()
            .facts()
            .get(0)
            .expect("a fact")
            .body,
        Body::Opening(_)
    ));
}

#[test]
fn a_photograph_that_is_named_and_not_there_stops_the_job_before_it_begins() {
    for (photograph, said) in [
        (None, "certificates/pg-3.jpg is not there"),
        (Some(vec![0; 2 * 1024 * 1024 + 1]), "certificates/pg-3.jpg"),
    ] {
        let (_stage, mut session) = session(photograph.as_deref());
        let error = session.start("cut-out", true).expect_err("it does not open");
        assert!(error.to_string().contains(said), "{error}");
        assert!(!error.hint().is_empty());
        assert!(session.job().is_none());
        let missing = matches!(error, SessionError::Photograph { .. });
        assert_eq!(missing, photograph.is_none());
    }
}

#[test]
fn a_register_with_faults_founds_no_shop() {
    let (content, text) = content();
    let wrong = text.replacen("resolution: 1 psi", "resolution: 1 psi\n    uncertainty: 1 V", 1);
    let place = super::tests::Place::new();
    let error = found(&place.0, &plan(wrong), &content, &world()).expect_err("no shop");
    assert!(matches!(error, SessionError::Instruments(_)), "{error}");
}
