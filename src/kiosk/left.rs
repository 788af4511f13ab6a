//! What somebody left half done: typed and not yet entered. It is there again when the same person comes back to the
//! same place of the same job. It stays in memory alone; passphrases are never part of it.

use super::desk::{Desk, Done, Overlay};
use super::draft::Draft;
use super::finger::Finger;
use super::sign::Sheet;
use super::{CardPage, EntryKind, FieldKind, KeypadPage, SignSheet, place};
use slint::ComponentHandle;
use std::collections::BTreeMap;

/// What each person left, by their id.
pub(super) type LeftBehind = BTreeMap<String, Left>;

/// What one person left half done.
#[derive(Clone, Debug)]
pub(super) struct Left {
    /// Where it belongs; none where no job was open.
    at: Option<Spot>,
    overlay: Option<Overlay>,
    draft: Draft,
    finger: Finger,
    /// The open sheet with its words.
    sheet: Option<(Sheet, String)>,
}

/// A place in a job: the number, the page and the step.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Spot {
    number: String,
    page: String,
}

impl Desk {
    /// Keeps what is typed and not entered for the person who is about to be signed off.
    pub(super) fn leave_behind(&mut self) -> Done {
        let Some(id) = self.person_id() else {
            return Ok(());
        };
        let app = self.app()?;
        let overlay = match self.overlay.clone() {
            Some(Overlay::Settings(below)) => below.map(|below| *below),
            other => other,
        };
        let overlay = overlay
            .filter(|overlay| matches!(overlay, Overlay::Keypad(_) | Overlay::Card | Overlay::Calculators));
        let (mut draft, mut finger) = (self.draft.clone(), self.finger.clone());
        let keypad = app.global::<KeypadPage>();
        if matches!(overlay, Some(Overlay::Keypad(_))) && keypad.get_kind() == EntryKind::Text {
            draft.typed = keypad.get_typed().to_string();
        }
        let card = app.global::<CardPage>();
        if finger.asked.is_some() && card.get_field().kind == FieldKind::Text {
            finger.typed = card.get_typed().to_string();
        }
        // A question with nothing typed has nothing to lose: the whole card is shown again.
        if finger.typed.trim().is_empty() {
            finger = Finger::default();
        }
        let text = app.global::<SignSheet>().get_text().to_string();
        let sheet = self.sheet.clone().map(|sheet| (sheet, text));
        let at = self.spot();
        let left = Left {
            at,
            overlay,
            draft,
            finger,
            sheet,
        };
        self.left.insert(id, left);
        Ok(())
    }

    /// Puts what this person left behind on the screen again, where it belongs here.
    pub(super) fn take_up(&mut self) -> Done {
        let spot = self.spot();
        let here = |left: &Left| left.at == spot;
        let id = self.person_id().unwrap_or_default();
        if !self.left.get(&id).is_some_and(here) {
            return Ok(());
        }
        let Some(left) = self.left.remove(&id) else {
            return Ok(());
        };
        (self.overlay, self.draft, self.finger) = (left.overlay, left.draft, left.finger);
        if let Some((sheet, text)) = left.sheet {
            self.sheet = Some(sheet);
            self.app()?.global::<SignSheet>().set_text(text.into());
        }
        self.refresh()
    }

    /// Where the open job stands.
    fn spot(&self) -> Option<Spot> {
        let page = self.page().ok()?;
        let session = self.shop.session()?;
        Some(Spot {
            number: session.job()?.number().to_owned(),
            page: format!("{:?} {:?}", place::place(&page), session.current_step()),
        })
    }
}
