//! Photographs: those of a step, and those that a camera or a stick brought, to be taken into the record.

use super::album::{Album, ON_A_PAGE, Of};
use super::darkroom::{Darkroom, Shelf};
use super::desk::{Desk, Done, Overlay, Trouble};
use super::viewfinder;
use super::wired::Wired;
use super::{App, PhotoPage, PhotoRow, PhotosPage};
use crate::page::photos::{self, PhotoLine};
use crate::page::step::ReadingView;
use crate::player::Event;
use crate::procedure::StepRef;
use crate::say;
use crate::session::{Snap, snap};
use crate::words::Words;
use slint::{ComponentHandle, Image, SharedString};
use std::collections::HashMap;

/// Shows the list.
fn show_list(app: &App, album: &Album, desk: &Desk) {
    let (view, words) = (app.global::<PhotosPage>(), &desk.words);
    view.set_choosing(album.choosing);
    view.set_camera(album.choosing && desk.camera().is_some());
    view.set_title(title(album, words).into());
    view.set_says(says(album, desk).into());
    let rows = album.page().into_iter().map(|name| row(album, &name, desk));
    super::fill(view.get_rows(), super::list(rows.collect::<Vec<_>>()), |rows| {
        view.set_rows(rows)
    });
    let count = album.names().len();
    let last = (album.first + ON_A_PAGE).min(count);
    view.set_can_newer(album.first > 0);
    view.set_can_older(last < count);
    let place = if count > ON_A_PAGE {
        say!(
            words,
            "{first} to {last} of {count}",
            first = album.first + 1,
            last = last,
            count = count
        )
    } else {
        String::new()
    };
    view.set_place_text(place.into());
}

fn title(album: &Album, words: &Words) -> String {
    match (&album.of, album.choosing) {
        (Of::Reading { label, .. }, _) => label.clone(),
        (_, true) => say!(words, "Choose a photo"),
        (_, false) => say!(words, "Photos of this step"),
    }
}

/// Where the pictures come from, or why there are none.
fn says(album: &Album, desk: &Desk) -> String {
    let words = &desk.words;
    if !album.choosing {
        return match album.kept.is_empty() {
            true => say!(words, "The record holds no photo of this step yet."),
            false => String::new(),
        };
    }
    let session = desk.shop.session();
    let folder = session.map_or_else(String::new, |session| session.photos_from().display().to_string());
    match &album.looked {
        None => say!(words, "Looking into {folder}", folder = folder),
        Some(Err(why)) => say!(words, "No photo can be found: {why}", why = why),
        Some(Ok(())) if album.snaps.is_empty() => say!(
            words,
            "{folder} holds no photo yet. One that comes shows itself.",
            folder = folder
        ),
        Some(Ok(())) => say!(words, "From {folder}. A new one shows itself.", folder = folder),
    }
}

fn row(album: &Album, name: &str, desk: &Desk) -> PhotoRow {
    let printed = album.small.get(name);
    let (label, note) = told(album, name, desk);
    PhotoRow {
        key: name.into(),
        label: label.into(),
        note: note.into(),
        picture: printed
            .and_then(|printed| printed.clone().ok())
            .unwrap_or_default(),
        ready: printed.is_some(),
        fault: printed
            .and_then(|printed| printed.clone().err())
            .unwrap_or_default()
            .into(),
    }
}

/// What a picture is called, and what is known of it.
fn told(album: &Album, name: &str, desk: &Desk) -> (String, String) {
    let words = &desk.words;
    if let Some(line) = album
        .kept
        .iter()
        .find(|line| line.name == name)
        .filter(|_| !album.choosing)
    {
        let by = say!(words, "{at}, {name}", at = line.at, name = desk.name(&line.by));
        return (line.of.clone(), by);
    }
    let file = name.rsplit('/').next().unwrap_or(name).to_owned();
    let snap = album.snaps.iter().find(|snap| snap.name == name);
    (file, snap.map_or_else(String::new, |snap| when(snap, desk)))
}

/// When the file was written, by the clock of this tablet.
fn when(snap: &Snap, desk: &Desk) -> String {
    let at: chrono::DateTime<chrono::Utc> = snap.at.into();
    let offset = desk.shop.now().map(|now| *now.offset());
    offset.map_or_else(String::new, |offset| {
        at.with_timezone(&offset).format("%Y-%m-%d %H:%M").to_string()
    })
}

