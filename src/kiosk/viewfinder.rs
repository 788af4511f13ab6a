//! A camera at the tablet: its live picture on the page of one photograph, and the frame that is taken.
//!
//! What is taken is the frame that stands on the screen, never one that came after it and that nobody saw.

use super::album::{Album, image};
use super::desk::{Desk, Done, Overlay, Trouble};
use super::photos;
use super::{App, PhotoPage};
use crate::say;
use crate::session::{CameraError, Frame, Session, Watch};
use crate::words::Words;
use slint::{ComponentHandle, Image};
use std::sync::Arc;

/// The longest side of the live picture, in pixels.
const SIDE: u32 = 1_280;

/// A camera as the desk holds it; it is released when this is dropped.
pub(super) struct Viewfinder {
    path: String,
    watch: Watch,
    seen: Seen,
}

/// What stands on the screen.
enum Seen {
    /// The camera is being opened.
    Nothing,
    Live {
        frame: Arc<Frame>,
        picture: Image,
    },
    Fault(CameraError),
}

impl Viewfinder {
    fn open(path: String) -> Self {
        Self {
            watch: Watch::start(&path, SIDE),
            path,
            seen: Seen::Nothing,
        }
    }

    /// Takes what came since the last time, if anything did.
    fn look(&mut self) -> bool {
        match self.watch.look() {
            None => return false,
            Some(Ok(picture)) => {
                self.seen = Seen::Live {
                    picture: image(&picture.seen),
                    frame: Arc::new(picture.frame),
                }
            }
            Some(Err(error)) => self.seen = Seen::Fault(error),
        }
        true
    }
}

/// Shows the live picture, or why there is none.
pub(super) fn show(app: &App, album: &Album, words: &Words) {
    let Some(camera) = &album.camera else { return };
    let view = app.global::<PhotoPage>();
    view.set_id(camera.path.as_str().into());
    view.set_title(say!(words, "Camera").into());
    view.set_fresh(false);
    view.set_choosing(true);
    view.set_live(true);
    let (picture, fault) = match &camera.seen {
        Seen::Nothing => (None, String::new()),
        Seen::Live { picture, .. } => (Some(picture.clone()), String::new()),
        Seen::Fault(error) => (None, error.say(words)),
    };
    let fault = match album.fault.as_str() {
        "" => fault,
        fault => fault.to_owned(),
    };
    let live = picture.is_some() && fault.is_empty();
    let facts = live.then(|| say!(words, "Live from {path}", path = camera.path));
    view.set_facts(super::lines(facts.as_slice()));
    view.set_can_take(picture.is_some());
    view.set_shown(picture.is_some());
    view.set_picture(picture.unwrap_or_default());
    view.set_fault(fault.into());
}

impl Desk {
    /// The device of the camera that is chosen for this tablet.
    pub(super) fn camera(&self) -> Option<String> {
        let session = self.shop.session();
        session.and_then(Session::camera).map(ToOwned::to_owned)
    }

    /// Somebody looks through the camera from now on.
    pub(super) fn film(&mut self) -> Done {
        let path = self.camera().ok_or_else(Trouble::moved_on)?;
        if let Some(album) = &mut self.album {
            album.open = None;
            album.large = None;
            album.fault.clear();
            album.camera = Some(Viewfinder::open(path));
        }
        self.over(Overlay::Photo)
    }

    /// From one picture back to the list; a camera is released.
    pub(super) fn leave_photo(&mut self) -> Done {
        if let Some(album) = &mut self.album {
            album.camera = None;
        }
        self.over(Overlay::Photos)
    }

    /// Brings what the camera sees now to the screen.
    pub(super) fn look_through(&mut self) -> Done {
        let app = self.app()?;
        if let Some(album) = &mut self.album
            && album.camera.as_mut().is_some_and(Viewfinder::look)
            && matches!(self.overlay, Some(Overlay::Photo))
        {
            show(&app, album, &self.words);
        }
        Ok(())
    }

    /// The frame on the screen is taken into the record, by the same way as a picture's file.
    pub(super) fn take_frame(&mut self) -> Done {
        let Some(album) = &self.album else {
            return Ok(());
        };
        let Some(Seen::Live { frame, .. }) = album.camera.as_ref().map(|camera| &camera.seen) else {
            return Ok(());
        };
        let (frame, of) = (Arc::clone(frame), album.of.clone());
        let to = of.clone();
        self.beside(
            move |session| {
                let photo = session.attach(&frame.file()?)?;
                session.act(photos::event(to, photo))
            },
            move |desk, result| desk.photo_taken(of, result),
        )
    }
}
