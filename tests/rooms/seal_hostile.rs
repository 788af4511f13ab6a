//! Whatever bytes come in, nothing in `seal` or `people` panics, and nothing altered is taken for whole.

use proptest::prelude::*;
use witnessmark::people::{Ledger, Roster, RosterEntry};
use witnessmark::seal::{
    AllowedSigners, Digest, Envelope, Line, MAX_LINE_BYTES, Namespace, Opened, PublicKey, SignerId,
    SigningKey, instant, verify,
};

use crate::shop::{self, INES};
use crate::small_job::{State, folder};

/// Whole inputs of every sort, to be damaged.
fn seeds() -> Vec<Vec<u8>> {
    let key = shop::key(INES);
    let unlocked = key.to_openssh_unlocked().expect("text").as_bytes().to_vec();
    let mut seeds: Vec<Vec<u8>> = folder(State::Closed).into_values().collect();
    seeds.extend([
        unlocked,
        key.public().to_string().into_bytes(),
        b"2026-03-02T09:00:00+01:00".to_vec(),
    ]);
    seeds
}

/// A whole input with some bytes replaced, some cut out and some put in.
fn damaged() -> impl Strategy<Value = Vec<u8>> {
    let edits = prop::collection::vec((any::<prop::sample::Index>(), 0..3_u8, any::<u8>()), 1..6);
    (prop::sample::select(seeds()), edits).prop_map(|(mut bytes, edits)| {
        for (at, how, byte) in edits {
            let place = at.index(bytes.len().max(1));
            match how {
                0 if place < bytes.len() => bytes[place] = byte,
                1 if place < bytes.len() => bytes.truncate(place),
                _ => bytes.insert(place.min(bytes.len()), byte),
            }
        }
        bytes
    })
}

fn feed(bytes: &[u8]) {
    let _ = Line::parse(bytes, MAX_LINE_BYTES);
    let _ = Opened::read(bytes).map(|opened| RosterEntry::parse(&opened.entry));
    let roster = Roster::read(shop::roster().bytes.as_slice()).0.expect("a roster");
    let _ = Ledger::read(bytes, &roster);
    let _ = Roster::read(bytes);
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let _ = AllowedSigners::parse(text);
    let _ = Envelope::parse(text);
    let _ = SigningKey::from_openssh(text, None);
    let _ = SigningKey::from_openssh(text, Some("brass ferrule"));
    let _ = text.parse::<PublicKey>().map(|key| key.fingerprint());
    let _ = (text.parse::<SignerId>(), text.parse::<Digest>());
    let _ = (instant::parse_at(text), instant::parse_utc(text));
    let _ = verify(shop::key(INES).public(), Namespace::JobRecord, b"message", text);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        feed(&bytes);
    }

    #[test]
    fn no_damage_makes_it_panic(bytes in damaged()) {
        feed(&bytes);
    }

    #[test]
    fn no_text_of_its_own_marks_makes_it_panic(text in "[-{}\"\\\\,:=a-z0-9 ]{0,80}") {
        feed(text.as_bytes());
    }

    /// A damaged roster is refused, unless the damage was none.
    #[test]
    fn a_damaged_roster_is_never_whole(at in any::<prop::sample::Index>(), byte in any::<u8>()) {
        let whole = shop::roster().bytes;
        let mut bytes = whole.clone();
        let place = at.index(bytes.len());
        bytes[place] = byte;
        prop_assert_eq!(Roster::replay(bytes.as_slice()).is_ok(), bytes == whole);
    }
}
