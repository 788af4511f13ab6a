//! A person's key in the memory of a process of its own: the seed is there while the key is open, and neither it nor
//! what it expands to nor the passphrase is anywhere in writable memory once the person has signed off.
//!
//! This file knows its secrets only masked, so that the search never finds itself.
#![cfg(target_os = "linux")]

use std::fs::{self, File};
use std::os::unix::fs::FileExt;
use std::path::Path;
use std::process::Command;

use zeroize::{Zeroize, Zeroizing};

use crate::played_job;
use crate::scratch::Scratch;
use crate::shop::{self, INES, TOMASZ};
use sha2::{Digest, Sha512};
use ssh_key::PrivateKey;
use witnessmark::people::Role;
use witnessmark::seal::{KeySalt, Line, Namespace, SigningKey};
use witnessmark::session::{Content, PersonPlan, Session, ShopPlan, World, found, unlock};

const MASK: u8 = 0xa5;
const PASSPHRASE: &str = "brass ferrule, twice over";
const FOLDER: &str = "WITNESSMARK_WIPING";
/// How much of the memory is looked at in one piece, in bytes.
const PIECE: usize = 1 << 18;

/// What must not be found, masked, by its name.
struct Secret {
    name: &'static str,
    masked: Vec<u8>,
}

impl Secret {
    fn kept(folder: &Path, name: &'static str) -> Secret {
        let masked = fs::read(folder.join(name)).expect("a masked secret");
        Secret { name, masked }
    }

    /// How often it stands in these bytes.
    fn count(&self, bytes: &[u8]) -> usize {
        let first = self.masked[0] ^ MASK;
        let begins = bytes.iter().enumerate().filter(|(_, byte)| **byte == first);
        let whole = |at: usize| {
            let here = bytes.get(at..at + self.masked.len());
            here.is_some_and(|here| here.iter().zip(&self.masked).all(|(a, b)| *a ^ MASK == *b))
        };
        begins.filter(|(at, _)| whole(*at)).count()
    }
}

/// Where in this process's writable memory the secrets stand: `name in region`, once for each.
fn remains(secrets: &[Secret]) -> Vec<String> {
    let maps = fs::read_to_string("/proc/self/maps").expect("the map of the memory");
    let memory = File::open("/proc/self/mem").expect("the memory");
    let longest = secrets
        .iter()
        .map(|secret| secret.masked.len())
        .max()
        .expect("secrets");
    let mut piece = vec![0; PIECE + longest - 1];
    let mut told = Vec::new();
    for region in maps
        .lines()
        .filter(|line| line.split(' ').nth(1).is_some_and(|may| may.starts_with("rw")))
    {
        let (from, to) = region
            .split_once(' ')
            .expect("a region")
            .0
            .split_once('-')
            .expect("a range");
        let [from, to] = [from, to].map(|text| u64::from_str_radix(text, 16).expect("an address"));
        for at in (from..to).step_by(PIECE) {
            // What was read before must not be found here again.
            piece.as_mut_slice().zeroize();
            let most = piece.len().min(usize::try_from(to - at).expect("a length"));
            let Ok(read) = memory.read_at(&mut piece[..most], at) else {
                continue;
            };
            for secret in secrets {
                let count = secret.count(&piece[..read]);
                told.extend((0..count).map(|_| format!("{} in {region}", secret.name)));
            }
        }
    }
    piece.zeroize();
    told
}

fn passphrase(folder: &Path) -> Zeroizing<String> {
    let masked = fs::read(folder.join("passphrase")).expect("a masked passphrase");
    let mut text = Zeroizing::new(String::with_capacity(masked.len()));
    text.extend(masked.iter().map(|byte| char::from(byte ^ MASK)));
    text
}

fn content() -> Content {
    let mut files = played_job::content();
    files.remove(witnessmark::audit::REGISTER);
    Content::load(files).expect("whole content")
}

fn world(time: &'static str) -> World {
    World::with_clock(|| shop::at(time), 2)
}

/// Masks what the child looks for: the seed of this key, what it expands to, and the passphrase.
fn mask(folder: &Path, key: &SigningKey) {
    let open = PrivateKey::from_openssh(key.to_openssh_unlocked().expect("a file").as_str()).expect("a key");
    let seed = open.key_data().ed25519().expect("Ed25519").private.to_bytes();
    let hash = Sha512::digest(seed);
    let scalar = ed25519_dalek::SigningKey::from_bytes(&seed)
        .to_scalar()
        .to_bytes();
    for (name, bytes) in [
        ("seed", &seed[..]),
        ("scalar", &scalar),
        ("hash", &hash[..32]),
        ("prefix", &hash[32..]),
        ("passphrase", PASSPHRASE.as_bytes()),
    ] {
        let masked: Vec<u8> = bytes.iter().map(|byte| byte ^ MASK).collect();
        fs::write(folder.join(name), masked).expect("a masked secret");
    }
}

