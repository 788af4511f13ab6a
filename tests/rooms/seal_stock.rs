//! Keys and signatures, both ways between `seal` and stock ssh-keygen.

use witnessmark::seal::{KeySalt, Namespace, PublicKey, SigningKey, sign, verify};

use crate::scratch::Scratch;

const MESSAGE: &[u8] = "{\"shown\":\"3,6 bar – gut\"}".as_bytes();

fn key() -> SigningKey {
    SigningKey::generate(&[7; 32])
}

/// Asks ssh-keygen whether `ines.varga` signed the message.
fn stock_accepts(
    folder: &Scratch,
    signers: &str,
    armour: &str,
    namespace: &str,
    time: &str,
    message: &[u8],
) -> bool {
    folder.write("signers", signers);
    folder.write("sig", armour);
    let time = format!("verify-time={time}");
    let args = [
        "-Y",
        "verify",
        "-f",
        "signers",
        "-I",
        "ines.varga",
        "-n",
        namespace,
        "-s",
        "sig",
        "-O",
        &time,
    ];
    folder.run("ssh-keygen", &args, message).status.success()
}

fn signers() -> String {
    format!(
        "ines.varga namespaces=\"job-record,shop-ledger\",valid-after=\"20260101000000Z\",\
         valid-before=\"20260201000000Z\" {}\n",
        key().public()
    )
}

#[test]
fn ssh_keygen_accepts_ours_and_refuses_every_change() {
    let folder = Scratch::new();
    let armour = sign(&key(), Namespace::JobRecord, MESSAGE);
    let accepts = |armour: &str, namespace, time, message: &[u8]| {
        stock_accepts(&folder, &signers(), armour, namespace, time, message)
    };
    let (job, noon) = ("job-record", "20260115120000Z");
    assert!(accepts(&armour, job, noon, MESSAGE));
    assert!(!accepts(&armour, job, noon, &MESSAGE[1..]), "tampered message");
    assert!(
        !accepts(&armour, "shop-ledger", noon, MESSAGE),
        "another namespace"
    );
    assert!(
        !accepts(&armour, job, "20251231235959Z", MESSAGE),
        "before the key was valid"
    );
    assert!(
        !accepts(&armour, job, "20260201000001Z", MESSAGE),
        "after the key was valid"
    );
    let foreign = sign(&SigningKey::generate(&[8; 32]), Namespace::JobRecord, MESSAGE);
    assert!(!accepts(&foreign, job, noon, MESSAGE), "another key");
    let practice = sign(&key(), Namespace::PracticeRecord, MESSAGE);
    assert!(
        !accepts(&practice, "practice-record", noon, MESSAGE),
        "a namespace the key is not for"
    );
}

#[test]
fn we_accept_ssh_keygens_and_it_writes_the_same_bytes() {
    let folder = Scratch::new();
    folder.write_key("key", &key().to_openssh_unlocked().expect("text"));
    for namespace in Namespace::ALL {
        folder.write("message", MESSAGE);
        let _ = std::fs::remove_file(folder.path().join("message.sig"));
        let args = ["-Y", "sign", "-f", "key", "-n", namespace.as_str(), "message"];
        let out = folder.run("ssh-keygen", &args, b"");
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
        let armour = folder.read("message.sig");
        assert_eq!(verify(key().public(), namespace, MESSAGE, &armour), Ok(()));
        assert_eq!(armour, sign(&key(), namespace, MESSAGE));
    }
}

#[test]
fn ssh_keygen_opens_our_locked_key_with_its_passphrase_only() {
    let folder = Scratch::new();
    let salt = KeySalt::from_random(*b"twenty random bytes!");
    let text = key()
        .to_openssh_encrypted("brass ferrule", 2, salt)
        .expect("locked");
    folder.write_key("key", &text);
    let open = |passphrase| folder.run("ssh-keygen", &["-y", "-P", passphrase, "-f", "key"], b"");
    let out = open("brass ferrule");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let line = String::from_utf8(out.stdout).expect("UTF-8");
    assert_eq!(
        PublicKey::from_openssh(line.trim_end()).as_ref(),
        Ok(key().public())
    );
    assert!(!open("brass ferrulf").status.success());
}

#[test]
fn we_open_the_keys_that_ssh_keygen_makes() {
    let folder = Scratch::new();
    for (name, passphrase) in [("locked", "brass ferrule"), ("unlocked", "")] {
        let args = [
            "-q",
            "-t",
            "ed25519",
            "-N",
            passphrase,
            "-a",
            "2",
            "-C",
            "ines at the bench",
            "-f",
            name,
        ];
        assert!(folder.run("ssh-keygen", &args, b"").status.success());
        let given = (!passphrase.is_empty()).then_some(passphrase);
        let key = SigningKey::from_openssh(&folder.read(name), given).expect(name);
        let public = PublicKey::from_openssh(folder.read(&format!("{name}.pub")).trim_end());
        assert_eq!(public.as_ref(), Ok(key.public()));
        let list = folder.run("ssh-keygen", &["-l", "-f", name], b"");
        assert!(String::from_utf8_lossy(&list.stdout).contains(&key.fingerprint()));
    }
}

#[test]
fn keys_of_other_algorithms_are_refused() {
    let folder = Scratch::new();
    assert!(
        folder
            .run("ssh-keygen", &["-q", "-t", "ecdsa", "-N", "", "-f", "other"], b"")
            .status
            .success()
    );
    let refused = SigningKey::from_openssh(&folder.read("other"), None);
    assert!(refused.is_err(), "{refused:?}");
    folder.write("message", MESSAGE);
    let args = ["-Y", "sign", "-f", "other", "-n", "job-record", "message"];
    assert!(folder.run("ssh-keygen", &args, b"").status.success());
    assert!(
        verify(
            key().public(),
            Namespace::JobRecord,
            MESSAGE,
            &folder.read("message.sig")
        )
        .is_err()
    );
}
