//! What the shop's folder takes and what it refuses.

use super::scratch::Scratch;
use std::fs;
use std::path::Path;
use witnessmark::audit::Files;
use witnessmark::disk::{Draft, Error, Folder, Kind, Shop};
use witnessmark::seal::digest;

fn kind<T: std::fmt::Debug>(result: Result<T, Error>) -> Kind {
    result.expect_err("refused").kind
}

fn shop(scratch: &Scratch) -> Shop {
    Shop::open(&scratch.path().join("a/b/shop")).expect("a shop").0
}

#[test]
fn a_job_number_never_leads_out_of_the_folder() {
    let scratch = Scratch::new();
    let shop = shop(&scratch);
    for bad in [
        "",
        ".",
        "..",
        "../x",
        "a/b",
        "/etc",
        ".new-1",
        "a\\b",
        "a b",
        "é",
        &"x".repeat(65),
    ] {
        assert_eq!(
            kind(shop.create_job(bad, &Draft::default())),
            Kind::BadName,
            "{bad:?}"
        );
        assert_eq!(kind(shop.job(bad)), Kind::BadName, "{bad:?}");
    }
    assert_eq!(kind(shop.job("2026-0001")), Kind::Missing);
}

#[test]
fn a_taken_number_is_not_taken_again() {
    let scratch = Scratch::new();
    let shop = shop(&scratch);
    let draft = |record: &str| Draft {
        record: record.into(),
        ..Draft::default()
    };
    let mut job = shop.create_job("2026-0001", &draft("first\n")).expect("a job");
    job.record().append(b"second\n").expect("a line");
    assert_eq!(
        kind(shop.create_job("2026-0001", &draft("other\n"))),
        Kind::Exists
    );
    let held = shop
        .folder()
        .bytes("jobs/2026-0001/record.jsonl", 100)
        .expect("readable");
    assert_eq!(held.as_deref(), Some(&b"first\nsecond\n"[..]));
    assert_eq!(shop.jobs().expect("jobs"), ["2026-0001"]);
}

/// A job's folder is held open while it is verified: what stands in it is the same, and refused for the same reasons.
#[cfg(unix)]
#[test]
fn a_folder_that_is_held_shows_what_the_way_to_it_shows() {
    use std::os::unix::fs::symlink;
    let scratch = Scratch::new();
    let job = scratch.path().join("jobs/2026-0001");
    fs::create_dir_all(job.join("content")).expect("folders");
    fs::write(job.join("record.jsonl"), "a line\n").expect("a file");
    symlink(job.join("record.jsonl"), job.join("roster.jsonl")).expect("a link");
    let made = std::process::Command::new("mkfifo")
        .arg(job.join("approvals.jsonl"))
        .status();
    assert!(made.expect("started").success());
    let folder = Folder::open(scratch.path()).expect("a folder");
    let held = folder.below("jobs/2026-0001").expect("a folder below");
    for name in [
        "record.jsonl",
        "roster.jsonl",
        "approvals.jsonl",
        "content",
        "personal.json",
        "../2026-0001/record.jsonl",
        "content/../record.jsonl",
        "",
    ] {
        let read = |files: &dyn Files, name: &str| {
            let mut bytes = Vec::new();
            let there = files.read(name, 100, &mut bytes);
            (there.map_err(|error| error.to_string()), bytes)
        };
        let by_way = read(&folder, &format!("jobs/2026-0001/{name}"));
        assert_eq!(read(&*held, name).0.is_ok(), by_way.0.is_ok(), "{name}");
        if !name.is_empty() && !name.contains("..") {
            assert_eq!(read(&*held, name), by_way, "{name}");
        }
    }
    assert!(held.read("record.jsonl", 6, &mut Vec::new()).is_err());
}

#[cfg(unix)]
#[test]
fn links_are_not_followed() {
    use std::os::unix::fs::symlink;
    let scratch = Scratch::new();
    let shop = shop(&scratch);
    let root = shop.folder().path().to_owned();
    let outside = scratch.write("outside", "secret");
    symlink(&outside, root.join("instruments.yaml")).expect("a link");
    assert_eq!(kind(shop.instruments()), Kind::NotPlain);
    assert_eq!(kind(shop.write_instruments("x")), Kind::NotPlain);
    symlink(scratch.path(), root.join("jobs/2026-0001")).expect("a link");
    assert_eq!(kind(shop.job("2026-0001")), Kind::NotPlain);
    assert_eq!(
        kind(shop.create_job("2026-0001", &Draft::default())),
        Kind::NotPlain
    );
    assert_eq!(fs::read_to_string(outside).expect("the file outside"), "secret");
}

#[cfg(unix)]
#[test]
fn what_is_private_is_for_its_user_alone() {
    use std::os::unix::fs::PermissionsExt;
    let scratch = Scratch::new();
    let shop = shop(&scratch);
    let id = "ines.varga".parse().expect("an id");
    let job = shop.create_job("2026-0001", &Draft::default()).expect("a job");
    for _ in 0..2 {
        shop.write_key(&id, "key").expect("a key");
        job.write_personal(&witnessmark::record::Personal::new())
            .expect("personal data");
    }
    let root = shop.folder().path();
    for (name, mode) in [
        ("", 0o700),
        ("keys", 0o700),
        ("keys/ines.varga", 0o600),
        ("jobs/2026-0001/personal.json", 0o600),
    ] {
        let found = fs::metadata(root.join(name)).expect("there").permissions().mode() & 0o777;
        assert_eq!(format!("{found:o}"), format!("{mode:o}"), "{name}");
    }
    assert_eq!(
        kind(shop.write_key(&".x".parse().expect("an id"), "key")),
        Kind::BadName
    );
}

