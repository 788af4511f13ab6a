//! The short job of `tests/vectors/content/cut-out`, the shop that does it, and what is done at each of its prompts.
//!
//! The session's own tests, those of the rooms and those of durability include this file.

use std::path::Path;

use witnessmark::disk::content_files;
use witnessmark::people::Role;
use witnessmark::player::{Event, Prompt};
use witnessmark::procedure::StepRef;
use witnessmark::seal::SigningKey;
use witnessmark::session::{Content, PersonPlan, Session, SessionError, ShopPlan};

pub const INES: &str = "ines.varga";
pub const TOMASZ: &str = "tomasz.okafor";
pub const PASSPHRASE: &str = "brass ferrule, twice";

/// A job that has one of everything, and the register of its shop.
pub fn content() -> (Content, String) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/content/cut-out");
    let mut files = content_files(&root, 1_000_000).expect("content");
    let register = files.remove("register/instruments.yaml").expect("a register");
    (
        Content::load(files).expect("whole content"),
        String::from_utf8(register).expect("text"),
    )
}

fn person(id: &str, name: &str, role: Role) -> PersonPlan {
    PersonPlan {
        id: id.into(),
        name: name.into(),
        roles: vec![role],
        passphrase: PASSPHRASE.to_owned().into(),
    }
}

/// Tomasz supervises, Ines works.
pub fn plan(instruments: String) -> ShopPlan {
    ShopPlan {
        shop: "Alder Quay Motor Works".into(),
        root: person(TOMASZ, "Tomasz Okafor", Role::Supervisor),
        people: vec![person(INES, "Ines Varga", Role::Apprentice)],
        instruments: Some(instruments),
    }
}

/// Does what the open job asks for now. Ines is signed on; this is Tomasz' key.
pub fn next(session: &mut Session, tomasz: &SigningKey) -> Result<(), SessionError> {
    let state = session.job().expect("a job").state();
    let failed_once = !state.deviations().is_empty();
    let supervisor = |session: &mut Session, event| session.act_with(TOMASZ, tomasz, event);
    match state.prompt() {
        Prompt::Card => accept(session),
        Prompt::Question(step) => session.act(Event::Answer { step, choice: 0 }),
        Prompt::Before(procedure) => session.act(Event::Begin { procedure }),
        Prompt::Hazards { step, .. } => session.act(Event::Acknowledge { step }),
        Prompt::Step { step, wants } => session.act(work(step, wants.first(), failed_once)),
        Prompt::Deviation(deviation) => {
            let reason = "The hose was loose.".to_owned();
            session.act(Event::MeasureAgain { deviation, reason })
        }
        Prompt::CloseOut(procedure) => session.act(Event::CloseOut { procedure }),
        Prompt::SignOff => session.act(Event::SignOff),
        Prompt::Witness(step) => supervisor(session, Event::Witness { step, attended: true }),
        Prompt::Hold(step) => supervisor(session, Event::Release { step }),
        Prompt::JobRelease => supervisor(session, Event::ReleaseJob),
        other => panic!("not expected: {other}"),
    }
}

/// Types the next answer of the card; false where all are typed.
pub fn type_one(session: &mut Session) -> Result<bool, SessionError> {
    let typed = session.job().expect("a job").typed();
    let missing = ANSWERS
        .iter()
        .find(|(group, field, _)| !typed.contains_key(&((*group).to_owned(), (*field).to_owned())));
    let Some((group, field, text)) = missing else {
        return Ok(false);
    };
    session.type_answer(group, field, text)?;
    Ok(true)
}

const ANSWERS: [(&str, &str, &str); 5] = [
    ("car", "name", "1999 Larkfield Pell 1.8"),
    ("car", "owner", "Ada Brandt"),
    ("fuel", "trip", "30 psi"),
    ("fuel", "reset", "33 psi"),
    ("fuel", "boxed", "yes"),
];

fn accept(session: &mut Session) -> Result<(), SessionError> {
    while type_one(session)? {}
    session.accept_card()
}

/// The first trip lies outside its band, all other readings inside theirs.
fn work(step: StepRef, wanted: Option<&String>, failed_once: bool) -> Event {
    let Some(name) = wanted else {
        return Event::Done { step };
    };
    let typed = match name.as_str() {
        "trip" if !failed_once => "36 psi",
        "trip" => "30 psi",
        "idle" => "3 bar",
        "clean" => "yes",
        _ => "Nothing.",
    };
    let instrument = matches!(name.as_str(), "trip" | "idle").then(|| "pg-3".to_owned());
    Event::Read {
        step,
        name: name.clone(),
        typed: typed.to_owned(),
        instrument,
        live: None,
    }
}
