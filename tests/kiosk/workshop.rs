//! The workshop of the tests: a shop in a folder of its own, with its people and instruments.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use witnessmark::people::Role;
use witnessmark::session::{Content, PersonPlan, Session, ShopPlan, World, found};
use zeroize::Zeroizing;

pub const INES: (&str, &str, &str) = ("ines.varga", "Ines Varga", "copper washer teal");
pub const OLENA: (&str, &str, &str) = ("olena.marsh", "Olena Marsh", "amber ladder pine");
pub const RUTH: (&str, &str, &str) = ("ruth.hale", "Ruth Hale", "silver thimble road");
pub const TOMASZ: (&str, &str, &str) = ("tomasz.okafor", "Tomasz Okafor", "quiet harbour crane");

/// A shop that goes away with its folder.
pub struct Workshop {
    pub folder: PathBuf,
}

impl Drop for Workshop {
    fn drop(&mut self) {
        // A folder that stays behind in the target folder harms nobody.
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

impl Workshop {
    pub fn new(name: &str) -> (Workshop, Session) {
        Self::with(name, Content::shipped, instruments)
    }

    /// The same with other content, and another register of instruments on the day that it is founded.
    pub fn with(
        name: &str,
        content: impl Fn() -> Content,
        instruments: impl Fn(chrono::NaiveDate) -> String,
    ) -> (Workshop, Session) {
        Self::of(name, content, instruments, &[])
    }

    /// The same with more supervisors.
    pub fn of(
        name: &str,
        content: impl Fn() -> Content,
        instruments: impl Fn(chrono::NaiveDate) -> String,
        supervisors: &[(&str, &str, &str)],
    ) -> (Workshop, Session) {
        let folder =
            PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("shop-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        // Few rounds of bcrypt: what is tested here is the screen, not the lock.
        let world = || World::real().with_rounds(1);
        let content = content();
        let today = world().now().date_naive();
        let more = supervisors.iter().map(|who| person(*who, &[Role::Supervisor]));
        let plan = ShopPlan {
            shop: "Alder Quay Motor Works".to_owned(),
            root: person(TOMASZ, &[Role::Supervisor, Role::Author]),
            people: [person(INES, &[Role::Apprentice])]
                .into_iter()
                .chain(more)
                .collect(),
            instruments: Some(instruments(today)),
        };
        found(&folder, &plan, &content, &world()).expect("the shop is founded");
        let session = Session::open(&folder, content, world()).expect("the shop opens");
        (Workshop { folder }, session)
    }

    /// What the disk holds of it at this moment, opened as after a power cut. It lies in a place of its own, since the
    /// kiosk that is cut off still holds the first one.
    pub fn after_a_power_cut(&self, content: Content) -> (Workshop, Session) {
        let folder = self.folder.with_extension("again");
        let _ = std::fs::remove_dir_all(&folder);
        copy(&self.folder, &folder);
        let session = Session::open(&folder, content, World::real().with_rounds(1));
        (Workshop { folder }, session.expect("the shop opens"))
    }

    /// A camera writes a photograph into the shop's inbox, whole at once.
    pub fn snap(&self, name: &str, colour: [u8; 3]) {
        let picture = image::RgbImage::from_pixel(640, 480, image::Rgb(colour));
        let inbox = self.folder.join("inbox");
        std::fs::create_dir_all(&inbox).expect("the folder can be made");
        let beside = self.folder.join(format!("{name}.png"));
        picture.save(&beside).expect("the picture can be written");
        std::fs::rename(&beside, inbox.join(format!("{name}.png"))).expect("it comes into its place");
    }
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder").flatten() {
        let there = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &there);
        } else {
            std::fs::copy(entry.path(), there).expect("a copy");
        }
    }
}

fn person((id, name, passphrase): (&str, &str, &str), roles: &[Role]) -> PersonPlan {
    PersonPlan {
        id: id.to_owned(),
        name: name.to_owned(),
        roles: roles.to_vec(),
        passphrase: Zeroizing::new(passphrase.to_owned()),
    }
}

/// The demonstration's instruments, calibrated two months ago for a year.
fn instruments(today: chrono::NaiveDate) -> String {
    let day = |offset: i64| (today + chrono::Duration::days(offset)).to_string();
    include_str!("../../src/cli/demo/instruments.yaml")
        .replace("CALIBRATED", &day(-60))
        .replace("DUE", &day(305))
}

/// A table of answers by their ids.
pub fn answers(text: &str) -> BTreeMap<String, String> {
    serde_json::from_str(text).expect("the file is a table of texts")
}