/// Shows the picture that is looked at.
fn show_one(app: &App, album: &Album, desk: &Desk) {
    let (view, words) = (app.global::<PhotoPage>(), &desk.words);
    let name = album.open.as_deref().unwrap_or_default();
    let (label, note) = told(album, name, desk);
    view.set_live(false);
    view.set_id(name.into());
    view.set_title(label.into());
    view.set_facts(super::lines(&facts(album, name, note, words)));
    view.set_fresh(album.fresh);
    view.set_can_take(album.choosing && matches!(album.large, Some(Ok(_))));
    view.set_choosing(album.choosing);
    view.set_shown(matches!(album.large, Some(Ok(_))));
    let picture = album
        .large
        .as_ref()
        .and_then(|large| large.as_ref().ok().cloned());
    view.set_picture(picture.unwrap_or_default());
    let broken = album
        .large
        .as_ref()
        .and_then(|large| large.as_ref().err().cloned());
    let fault = match album.fault.as_str() {
        "" => broken.unwrap_or_default(),
        fault => fault.to_owned(),
    };
    view.set_fault(fault.into());
}

fn facts(album: &Album, name: &str, note: String, words: &Words) -> Vec<String> {
    let mut facts = vec![note];
    if let Some(line) = album
        .kept
        .iter()
        .find(|line| line.name == name)
        .filter(|_| !album.choosing)
    {
        facts.push(say!(words, "Entry {n} of the record", n = line.entry));
        facts.push(say!(words, "Hash {hash} …", hash = line.hash));
    }
    if let Some(snap) = album
        .snaps
        .iter()
        .find(|snap| snap.name == name)
        .filter(|_| album.choosing)
    {
        facts.push(say!(words, "{n} kB", n = snap.bytes.div_ceil(1000)));
    }
    if let Some(Ok(picture)) = &album.large {
        let size = picture.size();
        facts.push(say!(
            words,
            "{width} by {height} pixels",
            width = size.width,
            height = size.height
        ));
    }
    facts
}

/// Lets the screen forget the pictures of a page that was left.
pub(super) fn clear(app: &App) {
    app.global::<PhotosPage>().set_rows(super::list(Vec::new()));
    app.global::<PhotoPage>().set_picture(Image::default());
}

/// Joins the pages' controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<PhotosPage>();
    view.on_open(desk.on_with(|desk, name: SharedString| desk.open_photo(&name)));
    view.on_add(desk.on(Desk::choose_photo));
    view.on_film(desk.on(Desk::film));
    view.on_turn(desk.on_with(|desk, older: bool| desk.turn_photos(older)));
    app.global::<PhotoPage>().on_take(desk.on(Desk::take_photo));
}

impl Desk {
    /// Shows the album: one picture large, or the list.
    pub(super) fn show_album(&self, app: &App, overlay: &Overlay) -> Done {
        let album = self.album.as_ref().ok_or_else(Trouble::moved_on)?;
        match overlay {
            Overlay::Photo if album.camera.is_some() => viewfinder::show(app, album, &self.words),
            Overlay::Photo => show_one(app, album, self),
            _ => show_list(app, album, self),
        }
        Ok(())
    }

    /// A reading that is a photograph is to be chosen.
    pub(super) fn photo_reading(&mut self, step: StepRef, reading: &ReadingView) -> Done {
        let of = Of::Reading {
            step,
            name: reading.name.clone(),
            label: reading.label.clone(),
        };
        self.open_album(of, true)
    }

    /// The photographs of a step, or of the deviation that is open at it; at once to the choice where there is none.
    pub(super) fn show_photos(&mut self, step: StepRef, deviation: Option<u64>) -> Done {
        let none = self.lines_of(&step).is_empty();
        self.open_album(Of::Step { step, deviation }, none)
    }

    fn lines_of(&self, step: &StepRef) -> Vec<PhotoLine> {
        let state = self.shop.state();
        state
            .map(|state| photos::of_step(state, step))
            .unwrap_or_default()
    }

