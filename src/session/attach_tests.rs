//! Photographs that come to a job.
// Its photographs are altered by hand.
#![allow(clippy::disallowed_methods)]

use super::SessionError;
use super::tests::Stage;
use crate::audit::Report;
use crate::photo::PhotoError;
use crate::player::{Event, Refusal};
use crate::procedure::StepRef;
use crate::seal::digest;

fn photograph() -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let picture = image::RgbImage::from_pixel(30, 20, image::Rgb([90, 20, 20]));
    picture
        .write_to(&mut bytes, image::ImageFormat::Png)
        .expect("a PNG");
    bytes.into_inner()
}

#[test]
fn a_photograph_is_kept_under_the_name_of_its_bytes() {
    let stage = Stage::new(false);
    let shop = stage.copy();
    let mut session = stage.open(&shop.0).expect("a session");
    assert!(matches!(session.attach(&photograph()), Err(SessionError::NoJob)));
    session.start("cut-out", false).expect("a job");
    let name = session.attach(&photograph()).expect("kept");
    assert_eq!(session.attach(&photograph()).expect("kept again"), name);
    let folder = session.job().expect("a job").path().join("attachments");
    let held = crate::disk::Folder::open(&folder).expect("a folder");
    let bytes = held.bytes(&name, 1_000_000).expect("readable").expect("there");
    assert_eq!(name, format!("{}.jpg", digest(&bytes)));
    assert_eq!(held.names("", 10).expect("names"), [name]);
    let refused = session.attach(b"no picture").expect_err("refused");
    assert!(matches!(refused, SessionError::Photo(PhotoError::OtherFormat)));
    stage.play(&mut session, &mut 0).expect("a whole job");
    assert!(
        matches!(session.attach(&photograph()), Err(SessionError::NoJob)),
        "the job is closed"
    );
    let report = super::verify::verify(&shop.0, None).expect("verified");
    assert!(report.iter().all(|checked| checked.report.whole()));
}

/// A job with a photograph of the job as a whole: its session, its folder and the file's name.
fn with_photograph(
    stage: &Stage,
    shop: &super::tests::Place,
) -> (super::Session, std::path::PathBuf, String) {
    let mut session = stage.open(&shop.0).expect("a session");
    session.start("cut-out", false).expect("a job");
    let name = session.attach(&photograph()).expect("kept");
    let event = Event::Photograph {
        step: None,
        deviation: None,
        photo: name.clone(),
    };
    session.act(event).expect("it is written");
    let folder = session.job().expect("a job").path().to_owned();
    (session, folder, name)
}

fn step_ref(text: &str) -> StepRef {
    let (procedure, step) = text.split_once('.').expect("a full name");
    StepRef {
        procedure: procedure.into(),
        step: step.into(),
    }
}

fn faults(report: &Report) -> Vec<&'static str> {
    report.faults().map(|fault| fault.rule.as_str()).collect()
}

#[test]
fn an_added_photograph_is_held_by_the_record() {
    let stage = Stage::new(false);
    let shop = stage.copy();
    let (mut session, folder, name) = with_photograph(&stage, &shop);
    super::kept_photo(&folder.join("attachments"), &name).expect("readable and whole");
    stage.play(&mut session, &mut 0).expect("a whole job");
    let whole = |shop: &super::tests::Place| {
        let report = super::verify::verify(&shop.0, None).expect("verified");
        report
            .into_iter()
            .flat_map(|checked| faults(&checked.report))
            .collect::<Vec<_>>()
    };
    assert_eq!(whole(&shop), Vec::<&str>::new());
    #[cfg(feature = "certificate")]
    {
        let checked = super::verify::verify(&folder.join("certificate.pdf"), None).expect("verified");
        let remarks: Vec<_> = checked[0].report.remarks().map(|one| one.rule.as_str()).collect();
        assert_eq!(faults(&checked[0].report), Vec::<&str>::new());
        assert_eq!(
            remarks,
            ["attachment-elsewhere"],
            "the hash alone travels with it"
        );
    }
    let file = folder.join("attachments").join(&name);
    std::fs::write(&file, b"another picture").expect("written");
    assert_eq!(whole(&shop), ["attachment-altered"]);
    let altered = super::kept_photo(&folder.join("attachments"), &name).expect_err("altered");
    assert!(matches!(altered, SessionError::PhotoAltered(found) if found == name));
    std::fs::remove_file(&file).expect("removed");
    assert_eq!(whole(&shop), ["attachment-missing"]);
}

#[test]
fn what_is_no_photograph_and_what_is_not_there_is_refused() {
    let stage = Stage::new(false);
    let shop = stage.copy();
    let (mut session, _, name) = with_photograph(&stage, &shop);
    let mut refused = |step: Option<&str>, deviation, photo: &str| {
        let event = Event::Photograph {
            step: step.map(step_ref),
            deviation,
            photo: photo.to_owned(),
        };
        match session.act(event) {
            Err(SessionError::Refused(refusal)) => refusal,
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(refused(None, Some(7), &name), Refusal::NoDeviation(7));
    assert!(matches!(
        refused(Some("cut-out.nowhere"), None, &name),
        Refusal::NoStep(_)
    ));
    for wrong in [
        "",
        "P-0412.jpg",
        &name.to_uppercase(),
        &name.replace("jpg", "png"),
        &name[1..],
    ] {
        let said = refused(None, None, wrong).to_string();
        assert!(said.contains("taken or chosen, not typed"), "{said}");
    }
}
