//! `seal` against published vectors, and against signatures built by another program.

use witnessmark::seal::{Namespace, SigningKey, sign, verify};

fn hex(text: &str) -> Vec<u8> {
    if text == "-" {
        return Vec::new();
    }
    let digits: Vec<u8> = text
        .chars()
        .map(|c| c.to_digit(16).expect("a hex digit") as u8)
        .collect();
    digits
        .chunks_exact(2)
        .map(|pair| pair[0] << 4 | pair[1])
        .collect()
}

fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines()
        .filter(|row| !row.starts_with('#'))
        .map(|row| row.splitn(4, ' ').collect())
}

fn key(seed: &str) -> SigningKey {
    SigningKey::generate(&hex(seed).try_into().expect("32 bytes"))
}

/// The standard's keys, and its signatures by the library that `seal` signs with.
#[test]
fn rfc_8032_tests_1_to_3() {
    use ed25519_dalek::{Signer, SigningKey as Raw};
    for row in rows(include_str!("../vectors/seal/rfc8032.txt")) {
        let [seed, public, message, signature] = row[..] else {
            panic!("{row:?}")
        };
        let line = key(seed).public().to_string();
        let blob = ssh_key::PublicKey::from_openssh(&line).expect("a key");
        assert_eq!(
            blob.key_data().ed25519().expect("Ed25519").as_ref().as_slice(),
            hex(public)
        );
        let raw = Raw::from_bytes(&hex(seed).try_into().expect("32 bytes"));
        assert_eq!(raw.sign(&hex(message)).to_bytes().as_slice(), hex(signature));
    }
}

/// Ed25519 has one signature for each message, so both programs must write the same armour.
#[test]
fn sshsig_equals_another_programs() {
    let mut seen = 0;
    for row in rows(include_str!("../vectors/seal/sshsig.txt")) {
        let [seed, namespace, message, armour] = row[..] else {
            panic!("{row:?}")
        };
        let namespace: Namespace = namespace.parse().expect("a namespace");
        let (key, message, armour) = (key(seed), hex(message), armour.replace('|', "\n"));
        assert_eq!(sign(&key, namespace, &message), armour);
        assert_eq!(verify(key.public(), namespace, &message, &armour), Ok(()));
        seen += 1;
    }
    assert_eq!(seen, 45);
}
