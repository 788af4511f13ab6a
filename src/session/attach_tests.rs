//! Photographs that come to a job.

use super::SessionError;
use super::tests::Stage;
use crate::photo::PhotoError;
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
