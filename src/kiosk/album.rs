//! The pictures that the pages of photographs hold while they are open.

use super::darkroom::{Darkroom, Print};
use super::desk::Overlay;
use super::viewfinder::Viewfinder;
use crate::page::photos::PhotoLine;
use crate::photo::Seen;
use crate::procedure::StepRef;
use crate::session::Snap;
use crate::words::Words;
use slint::{Image, Rgb8Pixel, SharedPixelBuffer};
use std::collections::HashMap;

/// How many pictures stand on a page of the list.
pub(super) const ON_A_PAGE: usize = 8;

/// What a photograph is wanted for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Of {
    /// A reading of the step that asks for one.
    Reading {
        step: StepRef,
        name: String,
        label: String,
    },
    /// The step, or the deviation of it that is open.
    Step { step: StepRef, deviation: Option<u64> },
}

/// A picture as far as it is decoded.
pub(super) type Printed = Result<Image, String>;

/// The pages of photographs as the desk holds them; all of it goes when they are left.
pub(super) struct Album {
    pub of: Of,
    /// Pictures of the folder are chosen from; otherwise those that the record holds are looked at.
    pub choosing: bool,
    pub snaps: Vec<Snap>,
    pub kept: Vec<PhotoLine>,
    /// What is wrong with the folder; nothing before the first look.
    pub looked: Option<Result<(), String>>,
    pub first: usize,
    pub small: HashMap<String, Printed>,
    /// The picture that is looked at.
    pub open: Option<String>,
    pub large: Option<Printed>,
    /// It showed itself, as it had just come.
    pub fresh: bool,
    pub fault: String,
    pub darkroom: Darkroom,
    /// The camera, while somebody looks through it.
    pub camera: Option<Viewfinder>,
}

impl Overlay {
    /// Whether pictures stand there, or below the settings that lie there.
    pub(super) fn holds_album(&self) -> bool {
        match self {
            Self::Settings(below) => below.as_deref().is_some_and(Self::holds_album),
            open => matches!(open, Self::Photos | Self::Photo),
        }
    }
}

impl Album {
    pub fn names(&self) -> Vec<String> {
        if self.choosing {
            self.snaps.iter().map(|snap| snap.name.clone()).collect()
        } else {
            self.kept.iter().map(|line| line.name.clone()).collect()
        }
    }

    /// The names on this page of the list.
    pub fn page(&self) -> Vec<String> {
        self.names()
            .into_iter()
            .skip(self.first)
            .take(ON_A_PAGE)
            .collect()
    }

    /// Wants the pictures of this page, and lets go of all others.
    pub fn turn(&mut self) {
        let page = self.page();
        self.small.retain(|name, _| page.contains(name));
        let missing = page.into_iter().filter(|name| !self.small.contains_key(name));
        self.darkroom.small(missing.collect());
    }

    pub fn open(&mut self, name: &str, fresh: bool) {
        self.open = Some(name.to_owned());
        self.large = None;
        self.fresh = fresh;
        self.fault.clear();
        self.darkroom.large(name);
    }

    /// Takes what came out of the darkroom. Whether a picture shows itself now.
    pub fn take(&mut self, print: Print, words: &Words) -> bool {
        match print {
            Print::Looked(Ok(look)) => {
                self.looked = Some(Ok(()));
                let first = self.page().first().cloned();
                self.snaps = look.snaps;
                // Newer pictures push the older ones on; the page that is looked at stays.
                let place = first.filter(|_| self.first > 0);
                let place = place.and_then(|name| self.names().iter().position(|other| *other == name));
                self.first = place.unwrap_or_default() / ON_A_PAGE * ON_A_PAGE;
                // Whoever looks through the camera goes on looking.
                let fresh = look.fresh.first().filter(|_| self.camera.is_none());
                if let Some(snap) = fresh {
                    self.open(&snap.name, true);
                }
                self.turn();
                return fresh.is_some();
            }
            Print::Looked(Err(error)) => {
                self.looked = Some(Err(error.said(words)));
                self.snaps.clear();
                self.turn();
            }
            Print::Small(name, seen) => {
                if self.page().contains(&name) {
                    let printed = seen.map(|seen| image(&seen)).map_err(|error| error.said(words));
                    self.small.insert(name, printed);
                }
            }
            Print::Large(name, seen) => {
                if self.open.as_ref() == Some(&name) {
                    self.large = Some(seen.map(|seen| image(&seen)).map_err(|error| error.said(words)));
                }
            }
        }
        false
    }
}

pub(super) fn image(seen: &Seen) -> Image {
    Image::from_rgb8(SharedPixelBuffer::<Rgb8Pixel>::clone_from_slice(
        &seen.rgb,
        seen.width,
        seen.height,
    ))
}
