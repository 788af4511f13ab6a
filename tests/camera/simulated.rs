//! A made-up camera in a process of its own: the test runs itself again, with `simulated.c` loaded before the C
//! library. Everything above the kernel is the real thing.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

/// Where the made-up camera says what it is like.
const FOLDER: &str = "WITNESSMARK_SIMULATED";

/// The camera, as the test holds it.
pub struct Simulated {
    folder: PathBuf,
    /// Its made-up path.
    pub path: String,
}

impl Simulated {
    /// The camera of this process; without one the test is run again where there is one, and nothing is left to do.
    pub fn of(test: &str) -> Option<Simulated> {
        if let Ok(folder) = std::env::var(FOLDER) {
            let folder = PathBuf::from(folder);
            let path = std::fs::read_to_string(folder.join("device")).expect("its path");
            return Some(Simulated { folder, path });
        }
        let name = format!("camera-{}-{}", test.replace(':', "-"), std::process::id());
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        std::fs::create_dir_all(&folder).expect("a folder");
        std::fs::write(folder.join("device"), "/dev/video-that-is-not-there").expect("written");
        let status = Command::new(std::env::current_exe().expect("this program"))
            .args(["--exact", test, "--nocapture"])
            .env("LD_PRELOAD", built(&folder))
            .env(FOLDER, &folder)
            .status()
            .expect("this program again");
        assert!(status.success(), "it failed with the made-up camera");
        assert!(
            folder.join("log").exists(),
            "nobody ever asked the made-up camera"
        );
        std::fs::remove_dir_all(&folder).expect("removed");
        None
    }

    /// From now on it is like this.
    pub fn is(&self, state: &str) {
        self.write("state", state.as_bytes());
    }

    /// It gives these formats and sizes, one a line, and this frame again and again.
    pub fn gives(&self, formats: &str, frame: &[u8]) {
        self.write("formats", formats.as_bytes());
        self.write("frame", frame);
    }

    /// What was called since it was made.
    pub fn log(&self) -> Vec<String> {
        let log = std::fs::read_to_string(self.folder.join("log")).unwrap_or_default();
        log.lines().map(ToOwned::to_owned).collect()
    }

    /// Whether nobody holds it, after a moment.
    pub fn is_released(&self) -> bool {
        let begun = Instant::now();
        let open = || {
            let log = self.log();
            let count = |what: &str| log.iter().filter(|line| *line == what).count();
            count("open") > count("close")
        };
        while open() && begun.elapsed() < Duration::from_secs(20) {
            std::thread::sleep(Duration::from_millis(20));
        }
        !open()
    }

    /// Whole at once: it may be read at any time.
    fn write(&self, name: &str, bytes: &[u8]) {
        let beside = self.folder.join(format!("{name}.new"));
        std::fs::write(&beside, bytes).expect("written");
        std::fs::rename(beside, self.folder.join(name)).expect("in its place");
    }
}

/// A picture of one colour as a camera's motion JPEG.
pub fn jpeg((width, height): (u32, u32), colour: [u8; 3]) -> Vec<u8> {
    let mut jpeg = Vec::new();
    let picture = image::RgbImage::from_pixel(width, height, image::Rgb(colour));
    let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 90);
    picture.write_with_encoder(encoder).expect("a picture");
    jpeg
}

fn built(folder: &Path) -> PathBuf {
    let library = folder.join("simulated.so");
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/camera/simulated.c");
    let status = Command::new("cc")
        .args(["-shared", "-fPIC", "-O1", "-Wall", "-Werror", "-pthread", "-o"])
        .arg(&library)
        .arg(source)
        .arg("-ldl")
        .status();
    assert!(
        status.expect("a C compiler").success(),
        "the made-up camera was not built"
    );
    library
}
