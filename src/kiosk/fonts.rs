//! Fonts where none are installed: the font library panics when the system has not a single face,
//! although every face that the screen uses is compiled in.

use std::path::{Path, PathBuf};
use std::sync::Once;

/// The faces that are shipped, by file name.
const FACES: [(&str, &[u8]); 2] = [
    (
        "B612-Regular.otf",
        include_bytes!("../../ui/fonts/B612-Regular.otf"),
    ),
    ("DejaVuSans.ttf", include_bytes!("../../ui/fonts/DejaVuSans.ttf")),
];

/// Sees to it that the font library finds a face; does nothing where fonts are installed.
pub(super) fn make_sure() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        if !cfg!(target_os = "linux") || std::env::var_os("FONTCONFIG_FILE").is_some() || installed() {
            return;
        }
        // Without a writable folder the library's own message is the better one.
        if let Ok(config) = own_folder(&std::env::temp_dir()) {
            // SAFETY: this runs once, before the first window exists, and nothing in this program
            // reads the environment from another thread.
            #[allow(unsafe_code)]
            unsafe {
                std::env::set_var("FONTCONFIG_FILE", config);
            }
        }
    });
}

fn installed() -> bool {
    let home = std::env::var_os("HOME").map(PathBuf::from);
    let own = home
        .iter()
        .flat_map(|home| [home.join(".fonts"), home.join(".local/share/fonts")]);
    ["/usr/share/fonts", "/usr/local/share/fonts"]
        .into_iter()
        .map(PathBuf::from)
        .chain(own)
        .any(|dir| has_face(&dir, 4))
}

/// Whether there is a font file in the folder or below it, `depth` levels down at the most.
fn has_face(dir: &Path, depth: usize) -> bool {
    let Ok(entries) = std::fs::read_dir(dir) else {
        return false;
    };
    entries.flatten().any(|entry| {
        let path = entry.path();
        let ending = path.extension().map(|ending| ending.to_ascii_lowercase());
        let face = ending.is_some_and(|ending| ["ttf", "otf", "ttc"].iter().any(|known| ending == *known));
        face || (depth > 0 && path.is_dir() && has_face(&path, depth - 1))
    })
}

/// Writes the faces and a configuration that names them.
#[allow(clippy::disallowed_methods)]
fn own_folder(parent: &Path) -> std::io::Result<PathBuf> {
    let dir = parent.join(format!("witnessmark-faces-{}", env!("CARGO_PKG_VERSION")));
    std::fs::create_dir_all(&dir)?;
    for (name, bytes) in FACES {
        std::fs::write(dir.join(name), bytes)?;
    }
    let config = dir.join("fonts.conf");
    let text = format!(
        "<?xml version=\"1.0\"?>\n<!DOCTYPE fontconfig SYSTEM \"fonts.dtd\">\n<fontconfig><dir>{0}</dir><cachedir>{0}</cachedir></fontconfig>\n",
        dir.display()
    );
    std::fs::write(&config, text)?;
    Ok(config)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_own_folder_holds_faces_and_names_itself() {
        let parent = std::env::temp_dir().join(format!("witnessmark-test-faces-{}", std::process::id()));
        let config = own_folder(&parent).expect("the folder can be written");
        let dir = config.parent().expect("it lies in a folder");
        assert!(has_face(dir, 0));
        #[allow(clippy::disallowed_methods)]
        let text = std::fs::read_to_string(&config).expect("it was written");
        assert!(text.contains(&dir.display().to_string()));
        std::fs::remove_dir_all(&parent).expect("it can be removed");
    }
}
