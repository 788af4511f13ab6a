//! A folder for one test, and stock tools run in it.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};

/// A folder of its own that is removed with everything in it when the test ends.
pub struct Scratch(PathBuf);

static NEXT: AtomicU32 = AtomicU32::new(0);

impl Scratch {
    pub fn new() -> Scratch {
        let name = format!(
            "witnessmark-{}-{}",
            std::process::id(),
            NEXT.fetch_add(1, Ordering::Relaxed)
        );
        let path = std::env::temp_dir().join(name);
        fs::create_dir(&path).expect("a scratch folder");
        Scratch(path)
    }

    pub fn path(&self) -> &Path {
        &self.0
    }

    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.0.join(name);
        fs::write(&path, bytes).expect("a scratch file");
        path
    }

    /// Writes a private key as ssh-keygen wants it: for its user alone.
    pub fn write_key(&self, name: &str, text: &str) -> PathBuf {
        let path = self.write(name, text);
        #[cfg(unix)]
        fs::set_permissions(&path, std::os::unix::fs::PermissionsExt::from_mode(0o600)).expect("permissions");
        path
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.0.join(name)).expect("a scratch file")
    }

    /// Runs a stock tool in the folder. A tool that is not installed fails the test.
    pub fn run(&self, tool: &str, args: &[&str], input: &[u8]) -> Output {
        let mut command = Command::new(tool);
        command.args(args).current_dir(&self.0).stdin(Stdio::piped());
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command
            .spawn()
            .unwrap_or_else(|error| panic!("{tool} must be installed: {error}"));
        let mut stdin = child.stdin.take().expect("a pipe");
        // A tool that refuses early may close the pipe before it has read all.
        let _ = stdin.write_all(input);
        drop(stdin);
        child.wait_with_output().expect("the tool ends")
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}
