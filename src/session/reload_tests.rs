//! A content folder while its author writes in it.

use super::*;
use crate::session::tests::{INES, PASSPHRASE, Place, plan, world};
use crate::session::{Session, found};
use std::fs;

/// The small content of the samples, in a folder of its own.
fn content() -> Place {
    let place = Place::new();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/content/base");
    for (path, bytes) in crate::disk::content_files(&from, 1_000_000).expect("the base") {
        let to = place.0.join(path);
        fs::create_dir_all(to.parent().expect("a folder")).expect("a folder");
        fs::write(to, bytes).expect("a file");
    }
    place
}

fn later() -> SystemTime {
    SystemTime::now() + Duration::from_secs(60)
}

#[test]
fn a_look_gives_what_changed_and_what_is_wrong_with_it() {
    let place = content();
    let mut reload = Reload::new(&place.0);
    let first = reload.look_at(later()).expect("a look").expect("the first look");
    assert!(
        first.report.is_clean() && first.content.is_some(),
        "{}",
        first.report.render()
    );
    assert!(first.changed.contains(&"jobs/small.yaml".to_owned()));
    assert!(reload.look_at(later()).expect("a look").is_none());

    let tap = place.0.join("procedures/tap.yaml");
    let text = fs::read_to_string(&tap).expect("a procedure");
    fs::write(&tap, text.replace("    tools:", "    tols:")).expect("a fault");
    let broken = reload.look_at(later()).expect("a look").expect("a change");
    assert_eq!(broken.changed, ["procedures/tap.yaml"]);
    assert!(broken.content.is_none() && broken.report.render().contains("did you mean `tools`?"));
    assert!(reload.look_at(later()).expect("a look").is_none());

    // A breach of a rule of writing alone can be played.
    fs::write(
        &tap,
        text.replace(
            "do: Plug the open end of the line.",
            "do: Cap the line and wipe it dry.",
        ),
    )
    .expect("a breach");
    let written = reload.look_at(later()).expect("a look").expect("a change");
    assert!(written.content.is_some() && !written.report.is_clean());

    fs::write(&tap, &text).expect("mended");
    fs::remove_file(place.0.join("glossary.yaml")).expect("gone");
    let mended = reload.look_at(later()).expect("a look").expect("a change");
    assert_eq!(mended.changed, ["glossary.yaml", "procedures/tap.yaml"]);
    assert!(mended.content.is_some() && mended.report.is_clean());
}

#[test]
fn a_change_that_the_stamp_does_not_show_is_seen_while_it_is_fresh() {
    let place = content();
    let mut reload = Reload::new(&place.0);
    reload.look().expect("a look").expect("the first look");
    let tools = place.0.join("tools.yaml");
    let stamp = fs::metadata(&tools).expect("a file").modified().expect("a time");
    let text = fs::read_to_string(&tools).expect("tools");
    fs::write(&tools, text.replace("Two spanners", "Two spannors")).expect("as long as before");
    let file = fs::File::options().write(true).open(&tools).expect("the file");
    file.set_modified(stamp).expect("as old as before");
    let seen = reload.look().expect("a look").expect("a change");
    assert_eq!(seen.changed, ["tools.yaml"]);
}

#[test]
fn what_did_not_change_is_not_read_again() {
    let place = content();
    let mut reload = Reload::new(&place.0);
    reload.look_at(later()).expect("a look").expect("the first look");
    // Bytes that only a second reading could bring.
    reload
        .files
        .insert("tools.yaml".to_owned(), b"tools: {}\n".to_vec());
    assert!(reload.look_at(later()).expect("a look").is_none());
    assert_eq!(reload.settled.len(), reload.files.len());
}

#[test]
fn what_cannot_be_read_is_told_and_nothing_is_lost() {
    let place = content();
    let mut reload = Reload::new(&place.0);
    reload.look_at(later()).expect("a look").expect("the first look");
    let aside = place.0.with_extension("aside");
    fs::rename(&place.0, &aside).expect("put aside");
    assert!(reload.look_at(later()).is_err());
    fs::rename(&aside, &place.0).expect("put back");
    assert!(reload.look_at(later()).expect("a look").is_none());
}

/// The first content of the page for authors, and the register that it puts beside it.
fn of_the_page() -> (Content, String) {
    let page = include_str!("../../content/README.md");
    let (first, _) = page.split_once("## With an editor").expect("the next part");
    let blocks = first.split("```yaml\n# ").skip(1);
    let files = blocks.map(|block| {
        let (text, _) = block.split_once("```").expect("an end");
        let (name, _) = text.split_once('\n').expect("a name");
        (name.to_owned(), format!("# {text}").into_bytes())
    });
    let mut files: BTreeMap<String, Vec<u8>> = files.collect();
    let register = files.remove("../practice/instruments.yaml").expect("a register");
    let (library, report) = procedure::check(files);
    assert!(report.is_clean(), "{}", report.render());
    let content = Content::checked(library.expect("content"));
    (content, String::from_utf8(register).expect("text"))
}

#[test]
fn the_first_procedure_of_an_author_opens_as_a_practice_run() {
    let (content, register) = of_the_page();
    let shop = Place::new();
    found(&shop.0, &plan(register), &content, &world()).expect("a shop");
    let mut session = Session::open(&shop.0, content, world()).expect("a shop");
    session.sign_on_with(INES, PASSPHRASE).expect("signed on");
    session.start("work-lamp", true).expect("a practice run");
    assert!(session.page().is_some());
}
