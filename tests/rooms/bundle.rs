//! A shop's jobs as a bundle, and a bundle in another shop's archive: what is taken, what is refused, and that
//! nothing that was there is touched.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use crate::played_job::{self, JOB, Run};
use crate::scratch::Scratch;
use crate::shop::{self, INES, TABLET};
use witnessmark::audit::Manifest;
use witnessmark::people::Role;
use witnessmark::player::Event;
use witnessmark::seal::{KeySalt, digest};
use witnessmark::session::bundle::{Arrival, BundleError, ExportPlan, ImportPlan, Imported};
use witnessmark::session::verify::verify;
use witnessmark::session::{Content, PersonPlan, Session, SessionError, ShopPlan, World, found};

type Files = BTreeMap<String, Vec<u8>>;

/// Writes files below a folder, with the folders on the way.
fn write(folder: &Path, files: Files) {
    for (name, bytes) in files {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("folders");
        fs::write(path, bytes).expect("a file");
    }
}

/// Every file below a folder, by its path inside it. The lock is nobody's bytes.
fn read(folder: &Path) -> Files {
    let mut files = Files::new();
    for entry in fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry"))
    {
        let name = entry.file_name().to_string_lossy().into_owned();
        if entry.path().is_dir() {
            let inside = read(&entry.path()).into_iter();
            files.extend(inside.map(|(path, bytes)| (format!("{name}/{path}"), bytes)));
        } else if name != "shop.lock" {
            files.insert(name, fs::read(entry.path()).expect("a file"));
        }
    }
    files
}

/// The folder of a shop that has one job of these facts, with the keys of its tablet and of Ines.
fn shop_with(folder: &Path, run: &Run) -> Session {
    let job = played_job::folder(&run.facts, false);
    let mut files = Files::from([
        ("roster.jsonl".to_owned(), job["roster.jsonl"].clone()),
        ("ledger.jsonl".to_owned(), job["ledger-extract.jsonl"].clone()),
        ("approvals.jsonl".to_owned(), job["approvals.jsonl"].clone()),
        (
            "instruments.yaml".to_owned(),
            played_job::content()["register/instruments.yaml"].clone(),
        ),
    ]);
    let tablet = shop::key(TABLET).to_openssh_unlocked().expect("a key");
    files.insert(format!("keys/{TABLET}"), tablet.as_bytes().to_vec());
    let salt = KeySalt::from_random([7; 20]);
    let ines = shop::key(INES).to_openssh_encrypted("brass ferrule, twice", 1, salt);
    files.insert(format!("keys/{INES}"), ines.expect("a key").as_bytes().to_vec());
    let inside = job
        .into_iter()
        .map(|(name, bytes)| (format!("jobs/{JOB}/{name}"), bytes));
    files.extend(inside);
    let mut owner = witnessmark::record::Personal::new();
    owner.commit("car", "owner", "Ada Brandt", [9; 32]);
    let personal = serde_json::to_vec(&owner).expect("JSON");
    files.insert(format!("jobs/{JOB}/personal.json"), personal);
    write(folder, files);
    open(folder)
}

fn open(folder: &Path) -> Session {
    let content = Content::shipped();
    Session::open(folder, content, World::real()).expect("a session")
}

/// A whole job, and a stick.
fn stage() -> (Scratch, Session) {
    let scratch = Scratch::new();
    fs::create_dir(scratch.path().join("stick")).expect("a folder");
    let session = shop_with(&scratch.path().join("from"), &Run::through(false));
    (scratch, session)
}

fn export(scratch: &Scratch, session: &Session, plan: &ExportPlan) -> PathBuf {
    session
        .export(plan, &scratch.path().join("stick"))
        .expect("a bundle")
        .place
}

/// Another shop, with people of its own.
fn other_shop(scratch: &Scratch) -> Session {
    let folder = scratch.path().join("to");
    let root = PersonPlan {
        id: "ruth.lindqvist".into(),
        name: "Ruth Lindqvist".into(),
        roles: vec![Role::Supervisor],
        passphrase: "olive sleeve, pressed once".to_owned().into(),
    };
    let plan = ShopPlan {
        shop: "Low Gate Garage".into(),
        root,
        people: Vec::new(),
        instruments: None,
    };
    let world = World::with_clock(|| shop::at("07:00:00"), 1);
    found(&folder, &plan, &Content::shipped(), &world).expect("a shop");
    open(&folder)
}

fn import(session: &mut Session, bundle: &Path) -> Result<Imported, SessionError> {
    session.import(bundle, &ImportPlan::default())
}

