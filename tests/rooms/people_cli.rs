//! `witnessmark people` and `approve` from the outside: passphrases come by a descriptor, never as arguments.

use crate::scratch::Scratch;

const ROOT: &str = "quiet harbour crane";
const INES: &str = "copper washer teal";
const NEW: &str = "seven olive sleeves";

/// Runs the program on the folder `shop` with these passphrases; gives the exit code and all that was said.
fn run(scratch: &Scratch, arguments: &str, passphrases: &[&str]) -> (Option<i32>, String) {
    let lines: String = passphrases.iter().map(|line| format!("{line}\n")).collect();
    scratch.write("secrets", lines);
    let program = env!("CARGO_BIN_EXE_witnessmark");
    let line = format!("'{program}' --shop shop --content content {arguments} --passphrase-fd 3 3<secrets");
    let out = scratch.run("sh", &["-c", &line], b"");
    let said = String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned();
    (out.status.code(), said)
}

fn stage() -> Scratch {
    let scratch = Scratch::new();
    for (name, bytes) in crate::played_job::content() {
        if name != witnessmark::audit::REGISTER {
            let path = scratch.path().join("content").join(name);
            std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
            std::fs::write(path, bytes).expect("a file");
        }
    }
    scratch
}

/// What is typed, the passphrases, the exit code, and a part of what is said.
type Step = (&'static str, &'static [&'static str], i32, &'static str);

const STEPS: &[Step] = &[
    (
        "people found --name 'Alder Quay Motor Works' --root 'tomasz.okafor=Tomasz Okafor' --person 'apprentice:ines.varga=Ines Varga'",
        &[ROOT, INES],
        0,
        "Root fingerprint: SHA256:",
    ),
    ("people list", &[], 0, "apprentice"),
    ("people fingerprint ines.varga", &[], 0, "SHA256:"),
    (
        "people fingerprint ines.vagra",
        &[],
        2,
        "Did you mean ines.varga?",
    ),
    (
        "people join --by tomasz.okafor --valid-until 2001-12-31 'fitter:olena.marsh=Olena Marsh'",
        &[ROOT, NEW],
        2,
        "which is past",
    ),
    (
        "people join --by tomasz.okafor --valid-until 2199-12-31 'fiter:olena.marsh=Olena Marsh'",
        &[ROOT, NEW],
        2,
        "`fiter` is not a role",
    ),
    (
        "people join --by tomasz.okafor --valid-until 2199-12-31 'fitter,author:olena.marsh=Olena Marsh'",
        &[ROOT, NEW],
        0,
        "Olena Marsh joined.",
    ),
    ("people list", &[], 0, "until 2199-12-31"),
    (
        "people passphrase ines.varga",
        &[NEW, ROOT],
        2,
        "does not open this key",
    ),
    (
        "people passphrase ines.varga",
        &[INES, "Ines Varga 1"],
        2,
        "the person's own name",
    ),
    (
        "people passphrase ines.varga",
        &[INES, NEW],
        0,
        "the key is the same",
    ),
    (
        "people retire --by ines.varga --reason left olena.marsh",
        &[NEW],
        2,
        "is no supervisor",
    ),
    (
        "people retire --by tomasz.okafor --reason left tomasz.okafor",
        &[ROOT],
        2,
        "is the last supervisor",
    ),
    (
        "people retire --by tomasz.okafor --reason left olena.marsh",
        &[ROOT],
        0,
        "ended now",
    ),
    ("people list --all", &[], 0, "left 20"),
    (
        "people lost --by tomasz.okafor --reason forgotten ines.varga",
        &[ROOT, INES],
        0,
        "has a new key",
    ),
    (
        "people tablet rotate --by tomasz.okafor",
        &[ROOT],
        0,
        "has a new key",
    ),
    ("approve --list", &[], 0, "approved by tomasz.okafor"),
    (
        "approve --by tomasz.okafor",
        &[],
        0,
        "There is nothing to approve.",
    ),
];

#[test]
fn people_and_approvals_are_kept_at_the_command_line() {
    let scratch = stage();
    let check = |(arguments, passphrases, code, said): &Step| {
        let (found, told) = run(&scratch, arguments, passphrases);
        assert!(
            found == Some(*code) && told.contains(said),
            "{arguments}: {found:?} {told}"
        );
    };
    for step in STEPS {
        check(step);
        // A key ends in a later second than the one in which it began.
        std::thread::sleep(std::time::Duration::from_millis(1100));
    }
    let file = scratch.path().join("content/procedures/box.yaml");
    let text = std::fs::read_to_string(&file).expect("text");
    std::fs::write(
        &file,
        text.replace("The lid is flush.", "The lid is flush and dry."),
    )
    .expect("written");
    check(&("approve --list", &[], 0, "altered  procedures/box.yaml"));
    check(&(
        "approve --by tomasz.okafor --reason 'read through'",
        &[ROOT],
        0,
        "cut-out is approved.",
    ));
    check(&(
        "approve --by tomasz.okafor --withdraw cut-out --reason 'too hasty'",
        &[ROOT],
        0,
        "The approval of cut-out is withdrawn.",
    ));
    check(&("approve --list", &[], 0, "withdrawn: too hasty"));
    let verify = scratch.run(env!("CARGO_BIN_EXE_witnessmark"), &["verify", "shop"], b"");
    assert!(
        verify.status.success(),
        "{}",
        String::from_utf8_lossy(&verify.stdout)
    );
}
