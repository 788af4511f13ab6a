//! What the program is, and what it is not.

use super::{AboutPage, App};
use slint::ComponentHandle;

/// Shows the version; the words stand on the page itself.
pub(super) fn show(app: &App) {
    app.global::<AboutPage>()
        .set_version(env!("CARGO_PKG_VERSION").into());
}