fn arrival(session: &mut Session, bundle: &Path) -> Arrival {
    let done = import(session, bundle).expect("taken in");
    assert_eq!(done.jobs.len(), 1);
    done.jobs[0].1
}

/// What a refusal says, in full.
fn refused<T: std::fmt::Debug>(result: Result<T, SessionError>) -> String {
    result.expect_err("refused").to_string()
}

fn is_whole(folder: &Path) -> bool {
    verify(folder, None)
        .expect("verified")
        .iter()
        .all(|checked| checked.report.whole())
}

/// Writes a manifest that fits the files, as whoever alters a bundle would.
fn renew_manifest(bundle: &Path) {
    let files = read(bundle)
        .into_iter()
        .filter(|(path, _)| path != "bundle.sha256");
    let manifest = Manifest::new(files.map(|(path, bytes)| (path, digest(&bytes)))).expect("a manifest");
    fs::write(bundle.join("bundle.sha256"), manifest.to_text()).expect("written");
}

#[test]
fn a_job_goes_to_another_tablet_and_is_verified_there() {
    let (scratch, session) = stage();
    let mut to = other_shop(&scratch);
    let bundle = export(&scratch, &session, &ExportPlan::default());
    let name = bundle.file_name().expect("a name").to_string_lossy();
    assert!(
        name.starts_with("witnessmark-alder-quay-motor-works-20"),
        "{name}"
    );
    assert!(is_whole(&bundle));
    let stock = scratch.run(
        "sh",
        &["-c", "cd stick/* && sha256sum --strict --quiet -c bundle.sha256"],
        b"",
    );
    assert!(
        stock.status.success(),
        "{}",
        String::from_utf8_lossy(&stock.stderr)
    );
    let own: Files = read(&scratch.path().join("to"));
    let done = import(&mut to, &bundle).expect("taken in");
    assert_eq!(done.jobs, [(JOB.to_owned(), Arrival::New)]);
    assert_eq!(
        (done.root.as_str(), done.anchored),
        (session.root_fingerprint().as_str(), false)
    );
    assert_eq!(done.not_taken, ["instruments.yaml"]);
    let mut after = read(&scratch.path().join("to"));
    let (archived, untouched): (Files, Files) = std::mem::take(&mut after)
        .into_iter()
        .partition(|(path, _)| path.starts_with("archive/"));
    assert_eq!(untouched, own);
    let id = done
        .archive
        .file_name()
        .expect("a name")
        .to_string_lossy()
        .into_owned();
    for (path, bytes) in read(&bundle) {
        let kept = archived.get(&format!("archive/{id}/{path}"));
        let stays = path == "bundle.sha256" || path == "instruments.yaml";
        assert_eq!(kept, Some(&bytes).filter(|_| !stays), "{path}");
    }
    assert!(is_whole(&scratch.path().join("to")));
    assert_eq!(arrival(&mut to, &bundle), Arrival::Here);
    assert_eq!(read(&scratch.path().join("to")).len(), own.len() + archived.len());
}

#[test]
fn exporting_twice_makes_one_bundle_and_a_change_makes_another() {
    let (scratch, session) = stage();
    let first = export(&scratch, &session, &ExportPlan::default());
    let again = session
        .export(&ExportPlan::default(), &scratch.path().join("stick"))
        .expect("a bundle");
    assert_eq!((again.place, again.was_there), (first.clone(), true));
    fs::write(
        scratch.path().join("from/jobs").join(JOB).join("note.txt"),
        "Seen.",
    )
    .expect("written");
    let second = export(&scratch, &session, &ExportPlan::default());
    assert_eq!(second.to_string_lossy(), format!("{}-2", first.display()));
    assert!(is_whole(&first) && is_whole(&second) && second.join("jobs").join(JOB).join("note.txt").exists());
}

#[test]
fn private_things_leave_the_tablet_only_when_asked_for() {
    let (scratch, session) = stage();
    let plain = read(&export(&scratch, &session, &ExportPlan::default()));
    assert!(
        !plain
            .keys()
            .any(|path| path.starts_with("keys/") || path.ends_with("personal.json"))
    );
    let everything = ExportPlan {
        personal: true,
        keys: true,
        ..ExportPlan::default()
    };
    let bundle = export(&scratch, &session, &everything);
    let more: Vec<String> = read(&bundle)
        .into_keys()
        .filter(|path| !plain.contains_key(path))
        .collect();
    assert_eq!(
        more,
        [format!("jobs/{JOB}/personal.json"), format!("keys/{INES}")]
    );
    #[cfg(unix)]
    for path in more {
        use std::os::unix::fs::PermissionsExt;
        let mode = fs::metadata(bundle.join(&path))
            .expect("there")
            .permissions()
            .mode();
        assert_eq!(mode & 0o077, 0, "{path}");
    }
    let open_key = shop::key(INES).to_openssh_unlocked().expect("a key");
    fs::write(scratch.path().join("from/keys").join(INES), open_key.as_bytes()).expect("written");
    let refused = refused(session.export(&everything, &scratch.path().join("stick")));
    assert!(
        refused.contains(INES) && refused.contains("not locked"),
        "{refused}"
    );
}