    fn open_album(&mut self, of: Of, choosing: bool) -> Done {
        let session = self.shop.session().ok_or(Trouble::Writing)?;
        let shelf = if choosing {
            Shelf::Inbox(session.photos_from())
        } else {
            let kept = session.kept_photos().map_err(Trouble::from)?;
            Shelf::Kept(kept)
        };
        let kept = match &of {
            Of::Step { step, .. } => self.lines_of(step),
            Of::Reading { .. } => Vec::new(),
        };
        let mut album = Album {
            of,
            choosing,
            snaps: Vec::new(),
            kept,
            looked: None,
            first: 0,
            small: HashMap::new(),
            open: None,
            large: None,
            fresh: false,
            fault: String::new(),
            darkroom: Darkroom::open(shelf),
            camera: None,
        };
        album.turn();
        self.album = Some(album);
        if choosing && self.camera().is_some() {
            return self.film();
        }
        self.over(Overlay::Photos)
    }

    /// Another one is to be added.
    fn choose_photo(&mut self) -> Done {
        match &self.album {
            Some(album) => self.open_album(album.of.clone(), true),
            None => Ok(()),
        }
    }

    /// Older pictures, or newer ones.
    fn turn_photos(&mut self, older: bool) -> Done {
        if let Some(album) = &mut self.album {
            let other = if older {
                album.first + ON_A_PAGE
            } else {
                album.first.saturating_sub(ON_A_PAGE)
            };
            if other < album.names().len() {
                album.first = other;
                album.turn();
            }
        }
        self.refresh()
    }

    /// A picture is looked at.
    fn open_photo(&mut self, name: &str) -> Done {
        if let Some(album) = &mut self.album {
            album.open(name, false);
        }
        self.over(Overlay::Photo)
    }

    /// From the choice back to what the record holds, and from there to the step.
    pub(super) fn leave_photos(&mut self) -> Done {
        match &self.album {
            Some(album) if album.choosing && !album.kept.is_empty() => {
                let of = album.of.clone();
                self.open_album(of, false)
            }
            // The page is gone, and with it go its pictures.
            _ => self.refresh(),
        }
    }

    /// What came out of the darkroom is shown.
    pub(super) fn take_prints(&mut self) -> Done {
        let words = self.words.clone();
        let Some(album) = &mut self.album else {
            return Ok(());
        };
        let prints = album.darkroom.prints();
        if prints.is_empty() {
            return self.look_through();
        }
        let mut shows_itself = false;
        for print in prints {
            shows_itself |= album.take(print, &words);
        }
        if shows_itself {
            self.overlay = Some(Overlay::Photo);
        }
        self.refresh()
    }

    /// The picture on the screen is taken into the record.
    fn take_photo(&mut self) -> Done {
        let Some(album) = self.album.as_ref().filter(|album| album.choosing) else {
            return Ok(());
        };
        if album.camera.is_some() {
            return self.take_frame();
        }
        let (Some(name), of) = (album.open.clone(), album.of.clone()) else {
            return Ok(());
        };
        let folder = self.shop.session().ok_or(Trouble::Writing)?.photos_from();
        let to = of.clone();
        self.beside(
            move |session| {
                let bytes = snap(&folder, &name, crate::photo::MOST_BYTES as u64)?;
                let photo = session.attach(&bytes)?;
                session.act(event(to, photo))
            },
            move |desk, result| desk.photo_taken(of, result),
        )
    }

    pub(super) fn photo_taken(&mut self, of: Of, result: Result<(), Trouble>) -> Done {
        match (result, of) {
            (Ok(()), Of::Reading { .. }) => self.went_on(),
            (Ok(()), of) => self.open_album(of, false),
            (Err(trouble), _) => {
                let fault = trouble.says(&self.words);
                if let Some(album) = &mut self.album {
                    album.fault = fault;
                }
                self.refresh()
            }
        }
    }
}

pub(super) fn event(of: Of, photo: String) -> Event {
    match of {
        Of::Reading { step, name, .. } => Event::Read {
            step,
            name,
            typed: photo,
            instrument: None,
            live: None,
        },
        Of::Step { step, deviation } => Event::Photograph {
            step: Some(step),
            deviation,
            photo,
        },
    }
}
