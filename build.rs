//! Compiles the Slint screen when the `kiosk` feature is on.
fn main() {
    #[cfg(feature = "kiosk")]
    slint_build::compile("ui/app.slint").expect("the screen compiles");
}