#[test]
fn a_job_that_is_not_whole_is_not_exported() {
    let (scratch, session) = stage();
    let record = scratch.path().join("from/jobs").join(JOB).join("record.jsonl");
    let text = fs::read_to_string(&record)
        .expect("a record")
        .replacen("30 psi", "31 psi", 1);
    fs::write(&record, text).expect("written");
    let stick = scratch.path().join("stick");
    let said = refused(session.export(&ExportPlan::default(), &stick));
    assert!(
        said.contains("nothing was exported") && said.contains("bad-signature"),
        "{said}"
    );
    let rest = ExportPlan {
        leave_out_broken: true,
        ..ExportPlan::default()
    };
    assert!(refused(session.export(&rest, &stick)).contains("nothing to export"));
    let none = ExportPlan {
        jobs: vec!["2026-0099".into()],
        ..ExportPlan::default()
    };
    assert!(refused(session.export(&none, &stick)).contains("2026-0099"));
    assert!(refused(session.export(&rest, &scratch.path().join("no-stick"))).contains("no-stick"));
    assert_eq!(read(&stick), Files::new());
}

#[test]
fn one_altered_byte_in_any_file_is_refused_and_changes_nothing() {
    let (scratch, session) = stage();
    let mut to = other_shop(&scratch);
    let bundle = export(&scratch, &session, &ExportPlan::default());
    let before = read(&scratch.path().join("to"));
    for (path, bytes) in read(&bundle) {
        for at in [0, bytes.len() / 2, bytes.len() - 1] {
            let mut altered = bytes.clone();
            altered[at] ^= 1;
            fs::write(bundle.join(&path), &altered).expect("written");
            let said = refused(import(&mut to, &bundle));
            assert!(said.contains("nothing was taken"), "{path} byte {at}: {said}");
            assert!(!is_whole(&bundle), "{path} byte {at}");
        }
        fs::remove_file(bundle.join(&path)).expect("removed");
        assert!(refused(import(&mut to, &bundle)).contains("not there"), "{path}");
        fs::write(bundle.join(&path), &bytes).expect("written");
    }
    assert_eq!(read(&scratch.path().join("to")), before);
    assert_eq!(arrival(&mut to, &bundle), Arrival::New);
}

/// A manifest is no signature: with one that fits, the signed lines themselves still show the change.
#[test]
fn an_altered_bundle_with_a_new_manifest_is_refused() {
    let (scratch, session) = stage();
    let mut to = other_shop(&scratch);
    let bundle = export(&scratch, &session, &ExportPlan::default());
    for file in [
        "record.jsonl",
        "roster.jsonl",
        "allowed_signers",
        "ledger-extract.jsonl",
    ] {
        let path = bundle.join("jobs").join(JOB).join(file);
        let whole = fs::read(&path).expect("a file");
        let mut cut = whole.clone();
        cut.truncate(whole.len() - 2);
        fs::write(&path, &cut).expect("written");
        renew_manifest(&bundle);
        assert!(
            refused(import(&mut to, &bundle)).contains("nothing was taken"),
            "{file}"
        );
        fs::write(&path, whole).expect("written");
    }
    renew_manifest(&bundle);
    let other = ImportPlan {
        root: Some("SHA256:another".into()),
    };
    assert!(refused(to.import(&bundle, &other)).contains("roster-mismatch"));
    assert_eq!(arrival(&mut to, &bundle), Arrival::New);
}

