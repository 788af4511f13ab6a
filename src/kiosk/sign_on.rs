//! The first page: who works at the tablet.

use super::desk::{Desk, Done};
use super::shop::Wanted;
use super::wired::Wired;
use super::{App, Choice, SignOnPage, SignSheet};
use crate::to_say;
use slint::{ComponentHandle, SharedString};
use zeroize::Zeroizing;

/// How far somebody has come with signing on.
#[derive(Clone, Debug, Default)]
pub(super) struct Welcome {
    pub picked: Option<String>,
    pub fault: String,
}

/// Shows the names, or the passphrase of the one that was picked.
pub(super) fn show(app: &App, desk: &Desk) {
    let view = app.global::<SignOnPage>();
    let people = desk.shop.people_here();
    let nobody = to_say!("Nobody can sign on: no key in the roster is valid now. Use `witnessmark people`.");
    view.set_empty(desk.words.say(if people.is_empty() { nobody } else { "" }).into());
    super::fill(
        view.get_people(),
        super::list(people.iter().map(|person| Choice {
            key: person.id.as_str().into(),
            text: person.name.as_str().into(),
            note: person.roles_said(&desk.words).into(),
            enabled: true,
        })),
        |rows| view.set_people(rows),
    );
    let picked = desk.welcome.picked.as_deref().unwrap_or_default();
    view.set_person(picked.into());
    view.set_person_name(desk.name(picked).into());
    view.set_fault(desk.welcome.fault.as_str().into());
    show_wait(app, desk);
}

/// How long whoever was picked still waits after a wrong passphrase, here and on the sheet.
pub(super) fn show_wait(app: &App, desk: &Desk) {
    let wait = |id: Option<&String>| {
        let session = desk.shop.session();
        let left = id.and_then(|id| session.map(|session| session.wait(id)));
        left.map_or(0, |left| i32::try_from(left).unwrap_or(i32::MAX))
    };
    app.global::<SignOnPage>()
        .set_wait(wait(desk.welcome.picked.as_ref()));
    let signer = desk.sheet.as_ref().and_then(|sheet| sheet.signer.as_ref());
    app.global::<SignSheet>().set_wait(wait(signer));
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<SignOnPage>();
    view.on_pick(desk.on_with(|desk, id: SharedString| desk.pick_person(&id)));
    view.on_enter(desk.on(Desk::sign_on));
}

impl Desk {
    /// A name was picked.
    pub(super) fn pick_person(&mut self, id: &str) -> Done {
        self.app()?
            .global::<SignOnPage>()
            .set_passphrase(SharedString::new());
        self.welcome = Welcome {
            picked: Some(id.to_owned()),
            fault: String::new(),
        };
        self.refresh()
    }

    /// The passphrase was typed.
    pub(super) fn sign_on(&mut self) -> Done {
        let Some(id) = self.welcome.picked.clone() else {
            return Ok(());
        };
        let app = self.app()?;
        let view = app.global::<SignOnPage>();
        if view.get_wait() > 0 {
            return Ok(());
        }
        let secret = Zeroizing::new(view.get_passphrase().to_string());
        view.set_passphrase(SharedString::new());
        self.open_key(id, secret, Wanted::SignOn)
    }
}
