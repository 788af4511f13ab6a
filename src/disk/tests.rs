//! The power is cut at every step of everything that is written; then the shop is opened again.

use super::durable::power;
use super::*;
use crate::record::Personal;
use crate::seal::digest;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

/// A folder that is removed when the test ends.
struct Place(PathBuf);

impl Place {
    fn new() -> Self {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let next = NEXT.fetch_add(1, Ordering::Relaxed);
        Self(std::env::temp_dir().join(format!("witnessmark-disk-{}-{next}", std::process::id())))
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        power::restore();
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn draft() -> Draft {
    Draft {
        record: b"line 0\n".to_vec(),
        roster: b"root\n".to_vec(),
        allowed_signers: "tablet\n".into(),
        approvals: b"approved\n".to_vec(),
        content: vec![
            ("jobs/a.yaml".into(), b"job: a".to_vec()),
            ("jobs/b.yaml".into(), b"job: a".to_vec()),
        ],
    }
}

/// Runs `act` with the power cut after 0, 1, 2 … steps until it gets through, and `look`s after each time.
/// Both get the shop's folder, which `set` made ready.
fn cut_everywhere(set: impl Fn(&Path), act: impl Fn(&Path) -> Result<(), Error>, look: impl Fn(&Path, bool)) {
    for steps in 0..200 {
        let place = Place::new();
        set(&place.0);
        power::cut_after(steps);
        let done = act(&place.0);
        power::restore();
        look(&place.0, done.is_ok());
        if done.is_ok() {
            assert!(steps > 0, "nothing was written");
            return;
        }
    }
    panic!("200 steps were not enough");
}

fn shop_with_job(root: &Path) {
    let (shop, _) = Shop::open(root).expect("a shop");
    let job = shop.create_job("2026-0001", &draft()).expect("a job");
    job.write_certificate(b"old").expect("a certificate");
}

fn bytes(root: &Path, name: &str) -> Option<Vec<u8>> {
    Folder::open(root)
        .expect("a folder")
        .bytes(name, 1000)
        .expect("readable")
}

/// No temporary name is left anywhere once the shop and its job were opened.
fn expect_clear(root: &Path) {
    let folder = Folder::open(root).expect("a folder");
    for inside in ["", "keys", "jobs", "jobs/2026-0001", "jobs/2026-0001/attachments"] {
        let names = folder.names(inside, 100).expect("names");
        assert!(
            !names.iter().any(|name| name.starts_with('.')),
            "{inside}: {names:?}"
        );
    }
}

#[test]
fn a_shop_is_made() {
    let open = |root: &Path| Shop::open(root).map(|_| ());
    cut_everywhere(|_| {}, open, |root, _| open(root).expect("opened again"));
}

#[test]
fn a_job_is_there_whole_or_not_at_all() {
    let create = |root: &Path| Shop::open(root)?.0.create_job("2026-0001", &draft()).map(|_| ());
    let look = |root: &Path, done: bool| {
        let (shop, _) = Shop::open(root).expect("opened again");
        let there = shop.jobs().expect("jobs") == ["2026-0001"];
        assert!(there || !done);
        if there {
            shop.job("2026-0001").expect("a whole folder");
            let content = format!("jobs/2026-0001/content/{}.yaml", digest(b"job: a"));
            assert_eq!(bytes(root, &content).as_deref(), Some(&b"job: a"[..]));
            for (name, held) in [
                ("record.jsonl", "line 0\n"),
                ("roster.jsonl", "root\n"),
                ("allowed_signers", "tablet\n"),
            ] {
                assert_eq!(
                    bytes(root, &format!("jobs/2026-0001/{name}")).as_deref(),
                    Some(held.as_bytes())
                );
            }
        } else {
            shop.create_job("2026-0001", &draft())
                .expect("made at the second go");
        }
        drop(shop);
        expect_clear(root);
    };
    cut_everywhere(|root| drop(Shop::open(root).expect("a shop")), create, look);
}

#[test]
fn an_acknowledged_line_stays_and_a_torn_one_is_moved_aside() {
    let append = |root: &Path| {
        let (shop, _) = Shop::open(root)?;
        shop.job("2026-0001")?.record().append(b"line 1, longer\n")
    };
    let look = |root: &Path, done: bool| {
        let (shop, _) = Shop::open(root).expect("opened again");
        let mut job = shop.job("2026-0001").expect("the job");
        let torn = job.torn().expect("torn files");
        job.record().append(b"line 2\n").expect("goes on");
        let record = bytes(root, "jobs/2026-0001/record.jsonl").expect("a record");
        let whole = b"line 0\nline 1, longer\nline 2\n";
        assert!(
            record == whole || (!done && record == b"line 0\nline 2\n"),
            "{}",
            String::from_utf8_lossy(&record)
        );
        for torn in torn {
            let held = bytes(root, &format!("jobs/2026-0001/{}", torn.name)).expect("the torn bytes");
            assert_eq!((held.as_slice(), torn.sha256), (&b"line 1,"[..], digest(&held)));
        }
        drop((job, shop));
        expect_clear(root);
    };
    cut_everywhere(shop_with_job, append, look);
}

/// The torn bytes are the same however often their moving is interrupted, and are kept once.
#[test]
fn moving_torn_bytes_aside_may_be_interrupted() {
    let tear = |root: &Path| {
        shop_with_job(root);
        let record = root.join("jobs/2026-0001/record.jsonl");
        std::fs::write(record, b"line 0\nline").expect("written");
    };
    let recover = |root: &Path| Shop::open(root)?.0.job("2026-0001").map(|_| ());
    let look = |root: &Path, _: bool| {
        recover(root).expect("recovered");
        let (shop, _) = Shop::open(root).expect("a shop");
        let torn = shop
            .job("2026-0001")
            .expect("the job")
            .torn()
            .expect("torn files");
        assert_eq!(
            torn,
            [Torn {
                name: "torn-1.bin".into(),
                sha256: digest(b"line")
            }]
        );
        assert_eq!(
            bytes(root, "jobs/2026-0001/record.jsonl").as_deref(),
            Some(&b"line 0\n"[..])
        );
    };
    cut_everywhere(tear, recover, look);
}

#[test]
fn a_replaced_file_is_the_old_or_the_new_one() {
    let replace = |root: &Path| Shop::open(root)?.0.job("2026-0001")?.write_certificate(b"new");
    let look = |root: &Path, done: bool| {
        let held = bytes(root, "jobs/2026-0001/certificate.pdf").expect("a certificate");
        assert!(held == b"new" || (!done && held == b"old"), "{held:?}");
        drop(
            Shop::open(root)
                .expect("a shop")
                .0
                .job("2026-0001")
                .expect("the job"),
        );
        expect_clear(root);
    };
    cut_everywhere(shop_with_job, replace, look);
}

#[test]
fn keys_and_personal_data_are_kept_whole() {
    let id = "ines.varga".parse().expect("an id");
    let mut personal = Personal::new();
    personal.commit("car", "owner", "Ada", [1; 32]);
    let write = |root: &Path| {
        let (shop, _) = Shop::open(root)?;
        shop.write_key(&id, "key")?;
        shop.job("2026-0001")?.write_personal(&personal)
    };
    let look = |root: &Path, done: bool| {
        let (shop, _) = Shop::open(root).expect("a shop");
        let key = shop.key(&id).expect("readable");
        let found = shop
            .job("2026-0001")
            .expect("the job")
            .personal()
            .expect("readable");
        assert!(key.is_none_or(|key| key.as_str() == "key"));
        assert!(found == personal || (!done && found == Personal::new()));
        drop(shop);
        expect_clear(root);
    };
    cut_everywhere(shop_with_job, write, look);
}

/// After a failure without a power cut, the log is as it was and takes the line at the second go.
#[test]
fn a_failed_append_is_undone() {
    let place = Place::new();
    shop_with_job(&place.0);
    let (shop, _) = Shop::open(&place.0).expect("a shop");
    let mut job = shop.job("2026-0001").expect("the job");
    power::cut_after(0);
    assert!(job.record().append(b"line 1\n").is_err());
    power::restore();
    let stopped = job.record().append(b"line 1\n").expect_err("the cut failed too");
    assert_eq!(stopped.kind, Kind::Stopped);
    drop(job);
    let mut job = shop.job("2026-0001").expect("the job");
    job.record().append(b"line 1\n").expect("goes on");
    assert_eq!(
        bytes(&place.0, "jobs/2026-0001/record.jsonl").as_deref(),
        Some(&b"line 0\nline 1\n"[..])
    );
}