#[test]
fn a_hostile_bundle_leads_nowhere() {
    let (scratch, session) = stage();
    let mut to = other_shop(&scratch);
    let bundle = export(&scratch, &session, &ExportPlan::default());
    let before = read(&scratch.path().join("to"));
    let manifest = fs::read_to_string(bundle.join("bundle.sha256")).expect("a manifest");
    let hash = digest(b"x");
    for (line, says) in [
        (format!("{hash}  ../outside.jsonl\n"), "no place in a bundle"),
        (format!("{hash}  /etc/outside.jsonl\n"), "no place in a bundle"),
        (
            format!("{hash}  jobs/{JOB}/../../../outside\n"),
            "no place in a bundle",
        ),
        (format!("{hash}  jobs/{JOB}/RECORD.jsonl\n"), "capital letters"),
        (format!("{hash}  keys/{TABLET}\n"), "no place in a bundle"),
        (format!("{hash}  jobs/{JOB}/not-there\n"), "not there"),
        ("half a line".to_owned(), "torn"),
    ] {
        fs::write(bundle.join("bundle.sha256"), format!("{manifest}{line}")).expect("written");
        let said = refused(import(&mut to, &bundle));
        assert!(said.contains(says), "{line}: {said}");
    }
    fs::write(bundle.join("bundle.sha256"), &manifest).expect("written");
    for besides in ["program.sh", "jobs/2026-0008/record.jsonl", "keys/x"] {
        write(&bundle, Files::from([(besides.to_owned(), b"x".to_vec())]));
        let said = refused(import(&mut to, &bundle));
        assert!(said.contains("does not name it"), "{besides}: {said}");
        fs::remove_file(bundle.join(besides)).expect("removed");
        let _ = fs::remove_dir(bundle.join("jobs/2026-0008"));
        let _ = fs::remove_dir(bundle.join("keys"));
    }
    // Other systems leave such files on a stick; nothing is taken from them.
    write(&bundle, Files::from([(".hidden".to_owned(), b"x".to_vec())]));
    assert_eq!(read(&scratch.path().join("to")), before);
    assert_eq!(arrival(&mut to, &bundle), Arrival::New);
}

#[cfg(unix)]
#[test]
fn links_and_devices_in_a_bundle_are_refused() {
    use std::os::unix::fs::symlink;
    let (scratch, session) = stage();
    let mut to = other_shop(&scratch);
    let bundle = export(&scratch, &session, &ExportPlan::default());
    let record = bundle.join("jobs").join(JOB).join("record.jsonl");
    let outside = scratch.write("outside", fs::read(&record).expect("a record"));
    fs::remove_file(&record).expect("removed");
    symlink(&outside, &record).expect("a link");
    assert!(refused(import(&mut to, &bundle)).contains("follow the link"));
    fs::remove_file(&record).expect("removed");
    let made = scratch.run("mkfifo", &[&record.to_string_lossy()], b"");
    assert!(made.status.success());
    // A pipe that nobody writes to would keep a reader waiting for ever.
    assert!(refused(import(&mut to, &bundle)).contains("record.jsonl"));
    assert!(!scratch.path().join("to/archive").exists());
}

#[test]
fn a_job_that_went_on_takes_the_place_of_its_beginning_and_nothing_is_lost() {
    let scratch = Scratch::new();
    let whole = Run::through(false);
    let mut bundles = Vec::new();
    for (name, count) in [("short", 12), ("long", 20), ("whole", whole.facts.len())] {
        let mut run = whole.clone();
        let session = shop_with(&scratch.path().join(name), run.cut(count));
        let stick = scratch.path().join(format!("stick-{name}"));
        fs::create_dir(&stick).expect("a folder");
        bundles.push(
            session
                .export(&ExportPlan::default(), &stick)
                .expect("a bundle")
                .place,
        );
    }
    let mut to = other_shop(&scratch);
    assert_eq!(arrival(&mut to, &bundles[0]), Arrival::New);
    let short = fs::read(bundles[0].join("jobs").join(JOB).join("record.jsonl")).expect("a record");
    assert_eq!(arrival(&mut to, &bundles[2]), Arrival::TookLonger);
    assert_eq!(arrival(&mut to, &bundles[1]), Arrival::HereLonger);
    assert_eq!(arrival(&mut to, &bundles[0]), Arrival::HereLonger);
    assert_eq!(arrival(&mut to, &bundles[2]), Arrival::Here);
    assert!(is_whole(&scratch.path().join("to")));
    let kept = read(&scratch.path().join("to"));
    assert!(
        kept.iter()
            .any(|(path, bytes)| path.contains("/older/") && *bytes == short)
    );
}

