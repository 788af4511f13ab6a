//! The folder that a camera fills: what is new in it, and when it is whole.

use crate::scratch::Scratch;
use std::fs;
use std::path::Path;
use std::time::{Duration, SystemTime};
use witnessmark::disk::{Inbox, Kind, Look, Snap, snap};

const NONE: [&str; 0] = [];

fn write(folder: &Path, name: &str, bytes: usize, age: u64) {
    let path = folder.join(name);
    fs::create_dir_all(path.parent().expect("a folder")).expect("made");
    fs::write(&path, vec![7; bytes]).expect("written");
    let at = SystemTime::UNIX_EPOCH + Duration::from_secs(1_800_000_000 - age);
    let file = fs::File::options().write(true).open(&path).expect("opened");
    file.set_modified(at).expect("its time is set");
}

/// All names and the fresh ones, as they are told.
fn names(look: &Look) -> (Vec<String>, Vec<String>) {
    let of = |snaps: &[Snap]| snaps.iter().map(|snap| snap.name.clone()).collect();
    (of(&look.snaps), of(&look.fresh))
}

#[test]
fn pictures_are_found_newest_first_and_nothing_else() {
    let scratch = Scratch::new();
    let folder = scratch.path();
    write(folder, "a.jpg", 10, 300);
    write(folder, "DCIM/100WORKS/B.JPEG", 10, 100);
    write(folder, "c.PNG", 10, 200);
    write(folder, "notes.txt", 10, 1);
    write(folder, ".hidden.jpg", 10, 1);
    write(folder, ".trash/d.jpg", 10, 1);
    write(folder, "1/2/3/4/5/deep.jpg", 10, 1);
    #[cfg(unix)]
    std::os::unix::fs::symlink(folder.join("a.jpg"), folder.join("link.jpg")).expect("a link");
    let mut inbox = Inbox::new(folder);
    let look = inbox.look().expect("a look");
    let (all, fresh) = names(&look);
    assert_eq!(all, ["DCIM/100WORKS/B.JPEG", "c.PNG", "a.jpg"]);
    assert!(fresh.is_empty());
    assert_eq!(snap(folder, "a.jpg", 10).expect("read").len(), 10);
    assert_eq!(
        snap(folder, "a.jpg", 9).expect_err("too long").kind,
        Kind::TooLarge
    );
    assert_eq!(
        snap(folder, "link.jpg", 10).expect_err("a link").kind,
        Kind::NotPlain
    );
    assert_eq!(
        snap(folder, "gone.jpg", 10).expect_err("gone").kind,
        Kind::Missing
    );
}

#[test]
fn a_picture_is_fresh_once_it_is_whole() {
    let scratch = Scratch::new();
    let folder = scratch.path();
    write(folder, "old.jpg", 10, 300);
    let mut inbox = Inbox::new(folder);
    assert_eq!(names(&inbox.look().expect("a look")).1, NONE);
    let fresh = |inbox: &mut Inbox| names(&inbox.look().expect("a look")).1;
    write(folder, "new.jpg", 10, 200);
    assert_eq!(fresh(&mut inbox), NONE, "it may still be written");
    write(folder, "new.jpg", 20, 199);
    assert_eq!(fresh(&mut inbox), NONE, "it grew");
    assert_eq!(fresh(&mut inbox), ["new.jpg"]);
    assert_eq!(fresh(&mut inbox), NONE, "it is told once");
    write(folder, "empty.jpg", 0, 100);
    inbox.look().expect("a look");
    assert_eq!(fresh(&mut inbox), NONE, "nothing was written yet");
    // The camera counts from the beginning again, after the stick was emptied.
    fs::remove_file(folder.join("new.jpg")).expect("removed");
    inbox.look().expect("a look");
    write(folder, "new.jpg", 20, 199);
    inbox.look().expect("a look");
    assert_eq!(fresh(&mut inbox), ["new.jpg"]);
}

#[test]
fn a_folder_that_is_not_there_is_told_and_found_when_it_comes() {
    let scratch = Scratch::new();
    let folder = scratch.path().join("stick");
    let mut inbox = Inbox::new(&folder);
    assert_eq!(inbox.look().expect_err("no folder").kind, Kind::Missing);
    write(&folder, "a.jpg", 10, 1);
    assert_eq!(inbox.look().expect("a look").snaps.len(), 1);
}
