//! Compiles the Slint screen when the `kiosk` feature is on, with its translations.
fn main() {
    // Without a word cargo runs this again after any change, of a test's file too, and compiles the library anew.
    println!("cargo::rerun-if-changed=build.rs");
    // What the program carries as a folder is no file that the compiler watches.
    println!("cargo::rerun-if-changed=content");
    #[cfg(feature = "kiosk")]
    {
        use slint_build::{CompilerConfiguration, DefaultTranslationContext};
        // One catalogue holds the texts of the screen and those of the program, so no text is tied to a component.
        let config = CompilerConfiguration::new()
            .with_bundled_translations("ui/lang")
            .with_default_translation_context(DefaultTranslationContext::None);
        slint_build::compile_with_config("ui/app.slint", config).expect("the screen compiles");
    }
}
