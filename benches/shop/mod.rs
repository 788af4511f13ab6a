//! A shop of one supervisor, as several benches begin with it.

use std::path::Path;
use witnessmark::people::Role;
use witnessmark::session::{Content, PersonPlan, ShopPlan, World, found};

/// Its supervisor's id and passphrase.
pub const ROOT: (&str, &str) = ("tomasz.okafor", "quiet harbour crane");

/// Founds the shop in a folder, with the content inside the program approved.
pub fn founded(folder: &Path, world: &World) {
    let root = PersonPlan {
        id: ROOT.0.into(),
        name: "Tomasz Okafor".into(),
        roles: vec![Role::Supervisor],
        passphrase: String::from(ROOT.1).into(),
    };
    let plan = ShopPlan {
        shop: "Alder Quay Motor Works".into(),
        root,
        people: Vec::new(),
        instruments: None,
    };
    found(folder, &plan, &Content::shipped(), world).expect("a shop");
}