/// Runs the child test of this name in a process of its own, with what it needs in a folder.
fn alone(name: &str, folder: &Path) {
    let child = Command::new(std::env::current_exe().expect("this program"))
        .args([name, "--exact", "--ignored", "--nocapture", "--test-threads=1"])
        .env(FOLDER, folder)
        .output()
        .expect("a process");
    let said = String::from_utf8_lossy(&[child.stdout, child.stderr].concat()).into_owned();
    assert!(child.status.success() && said.contains("1 passed"), "{said}");
}

fn given() -> std::path::PathBuf {
    std::env::var_os(FOLDER).expect("started by its parent").into()
}

fn secrets(folder: &Path) -> Vec<Secret> {
    ["seed", "scalar", "hash", "prefix", "passphrase"]
        .map(|name| Secret::kept(folder, name))
        .into()
}

/// The search works: what should be there is found.
fn expect_open(secrets: &[Secret]) {
    let told = remains(secrets);
    for name in ["seed", "passphrase"] {
        assert!(
            told.iter().any(|one| one.starts_with(name)),
            "{name} is not found: {told:#?}"
        );
    }
}

fn expect_wiped(secrets: &[Secret]) {
    let told = remains(secrets);
    assert!(told.is_empty(), "{told:#?}");
}

#[test]
fn a_dropped_key_leaves_nothing() {
    let scratch = Scratch::new();
    let key = shop::key(INES);
    let locked = key
        .to_openssh_encrypted(PASSPHRASE, 2, KeySalt::from_random([7; 20]))
        .expect("locked");
    scratch.write("key", locked.as_bytes());
    mask(scratch.path(), &key);
    alone("wiping::open_sign_and_drop", scratch.path());
}

#[test]
#[ignore = "a_dropped_key_leaves_nothing starts it in a process of its own"]
fn open_sign_and_drop() {
    let folder = given();
    let secrets = secrets(&folder);
    let file = fs::read_to_string(folder.join("key")).expect("a key file");
    let secret = passphrase(&folder);
    let key = SigningKey::from_openssh(&file, Some(&secret)).expect("opened");
    expect_open(&secrets);
    let line = Line::signed("{}".into(), shop::id(INES), &key, Namespace::JobRecord);
    assert_eq!(line.verify(key.public(), Namespace::JobRecord), Ok(()));
    let locked = key
        .to_openssh_encrypted(&secret, 2, KeySalt::from_random([8; 20]))
        .expect("locked");
    drop((key, secret, locked));
    expect_wiped(&secrets);
}

fn plan(passphrase: &Zeroizing<String>) -> ShopPlan {
    let person = |id: &str, name: &str, role| PersonPlan {
        id: id.into(),
        name: name.into(),
        roles: vec![role],
        passphrase: passphrase.clone(),
    };
    ShopPlan {
        shop: "Alder Quay Motor Works".into(),
        root: person(TOMASZ, "Tomasz Okafor", Role::Supervisor),
        people: vec![person(INES, "Ines Varga", Role::Apprentice)],
        instruments: None,
    }
}

#[test]
fn a_sign_off_leaves_nothing() {
    let scratch = Scratch::new();
    let folder = scratch.path().join("shop");
    let plan = plan(&PASSPHRASE.to_owned().into());
    found(&folder, &plan, &content(), &world("09:00:00")).expect("a shop");
    let file = fs::read_to_string(folder.join("keys").join(TOMASZ)).expect("a key file");
    mask(scratch.path(), &unlock(&file, PASSPHRASE).expect("opened"));
    alone("wiping::sign_on_and_off", scratch.path());
}

#[test]
#[ignore = "a_sign_off_leaves_nothing starts it in a process of its own"]
fn sign_on_and_off() {
    let folder = given();
    let secrets = secrets(&folder);
    let mut session = Session::open(&folder.join("shop"), content(), world("09:01:00")).expect("a session");
    let secret = passphrase(&folder);
    session.sign_on_with(TOMASZ, &secret).expect("signed on");
    expect_open(&secrets);
    drop(secret);
    session.retire(INES, "Left the shop.").expect("signed");
    session.sign_off_person();
    expect_wiped(&secrets);
}

#[test]
fn a_founding_leaves_no_passphrase() {
    let scratch = Scratch::new();
    mask(scratch.path(), &shop::key(TOMASZ));
    alone("wiping::found_a_shop", scratch.path());
}

#[test]
#[ignore = "a_founding_leaves_no_passphrase starts it in a process of its own"]
fn found_a_shop() {
    let folder = given();
    let secrets = [Secret::kept(&folder, "passphrase")];
    let plan = plan(&passphrase(&folder));
    found(&folder.join("shop"), &plan, &content(), &world("09:00:00")).expect("a shop");
    assert!(!remains(&secrets).is_empty());
    drop(plan);
    expect_wiped(&secrets);
}