#[test]
fn another_job_of_the_same_number_is_refused() {
    let scratch = Scratch::new();
    let mut bundles = Vec::new();
    for (name, text) in [
        ("one", "The bracket was bent."),
        ("two", "The bracket was straight."),
    ] {
        let mut run = Run::through(false);
        let note = Event::Note {
            step: None,
            text: text.to_owned(),
        };
        run.cut(22).act(INES, note);
        let session = shop_with(&scratch.path().join(name), &run);
        let stick = scratch.path().join(format!("stick-{name}"));
        fs::create_dir(&stick).expect("a folder");
        bundles.push(
            session
                .export(&ExportPlan::default(), &stick)
                .expect("a bundle")
                .place,
        );
    }
    let mut to = other_shop(&scratch);
    assert_eq!(arrival(&mut to, &bundles[0]), Arrival::New);
    let before = read(&scratch.path().join("to"));
    let error = import(&mut to, &bundles[1]).expect_err("another job");
    let SessionError::Bundle(BundleError::Differs { what }) = error else {
        panic!("{error}");
    };
    assert_eq!(what, format!("job {JOB}"));
    assert_eq!(read(&scratch.path().join("to")), before);
    drop(to);
    // The shop's own jobs are held against a bundle of its own ledger too.
    let mut own = open(&scratch.path().join("one"));
    assert_eq!(arrival(&mut own, &bundles[0]), Arrival::Own);
    assert!(refused(import(&mut own, &bundles[1])).contains(JOB));
}

#[test]
fn what_stands_in_the_archive_is_verified_with_the_shop() {
    let (scratch, session) = stage();
    let mut to = other_shop(&scratch);
    let bundle = export(&scratch, &session, &ExportPlan::default());
    let done = import(&mut to, &bundle).expect("taken in");
    assert!(is_whole(&scratch.path().join("to")));
    let record = done.archive.join("jobs").join(JOB).join("record.jsonl");
    let text = fs::read_to_string(&record)
        .expect("a record")
        .replacen("30 psi", "31 psi", 1);
    fs::write(&record, text).expect("written");
    assert!(!is_whole(&scratch.path().join("to")));
}

#[test]
fn the_command_line_says_what_was_done() {
    let (scratch, session) = stage();
    drop((session, other_shop(&scratch)));
    let run = |arguments: &[&str]| {
        let done = scratch.run(env!("CARGO_BIN_EXE_witnessmark"), arguments, b"");
        let json: serde_json::Value = serde_json::from_slice(&done.stdout).unwrap_or_default();
        (
            done.status.code(),
            json,
            String::from_utf8_lossy(&done.stderr).into_owned(),
        )
    };
    let (code, json, said) = run(&["--shop", "from", "export", "--all", "--to", "stick", "--json"]);
    assert_eq!((code, &json["jobs"][0]), (Some(0), &JOB.into()), "{said}");
    let bundle = json["bundle"].as_str().expect("a place").to_owned();
    let (code, json, said) = run(&["--shop", "to", "import", &bundle, "--json"]);
    assert_eq!(
        (code, &json["jobs"][0]["arrival"]),
        (Some(0), &"new".into()),
        "{said}"
    );
    assert_eq!(run(&["verify", &bundle]).0, Some(0));
    fs::write(scratch.path().join(&bundle).join("roster.jsonl"), "x").expect("written");
    let (code, _, said) = run(&["--shop", "to", "import", &bundle]);
    assert!(code == Some(1) && said.contains("roster.jsonl"), "{said}");
    assert_eq!(run(&["--shop", "to", "import", "nowhere"]).0, Some(2));
    assert_eq!(run(&["--shop", "from", "export", "--to", "stick"]).0, Some(2));
}

/// A program that is given a home, a folder for temporary files and one to stand in leaves all of them, and the
/// bundle, as they were: it writes below the shop's folder alone.
#[test]
fn nothing_is_written_outside_the_shop() {
    let (scratch, session) = stage();
    drop((other_shop(&scratch), session));
    for name in ["home", "temporary"] {
        fs::create_dir(scratch.path().join(name)).expect("a folder");
    }
    let run = |arguments: &str| {
        let program = env!("CARGO_BIN_EXE_witnessmark");
        let line =
            format!("HOME=$PWD/home TMPDIR=$PWD/temporary XDG_DATA_HOME=$PWD/home {program} {arguments}");
        let done = scratch.run("sh", &["-c", &line], b"");
        assert!(
            done.status.success(),
            "{arguments}: {}",
            String::from_utf8_lossy(&done.stderr)
        );
    };
    let outside = |inside: &str| {
        let mut files = read(scratch.path());
        files.retain(|path, _| !path.starts_with(inside));
        files
    };
    let before = outside("stick/");
    run("--shop from export --all --to stick");
    assert_eq!(
        outside("stick/"),
        before,
        "an export writes into the bundle alone"
    );
    let before = outside("to/");
    run("--shop to import stick/*");
    run("verify to stick/*");
    assert_eq!(outside("to/"), before, "an import writes into the shop alone");
}