#[test]
fn an_attachment_is_named_by_its_bytes() {
    let scratch = Scratch::new();
    let job = shop(&scratch)
        .create_job("2026-0001", &Draft::default())
        .expect("a job");
    let name = job.attach(b"a photo", "jpg").expect("kept");
    assert_eq!(name, format!("{}.jpg", digest(b"a photo")));
    assert_eq!(job.attach(b"a photo", "jpg").expect("kept again"), name);
    let path = format!("attachments/{name}");
    assert_eq!(
        job.folder().digest(&path).expect("readable"),
        Some(digest(b"a photo"))
    );
    for bad in ["", "JPG", "tar.gz", "../x", "verylongone"] {
        assert_eq!(kind(job.attach(b"a photo", bad)), Kind::BadName, "{bad:?}");
    }
}

#[test]
fn another_program_that_writes_to_the_record_is_noticed() {
    let scratch = Scratch::new();
    let shop = shop(&scratch);
    let mut job = shop.create_job("2026-0001", &Draft::default()).expect("a job");
    fs::write(
        shop.folder().path().join("jobs/2026-0001/record.jsonl"),
        "alien\n",
    )
    .expect("written");
    assert_eq!(kind(job.record().append(b"line\n")), Kind::Changed);
    assert_eq!(
        kind(shop.job("2026-0001").expect("again").record().append(b"half")),
        Kind::Damaged
    );
}

#[test]
fn a_reader_takes_no_more_than_it_was_told() {
    let scratch = Scratch::new();
    scratch.write("file", "12345");
    let folder = Folder::open(scratch.path()).expect("a folder");
    assert_eq!(
        folder.bytes("file", 5).expect("readable").as_deref(),
        Some(&b"12345"[..])
    );
    assert_eq!(kind(folder.bytes("file", 4)), Kind::TooLarge);
    assert_eq!(folder.bytes("none", 5).expect("none"), None);
    assert_eq!(kind(folder.bytes("../file", 5)), Kind::BadName);
    assert_eq!(kind(folder.names("", 0)), Kind::TooLarge);
    assert_eq!(kind(folder.reader("file/x")), Kind::NotPlain);
    assert_eq!(kind(Folder::open(&scratch.path().join("none"))), Kind::Missing);
    assert_eq!(
        kind(Folder::open(Path::new(&scratch.path().join("file")))),
        Kind::NotPlain
    );
}

/// Opening looks at the end of the file only, in pieces, also where one line is longer than a piece.
#[test]
fn a_tail_of_any_length_is_moved_aside() {
    for tail in [1, 65_535, 65_536, 65_537, 200_000] {
        let scratch = Scratch::new();
        let shop = shop(&scratch);
        drop(
            shop.create_job(
                "2026-0001",
                &Draft {
                    record: b"whole\n".to_vec(),
                    ..Draft::default()
                },
            )
            .expect("a job"),
        );
        let record = shop.folder().path().join("jobs/2026-0001/record.jsonl");
        let mut bytes = fs::read(&record).expect("the record");
        bytes.extend(vec![b'x'; tail]);
        fs::write(&record, &bytes).expect("torn");
        let torn = shop
            .job("2026-0001")
            .expect("recovered")
            .torn()
            .expect("torn files");
        assert_eq!(torn.len(), 1, "{tail}");
        assert_eq!(torn[0].sha256, digest(&vec![b'x'; tail]), "{tail}");
        assert_eq!(fs::read(&record).expect("the record"), b"whole\n", "{tail}");
    }
}

#[test]
fn a_shop_is_built_only_where_nothing_else_is() {
    let scratch = Scratch::new();
    let build = |name: &str| {
        Shop::build(&scratch.path().join(name), None, |shop| {
            shop.roster().append(b"root\n")
        })
        .map(|built| built.is_ok())
    };
    fs::create_dir(scratch.path().join("empty")).expect("a folder");
    assert!(build("new").expect("built") && build("empty").expect("built"));
    assert_eq!(
        fs::read(scratch.path().join("empty/roster.jsonl")).expect("a roster"),
        b"root\n"
    );
    assert_eq!(kind(build("new")), Kind::Exists);
    fs::create_dir(scratch.path().join("other")).expect("a folder");
    scratch.write("other/letter.txt", "mine");
    assert_eq!(kind(build("other")), Kind::Exists);
    assert_eq!(scratch.read("other/letter.txt"), "mine");
    let refused = Shop::build(&scratch.path().join("refused"), None, |_| Err::<(), _>("no"));
    assert_eq!(refused.expect("told"), Err("no"));
    assert!(!scratch.path().join("refused").exists() && !scratch.path().join(".new-refused").exists());
}
